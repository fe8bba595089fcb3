"""Chances as lines of text: words first, then what is least sure, then the figures for an engineer."""

from __future__ import annotations

import math
from collections.abc import Sequence
from datetime import datetime, tzinfo

from anchorage.chance import Chance, Estimate
from anchorage.outlook.chance import words
from anchorage.outlook.chance_hours import HoursChance
from anchorage.outlook.clock import show as moment
from anchorage.result import CautionOut
from anchorage.sheet import cut, inert, table, wrap
from anchorage.sheet.text import bullets, rule
from anchorage.tables import weakest
from anchorage.units import System, show

LEAST = 0.005


def _figure(name: str, e: Estimate) -> list[str]:
    text = f"{name}: {e.probability:.3g}, standard error {e.error:.1g}, {e.method}"
    if e.beta is not None and math.isfinite(e.beta):
        text += f"; check by first-order reliability: beta {e.beta:.2f}, {e.first_order:.3g}"
    return wrap(text + ".", "- ")


def chance_lines(name: str, c: Chance, system: System, hours: HoursChance | None, zone: tzinfo, notes: list[str],
                 cautions: Sequence[CautionOut]) -> list[str]:  # fmt: skip
    """Everything that is said of the chances of one installation."""
    gust = show("speed", c.gust, system, rounding="up")
    out = [inert(f"CHANCE: {name}"), ""]
    out += wrap(
        f"A gust of {gust} passes what it holds: {words(c.fails_at_gust.probability)}. "
        f"A forecast of {gust}, which may be off as forecasts are: {words(c.fails_with_spread.probability)}."
    )
    for h in c.held:
        most = show("speed", h.gust, system, rounding="down")
        out += wrap(f"With a chance of {h.chance * 100:.0f} in 100 it holds a gust of {most}.")
    if c.tested is not None:
        pull = show("force", c.tested, system, rounding="down")
        out += wrap(f"By the pull tests another stake stands {pull} with a chance of 95 in 100.")
    if hours is not None:
        out += ["", *wrap(f"By the forecast: {hours.text}")]
    out += [
        "",
        *wrap("This changes no verdict. Go by anchorage check, by the levels, and by the maker's manual."),
    ]
    out += ["", rule("what is least sure"), *_shares(c)]
    if hours is not None:
        out += ["", rule("hour by hour"), *_hours(hours, system, zone)]
    out += ["", rule("for an engineer"), *_figure("Fails at the gust given", c.fails_at_gust)]
    out += _figure("Fails with the forecast's own spread", c.fails_with_spread)
    for h in c.held:
        exact, error = (f"{v:.3g} m/s" for v in (h.gust, h.error))
        out += wrap(f"Gust held with {h.chance * 100:.0f} %: {exact}, standard error {error}.", "- ")
    out += wrap(
        f"{c.samples} draws, seed {c.seed}; margins at 1, stakes at their ultimate strength, figures at the middle of their "
        f"ranges. Load cases left out changed a gust by at most {c.audit:.1g} of itself.",
        "- ",
    )
    out += ["", rule("spreads"), *_spreads(c)]
    how = weakest([s.row.how for s in c.spreads])
    out += ["", *wrap(f"Weakest of these: {how}. A chance is no better than its spreads.")]
    if notes:
        out += ["", rule("assumed"), *bullets(notes)]
    return [*out, "", rule("cautions"), *bullets([f"{x.text} [{x.source}]" for x in cautions])]


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
        said = f"cannot say: {h.why}" if h.probability is None else words(h.probability)
        rows.append([at, gust, cut(inert(said), 36)])
    return table(rows, " > ")
