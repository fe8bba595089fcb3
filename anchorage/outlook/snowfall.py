"""Snow that a forecast brings, added up on the roof hour by hour by ``anchorage.loads.roof_snow``: in full, and nothing melts."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from anchorage.core import tables
from anchorage.core.constants import ZERO_CELSIUS, water_density
from anchorage.loads import roof_snow as snow
from anchorage.outlook.hours import Hour

Floats = NDArray[np.float64]
WARM = 300.0
"""K, of what is rain for certain."""


@dataclass(frozen=True)
class RoofLoad:
    """At the end of an hour."""

    pascal: float
    depth: float
    """m of snow: what lies, and what is forecast on top of it."""
    expected: bool
    """Something lies or falls."""


@dataclass(frozen=True)
class Roof:
    """What lies on a roof, what falls on it whatever a forecast says, and how it keeps water."""

    load: float = 0.0
    """Pa that lie there now."""
    depth: float = 0.0
    """m of it, as measured; as deep as new snow where no depth was."""
    falling_water: float = 0.0
    """m of water that fall in a second as snow, by who is there."""
    falling_depth: float = 0.0
    """m of snow in a second."""
    stays: bool = False
    """Rain is held in the snow, as ``snow.rain_stays`` has it."""
    pockets: bool = False
    """It stands on the cloth without snow too."""
    slack: bool = False
    """So flat that water may stand, and nobody says whether it does."""
    grows: bool = False
    """Water stands there that the cloth cannot stop from growing: nobody is inside."""

    @property
    def falls(self) -> bool:
        """Snow falls now."""
        return self.falling_water > 0.0 or self.falling_depth > 0.0


BARE = Roof()


def rain_from(key: str) -> float:
    """Rain (mm) from which something is asked for."""
    return tables.row("rain-on-roof", key).value


def rained(hours: Sequence[Hour]) -> Floats:
    """Rain (mm) that has come by the end of each hour."""
    t = np.array([np.nan if h.temperature is None else h.temperature + ZERO_CELSIUS for h in hours], float)
    return rained_by(np.array([h.rain for h in hours], float), np.array([h.water for h in hours], float), t)


def rained_by(rain: Floats, water: Floats, temperature: Floats) -> Floats:
    """The same of arrays, hours along the first axis. rain: mm, rain for certain; water: mm, rain where it is too warm (K) to stick as snow, or nobody says how warm."""
    cold = temperature <= tables.row("snow-forecast", "stick-at-or-below").value + ZERO_CELSIUS
    total: Floats = np.cumsum(np.maximum(rain, np.where(cold, 0.0, water)), axis=0)
    return total


def accumulate(hours: Sequence[Hour], roof: Roof) -> list[RoofLoad]:
    """Load on the roof at the end of each hour, from what lies there now. What falls now falls in every hour, for nobody says when it ends.

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
    spans = np.array([h.end - h.start for h in hours], float)
    ice = and_falling(t, falls, ice, depth, spans, roof)
    loads = load_on_roof(t, falls, ice, rain, depth, roof)
    deep = depth_on_roof(t, falls, depth, np.zeros(t.shape), spans, roof)
    return [RoofLoad(float(a), float(d), bool(a > 0.0)) for a, d in zip(loads, deep, strict=True)]


def _sticks(temperature: Floats, depth: Floats) -> NDArray[np.bool_]:
    return ~(temperature > tables.row("snow-forecast", "stick-at-or-below").value + ZERO_CELSIUS) | (
        depth > 0.0
    )


def and_falling(
    temperature: Floats, falls: Floats, ice: Floats, depth: Floats, spans: Floats, roof: Roof
) -> Floats:
    """The ice (mm) of each hour, raised so that at least what falls by who is there comes down frozen. spans: s."""
    frozen = np.where(_sticks(temperature, depth), falls, 0.0) * 1000.0 + ice
    return ice + np.maximum(roof.falling_water * 1000.0 * spans - frozen, 0.0)


def depth_on_roof(
    temperature: Floats, falls: Floats, depth: Floats, melted: Floats, spans: Floats, roof: Roof
) -> Floats:
    """Depth (m) on the roof at the end of each hour, hours along the last axis: what lies and what comes on top of it.

    Of each hour the largest of: the depth that is forecast; the snow of the forecast that is given as water alone
    (falls, m; melted, mm), as deep as if new; what falls by who is there.
    """
    frozen = np.where(_sticks(temperature, depth), falls, 0.0) + melted / 1000.0
    new = np.maximum(depth, frozen * _ratio_of("new"))
    deep: Floats = roof.depth + np.cumsum(np.maximum(new, roof.falling_depth * spans), axis=-1)
    return deep


def _ratio_of(kind: str | None) -> float:
    """Depth over its water of a kind of snow; one that is not known is wet at its upper density."""
    return water_density() / snow.density_of(kind, [])


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
    temperature: Floats, falls: Floats, ice: Floats, rain: Floats, depth: Floats, roof: Roof
) -> Floats:
    """Load (Pa) on the roof at the end of each hour, arrays (..., hours).

    temperature: K, NaN counts as cold. falls: m of water, snow or rain by temperature. ice: mm, whatever the
    temperature; rain: mm, rain for certain, and ice where it freezes. depth: m of new snow in the hour, which makes ``falls`` snow.
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
        stays=roof.stays,
        pockets=roof.pockets,
        start=roof.load,
    )
    return added.load[..., 2::3]
