"""A shelter's form as flat surfaces and anchor points. The forms other than gable and single-slope are in forms.py.

Axes: x along the ridge towards the front, y to the left as seen from inside looking out of the front, z up, origin in
the middle of the base. Lengths in m.
"""

from __future__ import annotations

import itertools
import math
from dataclasses import dataclass, field
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from anchorage.core.closed import CANOPIES, FACES, ONE_SLOPE, point_id

Floats = NDArray[np.float64]

OUTWARD: dict[str, tuple[float, float]] = {
    "front": (1.0, 0.0),
    "right": (0.0, -1.0),
    "back": (-1.0, 0.0),
    "left": (0.0, 1.0),
}


@dataclass(frozen=True)
class Surface:
    """A flat polygon, its vertices (n, 3) in order seen from outside; ``wall`` names the wall, None for a roof."""

    name: str
    vertices: Floats
    wall: str | None = None
    exact: tuple[Floats, Floats] | None = None
    """(vector, centroid) of a flat surface with a curved edge, which the vertices only draw."""
    faces: str | None = None
    """The side that a slope of the roof faces; None for walls and where one slope goes all across."""

    @cached_property
    def _fan(self) -> list[tuple[list[float], list[float]]]:
        """Cross product and centroid of each triangle from the first vertex. A few points: plain floats are faster."""
        first, *rest = self.vertices.tolist()
        out = []
        for b, c in itertools.pairwise(rest):
            ax, ay, az = (p - o for p, o in zip(b, first, strict=True))
            bx, by, bz = (p - o for p, o in zip(c, first, strict=True))
            middle = [(o + p + q) / 3 for o, p, q in zip(first, b, c, strict=True)]
            out.append(([ay * bz - az * by, az * bx - ax * bz, ax * by - ay * bx], middle))
        return out

    @cached_property
    def vector(self) -> Floats:
        """Area times outward normal (m^2), shape (3,)."""
        if self.exact is not None:
            return self.exact[0]
        return np.array([sum(part) / 2 for part in zip(*(cross for cross, _ in self._fan), strict=True)])

    @cached_property
    def area(self) -> float:
        """m^2."""
        return math.sqrt(sum(part * part for part in self.vector.tolist()))

    @cached_property
    def centroid(self) -> Floats:
        """m, shape (3,)."""
        if self.exact is not None:
            return self.exact[1]
        normal = self.vector.tolist()
        weight = [sum(c * n for c, n in zip(cross, normal, strict=True)) for cross, _ in self._fan]
        return np.array(
            [
                sum(w * m for w, m in zip(weight, along, strict=True)) / (2 * self.area**2)
                for along in zip(*(middle for _, middle in self._fan), strict=True)
            ]
        )

    def between(self, axis: int, low: float, high: float) -> Surface | None:
        """The part between two planes across an axis, or None."""
        v = _clip(_clip(self.vertices.tolist(), axis, low, 1.0), axis, high, -1.0)
        if len(v) < 3:
            return None
        piece = Surface(self.name, np.array(v), self.wall, faces=self.faces)
        return piece if piece.area > 1e-12 else None


def _clip(v: list[list[float]], axis: int, at: float, sign: float) -> list[list[float]]:
    """Keep the side of the plane where sign·(coordinate - at) >= 0."""
    kept: list[list[float]] = []
    for a, b in zip(v, v[1:] + v[:1], strict=True):
        da, db = sign * (a[axis] - at), sign * (b[axis] - at)
        if da >= 0:
            kept.append(a)
        if (da > 0 > db) or (da < 0 < db):
            kept.append([p + (q - p) * da / (da - db) for p, q in zip(a, b, strict=True)])
    return kept


@dataclass(frozen=True)
class Point:
    """An anchor point: its name, place (m), group (corner | side | end) and the outward direction of a line from it."""

    id: str
    x: float
    y: float
    group: str
    outward: tuple[float, float]
    frame: int | None = field(default=None)


@dataclass(frozen=True, eq=False)
class Shape:
    """Surfaces and anchor points of a shelter; slope in degrees, mean roof height by the rule of ASCE 7 (m).

    A canopy has no walls; an arch from the ground (eave 0) has none on its sides.
    """

    form: str
    length: float
    width: float
    eave: float
    ridge: float
    surfaces: tuple[Surface, ...]
    points: tuple[Point, ...]
    low_side: str | None = None
    ridge_length: float | None = None
    """Length of the ridge of a hip roof (m)."""

    @property
    def canopy(self) -> bool:
        """True for a roof on posts, without walls."""
        return self.form in CANOPIES

    @property
    def slope(self) -> float:
        """Roof slope across the ridge in degrees; of an arch, of the chord from its foot to its crown."""
        run = self.width if self.form in ONE_SLOPE else self.width / 2
        return float(np.degrees(np.arctan2(self.ridge - self.eave, run)))

    def slope_to(self, face: str) -> float:
        """Slope in degrees of the roof that faces a side; of the ends of a hip roof it is another than of its sides."""
        if self.ridge_length is None or face in ("left", "right"):
            return self.slope
        run = (self.length - self.ridge_length) / 2
        return float(np.degrees(np.arctan2(self.ridge - self.eave, run)))

    @property
    def rise_to_span(self) -> float:
        """Rise over span of an arch."""
        return (self.ridge - self.eave) / self.width

    def roof_height(self, flat_below: float) -> float:
        """Mean roof height (m): the eave's where no slope is above ``flat_below`` degrees; of an arch always the mean."""
        flat = max(self.slope, self.slope_to("front")) <= flat_below and self.form != "arch"
        return self.eave if flat else (self.eave + self.ridge) / 2

    @cached_property
    def walls(self) -> tuple[Surface, ...]:
        """The walls that there are, in the order of FACES."""
        return tuple(s for f in FACES for s in self.surfaces if s.wall == f)

    @cached_property
    def sides(self) -> Floats:
        """Gross area (m^2) that the openings of each face are a share of, (4,); half the roof where an arch is the wall."""
        area = {str(s.wall): s.area for s in self.walls}
        half = 0.0 if self.canopy else sum(s.area for s in self.roofs) / 2
        return np.array([area.get(f, half) for f in FACES])

    @property
    def roof_area(self) -> float:
        """Roof (m^2) that is no side: nothing of an arch from the ground."""
        sides = 2 if self.form == "arch" and self.eave <= 0 else 0
        return 0.0 if sides else sum(s.area for s in self.roofs)

    @cached_property
    def roofs(self) -> tuple[Surface, ...]:
        """The roof surfaces."""
        return tuple(s for s in self.surfaces if s.wall is None)

    @property
    def plan_area(self) -> float:
        """m^2."""
        return self.length * self.width


def _surfaces(
    length: float, width: float, right: float, left: float, ridge: float | None
) -> tuple[Surface, ...]:
    x, y = length / 2, width / 2
    top = [] if ridge is None else [(0.0, ridge)]
    front = [(-y, 0.0), (y, 0.0), (y, left), *top, (-y, right)]
    walls = [
        Surface("front wall", np.array([(x, *p) for p in front]), "front"),
        Surface("right wall", np.array([(-x, -y, 0), (x, -y, 0), (x, -y, right), (-x, -y, right)]), "right"),
        Surface("back wall", np.array([(-x, *p) for p in reversed(front)]), "back"),
        Surface("left wall", np.array([(x, y, 0), (-x, y, 0), (-x, y, left), (x, y, left)]), "left"),
    ]
    if ridge is None:
        roof = [Surface("roof", np.array([(-x, -y, right), (x, -y, right), (x, y, left), (-x, y, left)]))]
    else:
        roof = [
            Surface(
                "right roof",
                np.array([(-x, -y, right), (x, -y, right), (x, 0, ridge), (-x, 0, ridge)]),
                faces="right",
            ),
            Surface(
                "left roof",
                np.array([(-x, 0, ridge), (x, 0, ridge), (x, y, left), (-x, y, left)]),
                faces="left",
            ),
        ]
    return (*walls, *roof)


def anchor_points(length: float, width: float, per_side: int, per_end: int) -> tuple[Point, ...]:
    """Anchor points round the base: per_side along each long side and per_end along each end, corners in both.

    Ids run from the front: L1.. and R1.. along the sides, F2.. and B2.. between the corners of the ends, from left.
    """
    half = float(np.sqrt(0.5))
    points = []
    for along, sign in (("left", 1.0), ("right", -1.0)):
        for k, x in enumerate(np.linspace(length / 2, -length / 2, per_side)):
            corner = k in (0, per_side - 1)
            out = (half * (1.0 if k == 0 else -1.0), half * sign) if corner else (0.0, sign)
            points.append(
                Point(
                    point_id(along, k + 1),
                    float(x),
                    sign * width / 2,
                    "corner" if corner else "side",
                    out,
                    k,
                )
            )
    for along, sign in (("front", 1.0), ("back", -1.0)):
        for k, y in enumerate(np.linspace(width / 2, -width / 2, per_end)[1:-1]):
            points.append(Point(point_id(along, k + 2), sign * length / 2, float(y), "end", (sign, 0.0)))
    return tuple(points)


def gable(length: float, width: float, eave: float, ridge: float, per_side: int, per_end: int) -> Shape:
    """A gable roof (flat where ridge = eave) on four walls. m."""
    surfaces = _surfaces(length, width, eave, eave, ridge)
    return Shape(
        "gable", length, width, eave, ridge, surfaces, anchor_points(length, width, per_side, per_end)
    )


def single_slope(
    length: float, width: float, eave: float, ridge: float, per_side: int, per_end: int, high_side: str
) -> Shape:
    """One roof slope across the width; ``ridge`` is the height of the high side, left or right. m."""
    left, right = (ridge, eave) if high_side == "left" else (eave, ridge)
    surfaces = _surfaces(length, width, right, left, None)
    low = "right" if high_side == "left" else "left"
    return Shape(
        "single-slope",
        length,
        width,
        eave,
        ridge,
        surfaces,
        anchor_points(length, width, per_side, per_end),
        low,
    )
