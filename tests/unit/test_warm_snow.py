"""Snow and frost underfoot that may melt hold no more than their melt does: in the file, hour by hour, and as it was logged."""

import json
import re

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from anchorage.cli.entry import main
from anchorage.core import tables
from anchorage.demo import demo_text
from anchorage.deployment.reader import read_text
from anchorage.holding.ground import on_it, surface_state
from anchorage.judging.plan import make_plan

SURFACES = [row.key for row in tables.table("surface").rows]
DAY = "2026-03-10T"
LOT = (
    demo_text("asphalt")
    .replace('"set-up"', '"people-in"')
    .replace("[anchorage]", "[anchorage]\nplaced = 20", 1)
    .replace("\n[stock]\nsandbags = 100\n", "")
)


def site(surface="grass", state="snow", celsius=None, **more):
    """The demo's file on another ground; without a temperature where None."""
    text = LOT.replace('surface = "asphalt"', f'surface = "{surface}"').replace(
        'state = "wet"', f'state = "{state}"'
    )
    given = "" if celsius is None else f'temperature = "{celsius} degC"'
    return text.replace('temperature = "45 degF"', given)


BASE = read_text(site(celsius=-5))


def counted(surface, state, celsius):
    t = None if celsius is None else celsius + 273.15
    of = BASE.site.model_copy(update={"surface": surface, "state": state, "temperature": t})
    return surface_state(BASE.model_copy(update={"site": of}).ground, state, [])


def holds(text):
    return make_plan(read_text(text)).limit.gust_m_s


@pytest.mark.parametrize("surface", SURFACES)
@pytest.mark.parametrize("celsius", [None, -2.9, 0.0, 1.0, 2.0, 3.0, 5.0])
def test_snow_that_is_not_cold_by_the_thermometer_is_slush_on_any_ground(surface, celsius):
    assert counted(surface, "snow", celsius) == "ice"


@pytest.mark.parametrize("surface", SURFACES)
def test_cold_snow_is_snow(surface):
    assert counted(surface, "snow", -3.0) == "snow"


@settings(max_examples=40, deadline=None)
@given(
    surface=st.sampled_from(SURFACES),
    pair=st.tuples(st.floats(-30, 5), st.floats(-30, 5)).map(sorted),
)
def test_warmer_snow_never_holds_more(surface, pair):
    cold, warm = (min(on_it(surface, counted(surface, "snow", round(t, 2)))) for t in pair)
    assert warm <= cold
    assert min(on_it(surface, counted(surface, "snow", None))) <= warm


@pytest.mark.parametrize("surface", SURFACES)
@pytest.mark.parametrize("celsius", [None, -10.0, -1.0, 0.0, 0.5, 2.0, 2.1, 4.4])
def test_frost_holds_no_more_than_the_wet_ground_that_it_becomes(surface, celsius):
    """Contact by contact; up to 2 degC over freezing its water is ice."""
    frost = on_it(surface, counted(surface, "frozen", celsius))
    wet = on_it(surface, counted(surface, "wet", celsius) if celsius is None or celsius > 0 else "wet")
    assert all(a <= b for a, b in zip(frost, wet, strict=True))


def test_warm_snow_holds_what_ice_does():
    assert holds(site(celsius=5)) == holds(site(state="ice", celsius=5)) < holds(site(celsius=-5))


@pytest.fixture
def do(tmp_path, capsys):
    def call(text, command, *args, at="12:30"):
        path = tmp_path / "site.toml"
        path.write_text(text, encoding="utf-8")
        when = ["--now", f"{DAY}{at}:00Z"] if command in ("log", "now", "outlook") else []
        code = main([command, str(path), *args, *when])
        return code, capsys.readouterr().out

    return call


def test_a_forecast_that_is_warmer_never_lifts_the_limit(do):
    """On a lawn under snow at -5 degC; degF as they are said."""
    found = {}
    for degrees in (20, 26, 27, 30, 32, 33, 35, 36, 40, 50, 70):
        said = f"until 20:00 gust 12 mph, temperature {degrees} degF"
        out = json.loads(do(site(celsius=-5), "outlook", "--say", said, "--zone", "UTC", "--json")[1])
        found[degrees] = out["hours"][2]["limit_gust_m_s"]
    assert [found[t] for t in found] == sorted(found.values(), reverse=True)
    assert found[26] > found[27] == found[70]


@pytest.mark.parametrize(
    ("text", "after", "state"),
    [
        (site(celsius=-5), "thaw", "ice"),
        (site(celsius=-5), "rain", "ice"),
        (site("asphalt", "wet", 10), "frost", "ice"),
        (site("asphalt", "wet", 10), "snow", "ice"),
        (site("grass", "dry", 10), "thaw", "wet"),
    ],
)
def test_weather_that_an_inspection_came_after_counts_until_the_ground_is_said_anew(do, text, after, state):
    was = counted_after(do, text)
    assert do(text, "log", "inspection", "passed", "--after", after, "--who", "A. Lee")[0] == 0
    anew = re.sub(r'(?m)^state = ".*"', f'state = "{state}"', text)
    assert counted_after(do, text) == pytest.approx(holds(anew))
    assert counted_after(do, text) < was
    for same in ("wind", "shift"):
        assert do(text, "log", "inspection", "passed", "--after", same, "--who", "A. Lee", at="12:40")[0] == 0
    said = read_text(text).site.state
    assert do(text, "log", "state", said, "--who", "A. Lee", at="12:50")[0] == 0
    assert counted_after(do, text) == was


def counted_after(do, text):
    return json.loads(do(text, "check", "--json")[1])["limit"]["gust_m_s"]
