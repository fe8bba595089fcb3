"""One meter, watched: lines in, what is known of the wind and what has to be said of it out. No clock is read here and nothing is written.

``at`` is seconds of a clock that only goes forward. A dead or stuck meter is no calm: the level is unknown then, or what it was
raised to before. A level is crossed when the highest 3 s gust of the last 10 min reaches it, and once each time.
"""

from __future__ import annotations

import functools
from collections import Counter, deque
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from typing import Literal

import numpy as np

from anchorage.core import tables
from anchorage.core.out import Level
from anchorage.core.say import say
from anchorage.deployment.policy import ORDER
from anchorage.meter.gusts import EDGE, Gusts, Wind, seconds
from anchorage.meter.sentences import Refused, Sample, sample_of
from anchorage.meter.site import Scale
from anchorage.meter.sources import OPEN, Came
from anchorage.meter.trend import Trend, trend_of

Alarm = Literal["level", "silent", "stuck", "shift"]
Event = Literal["level", "silent", "stuck", "shift", "trend", "back", "thunder", "forecast", "site"]
LOUDEST: tuple[Alarm, ...] = ("silent", "stuck", "level", "shift")
"""Alarms, the loudest first: a dead meter is worse than a calm one."""
STREAMS = 6
"""Kinds of sentences that are followed at once; each is reckoned alone, and of several the highest counts."""
DAMAGED = frozenset(Refused) - {Refused.FOREIGN, Refused.NO_SENTENCE}
"""Sentences about wind that are lost; a line that is none, or of something else, takes nothing away."""
LATELY = 2048
BY_NORTH = ("MWD", "MDA", "MWV T", "MWV R", "VWR", "XDR")
"""Whose direction is shown, where several say one."""


@functools.cache
def limit(key: str) -> float:
    """A row of what is watched for."""
    return tables.row("meter-watch", key).value


class Stream:
    """Samples of one kind of sentence of one talker, and whether they can be believed."""

    def __init__(self, raised: Callable[[str], float]) -> None:
        self.gusts = Gusts(raised)
        self.heard: float | None = None
        """When the last valid sentence came."""
        self.same: tuple[float, float | None] | None = None
        self.since = self.speed_since = 0.0
        self.repeats = self.speed_repeats = 0
        self.before: list[float] = []
        """Speeds that were there when the source was opened, of which nobody knows when they came."""
        self.opened = 0.0

    def earlier(self, at: float) -> tuple[float, float] | None:
        """The highest of those that may be of the time for which a gust counts, as of when the source was opened.

        By the pace of the meter they are the last so many; until that is known, all of them.
        """
        window, pace = seconds("looks-back"), self.gusts.interval
        if not self.before or at - self.opened > window:
            return None
        last = self.before if pace is None else self.before[-int(window / max(pace, EDGE) + 1) :]
        return max(last) * self.gusts.raised(self.gusts.averaging()), self.opened

    def take(self, at: float, samples: Sequence[Sample]) -> None:
        """Samples that came at one moment: held up on their way, they are laid out at the meter's own pace, back to the one before."""
        n = len(samples)
        before, pace = self.heard, self.gusts.interval
        step = 0.0 if before is None else max(at - before, 0.0) / n
        if pace is not None:
            step = min(step, pace)
        good_t, good_v, good_from = list[float](), list[float](), list[float]()
        for i, s in enumerate(samples):
            t = at - (n - 1 - i) * step
            self._repeated(t, s)
            if self.stuck(t):
                continue
            good_t.append(t)
            good_v.append(s.speed)
            good_from.append(np.nan if s.from_deg is None else s.from_deg)
        self.heard = at
        self.gusts.push(np.array(good_t), np.array(good_v), np.array(good_from))

    def _repeated(self, t: float, s: Sample) -> None:
        now = (s.speed, s.angle)
        if self.same is None or now[0] != self.same[0]:
            self.speed_since, self.speed_repeats = t, 0
        if self.same is None or now != self.same or s.angle is None:
            self.since, self.repeats = t, 0
        self.same, self.repeats, self.speed_repeats = now, self.repeats + 1, self.speed_repeats + 1

    def stuck(self, at: float) -> bool:
        """Whether it says the same, digit by digit, for longer than wind does."""
        if self.same is None:
            return False
        least, both, alone = limit("stuck-samples"), at - self.since, at - self.speed_since
        if self.same[0] == 0.0:
            return self.speed_repeats >= least and alone >= limit("stuck-calm")
        return (self.repeats >= least and both >= limit("stuck")) or (
            self.speed_repeats >= least and alone >= limit("stuck-speed")
        )

    def silent_after(self) -> float:
        """Seconds without a reading after which it is silent."""
        pace = self.gusts.interval
        return max(limit("silent"), 0.0 if pace is None else pace * limit("silent-intervals"))

    def silent(self, at: float) -> bool:
        """Whether nothing valid came for too long."""
        return self.heard is None or at - self.heard > self.silent_after()


@dataclass(frozen=True)
class Seen:
    """What is known at a moment. Speeds in m/s as the meter gave them; None where there is no reading."""

    at: float
    wind: Wind
    level: Level
    """The higher of what the gusts of the last 10 min reach and of what holds by the record; unknown without a reading below PEOPLE OUT."""
    level_now: Level
    """By the gusts of the last 10 min alone."""
    alarm: Alarm | None
    """The loudest that is on."""
    alarms: tuple[Alarm, ...]
    """Every one that is on."""
    events: tuple[Event, ...]
    """What begins now."""
    reached: tuple[Level, ...]
    """Levels that are crossed now, the lowest first."""
    trend: Trend | None
    heard: float | None
    """When the last reading came."""
    state: str
    """What became of the source: empty where it is open."""
    calm: bool = False
    """What is stuck reads nothing at all: it may be a calm."""


_NOTHING = Wind(None, None, None, None, None, "3 s", None)


class Watch:
    """A meter and what it is held against. ``scale``, ``held`` and ``thunder`` are put in by who reads the record."""

    def __init__(
        self, scale: Scale, at: float, *, bearing: float | None = None, held: Level = "normal"
    ) -> None:
        self.scale, self.held = scale, held
        self.thunder = False
        self.sky: Level = "normal"
        """What a forecast asks for now, where there is one."""
        self.began = at
        self.streams = dict[str, Stream]()
        self.refused, self.read = Counter[Refused](), 0
        self.found = 0
        """Readings that were there when the source was opened."""
        self.lately: deque[tuple[float, bool]] = deque(maxlen=LATELY)
        """Of the last minute: when a sentence about wind came, and whether it was damaged."""
        self.state = say("not open yet")
        self.layout = bearing
        """Bearing of the wind that the layout was judged for (degrees true); None: from anywhere."""
        self.reference = bearing
        self.rank = 0
        """Of the gusts, when they were last looked at."""
        self.on = set[Alarm]()
        self.looked = at
        self.best: tuple[float, float] | None = None
        """Highest gust since it was last taken for the record: speed and time."""
        self.kept_to = -np.inf
        """Gusts up to this time have been taken for the record."""
        self.minutes: deque[tuple[float, float]] = deque(
            maxlen=int(tables.row("meter-trend", "window").value // 60)
        )
        """Highest gust of each minute of the last hour: its end, and the speed."""
        self.minute = at
        self.told_trend: Level = "normal"
        self.shifted = -np.inf

    def take(self, came: Sequence[Came]) -> None:
        """Lines as they came."""
        at, waiting = -np.inf, dict[str, list[Sample]]()
        for c in came:
            if c.at != at:
                self._hand_on(at, waiting)
                at, waiting = c.at, {}
            if c.state:
                self.state = "" if c.state == OPEN else c.state
                self._before(c)
                continue
            s = sample_of(c.line, self.scale.mast.mark)
            if isinstance(s, Refused):
                self.refused[s] += 1
                if s in DAMAGED:
                    self.lately.append((c.at, True))
                continue
            self.read += 1
            self.lately.append((c.at, False))
            waiting.setdefault(s.stream, []).append(s)
        self._hand_on(at, waiting)

    def _before(self, came: Came) -> None:
        """What was in the source when it was opened: it may be of the last minutes, and its times are lost."""
        for line in came.before:
            s = sample_of(line, self.scale.mast.mark)
            if not isinstance(s, Refused) and (s.stream in self.streams or len(self.streams) < STREAMS):
                stream = self.streams.setdefault(s.stream, Stream(self._raised))
                stream.before.append(s.speed)
                stream.opened = came.at
                self.found += 1

    def earlier(self, at: float) -> tuple[float, float] | None:
        """The highest gust of what was there before, as long as it counts."""
        found = [x for s in self.streams.values() if (x := s.earlier(at)) is not None]
        return max(found, default=None)

    def _hand_on(self, at: float, waiting: dict[str, list[Sample]]) -> None:
        for name, samples in waiting.items():
            if name not in self.streams and len(self.streams) >= STREAMS:
                self._forget(at)
            if name in self.streams or len(self.streams) < STREAMS:
                self.streams.setdefault(name, Stream(self._raised)).take(at, samples)

    def _forget(self, at: float) -> None:
        """Make room for another kind of sentence: the one that was not heard for longest goes, if nothing of it counts any more."""
        old = min(self.streams, key=lambda k: self.streams[k].heard or self.began)
        if at - (self.streams[old].heard or self.began) > seconds("looks-back"):
            del self.streams[old]

    def _raised(self, averaging: str) -> float:
        """By the scale as it is then: the record may have changed it."""
        return self.scale.raised(averaging)

    def _fine(self, at: float) -> list[str]:
        """The streams that give gusts; while none of them is heard, also those that send too seldom for one."""
        every = {k: s for k, s in self.streams.items() if s.heard is not None}
        fine = [k for k, s in every.items() if s.gusts.averaging() == "3 s"]
        return fine if any(not every[k].silent(at) for k in fine) else list(every)

    def _wind(self, at: float) -> Wind:
        """Of every stream the highest; the direction of the one that is surest of it."""
        every = {k: s.gusts.wind(at) for k, s in self.streams.items() if s.heard is not None}
        fine = [every[k] for k in self._fine(at)]
        if not fine:
            return _NOTHING
        top = max(fine, key=lambda w: -1.0 if w.gust is None else w.gust)
        means = [max((m for m in x if m is not None), default=None) for x in zip(*((w.mean_short, w.mean) for w in fine), strict=True)]  # fmt: skip
        order = sorted(
            every, key=lambda k: next((i for i, x in enumerate(BY_NORTH) if k.endswith(x)), len(BY_NORTH))
        )
        turned = next((every[k].from_deg for k in order if every[k].from_deg is not None), None)
        return Wind(top.gust, top.gust_at, means[0], means[1], turned, top.averaging, top.interval)

    def highest(self, at: float, window: float) -> tuple[float, float] | None:
        """Highest gust of every stream that gives gusts in a time that ends then, and when it was."""
        found = [x for k in self._fine(at) if (x := self.streams[k].gusts.highest(at, window)) is not None]
        return max(found, default=None)

    def mean(self, at: float, window: float) -> float | None:
        """Mean of a time that ends then: the highest of the streams."""
        return max(
            (m for s in self.streams.values() if (m := s.gusts.mean(at, window)) is not None), default=None
        )

    def direction(self, at: float, window: float) -> float | None:
        """Direction over a time that ends then."""
        return next(
            (x for s in self.streams.values() if (x := s.gusts.direction(at, window)) is not None), None
        )

    def damaged(self, at: float) -> tuple[int, int] | None:
        """Sentences of the last minute that were damaged, of how many, where they are too many to believe the rest; else None.

        What is lost may be what is strong: a cable that is hit by gusts, cups that skip.
        """
        while self.lately and at - self.lately[0][0] > 60.0:
            self.lately.popleft()
        bad = sum(lost for _, lost in self.lately)
        many = bad >= limit("damaged-least") and bad > limit("damaged") * len(self.lately)
        return (bad, len(self.lately)) if many else None

    def step(self, at: float) -> Seen:
        """What is known now, and what begins now. Call it at least twice a second."""
        for s in self.streams.values():
            s.gusts.settle(at)
        believed = [s for s in self.streams.values() if not s.silent(at)]
        silent = not believed and (
            any(s.heard is not None for s in self.streams.values()) or at - self.began > limit("silent")
        )
        stuck = bool(believed) and all(s.stuck(at) for s in believed)
        wind = self._wind(at)
        earlier = self.earlier(at)
        if earlier is not None and earlier[0] > (-1.0 if wind.gust is None else wind.gust):
            wind = replace(wind, gust=earlier[0], gust_at=earlier[1])
        known = self.scale.level(wind.gust)
        rank = 0 if known == "unknown" else ORDER.index(known)
        events, reached = list[Event](), tuple(ORDER[self.rank + 1 : rank + 1])
        if reached:
            events.append("level")
        self.rank = rank
        self._remember(at)
        lossy = self.damaged(at) is not None
        self._alarm("silent", silent or lossy, events)
        self._alarm("stuck", stuck, events)
        self._alarm("level", rank > 0, events)
        self._alarm("shift", self._shift(at, wind, events), events)
        dead = silent or stuck or not believed
        trend = self._trend(at, rank, events, dead=dead)
        out = ORDER.index("people-out") if self.thunder else 0
        floor = max(rank, ORDER.index(self.held), ORDER.index(self.sky), out)
        level: Level = (
            "unknown"
            if (dead or lossy or wind.gust is None) and ORDER[floor] in ("normal", "secure")
            else ORDER[floor]
        )
        shown = wind if not dead else _NOTHING
        heard = max((s.heard for s in self.streams.values() if s.heard is not None), default=None)
        loudest = next((a for a in LOUDEST if a in self.on), None)
        calm = stuck and all(s.same is not None and s.same[0] == 0.0 for s in believed)
        return Seen(
            at, shown, level, "unknown" if dead else known, loudest, tuple(a for a in LOUDEST if a in self.on),
            tuple(events), reached, trend, heard, self.state, calm,
        )  # fmt: skip

    def _alarm(self, name: Alarm, on: bool, events: list[Event]) -> None:
        if on and name not in self.on:
            self.on.add(name)
            if name not in events:
                events.append(name)
        elif not on and name in self.on:
            self.on.discard(name)
            if name in ("silent", "stuck"):
                events.append("back")

    def _remember(self, at: float) -> None:
        """The highest since the last look goes to what is kept for the record, and to the minute."""
        since = max(self.looked - self._late(), self.kept_to)
        top = self.highest(at, min(at - since, seconds("looks-back")))
        self.looked = at
        if top is not None and top[1] > self.kept_to and (self.best is None or top[0] > self.best[0]):
            self.best = top
        if at - self.minute >= 60.0:
            peak = self.highest(at, min(at - self.minute, seconds("looks-back")))
            self.minute = at
            if peak is not None:
                self.minutes.append((at, peak[0]))

    def _late(self) -> float:
        """How far back a gust may be told of: one that a gap cut short, or that came late."""
        return 30.0 + max((s.silent_after() for s in self.streams.values()), default=0.0)

    def taken(self, at: float) -> tuple[float, float] | None:
        """The highest gust since this was last asked, for the record: speed (m/s) and its time."""
        best, self.best = self.best, None
        if best is not None:
            self.kept_to = max(best[1], at - self._late())
        return best

    def _shift(self, at: float, wind: Wind, events: list[Event]) -> bool:
        """Whether the wind comes from elsewhere than the layout is for; without one, than it did."""
        here, mean = wind.from_deg, wind.mean_short
        if here is None or mean is None or mean < limit("shift-speed"):
            return at - self.shifted < 60.0
        if self.reference is None:
            if at - self.began >= seconds("short"):
                self.reference = here
            return False
        off = abs((here - self.reference + 180.0) % 360.0 - 180.0)
        if self.layout is not None:
            return off > limit("shift")
        if off > limit("shift"):
            self.reference, self.shifted = here, at
            if "shift" in self.on:
                events.append("shift")
        return at - self.shifted < 60.0

    def _trend(self, at: float, rank: int, events: list[Event], *, dead: bool) -> Trend | None:
        if dead or rank + 1 >= len(ORDER):
            return None
        mark = self.scale.marks[rank]
        found = trend_of([(t - at, v) for t, v in self.minutes], mark, ORDER[rank + 1])
        if found is not None and found.sure and self.told_trend != found.to:
            self.told_trend = found.to
            events.append("trend")
        return found
