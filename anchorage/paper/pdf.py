"""Blocks as a PDF. Equal blocks give equal bytes: no clock and, unless a script needs them, no font of the machine."""

from __future__ import annotations

import json
import re
from pathlib import Path
from typing import TYPE_CHECKING, Any, cast

from anchorage.core.errors import AnchorageError
from anchorage.core.plain import clean
from anchorage.core.say import language, say
from anchorage.core.version import VERSION
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
    Para,
    parts,
    words,
)

if TYPE_CHECKING:
    import typst

HERE = Path(__file__).parent
FONTS = HERE / "fonts"
FAMILY = "DejaVu Sans"
_STEP = 0.5
"""Points by which text is made smaller until it fits."""
_COVERED = (
    range(0x0700),
    range(0x10A0, 0x1100),
    range(0x1E00, 0x2C00),
    range(0xFB00, 0xFE00),
    range(0xFE20, 0xFF00),
)
"""Scripts that the fonts shipped here have: Latin, Greek, Cyrillic, Armenian, Hebrew, Arabic, signs."""


class SheetError(AnchorageError):
    """A sheet that cannot be made, and what would make it possible."""


def _head(text: str) -> str:
    """The head of a column, whose lines stay lines."""
    return "\n".join(map(clean, text.splitlines()))


def _data(b: Block, body: float, least: float) -> dict[str, Any]:
    """A block for the template. body: of the text (pt); least: no text is smaller (pt)."""

    def pt(size: float) -> float:
        return max(size * body, least)

    match b:
        case Banner():
            return {
                "kind": "banner",
                "text": clean(b.text),
                "tone": b.tone,
                "under": [clean(t) for t in b.under],
            }
        case Heading():
            return {"kind": "heading", "text": clean(b.text)}
        case Para():
            return {"kind": "para", "text": clean(b.text), "bold": b.bold, "size": pt(b.size)}
        case Bullets():
            return {
                "kind": "bullets",
                "items": [clean(t) for t in b.items],
                "columns": b.columns,
                "size": pt(b.size),
                "box": b.box,
                "numbered": b.numbered,
            }
        case Grid():
            return {"kind": "grid", "head": [_head(t) for t in b.head], "rows": [[clean(t) for t in row] for row in b.rows],
                    "align": b.align, "widths": list(b.widths), "size": pt(b.size), "bold": list(b.bold), "tall": b.tall,
                    "columns": b.columns, "over": [[_head(t), n] for t, n in b.over], "begins": b.begins(), "shaded": list(b.shaded), "close": b.close, "big": b.big}  # fmt: skip
        case Lines():
            deep = [(len(line) - len(line.lstrip()), clean(line.strip())) for line in b.lines]
            return {"kind": "lines", "lines": deep, "columns": b.columns, "size": pt(b.size)}
        case Figure():
            return {
                "kind": "figure", "svg": b.svg, "alt": clean(b.alt), "width": b.width, "caption": clean(b.caption), "size": pt(0.85),
            }  # fmt: skip
        case Beside():
            return {
                "kind": "beside",
                "shares": list(b.shares),
                "columns": [[_data(x, body, least) for x in c] for c in b.columns],
            }
        case Break():
            return {"kind": "break"}


def _covered(document: Document) -> bool:
    """True where the fonts shipped here have every character."""
    text = "".join([document.title, document.last_line, *words(document.blocks)])
    return all(any(ord(c) in r for r in _COVERED) for c in text)


def _pages(raw: bytes) -> int:
    return max((int(n) for n in re.findall(rb"/Type ?/Pages ?/Count (\d+)", raw)), default=1)


def _inputs(document: Document, pages: list[tuple[float, tuple[Block, ...]]]) -> str:
    return json.dumps({
        "title": clean(document.title), "about": clean(document.about), "keywords": list(document.keywords), "version": VERSION, "lang": language(), "page": say("page {n} of {of}", n="#1", of="#2"),
        "fonts": [FAMILY], "paper": {"letter": "us-letter", "a4": "a4"}[document.paper], "foot": clean(document.last_line), "least": document.least,
        "parts": [{"size": size, "blocks": [_data(b, size, document.least) for b in blocks]} for size, blocks in pages],
    })  # fmt: skip


def _fitted(press: typst.Compiler, document: Document, blocks: tuple[Block, ...]) -> float:
    """The largest size of text at which a part fits on one page, or the least that is still read."""
    if _pages(_compile(press, document, [(document.size, blocks)])) <= 1:
        return document.size
    steps = int((document.size - document.least) / _STEP)
    low, high = 1, steps  # steps down from the full size; the last is the least
    while low < high:
        mid = (low + high) // 2
        if _pages(_compile(press, document, [(document.size - mid * _STEP, blocks)])) <= 1:
            high = mid
        else:
            low = mid + 1
    return document.size - low * _STEP


def _press(document: Document) -> typst.Compiler:
    """What sets the pages of a document, its fonts loaded once."""
    try:
        import typst  # noqa: PLC0415 - 34 MB that only paper needs
    except ImportError:  # a platform without a wheel
        raise SheetError(
            say(
                "no PDF on this machine: the package typst is not installed; write the sheet as OUT.html and print it from a browser"
            )
        ) from None
    return typst.Compiler(
        str(HERE / "page.typ"),
        root=str(HERE),
        font_paths=[str(FONTS)],
        ignore_system_fonts=_covered(document),
    )


def _compile(
    press: typst.Compiler, document: Document, pages: list[tuple[float, tuple[Block, ...]]]
) -> bytes:
    import typst  # noqa: PLC0415 - the same

    try:
        raw = press.compile(format="pdf", sys_inputs={"data": _inputs(document, pages)})
    except typst.TypstError as e:
        raise SheetError(
            say("the page could not be set: {e}; write the sheet as OUT.html", e=str(e)[:200])
        ) from None
    return cast("bytes", raw)  # a list where pages are pictures


def _joined(
    press: typst.Compiler, document: Document, page: list[tuple[Block, ...]]
) -> list[tuple[Block, ...]]:
    """What stands between soft breaks, as much to a page as fits on it at a size that is read with ease."""
    out = [page[0]]
    for blocks in page[1:]:
        both = (*out[-1], *blocks)
        if _pages(_compile(press, document, [(document.roomy, both)])) <= 1:
            out[-1] = both
        else:
            out.append(blocks)
    return out


def pdf(document: Document) -> bytes:
    """The document as a PDF, a page for each part, its text made smaller until it fits, or as small as is still read."""
    press = _press(document)
    pages = [blocks for page in parts(document) for blocks in _joined(press, document, page)]
    return _compile(press, document, [(_fitted(press, document, blocks), blocks) for blocks in pages])
