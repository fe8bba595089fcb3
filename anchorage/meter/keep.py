"""What a meter writes into the record: its highest gust every ten minutes, each level that it crosses, how it stands.

One entry after the other, the oldest first. What could not be kept is kept as soon as it can be, with the time at which it
happened; who reads the meter is told. A reading is rounded up and never down.
"""

from __future__ import annotations

from collections import deque
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

from anchorage.core.errors import AnchorageError
from anchorage.core.out import Level
from anchorage.core.units import System, show
from anchorage.deployment.models import Deployment
from anchorage.meter.site import Mast
from anchorage.record.events import PEAK, Said
from anchorage.record.write import Request, keep

WAITING = 500
"""Entries that wait at most; the lowest readings are given up first, no crossing ever."""
WHO = "meter"


@dataclass(frozen=True)
class Waiting:
    """An entry that is to be kept. at: when it happened, seconds since 1970."""

    said: Said
    at: int
    speed: float = 0.0


class Keeper:
    """Puts entries into the record of one file. reads: how the file reads now; it may be edited while it is watched."""

    def __init__(self, path: Path, reads: Callable[[], Deployment], system: System, who: str = WHO) -> None:
        self.path, self.reads, self.system, self.who = path, reads, system, who
        self.waiting = deque[Waiting]()
        self.fault = ""
        """Why the last one was not kept; empty where nothing waits."""
        self.kept = 0

    def reading(self, speed: float, at: int, mast: Mast, note: str = "") -> None:
        """A gust of the meter."""
        typed = show("speed", speed, self.system, rounding="up", digits=2)
        height = mast.height_text if mast.said else None
        said = Said("wind", typed, who=self.who, height=height, averaging=PEAK, note=note or None)
        self._add(Waiting(said, at, speed))

    def crossing(self, level: Level, at: int, note: str) -> None:
        """A level that was reached."""
        self._add(Waiting(Said("crossing", level, who=self.who, note=note), at, float("inf")))

    def mast(self, mast: Mast, at: int, who: str) -> None:
        """How the meter stands."""
        said = Said("meter", who=who, height=mast.height_text, bearing=mast.mark, note=mast.place or None)
        self._add(Waiting(said, at, float("inf")))

    def say(
        self,
        event: str,
        at: int,
        *,
        value: str | None = None,
        note: str | None = None,
        who: str | None = None,
    ) -> None:
        """Anything else."""
        self._add(Waiting(Said(event, value, who=who or self.who, note=note), at, float("inf")))

    def _add(self, w: Waiting) -> None:
        self.waiting.append(w)
        while len(self.waiting) > WAITING:
            self.waiting.remove(min(self.waiting, key=lambda x: x.speed))

    def flush(self, now: int) -> bool:
        """Keep what waits; True where all of it is kept."""
        while self.waiting:
            w = self.waiting[0]
            at = min(w.at, now)
            try:
                d = self.reads()
                keep(Request(self.path, d, w.said, now, at=at))
            except (AnchorageError, OSError) as e:
                self.fault = str(e).splitlines()[0][:300]
                return False
            self.waiting.popleft()
            self.kept += 1
        self.fault = ""
        return True
