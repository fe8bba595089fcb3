"""Snow that a forecast brings, added up on the roof hour by hour by ``anchorage.loads.roof_snow``: in full, and nothing melts."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from anchorage.loads import roof_snow as snow
from anchorage.outlook.hours import Hour

Floats = NDArray[np.float64]
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


def accumulate(hours: Sequence[Hour], lying: float, *, stays: bool, pockets: bool) -> list[RoofLoad]:
    """Load on the roof at the end of each hour, from what lies there now (Pa).

    stays: rain is held in the snow, as ``snow.rain_stays`` has it; pockets: it stands on the cloth without snow too.
    Of each hour the ice counts as snow, whatever the temperature; what was called rain is rain, and ice where it freezes.
    """
    if not hours:
        return []
    t = np.array([np.nan if h.temperature is None else h.temperature + ZERO_CELSIUS for h in hours])
    said = np.array([_ratio_of(h.snow_kind) if h.snow_kind else np.nan for h in hours])
    water, ice, rain, depth = (
        np.array([getattr(h, k) for h in hours]) for k in ("water", "ice", "rain", "snow")
    )
    falls = melted_of(water, depth, t, said)
    loads = load_on_roof(t, falls, ice, rain, depth, lying=lying, stays=stays, pockets=pockets)
    return [RoofLoad(float(a), float(d), bool(a > 0.0)) for a, d in zip(loads, np.cumsum(depth), strict=True)]


def _ratio_of(kind: str | None) -> float:
    """Depth over its water of a kind of snow; one that is not known is wet at its upper density."""
    return snow.water_density() / snow.density_of(kind, [])


def melted_of(water: Floats, depth: Floats, temperature: Floats, said: Floats | None = None) -> Floats:
    """Water (m) of the precipitation of each hour: as forecast, or of its depth of snow where that is more.

    Arrays of one shape. water: mm; depth: m of new snow; temperature: K. said: ratio of the kind of snow that was said,
    NaN where none was; with neither kind nor temperature it is wet at its upper density.
    """
    ratio, warm = snow.load_ratio(temperature), (depth > 0.0) & np.isnan(temperature)
    if np.any(warm):
        ratio = np.where(warm, _ratio_of(None), ratio)
    if said is not None:
        ratio = np.where(np.isnan(said), ratio, said)
    return np.maximum(water / 1000.0, depth / ratio)


def load_on_roof(
    temperature: Floats, falls: Floats, ice: Floats, rain: Floats, depth: Floats, *, lying: float, stays: bool, pockets: bool
) -> Floats:  # fmt: skip
    """Load (Pa) on the roof at the end of each hour, arrays (..., hours).

    temperature: K, NaN counts as cold. falls: m of water, snow or rain by temperature. ice: mm, whatever the
    temperature; rain: mm, rain for certain, and ice where it freezes. depth: m of new snow in the hour, which makes ``falls`` snow. lying: Pa at the beginning.
    """

    def mix(first: Floats, second: Floats, third: Floats) -> Floats:
        return np.stack([first, second, third], axis=-1).reshape(*first.shape[:-1], -1)

    freezes = temperature <= ZERO_CELSIUS  # no temperature: not so
    ice, rain = ice + np.where(freezes, rain, 0.0), np.where(freezes, 0.0, rain)
    none = np.zeros(falls.shape)
    added = snow.accumulate(
        mix(temperature, np.full(falls.shape, np.nan), np.full(falls.shape, WARM)),
        liquid=mix(falls, ice / 1000.0, rain / 1000.0),
        snowfall=mix(depth, none, none),
        stays=stays,
        pockets=pockets,
        start=lying,
    )
    return added.load[..., 2::3]
