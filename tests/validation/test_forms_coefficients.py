"""Arched and hip roofs by ASCE 7, joined shelters, Beaufort and the log law: published figures and what follows from them.

Sources and their grade
    Bangladesh National Building Code 2020, part 6, fig. 6.2.8 (arched roofs) and fig. 6.2.6 (hip: each slope by its direction)
        (code; the ASCE 7-05/7-10 figures).
    FAO-56 eq. 47 (code, international guide), O19: wind at 2 m is 0.748 of that at 10 m, which is a log law with a
        displacement; without one the roughness of short grass gives the same to 1 %.
    Beaufort scale in m/s (code; two public tables that agree): force 6 is 10.8 to 13.8 m/s.
Tolerance: exact for typed tables; 1e-12 for sums.
"""

import math
from collections.abc import Callable

import numpy as np
import pytest

from anchorage.checks.installation import assemble, shape_of
from anchorage.core import tables
from anchorage.core.closed import FACES
from anchorage.core.errors import InputFaults, NotModelledError, OutOfRangeError
from anchorage.core.told import in_words
from anchorage.deployment.models import Deployment
from anchorage.deployment.reader import read_text
from anchorage.formulas import speed
from anchorage.formulas.coefficients import same_sign
from anchorage.loads.pressures import panels
from anchorage.loads.wind import wind_state
from anchorage.shelter.forms import arch, circle, hip

ONES = dict.fromkeys(FACES, 1.0)
ELEVATED = (  # rise/span: windward quarter, centre half, leeward quarter, as the figure says
    (0.10, (-0.9,), -0.80, -0.5),
    (0.19, (-0.9,), -0.89, -0.5),
    (0.20, (1.5 * 0.20 - 0.3, 6 * 0.20 - 2.1), -0.90, -0.5),
    (0.25, (1.5 * 0.25 - 0.3, 6 * 0.25 - 2.1), -0.95, -0.5),
    (0.30, (2.75 * 0.30 - 0.7, 6 * 0.30 - 2.1), -1.00, -0.5),
    (0.45, (2.75 * 0.45 - 0.7,), -1.15, -0.5),
    (0.60, (2.75 * 0.60 - 0.7,), -1.30, -0.5),
)
GROUND = ((0.1, 0.14, -0.8, -0.5), (0.3, 0.42, -1.0, -0.5), (0.5, 0.70, -1.2, -0.5), (0.6, 0.84, -1.3, -0.5))
BEAUFORT_TOP = {0: 0.2, 3: 5.4, 6: 13.8, 8: 20.7, 11: 32.6}
FAO = 0.748
PRINTED = {
    "arch on walls": sum(len(w) + 2 for _, w, _, _ in ELEVATED),
    "arch from the ground": 3 * len(GROUND),
    "Beaufort": len(BEAUFORT_TOP),
    "FAO-56": 1,
}


def _values(shape, face: str, *, quarter: float) -> tuple[set[float], set[float], set[float]]:
    """Coefficients on the facets clear of any boundary: windward, centre, leeward, over all variants."""
    p = panels(shape, face, ONES)
    sign = 1.0 if face == "left" else -1.0
    found: tuple[set[float], set[float], set[float]] = (set(), set(), set())
    for i, name in enumerate(p.names):
        if name.startswith("roof"):
            angle = sign * math.atan2(p.vector[i, 1], p.vector[i, 2])
            part = 0 if angle > quarter else 2 if angle < -quarter else 1
            for value, variant in zip(p.external[:, i], p.variants, strict=True):
                if variant.startswith("quarters of the arc"):
                    found[part].add(round(float(value), 12))
    return found


@pytest.mark.parametrize(("r", "windward", "centre", "lee"), ELEVATED)
@pytest.mark.parametrize("face", ["left", "right"])
def test_arch_on_walls(r: float, windward: tuple[float, ...], centre: float, lee: float, face: str) -> None:
    shape = arch(12.0, 6.0, 2.0, 2.0 + 6.0 * r, 4, 3)
    quarter = circle(6.0, 6.0 * r)[1] / 2
    found = _values(shape, face, quarter=quarter)
    assert found == ({round(w, 12) for w in windward}, {round(centre, 12)}, {lee})


@pytest.mark.parametrize(("r", "windward", "centre", "lee"), GROUND)
def test_arch_from_the_ground(r: float, windward: float, centre: float, lee: float) -> None:
    shape = arch(12.0, 6.0, 0.0, 6.0 * r, 4, 3)
    found = _values(shape, "left", quarter=circle(6.0, 6.0 * r)[1] / 2)
    assert found == ({round(windward, 12)}, {round(centre, 12)}, {lee})


def test_half_circle_from_the_ground_by_hand() -> None:
    """r = 0.5: uplift and push of each variant from the projections of a half circle of radius 3, end walls left out.

    Quarters of the arc end at 45°: windward and leeward 3(1 - cos 45°) in plan, 3 sin 45° in elevation. Quarters of the
    span end at 60° from the crown: 1.5 in plan, 3 cos 60° ... in elevation up to where they end.
    """
    p = panels(arch(10.0, 6.0, 0.0, 3.0, 4, 3), "left", ONES)
    force = -np.einsum("vk,kj->vj", p.external, p.vector)
    for variant, end in (("quarters of the arc", math.pi / 4), ("quarters of the span", math.pi / 6)):
        plan, high = (
            3 * (1 - math.sin(end)) if variant.endswith("span") else 3 * (1 - math.cos(math.pi / 4)),
            0.0,
        )
        high = 3 * math.cos(end) if variant.endswith("span") else 3 * math.sin(math.pi / 4)
        up = 10 * (-0.70 * plan + 1.2 * (6 - 2 * plan) + 0.5 * plan)
        push = 10 * (0.70 * high + 0.5 * high)
        k = p.variants.index(variant)
        assert force[k, 2] == pytest.approx(up, rel=1e-12)
        assert force[k, 1] == pytest.approx(-push, rel=1e-12)


def test_arch_along_its_axis_is_a_roof_in_strips() -> None:
    """Strips of the roof with the wind along the ridge, h the mean roof height; each strip has its share of the plan."""
    shape = arch(12.0, 6.0, 2.0, 3.5, 4, 3)
    p = panels(shape, "front", ONES)
    h = 2.75
    for k, (start, end, cp) in enumerate(
        [(0, h / 2, -0.9), (h / 2, h, -0.9), (h, 2 * h, -0.5), (2 * h, 12.0, -0.3)], 1
    ):
        rows = [i for i, n in enumerate(p.names) if n.endswith(f"strip {k}")]
        assert sum(p.vector[i, 2] for i in rows) == pytest.approx((end - start) * 6.0, rel=1e-12)
        assert {float(p.external[0, i]) for i in rows} == {cp}
        assert {float(p.external[1, i]) for i in rows} == {-0.18}


def test_arches_steeper_than_the_figure_are_refused() -> None:
    with pytest.raises(OutOfRangeError, match="rise/span"):
        panels(arch(12.0, 6.0, 0.0, 3.7, 4, 3), "left", ONES)


def test_hip_each_slope_by_its_direction() -> None:
    """12 x 6 m, 30° all round, h/L by the depth of each direction: windward and leeward rows, the other two in strips."""
    rise = 3.0 * math.tan(math.radians(30.0))
    shape = hip(12.0, 6.0, 2.5, 2.5 + rise, 4, 3, None)
    h = 2.5 + rise / 2
    first = np.array(
        [[-0.2, -0.2, 0.0], [-0.3, -0.2, -0.2], [-0.5, -0.3, -0.2]]
    )  # h/L 0.25, 0.5, 1 by 25, 30, 35 degrees
    for face, depth in (("front", 12.0), ("left", 6.0)):
        p = panels(shape, face, ONES)
        value = dict(zip(p.names, p.external.T.tolist(), strict=True))
        more = same_sign(h / depth, 30.0, [0.25, 0.5, 1.0], [25.0, 30.0, 35.0], first)
        assert value[f"{face} roof"] == pytest.approx(
            [more, float(np.interp(h / depth, [0.25, 0.5, 1.0], [0.3, 0.2, 0.2]))]
        )
        opposite = {"front": "back", "left": "right"}[face]
        assert value[f"{opposite} roof"] == [-0.6, -0.6]
        strips = [v for n, v in value.items() if "strip" in n]
        assert len(strips) >= 4
        assert all(v[1] == -0.18 for v in strips)


def test_hip_with_a_ridge_as_long_as_itself_loads_as_a_gable() -> None:
    """In the limit of upright ends the side slopes are those of a gable; here 1 mm short of it."""
    from anchorage.shelter.shape import gable

    almost, plain = hip(12.0, 6.0, 2.5, 3.5, 4, 3, 11.999), gable(12.0, 6.0, 2.5, 3.5, 4, 3)
    a, b = (panels(s, "left", ONES) for s in (almost, plain))
    up_a, up_b = (-(p.external @ p.vector[:, 2]) for p in (a, b))
    assert up_a.tolist() == pytest.approx(up_b.tolist(), rel=1e-3)


FILE = """
[shelter]
form = "{form}"
length = "{length} m"
width = "5 m"
eave = "2.2 m"
ridge = "{ridge} m"
points_per_side = {points}
openings = {{}}
{shelter}
[site]
surface = "asphalt"
state = "dry"
exposure = "C"
{site}
[wind]
{wind}
[anchorage]
kind = "ballast"
unit_mass = "40 kg"
placed = 8
{more}
"""


def _read(*, form: str = "gable", length: float = 6.0, ridge: float = 3.0, points: int = 3, shelter: str = "", site: str = "",
          wind: str = 'speed = "15 m/s"\naveraging = "3 s"', more: str = "") -> Deployment:  # fmt: skip
    return read_text(
        FILE.format(
            form=form,
            length=length,
            ridge=ridge,
            points=points,
            shelter=shelter,
            site=site,
            wind=wind,
            more=more,
        )
    )


@pytest.mark.parametrize("form", ["gable", "arch", "single-slope"])
def test_end_to_end_is_one_long_shelter(form: str) -> None:
    """Two of 6 m with 3 points a side are one of 12 m with 5: the same loads, points and limit."""
    joined = assemble(_read(form=form, shelter='joined = { count = 2, how = "end-to-end" }'))
    long = assemble(_read(form=form, length=12.0, points=5))
    assert joined.everywhere.ids == long.everywhere.ids
    assert np.array_equal(joined.everywhere.cases.uplift, long.everywhere.cases.uplift)
    assert joined.gust_held() == long.gust_held()
    assert any("taken as one" in note for note in in_words(joined.assumptions))


def test_side_by_side_low_gables_stand_alone_and_others_are_refused() -> None:
    side = 'joined = { count = 3, how = "side-by-side" }'
    low, alone = assemble(_read(ridge=2.5, shelter=side)), assemble(_read(ridge=2.5))
    assert low.gust_held() == alone.gust_held()
    assert any("EACH of the 3" in note for note in in_words(low.assumptions))
    for form, ridge, more in (("gable", 3.0, ""), ("arch", 2.5, ""), ("gable", 2.5, "[stock]\nunits = 9")):
        with pytest.raises(InputFaults):
            _read(form=form, ridge=ridge, shelter=side, more=more)
    with pytest.raises(InputFaults, match="valleys"):
        _read(form="hip", shelter='joined = { count = 2, how = "end-to-end" }')


@pytest.mark.parametrize("force", BEAUFORT_TOP)
def test_beaufort_is_the_upper_end_of_the_force_as_a_mean(force: int) -> None:
    """Printed to 0.1 with gaps of 0.1 between forces: the upper end is taken at the next one's lower bound."""
    d = _read(wind=f"beaufort = {force}")
    assert float(d.wind.speed) == pytest.approx(BEAUFORT_TOP[force] + 0.1, abs=1e-9)
    assert wind_state(d.wind, d.site, d.snow, shape_of(d.shelter), 1.0).gust == pytest.approx(
        1.66 * (BEAUFORT_TOP[force] + 0.1), rel=1e-12
    )


@pytest.mark.parametrize(
    "wind", ["beaufort = 12", 'beaufort = 6\nspeed = "9 m/s"', 'beaufort = 5\naveraging = "3 s"']
)
def test_beaufort_with_something_else_is_refused(wind: str) -> None:
    with pytest.raises(InputFaults, match="eaufort"):
        _read(wind=wind)


def test_o19_two_metres_to_ten() -> None:
    """FAO's u2/u10 = 4.87/ln(67.8·10 - 5.42) = 0.748; the log law over short grass, z0 = 0.0148 m, without its displacement: 1 %."""
    up = float(speed.mean_at_reference(1.0, 10.0, 0.0148, 2.0 / 0.0148))
    assert up == pytest.approx(1 / FAO, rel=0.01)
    assert 4.87 / math.log(67.8 * 10 - 5.42) == pytest.approx(FAO, abs=5e-4)


@pytest.mark.parametrize(("z0", "factor"), [(0.0002, 1.175), (0.005, 1.269), (0.03, 1.383), (0.10, 1.537)])
def test_log_law_brings_a_mean_up(z0: float, factor: float) -> None:
    """ln(10/z0)/ln(2/z0), to the three figures of the register of sources; through the file as well."""
    assert float(speed.mean_at_reference(1.0, 10.0, z0, 2.0 / z0)) == pytest.approx(factor, abs=6e-4)
    d = _read(site=f'z0 = "{z0} m"', wind='speed = "10 m/s"\naveraging = "10 min"\nheight = "2 m"')
    gust = wind_state(d.wind, d.site, d.snow, shape_of(d.shelter), 1.0).gust
    assert gust == pytest.approx(10 * 1.66 * math.log(10 / z0) / math.log(2 / z0), rel=1e-12)


def test_log_law_among_obstacles_is_refused() -> None:
    with pytest.raises(InputFaults, match="z0"):
        _read(site='z0 = "0.25 m"', wind='speed = "10 m/s"\naveraging = "10 min"\nheight = "2 m"')
    with pytest.raises(OutOfRangeError):
        speed.mean_at_reference(1.0, 10.0, 0.25, 2.0 / 0.25)


def test_ground_by_bearing_lowers_only_the_cases_that_come_over_it() -> None:
    """Front faces north, town from 270 through north to 90: only winds from -45 to 45 are over town within 45° either side."""
    plain = assemble(_read(site="heading = 0")).everywhere.cases
    x = assemble(
        _read(
            site='heading = 0\nexposures = [{ from = 270, to = 90, exposure = "B" }]',
            wind='speed = "15 m/s"\naveraging = "3 s"\nterrain = "open"',
        )
    )
    cases = x.everywhere.cases
    share = 0.5747 / 0.8489  # Kz at 15 ft, B over C, from the formula of the register
    north = np.isin(cases.bearing, [0.0, 45.0, 315.0])
    for name in ("uplift", "push", "moment", "twist"):
        over, open_ = getattr(cases, name), getattr(plain, name)
        assert over[north] == pytest.approx(share * open_[north], rel=2e-4, abs=1e-9)
        assert np.array_equal(over[~north], open_[~north])
    assert np.array_equal(cases.eccentricity, plain.eccentricity)
    assert x.wind.exposure == "C"
    assert tables.row("kz-floor", "asce7").value == 4.572


def test_a_canopy_has_no_walls_to_open(deploy: Callable[..., Deployment]) -> None:
    with pytest.raises(InputFaults, match="no walls"):
        deploy(form="canopy-gable", openings="{ front = 0.5 }")
    with pytest.raises(NotModelledError, match="canopy"):
        assemble(deploy(openings="{ front = 0.9, back = 0.9, left = 0.9, right = 0.9 }"))
