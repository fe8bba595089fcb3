"""Sidewall straps: what sways a folding frame, what a strap must hold against it, and what that lifts at a foot."""

from __future__ import annotations

from typing import Any

import numpy as np

from anchorage.formulas.working import formula


@formula(
    symbol="αh", unit="1", source="EN 1993-1-1", clause="5.3.2: 2/√h, from 2/3 to 1",
    valid={"height": (0.1, 100.0)},
    factor="c [1]", height="h [m]", metre="1m [m]", least="min [1]", most="max [1]",
)  # fmt: skip
def height_factor(factor: Any, height: Any, metre: Any, least: Any, most: Any) -> Any:
    """Reduction of the initial sway with the height. factor 2 (1); height of the legs (m); metre (m); least 2/3 and
    most 1 (1). Returns 1.
    """
    return np.minimum(most, np.maximum(least, factor / np.sqrt(height / metre)))


@formula(
    symbol="αm", unit="1", source="EN 1993-1-1", clause="5.3.2: √(0.5·(1 + 1/m))",
    valid={"legs": (1.0, None)},
    half="c [1]", legs="m [1]",
)  # fmt: skip
def row_factor(half: Any, legs: Any) -> Any:
    """Reduction of the initial sway with the number of legs in a row. half 0.5 (1); legs (1). Returns 1."""
    return np.sqrt(half * (1 + 1 / legs))


@formula(
    symbol="φ", unit="1", source="EN 1993-1-1", clause="5.3.2: φ0·αh·αm",
    start="φ0 [1]", height="αh [1]", row="αm [1]",
)  # fmt: skip
def initial_sway(start: Any, height: Any, row: Any) -> Any:
    """Lean that a code asks to be counted on, over height. start 1/200 (1); factors for height and row (1). Returns 1."""
    return start * height * row


@formula(
    symbol="N", unit="N", source="statics", clause="snow on both halves of the roof and the shelter itself",
    valid={"light": (0.0, None), "heavy": (0.0, None)},
    light="w1 [Pa]", heavy="w2 [Pa]", span="L [m]", length="l [m]", own="Ws [N]",
)  # fmt: skip
def vertical_load(light: Any, heavy: Any, span: Any, length: Any, own: Any) -> Any:
    """Vertical load that tips a frame once it leans. light, heavy: on each half (Pa on plan); span, length (m); own (N). N."""
    return (light + heavy) / 2 * span * length + own


@formula(
    symbol="Hunb", unit="N", source="statics of a roof on leaning legs", clause="(w2 - w1)·(L/4)·l·tan ψ, towards the light side",
    valid={"lean": (-45.0, 45.0)},
    light="w1 [Pa]", heavy="w2 [Pa]", span="L [m]", length="l [m]", lean="ψ [deg]",
)  # fmt: skip
def unbalanced_push(light: Any, heavy: Any, span: Any, length: Any, lean: Any) -> Any:
    """Sideways push of uneven snow; none where the legs stand upright. light, heavy (Pa on plan); span, length (m);
    lean of the legs inward from upright (deg). Returns N, positive towards the light side.

    >>> round(unbalanced_push(150.0, 500.0, 6.0, 2.5, 10.0))
    231
    """
    return (heavy - light) * span / 4 * length * np.tan(np.deg2rad(lean))


@formula(
    symbol="Δ/h", unit="1", source="geometry of a diagonal", clause="lean before a slack strap bites: s/(cos θ·h)",
    valid={"angle": (1.0, 89.0), "slack": (0.0, None)},
    slack="s [m]", angle="θ [deg]", height="h [m]",
)  # fmt: skip
def slack_lean(slack: Any, angle: Any, height: Any) -> Any:
    """Lean of the frame until a strap pulls. slack of the strap (m); its angle above the ground (deg); height (m). Returns 1."""
    return slack / (np.cos(np.deg2rad(angle)) * height)


@formula(
    symbol="Hsway", unit="N", source="statics", clause="vertical load on a frame that leans, and uneven snow",
    vertical="N [N]", lean="lean [1]", unbalanced="Hunb [N]",
)  # fmt: skip
def sway_push(vertical: Any, lean: Any, unbalanced: Any) -> Any:
    """Push that is there without wind. vertical (N); lean over height (1); unbalanced (N). Returns N."""
    return vertical * lean + unbalanced


@formula(
    symbol="Hwind/q", unit="m^2", source="statics", clause="moment of the push about the feet over the height of the eave",
    moment="Σ F·z/q [m^3]", height="h [m]",
)  # fmt: skip
def wind_share(moment: Any, height: Any) -> Any:
    """Push of the wind at the eave, per unit of q. moment of the horizontal pressures about the feet (m^3); eave (m). m^2."""
    return moment / height


@formula(
    symbol="k", unit="N/m", source="statics of a tension diagonal", clause="n·EA·cos³θ/b",
    valid={"angle": (1.0, 89.0), "count": (0.0, None)},
    count="n [1]", stiffness="EA [N]", angle="θ [deg]", bay="b [m]",
)  # fmt: skip
def lateral_stiffness(count: Any, stiffness: Any, angle: Any, bay: Any) -> Any:
    """Stiffness against sway of straps, one diagonal of each cross. count of straps that pull (1); stiffness: pull over
    stretch (N); angle above the ground (deg); width of their bay (m). Returns N/m.
    """
    return count * stiffness * np.cos(np.deg2rad(angle)) ** 3 / bay


@formula(
    symbol="α", unit="1", source="second-order sway", clause="k·h/N",
    valid={"vertical": (1e-9, None)},
    stiffness="k [N/m]", height="h [m]", vertical="N [N]",
)  # fmt: skip
def sway_ratio(stiffness: Any, height: Any, vertical: Any) -> Any:
    """How many times its vertical load a frame could carry before it folds. stiffness (N/m); height (m); vertical (N). 1."""
    return stiffness * height / vertical


@formula(
    symbol="A", unit="1", source="second-order sway", clause="1/(1 - 1/α) = α/(α - 1), no limit where α is 1 or less",
    valid={"ratio": (0.0, None)},
    ratio="α [1]",
)  # fmt: skip
def amplifier(ratio: Any) -> Any:
    """How much the vertical load on the leaning frame adds to the sway. ratio (1). Returns 1, inf where it folds.

    >>> float(amplifier(3.0))
    1.5
    """
    return np.where(ratio > 1.0, ratio / np.maximum(ratio - 1.0, 1e-12), np.inf)


@formula(
    symbol="H", unit="N", source="second-order sway", clause="amplified push at the eave",
    amplifier="A [1]", sway="Hsway [N]", pressure="q [Pa]", wind="Hwind/q [m^2]",
)  # fmt: skip
def racking(amplifier: Any, sway: Any, pressure: Any, wind: Any) -> Any:
    """Push at the eave that the straps hold. amplifier (1); sway (N); pressure q (Pa); wind per unit of q (m^2). N."""
    return amplifier * (sway + pressure * wind)


@formula(
    symbol="T", unit="N", source="statics of a tension diagonal", clause="H/(n·cos θ)",
    valid={"angle": (0.0, 89.0), "count": (1.0, None)},
    push="H [N]", count="n [1]", angle="θ [deg]",
)  # fmt: skip
def strap_tension(push: Any, count: Any, angle: Any) -> Any:
    """Pull in each strap. push (N); count of straps that pull (1); angle above the ground (deg). Returns N."""
    return push / (count * np.cos(np.deg2rad(angle)))


@formula(
    symbol="Vup", unit="N", source="statics of a strapped bay", clause="H·h/(n·b) at its windward foot, the same down at the other",
    valid={"count": (1.0, None), "bay": (0.01, None)},
    push="H [N]", height="h [m]", count="n [1]", bay="b [m]",
)  # fmt: skip
def foot_uplift(push: Any, height: Any, count: Any, bay: Any) -> Any:
    """Uplift of the windward foot of one strapped bay. push on all (N); height (m); count of bays (1); bay (m). Returns N."""
    return push * height / (count * bay)


@formula(
    symbol="q(straps)", unit="Pa", source="statics of a tension diagonal", clause="T = rated strength, solved for q",
    rated="R [N]", count="n [1]", angle="θ [deg]", amplifier="A [1]", sway="Hsway [N]", wind="Hwind/q [m^2]",
)  # fmt: skip
def pressure_held(rated: Any, count: Any, angle: Any, amplifier: Any, sway: Any, wind: Any) -> Any:
    """Velocity pressure at which a strap reaches its strength; negative where the snow alone is too much. rated (N);
    count (1); angle (deg); amplifier (1); sway (N); wind per unit of q (m^2). Returns Pa.
    """
    return (rated * count * np.cos(np.deg2rad(angle)) / amplifier - sway) / wind
