"""Guy lines: who takes the push, what the lee lines add, and the velocity pressure at which a line is full.

A line that leans away from the wind resists the push and its own uplift: T = max(u/sin α, h/cos α). A line on the lee
side resists uplift only, and what it pulls outward adds to the push.
"""

from __future__ import annotations

from typing import Any

import numpy as np
from numpy.typing import NDArray

from anchorage.formulas.working import formula

Floats = NDArray[np.float64]


@formula(
    symbol="T", unit="N", source="statics of a line", clause="vertical part u, T = u/sin α",
    valid={"angle": (1.0, 90.0)},
    uplift="u [N]", angle="α [deg]",
)  # fmt: skip
def tension_of_uplift(uplift: Any, angle: Any) -> Any:
    """Tension of a line that holds an uplift. uplift (N); angle above the ground (deg). Returns N."""
    return uplift / np.sin(np.deg2rad(angle))


@formula(
    symbol="T", unit="N", source="statics of a line", clause="horizontal part h along the push, T = h/(cos α·cos plan)",
    valid={"angle": (0.0, 89.0)},
    push="h [N]", angle="α [deg]", plan="cos plan [1]",
)  # fmt: skip
def tension_of_push(push: Any, angle: Any, plan: Any) -> Any:
    """Tension of a line that holds a push. push (N); angle above the ground (deg); plan: cosine in plan (1). N."""
    return push / (np.cos(np.deg2rad(angle)) * plan)


@formula(
    symbol="N", unit="N", source="equilibrium", clause="uplift less the weight at the point, not below zero",
    pressure="q [Pa]", uplift="γu/q [m^2]", weight="κW [N]",
)  # fmt: skip
def net_uplift(pressure: Any, uplift: Any, weight: Any) -> Any:
    """Uplift that a line has to hold. pressure (Pa), factored uplift per unit of q (m^2), credited weight (N). N."""
    return np.maximum(pressure * uplift - weight, 0.0)


@formula(
    symbol="P", unit="N", source="equilibrium", clause="the push of the wind and what the lee lines add: they may pull it off before friction alone would let go",
    pressure="q [Pa]", push="γH/q [m^2]", lee="Σ N·cos plan/tan α [N]",
)  # fmt: skip
def push_to_hold(pressure: Any, push: Any, lee: Any) -> Any:
    """Push that the lines facing it share. pressure (Pa), factored push (m^2), added by the lee lines (N). N."""
    return pressure * push + lee


@formula(
    symbol="T", unit="N", source="statics", clause="equal tension in the lines that face the push, more on the side it twists to",
    twist="t [1]", push="P [N]", supply="Σ cos α·cos plan [1]",
)  # fmt: skip
def tension_of_share(twist: Any, push: Any, supply: Any) -> Any:
    """Tension of a line that faces the push. twist: its share over the mean share (1); push (N); supply (1). N."""
    return twist * push / supply


def reach_each(slope: Floats, slopes: Floats, starts: Floats, targets: Floats) -> Floats:
    """Smallest q >= 0 at which  slope·q + Σ slopes_i·max(q - starts_i, 0)  reaches each target.

    Exact: a rising, piecewise linear function, by its values at the breakpoints.

    Parameters
    ----------
    slope : array, (...,)
        >= 0.
    slopes, starts : array, (..., i)
        Slopes >= 0; a start of inf is never, below 0 something is lifted before the wind blows.
    targets : array, (..., k)
        In the unit of slope times q.

    Returns
    -------
    array, (..., k)
        In the unit of ``starts``; inf where a target is never reached, 0 where it is <= 0 and anything rises from 0 on.

    """
    never = ~np.isfinite(starts) | (slopes <= 0)
    slopes, starts = np.broadcast_arrays(np.where(never, 0.0, slopes), np.where(never, np.inf, starts))
    order = np.argsort(starts, axis=-1)
    starts = np.take_along_axis(starts, order, axis=-1)
    slopes = np.take_along_axis(slopes, order, axis=-1)
    there = np.isfinite(starts)
    held = np.where(there, starts, 0.0)
    shape = (*np.broadcast_shapes(slope.shape, starts.shape[:-1]), starts.shape[-1] + 1)
    rise, offset = np.empty(shape), np.zeros(shape)
    rise[..., 0] = slope
    rise[..., 1:] = slope[..., None] + np.cumsum(slopes, axis=-1)
    offset[..., 1:] = np.cumsum(slopes * held, axis=-1)
    value = np.where(there, rise[..., :-1] * held - offset[..., :-1], np.inf)
    goal = np.maximum(targets, 0.0)
    past = value[..., None, :] < goal[..., None]
    level = rise[..., :-1] <= 0
    if level.any():
        past = past | (level[..., None, :] & (value[..., None, :] <= goal[..., None]))
    at = np.count_nonzero(past, axis=-1)
    shape = np.broadcast_shapes(rise.shape[:-1], at.shape[:-1])
    rise, offset = (np.broadcast_to(v, (*shape, v.shape[-1])) for v in (rise, offset))
    at = np.broadcast_to(at, (*shape, at.shape[-1]))
    climb = np.take_along_axis(rise, at, axis=-1)
    with np.errstate(divide="ignore", invalid="ignore"):
        root = (goal + np.take_along_axis(offset, at, axis=-1)) / climb
    found: Floats = np.where(climb > 0, np.maximum(root, 0.0), np.inf)
    return found


def one_reach(slope: Floats, more: Floats, start: Floats, target: Any) -> Floats:
    """The same where there is one breakpoint at the most: slope·q + more·max(q - start, 0), all (...,)."""
    there = np.isfinite(start) & (more > 0)
    more, start = np.where(there, more, 0.0), np.where(there, start, 0.0)
    goal = np.maximum(target, 0.0)
    past = there & ((slope * start < goal) | ((slope <= 0) & (goal <= 0)))
    rise = slope + np.where(past, more, 0.0)
    with np.errstate(divide="ignore", invalid="ignore"):
        root = (goal + np.where(past, more * start, 0.0)) / rise
    found: Floats = np.where(rise > 0, np.maximum(root, 0.0), np.inf)
    return found
