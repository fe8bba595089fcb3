"""What a part of the file says, for those who look for faults in it: a part may lack a key that was refused before."""

from __future__ import annotations

from typing import Any


def value_of(part: Any, name: str) -> Any:
    """The value of a key; None where it is not said, or was not read."""
    return getattr(part, name, None)
