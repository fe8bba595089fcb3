"""Lines laid out: from each point the direction in plan, the angle, how far from the wall the line comes down and how long it is.

A line runs where the file has it run, else square to its side and from a corner half way between the two, as it is judged; tied at the eave,
which is the furthest that it comes down. Where it would cross a stretch that is kept clear it may not run.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace

from anchorage.checks.installation import Installation, heading_true, lined, shape_of, square_to
from anchorage.core.say import say
from anchorage.deployment.models import Door, KeepClear
from anchorage.holding.hardware import Hardware
from anchorage.shelter.shape import OUTWARD, Point, Shape
from anchorage.ways.result import LineOut

NEAR = 1e-6


def _along(p: Point, form: Shape, side: str) -> float | None:
    """Where a point stands along a wall, from the front or from the left (m); None where it is not on it."""
    half_l, half_w = form.length / 2, form.width / 2
    if side in ("left", "right"):
        on = abs(p.y - (half_w if side == "left" else -half_w)) < NEAR
        return half_l - p.x if on else None
    on = abs(p.x - (half_l if side == "front" else -half_l)) < NEAR
    return half_w - p.y if on else None


def crossed(keep_clear: list[KeepClear], form: Shape, p: Point, run: float = math.inf) -> KeepClear | None:
    """The stretch that a line from a point would cross; None where none is in the way. run: how far it goes in plan (m)."""
    for k in keep_clear:
        at = _along(p, form, k.side)
        out = sum(a * b for a, b in zip(p.outward, OUTWARD[k.side], strict=True))
        if at is None or out <= NEAR:
            continue
        start = 0.0 if k.start is None else float(k.start)
        end = math.inf if k.end is None else float(k.end)
        along = -p.outward[0] if k.side in ("left", "right") else -p.outward[1]
        far = at + (0.0 if abs(along) <= NEAR else run * along)
        if start - NEAR <= max(at, far) and min(at, far) <= end + NEAR and (_leads_in(at, along, start, end)):
            return k
    return None


def _leads_in(at: float, along: float, start: float, end: float) -> bool:
    """Whether a line from a place along a wall stands in a stretch of it, or leads towards it."""
    if start - NEAR <= at <= end + NEAR:
        return True
    return along > NEAR if at < start else along < -NEAR


def directions(keep_clear: list[KeepClear], form: Shape, p: Point) -> list[float]:
    """Directions in which a line may run from a point, degrees clockwise from the front: square to each of its sides, and half way at a
    corner; those that cross nothing that is kept clear, the one that is taken where nothing is said first.
    """
    square = square_to(form, p)
    half = [tuple(sum(v) / math.sqrt(2) for v in zip(*square, strict=True))] if len(square) == 2 else []
    ways = [(float(x), float(y)) for x, y in (*half, *square)]
    return [_from_front(w) for w in ways if crossed(keep_clear, form, replace(p, outward=w)) is None]


def _from_front(way: tuple[float, float]) -> float:
    return round(math.degrees(math.atan2(-way[1], way[0])) % 360.0, 6)


def in_the_way(
    keep_clear: list[KeepClear], form: Shape, hard: Sequence[Hardware], counts: Sequence[int]
) -> str:
    """Which lines may not run, and why; nothing where all may."""
    out = []
    for p, h, n in zip(form.points, hard, counts, strict=True):
        k = None
        if h.line_angle is not None and n:
            k = crossed(keep_clear, form, p, form.eave / math.tan(math.radians(h.line_angle)))
        if k is not None:
            out.append(f"{p.id} ({k.why or k.side})")
    return say("its lines would cross what is kept clear at {where}", where=", ".join(out)) if out else ""


def through_doors(
    doors: list[Door], form: Shape, hard: Sequence[Hardware], counts: Sequence[int]
) -> list[str]:
    """Walls with a door along which some line runs: where in the wall the door is, the file does not say."""
    lined = [p for p, h, n in zip(form.points, hard, counts, strict=True) if h.line_angle is not None and n]
    return [
        wall
        for wall in dict.fromkeys(door.wall for door in doors)
        if any(_along(p, form, wall) is not None and p.group != "corner" for p in lined)
    ]


def laid(x: Installation) -> list[LineOut]:
    """Every line of an installation; none where nothing is on lines."""
    d, heading, out = x.deployment, heading_true(x.deployment.site), []
    form = lined(d.anchorage, shape_of(d.shelter))
    eave = float(d.shelter.eave)
    for p, h, n in zip(form.points, x.hard, x.counts, strict=True):
        if h.line_angle is None or not n:
            continue
        a = math.radians(h.line_angle)
        off = _from_front(p.outward)
        out.append(
            LineOut(
                point=p.id, angle_deg=h.line_angle, from_front_deg=off, bearing_deg=None if heading is None else (heading + off) % 360.0,
                from_wall_m=eave / math.tan(a), length_m=eave / math.sin(a), allowed_deg=directions(d.keep_clear, form, p),
            )
        )  # fmt: skip
    return out
