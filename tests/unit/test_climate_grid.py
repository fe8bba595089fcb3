"""Years of a reanalysis: a cell has the numbers of a station, however the grid is cut; holes, rain, the map and the file."""

import json
import pickle
from dataclasses import replace
from datetime import UTC
from zoneinfo import ZoneInfo

import numpy as np
import pytest
import xarray as xr
from climate_kit import deployment, site

from anchorage.cli.entry import main
from anchorage.climate import windows
from anchorage.climate.build import climate
from anchorage.climate.invented import invented
from anchorage.region import availability
from anchorage.region.cf import read_grid


def run(capsys, *words):
    code = main([str(w) for w in words])
    got = capsys.readouterr()
    return code, got.out, got.err


def _grid(r, ny=2, nx=3, chunks=None):
    t = len(r.gust)
    ds = xr.Dataset(
        {
            "gust": (("time", "y", "x"), np.repeat(r.gust, ny * nx).reshape(t, ny, nx), {"standard_name": "wind_speed_of_gust", "units": "m s-1", "cell_methods": "time: maximum"}),
            "turn": (("time", "y", "x"), np.repeat(r.bearing, ny * nx).reshape(t, ny, nx), {"standard_name": "wind_from_direction", "units": "degree"}),
        },
        coords={"time": ("time", r.at // 3600 * 3600.0 + 3600.0, {"standard_name": "time", "units": "seconds since 1970-01-01"}),
                "y": ("y", np.arange(ny), {"standard_name": "projection_y_coordinate"}), "x": ("x", np.arange(nx), {"standard_name": "projection_x_coordinate"})},
    )  # fmt: skip
    return ds if chunks is None else ds.chunk(chunks)


def _plain(years=1):
    """An invented history that says wind and nothing else."""
    r = invented(years)
    return replace(r, tells=frozenset(), level=np.zeros_like(r.level), fell=np.zeros_like(r.fell))


@pytest.mark.parametrize("chunks", [None, {"time": 1000, "y": 1, "x": 2}])
def test_a_cell_has_the_numbers_of_a_station_however_the_grid_is_cut(chunks):
    r, d, zone = _plain(), deployment(heading=40), ZoneInfo("America/Chicago")
    c = climate(d, r, 12, zone)
    h = availability.history_of(
        d, read_grid(_grid(r, chunks=chunks), "grid", most=availability.MOST_HOURS), 12, zone
    )
    found = availability.counted(h).values
    assert (found == c.by_hour.sum(axis=1)).all()
    assert c.total[windows.UNKNOWN] > 0
    pickle.loads(pickle.dumps(h.job))  # noqa: S301 - it goes to other machines


def test_rain_on_a_grid_wets_the_ground_as_at_a_station():
    r = invented(1)
    wet = replace(
        r, tells=frozenset({"water"}), level=np.zeros_like(r.level), temperature=np.full(len(r.at), np.nan)
    )
    d = deployment()
    dry = d.model_copy(update={"site": d.site.model_copy(update={"state": "dry"})})
    ds = _grid(wet, 1, 1)
    ds["rain"] = (
        ("time", "y", "x"),
        (wet.fell[:, None, None] > 0) * 1.0,
        {"standard_name": "rainfall_amount", "units": "kg m-2"},
    )
    h = availability.history_of(dry, read_grid(ds, "grid", most=availability.MOST_HOURS), 12, UTC)
    found, wanted = availability.counted(h).values.reshape(12, 4), climate(dry, wet, 12, UTC)
    assert (found == wanted.by_hour.sum(axis=1)).all()
    assert wanted.share_in < climate(dry, replace(wet, fell=np.zeros_like(wet.fell)), 12, UTC).share_in


def test_a_reanalysis_gives_a_map_a_file_and_the_least_cell(tmp_path, capsys):
    (tmp_path / "site.toml").write_text(site(heading=40), encoding="utf-8")
    ds = _grid(_plain())
    ds["gust"][:, 0, 0] *= 1.6
    ds.to_zarr(tmp_path / "years.zarr", zarr_format=2)
    out, png = tmp_path / "out.nc", tmp_path / "map.png"
    words = ("climate", tmp_path / "site.toml", "--history", tmp_path / "years.zarr", "--hours", 12)
    code, text, err = run(capsys, *words, "-o", out, "--map", png, "--json", "--jobs", 1)
    assert (code, err) == (0, "")
    found = json.loads(text)
    assert found["least"]["where"] == "y 0, x 0"
    assert found["cells"] == 6
    assert len(found["months"]) == 12
    made = xr.load_dataset(out, engine="h5netcdf")
    total = sum(made[f"share_{k}"] for k in availability.KINDS)
    assert np.allclose(total, 1.0)
    assert float(made["share_in"][0, 0]) == pytest.approx(found["least"]["share_in"])
    assert png.read_bytes()[:4] == b"\x89PNG"
    assert "Least in the cell" in run(capsys, *words)[1]
    assert run(capsys, *words, "--kit", "x.toml")[0] == 2


def test_a_hole_in_the_times_of_a_grid_is_unknown():
    r = _plain()
    ds = _grid(r, 1, 1).isel(time=np.r_[0:100, 110 : len(r.at)])
    h = availability.history_of(deployment(), read_grid(ds, "grid", most=availability.MOST_HOURS), 1, UTC)
    whole = climate(deployment(), r, 1, UTC).total
    found = availability.counted(h).values.reshape(12, 4).sum(axis=0)
    assert found[windows.UNKNOWN] == whole[windows.UNKNOWN] + 10
