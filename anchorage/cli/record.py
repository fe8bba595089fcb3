"""log and now: what happened, and where the installation stands. The clock is read here and nowhere below."""

from __future__ import annotations

import argparse
from contextlib import nullcontext
from dataclasses import asdict, replace
from datetime import tzinfo
from pathlib import Path
from typing import Any

from anchorage.cli.common import CommandError, Done, Outcome, as_json, as_text, weather, wrote
from anchorage.cli.judge import load
from anchorage.cli.paper import kind_of, made, moment, the_outlook, zone
from anchorage.core.closed import EXITS
from anchorage.core.outputs import put
from anchorage.core.plain import wrap
from anchorage.core.say import say
from anchorage.core.textfile import exists
from anchorage.core.told import in_words, tell
from anchorage.deployment.models import Deployment
from anchorage.judging.changes import change_words
from anchorage.judging.plan import assess
from anchorage.meter.beat import beat_words, silent, with_meter
from anchorage.meter.learn import site_factor
from anchorage.meter.site import marks_of
from anchorage.meter.store import beats as heartbeats
from anchorage.meter.store import minutes_of
from anchorage.outlook.asked import zone_said
from anchorage.outlook.clock import one_clock
from anchorage.paper.aloud import aloud_lines
from anchorage.paper.content import Made
from anchorage.paper.drawings import Drawing
from anchorage.paper.meter_chart import HOUR, strip_drawing
from anchorage.paper.record_page import hand_over, kept_lines, log_lines, now_lines, record_csv
from anchorage.paper.render import rendered
from anchorage.record.events import Said
from anchorage.record.notes import Note
from anchorage.record.over import Recorded, left_behind, read_record
from anchorage.record.stand import Stand, behind, not_trusted, stand, with_outlook
from anchorage.record.store import Entry, Record, path_of
from anchorage.record.write import Request, adopt, keep

DAMAGED = 1


def _deployment(args: argparse.Namespace) -> Deployment:
    if args.file == "-":
        raise CommandError(
            say(
                "{command}: the record stands beside the deployment file, so that must be a file",
                command=args.command,
            )
        )
    return load(args.file, args.units)


def _entry(e: Entry) -> dict[str, Any]:
    return {**asdict(e), "mark": e.mark}


def _write(args: argparse.Namespace, d: Deployment, where: tzinfo) -> Outcome:
    said = Said(
        event=args.event, value=args.value, who=args.who, to=args.to, where=args.where, height=args.height,
        averaging=args.averaging, bearing=args.bearing, kind=args.kind, after=args.after, note=args.note,
        how=args.how, more=args.more, same=args.same, only=args.only, relief=args.relief, watch=args.watch,
    )  # fmt: skip
    r = Request(
        Path(args.file), d, said, moment(args, where), zone_said(args.zone, d.outlook), args.at, new=args.new
    )
    kept = keep(r) if args.adopt is None else adopt(r, args.adopt)
    text = (
        as_json({"schema": 1, "entry": _entry(kept.entry), "faults_before": list(kept.faults_before)})
        if args.json
        else as_text(kept_lines(kept, where, d.deployment.show_units))
    )
    return Done(0, text, say("the entry WAS KEPT as {mark}: do not log it again", mark=kept.entry.mark))


def log(args: argparse.Namespace) -> Outcome:
    """Write an entry, or print, export and check the record."""
    d = _deployment(args)
    where = zone(args, d.outlook)
    if args.adopt is not None:
        if args.event is not None or args.csv is not None or args.check is not None:
            raise CommandError(
                say("log: take a record over, or write an entry, or export and check it; one of them")
            )
        args.event, args.value = "note", say("its record goes on under this name")
    if args.event is not None:
        if args.csv is not None or args.check is not None:
            raise CommandError(say("log: write an entry, or export and check the record; not both at once"))
        return _write(args, d, where)
    with Record(path_of(args.file)) as r:
        entries, faults = r.entries(), r.faults(args.check or None)
    system = d.deployment.show_units
    code = DAMAGED if faults else 0
    if args.csv is not None:
        put(args.csv, record_csv(entries, system).encode("utf-8"))
        said = say("wrote {csv}", csv=args.csv)
        return Done(
            code, as_text([say("{said}: {entries} entries", said=said, entries=len(entries)), *faults]), said
        )
    if args.json:
        return code, as_json(
            {"schema": 1, "whole": not faults, "faults": faults, "entries": [_entry(e) for e in entries]}
        )
    return code, as_text(log_lines(entries, faults, where, system))


def _json(s: Stand, entries: list[Entry]) -> dict[str, Any]:
    finite = {r.entry.id: (r.share if r.share != float("inf") else None) for r in s.readings}
    return {
        "schema": 1, "name": s.plan.name, "verdict": s.verdict, "level": s.level, "headline": s.headline, "why": in_words(s.why), "struck": s.struck, "phase": s.phase,
        "limit_gust_m_s": s.plan.limit.gust_m_s, "changes": change_words(s.changes), "assumptions": in_words(s.assumed),
        "readings": [{"entry": r.entry.id, "at": r.entry.at, "gust_m_s": r.gust, "share": finite[r.entry.id], "level": r.level} for r in s.readings],
        "due": [{"what": str(x.what), "at": x.at} for x in s.due], "shift": None if s.shift is None else asdict(s.shift), "record": None if s.record is None else s.record.model_dump(mode="json"), "last": entries[-1].mark if entries else None,
    }  # fmt: skip


def _strip(args: argparse.Namespace, d: Deployment, m: Made) -> Drawing | None:
    """The last hour of the meter, where one was read."""
    hour = [x for x in minutes_of(args.file, m.now - HOUR) if x.at <= m.now]
    if not hour:
        return None
    marks = marks_of(d, Path(args.file), m.now)
    return strip_drawing(hour, marks, d.deployment.show_units, m.now, m.zone, 180.0)


def now(args: argparse.Namespace) -> Outcome:
    """Say where the installation stands by the latest readings and what is due; or write the hand-over page."""
    d = _deployment(args)
    kind = None if args.output is None else kind_of(args.output, (".pdf", ".html", ".htm"))
    m = made(args, d)
    asked = weather(args)
    if (asked.say or asked.forecast) and args.file != "-" and not exists(path_of(args.file)):
        raise CommandError(
            say(
                "{file}: nothing has been logged yet, and WHAT WAS HEARD WAS NOT JUDGED. Danger in it counts: people out until it was looked at. anchorage outlook FILE judges it with the same words; anchorage log FILE setup --who NAME begins the record",
                file=args.file,
            )
        )
    if args.file != "-" and not exists(path_of(args.file)):
        left_behind(d.deployment, d.shelter, Path(args.file))
    with nullcontext() if args.json else one_clock(m.zone, m.now):
        with Record(path_of(args.file)) as r:
            entries, faults = r.entries(), r.faults()
        record = read_record(Path(args.file), d.shelter)
        s = stand(assess(d), record or Recorded((), (), {}, ""), m.now, m.zone)
        o = the_outlook(asked, args.zone, s.assessed, m.now, lenient=True)
        if o is not None:
            before, s = s.level, with_outlook(s, o, m.now)
            if (asked.say or asked.forecast) and s.level != before:
                s = replace(s, why=(tell(Note.HEARD_IS_KEPT_NOWHERE), *s.why))
        beats = [b for b in heartbeats(args.file) if b.looked <= m.now + 60]
        s = not_trusted(with_meter(s, beats, m.now, m.zone), faults)
        s = s if args.now is not None else behind(s, entries, m.now, m.zone)
        code = EXITS[s.verdict]
        if kind is not None:
            put(args.output, rendered(hand_over(s, entries, o, m, args.paper, _strip(args, d, m)), kind))
            return wrote(args.output, f": {s.headline}", code)
        if args.aloud and not args.json:
            return code, as_text(aloud_lines(s, o, beats, m.zone, m.now))
        if args.json:
            meters = [
                {
                    "source": b.source,
                    "heard": b.heard,
                    "looked": b.looked,
                    "stopped": b.stopped,
                    "silent": silent(b, m.now),
                }
                for b in beats
            ]
            return code, as_json({**_json(s, entries), "meters": meters})
        factor = None if record is None else site_factor(record.until(m.now).counting)
        told = (
            []
            if factor is None
            else wrap(
                say(
                    "Meter over forecast here: {words} pairs; it warns earlier and moves no level.",
                    words=factor.words,
                )
            )
        )
        told += [x for b in beats if not silent(b, m.now) for x in wrap(beat_words(b, m.now, m.zone))]
        return code, as_text([*now_lines(s, o, m.zone, m.now), *(["", *told] if told else [])])
