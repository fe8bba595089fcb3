"""Chances against closed forms, scipy, openturns and published test functions. Grade: university texts and libraries."""

from pathlib import Path

import numpy as np
import openturns as ot
import pytest
from limit_states import ORDER, openturns_event
from scipy import stats
from strategies import GABLE, ON_LINES, Q, read, with_

from anchorage.chance import uncertain
from anchorage.chance.chance import Sampler, _first_order, _quantile, _sample, above, chance_of, tail_of
from anchorage.chance.normal import chi_square_of, normal_cdf
from anchorage.chance.rare import design_point, tail
from anchorage.chance.uncertain import ONES, Model, mean_of, middle
from anchorage.checks.checks import limits
from anchorage.checks.installation import assemble
from anchorage.core import tables
from anchorage.demo import demo_text
from anchorage.deployment.reader import read_file, read_text
from anchorage.holding import ground

DEMO = Path(__file__).parents[2] / "anchorage" / "demo" / "asphalt.toml"


def test_the_normal_distribution_is_that_of_scipy():
    z = np.concatenate([np.linspace(-37.5, 8.5, 3001), [-6.0005, -3.00049]])
    np.testing.assert_allclose(normal_cdf(z), stats.norm.cdf(z), rtol=2e-7)
    assert normal_cdf(np.array([-50.0]))[0] == 0.0


@pytest.mark.parametrize(("gust", "error"), [(20.0, 3.0), (2.0, 2.0), (9.0, 1.35)])
def test_a_gust_cut_at_zero_is_the_truncated_normal_of_scipy(gust, error):
    limit = np.array([0.5, 4.0, 12.0, 25.0])
    exact = stats.truncnorm(-gust / error, np.inf, loc=gust, scale=error).sf(limit)
    np.testing.assert_allclose(above(limit, gust, error), exact, rtol=1e-6)


@pytest.mark.parametrize("beta", [2.0, 3.5, 5.0])
def test_a_linear_margin_gives_the_closed_form(beta):
    """R - S of normal R and S: P = Φ(-β), β = (μR - μS)/√(σR² + σS²) (any text on reliability; Cornell's index)."""

    def margin(u):
        r, s = 10.0 + 1.2 * u[:, 0], 10.0 - beta * np.hypot(1.2, 0.9) + 0.9 * u[:, 1]
        return (r - s)[:, None]

    t = tail(margin, 2, 1, 40_000, 3)
    exact = stats.norm.cdf(-beta)
    assert t.beta == pytest.approx(beta, rel=1e-4)
    assert t.first_order == pytest.approx(exact, rel=1e-3)
    assert abs(t.probability - exact) < 4 * t.error
    assert t.error < 0.03 * exact


def test_two_ways_to_fail_far_apart_are_both_found():
    """Two half planes on opposite sides: P = 2Φ(-3.8), to within the correlation of nothing."""

    def margin(u):
        return np.stack([3.8 - u[:, 0], 3.8 + u[:, 0]], axis=-1)

    t = tail(margin, 3, 2, 40_000, 5)
    assert abs(t.probability - 2 * stats.norm.cdf(-3.8)) < 4 * t.error
    assert t.error < 0.05 * t.probability


def test_a_curved_margin_is_corrected_by_the_samples():
    """β² = Σu² beyond a circle: P = exp(-r²/2) in two dimensions, which first order misses by a factor."""

    def margin(u):
        return (3.5 - np.hypot(u[:, 0] + 1e-6, u[:, 1]))[:, None]

    t = tail(margin, 2, 1, 200_000, 1)
    assert abs(t.probability - np.exp(-(3.5**2) / 2)) < 5 * t.error


def test_the_design_point_is_that_of_openturns():
    """R³ - 3S as openturns' own FORM finds it."""
    g = ot.SymbolicFunction(["u", "v"], ["exp(2.3 + 0.25*u) - 4*(1 + 0.3*v)^2"])
    law = ot.JointDistribution([ot.Normal()] * 2)
    event = ot.ThresholdEvent(ot.CompositeRandomVector(g, ot.RandomVector(law)), ot.Less(), 0.0)
    solver = ot.FORM(ot.AbdoRackwitz(), event, [0.0, 0.0])
    solver.run()
    ours = design_point(lambda u: np.exp(2.3 + 0.25 * u[:, 0]) - 4 * (1 + 0.3 * u[:, 1]) ** 2, 2)
    theirs = np.array(solver.getResult().getStandardSpaceDesignPoint())
    np.testing.assert_allclose(ours, theirs, atol=5e-3)


@pytest.mark.parametrize("tests", [(800.0, 950.0, 1020.0), (500.0, 900.0, 700.0, 650.0, 820.0)])
def test_an_untested_stake_after_few_tests_follows_student(tests):
    """Posterior predictive of a normal of unknown mean and spread: m + s·√(1 + 1/n)·t(n - 1) (Box & Tiao)."""
    rng = np.random.default_rng(2)
    n, size = len(tests), 400_000
    mix = rng.chisquare(n - 1, size) / (n - 1)
    found = uncertain.tested_factor(
        tests, 0.01, rng.standard_normal((size, 1)), rng.standard_normal((size, 1)), mix
    )
    logs = np.log(tests)
    z = (np.log(found[:, 0] * np.mean(tests)) - logs.mean()) / (logs.std(ddof=1) * np.sqrt(1 + 1 / n))
    for p in (0.01, 0.05, 0.5, 0.9):
        assert np.mean(z < stats.t(n - 1).ppf(p)) == pytest.approx(p, abs=4 * np.sqrt(p * (1 - p) / size))


def test_the_table_of_student_is_that_of_scipy():
    for row in tables.table("student-95").rows:
        assert row.value == pytest.approx(stats.t(row.at["freedom"]).ppf(0.95), abs=5e-5)


@pytest.mark.parametrize("tests", [(800.0, 950.0, 1020.0), (500.0, 900.0, 700.0, 650.0, 820.0)])
def test_the_bound_of_few_tests_is_that_of_student(tests):
    """And one in twenty of the stakes that are drawn stands less."""
    logs, n = np.log(tests), len(tests)
    exact = np.exp(logs.mean() - stats.t(n - 1).ppf(0.95) * logs.std(ddof=1) * np.sqrt(1 + 1 / n))
    bound = uncertain.tested_bound(tests, 0.01)
    assert bound == pytest.approx(exact, rel=1e-4)
    rng = np.random.default_rng(6)
    mix = rng.chisquare(n - 1, 200_000) / (n - 1)
    u = rng.standard_normal((2, 200_000, 1))
    drawn = uncertain.tested_factor(tests, 0.01, u[0], u[1], mix)[:, 0] * np.mean(tests)
    assert np.mean(drawn < bound) == pytest.approx(0.05, abs=0.002)
    assert uncertain.tested_bound((600.0,) * n, 0.1) < 600.0


def test_first_order_shares_are_those_of_ishigami():
    """Ishigami & Homma (1990), a = 7, b = 0.1: S1 = 0.3139, S2 = 0.4424, S3 = 0 (Saltelli and others print these)."""
    rng = np.random.default_rng(4)
    x = rng.uniform(-np.pi, np.pi, (100_000, 3))
    y = np.sin(x[:, 0]) + 7 * np.sin(x[:, 1]) ** 2 + 0.1 * x[:, 2] ** 4 * np.sin(x[:, 0])
    found = [_first_order(x[:, k], y) for k in range(3)]
    assert found == pytest.approx([0.3139, 0.4424, 0.0], abs=0.015)


def test_a_quantile_and_its_error_are_those_of_a_known_law():
    rng = np.random.default_rng(8)
    found = [_quantile(rng.lognormal(3.0, 0.2, 20_000), 0.95) for _ in range(60)]
    exact = float(stats.lognorm(0.2, scale=np.exp(3.0)).ppf(0.05))
    gusts = np.array([h.gust for h in found])
    assert gusts.mean() == pytest.approx(exact, rel=2e-3)
    assert np.mean([h.error for h in found]) == pytest.approx(gusts.std(), rel=0.35)


@pytest.fixture(scope="module")
def asphalt():
    return Sampler(assemble(read_file(DEMO)), 1)


def test_openturns_finds_the_same_probability_on_the_same_limit_states(asphalt):
    """Plain Monte Carlo by openturns, limit states typed anew in this test; the shelter's loads are those of the model."""
    sampler = asphalt
    assert [s.key for s in sampler.model.spreads] == list(ORDER)
    gust, n = 16.0, 40_000
    f, law = openturns_event(sampler.model, gust)
    ot.RandomGenerator.SetSeed(7)
    theirs = float(np.mean(np.asarray(f(law.getSample(n))).min(axis=1) < 0))
    held, _ = _sample(sampler, n)
    ours = float(np.mean(held < gust))
    assert 0.02 < ours < 0.5
    assert abs(ours - theirs) < 3 * np.sqrt(ours * (1 - ours) / n * 2)


def test_every_limit_state_agrees_draw_by_draw(asphalt):
    """The sign of the least limit state of openturns is that of gust held against gust, for one and the same draws."""
    sampler = asphalt
    model, gust = sampler.model, 17.5
    f, _ = openturns_event(model, gust)
    u = np.random.default_rng(5).standard_normal((3_000, model.width))
    by = {s.key: s for s in model.spreads}
    factors = np.column_stack([by[k].factor(u)[:, 0] for k in ORDER])
    fails = np.asarray(f(factors)).min(axis=1) < 0
    ours = sampler.gusts(u).min(axis=1) < gust
    assert 200 < fails.sum() < 2_800
    assert np.array_equal(fails, ours)


def test_a_small_chance_by_importance_sampling_is_that_of_plain_counting(asphalt):
    """Where both can be had: 100,000 plain draws against 15,000 about the design points."""
    sampler = asphalt
    gust = 13.2
    held, _ = _sample(sampler, 100_000)
    plain = float(np.mean(held < gust))
    t = tail_of(sampler, gust, 0.0, 15_000)
    assert 1e-4 < plain < 1e-2
    assert abs(plain - t.probability) < 4 * np.hypot(t.error, np.sqrt(plain / 100_000))
    assert t.error < 0.05 * t.probability


def test_with_no_spread_at_all_it_holds_what_the_checks_say_at_the_mean():
    """All draws at 0 and lognormal factors at their median: the checks themselves with margins at 1."""
    for file in (GABLE, ON_LINES):
        x = assemble(read(with_(file, anchorage__placed=20, margins__set="own", margins__wind=1.0, margins__shelter=1.0,
                                margins__ballast=1.0, margins__friction=1.0, margins__stake=1.0, margins__line=1.0,
                                margins__level="service", margins__source="this test")))  # fmt: skip
        model = Model(x)
        plain = {f.name: float(f.q.min()) for f in x.limits() if not f.fixed}
        at_mean = limits(x.base, model.mean.held, ONES)
        assert {f.name: float(f.q.min()) for f in at_mean if not f.fixed} == pytest.approx(plain, rel=1e-12)
        outside, inside = model.outside, model.inside
        np.testing.assert_allclose(outside.uplift + inside.uplift, x.base.cases.uplift, atol=1e-9)
        np.testing.assert_allclose(outside.moment + inside.moment, x.base.cases.moment, atol=1e-9)
        np.testing.assert_allclose(outside.push + inside.push, x.base.cases.push, atol=1e-9)
        np.testing.assert_allclose(outside.twist + inside.twist, x.base.cases.twist, atol=1e-9)


def test_the_rating_of_the_maker_bounds_what_it_holds():
    rating = {"gust_unlocked": Q("speed", 9.0), "gust_locked": Q("speed", 9.0)}
    x = assemble(
        read(with_(GABLE, anchorage__placed=60, shelter__rating=rating, wind__speed=Q("speed", 10.0)))
    )
    c = chance_of(x, samples=2_000)
    assert c.fails_at_gust.probability == 1.0
    assert c.held[0].gust == c.held[1].gust == c.cap == pytest.approx(9.0)
    assert "rating" in c.cap_by
    assert c.alone[0].gust > 10.0


@pytest.mark.parametrize("freedom", [2, 3, 4, 7, 12])
def test_a_chi_square_of_a_normal_is_that_of_scipy(freedom):
    u = np.linspace(-6.5, 5.0, 47)
    low, high = stats.chi2(freedom).ppf(stats.norm.cdf(u)), stats.chi2(freedom).isf(stats.norm.sf(u))
    np.testing.assert_allclose(chi_square_of(u, freedom), np.where(u > 0, high, low), rtol=1e-5)


def test_few_pull_tests_have_a_tail_and_it_is_found():
    """Three tests: Student's t with 2 degrees. Counting 10,000 draws against samples about the design points."""
    sampler = Sampler(assemble(read_file(DEMO.with_name("clay.toml"))), 1)
    gust = 6.7
    held, _ = _sample(sampler, 10_000)
    counted = float(np.mean(held < gust))
    t = tail_of(sampler, gust, 0.15 * gust, 4_000)
    spread_out = float(above(held, gust, 0.15 * gust).mean())
    assert 1e-3 < counted < 1e-2
    assert abs(t.probability - spread_out) < 4 * np.hypot(t.error, np.sqrt(counted / 10_000))
    assert t.error < 0.1 * t.probability
    assert 0.2 < t.first_order / t.probability < 5


def test_a_speed_at_strength_level_is_the_same_wind():
    """A strength-level speed and the service gust that goes with it hold the same gust in every draw."""
    asd = {"margins": {"set": "asd"}}
    file = with_(GABLE | asd, anchorage__placed=30, wind__method="asce7-22", wind__code_minimum=False)
    strength = assemble(read(with_(file, wind__speed=Q("speed", 20.0), wind__level="strength")))
    service = assemble(read(with_(GABLE, anchorage__placed=30, wind__method="asce7-22", wind__code_minimum=False,
                                  wind__level="service", wind__speed=Q("speed", strength.wind.gust))))  # fmt: skip
    a, b = (_sample(Sampler(x, 1), 500)[0] for x in (strength, service))
    np.testing.assert_allclose(a, b, rtol=1e-9)


def test_a_mean_is_that_of_the_row_that_was_used_and_of_no_other_of_the_same_figure(monkeypatch):
    """A row that is looked up beside it, of the same value and another range, changes nothing."""
    d = read_text(demo_text("asphalt"), "demo")
    plain = mean_of(assemble(d))
    (row,) = {r.key: r for h in plain.hard if (r := h.rows.under) is not None}.values()
    beside = row.model_copy(update={"key": "beside", "low": row.value / 2, "high": row.value})
    was = ground.frame_friction

    def twice(s, notes):
        tables.used(beside)
        return was(s, notes)

    monkeypatch.setattr("anchorage.holding.hardware.frame_friction", twice)
    assert mean_of(assemble(d)).friction.tolist() == plain.friction.tolist()
    assert plain.friction.tolist() == [middle(row)] * len(plain.hard)
