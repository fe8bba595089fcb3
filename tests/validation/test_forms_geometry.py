"""Forms of shelters as areas and moments: every surface against closed forms and against sums of our own.

No source: geometry. Tolerance 1e-12, of sums in double precision. The arch is checked against the circle that it stands for:
the resultant of a pressure that is constant between two angles, in size, direction and place, is that on the true arc.
"""

import itertools
import math

import numpy as np
import pytest
from scipy.integrate import quad

from anchorage.core.closed import FACES
from anchorage.shelter.forms import arc_cuts, arch, canopy_gable, canopy_single_slope, circle, hip
from anchorage.shelter.shape import Shape, gable, single_slope

SIZES = [(12.0, 6.0, 2.1, 3.3), (5.5, 7.5, 2.4, 3.7), (30.0, 9.0, 3.0, 3.4)]
REL = 1e-12


def _all(length: float, width: float, eave: float, ridge: float) -> list[Shape]:
    size = (length, width, eave, ridge, 4, 3)
    return [
        gable(*size), single_slope(*size, "left"), single_slope(*size, "right"), hip(*size, None),
        hip(*size, length / 3), arch(*size), arch(length, width, 0.0, ridge, 4, 3), canopy_gable(*size),
        canopy_single_slope(*size, "left"), canopy_single_slope(*size, "right"),
    ]  # fmt: skip


def _by_triangles(vertices: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """Area vector and first moment of area vector's size, from another corner than the program's."""
    o = vertices.mean(axis=0)
    total, moment = np.zeros(3), np.zeros(3)
    for a, b in zip(vertices, np.roll(vertices, -1, axis=0), strict=True):
        v = np.cross(a - o, b - o) / 2
        total = total + v
        moment = moment + np.linalg.norm(v) * (a + b + o) / 3
    return total, moment


@pytest.mark.parametrize("size", SIZES)
@pytest.mark.parametrize("k", range(10))
def test_panels_close_on_the_ground_and_sum_to_the_plan(size: tuple[float, ...], k: int) -> None:
    """Outward area vectors of walls and roof sum to the plan area, upward; what faces one way faces the other too."""
    shape = _all(*size)[k]
    total = np.sum([s.vector for s in shape.surfaces], axis=0)
    plan = shape.length * shape.width
    sideways = (shape.ridge - shape.eave) * shape.length if shape.form == "canopy-single-slope" else 0.0
    assert total[2] == pytest.approx(plan, rel=REL)
    assert total[0] == pytest.approx(0.0, abs=1e-11 * plan)
    assert abs(total[1]) == pytest.approx(sideways, rel=REL, abs=1e-11 * plan)
    assert all(s.vector[2] > 0 for s in shape.roofs)


@pytest.mark.parametrize("size", SIZES)
@pytest.mark.parametrize("k", range(10))
def test_every_flat_surface_against_triangles_of_its_own(size: tuple[float, ...], k: int) -> None:
    for s in _all(*size)[k].surfaces:
        if s.exact is None:
            vector, moment = _by_triangles(s.vertices)
            assert s.vector == pytest.approx(vector, rel=REL, abs=1e-12)
            assert s.centroid * s.area == pytest.approx(moment, rel=1e-11, abs=1e-11)


@pytest.mark.parametrize(("length", "width", "eave", "ridge"), SIZES)
def test_hip_against_closed_forms(length: float, width: float, eave: float, ridge: float) -> None:
    top, rise = length / 3, ridge - eave
    shape = hip(length, width, eave, ridge, 4, 3, top)
    area = {s.name: s.area for s in shape.surfaces}
    side, end = math.hypot(width / 2, rise), math.hypot((length - top) / 2, rise)
    assert area["left roof"] == pytest.approx((length + top) / 2 * side, rel=REL)
    assert area["right roof"] == pytest.approx((length + top) / 2 * side, rel=REL)
    assert area["front roof"] == pytest.approx(width * end / 2, rel=REL)
    by = {s.name: s.centroid for s in shape.surfaces}
    # a triangle has its centroid a third up; a trapezoid a third of (a + 2b)/(a + b)
    assert by["front roof"].tolist() == pytest.approx(
        [length / 2 - (length - top) / 6, 0.0, eave + rise / 3], rel=REL
    )
    share = (length + 2 * top) / (3 * (length + top))
    assert by["left roof"].tolist() == pytest.approx(
        [0.0, width / 2 * (1 - share), eave + rise * share], rel=1e-11, abs=1e-12
    )
    assert shape.slope_to("left") == pytest.approx(math.degrees(math.atan2(rise, width / 2)), rel=REL)
    assert shape.slope_to("front") == pytest.approx(
        math.degrees(math.atan2(rise, (length - top) / 2)), rel=REL
    )


def test_hip_left_to_itself_slopes_the_same_all_round_or_is_a_pyramid() -> None:
    even = hip(12.0, 6.0, 2.0, 3.0, 4, 3, None)
    assert even.slope_to("front") == pytest.approx(even.slope, rel=REL)
    assert even.ridge_length == 6.0
    pyramid = hip(6.0, 6.0, 2.0, 3.0, 4, 3, None)
    assert [len(s.vertices) for s in pyramid.roofs] == [3, 3, 3, 3]


@pytest.mark.parametrize(
    ("width", "eave", "rise"),
    [(6.0, 2.0, 0.9), (6.0, 2.0, 1.5), (7.0, 0.0, 3.5), (5.0, 0.0, 3.0), (8.0, 1.2, 2.4)],
)
def test_arch_against_the_circle_it_stands_for(width: float, eave: float, rise: float) -> None:
    shape = arch(10.0, width, eave, eave + rise, 4, 3)
    radius, half = circle(width, rise)
    low = eave + rise - radius
    assert radius * math.sin(half) == pytest.approx(width / 2, rel=REL)
    assert radius * math.cos(half) == pytest.approx(radius - rise, rel=1e-11, abs=1e-12)
    angles = arc_cuts(width, rise)
    for quarter in (half / 2, math.asin(width / 4 / radius), 0.0):
        assert np.abs(angles - quarter).min() < 1e-12
        assert np.abs(angles + quarter).min() < 1e-12
    for facet, a, b in zip(shape.roofs, angles[:-1], angles[1:], strict=True):
        # force of a unit pressure on the true arc between two angles, and its moment about the crown's axis at the ground
        across = 10.0 * radius * (math.cos(a) - math.cos(b))
        upward = 10.0 * radius * (math.sin(b) - math.sin(a))
        assert facet.vector[1:].tolist() == pytest.approx([across, upward], rel=1e-11, abs=1e-11)
        moment = quad(
            lambda t: (
                10.0
                * radius
                * (radius * math.sin(t) * math.cos(t) - (low + radius * math.cos(t)) * math.sin(t))
            ),
            a,
            b,
            epsabs=1e-13,
        )[0]
        y, z = facet.centroid[1:]
        assert y * facet.vector[2] - z * facet.vector[1] == pytest.approx(moment, rel=1e-10, abs=1e-10)


@pytest.mark.parametrize(
    ("width", "eave", "rise"), [(6.0, 2.0, 0.9), (7.0, 0.0, 3.5), (5.0, 0.0, 3.0), (8.0, 1.2, 2.4)]
)
def test_end_walls_of_an_arch_by_integration(width: float, eave: float, rise: float) -> None:
    """Area and height of the centroid under the true arc, integrated across the angle; a half circle has π r²/2 and 4r/3π."""
    shape = arch(10.0, width, eave, eave + rise, 4, 3)
    radius, half = circle(width, rise)
    low = eave + rise - radius

    def height(t: float) -> float:
        return low + radius * math.cos(t)

    area = quad(lambda t: height(t) * radius * math.cos(t), -half, half, epsabs=1e-13)[0]
    first = quad(lambda t: height(t) ** 2 / 2 * radius * math.cos(t), -half, half, epsabs=1e-13)[0]
    ends = {s.wall: s for s in shape.walls if s.wall in ("front", "back")}
    for wall, sign in (("front", 1.0), ("back", -1.0)):
        assert ends[wall].vector.tolist() == pytest.approx([sign * area, 0.0, 0.0], rel=1e-11)
        assert ends[wall].centroid.tolist() == pytest.approx([sign * 5.0, 0.0, first / area], rel=1e-11)
    if (width, eave, rise) == (7.0, 0.0, 3.5):
        assert area == pytest.approx(math.pi * 3.5**2 / 2, rel=REL)
        assert first / area == pytest.approx(4 * 3.5 / (3 * math.pi), rel=REL)
    assert ends["front"].vertices[:, 2].max() == pytest.approx(eave + rise, rel=REL)


def test_an_arch_from_the_ground_has_no_side_walls_and_the_roof_is_their_area() -> None:
    shape = arch(10.0, 6.0, 0.0, 3.0, 4, 3)
    assert [s.wall for s in shape.walls] == ["front", "back"]
    assert shape.roof_area == 0.0
    assert shape.sides[1] == pytest.approx(sum(s.area for s in shape.roofs) / 2, rel=REL)
    assert shape.sides[1] == pytest.approx(
        math.pi * 3.0 / 2 * 10.0, rel=5e-3
    )  # facets are a little shorter than the arc


@pytest.mark.parametrize("k", range(10))
@pytest.mark.parametrize("axis", [0, 1])
def test_strips_of_a_surface_keep_its_area_and_first_moment(k: int, axis: int) -> None:
    rng = np.random.default_rng(k)
    for s in _all(*SIZES[0])[k].roofs:
        cuts = np.sort(rng.uniform(s.vertices[:, axis].min(), s.vertices[:, axis].max(), 3))
        bounds = [-99.0, *cuts, 99.0]
        pieces = [p for a, b in itertools.pairwise(bounds) if (p := s.between(axis, a, b)) is not None]
        assert np.sum([p.vector for p in pieces], axis=0) == pytest.approx(s.vector, rel=1e-11, abs=1e-11)
        assert np.sum([p.area * p.centroid for p in pieces], axis=0) == pytest.approx(
            s.area * s.centroid, rel=1e-11, abs=1e-11
        )


@pytest.mark.parametrize("k", range(10))
def test_points_stand_on_the_edges_of_the_base(k: int) -> None:
    shape = _all(*SIZES[0])[k]
    assert len(shape.points) == 2 * 4 + 2 * (3 - 2)
    assert len({p.id for p in shape.points}) == len(shape.points)
    for p in shape.points:
        assert abs(p.x) == pytest.approx(6.0) or abs(p.y) == pytest.approx(3.0)
        assert math.hypot(*p.outward) == pytest.approx(1.0)
    assert {
        f
        for f in FACES
        if any(
            p.x * {"front": 1, "back": -1}.get(f, 0) > 0 or p.y * {"left": 1, "right": -1}.get(f, 0) > 0
            for p in shape.points
        )
    } == set(FACES)
