"""climate: a deployment and years of weather in; how often it may stand, and the gust of a return period out."""

from __future__ import annotations

import argparse
from datetime import UTC
from pathlib import Path

from anchorage.cli.common import CommandError, Done, Outcome, as_json, as_text
from anchorage.cli.judge import opened
from anchorage.climate.build import climate as made
from anchorage.climate.invented import NAME, invented
from anchorage.climate.kits import kits
from anchorage.climate.reports import read_reports
from anchorage.climate.show import as_csv, as_data, lines
from anchorage.core.closed import EXITS
from anchorage.core.outputs import put
from anchorage.core.say import say
from anchorage.core.textfile import is_folder, read_whole
from anchorage.outlook.asked import zone_said

GRIDS = (b"\x89HDF\r\n\x1a\n", b"CDF")


def _is_grid(path: str) -> bool:
    """Whether a history is a grid: a Zarr folder or a NetCDF file, by what is in it."""
    if is_folder(path):
        return True
    try:
        head = read_whole(Path(path), 8)
    except OSError:
        return False
    return head.startswith(GRIDS)


def climate(args: argparse.Namespace) -> Outcome:
    """Hold years of weather against a deployment."""
    if args.history != NAME and _is_grid(args.history):
        from anchorage.cli.region import availability  # noqa: PLC0415 - an extra, and slow

        return availability(args)
    for option in ("scheduler", "jobs", "gust_from", "map"):
        if getattr(args, option) is not None:
            raise CommandError(
                say(
                    "--{option}: for a history on a grid; this one is of a station",
                    option=option.replace("_", "-"),
                )
            )
    if args.output is not None and Path(args.output).suffix.lower() != ".csv":
        raise CommandError(
            say("-o {output}: the months of a station are written as .csv", output=args.output)
        )
    if args.kit and args.file == "-":
        raise CommandError(say("--kit: give the deployment as a file, not by standard input"))
    d = opened(args)
    zone = zone_said(args.zone, d.outlook) or UTC
    reports = invented() if args.history == NAME else read_reports(args.history, args.station)
    found = made(d, reports, args.hours, zone, args.years)
    compared = kits(found, args.file, args.kit) if args.kit else []
    written = [] if args.output is None else [args.output]
    if args.output is not None:
        put(args.output, as_csv(found).encode("utf-8"))
    names = [say("wrote {p}", p=p) for p in written]
    text = (
        as_json({**as_data(found, compared), "written": written})
        if args.json
        else as_text([*lines(found, d.deployment.show_units, zone, compared), *names])
    )
    return Done(EXITS[found.verdict], text, ", ".join(names))
