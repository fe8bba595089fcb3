"""Topographic factor Kzt: multipliers K1, K2, K3 as tabulated, and the rule for features steeper than H/Lh = 0.5.

Sources and their grade
    Bangladesh National Building Code 2020, part 6, fig. 6.2.4 (code; the ASCE 7-05/7-10 figure), open case O15.
Tolerance 0.006: two printed decimals, and a cell or two rounded the other way.
"""

import math

import numpy as np
import pytest

from anchorage.core import tables
from anchorage.deployment.load_faults import overlapping
from anchorage.deployment.models import Site, Topography
from anchorage.formulas import velocity
from anchorage.loads.terrain import arcs, case_ratio, speed_up

K1 = {  # exposure C, H/Lh 0.20 to 0.50
    "ridge": (0.29, 0.36, 0.43, 0.51, 0.58, 0.65, 0.72),
    "escarpment": (0.17, 0.21, 0.26, 0.30, 0.34, 0.38, 0.43),
    "hill": (0.21, 0.26, 0.32, 0.37, 0.42, 0.47, 0.53),
}
STEEP = (0.20, 0.25, 0.30, 0.35, 0.40, 0.45, 0.50)
K2_AT = (0.5, 1.0, 1.5, 2.0, 3.0)
K2 = {"escarpment-downwind": (0.88, 0.75, 0.63, 0.50, 0.25), "ridge-upwind": (0.67, 0.33, 0.0, 0.0, 0.0)}
K3_AT = (0.1, 0.2, 0.3, 0.5, 1.0)
K3 = {
    "ridge": (0.74, 0.55, 0.41, 0.22, 0.05),
    "escarpment": (0.78, 0.61, 0.47, 0.29, 0.08),
    "hill": (0.67, 0.45, 0.30, 0.14, 0.02),
}
PRINTED = {k: sum(map(len, t.values())) for k, t in (("K1", K1), ("K2", K2), ("K3", K3))}
SHAPE = {"ridge": (1.30, 1.45, 1.55), "escarpment": (0.75, 0.85, 0.95), "hill": (0.95, 1.05, 1.15)}


@pytest.mark.parametrize("feature", K1)
def test_k1_table(feature: str) -> None:
    k = tables.row("kzt-k", f"{feature}-c").value
    for ratio, printed in zip(STEEP, K1[feature], strict=True):
        assert float(velocity.hill_shape(k, ratio * 100, 100.0, 0.5)) == pytest.approx(printed, abs=0.006)
    assert tuple(tables.row("kzt-k", f"{feature}-{e}").value for e in "bcd") == SHAPE[feature]


@pytest.mark.parametrize("key", K2)
def test_k2_table(key: str) -> None:
    mu = tables.row("kzt-mu", key).value
    for at, printed in zip(K2_AT, K2[key], strict=True):
        assert float(velocity.hill_distance(at, mu, 1.0)) == pytest.approx(printed, abs=0.006)


@pytest.mark.parametrize("feature", K3)
def test_k3_table(feature: str) -> None:
    gamma = tables.row("kzt-gamma", feature).value
    for at, printed in zip(K3_AT, K3[feature], strict=True):
        assert float(velocity.hill_height(gamma, at, 1.0)) == pytest.approx(printed, abs=0.006)


def _kzt(feature: str, letter: str, h: float, lh: float, x: float, z: float, side: str) -> float:
    """Written again from the figure: 0.5 and 2H stand in where H/Lh is over 0.5."""
    k = SHAPE[feature]["BCD".index(letter)]
    gamma = {"ridge": 3.0, "escarpment": 2.5, "hill": 4.0}[feature]
    mu = 4.0 if feature == "escarpment" and side == "downwind" else 1.5
    if h / lh > 0.5:
        k1, lh = k * 0.5, 2 * h
    else:
        k1 = k * h / lh
    return (1 + k1 * max(0.0, 1 - x / (mu * lh)) * math.exp(-gamma * z / lh)) ** 2


@pytest.mark.parametrize("feature", ["ridge", "escarpment", "hill"])
@pytest.mark.parametrize("letter", ["B", "C", "D"])
@pytest.mark.parametrize(("h", "lh"), [(20.0, 50.0), (30.0, 40.0), (60.0, 30.0), (25.0, 50.0)])
@pytest.mark.parametrize(
    ("x", "side"), [(0.0, "upwind"), (30.0, "downwind"), (30.0, "upwind"), (900.0, "upwind")]
)
def test_kzt_against_the_figure_written_again(
    feature: str, letter: str, h: float, lh: float, x: float, side: str
) -> None:
    t = Topography(feature=feature, height=f"{h} m", half_length=f"{lh} m", distance=f"{x} m", side=side)
    assert speed_up(t, letter, 2.5) == pytest.approx(_kzt(feature, letter, h, lh, x, 2.5, side), rel=1e-12)


def test_steeper_than_a_half_the_half_length_is_twice_the_height() -> None:
    """The trap: only capping K1 and leaving Lh would decay faster than the figure: 30 m on 20 m is as 30 m on 60 m."""
    steep, capped = (
        Topography(feature="ridge", height="30 m", half_length=f"{v} m", distance="20 m", side="upwind")
        for v in (20, 60)
    )
    assert speed_up(steep, "C", 3.0) == pytest.approx(speed_up(capped, "C", 3.0), rel=1e-12)


def test_side_left_out_is_the_worse_and_a_small_feature_counts_nothing() -> None:
    said = {
        s: Topography(feature="escarpment", height="20 m", half_length="50 m", distance="60 m", side=s)
        for s in ("upwind", "downwind", None)
    }
    up, down, either = (speed_up(t, "C", 2.0) for t in said.values())
    assert either == down > up
    for height, half, letter in (("4 m", "10 m", "C"), ("18 m", "40 m", "B"), ("20 m", "101 m", "C")):
        t = Topography(feature="ridge", height=height, half_length=half)
        assert speed_up(t, letter, 2.0) == 1.0


def _site(*sectors: tuple[float, float, str]) -> Site:
    return Site(exposure="C", exposures=[{"from": a, "to": b, "exposure": e} for a, b, e in sectors])


def test_terrain_by_bearing_covers_the_circle_once() -> None:
    for site in (
        _site((0, 90, "B")),
        _site((350, 20, "B"), (90, 180, "D")),
        _site((0, 180, "B"), (180, 360, "D")),
    ):
        found = arcs(site, "physics", [])
        assert sum(length for _, length, _ in found) == pytest.approx(360.0)
        assert not overlapping(site)
    assert overlapping(_site((0, 90, "B"), (80, 120, "D")))


def test_a_case_takes_the_windiest_ground_within_45_degrees() -> None:
    """Front faces north; town (B) to the north from 300 to 60 degrees, else open (C): only the north face is sheltered."""
    ground = arcs(_site((300, 60, "B")), "physics", [])
    q = {"B": 0.6, "C": 1.0}
    bearing = np.array([0.0, 90.0, 180.0, 270.0, 45.0])
    assert case_ratio(bearing, 0.0, ground, q)[:, 0].tolist() == [0.6, 1.0, 1.0, 1.0, 1.0]
    assert case_ratio(bearing, 90.0, ground, q)[:, 0].tolist() == [1.0, 1.0, 1.0, 0.6, 1.0]
