"""Lines and stakes through feet: who takes the push, what the lee lines add, and the q at which each is full.

The push H is shared among the lines that lean away from the wind; a line on the lee side holds uplift only, and what it
pulls outward adds to H. Everything is piecewise linear in q and solved at its breakpoints.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from anchorage.checks.footprint import (
    Base,
    Flags,
    Floats,
    Held,
    credited,
    credits_of,
    weight_at_points,
    weight_of_frames,
)
from anchorage.checks.limit import Limit, linear, plus, size
from anchorage.core.checked import Check, Gives, What
from anchorage.formulas import friction, lines, working
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


@dataclass(frozen=True)
class _FrameGeometry:
    """The windward foot of each frame and what its lee foot adds, at every point, (c, n)."""

    rise: Floats
    """Uplift of the foot that stands at the point, factored, per unit of q."""
    feet: Floats
    """What weight holds it."""
    windward: Flags
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
        adds = self.carry * (self.lift * self.lee)[..., None, :]
        starts = self.starts[..., None, :] + 0 * adds
        return lines.reach_each(self.push, adds, starts, target[..., None])[..., 0]

    def added(self, q: float) -> Floats:
        """What the lee feet and the slope add to the push of each windward foot at q (N), (c, n)."""
        net: Floats = lines.net_uplift(q, self.lift, self.own) * self.lee
        return (net if self.carry is None else net @ self.carry.T) + self.downhill


def _frame_geometry(b: Base, h: Held, gamma: float, g: _Geometry) -> _FrameGeometry | None:
    if not len(b.frame_weight):
        return None
    on = b.frame >= 0
    k = np.where(on, b.frame, 0)
    push = b.pushed
    out_y = b.outward[:, 1]
    cos_y = np.abs(out_y)
    facing = on & (push != 0) & (out_y * np.sign(push) < 0)
    index = range(len(k))
    opposite = np.array(
        [next((j for j in index if on[j] and on[i] and k[j] == k[i] and j != i), i) for i in index]
    )
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
    windward = facing & g.has
    if carry is not None:
        pressed, lee = pressed @ carry.T, np.where(facing, lee, 0.0)
        downhill = np.where(facing, downhill, 0.0) @ carry.T
        windward = (pressed > 0) & g.has
    return _FrameGeometry(rise, feet, windward, pressed, lift, own, _starts(lift, own), lee + 0 * lift,
                          np.cos(h.angle) * cos_y, downhill, carry)  # fmt: skip


def _reach(push: Floats, adds: Floats, starts: Floats, target: Floats) -> Floats:
    """Pressure q (Pa) at which the push and what lee lines add reach a target; inf targets never. target (c, k), adds (c, i)."""
    finite = np.isfinite(target)
    q = lines.reach_each(push[..., 0], adds, starts, np.where(finite, target, 0.0))
    found: Floats = np.where(finite, np.where(target > 0, q, 0.0), np.inf)
    return found


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


def line_checks(b: Base, h: Held, gamma: float, frames: Limit | None) -> list[Limit]:
    """Lines: their own uplift, their share of the push with what the lee lines add, frame by frame as well."""
    g = _geometry(b, h, gamma)
    f = _frame_geometry(b, h, gamma, g)
    adds = g.rigid * g.lee
    rub = _rubbing(b, h, gamma, g, adds)
    rest = rub if h.mixed else np.zeros_like(rub)
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
    reached = _reach(gamma * g.size, adds, g.starts, np.concatenate(targets, axis=-1))
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
        q = f.reach(np.where(np.isfinite(target), target, 0.0))
        q = np.where(np.isfinite(target), np.where(target > 0, q, 0.0), np.inf)
        if h.mixed and frames is not None:
            alone = frames.q[..., np.where(b.frame >= 0, b.frame, 0)]
            q = np.maximum(q, np.where(f.windward, np.maximum(alone, rest), 0.0))
        out.append(
            Limit(Check(What.PUSH_OF_FRAME, name), np.where(f.windward, q, np.inf), b.ids, None, None, "Pa")
        )
    pulled = np.where(g.total > 0, reached[..., -1:], 0.0)
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
            out[What.UPLIFT_OF_FRAME] = np.where(h.on_line, lifted, 0.0)
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


def feet_checks(b: Base, h: Held, gamma: float) -> list[Limit]:
    """Stakes through the feet: (h + W sin β)/(ψHult) + (u - κw)/(ψVult) <= 1 at each point, both models of the base."""
    out = []
    for what, push, lift, own, downhill in _feet_models(b, h, gamma):
        up = gamma * plus(lift)
        with np.errstate(divide="ignore", invalid="ignore"):
            slope = np.where(push > 0, gamma * push / h.lateral, 0.0)
            rise = np.where(up > 0, up / h.axial, 0.0)
            left = 1.0 - np.where(downhill > 0, downhill / h.lateral, 0.0)
        start = _starts(up, own + 0 * up)
        none_sideways, none_upward = np.isinf(slope), np.isinf(rise)
        q = lines.one_reach(
            np.where(none_sideways, 0.0, slope),
            np.where(none_upward, 0.0, rise),
            start,
            np.maximum(left, 0.0),
        )
        q = np.where(none_upward, np.minimum(q, plus(start)), q)
        q = np.where(none_sideways | (left < 0), 0.0, q)
        out.append(Limit(Check(what), np.where(h.on_foot, q, np.inf), b.ids, None, None, "Pa"))
    return out
