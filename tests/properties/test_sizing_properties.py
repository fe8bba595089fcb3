"""Sizing: the counts pass, look the same from every side, and nothing smaller passes."""

import itertools

import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st
from strategies import KINDS_HELD, Q, files, number, points, read, some, twin, with_

from anchorage.assemble import SUBJECTS, assemble, level_share, target_pressure
from anchorage.checks import worst_ratio
from anchorage.sizing import GROUPS

KINDS = pytest.mark.parametrize("kind", KINDS_HELD)
FEW = 30
"""Units in all up to which every smaller choice is tried."""


def spread(x, by_group):
    """Counts by point."""
    return np.array([by_group[p.group] for p in x.shape.points])


def worst(x, by_group, key):
    """Ratio of the worst check where the use asks for what it does."""
    return worst_ratio(x.limits(spread(x, by_group)), target_pressure(x.wind, level_share(key)))


def sized(file, key):
    x = assemble(read(file))
    found = x.needs[key]
    assume(found.total is not None)
    return x, found


@KINDS
def test_the_counts_pass_and_one_less_does_not(kind):
    @some(0.12)
    @given(files(kinds=(kind,), placed=False), st.sampled_from(list(SUBJECTS)))
    def passing(file, key):
        x, found = sized(file, key)
        assert worst(x, found.by_group, key) <= 1 + 1e-8
        if kind == "lines" and found.total:
            assert min(found.by_group.values()) > 0  # sized with every line standing
        present = [g for g in GROUPS if g in found.by_group]
        size = {g: x.base.groups.count(g) for g in present}
        for g in present:
            if found.by_group[g]:
                fewer = found.by_group | {g: found.by_group[g] - 1}
                assert worst(x, fewer, key) > 1 - 1e-8, g
            for other in present:
                if found.by_group[g] and size[g] > size[other]:
                    moved = found.by_group | {g: found.by_group[g] - 1, other: found.by_group[other] + 1}
                    assert worst(x, moved, key) > 1 - 1e-8, (g, other)

    passing()


@KINDS
def test_no_smaller_total_passes(kind):
    """Every choice of counts by group with a smaller total is tried, and those as small with a smaller largest."""

    @some(0.15)
    @given(files(kinds=(kind,), placed=False), number(0.2, 4.0))
    def least(file, k):
        first = assemble(read(file))
        assume(first.needs["people-in"].total)
        # about as many units as points, so that the choice is a narrow one
        file = with_(file, wind__speed=Q("speed", file["wind"]["speed"].si * min(k * (len(first.counts) / first.needs["people-in"].total) ** 0.5, 1.0)))
        x, found = sized(file, "people-in")
        assume(0 < found.total <= FEW)
        present = list(found.by_group)
        size = np.array([x.base.groups.count(g) for g in present])
        for counts in itertools.product(*(range(FEW // n + 1) for n in size)):
            total = int(counts @ size) if isinstance(counts, np.ndarray) else int(np.dot(counts, size))
            smaller = total < found.total or (total == found.total and max(counts) < max(found.by_group.values()))
            if smaller and (kind != "lines" or min(counts) > 0):
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
        assert needs[hard].total is None or (needs[easy].total is not None and needs[easy].total <= needs[hard].total)


@some(0.15)
@given(files(placed=False))
def test_what_is_sized_holds_as_placed(file):
    """The counts, written into the file as placed, pass the checks at the gust of the file."""
    x = assemble(read(file))
    assume(x.sized is not None and x.sized.counts is not None)
    each = {i: int(n) for i, n in zip(x.base.ids, x.counts, strict=True)}
    again = assemble(read(with_(file, anchorage__placed=each)))
    assert worst_ratio(again.limits(), again.wind.pressure) <= 1 + 1e-9
    assert again.sized is None
