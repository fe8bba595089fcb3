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
from anchorage.core.units import System
from anchorage.core.units import show as show_unit
from anchorage.core.words import VERDICTS, so_many
from anchorage.outlook.clock import iso, show, utc

HALF = 0.5
"""Of a year unknown: it says nothing of how years differ."""
MONTHS = ("Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec")
FITS = {GUMBEL: "annual maxima (Gumbel)", PARETO: "peaks (Pareto)"}


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
        "assumptions": [*c.notes, *x.plan.assumptions], "conditions": x.plan.conditions,
        "cautions": [t.text for t in x.plan.cautions], "provenance": {"weakest": x.plan.provenance.weakest},
    }  # fmt: skip


def percent(share: float) -> str:
    """A share in per cent; a little is never nothing, and nearly all is never all."""
    if math.isnan(share):
        return "-"
    if 0.0 < share < 0.001:
        return "<0.1 %"
    if 0.999 < share < 1.0:
        return ">99.9 %"
    return f"{100 * share:.0f} %" if share in (0.0, 1.0) else f"{100 * share:.1f} %"


def _whole(share: float) -> str:
    """Per cent without decimals, never more than it is."""
    return f"{math.floor(100 * share + 1e-9)}"


def headline(c: Climate) -> str:
    """What stands in its way whatever the wind first, then how often it may stand."""
    s = dict(zip(windows.SHARES, windows.shares(c.total), strict=True))
    x = c.takes.limits
    block = next(
        (b.text for b in x.blocks if b.verdict == c.verdict),
        "the maker's rating is missing" if x.rating_missing else "",
    )
    first = "" if c.verdict == "go" else f"{VERDICTS[c.verdict]}: {block} By wind alone: "
    return c.takes.plan.policy.after(
        f"{first}{'o' if first else 'O'}f all windows of {c.n} h: people in {percent(s['share_in'])}, empty only {percent(s['share_empty'])}, "
        f"must come down {percent(s['share_down'])}, unknown {percent(s['share_unknown'])}"
    )


def _gust(v: float, system: System, *, up: bool) -> str:
    return show_unit("speed", v, system, rounding="up" if up else "down")


def _month_rows(c: Climate) -> list[list[str]]:
    rows = [["start in", "people in", "empty", "down", "unknown", "best hour", "worst hour", "years"]]
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
        years = f"{_whole(usual.min())} to {_whole(usual.max())} %" if usual.size > 1 else "-"
        rows.append([
            MONTHS[m], *(percent(v) for v in s), f"{best:02d}:00 {_whole(each[best])} %", f"{worst:02d}:00 {_whole(each[worst])} %", years,
        ])  # fmt: skip
    return rows


def _return_lines(c: Climate, system: System) -> list[str]:
    if not c.returns:
        return [line for t in c.refused for line in wrap(f"No gust of a return period. {t}")]
    chance = round(100 * tables.row("climate-extremes", "interval").value)
    rows = [
        [
            f"reached once in ({chance} % range)",
            *(FITS[f] for f in FITS if any(g.fit == f for g in c.returns)),
        ]
    ]
    for years in dict.fromkeys(g.years for g in c.returns):
        cells = []
        for f in FITS:
            g = next((g for g in c.returns if g.fit == f and g.years == years), None)
            if g is not None:
                high = _gust(g.high, system, up=True) if math.isfinite(g.high) else "?"
                cells.append(
                    f"{_gust(g.gust, system, up=True)} ({_gust(g.low, system, up=False).partition(' ')[0]} to {high.partition(' ')[0]})"
                )
        rows.append([f"{years:g} years", *cells])
    storms = (
        ""
        if c.peaks is None
        else f", {len(c.peaks.excess)} storms over {_gust(c.peaks.over, system, up=True)}"
    )
    out = [
        "",
        *table(rows, "lll"),
        *wrap(
            f"From {len(c.whole_years)} whole years{storms}. No factor for a short stay; they are in no limit."
        ),
    ]
    return out + [line for t in c.refused for line in wrap(t)]


def _kit_lines(kits: Sequence[Kit], system: System) -> list[str]:
    rows = [["kit, sized alike", "needs", "mass", "volume", "work", "holds", "people in"]]
    ends = list[str]()
    for k in kits:
        if k.why:
            ends += wrap(f"{k.name}: does not do it: {k.why}")
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
            line for item, n in k.short.items() for line in wrap(f"{k.name}: its stock is {n} {item} short.")
        ]
    return (
        [
            "",
            *table(rows, "llrrrrr"),
            *ends,
            *wrap(
                "Each kit has the least with which it stands as often with people in. Work: hours of one person.",
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
    holds = "no limit" if not math.isfinite(x.limits.gust) else _gust(x.limits.gust, system, up=False)
    span = f"{utc(h.first):%Y-%m-%d} to {utc(h.first + 3600 * len(h) - 3600):%Y-%m-%d}"
    out += wrap(
        f"{x.plan.name}: holds to {holds}, {x.limits.governed_by}. {h.reports.station or h.reports.name}, {span}, clock {c.zone}.",
        wide=79,
    )
    if c.unknown_but[0]:
        out += wrap(f"Of the {c.total[windows.UNKNOWN]} unknown windows {c.unknown_but[0]} had a gust that empties it, {c.unknown_but[1]} one that takes it down: stations fail in storms.", wide=79)  # fmt: skip
    if c.occasions is not None:
        out += wrap(
            f"People have to be out {c.occasions.people_out:.1f} times a year, it has to be down {c.occasions.come_down:.1f} times.",
            wide=79,
        )
    if c.wet is not None:
        wet = "no limit" if not math.isfinite(c.wet[0]) else _gust(c.wet[0], system, up=False)
        out += wrap(
            f"On wet ground it holds to {wet}: people in in {percent(c.wet[1])} if the ground were always wet.",
            wide=79,
        )
    out += ["", *table(_month_rows(c), "lrrrrrrr")]
    years = spread(c)
    if years is not None:
        out += wrap(
            f"All months, by years: people in in {percent(years[0])} to {percent(years[1])}.", wide=79
        )
    out += _return_lines(c, system)
    if c.highest:
        top = "; ".join(
            f"{_gust(g.gust, system, up=True)} {show(g.at, zone)} {utc(g.at):%Y}" for g in c.highest[:3]
        )
        out += wrap(f"Highest: {top}. Look at them: a broken sensor shows here.", wide=79)
    out += _kit_lines(kits, system)
    out += ["", *(line for n in c.notes for line in wrap(n, "  ", wide=79))]
    out += [line for t in x.plan.conditions for line in wrap(t, "  ", wide=79)]
    return [*out, "", *(line for t in x.plan.cautions for line in wrap(t.short or t.text, "- ", wide=79))]


COLUMNS = ("month", "hour", "windows", *windows.SHARES)


def as_csv(c: Climate) -> str:
    """Every month and hour as a table."""
    out = io.StringIO()
    w = csv.writer(out, lineterminator="\n")
    w.writerow(COLUMNS)
    for row in by_months(c):
        w.writerow([row[k] for k in COLUMNS])
    return out.getvalue()
