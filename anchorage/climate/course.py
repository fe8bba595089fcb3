"""Reports against one installation, hour by hour: which gust, which share of the limit for its direction, on which ground.

An hour is known by the reports in it; between two that are little more than an hour apart it takes the worse of them. The
limits are those of the outlook: by direction where the installation has a heading, and lower where the history tells of
rain, snow or frost. What fell stays for the length of a window, so that no window is judged drier than it was.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from anchorage.climate.reports import ICE, SNOW, WET, Floats, Ints, Reports
from anchorage.core import tables
from anchorage.deployment.models import Ground
from anchorage.deployment.policy import TIGHT
from anchorage.holding.ground import freezes_at, snow_dry_at
from anchorage.judging.plan import Assessment
from anchorage.judging.result import Plan
from anchorage.outlook import rule
from anchorage.outlook.clock import HOUR
from anchorage.outlook.hours import Forecast
from anchorage.outlook.judge import worst
from anchorage.outlook.limits import Limits, limits_of
from anchorage.outlook.sectors import Sectors, sectors_of
from anchorage.outlook.weathered import Grounds, as_forecast, plan_for, said_of

FORMAT = "METAR"
"""What the wind of a station is to a deployment: that of an aerodrome."""
BITS: Mapping[int, str] = {WET: "wet", SNOW: "snow", ICE: "ice"}


class Takes:
    """What one installation takes, by the ground and the direction."""

    def __init__(self, a: Assessment, source: str = FORMAT) -> None:
        said = Forecast(source, "history", None)
        d = a.deployment
        self.deployment, self.policy = d, a.policy
        self.plan: Plan = plan_for(a, [said])
        self.limits = limits_of(self.plan, d)
        self.grounds = Grounds(self.plan, as_forecast(d, [source]), self.limits)
        self.same = frozenset() if d.test else frozenset({self.grounds.base.state})
        self.reach = tables.row("gust-coding", "direction").value
        self._sectors: dict[frozenset[str], tuple[Limits, Sectors]] = {}

    def on(self, states: frozenset[str]) -> tuple[Limits, Sectors]:
        """Limits where the ground may be in these states besides its own."""
        states -= self.same
        if states not in self._sectors:
            limits = self.grounds.of(states)
            self._sectors[states] = limits, sectors_of(limits, self.reach)
        return self._sectors[states]

    def floor(self, limits: Limits) -> int:
        """Verdict that nothing betters on this ground, as far as the ground of the file has no such."""
        mine = [b.verdict for b in limits.blocks if b not in self.limits.blocks]
        return rule.VERDICTS.index(worst("go", *mine))


@dataclass(frozen=True)
class Hours:
    """A history by the hour."""

    first: int
    """Seconds UTC of its first hour."""
    gust: Floats
    """Highest of each hour, m/s; NaN where unknown."""
    bearing: Floats
    """Of that gust."""
    reported: NDArray[np.bool_]
    """That gust was reported as one."""
    rows: Ints
    """Reports that count, and below the hours in which they do: one for each pair."""
    hour_of: Ints
    level: rule.Ranks
    fell: NDArray[np.int8]
    coldest: Floats
    reports: Reports

    def __len__(self) -> int:
        return len(self.gust)


def hours_of(r: Reports) -> Hours:
    """Reports put into hours."""
    first = int(r.at[0]) // HOUR * HOUR
    n = (int(r.at[-1]) - first) // HOUR + 1
    every = (r.at - first) // HOUR
    good = np.flatnonzero(~np.isnan(r.gust))
    hour = every[good]
    empty = np.ones(n, bool)
    empty[hour] = False
    gaps = np.flatnonzero(empty)
    if good.size and gaps.size:
        times = r.at[good]
        after = np.searchsorted(times, first + HOUR * gaps)
        inner = (after > 0) & (after < good.size)
        gaps, after = gaps[inner], after[inner]
        near = times[after] - times[after - 1] <= tables.row("climate-hour", "apart").value
        gaps, after = gaps[near], after[near]
        hour = np.concatenate([hour, gaps, gaps])
        good = np.concatenate([good, good[after - 1], good[after]])
    gust = np.full(n, -1.0)
    np.maximum.at(gust, hour, r.gust[good])
    best = np.full(n, -1, np.int64)
    top = r.gust[good] >= gust[hour]
    best[hour[top]] = good[top]
    known = best >= 0
    level, fell = np.zeros(n, np.int8), np.zeros(n, np.int8)
    np.maximum.at(level, every, r.level)
    np.bitwise_or.at(fell, every, r.fell)
    cold = np.full(n, np.inf)
    np.fmin.at(cold, every, np.where(np.isnan(r.temperature), np.inf, r.temperature))
    return Hours(
        first, np.where(known, gust, np.nan), np.where(known, r.bearing[best], np.nan), known & r.reported[best], good, hour,
        level, fell, np.where(np.isfinite(cold), cold, np.nan), r,
    )  # fmt: skip


def lately(there: NDArray[np.bool_], n: int) -> NDArray[np.bool_]:
    """Whether it was there in any of the ``n`` hours up to each."""
    seen = np.concatenate([[0], np.cumsum(there)])
    ends = np.arange(1, len(there) + 1)
    found: NDArray[np.bool_] = seen[ends] > seen[np.maximum(ends - n, 0)]
    return found


def ground_bits(h: Hours, ground: Ground, n: int) -> NDArray[np.int8]:
    """States that the ground of each hour may be in besides the one of the file, by the rule of the outlook."""
    out = np.zeros(len(h), np.int8)
    if "water" not in h.reports.tells and "temperature" not in h.reports.tells:
        return out
    said = said_of(ground)
    t = np.where(np.isnan(h.coldest), np.nan if said.usual is None else said.usual, h.coldest)
    with np.errstate(invalid="ignore"):
        thaws, soft = (t > 0.0) & said.thaws, ~(t <= snow_dry_at())
        cold = t <= freezes_at()
        dry = (h.fell & SNOW > 0) & (h.coldest <= snow_dry_at())
    wet = lately((h.fell & WET > 0) | thaws, n)
    white = lately(h.fell & SNOW > 0, n)
    iced = (h.fell & ICE > 0) | (lately(h.fell & ICE > 0, n) & np.isnan(h.coldest))
    fell = (h.fell & WET > 0) & ~dry
    lies = lately(fell | thaws | (soft & (white | said.packs)), n) | said.lies
    slush = lately((fell | soft) & (white | said.packs), n)
    ice = iced | slush | (lies & (cold | (np.isnan(t) & white)))
    out[wet] |= WET
    out[white] |= SNOW
    out[ice] |= ICE
    return out


def ranked(h: Hours, x: Takes, n: int, *, wet: bool = False) -> tuple[rule.Ranks, rule.Flags]:
    """Judge each hour: its rank, and whether it is missing. n: hours of a window, for which what fell stays; wet: always."""
    r, policy = h.reports, x.policy
    bits = np.full(len(h), WET, np.int8) if wet else ground_bits(h, x.deployment.ground, n)
    share = np.full(len(h.rows), np.nan)
    rank, missing = h.level.copy(), np.isnan(h.gust)
    of = bits[h.hour_of]
    for code in np.unique(bits):
        limits, sectors = x.on(frozenset(w for b, w in BITS.items() if code & b))
        mine = of == code
        rows = h.rows[mine]
        most = sectors.at(r.bearing[rows], limits.gust)
        share[mine] = rule.share_of(r.gust[rows], most)
        floor = x.floor(limits)
        if floor != rule.GO:
            there = bits == code
            missing |= there & (floor == rule.CANNOT_SAY)
            rank[there & (floor == rule.NO_GO)] = rule.KEEP_AWAY
    found = rule.rank_of(share, policy)
    found[share >= 1.0 - TIGHT] = rule.KEEP_AWAY
    np.maximum.at(rank, h.hour_of, found)
    with np.errstate(invalid="ignore"):
        missing |= h.gust > x.limits.sway_gust * (1 + TIGHT)
    return rank, missing
