"""Published or recorded forecasts with the values that others found in them.

Sources: FAA Aeronautical Information Manual figure 7-1-19 (TAF); weather-gov/api gridpoints.md (ISO 8601 interval);
NWS gridpoint files of 2024-02-20 and an NBM bulletin of 2023-10-17 (US government works, values counted by hand);
ICAO Annex 3 4.1.5.2 e (P99KT); a lightning page of the University of Nebraska (30 minutes).
"""

import json

import pytest
from outlook_kit import KT, at, judged, real

from anchorage.core.checked import Check, What
from anchorage.outlook import chance
from anchorage.outlook.clock import day_time, iso, read_interval
from anchorage.outlook.hours import hours_of
from anchorage.outlook.judge import thunder_wait
from anchorage.outlook.limits import Limits
from anchorage.outlook.metar import read_metar
from anchorage.outlook.nws_gridpoint import read_gridpoint
from anchorage.outlook.open_hourly import read_open_hourly
from anchorage.outlook.reader import read_text
from anchorage.outlook.snowfall import Roof, accumulate
from anchorage.outlook.taf import read_taf

AIM = (
    "TAF KPIT 091730Z 0918/1024 15005KT 5SM HZ FEW020 WS010/31022KT FM091930 30015G25KT 3SM SHRA OVC015 TEMPO 0920/0922 "
    "1/2SM +TSRA OVC008CB FM100100 27008KT 5SM SHRA BKN020 OVC040 PROB30 1004/1007 1SM -RA BR FM101015 18005KT 6SM -SHRA "
    "OVC020 BECMG 1013/1015 P6SM NSW SKC"
)
STRONG = Limits(gust=40.0, by=Check(What.SLIDE), roof_snow=5000.0)


def test_faa_aim_figure_7_1_19_validity_gust_thunder_and_wind_shear():
    f = read_taf(AIM, at("2026-09-09T18"))
    assert (iso(f.issued), iso(f.ends)) == ("2026-09-09T17:30:00Z", "2026-09-11T00:00:00Z")
    top = max(f.gusts, key=lambda s: s.value or 0.0)
    assert top.value == pytest.approx(25 * KT)  # 12.86 m/s; 22 kt at 1,000 ft is no surface wind
    assert (iso(top.start), iso(top.end)) == ("2026-09-09T19:30:00Z", "2026-09-10T01:00:00Z")
    assert [(iso(s.start), iso(s.end)) for s in f.thunder] == [
        ("2026-09-09T20:00:00Z", "2026-09-09T22:00:00Z")
    ]
    assert not any("31022" in s.text for s in f.gusts)
    assert f.notes == ()  # every group is understood


def test_faa_aim_fm100000_is_midnight_of_the_tenth():
    assert iso(day_time(10, 0, 0, at("2026-09-09T18"))) == "2026-09-10T00:00:00Z"
    f = read_taf("TAF KPIT 091730Z 0918/1024 15005KT FM100000 27008KT", at("2026-09-09T18"))
    assert {iso(s.start) for s in f.gusts} == {"2026-09-09T18:00:00Z", "2026-09-10T00:00:00Z"}


def test_prob40_tempo_counts_in_full_and_becmg_takes_the_worse():
    text = (
        "TAF LSZH 301725Z 3018/3124 24012G25KT 9999 SCT030 PROB40 TEMPO 3018/3022 26025G45KT 3000 TSRAGR BKN020CB "
        "BECMG 3022/3101 30008KT TEMPO 3106/3112 2000 -SHSN BKN008"
    )
    found = judged(text, "2026-10-30T18:00:00Z", STRONG)
    assert [round(j.wind.gust, 2) for j in found[:4]] == [23.15] * 4  # 45 kt
    assert [bool(j.hour.thunder) for j in found[:5]] == [True] * 4 + [False]
    assert [round(j.wind.gust, 2) for j in found[4:8]] == [12.86] * 3 + [
        9.26
    ]  # 25 kt to the end of BECMG, then 8 + 10 kt
    assert (
        iso(read_text(text, at("2026-10-30T18"), "t")[0].ends) == "2026-11-01T00:00:00Z"
    )  # hour 24 at the end of a month


def test_mps_are_not_knots():
    f = read_metar("UUEE 051230Z 31012G21MPS 1500 +SN BLSN OVC006 M08/M10 Q0998", at("2026-03-05T12"))
    assert f.gusts[0].value == 21.0
    assert f.gusts[0].value / KT == pytest.approx(40.82, abs=0.005)
    assert f.unmeasured


@pytest.mark.parametrize("group", ["240P99KT", "24080GP99KT", "240P49MPS"])
def test_icao_p99_is_a_hundred_knots_or_more_and_keeps_people_away_whatever_the_limit(group: str):
    found = judged(
        f"METAR KABC 101755Z {group} 1SM", "2026-03-10T18", Limits(gust=90.0, by=Check(What.SLIDE))
    )
    assert found[0].level == "keep-away"
    assert found[0].wind.gust >= (50.0 if "MPS" in group else 100 * KT) - 1e-9


def test_gridpoints_md_interval():
    start, end = read_interval("2019-07-04T18:00:00+00:00/PT3H", "f", "k")
    assert (iso(start), iso(end)) == ("2019-07-04T18:00:00Z", "2019-07-04T21:00:00Z")


def test_thunder_starts_the_thirty_minutes_again():
    assert iso(thunder_wait([at("2026-03-10T14:07")])) == "2026-03-10T14:37:00Z"
    assert iso(thunder_wait([at("2026-03-10T14:07"), at("2026-03-10T14:20")])) == "2026-03-10T14:50:00Z"


def test_real_winter_gridpoint_in_arizona():
    f = read_gridpoint(json.loads(real("nws-gridpoint-fgz-winter.json")))
    assert iso(f.issued) == "2024-02-20T17:13:54Z"
    assert len(f.gusts) == 107
    top = max(f.gusts, key=lambda s: s.value or 0.0)
    assert top.value == pytest.approx(57.412 / 3.6)  # 31 kt
    assert top.value == pytest.approx(15.948, abs=5e-4)
    assert (iso(top.start), top.end - top.start) == ("2024-02-25T21:00:00Z", 3 * 3600)
    start = at("2024-02-20T11:00:00Z")
    hours = hours_of([f], start, start)
    assert sum(h.snow for h in hours) * 1000 == pytest.approx(43.18)
    with_gust = [h for h in hours if any(w.forecast for w in h.winds)]
    assert len(with_gust) == 182
    over = [h for h in hours if h.winds and h.winds[0].gust > 50 / 3.6]
    assert (len(over), iso(over[0].start)) == (35, "2024-02-25T18:00:00Z")
    assert iso(max(s.end for s in f.gusts)) == "2024-02-28T01:00:00Z"
    assert all(a.end == b.start for a, b in zip(f.gusts, f.gusts[1:], strict=False))  # no gaps


def test_real_thunder_gridpoint_in_alabama():
    f = read_gridpoint(json.loads(real("nws-gridpoint-bmx-thunder.json")))
    start = at("2024-02-20T15:15:12Z")
    hours = hours_of([f], start, start)
    top = max(hours, key=lambda h: h.winds[0].gust if h.winds else 0.0)
    assert top.winds[0].gust * 3.6 == pytest.approx(55.56)
    over = [h for h in hours if h.winds and h.winds[0].gust * 3.6 > 50]
    assert (iso(over[0].start), len(over)) == ("2024-02-22T17:00:00Z", 6)
    assert over[0].winds[0].gust * 3.6 == pytest.approx(51.856)
    assert [iso(h.start) for h in hours if h.winds and h.winds[0].gust * 3.6 > 55] == ["2024-02-22T18:00:00Z"]
    assert sum(h.snow for h in hours) == 0.0
    assert [iso(h.start)[:13] for h in hours if h.thunder][:1] == ["2024-02-23T00"]
    assert sum(bool(h.thunder) for h in hours) == 12


def test_real_nbm_bulletin_hour_67():
    f = read_text(real("nbm-nbs-kjfk.txt"), at("2023-10-17T06:00:00Z"), "nbm")[0]
    assert iso(f.issued) == "2023-10-17T05:00:00Z"
    hour67 = at("2023-10-20T00:00:00Z")  # 17th 05Z and 67 h
    gust = next(s for s in f.gusts if s.start < hour67 < s.end and s.value == pytest.approx(16 * KT))
    spread = next(s for s in f.spreads if (s.start, s.end) == (gust.start, gust.end))
    assert spread.value == pytest.approx(4 * KT)
    assert chance.over(20 * KT, gust.value, spread.value) == pytest.approx(0.1587, abs=5e-5)
    assert chance.over(24 * KT, gust.value, spread.value) == pytest.approx(0.0228, abs=5e-5)


def test_open_hourly_seven_centimetres_of_snow_are_ten_millimetres_of_water():
    data = {
        "utc_offset_seconds": 0,
        "hourly_units": {"time": "iso8601", "wind_gusts_10m": "km/h", "snowfall": "cm", "temperature_2m": "°C"},
        "hourly": {
            "time": ["2026-03-10T18:00", "2026-03-10T19:00"], "wind_gusts_10m": [10, 10], "snowfall": [0, 7], "temperature_2m": [-3, -3]
        },
    }  # fmt: skip
    f = read_open_hourly(data, issued=at("2026-03-10T17"))
    load = accumulate(hours_of([f], at("2026-03-10T18"), at("2026-03-10T19")), Roof())[0]
    assert load.pascal == pytest.approx(98.1, abs=0.05)
