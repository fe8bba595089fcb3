"""Deployment files for the tests of snow and straps: a demo with a [snow] table and changes, through the reader."""

from __future__ import annotations

import copy
import json
import tomllib
from typing import Any

from anchorage.demo import demo_text
from anchorage.deployment.models import Deployment
from anchorage.deployment.reader import read_text


def _value(v: Any) -> str:
    if isinstance(v, dict):
        return "{ " + ", ".join(f"{k} = {_value(x)}" for k, x in v.items()) + " }"
    if isinstance(v, list):
        return "[" + ", ".join(map(_value, v)) + "]"
    return json.dumps(v)


def text(data: dict[str, Any]) -> str:
    """TOML, one line a key."""
    lines = []
    for name, part in data.items():
        for one in part if isinstance(part, list) else [part]:
            lines.append(f"[[{name}]]" if isinstance(part, list) else f"[{name}]")
            lines += [f"{k} = {_value(v)}" for k, v in one.items() if v is not None]
    return "\n".join(lines)


def winter_text(**changes: Any) -> str:
    """The winter demo, its snow, policy, lean and straps taken out, then changed: ``snow__depth="4 in"``."""
    data = copy.deepcopy(tomllib.loads(demo_text("winter")))
    data["snow"], data["policy"] = {}, {}
    for key in ("strap", "lean", "leg_lean"):
        data["shelter"].pop(key)
    for path, value in changes.items():
        *parents, key = path.split("__")
        place = data
        for name in parents:
            place = place.setdefault(name, {})
        if value is None:
            place.pop(key, None)
        else:
            place[key] = value
    return text(data)


def winter(**changes: Any) -> Deployment:
    """The same, read."""
    return read_text(winter_text(**changes))
