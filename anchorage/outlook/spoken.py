"""A forecast heard on the radio or read off a board, typed as a few lines, as people say it.

    zone America/Chicago                       (or Central, CST)
    heard 13:40
    until 18:00 gust 35 mph W
    tonight winds 15 to 25 mph with gusts up to 40 mph
    from 18:00 until 22:00 wind 20-30 mph      (no gust: it can raise a level and never gives go)
    from 21:00 snow 2 in wet
    severe thunderstorm warning until 18:00

Of a range the upper figure counts. A stretch begins where the one of its own kind before it in time ends, the first when
it was heard, in whatever order they are written. Where a time may mean two moments both are run, and the worse counts.
"""

from __future__ import annotations

import functools
import itertools
import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from datetime import datetime, timedelta, tzinfo
from typing import NamedTuple

from anchorage.core import tables, units
from anchorage.core.errors import Fault, InputFaults
from anchorage.core.say import later, say
from anchorage.outlook.clock import DAY, DAYS, HOUR, SaidZone, read_moment, read_said, seconds, utc, zone_of
from anchorage.outlook.hours import MOST_HOURS, Doubt, Forecast, Span
from anchorage.outlook.remarks import Account
from anchorage.outlook.sentences import (
    POINT,
    SMALL,
    SPEED_UNITS,
    WHOLE,
    Figure,
    Found,
    count,
    read_sentence,
    windy,
)
from anchorage.outlook.untrusted import refuse, seen

MOST_LINES = 200
WORDS = ("until", "from", "heard", "zone", "spread", "#")
ACCEPTED = later(
    'lines such as "until 18:00 gust 35 mph", "winds 15 to 25 mph with gusts up to 40 mph until 18:00", "tonight gust 20 mph", "until 18:00 wind 20-30 mph", "from 21:00 snow 2 in", "sleet 1 in", "freezing rain 0.25 in", "rain 5 mm", "temperature -5 degC", "until 20:00 thunder", "force 7 until 18:00", "severe thunderstorm warning until 18:00", "wind advisory", "tornado watch"; times such as 18:00, 6 pm, Tue 18:00, tonight, this afternoon, for 3 hours; zones such as Central, CST, America/Chicago'
)
SUCH_AS = later(
    'lines such as "until 18:00 gust 35 mph", "tonight gust 20 mph", "until 20:00 thunder", "from 21:00 snow 2 in"'
)
"""The same in short, behind each line that was not understood."""
_DAY = r"(?:mon|tue|tues|wed|weds|thu|thur|thurs|fri|sat|sun|monday|tuesday|wednesday|thursday|friday|saturday|sunday)(?![a-z])"
_ZONES = r"(?:z|utc|gmt|[ecmp][sd]?t|ak[sd]t|hst|ces?t|bst|eastern|central|mountain|pacific|alaska|hawaii|local)(?: time)?"
_WHEN = (
    rf"(?:(?:{_DAY}|today|tomorrow) (?:at )?|\d{{4}}-\d\d-\d\d[ T])?(?:\d{{1,2}}:\d\d(?::\d\d)?|\d{{4}}(?![-\d])|\d{{1,2}}(?= ?[ap]m)|noon|midnight)(?: ?[ap]m\b)?"
    rf"(?:[+-]\d\d:\d\d| ?{_ZONES}(?![a-z]))?(?: (?:today|tomorrow)| on {_DAY}| {_DAY}(?= |$))?"
)
_END = r"(?=[ ,.;]|$)"
_BETWEEN = re.compile(rf"(?a)\bbetween ({_WHEN}) (?:and|to) ({_WHEN}){_END}", re.IGNORECASE)
_FROM = re.compile(
    rf"(?a)\b(?:from|after|since|starting(?: at)?|beginning(?: at)?) ({_WHEN}){_END}", re.IGNORECASE
)
_UNTIL = re.compile(
    rf"(?a)\b(?:until|untill|till|til|through|thru|before|to|ending(?: at)?) ({_WHEN}){_END}", re.IGNORECASE
)
_LASTS = re.compile(
    r"(?a)\b(?:(?:for|in|over|within|during) )?(?:the )?(?:for|next) (\d{1,2}|one|two|three|four|six|twelve) ?(?:hours?|hrs?|h)\b",
    re.IGNORECASE,
)
_DENIED = re.compile(
    r"(?i)\b(?:no|not|without|none|dry|free)\b(?! (?:more|less|over|above|under|below|exceed\w*|expected to exceed|higher|greater)\b)"
)
_ENDLESS = re.compile(r"(?i)\b(?:until|till) further notice\b")
_HOURS = ("one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten", "eleven", "twelve")
_COUNTS = {"one": 1, "two": 2, "three": 3, "four": 4, "six": 6, "twelve": 12}
_PARTS = r"(morning|afternoon|evening|night)"
_PERIOD = re.compile(
    rf"(?a)(?<!until )(?<!from )(?<!after )(?<!before )(?<!through )(?<!till )(?<!by )\b(?:(?:late |early )?(?:(this|tomorrow|{_DAY}) {_PARTS}|(tonight|overnight|today|tomorrow|{_DAY})))\b",
    re.IGNORECASE,
)
_LOOSE = re.compile(
    r"(?a)\b(?:from|until|till|til|after|before|through|thru|since|by|when|once|later|between|ending|starting|beginning)\b|\d{1,2} ?[ap]m\b|\d:\d\d",
    re.IGNORECASE,
)
_WHENCE = re.compile(rf"(?a)\b(?:from|out of) (?:the )?(?:{POINT})(?![a-z])", re.IGNORECASE)
_CLAUSES = re.compile(r"(?a)(?:[;,]|\.(?!\d)|\bthen\b|\band then\b)", re.IGNORECASE)


_GOES_ON = ("and", "or", "well", "little", "bit", "slightly", "much", "just", "anything")


@functools.lru_cache(maxsize=1)
def _denial() -> re.Pattern[str]:
    """A clause that plainly denies a danger, from its comma or its and to the end of it: no danger, and no word that any was looked for."""
    what, ends = (
        "|".join(sorted(tables.codes(n), key=len, reverse=True)) for n in ("denied", "denied-ending")
    )
    return re.compile(
        rf"(?i)(?:^|[ ]*,[ ]*(?:and[ ]+|but[ ]+)?|[ ]+and[ ]+)(?:no|without)[ ](?:any[ ])?(?:{what})(?:[ ](?:or|and)[ ](?:{what}))*(?:[ ](?:{ends}))?(?=[ ]*(?:,|\.?$))"
    )


class Stretch(NamedTuple):
    """When a line holds: from where its figures may give go, and the wider one in which its dangers count."""

    start: int | None
    """None: from where the line before it of its own kind ends."""
    end: int | None
    """None: nobody said."""
    early: int | None
    late: int | None
    sure: bool
    """False where the times may mean something else: then its figures never give go."""


class _Line(NamedTuple):
    at: str
    text: str
    found: Found
    when: Stretch
    timed: bool = True
    """False where its times cannot be read."""


@dataclass
class _Reading:
    """What the lines add up to, with each time taken in one way."""

    gusts: list[Span] = field(default_factory=list)
    means: list[Span] = field(default_factory=list)
    snow: list[Span] = field(default_factory=list)
    rain: list[Span] = field(default_factory=list)
    ice: list[Span] = field(default_factory=list)
    temperature: list[Span] = field(default_factory=list)
    a: Account = field(default_factory=Account)
    reach: int = 0
    faults: list[Fault] = field(default_factory=list)
    counted: int = 0


def looks_spoken(text: str) -> bool:
    """Whether the first line that says something says it as one of these."""
    for line in text.splitlines()[:MOST_LINES]:
        words = line[:500].lower().split()
        if words:
            return (
                words[0].startswith("#")
                or words[0] in WORDS
                or read_sentence(_timed_out(line[:500])).anything
            )
    return False


def _timed_out(line: str) -> str:
    for p in (_BETWEEN, _FROM, _UNTIL, _LASTS, _PERIOD):
        line = p.sub(" ", line)
    return line


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
    comments = {i: line for i, line in enumerate(raw, 1) if isinstance(text, str) and _comment(line)}
    parts = [(i, p) for i, line in enumerate(raw, 1) if i not in comments for p in line[:500].split(";")]
    lines = [(i, " ".join(p.split())) for i, p in parts if p.strip()]
    if len(lines) > MOST_LINES or any(len(line) > 500 for line in raw):
        raise refuse(
            name,
            "file",
            say("{lines} lines", lines=len(lines)),
            say("at most {most_lines} lines of 500 characters", most_lines=MOST_LINES),
        )
    rest, spread = list[tuple[int, str]](), None
    heads = [
        (i, line.split(" ", 1)[0].lower().rstrip(":"), line.partition(" ")[2], line) for i, line in lines
    ]
    for i, key, value, _ in heads:
        if key == "zone" and value.lower() not in ("local", "local time"):
            zone = zone_of(value, say("{name}: line {i}", name=name, i=i))
    for i, key, value, line in heads:
        if key == "heard" and re.search(r"(?a)\d|noon|midnight", value):
            heard = read_said(value, zone, now, name, say("line {i}, heard", i=i), past=True)
        elif key == "spread":
            spread = _speed(value, name, say("line {i}, spread", i=i))
        elif key != "zone":
            _not_more(line, name, say("line {i}", i=i))
            rest += [(i, clause) for clause in _clauses(_signed_off(line) or line)]
    if heard is None:
        raise refuse(name, "heard", "nothing", say('when it was heard: a line "heard 13:40"'))
    if not rest:
        raise refuse(name, "file", say("no line of forecast"), ACCEPTED)
    ways = [
        (late, fixed)
        for fixed in ((False, True) if _short(zone, lines) else (False,))
        for late in (False, True)
    ]
    runs = [_run(rest, heard, zone, name, late=late, fixed=fixed) for late, fixed in ways]
    if not runs[0].counted and runs[0].faults:
        raise InputFaults(runs[0].faults)
    out, a = _worst_of(runs), Account()
    for i, line in comments.items():
        a.leave(line, say("line {i}", i=i), "comment")
    for i, key, value, line in heads:
        if key in ("zone", "spread") or (key == "heard" and re.search(r"(?a)\d|noon|midnight", value)):
            a.use(line, say("line {i}", i=i), "time")
    spreads = () if spread is None else (Span(heard, max(r.reach for r in runs), spread),)
    heaps = [(*x, *y) for x, y in zip(a.close(), out.a.close(), strict=True)]
    notes = (
        ()
        if not out.faults
        else (say("{name}: what is understood: {accepted}", name=name, accepted=ACCEPTED),)
    )
    return Forecast(
        "spoken", name, heard, None, gusts=tuple(out.gusts), means=tuple(out.means), floors=tuple(out.a.floors), spreads=spreads,
        snow=tuple(out.snow), rain=tuple(out.rain), ice=tuple(out.ice), temperature=tuple(out.temperature), thunder=tuple(out.a.thunder),
        hazards=tuple(out.a.hazards), unmeasured=tuple(out.a.unmeasured), wet=tuple(out.a.wet), doubts=tuple(out.a.doubts), says=frozenset({"gust"}),
        no_gust=say("no gust was said for this time: a wind alone never gives go"), remarks=type(a.close())(*heaps), notes=notes,
    )  # fmt: skip


def _comment(line: str) -> bool:
    """Whether a line of a file begins with ``#`` and says nothing about the weather: no danger, no figure, no word of wind."""
    said = line.strip()
    if not said.startswith("#") or any(c.isdigit() for c in said):
        return False
    found = read_sentence(said.lstrip("# "))
    return not (found.anything or found.used) and not windy(found.unread)


def _signed_off(words: str) -> str:
    """Without the words that end a call on the radio; ``15 and over`` is none."""
    said = words.split()
    while (
        said
        and said[-1].lower() in ("roger", "over")
        and (len(said) < 2 or said[-2].lower().strip(",") not in _GOES_ON)
    ):
        said.pop()
    return " ".join(said)


_OVER_WHAT = re.compile(
    rf"(?ai)(?P<figure>(?<![:\d.])\d{{1,3}}(?:\.\d+)?(?: ?(?:{'|'.join(map(re.escape, sorted(SPEED_UNITS, key=len, reverse=True)))}))?) over\W*$"
)
"""``12 mph over``: the end of a call, or more than that."""


def _not_more(line: str, name: str, key: str) -> None:
    """Refuse a figure with ``over`` straight behind it: which of the two it means, nobody can say."""
    found = _OVER_WHAT.search(line)
    if found is not None:
        how = say('"over" may end the call or mean more than that: type "{figure}, over" or "over {figure}"', figure=found["figure"])  # fmt: skip
        raise refuse(name, key, line, how)


def _short(zone: tzinfo | None, lines: Sequence[tuple[int, str]]) -> bool:
    """Whether a zone is said by letters that stand for an offset."""
    return isinstance(zone, SaidZone) or any(
        re.search(r"(?a)\b[ecmpakhsbd]{1,3}[sde]t\b", line, re.IGNORECASE) for _, line in lines
    )


def _speed(text: str, name: str, key: str) -> float:
    try:
        value = float(units.read("speed", text))
    except ValueError as e:
        raise refuse(name, key, text, str(e)) from None
    if not 0.0 <= value <= 150.0:
        raise refuse(name, key, text, say("a figure that can be meant"))
    return value


def _times_in(text: str) -> int:
    found = [p.sub(" ", text) != text for p in (_FROM, _UNTIL, _BETWEEN, _LASTS, _PERIOD)]
    many = max(
        len(_UNTIL.findall(text)),
        len(_FROM.findall(text)),
        len(_PERIOD.findall(text)),
        len(_LASTS.findall(text)),
    )
    return many if many > 1 else int(any(found))


def _clauses(line: str) -> list[str]:
    """A line with several times, cut so that each piece has its own; a piece without one goes with the one before."""
    if _times_in(line) < 2:
        return [line]
    out: list[str] = []
    for piece in (p.strip() for p in _CLAUSES.split(line)):
        if piece and (not out or (_times_in(piece) and _times_in(out[-1]))):
            out.append(piece)
        elif piece:
            out[-1] = f"{out[-1]}, {piece}"
    return out


# the times of a line


def _shift(zone: tzinfo, day: datetime, hours: float, *, late: bool) -> int:
    """A wall-clock hour of a day, in seconds; hours over 24 are of the next."""
    wall = day.replace(hour=0, minute=0, second=0, microsecond=0, tzinfo=None) + timedelta(hours=hours)
    return seconds(wall.replace(tzinfo=zone, fold=int(late)))


def period(
    which: str, part: str, zone: tzinfo, near: int, *, late: bool = False
) -> tuple[int, int, int, int]:
    """Begin and end of a part of a day as public forecasts have it, and the widest that people mean by it."""
    here = utc(near).astimezone(zone)
    kind = {"tonight": "night", "overnight": "overnight"}.get(which, part or "day")
    begins, ends = tables.row("said-period", f"{kind}-begins"), tables.row("said-period", f"{kind}-ends")
    wide = (
        (begins.value if begins.low is None else begins.low),
        (ends.value if ends.high is None else ends.high),
    )
    days = [here + timedelta(days=k) for k in (0,)]
    if which == "tomorrow":
        days = [here + timedelta(days=1)]
    elif which[:3] in DAYS:
        days = [d for k in range(8) if (d := here + timedelta(days=k)).weekday() == DAYS.index(which[:3])]
    elif kind in ("night", "overnight"):
        days = [here - timedelta(days=1), here]  # after midnight it may be the night that is ending
    spans = [tuple(_shift(zone, d, h, late=late) for h in (begins.value, ends.value, *wide)) for d in days]
    ahead = [s for s in spans if s[1] > near] or spans[-1:]
    first = ahead[0]
    if (
        kind in ("night", "overnight")
        and which[:3] not in DAYS
        and which != "tomorrow"
        and len(ahead) > 1
        and part == ""
    ):
        return (
            max(first[0], near),
            first[1],
            min(first[2], near),
            ahead[1][3],
        )  # its end is that of this night, its dangers last through both
    return first[0], first[1], first[2], first[3]


def _stretch(
    text: str, heard: int, zone: tzinfo | None, name: str, key: str, *, late: bool, fixed: bool
) -> tuple[Stretch, str]:
    """When a line holds, and what is left of it."""
    whole = text = _as_times(text)
    text, endless = _ENDLESS.subn(" ", text)
    begun, over = (int(tables.row("said-time", k).value) for k in ("begun", "ended"))
    start = end = early = last = None
    sure, now_too = True, False

    def moment(said: str, near: int, what: str) -> tuple[int | None, int | None, bool, bool]:
        said = re.sub(r"(?i) (at|on)(?= )", "", said)
        m = re.fullmatch(rf"(?ai)(.+?) (today|tomorrow|{_DAY})", said)
        said = f"{m[2]} {m[1]}" if m else said
        named = re.match(rf"(?ai){_DAY} ", said) is not None
        if re.match(r"(?i)(today|tomorrow) ", said):
            near = heard
        found = read_moment(said, zone, near, name, f"{key}, {what}", late=late, fixed=fixed)
        return found.last, found.first, found.dated, named

    if m := _BETWEEN.search(text):
        froms, untils, text = m[1], m[2], text[: m.start()] + " " + text[m.end() :]
    else:
        froms = untils = None
        if m := _FROM.search(text):
            froms, text = m[1], text[: m.start()] + " " + text[m.end() :]
        if m := _UNTIL.search(text):
            untils, text = m[1], text[: m.start()] + " " + text[m.end() :]
    lasts = _LASTS.search(text) if untils is None else None
    if lasts:
        text = text[: lasts.start()] + " " + text[lasts.end() :]
    p = None if froms or untils else _PERIOD.search(text)

    def end_after(t: int) -> int | None:
        if untils is None:
            return t + HOUR * _hours(lasts[1]) if lasts else None
        before, after, dated, _ = moment(untils, t, "until")
        return before if dated and after is None else after

    if froms is not None:
        before, after, dated, named = moment(froms, heard, "from")
        if dated:
            start = before if before is not None else after
            end = end_after(start or heard)
        else:
            slack = DAY if named else begun
            going = before is not None and heard - before <= slack
            end = end_after(before) if before is not None else None
            still = before is not None and (end > heard if end is not None else going)
            if still and (going or end is not None):
                start, now_too = before, True
                if not going:  # it may as well be the next such time
                    sure, early, last = False, heard, end_after(after or heard)
            else:
                start = after
                end = end_after(after or heard)
    elif untils is not None:
        before, after, dated, named = moment(untils, heard, "until")
        end = before if dated and after is None else after
        passed = None if before is None or dated else heard - before
        if passed is not None and passed <= (DAY if named else over):
            sure = False  # it may be over
    elif lasts:
        start, end = heard, heard + HOUR * _hours(lasts[1])
    elif p is not None:
        if zone is None:
            raise refuse(
                name,
                key,
                p[0],
                say(
                    "no zone is given and none is guessed: add  --zone America/Chicago  or a line  zone America/Chicago"
                ),
            )
        where = zone.readings[-1 if fixed else 0] if isinstance(zone, SaidZone) else zone
        start, end, early, last = period(
            (p[1] or p[3]).lower(), (p[2] or "").lower(), where, heard, late=late
        )
        text = text[: p.start()] + " " + text[p.end() :]
        if (p[1] or p[3]).lower() in ("tonight", "overnight", "this") and last > end + 12 * HOUR:
            sure = False
        start, early = max(start, min(heard, end)), max(early, min(heard, end))
    if end is not None and not 0 < end - (start if start is not None else heard) <= 8 * DAY:
        raise refuse(
            name,
            say("{key}, until", key=key),
            text,
            say("an end after the start and after it was heard, within a week"),
        )
    if start is not None and now_too:
        start = max(start, heard - DAY)
    if (
        untils is not None and end is not None and _DENIED.search(whole)
    ):  # "no thunder until 18:00": and what comes after it?
        last = max(end, heard + int(tables.row("deadline", "window").value))
        early = heard
    if endless:
        last, sure = heard + MOST_HOURS * HOUR, False
    if _LOOSE.search(_WHENCE.sub(" ", text)):
        sure, early, last, start = False, heard, None, (heard if start is None else start)
    text = " ".join(
        re.sub(r"(?i)^(?:and|then|now|currently|right now)[ ,:]+", "", text.strip(" ,.:")).split()
    )
    early = start if early is None else early
    return Stretch(start, end, early, last if last is not None else end, sure), text


def _as_times(text: str) -> str:
    """Numbers in words, and pairs of times with one half of the day between them, as times that can be read."""
    text = re.sub(r"(?ai)\b([ap])\.m\.?(?= |$|,)", r"\1m", text)
    text = re.sub(
        r"(?ai)\b(?:one|two|three|four|five|six|seven|eight|nine|ten|eleven|twelve)\b(?= ?(?:[ap]m\b|hours?\b|(?:and|to|until) \w+ [ap]m\b))",
        lambda m: str(_HOURS.index(m[0].lower()) + 1),
        text,
    )

    def both(m: re.Match[str]) -> str:
        a, b = int(m[1]) % 12, int(m[4]) % 12
        half = m[6] if a < b else {"a": "p", "p": "a"}[m[6].lower()]
        return f"{m[1]}{m[2] or ''} {half}m {m[3]} {m[4]}{m[5] or ''} {m[6]}m"

    text = re.sub(
        r"(?ai)(?<![:\d.])\b(\d{1,2})(:\d\d)? ?(and|to|-|until) ?(\d{1,2})(:\d\d)? ?([ap])m\b", both, text
    )
    clock = r"(\d{1,2}(?::\d\d)? ?[ap]m|\d{1,2}:\d\d|noon|midnight)"
    return re.sub(
        rf"(?ai)(?<!between )\b(?:from )?(?<![:\d]){clock} ?(?:-|to|until) ?{clock}\b",
        r"from \1 until \2",
        text,
    )


def _hours(said: str) -> int:
    return int(said) if said.isdigit() else _COUNTS[said.lower()]


# the lines together


def _run(
    rest: Sequence[tuple[int, str]], heard: int, zone: tzinfo | None, name: str, *, late: bool, fixed: bool
) -> _Reading:
    out = _Reading(reach=heard)
    far = heard + MOST_HOURS * HOUR
    lines: list[_Line] = []
    for i, line in rest:
        key = say("line {i}", i=i)
        denied = [m[0] for m in _denial().finditer(line)]
        for text in denied:
            out.a.leave(text.strip(" ,"), key, "not said")
        if denied:
            line = _denial().sub("", line).strip(" ,.")  # noqa: PLW2901 - the rest of the line
        if denied and not line:
            continue
        if not _signed_off(line):
            out.a.leave(line, key, "not said" if _signed_off(line) else "filler")
            continue
        try:
            when, words = _stretch(line, heard, zone, name, key, late=late, fixed=fixed)
        except InputFaults as e:
            out.faults += e.faults
            found = read_sentence(_timed_out(line))
            lines.append(_Line(key, line, found, Stretch(heard, None, heard, None, sure=False), timed=False))
            out.a.unread(line, key, heard - HOUR, far)
            continue
        if not words:
            out.faults += refuse(name, key, say("times and nothing else"), SUCH_AS).faults
            out.a.unread(line, key, heard - HOUR, far)
            continue
        lines.append(_Line(key, line, read_sentence(words), when))
    reach = max(
        [
            heard + int(tables.row("deadline", "window").value),
            *(x.when.late or x.when.end or 0 for x in lines),
        ]
    )
    for x in lines:
        _line(x, lines, out, heard, reach, far, name)
    out.reach = max(out.reach, *(x.when.end or heard for x in lines)) if lines else heard
    return out


def _kinds(found: Found) -> set[str]:
    return {f.what for f in found.figures}


def _begin(x: _Line, what: str, lines: Sequence[_Line], heard: int) -> int:
    """Where a figure of a line begins that does not say: at the last end of its kind before its own, in any order of lines.

    A line that has a beginning of its own is no link of that chain: it says what comes on top in between.
    """
    if x.when.start is not None:
        return x.when.start
    ends = [
        o.when.end for o in lines
        if o is not x and o.when.start is None and o.when.end is not None and x.when.end is not None and heard < o.when.end < x.when.end and what in _kinds(o.found)
    ]  # fmt: skip
    return max(ends, default=heard)


def _line(
    x: _Line, lines: Sequence[_Line], out: _Reading, heard: int, reach: int, far: int, name: str
) -> None:
    """One line into the reading."""
    w, found, a = x.when, x.found, out.a
    last = reach if w.late is None else w.late
    first = heard if w.early is None else w.early
    faults: list[str] = []
    such = ACCEPTED
    if found.unread or not (found.anything or found.used or found.harmless):
        clear = w.sure and w.end is not None and not any(u[0].isdigit() for u in found.unread)
        a.unread(x.text, x.at, first if clear else first - HOUR, last if clear else far)
        bare = [u for u in found.unread if u.isdecimal()] if windy(found.unread) else []
        such = SUCH_AS if bare else ACCEPTED
        faults.append(
            say("{figure} has no unit: add mph, kt, km/h or m/s", figure=bare[0])
            if bare
            else say("not understood: {unread}", unread=", ".join(found.unread)[:80])
            if found.unread
            else say("nothing about the weather in it")
        )
    elif not w.sure and x.timed:
        a.unread(x.text, x.at, first, max(last, first + HOUR), "unclear")
        faults.append(say("its times may mean two things: say the day"))
    if found.used:
        a.use(x.text, x.at, "weather")
    elif found.harmless and not found.unread:
        a.leave(x.text, x.at, "no weather")
    if found.dangers:
        count(a, found, first, max(last, first + 1))
        out.counted += 1
    for f in found.figures:
        start = _begin(x, f.what, lines, heard)
        if f.slip:
            a.unread(f.text, x.at, min(first, start), max(last, start + 1), "slip")
        if f.unit == SMALL and any(o.unit in WHOLE for y in lines for o in y.found.figures):
            a.unread(f.text, x.at, min(first, start), max(last, start + 1), "units")
        end = w.end
        wide = first if w.start is not None or not w.sure else start, max(last, start + 1)
        if end is None and x.timed and f.what in ("gust", "wind", "temperature"):
            faults.append(say('until when it holds, as in "until 18:00 {text}"', text=f.text))
            a.unread(x.text, x.at, start, far)
        out.counted += x.timed
        _figure(f, start, end, wide, out, sure=w.sure and not found.unread and not f.open)
        if f.open:
            a.doubts.append(
                Doubt(
                    wide[0],
                    wide[1],
                    "danger",
                    say("{at}: {text}: nobody says how much more", at=x.at, text=seen(f.text, 40)),
                    stays=f.what in ("snow", "ice"),
                )
            )
    out.faults += [fault for why in faults for fault in refuse(name, x.at, x.text, f"{why}; {such}").faults]


def _figure(
    f: Figure, start: int, end: int | None, wide: tuple[int, int], out: _Reading, *, sure: bool
) -> None:
    """A figure for its hours; one that may mean more, or other hours, raises and never gives go."""
    if f.what == "gust":
        if sure and end is not None:
            out.gusts.append(Span(start, end, f.value, f.bearing, f.text))
        if not sure or end is None or wide != (start, end):
            out.a.floors.append(Span(min(wide[0], start), max(wide[1], end or 0), f.value, f.bearing, f.text))
    elif f.what == "wind":
        out.means.append(Span(min(wide[0], start), max(wide[1], end or 0), f.value, f.bearing, f.text))
    elif f.what == "temperature":
        out.temperature.append(Span(min(wide[0], start), max(wide[1], end or 0), f.value))
    else:
        heap = {"snow": out.snow, "ice": out.ice, "rain": out.rain}[f.what]
        if f.what == "ice":  # its amount adds to what the word alone does to the ground
            out.a.wet.append(Span(min(wide[0], start), max(wide[1], end or 0), 1.0, None, "ice"))
        heap.append(
            Span(
                start, start + HOUR if end is None else end, f.value, None, f.kind if f.what == "snow" else ""
            )
        )


def _pieces(spans: Sequence[Span]) -> Iterator[tuple[int, int]]:
    """Stretches that are covered, joined."""
    reach: tuple[int, int] | None = None
    for s in sorted(spans):
        if reach is not None and s.start <= reach[1]:
            reach = reach[0], max(reach[1], s.end)
        else:
            if reach is not None:
                yield reach
            reach = s.start, s.end
    if reach is not None:
        yield reach


def _worst_of(runs: Sequence[_Reading]) -> _Reading:
    """All readings at once: every danger of each, and a gust is known only where each of them knows one."""
    first = runs[0]
    if all(r == first for r in runs[1:]):
        return first
    out = _Reading(
        faults=first.faults, counted=first.counted, a=Account(used=first.a.used, harmless=first.a.harmless)
    )
    for r in runs:
        for k in ("gusts", "means", "snow", "rain", "ice", "temperature"):
            getattr(out, k).extend(getattr(r, k))
        for k in ("doubts", "floors", "thunder", "hazards", "unmeasured", "wet", "not_understood"):
            getattr(out.a, k).extend(getattr(r.a, k))
    whole = [list(_pieces(r.gusts)) for r in runs]
    cuts = sorted({t for each in whole for piece in each for t in piece})
    for lo, hi in itertools.pairwise(cuts):
        known = [any(s <= lo and e >= hi for s, e in each) for each in whole]
        if any(known) and not all(known):
            out.gusts.append(Span(lo, hi, None, None, say("the time may mean two moments")))
    return out
