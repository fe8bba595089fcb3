"""demo, check and limit: a deployment in, a verdict out."""

from __future__ import annotations

import argparse
import json
import sys
from pathlib import Path
from typing import Any

from anchorage.checks.installation import heading_true
from anchorage.checks.overrides import override
from anchorage.cli.common import CommandError, Outcome, as_json, as_text, left_out, write_file, wrote
from anchorage.core import tables
from anchorage.core.closed import EXITS
from anchorage.core.console import closed
from anchorage.core.errors import InputFaults
from anchorage.core.outputs import records_beside
from anchorage.core.plain import wrap
from anchorage.core.say import say
from anchorage.core.textfile import GIVE_TEXT, why_not
from anchorage.demo import COUNTY, NAMES, demo_text
from anchorage.deployment.models import Deployment, Site, Wind
from anchorage.deployment.reader import read_file, read_text
from anchorage.judging.plan import Assessment, assess
from anchorage.judging.result import Plan
from anchorage.paper.screen import screen_lines
from anchorage.paper.sketch import Around
from anchorage.paper.text import check_lines, engineer_lines, limit_lines, rule
from anchorage.paper.words import record_words

LONGEST = 1_000_000
"""Bytes of a deployment file."""


def _from_stdin() -> str:
    name = say("standard input")
    if closed(sys.stdin):
        raise CommandError(
            say("{name} is closed: give the path of a deployment file, or pipe one in", name=name)
        )
    try:
        raw = sys.stdin.buffer.read(LONGEST + 1)
    except OSError as e:
        raise CommandError(
            say(
                "{name}: {why_not}; give the path of a deployment file",
                name=name,
                why_not=why_not(e, say("it cannot be read")),
            )
        ) from None
    if raw is None:  # it would have to be waited for, and was told not to be
        raise CommandError(say("{name}: nothing is there yet; give the path of a deployment file", name=name))
    if len(raw) > LONGEST:
        raise InputFaults.of(name, "file", say("more than 1 MB"), say("a deployment file is a page of text"))
    try:
        return raw.decode("utf-8-sig")
    except UnicodeDecodeError:
        raise InputFaults.of(name, "file", say("not UTF-8 text"), GIVE_TEXT) from None


def load(file: str, units: str | None) -> Deployment:
    """A deployment file by itself, or standard input for ``-``; ``units`` goes before what the file asks for."""
    d = read_text(_from_stdin(), say("standard input")) if file == "-" else read_file(Path(file))
    return _in_units(d, units)


def opened(args: argparse.Namespace) -> Deployment:
    """The installation to judge: the file, and the record beside it put over it, up to ``--now`` where one is given."""
    d = load(args.file, args.units)
    if (
        args.file == "-"
        or getattr(args, "as_planned", False)
        or not (left_out(args.file) or records_beside(args.file))
    ):
        return d
    from anchorage.outlook.asked import zone_said  # noqa: PLC0415 - only with a record
    from anchorage.outlook.clock import read_iso  # noqa: PLC0415 - the same
    from anchorage.record.stand import put_over  # noqa: PLC0415 - the same

    now, zone = None, zone_said(getattr(args, "zone", None), d.outlook)
    if getattr(args, "now", None) is not None:
        now = read_iso(args.now, say("command line"), "--now", zone)
    return put_over(d, Path(args.file), now, zone)


def _in_units(d: Deployment, units: str | None) -> Deployment:
    if units is None:
        return d
    return d.model_copy(update={"deployment": d.deployment.model_copy(update={"show_units": units})})


def _working(a: Assessment, what: str) -> list[str]:
    from anchorage.judging.explain import explain  # noqa: PLC0415 - only for those who ask

    try:
        return explain(a, what or None)
    except KeyError as e:
        raise CommandError(
            say("--working {what}: there is no such figure; one of {args}", what=what, args=e.args[0])
        ) from None


def _plain(plan: Plan) -> dict[str, Any]:
    found: dict[str, Any] = json.loads(plan.to_json())
    return found


def _limit_only(plan: Plan) -> dict[str, Any]:
    every = _plain(plan)
    return {k: every[k] for k in ("schema", "name", "verdict", "limit", "levels", "record")}


def _text(
    wind: Wind, site: Site, plan: Plan, args: argparse.Namespace, before: list[str], *, short: bool
) -> list[str]:
    """The page that was asked for. before: what was put over the file."""
    if short:
        return [*before, *limit_lines(plan)]
    actions = tuple(t.text for t in tables.texts("action-secure-"))
    around = Around(heading_true(site), wind.bearing, actions)
    if args.full:
        return [*before, *check_lines(plan, around)]
    lines = screen_lines(plan, around, before)
    return [*lines, *engineer_lines(plan)] if args.engineer else lines


def _judged(
    d: Deployment, args: argparse.Namespace, before: list[str], *, short: bool = False
) -> tuple[Plan, dict[str, Any], list[str]]:
    """The plan, its JSON and its text; each only as far as it was asked for."""
    a = assess(d, deep=not short, show=args.working is not None)
    if not short and args.engineer:
        from anchorage.judging.weak import with_most  # noqa: PLC0415 - judges many times over, and only the engineer asks for it

        a = with_most(a)
    plan, working = a.plan, None if args.working is None else _working(a, args.working)
    if args.json:
        data = _limit_only(plan) if short else _plain(plan)
        return plan, data if working is None else {**data, "working": working}, []
    lines = _text(d.wind, d.site, plan, args, before, short=short)
    if working is not None:
        lines += ["", rule(say("WORKING")), *(out for line in working for out in _hung(line))]
    return plan, {}, lines


def instead(d: Deployment, args: argparse.Namespace) -> tuple[Deployment, list[str]]:
    """The deployment with what was said on the command line in place of what the file says."""
    d, said = override(d, gust=args.gust, bearing=args.bearing, state=args.state, placed=args.placed, doors=args.doors,
                       straps=args.straps, use=args.use)  # fmt: skip
    return d, said


def _from_file(args: argparse.Namespace, *, short: bool) -> Outcome:
    d, said = instead(opened(args), args)
    first = left_out(args.file) if args.as_planned else record_words(d.record)
    over = [out for text in first for out in wrap(text, "", "  ")]
    over += [out for text in said for out in wrap(say("INSTEAD OF THE FILE: {text}", text=text), "", "  ")]
    plan, data, lines = _judged(d, args, over, short=short)
    if args.json:
        return EXITS[plan.verdict], as_json({**data, "overrides": said} if said else data)
    return EXITS[plan.verdict], as_text(lines)


def _hung(line: str) -> list[str]:
    """A line of working, its later lines further in than its first."""
    lead = " " * (len(line) - len(line.lstrip()))
    return wrap(line, lead, lead + "    ")


def check(args: argparse.Namespace) -> Outcome:
    """Judge a deployment file."""
    return _from_file(args, short=False)


def limit(args: argparse.Namespace) -> Outcome:
    """Say what gust a deployment takes."""
    return _from_file(args, short=True)


def demo(args: argparse.Namespace) -> Outcome:
    """Judge the demos, or copy one; done is 0."""
    if args.copy is not None:
        name = args.name or NAMES[0]
        write_file(args.copy, demo_text(name), force=False)
        return wrote(
            args.copy,
            say(", the {name} demo: edit it, then  anchorage check {copy}", name=name, copy=args.copy),
        )
    if args.json and args.name is None:
        return 0, as_json({"schema": 1, "demos": {n: _demo(n, args)[1] for n in NAMES}})
    name = args.name or NAMES[0]
    _, data, lines = _demo(name, args)
    if args.json:
        return 0, as_json(data)
    others = ", ".join(n for n in NAMES if n != name)
    ends = say(
        "This is the demo {name}. The others: anchorage demo {others}. Three that share a store: {county}. Yours: anchorage new our-shelter.toml",
        name=name,
        others=others,
        county=COUNTY,
    )
    return 0, as_text([*lines, "", *wrap(ends, wide=79)])


def _demo(name: str, args: argparse.Namespace) -> tuple[Plan, dict[str, Any], list[str]]:
    return _judged(_in_units(read_text(demo_text(name), say("demo {name}", name=name)), args.units), args, [])
