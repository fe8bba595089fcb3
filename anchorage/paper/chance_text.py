"""Chances as lines of text: words first, then what is least sure, then the figures for an engineer."""

from __future__ import annotations

from datetime import datetime, tzinfo

from anchorage.chance.chance import SHIFTED, Chance, Estimate
from anchorage.core.plain import cut, inert, table, wrap
from anchorage.core.say import later, numeral, say
from anchorage.core.tables import weakest
from anchorage.core.units import System, show
from anchorage.core.words import spoken
from anchorage.judging.gusts import of_plan
from anchorage.judging.result import Plan
from anchorage.outlook.chance import words
from anchorage.outlook.chance_hours import HoursChance
from anchorage.outlook.clock import show as moment
from anchorage.paper.text import bullets, rule
from anchorage.paper.words import record_words

LEAST = 0.005
FAR = 5.0


def _figure(name: str, e: Estimate) -> list[str]:
    if e.probability is None:
        return wrap(
            say(
                "{name}: {method}, so less than {below} with a chance of 95 in 100.",
                name=name,
                method=e.method,
                below=numeral(e.below, ".2g"),
            ),
            "- ",
        )
    error = "" if e.error is None else say(", standard error {error}", error=numeral(e.error, ".1g"))
    text = f"{name}: {e.probability:.3g}{error}, {e.method}"
    if e.beta is not None and e.first_order is not None:
        text += say(
            "; nearest design point at beta {beta}, first-order sum over the ways to fail {first_order}",
            beta=numeral(e.beta, ".2f"),
            first_order=numeral(e.first_order, ".3g"),
        )
        if not e.probability / FAR <= e.first_order <= e.probability * FAR:
            text += say(" (far off: many ways to fail, or a bent limit; go by the samples)")
    if e.disagrees is not None:
        other = say("counting") if e.method == SHIFTED else SHIFTED
        text += say(
            ". THE TWO WAYS DISAGREE: {other} gives {disagrees}, further off than their errors; the larger is given, and neither is sure",
            other=other,
            disagrees=numeral(e.disagrees, ".3g"),
        )
    return wrap(text + ".", "- ")


def _words(e: Estimate) -> str:
    return words(e.below or 0.0) if e.probability is None else words(e.probability)


WIND_ONLY = later(
    "Wind only: snow that lies or falls, the least load of a code and local policy are not in these chances."
)


def chance_lines(name: str, c: Chance, system: System, hours: HoursChance | None, zone: tzinfo, notes: list[str],
                 plan: Plan) -> list[str]:  # fmt: skip
    """Everything that is said of the chances of one installation."""
    gust = show("speed", c.gust, system, rounding="up")
    out = [
        inert(say("CHANCE: {name}", name=name)),
        *wrap(say("anchorage check says {verdict}", verdict=_verdict(plan))),
        *(x for t in record_words(plan.record) for x in wrap(t)),
        "",
    ]
    out += wrap(
        say("Chance that it fails in a gust of {gust}: {words}.", gust=gust, words=_words(c.fails_at_gust))
    )
    out += wrap(
        say(
            "If {gust} is a forecast, off as forecasts are: {words}.",
            gust=gust,
            words=_words(c.fails_with_spread),
        )
    )
    for h in c.held:
        most = show("speed", h.gust, system, rounding="down")
        by = say(", which is {cap_by}", cap_by=spoken(c.cap_by)) if h.gust >= c.cap else ""
        out += wrap(
            say(
                "With a chance of {chance} in 100 it holds a gust of {most}{by}.",
                chance=f"{h.chance * 100:.0f}",
                most=most,
                by=by,
            )
        )
    if c.tested is not None:
        pull = show("force", c.tested, system, rounding="down")
        out += wrap(
            say("By the pull tests another stake stands {pull} with a chance of 95 in 100.", pull=pull)
        )
    if hours is not None:
        out += ["", *wrap(say("By the forecast: {hours}", hours=hours.text))]
    out += ["", *wrap(WIND_ONLY), *_levels(plan)]
    out += ["", rule(say("what is least sure")), *_shares(c)]
    if hours is not None:
        out += ["", rule(say("hour by hour")), *_hours(hours, system, zone)]
    out += ["", rule(say("for an engineer")), *_figure(say("Fails at the gust given"), c.fails_at_gust)]
    out += _figure(say("Fails with the forecast's own spread"), c.fails_with_spread)
    for h in c.alone:
        exact, error = (show("speed", v, system, digits=2) for v in (h.gust, h.error))
        out += wrap(
            say(
                "Gust that the anchorage alone holds with {chance} %: {exact}, standard error {error}.",
                chance=f"{h.chance * 100:.0f}",
                exact=exact,
                error=error,
            ),
            "- ",
        )
    out += wrap(
        say(
            "{samples} draws, seed {seed}; margins at 1, stakes at their ultimate strength, figures at the middle of their ranges. {audit}",
            samples=c.samples,
            seed=c.seed,
            audit=_audit(c.audit),
        ),
        "- ",
    )
    out += ["", rule(say("spreads")), *_spreads(c)]
    how = weakest([s.row.how for s in c.spreads])
    out += [
        "",
        *wrap(say("Weakest of these: {how}. A chance is no better than its spreads.", how=spoken(how))),
    ]
    if notes:
        out += ["", rule(say("assumed")), *bullets(notes)]
    return [*out, "", rule(say("cautions")), *bullets([f"{x.text} [{x.source}]" for x in plan.cautions])]


def _verdict(plan: Plan) -> str:
    first = plan.reasons[0].text if plan.verdict != "go" and plan.reasons else ""
    return inert(plan.headline if first in plan.headline else f"{plan.headline}: {first}")


def _levels(plan: Plan) -> list[str]:
    v = plan.levels
    if v.people_out_m_s is None or v.keep_away_m_s is None:
        return wrap(say("This changes no verdict: go by anchorage check and the maker's manual."))
    out, away = of_plan(plan).people_out, of_plan(plan).keep_away
    return wrap(
        say(
            "This changes no verdict: PEOPLE OUT from {out}, KEEP AWAY from {away}, and the maker's manual first.",
            out=out,
            away=away,
        )
    )


def _audit(audit: float) -> str:
    if audit <= 0.0:
        return say("Load cases that were left out changed nothing in a sample of draws.")
    return say(
        "Load cases that were left out changed a gust by {audit} of itself at the most, in a sample of draws.",
        audit=numeral(audit, ".1g"),
    )


def _shares(c: Chance) -> list[str]:
    rows = [[say(s.label), f"{round(100 * s.share)} %"] for s in c.shares if s.share >= LEAST]
    return table(rows, " >") if rows else [say("nothing has a spread here")]


def _spreads(c: Chance) -> list[str]:
    rows = []
    for s in c.spreads:
        size = say("{size} deg", size=numeral(s.size, "g")) if s.row.unit == "deg" else f"{s.size:g}"
        rows.append([say(s.label), s.law, size, spoken(s.row.how)])
    return table([[say("figure"), say("law"), say("spread"), say("how known")], *rows], "  > ")


def _hours(hours: HoursChance, system: System, zone: tzinfo) -> list[str]:
    rows = []
    for h in hours.hours:
        at = moment(int(datetime.fromisoformat(h.start).timestamp()), zone)
        gust = "-" if h.gust_m_s is None else show("speed", h.gust_m_s, system, rounding="up")
        said = say("cannot say: {why}", why=h.why) if h.probability is None else words(h.probability)
        rows.append([at, gust, cut(inert(said), 46)])
    return table(rows, " > ")
