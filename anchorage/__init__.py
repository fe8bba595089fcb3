"""anchorage: what holds a soft shelter down, what wind and snow it can take, and when to leave."""

__version__ = "0.1.0"
