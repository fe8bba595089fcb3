"""An event into the record beside a deployment file, whoever says so: the command line, the interface, a meter."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import tzinfo
from pathlib import Path
from typing import Any

from anchorage.checks.installation import shape_of
from anchorage.core.choices import is_now
from anchorage.core.outputs import METER, RECORD
from anchorage.core.plain import clean
from anchorage.core.say import dated, plural, say
from anchorage.core.textfile import exists, fingerprint, why_not
from anchorage.core.told import in_words, tell
from anchorage.core.words import so_many
from anchorage.deployment.models import Deployment, SiteTest
from anchorage.judging.changes import UNDONE, change_words
from anchorage.judging.gusts import cannot_stand
from anchorage.judging.plan import make_plan
from anchorage.judging.result import Plan
from anchorage.outlook.clock import read_said, utc
from anchorage.record.events import AS_PLANNED, Said, data_of
from anchorage.record.noted import DANGERS, open_in
from anchorage.record.over import NotItsOwnError, as_it_stands, left_behind, parts_of, read_record
from anchorage.record.stand import refused
from anchorage.record.store import Entry, Record, RecordError, path_of, settle


@dataclass(frozen=True)
class Request:
    """What is to be kept of an installation: what was said, and when it was."""

    file: Path
    deployment: Deployment
    """The file as it was read, without its record."""
    said: Said
    now: int
    """Seconds since 1970."""
    zone: tzinfo | None = None
    """Zone of the people; None where none is given."""
    at: str | int | None = None
    """When it happened: as it was said, or seconds since 1970; now where it was not."""
    new: bool = False
    """A record that lies beside it under another name is of another shelter: this begins one of its own."""


@dataclass(frozen=True)
class Kept:
    """The entry, which is on the disk and was read back, and what had been done to the record before it."""

    entry: Entry
    faults_before: tuple[str, ...]
    told: tuple[str, ...] = ()
    """What this entry does not do, or not yet, in words."""


def keep(r: Request) -> Kept:
    """Put an event into the record. Raises ``errors.AnchorageError`` for what is not kept."""
    d, said = r.deployment, r.said
    at = r.now if r.at is None else r.at
    if isinstance(at, str) and is_now(at):
        at = r.now
    if isinstance(at, str):
        at = _once(at, r)
    if at > r.now:
        raise RecordError(say("--at {at}: that is later than now; log what has happened", at=r.at))
    before = read_record(r.file, d.shelter)
    if before is None or not before.entries:
        if not r.new:
            left_behind(d.deployment, d.shelter, r.file)
    elif r.new:
        raise RecordError(
            say(
                "--new-record: {file} has a record already, and this goes into it: leave that out",
                file=r.file.name,
            )
        )
    try:
        stands = d if before is None or not before.entries else as_it_stands(d, before)[0]
    except NotItsOwnError:
        if not said.same:
            raise
        stands = d
    ids = [p.id for p in shape_of(d.shelter).points]
    off = {p.id for p in d.point if not p.usable or p.kind == "none"}
    numbers = [] if before is None else [e.id for e in before.entries]
    planned = as_planned(make_plan(d)) if said.event == "placed" and said.how == AS_PLANNED else None
    data = data_of(said, tuple(ids), numbers, len(ids) - len(off & set(ids)), planned)
    if said.relief is not None:
        data["relief"] = read_said(said.relief, r.zone, at, "log", "--relief")
        if data["relief"] <= at:
            raise RecordError(
                say(
                    "--relief {relief}: that is before the hand-over; give when the relief comes",
                    relief=said.relief,
                )
            )
    _in_words(data, said)
    _asked(stands, data, said)
    _counts(d.test, data, said)
    try:
        parts = parts_of(r.file, d.shelter)
    except OSError as e:
        raise RecordError(
            say(
                "{file}: {why_not}, a moment after it was read",
                file=r.file.name,
                why_not=why_not(e, say("it cannot be read")),
            )
        ) from None
    with Record(path_of(r.file), write=True) as record:
        broken = record.faults()
        entry = record.append(
            at=at, written=r.now, who=clean(said.who.strip()), event=said.event, data=data,
            file=fingerprint(*parts), parts=parts,
        )  # fmt: skip
    return Kept(entry, tuple(broken), (*_long_ago(r, entry), *_told(r, entry)))


HOUR, DAY = 3600, 86400


def _once(said: str, r: Request) -> int:
    """When something happened; a time that came twice, in the hour that a clock change doubles, is asked about."""
    first, last = (read_said(said, r.zone, r.now, "log", "--at", past=True, late=x) for x in (False, True))
    if first < last <= min(r.now, first + 2 * HOUR):
        either = [dated(utc(t), "%Y-%m-%dT%H:%MZ") for t in (first, last)]
        raise RecordError(
            say("--at {said}: that time came twice, as the clock went back: write {first} or {last}", said=said, first=either[0], last=either[1])
        )  # fmt: skip
    return first


def adopt(r: Request, record: str) -> Kept:
    """Take a record over that was left under another name: it goes on beside this file, from an entry that says so on."""
    old, new = r.file.with_name(record), path_of(r.file)
    gone = old.with_name(old.name.removesuffix(RECORD))
    if Path(record).name != record or not record.endswith(RECORD) or not exists(old):
        raise RecordError(
            say("--adopt {record}: no such record lies beside {file}", record=record, file=r.file.name)
        )
    if exists(new):
        raise RecordError(
            say("--adopt {record}: {file} has a record of its own already", record=record, file=r.file.name)
        )
    if exists(gone):
        raise RecordError(
            say("--adopt {record}: its own file {gone} is there; judge that", record=record, gone=gone.name)
        )
    settle(old)
    for end in (RECORD, METER):
        here = gone.with_name(gone.name + end)
        if exists(here):
            here.rename(r.file.with_name(r.file.name + end))
    return keep(r)


def _in_words(data: dict[str, Any], said: Said) -> None:
    """A danger in words alone is not kept as if somebody had heard it, unless it is said to be none."""
    found = [] if said.only else open_in(said.event, data)
    if found:
        raise RecordError(
            say(
                "NOT KEPT: '{words}' is a danger, and in words alone nobody hears it. {log} If it is no danger now: the same with --only-a-note",
                words=found[0].words,
                log=tell(DANGERS[found[0].kind].ask),
            )
        )


def as_planned(plan: Plan) -> dict[str, int] | None:
    """What a plan says at each point that is used; None where that is no number that can stand there."""
    if plan.does_not_do:
        return None
    counts = {
        p.id: p.stakes if p.kind == "stakes" else p.units
        for p in plan.anchorage.points
        if p.usable and p.kind != "none"
    }
    known = {k: n for k, n in counts.items() if n is not None}
    return known if known and len(known) == len(counts) and sum(known.values()) else None


def _long_ago(r: Request, e: Entry) -> list[str]:
    """That an entry is of another day, which it may not have been meant for."""
    days = (r.now - e.at) // DAY
    if not days:
        return []
    return [
        plural(
            "That is {n} day ago, and counts as of then: is the date right? If not, correct entry {id} and write it down again.",
            "That is {n} days ago, and counts as of then: is the date right? If not, correct entry {id} and write it down again.",
            days,
            id=e.id,
        )
    ]


def _told(r: Request, e: Entry) -> list[str]:
    """What is to be known at once of an entry, since it does not do what it may have been logged for."""
    if e.event == "wind" and float(e.data["speed_m_s"]) == 0.0:
        return [
            say(
                "A reading of nothing: see that the meter turns, held up and clear of the shelter, and read again."
            )
        ]
    if e.event in ("note", "action"):
        return [say("Kept as words: nothing is judged by it.")]
    if e.event == "all-clear":
        return in_words(x for x in (refused(r.deployment, r.file, e, r.zone),) if x is not None)
    if e.event == "wind" and r.said.averaging is None and e.data["averaging"] != "3 s":
        return [
            say(
                "It was not said whether that is the peak or a mean: it counts as a mean over {averaging}, which stands for a higher gust. Hold the peak and add: --averaging peak",
                averaging=e.data["averaging"],
            )
        ]
    if e.event not in ("snow", "placed"):
        return []
    record = read_record(r.file, r.deployment.shelter)
    try:
        made, out = (r.deployment, None) if record is None else as_it_stands(r.deployment, record)
    except NotItsOwnError:
        return []
    if out is None:
        return []
    if e.event == "placed":
        held = make_plan(made)
        more = [cannot_stand(held)] if held.does_not_do else []
        return more + [a.text for a in out.asks if a.code == "placed-where" and e.data.get("how") == "in-all"]
    return change_words([c for c in out.changes if c.entry == e.id and c.code in UNDONE])


def _counts(tests: list[SiteTest], data: dict[str, Any], said: Said) -> None:
    """A test that would count nothing is not kept as if it did: what it is read against is in the file."""
    if said.event != "test" or any(t.kind == data["kind"] for t in tests):
        return
    place = (
        ""
        if said.where or said.note
        else say(" Where it was made is not said either (--where POINT or --note PLACE).")
    )
    raise RecordError(
        say(
            "NOT KEPT: it would count nothing. The file has no [[test]] of kind {kind}, so what was tested, on what and with what load is not known.{place} Put the test into the file with all of that; or keep it as words: log FILE note",
            kind=data["kind"],
            place=place,
        )
    )


def _asked(d: Deployment, data: dict[str, Any], said: Said) -> None:
    """More than was brought is asked about before it is kept. d: the installation as it stood until now."""
    if said.event != "placed" or said.more or not d.stock:
        return
    counts = dict(d.anchorage.placed) if isinstance(d.anchorage.placed, dict) else {}
    known = {p.id: p for p in d.point}
    needed = [
        p.id
        for p in shape_of(d.shelter).points
        if p.id not in known or (known[p.id].usable and known[p.id].kind != "none")
    ]
    if "counts" in data:
        counts |= data["counts"]
    elif "where" in data:
        counts[data["where"]] = data["count"]
    else:
        share = data["count"] // max(len(needed), 1) if data.get("how") == "in-all" else data["count"]
        counts = dict.fromkeys(needed, share)
    points = [p.model_copy(update={"placed": None}) for p in d.point]
    held = d.anchorage.model_copy(update={"placed": counts})
    plan = make_plan(d.model_copy(update={"anchorage": held, "point": points}))
    short = [s for s in plan.stock if s.short]
    if short:
        s = short[0]
        if data.get("how") == "in-all":
            raise RecordError(
                say(
                    "NOT KEPT: that makes {needed}, and [stock] says {brought} were brought. If they came later: the same with --more-came. Else count again",
                    needed=so_many(s.needed, s.item),
                    brought=s.brought,
                )
            )
        raise RecordError(
            say(
                "NOT KEPT: that makes {needed}, and [stock] says {brought} were brought. If they came later: the same with --more-came. If {said} was meant in all: --in-all",
                needed=so_many(s.needed, s.item),
                brought=s.brought,
                said=said.value,
            )
        )
