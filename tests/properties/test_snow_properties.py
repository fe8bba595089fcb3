"""Snow and straps: more snow never helps, units do not matter, layers add, depth times density is water, hours are alone."""

from operator import attrgetter

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from snow_files import winter
from strategies import some

from anchorage.checks.installation import assemble
from anchorage.deployment.models import Deployment
from anchorage.formulas import snow as formulas
from anchorage.holding.straps import added_uplift
from anchorage.judging.plan import make_plan
from anchorage.judging.result import Plan
from anchorage.loads.roof_snow import accumulate, roof_snow

KIND = st.sampled_from(["new", "settled", "wet", "slush", "ice"])
STRAP = {
    "count": 3, "ends": 1, "angle": 45, "bay": "2 m", "rated": "6 kN", "stiffness": "100 kN", "slack": "1 cm",
}  # fmt: skip
PSF = 47.88025898033584
EDITIONS = ["asce7-10", "asce7-16", "asce7-22", "en1991-1-3"]


def metres(low: float, high: float) -> st.SearchStrategy[float]:
    return st.floats(low, high).map(lambda v: round(v, 4))


def loads(d: Deployment) -> list[float]:
    s = roof_snow(d.snow, d.shelter, d.site)
    return [s.load, s.heavy, s.light + s.heavy]


def never_less(less: list[float], more: list[float]) -> None:
    assert all(b >= a * (1 - 1e-9) - 1e-9 for a, b in zip(less, more, strict=True)), (less, more)


@given(metres(0, 1), metres(0, 1), KIND)
def test_deeper_is_never_lighter(a: float, b: float, kind: str) -> None:
    a, b = sorted((a, b))
    never_less(*(loads(winter(snow={"depth": f"{x} m", "kind": kind})) for x in (a, b)))


@given(metres(0.01, 1))
def test_a_kind_that_is_not_known_is_never_lighter_than_new_settled_or_wet(depth: float) -> None:
    unknown = loads(winter(snow={"depth": f"{depth} m"}))
    for kind in ("new", "settled", "wet"):
        never_less(loads(winter(snow={"depth": f"{depth} m", "kind": kind})), unknown)


@given(
    st.floats(0, 15e3),
    st.floats(0, 15e3),
    st.sampled_from(EDITIONS),
    st.sampled_from(["gable", "single-slope", "arch"]),
    metres(0, 3.5),
)
def test_more_on_the_ground_is_never_less_on_the_roof(
    a: float, b: float, edition: str, form: str, rise: float
) -> None:
    a, b = sorted((round(a, 2), round(b, 2)))
    rise = max(rise, 0.05) if form == "arch" else rise
    shape = {
        "shelter__form": form,
        "shelter__width": "8 m",
        "shelter__eave": "2 m",
        "shelter__ridge": f"{2 + min(rise, 3.9)} m",
    }
    never_less(*(loads(winter(**shape, snow={"ground_load": f"{x} Pa", "edition": edition})) for x in (a, b)))


@given(metres(0.01, 0.5), KIND, metres(0, 0.05), metres(0, 0.05), st.booleans())
def test_more_rain_is_never_lighter(depth: float, kind: str, a: float, b: float, pockets: bool) -> None:
    a, b = sorted((a, b))
    snow = {"depth": f"{depth} m", "kind": kind, "pockets": pockets}
    never_less(*(loads(winter(snow={**snow, "rain": f"{x} m"})) for x in (a, b)))


@given(st.floats(0, 100).map(lambda v: round(v, 3)), st.sampled_from(EDITIONS))
def test_psf_and_kpa_agree(psf: float, edition: str) -> None:
    us, si = (
        loads(winter(snow={"ground_load": g, "edition": edition}))
        for g in (f"{psf} psf", f"{psf * PSF / 1000!r} kPa")
    )
    assert us == pytest.approx(si, rel=1e-9, abs=1e-9)


@given(st.lists(st.tuples(metres(0, 0.5), KIND), min_size=1, max_size=5), st.randoms())
def test_layers_add_in_any_order(layers: list[tuple[float, str]], random: object) -> None:
    tables_ = [{"depth": f"{d} m", "kind": k} for d, k in layers]
    alone = sum(
        roof_snow(*attrgetter("snow", "shelter", "site")(winter(snow={"depth": f"{d} m", "kind": k}))).load
        for d, k in layers
    )
    shuffled = list(tables_)
    random.shuffle(shuffled)  # type: ignore[attr-defined]
    for each in (tables_, shuffled):
        assert roof_snow(
            *attrgetter("snow", "shelter", "site")(winter(snow={"layers": each}))
        ).load == pytest.approx(alone, rel=1e-12, abs=1e-9)


@given(metres(0.001, 1), st.floats(10, 1000))
def test_depth_times_density_is_water(depth: float, rho: float) -> None:
    load = formulas.layer_load(rho, depth, 9.80665)
    assert formulas.water_of_load(load, 1000.0, 9.80665) == pytest.approx(rho * depth / 1000, rel=1e-12)
    assert formulas.water_load(1000.0, rho * depth / 1000, 9.80665) == pytest.approx(load, rel=1e-12)
    assert formulas.implied_density(load, depth, 9.80665) == pytest.approx(rho, rel=1e-12)
    assert formulas.depth_of_load(load, rho, 9.80665) == pytest.approx(depth, rel=1e-12)


@given(metres(0, 0.5))
def test_water_and_a_core_of_it_agree(water: float) -> None:
    by_water = roof_snow(*attrgetter("snow", "shelter", "site")(winter(snow={"water": f"{water} m"}))).load
    by_core = roof_snow(
        *attrgetter("snow", "shelter", "site")(
            winter(snow={"core": {"mass": f"{water * 10!r} kg", "area": "0.01 m2"}})
        )
    ).load
    assert by_water == pytest.approx(by_core, rel=1e-9, abs=1e-9)


HOURS = st.lists(st.tuples(st.floats(255, 285), st.floats(0, 0.02)), min_size=1, max_size=12)


@given(HOURS, st.booleans(), st.booleans(), st.floats(0, 500), st.integers(0, 11), st.floats(0, 0.02))
def test_more_falling_never_less_on_the_roof(
    hours: list[tuple[float, float]], stays: bool, pockets: bool, start: float, at: int, more: float
) -> None:
    t, w = (np.array(v) for v in zip(*hours, strict=True))
    extra = w.copy()
    extra[at % len(w)] += more
    less, heavier = (
        accumulate(t, liquid=x, stays=stays, pockets=pockets, start=start).load for x in (w, extra)
    )
    assert np.all(heavier >= less - 1e-9)
    assert (
        np.all(np.diff(np.concatenate([[start], less])) >= -1e-9) or not stays
    )  # with no heating nothing melts


@given(HOURS, st.floats(0, 20))
def test_colder_never_less(hours: list[tuple[float, float]], colder: float) -> None:
    t, w = (np.array(v) for v in zip(*hours, strict=True))
    warm, cold = (accumulate(x, liquid=w, stays=True).load for x in (t, t - colder))
    assert np.all(cold >= warm - 1e-9)


@given(HOURS)
def test_all_that_falls_is_counted_where_all_of_it_sticks(hours: list[tuple[float, float]]) -> None:
    t, w = (np.array(v) for v in zip(*hours, strict=True))
    found = accumulate(np.minimum(t, 275.15), liquid=w, stays=False)
    assert found.load == pytest.approx(np.cumsum(w) * 1000 * 9.80665, rel=1e-12, abs=1e-9)
    assert found.water == pytest.approx(np.cumsum(w) * 1000, rel=1e-12, abs=1e-12)


@given(st.lists(HOURS.filter(lambda h: len(h) >= 4), min_size=2, max_size=4), st.booleans())
def test_forecasts_side_by_side_do_not_see_each_other(
    many: list[list[tuple[float, float]]], stays: bool
) -> None:
    cut = [h[:4] for h in many]
    t, w = (np.array([[x[k] for x in h] for h in cut]) for k in (0, 1))
    together = accumulate(t, liquid=w, stays=stays).load
    for k in range(len(cut)):
        assert together[k] == pytest.approx(accumulate(t[k], liquid=w[k], stays=stays).load, rel=1e-14, abs=0)


@given(st.integers(0, 5), st.integers(6, 9))
def test_an_hour_without_precipitation_is_unknown_from_there_on(gap: int, count: int) -> None:
    w = np.full(count, 0.001)
    w[gap] = np.nan
    load = accumulate(np.full(count, 270.0), liquid=w, stays=True).load
    assert np.all(np.isfinite(load[:gap]))
    assert np.all(np.isnan(load[gap:]))


@given(st.floats(240, 274), metres(0, 1))
def test_a_depth_alone_never_weighs_less_than_100_kg_a_cubic_metre(t: float, depth: float) -> None:
    load = accumulate(np.array([t]), snowfall=np.array([depth]), stays=True).load
    assert load[0] >= 100 * depth * 9.80665 * (1 - 1e-12)


def plan(**changes: object) -> Plan:
    return make_plan(winter(**changes))


@given(metres(0, 0.4), metres(0, 0.4), KIND)
@settings(some(0.1))
def test_more_snow_never_lowers_a_ratio_and_never_raises_the_gust(a: float, b: float, kind: str) -> None:
    """Every check by name, straps locked and described. The friction of what lies under the bags is the same in both."""
    a, b = sorted((max(a, 1e-3), max(b, 1e-3)))
    less, more = (
        plan(shelter__strap=STRAP, anchorage__placed=12, snow={"depth": f"{x} m", "kind": kind})
        for x in (a, b)
    )
    inf = float("inf")
    before, after = ({c.name: inf if c.ratio is None else c.ratio for c in p.checks} for p in (less, more))
    assert set(before) <= set(after)
    assert all(
        after[k] >= v * (1 - 1e-9)
        for k, v in before.items()
        if k in ("roof snow", "straps along the ridge", "straps across the ridge")
    )
    assert (more.limit.gust_m_s or 0) <= (less.limit.gust_m_s or 0) * (1 + 1e-9)
    order = ["not needed", "lock", "ask the maker", "lock, and still not enough"]
    assert order.index(more.straps.decision) >= order.index(less.straps.decision)


@given(metres(0, 0.4), st.floats(0, 0.1), st.floats(0, 15))
@settings(some(0.1))
def test_sway_grows_with_snow_lean_and_uneven_legs(depth: float, lean: float, legs: float) -> None:
    base = {"shelter__strap": STRAP, "snow": {"depth": f"{depth} m", "kind": "wet"}}
    bare = assemble(winter(shelter__strap=STRAP, snow={"depth": "0 m", "kind": "wet"})).racking
    snowy = assemble(winter(**base)).racking
    leaning = assemble(winter(**base, shelter__lean=round(lean, 4), shelter__leg_lean=round(legs, 3))).racking
    for r0, r1, r2 in zip(bare, snowy, leaning, strict=True):
        assert (r0.sway or 0) <= (r1.sway or 0) * (1 + 1e-12) <= (r2.sway or 0) * (1 + 1e-9) + 1e-9
        assert r0.amplifier <= r1.amplifier * (1 + 1e-12)


def test_mirror_of_the_points_has_the_same_added_uplift() -> None:
    x = assemble(winter(shelter__strap=STRAP, snow={"depth": "3 in", "kind": "wet"}))
    added = added_uplift(x.racking, x.shape.points)
    by = {p.id: (added.fixed[i], added.per_q[i]) for i, p in enumerate(x.shape.points)}
    assert all(by[f"L{k}"] == by[f"R{k}"] for k in range(1, 5))
    assert all(v[0] > 0 and v[1] > 0 for v in by.values())
