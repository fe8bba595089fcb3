"""A Plan as shapes in metres, from above and in section: one geometry for terminal, SVG and paper.

Axes of the drawing: x to the right, y up; from above the front of the shelter is up, as on paper; in section it is
seen from outside of the front, left on the left. Nothing is computed here that is not a place on the drawing. How
thick a line is and how far words stand from their place is for whoever draws it.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal

from anchorage.checks.installation import lined, shape_of
from anchorage.core.closed import ONE_SLOPE
from anchorage.core.say import say
from anchorage.core.units import show
from anchorage.core.words import spoken
from anchorage.deployment.models import Anchorage, Deployment, Door, KeepClear, Shelter
from anchorage.judging.result import Plan, PointOut
from anchorage.paper.sketch import Around, compass, count
from anchorage.shelter.shape import Shape as Form

Style = Literal[
    "wall", "ridge", "front", "point", "weak", "unused", "label", "weak-label", "wind", "north", "scale", "axis", "door",
    "line", "size", "ground", "stake", "note", "clear",
]  # fmt: skip
Side = Literal["left", "right", "middle", "up", "down"]
Holds = Literal["ballast", "stake", "block", "nothing"]
ON_LINE = ("stakes", "line-ballast", "deadman")
"""Kinds of anchor that may stand at the end of a line."""
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
    of: str = ""
    """Of a door whether it is open, closed or in use; of a line and a mark which point it belongs to."""


@dataclass(frozen=True)
class Circle:
    """An anchor: the mark of what holds a point, where it stands."""

    x: float
    y: float
    radius: float
    style: Style
    holds: Holds = "ballast"
    of: str = ""


@dataclass(frozen=True)
class Dimension:
    """A length between two places, with its words."""

    x1: float
    y1: float
    x2: float
    y2: float
    text: str
    of: str
    """``width``, ``length``, ``step``, ``eave`` or ``ridge``."""
    style: Style = "size"


@dataclass(frozen=True)
class Text:
    """Words at a place. side: which way from the place they run, so that they keep clear of it."""

    x: float
    y: float
    text: str
    style: Style
    side: Side = "middle"
    of: str = ""


@dataclass(frozen=True)
class Polygon:
    """An outline; closed, or open at the end as the roof of a canopy is."""

    points: tuple[tuple[float, float], ...]
    style: Style
    closed: bool = True


SIDES = ("left", "right")
"""The long walls, with the feet of the frames."""
Shape = Line | Circle | Text | Polygon | Dimension


def gives_first(plan: Plan) -> tuple[str, ...]:
    """Ids of the points at what gives first: the point, both feet of the frame; none where it gives as a whole."""
    places = {p.id: [p.id] for p in plan.anchorage.points}
    for p in plan.anchorage.points:
        if p.along in SIDES:
            places.setdefault(f"frame {p.number}", []).append(p.id)
    return tuple(places.get(plan.limit.where, ()))


def first_words(plan: Plan) -> str:
    """``frame 2 (L2, R2)``, ``R1``: where it gives first."""
    found, where = gives_first(plan), plan.limit.where
    return spoken(where) if found in ((), (where,)) else f"{spoken(where)} ({', '.join(found)})"


def size(plan: Plan) -> tuple[float, float]:
    """Width and length of the base (m): the anchor points stand at its corners."""
    points = plan.anchorage.points
    xs, ys = [p.x_m for p in points], [p.y_m for p in points]
    return max(ys) - min(ys), max(xs) - min(xs)


def _held(p: PointOut) -> str:
    if not p.usable or p.kind == "none":
        return "none"
    return f"{count(p)}"


def held(p: PointOut) -> str:
    """``L1: 12``."""
    return f"{p.id}: {_held(p)}"


def holds(p: PointOut) -> Holds:
    """What kind of mark a point has."""
    if p.kind == "none" or not p.usable:
        return "nothing"
    return "stake" if p.kind in ("stakes", "deadman") else "block" if p.kind == "line-ballast" else "ballast"


def _point(p: PointOut, weak: bool, radius: float, at: tuple[float, float], more: str = "") -> list[Shape]:
    x, y = at
    mark = Circle(
        x, y, radius, "weak" if weak else "unused" if holds(p) == "nothing" else "point", holds(p), p.id
    )
    words = held(p) + more
    style: Style = "weak-label" if weak else "label"
    if p.along in SIDES:
        side: Side = "left" if p.along == "left" else "right"
        return [mark, Text(x + radius * (-2 if side == "left" else 2), y, words, style, side, p.id)]
    off = radius * (3 if p.along == "front" else -3)
    return [mark, Text(x, y + off, words, style, "middle", p.id)]


def towards(bearing: float, heading: float) -> tuple[float, float]:
    """Unit vector on the drawing towards a compass bearing; the front, at ``heading``, is up."""
    a = math.radians(bearing - heading)
    return math.sin(a), math.cos(a)


def _around(plan: Plan, around: Around, *, hot_to_clean: bool) -> list[Shape]:
    wide, long = size(plan)
    half_w, half_l, room = wide / 2, long / 2, ROOM * max(wide, long)
    out: list[Shape] = [Text(0.0, half_l + room * 1.4, facing(around), "front")]
    if around.heading is None:
        return out
    nx, ny = towards(0.0, around.heading)
    cx, cy = half_w + 2.6 * room, half_l + 0.6 * room
    if around.wind_from is not None:  # in the corner that the wind does not come from
        ax, ay = towards(around.wind_from, around.heading)
        cx, cy = math.copysign(cx, -ax), math.copysign(cy, -ay)
    out += [
        Line(cx - nx * room / 2, cy - ny * room / 2, cx + nx * room / 2, cy + ny * room / 2, "north", arrow=True),
        Text(cx + nx * room * 1.3, cy + ny * room * 1.3, "N", "north"),
    ]  # fmt: skip
    if around.wind_from is None:
        return out
    wx, wy = towards(around.wind_from, around.heading)
    cx, cy = math.copysign(half_w + 1.8 * room, wx), math.copysign(half_l + 1.1 * room, wy)
    out += [
        Line(cx + wx * room, cy + wy * room, cx - wx * room, cy - wy * room, "wind", arrow=True),
        Text(
            cx + math.copysign(1.2 * room, wx),
            cy,
            wind_words(around.wind_from),
            "wind",
            "left" if wx < 0 else "right",
        ),
    ]
    if hot_to_clean:
        d = min(half_w, half_l)
        out += [
            Line(-wx * d / 2, -wy * d / 2, wx * d / 2, wy * d / 2, "axis", arrow=True),
            Text(-wx * d * 0.75, -wy * d * 0.75, say("HOT"), "axis"),
            Text(wx * d * 0.75, wy * d * 0.75, say("CLEAN"), "axis"),
        ]
    return out


def facing(around: Around) -> str:
    """Where the front looks to, in words."""
    if around.heading is None:
        return say("FRONT")
    return say(
        "FRONT faces {heading}° {heading_2}",
        heading=round(around.heading) % 360,
        heading_2=compass(around.heading),
    )


def wind_words(bearing: float) -> str:
    """Where the wind comes from, in words."""
    return say("WIND {bearing}°", bearing=round(bearing) % 360)


def line_angle(a: Anchorage) -> float | None:
    """Degrees above the ground of the lines, where the anchorage has lines."""
    if a.kind in ("stakes", "mixed") and a.stake is not None and a.stake.line_angle is not None:
        return a.stake.line_angle
    return a.line_angle if a.kind in ("line-ballast", "deadman", "mixed") else None


def out_by(shelter: Shelter, anchorage: Anchorage, p: PointOut) -> float:
    """How far out of the wall the line of a point reaches the ground, if it starts at the eave (m)."""
    angle = line_angle(anchorage)
    if angle is None or p.kind not in ON_LINE:
        return 0.0
    return float(shelter.eave) / math.tan(math.radians(angle))


def _roof(form: Form) -> list[Shape]:
    """Ridge, hips and the other edges of the roof inside the outline, each once."""
    out, seen = list[Shape](), set[tuple[tuple[float, float], tuple[float, float]]]()
    for roof in form.roofs:
        corners = [(round(float(x), 4), round(float(y), 4)) for x, y, _ in roof.vertices]
        for a, b in zip(corners, [*corners[1:], corners[0]], strict=True):
            (x1, y1), (x2, y2) = a, b
            at_edge = any(abs(abs(u) - m) < 1e-3 and abs(abs(v) - m) < 1e-3 and u * v > 0
                          for u, v, m in ((x1, x2, form.length / 2), (y1, y2, form.width / 2)))  # fmt: skip
            if not (at_edge or a == b or (a, b) in seen or (b, a) in seen):
                seen.add((a, b))
                out.append(Line(-y1, x1, -y2, x2, "ridge"))
    return out


def _doors(doors: list[Door], form: Form) -> list[Shape]:
    out, seen = list[Shape](), dict[str, int]()
    for door in doors:
        n = seen[door.wall] = seen.get(door.wall, 0) + 1
        half, shift = min(float(door.width), form.length) / 2, (n - 1) * float(door.width) * 1.2
        x, y = form.width / 2, form.length / 2
        x1, y1, x2, y2 = {
            "front": (-shift + half, y, -shift - half, y), "back": (-shift + half, -y, -shift - half, -y),
            "left": (-x, shift - half, -x, shift + half), "right": (x, shift - half, x, shift + half),
        }[door.wall]  # fmt: skip
        word = {"open": say("door open"), "closed": say("door shut"), "in-use": say("door in use")}[
            door.state
        ]
        side: Side = {"front": "down", "back": "up", "left": "right", "right": "left"}[door.wall]  # type: ignore[assignment]
        out += [
            Line(x1, y1, x2, y2, "door", of=door.state),
            Text((x1 + x2) / 2, (y1 + y2) / 2, word, "door", side),
        ]
    return out


CLEAR_OFF = 0.35
"""Out of the wall, to where a stretch that is kept clear is drawn (m)."""


def _kept_clear(keep_clear: list[KeepClear], form: Form) -> list[Shape]:
    """Stretches along the walls over which no line may run."""
    out, half_w, half_l = list[Shape](), form.width / 2, form.length / 2
    for k in keep_clear:
        long = form.length if k.side in ("left", "right") else form.width
        start, end = min(float(k.start or 0.0), long), long if k.end is None else min(float(k.end), long)
        if k.side in ("left", "right"):
            x = math.copysign(half_w + CLEAR_OFF, -1.0 if k.side == "left" else 1.0)
            at = (x, half_l - start, x, half_l - end)
        else:
            y = math.copysign(half_l + CLEAR_OFF, 1.0 if k.side == "front" else -1.0)
            at = (start - half_w, y, end - half_w, y)
        x, y = (at[0] + at[2]) / 2, (at[1] + at[3]) / 2
        inside = (
            (math.copysign(half_w, x), y) if k.side in ("left", "right") else (x, math.copysign(half_l, y))
        )
        side: Side = {"front": "down", "back": "up", "left": "right", "right": "left"}[k.side]  # type: ignore[assignment]
        words = say("keep clear: {why}", why=k.why) if k.why else say("keep clear")
        out += [
            Line(*at, "clear", of=k.side),
            Text(*inside, words, "clear", side),
        ]
    return out


def _sizes(plan: Plan, form: Form) -> list[Shape]:
    """Width, length, and from one point of a side to the next."""
    x, y, system = form.width / 2, form.length / 2, plan.show_units
    out: list[Shape] = [
        Dimension(-x, -y, x, -y, show("length", form.width, system), "width"),
        Dimension(0.0, y, 0.0, -y, show("length", form.length, system), "length"),
    ]
    left = [p for p in plan.anchorage.points if p.along == "left"]
    if len(left) > 1:
        step = abs(left[0].x_m - left[1].x_m)
        out.append(Dimension(-x, left[0].x_m, -x, left[1].x_m, show("length", step, system), "step"))
    return out


def _marks(plan: Plan, reach: Mapping[str, float], form: Form | None, radius: float) -> list[Shape]:
    """The points, at their feet, or at the ends of their lines. reach: of each point with a line, how far out that goes (m)."""
    out, weak = list[Shape](), gives_first(plan)
    ways = {p.id: p.outward for p in form.points} if form is not None else {}
    for p in plan.anchorage.points:
        at = (-p.y_m, p.x_m)
        if far := reach.get(p.id, 0.0):
            dx, dy = ways[p.id]
            end = (-(p.y_m + dy * far), p.x_m + dx * far)
            out.append(Line(*at, *end, "line", of=p.id))
            at = end
        out += _point(p, p.id in weak, radius, at, f" {say('weak')}" if weak[:1] == (p.id,) else "")
    return out


def plan_shapes(
    plan: Plan,
    around: Around = NOWHERE,
    d: Deployment | None = None,
    *,
    hot_to_clean: bool = False,
    lines: bool = False,
) -> list[Shape]:
    """The shelter from above in metres.

    d: for the edges of its roof and its doors. lines: with the lines out to where they reach the ground, and with sizes.
    hot_to_clean: the way people walk, towards where the wind comes from.
    """
    wide, long = size(plan)
    half_w, half_l = wide / 2, long / 2
    radius = 0.02 * max(wide, long)
    corners = ((-half_w, half_l), (half_w, half_l), (half_w, -half_l), (-half_w, -half_l))
    form = None if d is None else lined(d.anchorage, shape_of(d.shelter))
    out: list[Shape] = [Line(0.0, half_l, 0.0, -half_l, "ridge")] if form is None else _roof(form)
    out.append(Polygon(corners, "wall"))
    if d is not None and form is not None:
        out += _doors(d.door, form)
    reach = (
        {p.id: out_by(d.shelter, d.anchorage, p) for p in plan.anchorage.points}
        if lines and d is not None
        else {}
    )
    out += _marks(plan, reach, form, radius)
    if lines and form is not None and d is not None:
        out += [*_kept_clear(d.keep_clear, form), *_sizes(plan, form)]
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


# In section


def outline(form: Form) -> tuple[tuple[float, float], ...]:
    """Corners of the section, left to right over the top; of an arch points along it."""
    half = form.width / 2
    if form.form == "arch":
        rise = form.ridge - form.eave
        radius = (half**2 + rise**2) / (2 * rise) if rise > 0 else 0.0
        steps = [-half + form.width * i / 24 for i in range(25)]
        arc = (
            [(x, form.eave + rise - radius + math.sqrt(max(radius**2 - x**2, 0.0))) for x in steps]
            if rise > 0
            else [(-half, form.eave), (half, form.eave)]
        )
        return ((-half, 0.0), *arc, (half, 0.0))
    if form.form in ONE_SLOPE:
        left = form.ridge if form.low_side == "right" else form.eave
        right = form.eave if form.low_side == "right" else form.ridge
        top: tuple[tuple[float, float], ...] = ((-half, left), (half, right))
    else:
        top = ((-half, form.eave), (0.0, form.ridge), (half, form.eave))
    return top if form.canopy else ((-half, 0.0), *top, (half, 0.0))


def _holding(plan: Plan, shelter: Shelter, anchorage: Anchorage, form: Form, depth: float) -> list[Shape]:
    """What holds each side: line, stake, block or bags; its words on one side only."""
    out, half, far = (
        list[Shape](),
        form.width / 2,
        max((out_by(shelter, anchorage, p) for p in plan.anchorage.points), default=0.0),
    )
    for along, x in (("left", -half), ("right", half)):
        kinds = {p.kind for p in plan.anchorage.points if p.usable and p.along == along}
        end = x + math.copysign(far, x)
        if far and kinds & set(ON_LINE):
            out.append(Line(x, form.eave, end, 0.0, "line", of=along))
        if depth and "stakes" in kinds:
            out.append(Line(end, 0.0, end, -depth, "stake", of=along))
        if "line-ballast" in kinds and far:
            out.append(Circle(end, 0.0, 0.0, "point", "block", along))
        if "ballast" in kinds:
            out.append(Circle(x, 0.0, 0.0, "point", "ballast", along))
    on_line = [p for p in plan.anchorage.points if p.kind in ON_LINE and p.usable and p.along in SIDES]
    sign = -1.0 if on_line and on_line[-1].along == "left" else 1.0
    side: Side = "right" if sign > 0 else "left"
    angle, end = line_angle(anchorage), sign * (half + far)
    if angle is not None and far:
        out.append(Text(end, 0.0, f"{angle:g}°", "label", side))
    if depth:
        out.append(
            Text(end, -depth, say("{depth} deep", depth=show("length", depth, plan.show_units)), "note", side)
        )
    if not depth and not far:
        out.append(Text(half, 0.0, "ballast", "note", "right"))
    return out


def section_shapes(plan: Plan, shelter: Shelter, anchorage: Anchorage) -> list[Shape]:
    """A cut across the ridge in metres, seen from outside of the front: heights, lines with their angle, stakes, ballast."""
    form, system, stake = shape_of(shelter), plan.show_units, anchorage.stake
    staked = stake is not None and any(p.kind == "stakes" for p in plan.anchorage.points)
    depth = float(stake.driven) if stake is not None and staked else 0.0
    half = form.width / 2
    far = half + max((out_by(shelter, anchorage, p) for p in plan.anchorage.points), default=0.0)
    out: list[Shape] = [Line(-far, 0.0, far, 0.0, "ground")]
    if form.canopy:
        out += [Line(x, 0.0, x, form.eave, "wall") for x in (-half, half)]
    out.append(Polygon(outline(form), "wall", closed=not form.canopy))
    out += _holding(plan, shelter, anchorage, form, depth)
    for of, x, y, length in (("eave", -half, form.eave, form.eave), ("ridge", 0.0, form.ridge, form.ridge)):
        out.append(Dimension(x, 0.0, x, y, show("length", length, system), of))
    out.append(Dimension(-half, 0.0, half, 0.0, show("length", form.width, system), "width"))
    return out
