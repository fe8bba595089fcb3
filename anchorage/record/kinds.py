"""The one table of what may be logged, and what the data of each kind may be: log, interface, meter and fleet read it.

A record that was damaged or made by others is read no further than this. Nothing slow is imported here.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass
from typing import Any, Literal

from anchorage.core.closed import STATES
from anchorage.core.say import later

SNOW_KINDS = ("new", "settled", "wet", "slush", "ice")
AFTER = ("shift", "wind", "rain", "snow", "frost", "thaw", "change", later("before people go in"))
AFTER_WEATHER = frozenset({"rain", "snow", "frost", "thaw"})
"""Weather after which what was measured or said of the ground is gone."""
RESULTS = ("passed", "failed")
"""Of an inspection."""
DOORS = ("open", "closed", "in-use")
STRAPS = ("locked", "unlocked")
HOW = ("each", "in-all")
"""What a count without a point is of."""
TESTS = {"drag": "force", "weigh": "mass", "pull": "force", "vane": "pressure", "meter": "speed"}
"""Kinds of test at the site, and what each measures."""
REACHED = ("secure", "people-out", "keep-away")
FASTEST, DEEPEST, STRONGEST, HIGHEST = 100.0, 5.0, 500_000.0, 200.0
"""m/s, m, N, m: beyond them it is a slip of the hand."""
STRONGEST_GUST = 150.0
"""m/s: over any gust that was ever measured near the ground, and the end of what the formulas are for."""
MOST_UNITS = 100_000
LATEST = 7_258_118_400
"""Seconds since 1970 of the year 2200."""

Changes = Literal["", "placed", "doors", "straps", "state", "snow"]


@dataclass(frozen=True)
class Event:
    """One kind of entry. words: what it is called; changes: the part of the installation that it says anew."""

    name: str
    words: str
    fits: Callable[[dict[str, Any]], bool] = lambda _: True
    changes: Changes = ""


def is_time(value: object) -> bool:
    """Whether a value is a time that can be shown."""
    return type(value) is int and 0 <= value < LATEST


def _number(value: object, most: float) -> bool:
    return type(value) in (int, float) and math.isfinite(value) and 0.0 <= value <= most  # type: ignore[arg-type,operator]


def _averaging() -> dict[str, float]:
    from anchorage.deployment.models import AVERAGING_S  # noqa: PLC0415 - slow, and only for wind

    return AVERAGING_S


def _wind(d: dict[str, Any]) -> bool:
    return (
        _number(d.get("speed_m_s"), FASTEST)
        and _number(d.get("height_m"), HIGHEST)
        and float(d["height_m"]) > 0.0
        and isinstance(d.get("averaging"), str)
        and d["averaging"] in _averaging()
        and (d.get("from") is None or _number(d["from"], 360.0))
    )


def _snow(d: dict[str, Any]) -> bool:
    return _number(d.get("depth_m"), DEEPEST) and "typed" in d and d.get("kind") in (None, *SNOW_KINDS)


def _placed(d: dict[str, Any]) -> bool:
    counts = d.get("counts")
    if counts is not None:  # several points, each with its own
        sound = isinstance(counts, dict) and all(
            type(n) is int and 0 <= n <= MOST_UNITS for n in counts.values()
        )
        return (
            sound
            and bool(counts)
            and not {"count", "how", "where"} & d.keys()
            and type(d.get("more", False)) is bool
        )
    return (
        type(d.get("count")) is int
        and 0 <= d["count"] <= MOST_UNITS
        and d.get("how") in (None, *HOW)
        and type(d.get("more", False)) is bool
    )


def _test(d: dict[str, Any]) -> bool:
    return d.get("kind") in TESTS and _number(d.get("value"), math.inf) and "typed" in d


def _inspection(d: dict[str, Any]) -> bool:
    return d.get("after") in (None, *AFTER) and d.get("result") in (None, *RESULTS)


def result_of(d: dict[str, Any]) -> Literal["passed", "failed", "unsaid", "bare"]:
    """What came of an inspection: where words stand in place of a result, they may say that something is wrong.

    bare: neither result nor words, as it was written before there were results; it was taken as done.
    """
    result = d.get("result")
    return result if result is not None else "unsaid" if d.get("note") else "bare"


def _meter(d: dict[str, Any]) -> bool:
    mark = d.get("from")
    return (
        _number(d.get("height_m"), HIGHEST) and d["height_m"] > 0.0 and (mark is None or _number(mark, 360.0))
    )


def _pair(d: dict[str, Any]) -> bool:
    return all(_number(d.get(k), FASTEST) for k in ("speed_m_s", "forecast_m_s")) and "typed" in d


def _correct(d: dict[str, Any]) -> bool:
    return type(d.get("entry")) is int and d["entry"] >= 1


EVENTS: dict[str, Event] = {
    e.name: e
    for e in (
        Event("setup", later("set-up done")),
        Event("wind", later("wind"), _wind),
        Event("snow", later("snow on the roof"), _snow, "snow"),
        Event("pull-test", later("pull test"), lambda d: _number(d.get("force_n"), STRONGEST)),
        Event("test", later("test"), _test),
        Event("inspection", later("inspection"), _inspection),
        Event("action", later("action")),
        Event("placed", later("placed"), _placed, "placed"),
        Event("doors", later("doors"), lambda d: d.get("doors") in DOORS, "doors"),
        Event("straps", later("straps"), lambda d: d.get("straps") in STRAPS, "straps"),
        Event("state", later("ground"), lambda d: d.get("state") in STATES, "state"),
        Event("thunder", later("thunder")),
        Event("meter", later("the meter on its pole"), _meter),
        Event("pair", later("meter against forecast"), _pair),
        Event("crossing", later("the meter crossed a level"), lambda d: d.get("level") in REACHED),
        Event("hand-over", later("hand-over"), lambda d: d.get("relief") is None or is_time(d["relief"])),
        Event("all-clear", later("all-clear")),
        Event("coming-down", later("taking down begun")),
        Event("struck", later("taken down")),
        Event("correct", later("correction"), _correct),
        Event("note", later("note")),
    )
}
"""Every event, in the order in which they are offered."""
CALLED: dict[str, str] = {
    **dict.fromkeys(("gust", "gusts", "reading", "calm", "speed"), 'wind "12 mph" --averaging peak'),
    "lightning": "thunder", "rain": "state wet", "rained": "state wet", "ice": "state ice", "inspected": "inspection passed", "check": "inspection passed",
    "clear": "all-clear", "allclear": "all-clear", "up": "setup", "set-up": "setup", "down": "struck", "taken-down": "struck", "handover": "hand-over --to NAME",
    "door": "doors shut", "strap": "straps locked", "counted": "placed 12 --each", "bags": "placed 12 --each", "pull": 'pull-test "600 lbf" --where L2',
}  # fmt: skip
"""What people call an event, and what is typed for it."""
PHASES = ("not-up", "going-up", "up", "coming-down", "down")
"""How far the work is, in its order."""
MENDED = frozenset({"setup", "action", "placed"})
"""What may have mended what an inspection found."""


def fits(event: str, data: dict[str, Any]) -> bool:
    """Whether the data of an entry are of the kinds and within the bounds that its event is written with."""
    texts = ("note", "where", "to", "typed", "height", "watch")
    if not all(isinstance(data[k], str) for k in texts if k in data):
        return False
    if not all(type(data.get(k, False)) is bool for k in ("same", "only")):
        return False
    return EVENTS[event].fits(data) if event in EVENTS else True
