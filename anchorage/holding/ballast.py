"""Ballast on the frame: weight at each point."""

from __future__ import annotations

from typing import Any

from anchorage.working import formula


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
    valid={"demand": (0.0, None), "capacity": (0.0, None)},
    capacity="R [N]", demand="γD/q [m^2]",
)  # fmt: skip
def limit(capacity: Any, demand: Any) -> Any:
    """Velocity pressure at which a resistance is used up. capacity (N or N m), demand per unit of q. Returns Pa."""
    return capacity / demand
