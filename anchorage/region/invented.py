"""An invented grid to try the region with: a gale that goes over in a day, twenty members, a corner that the file lacks."""

from __future__ import annotations

import numpy as np
import xarray as xr

from anchorage.outlook.clock import HOUR

NAME = "demo"
_HOURS, _MEMBERS, _NY, _NX = 48, 20, 24, 32
_EPOCH = "seconds since 1970-01-01T00:00:00Z"


def invented(now: int) -> xr.Dataset:
    """A grid from the hour of ``now`` (seconds UTC) on. Places and weather are made up; the same for the same hour."""
    rng, t0 = np.random.default_rng(1), now // HOUR * HOUR
    t, m, y, x = np.ogrid[0:_HOURS, 0:_MEMBERS, 0:_NY, 0:_NX]
    late, strength = rng.normal(0.0, 2.0, (1, _MEMBERS, 1, 1)), rng.normal(1.0, 0.1, (1, _MEMBERS, 1, 1))
    middle = 0.9 * (t - 6.0 - late)
    gale = 15.0 * np.exp(-(((x - middle) / 7.0) ** 2) - ((y - 9.0 - 0.1 * t) / 6.0) ** 2)
    gust = (3.0 + gale) * strength + 0.0 * m
    gust[30:, :, -4:, -5:] = np.nan
    turn = np.broadcast_to(200.0 + 2.0 * (t - middle / 2.0), gust.shape) % 360.0
    stamps = t0 + HOUR * np.arange(_HOURS, dtype=float)
    dims = ("time", "realization", "y", "x")
    time = {"standard_name": "time", "units": _EPOCH, "calendar": "standard", "bounds": "time_bnds"}
    return xr.Dataset(
        {
            "gust": (dims, gust.astype("f4"), {"standard_name": "wind_speed_of_gust", "units": "m s-1", "cell_methods": "time: maximum"}),
            "turn": (dims, turn.astype("f4"), {"standard_name": "wind_from_direction", "units": "degree"}),
            "time_bnds": (("time", "nv"), np.stack([stamps, stamps + HOUR], axis=1)),
        },
        coords={
            "time": ("time", stamps, time),
            "realization": ("realization", np.arange(_MEMBERS), {"standard_name": "realization"}),
            "y": ("y", 3.0 * np.arange(_NY), {"standard_name": "projection_y_coordinate", "units": "km"}),
            "x": ("x", 3.0 * np.arange(_NX), {"standard_name": "projection_x_coordinate", "units": "km"}),
            "height": ((), 10.0, {"standard_name": "height", "units": "m"}),
            "issued": ((), float(t0 - HOUR), {"standard_name": "forecast_reference_time", "units": _EPOCH}),
        },
    )  # fmt: skip
