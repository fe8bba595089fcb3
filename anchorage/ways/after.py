"""What happens after the first anchor gives, and which single unit more raises the limit most. For the engineer alone.

Strengths are nominal: no margin anywhere. A pulled anchor and a lifted foot hold nothing more, a foot that slid keeps three quarters of
its friction. What it held goes to its neighbours suddenly, so twice; the wall of its bay is open. Whatever comes of it, the first to give is
always the gust to keep away from.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, fields, replace

import numpy as np
from numpy.typing import NDArray

from anchorage.checks.checks import friction_checks, limits
from anchorage.checks.footprint import Base, Held, held
from anchorage.checks.installation import Installation, hardware_at, with_a_wall_open
from anchorage.checks.limit import Limit
from anchorage.core import tables
from anchorage.core.checked import What
from anchorage.core.errors import AnchorageError
from anchorage.core.say import say
from anchorage.holding.hardware import Factors, Hardware
from anchorage.judging.verdict import bounds, most_at

Floats = NDArray[np.float64]
FOLLOW = 3
"""How many are followed after the first."""


def _row(key: str) -> float:
    return tables.row("after-first", key).value


class _Sudden(Base):
    """A base on which what a lost foot was asked for comes suddenly on its neighbours."""

    @property
    def carry(self) -> Floats:
        own = np.eye(len(self.usable)) * self.usable
        return own + _row("sudden") * (super().carry - own)


def _sudden(b: Base, usable: NDArray[np.bool_]) -> Base:
    """The base with points lost, what they were asked for counted twice on the others."""
    made = _Sudden(**{f.name: getattr(b, f.name) for f in fields(b)})
    less, was = made.holding(usable), b.shares
    if less is made:
        return b
    s, k = less.shares, _row("sudden") - 1.0
    rigid = s.rigid + k * np.maximum(s.rigid - was.rigid, 0.0) * usable
    push = s.push_rigid + k * np.maximum(s.push_rigid - was.push_rigid, 0.0) * usable
    return replace(less, shares=replace(s, rigid=rigid, push_rigid=push))


@dataclass(frozen=True)
class Gives:
    """A part of the anchorage that gives, and at which gust (m/s); ends: after it nothing is left to follow."""

    what: str
    where: str
    gust: float
    ends: bool = False


@dataclass(frozen=True)
class After:
    """The first to give and what follows it, nominal strengths."""

    first: Gives
    then: tuple[Gives, ...]
    holds_on: bool


def nominal(f: Factors) -> Factors:
    """The same with no margin."""
    return Factors("nominal", 1.0, 1.0, 1.0, 1.0, 1.0, 1.0, f.strength, f.adds)


class _State:
    """What has given so far."""

    def __init__(self, x: Installation) -> None:
        self.x, self.f = x, nominal(x.factors)
        self.hard = hardware_at(x.deployment.anchorage, x.deployment.ground, x.base.ids, self.f, [])
        self.holds = x.holding()
        self.lost, self.slid, self.frames = set[int](), set[int](), set[int]()
        self.opened: Base | None = None

    def base(self) -> Base:
        """As it stands, or with the wall open and what gave gone."""
        x = self.x
        if not (self.lost or self.slid):
            return x.standing()
        if self.opened is None:
            try:
                self.opened = with_a_wall_open(x)
            except AnchorageError:
                self.opened = x.base
        whole = self.opened.holding(self.holds)
        left = self.holds & ~np.isin(np.arange(len(self.holds)), list(self.lost))
        return _sudden(whole, left) if self.lost else whole

    def limits(self) -> tuple[Base, list[Limit]]:
        """The checks of what is left; a frame that slid is asked no more, the next to it for what it shed."""
        b = self.base()
        hard: Sequence[Hardware] = [
            replace(h, friction=h.friction * _row("slid"), own_friction=h.foot * _row("slid"))
            if i in self.slid
            else h
            for i, h in enumerate(self.hard)
        ]
        h = held(hard, self.f, self.x.counts, self.x.shelter_mass, b.usable)
        found = [f for f in limits(b, h, self.f) if not f.fixed]
        return b, [
            self._shed(b, h, f) if f.check.what is What.SLIDE_OF_FRAME and self.frames else f for f in found
        ]

    def _shed(self, b: Base, h: Held, f: Limit) -> Limit:
        frames = f if f.demand is not None else friction_checks(b, h, self.f.wind)[1]
        if frames is None or frames.demand is None or frames.capacity is None:
            return f
        demand, capacity = frames.demand.copy(), np.broadcast_to(frames.capacity, frames.demand.shape).copy()
        n, twice = demand.shape[-1], _row("sudden")
        for k in self.frames:
            near = [j for j in (next((j for j in range(k - 1, -1, -1) if j not in self.frames), None), next((j for j in range(k + 1, n) if j not in self.frames), None)) if j is not None]  # fmt: skip
            for j in near:
                demand[..., j] += twice / len(near) * demand[..., k]
                capacity[..., j] += twice / len(near) * capacity[..., k]
        with np.errstate(divide="ignore", invalid="ignore"):
            q = np.where(demand > 0, capacity / demand, np.inf)
        q = np.where(
            np.isfinite(f.q), q, np.inf
        )  # of frames that lines or stakes hold nothing is asked of friction
        q[..., list(self.frames)] = np.inf
        return replace(f, q=q)

    def gives(self) -> Gives | None:
        """What gives next, and takes it away."""
        b, found = self.limits()
        if not found:
            return None
        worst = min(found, key=lambda f: float(np.min(f.q)))
        q = float(np.min(worst.q))
        if not np.isfinite(q):
            return None
        where = worst.items[worst.worst[1]]
        gust = self.x.wind.gust_of(q)
        if where in b.ids and b.ids.index(where) in self.lost:
            return Gives(say("nothing spans it"), where, gust, ends=True)
        if where in b.ids:
            self.lost.add(b.ids.index(where))
        elif worst.check.what is What.SLIDE_OF_FRAME:
            k = worst.worst[1]
            self.frames.add(k)
            self.slid |= {int(i) for i in np.flatnonzero(b.frame == k)}
        else:
            return Gives(worst.name, where, gust, ends=True)
        return Gives(worst.name, where, gust)


def follow(x: Installation) -> After | None:
    """The first to give and what follows; None where nothing gives at any gust."""
    state = _State(x)
    first = state.gives()
    if first is None:
        return None
    then: list[Gives] = []
    last = first
    while not last.ends and len(then) < FOLLOW:
        if not (state.base().usable.any()):
            break
        after = state.gives()
        if after is None:
            break
        then.append(after)
        last = after
    on = not first.ends and bool(then) and then[0].gust >= _row("holds-on") * first.gust
    return After(first, tuple(then), on)


@dataclass(frozen=True)
class OneMore:
    """The single unit more that raises the limit most."""

    point: str
    gust: float


TRIED = 2
"""Of the points that promise most, how many are run in full."""


def one_more(x: Installation, holds: float | None = None) -> OneMore | None:
    """Where one unit more raises the gust that it holds most; None where none raises it, or it would not fit. holds: that gust (m/s), if known."""
    cap = min((b.gust for b in bounds(x)), default=np.inf)
    now = min(x.gust_held() if holds is None else holds, cap)
    b = x.standing()
    able = [
        i
        for i, h in enumerate(x.hard)
        if b.usable[i] and ((most := most_at(h, planned=True)) is None or x.counts[i] < most)
    ]
    bare = [i for i, h in enumerate(x.hard) if h.kind != "none" and not b.usable[i]]
    if not (able or bare) or now >= cap:
        return None
    q = np.zeros(0)
    if able:
        trials = x.counts + np.eye(len(x.counts), dtype=int)[able]
        found = limits(b, held(x.hard, x.factors, trials, x.shelter_mass, b.usable), x.factors)
        q = np.min([np.broadcast_to(f.q.min(axis=(-2, -1)), len(able)) for f in found if not f.fixed], axis=0)
    best: OneMore | None = None
    likely = [able[int(k)] for k in np.argsort(-q, kind="stable")[:TRIED]]
    plainly = bool(b.usable.all()) and not x.bridges  # what it holds is then what was found for all at once
    for i in (*bare, *likely):
        if plainly:
            gust = min(x.wind.gust_of(float(q[able.index(i)])), cap)
        else:
            gust = min(x.gust_held(x.counts + (np.arange(len(x.counts)) == i)), cap)
        if gust > now * (1 + 1e-6) and (best is None or gust > best.gust * (1 + 1e-9)):
            best = OneMore(x.base.ids[i], gust)
    return best
