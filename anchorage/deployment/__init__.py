"""deployment."""
