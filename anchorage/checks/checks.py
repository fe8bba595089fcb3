"""Cases x checks in numpy: the velocity pressure at which each check is just met.

Arrays are shaped (..., case, item). A wind check has one limiting q; its ratio is q over that, so it is 1 at the limit and
goes with V². What the wind presses down holds nothing: x⁺ = max(x, 0).
"""

from __future__ import annotations

import functools
from collections.abc import Sequence
from contextlib import AbstractContextManager
from dataclasses import dataclass, replace
from typing import Any, Protocol, TypeVar

import numpy as np

from anchorage.checks.footprint import (
    Base,
    Floats,
    Held,
    Same,
    credited,
    credits_of,
    frame_loads,
    may_keep,
    per_frame,
    plain,
    settled,
    weight_of_frames,
)
from anchorage.checks.limit import InCounts, Limit, alike, in_counts, linear, plus, size
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

M = TypeVar("M", covariant=True)  # noqa: PLC0105 - the name of what is made


class Make(Protocol[M]):
    """What a check with a demand that grows with q is made into: its q, or a line in the counts."""

    def __call__(
        self, check: Check, demand: Floats, capacity: Floats, items: tuple[str, ...], unit: str
    ) -> M: ...


EDGES = tuple(f"over the {f} edge" for f in FACES)


def _title(what: What, items: Sequence[str] | None = None) -> AbstractContextManager[None]:
    return working.title(what, items, of=what)


def _factored(gamma: float, load: Floats) -> Floats:
    """γ·D/q; of load cases of one installation, which are kept, it is kept too."""
    if load.ndim == 2 and not load.flags.writeable and may_keep():
        return _factored_kept(Same((load,)), gamma)
    asked: Floats = ballast.factored(gamma, load)
    return asked


@functools.lru_cache(maxsize=128)
def _factored_kept(of: Same, gamma: float) -> Floats:
    asked: Floats = ballast.factored(gamma, of[0])
    asked.setflags(write=False)
    return asked


@dataclass(frozen=True)
class _Pushed:
    """What pushes, and the uplift that takes its share of the friction, per unit of q (m²), without γ and with it."""

    push: Floats
    up: Floats
    push_factored: Floats
    up_factored: Floats


def _pushed(push: Floats, uplift: Floats, gamma: float) -> _Pushed:
    up = plus(uplift)
    return _Pushed(push, up, gamma * push, gamma * up)


@functools.lru_cache(maxsize=64)
def _pushed_kept(of: Same, gamma: float) -> tuple[_Pushed, _Pushed | None]:
    (b,) = of
    whole = _pushed(size(b.cases.push), b.cases.uplift, gamma)
    frames = _pushed(*frame_loads(b), gamma) if len(b.frame_weight) else None
    return settled(whole), None if frames is None else settled(frames)


def _sliding(b: Base, gamma: float) -> tuple[_Pushed, _Pushed | None]:
    """The shelter as a whole, and each of its frames."""
    return (_pushed_kept if plain(b) else _pushed_kept.__wrapped__)(Same((b,)), gamma)


def _vertical(h: Held) -> Floats:
    """ψ·V: what lines or stakes hold straight down at each point (N)."""
    up: Floats = h.tension * np.sin(h.angle) + h.axial
    return up


def _lift(b: Base, h: Held, gamma: float, make: Make[M]) -> list[M]:
    vertical = _vertical(h)
    with _title(What.LIFT):
        total, stakes = h.ballast.sum(-1, keepdims=True), vertical.sum(-1, keepdims=True)
        whole = ballast.vertical_resistance(h.shelter, total, stakes)
        out = [make(Check(What.LIFT), _factored(gamma, b.cases.uplift), whole, ("shelter",), "N")]
    standing = ~(h.on_line | h.on_foot)
    if not standing.any():
        return out
    all_stand = bool(standing.all())
    with _title(What.LIFT_AT_POINT, b.ids):
        here = ballast.vertical_resistance(h.own - gamma * b.strap_here, h.ballast, 0.0)
        out.append(
            make(
                Check(What.LIFT_AT_POINT),
                _factored(gamma, b.shares.rigid if all_stand else b.shares.rigid * standing),
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
            make(
                Check(What.LIFT_OF_FOOT),
                _factored(gamma, b.shares.frame if all_stand else b.shares.frame * standing),
                here,
                b.ids,
                "N",
            )
        )
    return out


def _resisting_moment(b: Base, h: Held) -> Floats:
    """κs·Ws·c + Σ (κb·B + ψV)·l about every edge of the base (N m), (..., 1, 4)."""
    levers = b.arms[:, None] - b.edges @ b.xy.T
    hold = h.ballast + _vertical(h)
    if not working.recording():  # the four at once, what is below has a line for each
        wide: Floats = ballast.moment_resistance(
            h.shelter[..., None], b.arms[:, None], hold[..., None, :], levers
        )
        return wide[..., 0]
    each = [ballast.moment_resistance(h.shelter, b.arms[k], hold, levers[k]) for k in range(len(b.arms))]
    return np.concatenate(each, axis=-1)


def _turning(b: Base) -> Floats:
    return _turning_kept(Same((b,))) if plain(b) else _turning_kept.__wrapped__(Same((b,)))


@functools.lru_cache(maxsize=64)
def _turning_kept(of: Same) -> Floats:
    (b,) = of
    moment: Floats = overturning(b.cases.uplift, b.arms, b.cases.moment @ b.edges.T)
    if not working.recording():
        moment.setflags(write=False)
    return moment


def _overturn(b: Base, h: Held, gamma: float, make: Make[M]) -> M:
    with _title(What.OVERTURN, EDGES):
        return make(
            Check(What.OVERTURN), _factored(gamma, _turning(b)), _resisting_moment(b, h), EDGES, "N*m"
        )


def _left(b: Base, rub: Floats, weight: Floats) -> Floats:
    """What is left of friction on the slope of the site (N), less than nothing where it slides by itself.

    rub: Σ φμ·κW (N); weight: without a margin (N), which pulls downhill.
    """
    if b.slope == 0:
        left: Floats = friction.sliding_resistance(1.0, rub)
        return left
    fall = np.deg2rad(b.slope)
    on_slope: Floats = friction.on_slope(rub, np.cos(fall), weight, np.sin(fall))
    return on_slope


def _slide_q(of: _Pushed, left: Floats, mu: Floats, gamma: float) -> tuple[Floats, Floats, Floats]:
    """(q, demand per q, capacity): friction alone, demand γ(H + φμU⁺) against what is left of Σ φμκW.

    mu: the largest φμ credited, which uplift takes away.
    """
    demand, capacity = gamma * (of.push + mu * of.up), plus(left)
    with np.errstate(divide="ignore", invalid="ignore"):
        q = friction.sliding_limit(capacity, of.push_factored, mu, of.up_factored)
    np.copyto(q, np.inf, where=~(demand > 0))
    return q, alike(q, demand), alike(q, capacity)


def _best(found: list[tuple[Floats, Floats, Floats]]) -> tuple[Floats, Floats, Floats]:
    """(q, demand per q, capacity) of the level that holds most, case by case."""
    q, demand, capacity = found[0]
    for other in found[1:]:
        better = other[0] > q
        q, demand, capacity = (
            np.where(better, o, f) for o, f in zip(other, (q, demand, capacity), strict=True)
        )
    return q, demand, capacity


def _rub(h: Held, m: Floats | float) -> Floats:
    """Σ φμ·κW of the shelter as a whole (N), none of the contacts credited with more than a coefficient."""
    foot, under = credited(h, m)
    rub: Floats = friction.summed(foot, h.own) + friction.summed(under, h.ballast)
    return rub


def _rub_of_frames(b: Base, h: Held, m: Floats | float) -> Floats:
    """The same of each frame; m: of all points, or of each."""
    on = b.frame >= 0
    own = h.shelter * np.where(on, b.frame_weight[np.where(on, b.frame, 0)] / 2, 0.0)
    foot, under = credited(h, m)
    return per_frame(b, foot * own) + per_frame(b, under * h.ballast)


def _frames(b: Base) -> tuple[str, ...]:
    return tuple(f"frame {k + 1}" for k in range(len(b.frame_weight)))


def friction_checks(b: Base, h: Held, gamma: float) -> tuple[Limit, Limit | None]:
    """Sliding on friction alone: the shelter as a whole, and each frame by itself."""
    tried, (pushed, by_frame) = credits_of(h), _sliding(b, gamma)
    with _title(What.SLIDE):
        found = [_slide_q(pushed, _left(b, _rub(h, m), h.full), m, gamma) for m in tried]
    whole = Limit(Check(What.SLIDE), *_named(found, ("shelter",)))
    if by_frame is None:
        return whole, None
    frames = _frames(b)
    with _title(What.SLIDE_OF_FRAME, frames):
        weight = weight_of_frames(b, h)
        found = [_slide_q(by_frame, _left(b, _rub_of_frames(b, h, m), weight), m, gamma) for m in tried]
    q, items, demand, capacity, unit = _named(found, frames)
    moved = by_frame.push > 0
    q, demand = np.where(moved, q, np.inf), np.where(moved, demand, 0.0)
    return whole, Limit(Check(What.SLIDE_OF_FRAME), q, items, demand, capacity, unit)


def _sizing_credit(h: Held, at: Any) -> Floats:
    """One level, so that the check is linear in the counts: the largest of what units are put on; where none are, of the feet.

    at: the largest over all points, or over those of each frame.
    """
    units: Floats = at(np.where(h.weighed, h.friction, 0.0))
    return np.where(units > 0, units, at(np.maximum(h.foot, h.friction)))


def _friction_in_counts(b: Base, h: Held, gamma: float) -> list[InCounts]:
    """The same for sizing; what is left may be less than nothing, so that units first make that up."""
    pushed, by_frame = _sliding(b, gamma)
    m = _sizing_credit(h, lambda mu: np.max(mu, axis=-1, keepdims=True))
    left, asked = _left(b, _rub(h, m), h.full), gamma * (pushed.push + m * pushed.up)
    out = [InCounts(Check(What.SLIDE), asked, left, ("shelter",))]
    if by_frame is not None:
        m = _sizing_credit(h, lambda mu: _most_of_frame(b, mu))
        rub = _rub_of_frames(b, h, m[..., np.where(b.frame >= 0, b.frame, 0)])
        left, push = _left(b, rub, weight_of_frames(b, h)), by_frame.push
        asked = np.where(push > 0, gamma * (push + m * by_frame.up), 0.0)
        out.append(InCounts(Check(What.SLIDE_OF_FRAME), asked, left, _frames(b)))
    return out


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
    out = [*_lift(b, h, gamma, linear)]
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
    return [*out, _overturn(b, h, gamma, linear), *_code_minimum(b, h, gamma)]


def bare_feet(b: Base, h: Held, factors: Factors) -> Limit:
    """The feet that hold nothing where they have only the shelter's own weight: when each lifts, or its frame slides.

    b: the base on which every foot is asked for its own share.
    """
    bare = np.flatnonzero(~b.usable)
    q = np.full((*b.shares.rigid.shape[:-1], len(bare)), np.inf)
    for limit in _lift(b, h, factors.wind, linear)[1:]:
        q = np.minimum(q, limit.q[..., bare])
    _, frames = friction_checks(b, h, factors.wind)
    if frames is not None and not (h.on_line.any() or h.on_foot.any()):
        on = b.frame[bare] >= 0
        q = np.where(on, np.minimum(q, frames.q[..., np.where(on, b.frame[bare], 0)]), q)
    return Limit(Check(What.BARE), q, tuple(b.ids[i] for i in bare), None, None, "Pa", people=True)


def linear_limits(b: Base, h: Held, factors: Factors) -> list[InCounts]:
    """The checks that are linear in the counts, for sizing: lift, overturning, code minimum, and friction where no line helps."""
    gamma = factors.wind
    out = [*_lift(b, h, gamma, in_counts), _overturn(b, h, gamma, in_counts)]
    out += [
        InCounts(x.check, x.demand, x.capacity, x.items, fixed=True)
        for x in _code_minimum(b, h, gamma, sizing=True)
        if x.demand is not None and x.capacity is not None
    ]
    if h.on_line.any():
        alone = ~((-(b.cases.push @ b.outward.T) > 1e-9) & h.on_line).any(axis=-1, keepdims=True)
        alone &= (size(b.cases.push) > 0) | (b.slope > 0)  # what nothing pushes does not slide
        slide = _friction_in_counts(b, h, gamma)[0]
        out.append(replace(slide, demand=np.where(alone, slide.demand, 0.0), capacity=plus(slide.capacity)))
    elif not h.on_foot.any():
        out += _friction_in_counts(b, h, gamma)
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
