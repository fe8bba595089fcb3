"""Snow that a forecast brings, added up on the roof hour by hour by ``anchorage.snow``: in full, and nothing melts."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from anchorage import snow
from anchorage.outlook.hours import Hour

ZERO_CELSIUS = 273.15
WARM = 300.0
"""K, of what is rain for certain."""


@dataclass(frozen=True)
class RoofLoad:
    """At the end of an hour."""

    pascal: float
    depth: float
    """m of new snow since now, as forecast."""
    expected: bool
    """Something lies or falls."""


def _melted(h: Hour, ratio: float) -> float:
    """Water (m) of the precipitation of an hour: as forecast, or of its depth of snow where that is more.

    The kind of snow that was said counts; with neither kind nor temperature it is wet at its upper density.
    """
    if h.snow_kind or (h.snow > 0.0 and h.temperature is None):
        ratio = snow.water_density() / snow.density_of(h.snow_kind or None, [])
    return max(h.water / 1000.0, h.snow / ratio)


def accumulate(hours: Sequence[Hour], lying: float, *, stays: bool, pockets: bool) -> list[RoofLoad]:
    """Load on the roof at the end of each hour, from what lies there now (Pa).

    stays: rain is held in the snow, as ``snow.rain_stays`` has it; pockets: it stands on the cloth without snow too.
    Of each hour the ice counts as snow and what was called rain as rain, whatever the temperature.
    """
    if not hours:
        return []
    t = np.array([np.nan if h.temperature is None else h.temperature + ZERO_CELSIUS for h in hours])
    falls = [_melted(h, float(r)) for h, r in zip(hours, snow.load_ratio(t), strict=True)]
    parts = np.array([(f, h.ice / 1000.0, h.rain / 1000.0) for f, h in zip(falls, hours, strict=True)])
    temperature = np.stack([t, np.full(t.shape, np.nan), np.full(t.shape, WARM)], axis=-1)
    depth = np.stack([np.array([h.snow for h in hours]), np.zeros(t.shape), np.zeros(t.shape)], axis=-1)
    added = snow.accumulate(
        temperature.ravel(),
        liquid=parts.ravel(),
        snowfall=depth.ravel(),
        stays=stays,
        pockets=pockets,
        start=lying,
    )
    loads = added.load[2::3]
    depths = np.cumsum([h.snow for h in hours])
    return [RoofLoad(float(a), float(d), bool(a > 0.0)) for a, d in zip(loads, depths, strict=True)]
