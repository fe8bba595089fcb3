"""Sizing: the counts pass, look the same from every side, and nothing smaller passes."""

import itertools

import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st
from strategies import (
    EVERY_FOOT,
    KINDS_HELD,
    THROUGH_FEET,
    Q,
    files,
    points,
    read,
    some,
    twin,
    with_,
    worst_ratio,
)

from anchorage.checks.installation import assemble, target_pressure
from anchorage.checks.sizing import GROUPS
from anchorage.deployment.policy import SUBJECTS

KINDS = pytest.mark.parametrize("kind", KINDS_HELD)
FEW = 30
"""Units in all up to which every smaller choice is tried."""


def spread(x, by_group):
    """Counts by point."""
    return np.array([by_group[p.group] for p in x.shape.points])


def worst(x, by_group, key):
    """Ratio of the worst check where the use asks for what it does; a line is as strong as it is, however many hold it."""
    found = [f for f in x.limits(spread(x, by_group)) if not f.name.startswith("line:")]
    return worst_ratio(found, target_pressure(x.wind, x.policy.share_for(key)))


def sized(file, key):
    x = assemble(read(file))
    found = x.needs[key]
    assume(found.total is not None)
    return x, found


ONE_AT_EACH = 1
"""Sizing leaves no foot without: one that holds nothing would leave its share to its neighbours."""


@KINDS
def test_the_counts_pass_and_one_less_does_not(kind):
    @some(0.12)
    @given(
        files(kinds=(kind,), placed=False, code_minimum=False, uses=EVERY_FOOT),
        st.sampled_from(list(SUBJECTS)),
    )
    def passing(file, key):
        x, found = sized(file, key)
        assert worst(x, found.by_group, key) <= 1 + 1e-8
        present = [g for g in GROUPS if g in found.by_group]
        size = {g: x.base.groups.count(g) for g in present}
        for g in present:
            if found.by_group[g] <= ONE_AT_EACH:
                continue
            fewer = found.by_group | {g: found.by_group[g] - 1}
            assert worst(x, fewer, key) > 1 - 1e-8, g
            for other in present:
                if size[g] > size[other]:
                    moved = fewer | {other: found.by_group[other] + 1}
                    assert worst(x, moved, key) > 1 - 1e-8, (g, other)

    passing()


@KINDS
def test_the_counts_pass_a_code_minimum_as_well(kind):
    @some(0.08)
    @given(
        files(
            kinds=(kind,), placed=False, methods=("asce7-16", "asce7-22"), code_minimum=True, uses=EVERY_FOOT
        )
    )
    def passing(file):
        x, found = sized(file, "people-in")
        assert worst(x, found.by_group, "people-in") <= 1 + 1e-8

    passing()


def test_stakes_that_outdo_friction_are_found_under_a_code_minimum():
    """Found as "no number of stakes holds this": 1,500 kg that rub for 4.4 kN, 21.1 kN asked for, 1.4 kN a stake all round."""
    file = with_(
        THROUGH_FEET, wind__method="asce7-22", wind__level="service", wind__speed=Q("speed", 10.0), site__state="dry",
        shelter__mass=Q("mass", 1500.0), anchorage__stake__soil="soft-clay", anchorage__stake__driven=Q("length", 0.4),
        anchorage__stake__diameter=Q("length", 0.012),
    )  # fmt: skip
    x = assemble(read(file))
    found = x.needs["people-in"]
    assert found.total is not None
    assert worst(x, found.by_group, "people-in") <= 1 + 1e-8
    for g, n in found.by_group.items():
        if n:
            assert worst(x, found.by_group | {g: n - 1}, "people-in") > 1


@KINDS
def test_no_smaller_total_passes(kind):
    """Every choice of counts by group with a smaller total is tried, and those as small with a smaller largest."""

    @some(0.2)
    @given(files(kinds=(kind,), placed=False, code_minimum=False, uses=EVERY_FOOT), st.integers(1, 3))
    def least(file, each):
        first = assemble(read(file))
        total = first.needs["people-in"].total
        assume(total)
        # a wind that takes about so many at each point, so that the choice is a narrow one
        slower = min((each * len(first.counts) / total) ** 0.5, 1.0)
        x, found = sized(with_(file, wind__speed=Q("speed", file["wind"]["speed"].si * slower)), "people-in")
        assume(0 < found.total <= FEW)
        present = list(found.by_group)
        size = [x.base.groups.count(g) for g in present]
        for counts in itertools.product(*(range(ONE_AT_EACH, FEW // n + 1) for n in size)):
            total = sum(c * n for c, n in zip(counts, size, strict=True))
            if total < found.total or (total == found.total and max(counts) < max(found.by_group.values())):
                assert worst(x, dict(zip(present, counts, strict=True)), "people-in") > 1 - 1e-8, counts

    least()


@some(0.2)
@given(files(placed=False))
def test_counts_are_the_same_in_both_mirrors(file):
    x = assemble(read(file))
    counts = dict(zip(x.base.ids, x.counts, strict=True))
    assert list(counts) == points(file)
    for id_, n in counts.items():
        assert n == counts[twin(id_, file, left_right=True)] == counts[twin(id_, file, left_right=False)]


@some(0.15)
@given(files(placed=False))
def test_a_stricter_use_takes_no_fewer(file):
    """Setting up is go below 60 %, people stay below 80 %, and empty it may stand to the limit."""
    needs = assemble(read(file)).needs
    for easy, hard in (("empty", "people-in"), ("people-in", "set-up")):
        assert needs[hard].total is None or (
            needs[easy].total is not None and needs[easy].total <= needs[hard].total
        )


@some(0.15)
@given(files(placed=False))
def test_what_is_sized_holds_as_placed(file):
    """The counts, written into the file as placed, pass the checks at the gust of the file."""
    x = assemble(read(file))
    assume(x.sized is not None and x.sized.counts is not None)
    each = {i: int(n) for i, n in zip(x.base.ids, x.counts, strict=True)}
    again = assemble(read(with_(file, anchorage__placed=each)))
    found = [f for f in again.limits() if not f.name.startswith("line:")]
    assert worst_ratio(found, again.wind.pressure) <= 1 + 1e-9
    assert again.sized is None
