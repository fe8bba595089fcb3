"""What people read: lines of text that are safe to print, whatever a user wrote into a file."""

from __future__ import annotations

import difflib
import re
import unicodedata
from collections.abc import Iterable, Sequence

from anchorage.core.say import say

WIDE = 72
"""Columns of text output."""
PAGE, LEAST = 80, 12
"""Columns of a terminal, and those that a column of words keeps."""


UNSEEN = frozenset("\u034f\u115f\u1160\u17b4\u17b5\u3164\uffa0")
"""Letters and marks that show nothing: two names that differ by them look the same."""


def inert(text: str) -> str:
    """The same text with nothing in it that acts on a terminal: no escapes, no line breaks, no change of direction."""
    text = str(text)  # what was put off is put into words here
    if text.isascii() and text.isprintable():
        return text
    return "".join(map(_inert, text))


def _inert(char: str) -> str:
    if char.isprintable():
        return "?" if char in UNSEEN else char
    return " " if unicodedata.category(char) == "Zs" else "?"


def columns(text: str) -> int:
    """Columns that printable text takes in a terminal."""
    if text.isascii():
        return len(text)
    return sum(_width(c) for c in text)


def _width(char: str) -> int:
    if unicodedata.combining(char):
        return 0
    return 2 if unicodedata.east_asian_width(char) in "WF" else 1


def cut(text: str, wide: int) -> str:
    """Text of at most so many columns; three dots stand for what is left out."""
    if columns(text) <= wide:
        return text
    out = ""
    for char in text:
        if columns(out + char) > wide - 3:
            break
        out += char
    return out.rstrip() + "..."


def _pieces(word: str, wide: int) -> list[str]:
    """A word in pieces that fit."""
    if columns(word) <= wide:
        return [word]
    out = [""]
    for char in word:
        if columns(out[-1]) + _width(char) > wide:
            out.append("")
        out[-1] += char
    return out


def nearest(word: str, known: Iterable[str], cutoff: float = 0.6) -> str | None:
    """The one of some words that was probably meant; None where none is near."""
    found = difflib.get_close_matches(word, list(known), 1, cutoff)
    return found[0] if found else None


def did_you_mean(word: str, known: Iterable[str], cutoff: float = 0.6) -> str:
    """The question about a word that is not known; nothing where none is near."""
    near = nearest(word, known, cutoff)
    return "" if near is None else meant(near)


def meant(near: str) -> str:
    """The same where it is known which was meant."""
    return say('did you mean "{near}"?', near=near)


def wrap(text: str, first: str = "", then: str | None = None, wide: int = WIDE) -> list[str]:
    """Text made inert and broken at spaces. first, then: what the first line and the others begin with."""
    rest = " " * columns(first) if then is None else then
    far = columns(rest)
    lines, line, at, empty = list[str](), first, columns(first), True
    for word in inert(text).split():
        for piece in _pieces(word, max(wide - far, 8)):
            gap, more = "" if empty else " ", columns(piece)
            if not empty and at + 1 + more > wide:
                lines.append(line)
                line, at, gap = rest, far, ""
            line, at, empty = line + gap + piece, at + len(gap) + more, False
    return [*lines, line.rstrip()]


RULES = ({"="}, {"-"}, {"─"}, {"━"})
"""Lines that are drawn across a page: they say nothing."""


def narrow(text: str, wide: int) -> str:
    """A page for a terminal that is narrower than it: longer lines go on in the next, further in, broken at spaces; nothing is lost."""
    return "".join(f"{out}\n" for line in text.split("\n")[:-1] for out in _narrowed(line, wide)) + (
        "" if text.endswith("\n") or not text else "\n".join(_narrowed(text.rpartition("\n")[2], wide))
    )


def _narrowed(line: str, wide: int) -> list[str]:
    if columns(line) <= wide:
        return [line]
    if len(line) > 3 and set(line) in RULES:
        return [line[:wide]]
    lead = min(len(line) - len(line.lstrip()), wide // 3)
    rest = " " * min(lead + 2, wide // 3)
    out, now, empty = list[str](), " " * lead, True
    for gap, word in re.findall(r"(\s*)(\S+)", line.strip()):
        for i, piece in enumerate(_pieces(word, max(wide - len(rest), 8))):
            space = "" if empty or i else "  " if len(gap) > 1 else gap
            if not empty and columns(now + space + piece) > wide:
                out.append(now)
                now, space = rest, ""
            now, empty = now + space + piece, False
    return [*out, now]


def _broken(row: Sequence[str], at: int, wide: int) -> list[list[str]]:
    """A row, and under it what its cell has more than there is room for."""
    lead = " " * (len(row[at]) - len(row[at].lstrip(" ")))
    first, *more = wrap(row[at].lstrip(" "), lead, f"{lead} ", wide) or [row[at]]
    rest = [["" if i != at else m for i in range(len(row))] for m in more]
    return [[first if i == at else c for i, c in enumerate(row)], *rest]


def table(rows: Sequence[Sequence[str]], right: str, gap: str = "  ") -> list[str]:
    """Rows in columns. right: for each column ``r`` for right-aligned, ``l`` for left-aligned."""
    return [line for lines in by_row(rows, right, gap) for line in lines]


def by_row(rows: Sequence[Sequence[str]], right: str, gap: str = "  ") -> list[list[str]]:
    """The same, the lines of each row: one, but where they are wider than a page, as words of another language may be. Then the widest column of words is broken."""
    cells = [[[inert(c) for c in row]] for row in rows]
    widths = [max(columns(row[0][i]) for row in cells) for i in range(len(right))]
    over = sum(widths) + columns(gap) * (len(widths) - 1) - PAGE
    at = max((i for i, r in enumerate(right) if r != "r"), key=lambda i: widths[i], default=-1)
    if over > 0 and at >= 0 and widths[at] - over >= LEAST:
        cells = [_broken(row[0], at, widths[at] - over) for row in cells]
        widths[at] = max(columns(line[at]) for lines in cells for line in lines)

    def cell(text: str, i: int) -> str:
        pad = " " * (widths[i] - columns(text))
        return pad + text if right[i] == "r" else text + pad

    return [[gap.join(cell(c, i) for i, c in enumerate(line)).rstrip() for line in lines] for lines in cells]


_SEEN = frozenset((*range(0x0600, 0x0606), 0x06DD, 0x070F, 0x0890, 0x0891, 0x08E2, 0x110BD, 0x110CD))
"""Characters of format that are printed: signs of numbers."""


_JOINERS = "\u200c\u200d"
"""They belong between letters of some scripts and between pictures, and nowhere else."""


def clean(text: str) -> str:
    """The same text with nothing in it that acts on a page or hides there: controls, turns of direction, no width."""
    text = str(text)  # what was put off is put into words here
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


_NAMED = r"\[[a-z_]+(?:\.[a-z_]+)*\](?: [a-z]+_[a-z_]+| [a-z]+(?=\)))?|\b[a-z]+(?:\.[a-z_]+)+\b"
_ASIDE = re.compile(rf" \((?:{_NAMED})(?:, [a-z_]+)*\)")


def without_keys(text: str) -> str:
    """A sentence for people who never see the file: without the names in brackets that things have there."""
    return _ASIDE.sub("", text)
