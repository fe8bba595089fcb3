"""A meter being read: source, watch, record and minutes together, one turn after the other. Clocks come from outside.

Whoever calls ``turn`` has at every turn what is known: a command, a view of the interface in a thread of its own, a test with a
clock of its own. The clock on the wall may be put right meanwhile; intervals are taken from one that only goes forward.
"""

from __future__ import annotations

import functools
import time
from collections import deque
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import Protocol

from anchorage.core import tables
from anchorage.core.errors import AnchorageError
from anchorage.core.out import Level
from anchorage.core.say import say
from anchorage.core.units import show
from anchorage.core.words import LEVELS
from anchorage.deployment.policy import ORDER
from anchorage.deployment.reader import read_file
from anchorage.meter.keep import WHO, Keeper
from anchorage.meter.learn import Earlier, Factor, Gustiness, earlier, gustiness, site_factor
from anchorage.meter.site import Mast, Scale, by_hand, mast_of
from anchorage.meter.sources import Came
from anchorage.meter.store import Beat, Minute, Minutes, minutes_of
from anchorage.meter.watch import Event, Seen, Watch, limit
from anchorage.meter.weather import Sky
from anchorage.outlook.clock import show as show_time
from anchorage.record.over import corrected
from anchorage.record.stand import Watched, wait, watched, zone_in
from anchorage.record.store import path_of

WINDOW = 3600
WHOLE = 50
"""Minutes of an hour that were heard, for its highest gust to stand beside a forecast."""
BEGINS = 300
"""Seconds of an hour in which what is forecast for it still was before it."""


class Lines(Protocol):
    """What lines come from."""

    def take(self, timeout: float) -> Sequence[Came]: ...
    def stop(self) -> None: ...


class SkyOf(Protocol):
    """Where a forecast comes from, as it was judged last."""

    sky: Sky | None
    fault: str

    def stop(self) -> None: ...


@dataclass(frozen=True)
class Clock:
    """Seconds that only go forward, and seconds since 1970."""

    steady: Callable[[], float] = time.monotonic
    wall: Callable[[], float] = time.time


@dataclass(frozen=True)
class Report:
    """A moment of a meter: what is known, what it means here, and what became of the record."""

    seen: Seen
    wall: int
    """Seconds since 1970."""
    scale: Scale
    held: Level
    thunder_until: int | None
    heard: int | None
    """When the last reading came, seconds since 1970."""
    notes: tuple[str, ...]
    """What has to be said besides."""
    warnings: tuple[str, ...] = ()
    """What begins now, in words: of a trend, of a forecast."""
    hour: tuple[Minute, ...] = ()
    """The minutes of the last hour, of whatever meter."""
    factor: Factor | None = None
    """Meter over forecast at this site; None of too few pairs."""
    gustiness: Gustiness | None = None
    pairs: int = 0
    """Of forecast and meter, in the record."""

    @functools.cached_property
    def worth(self) -> tuple[float, float, float] | None:
        """Of the gust: what it is worth at 10 m (m/s), the limit that this is held against, and the share."""
        if self.seen.wind.gust is None:
            return None
        try:
            r = self.scale.worth(self.seen.wind.gust)
        except AnchorageError:
            return None
        return r.gust, r.limit, r.share

    @property
    def loud(self) -> bool:
        """Whether a bell has to ring now."""
        return any(e != "back" for e in self.seen.events)


@dataclass
class Session:
    """Reads a meter for a deployment file until somebody stops it. mast: as it was said now; None as it was said before."""

    path: Path
    lines: Lines
    source: str
    mast: Mast | None = None
    who: str = WHO
    clock: Clock = field(default_factory=Clock)
    records: bool = True
    """False: nothing is written, neither into the record nor beside the file."""
    weather: SkyOf | None = None
    """A forecast that is judged beside it."""

    def __post_init__(self) -> None:
        """The file, its record, and the levels of this meter are read before the first turn. Raises ``AnchorageError``."""
        at, now = self.clock.steady(), int(self.clock.wall())
        self.d = read_file(self.path)
        self.system = self.d.deployment.show_units
        w = watched(self.d, self.path, now)
        before = mast_of(w.entries)
        said = self.mast
        self.stands: Mast = said or before or by_hand()
        self.scale = Scale(w, self.stands)
        bearing = self.d.wind.bearing
        self.watch = Watch(self.scale, at, bearing=bearing, held=w.held.level)
        self.keeper = Keeper(self.path, lambda: read_file(self.path), self.system, self.who)
        self.minutes = Minutes(self.path, self.source)
        self.began, self.polled, self.recorded = now, at, at
        self.minute_at = at
        self.print_of = self._stamp()
        self.fault = ""
        self.sky: Sky | None = None
        self.warnings = list[str]()
        """What begins at this turn, in words."""
        self.factor: Factor | None = None
        self.gustiness: Gustiness | None = None
        self.pairs = 0
        self.expected: tuple[int, float] | None = None
        """The hour that runs (seconds since 1970), and the gust that was forecast for it when it began (m/s)."""
        self.told_earlier: Earlier | None = None
        self.lately: deque[tuple[float, str]] = deque(maxlen=3)
        """What began in the last minutes."""
        self.more = list[Event]()
        self.due: list[Minute] = []
        self.hour: deque[Minute] = deque(maxlen=WINDOW // 60)
        self._hold(w, now)
        self._recall(at, now)
        if said is not None and (before is None or before != said) and self.records:
            self.keeper.mast(said, now, self.who)

    def _recall(self, at: float, now: int) -> None:
        """The hour before, where this meter was read then: so that a trend does not begin anew."""
        for m in minutes_of(self.path, now - WINDOW):
            if m.at <= now:
                self.hour.append(m)
            if (
                m.source == self.source
                and m.gust is not None
                and m.at <= now
                and m.height in (None, self.stands.height)
            ):
                self.watch.minutes.append((at - (now - m.at), m.gust))

    def _hold(self, w: Watched, now: int) -> None:
        gone = corrected(w.entries)
        counting = [e for e in w.entries if e.id not in gone]
        self.factor, self.pairs = site_factor(counting), sum(e.event == "pair" for e in counting)
        self.held, self.thunder_until = w.held.level, w.thunder_until
        self.watch.held = w.held.level
        there = w.thunder_until is not None and w.thunder_until > now
        if there and not self.watch.thunder:
            self.more.append("thunder")
        self.watch.thunder = there

    def _stamp(self) -> tuple[object, ...]:
        """That file or record changed."""
        out: list[object] = []
        record = path_of(self.path)
        for p in (self.path, record, record.with_name(record.name + "-wal")):
            try:
                here = p.stat()
                out.append((here.st_mtime_ns, here.st_size, here.st_ino))
            except OSError:
                out.append(None)
        return tuple(out)

    def _look_again(self, now: int) -> None:
        """Levels anew: the record or the file changed."""
        try:
            self.d = read_file(self.path)
            w = watched(self.d, self.path, now)
            self.stands = mast_of(w.entries) or self.stands
            self.scale = Scale(w, self.stands, self.scale)
        except (AnchorageError, OSError) as e:
            self.fault = say("The levels are those of before: {e}", e=str(e).splitlines()[0][:200])
            return
        self.fault = ""
        self.watch.scale = self.scale
        self.watch.layout = self.d.wind.bearing
        self._hold(w, now)

    def turn(self, timeout: float = 0.2) -> Report:
        """Wait for lines at most so long (s), and say what is known. What has to be written down is written after that is known."""
        came = self.lines.take(timeout)
        self.watch.take(came)
        at, now = self.clock.steady(), int(self.clock.wall())
        self._look_up(now)
        seen = self.watch.step(at)
        self._write(seen, at, now)
        if at - self.polled >= limit("poll"):
            self.polled = at
            self._poll(seen, at, now)
        if self.more:
            seen = replace(seen, events=(*seen.events, *self.more))
        report = self._report(seen, at, now)
        self.lately.extend((at, w) for w in self.warnings)
        self.warnings, self.more = [], []
        return report

    def _look_up(self, now: int) -> None:
        """What the forecast says now; that it changed, and that it asks for more than it did."""
        if self.weather is None:
            return
        sky, before = self.weather.sky, self.sky
        self.sky = sky
        asks: Level = "normal" if sky is None else sky.level(now)
        if before is not None and sky is not None and sky.mark != before.mark:
            self.warnings.append(say("THE FORECAST CHANGED: {headline}", headline=sky.headline))
        if ORDER.index(asks) > ORDER.index(self.watch.sky):
            self.warnings.append(say("The forecast asks for it now: {level}.", level=LEVELS[asks]))
        if self.warnings:
            self.more.append("forecast")
        self.watch.sky = asks
        if sky is not None:
            self._pair(sky, now)
            self._warn_earlier(sky, now)

    def _pair(self, sky: Sky, now: int) -> None:
        """At each whole hour what was forecast for it when it began, beside the highest gust that came."""
        start = now - now % WINDOW
        if self.expected is not None and self.expected[0] < start:
            begun, forecast = self.expected
            heard = [m for m in self.hour if begun < m.at <= begun + WINDOW and m.gust is not None]
            if self.records and begun + WINDOW == start and len(heard) >= WHOLE and forecast > 0.0:
                worth = self.scale.worth(max(m.gust or 0.0 for m in heard)).gust
                texts = [show("speed", v, self.system, rounding="up", digits=1) for v in (worth, forecast)]
                self.keeper.say("pair", start, value=" of ".join(texts))
                self._flush(now)
            self.expected = None
        if self.expected is None and now - start < BEGINS:
            gust = sky.gust(start, start + WINDOW)
            self.expected = None if gust is None else (start, gust)

    def _warn_earlier(self, sky: Sky, now: int) -> None:
        """By the factor of the site a level may come earlier than forecast: said once for each, and nothing else."""
        if self.factor is None:
            return
        found = earlier(sky, self.factor, self.scale.w.policy, now)
        if found is None or found == self.told_earlier:
            return
        before, self.told_earlier = self.told_earlier, found
        if before is not None and before.level == found.level and before.at < now:
            return  # the hour that was told of is the one that runs
        at = show_time(found.at, zone_in(self.d.outlook))
        self.warnings.append(
            say(
                "By what this site does to a forecast, {factor}: {level} may come from {at}, earlier than forecast.",
                factor=self.factor.words, level=LEVELS[found.level], at=at,
            )
        )  # fmt: skip
        self.more.append("site")

    def thunder(self, note: str = "") -> None:
        """Somebody heard it: everybody out, and the wait begins."""
        now = int(self.clock.wall())
        if self.records:
            self.keeper.say("thunder", now, note=note or None)
            self._flush(now)
            self._look_again(now)
        self.watch.thunder = True

    def _wall(self, then: float, at: float, now: int) -> int:
        return max(int(now - max(at - then, 0.0)), 0)

    def _write(self, seen: Seen, at: float, now: int) -> None:
        if not self.records:
            return
        if seen.reached and seen.wind.gust is not None and seen.wind.gust_at is not None:
            then = self._wall(seen.wind.gust_at, at, now)
            self.watch.taken(at)
            self.recorded = at
            self.keeper.reading(seen.wind.gust, then, self.stands, self._turned(seen))
            spoken = show("speed", seen.wind.gust, self.system, rounding="up")
            for level in seen.reached:
                self.keeper.crossing(level, then, f"gust {spoken} at the meter, {self.stands.height_text}")
            self._flush(now)
        elif at - self.recorded >= self._pace() or (self.keeper.kept == 0 and at - self.began_at >= 60.0):
            self._periodic(seen, at, now)

    def _pace(self) -> float:
        """Seconds between two readings of the record: ten minutes while a level holds or is reached, else twice as often as one is due."""
        calm = self.watch.rank == 0 and self.held == "normal"
        return 0.5 * wait("reading") if calm else limit("record")

    @property
    def began_at(self) -> float:
        """When it was begun, by the clock that only goes forward."""
        return self.watch.began

    def _periodic(self, seen: Seen, at: float, now: int) -> None:
        best = self.watch.taken(at)
        self.recorded = at
        if best is not None:
            speed, then = best
            self.keeper.reading(speed, self._wall(then, at, now), self.stands, self._turned(seen))
        self._flush(now)

    def _turned(self, seen: Seen) -> str:
        """The direction, in words alone: whether a vane is turned right nobody knows, so wind from every side counts."""
        return "" if seen.wind.from_deg is None else f"by the meter from {seen.wind.from_deg:.0f}°"

    def _flush(self, now: int) -> None:
        if self.keeper.waiting:
            self.keeper.flush(now)
            self.print_of = ()

    def _poll(self, seen: Seen, at: float, now: int) -> None:
        if self.keeper.waiting:
            self._flush(now)
        stamp = self._stamp()
        if stamp != self.print_of or (self.thunder_until is not None and self.thunder_until <= now):
            self._look_again(now)
            self.print_of = stamp
        while at - self.minute_at >= 60.0:
            self.minute_at = max(self.minute_at + 60.0, at - WINDOW)
            self.hour.append(self._minute(self.minute_at, at, now))
            self.gustiness = gustiness(minutes_of(self.path, now - int(limit("keep"))))
            self.due.append(self.hour[-1])
        if not self.records:
            self.due = []
            return
        self.minutes.write(self._beat(seen, now, stopped=False), self.due)
        self.due = self.due[-60:] if self.minutes.fault else []

    def _minute(self, end: float, at: float, now: int) -> Minute:
        peak = self.watch.highest(end, 60.0)
        return Minute(
            self._wall(end, at, now), None if peak is None else peak[0], self.watch.mean(end, 60.0),
            self.watch.direction(end, 60.0), self.source, self.stands.height,
        )  # fmt: skip

    def _beat(self, seen: Seen, now: int, *, stopped: bool) -> Beat:
        heard = None if seen.heard is None else self._wall(seen.heard, seen.at, now)
        return Beat(self.source, self.began, now, heard, stopped, seen.alarm or "")

    def _report(self, seen: Seen, at: float, now: int) -> Report:
        heard = None if seen.heard is None else self._wall(seen.heard, at, now)
        return Report(
            seen, now, self.scale, self.held, self.thunder_until, heard, tuple(self.notes()), tuple(self.warnings), tuple(self.hour),
            self.factor, self.gustiness, self.pairs,
        )  # fmt: skip

    def notes(self) -> list[str]:
        """What has to be said besides: the meter's pace, its height, what is not written down."""
        out = []
        if self.keeper.fault:
            out.append(
                say(
                    "NOT WRITTEN DOWN, {waiting} waiting: {fault}",
                    waiting=len(self.keeper.waiting),
                    fault=self.keeper.fault,
                )
            )
        if self.fault:
            out.append(self.fault)
        if self.minutes.fault:
            out.append(self.minutes.fault)
        if self.weather is not None and self.weather.fault:
            out.append(self.weather.fault)
        if self.sky is not None and self.sky.note:
            out.append(self.sky.note)
        lost = self.watch.damaged(self.watch.looked)
        if lost is not None:
            out.append(
                say(
                    "{bad} OF {all} SENTENCES OF THE LAST MINUTE WERE DAMAGED: what is lost may be the gusts. Look at cable, plug and speed of the line.",
                    bad=lost[0],
                    all=lost[1],
                )
            )
        earlier = self.watch.earlier(self.watch.looked)
        if earlier is not None:
            out.append(
                say(
                    "Readings that were in the file when it was opened ({n}) have no times: the highest, {gust}, counts as of then.",
                    n=self.watch.found,
                    gust=show("speed", earlier[0], self.system, rounding="up"),
                )
            )
        out += [w for at, w in self.lately if self.watch.looked - at < limit("record")]
        if not self.stands.said:
            out.append(
                say(
                    "The height of the meter was not said: taken as {height_text}. Say it once: --height '10 ft'",
                    height_text=self.stands.height_text,
                )
            )
        pace = next(
            (s.gusts.interval for s in self.watch.streams.values() if s.gusts.interval is not None), None
        )
        if pace is not None and pace > tables.row("meter-means", "slowest").value:
            known = next(s.gusts.averaging() for s in self.watch.streams.values() if s.gusts.interval == pace)
            what = (
                say("each value counts as a gust")
                if known == "3 s"
                else say("each value counts as a {known} mean, raised to a gust", known=known)
            )
            out.append(
                say(
                    "This meter sends every {pace} s, too seldom for a 3 s mean: {what}.",
                    pace=f"{pace:.1f}",
                    what=what,
                )
            )
        return out

    def stop(self) -> Level:
        """End: what is left goes into the record. The level at the end."""
        self.lines.stop()
        if self.weather is not None:
            self.weather.stop()
        at, now = self.clock.steady(), int(self.clock.wall())
        self.watch.take(self.lines.take(0.0))
        seen = self.watch.step(at)
        if self.records:
            if seen.reached:
                self._write(seen, at, now)
            self._periodic(seen, at, now)
            if at - self.minute_at > limit("poll"):  # what there is of the minute that runs
                self.due.append(self._minute(at, at, now))
            self.minutes.write(self._beat(seen, now, stopped=True), self.due)
            self.minutes.close()
        return seen.level
