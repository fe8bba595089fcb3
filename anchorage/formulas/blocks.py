"""Weight on the ground at the end of a line, and what is buried across the pull."""

from __future__ import annotations

from typing import Any

import numpy as np

from anchorage.formulas.working import formula


@formula(
    symbol="T", unit="N", source="statics of a block", clause="W ≥ T(sin α + cos α/μ)",
    valid={"angle": (0.0, 90.0), "friction": (0.001, 1.5), "weight": (0.0, None)},
    weight="κbW [N]", angle="α [deg]", friction="φμ [1]",
)  # fmt: skip
def block_slide(weight: Any, angle: Any, friction: Any) -> Any:
    """Tension of a line at which a block on the ground slides; it slides before it lifts.

    weight: credited weight (N); angle above the ground (deg); friction: of the block on the ground with its factor (1).
    Returns N.

    >>> round(float(block_slide(1000.0, 45.0, 0.5)), 1)
    471.4
    """
    return friction * weight / (np.cos(np.deg2rad(angle)) + friction * np.sin(np.deg2rad(angle)))


@formula(
    symbol="T", unit="N", source="statics of a block", clause="T(h cos α + x sin α) ≤ W·xg about the edge near the shelter",
    valid={"angle": (0.0, 90.0), "weight": (0.0, None)},
    weight="κbW [N]", middle="xg [m]", height="h [m]", angle="α [deg]", eye="x [m]",
)  # fmt: skip
def block_tip(weight: Any, middle: Any, height: Any, angle: Any, eye: Any) -> Any:
    """Tension of a line at which a block tips towards the shelter.

    weight (N); middle, eye: distances in plan of weight and eye from the edge nearest the shelter (m); height of the eye
    (m); angle (deg). Returns N; inf where the line cannot tip it.
    """
    return weight * middle / (height * np.cos(np.deg2rad(angle)) + eye * np.sin(np.deg2rad(angle)))


@formula(
    symbol="T", unit="N", source="statics of a block", clause="T((d - x) sin α - h cos α) ≤ W(d - xg) about the far edge",
    valid={"angle": (0.0, 90.0), "weight": (0.0, None)},
    weight="κbW [N]", rest="d - xg [m]", behind="d - x [m]", angle="α [deg]", height="h [m]",
)  # fmt: skip
def block_tip_back(weight: Any, rest: Any, behind: Any, angle: Any, height: Any) -> Any:
    """Tension of a steep line that lifts the near edge of a block: it tips about its far edge.

    weight (N); rest, behind: distances in plan of weight and eye from the far edge (m); angle (deg); height of the eye
    (m). Returns N; inf where the line cannot tip it that way.
    """
    return (
        weight
        * rest
        / np.maximum(behind * np.sin(np.deg2rad(angle)) - height * np.cos(np.deg2rad(angle)), 0.0)
    )


@formula(
    symbol="α", unit="deg", source="statics of a block", clause="least weight where the line pulls up and across as needed: tan α = u/h",
    valid={"uplift": (0.0, None), "push": (0.0, None)},
    uplift="u [N]", push="h [N]",
)  # fmt: skip
def least_angle(uplift: Any, push: Any) -> Any:
    """Angle of a line above the ground that needs the least ballast. uplift, push at the point (N). Returns degrees."""
    return np.rad2deg(np.arctan2(uplift, push))


@formula(
    symbol="p", unit="Pa", source="weight over area", clause="definition",
    valid={"area": (1e-6, None)},
    weight="W [N]", area="A [m^2]",
)  # fmt: skip
def bearing_pressure(weight: Any, area: Any) -> Any:
    """Pressure of ballast on the ground. weight (N), area (m^2). Returns Pa."""
    return weight / area


@formula(
    symbol="T", unit="N", source="TM 5-5420-278-10", clause="Table 9 and Dt = CC/(HP·Df) + wt, solved for the pull",
    valid={"length": (0.0, 10.0), "trench": (0.0, 1.0)},
    holding="HP [Pa]", multiplier="k [1]", face="Df [m]", length="Dt [m]", trench="wt [m]",
)  # fmt: skip
def deadman_pull(holding: Any, multiplier: Any, face: Any, length: Any, trench: Any) -> Any:
    """Pull that a deadman stands. holding power (Pa), soil multiplier (1), face height and length (m), width of the
    trench of the line (m). N.
    """
    return holding * multiplier * face * np.maximum(length - trench, 0.0)
