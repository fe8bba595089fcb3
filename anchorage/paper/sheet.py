"""The sheet: the crew's page first, the engineer's and the officer's after it."""

from __future__ import annotations

from anchorage.core.plain import without_keys
from anchorage.core.say import say
from anchorage.core.words import LEVELS
from anchorage.paper.blocks import (  # fmt: skip
    Break,
    Document,
    Paper,
    reworded,
)
from anchorage.paper.content import SheetIn, banner, crew_blocks
from anchorage.paper.officer import officer_blocks


def sheet_document(s: SheetIn, paper: Paper) -> Document:
    """The whole sheet."""
    level, verdict = LEVELS[s.plan.levels.level], banner(s)
    return Document(
        title=say("{plan}: anchorage sheet", plan=s.plan.name), blocks=(*reworded(crew_blocks(s), without_keys), Break(soft=True), *officer_blocks(s)), foot=s.plan.policy.after(s.made.foot), paper=paper,
        about=f"{verdict.text} ({level})",
    )  # fmt: skip
