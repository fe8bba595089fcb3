"""Cases x checks in numpy: the velocity pressure at which each check is just met.

Arrays are shaped (..., case, item). The ratio of a wind check is q divided by the q at which it is just met: 1 at the
limit, growing with V². Wind is never credited as weight: x⁺ = max(x, 0).
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from anchorage import working
from anchorage.base import Base, Held
from anchorage.hardware import Factors
from anchorage.holding import ballast, friction, lines
from anchorage.loads.demand import overturning
from anchorage.shape import FACES

Floats = NDArray[np.float64]
OK = 1.0 + 1e-9


@dataclass(frozen=True)
class Limit:
    """One check: q at which it is just met (Pa), (..., c, k), with what is asked and what there is."""

    name: str
    q: Floats
    items: tuple[str, ...]
    demand: Floats | None
    """Per unit of q with γ (m^2 or m^3), (..., c, k); None where the check is not linear in q."""
    capacity: Floats | None
    unit: str
    fixed: bool = False
    """True for a demand that does not grow with the wind (a code minimum); its q is inf."""

    @property
    def worst(self) -> tuple[int, int]:
        """Index (case, item) of the smallest q."""
        flat = int(np.argmin(self.q.reshape(-1, *self.q.shape[-2:])[0]))
        return flat // self.q.shape[-1], flat % self.q.shape[-1]


def _plus(x: Floats) -> Floats:
    positive: Floats = np.maximum(x, 0.0)
    return positive


def _limit(name: str, demand: Floats, capacity: Floats, items: tuple[str, ...], unit: str) -> Limit:
    demand, capacity = np.broadcast_arrays(_plus(demand), capacity)
    with np.errstate(divide="ignore", invalid="ignore"):
        q = np.where(demand > 0, ballast.limit(capacity, demand), np.inf)
    return Limit(name, q, items, demand, capacity, unit)


def _vertical(h: Held) -> Floats:
    """ψ·V: what lines or stakes hold straight down at each point (N)."""
    if h.angle is None:
        return h.axial
    up: Floats = h.tension * np.sin(np.deg2rad(h.angle))
    return up


def _lift(b: Base, h: Held, gamma: float) -> list[Limit]:
    n = len(b.ids)
    vertical, own = _vertical(h), h.shelter / n
    with working.heading("lift"):
        total, stakes = h.ballast.sum(-1, keepdims=True), vertical.sum(-1, keepdims=True)
        whole = ballast.vertical_resistance(h.shelter, total, stakes)
        out = [_limit("lift", ballast.factored(gamma, b.cases.uplift), whole, ("shelter",), "N")]
    with working.heading("lift at a point", items=b.ids):
        here = ballast.vertical_resistance(own, h.ballast, vertical)
        out.append(_limit("lift at a point", ballast.factored(gamma, b.shares.rigid), here, b.ids, "N"))
    with working.heading("lift of a frame foot", items=b.ids):
        on = b.frame >= 0
        feet = h.shelter * np.where(on, b.frame_weight[np.where(on, b.frame, 0)] / 2, 0.0)
        here = ballast.vertical_resistance(feet, h.ballast, vertical)
        out.append(_limit("lift of a frame foot", ballast.factored(gamma, b.shares.frame), here, b.ids, "N"))
    return out


def _resisting_moment(b: Base, h: Held) -> Floats:
    """κs·Ws·c + Σ (κb·B + ψV)·l about each base edge (N m), (..., 1, 4)."""
    levers = b.arms[:, None] - b.edges @ b.xy.T
    hold = h.ballast + _vertical(h)
    each = [ballast.moment_resistance(h.shelter, b.arms[k], hold, levers[k]) for k in range(len(b.arms))]
    return np.concatenate(each, axis=-1)


EDGES = tuple(f"over the {f} edge" for f in FACES)


def _overturn(b: Base, h: Held, gamma: float) -> Limit:
    with working.heading("overturn", items=EDGES):
        moment = overturning(b.cases.uplift, b.arms, b.cases.moment @ b.edges.T)
        return _limit("overturn", ballast.factored(gamma, moment), _resisting_moment(b, h), EDGES, "N*m")


def _slide_q(
    push: Floats, uplift: Floats, weight: Floats, mu: Floats, gamma: float
) -> tuple[Floats, Floats, Floats]:
    """(q, demand per q, capacity): friction alone, demand γ(H + φμU⁺) against φμκW."""
    demand = gamma * (push + mu * _plus(uplift))
    with np.errstate(divide="ignore", invalid="ignore"):
        q = friction.sliding_limit(mu, weight, gamma * push, gamma * _plus(uplift))
    capacity = friction.sliding_resistance(mu, weight)
    q, demand, capacity = np.broadcast_arrays(np.where(demand > 0, q, np.inf), demand, capacity)
    return q, demand, capacity


def _size(v: Floats) -> Floats:
    return np.hypot(v[..., :1], v[..., 1:])


def _frame_ballast(b: Base, per_point: Floats) -> Floats:
    """Sum over the two feet of each frame, (..., n) -> (..., f)."""
    count = len(b.frame_weight)
    pick = np.zeros((per_point.shape[-1], count))
    on = b.frame >= 0
    pick[np.flatnonzero(on), b.frame[on]] = 1.0
    return per_point @ pick


def _friction_checks(b: Base, h: Held, gamma: float) -> tuple[Limit, Limit]:
    with working.heading("slide"):
        weight = ballast.vertical_resistance(h.shelter, h.ballast.sum(-1, keepdims=True), 0.0)
        q, demand, capacity = _slide_q(_size(b.cases.push), b.cases.uplift, weight, h.friction, gamma)
    whole = Limit("slide", q, ("shelter",), demand, capacity, "N")
    frames = tuple(f"frame {k + 1}" for k in range(len(b.frame_weight)))
    with working.heading("slide of a frame", items=frames):
        own = ballast.vertical_resistance(h.shelter * b.frame_weight, _frame_ballast(b, h.ballast), 0.0)
        s = b.shares
        q, demand, capacity = _slide_q(np.abs(s.frame_push), s.frame_uplift, own, h.friction, gamma)
    q = np.where(np.abs(s.frame_push) > 0, q, np.inf)
    return whole, Limit("slide of a frame", q, frames, demand, capacity, "N")


def _twist_factor(b: Base, facing: NDArray[np.bool_], along: Floats) -> Floats:
    """Share of each facing line over the mean share when the push is off the middle, (c, n), not below 0."""
    s = (along[:, None, :] * b.xy).sum(-1)
    count = np.maximum(facing.sum(-1, keepdims=True), 1)
    mean = np.where(facing, s, 0.0).sum(-1, keepdims=True) / count
    spread = np.where(facing, (s - mean) ** 2, 0.0).sum(-1, keepdims=True)
    with np.errstate(divide="ignore", invalid="ignore"):
        tilt = np.where(spread > 1e-12, b.cases.eccentricity * (s - mean) * count / spread, 0.0)
    return _plus(1.0 + tilt)


@dataclass(frozen=True)
class _Geometry:
    """Who faces the push and who stands in the lee, per case and point; angle in radians."""

    angle: float
    size: Floats
    toward: Floats
    has: NDArray[np.bool_]
    facing: NDArray[np.bool_]
    own: Floats
    rigid: Floats
    starts: Floats
    lee: Floats
    """Push that a unit of net uplift of a lee line adds."""
    supply: Floats
    total: Floats
    factor: Floats


def _geometry(b: Base, h: Held, gamma: float) -> _Geometry:
    if h.angle is None:
        raise ValueError("no lines in this anchorage")
    angle = float(np.deg2rad(h.angle))
    size = _size(b.cases.push)
    direction = np.where(size > 0, b.cases.push / np.where(size > 0, size, 1.0), 0.0)
    toward = -(direction @ b.outward.T)
    has = h.tension > 0
    facing, behind = (toward > 1e-9) & has, (toward < -1e-9) & has
    own = h.shelter / len(b.ids) + h.ballast
    rigid = gamma * _plus(b.shares.rigid)
    with np.errstate(divide="ignore", invalid="ignore"):
        starts = np.where(rigid > 0, own / rigid, np.inf)
    supply = np.where(facing, np.cos(angle) * toward, 0.0)
    radians = np.deg2rad(b.cases.bearing)
    along = np.stack([np.sin(radians), np.cos(radians)], axis=-1)
    return _Geometry(
        angle, size, toward, has, facing, own, rigid, starts, np.where(behind, -toward / np.tan(angle), 0.0), supply,
        supply.sum(-1, keepdims=True), _twist_factor(b, facing, along),
    )  # fmt: skip


def _lines(b: Base, h: Held, gamma: float) -> list[Limit]:
    """Lines: their own uplift, their share of the push with what the lee lines add, frame by frame as well."""
    g = _geometry(b, h, gamma)
    f = _frame_geometry(b, h, gamma, g)
    adds = g.rigid * g.lee
    out = []
    for name, strength in (("stake", h.tension), ("line", h.line)):
        if strength is None:
            continue
        out.append(_limit(f"{name}: uplift", g.rigid, g.own + strength * np.sin(g.angle), b.ids, "N"))
        with np.errstate(divide="ignore", invalid="ignore"):
            target = np.where(g.facing, strength * g.total / g.factor, np.inf)
        finite = np.isfinite(target)
        target = np.where(finite, target, 0.0)
        q = lines.first_reach(
            np.broadcast_to(gamma * g.size, target.shape), adds[..., None, :] * np.ones((*target.shape, 1)),
            np.broadcast_to(g.starts[..., None, :], (*target.shape, len(b.ids))), target,
        )  # fmt: skip
        out.append(Limit(f"{name}: push", np.where(finite, q, np.inf), b.ids, None, None, "Pa"))
        target = np.where(f.windward, strength * f.supply, np.inf)
        finite = np.isfinite(target)
        q = lines.first_reach(
            f.push, (f.lift * f.lee)[..., None], f.starts[..., None], np.where(finite, target, 0.0)
        )
        out.append(Limit(f"{name}: push of its frame", np.where(finite, q, np.inf), b.ids, None, None, "Pa"))
    capacity = (g.supply * h.tension).sum(-1)
    pulled = lines.first_reach(gamma * g.size[..., 0], adds, g.starts, capacity)[..., None]
    slipping = gamma * (g.size + h.friction * _plus(b.cases.uplift))
    resist = np.broadcast_to(h.friction * h.shelter, slipping.shape)
    rub = lines.first_reach(slipping[..., 0], adds, g.starts, resist[..., 0])[..., None]
    out.append(
        Limit("slide", np.maximum(np.where(g.total > 0, pulled, 0.0), rub), ("shelter",), None, None, "Pa")
    )
    return out


@dataclass(frozen=True)
class _FrameGeometry:
    """The windward foot of each frame and what its lee foot adds, at every point, (c, n)."""

    windward: NDArray[np.bool_]
    push: Floats
    lift: Floats
    own: Floats
    starts: Floats
    lee: Floats
    supply: Floats


def _frame_geometry(b: Base, h: Held, gamma: float, g: _Geometry) -> _FrameGeometry:
    on = b.frame >= 0
    k = np.where(on, b.frame, 0)
    push = np.where(on, b.shares.frame_push[..., k], 0.0)
    out_y = b.outward[:, 1]
    cos_y = np.abs(out_y)
    windward = on & (push != 0) & (out_y * np.sign(push) < 0) & g.has
    index = range(len(k))
    opposite = np.array([next((j for j in index if on[j] and k[j] == k[i] and j != i), i) for i in index])
    lift = gamma * _plus(b.shares.frame[..., opposite])
    own = np.broadcast_to(h.shelter * b.frame_weight[k[opposite]] / 2 + h.ballast[..., opposite], lift.shape)
    with np.errstate(divide="ignore", invalid="ignore"):
        starts = np.where(lift > 0, own / lift, np.inf)
    lee = np.where(g.has[..., opposite], cos_y[opposite] / np.tan(g.angle), 0.0)
    return _FrameGeometry(windward, gamma * np.abs(push), lift, own, starts, np.broadcast_to(lee, lift.shape),
                          np.cos(g.angle) * cos_y)  # fmt: skip


def tension_needed(b: Base, h: Held, gamma: float, q: float) -> Floats:
    """Tension that each line must hold at a velocity pressure (Pa), every line standing: N, (c, n)."""
    return np.maximum.reduce(list(tensions(b, h, gamma, q).values()))


def tensions(b: Base, h: Held, gamma: float, q: float) -> dict[str, Floats]:
    """The same by what asks for it: uplift, push, push of its frame; N, (c, n) each."""
    standing = replace(h, tension=np.ones_like(h.tension))
    g = _geometry(b, standing, gamma)
    f = _frame_geometry(b, standing, gamma, g)
    degrees = np.rad2deg(g.angle)
    with working.heading("Lines, base as a whole", items=b.ids):
        net = lines.net_uplift(q, g.rigid, g.own)
        up = lines.tension_of_uplift(net, degrees)
        push = lines.push_to_hold(q, gamma * g.size, (net * g.lee).sum(-1, keepdims=True))
        with np.errstate(divide="ignore", invalid="ignore"):
            share = np.where(
                g.facing, lines.tension_of_share(g.factor, push, np.where(g.total > 0, g.total, 1.0)), 0.0
            )
    with working.heading("Lines, frame by frame", items=b.ids):
        added = lines.net_uplift(q, f.lift, f.own) * f.lee
        held_alone = lines.push_to_hold(q, f.push, added)
        supply = np.where(f.windward, f.supply, 1.0)
        alone = np.where(f.windward, lines.tension_of_share(1.0, held_alone, supply), 0.0)
    return {"uplift": up, "push": share, "push of its frame": alone}


def feet_needed(b: Base, h: Held, gamma: float, q: float) -> Floats:
    """Stakes needed through each foot at a velocity pressure (Pa), h the strength of one at each: (c, n)."""
    worst = np.zeros_like(b.shares.rigid)
    for push, lift, own in _feet_models(b, h):
        with np.errstate(divide="ignore", invalid="ignore"):
            side = np.where(push > 0, gamma * q * push / h.lateral, 0.0)
            up = np.maximum(gamma * q * _plus(lift) - own, 0.0)
            worst = np.maximum(worst, side + np.where(up > 0, up / h.axial, 0.0))
    return worst


def _feet_models(b: Base, h: Held) -> list[tuple[Floats, Floats, Floats]]:
    """(push, lift) per unit of q and own weight of each point: base as a whole, and frame by frame."""
    n = len(b.ids)
    on = b.frame >= 0
    k = np.where(on, b.frame, 0)
    halves = np.where(on, np.abs(b.shares.frame_push[..., k]) / 2, 0.0)
    own = h.shelter * np.where(on, b.frame_weight[k] / 2, 1.0 / n)
    return [
        (b.shares.push_rigid, b.shares.rigid, h.shelter / n + h.ballast),
        (halves, b.shares.frame, own + h.ballast),
    ]


def _feet(b: Base, h: Held, gamma: float) -> list[Limit]:
    """Stakes through the feet: h/(ψHult) + (u - κw)/(ψVult) <= 1 at each point, both models of the base."""
    out = []
    for name, (push, lift, own) in zip(("stake", "stake of a frame foot"), _feet_models(b, h), strict=True):
        up = gamma * _plus(lift)
        with np.errstate(divide="ignore", invalid="ignore"):
            slope = np.where(push > 0, gamma * push / h.lateral, 0.0)
            rise = np.where(up > 0, up / h.axial, 0.0)
            start = np.where(up > 0, own / up, np.inf)
        none_sideways, none_upward = np.isinf(slope), np.isinf(rise)
        q = lines.first_reach(np.where(none_sideways, 0.0, slope), np.where(none_upward, 0.0, rise)[..., None],
                              start[..., None], np.ones_like(slope))  # fmt: skip
        q = np.where(none_upward, np.minimum(q, start), q)
        out.append(Limit(name, np.where(none_sideways, 0.0, q), b.ids, None, None, "Pa"))
    return out


def _code_minimum(b: Base, h: Held, gamma: float) -> list[Limit]:
    """Least push of a code on each face, whatever the wind: slides and overturns as a demand that does not grow."""
    if b.minimum_push is None or b.minimum_moment is None:
        return []
    rub = h.friction * (h.shelter + h.ballast.sum(-1, keepdims=True))
    pull = np.zeros_like(rub)
    if h.angle is not None:
        facing = _plus(b.outward @ b.edges.T)
        pull = (h.tension * np.cos(np.deg2rad(h.angle))) @ facing
    pull = pull + h.lateral.sum(-1, keepdims=True)
    faces = tuple(f"wind on the {f}" for f in FACES)
    push = gamma * b.minimum_push[None, :]
    slide = Limit(
        "code minimum: slide",
        np.full((1, 4), np.inf),
        faces,
        push,
        np.maximum(rub, pull) + 0 * push,
        "N",
        fixed=True,
    )
    resist = _resisting_moment(b, h)[..., [2, 3, 0, 1]]
    moment = gamma * b.minimum_moment[None, :]
    tip = Limit("code minimum: overturn", np.full((1, 4), np.inf), faces, moment, resist, "N*m", fixed=True)
    return [slide, tip]


def limits(b: Base, h: Held, factors: Factors) -> list[Limit]:
    """Every check of an installation: the q at which each is just met, in every case and at every point."""
    gamma = factors.wind
    slide, frames = _friction_checks(b, h, gamma)
    lift, tip, code = _lift(b, h, gamma), _overturn(b, h, gamma), _code_minimum(b, h, gamma)
    if h.angle is not None:
        return [lift[0], *_lines(b, h, gamma), tip, *code]
    if h.on_feet:
        stakes = _limit(
            "slide", gamma * _size(b.cases.push), h.lateral.sum(-1, keepdims=True), ("shelter",), "N"
        )
        both = Limit("slide", np.maximum(stakes.q, slide.q), ("shelter",), None, None, "Pa")
        return [lift[0], both, *_feet(b, h, gamma), tip, *code]
    return [*lift, slide, frames, tip, *code]


def worst_ratio(found: list[Limit], q: float) -> float:
    """Largest ratio of any check at a velocity pressure (Pa); inf where something has no resistance at all."""
    return max(ratio(x, q) for x in found)


def ratio(x: Limit, q: float) -> float:
    """Ratio of one check: q over the q at which it is just met; demand over capacity where it does not grow."""
    if x.fixed and x.demand is not None and x.capacity is not None:
        with np.errstate(divide="ignore", invalid="ignore"):
            return float(np.max(np.where(x.demand > 0, x.demand / x.capacity, 0.0)))
    least = float(np.min(x.q))
    if q <= 0 or least == np.inf:
        return 0.0
    return q / least if least > 0 else float("inf")


def worst_pressure(found: list[Limit]) -> float:
    """Smallest q (Pa) at which any check is met."""
    return float(min(np.min(x.q) for x in found))


def ratios(found: list[Limit], pressure: Floats | float) -> dict[str, Floats]:
    """Ratio of each check for one pressure or many (Pa), shape of pressure: q over the q at which it is just met."""
    q = np.asarray(pressure, float)
    out = {}
    for x in found:
        if x.fixed:
            continue
        least = float(np.min(x.q))
        with np.errstate(divide="ignore", invalid="ignore"):
            out[x.name] = np.where(q > 0, q / least, 0.0)
    return out
