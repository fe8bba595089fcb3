"""What holds, whatever it is: more never hurts, no case knows of another, halves make a whole, shares add up."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import assume, example, given
from hypothesis import strategies as st
from strategies import (
    EVERY_FOOT,
    KINDS_HELD,
    Q,
    files,
    number,
    points,
    read,
    some,
    stand,
    wind_ratios,
    with_,
    worst_ratio,
)

from anchorage.checks.checks import limits, ratio, ratios
from anchorage.checks.footprint import base, held
from anchorage.checks.installation import shape_of
from anchorage.core.closed import FACES
from anchorage.formulas.demand import frame_factors, load_cases
from anchorage.formulas.lines import one_reach, reach_each
from anchorage.loads.pressures import panels

BY_KIND = pytest.mark.parametrize("kind", KINDS_HELD)
SEED = st.integers(0, 2**32 - 1)


def per_case(found):
    """q of every check that grows with the wind, by case."""
    return {f.name: f.q for f in found if not f.fixed}


@BY_KIND
def test_more_at_a_point_never_raises_a_ratio(kind):
    @some(0.3)
    @given(files(kinds=(kind,), placed=True, least=1, uses=EVERY_FOOT), SEED)
    def more(file, seed):
        x = stand(file)
        rng = np.random.default_rng(seed)
        grown = x.counts + rng.integers(0, 4, x.counts.shape) * rng.integers(0, 2, x.counts.shape)
        before, after = wind_ratios(x), wind_ratios(x, grown)
        for name, r in before.items():
            assert after[name] <= r * (1 + 1e-12), name

    more()


@BY_KIND
def test_a_stake_or_bag_where_there_was_none_never_raises_the_worst_ratio(kind):
    """A line in the lee adds to the push on the others, but only above the wind at which its point would lift without it.

    On lines the shelter is weightless here: one that friction holds needs no line, but a line that stands is asked for
    its share all the same, and one that is too weak for it fails.
    """

    @some(0.3)
    @given(files(kinds=(kind,), placed=True), SEED)
    def more(file, seed):
        if kind in ("lines", "blocks"):
            file["shelter"]["mass"] = None
        x = stand(file)
        rng = np.random.default_rng(seed)
        some_ = x.counts * rng.integers(0, 2, x.counts.shape)
        q = x.wind.pressure
        fewer, all_ = (worst_ratio([f for f in x.limits(c) if not f.fixed], q) for c in (some_, x.counts))
        assert all_ <= fewer * (1 + 1e-12)

    more()


@BY_KIND
def test_each_point_holds_the_uplift_of_both_models_of_the_base(kind):
    """Rigid base and frame by frame: the worse of the two counts at each point, on lines as on the foot."""

    @some(0.3)
    @given(files(kinds=(kind,), placed=True, least=1, uses=EVERY_FOOT))
    def both(file):
        x = stand(file)
        b, h, gamma = x.base, x.held(), x.factors.wind
        vertical = h.ballast + h.tension * np.sin(h.angle) + h.axial
        on = b.frame >= 0
        foot = h.shelter * b.frame_weight[b.frame[on]] / 2
        models = [(h.own + vertical, b.shares.rigid), (foot + vertical[..., on], b.shares.frame[:, on])]
        rigid, frame = (
            np.divide(hold + 0 * up, gamma * up, out=np.full_like(up, np.inf), where=up > 0).min()
            for hold, up in models
        )
        met = min(float(f.q.min()) for f in x.limits() if not f.fixed)
        assert met <= rigid * (1 + 1e-12)
        assert met <= frame * (1 + 1e-12)

    both()


@some(0.5)
@given(files(placed=True, odd=True), number(0.01, 1.0))
def test_less_friction_never_helps(file, share):
    """Down to a hundredth: with none at all, a lift without a push is no longer a slide."""
    x = stand(file)
    now = x.held()
    slippery = limits(x.base, replace(now, friction=share * now.friction, foot=share * now.foot), x.factors)
    for f, s in zip(limits(x.base, now, x.factors), slippery, strict=True):
        assert ratio(s, x.wind.pressure) >= ratio(f, x.wind.pressure) * (1 - 1e-12), f.name


@some(0.5)
@given(files(placed=True, odd=True), st.integers(0, 30), st.booleans(), number(0.05, 0.95))
def test_one_slipperier_contact_never_helps(file, which, under_ballast, share):
    """Not even that of a foot with next to nothing on it, which uplift could have robbed first."""
    x = stand(file)
    now, name = x.held(), "friction" if under_ballast else "foot"
    values = getattr(now, name) * np.ones((1, len(x.base.ids)))
    values[0, which % len(x.base.ids)] *= share
    slippery = limits(x.base, replace(now, **{name: values}), x.factors)
    for f, s in zip(limits(x.base, now, x.factors), slippery, strict=True):
        assert ratio(s, x.wind.pressure) >= ratio(f, x.wind.pressure) * (1 - 1e-9), f.name


@some(0.5)
@given(files(placed=True), number(1.0, 3.0))
def test_a_heavier_shelter_never_does_worse(file, k):
    file = with_(file, shelter__mass=Q("mass", 200.0))
    light, heavy = (wind_ratios(stand(with_(file, shelter__mass=Q("mass", m)))) for m in (200.0, 200.0 * k))
    for name, r in light.items():
        assert heavy[name] <= r * (1 + 1e-12), name


@some(0.5)
@given(files(placed=True, uses=EVERY_FOOT), SEED)
def test_cases_do_not_see_each_other(file, seed):
    """Permuting the cases permutes the results, and each case alone gives what it gives in company.

    Empty, the foot to give up is chosen by the worst of all cases: there the governing ratio is held, below.
    """
    x = stand(file)
    count = len(x.base.cases.names)
    order = np.random.default_rng(seed).permutation(count)
    together, shuffled = per_case(x.limits()), per_case(x.limits(on=x.base.take(order)))
    alone = [per_case(x.limits(on=x.base.take(np.array([i])))) for i in order[:12]]
    for name, q in together.items():
        np.testing.assert_allclose(shuffled[name], q[order], rtol=1e-14, atol=0.0, err_msg=name)
        for i, one in zip(order, alone, strict=False):
            np.testing.assert_allclose(one[name][0], q[i], rtol=1e-14, atol=0.0, err_msg=name)


@some(0.5)
@given(files(placed=True), SEED)
def test_the_shares_of_shuffled_cases_are_shuffled_shares(file, seed):
    x = stand(file)
    order = np.random.default_rng(seed).permutation(len(x.base.cases.names))
    again = base(x.shape, x.base.cases.take(order), x.base.usable).shares
    for name in ("rigid", "push_rigid", "frame", "frame_uplift", "frame_push"):
        was = getattr(x.base.shares, name)
        np.testing.assert_allclose(
            getattr(again, name), was[order], rtol=1e-13, atol=1e-14 * np.abs(was).max()
        )


@some(0.5)
@given(files(placed=True), SEED)
def test_another_case_never_lowers_the_governing_ratio(file, seed):
    x = stand(file)
    rng = np.random.default_rng(seed)
    count = len(x.base.cases.names)
    few = x.base.take(rng.permutation(count)[: rng.integers(1, count + 1)])
    q = x.wind.pressure
    assert worst_ratio(x.limits(on=few), q) <= worst_ratio(x.limits(), q) * (1 + 1e-12)


@some(0.3)
@given(files(placed=True, bearing=True))
def test_a_bearing_never_asks_more_than_all_of_them(file):
    x = stand(file)
    q = x.wind.pressure
    assert worst_ratio(x.limits(), q) <= worst_ratio(x.limits(on=x.everywhere), q) * (1 + 1e-12)


@BY_KIND
def test_many_counts_at_once_are_the_counts_one_by_one(kind):
    @some(0.1)
    @given(files(kinds=(kind,), placed=True), SEED)
    def many(file, seed):
        x = stand(file)
        b = x.base.holding(x.usable)

        def found(counts):
            return per_case(limits(b, held(x.hard, x.factors, counts, x.shelter_mass), x.factors))

        several = np.random.default_rng(seed).integers(0, 9, (3, 2, len(x.counts)))
        together = found(several)
        for at in np.ndindex(3, 2):
            for name, q in found(several[at]).items():
                shape = (3, 2, *q.shape)
                np.testing.assert_allclose(
                    np.broadcast_to(together[name], shape)[at], q, rtol=1e-14, err_msg=name
                )

    many()


@some(0.3)
@given(files(placed=True), st.lists(number(0.0, 3000.0), min_size=1, max_size=20))
def test_many_pressures_at_once_are_the_pressures_one_by_one(file, pressures):
    found = stand(file).limits()
    together = ratios(found, np.array(pressures))
    for f in (f for f in found if not f.fixed):
        one_by_one = [ratio(f, q) for q in pressures]
        np.testing.assert_allclose(together[f.name], one_by_one, rtol=1e-14, err_msg=f.name)


@some(0.4)
@given(files(kinds=("ballast",), placed=True), st.sampled_from([2, 4]))
def test_a_bag_split_in_halves_holds_the_same(file, parts):
    """The mass is one that halves exactly, so the ratios are the very same numbers."""
    placed = file["anchorage"]["placed"]
    more = {i: parts * n for i, n in placed.items()} if isinstance(placed, dict) else parts * placed
    whole = with_(file, anchorage__unit_mass=Q("mass", 24.0))
    split = with_(file, anchorage__unit_mass=Q("mass", 24.0 / parts), anchorage__placed=more)
    assert wind_ratios(stand(split)) == pytest.approx(wind_ratios(stand(whole)), rel=1e-14)


# Shares of points and frames


@some(0.5)
@given(files(placed=True))
def test_the_points_of_a_rigid_base_hold_uplift_and_moment(file):
    """All of them holding; one that holds nothing leaves each of the others the worse of two models."""
    x = stand(file)
    b = x.base.holding(x.usable)
    np.testing.assert_allclose(b.shares.rigid.sum(-1), b.cases.uplift[:, 0], rtol=1e-12, atol=1e-12)
    np.testing.assert_allclose(b.shares.rigid @ b.xy, b.cases.moment, rtol=1e-12, atol=1e-11)


@some(0.3)
@given(files(placed=True))
def test_the_push_on_the_points_is_the_least_that_balances(file):
    """Equal springs in plan share a force and a twist so that the sum of squares is least: solved here by numpy.

    A foot that holds nothing is given no share at all, and none of the others less for it.
    """
    x = stand(file)
    b = x.base.holding(x.usable)
    c, xy = b.cases, b.xy
    n = len(xy)
    ones, none = np.ones(n), np.zeros(n)
    balance = np.array([[*ones, *none], [*none, *ones], [*-xy[:, 1], *xy[:, 0]]])
    bearing = np.deg2rad(c.bearing)
    toward = np.array([np.cos(bearing), -np.sin(bearing)])  # outward of the face that the wind meets
    off = c.eccentricity[:, 0] * np.array([-toward[1], toward[0]])
    twist = c.twist[:, 0] + off[0] * c.push[:, 1] - off[1] * c.push[:, 0]
    forces = np.linalg.pinv(balance) @ np.array([c.push[:, 0], c.push[:, 1], twist])
    springs = np.hypot(forces[:n], forces[n:]).T
    np.testing.assert_allclose(b.shares.push_rigid, springs, rtol=1e-9, atol=1e-9)
    left = x.base.usable
    if 3 <= left.sum() < n:
        assert (x.base.shares.push_rigid[:, ~left] == 0).all()
        assert (x.base.shares.push_rigid[:, left] >= springs[:, left] * (1 - 1e-9) - 1e-9).all()


@some(0.5)
@given(files(placed=True))
def test_the_frames_carry_the_whole_of_a_wind_across_the_ridge(file):
    x = stand(file)
    b = x.base.holding(x.usable)
    across = b.cases.across
    s, c = b.shares, b.cases
    np.testing.assert_allclose(s.frame_uplift[across].sum(-1), c.uplift[across, 0], rtol=1e-12, atol=1e-12)
    np.testing.assert_allclose(s.frame_push[across].sum(-1), c.push[across, 1], rtol=1e-12, atol=1e-12)
    on = b.frame >= 0
    np.testing.assert_allclose(
        s.frame[across][:, on] @ b.xy[on, 1], c.moment[across, 1], rtol=1e-11, atol=1e-10
    )
    np.testing.assert_allclose(s.frame[across].sum(-1), c.uplift[across, 0], rtol=1e-11, atol=1e-10)


@given(st.lists(number(0.05, 0.95), max_size=4, unique=True), number(1.0, 30.0), number(-0.166, 0.166))
@example([], 10.0, 0.15)
@example([0.25, 0.5, 0.75], 10.0, -0.15)
def test_frames_share_a_load_that_is_off_the_middle(inner, length, off):
    """Against a sum over 200,000 slices, each carried by the nearest frame."""
    assume(all(abs(a - b) > 1e-3 for a in inner for b in inner if a != b))
    x = length * (np.array([0.0, *inner, 1.0]) - 0.5)
    e = off * length
    found = frame_factors(x, length, np.array([[e], [0.0]]))
    slices = length * ((np.arange(200_000) + 0.5) / 200_000 - 0.5)
    density = (1 + 12 * e * slices / length**2) / 200_000
    assert density @ slices == pytest.approx(e, rel=1e-6, abs=1e-6)
    ranked = np.sort(x)
    nearest = np.searchsorted((ranked[1:] + ranked[:-1]) / 2, slices)
    np.testing.assert_allclose(found[0][np.argsort(x)], np.bincount(nearest, density, len(x)), atol=2e-5)
    np.testing.assert_allclose(found.sum(-1), 1.0, rtol=1e-12)
    assert (found >= 0).all()


@given(st.integers(2, 12), number(1.0, 30.0), number(-0.15, 0.15))
def test_even_frames_are_given_no_less_twist_than_there_is(count, length, off):
    """Each strip is put on its frame, a little outside its own middle: by 1 + 1/(2(f-1)²), on the safe side."""
    x = np.linspace(length / 2, -length / 2, count)
    first = frame_factors(x, length, np.array([[off * length]]))[0] @ x
    assert first == pytest.approx(off * length * (1 + 0.5 / (count - 1) ** 2), rel=1e-9, abs=1e-12)


# The wind at which a line is full

PIECES = st.lists(
    st.tuples(number(0.0, 5.0), st.one_of(number(0.0, 100.0), st.just(np.inf))), min_size=1, max_size=6
)


@some(3.0)
@given(number(0.0, 5.0), PIECES, number(0.0, 500.0))
@example(0.0, [(1.0, 5.0)], 0.0)
@example(1.0, [(1.0, 10.0), (2.0, 10.0)], 10.0)
@example(0.0, [(0.0, 1.0)], 3.0)
@example(2.0, [(0.0, 0.0), (3.0, np.inf)], 8.0)
def test_the_first_reach_is_what_halving_finds(slope, pieces, target):
    slopes, starts = (np.array(p) for p in zip(*pieces, strict=True))

    def load(q):
        with np.errstate(invalid="ignore"):
            return slope * q + np.where(np.isfinite(starts), slopes * np.maximum(q - starts, 0.0), 0.0).sum()

    found = float(reach_each(np.array(slope), slopes, starts, np.array([target]))[0])
    if len(pieces) == 1:
        assert float(one_reach(np.array(slope), slopes[0], starts[0], target)) == pytest.approx(
            found, rel=1e-12
        )
    if load(1e9) <= target:
        rising = slope > 0 or np.any((slopes > 0) & np.isfinite(starts))
        assert not rising or found > 1e6
        return
    low, high = 0.0, 1e9
    for _ in range(200):
        middle = (low + high) / 2
        low, high = (low, middle) if load(middle) > target else (middle, high)
    assert found == pytest.approx(low, rel=1e-9, abs=1e-9)


@given(SEED)
def test_the_first_reach_of_an_array_is_that_of_its_items(seed):
    rng = np.random.default_rng(seed)
    shape = (3, 4)
    slope, target = rng.uniform(0, 3, shape), rng.uniform(-1, 50, (*shape, 2))
    slopes, starts = rng.uniform(0, 3, (*shape, 5)), rng.uniform(0, 30, (*shape, 5))
    starts[rng.uniform(size=starts.shape) < 0.2] = np.inf
    slopes[rng.uniform(size=slopes.shape) < 0.2] = 0.0
    together = reach_each(slope, slopes, starts, target)
    for i in np.ndindex(shape):
        for k in range(2):
            assert reach_each(slope[i], slopes[i], starts[i], target[i][k : k + 1])[0] == together[i][k]


@some(0.3)
@given(files(placed=True), number(0.01, 0.9))
def test_another_set_of_openings_only_adds_cases(file, gcpi):
    """Openings as they stand and shut: both are tried, and the worse of them counts."""
    d = read(file)
    shape = shape_of(d.shelter)
    loaded = {f: panels(shape, f, dict.fromkeys(FACES, 1.0)) for f in FACES}
    widths = {f: shape.length if f in ("left", "right") else shape.width for f in FACES}
    one, two = (
        base(shape, load_cases(loaded, widths, 1.0, inside, 0.75, 0.15, 0.75))
        for inside in ({"standing": 0.18}, {"standing": 0.18, "shut": gcpi})
    )
    x = stand(file)
    q = x.wind.pressure
    assert len(two.cases.names) == 2 * len(one.cases.names)
    assert worst_ratio(x.limits(on=one), q) <= worst_ratio(x.limits(on=two), q)
    assert len(points(file)) == len(x.base.ids)
