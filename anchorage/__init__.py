"""anchorage: what holds a soft shelter down, what wind and snow it can take, and when to leave."""

from anchorage.core.version import VERSION

__version__ = VERSION
