"""Text of a public forecast, copied from a page or a bulletin: parts of a day by their names, each with its sentences.

    200 PM CST Tue Mar 10 2026
    .TONIGHT...Southwest winds 15 to 25 mph with gusts up to 40 mph.        or    Tonight: Snow. Low around 25.
    .WEDNESDAY...Sunny. Highs around 50.                                    or    the name on a line of its own

A gust is known only in the parts whose words give one; a wind alone raises a level and never gives go. What a part warns of
holds for the whole of it. Headlines (``...WIND ADVISORY IN EFFECT...``) hold for all of it.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from datetime import UTC, datetime, tzinfo
from typing import NamedTuple

from anchorage.core import tables
from anchorage.core.errors import InputFaults
from anchorage.core.say import say
from anchorage.outlook.clock import DAY, HOUR, SaidZone, readings_of, seconds, zone_of
from anchorage.outlook.hours import MOST_HOURS, Doubt, Forecast, Span
from anchorage.outlook.remarks import Account
from anchorage.outlook.sentences import MOST_TEXT as LONGEST
from anchorage.outlook.sentences import Found, count, read_sentence
from anchorage.outlook.spoken import period
from anchorage.outlook.untrusted import refuse, seen

MOST_LINES = 3000
MOST_PARTS = 200
MOST_TEXT = 200_000
_DAY = r"(?:mon|tues|wednes|thurs|fri|satur|sun)day|mon|tue|wed|thu|fri|sat|sun"
_NAME = re.compile(
    rf"(?a)(?:(?P<rest>rest of |remainder of )(?:the )?)?(?:early |late )?(?:(?P<now>today|tonight|overnight|this (?:morning|afternoon|evening)|(?:the )?(?:afternoon|evening|night))"
    rf"|(?P<tomorrow>tomorrow)(?: (?P<tpart>morning|afternoon|evening|night))?|(?P<day>{_DAY})(?: (?P<part>morning|afternoon|evening|night|and [a-z]+ night))?"
    rf"(?: (?P<through>through|and) (?P<last>{_DAY})(?: (?P<lpart>night))?)?)",
    re.IGNORECASE,
)
_DOTTED = re.compile(r"\.([A-Za-z][A-Za-z ]{2,40}?)\.{3}(.*)")
_COLON = re.compile(r"([A-Za-z][A-Za-z ]{2,40}?) ?(?::|\.{3})[ \t]*(.*)")
_ALONE = re.compile(r"([A-Za-z][A-Za-z ]{2,40})")
_MADE = re.compile(
    r"(?ai)\b(\d{1,2}):?(\d\d) ?([ap]m) ([a-z]{2,4}) (?:(?:mon|tue|wed|thu|fri|sat|sun)[a-z]*,? )?([a-z]{3})[a-z]* (\d{1,2}),? (\d{4})\b"
)
_MONTHS = ("jan", "feb", "mar", "apr", "may", "jun", "jul", "aug", "sep", "oct", "nov", "dec")
_HEADS = re.compile(
    r"(?ai)(?:\d{3,4}|[A-Z]{4}\d\d [A-Z]{4} \d{6}(?: [A-Z]{3})?|[A-Z]{3}[A-Z0-9]{3}|[A-Z]{2}[ZC]\d{3}[-0-9A-Z>]*-?|[A-Z0-9>-]*\d{6}-|zone forecast product.*|point forecast.*|state forecast.*|"
    r"national weather service.*|(?:last update|updated|issued|issued by|forecast (?:valid|discussion)|area forecast|detailed forecast|extended forecast|including the .*|updated at).*|"
    r"[a-z][a-z .'/]{1,40}-(?:[a-z .'/]{1,40}-)*|\$\$|&&|[A-Z]{2,5}|lat: .*|elev: .*|-{2,}|={2,})"
)
_VTEC = re.compile(
    r"(?a)/([OTEX])\.([A-Z]{3})\.[A-Z]{4}\.([A-Z]{2})\.([A-Z])\.\d{4}\.(\d{6}T\d{4}Z)-(\d{6}T\d{4}Z)/"
)
_CLOCKS = re.compile(
    r"(?ai)\b(?:noon|midnight|\d{1,2}:?(?:\d\d)? ?[ap]m)(?: [a-z]{2,4}(?= |$))?(?: /\d[^/]*/)?(?: (?:this|today|tonight|mon|tue|wed|thu|fri|sat|sun)[a-z]*)?"
)
_HEADLINE = re.compile(r"\.{3}(.+?)\.{3}\Z", re.DOTALL)


class _Part(NamedTuple):
    at: str
    name: str
    text: str
    fresh: bool
    """The first of a page or of a zone."""


class _When(NamedTuple):
    start: int
    end: int
    early: int
    late: int


def looks_pasted(text: str) -> bool:
    """Whether a line begins with the name of a part of a day as a public forecast sets it, or names an official warning as one."""
    lines = text.splitlines()[:MOST_LINES]
    return any(
        _VTEC.search(line[:300]) or (_head(line[:300].strip(), _next(lines, i + 1), "") or ("", "", False))[2]
        for i, line in enumerate(lines)
    )


def _next(lines: list[str], i: int) -> str:
    return next((x.strip() for x in lines[i : i + 3] if x.strip()), "")


def _head(line: str, after: str, inside: str) -> tuple[str, str, bool] | None:
    """The name of a part, what follows it on its line, and whether the name is known. inside: how the part before it was set."""
    for how, pattern in (("dots", _DOTTED), ("colon", _COLON)):
        m = pattern.fullmatch(line)
        if m and _NAME.fullmatch(m[1].strip()):
            return m[1].strip(), m[2], True
        if m and (how == "dots" or inside == "colon") and read_sentence(m[1], printed=True).unread:
            return m[1].strip(), m[2], False
    m = _ALONE.fullmatch(line)
    if m and _NAME.fullmatch(line) and after and not _NAME.fullmatch(after):
        return line, "", True
    if (
        m
        and inside == "alone"
        and line.istitle()
        and len(line.split()) <= 4
        and read_sentence(line, printed=True).unread
    ):
        return line, "", False  # a name of a day that no list has
    return None


def _made(text: str, zone: tzinfo | None) -> tuple[int, tzinfo] | None:
    """When it says that it was made, and in which zone."""
    for m in _MADE.finditer(text):
        try:
            said = zone_of(m[4], "zone")
            month = _MONTHS.index(m[5].lower()[:3]) + 1
            hour = int(m[1]) % 12 + (12 if m[3].lower() == "pm" else 0)
            wall = datetime(int(m[7]), month, int(m[6]), hour, int(m[2]), tzinfo=readings_of(said)[-1])
        except (InputFaults, ValueError):
            continue
        return seconds(wall), zone if zone is not None else readings_of(said)[0] or said
    return None


def read_pasted(
    text: str, now: int, name: str = "forecast", *, zone: tzinfo | None = None, issued: int | None = None
) -> Forecast:
    """Read the parts. zone: of the place; issued: when it was made, where the text does not say."""
    raw = text.splitlines()
    if len(raw) > MOST_LINES or len(text) > MOST_TEXT:
        raise refuse(
            name,
            "file",
            say("{raw} lines", raw=len(raw)),
            say(
                "at most {most_lines} lines and {most_text} letters",
                most_lines=MOST_LINES,
                most_text=MOST_TEXT,
            ),
        )
    zone = readings_of(zone)[0] if isinstance(zone, SaidZone) else zone
    made = _made(text, zone)
    where = zone if zone is not None else made[1] if made else None
    if where is None:
        raise refuse(
            name,
            "zone",
            raw[0] if raw else "",
            say(
                "no zone is given and none is guessed: add  --zone America/Chicago, or the line with the time and zone that it was made at"
            ),
        )
    at = made[0] if made else issued
    near = at if at is not None else now
    a, far = Account(), now + MOST_HOURS * HOUR
    gusts, means, told = list[Span](), list[Span](), list[Span]()
    amounts: dict[str, list[Span]] = {"snow": [], "ice": [], "rain": []}
    temperature: list[Span] = []
    loose: list[tuple[int, str]] = []
    parts = list(_parts(raw, loose, a))
    if len(parts) > MOST_PARTS:
        raise refuse(
            name,
            "file",
            say("{parts} parts", parts=len(parts)),
            say("at most {most_parts} parts of a day", most_parts=MOST_PARTS),
        )
    whens, last = list[_When | None](), near
    for p in parts:
        last = near if p.fresh else last
        try:
            w = _when(p.name, where, near, last)
        except InputFaults:
            w = None
        whens.append(w)
        last = last if w is None else max(last, w.end)
    for k, p in enumerate(parts):
        a.use(p.name, p.at, "time")
        known = whens[k]
        if known is None:  # between what stands before and after it, as far as that is known
            early = max((w.end for w in whens[:k] if w is not None), default=now - HOUR)
            late = next((w.start for w in whens[k + 1 :] if w is not None and w.start > early), far)
            known = _When(early, early, early, late)
            a.unread(p.name, p.at, early, late)
        _part(p, known, a, gusts, means, temperature, told, amounts)
    reach = max((w.late for w in whens if w is not None), default=far)
    _heads(loose, a, min(now, near) - HOUR, reach)
    if not parts and not (a.hazards or a.thunder or a.floors or a.doubts or a.unmeasured):
        raise refuse(
            name,
            "file",
            raw[0] if raw else "",
            say("parts of a day by their names, as in .TONIGHT... or Tonight:, or a warning by its name"),
        )
    return Forecast(
        "public text", name, at, gusts=tuple(gusts), means=tuple(means), floors=tuple(a.floors), snow=tuple(amounts["snow"]), rain=tuple(amounts["rain"]), ice=tuple(amounts["ice"]),
        temperature=tuple(temperature), thunder=tuple(a.thunder), hazards=tuple(a.hazards),
        unmeasured=tuple(a.unmeasured), wet=tuple(a.wet), doubts=tuple(a.doubts), told=tuple(told), says=frozenset({"gust", "thunder"}),
        no_gust=say("the words of this part give no gust: use the gridpoint forecast of the same place"), remarks=a.close(),
    )  # fmt: skip


def _parts(raw: list[str], loose: list[tuple[int, str]], a: Account) -> Iterator[_Part]:
    """Each part with its words; what stands in none goes to ``loose``."""
    name, body, first, inside, fresh = "", list[str](), 0, "", True
    for i, line in enumerate(raw, 1):
        said = line.strip()
        head = _head(said, _next(raw, i), inside)
        if head is not None:
            if name:
                yield _Part(say("line {first}", first=first), name, " ".join(body), fresh)
                fresh = False
            name, first, body = head[0], i, [head[1]]
            inside = "alone" if _ALONE.fullmatch(said) else "dots" if said.startswith(".") else "colon"
        elif said in ("$$", "&&") or (
            name
            and (
                _VTEC.search(said)
                or _HEADLINE.fullmatch(said)
                or (_HEADS.fullmatch(said) and _MADE.search(said))
            )
        ):
            if name:
                yield _Part(say("line {first}", first=first), name, " ".join(body), fresh)
            name, inside, fresh = "", "", True
            loose += [] if said in ("$$", "&&") else [(i, said)]
            if said in ("$$", "&&"):
                a.leave(said, say("line {i}", i=i), "filler")
        elif name:
            body.append(said)
        elif said:
            loose.append((i, said))
    if name:
        yield _Part(say("line {first}", first=first), name, " ".join(body), fresh)


def _heads(loose: list[tuple[int, str]], a: Account, start: int, end: int) -> None:
    """Heads, headlines and the words of a warning: danger in them holds for all that the text covers."""
    joined = list[tuple[int, int, str]]()
    for i, said in loose:  # a headline or a sentence of a bullet goes on in the next line
        if (
            joined
            and joined[-1][1] + 1 == i
            and joined[-1][2].startswith(("...", "*"))
            and not said.startswith(("...", "*", "/"))
            and not re.search(r"\S\.{3}$", joined[-1][2])
        ):
            joined[-1] = joined[-1][0], i, f"{joined[-1][2]} {said}"
        else:
            joined.append((i, i, said))
    for i, _, said in joined:
        at = say("line {i}", i=i)
        if _VTEC.search(said):
            for m in _VTEC.finditer(said):
                _code(a, m, at, start, end)
            if rest := _VTEC.sub("", said).strip():
                a.unread(rest, at, start, end)
        elif _MADE.search(said):
            found = read_sentence(_MADE.sub(" ", said), printed=True)
            a.use(said, at, "time")
            _loosely(found, said, a, at, start, end)
        elif _HEADS.fullmatch(said):
            a.leave(said, at, "place or station")
            _loosely(read_sentence(said, printed=True), said, a, at, start, end)
        else:
            found = read_sentence(
                _CLOCKS.sub(" ", h[1] if (h := _HEADLINE.fullmatch(said)) else said), printed=True
            )
            (a.use(said, at, "warning") if found.anything or found.used else a.leave(said, at, "no weather"))
            _loosely(found, said, a, at, start, end)
            named = any(why == "warning" for _, why in found.used)
            if len(said) > LONGEST or [
                u for u in found.unread if not named or u[0].isdigit() or u in tables.codes("alert-degrees")
            ]:
                a.unread(said, at, start, end)


def _loosely(found: Found, said: str, a: Account, at: str, start: int, end: int) -> None:
    count(a, found, start, end)
    for f in found.figures:
        if f.what in ("gust", "wind"):
            a.floors.append(Span(start, end, f.value, None, f.text))
        elif f.what != "temperature":
            a.unread(said, at, start, end)


def _code(a: Account, m: re.Match[str], at: str, start: int, end: int) -> None:
    """A warning by its code, for its own hours where it has them."""
    kind, action, phenomenon, significance, begins, ends = m.groups()

    def when(text: str, missing: int) -> int:
        if text.startswith("000000"):
            return missing
        try:
            return seconds(datetime.strptime(f"20{text}", "%Y%m%dT%H%MZ").replace(tzinfo=UTC))
        except ValueError:
            return missing

    if kind == "T" or action in ("CAN", "EXP", "UPG"):
        a.leave(m[0], at, "test or exercise" if kind == "T" else "cancelled or replaced")
    else:
        a.warning(phenomenon, significance, when(begins, start), max(when(ends, end), start + 1), at)


def _when(said: str, zone: tzinfo, near: int, last: int) -> _When | None:
    """The hours of a part by its name; near: when the text was made, last: where the part before it ends."""
    m = _NAME.fullmatch(" ".join(said.lower().split()))
    if m is None:
        return None
    if m["now"]:
        which = m["now"].removeprefix("the ")
        kind = which.removeprefix("this ")
        if kind in ("today", "tonight", "overnight"):
            start, end, early, late = period(kind, "", zone, near)
            if (
                kind == "tonight" and last > near and last >= end and late > end + 12 * HOUR
            ):  # today stands before it: the coming night
                start, end, early, late = period("tonight", "", zone, last)
        else:
            start, end, early, late = period("this", kind, zone, near)
        return _When(max(start, near), end, max(early, near), late)
    if m["tomorrow"]:
        return _When(*period("tomorrow", (m["tpart"] or "").lower(), zone, near))
    part = (m["part"] or "").lower()
    span = _of_day(m["day"][:3], "" if part.startswith("and") else part, zone, near, last)
    if part.startswith("and"):
        tail = period(m["day"][:3], "night", zone, span[0])
        return _When(span[0], tail[1], span[2], tail[3])
    if m["through"]:
        tail = period(m["last"][:3], (m["lpart"] or "").lower(), zone, span[0])
        return _When(span[0], tail[1], span[2], tail[3])
    return _When(*span)


def _of_day(day: str, part: str, zone: tzinfo, near: int, last: int) -> tuple[int, int, int, int]:
    """A day by its name: the first after the text was made; a week on where the parts before it have gone past that one."""
    span = period(day, part, zone, near)
    if span[1] <= last:
        later = period(day, part, zone, span[1] + DAY)
        if later[0] - last <= DAY:
            return later
    return span


def _part(
    p: _Part,
    w: _When,
    a: Account,
    gusts: list[Span],
    means: list[Span],
    temperature: list[Span],
    told: list[Span],
    amounts: dict[str, list[Span]],
) -> None:
    """The sentences of one part. What one of them warns of, or does not say clearly, holds for the whole."""
    whole, best = bool(re.search(r"[a-z]{3}", p.text, re.IGNORECASE)), None
    for sentence in (x.strip() for x in re.split(r"(?<!\d)\.(?:\s|\Z|(?=\.))|\.(?!\d)|;", p.text)):
        if not sentence:
            continue
        found = read_sentence(sentence, printed=True)
        if found.unread or len(sentence) > LONGEST:
            a.unread(sentence, p.at, w.early, w.late)
        (a.use(sentence, p.at, "weather") if found.anything else a.leave(sentence, p.at, "no weather"))
        count(a, found, w.early, w.late)
        for f in found.figures:
            if f.open and f.what != "temperature":
                a.doubts.append(
                    Doubt(
                        w.early,
                        w.late,
                        "danger",
                        say("{at}: {text}: nobody says how much more", at=p.at, text=seen(f.text, 40)),
                        stays=f.what in ("snow", "ice"),
                    )
                )
            if f.slip:
                a.unread(f.text, p.at, w.early, w.late, "slip")
            if f.what == "gust":
                best = f if best is None or f.value > best.value else best
                a.floors.append(Span(w.early, w.late, f.value, None, f.text))
            elif f.what == "wind":
                means.append(Span(w.early, w.late, f.value, None, f.text))
            elif f.what == "temperature":
                if (
                    not f.open or f.value <= tables.row("said-temperature", "cold-high").value
                ):  # a high that is mild says nothing of the lowest
                    temperature.append(Span(w.early, w.late, f.value))
            else:
                if f.what == "ice":  # its amount adds to what the word alone does to the ground
                    a.wet.append(Span(w.early, max(w.late, w.early + 1), 1.0, None, "ice"))
                amounts[f.what].append(
                    Span(w.start, max(w.end, w.start + 1), f.value, None, f.kind if f.what == "snow" else "")
                )
    if not whole:
        a.lost(say("the weather in words"), p.at, w.early, w.late)
        return
    told.append(Span(w.start, w.end, 1.0))
    if best is not None and w.end > w.start and not best.open:
        gusts.append(Span(w.start, w.end, best.value, None, best.text))
