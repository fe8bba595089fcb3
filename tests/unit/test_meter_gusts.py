"""The gust of a meter against a reckoning of its own: one sample after the other, in plain Python."""

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from anchorage.loads.wind import gust_factor
from anchorage.meter.gusts import Gusts

WINDOW, LOOK = 3.0, 600.0


def by_hand(times, speeds):
    """Highest mean of the samples of a full 3 s, of what a gap of 3 s cuts short, and of the last 10 min."""
    best, end = -math.inf, times[-1]
    run = 0
    for i, t in enumerate(times):
        if i and t - times[i - 1] >= WINDOW:
            run = i
        step = (
            times[run + 1] - times[run]
            if run + 1 < len(times) and times[run + 1] - times[run] < WINDOW
            else 0.0
        )
        inside = [v for s, v in zip(times[: i + 1], speeds, strict=False) if s > t - WINDOW + 1e-6]
        full = t - times[run] + step >= WINDOW - 1e-6
        cut = i + 1 < len(times) and times[i + 1] - t >= WINDOW
        if (full or cut) and t > end - LOOK:
            best = max(best, sum(inside) / len(inside))
    return best


def pushed(times, speeds, blocks):
    g, at = Gusts(), 0
    while at < len(times):
        n = next(blocks)
        g.push(np.array(times[at : at + n]), np.array(speeds[at : at + n]))
        at += n
    return g


def forever(sizes):
    while True:
        yield from sizes


@settings(max_examples=60)
@given(
    st.lists(st.floats(0, 60), min_size=60, max_size=150), st.sampled_from([0.1, 0.25, 0.5, 1.0]),
    st.dictionaries(st.integers(20, 140), st.floats(3.5, 30), max_size=3), st.lists(st.integers(1, 40), min_size=1, max_size=4),
)  # fmt: skip
def test_gust_is_the_highest_mean_over_three_seconds(speeds, pace, gaps, sizes):
    """However the samples are cut into blocks, and where the cable was out in between."""
    times = list(np.cumsum([pace + gaps.get(i, 0.0) for i in range(len(speeds))]))
    g = pushed(times, speeds, forever(sizes))
    expected = by_hand(times, speeds)
    found = g.highest(times[-1], LOOK)
    if expected == -math.inf:
        assert found is None
    else:
        assert found[0] == pytest.approx(expected, rel=1e-9, abs=1e-9)


@settings(max_examples=30)
@given(st.lists(st.floats(0, 60), min_size=30, max_size=100), st.integers(1, 7))
def test_means_are_those_of_the_samples(speeds, block):
    times = [0.5 * i for i in range(len(speeds))]
    g = pushed(times, speeds, forever([block]))
    assert g.mean(times[-1], 600.0) == pytest.approx(sum(speeds) / len(speeds), abs=1e-9)
    short = [v for t, v in zip(times, speeds, strict=True) if t > times[-1] - 10.0]
    assert g.mean(times[-1], 10.0) == pytest.approx(sum(short) / len(short), abs=1e-9)


def test_a_gust_is_forgotten_after_ten_minutes_and_not_before():
    g = Gusts()
    t = np.arange(0, 1300, 0.5)
    v = np.where((t >= 300) & (t < 303), 20.0, 5.0)
    g.push(t[t < 895], v[t < 895])
    assert g.wind(894.9).gust == pytest.approx(20.0)
    g.push(t[t >= 895], v[t >= 895])
    assert g.wind(1299.0).gust == pytest.approx(5.0)


def test_a_spike_of_one_sample_is_no_gust_of_three_seconds():
    """At 4 Hz one sample is a twelfth of the mean."""
    g = Gusts()
    v = np.full(100, 6.0)
    v[50] = 30.0
    g.push(np.arange(100) * 0.25, v)
    assert g.wind(25.0).gust == pytest.approx(6.0 + 24.0 / 12)


@pytest.mark.parametrize(
    ("every", "averaging"), [(2.0, "3 s"), (3.0, "3 s"), (5.0, "1 min"), (60.0, "1 min"), (100.0, "2 min")]
)
def test_a_meter_that_sends_seldom_gives_its_values_and_no_mean(every, averaging):
    """No mean of 3 s can be made of values 2 s apart: each stands for itself; more seldom, it is a mean of the longer time."""
    g = Gusts(lambda known: gust_factor(known, "larger", []))
    for i in range(20):
        g.push(np.array([every * i]), np.array([12.0 if i == 18 else 5.0]))
    w = g.wind(every * 19)
    assert (w.averaging, w.interval) == (averaging, every)
    assert w.gust == pytest.approx(12.0 * gust_factor(averaging, "larger", []))


def test_three_samples_make_no_gust_before_three_seconds_are_over():
    g = Gusts()
    g.push(np.array([0.0, 0.1, 0.2]), np.array([30.0, 5.0, 5.0]))
    assert g.wind(0.2).gust is None
    g.settle(3.3)  # nothing more came: what there was counts
    assert g.wind(3.3).gust == pytest.approx(40 / 3)


def test_direction_goes_round_north_and_is_none_where_it_is_everywhere():
    g = Gusts()
    t = np.arange(0, 60, 1.0)
    g.push(t, np.full(60, 5.0), np.where(t % 2 == 0, 350.0, 20.0))
    assert g.direction(59.0, 120.0) == pytest.approx(5.0)
    h = Gusts()
    h.push(t, np.full(60, 5.0), (t * 90.0) % 360)
    assert h.direction(59.0, 120.0) is None
    n = Gusts()
    n.push(t, np.full(60, 5.0), np.full(60, np.nan))
    assert n.direction(59.0, 120.0) is None


def test_time_that_goes_back_or_stands_still_loses_nothing_and_breaks_nothing():
    g = Gusts()
    g.push(np.array([10.0, 9.0, 9.0, 11.0]), np.array([1.0, 2.0, 3.0, 4.0]))
    g.push(np.array([5.0, 12.0]), np.array([50.0, 5.0]))
    assert g.mean(12.0, 600.0) == pytest.approx(65 / 6)


def test_a_day_at_ten_a_second_takes_no_more_memory_than_an_hour():
    def size(g):
        return sum(a.nbytes for a in vars(g).values() if isinstance(a, np.ndarray))

    g, rng = Gusts(), np.random.default_rng(3)
    for hour in range(24):
        t = 3600.0 * hour + np.arange(36000) / 10
        g.push(t, rng.uniform(0, 20, t.size), rng.uniform(0, 360, t.size))
        if hour == 0:
            first = size(g)
    assert size(g) <= first < 2_000_000
