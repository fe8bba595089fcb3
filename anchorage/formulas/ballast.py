"""Ballast on the frame: weight at each point."""

from __future__ import annotations

from typing import Any

import numpy as np

from anchorage.formulas.working import formula


@formula(
    symbol="B", unit="N", source="weight", clause="definition",
    valid={"units": (0.0, None), "mass": (0.0, None)},
    units="n [1]", mass="m [kg]", gravity="g [m/s^2]",
)  # fmt: skip
def ballast_weight(units: Any, mass: Any, gravity: Any) -> Any:
    """Weight of units of ballast. units (1), mass of one (kg), gravity (m/s^2). Returns N."""
    return units * mass * gravity


@formula(
    symbol="q_lim", unit="Pa", source="equilibrium", clause="γ·q·D = R, solved for q",
    valid={"demand": (0.0, None)},
    capacity="R [N]", demand="γD/q [m^2]",
)  # fmt: skip
def limit(capacity: Any, demand: Any) -> Any:
    """Velocity pressure at which a resistance is used up. capacity (N, or N m), demand per unit of q (m^2, or m^3). Returns Pa."""
    return capacity / demand


@formula(
    symbol="γD/q", unit="m^2", source="margin set", clause="γ on wind",
    factor="γ [1]", load="D/q [m^2]",
)  # fmt: skip
def factored(factor: Any, load: Any) -> Any:
    """Factored demand per unit of q. factor (1), load (m^2, or m^3 for a moment). Returns the unit of the load."""
    return factor * load


@formula(
    symbol="R", unit="N", source="equilibrium", clause="credited weight and what stakes hold straight down",
    shelter="κsWs [N]", ballast="κbB [N]", stakes="ψV [N]",
)  # fmt: skip
def vertical_resistance(shelter: Any, ballast: Any, stakes: Any) -> Any:
    """What holds straight down, factored. shelter, ballast, stakes (N). Returns N."""
    return shelter + ballast + stakes


@formula(
    symbol="R", unit="N*m", source="equilibrium", clause="about the base edge: own weight at its lever, each point at its own",
    shelter="κsWs [N]", arm="c [m]", hold="κbB + ψV [N]", lever="l [m]",
)  # fmt: skip
def moment_resistance(shelter: Any, arm: Any, hold: Any, lever: Any) -> Any:
    """Moment that resists tipping about an edge. shelter (N) at arm (m); hold (N) of each point at its lever (m). N m."""
    return shelter * arm + np.sum(hold * lever, axis=-1, keepdims=True)
