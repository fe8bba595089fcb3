"""A straight bar driven into the ground: lateral (Broms, short rigid pile), bending, pull-out, and the two together."""

from __future__ import annotations

import functools
from typing import Any

import numpy as np

from anchorage.formulas.working import formula, recording

_BROMS = "UFC 3-220-20 (DM 7.2, 2025), Broms"


@formula(
    symbol="f", unit="m", source=_BROMS, clause="eqs 6-59 to 6-61 solved for f",
    valid={"length": (0.0, 5.0), "width": (0.001, 1.0), "arm": (0.0, 3.0)},
    length="L [m]", width="b [m]", arm="e [m]", ignored="k1 [1]", toe_ratio="k [1]",
)  # fmt: skip
def clay_depth(length: Any, width: Any, arm: Any, ignored: Any, toe_ratio: Any) -> Any:
    """Depth below 1.5 diameters that balances the pull on a short bar in clay.

    With D = max(L - 1.5 b, 0), E = e + 1.5 b and k = 2.25/9, Lmin = L becomes k (D - f)^2 = f E + f^2/2; the root >= 0.
    length: driven length (m); width: diameter (m); arm: height of the line above ground (m); ignored 1.5; toe_ratio k.
    Returns m, 0 where the bar is shorter than 1.5 diameters. Source: UFC 3-220-20.
    """
    d = np.maximum(length - ignored * width, 0.0)
    e = arm + ignored * width + 2 * toe_ratio * d
    return (-e + np.sqrt(e**2 + 4 * (0.5 - toe_ratio) * toe_ratio * d**2)) / (2 * (0.5 - toe_ratio))


@formula(
    symbol="P", unit="N", source=_BROMS, clause="eq. 6-59: f = P/(9·su·b)",
    valid={"strength": (0.0, 500e3)},
    factor="k9 [1]", strength="su [Pa]", width="b [m]", depth="f [m]",
)  # fmt: skip
def clay_lateral(factor: Any, strength: Any, width: Any, depth: Any) -> Any:
    """Ultimate lateral pull of a short bar in clay. factor 9; strength su (Pa); width b (m); depth f (m). Returns N."""
    return factor * strength * width * depth


@formula(
    symbol="P", unit="N", source=_BROMS, clause="Mmax = P(e + 1.5b + 0.5f), solved for P at Mmax = My",
    factor="k9 [1]", strength="su [Pa]", width="b [m]", arm="e [m]", ignored="k1 [1]", moment="My [N*m]",
)  # fmt: skip
def clay_bending(factor: Any, strength: Any, width: Any, arm: Any, ignored: Any, moment: Any) -> Any:
    """Pull at which a bar in clay yields in bending.

    factor 9; strength su (Pa); width b (m); arm e (m); ignored 1.5; moment: of the bar at yield (N m). Returns N.
    """
    s = factor * strength * width
    e = arm + ignored * width
    return np.sqrt((s * e) ** 2 + 2 * moment * s) - s * e


@formula(
    symbol="Kp", unit="1", source="Rankine", clause="tan²(45° + φ/2)",
    valid={"angle": (0.0, 45.0)},
    angle="φ [deg]",
)  # fmt: skip
def passive_coefficient(angle: Any) -> Any:
    """Passive earth pressure coefficient. angle: friction angle of the soil (deg). Returns (1).

    >>> round(passive_coefficient(30.0), 6)
    3.0
    """
    return np.tan(np.deg2rad(45.0 + angle / 2)) ** 2


@formula(
    symbol="K", unit="1", source="Coulomb, UFC 3-220-20 (DM 7.2, 2025)",
    clause="eq. 4-11 with no wall friction: force across a wall that leans over ground falling away, over γ·L²/2 along it",
    valid={"angle": (0.0, 45.0), "lean": (0.0, 45.0), "fall": (0.0, 20.0)},
    angle="φ [deg]", lean="β [deg]", fall="ω [deg]",
)  # fmt: skip
def leaned_passive(angle: Any, lean: Any, fall: Any) -> Any:
    """Passive coefficient across a bar that leans away from its pull, over ground that falls away in front.

    angle: friction angle of the soil (deg); lean: of the bar from upright, head away from the pull (deg); fall: of the
    ground in front of it (deg). Upright on level ground it is Rankine's. Returns (1).

    >>> round(leaned_passive(30.0, 0.0, 0.0), 6)
    3.0
    """
    phi, b, w = np.deg2rad(angle), np.deg2rad(lean), np.deg2rad(fall)
    bracket = 1 - np.sqrt(np.sin(phi) * np.sin(np.maximum(phi - w, 0.0)) / (np.cos(b) * np.cos(b + w)))
    return np.cos(phi + b) ** 2 / (np.cos(b) * bracket**2)


@formula(
    symbol="kω", unit="1", source="Reese and Welch, piles on sloping ground in clay", clause="1/(1 + tan θ), not read; only ever takes away",
    valid={"fall": (0.0, 65.0)},
    fall="θ [deg]",
)  # fmt: skip
def falling_clay(fall: Any) -> Any:
    """Share of the strength of clay that is left across a bar where the ground in front falls away. fall: measured from
    square to the bar (deg). Returns (1).

    >>> falling_clay(0.0)
    1.0
    """
    return 1.0 / (1.0 + np.tan(np.deg2rad(fall)))


@formula(
    symbol="P", unit="N", source=_BROMS, clause="eq. 6-63 rearranged",
    valid={"length": (0.0, 5.0), "width": (0.001, 1.0), "arm": (0.0, 3.0)},
    half_factor="k3/6 [1]", unit_weight="γ' [N/m^3]", width="b [m]", length="L [m]", passive="Kp [1]", arm="e [m]",
)  # fmt: skip
def sand_lateral(half_factor: Any, unit_weight: Any, width: Any, length: Any, passive: Any, arm: Any) -> Any:
    """Ultimate lateral pull of a short bar in sand.

    half_factor: 3/6 of the 3·Kp·γ'·b·z resistance (1); unit_weight γ' (N/m^3, buoyant below water); width b (m);
    length L (m); passive Kp (1); arm e (m). Returns N.
    """
    return half_factor * unit_weight * width * length**3 * passive / (arm + length)


@formula(
    symbol="My", unit="N*m", source="plastic moment of a round bar", clause="fy·d³/6",
    valid={"diameter": (0.001, 0.5)},
    yield_stress="fy [Pa]", diameter="d [m]",
)  # fmt: skip
def bar_moment(yield_stress: Any, diameter: Any) -> Any:
    """Moment at which a round bar has yielded through. yield_stress (Pa), diameter (m). Returns N m."""
    return yield_stress * diameter**3 / 6


@formula(
    symbol="Mmax", unit="N*m", source=_BROMS, clause="eqs 6-64, 6-65: P·e + P·f - γ'bKp·f³/2 with f² = P/(1.5γ'bKp)",
    pull="P [N]", arm="e [m]", unit_weight="γ' [N/m^3]", width="b [m]", passive="Kp [1]", factor="k3/2 [1]",
)  # fmt: skip
def sand_moment(pull: Any, arm: Any, unit_weight: Any, width: Any, passive: Any, factor: Any) -> Any:
    """Largest bending moment of a bar in sand under a pull. pull (N), arm (m), unit_weight (N/m^3), width (m);
    passive Kp (1), factor: half of the 3 of the soil's resistance (1). Returns N m.
    """
    return pull * arm + 2 / 3 * pull * np.sqrt(pull / (factor * unit_weight * width * passive))


@functools.lru_cache(maxsize=1024)
def _one_bending(
    moment: float, arm: float, unit_weight: float, width: float, passive: float, factor: float
) -> float:
    """The same of one bar, as it is asked for again at each lean and line of a stake."""
    low, high = np.float64(0.0), np.float64(moment / np.maximum(arm, 1e-6))
    for _ in range(80):
        middle = (low + high) / 2
        if sand_moment(middle, arm, unit_weight, width, passive, factor) > moment:
            high = middle
        else:
            low = middle
    return float(low)


def sand_bending(moment: Any, arm: Any, unit_weight: Any, width: Any, passive: Any, factor: Any) -> Any:
    """Pull at which a bar in sand yields in bending, by halving on ``sand_moment``, which only rises. N."""
    given = (moment, arm, unit_weight, width, passive, factor)
    if not recording() and all(isinstance(x, float) for x in given):
        return _one_bending(*map(float, given))
    high = np.asarray(moment / np.maximum(arm, 1e-6), float)
    low = np.zeros_like(high)
    for _ in range(80):
        middle = (low + high) / 2
        over = sand_moment(middle, arm, unit_weight, width, passive, factor) > moment
        low, high = np.where(over, low, middle), np.where(over, middle, high)
    return low if low.ndim else float(low)


@formula(
    symbol="V", unit="N", source="UFC 3-220-20 (DM 7.2, 2025)", clause="eq. 6-8: α·su on the shaft",
    valid={"strength": (0.0, 500e3), "adhesion": (0.0, 1.0)},
    adhesion="α [1]", strength="su [Pa]", diameter="d [m]", length="L [m]",
)  # fmt: skip
def clay_pullout(adhesion: Any, strength: Any, diameter: Any, length: Any) -> Any:
    """Axial pull-out of a bar in clay. adhesion (1), strength su (Pa), diameter (m), length (m). Returns N."""
    return adhesion * strength * np.pi * diameter * length


@formula(
    symbol="V", unit="N", source="UFC 3-220-20 (DM 7.2, 2025)", clause="eqs 6-6, 6-7: K·tan δ·σ'v at mid length on the shaft",
    valid={"angle": (0.0, 45.0)},
    lateral="K [1]", angle="δ [deg]", unit_weight="γ' [N/m^3]", diameter="d [m]", length="L [m]",
)  # fmt: skip
def sand_pullout(lateral: Any, angle: Any, unit_weight: Any, diameter: Any, length: Any) -> Any:
    """Axial pull-out of a bar in sand. lateral K (1), angle δ (deg), unit_weight (N/m^3), diameter, length (m). N."""
    return lateral * np.tan(np.deg2rad(angle)) * unit_weight * length / 2 * np.pi * diameter * length


@formula(
    symbol="R", unit="N", source="linear interaction of lateral and axial use", clause="a choice on the safe side, no source",
    valid={"angle": (0.0, 90.0)},
    angle="α [deg]", lateral="Hult [N]", axial="Vult [N]",
)  # fmt: skip
def inclined_capacity(angle: Any, lateral: Any, axial: Any) -> Any:
    """Pull along a line at an angle above the ground that uses up cos α of the lateral and sin α of the axial strength.

    angle (deg); lateral, axial: ultimate (N), not both 0. Returns N.
    """
    return lateral * axial / (axial * np.cos(np.deg2rad(angle)) + lateral * np.sin(np.deg2rad(angle)))


@formula(
    symbol="R", unit="N", source="linear interaction across and along the stake", clause="a choice on the safe side, no source; pushing in earns nothing",
    valid={"across": (-45.0, 90.0), "along": (-45.0, 180.0)},
    across="α-β [deg]", along="α+|β| [deg]", lateral="Hult [N]", axial="Vult [N]",
)  # fmt: skip
def leaned_capacity(across: Any, along: Any, lateral: Any, axial: Any) -> Any:
    """Pull along a line that uses up cos across of the strength across the stake and sin along of that along it.

    across: angle of the pull to what is square to the stake; along: the same for what pulls it out, under 0 counted as 0
    (deg); lateral, axial: ultimate (N), neither of them 0. Returns N.
    """
    out = np.maximum(np.sin(np.deg2rad(along)), 0.0)
    return 1.0 / (np.cos(np.deg2rad(across)) / lateral + out / axial)


@formula(
    symbol="R", unit="N", source="pull tests at the site", clause="lowest of at least three, halved when tested dry and it may get wet",
    lowest="T [N]", factor="k [1]",
)  # fmt: skip
def tested_capacity(lowest: Any, factor: Any) -> Any:
    """Capacity from pull tests along the line of use. lowest (N); factor (1): 0.5 tested dry and rain possible. N."""
    return lowest * factor


def group_efficiency(count: Any, spacing: float, free: float, table: Any) -> Any:
    """Mean p-multiplier of stakes in line with the pull: what each is worth on average beside standing alone.

    Parameters
    ----------
    count : float or array
        Stakes in line.
    spacing : float
        In diameters (1).
    free : float
        Spacing from which they do not weaken each other, in diameters (1).
    table : dict
        {spacing: (first row, second, third and behind)}, linear between.

    Returns
    -------
    array
        Like ``count`` (1); 1 for a single stake.

    References
    ----------
    AASHTO multipliers in FHWA-HIF-18-031, Table 7-1; free spacing of UFC 3-220-20, 6-6.5.

    """
    n = np.asarray(count, float)
    if spacing >= free:
        return np.ones_like(n)
    knots = sorted(table)
    rows = [float(np.interp(spacing, knots, [table[s][r] for s in knots])) for r in range(3)]
    total = rows[0] * np.minimum(n, 1) + rows[1] * np.clip(n - 1, 0, 1) + rows[2] * np.maximum(n - 2, 0)
    return np.where(n > 1, total / np.maximum(n, 1), 1.0)
