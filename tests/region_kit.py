"""Shared by the tests of the region: invented grids, and the same cell as a table for ``outlook``."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import xarray as xr

from anchorage.demo import demo_text
from anchorage.deployment.models import Deployment
from anchorage.deployment.reader import read_text
from anchorage.outlook.clock import iso
from anchorage.outlook.hours import Forecast
from anchorage.outlook.reader import read_text as read_forecast
from anchorage.region.cf import read_grid
from anchorage.region.evaluate import Region, judged, region_of, results

NOW = 1_773_165_600
"""2026-03-10T18:00:00Z."""
SINCE = "hours since 2026-03-10 18:00:00"
NAMES = {
    "gust": ("wind_speed_of_gust", "m s-1"), "direction": ("wind_from_direction", "degree"), "temperature": ("air_temperature", "K"),
    "water": ("precipitation_amount", "kg m-2"), "rain": ("rainfall_amount", "kg m-2"), "melted": ("snowfall_amount", "kg m-2"),
    "snow": ("thickness_of_snowfall_amount", "m"), "wind": ("wind_speed", "m s-1"),
}  # fmt: skip


def deployment(name: str = "asphalt", **times: str) -> Deployment:
    """A demo, with the times of a stay."""
    text = demo_text(name)
    more = "".join(f'{k} = "{v}"\n' for k, v in times.items())
    return read_text(text.replace("[times]\n", "[times]\n" + more), name)


def grid(hours: int = 24, members: int | None = None, ny: int = 2, nx: int = 3, *, bounds: bool = True, seed: int = 0,
         dask: bool = False, **fields: np.ndarray | None) -> xr.Dataset:  # fmt: skip
    """A grid of random gusts (m/s, 0 to 25), or of those given, each value for the hour from its start on by its bounds."""
    rng = np.random.default_rng(seed)
    dims = ["time", *([] if members is None else ["realization"]), "latitude", "longitude"]
    shape = (hours, *([] if members is None else [members]), ny, nx)
    given = {"gust": np.round(rng.uniform(0, 25, shape), 3)} | fields
    ds = xr.Dataset(coords={
        "time": ("time", np.arange(hours, dtype="f8"), {"standard_name": "time", "units": SINCE, "calendar": "standard"}),
        "latitude": ("latitude", 50.0 - 0.25 * np.arange(ny), {"standard_name": "latitude", "units": "degrees_north"}),
        "longitude": ("longitude", 350.0 + 0.25 * np.arange(nx), {"standard_name": "longitude", "units": "degrees_east"}),
        "height": ((), 10.0, {"standard_name": "height", "units": "m"}),
        "issued": ((), -1.0, {"standard_name": "forecast_reference_time", "units": SINCE}),
    })  # fmt: skip
    if members is not None:
        ds = ds.assign_coords(
            realization=("realization", np.arange(members), {"standard_name": "realization"})
        )
    for key, values in given.items():
        if values is not None:
            name, units = NAMES[key]
            ds[key] = (
                dims,
                values,
                {
                    "standard_name": name,
                    "units": units,
                    "cell_methods": "time: maximum" if key == "gust" else "time: sum",
                },
            )
    if bounds:
        ds["time"].attrs["bounds"] = "time_bnds"
        ds["time_bnds"] = (("time", "nv"), np.stack([np.arange(hours), np.arange(hours) + 1], 1).astype("f8"))
    return ds.chunk({"latitude": 1}) if dask else ds


def region(
    ds: xr.Dataset, d: Deployment | None = None, now: int = NOW, **more: object
) -> tuple[Region, xr.Dataset]:
    """A grid judged, with every level."""
    r = region_of(d or deployment(), read_grid(ds, "grid"), now, None, every_level=True, **more)  # type: ignore[arg-type]
    return r, results(r, judged(r).compute())


def table(ds: xr.Dataset, y: int, x: int, member: int | None = None) -> str:
    """One cell as the table that ``outlook`` reads: the same hours, the same numbers."""
    cell = ds.isel(latitude=y, longitude=x, **({} if member is None else {"realization": member}))
    heads = {"gust": "gust (m/s)", "direction": "direction (deg)", "temperature": "temperature (K)", "water": "water (mm)", "rain": "rain (mm)", "snow": "snow (m)", "wind": "wind (m/s)"}  # fmt: skip
    there = [k for k in heads if k in ds]
    lines = [f"# issued {iso(NOW - 3600)}", ", ".join(["time", *(heads[k] for k in there)])]
    for i in range(ds.sizes["time"]):
        cells = ["" if np.isnan(v := float(cell[k][i])) else f"{v:.9f}" for k in there]
        lines.append(", ".join([str(iso(NOW + 3600 * i)), *cells]))
    return "\n".join(lines) + "\n"


def as_forecast(text: str, now: int) -> list[Forecast]:
    """A table of a cell, read as what a program wrote: in none of its figures did a point slip."""
    return [replace(f, format="NWS gridpoint") for f in read_forecast(text, now, "cell")]
