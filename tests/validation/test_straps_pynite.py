"""Racking, straps and thrust against frames in a finite element program, and the printed initial sway.

Oracle: PyNiteFEA (open, independent). No printed values but those of the initial sway: an equivalence of two methods.
"""

import numpy as np
import pytest
from Pynite import FEModel3D

from anchorage.core import tables
from anchorage.formulas import snow, straps

VALIDATES = {"formulas/straps": ("test_initial_sway_of_en_1993_1_1", "anchorage.formulas.straps")}
PRINTED = {"initial sway": 3}
E = 200e9


def _model() -> FEModel3D:
    m = FEModel3D()
    m.add_material("steel", E, E / 2.6, 0.3, 0.0)
    m.add_section("beam", 1e-2, 1e-4, 1e-4, 1e-4)
    return m


def _plane(m: FEModel3D, *names: str) -> None:
    """Keep nodes in the plane x-y; turning in the plane stays free."""
    for n in names:
        m.def_support(n, False, False, True, True, True, False)


def _pin(m: FEModel3D, *names: str) -> None:
    for n in names:
        m.def_support(n, True, True, True, True, True, False)


@pytest.mark.parametrize(("w1", "w2"), [(500.0, 500.0), (150.0, 500.0), (0.0, 800.0)])
@pytest.mark.parametrize(("span", "eave", "ridge", "spacing"), [(6.0, 2.2, 3.4, 2.5), (5.0, 2.0, 2.3, 1.5)])
def test_three_hinge_gable(
    span: float, eave: float, ridge: float, spacing: float, w1: float, w2: float
) -> None:
    """Statically determinate, so only rounding and the shortening of members may differ: 1e-4."""
    m = _model()
    for name, x, y in (
        ("A", 0, 0),
        ("B", 0, eave),
        ("C", span / 2, ridge),
        ("D", span, eave),
        ("E", span, 0),
    ):
        m.add_node(name, x, y, 0)
    for a, b in ("AB", "BC", "CD", "DE"):
        m.add_member(a + b, a, b, "steel", "beam")
    m.def_releases("BC", Rzj=True)  # the hinge at the ridge
    _pin(m, "A", "E")
    _plane(m, "B", "C", "D")
    along = (span / 2) / np.hypot(span / 2, ridge - eave)  # a load on plan, per length of the rafter
    m.add_member_dist_load("BC", "FY", -w1 * spacing * along, -w1 * spacing * along)
    m.add_member_dist_load("CD", "FY", -w2 * spacing * along, -w2 * spacing * along)
    m.analyze_linear()
    thrust = float(snow.gable_thrust(w1, w2, spacing, span, ridge))
    assert m.nodes["A"].RxnFX["Combo 1"] == pytest.approx(thrust, rel=1e-4)
    assert m.nodes["E"].RxnFX["Combo 1"] == pytest.approx(-thrust, rel=1e-4)
    assert m.nodes["E"].RxnFY["Combo 1"] == pytest.approx(
        float(snow.gable_foot(w1, w2, spacing, span)), rel=1e-4
    )
    assert m.nodes["A"].RxnFY["Combo 1"] == pytest.approx(
        float(snow.gable_foot(w2, w1, spacing, span)), rel=1e-4
    )


def _strapped(height: float, bay: float, area: float, push: float, vertical: float) -> FEModel3D:
    """A bay of two pin-ended legs and a rail that folds without its one strap, pushed at the eave."""
    m = _model()
    m.add_section("stiff", 1.0, 1e-8, 1e-8, 1e-8)
    m.add_section("strap", area, 1e-10, 1e-10, 1e-10)
    for name, x, y in (("A", 0, 0), ("B", 0, height), ("C", bay, height), ("D", bay, 0)):
        m.add_node(name, x, y, 0)
    for a, b, section in (("A", "B", "stiff"), ("B", "C", "stiff"), ("D", "C", "stiff"), ("A", "C", "strap")):
        m.add_member(a + b, a, b, "steel", section)
        m.def_releases(a + b, Rzi=True, Rzj=True)
    for n in "AD":
        m.def_support(n, True, True, True, True, True, True)
    for n in "BC":  # members are hinged there, so nothing turns the node
        m.def_support(n, False, False, True, True, True, True)
    m.add_node_load("B", "FX", push)
    for n in "BC":
        m.add_node_load(n, "FY", -vertical / 2)
    return m


BAYS = [(2.2, 2.5, 40.0), (2.1, 2.0, 46.4), (2.6, 3.0, 40.9), (2.0, 3.4, 30.5)]


@pytest.mark.parametrize(("height", "bay"), [b[:2] for b in BAYS])
def test_strap_of_a_folding_bay(height: float, bay: float) -> None:
    """Pull and the uplift of the windward foot. Small displacements: 1e-6."""
    push, angle = 800.0, float(np.rad2deg(np.arctan2(height, bay)))
    m = _strapped(height, bay, 1e-5, push, 0.0)
    m.analyze_linear()
    pull = -float(m.members["AC"].min_axial("Combo 1"))
    assert pull == pytest.approx(float(straps.strap_tension(push, 1, angle)), rel=1e-6)
    assert -m.nodes["A"].RxnFY["Combo 1"] == pytest.approx(
        float(straps.foot_uplift(push, height, 1, bay)), rel=1e-6
    )
    assert m.nodes["D"].RxnFY["Combo 1"] == pytest.approx(
        float(straps.foot_uplift(push, height, 1, bay)), rel=1e-6
    )


@pytest.mark.parametrize(("height", "bay"), [b[:2] for b in BAYS])
def test_stiffness_of_a_strap(height: float, bay: float) -> None:
    """Legs and rail are 1e5 times as stiff as the strap: 1e-4."""
    push, area, angle = 800.0, 1e-5, float(np.rad2deg(np.arctan2(height, bay)))
    m = _strapped(height, bay, area, push, 0.0)
    m.analyze_linear()
    k = straps.lateral_stiffness(1, E * area, angle, bay)
    assert push / m.nodes["C"].DX["Combo 1"] == pytest.approx(float(k), rel=1e-4)


@pytest.mark.parametrize("wanted", [3.0, 5.0, 10.0, 30.0])
@pytest.mark.parametrize(("height", "bay"), [b[:2] for b in BAYS])
def test_second_order(height: float, bay: float, wanted: float) -> None:
    """Sway with the vertical load on the leaning frame: the amplifier of a P-delta analysis.

    The pull in the strap itself presses on the legs and holds the strap's own end back, which the formula leaves out: with
    a push of 0.1 % of the vertical load that is well under 1 %.
    """
    area, angle = 1e-5, float(np.rad2deg(np.arctan2(height, bay)))
    k = float(straps.lateral_stiffness(1, E * area, angle, bay))
    vertical = k * height / wanted
    push = 1e-3 * vertical
    first, second = (_strapped(height, bay, area, push, v) for v in (0.0, vertical))
    first.analyze_linear()
    second.analyze_PDelta()
    alpha = straps.sway_ratio(k, height, vertical)
    assert alpha == pytest.approx(wanted)
    ratio = second.nodes["C"].DX["Combo 1"] / first.nodes["C"].DX["Combo 1"]
    assert ratio == pytest.approx(float(straps.amplifier(alpha)), rel=0.01)


@pytest.mark.parametrize(("w1", "w2"), [(0.0, 500.0), (150.0, 500.0), (400.0, 400.0)])
@pytest.mark.parametrize("psi", [-5.0, 0.0, 5.0, 10.0])
def test_uneven_snow_on_leaning_legs(psi: float, w1: float, w2: float) -> None:
    """A stiff roof on two pin-ended legs that lean inward by psi, held at one eave: what the hold takes.

    Section and material only move the result by the shortening of the legs: 1e-3 of the vertical load.
    """
    span, height, spacing = 6.0, 2.2, 2.5
    out = height * np.tan(np.deg2rad(psi))
    m = _model()
    m.add_section("stiff", 1.0, 1.0, 1.0, 1.0)
    for name, x, y in (
        ("A", -out, 0),
        ("B", 0, height),
        ("M", span / 2, height),
        ("C", span, height),
        ("D", span + out, 0),
    ):
        m.add_node(name, x, y, 0)
    for a, b in ("AB", "BM", "MC", "DC"):
        m.add_member(a + b, a, b, "steel", "stiff")
    m.def_releases("AB", Rzj=True)
    m.def_releases("DC", Rzj=True)
    _pin(m, "A", "D")
    _plane(m, "M", "C")
    m.def_support("B", True, False, True, True, True, False)
    m.add_member_dist_load("BM", "FY", -w1 * spacing, -w1 * spacing)
    m.add_member_dist_load("MC", "FY", -w2 * spacing, -w2 * spacing)
    m.analyze_linear()
    expected = float(straps.unbalanced_push(w1, w2, span, spacing, psi))
    total = (w1 + w2) / 2 * span * spacing
    # the roof pushes towards the light side, -x, so the hold pushes it back, +x
    assert m.nodes["B"].RxnFX["Combo 1"] == pytest.approx(expected, abs=1e-3 * total)


def test_initial_sway_of_en_1993_1_1() -> None:
    """5.3.2: 1/200; 2/√h from 2/3 (h 9 m and more) to 1 (h 4 m and less); m = 1 gives 1, many legs √0.5."""
    r = {
        k: tables.row("strap-sway", k).value
        for k in ("start", "height-factor", "height-least", "height-most", "row-half", "metre")
    }
    high = [
        float(straps.height_factor(r["height-factor"], h, r["metre"], r["height-least"], r["height-most"]))
        for h in (2.2, 4.0, 6.25, 9.0, 20.0)
    ]
    assert high == pytest.approx([1.0, 1.0, 0.8, 2 / 3, 2 / 3], abs=1e-6)
    assert float(straps.row_factor(r["row-half"], 1.0)) == pytest.approx(1.0)
    assert 1 / float(
        straps.initial_sway(r["start"], 1.0, straps.row_factor(r["row-half"], 2.0))
    ) == pytest.approx(231, abs=0.5)


def test_worked_example_of_racking() -> None:
    """Worked by hand beforehand, 3 digits: span 6 m, frames 2.5 m apart, 0.15 / 0.5 kPa, h 2.2, psi 10 degrees, m 2."""
    vertical = straps.vertical_load(150.0, 500.0, 6.0, 2.5, 0.0)
    assert vertical == pytest.approx(4880.0, abs=5.0)
    assert straps.unbalanced_push(150.0, 500.0, 6.0, 2.5, 10.0) == pytest.approx(231.0, abs=0.5)
    assert vertical / 231 == pytest.approx(21.0, abs=0.5)
    assert straps.sway_push(vertical, 0.02, 0.0) == pytest.approx(98.0, abs=0.5)
