"""What a way costs: minutes of work, mass that is handled, water, loads, hands. Every rate is a row of the tables."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, field

from anchorage.core import tables
from anchorage.deployment.models import Anchorage, Crew, PointIn
from anchorage.holding.ground import fill_of
from anchorage.holding.hardware import Hardware
from anchorage.judging.packing import VEHICLES

TIED = ("standing-tied", "hung-clear", "lashed-to-leg")
HANDS = ("one person", "two people", "a machine")


def _min(key: str) -> float:
    return tables.row("packing-work", key).value


@dataclass(frozen=True)
class Work:
    """Of putting all of it in place, from nothing."""

    person_min: float
    mass_kg: float
    """Of ballast and what it is filled with; stakes and lines are not weighed."""
    water_kg: float
    hands: str
    """What lifts the heaviest unit that is carried: of ``HANDS``; nothing where none is."""
    crew: int
    loads: dict[str, int] = field(default_factory=dict)
    """Loads by vehicle, each by itself enough; water is not carried."""

    @property
    def minutes(self) -> int:
        """By the clock with all of the crew at it, rounded up."""
        return math.ceil(self.person_min / self.crew - 1e-9)


def crew_of(crew: Crew) -> int:
    """People who do the work: those of the file, else as in the table."""
    return int(tables.row("packing-tool", "crew").value) if crew.people is None else crew.people


def _unit_minutes(h: Hardware) -> float:
    """Of one unit of ballast, filled and placed."""
    if fill_of(h.unit_name) == "sand":
        return 60.0 / tables.row("packing-sand", "fill-rate").value
    if fill_of(h.unit_name) == "water":
        return _min("water-tote" if h.unit_name == "water-tote" else "water")
    return _min("place" if _hands(h) != HANDS[2] else "machine")


def _hands(h: Hardware) -> str:
    one, two = (tables.row("packing-lift", k).value * 1.005 for k in ("one-person", "two-people"))
    return HANDS[0] if h.unit_mass <= one else HANDS[1] if h.unit_mass <= two else HANDS[2]


def at_a_point(anchorage: Anchorage, h: Hardware) -> float:
    """Minutes at a point that has any of it, however many."""
    if h.line_angle is not None:
        return _min("line")
    return _min("tie") if h.kind == "ballast" and anchorage.how in TIED else 0.0


def of_one(anchorage: Anchorage, h: Hardware, driven: float) -> float:
    """Minutes of each one at a point. driven: how deep, of a stake (m)."""
    if h.kind == "stakes":
        return _min("stake") + max(driven - _min("stake-first"), 0.0) * _min("stake-deeper")
    if h.kind == "deadman":
        return _min("deadman")
    bound = _min("bind") if h.kind == "ballast" and anchorage.how == "lashed-to-leg" else 0.0
    return bound + _unit_minutes(h)


def depth_at(anchorage: Anchorage, points: list[PointIn], point: str) -> float:
    """How deep stakes are driven at a point (m); 0 where there are none."""
    said, stake = next((p.driven for p in points if p.id == point), None), anchorage.stake
    return float(said or (stake.driven if stake is not None else 0.0))


def work_of(anchorage: Anchorage, crew: Crew, points: list[PointIn], hard: Sequence[Hardware], ids: Sequence[str], counts: Sequence[int], *, more: float = 0.0, carry: float = 0.0) -> Work:  # fmt: skip
    """The work of an arrangement. more: minutes besides; carry: distance (m) that what is lifted and driven is carried."""
    person = more
    mass = water = 0.0
    hands = -1
    for h, i, n in zip(hard, ids, counts, strict=True):
        if h.kind == "none" or not n:
            continue
        person += at_a_point(anchorage, h) + int(n) * of_one(anchorage, h, depth_at(anchorage, points, i))
        person += carry * _min("walk") * int(n) if carry else 0.0
        if h.kind in ("ballast", "line-ballast"):
            mass += n * h.unit_mass
            if fill_of(h.unit_name) == "water":
                water += n * h.unit_mass
            else:
                hands = max(hands, HANDS.index(_hands(h)))
    dry = mass - water
    loads = {k: math.ceil(dry / tables.row("packing-load", k).value - 1e-9) for k in VEHICLES if dry}
    return Work(person, float(mass), float(water), "" if hands < 0 else HANDS[hands], crew_of(crew), loads)
