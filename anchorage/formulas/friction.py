"""Friction under the frame and the ballast on it."""

from __future__ import annotations

from typing import Any

import numpy as np

from anchorage.formulas.working import formula


@formula(
    symbol="Σ μW", unit="N", source="Coulomb friction", clause="each point on its own ground, least pair in the stack",
    valid={"friction": (0.0, 1.5), "weight": (0.0, None)},
    friction="φμ [1]", weight="κW [N]",
)  # fmt: skip
def summed(friction: Any, weight: Any) -> Any:
    """Friction of the weights of all points. friction (1), weight (N), shape (..., n). Returns (..., 1), N."""
    return np.sum(friction * weight, axis=-1, keepdims=True)


@formula(
    symbol="R", unit="N", source="equilibrium on a slope", clause="friction on the normal part less the part that pulls downhill",
    friction="Σ μW [N]", normal="cos β [1]", weight="W [N]", downhill="sin β [1]",
)  # fmt: skip
def on_slope(friction: Any, normal: Any, weight: Any, downhill: Any) -> Any:
    """Friction left on a slope. friction (N) on the level; normal, downhill: cosine and sine of the fall (1); weight without
    a margin (N). Returns N.
    """
    return friction * normal - weight * downhill


@formula(
    symbol="R", unit="N", source="Coulomb friction", clause="share that counts",
    share="k [1]", friction="Σ μW [N]",
)  # fmt: skip
def sliding_resistance(share: Any, friction: Any) -> Any:
    """Friction that counts. share (1): 1 on the level; friction (N). Returns N."""
    return share * friction


@formula(
    symbol="q_lim", unit="Pa", source="Coulomb friction", clause="γ·q·H ≤ R - φμ·γ·q·U, solved for q",
    valid={"resistance": (0.0, None), "uplift": (0.0, None), "push": (0.0, None)},
    resistance="R [N]", push="γH/q [m^2]", friction="φμ [1]", uplift="γU/q [m^2]",
)  # fmt: skip
def sliding_limit(resistance: Any, push: Any, friction: Any, uplift: Any) -> Any:
    """Velocity pressure at which the base begins to slide.

    resistance: friction of the credited weight (N); push, uplift: factored, per unit of q (m^2), not negative (wind that
    presses down is not credited); friction: the largest φμ that uplift can take away. Returns Pa; inf where nothing
    pushes or lifts.
    """
    return resistance / (push + friction * uplift)
