"""Formulas one by one, each against a number worked on paper: those that mutants showed to be held by no number of their own.

Sources and their grade
    Plastic modulus of a solid round bar, d^3/6: 0.1667 in3 for 1 in (statics; any table of steel bars).
    Multipliers of stakes in a row at 3 diameters: 0.80, 0.40, 0.30 (code, FHWA-HIF-18-031 Table 7-1).
    All else is own arithmetic on the statics that is named beside it, on triangles 3-4-5 so that it is exact.
"""

from math import inf, sqrt

import numpy as np
import pytest

from anchorage.core.errors import OutOfRangeError
from anchorage.formulas import (
    ballast,
    blocks,
    coefficients,
    en1991,
    friction,
    lines,
    snow,
    snow_code,
    speed,
    stakes,
    straps,
    velocity,
)
from anchorage.holding.stakes import Bar, Basis, Pulled, stake_worth

LBF = 4.4482216152605
INCH = 0.0254
EXACT = 1e-12


def test_friction_left_on_a_slope_of_3_in_4() -> None:
    """1000 N: 800 N press on the ground, 600 N pull downhill. μ 0.9 leaves 120 N; μ 0.75, the tangent, nothing."""
    assert friction.on_slope(0.9 * 1000.0, 0.8, 1000.0, 0.6) == pytest.approx(120.0, rel=EXACT)
    assert friction.on_slope(0.75 * 1000.0, 0.8, 1000.0, 0.6) == pytest.approx(0.0, abs=1e-9)


def test_weight_and_stakes_hold_down_together() -> None:
    """100 N of shelter, 20 N of bags, 3 N of stakes."""
    assert ballast.vertical_resistance(100.0, 20.0, 3.0) == 123.0


def test_pressure_under_a_foot() -> None:
    """A barrel of 2000 N on a board of 0.5 x 0.5 m: 8 kPa."""
    assert blocks.bearing_pressure(2000.0, 0.25) == 8000.0


def test_a_deadman_no_longer_than_its_trench_is_wide_holds_nothing() -> None:
    """The line's own trench of 1 ft takes all of the face; half a foot more counts as half a foot."""
    assert blocks.deadman_pull(40e3, 1.0, 0.3, 0.2, 0.3048) == 0.0
    assert blocks.deadman_pull(40e3, 0.5, 0.3, 0.4572, 0.3048) == pytest.approx(914.4, rel=EXACT)


def test_a_round_bar_of_one_inch_yields_at_its_plastic_modulus() -> None:
    """36 ksi on 1/6 in3 is 6 kip in, 500 lb ft; on half the diameter an eighth of that."""
    ksi = 1000.0 * LBF / INCH**2
    one = 6000.0 * LBF * INCH
    assert stakes.bar_moment(36.0 * ksi, INCH) == pytest.approx(one, rel=1e-9)
    assert stakes.bar_moment(36.0 * ksi, INCH / 2) == pytest.approx(one / 8, rel=1e-9)


def test_pull_in_sand_for_many_strengths_at_once_is_that_of_each() -> None:
    """As draws of a bar's moment are run: 100 and 800 N m."""
    at = (0.05, 17e3, 0.025, 3.0, 1.5)
    both = stakes.sand_bending(np.array([100.0, 800.0]), *at)
    assert both == pytest.approx([stakes.sand_bending(m, *at) for m in (100.0, 800.0)], rel=1e-9)


@pytest.mark.parametrize(("tested", "kept"), [("dry", 450.0), ("wet", 900.0)])
def test_stakes_tested_dry_count_half_of_the_least_pull(tested: str, kept: float) -> None:
    bar = Bar(0.0254, 0.9144, 0.0, None, "grass", tested)
    found = stake_worth(bar, 45.0, Pulled(bar, 45.0, (1200.0, 900.0, 1500.0)), [])
    assert (found.basis, found.best(0.0)) == (Basis.TEST, pytest.approx(kept, rel=EXACT))


def test_three_and_four_stakes_in_a_row_at_three_diameters() -> None:
    """(0.8 + 0.4 + 0.3)/3 = 0.5 and (0.8 + 0.4 + 0.3 + 0.3)/4 = 0.45; one alone is whole."""
    table = {3.0: (0.8, 0.4, 0.3), 6.0: (1.0, 1.0, 1.0)}
    found = stakes.group_efficiency(np.array([1, 2, 3, 4]), 3.0, 6.0, table)
    assert found == pytest.approx([1.0, 0.6, 0.5, 0.45], rel=EXACT)


# Straps


def test_lean_that_the_code_asks_for() -> None:
    """Legs of 6.25 m: 2/√6.25 = 0.8. Three in a row: √(0.5 (1 + 1/3)) = √(2/3). 1/200 of both."""
    high, row = straps.height_factor(2.0, 6.25, 1.0, 2 / 3, 1.0), straps.row_factor(0.5, 3.0)
    assert high == pytest.approx(0.8, rel=EXACT)
    assert straps.initial_sway(1 / 200, high, row) == pytest.approx(0.004 * sqrt(2 / 3), rel=EXACT)


def test_push_of_a_load_that_leans_and_of_uneven_snow_add() -> None:
    """1000 N lean 2 %: 20 N, and 30 N of uneven snow."""
    assert straps.sway_push(1000.0, 0.02, 30.0) == pytest.approx(50.0, rel=EXACT)


@pytest.mark.parametrize(("ratio", "by_hand"), [(1.25, 5.0), (1.5, 3.0), (3.0, 1.5), (1.0, inf), (0.5, inf)])
def test_sway_grows_as_the_load_nears_what_folds_the_frame(ratio: float, by_hand: float) -> None:
    """1/(1 - 1/α); at the load that folds it and over it there is no end."""
    assert float(straps.amplifier(ratio)) == pytest.approx(by_hand, rel=1e-9)


# Velocity pressure


def test_pressure_behind_a_profile_that_is_not_one() -> None:
    """Kz 0.57 in town over 0.95 is 0.6; on a hill of Kzt 1.5 that is 0.9; 20 m/s in 1.25 kg/m3 are 250 Pa, so 225 Pa."""
    town = velocity.profile_factor(0.57, 0.95)
    assert town == pytest.approx(0.6, rel=EXACT)
    on_hill = velocity.profile_over_hill(town, 1.5)
    assert on_hill == pytest.approx(0.9, rel=EXACT)
    assert velocity.pressure_physics(1.25, on_hill, 20.0) == pytest.approx(225.0, rel=EXACT)
    assert velocity.speed_of_pressure(225.0, 0.5 * 1.25 * 0.9) == pytest.approx(20.0, rel=EXACT)


def test_a_reading_on_a_hill_is_not_sped_up_again() -> None:
    """300 Pa by a factor of 2 at the roof are 150 Pa without it; a meter that saw 1.6 adds 2/1.6, one that saw 2.5 takes nothing."""
    found = [float(velocity.level_ground(300.0, 2.0, z)) for z in (1.6, 2.0, 2.5)]
    assert found == pytest.approx([187.5, 150.0, 150.0], rel=EXACT)


def test_pressure_of_the_code_on_a_hill_in_the_mountains() -> None:
    """0.613 x 1.2 x 1.5 x 0.9 x 0.85 x 40²; each factor raises or lowers it as it is itself over or under 1."""
    assert velocity.pressure_asce7(0.613, 1.2, 1.5, 0.9, 0.85, 40.0) == pytest.approx(1350.5616, rel=EXACT)


# Wind number


def test_a_wind_number_is_never_made_less() -> None:
    """A 1 s gust counts as the 3 s one; a reading from 8 m is not brought down to 5 m, nor one from 20 m to 10 m."""
    assert float(speed.durst_gust_factor(1.52, 1.57)) == 1.0
    assert float(speed.gust_at_reference(10.0, 8.0, 5.0, 9.5)) == 10.0
    assert float(speed.mean_at_reference(10.0, 10.0, 0.03, 20.0 / 0.03)) == 10.0


# Enclosure and roof coefficients


@pytest.mark.parametrize(
    ("opened", "found"),
    [
        ((0.5, 0.0, 0.0, 0.0), "enclosed"),  # at the 0.5 m2 that a closed wall may have
        ((0.6, 0.0, 0.0, 0.0), "partially-enclosed"),
        ((22.0, 10.0, 10.0, 0.0), "partially-open"),  # 1.1 times the rest and no more
        ((22.1, 10.0, 10.0, 0.0), "partially-enclosed"),
        ((89.0, 80.0, 0.0, 0.0), "partially-enclosed"),  # the rest is open by a fifth of 400 m2: still
        ((89.5, 81.0, 0.0, 0.0), "partially-open"),
        ((99.5, 30.0, 30.0, 30.0), "partially-open"),  # 90 of 400 m2; the wall itself is not of the rest
        ((80.0, 80.0, 80.0, 80.0), "open"),
        ((80.0, 80.0, 80.0, 79.0), "partially-open"),
    ],
)
def test_enclosure_at_its_limits(opened: tuple[float, ...], found: str) -> None:
    """Four walls and a roof of 100 m2 each. ASCE 7 section 26.2: over 1.1 times the rest, over the lesser of 1 % and an
    area (0.5 m2 here), the rest open by 20 % at the most; open where each wall is by 80 %.
    """
    limits = {"open_fraction": 0.8, "windward_excess": 1.1, "small_fraction": 0.01, "small_area": 0.5,
              "envelope_fraction": 0.2}  # fmt: skip
    assert coefficients.enclosure_class(opened, (100.0,) * 4, 100.0, **limits) == found


def test_a_roof_steeper_than_the_figure_is_refused_with_its_range() -> None:
    with pytest.raises(OutOfRangeError, match="from 10 to 60"):
        coefficients.same_sign(
            0.5, 61.0, (0.25, 1.0), (10.0, 20.0, 60.0), [[-0.7, -0.4, 0.6], [-1.3, -1.0, 0.6]]
        )


# Lines


def test_tension_of_a_push_at_an_angle_in_plan_and_above_the_ground() -> None:
    """100 N along the push, line at 60° (cosine 0.5) and 3-4-5 in plan (0.8): 250 N."""
    assert lines.tension_of_push(100.0, 60.0, 0.8) == pytest.approx(250.0, rel=1e-9)


def test_push_of_wind_and_lee_lines_by_its_breakpoints() -> None:
    """2 q + 1 (q - 2)⁺ + 3 (q - 4)⁺: 4 at 2, 10 at 4, then 6 a step. A fourth line never lifts, a fifth adds nothing."""
    slopes, starts = np.array([[3.0, 1.0, 7.0, 0.0]]), np.array([[4.0, 2.0, np.inf, 1.0]])
    targets = np.array([[-1.0, 0.0, 2.0, 4.0, 7.0, 10.0, 10.6, 13.0, 16.0]])
    found = lines.reach_each(np.array([2.0]), slopes, starts, targets)
    assert found[0] == pytest.approx([0.0, 0.0, 1.0, 2.0, 3.0, 4.0, 4.1, 4.5, 5.0], rel=EXACT)
    # nothing until a line lifts: 0.5 (q - 4)⁺ and no more; and nothing ever
    late = lines.reach_each(
        np.array([0.0]), np.array([[0.5]]), np.array([[4.0]]), np.array([[-1.0, 0.0, 1.0]])
    )
    assert late[0] == pytest.approx([4.0, 4.0, 6.0], rel=EXACT)
    never = lines.reach_each(np.array([0.0]), np.array([[3.0]]), np.array([[np.inf]]), np.array([[0.0, 1.0]]))
    assert never[0].tolist() == [np.inf, np.inf]
    # lifted before the wind blows, by straps: q + (q + 2)⁺ is 2 in a calm
    early = lines.reach_each(
        np.array([1.0]), np.array([[1.0]]), np.array([[-2.0]]), np.array([[1.0, 2.0, 4.0]])
    )
    assert early[0] == pytest.approx([0.0, 0.0, 1.0], rel=EXACT)
    # two cases at once, each with breakpoints of its own
    both = lines.reach_each(
        np.array([2.0, 0.5]), np.array([[1.0, 3.0]]), np.array([[2.0, 4.0], [3.0, 1.0]]), np.array([[16.0]])
    )
    assert both[:, 0] == pytest.approx([5.0, 4.888888888888889], rel=1e-9)  # 0.5 q + 3 (q - 1) + (q - 3) = 16


@pytest.mark.parametrize(
    ("slope", "more", "start", "target", "by_hand"),
    [
        (2.0, 3.0, 4.0, 7.0, 3.5),  # before the breakpoint
        (2.0, 3.0, 4.0, 8.0, 4.0),  # at it
        (2.0, 3.0, 4.0, 13.0, 5.0),  # after: 2 q + 3 (q - 4)
        (0.5, 0.25, 4.0, 0.25, 0.5),
        (0.5, 0.25, 4.0, 0.0, 0.0),
        (2.0, 3.0, np.inf, 8.0, 4.0),
        (2.0, 0.0, 1.0, 8.0, 4.0),
        (0.0, 3.0, 4.0, 3.0, 5.0),
        (0.0, 3.0, 4.0, 0.0, 4.0),
        (0.0, 0.0, 4.0, 3.0, np.inf),
        (0.0, 0.0, np.inf, 0.0, np.inf),
        (2.0, 3.0, 4.0, 0.0, 0.0),
        (2.0, 3.0, 4.0, -5.0, 0.0),
        (1.0, 1.0, -2.0, 4.0, 1.0),  # lifted before the wind blows: q + q + 2
        (1.0, 1.0, -2.0, 1.0, 0.0),
    ],
)
def test_one_breakpoint(slope: float, more: float, start: float, target: float, by_hand: float) -> None:
    found = lines.one_reach(np.array([slope]), np.array([more]), np.array([start]), target)
    assert found[0] == pytest.approx(by_hand, rel=EXACT)


# EN 1991-1-4


def test_basic_wind_of_a_direction_in_a_season() -> None:
    """25 m/s x 0.8 x 0.9 x 0.95: each factor under 1 lowers it."""
    assert en1991.basic_speed(25.0, 0.8, 0.9, 0.95) == pytest.approx(17.1, rel=EXACT)


@pytest.mark.parametrize(
    ("area", "by_hand"), [(0.2, -2.5), (1.0, -2.5), (10**0.5, -2.0), (10.0, -1.5), (40.0, -1.5)]
)
def test_coefficient_of_a_loaded_area(area: float, by_hand: float) -> None:
    """cpe,1 up to 1 m2, cpe,10 from 10 m2, between them by the logarithm: half way at √10."""
    assert float(en1991.area_coefficient(-2.5, -1.5, area)) == pytest.approx(by_hand, rel=EXACT)


# Snow


@pytest.mark.parametrize(
    ("formula", "given", "by_hand"),
    [
        (snow.water_of_load, (1961.33, 1000.0, 9.80665), 0.2),
        (snow.core_load, (1.0, 0.01, 9.80665), 980.665),
        (snow.depth_of_load, (1961.33, 200.0, 9.80665), 1.0),
        (snow.implied_density, (980.665, 0.5, 9.80665), 200.0),
        (snow.water_of_new_snow, (0.30, 12.0), 0.025),
        (snow.new_snow_of_water, (0.025, 12.0), 0.30),
        (snow.rain_in_pack, (0.02, 0.1, 0.05), 0.005),  # a tenth of 50 mm of water, the rest drains
        (snow.rain_in_pack, (0.002, 0.1, 0.05), 0.002),
        (snow.time_to, (0.8, 500.0, 100.0, 0.05), 6000.0),
        (snow.time_to, (0.8, 500.0, 450.0, 0.05), 0.0),
        (snow.roof_weight, (200.0, 30.0), 6000.0),
        # three hinges, 8 m span, 2 m rise, frames 2.5 m apart: w s L²/8f = 2000 N for 200 Pa on both halves, as for 100 and 300
        (snow.gable_thrust, (200.0, 200.0, 2.5, 8.0, 2.0), 2000.0),
        (snow.gable_thrust, (100.0, 300.0, 2.5, 8.0, 2.0), 2000.0),
        # of 4000 N the heavy side has 1/4 of 1000 N and 3/4 of 3000 N
        (snow.gable_foot, (100.0, 300.0, 2.5, 8.0), 2500.0),
        (snow.gable_foot, (0.0, 300.0, 2.5, 8.0), 2250.0),
        (snow_code.flat_roof, (0.7, 0.9, 1.2, 1.1, 1000.0), 831.6),
        (snow_code.flat_roof_22, (0.7, 0.9, 1.2, 1000.0), 756.0),
        (snow_code.service_snow_of_strength, (0.7, 1000.0), 700.0),
        (snow_code.sloped_roof, (0.5, 800.0), 400.0),
        (snow_code.minimum_low_slope, (1.2, 600.0, 957.6), 720.0),
        (snow_code.minimum_low_slope, (1.2, 2000.0, 957.6), 1149.12),
        (snow_code.leeward_peak, (500.0, 0.4, 2000.0, 4.0), 900.0),
        (snow_code.drift_extent, (8 / 3, 0.6, 4.0), 3.2),
        (snow_code.windward_share, (0.3, 500.0), 150.0),
        (snow_code.arch_peak, (2.0, 1000.0, 0.5, 0.8), 1250.0),
        (snow_code.mu_2, (0.8, 1.6, 15.0, 30.0), 1.2),
        (snow_code.mu_2, (0.8, 1.6, 45.0, 30.0), 1.6),
        (snow_code.mu_3, (0.2, 10.0, 0.6, 6.0, 2.0), 1.2),
        (snow_code.mu_3, (0.2, 10.0, 3.0, 6.0, 2.0), 2.0),
        (snow_code.mu_w, (10.0, 6.0, 4.0, 2000.0, 1000.0, 0.8, 4.0), 2.0),  # (b1 + b2)/2h
        (snow_code.mu_w, (40.0, 6.0, 1.5, 2000.0, 1000.0, 0.8, 4.0), 3.0),  # γh/sk
        (snow_code.mu_w, (1.0, 1.0, 4.0, 2000.0, 1000.0, 0.8, 4.0), 0.8),
        (snow_code.mu_w, (40.0, 60.0, 4.0, 2000.0, 1000.0, 0.8, 4.0), 4.0),
        (snow_code.drift_length, (4.0, 5.0, 15.0), 8.0),
        (snow_code.drift_length, (2.0, 5.0, 15.0), 5.0),
        (snow_code.drift_length, (9.0, 5.0, 15.0), 15.0),
        (snow_code.roof_en, (0.8, 0.9, 1.2, 1000.0), 864.0),
        (snow_code.exceptional, (2.0, 700.0), 1400.0),
    ],
)  # fmt: skip
def test_a_snow_formula_by_hand(formula, given: tuple[float, ...], by_hand: float) -> None:
    assert float(formula(*given)) == pytest.approx(by_hand, rel=1e-9)


def test_drifts_of_both_editions_in_feet_and_pounds() -> None:
    """100 ft of roof, 25 psf. 7-10: 0.43 x 100^(1/3) x 35^(1/4) - 1.5 = 3.355 ft. 7-22, wind in half of the winter, and
    0.13 x 25 + 14 = 17.25 pcf: 1.5 √(25^0.74 x 100^0.7 x 0.5^1.7/17.25) = 3.304 ft. A run of a foot: no drift by 7-10.
    """
    foot, psf = 0.3048, LBF / 0.3048**2
    pcf = psf / foot
    assert snow_code.snow_weight(0.13 / foot, 25 * psf, 14 * pcf, 30 * pcf) == pytest.approx(
        17.25 * pcf, rel=1e-9
    )
    assert snow_code.snow_weight(0.13 / foot, 250 * psf, 14 * pcf, 30 * pcf) == pytest.approx(
        30 * pcf, rel=1e-9
    )
    old = snow_code.drift_height(foot, 0.43, 100 * foot, 25 * psf, 10 * psf, psf, 1.5)
    assert old / foot == pytest.approx(3.3546, abs=5e-5)
    assert snow_code.drift_height(foot, 0.43, foot, 25 * psf, 10 * psf, psf, 1.5) == 0.0
    new = snow_code.drift_height_22(foot, 1.5, 25 * psf, psf, 100 * foot, 0.5, 17.25 * pcf)
    assert new / foot == pytest.approx(3.304, abs=5e-4)
