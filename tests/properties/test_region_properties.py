"""What must hold of every grid: worse weather is never judged milder, nothing unknown is ever go, order does not count."""

import functools

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from hypothesis.extra import numpy as hnp
from region_kit import deployment, grid, region

from anchorage.core import tables
from anchorage.core.checked import Check, What
from anchorage.outlook import rule
from anchorage.outlook.limits import Limits
from anchorage.outlook.sectors import sectors_of
from anchorage.region.kernel import NEVER, judge_block

FEW = settings(max_examples=30)
HOURS, MEMBERS = 13, 3
SHAPE = (HOURS, MEMBERS, 1, 2)
GUSTS = hnp.arrays(
    float,
    SHAPE,
    elements=st.one_of(st.floats(0, 30, width=16), st.sampled_from([0.0, 9.134, 12.179, 15.224])),
)
HOLES = hnp.arrays(bool, SHAPE, elements=st.booleans())
WATER = hnp.arrays(float, SHAPE, elements=st.sampled_from([0.0, 0.0, 0.5, 2.0, 6.0]))


@functools.cache
def job(use="people-in", name="asphalt", *, water=False):
    fields = {"water": np.zeros(SHAPE)} if water else {}
    return region(grid(HOURS, MEMBERS, 1, 2, gust=np.zeros(SHAPE), **fields), deployment(name), use=use)[
        0
    ].job


def judged(gust, water=None, use="people-in", name="asphalt"):
    """Results of a block: first, unknown, verdict, known, low, high, level."""
    arrays = [gust] if water is None else [gust, water]
    return judge_block(
        *(np.moveaxis(a, 0, -1).swapaxes(0, 1).swapaxes(1, 2) for a in arrays),
        job=job(use, name, water=water is not None),
    )


def later(first):
    return np.where(first == NEVER, 999, first)


@FEW
@given(
    GUSTS,
    HOLES,
    hnp.arrays(float, SHAPE, elements=st.floats(0, 10, width=16)),
    st.sampled_from(["people-in", "empty", "set-up"]),
)
def test_more_gust_is_never_a_lower_level_nor_a_later_deadline(gust, holes, more, use):
    a = judged(np.where(holes, np.nan, gust), use=use)
    b = judged(np.where(holes, np.nan, gust + more), use=use)
    known = (a[6] != rule.UNKNOWN) & (b[6] != rule.UNKNOWN)
    assert (b[6][known] >= a[6][known]).all()
    assert (later(b[0])[..., :4] <= later(a[0])[..., :4]).all()
    assert (b[2] >= a[2]).all()
    assert (b[4] >= a[4]).all()
    assert (b[5] >= a[5]).all()


@FEW
@given(GUSTS, HOLES, st.sampled_from(["people-in", "empty", "set-up"]))
def test_what_is_missing_is_never_go_and_never_rare(gust, holes, use):
    whole, torn = judged(gust, use=use), judged(np.where(holes, np.nan, gust), use=use)
    inside = holes[:12].any(axis=(0, 1))  # the stay is 12 h
    assert (torn[2][inside] != rule.GO).all()
    assert (torn[5] >= whole[5] - 1e-6).all()
    assert (torn[4] <= whole[4] + 1e-6).all()
    assert (torn[1] == (torn[6][..., :12] == rule.UNKNOWN).sum(axis=-1)).all()
    lost = np.moveaxis(holes, 0, -1).swapaxes(0, 1).swapaxes(1, 2)
    assert np.isin(torn[6][lost], [rule.UNKNOWN]).all()
    assert (torn[6][~lost] == whole[6][~lost]).all()


@FEW
@given(GUSTS, HOLES, st.permutations(range(MEMBERS)))
def test_the_order_of_members_and_cells_does_not_count(gust, holes, order):
    given_ = np.where(holes, np.nan, gust)
    a, b = judged(given_), judged(given_[:, list(order)][..., ::-1])
    for k in (2, 3, 4, 5):
        assert np.array_equal(a[k], b[k][:, ::-1])
    assert np.array_equal(a[0][..., list(order), :], b[0][:, ::-1])


@FEW
@given(GUSTS, HOLES)
def test_chances_are_a_range_and_the_higher_level_is_the_rarer(gust, holes):
    _, _, _, _, low, high, _ = judged(np.where(holes, np.nan, gust))
    assert ((low >= 0) & (low <= high) & (high <= 1)).all()
    assert (np.diff(low, axis=-1) <= 0).all()
    assert (np.diff(high, axis=-1) <= 0).all()


@FEW
@given(GUSTS, WATER, WATER)
def test_more_snow_is_never_a_lower_level(gust, water, more):
    a, b = judged(gust, water), judged(gust, water + more)
    assert (b[6] >= a[6]).all()
    assert (b[2] >= a[2]).all()


@FEW
@given(GUSTS, WATER, HOLES)
def test_an_amount_that_is_missing_is_unknown_from_there_on(gust, water, holes):
    found = judged(gust, np.where(holes, np.nan, water))[6]
    lost = np.logical_or.accumulate(np.moveaxis(holes, 0, -1), axis=-1).swapaxes(0, 1).swapaxes(1, 2)
    assert (found[lost] >= rule.PEOPLE_OUT).all()  # unknown, or people out for certain


@given(st.lists(st.tuples(st.integers(0, 359).map(float), st.floats(5, 40)), max_size=9, unique_by=lambda x: x[0]),
       st.lists(st.one_of(st.integers(0, 360).map(float), st.floats(0, 360)), min_size=1, max_size=40))  # fmt: skip
def test_the_table_of_sectors_is_the_limit_of_the_outlook(by_bearing, bearings):
    limits = Limits(gust=4.0, by=Check(What.SLIDE), by_bearing=tuple(by_bearing))
    sectors = sectors_of(limits, tables.row("gust-coding", "direction").value)
    edges = {
        (b + s * tables.row("gust-coding", "direction").value) % 360 for b, _ in by_bearing for s in (-1, 1)
    }
    for b in bearings:
        if any(0 < abs((b - e + 180) % 360 - 180) < 1e-6 for e in edges):
            continue  # nearer to an edge than any forecast says
        assert sectors.at(np.array([b]), limits.gust).item() == limits.at(b)
    assert sectors.at(np.array([np.nan]), limits.gust).item() == limits.gust
    assert sectors.at(None, limits.gust) == limits.gust


@pytest.mark.parametrize("name", ["asphalt", "mixed"])
def test_it_does_not_matter_in_which_blocks_the_cells_are_judged(name):
    rng = np.random.default_rng(2)
    shape = (HOURS, 2, 6, 5)
    gust = rng.uniform(0, 22, shape)
    gust[rng.random(shape) < 0.02] = np.nan
    ds = grid(HOURS, 2, 6, 5, gust=gust, direction=rng.uniform(0, 360, shape))
    whole = region(ds, deployment(name))[1]
    for chunks in ({"latitude": 3}, {"latitude": 4, "longitude": 3, "time": 5, "realization": 1}):
        assert region(ds.chunk(chunks), deployment(name))[1].identical(whole)
