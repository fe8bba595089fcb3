"""chance: how likely an installation holds, and what is least sure about it."""

from __future__ import annotations

import argparse
import math
from collections.abc import Sequence
from dataclasses import asdict
from datetime import UTC, datetime, tzinfo
from typing import Any

from anchorage.chance.chance import Chance, Estimate, HeldGust, chance_of
from anchorage.cli.common import CommandError, Outcome, as_json, as_text, weather
from anchorage.cli.judge import opened
from anchorage.core.errors import InputFaults
from anchorage.core.say import say
from anchorage.core.tables import weakest
from anchorage.core.told import in_words
from anchorage.core.units import read as read_unit
from anchorage.deployment.models import About, ForecastIn, Times
from anchorage.judging.plan import assess
from anchorage.judging.result import Plan
from anchorage.judging.verdict import rating
from anchorage.outlook.asked import forecasts_of, zone_said
from anchorage.outlook.build import stay_of, with_thunder
from anchorage.outlook.chance_hours import HoursChance, hours_chance
from anchorage.outlook.clock import read_iso, seconds
from anchorage.outlook.hours import hours_of
from anchorage.paper.chance_text import WIND_ONLY, chance_lines

MOST_SAMPLES = 10_000_000
LEAST_SAMPLES = 1_000


def chance(args: argparse.Namespace) -> Outcome:
    """Draw the installation many times and count. The exit code is no verdict: 0, or 3 where a forecast bounds nothing."""
    if not LEAST_SAMPLES <= args.samples <= MOST_SAMPLES:
        raise CommandError(
            say(
                "--samples {samples}: give {least_samples} to {most_samples}; fewer say nothing, more do not fit",
                samples=args.samples,
                least_samples=LEAST_SAMPLES,
                most_samples=MOST_SAMPLES,
            )
        )
    if args.seed < 0:
        raise CommandError(say("--seed {seed}: a whole number from 0 up", seed=args.seed))
    d = opened(args)
    notes: list[str] = []
    spread = _spread(args)
    hours, zone = None, zone_said(args.zone, d.outlook)
    with_forecast = bool(args.forecast or args.say or d.forecast is not None or args.at is not None)
    if with_forecast and d.wind.bearing is not None:
        d = d.model_copy(update={"wind": d.wind.model_copy(update={"bearing": None})})
        notes.append(say("With a forecast, wind from any side counts in every hour."))
    a = assess(d)
    x, plan = a.installation, a.plan
    found = chance_of(x, samples=args.samples, seed=args.seed, gust_spread=spread)
    if with_forecast:
        hours = _by_hour(args, d.times, d.forecast, found, spread, zone)
    if rating(x) is None:
        notes.append(
            say(
                "The maker's wind rating is not in the file: this is the chance of the anchorage alone, not of the frame."
            )
        )
    else:
        notes.append(
            say("Above the maker's wind rating it counts as not holding; the frame itself has no spread.")
        )
    if (
        x.deployment.anchorage.stake is not None
        and x.deployment.anchorage.stake.pulled == "held"
        and found.tested
    ):
        notes.append(
            say(
                "The stakes that were pulled only held: how they differ was not measured, and the spread of clay from stake to stake is taken."
            )
        )
    notes.append(say("Lines, knots and attachments count at their rated load, without a spread."))
    if x.sized is not None:
        notes.append(say("The counts are those that anchorage check chooses."))
    notes += in_words(x.assumptions)
    code = 3 if hours is not None and hours.high is None else 0
    if args.json:
        return code, as_json(_as_data(d.deployment, found, hours, notes, plan))
    return code, as_text(
        chance_lines(d.deployment.name, found, d.deployment.show_units, hours, zone or UTC, notes, plan)
    )


def _spread(args: argparse.Namespace) -> float | None:
    if args.spread is None:
        return None
    try:
        spread = float(read_unit("speed", args.spread))
    except ValueError as e:
        raise InputFaults.of(say("command line"), "--spread", "", str(e)) from None
    if spread < 0:
        raise CommandError(say("--spread {spread}: a standard deviation, from 0 up", spread=args.spread))
    return spread


def _by_hour(
    args: argparse.Namespace, times: Times, forecast: ForecastIn | None, found: Chance, spread: float | None, zone: tzinfo | None,
) -> HoursChance:  # fmt: skip
    now = (
        seconds(datetime.now(UTC))
        if args.now is None
        else read_iso(args.now, say("command line"), "--now", zone)
    )
    start, end, _, _ = stay_of(times, zone, now)
    every = with_thunder(forecasts_of(weather(args), forecast, now, zone), [], now)
    inside = [h for h in hours_of(every, now, end) if h.end > start and h.start < end]
    draws = found.draws.clip(max=found.cap) if math.isfinite(found.cap) else found.draws
    return hours_chance(inside, draws, spread, end, zone or UTC)


def _estimate(e: Estimate) -> dict[str, Any]:
    return {
        "holds": None if e.probability is None else 1.0 - e.probability, "fails": e.probability,
        "fails_less_than": e.below, "standard_error": e.error, "method": e.method,
        "beta": e.beta, "first_order": e.first_order, "disagrees": e.disagrees,
    }  # fmt: skip


def _held(gusts: Sequence[HeldGust]) -> list[dict[str, float]]:
    return [{"chance": h.chance, "gust_m_s": h.gust, "standard_error_m_s": h.error} for h in gusts]


def _as_data(
    about: About, c: Chance, hours: HoursChance | None, notes: list[str], plan: Plan
) -> dict[str, Any]:
    return {
        "schema": 1, "name": about.name, "gust_m_s": c.gust, "gust_spread_m_s": c.gust_spread,
        "at_the_gust": _estimate(c.fails_at_gust), "with_the_spread_of_the_gust": _estimate(c.fails_with_spread),
        "gust_held": _held(c.held),
        "gust_held_median_m_s": c.median,
        "gust_held_by_the_anchorage_alone": _held(c.alone),
        "cap_m_s": c.cap if math.isfinite(c.cap) else None, "cap_by": c.cap_by or None,
        "check": {"verdict": plan.verdict, "headline": plan.headline}, "left_out": WIND_ONLY,
        "tested_stake_n": c.tested,
        "shares": [asdict(s) for s in c.shares],
        "spreads": [
            {"key": s.key, "label": s.label, "law": s.law, "size": s.size, "unit": s.row.unit, "how": s.row.how,
             "source": s.row.cite()} for s in c.spreads
        ],
        "forecast": None if hours is None else asdict(hours),
        "record": None if plan.record is None else plan.record.model_dump(mode="json"),
        "samples": c.samples, "seed": c.seed, "load_cases_left_out": c.audit,
        "provenance": {"weakest": weakest([r.how for r in c.rows])}, "assumptions": notes,
        "cautions": [{"key": x.key, "text": x.text, "source": x.source} for x in plan.cautions],
    }  # fmt: skip
