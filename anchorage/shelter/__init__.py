"""shelter."""
