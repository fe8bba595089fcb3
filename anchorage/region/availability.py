"""Years of a reanalysis against one installation: in every cell the share of windows in which it may stand, by month.

The rule of an hour and of a window is that of ``climate``; a block holds all times of its cells, so it runs wherever dask
puts it, and the counts of a cell do not depend on how the grid was cut.
"""

from __future__ import annotations

import io
from collections.abc import Hashable, Mapping
from dataclasses import dataclass
from datetime import tzinfo
from typing import Any

import numpy as np
import xarray as xr
from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.figure import Figure
from numpy.typing import NDArray

from anchorage.climate import windows
from anchorage.climate.course import BITS, Takes, lately
from anchorage.climate.reports import ICE, SNOW, WET
from anchorage.core.choices import chosen
from anchorage.core.constants import ZERO_CELSIUS
from anchorage.core.plain import cut, inert, table, wrap
from anchorage.core.say import ENGLISH, later, say, speaking
from anchorage.core.told import in_words
from anchorage.core.units import System
from anchorage.core.units import show as show_unit
from anchorage.core.version import VERSION
from anchorage.core.words import VERDICTS, spoken
from anchorage.deployment.models import Deployment
from anchorage.deployment.policy import TIGHT, OperatingPolicy
from anchorage.holding.ground import freezes_at, snow_dry_at
from anchorage.judging.plan import assess
from anchorage.judging.result import Verdict
from anchorage.outlook import rule
from anchorage.outlook.clock import HOUR, iso, utc
from anchorage.outlook.judge import worst
from anchorage.outlook.sectors import Sectors
from anchorage.outlook.weathered import said_of
from anchorage.region.axis import Steps
from anchorage.region.cf import Field, Grid, read_grid
from anchorage.region.evaluate import read_in, whole_rows
from anchorage.region.faults import RegionError, refuse
from anchorage.region.kernel import Floats
from anchorage.region.picture import Band, panel
from anchorage.region.run import gathered, workers
from anchorage.region.store import open_grid

MOST_HOURS = 24 * 366 * 120
"""Times of a reanalysis: more than a century by the hour."""
BLOCK = 2_000_000
"""Cell-hours that are judged at once."""
FALLING = ("precipitation", "rain", "melted snow", "snow depth")
USED = ("gust", "direction", "temperature", *FALLING)
KINDS = ("in", "empty", "down", "unknown")
BANDS = (
    Band("A", later("people in over 95 %"), "1.0", ""),
    Band("B", "90 to 95 %", "0.95", "."),
    Band("C", "75 to 90 %", "0.82", "//"),
    Band("D", "50 to 75 %", "0.72", "////"),
    Band("E", "under 50 %", "0.5", "xxxx"),
    Band("?", later("half or more unknown"), "1.0", "oo"),
)
EDGES = (0.95, 0.9, 0.75, 0.5)


@dataclass(frozen=True)
class Near:
    """Which steps reach into each hour: from ``first`` so many; and whether they cover it from end to end."""

    first: NDArray[np.int64]
    many: NDArray[np.int64]
    covered: NDArray[np.bool_]


def near(steps: Steps, starts: NDArray[np.int64]) -> Near:
    """Steps of each hour, for any number of hours at once. The steps are in order and may leave holes."""
    a, b = np.array(steps.starts, np.int64), np.array(steps.ends, np.int64)
    first = np.searchsorted(b, starts, side="right")
    last = np.maximum(np.searchsorted(a, starts + HOUR, side="left"), first)
    holes = np.concatenate([[0], np.cumsum(a[1:] > b[:-1])])
    inner = np.minimum(first, len(a) - 1)
    outer = np.minimum(np.maximum(last - 1, 0), len(a) - 1)
    covered = (
        (last > first) & (a[inner] <= starts) & (b[outer] >= starts + HOUR) & (holes[outer] == holes[inner])
    )
    return Near(first, last - first, covered)


@dataclass(frozen=True)
class Part:
    """One input of a block."""

    role: str
    scale: float
    offset: float
    low: float
    high: float
    near: Near


@dataclass(frozen=True)
class Ground:
    """What it takes on one ground."""

    gust: float
    sectors: Sectors
    floor: int


@dataclass(frozen=True)
class Job:
    """Everything that is the same in every cell. It can be sent to another machine."""

    parts: tuple[Part, ...]
    hours: int
    n: int
    month: NDArray[np.int64]
    """Of the start of each window."""
    policy: OperatingPolicy
    grounds: Mapping[int, Ground]
    """By the bits of what fell."""
    sway_gust: float
    lies: bool
    thaws: bool
    usual: float
    packs: bool
    freezes_at: float
    snow_dry_at: float


def _si(p: Part, raw: NDArray[Any]) -> Floats:
    """Times first, in SI; what cannot be meant is refused."""
    v: Floats = np.moveaxis(raw, -1, 0).astype(np.float64) * p.scale + p.offset
    with np.errstate(invalid="ignore"):
        bad = (v < p.low) | (v > p.high)
    if np.any(bad):
        raise RegionError(
            say(
                "{role}: {flat} after conversion is no value that can be meant (from {low} to {high}); is a mark for missing values not declared as _FillValue?",
                role=p.role,
                flat=f"{float(v[bad].flat[0]):.6g}",
                low=f"{p.low:g}",
                high=f"{p.high:g}",
            )
        )
    return v


def _hourly(p: Part, by_step: NDArray[Any], empty: Any, worse: Any) -> NDArray[Any]:
    """The worst of the steps of each hour."""
    out = np.full((len(p.near.first), *by_step.shape[1:]), empty, by_step.dtype)
    for k in range(int(p.near.many.max(initial=0))):
        there = np.flatnonzero(p.near.many > k)
        out[there] = worse(out[there], by_step[p.near.first[there] + k])
    return out


def _bits(
    job: Job, parts: Mapping[str, tuple[Part, Floats]], shape: tuple[int, ...]
) -> NDArray[np.int8] | None:
    """States that the ground of each hour may be in besides its own; None where nothing is said of what falls."""
    if not set(parts) & {*FALLING, "temperature"}:
        return None
    falls, white = np.zeros(shape, bool), np.zeros(shape, bool)
    t = np.full(shape, np.nan)
    if "temperature" in parts:
        t = _hourly(*parts["temperature"], np.nan, np.fmin)
    own, fell = t, np.zeros(shape, bool)
    t = np.where(np.isnan(t), job.usual, t)
    with np.errstate(invalid="ignore"):
        for role in set(parts) & set(FALLING):
            there = _hourly(parts[role][0], parts[role][1] > 0.0, empty=False, worse=np.logical_or)
            falls |= there
            fell |= (
                there if role not in ("precipitation", "snow depth") else there & ~(own <= job.snow_dry_at)
            )
            white |= there if role in ("melted snow", "snow depth") else there & (t <= ZERO_CELSIUS)
        thaw, soft = (t > ZERO_CELSIUS) & job.thaws, ~(t <= job.snow_dry_at)
        wet = _lately(falls | thaw, job.n)
        snow = _lately(white, job.n)
        lies = _lately(fell | thaw | (soft & (snow | job.packs)), job.n) | job.lies
        slush = _lately((fell | soft) & (snow | job.packs), job.n)
        ice = slush | (lies & ((t <= job.freezes_at) | (np.isnan(t) & snow)))
    return (wet * np.int8(WET)) | (snow * np.int8(SNOW)) | (ice * np.int8(ICE))


def _lately(there: NDArray[np.bool_], n: int) -> NDArray[np.bool_]:
    flat = there.reshape(len(there), -1)
    out = np.stack([lately(flat[:, i], n) for i in range(flat.shape[1])], axis=1)
    return out.reshape(there.shape)


def count_block(*arrays: NDArray[Any], job: Job) -> NDArray[np.int32]:
    """Windows of each kind, (cells..., months, kinds). arrays: one a part, (cells..., times), in the units of the file."""
    parts = {p.role: (p, _si(p, a)) for p, a in zip(job.parts, arrays, strict=True)}
    gust_part, gust = parts["gust"]
    shape = (job.hours, *gust.shape[1:])
    bits = _bits(job, parts, shape)
    turn = parts["direction"][1] if "direction" in parts else None
    rank, missing = np.full(shape, rule.NORMAL, np.int8), np.zeros(shape, bool)
    for code in [0] if bits is None else np.unique(bits):
        ground = job.grounds[int(code)]
        share = rule.share_of(gust, ground.sectors.at(turn, ground.gust))
        found = rule.rank_of(share, job.policy)
        found[share >= 1.0 - TIGHT] = rule.KEEP_AWAY
        hourly = _hourly(gust_part, found, np.int8(rule.ABSENT), np.maximum)
        if ground.floor == rule.NO_GO:
            hourly[:] = rule.KEEP_AWAY
        rank = hourly if bits is None else np.where(bits == code, hourly, rank)
        if ground.floor == rule.CANNOT_SAY:
            missing |= True if bits is None else bits == code
    with np.errstate(invalid="ignore"):
        lost = np.isnan(gust) | (gust > job.sway_gust * (1 + TIGHT))
    missing |= _hourly(gust_part, lost, empty=False, worse=np.logical_or)
    missing |= ~gust_part.near.covered.reshape((-1,) + (1,) * (rank.ndim - 1))
    codes = windows.worst_within(windows.code_of(rank, missing), job.n)
    return windows.cell_counts(codes, job.month).astype(np.int32)


@dataclass(frozen=True)
class History:
    """One installation over the years of one grid, ready to be counted."""

    grid: Grid
    takes: Takes
    job: Job
    first: int
    zone: tzinfo
    notes: tuple[str, ...]

    @property
    def verdict(self) -> Verdict:
        """What stands against it whatever the wind; go where nothing does."""
        x = self.takes.limits
        return worst("unknown" if x.rating_missing else "go", *(b.verdict for b in x.blocks))


def history_of(d: Deployment, grid: Grid, n: int, zone: tzinfo) -> History:
    """Settle everything that is the same in every cell. n: hours of a window."""
    if grid.members > 1:
        raise refuse(
            grid.name,
            "members",
            say("{members} members", members=grid.members),
            say("one course of weather: take one member"),
        )
    takes, steps = Takes(assess(d), "grid"), grid.fields["gust"].steps
    first = steps.starts[0] // HOUR * HOUR
    hours = -((first - steps.ends[-1]) // HOUR)
    if not 1 <= n <= hours:
        raise RegionError(say("--hours {n}: from 1 to {hours}, the hours of the grid", n=n, hours=hours))
    starts = first + HOUR * np.arange(hours, dtype=np.int64)
    used = {role: f for role, f in grid.fields.items() if role in USED}
    parts = tuple(_part(role, f, starts) for role, f in used.items())
    said = said_of(d.ground)
    falls = bool(set(used) & {*FALLING, "temperature"})
    grounds = {code: _ground(takes, code) for code in (range(8) if falls else (0,))}
    job = Job(
        parts, hours, n, windows.calendar(first, hours, zone).first(hours - n + 1).month, takes.policy, grounds, takes.limits.sway_gust,
        said.lies, said.thaws, float("nan") if said.usual is None else said.usual + ZERO_CELSIUS, said.packs,
        freezes_at() + ZERO_CELSIUS, snow_dry_at() + ZERO_CELSIUS,
    )  # fmt: skip
    return History(grid, takes, job, first, zone, _notes(grid, takes, used))


def _part(role: str, f: Field, starts: NDArray[np.int64]) -> Part:
    q = f.quantity
    return Part(role, f.scale, f.offset, q.low, q.high, near(f.steps, starts))


def _ground(x: Takes, code: int) -> Ground:
    limits, sectors = x.on(frozenset(w for b, w in BITS.items() if code & b))
    return Ground(limits.gust, sectors, x.floor(limits))


def _notes(grid: Grid, x: Takes, used: Mapping[str, Field]) -> tuple[str, ...]:
    out = [
        say(
            "The ground, the elevation, the surroundings and the heading of the file are taken to be those of every cell."
        ),
        say(
            "A cell of a reanalysis is an average, and its gusts are a model's: a ridge, a gap, a street or a squall can be far windier."
        ),
        say(
            "Thunder and snow on the roof are not in it: the shares with people in are the most there can be."
        ),
        *grid.notes,
    ]
    if not set(used) & set(FALLING):
        out.append(
            say(
                "The grid says nothing of rain: the ground counts as {state}, always.",
                state=chosen(x.grounds.base.state, "state") if x.grounds.base.state else say("in the file"),
            )
        )
    out.append(say("What was says nothing sure of what will be; a forecast decides on the day."))
    return tuple(out)


def counted(h: History) -> xr.DataArray:
    """Windows of each kind in every cell and month, (cells..., month, kind): read and counted piece by piece when computed."""
    grid, job = h.grid, h.job
    block = whole_rows(grid, BLOCK // max(grid.gust.sizes[grid.time], 1))
    inputs = []
    for p in job.parts:
        v = grid.fields[p.role].array
        v = v.drop_vars([c for c in v.coords if c not in grid.gust.dims])
        v = read_in(grid, v, block) if v.chunks is None else v
        for d in set(grid.gust.dims) - set(v.dims):
            v = v.expand_dims({d: grid.gust.sizes[d]})
        inputs.append(v.chunk({grid.time: -1, **block}))
    found: xr.DataArray = xr.apply_ufunc(
        count_block, *inputs, kwargs={"job": job}, input_core_dims=[[grid.time]] * len(inputs), output_core_dims=[["month", "kind"]],
        dask="parallelized", output_dtypes=[np.dtype("i4")], join="exact", dask_gufunc_kwargs={"output_sizes": {"month": 12, "kind": 4}},
    )  # fmt: skip
    return found


@speaking(ENGLISH)
def results(h: History, found: xr.DataArray) -> xr.Dataset:
    """What the counts mean. found: ``counted(h)``, computed."""
    grid, cells = h.grid, list(h.grid.cells)
    v = found.transpose(*cells, "month", "kind").values.astype(float)
    out: dict[Hashable, xr.Variable] = {}
    with np.errstate(invalid="ignore", divide="ignore"):
        year = v.sum(axis=-2) / v.sum(axis=(-2, -1))[..., None]
        monthly = v / v.sum(axis=-1, keepdims=True)
    words = (
        say("may stand with people in"),
        say("may stand empty"),
        say("must come down"),
        say("is unknown"),
    )
    for k, kind in enumerate(KINDS):
        text = say("share of windows of {n} h in which it {words}", n=h.job.n, words=words[k])
        out[f"share_{kind}"] = xr.Variable(
            cells, year[..., k].astype("f4"), {"long_name": text, "units": "1"}
        )
        by_month = np.moveaxis(monthly[..., k], -1, 0).astype("f4")
        out[f"month_share_{kind}"] = xr.Variable(
            ["month", *cells],
            by_month,
            {"long_name": say("{text}, by the month of its start", text=text), "units": "1"},
        )
    x, limit = h.takes, h.takes.limits.gust
    attrs = {
        "Conventions": "CF-1.8", "title": f"{x.plan.name}: {grid.name}", "source": say("anchorage {version}", version=VERSION), "hours_of_a_window": h.job.n,
        "windows": int(v.sum(axis=(-2, -1)).flat[0]), "from": iso(h.first), "to": iso(h.first + HOUR * h.job.hours), "zone": str(h.zone),
        "limit_gust_m_s": limit if np.isfinite(limit) else "none", "governed_by": x.limits.governed_by,
        "assumptions": "\n".join([*h.notes, *in_words(x.plan.assumptions)]), "cautions": "\n".join(c.text for c in x.plan.cautions),
        "provenance": x.plan.provenance.weakest,
    }  # fmt: skip
    ds = xr.Dataset(out, {"month": np.arange(1, 13)}, attrs)
    kept = {
        c: grid.gust[c].variable
        for c in grid.gust.coords
        if set(grid.gust[c].dims) <= set(cells) and grid.gust[c].ndim
    }
    return ds.assign_coords({c: xr.Variable(w.dims, w.values, w.attrs) for c, w in kept.items()})


def run(path: str, d: Deployment, n: int, zone: tzinfo, *, gust_from: str | None = None, scheduler: str | None = None,
        jobs: int | None = None) -> tuple[History, xr.Dataset]:  # fmt: skip
    """Count the windows of a reanalysis. Raises ``AnchorageError`` for what cannot be used."""
    with open_grid(path) as ds:
        name = str(path).rstrip("/").rsplit("/", 1)[-1]
        h = history_of(d, read_grid(ds, name, gust_from=gust_from, most=MOST_HOURS), n, zone)
        with workers(scheduler, jobs):
            return h, results(h, gathered(counted(h)))


# In words


def _place(h: History, ds: xr.Dataset, at: int) -> str:
    where = np.unravel_index(at, ds["share_in"].shape)
    return ", ".join(
        f"{d} {ds[d].values[i]:g}" if d in ds.coords and ds[d].dtype.kind in "iuf" else f"{d} no. {i + 1}"
        for d, i in zip(h.grid.cells, where, strict=True)
    )


def _mean(v: NDArray[Any]) -> float | None:
    return float(np.nanmean(v)) if np.isfinite(v).any() else None


def as_data(h: History, ds: xr.Dataset) -> dict[str, Any]:
    """One JSON object: shares over all cells, and those of the cell in which it may stand least often."""
    x, v = h.takes, ds["share_in"].values.reshape(-1)
    least = int(np.argmin(v))
    return {
        "schema": 1, "name": x.plan.name, "verdict": h.verdict, "headline": headline(h, ds), "hours": h.job.n,
        "limit_gust_m_s": x.limits.gust if np.isfinite(x.limits.gust) else None, "governed_by": x.limits.governed_by,
        "by_direction": bool(x.limits.by_bearing) and "direction" in h.grid.fields, "from": ds.attrs["from"], "to": ds.attrs["to"], "zone": str(h.zone),
        "cells": int(v.size), "windows": ds.attrs["windows"], **{f"share_{k}": _mean(ds[f"share_{k}"].values) for k in KINDS},
        "least": {"where": _place(h, ds, least), **{f"share_{k}": float(ds[f"share_{k}"].values.reshape(-1)[least]) for k in KINDS}},
        "months": [{"month": m + 1, **{f"share_{k}": _mean(ds[f"month_share_{k}"].values[m]) for k in KINDS}} for m in range(12)
                   if np.isfinite(ds["month_share_in"].values[m]).any()],
        "reasons": [{"code": b.code, "text": b.text} for b in x.limits.blocks], "assumptions": [*h.notes, *in_words(x.plan.assumptions)],
        "conditions": in_words(x.plan.conditions), "cautions": [c.text for c in x.plan.cautions], "provenance": {"weakest": x.plan.provenance.weakest},
    }  # fmt: skip


def headline(h: History, ds: xr.Dataset) -> str:
    """How often it may stand where it stands least and most."""
    v = ds["share_in"].values
    first = (
        ""
        if h.verdict == "go"
        else say("{verdict} whatever the wind. By wind alone: ", verdict=VERDICTS[h.verdict])
    )
    text = say(
        "{first}with people in: {min} to {max} % of windows of {n} h, by the cell",
        first=first,
        min=f"{100 * float(v.min()):.0f}",
        max=f"{100 * float(v.max()):.0f}",
        n=h.job.n,
    )
    return h.takes.plan.policy.after(text[0].upper() + text[1:])


def lines(h: History, ds: xr.Dataset, system: System) -> list[str]:
    """The page."""
    data, x = as_data(h, ds), h.takes
    limit = (
        say("no limit")
        if data["limit_gust_m_s"] is None
        else show_unit("speed", x.limits.gust, system, rounding="down")
    )
    out = wrap(data["headline"], wide=79)
    out += wrap(
        say(
            "{plan}: holds to {limit}, {governed_by}. {grid}, {utc} to {to}, {cells} cells.",
            plan=x.plan.name,
            limit=limit,
            governed_by=spoken(x.limits.governed_by),
            grid=h.grid.name,
            utc=f"{utc(h.first):%Y-%m-%d}",
            to=ds.attrs["to"][:10],
            cells=data["cells"],
        ),
        wide=79,
    )
    out += wrap(
        say(
            "Least in the cell {where}: people in {percent}, down {percent_2}.",
            where=data["least"]["where"],
            percent=_percent(data["least"]["share_in"]),
            percent_2=_percent(data["least"]["share_down"]),
        ),
        wide=79,
    )
    rows = [[say("all cells, start in"), *KINDS]]
    rows += [[str(m["month"]), *(_percent(m[f"share_{k}"]) for k in KINDS)] for m in data["months"]]
    rows += [["year", *(_percent(data[f"share_{k}"]) for k in KINDS)]]
    out += ["", *table(rows, "lrrrr"), ""]
    out += [line for t in (*h.notes, *in_words(x.plan.conditions)) for line in wrap(t, "  ", wide=79)]
    return [*out, "", *(line for t in x.plan.cautions for line in wrap(t.short or t.text, "- ", wide=79))]


def _percent(v: float | None) -> str:
    return "-" if v is None else f"{100 * v:.1f} %"


def picture(h: History, ds: xr.Dataset) -> bytes:
    """PNG: the share with people in over the year beside that of the worst month of each cell."""
    figure = Figure(figsize=(10.0, 6.6), dpi=120)
    FigureCanvasAgg(figure)
    left, right = figure.subplots(1, 2)
    with np.errstate(invalid="ignore"):
        month = np.nanmin(
            np.where(np.isfinite(ds["month_share_in"].values), ds["month_share_in"].values, np.inf), axis=0
        )
    for ax, share, words in (
        (left, ds["share_in"].values, say("all year")),
        (right, month, say("worst month of each cell")),
    ):
        kinds = sum((share <= edge).astype(np.int64) for edge in EDGES)
        kinds = np.where(ds["share_unknown"].values >= 0.5, len(BANDS) - 1, kinds)
        panel(
            ax,
            np.asarray(kinds, np.int64),
            BANDS,
            ds,
            say("Windows of {n} h with people in, {words}", n=h.job.n, words=words),
            of="share_in",
        )
    figure.text(0.06, 0.965, cut(inert(headline(h, ds)), 110), fontsize=11, weight="bold", parse_math=False)
    figure.text(
        0.06,
        0.935,
        cut(
            inert(f"{h.takes.plan.name} - {h.grid.name}, {ds.attrs['from'][:10]} to {ds.attrs['to'][:10]}"),
            140,
        ),
        fontsize=8,
        parse_math=False,
    )
    figure.text(
        0.06,
        0.02,
        say("Not a permit. By wind alone, of what was; a forecast decides on the day. A cell is an average."),
        fontsize=7,
    )
    figure.subplots_adjust(left=0.06, right=0.985, top=0.885, bottom=0.3, wspace=0.16)
    out = io.BytesIO()
    figure.savefig(out, format="png", metadata={"Software": None})
    return out.getvalue()
