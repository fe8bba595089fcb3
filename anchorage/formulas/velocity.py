"""Velocity pressure, by named method."""

from __future__ import annotations

from typing import Any

import numpy as np

from anchorage.formulas.working import formula

_ASCE = "ASCE 7, read in national codes that adopt it"


@formula(
    symbol="Kz", unit="1", source=_ASCE, clause="velocity pressure exposure coefficient",
    valid={"height": (0.0, 200.0)},
    height="z [m]", floor="z_min [m]", gradient="zg [m]", alpha="α [1]", coefficient="c [1]",
)  # fmt: skip
def exposure_coefficient(height: Any, floor: Any, gradient: Any, alpha: Any, coefficient: Any) -> Any:
    """Velocity pressure exposure coefficient.

    height z (m) above ground; floor: lowest height (15 ft = 4.572 m); gradient height zg (m); alpha and coefficient (1)
    of the edition. Returns a ratio (1) to the pressure at 10 m in open country. Below the floor the floor counts.

    >>> round(exposure_coefficient(4.0, 4.572, 274.32, 9.5, 2.01), 3)
    0.849
    """
    return coefficient * (np.maximum(height, floor) / gradient) ** (2 / alpha)


@formula(
    symbol="Ke", unit="1", source=_ASCE, clause="ground elevation factor",
    valid={"elevation": (-500.0, 6000.0)},
    elevation="H [m]", rate="k [1/m]",
)  # fmt: skip
def elevation_factor(elevation: Any, rate: Any) -> Any:
    """Ground elevation factor. elevation (m); rate (1/m). Returns a ratio (1).

    >>> round(elevation_factor(750.0, 0.000119), 4)
    0.9146
    """
    return np.exp(-rate * elevation)


@formula(
    symbol="K", unit="1", source="profile of ASCE 7 Kz used as a ratio", clause="Kz(h, site) / Kz(10 m, terrain of the number)",
    at_shelter="Kz(h) [1]", at_reference="Kz(10 m) [1]",
)  # fmt: skip
def profile_factor(at_shelter: Any, at_reference: Any) -> Any:
    """Pressure at the shelter over the pressure at 10 m in the terrain that the wind number was given for. Ratio (1)."""
    return at_shelter / at_reference


@formula(
    symbol="q", unit="Pa", source="Bernoulli", clause="½ρV²",
    valid={"density": (0.5, 2.0), "profile": (0.0, 6.0), "speed": (0.0, 150.0)},
    density="ρ [kg/m^3]", profile="K [1]", speed="V [m/s]",
)  # fmt: skip
def pressure_physics(density: Any, profile: Any, speed: Any) -> Any:
    """Velocity pressure of the real air at the shelter.

    density (kg/m^3); profile: pressure ratio shelter / 10 m (1); speed: 3 s gust at 10 m (m/s). Returns Pa.

    >>> pressure_physics(1.25, 1.0, 20.0)
    250.0
    """
    return 0.5 * density * profile * speed**2


@formula(
    symbol="q", unit="Pa", source=_ASCE, clause="eq. 26.10-1, Kd applied once",
    valid={"speed": (0.0, 150.0)},
    constant="0.613 [kg/m^3]", kz="Kz [1]", kzt="Kzt [1]", ke="Ke [1]", kd="Kd [1]", speed="V [m/s]",
)  # fmt: skip
def pressure_asce7(constant: Any, kz: Any, kzt: Any, ke: Any, kd: Any, speed: Any) -> Any:
    """Velocity pressure of ASCE 7 with Kd in it once, wherever the edition writes it.

    constant (kg/m^3) 0.613; kz, kzt, ke, kd (1); speed: 3 s gust at 10 m, exposure C (m/s). Returns Pa.
    """
    return constant * kz * kzt * ke * kd * speed**2


@formula(
    symbol="V", unit="m/s", source="inverse of q = c·V²", clause="algebra",
    pressure="q [Pa]", per_speed_squared="q/V² [kg/m^3]",
)  # fmt: skip
def speed_of_pressure(pressure: Any, per_speed_squared: Any) -> Any:
    """Gust that gives a velocity pressure. pressure (Pa), per_speed_squared (kg/m^3). Returns m/s."""
    return np.sqrt(pressure / per_speed_squared)


@formula(
    symbol="Lh'", unit="m", source=_ASCE, clause="topographic factor: 2H in place of Lh where H/Lh is over its cap",
    half_length="Lh [m]", height="H [m]", cap="c [1]",
)  # fmt: skip
def effective_half_length(half_length: Any, height: Any, cap: Any) -> Any:
    """Half length that counts for distance and height. half_length, height of the feature (m); cap on H/Lh (1) 0.5. m.

    >>> effective_half_length(20.0, 30.0, 0.5)
    60.0
    """
    return np.maximum(half_length, height / cap)


@formula(
    symbol="K1", unit="1", source=_ASCE, clause="topographic factor: shape and height of the feature",
    shape="k [1]", height="H [m]", half_length="Lh [m]", cap="c [1]",
)  # fmt: skip
def hill_shape(shape: Any, height: Any, half_length: Any, cap: Any) -> Any:
    """Speed-up at the crest. shape factor (1); height and half length of the feature (m); cap on H/Lh (1). Returns (1)."""
    return shape * np.minimum(height / half_length, cap)


@formula(
    symbol="K2", unit="1", source=_ASCE, clause="topographic factor: distance from the crest",
    valid={"distance": (0.0, None)},
    distance="x [m]", mu="μ [1]", half_length="Lh' [m]",
)  # fmt: skip
def hill_distance(distance: Any, mu: Any, half_length: Any) -> Any:
    """Decay with the distance from the crest. distance (m), 0 or more; mu (1); effective half length (m). Returns (1)."""
    return np.maximum(1 - distance / (mu * half_length), 0.0)


@formula(
    symbol="K3", unit="1", source=_ASCE, clause="topographic factor: height above the ground",
    valid={"height": (0.0, 200.0)},
    gamma="γ [1]", height="z [m]", half_length="Lh' [m]",
)  # fmt: skip
def hill_height(gamma: Any, height: Any, half_length: Any) -> Any:
    """Decay with the height above the ground. gamma (1); height (m); effective half length (m). Returns (1)."""
    return np.exp(-gamma * height / half_length)


@formula(
    symbol="Kzt", unit="1", source=_ASCE, clause="eq. 26.8-1",
    first="K1 [1]", second="K2 [1]", third="K3 [1]",
)  # fmt: skip
def topographic_factor(first: Any, second: Any, third: Any) -> Any:
    """Topographic factor on the pressure. first, second, third: K1, K2, K3 (1). Returns (1).

    >>> round(topographic_factor(0.72, 1.0, 1.0), 4)
    2.9584
    """
    return (1 + first * second * third) ** 2


@formula(
    symbol="K", unit="1", source="profile of ASCE 7 Kz used as a ratio, and its Kzt", clause="product",
    profile="Kz(h)/Kz(10 m) [1]", kzt="Kzt [1]",
)  # fmt: skip
def profile_over_hill(profile: Any, kzt: Any) -> Any:
    """Pressure at the shelter over that at 10 m on level ground. profile (1); topographic factor (1). Returns (1)."""
    return profile * kzt


@formula(
    symbol="q", unit="Pa", source="a reading on a hill has the speed-up at its own height in it", clause="the factor at the roof over that at the meter, at least 1",
    pressure="q(over the hill) [Pa]", roof="Kzt(h) [1]", meter="Kzt(z) [1]",
)  # fmt: skip
def level_ground(pressure: Any, roof: Any, meter: Any) -> Any:
    """Pressure at the roof of a shelter on a hill from a number that was read there, not in the country before it.

    pressure (Pa): as if the number were for level ground; roof, meter: topographic factor at the roof and at the meter (1), 1 or
    more. A meter over the roof has less speed-up in it than the roof gets; one below it is taken as if it had no more. Pa.

    >>> level_ground(300.0, 2.0, 2.0), round(level_ground(300.0, 2.0, 1.6), 1), level_ground(300.0, 2.0, 2.5)
    (150.0, 187.5, 150.0)
    """
    return pressure / roof * np.maximum(roof / meter, 1.0)
