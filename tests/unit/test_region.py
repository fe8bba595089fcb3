"""A grid against one installation: cell by cell it is the outlook, and what is not said is refused or unknown."""

import json
import sys
from dataclasses import replace
from datetime import UTC

import numpy as np
import pytest
import xarray as xr
from region_kit import NOW, SINCE, as_forecast, deployment, grid, region, table

from anchorage.cli import entry as cli
from anchorage.core.errors import AnchorageError, InputFaults
from anchorage.demo import demo_text
from anchorage.judging.plan import assess
from anchorage.outlook import rule
from anchorage.outlook.build import outlook
from anchorage.outlook.clock import read_iso
from anchorage.outlook.hours import Forecast, Span
from anchorage.outlook.reader import read_text
from anchorage.outlook.weathered import plan_for
from anchorage.region import axis
from anchorage.region.cf import read_grid
from anchorage.region.evaluate import judged, region_of, results
from anchorage.region.faults import RegionError
from anchorage.region.picture import (
    LEVELS,
    TIMES,
    chance_kinds,
    coarse,
    hours_left,
    level_kinds,
    picture,
    time_kinds,
)
from anchorage.region.run import run
from anchorage.region.store import open_grid, save
from anchorage.region.summary import headline, lines

SAID = "2026-03-10T18:00:00Z"
WORDS = dict(enumerate(rule.NAMES))


def outlook_of(d, forecasts, use=None, plan=None):
    return outlook(
        plan or plan_for(assess(d), forecasts), d, forecasts, NOW, None, use=use or d.anchorage.size_for
    )


def seconds(text):
    return np.nan if text is None else float(read_iso(text, "", ""))


def same_as_outlook(found, r, o, at, member):
    """Every level, every deadline, the verdict of one cell and member against the outlook of it."""
    cell = found.isel(at)
    one = cell if member is None else cell.isel(realization=member)
    hours = [h for h in o.hours if h.start]
    assert [WORDS[int(v)] for v in one["level"].values.reshape(len(hours), -1)[:, 0]] == [
        h.level for h in hours
    ]
    notes = {n.name: n for n in o.deadline_notes}
    for name, mark in (("secure_by", "secure"), ("people_out_by", "people_out")):
        reached = (seconds(notes[name].reached) - NOW) / 3600
        assert np.allclose(np.ravel(one[f"hours_to_{mark}"].values)[0], reached, equal_nan=True)
    start, end = r.job.window
    inside = [h for h in o.hours if seconds(h.end) > start and seconds(h.start) < end]
    assert int(np.ravel(one["unknown_hours"].values)[0]) == sum(h.level == "unknown" for h in inside)


def random_fields(shape, seed, *, snow, holes=0.02):
    rng = np.random.default_rng(seed)
    gust = np.round(rng.uniform(0, 25, shape), 3)
    gust[rng.random(shape) < holes] = np.nan
    direction = np.round(rng.uniform(0, 360, shape), 1)
    direction[rng.random(shape) < 0.1] = np.nan
    more = {"gust": gust, "direction": direction}
    if snow:
        water = np.round(rng.choice([0, 0, 0, 0, 1.5, 0.2], shape), 2)
        water[rng.random(shape) < 0.004] = np.nan
        temperature = np.round(rng.uniform(262, 284, shape), 2)
        temperature[rng.random(shape) < 0.1] = np.nan
        depth = np.round(rng.choice([0, 0, 0, 0, 0.012], shape), 3)
        more |= {"water": water, "temperature": temperature, "snow": depth}
    return more


@pytest.mark.parametrize(
    ("name", "use", "snow"),
    [
        ("asphalt", "people-in", False),
        ("asphalt", "set-up", True),
        ("clay", "empty", False),
        ("winter", "people-in", True),
        ("mixed", "set-up", False),
    ],
)
def test_every_cell_is_what_the_outlook_says_of_it(name, use, snow):
    d = deployment(name, start="2026-03-10T19:30:00Z", end="2026-03-11T09:00:00Z")
    d = d.model_copy(update={"policy": d.policy.model_copy(update={"setup_gust": 8.0})})
    shape = (20, 2, 2, 2)
    ds = grid(20, 2, 2, 2, **random_fields(shape, 7, snow=snow))
    r, found = region(ds, d, use=use)
    for y in range(2):
        for x in range(2):
            each = []
            for m in range(2):
                f = as_forecast(table(ds, y, x, m), NOW)
                each.append(outlook_of(d, f, use, r.plan))
                same_as_outlook(found, r, each[-1], {"latitude": y, "longitude": x}, m)
            for key in ("secure_by", "people_out_by", "start_strike_by"):
                wanted = [seconds(getattr(o.deadlines, key)) for o in each]
                earliest = np.nanmin(wanted) if np.isfinite(wanted).any() else np.nan
                assert np.array_equal(float(found[key][y, x]), earliest, equal_nan=True)
            worst = max(rule.VERDICTS.index(o.verdict) for o in each)
            assert int(found["verdict"][y, x]) == worst


def test_a_gust_below_its_mean_wind_is_none_in_every_cell_as_in_the_outlook():
    rng = np.random.default_rng(4)
    ds = grid(
        wind=np.round(rng.uniform(0, 12, (24, 2, 3)), 3), gust=np.round(rng.uniform(0, 20, (24, 2, 3)), 3)
    )
    d = deployment()
    r, found = region(ds, d, use="people-in")
    plain = region(ds.drop_vars("wind"), d, use="people-in")[1]
    assert (found["level"] == rule.UNKNOWN).any()
    assert not (plain["level"] == rule.UNKNOWN).any()
    for y, x in np.ndindex(2, 3):
        o = outlook_of(d, as_forecast(table(ds, y, x), NOW), "people-in", r.plan)
        same_as_outlook(found, r, o, {"latitude": y, "longitude": x}, None)


def test_a_gust_that_its_grid_does_not_name_is_taken_by_name():
    """As reanalysis and model files have it: fg10, gust, with no standard name."""
    ds = grid().rename(gust="i10fg")
    del ds["i10fg"].attrs["standard_name"]
    with pytest.raises(InputFaults, match="--gust-from NAME"):
        read_grid(ds, "grid")
    assert read_grid(ds, "grid", gust_from="i10fg").gust.name == "i10fg"
    with pytest.raises(InputFaults, match="gust-from"):
        read_grid(ds, "grid", gust_from="nothing")


def test_calm_cells_are_go_as_in_the_outlook():
    d = deployment()
    calm = np.full((14, 2, 3), 1.5)
    calm[:, 0, 0] = 0.0
    calm[13, 1, 1] = np.nan  # after the stay
    calm[3, 1, 2] = np.nan
    ds = grid(14, gust=calm)
    r, found = region(ds, d)
    assert found["verdict"].values.tolist() == [[0, 0, 0], [0, 0, 1]]
    for y, x in ((0, 0), (1, 1), (1, 2)):
        o = outlook_of(d, as_forecast(table(ds, y, x), NOW))
        assert rule.VERDICTS[int(found["verdict"][y, x])] == o.verdict
        same_as_outlook(found, r, o, {"latitude": y, "longitude": x}, None)
    assert found["may_be_earlier"].values.tolist() == [[0, 0, 0], [0, 1, 1]]


def test_values_of_a_moment_count_on_both_sides_as_in_hourly_json():
    d = deployment()
    rng = np.random.default_rng(3)
    gust, turn = np.round(rng.uniform(0, 20, (20, 2, 2)), 2), np.round(rng.uniform(0, 359, (20, 2, 2)))
    water, warm = (
        np.round(rng.choice([0, 0, 2.0], gust.shape), 2),
        np.round(rng.uniform(-6, 6, gust.shape), 2),
    )
    gust[4, 0, 0] = np.nan
    ds = grid(20, ny=2, nx=2, bounds=False, gust=gust, direction=turn, water=water, temperature=warm + 273.15)
    for k in ("gust", "direction", "temperature"):
        ds[k].attrs["cell_methods"] = "time: point (interval: 1 hour) area: mean"
    r, found = region(ds, d)
    times = [f"2026-03-{10 + (18 + h) // 24}T{(18 + h) % 24:02d}:00" for h in range(20)]
    for y in range(2):
        for x in range(2):
            values = {
                "time": times, "wind_gusts_10m": [None if np.isnan(v) else float(v) for v in gust[:, y, x]], "wind_direction_10m": turn[:, y, x].tolist(),
                "precipitation": water[:, y, x].tolist(), "temperature_2m": warm[:, y, x].tolist(),
            }  # fmt: skip
            units = {
                "time": "iso8601",
                "wind_gusts_10m": "m/s",
                "wind_direction_10m": "°",
                "precipitation": "mm",
                "temperature_2m": "°C",
            }
            text = json.dumps({"utc_offset_seconds": 0, "hourly": values, "hourly_units": units})
            f = read_text(text, NOW, "cell", issued=NOW - 3600)
            same_as_outlook(found, r, outlook_of(d, f), {"latitude": y, "longitude": x}, None)


def test_rain_and_melted_snow_are_kinds_of_their_own():
    d = deployment("asphalt")
    rng = np.random.default_rng(4)
    shape = (16, 1, 2)
    rain, melted = rng.choice([0, 0, 3.0], shape), rng.choice([0, 0, 4.0], shape)
    extra, warm = rng.choice([0, 0, 1.0], shape), rng.uniform(268, 279, shape)
    rain[9, 0, 1] = np.nan
    ds = grid(
        16,
        ny=1,
        nx=2,
        gust=np.full(shape, 2.0),
        rain=rain,
        melted=melted,
        water=rain + melted + extra,
        temperature=warm,
    )
    ds["water"].values[9, 0, 1] = 0.0
    r, found = region(ds, d)
    for x in range(2):

        def spans(v, k=1.0, shift=0.0, x=x):
            return tuple(
                Span(NOW + 3600 * i, NOW + 3600 * (i + 1), None if np.isnan(u) else float(u) * k - shift)
                for i, u in enumerate(v[:, 0, x])
            )

        f = Forecast("test", "test", NOW - 3600, gusts=spans(np.full(shape, 2.0)), water=spans(extra), rain=spans(rain), ice=spans(melted),
                     temperature=spans(warm, 1.0, 273.15), says=frozenset({"gust", "snow"}))  # fmt: skip
        same_as_outlook(found, r, outlook_of(d, [f]), {"latitude": 0, "longitude": x}, None)
    assert WORDS[int(found["level"][0, 0, 0])] == "normal"
    assert len(np.unique(found["level"])) > 2


# Attributes and units


SPELLED = {
    "gust": [("m s-1", 1.0), ("m/s", 1.0), ("knots", 3600 / 1852), ("km h-1", 3.6), ("mph", 1 / 0.44704)],
    "temperature": [("K", 1.0), ("degC", (1.0, -273.15)), ("degF", (1.8, -459.67))],
    "water": [("kg m-2", 1.0), ("mm", 1.0), ("m", 0.001), ("cm", 0.1)],
    "snow": [("m", 1.0), ("cm", 100.0), ("mm", 1000.0)],
}


@pytest.mark.parametrize(
    ("key", "unit", "k"), [(key, u, k) for key, every in SPELLED.items() for u, k in every]
)
def test_the_same_weather_in_other_units_is_the_same_region(key, unit, k):
    rng = np.random.default_rng(1)
    fields = random_fields((14, 2, 3), 1, snow=True, holes=0.0)
    fields["water"] = rng.uniform(0, 3, (14, 2, 3))
    if key != "gust":
        fields["gust"] = np.full((14, 2, 3), 5.0)
    ds = grid(14, **fields)
    other = ds.copy(deep=True)
    factor, offset = k if isinstance(k, tuple) else (k, 0.0)
    other[key].values[:] = other[key].values * factor + offset
    other[key].attrs["units"] = unit
    _, a = region(ds)
    _, b = region(other)
    assert a["level"].values.tolist() == b["level"].values.tolist()
    assert len(set(a["level"].values.ravel().tolist())) > 1


def test_a_rate_is_an_amount_over_its_time():
    d, water = deployment(), np.random.default_rng(1).uniform(0, 3, (14, 2, 3))
    ds = grid(14, gust=np.full(water.shape, 3.0), water=water)
    for unit, k, name in (
        ("kg m-2 s-1", 1 / 3600, "precipitation_flux"),
        ("mm h-1", 1.0, "lwe_precipitation_rate"),
        ("m s-1", 1e-3 / 3600, "lwe_precipitation_rate"),
    ):
        other = ds.copy(deep=True)
        other["water"].values[:] = water * k
        other["water"].attrs |= {"units": unit, "standard_name": name, "cell_methods": "time: mean"}
        found = region(other, d)[1]["level"]
        assert found.equals(region(ds, d)[1]["level"])
        assert len(np.unique(found)) > 2


def test_packed_numbers_and_fill_values_are_read_as_such(tmp_path):
    gust = np.full((14, 2, 3), 2.0)
    gust[2, 1, 1] = np.nan
    ds = grid(14, gust=gust)
    ds["gust"].encoding = {"dtype": "i2", "scale_factor": 0.01, "_FillValue": -32767}
    ds.to_netcdf(tmp_path / "g.nc", engine="h5netcdf")
    _, found = run(str(tmp_path / "g.nc"), deployment(), NOW, None)
    assert found["verdict"].values.tolist() == [[0, 0, 0], [0, 1, 0]]


def changed(change):
    ds = grid(6, 2)
    return change(ds) or ds


def attr(name, **attrs):
    def change(ds):
        for k, v in attrs.items():
            if v is None:
                del ds[name].attrs[k]
            else:
                ds[name].attrs[k] = v

    return change


def times(values, **attrs):
    at = ("time", np.array(values, float), {"standard_name": "time", "units": SINCE} | attrs)
    return lambda ds: ds.drop_vars("time_bnds").assign_coords(time=at)


REFUSED = {
    "no unit": (attr("gust", units=None), "no units attribute"),
    "another unit": (attr("gust", units="furlong fortnight-1"), "no unit is guessed"),
    "unit of another thing": (attr("gust", units="K"), "gust, units"),
    "no gust": (attr("gust", standard_name="wind_speed"), "a mean wind is no gust"),
    "no standard name": (attr("gust", standard_name=None), "wind_speed_of_gust"),
    "gust at 2 m": (lambda ds: ds.assign_coords(height=((), 2.0, {"standard_name": "height", "units": "m"})), "gusts at 10 m"),
    "height without a unit": (lambda ds: ds.assign_coords(height=((), 10.0, {"standard_name": "height"})), "gusts at 10 m"),
    "two gusts": (lambda ds: ds.assign(other=ds["gust"]), "leave the other out"),
    "a member twice": (lambda ds: ds.assign_coords(realization=("realization", [3, 3], {"standard_name": "realization"})), "each member once"),
    "no time": (attr("time", units=None, standard_name=None), "axes of time"),
    "no unit of time": (attr("time", units=None), "time, units"),
    "months": (attr("time", units="months since 2026-01-01"), "time, units"),
    "no such date": (attr("time", units="hours since 2026-02-31"), "time, units"),
    "a model's calendar": (attr("time", calendar="360_day"), "a real calendar"),
    "no leap days": (attr("time", calendar="noleap"), "a real calendar"),
    "back in time": (times([0, 2, 1, 3, 4, 5]), "do not go up"),
    "a time twice": (times([0, 1, 1, 2, 3, 4]), "do not go up"),
    "a time missing": (times([0, 1, np.nan, 3, 4, 5]), "a time for every value"),
    "bounds that are gone": (attr("time", bounds="nowhere"), "bounds"),
    "bounds the wrong way": (lambda ds: ds.assign(time_bnds=ds["time_bnds"][:, ::-1]), "bounds that cannot be meant"),
    "text": (lambda ds: ds.assign(gust=ds["gust"].astype(str).assign_attrs(ds["gust"].attrs)), "numbers"),
    "amounts since the start": (
        lambda ds: ds.assign(
            water=(ds["gust"].dims, np.ones(ds["gust"].shape), {"standard_name": "precipitation_amount", "units": "kg m-2"}),
            time_bnds=(("time", "nv"), np.stack([np.zeros(6), np.arange(6) + 1.0], 1)),
        ),
        "not the sum since the start",
    ),
    "a rate at a moment": (
        lambda ds: ds.assign(water=(ds["gust"].dims, np.ones(ds["gust"].shape), {"standard_name": "precipitation_flux", "units": "kg m-2 s-1", "cell_methods": "time: point"})),
        "what falls at a moment",
    ),
    "too many axes": (lambda ds: ds.assign(gust=ds["gust"].expand_dims(depth=2, level=2)), "at most two axes of place"),
    "another grid": (lambda ds: ds.assign(turn=(("time", "y"), np.ones((6, 4)), {"standard_name": "wind_from_direction", "units": "degree"})), "those of gust"),
}  # fmt: skip


@pytest.mark.parametrize("key", REFUSED)
def test_what_a_grid_does_not_say_is_refused_with_the_reason(key):
    change, word = REFUSED[key]
    with pytest.raises(InputFaults, match=word):
        read_grid(changed(change), "grid")


@pytest.mark.parametrize("bad", [-9999.0, 9.96921e36, np.inf, 151.0, -0.1])
def test_a_number_that_cannot_be_meant_is_refused_when_it_is_met(bad):
    gust = np.full((6, 2, 3), 3.0)
    gust[2, 1, 1] = bad
    with pytest.raises(RegionError, match="_FillValue"):
        region(grid(6, gust=gust))


# Time


def test_stamps_are_read_in_every_unit_and_zone():
    for units, values in {
        "hours since 2026-03-10 18:00:00": [0, 1.5], "seconds since 1970-01-01": [NOW, NOW + 5400], "minutes since 2026-3-10 12:00 -6:00": [0, 90],
        "days since 2026-03-10T00:00:00Z": [0.75, 0.8125], "hours since 2026-03-10 20:00:00.0 +02:00": [0, 1.5],
    }.items():  # fmt: skip
        assert axis.seconds_of(values, units, "standard", "g", "time").tolist() == [NOW, NOW + 5400]


def test_without_bounds_a_maximum_stands_for_the_time_since_the_stamp_before():
    steps = axis.before([0, 3600, 7200, 18000, 28800], "g", "time")  # hourly, then 3-hourly
    assert steps.starts == (-3600, 0, 3600, 7200, 18000)
    hole = axis.before([0, 3600, 21600, 25200], "g", "time")  # five hours are missing
    assert hole.starts == (-3600, 0, 18000, 21600)


def test_values_of_moments_do_not_bridge_a_hole():
    steps = axis.around([0, 3600, 21600, 25200], "g", "time")
    assert steps.starts == (-3600, 0, 18000, 21600)
    assert steps.ends == (3600, 3600, 25200, 25200)
    daily = axis.around([0, 86400, 172800], "g", "time")
    assert daily.starts == (-21600, 64800, 151200)


def test_one_time_without_bounds_is_refused():
    with pytest.raises(InputFaults, match="at least two times"):
        axis.before([0], "g", "time")


def test_a_three_hourly_maximum_fills_its_three_hours_and_a_hole_is_unknown():
    gust = np.full((5, 1, 1), 2.0)
    ds = grid(5, ny=1, nx=1, bounds=False, gust=gust)
    ds["time"].values  # noqa: B018
    ds = ds.assign_coords(time=("time", np.array([3.0, 6, 9, 12, 21]), ds["time"].attrs))
    r, found = region(ds)
    assert [WORDS[int(v)] for v in found["level"].values.ravel()] == ["normal"] * 12 + ["unknown"] * 6 + [
        "normal"
    ] * 3
    assert r.grid.fields["gust"].steps.says == "the time since the stamp before"
    assert found["level"].dims == ("hour", "latitude", "longitude")
    assert found["verdict"].values.tolist() == [[0]]


def test_a_grid_that_ends_too_early_is_unknown_from_there_on():
    _, found = region(grid(8, gust=np.full((8, 2, 3), 2.0)))
    assert (found["verdict"].values == rule.CANNOT_SAY).all()
    assert (found["unknown_hours"].values == 4).all()


@pytest.mark.parametrize("now", [NOW + 30 * 3600, NOW - 4 * 86400, NOW + 9 * 86400])
def test_a_grid_that_is_old_over_or_from_the_future_gives_no_go(now):
    ds = grid(24, gust=np.full((24, 2, 3), 1.0))
    r, found = region(ds, now=now)
    assert (found["verdict"].values != rule.GO).all()
    assert r.stale


def test_a_grid_that_nobody_dates_gives_no_go_unless_the_time_is_said():
    ds = grid(24, gust=np.full((24, 2, 3), 1.0)).drop_vars("issued")
    assert (region(ds)[1]["verdict"].values == rule.CANNOT_SAY).all()
    r = region_of(deployment(), read_grid(ds, "grid", issued=NOW - 3600), NOW, None)
    assert (results(r, judged(r))["verdict"].values == rule.GO).all()


# Members, thunder, places


def test_chance_is_a_range_that_can_be_counted_by_hand():
    """Limit 15.22 m/s: people out from 12.18. Members reach it in hour 1, in hour 2, never, and nobody knows."""
    gust = np.full((12, 4, 1, 1), 2.0)
    gust[1, 0], gust[2, 1], gust[3, 3] = 13.0, 13.0, np.nan
    r, found = region(grid(12, 4, 1, 1, gust=gust))
    assert 12.1 < 0.8 * r.limits.gust < 12.3
    assert found["chance_people_out_low"].item() == 0.25  # in any one hour one of four
    assert (
        found["chance_people_out_high"].item() == 0.75
    )  # two in one hour or another, and the one that is unknown
    assert found["chance_keep_away_low"].item() == 0.0
    assert found["chance_keep_away_high"].item() == 0.25
    assert found["chance_people_out_low"].attrs["resolution"] == 0.25
    assert found["hours_to_people_out"].values.ravel().tolist()[:2] == [1.0, 2.0]
    assert found["unknown_hours"].values.ravel().tolist() == [0, 0, 0, 1]


def test_one_member_alone_has_no_chance():
    assert not [k for k in region(grid(6))[1] if str(k).startswith("chance")]


def test_thunder_is_people_out_and_no_chance_bounds_it():
    ds = grid(14, 2, gust=np.full((14, 2, 2, 3), 1.0))
    chance = np.zeros((14, 2, 2, 3))
    chance[4, 0, 0, 0], chance[5, 1, 1, 1] = 15.0, 14.0
    ds["storms"] = (ds["gust"].dims, chance, {"units": "%"})
    r = region_of(
        deployment(), read_grid(ds, "grid", thunder="storms"), NOW, None, every_level=True, use="people-in"
    )
    found = results(r, judged(r))
    assert WORDS[int(found["level"][4, 0, 0, 0])] == "people-out"
    assert WORDS[int(found["level"][5, 1, 1, 1])] == "normal"
    assert np.isnan(found["chance_people_out_high"].values[0, 0])
    assert found["chance_people_out_high"].values[1, 1] == 0.0
    assert found["verdict"].values.tolist() == [[2, 0, 0], [0, 0, 0]]
    with pytest.raises(InputFaults, match="thunder-from"):
        read_grid(ds, "grid", thunder="nothing")


def test_without_a_direction_the_weakest_side_counts():
    fields = random_fields((14, 2, 3), 2, snow=False, holes=0.0)
    d = deployment("clay")
    with_turn, without = region(grid(14, **fields), d)[1], region(grid(14, gust=fields["gust"]), d)[1]
    assert (without["level"].values >= with_turn["level"].values).all()
    assert (without["level"].values > with_turn["level"].values).any()


def test_places_stay_as_they_came():
    ds = grid(6)
    _, found = region(ds)
    assert found["latitude"].values.tolist() == ds["latitude"].values.tolist()
    assert found["longitude"].values.tolist() == [350.0, 350.25, 350.5]
    flipped = region(ds.isel(latitude=slice(None, None, -1)))[1]
    assert flipped.sortby("latitude").drop_attrs().identical(found.sortby("latitude").drop_attrs())


def test_axes_of_any_name_order_and_thickness_do():
    ds = grid(8, 2)
    other = ds.transpose("longitude", "realization", "latitude", "time", "nv").rename(
        latitude="y", longitude="x", time="step", realization="number"
    )
    other["gust"] = other["gust"].expand_dims(run=1)
    a, b = region(ds)[1], region(other)[1]
    assert b["verdict"].transpose("y", "x").values.tolist() == a["verdict"].values.tolist()
    assert np.array_equal(
        b["hours_to_secure"].transpose("number", "y", "x").values, a["hours_to_secure"].values, equal_nan=True
    )


def test_a_field_without_members_is_that_of_every_member():
    ds = grid(12, 2, **random_fields((12, 2, 2, 3), 5, snow=False))
    ds["direction"] = ds["direction"].isel(realization=0, drop=True)
    both = ds.copy()
    both["direction"] = (
        ds["direction"]
        .expand_dims(realization=ds["realization"])
        .transpose(*ds["gust"].dims)
        .assign_attrs(ds["direction"].attrs)
    )
    assert region(ds)[1].equals(region(both)[1])


# Files, the command, the map


def test_netcdf_and_zarr_in_and_out_are_the_same(tmp_path):
    ds, d = grid(14, 2, 5, 4, **random_fields((14, 2, 5, 4), 9, snow=False)), deployment()
    ds.to_netcdf(tmp_path / "g.nc", engine="h5netcdf")
    ds.to_zarr(tmp_path / "g.zarr", zarr_format=2)
    ds.chunk({"time": 1}).to_zarr(tmp_path / "by-time.zarr", zarr_format=2)
    _, wanted = region(ds, d)
    found = [
        run(str(tmp_path / n), d, NOW, None, every_level=True)[1] for n in ("g.nc", "g.zarr", "by-time.zarr")
    ]
    for f in found:
        assert f.drop_attrs().identical(wanted.drop_attrs())
    save(found[0], str(tmp_path / "o.nc"))
    save(found[0], str(tmp_path / "o.zarr"))
    with xr.open_dataset(tmp_path / "o.nc", engine="h5netcdf") as a, xr.open_zarr(tmp_path / "o.zarr") as b:
        assert a.drop_attrs().identical(b.drop_attrs().load())
        assert a["start_strike_by"].dtype.kind == "M"
        assert a["verdict"].attrs["flag_meanings"] == "go cannot_say no_go"
        assert a.attrs["Conventions"] == "CF-1.8"
    with pytest.raises(RegionError, match="there already"):
        save(found[0], str(tmp_path / "o.zarr"))
    assert not list(tmp_path.glob(".anchorage-*"))


def command(capsys, *args):
    code = cli.main(["region", *map(str, args)])
    out = capsys.readouterr()
    assert "Traceback" not in out.err
    return code, out.out, out.err


@pytest.fixture
def place(tmp_path):
    (tmp_path / "site.toml").write_text(demo_text("asphalt"), encoding="utf-8")
    gust = np.full((14, 3, 4, 5), 3.0)
    gust[6:, 1, 1, 1] = 14.0
    gust[8, :, 3, 3] = np.nan
    grid(14, 3, 4, 5, gust=gust).to_netcdf(tmp_path / "g.nc", engine="h5netcdf")
    return tmp_path


def test_an_order_to_take_it_down_is_for_cells_in_which_some_hour_asks_for_it(tmp_path, capsys):
    """6 m/s goes over what is taken down in and asks for nothing: the outlook of that place orders nothing down either."""
    (tmp_path / "site.toml").write_text(demo_text("asphalt"), encoding="utf-8")
    blown = np.full((14, 2, 2), 3.0)
    blown[6:, 1, 1] = 6.0
    grid(14, None, 2, 2, gust=blown).to_netcdf(tmp_path / "h.nc", engine="h5netcdf")
    args = (
        tmp_path / "site.toml",
        "--grid",
        tmp_path / "h.nc",
        "--now",
        SAID,
        "--for",
        "people-in",
        "--jobs",
        "1",
    )
    out = " ".join(command(capsys, *args)[1].split())
    assert ("START TAKING DOWN" in out, "LAST TIME TO TAKE DOWN" in out) == (False, True), out


def test_the_command_says_it_in_lines_and_in_json_and_writes_a_map(place, capsys):
    args = (place / "site.toml", "--grid", place / "g.nc", "--now", SAID, "--for", "people-in")
    code, out, _ = command(capsys, *args, "-o", place / "o.nc", "--map", place / "m.png")
    assert code == 1
    assert out.startswith("NO-GO in 1, CANNOT SAY in 1, GO in 18 of 20 cells")
    for words in (
        "START TAKING DOWN BY",
        "latitude 49.75, longitude 350.25",
        "1 cell",
        "not a permit",
        "of 3 members",
    ):
        assert words in " ".join(out.split())
    assert (place / "m.png").read_bytes().startswith(b"\x89PNG")
    code, out, err = command(capsys, *args, "--json", "--jobs", "1")
    data = json.loads(out)
    assert (code, err) == (1, "")
    assert data["verdicts"] == {"go": 18, "unknown": 1, "no-go": 1}
    assert data["levels"]["people_out"] == {
        "cells": 1,
        "first": "2026-03-11T00:00:00Z",
        "chance": [pytest.approx(1 / 3), 1.0],
    }
    assert data["deadlines"]["start_strike_by"]["earliest"] == "2026-03-10T22:50:00Z"
    with xr.open_dataset(place / "o.nc", engine="h5netcdf") as ds:
        assert int((ds["verdict"] == rule.NO_GO).sum()) == 1


def test_what_is_typed_wrong_or_broken_is_refused_in_one_line(place, capsys):
    site, good = place / "site.toml", place / "g.nc"
    (place / "cut.nc").write_bytes(good.read_bytes()[:3000])
    (place / "old.nc").write_bytes(b"CDF\x01" + bytes(64))
    (place / "text.nc").write_text("no grid", encoding="utf-8")
    (place / "empty").mkdir()
    for args, word in (
        ((site, "--grid", place / "none.nc"), "No such file"), ((site, "--grid", place / "cut.nc"), "cannot be read"),
        ((site, "--grid", place / "old.nc"), "NetCDF-4"), ((site, "--grid", place / "text.nc"), "another format"),
        ((site, "--grid", place / "empty"), "no Zarr store"), ((site, "--grid", good, "-o", "x.tif"), ".zarr"),
        ((site, "--grid", good, "-o", place / "nowhere" / "x.nc"), "no such folder"), ((site, "--grid", good, "--jobs", "0"), "from 1"),
        ((site, "--grid", good, "--map", "m.jpg"), ".png"), ((place / "none.toml", "--grid", good), "none.toml"),
    ):  # fmt: skip
        code, out, err = command(capsys, *args, "--now", SAID)
        assert code == 2
        assert out == ""
        assert word in err
        assert len(err.splitlines()) == 1


def test_without_the_extra_its_name_is_said(place, capsys, monkeypatch):
    for name in [m for m in sys.modules if m.startswith("anchorage.region.")]:
        monkeypatch.delitem(sys.modules, name)
    monkeypatch.setattr(sys.modules["anchorage.region"], "__path__", sys.modules["anchorage.region"].__path__)
    for name in ("picture", "run", "store", "summary"):
        monkeypatch.delattr(sys.modules["anchorage.region"], name, raising=False)
    monkeypatch.setitem(sys.modules, "xarray", None)
    code, _, err = command(capsys, place / "site.toml", "--grid", place / "g.nc")
    assert code == 2
    assert "shelter-anchorage[region]" in err


def test_strength_level_margins_are_refused(place, capsys):
    text = demo_text("asphalt") + '\n[margins]\nset = "asd"\n'
    (place / "asd.toml").write_text(
        text.replace('speed_is = "forecast-gust"', 'averaging = "3 s"\nlevel = "strength"'), encoding="utf-8"
    )
    code, _, err = command(capsys, place / "asd.toml", "--grid", place / "g.nc", "--now", SAID)
    assert code == 2
    assert "asd" in err


def test_the_kinds_of_a_map():
    hours = np.array([-1.0, 0.0, 3.0, 6.0, 7.0, 13.0, 25.0, 49.0, np.nan, np.nan])
    unsure = np.array([0, 0, 0, 0, 0, 0, 0, 0, 1, 0], bool)
    assert "".join(TIMES[k].letter or "-" for k in time_kinds(hours, unsure)) == "XXAABCDE?-"
    low, high = np.array([0, 0, 0.05, 0.2, 0.5, 1.0, np.nan]), np.array([0, 1.0, 0.1, 0.3, 0.6, 1.0, np.nan])
    assert chance_kinds(low, high).tolist() == [0, 1, 2, 3, 4, 5, 1]
    assert [LEVELS[k].letter for k in level_kinds(np.array([0, 0, 1, 2, 3]), np.array([0, 1, 1, 0, 0]))] == [
        "",
        "?",
        "s",
        "p",
        "k",
    ]
    assert coarse(np.array([[0, 1, 2], [3, 0, 0]]), 2).tolist() == [[3, 2]]


@pytest.mark.parametrize(("members", "ny", "nx"), [(None, 1, 1), (3, 250, 3)])
def test_a_map_of_any_shape_can_be_drawn_with_any_name(members, ny, nx):
    d = deployment("clay")
    d = replace_times(d)
    r, found = region(grid(3, members, ny, nx), d)
    raw = picture(found, NOW, "$x^2$ \x1b[2J GO", "a_b {c} $")
    assert raw.startswith(b"\x89PNG")
    assert members or raw == picture(found, NOW, "$x^2$ \x1b[2J GO", "a_b {c} $")
    assert "people out" in hours_left(found, NOW)[1]
    assert (
        any("no deadline is made up" in line for line in lines(r, found, UTC, "us"))
        or found["hours_to_secure"].isnull().all()
    )


def replace_times(d):
    return d.model_copy(update={"times": d.times.model_copy(update={"strike": None})})


def test_cells_without_any_axis_of_place_are_one_cell():
    ds = grid(6).isel(latitude=0, longitude=0, drop=True)
    _, found = region(ds)
    assert found["verdict"].shape == ()
    assert picture(found, NOW, "one", "cell").startswith(b"\x89PNG")


def test_an_empty_grid_is_refused():
    with pytest.raises(AnchorageError, match="empty grid"):
        region(grid(6).isel(latitude=[]))


def test_a_grid_is_opened_without_reading_its_values(tmp_path):
    grid(24, 2).to_netcdf(tmp_path / "g.nc", engine="h5netcdf")
    with open_grid(str(tmp_path / "g.nc")) as ds:
        assert not ds["gust"].variable._in_memory
        r = region_of(deployment(), read_grid(ds, "g"), NOW, None)
        assert all(v.chunks is not None for v in judged(r, lazy=True).values())
        assert replace(r.job, every_level=True).every_level


def test_the_invented_grid_can_be_tried_at_any_time(place, capsys):
    args = (place / "site.toml", "--grid", "demo", "--for", "people-in", "--json")
    found = [
        json.loads(command(capsys, *args, "--now", now)[1])
        for now in ("2026-03-10T18:20:00Z", "2031-07-01T00:20:00Z")
    ]
    assert found[0]["verdicts"] == found[1]["verdicts"]
    assert found[0]["members"] == 20
    assert all(found[0]["verdicts"][v] for v in ("go", "no-go"))
    assert found[0]["cells_where_deadlines_may_be_earlier"] == 20  # those of its map with a question mark


def test_what_is_unknown_before_a_deadline_is_said():
    gust = np.full((14, 2, 3), 3.0)
    gust[9, 0, :2], gust[4, 0, 0] = 14.0, np.nan
    r, found = region(grid(14, gust=gust))
    assert "In 1 cell hours are unknown before any deadline" in " ".join(lines(r, found, UTC, "si"))
    assert "72 h" not in " ".join(r.notes)
    far, _ = region(grid(80, gust=np.full((80, 2, 3), 3.0)))
    assert "72 h" in " ".join(far.notes)
    old, _ = region(grid(24), now=NOW + 8 * 3600)
    assert "look for a newer one" in " ".join(old.notes)


def test_stakes_ask_for_marked_utilities_before_anything_is_go():
    d = deployment("clay")
    d = d.model_copy(update={"site": d.site.model_copy(update={"utilities": None})})
    r, found = region(grid(14, gust=np.full((14, 2, 3), 1.0)), d, use="people-in")
    assert "GO in" not in headline(r, found, UTC).replace("NO-GO", "")
    assert {b.code for b in r.limits.blocks} == {"utilities-open"}
    marked = region(grid(14, gust=np.full((14, 2, 3), 1.0)), deployment("asphalt"))
    assert "utilities" not in headline(*marked, UTC)


def test_the_wait_after_people_out_reaches_into_a_stay_that_begins_later():
    gust = np.full((14, 1, 3), 2.0)
    gust[0] = 13.0
    gust[1:, 0, 1], gust[1, 0, 2] = 10.0, 10.0  # back at normal before the stay; never; in its first hour
    d = deployment(start="2026-03-10T20:00:00Z", end="2026-03-11T06:00:00Z")
    ds = grid(14, ny=1, nx=3, gust=gust)
    r, found = region(ds, d, use="people-in")
    assert found["verdict"].values.tolist() == [[0, 2, 2]]
    for x in range(3):
        o = outlook_of(d, as_forecast(table(ds, 0, x), NOW), "people-in", r.plan)
        assert rule.VERDICTS[int(found["verdict"][0, x])] == o.verdict


@pytest.mark.parametrize("lost", ["all of it", "one hour", "one cell"])
def test_thunder_that_the_grid_has_and_lost_is_unknown_and_never_go(lost):
    """With all values of --thunder-from missing every cell was GO."""
    storms = np.zeros((24, 2, 3))
    where = {"all of it": np.s_[:], "one hour": np.s_[4], "one cell": np.s_[:, 0, 1]}[lost]
    storms[where] = np.nan
    ds = grid(gust=np.full((24, 2, 3), 3.0))
    ds["storms"] = (ds["gust"].dims, storms, {"units": "1", "cell_methods": "time: maximum"})
    r = region_of(deployment(), read_grid(ds, "grid", thunder="storms"), NOW, None, use="people-in")
    verdict = results(r, judged(r).compute())["verdict"].values
    hit = np.zeros((2, 3), bool)
    hit[where[1:] if lost == "one cell" else slice(None)] = True
    assert (verdict[hit] == 1).all()
    assert (verdict[~hit] == 0).all()
