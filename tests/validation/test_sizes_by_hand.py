"""Least counts at the corners of a base of 4 x 3 m, on paper: bags, stakes through feet, lines, and a mix of them.

Own arithmetic on statics, beside each; no margins. A bag weighs 100 N here.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from math import cos, radians, sqrt

import numpy as np
import pytest

from anchorage.checks.footprint import Base, base
from anchorage.checks.sizing import Sized, sizes
from anchorage.formulas.demand import Cases
from anchorage.holding.hardware import Factors, Hardware
from anchorage.shelter.shape import gable

GRAVITY = 9.80665  # m/s2, standard gravity

PRINTED: dict[str, int] = {}
BAG = Hardware(kind="ballast", unit_name="bag", unit_mass=100.0 / GRAVITY, friction=0.5)
FOOT = Hardware(kind="stakes", unit_name="stake", unit_mass=0.0, friction=0.0, lateral=20.0, axial=50.0)
LINE = Hardware(
    kind="stakes", unit_name="stake", unit_mass=0.0, friction=0.0, line_angle=30.0, tension=10.0, pull=10.0
)
CROWD = (3.0, 6.0, {3.0: (0.8, 0.4, 0.3), 6.0: (1.0, 1.0, 1.0)})


@pytest.fixture
def size(one_case: Callable[..., Base], no_margins: Factors) -> Callable[..., Sized]:
    def run(
        hard: list[Hardware],
        q: float,
        uplift: float = 0.0,
        push: tuple[float, float] = (0.0, 0.0),
        weight: float = 0.0,
        least: float | None = None,
        lost: int | None = None,
        slope: float = 0.0,
    ) -> Sized:
        b = replace(one_case(4.0, 3.0, uplift, push, (0.0, 0.0)), slope=slope)
        if least is not None:
            b = replace(b, minimum_push=np.full(4, least), minimum_moment=np.zeros(4))
        if lost is not None:
            b = b.without(np.arange(4) == lost)
        return sizes(b, hard, no_margins, weight / GRAVITY, [q])[0]

    return run


@pytest.mark.parametrize(
    ("uplift", "push", "weight", "q", "each", "why"),
    [
        (8.0, 0.0, 0.0, 105.0, 3, "lift"),  # 2 x 105 N a corner
        (8.0, 0.0, 400.0, 105.0, 2, "lift"),  # 100 N of shelter at each
        (8.0, 0.0, 0.0, 100.0, 2, "lift"),  # 200 N to the last newton: two bags are enough
        (0.0, -4.0, 0.0, 105.0, 3, "slide"),  # 420 N of push want 840 N at μ 0.5
        (2.0, -4.0, 0.0, 105.0, 3, "slide"),  # and 210 N of uplift more: 1050 N
        (3.0, -4.0, 0.0, 105.0, 3, "slide"),  # 840 and 315 N: 1155 N
        (4.0, -4.0, 0.0, 105.0, 4, "slide"),  # 840 and 420 N: 1260 N
        (0.0, 0.0, 0.0, 105.0, 0, ""),
    ],
)
def test_bags_at_four_corners(
    uplift: float, push: float, weight: float, q: float, each: int, why: str, size: Callable[..., Sized]
) -> None:
    found = size([BAG] * 4, q, uplift, (push, 0.0), weight)
    assert found.by_group == {"corner": each}
    assert found.total == 4 * each
    assert found.governed_by == why


@pytest.mark.parametrize("q", [0.0, 105.0])
def test_bags_for_the_least_load_of_a_code_are_the_same_in_any_wind(
    q: float, size: Callable[..., Sized]
) -> None:
    """650 N at μ 0.5: 1300 N, 13 bags on four corners. In wind 105 N of push and of uplift ask for less."""
    found = size([BAG] * 4, q, 1.0, (-1.0, 0.0), least=650.0)
    assert (found.by_group, found.governed_by) == ({"corner": 4}, "code minimum: slide")


def test_stakes_through_feet(size: Callable[..., Sized]) -> None:
    """q 20, push 4 q, uplift 8 q, 40 N of shelter: each corner 20/20 + 30/50 = 1.6 stakes."""
    found = size([FOOT] * 4, 20.0, 8.0, (-4.0, 0.0), 40.0)
    assert (found.by_group, found.total, found.governed_by) == ({"corner": 2}, 8, "stake")


def test_stakes_that_crowd_each_other(size: Callable[..., Sized]) -> None:
    """The same 1.6: two close stakes are worth 1.2, three 1.5, four 1.8."""
    found = size([replace(FOOT, crowd=CROWD)] * 4, 20.0, 8.0, (-4.0, 0.0), 40.0)
    assert (found.by_group, found.total) == ({"corner": 4}, 16)


@pytest.mark.parametrize(("least", "each"), [(12.0, 1), (20.0, 4), (100.0, 26)])
def test_crowded_stakes_on_lines_for_the_least_load_of_a_code(
    least: float, each: int, size: Callable[..., Sized]
) -> None:
    """Two lines face each wall, 12.247 N for a stake on both: 1.63 and 8.17 stakes' worth. Four are worth 1.8, three 1.5;
    26 are worth 0.8 + 0.4 + 24 x 0.3 = 8.4, 25 8.1.
    """
    assert size([replace(LINE, crowd=CROWD)] * 4, 0.0, least=least).by_group == {"corner": each}


@pytest.mark.parametrize(("weight", "each"), [(0.0, 2), (40.0, 4)])
def test_stakes_on_lines_on_a_slope_of_3_in_4(weight: float, each: int, size: Callable[..., Sized]) -> None:
    """Push of 20 N, and 0.6 x 40 N downhill: 20 or 44 N on 12.247 N for a stake at both corners."""
    slope = float(np.degrees(np.arctan2(3.0, 4.0)))
    assert size([LINE] * 4, 20.0, 0.0, (-1.0, 0.0), weight, slope=slope).by_group == {"corner": each}


def test_stakes_on_lines(size: Callable[..., Sized]) -> None:
    """q 20, push q: two lines of 10 N at 30° and 45° in plan hold 12.2 N, so two stakes each; uplift 8 q wants 8 each:
    160 N up less 8 N of shelter, 5 N a stake, 38 N a corner.
    """
    assert 10.0 < 2 * 10.0 * cos(radians(30.0)) * sqrt(0.5) < 20.0
    assert size([LINE] * 4, 20.0, 0.0, (-1.0, 0.0)).by_group == {"corner": 2}
    found = size([LINE] * 4, 20.0, 8.0, (0.0, 0.0), 8.0)
    assert (found.by_group, found.governed_by) == ({"corner": 8}, "stake")


def test_a_mixed_site_is_sized_by_what_stands_where(size: Callable[..., Sized]) -> None:
    """Uplift 8 q, q 5: 10 N at each corner: one bag, and two stakes of 5 N."""
    found = size([BAG, LINE, BAG, LINE], 5.0, 8.0)
    assert found.by_group == {"corner, bag": 1, "corner, stake": 2}
    assert found.counts is not None
    assert list(found.counts) == [1, 2, 1, 2]


def test_a_lost_corner_and_an_idle_one_get_nothing(size: Callable[..., Sized]) -> None:
    """Three bags' corners: the base hangs on them, the one across from the lost one takes nothing of a load in the middle."""
    found = size([BAG] * 4, 105.0, 8.0, lost=0)
    assert found.counts is not None
    assert found.counts[0] == 0
    # 840 N on three springs at the corners of a right angle: its ends take half each, 420 N
    assert found.by_group == {"corner": 5}
    assert found.total == 15


def test_what_no_number_of_stakes_can_hold(size: Callable[..., Sized]) -> None:
    """No upward strength; and more than the most that may stand at a point."""
    for hard in (replace(FOOT, axial=0.0), replace(FOOT, axial=1e-3)):
        found = size([hard] * 4, 20.0, 8.0)
        assert (found.by_group, found.counts, found.total) == ({}, None, None)
        assert found.governed_by == "stake"
    nothing = size([replace(BAG, kind="none")] * 4, 20.0, 8.0)
    assert (nothing.counts, nothing.governed_by) == (None, "no usable point")
    slippery = size([replace(BAG, friction=0.0)] * 4, 20.0, 0.0, (-1.0, 0.0))
    assert (slippery.counts, slippery.governed_by) == (None, "slide")


def test_what_is_added_where_it_does_not_help_is_taken_away_again(no_margins: Factors) -> None:
    """A least load of 20 N over the ends, for which crowded corner lines have to do: four, and the one at each side without which
    a foot would hold nothing."""
    cases = Cases(
        ("case",), np.array([0.0]), np.zeros((1, 1)), np.zeros((1, 2)), np.zeros((1, 2)), np.zeros((1, 1)),
        np.zeros((1, 1)), np.array([False]), (("",),),
    )  # fmt: skip
    b = replace(base(gable(4.0, 3.0, 1.0, 1.0, 3, 2), cases), minimum_moment=np.zeros(4),
                minimum_push=np.array([20.0, 0.0, 20.0, 0.0]))  # fmt: skip
    found = sizes(b, [replace(LINE, crowd=CROWD)] * 6, no_margins, 0.0, [0.0])[0]
    assert found.by_group == {"corner": 4, "side": 1}
