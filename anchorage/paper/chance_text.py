"""Chances as lines of text: words first, then what is least sure, then the figures for an engineer."""

from __future__ import annotations

from datetime import datetime, tzinfo

from anchorage.chance.chance import SHIFTED, Chance, Estimate
from anchorage.core.plain import cut, inert, table, wrap
from anchorage.core.tables import weakest
from anchorage.core.units import System, show
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
        return wrap(f"{name}: {e.method}, so less than {e.below:.2g} with a chance of 95 in 100.", "- ")
    error = "" if e.error is None else f", standard error {e.error:.1g}"
    text = f"{name}: {e.probability:.3g}{error}, {e.method}"
    if e.beta is not None and e.first_order is not None:
        text += f"; nearest design point at beta {e.beta:.2f}, first-order sum over the ways to fail {e.first_order:.3g}"
        if not e.probability / FAR <= e.first_order <= e.probability * FAR:
            text += " (far off: many ways to fail, or a bent limit; go by the samples)"
    if e.disagrees is not None:
        other = "counting" if e.method == SHIFTED else SHIFTED
        text += f". THE TWO WAYS DISAGREE: {other} gives {e.disagrees:.3g}, further off than their errors; the larger is given, and neither is sure"
    return wrap(text + ".", "- ")


def _words(e: Estimate) -> str:
    return words(e.below or 0.0) if e.probability is None else words(e.probability)


WIND_ONLY = (
    "Wind only: snow that lies or falls, the least load of a code and local policy are not in these chances."
)


def chance_lines(name: str, c: Chance, system: System, hours: HoursChance | None, zone: tzinfo, notes: list[str],
                 plan: Plan) -> list[str]:  # fmt: skip
    """Everything that is said of the chances of one installation."""
    gust = show("speed", c.gust, system, rounding="up")
    out = [
        inert(f"CHANCE: {name}"),
        *wrap(f"anchorage check says {_verdict(plan)}"),
        *(x for t in record_words(plan.record) for x in wrap(t)),
        "",
    ]
    out += wrap(f"Chance that it fails in a gust of {gust}: {_words(c.fails_at_gust)}.")
    out += wrap(f"If {gust} is a forecast, off as forecasts are: {_words(c.fails_with_spread)}.")
    for h in c.held:
        most = show("speed", h.gust, system, rounding="down")
        by = f", which is {c.cap_by}" if h.gust >= c.cap else ""
        out += wrap(f"With a chance of {h.chance * 100:.0f} in 100 it holds a gust of {most}{by}.")
    if c.tested is not None:
        pull = show("force", c.tested, system, rounding="down")
        out += wrap(f"By the pull tests another stake stands {pull} with a chance of 95 in 100.")
    if hours is not None:
        out += ["", *wrap(f"By the forecast: {hours.text}")]
    out += ["", *wrap(WIND_ONLY), *_levels(plan)]
    out += ["", rule("what is least sure"), *_shares(c)]
    if hours is not None:
        out += ["", rule("hour by hour"), *_hours(hours, system, zone)]
    out += ["", rule("for an engineer"), *_figure("Fails at the gust given", c.fails_at_gust)]
    out += _figure("Fails with the forecast's own spread", c.fails_with_spread)
    for h in c.alone:
        exact, error = (show("speed", v, system, digits=2) for v in (h.gust, h.error))
        out += wrap(
            f"Gust that the anchorage alone holds with {h.chance * 100:.0f} %: {exact}, standard error {error}.",
            "- ",
        )
    out += wrap(
        f"{c.samples} draws, seed {c.seed}; margins at 1, stakes at their ultimate strength, figures at the middle of their "
        f"ranges. {_audit(c.audit)}",
        "- ",
    )
    out += ["", rule("spreads"), *_spreads(c)]
    how = weakest([s.row.how for s in c.spreads])
    out += ["", *wrap(f"Weakest of these: {how}. A chance is no better than its spreads.")]
    if notes:
        out += ["", rule("assumed"), *bullets(notes)]
    return [*out, "", rule("cautions"), *bullets([f"{x.text} [{x.source}]" for x in plan.cautions])]


def _verdict(plan: Plan) -> str:
    first = plan.reasons[0].text if plan.verdict != "go" and plan.reasons else ""
    return inert(plan.headline if first in plan.headline else f"{plan.headline}: {first}")


def _levels(plan: Plan) -> list[str]:
    v = plan.levels
    if v.people_out_m_s is None or v.keep_away_m_s is None:
        return wrap("This changes no verdict: go by anchorage check and the maker's manual.")
    out, away = of_plan(plan).people_out, of_plan(plan).keep_away
    return wrap(
        f"This changes no verdict: PEOPLE OUT from {out}, KEEP AWAY from {away}, and the maker's manual first."
    )


def _audit(audit: float) -> str:
    if audit <= 0.0:
        return "Load cases that were left out changed nothing in a sample of draws."
    return f"Load cases that were left out changed a gust by {audit:.1g} of itself at the most, in a sample of draws."


def _shares(c: Chance) -> list[str]:
    rows = [[s.label, f"{round(100 * s.share)} %"] for s in c.shares if s.share >= LEAST]
    return table(rows, " >") if rows else ["nothing has a spread here"]


def _spreads(c: Chance) -> list[str]:
    rows = []
    for s in c.spreads:
        size = f"{s.size:g} deg" if s.row.unit == "deg" else f"{s.size:g}"
        rows.append([s.label, s.law, size, s.row.how])
    return table([["figure", "law", "spread", "how known"], *rows], "  > ")


def _hours(hours: HoursChance, system: System, zone: tzinfo) -> list[str]:
    rows = []
    for h in hours.hours:
        at = moment(int(datetime.fromisoformat(h.start).timestamp()), zone)
        gust = "-" if h.gust_m_s is None else show("speed", h.gust_m_s, system, rounding="up")
        said = (
            f"cannot say: {h.why.removeprefix('the forecast is ')}"
            if h.probability is None
            else words(h.probability)
        )
        rows.append([at, gust, cut(inert(said), 34)])
    return table(rows, " > ")
