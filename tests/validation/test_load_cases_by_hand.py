"""Load cases from a wall panel and a roof panel, on paper: forces, moments, twists and corners of a lopsided thing.

Own arithmetic. Each face has one wall panel, 0.5 m off the middle, and the roof is 4 m2 at (1, -1): nothing is symmetric, so
that a corner, a sign or a face that is mixed up shows. ASCE 7 design wind load cases: 0.75 of two faces together for the
corners; 0.75 of one face with the push 15 % of its breadth off the middle either way.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from anchorage.checks.footprint import Base, base
from anchorage.formulas.demand import Cases, load_cases
from anchorage.formulas.panels import (
    ByFace,
    Inside,
    Panels,
    inside_part,
    inside_pressure,
    outside_part,
    resultants,
    signed,
)
from anchorage.shelter.shape import gable

PRINTED: dict[str, int] = {}
FACES = ("front", "right", "back", "left")
WALLS = {  # area times outward normal, middle
    "front": ((2.0, 0.0, 0.0), (3.0, 0.5, 1.0)),
    "right": ((0.0, -3.0, 0.0), (0.5, -2.0, 1.0)),
    "back": ((-2.0, 0.0, 0.0), (-3.0, 0.5, 1.0)),
    "left": ((0.0, 3.0, 0.0), (0.5, 2.0, 1.0)),
}
PUSH = {
    "front": (-1.6, 0.0),
    "right": (0.0, 2.4),
    "back": (1.6, 0.0),
    "left": (0.0, -2.4),
}  # 0.8 times the area
TWIST = {"front": 0.8, "right": 1.2, "back": -0.8, "left": -1.2}  # x Fy - y Fx
LIFT = {"front": 2.0, "right": 1.0, "back": 3.0, "left": 4.0}  # suction of 0.5, 0.25, 0.75 and 1 on 4 m2
WIDTH = {"front": 4.0, "right": 6.0, "back": 4.0, "left": 6.0}


def _panels(face: str) -> Panels:
    wall, middle = WALLS[face]
    return Panels(
        ("wall", "roof"), np.array([wall, (0.0, 0.0, 4.0)]), np.array([middle, (1.0, -1.0, 2.0)]), np.ones(2),
        np.array([[0.8, -LIFT[face] / 4.0]]), np.array([False, True]), ("",),
    )  # fmt: skip


def _cases(inside: float = 0.0, **parts: float) -> Cases:
    return load_cases({f: _panels(f) for f in FACES}, WIDTH, 1.0, {"": inside}, 0.75, 0.15, 0.75, **parts)


def test_square_on_each_face() -> None:
    """Uplift and push as above; first moment: uplift at (1, -1), less the push at a height of 1 m."""
    cases = _cases()
    for i, f in enumerate(FACES):
        c = cases.names.index(f"wind on the {f}")
        assert cases.bearing[c] == 90.0 * i
        assert cases.uplift[c] == pytest.approx([LIFT[f]])
        assert cases.push[c] == pytest.approx(PUSH[f])
        assert cases.twist[c] == pytest.approx([TWIST[f]])
        assert cases.moment[c] == pytest.approx([LIFT[f] - PUSH[f][0], -LIFT[f] - PUSH[f][1]])
        assert cases.eccentricity[c, 0] == 0.0
        assert cases.across[c] == (f in ("right", "left"))


def test_twisted_either_way_at_three_quarters() -> None:
    cases = _cases()
    for f in FACES:
        both = [c for c, n in enumerate(cases.names) if n == f"twist: wind on the {f}"]
        assert sorted(cases.eccentricity[both, 0]) == pytest.approx([-0.15 * WIDTH[f], 0.15 * WIDTH[f]])
        for c in both:
            assert cases.uplift[c] == pytest.approx([0.75 * LIFT[f]])
            assert cases.push[c] == pytest.approx(np.multiply(0.75, PUSH[f]))
            assert cases.twist[c] == pytest.approx([0.75 * TWIST[f]])


def test_all_four_corners_with_the_roof_of_either_face() -> None:
    """Two faces at 0.75 each, the roof's uplift whole and from one of them."""
    cases = _cases()
    for i, f in enumerate(FACES):
        g = FACES[(i + 1) % 4]
        both = [c for c, n in enumerate(cases.names) if n == f"wind on the {f}-{g} corner"]
        assert sorted(cases.uplift[both, 0]) == pytest.approx(sorted((LIFT[f], LIFT[g])))
        push = 0.75 * np.add(PUSH[f], PUSH[g])
        for c in both:
            assert cases.bearing[c] == 90.0 * i + 45.0
            assert cases.push[c] == pytest.approx(push)
            assert cases.twist[c] == pytest.approx([0.75 * (TWIST[f] + TWIST[g])])
            u = cases.uplift[c, 0]
            assert cases.moment[c] == pytest.approx([u - push[0], -u - push[1]])
            assert cases.eccentricity[c, 0] == 0.0
            assert cases.across[c]
    assert len(cases.names) == 4 + 8 + 8


def test_pressure_inside_lifts_whole_at_the_corners() -> None:
    """0.5 inside: 2 m2 of uplift; on the front's own panel +1 m2 of push, which twists by -0.5; on the right's -1.5, -0.75."""
    cases = _cases(0.5)
    square = cases.names.index("wind on the front, pressure inside")
    assert cases.uplift[square] == pytest.approx([4.0])
    assert cases.push[square] == pytest.approx([-0.6, 0.0])
    assert cases.twist[square] == pytest.approx([0.3])
    assert cases.moment[square] == pytest.approx([4.0 + 0.6, -4.0])
    both = [c for c, n in enumerate(cases.names) if n == "wind on the front-right corner, pressure inside"]
    found = sorted(
        (float(cases.uplift[c, 0]), *np.round(cases.push[c], 9), round(float(cases.twist[c, 0]), 9))
        for c in both
    )
    # roof and inside of the right face: 1 + 2; of the front: 2 + 2
    assert np.array(found) == pytest.approx(np.array([[3.0, -1.2, 0.3, 0.75], [4.0, -0.2, 1.8, 1.0]]))
    of_front = next(c for c in both if cases.uplift[c, 0] > 3.5)
    assert cases.moment[of_front] == pytest.approx([4.0 + 0.2, -4.0 - 1.8])
    suction = cases.names.index("wind on the front, suction inside")
    assert cases.uplift[suction] == pytest.approx([0.0])


def test_the_roof_adds_to_the_push_and_never_takes_from_it() -> None:
    """Wind on the front: a roof that leans by 1 m2 towards the back and one variant in suction, 0.5, one under pressure,
    0.25: it pushes 0.5 m2 on with the wind, or 0.25 m2 back, and then the wall alone counts. The other faces have one variant.
    """
    front = replace(
        _panels("front"), vector=np.array([(2.0, 0.0, 0.0), (-1.0, 0.0, 4.0)]),
        external=np.array([[0.8, -0.5], [0.8, 0.25]]), variants=("suction", "pressure"),
    )  # fmt: skip
    flat = replace(_panels("right"), external=np.array([[0.8, 0.0]]))
    faces = {"front": front, "right": flat} | {f: _panels(f) for f in ("back", "left")}
    cases = load_cases(faces, WIDTH, 1.0, {"": 0.0}, 0.75, 0.15, 0.75)
    found = {
        n: (float(cases.uplift[c, 0]), *cases.push[c])
        for c, n in enumerate(cases.names)
        if not n.startswith("twist")
    }
    assert found["wind on the front, suction"] == pytest.approx((2.0, -2.1, 0.0))
    assert found["wind on the front, pressure"] == pytest.approx((-1.0, -1.6, 0.0))
    assert found["wind on the front-right corner, suction"] == pytest.approx((2.0, -1.575, 1.8))
    assert found["wind on the front-right corner, pressure"] == pytest.approx((-1.0, -1.2, 1.8))
    assert len([n for n in cases.names if n.startswith("twist")]) == 2 * (2 + 3)
    # a corner with the front: the roof from either face, the front's push with either of its variants
    assert len([n for n in cases.names if "corner" in n]) == 4 + 2 + 2 + 4
    assert np.all(np.isfinite(cases.uplift))


def test_faces_with_more_and_with_fewer_pressures_inside() -> None:
    """Two for wind on the front, one on the others: 2 + 3 cases square, and at a corner those of the face that gives the roof."""
    inside = ByFace(((0.2, -0.3), (0.4,), (-0.6,), (0.1,)))
    cases = load_cases({f: _panels(f) for f in FACES}, WIDTH, 1.0, {"": inside}, 0.75, 0.15, 0.75)
    square = [n for n in cases.names if not n.startswith("twist") and "corner" not in n]
    assert len(square) == 5
    assert len([n for n in cases.names if n.startswith("twist")]) == 10
    assert len([n for n in cases.names if "corner" in n]) == 2 * 5
    c = cases.names.index("wind on the back, suction inside")
    assert cases.uplift[c] == pytest.approx([3.0 - 0.6 * 4.0])


def test_parts_of_a_case_add_up_to_it() -> None:
    """All outside pressure doubled and all inside pressure left out, and the other way round."""
    whole, out, within = (
        _cases(0.5),
        _cases(0.5, outside=2.0, within=0.0),
        _cases(0.5, outside=0.0, within=3.0),
    )
    for name in ("uplift", "moment", "push", "twist"):
        assert getattr(out, name) / 2 + getattr(within, name) / 3 == pytest.approx(
            getattr(whole, name), abs=1e-12
        )


def test_terrain_scales_the_loads_of_its_direction() -> None:
    cases = _cases()
    exposure = np.where(cases.bearing == 90.0, 0.6, 1.0)[:, None]
    over = cases.over(exposure)
    c = cases.names.index("wind on the right")
    assert over.uplift[c] == pytest.approx([0.6])
    assert over.push[c] == pytest.approx([0.0, 1.44])
    assert over.twist[c] == pytest.approx([0.72])
    assert over.moment[c] == pytest.approx([0.6, -0.6 - 1.44])
    few = over.take(np.array([c]))
    assert (few.names, few.bearing.tolist(), few.parts) == (("wind on the right",), [90.0], (over.parts[c],))
    assert few.exposure is not None
    assert few.exposure.tolist() == [[0.6]]


def _on_frames(bearing: float, uplift: float, moment: tuple[float, float]) -> Base:
    cases = Cases(
        ("case",), np.array([bearing]), np.array([[uplift]]), np.array([moment]), np.zeros((1, 2)), np.zeros((1, 1)),
        np.zeros((1, 1)), np.array([bearing == 90.0]), (("",),),
    )  # fmt: skip
    return base(gable(12.0, 3.0, 1.0, 1.0, 3, 2), cases)


def test_wind_along_the_ridge_is_not_for_frames() -> None:
    assert np.all(_on_frames(0.0, 24.0, (18.0, 6.0)).shares.frame == 0.0)


def test_what_a_foot_that_holds_nothing_is_asked_goes_to_its_neighbours_on_its_side() -> None:
    """24 q on three frames, strips 6, 12, 6 q, so 3, 6, 3 q a foot: half of 6 to either side, all of 3 to the one beside a corner."""
    b = _on_frames(90.0, 24.0, (0.0, 0.0))
    side = b.xy[:, 1] > 0
    middle = np.isclose(b.xy[:, 0], 0.0)
    less = b.without(middle & side)
    assert less.spanned
    by_hand = np.where(middle, np.where(side, 0.0, 6.0), np.where(side, 6.0, 3.0))
    assert less.shares.frame[0] == pytest.approx(by_hand)
    first = b.xy[:, 0] > 1.0
    end = b.without(first & side)
    by_hand = np.where(first, np.where(side, 0.0, 3.0), np.where(middle, np.where(side, 9.0, 6.0), 3.0))
    assert end.shares.frame[0] == pytest.approx(by_hand)


def test_nothing_spans_two_neighbours() -> None:
    """Each is asked for its own share, 3 q and 6 q; the one that is left of the side has all that the middle one is asked."""
    b = _on_frames(90.0, 24.0, (0.0, 0.0))
    side, last = b.xy[:, 1] > 0, b.xy[:, 0] < -1.0
    both = b.without(side & ~last)
    assert not both.spanned
    middle = np.isclose(b.xy[:, 0], 0.0)
    by_hand = np.where(side & last, 3.0 + 6.0, np.where(middle, 6.0, 3.0))
    assert both.shares.frame[0] == pytest.approx(by_hand)


def test_pressure_inside_does_not_act_along_a_surface() -> None:
    """Friction along a roof has an outside only: 0.5 inside comes to the wall alone."""
    panels = replace(_panels("front"), within=np.array([1.0, 0.0]))
    assert inside_pressure(panels, 1.0, np.array([[0.5]])).tolist() == [[-0.5, 0.0]]
    part = inside_part(panels, 1.0, (0.5,))
    assert part.uplift.tolist() == [[0.0]]
    assert part.push.tolist() == [[1.0, 0.0]]


def test_the_roof_is_left_out_of_outside_pressure_alone() -> None:
    """A roof that leans by 1 m2: 0.5 inside pushes it by -0.5 and the wall by +1; outside the wall has -1.6, the roof -0.5."""
    panels = replace(_panels("front"), vector=np.array([(2.0, 0.0, 0.0), (-1.0, 0.0, 4.0)]))
    inner, outer = inside_part(panels, 1.0, (0.5,)), outside_part(panels, 1.0)
    assert inner.push.tolist() == inner.push_walls.tolist() == [[0.5, 0.0]]
    assert outer.push[0] == pytest.approx([-2.1, 0.0])
    assert outer.push_walls[0] == pytest.approx([-1.6, 0.0])


def test_pressures_inside_by_face_are_run_for_their_face() -> None:
    """Both for wind on the front, one on the back, none on the sides."""
    inside = ByFace(((0.2, -0.3), (), (-0.6,), ()))
    assert inside
    assert [signed(inside, f) for f in FACES] == [(0.2, -0.3), (), (-0.6,), ()]
    assert not ByFace(((), (), (), ()))
    assert ByFace(((0.2,), (), (), ())) != ByFace(((), (0.2,), (), ()))  # the same largest size
    assert inside == ByFace(((0.2, -0.3), (), (-0.6,), ()))
    others: list[Inside] = [ByFace(((0.2, -0.6), (), (-0.3,), ())), 0.6]  # of the same largest size
    assert inside not in others
    assert signed(0.55, "left") == (0.55, -0.55)
    assert signed(0.0, "left") == (0.0,)


def test_many_loads_at_once_are_shared_as_each_by_itself() -> None:
    """As draws of pressures are run: three draws of two cases, wind along and across the ridge."""
    rng = np.random.default_rng(1)
    one = _on_frames(90.0, 1.0, (0.0, 0.0))
    still = {
        "bearing": np.array([0.0, 90.0]),
        "across": np.array([False, True]),
        "names": ("a", "b"),
        "parts": ((), ()),
    }
    axes = {"uplift": 1, "moment": 2, "push": 2, "eccentricity": 1, "twist": 1}
    drawn = {k: rng.uniform(-5.0, 5.0, (3, 2, n)) for k, n in axes.items()}
    drawn["eccentricity"] = np.broadcast_to(np.array([[0.0], [0.7]]), (3, 2, 1))[0]
    together = one.under(replace(one.cases, **still, **drawn)).shares
    for i in range(3):
        each = {k: v[i] if v.ndim == 3 else v for k, v in drawn.items()}
        alone = one.under(replace(one.cases, **still, **each)).shares
        for name in ("rigid", "push_rigid", "frame", "frame_uplift", "frame_push"):
            assert getattr(together, name).shape == (3, *getattr(alone, name).shape)
            assert getattr(together, name)[i] == pytest.approx(getattr(alone, name), abs=1e-12)


def test_many_pressures_at_once_are_summed_as_each_by_itself() -> None:
    """Two draws of three variants on a wall and a roof."""
    panels = _panels("front")
    pressure = np.random.default_rng(1).uniform(-1.0, 1.0, (2, 3, 2))
    together = resultants(panels, pressure)
    for i in range(2):
        alone = resultants(panels, pressure[i])
        for name in ("uplift", "vertical_moment", "push_moment", "push", "push_walls", "twist"):
            assert getattr(together, name)[i] == pytest.approx(getattr(alone, name), abs=1e-12)
