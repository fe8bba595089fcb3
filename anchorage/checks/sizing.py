"""Smallest count at each point that passes: corners, sides and ends apart, the same under mirror in both axes."""

from __future__ import annotations

import functools
import itertools
from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from anchorage.checks.checks import limits, linear_limits, ratios_of
from anchorage.checks.footprint import Base, Floats, Same, held, plain, settled
from anchorage.checks.limit import InCounts
from anchorage.checks.lines import along_ridge, feet_needed, tension_needed
from anchorage.checks.outcome import GroupOut
from anchorage.core.closed import OK
from anchorage.formulas.demand import overturning
from anchorage.holding.hardware import Factors, Hardware

GROUPS = ("corner", "side", "end")
MOST = 2000
"""Units at one point beyond which the answer is that this does not hold it."""


@dataclass(frozen=True)
class Sized:
    """Counts by group and by point, and the check that asked for them; counts None where nothing is enough."""

    groups: tuple[GroupOut, ...]
    counts: NDArray[np.int_] | None
    governed_by: str

    @property
    def by_group(self) -> dict[str, int]:
        """The counts by the names of the groups."""
        return GroupOut.by_name(self.groups)

    @property
    def total(self) -> int | None:
        """Units over all points; None where nothing is enough."""
        return None if self.counts is None else int(self.counts.sum())


@dataclass(frozen=True)
class _Linear:
    """One check as  Σ A_g c_g >= per_q·q + fixed , an item a line."""

    name: str
    gain: Floats
    """(k, g)."""
    per_q: Floats
    fixed: Floats


def _linear_checks(empty: list[InCounts], ones: list[InCounts]) -> list[_Linear]:
    """Checks that are linear in the counts. empty: on all cases, nothing placed; ones: a unit at each group's points, (g, 1, k)."""
    out = []
    for limit, one in zip(empty, ones, strict=True):
        start = np.broadcast_to(limit.capacity, limit.demand.shape)[0]
        gain = (one.capacity[..., 0, :] - start).T
        most = limit.demand.max(axis=0)
        per_q, fixed = (0 * most, most) if limit.fixed else (most, 0 * most)
        out.append(_Linear(limit.name, gain, per_q, fixed - start))
    return out


def _distinct(rows: Floats) -> tuple[Floats, NDArray[np.int_]]:
    """The rows that differ, rising, and which of them each row is."""
    each = list(map(tuple, rows.tolist()))
    found = sorted(set(each))
    at = {row: i for i, row in enumerate(found)}
    return np.array(found).reshape(len(found), rows.shape[1]), np.array([at[row] for row in each])


def _needed(rest: Floats, gain: Floats) -> Floats:
    """Smallest whole number that covers each row, (..., k) -> (...)."""
    whole: Floats = np.ceil((rest / gain).max(axis=-1) - 1e-9)
    return whole


def _least(sizes: Floats, a: Floats, b: Floats, low: NDArray[np.int_]) -> NDArray[np.int_] | None:
    """Whole c >= low with A c >= b: least total, then smallest largest.

    Up to three groups: the least is exact, see ``_searched``. More (mixed sites), or so many counts that are alike to be looked
    through that nobody could place them: built up by the group that helps most for a unit, then thinned; no single unit can be taken away.
    """
    low = low.copy()
    for g in range(len(sizes)):
        alone = (a[:, g] > 0) & (np.delete(a, g, axis=1) <= 0).all(axis=1)
        if alone.any():
            low[g] = max(low[g], int(min(float(_needed(b[alone], a[alone, g])), MOST + 1)))
    some = _built(sizes, a, b, low)
    if some is None or len(sizes) > 3:
        return some
    reach = low + ((some - low) @ sizes / sizes + 1e-9).astype(int)
    found = _found(tuple(np.asarray(v, float).tobytes() for v in (sizes, a, b, low, reach, some)))
    return None if found is None else np.array(found)


@functools.lru_cache(maxsize=64)
def _found(bits: tuple[bytes, ...]) -> tuple[int, ...] | None:
    """What ``_searched`` finds for these very numbers: one load is sized for in several states, and a file again as it was."""
    sizes, a, b, *counts = map(np.frombuffer, bits)
    low, reach, some = (v.astype(int) for v in counts)
    found = _searched(sizes, a.reshape(len(b), -1), b, low, reach, some)
    return None if found is None else tuple(found.tolist())


BOXES = 1_000_000
"""Boxes that are looked through at the most: about a second."""


def _searched(
    sizes: Floats,
    a: Floats,
    b: Floats,
    low: NDArray[np.int_],
    reach: NDArray[np.int_],
    some: NDArray[np.int_],
) -> NDArray[np.int_] | None:
    """The same between bounds, exact: boxes of counts of all groups but the first are halved as long as they may hold it.

    More of the others never asks for more of the first (A >= 0), so a box has its least total from its low corner and
    what the first group needs at its high one. Where some A < 0 every count is a box of its own. some: holds, and is given back
    where more boxes than ``BOXES`` would have to be looked through (counts of a thousand at a point).
    """
    first, helps = a[:, 0], a[:, 0] > 0
    small, large = low[1:][None, :].astype(float), reach[1:][None, :].astype(float)
    if np.any(a[:, 1:] < 0):
        axes = [np.arange(x, y + 1.0) for x, y in zip(low[1:], reach[1:], strict=True)]
        small = np.stack([m.ravel() for m in np.meshgrid(*axes, indexing="ij")], axis=-1)
        large = small
    best = (np.inf, np.inf)
    while len(small):
        if len(small) > BOXES:
            return some
        rest = b[None, :] - large @ a[:, 1:].T
        needed = np.full(len(large), float(low[0]))
        if np.any(helps):
            needed = np.maximum(needed, _needed(rest[:, helps], first[helps]))
        enough = rest[:, ~helps] <= 1e-9 * np.maximum(np.abs(b[~helps]), 1.0)
        ok = enough.all(axis=1) & (needed <= MOST)
        small, large, needed = small[ok], large[ok], needed[ok]
        if not len(small):
            break
        total, most = _rank(sizes, needed, large)
        least = float(total.min())
        best = min(best, (least, float(most[total == least].min())))
        total, most = _rank(sizes, needed, small)
        kept = (total < best[0]) | ((total == best[0]) & (most <= best[1]))
        small, large, needed = small[kept], large[kept], needed[kept]
        if np.array_equal(small, large):
            at = min(range(len(small)), key=lambda i: tuple(small[i]))
            return np.array([needed[at], *small[at]]).astype(int)
        small, large = _halved(small, large)
    return None


def _rank(sizes: Floats, first: Floats, others: Floats) -> tuple[Floats, Floats]:
    """(total, largest count) of counts: the first decides, and among equals the second."""
    c = np.concatenate([first[:, None], others], axis=1)
    return c @ sizes, c.max(axis=1)


def _halved(small: Floats, large: Floats) -> tuple[Floats, Floats]:
    """Every box cut in two along each axis along which it is more than one count wide."""
    for g in range(small.shape[1]):
        wide = large[:, g] > small[:, g]
        middle = np.floor((small[:, g] + large[:, g]) / 2)
        under, over = large.copy(), small[wide].copy()
        under[wide, g], over[:, g] = middle[wide], middle[wide] + 1
        small, large = np.concatenate([small, over]), np.concatenate([under, large[wide]])
    return small, large


def _built(sizes: Floats, a: Floats, b: Floats, low: NDArray[np.int_]) -> NDArray[np.int_] | None:
    c, scale, steps = low.astype(float), np.maximum(np.abs(b), 1.0), np.eye(len(low))

    def short(x: Floats) -> Floats:
        gap: Floats = np.maximum(b - x @ a.T, 0.0) / scale
        return gap

    while (gap := short(c)).max(initial=0.0) > 1e-9:
        gains = (gap - short(c + steps)).sum(axis=-1) / sizes
        if gains.max() <= 0 or c.max() >= MOST:
            return None
        alike = np.flatnonzero(gains >= gains.max() * (1 - 1e-9))
        c += steps[alike[np.argmin(c[alike])]]
    for g in np.argsort(-sizes):
        while c[g] > low[g] and short(c - steps[g]).max(initial=0.0) <= 1e-9:
            c -= steps[g]
    return c.astype(int)


@dataclass(frozen=True)
class _Members:
    """Groups of points that get the same count: same place in the plan, same hardware."""

    places: tuple[tuple[str, str], ...]
    """Where each is, and what is counted there where the points differ in that."""
    member: Floats
    """(g, n), 1 where a point belongs."""

    def counted(self, each: Iterable[float]) -> tuple[GroupOut, ...]:
        """The groups, so many at each point of them."""
        return tuple(
            GroupOut(at=at, item=item, each=int(n)) for (at, item), n in zip(self.places, each, strict=True)
        )


def _members(b: Base, hard: Sequence[Hardware]) -> _Members:
    kinds: list[Hardware] = []
    keys: list[tuple[str, int] | None] = []
    for group, h, use in zip(b.groups, hard, b.usable, strict=True):
        if h.kind == "none" or not use:
            keys.append(None)
            continue
        if h not in kinds:
            kinds.append(h)
        keys.append((group, kinds.index(h)))
    order = sorted({k for k in keys if k is not None}, key=lambda k: (k[1], GROUPS.index(k[0])))
    places = [(g, "" if len(kinds) == 1 else kinds[i].counted) for g, i in order]
    where = ["/".join(b.ids[n] for n, k in enumerate(keys) if k == o) for o in order]
    return _Members(
        tuple(p if places.count(p) == 1 else (at, p[1]) for p, at in zip(places, where, strict=True)),
        np.array([[1.0 if k == o else 0.0 for k in keys] for o in order]).reshape(len(order), len(keys)),
    )


def raised(found: Sized, b: Base, hard: Sequence[Hardware], least: NDArray[np.int_], why: str) -> Sized:
    """The same counts, at no point fewer than these."""
    if found.counts is None or np.all(found.counts >= least):
        return found
    counts, groups = np.maximum(found.counts, least), _members(b, hard)
    most = groups.counted(counts[m > 0].max() for m in groups.member)
    return Sized(most, counts, why)


def _per_point(b: Base, hard: Sequence[Hardware], factors: Factors, shelter_mass: float, q: float) -> Floats:
    """Units on lines or through feet that each point needs of itself at q (Pa), as worth of one, (n,); inf: never enough."""
    one = held([_alone(h) for h in hard], factors, np.ones(len(b.ids)), shelter_mass, b.usable)
    need = np.zeros_like(b.shares.rigid)
    with np.errstate(divide="ignore", invalid="ignore"):
        if one.on_foot.any():
            need = np.maximum(need, feet_needed(b, one, factors.wind, q))
        if one.on_line.any():
            asked = tension_needed(b, one, factors.wind, q)
            need = np.maximum(need, np.where(asked > 0, asked / one.tension, 0.0))
    worst: Floats = np.nan_to_num(need.max(axis=0), nan=np.inf)
    return worst


def _alone(h: Hardware) -> Hardware:
    return replace(h, crowd=None) if h.crowd is not None else h


def units_for(h: Hardware, worth: float) -> float:
    """Units at a point whose worth together is at least this; inf where no number is."""
    if not np.isfinite(worth) or worth > MOST:
        return np.inf
    least = int(np.ceil(worth - 1e-9 * max(worth, 1.0)))
    if h.crowd is None:
        return least
    counts = np.arange(0, MOST + 1)
    enough = h.effective(counts) >= worth * (1 - 1e-9) - 1e-12
    return float(np.argmax(enough)) if enough.any() else np.inf


def sizes(
    b: Base, hard: Sequence[Hardware], factors: Factors, shelter_mass: float, pressures: Sequence[float]
) -> list[Sized]:
    """Least counts that hold at each velocity pressure (Pa), a code minimum of the base included."""
    least = sizer(b, hard, factors, shelter_mass)
    return [least(q) for q in pressures]


@functools.lru_cache(maxsize=64)
def _few(of: Same) -> Base:
    """The base under its first case: what a unit adds to what holds is the same in each."""
    made: Base = settled(of[0].take(np.array([0])))
    settled(made.cases)
    settled(made.shares)
    return made


@dataclass(frozen=True)
class Sizer:
    """Least counts at a velocity pressure (Pa), asked for one by one."""

    least: Callable[[float], Sized]
    most: Callable[[NDArray[np.int_]], float] = lambda _: 0.0
    """Up to which pressure counts by point hold, where all that is asked rises with it in a straight line; else 0, which says nothing."""

    def __call__(self, q: float) -> Sized:
        """The least counts that hold at q (Pa)."""
        return self.least(q)


def sizer(b: Base, hard: Sequence[Hardware], factors: Factors, shelter_mass: float) -> Sizer:
    """The same for pressures that are asked for one by one."""
    groups = _members(b, hard)
    if not groups.places:
        return Sizer(lambda _: Sized((), None, "no usable point"))
    few = (_few if plain(b) else _few.__wrapped__)(Same((b,)))
    zero = np.zeros(len(b.ids))
    empty = linear_limits(b, held(hard, factors, zero, shelter_mass, b.usable), factors)
    ones = linear_limits(few, held(hard, factors, groups.member, shelter_mass, b.usable), factors)
    rows = _linear_checks(empty, ones)
    gain = np.concatenate([r.gain for r in rows])
    per_q, fixed = np.concatenate([r.per_q for r in rows]), np.concatenate([r.fixed for r in rows])
    names = [r.name for r in rows for _ in r.per_q]
    same = _distinct(gain)

    def least(q: float) -> Sized:
        return _one(b, hard, factors, shelter_mass, q, groups, names, gain, same, per_q * q + fixed)

    def most(counts: NDArray[np.int_]) -> float:
        each = np.array([counts[m > 0].min() for m in groups.member])
        rising = per_q > 0
        return float(np.min((gain[rising] @ each - fixed[rising]) / per_q[rising], initial=np.inf))

    return Sizer(least) if _on_lines(hard) else Sizer(least, most)


def _on_lines(hard: Sequence[Hardware]) -> bool:
    return any(h.kind not in ("ballast", "none") for h in hard)


def _one(b: Base, hard: Sequence[Hardware], factors: Factors, mass: float, q: float, groups: _Members, names: list[str],
         gain: Floats, alike: tuple[Floats, NDArray[np.int_]], need: Floats) -> Sized:  # fmt: skip
    member = groups.member
    low, why = np.zeros(len(groups.places), int), ""
    on_lines = _on_lines(hard)
    if on_lines:
        worth = _per_point(b, hard, factors, mass, q)
        units = np.array([units_for(h, w) for h, w in zip(hard, worth, strict=True)])
        group = np.array([units[m > 0].max() for m in member])
        if not np.all(group <= MOST):
            return Sized((), None, hard[int(np.argmax(units))].counted)
        low, why = group.astype(int), hard[int(np.argmax(units))].counted
    if low.any() or np.any(
        need > 0
    ):  # a foot with nothing would be one that holds nothing, and the others are asked for more
        low = np.maximum(low, 1)
    same, which = alike
    most = np.full(len(same), -np.inf)
    np.maximum.at(most, which.ravel(), need)
    best = _least(member.sum(axis=1), same, most, low)
    helps = gain.max(axis=1)
    if best is None:
        stuck = (helps <= 0) & (need > 0)
        at = int(
            np.argmax(np.where(stuck, need, -np.inf) if stuck.any() else need / np.maximum(helps, 1e-300))
        )
        return Sized((), None, names[at])
    if on_lines and (
        b.slope
        or not b.usable.all()
        or len({h.kind for h in hard}) > 1
        or any(h.crowd for h in hard)
        or along_ridge(b, held(hard, factors, np.ones(len(hard)), mass, b.usable))
    ):
        best = _verified(_Trials(b, hard, factors, mass, q, member), same, most, low, best)
        if best is None:
            return Sized((), None, "line")
    slack = np.where(helps > 0, (gain @ best - need) / np.where(helps > 0, helps, 1.0), np.inf)
    if (not on_lines and best.any()) or np.any(best > low):
        why = names[int(np.argmin(slack))]
    return Sized(groups.counted(best), (best @ member).astype(int), why)


NEAR = 1e-12
"""Relative distance of two loads that are one but for rounding; far below that of a ratio from what is let pass."""
AHEAD = 24
"""Counts at most that are tried in one run."""


def _telling(b: Base) -> Base:
    """The base under those of its cases that no other outdoes: with the same push, at no place less uplift or overturning."""
    same = np.concatenate(
        [b.cases.push, b.cases.eccentricity, b.cases.twist, b.cases.bearing[:, None], b.shares.frame_push],
        axis=-1,
    )
    tip = overturning(b.cases.uplift, b.arms, b.cases.moment @ b.edges.T)
    s = b.shares
    more = np.concatenate([b.cases.uplift, s.rigid, s.push_rigid, s.frame, s.frame_uplift, tip], axis=-1)
    near, slack = (NEAR * (1.0 + np.abs(v).max(axis=0)) for v in (same, more))
    i, j = np.nonzero((np.abs(same[:, None, :] - same[None, :, :]) <= near).all(axis=-1))
    covers, covered = ((more[x] >= more[y] - slack).all(axis=-1) for x, y in ((i, j), (j, i)))
    out = np.unique(j[covers & (~covered | (i < j))])
    return b.take(np.setdiff1d(np.arange(len(same)), out))


class _Trials:
    """Whether counts by group hold at a pressure, by the whole of the checks; several are tried in one run."""

    def __init__(self, b: Base, hard: Sequence[Hardware], factors: Factors, mass: float, q: float, member: Floats) -> None:  # fmt: skip
        self.b, self.hard, self.factors, self.mass, self.q, self.member = b, hard, factors, mass, q, member
        self.known: dict[bytes, bool] = {}

    def among(self, b: Base) -> _Trials:
        """The same by the cases of another base."""
        return _Trials(b, self.hard, self.factors, self.mass, self.q, self.member)

    def hold(self, counts: NDArray[np.int_], ahead: Iterable[NDArray[np.int_]] = ()) -> bool:
        """ahead: those that may be asked for next."""
        key = counts.tobytes()
        if key not in self.known:
            every = [counts, *itertools.islice((c for c in ahead if c.tobytes() not in self.known), AHEAD)]
            for c, ok in zip(every, self._run(np.array(every)), strict=True):
                self.known[c.tobytes()] = bool(ok)
        return self.known[key]

    def _run(self, every: NDArray[np.int_]) -> NDArray[np.bool_]:
        h = held(self.hard, self.factors, every @ self.member, self.mass, self.b.usable)
        ok = np.ones(len(every), bool)
        for f in limits(self.b, h, self.factors):
            ok &= f.of_line | (ratios_of(f, self.q) <= OK)
        return ok


def _next(c: NDArray[np.int_]) -> NDArray[np.int_]:
    return c + np.maximum(1, c // 4)


def _if_each_holds(
    c: NDArray[np.int_], g: int, enough: int, best: NDArray[np.int_]
) -> Iterator[NDArray[np.int_]]:
    """What thinning comes to from group g on, as long as each trial holds."""
    x = c.copy()
    for k in range(g, len(c)):
        x[k], short = (enough if k == g else x[k]), int(best[k]) - 1
        while x[k] - short > 1:
            x[k] = (x[k] + short) // 2
            yield x.copy()


def _verified(all_of: _Trials, a: Floats, need: Floats, low: NDArray[np.int_], best: NDArray[np.int_]) -> NDArray[np.int_] | None:  # fmt: skip
    """Run the whole of the checks; where crowding or the share of friction still leaves them short, add, thin, and look for less beside.

    a, need: the checks that are linear in the counts, A c >= b; low: the least of each group.
    """
    if all_of.hold(best):
        return best.copy()
    tried, c = all_of.among(_telling(all_of.b)), _next(best)
    while not tried.hold(c, itertools.islice(_climb(c), 4)):
        if c.max() > MOST:
            return None
        c = _next(c)
    for g in range(len(c)):
        enough, short, missed = int(c[g]), int(best[g]) - 1, False
        while enough - short > 1:
            trial = _with(c, g, (enough + short) // 2)
            all_left = (_with(c, g, n) for n in range(short + 1, enough))
            if tried.hold(trial, all_left if missed else _if_each_holds(c, g, enough, best)):
                enough = int(trial[g])
            else:
                short, missed = int(trial[g]), True
        c[g] = enough
    return _least_beside(tried, a, need, low, c)


NEAR_BY = 3
"""Units up and down of each group within which less is looked for."""


def _least_beside(tried: _Trials, a: Floats, need: Floats, low: NDArray[np.int_], c: NDArray[np.int_]) -> NDArray[np.int_]:  # fmt: skip
    """Counts near by that hold with less in all, or with the same in all and fewer at the fullest point, as long as there are any.

    A unit more at a point takes nothing away: of those with less the ones are tried to which none can be added. The checks that are linear in
    the counts leave few of them.
    """
    sizes = tried.member.sum(axis=1)
    if len(c) > len(GROUPS):
        return c
    steps = np.array(list(itertools.product(range(-NEAR_BY, NEAR_BY + 1), repeat=len(c))))
    total = steps @ sizes
    less = ((total < 0) & (total + sizes.min() >= 0)) | ((total == 0) & ((c + steps).max(axis=1) < c.max()))
    near = (c + steps)[less & ((c + steps) >= low).all(axis=1)]
    near = near[(near @ a.T >= need - 1e-9 * np.maximum(np.abs(need), 1.0)).all(axis=1)]
    order = sorted(map(tuple, near.tolist()), key=lambda x: (float(sizes @ x), max(x), x))
    every = [np.array(x, int) for x in order]
    found = next((x for k, x in enumerate(every) if tried.hold(x, every[k + 1 :])), None)
    return c if found is None else _least_beside(tried, a, need, low, found)


def _climb(c: NDArray[np.int_]) -> Iterator[NDArray[np.int_]]:
    while c.max() <= MOST:
        c = _next(c)
        yield c


def _with(c: NDArray[np.int_], g: int, count: int) -> NDArray[np.int_]:
    out = c.copy()
    out[g] = count
    return out
