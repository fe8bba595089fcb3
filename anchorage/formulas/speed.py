"""From the wind number that a person has to a 3 s gust at 10 m: averaging time and height."""

from __future__ import annotations

from typing import Any

import numpy as np

from anchorage.formulas.working import formula


@formula(
    symbol="C", unit="1", source="Durst curve, fit of ASCE 7 commentary", clause="fig. C26.5-1",
    valid={"duration": (1.0, 3600.0)},
    duration="t [s]", base="a [1]", amplitude="b [1]", time="t0 [s]", exponent="n [1]",
)  # fmt: skip
def durst_ordinate(duration: Any, base: Any, amplitude: Any, time: Any, exponent: Any) -> Any:
    """Peak mean over ``duration`` as a multiple of the hourly mean, open terrain, extratropical wind.

    duration (s), 1 to 3600; base, amplitude, time (s), exponent: constants of the fit. Returns a ratio (1).
    Source: curve of the ASCE 7 commentary as fitted there.

    >>> round(durst_ordinate(3.0, 0.977, 0.64, 38.14, 0.685), 3)
    1.522
    """
    return base + amplitude / (1 + (duration / time) ** exponent)


@formula(
    symbol="G", unit="1", source="ratio of two Durst ordinates", clause="mean to gust only, never below 1",
    gust="C(3 s) [1]", mean="C(T) [1]",
)  # fmt: skip
def durst_gust_factor(gust: Any, mean: Any) -> Any:
    """3 s gust over the mean of another averaging time. Never below 1: a mean is never turned into less.

    gust, mean: Durst ordinates (1). Returns a ratio (1).
    """
    return np.maximum(gust / mean, 1.0)


@formula(
    symbol="V(3 s)", unit="m/s", source="gust factor", clause="definition",
    valid={"speed": (0.0, 150.0), "factor": (1.0, 3.0)},
    speed="V [m/s]", factor="G [1]",
)  # fmt: skip
def gust_of_mean(speed: Any, factor: Any) -> Any:
    """3 s gust that goes with a mean speed. speed (m/s); factor: 3 s gust over that mean (1). Returns m/s."""
    return speed * factor


@formula(
    symbol="V(10 m)", unit="m/s", source="power law", clause="gust exponent 1/α of the terrain; upward only",
    valid={"speed": (0.0, 150.0), "height": (1.0, 10.0)},
    speed="V [m/s]", height="z [m]", reference="z10 [m]", exponent="α [1]",
)  # fmt: skip
def gust_at_reference(speed: Any, height: Any, reference: Any, exponent: Any) -> Any:
    """Gust at the reference height from a gust read lower down.

    speed (m/s) at height (m), 1 to 10; reference height (m); exponent: α of the power law for gusts (1).
    Returns m/s, never less than what was read. Source: power law with the gust exponent of ASCE 7.
    """
    return speed * np.maximum((reference / height) ** (1 / exponent), 1.0)


@formula(
    symbol="V(service)", unit="m/s", source="ASCE 7", clause="0.6 W: service speed = strength speed·√0.6",
    valid={"speed": (0.0, 150.0), "factor": (0.0, 1.0)},
    speed="V [m/s]", factor="γ [1]",
)  # fmt: skip
def service_of_strength(speed: Any, factor: Any) -> Any:
    """Service-level gust that carries the load factor of a strength-level speed. speed (m/s), factor (1). Returns m/s."""
    return speed * np.sqrt(factor)


@formula(
    symbol="V(10 m)", unit="m/s", source="log law", clause="neutral mean wind; upward only",
    valid={"speed": (0.0, 150.0), "roughness": (1e-4, 0.5), "clearance": (20.0, None)},
    speed="V [m/s]", reference="z10 [m]", roughness="z0 [m]", clearance="z/z0 [1]",
)  # fmt: skip
def mean_at_reference(speed: Any, reference: Any, roughness: Any, clearance: Any) -> Any:
    """Mean wind at the reference height from a mean read lower down.

    speed (m/s); reference height (m); roughness length (m); clearance: height of the reading over the roughness length
    (1), 20 or more, since lower down single obstacles rule. Returns m/s, never less than what was read.

    >>> round(mean_at_reference(10.0, 10.0, 0.03, 2.0 / 0.03), 2)
    13.83
    """
    return speed * np.maximum(np.log(reference / roughness) / np.log(clearance), 1.0)
