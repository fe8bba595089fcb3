"""What an installation may really be: the figures that have a spread, drawn, and the strengths and loads they give.

Draws are standard normal, shape (N, k), a column for each quantity or, where it differs from point to point, for each
point. Every margin factor is 1, stakes are at their ultimate strength, and each figure is centred on the middle of the
range that its row prints.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Any

import numpy as np
from numpy.typing import NDArray

from anchorage.chance.normal import chi_square_of
from anchorage.checks.footprint import Base, Held, held
from anchorage.checks.installation import Installation, loads_by_part, point_inputs
from anchorage.core import tables
from anchorage.core.constants import gravity
from anchorage.core.say import say
from anchorage.deployment.models import AVERAGING_S, Anchorage, Ground, PointIn
from anchorage.formulas import stakes
from anchorage.formulas.working import REGISTRY
from anchorage.holding.ground import fill_of, material_of, surface_state
from anchorage.holding.hardware import (
    Factors,
    Hardware,
    bar_at,
    block_pull,
    hardware,
    pulled_of,
    su_here,
)
from anchorage.holding.measured import strengths
from anchorage.holding.stakes import UPRIGHT, Basis, Worth, stake_worth
from anchorage.loads.wind import averaging_of

Floats = NDArray[np.float64]
ONES = Factors("mean", 1.0, 1.0, 1.0, 1.0, 1.0, 1.0, "service")
"""No margins."""
FARTHEST = 5.0
"""Of the logarithm of a stake's strength over the mean of the tests: a bound on what a few tests are stretched to."""
FLATTEST, STEEPEST = 1.0, 89.0
"""Degrees above the ground between which a line is drawn: at 0 it would hold no uplift at any pull."""
NOTHING = np.full((1, 1), np.nan)
"""In place of what no check may ask for: a formula refuses it."""


@dataclass(frozen=True)
class Spread:
    """One quantity with a spread; its columns in a draw start at ``first`` and are as many as ``count``."""

    key: str
    label: str
    law: str
    """lognormal, normal, or predictive of so many pull tests."""
    size: float
    """Coefficient of variation, or standard deviation in the unit of the row."""
    row: tables.Row
    first: int
    count: int = 1

    def factor(self, u: Floats) -> Floats:
        """Factors of mean 1, (N, count)."""
        mine = u[:, self.first : self.first + self.count]
        if self.law == "normal":
            return 1.0 + self.size * mine
        return lognormal(mine, self.size)


def lognormal(u: Floats, cov: Floats | float) -> Floats:
    s = np.sqrt(np.log1p(cov**2))
    made: Floats = np.exp(s * u - s**2 / 2)
    return made


def _span(formula: str) -> tuple[float, float]:
    """Range of friction that a formula was published for: a rare draw leaves it, and then its end counts."""
    low, high = REGISTRY[formula].valid["friction"]
    return low or 0.0, np.inf if high is None else high


def middle(row: tables.Row) -> float:
    """Middle of the range that a row prints; its value where it prints none."""
    return (row.low + row.high) / 2 if row.low is not None and row.high is not None else row.value


@dataclass(frozen=True)
class Mean:
    """What stands at each point at its mean, before anything is drawn. n points."""

    hard: tuple[Hardware, ...]
    held: Held
    lateral: Floats
    """Of one straight stake by theory at its mean, cut to what tests showed of it (N), (n,); 0 where there is none."""
    axial: Floats
    mass: Floats
    """Mean over the mass in the file or table, (n,)."""
    friction: Floats
    """Mean coefficient under the ballast on the frame, (n,)."""
    foot: Floats
    """Mean coefficient under the shelter's own weight, (n,)."""
    rub: Floats
    """Mean coefficient of a block on the ground, (n,)."""
    basis: tuple[Basis | None, ...]
    """What each straight stake counts for; None where there is none."""
    share: Floats
    """Of theory beside a pull, where the greater counts, (n,)."""
    tests: tuple[float, ...]
    """Pulls that count anywhere (N), with the factor for wet ground."""

    def where(self, *wanted: Basis | None) -> NDArray[np.bool_]:
        """Points whose stake counts for one of these, (n,)."""
        return np.array([b in wanted for b in self.basis])

    @property
    def pull(self) -> float:
        """Mean of the tests (N); 0 where one of them held nothing."""
        return float(np.mean(self.tests)) if self.tests and min(self.tests) > 0 else 0.0


def _centred(row: tables.Row | None) -> float:
    """A coefficient at the middle of the range of its row; 0 where nothing rubs."""
    return 0.0 if row is None else middle(row)


def _worth(anchorage: Anchorage, ground: Ground, p: PointIn) -> Worth | None:
    """A straight stake at the mean of its soil; None where there is none, or where nobody said what it stands in."""
    s = anchorage.stake
    if s is None or s.combination is not None:
        return None
    bar = bar_at(anchorage, ground, s, p, surface_state(ground, p.state or ground.site.state, [], p.surface))
    clay = bar.soil is not None and bar.soil in tables.table("soil-strength")
    su = middle(tables.row("soil-strength", bar.soil)) if clay and bar.soil is not None else None
    read = su_here(ground, bar)
    if read is not None and su is not None:
        group = strengths(ground, bar.surface)
        su = float(np.mean(group.values)) * read / group.value if group is not None and group.value else read
    angle = UPRIGHT if s.line_angle is None else float(s.line_angle)
    found = stake_worth(bar, angle, pulled_of(anchorage, ground, s), [], su)
    return None if bar.soil is None and found.basis is not Basis.TEST else found


def _tests_of(anchorage: Anchorage, ground: Ground, worth: list[Worth | None]) -> tuple[float, ...]:
    """Pulls that count at some point (N), halved where that is counted."""
    s = anchorage.stake
    if s is None or all(w is None or w.basis is Basis.THEORY for w in worth):
        return ()
    of = pulled_of(anchorage, ground, s)
    if of is None:
        return ()
    factor = tables.row("pull-test", "wet-factor").value if of.bar.state == "dry" else 1.0
    return tuple(t * factor for t in of.pulls)


def mean_of(x: Installation) -> Mean:
    """The installation with every margin at 1 and every figure at its mean."""
    d, n = x.deployment, len(x.base.ids)
    hard: list[Hardware] = []
    lateral, axial, friction, foot, rub = (np.zeros(n) for _ in range(5))
    mass, share = np.ones(n), np.ones(n)
    worth: list[Worth | None] = [None] * n
    for i, p in enumerate(point_inputs(d.point, x.base.ids)):
        h = hardware(d.anchorage, d.ground, p, ONES)
        friction[i], foot[i], rub[i] = (_centred(r) for r in (h.rows.under, h.rows.own, h.rows.rub))
        if h.rows.mass is not None and h.unit_mass and (d.anchorage.unit_mass is None or p.unit is not None):
            mass[i] = middle(h.rows.mass) / h.unit_mass
        if h.kind == "stakes":
            w = worth[i] = _worth(d.anchorage, d.ground, p)
            if w is not None:
                lateral[i], axial[i], share[i] = w.lateral, w.axial, w.share
        hard.append(h)
    one = held(hard, ONES, x.counts, x.shelter_mass, x.base.usable)
    basis = tuple(None if w is None else w.basis for w in worth)
    return Mean(
        tuple(hard),
        one,
        lateral,
        axial,
        mass,
        friction,
        foot,
        rub,
        basis,
        share,
        _tests_of(d.anchorage, d.ground, worth),
    )


def spreads_of(x: Installation, mean: Mean) -> list[Spread]:
    """What has a spread in this installation, in the order of the columns of a draw. The forecast is not among them."""
    kinds = {h.kind for h, use in zip(mean.hard, x.base.usable, strict=True) if use}
    out: list[Spread] = []

    def add(key: str, law: str = "lognormal", table: str = "spread", count: int = 1, size: float | None = None,
            row: tables.Row | None = None) -> None:  # fmt: skip
        r = tables.row(table, key) if row is None else row
        first = out[-1].first + out[-1].count if out else 0
        label = say("soil of the site") if row is not None else r.label
        out.append(Spread(key, label, law, r.value if size is None else size, r, first, count))

    add("pressure-outside")
    if any(x.inside.values()):
        add("pressure-inside")
    add("terrain")
    wind = x.deployment.wind
    if wind.method == "en1991" or AVERAGING_S[averaging_of(wind, [])] > 3.0:
        add("averaging")
    if x.shelter_mass > 0:
        add("shelter-mass")
    if kinds & {"ballast", "line-ballast"}:
        add(_mass_key(x.deployment.anchorage, mean))
    if mean.friction.any() or mean.foot.any() or mean.rub.any():
        add("friction")
    n = len(x.base.ids)
    if kinds & {"stakes", "deadman"}:
        if mean.tests:
            held_only = (
                x.deployment.anchorage.stake is not None and x.deployment.anchorage.stake.pulled == "held"
            )
            size = tables.row("spread", "soil-strength").value if held_only else None
            add(
                "pull-test-least",
                say("predictive, {tests} pull tests", tests=len(mean.tests)),
                count=n + 2,
                size=size,
            )
        if not mean.where(Basis.TEST, None).all() or "deadman" in kinds or mean.held.on_foot.any():
            add("stake-theory")
            soil = x.deployment.anchorage.stake.soil if x.deployment.anchorage.stake is not None else None
            clay = soil is None or soil in tables.table("soil-strength")
            key = "soil-strength" if clay else "soil-friction"
            add("soil-site", size=_site_size(soil, key), row=tables.row("spread", key))
            add(key, count=n)
    if mean.held.on_line.any():
        add("line", "normal", "spread-angle")
    return out


def _site_size(soil: str | None, key: str) -> float:
    """Coefficient of variation of what all stakes of a site share: even over the range that the soil's row prints, else
    that from stake to stake.
    """
    if soil is not None and key == "soil-strength":
        row = tables.row("soil-strength", soil)
        if row.low is not None and row.high is not None and middle(row) > 0:
            return float((row.high - row.low) / np.sqrt(12.0) / middle(row))
    return tables.row("spread", key).value


def _mass_key(anchorage: Anchorage, mean: Mean) -> str:
    if anchorage.unit_mass is not None:
        return "own-mass"
    name = next(h.unit_name for h in mean.hard if h.unit_mass)
    if material_of(name, None) == "concrete":
        return "concrete-mass"
    return "water-mass" if fill_of(name) == "water" else "bag-mass"


@dataclass(frozen=True)
class Drawn:
    """N installations. gust_factor multiplies the gust that is given, pressure_factor the pressure, (N,)."""

    base: Base
    held: Held
    pressure_factor: Floats
    gust_factor: Floats


class Model:
    """Draws to installations, for the load cases asked for."""

    def __init__(self, x: Installation, cases: NDArray[np.int_] | None = None) -> None:
        self.x, self.mean = x, mean_of(x)
        self.spreads = spreads_of(x, self.mean)
        outside, inside = loads_by_part(x)
        every = np.arange(len(x.base.cases.names)) if cases is None else cases
        self.outside, self.inside = outside.take(every), inside.take(every)
        self.base = x.base.take(every)
        bare = replace(self.base, strap_per_q=0.0)
        self.shares = (self.base.under(self.outside).shares, bare.under(self.inside).shares)

    @property
    def width(self) -> int:
        """Columns of a draw."""
        return self.spreads[-1].first + self.spreads[-1].count

    def draw(self, u: Floats) -> Drawn:
        """N installations. u: standard normal, (N, width)."""
        by = {s.key: s for s in self.spreads}

        def factor(key: str) -> Floats:
            """(N, 1, 1) or (N, 1, n)."""
            return by[key].factor(u)[:, None, :] if key in by else np.ones((len(u), 1, 1))

        pressure = factor("terrain")[:, 0, 0]
        gust = np.sqrt(factor("averaging")[:, 0, 0])
        return Drawn(self._base(factor), self._held(u, factor, by), pressure, gust)

    def _base(self, factor: Any) -> Base:
        """Loads of the draws: everything but the push at a foot, and what unlike points share, is linear in the two pressures."""
        a, b, x = factor("pressure-outside"), factor("pressure-inside"), self.base

        def both(name: str, of: tuple[Any, Any]) -> Floats:
            mixed: Floats = a * getattr(of[0], name) + b * getattr(of[1], name)
            return mixed

        parts = (self.outside, self.inside)
        mixed = {n: both(n, parts) for n in ("uplift", "moment", "push", "twist")}
        cases = replace(x.cases, **mixed)  # type: ignore[arg-type]
        if self.mean.held.on_foot.any() or not x.usable.all() or x.kinds:
            return x.under(cases)
        names = ("rigid", "frame", "frame_uplift", "frame_push")
        shares = {n: both(n, self.shares) for n in names}
        return replace(x, cases=cases, every=None, shares=replace(x.shares, push_rigid=NOTHING, **shares))

    def _held(self, u: Floats, factor: Any, by: dict[str, Spread]) -> Held:
        m, h = self.mean, self.mean.held
        mass_key = next((k for k in ("own-mass", "concrete-mass", "water-mass", "bag-mass") if k in by), "")
        own, units, mu = factor("shelter-mass"), factor(mass_key) * m.mass, factor("friction")
        angle = h.angle
        if "line" in by:
            degrees = np.rad2deg(h.angle) + (factor("line") - 1.0)
            angle = np.where(h.on_line, np.deg2rad(np.clip(degrees, FLATTEST, STEEPEST)), 0.0)
        theory = factor("stake-theory") * factor("soil-site") * self._soil(u, by)
        tested = self._tested(u, by)
        ballast = h.ballast * units
        lateral = m.lateral * self._count * theory
        axial = self._stakes(m.axial * self._count * theory, tested)
        return replace(
            h, shelter=h.shelter * own, own=h.own * own, full=h.shelter * own + ballast.sum(-1, keepdims=True),
            load=ballast, ballast=ballast, friction=np.clip(m.friction * mu, *_span("summed")),
            foot=np.clip(m.foot * mu, *_span("summed")),
            tension=self._tension(angle, theory, tested, units, mu), angle=angle,
            lateral=np.where(h.on_foot, lateral, 0.0), axial=np.where(h.on_foot, axial, 0.0),
        )  # fmt: skip

    @property
    def _count(self) -> Floats:
        worth = [float(h.effective(c)) for h, c in zip(self.mean.hard, self.x.counts, strict=True)]
        return np.array(worth)

    def _tested(self, u: Floats, by: dict[str, Spread]) -> Floats | None:
        """Strength of the stakes at each point over the mean of the pull tests, (N, 1, n); None without tests."""
        s = by.get("pull-test-least")
        if s is None or not self.mean.pull:
            return None
        freedom = max(len(self.mean.tests) - 1, 1)
        mixing = chi_square_of(u[:, s.first], freedom) / freedom
        site, each = u[:, s.first + 1, None], u[:, s.first + 2 : s.first + s.count]
        return tested_factor(self.mean.tests, s.size, site, each, mixing)[:, None, :]

    def _soil(self, u: Floats, by: dict[str, Spread]) -> Floats:
        """Soil at each point over its mean, (N, 1, n); stakes at one point stand in the same soil."""
        s = by.get("soil-strength") or by.get("soil-friction")
        if s is None:
            return np.ones((len(u), 1, 1))
        return lognormal(u[:, s.first : s.first + s.count], s.size)[:, None, :]

    def _stakes(self, theory: Floats, tested: Floats | None) -> Floats:
        """What the stakes at each point stand (N): theory, the pull, or the less or the more of them; what is no stake as it is."""
        m, by_pull = self.mean, np.zeros(1)
        if tested is not None:
            by_pull = m.pull * self._count * tested
        out = np.where(m.where(Basis.TEST), by_pull, theory)
        out = np.where(m.where(Basis.LESSER), np.minimum(by_pull, theory), out)
        both: Floats = np.where(m.where(Basis.GREATER), np.maximum(by_pull, m.share * theory), out)
        return both

    def _tension(
        self, angle: Floats, theory: Floats, tested: Floats | None, units: Floats, mu: Floats
    ) -> Floats:
        """Pull that each line's anchor stands along the line (N), (N, 1, n)."""
        m, h, degrees = self.mean, self.mean.held, np.rad2deg(angle)
        straight = (m.lateral > 0) & (m.axial > 0)
        sideways, upward = (np.where(straight, v, 1.0) for v in (m.lateral, m.axial))
        pull = stakes.inclined_capacity(degrees, sideways, upward) * self._count
        out = np.where(straight, pull, h.tension) * theory
        out = self._stakes(out, tested)
        blocks = np.array([g.kind == "line-ballast" for g in m.hard])
        if blocks.any():
            weight = np.array([g.unit_mass if g.kind == "line-ballast" else 0.0 for g in m.hard])
            rub = np.clip(np.where(blocks, m.rub, 1.0) * mu, *_span("block_slide"))
            on_it = (
                block_pull(self.x.deployment.anchorage.block, weight * gravity() * units, rub, degrees)
                * self._count
            )
            out = np.where(blocks, on_it, out)
        found: Floats = np.where(h.on_line, out, 0.0)
        return found


def tested_factor(
    tests: tuple[float, ...], least: float, site: Floats, each: Floats, mixing: Floats | None
) -> Floats:
    """Strength of untested stakes over the mean of the tests, given few pull tests, (N, n).

    Log strengths are normal with unknown mean and spread and a vague prior: the spread is s·sqrt((n - 1)/χ²), the mean of
    the ground is normal about the mean of the tests with spread/sqrt(n), and stakes are normal about that, so that a
    single one follows Student's t with n - 1 degrees (Box & Tiao; any text on Bayesian statistics). s is at least
    ``least``, and that where there is one test alone. site: (N, 1), each: (N, n), standard normal; mixing: χ²/(n - 1), (N,), its mean 1 where left out.
    """
    logs = np.log(np.asarray(tests))
    n = len(logs)
    s = max(float(logs.std(ddof=1)) if n > 1 else 0.0, least)
    spread = s if mixing is None else s / np.sqrt(mixing)[:, None]
    log = logs.mean() - np.log(np.mean(tests)) + spread * (site / np.sqrt(n) + each)
    out: Floats = np.exp(np.clip(log, -FARTHEST, FARTHEST))
    return out


def tested_bound(tests: tuple[float, ...], least: float) -> float:
    """Pull (N) that an untested stake stands with a chance of 95 in 100, given few pull tests (N).

    Student's t of the log strengths: exp(m - t·s·√(1 + 1/n)), s at least ``least``; t of the next fewer degrees of freedom
    that is tabled.
    """
    logs = np.log(np.asarray(tests))
    n = len(logs)
    t = max(
        (r for r in tables.table("student-95").rows if r.at["freedom"] <= n - 1),
        key=lambda r: r.at["freedom"],
    )
    s = max(float(logs.std(ddof=1)), least)
    return float(np.exp(logs.mean() - tables.row("student-95", t.key).value * s * np.sqrt(1 + 1 / n)))
