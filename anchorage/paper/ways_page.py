"""The comparison of ways as a page, with the plan, the section and the lines of the way of least work, and of the first that has lines."""

from __future__ import annotations

from collections.abc import Sequence

from anchorage.core.plain import inert
from anchorage.core.say import say
from anchorage.core.units import show
from anchorage.deployment.models import Deployment
from anchorage.judging.plan import assess
from anchorage.judging.result import Plan
from anchorage.paper.blocks import Block, Break, Bullets, Document, Grid, Heading, Paper, Para
from anchorage.paper.content import Made, figure
from anchorage.paper.drawings import plan_drawing, section_drawing
from anchorage.paper.sketch import compass
from anchorage.paper.ways_text import DASH, Piece, ways_pieces
from anchorage.ways.changes import put
from anchorage.ways.result import WayOut, WaysOut

PLAN_MM, SECTION_MM = (150.0, 120.0), (120.0, 60.0)
"""Room for the drawings."""


def lines_grid(w: WayOut, plan: Plan) -> Grid:
    """Each line: point, direction, angle, how far from the wall it comes down, how long it is."""
    system, rows = plan.show_units, []
    for x in w.lines:
        where = say("{degrees}° from the front", degrees=round(x.from_front_deg)) if x.bearing_deg is None else f"{round(x.bearing_deg) % 360}° {compass(x.bearing_deg)}"  # fmt: skip
        rows.append((x.point, where, f"{x.angle_deg:g}°", show("length", x.from_wall_m, system), show("length", x.length_m, system)))  # fmt: skip
    head = (say("point"), say("runs to"), say("above the ground"), say("from the wall"), say("length"))
    return Grid(head, tuple(rows), "llrrr", (0, 0, 0, 0, 0), bold=(0,))


def drawn(w: WayOut, d: Deployment) -> list[Block]:
    """A way on the plan and the section, with its lines."""
    made = put(d, w.changes)
    plan = assess(made).plan
    out: list[Block] = [
        Break(),
        Heading(say("DRAWN: {name}", name=inert(w.name))),
        figure(plan_drawing(plan, made, PLAN_MM)),
        figure(section_drawing(plan, made.shelter, made.anchorage, SECTION_MM)),
    ]
    if w.lines:
        out += [
            lines_grid(w, plan),
            Para(say("As if tied at the eave: tied lower, a line comes down nearer to the wall, at the same angle, and is shorter. Knots and the tensioner take more.")),
        ]  # fmt: skip
    return out


def chosen(found: WaysOut) -> list[WayOut]:
    """What is drawn: the way of least work for the use that is meant, and the first that has lines."""
    mine = [w for w in found.ways if w.use == found.use] or list(found.ways)
    lined = next((w for w in mine if w.lines), None)
    return list({w.name: w for w in (*mine[:1], *([] if lined is None else [lined]))}.values())


def _blocks(pieces: Sequence[Piece]) -> list[Block]:
    """Headings, ways and what belongs to them; what is a list becomes one."""
    out: list[Block] = []
    items: list[str] = []

    def end() -> None:
        if items:
            out.append(Bullets(tuple(items)))
            items.clear()

    for p in pieces:
        if p.head or p.way or not p.lead:
            end()
        if p.head:
            out.append(Heading(p.text))
        elif p.way:
            out.append(Para(f"{p.lead.strip()} {p.text}", bold=True, size=1.1))
        elif p.lead:
            items.append(p.text if p.lead == DASH else f"{p.lead.strip()} {p.text}")
        else:
            out.append(Para(p.text))
    end()
    return out


def ways_document(
    found: WaysOut, plan: Plan, d: Deployment, made: Made, paper: Paper, *, engineer: bool = False
) -> Document:
    """The whole comparison."""
    first, *rest = ways_pieces(found, plan, engineer=engineer)
    blocks: list[Block] = [Para(first.text, bold=True, size=1.6), *_blocks(rest)]
    for w in chosen(found):
        blocks += drawn(w, d)
    return Document(
        title=say("{name}: ways to hold it", name=found.name), blocks=tuple(blocks), foot=plan.policy.after(made.foot), paper=paper,
        about=say("Every way to hold it"),
    )  # fmt: skip
