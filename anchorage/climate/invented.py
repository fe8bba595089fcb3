"""An invented history to try it with: twelve years by the hour, gales in winter, squalls on summer afternoons, a station that fails in some."""

from __future__ import annotations

import numpy as np

from anchorage.climate.reports import WET, Reports
from anchorage.core.say import say
from anchorage.outlook.clock import HOUR
from anchorage.outlook.rule import NORMAL, PEOPLE_OUT

NAME = "demo"
YEARS, FIRST = 12, 1388534400
"""From 2014-01-01T00:00Z on."""


def invented(years: int = YEARS, seed: int = 1, first: int = FIRST) -> Reports:
    """A made-up station, always the same for the same numbers. Hours from ``first`` (seconds UTC) on."""
    rng = np.random.default_rng(seed)
    n = int(years * 365.2425 * 24)
    at = first + HOUR * np.arange(n, dtype=np.int64) + 53 * 60
    day = np.arange(n) / 24.0
    winter = 0.5 + 0.5 * np.cos(2 * np.pi * (day - 20.0) / 365.2425)
    noon = 0.5 + 0.5 * np.cos(2 * np.pi * (np.arange(n) % 24 - 20.0) / 24.0)
    days = n // 24 + 3
    strength = 2.8 + 2.4 * winter.reshape(-1)[np.minimum(24 * np.arange(days), n - 1)]
    daily = strength * rng.weibull(2.0, days) * rng.lognormal(0.0, 0.12, days)
    base = np.interp(day, np.arange(days) - 0.5, daily)
    mean = base * (0.75 + 0.5 * noon * (1.0 - 0.5 * winter)) * rng.lognormal(0.0, 0.12, n)
    squall = rng.random(n) < 0.004 * noon * (1.0 - winter)
    gust = mean * rng.uniform(1.35, 1.7, n) + squall * rng.gumbel(9.0, 3.0, n).clip(0.0)
    knot = 1852.0 / 3600.0
    mean, gust = np.round(mean / knot) * knot, np.round(gust / knot) * knot
    said = gust >= mean + 10.0 * knot
    gust = np.where(said, gust, mean + 10.0 * knot)
    bearing = (
        np.round((230.0 + 40.0 * winter + np.cumsum(rng.normal(0.0, 6.0, n)) % 360.0) % 360.0, -1) % 360.0
    )
    out = (rng.random(n) < 0.0006) | ((gust > 24.0) & (rng.random(n) < 0.05))
    out = np.convolve(out, np.ones(5), "same") > 0
    gust = np.where(out, np.nan, gust)
    wet = np.repeat(rng.random(n // 6 + 1) < 0.08, 6)[:n] | squall
    return Reports(
        NAME, "demo", at, gust, bearing, said, np.where(squall, PEOPLE_OUT, NORMAL).astype(np.int8), np.where(wet, WET, 0).astype(np.int8),
        14.0 - 12.0 * winter + 5.0 * noon, frozenset({"thunder", "water", "temperature"}), (say("An invented station: no weather of any place."),),
    )  # fmt: skip
