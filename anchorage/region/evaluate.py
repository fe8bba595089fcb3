"""A grid against an installation: what every cell needs to know, the cells by dask, the results with CF attributes."""

from __future__ import annotations

from collections.abc import Hashable, Mapping
from dataclasses import dataclass
from datetime import tzinfo
from typing import Any

import numpy as np
import xarray as xr

from anchorage.core import tables
from anchorage.core.constants import ZERO_CELSIUS
from anchorage.core.say import say
from anchorage.core.told import in_words
from anchorage.core.version import VERSION
from anchorage.deployment.models import Deployment, Times
from anchorage.deployment.policy import policy_of, use_of
from anchorage.holding.ground import freezes_at, snow_dry_at
from anchorage.judging.plan import assess
from anchorage.judging.result import Plan
from anchorage.outlook import rule
from anchorage.outlook.build import stay_of
from anchorage.outlook.clock import HOUR, iso
from anchorage.outlook.deadlines import Lead, Name, leads_of
from anchorage.outlook.hours import Forecast, age_limits, gust_of_mean_factor, stale
from anchorage.outlook.judge import worst
from anchorage.outlook.limits import Limits, limits_of
from anchorage.outlook.sectors import sectors_of
from anchorage.outlook.weathered import (
    Grounds,
    as_forecast,
    plan_for,
    possible,
    said_of,
)
from anchorage.region import bounds
from anchorage.region.axis import Hours, hours_from, reach
from anchorage.region.cf import Field, Grid
from anchorage.region.kernel import LEVELS, MARKS, NEVER, Job, Part, Weathered, judge_block, when

BLOCK, BLOCK_WITH_SNOW = 2_000_000, 400_000
"""Cell-hours that are judged at once at the most, where there is memory for them: with snow each takes some thirty numbers for a while."""
AT_ONCE = 400_000_000
"""Bytes of a grid stored time by time that are held at once: such a grid is read again for each further part."""
FALLING = frozenset({"precipitation", "rain", "melted snow", "snow depth"})
EPOCH = "seconds since 1970-01-01T00:00:00Z"


@dataclass(frozen=True)
class Region:
    """One installation over one grid, ready to be judged."""

    name: str
    grid: Grid
    job: Job
    plan: Plan
    limits: Limits
    leads: Mapping[Name, Lead]
    stale: str
    """Why the forecast gives no go, or nothing."""
    notes: tuple[str, ...]


def _part(f: Field, reached: Any) -> Part:
    lengths = (
        tuple(b - a for a, b in zip(f.steps.starts, f.steps.ends, strict=True)) if f.quantity.rate else None
    )
    return Part(f.quantity.role, f.scale, f.offset, f.quantity.low, f.quantity.high, reached, lengths)


def region_of(d: Deployment, grid: Grid, now: int, zone: tzinfo | None, *, use: str | None = None, every_level: bool = False) -> Region:  # fmt: skip
    """Settle everything that is the same in every cell. now: seconds UTC; zone: of times in the file.

    Raises ``AnchorageError`` for a deployment that cannot be judged.
    """
    said = Forecast("grid", grid.name, grid.issued)
    plan = plan_for(assess(d), [said])
    limits, policy = limits_of(plan, d), policy_of(d)
    start, end, given, _ = stay_of(d.times, zone, now)
    hours = hours_from(now, end, [f.steps for f in grid.fields.values()])
    old = stale(said, now)
    asks = limits.set_up_asks if use_of(d, use) == "set-up" else ()
    floor = worst("unknown" if limits.rating_missing else "go", *(b.verdict for b in (*limits.blocks, *asks)))
    job = Job(
        hours, tuple(_part(f, reach(f.steps, hours)) for f in grid.fields.values()), limits, policy,
        sectors_of(limits, tables.row("gust-coding", "direction").value), not old, (start, end), use_of(d, use),
        rule.VERDICTS.index(floor), tables.row("thunder-chance", "least").value / 100.0, factor=gust_of_mean_factor(), **_ground(plan, d, limits, grid),
        every_level=every_level,
    )  # fmt: skip
    notes = _notes(grid, d.times, old, hours, given=given, zoned=zone is not None)
    return Region(plan.name, grid, job, plan, limits, leads_of(d.times), old, notes)


def _ground(plan: Plan, d: Deployment, limits: Limits, grid: Grid) -> dict[str, Any]:
    """What the installation takes on ground that the forecast changes; nothing where nothing is forecast to fall."""
    if not set(grid.fields) & {*FALLING, "temperature"} and not limits.roof.falls:
        return {}
    sector, grounds = (
        tables.row("gust-coding", "direction").value,
        Grounds(plan, as_forecast(d, ["grid"]), limits),
    )
    each = tuple(
        Weathered(state, x, sectors_of(x, sector), rule.VERDICTS.index(worst("unknown" if x.rating_missing else "go", *(b.verdict for b in x.blocks))))
        for state, x in possible(grounds).items()
    )  # fmt: skip
    said = said_of(d.ground)
    return {"weathered": each, "lies": said.lies, "thaws": said.thaws, "packs": said.packs, "freezes_at": freezes_at() + ZERO_CELSIUS,
            "snow_dry_at": snow_dry_at() + ZERO_CELSIUS, "usual": float("nan") if said.usual is None else said.usual + ZERO_CELSIUS}  # fmt: skip


def _notes(grid: Grid, times: Times, old: str, hours: Hours, *, given: bool, zoned: bool) -> tuple[str, ...]:
    out = [say("{name}: {old}; it gives no go.", name=grid.name, old=old)] if old else []
    warn, _ = age_limits()
    if not old and grid.issued is not None and hours.now - grid.issued > warn:
        out.append(
            say(
                "{grid}: the forecast is {now} h old: look for a newer one.",
                grid=grid.name,
                now=f"{(hours.now - grid.issued) / HOUR:.0f}",
            )
        )
    if hours.starts[-1] + HOUR > hours.now + tables.row("deadline", "low-confidence").value:
        out.append(say("Hours more than 72 h ahead are an outlook only."))
    out += [say("The ground, the elevation, the surroundings and the heading of the file are taken to be those of every cell."),
            say("A cell of a grid is an average: a ridge, a gap or a street in it can be windier.")]  # fmt: skip
    out += grid.notes
    roles = set(grid.fields)
    if "thunder" not in roles:
        out.append(
            say(
                "Thunder is not in it: watch the sky and listen. --thunder-from takes a variable with its chance."
            )
        )
    if not roles & FALLING:
        out.append(say("The grid gives no amounts of snow or rain: what falls is not in the load."))
    if not given:
        out.append(say("No end of the stay is given: the next 12 h count. Give [times] start and end."))
    if not zoned and (times.start or times.end):
        out.append(say("No time zone is given: all times are UTC."))
    if times.margin is None:
        out.append(say("Spare time in each deadline: 15 min (common practice). Give [times] margin."))
    if grid.members > 1:
        out.append(
            say(
                "{members} members: 1 in {members} is the least chance that they can show; none of them is not never.",
                members=grid.members,
            )
        )
    return tuple(out)


def whole_rows(grid: Grid, cells: int) -> dict[Hashable, int]:
    """Cells of a piece that is read at once, whole rows where there is room for them."""
    out, left = dict[Hashable, int](), max(cells, 1)
    for d in reversed(grid.cells):
        out[d] = min(left, grid.gust.sizes[d])
        left = max(left // out[d], 1)
    return out


def block_of(region: Region) -> dict[Hashable, int]:
    """Cells to judge at once, by dimension."""
    grid = region.grid
    snow = bool(set(grid.fields) & FALLING) or region.limits.roof.load > 0 or region.limits.roof.falls
    deep = max(len(region.job.hours.starts), grid.gust.sizes[grid.time]) * grid.members
    return whole_rows(grid, bounds.block(BLOCK_WITH_SNOW if snow else BLOCK, snow=snow) // deep)


def read_in(grid: Grid, v: xr.DataArray, block: Mapping[Hashable, int]) -> xr.DataArray:
    """An array of a file in pieces. Stored time by time, each stored piece is read as seldom as memory allows."""
    stored = v.encoding.get("preferred_chunks", {})
    times = stored.get(grid.time, v.sizes[grid.time])
    if times >= v.sizes[grid.time]:
        return v.chunk({d: block[d] for d in v.dims if d in block})
    cell = sum(f.array.dtype.itemsize for f in grid.fields.values()) * v.sizes[grid.time] * grid.members
    coarse = whole_rows(grid, bounds.at_once(AT_ONCE) // cell)
    return v.chunk({grid.time: times} | {d: max(coarse[d], block[d]) for d in v.dims if d in block})


def _ready(
    region: Region, f: Field, member: Hashable, block: Mapping[Hashable, int], *, lazy: bool
) -> xr.DataArray:
    """An input with every axis, in blocks that hold all times and members of their cells."""
    grid = region.grid
    v = f.array.drop_vars([c for c in f.array.coords if c not in grid.gust.dims])
    if v.chunks is None and lazy:
        v = read_in(grid, v, block)
    if member not in v.dims:
        v = v.expand_dims({member: grid.members})
    for d in set(grid.gust.dims) - set(v.dims):
        v = v.expand_dims({d: grid.gust.sizes[d]})
    return v.chunk({grid.time: -1, member: -1, **block}) if v.chunks is not None else v


def judged(region: Region, *, lazy: bool = False) -> xr.Dataset:
    """Raw results of every cell. lazy: read and judge piece by piece, by dask, here or on a cluster, when computed."""
    grid, job = region.grid, region.job
    member: Hashable = grid.member if grid.member is not None else "member"
    block = block_of(region)
    inputs = [_ready(region, f, member, block, lazy=lazy) for f in grid.fields.values()]
    out_dims: list[list[Hashable]] = [[member, "mark"], [member], [], [], ["limit"], ["limit"]]
    names, kinds = (
        ["first", "unknown", "verdict", "known", "low", "high"],
        ["i2", "i2", "i1", "i1", "f4", "f4"],
    )
    if job.every_level:
        names, kinds, out_dims = [*names, "level"], [*kinds, "i1"], [*out_dims, [member, "hour"]]
    sizes: dict[Hashable, int] = {"mark": len(MARKS), "limit": len(LEVELS), "hour": len(job.hours.starts)}
    found = xr.apply_ufunc(
        judge_block, *inputs, kwargs={"job": job}, input_core_dims=[[member, grid.time]] * len(inputs), output_core_dims=out_dims,
        dask="parallelized", output_dtypes=[np.dtype(k) for k in kinds], join="exact",
        dask_gufunc_kwargs={"output_sizes": {k: v for k, v in sizes.items() if k in {x for o in out_dims for x in o}}},
    )  # fmt: skip
    return xr.Dataset(dict(zip(names, found, strict=True)))


def _var(data: Any, dims: list[Hashable], text: str, units: str | None = None, **more: Any) -> xr.Variable:
    return xr.Variable(dims, data, {"long_name": text, **({"units": units} if units else {}), **more})


FLAGS: dict[str, Any] = {"flag_values": np.arange(3, dtype="i1"), "flag_meanings": "go cannot_say no_go"}
LEVEL_FLAGS: dict[str, Any] = {
    "flag_values": np.arange(5, dtype="i1"), "flag_meanings": " ".join(n.replace("-", "_") for n in rule.NAMES),
}  # fmt: skip


def results(region: Region, raw: xr.Dataset) -> xr.Dataset:
    """What the raw numbers mean. raw: ``judged(region)``, computed. The earliest member sets every deadline."""
    grid, job, cells = region.grid, region.job, list(region.grid.cells)
    member: Hashable = grid.member if grid.member is not None else "member"
    raw = raw.transpose(member, *cells, ...)
    first = raw["first"].values
    now, seconds = job.hours.now, when(first, job.hours)
    out: dict[Hashable, xr.Variable] = {}
    for k, name in enumerate(LEVELS):
        words = name.replace("_", " ")
        out[f"hours_to_{name}"] = _var(((seconds[..., k] - now) / HOUR).astype("f4"), [member, *cells], f"hours from now to the first hour at {words} or above; NaN: not known to be reached, see may_be_earlier", "h")  # fmt: skip
    step = tables.row("deadline", "round-back").value
    soonest = np.where(first == NEVER, np.inf, seconds).min(axis=0)
    names: tuple[tuple[Name, int], ...] = (("secure_by", 0), ("people_out_by", 1), ("start_strike_by", 3))
    for name, mark in names:
        lead = region.leads[name].seconds
        exact = np.full(soonest.shape[:-1], np.nan) if lead is None else soonest[..., mark] - lead
        exact = np.where(np.isfinite(exact), exact, np.nan)
        at = exact // step * step
        missing = ", ".join(region.leads[name].missing)
        text = f"latest time to begin, by the earliest member; {'not worked out, [times] lacks ' + missing if missing else 'NaN: not known to be reached, see may_be_earlier'}"  # fmt: skip
        out[name] = _var(
            at,
            cells,
            text,
            EPOCH,
            calendar="proleptic_gregorian",
            margin_s=region.leads[name].margin,
            lacks=missing,
        )
    unsure = soonest[..., MARKS.index("unknown")] < soonest[..., MARKS.index("strike")]
    out["may_be_earlier"] = _var(
        unsure.astype("i1"),
        cells,
        "1 where hours before the deadline to take down, or all of them, are unknown",
    )
    out["verdict"] = _var(
        raw["verdict"].values, cells, f"verdict: {job.use}, worst member and hour of the stay", **FLAGS
    )
    out["known_level"] = _var(
        raw["known"].values, cells, "highest level of the stay that is certain", **LEVEL_FLAGS
    )
    out["unknown_hours"] = _var(
        raw["unknown"].values, [member, *cells], "hours of the stay that are unknown", "1"
    )
    if grid.members > 1:
        for k, name in enumerate(LEVELS):
            words = name.replace("_", " ")
            for end, text in (("low", "most members at once in any one hour"), ("high", "members that do in any hour, those with unknown hours with them")):  # fmt: skip
                more = {"resolution": 1.0 / grid.members, "members": grid.members}
                out[f"chance_{name}_{end}"] = _var(raw[end].values[..., k], cells, f"share of members at {words} or above in the stay: {text}", "1", **more)  # fmt: skip
    if job.every_level:
        out["level"] = _var(
            raw["level"].transpose("hour", member, *cells).values,
            ["hour", member, *cells],
            "level of each hour",
            **LEVEL_FLAGS,
        )
        out["hour"] = _var(np.array(job.hours.starts, "f8"), ["hour"], "start of the hour", EPOCH, standard_name="time", calendar="proleptic_gregorian")  # fmt: skip
    ds = xr.Dataset(out, attrs=_attributes(region))
    if grid.member is None:
        ds = ds.isel({member: 0})
    kept = {
        c: grid.gust[c].variable
        for c in grid.gust.coords
        if set(grid.gust[c].dims) <= set(ds.dims) and grid.gust[c].ndim
    }
    return ds.assign_coords({c: xr.Variable(v.dims, v.values, v.attrs) for c, v in kept.items()})


def _attributes(region: Region) -> dict[str, Any]:
    limits, job = region.limits, region.job
    limit = limits.gust if np.isfinite(limits.gust) else "none"
    return {
        "Conventions": "CF-1.8", "title": f"{region.name}: {region.grid.name}", "source": f"anchorage {VERSION}",
        "now": iso(job.hours.now), "stay_start": iso(job.window[0]), "stay_end": iso(job.window[1]), "subject": job.use,
        "issued": iso(region.grid.issued) or "not said", "members": region.grid.members, "limit_gust_m_s": limit,
        "governed_by": limits.governed_by, "assumptions": "\n".join([*region.notes, *in_words(region.plan.assumptions)]),
        "cautions": "\n".join(c.text for c in region.plan.cautions), "provenance": region.plan.provenance.weakest,
    }  # fmt: skip
