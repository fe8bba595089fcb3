"""One page in two languages, side by side: the same blocks, made once in each; what is the same in both stands once."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace

from anchorage.paper.blocks import (
    Banner,
    Beside,
    Block,
    Break,
    Bullets,
    Document,
    Figure,
    Grid,
    Heading,
    Lines,
)

MOST_BESIDE = 2
"""Tables next to each other: heads in two languages want room."""


def _both(a: str, b: str) -> str:
    """What differs by its decimal sign alone stands once."""
    return a if a.replace(",", ".") == b.replace(",", ".") else f"{a} / {b}"


def _heads(a: str, b: str) -> str:
    """Heads of columns stand under each other: a column is as narrow as its numbers."""
    return a if a == b else f"{a}\n{b}"


def _cells(a: tuple[str, ...], b: tuple[str, ...]) -> tuple[str, ...]:
    return tuple(_both(x, y) for x, y in zip(a, b, strict=True))


def _pair(a: Block, b: Block) -> Iterator[Block]:
    """Two blocks that say the same."""
    match a, b:
        case (Heading(), Heading()):
            yield Heading(_both(a.text, b.text))
        case (Grid(), Grid()) if len(a.rows) == len(b.rows):
            rows = tuple(_cells(x, y) for x, y in zip(a.rows, b.rows, strict=True))
            over = tuple((_heads(x, y), n) for (x, n), (y, _) in zip(a.over, b.over, strict=True))
            yield replace(
                a,
                head=tuple(map(_heads, a.head, b.head)),
                rows=rows,
                columns=min(a.columns, MOST_BESIDE),
                over=over,
                widths=tuple(map(max, a.widths, b.widths)),
            )
        case (Beside(), Beside()):  # halves of halves are too narrow to read
            for x, y in zip(a.columns, b.columns, strict=True):
                yield from _paired(x, y)
        case (Break(), Break()):
            yield a
        case (Figure(), Figure()):
            yield replace(a, caption=_both(a.caption, b.caption))
        case (Banner(), Banner()):
            yield Banner(
                _both(a.text, b.text),
                a.tone,
                tuple(_both(x, y) for x, y in zip(a.under, b.under, strict=True)),
            )
        case _ if a == b:
            yield a
        case _:
            yield Beside((_narrow(a), _narrow(b)), (1.0, 1.0))


def _narrow(x: Block) -> tuple[Block, ...]:
    return (replace(x, columns=1) if isinstance(x, Bullets | Lines) else x,)


def _paired(a: Sequence[Block], b: Sequence[Block]) -> Iterator[Block]:
    for x, y in zip(a, b, strict=True):
        yield from _pair(x, y)


def beside(a: Document, b: Document) -> Document:
    """Two documents as one. Both were made of the same installation by the same hand, so that their blocks go in pairs."""
    said = " · ".join(dict.fromkeys(x for x in (a.translation, b.translation) if x))
    blocks = tuple(_paired(a.blocks, b.blocks))
    return replace(
        a, title=_both(a.title, b.title), blocks=blocks, about=_both(a.about, b.about), translation=said
    )
