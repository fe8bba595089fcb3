"""fleet: a folder of deployments in; a table of all of them out."""

from __future__ import annotations

import argparse
import sys
from datetime import UTC, datetime

from anchorage.cli.common import CommandError, Done, Outcome, as_json, as_text
from anchorage.cli.paper import kind_of
from anchorage.core.console import is_terminal
from anchorage.core.outputs import put
from anchorage.core.plain import wrap
from anchorage.core.textfile import exists
from anchorage.fleet.rows import Options
from anchorage.fleet.run import bar, files_of, judge_all
from anchorage.fleet.show import as_csv, as_data, as_parquet, code, in_order, lines
from anchorage.outlook.clock import read_iso, read_said, seconds, zone_of

LAST = "Each is judged by itself: sheltering, debris and joints between them are not in it. Not a permit; each sheet has its cautions."


def fleet(args: argparse.Namespace) -> Outcome:
    """Judge every deployment of a folder."""
    kind = None if args.output is None else kind_of(args.output, (".csv", ".parquet"))
    if args.jobs is not None and not 1 <= args.jobs <= 1024:
        raise CommandError(f"--jobs {args.jobs}: from 1 to 1024")
    for path in args.forecast:
        if not exists(path):
            raise CommandError(f"--forecast {path}: there is no such file or folder")
    zone = None if args.zone is None else zone_of(args.zone, "command line")
    now = (
        seconds(datetime.now(UTC)) if args.now is None else read_iso(args.now, "command line", "--now", zone)
    )
    if args.issued is not None:
        read_said(args.issued, zone or UTC, now, "command line", "--issued", past=True)
    paths, saved = files_of(args.folder)
    options = Options(now, tuple(args.forecast), args.zone, args.issued, args.use)
    rows = judge_all(paths, options, jobs=args.jobs, progress=bar if is_terminal(sys.stderr) else None)
    rows = in_order(rows, args.sort, reverse=args.reverse)
    said = []
    if args.output is not None:
        put(args.output, as_parquet(rows) if kind == ".parquet" else as_csv(rows).encode("utf-8"))
        said.append(f"wrote {args.output}")
    did = "".join(said)
    if args.json:
        return Done(code(rows), as_json(as_data(rows, now, saved)), did)
    if saved:
        said.append(f"{saved} saved shelter{'s'[: saved > 1]} left out: used by others, no deployment.")
    page = [*lines(rows, args.units, now, zone or UTC, args.zone or "UTC"), "", *wrap(LAST, wide=80), *said]
    return Done(code(rows), as_text(page), did)
