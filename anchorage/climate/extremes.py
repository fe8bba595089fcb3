"""Gusts of a return period, by two fits that are printed beside each other, each with the range that its error leaves.

Gumbel: annual maxima, by most likelihood. Its error has one distribution whatever the place and the scale, so the range is
found by drawing samples of the same length once. Pareto: independent peaks over a threshold, by most likelihood; the range
is that of the profile of the likelihood of the gust itself. Nothing here goes into a limit, and no factor for a short stay.
"""

from __future__ import annotations

import functools
import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from anchorage.core import tables
from anchorage.core.errors import AnchorageError
from anchorage.core.say import numeral, say
from anchorage.outlook.clock import HOUR

Floats = NDArray[np.float64]
GUMBEL, PARETO = "gumbel", "pareto"
MOST_YEARS = 1000.0
SEED = 1
IMPOSSIBLE = 1e12
"""Minus the log likelihood of what cannot be."""


class ExtremesError(AnchorageError):
    """A gust of a return period that is not given."""


@dataclass(frozen=True)
class ReturnGust:
    """m/s; low and high leave out the same chance at either end."""

    years: float
    gust: float
    low: float
    high: float
    fit: str


def value(key: str) -> float:
    """A figure of the table of extremes."""
    return tables.row("climate-extremes", key).value


def check_years(years: float) -> None:
    """Refuse a return period that means nothing."""
    if not 1.0 < years <= MOST_YEARS:
        raise ExtremesError(
            say(
                "a return period of {years} years: over 1 year, at most {most}",
                years=numeral(years, "g"),
                most=numeral(MOST_YEARS, "g"),
            )
        )


# Gumbel


def reduced(years: Floats | float) -> Floats:
    """Reduced variate of the value that an annual maximum passes once in so many years on average."""
    found: Floats = -np.log(-np.log1p(-1.0 / np.asarray(years, float)))
    return found


def gumbel_fit(maxima: Floats) -> tuple[Floats, Floats]:
    """Mode and scale of samples along the last axis, by most likelihood."""
    from scipy.optimize import newton  # noqa: PLC0415 - an extra, and slow

    x = np.asarray(maxima, float)
    mean = x.mean(axis=-1)
    top = x.max(axis=-1, keepdims=True)

    def sums(scale: Floats) -> tuple[Floats, Floats, Floats]:
        w = np.exp((x.min(axis=-1, keepdims=True) - x) / scale[..., None])
        return w.sum(axis=-1), (w * x).sum(axis=-1), (w * x * x).sum(axis=-1)

    def lack(scale: Floats) -> Floats:
        w, wx, _ = sums(scale)
        found: Floats = mean - wx / w - scale
        return found

    def slope(scale: Floats) -> Floats:
        w, wx, wxx = sums(scale)
        return (-(wxx / w - (wx / w) ** 2) / scale**2) - 1.0

    spread = x.std(axis=-1)
    if np.any(spread <= 1e-9 * np.abs(top[..., 0])):
        raise ExtremesError(say("the highest gusts of all years are the same: no distribution fits them"))
    start = np.atleast_1d(spread * math.sqrt(6.0) / math.pi)
    flat = x.reshape(-1, x.shape[-1])
    x, mean = flat, flat.mean(axis=-1)
    scale = np.asarray(newton(lack, start.reshape(-1), fprime=slope, maxiter=100, tol=1e-10))
    least = x.min(axis=-1)
    mode = least - scale * np.log(np.mean(np.exp((least[:, None] - x) / scale[:, None]), axis=-1))
    shape = np.shape(maxima)[:-1]
    return mode.reshape(shape), scale.reshape(shape)


@functools.lru_cache(maxsize=8)
def _drawn(n: int, draws: int) -> tuple[Floats, Floats]:
    """Fits of samples of the standard distribution: how far a fit of so many years is off."""
    return gumbel_fit(np.random.default_rng(SEED).gumbel(size=(draws, n)))


def gumbel(maxima: Sequence[float], years: Sequence[float]) -> list[ReturnGust]:
    """From annual maxima (m/s). Refused with fewer than the table asks for."""
    least = int(value("least-years"))
    n = len(maxima)
    if n < least:
        raise ExtremesError(
            say("{n} whole years: a gust of a return period takes {least} at the least", n=n, least=least)
        )
    mode, scale = (float(v) for v in gumbel_fit(np.array(maxima, float)))
    m, s = _drawn(n, int(value("draws")))
    tail = (1.0 - value("interval")) / 2.0
    out = []
    for t in years:
        check_years(t)
        y = float(reduced(t))
        off = (m + s * y - y) / s  # how far a fit is off, in its own scale: the same for any mode and scale
        high_off, low_off = np.quantile(off, [1.0 - tail, tail])
        gust = mode + scale * y
        out.append(ReturnGust(t, gust, gust - scale * float(high_off), gust - scale * float(low_off), GUMBEL))
    return out


# Peaks over a threshold


@dataclass(frozen=True)
class Peaks:
    """Independent peaks: what each is over the threshold, m/s."""

    over: float
    """The threshold."""
    excess: Floats
    years: float
    """Of hours that are known."""


def _enough(years: float) -> None:
    """Refuse fewer years of known hours than the table asks for."""
    least = int(value("least-years"))
    if years < least * tables.row("climate-hour", "known-year").value:
        raise ExtremesError(
            say(
                "{years} years of known hours: a gust of a return period takes {least} at the least",
                years=numeral(years, ".1f"),
                least=least,
            )
        )


def peaks_of(gust: Floats, hours_known: int) -> Peaks:
    """The highest storms of an hourly series (NaN where unknown), so many a year; two that are near are one.

    The threshold lies halfway between the least that is taken and the next below it, so that figures in whole knots are
    taken by the middle of their step.
    """
    years = hours_known * HOUR / (365.2425 * 86400.0)
    _enough(years)
    wanted = int(value("peaks-per-year") * years)
    apart = int(value("peaks-apart") // HOUR)
    v = np.where(np.isnan(gust), -np.inf, gust)
    taken, free = list[float](), np.ones(len(v), bool)
    for i in np.argsort(-v, kind="stable"):
        if not np.isfinite(v[i]):
            break
        if not free[i]:
            continue
        if len(taken) >= wanted and v[i] < taken[-1]:
            taken.append(float(v[i]))
            break
        taken.append(float(v[i]))
        free[max(i - apart, 0) : i + apart + 1] = False
    if len(taken) < 3 or taken[-1] >= taken[-2]:
        raise ExtremesError(say("too few storms that differ: no distribution fits their peaks"))
    over = (taken[-1] + taken[-2]) / 2.0
    return Peaks(over, np.array(taken[:-1]) - over, years)


def _log_likelihood(excess: Floats, scale: float, shape: float) -> float:
    """Of the generalized Pareto distribution; minus infinity where it cannot be."""
    if scale <= 0.0:
        return -math.inf
    z = excess / scale
    if abs(shape) < 1e-6:
        return float(-len(z) * math.log(scale) - z.sum())
    inside = 1.0 + shape * z
    if inside.min() <= 0.0:
        return -math.inf
    return float(-len(z) * math.log(scale) - (1.0 + 1.0 / shape) * np.log(inside).sum())


def _grown(many: float, shape: float) -> float:
    """(many^shape - 1) / shape: the excess over the scale that is passed once in ``many`` peaks."""
    return math.log(many) if abs(shape) < 1e-6 else math.expm1(shape * math.log(many)) / shape


def pareto_fit(excess: Floats) -> tuple[float, float, float]:
    """Scale, shape and log likelihood, by most likelihood within the shapes of the table."""
    from scipy.optimize import minimize_scalar  # noqa: PLC0415 - an extra, and slow

    low, high = value("shape-low"), value("shape-high")
    mean, top = float(excess.mean()), float(excess.max())

    def best_scale(shape: float) -> tuple[float, float]:
        least = max(-shape * top * (1.0 + 1e-9), mean * 1e-3)
        found = minimize_scalar(
            lambda u: -_log_likelihood(excess, math.exp(u), shape),
            bounds=(math.log(least), math.log(max(mean * 20.0, least * 2.0))), method="bounded", options={"xatol": 1e-9},
        )  # fmt: skip
        return math.exp(found.x), -float(found.fun)

    found = minimize_scalar(
        lambda k: -best_scale(k)[1], bounds=(low, high), method="bounded", options={"xatol": 1e-7}
    )
    shape = float(found.x)
    scale, most = best_scale(shape)
    return scale, shape, most


def pareto(peaks: Peaks, years: Sequence[float]) -> list[ReturnGust]:
    """From peaks over a threshold. Refused with fewer years than the table asks for."""
    _enough(peaks.years)
    scale, shape, most = pareto_fit(peaks.excess)
    rate = len(peaks.excess) / peaks.years
    out = []
    for t in years:
        check_years(t)
        many = max(rate * t, 1.0 + 1e-9)
        gust = scale * _grown(many, shape)
        low, high = _profile(peaks.excess, many, gust, most)
        out.append(ReturnGust(t, peaks.over + gust, peaks.over + low, peaks.over + high, PARETO))
    return out


def _profile(excess: Floats, many: float, best: float, most: float) -> tuple[float, float]:
    """Between which excesses the most likelihood falls by less than the interval asks for."""
    from scipy.optimize import brentq, minimize_scalar  # noqa: PLC0415 - as above
    from scipy.special import chdtri  # noqa: PLC0415 - as above

    drop = float(chdtri(1, 1.0 - value("interval"))) / 2.0
    low, high = value("shape-low"), value("shape-high")

    def lack(x: float) -> float:
        def less(shape: float) -> float:
            found = -_log_likelihood(excess, x / _grown(many, shape), shape)
            return (
                found if math.isfinite(found) else IMPOSSIBLE * (1.0 + high - shape)
            )  # the way back is to a longer tail

        found = minimize_scalar(less, bounds=(low, high), method="bounded", options={"xatol": 1e-6})
        return float(most - drop + found.fun)

    ends = []
    for step in (0.9, 1.15):
        x = best
        for _ in range(80):
            x *= step
            if lack(x) > 0.0:
                ends.append(brentq(lack, x, best, xtol=1e-6) if lack(best) < 0.0 else best)
                break
        else:
            ends.append(0.0 if step < 1.0 else math.inf)
    return ends[0], ends[1]
