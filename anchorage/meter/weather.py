"""The forecast beside a meter: read again when its file changes, or the network has a newer one, in a thread of its own.

What it asks for raises a level as a reading does, and lowers none. A network is asked politely (``outlook.live``: its own name,
waits that grow, the last good answer with its age) and no more often than the table says.
"""

from __future__ import annotations

import threading
import time
from collections.abc import Callable
from dataclasses import dataclass, replace
from datetime import tzinfo
from pathlib import Path

from anchorage.core.errors import AnchorageError
from anchorage.core.out import Level
from anchorage.core.say import say
from anchorage.core.textfile import fingerprint, read_whole
from anchorage.deployment.policy import ORDER, use_of
from anchorage.deployment.reader import read_file
from anchorage.judging.plan import assess
from anchorage.meter.watch import limit
from anchorage.outlook.asked import Asked, forecasts_of
from anchorage.outlook.build import outlook
from anchorage.outlook.clock import read_iso
from anchorage.outlook.result import Outlook
from anchorage.outlook.untrusted import LARGEST
from anchorage.outlook.weathered import plan_for
from anchorage.record.over import as_it_stands, read_record

AGAIN = 300.0
"""Seconds after which a forecast is judged again though it did not change: time goes on."""
STEPS: dict[str, Level] = {"secure_by": "secure", "people_out_by": "people-out"}


@dataclass(frozen=True)
class Span:
    """An hour of a forecast, in seconds since 1970. gust: m/s at 10 m; share: of the limit; None where it is not known."""

    start: int
    end: int
    level: Level
    gust: float | None
    share: float | None = None


@dataclass(frozen=True)
class Sky:
    """A forecast as it was judged."""

    headline: str
    spans: tuple[Span, ...]
    past: Level
    """What a deadline that has passed asks for."""
    mark: str
    """The same where it was made of the same forecasts."""
    note: str = ""
    """Why it is an earlier one."""

    def level(self, now: int) -> Level:
        """What it asks for now."""
        here = [s.level for s in self.spans if s.start <= now < s.end]
        return max([self.past, *here], key=ORDER.index)

    def gust(self, start: int, end: int) -> float | None:
        """Highest gust forecast for a time (m/s at 10 m); None where an hour of it has none."""
        inside = [s for s in self.spans if s.start < end and s.end > start]
        known = [s.gust for s in inside if s.gust is not None]
        whole = sum(min(s.end, end) - max(s.start, start) for s in inside) >= end - start
        return max(known) if whole and len(known) == len(inside) else None


def sky_of(o: Outlook, mark: str, note: str = "") -> Sky:
    """What an outlook means beside a meter. mark: of what was forecast."""
    spans = tuple(
        Span(
            read_iso(h.start, "outlook", "time"), read_iso(h.end, "outlook", "time"),
            h.level if h.level != "unknown" else h.known_level, h.gust_m_s, h.share,
        )
        for h in o.hours
    )  # fmt: skip
    asked = [STEPS[n.name] for n in o.deadline_notes if n.past and n.name in STEPS]
    past: Level = max(["normal", *asked], key=ORDER.index)
    return Sky(o.headline, spans, past, mark, note)


class Weather(threading.Thread):
    """Judges a forecast beside a meter. clock: seconds since 1970."""

    def __init__(
        self, path: Path, asked: Asked, zone: tzinfo | None, clock: Callable[[], float] = time.time
    ) -> None:
        super().__init__(name="weather", daemon=True)
        self.path, self.asked, self.zone, self.clock = path, asked, zone, clock
        self.ended = threading.Event()
        self.sky: Sky | None = None
        self.fault = ""
        self.was = ""
        self.judged = self.fetched = float("-inf")

    def run(self) -> None:
        while not self.ended.is_set():
            self.look(time.monotonic())
            self.ended.wait(limit("poll"))

    def _print(self) -> str:
        """That a file changed, by what is in it; one that cannot be read is another one."""
        out = []
        for p in self.asked.forecast:
            try:
                out.append(fingerprint(read_whole(Path(p), LARGEST)))
            except OSError as e:
                out.append(str(e.errno))
        return " ".join(out)

    def look(self, at: float) -> None:
        """Judge it where it is time to. at: seconds of a clock that only goes forward."""
        here = self._print()
        every = limit("network") if self.asked.at is not None else AGAIN
        if here == self.was and at - self.judged < (AGAIN if self.asked.at is None else every):
            return
        offline = self.asked.offline or at - self.fetched < limit("network")
        self.was, self.judged = here, at
        if not offline:
            self.fetched = at
        self._judge(offline=offline)

    def _judge(self, *, offline: bool) -> None:
        now = int(self.clock())
        try:
            d = read_file(self.path)
            record = read_record(self.path, d, now)
            if record is not None and record.entries:  # its level is held beside this, and is no forecast
                d = as_it_stands(d, record)[0]
            asked = replace(self.asked, offline=offline) if self.asked.at is not None else self.asked
            found = forecasts_of(asked, d, now, self.zone)
            if not found:
                self.sky, self.fault = None, ""
                return
            of_network = found[-1].notes if self.asked.at is not None else ()
            o = outlook(plan_for(assess(d), found), d, found, now, self.zone, use=use_of(d), spread=None)
            mark = repr((self.was, d.forecast, [f.issued for f in found] if self.asked.at else None))
            self.sky, self.fault = sky_of(o, mark, of_network[-1] if of_network else ""), ""
        except (AnchorageError, OSError) as e:
            self.fault = say(
                "The forecast cannot be used, what it said before counts: {why}",
                why=str(e).splitlines()[0][:200],
            )
        except Exception as e:  # noqa: BLE001 - a fault of the program is said and takes nothing with it
            self.fault = say(
                "a fault of the program, please report it: {what}", what=f"{type(e).__name__}: {e}"[:200]
            )

    def stop(self) -> None:
        """End; nobody waits for it."""
        self.ended.set()
