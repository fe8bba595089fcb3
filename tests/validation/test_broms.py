"""Stakes: Broms' short pile in clay and in sand, bending, pull-out, counts of pins.

Sources and their grade
    UFC 3-220-20 (DM 7.2), Foundations and Earth Structures, 16 Jan 2025, eqs 6-6 to 6-8, 6-57 to 6-65, pp 449 to 497
        (code), digitised in geotech_references, whose functions are the oracle over the grids.
    Broms' method, published calculation sheet (practitioner): M 102 kN m, e 7.5 m, B 0.75 m, c 50 kPa, P 13.6 kN: f 0.04 m,
        g 1.18 m, L 2.35 m, Mmax 117.57 kN m.
    USACE US&R Structures Specialist Field Operations Guide, 5th ed. 2006, after FHWA-IP-84-11 (government, second-hand):
        design load of a pin driven 36 in, half of its capacity, in loose sand: 1 in 50 lb, 3 in 150 lb; worked count:
        1,520 lb take 3 pins at 750 lb, 28 at 55 lb, 9 at 180 lb.
"""

import inspect
from collections.abc import Callable
from itertools import product

import numpy as np
import pytest
from geotech_references.dm7_2 import chapter4, chapter6

from anchorage.checks.footprint import Base
from anchorage.checks.sizing import sizes
from anchorage.core import tables
from anchorage.core.errors import OutOfRangeError
from anchorage.formulas import stakes
from anchorage.holding.hardware import Factors, Hardware

LB = 4.4482216152605
FOOT = 0.3048
PCF = 157.0874638
SHEET = {"f": 0.04, "g": 1.18, "L": 2.35, "P": 13.6e3, "Mmax": 117.57e3}
PINS = ((1.0, 50.0, 50.6), (3.0, 150.0, 151.9))  # in, lb as printed, lb by Broms, own arithmetic
COUNTS = ((750.0, 3), (55.0, 28), (180.0, 9))
DEMAND = 1520.0
PRINTED = {"Broms sheet": len(SHEET), "pins": len(PINS), "pin counts": len(COUNTS)}
VALIDATES = {"formulas/stakes": ("test_broms_sheet_at_full_size", "anchorage.formulas.stakes")}
LENGTHS, WIDTHS, ARMS = (0.3, 0.6, 0.9, 1.5), (0.012, 0.025, 0.05, 0.1), (0.0, 0.05, 0.3, 0.9)
CLAY = list(product(LENGTHS, WIDTHS, ARMS, (12e3, 48e3, 190e3)))
SAND = list(product(LENGTHS, WIDTHS, ARMS, (8e3, 18e3), (25.0, 30.0, 41.0)))
ROUNDING = 1e-9
"""Closed form against the published equations: arithmetic alone."""


def _broms() -> tuple[float, float, float]:
    """(9, 1.5, 2.25 / 9) of the method as our table has them."""
    k = {key: tables.row("broms", key).value for key in ("clay-factor", "ignored-diameters", "toe-moment")}
    return k["clay-factor"], k["ignored-diameters"], k["toe-moment"] / k["clay-factor"]


def _clay(length: float, width: float, arm: float, strength: float) -> tuple[float, float]:
    """(P, f) by our functions."""
    factor, ignored, ratio = _broms()
    f = stakes.clay_depth(length, width, arm, ignored, ratio)
    return stakes.clay_lateral(factor, strength, width, f), f


def test_broms_sheet_is_a_pole_and_so_out_of_range() -> None:
    """The example pulls 7.5 m above ground; the program refuses more than 3 m for a stake."""
    with pytest.raises(OutOfRangeError):
        _clay(SHEET["L"], 0.75, 7.5, 50e3)


def test_broms_sheet_at_a_quarter_of_its_size() -> None:
    """The method knows no length of its own: lengths by 1/4 and forces by 1/16 bring the example into range."""
    scale, strength = 0.25, 50e3
    pull, f = _clay(2.3457 * scale, 0.75 * scale, 7.5 * scale, strength)
    # 0.1 %: P is printed to three figures; f to one figure, half a step 0.005 m.
    assert pull / scale**2 == pytest.approx(SHEET["P"], rel=1e-3)
    assert f / scale == pytest.approx(SHEET["f"], abs=0.005)
    # 0.01 m: half a step of each of L, f and 0 for 1.5 B, which is exact.
    assert (2.3457 - 1.5 * 0.75) - f / scale == pytest.approx(SHEET["g"], abs=0.01)


def test_broms_sheet_at_full_size() -> None:
    """The same without the mask, at the length 2.3457 m that the printed 2.35 m is rounded from."""
    factor, ignored, ratio = _broms()
    f = inspect.unwrap(stakes.clay_depth)(2.3457, 0.75, 7.5, ignored, ratio)
    pull = inspect.unwrap(stakes.clay_lateral)(factor, 50e3, 0.75, f)
    assert pull == pytest.approx(SHEET["P"], rel=1e-3)  # three figures printed
    # A length of 2.35 m, as printed, gives 0.4 % more: 0.18 % in L, cubed or so.
    assert inspect.unwrap(stakes.clay_lateral)(
        factor, 50e3, 0.75, inspect.unwrap(stakes.clay_depth)(2.35, 0.75, 7.5, ignored, ratio)
    ) == pytest.approx(SHEET["P"], rel=1e-2)
    moment = pull * (7.5 + 1.5 * 0.75 + 0.5 * f)
    assert moment == pytest.approx(SHEET["Mmax"], rel=1e-3)  # as P
    # Bending: a bar that yields at the printed moment holds the printed pull. 0.01 %: five figures printed.
    assert stakes.clay_bending(factor, 50e3, 0.75, 7.5, ignored, SHEET["Mmax"]) == pytest.approx(
        SHEET["P"], rel=1e-4
    )


@pytest.mark.parametrize(("length", "width", "arm", "strength"), CLAY)
def test_clay_closed_form_satisfies_the_published_equations(
    length: float, width: float, arm: float, strength: float
) -> None:
    """Lmin(P) = L by eqs 6-59 to 6-61, as digitised, for a bar longer than 1.5 diameters."""
    pull, f = _clay(length, width, arm, strength)
    assert chapter6.broms_undrained_f(pull, strength, width) == pytest.approx(f, rel=ROUNDING)
    g = chapter6.broms_undrained_g(pull * arm, pull, width, f, strength)
    assert chapter6.broms_undrained_Zmin(width, f, g) == pytest.approx(length, rel=ROUNDING)


def test_clay_bar_shorter_than_one_and_a_half_diameters_holds_nothing() -> None:
    assert _clay(0.14, 0.1, 0.0, 50e3) == (0.0, 0.0)


@pytest.mark.parametrize(("width", "arm", "strength"), list(product(WIDTHS, ARMS, (12e3, 48e3, 190e3))))
def test_clay_bending_satisfies_the_published_moment(width: float, arm: float, strength: float) -> None:
    factor, ignored, _ = _broms()
    moment = stakes.bar_moment(235e6, width)
    pull = stakes.clay_bending(factor, strength, width, arm, ignored, moment)
    f = chapter6.broms_undrained_f(pull, strength, width)
    # 1e-9: Mmax = P (e + 1.5 b + 0.5 f) of the same source.
    assert pull * (arm + 1.5 * width + 0.5 * f) == pytest.approx(moment, rel=ROUNDING)


def _sand(length: float, width: float, arm: float, weight: float, kp: float) -> float:
    return float(
        stakes.sand_lateral(tables.row("broms", "sand-factor").value / 6, weight, width, length, kp, arm)
    )


@pytest.mark.parametrize(("length", "width", "arm", "weight", "angle"), SAND)
def test_sand_satisfies_the_published_equations(
    length: float, width: float, arm: float, weight: float, angle: float
) -> None:
    kp = stakes.passive_coefficient(angle)
    assert kp == pytest.approx(chapter4.rankine_passive_pressure_coefficient(angle), rel=ROUNDING)
    pull = _sand(length, width, arm, weight, kp)
    minimum = chapter6.broms_drained_Zmin(pull, pull * arm, weight, width, kp)
    # 1e-5 m: the digitised function iterates to 1e-6 m and approaches from above.
    assert minimum == pytest.approx(length, abs=1e-5)


@pytest.mark.parametrize(
    ("width", "arm", "weight", "angle"), list(product(WIDTHS, ARMS, (8e3, 18e3), (25.0, 41.0)))
)
def test_sand_moment_and_bending(width: float, arm: float, weight: float, angle: float) -> None:
    """Eqs 6-64 and 6-65 as digitised, and their inverse."""
    kp, factor = stakes.passive_coefficient(angle), tables.row("broms", "sand-factor").value / 2
    for pull in (50.0, 800.0, 5000.0):
        f = chapter6.broms_drained_zero_shear_depth(pull, weight, width, kp)
        oracle = chapter6.broms_drained_max_moment(pull * arm, pull, f, weight, width, kp)
        ours = stakes.sand_moment(pull, arm, weight, width, kp, factor)
        assert ours == pytest.approx(oracle, rel=ROUNDING)
        assert stakes.sand_bending(ours, arm, weight, width, kp, factor) == pytest.approx(
            pull, rel=1e-6
        )  # halving, 80 steps


def test_digitised_zmin_1_21716_m() -> None:
    """geotech_references, its own example: 1 kN, no moment, 18 kN/m^3, 25 mm, Kp 3: 1.21716 m."""
    # 2e-5: five figures printed, cubed.
    assert _sand(1.21716, 0.025, 0.0, 18e3, 3.0) == pytest.approx(1000.0, rel=3e-5)


@pytest.mark.parametrize(("inches", "printed", "by_broms"), PINS)
def test_government_pin_table_loose_sand(inches: float, printed: float, by_broms: float) -> None:
    """36 in driven, 12 in standing out, 120 pcf, Kp 3 (30°): half of Broms' ultimate is the printed design load."""
    half = (
        0.5 * _sand(3 * FOOT, inches / 12 * FOOT, 1 * FOOT, 120 * PCF, stakes.passive_coefficient(30.0)) / LB
    )
    # 1.3 %: the table is rounded to 1 lb in 50 and its soil is chosen here, 120 pcf and 30°.
    assert half == pytest.approx(printed, rel=1.3e-2)
    assert half == pytest.approx(by_broms, abs=0.06)  # own arithmetic, told to 0.1 lb


@pytest.mark.parametrize(("each", "printed"), COUNTS)
def test_government_pin_counts(
    each: float, printed: int, one_case: Callable[..., Base], no_margins: Factors
) -> None:
    """1,520 lb sideways on each of four feet with pins of 750, 55 or 180 lb: whole pins, as the guide counts them."""
    base = one_case(4.0, 4.0, 0.0, (0.0, 4 * DEMAND * LB), (0.0, 0.0), bearing=90.0)
    pin = Hardware(
        kind="stakes", unit_name="pin", unit_mass=0.0, friction=0.0, lateral=each * LB, axial=each * LB
    )
    found = sizes(base, [pin] * 4, no_margins, 0.0, [1.0])[0]
    assert found.by_group == {"corner": printed}


@pytest.mark.parametrize("each", [190.0, 380.0, 760.0])
def test_a_count_that_comes_out_whole_is_not_raised(
    each: float, one_case: Callable[..., Base], no_margins: Factors
) -> None:
    base = one_case(4.0, 4.0, 0.0, (0.0, 4 * DEMAND * LB), (0.0, 0.0), bearing=90.0)
    pin = Hardware(
        kind="stakes", unit_name="pin", unit_mass=0.0, friction=0.0, lateral=each * LB, axial=each * LB
    )
    found = sizes(base, [pin] * 4, no_margins, 0.0, [1.0])[0]
    assert found.by_group == {"corner": round(DEMAND / each)}


def test_pull_out_of_a_bar_own_arithmetic() -> None:
    """25 mm bar, 0.8 m: in sand (18 kN/m^3, K 0.8, 20°) 0.13 kN, in 50 kPa clay at α 0.5 1.57 kN.

    Own arithmetic on eqs 6-6 to 6-8, no printed example: it shows that a straight bar in sand has next to no vertical hold.
    """
    # Half a step of 0.01 kN.
    assert stakes.sand_pullout(0.8, 20.0, 18e3, 0.025, 0.8) / 1e3 == pytest.approx(0.13, abs=0.005)
    assert stakes.clay_pullout(0.5, 50e3, 0.025, 0.8) / 1e3 == pytest.approx(1.57, abs=0.005)


@pytest.mark.parametrize(("length", "width"), list(product(LENGTHS, WIDTHS)))
def test_pull_out_against_digitised_equations(length: float, width: float) -> None:
    area = np.pi * width * length
    for lateral, angle, weight in product((0.5, 0.8), (11.0, 20.0), (8e3, 18e3)):
        beta = chapter6.beta_coefficient(lateral, angle)
        oracle = area * chapter6.beta_method_unit_shaft_resistance(beta, weight * length / 2)
        assert stakes.sand_pullout(lateral, angle, weight, width, length) == pytest.approx(
            oracle, rel=ROUNDING
        )
    for alpha, strength in product((0.22, 0.5), (12e3, 190e3)):
        oracle = area * chapter6.alpha_method_unit_shaft_resistance(alpha, strength)
        assert stakes.clay_pullout(alpha, strength, width, length) == pytest.approx(oracle, rel=ROUNDING)


def test_inclined_pull_lies_between_lateral_and_axial() -> None:
    """Linear interaction (own choice, no source): level it is the lateral strength, upright the axial one."""
    assert stakes.inclined_capacity(0.0, 900.0, 300.0) == pytest.approx(900.0, rel=ROUNDING)
    assert stakes.inclined_capacity(90.0, 900.0, 300.0) == pytest.approx(300.0, rel=ROUNDING)
    for angle in range(5, 90, 5):
        pull = stakes.inclined_capacity(float(angle), 900.0, 300.0)
        used = pull * np.cos(np.deg2rad(angle)) / 900.0 + pull * np.sin(np.deg2rad(angle)) / 300.0
        assert used == pytest.approx(1.0, rel=ROUNDING)
