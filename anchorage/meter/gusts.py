"""Gusts and means of samples as they come: the highest running mean over 3 s, means over 2 and 10 min. Numpy, in bounded memory.

A sample stands for the time since the one before it. A window of 3 s counts once it is full; one that a gap cuts short counts
by the mean of what is in it, so that nothing is lost where a cable is loose. A meter that sends too seldom for three samples in
the 3 s has no such mean: each of its values stands for itself; where it sends less often than every 3 s, for a mean of the next
longer averaging time, raised to a gust by the rule of a typed reading. Times are seconds of a clock that only goes forward.
"""

from __future__ import annotations

import functools
from collections.abc import Callable
from dataclasses import dataclass
from typing import TypeAlias

import numpy as np
from numpy.typing import NDArray

from anchorage.core import tables

Floats: TypeAlias = NDArray[np.float64]
EDGE = 1e-6
"""Of a second: a sample this near to the edge of a window lies on it, and so outside."""
PER_SECOND = 10
"""Bins of the memory in a second."""
SURE = 5
"""Intervals before a meter is taken to send so seldom that its values are means of a longer time."""
PACE = 0.25
"""Quantile of the intervals that is taken as the meter's own."""
TAIL = 8192
"""Samples of the last 3 s that are kept at most; what sends more has its oldest of them forgotten."""


@functools.cache
def seconds(key: str) -> float:
    """A row of the averaging times (s)."""
    return tables.row("meter-means", key).value


def means_3s(t: Floats, v: Floats, window: float, *, over: bool) -> tuple[Floats, NDArray[np.bool_]]:
    """Of each sample the mean of those in the window (s) that ends with it, and whether that counts as a gust.

    t: times that do not go back; over: nothing comes after the last sample, so that a window that is not full counts there.
    """
    n = t.size
    if n == 0:
        return v, np.zeros(0, bool)
    step = np.diff(t)
    first = np.searchsorted(t, t - window + EDGE, side="left")
    total = np.concatenate(([0.0], np.cumsum(v)))
    at = np.arange(n)
    mean = (total[at + 1] - total[first]) / (at + 1 - first)
    begins = np.concatenate(([True], step >= window))  # the first after a gap
    run = np.maximum.accumulate(np.where(begins, at, 0))
    inside = np.where(begins, 0.0, np.concatenate(([0.0], step)))
    own = np.zeros(n)  # of the first sample of a run the time that it stands for: as long as the next
    own[:-1] = np.where(begins[1:], 0.0, inside[1:])
    full = t - t[run] + own[run] >= window - EDGE
    ends = np.concatenate((begins[1:], [over]))
    return mean, full | ends


@dataclass(frozen=True)
class Wind:
    """What the samples say at a time. Speeds in m/s; None where nothing was heard in that time."""

    gust: float | None
    """Highest mean over 3 s of the last 10 min."""
    gust_at: float | None
    """When that was."""
    mean_short: float | None
    """Over 2 min."""
    mean: float | None
    """Over 10 min."""
    from_deg: float | None
    """Over 2 min, of samples with a direction; None where it is not steady."""
    averaging: str
    """What a value of this meter is: ``3 s``, or a mean of a longer time where it sends seldom; the gust is raised from it."""
    interval: float | None
    """Between samples (s); None before there are three."""


class Gusts:
    """Samples of one meter: what they say of the last 10 min, in a memory that does not grow."""

    def __init__(self, raised: Callable[[str], float] = lambda _: 1.0) -> None:
        """raised: a 3 s gust over a value that is a mean of an averaging time, by the rule of a typed reading."""
        self.raised = raised
        self.window, self.short, self.long = seconds("gust"), seconds("short"), seconds("mean")
        self.back = seconds("looks-back")
        self.size = int(max(self.long, self.back) * PER_SECOND) + 2
        self.bin = np.full(self.size, -1, np.int64)
        self.total, self.count = np.zeros(self.size), np.zeros(self.size, np.int64)
        self.east, self.north, self.turned = (
            np.zeros(self.size),
            np.zeros(self.size),
            np.zeros(self.size, np.int64),
        )
        self.top, self.top_at = np.full(self.size, -np.inf), np.zeros(self.size)
        self.t, self.v = np.zeros(0), np.zeros(0)
        self.told = 0
        """Of the samples that are kept, how many have been judged."""
        self.steps = np.zeros(0)
        self.interval: float | None = None
        """How often it sends (s), by the shorter of the last intervals: what is lost on the way makes no meter slower. None before there are two."""
        self.last = -np.inf

    @property
    def seldom(self) -> bool:
        """Whether the samples are too few for a mean of 3 s: each value stands for itself."""
        return self.interval is not None and self.interval > seconds("slowest")

    def averaging(self) -> str:
        """What a value of this meter is, as a reading is typed: the averaging time that is no shorter than its interval."""
        from anchorage.deployment.models import AVERAGING_S  # noqa: PLC0415 - slow, and only for a meter that sends seldom

        every = self.interval
        if every is None or self.steps.size < SURE or every <= self.window + 0.5 / PER_SECOND:
            return "3 s"
        return next((k for k, s in AVERAGING_S.items() if s >= every), list(AVERAGING_S)[-1])

    def push(self, t: Floats, v: Floats, from_deg: Floats | None = None) -> None:
        """Take samples in, in the order of their times (s); NaN as direction where there is none. A time before the last is taken as the last."""
        if t.size == 0:
            return
        t = np.maximum.accumulate(np.maximum(t, self.last))
        gaps = np.diff(np.concatenate((([self.last] if np.isfinite(self.last) else []), t)))
        known = gaps[gaps > EDGE]
        if known.size:
            self.steps = np.concatenate((self.steps, known[-64:]))[-64:]
            self.interval = float(np.quantile(self.steps, PACE)) if self.steps.size > 1 else None
        self.last = float(t[-1])
        self._sum(t, v, from_deg)
        self.t, self.v = np.concatenate((self.t, t)), np.concatenate((self.v, v))
        if self.interval is not None:  # before it is known how often it sends, nothing can be said of 3 s
            self._judge(over=False)
        keep = int(np.searchsorted(self.t, self.last - 2 * self.window, side="left"))
        keep = max(keep, self.t.size - TAIL)
        self.t, self.v, self.told = self.t[keep:].copy(), self.v[keep:].copy(), max(self.told - keep, 0)

    def _judge(self, *, over: bool) -> None:
        if self.seldom or self.interval is None:
            value, counts = self.v * self.raised(self.averaging()), np.ones(self.v.size, bool)
        else:
            value, counts = means_3s(self.t, self.v, self.window, over=over)
        counts[: max(self.told - 1, 0)] = (
            False  # the last of those may have turned out to be the end of a run
        )
        self._raise(self.t[counts], value[counts])
        self.told = self.t.size

    def settle(self, now: float) -> None:
        """Time has passed: what a gap has cut short counts now, and the values of a meter that has said hardly anything."""
        if self.t.size and now - self.last >= self.window:
            self._judge(over=True)

    def _places(self, t: Floats) -> NDArray[np.int64]:
        """Bins of times, cleared where they held an older time."""
        every = np.floor(t * PER_SECOND + EDGE).astype(np.int64)
        places = every % self.size
        old = self.bin[places] < every
        stale = np.unique(places[old])
        if stale.size:
            for a, empty in ((self.total, 0.0), (self.east, 0.0), (self.north, 0.0), (self.top, -np.inf)):
                a[stale] = empty
            self.count[stale] = 0
            self.turned[stale] = 0
            self.bin[places[old]] = every[old]
        places[self.bin[places] > every] = -1  # later ones of this block have its place already
        return places

    def _recent(self, t: Floats) -> slice:
        """The part that still matters at the end of a block that is longer than the memory."""
        return slice(int(np.searchsorted(t, t[-1] - max(self.long, self.back) + EDGE, side="left")), None)

    def _sum(self, t: Floats, v: Floats, from_deg: Floats | None) -> None:
        cut = self._recent(t)
        places = self._places(t[cut])
        good = places >= 0
        places, v = places[good], v[cut][good]
        self.total += np.bincount(places, v, self.size)
        self.count += np.bincount(places, minlength=self.size)
        if from_deg is None:
            return
        angle = np.radians(from_deg[cut][good])
        has = ~np.isnan(angle)
        if has.any():
            where = places[has]
            self.east += np.bincount(where, np.sin(angle[has]), self.size)
            self.north += np.bincount(where, np.cos(angle[has]), self.size)
            self.turned += np.bincount(where, minlength=self.size)

    def _raise(self, t: Floats, value: Floats) -> None:
        if t.size == 0:
            return
        cut = self._recent(np.append(t, self.last)) if self.last > t[-1] else self._recent(t)
        t, value = t[cut], value[cut]
        if t.size == 0:
            return
        places = self._places(t)
        good = places >= 0
        t, value, places = t[good], value[good], places[good]
        if t.size == 0:
            return
        order = np.lexsort((value, places))
        last = np.flatnonzero(np.append(np.diff(places[order]) != 0, True))
        best = order[last]
        at = places[best]
        higher = value[best] > self.top[at]
        self.top[at[higher]], self.top_at[at[higher]] = value[best][higher], t[best][higher]

    def _since(self, now: float, window: float) -> NDArray[np.bool_]:
        at = int(np.floor(now * PER_SECOND + EDGE))
        found: NDArray[np.bool_] = (self.bin > at - int(window * PER_SECOND)) & (self.bin <= at)
        return found

    def highest(self, now: float, window: float) -> tuple[float, float] | None:
        """Highest gust of a time that ends now, and when; None where there is none."""
        inside = np.where(self._since(now, window), self.top, -np.inf)
        i = int(np.argmax(inside))
        return (float(inside[i]), float(self.top_at[i])) if np.isfinite(inside[i]) else None

    def mean(self, now: float, window: float) -> float | None:
        """Mean of the samples of a time that ends now."""
        inside = self._since(now, window)
        n = int(self.count[inside].sum())
        return float(self.total[inside].sum()) / n if n else None

    def direction(self, now: float, window: float) -> float | None:
        """Mean direction that the wind comes from (degrees true); None where there is none, or it is not steady."""
        inside = self._since(now, window)
        n = int(self.turned[inside].sum())
        if n == 0:
            return None
        e, north = float(self.east[inside].sum()) / n, float(self.north[inside].sum()) / n
        if np.hypot(e, north) < tables.row("meter-watch", "steady").value:
            return None
        return float(np.degrees(np.arctan2(e, north)) % 360.0)

    def wind(self, now: float) -> Wind:
        """Everything at a time."""
        top = self.highest(now, self.back)
        gust, at = top if top is not None else (None, None)
        return Wind(
            gust, at, self.mean(now, self.short), self.mean(now, self.long), self.direction(now, self.short),
            self.averaging(), self.interval,
        )  # fmt: skip
