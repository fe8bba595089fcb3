"""What the data of each kind of entry may be: a record that was damaged or made by others is read no further than this."""

from __future__ import annotations

import math
from typing import Any

STATES = ("dry", "wet", "frozen", "ice", "snow")
SNOW_KINDS = ("new", "settled", "wet", "slush", "ice")
AFTER = ("shift", "wind", "rain", "snow", "frost", "thaw", "change", "before people go in")
FASTEST, DEEPEST, STRONGEST, HIGHEST = 100.0, 5.0, 500_000.0, 200.0
"""m/s, m, N, m: beyond them it is a slip of the hand."""
MOST_UNITS = 100_000
LATEST = 7_258_118_400
"""Seconds since 1970 of the year 2200."""


def is_time(value: object) -> bool:
    """Whether a value is a time that can be shown."""
    return type(value) is int and 0 <= value < LATEST


def fits(event: str, data: dict[str, Any]) -> bool:
    """Whether the data of an entry are of the kinds and within the bounds that its event is written with."""
    if not all(isinstance(data[k], str) for k in ("note", "where", "to", "typed", "height") if k in data):
        return False
    match event:
        case "wind":
            return (
                _number(data.get("speed_m_s"), FASTEST)
                and _number(data.get("height_m"), HIGHEST)
                and float(data["height_m"]) > 0.0
                and isinstance(data.get("averaging"), str)
                and data["averaging"] in _averaging()
                and (data.get("from") is None or _number(data["from"], 360.0))
            )
        case "snow":
            return (
                _number(data.get("depth_m"), DEEPEST)
                and "typed" in data
                and data.get("kind") in (None, *SNOW_KINDS)
            )
        case "pull-test":
            return _number(data.get("force_n"), STRONGEST)
        case "placed":
            return type(data.get("count")) is int and 0 <= data["count"] <= MOST_UNITS
        case "doors":
            return data.get("doors") in ("open", "closed")
        case "straps":
            return data.get("straps") in ("locked", "unlocked")
        case "state":
            return data.get("state") in STATES
        case "inspection":
            return data.get("after") in (None, *AFTER)
    return True


def _number(value: object, most: float) -> bool:
    return type(value) in (int, float) and math.isfinite(value) and 0.0 <= value <= most  # type: ignore[arg-type,operator]


def _averaging() -> dict[str, float]:
    from anchorage.deployment import AVERAGING_S  # noqa: PLC0415 - slow, and only for wind

    return AVERAGING_S
