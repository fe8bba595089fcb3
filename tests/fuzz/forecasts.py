"""Readers of forecasts: any text, and texts whose wind was taken away or that break off."""

from __future__ import annotations

import functools
import json
import random
import re
from collections.abc import Callable

from anchorage.core import tables
from anchorage.core.checked import Check, What
from anchorage.core.errors import AnchorageError
from anchorage.deployment.policy import policy_of
from anchorage.outlook import aviation
from anchorage.outlook.clock import HOUR, zone_of
from anchorage.outlook.hours import hours_of
from anchorage.outlook.judge import Judged, judge
from anchorage.outlook.limits import Limits
from anchorage.outlook.reader import read_bytes

from . import nasty
from .corpus import NOW
from .oracle import hold, named, never_go, sound

FILE = "forecast"
LIMITS = Limits(gust=40.0, by=Check(What.SLIDE), roof_snow=5000.0)
"""So high that a forecast that is read wrong would be go."""
SHARES = policy_of()
ZONE = zone_of("America/Chicago")
GARBAGE = ("null", '"x"', '"12"', "[]", "{}", "1e400", "-9999", "true", "NaN", "-1", "1e99")
"""Values of JSON that are no gust."""


def judged(raw: bytes) -> list[Judged] | None:
    """A forecast judged for twelve hours; None where it is refused, by file and key."""
    try:
        found = read_bytes(raw, NOW, FILE, zone=ZONE, issued=NOW)
        hours = hours_of(found, NOW, NOW + 12 * HOUR)
    except AnchorageError as e:
        named(e, FILE)
        return None
    return judge(hours, LIMITS, SHARES, NOW)


def forecast(raw: bytes) -> str:
    """Any text at all."""
    found = judged(raw)
    return "refused" if found is None else sound(found)


@functools.lru_cache(maxsize=32)
def _whole(raw: bytes) -> dict[int, float]:
    """The gust of each hour that is go."""
    return {
        j.hour.start: j.wind.gust for j in judged(raw) or () if "go" in j.uses.values() and j.wind is not None
    }


def cut_off(raw: bytes, rng: random.Random) -> str:
    """A file that breaks off is refused, or no hour of it is go, or go in less wind, that was not so in the whole one."""
    end = rng.randrange(len(raw.rstrip()))
    found = judged(raw[:end])
    if raw.lstrip()[:1] == b"{":
        hold(found is None, f"JSON that breaks off at byte {end} was read")
    for j in found or ():
        if "go" in j.uses.values():
            least = _whole(raw).get(j.hour.start)
            same = least is not None and j.wind is not None and j.wind.gust >= least - 1e-9
            hold(same, f"go at {j.hour.start} since it breaks off at byte {end}")
    return "refused" if found is None else "read"


def _json_gust(raw: bytes, rng: random.Random) -> tuple[bytes, int, int]:
    data = json.loads(raw)
    mark = "@@gust@@"
    if "hourly" in data:
        values = data["hourly"]["wind_gusts_10m"]
        i = rng.randrange(len(values))
        start, end = NOW + (i - 2) * HOUR, NOW + (i - 1) * HOUR
        values[i] = mark
    else:
        values = data["properties"]["windGust"]["values"]
        one = rng.choice(values)
        start, length = re.match(r"(.+?)\+00:00/PT(\d+)H", one["validTime"]).groups()  # type: ignore[union-attr]
        from anchorage.outlook.clock import read_iso

        start = read_iso(start + "Z", "", "")
        end = start + int(length) * HOUR
        one["value"] = mark
    return json.dumps(data).replace(f'"{mark}"', rng.choice(GARBAGE)).encode(), start, end


def _nbm_gust(raw: bytes, rng: random.Random) -> tuple[bytes, int, int]:
    lines = raw.decode().split("\n")
    k = next(i for i, line in enumerate(lines) if line.startswith("GST"))
    n = (len(lines[k]) - 4) // 3
    i = rng.randrange(n)
    lines[k] = (
        lines[k][: 4 + 3 * i]
        + rng.choice(("   ", "-99", " x ", "-1 ", "***", " -5", "1 2"))
        + lines[k][7 + 3 * i :]
    )
    hours = [int(x) for x in next(x for x in lines if x.startswith("UTC"))[4:].split()]
    at = NOW + ((hours[i] - 18) % 24) * HOUR
    step = ((hours[1] - hours[0]) % 24) * HOUR
    return "\n".join(lines).encode(), at - step, at


def _csv_gust(raw: bytes, rng: random.Random) -> tuple[bytes, int, int]:
    lines = raw.decode().rstrip("\n").split("\n")
    first = next(i for i, line in enumerate(lines) if line.startswith("20"))
    i = rng.randrange(first, len(lines))
    cells = lines[i].split(",")
    cells[2 if "end" in lines[first - 1] else 1] = rng.choice(
        ("", " ", "x", "nan", "inf", "1e400", "-5", "-9999", "12 mph", "1,2")
    )
    lines[i] = ",".join(cells)
    at = NOW + (i - first) * (2 * HOUR if "end" in lines[first - 1] else HOUR)
    return "\n".join(lines).encode(), at, at + HOUR


_WIND = re.compile(r"\b(?:\d{3}|VRB)P?\d{2,3}(?:G\d{2,3})?(?:KT|MPS)\b")


def _coded_gust(raw: bytes, rng: random.Random) -> tuple[bytes, int, int]:
    """The wind of the first part gone or garbled: nothing of it up to the next FM may be go."""
    text = raw.decode().split("\nMETAR")[0]
    bad = rng.choice(
        ("", "/////KT", "2001OKT", "200KT", "20010G", "20010KTS", "20010G//KT", "KT", "99910KT", "20010 KT")
    )
    start = NOW - NOW % HOUR
    return _WIND.sub(bad, text, count=1).encode(), start, start + HOUR // 2


def _said_gust(raw: bytes, rng: random.Random) -> tuple[bytes, int, int]:
    bad = rng.choice(
        (
            "wind 12 mph", "gust", "gust mph", "gust 12", "gust nan mph", "gust -12 mph", "gust 1e9 mph", "gust x mph", "breeze 12 mph", "",
        )
    )  # fmt: skip
    return re.sub(rb"gusts? [^\n]*", bad.encode(), raw, count=1), NOW, NOW + HOUR


ALERT_KEYS = ("event", "status", "messageType", "onset", "ends", "expires", "severity", "certainty")
CALM = b"zone America/Chicago\nheard 12:55\nuntil Wed 12:00 gust 8 mph\n"


def alert_damaged(raw: bytes, rng: random.Random) -> str:
    """A warning with one field damaged, beside a calm forecast: no hour of the warning is go."""
    text, bad = (
        raw.decode(),
        rng.choice(
            ("", "nan", "#", "2026-13-40T99:99:99Z", "Actua1", "\u202e", "x" * 300, "Hgih Wnid Wraning", "-1")
        ),
    )
    if text.lstrip()[:1] == "{":
        data = json.loads(text)
        p = data["features"][0]["properties"]
        for k in rng.sample(ALERT_KEYS, rng.choice((1, 1, 2))):
            p[k] = rng.choice((bad, None, [], {"x": bad}))
        text = json.dumps(data)
    else:
        key = rng.choice(("event", "status", "msgType", "onset", "expires", "severity", "certainty"))
        text = re.sub(
            rf"<{key}>[^<]*</{key}>",
            rng.choice((f"<{key}>{re.sub('[<&]', '', bad)}</{key}>", f"<{key}/>", "")),
            text,
            count=1,
        )
    try:
        found = read_bytes(text.encode(), NOW, FILE, zone=ZONE, issued=NOW)
    except AnchorageError as e:
        named(e, FILE)
        return "refused"
    calm = read_bytes(CALM, NOW, FILE, zone=ZONE, issued=NOW)
    never_go(
        judge(hours_of([*calm, *found], NOW, NOW + 12 * HOUR), LIMITS, SHARES, NOW),
        NOW + HOUR,
        NOW + 8 * HOUR,
        f"an alert is damaged: {bad}",
    )
    return "read"


LOST: dict[str, Callable[[bytes, random.Random], tuple[bytes, int, int]]] = {
    "gridpoint": _json_gust, "open-hourly": _json_gust, "nbm": _nbm_gust, "csv": _csv_gust, "taf": _coded_gust, "metar": _coded_gust, "spoken": _said_gust,
}  # fmt: skip
BREAKS_OFF = ("gridpoint", "open-hourly", "nws-hourly", "nbm")
"""Formats whose text says that it breaks off, or loses hours with it. A TAF, a report, a table and spoken lines cannot."""


def lost_gust(name: str, raw: bytes, rng: random.Random) -> str:
    """A forecast whose gust is missing or garbled in some hours is refused, or is not go in them."""
    bad, start, end = LOST[name](raw, rng)
    found = judged(bad)
    if found is None:
        return "refused"
    never_go(found, start, end, "its gust is missing or garbled")
    return "read"


_WARNS = ("TSRA", "+SN", "FZRA", "SQ", "SHGR", "TS", "BLSNTS", "+FC")
_WORDS = ("thunderstorms", "snow", "freezing_rain", "sleet", "hail", "water_spouts")
_LETTERS = "ABCDEFGHIJKLMNOPQRSTUVWXYZ0123456789#/+-"


def _bent(word: str, rng: random.Random) -> str:
    """A word with one letter gone, changed or put in, or whole."""
    i, way = rng.randrange(len(word)), rng.randrange(4)
    letter = rng.choice(_LETTERS)
    letter = letter.lower() if word.islower() else letter
    return (word, word[:i] + word[i + 1 :], word[:i] + letter + word[i + 1 :], word[:i] + letter + word[i:])[
        way
    ]


def _json_danger(raw: bytes, rng: random.Random) -> tuple[bytes, int, int]:
    data, hour = json.loads(raw), rng.randrange(4)
    start, mark = NOW + hour * HOUR, "@@danger@@"
    if "hourly" in data:
        data["hourly"]["weather_code"][2 + hour] = mark
        bad = json.dumps(data).replace(f'"{mark}"', rng.choice((*GARBAGE, "95", "99", "19", "18", "100")))
        return bad.encode(), start, start + HOUR
    when = f"2026-03-10T{18 + hour}:00:00+00:00/PT1H"
    if "periods" in data["properties"]:
        data["properties"]["periods"][hour]["shortForecast"] = _bent(
            rng.choice(("Thunderstorms", "Snow", "Sleet", "Tornado")), rng
        )
    elif rng.random() < 0.5:
        code = (_bent("HU", rng), "W") if rng.random() < 0.5 else ("HU", _bent("W", rng))
        one = {"phenomenon": code[0], "significance": code[1]}
        if code[0] in tables.codes("vtec-phenomenon") and (
            code[1] == "N" or not tables.codes("vtec-phenomenon")[code[0]].danger
        ):
            one = {
                "phenomenon": "HW",
                "significance": "A",
            }  # bent into another of the list, which says nothing here
        data["properties"].setdefault("hazards", {"values": []})["values"].append(
            {"validTime": when, "value": [one]}
        )
    else:
        one = {
            "coverage": "definite",
            "weather": _bent(rng.choice(_WORDS), rng),
            "intensity": "heavy",
            "attributes": [],
        }
        data["properties"]["weather"]["values"].append({"validTime": when, "value": [one]})
    return json.dumps(data).encode(), start, start + HOUR


def _nbm_danger(raw: bytes, rng: random.Random) -> tuple[bytes, int, int]:
    lines = raw.decode().split("\n")
    label = rng.choice([x[:3] for x in lines if x[:3] in ("T01", "T03")])
    k = next(i for i, line in enumerate(lines) if line.startswith(label))
    hours = [int(x) for x in next(x for x in lines if x.startswith("UTC"))[4:].split()]
    i = rng.randrange(1, len(hours))
    cell = rng.choice((" 60", "-99", "   ", " x ", "***", "-1 "))
    lines[k] = lines[k][: 4 + 3 * i] + cell + lines[k][7 + 3 * i :]
    at = NOW + ((hours[i] - 18) % 24) * HOUR
    return "\n".join(lines).encode(), at - ((hours[1] - hours[0]) % 24) * HOUR, at


def _coded_danger(raw: bytes, rng: random.Random) -> tuple[bytes, int, int]:
    """A weather group, whole or bent, put behind the first wind; one that is bent into another of the lists may say less."""
    word = _bent(rng.choice(_WARNS), rng)
    listed = aviation.weather(word)
    if (
        aviation.harmless(word) is not None
        or not word
        or (listed is not None and not set(listed[0]) - {"rain"})
    ):
        word = "TSRA"
    text = raw.decode().split("\nMETAR")[0]
    m = _WIND.search(text)
    at = len(text) if m is None else m.end()
    return f"{text[:at]} {word} {text[at:]}".encode(), NOW - NOW % HOUR, NOW - NOW % HOUR + HOUR // 2


def _csv_danger(raw: bytes, rng: random.Random) -> tuple[bytes, int, int]:
    del raw
    cell = rng.choice(("yes", "", "y", "ja", "-99", "1", "TRUE", "?"))
    text = f"time,gust (mph),thunder\n2026-03-10T18:00:00Z,10,no\n2026-03-10T19:00:00Z,10,{cell}\n2026-03-10T20:00:00Z,10,no\n"
    return text.encode(), NOW + HOUR, NOW + 2 * HOUR


DANGER: dict[str, Callable[[bytes, random.Random], tuple[bytes, int, int]]] = {
    "gridpoint": _json_danger, "open-hourly": _json_danger, "nws-hourly": _json_danger, "nbm": _nbm_danger, "csv": _csv_danger, "taf": _coded_danger,
    "metar": _coded_danger,
}  # fmt: skip


def lost_danger(name: str, raw: bytes, rng: random.Random) -> str:
    """Thunder, ice, snow or a warning, whole or damaged: its hours are refused, or not go."""
    bad, start, end = DANGER[name](raw, rng)
    found = judged(bad)
    if found is None:
        return "refused"
    never_go(found, start, end, f"its danger is there or damaged: {bad[:400]!r}")
    return "read"


def harm(name: str, kind: str, raw: bytes, rng: random.Random, other: bytes) -> tuple[bytes, str]:
    """One case of a reader of forecasts, by chance of one of three kinds; what was read, and the outcome."""
    way = rng.random()
    if way < 0.06 and name in BREAKS_OFF:
        return raw, cut_off(raw, rng)
    if way < 0.18 and name in ("alerts", "cap"):
        return raw, alert_damaged(raw, rng)
    if way < 0.18 and name in LOST:
        return raw, lost_gust(name, raw, rng)
    if way < 0.30 and name in DANGER:
        return raw, lost_danger(name, raw, rng)
    bad = nasty.mutated(raw, kind, rng, other)
    return bad, forecast(bad)
