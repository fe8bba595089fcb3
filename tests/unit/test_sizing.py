"""The search for the least counts, alone, and what it does where nothing helps."""

import itertools
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import example, given
from hypothesis import strategies as st
from strategies import GABLE, ON_LINES, THROUGH_FEET, Q, read, some, with_, worst_ratio

from anchorage.checks.checks import limits
from anchorage.checks.footprint import held
from anchorage.checks.installation import assemble, target_pressure
from anchorage.checks.sizing import MOST, _least, _least_beside, sizer
from anchorage.deployment.reader import read_text

SMALL = st.integers(0, 6).map(float)
ROW = st.tuples(SMALL, SMALL, SMALL, st.integers(-3, 30).map(float))


def tried(sizes, a, b, low, most=31):
    """Least total, then smallest largest, by trying everything."""
    c = np.array(list(itertools.product(*(range(k, most) for k in low))), float)
    c = c[(c @ a.T >= b - 1e-9).all(axis=1)]
    return min(zip(c @ np.array(sizes, float), c.max(axis=1), strict=True), default=None)


@some(0.6)
@given(
    st.lists(ROW, min_size=1, max_size=4),
    st.sampled_from([(4, 4, 2), (4, 2, 2), (4, 6, 4)]),
    st.tuples(*[st.integers(0, 2)] * 3),
)
@example([(1.0, 0.0, 0.0, 3.0), (0.0, 1.0, 0.0, 2.0), (0.0, 0.0, 1.0, 1.0)], (4, 4, 2), (0, 0, 0))
@example([(0.0, 0.0, 0.0, 1.0)], (4, 4, 2), (0, 0, 0))
@example([(2.0, 3.0, 0.0, 0.0)], (4, 4, 2), (0, 0, 1))
def test_the_least_counts_are_what_trying_everything_finds(rows, sizes, low):
    a, b = np.array([r[:3] for r in rows]), np.array([r[3] for r in rows])
    found = _least(np.array(sizes, float), a, b, np.array(low))
    wanted = tried(sizes, a, b, low)
    if wanted is None:
        assert found is None or found.max() >= 31
        return
    assert np.all(a @ found >= b - 1e-9)
    assert np.all(found >= low)
    assert (float(np.dot(sizes, found)), found.max()) == wanted


@pytest.mark.parametrize("groups", [1, 2])
def test_fewer_groups_are_searched_alike(groups):
    rng = np.random.default_rng(groups)
    for _ in range(50):
        a, b = rng.integers(0, 5, (3, groups)).astype(float), rng.integers(-2, 20, 3).astype(float)
        sizes, low = np.array([4.0, 2.0][:groups]), rng.integers(0, 2, groups)
        found, wanted = _least(sizes, a, b, low), tried(sizes, a, b, low)
        assert (found is None) == (wanted is None)
        if found is not None:
            assert (float(sizes @ found), found.max()) == wanted


@pytest.mark.parametrize("file", [GABLE, ON_LINES, THROUGH_FEET], ids=["ballast", "lines", "feet"])
def test_each_use_is_sized_and_named(file):
    needs = assemble(read(file)).needs
    assert set(needs) == {"working", "people-in", "empty", "set-up"}
    for found in needs.values():
        assert found.governed_by
        assert found.total == sum(found.by_group[g] * n for g, n in (("corner", 4), ("side", 4), ("end", 2)))
        assert 0 < max(found.by_group.values()) <= MOST


@pytest.mark.parametrize("share", [0.1, 0.4, 1.0])
def test_how_far_the_least_counts_hold_is_what_all_the_checks_say(share):
    x = assemble(read(GABLE))
    sized, q = sizer(x.base.holding(x.usable), x.hard, x.factors, x.shelter_mass), share * x.wind.pressure
    found = sized(q)
    most = sized.most(found.counts)
    assert most >= q
    assert most == pytest.approx(
        min(float(np.min(f.q)) for f in x.limits(found.counts) if not f.fixed), rel=1e-9
    )
    assert sized(most * (1 + 1e-6)).total > found.total == sized(most).total


def test_what_nothing_can_hold_says_so():
    """One kilogram a bag in a hurricane: more than the most at a point."""
    found = assemble(
        read(with_(GABLE, wind__speed=Q("speed", 90.0), anchorage__unit_mass=Q("mass", 0.1)))
    ).needs["set-up"]
    assert found.counts is None
    assert found.total is None
    assert found.governed_by
    assert found.by_group == {}


def test_stakes_with_no_upward_hold_cannot_be_sized():
    weak = with_(THROUGH_FEET, anchorage__stake__soil="very-soft-clay", shelter__mass=None)
    found = assemble(read(weak)).needs["people-in"]
    assert found.counts is None
    assert "stake" in found.governed_by


def test_a_light_unit_is_sized_in_a_small_memory():
    """Grids of all pairs of counts took a gigabyte here."""
    import tracemalloc

    file = read(
        with_(
            GABLE,
            shelter__points_per_end=4,
            wind__speed=Q("speed", 20.0),
            anchorage__unit_mass=Q("mass", 1.0),
        )
    )
    tracemalloc.start()
    try:
        found = assemble(file).needs["people-in"]
        peak = tracemalloc.get_traced_memory()[1]
    finally:
        tracemalloc.stop()
    assert found.total is not None
    assert peak < 100 * 2**20


def file_of(shelter, wind, held, slope=0):
    return f"""
[shelter]
length = "6 m"
width = "6 m"
mass = "400 kg"
points_per_side = 3
{shelter}
[site]
surface = "grass"
state = "dry"
exposure = "C"
slope = {slope}
beneath = "nothing"
[wind]
averaging = "3 s"
level = "service"
{wind}
[anchorage]
contact = "plate"
foot = "rubber"
{held}
[halfway]
cover = "attached"
"""


BLOCKS = 'kind = "ballast"\nunit = "concrete-block"\nhow = "hung-clear"'
LOGS = 'kind = "deadman"\nline_angle = 30\n[anchorage.deadman]\ndepth = "1.2 m"\nlength = "1.5 m"\nface = "0.5 m"\nground = "loam"'


@pytest.mark.parametrize(
    ("method", "width"), [("asce7-16", "6 m"), ("asce7-22", "6 m"), ("asce7-16", "7.1976 m")]
)
def test_a_canopy_that_nothing_pushes_does_not_slide_off_its_lines(method, width):
    """Wind along the ridge of a canopy by ASCE 7 lifts and does not push: friction is no part of that, whatever the lift.

    Of the last width the two slopes leave 1e-16 of a push, which has no direction.
    """
    canopy = 'form = "canopy-gable"\neave = "2.4 m"\nridge = "3.6 m"'
    wind = f'method = "{method}"\nspeed = "20 m/s"\ncode_minimum = false'
    x = assemble(read_text(file_of(canopy, wind, LOGS)))
    assert x.counts.min() >= 1
    slide = next(f for f in x.limits() if f.name == "slide")
    still = np.linalg.norm(x.base.cases.push, axis=-1) == 0
    assert still.any()
    assert np.isinf(slide.q[still]).all()
    assert worst_ratio(x.limits(), x.wind.pressure) <= 1.0


@pytest.mark.parametrize("slope", [0, 1, 3, 5])
def test_what_ballast_itself_pulls_downhill_is_counted_when_it_is_sized(slope):
    """The counts of a site that falls meet every check of the file, the least load of the code too."""
    gable = 'form = "gable"\neave = "2.4 m"\nridge = "3.6 m"'
    x = assemble(read_text(file_of(gable, 'method = "asce7-16"\nspeed = "5 m/s"', BLOCKS, slope)))
    assert x.counts.max() >= 1
    assert worst_ratio(x.limits(), x.wind.pressure) <= 1.0 + 1e-9
    fewer = x.counts - (x.counts == x.counts.max())
    assert (
        worst_ratio(replace(x, counts=fewer).limits(), x.wind.pressure) > 0.8
    )  # and they are not far more than it takes


def test_two_ways_of_holding_are_tried_with_all_of_the_checks():
    """Logs on lines on one side, weights on the other: what each point asks for itself does not do, and the counts do."""
    gable = 'form = "gable"\neave = "2.2 m"\nridge = "3 m"'
    both = LOGS.replace('"deadman"\n', '"mixed"\nunit = "concrete-block"\nhow = "hung-clear"\n', 1)
    rows = [
        f'[[point]]\nid = "{i}"\nkind = "{"deadman" if i[0] == "L" else "ballast"}"'
        for i in ("L1", "L2", "L3", "R1", "R2", "R3")
    ]
    x = assemble(read_text(file_of(gable, 'speed = "13 m/s"', both) + "\n".join(rows)))
    for use, found in x.needs.items():
        q = target_pressure(x.wind, x.policy.share_for(use))
        h = held(x.hard, x.factors, found.counts, x.shelter_mass, x.base.usable)
        assert worst_ratio(limits(x.base, h, x.factors), q) <= 1.0 + 1e-9, use


def test_where_nothing_blows_nothing_is_asked_of_a_line():
    gable = 'form = "gable"\neave = "2.2 m"\nridge = "3 m"'
    assert assemble(read_text(file_of(gable, 'speed = "0 m/s"', LOGS))).counts.max() == 0
    assert assemble(read_text(file_of(gable, 'speed = "1 m/s"', LOGS))).counts.min() == 1


class Holds:
    """Counts that hold where crowding leaves each group less than its share: sqrt-like, and known to nobody but by trying."""

    def __init__(self, points, worth, asked):
        self.member = np.array([np.r_[np.ones(n), np.zeros(max(points) - n)] for n in points])
        self.points, self.worth, self.asked, self.tried = np.array(points), np.array(worth), asked, 0

    def hold(self, counts, ahead=()):
        self.tried += 1
        return bool(self.points @ (self.worth * np.asarray(counts, float) ** 0.9) >= self.asked)


@pytest.mark.parametrize("points", [(4, 2), (4, 6), (4, 4, 2), (4, 8, 4)])
@pytest.mark.parametrize("asked", [50.0, 83.0, 117.0])
def test_what_is_thinned_group_by_group_ends_at_the_least_of_all(points, asked):
    """Taking the corners down first may leave two units too many at the sides; all counts near by are run through here one by one."""
    worth = (1.0, 1.3, 0.7)[: len(points)]
    t, low = Holds(points, worth, asked), np.ones(len(points), int)
    c = np.full(len(points), 40)
    for g in range(len(c)):  # as it is thinned
        while c[g] > 1 and t.hold(c - np.eye(len(c), dtype=int)[g]):
            c[g] -= 1
    t.tried, none = 0, (np.zeros((0, len(points))), np.zeros(0))
    got = _least_beside(t, *none, low, c)
    assert t.hold(got)
    sizes = np.array(points)
    for step in itertools.product(range(-3, 4), repeat=len(points)):
        x = got + np.array(step)
        if (x >= 1).all() and t.hold(x):
            assert (sizes @ x, x.max()) >= (sizes @ got, got.max()), (c, got, x)
