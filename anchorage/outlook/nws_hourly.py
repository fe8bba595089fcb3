"""NWS hourly JSON (``/forecast/hourly``): wind as text and no gust at all. It can raise a level and never gives go."""

from __future__ import annotations

import re
from typing import Any

from anchorage import units
from anchorage.outlook.clock import read_iso
from anchorage.outlook.hours import Forecast, Span
from anchorage.outlook.untrusted import refuse

POINTS = ("N", "NNE", "NE", "ENE", "E", "ESE", "SE", "SSE", "S", "SSW", "SW", "WSW", "W", "WNW", "NW", "NNW")
MOST = 1000
_SPEED = re.compile(r"(?a)(?:(\d{1,3}) to )?(\d{1,3}) (mph|km/h|kt)")
REASON = "the hourly forecast has no gust: use the gridpoint forecast of the same place"


def compass(word: str) -> float | None:
    """Degrees of a point of the compass, or None."""
    return POINTS.index(word.upper()) * 22.5 if word.upper() in POINTS else None


def read_hourly(data: dict[str, Any], name: str = "NWS hourly") -> Forecast:
    """Read an hourly forecast that is already parsed."""
    properties = data.get("properties", data)
    periods = properties.get("periods") if isinstance(properties, dict) else None
    if not isinstance(periods, list) or not 0 < len(periods) <= MOST:
        raise refuse(name, "properties.periods", periods, "a list of periods")
    said = properties.get("updateTime", properties.get("generatedAt"))
    means: list[Span] = []
    thunder: list[Span] = []
    snow: list[Span] = []
    for i, p in enumerate(periods):
        key = f"periods[{i + 1}]"
        if not isinstance(p, dict):
            raise refuse(name, key, p, "an object")
        start = read_iso(p.get("startTime"), name, f"{key}.startTime")
        end = read_iso(p.get("endTime"), name, f"{key}.endTime")
        if not 0 < end - start <= 86400:
            raise refuse(name, f"{key}.endTime", p.get("endTime"), "a time after startTime, within a day")
        wind = p.get("windSpeed")
        m = _SPEED.fullmatch(wind) if isinstance(wind, str) else None
        if wind is not None and m is None:
            raise refuse(name, f"{key}.windSpeed", wind, 'text such as "15 mph" or "10 to 15 mph"')
        bearing = compass(str(p.get("windDirection", "")))
        speed = None if m is None else float(units.read("speed", f"{m[2]} {m[3]}"))
        means.append(
            Span(start, end, speed, bearing, "" if m is None else f"mean wind {m[0]}, turned up to a gust")
        )
        words = str(p.get("shortForecast", ""))[:200].lower()
        if "thunder" in words or "t-storm" in words:
            thunder.append(Span(start, end, 1.0, None, "thunderstorms"))
        if any(w in words for w in ("snow", "sleet", "flurries", "wintry", "freezing", "blizzard", "ice")):
            snow.append(Span(start, end, 1.0, None, "snow or ice without an amount"))
    issued = read_iso(said, name, "updateTime") if said is not None else None
    return Forecast(
        "NWS hourly", name, issued, means=tuple(means), thunder=tuple(thunder), unmeasured=tuple(snow), says=frozenset({"thunder"}),
        no_gust=REASON,
    )  # fmt: skip
