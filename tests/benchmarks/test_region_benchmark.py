"""Cost of a cell-hour on a grid: the same from 1e5 to 1e7 of them, in processor time of one thread.

What a run takes whatever its size (some 40 ms: xarray, dask, 100 hours of numpy calls) is measured on a grid of one
cell and taken off.

1e8 by hand, with memory: ``python tests/benchmarks/test_region_benchmark.py`` writes a grid of that size piece by piece
into a folder of its own, judges it on two threads and prints time and peak memory.
"""

import resource
import sys
import tempfile
import time
from pathlib import Path

import dask
import dask.array as da
import numpy as np
import xarray as xr

sys.path.insert(0, str(Path(__file__).parents[1]))
from region_kit import NOW, SINCE, deployment, grid

from anchorage.region.cf import read_grid
from anchorage.region.evaluate import judged, region_of, results
from anchorage.region.run import run

HOURS, MEMBERS = 100, 10
FLAT = 2.5
"""Most that a cell-hour may cost in one grid over what it costs in another."""


def took(cells: int, *, snow: bool) -> float:
    """Seconds of processor time for a grid of so many cells."""
    rng = np.random.default_rng(cells)
    shape = (HOURS, MEMBERS, max(cells // 100, 1), min(cells, 100))
    fields = {
        "gust": rng.uniform(0, 15, shape).astype("f4"),
        "direction": rng.uniform(0, 360, shape).astype("f4"),
    }
    if snow:
        fields |= {
            "water": rng.uniform(0, 0.2, shape).astype("f4"),
            "temperature": rng.uniform(268, 276, shape).astype("f4"),
        }
    r = region_of(deployment(), read_grid(grid(HOURS, MEMBERS, *shape[2:], **fields), "grid"), NOW, None)
    best = np.inf
    for _ in range(20 if cells < 20 else 7 if cells < 2000 else 1):
        start = time.process_time()
        with dask.config.set(scheduler="single-threaded"):
            found = results(r, judged(r, lazy=True).compute())
        best = min(best, time.process_time() - start)
    assert found["verdict"].size == cells
    return best


def costs(*sizes: int, snow: bool) -> dict[int, float]:
    """Seconds for a cell-hour by the number of them, without what a run takes anyway."""
    took(1, snow=snow)
    fixed = took(1, snow=snow)
    each = {n: (took(n // (HOURS * MEMBERS), snow=snow) - fixed) / n for n in sizes}
    said = ", ".join(f"{n:.0e} cell-hours {1e9 * c:.0f} ns each" for n, c in each.items())
    print(f"region{' with snow' if snow else ''}: {1e3 * fixed:.0f} ms and then {said}")
    return each


def test_a_cell_hour_costs_the_same_in_a_grid_of_any_size():
    each = costs(100_000, 1_000_000, 10_000_000, snow=False)
    assert max(each.values()) < FLAT * min(each.values())


def test_a_cell_hour_with_snow_costs_the_same_too():
    each = costs(300_000, 1_000_000, snow=True)
    assert max(each.values()) < FLAT * min(each.values())


def large(path: str, ny: int = 250, nx: int = 400) -> None:
    """A grid of ny * nx * 1000 cell-hours, written in pieces."""

    def field(low: float, high: float, seed: int) -> da.Array:
        def make(block_info=None):
            at = block_info[None]
            return (
                np.random.default_rng([seed, *at["chunk-location"]])
                .uniform(low, high, at["chunk-shape"])
                .astype("f4")
            )

        return da.map_blocks(
            make, chunks=((HOURS,), (MEMBERS,), (25,) * (ny // 25), (100,) * (nx // 100)), dtype="f4"
        )

    dims = ("time", "realization", "latitude", "longitude")
    xr.Dataset(
        {"gust": (dims, field(0, 15, 1), {"standard_name": "wind_speed_of_gust", "units": "m s-1", "cell_methods": "time: maximum"}),
         "direction": (dims, field(0, 360, 2), {"standard_name": "wind_from_direction", "units": "degree"})},
        coords={"time": ("time", np.arange(HOURS) + 1.0, {"standard_name": "time", "units": SINCE}),
                "realization": ("realization", np.arange(MEMBERS), {"standard_name": "realization"}),
                "issued": ((), 0.0, {"standard_name": "forecast_reference_time", "units": SINCE})},
    ).to_zarr(path, zarr_format=2)  # fmt: skip


if __name__ == "__main__":
    with tempfile.TemporaryDirectory() as folder:
        if len(sys.argv) < 2:
            large(f"{folder}/g.zarr")
        before = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
        start, cpu = time.perf_counter(), time.process_time()
        region, ds = run(
            sys.argv[1] if len(sys.argv) > 1 else f"{folder}/g.zarr", deployment(), NOW, None, jobs=2
        )
        n = ds["verdict"].size * HOURS * MEMBERS
        peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
        print(f"{n:.0e} cell-hours: {time.perf_counter() - start:.1f} s, {1e9 * (time.process_time() - cpu) / n:.0f} ns of processor time each, "
              f"peak {peak:.0f} MiB (before {before / 1024:.0f})")  # fmt: skip
