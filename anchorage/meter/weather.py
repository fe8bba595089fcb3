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
from anchorage.core.say import numeral, say
from anchorage.core.textfile import fingerprint, read_whole
from anchorage.deployment.policy import ORDER, use_of
from anchorage.deployment.reader import read_file
from anchorage.judging.plan import assess
from anchorage.meter.watch import limit
from anchorage.outlook import live
from anchorage.outlook.asked import Asked, forecasts_of
from anchorage.outlook.build import outlook
from anchorage.outlook.clock import read_iso
from anchorage.outlook.reader import read_text
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
        self.judged = self.fetch_at = float("-inf")
        self.failed = 0
        self.answer: live.Live | None = None
        """Of the network, the last good one."""
        self.no_answer = ""
        """Why none newer came."""

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
        fetch = self.asked.at is not None and not self.asked.offline and at >= self.fetch_at
        if here == self.was and at - self.judged < AGAIN and not fetch:
            return
        self.was, self.judged = here, at
        if fetch:  # what failed is asked for again, each time after twice as long, and never more often than the table says
            good = self._fetch()
            self.failed = 0 if good else self.failed + 1
            wait = limit("network") if good else min(AGAIN * 2.0 ** (self.failed - 1), limit("network"))
            self.fetch_at = at + wait
        self._judge()

    def _fetch(self) -> bool:
        """Ask the network; whether a fresh answer came. Without one the last good answer stays, of this run or of one before."""
        now = int(self.clock())
        try:
            answer = live.fetch(*live.place_of(str(self.asked.at)), now)
        except AnchorageError as e:
            self.no_answer = str(e).splitlines()[0][:200]
            return False
        if not answer.kept or self.answer is None:
            self.answer = answer
        self.no_answer = answer.note if answer.kept else ""
        return not answer.kept

    def _judge(self) -> None:
        now = int(self.clock())
        try:
            d = read_file(self.path)
            record = read_record(self.path, d.shelter, now)
            if record is not None and record.entries:  # its level is held beside this, and is no forecast
                d = as_it_stands(d, record)[0]
            found = forecasts_of(replace(self.asked, at=None), d.forecast, now, self.zone)
            if self.answer is not None:
                found += read_text(self.answer.text, now, say("NWS at {at}", at=self.asked.at))
            if not found:
                self.sky, self.fault = None, self.no_answer
                return
            o = outlook(plan_for(assess(d), found), d, found, now, self.zone, use=use_of(d), spread=None)
            mark = repr(
                (
                    self.was,
                    d.forecast,
                    None if self.answer is None else fingerprint(self.answer.text.encode()),
                )
            )
            self.sky, self.fault = sky_of(o, mark, self._age(now)), ""
        except (AnchorageError, OSError) as e:
            self.fault = say(
                "The forecast cannot be used, what it said before counts: {why}",
                why=str(e).splitlines()[0][:200],
            )
        except Exception as e:  # noqa: BLE001 - a fault of the program is said and takes nothing with it
            self.fault = say(
                "a fault of the program, please report it: {what}", what=f"{type(e).__name__}: {e}"[:200]
            )

    def _age(self, now: int) -> str:
        """How old the answer of the network is, where no newer one came."""
        if self.answer is None or not self.no_answer:
            return self.no_answer
        hours = max(now - self.answer.fetched, 0) / 3600.0
        return say(
            "{why}; the last good answer is {hours} h old.", why=self.no_answer, hours=numeral(hours, ".1f")
        )

    def stop(self) -> None:
        """End; nobody waits for it."""
        self.ended.set()
