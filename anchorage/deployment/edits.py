"""What was changed in a draft, put into the file that it came from.

A file has notes in it that people wrote. It is taken apart by tomlkit, which keeps each of them, the order and the blank
lines; values are changed where they stand. What was written is read again, and must be what was wanted. Imported where a
file is saved, and nowhere else.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from typing import Any, NamedTuple, cast

import tomlkit
from tomlkit.container import Container
from tomlkit.items import AoT, Array, Comment, InlineTable, Item, Key, Table, Whitespace

from anchorage.core.textfile import load_toml
from anchorage.deployment.draft import (
    Draft,
    data_of,
    full,
    is_tables,
    item_rows,
    literal,
    row,
    to_toml,
    toml_key,
)

Where = tuple[str | int, ...]
Body = list[tuple[Key | None, Item]]
_NOTE = re.compile(r""" "(?:\\.|[^"\\])*" | '[^']*' | \#[^\n]* """, re.VERBOSE)
MOST_PAIRS = 100_000
"""Items of a list before times after, up to which it is worked out which became which."""


def merged(original: str, draft: Draft) -> str:
    """The text of a file with the values of the draft in place; its notes, its order and its blank lines are kept.

    A note beside a value that is gone goes with it; one on a line of its own stays. A file that cannot be edited so (one
    list of tables in several places) is written anew without its notes, since a value must never be lost.
    """
    wanted = data_of(draft)
    try:
        if full(load_toml(original)) == wanted:
            return original
        text = _edited(original if original.endswith("\n") else original + "\n", wanted)
        if full(load_toml(text)) == wanted:
            return text
    except (
        ValueError,
        TypeError,
        LookupError,
        RecursionError,
    ):  # those of tomllib and tomlkit are ValueErrors
        pass
    return to_toml(draft)


def _edited(original: str, wanted: dict[str, Any]) -> str:
    file = tomlkit.parse(original)
    edit = _Edit()
    edit.table(file, wanted, ())
    rows: dict[Where, list[str]] = {}
    for path, value in _leaves(wanted):
        if not any(path[:i] in edit.written for i in range(1, len(path) + 1)):
            rows.setdefault(path[:-1], []).append(row(str(path[-1]), value))
    for path in [p for p in rows if p in edit.tables]:
        table = edit.tables[path]
        _insert(table.body, "".join(f"{table.dots}{line}\n" for line in rows.pop(path)))
    text = file.as_string()
    for path, lines in rows.items():
        names = ".".join(toml_key(p) for p in path if isinstance(p, str))
        header = f"[[{names}]]" if isinstance(path[-1], int) else f"[{names}]"
        text += "\n".join([*([""] if text.strip() else []), header, *lines, ""])
    return text


def _leaves(data: Any, path: Where = ()) -> Iterator[tuple[Where, Any]]:
    """Each value that is no table, by where it stands; an item of a list of tables by its number."""
    if isinstance(data, dict) and data:
        for name, value in data.items():
            yield from _leaves(value, (*path, name))
    elif is_tables(data):
        for i, value in enumerate(data):
            yield from _leaves(value, (*path, i))
    else:
        yield path, data


class _Rows(NamedTuple):
    """A table of the file, to which rows may be added."""

    body: Body
    dots: str = ""
    """What stands before each key, where the table is written with dots and not under a header."""


class _Edit:
    """One walk through a file: values that are wanted are put in their place, what is not wanted is taken out.

    The tree is only printed afterwards, never asked: lines that are added stand in it as they will be read.
    """

    def __init__(self) -> None:
        self.written: set[Where] = set()
        """Values that stand in the file."""
        self.tables: dict[Where, _Rows] = {}
        """Tables that stand in the file."""

    def table(self, at: Container, wanted: dict[str, Any], path: Where, dots: str = "") -> None:
        """All that is in a table."""
        if not path:
            self.tables[path] = _Rows(at.body)
        done = set[str]()
        for i, (key, value) in enumerate(at.body):
            if key is None:
                continue
            here, new = (*path, key.key), wanted.get(key.key)
            if isinstance(value, Table) and isinstance(new, dict):
                inside = f"{dots}{key.as_string().strip()}." if key.is_dotted() else ""
                if inside or not value.is_super_table():
                    self.tables.setdefault(here, _Rows(value.value.body, inside))
                self.table(value.value, new, here, inside)
            elif isinstance(value, AoT) and is_tables(new):
                if key.key not in done:  # its items may stand in several places
                    done.add(key.key)
                    self.items(
                        [v for k, v in at.body if isinstance(v, AoT) and k == key], cast("Any", new), here
                    )
                if not value.body:
                    at.body[i] = _as_written("")
            elif isinstance(value, Table | AoT) or new is None:
                if _has_values(value):
                    at.body[i] = _as_written(_notes(value))
            else:
                at.body[i] = (key, _changed(value, new))
                self.written.add(here)

    def items(self, parts: Sequence[AoT], wanted: list[dict[str, Any]], path: Where) -> None:
        """The items of an array of tables: each that stays keeps its notes, whatever its number is now."""
        name = ".".join(toml_key(p) for p in path if isinstance(p, str))
        tables = [(part, table) for part in parts for table in part.body]
        left, last = "", cast("Table | None", None)
        for old, new in _pairs([table.unwrap() for _, table in tables], wanted):
            if new is None:
                part, table = tables[cast("int", old)]
                left += _notes(table)
                part.body[:] = [t for t in part.body if t is not table]
            elif old is None:
                lines = "\n".join([*item_rows(name, wanted[new]), ""])
                self.written.add((*path, new))
                if last is None:
                    left += lines + "\n"
                else:
                    _insert(last.value.body, "\n" + lines, after_tables=True)
            else:
                _, last = tables[old]
                last.trivia.indent = left + last.trivia.indent
                left = ""
                self.tables[(*path, new)] = _Rows(last.value.body)
                self.table(last.value, wanted[new], (*path, new))
        if left and last is not None:
            last.value.body.append(_as_written(left))


def _as_written(text: str) -> tuple[None, Item]:
    return None, Whitespace(text, fixed=True)


def _insert(body: Body, text: str, *, after_tables: bool = False) -> None:
    """Lines after the last value of a table, before the notes of what follows."""
    held = [
        i
        for i, (k, v) in enumerate(body)
        if k is not None and (after_tables or not isinstance(v, Table | AoT))
    ]
    body.insert(held[-1] + 1 if held else 0, _as_written(text))


def _has_values(value: Any) -> bool:
    """Whether anything is said: an empty table or list of the file says nothing, and stays."""
    return bool(full({"": value.unwrap()}) != {})


def _notes(value: Any) -> str:
    """The notes on lines of their own in a table that is taken out."""
    if isinstance(value, AoT):
        return "".join(map(_notes, value.body))
    if not isinstance(value, Table):
        return ""
    out = ""
    for key, held in value.value.body:
        if key is not None:
            out += _notes(held)
        elif isinstance(held, Comment) or out:
            out += held.as_string()
    return out


def _changed(value: Item, new: Any) -> Item:
    """A value of the file, made another; where it is the same, as it was typed."""
    had = value.unwrap()
    if type(had) is type(new) and had == new:
        return value
    if isinstance(value, Array) and isinstance(new, list):
        return _changed_list(value, new)
    if isinstance(value, InlineTable) and isinstance(new, dict):
        for key in [k for k in had if k not in new]:
            del value[key]
        for key, inner in new.items():
            value[key] = _changed(value[key], inner) if key in had else _made(inner)
        return value
    made = _made(new)
    _stand_as(value, made)
    return made


def _stand_as(had: Item, new: Item) -> None:
    """Indented as the other was, with the note beside it."""
    was, now = had.trivia, new.trivia
    now.indent, now.comment_ws, now.comment, now.trail = was.indent, was.comment_ws, was.comment, was.trail


def _made(value: Any) -> Item:
    return tomlkit.value(literal(value))


def _changed_list(value: Array, new: list[Any]) -> Array:
    """A list of values: each keeps the note beside it; what is new stands at its place.

    Where that cannot be done, as with a comma on the line after a note, all its notes stand before the values.
    """
    text = value.as_string()
    changed = _changed_in_place(value, new)
    try:
        if load_toml(f"x = {changed.as_string()}\n")["x"] == new:
            return changed
    except ValueError:
        pass
    lines = [*(m[0] for m in _NOTE.finditer(text) if m[0].startswith("#")), *(f"{literal(v)}," for v in new)]
    again = cast("Array", tomlkit.value("".join(["[", *(f"\n  {line}" for line in lines), "\n]"])))
    _stand_as(value, again)
    return again


def _changed_in_place(value: Array, new: list[Any]) -> Array:
    at, text = len(value), value.as_string()
    start = re.search(r"\n([ \t]*)[^\s\]]", text)
    for old, n in reversed(_pairs(value.unwrap(), new)):
        if n is None:
            del value[cast("int", old)]
        elif old is not None:
            value[old] = _changed(value[old], new[n])
        elif at < len(value):
            value.insert(at, _made(new[n]))
        elif "\n" in text:
            value.add_line(_made(new[n]), indent=start[1] if start else "  ")
        else:
            value.append(_made(new[n]))
        at = at if old is None else old
    return value


def _pairs(had: Sequence[Any], wanted: Sequence[Any]) -> list[tuple[int | None, int | None]]:
    """Which item of a list became which, in their order: as much as can be stays what it was."""
    first = next(
        (i for i, (a, b) in enumerate(zip(had, wanted, strict=False)) if a != b), min(len(had), len(wanted))
    )
    tail = 0
    while tail < min(len(had), len(wanted)) - first and had[-1 - tail] == wanted[-1 - tail]:
        tail += 1
    n, m = len(had) - first - tail, len(wanted) - first - tail
    middle = _aligned(had[first : first + n], wanted[first : first + m])
    return [
        *((i, i) for i in range(first)),
        *((None if i is None else i + first, None if j is None else j + first) for i, j in middle),
        *((len(had) - k, len(wanted) - k) for k in range(tail, 0, -1)),
    ]


def _aligned(had: Sequence[Any], wanted: Sequence[Any]) -> list[tuple[int | None, int | None]]:
    n, m = len(had), len(wanted)
    if n * m > MOST_PAIRS:
        return [(i if i < n else None, i if i < m else None) for i in range(max(n, m))]
    best = [[0.0] * (m + 1) for _ in range(n + 1)]
    for i in range(n - 1, -1, -1):
        for j in range(m - 1, -1, -1):
            best[i][j] = max(
                best[i + 1][j], best[i][j + 1], best[i + 1][j + 1] + _likeness(had[i], wanted[j])
            )
    out, i, j = list[tuple[int | None, int | None]](), 0, 0
    while i < n or j < m:
        if i < n and j < m and best[i][j] == best[i + 1][j + 1] + _likeness(had[i], wanted[j]):
            out.append((i, j))
            i, j = i + 1, j + 1
        elif i < n and (j == m or best[i][j] == best[i + 1][j]):
            out.append((i, None))
            i += 1
        else:
            out.append((None, j))
            j += 1
    return out


def _likeness(a: Any, b: Any) -> float:
    """How much of one item is in the other. A little is left for none: an item that was typed over keeps its notes."""
    if isinstance(a, dict) and isinstance(b, dict):
        return 0.01 + sum(bool(a[k] == b[k]) for k in a.keys() & b.keys()) / max(len(a), len(b), 1)
    return 1.01 if a == b else 0.01
