"""A Plan is what the command line, the interface and the sheet read: it is whole, finite, and reads back."""

import json

import pytest
from hypothesis import example, given
from strategies import GABLE, ON_LINES, THROUGH_FEET, Q, files, judge, points, read, some, with_

from anchorage.core.errors import AnchorageError
from anchorage.deployment.policy import SUBJECTS
from anchorage.judging.plan import make_plan
from anchorage.judging.result import Plan


def numbers(value):
    if isinstance(value, dict):
        value = list(value.values())
    if isinstance(value, list):
        for v in value:
            yield from numbers(v)
    elif isinstance(value, int | float) and not isinstance(value, bool):
        yield value


def refuse(text):
    raise AssertionError(f"{text} is no JSON")


def whole(plan):
    text = plan.to_json()
    data = json.loads(text, parse_constant=refuse)
    assert all(abs(v) < 1e12 for v in numbers(data))
    assert data["schema"] == 1
    assert data["verdict"] in ("go", "no-go", "unknown")
    rank = {v: i for i, v in enumerate(("go", "unknown", "no-go"))}
    by_use = {k: rank[plan.subjects[v]] for k, v in SUBJECTS.items()}
    assert by_use["working"] >= by_use["people-in"] >= by_use["empty"] <= by_use["set-up"]
    assert plan.verdict != "no-go" or plan.subjects[plan.subject] == "no-go"
    assert Plan.model_validate_json(text).to_json() == text
    assert Plan.model_validate(data).to_json() == text
    return data


@some(0.4)
@given(files(placed=True, extras=True, odd=True))
@example(with_(GABLE, anchorage__placed=0, wind__speed=Q("speed", 0.0)))  # max() of nothing
@example(with_(GABLE, anchorage__placed=0, shelter__mass=None))
@example(with_(ON_LINES, anchorage__placed=0))
@example(with_(THROUGH_FEET, anchorage__placed=0))
@example(with_(GABLE, anchorage__placed=3, shelter__rating={"gust_unlocked": Q("speed", 0.0)}))
@example(
    with_(
        GABLE,
        anchorage__placed=3,
        snow={"depth": Q("length", 0.2)},
        shelter__rating={"roof_snow_unlocked": Q("pressure", 0.0)},
    )
)
@example(
    with_(
        ON_LINES,
        anchorage__placed=5,
        anchorage__line_rated=Q("force", 9000.0),
        point=[{"id": "L2", "usable": False}],
    )
)  # a rated line that is not there: inf times 0
@example(
    with_(GABLE, shelter__points_per_side=2, anchorage__placed=5, point=[{"id": "L1", "usable": False}])
)  # one frame left: no shares by frame
@example(
    with_(ON_LINES, anchorage__placed=5, point=[{"id": "L2", "kind": "ballast", "unit": "sandbag"}])
)  # was refused for a unit that the point has
def test_every_number_of_a_plan_is_finite_or_null_and_it_reads_back(file):
    plan = judge(file)
    data = whole(plan)
    assert [p["id"] for p in data["anchorage"]["points"]] == points(file)
    assert data["anchorage"]["sized"] is False
    for c in plan.checks:
        assert c.demand >= 0
        assert c.capacity >= 0
        if c.ratio:
            assert c.demand / c.capacity == pytest.approx(c.ratio, rel=1e-9), c.name
        assert c.ok == (c.ratio is not None and c.ratio <= 1 + 1e-9)
    assert plan.anchorage.total.units == sum(p.units for p in plan.anchorage.points)
    assert plan.anchorage.total.mass_kg == pytest.approx(sum(p.mass_kg for p in plan.anchorage.points))


@some(0.15)
@given(files(placed=False, extras=True))
def test_so_is_that_of_one_that_is_sized(file):
    plan = make_plan(read(file))
    whole(plan)
    assert plan.anchorage.sized is True
    if plan.verdict == "go":
        assert all(c.ok for c in plan.checks)
        assert not plan.reasons


@some(0.15)
@given(files(placed=None, extras=True))
def test_the_same_file_gives_the_same_plan(file):
    assert make_plan(read(file)) == make_plan(read(file))


@some(0.2)
@given(files(placed=True, extras=True))
def test_a_verdict_of_go_stands_on_checks_that_all_pass(file):
    file = with_(file, shelter__rating={"gust_unlocked": Q("speed", 60.0), "gust_locked": Q("speed", 60.0)})
    try:
        plan = judge(file)
    except AnchorageError:
        return
    if plan.verdict == "go":
        assert all(c.ok for c in plan.checks)
        assert (
            plan.wind.gust_m_s <= plan.limit.gust_m_s * (1 + 1e-9)
            if plan.limit.gust_m_s is not None
            else True
        )
        assert "GO" in plan.headline
    if plan.verdict == "no-go":
        assert plan.reasons
        assert plan.headline.startswith("NO-GO")
