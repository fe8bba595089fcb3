"""The base that the wind loads come down to, and what holds it at each point."""

from __future__ import annotations

import functools
import operator
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, fields, replace
from typing import Any

import numpy as np
from numpy.typing import NDArray

from anchorage.checks.limit import plus
from anchorage.core import tables
from anchorage.core.checked import Gives
from anchorage.core.closed import FACES
from anchorage.core.constants import gravity
from anchorage.core.errors import NotModelledError
from anchorage.formulas import ballast, working
from anchorage.formulas.demand import Cases, Shares, frame_factors, rigid_shares, shares
from anchorage.holding.hardware import Factors, Hardware
from anchorage.shelter.shape import OUTWARD, Shape

Floats = NDArray[np.float64]
Flags = NDArray[np.bool_]
_LABELS = {"stakes": Gives.STAKE, "line-ballast": Gives.BLOCK, "deadman": Gives.DEADMAN}


class Same(tuple[Any, ...]):
    """Things to keep a result under, alike only if they are the very same objects: nothing is compared by value.

    What keeps a result keeps these too, so that none of them goes and leaves its place to another.
    """

    __slots__ = ()

    def __hash__(self) -> int:
        return hash(tuple(map(id, self)))

    def __eq__(self, other: object) -> bool:
        return isinstance(other, Same) and len(self) == len(other) and all(map(operator.is_, self, other))

    def __ne__(self, other: object) -> bool:
        return not self == other


def settled(made: Any) -> Any:
    """A record whose arrays nobody can write into any more: it is kept for whoever asks again."""
    for f in fields(made):
        value = getattr(made, f.name)
        if isinstance(value, np.ndarray):
            value.setflags(write=False)
    return made


def may_keep() -> bool:
    """Whether what was worked out before may be used: no tape is on, and no figure stands instead of its row."""
    return not working.recording() and not tables.varied()


@dataclass(frozen=True)
class Base:
    """What the wind asks, per unit of q, and the base that it stands on. n points, c cases, f frames."""

    cases: Cases
    shares: Shares
    xy: Floats
    """m, (n, 2)."""
    ids: tuple[str, ...]
    groups: tuple[str, ...]
    outward: Floats
    """Unit vectors in plan that a line from each point runs along, (n, 2)."""
    usable: Flags
    """Points that hold something, (n,)."""
    spanned: bool
    """Whether the others hold what is asked at those that hold nothing; else each of these is asked for its own share too."""
    carries: bool
    """Whether neighbours take what is asked at those that hold nothing."""
    frame: NDArray[np.int_]
    """Frame that each point stands on; -1 for none, (n,)."""
    beside: Flags
    """Points next to each other on one side or end, (n, n)."""
    edges: Floats
    """Outward unit vectors of the base edges, front, right, back, left, (4, 2)."""
    arms: Floats
    """Distance of each edge from the middle (m), (4,)."""
    frame_weight: Floats
    """Share of the shelter's own weight on each frame, (f,)."""
    length: float
    width: float
    slope: float = 0.0
    """Fall of the ground under the base (degrees); it may fall in any direction."""
    strap_fixed: Floats | float = 0.0
    """What locked straps lift at each point under snow and lean (N), unfactored, (n,)."""
    strap_here: Floats | float = 0.0
    """The same after what a foot that holds nothing leaves to its neighbours."""
    strap_per_q: Floats | float = 0.0
    """The same from the wind, per unit of q (m^2), (n,)."""
    minimum_push: Floats | None = None
    """Least push of a code on each face (N), (4,); None where none applies."""
    minimum_moment: Floats | None = None
    """Its moment about the base (N m), (4,)."""
    kinds: tuple[int, ...] = ()
    """What stands at each point, by number, -1 where that is not known; empty: all points hold in one way."""
    every: Shares | None = None
    """What the points would be asked for if each held something, for the same load cases."""

    def take(self, index: Flags | NDArray[np.int_]) -> Base:
        """The same base under a selection of the cases."""
        every = None if self.every is None else _taken(self.every, index)
        shared = every if every is not None and self.shares is self.every else _taken(self.shares, index)
        return replace(self, cases=self.cases.take(index), shares=shared, every=every)

    def strapped(self, fixed: Floats, per_q: Floats) -> Base:
        """The same base with what locked straps lift at each point, (n,)."""
        if not (np.any(fixed) or np.any(per_q)):
            return self
        return _on(replace(self, strap_fixed=fixed, strap_per_q=per_q, every=None), self.usable)

    def under(self, cases: Cases) -> Base:
        """The same base under other load cases, with leading axes (..., c, .) or without."""
        return _on(replace(self, cases=cases, every=None), self.usable)

    def without(self, lost: Flags) -> Base:
        """The same base with some points more that hold nothing."""
        return self.holding(self.usable & ~lost)

    def holding(self, usable: Flags) -> Base:
        """The same base where these points hold something and no others."""
        return self if np.array_equal(usable, self.usable) else _on(self, usable)

    def of_kinds(self, kinds: tuple[int, ...]) -> Base:
        """The same base where points hold in these ways: see ``stiffnesses``."""
        one = kinds if len({k for k in kinds if k >= 0}) > 1 else ()
        return self if one == self.kinds else _on(replace(self, kinds=one, every=None), self.usable)

    def each(self) -> Base:
        """The same base with every foot asked for its own share, whether it holds something or not."""
        every = _on(self, np.ones(len(self.usable), bool))
        return replace(every, usable=self.usable)

    @property
    def pushed(self) -> Floats:
        """Push across the ridge on the frame of each point (m^2), (..., c, n); 0 for those on none."""
        if not len(self.frame_weight):
            return np.zeros_like(self.shares.rigid)
        on = self.frame >= 0
        pushed: Floats = np.where(on, self.shares.frame_push[..., np.where(on, self.frame, 0)], 0.0)
        return pushed

    @property
    def carry(self) -> Floats:
        """Share of what a frame asks at a foot (column) that each point (row) takes, (n, n): a foot that holds nothing
        gives half to the foot on either side of it, all to the one where there is one.
        """
        n = len(self.usable)
        near = self.beside & self.usable[:, None] & ((self.frame >= 0)[:, None] & (self.frame >= 0))
        near &= np.sign(self.xy[:, None, 1]) == np.sign(self.xy[None, :, 1])
        share = np.divide(1.0, near.sum(axis=0), out=np.zeros(n), where=near.any(axis=0))
        return np.where(self.usable[None, :], np.eye(n), near * share)


def _taken(s: Shares, index: Flags | NDArray[np.int_]) -> Shares:
    return Shares(
        s.rigid[index], s.push_rigid[index], s.frame[index], s.frame_uplift[index], s.frame_push[index]
    )


MOST_SETS = 64
"""Sets of feet at most that are tried as lost, beside all and each by itself."""


def _sets(gone: list[int], beside: Flags) -> list[list[int]]:
    """Those of the feet that hold nothing that may be lost together, no two of them neighbours."""
    out: list[list[int]] = [[]]
    for i in gone:
        out += [[*s, i] for s in out if not any(beside[i, j] for j in s)]
        if len(out) > MOST_SETS:
            return [[j] for j in gone] + ([] if beside[np.ix_(gone, gone)].any() else [gone])
    return out[1:]


def stiffnesses(kinds: tuple[int, ...], left: Flags) -> Iterator[Floats]:
    """Stiffness of the point springs, (n,), beside that of all alike: the points of each set of kinds stiffer than the others.

    A weight is stiff until it lifts, a line gives, a stake is somewhere between: which of them is stiffer, and by how much, nobody
    knows at a site. What is not known to be of one kind may be either. left: points that have a spring.
    """
    every = sorted(set(kinds))
    ratio, seen = tables.row("mixed", "stiffer").value, set[tuple[float, ...]]()
    if len(every) < 2:
        return
    for number in range(1, 2 ** len(every) - 1):
        stiff = [k for j, k in enumerate(every) if number >> j & 1]
        springs = np.where(np.isin(kinds, stiff), ratio, 1.0)
        alike = tuple((springs[left] / springs[left].min()).tolist())
        if max(alike, default=1.0) > 1.0 and alike not in seen:
            seen.add(alike)
            yield springs


def _stiffer(b: Base, left: Flags, rigid: Floats, push: Floats) -> tuple[Floats, Floats]:
    """The more that is asked of each point, case by case, where points that differ in kind differ in stiffness."""
    if not b.kinds:
        return rigid, push
    for k in stiffnesses(b.kinds, left):
        up, side = _rigid(b, left, k)
        rigid, push = np.maximum(rigid, up + b.strap_per_q * left), np.maximum(push, side)
    return rigid, push


def _on(b: Base, usable: Flags) -> Base:
    """The base with these points alone, kept where the load cases are those of one installation: most are asked for again."""
    kept = (
        plain(b) and not b.kinds
    )  # how much stiffer one kind is, is a row of a table, which is told of each time
    return _on_kept(Same((b,)), usable.tobytes()) if kept else _made_on(b, usable)


@functools.lru_cache(maxsize=32)
def _on_kept(of: Same, usable: bytes) -> Base:
    made: Base = settled(_made_on(of[0], np.frombuffer(usable, bool)))
    return made


def _made_on(b: Base, usable: Flags) -> Base:
    """Both models of the base; where points differ in kind the worst of springs that are alike, stiffer and softer. Feet that hold nothing: the base without them and without each part of them, the worse
    at every point, and frame by frame what they are asked on their neighbours. Two neighbours, or a base that cannot
    stand without them: nothing spans them, and each is asked for what it would be if it held.
    """
    load = b.every
    if load is None or working.recording():
        load = _asked_of_every(b)
        if np.any(b.strap_per_q):
            load = replace(
                load,
                rigid=load.rigid + b.strap_per_q,
                frame=load.frame + b.strap_per_q * (b.frame >= 0),
            )
        if b.kinds:
            rigid, push = _stiffer(b, np.ones(len(usable), bool), load.rigid, load.push_rigid)
            load = replace(load, rigid=rigid, push_rigid=push)
    count = int(b.frame.max()) + 1
    weight = b.frame_weight
    if count and len(weight) != count:
        x = np.array([b.xy[b.frame == k, 0].mean() for k in range(count)])
        weight = frame_factors(x, b.length, np.zeros((1, 1)))[0]
    whole = replace(
        b, shares=load, every=load, usable=usable, frame_weight=weight, spanned=False, carries=False, strap_here=b.strap_fixed,
    )  # fmt: skip
    return whole if usable.all() else _lacking(whole)


def plain(b: Base) -> bool:
    """Whether its load cases are those of one installation, and not of thousands of draws or places at once."""
    return b.cases.uplift.ndim == 2 and may_keep()


def _asked_of_every(b: Base) -> Shares:
    if plain(b):
        return _shares_kept(Same((b.xy, b.frame, b.cases)), b.length, b.width)
    return shares(b.xy, np.ones(len(b.xy), bool), b.frame, b.length, b.width, b.cases)


@functools.lru_cache(maxsize=64)
def _shares_kept(of: Same, length: float, width: float) -> Shares:
    xy, frame, cases = of
    made: Shares = settled(shares(xy, np.ones(len(xy), bool), frame, length, width, cases))
    return made


def _rigid(b: Base, left: Flags, springs: Floats | None = None) -> tuple[Floats, Floats]:
    if plain(b):
        return _rigid_kept(
            Same((b.xy, b.cases)), left.tobytes(), None if springs is None else springs.tobytes()
        )
    return rigid_shares(b.xy, left, b.cases, springs)


@functools.lru_cache(maxsize=512)
def _rigid_kept(of: Same, left: bytes, springs: bytes | None) -> tuple[Floats, Floats]:
    k = None if springs is None else np.frombuffer(springs)
    made = rigid_shares(of[0], np.frombuffer(left, bool), of[1], k)
    for a in made:
        a.setflags(write=False)
    return made


def _lacking(b: Base) -> Base:
    gone = [int(i) for i in np.flatnonzero(~b.usable)]
    spanned = not b.beside[np.ix_(gone, gone)].any()
    rigid, push = b.shares.rigid, b.shares.push_rigid
    for lost in (
        _sets(gone, b.beside) if b.usable.any() else []
    ):  # where none holds anything, none is left to ask
        left = np.ones(len(b.usable), bool)
        left[lost] = False
        try:
            up, side = _rigid(b, left)
        except NotModelledError:
            spanned = spanned and len(lost) < len(gone)
            continue
        rigid = np.maximum(rigid, up + b.strap_per_q * left)
        push = np.maximum(push, side)
        rigid, push = _stiffer(b, left, rigid, push)
    s, alone = b.shares, ~b.usable & (not spanned)
    carried = np.where(b.usable, s.frame, plus(s.frame)) @ b.carry.T
    lifted = b.strap_fixed
    if np.any(lifted):
        lifted = b.carry @ (lifted * np.ones(len(b.usable))) + alone * lifted
    return replace(
        b, spanned=spanned, carries=True, strap_here=lifted,
        shares=replace(
            s, rigid=np.where(b.usable, rigid, s.rigid * alone), push_rigid=np.where(b.usable, push, 0.0),
            frame=np.where(b.usable, carried, s.frame * alone),
        ),
    )  # fmt: skip


def base(shape: Shape, cases: Cases, usable: Flags | None = None, slope: float = 0.0) -> Base:
    """Put the load cases on the base of a shape; usable: points that can hold anything, all where left out."""
    bare = (_bare_kept if may_keep() else _bare)(Same((shape, cases)), slope)
    return _on(bare, bare.usable if usable is None else usable)


def _bare(of: Same, slope: float) -> Base:
    shape, cases = of
    xy = np.array([(p.x, p.y) for p in shape.points])
    frame = np.array([-1 if p.frame is None else p.frame for p in shape.points])
    good = np.ones(len(xy), bool)
    none = np.zeros((len(cases.names), len(xy)))
    return Base(
        cases=cases, shares=Shares(none, none, none, none[:, :0], none[:, :0]), xy=xy, ids=tuple(p.id for p in shape.points),
        groups=tuple(p.group for p in shape.points), outward=np.array([p.outward for p in shape.points]), usable=good, spanned=False, carries=False, frame=frame, beside=_beside(xy, shape),
        edges=np.array([OUTWARD[f] for f in FACES]),
        arms=np.array([shape.length / 2, shape.width / 2, shape.length / 2, shape.width / 2]), frame_weight=np.zeros(0),
        length=shape.length, width=shape.width, slope=slope,
    )  # fmt: skip


@functools.lru_cache(maxsize=64)
def _bare_kept(of: Same, slope: float) -> Base:
    made: Base = settled(_bare(of, slope))
    return made


def _beside(xy: Floats, shape: Shape) -> Flags:
    """Which points are next to each other along a side, and along an end where there are points between its corners."""
    near = np.zeros((len(xy), len(xy)), bool)
    for axis, half in ((1, shape.width / 2), (0, shape.length / 2)):
        for at in (-half, half):
            row = np.flatnonzero(np.isclose(xy[:, axis], at))
            row = row[np.argsort(xy[row, 1 - axis])]
            if axis == 1 or len(row) > 2:
                near[row[:-1], row[1:]] = near[row[1:], row[:-1]] = True
    return near


@dataclass(frozen=True)
class Held:
    """What holds, at each point: (..., 1, n). Forces in N, margins already applied."""

    shelter: Floats
    """κs·Ws, the whole shelter, (..., 1, 1)."""
    own: Floats
    """Its share at each point; what a foot that holds nothing has of it is moved nowhere."""
    full: Floats
    """Weight of shelter and ballast on the frame without a margin, where weight is adverse, (..., 1, 1)."""
    load: Floats
    """Weight of the ballast on the frame at each point without a margin, (..., 1, n)."""
    ballast: Floats
    """κb·B of each point, on the frame."""
    friction: Floats
    """φμ of what the ballast at each point stands on, the least of every contact down to the ground."""
    foot: Floats
    """φμ of what the shelter's own weight stands on at each point."""
    tension: Floats
    """Factored pull along the line of each point; 0 where there is no line."""
    line: Floats | None
    """Weakest of line, knot and attachment over γ line, as a tension at γ wind; None where none is given."""
    lateral: Floats
    axial: Floats
    """Factored strength of stakes through the foot; 0 where there are none."""
    angle: Floats
    """Line angle at each point (radians), 0 where no line runs, (n,)."""
    on_line: Flags
    """Points whose hardware is on a line, (n,)."""
    on_foot: Flags
    """Points with stakes through the foot, (n,)."""
    weighed: Flags
    """Points with ballast on the frame, (n,)."""
    label: Gives = Gives.ANCHOR
    mixed: bool = False
    """Points hold in more than one way."""
    adds: float = 0.0
    """Share of the friction that counts beside lines and stakes; 0: whichever of them holds more, alone."""


def kinds_of(hard: Sequence[Hardware], would: Sequence[str | None]) -> tuple[int, ...]:
    """What stands at each point, by number; -1 where nothing does and nobody says what would. would: the kind that the file says."""
    here = [(h.kind, h.line_angle is not None) for h in hard]
    known = sorted({k for k in here if k[0] != "none"})
    said = {kind: j for j, (kind, _) in enumerate(known)}
    return tuple(
        known.index(k) if k in known else said.get(str(w), -1) for k, w in zip(here, would, strict=True)
    )


@dataclass(frozen=True)
class _Columns:
    """What stands at each point as arrays, (n,), so that hundreds of counts need not ask each point again."""

    on_line: Flags
    on_frame: Flags
    on_foot: Flags
    mass: Floats
    """kg of one unit on the frame, 0 of others."""
    friction: Floats
    foot: Floats
    pull: Floats
    lateral: Floats
    axial: Floats
    angle: Floats
    most: Floats
    """The largest of what one unit is worth as weight, on a line and through the foot: 0 where it is nothing."""
    strength: tuple[float | None, ...]
    crowded: bool


@functools.lru_cache(maxsize=64)
def _columns(hard: Same) -> _Columns:
    def each(name: str) -> Floats:
        return np.array([float(getattr(h, name)) for h in hard])

    on_frame = np.array([h.kind == "ballast" for h in hard])
    mass = np.where(on_frame, each("unit_mass"), 0.0)
    pull, lateral, axial = each("pull"), each("lateral"), each("axial")
    made: _Columns = settled(
        _Columns(
            on_line=np.array([h.line_angle is not None for h in hard]),
            on_frame=on_frame,
            on_foot=np.array([h.kind == "stakes" and h.line_angle is None for h in hard]),
            mass=mass,
            friction=each("friction"),
            foot=each("foot"),
            pull=pull,
            lateral=lateral,
            axial=axial,
            angle=np.deg2rad([h.line_angle or 0.0 for h in hard]),
            most=np.max([mass, pull, lateral, axial], axis=0, initial=0.0),
            strength=tuple(h.line_strength for h in hard),
            crowded=any(h.crowd is not None for h in hard),
        )
    )
    return made


def _worth(hard: Sequence[Hardware], count: Floats) -> Floats:
    """Units' worth of so many units at each point, (..., n)."""
    if not _columns(Same(hard)).crowded:
        return count
    return np.stack([h.effective(count[..., i]) for i, h in enumerate(hard)], axis=-1)


def holding(hard: Sequence[Hardware], counts: Any) -> Flags:
    """Points that hold something, (n,): what is there is worth something as weight, on a line or through the foot."""
    there: Flags = _worth(hard, np.asarray(counts, float)) * _columns(Same(hard)).most > 0
    return there


def held(
    hard: Sequence[Hardware], factors: Factors, counts: Any, shelter_mass: float, usable: Flags | None = None
) -> Held:
    """Strength at each point of ``counts`` units, (..., n) -> (..., 1, n). shelter_mass (kg)."""
    count = np.asarray(counts, float)
    n = count.shape[-1]
    good = np.ones(n, bool) if usable is None else usable
    worth = _worth(hard, count)[..., None, :] * good

    x = _columns(Same(hard))
    on_line, on_frame, on_foot = x.on_line & good, x.on_frame, x.on_foot & good
    weight = ballast.ballast_weight(worth, x.mass, gravity())
    line = None
    if any(s is not None for s in x.strength):
        rated = np.array([np.inf if s is None else s * factors.wind / factors.line for s in x.strength])
        line = np.where(on_line & (worth > 0), rated, np.where(on_line, 0.0, np.inf))
    shelter = factors.shelter * shelter_mass * gravity()
    kinds = {h.kind for h, use in zip(hard, good, strict=True) if use and h.kind != "none"}
    return Held(
        shelter=np.full((1, 1), shelter),
        own=np.full((1, n), shelter / n),
        full=shelter_mass * gravity() + weight.sum(-1, keepdims=True),
        load=weight,
        ballast=factors.ballast * weight,
        friction=(factors.friction * x.friction)[None, :],
        foot=(factors.friction * x.foot)[None, :],
        tension=np.where(on_line, x.pull * worth, 0.0),
        line=line,
        lateral=np.where(on_foot, x.lateral * worth, 0.0),
        axial=np.where(on_foot, x.axial * worth, 0.0),
        angle=x.angle,
        on_line=on_line,
        on_foot=on_foot,
        weighed=on_frame & good,
        label=_LABELS.get(next(iter(kinds)), Gives.ANCHOR) if len(kinds) == 1 else Gives.ANCHOR,
        mixed=len(kinds) > 1,
        adds=factors.adds,
    )


def credited(h: Held, most: Floats | float) -> tuple[Floats, Floats]:
    """φμ of the own weight and of the ballast at each point, none of them credited with more than a coefficient."""
    return np.minimum(h.foot, most), np.minimum(h.friction, most)


def credits_of(h: Held) -> list[Floats]:
    """The coefficients that occur, each one to credit at the most, (..., 1, 1).

    Uplift U takes its share of the friction where most is to be had, so Σ μN - Σ μu is least over all ways to spread U. The
    least is the largest, over such an m, of Σ min(μ, m)·N - m·U (linear programming: m is what a newton of uplift
    costs): each alone is safe, the best of them is the answer, and a slipperier contact never raises it.
    """
    every = np.concatenate(np.broadcast_arrays(h.foot, h.friction), axis=-1)
    flat = every.reshape(-1, every.shape[-1])
    flat = np.array([sorted(set(flat[0].tolist()))]) if len(flat) == 1 else np.unique(flat, axis=1)
    found = [column.reshape(*every.shape[:-1], 1) for column in flat.T if column.any()]
    return found or [np.zeros((1, 1))]


def _shelter_weight(h: Held) -> Floats:
    """The shelter's own weight without a margin (N), (..., 1, 1)."""
    weight: Floats = h.full - h.load.sum(-1, keepdims=True)
    return weight


def weight_at_points(b: Base, h: Held) -> Floats:
    """Weight that stands at each point without a margin (N), the shelter's shared evenly, (..., 1, n)."""
    weight: Floats = _shelter_weight(h) / len(b.usable) + h.load
    return weight


def weight_of_frames(b: Base, h: Held) -> Floats:
    """Weight that each frame carries without a margin (N), (..., 1, f)."""
    weight: Floats = _shelter_weight(h) * b.frame_weight + per_frame(b, h.load)
    return weight


def frame_loads(b: Base) -> tuple[Floats, Floats]:
    """Push (its size) and uplift of each frame (m^2), (..., c, f), after what a foot that holds nothing leaves to others;
    where nothing spans it, its own half of the frame stays on it too.
    """
    s = b.shares
    if not b.carries:
        return np.abs(s.frame_push), s.frame_uplift
    on = b.frame >= 0
    half = np.where(on, s.frame_uplift[..., np.where(on, b.frame, 0)] / 2, 0.0)
    half = np.where(b.usable, half, plus(half))
    takes = b.carry.T + np.diag(np.where(b.usable | b.spanned, 0.0, 1.0))
    return per_frame(b, np.abs(b.pushed) / 2 @ takes), per_frame(b, half @ takes)


def per_frame(b: Base, per_point: Floats) -> Floats:
    """Sum over the two feet of each frame, (..., n) -> (..., f)."""
    summed: Floats = per_point @ _pick(Same((b.frame,)), len(b.frame_weight))
    return summed


@functools.lru_cache(maxsize=64)
def _pick(of: Same, frames: int) -> Floats:
    frame: NDArray[np.int_] = of[0]
    pick = np.zeros((len(frame), frames))
    on = frame >= 0
    pick[np.flatnonzero(on), frame[on]] = 1.0
    pick.setflags(write=False)
    return pick
