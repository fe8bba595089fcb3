"""chance."""
