"""A block of cells, judged hour by hour by the rule of the outlook. Numbers in, numbers out: it runs wherever dask puts it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any, TypeAlias

import numpy as np
from numpy.typing import NDArray

from anchorage.core.constants import ZERO_CELSIUS
from anchorage.core.say import say
from anchorage.deployment.policy import TIGHT, OperatingPolicy
from anchorage.outlook import rule
from anchorage.outlook.limits import Limits
from anchorage.outlook.sectors import Sectors
from anchorage.outlook.snowfall import (
    and_falling,
    depth_on_roof,
    load_on_roof,
    melted_of,
    rain_from,
    rained_by,
)
from anchorage.region.axis import Hours, Ints, Reach
from anchorage.region.faults import RegionError

Floats = NDArray[np.float64]
Flags = NDArray[np.bool_]
MARKS = ("secure", "people_out", "keep_away", "strike", "unknown")
"""What is found the first hour of: three levels, the reason to take down, and the first hour that is unknown."""
LEVELS = MARKS[:3]
NEVER = -1
Output: TypeAlias = tuple[NDArray[Any], ...]


@dataclass(frozen=True)
class Weathered:
    """What the installation takes with its ground in one state."""

    state: str
    limits: Limits
    sectors: Sectors
    floor: int
    """Verdict that nothing betters on this ground."""


@dataclass(frozen=True)
class Part:
    """One input of a block: how it becomes SI, what can be meant, and which steps reach into which hour."""

    role: str
    scale: float
    offset: float
    low: float
    high: float
    reach: Reach
    seconds: tuple[int, ...] | None = None
    """Length of each step, where the input is a rate."""


@dataclass(frozen=True)
class Job:
    """Everything that is the same in every cell. It can be sent to another machine."""

    hours: Hours
    parts: tuple[Part, ...]
    limits: Limits
    policy: OperatingPolicy
    sectors: Sectors
    fresh: bool
    """The forecast may give go at all."""
    window: tuple[int, int]
    use: str
    floor: int
    """Verdict that nothing here betters: what stands against the installation whatever the wind."""
    thunder_least: float
    """Chance of thunder, of one, from which it counts."""
    weathered: tuple[Weathered, ...] = ()
    """What it takes on ground that the forecast changes, by state; empty where nothing is forecast to fall."""
    lies: bool = False
    """Water lies already, by the file."""
    thaws: bool = False
    """The ground of the file is frozen, iced or snowed over."""
    usual: float = float("nan")
    """Temperature (K) where the grid has none."""
    freezes_at: float = 0.0
    """K at and below which water that lies is ice."""
    packs: bool = False
    """Dry snow lies on hard ground by the file."""
    snow_dry_at: float = 0.0
    """K at and below which snow has no water in it."""
    factor: float = 1.0
    """3 s gust over a mean wind, where a gust does not count since it is below its mean."""
    every_level: bool = False
    """Give the level of every hour too."""

    @property
    def inside(self) -> list[bool]:
        """Hours that the verdict and the chance are about."""
        start, end = self.window
        return [h + 3600 > start and h < end for h in self.hours.starts]


class _Values:
    """One input, time first, turned into SI a step at a time and kept while an hour still needs it."""

    def __init__(self, part: Part, raw: NDArray[Any]) -> None:
        self.part, self.raw, self.kept = part, np.moveaxis(raw, -1, 0), dict[int, Floats]()

    def step(self, k: int) -> Floats:
        """Values of a step in SI. What cannot be meant is refused, a mark for missing values included."""
        p = self.part
        v: Floats = self.raw[k].astype(np.float64)
        if p.scale != 1.0 or p.offset != 0.0:
            v = v * p.scale + p.offset
        if p.seconds is not None:
            v = v * p.seconds[k]
        if np.any((v < p.low) | (v > p.high)):
            bad = float(v[(v < p.low) | (v > p.high)].flat[0])
            raise RegionError(
                say(
                    "{role}: {bad} after conversion is no value that can be meant (from {low} to {high}); is a mark for missing values not declared as _FillValue?",
                    role=p.role,
                    bad=f"{bad:.6g}",
                    low=f"{p.low:g}",
                    high=f"{p.high:g}",
                )
            )
        return v

    def near(self, i: int) -> list[tuple[int, Floats]]:
        """The steps of an hour."""
        r = self.part.reach
        steps = range(r.first[i], r.last[i])
        self.kept = {k: self.kept[k] if k in self.kept else self.step(k) for k in steps}
        return list(self.kept.items())


def _sum(v: _Values, i: int, empty: Floats, gap: Flags) -> Floats:
    """What falls in an hour; a missing amount is a gap and falls as nothing."""
    total = empty
    for (_, x), share in zip(v.near(i), v.part.reach.shares[i], strict=True):
        gap |= np.isnan(x)
        total = total + np.nan_to_num(x, nan=0.0) * share
    return total


def _least(v: _Values | None, i: int, shape: tuple[int, ...]) -> Floats:
    found = np.full(shape, np.nan)
    for _, x in v.near(i) if v is not None else []:
        found = np.fmin(found, x)
    return found


@dataclass(frozen=True)
class _Snow:
    """By hour, first axis: load (Pa), depth of new snow (m), whether an amount is or was missing, rain so far (mm), states of the ground."""

    load: Floats
    depth: Floats
    missing: Flags
    rained: Floats
    states: Mapping[str, Flags]


def _snow(job: Job, values: Mapping[str, _Values], shape: tuple[int, ...]) -> _Snow | None:
    """None where nothing is forecast to fall or to freeze, nothing falls by who is there and nothing lies."""
    roles = ("precipitation", "rain", "melted snow", "snow depth")
    roof = job.limits.roof
    if not any(r in values for r in (*roles, "temperature")) and not roof.falls:
        if roof.load <= 0.0:
            return None
        n = len(job.hours.starts)
        nothing = np.zeros((n, *shape))
        return _Snow(nothing + roof.load, nothing + roof.depth, np.zeros((n, *shape), bool), nothing, {})
    n, zero = len(job.hours.starts), np.zeros(shape)
    falls, ice, rain, depth, temperature, all_of_it = (np.zeros((n, *shape)) for _ in range(6))
    missing = np.zeros((n, *shape), bool)
    for i in range(n):
        every, wet, melted, deep = (
            _sum(values[r], i, zero, missing[i]) if r in values else zero for r in roles
        )
        rain[i], ice[i], depth[i], all_of_it[i] = wet, melted, deep, every
        rest = np.maximum(every - melted - wet, 0.0)  # all precipitation contains its snow and its rain
        temperature[i] = _least(values.get("temperature"), i, shape)
        falls[i] = melted_of(rest, deep, temperature[i])
    states = _states(
        job, (falls > 0.0) | (depth > 0.0), (rain > 0.0) | (ice > 0.0) | roof.falls, (ice > 0.0) | (depth > 0.0) | roof.falls, temperature
    )  # fmt: skip
    np.logical_or.accumulate(
        missing, axis=0, out=missing
    )  # what fell stays, and so does not knowing how much

    def last(x: Floats) -> Floats:
        return np.moveaxis(x, 0, -1)

    spans = np.full(n, 3600.0)
    fallen = last(temperature), last(falls)
    more = and_falling(*fallen, last(ice), last(depth), spans, roof)
    load = load_on_roof(*fallen, more, last(rain), last(depth), roof)
    deep = depth_on_roof(*fallen, last(depth), last(ice), spans, roof)
    return _Snow(
        np.moveaxis(load, -1, 0),
        np.moveaxis(deep, -1, 0),
        missing,
        rained_by(rain, all_of_it, temperature),
        states,
    )


def _states(job: Job, falls: Flags, wets: Flags, snow: Flags, temperature: Floats) -> dict[str, Flags]:
    """States that the ground may be in, hours along the first axis; the rule of ``outlook.weathered``.

    falls: what is dry snow where it is cold enough; wets: what wets in any cold.
    """
    t = np.where(np.isnan(temperature), job.usual, temperature)
    with np.errstate(invalid="ignore"):
        thaw = (t > ZERO_CELSIUS) & job.thaws
        wet = np.logical_or.accumulate(falls | wets | snow | thaw, axis=0)
        white = np.logical_or.accumulate(snow | (falls & (temperature <= ZERO_CELSIUS)), axis=0)
        fell, soft = wets | (falls & ~(temperature <= job.snow_dry_at)), ~(t <= job.snow_dry_at)
        lies = np.logical_or.accumulate(fell | thaw | (soft & (white | job.packs)), axis=0) | job.lies
        slush = np.logical_or.accumulate((fell | soft) & (white | job.packs), axis=0)
        ice = slush | (lies & ((t <= job.freezes_at) | (np.isnan(t) & white)))
    return {"wet": wet, "snow": white, "ice": ice}


class _Tally:
    """What is kept while the hours go by; arrays (cells..., members)."""

    def __init__(self, job: Job, shape: tuple[int, ...]) -> None:
        self.job, cells = job, shape[:-1]
        self.first = np.full((len(MARKS), *shape), NEVER, np.int16)
        self.peak = np.full(shape, rule.ABSENT, np.int8)
        self.window_peak = self.peak.copy()
        self.waiting, self.after, self.gaps, self.thunder = (
            np.zeros(shape, bool),
            np.zeros(shape, bool),
            np.zeros(shape, bool),
            np.zeros(cells, bool),
        )
        self.unknown = np.zeros(shape, np.int16)
        self.verdict = np.full(shape, job.floor, np.int8)
        self.most = np.zeros((len(LEVELS), *cells), np.int32)

    def _mark(self, mark: int, hit: Flags, i: int) -> None:
        seen = self.first[mark]
        seen[hit & (seen == NEVER)] = i

    def hour(self, i: int, half: Floats, floor: NDArray[np.int8], known: rule.Ranks, acts: rule.Ranks, level: rule.Ranks, gap: Flags, gust: Floats, thunder: Flags,
             share: Floats) -> None:  # fmt: skip
        """Add an hour. known: the level that is certain; acts: the one that is acted upon, which sets the deadlines."""
        job, inside = self.job, self.job.inside[i]
        if np.any(acts > self.peak):
            for k in range(len(LEVELS)):
                self._mark(k, acts >= rule.SECURE + k, i)
            np.maximum(self.peak, acts, out=self.peak)
        self._mark(3, (acts >= rule.SECURE) | (gust >= half), i)
        unknown = level == rule.UNKNOWN
        self._mark(4, unknown, i)
        holds, self.waiting = rule.waits(level, self.waiting)
        doubtful, self.after = rule.after_unknown(level, self.after)
        if not inside:
            return
        found = rule.verdict_of(
            job.use,
            level,
            known=known,
            share=share,
            gust=gust,
            complete=~gap,
            thunder=thunder,
            half_built=half,
        )
        if job.use != "empty":
            found = np.where(doubtful, np.maximum(found, np.int8(rule.CANNOT_SAY)), found)
            found = np.where(holds, np.int8(rule.NO_GO), found)
        np.maximum(self.verdict, np.maximum(found, floor), out=self.verdict)
        np.maximum(self.window_peak, known, out=self.window_peak)
        self.unknown += unknown
        self.gaps |= gap
        self.thunder |= thunder.any(axis=-1)
        for k in range(len(LEVELS)):
            self.most[k] = np.maximum(self.most[k], (known >= rule.SECURE + k).sum(axis=-1))

    def result(self) -> Output:
        """First (cells, members, marks), unknown hours (cells, members), verdict and known level (cells), low and high (cells, levels)."""
        members = self.verdict.shape[-1]
        low, high = np.empty(self.most.shape, np.float32), np.empty(self.most.shape, np.float32)
        for k in range(len(LEVELS)):
            low[k] = self.most[k] / members
            high[k] = ((self.window_peak >= rule.SECURE + k) | self.gaps).mean(axis=-1)
        low[:, self.thunder], high[:, self.thunder] = np.nan, np.nan  # thunder cannot be bounded
        return (
            np.moveaxis(self.first, 0, -1), self.unknown, self.verdict.max(axis=-1), self.window_peak.max(axis=-1),
            np.moveaxis(low, 0, -1), np.moveaxis(high, 0, -1),
        )  # fmt: skip


def judge_block(*arrays: NDArray[Any], job: Job) -> Output:
    """Judge cells. arrays: one for each part of the job, (cells..., members, steps), in the units of the file.

    Gives, with (cells...) first: the hour in which each of ``MARKS`` is first met, -1 where it is not (members, marks);
    hours that are unknown (members); verdict; highest level that is certain; low and high
    chance of each of ``LEVELS`` (levels); with ``every_level`` the level of each hour (members, hours).
    Raises ``RegionError`` for a value that cannot be meant.
    """
    values = {p.role: _Values(p, a) for p, a in zip(job.parts, arrays, strict=True)}
    shape, limits, s = arrays[0].shape[:-1], job.limits, job.policy
    gusts, bearings, thunders = values["gust"], values.get("direction"), values.get("thunder")
    covered, snow = gusts.part.reach.covered, _snow(job, values, shape)
    rated = limits.roof_snow is not None and not limits.snow_unrated
    tally, levels = (
        _Tally(job, shape),
        np.empty((len(job.hours.starts) if job.every_level else 0, *shape), np.int8),
    )
    shares, none = dict[int, Floats](), np.zeros(shape, bool)
    means, kept = values.get("mean"), list[tuple[Any, ...]]()
    weathered = job.weathered if snow is not None and snow.states else ()
    half_dry = np.inf if limits.half_built is None else limits.half_built
    for i in range(len(job.hours.starts)):
        near = gusts.near(i)
        turns = dict(bearings.near(i)) if bearings is not None else {}
        if weathered:
            shares = {}  # the limits of this hour are its own
        on = [(w, snow.states[w.state][i]) for w in weathered if snow is not None]
        shares = {
            k: shares[k] if k in shares else rule.share_of(g, _most(job, on, turns.get(k))) for k, g in near
        }
        share, gust, complete = _worst(near, shares, shape)
        complete &= covered[i] and job.fresh
        if means is not None:
            share, gust, complete = _no_less_than_its_mean(
                job, on, means.near(i), turns, share, gust, complete
            )
        thunder = none if thunders is None else _thunder(thunders, i, job.thunder_least, shape)
        causes, gap = [rule.rank_of(share, s)], ~complete
        if snow is not None:
            lies = snow.load[i] > 0.0
            if limits.roof_snow is not None:
                causes.append(rule.snow_rank(rule.share_of(snow.load[i], limits.roof_snow), lies, s))
            if limits.roof_depth is not None:
                causes.append(rule.depth_rank(snow.depth[i], limits.roof_depth, s))
            gap = (
                gap | snow.missing[i] | (lies & (not rated)) | (snow.load[i] > limits.sway_snow * (1 + TIGHT))
            )
            gap = gap | (snow.rained[i] >= rain_from("asked" if limits.roof.slack else "flood"))
        if limits.roof.grows:
            causes.append(rule.flag_rank(np.ones(shape, bool)))
        if thunders is not None:
            causes.append(rule.flag_rank(thunder))
            gap = gap | _lost(thunders, i, shape)
        with np.errstate(invalid="ignore"):
            gap = gap | (gust > limits.sway_gust * (1 + TIGHT))
        known = rule.known_of(causes)
        level = rule.level_of(known, gap)
        half, floor = np.full(shape, half_dry), np.full(shape, job.floor, np.int8)
        for w, there in on:
            if w.limits.half_built is not None:
                half = np.where(there, np.minimum(half, w.limits.half_built), half)
            floor = np.where(there, np.maximum(floor, np.int8(w.floor)), floor)
        kept.append((half, floor, known, level, gap, gust, thunder, share))
        if job.every_level:
            levels[i] = level
    known_, level_ = np.stack([k[2] for k in kept]), np.stack([k[3] for k in kept])
    up_to = sum(h < job.window[1] for h in job.hours.starts)
    acts = rule.acted(known_, level_, np.zeros(level_.shape, bool), up_to)
    for i, (half, floor, known, level, gap, gust, thunder, share) in enumerate(kept):
        tally.hour(i, half, floor, known, acts[i], level, gap, gust, thunder, share)
    found = tally.result()
    return (*found, np.moveaxis(levels, 0, -1)) if job.every_level else found


def _worst(
    near: list[tuple[int, Floats]], shares: Mapping[int, Floats], shape: tuple[int, ...]
) -> tuple[Floats, Floats, Flags]:
    """Largest share and gust of the steps of an hour, NaN where none is known, and whether none is missing."""
    if len(near) == 1:
        k, g = near[0]
        return shares[k], g, ~np.isnan(g)
    share, gust, complete = np.full(shape, np.nan), np.full(shape, np.nan), np.ones(shape, bool)
    for k, g in near:
        share, gust = np.fmax(share, shares[k]), np.fmax(gust, g)
        complete &= ~np.isnan(g)
    return share, gust, complete


def _most(job: Job, on: list[tuple[Weathered, Flags]], turn: Floats | None) -> Floats | float:
    """The limit of each cell for a direction, the lowest over the states that its ground may be in."""
    most: Floats | float = job.sectors.at(turn, job.limits.gust)
    for w, there in on:
        most = np.where(there, np.minimum(most, w.sectors.at(turn, w.limits.gust)), most)
    return most


def _no_less_than_its_mean(
    job: Job,
    on: list[tuple[Weathered, Flags]],
    near: list[tuple[int, Floats]],
    turns: Mapping[int, Floats],
    share: Floats,
    gust: Floats,
    complete: Flags,
) -> tuple[Floats, Floats, Flags]:
    """A gust below the mean wind of its hour does not count: the mean turned up is the least, and the hour is not known."""
    mean = np.full(gust.shape, np.nan)
    for _, x in near:
        mean = np.fmax(mean, x)
    below = mean > gust + 1e-6
    if not np.any(below):
        return share, gust, complete
    least = np.where(below, mean * job.factor, np.nan)
    for limit in [_most(job, on, b) for b in turns.values()] or [_most(job, on, None)]:
        share = np.fmax(share, rule.share_of(least, limit))
    return share, np.fmax(gust, least), complete & ~below


def _lost(v: _Values, i: int, shape: tuple[int, ...]) -> Flags:
    """Where a chance that the grid has is missing in an hour."""
    found = np.full(shape, not v.part.reach.covered[i])
    for _, x in v.near(i):
        found |= np.isnan(x)
    return found


def _thunder(v: _Values, i: int, least: float, shape: tuple[int, ...]) -> Flags:
    found = np.zeros(shape, bool)
    for _, x in v.near(i):
        found |= x >= least
    return found


def when(first: NDArray[Any], hours: Hours) -> Floats:
    """Seconds UTC at which marks are met, NaN where they are not, of the shape of ``first``."""
    reached: Ints = hours.reached
    return np.where(first == NEVER, np.nan, reached[np.maximum(first, 0)].astype(float))
