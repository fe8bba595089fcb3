"""A region on one page: how long there is, and how likely, readable in black and white. Letters and hatching, never colour."""

from __future__ import annotations

import io
import math
from collections.abc import Hashable, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
import xarray as xr
from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.collections import LineCollection
from matplotlib.figure import Figure
from matplotlib.patches import Patch, PathPatch
from matplotlib.path import Path
from numpy.typing import NDArray

from anchorage.core.plain import cut, inert
from anchorage.core.say import later, say
from anchorage.outlook.clock import HOUR

MOST = 120
"""Cells across a picture; of a finer grid the worst of each square is drawn."""
LETTERS = 16
"""Letters across a picture."""


@dataclass(frozen=True)
class Band:
    """One kind of cell, the milder first in a list of them."""

    letter: str
    words: str
    grey: str
    hatch: str


TIMES = (
    Band("", later("not reached in this forecast"), "1.0", ""),
    Band("?", "unknown", "1.0", "oo"),
    Band("E", later("more than 48 h"), "0.95", "."),
    Band("D", "24 to 48 h", "0.9", "..."),
    Band("C", "12 to 24 h", "0.82", "//"),
    Band("B", "6 to 12 h", "0.72", "////"),
    Band("A", later("less than 6 h"), "0.6", "xxxx"),
    Band("X", later("too late, or now"), "0.0", ""),
)
HOURS = (48.0, 24.0, 12.0, 6.0, 0.0)
"""Between E and D, D and C, C and B, B and A, A and X."""


def chances(members: int) -> tuple[Band, ...]:
    """Bands of a share of members."""
    return (
        Band("", say("none of {members} members", members=members), "1.0", ""),
        Band("?", "unknown", "1.0", "oo"),
        Band("d", say("up to 1 in 10"), "0.95", "."),
        Band("c", say("up to 1 in 3"), "0.82", "//"),
        Band("b", say("up to 2 in 3"), "0.72", "////"),
        Band("a", "more", "0.5", "xxxx"),
    )


SHARES = (0.1, 1 / 3, 2 / 3)
NO, UNSURE, FIRST = range(3)
LEVELS = (
    Band("", "normal", "1.0", ""),
    Band("?", "unknown", "1.0", "oo"),
    Band("s", "secure", "0.9", "//"),
    Band("p", later("people out"), "0.72", "////"),
    Band("k", later("keep away"), "0.5", "xxxx"),
)
FOOT = later(
    "Not a permit. Unknown is never go. A cell is an average, and the ground of the file is taken to be that of every cell."
)
Kinds = NDArray[np.int64]


def hours_left(ds: xr.Dataset, now: int) -> tuple[NDArray[np.float64], str]:
    """Hours to act in each cell, and to act how: to begin to take down, or until people have to be out where no times are given."""
    if np.all(np.isnan(ds["start_strike_by"].values)) and ds["start_strike_by"].attrs.get("lacks"):
        members = [d for d in ds["hours_to_people_out"].dims if d not in ds["verdict"].dims]
        return ds["hours_to_people_out"].min(members).values.astype(float), say(
            "Hours until the gust or the snow asks for people out"
        )
    return (ds["start_strike_by"].values - now) / HOUR, say("Time left until taking down has to begin")


def time_kinds(hours: NDArray[np.float64], unsure: NDArray[Any]) -> Kinds:
    """Place in ``TIMES`` of hours left (NaN: not reached), unknown where nothing is reached and hours are missing."""
    found = FIRST + sum((hours <= edge).astype(int) for edge in HOURS)
    return np.where(np.isnan(hours), np.where(unsure, UNSURE, NO), found).astype(np.int64)


def chance_kinds(low: NDArray[Any], high: NDArray[Any]) -> Kinds:
    """Place in ``chances`` of the most that is possible; unknown where it cannot be bounded, or no member says so surely."""
    found = FIRST + sum((high > edge + 1e-6).astype(int) for edge in SHARES)
    unsure = np.isnan(high) | ((high > 0.999) & (low <= 0.0))
    return np.where(unsure, UNSURE, np.where(high <= 0.0, NO, found)).astype(np.int64)


def level_kinds(known: NDArray[Any], unknown: NDArray[Any]) -> Kinds:
    """Place in ``LEVELS`` of the highest level that is certain."""
    return np.where(known > 0, known + 1, np.where(unknown > 0, UNSURE, NO)).astype(np.int64)


def _flat(kinds: Kinds) -> Kinds:
    return kinds.reshape((1,) * (2 - kinds.ndim) + kinds.shape)


def coarse(kinds: Kinds, by: int) -> Kinds:
    """The worst of each square of ``by`` cells."""
    ny, nx = (-(-n // by) for n in kinds.shape)
    padded = np.zeros((ny * by, nx * by), np.int64)
    padded[: kinds.shape[0], : kinds.shape[1]] = kinds
    worst: Kinds = padded.reshape(ny, by, nx, by).max(axis=(1, 3))
    return worst


def _edges(ds: xr.Dataset, d: Hashable | None, n: int, by: int) -> NDArray[np.float64]:
    """Edges of (coarse) cells along a dimension, by its coordinate where it has one that goes one way."""
    at = np.arange(n, dtype=float)
    if d is not None and d in ds.coords and ds[d].dtype.kind in "iuf":
        values = ds[d].values.astype(float)
        steps = np.diff(values)
        if np.all(np.isfinite(values)) and (np.all(steps > 0) or np.all(steps < 0)):
            at = values
    if n == 1:
        return np.array([at[0] - 0.5, at[0] + 0.5])
    middle = (at[1:] + at[:-1]) / 2
    edges = np.concatenate([[2 * at[0] - middle[0]], middle, [2 * at[-1] - middle[-1]]])
    return np.append(edges[:-1:by], edges[-1])


def _area(inside: NDArray[np.bool_], x: NDArray[np.float64], y: NDArray[np.float64]) -> Path:
    """The cells of one kind as one shape: a rectangle for each run of them in a row."""
    turns = np.diff(np.pad(inside.astype(np.int8), ((0, 0), (1, 1))), axis=1)
    rows, starts = np.nonzero(turns == 1)
    ends = np.nonzero(turns == -1)[1]
    a, b, low, high = x[starts], x[ends], y[rows], y[rows + 1]
    corners = np.stack([np.stack([a, low], 1), np.stack([b, low], 1), np.stack([b, high], 1), np.stack([a, high], 1), np.stack([a, low], 1)], 1)  # fmt: skip
    codes = np.tile([Path.MOVETO, Path.LINETO, Path.LINETO, Path.LINETO, Path.CLOSEPOLY], len(rows))
    return Path(corners.reshape(-1, 2), codes)


def _borders(shown: Kinds, x: NDArray[np.float64], y: NDArray[np.float64]) -> list[Any]:
    """Lines between cells of different kinds."""
    i, j = np.nonzero(shown[:, 1:] != shown[:, :-1])
    across = [[(x[b + 1], y[a]), (x[b + 1], y[a + 1])] for a, b in zip(i, j, strict=True)]
    i, j = np.nonzero(shown[1:] != shown[:-1])
    return across + [[(x[b], y[a + 1]), (x[b + 1], y[a + 1])] for a, b in zip(i, j, strict=True)]


def panel(
    ax: Any, kinds: Kinds, bands: Sequence[Band], ds: xr.Dataset, title: str, of: str = "verdict"
) -> None:
    """Draw cells by their kind. of: a variable of the dataset that has the axes of the cells."""
    dims: list[Hashable | None] = [None] * (2 - len(ds[of].dims)) + list(ds[of].dims)
    full = _flat(kinds)
    by = max(-(-max(full.shape) // MOST), 1)
    shown = coarse(full, by)
    y, x = (_edges(ds, d, n, by) for d, n in zip(dims, full.shape, strict=True))
    for k, band in enumerate(bands):
        if np.any(shown == k):
            ax.add_patch(
                PathPatch(
                    _area(shown == k, x, y),
                    facecolor=band.grey,
                    edgecolor="0.35",
                    hatch=band.hatch,
                    linewidth=0,
                )
            )
    ax.add_collection(LineCollection(_borders(shown, x, y), colors="black", linewidths=0.9))
    every = max(math.ceil(max(shown.shape) / LETTERS), 1)
    for i in range(every // 2, shown.shape[0], every):
        for j in range(every // 2, shown.shape[1], every):
            band = bands[shown[i, j]]
            dark = band.grey == "0.0"
            box = {"facecolor": "black" if dark else "white", "edgecolor": "none", "pad": 0.8}
            ax.text((x[j] + x[j + 1]) / 2, (y[i] + y[i + 1]) / 2, band.letter, ha="center", va="center", fontsize=7,
                    color="white" if dark else "black", bbox=box if band.letter else None, clip_on=True)  # fmt: skip
    ax.set_xlim(min(x[0], x[-1]), max(x[0], x[-1]))
    ax.set_ylim(min(y[0], y[-1]), max(y[0], y[-1]))
    ax.set_title(title, fontsize=9, loc="left")
    ax.tick_params(labelsize=7)
    for name, d in zip((ax.set_ylabel, ax.set_xlabel), dims, strict=True):
        units = str(ds[d].attrs.get("units", "")) if d is not None and d in ds.coords else ""
        name(cut(inert(f"{d or ''}{f' ({units})' if units else ''}"), 40), fontsize=7, parse_math=False)
    counts = np.bincount(full.reshape(-1), minlength=len(bands))
    marks = [
        Patch(
            facecolor=b.grey,
            edgecolor="0.35",
            hatch=b.hatch,
            label=f"{b.letter or ' '}  {b.words}: {counts[k]}",
        )
        for k, b in reversed(list(enumerate(bands)))
    ]
    ax.legend(handles=marks, loc="upper center", bbox_to_anchor=(0.5, -0.13), fontsize=7, ncols=2, frameon=False, handleheight=1.6,
              handlelength=3.0, title=say("cells of each kind"), title_fontsize=7)  # fmt: skip


def picture(ds: xr.Dataset, now: int, headline: str, under: str) -> bytes:
    """PNG of results: time left beside the chance of people-out, or beside the highest level where there is one member only."""
    figure = Figure(figsize=(10.0, 6.6), dpi=120)
    FigureCanvasAgg(figure)
    left, right = figure.subplots(1, 2)
    hours, words = hours_left(ds, now)
    panel(left, time_kinds(hours, ds["may_be_earlier"].values > 0), TIMES, ds, words)
    members = int(ds.attrs["members"])
    if members > 1:
        low, high = ds["chance_people_out_low"].values, ds["chance_people_out_high"].values
        panel(
            right,
            chance_kinds(low, high),
            chances(members),
            ds,
            say("Chance of people out in the stay, of {members} members", members=members),
        )
    else:
        unknown = (
            ds["unknown_hours"]
            .max([d for d in ds["unknown_hours"].dims if d not in ds["verdict"].dims])
            .values
        )
        panel(
            right,
            level_kinds(ds["known_level"].values, unknown),
            LEVELS,
            ds,
            say("Highest level in the stay"),
        )
    figure.text(0.06, 0.965, cut(inert(headline), 110), fontsize=11, weight="bold", parse_math=False)
    figure.text(0.06, 0.935, cut(inert(under), 140), fontsize=8, parse_math=False)
    figure.text(0.06, 0.02, FOOT, fontsize=7)
    figure.subplots_adjust(left=0.06, right=0.985, top=0.885, bottom=0.3, wspace=0.16)
    out = io.BytesIO()
    figure.savefig(out, format="png", metadata={"Software": None})
    return out.getvalue()
