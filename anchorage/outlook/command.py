"""``anchorage outlook``: from the arguments to text, JSON or a calendar file. The clock is read here only."""

from __future__ import annotations

import argparse
import functools
import json
import sys
from dataclasses import replace
from datetime import UTC, datetime, tzinfo
from pathlib import Path

from anchorage.core.errors import Fault, InputFaults
from anchorage.core.plain import inert
from anchorage.core.textfile import read_whole, write_whole
from anchorage.core.units import read as read_unit
from anchorage.deployment.models import Deployment
from anchorage.outlook import live
from anchorage.outlook.build import OutlookError, outlook
from anchorage.outlook.clock import read_iso, read_said, seconds, zone_of
from anchorage.outlook.hours import Forecast
from anchorage.outlook.reader import Source, read_bytes, read_text, together
from anchorage.outlook.spoken import read_spoken
from anchorage.outlook.untrusted import LARGEST
from anchorage.outlook.weathered import plan_for
from anchorage.paper.calendar import calendar
from anchorage.paper.outlook_text import outlook_lines
from anchorage.policy import use_of

CODES = {"go": 0, "no-go": 1, "unknown": 3}


def _bytes(path: str) -> bytes:
    name = Path(path).name
    try:
        return read_whole(Path(path), LARGEST)
    except OSError as e:
        raise InputFaults(
            [Fault(name, "file", e.strerror or "cannot be read", "give the path of a forecast")]
        ) from None


def _spoken(lines: list[str], heard: str | None, now: int, name: str, zone: tzinfo | None) -> Forecast:
    at = now if heard is None else read_said(heard, zone, now, name, "heard", past=True)
    return read_spoken(lines, now, name, zone=zone, heard=at)


def forecasts_of(
    args: argparse.Namespace, d: Deployment, now: int, zone: tzinfo | None, *, lenient: bool = False
) -> list[Forecast]:
    """Everything that is known of the weather, from files, lines, the network and the deployment file."""
    issued = (
        None
        if args.issued is None
        else read_said(args.issued, zone, now, "command line", "--issued", past=True)
    )
    sources: list[Source] = []
    for path in args.forecast:
        raw, name = _bytes(path), Path(path).name
        sources.append((name, functools.partial(read_bytes, raw, now, name, zone=zone, issued=issued), raw))
    if args.say:
        sources.append(
            ("command line", lambda: [_spoken(args.say, args.heard, now, "command line", zone)], b"")
        )
    if (said := d.forecast) is not None:
        sources.append(
            ("[forecast]", lambda: [_spoken(said.lines, said.heard, now, "[forecast]", zone)], b"")
        )
    found = together(sources, now, lenient=lenient)
    if args.at is not None:
        answer = live.fetch(*live.place_of(args.at), now, offline=args.offline)
        name = f"NWS at {args.at}" + (", kept" if answer.kept else "")
        fresh = read_text(answer.text, now, name)
        found += [replace(f, notes=(*f.notes, answer.note)) if answer.note else f for f in fresh]
    return found


def run(args: argparse.Namespace, d: Deployment) -> tuple[int, str]:
    """Exit code, and what goes to standard output."""
    now = (
        seconds(datetime.now(UTC))
        if args.now is None
        else read_iso(args.now, "command line", "--now", zone_said(args, d))
    )
    zone = zone_said(args, d)
    if args.units is not None:
        d = d.model_copy(update={"deployment": d.deployment.model_copy(update={"show_units": args.units})})
    forecasts = forecasts_of(args, d, now, zone)
    if not forecasts and not args.thunder:
        raise OutlookError(
            "no forecast: give --forecast PATH, --say LINE, --at LAT,LON or a [forecast] table in the file"
        )
    spread = d.outlook.spread
    if args.spread is not None:
        try:
            spread = read_unit("speed", args.spread)
        except ValueError as e:
            raise InputFaults([Fault("command line", "--spread", "", str(e))]) from None
    heard = [
        at
        for t in args.thunder
        for late in (False, True)  # the hour that a clock change doubles: from the earlier to the later
        if (at := read_said(t, zone, now, "command line", "--thunder", past=True, late=late)) is not None
    ]
    found = outlook(
        plan_for(d, forecasts), d, forecasts, now, zone, use=args.use or use_of(d), thunder_heard=heard,
        spread=None if spread is None else float(spread),
    )  # fmt: skip
    if args.ics is not None:
        raw = calendar(found, zone or UTC)
        try:
            write_whole(args.ics, raw)
        except OSError as e:
            raise OutlookError(f"--ics {args.ics}: {e.strerror or 'it cannot be written'}") from None
        print(inert(f"wrote {args.ics}"), file=sys.stderr)
    if args.json:
        return CODES[found.verdict], json.dumps(json.loads(found.to_json()), indent=2, allow_nan=False) + "\n"
    return CODES[found.verdict], "\n".join(outlook_lines(found, zone or UTC, chance=args.chance)) + "\n"


def zone_said(args: argparse.Namespace, d: Deployment) -> tzinfo | None:
    """Time zone of the command line, else that of the file; None where neither gives one."""
    if args.zone is not None:
        return zone_of(args.zone, "command line")
    return None if d.outlook.zone is None else zone_of(d.outlook.zone, "[outlook]")
