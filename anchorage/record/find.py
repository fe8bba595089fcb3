"""Search over the records of a folder: what happened, and what was held against what came. It reads, and never raises for one record."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from datetime import date, datetime, timedelta, tzinfo
from pathlib import Path

from anchorage.core.errors import AnchorageError
from anchorage.core.out import Level
from anchorage.core.outputs import RECORD
from anchorage.core.plain import did_you_mean, inert
from anchorage.core.say import say
from anchorage.core.textfile import exists
from anchorage.deployment.policy import ORDER
from anchorage.deployment.reader import read_file
from anchorage.judging.plan import assess
from anchorage.judging.result import Plan
from anchorage.outlook.clock import read_iso, seconds
from anchorage.record.kinds import EVENTS
from anchorage.record.over import corrected, read_record
from anchorage.record.stand import Reading, every_reading, stand
from anchorage.record.store import Entry, Record, path_of

KEYS = ("since", "until", "date", "shelter", "level", "who", "event")
NEAR = "near-miss"
LEVELS: tuple[Level, ...] = ORDER[1:]


class FindError(AnchorageError):
    """What cannot be searched for, and what can."""


@dataclass(frozen=True)
class Query:
    """What is looked for; what is left out does not matter."""

    since: int | None = None
    until: int | None = None
    shelter: str = ""
    level: Level | None = None
    """This level or a higher one."""
    who: str = ""
    event: str = ""
    near: bool = False
    """Readings at or over the gust at which people are out, alone."""


@dataclass(frozen=True)
class Hit:
    """An entry that was found."""

    file: str
    name: str
    entry: Entry
    reading: Reading | None
    """What it was worth against the limit, of a wind reading; one that was withdrawn too, so that no correction hides it."""
    level: Level | None
    withdrawn: bool = False
    """A later entry corrects it."""
    plan: Plan | None = field(default=None, repr=False)
    """Of the installation as it stands, for the words of a reading."""

    @property
    def near(self) -> bool:
        """Near a failure, or over what is held: at or over the share of the limit at which people are out."""
        return self.level is not None and ORDER.index(self.level) >= ORDER.index("people-out")


@dataclass(frozen=True)
class Looked:
    """One record."""

    file: str
    name: str
    hits: tuple[Hit, ...] = ()
    faults: tuple[str, ...] = ()
    why_not: str = ""
    """Why its readings could not be held against a limit, or the record not be read."""


@dataclass(frozen=True)
class Found:
    """All of it."""

    records: tuple[Looked, ...]
    query: Query
    hits: tuple[Hit, ...] = field(default=())

    @property
    def worst(self) -> tuple[Hit, ...]:
        """The highest reading of each record among those that were found, the highest share of its limit first."""
        best: dict[str, Hit] = {}
        for h in self.hits:
            if h.reading is not None and not h.withdrawn:
                r = best[h.file].reading if h.file in best else None
                if r is None or h.reading.share > r.share:
                    best[h.file] = h
        return tuple(
            sorted(best.values(), key=lambda h: -(h.reading.share if h.reading is not None else 0.0))
        )


def _day(text: str, zone: tzinfo, *, after: bool) -> int | None:
    """The first second of a day, or of the day after it; None where it is no day."""
    try:
        day = date.fromisoformat(text)
    except ValueError:
        return None
    if not 1970 < day.year < 2200:
        return None
    return seconds(datetime.combine(day + timedelta(days=1 if after else 0), datetime.min.time(), zone))


def _moment(key: str, text: str, zone: tzinfo, *, after: bool) -> int:
    day = _day(text, zone, after=after)
    return read_iso(text, "--find", key, zone) if day is None else day


def query_of(words: Sequence[str], zone: tzinfo) -> Query:
    """Read ``who=lee since=2026-11-01 near-miss``."""
    said: dict[str, str] = {}
    near = False
    for word in words:
        key, eq, value = word.partition("=")
        if word == NEAR:
            near = True
            continue
        if key not in KEYS or not eq or not value.strip():
            hint = did_you_mean(key, [*KEYS, NEAR]) or say(
                "one of {keys} or {near}", keys=", ".join(f"{k}=" for k in KEYS), near=NEAR
            )
            raise FindError(
                say(
                    "--find {word}: {hint}; for example --find since=2026-11-01 who=lee level=people-out",
                    word=inert(word),
                    hint=hint,
                )
            )
        if key in said:
            raise FindError(say("--find {word}: {key} is given twice", word=inert(word), key=key))
        said[key] = value.strip()
    if "date" in said and ("since" in said or "until" in said):
        raise FindError(say("--find: date, or since and until; not both"))
    level = said.get("level")
    if level is not None and level not in LEVELS:
        raise FindError(
            say(
                "--find level={level}: {did_you_mean}",
                level=inert(level),
                did_you_mean=did_you_mean(level, LEVELS) or say("one of {words}", words=", ".join(LEVELS)),
            )
        )
    event = said.get("event", "")
    if event and event not in EVENTS:
        raise FindError(
            say(
                "--find event={event}: {did_you_mean}",
                event=inert(event),
                did_you_mean=did_you_mean(event, EVENTS) or say("one of {words}", words=", ".join(EVENTS)),
            )
        )
    since, until = said.get("since", said.get("date")), said.get("until", said.get("date"))
    return Query(
        None if since is None else _moment("since", since, zone, after=False),
        None if until is None else _moment("until", until, zone, after=True),
        said.get("shelter", ""), None if level is None else LEVELS[LEVELS.index(level)], said.get("who", ""), event, near,
    )  # fmt: skip


def _in(part: str, *whole: object) -> bool:
    return not part or any(part.casefold() in str(x).casefold() for x in whole)


def fits(q: Query, h: Hit) -> bool:
    """Whether an entry is looked for."""
    e = h.entry
    return (
        (q.since is None or e.at >= q.since)
        and (q.until is None or e.at < q.until)
        and _in(q.who, e.who, e.data.get("to", ""), e.data.get("watch", ""))
        and (not q.event or e.event == q.event)
        and (q.level is None or (h.level is not None and ORDER.index(h.level) >= ORDER.index(q.level)))
        and (not q.near or h.near)
    )


def _level(e: Entry, r: Reading | None) -> Level | None:
    if r is not None:
        return r.level
    return e.data["level"] if e.event == "crossing" and e.data.get("level") in ORDER else None


def looked(path: Path, now: int) -> Looked:
    """The whole record of a deployment file, its readings held against what it took. It never raises."""
    name, why, readings, plan = "", "", dict[int, Reading](), None
    try:
        with Record(path_of(path)) as r:
            entries, faults = r.entries(), r.faults()
    except AnchorageError as e:
        return Looked(path.name, "", why_not=inert(str(e)))
    try:
        d = read_file(path)
        name = d.deployment.name
        record = read_record(path, d.shelter)
        if record is not None and any(e.event == "wind" for e in entries):
            last = max([now, *(e.at for e in entries)])
            s = stand(assess(d), record, last)
            readings, plan = {x.entry.id: x for x in every_reading(d, record)}, s.plan
    except AnchorageError as e:
        why = inert(" | ".join(str(e).splitlines()[:3]))
    except Exception as e:  # noqa: BLE001 - the other records are read all the same
        why = inert(say("a fault of the program, please report it: {name}: {e}", name=type(e).__name__, e=e))[
            :200
        ]
    gone = corrected(entries)
    hits = tuple(
        Hit(path.name, name, e, readings.get(e.id), _level(e, readings.get(e.id)), e.id in gone, plan)
        for e in sorted(entries, key=lambda e: (e.at, e.id))
    )
    return Looked(path.name, name, hits, tuple(faults), why)


def records_of(folder: Path) -> list[Path]:
    """Deployment files of a folder that have a record, those whose file is gone too."""
    try:
        names = sorted(
            p.name for p in folder.iterdir() if p.name.endswith(RECORD) and not p.name.startswith(".")
        )
    except (OSError, ValueError) as e:
        raise FindError(
            say(
                "{folder}: {e}; --find takes a folder",
                folder=folder,
                e=getattr(e, "strerror", None) or say("it cannot be read"),
            )
        ) from None
    return [folder / n.removesuffix(RECORD) for n in names]


def find(paths: Iterable[Path], q: Query, now: int) -> Found:
    """Everything that is looked for, in the order in which it happened."""
    every = [looked(p, now) for p in paths if exists(path_of(p))]
    kept = tuple(x for x in every if _in(q.shelter, Path(x.file).stem, x.name))
    hits = sorted(
        (h for x in kept for h in x.hits if fits(q, h)), key=lambda h: (h.entry.at, h.file, h.entry.id)
    )
    return Found(kept, q, tuple(hits))
