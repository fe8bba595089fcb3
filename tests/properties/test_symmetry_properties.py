"""What may not matter: the units of a file, the units of the arithmetic, and which side is called left."""

import contextlib
from unittest import mock

import numpy as np
import pytest
from hypothesis import example, given
from hypothesis import strategies as st
from strategies import (
    Q,
    files,
    judge,
    known,
    mirrored_front_back,
    mirrored_left_right,
    number,
    read,
    some,
    twin,
    with_,
)

import anchorage.checks.footprint as base_module
from anchorage.checks.checks import limits, ratio
from anchorage.checks.footprint import base, held
from anchorage.core.closed import FACES
from anchorage.formulas import air, stakes, velocity
from anchorage.formulas.demand import load_cases
from anchorage.formulas.working import Formula
from anchorage.holding.hardware import Factors, Hardware
from anchorage.judging.plan import make_plan
from anchorage.loads.pressures import panels
from anchorage.shelter.forms import arch, hip
from anchorage.shelter.shape import gable, single_slope

GRAVITY = 9.80665  # m/s2, standard gravity

SCALE = st.floats(0.2, 5.0)


@contextlib.contextmanager
def other_units(gravity):
    """Ranges of validity are written in SI, and so is gravity: lift the ones and convert the other."""
    with (
        mock.patch.object(Formula, "mask", return_value=None),
        mock.patch.object(base_module, "gravity", return_value=gravity),
    ):
        yield


SHELTER = st.fixed_dictionaries(
    {
        "form": st.sampled_from(["gable", "left", "right", "hip", "arch"]),
        "size": st.tuples(number(3.0, 15.0), number(2.5, 10.0), number(1.8, 3.6), number(0.0, 5.0)),
        "points": st.tuples(st.integers(2, 5), st.integers(2, 4)),
        "mass": number(0.0, 900.0),
        "speed": number(5.0, 45.0),
        "warmth": number(250.0, 310.0),
        "gcpi": st.sampled_from([0.18, 0.55]),
        "held": st.sampled_from(["ballast", "clay on lines", "sand on lines", "clay feet", "sand feet"]),
        "stake": st.tuples(number(0.012, 0.06), number(0.3, 1.5), number(0.0, 0.2)),
        "angle": number(20.0, 70.0),
        "seed": st.integers(0, 2**32 - 1),
    }
)


def stake_of(soil, size, kg, m, s):
    """(lateral, axial) of a stake in units of kg kilograms, m metres, s seconds."""
    newton, pascal = kg * m / s**2, kg / m / s**2
    width, length, arm = (v * m for v in size)
    moment = stakes.bar_moment(235e6 * pascal, width)
    if soil == "clay":
        depth = stakes.clay_depth(length, width, arm, 1.5, 0.25)
        soft = stakes.clay_lateral(9.0, 40e3 * pascal, width, depth)
        bent = stakes.clay_bending(9.0, 40e3 * pascal, width, arm, 1.5, moment)
        return np.minimum(soft, bent), stakes.clay_pullout(0.5, 40e3 * pascal, width, length)
    weight, kp = 17e3 * newton / m**3, stakes.passive_coefficient(32.0)
    soft = stakes.sand_lateral(0.5, weight, width, length, kp, arm)
    bent = stakes.sand_bending(moment, arm, weight, width, kp, 1.5)
    return np.minimum(soft, bent), stakes.sand_pullout(0.6, 22.0, weight, width, length)


def answers(p, kg=1.0, m=1.0, s=1.0):
    """Every ratio of the whole chain, from air and sizes to checks, with mass, length and time in other units."""
    with other_units(GRAVITY * m / s**2):
        length, width, eave, rise = (v * m for v in p["size"])
        rise = width * (0.24 if rise < 2.0 * m else 0.37) if p["form"] == "arch" else rise
        size = (length, width, eave, eave + rise, *p["points"])
        if p["form"] in ("left", "right"):
            shape = single_slope(*size, p["form"])
        else:
            shape = {"gable": gable, "arch": arch, "hip": lambda *a: hip(*a, None)}[p["form"]](*size)
        pascal = kg / m / s**2
        rho = air.density(
            101325.0 * pascal, 900.0 * pascal, p["warmth"], 287.05 * m**2 / s**2, 461.5 * m**2 / s**2
        )
        height = shape.roof_height(10.0)
        kz = [
            velocity.exposure_coefficient(z, 4.572 * m, 274.32 * m, 9.5, 2.01) for z in (height, eave + rise)
        ]
        q = velocity.pressure_physics(rho, kz[0], p["speed"] * m / s)
        loaded = {f: panels(shape, f, dict.fromkeys(FACES, max(kz[1] / kz[0], 1.0))) for f in FACES}
        widths = {f: shape.length if f in ("left", "right") else shape.width for f in FACES}
        b = base(shape, load_cases(loaded, widths, 0.85, {"": p["gcpi"]}, 0.75, 0.15, 0.75))
        kind, on_line = p["held"], "lines" in p["held"]
        arm = p["stake"][2] if on_line else 0.0
        hard = Hardware("ballast", "unit", 18.0 * kg, 0.34)
        if kind != "ballast":
            lateral, axial = stake_of(kind.split()[0], (*p["stake"][:2], arm), kg, m, s)
            hard = Hardware("stakes", "stake", 0.0, 0.34, lateral=0.7 * lateral, axial=0.7 * axial)
        if on_line:
            pull = stakes.inclined_capacity(p["angle"], lateral, axial)
            rated = 4e3 * kg * m / s**2
            hard = Hardware(
                "stakes", "stake", 0.0, 0.34, line_angle=p["angle"], tension=pull, pull=0.7 * pull, line_strength=rated,
            )  # fmt: skip
        factors = Factors("own", 1.5, 0.9, 0.8, 0.9, 0.7, 1.2, "service")
        counts = np.random.default_rng(p["seed"]).integers(1, 12, len(b.ids))
        strength = held([hard] * len(counts), factors, counts, p["mass"] * kg)
        found = limits(b, strength, factors)
        out = {f.name: ratio(f, q) for f in found}
        least = min(float(f.q.min()) for f in found)
        out["share of the limiting gust"] = (
            p["speed"] * m / s / velocity.speed_of_pressure(least, q / (p["speed"] * m / s) ** 2)
        )
        return out


@some(1.5)
@given(SHELTER, SCALE, SCALE, SCALE)
def test_no_ratio_moves_in_other_units_of_mass_length_and_time(p, kg, m, s):
    """Finds a missing power, a lost unit or a constant with a unit in it, anywhere in the chain."""
    assert answers(p, kg, m, s) == pytest.approx(answers(p), rel=1e-8)


TIED = {
    "deployment": {"name": "two checks of one ratio", "show_units": "us"},
    "shelter": {"form": "single-slope", "length": Q("length", 11.0), "width": Q("length", 3.0),
                "eave": Q("length", 1.8125), "ridge": Q("length", 1.8125), "mass": None, "points_per_side": 4,
                "points_per_end": 2, "straps": "unlocked", "high_side": "left"},
    "site": {"surface": "clay"},
    "wind": {"method": "physics", "speed": Q("speed", 3.0), "code_minimum": False, "conversion": "larger"},
    "anchorage": {"kind": "stakes", "placed": 1, "size_for": "people-in",
                  "stake": {"diameter": Q("length", 0.03125), "driven": Q("length", 1.0), "soil": "very-soft-clay",
                            "line_angle": 20.0, "line_height": Q("length", 0.0), "pull_tests": [Q("force", 500.0)] * 3,
                            "pull_angle": 20.0, "pulled": "held", "tested": "dry"}},
    "margins": {"set": "lumped-1.5"},
    "policy": {"gust": Q("speed", 5.0)},
}  # fmt: skip


@some(0.4)
@example(TIED)
@example(
    with_(TIED, shelter__rating={"gust_unlocked": Q("speed", 60.0)})
)  # the most that is usual, which no mph writes
@given(files(placed=True, extras=True))
def test_a_file_in_us_units_is_the_file_in_si_units(file):
    us, si = judge(file, "us"), judge(file, "si")
    assert (us.verdict, us.subjects, [r.code for r in us.reasons]) == (
        si.verdict,
        si.subjects,
        [r.code for r in si.reasons],
    )
    assert [c.name for c in us.checks] == [c.name for c in si.checks]
    for a, b in zip(us.checks, si.checks, strict=True):
        assert a.ok == b.ok
        assert known(a.ratio) == pytest.approx(known(b.ratio), rel=1e-9)
    assert known(us.limit.gust_m_s) == pytest.approx(known(si.limit.gust_m_s), rel=1e-9)
    assert us.wind.velocity_pressure_pa == pytest.approx(si.wind.velocity_pressure_pa, rel=1e-9)


@some(0.1)
@given(files(placed=False))
def test_a_file_in_us_units_is_sized_as_in_si_units(file):
    us, si = make_plan(read(file, "us")), make_plan(read(file, "si"))
    assert [p.units + p.stakes for p in us.anchorage.points] == [
        p.units + p.stakes for p in si.anchorage.points
    ]
    assert [a.total for a in us.alternatives] == [a.total for a in si.alternatives]
    assert us.verdict == si.verdict


@some(0.2)
@given(files(placed=True), st.sampled_from(["us", "si"]))
def test_the_units_shown_change_no_number(file, system):
    shown = judge(with_(file, deployment__show_units=system))
    other = judge(with_(file, deployment__show_units="si" if system == "us" else "us"))
    assert shown.checks == other.checks
    assert shown.anchorage == other.anchorage
    assert shown.verdict == other.verdict


MIRRORS = {"left for right": (mirrored_left_right, True), "front for back": (mirrored_front_back, False)}


def alike(file, mirror, a, b):
    """Each point is asked for, and given, what its twin in the mirror is."""
    _, left_right = MIRRORS[mirror]
    there = {p.id: p for p in b.anchorage.points}
    largest = max(p.uplift_n + p.sliding_n for p in a.anchorage.points)
    for p in a.anchorage.points:
        other = there[twin(p.id, file, left_right=left_right)]
        assert other.uplift_n == pytest.approx(p.uplift_n, rel=1e-9, abs=1e-9 * largest)
        assert other.sliding_n == pytest.approx(p.sliding_n, rel=1e-9, abs=1e-9 * largest)
        assert (other.units, other.stakes, other.group) == (p.units, p.stakes, p.group)
        sign = (1, -1) if left_right else (-1, 1)
        assert (other.x_m, other.y_m) == pytest.approx((sign[0] * p.x_m, sign[1] * p.y_m), abs=1e-12)
    for c, d in zip(a.checks, b.checks, strict=True):
        assert (c.name, c.ok) == (d.name, d.ok)
        assert known(d.ratio) == pytest.approx(known(c.ratio), rel=1e-9)
    assert known(b.limit.gust_m_s) == pytest.approx(known(a.limit.gust_m_s), rel=1e-9)
    assert b.verdict == a.verdict


@pytest.mark.parametrize("mirror", MIRRORS)
def test_in_a_mirror_every_point_stands_as_its_twin(mirror):
    @some(0.25)
    @given(files(placed=True))
    def seen(file):
        alike(file, mirror, judge(file), judge(MIRRORS[mirror][0](file)))

    seen()


@pytest.mark.parametrize("mirror", MIRRORS)
def test_in_a_mirror_the_sizing_is_the_same(mirror):
    @some(0.06)
    @given(files(placed=False))
    def seen(file):
        alike(file, mirror, make_plan(read(file)), make_plan(read(MIRRORS[mirror][0](file))))

    seen()


@pytest.mark.parametrize("mirror", MIRRORS)
def test_in_a_mirror_the_gust_by_bearing_is_that_of_the_twin(mirror):
    """Headings on the sixteen points and half-way, so that a mirrored bearing is one of the sixteen again."""

    @some(0.15)
    @given(files(placed=True, bearing=False), st.integers(0, 31))
    def seen(file, k):
        heading = 11.25 * k
        file = with_(file, site__heading=heading)
        turn = 0.0 if MIRRORS[mirror][1] else 180.0
        a, b = (
            {x.bearing: known(x.gust_m_s) for x in judge(f).limit.by_bearing}
            for f in (file, MIRRORS[mirror][0](file))
        )
        assert len(a) == 16
        for bearing, gust in a.items():
            assert b[(2 * heading + turn - bearing) % 360.0] == pytest.approx(gust, rel=1e-9)

    seen()


@some(0.15)
@given(files(placed=True, bearing=True), st.integers(1, 15))
def test_turning_the_shelter_and_the_wind_together_changes_nothing(file, k):
    turned = with_(file, site__heading=(file["site"]["heading"] + 22.5 * k) % 360.0)
    if file["wind"]["from"] is not None:
        turned = with_(turned, wind__from=(file["wind"]["from"] + 22.5 * k) % 360.0)
    a, b = judge(file), judge(turned)
    for c, d in zip(a.checks, b.checks, strict=True):
        assert known(d.ratio) == pytest.approx(known(c.ratio), rel=1e-9)
    assert a.verdict == b.verdict
