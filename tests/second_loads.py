"""What the wind asks of a shelter, reckoned a second time: by hand, in plain floats, from the published figures.

Nothing of the package is used here; ``tests/validation/test_second_reckoning.py`` compares the two. Everything is per unit of
velocity pressure at the reference height h: forces in m2, moments in m3. x runs along the ridge towards the front, y to the
left as seen looking out of the front, z up; the origin lies on the ground in the middle of the base.

Sources of the figures, as the notes of the project name them: ASCE 7 means the directional procedure of chapter 27 as carried
by national codes that adopted its tables (BNBC 2020 figs 6.2.5 to 6.2.9, CIRSOC 102-2025). What was only recalled is marked.
"""

from __future__ import annotations

from collections.abc import Callable
from itertools import pairwise, product
from math import atan2, degrees, hypot, inf, pi
from typing import NamedTuple

FACES = {"front": (1.0, 0.0), "back": (-1.0, 0.0), "left": (0.0, 1.0), "right": (0.0, -1.0)}
"""Outward directions of the walls."""
OPPOSITE = {"front": "back", "back": "front", "left": "right", "right": "left"}

WINDWARD_WALL, SIDE_WALL = 0.8, -0.7  # ASCE 7-16 fig. 27.3-1
LEEWARD_WALL = (
    (1.0, -0.5),
    (2.0, -0.3),
    (4.0, -0.2),
)  # ASCE 7-16 fig. 27.3-1, by L/B; -0.5 below 1, -0.2 above 4

# ASCE 7-16 fig. 27.3-1, roof, wind across the ridge, slopes of 10 degrees and more, by h/L. 0.0 stands where the figure has it
# for interpolation, and as the value of the other sign beside a single value up to 45 degrees (decision of the project); at 60
# degrees Cp = 0.01 theta is the only value, in both (note of the project's table).
SLOPES = (10.0, 15.0, 20.0, 25.0, 30.0, 35.0, 45.0, 60.0)
WINDWARD_ROOF = (
    (0.25, (-0.7, -0.5, -0.3, -0.2, -0.2, 0.0, 0.0, 0.6), (-0.18, 0.0, 0.2, 0.3, 0.3, 0.4, 0.4, 0.6)),
    (0.5, (-0.9, -0.7, -0.4, -0.3, -0.2, -0.2, 0.0, 0.6), (-0.18, -0.18, 0.0, 0.2, 0.2, 0.3, 0.4, 0.6)),
    (1.0, (-1.3, -1.0, -0.7, -0.5, -0.3, -0.2, 0.0, 0.6), (-0.18, -0.18, -0.18, 0.0, 0.2, 0.2, 0.3, 0.6)),
)
LEEWARD_SLOPES = (10.0, 15.0, 20.0)
LEEWARD_ROOF = ((0.25, (-0.3, -0.5, -0.6)), (0.5, (-0.5, -0.5, -0.6)), (1.0, (-0.7, -0.6, -0.6)))

# The same figure, slopes under 10 degrees and wind along the ridge: strips of 0 to h/2, to h, to 2h, beyond, by h/L.
STRIPS = ((0.5, (-0.9, -0.9, -0.5, -0.3)), (1.0, (-1.3, -0.7, -0.7, -0.7)))
STRIP_ENDS = (0.5, 1.0, 2.0)
STRIP_SECOND = -0.18

TWIST_LOAD, TWIST_ARM = 0.75, 0.15  # ASCE 7-16 fig. 27.3-8, case 2
CORNER_LOAD = 0.75  # ASCE 7-16 fig. 27.3-8, case 3

INSIDE_ENCLOSED, INSIDE_PARTIAL = 0.18, 0.55  # ASCE 7-16 table 26.13-1
OPEN_WALL = 0.8  # a wall this far open, ASCE 7-16 section 26.2
WINDWARD_EXCESS = 1.10  # openings of one wall over all others, same place
SMALL_SHARE, SMALL_AREA = 0.01, 0.37  # of the wall, and 4 sq ft in m2, same place
REST_SHARE = 0.20  # openings of the rest of the envelope over its area, same place


Corner = tuple[float, float, float]


class Panel(NamedTuple):
    """A flat piece of the cover."""

    area: float
    at: tuple[float, float, float]
    out: tuple[float, float, float]
    name: str


class Sum(NamedTuple):
    """Resultant of pressures on panels, per q: uplift, its first moments, push, moments of the push, push of the walls, twist.

    twist: moment of the push about the vertical through the middle, left-handed as x to y.
    """

    up: float = 0.0
    up_x: float = 0.0
    up_y: float = 0.0
    push_x: float = 0.0
    push_y: float = 0.0
    tip_x: float = 0.0
    tip_y: float = 0.0
    wall_x: float = 0.0
    wall_y: float = 0.0
    twist: float = 0.0

    def plus(self, other: Sum, times: float = 1.0) -> Sum:
        """Sum of both, the second so many times."""
        return Sum(
            self.up + times * other.up,
            self.up_x + times * other.up_x,
            self.up_y + times * other.up_y,
            self.push_x + times * other.push_x,
            self.push_y + times * other.push_y,
            self.tip_x + times * other.tip_x,
            self.tip_y + times * other.tip_y,
            self.wall_x + times * other.wall_x,
            self.wall_y + times * other.wall_y,
            self.twist + times * other.twist,
        )


class Case(NamedTuple):
    """A load case on the base, per q: uplift, moments that lift towards +x and +y, push, its twist about the vertical.

    wind: direction from which it comes; arm: how far the load is off the middle, along the face; shares: of each frame, for
    wind with a part across the ridge.
    """

    name: str
    up: float
    moment_x: float
    moment_y: float
    push_x: float
    push_y: float
    twist: float
    wind: tuple[float, float]
    arm: float
    shares: tuple[float, ...] | None

    @property
    def push(self) -> float:
        """How hard it pushes, whichever way."""
        return hypot(self.push_x, self.push_y)


def between(x: float, points: tuple[float, ...], values: tuple[float, ...]) -> float:
    """Straight lines between points; beyond the ends the end values."""
    if x <= points[0]:
        return values[0]
    for i in range(1, len(points)):
        if x <= points[i]:
            part = (x - points[i - 1]) / (points[i] - points[i - 1])
            return values[i - 1] + part * (values[i] - values[i - 1])
    return values[-1]


class Shelter:
    """A shelter from its sizes: panels, roof slope, height h."""

    def __init__(
        self, form: str, length: float, width: float, eave: float, ridge: float, high: str = "left"
    ) -> None:
        self.form, self.length, self.width, self.eave, self.ridge, self.high = (
            form, length, width, eave, ridge, high,
        )  # fmt: skip
        run = width if form == "single-slope" else width / 2.0
        self.slope = degrees(atan2(ridge - eave, run))
        self.height = eave if self.slope <= 10.0 else (eave + ridge) / 2.0

    def top(self, y: float) -> float:
        """Height of the roof over a line along the shelter."""
        if self.form == "single-slope":
            low = -1.0 if self.high == "left" else 1.0
            far = abs(y - low * self.width / 2.0) / self.width
        else:
            far = 1.0 - abs(y) / (self.width / 2.0)
        return self.eave + far * (self.ridge - self.eave)

    def walls(self) -> list[Panel]:
        """The four walls, gross."""
        half_l, half_w = self.length / 2.0, self.width / 2.0
        out = []
        for name, y, way in (("left", half_w, 1.0), ("right", -half_w, -1.0)):
            tall = self.top(y)
            out.append(Panel(self.length * tall, (0.0, y, tall / 2.0), (0.0, way, 0.0), name))
        # an end wall in vertical strips between breaks of the roof line, each a trapezium
        breaks = (-half_w, half_w) if self.form != "gable" else (-half_w, 0.0, half_w)
        for name, x, way in (("front", half_l, 1.0), ("back", -half_l, -1.0)):
            area = at_y = at_z = 0.0
            for a, b in pairwise(breaks):
                za, zb = self.top(a), self.top(b)
                piece = (b - a) * (za + zb) / 2.0
                area += piece
                at_z += (b - a) * (za * za + za * zb + zb * zb) / 6.0
                at_y += piece * (a + (b - a) * (za + 2.0 * zb) / (3.0 * (za + zb)))
            out.append(Panel(area, (x, at_y / area, at_z / area), (way, 0.0, 0.0), name))
        return out

    def roof(self, along: bool = False, cuts: tuple[float, ...] = ()) -> list[Panel]:
        """The roof in pieces, cut at some distances from the middle, along the ridge or across it."""
        half_l, half_w = self.length / 2.0, self.width / 2.0
        if self.form == "hip":
            return [
                p for name, corners in self._hips() for p in _sliced(name, corners, 0 if along else 1, cuts)
            ]
        xs = [-half_l, *sorted(c for c in cuts if along and abs(c) < half_l), half_l]
        ridge = () if self.form == "single-slope" else (0.0,)
        ys = [-half_w, *sorted({c for c in (*(() if along else cuts), *ridge) if abs(c) < half_w}), half_w]
        out = []
        for y0, y1 in pairwise(ys):
            z0, z1 = self.top(y0), self.top(y1)
            rise = (z1 - z0) / (y1 - y0)
            long = hypot(1.0, rise)
            side = "left" if (rise < 0.0 if rise else y0 + y1 > 0.0) else "right"
            for x0, x1 in pairwise(xs):
                at = ((x0 + x1) / 2.0, (y0 + y1) / 2.0, (z0 + z1) / 2.0)
                out.append(Panel((x1 - x0) * (y1 - y0) * long, at, (0.0, -rise / long, 1.0 / long), side))
        return out

    def _hips(self) -> list[tuple[str, list[Corner]]]:
        """The four slopes of a hip roof of one slope all round, seen from above against the clock."""
        x, y, low, high = self.length / 2.0, self.width / 2.0, self.eave, self.ridge
        front, back = (x - y, 0.0, high), (y - x, 0.0, high)
        a, b, c, d = (x, -y, low), (x, y, low), (-x, y, low), (-x, -y, low)
        return [
            ("front", [a, b, front]),
            ("left", [b, c, back, front]),
            ("back", [c, d, back]),
            ("right", [d, a, front, back]),
        ]

    def gross(self) -> dict[str, float]:
        """What openings are a share of."""
        return {w.name: w.area for w in self.walls()}

    def envelope(self) -> float:
        """Of walls and roof."""
        return sum(p.area for p in (*self.walls(), *self.roof()))

    def faces(self, name: str) -> tuple[float, float, float, float]:
        """What the wind sees of a side: area of the wall, height of its middle, area of the roof upright, height of its middle."""
        wall = next(w for w in self.walls() if w.name == name)
        axis = 0 if name in ("front", "back") else 1
        seen = [(p.area * abs(p.out[axis]), p.at[2]) for p in self.roof() if p.name == name and p.out[axis]]
        area = sum(a for a, _ in seen)
        return wall.area, wall.at[2], area, sum(a * z for a, z in seen) / area if area else 0.0


def _sliced(name: str, corners: list[Corner], axis: int, cuts: tuple[float, ...]) -> list[Panel]:
    """A flat piece cut along lines at some x or y."""
    out = []
    for low, high in pairwise([-inf, *sorted(cuts), inf]):
        piece = _side(_side(corners, axis, low, 1.0), axis, high, -1.0)
        if len(piece) > 2:
            area, at, normal = 0.0, [0.0, 0.0, 0.0], (0.0, 0.0, 1.0)
            for p, q in pairwise(piece[1:]):
                u, v = _less(p, piece[0]), _less(q, piece[0])
                cross = (u[1] * v[2] - u[2] * v[1], u[2] * v[0] - u[0] * v[2], u[0] * v[1] - u[1] * v[0])
                size = hypot(*cross)
                if size > 1e-12:
                    area += size / 2.0
                    at = [m + size / 2.0 * (piece[0][k] + p[k] + q[k]) / 3.0 for k, m in enumerate(at)]
                    normal = (cross[0] / size, cross[1] / size, cross[2] / size)
            if area > 1e-9:
                out.append(Panel(area, (at[0] / area, at[1] / area, at[2] / area), normal, name))
    return out


def _less(p: Corner, q: Corner) -> Corner:
    return p[0] - q[0], p[1] - q[1], p[2] - q[2]


def _side(corners: list[Corner], axis: int, line: float, way: float) -> list[Corner]:
    """What lies on one side of a line."""
    if abs(line) == inf:
        return corners
    out: list[Corner] = []
    for p, q in zip(corners, [*corners[1:], *corners[:1]], strict=True):
        a, b = way * (p[axis] - line), way * (q[axis] - line)
        if a >= 0.0:
            out.append(p)
        if (a > 0.0 > b) or (a < 0.0 < b):
            part = a / (a - b)
            out.append(
                (p[0] + part * (q[0] - p[0]), p[1] + part * (q[1] - p[1]), p[2] + part * (q[2] - p[2]))
            )
    return out


def added(panels: list[tuple[Panel, float]], walls: bool) -> Sum:
    """Resultant of pressures (positive inwards) on panels: F = -p A n at the middle of each."""
    up = up_x = up_y = push_x = push_y = tip_x = tip_y = twist = 0.0
    for panel, pressure in panels:
        (x, y, z), (nx, ny, nz) = panel.at, panel.out
        force = -pressure * panel.area
        up += force * nz
        up_x += force * nz * x
        up_y += force * nz * y
        push_x += force * nx
        push_y += force * ny
        tip_x -= force * nx * z
        tip_y -= force * ny * z
        twist += force * (x * ny - y * nx)
    return Sum(up, up_x, up_y, push_x, push_y, tip_x, tip_y, push_x * walls, push_y * walls, twist)


def outside(shelter: Shelter, face: str, higher: Callable[[float], float]) -> list[Sum]:
    """External Cp times area for wind square on a face: with the first and, where they differ, the second roof coefficients."""
    wind = FACES[face]
    along = face in ("front", "back")
    deep, wide = (shelter.length, shelter.width) if along else (shelter.width, shelter.length)
    leeward = between(deep / wide, *(tuple(p[i] for p in LEEWARD_WALL) for i in (0, 1)))
    coefficient = {-1.0: leeward, 0.0: SIDE_WALL, 1.0: WINDWARD_WALL}
    crest = shelter.ridge if along and shelter.form != "hip" else shelter.top(wind[1] * shelter.width / 2.0)
    coefficient[1.0] *= max(1.0, higher(shelter.eave if along and shelter.form == "hip" else crest))
    walls = added(
        [(w, coefficient[w.out[0] * wind[0] + w.out[1] * wind[1]]) for w in shelter.walls()], walls=True
    )
    ratio = shelter.height / deep
    by_slope = shelter.slope >= 10.0 and (not along or shelter.form == "hip")
    ends = [e * shelter.height for e in STRIP_ENDS]
    cuts = () if by_slope and shelter.form != "hip" else tuple(sum(wind) * (deep / 2.0 - e) for e in ends)
    strips = [between(ratio, *_columns(STRIPS, k)) for k in range(4)]
    lees = tuple(between(shelter.slope, LEEWARD_SLOPES, row) for _, row in LEEWARD_ROOF)
    lee = between(ratio, tuple(row[0] for row in LEEWARD_ROOF), lees)
    pressed = (_windward(ratio, shelter.slope, 1), _windward(ratio, shelter.slope, 2))
    first, second = [], []
    for piece in shelter.roof(along, cuts):
        if by_slope and piece.name == face:
            values = pressed
        elif by_slope and piece.name == OPPOSITE[face]:
            values = (lee, lee)
        else:
            far = deep / 2.0 - (piece.at[0] * wind[0] + piece.at[1] * wind[1])
            values = (strips[sum(far > e for e in ends)], STRIP_SECOND)
        first.append((piece, values[0]))
        second.append((piece, values[1]))
    roofs = [first] if first == second else [first, second]
    return [walls.plus(added(r, walls=False)) for r in roofs]


def _windward(ratio: float, slope: float, k: int) -> float:
    """Only like signs are joined, 0.0 in the place of the other: where both come out, the one that presses down."""
    halves = []
    for half in (max, min):
        rows = tuple(between(slope, SLOPES, tuple(half(v, 0.0) for v in row[k])) for row in WINDWARD_ROOF)
        halves.append(between(ratio, tuple(row[0] for row in WINDWARD_ROOF), rows))
    return halves[0] if halves[0] > 0.0 else halves[1]


def _columns(
    table: tuple[tuple[float, tuple[float, ...]], ...], k: int
) -> tuple[tuple[float, ...], tuple[float, ...]]:
    return tuple(row[0] for row in table), tuple(row[1][k] for row in table)


Doors = tuple[tuple[str, float, float, str], ...]
Ducts = tuple[tuple[str, float, int], ...]


def inside_coefficients(
    shelter: Shelter, openings: dict[str, float] | None, doors: Doors = (), ducts: Ducts = ()
) -> list[float]:
    """Magnitudes of GCpi to run: of every set of the openings that may be open together, each by the worst wall.

    A wall that is open by a share of it is tried shut, half and in full, a door shut and open, ducts blanked and open; a door that is
    said to be closed stays so. Nothing said of the walls: besides, one of them alone is open.
    """
    gross, envelope = shelter.gross(), shelter.envelope()
    each = [[(w, s * gross[w] * f) for s in (0.0, 0.5, 1.0)] for w, f in (openings or {}).items() if f]
    each += [[(w, 0.0), (w, wide * high)] for w, wide, high, state in doors if state != "closed"]
    each += [[(w, 0.0), (w, n * pi * d * d / 4.0)] for w, d, n in ducts]
    found = set() if openings is not None else {INSIDE_PARTIAL}
    for together in product(*each):
        opened = dict.fromkeys(gross, 0.0)
        for w, area in together:
            opened[w] += area
        found.add(_inside_of(opened, gross, envelope))
    return sorted(found)


def _inside_of(opened: dict[str, float], gross: dict[str, float], envelope: float) -> float:
    """Magnitude of GCpi of one way to stand, by the worst wall."""
    if all(opened[w] >= OPEN_WALL * gross[w] for w in gross):
        return 0.0
    total = sum(opened.values())
    for w, area in opened.items():
        rest = total - area
        dominant = area > WINDWARD_EXCESS * rest and area > min(SMALL_SHARE * gross[w], SMALL_AREA)
        if dominant and rest / (envelope - gross[w]) <= REST_SHARE:
            return INSIDE_PARTIAL
    return INSIDE_ENCLOSED


def strip_shares(length: float, frames: int, arm: float = 0.0) -> tuple[float, ...]:
    """Share of each frame, from the front: the strip up to halfway to its neighbours; arm: distance of the load from the middle.

    A load off the middle is spread in a straight line along the shelter: w(x) = (1/L) (1 + 12 arm x / L^2).
    """
    bay = length / (frames - 1)
    out = []
    for k in range(frames):
        x = length / 2.0 - k * bay
        a, b = max(x - bay / 2.0, -length / 2.0), min(x + bay / 2.0, length / 2.0)
        out.append((b - a) / length + 6.0 * arm * (b * b - a * a) / length**3)
    return tuple(out)


def _sliding(s: Sum) -> tuple[float, float]:
    """Push with the roof's own, or without it if that is more; what is left of sums that cancel is none."""
    x, y = s.push_x, s.push_y
    if hypot(x, y) < hypot(s.wall_x, s.wall_y):
        x, y = s.wall_x, s.wall_y
    return (x if abs(x) > 1e-10 else 0.0), (y if abs(y) > 1e-10 else 0.0)


def _face_cases(shelter: Shelter, face: str, s: Sum, even: tuple[float, ...]) -> list[Case]:
    push_x, push_y = _sliding(s)
    across = face in ("left", "right")
    mx, my, wind = s.up_x + s.tip_x, s.up_y + s.tip_y, FACES[face]
    out = [Case(face, s.up, mx, my, push_x, push_y, s.twist, wind, 0.0, even if across else None)]
    t = TWIST_LOAD
    for way in (TWIST_ARM, -TWIST_ARM):
        # the arm turns the push about the vertical; along the face it counts towards +x or +y
        arm = way * (shelter.length if across else shelter.width)
        shares = strip_shares(shelter.length, len(even), arm) if across else None
        twist = t * (s.twist + (arm * push_y if across else -arm * push_x))
        out.append(
            Case(f"twist {face}", t * s.up, t * mx, t * my, t * push_x, t * push_y, twist, wind, arm, shares)
        )
    return out
