"""What a grid may hold: CF standard names by what they are to the outlook, and the units that each is read in.

Factors come from the units of the program, and no unit is parsed: a spelling is on the list or it is refused.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from anchorage.core import units
from anchorage.core.constants import water_density
from anchorage.core.say import say
from anchorage.outlook.clock import HOUR
from anchorage.region.faults import refuse

SPELLINGS: Mapping[str, Mapping[str, str]] = {
    "speed": {
        "m s-1": "m/s", "m/s": "m/s", "m s^-1": "m/s", "m s**-1": "m/s", "meter second-1": "m/s", "km h-1": "km/h", "km/h": "km/h",
        "km hr-1": "km/h", "knot": "kt", "knots": "kt", "kt": "kt", "mile hour-1": "mph", "mph": "mph",
    },
    "length": {"m": "m", "meter": "m", "metre": "m", "cm": "cm", "mm": "mm"},
    "temperature": {
        "K": "K", "kelvin": "K", "degC": "degC", "degree_Celsius": "degC", "degrees_Celsius": "degC", "celsius": "degC",
        "Celsius": "degC", "degF": "degF", "degree_Fahrenheit": "degF",
    },
}  # fmt: skip
MASSES = ("kg m-2", "kg m^-2", "kg m**-2", "kg/m2")
FLUXES = ("kg m-2 s-1", "kg m^-2 s^-1", "kg m**-2 s**-1", "kg/m2/s")
RATES = {
    "m s-1": ("m", 1),
    "m s**-1": ("m", 1),
    "mm s-1": ("mm", 1),
    "mm h-1": ("mm", HOUR),
    "mm hr-1": ("mm", HOUR),
    "mm/h": ("mm", HOUR),
}
DEGREES = ("degree", "degrees", "deg", "degree_true", "degrees_true")
SHARES = {"1": 1.0, "%": 0.01, "percent": 0.01}


@dataclass(frozen=True)
class Quantity:
    """What a variable is to the outlook."""

    role: str
    kind: str
    """speed, direction, temperature, depth, water (per step), rate (of water), chance."""
    low: float
    high: float
    """What can be meant, SI; amounts in each hour."""
    amount: bool = False
    rate: bool = False


GUST = Quantity("gust", "speed", 0.0, 150.0)
MEAN = Quantity("mean", "speed", 0.0, 150.0)
DIRECTION = Quantity("direction", "direction", 0.0, 360.0)
TEMPERATURE = Quantity("temperature", "temperature", 180.0, 335.0)
DEPTH = Quantity("snow depth", "depth", 0.0, 5.0, amount=True)
THUNDER = Quantity("thunder", "chance", 0.0, 1.0)
NAMES: Mapping[str, Quantity] = {
    "wind_speed_of_gust": GUST, "wind_speed": MEAN, "wind_from_direction": DIRECTION, "air_temperature": TEMPERATURE, "thickness_of_snowfall_amount": DEPTH,
} | {
    name: Quantity(role, "rate" if rate else "water", 0.0, 500.0, amount=True, rate=rate)
    for role, names, rate in (
        ("precipitation", ("precipitation_amount", "lwe_thickness_of_precipitation_amount"), False),
        ("precipitation", ("precipitation_flux", "lwe_precipitation_rate"), True),
        ("rain", ("rainfall_amount", "thickness_of_rainfall_amount"), False),
        ("rain", ("rainfall_flux", "rainfall_rate"), True),
        ("melted snow", ("snowfall_amount", "lwe_thickness_of_snowfall_amount"), False),
        ("melted snow", ("snowfall_flux", "lwe_snowfall_rate"), True),
    )
    for name in names
}  # fmt: skip


def scale_of(q: Quantity, unit: object, name: str, key: str) -> tuple[float, float]:
    """Factor and offset to what the outlook reckons in: m/s, degrees, K, m of depth, mm of water, mm/s, a share of one."""
    found = _scale(q, " ".join(unit.split()) if isinstance(unit, str) else "")
    if found is None:
        got = say("no units attribute") if unit is None else unit
        raise refuse(
            name,
            say("{key}, units", key=key),
            got,
            say("one of {accepted}; no unit is guessed", accepted=", ".join(accepted(q))),
        )
    return found


def accepted(q: Quantity) -> list[str]:
    """Spellings that are read."""
    return {
        "speed": list(SPELLINGS["speed"]), "temperature": list(SPELLINGS["temperature"]), "depth": list(SPELLINGS["length"]),
        "direction": list(DEGREES), "water": [*SPELLINGS["length"], *MASSES], "rate": [*RATES, *FLUXES], "chance": list(SHARES),
    }[q.kind]  # fmt: skip


def _scale(q: Quantity, unit: str) -> tuple[float, float] | None:
    if q.kind in ("speed", "temperature"):
        spelled = SPELLINGS[q.kind].get(unit)
        if spelled is None:
            return None
        factor, offset = units.KINDS[q.kind].units[spelled]
        return float(factor), float(offset)
    if q.kind == "direction":
        return (1.0, 0.0) if unit in DEGREES else None
    if q.kind == "chance":
        return (SHARES[unit], 0.0) if unit in SHARES else None
    if (unit in MASSES and q.kind == "water") or (unit in FLUXES and q.kind == "rate"):
        return 1000.0 / water_density(), 0.0
    spelled, time = RATES.get(unit, ("", 1)) if q.kind == "rate" else (SPELLINGS["length"].get(unit, ""), 1)
    if not spelled:
        return None
    thick = units.KINDS["length"].units
    inside = 1 if q.kind == "depth" else thick["mm"][0]
    return float(thick[spelled][0] / inside / time), 0.0
