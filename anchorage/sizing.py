"""Smallest count at each point that passes: corners, sides and ends apart, the same under mirror in both axes."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from anchorage.base import Base, held
from anchorage.checks import Limit, feet_needed, limits, tension_needed
from anchorage.hardware import Factors, Hardware

Floats = NDArray[np.float64]
GROUPS = ("corner", "side", "end")
MOST = 2000
"""Units at one point beyond which the answer is that this does not hold it."""


@dataclass(frozen=True)
class Sized:
    """Counts by group and by point, and the check that asked for them; counts None where nothing is enough."""

    by_group: dict[str, int]
    counts: NDArray[np.int_] | None
    governed_by: str

    @property
    def total(self) -> int | None:
        """Units over all points; None where nothing is enough."""
        return None if self.counts is None else int(self.counts.sum())


def _membership(groups: tuple[str, ...]) -> tuple[tuple[str, ...], Floats]:
    present = tuple(g for g in GROUPS if g in groups)
    return present, np.array([[1.0 if p == g else 0.0 for p in groups] for g in present])


@dataclass(frozen=True)
class _Row:
    """One check as  Σ A_g c_g >= per_q·q + fixed , an item a line."""

    name: str
    gain: Floats
    """(k, g)."""
    per_q: Floats
    fixed: Floats


def _rows(empty: list[Limit], ones: list[list[Limit]]) -> list[_Row]:
    """Checks that are linear in the counts. empty: on all cases, nothing placed; ones: a unit at each group's points."""
    out = []
    for i, limit in enumerate(empty):
        if limit.demand is None or limit.capacity is None or limit.name.startswith("line"):
            continue  # a line is as strong as it is, however many stakes hold it
        start = limit.capacity[0]
        gains = [one[i].capacity for one in ones]
        gain = np.stack([g[0] - start for g in gains if g is not None], axis=-1)
        most = limit.demand.max(axis=0)
        out.append(
            _Row(
                limit.name,
                gain,
                0 * most if limit.fixed else most,
                (most if limit.fixed else 0 * most) - start,
            )
        )
    return out


def _least(sizes: Floats, a: Floats, b: Floats, low: NDArray[np.int_]) -> NDArray[np.int_] | None:
    """Whole c >= low with A c >= b: least total, then smallest largest. Few groups, so all pairs are tried."""
    groups = len(sizes)
    reach = np.full(groups, MOST)
    for g in range(groups):
        helps = a[:, g] > 0
        if np.any(helps):
            reach[g] = min(MOST, max(int(np.ceil((b[helps] / a[helps, g]).max() - 1e-9)), low[g]))
        else:
            reach[g] = low[g]
    axes = [np.arange(low[g], reach[g] + 1) for g in range(1, groups)]
    grids = [m.ravel() for m in np.meshgrid(*axes, indexing="ij")] if axes else []
    others = np.stack(grids, axis=-1) if grids else np.zeros((1, 0))
    rest = b[None, :] - others @ a[:, 1:].T
    helps = a[:, 0] > 0
    needed = np.full(len(others), float(low[0]))
    if np.any(helps):
        needed = np.maximum(needed, np.ceil((rest[:, helps] / a[helps, 0]).max(axis=1) - 1e-9))
    possible = (rest[:, ~helps] <= 1e-9 * np.maximum(np.abs(b[~helps]), 1.0)).all(axis=1) & (needed <= MOST)
    if not possible.any():
        return None
    c = np.concatenate([needed[:, None], others], axis=1)[possible]
    total, largest = c @ sizes, c.max(axis=1)
    best: NDArray[np.int_] = c[np.lexsort((largest, total))[0]].astype(int)
    return best


def _per_point(b: Base, hard: Hardware, factors: Factors, shelter_mass: float, q: float) -> Floats:
    """Stakes that each point needs of itself at q (Pa), (n,); inf where none are enough."""
    one = held(hard, factors, np.ones(len(b.ids)), shelter_mass)
    with np.errstate(divide="ignore", invalid="ignore"):
        if hard.line_angle is None:
            need = feet_needed(b, one, factors.wind, q)
        else:
            need = np.where(one.tension > 0, tension_needed(b, one, factors.wind, q) / one.tension, np.inf)
    worst: Floats = np.nan_to_num(need.max(axis=0), nan=np.inf)
    return worst


def sizes(
    b: Base, hard: Hardware, factors: Factors, shelter_mass: float, pressures: Sequence[float]
) -> list[Sized]:
    """Least counts that hold at each velocity pressure (Pa), a code minimum of the base included."""
    groups, member = _membership(b.groups)
    few = b.take(np.array([0]))
    empty = limits(b, held(hard, factors, np.zeros(len(b.ids)), shelter_mass), factors)
    ones = [limits(few, held(hard, factors, m, shelter_mass), factors) for m in member]
    rows = _rows(empty, ones)
    names = [r.name for r in rows for _ in r.per_q]
    gain = np.concatenate([r.gain for r in rows])
    per_q, fixed = np.concatenate([r.per_q for r in rows]), np.concatenate([r.fixed for r in rows])
    same, which = np.unique(gain, axis=0, return_inverse=True)
    out = []
    for q in pressures:
        low, why = np.zeros(len(groups), int), ""
        if hard.kind == "stakes":
            point = _per_point(b, hard, factors, shelter_mass, q)
            group = np.array([point[m > 0].max() for m in member])
            if not np.all(group <= MOST):
                out.append(Sized({}, None, "stake"))
                continue
            low, why = np.ceil(group - 1e-9 * np.maximum(group, 1.0)).astype(int), "stake"
        need = per_q * q + fixed
        most = np.full(len(same), -np.inf)
        np.maximum.at(most, which.ravel(), need)
        best = _least(member.sum(axis=1), same, most, low)
        helps = gain.max(axis=1)
        if best is None:
            stuck = (helps <= 0) & (need > 0)
            at = int(
                np.argmax(np.where(stuck, need, -np.inf) if stuck.any() else need / np.maximum(helps, 1e-300))
            )
            out.append(Sized({}, None, names[at]))
            continue
        slack = np.where(helps > 0, (gain @ best - need) / np.where(helps > 0, helps, 1.0), np.inf)
        if (hard.kind == "ballast" and best.any()) or np.any(best > low):
            why = names[int(np.argmin(slack))]
        by_group = dict(zip(groups, (int(k) for k in best), strict=True))
        out.append(Sized(by_group, (best @ member).astype(int), why))
    return out
