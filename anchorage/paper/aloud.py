"""Where it stands in three lines to be read out over a radio: numbers first, plain words, nothing to spell."""

from __future__ import annotations

import re
from collections.abc import Sequence
from datetime import UTC, datetime, tzinfo

from anchorage.core.out import Level
from anchorage.core.say import capital, later, say
from anchorage.core.units import System
from anchorage.core.words import LEVELS, VERDICTS
from anchorage.deployment.policy import Against, against
from anchorage.judging.gusts import go_on_words, of_plan
from anchorage.meter.beat import silent
from anchorage.meter.store import Beat
from anchorage.outlook.clock import read_iso
from anchorage.outlook.result import Outlook
from anchorage.paper.outlook_text import due, order_words
from anchorage.record.stand import Stand, wait

LONGEST = 110
"""Characters of a reason: what is longer is on the page."""
SPOKEN: dict[System, str] = {"us": later("miles an hour"), "si": later("metres a second")}
UNITS: dict[System, str] = {"us": "mph", "si": "m/s"}
DO: dict[Level, str] = {
    "normal": later("People may stay in."),
    "secure": later("Secure it now: doors shut, walls and lines fast. People may stay in, nobody new."),
    "people-out": later("Everybody out now. Nobody goes back before the all-clear."),
    "keep-away": later("Everybody out and well away from it. Nobody goes back before the all-clear."),
    "unknown": later("Nobody new goes in: the wind is not known. Read it by hand and log it."),
}


def _clock(at: int, zone: tzinfo) -> str:
    return f"{datetime.fromtimestamp(at, UTC).astimezone(zone):%H:%M}"


def _zone(zone: tzinfo, now: int) -> str:
    """Whose clock it is, by the name that people have for it; where there is none, by its distance."""
    at = datetime.fromtimestamp(now, UTC).astimezone(zone)
    name = f"{at:%Z}"
    return say("All times are {zone}.", zone=name if name.isalpha() else f"UTC{at:%z}")


def _level(s: Stand) -> str:
    """The level as people have to act on it: no NORMAL where nobody may be inside, or where nobody knows."""
    if s.level in ("people-out", "keep-away"):
        return LEVELS[s.level]
    if s.verdict == "no-go":
        return say("NOBODY INSIDE")
    return LEVELS["unknown" if s.verdict == "unknown" else s.level]


def _first(s: Stand, beats: Sequence[Beat], zone: tzinfo, now: int) -> str:
    """The gust against the limit, and the level."""
    level = _level(s)
    dead = [b for b in beats if silent(b, now)]
    fresh = s.readings and now - s.readings[-1].entry.at <= 2 * wait("reading")
    if dead and not any(not b.stopped and not silent(b, now) for b in beats):
        heard = dead[0].heard if dead[0].heard is not None else dead[0].began
        return say(
            "{n} minutes without a reading from the meter. Level: {level}.",
            n=(now - heard) // 60,
            level=level,
        )
    if not s.readings:
        return say("0 wind readings. Level: {level}.", level=level)
    if not fresh:
        n = (now - s.readings[-1].entry.at) // 60
        return say("{n} minutes since the last wind reading. Level: {level}.", n=n, level=level)
    plan, r = s.plan, s.readings[-1]
    found: Against = against(plan.policy, r.gust, r.limit, plan.show_units, least=of_plan(plan).digits)
    if found.share is None or found.percent is None:
        return say("{gust} gust, and no limit is known. Level: {level}.", gust=found.gust, level=level)
    return say(
        "{gust} of {limit} {unit}, {percent} percent of what it holds, at {at}. Level: {level}.",
        gust=found.numbers[0], limit=found.numbers[1], unit=SPOKEN[plan.show_units], percent=found.percent,
        at=_clock(r.entry.at, zone), level=level,
    )  # fmt: skip


def _short(text: str) -> str:
    """The first sentence of a reason, its units in words; what is longer is on the page."""
    text = text.partition(". ")[0].strip().rstrip(".")
    for system, unit in UNITS.items():
        text = re.sub(rf"\b{unit}\b", str(SPOKEN[system]), text)
    return text if len(text) <= LONGEST else text[:LONGEST].rsplit(" ", 1)[0] + say(", and more on the page")


def _until(s: Stand, zone: tzinfo, now: int) -> str:
    """The earliest moment at which it may be over."""
    if s.until is None or s.until <= now:
        return say("Until an all-clear.")
    return say("Not before {at}, and only by an all-clear.", at=_clock(s.until, zone))


def _second(s: Stand, zone: tzinfo, now: int) -> str:
    """What people do, why, and until when."""
    if s.phase == "coming-down" and s.level != "keep-away":
        return say(
            "It is coming down: nobody inside. {going_on}.",
            going_on=capital(go_on_words(s.plan)),
        )
    if s.phase == "coming-down":
        return say("Stop taking it down. Everybody well away from it until the all-clear.")
    if s.level in ("people-out", "keep-away") or (s.level == "secure" and s.verdict == "go"):
        told = [say("Why: {why}.", why=_short(str(s.because)))] if s.because is not None else []
        return " ".join([str(DO[s.level]), *told, _until(s, zone, now)])
    why = _short(str((s.blocks or s.why)[0])) if s.blocks or s.why else ""
    if s.verdict == "no-go":
        return say(
            "Nobody inside: {why}. Until that is mended, looked at and written down.", why=why or s.headline
        )
    if s.verdict == "unknown" and s.level != "unknown":
        reason = why or (_short(str(s.assumed[0])) if s.assumed else s.headline)
        return say(
            "{unknown} whether people may stay in: {reason}.", unknown=VERDICTS["unknown"], reason=reason
        )
    return str(DO[s.level])


def _third(s: Stand, o: Outlook | None, zone: tzinfo, now: int) -> str:
    """What comes next, each with its time."""
    found = list[tuple[int, str]]()
    for d in s.due[:2]:
        found.append((now if d.at is None else d.at, str(d.what)))
    if o is not None:
        for n in o.deadline_notes:
            at = due(o, n)
            if not n.asked and n.past:
                continue
            if n.past and n.reached is not None and n.lull_m_s is None:
                found.append((0, order_words(n).lower()))
            elif n.lull_before is not None and at is None:
                soon = read_iso(n.lull_before, "outlook", "time")
                found.append((soon, say("too late to take it down; begin well before, in a lull")))
            elif at is not None:
                found.append((read_iso(at, "outlook", "time"), order_words(n).lower()))
    texts = [
        say("now: {what}", what=what) if at <= now else say("{at}: {what}", at=_clock(at, zone), what=what)
        for at, what in sorted(found)[:4]
    ]
    last = "" if o is not None else say(" No forecast.")
    last += f" {capital(str(notice))}." if (notice := s.plan.policy.notice) is not None else ""
    return "; ".join(dict.fromkeys(texts)).capitalize() + "." + last


def aloud_lines(s: Stand, o: Outlook | None, beats: Sequence[Beat], zone: tzinfo, now: int) -> list[str]:
    """Three lines, and never more."""
    if s.struck:
        down = say("0 shelters stand here: it was taken down.")
        if s.thunder_until is not None:
            until = _clock(s.thunder_until, zone)
            return [
                down,
                say(
                    "Thunder: nobody stays in the open or under cloth. Into a solid building or a closed car, until {until} at the least.",
                    until=until,
                )
                + f" {_zone(zone, now)}",
                say("Each new thunder begins the wait again. End."),
            ]
        return [down, say("Nobody needs to do anything."), say("End.")]
    third = f"{_third(s, o, zone, now)} {_zone(zone, now)}"
    return [_first(s, beats, zone, now), _second(s, zone, now), third]
