"""The state of the ground is the worse of what is said and of what the temperature makes of water."""

import json
import math
from dataclasses import replace

import pytest
from outlook_kit import forecast

from anchorage.checks.installation import assemble
from anchorage.checks.overrides import override
from anchorage.cli.entry import main
from anchorage.core.told import in_words
from anchorage.demo import demo_text
from anchorage.deployment.reader import read_text
from anchorage.holding.ground import on_it
from anchorage.holding.states import everywhere
from anchorage.judging import card
from anchorage.judging.plan import assess, make_plan
from anchorage.outlook.build import outlook
from anchorage.outlook.hours import Span
from tests.record_kit import as_built

AS_BUILT = as_built(10)


def written(temperature: str | None, state: str | None, text: str = AS_BUILT) -> str:
    lines = [x for x in text.splitlines() if not x.startswith(("temperature", "state"))]
    i = lines.index("[site]") + 1
    more = [f'temperature = "{temperature}"'] if temperature else []
    more += [f'state = "{state}"'] if state else []
    return "\n".join([*lines[:i], *more, *lines[i:]])


def at(temperature: str | None, state: str | None, point: str = ""):
    return read_text(written(temperature, state) + point)


def holds(d) -> float:
    return make_plan(d).limit.gust_m_s


def test_wet_at_ten_degrees_fahrenheit_is_ice():
    """It held 28 mph typed as wet, and 12 with nothing said."""
    wet, ice, silent = (holds(at("10 degF", s)) for s in ("wet", "ice", None))
    assert wet == ice == silent
    assert wet < holds(at("40 degF", "wet"))
    assert any("Said to be wet" in a for a in in_words(make_plan(at("10 degF", "wet")).assumptions))


@pytest.mark.parametrize("temperature", ["35 degF", "10 degF", "-20 degF"])
def test_no_state_is_better_for_being_typed_than_ice_where_water_freezes(temperature):
    assert holds(at(temperature, "wet")) <= min(
        holds(at(temperature, s)) for s in ("dry", "soiled", "frozen", "snow", "ice")
    )
    assert holds(at(temperature, "dry")) > holds(at(temperature, "wet"))  # dry has no water in it


def test_a_point_that_is_said_to_be_wet_is_ice_where_it_freezes():
    d = at("10 degF", "dry", '\n[[point]]\nid = "L2"\nstate = "wet"\n')
    ice = at("10 degF", "dry", '\n[[point]]\nid = "L2"\nstate = "ice"\n')
    of = [[h.friction for h in assemble(x).hard] for x in (d, ice, at("10 degF", "dry"))]
    assert of[0] == of[1]
    assert min(of[0]) < min(of[2])


def test_wet_by_an_option_or_the_record_is_ice_too(tmp_path, capsys):
    cold = at("10 degF", "dry")
    assert holds(override(cold, state="wet")[0]) == holds(at("10 degF", "ice"))
    path = tmp_path / "site.toml"
    path.write_text(written("10 degF", "dry"), encoding="utf-8")
    assert main(["log", str(path), "state", "wet", "--who", "A. Lee", "--now", "2026-03-10T12:00:00Z"]) == 0
    capsys.readouterr()
    main(["limit", str(path), "--json"])
    assert json.loads(capsys.readouterr()[0])["limit"]["gust_m_s"] == pytest.approx(
        holds(at("10 degF", "ice"))
    )


def test_the_columns_of_the_card_stay_what_they_say():
    cold, mild = (card.card(at(t, "dry")) for t in ("10 degF", "50 degF"))
    for row, other in zip(cold.rows, mild.rows, strict=True):
        assert row.shut["wet"].gust > row.shut["ice"].gust
        assert row.shut["wet"].gust == pytest.approx(other.shut["wet"].gust, rel=0.06)  # denser air


def test_an_hour_that_is_warm_and_wet_is_wet_though_the_file_is_cold():
    """The thermometer of the hour goes before that of the file: dry and 10 degF said, rain at 10 degC forecast."""
    d = at("10 degF", "dry")
    f = forecast(3.0, 3.0)
    rain = tuple(Span(s.start, s.end, 2.0) for s in f.gusts)
    warm = tuple(Span(s.start, s.end, 10.0) for s in f.gusts)
    o = outlook(make_plan(d), d, [replace(f, rain=rain, temperature=warm)], f.issued, None)
    assert o.hours[0].state == "wet"
    assert o.hours[0].limit_gust_m_s > holds(at("10 degF", "ice"))
    freezing = tuple(s._replace(value=1.0) for s in warm)
    o = outlook(make_plan(d), d, [replace(f, rain=rain, temperature=freezing)], f.issued, None)
    assert o.hours[0].limit_gust_m_s == pytest.approx(holds(at("10 degF", "ice")))


SNOW = '\n[snow]\ndepth = "1 in"\nkind = "new"\n'
STATES = ("dry", "wet", "soiled", "frozen", "snow", "ice", None)


@pytest.mark.parametrize("state", ["wet", "soiled", "frozen"])
def test_a_worse_ground_named_at_twenty_degrees_fahrenheit_never_holds_more(state):
    """Asphalt, wet held 24 mph as ice, and frozen 40. Snow is no worse than wet there: dry snow has no water in it."""
    assert holds(at("20 degF", state)) == holds(at("20 degF", "ice")) == holds(at("20 degF", None))
    assert holds(at("20 degF", state)) < holds(at("45 degF", state))


def test_dry_said_in_the_cold_stays_dry_on_a_named_condition():
    cold = make_plan(at("20 degF", "dry"))
    assert cold.limit.gust_m_s > holds(at("20 degF", "wet"))
    assert any("stays dry" in c for c in in_words(cold.conditions))
    assert not any("stays dry" in c for c in in_words(make_plan(at("45 degF", "dry")).conditions))


def coefficients(d):
    return [h.friction for h in assemble(d).hard]


def test_packed_snow_well_below_freezing_is_snow():
    """Its own row: less than dry, more than the ice that water at that temperature is; on a named condition."""
    dry, snow, ice = (coefficients(at("20 degF", s)) for s in ("dry", "snow", "ice"))
    assert all(i < s < d for i, s, d in zip(ice, snow, dry, strict=True))
    assert any(
        "snow on the ground stays dry" in c for c in in_words(make_plan(at("20 degF", "snow")).conditions)
    )
    # a tyre on snow has at least 0.20 (Noon 1994); 6 degrees of a PVC-coated sheet (NRC Canada, tilting test)
    assert {round(v, 6) for v in snow} == {0.2}
    cloth = on_it("asphalt", "snow")
    assert min(cloth) == pytest.approx(math.tan(math.radians(6.0)), abs=0.0005)


@pytest.mark.parametrize("temperature", ["28 degF", "33 degF", "40 degF", "50 degF", None])
def test_snow_that_may_melt_is_slush_and_ice(temperature):
    assert coefficients(at(temperature, "snow")) == coefficients(at(temperature, "ice"))


@pytest.mark.parametrize(
    "more", ['kind = "wet"', 'kind = "slush"', 'kind = "ice"', 'kind = "new"\nrain = "0.1 in"']
)
def test_snow_with_water_in_it_is_ice_in_any_cold(more):
    d = at("5 degF", "snow", f'\n[snow]\ndepth = "1 in"\n{more}\n')
    assert coefficients(d) == coefficients(at("5 degF", "ice"))
    falling = at("5 degF", "snow", '\n[snow.falling]\ndepth = "1 in"\nkind = "wet"\n')
    assert coefficients(falling) == coefficients(d)


def test_a_thermometer_left_out_beside_snow_is_asked_for_with_what_it_saves():
    text = written(None, "snow", demo_text("asphalt"))
    plan = assess(read_text(text), deep=True).plan
    found = {f.code: f for f in plan.to_find_out}
    cold = assess(read_text(written("26.6 degF", "snow", demo_text("asphalt"))), deep=True).plan
    assert found["temperature"].total == cold.anchorage.total.units
    assert found["temperature"].saves == plan.anchorage.total.units - cold.anchorage.total.units > 0
    assert "26 degF" in found["temperature"].text  # 27 would be slush
    assert "temperature" not in {f.code for f in cold.to_find_out}


def test_decontamination_on_snow_is_ice():
    d = read_text(written("5 degF", "snow").replace("[deployment]", '[deployment]\nuse = "decon"', 1))
    assert coefficients(d) == coefficients(at("5 degF", "ice"))


def states(d, *hours, fmt="CSV", **more):
    """States of the ground hour by hour, of a forecast with these temperatures (degC)."""
    f = forecast(*[3.0] * len(hours))
    spans = tuple(s._replace(value=t) for s, t in zip(f.gusts, hours, strict=True))
    told = {k: tuple(f.gusts[i]._replace(value=v) for i, v in at.items()) for k, at in more.items()}
    f = replace(f, format=fmt, temperature=tuple(s for s in spans if s.value is not None), **told)
    o = outlook(make_plan(d), d, [f], f.issued, None)
    return [h.state for h in o.hours[: len(hours)]]


def test_packed_snow_stays_snow_in_a_cold_forecast_and_under_fresh_snow():
    d = at("20 degF", "snow")
    assert states(d, -7.0, -4.0, -9.0) == ["snow"] * 3
    assert states(d, -7.0, -4.0, -9.0, snow={1: 0.02}) == ["snow"] * 3
    assert states(at("20 degF", "dry"), -7.0, -4.0, -9.0, snow={1: 0.02}) == ["dry", "snow", "snow"]


@pytest.mark.parametrize("fmt", ["CSV", "TAF", "spoken"])
def test_thaw_or_rain_on_packed_snow_is_ice_from_then_on(fmt):
    d = at("20 degF", "snow")
    assert states(d, -7.0, -1.0, -9.0, fmt=fmt) == ["snow", "ice", "ice"]
    assert states(d, -7.0, 6.0, -9.0, fmt=fmt) == ["snow", "ice", "ice"]
    assert states(d, -7.0, -7.0, -9.0, fmt=fmt, rain={1: 1.0}) == ["snow", "ice", "ice"]
    assert states(d, *[None] * 3, fmt=fmt) == ["snow"] * 3  # the thermometer of the file
    assert states(d, *[None] * 3, fmt=fmt, rain={1: 1.0}) == ["snow", "ice", "ice"]


def test_snow_that_fell_dry_and_melts_later_is_ice():
    assert states(at("20 degF", "dry"), -7.0, -1.0, -9.0, snow={0: 0.02}) == ["snow", "ice", "ice"]
    # the lowest of a night says nothing of how warm it gets while it snows
    assert states(at("45 degF", "dry"), -7.0, -7.0, fmt="TAF", snow={0: 0.02}) == ["ice", "ice"]


def test_of_two_forecasts_the_warmer_melts_the_snow():
    d, f = at("20 degF", "snow"), forecast(3.0, 3.0)
    both = [
        replace(f, format="CSV", temperature=tuple(s._replace(value=t) for s in f.gusts)) for t in (-8.0, 1.0)
    ]
    o = outlook(make_plan(d), d, both, f.issued, None)
    assert {h.state for h in o.hours[:2]} == {"ice"}


def test_one_point_on_packed_snow_melts_with_the_forecast():
    d = at("20 degF", "dry", '\n[[point]]\nid = "L2"\nstate = "snow"\n')
    assert states(d, -7.0, 6.0)[1] == "ice"


FALLING = '\n[snow.falling]\ndepth = "1 in"\nkind = "new"\n'


@pytest.mark.parametrize("state", STATES)
@pytest.mark.parametrize("snow", [SNOW, FALLING])
def test_snow_in_the_file_is_ice_whatever_is_typed_unless_it_is_cold_enough_to_stay_dry(state, snow):
    assert holds(at(None, state, snow)) == holds(at(None, "ice", snow))
    cold = "snow" if state in ("dry", "snow") else "ice"
    assert holds(at("20 degF", state, snow)) == holds(at("20 degF", cold, snow))


@pytest.mark.parametrize("temperature", ["20 degF", "35 degF", "40 degF", "45 degF", None])
@pytest.mark.parametrize("state", STATES)
def test_snow_in_the_file_makes_no_ground_better(temperature, state):
    assert holds(at(temperature, state, SNOW)) <= holds(at(temperature, state)) + 1e-9
    snow = make_plan(everywhere(at(temperature, state, SNOW), "snow")).limit.gust_m_s
    assert holds(at(temperature, state, SNOW)) <= snow + 1e-9


def test_a_temperature_left_out_is_a_condition_and_with_frost_it_is_ice():
    left_out = make_plan(at(None, "wet"))
    assert any("It is above" in c and "ice" in c for c in in_words(left_out.conditions))
    assert not any("It is above" in c for c in in_words(make_plan(at("45 degF", "wet")).conditions))
    for state in ("frozen", "snow"):
        assert holds(at(None, state)) == holds(at(None, "ice"))
    frost = '\n[[point]]\nid = "L2"\nstate = "frozen"\n'
    of = [[h.friction for h in assemble(at(None, x, p)).hard] for x, p in (("wet", frost), ("ice", ""))]
    assert of[0] == of[1]


@pytest.mark.parametrize("state", ["soiled", "frozen", "snow", "wet"])
def test_an_hour_in_which_it_freezes_is_ice_though_the_file_is_mild(state):
    d, f = at("45 degF", state), forecast(3.0, 3.0)
    cold = tuple(Span(s.start, s.end, -5.0) for s in f.gusts)
    o = outlook(make_plan(d), d, [replace(f, temperature=cold)], f.issued, None)
    assert o.hours[0].limit_gust_m_s == pytest.approx(holds(at("45 degF", "ice")))
