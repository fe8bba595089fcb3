"""One check as its limiting velocity pressure."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from anchorage.core.checked import Check, Gives
from anchorage.formulas import ballast, working

Floats = NDArray[np.float64]


@dataclass(frozen=True)
class Limit:
    """One check: its limiting q (Pa), (..., c, k), with what is asked and what there is."""

    check: Check
    q: Floats
    items: tuple[str, ...]
    demand: Floats | None
    """Per unit of q with γ (m^2 or m^3), (..., c, k); None where the check is not linear in q."""
    capacity: Floats | None
    unit: str
    fixed: bool = False
    """True for a demand that does not grow with the wind (a code minimum); its q is inf."""
    people: bool = False
    """True where it counts for people in and for setting up, and not for a shelter that stands empty."""

    @property
    def of_line(self) -> bool:
        """Whether the line gives and not what it is tied to: more units do not help."""
        return self.check.by == Gives.LINE

    @property
    def name(self) -> str:
        """Of the check, in English."""
        return self.check.name

    @property
    def worst(self) -> tuple[int, int]:
        """Index (case, item) of the smallest q; the first of those that differ by rounding only."""
        q = self.q.reshape(-1, self.q.shape[-2] * self.q.shape[-1])[0]
        flat = int(np.argmax(q <= q.min() * (1 + 1e-9)))
        return flat // self.q.shape[-1], flat % self.q.shape[-1]


@dataclass(frozen=True)
class InCounts:
    """One check as what is asked, per unit of q, against what the counts give; the q at which it is met is asked of none of them."""

    check: Check
    demand: Floats
    capacity: Floats
    items: tuple[str, ...]
    fixed: bool = False
    """True for a demand that does not grow with the wind."""

    @property
    def name(self) -> str:
        """Of the check, in English."""
        return self.check.name


def in_counts(check: Check, demand: Floats, capacity: Floats, items: tuple[str, ...], unit: str) -> InCounts:
    """A check whose demand grows with q, for sizing."""
    del unit
    return InCounts(check, plus(demand), capacity, items)


def plus(x: Floats) -> Floats:
    """Positive part."""
    positive: Floats = np.maximum(x, 0.0)
    return positive


def size(v: Floats) -> Floats:
    """Length of vectors, (..., 2) -> (..., 1)."""
    length: Floats = np.hypot(v[..., :1], v[..., 1:])
    return length


def alike(q: Floats, x: Floats) -> Floats:
    """An array in the shape of another."""
    if x.shape == q.shape:
        return x
    out = np.empty(q.shape)  # copied: a view by broadcast_to takes longer to make
    out[...] = x
    return out


def linear(check: Check, demand: Floats, capacity: Floats, items: tuple[str, ...], unit: str) -> Limit:
    """A check whose demand grows with q against a capacity that does not change."""
    demand = plus(demand)
    shown = working.recording()  # then every case is written with its own numbers
    if shown:
        demand, capacity = np.broadcast_arrays(demand, capacity)
    with np.errstate(divide="ignore", invalid="ignore"):
        q = np.maximum(ballast.limit(capacity, demand), 0.0)
    if not shown:
        demand, capacity = alike(q, demand), alike(q, capacity)
    np.copyto(q, np.inf, where=demand <= 0)
    return Limit(check, q, items, demand, capacity, unit)
