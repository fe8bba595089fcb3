"""What a grid is refused for."""

from __future__ import annotations

from anchorage.core.errors import AnchorageError, InputFaults
from anchorage.outlook import untrusted


class RegionError(AnchorageError):
    """A region that cannot be judged, and what would make it possible. One text, so that it travels between processes."""


def refuse(name: str, key: str, got: object, accepted: str) -> InputFaults:
    """One fault of a grid: where it is, what stood there, what may stand there."""
    return untrusted.refuse(name, key, got, accepted)
