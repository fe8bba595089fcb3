"""What the wind asks of the anchorage: load cases, and the shares of each point and frame, all per unit of q.

Arrays are shaped (case, item). With r = (x, y) of a panel's centroid, z its height and F its force, a case is
    U = Σ Fz            uplift (m^2, since it is per Pa)
    S = Σ (Fz·r - Fxy·z)    first moment of the uplift that the base must hold (m^3, two components)
    H = Σ Fxy           push (m^2, two components)
so that tipping over a base edge with outward unit vector o at distance a from the middle is a·U - o·S.
"""

from __future__ import annotations

import functools
import itertools
import math
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, fields, replace
from typing import Any

import numpy as np
from numpy.typing import NDArray

from anchorage.core.errors import NotModelledError
from anchorage.core.say import say
from anchorage.formulas import working
from anchorage.formulas.panels import (
    Inside,
    Panels,
    Part,
    inside_names,
    inside_part,
    outside_part,
    signed,
)
from anchorage.formulas.working import formula

Floats = NDArray[np.float64]


@formula(
    symbol="X/q", unit="m^2", source="terrain by wind direction", clause="load at the terrain of the case, per unit of q at the windiest terrain",
    valid={"exposure": (0.0, 1.0)},
    exposure="q(terrain)/q [1]", load="X/q(terrain) [m^2]",
)  # fmt: skip
def at_exposure(exposure: Any, load: Any) -> Any:
    """Load of a case per unit of q at the windiest terrain. exposure (1): q of its terrain over that q;
    load (m^2, or m^3 for a moment). Returns the unit of the load.
    """
    return exposure * load


@formula(
    symbol="U/q", unit="m^2", source="design wind load cases of ASCE 7, read in BNBC 2020", clause="external and internal together, times the case factor",
    factor="k [1]", external="Ue/q [m^2]", inside="Ui/q [m^2]",
)  # fmt: skip
def case_uplift(factor: Any, external: Any, inside: Any) -> Any:
    """Uplift of a load case per unit of q. factor (1): 0.75 of a twist case; external, inside (m^2). Returns m^2."""
    return factor * (external + inside)


@formula(
    symbol="H/q", unit="m^2", source="design wind load cases of ASCE 7, read in BNBC 2020", clause="faces at their factor, inside in full",
    factor="k [1]", face_factor="kf [1]", external="He/q [m^2]", inside="Hi/q [m^2]",
)  # fmt: skip
def case_push(factor: Any, face_factor: Any, external: Any, inside: Any) -> Any:
    """Push of a load case per unit of q, one component. factor, face_factor (1); external: one face, or two faces
    together (m^2); inside (m^2). Returns m^2.
    """
    return factor * (face_factor * external + inside)


@formula(
    symbol="S/q", unit="m^3", source="design wind load cases of ASCE 7, read in BNBC 2020", clause="uplift in full, push moments at the face factor",
    factor="k [1]", vertical="Σ Fz·r/q [m^3]", inside="Si/q [m^3]", face_factor="kf [1]", push="Σ Fh·z/q [m^3]",
)  # fmt: skip
def case_moment(factor: Any, vertical: Any, inside: Any, face_factor: Any, push: Any) -> Any:
    """First moment of the uplift that the base must hold, one component, per unit of q. All in m^3; factors (1)."""
    return factor * (vertical + inside - face_factor * push)


@formula(
    symbol="u/q", unit="m^2", source="rigid base on equal springs", clause="U/n + biaxial moment about the middle of the points",
    uplift="U/q [m^2]", count="n [1]", tilt_x="bx [m]", x="dx [m]", tilt_y="by [m]", y="dy [m]",
)  # fmt: skip
def rigid_share(uplift: Any, count: Any, tilt_x: Any, x: Any, tilt_y: Any, y: Any) -> Any:
    """Uplift of a point. uplift (m^2), count of points; tilt (m) times distance from the middle (m). Returns m^2."""
    return uplift / count + tilt_x * x + tilt_y * y


@formula(
    symbol="u/q", unit="m^2", source="rigid base on springs of unlike stiffness", clause="k times what one of stiffness 1 takes there",
    stiffness="k [1]", even="u(1)/q [m^2]",
)  # fmt: skip
def spring_share(stiffness: Any, even: Any) -> Any:
    """Uplift of a point whose spring is stiffer or softer. stiffness (1); what a spring of 1 takes there (m^2). Returns m^2."""
    return stiffness * even


@formula(
    symbol="u/q", unit="m^2", source="frame by frame", clause="V/2 ± M/b on the two feet",
    uplift="V/q [m^2]", side="± [1]", moment="M/q [m^3]", width="b [m]", along="u(along)/q [m^2]",
)  # fmt: skip
def frame_foot(uplift: Any, side: Any, moment: Any, width: Any, along: Any) -> Any:
    """Uplift of a foot of a frame. uplift (m^2) and moment (m^3) of the frame; side +1 or -1; width (m). Returns m^2."""
    return uplift / 2 + side * moment / width + along


@formula(
    symbol="X/q", unit="m^2", source="tributary strip", clause="share of the frame times the load of the shelter",
    share="f [1]", load="X/q(shelter) [m^2]",
)  # fmt: skip
def frame_load(share: Any, load: Any) -> Any:
    """Load of a frame per unit of q. share (1); load of the whole shelter (m^2, or m^3 for a moment). Unit of the load."""
    return share * load


@formula(
    symbol="M/q", unit="m^3", source="statics", clause="tipping about a base edge: a·U - o·S",
    uplift="U/q [m^2]", arm="a [m]", moment="o·S/q [m^3]",
)  # fmt: skip
def overturning(uplift: Any, arm: Any, moment: Any) -> Any:
    """Overturning moment about a base edge per unit of q. uplift (m^2), arm (m), moment along o (m^3). m^3."""
    return arm * uplift - moment


@dataclass(frozen=True)
class Cases:
    """Every load case, per unit of q. c cases."""

    names: tuple[str, ...]
    bearing: Floats
    """Degrees clockwise from the front that the wind comes from, (c,)."""
    uplift: Floats
    """m^2, (c, 1); negative presses down."""
    moment: Floats
    """S (m^3), (c, 2)."""
    push: Floats
    """H (m^2), (c, 2); with the horizontal part of the roof pressures or without it, the larger."""
    eccentricity: Floats
    """Along the face (m), signed, (c, 1)."""
    twist: Floats
    """Moment of the push about the vertical through the middle of the base (m^3), without the eccentricity, (c, 1)."""
    across: NDArray[np.bool_]
    """True where the wind has a part across the ridge, (c,)."""
    parts: tuple[tuple[str, ...], ...] = ()
    """For each case: the faces, roof and inside variants that it was built from (for the working)."""
    exposure: Floats | None = None
    """q of the terrain that the wind comes over, over the largest of all terrains, (c, 1); None: the same all round."""
    shut: NDArray[np.bool_] | None = None
    """True where all that shuts is shut, (c,); None: it makes no difference."""

    @property
    def twisted(self) -> NDArray[np.bool_]:
        """Where the push is off the middle of its face, which has a factor of its own, (c,)."""
        off: NDArray[np.bool_] = np.any(self.eccentricity != 0, axis=-1)
        return off

    def take(self, index: Any) -> Cases:
        """A selection of the cases, by index array or mask."""
        i = np.arange(len(self.names))[index]
        return Cases(
            tuple(self.names[k] for k in i), self.bearing[i], self.uplift[i], self.moment[i], self.push[i],
            self.eccentricity[i], self.twist[i], self.across[i], tuple(self.parts[k] for k in i),
            None if self.exposure is None else self.exposure[i], None if self.shut is None else self.shut[i],
        )  # fmt: skip

    def over(self, exposure: Floats) -> Cases:
        """The same cases over terrains that are not the same all round. exposure: q ratio of each case, (c, 1)."""
        scaled = {n: at_exposure(exposure, getattr(self, n)) for n in ("uplift", "moment", "push", "twist")}
        return replace(self, exposure=exposure, **scaled)


def _larger(with_roof: Floats, walls_only: Floats) -> Floats:
    a, b = (
        np.linalg.norm(with_roof, axis=-1, keepdims=True),
        np.linalg.norm(walls_only, axis=-1, keepdims=True),
    )
    return np.where(a >= b, with_roof, walls_only)


@dataclass(frozen=True)
class _Stack:
    """Parts of the four faces together, (4, 2, ...)."""

    uplift: Floats
    vertical_moment: Floats
    push_moment: Floats
    push: Floats
    push_walls: Floats
    twist: Floats

    @classmethod
    def of(cls, parts: list[Part]) -> _Stack:
        """Faces with fewer variants than the others repeat their last one; the repeats are dropped from the cases."""
        most = max(len(p.uplift) for p in parts)
        rows = [np.minimum(np.arange(most), len(p.uplift) - 1) for p in parts]
        return cls(
            *(
                np.stack([getattr(p, f.name)[i] for p, i in zip(parts, rows, strict=True)])
                for f in fields(cls)
            )
        )

    def times(self, factor: float) -> _Stack:
        return self if factor == 1.0 else _Stack(*(getattr(self, f.name) * factor for f in fields(self)))

    def at(self, *index: Any) -> _Stack:
        return _Stack(*(getattr(self, f.name)[index] for f in fields(self)))


@dataclass(frozen=True)
class _Titles:
    """What the cases of a group are called and built from; ``kept`` are those that exist, by their place."""

    names: tuple[str, ...]
    bearing: Floats
    across: NDArray[np.bool_]
    parts: tuple[tuple[str, ...], ...]
    kept: NDArray[np.int_]

    @classmethod
    def of(cls, cells: Iterable[tuple[str, float, bool, tuple[str, ...]] | None]) -> _Titles:
        """A cell is a case, or None where a face has fewer variants than the others."""
        there = [(i, c) for i, c in enumerate(cells) if c is not None]
        names, bearing, across, parts = zip(*(c for _, c in there), strict=True)
        return cls(names, np.array(bearing), np.array(across), parts, np.array([i for i, _ in there]))


def _gather(t: _Titles, arrays: tuple[Floats, Floats, Floats, Floats, Floats]) -> Cases:
    uplift, moment, push, twist, off = (a.reshape(-1, a.shape[-1])[t.kept] for a in arrays)
    return Cases(t.names, t.bearing, uplift, moment, push, off, twist, t.across, t.parts)


def _join(groups: list[Cases]) -> Cases:
    def flat(pick: Callable[[Cases], Iterable[Any]]) -> tuple[Any, ...]:
        return tuple(x for g in groups for x in pick(g))

    def stacked(name: str) -> Any:
        return np.concatenate([getattr(g, name) for g in groups])

    return Cases(
        names=flat(lambda g: g.names),
        parts=flat(lambda g: g.parts),
        **{n: stacked(n) for n in ("bearing", "uplift", "moment", "push", "eccentricity", "twist", "across")},
    )


@dataclass(frozen=True)
class _Names:
    """Faces, and for each face the names of its roof variants and of its internal pressures."""

    faces: tuple[str, ...]
    roof: tuple[tuple[str, ...], ...]
    inside: tuple[tuple[str, ...], ...]
    label: str

    def tails(self, face: int) -> tuple[list[str], list[str], str]:
        """Roof variants, internal pressures and label as they follow one another in the name of a case."""
        after = [[f", {x}" if x else "" for x in names] for names in (self.roof[face], self.inside[face])]
        return after[0], after[1], f", {self.label}" if self.label else ""


@functools.lru_cache(maxsize=64)
def _face_titles(t: _Names, variants: int, signs: int) -> _Titles:
    def cell(twisted: str, i: int, a: int, b: int) -> tuple[str, float, bool, tuple[str, ...]] | None:
        roofs, inner, tail = t.tails(i)
        if a >= len(roofs) or b >= len(inner):
            return None
        f = t.faces[i]
        name = f"{twisted}wind on the {f}{roofs[a]}{inner[b]}{tail}"
        return name, 90.0 * i, f in ("left", "right"), (f, str(a), str(b), t.label)

    every = itertools.product(("", "twist: ", "twist: "), range(len(t.faces)), range(variants), range(signs))
    return _Titles.of(cell(*at) for at in every)


_PAIRS = [(i, j) for k in range(4) for i, j in ((k, (k + 1) % 4), ((k + 1) % 4, k))]


@functools.lru_cache(maxsize=64)
def _diagonal_titles(t: _Names, variants: int, signs: int) -> _Titles:
    def cell(
        pair: tuple[int, int], a: int, a2: int, b: int
    ) -> tuple[str, float, bool, tuple[str, ...]] | None:
        i, j = pair
        roofs, inner, tail = t.tails(i)
        if a >= len(roofs) or a2 >= len(t.roof[j]) or b >= len(inner):
            return None
        low = i if (i + 1) % 4 == j else j
        name = f"wind on the {t.faces[low]}-{t.faces[(low + 1) % 4]} corner{roofs[a]}{inner[b]}{tail}"
        return name, 90.0 * low + 45.0, True, (t.faces[i], str(a), str(b), t.label, t.faces[j], str(a2))

    every = itertools.product(_PAIRS, range(variants), range(variants), range(signs))
    return _Titles.of(cell(*at) for at in every)


def _face_cases(t: _Names, e: _Stack, n: _Stack, width: Floats, factor: float, eccentricity: float) -> Cases:
    """Square on each face, then the same twisted either way: (3, face, roof, inside)."""
    variants, signs = e.uplift.shape[1], n.uplift.shape[1]
    e, n = e.at(slice(None), slice(None), None), n.at(slice(None), None, slice(None))
    scale = np.array([1.0, factor, factor])[:, None, None, None, None]
    uplift = case_uplift(scale, e.uplift, n.uplift)
    moment = case_moment(scale, e.vertical_moment, n.vertical_moment - n.push_moment, 1.0, e.push_moment)
    push = _larger(case_push(scale, 1.0, e.push, n.push), case_push(scale, 1.0, e.push_walls, n.push_walls))
    off = np.array([0.0, eccentricity, -eccentricity])[:, None, None, None, None] * width[:, :, None, None]
    off = off + 0 * uplift
    titles = _face_titles(t, variants, signs)
    return _gather(titles, (uplift, moment, push, scale * (e.twist + n.twist), off))


def _diagonal_cases(t: _Names, e: _Stack, n: _Stack, factor: float) -> Cases:
    """The four corners, the roof from either face: (pair, roof, roof of the other, inside)."""
    variants, signs = e.uplift.shape[1], n.uplift.shape[1]
    top, other = [i for i, _ in _PAIRS], [j for _, j in _PAIRS]
    e1, e2 = (
        e.at(top).at(slice(None), slice(None), None, None),
        e.at(other).at(slice(None), None, slice(None), None),
    )
    inside = n.at(top).at(slice(None), None, None, slice(None))
    uplift = case_uplift(1.0, e1.uplift, inside.uplift) + 0 * e2.uplift
    moment = case_moment(
        1.0,
        e1.vertical_moment,
        inside.vertical_moment - inside.push_moment,
        factor,
        e1.push_moment + e2.push_moment,
    )
    push = _larger(
        case_push(1.0, factor, e1.push + e2.push, inside.push),
        case_push(1.0, factor, e1.push_walls + e2.push_walls, inside.push_walls),
    )
    twist = factor * (e1.twist + e2.twist) + inside.twist
    return _gather(_diagonal_titles(t, variants, signs), (uplift, moment, push, twist, 0 * uplift))


def load_cases(
    faces: dict[str, Panels],
    widths: dict[str, float],
    gust: float,
    inside: Mapping[str, Inside],
    torsion_factor: float,
    torsion_eccentricity: float,
    diagonal_factor: float,
    outside: float = 1.0,
    within: float = 1.0,
    shut: str | None = None,
) -> Cases:
    """All load cases: each face square on x roof sign x inside sign, torsion of each, and the four diagonals.

    Roof uplift and internal pressure count in full in the diagonals.

    Parameters
    ----------
    faces : dict of Panels
        For wind square on each wall, in compass order from the front.
    widths : dict of float
        Breadth of each face, m.
    gust : float
        G (1).
    inside : mapping of Inside
        By label: |GCpi| (1), or what is inside by face; openings as they stand, and shut.
    torsion_factor, torsion_eccentricity : float
        Of the face case, at an eccentricity of so many widths (1).
    diagonal_factor : float
        On the horizontal forces of two faces together (1).
    outside, within : float
        On all external and all internal pressures (1), for the parts of a case by themselves.
    shut : str, optional
        Label in ``inside`` of what is inside with every opening shut.

    Returns
    -------
    Cases
        Per unit of q, over c cases.

    References
    ----------
    ASCE 7, design wind load cases.

    """
    names = list(faces)
    width = np.array([widths[f] for f in names])[:, None]
    groups = []
    e = _Stack.of([outside_part(p, gust) for p in faces.values()]).times(outside)
    roofs = tuple(p.variants for p in faces.values())
    for label, gcpi in inside.items():
        values = [signed(gcpi, f) for f in names]
        n = _Stack.of([inside_part(p, gust, v) for p, v in zip(faces.values(), values, strict=True)]).times(
            within
        )
        titles = _Names(tuple(names), roofs, tuple(inside_names(v) for v in values), label)
        groups.append(_face_cases(titles, e, n, width, torsion_factor, torsion_eccentricity))
        groups.append(_diagonal_cases(titles, e, n, diagonal_factor))
    made = _join(groups)
    if shut not in inside or len(inside) == 1:
        return made
    flags = [
        np.full(len(g.names), label == shut)
        for g, label in zip(groups, np.repeat(list(inside), 2), strict=True)
    ]
    return replace(made, shut=np.concatenate(flags))


@dataclass(frozen=True)
class Shares:
    """What each point and each frame is asked for, per unit of q. n points, f frames."""

    rigid: Floats
    """Uplift of each point, rigid base on springs (m^2), (c, n)."""
    push_rigid: Floats
    """Horizontal force of each point, the same base (m^2), (c, n)."""
    frame: Floats
    """Uplift of each point, frame by frame (m^2), (c, n); points that stand on no frame are 0."""
    frame_uplift: Floats
    """m^2, (c, f)."""
    frame_push: Floats
    """Push across the ridge on each frame (m^2), (c, f); 0 where the wind is along the ridge."""


def _in_line(spread: Floats) -> bool:
    """Whether points whose second moments these are, (2, 2), stand in one line: the least is nothing beside the largest."""
    (a, b), (_, c) = spread.tolist()
    off = math.hypot(a - c, 2 * b)
    return not a + c - off > (a + c + off) / 1e9


def rigid_shares(
    xy: Floats, usable: NDArray[np.bool_], cases: Cases, stiffness: Floats | None = None
) -> tuple[Floats, Floats]:
    """Uplift and horizontal force of each point, rigid base on a spring at every usable point.

    Parameters
    ----------
    xy : array, (n, 2)
        Places of the points, m.
    usable : array of bool, (n,)
        Points that hold something.
    cases : Cases
        c of them.
    stiffness : array, (n,), optional
        Of the springs, any unit, the same upward and sideways; left out: all alike.

    Returns
    -------
    uplift, push : array, (..., c, n)
        Per unit of q, m^2.

    Raises
    ------
    NotModelledError
        Fewer than three points, or all in one line: they hold no moment across it.

    """
    p = xy[usable]
    n = len(p)
    if n < 3:
        raise NotModelledError(
            say("fewer than three usable anchor points: the shelter cannot be held down by them")
        )
    k = None if stiffness is None else stiffness[usable]
    g = p.mean(axis=0) if k is None else k @ p / k.sum()
    d = p - g
    if _in_line(d.T @ d):
        raise NotModelledError(
            say(
                "the usable anchor points stand in one line: nothing holds a moment across it; free at least one point off the line"
            )
        )
    spread = d.T @ d if k is None else d.T @ (k[:, None] * d)
    tilt = (cases.moment - cases.uplift * g) @ np.linalg.inv(spread).T
    total = float(n) if k is None else float(k.sum())
    working.given("n", total, "1", "usable points" if k is None else "usable points by their stiffness")
    share = rigid_share(cases.uplift, total, tilt[..., :1], d[:, 0], tilt[..., 1:], d[:, 1])
    if k is not None:
        share = spring_share(k, share)
    rigid = np.zeros((*share.shape[:-1], len(xy)))
    rigid[..., usable] = share
    return rigid, _rigid_push(d, usable, cases, g, rigid.shape, k)


def rigid_push(xy: Floats, some: NDArray[np.bool_], cases: Cases) -> Floats:
    """Horizontal force of each point where some alone take all of the push, on springs that are alike; inf where nothing of them
    holds the twist. Per unit of q, m^2, (..., c, n).
    """
    p = xy[some]
    g = p.mean(axis=0)
    shape = (*cases.push.shape[:-1], len(xy))
    return _rigid_push(p - g, some, cases, g, shape)


def _rigid_push(
    d: Floats,
    usable: NDArray[np.bool_],
    cases: Cases,
    g: Floats,
    shape: tuple[int, ...],
    k: Floats | None = None,
) -> Floats:
    """Horizontal force of each point, push and twist on springs, alike or by k. d: places of the usable points from their middle g (m)."""
    n = len(d)
    radians = np.deg2rad(cases.bearing)
    along = np.stack([np.sin(radians), np.cos(radians)], axis=-1)
    middle = -g + along * cases.eccentricity
    hx, hy = cases.push[..., :1], cases.push[..., 1:]
    twist = cases.twist + middle[..., :1] * hy - middle[..., 1:] * hx
    polar = (d**2).sum() if k is None else (k[:, None] * d**2).sum()
    push = np.zeros(shape)
    if polar < 1e-12:
        push[..., usable] = np.where(np.abs(twist) > 1e-9, np.inf, np.hypot(hx, hy))
        return push
    if k is None:
        push[..., usable] = np.hypot(hx / n - twist * d[:, 1] / polar, hy / n + twist * d[:, 0] / polar)
        return push
    total = k.sum()
    push[..., usable] = k * np.hypot(
        hx / total - twist * d[:, 1] / polar, hy / total + twist * d[:, 0] / polar
    )
    return push


def frame_factors(x: Floats, length: float, eccentricity: Floats) -> Floats:
    """Share of each frame of a load on the length, its middle off by an eccentricity (linear density).

    Parameters
    ----------
    x : array, (f,)
        Places of the frames along the ridge, m.
    length : float
        m.
    eccentricity : array, (c, 1)
        m.

    Returns
    -------
    array, (c, f)
        Shares (1); each row sums to 1.

    """
    order = np.argsort(x)
    edges = np.concatenate([[-length / 2], (x[order][1:] + x[order][:-1]) / 2, [length / 2]])
    low, high = np.empty_like(x), np.empty_like(x)
    low[order], high[order] = edges[:-1], edges[1:]
    return (high - low) / length + 6 * eccentricity * (high**2 - low**2) / length**3


def frame_shares(
    xy: Floats, frame: NDArray[np.int_], length: float, width: float, cases: Cases, tilt_x: Floats
) -> tuple[Floats, Floats, Floats]:
    """Uplift at each point and push of each frame, frame by frame.

    Each frame carries its strip, the end frames half a strip; V/2 ± M/b on its two feet. Wind along the ridge is shared by
    the base as a whole and gives 0 here.

    Parameters
    ----------
    xy : array, (n, 2)
        Places of the points, m.
    frame : array of int, (n,)
        The frame that a point stands on, -1 for none.
    length, width : float
        m.
    cases : Cases
        c of them.
    tilt_x : array, (c, n)
        Uplift of each point from the moment along the ridge, taken by the base as a whole, m^2 per unit of q.

    Returns
    -------
    points : array, (..., c, n)
        Uplift, m^2 per unit of q.
    uplift, push : array, (..., c, f)
        Of each frame, across the ridge, m^2 per unit of q.

    """
    count = int(frame.max()) + 1
    if not count:
        nothing = np.zeros((len(cases.names), 0))
        return np.zeros((len(cases.names), len(xy))), nothing, nothing
    x = np.array([xy[frame == k, 0].mean() for k in range(count)])
    share = frame_factors(x, length, cases.eccentricity)
    on = cases.across[:, None]
    uplift = np.where(on, frame_load(share, cases.uplift), 0.0)
    tip = np.where(on, frame_load(share, cases.moment[..., 1:]), 0.0)
    push = np.where(on, frame_load(share, cases.push[..., 1:]), 0.0)
    stands = frame >= 0
    side = np.sign(xy[stands, 1])
    k = frame[stands]
    rest = np.where(on, tilt_x[..., stands], 0.0)
    feet = np.zeros((*uplift.shape[:-1], len(xy)))
    feet[..., stands] = frame_foot(uplift[..., k], side, tip[..., k], width, rest)
    return feet, uplift, push


def shares(
    xy: Floats, usable: NDArray[np.bool_], frame: NDArray[np.int_], length: float, width: float, cases: Cases
) -> Shares:
    """Both models of how the loads reach the points, per unit of q."""
    rigid, push = rigid_shares(xy, usable, cases)
    g = xy[usable].mean(axis=0)
    d = xy - g
    spread = (d[usable] ** 2).sum(axis=0)[0]
    tilt_x = np.where(usable, (cases.moment[..., :1] - cases.uplift * g[0]) * d[:, 0] / spread, 0.0)
    feet, uplift, across = frame_shares(xy, frame, length, width, cases, tilt_x)
    return Shares(rigid, push, feet, uplift, across)
