"""The shelter from above in characters: the anchor points with their counts, the front, the wind."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass

from anchorage.core.closed import FACES
from anchorage.core.plain import columns, wrap
from anchorage.core.say import later, say
from anchorage.judging.result import Plan, PointOut

COMPASS = ("N", "NNE", "NE", "ENE", "E", "ESE", "SE", "SSE", "S", "SSW", "SW", "WSW", "W", "WNW", "NW", "NNW")
SIDES = ("front", later("front-right corner"), later("right side"), later("back-right corner"), "back", later("back-left corner"), later("left side"), later("front-left corner"))  # fmt: skip
INNER, WITH_ENDS = 24, 40
"""Columns between the sides of the drawing; more where the ends have points of their own."""
SKETCH = 60
"""Columns of the drawing at most."""
TIGHT = 9
"""Points on a side from which on no empty rows are left between them."""


@dataclass(frozen=True)
class Around:
    """What is not in the Plan: where the front faces and the wind comes from (degrees true), what to do at SECURE."""

    heading: float | None = None
    wind_from: float | None = None
    actions: tuple[str, ...] = ()

    @property
    def side(self) -> int | None:
        """Which of eight sides the wind comes at, clockwise from the front."""
        if self.heading is None or self.wind_from is None:
            return None
        return round(((self.wind_from - self.heading) % 360.0) / 45.0) % 8


def compass(bearing: float) -> str:
    """Name of the nearest of sixteen bearings."""
    return COMPASS[round(bearing / 22.5) % 16]


def count(p: PointOut) -> int:
    """How many of what holds it are at a point."""
    return p.units + p.stakes


def _label(p: PointOut) -> str:
    return f"{p.id} {count(p):>2}" if p.usable and p.kind != "none" else f"{p.id}  -"


def sketch(plan: Plan, around: Around) -> list[str]:
    """The drawing, front at the top, at most 60 columns."""
    side = {f: [p for p in plan.anchorage.points if p.along == f] for f in FACES}
    left, right = ([_label(p) for p in side[s]] for s in ("left", "right"))
    lead, tail, last = max(map(columns, left)), max(map(columns, right)), len(left) - 1
    inner = min(INNER if len(side["front"]) < 3 else WITH_ENDS, SKETCH - lead - tail - 20)
    edges = {0: _edge(side["front"], inner), last: _edge(side["back"], inner)}
    at = _arrow(around.side, last)
    margin = " " * (lead + 9)
    body = list[str]()
    for k, (a, b) in enumerate(zip(left, right, strict=True)):
        middle = edges[k][0] if k in edges else " " * inner
        before, after = (mark if at == (k, i) else "" for i, mark in enumerate(("wind->", "<-wind")))
        body.append(f"{before:6} {a.rjust(lead)} o{middle}o {b.ljust(tail)} {after}")
        if k < last < TIGHT - 1:
            body.append(f"{margin[:-1]}|{' ' * inner}|")
    bearing = around.heading
    faces = (
        ""
        if bearing is None
        else say(", faces {bearing} deg ({bearing_2})", bearing=round(bearing), bearing_2=compass(bearing))
    )
    wind = [margin + say("wind").center(inner)]
    lines = [
        *(wind if at == (-1, 0) else []),
        margin + f"{say('front')}{faces}".center(inner),
        *(margin + x for x in edges[0][1:]),
    ]
    lines += [
        *body,
        *(margin + x for x in edges[last][1:]),
        margin + say("back").center(inner),
        *(wind if at == (last + 1, 0) else []),
    ]
    return [*(line.rstrip() for line in lines), *_words(around)]


def _edge(points: Sequence[PointOut], inner: int) -> tuple[str, ...]:
    """An end of the drawing with its points, and their labels where they fit, else in words."""
    line, labels = ["-"] * inner, [" "] * inner
    step = (inner + 1) / (len(points) + 1)
    fits = all(len(_label(p)) + 1 <= step for p in points)
    for k, p in enumerate(points):
        at = round(step * (k + 1)) - 1
        line[min(at, inner - 1)] = "o"
        text = _label(p)
        if fits:
            start = max(at - len(text) // 2, 0)
            labels[start : start + len(text)] = text
    if points and not fits:
        counts = Counter(map(count, points))
        words = ", ".join(
            say("{n} each", n=n) if len(counts) == 1 else say("{many} with {n}", many=many, n=n)
            for n, many in counts.items()
        )
        return "".join(line), say(
            "{first} to {last}: {words}", first=points[0].id, last=points[-1].id, words=words
        )
    return ("".join(line), "".join(labels)) if points else ("".join(line),)


def _arrow(side: int | None, last: int) -> tuple[int, int] | None:
    """Row of the wind's arrow, and 0 left or 1 right; row -1 is above, last + 1 below."""
    middle = (last + 1) // 2
    rows = ((-1, 0), (0, 1), (middle, 1), (last, 1), (last + 1, 0), (last, 0), (middle, 0), (0, 0))
    return None if side is None else rows[side]


def _words(around: Around) -> list[str]:
    bearing, side = around.wind_from, around.side
    if bearing is None or side is None:
        return [say("Wind from any side counts.")]
    text = say(
        "Wind from {bearing} deg ({bearing_2}), at the {side}; up to 45 deg to either side counts.",
        bearing=round(bearing),
        bearing_2=compass(bearing),
        side=SIDES[side],
    )
    return wrap(text, wide=SKETCH)
