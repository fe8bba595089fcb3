"""Guy lines, lee lines included, against scipy's linear programming.

Oracle: scipy.optimize.linprog (open, independent), T >= 0 in each line. No printed values: the lower bound theorem of
plasticity says that a base stands if any set of tensions within the lines' strength, and of pressures on the ground, is in
equilibrium with the load; so what our model asks of the lines may never be less than the least that a solver can do with.

What is held, for all load cases of real shelters and for hand-made bases:
1.  one case at a time, the solver's least largest tension is not above ours. It has to hold up each point by its own line,
    and to resist the push, along the push and where it acts off the middle, together with what the lee lines add; no friction.
2.  at the velocity pressure that our checks call the limit, the solver finds a set within every line's capacity that is in
    full equilibrium of the rigid base: three forces, three moments, contact with the ground only in compression, friction
    μ = 0.15 there (that of rubber on wet clay; the lines' own pull is what presses the base down).
3.  lines that our model loads evenly and that need it (square, aligned push) come out the same as the solver's.
"""

from collections.abc import Callable
from dataclasses import replace
from itertools import product

import numpy as np
import pytest
from scipy.optimize import linprog

from anchorage.checks.checks import limits
from anchorage.checks.footprint import Base, Held
from anchorage.checks.installation import Installation, assemble
from anchorage.checks.lines import tensions
from anchorage.deployment.models import Deployment

PRINTED: dict[str, int] = {}
RIGID = ("lift", "stake: uplift", "stake: push", "slide", "overturn")
"""Checks of the base as a whole; the frame by frame model is another, and is left out of this comparison."""
SOLVER = 1e-7
"""The solver's own tolerance, relative."""
LAYOUTS = {  # name: arguments of the deployment
    "square, four a side": {"length": 20, "width": 20, "eave": 9, "ridge": 13, "ends": 2, "mass": 500},
    "square, ends held": {"length": 20, "width": 20, "eave": 9, "ridge": 13, "ends": 3, "mass": 500},
    "flat lines": {"length": 20, "width": 20, "eave": 9, "ridge": 13, "sides": 3, "angle": 30, "mass": 500},
    "very flat lines": {
        "length": 20,
        "width": 20,
        "eave": 9,
        "ridge": 13,
        "ends": 2,
        "angle": 15,
        "mass": 500,
    },
    "corners only": {"length": 20, "width": 20, "eave": 9, "ridge": 13, "sides": 2, "ends": 2, "mass": 500},
    "long": {"length": 32, "width": 20, "eave": 9, "ridge": 13, "sides": 5, "ends": 2, "mass": 500},
    "steep lines, no mass": {"length": 20, "width": 20, "eave": 9, "ridge": 13, "angle": 60, "mass": 0},
    "one slope": {
        "form": "single-slope",
        "length": 20,
        "width": 20,
        "eave": 9,
        "ridge": 13,
        "ends": 2,
        "mass": 500,
    },
    "flat box": {"length": 24, "width": 12, "eave": 8, "ridge": 8, "ends": 2, "mass": 300},
}
MU = 0.15


@pytest.fixture(scope="module", params=LAYOUTS)
def shelter(request: pytest.FixtureRequest, deploy: Callable[..., Deployment]) -> Installation:
    wind = 'speed = "50 mph"'
    return assemble(deploy(stakes=True, wind=wind, margins="lumped-1.5", **LAYOUTS[request.param]))


def _ours(b: Base, h: Held, gamma: float, q: float) -> np.ndarray:  # type: ignore[type-arg]
    """Tension that our model of the base as a whole asks of each line, (c, n)."""
    asked = tensions(b, h, gamma, q)
    return np.maximum(asked["uplift"], asked["push"])


def _limit(b: Base, h: Held, x: Installation) -> float:
    return min(float(np.min(found.q)) for found in limits(b, h, x.factors) if found.name in RIGID)


def _own(b: Base, h: Held) -> np.ndarray:  # type: ignore[type-arg]
    return np.ravel(h.own + h.ballast) * np.ones(len(b.ids))


def _least_largest(b: Base, h: Held, gamma: float, q: float, case: int) -> float:
    """Least largest tension: each point held up by its own line, the push resisted along the push, where it acts.

    Where it acts off the middle counts for a push square on a face; a tilted one is left to the full equilibrium below.
    """
    n, a = len(b.ids), float(h.angle[0])
    up = gamma * q * np.maximum(b.shares.rigid[case], 0.0) - _own(b, h)
    push = gamma * q * b.cases.push[case]
    size = float(np.hypot(*push))
    resists = -np.cos(a) * (b.outward @ (push / size))
    # Unknown: n tensions and their largest. T sin a >= up; sum of T's part against the push >= push; T <= largest.
    rows = [np.append(-np.sin(a) * np.eye(n)[i], 0.0) for i in range(n)] + [np.append(-resists, 0.0)]
    rows += [np.append(np.eye(n)[i], -1.0) for i in range(n)]
    right = np.concatenate([-up, [-size], np.zeros(n)])
    off, bearing = float(b.cases.eccentricity[case, 0]), np.deg2rad(b.cases.bearing[case])
    square = abs(push @ np.array([np.cos(bearing), -np.sin(bearing)])) > 0.9999 * size
    if not off or not square:
        found = linprog(np.append(np.zeros(n), 1.0), A_ub=np.array(rows), b_ub=right)
    else:  # and T's parts against the push turn as the push does that acts off the middle
        s = b.xy @ np.array([np.sin(bearing), np.cos(bearing)])
        found = linprog(
            np.append(np.zeros(n), 1.0),
            A_ub=np.array(rows),
            b_ub=right,
            A_eq=np.append(resists * s, 0.0)[None, :],
            b_eq=[size * off],
        )
    return float(found.x[-1]) if found.status == 0 else np.inf


def _use_in_equilibrium(b: Base, h: Held, gamma: float, q: float, case: int, mu: float) -> float:
    """Least largest T over capacity in full equilibrium of the rigid base; inf where there is none.

    Unknown: T of each line, pressure g >= 0 of the ground at each point, friction there along eight directions (an octagon
    inside the circle μg, so on the safe side), and the largest T over capacity.
    """
    n, a, k = len(b.ids), float(h.angle[0]), 8
    (x, y), out, own = b.xy.T, b.outward, _own(b, h)
    load = (
        gamma
        * q
        * np.array(
            [b.cases.uplift[case, 0], *b.cases.moment[case], *b.cases.push[case], b.cases.twist[case, 0]]
        )
    )
    bearing = np.deg2rad(b.cases.bearing[case])
    off = b.cases.eccentricity[case, 0] * np.array([np.sin(bearing), np.cos(bearing)])
    load[5] += off[0] * load[4] - off[1] * load[3]
    turn = 2 * np.pi * np.arange(k) / k
    fx, fy = np.tile(np.cos(turn), n), np.tile(np.sin(turn), n)
    arm_x, arm_y = np.repeat(x, k), np.repeat(y, k)
    none, still = np.zeros(n), np.zeros(n * k)
    sideways = np.cos(a) * (x * out[:, 1] - y * out[:, 0])
    equal = np.array([
        [*np.full(n, np.sin(a)), *-np.ones(n), *still, 0.0],  # what holds down, less what the ground pushes up
        [*(x * np.sin(a)), *-x, *still, 0.0],
        [*(y * np.sin(a)), *-y, *still, 0.0],
        [*(np.cos(a) * out[:, 0]), *none, *fx, 0.0],
        [*(np.cos(a) * out[:, 1]), *none, *fy, 0.0],
        [*sideways, *none, *(arm_x * fy - arm_y * fx), 0.0],
    ])  # fmt: skip
    right = np.array(
        [load[0] - own.sum(), load[1] - x @ own, load[2] - y @ own, -load[3], -load[4], -load[5]]
    )
    capacity = np.ravel(h.tension) * np.ones(n)
    within = np.hstack([np.eye(n), np.zeros((n, n + n * k)), -capacity[:, None]])
    rough = np.hstack([np.zeros((n, n)), -mu * np.eye(n), np.kron(np.eye(n), np.ones(k)), np.zeros((n, 1))])
    goal = np.append(np.zeros(2 * n + n * k), 1.0)
    scale = max(float(np.abs(load).max()), 1.0)  # forces of order 1 for the solver
    found = linprog(
        goal, A_ub=np.vstack([within, rough]), b_ub=np.zeros(2 * n), A_eq=equal, b_eq=right / scale
    )
    return float(found.x[-1]) * scale if found.status == 0 else np.inf


def _different(b: Base) -> list[int]:
    """Cases that differ in their load."""
    c = b.cases
    load = np.hstack([c.uplift, c.moment, c.push, c.eccentricity, c.twist, c.bearing[:, None]])
    return [int(i) for i in np.unique(np.round(load, 9), axis=0, return_index=True)[1]]


def test_no_case_needs_more_tension_than_ours(shelter: Installation) -> None:
    """1. Below and above the limit, one case at a time."""
    b, h, gamma = shelter.base, shelter.held(), shelter.factors.wind
    limit = _limit(b, h, shelter)
    for q in (0.5 * limit, 2 * limit):
        ours = _ours(b, h, gamma, q).max(axis=1)
        for case in _different(b):
            assert _least_largest(b, h, gamma, q, case) <= ours[case] * (1 + SOLVER), b.cases.names[case]


def test_our_limit_is_where_our_tension_meets_the_capacity(shelter: Installation) -> None:
    b, h, gamma = shelter.base, shelter.held(), shelter.factors.wind
    q = min(
        float(np.min(x.q))
        for x in limits(b, h, shelter.factors)
        if x.name in ("stake: uplift", "stake: push")
    )
    # 1e-9: two ways of writing one equation.
    assert (_ours(b, h, gamma, q) / h.tension).max() == pytest.approx(1.0, rel=1e-9)


@pytest.mark.parametrize("corners", [1, 3])
def test_equilibrium_exists_at_our_limit(corners: int, shelter: Installation) -> None:
    """2. With as many stakes at all points, and with three times as many at the corners."""
    b, gamma = shelter.base, shelter.factors.wind
    h = shelter.held(np.where(np.array(b.groups) == "corner", 2 * corners, 2))
    q = _limit(b, h, shelter)
    for case in _different(b):
        assert _use_in_equilibrium(b, h, gamma, q, case, MU) <= 1 + SOLVER, b.cases.names[case]


def test_the_solver_finds_none_far_above_our_limit(shelter: Installation) -> None:
    """The comparison is not empty: at thirty times the limit nothing holds the worst case."""
    b, h, gamma = shelter.base, shelter.held(), shelter.factors.wind
    q = 30 * _limit(b, h, shelter)
    worst = int(np.argmax(_ours(b, h, gamma, q).max(axis=1)))
    assert _use_in_equilibrium(b, h, gamma, q, worst, MU) > 1


ALIGNED = list(product((0.0, 2.0, 8.0, 20.0), (0.5, 3.0, 12.0), (20.0, 45.0, 70.0)))


@pytest.mark.parametrize(("uplift", "push", "angle"), ALIGNED)
def test_corner_lines_by_hand_and_by_linprog(
    uplift: float, push: float, angle: float, one_case: Callable[..., Base], hold: Callable[..., Held]
) -> None:
    """3. Four corner lines, each at 45° to both sides, uplift U in the middle, push H along x: each corner has U/4 up.

    By hand: lee lines T = U/(4 sin α); windward ones the larger of that and (H + 2·U/4·cot α·cos 45°)/(2 cos α cos 45°).
    """
    b = one_case(6.0, 6.0, uplift, (-push, 0.0), (0.0, 0.0))
    h = hold(strength=1.0, angle=angle)
    a, c = np.deg2rad(angle), np.sqrt(0.5)
    lee = uplift / 4 / np.sin(a)
    windward = max(lee, (push + 2 * uplift / 4 / np.tan(a) * c) / (2 * np.cos(a) * c))
    ours = _ours(b, h, 1.0, 1.0)[0]
    for t, x in zip(ours, b.xy[:, 0], strict=True):
        # 1e-12: the same arithmetic. The wind is on the front, so the front lines (x > 0) are windward.
        assert t == pytest.approx(windward if x > 0 else lee, rel=1e-12, abs=1e-12)
    assert _least_largest(b, h, 1.0, 1.0, 0) == pytest.approx(windward, rel=SOLVER)


def test_random_bases_against_linprog(one_case: Callable[..., Base], hold: Callable[..., Held]) -> None:
    """100 random loads on rectangular bases with corner lines at 45°: never less than the solver's least."""
    rng = np.random.default_rng(20261125)
    for _ in range(100):
        length, width = rng.uniform(2, 20, 2)
        uplift, push = rng.uniform(-10, 20), rng.uniform(-10, 10, 2)
        moment = rng.uniform(-1, 1, 2) * np.array([length, width]) * 10
        b = one_case(length, width, uplift, tuple(push), tuple(moment))
        h = hold(weight=rng.uniform(0, 5), strength=1.0, angle=float(rng.uniform(15, 75)))
        h = replace(h, ballast=rng.uniform(0, 1, (1, 4)))
        ours = _ours(b, h, 1.5, 1.0).max()
        assert _least_largest(b, h, 1.5, 1.0, 0) <= ours * (1 + SOLVER)


def test_lee_lines_add_to_the_push(one_case: Callable[..., Base], hold: Callable[..., Held]) -> None:
    """U 20, H 3, 30°: 10 N in each line for the uplift, 2.45 N for the push; with what the lee lines add 12.45 N."""
    b = one_case(6.0, 6.0, 20.0, (-3.0, 0.0), (0.0, 0.0))
    h = hold(strength=1.0, angle=30.0)
    # 0.005 N: half a step of the figures above.
    assert _least_largest(b, h, 1.0, 1.0, 0) == pytest.approx(12.45, abs=0.005)
    assert _ours(b, h, 1.0, 1.0).max() == pytest.approx(12.45, abs=0.005)
