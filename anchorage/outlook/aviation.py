"""What TAF and METAR have in common: weather groups, harmless groups, and a wind as spans."""

from __future__ import annotations

import functools
import re
from collections.abc import Iterable
from typing import Literal

from anchorage.core import tables
from anchorage.core.say import later, say
from anchorage.core.table_files import Danger
from anchorage.outlook.hours import NO_G, Hazard, Span
from anchorage.outlook.remarks import Account, Harmless
from anchorage.outlook.windgroup import WindGroup

STATION = re.compile(r"(?a)[A-Z][A-Z0-9]{3}")
_WEATHER = re.compile(r"(?a)(?P<how>[+-]?)(?P<where>RE|VC)?(?P<parts>(?:[A-Z]{2}){1,5})")
_GROUPS: tuple[tuple[Harmless, str], ...] = (
    ("cloud or sight", (r"(?:FEW|SCT|BKN|OVC|VV|///)(?:\d{3}|///|//|)(?:///|SC|AC|AS|CU|ST|CI|CS|CC|NS)?|RVRNO|SKYCLR|(?:FEW|SCT|BKN|OVC)\d{3}(?:-|V)(?:FEW|SCT|BKN|OVC)?\d{0,3}|SKC|CLR|NSC|NCD|CAVOK"
                       r"|[PM]?\d{1,3}SM|[PM]?\d{1,2}/\d{1,2}SM|\d{1,2}KM|\d{4}(?:NDV|[NSEW]{1,2})?|////|//////|///////|/////////|//|////SM"
                       r"|R\d\d[LCR]{0,2}/\S{1,18}|CIG|VIS|CEILING|\d{1,2}")),
    ("heat or moisture", r"M?\d\d/(?:M?\d\d|//|XX)?|//?/?/?(?:M?\d\d)?|M?\d\d/|T[XN]M?\d\d/\d{2,4}Z|XX/XX"),
    ("pressure", r"[AQ]\d{4}|[AQ]////|QNH\d{4}INS|QNH\d{4}|ALSTG|Q\d{3}|QFE\d{3,4}\S{0,8}"),
    ("wind aloft", r"RWY?\d{0,2}[LCR]?|LDG|TKOF|RWYS?|ALL|5\d{5}|6\d{5}"),
    ("instrument", r"AUTO|COR|CC[A-Z]|RTD|AO[12]|AMD|\$|BLU|WHT|GRN|YLO[12]?|AMB|RED|BLACK(?:BLU|WHT|GRN|YLO|AMB|RED)?|BLACKBLU\+?|BLU\+|NOSIG|=|TAF|METAR|SPECI"),
    ("sea", r"W(?:M?\d\d|//)/[SH](?:\S{1,4})"),
    ("times of its own", r"TEMPO|BECMG|INTER|(?:FM|TL|AT)\d{4}"),
    ("place or station", r"\d{2}(?:CLRD|///|\d{4})(?:\d\d|//)|R\d\d[LCR]?/(?:CLRD|\d{4})(?:\d\d|//)|8[0-9/]{7}"),
)  # fmt: skip
_HARMLESS = [(why, re.compile(rf"(?a)(?:{pattern})")) for why, pattern in _GROUPS]
_OMENS: tuple[tuple[Danger, re.Pattern[str]], ...] = (
    ("thunder", re.compile(r"(?a)(?:FEW|SCT|BKN|OVC|VV|///)?(?:\d{3}|///|//|)(?:CB|TCU)")),
    ("wind", re.compile(r"(?a)WS(?:\d{3}/\d{5,6}(?:KT|MPS)|CONDS|ALL)?(?:/\S{1,12})?")),
)
"""Groups that speak of a danger without saying that it comes: a cloud that thunders, wind shear near the ground."""
_HEAT = re.compile(r"(?a)(M?\d\d)/(?:M?\d\d|//|XX)?")
_EXTREME = re.compile(r"(?a)T([XN])(M?\d\d)/\d{2,4}Z")
VARIABLE = re.compile(r"(?a)\d{3}V\d{3}")


_FALLS = frozenset({"snow", "ice", "rain", "hail"})


@functools.lru_cache(maxsize=2048)
def weather(token: str) -> tuple[tuple[str, ...], bool] | None:
    """Dangers of a weather group by the list of codes, and whether it is light; None where it is no such group.

    Snow that drifts or is blown falls from no cloud, and freezing fog leaves rime without weight: neither loads the roof
    (``underfoot``). Dust and sand that are blown tell of the wind.
    """
    if len(token) > 24:
        return None
    if "/" in token:
        both = [weather(part) for part in token.split("/")]
        if len(both) > 3 or any(b is None for b in both):
            return None
        return tuple(dict.fromkeys(d for b in both if b for d in b[0])), all(b[1] for b in both if b)
    m, listed = _WEATHER.fullmatch(token), tables.codes("metar-weather")
    if m is None:
        return None
    parts = [m["parts"][i : i + 2] for i in range(0, len(m["parts"]), 2)]
    if any(p not in listed for p in parts) or (
        len(parts) == 1 and parts[0] in ("MI", "PR", "BC", "DR", "BL")
    ):
        return None
    if {"BL", "DR"} & set(parts):
        blown = bool({"DU", "SA"} & set(parts))
        parts = [*(p for p in parts if not _FALLS & set(listed[p].danger)), *(["PO"] if blown else [])]
    if "FG" in parts and "FZ" in parts:  # underfoot() says so of the ground
        parts = [p for p in parts if p != "FZ"]
    return tuple(dict.fromkeys(d for p in parts for d in listed[p].danger)), m["how"] == "-"


def words(token: str) -> str:
    """``thunderstorm, rain (TSRA)``."""
    listed = tables.codes("metar-weather")
    bare = re.sub(r"^[+-]?(?:RE|VC)?", "", token).replace("/", "")
    means = [say(listed[bare[i : i + 2]].means) for i in range(0, len(bare), 2) if bare[i : i + 2] in listed]
    return f"{', '.join(dict.fromkeys(means))} ({token})"


def is_weather(token: str) -> bool:
    """Whether a group is one of present or forecast weather."""
    return weather(token) is not None


def harmless(token: str) -> Harmless | None:
    """Why a group says nothing of wind, snow or thunder at the ground; None where it may."""
    return None if len(token) > 24 else next((why for why, p in _HARMLESS if p.fullmatch(token)), None)


def underfoot(token: str) -> Literal["", "ice", "snow"]:
    """What a group of weather says that lies on the ground and weighs nothing on a roof: rime of freezing fog, snow that drifts or is blown."""
    if not is_weather(token):
        return ""
    if re.search(r"(?a)FZ(?:[A-Z]{2})*FG", token):
        return "ice"
    return "snow" if re.search(r"(?a)(?:BL|DR)(?:[A-Z]{2})*(?:SN|SG|GS|PL|GR|UP)", token) else ""


def omen(token: str) -> Danger | None:
    """The danger that a cloud group or a group of wind shear speaks of."""
    return None if len(token) > 24 else next((d for d, p in _OMENS if p.fullmatch(token)), None)


def add_omen(a: Account, token: str, start: int, end: int, at: str, beside: Iterable[str]) -> None:
    """Count such a group: nobody says that it comes to the ground, so its hours are unknown, unless the weather beside it says so."""
    if (danger := omen(token)) is None:
        return
    a.use(token, at, "weather")
    if not any(danger in (weather(w) or ((), False))[0] for w in beside):
        a.danger((danger,), "O", start, end, token)


def _celsius(said: str) -> float:
    return float(said.replace("M", "-"))


def heat(token: str) -> float | None:
    """Air temperature (degC) of a report."""
    m = _HEAT.fullmatch(token)
    return None if m is None else _celsius(m[1])


def extreme(token: str) -> tuple[str, float] | None:
    """``X`` or ``N`` and the highest or lowest temperature (degC) of a TAF."""
    m = _EXTREME.fullmatch(token)
    return None if m is None else (m[1], _celsius(m[2]))


def add_weather(a: Account, token: str, start: int, end: int, at: str) -> None:
    """Count a weather group for its hours."""
    dangers, light = weather(token) or ((), False)
    lies = underfoot(token)
    if dangers or lies:
        a.use(token, at, "weather")
    else:
        a.leave(token, at, "cloud or sight")
    a.danger(dangers, "said", start, end, words(token), light=light)
    if lies:
        a.wet.append(Span(start, end, 1.0, None, lies))


def wind_span(wind: WindGroup, start: int, end: int) -> Span:
    """The gust to reckon with; None where it is missing."""
    said = later(NO_G, said=wind.text) if wind.added else wind.text
    return Span(start, end, wind.gust, wind.bearing, said)


def endless(wind: WindGroup, start: int, end: int) -> tuple[Hazard, ...]:
    """``P99KT`` has no upper end: keep away, whatever the limit."""
    return (
        (Hazard(start, end, "keep-away", say("{wind}: more than the code can say", wind=wind.text)),)
        if wind.endless
        else ()
    )
