"""A meter read beside the interface: a thread reads it, the newest moment waits to be shown, and no key waits for either."""

from __future__ import annotations

import threading
import time
from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING

from anchorage.core.errors import AnchorageError
from anchorage.core.say import say
from tui.broken import broken

if TYPE_CHECKING:
    from anchorage.meter.run import Report
    from anchorage.meter.watch import Event
    from tui.pages import Line

EVERY = 1.0
"""Seconds between two moments that are shown where nothing begins."""
TURN = 0.25
"""Seconds that a turn waits for lines."""


class Metering(threading.Thread):
    """Reads a meter for a file. told: called in this thread when there is something new; nothing is handed over but that it is."""

    def __init__(self, path: Path, address: str, told: Callable[[], None]) -> None:
        """address: as after ``meter --from``."""
        super().__init__(name="metering", daemon=True)
        self.path, self.address, self.told = path, address, told
        self.ended = threading.Event()
        self.heard = threading.Event()
        """Somebody asked for thunder to be written down."""
        self.report: Report | None = None
        """The newest moment; older ones are not kept."""
        self.events: set[Event] = set()
        """What began since it was last looked at, at most once each."""
        self.fault = ""
        self.zone: str | None = None
        """Of the people, by the file."""
        self.lock = threading.Lock()

    def run(self) -> None:
        from anchorage.meter.run import Session  # noqa: PLC0415 - after the first screen
        from anchorage.meter.sources import Reader, address_of  # noqa: PLC0415

        session = None
        try:
            reader = Reader(address_of(self.address))
            session = Session(self.path, reader, reader.address.text)
            self.zone = session.d.outlook.zone
            reader.start()
            shown = 0.0
            while not self.ended.is_set():
                if self.heard.is_set():
                    self.heard.clear()
                    session.thunder()
                r = session.turn(TURN)
                if r.seen.heard is not None:
                    reader.heard.set()
                if reader.fault is not None:
                    self._failed(str(reader.fault))
                    break
                at = time.monotonic()
                with self.lock:
                    self.report = r
                    self.events |= set(r.seen.events)
                if r.seen.events or at - shown >= EVERY:
                    shown = at
                    self.told()
        except AnchorageError as e:
            self._failed(str(e).splitlines()[0])
        except Exception as e:  # noqa: BLE001 - a fault of the program is said and takes nothing with it
            self._failed(broken(e))
        finally:
            if session is not None:
                session.stop()

    def _failed(self, text: str) -> None:
        self.fault = text[:300]
        self.told()

    def news(self) -> tuple[Report | None, set[Event]]:
        """The newest moment, and what began since the last time."""
        with self.lock:
            events, self.events = self.events, set()
            return self.report, events

    def stop(self) -> None:
        """End it; nobody waits."""
        self.ended.set()


def status(m: Metering | None) -> str:
    """A few words, always in sight while a meter is read."""
    if m is None:
        return ""
    from anchorage.core.units import show  # noqa: PLC0415 - after the first screen
    from anchorage.core.words import LEVELS  # noqa: PLC0415
    from anchorage.paper.meter_page import WHAT  # noqa: PLC0415

    r = m.report
    if m.fault:
        return say("METER: {fault}", fault=m.fault)
    if r is None:
        return say("METER: not heard yet")
    if r.seen.alarm in ("silent", "stuck"):
        return f"!!! {WHAT[r.seen.alarm]} !!!"
    gust = r.seen.wind.gust
    if gust is None:
        return say("METER: waiting")
    text = show("speed", gust, r.scale.w.judge.d.deployment.show_units, rounding="up")
    return say("METER gust {text}: {level}", text=text, level=LEVELS[r.seen.level])


def page(m: Metering, zone_name: str | None, wide: int, *, plain: bool) -> list[Line]:
    """What the meter says, for the view of where it stands."""
    from datetime import UTC  # noqa: PLC0415 - after the first screen

    from anchorage.outlook.clock import zone_of  # noqa: PLC0415
    from anchorage.paper.meter_page import screen_lines  # noqa: PLC0415
    from tui.pages import head, para  # noqa: PLC0415

    out: list[Line] = [head(say("METER {address}", address=m.address), wide)]
    if m.fault:
        return [*out, *para(m.fault, wide, "! ", "bad")]
    r = m.report
    if r is None:
        return [*out, (say("Not heard yet"), "")]
    zone = UTC if zone_name is None else zone_of(zone_name)
    style = "bad" if r.seen.alarm is not None else ""
    for i, text in enumerate(screen_lines(r, zone, m.path.name, wide, plain=plain)):
        out.append((text[:wide], style if i < 3 or text.startswith("!!!") else ""))
    return out
