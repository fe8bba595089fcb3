"""The [snow] table and what is said about the snow: refusals, alarms, hours left, ponds, clearing, weight, limits, working."""

from operator import attrgetter

import numpy as np
import pytest
from snow_files import winter, winter_text

from anchorage.checks.installation import assemble
from anchorage.core.errors import InputFaults, OutOfRangeError
from anchorage.core.told import in_words
from anchorage.deployment.reader import read_text
from anchorage.judging.explain import explain, topics
from anchorage.judging.plan import assess, make_plan
from anchorage.judging.result import Plan
from anchorage.loads.roof_snow import accumulate, roof_snow

CODE = {"ground_load": "30 psf", "edition": "asce7-16"}
EN = {"ground_load": "1 kPa", "edition": "en1991-1-3"}
BUILDING = {"width": "10 m", "height": "6 m", "slope": 10}
DEEP = {"depth": "4 in", "kind": "wet"}
REFUSED = [  # name, [snow], key, part of what is accepted
    ("two ways", {**DEEP, "water": "10 mm"}, "snow.water", "may not count twice"),
    ("code and measured", {**DEEP, **CODE}, "snow.ground_load", "may not count twice"),
    ("core and layers", {"layers": [{"depth": "2 in"}], "core": {"mass": "1 kg", "area": "0.01 m2"}}, "snow.core", "may not count twice"),
    ("kind without depth", {"kind": "wet"}, "snow.depth", "give its depth"),
    ("falling kind without depth", {"falling": {"kind": "new", "water": "1 mm"}}, "snow.falling.depth", "give its depth"),
    ("falling nothing", {"falling": {}}, "snow.falling", "one of them"),
    ("falling both", {"falling": {"depth": "1 in", "water": "1 mm"}}, "snow.falling", "one of them"),
    ("sag without a span", {**DEEP, "sag": "2 in"}, "snow.sag_span", "sag goes with sag_span"),
    ("span without a sag", {**DEEP, "sag_span": "2 ft"}, "snow.sag", "sag goes with sag_span"),
    ("no edition", {"ground_load": "30 psf"}, "snow.edition", "whose map is it?"),
    ("edition without a load", {"edition": "asce7-16"}, "snow.edition", "goes with ground_load"),
    ("unknown edition", {"ground_load": "30 psf", "edition": "asce7-93"}, "snow.edition", "asce7-10"),
    ("level of another edition", {**CODE, "level": "strength"}, "snow.level", "error of 60 %"),
    ("7-22 as service", {**CODE, "edition": "asce7-22", "level": "service"}, "snow.level", "error of 60 %"),
    ("EN as strength", {**EN, "level": "strength"}, "snow.level", "error of 60 %"),
    ("category of EN", {**EN, "risk_category": "IV"}, "snow.risk_category", "not a thing of en1991-1-3"),
    ("slippery of EN", {**EN, "slippery": True}, "snow.slippery", "not a thing of en1991-1-3"),
    ("exceptional of ASCE", {**CODE, "exceptional": True}, "snow.exceptional", "not a thing of asce7-16"),
    ("winter wind of 7-16", {**CODE, "winter_wind": 0.4}, "snow.winter_wind", "not a thing of asce7-16"),
    ("windswept of ASCE", {**CODE, "exposure": "windswept"}, "snow.exposure", "fully, partially, sheltered"),
    ("partially of EN", {**EN, "exposure": "partially"}, "snow.exposure", "windswept, normal, sheltered"),
    ("years without variation", {**EN, "return_period": 10}, "snow.variation", "0.2 to 0.6"),
    ("two years", {**EN, "return_period": 2, "variation": 0.4}, "snow.return_period", "go by what lies and by the forecast"),
    ("variation too large", {**EN, "return_period": 10, "variation": 0.7}, "snow.variation", "0.2 to 0.6"),
    ("rain with a code", {**CODE, "rain": "5 mm"}, "snow.rain", "measured on the roof"),
    ("falling with a code", {**CODE, "falling": {"water": "1 mm"}}, "snow.falling", "measured on the roof"),
    ("rain on nothing", {"rain": "5 mm"}, "snow.rain", "the snow it fell on"),
    ("a building and no code", {"depth": "4 in", "kind": "wet", "building": BUILDING}, "snow.building", "goes with ground_load"),
    ("a low building of ASCE", {**CODE, "building": {**BUILDING, "height": "9 ft"}}, "snow.building.height", "higher than the shelter"),
    ("a low building", {**EN, "building": {**BUILDING, "height": "9 ft"}}, "snow.building.height", "higher than the shelter"),
    ("number without a unit", {"depth": 4}, "snow.depth", "unit"),
]  # fmt: skip


@pytest.mark.parametrize(("snow", "key", "accepted"), [r[1:] for r in REFUSED], ids=[r[0] for r in REFUSED])
def test_refused_in_one_line(snow: dict[str, object], key: str, accepted: str) -> None:
    with pytest.raises(InputFaults) as caught:
        read_text(winter_text(snow=snow), "site.toml")
    lines = [str(f) for f in caught.value.faults if f.key == key]
    assert len(lines) == 1, [str(f) for f in caught.value.faults]
    assert accepted in lines[0]


@pytest.mark.parametrize("snow", ["asce7-10", "asce7-16"])
def test_wind_and_snow_of_two_editions_are_not_mixed(snow: str) -> None:
    wind = {
        "speed": "90 mph",
        "averaging": "3 s",
        "height": "33 ft",
        "level": "strength",
        "method": "asce7-22",
    }
    with pytest.raises(InputFaults, match="of one edition"):
        winter(wind=wind, margins={"set": "asd"}, snow={"ground_load": "30 psf", "edition": snow})
    winter(wind=wind, margins={"set": "asd"}, snow={"ground_load": "30 psf", "edition": "asce7-22"})


def test_what_a_neighbour_sheds_is_counted_or_refused() -> None:
    side = {"shelter__joined": {"count": 2, "how": "side-by-side"}, "shelter__ridge": "8 ft", "stock": None}
    for snow in (CODE, EN):
        with pytest.raises(InputFaults, match="sheds up to four times"):
            winter(snow=snow, site__beside="building")
    with pytest.raises(InputFaults, match="collects the snow of both"):
        winter(snow=CODE, **side)
    alone = roof_snow(*attrgetter("snow", "shelter", "site")(winter(snow=EN, shelter__ridge="8 ft")))
    valley = roof_snow(*attrgetter("snow", "shelter", "site")(winter(snow=EN, **side)))
    assert valley.heavy == pytest.approx(alone.heavy * (0.8 + 0.8 * 6.3402 / 30) / 0.8, rel=1e-5)
    beside = roof_snow(
        *attrgetter("snow", "shelter", "site")(
            winter(snow={**EN, "building": BUILDING}, site__beside="building")
        )
    )
    # b1 10 m, b2 5.49 m, drop 6 - 3.05 m: (b1 + b2)/2h = 2.63 < 2 kN/m3 · h / 1 kPa = 5.9
    assert beside.heavy == pytest.approx(1.2 * 1000 * 15.4864 / (2 * (6 - 3.048)), rel=1e-6)


def plan(**changes: object) -> Plan:
    return make_plan(winter(**changes))


def test_none_said() -> None:
    p = plan()
    assert (p.snow.method, p.snow.roof_load_pa, p.snow.ratio) == ("none", 0.0, 0.0)
    assert in_words(p.snow.clearing) == []
    assert not any(c.case == "snow lying" for c in p.checks)


def test_over_the_rating_is_no_go_with_its_numbers() -> None:
    p = plan(snow={"depth": "6 in", "kind": "wet"})
    assert p.verdict == "no-go"
    text = next(r.text for r in p.reasons if r.code == "roof-snow-exceeded")
    assert text == "Roof snow (roof): 12.5 psf, the maker gives 9.0 psf. Clear it or keep everybody out."
    check = next(c for c in p.checks if c.name == "roof snow")
    assert check.ratio == pytest.approx(check.demand / check.capacity)


def test_no_snow_rating_is_never_go() -> None:
    enough = {"sandbags": 1000}  # wet snow is slush underfoot
    p = plan(
        shelter__rating={"gust_locked": "55 mph", "gust_unlocked": "40 mph"},
        snow=DEEP,
        stock=enough,
        wind__speed="10 mph",
    )
    assert p.verdict == "unknown"
    assert any(r.code == "snow-rating-missing" for r in p.reasons)
    assert p.snow.limit_pa is None
    assert p.limit.roof_snow_pa is None


def test_uneven_snow_by_code_is_checked_beside_the_even_case() -> None:
    p = plan(snow={**CODE, "exposure": "partially", "risk_category": "II"})
    even, uneven = (next(c for c in p.checks if c.name == n) for n in ("roof snow", "roof snow, uneven"))
    assert uneven.demand == pytest.approx(p.snow.uneven_heavy_pa)
    assert uneven.demand > even.demand
    assert any(r.code == "roof-snow-uneven-exceeded" for r in p.reasons)


def test_alarm_on_load_as_well_as_depth() -> None:
    """4 cm of slush passes the load that a rule in depth takes for granted, long before its depth."""
    p = plan(policy={"snow": "cts-7"}, snow={"depth": "3.9 cm", "kind": "slush"})
    reached = {a.measure: a.reached for a in p.snow.alarms if a.rule == "CTS 7"}
    assert reached == {"load": True, "depth": False}
    assert p.verdict == "no-go"
    assert any("15.9 lb/ft3" in a.text for a in p.snow.alarms)


def test_a_rule_in_depth_with_only_water_known_takes_it_as_new() -> None:
    p = plan(policy={"snow": "cts-7"}, snow={"water": "5 mm"})
    depth = next(a for a in p.snow.alarms if a.measure == "depth")
    assert depth.now == pytest.approx(0.05)
    assert depth.reached
    assert "if it is new snow" in depth.text


@pytest.mark.parametrize(("depth", "over"), [("2.9 in", False), ("4 in", True)])
def test_local_rule_in_load_and_depth(depth: str, over: bool) -> None:
    """4 in of new snow is 2.08 psf."""
    p = plan(policy={"snow_load": "2 psf", "snow_depth": "3 in"}, snow={"depth": depth, "kind": "new"})
    reached = {a.measure: a.reached for a in p.snow.alarms if a.rule == "local rule"}
    assert reached == {"load": over, "depth": over}


def test_how_much_longer_and_how_often_to_clear() -> None:
    """9 psf rated; 1 in of new snow an hour is 24.9 Pa; 60 % of it lies after 258.6/24.9 = 10.4 h from bare."""
    p = plan(snow={"water": "10 mm", "falling": {"depth": "1 in", "kind": "new"}})
    hours = [f.hours for f in p.snow.filling]
    rate = 100 * 0.0254 * 9.80665
    limit, load = 9 * 47.88025898, 98.0665
    assert hours == pytest.approx([(s * limit - load) / rate for s in (0.6, 0.8, 1.0)], rel=1e-6)
    assert p.snow.clear_every_h == pytest.approx(0.6 * limit / rate, rel=1e-6)
    passed = plan(snow={"water": "27 mm", "falling": {"water": "2 mm"}}).snow.filling
    assert passed[0].hours == 0
    assert "now" in passed[0].text


def test_what_depth_the_limit_is() -> None:
    limit = plan(snow=DEEP).limit
    assert limit.roof_snow_pa == pytest.approx(9 * 47.88025898, rel=1e-9)
    assert limit.roof_snow_depth_m == pytest.approx(
        {"new": 0.4394, "settled": 0.1758, "wet": 0.1099}, abs=5e-5
    )


@pytest.mark.parametrize(("ridge", "pocket"), [("7 ft 6 in", True), ("10 ft", False)])
def test_sag_and_slope_decide_on_a_pocket(ridge: str, pocket: bool) -> None:
    """2 in of sag over 4 ft needs 9.46 degrees; 6 in on 9 ft is 3.2, 3 ft on 9 ft 18.4."""
    pond = plan(shelter__ridge=ridge, snow={**DEEP, "sag": "2 in", "sag_span": "4 ft"}).snow.pond
    assert pond is not None
    assert pond.pocket is pocket
    assert pond.needed_slope_deg == pytest.approx(9.46, abs=5e-3)
    assert ("Cloth drawn tight" in pond.text) is pocket


def test_rain_stays_on_a_flat_roof_and_mostly_drains_off_a_steep_one() -> None:
    flat = roof_snow(
        *attrgetter("snow", "shelter", "site")(
            winter(shelter__ridge="7 ft 6 in", snow={"water": "20 mm", "rain": "10 mm"})
        )
    )
    steep = roof_snow(
        *attrgetter("snow", "shelter", "site")(winter(snow={"water": "20 mm", "rain": "10 mm"}))
    )
    assert flat.rain == pytest.approx(98.0665)
    assert steep.rain == pytest.approx(9.80665)  # 5 % of 20 mm
    assert (
        roof_snow(
            *attrgetter("snow", "shelter", "site")(
                winter(snow={"water": "20 mm", "rain": "10 mm", "pockets": True})
            )
        ).rain
        == flat.rain
    )


def test_clearing_and_warnings() -> None:
    s = plan(snow={**DEEP, "rain": "5 mm"}).snow
    said = " ".join(in_words(s.clearing) + in_words(s.warnings)).lower()
    for words in (
        "each a side, at the same time",
        "on the ground",
        "never walk on the roof",
        "everybody out",
        "freeze",
        "thaw",
        "rain on the snow",
        "feet push outward",
    ):
        assert words in said


def test_snow_is_never_weight_and_an_older_file_that_says_so_still_opens() -> None:
    without, with_ = (assemble(winter(snow={**DEEP, "holds_down": k})) for k in (False, True))
    assert with_.shelter_mass == without.shelter_mass == pytest.approx(280 * 0.45359237)
    assert with_.gust_held() == without.gust_held()
    assert any(
        a.startswith("snow.holds_down counts nothing")
        for a in in_words(make_plan(with_.deployment).assumptions)
    )
    assert make_plan(with_.deployment).snow.holds_down_kg == 0.0


def test_heating_lowers_only_the_thermal_factor_of_7_10_and_7_16() -> None:
    for edition, share in (
        ("asce7-10", 1 / 1.2),
        ("asce7-16", 1 / 1.2),
        ("asce7-22", 1.0),
        ("en1991-1-3", 1.0),
    ):
        cold, warm = (
            roof_snow(
                *attrgetter("snow", "shelter", "site")(
                    winter(snow={"ground_load": "40 psf", "edition": edition, "heated": h})
                )
            )
            for h in (False, True)
        )
        assert warm.load == pytest.approx(cold.load * share)


def test_phase_at_two_degrees_and_rain_on_snow() -> None:
    t = np.array([275.15, 275.16, 275.16])
    found = accumulate(t, liquid=np.full(3, 0.004), stays=True)
    assert found.snowing.tolist() == [True, False, False]
    assert found.water.tolist() == [4.0, 8.0, 12.0]
    assert found.rain.tolist() == [0.0, 4.0, 8.0]
    assert accumulate(t, liquid=np.full(3, 0.004), stays=False).water == pytest.approx([4.0, 4.2, 4.2])
    assert accumulate(t[1:], liquid=np.full(2, 0.004), stays=True).water.tolist() == [0.0, 0.0]
    assert accumulate(t[1:], liquid=np.full(2, 0.004), stays=True, pockets=True).water.tolist() == [4.0, 8.0]


def test_temperature_that_is_not_known_counts_as_snow() -> None:
    assert accumulate(np.array([np.nan]), liquid=np.array([0.003]), stays=False).water.tolist() == [3.0]


def test_a_feed_in_depth_fills_in_where_water_is_not_given() -> None:
    found = accumulate(
        np.full(2, 265.0), liquid=np.array([0.002, np.nan]), snowfall=np.array([0.9, 0.05]), stays=True
    )
    assert found.water == pytest.approx([2.0, 7.0])


@pytest.mark.parametrize("bad", [{"liquid": np.array([-0.001])}, {"snowfall": np.array([-0.01])}])
def test_negative_amounts_are_refused(bad: dict[str, object]) -> None:
    with pytest.raises(OutOfRangeError):
        accumulate(np.array([270.0]), stays=True, **bad)  # type: ignore[arg-type]


def test_a_forecast_of_nothing_is_refused() -> None:
    with pytest.raises(ValueError, match="give liquid or snowfall"):
        accumulate(np.array([270.0]), stays=True)


def test_kind_left_out_is_the_heaviest_wet_snow_and_said() -> None:
    p = plan(snow={"depth": "4 in"})
    assert p.snow.roof_load_pa == pytest.approx(640 * 0.1016 * 9.80665)
    assert any("taken as wet, 640 kg/m3" in a for a in in_words(p.assumptions))


def test_what_code_snow_assumes_is_said() -> None:
    said = " ".join(in_words(plan(snow=CODE, site__surroundings=None).assumptions))
    for words in (
        "taken as sheltered",
        "category not given, taken as IV",
        "taken as town or woods",
        "left up for a winter",
    ):
        assert words in said


def test_provenance_counts_the_rows_of_the_snow() -> None:
    assert plan(snow={"depth": "1 in", "kind": "slush"}).provenance.weakest == "memory"
    assert "snow-density slush" in plan(snow={"depth": "1 in", "kind": "slush"}).provenance.weak


def test_working_of_the_snow() -> None:
    assert {"snow", "straps"} <= set(topics())
    lines = explain(
        assess(
            winter(snow={"layers": [{"depth": "2 in", "kind": "settled"}, {"depth": "3 in", "kind": "new"}]})
        ),
        "snow",
    )
    assert any("250·0.0508·9.8066 = 124.54 Pa" in line for line in lines)
    assert lines[-1] == "load = s / s(limit) = 199.27 / 430.92 = 0.4624"
    assert any("0.7·1.1·1.2·1.2·1436.4" in line for line in explain(assess(winter(snow=CODE)), "snow"))
    assert explain(assess(winter()), "snow")[-1].startswith("Snow: none")


def test_everything_is_json() -> None:
    p = plan(
        snow={**DEEP, "sag": "2 in", "sag_span": "4 ft", "falling": {"water": "2 mm"}},
        policy={"snow": "en-13782"},
    )
    assert Plan.model_validate_json(p.to_json()).to_json() == p.to_json()
