"""Worse tests, worse ground, less of a stake, a steeper site or no rating: never a higher limit, never nearer to go."""

from __future__ import annotations

import copy
from dataclasses import replace
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from anchorage.core import tables
from anchorage.holding.stakes import Bar, Basis, Pulled, stake_worth
from anchorage.judging.plan import make_plan
from anchorage.judging.result import Plan
from tests.strategies import Q, number, read, some

SOILS = tuple(tables.table("soil-unit-weight").keys())
STATES = ("dry", "wet", "frozen", "ice", "snow")
ROOM = 1 + 1e-9


@st.composite
def bars(draw: st.DrawFn) -> Bar:
    return Bar(
        draw(number(0.01, 0.06)), draw(number(0.2, 1.5)), draw(st.sampled_from([0.0, 0.05, 0.3])),
        draw(st.sampled_from(SOILS)), "grass", draw(st.sampled_from(STATES)),
    )  # fmt: skip


@st.composite
def cases(draw: st.DrawFn) -> tuple[Bar, float, Pulled]:
    """A stake, its angle, and tests of one that is the same but for some of it."""
    bar, angle = draw(bars()), draw(number(10.0, 80.0))
    other = draw(bars())
    of = replace(
        bar, **{k: getattr(other, k) for k in draw(st.sets(st.sampled_from(["diameter", "driven", "arm"])))}
    )
    of = replace(of, state=draw(st.sampled_from(["dry", "wet"])))
    at = draw(st.one_of(st.just(angle), number(10.0, 90.0)))
    return bar, angle, Pulled(of, at, tuple(draw(st.lists(number(0.0, 6e3), min_size=1, max_size=5))))


def holds(bar: Bar, angle: float, tested: Pulled | None) -> float:
    w = stake_worth(bar, angle, tested, [])
    return w.line


@some(2)
@given(cases(), number(0.0, 1.0))
def test_a_lower_pull_never_holds_more(case: tuple[Bar, float, Pulled], share: float) -> None:
    bar, angle, tested = case
    lower = replace(tested, pulls=(min(tested.pulls) * share, *tested.pulls))
    assert (
        holds(bar, angle, replace(lower, pulls=lower.pulls[: len(tested.pulls)]))
        <= holds(bar, angle, tested) * ROOM
    )


@some(2)
@given(cases())
def test_fewer_tests_with_the_least_among_them_never_hold_more(case: tuple[Bar, float, Pulled]) -> None:
    bar, angle, tested = case
    for n in range(1, len(tested.pulls)):
        fewer = replace(tested, pulls=tuple(sorted(tested.pulls))[:n])
        assert holds(bar, angle, fewer) <= holds(bar, angle, tested) * ROOM


@some(2)
@given(cases(), number(0.3, 1.0))
def test_a_shallower_stake_a_higher_line_and_wetter_ground_never_hold_more(
    case: tuple[Bar, float, Pulled], share: float
) -> None:
    bar, angle, tested = case
    for worse in (
        replace(bar, driven=bar.driven * share),
        replace(bar, arm=bar.arm + 0.1 * share),
        replace(bar, state="wet"),
        replace(bar, fall=20.0 * share),
        replace(bar, lean=-45.0 * share),
    ):
        assert holds(worse, angle, tested) <= holds(bar, angle, tested) * ROOM


@some(2)
@given(cases(), number(1.0, 3.0))
def test_a_test_of_more_of_a_stake_or_of_drier_ground_never_earns_more(
    case: tuple[Bar, float, Pulled], more: float
) -> None:
    bar, angle, tested = case
    for of in (
        replace(tested.bar, driven=tested.bar.driven * more),
        replace(tested.bar, arm=tested.bar.arm / more),
        replace(tested.bar, state="dry"),
    ):
        assert holds(bar, angle, replace(tested, bar=of)) <= holds(bar, angle, tested) * ROOM


@some(2)
@given(cases())
def test_where_a_test_does_not_go_before_theory_it_never_earns_more_than_theory_or_the_pull(
    case: tuple[Bar, float, Pulled],
) -> None:
    bar, angle, tested = case
    w, theory = stake_worth(bar, angle, tested, []), holds(bar, angle, None)
    if w.basis is Basis.LESSER:
        assert holds(bar, angle, tested) <= min(theory, *tested.pulls) * ROOM
    for other in (replace(tested.bar, surface="sand"), replace(tested.bar, soil="no such soil")):
        assert holds(bar, angle, replace(tested, bar=other)) == theory


# Whole files

File = dict[str, Any]


@st.composite
def files(draw: st.DrawFn) -> File:
    kind = draw(st.sampled_from(["foot", "line", "deadman"]))
    stake: File = {
        "diameter": Q("length", draw(number(0.015, 0.05))), "driven": Q("length", draw(number(0.4, 1.2))),
        "soil": draw(st.sampled_from([s for s in SOILS if "very-soft" not in s])),
    }  # fmt: skip
    held: File = {"kind": "stakes", "contact": "cloth", "placed": draw(st.integers(1, 4)), "stake": stake}  # fmt: skip
    if kind != "foot":
        held |= {k: Q("force", draw(number(2e3, 40e3))) for k in ("line_rated", "attachment_rated")}
    if kind == "line":
        stake |= {"line_angle": draw(number(15.0, 70.0)), "line_height": Q("length", 0.05)}
    if kind == "deadman":
        held |= {
            "kind": "deadman", "line_angle": draw(number(15.0, 45.0)), "placed": 1,
            "deadman": {"depth": Q("length", draw(number(0.92, 2.1))), "length": Q("length", draw(number(1.0, 2.4))),
                        "face": Q("length", 0.5), "ground": draw(st.sampled_from(["loam", "sand", "fine", "hardpan"])),
                        "trench": Q("length", draw(number(0.31, 0.6)))},
        }  # fmt: skip
        del held["stake"]
    return {
        "shelter": {"form": "gable", "length": Q("length", draw(number(4.0, 12.0))), "width": Q("length", draw(number(3.0, 8.0))),
                    "eave": Q("length", 2.2), "ridge": Q("length", 3.2), "mass": Q("mass", draw(number(20.0, 900.0))),
                    "points_per_side": draw(st.integers(2, 4)), "openings": {"front": 0.0},
                    "rating": {"gust_unlocked": Q("speed", 40.0)}},
        "site": {"surface": "clay", "state": "dry", "exposure": "C", "utilities": "marked",
                 "slope": draw(st.sampled_from([0.0, 2.0, 5.0]))},
        "wind": {"speed": Q("speed", draw(number(3.0, 14.0))), "averaging": "3 s"},
        "anchorage": held,
    }  # fmt: skip


def judged(file: File) -> Plan:
    return make_plan(read(file))


ORDER = ("go", "unknown", "no-go")


def not_better(worse: Plan, than: Plan) -> None:
    a, b = worse.limit.anchorage_gust_m_s, than.limit.anchorage_gust_m_s
    assert a is not None
    assert b is not None
    assert a <= b * (1 + 1e-7)
    assert ORDER.index(worse.verdict) >= ORDER.index(than.verdict)


@some(0.3)
@given(files(), st.data())
def test_a_worse_file_is_never_better(file: File, data: st.DataObject) -> None:
    worse = copy.deepcopy(file)
    held = worse["anchorage"]
    ratings = [k for k in ("line_rated", "attachment_rated") if k in held]
    how = data.draw(st.sampled_from(["slope", "wet", "driven", "trench", "ground", *ratings]))
    if how == "slope":
        worse["site"]["slope"] += data.draw(number(0.1, 10.0))
    elif how == "wet":
        worse["site"]["state"] = data.draw(st.sampled_from(STATES[1:]))
    elif how in ("line_rated", "attachment_rated"):
        missing = judged({**file, "anchorage": {k: v for k, v in held.items() if k != how}})
        assert missing.verdict != "go"
        return
    elif how == "driven" and "stake" in held:
        worse["point"] = [{"id": "L1", "driven": Q("length", 0.2)}]
    elif "deadman" in held and how == "trench":
        held["deadman"]["trench"] = Q("length", 0.75)
    elif "deadman" in held:
        del held["deadman"]["ground"]
        if file["anchorage"]["deadman"]["ground"] in ("sand", "fine"):
            held["deadman"]["ground"] = "fine-wet"
    not_better(judged(worse), judged(file))


@pytest.mark.parametrize("slope", [1.0, 4.0, 9.0])
def test_a_slope_takes_from_stakes_through_feet(slope: float) -> None:
    """As it did not before: two limits that are the same would be a slope that is not counted."""
    file: File = {
        "shelter": {"form": "gable", "length": "24 ft", "width": "18 ft", "eave": "7 ft", "ridge": "10 ft", "mass": "600 lb",
                    "points_per_side": 4},
        "site": {"surface": "clay", "state": "dry"}, "wind": {"speed": "20 mph", "averaging": "3 s"},
        "anchorage": {"kind": "stakes", "placed": 1, "contact": "cloth",
                      "stake": {"diameter": "1 in", "driven": "24 in", "soil": "soft-clay"}},
    }  # fmt: skip
    level, sloping = judged(file), judged({**file, "site": file["site"] | {"slope": slope}})
    assert sloping.limit.anchorage_gust_m_s is not None
    assert level.limit.anchorage_gust_m_s is not None
    assert sloping.limit.anchorage_gust_m_s < level.limit.anchorage_gust_m_s * 0.9999
