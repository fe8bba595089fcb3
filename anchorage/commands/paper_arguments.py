"""What can be typed after ``sheet``, ``pack``, ``log`` and ``now``. Nothing heavy is imported here."""

from __future__ import annotations

import argparse

PAPERS = ("letter", "a4")
EVENTS = ("setup", "wind", "snow", "pull-test", "inspection", "action", "placed", "doors", "straps", "state", "hand-over", "all-clear", "struck", "note")


def _time(p: argparse.ArgumentParser) -> None:
    p.add_argument("--now", metavar="TIME", help="as at this time, as in 2026-11-25T18:00:00Z; left out, the clock")
    p.add_argument("--zone", metavar="ZONE", help='time zone of the people, such as "America/Chicago"')


def _units(p: argparse.ArgumentParser) -> None:
    p.add_argument("--units", choices=("us", "si"), help="units to show; left out, those that the file asks for")


def sheet_arguments(p: argparse.ArgumentParser) -> None:
    """Everything that can be typed after ``sheet``."""
    p.add_argument("file", metavar="FILE", help="deployment file; - reads standard input")
    p.add_argument("-o", "--output", metavar="PATH", required=True,
                   help="what to write, by the end of its name: .pdf, .html, .csv (the points), .geojson (the points on a map)")  # fmt: skip
    p.add_argument("--paper", choices=PAPERS, default="letter", help="paper size (letter if left out)")
    p.add_argument("--forecast", metavar="PATH", action="append", default=[], help="forecast file, for the deadlines and the timeline")
    p.add_argument("--card", action="store_true", help="the one-page card to make beforehand, for no power and no screen")
    _time(p)
    _units(p)


def pack_arguments(p: argparse.ArgumentParser) -> None:
    """Everything that can be typed after ``pack``."""
    p.add_argument("file", metavar="FILE", help="deployment file; - reads standard input")
    p.add_argument("-o", "--output", metavar="PATH", help="write it as .pdf or .html instead of printing it")
    p.add_argument("--paper", choices=PAPERS, default="letter", help="paper size (letter if left out)")
    p.add_argument("--crew", type=int, metavar="N", help="people who fill and carry")
    p.add_argument("--json", action="store_true", help="print one JSON object and nothing else")
    _time(p)
    _units(p)
