"""What may be logged, read strictly at the edge, and how it is said. Values are kept as typed and in SI."""

from __future__ import annotations

import re
from collections.abc import Collection, Mapping
from dataclasses import dataclass
from datetime import UTC, tzinfo
from typing import Any

from anchorage.core.choices import DOORS_ARE, chosen, code_of
from anchorage.core.closed import STATES
from anchorage.core.errors import InputFaults
from anchorage.core.plain import clean
from anchorage.core.say import numeral, say
from anchorage.core.units import System, read, show, upper
from anchorage.core.words import LEVELS, snow_kind, spoken
from anchorage.deployment.models import AVERAGING_S, SPEED_IS
from anchorage.loads.wind import gust_factor
from anchorage.loads.wind_trip import hand_height
from anchorage.outlook.clock import with_date
from anchorage.record.kinds import (
    AFTER,
    DEEPEST,
    DOORS,
    EVENTS,
    FASTEST,
    HIGHEST,
    HOW,
    MOST_UNITS,
    REACHED,
    RESULTS,
    SNOW_KINDS,
    STRAPS,
    STRONGEST,
    STRONGEST_GUST,
    TESTS,
    is_time,
)
from anchorage.record.store import Entry

BY_HAND = "by hand"
"""What is kept for the height of a meter that nobody gave."""
PEAK, MEAN = "peak", "mean"
"""What a reading of a meter is, as people say it; left out, the mean counts: it stands for more."""
AS_PLANNED = "as-planned"
"""Of a count: at each point as many as the plan says."""
WORDS = {e.name: e.words for e in EVENTS.values()}


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
    how: str | None = None
    """Of a count without a point: each, in-all or as-planned."""
    more: bool = False
    """More than [stock] says was brought stands there, and that is so."""
    relief: str | None = None
    """With hand-over: when whoever takes over is relieved."""
    watch: str | None = None
    """With hand-over: who watches wind and sky at night."""
    same: bool = False
    """The name or the sizes in the file were mended, and it is the same shelter."""
    only: bool = False
    """A word of danger is in the words, and there is no danger now."""


def _bad(key: str, got: object, accepted: str) -> InputFaults:
    return InputFaults.of(
        "log", key, say("read {got}", got=repr(got)) if got is not None else say("not given"), accepted
    )


def _quantity(kind: str, key: str, text: str | None, most: float) -> tuple[float, str]:
    if text is None:
        raise _bad(key, None, say("a {kind} with its unit is needed", kind=kind))
    try:
        value = read(kind, text)
    except ValueError as e:
        raise InputFaults.of("log", key, "", str(e)) from None
    if not 0 <= value <= most:
        top = "up" if most == float("inf") else f"to {show(kind, most, 'si')}"
        raise _bad(key, text, say("from 0 {top}", top=top))
    return float(value), value.text


def _one_of(key: str, text: str | None, accepted: tuple[str, ...]) -> str:
    if text not in accepted:
        raise _bad(key, text, say("one of {accepted}", accepted=", ".join(accepted)))
    return str(text)


_POINT_AND_COUNT = re.compile(r"(?a)([A-Za-z]\w{0,9})\s*[:= ]\s*(\d{1,6})")


def at_points(counts: Mapping[str, int]) -> str:
    """``8 at L1, L4; 11 at L2, L3``."""
    alike: dict[int, list[str]] = {}
    for where, n in counts.items():
        alike.setdefault(n, []).append(where)
    return "; ".join(say("{n} at {where}", n=n, where=", ".join(points)) for n, points in alike.items())


def _by_point(s: Said, ids: Collection[str]) -> dict[str, int]:
    """Several points, each with its own count: ``L1 8; R1 11``."""
    parts = [_POINT_AND_COUNT.fullmatch(x.strip()) for x in re.split(r"[;,]", s.value or "")]
    found = [(m[1], int(m[2])) for m in parts if m is not None]
    names = [p for p, _ in found]
    if (
        len(found) < len(parts)
        or len(set(names)) < len(names)
        or not set(names) <= set(ids)
        or any(n > MOST_UNITS for _, n in found)
    ):
        raise _bad(
            "placed",
            s.value,
            say(
                'a whole number of units, or each point once with its number: "L1 8; R1 11"; the points are {points}',
                points=", ".join(ids),
            ),
        )
    if s.where is not None or s.how is not None:
        raise _bad("placed", s.value, say("the points are named with their numbers; nothing else says where"))
    return dict(found)


def _as_planned(s: Said, planned: Mapping[str, int] | None) -> dict[str, int]:
    """What the plan says at each point, once whoever counted says how many that is in all."""
    if planned is None:
        raise _bad(
            "--by-plan",
            None,
            say(
                "the plan has no number that can stand at every point: count, and write it down point by point"
            ),
        )
    total = sum(planned.values())
    if s.where is not None or s.value != str(total):
        raise _bad(
            "placed",
            s.value,
            say(
                "NOT KEPT YET. As planned is {counts}, {total} in all. If that was counted there: placed {total} --by-plan",
                counts=at_points(planned),
                total=total,
            ),
        )
    return dict(planned)


def _count(s: Said, points: int, ids: Collection[str], planned: Mapping[str, int] | None) -> dict[str, Any]:
    """A count at a point, at each, in all, at several points, or as planned: which of them is never guessed."""
    text, more = s.value, ({"more": True} if s.more else {})
    if s.how == AS_PLANNED:
        return {"counts": _as_planned(s, planned), **more}
    if text is not None and any(c.isalpha() for c in text):
        return {"counts": _by_point(s, ids), **more}
    if text is None or not (text.isascii() and text.isdigit()) or len(text) > 9 or int(text) > MOST_UNITS:
        raise _bad("placed", text, say("a whole number of units at a point"))
    n = int(text)
    if s.where is not None and s.how is not None:
        raise _bad(
            "placed",
            say("--where and --{how}", how=s.how),
            say("one of them: at one point, or of all points"),
        )
    if s.where is None and s.how is None and n > 0:
        raise _bad(
            "placed", text,
            say("{n} at each of {points} points, which is {n_2} in all (--each), or {n} in all, which is {n_3} at each (--in-all)? Say which; or --where POINT", n=n, points=points, n_2=n * points, n_3=n // max(points, 1)),
        )  # fmt: skip
    if s.where is not None:
        return {"count": n, **more}
    how = _one_of("--each, --in-all", s.how or "each", HOW)
    return {"count": n, "how": how, **more}


def _test(s: Said) -> dict[str, Any]:
    kind = _one_of("--kind", s.kind, tuple(TESTS))
    value, typed = _quantity(TESTS[kind], "test", s.value, float("inf"))
    return {"kind": kind, "value": value, "typed": typed}


def _correct(s: Said, entries: Collection[int]) -> dict[str, Any]:
    text = (s.value or "").split(":")[0]
    if not (text.isascii() and text.isdigit()) or len(text) > 9 or int(text) not in entries:
        raise _bad("correct", s.value, say("the number of the entry that was wrong, as log FILE prints it"))
    return {"entry": int(text)}


def _wind(s: Said) -> dict[str, Any]:
    speed, typed = _quantity("speed", "wind", None if s.value is None else str(upper(s.value)), FASTEST)
    height, height_text = _height(s.height)
    peak, mean = (SPEED_IS[k][0] for k in ("meter-peak", "meter-average"))
    if s.averaging is not None:
        named = {PEAK: peak, MEAN: mean}.get(s.averaging, s.averaging)
        averaging = _one_of("--averaging", named, (*AVERAGING_S, PEAK, MEAN))
    else:  # of the two that a meter shows the worse; what no mean ever was is a peak
        averaging = mean if speed * gust_factor(mean, "larger", []) <= STRONGEST_GUST else peak
    if speed * gust_factor(averaging, "larger", []) > STRONGEST_GUST:
        raise _bad(
            "wind",
            typed,
            say(
                "no mean wind that was ever measured: NOT KEPT. If it was the peak, say --averaging peak; if the unit slipped, log it again. Until then go by what you see: everybody out of it"
            ),
        )
    if s.bearing is not None and not 0 <= s.bearing <= 360:
        raise _bad("--from", s.bearing, say("degrees from 0 to 360 that the wind comes from"))
    return {
        "speed_m_s": speed, "typed": typed, "height_m": height, "height": height_text, "averaging": averaging, "from": s.bearing,
    }  # fmt: skip


def _height(text: str | None) -> tuple[float, str]:
    """Height of a meter (m), and as it was typed; by hand where none was."""
    if text is None:
        return hand_height(), BY_HAND
    height, typed = _quantity("length", "--height", text, HIGHEST)
    if height < 1.0:
        raise _bad("--height", text, say("at least 1 m over the ground"))
    return height, typed


def _bearing(value: float | None) -> float | None:
    if value is not None and not 0 <= value <= 360:
        raise _bad("--from", value, say("degrees from 0 to 360"))
    return value


def _meter(s: Said) -> dict[str, Any]:
    """How a meter stands: its height, and the bearing of its mark."""
    if s.height is None:
        raise _bad("--height", None, say("how high over the ground the meter stands"))
    height, typed = _height(s.height)
    return {"height_m": height, "height": typed, "from": _bearing(s.bearing)}


def _pair(s: Said) -> dict[str, Any]:
    """The highest gust that a meter read, and what was forecast for then, both at 10 m."""
    read_, _, forecast = (s.value or "").partition(" of ")
    speed, typed = _quantity("speed", "pair", read_ or None, FASTEST)
    expected, also = _quantity("speed", "pair", forecast or None, FASTEST)
    return {"speed_m_s": speed, "forecast_m_s": expected, "typed": f"{typed} of {also}"}


def _snow(s: Said) -> dict[str, Any]:
    depth, typed = _quantity("length", "snow", s.value, DEEPEST)
    kind = None if s.kind is None else _one_of("--kind", s.kind, SNOW_KINDS)
    return {"depth_m": depth, "typed": typed, "kind": kind}


def _pull(s: Said) -> dict[str, Any]:
    force, typed = _quantity("force", "pull-test", s.value, STRONGEST)
    return {"force_n": force, "typed": typed}


def data_of(
    s: Said, points: tuple[str, ...], entries: Collection[int] = (), used: int | None = None, planned: Mapping[str, int] | None = None,
) -> dict[str, Any]:  # fmt: skip
    """The data of an entry. Raises ``errors.InputFaults``.

    points: the ids of the anchor points; entries: the numbers that there are; used: at how many points something can stand.
    """
    _one_of("log", s.event, tuple(EVENTS))
    if not s.who.strip():
        raise _bad("--who", None, say("the name of the person who says so"))
    if s.where is not None and s.where not in points:
        raise _bad("--where", s.where, say("one of {points}", points=", ".join(points)))
    if s.event != "hand-over" and (s.relief is not None or s.watch is not None):
        raise _bad(say("--relief, --watch"), s.event, say("they go with hand-over"))
    data: dict[str, Any] = {}
    match s.event:
        case "wind":
            data = _wind(s)
        case "snow":
            data = _snow(s)
        case "pull-test":
            data = _pull(s)
        case "placed":
            data = _count(s, len(points) if used is None else used, points, planned)
        case "test":
            data = _test(s)
        case "meter":
            data = _meter(s)
        case "pair":
            data = _pair(s)
        case "correct":
            data = _correct(s, entries)
        case "crossing":
            data = {"level": _one_of("crossing", s.value, REACHED)}
        case "doors":
            said = "closed" if s.value == "shut" else s.value
            data = {"doors": _one_of("doors", said, DOORS)}
        case "straps":
            data = {"straps": _one_of("straps", s.value, STRAPS)}
        case "state":
            data = {"state": _one_of("state", s.value, STATES)}
        case "inspection":
            data = {"after": _one_of("--after", s.after, AFTER) if s.after is not None else None}
            came = code_of(s.value or "", "result", RESULTS)
            data |= {"result": came} if came in RESULTS else {}
        case "hand-over":
            if not (s.to or "").strip():
                raise _bad("--to", None, say("the name of the person who takes over"))
            data = {"to": clean(str(s.to))}
            if (s.watch or "").strip():
                data["watch"] = clean(str(s.watch))
    more = (
        s.value
        if s.event
        in (
            "setup", "meter", "action", "note", "all-clear", "coming-down", "struck", "inspection", "hand-over", "thunder",
        )
        else None
    )  # fmt: skip
    more = None if "result" in data else more
    note = " ".join(x for x in (more, s.note) if x)
    if s.event in ("note", "action") and not note.strip():
        raise _bad(s.event, None, say("what was done or seen, in words"))
    if note:
        data["note"] = clean(note)
    if s.where is not None:
        data["where"] = s.where
    if s.same:
        data["same"] = True
    if s.only:
        data["only"] = True
    return data


def words_of(e: Entry, system: System, zone: tzinfo = UTC) -> str:
    """An entry in words."""
    d = e.data
    place = say(" at {where}", where=d["where"]) if "where" in d else ""
    match e.event:
        case "wind":
            typed, speed = str(d.get("typed", "")), float(d.get("speed_m_s", 0.0))
            height = str(d.get("height", ""))
            height = say("by hand") if height == BY_HAND else height
            how = (
                say("peak")
                if d.get("averaging") == "3 s"
                else say("{averaging} mean", averaging=d.get("averaging"))
            )
            same = show("speed", speed, system, rounding="up")
            text = say(
                "wind {typed} {how}, {height}",
                typed=typed if typed == same else f"{typed} ({same})",
                how=how,
                height=height,
            ) + ("" if d.get("from") is None else say(", from {from_}°", from_=numeral(d["from"], "g")))
        case "snow":
            text = say("snow on the roof {typed}", typed=d.get("typed", "")) + (
                f", {snow_kind(d['kind'])}" if d.get("kind") else ""
            )
        case "pull-test":
            text = say("pull test {typed}", typed=d.get("typed", ""))
        case "placed":
            of_all = say("in all") if d.get("how") == "in-all" else say("at each point")
            count = at_points(d["counts"]) if "counts" in d else d.get("count", "")
            text = say("placed {count}", count=count) + ("" if place or "counts" in d else f" {of_all}")
            text += say(", more than was brought before") if d.get("more") else ""
        case "test":
            text = say(
                "test, {kind}: {typed}", kind=chosen(d.get("kind", ""), "test"), typed=d.get("typed", "")
            )
        case "crossing":
            text = say("the meter crossed {get}", get=LEVELS.get(str(d.get("level")), ""))
        case "meter":
            mark = (
                ""
                if d.get("from") is None
                else say(", its mark towards {from_}°", from_=numeral(d["from"], "g"))
            )
            text = say("the meter stands at {height}{mark}", height=d.get("height", ""), mark=mark)
        case "pair":
            text = say(
                "the meter read {typed} was forecast",
                typed=str(d.get("typed", "")).replace(" of ", " where "),
            )
        case "correct":
            text = say("correction: entry {entry} was wrong and does not count", entry=d.get("entry", ""))
        case "doors":
            text = str(DOORS_ARE.get(d.get("doors", ""), WORDS["doors"]))
        case "straps":
            text = say("straps {value}", value=spoken(str(d.get("straps", ""))))
        case "state":
            text = say("ground {value}", value=chosen(str(d.get("state", "")), "state"))
        case "inspection":
            text = say("inspection") + (
                say(" after {after}", after=chosen(d["after"], "after")) if d.get("after") else ""
            )
            text += f" {chosen(d['result'], 'result').upper()}" if d.get("result") else ""
        case "hand-over":
            text = say("hand-over to {to}", to=d.get("to", ""))
            if is_time(d.get("relief")):
                text += say(", relief {at}", at=with_date(d["relief"], zone))
            text += say(", at night {watch} watches", watch=d["watch"]) if d.get("watch") else ""
        case _:
            text = str(WORDS.get(e.event, e.event))
    note = f": {d['note']}" if d.get("note") else ""
    same = say(" (the same shelter: its file was mended)") if d.get("same") else ""
    only = say(" (said to be no danger now)") if d.get("only") else ""
    return f"{text}{place}{note}{same}{only}"
