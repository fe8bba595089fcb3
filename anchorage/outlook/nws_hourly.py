"""NWS JSON in periods (``/forecast/hourly``, ``/forecast``): wind as text, and a gust where the words have one.

Without a gust it can raise a level and never gives go. What a text warns of holds for the whole of its period.
"""

from __future__ import annotations

import re
from typing import Any

from anchorage.core import units
from anchorage.core.say import later, say
from anchorage.outlook.clock import DAY, read_iso
from anchorage.outlook.hours import TURNED_UP, Forecast, Span
from anchorage.outlook.phrases import add_phrases
from anchorage.outlook.remarks import Account, Harmless
from anchorage.outlook.untrusted import number, refuse

POINTS = ("N", "NNE", "NE", "ENE", "E", "ESE", "SE", "SSE", "S", "SSW", "SW", "WSW", "W", "WNW", "NW", "NNW")
MOST = 1000
_SPEED = re.compile(r"(?a)(?:(\d{1,3}) to )?(\d{1,3}) (mph|km/h|kt)")
_GUST = re.compile(
    r"(?a)\bgust(?:s|ing|y)?\b[a-z ]{0,40}?(?:(\d{1,3})(?: ?(?:mph|kt|km/h))? ?(?:to|-|and|or) ?)?(\d{1,3}) ?(mph|km/h|kt|knots)",
    re.IGNORECASE,
)
REASON = later("the hourly forecast has no gust: use the gridpoint forecast of the same place")
_SPEEDS = {"km_h-1": 1 / 3.6, "m_s-1": 1.0, "kt": 1852 / 3600}
_HARMLESS: dict[str, Harmless] = {
    "number": "place or station", "name": "times of its own", "isDaytime": "times of its own", "temperature": "heat or moisture",
    "temperatureUnit": "heat or moisture", "temperatureTrend": "heat or moisture", "dewpoint": "heat or moisture", "relativeHumidity": "heat or moisture",
    "probabilityOfPrecipitation": "chance of an amount", "icon": "place or station",
}  # fmt: skip
_TOP: dict[str, Harmless] = dict.fromkeys(
    ("units", "forecastGenerator", "elevation", "validTimes", "updated", "generatedAt", "@context", "type", "geometry", "id", "properties", "periods"), "place or station")  # fmt: skip


def compass(word: str) -> float | None:
    """Degrees of a point of the compass, or None."""
    return POINTS.index(word.upper()) * 22.5 if word.upper() in POINTS else None


def _wind(said: object, name: str, key: str) -> tuple[float | None, str]:
    """The upper figure of a wind in m/s, as text or as a quantity, and its words."""
    if isinstance(said, dict):
        unit = str(said.get("unitCode")).removeprefix("wmoUnit:")
        if unit not in _SPEEDS:
            raise refuse(
                name,
                f"{key}.unitCode",
                said.get("unitCode"),
                say("one of {speeds}", speeds=", ".join(_SPEEDS)),
            )
        top = 150 / _SPEEDS[unit]
        every = [
            number(said.get(k), name, f"{key}.{k}", 0, top, unit) for k in ("value", "minValue", "maxValue")
        ]
        known = [v for v in every if v is not None]
        return (max(known) * _SPEEDS[unit], f"{max(known):g} {unit}") if known else (None, "")
    m = _SPEED.fullmatch(said) if isinstance(said, str) else None
    if said is not None and m is None:
        raise refuse(name, key, said, say('text such as "15 mph" or "10 to 15 mph"'))
    return (
        (None, "")
        if m is None
        else (max(float(units.read("speed", f"{v} {m[3]}")) for v in (m[1], m[2]) if v), m[0])
    )


def gust_in_words(text: str) -> tuple[float, str] | None:
    """The highest gust that a text speaks of, m/s and its words; None where it speaks of none."""
    found = [(float(units.read("speed", f"{max(int(a or 0), int(b))} {u.lower().replace('knots', 'kt')}")), m[0]) for m in _GUST.finditer(text[:4000])
             for a, b, u in [m.groups()]]  # fmt: skip
    return max(found, default=None)


def read_hourly(data: dict[str, Any], name: str = "NWS hourly") -> Forecast:
    """Read a forecast in periods that is already parsed."""
    properties = data.get("properties", data)
    periods = properties.get("periods") if isinstance(properties, dict) else None
    if not isinstance(properties, dict) or not isinstance(periods, list) or not 0 < len(periods) <= MOST:
        raise refuse(name, "properties.periods", periods, say("a list of periods"))
    said = properties.get("updateTime", properties.get("generatedAt"))
    a = Account()
    gusts: list[Span] = []
    means: list[Span] = []
    told: list[Span] = []
    for i, p in enumerate(periods):
        key = f"periods[{i + 1}]"
        if not isinstance(p, dict):
            raise refuse(name, key, p, say("an object"))
        start = read_iso(p.get("startTime"), name, f"{key}.startTime")
        end = read_iso(p.get("endTime"), name, f"{key}.endTime")
        if not 0 < end - start <= DAY:
            raise refuse(
                name, f"{key}.endTime", p.get("endTime"), say("a time after startTime, within a day")
            )
        speed, words = _wind(p.get("windSpeed"), name, f"{key}.windSpeed")
        bearing = compass(str(p.get("windDirection", "")))
        means.append(
            Span(
                start,
                end,
                speed,
                bearing,
                later(TURNED_UP, said=say("mean wind {words}", words=words)) if words else "",
            )
        )
        found: list[tuple[float, str]] = []
        if p.get("windGust") is not None:
            gust, shown = _wind(p["windGust"], name, f"{key}.windGust")
            found += [(gust, say("gust {shown}", shown=shown))] if gust is not None else []
        whole = True
        for field in ("shortForecast", "detailedForecast"):
            text = p.get(field)
            if text is None:
                whole = whole and field != "shortForecast"
                continue
            if not isinstance(text, str):
                raise refuse(name, f"{key}.{field}", text, "text")
            whole = whole and (bool(text.strip()) or field != "shortForecast")
            if (spoken := gust_in_words(text)) is not None:
                found.append(spoken)
            add_phrases(a, text, start, end, f"{key}.{field}")
        if whole:
            told.append(Span(start, end, 1.0))
        else:
            a.lost(say("the weather in words"), f"{key}.shortForecast", start, end)
        if found:
            top = max(found)
            gusts.append(Span(start, end, top[0], None, top[1]))
        for k, v in p.items():
            if k in ("startTime", "endTime"):
                a.use(str(v)[:60], f"{key}.{k}", "time")
            elif k in ("windSpeed", "windDirection", "windGust"):
                a.use(str(v)[:60], f"{key}.{k}", "mean wind")
            elif k in _HARMLESS:
                a.leave(str(v)[:60], f"{key}.{k}", _HARMLESS[k])
            elif k not in ("shortForecast", "detailedForecast"):
                a.unread(str(v)[:60], f"{key}.{k}", start, end)
    issued = read_iso(said, name, "updateTime") if said is not None else None
    first, last = means[0].start, max(s.end for s in means)
    for k, v in {**data, **properties}.items():
        if k == "updateTime":
            a.use(str(v)[:60], k, "time")
        elif k in _TOP:
            a.leave("" if k in ("properties", "periods") else str(v)[:60], k, _TOP[k])
        else:
            a.unread(str(v)[:60], k, first, last)
    return Forecast(
        "NWS hourly", name, issued, gusts=tuple(gusts), means=tuple(means), floors=tuple(a.floors), thunder=tuple(a.thunder), hazards=tuple(a.hazards),
        unmeasured=tuple(a.unmeasured), wet=tuple(a.wet), doubts=tuple(a.doubts), told=tuple(told),
        says=frozenset({"thunder", *(("gust",) if gusts else ())}), no_gust=REASON, remarks=a.close(),
    )  # fmt: skip
