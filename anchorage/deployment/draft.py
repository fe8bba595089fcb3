"""A deployment as it is being typed: every field as raw text, right or wrong, so that nothing typed is ever lost.

A draft is turned into TOML and read by the one reader that files go through. It knows no units and judges nothing.
"""

from __future__ import annotations

import copy
import json
import re
import tomllib
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field
from datetime import date, datetime, time
from typing import Any, Literal

from anchorage.core.errors import InputFaults
from anchorage.core.say import say
from anchorage.core.textfile import load_toml

Form = Literal["text", "number", "flag", "list"]
"""How a field is written in TOML: in quotes, bare, true or false, an array."""
NUMBERS = frozenset({
    "crew.people", "shelter.points_per_side", "shelter.points_per_end", "shelter.openings.front", "shelter.openings.back",
    "shelter.openings.left", "shelter.openings.right", "shelter.lean", "shelter.leg_lean", "shelter.strap.count",
    "shelter.strap.ends", "shelter.strap.angle", "site.humidity", "site.heading", "site.declination", "site.slope",
    "wind.from", "wind.beaufort", "anchorage.placed", "anchorage.line_angle", "anchorage.stack",
    "anchorage.stake.line_angle", "anchorage.stake.pull_angle", "anchorage.stake.lean", "margins.wind", "margins.shelter",
    "margins.ballast", "margins.friction", "margins.stake", "margins.line", "halfway.placed", "snow.return_period",
    "outlook.secure", "outlook.people_out", "policy.secure", "policy.people_out", "shelter.joined.count", "site.exposures[].from", "site.exposures[].to",
    "site.latitude", "site.longitude", "wind.return_period", "snow.winter_wind", "snow.building.slope", "snow.variation",
    "duct[].count", "point[].placed", "test[].angle",
})  # fmt: skip
FLAGS = frozenset({"anchorage.knots", "anchorage.friction_adds", "anchorage.how_detail.stop", "anchorage.how_detail.every_bag", "anchorage.how_detail.on_ground",
                   "snow.holds_down", "snow.pockets", "snow.heated", "snow.slippery", "snow.exceptional",
                   "wind.code_minimum", "deployment.weighed", "deployment.mixed_units", "shelter.spans_lost_foot", "shelter.strap.frame_across", "point[].usable", "point[].on_ground"})  # fmt: skip
LISTS = frozenset({"anchorage.stake.pull_tests", "forecast.lines", "test[].force", "test[].steady"})
BY_POINT = frozenset({"anchorage.placed", "halfway.placed", "anchorage.line_plan"})
"""The same number everywhere, or each point with its own: ``L1 12; R1 10``."""
YES, NO = ("true", "yes", "y"), ("false", "no", "n")
_NUMBER = re.compile(r"[+-]?(?:0|[1-9][0-9]{0,17})(?:\.[0-9]{1,17})?")
_PART = re.compile(r"([^.\[\]]+)(?:\[(\d+)\])?")
_EACH = re.compile(r"([A-Za-z][A-Za-z0-9]{0,9})\s*[:= ]\s*([0-9]{1,6})")
_BARE = re.compile(r"[A-Za-z0-9_-]+")
LONGEST = 1_000_000
"""Characters of a file."""


def template(key: str) -> str:
    """``door[2].is`` -> ``door[].is``: the field whatever the number of the item is."""
    return re.sub(r"\[\d+\]", "[]", key)


def numbered(key: str, n: int) -> str:
    """``door[].is`` -> ``door[2].is``."""
    return key.replace("[]", f"[{n}]", 1)


def number_in(key: str) -> int:
    """The number of the item that a key is in; 0 where it is in none."""
    m = re.search(r"\[(\d+)\]", key)
    return int(m[1]) if m else 0


def form_of(key: str) -> Form:
    """How the text of a field is written."""
    key = template(key)
    if key in NUMBERS or key.startswith("stock."):
        return "number"
    return "flag" if key in FLAGS else "list" if key in LISTS else "text"


@dataclass(frozen=True)
class Draft:
    """Text as typed for each dotted key, and all else that the file holds, kept as it is."""

    typed: Mapping[str, str] = field(default_factory=dict)
    rest: Mapping[str, Any] = field(default_factory=dict)

    def text(self, key: str) -> str:
        """What is typed in a field."""
        return self.typed.get(key, "")

    def with_(self, key: str, text: str) -> Draft:
        """The same with one field changed."""
        return self.over({key: text})

    def over(self, texts: Mapping[str, str]) -> Draft:
        """The same with some fields changed."""
        typed = {**self.typed, **texts}
        return Draft({k: v for k, v in typed.items() if v != ""}, self.rest)


def path_of(key: str) -> list[str | int]:
    """``door[1].is`` -> door, 0, is."""
    out: list[str | int] = []
    for m in _PART.finditer(key):
        out.append(m[1])
        if m[2]:
            out.append(int(m[2]) - 1)
    return out


def _items(text: str) -> list[str]:
    return [p.strip() for p in re.split(r";|,\s+|\n", text) if p.strip()]


def value_of(key: str, text: str) -> Any:
    """The TOML value for what was typed; what does not fit stays text, and the reader says so."""
    plain, form = text.strip(), form_of(key)
    if form == "number" and _NUMBER.fullmatch(plain):
        return float(plain) if "." in plain else int(plain)
    if key in BY_POINT and plain:
        each = [_EACH.fullmatch(item) for item in _items(plain)]
        found = {m[1]: int(m[2]) for m in each if m}
        if len(found) == len(each):
            return found
    if form == "flag" and plain.lower() in (*YES, *NO):
        return plain.lower() in YES
    if form == "list":
        return _items(plain)
    return plain if form != "text" else text.strip(" ")


def text_of(value: Any) -> str | None:
    """What to show in a field for a value of a file; None where it is not for a field."""
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, int | float):
        return repr(value)
    if isinstance(value, str):
        return value
    if isinstance(value, list) and value and all(isinstance(v, str) for v in value):
        return "; ".join(value)
    if (
        isinstance(value, dict)
        and value
        and all(type(v) is int and _EACH.fullmatch(f"{k} {v}") for k, v in value.items())
    ):
        return "; ".join(f"{k} {v}" for k, v in value.items())
    return None


def _get(data: Any, path: list[str | int]) -> Any:
    for part in path:
        if isinstance(part, int):
            data = data[part] if isinstance(data, list) and part < len(data) else None
        else:
            data = data.get(part) if isinstance(data, dict) else None
    return data


def _put(data: dict[str, Any], path: list[str | int], value: Any) -> None:
    place: Any = data
    for i, part in enumerate(path):
        last = i == len(path) - 1
        empty: Any = [] if not last and isinstance(path[i + 1], int) else {}
        if isinstance(part, int):
            while len(place) <= part:
                place.append({})
            if last:
                place[part] = value
            place = place[part]
        else:
            if last:
                place[part] = value
            elif not isinstance(place.get(part), type(empty)):
                place[part] = empty
            place = place[part]


def _drop(data: dict[str, Any], path: list[str | int]) -> None:
    parent, last = _get(data, path[:-1]), path[-1]
    if isinstance(parent, dict):
        parent.pop(last, None)
    elif isinstance(parent, list) and isinstance(last, int):
        parent[last] = {}  # its place is kept until all are read


def _nested(draft: Draft) -> dict[str, Any]:
    """Nested values with every item of a list at its number, the empty ones too."""
    out: dict[str, Any] = copy.deepcopy(dict(draft.rest))
    for key in sorted(draft.typed, key=_order):
        if draft.typed[key].strip():
            _put(out, path_of(key), value_of(key, draft.typed[key]))
    return out


def data_of(draft: Draft) -> dict[str, Any]:
    """Nested values, as tomllib would give them."""
    return {k: v for k, v in full(_nested(draft)).items() if v not in ({}, [])}


def items(draft: Draft, name: str) -> int:
    """The highest number of an item of a list that holds anything."""
    rest = _get(draft.rest, [*path_of(name)])
    typed = (number_in(k) for k in draft.typed if k.startswith(f"{name}["))
    return max((len(rest) if isinstance(rest, list) else 0), *typed, 0)


def typed_key(draft: Draft, key: str) -> str:
    """The field that a key of the file stands for: items that are empty are not in the file, so its numbers may be lower."""
    n = number_in(key)
    if not n:
        return key
    name = key.split("[", 1)[0]
    held = _get(_nested(draft), path_of(name))
    there = [i + 1 for i, v in enumerate(held) if full(v) != {}] if isinstance(held, list) else []
    return numbered(template(key), there[n - 1]) if n <= len(there) and key.count("[") == 1 else key


def without(draft: Draft, name: str, n: int) -> Draft:
    """The same with an item of a list taken out; those after it move up."""
    typed = {}
    for key, text in draft.typed.items():
        at = number_in(key) if key.startswith(f"{name}[") else 0
        if at != n or not at:
            typed[numbered(template(key), at - 1) if at > n else key] = text
    rest = copy.deepcopy(dict(draft.rest))
    held = _get(rest, path_of(name))
    if isinstance(held, list) and n <= len(held):
        del held[n - 1]
    return Draft(typed, _tidy(rest))


def full(data: Any) -> Any:
    """Without empty tables, and without the empty places of lists."""
    if isinstance(data, dict):
        return {k: w for k, v in data.items() if (w := full(v)) not in ({}, []) or k in _MAY_BE_EMPTY}
    if isinstance(data, list):
        return [w for v in data if (w := full(v)) != {}]
    return data


def _order(key: str) -> tuple[int, str]:
    first = re.split(r"[.\[]", key)[0]
    return (TABLES.index(first) if first in TABLES else len(TABLES), key)


_MAY_BE_EMPTY = ("placed",)
TABLES = ("deployment", "shelter", "door", "duct", "site", "wind", "snow", "anchorage", "point", "keep_clear", "margins", "stock",
          "times", "crew", "policy", "halfway", "forecast", "outlook")  # fmt: skip


def read_draft(text: str, keys: Iterable[str], file: str = "deployment") -> Draft:
    """A draft from the text of a file. keys: the fields there are. Faults come as ``InputFaults``."""
    if len(text) > LONGEST:
        raise InputFaults.of(file, "file", say("more than 1 MB"), say("a deployment file is a page of text"))
    try:
        data = load_toml(text)
    except tomllib.TOMLDecodeError as e:
        raise InputFaults.of(
            file, say("not readable as TOML"), str(e), say('write  key = "value"  one to a line')
        ) from None
    typed: dict[str, str] = {}
    for key in _expanded(keys, data):
        path = path_of(key)
        shown = text_of(_get(data, path))
        if shown is not None:
            typed[key] = shown
            _drop(data, path)
    return Draft(typed, _tidy(data))


def _expanded(keys: Iterable[str], data: Any) -> Iterator[str]:
    """Keys of lists once for each item that there is."""
    for key in keys:
        if "[]" not in key:
            yield key
            continue
        held = _get(data, path_of(key.split("[]", 1)[0]))
        yield from (numbered(key, i + 1) for i in range(len(held) if isinstance(held, list) else 0))


def _tidy(data: Any) -> Any:
    """Without tables that are empty now; places in lists stay, so that those after them keep their numbers."""
    if isinstance(data, dict):
        return {
            k: w
            for k, v in data.items()
            if (w := _tidy(v)) != {} and not (isinstance(w, list) and w and all(x == {} for x in w))
        }
    return [_tidy(v) for v in data] if isinstance(data, list) else data


# Writing


def literal(value: Any) -> str:
    """One value as TOML."""
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, str):
        return (
            json.dumps(value, ensure_ascii=False)
            .replace("\x7f", "\\u007f")
            .encode("utf-8", "replace")
            .decode()
        )
    if isinstance(value, dict):
        inside = ", ".join(f"{toml_key(k)} = {literal(v)}" for k, v in value.items())
        return f"{{ {inside} }}" if inside else "{}"
    if isinstance(value, list):
        return f"[{', '.join(map(literal, value))}]"
    if isinstance(value, datetime | date | time):
        return value.isoformat()
    return repr(value)


def row(key: str, value: Any) -> str:
    """One key and its value as a line of TOML."""
    return f"{toml_key(key)} = {literal(value)}"


def toml_key(key: str) -> str:
    """A key as TOML, in quotes where it must be."""
    return key if _BARE.fullmatch(key) else literal(key)


def _table(name: str, data: dict[str, Any]) -> list[str]:
    plain = {k: v for k, v in data.items() if not isinstance(v, dict) or name.count(".") > 0}
    inner = {k: v for k, v in data.items() if k not in plain}
    lines = [f"[{name}]", *(row(k, v) for k, v in plain.items()), ""] if plain or not inner else []
    for k, v in inner.items():
        lines += _table(f"{name}.{toml_key(k)}", v)
    return lines


def item_rows(name: str, data: dict[str, Any]) -> list[str]:
    """An item of an array of tables; inside it all is written in line."""
    return [f"[[{name}]]", *(row(k, v) for k, v in data.items())]


def to_toml(draft: Draft) -> str:
    """The whole draft as TOML, whatever was typed."""
    data = data_of(draft)
    top = [row(k, v) for k, v in data.items() if not (isinstance(v, dict) or is_tables(v))]
    lines = [*top, ""] if top else []
    for name in sorted(data, key=_order):
        value = data[name]
        if is_tables(value):
            for part in value:
                lines += [*item_rows(toml_key(name), part), ""]
        elif isinstance(value, dict):
            lines += _table(toml_key(name), value)
    return "\n".join(lines)


def is_tables(value: Any) -> bool:
    """Whether a value is a list of tables."""
    return isinstance(value, list) and bool(value) and all(isinstance(v, dict) for v in value)
