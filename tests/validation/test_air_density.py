"""Air: density of the standard atmosphere and of moist air, saturation pressure.

Sources and their grade
    ISO 2533 / US Standard Atmosphere 1976: 1.2250 / 1.1117 / 1.0066 / 0.9093 kg/m^3 at 0, 1, 2, 3 km of geometric height
        (code, as given by two public atmosphere libraries that agree to 1e-6).
    WMO Guide to instruments (CIMO), Magnus form over water: es(20 °C) = 23.3260 hPa, es(0 °C) = 6.112 hPa (code).
    fluids.ATMOSPHERE_1976 and PsychroLib (ASHRAE Fundamentals): two independent programs, used as oracles over a grid.
"""

import fluids
import numpy as np
import psychrolib
import pytest

from anchorage.core import tables
from anchorage.formulas import air

ISA = ((0.0, 1.2250), (1000.0, 1.1117), (2000.0, 1.0066), (3000.0, 0.9093))
CIMO = ((20.0, 2332.60), (0.0, 611.2))
MOIST = (  # t °C, humidity, Pa, PsychroLib kg/m^3 as read from it when the sources were collected
    (15.0, 0.0, 101325.0, 1.22505),
    (15.0, 0.5, 101325.0, 1.22115),
    (20.0, 0.5, 101325.0, 1.19890),
    (35.0, 0.9, 101325.0, 1.12389),
    (-20.0, 0.5, 101325.0, 1.39415),
    (30.0, 0.6, 84556.0, 0.96065),
)
PRINTED = {"ISA density": len(ISA), "CIMO saturation pressure": len(CIMO)}
VALIDATES = {"formulas/air": ("test_isa_density", "anchorage.formulas.air")}


def _values(table: str, *keys: str) -> dict[str, float]:
    return {k: tables.row(table, k).value for k in keys}


def _standard(height: float) -> tuple[float, float]:
    """(pressure, density) of the standard atmosphere as our formulas and tables give it."""
    s = _values("standard-atmosphere", "p0", "t0", "lapse", "exponent")
    gas = _values("gas-constant", "dry", "vapour")
    pressure = air.standard_pressure(height, **s)
    return pressure, air.density(pressure, 0.0, s["t0"] - s["lapse"] * height, gas["dry"], gas["vapour"])


def _moist(celsius: float, humidity: float, pressure: float) -> float:
    gas = _values("gas-constant", "dry", "vapour")
    vapour = humidity * air.saturation_pressure(celsius, **_values("magnus", "e0", "a", "b"))
    return float(air.density(pressure, vapour, celsius + 273.15, gas["dry"], gas["vapour"]))


@pytest.mark.parametrize(("height", "printed"), ISA)
def test_isa_density(height: float, printed: float) -> None:
    # 2e-4: the figures are printed to 1e-4 (5e-5 of rounding), and are for geometric height, while the formula takes
    # its argument as geopotential height; that makes 1.3e-4 at 3 km. Light air on the wrong side: ours is the lighter
    # one by 1.6e-4 of itself at 3 km, 6.5e-4 at 6 km.
    assert _standard(height)[1] == pytest.approx(printed, abs=2e-4)


@pytest.mark.parametrize(("celsius", "printed"), CIMO)
def test_cimo_saturation_pressure(celsius: float, printed: float) -> None:
    # 0.1 Pa: the source checks 23.3260 hPa to 1e-3 hPa.
    assert air.saturation_pressure(celsius, **_values("magnus", "e0", "a", "b")) == pytest.approx(
        printed, abs=0.1
    )


@pytest.mark.parametrize("height", range(0, 6001, 500))
def test_fluids_standard_atmosphere(height: int) -> None:
    """At the geopotential height that belongs to the geometric one the two are the same formula."""
    oracle = fluids.ATMOSPHERE_1976(float(height))
    geopotential = 6356766.0 * height / (6356766.0 + height)
    pressure, density = _standard(geopotential)
    # 2e-6: our exponent is cut to five decimals. 3e-5: our gas constant is 287.058 for 287.0529, 1.8e-5 more.
    assert pressure == pytest.approx(oracle.P, rel=2e-6)
    assert density == pytest.approx(oracle.rho, rel=3e-5)
    # Elevation is put in as it stands: geometric for geopotential, 6.5e-4 of the density at 6 km.
    assert _standard(float(height))[1] == pytest.approx(oracle.rho, rel=7e-4)


@pytest.mark.parametrize("celsius", range(-40, 56, 5))
def test_psychrolib_moist_air(celsius: int) -> None:
    """Density over temperature, humidity and pressure against PsychroLib."""
    psychrolib.SetUnitSystem(psychrolib.SI)
    for humidity in (0.0, 0.1, 0.5, 0.9, 1.0):
        for pressure in (60e3, 84556.0, 101325.0, 108e3):
            ratio = psychrolib.GetHumRatioFromRelHum(float(celsius), humidity, pressure)
            oracle = psychrolib.GetMoistAirDensity(float(celsius), ratio, pressure)
            # 3e-4: gas constants differ by 5.6e-5; below 0 °C PsychroLib's saturation is over ice and ours over water
            # (CIMO: humidity is reported over water), which is 2.3e-4 of the density at -10 °C, 100 %, 60 kPa; the
            # two vapour pressures differ by up to 3e-3 of themselves at 55 °C.
            assert _moist(celsius, humidity, pressure) == pytest.approx(oracle, rel=3e-4)


@pytest.mark.parametrize(("celsius", "humidity", "pressure", "printed"), MOIST)
def test_psychrolib_readings(celsius: float, humidity: float, pressure: float, printed: float) -> None:
    # 1.2e-4: over ice against over water at -20 °C; 6e-5 elsewhere (see above).
    assert _moist(celsius, humidity, pressure) == pytest.approx(printed, rel=1.2e-4)


def test_cold_dry_air_is_heavier_than_warm_moist_air() -> None:
    """-20 °C at 50 % is 14 % above the standard 1.225, 35 °C at 90 % is 8 % below: the sign of both effects."""
    # 0.5 %: the two shares are told to whole per cents.
    assert _moist(-20.0, 0.5, 101325.0) / 1.225 == pytest.approx(1.14, abs=0.005)
    assert _moist(35.0, 0.9, 101325.0) / 1.225 == pytest.approx(0.92, abs=0.005)
    assert np.all(np.diff([_moist(30.0, h, 101325.0) for h in (0.0, 0.5, 1.0)]) < 0)
