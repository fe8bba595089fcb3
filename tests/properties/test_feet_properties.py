"""A foot that holds nothing, however that is said, and what units taken from a foot do. Each limit against another."""

from __future__ import annotations

import re
from typing import Any

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from strategies import some

from anchorage.checks import installation
from anchorage.checks.installation import Installation, assemble
from anchorage.checks.whatif import lost_anchor
from anchorage.deployment.reader import read_text
from anchorage.judging.plan import make_plan

MPH = 0.44704
IDS = [f"{side}{k}" for side in "LR" for k in range(1, 5)]
HOLDS = {
    "ballast": 'kind = "ballast"\nunit = "sandbag"\nunit_mass = "40 lb"\nhow = "on-foot"\ncontact = "plate"\nfoot = "bare-metal"\n',
    "lines": 'kind = "stakes"\n[anchorage.stake]\ndiameter = "1 in"\ndriven = "36 in"\nline_angle = 45\nline_height = "2 in"\nsoil = "thumb-hard"\n',
    "stakes": 'kind = "stakes"\n[anchorage.stake]\ndiameter = "1 in"\ndriven = "36 in"\nsoil = "thumb-hard"\n',
}  # fmt: skip


def text(placed: dict[str, int], kind: str = "ballast", use: str = "people-in", points: dict[str, str] | None = None,
         spans: bool = False, slope: float = 0.0) -> str:  # fmt: skip
    held = HOLDS[kind].replace("\n", f'\nsize_for = "{use}"\nplaced = {{ {", ".join(f"{k} = {v}" for k, v in placed.items())} }}\n', 1)  # fmt: skip
    more = "".join(f'[[point]]\nid = "{k}"\n{v}\n' for k, v in (points or {}).items())
    return f"""
[shelter]
form = "gable"
length = "32 ft"
width = "18 ft"
eave = "7 ft"
ridge = "10 ft"
mass = "400 lb"
points_per_side = 4
openings = {{ front = 0.0 }}
rating = {{ gust_unlocked = "90 mph" }}
spans_lost_foot = {str(spans).lower()}
[site]
surface = "{"asphalt" if kind == "ballast" else "clay"}"
state = "dry"
surroundings = "open"
beneath = "nothing"
slope = {slope!r}
[wind]
speed = "20 mph"
averaging = "3 s"
[anchorage]
{held}
{more}"""


def made(*args: Any, **more: Any) -> Installation:
    return assemble(read_text(text(*args, **more)))


def uneven(low: int = 0) -> st.SearchStrategy[dict[str, int]]:
    return st.fixed_dictionaries({i: st.one_of(st.just(12), st.integers(low, 14)) for i in IDS})


KINDS, USES = st.sampled_from(list(HOLDS)), st.sampled_from(["people-in", "empty", "set-up"])


@some(1.2)
@given(
    uneven(),
    KINDS,
    USES,
    st.booleans(),
    st.sampled_from([0.0, 3.0]),
    st.sampled_from(IDS),
    st.integers(0, 14),
)
def test_taking_units_from_a_foot_never_raises_the_limit(
    placed: dict[str, int], kind: str, use: str, spans: bool, slope: float, foot: str, left: int
) -> None:
    x = made(placed, kind, use, spans=spans, slope=slope)
    fewer = {**placed, foot: min(left, placed[foot])}
    assert made(fewer, kind, use, spans=spans, slope=slope).gust_held() <= x.gust_held() * (1 + 1e-9)


@some(0.7)
@given(
    uneven(), KINDS, USES, st.booleans(), st.lists(st.sampled_from(IDS), min_size=1, max_size=3, unique=True)
)
def test_the_ways_to_say_that_a_foot_holds_nothing_agree(
    placed: dict[str, int], kind: str, use: str, spans: bool, feet: list[str]
) -> None:
    zero = made(placed | dict.fromkeys(feet, 0), kind, use, spans=spans)
    for said in ("usable = false", 'kind = "none"'):
        other = made(placed, kind, use, dict.fromkeys(feet, said), spans=spans)
        assert other.gust_held() == pytest.approx(zero.gust_held(), rel=1e-9)
        assert {f.name: float(np.min(f.q)) for f in other.limits()} == pytest.approx(
            {f.name: float(np.min(f.q)) for f in zero.limits()}
        )


@some(0.4)
@given(st.integers(4, 14), KINDS)
def test_a_lost_foot_is_one_that_holds_nothing(each: int, kind: str) -> None:
    placed = dict.fromkeys(IDS, each)
    x = made(placed, kind)
    lost = lost_anchor(x, x.counts, None)
    assert lost is not None
    plan = make_plan(read_text(text({**placed, lost.point: 0}, kind)))
    assert lost.gust_m_s == pytest.approx(plan.limit.spanned_gust_m_s)
    assert lost.lifts_m_s == pytest.approx(plan.limit.foot_gust_m_s)


def test_two_feet_opposite_each_other_with_no_bags_or_out_of_use() -> None:
    """No bags held 10 mph and the same feet out of use 27; the foot without which it held 26 gave 12 with no bags."""
    placed = dict.fromkeys(IDS, 12)
    plans = [
        make_plan(read_text(text({**placed, "L3": 0, "R3": 0}))),
        make_plan(read_text(text(placed, points={"L3": "usable = false", "R3": "usable = false"}))),
        make_plan(read_text(text(placed, points={"L3": 'kind = "none"', "R3": 'kind = "none"'}))),
    ]
    first = plans[0].limit
    for p in plans:
        assert p.limit == first
        assert p.subjects == plans[0].subjects
    assert first.gust_m_s == first.foot_gust_m_s
    assert first.spanned_gust_m_s is not None
    assert first.foot_gust_m_s is not None
    assert first.spanned_gust_m_s > first.foot_gust_m_s
    word = make_plan(read_text(text({**placed, "L3": 0, "R3": 0}, spans=True))).limit
    assert word.gust_m_s == pytest.approx(first.spanned_gust_m_s)
    assert word.foot_gust_m_s is None


def test_people_stay_out_from_where_a_foot_lifts() -> None:
    placed = dict.fromkeys(IDS, 12) | {"L2": 0}
    calm = text(placed).replace("20 mph", "15 mph").replace("40 lb", "100 lb")
    calm = f"[deployment]\nweighed = true\n{calm}"  # nobody carries 100 lb: unless weighed it is asked about
    plan = make_plan(read_text(calm))
    assert plan.limit.foot_gust_m_s is not None
    assert plan.limit.foot_gust_m_s < 15 * MPH
    assert plan.limit.foot == "L2"
    assert set(plan.subjects.values()) == {"no-go"}  # over what a foot holds its level is keep-away
    empty = make_plan(read_text(re.sub(r"size_for = .*", 'size_for = "empty"', calm)))
    assert {k for k, v in empty.subjects.items() if v == "go"} == {
        "stay up empty"
    }  # the frame may span it then
    assert [r.code for r in plan.reasons] == ["foot-holds-nothing"]
    assert (
        make_plan(read_text(calm.replace("foot = false", "foot = true"))).subjects["stay up with people in"]
        == "go"
    )


def test_no_foot_is_left_without_by_sizing() -> None:
    """Where something is needed at all, each foot that can hold gets a unit: none of them is one that holds nothing."""
    for kind in HOLDS:
        sized = text({}, kind).replace("placed = {  }\n", "")
        x = assemble(read_text(sized))
        assert x.counts.min() >= 1
        assert make_plan(read_text(sized)).limit.foot_gust_m_s is None


@pytest.mark.parametrize("kind", list(HOLDS))
@pytest.mark.parametrize("use", ["people-in", "empty", "set-up"])
@pytest.mark.parametrize(
    "bare", [IDS, ["L2", "L3", "R2", "R3"], ["L1", "L2", "R1", "R2"]], ids=["all", "middle", "front"]
)
def test_neighbours_without_anything_never_hold_more_than_with_one_unit_each(
    kind: str, use: str, bare: list[str]
) -> None:
    """Nothing spans two neighbours: their frames slide on the shelter's own weight, as they do with next to nothing on them."""
    none, one = (made({i: n if i in bare else 8 for i in IDS}, kind, use).gust_held() for n in (0, 1))
    assert none <= one * (1 + 1e-9)


def test_where_all_feet_slide_at_once_few_sets_of_them_are_tried_as_given_up(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """On a steep slope all of nine frames slide before any wind blows: there are thousands of sets of feet, and none does any better."""
    alike = text({"L1": 2}, use="empty", spans=True, slope=15.0).replace("placed = { L1 = 2 }", "placed = 2")
    x = assemble(read_text(alike.replace("side = 4", "side = 9").replace('"32 ft"', '"64 ft"')))
    tried: list[bytes] = []
    made_of = installation.limits

    def counted(b: Any, *rest: Any) -> Any:
        tried.append(b.usable.tobytes())
        return made_of(b, *rest)

    monkeypatch.setattr(installation, "limits", counted)
    assert x.bridges
    assert x.gust_held() == 0.0
    assert len(tried) == len(set(tried)) == installation.MOST_GIVEN_UP + 1
