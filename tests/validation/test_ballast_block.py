"""A block: sliding and tipping, a block on a line, sling tension.

Sources and their grade
    Mississippi State University, friction, horizontal surface, examples 1 and 3 (university; inputs and verdicts printed,
        its equations are pictures, so the numbers are re-computed): W 250 lb, base 32 in, 72 in high. Example 1: 60 lb at
        60 in, μ 0.3: stays at rest. Example 3: at 66 in, μ 0.4: tips at 60.6 lb before it slides at 100 lb.
    Sling chart (practitioner): 10,000 lb on two legs at 90, 60, 45, 30 degrees: 5,000 / 5,775 / 7,070 / 10,000 lb a leg.
    Statics of a block on a line (own arithmetic; scipy.optimize.linprog with two edge contacts as an independent solver).
"""

from collections.abc import Callable
from itertools import product

import numpy as np
import pytest
from scipy.optimize import linprog

from anchorage.checks.checks import limits
from anchorage.checks.footprint import Base, Held
from anchorage.formulas import ballast, blocks, friction, lines
from anchorage.holding.hardware import Factors

SLING = ((90.0, 5000.0), (60.0, 5775.0), (45.0, 7070.0), (30.0, 10000.0))
EXAMPLE_1 = {"sliding": 75.0, "highest": 66.7}
EXAMPLE_3 = {"tipping": 60.6, "sliding": 100.0}
MULTIPLIERS = {  # W/T at 30, 45, 60 degrees by μ: own arithmetic
    0.40: (2.665, 2.475, 2.116),
    0.54: (2.104, 2.017, 1.792),
    0.64: (1.853, 1.812, 1.647),
    0.74: (1.670, 1.663, 1.542),
}
PRINTED = {"university blocks": len(EXAMPLE_1) + len(EXAMPLE_3), "sling": len(SLING)}
VALIDATES = {
    "formulas/ballast": ("test_mississippi_example_1_stays_at_rest", "anchorage.formulas.ballast"),
    "formulas/friction": ("test_mississippi_example_3_tips_before_it_slides", "anchorage.formulas.friction"),
    "formulas/lines": ("test_sling_of_10000_lb_on_two_legs", "anchorage.formulas.lines"),
}
GRID = list(product((10.0, 30.0, 45.0, 60.0, 80.0), (0.1, 0.3, 0.5, 0.8), (0.2, 0.5, 1.5), (0.2, 0.5, 0.8)))


Block = Callable[..., dict[str, float]]


@pytest.fixture(scope="module")
def block(one_case: Callable[..., Base], hold: Callable[..., Held], no_margins: Factors) -> Block:
    """Times the pull (up, along +x), acting at (x from the middle, height), that a block lifts, slides and overturns."""

    def find(
        weight: float, depth: float, mu: float, pull: tuple[float, float], at: tuple[float, float]
    ) -> dict[str, float]:
        up, along = pull
        x, height = at
        base = one_case(depth, 1.0, up, (along, 0.0), (up * x - along * height, 0.0))
        found = {x.name: float(np.min(x.q)) for x in limits(base, hold(weight=weight, mu=mu), no_margins)}
        return {k: found[k] for k in ("lift", "slide", "overturn")}

    return find


def test_mississippi_example_1_stays_at_rest(block: Block) -> None:
    """60 lb at 60 in: slides at 75 lb, and 60 lb would tip it from 66.7 in up. Neither: at rest."""
    found = block(250.0, 32.0, 0.3, (0.0, 1.0), (0.0, 60.0))
    assert found["slide"] == pytest.approx(EXAMPLE_1["sliding"], rel=1e-9)  # μW, exact
    assert found["overturn"] > 60.0
    assert found["slide"] > 60.0
    highest = ballast.limit(250.0 * 16.0, 60.0)
    assert highest == pytest.approx(EXAMPLE_1["highest"], abs=0.05)  # one figure after the point
    # 60 lb just above it tips.
    assert block(250.0, 32.0, 0.3, (0.0, 1.0), (0.0, highest * 1.001))["overturn"] < 60.0


def test_mississippi_example_3_tips_before_it_slides(block: Block) -> None:
    found = block(250.0, 32.0, 0.4, (0.0, 1.0), (0.0, 66.0))
    assert found["overturn"] == pytest.approx(EXAMPLE_3["tipping"], abs=0.05)  # one figure after the point
    assert found["slide"] == pytest.approx(EXAMPLE_3["sliding"], rel=1e-9)  # μW, exact
    assert found["overturn"] < found["slide"]
    assert friction.summed(0.4, np.array([100.0, 150.0])) == pytest.approx([EXAMPLE_3["sliding"]], rel=1e-12)


@pytest.mark.parametrize("mu", MULTIPLIERS)
def test_weight_for_a_pull_on_a_line(mu: float) -> None:
    """Own arithmetic: W = T (sin θ + cos θ/μ), against the pull at which our friction formula lets go."""
    for degrees, multiplier in zip((30.0, 45.0, 60.0), MULTIPLIERS[mu], strict=True):
        a = np.deg2rad(degrees)
        pull = friction.sliding_limit(mu * 1.0, np.cos(a), mu, np.sin(a))
        # 6e-4: three figures after the point, told to the nearest or just above.
        assert 1 / pull == pytest.approx(multiplier, abs=1e-3)
        # 1e-12: the formula of a block on a line is the same one.
        assert blocks.block_slide(1.0, degrees, mu) == pytest.approx(pull, rel=1e-12)


def test_block_on_a_line_471_40(block: Block) -> None:
    """W 1000, base 1, line at mid-height 0.5 and mid-base, 45°, μ 0.5: slides at 471.40, tips at 707.1, lifts at 1414.2."""
    a = np.deg2rad(45.0)
    found = block(1000.0, 1.0, 0.5, (np.sin(a), np.cos(a)), (0.0, 0.5))
    # Half a step of each figure told.
    assert found["slide"] == pytest.approx(471.40, abs=0.006)
    assert found["overturn"] == pytest.approx(707.1, abs=0.05)
    assert found["lift"] == pytest.approx(1414.2, abs=0.05)
    assert blocks.block_slide(1000.0, 45.0, 0.5) == pytest.approx(471.40, abs=0.006)
    assert blocks.block_tip(1000.0, 0.5, 0.5, 45.0, 0.5) == pytest.approx(707.1, abs=0.05)


def _largest_pull(degrees: float, mu: float, height: float, x: float) -> float:
    """Largest T on a block of 1000 N, 1 m deep, by linear programming: contact at two edges, N >= 0 and |F| <= μN at each.

    x: from the edge towards the pull to the line's fixing (m). Unknown: T, N and F at the edge towards the pull (1) and
    behind (2). Moments about edge 1; the pull is along +x.
    """
    up, along = np.sin(np.deg2rad(degrees)), np.cos(np.deg2rad(degrees))
    equal = [[up, 1, 1, 0, 0], [along, 0, 0, -1, -1], [along * height + up * x, 0, 1, 0, 0]]
    rough = [[0, -mu, 0, s, 0] for s in (1, -1)] + [[0, 0, -mu, 0, s] for s in (1, -1)]
    best = linprog([-1, 0, 0, 0, 0], A_ub=rough, b_ub=[0] * 4, A_eq=equal, b_eq=[1000.0, 0, 500.0],
                   bounds=[(0, None)] * 3 + [(None, None)] * 2)  # fmt: skip
    return float(-best.fun)


@pytest.mark.parametrize(("degrees", "mu", "height", "x"), GRID)
def test_block_on_a_line_against_linprog(
    degrees: float, mu: float, height: float, x: float, block: Block
) -> None:
    """The checks of a base - lift, slide, overturning over any edge - on a block with a line."""
    a = np.deg2rad(degrees)
    found = block(1000.0, 1.0, mu, (np.sin(a), np.cos(a)), (0.5 - x, height))
    # 1e-7: the solver's own tolerance.
    assert min(found.values()) == pytest.approx(_largest_pull(degrees, mu, height, x), rel=1e-7)


@pytest.mark.parametrize(("degrees", "mu", "height", "x"), GRID)
def test_block_formulas_against_linprog(degrees: float, mu: float, height: float, x: float) -> None:
    """The pull that a block on a line is credited with: the lesser of sliding and tipping, never above the solver's."""
    slide = blocks.block_slide(1000.0, degrees, mu)
    tip = blocks.block_tip(1000.0, 0.5, height, degrees, x)
    with np.errstate(divide="ignore"):
        back = blocks.block_tip_back(np.float64(1000.0), 0.5, 1.0 - x, degrees, height)
    # 1e-7: the solver's own tolerance.
    assert min(slide, tip, back) == pytest.approx(_largest_pull(degrees, mu, height, x), rel=1e-7)


@pytest.mark.parametrize(("degrees", "printed"), SLING)
def test_sling_of_10000_lb_on_two_legs(degrees: float, printed: float) -> None:
    # 5 lb: the chart is rounded to 5 lb (5,773.5 and 7,071.1 exact).
    assert lines.tension_of_uplift(5000.0, degrees) == pytest.approx(printed, abs=5.0)
