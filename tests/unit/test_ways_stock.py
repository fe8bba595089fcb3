"""The arrangement of everything brought that holds the highest gust: equal to trying all, never lower with more, as check has it."""

import itertools
import sys
from dataclasses import replace
from datetime import UTC, datetime

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from toml_writer import demo, written

from anchorage.checks.checks import limits, worst_pressure
from anchorage.checks.footprint import held
from anchorage.deployment.reader import read_text
from anchorage.holding.hardware import hardware
from anchorage.judging.plan import assess
from anchorage.ways import arrange
from anchorage.ways.arrange import changes_of, choices_of, solvers, standing_on
from anchorage.ways.changes import put
from anchorage.ways.compare import ways

SMALL = {
    "shelter__points_per_side": 2,
    "shelter__length": "12 ft",
    "shelter__width": "12 ft",
    "anchorage__foot": "rubber",
}
FREE = 5000.0
"""A pressure (Pa) over all that these hold."""


def small(**changes):
    return read_text(written(demo("asphalt", **{**SMALL, **changes})))


def halves(**changes):
    """The left side on grass with stakes, the right on the lot."""
    points = [
        {
            "id": i,
            "kind": "stakes" if i[0] == "L" else "ballast",
            **({"surface": "grass"} if i[0] == "L" else {}),
        }
        for i in ("L1", "L2", "R1", "R2")
    ]
    more = {f"shelter__{k}": v for k, v in (("points_per_side", 2), ("length", "12 ft"), ("width", "12 ft"))}
    return read_text(
        written(demo("mixed", **{**more, "point": points, "anchorage__bearing_area": None, **changes}))
    )


def tried_all(run):
    """The highest pressure of any arrangement by the checks themselves."""
    x, best = run.x, 0.0
    points = [next((p for p in x.deployment.point if p.id == i), None) for i in x.base.ids]
    able, bases = [], {}
    for i, ks in enumerate(run.pattern):
        p = points[i]
        if p is None:
            from anchorage.deployment.models import PointIn

            p = PointIn(id=x.base.ids[i])
        mine = []
        for k in ks:
            h = hardware(x.deployment.anchorage, x.deployment.ground, run.choices[k].at(p), x.factors)
            most = 4 if h.kind == "stakes" else run.choices[k].brought if h.most is None else h.most
            mine += [(k, h, n) for n in range(1, min(most, run.choices[k].brought) + 1)]
        able.append(mine)
    for taken in itertools.product(*able):
        stock = {c.of: c.brought for c in run.choices}
        if any(sum(n for k, _, n in taken if run.choices[k].of == of) > most for of, most in stock.items()):
            continue
        hard = [h for _, h, _ in taken]
        b = bases.get(tuple(h.kind for h in hard)) or standing_on(x, hard, run.pattern)
        bases[tuple(h.kind for h in hard)] = b
        found = limits(
            b, held(hard, x.factors, np.array([n for _, _, n in taken]), x.shelter_mass, b.usable), x.factors
        )
        best = max(best, worst_pressure(found))
    return best


def runs_of(d):
    return [replace(r, gap=1e-7) for r in solvers(assess(d).installation, FREE)[1]]


@pytest.mark.parametrize(
    "stock",
    [
        {"sandbags": 7},
        {"sandbags": 5, "water_barrels": 2},
        {"sandbags": 3, "water_barrels": 3},
        {"sandbags": 4, "sandbag_30s": 3},
    ],
)
@pytest.mark.parametrize("how", ["standing-tied", "on-foot"])
def test_weights_of_mixed_kinds_are_the_best_of_all_that_can_be_tried(stock, how):
    (run,) = runs_of(small(stock=stock, anchorage__how=how))
    found = run.best()
    assert found.q == pytest.approx(tried_all(run), rel=1e-6)
    assert found.bound == pytest.approx(found.q, rel=1e-5)


def test_on_a_slope_too():
    (run,) = runs_of(small(stock={"sandbags": 4, "water_barrels": 2}, site__slope=4))
    assert run.best().q == pytest.approx(tried_all(run), rel=1e-6)


@pytest.mark.parametrize("stock", [{"stakes": 5, "water_barrels": 3}])
@pytest.mark.parametrize(("spacing", "angle"), [("8 in", 45), (None, 45), ("8 in", None)])
def test_stakes_beside_weights_are_the_best_of_all_that_can_be_tried(stock, spacing, angle):
    more = {"anchorage__stake__spacing": spacing}
    if angle is None:
        more |= {
            "anchorage__stake__line_angle": None,
            "anchorage__stake__line_height": None,
            "anchorage__line_rated": None,
        }
    run = next(r for r in runs_of(halves(stock=stock, **more)) if r.driven)
    best = tried_all(run)
    found = run.best()
    assert found.q == pytest.approx(best, rel=2e-3)
    assert found.bound >= best * (1 - 1e-9)


def test_what_the_program_finds_is_what_check_says():
    d = small(stock={"sandbags": 9, "water_barrels": 2})
    (run,) = runs_of(d)
    x, found = run.x, run.best()
    made = put(d, changes_of(x, run.choices, found))
    plan = assess(made).plan
    assert plan.limit.anchorage_gust_m_s == pytest.approx(x.wind.gust_of(found.q), rel=1e-6)
    assert [p.units for p in plan.anchorage.points] == found.counts.tolist()


@pytest.mark.parametrize("name", ["mixed", "clay"])
def test_what_the_program_finds_with_stakes_is_what_check_says(name):
    """In the demo mixed what lee lines add to the push decides; in clay the wind from one side."""
    x = assess(read_text(written(demo(name)))).installation
    run = next(r for r in solvers(x, FREE)[1] if r.driven)
    found = run.best()
    y = assess(put(x.deployment, changes_of(x, run.choices, found))).installation
    assert worst_pressure(y.limits()) == pytest.approx(found.q, rel=2e-3)


@settings(max_examples=6, deadline=None)
@given(st.integers(4, 14), st.integers(0, 4), st.integers(0, 6), st.integers(0, 3))
def test_adding_stock_never_lowers_the_best(bags, barrels, more_bags, more_barrels):
    def best(b, w):
        found = runs_of(small(stock={"sandbags": b, "water_barrels": w}))[0].best()
        return found.q

    assert best(bags + more_bags, barrels + more_barrels) >= best(bags, barrels) * (1 - 1e-6)


@pytest.mark.parametrize(("few", "more"), [((5, 3), (7, 3)), ((5, 3), (5, 4))])
def test_adding_stakes_or_weights_never_lowers_the_best_of_unlike_points(few, more):
    """Best of every way to share the points out, stakes beside weights; halving leaves a thousandth."""

    def best(stakes, barrels):
        found = [r.best() for r in runs_of(halves(stock={"stakes": stakes, "water_barrels": barrels}))]
        return max(f.q for f in found if f is not None)

    assert best(*more) >= best(*few) * (1 - 2e-3)


def test_the_least_work_that_does_it_costs_no_more_than_the_best():
    d = small(stock={"sandbags": 30, "water_barrels": 4})
    run = runs_of(d)[0]
    best = run.best()
    least = run.least_work(best.q / 3)
    assert least.counts.sum() <= best.counts.sum()
    made = put(d, changes_of(run.x, run.choices, least))
    x = assess(made).installation
    assert worst_pressure(x.limits()) >= best.q / 3 * (1 - 1e-6)


def test_too_few_for_every_foot_is_said():
    found = ways(assess(small(stock={"sandbags": 3})))
    assert any("too few to hold every foot" in n.why for n in found.not_)


def test_without_the_solver_it_says_what_to_install(monkeypatch):
    monkeypatch.setitem(sys.modules, "scipy.optimize", None)
    found = ways(assess(small(stock={"sandbags": 30})))
    assert any("shelter-anchorage[fleet]" in n.why for n in found.not_)
    assert found.ways


def test_where_nothing_does_it_a_lull_is_named_and_judged():
    found = ways(assess(read_text(written(demo("clay")))))
    lull = [w for w in found.ways if w.name.startswith("ONLY IN A LULL, gusts to ")]
    assert len(lull) == 1
    assert lull[0].changes["wind.speed"] == "25 mph"  # from any side; from the west alone it would be 31
    assert lull[0].verdict == "go"
    assert any("Wait for a lull" in n for n in lull[0].needs)
    assert lull[0].total == 12
    assert lull[0].changes["wind.from"] is None
    assert lull[0].any_side_m_s is None


FORECAST = {
    "heard": "2026-11-28 12:00",
    "lines": ["until 16:00 gust 45 mph", "from 16:00 until 22:00 gust 20 mph"],
}


def test_a_lull_that_is_forecast_is_named_with_its_hours():
    d = read_text(
        written(
            demo(
                "clay",
                forecast=FORECAST,
                outlook={"zone": "America/Chicago"},
                times={"start": "12:30", "end": "22:00"},
            )
        )
    )
    now = int(datetime(2026, 11, 28, 18, 30, tzinfo=UTC).timestamp())
    (lull,) = [w for w in ways(assess(d), now).ways if "LULL" in w.name]
    assert any("from Sat 16:00 CST (22:00 UTC) to Sat 22:00 CST" in n for n in lull.needs), lull.needs[:3]


def test_only_what_was_brought_is_a_choice():
    d = small(stock={"sandbags": 5, "water_barrels": 0, "stakes": 9})
    assert [(c.kind, c.unit, c.brought) for c in choices_of(d.anchorage, d.stock)] == [("ballast", None, 5)]


@pytest.mark.parametrize(
    ("sides", "stock"), [(3, {"water_barrels": 7}), (2, {"sandbags": 3, "water_barrels": 3})]
)
def test_weights_on_lines_beside_weights_on_the_frame_are_the_best_of_all_that_can_be_tried(sides, stock):
    """The same unit on the frame or at the end of a line counts once: never more of it than were brought."""
    d = small(stock=stock, shelter__points_per_side=sides, anchorage__line_angle=30, anchorage__line_rated="1500 lbf")  # fmt: skip
    runs = [r for r in runs_of(d) if r.driven]
    kinds = [{r.choices[k].kind for able in r.pattern for k in able} for r in runs]
    assert {"line-ballast"} in kinds
    assert ({"line-ballast", "ballast"} in kinds) == (sides == 3)
    for run in runs:
        best, found = tried_all(run), run.best()
        assert (0.0 if found is None else found.q) == pytest.approx(best, rel=2e-3)
        for of in {c.of for c in run.choices} if found is not None else ():
            mine = [n for c, n in zip(found.choice, found.counts, strict=True) if c >= 0 and run.choices[c].of == of]  # fmt: skip
            assert sum(mine) <= next(c.brought for c in run.choices if c.of == of)


FOUR_BY = {"stakes": 12, "water_barrels": 9}
DEADMEN = {
    "anchorage__kind": "deadman", "anchorage__stake": None, "anchorage__line_angle": 40, "anchorage__line_rated": "9000 lbf", "anchorage__attachment_rated": "9000 lbf",
    "anchorage__deadman": {"depth": "3 ft", "length": "3 ft", "face": "9 in"},
}  # fmt: skip
THROUGH_FEET = {
    "anchorage__stake__line_angle": None,
    "anchorage__stake__line_height": None,
    "anchorage__line_rated": None,
    "anchorage__stake__pull_tests": None,
}


def as_the_program_says(run, counts, choice, q=None):
    """The pressure that the program finds for an arrangement; or at a pressure whether it lets it stand."""
    p = arrange._program(run.columns, run.x, run.choices, run.pattern, q, FREE)
    for k, c in enumerate(run.columns):
        on = choice[c.point] == c.choice and c.exactly in (None, counts[c.point])
        p.equal({p.n(k): 1.0}, float(counts[c.point] if on else 0))
        p.equal({p.z(k): 1.0}, float(on))
    v, _ = arrange._solve(p, {p.q(): -1.0} if q is None else {}, FREE, 5.0, 1e-9)
    return v is not None if q is not None else -1.0 if v is None else float(v[p.q()])


def as_the_checks_say(run, counts, choice):
    x = run.x
    of = {(c.point, c.choice): c.h for c in run.columns}
    hard = [x.hard[i] if c < 0 else of[i, c] for i, c in enumerate(choice)]
    b = standing_on(x, hard, run.pattern)
    found = limits(b, held(hard, x.factors, np.array(counts), x.shelter_mass, b.usable), x.factors)
    met = all((f.demand <= f.capacity * (1 + 1e-9)).all() for f in found if f.fixed)
    return worst_pressure(found) if met else -1.0


def some_of(run, few, least=1):
    """Arrangements of what was brought, drawn the same each time."""
    rng = np.random.default_rng(few)
    for _ in range(few):
        left = {c.of: c.brought for c in run.choices}
        choice, counts = [-1] * len(run.pattern), [0] * len(run.pattern)
        points = [i for i, able in enumerate(run.pattern) if able]
        for n, i in enumerate(rng.permutation(points)):
            k = int(rng.choice(run.pattern[i]))
            most = max(c.most for c in run.columns if (c.point, c.choice) == (i, k))
            spare = left[run.choices[k].of] - least * (len(points) - 1 - n)
            counts[i], choice[i] = int(rng.integers(least, 1 + min(most, spare, least + 5))), k
            left[run.choices[k].of] -= counts[i]
        yield counts, tuple(choice)


MIXED_STOCK = {"sandbags": 60, "water_barrels": 30}
ON_FRAME = [
    {},
    {"anchorage__how": "on-foot", "site__slope": 4},
    {"shelter__points_per_side": 3, "point": [{"id": "L2", "kind": "none"}], "anchorage__how": None},
    {"shelter__points_per_side": 4, "shelter__length": "30 ft", "anchorage__foot": "bare-metal"},
    {"shelter__form": "single-slope", "shelter__ridge": "11 ft", "site__slope": 3, "shelter__points_per_side": 3, "shelter__length": "20 ft"},
]  # fmt: skip


@pytest.mark.parametrize("changes", ON_FRAME)
def test_the_program_says_of_any_arrangement_on_the_frame_what_the_checks_say(changes):
    """Not of the best alone: a row that is too hard shuts out what would do, one that is too soft lets in what does not."""
    (run,) = runs_of(small(stock=MIXED_STOCK, **changes))
    some = list(some_of(run, 4))
    found = [as_the_checks_say(run, *one) for one in some]
    assert min(found) > 0
    assert [as_the_program_says(run, *one) for one in some] == pytest.approx(found, rel=1e-6)


def test_the_program_asks_for_the_least_load_of_the_code():
    """Whatever the wind: half of these arrangements do not hold it."""
    code = {"method": "asce7-22", "speed": "20 mph", "level": "strength"}
    posts = {
        "shelter__width": "6 ft",
        "shelter__points_per_side": 6,
        "margins": {"set": "asd"},
        "site__slope": 2,
    }
    (run,) = runs_of(small(stock={"water_barrels": 200}, wind=code, **posts))
    some = list(some_of(run, 6))
    found = [as_the_checks_say(run, *one) for one in some]
    assert 2 <= found.count(-1.0) <= 4
    assert [as_the_program_says(run, *one) for one in some] == pytest.approx(found, rel=1e-6)


DRIVEN_OR_NOT = [
    ({"stock": FOUR_BY}, "mixed"),
    ({"stock": FOUR_BY, "anchorage__stake__spacing": "8 in"}, "mixed"),
    ({"stock": FOUR_BY, **THROUGH_FEET}, "mixed"),
    ({"stock": {"stakes": 30}, "shelter__points_per_side": 3}, "clay"),
    ({"stock": {"stakes": 30}, **THROUGH_FEET}, "clay"),
    ({"stock": {"deadmen": 8}, **DEADMEN}, "clay"),
    ({"stock": {"water_barrels": 30}, "shelter__points_per_side": 3, "anchorage__line_angle": 30, "anchorage__line_rated": "1500 lbf"}, "asphalt"),
]  # fmt: skip


@pytest.mark.parametrize(("changes", "name"), DRIVEN_OR_NOT)
def test_the_program_lets_stand_what_the_checks_let_stand(changes, name):
    """Stakes, deadmen and weights on lines: an arrangement stands just below the pressure that it holds and not just above it."""
    if name == "mixed":
        d = halves(**changes)
    else:
        more = {
            "shelter__points_per_side": 2,
            "shelter__length": "12 ft",
            "shelter__width": "12 ft",
            **changes,
        }
        d = read_text(written(demo(name, anchorage__placed=None, **more)))
    for run in [r for r in runs_of(d) if r.driven]:
        for counts, choice in some_of(run, 2):
            q = as_the_checks_say(run, counts, choice)
            stands = [as_the_program_says(run, counts, choice, q * part) for part in (0.999, 1.001)]
            assert stands == [True, False]


def rows_and_checks(run, counts, choice, rows, q, *, free):
    """What each row of the program has to spare for an arrangement at a pressure, and each check, by its name and item. free: q is a variable."""
    p = arrange._Program(run.columns)
    x, hard = run.x, arrange._hard(run.columns, run.x, run.pattern)
    checks = arrange._Checks(x, standing_on(x, hard, run.pattern), p, None if free else q, None)
    rows(checks)
    v = {p.q(): q}
    for k, c in enumerate(run.columns):
        on = choice[c.point] == c.choice
        v |= {p.n(k): counts[c.point] if on else 0, p.z(k): float(on)}
    spare = [sum(a * v[k] for k, a in row.items()) - low for row, low, _ in p.rows]
    of = {(c.point, c.choice): c.h for c in run.columns}
    mine = [x.hard[i] if c < 0 else of[i, c] for i, c in enumerate(choice)]
    b = standing_on(x, mine, run.pattern)
    found = {}
    for f in limits(b, held(mine, x.factors, np.array(counts), x.shelter_mass, b.usable), x.factors):
        if f.demand is not None:
            asked = f.demand.max(axis=-2) * (1.0 if f.fixed else q)
            spared = np.ravel(np.broadcast_to(f.capacity, f.demand.shape).min(axis=-2) - asked)
            found[f.name] = spared[np.ravel(asked) > 0]
    return spare, found


ODD = {
    "shelter__form": "single-slope",
    "shelter__ridge": "11 ft",
    "shelter__points_per_side": 3,
    "shelter__points_per_end": 3,
    "site__slope": 3,
}
STRAPS = {
    "shelter__straps": "locked",
    "shelter__strap": {"count": 2, "ends": 1, "angle": 45, "bay": "6 ft", "rated": "1000 lbf"},
}


@pytest.mark.parametrize("changes", [ODD, {**STRAPS, "shelter__points_per_side": 9}])
@pytest.mark.parametrize("free", [True, False])
def test_what_lifts_and_tips_is_in_the_program_what_it_is_in_the_checks(changes, free):
    """Each row by itself, also where another check is met sooner."""
    (run,) = runs_of(small(stock=MIXED_STOCK, **changes))
    (some,) = some_of(run, 1)
    spare, found = rows_and_checks(run, *some, lambda c: c.lifting(), 40.0, free=free)
    parts = [found[n] for n in ("lift", "overturn", "lift at a point", "lift of a frame foot")]
    on_frame = int((run.x.base.frame >= 0).sum())
    assert [len(p) for p in parts] == [1, 4, len(run.pattern), on_frame]
    assert spare == pytest.approx(np.concatenate(parts).tolist(), rel=1e-6)


def test_which_friction_counts():
    """Every level that there is, one of them, or in each case the one that an arrangement meets best; of the whole where no frame is named."""
    (run,) = runs_of(small(stock=MIXED_STOCK, site__surface="concrete", site__state="dry"))
    x, p = run.x, arrange._Program(run.columns)
    b = standing_on(x, arrange._hard(run.columns, x, run.pattern), run.pattern)
    near = np.zeros(3)
    for part, level, known in ((None, None, None), (0.3, 0.3, None), (near, None, near)):
        c = arrange._Checks(x, b, p, None, part)
        assert c.levels == (run._levels() if level is None else [level])
        assert c.near is known
    assert len(run._levels()) > 1
    assert c.rub(0.3) == c.rub(0.3, -1)
    assert c.slides(0.3, 2.0) == c.slides(0.3, 2.0, -1)
    assert c.rub(0.3, 0) != c.rub(0.3, 1) != c.rub(0.3)


def test_the_least_load_of_the_code_is_in_the_program_what_it_is_in_the_checks():
    code = {"method": "asce7-22", "speed": "20 mph", "level": "strength"}
    (run,) = runs_of(small(stock=MIXED_STOCK, wind=code, margins={"set": "asd"}, **ODD))
    (some,) = some_of(run, 1)
    spare, found = rows_and_checks(run, *some, lambda c: c.least_of_the_code(), 40.0, free=True)
    slide, tip = (found[n] for n in found if n.startswith("least") or "code" in n)
    assert spare == pytest.approx(np.ravel(np.array([slide, tip]).T).tolist(), rel=1e-6)
    assert len({round(v) for v in spare}) > 4
