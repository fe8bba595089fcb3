"""Aerodrome report (METAR, SPECI): what was measured. It stands for the hour that follows it and no longer.

The peak wind in the remarks may be over the gust in the body and counts. A US report without G hides gusts too. Thunder
that has ended counts for half an hour more.
"""

from __future__ import annotations

import re

from anchorage.core.say import later, say
from anchorage.core.table_files import Danger
from anchorage.deployment.policy import policy_of
from anchorage.outlook import aviation
from anchorage.outlook.clock import HOUR, day_time
from anchorage.outlook.hours import Forecast, Hazard, Span
from anchorage.outlook.remarks import Account, Harmless
from anchorage.outlook.untrusted import refuse
from anchorage.outlook.windgroup import WindGroup, looks_like_wind, read_wind

HEAD = re.compile(r"(?a)(?:(?:METAR|SPECI)\s+(?:COR\s+)?)?[A-Z][A-Z0-9]{3}\s+\d{6}Z\s")
_TIME = re.compile(r"(?a)(\d\d)(\d\d)(\d\d)Z")
_PEAK = re.compile(r"(?a)(\d{3})(\d{2,3})/(?:\d{2})?\d{2}")
_EVENTS = re.compile(r"(?a)(?:[+-]?(?:[A-Z]{2}){1,3}(?:[BE](?:\d{4}|\d{2}|MM))+)+")
_EVENT = re.compile(r"(?a)([+-]?(?:[A-Z]{2}){1,3}?)((?:[BE](?:\d{4}|\d{2}|MM))+)")
_PLACE = r"(?:N|NE|E|SE|S|SW|W|NW)"
_WORDS: tuple[tuple[Harmless, str], ...] = (
    ("instrument", (r"AO[12]A?|TSNO|PWINO|FZRANO|RVRNO|PNO|SLPNO|VISNO|CHINO|RWY\d\d[LCR]?|\$|NOSPECI|FIRST|LAST|ESTMD|EST|SOG|BA|LTGNO|WIND|WNDS?|SENSOR|FIBI|\([A-Z]{2,3}\)|FRQ|OCNL|CONS|VRY|TEST|ACFT|PILOT|RPTD|RPRTD|BY|"
                   r"AUTO|STN|STAFFED|UNSTAFFED|NEXT|RMK|OBS|ALTM|TECH|REPORT|AMD|MISG|MSG|ROF|DATA|CONT|NO|TS/LTG|TEMPO|UNAVBL|UNAVAIL|UNAVAILABLE")),
    ("pressure", r"SLP(?:\d{3}|///)|PRES[RF]R|5\d{4}|5////|Q[FN][EHF]:?\d{2,4}\S{0,8}|QFE|QNH|ALT|A\d{4}|PR"),
    ("heat or moisture", r"T[01]\d{3}(?:[01]\d{3}|////)?|[12][01]\d{3}|[12]////|4[01]\d{3}[01]\d{3}|T\d{2}/\d{2}|98\d{3}|DENSITY|ALT|\d{3,5}FT|HX\d\d|TMP|W/?BT"),
    ("chance of an amount", r"P\d{4}|P////|[67]\d{4}|[67]////|8/[\d/]{3}"),
    ("cloud or sight", (r"VIS|VSBY|SFC|TWR|CIG|CIGS?\d{0,3}V?\d{0,3}|SCT|BKN|FEW|OVC|CLR|\d{3}V\d{3}|[MP]?\d{1,2}(?:/\d{1,2})?(?:V[MP]?\d{1,2}(?:/\d{1,2})?)?(?:SM)?|"
                       r"\d{1,3}/\d{1,3}V\d{1,3}(?:/\d{1,3})?|(?:FEW|SCT|BKN|OVC|FG|BR|HZ|FU|VIRGA|ACSL|ACC|CCSL|SCSL|TCU|CB|CBMAM|CI|CC|CS|AC|AS|NS|SC|ST|CU|CF|SF|FG)\d{3}(?:V(?:FEW|SCT|BKN|OVC))?|"
                       r"(?:(?:AC|AS|CB|CC|CF|CI|CS|CU|FG|BR|NS|SC|SF|ST|TCU|ACC|HZ|FU|IC|DZ|RA)\d){1,6}|(?:FEW|SCT|BKN|OVC|[FSBO])?V(?:FEW|SCT|BKN|OVC)|VIRGA|ACSL|ACC|CCSL|SCSL|TCU|CB|CBMAM|ROTOR|CLD|CLOUD|CLDS|MTN?S?|OBSC|OBSCD|TOP|TOPS|"
                       r"HAZY|FG|BR|HZ|FU|MIFG|BCFG|SMOKE|MIST|FOG|CONTRAILS?|HALO|RVR|R\d\d[LCR]?/\S+|FROIN|LWR|HIR|VRB|VARIABLE|DRK|ASOCTD|HI|TR|TRS?|\d/8|\d{1,3}")),
    ("place or station", rf"(?:{_PLACE}|OHD|VC|VCNTY|DSNT|DSIPTD|ALQDS|ALL|QUADS|QDS|QUAD|AND|THRU|TO|MOV|MOVG|STNRY|STNR|OF|AT|APRT|ARPT|FROM|THE|IN|ON|WITH|SLW|SLOWLY|LCL|RDG|RDGS?|VLY|RWY|MTNS?|{_PLACE}-{_PLACE}(?:-{_PLACE})*|{_PLACE}/{_PLACE})"),
    ("times of its own", r"\d{2}|\d{4}Z?|\d{6}Z?|[BE]\d{2,4}|\d{4}UTC|\d{2}Z|AFT|TIL|UNTIL|INTMT|PAST|HR"),
    ("filler", r"[/\-.,;]+|//+|NIL"),
)  # fmt: skip
_CB = re.compile(r"(?a)(?:[A-Z]{2,3}\d)*CB(?:MAM)?\d?(?:[A-Z]{2,3}\d)*(?:\d{3})?")
"""A cloud that thunders among the remarks, by itself (CB, CBMAM), with its height, or in eighths of the sky (SC4CB2)."""
_REMARKS = [(why, re.compile(rf"(?a)(?:{pattern})")) for why, pattern in _WORDS]
DANGER_WORDS: dict[str, Danger] = {
    "TORNADO": "tornado", "TORNADIC": "tornado", "FUNNEL": "tornado", "WATERSPOUT": "tornado", "WTSPT": "tornado", "TWISTER": "tornado",
    "LTG": "thunder", "LTGIC": "thunder", "LIGHTNING": "thunder", "THUNDER": "thunder", "THUNDERSTORM": "thunder", "TSTM": "thunder",
    "SQUALL": "squall", "SQL": "squall", "HAIL": "hail", "HLSTO": "hail", "SNINCR": "snow", "SNOCLO": "snow", "ICG": "ice", "ICING": "ice", "WSHFT": "wind",
}  # fmt: skip
"""Words of the remarks that warn, whole or as the beginning of a group (LTGICCC)."""
_PEAK_SAID = re.compile(r"(?a)\bPK WND(?: +(\S+))?")


def peak_of(remarks: str, name: str) -> WindGroup | None:
    """The peak wind of the remarks, None where there is none; one that cannot be read is refused."""
    found = _PEAK_SAID.search(remarks)
    return None if found is None else read_peak(found[1] or "", name)


def read_peak(said: str, name: str) -> WindGroup:
    """``28045/1536``."""
    peak = _PEAK.fullmatch(said)
    if peak is None:
        raise refuse(name, "PK WND", said, say("a peak wind as in PK WND 28045/1536"))
    return read_wind(f"{peak[1]}{peak[2]}KT", name, "PK WND")


def events_of(token: str) -> list[tuple[str, ...]]:
    """Dangers of weather that a group of the remarks says to have been there: ``TSB20E49RAB25``."""
    if not _EVENTS.fullmatch(token):
        return []
    return [(aviation.weather(kind) or (("unknown",), False))[0] for kind, _ in _EVENT.findall(token)]


STANDING = (
    later("A METAR is a measurement at an aerodrome, not a forecast: later hours are not known from it."),
)


class _Report:
    def __init__(self, name: str, at: int) -> None:
        self.name, self.at, self.end, self.a = name, at, at + HOUR, Account()
        self.gusts: list[Span] = []
        self.hazards: list[Hazard] = []
        self.temperature: list[Span] = []

    def body(self, tokens: list[str], first: int) -> None:
        """The groups before the remarks."""
        turns = any(aviation.VARIABLE.fullmatch(t) for t in tokens)
        for i, token in enumerate(tokens):
            key = say("group {i} of the report", i=i + first)
            if aviation.VARIABLE.fullmatch(token):
                self.a.use(token, key, "direction")
            elif token.startswith("RE") and aviation.is_weather(token):
                self.past(token, key)
            elif aviation.is_weather(token):
                aviation.add_weather(self.a, token, self.at, self.end, key)
            elif token == "NSW":  # noqa: S105 - a group, no secret
                self.a.leave(token, key, "no weather")
            elif (
                (looks_like_wind(token) and not token.startswith("WS"))
                or (len(token) > 5 and token[:5].isdigit() and aviation.harmless(token) is None)
                or token.startswith("VRB")
            ):
                wind = read_wind(token, self.name, key)
                self.a.use(token, key, "gust")
                self.gusts.append(aviation.wind_span(wind, self.at, self.end))
                self.hazards += aviation.endless(wind, self.at, self.end)
            elif aviation.omen(token) is not None:
                aviation.add_omen(self.a, token, self.at, self.end, key, tokens)
            elif (t := aviation.heat(token)) is not None:
                self.a.use(token, key, "temperature")
                self.temperature.append(Span(self.at, self.end, t))
            elif (why := aviation.harmless(token)) is not None:
                self.a.leave(token, key, why)
            else:
                self.a.unread(token, key, self.at, self.end)
        if turns:
            self.gusts = [s._replace(bearing=None) for s in self.gusts]

    def past(self, token: str, key: str) -> None:
        """Weather that is over: thunder, a squall, a tornado for half an hour; rain and snow wetted the ground."""
        dangers, _ = aviation.weather(token) or ((), False)
        half = int(policy_of().thunder_wait)
        live = [d for d in dangers if d in ("thunder", "tornado", "squall", "hail")]
        self.a.danger(
            live, "said", self.at, self.at + half, say("{words}, just over", words=aviation.words(token))
        )
        self.a.wet += [Span(self.at, self.end, 1.0)] if dangers else []
        self.a.wet += (
            [Span(self.at, self.end, 1.0, None, lies)] if (lies := aviation.underfoot(token)) else []
        )
        if live:
            self.a.use(token, key, "weather")
        else:
            self.a.leave(token, key, "past")

    def minute(self, said: str) -> int:
        """``49`` or ``1749``: the last such time up to the report."""
        if said == "MM":
            return self.at
        back = (
            (self.at // 60 - int(said[-2:])) % 60
            if len(said) == 2
            else (self.at // 60 - int(said[:2]) * 60 - int(said[2:])) % 1440
        )
        return self.at - back * 60

    def events(self, token: str, key: str) -> None:
        """``TSB20E49RAB25``: begun counts as there, ended thunder for half an hour."""
        half = int(policy_of().thunder_wait)
        for kind, times in _EVENT.findall(token):
            last, when = re.findall(r"([BE])(\d{4}|\d{2}|MM)", times)[-1]
            dangers, light = aviation.weather(kind) or (("unknown",), False)
            said = say("{kind}{times} in the remarks", kind=kind, times=times)
            if last == "B":
                self.a.danger(dangers, "said", self.at, self.end, said, light=light)
                continue
            over = self.minute(when)
            live = [d for d in dangers if d in ("thunder", "tornado", "squall", "hail")]
            self.a.danger(live, "said", over, over + half, said)
            self.a.wet += [Span(self.at, self.end, 1.0)] if dangers else []
        self.a.use(token, key, "remark")

    def remarks(self, tokens: list[str], first: int) -> None:
        """Everything from RMK on."""
        i = 0
        while i < len(tokens):
            token, key = tokens[i], say("group {i} of the report (remarks)", i=i + first)
            if token == "PK" and tokens[i + 1 : i + 2] == ["WND"]:  # noqa: S105
                said = tokens[i + 2] if i + 2 < len(tokens) else ""
                wind = read_peak(said, self.name)
                self.a.floors.append(Span(self.at, self.end, wind.mean, wind.bearing, f"PK WND {said}"))
                self.a.use(f"PK WND {said}", key, "gust")
                i += 3
                continue
            danger = next((d for w, d in DANGER_WORDS.items() if token.startswith(w)), None)
            if token == "WSHFT":  # noqa: S105
                self.a.use(token, key, "direction")
                self.gusts = [s._replace(bearing=None) for s in self.gusts]
            elif token == "LTGNO":  # noqa: S105
                self.a.leave(token, key, "instrument")
            elif danger is not None:
                self.a.use(token, key, "remark")
                self.a.danger(
                    (danger,), "said", self.at, self.end, say("{token} in the remarks", token=token)
                )
            elif _CB.fullmatch(token):
                self.a.use(token, key, "weather")
                self.a.danger(
                    ("thunder",), "O", self.at, self.end, say("{token} in the remarks", token=token)
                )
            elif (ice := re.fullmatch(r"I[136](\d{3})", token)) is not None:
                self.a.use(token, key, "remark")
                self.a.danger(
                    ("ice",) if int(ice[1]) else (),
                    "said",
                    self.at,
                    self.end,
                    say("ice accretion {token}", token=token),
                )
            elif (lying := re.fullmatch(r"4/(\d{3})|931(\d{3})|933(\d{3})", token)) is not None:
                self.a.use(token, key, "remark")
                depth = int(lying[1] or lying[2] or lying[3])
                self.a.wet += [Span(self.at, self.end, 1.0, None, "snow")] if depth else []
            elif (why := next((w for w, p in _REMARKS if p.fullmatch(token)), None)) is not None:
                self.a.leave(token, key, why)
            elif _EVENTS.fullmatch(token):
                self.events(token, key)
            elif token in ("CLOUD", "CLOUDS"):
                self.a.leave(token, key, "cloud or sight")
            elif aviation.is_weather(token):
                aviation.add_weather(self.a, token, self.at, self.end, key)
            else:
                self.a.unread(token, key, self.at, self.end)
            i += 1


def read_metar(text: str, now: int, name: str = "METAR") -> Forecast:
    """Read one report. now: the time it is read at, which settles its month."""
    tokens = text.upper().replace("=", " ").split()
    if len(tokens) > 200:
        raise refuse(name, "METAR", say("more than 200 groups"), say("one report"))
    head = 0
    while tokens[head : head + 1] and tokens[head] in ("METAR", "SPECI", "COR"):
        head += 1
    m = (
        _TIME.fullmatch(tokens[head + 1])
        if len(tokens) > head + 1 and aviation.STATION.fullmatch(tokens[head])
        else None
    )
    at = day_time(int(m[1]), int(m[2]), int(m[3]), now) if m else None
    if at is None:
        raise refuse(
            name,
            say("head of the report"),
            " ".join(tokens[head : head + 2]),
            say("station, day and time, as in KDAL 051753Z"),
        )
    if "NIL" in tokens[:6]:
        raise refuse(name, "METAR", "NIL", say("a report that has something in it"))
    r = _Report(name, at)
    r.a.use(" ".join(tokens[: head + 2]), say("head of the report"), "head")
    rest = tokens[head + 2 :]
    cut = rest.index("RMK") if "RMK" in rest else len(rest)
    r.body(rest[:cut], head + 3)
    if rest[cut:]:
        r.a.leave("RMK", say("group {cut} of the report", cut=cut + head + 3), "instrument")
        r.remarks(rest[cut + 1 :], cut + head + 4)
    if not r.gusts:
        r.gusts.append(Span(at, r.end, None))
        r.a.lost(say("the wind"), say("the report"), at, r.end)
    thunder_seen = "TSNO" not in rest
    return Forecast(
        "METAR", name, at, None, gusts=tuple(r.gusts), floors=tuple(r.a.floors), thunder=tuple(r.a.thunder),
        hazards=(*r.hazards, *r.a.hazards), unmeasured=tuple(r.a.unmeasured), temperature=tuple(r.temperature), wet=tuple(r.a.wet), doubts=tuple(r.a.doubts),
        told=(Span(at, r.end, 1.0),) if thunder_seen else (), says=frozenset({"gust", "thunder"} if thunder_seen else {"gust"}),
        no_gust=say("the wind is missing from the report"), standing=STANDING, remarks=r.a.close(),
    )  # fmt: skip
