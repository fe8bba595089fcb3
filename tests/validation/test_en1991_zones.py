"""Pressure coefficients of EN 1991-1-4, cell by cell, and the zones as areas.

Sources and their grade
    Table 7.1 (walls), table 7.2 (flat roofs) and fig. 7.5: an open module (K. Mela, MIT) and a Bulgarian edition's roof tables
        (code, second hand); tables 7.4a and 7.4b (duopitch): that edition.
    O2: "Steel Buildings in Europe, single-storey, part 3", appendix B (Commission project): b 32, d 60, h 8, wind on the gable:
        e 16, zone A 3.2 m, B 12.8 m, C 44 m, D +0.7, E -0.3.
    O9: one published reading of fig. 7.11 (vaulted roofs): B -0.96 at f/d 0.26, which the centre half of ASCE 7 equals.
Tolerance: exact where a table was typed; zones 1e-12 (areas of polygons).
"""

import math

import numpy as np
import pytest

from anchorage.core.closed import FACES
from anchorage.core.errors import NotModelledError
from anchorage.formulas.coefficients import arch_coefficient
from anchorage.formulas.panels import ByFace
from anchorage.loads.en1991 import inside, roof_values, wall_coefficients
from anchorage.loads.pressures import panels
from anchorage.shelter.forms import arch, hip
from anchorage.shelter.shape import Shape, gable, single_slope

BIG = 1000.0  # m2: cpe,10
WALLS = {  # h/d: A, B, C, D, E, cpe,10 and cpe,1
    5.0: ((-1.2, -0.8, -0.5, 0.8, -0.7), (-1.4, -1.1, -0.5, 1.0, -0.7)),
    1.0: ((-1.2, -0.8, -0.5, 0.8, -0.5), (-1.4, -1.1, -0.5, 1.0, -0.5)),
    0.25: ((-1.2, -0.8, -0.5, 0.7, -0.3), (-1.4, -1.1, -0.5, 1.0, -0.3)),
}
FLAT = ({"F": -1.8, "G": -1.2, "H": -0.7}, {"F": -2.5, "G": -2.0, "H": -1.2})
ACROSS = {  # alpha: F, G, H, I, J; in suction and in pressure, None where no value of the sign is printed
    5: ((-1.7, -1.2, -0.6, -0.6, -0.6), (0.0, 0.0, 0.0, None, 0.2)),
    15: ((-0.9, -0.8, -0.3, -0.4, -1.0), (0.2, 0.2, 0.2, 0.0, 0.0)),
    30: ((-0.5, -0.5, -0.2, -0.4, -0.5), (0.7, 0.7, 0.4, 0.0, 0.0)),
    45: ((0.0, 0.0, 0.0, -0.2, -0.3), (0.7, 0.7, 0.6, 0.0, 0.0)),
    60: ((None, None, None, -0.2, -0.3), (0.7, 0.7, 0.7, None, None)),
    75: ((None, None, None, -0.2, -0.3), (0.8, 0.8, 0.8, None, None)),
}
ACROSS_SMALL = {  # cpe,1 in suction
    5: (-2.5, -2.0, -1.2, -0.6, -0.6), 15: (-2.0, -1.5, -0.3, -0.4, -1.5), 30: (-1.5, -1.5, -0.2, -0.4, -0.5),
}  # fmt: skip
ALONG = {  # alpha: F, G, H, I; cpe,10 and cpe,1
    5: ((-1.6, -1.3, -0.7, -0.6), (-2.2, -2.0, -1.2, -0.6)),
    15: ((-1.3, -1.3, -0.6, -0.5), (-2.0, -2.0, -1.2, -0.5)),
    30: ((-1.1, -1.4, -0.8, -0.5), (-1.5, -2.0, -1.2, -0.5)),
    45: ((-1.1, -1.4, -0.9, -0.5), (-1.5, -2.0, -1.2, -0.5)),
    60: ((-1.1, -1.2, -0.8, -0.5), (-1.5, -2.0, -1.0, -0.5)),
    75: ((-1.1, -1.2, -0.8, -0.5), (-1.5, -2.0, -1.0, -0.5)),
}
PRINTED = {
    "walls": sum(len(v) for cell in WALLS.values() for v in cell),
    "flat": sum(len(v) for v in FLAT) + 2,
    "across": sum(v is not None for cell in ACROSS.values() for signs in cell for v in signs),
    "across, small areas": sum(len(v) for v in ACROSS_SMALL.values()),
    "along": sum(len(v) for cell in ALONG.values() for v in cell),
    "O2": 5,
    "O9": 1,
}
ONES = dict.fromkeys(FACES, 1.0)


def _at(shape_slope: float, width: float = 12.0, length: float = 15.0, eave: float = 3.0) -> Shape:
    return gable(length, width, eave, eave + width / 2 * math.tan(math.radians(shape_slope)), 3, 3)


@pytest.mark.parametrize("ratio", WALLS)
def test_every_cell_of_table_7_1(ratio: float) -> None:
    large, small = WALLS[ratio]
    assert tuple(wall_coefficients(ratio, BIG).values()) == large
    assert tuple(wall_coefficients(ratio, 1.0).values()) == pytest.approx(small, abs=1e-15)


def test_walls_between_rows_and_between_areas() -> None:
    """Linear in h/d, and by the logarithm of the area: at the square root of 10 m2 half way."""
    assert wall_coefficients(0.625, BIG)["D"] == pytest.approx(0.75)
    assert wall_coefficients(3.0, BIG)["E"] == pytest.approx(-0.6)
    assert wall_coefficients(0.1, BIG)["E"] == -0.3
    assert wall_coefficients(1.0, math.sqrt(10.0))["A"] == pytest.approx(-1.3)
    with pytest.raises(NotModelledError, match="h/d"):
        wall_coefficients(5.1, BIG)


@pytest.mark.parametrize("alpha", ACROSS)
def test_every_cell_of_table_7_4a(alpha: int) -> None:
    suction, pressure = (dict(zip("FGHIJ", v, strict=True)) for v in ACROSS[alpha])
    sets = [values for _, values in roof_values(float(alpha), across=True, area=BIG)]
    for zone in "FGHIJ":
        printed = {v for v in (suction[zone], pressure[zone]) if v is not None}
        assert {values[zone] for values in sets} == printed
    for values in sets:  # no sign is mixed on one slope
        for slope in ("FGH", "IJ"):
            both = [source[z] for source in (suction, pressure) for z in slope if source[z] == values[z]]
            assert both
            assert not (
                any(values[z] > 0 for z in slope)
                and any(values[z] < 0 for z in slope if pressure[z] is not None)
            )


@pytest.mark.parametrize("alpha", ACROSS_SMALL)
def test_table_7_4a_for_small_areas(alpha: int) -> None:
    values = roof_values(float(alpha), across=True, area=1.0)[0][1]
    assert tuple(values[z] for z in "FGHIJ") == pytest.approx(ACROSS_SMALL[alpha], abs=1e-15)


@pytest.mark.parametrize("alpha", ALONG)
def test_every_cell_of_table_7_4b(alpha: int) -> None:
    large, small = ALONG[alpha]
    assert tuple(roof_values(float(alpha), across=False, area=BIG)[0][1].values()) == large
    assert tuple(roof_values(float(alpha), across=False, area=1.0)[0][1].values()) == pytest.approx(
        small, abs=1e-15
    )


def test_every_cell_of_table_7_2() -> None:
    for area, printed in ((BIG, FLAT[0]), (1.0, FLAT[1])):
        sets = roof_values(2.0, across=True, area=area)
        for (_, values), last in zip(sets, (-0.2, 0.2), strict=True):
            assert values == pytest.approx(printed | {"I": last}, abs=1e-15)


def test_between_rows_only_values_of_one_sign_are_joined() -> None:
    """At 10° H runs from -0.6 to -0.3 in suction and from 0.0 to +0.2 in pressure; I has a single value up to 15°."""
    by = dict(roof_values(10.0, across=True, area=BIG))
    found = {z: sorted({round(v[z], 12) for v in by.values()}) for z in "HIJ"}
    assert found == {"H": [-0.45, 0.1], "I": [-0.5], "J": [-0.8, 0.1]}
    with pytest.raises(NotModelledError, match="75"):
        roof_values(76.0, across=True, area=BIG)


def test_o2_zones_of_the_printed_building() -> None:
    shape = gable(60.0, 32.0, 8.0, 8.0, 3, 3)
    p = panels(shape, "front", ONES, "en1991")
    area = dict(zip(p.names, np.linalg.norm(p.vector, axis=1), strict=True))
    value = dict(zip(p.names, p.external[0], strict=True))
    assert [area[f"left wall, zone {z}"] / 8.0 for z in "ABC"] == pytest.approx([3.2, 12.8, 44.0], rel=1e-12)
    assert value["front wall, zone D"] == 0.7
    assert value["back wall, zone E"] == -0.3


def test_wall_zones_of_a_narrow_face_go_by_its_breadth() -> None:
    """Wind on a front 4 m wide and 3.5 m high: e = min(4, 7) = 4, so A 0.8, B 3.2 and C 11 of 15 m."""
    p = panels(gable(15.0, 4.0, 3.0, 3.5, 3, 3), "front", ONES, "en1991")
    area = dict(zip(p.names, np.linalg.norm(p.vector, axis=1), strict=True))
    assert [area[f"left wall, zone {z}"] / 3.0 for z in "ABC"] == pytest.approx([0.8, 3.2, 11.0], rel=1e-12)


@pytest.mark.parametrize("slope", [0.0, 8.0, 25.0, 50.0])
@pytest.mark.parametrize("face", FACES)
def test_zones_are_the_areas_of_the_figures(slope: float, face: str) -> None:
    """Plan areas of F to J worked out by hand: e = min(b, 2h); e/4 corners, e/10 strips, e/2, behind the ridge."""
    shape = _at(slope)
    across = face in ("left", "right")
    b, d = (15.0, 12.0) if across else (12.0, 15.0)
    e = min(b, 2 * shape.ridge)
    flat = slope < 5.0
    want = {"F": 2 * e / 4 * e / 10, "G": (b - e / 2) * e / 10}
    if flat or not across:
        want |= {"H": (min(e / 2, d) - e / 10) * b, "I": max(d - e / 2, 0.0) * b}
    else:
        want |= {"H": (d / 2 - e / 10) * b, "J": e / 10 * b, "I": (d / 2 - e / 10) * b}
    p = panels(shape, face, ONES, "en1991")
    plan = {
        z: sum(p.vector[i, 2] for i, n in enumerate(p.names) if n.endswith(f"zone {z}") and p.roof[i])
        for z in want
    }
    assert plan == pytest.approx(want, rel=1e-12, abs=1e-9)
    assert sum(plan.values()) == pytest.approx(15.0 * 12.0, rel=1e-12)
    assert p.vector.sum(axis=0).tolist() == pytest.approx([0.0, 0.0, 180.0], abs=1e-9)


def test_zones_stand_on_the_windward_side() -> None:
    for face, axis, sign in (("front", 0, 1), ("back", 0, -1), ("left", 1, 1), ("right", 1, -1)):
        p = panels(_at(20.0), face, ONES, "en1991")
        half = {0: 7.5, 1: 6.0}[axis]
        e = min(12.0 if axis == 0 else 15.0, 2 * _at(20.0).ridge)
        for i, name in enumerate(p.names):
            if p.roof[i] and name.endswith(("zone F", "zone G")):
                assert p.centroid[i, axis] == pytest.approx(sign * (half - e / 20), rel=1e-9)


def test_single_slope_takes_the_recalled_rows_and_mirrors() -> None:
    """Wind on the high side: F -2.5, G -1.3, H -0.9 at 15°; on the low side the row of a gable; along: F high and low apart."""
    rise = 8.0 * math.tan(math.radians(15.0))
    left, right = (single_slope(10.0, 8.0, 3.0, 3.0 + rise, 3, 3, side) for side in ("left", "right"))
    on_high = panels(left, "left", ONES, "en1991")
    value = dict(zip(on_high.names, on_high.external[0], strict=True))
    assert [value[f"roof, zone {z}"] for z in "FGH"] == pytest.approx([-2.5, -1.3, -0.9])
    along = panels(left, "front", ONES, "en1991")
    place = {n: along.centroid[i, 1] for i, n in enumerate(along.names)}
    value = dict(zip(along.names, along.external[0], strict=True))
    assert place["roof, zone F high"] > 0 > place["roof, zone F low"]
    assert [value[f"roof, zone {z}"] for z in ("F high", "F low", "G", "H", "I")] == pytest.approx(
        [-2.4, -1.6, -1.9, -0.8, -0.7]
    )
    mirrored = panels(right, "front", ONES, "en1991")
    assert sorted((-along.centroid[:, 1]).round(9)) == sorted(mirrored.centroid[:, 1].round(9))


def test_inside_without_and_with_a_dominant_opening() -> None:
    """0.9 of the pressure at the wall that is open alone, beside the pair of no dominant wall; 0.75 and the like lie between."""
    shape = _at(20.0)
    assert inside(shape, [np.zeros(4)]) == ByFace(((0.2, -0.3),) * 4)
    front = inside(shape, [np.array([10.0, 0.0, 0.0, 0.0])])
    assert isinstance(front, ByFace)
    wall = wall_coefficients(shape.ridge / 15.0, BIG)
    assert front.by_face[0] == pytest.approx((0.9 * wall["D"], -0.3))
    assert front.by_face[2] == pytest.approx((0.2, min(0.9 * wall["E"], -0.3)))
    assert front.by_face[1] == pytest.approx((0.2, 0.9 * -1.2))
    both = inside(shape, [np.array([10.0, 5.0, 0.0, 0.0])])
    assert isinstance(both, ByFace)  # either may be open alone
    assert both.by_face[0] == pytest.approx((0.9 * wall["D"], 0.9 * -1.2))
    side = wall_coefficients(shape.ridge / shape.width, BIG)
    assert both.by_face[1] == pytest.approx((0.9 * side["D"], 0.9 * -1.2))
    duct = inside(shape, [np.array([0.07, 0.0, 0.0, 0.0])])
    assert duct == front  # however small: nothing else is open
    with pytest.raises(NotModelledError, match="30%"):
        inside(shape, [np.zeros(4), np.array([0.31, 0.31, 0.0, 0.0]) * shape.sides])


def test_o9_what_could_not_be_read_is_refused_and_the_one_reading_agrees_with_the_method_named_instead() -> (
    None
):
    for shape in (arch(10.0, 9.6, 3.2, 5.71, 3, 3), hip(10.0, 6.0, 2.5, 3.5, 3, 3, None)):
        with pytest.raises(NotModelledError, match="asce7-22"):
            panels(shape, "left", ONES, "en1991")
    assert float(arch_coefficient(-0.7, -1.0, 0.26)) == pytest.approx(-0.96, abs=0.01)
