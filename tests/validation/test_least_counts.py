"""The least counts of a sizing against trying every count there is: total first, then the largest of them."""

import itertools
from typing import Any

import numpy as np
import pytest

from anchorage.checks import sizing

MOST = 9


def tried(sizes: Any, a: Any, b: Any, low: Any) -> tuple[float, float] | None:
    """(total, largest) of the least whole counts from ``low`` to MOST that hold every row, found by trying all."""
    counts = np.array(list(itertools.product(*(range(k, MOST + 1) for k in low))), float)
    fits = (counts @ a.T >= b - 1e-9).all(axis=1)
    found = [(float(c @ sizes), float(c.max())) for c in counts[fits]]
    return min(found, default=None)


@pytest.mark.parametrize("groups", [1, 2, 3])
@pytest.mark.parametrize("whole", [True, False], ids=["whole", "any"])
def test_the_least_counts_are_those_of_trying_all(groups: int, whole: bool) -> None:
    rng = np.random.default_rng(10 * groups + whole)
    none = 0
    for turn in range(220):
        rows = int(rng.integers(1, 7))
        sizes = rng.choice([1.0, 2.0, 4.0, 6.0], groups)
        a = rng.uniform(0.0, 3.0, (rows, groups)) * (rng.random((rows, groups)) < 0.7)
        b = rng.uniform(-2.0, 9.0, rows)
        if whole:  # ties, and rows that are met exactly
            a, b = np.round(a), np.round(b)
        if turn % 5 == 0:  # a group that another one's units take from
            a[0, -1] = -0.25
        low = rng.integers(0, 3, groups)
        best, found = tried(sizes, a, b, low), sizing._least(sizes, a, b, low)
        if best is None:
            none += 1
            assert found is None or found.max() > MOST
            continue
        assert found is not None
        assert (found >= low).all()
        assert (a @ found >= b - 1e-6).all()
        ours = (float(found @ sizes), float(found.max()))
        if (
            found.max() > MOST or (a < 0).any()
        ):  # beyond what was tried; and more of one may ask for more of another
            assert ours <= best or (a < 0).any()
        else:
            assert ours == best
    assert 0 < none < 200


def test_more_than_can_be_is_none_and_the_edge_is_not() -> None:
    """MOST units at a point: exactly as many are enough, one more is not."""
    one, need = np.array([[1.0]]), float(sizing.MOST)
    assert sizing._least(np.array([1.0]), one, np.array([need]), np.array([0])) == [sizing.MOST]
    assert sizing._least(np.array([1.0]), one, np.array([need + 1]), np.array([0])) is None


def test_large_counts_of_three_groups_are_found_at_once() -> None:
    """Two groups of a thousand: a grid of all counts would be of a million. Checked by hand: 3 c0 + c1 + c2 >= 6000."""
    a = np.array([[3.0, 1.0, 1.0], [0.0, 1.0, 0.0], [0.0, 0.0, 1.0]])
    found = sizing._least(
        np.array([2.0, 1.0, 1.0]), a, np.array([6000.0, 900.0, 1100.0]), np.array([0, 0, 0])
    )
    assert found is not None
    assert found.tolist() == [1333, 900, 1101]  # 3999 + 2001 for 4667; 1334, 900 and 1100 are 4668
