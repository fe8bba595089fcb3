"""Aerodrome forecast (TAF, WMO FM 51).

FM supersedes; across the whole of a BECMG window the worse of before and after counts; TEMPO and PROB count in full.
A wind-shear group (WS010/31022KT) is a wind at height and not the wind at the ground; whether it comes down nobody says: unknown.
TX and TN: the lowest that is said counts in every hour.
"""

from __future__ import annotations

import re
from dataclasses import dataclass, field

from anchorage.core.errors import InputFaults
from anchorage.core.say import later, say
from anchorage.holding.ground import freezes_at
from anchorage.outlook import aviation
from anchorage.outlook.clock import DAY, HOUR, day_time
from anchorage.outlook.hours import Forecast, Hazard, Span
from anchorage.outlook.remarks import Account
from anchorage.outlook.untrusted import refuse
from anchorage.outlook.windgroup import WindGroup, looks_like_wind, read_wind

LONGEST = 30 * HOUR
"""Of a valid period; the code has 24 and 30 h."""
MOST_GROUPS = 400
_VALID = re.compile(r"(?a)(\d\d)(\d\d)/(\d\d)(\d\d)")
_ISSUED = re.compile(r"(?a)(\d\d)(\d\d)(\d\d)Z")
_FM = re.compile(r"(?a)FM(\d\d)(\d\d)(\d\d)")
_PROB = re.compile(r"(?a)PROB(\d\d)")
_GLUED = re.compile(r"(?a)(PROB\d\d|TEMPO|BECMG|INTER)((?:TEMPO)?)(\d{4}/\d{4})")
_AHEAD = re.compile(
    r"(?a)(?:RMK|NXT|NEXT|FCST|FCSTS|BY|BASED|ON|AUTO|OBS|AMD|AMDS|AMDT|NOT|SKED|SKEDS|AVBL|LAST|NO|AFT|UNTIL|LIMITED|METWATCH|TIL|LTD|TO|WX|CIG|VIS|AND|WIND|"
    r"CLD|COR|CNCLD|NIL|SCHED|THE|FOR|FROM|ISSUED|AT|UNAVBL|INFO|PTLY|DUE|CNF|FN\d{5}|\d{2}Z|\d{4}Z?|\d{6}Z?|\d{4}/\d{4}|[/.,-]+|T\d{2}(?:/\d{2})?|M?\d{1,2}|Q\d{4}|QFE\d*)"
)
"""What stands in the remarks of a TAF: when the next one comes, and what it is made from."""
AHEAD = ("NOT", "SKED", "AVBL", "LAST", "NXT", "NEXT", "LIMITED", "FCST", "AMDS", "NO")
"""Words with which a TAF begins to speak of itself."""
STANDING = (
    later(
        "A TAF gives the most probable value for some 5 miles round an aerodrome; a chance under 30 % is not coded."
    ),
    later("A TAF is not amended for gusts up to 10 kt over what it says."),
)


@dataclass
class _Group:
    """One stretch of the forecast, as coded."""

    kind: str
    start: int
    end: int
    winds: list[WindGroup] = field(default_factory=list)
    weather: list[tuple[str, str]] = field(default_factory=list)
    """Each with its place in the text."""
    omens: list[tuple[str, str]] = field(default_factory=list)
    """Clouds that thunder and wind shear, each with its place in the text."""
    nsw: bool = False


class _Taf:
    def __init__(self, text: str, name: str, now: int) -> None:
        self.name, self.now = name, now
        self.tokens = text.upper().replace("=", " ").split()[: MOST_GROUPS + 1]
        self.at = 0
        self.a = Account()
        self.glued: list[str] = []
        self.ahead = False
        self.last_fm = 0
        self.heat: dict[str, list[float]] = {"X": [], "N": []}
        if len(self.tokens) > MOST_GROUPS:
            raise refuse(
                name, "TAF", say("more than {most_groups} groups", most_groups=MOST_GROUPS), say("one TAF")
            )

    def key(self) -> str:
        return say("group {at} of the TAF", at=self.at + 1)

    def token(self) -> str:
        return self.tokens[self.at] if self.at < len(self.tokens) else ""

    def header(self) -> None:
        while self.token() in ("TAF", "AMD", "COR", "RTD"):
            self.at += 1
        first = self.at
        if not aviation.STATION.fullmatch(self.token()):
            raise refuse(self.name, self.key(), self.token(), say("the four letters of a station"))
        self.station = self.token()
        self.at += 1
        self.issued: int | None = None
        if m := _ISSUED.fullmatch(self.token()):
            self.issued = day_time(int(m[1]), int(m[2]), int(m[3]), self.now)
            if self.issued is None:
                raise refuse(
                    self.name, self.key(), self.token(), say("day, hour and minute of issue, as in 091730Z")
                )
            self.at += 1
        if self.token() in ("NIL", "CNL"):
            raise refuse(
                self.name, self.key(), self.token(), say("a TAF that holds; this one is empty or cancelled")
            )
        self.start, self.end = self.period(self.issued or self.now)
        self.a.use(
            " ".join(self.tokens[: self.at]),
            say("head of the TAF of {tokens}", tokens=self.tokens[first]),
            "head",
        )
        if self.token() in ("NIL", "CNL"):
            raise refuse(
                self.name, self.key(), self.token(), say("a TAF that holds; this one is empty or cancelled")
            )

    def period(self, near: int) -> tuple[int, int]:
        """``0918/1024``, near a time."""
        m = _VALID.fullmatch(self.token())
        accepted = say("a period of days and hours, as in 0918/1024")
        if m is None:
            raise refuse(self.name, self.key(), self.token(), accepted)
        start = day_time(int(m[1]), int(m[2]), 0, near)
        end = None if start is None else day_time(int(m[3]), int(m[4]), 0, start + 12 * HOUR)
        if start is None or end is None or not 0 < end - start <= LONGEST:
            raise refuse(
                self.name,
                self.key(),
                self.token(),
                accepted + say(", of at most {longest} h", longest=LONGEST // HOUR),
            )
        self.at += 1
        return start, end

    def inside(self, start: int, end: int, said: str) -> None:
        if not self.start <= start < end <= self.end:
            raise refuse(self.name, self.key(), said, say("a time within the valid period of the TAF"))

    def change(self) -> _Group | None:
        """The head of a group of change, if there is one here."""
        said = self.token()
        if m := _FM.fullmatch(said):
            at = day_time(int(m[1]), int(m[2]), int(m[3]), self.start + DAY // 2)
            if at is None:
                raise refuse(self.name, self.key(), said, say("FM, day, hour and minute, as in FM091930"))
            self.inside(at, self.end, said)
            if at <= self.last_fm:
                raise refuse(self.name, self.key(), said, say("FM groups in the order of their times"))
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

    def garbled(self) -> _Group | None:
        """A group of change whose word is not understood: what is in it counts for its period, and the rest is unknown."""
        said, here, after = self.token(), self.key(), self.tokens[self.at + 1 : self.at + 2]
        glued = re.search(r"(?a)\d{4}/\d{4}", said)
        if glued is None and not (after and _VALID.fullmatch(after[0]) and aviation.harmless(said) is None and not aviation.is_weather(said)
                                  and not looks_like_wind(said)):  # fmt: skip
            return None
        words = said if glued else f"{said} {after[0]}"
        mark = self.at
        self.at += 0 if glued else 1
        try:
            if glued:
                self.tokens[self.at] = glued[0]
            start, end = self.period(self.start)
            if not self.start <= start < end <= self.end:
                raise refuse(self.name, here, words, say("a time within the TAF"))
        except InputFaults:
            start, end = self.start, self.end
            self.at = mark + (1 if glued else 2)
        self.a.unread(words, here, start, self.end)
        return _Group("?", start, end)

    def groups(self) -> list[_Group]:
        out = [_Group("", self.start, self.end)]
        while self.at < len(self.tokens):
            mark, key = self.at, self.key()
            if (clear := _GLUED.fullmatch(self.token())) is not None:
                self.tokens[self.at : self.at + 1] = [x for x in clear.groups() if x]
                self.glued.append(clear[0])
            if (head := self.change()) is not None:
                out.append(head)
                self.a.use(
                    self.glued.pop() if self.glued else " ".join(self.tokens[mark : self.at]), key, "time"
                )
                continue
            if (head := self.garbled()) is not None:
                out.append(head)
                continue
            said, here = self.token(), out[-1]
            if said == "RMK":
                self.remarks(here)
                break
            if aviation.is_weather(said):
                here.weather.append((said, key))
            elif aviation.omen(said) is not None:
                here.omens.append((said, key))
            elif (found := aviation.extreme(said)) is not None:
                self.heat[found[0]].append(found[1])
                self.a.use(said, key, "temperature")
            elif said in ("NSW", "CAVOK"):
                here.nsw = True
                self.a.use(said, key, "weather")
            elif (
                (looks_like_wind(said) and not said.startswith("WS"))
                or (len(said) > 4 and said[:5].isdigit() and aviation.harmless(said) is None)
                or said[:3] in ("VRB", "WND")
            ):
                here.winds.append(read_wind(said.removeprefix("WND"), self.name, key))
                self.a.use(said, key, "gust")
            elif (why := aviation.harmless(said)) is not None:
                self.a.leave(said, key, why)
            elif self.ahead or said in AHEAD:
                self.ahead = True
                self.remark(here)
            else:
                self.a.unread(
                    said, key, here.start, here.end if here.kind not in ("", "FM", "BECMG") else self.end
                )
            self.at += 1
        return out

    def coldest(self) -> float | None:
        """The lowest temperature that is said (degC), for every hour. A highest alone says nothing of the others unless it freezes."""
        if self.heat["N"]:
            return min(self.heat["N"] + self.heat["X"])
        low = min(self.heat["X"], default=None)
        return low if low is not None and low <= freezes_at() else None

    def remark(self, here: _Group) -> None:
        """One word of what stands after the groups."""
        said, key = self.token(), self.key()
        if _AHEAD.fullmatch(said):
            self.a.leave(said, key, "times of its own")
        elif aviation.omen(said) is not None:
            here.omens.append((said, key))
        elif (found := aviation.extreme(said)) is not None:
            self.heat[found[0]].append(found[1])
            self.a.use(said, key, "temperature")
        elif aviation.is_weather(said):
            here.weather.append((said, key))
        elif (why := aviation.harmless(said)) is not None:
            self.a.leave(said, key, why)
        else:
            self.a.unread(said, key, here.start, self.end)

    def remarks(self, here: _Group) -> None:
        """Everything from RMK on."""
        while self.at < len(self.tokens):
            self.remark(here)
            self.at += 1


def _until(main: list[_Group], i: int, end: int, what: str) -> int:
    """How long a statement of the i-th main group counts: to the next FM, or through the BECMG that restates it."""
    for following in main[i + 1 :]:
        if following.kind == "FM":
            return following.start
        if getattr(following, what) or (what == "weather" and following.nsw):
            stop = next((g.start for g in main[i + 1 :] if g.kind == "FM"), end)
            return min(following.end, stop)
    return end


def _layers(
    groups: list[_Group], end: int
) -> tuple[
    list[tuple[int, int, WindGroup | None]],
    list[tuple[int, int, tuple[str, str]]],
    list[tuple[int, int, tuple[str, str]]],
]:
    """Each wind (None where FM or the start has none), each weather group and each omen with the time for which it counts."""
    passing = [g for g in groups if g.kind not in ("", "FM", "BECMG")]
    main = [groups[0], *sorted((g for g in groups[1:] if g.kind in ("FM", "BECMG")), key=lambda g: g.start)]
    winds: list[tuple[int, int, WindGroup | None]] = [(g.start, g.end, w) for g in passing for w in g.winds]
    weather = [(g.start, g.end, w) for g in passing for w in g.weather]
    omens = [(g.start, g.end, w) for g in passing for w in g.omens]
    for i, g in enumerate(main):
        until = _until(main, i, end, "winds")
        winds += [(g.start, until, w) for w in g.winds]
        if not g.winds and g.kind != "BECMG":
            winds.append((g.start, until, None))
        weather += [(g.start, _until(main, i, end, "weather"), w) for w in g.weather]
        omens += [(g.start, _until(main, i, end, "omens"), w) for w in g.omens]
    return winds, weather, omens


def read_taf(text: str, now: int, name: str = "TAF") -> Forecast:
    """Read one TAF. now: the time it is read at, which settles its month."""
    t = _Taf(text, name, now)
    t.header()
    groups = t.groups()
    gusts: list[Span] = []
    hazards: list[Hazard] = []
    winds, weather, omens = _layers(groups, t.end)
    where = {key: g for g in groups for _, key in g.omens}
    for start, end, wind in winds:
        if wind is None:
            gusts.append(Span(start, end, None, None, say("no wind in this part of the TAF")))
        else:
            gusts.append(aviation.wind_span(wind, start, end))
            hazards += aviation.endless(wind, start, end)
    for start, end, (w, key) in weather:
        aviation.add_weather(t.a, w, start, end, key)
    for start, end, (w, key) in omens:
        aviation.add_omen(t.a, w, start, end, key, beside=[x for x, _ in where[key].weather])
    cold = t.coldest()
    return Forecast(
        "TAF", name, t.issued if t.issued is not None else t.start, t.end, gusts=tuple(gusts), floors=tuple(t.a.floors), thunder=tuple(t.a.thunder),
        hazards=(*hazards, *t.a.hazards), unmeasured=tuple(t.a.unmeasured), temperature=() if cold is None else (Span(t.start, t.end, cold),), wet=tuple(t.a.wet), doubts=tuple(t.a.doubts),
        told=(Span(t.start, t.end, 1.0),), says=frozenset({"gust", "thunder"}),
        no_gust=say("the wind is missing from the TAF"), standing=STANDING, remarks=t.a.close(),
    )  # fmt: skip
