"""What can be typed after ``sheet``, ``pack``, ``log`` and ``now``. Nothing heavy is imported here."""

from __future__ import annotations

import argparse

from anchorage.record.kinds import EVENTS, HOW

PAPERS = ("letter", "a4")


def _time(p: argparse.ArgumentParser) -> None:
    p.add_argument(
        "--now", metavar="TIME", help="as at this time, as in 2026-11-25T18:00:00Z; left out, the clock"
    )
    p.add_argument("--zone", metavar="ZONE", help='time zone of the people, such as "America/Chicago"')


def _units(p: argparse.ArgumentParser) -> None:
    p.add_argument(
        "--units", choices=("us", "si"), help="units to show; left out, those that the file asks for"
    )


def sheet_arguments(p: argparse.ArgumentParser) -> None:
    """Everything that can be typed after ``sheet``."""
    p.add_argument("file", metavar="FILE", help="deployment file; - reads standard input")
    p.add_argument("-o", "--output", metavar="PATH", required=True,
                   help="what to write, by the end of its name: .pdf, .html, .csv (the points), .geojson (the points on a map)")  # fmt: skip
    p.add_argument("--paper", choices=PAPERS, default="letter", help="paper size (letter if left out)")
    p.add_argument(
        "--forecast",
        metavar="PATH",
        action="append",
        default=[],
        help="forecast file, for the deadlines and the timeline",
    )
    p.add_argument(
        "--card", action="store_true", help="the one-page card to make beforehand, for no power and no screen"
    )
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


def log_arguments(p: argparse.ArgumentParser) -> None:
    """Everything that can be typed after ``log``."""
    p.add_argument("file", metavar="FILE", help="deployment file; the record is beside it, FILE.log.db")
    p.add_argument(
        "event",
        nargs="?",
        choices=tuple(EVENTS),
        metavar="EVENT",
        help=f"one of {', '.join(EVENTS)}; without it the record is printed",
    )
    p.add_argument(
        "value",
        nargs="?",
        metavar="VALUE",
        help='"32 mph", "3 in", "620 lbf", a number of units, open, closed, locked, unlocked, a state, the number of a wrong entry, or words',
    )
    p.add_argument("--who", metavar="NAME", default="", help="who says so")
    p.add_argument("--to", metavar="NAME", help="with hand-over: who takes over")
    p.add_argument("--at", metavar="TIME", help="when it happened, if not now")
    p.add_argument("--where", metavar="POINT", help="the anchor point, such as R1")
    of = p.add_mutually_exclusive_group()
    of.add_argument(
        "--each", dest="how", action="store_const", const=HOW[0], help="with placed: so many at each point"
    )
    of.add_argument(
        "--in-all", dest="how", action="store_const", const=HOW[1], help="with placed: so many in all"
    )
    p.add_argument(
        "--more-came",
        dest="more",
        action="store_true",
        help="with placed: more stands there than [stock] says was brought, and that is so",
    )
    p.add_argument(
        "--same-shelter",
        dest="same",
        action="store_true",
        help="the name or the sizes in the file were mended, and the record is of this shelter",
    )
    p.add_argument("--height", metavar="HEIGHT", help="of the wind meter over the ground; left out, by hand")
    p.add_argument(
        "--averaging",
        metavar="TIME",
        help="of the wind reading: 3 s (a held peak, if left out), 1 min, 2 min, 10 min or 1 h",
    )
    p.add_argument(
        "--from", dest="bearing", type=float, metavar="BEARING", help="degrees true that the wind comes from"
    )
    p.add_argument(
        "--kind",
        metavar="KIND",
        help="of the snow: new, settled, wet, slush or ice; left out, wet. Of a test: drag, weigh, pull, vane or meter",
    )
    p.add_argument(
        "--after", metavar="WHAT", help="with inspection: shift, wind, rain, snow, frost, thaw or change"
    )
    p.add_argument("--note", metavar="WORDS", help="in words")
    p.add_argument("--csv", metavar="PATH", help="write the whole record as a table")
    p.add_argument(
        "--check",
        nargs="?",
        const="",
        metavar="SEAL",
        help="check the chain, and that a seal printed earlier, such as 12:ab12cd34ef56, is in it",
    )
    p.add_argument("--json", action="store_true", help="print one JSON object and nothing else")
    _time(p)
    _units(p)


def now_arguments(p: argparse.ArgumentParser) -> None:
    """Everything that can be typed after ``now``."""
    p.add_argument("file", metavar="FILE", help="deployment file with a record beside it")
    p.add_argument("-o", "--output", metavar="PATH", help="write the hand-over page, .pdf or .html")
    p.add_argument("--paper", choices=PAPERS, default="letter", help="paper size (letter if left out)")
    p.add_argument(
        "--forecast", metavar="PATH", action="append", default=[], help="forecast file, for the deadlines"
    )
    p.add_argument("--say", metavar="LINE", action="append", default=[],
                   help='what was heard of the weather, as in "until 18:00 gust 35 mph", "tornado warning", "thunder"')  # fmt: skip
    p.add_argument("--heard", metavar="TIME", help="when that was heard; left out, now")
    p.add_argument("--json", action="store_true", help="print one JSON object and nothing else")
    _time(p)
    _units(p)
