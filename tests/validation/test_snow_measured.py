"""Snow that was measured or forecast against printed figures. pub, calc as in test_snow_codes; printed units.

Tolerances are half of the last printed digit unless a line says otherwise.
"""

import numpy as np
import pytest
from snow_files import winter

from anchorage.core import tables
from anchorage.core.constants import gravity, water_density
from anchorage.formulas import snow as formulas
from anchorage.judging.plan import make_plan
from anchorage.loads.roof_snow import load_ratio

PSF, FT, INCH = 47.88026, 0.3048, 0.0254
PER_FOOT = {"fema-light": 3.0, "fema-wet": 21.0, "fema-ice": 57.0}
"""psf for each FOOT of depth, as printed. A restoration firm's page repeats these as psf per INCH: wrong by 12."""
NWS = [(30, 1.0), (25, 1.5), (17, 2.0), (12, 3.0), (5, 4.0), (-10, 5.0), (-30, 10.0)]
"""O11 pub: degF, inches of new snow from 0.10 in of water."""
VALIDATES = {"formulas/snow": ("test_o10_wet_snow_on_ice", "anchorage.formulas.snow")}
PRINTED = {"NWS table": len(NWS), "FEMA weights": len(PER_FOOT), "single answers": 10}
RHO, G = 1000.0, 9.80665


def psf_of_water(inches: float) -> float:
    return float(formulas.water_load(water_density(), inches * INCH, gravity())) / PSF


def published(key: str) -> float:
    rows = {r.key: r for r in tables.register().rows if r.table == "snow-density-published"}
    return rows[key].value


def test_o9_density_of_15_in_with_1_2_in_of_water() -> None:
    """O9 pub: 1.2 in of water in 15 in of snow: 0.08, 80 kg/m3."""
    load = formulas.water_load(RHO, 1.2 * INCH, G)
    assert formulas.implied_density(load, 15 * INCH, G) == pytest.approx(80.0, abs=0.5)


def test_o10_wet_snow_on_ice() -> None:
    """O10 pub: 18 in at 21 psf/ft + 2 in at 57 psf/ft, rated 30 psf: 31.5 + 9.5 = 41.0 psf, 1.963 kPa, ratio 1.37."""
    rho = np.array([21.0, 57.0]) * PSF / FT / G
    each = formulas.layer_load(rho, np.array([18.0, 2.0]) * INCH, G)
    total = float(formulas.sum_of_layers(each)[0])
    assert each / PSF == pytest.approx([31.5, 9.5], abs=0.05)
    assert total / PSF == pytest.approx(41.0, abs=0.05)
    assert total / 1000 == pytest.approx(1.963, abs=5e-4)
    assert total / PSF / 30 == pytest.approx(1.37, abs=5e-3)


@pytest.mark.parametrize(("key", "psf"), PER_FOOT.items())
def test_misprint_trap_weights_are_per_foot_not_per_inch(key: str, psf: float) -> None:
    """Half a psf is the rounding of the print; per inch would be 12 times as heavy, heavier than water."""
    one_foot = float(formulas.layer_load(published(key), FT, G)) / PSF
    assert one_foot == pytest.approx(psf, abs=0.5)
    assert psf * PSF / INCH / G > RHO or key == "fema-light"


def test_no_density_in_use_is_heavier_than_water() -> None:
    rows = [r for r in tables.register().rows if r.table.startswith("snow-density")]
    assert len(rows) > 20
    assert all(5 <= r.value <= 1000 and (r.high or 0) <= 1000 for r in rows)


@pytest.mark.parametrize(("fahrenheit", "inches"), NWS)
def test_o11_nws_new_snow_from_a_tenth_of_an_inch_of_water(fahrenheit: float, inches: float) -> None:
    (ratio,) = (r for r in tables.table("snow-nws-ratio").rows if r.at["cold"] <= fahrenheit <= r.at["warm"])
    assert formulas.new_snow_of_water(0.10, ratio.value) == pytest.approx(inches, abs=0.05)


def test_o12_fluffy_and_wet() -> None:
    """O12 pub: 12 in at 3 % water: 0.36 in, 1.9 psf; 12 in at 33 %: 20.6 psf."""
    assert pytest.approx(0.36) == 12 * 0.03
    assert psf_of_water(12 * 0.03) == pytest.approx(1.9, abs=0.05)
    assert psf_of_water(12 * 0.33) == pytest.approx(20.6, abs=0.05)


def test_o13_melt_test() -> None:
    """O13 pub: 3.5 in of melt water: 18.2 psf."""
    assert psf_of_water(3.5) == pytest.approx(18.2, abs=0.05)


def test_o14_feed_in_centimetres_of_snow() -> None:
    """O14 pub: snowfall 7 cm is 10 mm of water (mm = cm/0.7, not cm/7); calc: 98.07 Pa."""
    ratio = tables.row("snow-forecast", "feed-ratio").value
    water = formulas.water_of_new_snow(0.07, ratio)
    assert water * 1000 == pytest.approx(10.0, abs=1e-9)
    assert formulas.water_load(RHO, water, G) == pytest.approx(98.07, abs=5e-3)


def test_o16_french_rule_for_tents() -> None:
    """O16 pub: 4 cm and 0.1 kN/m2 (calc: 2.5 kN/m3 implied); more than 4 cm that could not be cleared: empty the tent."""
    load, depth = (tables.row("snow-policy", k).value for k in ("cts7-load", "cts7-depth"))
    assert (load, depth) == (100.0, 0.04)
    assert formulas.implied_density(load, depth, G) * G / 1000 == pytest.approx(2.5, abs=1e-9)

    def reached(depth: str) -> list[bool]:
        snow = make_plan(winter(policy={"snow": "cts-7"}, snow={"depth": depth, "kind": "new"})).snow
        return [a.reached for a in snow.alarms if a.measure == "depth"]

    assert (reached("4 cm"), reached("4.1 cm")) == ([False], [True])


def test_rule_of_en_13782_implies_the_same_density() -> None:
    """Recalled: 0.2 kN/m2 with 8 cm."""
    load, depth = (tables.row("snow-policy", k).value for k in ("en13782-load", "en13782-depth"))
    assert formulas.implied_density(load, depth, G) == pytest.approx(255, abs=0.5)


def test_inch_of_water_and_millimetre_of_water() -> None:
    """Pub: an inch of water is 5.2 psf; 1 mm is 9.80665 Pa."""
    assert psf_of_water(1.0) == pytest.approx(5.2, abs=0.05)
    assert formulas.water_load(RHO, 1e-3, G) == pytest.approx(9.80665, abs=1e-12)


def test_cold_ratio_is_never_taken_for_load() -> None:
    """UVM: 12 in of light snow is 1 in of rain, wet snow 3 to 4 in; the NWS table reaches 100:1. For load: 10:1 at most."""
    celsius = np.array([-40.0, -20.0, -5.0, 0.0, 1.0, 1.5, np.nan])
    assert load_ratio(celsius + 273.15).tolist() == [10, 10, 10, 10, 10, 5, 5]


def test_ponds_and_pockets() -> None:
    """Worked out, not printed: tension of 1, 2, 3 m; ponds of 39 and 177 kg; sag 5 cm on 1.5 m needs 7.6 degrees."""
    assert formulas.pond_tension(RHO, G, np.array([1.0, 2.0, 3.0])) / 1000 == pytest.approx(
        [0.99, 3.97, 8.94], abs=5e-3
    )
    mass = formulas.pond_mass(RHO, np.array([1.0, 1.5]), np.array([0.10, 0.20]))
    assert mass == pytest.approx([39, 177], abs=0.5)
    assert formulas.pocket_slope(0.05, 1.5) == pytest.approx(7.6, abs=0.05)


def test_heat_that_melts_a_millimetre_an_hour() -> None:
    """Worked out: 93 W/m2 for 1 mm/h; 6 W/m2K with 15 K melts about 1 mm/h."""
    assert pytest.approx(1.0, abs=5e-3) == 93.0 * 3600 / 334e3
    assert formulas.melt_rate(6.0, 15.0, 334e3, RHO) * 3.6e6 == pytest.approx(1.0, abs=0.05)
