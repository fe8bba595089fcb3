"""The first screen: what a leader has to settle, in the order in which it is asked. Nothing is worked out here."""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

from anchorage.core.plain import columns, wrap
from anchorage.core.say import capital, dated, later, say
from anchorage.core.told import in_words
from anchorage.core.words import LEVELS, VERDICTS, WORST_LAST, several, spoken
from tui.fields import plainly
from tui.pages import Line, down, spread, still_to_place

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping, Sequence

    from anchorage.core.out import Level
    from anchorage.deployment.models import Deployment, Wind
    from anchorage.judging.result import Plan, StockOut, Verdict
    from anchorage.loads.wind_trip import Trips
    from anchorage.outlook.result import HourOut, Outlook
    from tui.engine import Weather
    from tui.recording import Stands

LABEL = 17
"""Columns of the question, where there is room for question and answer on a line."""
ROOM = 62
STYLES = {"go": "good", "no-go": "bad", "unknown": "warn"}
KINDS = {
    "forecast-gust": later("a gust as forecast"),
    "forecast-wind": later("a mean wind as forecast"),
    "meter-peak": later("the peak of a hand-held meter"),
    "meter-average": later("the average of a hand-held meter"),
    "airport-wind": later("the mean wind of an airport report"),
}
PROGRESS = {
    "": "",
    "not-up": later("NOT UP YET"),
    "going-up": later("GOING UP"),
    "up": later("IT STANDS"),
    "coming-down": later("COMING DOWN"),
    "down": later("TAKEN DOWN"),
}
"""How far the work is by the record; nothing where there is none."""


def row(asked: str, said: str, wide: int, style: str = "") -> list[Line]:
    """A question and its answer."""
    said = plainly(said)
    if wide < ROOM:
        return [(asked, "head"), *((line, style) for line in wrap(said, "  ", "  ", max(wide, 12)))]
    if columns(asked) >= LABEL:
        return [(asked, "head"), *((line, style) for line in wrap(said, " " * LABEL, None, wide))]
    return [(line, style) for line in wrap(said, asked.ljust(LABEL), " " * LABEL, wide)]


def by_reading(plan: Plan, stands: Stands | None, found: Weather | None = None) -> dict[str, Verdict]:
    """Each use by the worst of the wind typed, the readings that still hold and what the forecast orders now.

    None is a go by a forecast that cannot be judged, nor while the wait of thunder runs; that which the plan is for is no better than the plan.
    """
    from anchorage.deployment.policy import GO_IN, SUBJECTS  # noqa: PLC0415 - after the first screen

    out = dict(plan.subjects)
    if plan.verdict == "no-go" and plan.subject in out:
        out[plan.subject] = "no-go"
    if stands is not None and stands.thunder:
        return dict.fromkeys(out, "no-go")
    if stands is not None and stands.level != "unknown":
        for use, levels in GO_IN.items():
            if SUBJECTS[use] in out and stands.level not in levels:
                out[SUBJECTS[use]] = "no-go"
    if stands is not None and stands.state == "up" and stands.verdict == "unknown":
        raising = SUBJECTS["set-up"]
        out = {k: "unknown" if v == "go" and k != raising else v for k, v in out.items()}
    ordered = "normal" if found is None else level_now(found)
    for use, levels in GO_IN.items():
        if SUBJECTS[use] in out and ordered not in levels:
            out[SUBJECTS[use]] = "no-go"
    if found is not None and found.outlook is None:
        out = {k: "unknown" if v == "go" else v for k, v in out.items()}
    return out


def level_now(found: Weather | None) -> Level:
    """The level that a forecast asks for now: that of this hour, people out where that or taking down is overdue."""
    from anchorage.deployment.policy import ORDER  # noqa: PLC0415 - after the first screen
    from anchorage.outlook.clock import read_iso  # noqa: PLC0415
    from tui.timeline import orders  # noqa: PLC0415

    o = None if found is None else found.outlook
    if found is None or o is None:
        return "normal"
    now = read_iso(o.now, "outlook", "time")
    asked: list[Level] = ["normal", "people-out" if orders(found) else "normal"]
    asked += [
        h.level if h.level != "unknown" else h.known_level
        for h in o.hours
        if read_iso(h.start, "outlook", "time") <= now < read_iso(h.end, "outlook", "time")
    ]
    return max((x for x in asked if x in ORDER), key=ORDER.index)


class Course(NamedTuple):
    """A use over the hours of a stay: what it is now with what follows, in words; the worst of it; the first hour in which it is worse than now."""

    words: str
    worst: Verdict
    turns: HourOut | None = None


def _stay(o: Outlook) -> tuple[int, list[HourOut]]:
    """From when (s) the rest of the stay runs, and its hours."""
    from anchorage.outlook.clock import read_iso  # noqa: PLC0415 - after the first screen

    def at(iso: str) -> int:
        return read_iso(iso, "outlook", "time")

    first, last = max(at(o.now), at(o.start)), at(o.end)
    return first, [h for h in o.hours if at(h.end) > first and at(h.start) < last]


def courses(subjects: Mapping[str, Verdict], found: Weather | None) -> dict[str, Course]:
    """Each use to the end of the stay. subjects: as they are now; a go ends where the forecast or a deadline of it ends it."""
    return {k: _course(k, v, found) for k, v in subjects.items()}


def _course(use: str, now: Verdict, found: Weather | None) -> Course:
    from anchorage.deployment.policy import SUBJECTS  # noqa: PLC0415 - after the first screen
    from anchorage.outlook.clock import read_iso, utc  # noqa: PLC0415

    o = None if found is None else found.outlook
    if found is None or o is None:
        return Course(VERDICTS[now], now)
    at, inside = _stay(o)
    steps, turns = [(at, now)], None
    for h in inside:
        begins, verdict = read_iso(h.start, "outlook", "time"), h.subjects.get(use, now)
        if WORST_LAST.index(verdict) > WORST_LAST.index(steps[-1][1]):
            turns = turns or h
            steps = [*(x for x in steps if x[0] < begins), (max(begins, at), verdict)]
    due = {SUBJECTS["empty"]: None, SUBJECTS["set-up"]: o.deadlines.start_strike_by}.get(
        use, o.deadlines.people_out_by
    )
    by = None if due is None else read_iso(due, "outlook", "time")
    if (
        by is not None and at < by < steps[-1][0] and steps[-1][1] == "no-go"
    ):  # it is over as soon as that is due
        steps = [*(x for x in steps if x[0] < by), (by, "no-go")]
    when = [dated(utc(t).astimezone(found.zone), "%a %H:%M") for t, _ in steps]
    said = [VERDICTS[v] for _, v in steps]
    if len(steps) == 1:
        return Course(said[0], steps[0][1], turns)
    words = say("{verdict} until {at}, then {then}", verdict=said[0], at=when[1], then=said[1])
    if len(steps) > 2:
        words = say("{said}, from {at} {verdict}", said=words, at=when[2], verdict=said[2])
    return Course(words, steps[-1][1], turns)


def turn_words(plan: Plan, course: Iterable[Course], found: Weather | None) -> str:
    """What comes with the first hour in which anything is worse than now; nothing where none is."""
    from anchorage.core.units import show  # noqa: PLC0415 - after the first screen
    from anchorage.outlook.clock import read_iso, utc  # noqa: PLC0415

    first = min((c.turns for c in course if c.turns is not None), key=lambda h: h.start, default=None)
    if first is None or found is None:
        return ""
    gust = None if first.gust_m_s is None else show("speed", first.gust_m_s, plan.show_units, rounding="up")
    what = [LEVELS[first.level], *([] if gust is None else [say("gust {gust}", gust=gust)]), *([spoken("thunder")] if first.thunder else [])]  # fmt: skip
    at = utc(read_iso(first.start, "outlook", "time")).astimezone(found.zone)
    return say("From {at}: {what}", at=dated(at, "%a %H:%M"), what=", ".join(what))


def peak_of(found: Weather | None) -> float | None:
    """The strongest gust (m/s) of the forecast to the end of the stay; None where there is none."""
    o = None if found is None else found.outlook
    if o is None:
        return None
    _, inside = _stay(o)
    return max((h.gust_m_s for h in inside if h.gust_m_s is not None), default=None)


def stay_words(
    plan: Plan,
    subjects: Mapping[str, Verdict],
    *,
    near: bool = False,
    course: Mapping[str, Course] | None = None,
) -> tuple[str, str]:
    """May people stay, in words, and the worst of them. near: nobody may be near it either. course: of each use what follows."""
    from anchorage.deployment.policy import SUBJECTS  # noqa: PLC0415 - after the first screen

    of = courses(subjects, None) if course is None else course
    rest = {k: of[k].words for k in subjects if k != SUBJECTS["set-up"]}
    in_it = SUBJECTS["people-in"]
    worst = of[in_it].worst if in_it in of else plan.verdict
    alike = set(rest.values())
    if len(alike) == 1 and not near:
        only = alike.pop()
        return say("{only}: coming and going, inside with doors shut, or empty", only=only), worst
    short = {SUBJECTS["working"]: say("coming and going"), SUBJECTS["people-in"]: say("inside, doors shut"), SUBJECTS["empty"]: say("empty, nobody in")}  # fmt: skip
    if near:
        rest.pop(SUBJECTS["empty"], None)
    groups: dict[tuple[str, str], list[str]] = {}
    for k, words in rest.items():  # a sentence is said once; a word stands with each use
        groups.setdefault((words, k if words in VERDICTS.values() else ""), []).append(short.get(k, k))
    said = "; ".join(f"{' / '.join(uses)}: {words}" for (words, _), uses in groups.items())
    if near:
        said = say("{said}; KEEP AWAY: nobody near it", said=said)
    return said, worst


def wind_words(plan: Plan, w: Wind | None) -> str:
    """The number that was typed, what kind it is, and the gust that it counts as."""
    from anchorage.core.units import show  # noqa: PLC0415 - after the first screen

    gust = show("speed", plan.wind.gust_m_s, plan.show_units, rounding="up")
    at = say("33 ft up") if plan.show_units == "us" else say("10 m up")
    if w is None:
        return say("gusts of {gust}, {at}", gust=gust, at=at)
    kind = KINDS.get(w.speed_is or "", "")
    if not kind:
        kind = (
            say("a mean over {averaging}", averaging=w.averaging) if w.averaging and w.averaging != "3 s"
            else say("a gust") if w.averaging
            else say("NOT SAID whether gust or mean, so taken as an hourly mean")
        )  # fmt: skip
    height = (
        say(" at {height}", height=w.height.text)
        if w.height is not None and hasattr(w.height, "text")
        else ""
    )
    same = plan.wind.as_typed == gust and not height
    worth = f", {at}" if same else say(". It counts as gusts of {gust}, {at}", gust=gust, at=at)
    return f"{plan.wind.as_typed}, {kind}{height}{worth}"


def short_words(plan: Plan, s: StockOut) -> str:
    """What is short, and how to spread what there is."""
    from anchorage.paper.text import brought_words, spread_of  # noqa: PLC0415 - after the first screen

    if plan.asks("cannot-be-held"):
        return brought_words(plan, s)
    if not s.short:
        of = {"needed": s.needed, "item": several(s.item), "brought": s.brought}
        if plan.anchorage.sized and s.brought > s.needed:
            return say("nothing: {needed} or more {item} needed, {brought} brought", **of)
        if plan.anchorage.sized:
            return say("nothing: {needed} {item} needed, {brought} brought", **of)
        if still := still_to_place(plan, s):
            return still
        return say("nothing: {needed} {item} placed, {brought} brought", **of)
    said = say(
        "{short} {item} SHORT: {needed} needed, {brought} brought",
        short=s.short,
        item=several(s.item),
        needed=s.needed,
        brought=s.brought,
    )
    by = s.spread
    parts = spread_of((p.group, by[p.id]) for p in plan.anchorage.points if p.id in by)
    if parts and s.brought:
        over = s.brought - sum(by.values())
        said += say(
            ". Spread the {brought}: {parts}{over_in}",
            brought=s.brought,
            parts=", ".join(parts),
            over_in=say(", {over} in hand", over=over) if over else "",
        )
        if s.holds_with_stock_m_s is not None:
            said += say("; so it holds to {plan}", plan=down(plan, s.holds_with_stock_m_s))
    return said


def act_words(plan: Plan) -> str:
    """Gusts at which to act."""
    from anchorage.judging.gusts import coming_down, go_on_words, of_plan  # noqa: PLC0415 - after the first screen

    at = of_plan(plan)
    if at.share is None:
        return say("no limit was found")
    if coming_down(plan):
        return go_on_words(plan)
    return say(
        "gust {secure} SECURE, {people_out} PEOPLE OUT, {keep_away} KEEP AWAY",
        secure=at.secure,
        people_out=at.people_out,
        keep_away=at.keep_away,
    )


def meter_words(plan: Plan, found: Trips | None) -> str:
    """What a meter held up by hand shows when the levels begin, as on the sheet; nothing where they are not known."""
    from anchorage.core.units import show, shown  # noqa: PLC0415 - after the first screen
    from anchorage.judging.gusts import coming_down  # noqa: PLC0415
    from anchorage.loads.wind_trip import hand_height  # noqa: PLC0415

    if found is None or coming_down(plan):
        return ""
    each = (found.secure, found.people_out, found.keep_away)
    first, second, third = (shown("speed", t.reading, plan.show_units, rounding="down") for t in each)
    return say(
        "{height} up: {secure} SECURE, {people_out} PEOPLE OUT, {keep_away} KEEP AWAY",
        height=show("length", hand_height(), plan.show_units),
        secure=first,
        people_out=second.number,
        keep_away=third.number,
    )


def decisive(plan: Plan) -> tuple[str, str, str]:
    """What decides and is not known, or is to be made sure of: question, words, style."""
    more = ""
    if plan.reasons:
        n = len(plan.reasons) - 1
        more = say(" And {n} more: 9.", n=n) if n else ""
        asked = say("Not known") if plan.verdict == "unknown" else say("Why")
        return asked, f"{plan.reasons[0].text}{more}", STYLES[plan.verdict] if plan.verdict != "go" else ""
    if plan.conditions:
        n = len(plan.conditions) - 1
        more = say(" And {n} more: 9.", n=n) if n else ""
        return say("Only if"), f"{plan.conditions[0]}{more}", ""
    return say("Not known"), str(plan.assumptions[0]) if plan.assumptions else say("nothing that decides"), ""


def answer(
    plan: Plan, d: Deployment | None, wide: int, *, stands: Stands | None = None, found: Weather | None = None,
    measured: Sequence[str] = (), above: bool = False,
) -> list[Line]:  # fmt: skip
    """The whole view. above: the headline of the forecast and what is due first stand above it."""
    out: list[Line] = []
    if stands is not None and stands.thunder:
        out += row(say("Thunder"), stands.thunder, wide, "bad")
    lim, total = plan.limit, plan.anchorage.total
    phase = plan.record.phase if plan.record is not None else stands.state if stands is not None else ""
    state = PROGRESS[phase]
    if stands is not None and (stands.headline or state):
        named = bool(stands.headline) and phase in ("going-up", "coming-down", "down")  # the headline says it
        words = f"{state}. {stands.headline}".strip(". ") if state and not named else stands.headline
        out += row(
            say("By the record"),
            words,
            wide,
            "bad" if stands.level in ("people-out", "keep-away") else "head",
        )
    by_forecast = found is not None and found.outlook is not None
    plan = plan.beside_a_forecast() if by_forecast else plan
    if found is not None and found.outlook is not None:
        from tui.timeline import after_the_first, deadlines  # noqa: PLC0415 - after the first screen

        o = found.outlook
        due = after_the_first(found) if above else [o.headline.rstrip("."), "; ".join(deadlines(found))]
        said = ("; " if above else ". ").join(x for x in due if x)
        out += row(say("By the forecast"), said, wide, STYLES[o.verdict]) if said else []
    elif found is not None and found.trouble:
        out += row(say("By the forecast"), found.trouble, wide, "warn")
    from anchorage.deployment.policy import SUBJECTS  # noqa: PLC0415 - after the first screen
    from anchorage.judging.gusts import cannot_stand, half_words, held_text, raised_below, unlocked_words  # noqa: PLC0415
    from anchorage.paper.text import pull_words, weaker_side  # noqa: PLC0415

    subjects = by_reading(plan, stands, found)
    up = subjects.get(SUBJECTS["set-up"], plan.verdict)
    half = plan.half_built
    more = (
        say("; half built it holds to {plan}", plan=half_words(plan))
        if half is not None and half.gust_m_s is not None
        else ""
    )
    changed = by_reading(plan, stands) != plan.subjects or plan.held is not None
    going = phase in ("", "not-up", "going-up") and plan.levels.secure_m_s is not None
    more = say(", only {when}", when=raised_below(plan)) if going else more
    by_hours = by_reading(plan, stands) != subjects
    lead = (
        say("by the forecast: ")
        if by_forecast and by_hours
        else (say("by the readings: ") if plan.held is not None or (stands is not None and stands.readings) else say("by the record: ")) if changed else say("now: ") if by_forecast else ""
    )  # fmt: skip
    course = courses(subjects, found)
    comes = turn_words(plan, course.values(), found)
    lead = say("by the forecast: ") if comes else lead
    raising = course.get(SUBJECTS["set-up"], Course(VERDICTS[up], up))
    go_up = row(say("May it go up?"), f"{lead}{raising.words}{more}", wide, STYLES[raising.worst])
    near = plan.levels.level == "keep-away" or (stands is not None and stands.level == "keep-away")
    said, worst = stay_words(plan, subjects, near=near or level_now(found) == "keep-away", course=course)
    said = f"{lead}{said}{f'. {comes}' if comes else ''}"
    if phase == "going-up":
        said, worst = say("NOBODY INSIDE until it stands and set-up done is written down (R). Then {said}", said=said), "no-go"  # fmt: skip
    stay = row(say("May people stay?"), said, wide, STYLES[worst])
    if phase == "coming-down":
        go_up = row(say("Taking down"), " ".join(in_words(plan.conditions[:2])), wide, "bad")
    out += [*stay, *go_up] if phase in ("up", "coming-down") else [*go_up, *stay]
    by = (
        cannot_stand(plan)
        if plan.capped is not None
        else say("Gives first: {first}", first=spoken(plan.short.gives_first))
        if plan.short is not None
        else say(
            "Gives first: {governed_by}, {where}",
            governed_by=spoken(lim.governed_by),
            where=spoken(lim.where),
        )
        if lim.gust_m_s == lim.anchorage_gust_m_s
        else say("Set by: {governed_by}", governed_by=spoken(lim.governed_by))
    )
    only = say(". FRAME NOT JUDGED: its limit is not given, ask the maker") if lim.anchorage_only else ""
    out += row(
        say("Holds to"),
        f"{held_text(plan)}. {by}{only}{f'. {side}' if (side := weaker_side(plan)) else ''}",
        wide,
    )
    peak, for_gust = peak_of(found), ""
    judged_for = wind_words(plan, None if d is None else d.wind)
    if peak is not None and peak > plan.wind.gust_m_s:
        from anchorage.core.units import show  # noqa: PLC0415 - after the first screen

        highest = show("speed", peak, plan.show_units, rounding="up")
        for_gust = say("for {gust}: ", gust=show("speed", plan.wind.gust_m_s, plan.show_units, rounding="up"))  # fmt: skip
        judged_for = say("{said}. NOT for the {gust} forecast", said=judged_for, gust=highest)
    out += row(say("Judged for"), judged_for, wide, "warn" if for_gust else "")
    held = spread(plan)
    counted = total.units + total.stakes
    if not counted and plan.asks("cannot-be-held"):
        held = [say("no number of them holds this")]
    out += row(
        say("Place") if plan.anchorage.sized else say("As placed"),
        for_gust + ("; ".join(held) or say("nothing")),
        wide,
    )
    if said := pull_words(plan):
        out += row(say("Pull first"), say("{said} Then fill in Pull tests.", said=said), wide, "warn")
    if measured:
        out += row(say("Measured here"), " ".join(measured), wide)
    stock = "; ".join(short_words(plan, s) for s in plan.stock)
    out += row(say("Short"), for_gust + stock if stock else say("cannot say: what was brought is not filled in (Stock in the form)"), wide,
               "bad" if any(s.short or still_to_place(plan, s) for s in plan.stock) else "")  # fmt: skip
    out += row(say("Act at"), act_words(plan), wide)
    from anchorage.loads.wind_trip import trips  # noqa: PLC0415 - after the first screen

    if shown := meter_words(plan, None if d is None else trips(plan.levels.gusts, d)):
        out += row(say("Hand meter"), shown, wide)
    asked, words, style = decisive(plan)
    out += row(asked, words, wide, style)
    if plan.reasons and plan.conditions:
        n = len(plan.conditions) - 1
        out += row(
            say("Only if"), str(plan.conditions[0]) + (say(" And {n} more: 9.", n=n) if n else ""), wide
        )
    straps = plan.straps.decision
    out += row(
        say("Wall straps"),
        unlocked_words(plan) if straps == "not needed" else f"{spoken(straps)}. {plan.straps.reason}",
        wide,
    )
    return out


def banner_words(plan: Plan, *, up_first: bool) -> tuple[str, str]:
    """What the headline does not say: the uses that are judged otherwise than its own, those that are no go before the rest. up_first: it says first whether it may go up."""
    from anchorage.deployment.policy import SUBJECTS  # noqa: PLC0415 - after the first screen

    raising = SUBJECTS["set-up"]
    other = {k: v for k, v in plan.subjects.items() if k != plan.subject and v != plan.verdict}
    up = plan.subjects.get(raising)
    if up_first:
        other.pop(raising, None)
    elif up is not None and up != "go" and plan.subject != raising and raising not in other:
        other = {raising: up, **other}

    def said(which: Iterable[tuple[str, Verdict]]) -> str:
        return "; ".join(
            say("To set up: {verdicts}", verdicts=VERDICTS[v])
            if k == raising
            else f"{capital(say(k))}: {VERDICTS[v]}"
            for k, v in which
        )

    return said((k, v) for k, v in other.items() if v != "go"), said(
        (k, v) for k, v in other.items() if v == "go"
    )
