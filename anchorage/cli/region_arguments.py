"""What can be typed after ``anchorage region``. Nothing heavy is imported here."""

from __future__ import annotations

import argparse

from anchorage.core.words import USES


def add_arguments(p: argparse.ArgumentParser) -> None:
    """Everything that can be typed after ``region``."""
    p.add_argument("file", metavar="FILE", help="deployment file; - reads standard input")
    p.add_argument("--grid", metavar="PATH", required=True,
                   help="gridded forecast: NetCDF-4 or a Zarr folder, CF attributes, gusts with standard_name "
                        "wind_speed_of_gust; the word demo takes an invented one")  # fmt: skip
    p.add_argument(
        "-o", "--output", metavar="PATH", help="write every cell: .nc or .zarr; .png writes the map only"
    )
    p.add_argument("--map", metavar="PATH", help="write a map as PNG")
    p.add_argument("--levels", action="store_true", help="write the level of every hour too")
    p.add_argument("--scheduler", metavar="ADDRESS", help="run on a dask cluster, such as tcp://10.0.0.5:8786; its workers read the same path")  # fmt: skip
    p.add_argument("--jobs", metavar="N", type=int, help="threads to use here; left out, one a processor")
    p.add_argument(
        "--now", metavar="TIME", help="judge as at this time, as in 2026-11-25T18:00:00Z; left out, the clock"
    )
    p.add_argument("--zone", metavar="ZONE", help='time zone of the people, such as "America/Chicago"')
    p.add_argument(
        "--issued",
        metavar="TIME",
        help="when the forecast was made, where the grid has no forecast_reference_time",
    )
    p.add_argument(
        "--gust-from", metavar="NAME", help="variable of the grid that is the gust, where it does not say so"
    )
    p.add_argument(
        "--thunder-from", metavar="NAME", help="variable of the grid with the chance of thunder, in 1 or %%"
    )
    p.add_argument(
        "--for", dest="use", choices=USES, help="what it is judged for; left out, size_for of the file"
    )
    p.add_argument(
        "--units", choices=("us", "si"), help="units to show; left out, those that the file asks for"
    )
    p.add_argument("--json", action="store_true", help="print one JSON object and nothing else")
