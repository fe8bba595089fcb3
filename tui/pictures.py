"""The picture of each view as lines of text: the plan, a rose of what it takes, the roof with its snow, readings against levels."""

from __future__ import annotations

import itertools
import math
from collections.abc import Sequence
from typing import TYPE_CHECKING

from anchorage.core.plain import columns, cut
from anchorage.core.say import say
from tui.pages import Line, apart

if TYPE_CHECKING:
    from anchorage.deployment.models import Shelter
    from anchorage.judging.result import Plan
    from anchorage.paper.drawing import Shape, Side
    from anchorage.paper.sketch import Around

BESIDE = 72
"""Columns from which picture and words stand side by side."""
HIGH, LEAST = 15, 8


def beside(left: Sequence[Line], right: Sequence[Line], at: int) -> list[Line]:
    """Two columns, the second from column ``at`` on. A line has the style of its words, not of its picture."""
    out: list[Line] = []
    right = apart(right)
    for i in range(max(len(left), len(right))):
        a = left[i][0] if i < len(left) else ""
        b, style = right[i] if i < len(right) else ("", "")
        out.append((cut(a, at - 2) + " " * (at - columns(cut(a, at - 2))) + b, style))
    return out


def drawn(shapes: Sequence[Shape], wide: int, high: int, *, plain: bool) -> list[Line]:
    """Shapes as rows of cells, without the empty ones at the top and the foot."""
    from tui.canvas import draw  # noqa: PLC0415 - after the first screen

    rows = draw(tuple(shapes), wide, high, plain=plain).lines()
    while rows and not rows[-1].strip():
        rows.pop()
    while rows and not rows[0].strip():
        rows.pop(0)
    return [(row, "") for row in rows]


def rose(plan: Plan, around: Around | None, wide: int, high: int, *, plain: bool) -> list[Line]:
    """What it takes by where the wind comes from, north up: outside the limit, inside the gust of PEOPLE OUT; the wind of today on it."""
    from anchorage.judging.gusts import number  # noqa: PLC0415
    from anchorage.paper.drawing import Circle, Polygon, Text  # noqa: PLC0415
    from anchorage.paper.drawing import Line as Stroke  # noqa: PLC0415 - after the first screen
    from anchorage.paper.sketch import compass  # noqa: PLC0415

    held = plan.put_up_m_s
    if held is None:
        return []
    found = plan.by_bearing
    known = len(found) >= 3
    if not known:
        found = [(float(b), held) for b in range(0, 360, 15)]
    top = max(g for _, g in found)

    def at(bearing: float, gust: float) -> tuple[float, float]:
        a = math.radians(bearing)
        return math.sin(a) * gust / top, math.cos(a) * gust / top

    out = plan.policy.people_out
    shapes: list[Shape] = [
        Polygon(tuple(at(b, g) for b, g in found), "wall"),
        Polygon(tuple(at(b, g * out) for b, g in found), "wall"),
    ]
    for b, g in found:
        if round(b) % 45 == 0:
            x, y = at(b, top * 1.12)
            side: Side = "right" if x > 0.2 else "left" if x < -0.2 else "middle"
            words = f"{compass(b)} {number(plan, g)}" if known else compass(b)
            shapes.append(Text(x, y, words, "label", side))
    gust = min(plan.wind.gust_m_s, top * 1.3)
    come = around.wind_from if around is not None else None
    if come is not None:
        (x, y), (x2, y2) = at(come, max(gust, top * 0.45)), at(come, 0.02 * top)
        shapes += [Stroke(x, y, x2, y2, "wind", arrow=True), Circle(*at(come, gust), 0.03, "weak")]
    else:
        shapes.append(Polygon(tuple(at(float(b), gust) for b in range(0, 360, 10)), "ridge"))
        shapes += [Circle(*at(float(b), gust), 0.03, "weak") for b in range(0, 360, 45)]
    shapes.append(Text(0.0, 0.0, "", "label"))
    return drawn(shapes, wide, high, plain=plain)


def rose_words(around: Around | None) -> str:
    """What the rose shows, in words."""
    come = around.wind_from if around is not None else None
    mark = say("the mark") if come is not None else say("the marks, from any side")
    many = say("Outer ring: the gust it takes from there. Inner ring: PEOPLE OUT.")
    return say("North up. {many} Today: {mark}.", many=many, mark=mark)


def roof(plan: Plan, shelter: Shelter | None, wide: int, high: int, *, plain: bool) -> list[Line]:
    """The roof from the front, over it the snow that it bears, and the snow that lies there."""
    from anchorage.checks.installation import shape_of  # noqa: PLC0415
    from anchorage.paper.drawing import Line as Stroke  # noqa: PLC0415
    from anchorage.paper.drawing import Polygon, Text, outline  # noqa: PLC0415 - after the first screen

    if shelter is None:
        return []
    form, s = shape_of(shelter), plan.snow
    edge = outline(form)
    up = edge if form.canopy else edge[1:-1]
    lift = max(form.ridge, 0.1) * 0.3
    share = s.ratio if s.ratio is not None else None

    def over(by: float) -> list[Shape]:
        return [Stroke(x1, y1 + by, x2, y2 + by, "ridge") for (x1, y1), (x2, y2) in itertools.pairwise(up)]

    half = form.width / 2
    shapes: list[Shape] = [Polygon(edge, "wall"), Stroke(-half * 1.1, 0.0, half * 1.1, 0.0, "ground")]
    if s.limit_pa is not None:
        shapes += over(lift)
        shapes.append(Text(half, up[-1][1] + lift, say("bears"), "label", "right"))
    if s.roof_load_pa and share is not None:
        by = lift * min(share, 1.6)
        shapes += [
            Stroke(x1, y1 + by * k, x2, y2 + by * k, "wall")
            for k in (0.5, 1.0)
            for (x1, y1), (x2, y2) in itertools.pairwise(up)
        ]
        shapes.append(Text(-half, up[0][1] + by, say("lies"), "label", "left"))
    return drawn(shapes, wide, high, plain=plain)


def scale(levels: Sequence[tuple[str, float]], at: float, top: float, wide: int, *, plain: bool) -> str:
    """A bar to ``at`` with the beginning of each level marked on it: S, O and K, of ``top`` at its end."""
    cells = ["#" if plain else "█"] * max(min(round(at / top * wide), wide), 0) if top > 0 else []
    cells += ["." if plain else "░"] * (wide - len(cells))
    for letter, gust in levels:
        i = min(max(math.ceil(gust / top * wide) - 1, 0), wide - 1) if top > 0 else 0
        cells[i] = letter
    return "".join(cells)
