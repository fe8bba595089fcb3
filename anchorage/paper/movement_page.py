"""The movement list of a store: what each crew takes where and by when, what comes down first, what then stands at each point."""

from __future__ import annotations

from dataclasses import dataclass

from anchorage.core import tables
from anchorage.core.say import Word, later, mark, say
from anchorage.paper.blocks import Block, Bullets, Document, Grid, Heading, Paper, Para
from anchorage.paper.content import Made

LINES = (
    "",
    Word("leave", "crew"),
    Word("back", "crew"),
    later("due"),
    later("from"),
    later("to"),
    later("what"),
    later("loads"),
)
CREW = (mark("leave (crew)"), mark("back (crew)"))
"""Words that are others elsewhere."""


@dataclass(frozen=True)
class CrewList:
    """The lines of one crew: leave, back, due, from, to, what, loads."""

    title: str
    rows: tuple[tuple[str, ...], ...]


@dataclass(frozen=True)
class Movement:
    """The list in words."""

    headline: str
    crews: tuple[CrewList, ...]
    down: tuple[tuple[str, str, str], ...]
    """Shelter, by when, why."""
    points: tuple[tuple[str, str], ...]
    """Shelter, and what then stands at which points."""
    reasons: tuple[str, ...]
    notes: tuple[str, ...]


def movement_document(m: Movement, made: Made, paper: Paper) -> Document:
    """The list as pages, a box to tick beside each load."""
    blocks: list[Block] = [Para(say("MOVE"), bold=True, size=1.6), Para(m.headline, bold=True)]
    if m.down:
        blocks += [
            Heading(say("COMES DOWN, the first first")),
            Grid(
                ("", say("shelter"), say("begin by"), say("why")),
                tuple(("☐", *r) for r in m.down),
                "clll",
                (0, 0, 0, 1),
                bold=(2,),
            ),
        ]
    for c in m.crews:
        blocks += [
            Heading(c.title),
            Grid(
                LINES,
                tuple(("☐", *r) for r in c.rows),
                "clllllll",
                (0, 0, 0, 0, 0, 0, 1, 0),
                bold=(5, 6),
                tall=True,
            ),
        ]
    if m.points:
        blocks += [
            Heading(say("THEN STANDS AT THE POINTS")),
            Grid(("shelter", say("at each")), m.points, "ll", (0, 1)),
        ]
    if m.reasons:
        blocks += [Heading(say("WHY NOT ALL, and what does not fit")), Bullets(m.reasons)]
    blocks += [
        Heading(say("NOTES")), Bullets(m.notes, size=0.9), Bullets(tuple(t.short for t in tables.texts("caution-")), columns=2, size=0.8),
        Para(say("Given out by: ____________________   at: __________   Done, said by each crew: ____________________")),
    ]  # fmt: skip
    return Document(
        title=say("Movement list"),
        blocks=tuple(blocks),
        foot=made.foot,
        paper=paper,
        about=say("What goes where, and what comes down"),
    )
