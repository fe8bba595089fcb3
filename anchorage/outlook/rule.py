"""The rule of an hour, in numbers: shares of a limit in, a level out. One rule for a forecast and for a grid of them.

Every function takes arrays of any one shape (hours in a row, or cells and members) and gives arrays of that shape.
Ranks are places in ``NAMES``; verdicts are places in ``VERDICTS``, so that the larger is the worse in both, and
unknown stands above no level: ``level`` alone sets it.
"""

from __future__ import annotations

import functools
from collections.abc import Sequence

import numpy as np
from numpy.typing import ArrayLike, NDArray

from anchorage.core.out import Level
from anchorage.core.words import WORST_LAST
from anchorage.deployment.policy import TIGHT, OperatingPolicy
from anchorage.outlook.hours import ORDER

NORMAL, SECURE, PEOPLE_OUT, KEEP_AWAY, UNKNOWN = range(5)
NAMES: tuple[Level, ...] = (*ORDER, "unknown")
VERDICTS = WORST_LAST
GO, CANNOT_SAY, NO_GO = range(3)
ABSENT = -1
"""Rank of a cause that is not there."""

Floats = NDArray[np.float64]
Ranks = NDArray[np.int8]
Flags = NDArray[np.bool_]


def share_of(value: ArrayLike, limit: ArrayLike) -> Floats:
    """Value over its limit, in the unit of both; 0 for nothing, infinite where the limit is nothing, NaN stays NaN."""
    v, most = np.asarray(value, float), np.asarray(limit, float)
    with np.errstate(divide="ignore", invalid="ignore"):
        out: Floats = np.where(v <= 0.0, 0.0, np.where((most <= 0.0) & ~np.isnan(v), np.inf, v / most))
    return out


def rank_of(share: ArrayLike, s: OperatingPolicy) -> Ranks:
    """Rank of a share of a limit; NaN is ``ABSENT``."""
    x = np.asarray(share, float)
    out = np.where(x >= s.secure - TIGHT, SECURE, np.where(np.isnan(x), ABSENT, NORMAL)).astype(np.int8)
    out[x >= s.people_out - TIGHT] = PEOPLE_OUT
    out[x >= s.keep_away - TIGHT] = KEEP_AWAY
    return out


def snow_rank(share: ArrayLike, lies: ArrayLike, s: OperatingPolicy) -> Ranks:
    """Rank of a share of the roof-snow limit, where snow lies or falls."""
    return np.where(lies, rank_of(share, s), ABSENT).astype(np.int8)


def depth_rank(depth: ArrayLike, most: float | None, s: OperatingPolicy) -> Ranks:
    """Rank of a depth of new snow (m) by a rule that allows ``most`` (m), on the scale of every other share; such a rule empties, no more."""
    deep = np.asarray(depth, float)
    found = snow_rank(share_of(deep, np.inf if most is None else most), (deep > 0.0) & (most is not None), s)
    return np.minimum(found, np.int8(PEOPLE_OUT))


def flag_rank(there: ArrayLike) -> Ranks:
    """Rank of what empties the shelter wherever it is there, such as thunder."""
    return np.where(there, PEOPLE_OUT, ABSENT).astype(np.int8)


def known_of(causes: Sequence[Ranks]) -> Ranks:
    """The level that is certain: the highest of the causes, normal where there is none."""
    return np.maximum(functools.reduce(np.maximum, causes), np.int8(NORMAL))


def level_of(known: Ranks, gap: ArrayLike) -> Ranks:
    """The level: unknown where something is missing and what is known does not empty the shelter already."""
    return np.where(np.asarray(gap) & (known < PEOPLE_OUT), UNKNOWN, known).astype(np.int8)


def verdict_of(
    use: str, level: Ranks, *, known: Ranks, share: ArrayLike, gust: ArrayLike, complete: ArrayLike, thunder: ArrayLike, half_built: ArrayLike | None
) -> Ranks:  # fmt: skip
    """Verdict of one use of ``USES``. share: of the gust limit; gust (m/s): the largest known; NaN where none is;
    complete: nothing that could load it is missing, gust or snow. An unknown hour is no better than what is known of it.
    """
    unknown = level == UNKNOWN
    level = np.where(unknown, known, level).astype(np.int8)
    if use == "working":
        found = np.where(level == NORMAL, GO, NO_GO)
    elif use == "people-in":
        found = np.where(level <= SECURE, GO, NO_GO)
    elif use == "empty":
        gone = (level == KEEP_AWAY) | (np.asarray(share, float) >= 1.0 - TIGHT)
        found = np.where(gone, NO_GO, np.where(thunder, CANNOT_SAY, GO))
        short = (level == PEOPLE_OUT) & ~np.asarray(complete)
        found = np.where(short, np.maximum(found, CANNOT_SAY), found)
    else:
        held = True if half_built is None else ~(np.asarray(gust, float) >= np.asarray(half_built, float))
        found = np.where((level == NORMAL) & held, GO, NO_GO)
    return np.where(unknown, np.maximum(found, CANNOT_SAY), found).astype(np.int8)


SHORT_GAP = 2
"""Hours: a gap no longer than this takes the worse of its neighbours."""


def acted(known: Ranks, level: Ranks, statement: ArrayLike, inside: int) -> Ranks:
    """The level that is acted upon, hours along the first axis. What nobody knows gives nobody a rest.

    Up to two hours in a row are as the worse hour beside them. More than that, or a gap that runs to the end, or one with a
    statement in it that could not be read, is people-out from where it begins. inside: hours up to the end of the stay;
    a gap that lies wholly after them and has no end counts as what is known.
    """
    n, unknown = len(level), level == UNKNOWN
    told = np.asarray(statement, bool) & unknown
    length = np.zeros(level.shape, np.int16)
    left, right = np.full(level.shape, NORMAL, np.int8), np.full(level.shape, NORMAL, np.int8)
    heard, begins = told.copy(), np.zeros(level.shape, np.int16)
    for i in range(1, n):
        left[i] = np.where(unknown[i - 1], left[i - 1], level[i - 1])
    for i in range(n):
        begins[i] = np.where(unknown[i], begins[i - 1] if i else 0, i + 1)
        length[i] = np.where(unknown[i], (length[i - 1] if i else 0) + 1, 0)
        if i:
            heard[i] |= unknown[i] & heard[i - 1]
    open_ = np.zeros(level.shape, bool)
    open_[n - 1 :] = unknown[n - 1 :]
    for i in range(n - 2, -1, -1):
        on = unknown[i] & unknown[i + 1]
        right[i] = np.where(on, right[i + 1], np.where(unknown[i + 1], NORMAL, level[i + 1]))
        length[i] = np.where(on, length[i + 1], length[i])
        heard[i] |= on & heard[i + 1]
        open_[i] = on & open_[i + 1]
    out = (heard | (length > SHORT_GAP) | open_) & ~(open_ & (begins >= inside))
    worse = np.maximum(known, np.maximum(left, right))
    free = open_ & (begins >= inside)
    found = np.where(out, np.maximum(known, np.int8(PEOPLE_OUT)), np.where(free, known, worse))
    return np.where(unknown, found, level).astype(np.int8)


def waits(level: Ranks, waiting: ArrayLike) -> tuple[Flags, Flags]:
    """Whether an hour stands under the wait that follows people-out, and whether the next one does.

    It ends with the first hour at normal, which is itself still under it: 30 min and an inspection come first. An hour
    that is unknown stands under it too.
    """
    out = (level == PEOPLE_OUT) | (level == KEEP_AWAY)
    before = np.asarray(waiting, bool)
    return before & ~out, out | (before & (level != NORMAL))


def after_unknown(level: Ranks, after: ArrayLike) -> tuple[Flags, Flags]:
    """Whether an hour comes after unknown ones that may have been people-out, and whether the next one does.

    It ends as a wait does, with the first hour at normal, which is itself still under it.
    """
    before, unknown = np.asarray(after, bool), level == UNKNOWN
    return before & ~unknown, unknown | (before & (level != NORMAL))
