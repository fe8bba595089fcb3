"""Windows of N hours: what the worst of their hours allows, counted by month and hour. One rule for a station and for a grid.

Hours stand along the first axis; any other axes are cells.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import UTC, datetime, timedelta, tzinfo

import numpy as np
from numpy.typing import NDArray

from anchorage.outlook import rule
from anchorage.outlook.clock import HOUR

Codes = NDArray[np.int8]
Ints = NDArray[np.int64]
IN, EMPTY, DOWN, UNKNOWN = range(4)
"""What a window allows; a window with an hour that is missing is unknown, whatever the others were."""
SHARES = ("share_in", "share_empty", "share_down", "share_unknown")
_OF_RANK = np.array([IN, IN, EMPTY, DOWN], np.int8)


def code_of(rank: rule.Ranks, missing: rule.Flags) -> Codes:
    """What each hour allows, by the rank of its level."""
    found = _OF_RANK[np.clip(rank, rule.NORMAL, rule.KEEP_AWAY)]
    found[missing] = UNKNOWN
    return found


def worst_within(codes: Codes, n: int) -> Codes:
    """The worst of the ``n`` hours from each hour on, for every window that lies wholly within."""
    if n < 1 or n > len(codes):
        return codes[:0]
    out, size = codes, 1
    while size * 2 <= n:
        out = np.maximum(out[:-size], out[size:])
        size *= 2
    rest = n - size
    return np.maximum(out[: len(out) - rest], out[rest:]) if rest else out


@dataclass(frozen=True)
class Calendar:
    """Month (1 to 12), hour (0 to 23) and year of each hour, by the clock of the people."""

    year: Ints
    month: Ints
    hour: Ints

    def __len__(self) -> int:
        return len(self.hour)

    def first(self, n: int) -> Calendar:
        """Of the first ``n`` hours."""
        return Calendar(self.year[:n], self.month[:n], self.hour[:n])


def calendar(first: int, n: int, zone: tzinfo) -> Calendar:
    """Of ``n`` hours from ``first`` (seconds UTC) on. The zone is asked once a day, and hour by hour where the clocks change."""
    hours = first + HOUR * np.arange(n + 1, dtype=np.int64)
    knots = np.append(np.arange(0, n, 24), n)
    offsets = np.array([_offset(int(hours[k]), zone) for k in knots])
    shift = np.repeat(offsets[:-1], np.diff(knots))
    for k in np.flatnonzero(np.diff(offsets)):
        for i in range(knots[k], knots[k + 1]):
            shift[i] = _offset(int(hours[i]), zone)
    local = (hours[:n] + shift).astype("datetime64[s]")
    months = local.astype("datetime64[M]").astype(np.int64)
    return Calendar(1970 + months // 12, months % 12 + 1, (hours[:n] + shift) // HOUR % 24)


def _offset(at: int, zone: tzinfo) -> int:
    found = zone.utcoffset(datetime.fromtimestamp(at, UTC).astimezone(zone)) or timedelta()
    return int(found.total_seconds())


def counts(codes: Codes, *keys: tuple[Ints, int]) -> Ints:
    """How many windows of each kind, by some keys (value of each window from 0, and how many values there are)."""
    index, shape = np.zeros(len(codes), np.int64), []
    for values, n in keys:
        index = index * n + values
        shape.append(n)
    found: Ints = np.bincount(index * 4 + codes, minlength=int(np.prod(shape, dtype=int)) * 4)
    return found.reshape(*shape, 4)


def cell_counts(codes: Codes, month: Ints) -> Ints:
    """The same for cells, by month: (cells..., 12, 4). month: of each window, 1 to 12."""
    out = np.zeros((*codes.shape[1:], 12, 4), np.int64)
    for m in range(12):
        mine = codes[month == m + 1]
        for k in range(4):
            out[..., m, k] = np.count_nonzero(mine == k, axis=0)
    return out


def shares(found: Ints) -> NDArray[np.float64]:
    """Counts as shares of all windows; NaN where there are none."""
    total = found.sum(axis=-1, keepdims=True)
    with np.errstate(invalid="ignore", divide="ignore"):
        out: NDArray[np.float64] = found / total
    return out
