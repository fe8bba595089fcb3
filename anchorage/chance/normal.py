"""The normal distribution on arrays, and a chi-square quantity as a function of a normal one."""

from __future__ import annotations

import math
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]


@lru_cache(maxsize=1)
def _table() -> tuple[Floats, Floats]:
    z = np.linspace(-38.0, 9.0, 94_001)
    return z, np.array([math.log(0.5 * math.erfc(-v / math.sqrt(2.0))) for v in z])


def normal_cdf(z: Floats) -> Floats:
    """Φ(z) by interpolation in its logarithm, to 1e-7 of its value; 0 below -38."""
    at, logs = _table()
    found: Floats = np.where(z < at[0], 0.0, np.exp(np.interp(z, at, logs)))
    return found


def _log_below(x: Floats, half: float) -> Floats:
    """Logarithm of P(χ² < x), 2·half degrees of freedom, by the series of the incomplete gamma function; good below the middle."""
    y, term, total = x / 2, np.ones_like(x), np.ones_like(x)
    for k in range(1, 400):
        term = term * y / (half + k)
        total = total + term
    log: Floats = half * np.log(y) - y - math.lgamma(half + 1.0) + np.log(total)
    return log


def _log_above(x: Floats, freedom: int) -> Floats:
    """Logarithm of P(χ² > x) by the recursion in the degrees of freedom, from 1 or 2 up."""
    y = x / 2
    if freedom % 2:
        q, start = np.array([math.erfc(math.sqrt(v)) for v in y]), 1
    else:
        q, start = np.exp(-y), 2
    for v in range(start + 2, freedom + 1, 2):
        q = q + np.exp((v / 2 - 1) * np.log(y) - y - math.lgamma(v / 2))
    log: Floats = np.log(np.maximum(q, 1e-300))
    return log


@lru_cache(maxsize=32)
def _chi_square(freedom: int) -> tuple[Floats, Floats]:
    """(u, ln x) where P(χ² < x) = Φ(u)."""
    at, logs = _table()
    x = np.exp(np.linspace(math.log(1e-14), math.log(60.0 + 6.0 * freedom), 6_000))
    below = _log_below(x, freedom / 2)
    u = np.where(
        below < math.log(0.5), np.interp(below, logs, at), -np.interp(_log_above(x, freedom), logs, at)
    )
    rising = np.concatenate([[True], np.diff(np.maximum.accumulate(u)) > 0])
    return u[rising], np.log(x)[rising]


def chi_square_of(u: Floats, freedom: int) -> Floats:
    """The χ² quantity with so many degrees of freedom that is as rare as a standard normal u, of the shape of u."""
    at, logs = _chi_square(freedom)
    found: Floats = np.exp(np.interp(u, at, logs))
    return found
