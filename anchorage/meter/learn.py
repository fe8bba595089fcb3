"""What a meter learns of its site: forecast against meter as pairs of the record, gust over mean of its minutes.

A factor of the site comes of enough pairs, is printed with their number and its spread, and only ever warns earlier: it moves no
level, and a site that was calmer than forecast gains nothing by it.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from anchorage.core import tables
from anchorage.core.out import Level
from anchorage.core.say import numeral, say
from anchorage.deployment.policy import ORDER, OperatingPolicy
from anchorage.formulas import evidence
from anchorage.loads.wind import gust_factor
from anchorage.meter.store import Minute
from anchorage.meter.weather import Sky
from anchorage.record.store import Entry

SPAN = 600
"""Seconds of the mean that a gust is held against."""


def _row(key: str) -> float:
    return tables.row("meter-pairs", key).value


def _student(freedom: int) -> float:
    """Of so many degrees of freedom or the next fewer that are listed."""
    rows = [r for r in tables.table("student-95").rows if r.at["freedom"] <= freedom]
    return tables.row("student-95", max(rows, key=lambda r: r.at["freedom"]).key).value


@dataclass(frozen=True)
class Factor:
    """A ratio that was found so often. low and high: the next one lies below or above with a chance of 5 in 100."""

    middle: float
    low: float
    high: float
    n: int

    @property
    def earlier(self) -> float:
        """What a forecast is multiplied with for a warning: never less than it says."""
        return max(self.middle, 1.0)

    @property
    def words(self) -> str:
        """``1.18 (0.96 to 1.45, of 14)``."""
        return say(
            "{middle} ({low} to {high}, of {n})",
            middle=numeral(self.middle, ".2f"),
            low=numeral(self.low, ".2f"),
            high=numeral(self.high, ".2f"),
            n=self.n,
        )


def factor_of(ratios: Sequence[float]) -> Factor | None:
    """Ratios as a factor with its spread, lognormal with an unknown spread; None of too few."""
    known = [r for r in ratios if math.isfinite(r) and r > 0.0]
    n = len(known)
    if n < _row("least"):
        return None
    logs = np.log(known)
    mean, spread, t = float(logs.mean()), float(logs.std(ddof=1)), _student(n - 1)
    low = float(evidence.low_fractile(mean, spread, t, float(n)))
    high = 1.0 / float(evidence.low_fractile(-mean, spread, t, float(n)))
    return Factor(math.exp(mean), low, high, n)


def site_factor(counting: Sequence[Entry]) -> Factor | None:
    """Meter over forecast by the pairs of the record that nobody corrected."""
    pairs = [e.data for e in counting if e.event == "pair" and e.data["forecast_m_s"] >= _row("from")]
    return factor_of([p["speed_m_s"] / p["forecast_m_s"] for p in pairs])


@dataclass(frozen=True)
class Gustiness:
    """Gust over its 10 min mean here, and what the tables take for it where a mean is typed."""

    found: Factor
    table: float

    @property
    def words(self) -> str:
        """Both, and whether a mean that is typed falls short here."""
        short = (
            say("; a mean typed here stands for more than the table takes: type gusts")
            if self.found.middle > self.table
            else ""
        )
        return say(
            "Gust over mean here {found}; the table takes {table}{short}.",
            found=self.found.words,
            table=numeral(self.table, ".2f"),
            short=short,
        )


def gustiness(minutes: Sequence[Minute]) -> Gustiness | None:
    """By spans of ten whole minutes; None of too few."""
    spans: dict[tuple[str, int], list[Minute]] = {}
    for m in minutes:
        if m.gust is not None and m.mean is not None:
            spans.setdefault((m.source, m.at // SPAN), []).append(m)
    ratios = []
    for inside in spans.values():
        mean = sum(m.mean or 0.0 for m in inside) / len(inside)
        if len(inside) >= SPAN // 60 and mean >= _row("from"):
            ratios.append(max(m.gust or 0.0 for m in inside) / mean)
    found = factor_of(ratios)
    return None if found is None else Gustiness(found, gust_factor("10 min", "larger", []))


@dataclass(frozen=True)
class Earlier:
    """A level that a forecast reaches earlier, or at all, with the factor of the site. at: seconds since 1970."""

    level: Level
    at: int


def earlier(sky: Sky, factor: Factor, policy: OperatingPolicy, now: int) -> Earlier | None:
    """The first hour to come in which the factor reaches a level that the forecast does not reach by then; None where there is none."""
    highest = ORDER.index(sky.past)
    for s in sky.spans:
        if s.end <= now:
            continue
        highest = max(highest, ORDER.index(s.level))
        if s.share is None or not math.isfinite(s.share):
            continue
        found = policy.level(s.share * factor.earlier)
        if ORDER.index(found) > highest:
            return Earlier(found, max(s.start, now))
    return None
