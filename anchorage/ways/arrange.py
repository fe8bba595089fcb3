"""The arrangement of everything brought that holds the highest gust: units of any kind at any point, whole numbers, exactly.

What stands on the frame is linear in the counts and in the pressure q, so q itself is made as large as it goes (integer program). A point
is of one kind; friction is credited up to a level that the slipperier contact allows, and which level is a choice of its own in each
case. Where some points have stakes or deadmen, what these are asked for is known at a given q; friction or they, whichever holds more, is a
choice in each case, and q is halved. What was found is then judged by the checks themselves, whatever the program says.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field, replace
from functools import cached_property
from typing import Any

import numpy as np
from numpy.typing import NDArray

from anchorage.checks.footprint import Base, frame_loads, held, kinds_of
from anchorage.checks.installation import Installation, point_inputs
from anchorage.checks.limit import plus, size
from anchorage.checks.lines import by_weight, feet_needed, feet_pushed, pulls_needed, tensions
from anchorage.checks.sizing import units_for
from anchorage.core import tables
from anchorage.core.checked import What
from anchorage.core.constants import gravity
from anchorage.core.errors import AnchorageError
from anchorage.core.say import later
from anchorage.deployment.contradictions import brought, stock_key
from anchorage.deployment.models import Anchorage, Count, PointIn
from anchorage.formulas.demand import overturning
from anchorage.holding.ground import is_hard
from anchorage.holding.hardware import Factors, Hardware, hardware
from anchorage.ways.changes import at_points
from anchorage.ways.layout import crossed
from anchorage.ways.work import at_a_point, depth_at, of_one

Floats = NDArray[np.float64]
Ints = NDArray[np.int_]
DRIVEN = ("stakes", "deadman", "line-ballast")
"""What does not stand on the frame: driven, buried, or a weight at the end of a line."""
WEIGHTS = ("ballast", "line-ballast")
WORK_S = 2.0
"""The same for the arrangement of least work, where what was found by then does."""
SOLVE_S = 4.0
"""Seconds at most for one solution; what is left open is printed as a gap."""
SMALL = 30
"""Choices at points in all up to which a program is given its full time; larger ones are seldom proved, so what is looked for is a good one."""
LARGE_S = 0.6
"""Seconds for a large program as it is, whose bound is kept, and for its arrangement of least work."""
PART_S = 0.4
"""The same for each of its parts, in which it is settled which level of friction counts in which case."""
REFINED = 2
"""Times that the levels are chosen anew by what was found."""
GAP = 5e-4
"""Share of what is looked for at which a solution counts as the best; the bound that was proved is kept beside it."""
NARROW = 1e-3
"""Share of a pressure at which halving ends: half of it in the gust."""
MISSING = later(
    "The best arrangement of all that was brought is found by a solver that is not installed: pip install 'shelter-anchorage[fleet]'."
)


class NoSolverError(AnchorageError):
    """The solver of integer programs is an extra and is not there."""


@dataclass(frozen=True)
class Choice:
    """What could stand at the points: a kind with its unit, None for the unit of the file, and how many of it were brought."""

    kind: str
    unit: str | None
    brought: int

    @property
    def of(self) -> tuple[str, str | None]:
        """What of the stock it is: a weight is the same on the frame and on a line."""
        return ("weight", self.unit) if self.kind in WEIGHTS else (self.kind, None)

    def at(self, p: PointIn) -> PointIn:
        """A point with it."""
        return p.model_copy(
            update={"kind": self.kind, "unit": self.unit, "unit_material": None, "usable": True}
        )


@dataclass(frozen=True)
class Arranged:
    """An arrangement: what and how many at each point, the pressure that the program found for it, and the bound it proved."""

    choice: tuple[int, ...]
    """Of the choices, by point; -1 where nothing can stand."""
    counts: Ints
    q: float
    bound: float
    """No arrangement of these choices at these points holds more than this (Pa)."""
    least: float | None = None
    """None that holds the pressure takes fewer person-minutes; None where it is proved to be the one, or was not looked for."""
    values: Floats | None = field(default=None, compare=False, repr=False)
    """Of the program, to look for others near it."""


def choices_of(a: Anchorage, given: dict[str, Count] | None) -> list[Choice]:
    """What the stock names that can stand on the frame or be driven, as it is described in the file."""
    stock = dict(given or {})
    out: list[Choice] = []
    own = a.unit if a.unit is not None else "unit" if a.unit_mass is not None else None
    listed = tables.table("ballast-mass").by_key
    if own is not None and (have := brought(stock, "ballast", own, a.unit)) is not None:
        out.append(Choice("ballast", None, have))
    out += [Choice("ballast", u, stock[stock_key(u)]) for u in listed if u != own and stock.get(stock_key(u))]
    if a.line_angle is not None:
        out += [replace(c, kind="line-ballast") for c in out]
    if a.stake is not None and stock.get("stakes"):
        out.append(Choice("stakes", None, stock["stakes"]))
    if a.deadman is not None and a.line_angle is not None and stock.get("deadmen"):
        out.append(Choice("deadman", None, stock["deadmen"]))
    return [c for c in out if c.brought > 0]


def patterns(x: Installation, choices: Sequence[Choice]) -> list[list[list[int]]]:
    """For each way to share the points out: the choices that each point has. All on the frame; then driven where the ground takes it."""
    d = x.deployment
    points = point_inputs(d.point, x.base.ids)
    able = [p.usable and p.kind != "none" for p in points]
    soft = [not is_hard(str(p.surface or d.site.surface)) for p in points]
    clear = [crossed(d.keep_clear, x.shape, p) is None for p in x.shape.points]
    lined = {
        "stakes": d.anchorage.stake is not None and d.anchorage.stake.line_angle is not None,
        "deadman": True,
    }
    on_frame = [k for k, c in enumerate(choices) if c.kind == "ballast"]
    out = []
    if on_frame:
        out.append([on_frame if a else [] for a in able])
    for k, c in enumerate(choices):
        if c.kind not in DRIVEN or c.kind in WEIGHTS:
            continue
        goes = [s and (free or not lined[c.kind]) for s, free in zip(soft, clear, strict=True)]
        out += _with(able, goes, [k], [on_frame, *([j] for j in _on_lines(choices, clear, goes))])
    corner = [p.group == "corner" for p in x.shape.points]
    for k in _on_lines(choices, clear, [False] * len(able)):
        every = [True] * len(able)
        for some in (every, corner, [not at for at in corner]):
            out += _with(able, [s and free for s, free in zip(some, clear, strict=True)], [k], [on_frame])
    return [p for n, p in enumerate(out) if p not in out[:n]]


def _on_lines(choices: Sequence[Choice], clear: Sequence[bool], others: Sequence[bool]) -> list[int]:
    """Weights at the end of lines, where lines may run from every point that has nothing else."""
    free = all(c or o for c, o in zip(clear, others, strict=True)) or not any(others)
    return [k for k, c in enumerate(choices) if c.kind == "line-ballast"] if free else []


def _with(able: Sequence[bool], goes: Sequence[bool], these: list[int], rests: Sequence[list[int]]) -> list[list[list[int]]]:  # fmt: skip
    """The points shared out: these where they go, and on the others each of what is left; nothing where a point would be left over."""
    if not any(a and g for a, g in zip(able, goes, strict=True)):
        return []
    made = [[(these if g else rest) if a else [] for a, g in zip(able, goes, strict=True)] for rest in rests]
    return [some for some in made if all(p or not a for p, a in zip(some, able, strict=True))]


@dataclass(frozen=True)
class _Column:
    """One choice at one point: index of the point, of the choice, its hardware and the most that can be there."""

    point: int
    choice: int
    h: Hardware
    most: int
    exactly: int | None = None
    """Where several weaken each other: this many and no other number."""

    @property
    def worth(self) -> float:
        """Of one of them, beside the others."""
        return 1.0 if self.exactly is None else float(self.h.effective(self.exactly)) / self.exactly

    @property
    def up(self) -> float:
        """What one holds straight down (N), with its margin; of weight without."""
        angle = self.h.line_angle
        return self.worth * (
            self.h.axial if angle is None else self.h.pull * float(np.sin(np.deg2rad(angle)))
        )


class _Program:
    """Rows  low <= A v <= high  over counts n, uses z (0 or 1), and further choices."""

    def __init__(self, columns: Sequence[_Column]) -> None:
        self.columns = columns
        self.k = len(columns)
        self.extra: list[float] = []
        self.rows: list[tuple[dict[int, float], float, float]] = []

    def n(self, c: int) -> int:
        return c

    def z(self, c: int) -> int:
        return self.k + c

    def q(self) -> int:
        return 2 * self.k

    def binary(self) -> int:
        """A further choice."""
        return self.whole(1.0)

    def whole(self, most: float) -> int:
        """A further whole number."""
        self.extra.append(most)
        return 2 * self.k + len(self.extra)

    def at_least(self, row: dict[int, float], low: float) -> None:
        self.rows.append((row, low, np.inf))

    def at_most(self, row: dict[int, float], high: float) -> None:
        self.rows.append((row, -np.inf, high))

    def equal(self, row: dict[int, float], value: float) -> None:
        self.rows.append((row, value, value))


def _merge(*parts: dict[int, float]) -> dict[int, float]:
    out: dict[int, float] = {}
    for part in parts:
        for k, v in part.items():
            out[k] = out.get(k, 0.0) + v
    return {k: v for k, v in out.items() if v}


def _worst_pairs(a: Floats, b: Floats) -> list[tuple[float, float]]:
    """Of pairs (a, b), each asking for more the larger it is, those that no other covers."""
    unlike = set(zip(a.tolist(), b.tolist(), strict=True))
    pairs = sorted({(round(x, 12), round(y, 12)) for x, y in unlike}, reverse=True)
    out: list[tuple[float, float]] = []
    for x, y in pairs:
        if x > 0 and not any(v >= y for _, v in out):
            out.append((x, y))
    return out


class _Checks:
    """The checks of what stands on the frame as rows of a program. q: a fixed pressure, or None where it is a variable."""

    def __init__(
        self, x: Installation, b: Base, p: _Program, q: float | None, part: float | Floats | None
    ) -> None:
        self.x, self.b, self.p, self.fixed = x, b, p, q
        self.near = part if isinstance(part, np.ndarray) else None
        self.kept: dict[tuple[float, int], tuple[dict[int, float], float]] = {}
        self.f: Factors = x.factors
        self.mass = x.shelter_mass * gravity()
        self.shelter = self.f.shelter * self.mass
        self.n = len(b.ids)
        self.levels = sorted(
            {self.f.friction * m for c in p.columns for m in (c.h.friction, c.h.foot)}, reverse=True
        )
        if isinstance(part, float):
            self.levels = [part]
        self.fall = float(np.deg2rad(b.slope))
        self.mine = [[(k, c) for k, c in enumerate(p.columns) if c.point == i] for i in range(self.n)]

    def asks(self, per_q: float) -> tuple[dict[int, float], float]:
        """(row, right side) of per_q times q."""
        return ({self.p.q(): -per_q}, 0.0) if self.fixed is None else ({}, per_q * self.fixed)

    def weight(self, lever: Floats | None = None) -> dict[int, float]:
        """Σ of what holds down by its own weight or along its line, with levers by point."""
        out = {}
        for k, c in enumerate(self.p.columns):
            arm = 1.0 if lever is None else float(lever[c.point])
            out[self.p.n(k)] = arm * self._up(c)
        return out

    def _up(self, c: _Column) -> float:
        return self.f.ballast * c.h.unit_mass * gravity() if c.h.kind == "ballast" else c.up

    def lifting(self) -> None:
        b, p, gamma = self.b, self.p, self.f.wind
        row, right = self.asks(gamma * max(float(b.cases.uplift.max()), 0.0))
        p.at_least(_merge(self.weight(), row), right - self.shelter)
        levers = b.arms[:, None] - b.edges @ b.xy.T
        tip = plus(overturning(b.cases.uplift, b.arms, b.cases.moment @ b.edges.T)).max(axis=0)
        for k in range(len(b.arms)):
            row, right = self.asks(gamma * float(tip[k]))
            p.at_least(_merge(self.weight(levers[k]), row), right - self.shelter * float(b.arms[k]))
        here = self.shelter / self.n - gamma * b.strap_here * np.ones(self.n)
        self._points(b.shares.rigid, here)
        if len(b.frame_weight):
            on = b.frame >= 0
            feet = (
                self.shelter * np.where(on, b.frame_weight[np.where(on, b.frame, 0)] / 2, 0.0)
                - gamma * b.strap_here
            )
            self._points(b.shares.frame, feet)

    def _points(self, shares: Floats, own: Floats) -> None:
        most = plus(shares).max(axis=0)
        for i in {c.point for c in self.p.columns if c.h.kind == "ballast"}:
            if most[i] <= 0:
                continue
            mine = self.mine[i]
            row, right = self.asks(self.f.wind * float(most[i]))
            hold = {self.p.n(k): self._up(c) for k, c in mine}
            self.p.at_least(_merge(hold, row), right - float(own[i]))

    def rub(self, level: float, frame: int = -1) -> tuple[dict[int, float], float]:
        """(row, constant) of Σ φμκW up to a level less what pulls downhill, of a frame or (-1) of the shelter as a whole."""
        if (level, frame) in self.kept:
            return self.kept[level, frame]
        row: dict[int, float] = {}
        cos, sin = float(np.cos(self.fall)), float(np.sin(self.fall))
        constant, g = 0.0, gravity()
        for i in range(self.n):
            if frame >= 0 and self.b.frame[i] != frame:
                continue
            share = 1.0 / self.n if frame < 0 else float(self.b.frame_weight[frame]) / 2
            constant -= self.mass * share * sin
            if not self.mine[i]:
                constant += cos * self.shelter * share * min(self.f.friction * self.x.hard[i].foot, level)
            for k, c in self.mine[i]:
                foot = cos * self.shelter * share * min(self.f.friction * c.h.foot, level)
                row[self.p.z(k)] = row.get(self.p.z(k), 0.0) + foot
                if c.h.kind == "ballast":
                    load = c.h.unit_mass * g
                    row[self.p.n(k)] = (
                        cos * self.f.ballast * load * min(self.f.friction * c.h.friction, level) - load * sin
                    )
        self.kept[level, frame] = row, constant
        return row, constant

    def either(self, options: list[tuple[dict[int, float], float]], spare: Sequence[int] = ()) -> None:
        """At least one of some rows (what is more than their right side) holds, or one of some choices is taken."""
        if self.near is not None and len(options) > 1:
            at = self.near
            options = [max(options, key=lambda o: sum(a * float(at[v]) for v, a in o[0].items()) - o[1])]
        if len(options) == 1 and not spare:
            self.p.at_least(*options[0])
            return
        taken = []
        for row, low in options:
            y = self.p.binary()
            worst = self._lowest(row)
            self.p.at_least(_merge(row, {y: min(worst - low, 0.0)}), min(worst, low))
            taken.append(y)
        self.p.at_least({**dict.fromkeys(taken, 1.0), **dict.fromkeys(spare, 1.0)}, 1.0)

    def _lowest(self, row: dict[int, float]) -> float:
        """The least that a row can come to."""
        low = 0.0
        for v, a in row.items():
            top = self._top(v)
            low += min(a * top, 0.0)
        return low

    def _top(self, v: int) -> float:
        if v < self.p.k:
            return float(self.p.columns[v].most)
        return self.x_most if v == self.p.q() else 1.0

    x_most: float = 1e5

    def sliding(self) -> None:
        """Friction alone, the shelter as a whole and frame by frame: for what stands on the frame only."""
        b, gamma = self.b, self.f.wind
        for push, up in _worst_pairs(size(b.cases.push)[:, 0], plus(b.cases.uplift)[:, 0]):
            self.either([self.slides(m, gamma * (push + m * up)) for m in self.levels])
        if not len(b.frame_weight):
            return
        pushed, lifted = frame_loads(b)
        for f in range(len(b.frame_weight)):
            for push, up in _worst_pairs(pushed[:, f], plus(lifted[:, f])):
                self.either([self.slides(m, gamma * (push + m * up), f) for m in self.levels])

    def slides(self, m: float, per_q: float, frame: int = -1) -> tuple[dict[int, float], float]:
        row, constant = self.rub(m, frame)
        asks, right = self.asks(per_q)
        return _merge(row, asks), right - constant

    def least_of_the_code(self) -> None:
        b, gamma = self.b, self.f.wind
        if b.minimum_push is None or b.minimum_moment is None:
            return
        levers = b.arms[:, None] - b.edges @ b.xy.T
        row, constant = self.rub(np.inf)
        driven = any(c.h.kind in DRIVEN for c in self.p.columns)
        for face, edge in enumerate((2, 3, 0, 1)):
            if not driven:
                self.p.at_least(row, gamma * float(b.minimum_push[face]) - constant)
            self.p.at_least(
                self.weight(levers[edge]),
                gamma * float(b.minimum_moment[face]) - self.shelter * float(b.arms[edge]),
            )


def _columns(x: Installation, choices: Sequence[Choice], pattern: Sequence[Sequence[int]]) -> list[_Column]:
    out = []
    made: dict[PointIn, Hardware] = {}
    most_stakes = int(tables.row("stakes-at-point", "most").value)
    for i, p in enumerate(point_inputs(x.deployment.point, x.base.ids)):
        for k in pattern[i]:
            at = choices[k].at(p)
            alike = at.model_copy(update={"id": "", "placed": 0})
            if alike not in made:
                made[alike] = hardware(x.deployment.anchorage, x.deployment.ground, at, x.factors)
            h = made[alike]
            top = most_stakes if h.kind == "stakes" else h.most
            most = choices[k].brought if top is None else min(top, choices[k].brought)
            if h.crowd is None:
                out.append(_Column(i, k, h, most))
            else:
                out += [_Column(i, k, h, n, n) for n in range(1, most + 1)]
    return out


def _common(p: _Program, choices: Sequence[Choice], pattern: Sequence[Sequence[int]]) -> None:
    """One kind at a point, at least one of it, no more than fit, no more than were brought."""
    for k, c in enumerate(p.columns):
        p.at_least({p.n(k): 1.0, p.z(k): -1.0}, 0.0)
        p.at_most({p.n(k): 1.0, p.z(k): -float(c.most)}, 0.0)
        if c.exactly is not None:
            p.equal({p.n(k): 1.0, p.z(k): -float(c.exactly)}, 0.0)
    for i, able in enumerate(pattern):
        if able:
            p.equal({p.z(k): 1.0 for k, c in enumerate(p.columns) if c.point == i}, 1.0)
    for stock in dict.fromkeys(c.of for c in choices):
        row = {p.n(k): 1.0 for k, c in enumerate(p.columns) if choices[c.choice].of == stock}
        if row:
            p.at_most(row, float(next(c.brought for c in choices if c.of == stock)))


def _solve(
    p: _Program, cost: dict[int, float], most_q: float, seconds: float, gap: float
) -> tuple[NDArray[np.float64] | None, float]:
    """(values, bound on the cost); None where none was found, and the bound is inf where it is proved that there is none."""
    try:
        from scipy.optimize import Bounds, LinearConstraint, milp  # noqa: PLC0415 - an extra, and slow to load
        from scipy.sparse import coo_array  # noqa: PLC0415 - the same
    except ImportError:
        raise NoSolverError(MISSING) from None
    wide = 2 * p.k + 1 + len(p.extra)
    data, at, of = [], [], []
    for r, (row, _, _) in enumerate(p.rows):
        scale = max((abs(v) for v in row.values()), default=1.0) or 1.0
        for v, a in row.items():
            data.append(a / scale)
            at.append(r)
            of.append(v)
    scales = [max((abs(v) for v in row.values()), default=1.0) or 1.0 for row, _, _ in p.rows]
    a = coo_array((data, (at, of)), shape=(len(p.rows), wide)).tocsr()
    low = np.array([r[1] / s for r, s in zip(p.rows, scales, strict=True)])
    high = np.array([r[2] / s for r, s in zip(p.rows, scales, strict=True)])
    objective = np.zeros(wide)
    for v, c in cost.items():
        objective[v] = c
    upper = np.ones(wide)
    upper[: p.k] = [c.most for c in p.columns]
    upper[p.q()] = most_q
    upper[p.q() + 1 :] = p.extra
    kind = np.ones(wide)
    kind[p.q()] = 0
    found = milp(objective, constraints=LinearConstraint(a, low, high), integrality=kind, bounds=Bounds(np.zeros(wide), upper),
                 options={"time_limit": seconds, "mip_rel_gap": gap})  # fmt: skip
    bound = found.mip_dual_bound if found.mip_dual_bound is not None else -np.inf
    if found.status == INFEASIBLE:
        bound = np.inf
    return (None if found.x is None else np.asarray(found.x, float)), float(bound)


INFEASIBLE = 2
"""Status of the solver where it is proved that nothing holds."""
SPREAD = 0.5
"""Minutes that a unit more at the point that has most counts for: of arrangements that cost about the same the evener."""


def _work(p: _Program, x: Installation, *, even: bool = True) -> dict[int, float]:
    """Person-minutes of an arrangement. even: and how unevenly it is spread."""
    d, cost = x.deployment, dict[int, float]()
    for k, c in enumerate(p.columns):
        cost[p.n(k)] = of_one(d.anchorage, c.h, depth_at(d.anchorage, d.point, x.base.ids[c.point]))
        cost[p.z(k)] = at_a_point(d.anchorage, c.h)
    if not even:
        return cost
    for j in {c.choice for c in p.columns}:
        mine = [k for k, c in enumerate(p.columns) if c.choice == j]
        top = p.whole(float(max(p.columns[k].most for k in mine)))
        cost[top] = SPREAD
        for k in mine:
            p.at_least({top: 1.0, p.n(k): -1.0}, 0.0)
    return cost


def _read(columns: Sequence[_Column], v: Floats, n: int, q: float, bound: float) -> Arranged:
    counts, choice = np.zeros(n, int), [-1] * n
    for k, c in enumerate(columns):
        if round(float(v[len(columns) + k])):
            counts[c.point], choice[c.point] = round(float(v[k])), c.choice
    return Arranged(tuple(choice), counts, q, bound, values=v)


@dataclass(frozen=True)
class _Ask:
    """What a load case asks of some driven points, and of friction where that carries it instead."""

    frame: int
    """Of a single frame; -1 for the shelter as a whole."""
    units: dict[int, int]
    """By point."""
    load: tuple[float, ...]
    """Push and uplift of the shelter, what lee lines add to the push; push and uplift of the frame."""

    def covers(self, other: _Ask) -> bool:
        """Whether the other asks for nothing more, in any of it."""
        return (
            self.frame == other.frame
            and all(self.units.get(i, 0) >= n for i, n in other.units.items())
            and all(t >= m - 1e-12 for t, m in zip(self.load, other.load, strict=True))
        )


def _fewest(asks: Sequence[_Ask]) -> list[_Ask]:
    """Those that no other covers."""
    out: list[_Ask] = []
    for me in asks:
        if not any(o.covers(me) for o in out):
            out = [o for o in out if not me.covers(o)]
            out.append(me)
    return out


def _most(asks: Iterable[tuple[float, ...]]) -> list[tuple[float, ...]]:
    """Of loads those that no other covers in all of its parts."""
    out: list[tuple[float, ...]] = []
    for a in sorted(asks, reverse=True):
        if not any(all(x >= y for x, y in zip(o, a, strict=True)) for o in out):
            out.append(a)
    return out


class _Driven:
    """What stakes and deadmen are asked for at a pressure, with friction as the other choice in each case."""

    def __init__(self, checks: _Checks, x: Installation, hard: Sequence[Hardware], q: float) -> None:
        self.checks, self.p, self.b, self.f, self.hard, self.q = (
            checks, checks.p, checks.b, x.factors, hard, q,
        )  # fmt: skip
        b = self.b
        self.one = held(hard, self.f, np.ones(len(hard)), x.shelter_mass, b.usable)
        self.push, self.up = size(b.cases.push)[:, 0], plus(b.cases.uplift)[:, 0]
        none = np.zeros((len(self.push), 0))
        self.pushed, self.lifted = frame_loads(b) if len(b.frame_weight) else (none, none)
        self.mixed = len({h.kind for h, u in zip(hard, b.usable, strict=True) if u}) > 1
        self.needs, self.added = self.f.wind * q * self.push, np.zeros(len(self.push))
        self.supply = np.ones((len(self.push), len(hard)))
        if self.one.on_line.any():
            needs, added, self.supply = pulls_needed(b, self.one, self.f.wind, q)
            self.needs, self.added = needs[:, 0], added[:, 0]
        self.at: dict[int, list[int]] = {}
        for k, c in enumerate(self.p.columns):
            if c.h.kind in DRIVEN:
                self.at.setdefault(c.point, []).append(k)

    def rows(self) -> None:
        """Everything that these points are asked for."""
        if self.one.on_line.any():
            self._lines()
        if self.one.on_foot.any():
            self._feet()
        if self.mixed and len(self.b.frame_weight):
            self._by_weight()
        self._whole()

    def _most(self, i: int) -> int:
        return max(self.p.columns[k].most for k in self.at[i])

    def _units(self, i: int, tension: float) -> int:
        """Units that a tension (N) takes at a point, one more than can be there where none are enough."""
        h = self.p.columns[self.at[i][0]].h
        if h.line_strength is not None and tension > h.line_strength * self.f.wind / self.f.line * (1 + 1e-9):
            return self._most(i) + 1
        worth = tension / h.pull if h.pull > 0 else np.inf if tension > 0 else 0.0
        return int(min(units_for(h, worth), self._most(i) + 1))

    def _need(self, i: int, units: int, unless: int | None = None) -> None:
        row = {self.p.n(k): 1.0 for k in self.at[i]}
        self.p.at_least(row if unless is None else {**row, unless: float(units)}, float(units))

    def _lines(self) -> None:
        b = self.b
        worth = tensions(b, self.one, self.f.wind, self.q)
        on = [i for i in self.at if self.hard[i].line_angle is not None]
        for i in on:
            up = max(float(worth[k][:, i].max()) for k in (What.UPLIFT, What.UPLIFT_OF_FRAME) if k in worth)
            self._need(i, self._units(i, up))
        asks = []
        for c in range(len(self.push)):
            load = self._load(c)
            units = {i: self._units(i, t) for i in on if (t := float(worth[What.PUSH][c, i])) > 0}
            if units:
                asks.append(_Ask(-1, units, load))
            if What.PUSH_OF_FRAME not in worth:
                continue
            each = worth[What.PUSH_OF_FRAME]
            for f in range(self.pushed.shape[1]):
                mine = {i: self._units(i, t) for i in on if b.frame[i] == f and (t := float(each[c, i])) > 0}
                if mine:
                    frame = (float(self.pushed[c, f]), max(float(self.lifted[c, f]), 0.0))
                    asks.append(_Ask(f, mine, (*load, *frame)))
        for a in _fewest(asks):
            self._either(a)

    def _load(self, case: int) -> tuple[float, float, float]:
        return float(self.push[case]), float(self.up[case]), float(self.added[case])

    def _either(self, a: _Ask) -> None:
        """The points hold it, or friction does, of the whole or of the frame."""
        if not self.mixed:
            for i, n in a.units.items():
                self._need(i, n)
            return
        idle, works = self.p.binary(), self.p.binary()
        for i, n in a.units.items():
            self._need(i, n, idle)
        self.p.at_most({idle: 1.0, works: 1.0}, 1.0)
        self.checks.either(self._friction(a.load, a.frame), (works,))

    def _friction(self, load: tuple[float, ...], frame: int = -1) -> list[tuple[dict[int, float], float]]:
        checks, gamma = self.checks, self.f.wind
        out = [checks.slides(m, gamma * (load[0] + m * load[1])) for m in checks.levels]
        out = [(row, low + load[2]) for row, low in out]
        if frame >= 0:
            out += [checks.slides(m, gamma * (load[3] + m * load[4]), frame) for m in checks.levels]
        return out

    def _feet(self) -> None:
        need = feet_needed(self.b, self.one, self.f.wind, self.q).max(axis=0)
        mine = [i for i in self.at if self.hard[i].line_angle is None]
        for i in mine:
            self._need(i, self._worth(i, float(need[i])))
        if not self.mixed:
            return
        asks = []
        whole, each = feet_pushed(self.b, self.one, self.f.wind, self.q)
        for c in range(len(self.push)):
            load = self._load(c)
            units = {i: self._worth(i, t) for i in mine if (t := float(whole[c, i])) > 0}
            asks += [_Ask(-1, units, load)] if units else []
            for f in range(self.pushed.shape[1]):
                units = {i: self._worth(i, t) for i in mine if self.b.frame[i] == f and (t := float(each[c, i])) > 0}  # fmt: skip
                frame = (float(self.pushed[c, f]), max(float(self.lifted[c, f]), 0.0))
                asks += [_Ask(f, units, (*load, *frame))] if units else []
        for a in _fewest(asks):
            self._either(a)

    def _worth(self, i: int, worth: float) -> int:
        """Units that are worth so many at a point, one more than can be there where none are enough."""
        return int(min(units_for(self.hard[i], worth), self._most(i) + 1))

    def _by_weight(self) -> None:
        """The frames that only weights hold against a push."""
        some, added = by_weight(self.b, self.one, self.f.wind, self.q)
        for f in range(self.pushed.shape[1]):
            asks = {
                (float(self.pushed[c, f]), max(float(self.lifted[c, f]), 0.0), round(float(added[c, f]), 6))
                for c in np.flatnonzero(some[:, f] & (self.pushed[:, f] > 0))
            }
            for push, up, more in _most(asks):
                rows = [self.checks.slides(m, self.f.wind * (push + m * up), f) for m in self.checks.levels]  # fmt: skip
                self.checks.either([(row, low + more) for row, low in rows])

    def _whole(self) -> None:
        """The shelter as a whole: what all of them hold of the push together, or friction."""
        lines = self.one.on_line.any()
        asks = sorted(
            {
                (self._load(c), float(self.needs[c]), tuple(np.round(self.supply[c], 9).tolist()))
                for c in range(len(self.push))
                if self.push[c] > 0
            }
        )
        for load, needs, supply in asks:
            row = {}
            for k, c in enumerate(self.p.columns):
                if c.h.kind in DRIVEN:
                    each = c.h.pull if c.h.line_angle is not None else 0.0 if lines else c.h.lateral
                    row[self.p.n(k)] = supply[c.point] * c.worth * each
            self.checks.either([(row, needs), *self._friction(load)])


def _program(columns: Sequence[_Column], x: Installation, choices: Sequence[Choice], pattern: Sequence[Sequence[int]], q: float | None, most_q: float, part: float | Floats | None = None) -> _Program:  # fmt: skip
    """The checks as a program, at a pressure or with it as a variable.

    part: of it where one level of friction counts in every case, or in each the one that holds most in an arrangement (its values): what
    holds there holds, and it is much easier.
    """
    p = _Program(columns)
    _common(p, choices, pattern)
    hard = _hard(columns, x, pattern)
    checks = _Checks(x, standing_on(x, hard, pattern), p, q, part)
    checks.x_most = most_q
    checks.lifting()
    if q is not None and any(c.h.kind in DRIVEN for c in columns):
        _Driven(checks, x, hard, q).rows()
    else:
        checks.sliding()
    checks.least_of_the_code()
    return p


def standing_on(x: Installation, hard: Sequence[Hardware], pattern: Sequence[Sequence[int]]) -> Base:
    """The base of an installation with these ways to hold at its points."""
    able = [bool(k) for k in pattern]
    return x.base.holding(np.array(able)).of_kinds(kinds_of(hard, [None] * len(able)))


def _hard(columns: Sequence[_Column], x: Installation, pattern: Sequence[Sequence[int]]) -> list[Hardware]:
    first = {c.point: c.h for c in reversed(columns)}
    return [first.get(i, x.hard[i]) if pattern[i] else x.hard[i] for i in range(len(pattern))]


@dataclass(frozen=True)
class Solver:
    """Arrangements of an installation, its points shared out among choices in one way."""

    x: Installation
    choices: Sequence[Choice]
    pattern: Sequence[Sequence[int]]
    most_q: float
    """A pressure (Pa) that something else does not outlast, so that more is worth nothing."""
    seconds: float = SOLVE_S
    gap: float = GAP

    @cached_property
    def columns(self) -> list[_Column]:
        """What may stand where."""
        return _columns(self.x, self.choices, self.pattern)

    @property
    def driven(self) -> bool:
        """Whether some points have stakes or deadmen, which are linear at a given pressure only."""
        return any(self.choices[k].kind in DRIVEN for able in self.pattern for k in able)

    @property
    def large(self) -> bool:
        """Whether it is too large to be proved in the time that there is."""
        return len(self.columns) > SMALL

    def _program(self, q: float | None, part: float | Floats | None = None) -> _Program:
        return _program(self.columns, self.x, self.choices, self.pattern, q, self.most_q, part)

    def _levels(self) -> list[float]:
        return sorted({self.x.factors.friction * m for c in self.columns for m in (c.h.friction, c.h.foot)}, reverse=True)  # fmt: skip

    def least_work(self, q: float, bound: float | None = None, near: Floats | None = None) -> Arranged | None:
        """The arrangement of least work that holds a pressure; None where none does. near: values of one that does."""
        best, least = None, np.inf
        parts: list[float | Floats | None] = [None]
        if self.large:
            parts = [*self._levels()] if near is None else [near]
        proved = False
        for part in parts:
            p = self._program(q, part)
            cost = _work(p, self.x)
            v, low = _solve(p, cost, self.most_q, PART_S if self.large else WORK_S, self.gap)
            if v is not None and (mine := sum(c * float(v[k]) for k, c in cost.items())) < least:
                best, least, proved = v, mine, part is None and low >= mine * (1 - 2 * self.gap)
        if best is None:
            return None
        found = _read(self.columns, best, len(self.pattern), q, self.most_q if bound is None else bound)
        return found if proved else replace(found, least=self._least_minutes(q))

    def _least_minutes(self, q: float) -> float:
        """No arrangement that holds a pressure takes less, as far as that is proved in the time that there is."""
        p = self._program(q)
        _, low = _solve(p, _work(p, self.x, even=False), self.most_q, PART_S, self.gap)
        return max(low, 0.0) if np.isfinite(low) else 0.0

    def best(self) -> Arranged | None:
        """The arrangement that holds most, and of those that do the one of least work. Raises ``NoSolverError``."""
        return self._halved() if self.driven else self._at_once()

    def _at_once(self) -> Arranged | None:
        def run(part: float | Floats | None, seconds: float) -> tuple[Floats | None, float, float]:
            p = self._program(None, part)
            v, bound = _solve(p, {p.q(): -1.0}, self.most_q, seconds, self.gap)
            return v, -1.0 if v is None else float(v[p.q()]), -bound

        v, q, bound = run(None, LARGE_S if self.large else self.seconds)
        if self.large and q < bound * (1 - self.gap):
            tries: list[float | Floats] = [*self._levels()]
            for n in range(len(tries) + REFINED):
                if n >= len(tries) and v is None:
                    break
                other, more, _ = run(tries[n] if n < len(tries) else v, PART_S)
                if other is not None and more > q:
                    v, q = other, more
                elif n >= len(tries):
                    break
        if v is None:
            return None
        bound = max(min(bound, self.most_q), q)
        found = _read(self.columns, v, len(self.pattern), q, bound)
        return self.least_work(q * (1 - 1e-9), bound, v) or found

    def _halved(self) -> Arranged | None:
        best = self.least_work(self.most_q, self.most_q)
        low, high, near, proved = 0.0, self.most_q, None, self.most_q
        while best is None or high - low > NARROW * high:
            if high <= NARROW * self.most_q or (best is not None and best.q >= self.most_q):
                break
            q = (low + high) / 2
            p = self._program(q)
            v, none = _solve(p, {}, self.most_q, LARGE_S if self.large else self.seconds, self.gap)
            if v is None:
                high, proved = q, q if none == np.inf else proved
            else:
                low, best, near = q, _read(self.columns, v, len(self.pattern), q, proved), v
        if best is None:
            return None
        best = replace(best, bound=proved)
        return self.least_work(best.q, proved, near) or best


def solvers(x: Installation, most_q: float) -> tuple[list[Choice], list[Solver]]:
    """One for each way to share the points out."""
    choices = choices_of(x.deployment.anchorage, x.deployment.stock)
    return choices, [Solver(x, choices, pattern, most_q) for pattern in patterns(x, choices)]


def changes_of(x: Installation, choices: Sequence[Choice], found: Arranged) -> dict[str, Any]:
    """The arrangement as changes of the file."""
    d, rows = x.deployment, dict[str, dict[str, Any]]()
    kinds = {choices[c].kind for c in found.choice if c >= 0}
    one = kinds.pop() if len(kinds) == 1 else None
    for i, c, n in zip(x.base.ids, found.choice, found.counts, strict=True):
        if c < 0:
            rows[i] = {"kind": "none"}
            continue
        at = choices[c]
        rows[i] = {
            **({} if one else {"kind": at.kind}),
            **({} if at.unit is None else {"unit": at.unit}),
            "placed": int(n),
        }
    out: dict[str, Any] = {
        "anchorage.kind": one or "mixed",
        "point": at_points(d.point, rows, drop=("placed", "kind", "unit", "unit_material")),
    }
    if d.anchorage.placed is not None:
        out["anchorage.placed"] = None
    return out
