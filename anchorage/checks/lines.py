"""Lines and stakes through feet: who takes the push, what the lee lines add, and the q that fills each.

The push H is shared among the lines that lean away from the wind; a line on the lee side holds uplift only, and what it
pulls outward adds to H. Everything is piecewise linear in q and solved at its breakpoints.
"""

from __future__ import annotations

import functools
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from anchorage.checks.footprint import (
    Base,
    Flags,
    Floats,
    Held,
    Same,
    credited,
    credits_of,
    frame_loads,
    per_frame,
    weight_at_points,
    weight_of_frames,
)
from anchorage.checks.limit import Limit, linear, plus, size
from anchorage.core.checked import Check, Gives, What
from anchorage.formulas import friction, lines, working
from anchorage.formulas.demand import rigid_push
from anchorage.formulas.working import Topic


@dataclass(frozen=True)
class _Geometry:
    """Who faces the push and who stands in the lee, per case and point, (c, n)."""

    size: Floats
    has: Flags
    facing: Flags
    own: Floats
    rigid: Floats
    starts: Floats
    lee: Floats
    """Push that a unit of net uplift of a lee line adds."""
    supply: Floats
    total: Floats
    factor: Floats
    downhill: Floats
    """Weight that pulls downhill (N), (..., 1, 1)."""


def _starts(lift: Floats, own: Floats) -> Floats:
    with np.errstate(divide="ignore", invalid="ignore"):
        begin: Floats = np.where(lift > 0, own / lift, np.inf)
    return begin


def _twist_factor(b: Base, facing: Flags) -> Floats:
    """Share of each facing line over the mean share when the push is off the middle, (c, n), not below 0."""
    radians = np.deg2rad(b.cases.bearing)
    along = np.stack([np.sin(radians), np.cos(radians)], axis=-1)
    s = (along[:, None, :] * b.xy).sum(-1)
    count = np.maximum(facing.sum(-1, keepdims=True), 1)
    mean = np.where(facing, s, 0.0).sum(-1, keepdims=True) / count
    spread = np.where(facing, (s - mean) ** 2, 0.0).sum(-1, keepdims=True)
    with np.errstate(divide="ignore", invalid="ignore"):
        tilt = np.where(spread > 1e-12, b.cases.eccentricity * (s - mean) * count / spread, 0.0)
    return plus(1.0 + tilt)


def _geometry(b: Base, h: Held, gamma: float) -> _Geometry:
    push = size(b.cases.push)
    direction = np.where(push > 0, b.cases.push / np.where(push > 0, push, 1.0), 0.0)
    toward = -(direction @ b.outward.T)
    has = h.on_line & (h.tension > 0)
    facing, behind = (toward > 1e-9) & has, (toward < -1e-9) & has
    own = h.own + h.ballast - gamma * b.strap_here
    rigid = gamma * plus(b.shares.rigid)
    slope = np.where(h.on_line, np.tan(np.where(h.on_line, h.angle, 1.0)), 1.0)
    supply = np.where(facing, np.cos(h.angle) * toward, 0.0)
    return _Geometry(
        push, has, facing, own, rigid, _starts(rigid, own), np.where(behind, -toward / slope, 0.0), supply,
        supply.sum(-1, keepdims=True), _twist_factor(b, facing), h.full * np.sin(np.deg2rad(b.slope)),
    )  # fmt: skip


ALONG = 1e-6
"""Part of a line across the ridge under which it runs along it, and holds nothing of what pushes its frame."""


def along_ridge(b: Base, h: Held) -> bool:
    """Whether a line from a foot of a frame runs along the ridge."""
    return bool((h.on_line & (b.frame >= 0) & (np.abs(b.outward[:, 1]) <= ALONG)).any())


@dataclass(frozen=True)
class _FrameGeometry:
    """The windward foot of each frame and what its lee foot adds, at every point, (c, n)."""

    rise: Floats
    """Uplift of the foot that stands at the point, factored, per unit of q."""
    feet: Floats
    """What weight holds it."""
    windward: Flags
    by_weight: Flags
    """Windward feet that have neither a line against the push nor stakes, (c, n)."""
    push: Floats
    lift: Floats
    own: Floats
    starts: Floats
    lee: Floats
    supply: Floats
    downhill: Floats
    carry: Floats | None
    """What each point takes of another foot's frame, (n, n); None where every foot holds something."""

    def reach(self, target: Floats) -> Floats:
        """Pressure q (Pa) at which the windward foot is asked for a target, with what the lee feet add, (c, n)."""
        if self.carry is None:
            return lines.one_reach(self.push, self.lift * self.lee, self.starts, target)
        some = self.carry != 0  # of a point's own foot and its neighbours, few of all
        near = np.argsort(~some, axis=1, kind="stable")[:, : max(int(some.sum(axis=1).max()), 1)]
        adds = np.take_along_axis(self.carry, near, axis=1) * (self.lift * self.lee)[..., near]
        starts = self.starts[..., near]
        return lines.reach_each(self.push, adds, starts, target[..., None])[..., 0]

    def added(self, q: float) -> Floats:
        """What the lee feet and the slope add to the push of each windward foot at q (N), (c, n)."""
        net: Floats = lines.net_uplift(q, self.lift, self.own) * self.lee
        return (net if self.carry is None else net @ self.carry.T) + self.downhill


@functools.lru_cache(maxsize=64)
def _opposite(of: Same) -> NDArray[np.int_]:
    """The other foot of the frame that each point stands on, itself where there is none, (n,)."""
    frame: NDArray[np.int_] = of[0]
    index = range(len(frame))
    found = [next((j for j in index if frame[j] == frame[i] >= 0 and j != i), i) for i in index]
    other = np.array(found, int)
    other.setflags(write=False)
    return other


def _frame_geometry(b: Base, h: Held, gamma: float, g: _Geometry) -> _FrameGeometry | None:
    if not len(b.frame_weight):
        return None
    on = b.frame >= 0
    k = np.where(on, b.frame, 0)
    push = b.pushed
    cos_y = np.abs(b.outward[:, 1])
    facing = on & (push != 0) & (np.sign(b.xy[:, 1]) * np.sign(push) < 0)
    against = g.has & (cos_y > ALONG)
    opposite = _opposite(Same((b.frame,)))
    lift = gamma * plus(b.shares.frame[..., opposite])
    lifted = np.broadcast_to(gamma * b.strap_here, (len(k),))[opposite]
    own = h.shelter * b.frame_weight[k[opposite]] / 2 + h.ballast[..., opposite] - lifted + 0 * lift
    slope = np.where(h.on_line, np.tan(np.where(h.on_line, h.angle, 1.0)), 1.0)
    lee = np.where(g.has[..., opposite], cos_y[opposite] / slope[..., opposite], 0.0)
    downhill = np.where(on, weight_of_frames(b, h)[..., k], 0.0) * np.sin(np.deg2rad(b.slope))
    rise = gamma * plus(b.shares.frame)
    feet = h.shelter * np.where(on, b.frame_weight[k] / 2, 0.0) + h.ballast - gamma * b.strap_here
    carry = b.carry if b.carries else None
    pressed = gamma * np.where(facing, np.abs(push), 0.0)
    windward = facing & against
    if carry is not None:
        pressed, lee = pressed @ carry.T, np.where(facing, lee, 0.0)
        downhill = np.where(facing, downhill, 0.0) @ carry.T
        windward = (pressed > 0) & against
    by_weight = facing & b.usable & ~(h.on_line & (cos_y > ALONG)) & ~h.on_foot
    return _FrameGeometry(rise, feet, windward, by_weight, pressed, lift, own, _starts(lift, own), lee + 0 * lift,
                          np.cos(h.angle) * cos_y, downhill, carry)  # fmt: skip


def _reach(push: Floats, adds: Floats, starts: Floats, target: Floats) -> Floats:
    """Pressure q (Pa) at which the push and what lee lines add reach a target; inf targets never. target (c, k), adds (c, i)."""
    finite = np.isfinite(target)
    q = lines.reach_each(push[..., 0], adds, starts, np.where(finite, target, 0.0))
    found: Floats = np.where(finite, np.where(target > 0, q, 0.0), np.inf)
    return found


@dataclass(frozen=True)
class _Rub:
    """Friction beside stakes or lines, where the file says that they add: what it holds still (N), and what a unit of q takes of it.

    Once something moves a share of it is left, and what is not there is not taken from the lines.
    """

    whole: list[tuple[Floats, Floats]]
    """(..., 1, 1) and (..., c, 1), a level each."""
    frames: list[tuple[Floats, Floats]]
    """(..., 1, f) and (..., c, f)."""


def _beside(b: Base, h: Held, gamma: float) -> _Rub:
    if not h.adds:
        return _Rub([], [])
    level, whole, frames = np.cos(np.deg2rad(b.slope)), [], []
    on = b.frame >= 0
    k = np.where(on, b.frame, 0)
    for m in credits_of(h):
        foot, under = credited(h, m)
        grip = friction.summed(foot, h.own) + friction.summed(under, h.ballast)
        whole.append((h.adds * level * grip, h.adds * gamma * m * plus(b.cases.uplift)))
        if len(b.frame_weight):
            own = h.shelter * np.where(on, b.frame_weight[k] / 2, 0.0)
            grip = per_frame(b, foot * own) + per_frame(b, under * h.ballast)
            frames.append((h.adds * level * grip, h.adds * gamma * m * plus(frame_loads(b)[1])))
    return _Rub(whole, frames)


def _lee_of_frames(b: Base, f: _FrameGeometry) -> tuple[Floats, Floats, Floats]:
    """What the lee line of each frame pulls outward for a unit of net uplift, that uplift per unit of q, and the weight that holds it, (c, f)."""
    pulls = (f.by_weight | f.windward) & (f.lift * f.lee > 0)
    lee, lift, own = (per_frame(b, np.where(pulls, v, 0.0)) for v in (f.lee, f.lift, f.own))
    return lee, lift, own


def _by_weight(b: Base, h: Held, f: _FrameGeometry) -> Flags:
    """Frames, (c, f), whose windward foot has a weight and whose other foot at most a line, which holds nothing against this push."""
    staked = per_frame(b, (h.on_foot & b.usable).astype(float)) > 0
    some: Flags = (per_frame(b, f.by_weight.astype(float)) > 0) & ~staked
    return some


@dataclass(frozen=True)
class Pulls:
    """What lines and feet of a base are asked by where they stand, for all checks of them."""

    whole: _Geometry
    frames: _FrameGeometry | None


def pulls(b: Base, h: Held, gamma: float) -> Pulls:
    """For what holds it."""
    g = _geometry(b, h, gamma)
    return Pulls(g, _frame_geometry(b, h, gamma, g))


def rubbing_frames(b: Base, h: Held, gamma: float, f: _FrameGeometry | None) -> tuple[Floats, Flags]:
    """The q at which the friction of each frame is met, with what its lee line pulls outward; and the frames, case by case, that nothing
    else holds against the push, (c, f).
    """
    if f is None:
        none = np.zeros((*b.cases.push.shape[:-1], 0))
        return none, none > 0
    lee, lift, weight = _lee_of_frames(b, f)
    fall, found, (push, up) = np.deg2rad(b.slope), [], frame_loads(b)
    on = b.frame >= 0
    own = h.shelter * np.where(on, b.frame_weight[np.where(on, b.frame, 0)] / 2, 0.0)
    for m in credits_of(h):
        foot, under = credited(h, m)
        rub = per_frame(b, foot * own) + per_frame(b, under * h.ballast)
        grip = plus(friction.on_slope(rub, np.cos(fall), weight_of_frames(b, h), np.sin(fall)))
        asked = gamma * (push + m * plus(up))
        found.append(lines.one_reach(asked, lift * lee, _starts(lift, weight), grip))
    best: Floats = np.maximum.reduce(np.broadcast_arrays(*found))
    return np.where(push > 0, best, np.inf), _by_weight(b, h, f)


def by_weight(b: Base, h: Held, gamma: float, q: float) -> tuple[Flags, Floats]:
    """The same frames, and what lee lines add to their push at a pressure (Pa), every line standing: N, (c, f)."""
    standing = replace(h, tension=np.where(h.on_line, 1.0, 0.0) * np.ones_like(h.tension))
    f = _frame_geometry(b, standing, gamma, _geometry(b, standing, gamma))
    if f is None:
        none = np.zeros((*b.cases.push.shape[:-1], 0))
        return none > 0, none
    lee, lift, own = _lee_of_frames(b, f)
    return _by_weight(b, standing, f), lines.net_uplift(q, lift, own) * lee


def _rubbing(b: Base, h: Held, gamma: float, g: _Geometry, adds: Floats) -> Floats:
    """Pressure q at which friction alone, with what the lee lines add to the push, is met; the level that holds most."""
    fall, found = np.deg2rad(b.slope), []
    for m in credits_of(h):
        foot, under = credited(h, m)
        grip = friction.summed(foot, h.own) + friction.summed(under, h.ballast)
        target = grip if b.slope == 0 else plus(friction.on_slope(grip, np.cos(fall), h.full, np.sin(fall)))
        asked = gamma * (g.size + m * plus(b.cases.uplift))
        found.append(_reach(asked, adds, g.starts, target + 0.0 * g.size))
    best: Floats = np.maximum.reduce(found)
    return best


def _frames_reach(f: _FrameGeometry, target: Floats) -> Floats:
    """Pressure q (Pa) at which the windward foot of each frame is asked for a target; inf targets never."""
    there = np.isfinite(target)
    q = f.reach(np.where(there, target, 0.0))
    found: Floats = np.where(there, np.where(target > 0, q, 0.0), np.inf)
    return found


def line_checks(b: Base, h: Held, gamma: float, of: Pulls, frames: Floats | None) -> list[Limit]:
    """Lines: their own uplift, their share of the push with what the lee lines add, frame by frame as well. frames: the q up to which the friction of each frame does it, (c, f)."""
    g, f = of.whole, of.frames
    adds = g.rigid * g.lee
    rub = _rubbing(b, h, gamma, g, adds)
    rest = rub if h.mixed else np.zeros_like(rub)
    beside = _beside(b, h, gamma)
    strengths = {
        name: np.where(h.on_line, s, 0.0)  # no line: inf in it would meet zeros below
        for name, s in ((h.label, h.tension), (Gives.LINE, h.line))
        if s is not None
    }
    capacity = (g.supply * h.tension).sum(-1, keepdims=True) - g.downhill
    with np.errstate(divide="ignore", invalid="ignore"):
        targets = [
            np.where(g.facing, s * g.total / g.factor - g.downhill, np.inf) for s in strengths.values()
        ]
    targets.append(np.where(g.total > 0, capacity, np.inf))
    every = np.concatenate(targets, axis=-1)
    reached = _reach(gamma * g.size, adds, g.starts, every)
    for grip, takes in beside.whole:
        eased = _reach(gamma * g.size + takes, adds, g.starts, every + grip)
        reached = np.maximum(reached, np.where(g.total > 0, eased, 0.0))
    n, out = len(b.ids), []
    for k, (name, strength) in enumerate(strengths.items()):
        vertical = strength * np.sin(h.angle)
        out.append(linear(Check(What.UPLIFT, name), g.rigid * h.on_line, g.own + vertical, b.ids, "N"))
        if f is not None:
            out.append(
                linear(Check(What.UPLIFT_OF_FRAME, name), f.rise * h.on_line, f.feet + vertical, b.ids, "N")
            )
        q = np.maximum(reached[..., k * n : (k + 1) * n], rest)
        out.append(Limit(Check(What.PUSH, name), np.where(g.facing, q, np.inf), b.ids, None, None, "Pa"))
        if f is None:
            continue
        target = np.where(f.windward, strength * f.supply - f.downhill, np.inf)
        q, at = _frames_reach(f, target), np.where(b.frame >= 0, b.frame, 0)
        for grip, takes in beside.frames:
            easier = replace(f, push=f.push + np.where(f.windward, takes[..., at], 0.0))
            q = np.maximum(q, _frames_reach(easier, target + grip[..., at]))
        if h.mixed and frames is not None:
            alone = frames[..., np.where(b.frame >= 0, b.frame, 0)]
            q = np.maximum(q, np.where(f.windward, np.maximum(alone, rest), 0.0))
        out.append(
            Limit(Check(What.PUSH_OF_FRAME, name), np.where(f.windward, q, np.inf), b.ids, None, None, "Pa")
        )
    # what nothing pushes does not slide, whatever lifts it
    still = np.where((g.size <= 0) & (g.downhill <= 0), np.inf, 0.0)
    pulled = np.where(g.total > 0, reached[..., -1:], still)
    out.append(Limit(Check(What.SLIDE), np.maximum(pulled, rub), ("shelter",), None, None, "Pa"))
    return out


def tension_needed(b: Base, h: Held, gamma: float, q: float) -> Floats:
    """Tension that each line must hold at a velocity pressure (Pa), every line standing: N, (c, n)."""
    worst: Floats = np.maximum.reduce(list(tensions(b, h, gamma, q).values()))
    return worst


def pulls_needed(b: Base, h: Held, gamma: float, q: float) -> tuple[Floats, Floats, Floats]:
    """At a pressure, every line standing: what all lines together have to hold of the push (N), (c, 1); what lee lines add of it (N), (c, 1);
    and the share of its pull that each brings, (c, n).
    """
    standing = replace(h, tension=np.where(h.on_line, 1.0, 0.0) * np.ones_like(h.tension))
    g = _geometry(b, standing, gamma)
    added = (lines.net_uplift(q, g.rigid, g.own) * g.lee).sum(-1, keepdims=True)
    return lines.push_to_hold(q, gamma * g.size, added + g.downhill), added, g.supply


def tensions(b: Base, h: Held, gamma: float, q: float) -> dict[What, Floats]:
    """The same by what asks for it: uplift, push, push of its frame; N, (c, n) each."""
    standing = replace(h, tension=np.where(h.on_line, 1.0, 0.0) * np.ones_like(h.tension))
    g = _geometry(b, standing, gamma)
    f = _frame_geometry(b, standing, gamma, g)
    degrees = np.where(h.on_line, np.rad2deg(h.angle), 90.0)
    with working.title("Lines, base as a whole", items=b.ids, of=Topic.LINES):
        net = lines.net_uplift(q, g.rigid, g.own)
        up = np.where(h.on_line, lines.tension_of_uplift(net, degrees), 0.0)
        push = lines.push_to_hold(q, gamma * g.size, (net * g.lee).sum(-1, keepdims=True) + g.downhill)
        share = np.where(
            g.facing, lines.tension_of_share(g.factor, push, np.where(g.total > 0, g.total, 1.0)), 0.0
        )
    out = {What.UPLIFT: up, What.PUSH: share}
    if f is not None:
        with working.title("Lines, frame by frame", items=b.ids, of=Topic.LINES_BY_FRAME):
            lifted = lines.tension_of_uplift(lines.net_uplift(q, f.rise, f.feet), degrees)
            out[What.UPLIFT_OF_FRAME] = np.where(h.on_line & (b.frame >= 0), lifted, 0.0)
            held_alone = lines.push_to_hold(q, f.push, f.added(q))
            supply = np.where(f.windward, f.supply, 1.0)
            out[What.PUSH_OF_FRAME] = np.where(
                f.windward, lines.tension_of_share(1.0, held_alone, supply), 0.0
            )
    return out


def _feet_models(b: Base, h: Held, gamma: float) -> list[tuple[What, Floats, Floats, Floats, Floats]]:
    """(what, push, lift) per unit of q, own weight and what pulls downhill of each point: base as a whole, and frame by frame."""
    fall = np.sin(np.deg2rad(b.slope))
    own = h.own + h.ballast - gamma * b.strap_here
    models = [(What.STAKE, b.shares.push_rigid, b.shares.rigid, own, weight_at_points(b, h) * fall)]
    if len(b.frame_weight):
        on = b.frame >= 0
        k = np.where(on, b.frame, 0)
        halves, downhill = np.abs(b.pushed) / 2, np.where(on, weight_of_frames(b, h)[..., k] / 2, 0.0) * fall
        if b.carries:
            halves, downhill = halves @ b.carry.T, downhill @ b.carry.T
        own = h.shelter * np.where(on, b.frame_weight[k] / 2, 0.0) - gamma * b.strap_here
        models.append((What.STAKE_OF_FOOT, halves, b.shares.frame, own + h.ballast, downhill))
    return models


def feet_needed(b: Base, h: Held, gamma: float, q: float) -> Floats:
    """Stakes needed through each foot at a velocity pressure (Pa), h the strength of one at each: (c, n)."""
    worst = np.zeros_like(b.shares.rigid)
    for _, push, lift, own, downhill in _feet_models(b, h, gamma):
        asked = gamma * q * push + downhill
        with np.errstate(divide="ignore", invalid="ignore"):
            side = np.where(asked > 0, asked / h.lateral, 0.0)
            up = np.maximum(gamma * q * plus(lift) - own, 0.0)
            worst = np.maximum(worst, side + np.where(up > 0, up / h.axial, 0.0))
    return np.where(h.on_foot, worst, 0.0)


def _feet_reach(
    h: Held,
    gamma: float,
    push: Floats,
    lift: Floats,
    own: Floats,
    downhill: Floats,
    help_: Floats | float = 0.0,
) -> Floats:
    """Pressure q (Pa) at which the stakes through each foot are full, (c, n). help_: push (N) that something else takes off them."""
    up = gamma * plus(lift)
    with np.errstate(divide="ignore", invalid="ignore"):
        slope = np.where(push > 0, gamma * push / h.lateral, 0.0)
        rise = np.where(up > 0, up / h.axial, 0.0)
        asked = downhill - help_
        left = 1.0 - np.where(asked != 0, asked / h.lateral, 0.0)
    start = _starts(up, own + 0 * up)
    none_sideways, none_upward = np.isinf(slope), np.isinf(rise)
    q = lines.one_reach(
        np.where(none_sideways, 0.0, slope),
        np.where(none_upward, 0.0, rise),
        start,
        np.maximum(left, 0.0),
    )
    q = np.where(none_upward, np.minimum(q, plus(start)), q)
    found: Floats = np.where(none_sideways | ~(left >= 0), 0.0, q)
    return found


def _feet_alone(b: Base, h: Held) -> list[tuple[Floats, Floats, Floats]]:
    """Where the stakes through feet take all of a push: (push of each per unit of q, its share of what pulls downhill, what
    does that), base as a whole and frame by frame; no weight elsewhere rubs for them.
    """
    fall, staked = np.sin(np.deg2rad(b.slope)), h.on_foot & b.usable
    models = [
        (rigid_push(b.xy, staked, b.cases) * staked, staked / max(staked.sum(), 1), h.full * fall),
    ]
    if len(b.frame_weight):
        on = b.frame >= 0
        k = np.where(on, b.frame, 0)
        ties = per_frame(b, staked.astype(float))[k]
        share = np.where(on & staked, 1.0 / np.maximum(ties, 1.0), 0.0)
        models.append(
            (np.abs(b.pushed) * share, share, np.where(on, weight_of_frames(b, h)[..., k], 0.0) * fall)
        )
    return models


def rubbing(b: Base, h: Held, gamma: float, of: Pulls | None = None) -> Floats:
    """The q at which the friction of the whole is met, with what lee lines add to the push, (c, 1)."""
    g = _geometry(b, h, gamma) if of is None else of.whole
    return _rubbing(b, h, gamma, g, g.rigid * g.lee)


def feet_checks(b: Base, h: Held, gamma: float, carried: Floats, frames: Floats | None) -> list[Limit]:
    """Stakes through the feet: (h + W sin β)/(ψHult) + (u - κw)/(ψVult) <= 1 at each point, both models of the base.

    Where other points hold in another way, the stakes as well with all of the push, unless something else carries it alone.
    carried: the q up to which friction or lines alone do, (c, 1); frames: up to which friction does of each frame, or of the whole.
    """
    out, beside = [], _beside(b, h, gamma)
    alone = _feet_alone(b, h) if h.mixed and (h.on_foot & b.usable).any() else []
    k = np.where(b.frame >= 0, b.frame, 0)
    for j, (what, push, lift, own, downhill) in enumerate(_feet_models(b, h, gamma)):
        q = _feet_reach(h, gamma, push, lift, own, downhill)
        if alone:
            all_of_it, share, falls = alone[j]
            whole = _feet_reach(h, gamma, all_of_it, lift, own, falls * share)
            for grip, takes in beside.frames if j else beside.whole:
                part = share * (grip[..., k] if j else grip)
                more = share * (takes[..., k] if j else takes) / gamma
                eased = _feet_reach(h, gamma, all_of_it + more, lift, own, falls * share, part)
                up_alone = _feet_reach(h, gamma, 0.0 * push, lift, own, 0.0 * push)
                whole = np.maximum(whole, np.minimum(eased, up_alone))
            rest = frames[..., k] if j and frames is not None else carried
            q = np.minimum(q, np.maximum(whole, rest))
        out.append(Limit(Check(what), np.where(h.on_foot, q, np.inf), b.ids, None, None, "Pa"))
    return out


def staked_slide(b: Base, h: Held, gamma: float) -> Floats:
    """Pressure q (Pa) at which the stakes through all feet together are full sideways, with friction where it adds, (c, 1)."""
    supply = h.lateral.sum(-1, keepdims=True) - h.full * np.sin(np.deg2rad(b.slope))
    q = linear(Check(What.SLIDE), gamma * size(b.cases.push), supply, ("shelter",), "N").q
    for grip, takes in _beside(b, h, gamma).whole:
        q = np.maximum(
            q,
            linear(Check(What.SLIDE), gamma * size(b.cases.push) + takes, supply + grip, ("shelter",), "N").q,
        )
    return q


def feet_pushed(b: Base, h: Held, gamma: float, q: float) -> tuple[Floats, Floats]:
    """Stakes needed through each foot at a pressure (Pa) where they take all of the push, h the strength of one at each: (c, n),
    the base as a whole and frame by frame.
    """
    out = []
    for (all_of_it, share, falls), (_, _, lift, own, _) in zip(
        _feet_alone(b, h), _feet_models(b, h, gamma), strict=True
    ):
        asked = gamma * q * all_of_it + falls * share
        up = np.maximum(gamma * q * plus(lift) - own, 0.0)
        with np.errstate(divide="ignore", invalid="ignore"):
            need = np.where(asked > 0, asked / h.lateral, 0.0) + np.where(up > 0, up / h.axial, 0.0)
        out.append(np.where(h.on_foot & b.usable & (asked > 0), need, 0.0))
    return out[0], out[-1] if len(out) > 1 else np.zeros_like(out[0])
