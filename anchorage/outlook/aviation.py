"""What TAF and METAR have in common: weather groups, harmless groups, and a wind as spans."""

from __future__ import annotations

import re

from anchorage.outlook.hours import Hazard, Span
from anchorage.outlook.windgroup import WindGroup

STATION = re.compile(r"(?a)[A-Z][A-Z0-9]{3}")
_KINDS = "DZ|RA|SN|SG|IC|PL|GR|GS|UP|BR|FG|FU|VA|DU|SA|HZ|PY|PO|SQ|FC|SS|DS"
_WEATHER = re.compile(rf"(?a)[+-]?(?:RE|VC)?(?:(?:MI|PR|BC|DR|BL|SH|TS|FZ)+(?:{_KINDS})*|(?:{_KINDS})+)")
_HARMLESS = re.compile(
    r"(?a)(?:(?:FEW|SCT|BKN|OVC|VV|///)(?:\d{3}|///)(?:CB|TCU|///)?|SKC|CLR|NSC|NCD|NSW|CAVOK|NOSIG|AUTO|COR|AMD|AO[12]"
    r"|[PM]?\d{1,2}SM|[PM]?\d/\d{1,2}SM|\d{4}(?:NDV|[NSEW]{1,2})?|////|//////|//|R\d\d[LCR]?/\S{1,12}"
    r"|M?\d\d/(?:M?\d\d|//)?|[AQ]\d{4}|[AQ]////|QNH\d{4}INS|T[XN]M?\d\d/\d{4}Z|WS\d{3}/\d{5,6}KT|WS(?:ALL)?|RWY?\d\d[LCR]?"
    r"|\d{3}V\d{3}|5\d{5}|6\d{5}|W[/M\d]+/[SH]\S{1,3}|TEMPO|BECMG|INTER|=)"
)
SNOWY = ("SN", "SG", "PL", "GS", "FZRA", "FZDZ")


def is_weather(token: str) -> bool:
    """Whether a group is one of present or forecast weather."""
    return len(token) <= 16 and _WEATHER.fullmatch(token) is not None


def is_harmless(token: str) -> bool:
    """Whether a group is known and says nothing of wind, snow or thunder (wind shear at height included)."""
    return len(token) <= 24 and _HARMLESS.fullmatch(token) is not None


def thunder_in(token: str) -> str:
    """Why a weather group sends people out, or nothing."""
    words = {"TS": "thunderstorm", "SQ": "squall", "FC": "funnel cloud or tornado"}
    return next((f"{words[k]} ({token})" for k in words if k in token), "")


def snow_in(token: str) -> str:
    """Why a weather group may load the roof, or nothing; drifting and blowing snow falls from no cloud."""
    bare = token.replace("BLSN", "").replace("DRSN", "").removeprefix("VC")
    return f"snow or ice without an amount ({token})" if any(k in bare for k in SNOWY) else ""


def wind_span(wind: WindGroup, start: int, end: int) -> Span:
    """The gust to reckon with; None where it is missing."""
    words = f"{wind.text}, +10 kt for what no G may hide" if wind.added else wind.text
    return Span(start, end, wind.gust, wind.bearing, words)


def endless(wind: WindGroup, start: int, end: int) -> tuple[Hazard, ...]:
    """``P99KT`` has no upper end: keep away, whatever the limit."""
    return (
        (Hazard(start, end, "keep-away", f"{wind.text}: more than the code can say"),) if wind.endless else ()
    )
