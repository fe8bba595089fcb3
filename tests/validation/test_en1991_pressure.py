"""Peak velocity pressure of EN 1991-1-4 and its probability factor.

Sources and their grade
    "Steel Buildings in Europe, single-storey, part 3: actions", appendix B (Commission project, university grade), O1: vb 26,
        category III, z 8 m: kr 0.215, cr 0.706, ce 1.56, qp 0.659 kN/m2 from values rounded at each step: 0.5 %.
    Practitioner sheets on the web: O3 (vb 26, IV, 9 m, below zmin), O4 (vb 22, III, 7.02 m), a sheet at vb 27, I, 3.5 m: 989
        Pa, a worked example with the UK annex, O5: qb 0.329 kN/m2 at 23.17 m/s and 1.226 kg/m3. 0.1 to 0.3 %: three figures.
    eurocodesnb notebook, University of Aveiro, O6: cprob at p = 0.033 to 16 figures: 1e-9.
The whole formula is written again below from (4.2) to (4.8), without the program's.
"""

import math
from collections.abc import Callable

import pytest
from hypothesis import given
from hypothesis import strategies as st

from anchorage.checks.installation import shape_of
from anchorage.core import tables
from anchorage.core.errors import InputFaults, OutOfRangeError
from anchorage.deployment.models import Deployment
from anchorage.deployment.reader import read_text
from anchorage.formulas import en1991
from anchorage.loads.wind import wind_state

TERRAIN = {"0": (0.003, 1), "I": (0.01, 1), "II": (0.05, 2), "III": (0.3, 5), "IV": (1.0, 10)}
KR = {"0": 0.1560, "I": 0.1698, "II": 0.1900, "III": 0.2154, "IV": 0.2343}
QP = (  # category, vb m/s, z m, printed Pa, relative tolerance
    ("III", 26.0, 8.0, 659.0, 5e-3),  # O1
    ("IV", 26.0, 9.0, 497.0, 2e-3),  # O3
    ("III", 22.0, 7.02, 449.0, 1e-3),  # O4
    ("I", 27.0, 3.5, 989.0, 1e-3),
)
PARTS = (  # category, z, cr, Iv as printed; O1 0.706 was computed with kr rounded to 0.215, O3 and O4 are two figures
    ("III", 8.0, 0.706, None, 2e-3), ("IV", 9.0, 0.54, 0.434, 5e-3), ("III", 7.02, 0.68, 0.31718482, 5e-3)
)  # fmt: skip
CPROB = ((2, 0.7764), (5, 0.8545), (10, 0.9025), (25, 0.9597), (50, 1.0), (100, 1.0385))
PRINTED = {"terrain": 10, "qp": len(QP), "cr, Iv": 5, "qb": 1, "cprob": 1}
VALIDATES = {"formulas/en1991": ("test_o6_probability_factor", "anchorage.formulas.en1991")}


def _qp(name: str, vb: float, z: float, rho: float = 1.25) -> float:
    z0, zmin = TERRAIN[name]
    kr = 0.19 * (z0 / 0.05) ** 0.07
    log = math.log(max(z, zmin) / z0)
    vm = kr * log * vb
    return (1 + 7 / log) * 0.5 * rho * vm * vm


def _program(name: str, vb: float, z: float) -> float:
    z0, zmin = (tables.row(f"en-terrain-{k}", f"cat-{name.lower()}").value for k in ("z0", "zmin"))
    kr = en1991.terrain_factor(0.19, z0, 0.05, 0.07)
    vm = en1991.mean_speed(en1991.roughness_factor(kr, z, zmin, z0), vb)
    return float(en1991.peak_pressure(7.0, en1991.turbulence_intensity(1.0, z, zmin, z0), 1.25, vm))


@pytest.mark.parametrize(("name", "vb", "z", "printed", "tolerance"), QP)
def test_printed_peak_pressures(name: str, vb: float, z: float, printed: float, tolerance: float) -> None:
    assert _program(name, vb, z) == pytest.approx(printed, rel=tolerance)


@pytest.mark.parametrize(("name", "z", "cr", "iv", "tolerance"), PARTS)
def test_printed_factors(name: str, z: float, cr: float, iv: float | None, tolerance: float) -> None:
    z0, zmin = TERRAIN[name]
    kr = en1991.terrain_factor(0.19, z0, 0.05, 0.07)
    assert float(en1991.roughness_factor(kr, z, zmin, z0)) == pytest.approx(cr, rel=tolerance)
    if iv is not None:
        assert float(en1991.turbulence_intensity(1.0, z, zmin, z0)) == pytest.approx(iv, rel=1e-3)


def test_o1_ratio_to_the_basic_pressure_is_printed_as_1_56() -> None:
    basic = 0.5 * 1.25 * 26.0**2
    assert basic == pytest.approx(422.5, abs=0.05)
    assert _program("III", 26.0, 8.0) / basic == pytest.approx(1.56, rel=5e-3)


def test_o5_basic_pressure() -> None:
    """qb is qp without turbulence over ground of factor 1."""
    assert float(en1991.peak_pressure(7.0, 0.0, 1.226, 23.17)) == pytest.approx(329.0, rel=3e-3)


def test_o6_probability_factor() -> None:
    assert float(en1991.probability_factor(0.033, 0.02, 0.2, 0.5)) == pytest.approx(
        0.9710811820252084, rel=1e-9
    )


@pytest.mark.parametrize(("years", "derived"), CPROB)
def test_probability_factor_acts_on_speed(years: int, derived: float) -> None:
    """Values worked out from (4.2) for the register of sources, four figures."""
    assert float(en1991.probability_factor(1 / years, 0.02, 0.2, 0.5)) == pytest.approx(derived, abs=5e-5)


def test_below_two_years_it_is_refused() -> None:
    with pytest.raises(OutOfRangeError):
        en1991.probability_factor(1 / 1.9, 0.02, 0.2, 0.5)


@pytest.mark.parametrize("name", TERRAIN)
def test_table_4_1(name: str) -> None:
    key = f"cat-{name.lower()}"
    assert (tables.row("en-terrain-z0", key).value, tables.row("en-terrain-zmin", key).value) == TERRAIN[name]
    assert float(en1991.terrain_factor(0.19, TERRAIN[name][0], 0.05, 0.07)) == pytest.approx(
        KR[name], abs=5e-5
    )


WIND = 'method = "en1991"\naveraging = "10 min"\nspeed = "{speed} m/s"\n'


@given(
    st.sampled_from(sorted(TERRAIN)),
    st.floats(5.0, 40.0),
    st.floats(2.0, 12.0),
    st.sampled_from([None, 2, 10, 50, 100]),
)
def test_whole_chain_against_the_formulas_written_again(
    name: str, speed: float, ridge: float, years: int | None
) -> None:
    """From the file to q: at the height of the ridge, times cprob on the speed; the gust is only shown."""
    period = f"return_period = {years}\n" if years else ""
    d = read_text(f"""
    [shelter]
    form = "gable"
    length = "10 m"
    width = "6 m"
    eave = "{ridge} m"
    ridge = "{ridge} m"
    points_per_side = 3
    openings = {{}}
    [site]
    surface = "asphalt"
    terrain_category = "{name}"
    [wind]
    {WIND.format(speed=speed)}{period}
    [anchorage]
    kind = "ballast"
    unit_mass = "20 kg"
    """)
    state = wind_state(d.wind, d.site, d.snow, shape_of(d.shelter), 1.0)
    chance = (
        ((1 - 0.2 * math.log(-math.log(1 - 1 / years))) / (1 - 0.2 * math.log(-math.log(0.98)))) ** 0.5
        if years
        else 1.0
    )
    assert state.pressure == pytest.approx(_qp(name, speed * chance, ridge), rel=1e-12)
    assert state.gust == pytest.approx(1.66 * speed * chance, rel=1e-12)  # WMO in-land, the larger of the two
    assert state.pressure_per_gust_squared * state.gust**2 == pytest.approx(state.pressure, rel=1e-12)
    assert state.density == 1.25
    assert state.exposure == name


@pytest.mark.parametrize(
    ("wind", "key"),
    [
        ('averaging = "3 s"', "wind.averaging"),
        ('averaging = "1 h"', "wind.averaging"),
        ("", "wind.averaging"),
        ('speed_is = "forecast-gust"', "wind.averaging"),
        ('averaging = "10 min"\nlevel = "strength"', "wind.level"),
        ('averaging = "10 min"\nheight = "2 m"', "wind.height"),
        ('averaging = "10 min"\nterrain = "site"', "wind.terrain"),
        ('averaging = "10 min"\nreturn_period = 1.5', "wind.return_period"),
        ('speed_is = "forecast-wind"\nreturn_period = 10', "wind.return_period"),
    ],
)
def test_a_number_that_is_no_ten_minute_mean_at_ten_metres_is_refused(
    deploy: Callable[..., Deployment], wind: str, key: str
) -> None:
    text = f"""
    [shelter]
    form = "gable"
    length = "10 m"
    width = "6 m"
    eave = "2.5 m"
    ridge = "3 m"
    points_per_side = 3
    [site]
    surface = "asphalt"
    [wind]
    method = "en1991"
    speed = "20 m/s"
    {wind}
    [anchorage]
    kind = "ballast"
    unit_mass = "20 kg"
    """
    with pytest.raises(InputFaults) as refused:
        read_text(text)
    assert key in {f.key for f in refused.value.faults}
