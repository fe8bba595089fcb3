"""What a page is made of, before it is paper or a screen: plain blocks of plain text. HTML and PDF render the same blocks."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field, replace
from itertools import accumulate
from typing import Literal, TypeAlias

from anchorage.core.say import not_reviewed

Paper = Literal["letter", "a4"]
SIZES: dict[str, tuple[float, float]] = {"letter": (215.9, 279.4), "a4": (210.0, 297.0)}
"""Width and height in mm."""
Tone = Literal["go", "no-go", "unknown", "plain"]


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
    """Items, in columns where they are many. ``box`` puts a square to tick before each, ``numbered`` its number: they are done in that order."""

    items: tuple[str, ...]
    columns: int = 1
    size: float = 1.0
    box: bool = False
    numbered: bool = False


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
    over: tuple[tuple[str, int], ...] = ()
    """Heads over the heads: text and how many columns it stands over, all of them in order. Each begins behind a thick line."""
    shaded: tuple[int, ...] = ()
    """Columns on grey, so that nobody slips into the one beside."""
    big: bool = False
    """Boxes in which a number is written large."""
    close: bool = False
    """Rows close to each other: a long table in which one number is looked up."""

    def begins(self) -> tuple[int, ...]:
        """Columns at which a group of ``over`` begins, but for the first."""
        at = list(accumulate(n for _, n in self.over))
        return tuple(at[:-1])


@dataclass(frozen=True)
class Lines:
    """Working: fixed-width lines, leading spaces kept."""

    lines: tuple[str, ...]
    columns: int = 1
    size: float = 0.85


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
    """A new page. soft: only where what stands after it would not fit on the same page without small text."""

    soft: bool = False


Block: TypeAlias = Banner | Heading | Para | Bullets | Grid | Lines | Figure | Beside | Break


@dataclass(frozen=True)
class Document:
    """A page or several, with what stands at the foot of each."""

    title: str
    blocks: tuple[Block, ...]
    foot: str
    """Without what is said of a translation."""
    paper: Paper = "letter"
    size: float = 10.0
    """Body text in points where there is room; each part up to a ``Break`` is made smaller until it fits on one page."""
    least: float = 8.0
    """No text on the page is smaller, whatever its share of the body text; what does not fit goes on a page more."""
    roomy: float = 8.5
    """Body text that a page keeps at the least when what stands after a soft break joins it."""
    keywords: tuple[str, ...] = ("anchorage", "wind", "snow", "shelter")
    about: str = field(default="")
    """One line on what the document is, for its metadata."""

    translation: str = field(default_factory=not_reviewed)
    """What is said of the translation that its words are, in small print; nothing of English."""

    @property
    def last_line(self) -> str:
        """What stands at the foot of each page."""
        return " · ".join(x for x in (self.foot, self.translation) if x)


def parts(document: Document) -> list[list[tuple[Block, ...]]]:
    """The blocks between the breaks: by page, and in a page by soft break."""
    out: list[list[list[Block]]] = [[[]]]
    for b in document.blocks:
        if not isinstance(b, Break):
            out[-1][-1].append(b)
        elif b.soft:
            out[-1].append([])
        else:
            out.append([[]])
    found = [[tuple(p) for p in page if p] for page in out]
    return [page for page in found if page]


def reworded(blocks: Sequence[Block], said: Callable[[str], str]) -> list[Block]:
    """The same blocks with each text as another function says it, drawings left as they are."""
    out: list[Block] = []
    for b in blocks:
        match b:
            case Banner():
                out.append(replace(b, text=said(b.text), under=tuple(map(said, b.under))))
            case Heading() | Para():
                out.append(replace(b, text=said(b.text)))
            case Bullets():
                out.append(replace(b, items=tuple(map(said, b.items))))
            case Beside():
                out.append(replace(b, columns=tuple(tuple(reworded(c, said)) for c in b.columns)))
            case _:
                out.append(b)
    return out


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
                out += [*(t for t, _ in b.over if t), *b.head, *(c for row in b.rows for c in row)]
            case Lines():
                out += b.lines
            case Figure():
                out += [b.caption] if b.caption else []
            case Beside():
                out += [t for column in b.columns for t in words(column)]
            case Break():
                pass
    return out
