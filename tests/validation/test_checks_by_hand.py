"""Checks of a base with a point at each corner, under one load, on paper: slopes, code minimum, stakes through feet, lines.

Own arithmetic on statics, beside each. The base is 4 x 3 m; slopes are 3 in 4 (sine 0.6, cosine 0.8), so that it is exact.
No margins unless they are said. Wind on the front pushes towards -x, wind on the right towards +y.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from math import atan2, cos, degrees, radians, sin, sqrt, tan

import numpy as np
import pytest
from strategies import worst_ratio

from anchorage.checks.checks import limits, linear_limits, ratio
from anchorage.checks.footprint import Base, Held, base, frame_loads, held, per_frame
from anchorage.checks.limit import Limit, linear
from anchorage.checks.lines import feet_needed, tensions
from anchorage.core.checked import Check, What
from anchorage.formulas.demand import Cases
from anchorage.holding.hardware import Factors, Hardware
from anchorage.shelter.shape import gable

GRAVITY = 9.80665  # m/s2, standard gravity

PRINTED: dict[str, int] = {}
STEEP = degrees(atan2(3.0, 4.0))
EXACT = 1e-9
NONE = (0.0, 0.0)


def _q(found: list[Limit], name: str) -> float:
    return float(np.min(next(x for x in found if x.name == name).q))


# On a slope


@pytest.mark.parametrize(("uplift", "by_hand"), [(0.0, 120.0), (1.0, 120.0 / 1.9)])
def test_a_weight_on_a_slope_slides(
    uplift: float,
    by_hand: float,
    one_case: Callable[..., Base],
    hold: Callable[..., Held],
    no_margins: Factors,
) -> None:
    """1000 N, μ 0.9: 0.9 x 800 N rub, 600 N pull downhill, 120 N are left; uplift takes μ of itself away."""
    b = replace(one_case(4.0, 3.0, uplift, (-1.0, 0.0), NONE), slope=STEEP)
    found = limits(b, hold(weight=1000.0, mu=0.9), no_margins)
    assert _q(found, "slide") == pytest.approx(by_hand, rel=EXACT)


def test_a_frame_on_a_slope_slides(
    one_case: Callable[..., Base], hold: Callable[..., Held], no_margins: Factors
) -> None:
    """Two frames with half of 1000 N and half of the push each: 60 N against 0.5 q."""
    b = replace(one_case(4.0, 3.0, 0.0, (0.0, 1.0), NONE, bearing=90.0), slope=STEEP)
    found = limits(b, hold(weight=1000.0, mu=0.9), no_margins)
    assert _q(found, "slide of a frame") == pytest.approx(120.0, rel=EXACT)
    frames = next(f for f in found if f.name == "slide of a frame")
    assert frames.items == ("frame 1", "frame 2")
    assert frames.demand is not None
    assert frames.demand[0] == pytest.approx([0.5, 0.5], rel=EXACT)
    along = limits(one_case(4.0, 3.0, 2.0, (-1.0, 0.0), NONE), hold(weight=1000.0, mu=0.9), no_margins)
    frames = next(f for f in along if f.name == "slide of a frame")
    assert np.all(np.isinf(frames.q))
    assert frames.demand is not None
    assert np.all(frames.demand == 0.0)
    lifted = limits(
        one_case(4.0, 3.0, 2.0, (0.0, 0.0), NONE, bearing=90.0), hold(weight=1000.0, mu=0.9), no_margins
    )
    frames = next(f for f in lifted if f.name == "slide of a frame")
    assert np.all(np.isinf(frames.q))
    assert np.all(frames.demand == 0.0)


def test_uplift_cannot_take_more_from_a_foot_than_stands_on_it(
    one_case: Callable[..., Base], hold: Callable[..., Held], no_margins: Factors
) -> None:
    """400 N on feet of μ 0.2, 0.2, 0.2 and 0.9; push q, uplift 2 q. The last foot has 100 N to lose, the rest comes from the
    others: 150 - 0.9·100 - 0.2·(2 q - 100) = q. A foot that is grippier, with next to nothing on it, never lowers that.
    """
    b = one_case(4.0, 3.0, 2.0, (-1.0, 0.0), NONE)
    h = replace(hold(weight=400.0, mu=0.5), foot=np.array([[0.2, 0.2, 0.2, 0.9]]))
    assert _q(limits(b, h, no_margins), "slide") == pytest.approx(80.0 / 1.4, rel=EXACT)
    same = replace(h, foot=np.full((1, 4), 0.2))
    assert _q(limits(b, same, no_margins), "slide") == pytest.approx(80.0 / 1.4, rel=EXACT)


def test_ballast_and_own_weight_rub_each_on_its_own_contact(
    one_case: Callable[..., Base], no_margins: Factors
) -> None:
    """Four feet of 50 N at μ 0.1 beside ballast of 100 N at μ 0.5; push q, uplift q: 20 + 200 = 1.5 q."""
    b = one_case(4.0, 3.0, 1.0, (-1.0, 0.0), NONE)
    one = replace(_ballast(100.0 / GRAVITY), friction=0.5, own_friction=0.1)
    h = held([one] * 4, no_margins, np.ones(4), 200.0 / GRAVITY)
    assert _q(limits(b, h, no_margins), "slide") == pytest.approx(220.0 / 1.5, rel=EXACT)


def test_uplift_takes_friction_away_where_it_is_largest(
    one_case: Callable[..., Base], hold: Callable[..., Held], no_margins: Factors
) -> None:
    """400 N, two feet at μ 0.3 and two at 0.6: 180 N rub; push and uplift of q each: 180/(1 + 0.6). In a calm nothing."""
    b = one_case(4.0, 3.0, 1.0, (-1.0, 0.0), NONE)
    h = replace(hold(weight=400.0, mu=0.5), foot=np.array([[0.3, 0.6, 0.3, 0.6]]))
    assert _q(limits(b, h, no_margins), "slide") == pytest.approx(112.5, rel=EXACT)
    # as draws of friction are run: the largest of each draw
    drawn = replace(h, foot=np.array([[[0.3, 0.6, 0.3, 0.6]], [[0.5, 0.5, 0.5, 0.5]]]))
    found = next(f for f in limits(b, drawn, no_margins) if f.name == "slide")
    assert np.ravel(found.q) == pytest.approx([112.5, 200.0 / 1.5], rel=EXACT)
    calm = one_case(4.0, 3.0, -1.0, (0.0, 0.0), NONE)
    assert _q(limits(calm, hold(weight=0.0, mu=0.5), no_margins), "slide") == np.inf


def test_too_steep_for_its_friction_slides_without_wind(
    one_case: Callable[..., Base], hold: Callable[..., Held], no_margins: Factors
) -> None:
    b = replace(one_case(4.0, 3.0, 0.0, (-1.0, 0.0), NONE), slope=STEEP)
    assert _q(limits(b, hold(weight=1000.0, mu=0.7), no_margins), "slide") == 0.0


def test_lines_on_a_slope_hold_what_pulls_downhill_too(
    one_case: Callable[..., Base], hold: Callable[..., Held], no_margins: Factors
) -> None:
    """Two of four corner lines at 45° face the push: (1 + 600)/(2 cos 30 cos 45) N each at q = 1; and the limit by it."""
    b = replace(one_case(4.0, 3.0, 0.0, (-1.0, 0.0), NONE), slope=STEEP)
    h = hold(weight=1000.0, mu=0.0, strength=1000.0, angle=30.0)
    supply = 2 * cos(radians(30.0)) * sqrt(0.5)
    asked = tensions(b, h, 1.0, 1.0)["push"][0]
    assert asked == pytest.approx(np.where(b.xy[:, 0] > 0, 601.0 / supply, 0.0), rel=EXACT)
    found = limits(b, h, no_margins)
    assert _q(found, "stake: push") == pytest.approx(1000.0 * supply - 600.0, rel=EXACT)
    assert _q(found, "slide") == pytest.approx(1000.0 * supply - 600.0, rel=EXACT)


def test_lines_of_a_frame_on_a_slope(
    one_case: Callable[..., Base], hold: Callable[..., Held], no_margins: Factors
) -> None:
    """Wind on the right, q = 1: the foot to windward of each frame holds half of the push and 300 N, alone."""
    b = replace(one_case(4.0, 3.0, 0.0, (0.0, 1.0), NONE, bearing=90.0), slope=STEEP)
    h = hold(weight=1000.0, mu=0.0, strength=1000.0, angle=30.0)
    one = cos(radians(30.0)) * sqrt(0.5)
    asked = tensions(b, h, 1.0, 1.0)["push of its frame"][0]
    assert asked == pytest.approx(np.where(b.xy[:, 1] < 0, 300.5 / one, 0.0), rel=EXACT)
    assert _q(limits(b, h, no_margins), "stake: push of its frame") == pytest.approx(
        2 * (1000.0 * one - 300.0), rel=EXACT
    )


# Least load of a code


def _least(b: Base, push: float, moment: float) -> Base:
    return replace(b, minimum_push=np.full(4, push), minimum_moment=np.full(4, moment))


def _fixed(found: list[Limit], name: str) -> Limit:
    return next(x for x in found if x.name == f"code minimum: {name}")


def test_least_load_of_a_code_on_a_slope(
    one_case: Callable[..., Base], hold: Callable[..., Held], no_margins: Factors
) -> None:
    """γ 1.5 on 80 N and 600 N downhill, 720 N asked; 0.9 x 800 N rub: just met. 100 N m tip over an end, 1000 N at 2 m."""
    b = _least(replace(one_case(4.0, 3.0, 0.0, (-1.0, 0.0), NONE), slope=STEEP), 80.0, 100.0)
    found = limits(b, hold(weight=1000.0, mu=0.9), replace(no_margins, wind=1.5))
    slide, tip = _fixed(found, "slide"), _fixed(found, "overturn")
    assert np.broadcast_to(slide.demand, (1, 4)) == pytest.approx(np.full((1, 4), 720.0), rel=EXACT)
    assert ratio(slide, 0.0) == pytest.approx(1.0, rel=EXACT)
    # wind on the front and back tips over an end, 2 m from the middle; on the sides 1.5 m
    assert np.ravel(tip.capacity) == pytest.approx([2000.0, 1500.0, 2000.0, 1500.0], rel=EXACT)
    assert ratio(tip, 0.0) == pytest.approx(1.5 * 100.0 / 1500.0, rel=EXACT)
    assert np.all(np.isinf(slide.q))


def test_least_load_of_a_code_is_held_by_friction_or_by_lines_not_by_both(
    one_case: Callable[..., Base], hold: Callable[..., Held], no_margins: Factors
) -> None:
    """Two lines of 1000 N at 30° face each wall: 2 x 1000 cos 30 cos 45 N = 1224.7 N; 0.5 x 1000 N rub."""
    b = _least(one_case(4.0, 3.0, 0.0, (-1.0, 0.0), NONE), 600.0, 0.0)
    h = hold(weight=1000.0, mu=0.5, strength=1000.0, angle=30.0)
    pull = 2 * 1000.0 * cos(radians(30.0)) * sqrt(0.5)
    assert np.ravel(_fixed(limits(b, h, no_margins), "slide").capacity) == pytest.approx(
        [pull] * 4, rel=EXACT
    )
    weak = replace(h, tension=h.tension / 10)
    assert np.ravel(_fixed(limits(b, weak, no_margins), "slide").capacity) == pytest.approx(
        [500.0] * 4, rel=EXACT
    )
    # to size the lines, friction counts only where it does alone: 500 N do not hold 600, and do hold 500
    sized = _fixed(linear_limits(b, weak, no_margins), "slide")
    assert np.ravel(sized.demand) == pytest.approx([600.0] * 4, rel=EXACT)
    assert np.ravel(sized.capacity) == pytest.approx([pull / 10] * 4, rel=EXACT)
    enough = _fixed(linear_limits(_least(b, 500.0, 0.0), weak, no_margins), "slide")
    assert np.ravel(enough.demand) == pytest.approx([0.0] * 4, abs=0.0)
    barely_not = _fixed(linear_limits(_least(b, 500.5, 0.0), weak, no_margins), "slide")
    assert np.ravel(barely_not.demand) == pytest.approx([500.5] * 4, rel=EXACT)


def test_least_load_of_a_code_on_stakes_through_feet(
    one_case: Callable[..., Base], no_margins: Factors
) -> None:
    """Four stakes of 20 N: 80 N whichever way the wind blows; a face without a least load asks for nothing."""
    b = replace(
        _least(one_case(4.0, 3.0, 0.0, (-1.0, 0.0), NONE), 60.0, 0.0),
        minimum_push=np.array([60.0, 0.0, 60.0, 0.0]),
    )
    slide = _fixed(limits(b, _feet(20.0, 50.0, 0.0, no_margins), no_margins), "slide")
    assert np.broadcast_to(slide.capacity, (1, 4)) == pytest.approx(np.full((1, 4), 80.0), rel=EXACT)
    assert ratio(slide, 0.0) == pytest.approx(0.75, rel=EXACT)


# Stakes through the feet


def _feet(lateral: float, axial: float, weight: float, factors: Factors) -> Held:
    one = Hardware(
        kind="stakes", unit_name="stake", unit_mass=0.0, friction=0.0, lateral=lateral, axial=axial
    )
    return held([one] * 4, factors, np.ones(4), weight / GRAVITY)


def test_a_stake_through_a_foot_uses_side_and_lift_together(
    one_case: Callable[..., Base], no_margins: Factors
) -> None:
    """Push 4 q, uplift 8 q, 40 N of shelter: each corner q and 2 q - 10. q/20 + (2 q - 10)/50 <= 1: q = 40/3."""
    b = one_case(4.0, 3.0, 8.0, (-4.0, 0.0), NONE)
    h = _feet(20.0, 50.0, 40.0, no_margins)
    assert _q(limits(b, h, no_margins), "stake") == pytest.approx(40.0 / 3.0, rel=EXACT)
    # q 20: 1 and 30/50
    assert feet_needed(b, h, 1.0, 20.0).max() == pytest.approx(1.6, rel=EXACT)


def test_a_stake_through_a_foot_that_is_only_pushed_or_only_lifted(
    one_case: Callable[..., Base], no_margins: Factors
) -> None:
    """Push 4 q, strength upward or none: q/20 <= 1. Uplift 8 q, 40 N of shelter: 2 q - 10 <= 50; half a newton over the
    weight wants two stakes of a quarter.
    """
    pushed, lifted = one_case(4.0, 3.0, 0.0, (-4.0, 0.0), NONE), one_case(4.0, 3.0, 8.0, (0.0, 0.0), NONE)
    for axial in (50.0, 0.0):
        assert _q(limits(pushed, _feet(20.0, axial, 40.0, no_margins), no_margins), "stake") == pytest.approx(
            20.0, rel=EXACT
        )
    assert feet_needed(pushed, _feet(20.0, 50.0, 40.0, no_margins), 1.0, 20.0).max() == pytest.approx(
        1.0, rel=EXACT
    )
    assert _q(limits(lifted, _feet(20.0, 50.0, 40.0, no_margins), no_margins), "stake") == pytest.approx(
        30.0, rel=EXACT
    )
    assert feet_needed(lifted, _feet(20.0, 0.25, 40.0, no_margins), 1.0, 5.25).max() == pytest.approx(
        2.0, rel=EXACT
    )


def test_a_stake_through_a_foot_of_a_frame(one_case: Callable[..., Base], no_margins: Factors) -> None:
    """Wind on the right, push 4 q: two frames, 2 q each, q a foot: q/20 <= 1."""
    b = one_case(4.0, 3.0, 0.0, (0.0, 4.0), NONE, bearing=90.0)
    found = limits(b, _feet(20.0, 50.0, 40.0, no_margins), no_margins)
    assert _q(found, "stake of a frame foot") == pytest.approx(20.0, rel=EXACT)
    # and what slides: four stakes of 20 N against 4 q, no friction
    assert _q(found, "slide") == pytest.approx(20.0, rel=EXACT)


def test_a_stake_through_a_foot_on_a_slope_holds_what_pulls_downhill_too(
    one_case: Callable[..., Base], no_margins: Factors
) -> None:
    """100 N of shelter, 0.6 of it downhill: 15 N at each foot, q more of the push: (15 + q)/20 <= 1, and by frames the same;
    at q = 1 16/20 of a stake. All four: 80 - 60 N against 4 q. 200 N are more than four stakes hold in a calm.
    """
    b = replace(one_case(4.0, 3.0, 0.0, (0.0, 4.0), NONE, bearing=90.0), slope=STEEP)
    h = _feet(20.0, 50.0, 100.0, no_margins)
    for name in ("stake", "stake of a frame foot", "slide"):
        assert _q(limits(b, h, no_margins), name) == pytest.approx(5.0, rel=EXACT)
        assert _q(limits(b, _feet(20.0, 50.0, 200.0, no_margins), no_margins), name) == 0.0
    assert feet_needed(b, h, 1.0, 1.0).max() == pytest.approx(0.8, rel=EXACT)
    assert feet_needed(replace(b, slope=0.0), h, 1.0, 1.0).max() == pytest.approx(0.05, rel=EXACT)


def test_a_frame_in_the_middle_carries_half_of_the_shelter_downhill(no_margins: Factors) -> None:
    """Three frames, 400 N: a half is on the middle one, 0.6 x 200/2 N at each of its feet; at a foot of six 0.6 x 400/6."""
    b = replace(_three_frames(0.0, (0.0, 8.0), NONE), slope=STEEP)
    one = Hardware(kind="stakes", unit_name="stake", unit_mass=0.0, friction=0.0, lateral=100.0, axial=50.0)
    found = limits(b, held([one] * 6, no_margins, np.ones(6), 400.0 / GRAVITY), no_margins)
    assert _q(found, "stake of a frame foot") == pytest.approx((100.0 - 60.0) / 2.0, rel=EXACT)
    assert _q(found, "stake") == pytest.approx((100.0 - 40.0) / (8.0 / 6.0), rel=EXACT)


def test_stakes_without_lateral_or_upward_strength(
    one_case: Callable[..., Base], no_margins: Factors
) -> None:
    """No side strength: no push at all. No upward strength: up to the weight, 2 q = 10."""
    b = one_case(4.0, 3.0, 8.0, (-4.0, 0.0), NONE)
    assert _q(limits(b, _feet(0.0, 50.0, 40.0, no_margins), no_margins), "stake") == 0.0
    assert _q(limits(b, _feet(1e6, 0.0, 40.0, no_margins), no_margins), "stake") == pytest.approx(
        5.0, rel=1e-4
    )


# Lines


def test_a_twist_loads_the_lines_of_one_side_more(
    one_case: Callable[..., Base], hold: Callable[..., Held]
) -> None:
    """Push off the middle by a tenth of the breadth: of two lines 3 m apart one has 1 + 0.3/1.5 of the mean, one 0.8."""
    b = one_case(4.0, 3.0, 0.0, (-1.0, 0.0), NONE)
    b = replace(b, cases=replace(b.cases, eccentricity=np.array([[0.3]])))
    asked = tensions(b, hold(strength=1.0, angle=45.0), 1.0, 1.0)["push"][0]
    mean = 1.0 / (2 * sqrt(0.5) * sqrt(0.5))
    facing = b.xy[:, 0] > 0
    assert sorted(asked[facing]) == pytest.approx([0.8 * mean, 1.2 * mean], rel=EXACT)
    assert asked[~facing] == pytest.approx([0.0, 0.0], abs=0.0)
    assert asked[facing][np.argmax(b.xy[facing, 1])] == pytest.approx(1.2 * mean, rel=EXACT)


def test_a_twist_on_lines_less_than_a_metre_apart(
    one_case: Callable[..., Base], hold: Callable[..., Held]
) -> None:
    """0.8 m apart, 0.1 m off the middle: 1 ± 0.1/0.4 of the mean."""
    b = one_case(4.0, 0.8, 0.0, (-1.0, 0.0), NONE)
    b = replace(b, cases=replace(b.cases, eccentricity=np.array([[0.1]])))
    asked = tensions(b, hold(strength=1.0, angle=45.0), 1.0, 1.0)["push"][0]
    assert sorted(asked[b.xy[:, 0] > 0]) == pytest.approx([0.75, 1.25], rel=EXACT)


def test_a_line_that_faces_the_push_alone_has_all_of_it(
    one_case: Callable[..., Base], hold: Callable[..., Held], no_margins: Factors
) -> None:
    """No stake at one of the two corners that face the push: the other holds 10 cos 30 cos 45 N, twist or none."""
    b = one_case(4.0, 3.0, 0.0, (-1.0, 0.0), NONE)
    b = replace(b, cases=replace(b.cases, eccentricity=np.array([[0.3]])))
    h = hold(strength=10.0, angle=30.0)
    one = replace(h, tension=np.where((b.xy[:, 0] > 0) & (b.xy[:, 1] > 0), 0.0, h.tension))
    found = limits(b, one, no_margins)
    assert _q(found, "stake: push") == pytest.approx(10.0 * cos(radians(30.0)) * sqrt(0.5), rel=EXACT)
    assert _q(found, "slide") == pytest.approx(10.0 * cos(radians(30.0)) * sqrt(0.5), rel=EXACT)


@pytest.mark.parametrize(("uplift", "weight"), [(8.0, 4.0), (2.0, 1.0)])
def test_what_lee_lines_add_to_the_push(
    uplift: float,
    weight: float,
    one_case: Callable[..., Base],
    hold: Callable[..., Held],
    no_margins: Factors,
) -> None:
    """Wind on the front, push 2 q, q = 1, lines at 30°: each corner up by (uplift - weight)/4; the two lee lines add
    cos 45/tan 30 of that each, and the two that face the push share it.
    """
    b = one_case(4.0, 3.0, uplift, (-2.0, 0.0), NONE)
    net = (uplift - weight) / 4
    share = (2.0 + 2 * net * sqrt(0.5) / tan(radians(30.0))) / (2 * cos(radians(30.0)) * sqrt(0.5))
    asked = tensions(b, hold(weight=weight, strength=1.0, angle=30.0), 1.0, 1.0)
    assert asked["push"][0] == pytest.approx(np.where(b.xy[:, 0] > 0, share, 0.0), rel=EXACT)
    assert asked["uplift"][0] == pytest.approx([2 * net] * 4, rel=EXACT)
    found = limits(b, hold(weight=weight, strength=share, angle=30.0), no_margins)
    assert _q(found, "stake: push") == pytest.approx(1.0, rel=EXACT)
    slide = next(f for f in found if f.name == "slide")
    assert slide.q.shape == (1, 1)
    assert slide.q[0, 0] == pytest.approx(1.0, rel=EXACT)


def test_what_a_lee_foot_of_a_frame_adds(
    one_case: Callable[..., Base], hold: Callable[..., Held], no_margins: Factors
) -> None:
    """Wind on the right, push 2 q, uplift 8 q, weight 4 N; q = 1, lines at 30°. Each foot: up 2 - 1 N, so its own line
    1/sin 30; the lee one adds cos 45/tan 30 to the push of its frame, 1 N, which the windward one holds alone.
    """
    b = one_case(4.0, 3.0, 8.0, (0.0, 2.0), NONE, bearing=90.0)
    found = tensions(b, hold(weight=4.0, strength=1.0, angle=30.0), 1.0, 1.0)
    assert found["uplift"][0] == pytest.approx([2.0] * 4, rel=EXACT)
    assert found["uplift of its frame"][0] == pytest.approx([2.0] * 4, rel=EXACT)
    added = sqrt(0.5) / tan(radians(30.0))
    windward = (1.0 + added) / (cos(radians(30.0)) * sqrt(0.5))
    assert found["push of its frame"][0] == pytest.approx(np.where(b.xy[:, 1] < 0, windward, 0.0), rel=EXACT)
    # at that strength q = 1 is the limit of the foot to windward
    held_by = limits(b, hold(weight=4.0, strength=windward, angle=30.0), no_margins)
    assert _q(held_by, "stake: push of its frame") == pytest.approx(1.0, rel=EXACT)


def test_what_a_lee_foot_of_a_frame_adds_where_the_feet_are_lifted_unlike(
    one_case: Callable[..., Base], hold: Callable[..., Held], no_margins: Factors
) -> None:
    """No uplift in all, 6 q m over the sides: a frame 3 q m, its lee foot 1 q up and the other down; push q each."""
    b = one_case(4.0, 3.0, 0.0, (0.0, 2.0), (0.0, 6.0), bearing=90.0)
    found = tensions(b, hold(strength=1.0, angle=30.0), 1.0, 1.0)
    windward = (1.0 + sqrt(0.5) / tan(radians(30.0))) / (cos(radians(30.0)) * sqrt(0.5))
    assert found["push of its frame"][0] == pytest.approx(np.where(b.xy[:, 1] < 0, windward, 0.0), rel=EXACT)
    assert found["uplift of its frame"][0] == pytest.approx(
        np.where(b.xy[:, 1] > 0, 2.0, 0.0), rel=EXACT, abs=1e-12
    )
    held_by = limits(b, hold(strength=windward, angle=30.0), no_margins)
    assert _q(held_by, "stake: push of its frame") == pytest.approx(1.0, rel=EXACT)


def test_points_on_no_frame_are_asked_for_nothing_frame_by_frame(
    hold: Callable[..., Held], no_margins: Factors
) -> None:
    """A point in the middle of either end, lines or stakes through the foot, no wind to speak of."""
    cases = Cases(
        ("case",), np.array([90.0]), np.array([[0.0]]), np.zeros((1, 2)), np.array([[0.0, 2.0]]), np.zeros((1, 1)),
        np.zeros((1, 1)), np.array([True]), (("",),),
    )  # fmt: skip
    b = base(gable(4.0, 3.0, 1.0, 1.0, 2, 3), cases)
    ends = np.isclose(b.xy[:, 1], 0.0)
    assert ends.sum() == 2
    lines = held([LINE] * 6, no_margins, np.ones(6), 40.0)
    asked = tensions(b, lines, 1.0, 1.0)
    assert np.all(asked["uplift of its frame"][0] == 0.0)
    assert np.all(asked["push of its frame"][0, ends] == 0.0)
    feet = held([FOOT] * 6, no_margins, np.ones(6), 40.0)
    # the base as a whole: a sixth of the push at each; a frame: a quarter at each of its feet
    assert feet_needed(b, feet, 1.0, 7.0)[0] == pytest.approx(np.where(ends, 2.0 / 6.0, 2.0 / 4.0), rel=EXACT)
    name = "stake of a frame foot"
    found = next(f for f in limits(b, feet, no_margins) if f.name == name)
    assert np.all(np.isinf(found.q[0, ends]))
    assert found.q[0, ~ends] == pytest.approx([14.0] * 4, rel=EXACT)


def test_the_foot_beside_a_lost_one_takes_the_push_of_both_frames(no_margins: Factors) -> None:
    """8 q of push on three frames: 2, 4, 2. Without the windward foot of an end frame the line in the middle, square to its
    side, has 6 q and holds 1000 cos 30: full at 144.3 Pa; a rope of half its strength at half of that.
    """
    b = _three_frames(0.0, (0.0, 8.0), NONE)
    b = b.without((b.xy[:, 0] > 0.5) & (b.xy[:, 1] < 0))
    h = held([replace(LINE, pull=1000.0)] * 6, no_margins, np.ones(6), 0.0, b.usable)
    found = limits(b, replace(h, line=np.full((1, 6), 500.0)), no_margins)
    by_hand = 1000.0 * cos(radians(30.0)) / 6.0
    assert _q(found, "stake: push of its frame") == pytest.approx(by_hand, rel=EXACT)
    assert _q(found, "line: push of its frame") == pytest.approx(by_hand / 2, rel=EXACT)


def test_lines_hold_down_and_against_tipping_by_their_upright_part(
    one_case: Callable[..., Base], hold: Callable[..., Held], no_margins: Factors
) -> None:
    """Four lines of 10 N at 30°: 20 N down; 4 N of shelter. Over an end edge the far two count at 4 m, the shelter at 2."""
    b = one_case(4.0, 3.0, 1.0, (0.0, 0.0), (-1.0, 0.0))
    found = limits(b, hold(weight=4.0, strength=10.0, angle=30.0), no_margins)
    assert _q(found, "lift") == pytest.approx(24.0, rel=EXACT)
    # about the edge that it tips over: 2 m x 1 q + 1 q against 4 x 2 + 2 x 5 x 4 N m
    assert _q(found, "overturn") == pytest.approx(48.0 / 3.0, rel=EXACT)
    assert sin(radians(30.0)) == pytest.approx(0.5)


# Lift, and what locked straps add to it


def test_lift_of_points_and_of_frame_feet(
    one_case: Callable[..., Base], hold: Callable[..., Held], no_margins: Factors
) -> None:
    """Uplift 8 q and 3 q m of moment over the sides, 1000 N. A corner: 2 q and 3 q x 1.5/(4 x 1.5²) = 0.5 q, against
    250 N. A frame: 4 q and 1.5 q m, a foot 4 q/2 and 1.5 q/3, against 250 N. The whole: 8 q against 1000 N.
    """
    b = one_case(4.0, 3.0, 8.0, (0.0, 1.0), (0.0, 3.0), bearing=90.0)
    h = hold(weight=1000.0, mu=0.5)
    found = limits(b, h, no_margins)
    assert _q(found, "lift") == pytest.approx(125.0, rel=EXACT)
    assert _q(found, "lift at a point") == pytest.approx(100.0, rel=EXACT)
    assert _q(found, "lift of a frame foot") == pytest.approx(100.0, rel=EXACT)
    more = replace(h, ballast=np.full((1, 4), 25.0))
    found = limits(b, more, no_margins)
    assert _q(found, "lift") == pytest.approx(137.5, rel=EXACT)
    assert _q(found, "lift at a point") == pytest.approx(110.0, rel=EXACT)
    assert _q(found, "lift of a frame foot") == pytest.approx(110.0, rel=EXACT)
    on_lines = limits(b, hold(weight=1000.0, strength=10.0, angle=30.0), no_margins)
    assert not {"lift at a point", "lift of a frame foot"} & {f.name for f in on_lines}


def test_what_locked_straps_lift_comes_off_the_weight_with_its_margin(
    one_case: Callable[..., Base], hold: Callable[..., Held], no_margins: Factors
) -> None:
    """γ 1.5; 250 N at a corner less 1.5 x 40 N, against 1.5 x (2 + 0.5) q."""
    b = one_case(4.0, 3.0, 8.0, (0.0, 1.0), NONE, bearing=90.0).strapped(np.full(4, 40.0), np.full(4, 0.5))
    found = limits(b, hold(weight=1000.0, mu=0.5), replace(no_margins, wind=1.5))
    assert _q(found, "lift at a point") == pytest.approx(190.0 / 3.75, rel=EXACT)
    assert _q(found, "lift of a frame foot") == pytest.approx(190.0 / 3.75, rel=EXACT)
    assert _q(found, "lift") == pytest.approx(1000.0 / 12.0, rel=EXACT)


def test_what_locked_straps_lift_comes_to_lines_and_stakes(
    one_case: Callable[..., Base], hold: Callable[..., Held], no_margins: Factors
) -> None:
    """γ 1.5; corners 1.5 x 2.5 q up; 4 N less 1.5 x 2 N of weight and 10 N of line at 30°, or 5 N of stake: 6 N up."""
    b = one_case(4.0, 3.0, 8.0, (0.0, 1.0), NONE, bearing=90.0).strapped(np.full(4, 2.0), np.full(4, 0.5))
    wind = replace(no_margins, wind=1.5)
    found = limits(b, hold(weight=16.0, strength=10.0, angle=30.0), wind)
    assert _q(found, "stake: uplift") == pytest.approx(6.0 / 3.75, rel=EXACT)
    assert _q(found, "stake: uplift of its frame") == pytest.approx(6.0 / 3.75, rel=EXACT)
    # feet: the side takes 1.5 x q/4 of 3 N at most; (3.75 q - 1)/5 + 0.375 q/3 = 1, so q = 1.2/0.875
    found = limits(b, _feet(3.0, 5.0, 16.0, no_margins), wind)
    assert _q(found, "stake") == pytest.approx(1.2 / 0.875, rel=EXACT)
    assert _q(found, "stake of a frame foot") == pytest.approx(1.2 / 0.875, rel=EXACT)
    lifted = tensions(b, hold(weight=16.0, strength=10.0, angle=30.0), 1.5, 1.0)
    assert lifted["uplift"][0] == pytest.approx([2.75 / 0.5] * 4, rel=EXACT)
    assert lifted["uplift of its frame"][0] == pytest.approx([2.75 / 0.5] * 4, rel=EXACT)
    # and the lee foot of a frame pulls outward by what its line holds: 1.5 x 0.5 q of push, 2.75 cos 45/tan 30 added
    windward = (0.75 + 2.75 * sqrt(0.5) / tan(radians(30.0))) / (cos(radians(30.0)) * sqrt(0.5))
    assert lifted["push of its frame"][0].max() == pytest.approx(windward, rel=EXACT)


# Ratio of a check


def test_ratio_of_a_check() -> None:
    """q over what it stands; 0 in a calm or where nothing is asked; no end where it stands nothing."""
    from anchorage.checks.checks import ratios, worst_pressure

    def check(by: str, q: float) -> Limit:
        return Limit(Check(What.PUSH, by), np.array([[q, 2 * q]]), ("a", "b"), None, None, "Pa")

    some, none, never = check("some", 40.0), check("none", 0.0), check("never", np.inf)
    assert ratio(some, 10.0) == 0.25
    assert ratio(some, 0.0) == 0.0
    assert ratio(none, 0.0) == 0.0
    assert ratio(none, 1.0) == np.inf
    assert ratio(never, 1e9) == 0.0
    assert worst_ratio([some, check("more", 20.0)], 10.0) == 0.5
    assert worst_pressure([some, check("more", 20.0)]) == 20.0
    fixed = Limit(
        Check(What.LEAST_SLIDE),
        np.full((1, 2), np.inf),
        ("a", "b"),
        np.array([[3.0, 0.0]]),
        np.array([[4.0, 0.0]]),
        "N",
        fixed=True,
    )
    assert ratio(fixed, 0.0) == 0.75
    assert ratio(replace(fixed, capacity=np.zeros((1, 2))), 0.0) == np.inf
    assert ratio(replace(fixed, demand=np.array([[0.5, 0.0]])), 0.0) == 0.125
    assert ratio(replace(fixed, demand=np.zeros((1, 2))), 0.0) == 0.0
    found = ratios([fixed, some, none], np.array([0.0, 0.5, 80.0]))
    assert set(found) == {"some: push", "none: push"}
    assert found["some: push"] == pytest.approx([0.0, 0.0125, 2.0], rel=EXACT)
    assert found["none: push"].tolist() == [0.0, np.inf, np.inf]
    assert ratio(check("a breath of wind", 0.5), 1.0) == 2.0
    by_demand = linear(Check(What.LIFT), np.array([[3.0, 2.0]]), np.array([[12.0, 12.0]]), ("a", "b"), "N")
    assert ratio(by_demand, 1.0) == pytest.approx(0.25, rel=EXACT)
    assert ratio(by_demand, 8.0) == pytest.approx(2.0, rel=EXACT)
    assert check("first of equals", 5.0).worst == (0, 0)
    assert Limit("last", np.array([[9.0, 8.0], [7.0, 6.0]]), ("a", "b"), None, None, "Pa").worst == (1, 1)


# What holds at each point


def _ballast(mass: float, mu: float = 0.5) -> Hardware:
    return Hardware(kind="ballast", unit_name="bag", unit_mass=mass, friction=mu)


def test_what_is_held_at_each_point_by_hand(no_margins: Factors) -> None:
    """Shelter of 81 kg on four points, one of them out of use, which keeps its quarter; 2 bags of 10 kg, a line of 3 stakes, 2 stakes in a foot.

    Shelter x 0.9, ballast x 0.8, friction x 0.6; a line rated 900 N has γ 3 and is compared under wind x 1.5: 450 N.
    """
    g = GRAVITY
    margins = replace(no_margins, wind=1.5, shelter=0.9, ballast=0.8, friction=0.6, line=3.0)
    line = Hardware(kind="stakes", unit_name="stake", unit_mass=0.0, friction=0.4, line_angle=30.0, tension=500.0,
                    pull=250.0, line_strength=900.0)  # fmt: skip
    foot = Hardware(kind="stakes", unit_name="stake", unit_mass=0.0, friction=0.3, lateral=70.0, axial=50.0)
    lost = replace(line, friction=0.9)
    h = held(
        [_ballast(10.0), line, foot, lost],
        margins,
        np.array([2, 3, 2, 5]),
        81.0,
        np.array([True, True, True, False]),
    )
    assert np.ravel(h.shelter) == pytest.approx([0.9 * 81.0 * g], rel=EXACT)
    assert np.ravel(h.own) == pytest.approx([0.9 * 20.25 * g] * 4, rel=EXACT)
    assert np.ravel(h.full) == pytest.approx([101.0 * g], rel=EXACT)
    assert np.ravel(h.load) == pytest.approx([20.0 * g, 0.0, 0.0, 0.0], rel=EXACT)
    assert np.ravel(h.ballast) == pytest.approx([0.8 * 20.0 * g, 0.0, 0.0, 0.0], rel=EXACT)
    assert np.ravel(h.friction) == pytest.approx([0.3, 0.24, 0.18, 0.54], rel=EXACT)
    assert np.ravel(h.tension) == pytest.approx([0.0, 750.0, 0.0, 0.0], rel=EXACT)
    assert np.ravel(h.lateral) == pytest.approx([0.0, 0.0, 140.0, 0.0], rel=EXACT)
    assert np.ravel(h.axial) == pytest.approx([0.0, 0.0, 100.0, 0.0], rel=EXACT)
    assert h.line is not None
    assert np.ravel(h.line) == pytest.approx([np.inf, 450.0, np.inf, np.inf], rel=EXACT)
    assert np.ravel(h.angle)[1] == pytest.approx(radians(30.0), rel=EXACT)
    assert (h.mixed, h.label) == (True, "line anchor")


def test_a_line_with_nothing_on_it_holds_nothing_however_strong(no_margins: Factors) -> None:
    line = Hardware(kind="line-ballast", unit_name="block", unit_mass=300.0, friction=0.4, line_angle=30.0, tension=1.0,
                    pull=1.0, line_strength=900.0)  # fmt: skip
    h = held([line] * 4, no_margins, np.array([0, 1, 1, 1]), 0.0)
    assert h.line is not None
    assert np.ravel(h.line) == pytest.approx([0.0, 900.0, 900.0, 900.0], rel=EXACT)
    assert (h.mixed, h.label) == (False, "block")
    # a block on a line is no weight on the frame
    assert np.ravel(h.full) == pytest.approx([0.0], abs=0.0)
    assert held([replace(line, kind="deadman")] * 4, no_margins, np.ones(4), 0.0).label == "deadman"


def test_a_rope_weaker_than_its_stake_is_the_limit(
    one_case: Callable[..., Base], hold: Callable[..., Held], no_margins: Factors
) -> None:
    """Ropes of half of the stakes' pull hold half of the push, and by name."""
    b = one_case(4.0, 3.0, 0.0, (-1.0, 0.0), NONE)
    h = hold(strength=1000.0, angle=30.0)
    found = limits(b, replace(h, line=np.full((1, 4), 500.0)), no_margins)
    assert _q(found, "line: push") == pytest.approx(_q(found, "stake: push") / 2, rel=EXACT)


# Mixed sites: bags at two corners, lines at two


def test_where_lines_and_bags_stand_together_friction_alone_may_carry_the_push(
    one_case: Callable[..., Base], no_margins: Factors
) -> None:
    """Wind on the front, push q. Lines at the two front corners: 2 x 10 cos 30 cos 45 N. Bags: 0.5 x 200 N rub and win."""
    b = one_case(4.0, 3.0, 0.0, (-1.0, 0.0), NONE)
    line = Hardware(
        kind="stakes", unit_name="stake", unit_mass=0.0, friction=0.5, line_angle=30.0, tension=10.0, pull=10.0,
    )  # fmt: skip
    front = b.xy[:, 0] > 0
    hard = [line if f else _ballast(100.0 / GRAVITY) for f in front]
    found = limits(b, held(hard, no_margins, np.ones(4), 0.0), no_margins)
    assert _q(found, "line anchor: push") == pytest.approx(100.0, rel=EXACT)
    assert _q(found, "slide") == pytest.approx(100.0, rel=EXACT)
    # 1 q of uplift takes half of itself away; it is held by the lines meanwhile: 0.25 q at each corner, 5 N there
    up = replace(b, cases=replace(b.cases, uplift=np.array([[1.0]])))
    found = limits(up.under(up.cases), held(hard, no_margins, np.ones(4), 0.0), no_margins)
    assert _q(found, "slide") == pytest.approx(100.0 / 1.5, rel=EXACT)
    light = [line if f else _ballast(10.0 / GRAVITY) for f in front]
    found = limits(b, held(light, no_margins, np.ones(4), 0.0), no_margins)
    lines = 2 * 10.0 * cos(radians(30.0)) * sqrt(0.5)
    assert _q(found, "line anchor: push") == pytest.approx(lines, rel=EXACT)
    # from behind no line faces the push: the bags have to do it
    back = replace(b, cases=replace(b.cases, push=np.array([[1.0, 0.0]]), bearing=np.array([180.0])))
    found = limits(back, held(light, no_margins, np.ones(4), 0.0), no_margins)
    assert _q(found, "slide") == pytest.approx(10.0, rel=EXACT)
    lightest = [line if f else _ballast(0.5 / GRAVITY) for f in front]
    found = limits(back, held(lightest, no_margins, np.ones(4), 0.0), no_margins)
    assert _q(found, "slide") == pytest.approx(0.5, rel=EXACT)
    sized = next(
        f
        for f in linear_limits(back, held(light, no_margins, np.ones(4), 0.0), no_margins)
        if f.name == "slide"
    )
    assert float(np.max(sized.demand)) == pytest.approx(1.0, rel=EXACT)
    sized = next(
        f for f in linear_limits(b, held(light, no_margins, np.ones(4), 0.0), no_margins) if f.name == "slide"
    )
    assert float(np.max(sized.demand)) == 0.0


def test_the_worst_of_a_check_is_found_by_case_and_item() -> None:
    """Three cases at four points; of several draws the first counts; one that stands nothing is the worst of all."""
    q = np.arange(12.0, 24.0).reshape(3, 4)
    q[2, 1] = 5.0
    other = np.full((3, 4), 1.0)
    names = ("a", "b", "c", "d")
    assert Limit("one", q, names, None, None, "Pa").worst == (2, 1)
    assert Limit("draws", np.stack([q, other]), names, None, None, "Pa").worst == (2, 1)
    q[1, 3] = 0.0
    assert Limit("none", q, names, None, None, "Pa").worst == (1, 3)


def test_a_check_that_is_linear_in_the_wind() -> None:
    """12 N against 3 m2: 4 Pa. Straps that lift more than the weight: 0. Nothing asked, or wind that presses: no end."""
    demand, capacity = np.array([[3.0, 3.0, 0.0, 0.0, -2.0]]), np.array([[12.0, -12.0, 0.0, 5.0, 5.0]])
    found = linear(Check(What.LIFT), demand, capacity, tuple("abcde"), "N")
    assert np.ravel(found.q) == pytest.approx([4.0, 0.0, np.inf, np.inf, np.inf], rel=EXACT)


# Frames


def _three_frames(
    uplift: float, push: tuple[float, float], moment: tuple[float, float], *, off: float = 0.0
) -> Base:
    """12 x 3 m, a frame at either end and one in the middle, wind on the right."""
    cases = Cases(
        ("case",), np.array([90.0]), np.array([[uplift]]), np.array([moment]), np.array([push]), np.array([[off]]),
        np.zeros((1, 1)), np.array([True]), (("",),),
    )  # fmt: skip
    return base(gable(12.0, 3.0, 1.0, 1.0, 3, 2), cases)


def test_frames_carry_their_strips() -> None:
    """Ends a quarter, the middle a half; a load off the middle by 1.2 m: 6 x 1.2 (6² - 3²)/12³ = 0.1125 more at one end."""
    b = _three_frames(24.0, (0.0, 8.0), (0.0, 6.0))
    assert sorted(b.frame_weight) == pytest.approx([0.25, 0.25, 0.5], rel=EXACT)
    assert sorted(b.shares.frame_uplift[0]) == pytest.approx([6.0, 6.0, 12.0], rel=EXACT)
    assert sorted(b.shares.frame_push[0]) == pytest.approx([2.0, 2.0, 4.0], rel=EXACT)
    # a foot: half of its frame's uplift, and its moment over 3 m
    middle = np.isclose(b.xy[:, 0], 0.0)
    by_hand = np.where(middle, 6.0, 3.0) + np.sign(b.xy[:, 1]) * np.where(middle, 3.0, 1.5) / 3.0
    assert b.shares.frame[0] == pytest.approx(by_hand, rel=EXACT)
    off = _three_frames(24.0, (0.0, 8.0), (0.0, 6.0), off=1.2)
    assert sorted(off.shares.frame_push[0]) == pytest.approx([8 * 0.1375, 8 * 0.3625, 8 * 0.5], rel=EXACT)
    front = off.frame[np.argmax(off.xy[:, 0])]  # to the left of one who looks into the wind from the right
    assert off.shares.frame_push[0, front] == pytest.approx(8 * 0.3625, rel=EXACT)


def test_a_moment_along_the_ridge_is_shared_by_the_base_as_a_whole() -> None:
    """18 q m over the ends, on feet at 6, 0 and -6 m: 18 x 6/(4 x 6²) at the end feet, nothing in the middle."""
    b = _three_frames(0.0, (0.0, 0.0), (18.0, 0.0))
    assert b.shares.frame[0] == pytest.approx(0.75 * np.sign(np.round(b.xy[:, 0], 9)), abs=1e-12)
    assert b.shares.rigid[0] == pytest.approx(0.75 * np.sign(np.round(b.xy[:, 0], 9)), abs=1e-12)


def test_the_frame_of_a_lost_foot_leaves_half_of_its_push_to_the_frames_beside_it() -> None:
    """8 q on three frames: 2, 4, 2. The lost foot in the middle has 2 of it: 1 goes to either side, 2 stay on the other foot."""
    b = _three_frames(24.0, (0.0, 8.0), NONE)
    x = b.xy[:, 0]
    first, second = (np.flatnonzero(np.isclose(x, at))[0] for at in (0.0, x.max()))
    middle = b.without(np.arange(6) == first)
    assert sorted(frame_loads(middle)[0][0]) == pytest.approx([2.0, 3.0, 3.0], rel=EXACT)
    assert sorted(frame_loads(middle)[1][0]) == pytest.approx([6.0, 9.0, 9.0], rel=EXACT)
    end = b.without(np.arange(6) == second)
    assert sorted(frame_loads(end)[0][0]) == pytest.approx([1.0, 2.0, 5.0], rel=EXACT)
    assert sorted(end.frame_weight) == pytest.approx([0.25, 0.25, 0.5], rel=EXACT)


def test_sums_over_the_feet_of_frames() -> None:
    b = _three_frames(0.0, (0.0, 1.0), NONE)
    x = np.round(b.xy[:, 0], 9)
    by_frame = per_frame(b, np.where(x > 0, 1.0, np.where(x < 0, 100.0, 10.0)))
    assert sorted(by_frame) == pytest.approx([2.0, 20.0, 200.0], rel=EXACT)
    # what straps lift at the foot that is lost is lifted beside it, a half on either side
    lost = b.strapped(np.full(6, 7.0), np.full(6, 0.5)).without((x == 0.0) & (b.xy[:, 1] > 0))
    beside = b.xy[:, 1] > 0
    by_hand = np.where(x == 0.0, np.where(beside, 0.0, 0.5), np.where(beside, 0.75, 0.5))
    assert lost.shares.frame[0] == pytest.approx(by_hand, rel=EXACT)
    assert lost.strap_here == pytest.approx(by_hand * 14.0, rel=EXACT)


def test_two_points_do_not_hold_a_shelter(one_case: Callable[..., Base]) -> None:
    """Nothing spans what two points leave: each of the others is asked for its quarter."""
    b = one_case(4.0, 3.0, 1.0, (0.0, 0.0), NONE)
    assert b.without(np.arange(4) == 0).spanned
    two = b.without(np.arange(4) < 2)
    assert not two.spanned
    assert two.shares.rigid[0, :2] == pytest.approx([0.25, 0.25], rel=EXACT)


def test_base_edges_stand_where_the_walls_are() -> None:
    """12 x 3 m: front and back 6 m from the middle, the sides 1.5 m."""
    b = _three_frames(0.0, (0.0, 1.0), NONE)
    assert b.arms == pytest.approx([6.0, 1.5, 6.0, 1.5], rel=EXACT)
    assert (b.edges * b.arms[:, None]).tolist() == [[6.0, 0.0], [0.0, -1.5], [-6.0, 0.0], [0.0, 1.5]]


# Many at once


LINE = Hardware(
    kind="stakes", unit_name="stake", unit_mass=0.0, friction=0.4, line_angle=30.0, tension=10.0, pull=10.0
)
FOOT = Hardware(kind="stakes", unit_name="stake", unit_mass=0.0, friction=0.3, lateral=7.0, axial=5.0)
COUNTS = np.array([[1, 2, 3, 4], [2, 2, 2, 2], [5, 1, 1, 3]])


@pytest.mark.parametrize(
    "hard",
    [[_ballast(10.0)] * 4, [LINE] * 4, [FOOT] * 4, [_ballast(10.0), LINE, FOOT, LINE]],
    ids=["bags", "lines", "feet", "mix"],
)
@pytest.mark.parametrize("slope", [0.0, 3.0])
def test_many_counts_at_once_are_checked_as_each_by_itself(
    hard: list[Hardware], slope: float, one_case: Callable[..., Base], no_margins: Factors
) -> None:
    """As draws are run: the counts of three teams in one array, wind on the right and some twist."""
    b = _least(replace(one_case(4.0, 3.0, 8.0, (1.0, 4.0), (2.0, 3.0), bearing=90.0), slope=slope), 6.0, 5.0)
    b = replace(b, cases=replace(b.cases, eccentricity=np.array([[0.3]])))
    together = limits(b, held(hard, no_margins, COUNTS, 3.0), no_margins)
    sized = linear_limits(b, held(hard, no_margins, COUNTS, 3.0), no_margins)
    for i, counts in enumerate(COUNTS):
        alone = limits(b, held(hard, no_margins, counts, 3.0), no_margins)
        assert [f.name for f in together] == [f.name for f in alone]
        for many, one in zip(together, alone, strict=True):
            assert np.broadcast_to(many.q, (3, *many.q.shape[-2:]))[i] == pytest.approx(one.q, rel=EXACT), (
                one.name
            )
        for many, one in zip(
            sized, linear_limits(b, held(hard, no_margins, counts, 3.0), no_margins), strict=True
        ):
            for a, c in ((many.demand, one.demand), (many.capacity, one.capacity)):
                assert a is not None
                assert c is not None
                assert np.broadcast_to(a, (3, 1, a.shape[-1]))[i] == pytest.approx(
                    np.broadcast_to(c, (1, a.shape[-1])), rel=EXACT
                ), one.name


def test_bags_are_sized_for_the_cases_that_no_line_faces(no_margins: Factors) -> None:
    """Lines at the front, bags at the back: wind on the front is for the lines, wind on the back for the bags."""
    cases = Cases(
        ("front", "back"), np.array([0.0, 180.0]), np.zeros((2, 1)), np.zeros((2, 2)), np.array([[-1.0, 0.0], [1.0, 0.0]]),
        np.zeros((2, 1)), np.zeros((2, 1)), np.array([False, False]), (("",), ("",)),
    )  # fmt: skip
    b = base(gable(4.0, 3.0, 1.0, 1.0, 2, 2), cases)
    hard = [LINE if x > 0 else _ballast(10.0) for x in b.xy[:, 0]]
    slide = next(
        f for f in linear_limits(b, held(hard, no_margins, np.ones(4), 0.0), no_margins) if f.name == "slide"
    )
    assert slide.demand is not None
    assert slide.demand.tolist() == [[0.0], [1.0]]


def test_where_lines_and_bags_stand_together_friction_may_carry_the_push_of_a_frame(
    one_case: Callable[..., Base], no_margins: Factors
) -> None:
    """Wind on the right, push q; lines there, a bag of 100 N at the other foot of each frame: 50 N rub against 0.5 q."""
    b = one_case(4.0, 3.0, 0.0, (0.0, 1.0), NONE, bearing=90.0)
    right = b.xy[:, 1] < 0
    for weight, by_hand in ((100.0, 100.0), (1.0, 2 * 10.0 * cos(radians(30.0)) * sqrt(0.5))):
        hard = [LINE if r else _ballast(weight / GRAVITY) for r in right]
        found = limits(b, held(hard, no_margins, np.ones(4), 0.0), no_margins)
        assert _q(found, "line anchor: push of its frame") == pytest.approx(by_hand, rel=EXACT)
        asked = tensions(b, held(hard, no_margins, np.ones(4), 0.0), 1.0, 1.0)
        assert all(np.all(t[0, ~right] == 0.0) for t in asked.values())
    weak = held([replace(LINE, pull=0.1, tension=0.1)] * 4, no_margins, np.ones(4), 0.0)
    found = limits(b, weak, no_margins)
    assert _q(found, "stake: push of its frame") == pytest.approx(
        0.2 * cos(radians(30.0)) * sqrt(0.5), rel=EXACT
    )


def test_a_twist_on_lines_that_are_off_the_middle_themselves(no_margins: Factors) -> None:
    """6 m wide, one front corner lost: lines at the middle of the front and at 3 m. Push 0.3 m off: 1 ± 0.3 x 1.5 x 2/4.5."""
    cases = Cases(
        ("case",), np.array([0.0]), np.zeros((1, 1)), np.zeros((1, 2)), np.array([[-1.0, 0.0]]), np.array([[0.3]]),
        np.zeros((1, 1)), np.array([False]), (("",),),
    )  # fmt: skip
    b = base(gable(4.0, 6.0, 1.0, 1.0, 2, 3), cases)
    b = b.without((b.xy[:, 0] > 0) & (b.xy[:, 1] < -1.0))
    asked = tensions(b, held([LINE] * 6, no_margins, np.ones(6), 0.0, b.usable), 1.0, 1.0)["push"][0]
    facing = asked[asked > 0]
    assert facing.max() / facing.min() == pytest.approx(1.2 / 0.8, rel=EXACT)
    assert b.xy[np.argmax(asked), 1] == pytest.approx(3.0)


def test_each_frame_holds_what_its_own_lee_foot_adds(hold: Callable[..., Held], no_margins: Factors) -> None:
    """Three frames, wind on the right, lines at 30°: push 8 q and uplift 24 q are a half on the middle frame, whose lines run
    square to the wall, and a quarter on each end frame, whose lines run at 45°.
    """
    b = _three_frames(24.0, (0.0, 8.0), NONE)
    asked = tensions(b, held([LINE] * 6, no_margins, np.ones(6), 0.0), 1.0, 1.0)["push of its frame"][0]
    up, along, out = 1 / tan(radians(30.0)), cos(radians(30.0)), sqrt(0.5)
    middle, end = (4.0 + 6.0 * up) / along, (2.0 + 3.0 * up * out) / (along * out)
    by_hand = np.where(b.xy[:, 1] > 0, 0.0, np.where(np.isclose(b.xy[:, 0], 0.0), middle, end))
    assert asked == pytest.approx(by_hand, rel=EXACT)


def test_friction_does_not_help_lines_that_stand_everywhere(
    one_case: Callable[..., Base], hold: Callable[..., Held], no_margins: Factors
) -> None:
    """1000 N at μ 0.9 under lines of 10 N: the lines of a frame are full at 2 x 10 cos 30 cos 45 Pa all the same."""
    b = one_case(4.0, 3.0, 0.0, (0.0, 1.0), NONE, bearing=90.0)
    found = limits(b, hold(weight=1000.0, mu=0.9, strength=10.0, angle=30.0), no_margins)
    full = 2 * 10.0 * cos(radians(30.0)) * sqrt(0.5)
    assert _q(found, "stake: push of its frame") == pytest.approx(full, rel=EXACT)
    assert _q(found, "stake: push") == pytest.approx(full, rel=EXACT)


def test_friction_carries_the_push_of_its_own_frame(no_margins: Factors) -> None:
    """Lines of next to nothing on the right, bags on the left: 100 N on the end frames, 10 N on the middle one, μ 0.5. An
    end frame slides at 50/0.25 Pa, the middle one would at 5/0.5, but the whole holds to 105 Pa.
    """
    b = _three_frames(0.0, (0.0, 1.0), NONE)
    middle, right = np.isclose(b.xy[:, 0], 0.0), b.xy[:, 1] < 0
    weak = replace(LINE, tension=1e-6, pull=1e-6)
    hard = [
        weak if r else _ballast((10.0 if m else 100.0) / GRAVITY) for m, r in zip(middle, right, strict=True)
    ]
    found = limits(b, held(hard, no_margins, np.ones(6), 0.0), no_margins)
    q = next(f for f in found if f.name == "line anchor: push of its frame").q[0]
    assert q == pytest.approx(np.where(right, np.where(middle, 105.0, 200.0), np.inf), rel=1e-6)


def test_a_weight_holds_by_its_lever_to_the_edge_that_is_tipped_over(
    one_case: Callable[..., Base], hold: Callable[..., Held], no_margins: Factors
) -> None:
    """10 N at the front right corner alone, 4 m from the back edge, 3 m from the left; none to the front and the right."""
    b = one_case(4.0, 3.0, 1.0, (0.0, 0.0), NONE)
    h = replace(hold(mu=0.5), ballast=np.where((b.xy[:, 0] > 0) & (b.xy[:, 1] < 0), 10.0, 0.0)[None, :])
    tip = next(f for f in limits(b, h, no_margins) if f.name == "overturn")
    assert np.ravel(tip.capacity) == pytest.approx(
        [0.0, 0.0, 40.0, 30.0], abs=1e-9
    )  # front, right, back, left


def test_a_fall_of_one_degree_counts(
    one_case: Callable[..., Base], hold: Callable[..., Held], no_margins: Factors
) -> None:
    b = replace(one_case(4.0, 3.0, 0.0, (-1.0, 0.0), NONE), slope=1.0)
    by_hand = 500.0 * cos(radians(1.0)) - 1000.0 * sin(radians(1.0))
    assert _q(limits(b, hold(weight=1000.0, mu=0.5), no_margins), "slide") == pytest.approx(
        by_hand, rel=EXACT
    )


def test_own_friction_on_a_slope_does_not_do_alone_what_it_does_on_the_level(
    one_case: Callable[..., Base], hold: Callable[..., Held], no_margins: Factors
) -> None:
    """200 N and 600 N downhill are over 0.9 x 800 N, though under 0.9 x 1000 N: the lines are sized for all of it."""
    b = _least(replace(one_case(4.0, 3.0, 0.0, (-1.0, 0.0), NONE), slope=STEEP), 200.0, 0.0)
    sized = _fixed(
        linear_limits(b, hold(weight=1000.0, mu=0.9, strength=10.0, angle=30.0), no_margins), "slide"
    )
    assert np.ravel(sized.demand) == pytest.approx([800.0] * 4, rel=EXACT)


def test_what_stands_at_a_lost_point_does_not_make_a_site_mixed(no_margins: Factors) -> None:
    hard = [LINE, _ballast(10.0), LINE, LINE]
    h = held(hard, no_margins, np.ones(4), 0.0, np.array([True, False, True, True]))
    assert (h.mixed, h.label) == (False, "stake")


# Lines, where a number is small or there is none


def test_lines_under_a_small_push_a_steep_angle_and_no_push(
    one_case: Callable[..., Base], hold: Callable[..., Held], no_margins: Factors
) -> None:
    """0.5 q of push at 70°: 0.5/(2 cos 70 cos 45) on each. Uplift alone asks for no push, whatever lines pull outward."""
    b = one_case(4.0, 3.0, 0.0, (-0.5, 0.0), NONE)
    share = 0.5 / (2 * cos(radians(70.0)) * sqrt(0.5))
    asked = tensions(b, hold(strength=1.0, angle=70.0), 1.0, 1.0)["push"][0]
    assert asked == pytest.approx(np.where(b.xy[:, 0] > 0, share, 0.0), rel=EXACT)
    lifted = one_case(4.0, 3.0, 8.0, (0.0, 0.0), NONE)
    asked = tensions(lifted, hold(strength=1.0, angle=30.0), 1.0, 1.0)
    assert np.all(asked["push"] == 0.0)
    assert asked["uplift"][0] == pytest.approx([4.0] * 4, rel=EXACT)


def test_weight_on_the_frame_counts_for_lines_and_stakes(
    one_case: Callable[..., Base], hold: Callable[..., Held], no_margins: Factors
) -> None:
    """2 N up at each corner, 1 N of shelter and 0.5 N of ballast there: 0.5 N left. Wind on the left, 1 N on each frame."""
    b = one_case(4.0, 3.0, 8.0, (0.0, -2.0), NONE, bearing=270.0)
    on_lines = replace(hold(weight=4.0, strength=1.0, angle=30.0), ballast=np.full((1, 4), 0.5))
    asked = tensions(b, on_lines, 1.0, 1.0)
    assert asked["uplift"][0] == pytest.approx([1.0] * 4, rel=EXACT)
    assert asked["uplift of its frame"][0] == pytest.approx([1.0] * 4, rel=EXACT)
    windward = (1.0 + 0.5 * sqrt(0.5) / tan(radians(30.0))) / (cos(radians(30.0)) * sqrt(0.5))
    assert asked["push of its frame"][0] == pytest.approx(np.where(b.xy[:, 1] > 0, windward, 0.0), rel=EXACT)
    feet = replace(_feet(1e9, 0.25, 4.0, no_margins), ballast=np.full((1, 4), 0.5))
    assert feet_needed(b, feet, 1.0, 1.0)[0] == pytest.approx([2.0] * 4, rel=1e-6)


def test_small_loads_on_stakes_through_feet(one_case: Callable[..., Base], no_margins: Factors) -> None:
    """Half a newton of push on a stake of 0.25 N; half a newton of uplift for each pascal: 0.5 q - 10 <= 50."""
    pushed = one_case(4.0, 3.0, 0.0, (-2.0, 0.0), NONE)
    assert feet_needed(pushed, _feet(0.25, 1.0, 0.0, no_margins), 1.0, 1.0).max() == pytest.approx(
        2.0, rel=EXACT
    )
    lifted = one_case(4.0, 3.0, 2.0, (0.0, 0.0), NONE)
    assert _q(limits(lifted, _feet(20.0, 50.0, 40.0, no_margins), no_margins), "stake") == pytest.approx(
        120.0, rel=EXACT
    )
    mix = held([FOOT, _ballast(10.0), FOOT, FOOT], no_margins, np.ones(4), 0.0)
    assert feet_needed(pushed, mix, 1.0, 7.0)[0] == pytest.approx([0.5, 0.0, 0.5, 0.5], rel=EXACT)


def test_a_foot_whose_partner_is_lost_and_a_bag_in_the_lee(no_margins: Factors) -> None:
    """The windward foot of a frame holds its push whether the lee one is there or not; a bag at the lee foot that lifts pulls nothing outward."""
    b = _three_frames(24.0, (0.0, 8.0), NONE)
    middle, right = np.isclose(b.xy[:, 0], 0.0), b.xy[:, 1] < 0
    lost = b.without(middle & ~right)
    asked = tensions(lost, held([LINE] * 6, no_margins, np.ones(6), 0.0, lost.usable), 1.0, 1.0)
    assert np.all(asked["push of its frame"][0, right] > 0.0)
    bags = held([LINE if r else _ballast(0.01) for r in right], no_margins, np.ones(6), 0.0)
    asked = tensions(b, bags, 1.0, 1.0)["push of its frame"][0]
    along, out = cos(radians(30.0)), sqrt(0.5)
    by_hand = np.where(right, np.where(middle, 4.0 / along, 2.0 / (along * out)), 0.0)
    assert asked == pytest.approx(by_hand, rel=EXACT)


def test_lines_too_weak_for_what_pulls_downhill_hold_no_wind(
    one_case: Callable[..., Base], hold: Callable[..., Held], no_margins: Factors
) -> None:
    for push, bearing, name in (
        ((-1.0, 0.0), 0.0, "stake: push"),
        ((0.0, 1.0), 90.0, "stake: push of its frame"),
    ):
        b = replace(one_case(4.0, 3.0, 0.0, push, NONE, bearing=bearing), slope=STEEP)
        assert _q(limits(b, hold(weight=1000.0, strength=1.0, angle=30.0), no_margins), name) == 0.0


def test_a_twist_brings_the_limit_of_lines_down(
    one_case: Callable[..., Base], hold: Callable[..., Held], no_margins: Factors
) -> None:
    """The line with 1.2 of the mean is full first: two of 10 N hold 2 x 10 cos 45 cos 45/1.2."""
    b = one_case(4.0, 3.0, 0.0, (-1.0, 0.0), NONE)
    b = replace(b, cases=replace(b.cases, eccentricity=np.array([[0.3]])))
    assert _q(limits(b, hold(strength=10.0, angle=45.0), no_margins), "stake: push") == pytest.approx(
        10.0 / 1.2, rel=EXACT
    )


@pytest.mark.parametrize("lines_in_front", [True, False])
def test_uplift_takes_the_largest_friction_of_a_mixed_site_away(
    lines_in_front: bool, one_case: Callable[..., Base], no_margins: Factors
) -> None:
    """Bags of 100 N at μ 0.5 in one end, lines of next to nothing at μ 0.4 in the other; up q, push q: 100/(1 + 0.5)."""
    b = one_case(4.0, 3.0, 1.0, (-1.0, 0.0), NONE)
    weak = replace(LINE, tension=1e-9, pull=1e-9)
    hard = [weak if (x > 0) == lines_in_front else _ballast(100.0 / GRAVITY) for x in b.xy[:, 0]]
    h = held(hard, no_margins, np.ones(4), 0.0)
    added = (
        0.0 if lines_in_front else 2 * 0.25 * sqrt(0.5) / tan(radians(30.0))
    )  # what lines in the lee pull outward
    assert _q(limits(b, h, no_margins), "slide") == pytest.approx(100.0 / (1.5 + added), rel=1e-6)
    drawn = replace(h, friction=np.stack([h.friction, 2 * h.friction]), foot=np.stack([h.foot, 2 * h.foot]))
    found = next(f for f in limits(b, drawn, no_margins) if f.name == "slide")
    assert np.ravel(found.q) == pytest.approx([100.0 / (1.5 + added), 200.0 / (2.0 + added)], rel=1e-6)
