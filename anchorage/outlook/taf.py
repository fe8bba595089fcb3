"""Aerodrome forecast (TAF, WMO FM 51).

FM supersedes; across the whole of a BECMG window the worse of before and after counts; TEMPO and PROB count in full.
A wind-shear group (WS010/31022KT) is a wind at height and is not the wind at the ground.
"""

from __future__ import annotations

import re
from dataclasses import dataclass, field

from anchorage.outlook import aviation
from anchorage.outlook.clock import DAY, HOUR, day_time
from anchorage.outlook.hours import Forecast, Hazard, Span
from anchorage.outlook.untrusted import refuse, seen
from anchorage.outlook.windgroup import WindGroup, looks_like_wind, read_wind

LONGEST = 30 * HOUR
"""Of a valid period; the code has 24 and 30 h."""
MOST_GROUPS = 400
_VALID = re.compile(r"(?a)(\d\d)(\d\d)/(\d\d)(\d\d)")
_ISSUED = re.compile(r"(?a)(\d\d)(\d\d)(\d\d)Z")
_FM = re.compile(r"(?a)FM(\d\d)(\d\d)(\d\d)")
_PROB = re.compile(r"(?a)PROB(\d\d)")
STANDING = (
    "A TAF gives the most probable value for some 5 miles round an aerodrome; a chance under 30 % is not coded.",
    "A TAF is not amended for gusts up to 10 kt over what it says.",
)


@dataclass
class _Group:
    """One stretch of the forecast, as coded."""

    kind: str
    start: int
    end: int
    winds: list[WindGroup] = field(default_factory=list)
    weather: list[str] = field(default_factory=list)
    nsw: bool = False


class _Taf:
    def __init__(self, text: str, name: str, now: int) -> None:
        self.name, self.now = name, now
        self.tokens = text.upper().replace("=", " ").split()[: MOST_GROUPS + 1]
        self.at = 0
        self.unread: list[str] = []
        self.last_fm = 0
        if len(self.tokens) > MOST_GROUPS:
            raise refuse(name, "TAF", f"more than {MOST_GROUPS} groups", "one TAF")

    def key(self) -> str:
        return f"group {self.at + 1} of the TAF"

    def token(self) -> str:
        return self.tokens[self.at] if self.at < len(self.tokens) else ""

    def header(self) -> None:
        while self.token() in ("TAF", "AMD", "COR", "RTD"):
            self.at += 1
        if not aviation.STATION.fullmatch(self.token()):
            raise refuse(self.name, self.key(), self.token(), "the four letters of a station")
        self.station = self.token()
        self.at += 1
        self.issued: int | None = None
        if m := _ISSUED.fullmatch(self.token()):
            self.issued = day_time(int(m[1]), int(m[2]), int(m[3]), self.now)
            if self.issued is None:
                raise refuse(
                    self.name, self.key(), self.token(), "day, hour and minute of issue, as in 091730Z"
                )
            self.at += 1
        if self.token() in ("NIL", "CNL"):
            raise refuse(
                self.name, self.key(), self.token(), "a TAF that holds; this one is empty or cancelled"
            )
        self.start, self.end = self.period(self.issued or self.now)
        if self.token() in ("NIL", "CNL"):
            raise refuse(
                self.name, self.key(), self.token(), "a TAF that holds; this one is empty or cancelled"
            )

    def period(self, near: int) -> tuple[int, int]:
        """``0918/1024``, near a time."""
        m = _VALID.fullmatch(self.token())
        accepted = "a period of days and hours, as in 0918/1024"
        if m is None:
            raise refuse(self.name, self.key(), self.token(), accepted)
        start = day_time(int(m[1]), int(m[2]), 0, near)
        end = None if start is None else day_time(int(m[3]), int(m[4]), 0, start + 12 * HOUR)
        if start is None or end is None or not 0 < end - start <= LONGEST:
            raise refuse(self.name, self.key(), self.token(), accepted + f", of at most {LONGEST // HOUR} h")
        self.at += 1
        return start, end

    def inside(self, start: int, end: int, said: str) -> None:
        if not self.start <= start < end <= self.end:
            raise refuse(self.name, self.key(), said, "a time within the valid period of the TAF")

    def change(self) -> _Group | None:
        """The head of a group of change, if there is one here."""
        said = self.token()
        if m := _FM.fullmatch(said):
            at = day_time(int(m[1]), int(m[2]), int(m[3]), self.start + DAY // 2)
            if at is None:
                raise refuse(self.name, self.key(), said, "FM, day, hour and minute, as in FM091930")
            self.inside(at, self.end, said)
            if at <= self.last_fm:
                raise refuse(self.name, self.key(), said, "FM groups in the order of their times")
            self.at, self.last_fm = self.at + 1, at
            return _Group("FM", at, self.end)
        kind = ""
        if _PROB.fullmatch(said):
            kind = "PROB"
            self.at += 1
        if self.token() in ("TEMPO", "INTER") or (self.token() == "BECMG" and not kind):
            kind = kind or self.token()
            self.at += 1
        if kind:
            start, end = self.period(self.start)
            self.at -= 1
            self.inside(start, end, self.token())
            self.at += 1
            return _Group(kind, start, end)
        if said.startswith(("FM", "PROB")) or said in ("TEMPO", "BECMG", "INTER"):
            raise refuse(
                self.name, self.key(), said, "FM091930, BECMG 1013/1015, TEMPO 0920/0922 or PROB30 1004/1007"
            )
        return None

    def groups(self) -> list[_Group]:
        out = [_Group("", self.start, self.end)]
        while self.at < len(self.tokens):
            if (head := self.change()) is not None:
                out.append(head)
                continue
            said, here = self.token(), out[-1]
            if said == "RMK":
                break
            if aviation.is_weather(said):
                here.weather.append(said)
            elif said in ("NSW", "CAVOK"):
                here.nsw = True
            elif aviation.is_harmless(said):
                pass
            elif looks_like_wind(said) or said[:5].isdigit() or said[:3] in ("VRB", "WND"):
                here.winds.append(read_wind(said.removeprefix("WND"), self.name, self.key()))
            elif not (said.isdigit() and len(said) == 1):  # "1 1/2SM"
                self.unread.append(said)
            self.at += 1
        return out


def _until(main: list[_Group], i: int, end: int, what: str) -> int:
    """How long a statement of the i-th main group counts: to the next FM, or through the BECMG that restates it."""
    for later in main[i + 1 :]:
        if later.kind == "FM":
            return later.start
        if getattr(later, what) or (what == "weather" and later.nsw):
            stop = next((g.start for g in main[i + 1 :] if g.kind == "FM"), end)
            return min(later.end, stop)
    return end


def _layers(
    groups: list[_Group], end: int
) -> tuple[list[tuple[int, int, WindGroup | None]], list[tuple[int, int, str]]]:
    """Each wind (None where FM or the start has none) and each weather group with the time for which it counts."""
    passing = [g for g in groups if g.kind not in ("", "FM", "BECMG")]
    main = [groups[0], *sorted((g for g in groups[1:] if g.kind in ("FM", "BECMG")), key=lambda g: g.start)]
    winds: list[tuple[int, int, WindGroup | None]] = [(g.start, g.end, w) for g in passing for w in g.winds]
    weather = [(g.start, g.end, w) for g in passing for w in g.weather]
    for i, g in enumerate(main):
        until = _until(main, i, end, "winds")
        winds += [(g.start, until, w) for w in g.winds]
        if not g.winds and g.kind != "BECMG":
            winds.append((g.start, until, None))
        weather += [(g.start, _until(main, i, end, "weather"), w) for w in g.weather]
    return winds, weather


def read_taf(text: str, now: int, name: str = "TAF") -> Forecast:
    """Read one TAF. now: the time it is read at, which settles its month."""
    t = _Taf(text, name, now)
    t.header()
    groups = t.groups()
    gusts: list[Span] = []
    thunder: list[Span] = []
    snow: list[Span] = []
    hazards: list[Hazard] = []
    winds, weather = _layers(groups, t.end)
    for start, end, wind in winds:
        if wind is None:
            gusts.append(Span(start, end, None, None, "no wind in this part of the TAF"))
        else:
            gusts.append(aviation.wind_span(wind, start, end))
            hazards += aviation.endless(wind, start, end)
    for start, end, w in weather:
        if said := aviation.thunder_in(w):
            thunder.append(Span(start, end, 1.0, None, said))
        if said := aviation.snow_in(w):
            snow.append(Span(start, end, 1.0, None, said))
    notes = (
        [f"{t.station}: not understood and left aside: {', '.join(seen(u, 16) for u in t.unread[:5])}"]
        if t.unread
        else []
    )
    return Forecast(
        "TAF", name, t.issued if t.issued is not None else t.start, t.end, gusts=tuple(gusts), thunder=tuple(thunder),
        hazards=tuple(hazards), unmeasured=tuple(snow), says=frozenset({"gust", "thunder"}),
        no_gust="the wind is missing from the TAF", notes=tuple(notes), standing=STANDING,
    )  # fmt: skip
