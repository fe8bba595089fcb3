"""What each anchor point is asked for, against a finite element model.

Oracle: PyNiteFEA (open, independent): a base of stiff spokes on an equal spring in each direction at each point, loaded at
its middle. No printed values: an equivalence of two methods.
"""

from itertools import product

import numpy as np
import pytest
from Pynite import FEModel3D

from anchorage.core.errors import NotModelledError
from anchorage.formulas.demand import Cases, rigid_shares
from anchorage.shelter.shape import anchor_points

LAYOUTS = ((6.0, 4.0, 2, 2), (9.0, 6.0, 3, 4), (9.0, 6.0, 5, 3), (12.0, 5.0, 4, 4), (4.0, 9.0, 6, 2))
LOADS = (  # uplift, first moment (2), push (2), its moment about the vertical, eccentricity, bearing
    (10.0, (0.0, 0.0), (0.0, 0.0), 0.0, 0.0, 0.0),
    (0.0, (7.0, -3.0), (0.0, 0.0), 0.0, 0.0, 0.0),
    (10.0, (7.0, -3.0), (-4.0, 2.0), 1.5, 0.0, 0.0),
    (-5.0, (1.0, 8.0), (0.0, 6.0), 0.0, 1.2, 90.0),
    (3.0, (-2.0, 0.0), (-6.0, 0.0), -0.7, -0.8, 0.0),
    (6.0, (2.0, 2.0), (3.0, 3.0), 0.3, 0.0, 225.0),
)
PRINTED: dict[str, int] = {}
TOLERANCE = 2e-6
"""Of the largest share: spokes are 1e9 times as stiff as the springs for a span of some 10 m, cubed, so about 1e-6."""


def _model(xy: np.ndarray, load: tuple, stiffness: np.ndarray) -> np.ndarray:  # type: ignore[type-arg]
    """Spring forces (n, 3) of the loaded base."""
    uplift, moment, push, twist, eccentricity, bearing = load
    m = FEModel3D()
    m.add_material("stiff", 1e9, 1e9, 0.0, 0.0)
    m.add_section("beam", 1.0, 1.0, 1.0, 1.0)
    m.add_node("middle", 0, 0, 0)
    for i, (x, y) in enumerate(xy):
        m.add_node(f"P{i}", x, y, 0)
        m.add_member(f"M{i}", "middle", f"P{i}", "stiff", "beam")
        for direction in ("DX", "DY", "DZ"):
            m.def_support_spring(f"P{i}", direction, stiffness[i])
    # Moment of a force F at r: (y Fz - z Fy, z Fx - x Fz, x Fy - y Fx); the first moment of the uplift is that of Fz.
    m.add_node_load("middle", "FZ", uplift)
    m.add_node_load("middle", "MX", moment[1])
    m.add_node_load("middle", "MY", -moment[0])
    m.add_node_load("middle", "FX", push[0])
    m.add_node_load("middle", "FY", push[1])
    # The push acts off the middle along the face: the wind comes from the bearing, clockwise from the front (+x), seen
    # from above with +y on the left; along the face is to the left of one who looks into the wind.
    b = np.deg2rad(bearing)
    along = np.array([np.sin(b), np.cos(b)])
    off = eccentricity * along
    m.add_node_load("middle", "MZ", twist + off[0] * push[1] - off[1] * push[0])
    m.analyze_linear()
    names = [f"P{i}" for i in range(len(xy))]
    moved = [[getattr(m.nodes[n], d)["Combo 1"] for d in ("DX", "DY", "DZ")] for n in names]
    return np.array(moved) * stiffness[:, None]


def _cases(load: tuple) -> Cases:  # type: ignore[type-arg]
    uplift, moment, push, twist, eccentricity, bearing = load
    return Cases(
        ("case",), np.array([bearing]), np.array([[uplift]]), np.array([moment]), np.array([push]),
        np.array([[eccentricity]]), np.array([[twist]]), np.array([True]),
    )  # fmt: skip


def _points(layout: tuple[float, float, int, int]) -> np.ndarray:  # type: ignore[type-arg]
    return np.array([(p.x, p.y) for p in anchor_points(*layout)])


@pytest.mark.parametrize(("layout", "load"), list(product(LAYOUTS, LOADS)))
def test_shares_of_a_rigid_base_on_springs(layout: tuple[float, float, int, int], load: tuple) -> None:  # type: ignore[type-arg]
    xy = _points(layout)
    uplift, push = rigid_shares(xy, np.ones(len(xy), bool), _cases(load))
    springs = _model(xy, load, np.ones(len(xy)))
    scale = max(np.abs(springs).max(), 1e-9)
    assert uplift[0] == pytest.approx(springs[:, 2], abs=TOLERANCE * scale)
    assert push[0] == pytest.approx(np.hypot(springs[:, 0], springs[:, 1]), abs=TOLERANCE * scale)


@pytest.mark.parametrize("missing", [(0,), (1, 4), (0, 1, 2)])
def test_shares_when_points_cannot_be_used(missing: tuple[int, ...]) -> None:
    """A spring that is not there (1e-9 of the others): the rest take the load, off-centre base and all."""
    xy = _points((9.0, 6.0, 3, 3))
    usable = np.ones(len(xy), bool)
    usable[list(missing)] = False
    load = LOADS[2]
    uplift, push = rigid_shares(xy, usable, _cases(load))
    springs = _model(xy, load, np.where(usable, 1.0, 1e-9))
    scale = np.abs(springs).max()
    assert uplift[0] == pytest.approx(springs[:, 2], abs=TOLERANCE * scale)
    assert push[0] == pytest.approx(np.hypot(springs[:, 0], springs[:, 1]), abs=TOLERANCE * scale)
    assert np.all(uplift[0, ~usable] == 0)


def test_points_in_one_line_are_refused() -> None:
    xy = _points((9.0, 6.0, 3, 2))
    with pytest.raises(NotModelledError):
        rigid_shares(xy, xy[:, 1] > 0, _cases(LOADS[2]))
