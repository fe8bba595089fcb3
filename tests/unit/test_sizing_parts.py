"""The parts of a sizing at their boundaries, counted by hand: whole numbers, boxes, how many are worth so much, counts that are raised."""

import itertools
from dataclasses import dataclass
from types import SimpleNamespace as Made

import numpy as np
import pytest
from strategies import worst_ratio

from anchorage.checks import sizing
from anchorage.checks.checks import limits, worst_pressure
from anchorage.checks.footprint import held
from anchorage.checks.installation import assemble, target_pressure
from anchorage.checks.outcome import GroupOut
from anchorage.checks.sizing import MOST, Sized, raised, units_for
from anchorage.core.closed import OK
from anchorage.demo import demo_text
from anchorage.deployment.reader import read_text

INF = float("inf")


@pytest.mark.parametrize(
    ("worth", "units"),
    [(0, 0), (1e-12, 0), (0.1, 1), (1, 1), (3 + 2e-9, 3), (3 + 5e-9, 4), (3.1, 4), (MOST, MOST), (MOST + 1e-7, INF), (INF, INF), (float("nan"), INF)],
)  # fmt: skip
def test_how_many_are_worth_so_much(worth, units):
    assert units_for(Made(crowd=None), worth) == units


def test_how_many_that_crowd_each_other_are_worth_so_much():
    """Each after the first is worth half: two are worth 1.5, three 2."""
    h = Made(crowd=True, effective=lambda n: np.where(n > 0, 0.5 + 0.5 * n, 0.0))
    assert [units_for(h, w) for w in (0, 0.5, 1, 1.001, 1.5, 1.5 + 1e-9, 2, 2.1)] == [0, 1, 1, 2, 2, 2, 3, 4]
    assert units_for(Made(crowd=True, effective=lambda n: np.minimum(n, 2.0)), 2.5) == INF


def test_the_smallest_whole_number_of_every_row():
    rest, gain = np.array([[3.0, 5.0], [2.0000000001, -4.0], [6.1, 0.0]]), np.array([1.0, 2.0])
    assert sizing._needed(rest, gain).tolist() == [3.0, 2.0, 7.0]


def test_total_first_then_the_largest():
    total, most = sizing._rank(np.array([4.0, 2.0]), np.array([1.0, 3.0]), np.array([[5.0], [1.0]]))
    assert (total.tolist(), most.tolist()) == ([14.0, 14.0], [5.0, 3.0])


def test_boxes_are_cut_in_two_and_hold_all_that_they_held():
    small, large = sizing._halved(np.array([[0.0, 2.0]]), np.array([[3.0, 2.0]]))
    assert sorted(zip(small.tolist(), large.tolist(), strict=True)) == [([0.0, 2.0], [1.0, 2.0]), ([2.0, 2.0], [3.0, 2.0])]  # fmt: skip
    small, large = sizing._halved(np.array([[0.0, 1.0]]), np.array([[1.0, 2.0]]))
    held = [(x, y) for a, b in zip(small, large, strict=True) for x in np.arange(a[0], b[0] + 1) for y in np.arange(a[1], b[1] + 1)]  # fmt: skip
    assert sorted(held) == [(0.0, 1.0), (0.0, 2.0), (1.0, 1.0), (1.0, 2.0)]
    one = np.array([[4.0]])
    assert [x.tolist() for x in sizing._halved(one, one)] == [[[4.0]], [[4.0]]]


def test_the_edge_of_what_can_stand_at_a_point():
    """One group, a unit holds 1: MOST are found, one more is none."""
    one, low = np.array([[1.0]]), np.array([0])
    for b, found in ((MOST, [MOST]), (MOST - 0.5, [MOST]), (MOST + 0.5, None)):
        c = sizing._least(np.array([4.0]), one, np.array([float(b)]), low)
        assert (c if c is None else c.tolist()) == found


def test_of_two_alike_the_one_with_less_is_filled_first_and_none_is_too_many():
    """Two groups of 4 and 2 points; a unit at either holds 1 a point: 4 a + 2 b >= 10 is a 2, b 1 or a 1, b 3: ten units both."""
    sizes, a = np.array([4.0, 2.0]), np.array([[4.0, 2.0]])
    assert sizing._least(sizes, a, np.array([10.0]), np.array([0, 0])).tolist() == [2, 1]
    assert sizing._least(sizes, a, np.array([10.0]), np.array([0, 3])).tolist() == [1, 3]
    assert sizing._least(sizes, a, np.array([0.0]), np.array([0, 0])).tolist() == [0, 0]
    assert sizing._least(sizes, a, np.array([-5.0]), np.array([1, 0])).tolist() == [1, 0]
    assert sizing._least(sizes, 0 * a, np.array([1.0]), np.array([0, 0])) is None


def test_units_that_take_away_from_a_check_are_counted():
    """A unit of the second group takes 1 from what one of the first gives, as ballast does on ice that falls: 2 a - b >= 3, b at least 3."""
    sizes, low = np.array([4.0, 2.0]), np.array([0, 3])
    assert sizing._least(sizes, np.array([[2.0, -1.0]]), np.array([3.0]), low).tolist() == [3, 3]
    both = np.array([[2.0, -1.0], [0.0, 1.0]])
    assert sizing._least(sizes, both, np.array([3.0, 5.0]), low).tolist() == [4, 5]
    three = np.array([[3.0, 0.0, -2.0], [0.0, 0.0, -1.0], [1.0, -1.0, -3.0]])  # none of the third: a - b >= 5
    found = sizing._least(np.array([4.0, 2.0, 2.0]), three, np.array([3.0, 0.0, 5.0]), np.array([0, 1, 0]))
    assert found.tolist() == [6, 1, 0]


def base():
    usable = np.array([True, True, True, False])
    return Made(ids=["L1", "L2", "R1", "R2"], groups=["corner", "side", "corner", "corner"], usable=usable)


def hard(kind="ballast"):
    return [Made(kind=kind, counted="bag")] * 4


def test_places_are_groups_that_are_in_use():
    got = sizing._members(base(), hard())
    assert [at for at, _ in got.places] == ["corner", "side"]
    assert got.member.tolist() == [[1, 0, 1, 0], [0, 1, 0, 0]]
    assert sizing._members(base(), hard("none")).member.shape == (0, 4)
    assert [(g.at, g.each) for g in got.counted([2.0, 3.0])] == [("corner", 2), ("side", 3)]


def test_counts_are_raised_and_never_lowered():
    found = Sized((GroupOut(at="corner", item="", each=2), GroupOut(at="side", item="", each=3)), np.array([2, 3, 2, 0]), "lift")  # fmt: skip
    assert found.total == 7
    assert Sized((), None, "lift").total is None
    assert raised(found, base(), hard(), np.array([2, 1, 0, 0]), "w") is found
    assert raised(Sized((), None, "x"), base(), hard(), np.array([9, 9, 9, 9]), "w").counts is None
    up = raised(found, base(), hard(), np.array([1, 4, 3, 0]), "before the walls are on")
    assert (up.counts.tolist(), up.governed_by) == ([2, 4, 3, 0], "before the walls are on")
    assert up.by_group == {"corner": 3, "side": 4}


def one(gain, need, member=((1.0, 1.0),)):
    groups = sizing._Members(tuple(("corner", "") for _ in member), np.array(member))
    names = [f"check {i}" for i in range(len(need))]
    alike = np.unique(np.array(gain), axis=0, return_inverse=True)
    return sizing._one(None, hard()[:2], None, 0.0, 1.0, groups, names, np.array(gain), alike, np.array(need))


def test_the_check_that_asked_is_the_one_with_least_to_spare_of_those_that_units_help():
    found = one([[1.0], [0.0]], [2.5, -0.1])
    assert (found.counts.tolist(), found.governed_by) == ([3, 3], "check 0")
    assert one([[1.0], [2.0]], [2.5, 5.9]).governed_by == "check 1"  # to spare: 0.5 and 0.05 of a unit
    assert (
        one([[0.5], [1.0]], [1.4, 2.85]).governed_by == "check 1"
    )  # to spare of three: 0.1 of half a unit, and 0.15 of one


def test_nothing_is_asked_or_nothing_helps_or_too_many_are():
    none = one([[1.0], [0.0]], [-1.0, -0.1])
    assert (none.counts.tolist(), none.governed_by) == ([0, 0], "")
    least = one([[1.0], [1.0]], [0.1, -0.5], member=((1.0, 0.0),))
    assert least.counts.tolist() == [1, 0]
    stuck = one([[1.0], [0.0]], [2.5, 0.1])
    assert (stuck.counts, stuck.governed_by) == (None, "check 1")
    kept = one([[1.0], [0.0], [0.0]], [2.5, 0.1, -0.1])  # what has to spare is not why
    assert (kept.counts, kept.governed_by) == (None, "check 1")
    many = one([[1.0], [0.5]], [MOST - 1.0, MOST])
    assert (many.counts, many.governed_by) == (None, "check 1")
    beside = one(
        [[1.0], [0.5], [0.0]], [MOST - 1.0, MOST, 0.0]
    )  # what asks for nothing and gets nothing is not why
    assert (beside.counts, beside.governed_by) == (None, "check 1")


def test_where_one_is_needed_anywhere_no_foot_is_left_with_nothing():
    """A foot with nothing would be one that holds nothing: a second group that nothing asks of gets one too."""
    found = one([[1.0, 0.0]], [2.5], member=((1.0, 0.0), (0.0, 1.0)))
    assert found.counts.tolist() == [3, 1]
    assert one([[1.0, 0.0]], [0.5], member=((1.0, 0.0), (0.0, 1.0))).counts.tolist() == [1, 1]


def test_trials_on_the_cases_that_tell_are_the_whole_of_the_checks():
    """Counts of a mixed anchorage, tried many at once on the cases that no other outdoes: each as by itself on all of them."""
    x = assemble(read_text(demo_text("mixed")))
    b, member = x.base, sizing._members(x.base, x.hard).member
    few = sizing._telling(b)
    assert 0 < len(few.cases.names) < len(b.cases.names)
    rng = np.random.default_rng(4)
    enough = np.array([x.needs[x.use].counts[m > 0].max() for m in member])
    tried = [np.maximum(enough + rng.integers(-1, 4, len(enough)), 0) for _ in range(40)]
    q = target_pressure(x.wind, x.policy.share_for(x.use))
    trials = sizing._Trials(few, x.hard, x.factors, x.shelter_mass, q, member)
    said = [trials.hold(c, tried) for c in tried]
    for c, ok in zip(tried, said, strict=True):
        found = limits(b, held(x.hard, x.factors, c @ member, x.shelter_mass, b.usable), x.factors)
        assert ok == (worst_ratio([f for f in found if not f.of_line], q) <= OK)
    assert {True, False} == set(said)


@pytest.mark.parametrize(("push", "kept"), [((1.0, 0.0), [1]), ((-1.0, 0.0), [0, 1]), ((1.0, 1e-6), [0, 1])])
def test_a_case_is_outdone_by_one_with_the_same_push_alone(push, kept):
    """The second lifts more at every place; the first goes only where it pushes the same way."""
    up, two = np.array([[1.0], [2.0]]), np.zeros((2, 1))
    cases = Made(
        push=np.array([(1.0, 0.0), push]),
        eccentricity=two,
        twist=two,
        bearing=np.zeros(2),
        uplift=up,
        moment=np.zeros((2, 2)),
    )
    shares = Made(rigid=up, push_rigid=two, frame=up, frame_uplift=up, frame_push=two)
    b = Made(
        cases=cases,
        shares=shares,
        arms=np.array([1.0]),
        edges=np.array([(1.0, 0.0)]),
        take=lambda index: index.tolist(),
    )
    assert sizing._telling(b) == kept


# The last pass: the whole of the checks


def test_counts_climb_by_a_quarter_and_by_one_at_least():
    assert sizing._next(np.array([0, 3, 4, 7, 8])).tolist() == [1, 4, 5, 8, 10]
    climbed = [c.tolist() for c in sizing._climb(np.array([1590, 0]))]
    assert climbed == [[1987, 1], [2483, 2]]
    assert [c.max() for c in sizing._climb(np.array([MOST]))] == [MOST * 5 // 4]
    assert sizing._with(np.array([4, 5]), 1, 9).tolist() == [4, 9]


def test_what_thinning_comes_to_as_long_as_each_holds():
    """From 8 down to 2, halving to what is short; then the next group from 5 to 1."""
    found = sizing._if_each_holds(np.array([9, 5]), 0, 8, np.array([2, 1]))
    assert [c.tolist() for c in found] == [[4, 5], [2, 5], [2, 2], [2, 1]]
    assert [c.tolist() for c in sizing._if_each_holds(np.array([9, 5]), 1, 5, np.array([2, 2]))] == [
        [9, 3],
        [9, 2],
    ]


def verified(monkeypatch, holds, best):
    """Counts that the last pass settles on before it looks for less beside, where the whole of the checks is a rule by base and counts."""
    asked = []

    class Trials:
        def __init__(self, b):
            self.b = b

        def among(self, b):
            return Trials(b)

        def hold(self, c, ahead=()):
            asked.append((self.b, c.tolist(), [a.tolist() for a in ahead]))
            return holds(self.b, c)

    monkeypatch.setattr(sizing, "_telling", lambda b: "few")
    monkeypatch.setattr(sizing, "_least_beside", lambda tried, _a, _need, _low, c: c)
    found = sizing._verified(Trials("all"), None, None, None, np.array(best))
    return None if found is None else found.tolist(), asked


@pytest.mark.parametrize(
    ("need", "best", "found"),
    [((3, 7), (2, 5), [3, 7]), ((9, 5), (2, 5), [9, 5]), ((2, 6), (2, 5), [2, 6]), ((1, 40), (1, 1), [1, 40]), ((2, 5), (2, 5), [2, 5]), ((0, 3), (0, 0), [0, 3])],
)  # fmt: skip
def test_the_last_pass_adds_until_it_holds_and_takes_off_what_it_can(monkeypatch, need, best, found):
    assert verified(monkeypatch, lambda _, c: (c >= need).all(), best)[0] == found


def test_the_last_pass_gives_up_over_what_can_stand_at_a_point(monkeypatch):
    assert verified(monkeypatch, lambda *_: False, (3, 3))[0] is None
    found, asked = verified(monkeypatch, lambda b, c: b == "few" and c.max() > MOST, (MOST - 1, 1))
    assert found is not None
    assert found[0] > MOST >= asked[0][1][0]


def test_what_holds_at_once_is_given_back_as_it_is():
    best = np.array([3, 4])
    found = sizing._verified(Made(hold=lambda c: True), None, None, None, best)
    assert found.tolist() == [3, 4]
    assert found is not best


def test_what_was_tried_is_not_tried_again(monkeypatch):
    trials, runs = sizing._Trials(None, [], None, 0.0, 1.0, None), []
    monkeypatch.setattr(trials, "_run", lambda every: runs.append(every[:, 0].tolist()) or every[:, 0] > 5)
    some = [np.array([n]) for n in range(60)]
    assert trials.hold(np.array([7]), some)
    assert runs == [[7, *range(24)]]
    assert [trials.hold(np.array([n])) for n in (5, 6)] == [False, True]
    assert len(runs) == 1
    assert trials.hold(np.array([30]), some)
    assert runs[1][:2] == [30, 24]
    assert len(runs[1]) == 1 + sizing.AHEAD


def test_up_to_which_pressure_counts_hold():
    """Of weights alone: as the checks have it; with lines nothing is said."""
    x = assemble(read_text(demo_text("asphalt")))
    s = sizing.sizer(x.base, x.hard, x.factors, x.shelter_mass)
    for counts in (x.needs[x.use].counts, np.full(8, 3)):
        found = limits(x.base, held(x.hard, x.factors, counts, x.shelter_mass, x.base.usable), x.factors)
        assert s.most(counts) == pytest.approx(worst_pressure(found), rel=1e-6)
    x = assemble(read_text(demo_text("clay")))
    assert sizing.sizer(x.base, x.hard, x.factors, x.shelter_mass).most(np.full(8, 3)) == 0.0


def test_where_too_many_boxes_would_be_looked_through_what_was_built_stands(monkeypatch):
    sizes, a, low = np.array([4.0, 2.0]), np.array([[4.0, 2.0]]), np.array([0, 0])
    best, built = np.array([2, 1]), np.array([3, 9])
    for most, found in ((0, built), (sizing.BOXES, best)):
        monkeypatch.setattr(sizing, "BOXES", most)
        assert (
            sizing._searched(sizes, a, np.array([10.0]), low, np.array([9, 9]), built).tolist()
            == found.tolist()
        )


def beside(
    monkeypatch, holds, c, low=(0, 0), a=((0.0, 0.0),), need=(0.0,), member=((1.0, 1.0, 0.0), (0.0, 0.0, 1.0))
):
    """Counts found near by: groups of two points and one."""
    asked = []
    tried = Made(member=np.array(member), hold=lambda x, ahead=(): asked.append(x.tolist()) or holds(x))
    found = sizing._least_beside(tried, np.array(a), np.array(need), np.array(low), np.array(c))
    return found.tolist(), asked


def test_less_near_by_is_taken_as_long_as_there_is_any(monkeypatch):
    """Two points of the first group, one of the second: 2 x + y units. One unit less at a time, three up and down of each."""
    assert beside(monkeypatch, lambda x: True, (4, 3))[0] == [0, 0]
    assert beside(monkeypatch, lambda x: False, (4, 3))[0] == [4, 3]
    assert beside(monkeypatch, lambda x: 2 * x[0] + x[1] >= 9, (4, 3))[0] == [3, 3]
    assert beside(monkeypatch, lambda x: True, (4, 3), low=(3, 2))[0] == [3, 2]
    assert beside(monkeypatch, lambda x: True, (4, 3), a=((1.0, 0.0), (0.0, 1.0)), need=(2.0, 3.0))[0] == [
        2,
        3,
    ]


def test_of_the_same_in_all_the_one_with_less_at_a_point_is_taken(monkeypatch):
    """4 and 1 are nine in all, as 3 and 3 are: three at a point. What holds no less is not looked for: no unit can be added to what is tried."""
    assert beside(monkeypatch, lambda x: 2 * x[0] + x[1] >= 9, (4, 1))[0] == [3, 3]
    _, asked = beside(monkeypatch, lambda x: False, (4, 1))
    assert all(2 * x + y in (8, 9) for x, y in asked)
    assert [3, 3] in asked
    assert [5, -1] not in asked
    four = ((1.0, 0.0, 0.0, 0.0), (0.0, 1.0, 0.0, 0.0), (0.0, 0.0, 1.0, 0.0), (0.0, 0.0, 0.0, 1.0))
    assert beside(monkeypatch, lambda x: True, (2, 2, 2, 2), (0,) * 4, ((0.0,) * 4,), (0.0,), four)[0] == [
        2,
        2,
        2,
        2,
    ]


def test_what_the_first_group_does_not_help_is_held_by_the_others():
    """Three and a half of the second: four; three are not enough."""
    found = sizing._searched(np.array([4.0, 2.0]), np.array([[0.0, 1.0]]), np.array([3.5]), np.array([0, 0]), np.array([9, 9]), None)  # fmt: skip
    assert found.tolist() == [0, 4]


def test_what_is_built_goes_by_the_gain_for_a_unit_and_is_thinned():
    """Each unit holds 1: those of the smallest group. Of sets that cover six rows the largest is taken first, and is not needed then."""
    sizes = np.array([4.0, 2.0, 6.0, 8.0])
    assert sizing._built(sizes, np.ones((1, 4)), np.array([3.0]), np.zeros(4, int)).tolist() == [0, 3, 0, 0]
    cover = np.array([[1, 1, 0], [1, 1, 0], [1, 0, 1], [1, 0, 1], [0, 1, 0], [0, 0, 1]], float)
    assert sizing._built(np.ones(3), cover, np.ones(6), np.zeros(3, int)).tolist() == [0, 1, 1]
    assert sizing._built(np.ones(3), cover, np.ones(6), np.array([1, 0, 0])).tolist() == [1, 1, 1]
    one = np.array([[1.0]])
    assert sizing._built(np.ones(1), one, np.array([MOST + 0.5]), np.array([MOST])) is None
    assert sizing._built(np.ones(1), one, np.array([MOST + 0.0]), np.array([MOST - 2])).tolist() == [MOST]


def test_places_that_read_alike_are_told_by_their_points():
    """Corners with bags that differ in what they rub: by the names of the points; a side by its place."""
    b = Made(
        ids=["L1", "L2", "R1", "R2"], groups=["corner", "side", "corner", "corner"], usable=np.ones(4, bool)
    )
    hard = [Made(kind="ballast", counted="bag", friction=f) for f in (0.4, 0.4, 0.5, 0.4)]
    got = sizing._members(b, hard)
    assert got.places == (("L1/R2", "bag"), ("side", "bag"), ("R1", "bag"))
    assert got.member.tolist() == [[1, 0, 0, 1], [0, 1, 0, 0], [0, 0, 1, 0]]


def test_the_check_that_asks_for_most_by_what_helps_it_is_why_none_is_enough():
    """2,001 of one to each, and 2,050 of three to each: the first."""
    none = one([[1.0], [3.0]], [MOST + 1.0, MOST + 50.0])
    assert (none.counts, none.governed_by) == (None, "check 0")
    least = one([[1.0], [1.0]], [0.1, -0.5], member=((1.0, 0.0),))
    assert least.governed_by == "check 0"


def test_what_weakens_each_other_counts_alone_where_each_point_is_asked_by_itself():
    @dataclass(frozen=True)
    class Stake:
        crowd: float | None

    alone = Stake(None)
    assert sizing._alone(Stake(0.5)) == alone
    assert sizing._alone(alone) is alone


@pytest.mark.parametrize("groups", [2, 3])
def test_where_units_take_away_from_a_check_the_least_is_that_of_trying_all(groups):
    """The last group takes something from the first row, in quarters."""
    rng = np.random.default_rng(groups)
    every = np.array(list(itertools.product(range(11), repeat=groups)), float)
    for _ in range(40):
        a = np.round(rng.uniform(0.0, 3.0, (3, groups)))
        a[0, -1] = -0.25 * rng.integers(1, 8)
        b, sizes = np.round(rng.uniform(0.0, 8.0, 3)), rng.choice([1.0, 2.0, 4.0], groups)
        found = sizing._least(sizes, a, b, np.zeros(groups, int))
        fits = every[(every @ a.T >= b - 1e-9).all(axis=1)]
        if found is not None and len(fits):
            assert (a @ found >= b - 1e-6).all()
            assert (found @ sizes, found.max()) == min((float(c @ sizes), float(c.max())) for c in fits)


def test_the_last_that_can_stand_at_a_point_is_found_where_they_crowd():
    assert units_for(Made(crowd=True, effective=lambda n: n * 1.0), MOST) == MOST


def test_a_sizing_that_says_nothing_of_pressures_says_nothing():
    assert sizing.Sizer(lambda q: None).most(np.ones(3)) == 0.0


def test_up_to_which_pressure_many_points_hold_that_are_asked_for_little():
    """Less than a square metre each."""
    x = assemble(read_text(demo_text("asphalt").replace("points_per_side = 4", "points_per_side = 24")))
    counts = np.where(np.arange(len(x.base.ids)) % 5, 9, 1)
    counts = np.array(
        [counts[[i for i, g in enumerate(x.base.groups) if g == group]].min() for group in x.base.groups]
    )
    found = limits(x.base, held(x.hard, x.factors, counts, x.shelter_mass, x.base.usable), x.factors)
    s = sizing.sizer(x.base, x.hard, x.factors, x.shelter_mass)
    assert s.most(counts) == pytest.approx(worst_pressure(found), rel=1e-6)


def test_what_little_helps_counts_by_what_it_helps():
    """1,800 of a half to each are 3,600 units, 4,002 of two to each 2,001."""
    none = one([[0.5], [2.0]], [MOST * 0.9, MOST * 2.0 + 2.0])
    assert (none.counts, none.governed_by) == (None, "check 0")


def test_a_check_as_a_line_in_the_counts():
    """By case what is asked for a unit of pressure, the most of it; a unit gives 1 and 2. What a code asks for stands whatever the wind."""
    asked, there = np.array([[2.0, 3.0], [1.0, 4.0]]), np.array([[5.0, 6.0]])
    empty = [
        Made(name=n, demand=asked, capacity=there, fixed=f) for n, f in (("wind", False), ("code", True))
    ]
    ones = [Made(capacity=np.array([[[6.0, 8.0]]]))] * 2
    wind, code = sizing._linear_checks(empty, ones)
    assert (wind.gain.tolist(), wind.per_q.tolist(), wind.fixed.tolist()) == (
        [[1.0], [2.0]],
        [2.0, 4.0],
        [-5.0, -6.0],
    )
    assert (code.gain.tolist(), code.per_q.tolist(), code.fixed.tolist()) == (
        [[1.0], [2.0]],
        [0.0, 0.0],
        [-3.0, -2.0],
    )
