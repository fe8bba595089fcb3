"""Where the installation stands by its record: as it was changed, by the latest readings, and what is due.

The level goes up with a reading and comes down only with an all-clear that counts: half an hour after the last reading
at or over the next lower level, and an inspection in between.
"""

from __future__ import annotations

import functools
import math
import time
from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import UTC, tzinfo
from enum import Enum
from pathlib import Path
from typing import Any, Literal, NamedTuple

import numpy as np

from anchorage.checks.installation import Installation, assemble, heading_true, within
from anchorage.core import tables
from anchorage.core.errors import AnchorageError, NotModelledError, OutOfRangeError
from anchorage.core.out import ChangeOut, HeldOut, Level, Reason, RecordOut
from anchorage.core.say import capital, say
from anchorage.core.told import Words, put, tell, together
from anchorage.core.units import read, show
from anchorage.core.words import LEVELS, spoken
from anchorage.deployment.models import Deployment, OutlookIn
from anchorage.deployment.policy import ORDER, SUBJECTS, OperatingPolicy, against, policy_of, use_of
from anchorage.judging.gusts import cannot_stand, go_on_words, half_words, set_up_below
from anchorage.judging.plan import Assessment, assess
from anchorage.judging.result import Plan, Verdict
from anchorage.judging.strap_decision import sway_reason
from anchorage.judging.verdict import bounds, fitting
from anchorage.loads.wind import gust_factor, wind_state
from anchorage.loads.wind_trip import hill_share, profiles, site_share
from anchorage.outlook.clock import read_iso, zone_of
from anchorage.outlook.clock import show as show_time
from anchorage.outlook.judge import thunder_wait
from anchorage.outlook.limits import limits_of
from anchorage.outlook.result import Outlook
from anchorage.record.kinds import EVENTS, LATEST
from anchorage.record.notes import Note
from anchorage.record.over import (
    Phase,
    Recorded,
    as_it_stands,
    beside,
    corrected,
    counts_complete,
    kept_for,
    left_behind,
    looked_at,
    phase_of,
    read_record,
    stood,
    taking_down,
)
from anchorage.record.store import Entry

THAW = {
    ("frozen", "wet"),
    ("frozen", "dry"),
    ("ice", "wet"),
    ("ice", "dry"),
    ("snow", "wet"),
    ("snow", "dry"),
    ("snow", "ice"),
}
"""Changes of the ground's state that loosen what stands in or on it."""


LOOK_AFTER = {"placed": Note.LOOK_PLACED, "doors": Note.LOOK_DOORS, "straps": Note.LOOK_STRAPS}
"""What asks for a look, once one was made before it."""


@dataclass(frozen=True)
class Reading:
    """A wind reading against the limits. share: of the limiting gust speed."""

    entry: Entry
    gust: float
    """3 s gust at 10 m that it is worth against the limit (m/s): of every way to read it the worst."""
    share: float
    """The larger of that by the installation as it stands and as it stood then."""
    level: Level
    """The higher of the two: what is edited or changed later takes nothing from a reading."""
    limit: float
    """Limiting gust that the share is of (m/s), for the bearing of the reading."""
    by_share: Level
    """By the share alone; the sheet, which rounds its readings down, may ask for more."""
    then: bool = False
    """True where the installation as it stood then gives the larger share."""


@dataclass(frozen=True)
class Due:
    """Something to be done. at: seconds, the latest time; None for now."""

    what: Words
    at: int | None
    kind: Literal["wind", "look", "snow", "other"] = "other"
    """What nobody knows until it is done: the wind of now, that it holds as it did, the snow on the roof."""


@dataclass(frozen=True)
class Shift:
    """Who answers for it by the last hand-over. Times in seconds."""

    to: str
    since: int
    relief: int | None
    """When the relief comes; None where nobody said."""
    watch: str
    """Who watches at night; empty where nobody is named."""


@dataclass(frozen=True)
class Stand:
    """Everything that ``now`` says."""

    assessed: Assessment
    """The deployment as it stands by the record."""
    verdict: Verdict
    level: Level
    """Standing level; unknown where no reading is fresh."""
    raised: Level
    """Level by the readings that still hold, unknown left out."""
    head: Words
    why: tuple[Words, ...]
    readings: tuple[Reading, ...]
    due: tuple[Due, ...]
    changes: tuple[ChangeOut, ...]
    """What was changed against the file."""
    phase: Phase
    """How far the work is."""
    assumed: tuple[Words, ...]
    record: RecordOut | None = None
    open: tuple[Words, ...] = ()
    """Questions that leave no go."""
    shift: Shift | None = None
    """None where nothing was handed over."""
    blocks: tuple[Words, ...] = ()
    """What leaves nobody in whatever the wind."""
    because: Words | None = None
    """What raised the level; None at the normal level."""
    until: int | None = None
    """Before this the level does not fall; None where nobody knows when, or where it is normal."""
    thunder_until: int | None = None
    """Nobody stays in the open until then; None where no thunder was heard lately."""

    @property
    def headline(self) -> str:
        """Where it stands, in words."""
        return str(self.head)

    @property
    def struck(self) -> bool:
        """It was taken down."""
        return self.phase == "down"

    @property
    def d(self) -> Deployment:
        """The deployment as it stands by the record."""
        return self.assessed.deployment

    @property
    def plan(self) -> Plan:
        """The plan of it."""
        return self.assessed.plan


def wait(key: str) -> int:
    """A time of the table of inspections (s)."""
    return int(tables.row("inspection", key).value)


class _Judge:
    """Readings against the installation as it stands; the strengths are worked out once."""

    def __init__(self, x: Installation) -> None:
        self.d, self.x = x.deployment, x
        self.heading = heading_true(self.d.site)
        fits = fitting(x, x.counts, planned=x.sized is not None)
        counts = (
            None if np.array_equal(fits, x.counts) else fits
        )  # more than a point can have hold nothing more
        every = [f for f in self.x.limits(counts, on=self.x.everywhere) if not f.fixed]
        self.per_case = np.min([f.q.min(axis=-1) for f in every], axis=0)
        self.caps = [b.gust for b in bounds(self.x)]
        self.caps_read = [b.gust for b in bounds(self.x, read_here=True)]
        """The same for a gust that was read at the shelter, brought to level ground."""

    def limit(self, bearing: float | None) -> float:
        """Pressure q (Pa) that is held for wind from a bearing, from anywhere where none is given."""
        if bearing is None or self.heading is None:
            return float(self.per_case.min())
        inside = within(self.x.everywhere.cases.bearing, bearing - self.heading)
        return float(self.per_case[inside].min())

    def begins(self, level: Level) -> str:
        """The gust at which a level begins, wherever the wind is from, as it is printed."""
        held = min([self.x.wind.gust_of(self.limit(None)), *self.caps])
        at = against(self.x.policy, self.x.wind.gust, held, self.d.deployment.show_units)
        return {"people-out": at.people_out, "keep-away": at.keep_away}.get(level, at.secure)

    def reading(self, e: Entry) -> Reading:
        """What a reading is worth; it is never turned into less than it was."""
        data = e.data
        wind: dict[str, Any] = {
            "speed": float(data["speed_m_s"]), "speed_is": "meter-peak", "averaging": data["averaging"], "level": None, "terrain": "site",
            "height": float(data["height_m"]), "bearing": None, "beaufort": None, "return_period": None, "method": self._method(),
        }  # fmt: skip
        read = self.d.wind.model_copy(update=wind)
        try:
            state = wind_state(read, self.d.site, self.d.snow, self.x.shape, 1.0)
        except (
            OutOfRangeError
        ):  # more than any wind: of an older record, or read low down; it counts as the worst
            most = float(data["speed_m_s"]) * gust_factor(data["averaging"], "larger", [])
            limit = min([self.x.wind.gust_of(self.limit(data.get("from"))), *self.caps])
            return Reading(e, most, math.inf, "keep-away", limit, "keep-away")
        held = self.limit(data.get("from"))
        share = math.sqrt(state.pressure / held) if held > 0 else (0.0 if state.pressure == 0 else math.inf)
        share = max([share, *(state.gust / c if c > 0 else math.inf for c in self.caps_read)])
        limit = min([self.x.wind.gust_of(held), *self.caps])
        profile = self._profile(float(data["height_m"]), limit)
        gust = float(data["speed_m_s"]) * gust_factor(data["averaging"], "larger", []) / profile
        most = limit * site_share(self.d.wind, self.d.site)
        share = max(share, gust / most if most > 0 else math.inf if gust > 0 else 0.0)
        at_paper = self._on_paper(gust, most, profile)
        level: Level = self.x.policy.level(share)
        worth = share * limit if math.isfinite(share * limit) else max(state.gust, gust)
        return Reading(e, worth, share, max(level, at_paper, key=ORDER.index), limit, level)

    def _on_paper(self, gust: float, most: float, profile: float) -> Level:
        """Level by the readings printed on the sheet, which are rounded down: what the sheet asks for is never waved off."""
        found: Level = "normal"
        system = self.d.deployment.show_units
        if not math.isfinite(most):
            return found
        for key in ORDER[1:]:
            printed = read(
                "speed",
                show("speed", most * self.x.policy.begins(key) * profile, system, rounding="down"),
            )
            if gust * profile >= printed - 1e-9 and gust > 0:
                found = key
        return found

    def _profile(self, height: float, limit: float) -> float:
        """Lowest of the terrain models and what a hill adds, as on the sheet, so that both ask for the same at the same reading."""
        low = (
            min(profiles(height).values()) if height < tables.row("reference-height", "asce7").value else 1.0
        )
        return low * hill_share(self.d, height, limit)

    def _method(self) -> str:
        return "physics" if self.d.wind.method == "en1991" else self.d.wind.method


class Lack(Enum):
    """What an all-clear asks for, a closed list."""

    WIND = Note.CLEAR_WAITS_WIND
    THUNDER = Note.CLEAR_WAITS_THUNDER
    READING = Note.CLEAR_WANTS_READING
    INSPECTION = Note.CLEAR_WANTS_INSPECTION


@dataclass(frozen=True)
class Missing:
    """One thing that an all-clear did not have. Times in seconds."""

    lack: Lack
    since: int
    """When the wind or the thunder was that it is counted from."""
    until: int | None = None
    """Before this no all-clear counts; None where something is to be done."""
    under: Level = "normal"
    """The level that a reading has to stay under."""

    def words(self, zone: tzinfo, under: Words | str) -> Words:
        """``not before Sat 14:32 UTC (30 min after the thunder of Sat 14:02 UTC)``. under: the gust at which that level begins."""
        since = put(show_time, self.since, zone)
        if self.until is not None:
            wait_ = (self.until - self.since) // 60
            return tell(self.lack.value, until=put(show_time, self.until, zone), wait=wait_, since=since)
        if self.lack is Lack.READING:
            return tell(self.lack.value, level=LEVELS[self.under], gust=under, since=since)
        return tell(self.lack.value, since=since)


class Standing(NamedTuple):
    """A level that holds. cause: the entry that it holds by; clears: before this no all-clear counts."""

    level: Level
    notes: dict[int, tuple[Missing, ...]]
    """Of each all-clear since then that does not count, all that it lacks."""
    cause: Entry | None = None
    clears: int = 0
    corrected: bool = False
    """Whether the entry that it holds by was corrected since."""
    lacks: tuple[Missing, ...] = ()
    """What one would lack that was given now."""

    def words(self, zone: tzinfo) -> Words | None:
        """``60 mph was read at 14:10: KEEP AWAY until an all-clear that counts``; None at the normal level."""
        e = self.cause
        if e is None or self.level == "normal":
            return None
        at = put(show_time, e.at, zone)
        if e.event == "coming-down":
            return tell(Note.TAKING_DOWN_BEGUN, at=at, id=e.id)
        read_ = (
            tell(Note.METER_CROSSED, at=at)
            if e.event == "crossing"
            else tell(Note.READ_AT, typed=e.data.get("typed") or "wind", at=at)
        )
        note = Note.HELD_CORRECTED if self.corrected else Note.HELD
        return tell(note, read=put(capital, read_), read_2="", id=e.id, level=LEVELS[self.level])


def _under(level: Level) -> Level:
    """The level that must not have been reached for half an hour before a level falls."""
    below = ORDER[max(ORDER.index(level) - 1, 0)]
    return below if below != "normal" else "secure"


def _lower(level: Level, policy: OperatingPolicy) -> float:
    """Share at which it begins."""
    return policy.begins(_under(level))


def standing(
    readings: Sequence[Reading],
    entries: Sequence[Entry],
    policy: OperatingPolicy,
    gone: Collection[int] = (),
    now: int | None = None,
    thunder: Collection[int] = (),
) -> Standing:
    """The level that holds by the readings and the all-clears, and all-clears that do not count.

    gone: entries that a later one corrects. A corrected reading is no lower reading, but the level that it raised falls only
    by an all-clear, as every level does. now: when one is asked about that nobody gave yet; left out, after the last entry.
    thunder: when it was heard (s), whatever it was written down as.
    """
    level: Level = "normal"
    cause: Entry | None = None
    notes = dict[int, tuple[Missing, ...]]()
    found = {r.entry.id: r for r in readings}

    def lacks(at: int, past: Sequence[Entry]) -> tuple[tuple[Missing, ...], Reading | None]:
        """What an all-clear lacks at a time, and the reading by whose level it stands if it lacks nothing."""
        out, heard = list[Missing](), max((t for t in thunder if t <= at), default=None)
        if level != "normal":
            before = [found[x.id] for x in past if x.id in found]
            high = [(r.entry.at, r.entry.id) for r in before if r.share >= _lower(level, policy) - 1e-9]
            high += [(x.at, x.id) for x in past if x.event == "crossing"]
            last = max(high, default=(0, 0))
            since = last[0]
            if at - since < policy.all_clear_wait:
                out.append(Missing(Lack.WIND, since, since + policy.all_clear_wait))
        if heard is not None and at - heard < policy.thunder_wait:
            out.append(Missing(Lack.THUNDER, heard, heard + policy.thunder_wait))
        if level == "normal":
            return tuple(out), None
        lower = [r for r in before if r.entry.id not in gone]
        if not any(r.entry.at > since for r in lower):
            out.append(Missing(Lack.READING, since, under=_under(level)))
        if not any(looked_at(x) and last < (x.at, x.id) and x.id not in gone for x in past):
            out.append(Missing(Lack.INSPECTION, since))
        return tuple(out), lower[-1] if lower else None

    for i, e in enumerate(entries):
        reached: Level = found[e.id].level if e.id in found else "normal"
        if e.event == "crossing":
            reached = e.data["level"]
        over = ORDER.index(reached) - ORDER.index(level)
        right = cause is not None and cause.id not in gone
        if reached != "normal" and (over > 0 or (over == 0 and not (right and e.id in gone))):
            level, cause = reached, e
        if e.event != "all-clear" or e.id in gone:
            continue
        missing, by = lacks(e.at, [x for x in entries[: i + 1] if x.at <= e.at])
        if missing:
            notes[e.id] = missing
            continue
        if by is not None:
            level, cause = by.level, by.entry
        notes.clear()
    begun = taking_down([e for e in entries if e.id not in gone and e.event != "correct"])
    if begun is not None:  # nobody is inside until it is down, whatever the wind does
        if ORDER.index(level) <= ORDER.index("people-out"):
            level, cause = "people-out", begun
        return Standing(level, notes, cause, LATEST)
    reached_at = [r.entry.at for r in readings if r.share >= _lower(level, policy) - 1e-9]
    reached_at += [e.at for e in entries if e.event == "crossing"]
    corrected = cause is not None and cause.id in gone
    clears = max(reached_at, default=0) + policy.all_clear_wait
    at = max((e.at for e in entries), default=0) if now is None else now
    return Standing(level, notes, cause, clears, corrected, lacks(at, entries)[0])


def zone_in(outlook: OutlookIn) -> tzinfo:
    """The zone of the file; UTC where it gives none."""
    return UTC if outlook.zone is None else zone_of(outlook.zone)


def put_over(d: Deployment, path: Path, now: int | None = None, zone: tzinfo | None = None) -> Deployment:
    """A deployment with the record beside its file over it, and the level at which it stands: what every command judges."""
    record = read_record(path, d.shelter, now)
    if record is None or not record.entries:
        out = beside(d.deployment, d.shelter, path, now)
        return d if out is None else d.under(out)
    made, out = as_it_stands(d, record)
    where = zone or zone_in(d.outlook)
    level = _thundered(policy_of(made), record, out.phase, int(time.time()) if now is None else now, where)
    read_ = any(e.event in ("wind", "crossing") for e in record.entries)
    if d.margins.set == "asd" and read_:
        text = tell(Note.ASK_STRENGTH)
        asks = [*out.asks, Reason(code="record-level-unknown", told=text)]
        return made.under(out.model_copy(update={"asks": asks, "level": level}))
    held = judged = None
    if d.margins.set != "asd" and (read_ or out.phase == "coming-down"):
        judged = _judged(d, record, made, out)
        held = judged.standing()
    if judged is not None and held is not None and held.level != "normal" and held.cause is not None:
        text = tell(Note.HELD_SEE_NOW, words=held.words(where), path=path.name)
        last = next(reversed(held.notes), None)
        refused = None if last is None else judged.refused(last, held.notes[last], where)
        by_wind = HeldOut(level=held.level, entry=held.cause.id, clears=held.clears, told=text if refused is None else together(text, refused), refused=refused)  # fmt: skip
        level = by_wind if level is None else _both(by_wind, level)
    return made if level is None else made.under(out.model_copy(update={"level": level}))


def _thundered(
    policy: OperatingPolicy, record: Recorded, phase: str, now: int, zone: tzinfo
) -> HeldOut | None:
    """The level of thunder that was logged, until its wait is over; what is down is empty."""
    until = thunder_wait([e.at for e in record.thunder], policy)
    if until is None or until <= now or phase == "down":
        return None
    last = record.thunder[-1]
    text = _thunder_words(Note.THUNDERED, last, policy, zone)
    return HeldOut(level="people-out", entry=last.id, clears=until, told=text)


def _thunder_words(note: Note, last: Entry, policy: OperatingPolicy, zone: tzinfo) -> Words:
    """last: the thunder that was heard last."""
    until = put(show_time, last.at + policy.thunder_wait, zone)
    return tell(note, id=last.id, until=until, thunder_wait=policy.thunder_wait // 60)


def _both(wind: HeldOut, thunder: HeldOut) -> HeldOut:
    worse = max(wind, thunder, key=lambda x: ORDER.index(x.level))
    return worse.model_copy(
        update={"clears": max(wind.clears, thunder.clears), "told": together(thunder.told, wind.told), "refused": wind.refused}
    )  # fmt: skip


def refused(d: Deployment, path: Path, e: Entry, zone: tzinfo | None = None) -> Words | None:
    """All that an all-clear lacks that was just written down, and until when; None where it counts."""
    record = read_record(path, d.shelter)
    if record is None or d.margins.set == "asd":
        return None
    made, out = as_it_stands(d, record)
    judged = _judged(d, record, made, out)
    missing = judged.standing().notes.get(e.id)
    return None if missing is None else judged.refused(e.id, missing, zone or zone_in(d.outlook))


@dataclass(frozen=True)
class Watched:
    """What somebody holds the wind against who reads it as it blows."""

    judge: _Judge
    held: Standing
    thunder_until: int | None
    """Everybody is out until then (s); None where no thunder was heard lately."""
    entries: tuple[Entry, ...]
    """In the order in which things happened."""
    policy: OperatingPolicy

    @property
    def level(self) -> Level:
        """The level that holds by the record, thunder aside."""
        return self.held.level


def watched(d: Deployment, path: Path, now: int) -> Watched:
    """The installation as it stands by its record, to hold readings against. d: the file alone."""
    if d.margins.set == "asd":
        raise NotModelledError(
            say(
                'margins.set "asd" judges strength-level speeds; a reading is a service gust: use "lumped-1.5"'
            )
        )
    record = read_record(path, d.shelter) or Recorded((), (), {}, "")  # what a clock that went fast wrote too
    if not record.entries:
        left_behind(d.deployment, d.shelter, path)
    made, out = as_it_stands(d, record) if record.entries else (d, None)
    judged = _judged(d, record, made, out)
    here, held = judged.here, judged.standing()
    heard = thunder_wait([e.at for e in record.thunder], here.x.policy)
    return Watched(
        here, held, heard if heard is not None and heard > now else None, record.entries, here.x.policy
    )


def every_reading(d: Deployment, record: Recorded) -> tuple[Reading, ...]:
    """Every wind reading against the limits, those too that a later entry withdraws. d: the file alone."""
    made, out = as_it_stands(d, record) if record.entries else (d, None)
    return _judged(d, record, made, out).every


def _judged(d: Deployment, record: Recorded, made: Deployment, out: RecordOut | None) -> _Readings:
    """The readings of a record. d: the file alone; made: as it stands by the record; out: what that changed."""
    planned = planned_of(d)
    if not _as_counted(out):
        made = counts_complete(made, [] if out is None else out.changes, planned)
    return _Readings(d, planned, record, _Judge(_installed(made)))


def _as_counted(out: RecordOut | None) -> bool:
    """Whether readings are held against what was counted alone: once it is up, a point that nobody counted beside others holds nothing."""
    return out is not None and out.phase == "up" and out.counted == "record"


class _Readings:
    """Every wind reading by the installation as it stands, and by the one that stood when it was taken."""

    def __init__(self, d: Deployment, planned: Mapping[str, int], record: Recorded, here: _Judge) -> None:
        self.d, self.planned, self.record = d, planned, record
        self.here = here
        self.judges: dict[tuple[object, ...], _Judge | None] = {}
        self.lost: list[int] = []
        """Readings beside a text of the file that was not kept."""

    @functools.cached_property
    def every(self) -> tuple[Reading, ...]:
        """Each that was written down, those too that a later entry withdraws."""
        return tuple(self.of(e) for e in self.record.entries if e.event == "wind")

    def standing(self, now: int | None = None) -> Standing:
        """The level that holds by them, and what an all-clear would lack at a time."""
        entries = self.record.entries
        heard = [e.at for e in self.record.thunder]
        return standing(self.every, entries, self.here.x.policy, corrected(entries), now, heard)

    def refused(self, entry: int, missing: Sequence[Missing], zone: tzinfo) -> Words:
        """That an all-clear does not count, and everything that one that counts has."""
        return tell(Note.CLEAR_REFUSED, id=entry, missing=self.asked(missing, zone))

    def asked(self, missing: Sequence[Missing], zone: tzinfo) -> Words:
        """What an all-clear lacks, each with when it is there."""
        return together(*(m.words(zone, self.here.begins(m.under)) for m in missing), between="; ")

    def of(self, e: Entry) -> Reading:
        now, then = self.here.reading(e), self._then(e)
        if then is None:
            self.lost.append(e.id)
            return now
        old = then.reading(e)
        worse = old if old.share > now.share else now
        level, by_share = (
            max(a, b, key=ORDER.index) for a, b in ((now.level, old.level), (now.by_share, old.by_share))
        )
        return replace(worse, level=level, by_share=by_share, then=worse is old)

    def _then(self, e: Entry) -> _Judge | None:
        """By the file and by what was known of it when the reading was written down."""
        known = tuple(x for x in self.record.entries if x.id <= e.id and x.at <= e.at)
        record = replace(self.record, entries=known)
        changing = tuple(
            x.id for x in record.counting if looked_at(x) or (x.event in EVENTS and EVENTS[x.event].changes)
        )
        key = (e.file, changing)
        if key not in self.judges:
            self.judges[key] = self._judge(e, record)
        return self.judges[key]

    def _judge(self, e: Entry, record: Recorded) -> _Judge | None:
        base, planned = kept_for(self.record, e), self.planned
        if base is None and e.file != self.record.file:
            return None
        try:
            if base is None or base == self.d:
                base = self.d
            else:
                planned = planned_of(base)
            made, changes = stood(base, record)
            return _Judge(_installed(counts_complete(made, changes, planned)))
        except AnchorageError:
            return None


def _installed(d: Deployment) -> Installation:
    return assemble(d, (use_of(d),))


def planned_of(d: Deployment) -> dict[str, int]:
    """What the file alone has at each point: its counts, or those that are chosen for it."""
    x = _installed(d)
    return dict(zip(x.base.ids, map(int, x.counts), strict=True))


def shift_of(entries: Sequence[Entry]) -> Shift | None:
    """The shift by the last hand-over that counts."""
    last = next((e for e in reversed(entries) if e.event == "hand-over"), None)
    if last is None:
        return None
    return Shift(
        str(last.data.get("to", "")), last.at, last.data.get("relief"), str(last.data.get("watch", ""))
    )


def _shift_due(s: Shift | None, now: int) -> list[Due]:
    """That the relief comes, and that nobody is named who watches at night."""
    if s is None:
        return []
    out = [] if s.watch else [Due(tell(Note.NAME_THE_WATCH), None)]
    if s.relief is not None:
        out.insert(0, Due(tell(Note.RELIEF_OF, to=s.to), s.relief if s.relief > now else None))
    return out


def _reading_due(stand: Level, readings: Sequence[Reading], now: int) -> list[Due]:
    last = readings[-1].entry.at if readings else None
    pace = wait("reading") if stand == "normal" else wait("reading-secure")
    return [Due(tell(Note.DUE_READING), None if last is None or last + pace <= now else last + pace, "wind")]


def _work_notes(phase: Phase, plan: Plan) -> list[Words]:
    """What follows from how far the work is."""
    if phase == "coming-down":
        return [tell(Note.WRITE_DOWN_STRUCK)]
    half = plan.half_built
    if phase == "going-up" and half is not None:
        return [tell(Note.STILL_GOING_UP, gust=put(half_words, plan))]
    return []


def _due(
    stand: Level, entries: Sequence[Entry], readings: Sequence[Reading], plan: Plan, d: Deployment, now: int
) -> list[Due]:
    out = _reading_due(stand, readings, now)
    if unchecked(plan, readings, entries) is not None:
        out.append(Due(tell(Note.HAND_CHECK), None, "look"))
    out += _inspections(entries, readings, now)
    if plan.snow.roof_load_pa > 0 or d.snow.falling is not None:
        measured = max((e.at for e in entries if e.event == "snow"), default=None)
        out.append(
            Due(
                tell(Note.DUE_SNOW),
                None if measured is None or measured + wait("snow") <= now else measured + wait("snow"),
                "snow",
            )
        )
    pulls = sum(e.event == "pull-test" for e in entries)
    stake = d.anchorage.stake
    pulled = sum(len(t.force) for t in d.test if t.kind == "pull" and not t.lost)
    if pulled >= 3:
        return sorted(out, key=lambda x: (x.at is not None, x.at or 0))
    if plan.anchorage.total.stakes and stake is not None and not stake.pull_tests and pulls < 3:
        out.append(Due(tell(Note.DUE_PULLS, pulls=pulls), None))
    elif stake is not None and not stake.pull_tests and pulls >= 3:
        lowest = min((e for e in entries if e.event == "pull-test"), key=lambda e: float(e.data["force_n"]))
        out.append(Due(tell(Note.PUT_PULLS_IN, typed=lowest.data["typed"]), None))
    return sorted(out, key=lambda x: (x.at is not None, x.at or 0))


IN_OR_ON_THE_GROUND = ("stakes", "line-ballast", "deadman")
"""Kinds that creep or slacken under load without being seen."""


def unchecked(plan: Plan, readings: Sequence[Reading], entries: Sequence[Entry]) -> Reading | None:
    """The last reading at the secure share or over since stakes and lines were inspected; None where they count as they are."""
    if not any(p.kind in IN_OR_ON_THE_GROUND and p.units + p.stakes for p in plan.anchorage.points):
        return None
    looked = max(((e.at, e.id) for e in entries if looked_at(e)), default=(-1, -1))
    blown = [r for r in readings if r.level != "normal" and (r.entry.at, r.entry.id) > looked]
    return max(blown, key=lambda r: (r.entry.at, r.entry.id), default=None)


def _inspections(entries: Sequence[Entry], readings: Sequence[Reading], now: int) -> list[Due]:
    seen_at = max(((e.at, e.id) for e in entries if looked_at(e)), default=None)
    looked = None if seen_at is None else seen_at[0]
    begun = min((e.at for e in entries), default=now)
    base = max([begun, *([looked] if looked is not None else [])])
    out = []
    gone = seen_at if seen_at is not None else (-1, -1)  # within a second the order of the entries decides
    blown = [r.entry.at for r in readings if r.level != "normal" and (r.entry.at, r.entry.id) > gone]
    if blown:
        out.append(
            Due(
                tell(Note.LOOK_WIND),
                max(blown) + wait("after-wind") if max(blown) + wait("after-wind") > now else None,
                "look",
            )
        )
    state = None
    for e in entries:
        if e.event == "state":
            if (e.at, e.id) > gone and state is not None and (state, e.data["state"]) in THAW:
                out.append(Due(tell(Note.LOOK_THAW), None, "look"))
            elif (e.at, e.id) > gone and e.data["state"] == "wet":
                out.append(Due(tell(Note.LOOK_RAIN), None, "look"))
            state = e.data["state"]
        if e.event in ("placed", "doors", "straps") and e.at > gone[0] and looked is not None:
            out.append(Due(tell(LOOK_AFTER[e.event]), None, "look"))
    at = base + wait("shift")
    out.append(Due(tell(Note.LOOK_SHIFT), at if at > now else None, "look"))
    seen = list[Due]()
    for x in out:
        if all(x.what != y.what for y in seen):
            seen.append(x)
    return seen


def stand(a: Assessment, record: Recorded, now: int, zone: tzinfo | None = None) -> Stand:
    """Judge the record. a: the file alone; zone: of the times that are told, that of the file where left out. Entries after ``now`` are left out."""
    d, plan = a.deployment, a.plan
    if plan.margins.get("set") == "asd":
        raise NotModelledError(
            say(
                'margins.set "asd" judges strength-level speeds; a reading is a service gust: use "lumped-1.5"'
            )
        )
    zone = zone or zone_in(d.outlook)
    record = record.until(now)
    known, gone = record.entries, corrected(record.entries)
    is_now, out = as_it_stands(d, record) if known else (d, None)
    planned = {p.id: p.units + p.stakes for p in plan.anchorage.points}
    changes = [] if out is None else out.changes
    assumed: tuple[Words, ...] = ()
    if plan.anchorage.sized and (out is None or out.counted == "plan"):
        assumed = (tell(Note.TAKEN_AS_PLANNED),)
        is_now = counts_complete(is_now, changes, planned)
    fresh = a if is_now is d and not a.deep else assess(is_now)
    fresh_plan = fresh.plan
    complete = is_now if _as_counted(out) else counts_complete(is_now, changes, planned)
    judged = _Readings(
        d, planned, record, _Judge(fresh.installation if complete == is_now else _installed(complete))
    )
    policy = judged.here.x.policy
    every, held = judged.every, judged.standing(now)
    readings = tuple(r for r in every if r.entry.id not in gone)
    raised = held.level
    counting = record.counting
    phase = phase_of(counting)
    struck = phase == "down"
    old = not readings or now - readings[-1].entry.at > 2 * wait("reading")
    level: Level = "unknown" if old and ORDER.index(raised) < 2 else raised
    thunder = record.thunder
    until = thunder_wait([e.at for e in thunder], policy)
    over = until if until is not None and until > now else None
    notes = _held_notes(held, judged, readings, zone, thundering=over is not None)
    notes += _corrected_notes(every, gone, raised)
    if over is not None:
        level = max(raised, "people-out", key=ORDER.index)
        heard = Note.THUNDERED_DOWN if struck else Note.THUNDERED
        notes.insert(0, _thunder_words(heard, thunder[-1], policy, zone))
    clears = [
        t
        for t in (over, held.clears if raised != "normal" and held.clears < LATEST else None)
        if t is not None
    ]
    blocks = _blocks(fresh_plan)
    asked = _open(fresh_plan, is_now, judged.lost, known, readings)
    blown = unchecked(fresh_plan, readings, counting)
    if blown is not None:
        asked.append(tell(Note.ASK_HAND_CHECK, id=blown.entry.id))
    verdict = _verdict(level, blocks, fresh_plan, phase)
    if (assumed or asked) and verdict == "go":
        verdict = "unknown"
    why: list[Words] = [*notes, *blocks, *asked, *_work_notes(phase, fresh_plan)]
    if old:
        why.insert(
            0,
            tell(Note.NO_READING)
            if not readings
            else tell(Note.READING_TOO_OLD, now=(now - readings[-1].entry.at) // 60),
        )
    head = fresh_plan.policy.told_after(
        _headline(level, blocks, fresh_plan, phase, counted=not assumed, asked=bool(asked))
    )
    if phase == "going-up" and level not in ("people-out", "keep-away"):
        head = _over_half_built(readings, fresh_plan, now - policy.all_clear_wait) or head
    if struck and over is not None:
        head = tell(Note.HEAD_DOWN_THUNDER)
    shift = None if struck else shift_of(counting)
    due = (
        _reading_due(raised, readings, now)
        if phase == "coming-down"
        else _due(raised, counting, readings, fresh_plan, is_now, now)
    ) + _shift_due(shift, now)
    due = [] if struck else due
    due.sort(key=lambda x: (x.at is not None, x.at or 0))
    return Stand(assessed=fresh, verdict=verdict, level=level, raised=raised, head=head, why=tuple(why), readings=readings, due=tuple(due),
                 changes=tuple(changes), phase=phase, assumed=assumed, record=out, open=tuple(asked), shift=shift, blocks=tuple(blocks), because=notes[0] if over is not None else held.words(zone),
                 until=max(clears, default=None), thunder_until=over)  # fmt: skip


def _over_half_built(readings: Sequence[Reading], plan: Plan, since: int) -> Words | None:
    """That what goes up is blown on by more than it takes half built, by the readings since a time; None where it is not."""
    below, words = set_up_below(plan)
    top = max((r for r in readings if r.entry.at >= since), key=lambda r: r.gust, default=None)
    if top is None or below is None or top.gust < below:
        return None
    return tell(
        Note.HEAD_GOING_UP_OVER, read=put(show, "speed", top.gust, plan.show_units, rounding="up"), gust=words
    )


def _held_notes(
    held: Standing, judged: _Readings, readings: Sequence[Reading], zone: tzinfo, *, thundering: bool
) -> list[Words]:
    """By what a level holds, which all-clears do not count, and all that one asks for that counts."""
    out = list[Words]()
    if held.cause is not None and (not readings or held.cause.id != readings[-1].entry.id):
        words = held.words(zone)
        out = [together(words, ".", between="")] if words is not None else []
    if held.level == "normal" and not thundering:
        return out
    if held.clears >= LATEST:  # it comes down: no all-clear ends that
        return out
    out += [tell(Note.CLEAR_COUNTED_NOT, id=i) for i in held.notes]
    if held.level == "normal":
        return out
    return [*out, tell(Note.CLEAR_ASKS, missing=judged.asked(held.lacks, zone)) if held.lacks else tell(Note.CLEAR_READY)]  # fmt: skip


def _corrected_notes(every: Sequence[Reading], gone: Collection[int], raised: Level) -> list[Words]:
    return [
        tell(Note.CORRECTED_HOLDS, id=r.entry.id)
        for r in every
        if r.entry.id in gone and raised != "normal" and r.level == raised
    ]


def _open(
    plan: Plan, d: Deployment, lost: Sequence[int], known: Sequence[Entry], readings: Sequence[Reading]
) -> list[Words]:
    """Questions that leave no go: those of the plan, of straps that a reading has gone beyond, and readings beside a file that nobody has any more."""
    limits = limits_of(plan, d)
    out = [b.told for b in limits.blocks if b.verdict == "unknown"]
    cleared = max((e.id for e in known if e.event == "all-clear"), default=0)
    if limits.roof.load > limits.sway_snow or any(
        r.gust > limits.sway_gust for r in readings if r.entry.id > cleared
    ):
        out += sway_reason(plan.straps)
    if since := [i for i in lost if i > cleared]:
        out.append(tell(Note.READ_BESIDE_A_LOST_FILE, which=", ".join(map(str, since))))
    return out


def _headline(
    level: Level, blocks: Sequence[Words], plan: Plan, phase: Phase, *, counted: bool, asked: bool
) -> Words:
    if phase == "down":
        return tell(Note.HEAD_DOWN)
    if phase == "coming-down" and level == "keep-away":
        return tell(Note.HEAD_COMING_DOWN_KEEP_AWAY)
    if phase == "coming-down":
        return tell(Note.HEAD_COMING_DOWN, going_on=put(go_on_words, plan))
    if phase == "going-up" and level not in ("people-out", "keep-away"):
        return tell(Note.HEAD_GOING_UP, level=LEVELS[level])
    if not counted and not blocks and level in ("normal", "secure"):
        return tell(Note.HEAD_NOT_COUNTED, unknown=LEVELS["unknown"], level=LEVELS[level])
    if asked and not blocks and level in ("normal", "secure"):
        return tell(Note.HEAD_ASKED, unknown=LEVELS["unknown"], level=LEVELS[level])
    if level == "secure" and not blocks and plan.subject == SUBJECTS["working"]:
        return tell(Note.HEAD_SECURE_WORKING, level=LEVELS[level])
    if not blocks or level in ("people-out", "keep-away"):
        return put(str, LEVELS[level])
    return together(put(str, LEVELS[level]), tell(Note.HEAD_NOT_SAFE), between="")


def _blocks(plan: Plan) -> list[Words]:
    """What fails whatever the wind: snow, points where nothing was counted; stock aside."""
    out: list[Words] = [
        tell(Note.FAILS_AS_IT_STANDS, name=put(capital, c.check), where=put(spoken, c.where))
        for c in plan.checks
        if not c.ok and c.holds_to_m_s is None
    ]
    changes = [] if plan.record is None else plan.record.changes
    missing = [c.where for c in changes if c.code == "not-counted" and not c.value]
    if missing:
        out.insert(0, tell(Note.NOTHING_COUNTED_AT, missing=", ".join(missing)))
    out += [put(cannot_stand, plan)] if plan.does_not_do else []
    out += [] if plan.record is None else [r.told for r in plan.record.blocks]
    return out


def _verdict(level: Level, blocks: Sequence[Words], plan: Plan, phase: Phase) -> Verdict:
    """Whether people may stay in: in none that is still going up."""
    if level in ("people-out", "keep-away") or blocks or phase == "going-up":
        return "no-go"
    if level == "unknown" or plan.limit.anchorage_only:
        return "unknown"
    return "go"


def with_outlook(s: Stand, o: Outlook, now: int) -> Stand:
    """The same with the forecast of this hour and the deadlines that have passed: a lower reading relaxes neither."""
    here = [
        h for h in o.hours if read_iso(h.start, "outlook", "time") <= now < read_iso(h.end, "outlook", "time")
    ]
    asked: list[tuple[Level, Words]] = [
        (
            h.level if h.level != "unknown" else h.known_level,
            tell(Note.FORECAST_NOW, why=h.because or h.governed_by)
            if h.gust_m_s is None
            else tell(
                Note.FORECAST_GUST_NOW,
                gust=put(show, "speed", h.gust_m_s, s.plan.show_units, rounding="up"),
                what=h.because or h.governed_by,
            ),
        )
        for h in here
    ]
    steps: dict[str, Level] = {"secure_by": "secure", "people_out_by": "people-out"}
    asked += [
        (steps[n.name], tell(Note.TIME_HAS_PASSED, because=n.because))
        for n in o.deadline_notes
        if n.past and n.name in steps
    ]
    found, why, because = s.level, list(s.why), s.because
    for level, text in asked:
        least = (
            1 if found == "unknown" else ORDER.index(found)
        )  # without a reading only people-out and more can be said
        if level != "unknown" and ORDER.index(level) > least:
            found = level
            because = text
            why.insert(0, text)
    if s.struck:
        return s
    if found in ORDER[1:]:
        over = _over(o, found, now)
        s = replace(s, until=None if over is None else max(over, s.until or 0))
    if found == s.level:
        return s
    blocks = _blocks(s.plan)
    verdict = s.verdict if found == "secure" else _verdict(found, blocks, s.plan, s.phase)
    return replace(
        s,
        level=found,
        verdict=verdict,
        head=s.plan.policy.told_after(
            _headline(found, blocks, s.plan, s.phase, counted=not s.assumed, asked=bool(s.open))
        ),
        why=tuple(why),
        because=because,
    )


def _over(o: Outlook, level: Level, now: int) -> int | None:
    """When the hours of a forecast that stand at a level or over, from now on, come to an end; None where they do not."""
    for h in o.hours:
        start, end = (read_iso(t, "outlook", "time") for t in (h.start, h.end))
        if end > now and h.level != "unknown" and ORDER.index(h.level) < ORDER.index(level):
            return max(start, now)
    return None


def overdue(s: Stand, now: int, *, metered: bool) -> Stand:
    """The same with what should have been looked at by now said first: until it is, nobody knows, and that is no go. metered: a meter reads the wind."""
    late = [d for d in s.due if d.kind != "other" and d.at is None and not (metered and d.kind == "wind")]
    if not late or s.verdict == "no-go" or s.phase in ("down", "coming-down"):
        return s
    last = s.readings[-1].entry.at if s.readings else None
    what = together(*(d.what if d.kind != "wind" or last is None else tell(Note.LAST_IS_OLD, what=d.what, n=(now - last) // 60) for d in late), between=", ")  # fmt: skip
    text = tell(Note.NOT_DONE_IN_TIME, what=what)
    if s.verdict != "go":
        return replace(s, why=(text, *s.why))
    words = tell(Note.HEAD_OVERDUE, unknown=LEVELS["unknown"], what=what, headline=s.head)
    return replace(s, verdict="unknown", head=words, why=(text, *s.why))


def not_trusted(s: Stand, faults: Sequence[str]) -> Stand:
    """Where it stands by a record that was changed: never a go."""
    if not faults:
        return s
    words: Words = tell(Note.HEAD_RECORD_CHANGED, headline=s.head)
    return replace(
        s,
        head=words if s.verdict == "no-go" else together(LEVELS["unknown"], words, between=": "),
        why=(tell(Note.RECORD_WAS_CHANGED, faults=faults[0]), *s.why),
        verdict="no-go" if s.verdict == "no-go" else "unknown",
    )


def behind(s: Stand, entries: Sequence[Entry], now: int, zone: tzinfo) -> Stand:
    """Where it stands by a clock that entries of the record are ahead of: what they say is left out of it, so never a go."""
    ahead = max((e for e in entries if e.at > now), key=lambda e: e.at, default=None)
    if ahead is None:
        return s
    text = tell(
        Note.CLOCK_BEHIND, id=ahead.id, at=put(show_time, ahead.at, zone), now=put(show_time, now, zone)
    )
    words: Words = tell(Note.HEAD_CLOCK_BEHIND, headline=s.head)
    return replace(
        s,
        head=words if s.verdict == "no-go" else together(LEVELS["unknown"], words, between=": "),
        why=(text, *s.why),
        verdict="no-go" if s.verdict == "no-go" else "unknown",
    )


def not_known(s: Stand, why: Sequence[Words]) -> Stand:
    """Where it stands when nothing reads the wind: a level from PEOPLE OUT on holds, a lower one is not known. why: comes first."""
    if s.level in ("people-out", "keep-away"):
        return replace(s, why=(*why, *s.why))
    blocks = _blocks(s.plan)
    verdict = _verdict("unknown", blocks, s.plan, s.phase)
    words = _headline("unknown", blocks, s.plan, s.phase, counted=not s.assumed, asked=bool(s.open))
    return replace(
        s, level="unknown", verdict=verdict, head=s.plan.policy.told_after(words), why=(*why, *s.why)
    )
