"""What years of weather come to, in a page and as one JSON object."""

from __future__ import annotations

import csv
import io
import math
from collections.abc import Sequence
from datetime import tzinfo
from typing import Any

import numpy as np

from anchorage.climate import windows
from anchorage.climate.build import Climate, by_months, by_years, spread
from anchorage.climate.extremes import GUMBEL, PARETO
from anchorage.climate.kits import Kit
from anchorage.core import tables
from anchorage.core.plain import cut, table, wrap
from anchorage.core.say import ENGLISH, decimal, language, later, numeral, say, signs, speaking
from anchorage.core.told import in_words
from anchorage.core.units import System, shown
from anchorage.core.units import show as show_unit
from anchorage.core.words import VERDICTS, so_many, spoken
from anchorage.outlook.clock import iso, show, utc

HALF = 0.5
"""Of a year unknown: it says nothing of how years differ."""
FITS = {GUMBEL: later("annual maxima (Gumbel)"), PARETO: later("peaks (Pareto)")}


def _finite(v: float | None) -> float | None:
    return None if v is None or not math.isfinite(v) else v


def _kit_data(k: Kit) -> dict[str, Any]:
    return {
        "name": k.name, "counts": k.counts, "mass_kg": k.mass_kg, "carried_kg": k.carried_kg, "volume_m3": k.volume_m3, "person_min": k.person_min,
        "gust_m_s": k.gust_m_s, **{key: _finite(v) for key, v in k.shares.items()}, "short": k.short, "does_it": not k.why, "why": k.why or None,
    }  # fmt: skip


def as_data(c: Climate, kits: Sequence[Kit] = ()) -> dict[str, Any]:
    """One JSON object. Speeds m/s, times ISO 8601 UTC; months and hours by the clock of the people."""
    x, h, total = c.takes, c.hours, windows.shares(c.total)
    known = int(np.count_nonzero(~np.isnan(h.gust)))
    row = tables.row("gust-coding", "hidden")
    return {
        "schema": 1, "name": x.plan.name, "verdict": c.verdict, "headline": headline(c), "hours": c.n,
        "limit_gust_m_s": _finite(x.limits.gust), "governed_by": x.limits.governed_by, "by_direction": bool(x.limits.by_bearing),
        "policy": x.plan.policy.model_dump(mode="json"),
        "station": h.reports.station, "from": iso(h.first), "to": iso(h.first + 3600 * len(h)), "zone": str(c.zone),
        "hours_in_all": len(h), "hours_known": known, "hours_reported": int(np.count_nonzero(h.reported)),
        "gust_rule": {"name": "reporting threshold", "adds_m_s": row.value, "source": row.cite(), "how": row.how},
        "windows": int(c.total.sum()), **dict(zip(windows.SHARES, (float(v) for v in total), strict=True)),
        "unknown_but": {"at_least_empty": c.unknown_but[0], "come_down": c.unknown_but[1]},
        "occasions_per_year": None if c.occasions is None else {"people_out": c.occasions.people_out, "come_down": c.occasions.come_down},
        "months": by_months(c), "years": by_years(c),
        "return_gusts": [{"years": g.years, "gust_m_s": g.gust, "low": _finite(g.low), "high": _finite(g.high), "fit": g.fit} for g in c.returns],
        "return_refused": list(c.refused), "whole_years": list(c.whole_years),
        "threshold_m_s": None if c.peaks is None else c.peaks.over, "storms": None if c.peaks is None else len(c.peaks.excess),
        "interval": tables.row("climate-extremes", "interval").value,
        "highest": [{"time": iso(g.at), "gust_m_s": g.gust, "from_deg": g.bearing, "reported": g.reported} for g in c.highest],
        "wet": None if c.wet is None else {"limit_gust_m_s": _finite(c.wet[0]), "share_in": c.wet[1]},
        "kits": [_kit_data(k) for k in kits],
        "reasons": [{"code": b.code, "text": b.text} for b in x.limits.blocks],
        "assumptions": [*c.notes, *in_words(x.plan.assumptions)], "conditions": in_words(x.plan.conditions),
        "cautions": [t.text for t in x.plan.cautions], "provenance": {"weakest": x.plan.provenance.weakest},
    }  # fmt: skip


def percent(share: float) -> str:
    """A share in per cent; a little is never nothing, and nearly all is never all."""
    if math.isnan(share):
        return "-"
    if 0.0 < share < 0.001:
        return decimal("<0.1 %")
    if 0.999 < share < 1.0:
        return decimal(">99.9 %")
    return f"{100 * share:.0f} %" if share in (0.0, 1.0) else decimal(f"{100 * share:.1f} %")


def _whole(share: float) -> str:
    """Per cent without decimals, never more than it is."""
    return f"{math.floor(100 * share + 1e-9)}"


def headline(c: Climate) -> str:
    """What stands in its way whatever the wind first, then how often it may stand."""
    s = dict(zip(windows.SHARES, windows.shares(c.total), strict=True))
    x = c.takes.limits
    block = next(
        (b.text for b in x.blocks if b.verdict == c.verdict),
        say("the maker's rating is missing") if x.rating_missing else "",
    )
    shares = {k.removeprefix("share_"): percent(v) for k, v in s.items()}
    text = (
        say("Of all windows of {n} h: people in {in}, empty only {empty}, must come down {down}, unknown {unknown}", n=c.n, **shares)
        if c.verdict == "go"
        else say(
            "{verdict}: {why} By wind alone, of all windows of {n} h: people in {in}, empty only {empty}, must come down {down}, unknown {unknown}",
            verdict=VERDICTS[c.verdict], why=block, n=c.n, **shares,
        )
    )  # fmt: skip
    return c.takes.plan.policy.after(text)


def _gust(v: float, system: System, *, up: bool) -> str:
    return show_unit("speed", v, system, rounding="up" if up else "down")


def _month_rows(c: Climate) -> list[list[str]]:
    rows = [
        [
            say("start in"),
            say("people in"),
            say("empty"),
            say("down"),
            say("unknown"),
            say("best hour"),
            say("worst hour"),
            say("years"),
        ]
    ]
    for m in range(12):
        of = c.by_hour[m]
        if not of.sum():
            continue
        s = windows.shares(of.sum(axis=0))
        each = windows.shares(of)[:, windows.IN]
        there = np.flatnonzero(~np.isnan(each))
        best, worst = there[np.argmax(each[there])], there[np.argmin(each[there])]
        per_year = windows.shares(c.by_year[:, m])
        usual = per_year[:, windows.IN][per_year[:, windows.UNKNOWN] < HALF]
        years = (
            say("{low} to {high} %", low=_whole(usual.min()), high=_whole(usual.max()))
            if usual.size > 1
            else "-"
        )
        rows.append([
            signs(language()).months[m], *(percent(v) for v in s), f"{best:02d}:00 {_whole(each[best])} %", f"{worst:02d}:00 {_whole(each[worst])} %", years,
        ])  # fmt: skip
    return rows


def _return_lines(c: Climate, system: System) -> list[str]:
    if not c.returns:
        return [line for t in c.refused for line in wrap(say("No gust of a return period. {why}", why=t))]
    chance = round(100 * tables.row("climate-extremes", "interval").value)
    rows = [
        [
            say("reached once in ({chance} % range)", chance=chance),
            *(str(FITS[f]) for f in FITS if any(g.fit == f for g in c.returns)),
        ]
    ]
    for years in dict.fromkeys(g.years for g in c.returns):
        cells = []
        for f in FITS:
            g = next((g for g in c.returns if g.fit == f and g.years == years), None)
            if g is not None:
                high = shown("speed", g.high, system, rounding="up").number if math.isfinite(g.high) else "?"
                low = shown("speed", g.low, system, rounding="down").number
                cells.append(f"{_gust(g.gust, system, up=True)} ({low} to {high})")
        rows.append([say("{years} years", years=numeral(years, "g")), *cells])
    storms = (
        ""
        if c.peaks is None
        else say(", {n} storms over {gust}", n=len(c.peaks.excess), gust=_gust(c.peaks.over, system, up=True))
    )
    out = [
        "",
        *table(rows, "lll"),
        *wrap(
            say(
                "From {n} whole years{storms}. No factor for a short stay; they are in no limit.",
                n=len(c.whole_years),
                storms=storms,
            )
        ),
    ]
    return out + [line for t in c.refused for line in wrap(t)]


def _kit_lines(kits: Sequence[Kit], system: System) -> list[str]:
    rows = [
        [
            say("kit, sized alike"),
            say("needs"),
            say("mass"),
            say("volume"),
            say("work"),
            say("holds"),
            say("people in"),
        ]
    ]
    ends = list[str]()
    for k in kits:
        if k.why:
            ends += wrap(say("{name}: does not do it: {why}", name=k.name, why=k.why))
            continue
        mass = show_unit("mass", k.mass_kg, system, rounding="up")
        volume = "-" if k.volume_m3 is None else show_unit("volume", k.volume_m3, system, rounding="up")
        holds = "-" if k.gust_m_s is None else _gust(k.gust_m_s, system, up=False)
        needs = ", ".join(so_many(n, item) for item, n in k.counts.items())
        rows.append(
            [
                cut(k.name, 22),
                needs,
                mass,
                volume,
                f"{k.person_min / 60:.1f} h",
                holds,
                percent(k.shares["share_in"]),
            ]
        )
        ends += [
            line
            for item, n in k.short.items()
            for line in wrap(say("{name}: its stock is {n} {item} short.", name=k.name, n=n, item=item))
        ]
    return (
        [
            "",
            *table(rows, "llrrrrr"),
            *ends,
            *wrap(
                say(
                    "Each kit has the least with which it stands as often with people in. Work: hours of one person."
                ),
                wide=79,
            ),
        ]
        if kits
        else []
    )


def lines(c: Climate, system: System, zone: tzinfo, kits: Sequence[Kit] = ()) -> list[str]:
    """The page."""
    x, h = c.takes, c.hours
    out = wrap(headline(c), wide=79)
    holds = say("no limit") if not math.isfinite(x.limits.gust) else _gust(x.limits.gust, system, up=False)
    span = f"{utc(h.first):%Y-%m-%d} to {utc(h.first + 3600 * len(h) - 3600):%Y-%m-%d}"
    out += wrap(
        say(
            "{name}: holds to {holds}, {governed_by}. {station}, {span}, clock {zone}.",
            name=x.plan.name,
            holds=holds,
            governed_by=spoken(x.limits.governed_by),
            station=h.reports.station or h.reports.name,
            span=span,
            zone=c.zone,
        ),
        wide=79,
    )
    if c.unknown_but[0]:
        out += wrap(say("Of the {n} unknown windows {empty} had a gust that empties it, {down} one that takes it down: stations fail in storms.", n=c.total[windows.UNKNOWN], empty=c.unknown_but[0], down=c.unknown_but[1]), wide=79)  # fmt: skip
    if c.occasions is not None:
        out += wrap(
            say(
                "People have to be out {out} times a year, it has to be down {down} times.",
                out=numeral(c.occasions.people_out, ".1f"),
                down=numeral(c.occasions.come_down, ".1f"),
            ),
            wide=79,
        )
    if c.wet is not None:
        wet = say("no limit") if not math.isfinite(c.wet[0]) else _gust(c.wet[0], system, up=False)
        out += wrap(
            say(
                "On wet ground it holds to {wet}: with people in {share} if the ground were always wet.",
                wet=wet,
                share=percent(c.wet[1]),
            ),
            wide=79,
        )
    out += ["", *table(_month_rows(c), "lrrrrrrr")]
    years = spread(c)
    if years is not None:
        out += wrap(
            say(
                "All months, by years: with people in {low} to {high}.",
                low=percent(years[0]),
                high=percent(years[1]),
            ),
            wide=79,
        )
    out += _return_lines(c, system)
    if c.highest:
        top = "; ".join(
            f"{_gust(g.gust, system, up=True)} {show(g.at, zone)} {utc(g.at):%Y}" for g in c.highest[:3]
        )
        out += wrap(say("Highest: {top}. Look at them: a broken sensor shows here.", top=top), wide=79)
    out += _kit_lines(kits, system)
    out += ["", *(line for n in c.notes for line in wrap(n, "  ", wide=79))]
    out += [line for t in in_words(x.plan.conditions) for line in wrap(t, "  ", wide=79)]
    return [*out, "", *(line for t in x.plan.cautions for line in wrap(t.short or t.text, "- ", wide=79))]


COLUMNS = ("month", "hour", "windows", *windows.SHARES)


@speaking(ENGLISH)
def as_csv(c: Climate) -> str:
    """Every month and hour as a table."""
    out = io.StringIO()
    w = csv.writer(out, lineterminator="\n")
    w.writerow(COLUMNS)
    for row in by_months(c):
        w.writerow([row[k] for k in COLUMNS])
    return out.getvalue()
