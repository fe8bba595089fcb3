"""The trend of the gusts: when the next level may be reached, if it goes on as in the last hour, and how sure that is."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from anchorage.core import tables
from anchorage.core.out import Level


def _row(key: str) -> float:
    return tables.row("meter-trend", key).value


@dataclass(frozen=True)
class Trend:
    """Seconds until a level is reached. low: if it rises as steeply as may be; high: as slowly, None where it may never."""

    to: Level
    expected: float
    low: float
    high: float | None

    @property
    def sure(self) -> bool:
        """Whether it rises, as far as an hour can tell."""
        return self.high is not None


def trend_of(minutes: Sequence[tuple[float, float]], mark: float, to: Level) -> Trend | None:
    """A straight line through the highest gust of each minute: None where it does not rise, or not within what is spoken of.

    minutes: time (s, now is 0) and speed (m/s); mark: the speed at which the level begins, the highest of the last 10 min being below it.
    """
    if len(minutes) < _row("least") or not math.isfinite(mark):
        return None
    t, v = np.array(minutes).T
    keep = t > -_row("window")
    t, v = t[keep], v[keep]
    n = t.size
    if n < _row("least"):
        return None
    centre = t - t.mean()
    spread = float((centre**2).sum())
    if spread == 0.0:
        return None
    slope = float((centre * v).sum()) / spread
    rest = v - v.mean() - slope * centre
    own = max(float(t.max() - t.min()) / _row("block"), 3.0)  # that are each of its own
    error = math.sqrt(float((rest**2).sum()) / max(n - 2, 1) / spread * max(n / own, 1.0))
    top = (
        float(v.mean()) + slope * float(-t.mean()) + float(rest.max())
    )  # the gusts of a line that carries the highest
    need = max(mark - top, 0.0)
    steep, slow = slope + _row("sides") * error, slope - _row("sides") * error
    if slope <= 0.0 or need / slope > _row("ahead"):
        return None
    return Trend(to, need / slope, need / steep, need / slow if slow > 0.0 else None)
