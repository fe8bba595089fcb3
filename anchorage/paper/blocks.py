"""What a page is made of, before it is paper or a screen: plain blocks of plain text. HTML and PDF render the same blocks."""

from __future__ import annotations

import unicodedata
from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import Literal, TypeAlias

from anchorage.core.plain import UNSEEN

Paper = Literal["letter", "a4"]
SIZES: dict[str, tuple[float, float]] = {"letter": (215.9, 279.4), "a4": (210.0, 297.0)}
"""Width and height in mm."""
Tone = Literal["go", "no-go", "unknown", "plain"]
_SEEN = frozenset((*range(0x0600, 0x0606), 0x06DD, 0x070F, 0x0890, 0x0891, 0x08E2, 0x110BD, 0x110CD))
"""Characters of format that are printed: signs of numbers."""
_JOINERS = "\u200c\u200d"
"""They belong between letters of some scripts and between pictures, and nowhere else."""


def clean(text: str) -> str:
    """The same text with nothing in it that acts on a page or hides there: controls, turns of direction, no width."""
    if text.isascii() and text.isprintable():
        return text
    return "".join(_safe(c, text[i - 1] if i else "") for i, c in enumerate(text))


def _safe(char: str, before: str) -> str:
    kind = unicodedata.category(char)
    if char in "\t\n\r" or kind in ("Zl", "Zp"):
        return " "
    if char in _JOINERS and before and not before.isascii() and unicodedata.category(before)[0] in "LMS":
        return char
    if (kind[0] == "C" and ord(char) not in _SEEN) or char in UNSEEN:
        return "?"
    return char


@dataclass(frozen=True)
class Banner:
    """The verdict: large, framed, marked by words and not by colour."""

    text: str
    tone: Tone
    under: tuple[str, ...] = ()


@dataclass(frozen=True)
class Heading:
    """A title over what follows."""

    text: str


@dataclass(frozen=True)
class Para:
    """A paragraph. size: 1 is body text."""

    text: str
    bold: bool = False
    size: float = 1.0


@dataclass(frozen=True)
class Bullets:
    """Items, in columns where they are many. ``box`` puts a square to tick before each."""

    items: tuple[str, ...]
    columns: int = 1
    size: float = 1.0
    box: bool = False


@dataclass(frozen=True)
class Grid:
    """A table. align: l, r or c for each column; widths: shares, or 0 for as wide as its text."""

    head: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    align: str
    widths: tuple[float, ...] = ()
    size: float = 1.0
    bold: tuple[int, ...] = ()
    """Columns in bold."""
    tall: bool = False
    """Rows high enough to write in with a glove on."""
    columns: int = 1
    """The rows are set side by side in so many columns."""


@dataclass(frozen=True)
class Lines:
    """Working: fixed-width lines, leading spaces kept."""

    lines: tuple[str, ...]
    columns: int = 1
    size: float = 0.7


@dataclass(frozen=True)
class Figure:
    """A drawing as SVG. width: mm on paper."""

    svg: str
    alt: str
    width: float
    caption: str = ""


@dataclass(frozen=True)
class Beside:
    """Blocks next to each other."""

    columns: tuple[tuple[Block, ...], ...]
    shares: tuple[float, ...]


@dataclass(frozen=True)
class Break:
    """A new page."""


Block: TypeAlias = Banner | Heading | Para | Bullets | Grid | Lines | Figure | Beside | Break


@dataclass(frozen=True)
class Document:
    """A page or several, with what stands at the foot of each."""

    title: str
    blocks: tuple[Block, ...]
    foot: str
    paper: Paper = "letter"
    size: float = 10.0
    """Body text in points where there is room; each part up to a ``Break`` is made smaller until it fits on one page."""
    least: float = 6.5
    keywords: tuple[str, ...] = ("anchorage", "wind", "snow", "shelter")
    about: str = field(default="")
    """One line on what the document is, for its metadata."""


def parts(document: Document) -> list[tuple[Block, ...]]:
    """The blocks between the breaks."""
    out: list[list[Block]] = [[]]
    for b in document.blocks:
        if isinstance(b, Break):
            out.append([])
        else:
            out[-1].append(b)
    return [tuple(p) for p in out if p]


def words(blocks: Sequence[Block]) -> list[str]:
    """All text of the blocks, in order, drawings left out."""
    out: list[str] = []
    for b in blocks:
        match b:
            case Banner():
                out += [b.text, *b.under]
            case Heading() | Para():
                out.append(b.text)
            case Bullets():
                out += b.items
            case Grid():
                out += [*b.head, *(c for row in b.rows for c in row)]
            case Lines():
                out += b.lines
            case Figure():
                out += [b.caption] if b.caption else []
            case Beside():
                out += [t for column in b.columns for t in words(column)]
            case Break():
                pass
    return out
