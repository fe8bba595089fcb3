"""Aerodrome report (METAR, SPECI): what was measured. It stands for the hour that follows it and no longer.

The peak wind in the remarks may be over the gust in the body and counts. A US report without G hides gusts too.
"""

from __future__ import annotations

import re

from anchorage.outlook import aviation
from anchorage.outlook.clock import HOUR, day_time
from anchorage.outlook.hours import Forecast, Hazard, Span
from anchorage.outlook.untrusted import refuse, seen
from anchorage.outlook.windgroup import looks_like_wind, read_wind

HEAD = re.compile(r"(?a)(?:(?:METAR|SPECI)\s+(?:COR\s+)?)?[A-Z][A-Z0-9]{3}\s+\d{6}Z\s")
_TIME = re.compile(r"(?a)(\d\d)(\d\d)(\d\d)Z")
_PEAK = re.compile(r"(?a)(\d{3})(\d{2,3})/(?:\d{2})?\d{2}")
STANDING = ("A METAR is a measurement at an aerodrome, not a forecast: later hours are not known from it.",)


def read_metar(text: str, now: int, name: str = "METAR") -> Forecast:
    """Read one report. now: the time it is read at, which settles its month."""
    tokens = text.upper().replace("=", " ").split()
    if len(tokens) > 200:
        raise refuse(name, "METAR", "more than 200 groups", "one report")
    body = [t for t in tokens if t not in ("METAR", "SPECI")]
    if body[:1] == ["COR"]:
        body = body[1:]
    m = _TIME.fullmatch(body[1]) if len(body) > 1 and aviation.STATION.fullmatch(body[0]) else None
    at = day_time(int(m[1]), int(m[2]), int(m[3]), now) if m else None
    if at is None:
        raise refuse(
            name, "head of the report", " ".join(body[:2]), "station, day and time, as in KDAL 051753Z"
        )
    if "NIL" in body:
        raise refuse(name, "METAR", "NIL", "a report that has something in it")
    end = at + HOUR
    rest = body[2:]
    cut = rest.index("RMK") if "RMK" in rest else len(rest)
    gusts: list[Span] = []
    floors: list[Span] = []
    thunder: list[Span] = []
    snow: list[Span] = []
    hazards: list[Hazard] = []
    unread: list[str] = []
    for i, token in enumerate(rest[:cut]):
        if aviation.is_weather(token):
            if (said := aviation.thunder_in(token)) and not token.startswith("RE"):
                thunder.append(Span(at, end, 1.0, None, said))
            if (said := aviation.snow_in(token)) and not token.startswith("RE"):
                snow.append(Span(at, end, 1.0, None, said))
        elif aviation.is_harmless(token):
            continue
        elif looks_like_wind(token) or token[:5].isdigit() or token.startswith("VRB"):
            wind = read_wind(token, name, f"group {i + 3} of the report")
            gusts.append(aviation.wind_span(wind, at, end))
            hazards += aviation.endless(wind, at, end)
        elif not (token.isdigit() and len(token) == 1):
            unread.append(token)
    if any(re.fullmatch(r"\d{3}V\d{3}", t) for t in rest[:cut]):
        gusts = [s._replace(bearing=None) for s in gusts]
    remarks = rest[cut:]
    for i, group in enumerate(remarks):
        if group == "WND" and remarks[i - 1] == "PK":
            said = remarks[i + 1] if i + 1 < len(remarks) else ""
            peak = _PEAK.fullmatch(said)
            if peak is None:
                raise refuse(name, "PK WND", said, "a peak wind as in PK WND 28045/1536")
            wind = read_wind(f"{peak[1]}{peak[2]}KT", name, "PK WND")
            floors.append(Span(at, end, wind.mean, wind.bearing, f"PK WND {said}"))
        if group.startswith(("LTG", "TS")) and not group.startswith(("TSNO", "TSE")):
            thunder.append(Span(at, end, 1.0, None, f"lightning or thunder ({group})"))
    if not gusts:
        gusts.append(Span(at, end, None))
    notes = (
        [f"{body[0]}: not understood and left aside: {', '.join(seen(u, 16) for u in unread[:5])}"]
        if unread
        else []
    )
    return Forecast(
        "METAR", name, at, None, gusts=tuple(gusts), floors=tuple(floors), thunder=tuple(thunder), hazards=tuple(hazards),
        unmeasured=tuple(snow), says=frozenset({"gust", "thunder"}), no_gust="the wind is missing from the report",
        notes=tuple(notes), standing=STANDING,
    )  # fmt: skip
