"""The plan and the section on paper, to scale: the shapes of ``anchorage.paper.drawing`` in mm, with pens and room for words."""

from __future__ import annotations

import math
from dataclasses import dataclass

from anchorage.checks.installation import heading_true, shape_of
from anchorage.core.say import numeral, say
from anchorage.core.units import show
from anchorage.deployment.models import Anchorage, Deployment, Shelter
from anchorage.judging.result import Plan
from anchorage.paper.drawing import (
    SIDES,
    Circle,
    Dimension,
    Line,
    Polygon,
    Shape,
    Text,
    facing,
    first_words,
    gives_first,
    held,
    line_angle,
    out_by,
    plan_shapes,
    section_shapes,
    towards,
    wind_words,
)
from anchorage.paper.sketch import Around
from anchorage.paper.svg import SMALLEST, Canvas

SCALES = (20, 25, 40, 50, 60, 75, 100, 125, 150, 200, 250, 300, 400, 500, 750, 1000)
"""1 : n, as far as a scale rule has them."""
RING = 2.1
"""Radius of the ring around what gives first (mm)."""
PENS = {
    "wall": "thick", "ridge": "ridge", "line": "line", "ground": "line", "stake": "thick", "clear": "dots",
}  # fmt: skip
"""Style of a line -> pen."""


@dataclass(frozen=True)
class Drawing:
    """A drawing as SVG with its size on paper."""

    svg: str
    width: float
    """mm."""
    height: float
    alt: str
    note: str = ""


def _scale(wide: float, high: float, room: tuple[float, float]) -> int:
    """The largest usual scale at which m x m fits into mm x mm."""
    return next((s for s in SCALES if wide * 1000 / s <= room[0] and high * 1000 / s <= room[1]), SCALES[-1])


def _mark(c: Canvas, s: Circle, x: float, y: float, size: float) -> None:
    """Ballast a filled square, a stake a filled circle, nothing a crossed circle. size: 1, or less where they crowd."""
    if s.holds == "nothing":
        r = 0.9 * size
        c.circle(x, y, 1.2 * size)
        c.line(x - r, y - r, x + r, y + r, "line")
        c.line(x - r, y + r, x + r, y - r, "line")
    elif s.holds == "stake":
        c.circle(x, y, 1.1 * size, "solid")
    else:
        c.box(x - 1.3 * size, y - 1.3 * size, 2.6 * size, 2.6 * size, "solid")


class _Plan:
    """The plan being drawn: front up, left on the left."""

    def __init__(self, plan: Plan, d: Deployment, room: tuple[float, float]) -> None:
        self.plan, self.d = plan, d
        self.around = Around(heading_true(d.site), d.wind.bearing)
        self.shapes = plan_shapes(plan, self.around, d, lines=True)
        self.weak = gives_first(plan)
        wall = next(s for s in self.shapes if isinstance(s, Polygon))
        self.half_w, self.half_l = (max(p[i] for p in wall.points) for i in (0, 1))
        self.reach = max((out_by(d.shelter, d.anchorage, p) for p in plan.anchorage.points), default=0.0)
        turned = self.around.heading is not None
        windy = turned and d.wind.bearing is not None
        side = (
            (19.0 if windy else 9.0) if self.reach else (29.0 if windy else 21.0)
        )  # mm round it, for labels
        top = 20.0 if turned else 14.0
        ends = [p for p in plan.anchorage.points if p.along == "front"]
        self.turned = len(ends) > 2  # labels of the ends upright
        top += 8.0 if self.turned else 5.0 if self.reach else 0.0
        low = 25.0 if self.turned else 18.0 if self.reach or ends else 13.0
        wide, high = 2 * (self.half_w + self.reach), 2 * (self.half_l + self.reach)
        self.scale = _scale(wide, high, (room[0] - 2 * side, room[1] - top - low))
        self.k = 1000 / self.scale
        self.c = Canvas(wide * self.k + 2 * side, high * self.k + top + low)
        self.gap = self.k * 2 * self.half_l / max(d.shelter.side_points - 1, 1)
        """Between the points of a side on paper (mm)."""
        self.end_gap = self.k * 2 * self.half_w / (len(ends) + 1)
        """Between those of an end (mm)."""
        self.mx, self.my = self.c.width / 2, top + high * self.k / 2

    def at(self, x: float, y: float) -> tuple[float, float]:
        """From metres to paper."""
        return self.mx + x * self.k, self.my - y * self.k

    def draw(self) -> Drawing:
        """All shapes, each kind with its pen, and what stands around them."""
        c = self.c
        feet = {
            s.of: (s.x2 - s.x1, s.y2 - s.y1) for s in self.shapes if isinstance(s, Line) and s.style == "line"
        }
        for s in self.shapes:
            if isinstance(s, Polygon):
                c.poly([self.at(*p) for p in s.points], PENS[s.style], closed=s.closed)
            elif isinstance(s, Line):
                self.line(s)
            elif isinstance(s, Circle):
                self.point(s, feet.get(s.of))
            elif isinstance(s, Dimension):
                self.size(s)
            elif s.style in ("door", "clear"):
                self.door(s)
        self.edge()
        note = say(
            "Scale 1:{scale}. Front at the top. Square: ballast. Dot: stake. Crossed circle: holds nothing.",
            scale=self.scale,
        )
        if self.weak:
            note += say(" Ring: gives first, {weak}.", weak=first_words(self.plan))
        if self.reach:
            note += say(
                " Lines drawn as if tied at the eave: tied lower, the stake stands nearer, at the same angle."
            )
        return Drawing(
            c.svg(say("Plan with anchor points")),
            c.width,
            c.height,
            say("Plan to scale with the anchor points and what goes at each"),
            note,
        )

    def line(self, s: Line) -> None:
        """Edges of the roof, doors, lines with the foot that they start from."""
        a, b = self.at(s.x1, s.y1), self.at(s.x2, s.y2)
        if s.style == "door":
            self.c.line(*a, *b, "white")
            self.c.line(*a, *b, "dash" if s.of != "closed" else "line")
        elif s.style in PENS:
            if s.style == "line":
                self.c.circle(*a, 0.6, "solid")
            self.c.line(*a, *b, PENS[s.style])

    def door(self, s: Text) -> None:
        """The word of a door, inside of it."""
        x, y = self.at(s.x, s.y)
        dx, dy = {"down": (0, 4.4), "up": (0, -1.8), "right": (1.5, 1), "left": (-1.5, 1)}[s.side]
        anchor = {"right": "start", "left": "end"}.get(s.side, "middle")
        self.c.text(x + dx, y + dy, s.text, 2.4, anchor=anchor, blank=True)

    def labelled(self, name: str) -> bool:
        """False for a point of a side that stands too close to the last one that has its name on the drawing."""
        p = next(p for p in self.plan.anchorage.points if p.id == name)
        gap = self.gap if p.along in SIDES else self.end_gap
        every = max(math.ceil(1.15 * SMALLEST / gap), 1)
        return p.group == "corner" or (p.number - 1) % every == 0

    def point(self, s: Circle, way: tuple[float, float] | None) -> None:
        """A mark with its label. way: of the line that it stands at the end of."""
        x, y = self.at(s.x, s.y)
        _mark(self.c, s, x, y, min(1.0, self.gap / 4.0))
        if s.of in self.weak:
            self.c.circle(x, y, RING, "line")
        if not self.labelled(s.of):
            return
        p = next(p for p in self.plan.anchorage.points if p.id == s.of)
        words = held(p)
        clear = RING if s.of in self.weak else 1.2
        size, sideways = min(3.2, max(self.gap * 0.9, SMALLEST)), {"left": -1, "right": 1}.get(p.along, 0)
        front = p.along == "front"
        if way is not None and sideways:
            low = way[1] < -0.1 * math.hypot(*way)  # a line to the back: its label below
            self.c.text(x, y + (3.4 + clear if low else -1.0 - clear), words, size, bold=True)
        elif sideways:
            anchor = "end" if sideways < 0 else "start"
            self.c.text(x + sideways * (1.4 + clear), y + size * 0.35, words, size, anchor=anchor, bold=True)
        elif self.turned:
            anchor = "start" if front else "end"
            self.c.text(
                x + 0.9,
                y + (-1.0 - clear if front else 1.0 + clear),
                words,
                2.4,
                anchor=anchor,
                bold=True,
                turn=-90,
            )
        else:
            self.c.text(x, y + (-1.2 - clear if front else 3.7 + clear), words, 2.8, bold=True)

    def size(self, s: Dimension) -> None:
        """Width below, length inside, the step of the points at the left wall."""
        (x1, y1), (x2, y2) = self.at(s.x1, s.y1), self.at(s.x2, s.y2)
        if s.of == "width":
            ends = any(p.along == "back" for p in self.plan.anchorage.points)
            below = 15.5 if self.turned else 9.0 if ends or self.reach else 4.5
            self.c.dimension(x1, y1 + below, x2, y2 + below, s.text)
        elif s.of == "length":
            across = min(2 * self.half_w * self.k * 0.28, 12.0)
            self.c.dimension(x1 + across, y1 + 1.2, x2 + across, y2 - 1.2, s.text)
        elif self.gap > 8.0:
            self.c.dimension(x1 + 4.2, y1, x2 + 4.2, y2, s.text, 2.3)

    def edge(self) -> None:
        """Front, north, wind, scale bar: their directions are the drawing's, their places are on the paper's edge."""
        c, heading, wind = self.c, self.around.heading, self.around.wind_from
        ends = any(p.along == "front" for p in self.plan.anchorage.points)
        front = self.at(0.0, self.half_l + self.reach)[1]
        c.text(
            self.mx,
            front - (13.5 if self.turned else 6.2 if ends else 7.6 if self.reach else 2.6),
            facing(self.around),
            3.0,
            bold=True,
        )
        if heading is not None:
            sx, sy = towards(0.0, heading)
            x, y = 10.0, 8.0
            c.arrow(x - sx * 4, y + sy * 4, x + sx * 4, y - sy * 4, 3.2)
            c.text(x + sx * 5.8, y - sy * 5.8 + 1.1, "N", 3.2, bold=True)
            if wind is not None:
                self.wind(towards(wind, heading), wind_words(wind))
        bar = next(s for s in self.shapes if isinstance(s, Line) and s.style == "scale")
        name = next(s.text for s in self.shapes if isinstance(s, Text) and s.style == "scale")
        y, wide = c.height - 2.0, (bar.x2 - bar.x1) * self.k
        c.line(2.0, y, 2.0 + wide, y, "thick")
        c.text(2.0 + wide / 2, y - 1.2, name, 2.5)

    def wind(self, way: tuple[float, float], words: str) -> None:
        """An arrow from outside towards the middle. way: to where the wind comes from."""
        sx, sy = way[0], -way[1]
        high = self.my - 1 if sy < 0 else self.c.height - self.my - 1
        room = min((self.c.width / 2 - 1) / max(abs(sx), 1e-6), high / max(abs(sy), 1e-6))
        x, y = self.mx + sx * room, self.my + sy * room
        self.c.arrow(x, y, x - sx * 9, y - sy * 9, 3.4, "thick")
        if min(x, self.c.width - x) < 8.0:  # from a side: the words run up along the edge
            self.c.text(
                x + (4.0 if x < 8.0 else -1.2), y - 4.0, words, 2.6, anchor="start", bold=True, turn=-90
            )
        else:
            end = x > self.c.width - 20.0
            self.c.text(
                x + (-2.5 if end else 2.5),
                y + (3.0 if y < self.my else -1.0),
                words,
                2.6,
                anchor="end" if end else "start",
                bold=True,
            )


def plan_drawing(plan: Plan, d: Deployment, room: tuple[float, float]) -> Drawing:
    """The plan to scale within mm x mm."""
    return _Plan(plan, d, room).draw()


class _Section:
    """The section being drawn."""

    def __init__(self, shapes: list[Shape], form_ridge: float, room: tuple[float, float]) -> None:
        self.shapes = shapes
        ground = next(s for s in shapes if isinstance(s, Line) and s.style == "ground")
        self.depth = max((-s.y2 for s in shapes if isinstance(s, Line) and s.style == "stake"), default=0.0)
        lined = any(isinstance(s, Line) and s.style == "line" for s in shapes)
        wide, high = ground.x2 - ground.x1, form_ridge + self.depth
        side, top, low = (20.0 if lined else 17.0), 6.0, 8.0
        self.scale = _scale(wide, high, (room[0] - 2 * side, room[1] - top - low))
        self.k = 1000 / self.scale
        self.c = Canvas(wide * self.k + 2 * side, high * self.k + top + low)
        self.mid, self.ground = self.c.width / 2, top + form_ridge * self.k

    def at(self, x: float, z: float) -> tuple[float, float]:
        """From metres to paper."""
        return self.mid + x * self.k, self.ground - z * self.k

    def draw(self) -> None:
        """All shapes, each kind with its pen."""
        c = self.c
        for s in self.shapes:
            if isinstance(s, Polygon):
                c.poly([self.at(*p) for p in s.points], PENS[s.style], closed=s.closed)
            elif isinstance(s, Line):
                self.line(s)
            elif isinstance(s, Circle):
                x, y = self.at(s.x, s.y)
                w, h = (3.2, 3.0) if s.holds == "block" else (3.6, 2.8)
                c.box(x - w / 2, y - h, w, h, "grey")
            elif isinstance(s, Dimension):
                self.size(s)
            else:
                self.word(s)

    def line(self, s: Line) -> None:
        """Ground, walls, lines, stakes."""
        a, b = self.at(s.x1, s.y1), self.at(s.x2, s.y2)
        if s.style == "ground":
            self.c.box(0, a[1], self.c.width, max(self.depth * self.k, 1.6) + 1.2, "ground")
            self.c.line(0, a[1], self.c.width, a[1], "line")
        elif s.style == "line":
            self.c.line(*a, *b, "dash")
        elif s.style == "stake":
            self.c.line(a[0], a[1] - 1.6, *b, PENS[s.style])
        else:
            self.c.line(*a, *b, PENS[s.style])

    def word(self, s: Text) -> None:
        """The angle in large, depth and ballast in small."""
        x, y = self.at(s.x, s.y)
        sign = 1.0 if s.side == "right" else -1.0
        anchor = "start" if sign > 0 else "end"
        if s.style == "label":
            self.c.text(x + sign * 1.6, y - 1.6, s.text, 3.4, anchor=anchor, bold=True)
        elif s.y < 0:
            self.c.text(x + sign * 1.6, y - 0.2, s.text, 2.4, anchor=anchor)
        else:
            self.c.text(x + sign * 4.5, y - 1.2, s.text, 2.4, anchor=anchor)

    def size(self, s: Dimension) -> None:
        """Heights inside, the width below the ground."""
        (x1, y1), (x2, y2) = self.at(s.x1, s.y1), self.at(s.x2, s.y2)
        if s.of == "width":
            y1 = y2 = self.c.height - 1.2
        off = {"eave": 4.6, "ridge": 5.0}.get(s.of, 0.0)
        self.c.dimension(x1 + off, y1, x2 + off, y2, s.text, 2.4)


def section_drawing(plan: Plan, shelter: Shelter, anchorage: Anchorage, room: tuple[float, float]) -> Drawing:
    """A cut across the ridge, seen from the front: heights, lines with their angle, stakes and ballast."""
    form, angle = shape_of(shelter), line_angle(anchorage)
    far = max((out_by(shelter, anchorage, p) for p in plan.anchorage.points), default=0.0)
    section = _Section(section_shapes(plan, shelter, anchorage), form.ridge, room)
    section.draw()
    words = say("Section from the front, 1:{scale}.", scale=section.scale)
    if angle is not None and far:
        words += say(
            " Line {angle}° above the ground, stake {far} from the wall if tied at the eave.",
            angle=numeral(angle, "g"),
            far=show("length", far, plan.show_units),
        )
    c = section.c
    return Drawing(
        c.svg(say("Section across the ridge")),
        c.width,
        c.height,
        say("Section across the ridge with line angle and heights"),
        words,
    )
