"""What a chance must do whatever the installation: hold more with more, fail more in more wind, repeat with its seed."""

import numpy as np
import pytest
from hypothesis import assume, example, given
from hypothesis import strategies as st
from strategies import GABLE, ON_LINES, THROUGH_FEET, files, read, some, unsized, with_

from anchorage.chance.chance import BLOCK, Sampler, _sample, above, chance_of, over_hours
from anchorage.chance.uncertain import ONES, Model
from anchorage.checks.checks import limits
from anchorage.checks.installation import Installation, assemble
from anchorage.core.errors import AnchorageError


def drawn(x: Installation, u, keep=None):
    model = Model(x, keep)
    made = model.draw(u[:, : model.width])
    return model, made, [f for f in limits(made.base, made.held, ONES) if not f.fixed]


def assembled(file):
    try:
        with unsized():
            return assemble(read(file))
    except AnchorageError:
        assume(False)
        raise


@some(0.4)
@given(files(placed=True, extras=True), st.integers(0, 99))
def test_many_draws_at_once_are_each_draw_alone(file, seed):
    """Every form, method and way of holding: the leading axis changes no number."""
    x = assembled(file)
    u = np.random.default_rng(seed).standard_normal((3, 80))
    model, together, found = drawn(x, u)
    for i in range(3):
        one = model.draw(u[i : i + 1, : model.width])
        alone = [f for f in limits(one.base, one.held, ONES) if not f.fixed]
        assert [f.name for f in alone] == [f.name for f in found]
        for a, b in zip(alone, found, strict=True):
            q = np.broadcast_to(b.q, (3, *b.q.shape[-2:]))[i] if b.q.ndim == 2 else b.q[min(i, len(b.q) - 1)]
            np.testing.assert_allclose(np.squeeze(a.q), np.squeeze(q), rtol=1e-9)
    assert together.pressure_factor.shape == (3,)


@some(0.15)
@given(files(placed=True, extras=True, odd=True))
@example(with_(ON_LINES, anchorage__placed=4, anchorage__stake__line_angle=12.0))
def test_any_installation_has_chances_that_are_numbers(file):
    """Whatever stands where; a warning is an error here. First order and samples are of one size where both are there."""
    with unsized():
        x = assemble(read(file))
    c = chance_of(x, samples=300)
    for e in (c.fails_at_gust, c.fails_with_spread):
        if e.probability is None:
            assert 0 < e.below < 1
            continue
        assert 0.0 <= e.probability <= 1.0 + 1e-9
        assert e.error is None or np.isfinite(e.error)
        if e.first_order:
            assert e.error < e.probability / 3
    assert all(np.isfinite(h.gust) and h.gust >= 0 for h in c.held)
    assert c.held[1].gust <= c.held[0].gust <= c.median


@some(0.12)
@given(files(placed=True, extras=True))
def test_the_load_cases_left_out_never_govern(file):
    x = assembled(file)
    sampler = Sampler(x, 1)
    assert sampler.audit < 1e-3
    assert 0 < len(sampler.model.base.cases.names) <= len(x.base.cases.names)


@pytest.mark.parametrize("file", [GABLE, ON_LINES, THROUGH_FEET], ids=["ballast", "lines", "feet"])
def test_more_of_it_holds_more_in_every_draw(file):
    """For counts from 5 on; stakes that are several at a point also have less spread, so the same draws are compared."""
    few, many = (Sampler(assemble(read(with_(file, anchorage__placed=n))), 1) for n in (8, 11))
    a, b = _sample(few, 800)[0], _sample(many, 800)[0]
    if file is GABLE:
        assert np.all(b >= a * (1 - 1e-12))
    assert np.median(b) > np.median(a)


def test_more_wind_fails_more_and_a_calm_never():
    sampler = Sampler(assemble(read(with_(GABLE, anchorage__placed=20))), 1)
    held, _ = _sample(sampler, 4_000)
    chances = [float((held < v).mean()) for v in (0.0, 8.0, 12.0, 16.0, 25.0, 60.0)]
    assert chances == sorted(chances)
    assert chances[0] == 0.0
    assert chances[-1] == 1.0
    spread = [float(above(held, v, 0.15 * v).mean()) for v in (0.0, 8.0, 12.0, 16.0, 25.0, 60.0)]
    assert spread == sorted(spread)
    assert spread[0] == 0.0


def test_the_seed_repeats_and_another_differs_within_its_error():
    x = assemble(read(with_(GABLE, anchorage__placed=14, wind__speed="13 m/s")))
    a, again, b = (
        chance_of(x, samples=3_000, seed=4),
        chance_of(x, samples=3_000, seed=4),
        chance_of(x, samples=3_000, seed=5),
    )
    assert (a.fails_at_gust, a.held, a.shares) == (again.fails_at_gust, again.held, again.shares)
    assert np.array_equal(a.draws, again.draws)
    assert not np.array_equal(a.draws, b.draws)
    assert 0.01 < a.fails_at_gust.probability < 0.99
    assert abs(a.fails_at_gust.probability - b.fails_at_gust.probability) < 5 * np.hypot(
        a.fails_at_gust.error, b.fails_at_gust.error
    )


def test_more_draws_begin_with_the_same_ones():
    """So that a longer run refines a shorter one, and memory at once is no part of the answer."""
    sampler = Sampler(assemble(read(with_(GABLE, anchorage__placed=14))), 1)
    short, long = _sample(sampler, BLOCK)[0], _sample(sampler, BLOCK + 700)[0]
    assert np.array_equal(short, long[:BLOCK])


def test_shares_are_shares():
    c = chance_of(assemble(read(with_(ON_LINES, anchorage__placed=3))), samples=1_500)
    shares = [s.share for s in c.shares]
    assert all(0.0 <= s <= 1.0 for s in shares)
    assert sum(shares) == pytest.approx(1.0)
    assert shares == sorted(shares, reverse=True)


@some(1.0)
@given(
    st.lists(st.tuples(st.floats(0.0, 40.0), st.floats(0.01, 9.0)), min_size=1, max_size=30),
    st.lists(st.floats(0.5, 60.0), min_size=1, max_size=40),
)
def test_any_of_the_hours_is_between_the_worst_and_all_apart(hours, draws):
    each, (low, high) = over_hours(np.array(draws), hours)
    assert max(each) - 1e-12 <= low <= high + 1e-12
    assert high <= min(1.0, sum(each)) + 1e-9
    assert high <= 1.0 - np.prod([1 - p for p in each]) + 1e-9
