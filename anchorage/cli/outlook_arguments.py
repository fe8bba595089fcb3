"""What can be typed after ``anchorage outlook``. Nothing heavy is imported here."""

from __future__ import annotations

import argparse

from anchorage.core.words import USES


def add_arguments(p: argparse.ArgumentParser) -> None:
    """Everything that can be typed after ``outlook``."""
    p.add_argument("file", metavar="FILE", help="deployment file; - reads standard input")
    _forecasts(p)
    p.add_argument(
        "--thunder",
        metavar="TIME",
        action="append",
        default=[],
        help="when thunder was heard; each starts 30 min again",
    )
    _spread(p)
    p.add_argument(
        "--for", dest="use", choices=USES, help="what it is judged for; left out, size_for of the file"
    )
    p.add_argument(
        "--ics", metavar="PATH", help="write the deadlines as a calendar file (needs the extra: live)"
    )
    p.add_argument("--chance", action="store_true", help="add the chance that the limit is passed, in words")
    _shown(p)


def chance_arguments(p: argparse.ArgumentParser) -> None:
    """Everything that can be typed after ``chance``."""
    p.add_argument("file", metavar="FILE", help="deployment file; - reads standard input")
    p.add_argument("--samples", metavar="N", type=int, default=20_000, help="draws, 20000 if not given")
    p.add_argument(
        "--seed", metavar="S", type=int, default=1, help="the same seed draws the same, 1 if not given"
    )
    _forecasts(p)
    _spread(p)
    _shown(p)


def _forecasts(p: argparse.ArgumentParser) -> None:
    p.add_argument("--forecast", metavar="PATH", action="append", default=[],
                   help="forecast file; the format is told from what is in it. Several may be given: the worse counts")  # fmt: skip
    p.add_argument("--say", metavar="LINE", action="append", default=[],
                   help='a line as it was heard: "until 18:00 gust 35 mph", "warning high-wind until 18:00"; with --zone, or 18:00Z')  # fmt: skip
    p.add_argument("--heard", metavar="TIME", help="when that was heard; left out, now")
    p.add_argument(
        "--at", metavar="LAT,LON", help="fetch the NWS gridpoint forecast of a place (needs the extra: live)"
    )
    p.add_argument("--offline", action="store_true", help="with --at: use the last good answer")
    p.add_argument(
        "--now", metavar="TIME", help="judge as at this time, as in 2026-11-25T18:00:00Z; left out, the clock"
    )
    p.add_argument("--zone", metavar="ZONE", help='time zone of the people, such as "America/Chicago"')
    p.add_argument(
        "--issued", metavar="TIME", help="when the forecast was made, where its format does not say"
    )


def _spread(p: argparse.ArgumentParser) -> None:
    p.add_argument(
        "--spread", metavar="SPEED", help="standard deviation of the gust, where the forecast has none"
    )


def _shown(p: argparse.ArgumentParser) -> None:
    p.add_argument(
        "--units", choices=("us", "si"), help="units to show; left out, those that the file asks for"
    )
    p.add_argument("--json", action="store_true", help="print one JSON object and nothing else")
