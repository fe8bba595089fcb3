"""The plan and the section on paper, to scale."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass
from typing import TypeAlias

from anchorage.assemble import heading_true, shape_of
from anchorage.deployment import Deployment
from anchorage.drawing import Polygon, plan_shapes
from anchorage.result import Plan, PointOut
from anchorage.shape import Point, Shape
from anchorage.sheet.sketch import compass, count
from anchorage.sheet.svg import Canvas
from anchorage.units import show

SCALES = (20, 25, 40, 50, 60, 75, 100, 125, 150, 200, 250, 300, 400, 500, 750, 1000)
"""1 : n, as far as a scale rule has them."""
Place: TypeAlias = Callable[[float, float], tuple[float, float]]
"""(y, z) of the section to paper."""
ON_LINE = ("stakes", "line-ballast", "deadman")


@dataclass(frozen=True)
class Drawing:
    """A drawing as SVG with its size on paper."""

    svg: str
    width: float
    """mm."""
    height: float
    alt: str
    note: str = ""


def line_angle(d: Deployment) -> float | None:
    """Degrees above the ground of the lines, where the anchorage has lines."""
    a = d.anchorage
    if a.kind in ("stakes", "mixed") and a.stake is not None and a.stake.line_angle is not None:
        return a.stake.line_angle
    return a.line_angle if a.kind in ("line-ballast", "deadman", "mixed") else None


def _out(d: Deployment, p: PointOut) -> float:
    """How far out of the wall the line of a point reaches the ground, if it starts at the eave (m)."""
    angle = line_angle(d)
    if angle is None or p.kind not in ON_LINE:
        return 0.0
    return float(d.shelter.eave) / math.tan(math.radians(angle))


def _scale(wide: float, high: float, room: tuple[float, float]) -> int:
    """The largest usual scale at which m x m fits into mm x mm."""
    return next((s for s in SCALES if wide * 1000 / s <= room[0] and high * 1000 / s <= room[1]), SCALES[-1])


def _mark(c: Canvas, p: PointOut, x: float, y: float, size: float) -> None:
    """Ballast a filled square, a stake a filled circle, nothing a crossed circle. size: 1, or less where they crowd."""
    if p.kind == "none" or not p.usable:
        r = 0.9 * size
        c.circle(x, y, 1.2 * size)
        c.line(x - r, y - r, x + r, y + r, "line")
        c.line(x - r, y + r, x + r, y - r, "line")
    elif p.kind in ("stakes", "deadman"):
        c.circle(x, y, 1.1 * size, "solid")
    else:
        c.box(x - 1.3 * size, y - 1.3 * size, 2.6 * size, 2.6 * size, "solid")


def held(p: PointOut) -> str:
    """``L1: 12``."""
    return f"{p.id}: {count(p)}" if p.usable and p.kind != "none" else f"{p.id}: none"


class _Plan:
    """The plan being drawn: front up, left on the left."""

    def __init__(self, plan: Plan, d: Deployment, room: tuple[float, float]) -> None:
        self.plan, self.d, self.system = plan, d, plan.show_units
        self.shape: Shape = shape_of(d.shelter)
        self.weak = plan.limit.where
        self.outward: dict[str, Point] = {p.id: p for p in self.shape.points}
        self.reach = max((_out(d, p) for p in plan.anchorage.points), default=0.0)
        turned = heading_true(d) is not None
        windy = turned and d.wind.bearing is not None
        side = (
            (13.0 if windy else 9.0) if self.reach else (29.0 if windy else 21.0)
        )  # mm round it, for labels
        top = 20.0 if turned else 14.0
        ends = [p for p in plan.anchorage.points if p.id.startswith("F")]
        self.turned = len(ends) > 2  # labels of the ends upright
        top += 8.0 if self.turned else 0.0
        low = 25.0 if self.turned else 18.0 if self.reach or ends else 13.0
        wide, high = self.shape.width + 2 * self.reach, self.shape.length + 2 * self.reach
        self.scale = _scale(wide, high, (room[0] - 2 * side, room[1] - top - low))
        self.k = 1000 / self.scale
        self.c = Canvas(wide * self.k + 2 * side, high * self.k + top + low)
        self.gap = self.k * self.shape.length / max(d.shelter.side_points - 1, 1)
        """Between the points of a side on paper (mm)."""
        self.mx, self.my = self.c.width / 2, top + high * self.k / 2

    def at(self, x: float, y: float) -> tuple[float, float]:
        """From the shelter's axes (x to the front, y to the left) to paper."""
        return self.mx - y * self.k, self.my - x * self.k

    def draw(self) -> Drawing:
        c = self.c
        self.roof()
        for wall in plan_shapes(self.plan):
            if isinstance(wall, Polygon):
                c.poly([(self.mx + x * self.k, self.my - y * self.k) for x, y in wall.points], "thick")
        self.doors()
        for p in self.plan.anchorage.points:
            self.point(p)
        self.sizes()
        self.around()
        note = f"Scale 1:{self.scale}. Front at the top. Square: ballast. Dot: stake. Crossed circle: holds nothing."
        if self.weak in self.outward:
            note += f" Ring: gives first, {self.weak}."
        if self.reach:
            note += (
                " Lines drawn as if tied at the eave: tied lower, the stake stands nearer, at the same angle."
            )
        return Drawing(
            c.svg("Plan with anchor points"),
            c.width,
            c.height,
            "Plan to scale with the anchor points and what goes at each",
            note,
        )

    def roof(self) -> None:
        """Ridge, hips and the other edges of the roof inside the outline, each once."""
        seen = set()
        for roof in self.shape.roofs:
            corners = [(round(float(x), 4), round(float(y), 4)) for x, y, _ in roof.vertices]
            for edge in zip(corners, [*corners[1:], corners[0]], strict=True):
                (x1, y1), (x2, y2) = edge
                at_edge = any(abs(abs(a) - m) < 1e-3 and abs(abs(b) - m) < 1e-3 and a * b > 0
                              for a, b, m in ((x1, x2, self.shape.length / 2), (y1, y2, self.shape.width / 2)))  # fmt: skip
                if at_edge or edge in seen or edge[::-1] in seen:
                    continue
                seen.add(edge)
                self.c.line(*self.at(x1, y1), *self.at(x2, y2), "ridge")

    def doors(self) -> None:
        seen: dict[str, int] = {}
        for door in self.d.door:
            n = seen[door.wall] = seen.get(door.wall, 0) + 1
            half, s = min(float(door.width), self.shape.length) / 2, self.shape
            shift = (n - 1) * float(door.width) * 1.2
            x, y = s.length / 2, s.width / 2
            ends = {
                "front": ((x, shift - half), (x, shift + half)), "back": ((-x, shift - half), (-x, shift + half)),
                "left": ((shift - half, y), (shift + half, y)), "right": ((shift - half, -y), (shift + half, -y)),
            }[door.wall]  # fmt: skip
            (x1, y1), (x2, y2) = self.at(*ends[0]), self.at(*ends[1])
            self.c.line(x1, y1, x2, y2, "white")
            self.c.line(x1, y1, x2, y2, "dash" if door.state != "closed" else "line")
            inward = {"front": (0, 3.8), "back": (0, -1.8), "left": (1.5, 1), "right": (-1.5, 1)}[door.wall]
            anchor = {"left": "start", "right": "end"}.get(door.wall, "middle")
            word = {"open": "door open", "closed": "door shut", "in-use": "door in use"}[door.state]
            self.c.text(
                (x1 + x2) / 2 + inward[0], (y1 + y2) / 2 + inward[1], word, 2.4, anchor=anchor, blank=True
            )

    def label(self, p: PointOut) -> bool:
        """False for a point of a side that stands too close to the last one that has its name on the drawing."""
        every = max(math.ceil(1.9 / self.gap), 1)
        return p.id[0] not in "LR" or p.group == "corner" or (int(p.id[1:]) - 1) % every == 0

    def point(self, p: PointOut) -> None:
        dx, dy = self.outward[p.id].outward
        out = _out(self.d, p)
        x, y = self.at(p.x_m, p.y_m)
        ex, ey = self.at(p.x_m + dx * out, p.y_m + dy * out)
        if out:
            self.c.circle(x, y, 0.6, "solid")
            self.c.line(x, y, ex, ey, "line")
        _mark(self.c, p, ex, ey, min(1.0, self.gap / 4.0))
        if p.id == self.weak:
            self.c.circle(ex, ey, 2.1, "line")
        if not self.label(p):
            return
        words, size = held(p), min(3.2, max(self.gap * 0.9, 1.7))
        sideways = {"L": -1, "R": 1}.get(p.id[0], 0)
        if out and sideways:
            low = dx < -0.1  # a line to the back: its label below
            self.c.text(ex, ey + (4.6 if low else -2.2), words, size, bold=True)
        elif sideways:
            self.c.text(
                ex + sideways * 2.6,
                ey + size * 0.35,
                words,
                size,
                anchor="end" if sideways < 0 else "start",
                bold=True,
            )
        elif self.turned:
            self.c.text(
                ex + 0.9,
                ey + (-2.2 if dx > 0 else 2.2),
                words,
                2.4,
                anchor="start" if dx > 0 else "end",
                bold=True,
                turn=-90,
            )
        else:
            self.c.text(ex, ey + (-2.4 if dx > 0 else 4.9), words, 2.8, bold=True)

    def sizes(self) -> None:
        s, c = self.shape, self.c
        x, y = s.length / 2, s.width / 2
        (x1, _), (x2, _) = self.at(x, y), self.at(x, -y)
        below = self.at(-x, 0)[1] + (
            15.5
            if self.turned
            else 9.0
            if any(p.id.startswith("B") for p in self.plan.anchorage.points) or self.reach
            else 4.5
        )
        c.dimension(x1, below, x2, below, show("length", s.width, self.system))
        across = self.mx + min(s.width * self.k * 0.28, 12.0)
        c.dimension(
            across,
            self.at(x, 0)[1] + 1.2,
            across,
            self.at(-x, 0)[1] - 1.2,
            show("length", s.length, self.system),
        )
        left = [p for p in self.plan.anchorage.points if p.id.startswith("L")]
        if len(left) > 1 and self.gap > 8.0:
            step = abs(left[0].x_m - left[1].x_m)
            lx = self.at(x, y)[0] + 4.2
            c.dimension(
                lx,
                self.at(left[0].x_m, y)[1],
                lx,
                self.at(left[1].x_m, y)[1],
                show("length", step, self.system),
                2.3,
            )

    def around(self) -> None:
        """Front, north, wind, scale bar."""
        c, heading = self.c, heading_true(self.d)
        facing = "FRONT" if heading is None else f"FRONT, faces {round(heading)}° ({compass(heading)})"
        ends = any(p.id.startswith("F") for p in self.plan.anchorage.points)
        front = self.at(self.shape.length / 2 + (self.reach if ends or self.reach else 0.0), 0)[1]
        c.text(self.mx, front - (13.5 if self.turned else 6.2 if ends else 2.6), facing, 3.0, bold=True)
        if heading is not None:
            self.north(10.0, 9.5, heading)
        wind = self.d.wind.bearing
        if wind is not None and heading is not None:
            self.wind(math.radians(wind - heading), wind)
        unit, metres = ("10 ft", 3.048) if self.system == "us" else ("3 m", 3.0)
        y = c.height - 2.0
        c.line(2.0, y, 2.0 + metres * self.k, y, "thick")
        c.text(2.0 + metres * self.k / 2, y - 1.2, unit, 2.5)

    def north(self, x: float, y: float, heading: float) -> None:
        a = math.radians(-heading)
        sx, sy = math.sin(a), -math.cos(a)
        self.c.arrow(x - sx * 5, y - sy * 5, x + sx * 5, y + sy * 5, 3.2)
        self.c.text(x + sx * 7.2, y + sy * 7.2 + 1.1, "N", 3.2, bold=True)

    def wind(self, a: float, bearing: float) -> None:
        """An arrow from outside towards the middle, at an angle clockwise from the front."""
        sx, sy = math.sin(a), -math.cos(a)
        high = self.my - 1 if sy < 0 else self.c.height - self.my - 1
        room = min((self.c.width / 2 - 1) / max(abs(sx), 1e-6), high / max(abs(sy), 1e-6))
        x, y = self.mx + sx * room, self.my + sy * room
        self.c.arrow(x, y, x - sx * 9, y - sy * 9, 3.4, "thick")
        if min(x, self.c.width - x) < 8.0:  # from a side: the words run up along the edge
            self.c.text(
                x + (4.0 if x < 8.0 else -1.2),
                y - 4.0,
                f"WIND {round(bearing)}°",
                2.6,
                anchor="start",
                bold=True,
                turn=-90,
            )
        else:
            end = x > self.c.width - 20.0
            self.c.text(
                x + (-2.5 if end else 2.5),
                y + (3.0 if y < self.my else -1.0),
                f"WIND {round(bearing)}°",
                2.6,
                anchor="end" if end else "start",
                bold=True,
            )


def plan_drawing(plan: Plan, d: Deployment, room: tuple[float, float]) -> Drawing:
    """The plan to scale within mm x mm."""
    return _Plan(plan, d, room).draw()


def section_drawing(plan: Plan, d: Deployment, room: tuple[float, float]) -> Drawing:
    """A cut across the ridge, seen from the front: heights, lines with their angle, stakes and ballast."""
    shape, system, angle = shape_of(d.shelter), plan.show_units, line_angle(d)
    out = max((_out(d, p) for p in plan.anchorage.points), default=0.0)
    stake = d.anchorage.stake
    driven = (
        float(stake.driven)
        if stake is not None and any(p.kind == "stakes" for p in plan.anchorage.points)
        else 0.0
    )
    side, top, low = (20.0 if out else 17.0), 6.0, 8.0
    scale = _scale(shape.width + 2 * out, shape.ridge + driven, (room[0] - 2 * side, room[1] - top - low))
    k = 1000 / scale
    c = Canvas((shape.width + 2 * out) * k + 2 * side, (shape.ridge + driven) * k + top + low)
    mid, ground = c.width / 2, top + shape.ridge * k

    def at(y: float, z: float) -> tuple[float, float]:
        return mid - y * k, ground - z * k

    c.box(0, ground, c.width, max(driven * k, 1.6) + 1.2, "ground")
    c.line(0, ground, c.width, ground, "line")
    if shape.canopy:
        for y in (shape.width / 2, -shape.width / 2):
            c.line(*at(y, 0), *at(y, shape.eave), "thick")
    outline = _outline(shape)
    c.poly([at(y, z) for y, z in outline], "thick", closed=not shape.canopy)
    for letter, sign in (("L", 1.0), ("R", -1.0)):
        _side(
            c,
            at,
            shape,
            sign,
            out,
            driven,
            {p.kind for p in plan.anchorage.points if p.usable and p.id.startswith(letter)},
        )
    lined = next(
        (
            -1.0 if p.id.startswith("R") else 1.0
            for p in reversed(plan.anchorage.points)
            if p.kind in ON_LINE and p.usable and p.id[0] in "LR"
        ),
        -1.0,
    )
    outside = "start" if lined < 0 else "end"
    if angle is not None and out:
        x, y = at(lined * (shape.width / 2 + out), 0)
        c.text(x - lined * 1.6, y - 1.6, f"{angle:g}°", 3.4, anchor=outside, bold=True)
    if driven:
        x, y = at(lined * (shape.width / 2 + out), -driven)
        c.text(x - lined * 1.6, y - 0.2, f"{show('length', driven, system)} deep", 2.4, anchor=outside)
    if not driven and not out:
        x, y = at(-shape.width / 2, 0)
        c.text(x + 4.5, y - 1.2, "ballast", 2.4, anchor="start")
    c.dimension(
        mid - shape.width * k / 2 + 3.4,
        ground,
        mid - shape.width * k / 2 + 3.4,
        ground - shape.eave * k,
        show("length", shape.eave, system),
        2.4,
    )
    c.dimension(
        mid + 5.0, ground, mid + 5.0, ground - shape.ridge * k, show("length", shape.ridge, system), 2.4
    )
    c.dimension(
        mid - shape.width * k / 2,
        c.height - 1.2,
        mid + shape.width * k / 2,
        c.height - 1.2,
        show("length", shape.width, system),
        2.4,
    )
    words = f"Section from the front, 1:{scale}."
    if angle is not None and out:
        words += f" Line {angle:g}° above the ground, stake {show('length', out, system)} from the wall if tied at the eave."
    return Drawing(
        c.svg("Section across the ridge"),
        c.width,
        c.height,
        "Section across the ridge with line angle and heights",
        words,
    )


def _outline(shape: Shape) -> list[tuple[float, float]]:
    """Corners (y, z) of the section, left to right over the top; of an arch points along it."""
    half = shape.width / 2
    if shape.form == "arch":
        rise = shape.ridge - shape.eave
        radius = (half**2 + rise**2) / (2 * rise) if rise > 0 else 0.0
        steps = [half - shape.width * i / 24 for i in range(25)]
        arc = (
            [(y, shape.eave + rise - radius + math.sqrt(max(radius**2 - y**2, 0.0))) for y in steps]
            if rise > 0
            else [(half, shape.eave), (-half, shape.eave)]
        )
        return [(half, 0.0), *arc, (-half, 0.0)]
    if shape.form.endswith("single-slope"):
        left = shape.ridge if shape.low_side == "right" else shape.eave
        right = shape.eave if shape.low_side == "right" else shape.ridge
        top = [(half, left), (-half, right)]
    else:
        top = [(half, shape.eave), (0.0, shape.ridge), (-half, shape.eave)]
    return top if shape.canopy else [(half, 0.0), *top, (-half, 0.0)]


def _side(
    c: Canvas, place: Place, shape: Shape, sign: float, out: float, driven: float, kinds: set[str]
) -> None:
    """What holds one side: line, stake, block or bags."""
    half = shape.width / 2
    if out and kinds & set(ON_LINE):
        c.line(*place(sign * half, shape.eave), *place(sign * (half + out), 0), "dash")
    if driven and "stakes" in kinds:
        x, y = place(sign * (half + out), -driven)
        c.line(x, place(0, 0)[1] - 1.6, x, y, "thick")
    if "line-ballast" in kinds and out:
        x, y = place(sign * (half + out), 0)
        c.box(x - 1.6, y - 3.0, 3.2, 3.0, "grey")
    if "ballast" in kinds:
        x, y = place(sign * half, 0)
        c.box(x - 1.8, y - 2.8, 3.6, 2.8, "grey")
