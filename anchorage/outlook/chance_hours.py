"""Chance hour by hour: forecast gusts against the gusts that drawn installations hold."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import tzinfo

import numpy as np
from numpy.typing import NDArray

from anchorage.chance.chance import over_hours
from anchorage.core import tables
from anchorage.core.say import later, say
from anchorage.outlook import chance
from anchorage.outlook.clock import iso, show
from anchorage.outlook.hours import Hour

THUNDER = later("Thunder: no chance can be given. Leave.")


@dataclass(frozen=True)
class HourChance:
    """Chance that the gust of an hour passes what the installation holds; None where it cannot be said, and why."""

    start: str
    gust_m_s: float | None
    spread_m_s: float | None
    probability: float | None
    why: str


@dataclass(frozen=True)
class HoursChance:
    """low and high: of any of the hours; None where it cannot be bounded, high also where hours have no gust."""

    hours: tuple[HourChance, ...]
    low: float | None
    high: float | None
    hours_unknown: int
    text: str


def hours_chance(
    hours: Sequence[Hour], draws: NDArray[np.float64], spread: float | None, end: int, zone: tzinfo
) -> HoursChance:
    """The hours before ``end``. draws: gust held in each draw (m/s); spread: standard deviation of a gust (m/s) where
    the forecast has none, the table's share of the gust where that is None. An hour with thunder bounds nothing.
    """
    share = tables.row("spread", "gust").value
    known: list[tuple[float, float]] = []
    out: list[HourChance] = []
    for h in hours:
        gust = max((w.gust for w in h.winds if w.forecast), default=None)
        if h.thunder or gust is None or not h.complete:
            why = h.thunder or h.missing or say("no gust")
            out.append(HourChance(iso(h.start) or "", gust, None, None, why))
            continue
        own = h.spread if h.spread is not None else spread if spread is not None else share * gust
        known.append((gust, own))
        out.append(HourChance(iso(h.start) or "", gust, own, 0.0, ""))
    each, (low, high) = over_hours(draws, known)
    found = iter(each)
    done = tuple(
        x if x.probability is None else HourChance(x.start, x.gust_m_s, x.spread_m_s, next(found), "")
        for x in out
    )
    if any(h.thunder for h in hours):
        return HoursChance(done, None, None, len(hours) - len(known), THUNDER)
    missing = len(hours) - len(known)
    if not known:
        return HoursChance(done, None, None, missing, say("No hour has a gust: cannot say."))
    most = None if missing else high
    text = chance.between(low, most, show(end, zone), "it fails")
    if missing:
        text += say(", since {missing} of {hours} hours have no gust", missing=missing, hours=len(hours))
    return HoursChance(done, low, most, missing, text[0].upper() + text[1:] + ".")
