"""The outlook for a terminal: verdict, next deadline and what governs, then the hours; 72 columns at most."""

from __future__ import annotations

import itertools
from collections.abc import Iterator
from datetime import tzinfo

from anchorage.core import tables
from anchorage.core.choices import chosen
from anchorage.core.plain import WIDE, columns, wrap
from anchorage.core.say import Word, dated, later, mark, numeral, say, word
from anchorage.core.told import in_words
from anchorage.core.units import show as show_unit
from anchorage.core.words import LEVELS, all_of, spoken
from anchorage.deployment.policy import against, decimals
from anchorage.outlook.clock import HOUR, read_iso, show, utc
from anchorage.outlook.deadlines import STAY
from anchorage.outlook.limits import subject_of
from anchorage.outlook.result import DeadlineNoteOut, HourOut, Outlook, WindowOut
from anchorage.paper.words import record_words

HEARD = mark("spoken (forecast)")
"""A format that is a word."""
WORDS = LEVELS | {
    "normal": Word("normal", "level")
}  # in small letters, so that the hours that ask for something stand out
TIMES = later(
    'Write into the file, under [times], what your crew takes: notify = "5 min" until all are told, people_out = "10 min" until all are out, strike = "40 min" to take it down.'
)
LASTS = {
    "notify": later("time until all are told"),
    "people_out": later("time until all are out"),
    "strike": later("time that taking down takes"),
}
"""What a deadline is counted back by, in words."""
STAYS = ("normal", "secure")
"""Levels in which people may stay inside."""
ORDERS = {
    "secure_by": later("SECURE"),
    "people_out_by": later("PEOPLE OUT"),
    "start_strike_by": later("START TAKING DOWN"),
}


def order_words(n: DeadlineNoteOut) -> str:
    """What it is the time for."""
    if n.begun:
        return say("STOP TAKING DOWN") if n.past else say("BE DOWN")
    if not n.asked:
        return say("LAST TIME TO TAKE DOWN")
    return str(ORDERS[n.name])


def _at(text: str | None) -> int:
    return read_iso(text, "outlook", "time")


def out_words(o: Outlook, zone: tzinfo) -> str:
    """When people leave what can be taken down no more."""
    n = next(n for n in o.deadline_notes if n.name == "people_out_by")
    at = o.deadlines.people_out_by
    if n.past and n.reached is not None:
        return say("people out now")
    if at is not None:
        return say("people out by {at}", at=show(_at(at), zone))
    if n.reached is not None:
        return say("people out before {at}", at=show(_at(n.reached), zone))
    return say("people out")


def _not_asked(o: Outlook, n: DeadlineNoteOut, done: str, zone: tzinfo) -> str:
    """The last time to take it down, where no hour of the forecast asks for that: no order."""
    reached, at = show(_at(n.reached), zone), o.deadlines.start_strike_by
    if n.past and n.lull_m_s is not None:
        lull = show_unit("speed", n.lull_m_s, o.show_units, rounding="down")
        return say("IF IT STANDS, LEAVE IT UP: no hour here asks to take it down, and that goes only in a lull under {lull}", lull=lull)  # fmt: skip
    if n.past:
        return say("IF IT STANDS, LEAVE IT UP: no hour here asks to take it down, and there is no time for it before the gusts are too strong for that")  # fmt: skip
    if at is None:
        return say("IT MAY STAY UP: no hour here asks to take it down; from {at} it could not be, by the wind. How long before that to begin is not known without the {missing}",
                   at=reached, missing=", ".join(str(LASTS[k]) for k in n.missing))  # fmt: skip
    return say("IT MAY STAY UP: no hour here asks to take it down; whoever wants it down before the wind is too strong for that ({reached}) begins by {at}{done}",
               reached=reached, at=show(_at(at), zone), done=done)  # fmt: skip


def deadline_words(o: Outlook, n: DeadlineNoteOut, zone: tzinfo) -> str:
    """``PEOPLE OUT BY Tue 14:20 CST (20:20 UTC): gust from 15:00``."""
    at = getattr(o.deadlines, n.name)
    name = order_words(n)
    if n.reached is None:
        return say("{name}: no time in this forecast", name=name)
    because = say("{because} from {at}", because=str(n.because), at=show(_at(n.reached), zone))
    done = (
        say(" (down {astimezone})", astimezone=f"{utc(_at(n.done_by)).astimezone(zone):%H:%M}")
        if n.name == "start_strike_by" and n.done_by is not None and not n.begun
        else ""
    )
    if n.begun and n.past:
        return say("STOP TAKING DOWN, STAND CLEAR until a lull: {because}", because=because)
    phase = o.record.phase if o.record is not None else ""
    not_up = phase in ("not-up", "down") or (o.window_given and _at(o.start) > _at(o.now))
    if n.name == "start_strike_by" and o.cannot_strike and (not_up or o.subject == subject_of("set-up")):
        return say("NO TIME TO TAKE IT DOWN AGAIN: do not put it up; {because}", because=because)
    if not n.asked and not n.begun:
        return _not_asked(o, n, done, zone)
    if n.lull_m_s is not None:
        lull = show_unit("speed", n.lull_m_s, o.show_units, rounding="down")
        if n.lull_by is not None:
            by = say(" BY {at}{done}", at=show(_at(n.lull_by), zone), done=done)
        else:
            by = "" if n.lull_before is None else say(" BEFORE {at}", at=show(_at(n.lull_before), zone))
        return say("{name}{by}, ONLY IN A LULL under {lull}", name=name, by=by, lull=lull)
    if n.name == "start_strike_by" and o.cannot_strike and all(h.known_level in STAYS for h in o.hours):
        return say("NO TIME TO TAKE DOWN before {at}: leave it up, secure it; {because}", at=show(_at(n.reached), zone), because=because)  # fmt: skip
    if n.name == "start_strike_by" and o.cannot_strike:
        return say("TOO LATE TO TAKE DOWN: leave it up, {out}, then keep away; {because}", out=out_words(o, zone), because=because)  # fmt: skip
    if n.missing and n.past:
        return say(
            "{name} NOW: {because}. Not given, for the next time: {missing}",
            name=name,
            because=because,
            missing=", ".join(str(LASTS[k]) for k in n.missing),
        )
    if n.missing:
        return say(
            "{name} BY: not known without the {missing}; {because}",
            name=name,
            missing=", ".join(str(LASTS[k]) for k in n.missing),
            because=because,
        )
    if n.past:
        return say("{name} NOW: {because}", name=name, because=because)
    far = say(", outlook only") if n.outlook_only else ""
    return say(
        "{name} BY {at}{done}: {because}{far}",
        name=name,
        at=show(_at(at), zone),
        done=done,
        because=because,
        far=far,
    )


def due(o: Outlook, n: DeadlineNoteOut) -> str | None:
    """When it has to begin: in a lull, where only that is left."""
    at: str | None = n.lull_by if n.lull_m_s is not None else getattr(o.deadlines, n.name)
    return at


def in_order(o: Outlook) -> list[DeadlineNoteOut]:
    """What is due, by time: first what has to begin now, people before things; last what no time is known of."""
    order = ("people_out_by", "start_strike_by", "secure_by")

    def key(n: DeadlineNoteOut) -> tuple[int, int, int]:
        at = due(o, n)
        if not n.asked and not n.begun:
            return 2, order.index(n.name), 0
        if n.past and n.lull_m_s is None:
            return 0, order.index(n.name), 0
        if n.reached is None or at is None:
            return 2 + (n.reached is None), order.index(n.name), 0
        return 1, _at(at), order.index(n.name)

    # while it comes down nobody is inside, and it is secured no more
    left = [n for n in o.deadline_notes if not n.begun or n.name == "start_strike_by"]
    return sorted(left, key=key)


def next_deadline(o: Outlook, zone: tzinfo) -> str:
    """What is due first, or due now."""
    notes = [n for n in o.deadline_notes if n.reached is not None]
    if not notes:
        unknown = any(h.level == "unknown" for h in o.hours)
        last = show(_at(o.hours[-1].end), zone)
        return say("No deadline to {last}", last=last) + (say("; unknown hours have none") if unknown else "")
    return deadline_words(o, in_order(o)[0], zone)


def _decimals(o: Outlook) -> int | None:
    return decimals(
        o.levels, [(h.gust_m_s, h.limit_m_s) for h in o.hours if h.gust_m_s is not None], o.show_units
    )


def _gust(hours: list[HourOut], o: Outlook, digits: int | None) -> str:
    known = [h for h in hours if h.gust_m_s is not None]
    if not known:
        return say("gust ?")
    top = max(known, key=lambda h: (h.share if h.share is not None else -1.0, h.gust_m_s or 0.0))
    sign = ">=" if top.gust_is == "at least" else ""
    return sign + against(o.levels, top.gust_m_s or 0.0, top.limit_m_s, o.show_units, least=digits).words


def _snow(hours: list[HourOut], o: Outlook) -> str:
    load = max(h.snow_load_pa for h in hours)
    return (
        say("snow {show_unit}", show_unit=show_unit("pressure", load, o.show_units, rounding="up"))
        if load > 0.0
        else ""
    )


def _key(h: HourOut) -> tuple[object, ...]:
    gust = None if h.gust_m_s is None else h.gust_is
    return (
        h.level,
        h.known_level,
        h.verdict,
        h.governed_by,
        h.why,
        h.thunder,
        gust,
        h.wind_shift,
        h.outlook_only,
        h.limit_m_s is None,
        h.state,
    )


def _span(start: int, end: int, zone: tzinfo) -> tuple[str, str]:
    a, b = utc(start).astimezone(zone), utc(end).astimezone(zone)
    one = a.date() == b.date() or (b.hour * HOUR + b.minute * 60 == 0 and end - start <= 24 * HOUR)
    return dated(a, "%a %H:%M"), f"{b:%H:%M}" if one else dated(b, "%a %H:%M")


def hour_lines(o: Outlook, zone: tzinfo) -> Iterator[str]:
    """A line an hour, equal ones in a row merged."""
    begun, ended, digits = _at(o.start), _at(o.end), _decimals(o)
    apart = False
    for _, group in itertools.groupby(
        o.hours, key=lambda h: (_key(h), _at(h.start) >= ended, _at(h.end) <= begun)
    ):
        hours = list(group)
        h = hours[0]
        start, end = max(_at(h.start), _at(o.now)), _at(hours[-1].end)
        if start >= ended and not apart:
            apart = True
            yield say("after that:")
        first, last = _span(start, end, zone)
        u = f"{utc(start):%H}-{utc(end):%H}Z" if zone.utcoffset(utc(start)) else ""
        least = (
            say(", at least {known_level}", known_level=WORDS[h.known_level])
            if h.level == "unknown" and h.known_level != "normal"
            else ""
        )
        words = WORDS[h.level] + least + ("" if not h.outlook_only else " *")
        extra = say("thunder") if h.thunder else say("all-clear wait") if h.governed_by == "all-clear" else ""
        turn = say("wind turns") if h.wind_shift else ""
        ground = (
            say("ground {state}", state=chosen(h.state, "state"))
            if h.state and h.state != o.hours[0].state
            else ""
        )
        line = ""
        for part in (
            f"{first}-{last}",
            u,
            words,
            _gust(hours, o, digits),
            _snow(hours, o),
            ground,
            extra,
            turn,
        ):
            if line and part and columns(line) + 2 + columns(part) > WIDE:
                yield line
                line = " " * 8
            line = f"{line}  {part}" if line and part else line or part
        yield line


def _window(w: WindowOut, zone: tzinfo) -> str:
    return say("{start} to {end}", start=show(_at(w.start), zone), end=show(_at(w.end), zone)) + (
        say(", outlook only") if w.outlook_only else ""
    )


def outlook_lines(o: Outlook, zone: tzinfo, *, chance: bool = False) -> list[str]:
    """The whole page."""
    out = [
        *wrap(o.headline),
        *wrap(next_deadline(o, zone) + "."),
        *(x for t in record_words(o.record) for x in wrap(t)),
    ]
    for n in in_order(o):
        words = deadline_words(o, n, zone)
        if n.reached is not None and words != next_deadline(o, zone):
            out += wrap(words + ".", "  ", "    ")
    if any(n.missing and n.reached is not None for n in o.deadline_notes):
        out += wrap(TIMES)
    out += ["", *wrap(say("Hours, limit {limit}; * more than 72 h ahead, an outlook only.", limit=_limit(o)))]
    out += hour_lines(o, zone)
    if o.all_clear_not_before is not None:
        out += wrap(
            say(
                "Back in not before {at}, and only after an inspection.",
                at=show(_at(o.all_clear_not_before), zone),
            ),
            "",
            "  ",
        )
    out.append("")
    w = o.windows
    out += wrap(
        say("Longest go: ") + (say("none") if w.longest_go is None else _window(w.longest_go, zone)) + ".",
        "",
        "  ",
    )
    if w.earliest_fit is not None:
        out += wrap(
            say(
                "Earliest time for set-up, use and taking down: {window}.",
                window=_window(w.earliest_fit, zone),
            ),
            "",
            "  ",
        )
    elif w.missing:
        out += wrap(
            say(
                "To find a window for set-up, use and taking down give [times] {missing}.",
                missing=", ".join(all_of(("start", "end")) if m == STAY else m for m in w.missing),
            ),
            "",
            "  ",
        )
    else:
        out += wrap(say("No window for set-up, use and taking down in this forecast."), "", "  ")
    if chance:
        out += wrap(
            say("Chance: ") + (o.chance.text if o.chance is not None else say("the forecast has no spread.")),
            "",
            "  ",
        )
    why = list(dict.fromkeys(r.text for r in o.reasons))
    securing = any(n.name == "secure_by" and n.reached is not None and not n.begun for n in o.deadline_notes)
    for title, items in ((say("Why"), why), (say("At SECURE"), _actions() if securing else []), (say("Conditions"), in_words(o.conditions)), (say("Taken as"), in_words(o.assumptions)),
                         (say("Note"), [t for t in in_words(o.cautions) if t not in why])):  # fmt: skip
        if items:
            out += ["", f"{title}:"]
            out += [line for item in items for line in wrap(item, "- ", "  ")]
    out.append("")
    for s in o.sources:
        age = (
            say("age unknown")
            if s.age_h is None
            else say("{age_h} h old", age_h=numeral(max(s.age_h, 0.0), ".1f"))
        )
        issued = "" if s.issued is None else say(", issued {at}", at=show(_at(s.issued), zone))
        out += wrap(
            say(
                "Forecast: {format}, {name}{issued}, {age}.",
                format=word(s.format, "forecast"),
                name=s.name,
                issued=issued,
                age=age,
            ),
            "",
            "  ",
        )
    out += wrap(
        say(
            "Levels at {secure}, {people_out} and {keep_away} of the limiting gust: {source}.",
            secure=f"{o.levels.secure:.0%}",
            people_out=f"{o.levels.people_out:.0%}",
            keep_away=f"{o.levels.keep_away:.0%}",
            source=o.levels.source,
        ),
        "",
        "  ",
    )
    out += wrap(
        say(
            "Weakest figure in it: {provenance}. A named person decides; measured wind on site goes before any forecast.",
            provenance=spoken(o.provenance),
        ),
        "",
        "  ",
    )
    return out


def _actions() -> list[str]:
    return [t.text for t in tables.texts("action-secure-")]


def _limit(o: Outlook) -> str:
    if o.limit_m_s is None:
        return say("none found")
    return f"{show_unit('speed', o.limit_m_s, o.show_units, rounding='down', digits=_decimals(o))} ({spoken(o.governed_by)})"
