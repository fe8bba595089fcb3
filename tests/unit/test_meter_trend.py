"""The trend of the gusts against least squares of numpy, and what a dead meter is called."""

from datetime import UTC

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from anchorage.meter.beat import beat_words, silent
from anchorage.meter.store import Beat
from anchorage.meter.trend import trend_of

NOW = 1_800_000_000


def minutes(slope, noise=(), n=60, top=10.0):
    """n minutes up to now that rise by so much an hour to a speed at the end."""
    t = np.arange(-(n - 1), 1) * 60.0
    v = top + slope * t / 3600.0
    for i, x in enumerate(noise[:n]):
        v[i] += x
    return list(zip(t, v, strict=True))


def test_a_straight_line_reaches_the_level_when_it_does():
    """3 m/s an hour from 10 m/s to 11.5 m/s: half an hour, and no doubt about it."""
    t = trend_of(minutes(3.0), 11.5, "secure")
    assert (t.to, t.sure) == ("secure", True)
    assert (t.expected, t.low, t.high) == tuple(pytest.approx(1800.0, rel=1e-6) for _ in range(3))


@pytest.mark.parametrize("slope", [0.0, -1.0, 0.5])
def test_what_falls_or_hardly_rises_is_not_spoken_of(slope):
    """At 0.5 m/s an hour 1.5 m/s take three hours: further off than two."""
    assert trend_of(minutes(slope), 11.5, "secure") is None


@pytest.mark.parametrize("n", [0, 1, 14])
def test_a_quarter_of_an_hour_at_the_least(n):
    assert trend_of(minutes(3.0, n=n), 11.5, "secure") is None


def test_a_level_that_no_wind_reaches():
    assert trend_of(minutes(3.0), float("inf"), "keep-away") is None


@settings(max_examples=60)
@given(st.floats(-4, 8), st.lists(st.floats(-2, 2), min_size=60, max_size=60), st.floats(10, 20))
def test_the_line_is_that_of_least_squares_and_its_spread_holds_it(slope, noise, mark):
    found = trend_of(minutes(slope, noise), mark, "secure")
    t, v = np.array(minutes(slope, noise)).T
    a, b = np.polyfit(t, v, 1)
    if found is None:
        top = b + (v - (a * t + b)).max()
        assert a <= 1e-9 or (mark - top) / a > 7200 * (1 - 1e-6)
        return
    top = b + (v - (a * t + b)).max()
    assert found.expected == pytest.approx(max(mark - top, 0.0) / a, rel=1e-6, abs=1e-6)
    assert found.low <= found.expected
    assert found.high is None or found.high >= found.expected
    scatter = (v - (a * t + b)).std()
    assert found.sure or scatter > 0


def test_more_scatter_is_less_sure():
    rng = np.random.default_rng(4)
    noise = rng.normal(0, 1, 60)
    wide = [
        None if t.high is None else t.high - t.low
        for x in (0.01, 0.1, 0.3)
        if (t := trend_of(minutes(3.0, list(x * noise)), 12.0, "secure")) is not None
    ]
    known = [w for w in wide if w is not None]
    assert len(known) >= 2
    assert known == sorted(known)


@pytest.mark.parametrize(
    ("beat", "dead", "words"),
    [
        (Beat("x", NOW - 900, NOW, NOW - 5, False, ""), False, "its last reading came"),
        (Beat("x", NOW - 900, NOW, NOW - 600, False, "silent"), True, "NO READING FROM THE METER x"),
        (Beat("x", NOW - 900, NOW - 800, None, False, ""), True, "nothing has come from it"),
        (Beat("x", NOW - 900, NOW - 600, NOW - 600, True, ""), False, "and it was stopped"),
        (Beat("x", NOW - 900, NOW, NOW - 5, False, "stuck"), False, "AND IT IS STUCK"),
    ],
)
def test_a_meter_that_nobody_stopped_and_that_says_nothing_is_dead(beat, dead, words):
    assert silent(beat, NOW) is dead
    assert words in beat_words(beat, NOW, UTC)
