"""A meter being read, as a person sees it: the screen of a terminal, without colour, and one line for each moment as JSON."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import UTC, datetime, tzinfo
from typing import Any

from anchorage.core.plain import wrap
from anchorage.core.say import ENGLISH, later, say, speaking
from anchorage.core.units import System, show
from anchorage.core.words import LEVELS
from anchorage.deployment.policy import ORDER
from anchorage.meter.learn import Factor
from anchorage.meter.run import Report
from anchorage.meter.store import Minute
from anchorage.meter.trend import Trend
from anchorage.meter.watch import Alarm
from anchorage.outlook.clock import show as show_time
from anchorage.paper.meter_chart import strip_lines
from anchorage.paper.points import table_csv

WHAT: dict[Alarm, str] = {
    "silent": later("NO READING FROM THE METER"),
    "stuck": later("THE METER IS STUCK"),
    "level": later("LEVEL REACHED"),
    "shift": later("THE WIND HAS TURNED"),
}
DO: dict[Alarm, str] = {
    "silent": later(
        "Nothing is known of the wind. Look at the cable and the meter; until it reads again, read by hand and log it."
    ),
    "stuck": later(
        "It says the same, digit by digit. Turn it by hand or free it of ice; until then read by hand and log it."
    ),
    "level": "",
    "shift": later(
        "It comes from more than 45° beside where it did, or where the layout was judged for: look at doors, lines and the side it meets now."
    ),
}
CALM = later(
    "It reads nothing at all. If there is a calm, hold a hand out and log it; if not, the cups are caught or frozen: free them."
)


def iso(at: int) -> str:
    """Seconds since 1970 in UTC."""
    return datetime.fromtimestamp(at, UTC).strftime("%Y-%m-%dT%H:%M:%SZ")


def _near(value: float | None, digits: int = 3) -> float | None:
    return None if value is None else round(value, digits)


def _trend(t: Trend | None) -> dict[str, Any] | None:
    return None if t is None else {"to": t.to, "in_s": round(t.expected), "low_s": round(t.low), "high_s": None if t.high is None else round(t.high)}  # fmt: skip


def _factor(f: Factor | None) -> dict[str, Any] | None:
    return (
        None
        if f is None
        else {"factor": _near(f.middle), "low": _near(f.low), "high": _near(f.high), "n": f.n}
    )


def report_json(r: Report) -> dict[str, Any]:
    """One moment: gust and means as the meter gave them, and what the gust is worth at 10 m against the limit."""
    s = r.seen
    gust, limit, share = (None, None, None) if r.worth is None else r.worth
    finite = share is not None and share != float("inf")
    return {
        "time": iso(r.wall), "gust_m_s": _near(s.wind.gust), "mean_2min_m_s": _near(s.wind.mean_short), "from_deg": _near(s.wind.from_deg, 1),
        "level": s.level, "alarm": s.alarm, "mean_10min_m_s": _near(s.wind.mean), "level_now": s.level_now, "held": r.held,
        "worth_m_s": _near(gust), "limit_m_s": _near(limit), "share": _near(share, 4) if finite else None, "averaging": s.wind.averaging,
        "interval_s": _near(s.wind.interval), "begins_m_s": [_near(m) if m != float("inf") else None for m in r.scale.marks],
        "site_factor": _factor(r.factor), "pairs": r.pairs, "gust_over_mean": None if r.gustiness is None else {**(_factor(r.gustiness.found) or {}), "table": _near(r.gustiness.table)},
        "alarms": list(s.alarms), "events": list(s.events), "reached": list(s.reached), "trend": _trend(s.trend),
        "heard": None if r.heard is None else iso(r.heard), "source": s.state or "open", "notes": list(r.notes), "warnings": list(r.warnings),
    }  # fmt: skip


def speed(value: float | None, system: System, *, up: bool = True) -> str:
    """A speed for people; a dash where there is none."""
    return "--" if value is None else show("speed", value, system, rounding="up" if up else "near")


def long_words(s: float) -> str:
    """``40 min``, ``2 h``."""
    return say("{s} min", s=max(round(s / 60), 1)) if s < 5400 else f"{s / 3600:.1f} h"


def trend_words(t: Trend) -> str:
    """``SECURE in about 40 min (25 min to 2 h)``."""
    high = say("or not at all") if t.high is None else f"to {long_words(t.high)}"
    return say(
        "{to} in about {long_words} if it goes on as in the last hour ({long_words_2} {high})",
        to=LEVELS[t.to],
        long_words=long_words(t.expected),
        long_words_2=long_words(t.low),
        high=high,
    )


def since_words(at: int | None, now: int, zone: tzinfo) -> str:
    """Since when nothing came."""
    return (
        say("nothing has come yet")
        if at is None
        else say("the last reading came at {at}, {now} s ago", at=show_time(at, zone), now=max(now - at, 0))
    )


def alarm_lines(r: Report, zone: tzinfo) -> list[str]:
    """What is wrong or reached, and what to do."""
    s, out = r.seen, list[str]()
    for a in s.alarms:
        text = WHAT[a]
        if a == "silent":
            text += f": {since_words(r.heard, r.wall, zone)}" + (f" ({s.state})" if s.state else "")
        if a == "level":
            text = f"{LEVELS[s.level if s.level != 'unknown' else s.level_now]}"
        out += wrap(f"!!! {text}", "", "    ")
        do = CALM if a == "stuck" and s.calm else DO[a]
        out += wrap(do, "    ", "    ") if do else []
    return out


def screen_lines(r: Report, zone: tzinfo, name: str, wide: int = 80, *, plain: bool = False) -> list[str]:
    """Everything that is known at a moment, for a terminal; what is urgent first and framed."""
    s, system = r.seen, r.scale.w.judge.d.deployment.show_units
    frame = ("#" if s.alarms else "-") * min(wide, 72)
    head = LEVELS[s.level]
    out = [frame, f"{head}   {show_time(r.wall, zone)}   {name}", frame, *alarm_lines(r, zone)]
    if s.wind.gust is not None:
        worth = (
            ""
            if r.worth is None
            else say(
                ", worth {speed} at 10 m of {worth}",
                speed=speed(r.worth[0], system),
                worth=show("speed", r.worth[1], system, rounding="down"),
            )
        )
        out.append(
            say("GUST   {speed} in the last 10 min{worth}", speed=speed(s.wind.gust, system), worth=worth)
        )
        turned = (
            "" if s.wind.from_deg is None else say("   from {from_deg}°", from_deg=f"{s.wind.from_deg:.0f}")
        )
        out.append(
            say(
                "MEAN   {speed} over 2 min, {speed_2} over 10 min{turned}",
                speed=speed(s.wind.mean_short, system),
                speed_2=speed(s.wind.mean, system),
                turned=turned,
            )
        )
    elif not s.alarms:
        out.append(
            say("Waiting for the meter: {since_words}.", since_words=since_words(r.heard, r.wall, zone))
            + (f" {s.state}" if s.state else "")
        )
    if r.hour:
        out += ["", *strip_lines(r.hour, r.scale.marks, system, r.wall, min(wide, 78), plain=plain), ""]
    begins = ", ".join(
        f"{LEVELS[k]} {(say('never') if m == float('inf') else show('speed', m, system, rounding='down'))}"
        for k, m in zip(ORDER[1:], r.scale.marks, strict=True)
    )
    out += wrap(
        say("On this meter, {height_text}: {begins}.", height_text=r.scale.mast.height_text, begins=begins)
    )
    if r.held != "normal":
        out += wrap(say("By the record: {held} until an all-clear that counts.", held=LEVELS[r.held]))
    if r.thunder_until is not None and r.thunder_until > r.wall:
        out += wrap(
            say(
                "Thunder: everybody out until {thunder_until} at the earliest.",
                thunder_until=show_time(r.thunder_until, zone),
            )
        )
    if s.trend is not None:
        out += wrap(say("Trend: {trend_words}.", trend_words=trend_words(s.trend)))
    if r.factor is not None:
        out += wrap(
            say(
                "Meter over forecast here: {words} pairs; it warns earlier and moves no level.",
                words=r.factor.words,
            )
        )
    if r.gustiness is not None:
        out += wrap(r.gustiness.words)
    for t in (*r.warnings, *r.notes):
        out += wrap(t, "- ")
    return out


HEAD = ("time_utc", "gust_m_s", "mean_m_s", "from_deg", "gust", "height_m", "source")


@speaking(ENGLISH)
def minutes_csv(minutes: Sequence[Minute], system: System) -> str:
    """A row a minute, empty where nothing was heard; no cell starts a formula."""
    rows = [
        (
            iso(m.at), *("" if x is None else f"{x:.2f}" for x in (m.gust, m.mean)), "" if m.from_deg is None else f"{m.from_deg:.0f}",
            "" if m.gust is None else speed(m.gust, system), "" if m.height is None else f"{m.height:g}", m.source,
        )
        for m in minutes
    ]  # fmt: skip
    return table_csv(HEAD, rows)
