"""What a region comes to, in a few lines and as one JSON object."""

from __future__ import annotations

from collections.abc import Hashable
from datetime import tzinfo
from typing import Any

import numpy as np
import xarray as xr

from anchorage.core.plain import table, wrap
from anchorage.core.say import plural, say
from anchorage.core.told import in_words
from anchorage.core.units import System
from anchorage.core.units import show as show_unit
from anchorage.core.words import VERDICTS, spoken
from anchorage.judging.result import Verdict
from anchorage.outlook import chance, rule
from anchorage.outlook.clock import HOUR, iso, show
from anchorage.outlook.limits import subject_of
from anchorage.paper.words import record_words
from anchorage.region.evaluate import Region
from anchorage.region.kernel import LEVELS


def counts(ds: xr.Dataset) -> dict[Verdict, int]:
    """Cells of each verdict."""
    found = np.bincount(ds["verdict"].values.reshape(-1), minlength=3)
    return {v: int(found[k]) for k, v in enumerate(rule.VERDICTS)}


def _cells(n: int) -> str:
    return plural("{n} cell", "{n} cells", n)


def verdict_of(ds: xr.Dataset) -> Verdict:
    """The worst of all cells."""
    return rule.VERDICTS[int(ds["verdict"].max())]


def headline(region: Region, ds: xr.Dataset, zone: tzinfo) -> str:
    """The verdict with the cells that it holds for."""
    each = counts(ds)
    parts = [
        say("{verdict} in {n}", verdict=VERDICTS[v], n=each[v]) for v in ("no-go", "unknown", "go") if each[v]
    ]
    cells = sum(each.values())
    return say(
        "{parts} of {cells}: {subject}, until {window}",
        parts=", ".join(parts),
        cells=_cells(cells),
        subject=spoken(subject_of(region.job.use)),
        window=show(region.job.window[1], zone),
    )


def _times(ds: xr.Dataset, name: str) -> Any:
    v = ds[name].values
    return v[np.isfinite(v)]


def _asked(ds: xr.Dataset) -> xr.Dataset:
    """The same with the time to take down in those cells alone where some hour asks for it: an hour at SECURE or over, or one that is unknown before."""
    reached = ds["hours_to_secure"].notnull().any(_members(ds)) | (ds["may_be_earlier"] > 0)
    return ds.assign(start_strike_by=ds["start_strike_by"].where(reached))


def _where(region: Region, ds: xr.Dataset, name: str) -> str:
    """The cell with the earliest time, by its coordinates."""
    v = ds[name].values
    at = np.unravel_index(int(np.nanargmin(v)), v.shape)
    parts = [f"{d} {ds[d].values[i]:g}" if d in ds.coords and ds[d].dtype.kind in "iuf" else f"{d} no. {i + 1}"
             for d, i in zip(region.grid.cells, at, strict=True)]  # fmt: skip
    return ", ".join(parts)


def as_data(region: Region, ds: xr.Dataset, zone: tzinfo) -> dict[str, Any]:
    """One JSON object. Speeds m/s, times ISO 8601 UTC, chances of the worst cell."""
    grid, job = region.grid, region.job
    limit = region.limits.gust
    levels = {}
    for name in LEVELS:
        hours = ds[f"hours_to_{name}"]
        reached = hours.notnull()
        first = iso(round(job.hours.now + float(hours.min()) * HOUR)) if reached.any() else None
        one: dict[str, Any] = {"cells": int(reached.any(_members(ds)).sum()), "first": first}
        if grid.members > 1:
            one["chance"] = [_finite(ds[f"chance_{name}_{end}"].values) for end in ("low", "high")]
        levels[name] = one
    deadlines = {}
    for name, lead in region.leads.items():
        v = _times(ds, name)
        deadlines[name] = {"earliest": iso(int(v.min())) if v.size else None, "cells": int(v.size), "past": int((v < job.hours.now).sum()), "missing": lead.missing}  # fmt: skip
    return {
        "schema": 1, "name": region.name, "verdict": verdict_of(ds), "headline": region.plan.policy.after(headline(region, ds, zone)), "subject": subject_of(job.use),
        "now": iso(job.hours.now), "start": iso(job.window[0]), "end": iso(job.window[1]), "cells": int(ds["verdict"].size),
        "members": grid.members, "hours": len(job.hours.starts), "verdicts": counts(ds),
        "cells_with_unknown_hours": _unknown_cells(ds),
        "cells_where_deadlines_may_be_earlier": int((ds["may_be_earlier"] > 0).sum()), "limit_gust_m_s": limit if np.isfinite(limit) else None,
        "governed_by": region.limits.governed_by, "levels": levels, "deadlines": deadlines, "issued": iso(grid.issued),
        "stale": region.stale, "provenance": {"weakest": region.plan.provenance.weakest},
        "conditions": in_words(region.plan.conditions), "assumptions": [*region.notes, *in_words(region.plan.assumptions)], "cautions": [c.text for c in region.plan.cautions],
    }  # fmt: skip


def _finite(v: Any) -> float | None:
    return float(np.nanmax(v)) if np.isfinite(v).any() else None


def _members(ds: xr.Dataset) -> list[Hashable]:
    """The axis of members, where there is one."""
    return [d for d in ds["unknown_hours"].dims if d not in ds["verdict"].dims]


def _unknown_cells(ds: xr.Dataset) -> int:
    return int((ds["unknown_hours"].max(_members(ds)) > 0).sum())


def _share(p: float, members: int) -> str:
    """A share of members in words; what they cannot show is not called rare."""
    if p <= 0.0:
        return say("none of {members} members", members=members)
    return say("all of {members} members", members=members) if p >= 1.0 else chance.words(p)


def _chance(data: dict[str, Any], until: str) -> str:
    low, high = data["levels"]["people_out"]["chance"]
    if high is None:
        return say("Chance that people have to be out: none can be given in thunder. Leave.")
    a, b = (_share(x, data["members"]) for x in (low or 0.0, high))
    return say(
        "Chance that people have to be out before {until}, worst cell: {between_and}.",
        until=until,
        between_and=a if a == b else say("between {a} and {b}", a=a, b=b),
    )


def lines(region: Region, ds: xr.Dataset, zone: tzinfo, system: System) -> list[str]:
    """The same for people."""
    data, now = as_data(region, ds, zone), region.job.hours.now
    out = wrap(data["headline"])
    limit = (
        say("no limit")
        if data["limit_gust_m_s"] is None
        else show_unit("speed", region.limits.gust, system, rounding="down")
    )
    out += wrap(
        plural(
            "{name}: holds to {limit}, {governed_by}; {n} member, {hours} hours.",
            "{name}: holds to {limit}, {governed_by}; {n} members, {hours} hours.",
            data["members"],
            name=region.name,
            limit=limit,
            governed_by=spoken(region.limits.governed_by),
            hours=data["hours"],
        )
    )
    out += [x for t in record_words(region.plan.record) for x in wrap(t)]
    if data["cells_with_unknown_hours"]:
        out += wrap(
            say(
                "{cells} with hours that are unknown: unknown is never go.",
                cells=_cells(data["cells_with_unknown_hours"]),
            )
        )
    if data["cells_where_deadlines_may_be_earlier"]:
        out += wrap(
            say(
                "In {cells} hours are unknown before any deadline: it may come earlier than said, or come where none is said.",
                cells=_cells(data["cells_where_deadlines_may_be_earlier"]),
            )
        )
    rows = [[say("in all {hours} hours", hours=data["hours"]), "cells", "first"]]
    for name in LEVELS:
        first = np.nanmin(ds[f"hours_to_{name}"].values) if data["levels"][name]["first"] else None
        rows.append(
            [
                name.replace("_", " "),
                str(data["levels"][name]["cells"]),
                "-" if first is None else show(round(now + float(first) * HOUR), zone),
            ]
        )
    out += ["", *table(rows, "lrl")]
    for name, due, words in (
        ("start_strike_by", say("START TAKING DOWN"), say("START TAKING DOWN BY")),
        ("people_out_by", say("PEOPLE OUT"), say("PEOPLE OUT BY")),
    ):
        d, of = data["deadlines"][name], _asked(ds) if name == "start_strike_by" else ds
        times = _times(of, name)
        if d["earliest"] is not None and not times.size:
            at = int(_times(ds, name).min())
            last = say("LAST TIME TO TAKE DOWN, where wanted: {at}; no hour asks for it", at=show(at, zone))
            out += wrap(f"{last} ({_where(region, ds, name)})")
        elif d["earliest"] is not None:
            past = int((times < now).sum())
            late = say("; in {cells} that is past", cells=_cells(past)) if past else ""
            at = int(times.min())
            when = (
                say("{words} {at} at the earliest", words=words, at=show(at, zone))
                if at > now
                else say("{words} NOW at the worst place", words=due)
            )
            out += wrap(f"{when} ({_where(region, of, name)}){late}")
        elif d["missing"] and any(v["cells"] for v in data["levels"].values()):
            out += wrap(
                say(
                    "{words}: [times] lacks {missing}; no deadline is made up",
                    words=words,
                    missing=", ".join(d["missing"]),
                )
            )
    if data["members"] > 1:
        out += ["", *wrap(_chance(data, show(region.job.window[1], zone)))]
    out += [
        "",
        say(
            "Weakest figure that it stands on: {weakest} (anchorage sources).",
            weakest=data["provenance"]["weakest"],
        ),
    ]
    return [
        *out,
        "",
        *(line for c in data["conditions"] for line in wrap(c, "  ")),
        *(line for n in data["assumptions"] for line in wrap(n, "  ")),
        "",
        *(line for c in data["cautions"] for line in wrap(c, "- ")),
    ]
