"""Probability that an installation holds, by drawing what is uncertain and running the same checks on every draw.

Never used by ``check``; never makes a go. What is drawn stands in :mod:`anchorage.chance.uncertain`.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, field, replace

import numpy as np
from numpy.typing import NDArray

from anchorage.chance.normal import normal_cdf
from anchorage.chance.rare import Tail, tail
from anchorage.chance.uncertain import ONES, Model, Spread, tested_bound
from anchorage.checks.checks import limits
from anchorage.checks.installation import Installation
from anchorage.core import tables
from anchorage.core.checked import What
from anchorage.core.errors import NotModelledError
from anchorage.core.say import later, say
from anchorage.holding.stakes import Basis
from anchorage.judging.verdict import bounds

Floats = NDArray[np.float64]
CELLS = 100_000
"""Draws x load cases x points that are worked on at once: bounds the memory."""
BLOCK = 4096
"""Draws that share a seed, whatever is worked on at once."""
SCREEN = 512
TOLD = 1e-3
"""Difference of a gust at which all load cases are run."""
KEPT = 100_000
"""Draws kept for the shares of the variance."""
AGAIN = 5_000
"""Draws run a second time for the share of a quantity that differs from point to point."""
SMALL = 1e-3
"""Below it a plain count is not believed."""
FEW = 100
"""Failures in the sample below which a plain count is not believed either."""
MOST_SHIFTED = 20_000
"""Draws of importance sampling: their error is a hundredth of the chance or so, and more do not help."""
SHIFTED = later("importance sampling")
CLOSED = later("counted, the gust's own spread in closed form")
APART = 3.0
"""Standard errors between a count and importance sampling beyond which they disagree."""
BINS = 40
OUTER = 0.01
"""Share of the draws on either side that is pulled in before variances are taken: with few pull tests the variance of
the whole has no bound."""
HIGHEST = 1e3
"""m/s, stands for a gust that nothing meets."""


@dataclass(frozen=True)
class Estimate:
    """A probability with its standard error, and how it was found: counted, or by importance sampling with its check.

    Where nothing failed and nothing better was found, both are None and ``below`` is what it is less than, at 95 %. Where counting
    and importance sampling do not agree within their errors, it is the larger, and ``disagrees`` the other.
    """

    probability: float | None
    error: float | None
    method: str
    below: float | None = None
    beta: float | None = None
    first_order: float | None = None
    disagrees: float | None = None


@dataclass(frozen=True)
class Share:
    """Part of the variance of ln(gust held / gust) that one quantity brings by itself."""

    key: str
    label: str
    share: float


@dataclass(frozen=True)
class HeldGust:
    """A gust (m/s) held with a chance, and the standard error of the gust."""

    chance: float
    gust: float
    error: float


@dataclass(frozen=True)
class Chance:
    """What was found. Probabilities are of failing: that the gust passes what it holds."""

    gust: float
    """m/s, the gust given."""
    gust_spread: float
    """Standard deviation of the forecast gust (m/s)."""
    fails_at_gust: Estimate
    """The gust taken as it stands."""
    fails_with_spread: Estimate
    """The gust as a forecast with its error."""
    held: tuple[HeldGust, ...]
    median: float
    shares: tuple[Share, ...]
    spreads: tuple[Spread, ...]
    samples: int
    seed: int
    audit: float
    """Largest relative difference between all load cases and those that were run, over a sample."""
    cap: float
    """Gust (m/s) above which it does not hold whatever the anchorage does; inf where not known."""
    cap_by: str
    """What the cap is."""
    alone: tuple[HeldGust, ...]
    """The same gusts of the anchorage alone."""
    tested: float | None
    """Pull (N) that another stake stands with a chance of 95 in 100, by the pull tests; None where they do not count."""
    rows: tuple[tables.Row, ...]
    draws: Floats = field(repr=False)
    """Gust held in each draw (m/s), (N,)."""


class Sampler:
    """Gusts that drawn installations hold, on the load cases that can govern."""

    def __init__(self, x: Installation, seed: int) -> None:
        self.x, self.seed = x, seed
        caps = [b for b in bounds(x) if b.check.what is not What.POLICY]
        least = min(caps, key=lambda b: b.gust, default=None)
        self.cap, self.cap_by = (math.inf, "") if least is None else (least.gust, least.check.limits)
        everything = Model(x)
        rng = np.random.default_rng(np.random.SeedSequence(seed, spawn_key=(0,)))
        u = 1.5 * rng.standard_normal((SCREEN, everything.width))
        u[0] = 0.0
        keep = _screen(everything, u)
        self.model = Model(x, keep)
        self.audit = self._compare(everything, rng)
        if self.audit > TOLD:
            self.model, self.audit = everything, 0.0
        self.ways = self.gusts(np.zeros((1, everything.width))).shape[1]

    @property
    def rows(self) -> int:
        """Draws at once."""
        c, n = len(self.model.base.cases.names), len(self.x.base.ids)
        return int(np.clip(CELLS // (c * n), 16, 1 << 16))

    def _compare(self, everything: Model, rng: np.random.Generator) -> float:
        """Largest difference of a gust between these load cases and all of them, as a share of it; 1 where only these hold."""
        u = rng.standard_normal((SCREEN // 2, everything.width))
        some = self.gusts(u).min(axis=1)
        whole = np.concatenate([_gusts(everything, u[i : i + 32]).min(axis=1) for i in range(0, len(u), 32)])
        more = np.where(some > 0, 1.0, 0.0)
        return float(np.max(np.where(whole > 0, np.abs(some / np.where(whole > 0, whole, 1.0) - 1.0), more)))

    def gusts(self, u: Floats) -> Floats:
        """Gust (m/s) at which each check is met at each of its items, (N, ways)."""
        return np.concatenate([_gusts(self.model, u[i : i + self.rows]) for i in range(0, len(u), self.rows)])


def _gusts(model: Model, u: Floats) -> Floats:
    x = model.x
    drawn = model.draw(u)
    found = [f for f in limits(drawn.base, drawn.held, ONES) if not f.fixed]
    q = np.concatenate([np.broadcast_to(f.q.min(axis=-2), (len(u), f.q.shape[-1])) for f in found], axis=-1)
    # of a strength-level speed the factor on wind is in q over the square of the service gust
    gamma = x.factors.wind if x.deployment.wind.level == "strength" else 1.0
    per = drawn.pressure_factor[:, None] * x.wind.pressure_per_gust_squared * gamma
    return np.minimum(np.sqrt(q / per), HIGHEST) / drawn.gust_factor[:, None]


def _screen(model: Model, u: Floats) -> NDArray[np.int_]:
    """The load cases that give the least of any check in any of some wide draws."""
    keep: set[int] = set()
    for i in range(0, len(u), 32):
        drawn = model.draw(u[i : i + 32])
        for f in limits(drawn.base, drawn.held, ONES):
            if f.fixed:
                continue
            least = f.q.min(axis=-1)
            at = least <= least.min(axis=-1, keepdims=True) * (1 + 1e-9)
            real = np.isfinite(least.min(axis=-1, keepdims=True))
            keep |= set(np.flatnonzero((at & real).any(axis=tuple(range(at.ndim - 1)))).tolist())
    return np.array(sorted(keep) or [0])


def chance_of(
    x: Installation, *, samples: int = 20_000, seed: int = 1, gust_spread: float | None = None
) -> Chance:
    """Chances of an installation. samples: draws; gust_spread: standard deviation of the forecast gust (m/s).

    Raises ``NotModelledError`` where no number of units was enough, since then there is nothing to draw.
    """
    if x.sized is not None and x.sized.counts is None:
        raise NotModelledError(
            say("chance: nothing holds this, so there is nothing to draw: see anchorage check")
        )
    with tables.collect() as rows:
        sampler = Sampler(x, seed)
        gust_row = tables.row("spread", "gust")
        model = sampler.model
        tests = model.mean.tests
        least = next((s.size for s in sampler.model.spreads if s.key == "pull-test-least"), 0.0)
        goes_before = tests and model.mean.where(Basis.TEST, Basis.GREATER).any() and min(tests) > 0
        tested = tested_bound(tests, least) if goes_before else None
    gust = x.wind.gust
    spread = gust_row.value * gust if gust_spread is None else gust_spread
    held, first = _sample(sampler, samples)
    capped = np.minimum(held, sampler.cap)
    exact = _counted(capped < gust)
    with_spread = _mean(above(capped, gust, spread))
    if gust > 0 and sampler.cap > gust:
        exact = _believed(sampler, exact, gust, 0.0, samples)
        if sampler.cap > gust + 5 * spread:
            with_spread = _believed(sampler, with_spread, gust, spread, samples)
    with_spread = _countable(with_spread, samples)
    return Chance(
        gust=gust, gust_spread=spread, fails_at_gust=exact, fails_with_spread=with_spread,
        held=tuple(_quantile(capped, c) for c in (0.95, 0.99)), median=float(np.median(capped)),
        shares=_shares(sampler, first, held[: len(first)], spread / gust if gust > 0 else 0.0, gust_row),
        spreads=tuple(sampler.model.spreads), samples=samples, seed=seed, audit=sampler.audit, cap=sampler.cap, cap_by=sampler.cap_by,
        alone=tuple(_quantile(held, c) for c in (0.95, 0.99)), tested=tested,
        rows=(*dict.fromkeys(rows), *(s.row for s in sampler.model.spreads)), draws=held,
    )  # fmt: skip


def _sample(sampler: Sampler, samples: int) -> tuple[Floats, Floats]:
    """Gust held in each draw, (N,), and the first of the draws themselves."""
    held, first, kept = np.empty(samples), [], 0
    for block, start in enumerate(range(0, samples, BLOCK)):
        n = min(BLOCK, samples - start)
        rng = np.random.default_rng(np.random.SeedSequence(sampler.seed, spawn_key=(2, block)))
        u = rng.standard_normal((n, sampler.model.width))
        held[start : start + n] = sampler.gusts(u).min(axis=1)
        if kept < KEPT:
            first.append(u[: KEPT - kept])
            kept += n
    return held, np.concatenate(first)


def _counted(failed: NDArray[np.bool_]) -> Estimate:
    n, p = len(failed), float(failed.mean())
    if not failed.any() or failed.all():
        words = say("none of {n} draws fails", n=n) if p == 0 else say("all of {n} draws fail", n=n)
        return Estimate(None if p == 0 else p, None, words, 3.0 / n if p == 0 else None)
    return Estimate(p, math.sqrt(p * (1 - p) / n), "counted")


def _mean(p: Floats) -> Estimate:
    return Estimate(float(p.mean()), float(p.std() / math.sqrt(len(p))), CLOSED)


def _countable(found: Estimate, samples: int) -> Estimate:
    """A mean that no draw in three of them carries was not counted: it says no more than that nothing failed."""
    if found.method != CLOSED or found.probability is None or found.probability >= 1.0 / samples:
        return found
    return Estimate(
        None, None, say("none of {samples} draws comes near to failing", samples=samples), 3.0 / samples
    )


def _believed(sampler: Sampler, found: Estimate, gust: float, spread: float, samples: int) -> Estimate:
    """The estimate, or by importance sampling where that is surer: where it is small, or rests on few failures.

    A count is only given up for a chance that lies within its error or comes with less of its own, and importance
    sampling is only believed with an error under a third and enough failures to carry it.
    """
    p, error = found.probability or 0.0, found.error
    rough = 0.1 if spread > 0 else 1.0 / math.sqrt(FEW)
    if p >= SMALL and (error is None or error <= rough * p):
        return found
    t = tail_of(sampler, gust, spread, samples)
    if t is None or t.hits < FEW / 3 or t.error > t.probability / 3:
        return found
    carried = error is not None and p * samples >= 1.0
    if carried and error is not None and abs(p - t.probability) > APART * math.hypot(error, t.error):
        if p >= t.probability:
            return replace(found, disagrees=t.probability)
        return Estimate(t.probability, t.error, SHIFTED, None, t.beta, t.first_order, p)
    if carried and error is not None and error <= t.error:
        return found
    if found.below is not None and t.probability - APART * t.error > found.below:
        return Estimate(t.probability, t.error, SHIFTED, None, t.beta, t.first_order, 0.0)
    return Estimate(t.probability, t.error, SHIFTED, None, t.beta, t.first_order)


def tail_of(sampler: Sampler, gust: float, spread: float, samples: int) -> Tail | None:
    """P(gust held < gust), the gust normal with a spread (m/s) where that is not 0."""
    width = sampler.model.width
    extra = 1 if spread > 0 else 0

    def margin(u: Floats) -> Floats:
        blown = gust + spread * u[:, width] if extra else np.full(len(u), gust)
        made: Floats = (
            np.log(np.maximum(sampler.gusts(u[:, :width]), 1e-9)) - np.log(np.maximum(blown, 1e-9))[:, None]
        )
        return made

    return tail(margin, width + extra, sampler.ways, min(samples, MOST_SHIFTED), sampler.seed)


def _quantile(held: Floats, chance: float) -> HeldGust:
    """Gust held with a chance; standard error from the order statistics one standard deviation either way."""
    n, p = len(held), 1.0 - chance
    order = np.sort(held)
    off = math.sqrt(n * p * (1 - p))
    low, high = (int(np.clip(round(n * p + s * off), 0, n - 1)) for s in (-1, 1))
    return HeldGust(chance, float(np.quantile(order, p)), float(order[high] - order[low]) / 2)


def _first_order(u: Floats, z: Floats) -> float:
    """Share of the variance of z that u explains by itself: variance of the means over bins of u, less its own noise."""
    n, bins = len(z), min(BINS, max(len(z) // 25, 2))
    ranked = z[np.argsort(u, kind="stable")][: n - n % bins].reshape(bins, -1)
    total, each = float(ranked.var()), ranked.shape[1]
    if total <= 0:
        return 0.0
    noise = float(ranked.var(axis=1, ddof=1).mean()) / each
    return max((float(ranked.mean(axis=1).var(ddof=1)) - noise) / total, 0.0)


def _pulled_in(z: Floats, like: Floats) -> Floats:
    low, high = np.quantile(like, [OUTER, 1 - OUTER])
    return np.clip(z, low, high)


def _group(sampler: Sampler, s: Spread, u: Floats, z: Floats, total: float) -> float:
    """Share of a quantity that has many columns: covariance with a second run that has only these columns in common."""
    n = min(len(u), AGAIN)
    rng = np.random.default_rng(np.random.SeedSequence(sampler.seed, spawn_key=(5, s.first)))
    other = rng.standard_normal((n, u.shape[1]))
    mine = slice(s.first, s.first + s.count)
    other[:, mine] = u[:n, mine]
    again = sampler.gusts(other).min(axis=1)
    both = np.cov(_pulled_in(z[:n], z), _pulled_in(np.log(np.maximum(again, 1e-9)), z))
    return float(np.clip(both[0, 1] / total, 0.0, 1.0)) if total > 0 else 0.0


def _shares(sampler: Sampler, u: Floats, held: Floats, cov: float, gust_row: tables.Row) -> tuple[Share, ...]:
    """First-order shares of the variance of ln(gust held) - ln(gust), outer draws pulled in, the largest first.

    They are estimates: where they come to more than the whole, all are brought down to it.
    """
    rng = np.random.default_rng(np.random.SeedSequence(sampler.seed, spawn_key=(4,)))
    own = rng.standard_normal(len(u))
    resistance = np.log(np.maximum(held, 1e-9))
    z = resistance - np.log(np.maximum(1.0 + cov * own, 1e-3))
    z = _pulled_in(z, z)
    total = float(z.var())
    out = [Share("gust", gust_row.label, _first_order(own, z))] if cov > 0 else []
    for s in sampler.model.spreads:
        part = _first_order(u[:, s.first], z) if s.count == 1 else _group(sampler, s, u, resistance, total)
        out.append(Share(s.key, s.label, part))
    whole = sum(x.share for x in out)
    if whole < 1.0:
        out.append(Share("together", say("several together"), 1.0 - whole))
    else:
        out = [Share(x.key, x.label, x.share / whole) for x in out]
    return tuple(sorted(out, key=lambda x: -x.share))


def above(held: Floats, gust: float, spread: float) -> Floats:
    """P(G > held) for a gust normal about its forecast and cut at 0, (N,). All in m/s."""
    if spread <= 0:
        return np.where(gust > held, 1.0, 0.0)
    p = normal_cdf((gust - held) / spread) / normal_cdf(np.array([gust / spread]))
    return np.where(held <= 0, 1.0, np.minimum(p, 1.0))


def over_hours(
    draws: Floats, hours: Sequence[tuple[float, float]]
) -> tuple[list[float], tuple[float, float]]:
    """P of each hour (gust, standard deviation, m/s), and least and greatest of any of them.

    The hours share each draw of ground and hardware. Within a draw they are either as one (the worst hour decides) or
    without any tie: [mean of max p, mean of 1 - Π(1 - p)].
    """
    each, worst, none = [], np.zeros_like(draws), np.ones_like(draws)
    for gust, spread in hours:
        p = above(draws, gust, spread)
        each.append(float(p.mean()))
        worst = np.maximum(worst, p)
        none = none * (1.0 - p)
    return each, (float(worst.mean()), float(1.0 - none.mean()) if hours else 0.0)
