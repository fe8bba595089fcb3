"""What few tests at the site count for: EN 1990 annex D and the share of next values that lie below.

Sources and their grade
    EN 1990 annex D, table D1 (code): factors kn of the 5 % fractile, as remembered; the table itself could not be read (memory). They
        are reproduced to the last digit by t √(1 + 1/n).
    Simulation, 200,000 sites: the next value lies below the 5 % fractile at 5 of 100 sites by its definition, for lognormal values;
        within 8 of 100 where values are normal instead.
"""

from math import exp, log, sqrt

import numpy as np
import pytest
from scipy import stats

from anchorage.core import tables
from anchorage.formulas import evidence
from anchorage.holding.measured import counts_for

KNOWN = {3: 1.89, 4: 1.83, 5: 1.80, 6: 1.77, 8: 1.74, 10: 1.72, 20: 1.68, 30: 1.67}
UNKNOWN = {3: 3.37, 4: 2.63, 5: 2.33, 6: 2.18, 8: 2.00, 10: 1.92, 20: 1.76, 30: 1.73}
PRINTED = {"annex D, spread known": len(KNOWN), "annex D, spread unknown": len(UNKNOWN)}
VALIDATES = {"formulas/evidence": ("test_factors_of_annex_d", "anchorage.formulas.evidence")}
SITES = 200_000


@pytest.mark.parametrize("n", KNOWN)
def test_factors_of_annex_d(n: int) -> None:
    """-ln of the fractile of values whose logarithms have mean 0 and spread 1 is kn; the table has two decimals, cut or rounded."""
    known = -log(evidence.low_fractile(0.0, 1.0, tables.row("evidence", "quantile-known").value, float(n)))
    unknown = -log(evidence.low_fractile(0.0, 1.0, float(stats.t.ppf(0.95, n - 1)), float(n)))
    assert known == pytest.approx(KNOWN[n], abs=0.011)
    assert unknown == pytest.approx(UNKNOWN[n], abs=0.012)


@pytest.mark.parametrize("variation", [0.05, 0.1, 0.2, 0.3])
def test_spread_of_the_logarithm(variation: float) -> None:
    """Against a library's moments of the lognormal law."""
    s = evidence.log_spread(variation)
    mean, var = stats.lognorm.stats(s, moments="mv")
    assert sqrt(float(var)) / float(mean) == pytest.approx(variation, rel=1e-12)


def test_friction_of_a_pull_is_force_over_weight() -> None:
    assert evidence.pulled_friction(45.0, 90.0) == 0.5


def _share_below(draw: np.ndarray, n: int) -> float:
    """Share of sites whose next value lies below what the first n count for by their own spread."""
    logs = np.log(draw[:, :n])
    t = float(stats.t.ppf(0.95, n - 1))
    value = evidence.low_fractile(logs.mean(axis=1), logs.std(axis=1, ddof=1), t, float(n))
    return float(np.mean(draw[:, n] < value))


@pytest.mark.parametrize("n", [3, 4, 5, 6, 8, 10, 15, 20, 30])
def test_share_of_next_values_below(n: int) -> None:
    r = np.random.default_rng(n)
    for variation in (0.1, 0.25):
        lognormal = np.exp(sqrt(log(1 + variation**2)) * r.standard_normal((SITES, n + 1)))
        normal = np.maximum(1.0 + variation * r.standard_normal((SITES, n + 1)), 1e-3)
        shares = _share_below(lognormal, n), _share_below(normal, n)
        print(
            f"n = {n}, V = {variation}: lognormal {100 * shares[0]:.1f} %, normal {100 * shares[1]:.1f} % below"
        )
        assert shares[0] == pytest.approx(0.05, abs=0.0025)
        assert shares[1] < 0.08


def _counted(draw: np.ndarray, n: int, known: float) -> float:
    sites = draw[:3000]
    return float(np.mean([s[n] < counts_for(s[:n].tolist(), known) for s in sites]))


@pytest.mark.parametrize("n", [3, 5, 10])
def test_what_counts_is_never_more_than_the_fractile(n: int) -> None:
    """The least of three: the next value lies below it at no more than 5 (lognormal) and 8 (normal) of 100 sites."""
    r = np.random.default_rng(100 + n)
    for variation in (0.08, 0.2):
        lognormal = np.exp(sqrt(log(1 + variation**2)) * r.standard_normal((3000, n + 1)))
        normal = np.maximum(1.0 + variation * r.standard_normal((3000, n + 1)), 1e-3)
        assert _counted(lognormal, n, 0.1) < 0.06
        assert _counted(normal, n, 0.1) < 0.08


def test_several_pulls_at_one_place_are_too_few() -> None:
    """Ten pulls at one spot of a site whose places differ by a fifth: the next place lies below what they would say at a third of sites."""
    r = np.random.default_rng(1)
    places = np.exp(0.2 * r.standard_normal((SITES, 2)))
    spot = places[:, :1] * np.exp(0.03 * r.standard_normal((SITES, 10)))
    share = _share_below(np.hstack([spot, places[:, 1:]]), 10)
    print(f"ten pulls at one place: {100 * share:.0f} % of next places below")
    assert share > 0.3


@pytest.mark.parametrize("values", [(0.5, 0.52, 0.55), (0.4, 0.6, 0.8), (0.3, 0.31, 0.32, 0.33, 0.9)])
def test_the_least_of_three_by_hand(values: tuple[float, ...]) -> None:
    logs, n = [log(v) for v in values], len(values)
    m = sum(logs) / n
    s = sqrt(sum((x - m) ** 2 for x in logs) / (n - 1))
    own = exp(m - float(stats.t.ppf(0.95, n - 1)) * s * sqrt(1 + 1 / n))
    sure = exp(m - 1.645 * sqrt(log(1.01)) * sqrt(1 + 1 / n))
    assert counts_for(values, 0.1) == pytest.approx(min(*values, own, sure), rel=1e-4)


def test_a_pull_of_nothing_counts_for_nothing() -> None:
    assert counts_for((0.0, 0.5, 0.5), 0.1) == 0.0
    assert counts_for((), 0.1) == 0.0
