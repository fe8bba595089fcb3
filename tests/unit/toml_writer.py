"""A deployment as nested dicts, written as TOML: for tests that change one thing of a file that is right."""

from __future__ import annotations

import copy
import json
import tomllib
from typing import Any

from anchorage.demo import demo_text


def demo(name: str, **changes: Any) -> dict[str, Any]:
    """A demo with changes: ``shelter__ridge="2 ft"`` sets a key, None takes it out."""
    data = tomllib.loads(demo_text(name))
    for path, value in changes.items():
        put(data, path.split("__"), value)
    return data


def put(data: dict[str, Any], path: list[str], value: Any) -> None:
    """Set or, with None, delete a value deep in a dict."""
    *tables, key = path
    for name in tables:
        data = data.setdefault(name, {})
    if value is None:
        data.pop(key, None)
    else:
        data[key] = copy.deepcopy(value)


def written(data: dict[str, Any]) -> str:
    """TOML of a dict; nested dicts inline, so that there is one line for each key of a table."""
    lines = []
    for key, value in data.items():
        lines += (
            [f"[{_key(key)}]", *(f"{_key(k)} = {_value(v)}" for k, v in value.items())]
            if isinstance(value, dict)
            else []
        )
    first = [f"{_key(k)} = {_value(v)}" for k, v in data.items() if not isinstance(v, dict)]
    return "\n".join([*first, *lines]) + "\n"


def _key(key: str) -> str:
    return json.dumps(key, ensure_ascii=False).replace("\x7f", "\\u007f")


def _value(value: Any) -> str:
    if isinstance(value, dict):
        return "{ " + ", ".join(f"{_key(k)} = {_value(v)}" for k, v in value.items()) + " }"
    if isinstance(value, list):
        return "[" + ", ".join(map(_value, value)) + "]"
    if isinstance(value, float):
        return repr(value)  # inf and nan too are TOML
    return _key(value) if isinstance(value, str) else json.dumps(value)
