"""A forecast heard on the radio or read off a board, typed as a few lines.

    zone America/Chicago
    heard 13:40
    until 18:00 gust 35 mph W
    from 18:00 until 22:00 wind 20-30 mph        (no gust: it can raise a level and never gives go)
    from 21:00 snow 2 in wet
    warning severe-thunderstorm until 18:00

Of a range the upper figure counts. Each stretch of wind begins where the one before it ended, the first when it was
heard; a warning holds from when it was heard.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass, field
from datetime import tzinfo

from anchorage import units
from anchorage.outlook.clock import HOUR, read_said, zone_of
from anchorage.outlook.hours import Forecast, Span
from anchorage.outlook.nws_hourly import POINTS, compass
from anchorage.outlook.remarks import Account
from anchorage.outlook.untrusted import refuse
from anchorage.table_files import Danger

MOST_LINES = 200
WARNINGS: dict[str, tuple[Danger, ...]] = {
    "severe-thunderstorm": ("thunder",),
    "high-wind": ("wind",),
    "winter": ("snow",),
}
WORDS = (
    "until",
    "from",
    "heard",
    "zone",
    "gust",
    "gusts",
    "wind",
    "snow",
    "rain",
    "temperature",
    "thunder",
    "warning",
    "spread",
    "#",
)
ACCEPTED = 'lines such as "until 18:00 gust 35 mph", "until 18:00 wind 20-30 mph", "from 21:00 snow 2 in", "warning high-wind until 18:00"'
_POINT = "|".join(sorted(POINTS, key=len, reverse=True))
_N = r"\d{1,5}(?:\.\d{1,3})?"
_QUANTITY = rf"(?:(?P<low>{_N}) ?(?:-|to) ?)?(?P<n>{_N}) ?(?P<unit>[A-Za-z/]{{1,8}})"
_ITEMS = {
    "gust": re.compile(rf"(?a)gusts? (?:to |up to )?{_QUANTITY}(?: (?P<point>{_POINT}))?", re.IGNORECASE),
    "wind": re.compile(
        rf"(?a)wind (?:(?P<before>{_POINT}) )?{_QUANTITY}(?: (?P<point>{_POINT}))?", re.IGNORECASE
    ),
    "snow": re.compile(rf"(?a)snow {_QUANTITY}(?: (?P<kind>wet|new|settled|slush))?", re.IGNORECASE),
    "rain": re.compile(rf"(?a)rain {_QUANTITY}", re.IGNORECASE),
    "temperature": re.compile(rf"(?a)temperature (?P<sign>-?){_QUANTITY}", re.IGNORECASE),
    "warning": re.compile(rf"(?a)warning (?P<warning>{'|'.join(WARNINGS)})", re.IGNORECASE),
    "thunder": re.compile(r"(?a)thunder(?:storms?)?", re.IGNORECASE),
}
_KIND = {"gust": "speed", "wind": "speed", "snow": "length", "rain": "length", "temperature": "temperature"}
_WHEN = r"(?:(?:mon|tue|wed|thu|fri|sat|sun|today|tomorrow)[a-z]* |\d{4}-\d\d-\d\d[ T])?(?:\d{1,2}:?\d{0,2}(?: ?[ap]m)?|noon|midnight)(?: ?(?:z|utc)|:\d\dZ|(?::\d\d)?[+-]\d\d:\d\d)?"
_FROM = re.compile(rf"(?a)from ({_WHEN})(?= |$)", re.IGNORECASE)
_UNTIL = re.compile(rf"(?a)until ({_WHEN})(?= |$)", re.IGNORECASE)


@dataclass
class _Said:
    """What the lines add up to."""

    gusts: list[Span] = field(default_factory=list)
    means: list[Span] = field(default_factory=list)
    snow: list[Span] = field(default_factory=list)
    rain: list[Span] = field(default_factory=list)
    temperature: list[Span] = field(default_factory=list)
    a: Account = field(default_factory=Account)


def looks_spoken(text: str) -> bool:
    """Whether the first line that is not empty begins like one of these."""
    first = next((line.split() for line in text.splitlines() if line.strip()), [""])
    return first[0].lower().startswith("#") or first[0].lower() in WORDS


def read_spoken(
    text: str | Sequence[str],
    now: int,
    name: str = "spoken",
    *,
    zone: tzinfo | None = None,
    heard: int | None = None,
) -> Forecast:
    """Read the lines. zone: of the times; heard: when it was heard, where the lines do not say."""
    raw = text.splitlines() if isinstance(text, str) else list(text)
    lines = [
        (i, part.split("#")[0].split()) for i, line in enumerate(raw, 1) for part in line[:500].split(";")
    ]
    lines = [(i, words) for i, words in lines if words]
    if len(lines) > MOST_LINES or any(len(line) > 500 for line in raw):
        raise refuse(name, "file", f"{len(lines)} lines", f"at most {MOST_LINES} lines of 500 characters")
    rest, spread, said = [], None, _Said()
    for i, line in enumerate(raw, 1):
        if "#" in line:
            said.a.leave(line[line.index("#") :], f"line {i}", "comment")
    for i, words in lines:
        key, value = words[0].lower(), " ".join(words[1:])
        if key == "zone":
            zone = zone_of(value, f"{name}: line {i}")
    for i, words in lines:
        key, value = words[0].lower(), " ".join(words[1:])
        if key == "heard":
            heard = read_said(value, zone, now, name, f"line {i}, heard", past=True)
        elif key == "spread":
            spread = _quantity("speed", value, name, f"line {i}, spread")
        elif key != "zone":
            rest.append((i, " ".join(words)))
    if heard is None:
        raise refuse(name, "heard", "nothing", 'when it was heard: a line "heard 13:40"')
    if not rest:
        raise refuse(name, "file", "no line of forecast", ACCEPTED)
    before, reach = heard, heard
    for i, words in lines:
        said.a.use(
            " ".join(words),
            f"line {i}",
            "time" if words[0].lower() in ("zone", "heard", "spread") else "weather",
        )
    for i, line in rest:
        end = _line(line, said, before, heard, zone, name, f"line {i}")
        reach = max(reach, end)
        if re.search(r"\b(?:gusts?|wind)\b", line, re.IGNORECASE):
            before = end
    spreads = () if spread is None else (Span(heard, reach, spread),)
    return Forecast(
        "spoken", name, heard, None, gusts=tuple(said.gusts), means=tuple(said.means), floors=tuple(said.a.floors), spreads=spreads,
        snow=tuple(said.snow), rain=tuple(said.rain), temperature=tuple(said.temperature), thunder=tuple(said.a.thunder),
        hazards=tuple(said.a.hazards), unmeasured=tuple(said.a.unmeasured), wet=tuple(said.a.wet), doubts=tuple(said.a.doubts), says=frozenset({"gust"}),
        no_gust="no gust was said for this time: a wind alone never gives go", remarks=said.a.close(),
    )  # fmt: skip


def _quantity(kind: str, text: str, name: str, key: str) -> float:
    try:
        value = float(units.read(kind, text))
    except ValueError as e:
        raise refuse(name, key, text, str(e)) from None
    top = {"speed": 150.0, "length": 5.0, "temperature": 335.0}[kind]
    if not 0.0 <= value <= top:
        raise refuse(name, key, text, "a figure that can be meant")
    return value


def _line(line: str, said: _Said, before: int, heard: int, zone: tzinfo | None, name: str, key: str) -> int:
    """One line into the collection; returns where it ends."""
    start, end = (heard if "warning" in line.lower() else before), None
    if m := _FROM.search(line):
        start = read_said(m[1], zone, heard - 1, name, f"{key}, from")
        line = (line[: m.start()] + line[m.end() :]).strip()
    if m := _UNTIL.search(line):
        end = read_said(m[1], zone, start, name, f"{key}, until", late=True)
        line = (line[: m.start()] + line[m.end() :]).strip()
    if end is not None and not 0 < end - start <= 7 * 86400:
        raise refuse(name, f"{key}, until", line, "an end after the start, within a week")
    if not line:
        raise refuse(name, key, "times and nothing else", ACCEPTED)
    while line:
        found = [
            (what, m)
            for what, p in _ITEMS.items()
            if (m := p.match(line)) and line[m.end() : m.end() + 1] in ("", " ", ",")
        ]
        if not found:
            raise refuse(name, key, line, ACCEPTED)
        what, m = found[0]
        if end is None and what not in ("snow", "rain"):
            raise refuse(name, key, m[0], f'until when it holds, as in "until 18:00 {what} ..."')
        _item(what, m, said, start, end or start + HOUR, name, key)
        line = line[m.end() :].lstrip(" ,")
    return end or start


def _item(what: str, m: re.Match[str], said: _Said, start: int, end: int, name: str, key: str) -> None:
    g = m.groupdict()
    if what == "warning":
        kind = g["warning"].lower()
        said.a.danger(WARNINGS[kind], "W", start, end, f"warning: {kind}")
        return
    if what == "thunder":
        said.a.danger(("thunder",), "said", start, end, "thunder")
        return
    value = _quantity(_KIND[what], f"{g.get('sign') or ''}{g['n']} {g['unit']}", name, key)
    if g["low"] and float(g["low"]) > float(g["n"]):
        raise refuse(name, key, m[0], "a range from the lower to the upper figure")
    point = g.get("point") or g.get("before")
    span = Span(start, end, value, compass(point) if point else None, m[0])
    if what == "gust":
        said.gusts.append(span)
    elif what == "wind":
        said.means.append(span._replace(text=f"{m[0]}, turned up to a gust"))
    elif what == "snow":
        said.snow.append(span._replace(text=(g["kind"] or "").lower()))
    elif what == "rain":
        said.rain.append(span._replace(value=value * 1000.0))
    else:
        said.temperature.append(span._replace(value=value - 273.15))
