"""Time of a grid: CF stamps to spans of time, spans to hours. Numbers only, shared by every cell.

A span is what a value stands for. Bounds say it. Without bounds a value that is a maximum, a mean or a sum stands for
the time since the stamp before it; one that is of a moment, or of which nothing is said, for the time on both sides of
its stamp, as in the outlook. A step that is longer than its neighbour is a hole: hours in it are unknown.
"""

from __future__ import annotations

import itertools
import re
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta, timezone

import numpy as np
from numpy.typing import ArrayLike, NDArray

from anchorage.core.say import later, say
from anchorage.outlook.clock import DAY, HOUR
from anchorage.outlook.hours import MOST_HOURS
from anchorage.region.faults import refuse

CALENDARS = ("standard", "gregorian", "proleptic_gregorian")
LONGEST_MOMENT = 6 * HOUR
"""Longest time that is bridged between two values of moments, as in hourly JSON."""
MOST_STEPS = 3000
_SCALES = {
    "s": 1, "sec": 1, "second": 1, "min": 60, "minute": 60, "h": HOUR, "hr": HOUR, "hour": HOUR, "d": DAY, "day": DAY,
}  # fmt: skip
_SINCE = re.compile(
    r"(?a)\s*([a-z]+?)s?\s+since\s+(\d{4})-(\d{1,2})-(\d{1,2})(?:[T ]\s*(\d{1,2}):(\d{1,2})(?::(\d{1,2})(?:\.0*)?)?)?"
    r"\s*(Z|UTC|GMT|[+-]\d{1,2}(?::?\d\d)?)?\s*", re.IGNORECASE,
)  # fmt: skip
_UNITS = later(
    'units such as "hours since 2026-03-10 00:00:00", dates of the real calendar, UTC where no zone is said'
)

Ints = NDArray[np.int64]


@dataclass(frozen=True)
class Steps:
    """What each value of an axis stands for: seconds UTC, both ends in order."""

    starts: tuple[int, ...]
    ends: tuple[int, ...]
    says: str
    """In words."""


@dataclass(frozen=True)
class Reach:
    """Which steps reach into each hour: ``first[i]`` up to but not including ``last[i]``."""

    first: tuple[int, ...]
    last: tuple[int, ...]
    covered: tuple[bool, ...]
    """The hour is within steps from end to end."""
    shares: tuple[tuple[float, ...], ...]
    """Share of each of those steps that falls within the hour."""


@dataclass(frozen=True)
class Hours:
    """Hours from now on, seconds UTC. The first may have begun already."""

    now: int
    starts: tuple[int, ...]

    @property
    def reached(self) -> Ints:
        """When an hour is reached: its start, or now."""
        return np.maximum(np.array(self.starts, np.int64), self.now)


def seconds_of(values: ArrayLike, units: object, calendar: object, name: str, key: str) -> Ints:
    """Stamps as whole seconds UTC, of the shape of ``values``. Refuses what has no unit, no real date or no number."""
    m = _SINCE.fullmatch(units) if isinstance(units, str) and len(units) < 80 else None
    scale = _SCALES.get(m[1].lower()) if m else None
    if m is None or scale is None or int(m[2]) < 1600:
        raise refuse(name, say("{key}, units", key=key), units, _UNITS)
    if calendar is not None and (not isinstance(calendar, str) or calendar.lower() not in CALENDARS):
        raise refuse(
            name,
            say("{key}, calendar", key=key),
            calendar,
            say("a real calendar: {calendars}", calendars=", ".join(CALENDARS)),
        )
    try:
        origin = datetime(*(int(x or 0) for x in m.groups()[1:7]), tzinfo=_offset(m[8]))  # type: ignore[arg-type,misc]
    except (ValueError, OverflowError):
        raise refuse(name, say("{key}, units", key=key), units, _UNITS) from None
    raw = np.asarray(values)
    if raw.dtype.kind not in "iuf" or not np.all(np.isfinite(raw)):
        raise refuse(name, key, say("a time that is missing or no number"), say("a time for every value"))
    since = round((origin - datetime(1970, 1, 1, tzinfo=UTC)).total_seconds())
    found = raw.astype(float) * scale + since
    if np.any((found < 0) | (found > 7e9)):
        raise refuse(name, key, f"{units}", say("times from 1970 to 2190"))
    whole: Ints = np.rint(found).astype(np.int64)
    return whole


def _offset(text: str | None) -> timezone:
    if text is None or text.upper() in ("Z", "UTC", "GMT"):
        return UTC
    digits = text[1:].replace(":", "")
    h, mins = (int(digits[:-2]), int(digits[-2:])) if len(digits) > 2 else (int(digits), 0)
    return timezone((1 if text[0] == "+" else -1) * timedelta(hours=h, minutes=mins))


def stamps_in_order(stamps: Ints, name: str, key: str, most: int = MOST_STEPS) -> list[int]:
    """The stamps of an axis. Refuses none, too many, and any that do not go up."""
    if not 1 <= stamps.size <= most:
        raise refuse(
            name, key, say("{size} times", size=stamps.size), say("from 1 to {most} times", most=most)
        )
    if np.any(np.diff(stamps) <= 0):
        raise refuse(name, key, say("times that do not go up"), say("each time once, in order"))
    return [int(t) for t in stamps]


def bounded(bounds: Ints, stamps: Sequence[int], name: str, key: str) -> Steps:
    """Steps by the bounds of the axis, (steps, 2)."""
    starts, ends = bounds[:, 0], bounds[:, 1]
    inside = (starts <= np.array(stamps)) & (np.array(stamps) <= ends)
    if np.any(ends <= starts) or np.any(ends - starts > DAY) or not np.all(inside) or np.any(np.diff(starts) < 0) or np.any(np.diff(ends) < 0):  # fmt: skip
        raise refuse(name, key, say("bounds that cannot be meant"), say("for each time a start and a later end around it, within a day, in order"))  # fmt: skip
    return Steps(tuple(map(int, starts)), tuple(map(int, ends)), say("the bounds of the time axis"))


def _back(stamps: Sequence[int], most: int, name: str, key: str) -> list[int]:
    """How far back each value reaches: its step, or the step of its neighbour where that is shorter."""
    if len(stamps) < 2:
        raise refuse(
            name, key, say("one time without bounds"), say("bounds of the time axis, or at least two times")
        )
    steps = [b - a for a, b in itertools.pairwise(stamps)]
    steps = [steps[0], *steps]
    near = [*steps[1:], steps[-2] if len(steps) > 2 else steps[-1]]
    near[0] = min(steps[1], steps[2] if len(steps) > 2 else steps[1])
    return [min(a, b, most) for a, b in zip(steps, near, strict=True)]


def before(stamps: Sequence[int], name: str, key: str) -> Steps:
    """Each value stands for the time since the stamp before."""
    back = _back(stamps, DAY, name, key)
    return Steps(
        tuple(t - b for t, b in zip(stamps, back, strict=True)),
        tuple(stamps),
        say("the time since the stamp before"),
    )


def around(stamps: Sequence[int], name: str, key: str) -> Steps:
    """Each value stands for both sides of its stamp, up to the stamps beside it."""
    back = _back(stamps, LONGEST_MOMENT, name, key)
    starts = [t - b for t, b in zip(stamps, back, strict=True)]
    ends = [
        after if begins <= t else t for t, after, begins in zip(stamps, stamps[1:], starts[1:], strict=False)
    ]
    return Steps(tuple(starts), (*ends, stamps[-1]), say("both sides of its stamp"))


def hours_from(now: int, until: int, steps: Sequence[Steps]) -> Hours:
    """Hours from now to ``until`` or to the last step, whichever is later, as the outlook has them."""
    t0 = now // HOUR * HOUR
    last = max([until, *(s.ends[-1] for s in steps)])
    n = min(max(-((t0 - last) // HOUR), 1), MOST_HOURS)
    return Hours(now, tuple(t0 + i * HOUR for i in range(n)))


def reach(steps: Steps, hours: Hours) -> Reach:
    """Which steps reach into each hour; those that are over do not."""
    starts, ends = np.array(steps.starts), np.array(steps.ends)
    begin = int(np.searchsorted(ends, hours.now, side="right"))
    first, last, covered, shares = [], [], [], []
    for h in hours.starts:
        lo, hi = max(h, hours.now), h + HOUR
        a = max(int(np.searchsorted(ends, h, side="right")), begin)
        b = max(int(np.searchsorted(starts, hi, side="left")), a)
        at = lo
        for s, e in zip(steps.starts[a:b], steps.ends[a:b], strict=True):
            at = max(at, e) if s <= at else at
        first.append(a)
        last.append(b)
        covered.append(at >= hi)
        shares.append(tuple((min(e, hi) - max(s, lo)) / (e - s) for s, e in zip(steps.starts[a:b], steps.ends[a:b], strict=True)))  # fmt: skip
    return Reach(tuple(first), tuple(last), tuple(covered), tuple(shares))
