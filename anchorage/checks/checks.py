"""Cases x checks in numpy: the velocity pressure at which each check is just met.

Arrays are shaped (..., case, item). A wind check has one limiting q; its ratio is q over that, so it is 1 at the limit and
goes with V². What the wind presses down holds nothing: x⁺ = max(x, 0).
"""

from __future__ import annotations

from collections.abc import Sequence
from contextlib import AbstractContextManager
from dataclasses import replace
from typing import Any

import numpy as np

from anchorage.checks.footprint import (
    Base,
    Floats,
    Held,
    credited,
    credits_of,
    frame_loads,
    per_frame,
    weight_of_frames,
)
from anchorage.checks.limit import Limit, alike, linear, plus, size
from anchorage.checks.lines import (
    along_ridge,
    feet_checks,
    line_checks,
    pulls,
    rubbing,
    rubbing_frames,
    staked_slide,
)
from anchorage.core.checked import Check, What
from anchorage.core.closed import FACES
from anchorage.formulas import ballast, friction, working
from anchorage.formulas.demand import overturning
from anchorage.holding.hardware import Factors

EDGES = tuple(f"over the {f} edge" for f in FACES)


def _title(what: What, items: Sequence[str] | None = None) -> AbstractContextManager[None]:
    return working.title(what, items, of=what)


def _vertical(h: Held) -> Floats:
    """ψ·V: what lines or stakes hold straight down at each point (N)."""
    up: Floats = h.tension * np.sin(h.angle) + h.axial
    return up


def _lift(b: Base, h: Held, gamma: float) -> list[Limit]:
    vertical = _vertical(h)
    with _title(What.LIFT):
        total, stakes = h.ballast.sum(-1, keepdims=True), vertical.sum(-1, keepdims=True)
        whole = ballast.vertical_resistance(h.shelter, total, stakes)
        out = [linear(Check(What.LIFT), ballast.factored(gamma, b.cases.uplift), whole, ("shelter",), "N")]
    standing = ~(h.on_line | h.on_foot)
    if not standing.any():
        return out
    with _title(What.LIFT_AT_POINT, b.ids):
        here = ballast.vertical_resistance(h.own - gamma * b.strap_here, h.ballast, 0.0)
        out.append(
            linear(
                Check(What.LIFT_AT_POINT),
                ballast.factored(gamma, b.shares.rigid * standing),
                here,
                b.ids,
                "N",
            )
        )
    if not len(b.frame_weight):
        return out
    with _title(What.LIFT_OF_FOOT, b.ids):
        on = b.frame >= 0
        feet = (
            h.shelter * np.where(on, b.frame_weight[np.where(on, b.frame, 0)] / 2, 0.0) - gamma * b.strap_here
        )
        here = ballast.vertical_resistance(feet, h.ballast, 0.0)
        out.append(
            linear(
                Check(What.LIFT_OF_FOOT), ballast.factored(gamma, b.shares.frame * standing), here, b.ids, "N"
            )
        )
    return out


def _resisting_moment(b: Base, h: Held) -> Floats:
    """κs·Ws·c + Σ (κb·B + ψV)·l about every edge of the base (N m), (..., 1, 4)."""
    levers = b.arms[:, None] - b.edges @ b.xy.T
    hold = h.ballast + _vertical(h)
    each = [ballast.moment_resistance(h.shelter, b.arms[k], hold, levers[k]) for k in range(len(b.arms))]
    return np.concatenate(each, axis=-1)


def _overturn(b: Base, h: Held, gamma: float) -> Limit:
    with _title(What.OVERTURN, EDGES):
        moment = overturning(b.cases.uplift, b.arms, b.cases.moment @ b.edges.T)
        return linear(
            Check(What.OVERTURN), ballast.factored(gamma, moment), _resisting_moment(b, h), EDGES, "N*m"
        )


def _slide_q(
    b: Base,
    push: Floats,
    uplift: Floats,
    rub: Floats,
    weight: Floats,
    mu: Floats,
    gamma: float,
    *,
    sizing: bool = False,
) -> tuple[Floats, Floats, Floats]:
    """(q, demand per q, capacity): friction alone, demand γ(H + φμU⁺) against Σ φμκW, on the slope of the site.

    rub: Σ φμ·κW (N); weight: without a margin (N), which pulls downhill; mu: the largest φμ credited, which uplift takes away.
    sizing: what is left may be less than nothing, so that units first make that up.
    """
    fall = np.deg2rad(b.slope)
    demand = gamma * (push + mu * plus(uplift))
    left = (
        friction.sliding_resistance(1.0, rub)
        if b.slope == 0
        else friction.on_slope(rub, np.cos(fall), weight, np.sin(fall))
    )
    with np.errstate(divide="ignore", invalid="ignore"):
        q = friction.sliding_limit(plus(left), gamma * push, mu, gamma * plus(uplift))
    q = np.where(demand > 0, q, np.inf)
    return q, alike(q, demand), alike(q, left if sizing else plus(left))


def _best(found: list[tuple[Floats, Floats, Floats]]) -> tuple[Floats, Floats, Floats]:
    """(q, demand per q, capacity) of the level that holds most, case by case."""
    q, demand, capacity = found[0]
    for other in found[1:]:
        better = other[0] > q
        q, demand, capacity = (
            np.where(better, o, f) for o, f in zip(other, (q, demand, capacity), strict=True)
        )
    return q, demand, capacity


def _sizing_credit(h: Held, at: Any) -> list[Floats]:
    """One level, so that the check is linear in the counts: the largest of what units are put on; where none are, of the feet.

    at: the largest over all points, or over those of each frame.
    """
    units = at(np.where(h.weighed, h.friction, 0.0))
    return [np.where(units > 0, units, at(np.maximum(h.foot, h.friction)))]


def friction_checks(b: Base, h: Held, gamma: float, *, sizing: bool = False) -> tuple[Limit, Limit | None]:
    """Sliding on friction alone: the shelter as a whole, and each frame by itself. sizing: linear in the counts."""
    tried = _sizing_credit(h, lambda mu: np.max(mu, axis=-1, keepdims=True)) if sizing else credits_of(h)
    found = []
    with _title(What.SLIDE):
        for m in tried:
            foot, under = credited(h, m)
            rub = friction.summed(foot, h.own) + friction.summed(under, h.ballast)
            found.append(
                _slide_q(b, size(b.cases.push), b.cases.uplift, rub, h.full, m, gamma, sizing=sizing)
            )
    whole = Limit(Check(What.SLIDE), *_named(found, ("shelter",)))
    if not len(b.frame_weight):
        return whole, None
    frames = tuple(f"frame {k + 1}" for k in range(len(b.frame_weight)))
    found = []
    with _title(What.SLIDE_OF_FRAME, frames):
        on, (push, up) = b.frame >= 0, frame_loads(b)
        k = np.where(on, b.frame, 0)
        own = h.shelter * np.where(on, b.frame_weight[k] / 2, 0.0)
        weight = weight_of_frames(b, h)
        for m in _sizing_credit(h, lambda mu: _most_of_frame(b, mu)) if sizing else tried:
            foot, under = credited(h, m[..., k] if sizing else m)
            rub = per_frame(b, foot * own) + per_frame(b, under * h.ballast)
            found.append(_slide_q(b, push, up, rub, weight, m, gamma, sizing=sizing))
    q, items, demand, capacity, unit = _named(found, frames)
    return whole, Limit(
        Check(What.SLIDE_OF_FRAME),
        np.where(push > 0, q, np.inf),
        items,
        np.where(push > 0, demand, 0.0),
        capacity,
        unit,
    )


def _named(found: list[tuple[Floats, Floats, Floats]], items: tuple[str, ...]) -> tuple[Floats, tuple[str, ...], Floats, Floats, str]:  # fmt: skip
    q, demand, capacity = _best(found)
    return q, items, demand, capacity, "N"


def _most_of_frame(b: Base, per_point: Floats) -> Floats:
    """The larger of the two feet of each frame, (..., n) -> (..., f)."""
    on = b.frame[:, None] == np.arange(len(b.frame_weight))
    most: Floats = np.max(np.where(on, per_point[..., :, None], 0.0), axis=-2)
    return most


def _code_minimum(b: Base, h: Held, gamma: float, *, sizing: bool = False) -> list[Limit]:
    """Least push of a code on each face, whatever the wind: slides and overturns as a demand that does not grow.

    sizing: as a line in the counts; where there are lines or stakes they have to do it alone unless the shelter's own
    friction does.
    """
    if b.minimum_push is None or b.minimum_moment is None:
        return []
    fall = np.deg2rad(b.slope)
    rub = (friction.summed(h.foot, h.own) + friction.summed(h.friction, h.ballast)) * np.cos(fall)
    facing = plus(b.outward @ b.edges.T)
    pull = (h.tension * np.cos(h.angle)) @ facing + h.lateral.sum(-1, keepdims=True)
    faces = tuple(f"wind on the {f}" for f in FACES)
    push = gamma * b.minimum_push[None, :] + h.full * np.sin(fall)
    hold = np.maximum(rub, pull) + 0 * push
    if sizing:  # what ballast adds to the pull downhill is taken off what it holds: a line in the counts
        falls = h.load.sum(-1, keepdims=True) * np.sin(fall)
        push, hold = push - falls, hold - falls
        if h.on_line.any() or h.on_foot.any():
            own = friction.summed(h.foot, h.own) * np.cos(fall)
            push, hold = np.where(own >= push, 0.0, push), pull - falls + 0 * push
    slide = Limit(Check(What.LEAST_SLIDE), np.full((1, 4), np.inf), faces, push, hold, "N", fixed=True)
    resist = _resisting_moment(b, h)[..., [2, 3, 0, 1]]
    moment = gamma * b.minimum_moment[None, :]
    tip = Limit(Check(What.LEAST_OVERTURN), np.full((1, 4), np.inf), faces, moment, resist, "N*m", fixed=True)
    return [slide, tip]


def _on_friction(b: Base, h: Held) -> Any:
    """Frames, (f,), that friction alone holds among lines or stakes: weights at their feet, or nothing that is spanned."""
    tied = per_frame(b, ((h.on_line | h.on_foot) & b.usable).astype(float)) > 0
    held = per_frame(b, b.usable.astype(float)) > 0
    return ~tied & (held | (b.carries and not b.spanned))


def _alone(b: Base, h: Held, frames: Limit | None, rubbed: Floats | None, some: Any) -> list[Limit]:
    """Among lines or stakes, the slide of each frame that has neither at its own two feet, or none that holds against the push.

    rubbed: the q of its friction, what a lee line adds in it; some: where nothing else holds, (c, f).
    """
    if frames is None:
        return []
    q = np.where(_on_friction(b, h), frames.q, np.inf)
    if rubbed is not None:
        q = np.where(some & np.isfinite(frames.q), np.minimum(q, rubbed), q)
    return [replace(frames, q=q, demand=None, capacity=None, unit="Pa")] if np.isfinite(q).any() else []


def limits(b: Base, h: Held, factors: Factors) -> list[Limit]:
    """Every check of an installation: the q at which each is just met, in every case and at every point."""
    gamma = factors.wind
    slide, frames = friction_checks(b, h, gamma)
    out = [*_lift(b, h, gamma)]
    if h.on_line.any() or h.on_foot.any():
        unlike = h.mixed or along_ridge(b, h)
        of = pulls(b, h, gamma) if h.on_line.any() else None
        rubbed, some = rubbing_frames(b, h, gamma, of.frames) if of is not None and unlike else (None, None)
        each = rubbed if rubbed is not None or frames is None else frames.q
        out += line_checks(b, h, gamma, of, each) if of is not None else []
        if h.on_foot.any():
            whole = rubbing(b, h, gamma, of) if of is not None else slide.q
            carried = np.maximum(whole, out[-1].q) if h.on_line.any() else whole
            out += feet_checks(b, h, gamma, carried, None if each is None else np.maximum(each, whole))
        out += _alone(b, h, frames, rubbed, some)
        if not h.on_line.any():
            q = np.maximum(staked_slide(b, h, gamma), slide.q)
            out.append(Limit(Check(What.SLIDE), q, ("shelter",), None, None, "Pa"))
    else:
        out += [slide, *([frames] if frames is not None else [])]
    return [*out, _overturn(b, h, gamma), *_code_minimum(b, h, gamma)]


def bare_feet(b: Base, h: Held, factors: Factors) -> Limit:
    """The feet that hold nothing where they have only the shelter's own weight: when each lifts, or its frame slides.

    b: the base on which every foot is asked for its own share.
    """
    bare = np.flatnonzero(~b.usable)
    q = np.full((*b.shares.rigid.shape[:-1], len(bare)), np.inf)
    for limit in _lift(b, h, factors.wind)[1:]:
        q = np.minimum(q, limit.q[..., bare])
    _, frames = friction_checks(b, h, factors.wind)
    if frames is not None and not (h.on_line.any() or h.on_foot.any()):
        on = b.frame[bare] >= 0
        q = np.where(on, np.minimum(q, frames.q[..., np.where(on, b.frame[bare], 0)]), q)
    return Limit(Check(What.BARE), q, tuple(b.ids[i] for i in bare), None, None, "Pa", people=True)


def linear_limits(b: Base, h: Held, factors: Factors) -> list[Limit]:
    """The checks that are linear in the counts, for sizing: lift, overturning, code minimum, and friction where no line helps."""
    gamma = factors.wind
    slide, frames = friction_checks(b, h, gamma, sizing=True)
    out = [*_lift(b, h, gamma), _overturn(b, h, gamma), *_code_minimum(b, h, gamma, sizing=True)]
    if h.on_line.any():
        alone = ~((-(b.cases.push @ b.outward.T) > 1e-9) & h.on_line).any(axis=-1, keepdims=True)
        alone &= (size(b.cases.push) > 0) | (b.slope > 0)  # what nothing pushes does not slide
        if slide.demand is not None:
            left = None if slide.capacity is None else plus(slide.capacity)
            out.append(replace(slide, demand=np.where(alone, slide.demand, 0.0), capacity=left))
    elif not h.on_foot.any():
        out += [slide, *([frames] if frames is not None else [])]
    return out


def ratio(x: Limit, q: float) -> float:
    """Ratio of one check: q over its limiting q; demand over capacity where it does not grow."""
    return float(np.max(ratios_of(x, q)))


def ratios_of(x: Limit, q: float) -> Floats:
    """The same by the leading axes of the check, (...,)."""
    with np.errstate(divide="ignore", invalid="ignore"):
        if x.fixed and x.demand is not None and x.capacity is not None:
            asked: Floats = np.max(np.where(x.demand > 0, x.demand / x.capacity, 0.0), axis=(-2, -1))
            return asked
        least = np.min(x.q, axis=(-2, -1))
        grown: Floats = np.where((least == np.inf) | (q <= 0), 0.0, np.where(least > 0, q / least, np.inf))
        return grown


def worst_pressure(found: list[Limit]) -> float:
    """Smallest q (Pa) at which any check is met."""
    return float(min(np.min(x.q) for x in found))


def ratios(found: list[Limit], pressure: Floats | float) -> dict[str, Floats]:
    """Ratio of each check for one pressure or many (Pa), shape of pressure: q over its limiting q."""
    q = np.asarray(pressure, float)
    out = {}
    for x in found:
        if x.fixed:
            continue
        least = float(np.min(x.q))
        with np.errstate(divide="ignore", invalid="ignore"):
            out[x.name] = np.where(q > 0, q / least, 0.0)
    return out
