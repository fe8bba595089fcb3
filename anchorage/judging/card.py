"""The card made beforehand: the gust that so many units at each point take, dry, wet and on ice, doors shut and open."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Any

import numpy as np

from anchorage.checks.installation import Installation, assemble
from anchorage.checks.whatif import changed
from anchorage.core import tables
from anchorage.core.errors import AnchorageError
from anchorage.core.say import say
from anchorage.core.words import named
from anchorage.deployment.models import Deployment, Openings, Rating
from anchorage.holding import states
from anchorage.judging.verdict import bounds
from anchorage.loads.roof_snow import depths_of

SHOWN = ("dry", "wet", "ice")
BALLAST_ROWS = (1, 2, 3, 4, 6, 8, 10, 12, 15, 20, 30)
FEW_ROWS = (1, 2, 3, 4, 5, 6, 8)
"""Stakes, barrels, blocks."""


@dataclass(frozen=True)
class Cell:
    """Limiting gust (m/s, service 3 s at 10 m); ``by_rating`` where the maker's rating or local policy sets it."""

    gust: float
    by_rating: bool


@dataclass(frozen=True)
class CardRow:
    """So many units at each point: a cell for each surface state, doors shut and open; None where it cannot be judged."""

    units: int
    shut: dict[str, Cell | None]
    open: dict[str, Cell | None]


@dataclass(frozen=True)
class Card:
    """The rows, what is counted in them, what "open" stands for, and how much snow may lie."""

    item: str
    rows: tuple[CardRow, ...]
    open_means: str
    mass_each: float
    points: int
    snow: dict[str, dict[str, float]]
    """By straps, unlocked and locked: depth (m) by kind of snow."""
    snow_load: dict[str, float]
    """The same as a load (Pa)."""
    notes: tuple[str, ...]


def doors(d: Deployment, *, shut: bool) -> tuple[Deployment, str]:
    """The deployment with every opening that can be shut shut, or open as it may happen, and what that is."""
    if shut:
        d = changed(d, shelter={"openings": Openings()})
        return d.model_copy(update={"door": [x.model_copy(update={"state": "closed"}) for x in d.door]}), say(
            "every opening shut"
        )
    if d.door:
        return d.model_copy(update={"door": [x.model_copy(update={"state": "open"}) for x in d.door]}), say(
            "every door open"
        )
    o = d.shelter.openings
    if o is not None and any((o.front, o.back, o.left, o.right)):
        return d, say("the walls open as in the file")
    return changed(d, shelter={"openings": Openings(front=1.0)}), say("the front wall open")


def _state(d: Deployment, state: str) -> Deployment:
    """One of the columns: that state everywhere, whatever the file says of single points."""
    d = states.everywhere(d, state)
    points = [p.model_copy(update={"placed": None}) for p in d.point]
    return changed(d, anchorage={"placed": 1}).model_copy(update={"point": points})


def _made(d: Deployment, notes: list[str]) -> Installation | None:
    try:
        return assemble(d, ())
    except AnchorageError as e:
        text = str(e).splitlines()[0]
        if text not in notes:
            notes.append(text)
        return None


def _cell(x: Installation | None, units: int) -> Cell | None:
    if x is None:
        return None
    counts: Any = np.where(x.usable, units, 0)
    held, most = x.gust_held(counts), min((b.gust for b in bounds(x)), default=math.inf)
    gust = min(held, most)
    return Cell(gust, most < held) if math.isfinite(gust) else None


def card(d: Deployment) -> Card:
    """Work the card out: six installations, each with all its counts."""
    notes = list[str]()
    made: dict[tuple[str, bool], Installation | None] = {}
    means = ""
    for shut in (True, False):
        with_doors, words = doors(d, shut=shut)
        means = words
        for state in SHOWN:
            made[state, shut] = _made(_state(with_doors, state), notes)
    some = next((x for x in made.values() if x is not None), None)
    if some is None:
        raise CardError(say("no card can be made: {notes}", notes="; ".join(notes)))
    h = some.hardware
    counts: tuple[int, ...] = (
        BALLAST_ROWS
        if h.kind == "ballast" and h.unit_mass < tables.row("packing-lift", "two-people").value
        else FEW_ROWS
    )
    if h.most is not None:
        counts = tuple(n for n in counts if n <= h.most) or counts[:1]
    rows = tuple(
        CardRow(n, {s: _cell(made[s, True], n) for s in SHOWN}, {s: _cell(made[s, False], n) for s in SHOWN})
        for n in counts
    )
    notes += _stacked(h.most, h.unit_name)
    snow, load = _snow(d.shelter.rating)
    points = int(np.sum(some.usable))
    return Card(h.counted, rows, means, h.unit_mass, points, snow, load, tuple(notes))


def _stacked(most: int | None, unit: str) -> list[str]:
    return (
        []
        if most is None
        else [
            say(
                "More than {most} {units} do not stand on one frame point: tie them on, or use heavier units.",
                most=most,
                units=named(unit, 2),
            )
        ]
    )


def _snow(r: Rating) -> tuple[dict[str, dict[str, float]], dict[str, float]]:
    loads = {
        k: v for k, v in (("unlocked", r.roof_snow_unlocked), ("locked", r.roof_snow_locked)) if v is not None
    }
    return {k: depths_of(float(v)) for k, v in loads.items()}, {k: float(v) for k, v in loads.items()}


class CardError(AnchorageError):
    """A card that cannot be made, and why."""
