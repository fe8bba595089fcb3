"""What stands above everything: the verdict, and the file and what has to be heeded. While anything is not worked out it says so, and no old verdict."""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

from anchorage.core.plain import cut, inert
from anchorage.core.say import say
from anchorage.core.words import VERDICTS, WORST_LAST
from tui import engine, metering
from tui.fields import labelled

if TYPE_CHECKING:
    from anchorage.judging.result import Plan
    from tui.session import Session

OUT = ("people-out", "keep-away")
"""Levels of a record that stand above everything."""


class Banner(NamedTuple):
    """The word, what it is about, as much more as there is room for, and its tone."""

    word: str
    what: str
    more: tuple[str, ...]
    tone: str
    must: int = 0
    """So many of what more there is are orders and uses that are no go: they are shown whatever room there is."""
    orders: int = 0
    """So many of these are orders, and stand under another headline too."""


def banner(s: Session) -> Banner:
    """What stands above everything; thunder that was logged stands under it as long as its wait runs, whatever else is said."""
    said = _but_for_thunder(s)
    if s.stands is None or not s.stands.thunder:
        return said
    return said._replace(more=(s.stands.thunder, *said.more), must=said.must + 1)


def _but_for_thunder(s: Session) -> Banner:
    """The verdict of what is typed now, or that there is none yet; what the record says stays whatever else fails."""
    if not s.fresh or s.answer is None:
        said = Banner(say("WAIT"), say("working it out, no verdict yet"), (_next(s),), "-stale")
    elif s.answer.plan is None:
        said = Banner(say("NO VERDICT"), _to_mend(s.answer), (_next(s),), "-stale")
    elif s.judging:
        said = Banner(say("WAIT"), say("judging the forecast, no verdict yet"), (_next(s),), "-stale")
    elif s.standing:
        said = Banner(say("WAIT"), say("reading the record, no verdict yet"), (_next(s),), "-stale")
    else:
        return _verdict(s, s.answer.plan)
    if s.stands is None or not s.stands.headline:
        return said
    if s.stands.level in OUT:
        return Banner(
            *_split(s.stands.headline, "no-go"), (f"{said.word}: {said.what}", *said.more), "-no-go"
        )
    record = f"{say('By the record')}: {s.stands.headline}"
    return said._replace(more=(record, *said.more))


def _split(headline: str, verdict: str) -> tuple[str, str]:
    """The word of a headline and the rest of it."""
    word, _, rest = headline.partition(": ")
    return (word, rest) if rest else (VERDICTS[verdict], headline)


def _by(plan: Plan) -> str:
    """What the verdict of a plan goes by."""
    return say("By the wind typed") if plan.held is None else say("By the readings")


def _verdict(s: Session, plan: Plan) -> Banner:
    """By the readings that were written down where they allow less; else by the wind typed and the forecast."""
    from anchorage.deployment.policy import SUBJECTS  # noqa: PLC0415 - after the first screen
    from anchorage.judging.gusts import raised_below  # noqa: PLC0415
    from tui.answer import by_reading  # noqa: PLC0415

    stands, found = s.stands, _by_wind(s, plan)
    order = found.more[: found.orders]
    tail = order + _said(
        "" if plan.held is None or plan.held.refused is None else str(plan.held.refused),
        "" if stands is None else stands.why,
        f"{_by(plan)}: {plan.headline}",
        say("The record says more: Now"),
    )
    if stands is not None and stands.level in OUT:
        return Banner(*_split(stands.headline, "no-go"), tail, "-no-go", found.orders)
    mine = by_reading(plan, stands).get(plan.subject, plan.verdict)
    if stands is not None and mine == "no-go" and plan.verdict != "no-go":
        said = say("{subject}: by the readings {headline}", subject=plan.subject, headline=stands.headline)
        return Banner(VERDICTS[mine], said, tail, "-no-go", found.orders)
    if stands is not None and stands.state == "down":
        return Banner(say("TAKEN DOWN"), say("By the record"), tail[len(order) :], "-stale")
    up = by_reading(plan, stands)[SUBJECTS["set-up"]]
    if (
        stands is not None
        and stands.state == "not-up"
        and WORST_LAST.index(up) > WORST_LAST.index(found.tone[1:])
    ):
        when = say("to set up; go up only {when}", when=raised_below(plan))
        return Banner(VERDICTS[up], when, tail, f"-{up}", found.orders)
    if stands is not None and stands.state == "going-up":
        going = say("GOING UP: nobody inside until it stands")
        if WORST_LAST.index(_but_for_going_up(s, plan, found.tone[1:])) > WORST_LAST.index(up):
            return found._replace(more=(*order, going, *found.more[len(order) :]), must=found.must + 1)
        when = say("set up, {going}; go on only {when}", going=going, when=raised_below(plan))
        return Banner(VERDICTS[up], when, tail, f"-{up}", found.orders)
    if (
        stands is None
        or stands.state != "up"
        or WORST_LAST.index(stands.verdict) <= WORST_LAST.index(found.tone[1:])
    ):
        return found
    named = stands.headline == VERDICTS[stands.verdict]  # the word says it
    said = stands.why if named and stands.why else f"{stands.headline}. {stands.why}".rstrip(". ")
    record = say("By the record: {said}", said=said)
    bad = found.more[found.orders : found.must] if stands.verdict != "no-go" else ()
    tail = (*order, *bad, *tail[len(order) :])
    return Banner(VERDICTS[stands.verdict], record, tail, f"-{stands.verdict}", len(order) + len(bad))


def _but_for_going_up(s: Session, plan: Plan, tone: str) -> str:
    """The tone of plan and forecast, were nothing said of its still going up."""
    from anchorage.judging.verdict import GOING_UP  # noqa: PLC0415 - after the first screen

    found = s.weather_found if s.forecast_given else None
    o = None if found is None else found.outlook
    judged = [(plan.verdict, [r.code for r in plan.reasons])]
    judged += [] if o is None else [(o.verdict, [r.code for r in o.reasons])]
    if tone != "no-go" or any(v == "no-go" and codes[:1] != [GOING_UP] for v, codes in judged):
        return tone
    return "go" if all(codes in ([], [GOING_UP]) for _, codes in judged) else "unknown"


def forecast_leads(s: Session, plan: Plan) -> bool:
    """Whether what stands above everything is the headline of the forecast, and under it what is due first."""
    found = s.weather_found if s.forecast_given else None
    o = None if found is None else found.outlook
    return (
        s.stands is None and o is not None and WORST_LAST.index(o.verdict) >= WORST_LAST.index(plan.verdict)
    )


def _by_wind(s: Session, plan: Plan) -> Banner:
    """Of the wind that is typed and of the forecast the worse; the other one under it."""
    from tui.answer import banner_words  # noqa: PLC0415
    from tui.pages import next_limit, spread  # noqa: PLC0415 - after the first screen
    from tui.timeline import deadlines, orders  # noqa: PLC0415

    found = s.weather_found if s.forecast_given else None
    placed = say("Place") if plan.anchorage.sized else say("As placed")
    places = f"{placed}: {'; '.join(spread(plan)) or say('nothing')}"
    if found is None:
        bad, good = banner_words(plan, up_first=plan.leads != plan.verdict)
        word, rest = _split(plan.headline, plan.leads)
        if plan.verdict == "no-go" and plan.levels.level in ("normal", "secure") and plan.reasons:
            rest = f"{rest}. {plan.reasons[0].text.rstrip('.')}"  # it is not the gust that stands in the way
        return Banner(
            word, rest, _said(bad, good, next_limit(plan), places), f"-{plan.leads}", len(_said(bad))
        )
    typed = f"{_by(plan)}: {VERDICTS[plan.verdict]}; {next_limit(plan)}"
    if found.outlook is None:
        why = say("the forecast cannot be judged, Hours says why")
        return Banner(say("CANNOT SAY"), why, (typed, places), "-unknown")
    o, must = found.outlook, "; ".join(orders(found))
    due = must or next(iter(deadlines(found)), "")
    stands_worse = WORST_LAST.index(o.verdict) > WORST_LAST.index(plan.verdict)
    by_forecast = stands_worse or WORST_LAST.index(o.leads) >= WORST_LAST.index(plan.leads)
    of = o if by_forecast else plan
    bad, good = banner_words(plan, up_first=of.leads != of.verdict)
    must_stand = len(_said(due, bad))
    if by_forecast:
        return Banner(
            *_split(o.headline, o.leads),
            _said(due, bad, good, typed),
            f"-{o.leads}",
            must_stand,
            len(_said(due)),
        )
    forecast = say("Forecast: {headline}", headline=o.headline)
    said = _said(due, bad, good, forecast)
    return Banner(*_split(plan.headline, plan.leads), said, f"-{plan.leads}", must_stand, len(_said(due)))


def _said(*parts: str) -> tuple[str, ...]:
    return tuple(x for x in parts if x)


def _next(s: Session) -> str:
    if s.good is not None:
        return say("What stands below is from before.")
    return say("Fill in the form; nothing is taken as read.")


def _to_mend(answer: engine.Answer) -> str:
    faults = answer.faults
    names = [labelled(t.key) if t.key else cut(inert(t.text), 60) for t in faults]
    more = say(" and {names} more", names=len(names) - 3) if len(names) > 3 else ""
    return say(
        "{names} to correct (Ctrl+G goes there): {names_2}{more}",
        names=len(names),
        names_2="; ".join(names[:3]),
        more=more,
    )


def status(s: Session) -> list[str]:
    """File, what is not saved, what stands over what is typed."""
    parts = [inert(s.doc.name)]
    parts.append(say("NOT SAVED") if s.dirty else say("saved"))
    parts += [x for x in (inert(metering.status(s.meter)),) if x]
    if not s.place.owner:
        parts.append(say("OPEN IN ANOTHER WINDOW"))
    if s.underneath:
        parts.append(say("CHANGED ON DISK BY SOMEBODY ELSE"))
    if s.forecasts:
        parts.append(say("forecast {forecasts}", forecasts=inert(s.forecasts[-1].name)))
    return parts


def logged(s: Session) -> int:
    """How many entries of a record go over what is typed; those of before while something is typed."""
    plan = s.good.plan if s.good is not None else None
    return 0 if plan is None or plan.record is None else plan.record.entries


def to_heed(s: Session) -> int:
    """How many cautions and conditions there are to be read; those of before while something is typed."""
    plan = s.good.plan if s.good is not None else None
    return 0 if plan is None else len(plan.cautions) + len(plan.conditions)
