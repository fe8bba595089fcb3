"""What is said about snow and straps, by hand: loads, levels, hours left, and when straps are to be locked."""

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from snow_files import winter

from anchorage.checks.installation import assemble
from anchorage.core.units import read
from anchorage.deployment.policy import ORDER, policy_of
from anchorage.judging.snow_report import DUE, depth_text, limit_of, load_text, snow_checks, snow_out
from anchorage.judging.strap_decision import decide, strap_checks, straps_out, sway_unknown
from anchorage.loads.roof_snow import roof_snow

G, INCH, PSF = 9.80665, 0.0254, 47.880259  # NIST SP 811, appendix B
BOTH = {"gust_unlocked": "40 mph", "gust_locked": "55 mph", "roof_snow_unlocked": "3 psf", "roof_snow_locked": "9 psf"}  # fmt: skip


def told(**snow):
    d = winter(snow=snow, shelter__rating=BOTH)
    return d, snow_out(d, roof_snow(d.snow, d.shelter, d.site), [])


def test_a_load_is_shown_up_and_a_limit_down():
    assert load_text(10.01 * PSF, "us") == "10.1 psf"
    assert load_text(10.09 * PSF, "us", "down") == "10.0 psf"
    assert depth_text(0.1001, "si") == "11 cm"
    assert depth_text(4 * INCH, "us") == "4.0 in"


def test_water_is_weighed_by_its_depth():
    """20 mm of water weigh 20 kg/m2 (1000 kg/m3): 196.133 Pa, and 20 kg for each square metre of the plan."""
    d, out = told(water="20 mm")
    assert out.roof_load_pa == pytest.approx(0.020 * 1000 * G)
    assert out.mass_kg == pytest.approx(20.0 * float(d.shelter.length) * float(d.shelter.width))
    assert (
        out.limit_pa == limit_of(d.shelter) == pytest.approx(9 * PSF)
    )  # the straps of the winter demo are locked
    assert out.ratio == pytest.approx(196.133 / (9 * PSF))


@pytest.mark.parametrize(
    ("share", "level"), [(0.3, "normal"), (0.61, "secure"), (0.81, "people-out"), (1.001, "keep-away")]
)
def test_the_levels_of_snow_are_those_of_wind(share, level):
    """60, 80 and 100 % of what the maker gives."""
    mm = share * 9 * PSF / G
    _, out = told(water=f"{mm:.4f} mm")
    assert out.level == level
    assert sum(a.reached for a in out.alarms if a.rule in DUE.values()) == ORDER.index(level)


def test_a_load_that_is_the_limit_is_met_and_more_is_not():
    for mm, ok in ((9 * PSF / G, True), (9 * PSF / G * 1.0001, False)):
        _, out = told(water=f"{mm:.8f} mm")
        (check,) = [c for c in snow_checks(out) if c.name == "roof snow"]
        assert check.ok == ok


def test_the_hours_left_are_what_is_left_over_the_rate():
    """5 mm of water an hour on 20 mm that lie: to 80 % of 9 psf (43.94 mm of water) 3.03 h are left, from bare 7.03 h."""
    _, out = told(water="20 mm", falling={"water": "5 mm"})
    mm = 9 * PSF / G
    hours = {f.share: f.hours for f in out.filling}
    for share in (0.6, 0.8, 1.0):
        assert hours[share] == pytest.approx((share * mm - 20.0) / 5.0)
    assert out.clear_every_h == pytest.approx(0.6 * mm / 5.0)


@settings(max_examples=40, deadline=None)
@given(st.floats(0.1, 60.0), st.floats(0.1, 60.0))
def test_more_snow_is_never_a_lower_level_nor_more_hours(a, b):
    less, more = sorted((a, b))
    low, high = (told(water=f"{x:.3f} mm", falling={"water": "2 mm"})[1] for x in (less, more))
    assert ORDER.index(low.level) <= ORDER.index(high.level)
    assert all(x.hours >= y.hours for x, y in zip(low.filling, high.filling, strict=True))


def test_ice_and_its_fall_are_warned_of_where_snow_lies():
    assert len(told(water="20 mm")[1].warnings) > len(told()[1].warnings)


# Straps


def judged(gust, straps="unlocked", snow=None, rating=BOTH):
    d = winter(snow=snow or {}, shelter__straps=straps, shelter__rating=rating)
    return d, snow_out(d, roof_snow(d.snow, d.shelter, d.site), []), float(read("speed", gust))


@pytest.mark.parametrize(
    ("gust", "decision"),
    [("23 mph", "not needed"), ("25 mph", "lock"), ("41 mph", "lock"), ("56 mph", "lock, and still not enough")],
)  # fmt: skip
def test_straps_by_the_gust(gust, decision):
    """60 % of 40 mph is 24 mph; locked they take 55 mph."""
    d, snow, v = judged(gust)
    assert decide(d, snow, v, [], policy_of(d), locked=False)[0] == decision


def test_without_a_rating_the_maker_is_asked_and_nothing_is_a_pass():
    for gust in ("1 mph", "100 mph"):
        d, snow, v = judged(gust, rating={})
        assert decide(d, snow, v, [], policy_of(d), locked=False)[0] == "ask the maker"


@settings(max_examples=30, deadline=None)
@given(st.floats(1.0, 40.0), st.floats(1.0, 40.0))
def test_more_wind_never_asks_for_less(a, b):
    order = ("not needed", "lock", "lock, and still not enough")
    d, snow, _ = judged("1 mph")
    less, more = (order.index(decide(d, snow, v, [], policy_of(d), locked=False)[0]) for v in sorted((a, b)))
    assert less <= more


def test_a_strap_is_held_against_its_rating_without_wind():
    d = winter(snow={"water": "20 mm"}, shelter__rating=BOTH, shelter__lean=0.02,
               shelter__strap={"count": 3, "angle": 45, "bay": "2 m", "rated": "6 kN", "stiffness": "100 kN", "slack": "1 cm"})  # fmt: skip
    x = assemble(d)
    found = {c.name: c for c in strap_checks(x.racking, locked=True)}
    assert found
    assert not strap_checks(x.racking, locked=False)
    for r in x.racking:
        if (pull := r.tension(0.0)) is not None and r.rated is not None:
            c = found[f"straps {r.direction}, no wind"]
            assert (c.demand, c.capacity) == (pytest.approx(pull), r.rated)
            assert c.ok == (math.isfinite(pull) and not r.folds and pull <= r.rated)


def test_sway_that_nobody_knows_is_asked_about_beyond_what_is_given_unlocked():
    d = winter(snow={}, shelter__rating=BOTH, shelter__straps="locked")
    snow, x = snow_out(d, roof_snow(d.snow, d.shelter, d.site), []), assemble(d)
    out = straps_out(d, snow, 10.0, x.wind.pressure, x.wind.gust_of, x.racking, x.policy, 1.0, locked=True)
    assert out.unknown_sway, "the file says nothing of the straps"
    limit = float(read("speed", "40 mph"))
    assert not sway_unknown(out, snow, limit)
    assert sway_unknown(out, snow, limit * 1.001)
