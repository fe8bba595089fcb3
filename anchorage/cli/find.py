"""log FOLDER --find: a search over the records of a folder. The clock is read here only."""

from __future__ import annotations

import argparse
from datetime import UTC, datetime
from pathlib import Path

from anchorage.cli.common import Done, Outcome, as_json, as_text
from anchorage.core.outputs import put
from anchorage.core.say import say
from anchorage.core.textfile import is_folder
from anchorage.core.units import System
from anchorage.outlook.clock import read_iso, seconds, zone_of
from anchorage.paper.find_text import find_csv, find_data, find_lines
from anchorage.record.find import find, query_of, records_of

DAMAGED = 1


def find_in(args: argparse.Namespace) -> Outcome:
    """Find entries; 1 where a record was changed."""
    zone = UTC if args.zone is None else zone_of(args.zone, say("command line"))
    now = (
        seconds(datetime.now(UTC))
        if args.now is None
        else read_iso(args.now, say("command line"), "--now", zone)
    )
    query = query_of(args.find, zone)
    path = Path(args.file)
    found = find(records_of(path) if is_folder(path) else [path], query, now)
    code = DAMAGED if any(x.faults for x in found.records) else 0
    system: System = "us" if args.units is None else args.units
    did, said = "", list[str]()
    if args.csv is not None:
        put(args.csv, find_csv(found, system).encode("utf-8"))
        did = say("wrote {csv}", csv=args.csv)
        said = ["", did]
    if args.json:
        return Done(code, as_json(find_data(found, system)), did)
    return Done(code, as_text([*find_lines(found, system, zone, args.zone or "UTC"), *said]), did)
