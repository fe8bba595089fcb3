"""log and now: what happened, and where the installation stands. The clock is read here and nowhere below."""

from __future__ import annotations

import argparse
from dataclasses import asdict
from datetime import tzinfo
from pathlib import Path
from typing import Any

from anchorage.checks.installation import shape_of
from anchorage.cli.common import CommandError, Outcome, as_json, as_text
from anchorage.cli.judge import CODES, load
from anchorage.cli.paper import kind_of, made, moment, the_outlook, write_bytes, zone
from anchorage.core.plain import clean
from anchorage.core.textfile import fingerprint
from anchorage.core.words import so_many
from anchorage.deployment.models import Deployment
from anchorage.judging.plan import make_plan
from anchorage.outlook.clock import read_said
from anchorage.paper.record_page import day_time, hand_over, log_lines, now_lines, record_csv
from anchorage.paper.render import rendered
from anchorage.record.events import Said, data_of, words_of
from anchorage.record.over import NotItsOwnError, Recorded, as_it_stands, parts_of, read_record
from anchorage.record.stand import Stand, not_trusted, stand, with_outlook
from anchorage.record.store import Entry, Record, path_of

DAMAGED = 1


def _deployment(args: argparse.Namespace) -> Deployment:
    if args.file == "-":
        raise CommandError(
            f"{args.command}: the record stands beside the deployment file, so that must be a file"
        )
    return load(args.file, args.units)


def _entry(e: Entry) -> dict[str, Any]:
    return {**asdict(e), "mark": e.mark}


def _write(args: argparse.Namespace, d: Deployment, where: tzinfo) -> Outcome:
    now = moment(args, where)
    zoned = None if args.zone is None and d.outlook.zone is None else where
    at = now if args.at is None else read_said(args.at, zoned, now, "log", "--at", past=True)
    if at > now:
        raise CommandError(f"--at {args.at}: that is later than now; log what has happened")
    said = Said(
        args.event,
        args.value,
        args.who,
        args.to,
        args.where,
        args.height,
        args.averaging,
        args.bearing,
        args.kind,
        args.after,
        args.note,
        args.how,
        args.more,
        args.same,
    )
    before = read_record(Path(args.file), d)
    try:
        stands = d if before is None or not before.entries else as_it_stands(d, before)[0]
    except NotItsOwnError:
        if not args.same:
            raise
        stands = d
    ids, off = (
        [p.id for p in shape_of(d.shelter).points],
        {p.id for p in d.point if not p.usable or p.kind == "none"},
    )
    numbers = [] if before is None else [e.id for e in before.entries]
    data = data_of(said, tuple(ids), numbers, len(ids) - len(off & set(ids)))
    _asked(stands, data, args)
    parts = _parts(args, d)
    with Record(path_of(args.file), write=True) as r:
        broken = r.faults()
        e = r.append(
            at=at,
            written=now,
            who=clean(args.who.strip()),
            event=args.event,
            data=data,
            file=fingerprint(*parts),
            parts=parts,
        )
    if args.json:
        return 0, as_json({"schema": 1, "entry": _entry(e), "faults_before": broken})
    return 0, as_text(
        [
            f"kept as {e.mark}: {day_time(e.at, where)}, {e.who}, {words_of(e, d.deployment.show_units)}",
            *(f"BEFORE THIS ENTRY THE RECORD WAS CHANGED: {f}" for f in broken[:3]),
        ]
    )


def _parts(args: argparse.Namespace, d: Deployment) -> tuple[bytes, ...]:
    try:
        return parts_of(Path(args.file), d)
    except OSError as e:
        raise CommandError(
            f"{Path(args.file).name}: {e.strerror or 'it cannot be read'}, a moment after it was read"
        ) from None


def _asked(d: Deployment, data: dict[str, Any], args: argparse.Namespace) -> None:
    """More than was brought is asked about before it is kept. d: the installation as it stood until now."""
    if args.event != "placed" or args.more or not d.stock:
        return
    counts = dict(d.anchorage.placed) if isinstance(d.anchorage.placed, dict) else {}
    said = {p.id: p for p in d.point}
    needed = [
        p.id
        for p in shape_of(d.shelter).points
        if p.id not in said or (said[p.id].usable and said[p.id].kind != "none")
    ]
    if "where" in data:
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
        raise CommandError(
            f"NOT KEPT: that makes {so_many(s.needed, s.item)}, and [stock] says {s.brought} were brought. If they came later: the same with --more-came. "
            f"If {args.value} was meant in all: --in-all"
        )


def log(args: argparse.Namespace) -> Outcome:
    """Write an entry, or print, export and check the record."""
    d = _deployment(args)
    where = zone(args, d)
    if args.event is not None:
        if args.csv is not None or args.check is not None:
            raise CommandError("log: write an entry, or export and check the record; not both at once")
        return _write(args, d, where)
    with Record(path_of(args.file)) as r:
        entries, faults = r.entries(), r.faults(args.check or None)
    system = d.deployment.show_units
    code = DAMAGED if faults else 0
    if args.csv is not None:
        if Path(args.csv).suffix.lower() != ".csv":
            raise CommandError(f"--csv {args.csv}: give a name that ends in .csv")
        write_bytes(args.csv, record_csv(entries, system).encode("utf-8"))
        return code, as_text([f"wrote {args.csv}: {len(entries)} entries", *faults])
    if args.json:
        return code, as_json(
            {"schema": 1, "whole": not faults, "faults": faults, "entries": [_entry(e) for e in entries]}
        )
    return code, as_text(log_lines(entries, faults, where, system))


def _json(s: Stand, entries: list[Entry]) -> dict[str, Any]:
    finite = {r.entry.id: (r.share if r.share != float("inf") else None) for r in s.readings}
    return {
        "schema": 1, "name": s.plan.name, "verdict": s.verdict, "level": s.level, "headline": s.headline, "why": list(s.why), "struck": s.struck,
        "limit_gust_m_s": s.plan.limit.gust_m_s, "changes": list(s.changes), "assumptions": list(s.assumed),
        "readings": [{"entry": r.entry.id, "at": r.entry.at, "gust_m_s": r.gust, "share": finite[r.entry.id], "level": r.level} for r in s.readings],
        "due": [{"what": x.what, "at": x.at} for x in s.due], "record": None if s.record is None else s.record.model_dump(mode="json"), "last": entries[-1].mark if entries else None,
    }  # fmt: skip


def now(args: argparse.Namespace) -> Outcome:
    """Say where the installation stands by the latest readings and what is due; or write the hand-over page."""
    d = _deployment(args)
    kind = None if args.output is None else kind_of(args.output, (".pdf", ".html", ".htm"))
    m = made(args, d)
    with Record(path_of(args.file)) as r:
        entries, faults = r.entries(), r.faults()
    record = read_record(Path(args.file), d)
    s = stand(d, make_plan(d), record or Recorded((), (), {}, ""), m.now, make_plan)
    o = the_outlook(args, s.d, m.now, m.zone, lenient=True)
    if o is not None:
        s = with_outlook(s, o, m.now)
    s = not_trusted(s, faults)
    code = CODES[s.verdict]
    if kind is not None:
        write_bytes(args.output, rendered(hand_over(s, entries, o, m, args.paper), kind))
        return code, as_text([f"wrote {args.output}: {s.headline}"])
    return code, as_json(_json(s, entries)) if args.json else as_text(now_lines(s, o, m.zone, m.now))
