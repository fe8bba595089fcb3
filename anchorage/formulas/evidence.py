"""What few tests say of the next value: fractiles of lognormal values after EN 1990 annex D, and friction of a pull."""

from __future__ import annotations

from typing import Any

import numpy as np

from anchorage.formulas.working import formula

_ANNEX_D = "EN 1990 annex D"


@formula(
    symbol="xk", unit="1", source=_ANNEX_D, clause="D7.2, lognormal: exp(mln - t·sln·√(1 + 1/n)); its table could not be read",
    valid={"spread": (0.0, 10.0), "quantile": (0.0, 10.0), "count": (1.0, None)},
    mean="mln [1]", spread="sln [1]", quantile="t [1]", count="n [1]",
)  # fmt: skip
def low_fractile(mean: Any, spread: Any, quantile: Any, count: Any) -> Any:
    """Value that the next one lies below with a chance of 5 in 100, from n that were measured.

    mean, spread: of the natural logarithms (1); quantile: 1.645 where the spread is known, Student's t of n - 1 where it is
    that of the values; count: how many (1). Returns in the unit of the values.

    >>> low_fractile(0.0, 0.0, 1.645, 3.0)
    1.0
    """
    return np.exp(mean - quantile * spread * np.sqrt(1.0 + 1.0 / count))


@formula(
    symbol="sV", unit="1", source=_ANNEX_D, clause="lognormal: √ln(1 + V²)",
    valid={"variation": (0.0, 2.0)},
    variation="V [1]",
)  # fmt: skip
def log_spread(variation: Any) -> Any:
    """Standard deviation of the logarithm of a lognormal value. variation: standard deviation over mean (1). Returns (1).

    >>> round(log_spread(0.25), 4)
    0.2462
    """
    return np.sqrt(np.log(1.0 + variation**2))


@formula(
    symbol="μ", unit="1", source="Coulomb friction", clause="level pull over weight",
    valid={"force": (0.0, None), "weight": (1.0, None)},
    force="F [N]", weight="W [N]",
)  # fmt: skip
def pulled_friction(force: Any, weight: Any) -> Any:
    """Coefficient of friction that a level pull shows. force: steady or greatest, whichever is less (N); weight: what was
    pulled (N). Returns (1).

    >>> pulled_friction(300.0, 600.0)
    0.5
    """
    return force / weight
