"""Arches, canopies and EN 1991-1-4, in the second reckoning: what the wind asks of them, by hand, in plain floats.

Nothing of the package is used here. Figures typed anew from the published tables that the notes of the project collect: ASCE 7 figs 27.3-3 to
27.3-7 as BNBC 2020 and CIRSOC 102 carry them, EN 1991-1-4 tables 7.1 to 7.7 as public copies of them do; what was only recalled is
marked memory. An outer part of a face is what pressures outside ask; an inner part what a pressure inside does.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from itertools import pairwise
from math import atan2, cos, hypot, inf, log, log10, sin, sqrt
from typing import TYPE_CHECKING

from tests import second_loads
from tests.second_loads import (
    FACES,
    OPPOSITE,
    Case,
    Panel,
    Shelter,
    Sum,
    _face_cases,
    _sliding,
    added,
    between,
    inside_coefficients,
    outside,
    strip_shares,
)

if TYPE_CHECKING:
    from tests.second_figures import Job

ARCH_PARTS = 16  # flats that an arch is made of: the design's choice
ARCH_CENTRE, ARCH_LEE = 0.7, -0.5  # ASCE 7 fig. 27.3-3
RUBS = 0.04  # EN 1991-1-4 table 7.10, very rough: memory
RUB_WIDTHS, RUB_HEIGHTS, RUB_SMALL = 2.0, 4.0, 4.0  # the same, 7.5 and 5.3(4): memory

# CN of windward and leeward half, ASCE 7 figs 27.3-4 and 27.3-5: slope: (clear A, clear B, obstructed A, obstructed B)
FREE_LEVEL = ((1.2, 0.3), (-1.1, -0.1), (-0.5, -1.2), (-1.1, -0.6))
FREE_LOW_EDGE_LEE = {  # gamma 0, which lifts: wind on the high side
    7.5: ((-0.6, -1.0), (-1.4, 0.0), (-1.0, -1.5), (-1.7, -0.8)),
    15.0: ((-0.9, -1.3), (-1.9, 0.0), (-1.1, -1.5), (-2.1, -0.6)),
    22.5: ((-1.5, -1.6), (-2.4, -0.3), (-1.5, -1.7), (-2.3, -0.9)),
    30.0: ((-1.8, -1.8), (-2.5, -0.5), (-1.5, -1.8), (-2.3, -1.1)),
    37.5: ((-1.8, -1.8), (-2.4, -0.6), (-1.5, -1.8), (-2.2, -1.1)),
    45.0: ((-1.6, -1.8), (-2.3, -0.7), (-1.3, -1.8), (-1.9, -1.2)),
}
FREE_LOW_EDGE_WINDWARD = {  # gamma 180, which presses
    7.5: ((0.9, 1.5), (1.6, 0.3), (-0.2, -1.2), (0.8, -0.3)),
    15.0: ((1.3, 1.6), (1.8, 0.6), (0.4, -1.1), (1.2, -0.3)),
    22.5: ((1.7, 1.8), (2.2, 0.7), (0.5, -1.0), (1.3, 0.0)),
    30.0: ((2.1, 2.1), (2.6, 1.0), (0.6, -1.0), (1.6, 0.1)),
    37.5: ((2.1, 2.2), (2.7, 1.1), (0.7, -0.9), (1.9, 0.3)),
    45.0: ((2.2, 2.5), (2.6, 1.4), (0.8, -0.9), (2.1, 0.4)),
}
FREE_GABLE = {
    7.5: ((1.1, -0.3), (0.2, -1.2), (-1.6, -1.0), (-0.9, -1.7)),
    15.0: ((1.1, -0.4), (0.1, -1.1), (-1.2, -1.0), (-0.6, -1.6)),
    22.5: ((1.1, 0.1), (-0.1, -0.8), (-1.2, -1.2), (-0.8, -1.7)),
    30.0: ((1.3, 0.3), (-0.1, -0.9), (-0.7, -0.7), (-0.2, -1.1)),
    37.5: ((1.3, 0.6), (-0.2, -0.6), (-0.6, -0.6), (-0.3, -0.9)),
    45.0: ((1.1, 0.9), (-0.3, -0.5), (-0.5, -0.5), (-0.3, -0.7)),
}
FREE_ALONG = ((-0.8, 0.8, -1.2, 0.5), (-0.6, 0.5, -0.9, 0.5), (-0.3, 0.3, -0.6, 0.3))  # to h, to 2h, beyond
FREE_FLATTEST = 7.5

# EN 1991-1-4
EN_DENSITY, EN_TURBULENCE, EN_PEAK = 1.25, 1.0, 7.0
EN_TERRAIN = {
    "0": (0.003, 1.0),
    "I": (0.01, 1.0),
    "II": (0.05, 2.0),
    "III": (0.3, 5.0),
    "IV": (1.0, 10.0),
}  # z0, zmin
EN_KR, EN_KR_AT, EN_KR_POWER = 0.19, 0.05, 0.07
EN_YEARLY, EN_SHAPE, EN_POWER = 0.02, 0.2, 0.5
EN_WALLS = {  # h/d: (cpe,10; cpe,1) of A, B, C, D, E
    0.25: ((-1.2, -1.4), (-0.8, -1.1), (-0.5, -0.5), (0.7, 1.0), (-0.3, -0.3)),
    1.0: ((-1.2, -1.4), (-0.8, -1.1), (-0.5, -0.5), (0.8, 1.0), (-0.5, -0.5)),
    5.0: ((-1.2, -1.4), (-0.8, -1.1), (-0.5, -0.5), (0.8, 1.0), (-0.7, -0.7)),
}
EN_FLAT = {"F": (-1.8, -2.5), "G": (-1.2, -2.0), "H": (-0.7, -1.2)}
EN_FLAT_REAR = 0.2  # either sign
EN_FLATTEST = 5.0
EN_SUCTION = {  # wind across a duopitch: slope: (cpe,10; cpe,1), zone by zone
    "F": {5.0: (-1.7, -2.5), 15.0: (-0.9, -2.0), 30.0: (-0.5, -1.5), 45.0: (0.0, 0.0)},
    "G": {5.0: (-1.2, -2.0), 15.0: (-0.8, -1.5), 30.0: (-0.5, -1.5), 45.0: (0.0, 0.0)},
    "H": {5.0: (-0.6, -1.2), 15.0: (-0.3, -0.3), 30.0: (-0.2, -0.2), 45.0: (0.0, 0.0)},
    "I": {5.0: (-0.6, -0.6), 15.0: (-0.4, -0.4), 30.0: (-0.4, -0.4), 45.0: (-0.2, -0.2), 60.0: (-0.2, -0.2), 75.0: (-0.2, -0.2)},
    "J": {5.0: (-0.6, -0.6), 15.0: (-1.0, -1.5), 30.0: (-0.5, -0.5), 45.0: (-0.3, -0.3), 60.0: (-0.3, -0.3), 75.0: (-0.3, -0.3)},
}  # fmt: skip
EN_PRESSURE = {
    "F": {5.0: 0.0, 15.0: 0.2, 30.0: 0.7, 45.0: 0.7, 60.0: 0.7, 75.0: 0.8},
    "G": {5.0: 0.0, 15.0: 0.2, 30.0: 0.7, 45.0: 0.7, 60.0: 0.7, 75.0: 0.8},
    "H": {5.0: 0.0, 15.0: 0.2, 30.0: 0.4, 45.0: 0.6, 60.0: 0.7, 75.0: 0.8},
    "I": {15.0: 0.0, 30.0: 0.0, 45.0: 0.0},
    "J": {5.0: 0.2, 15.0: 0.0, 30.0: 0.0, 45.0: 0.0},
}
EN_ALONG = {  # wind along the ridge of a duopitch
    5.0: {"F": (-1.6, -2.2), "G": (-1.3, -2.0), "H": (-0.7, -1.2), "I": (-0.6, -0.6)},
    15.0: {"F": (-1.3, -2.0), "G": (-1.3, -2.0), "H": (-0.6, -1.2), "I": (-0.5, -0.5)},
    30.0: {"F": (-1.1, -1.5), "G": (-1.4, -2.0), "H": (-0.8, -1.2), "I": (-0.5, -0.5)},
    45.0: {"F": (-1.1, -1.5), "G": (-1.4, -2.0), "H": (-0.9, -1.2), "I": (-0.5, -0.5)},
    60.0: {"F": (-1.1, -1.5), "G": (-1.2, -2.0), "H": (-0.8, -1.0), "I": (-0.5, -0.5)},
    75.0: {"F": (-1.1, -1.5), "G": (-1.2, -2.0), "H": (-0.8, -1.0), "I": (-0.5, -0.5)},
}
EN_MONO_HIGH = {  # wind on the high side of a single slope, F, G, H: memory
    5.0: (-2.3, -1.3, -0.8), 15.0: (-2.5, -1.3, -0.9), 30.0: (-1.1, -0.8, -0.8), 45.0: (-0.6, -0.5, -0.7),
    60.0: (-0.5, -0.5, -0.5), 75.0: (-0.5, -0.5, -0.5),
}  # fmt: skip
EN_MONO_ALONG = {  # wind along its eaves: F at the high edge, F at the low one, G, H, I: memory
    5.0: (-2.1, -2.1, -1.8, -0.6, -0.5), 15.0: (-2.4, -1.6, -1.9, -0.8, -0.7), 30.0: (-2.1, -1.3, -1.5, -1.0, -0.8),
    45.0: (-1.5, -1.3, -1.4, -1.0, -0.9), 60.0: (-1.2, -1.2, -1.2, -1.0, -0.7), 75.0: (-1.2, -1.2, -1.2, -1.0, -0.5),
}  # fmt: skip
EN_IN, EN_OUT = 0.2, -0.3  # inside, no wall dominates
EN_DOMINANT = 0.9  # 7.2.9, three times the others: memory
EN_CANOPY_MONO = {  # slope: down, up clear, up blocked
    0.0: (0.2, -0.5, -1.3), 5.0: (0.4, -0.7, -1.4), 10.0: (0.5, -0.9, -1.4), 15.0: (0.7, -1.1, -1.4),
    20.0: (0.8, -1.3, -1.4), 25.0: (1.0, -1.6, -1.4), 30.0: (1.2, -1.8, -1.4),
}  # fmt: skip
EN_CANOPY_DUO = {
    5.0: (0.3, -0.6, -1.3), 10.0: (0.4, -0.7, -1.3), 15.0: (0.4, -0.8, -1.3), 20.0: (0.6, -0.9, -1.3),
    25.0: (0.7, -1.0, -1.3), 30.0: (0.9, -1.0, -1.3),
}  # fmt: skip
EN_CANOPY_AT = 0.25  # of the depth, where a single slope may have its resultant


def column(table: dict[float, tuple[float, ...]], x: float, k: int) -> float:
    """Straight lines between the rows of a column."""
    return between(x, tuple(table), tuple(row[k] for row in table.values()))


class Arch(Shelter):
    """A round arch of flats on walls, or from the ground."""

    def __init__(self, length: float, width: float, eave: float, crown: float) -> None:
        super().__init__("arch", length, width, eave, crown)
        self.height = (eave + crown) / 2.0
        rise = crown - eave
        self.rise = rise / width
        self.radius = (width * width / 4.0 + rise * rise) / (2.0 * rise)
        self.deep = crown - self.radius  # height of the middle of the circle
        self.half = atan2(width / 2.0, self.radius - rise)
        self.quarters = {
            "arc": self.half / 2.0,
            "span": atan2(width / 4.0, sqrt(self.radius**2 - width**2 / 16.0)),
        }
        span = self.quarters["span"]
        cuts = [self.half * (2.0 * k / ARCH_PARTS - 1.0) for k in range(ARCH_PARTS + 1)]
        self.angles = sorted([*cuts, -span, span])

    def top(self, y: float) -> float:
        """Of a wall: the crown over an end, the eave along a side."""
        return self.eave if abs(y) == self.width / 2.0 else self.ridge

    def walls(self) -> list[Panel]:
        """Ends up to the arc, sides up to the eave."""
        half_l, half_w = self.length / 2.0, self.width / 2.0
        under = self.radius**2 * (self.half - sin(self.half) * cos(self.half))
        middle = self.deep + 2.0 * (self.radius * sin(self.half)) ** 3 / (3.0 * under)
        area = self.width * self.eave + under
        z = (self.width * self.eave**2 / 2.0 + under * middle) / area
        out = [
            Panel(area, (s * half_l, 0.0, z), (s, 0.0, 0.0), n) for n, s in (("front", 1.0), ("back", -1.0))
        ]
        if self.eave > 0.0:
            tall = self.length * self.eave
            out += [Panel(tall, (0.0, s * half_w, self.eave / 2.0), (0.0, s, 0.0), n) for n, s in (("left", 1.0), ("right", -1.0))]  # fmt: skip
        return out

    def roof(self, along: bool = False, cuts: tuple[float, ...] = ()) -> list[Panel]:
        """The flats, cut at distances along the axis."""
        half_l = self.length / 2.0
        xs = [-half_l, *sorted(c for c in cuts if along and abs(c) < half_l), half_l]
        out = []
        for a, b in pairwise(self.angles):
            if b - a < 1e-12:
                continue
            (y0, z0), (y1, z1) = ((self.radius * sin(t), self.deep + self.radius * cos(t)) for t in (a, b))
            chord, middle = hypot(y1 - y0, z1 - z0), (a + b) / 2.0
            for x0, x1 in pairwise(xs):
                at = ((x0 + x1) / 2.0, (y0 + y1) / 2.0, (z0 + z1) / 2.0)
                out.append(Panel((x1 - x0) * chord, at, (0.0, sin(middle), cos(middle)), f"{middle:+.9f}"))
        return out

    def gross(self) -> dict[str, float]:
        """What openings are a share of: half of the arch where it is the wall."""
        half = sum(p.area for p in self.roof()) / 2.0
        return dict.fromkeys(FACES, half) | {w.name: w.area for w in self.walls()}

    def envelope(self) -> float:
        """Of walls and roof, nothing twice."""
        return sum(p.area for p in (*self.walls(), *self.roof()))

    def faces(self, name: str) -> tuple[float, float, float, float]:
        """Of an end all is wall; of a side the wall under the eave and what the arch shows over it."""
        if name in ("front", "back"):
            wall = self.walls()[0]
            return wall.area, wall.at[2], 0.0, 0.0
        rise = self.ridge - self.eave
        return self.length * self.eave, self.eave / 2.0, self.length * rise, self.eave + rise / 2.0

    def across(self, face: str, higher: Callable[[float], float]) -> list[Sum]:
        """Wind across: quarters of the arc, and of the span, since nobody says which are meant."""
        r = self.rise
        if self.eave <= 0.0:
            windward = [1.4 * r]
        elif r < 0.2:
            windward = [-0.9]
        else:
            windward = [2.75 * r - 0.7 if r >= 0.3 else 1.5 * r - 0.3]
            windward += [6.0 * r - 2.1] if r <= 0.3 else []
        deep, wide = self.width, self.length
        lee = between(deep / wide, *(tuple(p[i] for p in second_loads.LEEWARD_WALL) for i in (0, 1)))
        of = {face: second_loads.WINDWARD_WALL * max(1.0, higher(self.eave)), OPPOSITE[face]: lee}
        walls = added([(w, of.get(w.name, second_loads.SIDE_WALL)) for w in self.walls()], walls=True)
        out = []
        for quarter in self.quarters.values():
            for first in windward:
                loaded = []
                for p in self.roof():
                    towards = float(p.name) * FACES[face][1]
                    cp = (
                        first if towards > quarter else ARCH_LEE if towards < -quarter else -(ARCH_CENTRE + r)
                    )
                    loaded.append((p, cp))
                out.append(walls.plus(added(loaded, walls=False)))
        return out


class Canopy(Shelter):
    """A roof on posts."""

    def walls(self) -> list[Panel]:
        """None."""
        return []

    def faces(self, name: str) -> tuple[float, float, float, float]:
        """The roof as the wind sees it, at the pressure of a wall: ASCE 7 27.1.5, open buildings."""
        rise = self.ridge - self.eave
        if name in ("front", "back"):
            return 0.0, 0.0, 0.0, 0.0
        return self.length * rise, self.eave + rise / 2.0, 0.0, 0.0


def face_of(shelter: Shelter, face: str) -> tuple[float, float]:
    """Depth along the wind, breadth across."""
    return (shelter.length, shelter.width) if face in ("front", "back") else (shelter.width, shelter.length)


def dragged(face: str, area: float, at: tuple[float, float, float], coefficient: float) -> Sum:
    """A force along the wind at a place."""
    wx, wy = FACES[face]
    fx, fy = -wx * area * coefficient, -wy * area * coefficient
    x, y, z = at
    return Sum(
        push_x=fx, push_y=fy, tip_x=-fx * z, tip_y=-fy * z, wall_x=fx, wall_y=fy, twist=x * fy - y * fx
    )


def cells(shelter: Shelter, xs: list[float], ys: list[float]) -> list[Panel]:
    """A roof of one or two slopes in pieces between lines both ways."""
    half_l, half_w = shelter.length / 2.0, shelter.width / 2.0
    ridge = [] if shelter.form.endswith("single-slope") else [0.0]
    xs = sorted({-half_l, half_l, *(x for x in xs if abs(x) < half_l)})
    ys = sorted({-half_w, half_w, *ridge, *(y for y in ys if abs(y) < half_w)})
    out = []
    for y0, y1 in pairwise(ys):
        z0, z1 = shelter.top(y0), shelter.top(y1)
        rise = (z1 - z0) / (y1 - y0)
        long = hypot(1.0, rise)
        side = "left" if (y0 + y1 > 0.0 if not rise or ridge else rise < 0.0) else "right"
        for x0, x1 in pairwise(xs):
            at = ((x0 + x1) / 2.0, (y0 + y1) / 2.0, (z0 + z1) / 2.0)
            out.append(Panel((x1 - x0) * (y1 - y0) * long, at, (0.0, -rise / long, 1.0 / long), side))
    return out


def behind(shelter: Shelter, face: str, p: Panel) -> float:
    """How far a piece lies behind the edge that faces the wind."""
    deep, _ = face_of(shelter, face)
    wx, wy = FACES[face]
    return deep / 2.0 - (p.at[0] * wx + p.at[1] * wy)


def rubbed(shelter: Shelter, face: str) -> Sum:
    """Wind along both faces of a canopy."""
    roof = cells(shelter, [], [])
    area = sum(p.area for p in roof)
    at = tuple(sum(p.area * p.at[k] for p in roof) / area for k in range(3))
    return dragged(face, 2.0 * area, (at[0], at[1], at[2]), RUBS)


def free_roof(shelter: Shelter, face: str, blockage: str | None, *, rubs: bool) -> list[Sum]:
    """A canopy by ASCE 7: net coefficients on its halves, cases A and B, clear and obstructed beneath."""
    kinds = {"clear": (0, 1), "obstructed": (2, 3), None: (0, 1, 2, 3)}[blockage]
    deep, _ = face_of(shelter, face)
    friction = rubbed(shelter, face) if rubs else Sum()
    out = []
    if face in ("front", "back"):
        bounds = [shelter.height * k for k in (1.0, 2.0)]
        pieces = cells(shelter, [deep / 2.0 - b for b in bounds] + [b - deep / 2.0 for b in bounds], [])
        for k in kinds:
            loaded = [(p, FREE_ALONG[sum(behind(shelter, face, p) > b for b in bounds)][k]) for p in pieces]
            out.append(added(loaded, walls=False).plus(friction))
        return out
    if shelter.slope < FREE_FLATTEST:
        rows = [FREE_LEVEL[k] for k in kinds]
    else:
        low = {"left": "right", "right": "left"}[shelter.high]
        table = FREE_GABLE
        if shelter.form.endswith("single-slope"):
            table = FREE_LOW_EDGE_WINDWARD if face == low else FREE_LOW_EDGE_LEE
        rows = [
            (between(shelter.slope, tuple(table), tuple(row[k][0] for row in table.values())),
             between(shelter.slope, tuple(table), tuple(row[k][1] for row in table.values())))
            for k in kinds
        ]  # fmt: skip
    pieces = cells(shelter, [], [0.0])
    for windward, leeward in rows:
        loaded = [(p, windward if behind(shelter, face, p) < deep / 2.0 else leeward) for p in pieces]
        out.append(added(loaded, walls=False).plus(friction))
    return out


# --- EN 1991-1-4


def en_speed(job: Job) -> float:
    """The basic speed, brought from 50 years to another return period where the file asks for it."""
    if job.return_period is None:
        return job.speed

    def gumbel(p: float) -> float:
        return 1.0 - EN_SHAPE * log(-log(1.0 - p))

    return job.speed * (gumbel(1.0 / job.return_period) / gumbel(EN_YEARLY)) ** EN_POWER


def en_pressure(job: Job) -> float:
    """Peak velocity pressure at the ridge, of a 10 min mean at 10 m in open country."""
    z0, floor = EN_TERRAIN[job.category]
    z = max(job.ridge, floor)
    mean = EN_KR * (z0 / EN_KR_AT) ** EN_KR_POWER * log(z / z0) * en_speed(job)
    return (1.0 + EN_PEAK * EN_TURBULENCE / log(z / z0)) * 0.5 * EN_DENSITY * mean * mean


def by_area(pair: tuple[float, float], area: float) -> float:
    """cpe,10 from 10 m2 on, between that and 1 m2 by the logarithm."""
    large, small = pair
    return large if area >= 10.0 else small - (small - large) * log10(max(area, 1.0))


def en_walls(h_over_d: float, area: float) -> dict[str, float]:
    """Zones A to E."""
    out = {}
    for k, zone in enumerate("ABCDE"):
        large, small = (between(max(h_over_d, 0.25), tuple(EN_WALLS), tuple(row[k][j] for row in EN_WALLS.values())) for j in (0, 1))  # fmt: skip
        out[zone] = by_area((large, small), area)
    return out


def wall_strips(shelter: Shelter, wall: Panel, face: str, ends: list[float]) -> list[tuple[Panel, float]]:
    """A wall beside the wind in upright strips: (strip, distance of its middle behind the windward edge)."""
    deep, _ = face_of(shelter, face)
    s = sum(FACES[face])
    along_x = wall.name in ("left", "right")
    breaks = {-deep / 2.0, deep / 2.0, *(s * (deep / 2.0 - e) for e in ends if 0.0 < e < deep)}
    if not along_x and not shelter.form.endswith("single-slope"):
        breaks.add(0.0)
    out = []
    for a, b in pairwise(sorted(breaks)):
        za, zb = (wall.at[2] * 2.0,) * 2 if along_x else (shelter.top(a), shelter.top(b))
        area = (b - a) * (za + zb) / 2.0
        z = (za * za + za * zb + zb * zb) / (3.0 * (za + zb))
        place = a + (b - a) * (za + 2.0 * zb) / (3.0 * (za + zb))
        at = (place, wall.at[1], z) if along_x else (wall.at[0], place, z)
        out.append((Panel(area, at, wall.out, wall.name), deep / 2.0 - s * (a + b) / 2.0))
    return out


def en_signs(zones: str, slope: float, area: float) -> list[dict[str, float]]:
    """Some zones in suction and, where that is another, in pressure; a zone with one sign alone has it in both."""
    low, high = {}, {}
    for zone in zones:
        s, p = EN_SUCTION[zone], EN_PRESSURE[zone]
        if min(s) <= slope <= max(s):
            large, small = (between(slope, tuple(s), tuple(v[j] for v in s.values())) for j in (0, 1))
            low[zone] = by_area((large, small), area)
        if min(p) <= slope <= max(p):
            high[zone] = between(slope, tuple(p), tuple(p.values()))
    first, second = {**high, **low}, {**low, **high}
    return [first] if first == second else [first, second]


def en_outside(shelter: Shelter, face: str) -> list[Sum]:
    """Walls, roof and friction for wind square on a face."""
    deep, wide = face_of(shelter, face)
    e, h = min(wide, 2.0 * shelter.ridge), shelter.ridge
    plan = shelter.length * shelter.width
    walls = Sum()
    for wall in shelter.walls():
        cpe = en_walls(h / deep, wall.area)
        if wall.name in (face, OPPOSITE[face]):
            walls = walls.plus(added([(wall, cpe["D" if wall.name == face else "E"])], walls=True))
            continue
        for strip, far in wall_strips(shelter, wall, face, [e / 5.0, e]):
            zone = "A" if far < e / 5.0 else "B" if far < e else "C"
            walls = walls.plus(added([(strip, cpe[zone])], walls=True))
    flat, single = shelter.slope < EN_FLATTEST, shelter.form == "single-slope"
    across = face in ("left", "right")
    by_slope = across and not flat
    lines = [e / 10.0, e / 2.0] + ([deep / 2.0 + e / 10.0] if by_slope and not single else [])
    edge = [wide / 2.0 - e / 4.0, e / 4.0 - wide / 2.0]
    cuts = [sum(FACES[face]) * (deep / 2.0 - at) for at in lines]
    pieces = cells(shelter, *((edge, cuts) if across else (cuts, edge)))

    def zone_of(p: Panel) -> str:
        far, beside = behind(shelter, face, p), p.at[0] if across else p.at[1]
        corner = abs(beside) > wide / 2.0 - e / 4.0
        if by_slope and not single and p.name != face:
            return "J" if far < deep / 2.0 + e / 10.0 else "I"
        if far < e / 10.0:
            if corner and single and not across and not flat:
                return "high" if (beside > 0.0) == (shelter.high == "left") else "low"
            return "F" if corner else "G"
        return "H" if by_slope or far < e / 2.0 else "I"

    if flat:
        sets = [
            {z: by_area(v, plan) for z, v in EN_FLAT.items()} | {"I": s * EN_FLAT_REAR} for s in (-1.0, 1.0)
        ]
    elif by_slope and single and face == shelter.high:
        sets = [{z: column(EN_MONO_HIGH, shelter.slope, k) for k, z in enumerate("FGH")}]
    elif by_slope and single:
        sets = en_signs("FGH", shelter.slope, plan)
    elif by_slope:
        sets = [
            a | b for a in en_signs("FGH", shelter.slope, plan) for b in en_signs("IJ", shelter.slope, plan)
        ]
    elif single:
        sets = [
            {z: column(EN_MONO_ALONG, shelter.slope, k) for k, z in enumerate(("high", "low", "G", "H", "I"))}
        ]
    else:
        xs = tuple(EN_ALONG)
        sets = [{z: by_area(tuple(between(shelter.slope, xs, tuple(row[z][j] for row in EN_ALONG.values())) for j in (0, 1)), plan) for z in "FGHI"}]  # type: ignore[arg-type]  # fmt: skip
    friction = en_rubbed(shelter, face)
    return [walls.plus(added([(p, s[zone_of(p)]) for p in pieces], walls=False)).plus(friction) for s in sets]


def en_rubbed(shelter: Shelter, face: str) -> Sum:
    """Friction along what is parallel to the wind, further than 2b or 4h behind its edge, where it is not small."""
    deep, wide = face_of(shelter, face)
    walls = shelter.walls()
    beside = [w for w in walls if w.name not in (face, OPPOSITE[face])]
    start = min(RUB_WIDTHS * wide, RUB_HEIGHTS * shelter.ridge)
    parallel = sum(w.area for w in beside) + sum(p.area for p in cells(shelter, [], []))
    if parallel <= RUB_SMALL * sum(w.area for w in walls if w not in beside) or start >= deep:
        return Sum()
    out = Sum()
    for wall in beside:
        for strip, far in wall_strips(shelter, wall, face, [start]):
            out = out.plus(dragged(face, strip.area, strip.at, RUBS)) if far > start else out
    line = [sum(FACES[face]) * (deep / 2.0 - start)]
    across = face in ("left", "right")
    for p in cells(shelter, *(([], line) if across else (line, []))):
        out = out.plus(dragged(face, p.area, p.at, RUBS)) if behind(shelter, face, p) > start else out
    return out


def en_canopy(shelter: Shelter, face: str, blockage: str | None) -> list[Sum]:
    """Both pitches or one; of a single slope the resultant in the middle, or a quarter behind the windward edge."""
    duo = shelter.form == "gable" and shelter.slope >= EN_FLATTEST
    table = EN_CANOPY_DUO if duo else EN_CANOPY_MONO
    ways = {"clear": (0, 1), "obstructed": (0, 2), None: (0, 1, 2)}[blockage]
    deep, _ = face_of(shelter, face)
    first, second = (
        4.0 * (0.5 - EN_CANOPY_AT) + 1.0,
        4.0 * (EN_CANOPY_AT - 0.5) + 1.0,
    )  # of the halves, so that it acts there
    spreads = ((1.0, 1.0), (1.0, 0.0), (0.0, 1.0)) if duo else ((1.0, 1.0), (first, second))
    out = []
    for k in ways:
        cf = column(table, shelter.slope, k)
        for a, b in spreads:
            loaded = []
            for p in cells(shelter, *(([], [0.0]) if face in ("left", "right") else ([0.0], []))):
                near = p.name == "right" if duo else behind(shelter, face, p) < deep / 2.0
                loaded.append((p, cf * (a if near else b)))
            out.append(added(loaded, walls=False).plus(rubbed(shelter, face)))
    return out


def en_inside(shelter: Shelter, job: Job) -> dict[str, tuple[float, float]]:
    """For wind on each face the most and the least that is inside: no wall dominates, or any that may be open does."""
    closed = {w for w, _, _, how in job.doors if how == "closed"}
    open_ = {w for w, f in (job.openings or {}).items() if f} | {w for w, *_ in job.doors} - closed | {w for w, *_ in job.ducts}  # fmt: skip
    if job.openings is None:
        open_ |= set(FACES)
    out = {}
    for face in FACES:
        deep, wide = face_of(shelter, face)
        cpe, e = en_walls(shelter.ridge / deep, inf), min(wide, 2.0 * shelter.ridge)
        seen = [EN_IN, EN_OUT]
        for wall in open_:
            if wall == face:
                seen.append(EN_DOMINANT * cpe["D"])
            elif wall == OPPOSITE[face]:
                seen.append(EN_DOMINANT * cpe["E"])
            else:
                last = "C" if e < deep else "B" if e < 5.0 * deep else "A"
                seen += [EN_DOMINANT * cpe["A"], EN_DOMINANT * cpe[last]]
        out[face] = max(seen), min(seen)
    return out


# --- all of it together


def shelter_of(job: Job) -> Shelter:
    """The shape of a job."""
    if job.form == "arch":
        return Arch(job.length, job.width, job.eave, job.ridge)
    kind = Canopy if job.form.startswith("canopy") else Shelter
    return kind(job.form.removeprefix("canopy-"), job.length, job.width, job.eave, job.ridge, job.high)


@dataclass
class Loads:
    """By face what is outside, and what is inside, both with the gust effect in."""

    outer: dict[str, list[Sum]]
    inner: list[dict[str, tuple[Sum, ...]]]
    cases: list[Case]


def loads_of(job: Job, shelter: Shelter, gust_effect: float, higher: Callable[[float], float]) -> Loads:
    """What the wind asks of any form by any method."""
    zero = Sum()
    found: dict[str, list[Sum]] = {}
    for face in FACES:
        if isinstance(shelter, Canopy):
            found[face] = en_canopy(shelter, face, job.blockage) if job.method == "en1991" else free_roof(shelter, face, job.blockage, rubs=job.method == "physics")  # fmt: skip
        elif job.method == "en1991":
            found[face] = en_outside(shelter, face)
        elif isinstance(shelter, Arch) and face in ("left", "right"):
            found[face] = shelter.across(face, higher)
        else:
            found[face] = outside(shelter, face, higher)
    outer = {face: [zero.plus(s, gust_effect) for s in sums] for face, sums in found.items()}
    pressed = added([(p, -1.0) for p in (*shelter.walls(), *shelter.roof())], walls=True)
    if isinstance(shelter, Canopy):
        inner = [dict.fromkeys(FACES, (zero,))]
    elif job.method == "en1991":
        every = en_inside(shelter, job)
        inner = [{face: tuple(zero.plus(pressed, v) for v in every[face]) for face in FACES}]
    else:
        inner = []
        for g in inside_coefficients(shelter, job.openings, job.doors, job.ducts):
            inner.append(
                {face: tuple(zero.plus(pressed, s) for s in dict.fromkeys((g, -g))) for face in FACES}
            )
    even = strip_shares(shelter.length, job.per_side)
    cases: list[Case] = []
    for inside in inner:
        for face in FACES:
            for s in outer[face]:
                for within in inside[face]:
                    cases += _face_cases(shelter, face, s.plus(within), even)
        for a in ("front", "back"):
            for b in ("left", "right"):
                for top, other in ((a, b), (b, a)):
                    for first in outer[top]:
                        for second in outer[other]:
                            for within in inside[top]:
                                cases.append(_corner(a, b, first, second, within, even))
    return Loads(outer, inner, cases)


def _corner(a: str, b: str, roof: Sum, other: Sum, inside: Sum, even: tuple[float, ...]) -> Case:
    """Push and its moments of both faces at 0.75, uplift of one roof and what is inside in full."""
    both = Sum().plus(roof, second_loads.CORNER_LOAD).plus(other, second_loads.CORNER_LOAD).plus(inside)
    x, y = _sliding(both)
    wind = (FACES[a][0] + FACES[b][0], FACES[a][1] + FACES[b][1])
    mx, my = roof.up_x + inside.up_x + both.tip_x, roof.up_y + inside.up_y + both.tip_y
    return Case(f"{a}-{b}", roof.up + inside.up, mx, my, x, y, both.twist, wind, 0.0, even)
