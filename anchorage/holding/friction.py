"""Friction under the frame and the ballast on it."""

from __future__ import annotations

from typing import Any

from anchorage.working import formula


@formula(
    symbol="q_lim", unit="Pa", source="Coulomb friction", clause="γ·q·H ≤ φμ·(κW - γ·q·U), solved for q",
    valid={"friction": (0.0, 1.5), "weight": (0.0, None), "uplift": (0.0, None), "push": (0.0, None)},
    friction="φμ [1]", weight="κW [N]", push="γH/q [m^2]", uplift="γU/q [m^2]",
)  # fmt: skip
def sliding_limit(friction: Any, weight: Any, push: Any, uplift: Any) -> Any:
    """Velocity pressure at which the base begins to slide.

    friction: μ with its factor (1); weight: credited weight (N); push, uplift: factored, per unit of q (m^2), not
    negative (wind that presses down is not credited). Returns Pa; inf where nothing pushes or lifts.
    """
    return friction * weight / (push + friction * uplift)


@formula(
    symbol="μW", unit="N", source="Coulomb friction", clause="least pair in the stack counts",
    friction="φμ [1]", weight="κW [N]",
)  # fmt: skip
def sliding_resistance(friction: Any, weight: Any) -> Any:
    """Friction of a weight. friction (1), weight (N). Returns N."""
    return friction * weight
