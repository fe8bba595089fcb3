"""The record and what it means now, as lines of text, as a table and as the page that is handed over."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import UTC, datetime, tzinfo

from anchorage.core.plain import wrap
from anchorage.core.say import ENGLISH, capital, later, plural, say, speaking
from anchorage.core.textfile import exists
from anchorage.core.told import in_words
from anchorage.core.units import System
from anchorage.core.words import LEVELS, spoken
from anchorage.deployment.policy import against
from anchorage.judging.changes import change_words
from anchorage.judging.gusts import held_text, of_plan
from anchorage.judging.result import Plan
from anchorage.loads.wind_trip import hand_height
from anchorage.outlook.clock import HOUR, clock_name, full, read_iso, with_date
from anchorage.outlook.result import Outlook
from anchorage.paper.blocks import Banner, Beside, Block, Bullets, Document, Grid, Heading, Paper, Para
from anchorage.paper.content import (
    Made,
    SheetIn,
    figure,
    height_words,
    level_rows,
    limit_words,
    same_force,
    snow_now,
    trip_words,
)
from anchorage.paper.drawings import Drawing
from anchorage.paper.outlook_text import deadline_words, in_order, next_deadline
from anchorage.paper.points import table_csv
from anchorage.paper.sketch import count
from anchorage.paper.words import MOST_NOTES, edit_words, spread_words
from anchorage.record.events import words_of
from anchorage.record.kinds import result_of
from anchorage.record.stand import Due, Reading, Stand
from anchorage.record.store import Entry, Record, path_of
from anchorage.record.write import Kept

UNSAID = later(
    "NOT SAID whether it passed or failed, and until one passed nothing is a go. Log it: anchorage log FILE inspection passed, or failed."
)
ON_SHEET = 10
"""Entries that the sheet carries, the last ones."""
AHEAD = 12 * HOUR
HEAD = ("number", "time_utc", "written_utc", "who", "event", "what", "file_sha256", "seal")


def _iso(at: int) -> str:
    return datetime.fromtimestamp(at, UTC).strftime("%Y-%m-%dT%H:%M:%SZ")


@speaking(ENGLISH)
def record_csv(entries: Sequence[Entry], system: System) -> str:
    """Every entry as a row; no cell starts a formula."""
    rows: list[tuple[str, ...]] = [
        (str(e.id), _iso(e.at), _iso(e.written), e.who, e.event, words_of(e, system), e.file, e.seal)
        for e in entries
    ]
    return table_csv(HEAD, rows)


def kept_lines(kept: Kept, zone: tzinfo, system: System) -> list[str]:
    """What was kept, as it is acknowledged."""
    e = kept.entry
    return [
        say(
            "kept as {mark}: {at}, {who}, {system}",
            mark=e.mark,
            at=with_date(e.at, zone),
            who=e.who,
            system=words_of(e, system, zone),
        ),
        *(wrap(UNSAID) if e.event == "inspection" and result_of(e.data) == "unsaid" else []),
        *(x for words in kept.told for x in wrap(capital(words))),
        *(say("BEFORE THIS ENTRY THE RECORD WAS CHANGED: {f}", f=f) for f in kept.faults_before[:3]),
    ]


def log_lines(entries: Sequence[Entry], faults: Sequence[str], zone: tzinfo, system: System) -> list[str]:
    """The record for a terminal."""
    out = [
        x
        for e in entries
        for x in wrap(
            f"{e.id:>3}  {with_date(e.at, zone)}  {e.who}: {words_of(e, system, zone)}", "", "       "
        )
    ]
    end = (
        say("Whole: {entries} entries, last {mark}", entries=len(entries), mark=entries[-1].mark)
        if entries and not faults
        else say("No entries.")
        if not entries
        else say("THE RECORD WAS CHANGED:")
    )
    return [*out, "", *wrap(end), *(x for f in faults for x in wrap(f, "- "))]


def sheet_rows(file: str, zone: tzinfo) -> tuple[tuple[str, ...], ...]:
    """The last entries for the sheet; nothing where there is no record."""
    path = path_of(file)
    if file == "-" or not exists(path):
        return ()
    with Record(path) as r:
        entries = r.entries()
        faults = r.faults()
    rows = [(with_date(e.at, zone), e.who, words_of(e, "us", zone)) for e in entries[-ON_SHEET:]]
    end = (
        say("{entries} entries, the last sealed {mark}", entries=len(entries), mark=entries[-1].mark)
        if entries
        else say("no entries")
    )
    return (*rows, ("", "", say("THE RECORD WAS CHANGED: {faults}", faults=faults[0]) if faults else end))


def reading_words(r: Reading, plan: Plan, now: int) -> str:
    """``35 mph by hand = 45 mph gust, 93 % of the limit: PEOPLE OUT, 12 min ago, A. Lee``."""
    system = plan.show_units
    found = against(plan.policy, r.gust, r.limit, system, least=of_plan(plan).digits)
    age = max(now - r.entry.at, 0) // 60
    ago = say("{age} min ago", age=age) if age < 120 else say("{age} h ago", age=age // 60)
    by = (
        ""
        if r.share == float("inf") or r.level == r.by_share
        else say(" by the sheet, which rounds readings down")
    )
    return say(
        "{entry}: worth a 3 s gust of {words} of the limit at 10 m, {level}{by} ({ago}, {who})",
        entry=words_of(r.entry, system),
        words=found.words,
        level=LEVELS[r.level],
        by=by,
        ago=ago,
        who=r.entry.who,
    )


def due_words(due: Due, zone: tzinfo) -> str:
    """``inspection after wind: NOW``."""
    when = say("NOW") if due.at is None else say("by {time}", time=with_date(due.at, zone))
    return f"{due.what}: {when}"


def shift_words(s: Stand, zone: tzinfo) -> list[str]:
    """Who answers for it until when, and who watches at night; nothing where nothing was handed over."""
    x = s.shift
    if x is None:
        return []
    relief = say("relief not said") if x.relief is None else say("relief {at}", at=with_date(x.relief, zone))
    watch = say("night watch: {watch}", watch=x.watch) if x.watch else say("night watch: NOBODY NAMED")
    return [
        say(
            "Shift: {to} since {since}, {relief}; {watch}.",
            to=x.to,
            since=with_date(x.since, zone),
            relief=relief,
            watch=watch,
        )
    ]


def _shift_grid(s: Stand, zone: tzinfo) -> Grid:
    """The fields of the shift in the words that public incident forms have for them, with room to write what is not known."""
    x = s.shift
    since = "" if x is None else say("from {since}", since=with_date(x.since, zone))
    until = "" if x is None or x.relief is None else with_date(x.relief, zone)
    period = say("{since} to {until}", since=since, until=until) if until else since
    head = (say("incident name"), say("operational period"), say("relief at"), say("night watch"))
    return Grid(head, (("", period, until, "" if x is None else x.watch),), "llll", (1, 1.3, 1, 1), tall=True)


def outlook_words(o: Outlook | None, zone: tzinfo, now: int) -> list[str]:
    """The deadlines of the next 12 hours."""
    if o is None:
        return [say("No forecast given: no deadline is known. Add --forecast.")]
    out = [o.headline]
    for n in in_order(o):
        at = getattr(o.deadlines, n.name)
        if at is None or read_iso(at, "outlook", say("time")) - now <= AHEAD:
            out.append(deadline_words(o, n, zone))
    return out


def _first(s: Stand) -> list[str]:
    """That there is a record, how much of it, and what was edited since."""
    r = s.record
    if r is None:
        return [say("RECORD: nothing was logged.")]
    edited = edit_words(r)
    whose = {"record": say("the record"), "file": say("the file, the record counts no point"), "plan": say("nobody: nothing was counted")}  # fmt: skip
    out = [
        plural(
            "RECORD: {n} entry, last {last}. Counted by {whose}.",
            "RECORD: {n} entries, last {last}. Counted by {whose}.",
            r.entries,
            last=r.last,
            whose=whose[r.counted],
        )
    ]
    return [*out, say("EDITED SINCE IT WAS LOGGED: {edited}.", edited="; ".join(edited))] if edited else out


def _whose_clock(zone: tzinfo, now: int) -> str:
    """Said once, of every time on a page."""
    return say("All times are {zone}.", zone=clock_name(now, zone))


def _coming(s: Stand, o: Outlook | None, zone: tzinfo) -> tuple[str, ...]:
    """What is due next. That a forecast sets no time says nothing good where nobody can say whether it holds: it stands with the forecast alone then."""
    if o is None or (s.verdict == "unknown" and all(n.reached is None for n in o.deadline_notes)):
        return ()
    return (say("Next: {next_deadline}.", next_deadline=next_deadline(o, zone)),)


def now_lines(s: Stand, o: Outlook | None, zone: tzinfo, now: int) -> list[str]:
    """Where it stands, for a terminal."""
    plan = s.plan
    lines = [
        *wrap(
            say("{headline}, as of {time}", headline=s.headline, time=full(now, zone))
            + ("" if clock_name(now, zone) == "UTC" else f". {_whose_clock(zone, now)}")
        ),
        *(x for t in _coming(s, o, zone) for x in wrap(t)),
        *wrap(plan.name, say("For: ")),
        *(x for t in _first(s) for x in wrap(t)),
        "",
    ]
    if s.readings:
        lines += wrap(say("Last: ") + reading_words(s.readings[-1], plan, now) + ".")
        top = max(s.readings[-6:], key=lambda r: r.share)
        if top is not s.readings[-1]:
            lines += wrap(say("Worst of the last six: ") + reading_words(top, plan, now) + ".")
    if s.readings and s.readings[-1].then:
        lines += wrap(say("By the installation as it stood when that was read: it was changed since."))
    lines += wrap(
        say(
            "{if_all} it holds to {limit_text}",
            if_all=say("If all that is planned is in place")
            if s.assumed
            else say("Once it stands")
            if s.phase == "going-up"
            else say("As it stands"),
            limit_text=held_text(plan),
        )
        + (say(" (anchorage only).") if plan.limit.anchorage_only else ".")
    )
    lines += [x for t in in_words(s.why) for x in wrap(t, "- ")]
    lines += [x for t in shift_words(s, zone) for x in wrap(t)]
    if s.due:
        lines += ["", say("Due:"), *(x for d in s.due for x in wrap(due_words(d, zone), "- "))]
    if s.record is not None and s.record.notes:
        lines += [
            "",
            say("Noted, not judged:"),
            *(x for t in in_words(s.record.notes[-MOST_NOTES:]) for x in wrap(t, "- ")),
        ]
    if s.changes:
        lines += [
            "",
            say("Changed against the file:"),
            *(x for t in change_words(s.changes) for x in wrap(t, "- ")),
        ]
    lines += ["", say("Forecast:"), *(x for t in outlook_words(o, zone, now) for x in wrap(t, "- "))]
    if s.assumed:
        lines += ["", say("Taken as true:"), *(x for t in in_words(s.assumed) for x in wrap(t, "- "))]
    return [
        *lines,
        "",
        *wrap(
            say(
                "A named person decides. A lower reading ends no level: an all-clear does, half an hour after the wind and with an inspection."
            )
        ),
    ]


def _counted(s: Stand) -> str:
    """What was counted, never what was brought or planned."""
    words = " ".join(spread_words(s.plan))
    if s.assumed:
        return say("NOTHING WAS COUNTED. Planned: {words}", words=words)
    return words or say("nothing placed")


def _points(s: Stand) -> tuple[tuple[str, ...], ...]:
    changes = [] if s.record is None else s.record.changes
    missing = {c.where for c in changes if c.code == "not-counted" and not c.value}
    out = []
    for p in s.plan.anchorage.points:
        uncounted = p.kind != "none" and (bool(s.assumed) or p.id in missing)
        out.append(
            (
                p.id,
                say("not counted") if uncounted else str(count(p)),
                p.item if p.kind != "none" else say("nothing"),
            )
        )
    return tuple(out)


def _stands(s: Stand) -> tuple[tuple[str, str], ...]:
    d, plan = s.d, s.plan
    doors = ", ".join(f"{spoken(x.wall)} {spoken(x.state)}" for x in d.door) or say(
        "no door named in the file"
    )
    snow = snow_now(plan)
    edited = [] if s.record is None else edit_words(s.record)
    return (
        (say("Counted"), _counted(s)),
        (say("Doors"), doors), (say("Straps"), spoken(d.shelter.straps)), (say("Ground"), f"{d.site.surface or say('not given')}, {d.site.state or say('state not given')}"),
        (say("Snow"), snow), (say("Changed"), "; ".join(change_words(s.changes)) or say("nothing against the file")),
        *([(say("File edited"), "; ".join(edited))] if edited else []),
        (say("Would hold") if s.assumed else say("Holds to"), held_text(plan)),
    )  # fmt: skip


def hand_over(
    s: Stand,
    entries: Sequence[Entry],
    o: Outlook | None,
    made: Made,
    paper: Paper,
    meter: Drawing | None = None,
) -> Document:
    """The page that is handed over; readable if it is the only one that is left."""
    zone, now, plan, system = made.zone, made.now, s.plan, s.plan.show_units
    overs = [e for e in entries if e.event == "hand-over"]
    last = overs[-1] if overs else None
    since = [e for e in entries if len(overs) < 2 or e.id > overs[-2].id]
    who = (last.who, str(last.data.get("to", ""))) if last is not None else ("", "")
    when = "" if last is None else with_date(last.at, zone)
    tone = {"go": "go", "no-go": "no-go", "unknown": "unknown"}[s.verdict]
    reading = () if not s.readings else (say("Last wind: ") + reading_words(s.readings[-1], plan, now) + ".",)
    rows = tuple((with_date(e.at, zone), e.who, words_of(e, system, zone)) for e in since[-14:])
    sheet = SheetIn(plan, s.d, made)
    head = (
        say("Level"),
        say("Gust at 33 ft") if system == "us" else say("Gust at 10 m"),
        say("Hand-held {hand_height}", hand_height=height_words(hand_height(), system)),
        say("Beaufort"),
        say("Then"),
    )
    coming = _coming(s, o, zone)
    blocks: list[Block] = [
        Banner(say("HAND-OVER: {headline}", headline=s.headline), tone, (say("For: ") + plan.name, f"{say('As of {time}.', time=with_date(now, zone))} {_whose_clock(zone, now)}", *reading, *coming, *in_words(s.why))),  # type: ignore[arg-type]
        _shift_grid(s, zone),
        Grid(("", say("name"), say("position, title"), say("signature"), say("date and time")), ((say("Hands over"), who[0], "", "", when), (say("Takes over"), who[1], "", "", when)), "lllll", (0, 1, 1, 1, 1), tall=True, bold=(0, 1)),
        Beside((
            (Heading(say("AS IT STANDS")), Grid((), _stands(s), "ll", (0, 1), bold=(0,)), Grid((say("at"), say("counted"), say("what")), _points(s), "lrl", (0, 0, 1), bold=(1,), columns=2, size=0.9)),
            (Heading(say("DUE")), Bullets(tuple(due_words(x, zone) for x in s.due), box=True), Heading(say("NEXT 12 HOURS")), Bullets(tuple(outlook_words(o, zone, now)))),
        ), (1.1, 1.0)),
        *([] if meter is None else [figure(meter)]),
        Para(limit_words(plan), bold=True, size=1.3),
        Grid(head, level_rows(sheet), "lrrcl", (0, 0, 0, 0, 1), bold=(0, 1, 2, 3)),
        *same_force(sheet),
        Para(trip_words(sheet), size=0.85),
        Heading(say("WHAT HAPPENED since the hand-over before")),
        Grid((say("time"), say("who"), say("what")), rows, "lll", (0, 0, 1), size=0.95),
        Para(say("{entries} entries in the record, the last sealed {mark}. To check later: anchorage log FILE --check {mark}", entries=len(entries), mark=entries[-1].mark) if entries else say("Nothing has been logged.")),
        *([Bullets(tuple(in_words(s.assumed)))] if s.assumed else []),
        Para(say("If it lifts, let go. At thunder everybody into a building or a car with a metal roof. A named person decides. Not a permit, sealed by no engineer."), bold=True),
    ]  # fmt: skip
    return Document(
        title=say("{plan}: hand-over", plan=plan.name),
        blocks=tuple(blocks),
        foot=plan.policy.after(made.foot),
        paper=paper,
        about=s.headline,
    )
