"""The limiting gust by bearing, and the hours of the outlook, as drawings that read in black and white."""

from __future__ import annotations

import math
from collections.abc import Callable
from datetime import UTC, datetime, tzinfo
from itertools import groupby

from anchorage.core.say import dated, say
from anchorage.core.units import System, convert, shown
from anchorage.judging.gusts import number
from anchorage.judging.result import Plan
from anchorage.outlook.result import HourOut, Outlook
from anchorage.paper.drawings import Drawing
from anchorage.paper.sketch import compass
from anchorage.paper.svg import SMALLEST, Canvas

STEPS = (1, 2, 5, 10, 20, 25, 50, 100)
LETTER = {"normal": "", "secure": "S", "people-out": "OUT", "keep-away": "KEEP", "unknown": "?"}
PEN = {"normal": "open", "secure": "light", "people-out": "dark", "keep-away": "solid", "unknown": "open"}


def _unit(system: System) -> str:
    return "mph" if system == "us" else "m/s"


def polar_drawing(plan: Plan, wind_from: float | None, size: float) -> Drawing | None:
    """Rings of gust, and how much the installation takes from each bearing; None where the bearings are not known."""
    found = plan.by_bearing
    if len(found) < 3:
        return None
    unit = _unit(plan.show_units)
    values = [(b, convert("speed", g, unit)) for b, g in found]
    top = max(v for _, v in values)
    step = next((s for s in STEPS if top / s <= 4), STEPS[-1])
    rings = math.ceil(top / step)
    c, mid, high, r = Canvas(size + 8.0, size), size / 2 + 4.0, size / 2, size / 2 - 9.0
    for k in range(1, rings + 1):
        c.circle(mid, high, r * k / rings, "dots")

    def at(bearing: float, value: float) -> tuple[float, float]:
        a, d = math.radians(bearing), r * value / (rings * step)
        return mid + math.sin(a) * d, high - math.cos(a) * d

    for cardinal in (0.0, 90.0, 180.0, 270.0):
        c.line(mid, high, *at(cardinal, rings * step), "thin")
    c.poly([at(b, v) for b, v in values], "thick")
    for b, g in found:
        if b % 45 == 0:
            side = round(
                math.sin(math.radians(b))
            )  # labels end or begin beside the outer ring, and never over it
            x, y = at(b, rings * step * (1 + (1.6 if side else 5.2) / r))
            c.text(
                x,
                y + 1.0,
                f"{compass(b)} {number(plan, g)}",
                2.6,
                anchor=("end", "middle", "start")[side + 1],
                bold=b % 90 == 0,
            )
    for ring in range(1, rings + 1):
        clear = _clear_of(values, ring * step, 3.4 * rings * step / r)
        if clear is not None:
            x, y = at(clear, ring * step)
            c.text(x, y + 1.0, f"{ring * step}", blank=True)
    if wind_from is not None:
        x, y = at(wind_from, rings * step * 1.02)
        c.arrow(x, y, mid + (x - mid) * 0.45, high + (y - high) * 0.45, 3.0, "line")
    return Drawing(c.svg(say("Limiting gust by bearing")), size + 8.0, size, say("Limiting gust by the bearing that the wind comes from"),
                   say("Gust that it takes, {unit}, by where the wind comes from (true north up)", unit=unit))  # fmt: skip


def _clear_of(curve: list[tuple[float, float]], ring: float, room: float) -> float | None:
    """A bearing between the labels at which a ring is not close to the curve; None where it is close everywhere."""
    near = sorted(curve)
    for bearing in range(22, 360, 45):
        around = [v for b, v in near if abs((b - bearing + 180) % 360 - 180) <= 23]
        if around and (max(around) < ring - room or min(around) > ring + room):
            return float(bearing)
    return None


def _time(text: str) -> datetime:
    return datetime.fromisoformat(text)


def _gust_axis(hours: list[HourOut], limit: float | None, unit: str) -> float:
    most = max([h.gust_m_s or 0.0 for h in hours] + ([limit] if limit else []), default=0.0)
    return max(convert("speed", most, unit) * 1.12, 1.0)


def timeline_drawing(
    outlook: Outlook, zone: tzinfo, width: float, height: float = 52.0, most: int = 24
) -> Drawing:
    """Gusts hour by hour against the three levels, with the deadlines."""
    hours, unit = outlook.hours[:most], _unit(outlook.show_units)
    c = Canvas(width, height)
    left, right, top, low = 19.0, 3.0, 18.0, 9.0
    wide, high = width - left - right, height - top - low
    start = _time(hours[0].start) if hours else datetime.fromtimestamp(0, UTC)
    span = max((_time(hours[-1].end) - start).total_seconds(), 3600.0) if hours else 3600.0
    axis = _gust_axis(hours, outlook.limit_m_s, unit)

    def x_of(t: datetime) -> float:
        return left + wide * min(max((t - start).total_seconds() / span, 0.0), 1.0)

    def y_of(value: float) -> float:
        return top + high * (1 - value / axis)

    for h in hours:
        x1, x2 = x_of(_time(h.start)), x_of(_time(h.end))
        gust = 0.0 if h.gust_m_s is None else convert("speed", h.gust_m_s, unit)
        y = y_of(gust)
        c.box(x1, y, x2 - x1, top + high - y, PEN[h.level])
        if h.thunder:
            c.text((x1 + x2) / 2, top - 4.4, "T", bold=True)
    _levels(c, outlook, unit, left, width - right, y_of)
    for level, run in groupby(hours, key=lambda h: h.level):  # over the bars, where no line runs
        at = list(run)
        x1, x2 = x_of(_time(at[0].start)), x_of(_time(at[-1].end))
        if LETTER[level]:
            c.text((x1 + x2) / 2, top - 1.0, LETTER[level], bold=True)
        c.line(x2, top - 3.6, x2, top - 0.4, "thin")
    _hours(c, hours, zone, x_of, top + high)
    _deadlines(c, outlook, zone, start, span, x_of, top, high)
    c.line(left, top, left, top + high, "line")
    c.line(left, top + high, width - right, top + high, "line")
    note = say(
        "Gusts, {unit}, by hour. S: secure. OUT: people out. KEEP: keep away. ?: not known. T: thunder. Levels count snow and thunder too.",
        unit=unit,
    )
    return Drawing(
        c.svg(say("Outlook by hour")), width, height, say("Gusts by the hour with levels and deadlines"), note
    )


def _levels(
    c: Canvas, outlook: Outlook, unit: str, x1: float, x2: float, y_of: Callable[[float], float]
) -> None:
    if outlook.limit_m_s is None:
        return
    shares = outlook.levels
    below = math.inf
    for share, word in ((shares.secure, "secure"), (shares.people_out, "out"), (shares.keep_away, "limit")):
        gust = outlook.limit_m_s * share
        y = y_of(convert("speed", gust, unit))
        c.line(x1, y, x2, y, "halo")  # so that it is seen over a black bar
        c.line(x1, y, x2, y, "dash")
        below = min(y + 1.0, below - SMALLEST)  # lines may be close, their words are not
        c.text(
            x1 - 0.8,
            below,
            f"{word} {shown('speed', gust, outlook.show_units, rounding='down').number}",
            2.0,
            anchor="end",
        )


def _hours(
    c: Canvas, hours: list[HourOut], zone: tzinfo, x_of: Callable[[datetime], float], y: float
) -> None:
    every = 3 if len(hours) > 12 else 1
    day = ""
    for h in hours:
        t = _time(h.start).astimezone(zone)
        if t.hour % every == 0:
            x = x_of(_time(h.start))
            c.line(x, y, x, y + 1.2, "line")
            c.text(x, y + 3.8, f"{t:%H:%M}" if every > 1 else f"{t:%H}", 2.2)
            if f"{t:%a}" != day:
                day = f"{t:%a}"
                c.text(x, y + 7.0, dated(t, "%a %d %b"), 2.4, anchor="start", bold=True)


def _deadlines(
    c: Canvas,
    outlook: Outlook,
    zone: tzinfo,
    start: datetime,
    span: float,
    x_of: Callable[[datetime], float],
    top: float,
    high: float,
) -> None:
    d = outlook.deadlines
    strike = next((n for n in outlook.deadline_notes if n.name == "start_strike_by"), None)
    down = None if strike is None or not strike.asked else strike.lull_by or d.start_strike_by
    marks = [
        (d.secure_by, "SECURE"),
        (down, say("TAKE DOWN")),
        (d.people_out_by, say("PEOPLE OUT")),
    ]
    k = 0
    for text, word in marks:
        if text is None:
            continue
        t = _time(text)
        if not 0 <= (t - start).total_seconds() <= span:
            continue
        x = x_of(t)
        c.line(x, top - 7.6 - k * 3.3, x, top + high, "thick")
        end = x > c.width - 40
        c.text(
            x + (-0.8 if end else 0.8),
            top - 7.8 - k * 3.3,
            say("{word} by {when}", word=word, when=dated(t.astimezone(zone), "%a %H:%M")),
            2.3,
            anchor="end" if end else "start",
            bold=True,
        )
        k += 1
