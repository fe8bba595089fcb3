"""outlook: a deployment and forecasts in, verdict and deadlines out, as text, JSON or a calendar file. The clock is read here only."""

from __future__ import annotations

import argparse
import json
import os
from datetime import UTC, datetime

from anchorage.cli.common import Done, Outcome, weather
from anchorage.cli.judge import opened
from anchorage.core.closed import EXITS
from anchorage.core.console import complain
from anchorage.core.errors import InputFaults
from anchorage.core.outputs import put
from anchorage.core.plain import inert
from anchorage.core.say import say
from anchorage.core.units import read as read_unit
from anchorage.deployment.models import Deployment
from anchorage.deployment.policy import use_of
from anchorage.judging.plan import assess
from anchorage.outlook.asked import forecasts_of, zone_said
from anchorage.outlook.build import OutlookError
from anchorage.outlook.build import outlook as judged
from anchorage.outlook.clock import read_iso, read_said, seconds
from anchorage.outlook.weathered import plan_for
from anchorage.paper.calendar import calendar
from anchorage.paper.outlook_text import outlook_lines


def _run(args: argparse.Namespace, d: Deployment) -> Outcome:
    """Exit code, and what goes to standard output."""
    now = (
        seconds(datetime.now(UTC))
        if args.now is None
        else read_iso(args.now, say("command line"), "--now", zone_said(args.zone, d.outlook))
    )
    zone = zone_said(args.zone, d.outlook)
    if args.units is not None:
        d = d.model_copy(update={"deployment": d.deployment.model_copy(update={"show_units": args.units})})
    forecasts = forecasts_of(weather(args), d.forecast, now, zone)
    if not forecasts and not args.thunder:
        raise OutlookError(
            say(
                "no forecast: give --forecast PATH, --say LINE, --at LAT,LON or a [forecast] table in the file"
            )
        )
    spread = d.outlook.spread
    if args.spread is not None:
        try:
            spread = read_unit("speed", args.spread)
        except ValueError as e:
            raise InputFaults.of(say("command line"), "--spread", "", str(e)) from None
    heard = [
        at
        for t in args.thunder
        for late in (False, True)  # the hour that a clock change doubles: from the earlier to the later
        if (at := read_said(t, zone, now, say("command line"), "--thunder", past=True, late=late)) is not None
    ]
    found = judged(
        plan_for(assess(d), forecasts), d, forecasts, now, zone, use=use_of(d, args.use), thunder_heard=heard,
        spread=None if spread is None else float(spread),
    )  # fmt: skip
    did = ""
    if args.ics is not None:
        put(args.ics, calendar(found, zone or UTC, os.path.realpath(args.file)))
        did = say("wrote {ics}", ics=args.ics)
        complain([inert(did)])
    text = (
        json.dumps(json.loads(found.to_json()), indent=2, allow_nan=False)
        if args.json
        else "\n".join(outlook_lines(found, zone or UTC, chance=args.chance))
    )
    return Done(EXITS[found.verdict], text + "\n", did)


def outlook(args: argparse.Namespace) -> Outcome:
    """Judge forecasts against a deployment file."""
    return _run(args, opened(args))
