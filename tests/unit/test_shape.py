"""Shelter forms as surfaces and points: closed, of the right size, cut without loss, the same in a mirror."""

import itertools

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from strategies import number, some

from anchorage.core.closed import FACES
from anchorage.shelter.forms import arch, canopy_gable, canopy_single_slope, hip
from anchorage.shelter.shape import OUTWARD, Surface, anchor_points, gable, single_slope

SIZE = st.tuples(number(1.0, 30.0), number(1.0, 20.0), number(0.5, 6.0), number(0.01, 8.0))
SHAPES = {
    "gable": lambda a, b, z, rise: gable(a, b, z, z + rise, 4, 3),
    "flat": lambda a, b, z, rise: gable(a, b, z, z, 4, 3),
    "high left": lambda a, b, z, rise: single_slope(a, b, z, z + rise, 4, 3, "left"),
    "high right": lambda a, b, z, rise: single_slope(a, b, z, z + rise, 4, 3, "right"),
    "hip": lambda a, b, z, rise: hip(a, b, z, z + rise, 4, 3, None),
    "hip with a short ridge": lambda a, b, z, rise: hip(a, b, z, z + rise, 4, 3, a / 3),
    "pyramid": lambda a, b, z, rise: hip(a, b, z, z + rise, 4, 3, 0.0),
    "arch": lambda a, b, z, rise: arch(a, b, z, z + min(rise, b / 2), 4, 3),
    "arch from the ground": lambda a, b, z, rise: arch(a, b, 0.0, min(rise, b / 2), 4, 3),
}
EVERY = pytest.mark.parametrize("form", SHAPES)


def total(shape):
    return sum(s.area for s in shape.surfaces)


@EVERY
@some(0.3)
@given(size=SIZE)
def test_walls_and_roof_close_over_the_base(form, size):
    """The area vectors of a closed surface add up to nothing: walls and roof to that of the base, straight up."""
    shape = SHAPES[form](*size)
    base = np.array([0.0, 0.0, -shape.plan_area])
    closed = sum(s.vector for s in shape.surfaces) + base
    # an arch's facets are cut from the circle; its ends are the true segments, which are none of one another's business
    assert np.abs(closed).max() <= 1e-12 * total(shape)


@EVERY
@some(0.3)
@given(size=SIZE)
def test_every_surface_looks_outward_and_is_flat(form, size):
    shape = SHAPES[form](*size)
    inside = np.array([0.0, 0.0, shape.eave / 2 if shape.eave else shape.ridge / 4])
    for s in shape.surfaces:
        assert s.vector @ (s.centroid - inside) > 0, s.name
        off = (s.vertices - s.vertices[0]) @ (s.vector / s.area)
        assert np.abs(off).max() <= 1e-12 * np.sqrt(total(shape)), s.name
        if s.wall is not None:
            np.testing.assert_allclose(s.vector[:2] / s.area, OUTWARD[s.wall], atol=1e-12)
            assert abs(s.vector[2]) <= 1e-12 * s.area
        else:
            assert s.vector[2] > 0
            assert s.centroid[2] >= shape.eave - 1e-12


@EVERY
@some(0.3)
@given(size=SIZE)
def test_the_volume_under_the_surfaces_is_the_same_along_each_axis(form, size):
    """By the divergence theorem the volume is the sum of x·Ax, and of y·Ay, and of z·Az: areas and first moments at once."""
    shape = SHAPES[form](*size)
    along = [sum(s.vector[k] * s.centroid[k] for s in shape.surfaces) for k in range(3)]
    assert min(along) > 0
    if not form.startswith("arch"):  # its flat facets and its round ends differ by the slivers between them
        assert along == pytest.approx([along[0]] * 3, rel=1e-11)


@some(0.5)
@given(size=SIZE)
def test_areas_and_middles_of_a_gable_are_as_by_hand(size):
    a, b, z, rise = size
    shape = gable(a, b, z, z + rise, 4, 3)
    front, right, back, left = shape.walls
    assert [w.wall for w in shape.walls] == list(FACES)
    assert front.area == pytest.approx(b * z + b * rise / 2, rel=1e-12)
    assert back.area == pytest.approx(front.area, rel=1e-12)
    assert right.area == left.area == pytest.approx(a * z, rel=1e-12)
    slope = np.hypot(b / 2, rise)
    assert [r.area for r in shape.roofs] == pytest.approx([a * slope] * 2, rel=1e-12)
    # first moment of rectangle and triangle about the ground
    height = (b * z**2 / 2 + b * rise / 2 * (z + rise / 3)) / front.area
    np.testing.assert_allclose(front.centroid, [a / 2, 0.0, height], rtol=1e-12, atol=1e-12 * a)
    np.testing.assert_allclose(left.centroid, [0.0, b / 2, z / 2], rtol=1e-12, atol=1e-12 * a)
    for roof, sign in zip(shape.roofs, (-1, 1), strict=True):
        np.testing.assert_allclose(
            roof.centroid, [0.0, sign * b / 4, z + rise / 2], rtol=1e-12, atol=1e-12 * a
        )
    assert shape.slope == pytest.approx(np.degrees(np.arctan(2 * rise / b)), rel=1e-12)
    assert shape.roof_height(10.0) == (z if shape.slope <= 10.0 else pytest.approx(z + rise / 2))
    assert sum(r.vector[2] for r in shape.roofs) == pytest.approx(shape.plan_area, rel=1e-12)


@given(size=SIZE, high=st.sampled_from(["left", "right"]))
def test_areas_and_middles_of_a_single_slope_are_as_by_hand(size, high):
    a, b, z, rise = size
    shape = single_slope(a, b, z, z + rise, 4, 3, high)
    walls = {w.wall: w for w in shape.walls}
    low = "right" if high == "left" else "left"
    assert shape.low_side == low
    assert walls[high].area == pytest.approx(a * (z + rise), rel=1e-12)
    assert walls[low].area == pytest.approx(a * z, rel=1e-12)
    trapezium = b * (z + rise / 2)
    toward = (1 if high == "left" else -1) * b * (b * rise / 12) / trapezium
    height = (b * z**2 / 2 + b * rise / 2 * (z + rise / 3)) / trapezium
    for end, x in (("front", a / 2), ("back", -a / 2)):
        assert walls[end].area == pytest.approx(trapezium, rel=1e-12)
        np.testing.assert_allclose(walls[end].centroid, [x, toward, height], rtol=1e-11, atol=1e-12 * a)
    (roof,) = shape.roofs
    assert roof.area == pytest.approx(a * np.hypot(b, rise), rel=1e-12)
    np.testing.assert_allclose(roof.centroid, [0.0, 0.0, z + rise / 2], rtol=1e-12, atol=1e-12 * a)
    assert shape.slope == pytest.approx(np.degrees(np.arctan(rise / b)), rel=1e-12)


@EVERY
@some(0.3)
@given(size=SIZE, cuts=st.lists(number(-0.7, 0.7), min_size=1, max_size=4), axis=st.integers(0, 1))
def test_the_pieces_of_a_surface_are_the_whole(form, size, cuts, axis):
    shape = SHAPES[form](*size)
    bounds = [-1e3, *sorted({c * size[axis] for c in cuts}), 1e3]
    for s in shape.roofs:
        pieces = [p for p in (s.between(axis, a, b) for a, b in itertools.pairwise(bounds)) if p]
        assert sum(p.area for p in pieces) == pytest.approx(s.area, rel=1e-9, abs=1e-10)
        moment = sum(p.area * p.centroid for p in pieces)
        np.testing.assert_allclose(moment, s.area * s.centroid, rtol=1e-9, atol=1e-9 * total(shape))
        for p, a, b in zip(pieces, bounds, bounds[1:], strict=False):
            assert p.wall == s.wall
            assert a <= b
    assert s.between(axis, 2e3, 3e3) is None


def test_a_surface_in_a_mirror_has_its_vector_in_the_mirror():
    points = np.array([(0.0, 0.0, 0.0), (2.0, 0.0, 0.0), (2.0, 1.0, 1.0), (0.0, 1.0, 1.0)])
    s, t = Surface("s", points), Surface("t", (points * [1, -1, 1])[::-1])
    np.testing.assert_allclose(t.vector, s.vector * [1, -1, 1], atol=1e-15)
    np.testing.assert_allclose(t.centroid, s.centroid * [1, -1, 1], atol=1e-15)


@given(size=SIZE, high=st.sampled_from(["left", "right"]))
def test_a_canopy_is_the_roof_of_the_form_with_walls(size, high):
    a, b, z, rise = size
    one, other = canopy_gable(a, b, z, z + rise, 4, 3), gable(a, b, z, z + rise, 4, 3)
    assert [s.vector.tolist() for s in one.surfaces] == [s.vector.tolist() for s in other.roofs]
    one, other = (
        canopy_single_slope(a, b, z, z + rise, 4, 3, high),
        single_slope(a, b, z, z + rise, 4, 3, high),
    )
    assert [s.vector.tolist() for s in one.surfaces] == [s.vector.tolist() for s in other.roofs]
    assert one.low_side == other.low_side
    assert not one.walls


@given(st.integers(2, 9), st.integers(2, 9), number(1.0, 30.0), number(1.0, 20.0))
def test_the_points_stand_round_the_base_corners_in_both(side, end, length, width):
    points = anchor_points(length, width, side, end)
    assert (
        len(points)
        == 2 * side + 2 * (end - 2)
        == len({p.id for p in points})
        == len({(p.x, p.y) for p in points})
    )
    assert sum(p.group == "corner" for p in points) == 4
    place = {(round(p.x, 9), round(p.y, 9)) for p in points}
    assert {(-x, y) for x, y in place} == place == {(x, -y) for x, y in place}
    for p in points:
        assert abs(p.x) == pytest.approx(length / 2) or abs(p.y) == pytest.approx(width / 2)
        assert np.hypot(*p.outward) == pytest.approx(1.0)
        assert p.outward[0] * p.x + p.outward[1] * p.y > 0
        assert (p.frame is None) == (p.group == "end")
    by_id = {p.id: p for p in points}
    assert by_id["L1"].x == length / 2  # from the front, left first, as seen looking out of the front
    assert by_id["L1"].y == width / 2
    if end > 2:
        assert by_id["F2"].y > by_id[f"F{end - 1}"].y or end == 3
