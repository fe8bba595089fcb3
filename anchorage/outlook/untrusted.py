"""Text from elsewhere: bounded in size and depth, never run, shown inert, refused by line or key."""

from __future__ import annotations

import json
import math
import re
from typing import Any

from anchorage.core.errors import InputFaults
from anchorage.core.say import say

LARGEST = 4_000_000
"""Bytes of a forecast: several times the largest that is published."""
DEEPEST = 24
"""Levels of nesting in JSON."""
_MARKS = re.compile(r'"[^"\\]*+(?:\\.[^"\\]*+)*+(?:"|\\?\Z)|[\[\]{}]', re.DOTALL)
"""A string, also one that never ends, or a bracket; a text is gone through once."""


def _inert(text: str) -> str:
    return "".join(c if c.isprintable() else "?" for c in text)


def seen(value: object, most: int = 60) -> str:
    """What was read, short, and with nothing in it that acts on a terminal."""
    if isinstance(value, dict):
        return say("an object")
    if isinstance(value, list):
        return "a list"
    text = value if isinstance(value, str) else repr(value)
    text = _inert(text[: most + 1])
    return repr(text if len(text) <= most else text[: most - 3] + "...")


def refuse(name: str, key: str, got: object, accepted: str) -> InputFaults:
    """One fault: where it is, what stood there, what may stand there."""
    return InputFaults.of(_inert(name), _inert(key[:120]), say("read {got}", got=seen(got)), accepted)


def decode(raw: bytes, name: str) -> str:
    """Bytes as text; what is too large or no UTF-8 is refused."""
    if len(raw) > LARGEST:
        raise InputFaults.of(
            name,
            "file",
            say("more than {largest} MB", largest=LARGEST // 1000000),
            say("a forecast is smaller"),
        )
    try:
        return raw.decode("utf-8-sig")
    except UnicodeDecodeError as e:
        raise InputFaults.of(
            name,
            say("byte {start}", start=e.start + 1),
            say("not UTF-8 text"),
            say("a forecast as text or JSON"),
        ) from None


def _depth(text: str) -> int:
    deep = most = 0
    for m in _MARKS.finditer(text):
        mark = text[m.start()]
        deep += (mark in "[{") - (mark in "]}")
        most = max(most, deep)
    return most


def load_json(text: str, name: str) -> dict[str, Any]:
    """An object; too deep, a key given twice, NaN and what is no JSON are refused."""
    if _depth(text) > DEEPEST:
        raise InputFaults.of(
            name,
            "file",
            say("nested more than {deepest} deep", deepest=DEEPEST),
            say("a forecast is flatter"),
        )

    def once(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
        out = dict(pairs)
        if len(out) != len(pairs):
            keys = [k for k, _ in pairs]
            twice = next(k for k in keys if keys.count(k) > 1)
            raise refuse(
                name, say("key {twice}", twice=seen(twice)), say("given twice"), say("each key once")
            )
        return out

    def never(word: str) -> float:
        raise refuse(name, "number", word, say("a finite number, or null where there is none"))

    try:
        data = json.loads(text, object_pairs_hook=once, parse_constant=never)
    except json.JSONDecodeError as e:
        raise InputFaults.of(
            name, say("line {lineno}", lineno=e.lineno), e.msg, say("whole, unbroken JSON")
        ) from None
    except (ValueError, RecursionError):
        raise InputFaults.of(
            name, "number", say("too many digits"), say("a number of ordinary length")
        ) from None
    if not isinstance(data, dict):
        raise refuse(name, "file", data, say("a JSON object"))
    return data


def number(value: object, name: str, key: str, low: float, high: float, unit: str = "") -> float | None:
    """A finite number within bounds, or None for null. Text, true and sentinels such as -9999 are refused."""
    if value is None:
        return None
    accepted = say(
        "a number from {low} to {high}{unit}, or null where there is none",
        low=f"{low:g}",
        high=f"{high:g}",
        unit=" " + unit if unit else "",
    )
    if isinstance(value, bool) or not isinstance(value, int | float):
        raise refuse(name, key, value, accepted)
    if isinstance(value, int) and abs(value) > 1e15:
        raise refuse(name, key, say("a huge number"), accepted)
    found = float(value)
    if not math.isfinite(found) or not low <= found <= high:
        raise refuse(name, key, value, accepted)
    return found
