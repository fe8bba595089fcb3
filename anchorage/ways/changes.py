"""Changes of a deployment file: dotted keys with what is to stand there, None where the key is taken out.

A deployment is made of them by reading, so that what is put into the file by hand is the same.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from anchorage.core.errors import InputFaults
from anchorage.core.say import later
from anchorage.deployment.models import Deployment, Part, PointIn
from anchorage.deployment.reader import read_data

Changes = Mapping[str, Any]
NAME = later("this way")


def put(d: Deployment, changes: Changes) -> Deployment:
    """The deployment with these keys changed. Raises ``InputFaults`` where that cannot be."""
    if not changes:
        return d
    data: dict[str, Any] = {name: getattr(d, name) for name in d.model_fields_set}
    for key, value in changes.items():
        first, *rest = key.split(".")
        if not rest:
            data[first] = value
            continue
        if isinstance(data.get(first), Part):
            data[first] = data[first].model_dump(by_alias=True, exclude_unset=True)
        _set(data.setdefault(first, {}), rest, value)
    made = read_data(data, NAME)
    made = made.under(d.record)
    return made.settle() if d.settled else made


def put_quietly(d: Deployment, changes: Changes) -> Deployment | None:
    """The same; None where that cannot be, which is said where the way is judged."""
    try:
        return put(d, changes)
    except InputFaults:
        return None


def _set(place: dict[str, Any], path: list[str], value: Any) -> None:
    *tables, key = path
    for name in tables:
        if not isinstance(place.get(name), dict):
            place[name] = {}
        place = place[name]
    if value is None:
        place.pop(key, None)
    else:
        place[key] = value


def written(part: Part) -> dict[str, Any]:
    """A table of the file as it would be written, every figure exactly as it was read."""
    found: dict[str, Any] = part.model_dump(mode="json", by_alias=True, exclude_unset=True)
    return found


def at_points(
    points: list[PointIn], per_point: Mapping[str, Mapping[str, Any]], *, drop: tuple[str, ...] = ()
) -> list[dict[str, Any]]:
    """The list of points as it would be written: what the file says of each, without some keys, and with these."""
    out = {p.id: {k: v for k, v in written(p).items() if k not in drop} for p in points}
    for i, keys in per_point.items():
        out[i] = {**out.get(i, {"id": i}), **keys}
    return [p for p in out.values() if len(p) > 1]
