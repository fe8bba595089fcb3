"""Density of the real air, from temperature, humidity and pressure or elevation."""

from __future__ import annotations

from typing import Any

import numpy as np

from anchorage.formulas.working import formula


@formula(
    symbol="es", unit="Pa", source="CIMO guide (Magnus form)", clause="saturation vapour pressure over water",
    valid={"t": (-45.0, 60.0)},
    t="t [K]", e0="e0 [Pa]", a="a [1]", b="b [K]",
)  # fmt: skip
def saturation_pressure(t: Any, e0: Any, a: Any, b: Any) -> Any:
    """Saturation vapour pressure of water.

    t: temperature above 0 °C (K), -45 to 60; e0 (Pa), a (1), b (K): the three constants of the Magnus form.
    Returns Pa, shape of t. Source: CIMO guide.

    >>> round(saturation_pressure(20.0, 611.2, 17.62, 243.12), 1)
    2332.6
    """
    return e0 * np.exp(a * t / (b + t))


@formula(
    symbol="p", unit="Pa", source="standard atmosphere (ISA)", clause="troposphere",
    valid={"elevation": (-500.0, 6000.0)},
    elevation="H [m]", p0="p0 [Pa]", t0="T0 [K]", lapse="L [K/m]", exponent="n [1]",
)  # fmt: skip
def standard_pressure(elevation: Any, p0: Any, t0: Any, lapse: Any, exponent: Any) -> Any:
    """Air pressure of the standard atmosphere at an elevation.

    elevation: height above sea level (m), -500 to 6000; p0 (Pa) and t0 (K) at sea level; lapse (K/m); exponent (1).
    Returns Pa. Source: standard atmosphere (ISA).

    >>> round(standard_pressure(1000.0, 101325.0, 288.15, 0.0065, 5.25588))
    89875
    """
    return p0 * ((t0 - lapse * elevation) / t0) ** exponent


@formula(
    symbol="ρ", unit="kg/m^3", source="ideal gas, dry air and vapour", clause="Dalton",
    valid={"pressure": (30e3, 110e3), "temperature": (213.15, 333.15), "vapour": (0.0, 25e3)},
    pressure="p [Pa]", vapour="e [Pa]", temperature="T [K]", dry="Rd [J/(kg*K)]", wet="Rv [J/(kg*K)]",
)  # fmt: skip
def density(pressure: Any, vapour: Any, temperature: Any, dry: Any, wet: Any) -> Any:
    """Density of moist air as the sum of dry air and vapour.

    pressure: of the air (Pa); vapour: partial pressure of the vapour (Pa); temperature (K, -60 to 60 °C);
    dry, wet: gas constants (J/(kg K)). Returns kg/m^3. Source: ideal gas law.

    >>> round(density(101325.0, 0.0, 288.15, 287.058, 461.495), 4)
    1.225
    """
    return (pressure - vapour) / (dry * temperature) + vapour / (wet * temperature)
