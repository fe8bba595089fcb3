"""Snow that a forecast brings, added up on the roof hour by hour. Nothing slides, blows off or melts."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from anchorage import tables
from anchorage.outlook.hours import Hour


@dataclass(frozen=True)
class RoofLoad:
    """At the end of an hour."""

    pascal: float
    depth: float
    """m of new snow since now, as forecast."""
    expected: bool
    """Something lies or falls."""
    notes: tuple[str, ...] = ()


def water_of_hour(h: Hour, slope: float) -> float:
    """Mm of water that an hour leaves on the roof.

    Up to the temperature at which snow sticks, and where no temperature is given, all precipitation stays. Above it
    rain runs off, unless the roof is so flat that it counts as held.
    """
    t = tables.table("snow-forecast")
    sticks = h.temperature is None or h.temperature <= t["stick-at-or-below"].value
    flat = slope < t["rain-stays-below"].value
    if h.snow_kind:
        density = tables.row("snow-density", h.snow_kind).value
    elif h.temperature is not None and (sticks or h.water > 0.0):
        density = tables.row("forecast-snow", "cold-density").value
    else:
        wet = tables.row("snow-density", "wet")
        density = wet.high or wet.value
    from_depth = h.snow * density
    fallen = h.water if sticks else 0.0
    run_off = h.rain + (0.0 if sticks else h.water)
    return max(fallen, from_depth) + h.ice + (run_off if flat else 0.0)


def accumulate(hours: Sequence[Hour], lying: float, slope: float) -> list[RoofLoad]:
    """Load on the roof at the end of each hour, from what lies there now (Pa)."""
    gravity = tables.row("snow-water", "gravity").value
    share = tables.row("snow-forecast", "roof-share").value
    out, load, depth = [], lying, 0.0
    for h in hours:
        load += water_of_hour(h, slope) * gravity * share
        depth += h.snow
        out.append(RoofLoad(load, depth, load > 0.0))
    return out
