"""Thirty years by the hour read and judged, and the cost of a cell-hour of a reanalysis; in processor time.

Thirty years in about a second: or in less than the time of ten plain splits of the same text, on a slow machine. 1e8 cell-hours by hand, with
memory: ``python tests/benchmarks/test_climate_benchmark.py`` writes a grid of that size piece by piece, counts it on two
threads and prints time and peak memory, which is to stay under 2 GiB.
"""

import resource
import sys
import tempfile
import time
from datetime import UTC
from pathlib import Path

import dask.array as da
import numpy as np
import xarray as xr

sys.path.insert(0, str(Path(__file__).parents[1]))
from climate_kit import deployment

from anchorage.climate.build import against
from anchorage.climate.course import Takes
from anchorage.climate.reports import read_text
from anchorage.judging.plan import assess
from anchorage.region import availability
from anchorage.region.cf import read_grid

YEARS = 30
FLAT = 2.5
"""Most that a cell-hour may cost in one grid over what it costs in another."""


def text(years: int = YEARS) -> bytes:
    """Reports as an archive gives them: seven minutes to the hour, specials in between."""
    rng = np.random.default_rng(1)
    n = int(years * 8766)
    stamps = np.datetime64("1994-01-01T00:53") + np.arange(n).astype("m8[h]")
    at = [f"{str(s)[:10]} {str(s)[11:16]}" for s in stamps]
    mean = rng.weibull(2.0, n) * 9.0
    gust = mean * rng.uniform(1.2, 1.8, n)
    rows = [
        f"XYZ,{t},{d:.2f},{m:.2f},{f'{g:.2f}' if g > m + 10 else 'M'}"
        for t, d, m, g in zip(at, rng.integers(1, 37, n) * 10.0, mean.round(), gust.round(), strict=True)
    ]
    return ("station,valid,drct,sknt,gust\n" + "\n".join(rows) + "\n").encode()


def test_thirty_years_are_read_and_judged_in_about_a_second():
    raw, x = text(), Takes(assess(deployment(heading=40)))
    against(x, read_text(raw, "warm"), 12, UTC)
    best = np.inf
    for _ in range(3):
        start = time.process_time()
        found = against(x, read_text(raw, "obs.csv"), 12, UTC)
        best = min(best, time.process_time() - start)
    start = time.process_time()
    plain = [line.split(",") for line in raw.decode().split("\n")]
    split = time.process_time() - start
    assert found.total.sum() > 250_000
    assert len(found.whole_years) == YEARS
    print(f"{len(plain)} reports in {best:.2f} s, {best / split:.1f} plain splits")
    assert best < 1.2 or best < 10 * split


def grid(hours: int, ny: int, nx: int, seed: int = 1) -> xr.Dataset:
    """Gusts and directions piece by piece, by the month as archives store them."""

    def field(low: float, high: float, more: int) -> da.Array:
        def make(block_info=None):
            at = block_info[None]
            rng = np.random.default_rng([seed, more, *at["chunk-location"]])
            return rng.uniform(low, high, at["chunk-shape"]).astype("f4")

        times = (730,) * (hours // 730) + ((hours % 730,) if hours % 730 else ())
        return da.map_blocks(make, chunks=(times, (ny,), (nx,)), dtype="f4")

    dims = ("time", "latitude", "longitude")
    return xr.Dataset(
        {"gust": (dims, field(0, 22, 1), {"standard_name": "wind_speed_of_gust", "units": "m s-1", "cell_methods": "time: maximum"}),
         "direction": (dims, field(0, 360, 2), {"standard_name": "wind_from_direction", "units": "degree"})},
        coords={"time": ("time", np.arange(hours) + 1.0, {"standard_name": "time", "units": "hours since 1994-01-01"}),
                "latitude": ("latitude", np.arange(ny, dtype=float), {"standard_name": "latitude", "units": "degrees_north"}),
                "longitude": ("longitude", np.arange(nx, dtype=float), {"standard_name": "longitude", "units": "degrees_east"})},
    )  # fmt: skip


def took(hours: int, ny: int, nx: int) -> float:
    """Seconds of processor time."""
    d, ds = deployment(heading=40), grid(hours, ny, nx).compute()
    h = availability.history_of(d, read_grid(ds, "grid", most=availability.MOST_HOURS), 12, UTC)
    start = time.process_time()
    found = availability.counted(h)
    assert int(found.sum()) == (hours - 11) * ny * nx
    return time.process_time() - start


def test_a_cell_hour_of_a_reanalysis_costs_the_same_in_a_grid_of_any_size():
    took(730, 1, 1)
    each = {n: took(*size) / n for n, size in {300_000: (30_000, 2, 5), 3_000_000: (30_000, 10, 10)}.items()}
    print("reanalysis: " + ", ".join(f"{n:.0e} cell-hours {1e9 * c:.0f} ns each" for n, c in each.items()))
    assert each[3_000_000] < FLAT * each[300_000]


if __name__ == "__main__":
    with tempfile.TemporaryDirectory() as folder:
        grid(50_000, 40, 50).to_zarr(f"{folder}/g.zarr", zarr_format=2)
        before = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
        start, cpu = time.perf_counter(), time.process_time()
        _, ds = availability.run(f"{folder}/g.zarr", deployment(heading=40), 12, UTC, jobs=2)
        peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
        print(f"1e8 cell-hours: {time.perf_counter() - start:.1f} s, {10 * (time.process_time() - cpu):.0f} ns of processor time each, "
              f"peak {peak:.0f} MiB (before {before / 1024:.0f}), {ds.attrs['windows']} windows a cell")  # fmt: skip
