"""Snow that lies on a roof: weight of layers, water and cores, what a depth is, how long until a load, ponds.

Every coefficient is an argument. A load is on the horizontal projection of the roof (Pa).
"""

from __future__ import annotations

from typing import Any

import numpy as np

from anchorage.formulas.working import formula


@formula(
    symbol="s", unit="Pa", source="definition of density", clause="a layer of snow weighs ρ·d·g",
    valid={"density": (0.0, 1000.0), "depth": (0.0, 20.0)},
    density="ρ [kg/m^3]", depth="d [m]", gravity="g [m/s^2]",
)  # fmt: skip
def layer_load(density: Any, depth: Any, gravity: Any) -> Any:
    """Load of a layer of snow. density (kg/m^3), 0 to 1000; depth, upright (m); gravity (m/s^2). Returns Pa.

    >>> round(layer_load(100.0, 0.3, 9.80665), 1)
    294.2
    """
    return density * depth * gravity


@formula(
    symbol="s", unit="Pa", source="definition of density", clause="water standing or held as snow: ρw·w·g",
    valid={"water": (0.0, 20.0)},
    density="ρw [kg/m^3]", water="w [m]", gravity="g [m/s^2]",
)  # fmt: skip
def water_load(density: Any, water: Any, gravity: Any) -> Any:
    """Load of a depth of water, or of snow that melts to it. density of water (kg/m^3); water (m); gravity (m/s^2). Pa.

    >>> round(water_load(1000.0, 0.001, 9.80665), 5)
    9.80665
    """
    return density * water * gravity


@formula(
    symbol="w", unit="m", source="definition of density", clause="water of a load: s/(ρw·g)",
    valid={"load": (0.0, None)},
    load="s [Pa]", density="ρw [kg/m^3]", gravity="g [m/s^2]",
)  # fmt: skip
def water_of_load(load: Any, density: Any, gravity: Any) -> Any:
    """Depth of water that weighs as much. load (Pa); density of water (kg/m^3); gravity (m/s^2). Returns m."""
    return load / (density * gravity)


@formula(
    symbol="s", unit="Pa", source="definition of weight", clause="a core of known area, weighed: m·g/A",
    valid={"mass": (0.0, None), "area": (1e-4, 10.0)},
    mass="m [kg]", area="A [m^2]", gravity="g [m/s^2]",
)  # fmt: skip
def core_load(mass: Any, area: Any, gravity: Any) -> Any:
    """Load of the snow that a weighed core stands for. mass (kg); area of the core (m^2); gravity (m/s^2). Returns Pa."""
    return mass * gravity / area


@formula(
    symbol="s", unit="Pa", source="definition of weight", clause="layers add",
    load="s(layer) [Pa]",
)  # fmt: skip
def sum_of_layers(load: Any) -> Any:
    """Load of all layers together. load: of each layer along the last axis (Pa). Returns Pa, (..., 1)."""
    return np.sum(load, axis=-1, keepdims=True)


@formula(
    symbol="d", unit="m", source="definition of density", clause="depth of a load: s/(ρ·g)",
    valid={"load": (0.0, None), "density": (1.0, 1000.0)},
    load="s [Pa]", density="ρ [kg/m^3]", gravity="g [m/s^2]",
)  # fmt: skip
def depth_of_load(load: Any, density: Any, gravity: Any) -> Any:
    """Depth that a load would be at a density. load (Pa); density (kg/m^3); gravity (m/s^2). Returns m."""
    return load / (density * gravity)


@formula(
    symbol="ρ", unit="kg/m^3", source="definition of density", clause="density that a rule for load and depth implies",
    valid={"depth": (1e-4, None)},
    load="s [Pa]", depth="d [m]", gravity="g [m/s^2]",
)  # fmt: skip
def implied_density(load: Any, depth: Any, gravity: Any) -> Any:
    """Density at which a load lies at a depth. load (Pa); depth (m); gravity (m/s^2). Returns kg/m^3."""
    return load / (depth * gravity)


@formula(
    symbol="w", unit="m", source="definition of the snow-to-water ratio", clause="depth of new snow over depth of its melt water",
    valid={"depth": (0.0, None), "ratio": (1.0, 200.0)},
    depth="d [m]", ratio="r [1]",
)  # fmt: skip
def water_of_new_snow(depth: Any, ratio: Any) -> Any:
    """Melt water of new snow. depth (m); ratio: snow to water (1). Returns m."""
    return depth / ratio


@formula(
    symbol="d", unit="m", source="definition of the snow-to-water ratio", clause="depth of new snow over depth of its melt water",
    valid={"water": (0.0, None), "ratio": (1.0, 200.0)},
    water="w [m]", ratio="r [1]",
)  # fmt: skip
def new_snow_of_water(water: Any, ratio: Any) -> Any:
    """Depth of new snow that melts to a depth of water. water (m); ratio: snow to water (1). Returns m."""
    return water * ratio


@formula(
    symbol="wr", unit="m", source="liquid water held by a ripe snow pack", clause="a share of the water of its ice, the rest drains",
    valid={"rain": (0.0, None), "share": (0.0, 1.0)},
    rain="R [m]", share="c [1]", water="w [m]",
)  # fmt: skip
def rain_in_pack(rain: Any, share: Any, water: Any) -> Any:
    """Rain that a pack on a roof that drains holds back. rain (m); share it can hold (1); water of the pack (m). Returns m."""
    return np.minimum(rain, share * water)


@formula(
    symbol="m", unit="m/s", source="heat balance", clause="all heat through the cover melts snow: U·ΔT/(λ·ρw)",
    valid={"transmittance": (0.0, 10.0), "difference": (0.0, 40.0)},
    transmittance="U [W/(m^2*K)]", difference="ΔT [K]", latent="λ [J/kg]", density="ρw [kg/m^3]",
)  # fmt: skip
def melt_rate(transmittance: Any, difference: Any, latent: Any, density: Any) -> Any:
    """Water that heat through the cover can melt at most. transmittance (W/(m^2 K)); difference: inside above 0 °C (K);
    latent heat (J/kg); density of water (kg/m^3). Returns m/s of water.

    >>> round(melt_rate(6.0, 15.0, 334e3, 1000.0) * 3600 * 1000, 2)
    0.97
    """
    return transmittance * difference / (latent * density)


@formula(
    symbol="t", unit="s", source="constant rate", clause="time until a share of the limit lies on the roof",
    valid={"rate": (1e-12, None)},
    share="f [1]", limit="s(limit) [Pa]", load="s [Pa]", rate="ds/dt [Pa/s]",
)  # fmt: skip
def time_to(share: Any, limit: Any, load: Any, rate: Any) -> Any:
    """Time until the load reaches a share of the limit; 0 where it has. share (1); limit, load (Pa); rate (Pa/s). s."""
    return np.maximum(share * limit - load, 0.0) / rate


@formula(
    symbol="G", unit="N", source="definition of weight", clause="load on plan times plan area",
    load="s [Pa]", area="A [m^2]",
)  # fmt: skip
def roof_weight(load: Any, area: Any) -> Any:
    """Weight of the snow on a roof. load on plan (Pa); plan area (m^2). Returns N."""
    return load * area


@formula(
    symbol="βpocket", unit="deg", source="geometry of a parabola", clause="level at its low edge: tan β = 4·f/L",
    valid={"sag": (0.0, None), "span": (0.01, None)},
    sag="f [m]", span="L [m]",
)  # fmt: skip
def pocket_slope(sag: Any, span: Any) -> Any:
    """Slope up to which a sagging panel holds a pocket of water. sag (m) over a span along the slope (m). Returns deg.

    >>> round(float(pocket_slope(0.05, 1.5)), 1)
    7.6
    """
    return np.rad2deg(np.arctan(4 * sag / span))


@formula(
    symbol="mp", unit="kg", source="geometry of a paraboloid", clause="ρw·π·D²·d/8",
    valid={"diameter": (0.0, None), "depth": (0.0, None)},
    density="ρw [kg/m^3]", diameter="D [m]", depth="d [m]",
)  # fmt: skip
def pond_mass(density: Any, diameter: Any, depth: Any) -> Any:
    """Mass of the water in a dish-shaped pond. density (kg/m^3); diameter (m); depth at its middle (m). Returns kg.

    >>> round(pond_mass(1000.0, 1.0, 0.10))
    39
    """
    return density * np.pi * diameter**2 * depth / 8


@formula(
    symbol="s", unit="Pa", source="volume of a paraboloid", clause="a dish holds half of its depth: ρw·g·d/2 over where it stands",
    valid={"depth": (0.0, 20.0)},
    density="ρw [kg/m^3]", depth="d [m]", gravity="g [m/s^2]",
)  # fmt: skip
def pond_load(density: Any, depth: Any, gravity: Any) -> Any:
    """Load of a dish-shaped pond over where it stands. density (kg/m^3); depth at its middle (m); gravity (m/s^2). Pa.

    >>> round(pond_load(1000.0, 0.2, 9.80665))
    981
    """
    return density * gravity * depth / 2


@formula(
    symbol="Tpond", unit="N/m", source="statics of a tension-only strip", clause="γw·L²/π², sine-shaped sag that grows with its water",
    valid={"span": (0.0, None)},
    density="ρw [kg/m^3]", gravity="g [m/s^2]", span="L [m]",
)  # fmt: skip
def pond_tension(density: Any, gravity: Any, span: Any) -> Any:
    """Tension of a level strip below which a pond grows by itself. density of water (kg/m^3); gravity (m/s^2);
    span (m). Returns N/m, per metre of width.

    >>> round(pond_tension(1000.0, 9.80665, 2.0))
    3974
    """
    return density * gravity * (span / np.pi) ** 2


@formula(
    symbol="Hfeet", unit="N", source="statics of a three-hinge gable", clause="(w1 + w2)·s·L²/(16·f), equal at both feet",
    valid={"light": (0.0, None), "heavy": (0.0, None), "rise": (0.1, None)},
    light="w1 [Pa]", heavy="w2 [Pa]", spacing="s [m]", span="L [m]", rise="f [m]",
)  # fmt: skip
def gable_thrust(light: Any, heavy: Any, spacing: Any, span: Any, rise: Any) -> Any:
    """Outward push of a foot of a frame with pinned feet, a hinge at the ridge and stiff eaves. light, heavy: load on
    each half (Pa on plan); spacing of the frames (m); span (m); rise: ridge above the feet (m). Returns N.
    """
    return (light + heavy) * spacing * span**2 / (16 * rise)


@formula(
    symbol="Vfoot", unit="N", source="statics of a three-hinge gable", clause="(w1 + 3·w2)·s·L/8 on the heavy side",
    valid={"light": (0.0, None), "heavy": (0.0, None)},
    light="w1 [Pa]", heavy="w2 [Pa]", spacing="s [m]", span="L [m]",
)  # fmt: skip
def gable_foot(light: Any, heavy: Any, spacing: Any, span: Any) -> Any:
    """Vertical load of the foot under the heavier half. light, heavy (Pa on plan); spacing, span (m). Returns N."""
    return (light + 3 * heavy) * spacing * span / 8
