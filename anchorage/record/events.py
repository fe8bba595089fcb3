"""What may be logged, read strictly at the edge, and how it is said. Values are kept as typed and in SI."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from anchorage.deployment import AVERAGING_S
from anchorage.errors import Fault, InputFaults
from anchorage.record.kinds import AFTER, DEEPEST, FASTEST, HIGHEST, MOST_UNITS, SNOW_KINDS, STATES, STRONGEST
from anchorage.record.store import Entry
from anchorage.sheet.blocks import clean
from anchorage.units import System, read, show
from anchorage.wind_trip import hand_height

__all__ = ["AFTER", "SNOW_KINDS", "STATES", "WORDS", "Said", "data_of", "words_of"]
WORDS = {
    "setup": "set-up done", "wind": "wind", "snow": "snow on the roof", "pull-test": "pull test", "inspection": "inspection", "action": "action",
    "placed": "placed", "doors": "doors", "straps": "straps", "state": "ground", "hand-over": "hand-over", "all-clear": "all-clear",
    "struck": "taken down", "note": "note",
}  # fmt: skip


@dataclass(frozen=True)
class Said:
    """What was typed after ``log FILE``: the event, its value and its options, all as text."""

    event: str
    value: str | None = None
    who: str = ""
    to: str | None = None
    where: str | None = None
    height: str | None = None
    averaging: str | None = None
    bearing: float | None = None
    kind: str | None = None
    after: str | None = None
    note: str | None = None


def _bad(key: str, got: object, accepted: str) -> InputFaults:
    return InputFaults([Fault("log", key, f"read {got!r}" if got is not None else "not given", accepted)])


def _quantity(kind: str, key: str, text: str | None, most: float) -> tuple[float, str]:
    if text is None:
        raise _bad(key, None, f"a {kind} with its unit is needed")
    try:
        value = read(kind, text)
    except ValueError as e:
        raise InputFaults([Fault("log", key, "", str(e))]) from None
    if not 0 <= value <= most:
        raise _bad(key, text, f"from 0 to {show(kind, most, 'si')}")
    return float(value), value.text


def _one_of(key: str, text: str | None, accepted: tuple[str, ...]) -> str:
    if text not in accepted:
        raise _bad(key, text, f"one of {', '.join(accepted)}")
    return str(text)


def _count(text: str | None) -> int:
    if text is None or not (text.isascii() and text.isdigit()) or len(text) > 9 or int(text) > MOST_UNITS:
        raise _bad("placed", text, "a whole number of units at a point")
    return int(text)


def _wind(s: Said) -> dict[str, Any]:
    speed, typed = _quantity("speed", "wind", s.value, FASTEST)
    height, height_text = (
        (hand_height(), "by hand") if s.height is None else _quantity("length", "--height", s.height, HIGHEST)
    )
    if height < 1.0:
        raise _bad("--height", s.height, "at least 1 m over the ground")
    averaging = "3 s" if s.averaging is None else _one_of("--averaging", s.averaging, tuple(AVERAGING_S))
    if s.bearing is not None and not 0 <= s.bearing <= 360:
        raise _bad("--from", s.bearing, "degrees from 0 to 360 that the wind comes from")
    return {
        "speed_m_s": speed,
        "typed": typed,
        "height_m": height,
        "height": height_text,
        "averaging": averaging,
        "from": s.bearing,
    }


def _snow(s: Said) -> dict[str, Any]:
    depth, typed = _quantity("length", "snow", s.value, DEEPEST)
    kind = None if s.kind is None else _one_of("--kind", s.kind, SNOW_KINDS)
    return {"depth_m": depth, "typed": typed, "kind": kind}


def _pull(s: Said) -> dict[str, Any]:
    force, typed = _quantity("force", "pull-test", s.value, STRONGEST)
    return {"force_n": force, "typed": typed}


def data_of(s: Said, points: tuple[str, ...]) -> dict[str, Any]:
    """The data of an entry. Raises ``errors.InputFaults``. points: the ids of the anchor points."""
    if not s.who.strip():
        raise _bad("--who", None, "the name of the person who says so")
    if s.where is not None and s.where not in points:
        raise _bad("--where", s.where, f"one of {', '.join(points)}")
    data: dict[str, Any] = {}
    match s.event:
        case "wind":
            data = _wind(s)
        case "snow":
            data = _snow(s)
        case "pull-test":
            data = _pull(s)
        case "placed":
            data = {"count": _count(s.value)}
        case "doors":
            said = "closed" if s.value == "shut" else s.value
            data = {"doors": _one_of("doors", said, ("open", "closed"))}
        case "straps":
            data = {"straps": _one_of("straps", s.value, ("locked", "unlocked"))}
        case "state":
            data = {"state": _one_of("state", s.value, STATES)}
        case "inspection":
            data = {"after": _one_of("--after", s.after, AFTER) if s.after is not None else None}
        case "hand-over":
            if not (s.to or "").strip():
                raise _bad("--to", None, "the name of the person who takes over")
            data = {"to": clean(str(s.to))}
    more = (
        s.value
        if s.event in ("setup", "action", "note", "all-clear", "struck", "inspection", "hand-over")
        else None
    )
    note = " ".join(x for x in (more, s.note) if x)
    if s.event in ("note", "action") and not note.strip():
        raise _bad(s.event, None, "what was done or seen, in words")
    if note:
        data["note"] = clean(note)
    if s.where is not None:
        data["where"] = s.where
    return data


def words_of(e: Entry, system: System) -> str:
    """An entry in words."""
    d = e.data
    place = f" at {d['where']}" if "where" in d else ""
    match e.event:
        case "wind":
            typed, speed = str(d.get("typed", "")), float(d.get("speed_m_s", 0.0))
            height = str(d.get("height", ""))
            how = "peak" if d.get("averaging") == "3 s" else f"{d.get('averaging')} mean"
            same = show("speed", speed, system, rounding="up")
            text = f"wind {typed if typed == same else f'{typed} ({same})'} {how}, {height}" + (
                "" if d.get("from") is None else f", from {d['from']:g}°"
            )
        case "snow":
            text = f"snow on the roof {d.get('typed', '')}" + (f", {d['kind']}" if d.get("kind") else "")
        case "pull-test":
            text = f"pull test {d.get('typed', '')}"
        case "placed":
            text = f"placed {d.get('count', '')} at {'each point' if not place else ''}".removesuffix(" at ")
        case "doors" | "straps" | "state":
            text = f"{WORDS[e.event]} {d.get(e.event, '')}"
        case "inspection":
            text = "inspection" + (f" after {d['after']}" if d.get("after") else "")
        case "hand-over":
            text = f"hand-over to {d.get('to', '')}"
        case _:
            text = WORDS.get(e.event, e.event)
    note = f": {d['note']}" if d.get("note") else ""
    return f"{text}{place}{note}"
