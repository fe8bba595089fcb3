"""A Plan as shapes in metres, seen from above: one geometry for terminal, SVG and paper.

Axes of the drawing: x to the right, y up; the front of the shelter is up, as on paper. Nothing is computed here
that is not a place on the drawing.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

from anchorage.result import Plan, PointOut
from anchorage.sheet.sketch import Around, compass, count

Style = Literal[
    "wall", "ridge", "front", "point", "weak", "unused", "label", "weak-label", "wind", "north", "scale", "axis"
]  # fmt: skip
NOWHERE = Around()
ROOM = 0.16
"""Of the longer side: from the wall to what is drawn around it."""
SCALES_M = {
    "us": (("5 ft", 1.524), ("10 ft", 3.048), ("20 ft", 6.096)),
    "si": (("1 m", 1.0), ("3 m", 3.0), ("6 m", 6.0)),
}


@dataclass(frozen=True)
class Line:
    """From one place to another."""

    x1: float
    y1: float
    x2: float
    y2: float
    style: Style
    arrow: bool = False
    """A head at the second place."""


@dataclass(frozen=True)
class Circle:
    """An anchor point."""

    x: float
    y: float
    radius: float
    style: Style


@dataclass(frozen=True)
class Text:
    """Words at a place. side: which way from the place they run, so that they keep clear of it."""

    x: float
    y: float
    text: str
    style: Style
    side: Literal["left", "right", "middle"] = "middle"


@dataclass(frozen=True)
class Polygon:
    """A closed outline."""

    points: tuple[tuple[float, float], ...]
    style: Style


Shape = Line | Circle | Text | Polygon


def weakest(plan: Plan) -> str:
    """Id of the anchor point that gives first, or nothing where what gives first is no one point."""
    ids = {p.id for p in plan.anchorage.points}
    if plan.limit.where in ids:
        return plan.limit.where
    worst = [c for c in plan.checks if c.where in ids and not c.name.startswith("rating")]
    by_load = sorted(worst, key=lambda c: math.inf if c.ratio is None else c.ratio)
    return by_load[-1].where if by_load else ""


def size(plan: Plan) -> tuple[float, float]:
    """Width and length of the base (m): the anchor points stand at its corners."""
    points = plan.anchorage.points
    xs, ys = [p.x_m for p in points], [p.y_m for p in points]
    return max(ys) - min(ys), max(xs) - min(xs)


def _held(p: PointOut) -> str:
    if not p.usable or p.kind == "none":
        return "none"
    return f"{count(p)}"


def _point(p: PointOut, weak: bool, radius: float) -> list[Shape]:
    x, y = -p.y_m, p.x_m
    nothing = not p.usable or p.kind == "none"
    mark = Circle(x, y, radius, "weak" if weak else "unused" if nothing else "point")
    words = f"{p.id}: {_held(p)}" + (" weak" if weak else "")
    style: Style = "weak-label" if weak else "label"
    if p.id[:1] in ("L", "R"):
        side: Literal["left", "right"] = "left" if p.id[0] == "L" else "right"
        return [mark, Text(x + radius * (-2 if side == "left" else 2), y, words, style, side)]
    off = radius * (3 if p.id[:1] == "F" else -3)
    return [mark, Text(x, y + off, words, style)]


def _towards(bearing: float, heading: float) -> tuple[float, float]:
    """Unit vector on the drawing towards a compass bearing; the front, at ``heading``, is up."""
    a = math.radians(bearing - heading)
    return math.sin(a), math.cos(a)


def _around(plan: Plan, around: Around, *, hot_to_clean: bool) -> list[Shape]:
    wide, long = size(plan)
    half_w, half_l, room = wide / 2, long / 2, ROOM * max(wide, long)
    facing = "FRONT"
    if around.heading is not None:
        facing += f" faces {round(around.heading) % 360}° {compass(around.heading)}"
    out: list[Shape] = [Text(0.0, half_l + room * 1.4, facing, "front")]
    if around.heading is None:
        return out
    nx, ny = _towards(0.0, around.heading)
    cx, cy = half_w + 2.6 * room, half_l + 0.6 * room
    if around.wind_from is not None:  # in the corner that the wind does not come from
        ax, ay = _towards(around.wind_from, around.heading)
        cx, cy = math.copysign(cx, -ax), math.copysign(cy, -ay)
    out += [
        Line(cx - nx * room / 2, cy - ny * room / 2, cx + nx * room / 2, cy + ny * room / 2, "north", arrow=True),
        Text(cx + nx * room * 1.3, cy + ny * room * 1.3, "N", "north"),
    ]  # fmt: skip
    if around.wind_from is None:
        return out
    wx, wy = _towards(around.wind_from, around.heading)
    cx, cy = math.copysign(half_w + 1.8 * room, wx), math.copysign(half_l + 1.1 * room, wy)
    words = f"WIND {round(around.wind_from) % 360}°"
    out += [
        Line(cx + wx * room, cy + wy * room, cx - wx * room, cy - wy * room, "wind", arrow=True),
        Text(cx + math.copysign(1.2 * room, wx), cy, words, "wind", "left" if wx < 0 else "right"),
    ]
    if hot_to_clean:
        d = min(half_w, half_l)
        out += [
            Line(-wx * d / 2, -wy * d / 2, wx * d / 2, wy * d / 2, "axis", arrow=True),
            Text(-wx * d * 0.75, -wy * d * 0.75, "HOT", "axis"),
            Text(wx * d * 0.75, wy * d * 0.75, "CLEAN", "axis"),
        ]
    return out


def plan_shapes(plan: Plan, around: Around = NOWHERE, *, hot_to_clean: bool = False) -> list[Shape]:
    """The shelter from above in metres. hot_to_clean: the way people walk, towards where the wind comes from."""
    wide, long = size(plan)
    half_w, half_l = wide / 2, long / 2
    radius = 0.02 * max(wide, long)
    corners = ((-half_w, half_l), (half_w, half_l), (half_w, -half_l), (-half_w, -half_l))
    out: list[Shape] = [Line(0.0, half_l, 0.0, -half_l, "ridge"), Polygon(corners, "wall")]
    weak = weakest(plan)
    for p in plan.anchorage.points:
        out += _point(p, p.id == weak, radius)
    out += _around(plan, around, hot_to_clean=hot_to_clean)
    name, metres = next(
        (s for s in reversed(SCALES_M[plan.show_units]) if s[1] <= wide), SCALES_M[plan.show_units][0]
    )
    y = -half_l - ROOM * max(wide, long) * 1.2
    out += [
        Line(-metres / 2, y, metres / 2, y, "scale"),
        Text(metres / 2 + radius, y, name, "scale", "right"),
    ]
    return out
