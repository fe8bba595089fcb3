"""EN 1991-1-4: probability factor, mean wind, turbulence, peak velocity pressure, coefficients by loaded area."""

from __future__ import annotations

from typing import Any

import numpy as np

from anchorage.formulas.working import formula

_EN = "EN 1991-1-4, read in open code that adopts it"


@formula(
    symbol="cprob", unit="1", source=_EN, clause="(4.2)",
    valid={"probability": (1e-6, 0.5), "reference": (1e-6, 0.5), "shape": (0.0, 1.0), "exponent": (0.0, 2.0)},
    probability="p [1]", reference="p50 [1]", shape="K [1]", exponent="n [1]",
)  # fmt: skip
def probability_factor(probability: Any, reference: Any, shape: Any, exponent: Any) -> Any:
    """Factor on the basic wind speed for another yearly probability of being passed.

    probability p (1), 1e-6 to 0.5; reference (1), 0.02; shape K (1) and exponent n (1) of the annex. Returns (1).

    >>> round(probability_factor(0.1, 0.02, 0.2, 0.5), 4)
    0.9025
    """
    return (
        (1 - shape * np.log(-np.log(1 - probability))) / (1 - shape * np.log(-np.log(1 - reference)))
    ) ** exponent


@formula(
    symbol="kr", unit="1", source=_EN, clause="(4.5)",
    valid={"roughness": (0.001, 2.0)},
    factor="k [1]", roughness="z0 [m]", reference="z0,II [m]", power="m [1]",
)  # fmt: skip
def terrain_factor(factor: Any, roughness: Any, reference: Any, power: Any) -> Any:
    """Terrain factor. factor (1) 0.19; roughness length and that of category II (m); power (1) 0.07. Returns (1)."""
    return factor * (roughness / reference) ** power


@formula(
    symbol="cr", unit="1", source=_EN, clause="(4.4)",
    valid={"height": (0.0, 200.0), "roughness": (0.001, 2.0)},
    terrain="kr [1]", height="z [m]", floor="zmin [m]", roughness="z0 [m]",
)  # fmt: skip
def roughness_factor(terrain: Any, height: Any, floor: Any, roughness: Any) -> Any:
    """Mean wind at a height over the basic speed. terrain kr (1); height, zmin, z0 (m), height up to 200. Returns (1).

    >>> round(roughness_factor(0.2154, 8.0, 5.0, 0.3), 3)
    0.707
    """
    return terrain * np.log(np.maximum(height, floor) / roughness)


@formula(
    symbol="Iv", unit="1", source=_EN, clause="(4.7), co = 1",
    valid={"height": (0.0, 200.0), "roughness": (0.001, 2.0)},
    turbulence="kI [1]", height="z [m]", floor="zmin [m]", roughness="z0 [m]",
)  # fmt: skip
def turbulence_intensity(turbulence: Any, height: Any, floor: Any, roughness: Any) -> Any:
    """Turbulence intensity. turbulence factor kI (1); height, zmin, z0 (m). Returns (1)."""
    return turbulence / np.log(np.maximum(height, floor) / roughness)


@formula(
    symbol="vb", unit="m/s", source=_EN, clause="(4.1), with cprob",
    valid={"speed": (0.0, 100.0)},
    speed="vb0 [m/s]", direction="cdir [1]", season="cseason [1]", probability="cprob [1]",
)  # fmt: skip
def basic_speed(speed: Any, direction: Any, season: Any, probability: Any) -> Any:
    """Basic wind speed, a 10 min mean at 10 m over category II. speed (m/s); factors (1). Returns m/s."""
    return direction * season * probability * speed


@formula(
    symbol="vm", unit="m/s", source=_EN, clause="(4.3), co = 1",
    valid={"speed": (0.0, 100.0)},
    roughness="cr [1]", speed="vb [m/s]",
)  # fmt: skip
def mean_speed(roughness: Any, speed: Any) -> Any:
    """Mean wind at the height of the shelter. roughness factor cr (1), basic speed vb (m/s). Returns m/s."""
    return roughness * speed


@formula(
    symbol="qp", unit="Pa", source=_EN, clause="(4.8)",
    valid={"density": (0.5, 2.0), "speed": (0.0, 150.0), "intensity": (0.0, 2.0)},
    gust="g [1]", intensity="Iv [1]", density="ρ [kg/m^3]", speed="vm [m/s]",
)  # fmt: skip
def peak_pressure(gust: Any, intensity: Any, density: Any, speed: Any) -> Any:
    """Peak velocity pressure. gust (1) 7; intensity Iv (1); density (kg/m^3); mean speed (m/s). Returns Pa.

    >>> round(peak_pressure(7.0, 0.3046, 1.25, 18.39))
    662
    """
    return (1 + gust * intensity) * 0.5 * density * speed**2


@formula(
    symbol="cpe", unit="1", source=_EN, clause="fig. 7.2, between cpe,1 and cpe,10",
    valid={"area": (0.0, 1e6)},
    small="cpe,1 [1]", large="cpe,10 [1]", area="A/1 m² [1]",
)  # fmt: skip
def area_coefficient(small: Any, large: Any, area: Any) -> Any:
    """External coefficient of a loaded area. small: cpe,1 (1); large: cpe,10 (1); area over 1 m^2 (1). Returns (1)."""
    return small - (small - large) * np.log10(np.minimum(np.maximum(area, 1.0), 10.0))
