"""What can be typed after ``anchorage fleet``. Nothing heavy is imported here."""

from __future__ import annotations

import argparse

from anchorage.core.words import USES

SORTS = ("worst", "name", "file", "share", "holds", "deadline")


def add_arguments(p: argparse.ArgumentParser) -> None:
    """Everything that can be typed after ``fleet``."""
    p.add_argument(
        "folder",
        metavar="FOLDER",
        help="folder with deployment files (*.toml); folders inside it are left alone",
    )
    p.add_argument("--forecast", metavar="PATH", action="append", default=[],
                   help="forecast file for all of them; or a folder with one for each: NAME.json, NAME.csv or NAME.txt for NAME.toml. "
                        "Several may be given: the worse counts")  # fmt: skip
    p.add_argument("--sort", choices=SORTS, default="worst",
                   help="worst: verdict, then share of the limit; share: of the limiting gust; holds: weakest first; deadline: earliest first")  # fmt: skip
    p.add_argument("--reverse", action="store_true", help="the other way round")
    p.add_argument("--jobs", metavar="N", type=int, help="processes; left out, one a processor")
    p.add_argument(
        "-o", "--output", metavar="PATH", help="write the table: .csv, or .parquet (needs the extra: fleet)"
    )
    p.add_argument(
        "--now", metavar="TIME", help="judge as at this time, as in 2026-11-25T18:00:00Z; left out, the clock"
    )
    p.add_argument(
        "--zone", metavar="ZONE", help="time zone of the people; left out, that of each file, else UTC"
    )
    p.add_argument(
        "--issued", metavar="TIME", help="when the forecasts were made, where their format does not say"
    )
    p.add_argument(
        "--for",
        dest="use",
        choices=USES,
        help="what they are judged for; left out, size_for of each file (with a forecast)",
    )
    p.add_argument("--units", choices=("us", "si"), default="us", help="units to show; left out, us")
    p.add_argument("--json", action="store_true", help="print one JSON object and nothing else")
