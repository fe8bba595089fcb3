"""Readers: what each takes, what each refuses, and that a refusal names the line or the key."""

import copy
import json
from datetime import UTC

import pytest
from outlook_kit import KT, at, judged, levels, verdicts

from anchorage.core.errors import InputFaults
from anchorage.outlook import (
    aviation,
    csv_table,
    nbm,
    nws_gridpoint,
    nws_hourly,
    open_hourly,
    reader,
    untrusted,
)
from anchorage.outlook.clock import iso, zone_of
from anchorage.outlook.metar import read_metar
from anchorage.outlook.reader import read_bytes, read_text
from anchorage.outlook.taf import read_taf
from anchorage.outlook.windgroup import hidden, looks_like_wind, read_wind

NOW = at("2026-03-10T18")
CHICAGO = zone_of("America/Chicago")


def refusal(text: str, now: int = NOW, **more) -> str:
    with pytest.raises(InputFaults) as caught:
        read_text(text, now, "f", **more)
    return str(caught.value)


# wind groups


@pytest.mark.parametrize(
    ("group", "bearing", "mean", "gust"),
    [
        ("27015G30KT", 270, 15 * KT, 30 * KT),
        ("270105G130KT", 270, 105 * KT, 130 * KT),
        ("VRB03KT", None, 3 * KT, 3 * KT + 10 * KT),
        ("00000KT", None, 0.0, 10 * KT),
        ("36010KMH", 0, 10 / 3.6, 10 / 3.6 + 10 * KT),
        ("31012G21MPS", 310, 12.0, 21.0),
        ("27030G20KT", 270, 30 * KT, 40 * KT),  # a gust below its mean is none
    ],
)
def test_wind_groups(group, bearing, mean, gust):
    w = read_wind(group, "f", "k")
    assert (w.bearing, w.mean, w.gust) == (bearing, pytest.approx(mean), pytest.approx(gust))


@pytest.mark.parametrize("group", ["/////KT", "270//KT", "27015G//KT"])
def test_a_missing_wind_is_missing(group):
    assert read_wind(group, "f", "k").gust is None


@pytest.mark.parametrize(
    "group",
    [
        "27015",
        "2715KT",
        "99915KT",
        "27015G5KT",
        "270151515KT",
        "27015KTS",
        "G30KT",
        "27015G30",
        "270999KT",
        "٢٧٠١٥KT",
    ],
)
def test_what_looks_like_wind_and_is_none_is_refused(group):
    with pytest.raises(InputFaults, match=r"accepted|wind group|150 m/s"):
        read_wind(group, "f", "k")


def test_the_hidden_gust_is_ten_knots_and_said():
    assert hidden() == pytest.approx(10 * KT)
    assert "+10 kt" in read_metar("METAR KDAL 101753Z 15013KT 10SM", NOW).gusts[0].text
    assert looks_like_wind("WS010/31022KT")
    assert aviation.harmless("WS010/31022KT") is None  # nobody says that it stays up there
    assert aviation.omen("WS010/31022KT") == "wind"


# TAF


def test_a_taf_without_wind_is_unknown_and_so_is_one_with_it_missing():
    for wind in ("", "/////KT "):
        found = judged(f"TAF ZZZZ 101740Z 1018/1106 {wind}9999 SCT040")
        assert set(levels(found)) == {"unknown"}


def test_fm_supersedes_becmg_overlaps_and_wind_carries_on_through_a_becmg_without_one():
    f = read_taf(
        "TAF ZZZZ 101740Z 1018/1118 20010G20KT BECMG 1020/1022 9999 FM110000 20011G21KT BECMG 1106/1108 20012G22KT",
        NOW,
    )
    told = sorted((iso(s.start)[8:13], iso(s.end)[8:13], round(s.value / KT)) for s in f.gusts)
    assert told == [("10T18", "11T00", 20), ("11T00", "11T08", 21), ("11T06", "11T18", 22)]


def test_thunder_of_the_main_part_ends_with_the_fm_and_with_nsw():
    f = read_taf("TAF ZZZZ 101740Z 1018/1118 20010KT TSRA BECMG 1020/1022 NSW FM110000 20010KT VCTS", NOW)
    assert [(iso(s.start)[8:13], iso(s.end)[8:13]) for s in f.thunder] == [
        ("10T18", "10T22"),
        ("11T00", "11T18"),
    ]


@pytest.mark.parametrize(
    ("text", "named"),
    [
        ("TAF ZZZZ 101740Z NIL", "NIL"),
        ("TAF ZZZZ 101740Z 1018/1118 CNL", "CNL"),
        ("TAF ZZZZ 101740Z 1018/1218 20010KT", "1018/1218"),
        ("TAF ZZZZ 101740Z 1018/1118 20010KT FM1800 20010KT", "FM1800"),
        ("TAF ZZZZ 101740Z 1018/1118 20010KT FM121800 20010KT", "FM121800"),
        ("TAF ZZZZ 101740Z 1018/1118 20010KT FM110000 20010KT FM102200 20010KT", "FM102200"),
        ("TAF ZZZZ 101740Z 1018/1118 20010KT TEMPO 20030G50KT", "20030G50KT"),
        ("TAF ZZZZ 101740Z 1018/1118 20010KT PROB30", "PROB30|''"),
        ("TAF ZZZZ 101740Z 1018/1118 20O10KT", "20O10KT"),
        ("TAF ZZZZ 101740Z 1018/1118 20010 KT", "20010"),
        ("TAF ZZZZ 105740Z 1018/1118 20010KT", "105740Z"),
    ],
)
def test_a_taf_that_cannot_be_read_is_refused_and_names_the_group(text, named):
    assert any(n in refusal(text) for n in named.split("|"))
    assert "group" in refusal(text)


def test_groups_that_are_not_understood_are_said():
    text = "TAF ZZZZ 101740Z 1018/1118 20010KT FOOBAR"
    assert [r.text for r in read_taf(text, NOW).remarks.not_understood] == ["FOOBAR"]
    assert set(levels(judged(text))) == {"unknown"}


def test_the_end_of_a_month_and_of_a_year():
    f = read_taf("TAF ZZZZ 312340Z 0100/0206 20010KT", at("2026-12-31T23:50:00Z"))
    assert iso(f.gusts[0].start) == "2027-01-01T00:00:00Z"
    assert iso(f.issued) == "2026-12-31T23:40:00Z"


def test_reports_one_after_the_other_and_the_later_ones_do_not_hide_the_worse():
    text = "METAR KDAL 101753Z 15013G40KT 10SM\nMETAR KDAL 101653Z 15013KT 10SM\nTAF ZZZZ 101740Z 1018/1118 15005KT\n  FM102200 30015G25KT\n"
    found = read_text(text, NOW, "f")
    assert [f.format for f in found] == ["METAR", "METAR", "TAF"]
    assert judged(text)[0].wind.gust == pytest.approx(40 * KT)


# METAR


def test_a_report_stands_for_an_hour_and_the_rest_is_unknown():
    found = judged("METAR KDAL 101800Z 15005KT 10SM CLR", until="2026-03-10T21")
    assert levels(found) == ["normal", "unknown", "unknown"]


@pytest.mark.parametrize("tail", ["TSRA", "VCTS", "RMK AO2 LTG DSNT W", "RMK TSB45", "SQ", "+FC"])
def test_thunder_squall_and_lightning_send_people_out(tail):
    level = judged(f"METAR KDAL 101800Z 15005KT 10SM {tail}")[0].level
    assert level == ("keep-away" if "FC" in tail else "people-out")  # a tornado is in sight


def test_no_thunder_sensor_is_no_thunder():
    assert judged("METAR KDAL 101800Z 15005KT 10SM RMK AO2 TSNO")[0].level == "normal"


def test_a_broken_peak_wind_is_refused():
    assert "PK WND" in refusal("METAR KDAL 101800Z 15005KT 10SM RMK AO2 PK WND 28O45/1736")


# NWS gridpoint


def grid(**layers) -> dict:
    def layer(values, uom):
        return {"uom": uom, "values": [{"validTime": t, "value": v} for t, v in values]}

    when = [
        t
        for t, _ in layers.get(
            "windGust", layers.get("windSpeed", ([("2026-03-10T18:00:00+00:00/PT6H", 0)], ""))
        )[0]
    ]
    calm = {"coverage": None, "weather": None, "intensity": None, "attributes": []}
    props = {
        "updateTime": "2026-03-10T17:00:00+00:00",
        "windGust": layer([("2026-03-10T18:00:00+00:00/PT6H", 18.0)], "wmoUnit:km_h-1"),
        "windSpeed": layer([(t, 0.0) for t in when], "wmoUnit:km_h-1"),
        "windDirection": layer([], None),
        "temperature": layer([], None),
        "quantitativePrecipitation": layer([(t, 0.0) for t in when], "wmoUnit:mm"),
        "snowfallAmount": layer([(t, 0.0) for t in when], "wmoUnit:mm"),
        "iceAccumulation": layer([], None),
        "weather": layer([(t, [calm]) for t in when], None),
        "hazards": layer([], None),
        "probabilityOfThunder": layer([], None),
    }
    for name, (values, uom) in layers.items():
        props[name] = layer(values, uom)
    return {"properties": props}


def told(data) -> str:
    return refusal(json.dumps(data))


def test_levels_stand_for_the_whole_interval_and_totals_are_shared_out():
    data = grid(quantitativePrecipitation=([("2026-03-10T18:00:00Z/PT6H", 12.0)], "wmoUnit:mm"))
    hours = [j.hour for j in judged(json.dumps(data))]
    assert [round(h.water, 9) for h in hours] == [2.0] * 6
    assert [h.winds[0].gust for h in hours] == [pytest.approx(5.0)] * 6


def test_units_are_read_and_unknown_ones_refused():
    data = grid(windGust=([("2026-03-10T18:00:00Z/PT1H", 18.0)], "unit:m_s-1"))
    assert judged(json.dumps(data))[0].wind.gust == 18.0
    assert "windGust.uom" in told(grid(windGust=([("2026-03-10T18:00:00Z/PT1H", 18.0)], "wmoUnit:furlong")))
    assert "windGust.uom" in told(grid(windGust=([("2026-03-10T18:00:00Z/PT1H", 18.0)], None)))


@pytest.mark.parametrize("value", [-1, -9999, 1e9, True, "12", [], {}])
def test_a_gust_that_is_none_is_refused_by_its_key(value):
    assert "windGust.values[1]" in told(
        grid(windGust=([("2026-03-10T18:00:00Z/PT1H", value)], "wmoUnit:km_h-1"))
    )


@pytest.mark.parametrize(
    "time",
    [
        "date:now:hour +145 hours / PT6H",
        "2026-03-10T18:00:00/PT1H",
        "2026-03-10T18:00:00Z",
        "2026-03-10T18:00:00Z/P1M",
        "2026-03-10T18:00:00Z/PT0H",
        "2026-13-10T18:00:00Z/PT1H",
        None,
        7,
    ],
)
def test_templated_relative_and_broken_intervals_are_refused(time):
    assert "windGust.values[1].validTime" in told(grid(windGust=([(time, 5.0)], "wmoUnit:km_h-1")))


def test_null_is_unknown_also_where_another_interval_covers_it():
    values = [("2026-03-10T18:00:00Z/PT3H", 5.0), ("2026-03-10T19:00:00Z/PT1H", None)]
    assert levels(judged(json.dumps(grid(windGust=(values, "wmoUnit:km_h-1"))))) == [
        "normal",
        "unknown",
        "normal",
    ]


def test_overlaps_take_the_worse_and_the_past_is_dropped():
    values = [
        ("2026-03-10T12:00:00Z/PT6H", 150.0),
        ("2026-03-10T18:00:00Z/PT2H", 5.0),
        ("2026-03-10T19:00:00Z/PT1H", 70.0),
    ]
    assert levels(judged(json.dumps(grid(windGust=(values, "wmoUnit:km_h-1"))))) == ["normal", "people-out"]


def test_without_update_time_it_is_refused_and_without_gusts_it_is_unknown():
    data = grid()
    del data["properties"]["updateTime"]
    assert "updateTime" in told(data)
    data = grid(windSpeed=([("2026-03-10T18:00:00Z/PT2H", 18.0)], "wmoUnit:km_h-1"))
    del data["properties"]["windGust"]
    assert levels(judged(json.dumps(data))) == ["unknown", "unknown"]


def test_a_mean_wind_without_a_gust_can_raise_a_level_and_gives_no_go():
    data = grid(windSpeed=([("2026-03-10T18:00:00Z/PT2H", 54.0)], "wmoUnit:km_h-1"))
    del data["properties"]["windGust"]
    found = judged(json.dumps(data))
    assert levels(found) == ["keep-away"] * 2  # 15 m/s x 1.66
    assert verdicts(found) == ["no-go"] * 2


def test_official_hazards_raise_a_level_and_their_absence_lowers_none():
    data = grid(hazards=([("2026-03-10T18:00:00Z/PT1H", [{"phenomenon": "SV", "significance": "W"}])], None))
    assert levels(judged(json.dumps(data)))[:2] == ["keep-away", "normal"]  # 58 mph of 20 m/s
    data = grid(hazards=([("2026-03-10T18:00:00Z/PT1H", [{"phenomenon": "WS", "significance": "W"}])], None))
    assert levels(judged(json.dumps(data)))[0] == "unknown"


def test_thunder_in_the_weather_layer():
    data = grid(
        weather=(
            [
                ("2026-03-10T18:00:00Z/PT1H", [{"weather": None, "coverage": None}]),
                ("2026-03-10T19:00:00Z/PT1H", [{"weather": "thunderstorms", "coverage": "slight_chance"}]),
                ("2026-03-10T20:00:00Z/PT4H", [{"weather": None, "coverage": None}]),
            ],
            None,
        )
    )
    assert levels(judged(json.dumps(data)))[:3] == ["normal", "people-out", "normal"]
    assert nws_gridpoint.SPEEDS["km_h-1"] == "km/h"


# NWS hourly


def test_the_hourly_forecast_has_no_gust_and_says_so():
    period = {
        "startTime": "2026-03-10T13:00:00-05:00",
        "endTime": "2026-03-10T14:00:00-05:00",
        "windSpeed": "5 to 10 mph",
        "windDirection": "NW",
        "shortForecast": "Sunny",
    }
    data = {"properties": {"updateTime": "2026-03-10T17:00:00Z", "periods": [period]}}
    found = judged(json.dumps(data))
    assert levels(found) == ["unknown"]
    assert str(found[0].why).startswith(nws_hourly.REASON)
    assert found[0].wind.bearing == 315.0
    assert found[0].wind.gust == pytest.approx(10 * 0.44704 * 1.66, rel=0.01)
    period["windSpeed"] = "breezy"
    assert "periods[1].windSpeed" in told(data)
    period["windSpeed"], period["shortForecast"] = "5 mph", "Chance T-storms"
    assert levels(judged(json.dumps(data))) == ["people-out"]


# NBM

BULLETIN = """KZZZ    NBM V4.1 NBS GUIDANCE    3/10/2026  1700 UTC
DT /MAR  10      /MAR  11
UTC  18 21 00 03
FHR  01 04 07 10
TMP  50 50 30 30
WDR  27 27 28 28
WSP  10 10 10 10
GST  15 20-99 30
GSD   2  3-99  5
T03   0  0  0 40
Q06      0     0
S06      0     0
I06      0     0
"""


def test_nbm_takes_the_worse_of_two_columns_and_99_is_missing():
    found = judged(BULLETIN)
    assert levels(found) == ["normal"] * 3 + ["unknown"] * 3 + ["people-out"] * 3
    assert found[0].wind.gust == pytest.approx(20 * KT)
    assert found[0].hour.spread == pytest.approx(3 * KT)


@pytest.mark.parametrize(
    ("old", "new", "named"),
    [
        ("NBS GUID", "NBP GUID", "NBP"),
        ("15 20-99", "15 2O-99", "line GST"),
        ("UTC  18", "UTC  17", "line UTC"),
        ("3/10/2026", "13/10/2026", "first line"),
        ("GST  15", "GST -15", "line GST"),
        ("FHR  01 04", "FHR  04 01", "line FHR"),
    ],
)
def test_nbm_refusals(old, new, named):
    assert named in refusal(BULLETIN.replace(old, new))
    assert nbm.MISSING == -99


def test_nbh_goes_by_the_hours():
    text = (
        "KZZZ   NBM V4.2 NBH GUIDANCE    3/10/2026  1700 UTC\nUTC  18 19 20\nWSP   5  5  5\nGST  10 11 12\nGSD   1  1  1\n"
        "T01   0  0  0\nQ01   0  0  0\nS01   0  0  0\nI01   0  0  0\n"
    )
    assert levels(judged(text)) == ["normal", "normal"]


# open hourly


def arrays(**more) -> dict:
    data = {"utc_offset_seconds": 0, "hourly_units": {"time": "iso8601", "wind_gusts_10m": "km/h"},
            "hourly": {"time": ["2026-03-10T18:00", "2026-03-10T19:00", "2026-03-10T20:00"], "wind_gusts_10m": [18, 72, 18]}}  # fmt: skip
    for k, (unit, values) in more.items():
        data["hourly_units"][k], data["hourly"][k] = unit, values
    return data


def test_open_hourly_counts_a_gust_on_both_sides_and_needs_a_time_of_issue():
    text = json.dumps(arrays())
    found = read_text(text, NOW, "f")
    assert levels(judged(found)) == ["keep-away", "keep-away"]  # 72 km/h is 20 m/s
    calm = read_text(text.replace("72", "10"), NOW, "f")
    assert levels(judged(calm)) == ["unknown", "unknown"]
    assert "when this forecast was made" in str(judged(calm)[0].why)
    fresh = read_text(text.replace("72", "10"), NOW, "f", issued=NOW)
    assert levels(judged(fresh)) == ["normal", "normal"]


@pytest.mark.parametrize(
    "change",
    [
        {"wind_gusts_10m": ("knots per hour", [1, 1, 1])},
        {"wind_gusts_10m": ("km/h", [1, 1])},
        {"wind_gusts_10m": ("km/h", "1")},
        {"windgusts_10m": ("km/h", [1, 1, 1])},
        {"wind_gusts_10m": ("km/h", [1, -5, 1])},
    ],
)
def test_open_hourly_refusals(change):
    assert "wind_gusts_10m" in told(arrays(**change))


def test_open_hourly_guesses_no_zone_and_knows_thunder_codes():
    data = arrays(weather_code=("wmo code", [3, 95, 3]))
    del data["utc_offset_seconds"]
    assert "hourly.time[1]" in told(data)
    data["timezone"] = "GMT"
    assert all(j.hour.thunder for j in judged(json.dumps(data)))
    assert open_hourly.WMO["wmo code"] == "wmo-4677"


# CSV


def test_csv_with_units_zone_and_a_hole():
    text = "# issued 2026-03-10T17:30:00Z\ntime (America/Chicago), gust (mph), direction (deg), snow (in)\n2026-03-10 13:00, 10, 270, 0.5\n2026-03-10 14:00, , W, 0\n2026-03-10 16:00, 20, N,\n"
    found = judged(text)
    assert levels(found) == ["normal", "unknown", "unknown", "unknown"]  # empty cell, no row, snow missing
    assert found[0].hour.snow == pytest.approx(0.0127)
    assert csv_table.ACCEPTED


@pytest.mark.parametrize(
    ("text", "named"),
    [
        ("time, gust\n2026-03-10T18:00:00Z, 10\n", "gust"),
        ("time, gust (mph)\n2026-03-10 18:00, 10\n2026-03-10 19:00, 10\n", "line 2, time"),
        ("time, gust (mph)\n2026-03-10T18:00:00Z, 10\n", "line 2"),
        ("time, gust (mph)\n2026-03-10T18:00:00Z, ten\n2026-03-10T19:00:00Z, 10\n", "line 2, gust"),
        ("time, gust (mph)\n2026-03-10T18:00:00Z, 10\n2026-03-10T18:00:00Z, 10\n", "time"),
        ("time, gust (mph)\n2026-03-10T18:00:00Z, 10, 11\n2026-03-10T19:00:00Z, 10\n", "line 2"),
        ("time, gust (mph), gust (kt)\n2026-03-10T18:00:00Z, 10, 11\n", "gust"),
        ("time (Mars/Base), gust (mph)\n2026-03-10 18:00, 10\n2026-03-10 19:00, 10\n", "zone"),
        ("time, gust (mph)\n2026-03-10T18:00:00Z, -9999\n2026-03-10T19:00:00Z, 10\n", "line 2, gust"),
        ("time, snow (in)\n2026-03-10T18:00:00Z, 1\n2026-03-10T19:00:00Z, 1\n", "gust"),
    ],
)
def test_csv_refusals(text, named):
    assert named in refusal(text)


# by voice or paper


def test_lines_as_they_were_heard():
    text = "zone America/Chicago\nheard 12:40\nuntil 14:00 gust 10-20 mph SW; until 15:00 gust 28 mph\nfrom 14:00 snow 2 in wet"
    found = judged(text)
    assert levels(found) == ["normal", "secure"]
    assert found[0].wind.gust == pytest.approx(20 * 0.44704)
    assert found[0].wind.bearing == 225.0
    assert found[1].load.pascal == pytest.approx(0.0508 * 400 * 9.80665)


def test_a_wind_that_was_said_is_turned_up_and_never_gives_go():
    found = judged("heard 17:40Z\nuntil 20:00Z wind 5-10 mph")
    assert levels(found) == ["unknown", "unknown"]
    assert found[0].wind.gust == pytest.approx(10 * 0.44704 * 1.66, rel=0.01)
    assert levels(judged("heard 17:40Z\nuntil 20:00Z wind 20-30 mph")) == ["keep-away", "keep-away"]


@pytest.mark.parametrize(
    ("kind", "level"),
    [("severe-thunderstorm", "keep-away"), ("high-wind", "keep-away"), ("winter", "unknown")],
)
def test_warnings_raise_a_level(kind, level):
    calm = "heard 17:40Z\nuntil 22:00Z gust 5 mph"
    assert levels(judged(calm)) == ["normal"] * 4
    found = judged(f"{calm}\nwarning {kind} until 20:00Z")
    after = "unknown" if kind == "winter" else "normal"  # what fell lies there
    assert levels(found) == [level, level, after, after]


@pytest.mark.parametrize(
    ("text", "named"),
    [
        ("until 18:00 gust 35 mph", "heard"),
        ("heard 13:40\nuntil 18:00 gust 35 mph", "zone"),
        ("heard 13:40Z\nuntil 18:00Z gust 35", "line 2"),
        ("heard 13:40Z\nuntil 18:00Z gust 35 furlongs", "line 2"),
        ("heard 13:40Z\nuntil 18:00Z frobnication", "line 2"),
        ("heard 13:40Z\nuntil 25:00Z gust 35 mph", "line 2"),
        ("heard 13:40Z\nuntil 18:00Z", "line 2"),
        ("heard 13:40Z\nuntil 18:00Z gust 40-30 mph", "line 2"),
        ("heard 13:40Z", "file"),
        ("zone Nowhere/Land\nheard 13:40\nuntil 18:00 gust 3 mph", "line 1"),
        ("heard 13:40Z\nwarning frobnication until 18:00Z", "line 2"),
        ("heard 13:40Z\nuntil 18:00Z gust 9999 mph", "line 2"),
    ],
)
def test_lines_that_cannot_be_read_are_named(text, named):
    assert named in refusal(text)


def test_a_gust_until_nobody_knows_when_raises_and_never_gives_go():
    """It was refused, and with it every danger beside it."""
    assert levels(judged("heard 17:40Z\ngust 45 mph")) == ["keep-away"] * 12
    assert levels(judged("heard 17:40Z\ngust 5 mph")) == ["unknown"] * 12


def test_thunder_and_spread_can_be_said():
    f = read_text("heard 17:40Z\nspread 4 mph\nuntil 20:00Z gust 10 mph, thunder", NOW, "f")[0]
    assert f.thunder
    assert f.spreads[0].value == pytest.approx(4 * 0.44704)


# choice by content, untrusted text


@pytest.mark.parametrize(
    "text",
    [
        "",
        "   \n",
        "hello",
        "<html></html>",
        "{}",
        "[]",
        '{"hourly": 3}',
        '{"properties": 3}',
        "{",
        '{"a": 1, "a": 2}',
        '{"properties": {"windGust": NaN}}',
        "1e999",
        '{"a": ' + "9" * 5000 + "}",
    ],
)
def test_what_fits_no_format_is_refused(text):
    assert refusal(text).startswith("f: ")


def test_nesting_and_size_are_bounded_and_control_characters_shown_inert():
    assert "deep" in refusal("[" * 100_000 + "]" * 100_000)
    assert "deep" in refusal('{"a":' * 30 + "1" + "}" * 30)
    with pytest.raises(InputFaults, match="MB"):
        read_bytes(b"x" * (untrusted.LARGEST + 1), NOW, "f")
    with pytest.raises(InputFaults, match="UTF-8"):
        read_bytes(b"\xff\xfe\x00", NOW, "f")
    said = refusal("\x1b[31mhello\x07\u202e")
    assert said.isprintable()
    assert reader.FORMATS in said


def test_a_key_given_twice_is_refused_and_not_the_last_one_taken():
    text = json.dumps(grid())
    twice = text[:-2] + ', "windGust": {"uom": "wmoUnit:km_h-1", "values": []}}}'
    assert json.loads(twice)["properties"]["windGust"]["values"] == []
    assert "given twice" in refusal(twice)


def test_a_byte_order_mark_does_no_harm():
    raw = b"\xef\xbb\xbf" + json.dumps(grid()).encode()
    assert read_bytes(raw, NOW, "f")[0].format == "NWS gridpoint"


def test_brackets_in_strings_are_no_nesting():
    data = copy.deepcopy(grid())
    data["note"] = '[[[{{{"\\' * 50
    assert read_text(json.dumps(data), NOW, "f")[0].issued == at("2026-03-10T17")
    assert zone_of("utc") is UTC


@pytest.mark.parametrize("cloud", ["CB DSNT W MOV E", "CBMAM OHD", "SC4CB2", "CB035"])
def test_a_cloud_that_thunders_in_the_remarks_of_a_metar_makes_its_hour_unknown(cloud):
    """As in the body of the report; in the remarks it was taken for a cloud among others."""
    now = at("2026-03-10T12:30")
    one, none = (
        read_text(f"METAR KXYZ 101153Z 18005KT 10SM FEW040 08/02 A3001 RMK AO2 {words}", now, "x")[0]
        for words in (cloud, "SLP123")
    )
    assert [d.kind for d in one.doubts] == ["danger"]
    assert not none.doubts
