"""What the forecast does to the ground: rain makes a dry file wet, what lies freezes, nothing dries."""

import json
from dataclasses import replace

import numpy as np
import pytest
from forecast_kit import gridpoint, hourly, weather
from outlook_kit import at, forecast
from region_kit import NOW, as_forecast, deployment, grid, region, table

from anchorage.core import tables
from anchorage.demo import demo_text
from anchorage.deployment.reader import read_text
from anchorage.judging.plan import assess, make_plan
from anchorage.outlook.build import outlook
from anchorage.outlook.hours import Span, hours_of
from anchorage.outlook.limits import limits_of
from anchorage.outlook.reader import read_text as read_forecast
from anchorage.outlook.weathered import Grounds, plan_for, states_of

T0 = at("2026-03-10T18")


def site(state="dry", temperature="45 degF", surface="asphalt"):
    text = demo_text("asphalt").replace('state = "wet"', f'state = "{state}"').replace("45 degF", temperature)
    return read_text(
        text.replace('surface = "asphalt"', f'surface = "{surface}"').replace(
            "[anchorage]\n", "[anchorage]\nplaced = 14\n"
        )
    )


def span(a, b, value, text=""):
    return Span(T0 + a * 3600, T0 + b * 3600, value, None, text)


def judged(d, f):
    return outlook(plan_for(assess(d), [f]), d, [f], T0, None, use="people-in")


def gust_of(state, **more):
    return make_plan(site(state, **more)).limit.gust_m_s


def test_from_the_first_rain_a_dry_file_is_judged_wet():
    f = replace(forecast(9.0, 9.0, 9.0, 9.0), rain=(span(1, 2, 3.0),), temperature=(span(0, 4, 8.0),))
    o = judged(site(), f)
    assert [h.state for h in o.hours[:4]] == ["dry", "wet", "wet", "wet"]
    dry, wet = o.hours[0].limit_gust_m_s, o.hours[2].limit_gust_m_s
    assert dry == pytest.approx(gust_of("dry"))
    assert wet == pytest.approx(gust_of("wet"))
    assert wet < dry
    assert judged(site("wet"), f).hours[0].limit_gust_m_s == pytest.approx(wet)


def test_water_that_lies_is_ice_in_the_cold_and_snow_is_snow():
    cold = (span(0, 2, 8.0), span(2, 3, 1.5), span(3, 4, 5.0))
    f = replace(forecast(2.0, 2.0, 2.0, 2.0), rain=(span(0, 1, 3.0),), temperature=cold)
    assert [h.state for h in judged(site(), f).hours[:4]] == ["wet", "wet", "ice", "wet"]
    assert [h.state for h in judged(site("wet"), replace(f, rain=())).hours[:4]] == [
        "wet",
        "wet",
        "ice",
        "wet",
    ]
    assert [h.state for h in judged(site(), replace(f, rain=())).hours[:4]] == ["dry"] * 4
    snow = replace(forecast(2.0, 2.0), snow=(span(0, 1, 0.01),), temperature=(span(0, 2, 3.0),))
    d = site()
    states = states_of(hours_of([snow], T0, T0 + 7200), d.ground)
    assert states == [frozenset({"wet", "snow", "ice"})] * 2  # at 3 degC what falls is slush


def test_the_temperature_of_the_file_counts_where_the_forecast_has_none():
    f = replace(forecast(2.0), rain=(span(0, 1, 3.0),))
    assert judged(site(temperature="45 degF"), f).hours[0].state == "wet"
    assert judged(site(temperature="30 degF"), f).hours[0].state == "ice"


@pytest.mark.parametrize("state", ["dry", "wet", "frozen", "ice", "snow"])
def test_no_weather_makes_the_ground_better_than_the_file_says(state):
    d = site(state)
    plan = make_plan(d)
    grounds = Grounds(plan, d, limits_of(plan, d))
    for more in (
        frozenset({"wet"}),
        frozenset({"wet", "snow"}),
        frozenset({"wet", "ice"}),
        frozenset({"wet", "snow", "ice"}),
    ):
        found = grounds.of(more - {state})
        assert found.gust <= grounds.base.gust + 1e-9
        for (_, a), (_, b) in zip(found.by_bearing, grounds.base.by_bearing, strict=True):
            assert a <= b + 1e-9


def test_said_rain_without_an_amount_wets_and_freezing_rain_is_ice():
    taf = "TAF ZZZZ 101740Z 1018/1106 27003KT 9999 TEMPO 1020/1021 RA FM102300 27003KT FZRA"
    d = site()
    f = read_forecast(taf, T0, "taf")
    o = outlook(plan_for(assess(d), f), d, f, T0, None, use="people-in")
    assert [h.state for h in o.hours[:6]] == ["dry", "dry", "wet", "wet", "wet", "ice"]


@pytest.mark.parametrize(("state", "degrees"), [("dry", None), ("snow", 266.0)])
def test_a_cell_of_a_grid_has_the_same_ground(state, degrees):
    rng = np.random.default_rng(3)
    shape = (24, 2, 3)
    ds = grid(gust=np.round(rng.uniform(0, 18, shape), 3), water=np.round(rng.choice([0, 0, 0, 0, 1.2], shape), 2),
              temperature=np.round(rng.uniform(268, 284, shape) if degrees is None else np.sort(rng.uniform(262, 274, shape), axis=0), 2))  # fmt: skip
    d = deployment()
    site = {"state": state} if degrees is None else {"state": state, "temperature": degrees}
    d = d.model_copy(update={"site": d.site.model_copy(update=site)})
    r, found = region(ds, d, use="people-in")
    for y, x in np.ndindex(2, 3):
        f = as_forecast(table(ds, y, x), NOW)
        o = outlook(r.plan, d, f, NOW, None, use="people-in")
        assert len({h.state for h in o.hours}) > 1
        levels = ["normal", "secure", "people-out", "keep-away", "unknown"]
        assert [levels[int(v)] for v in np.ravel(found["level"].isel(latitude=y, longitude=x).values)] == [
            h.level for h in o.hours
        ]


def aerodrome(text, d):
    f = read_forecast(text, T0, "text")
    return outlook(plan_for(assess(d), f), d, f, T0, None, use="people-in")


TAF = "TAF ZZZZ 101740Z 1018/1106 27003KT 9999"


@pytest.mark.parametrize("said", ["TNM10/1103Z", "TX01/1018Z TNM02/1105Z", "TXM01/1018Z"])
def test_the_lowest_temperature_of_a_taf_makes_wet_ground_ice_in_every_hour(said):
    mild = aerodrome(TAF, site("wet")).hours
    assert {h.state for h in mild if h.state} == {"wet"}
    assert {h.state for h in aerodrome(f"{TAF} {said}", site("wet")).hours if h.limit_gust_m_s} == {"ice"}
    # a highest of 20 degC says nothing of the night
    assert aerodrome(f"{TAF} TX20/1018Z", site("wet")).hours[0].state == "wet"
    assert aerodrome(f"{TAF} TX20/1018Z", site("wet", temperature="30 degF")).hours[0].state == "ice"


def test_freezing_fog_is_ice_on_the_ground_and_no_weight_on_the_roof():
    o = aerodrome(f"{TAF} BECMG 1020/1021 FZFG", site())
    assert [h.state for h in o.hours[:4]] == ["dry", "dry", "ice", "ice"]
    f = read_forecast(f"{TAF} FZFG", T0, "taf")[0]
    assert not f.unmeasured
    metar = aerodrome("METAR ZZZZ 101750Z 27003KT 0300 FZFG M02/M02 Q1013", site())
    assert metar.hours[0].state == "ice"


@pytest.mark.parametrize("kind", ["freezing_fog", "ice_fog", "frost"])
def test_freezing_fog_and_frost_of_a_grid_point_are_ice_on_the_ground_and_no_weight(kind):
    f = read_forecast(json.dumps(gridpoint(weather=weather(kind, "areas", None))), T0, "point")[0]
    assert not f.unmeasured
    assert {h.state for h in judged(site(), f).hours[:6]} == {"ice"}
    calm = read_forecast(json.dumps(gridpoint(weather=weather("fog", "areas", None))), T0, "point")[0]
    assert {h.state for h in judged(site(), calm).hours[:6]} == {"dry"}


@pytest.mark.parametrize("code", [48, 49])
def test_rime_fog_by_its_code_is_ice(code):
    """WMO code table 4677: 48 and 49 are fog that lays down rime."""
    row = tables.codes("wmo-4677")[str(code)]
    assert "ice" in row.danger
    data = hourly(weather_code=code)
    f = read_forecast(json.dumps(data), T0, "hours")[0]
    assert {h.state for h in judged(site(), f).hours[:6]} == {"ice"}


def test_the_temperature_of_a_report_makes_wet_ground_ice():
    assert aerodrome("METAR ZZZZ 101750Z 27003KT 9999 M05/M07 Q1013", site("wet")).hours[0].state == "ice"
    assert aerodrome("METAR ZZZZ 101750Z 27003KT 9999 08/M07 Q1013", site("wet")).hours[0].state == "wet"


@pytest.mark.parametrize(
    "omen", ["BKN030CB", "FEW020TCU", "//////CB", "CB", "TCU", "WS020/18060KT", "WSCONDS"]
)
def test_clouds_that_thunder_and_wind_shear_are_unknown_and_never_harmless(omen):
    o = aerodrome(f"{TAF} {omen} FM102100 27003KT", site())
    assert [h.level for h in o.hours[:3]] == ["unknown"] * 3
    assert o.hours[3].level == "normal"
    report = aerodrome(f"METAR ZZZZ 101750Z 27003KT 9999 {omen} 08/07 Q1013", site())
    assert report.hours[0].level == "unknown"
    assert aerodrome(f"{TAF} BKN030", site()).hours[0].level == "normal"
    said = aerodrome(f"{TAF} TEMPO 1018/1020 TSRA BKN020CB", site()).hours[0]
    assert said.level == aerodrome(f"{TAF} TEMPO 1018/1020 TSRA BKN020", site()).hours[0].level
