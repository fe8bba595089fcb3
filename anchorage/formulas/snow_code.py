"""Roof snow by ASCE 7 (7-10, 7-16, 7-22) and EN 1991-1-3, as plain formulas. Slopes in degrees, loads in Pa on plan."""

from __future__ import annotations

from typing import Any

import numpy as np

from anchorage.formulas.working import formula

SLOPE = (0.0, 90.0)


@formula(
    symbol="pf", unit="Pa", source="ASCE 7-10 and 7-16", clause="Eq. 7.3-1",
    valid={"ce": (0.5, 1.5), "ct": (0.8, 1.4), "importance": (0.8, 1.2), "ground": (0.0, 20e3)},
    flat="c [1]", ce="Ce [1]", ct="Ct [1]", importance="Is [1]", ground="pg [Pa]",
)  # fmt: skip
def flat_roof(flat: Any, ce: Any, ct: Any, importance: Any, ground: Any) -> Any:
    """Flat-roof snow of ASCE 7-10 and 7-16, service level. flat: 0.7 (1); Ce, Ct, Is (1); ground: 50-year snow on the
    ground (Pa). Returns Pa.
    """
    return flat * ce * ct * importance * ground


@formula(
    symbol="pf", unit="Pa", source="ASCE 7-22", clause="Eq. 7.3-1, without Is",
    valid={"ce": (0.5, 1.5), "ct": (0.8, 1.4), "ground": (0.0, 20e3)},
    flat="c [1]", ce="Ce [1]", ct="Ct [1]", ground="pg [Pa]",
)  # fmt: skip
def flat_roof_22(flat: Any, ce: Any, ct: Any, ground: Any) -> Any:
    """Flat-roof snow of ASCE 7-22, strength level. flat: 0.7 (1); Ce, Ct (1); ground: strength-level snow on the ground
    of the risk category (Pa). Returns Pa.
    """
    return flat * ce * ct * ground


@formula(
    symbol="s", unit="Pa", source="ASCE 7-22", clause="ASD combination, 0.7 S",
    factor="0.7S [1]", load="S [Pa]",
)  # fmt: skip
def service_snow_of_strength(factor: Any, load: Any) -> Any:
    """Service-level load of a strength-level one. factor (1); load (Pa). Returns Pa."""
    return factor * load


@formula(
    symbol="Cs", unit="1", source="ASCE 7-16", clause="Figure 7.4-1 by the equations of C7.4",
    valid={"slope": SLOPE, "start": (0.0, 69.0)},
    slope="β [deg]", start="a [deg]", end="b [deg]",
)  # fmt: skip
def slope_factor(slope: Any, start: Any, end: Any) -> Any:
    """Slope factor: 1 up to a slope, then straight to 0. slope (deg); start: up to where it is 1 (deg); end: 70 (deg). 1.

    >>> round(float(slope_factor(26.6, 10.0, 70.0)), 4)
    0.7233
    """
    return np.minimum(1.0, np.maximum(0.0, 1 - (slope - start) / (end - start)))


@formula(
    symbol="ps", unit="Pa", source="ASCE 7-16", clause="Eq. 7.4-1",
    factor="Cs [1]", flat="pf [Pa]",
)  # fmt: skip
def sloped_roof(factor: Any, flat: Any) -> Any:
    """Sloped-roof snow on the horizontal projection. factor Cs (1); flat-roof snow (Pa). Returns Pa."""
    return factor * flat


@formula(
    symbol="pm", unit="Pa", source="ASCE 7-16", clause="7.3.4",
    importance="Is [1]", ground="pg [Pa]", most="20psf [Pa]",
)  # fmt: skip
def minimum_low_slope(importance: Any, ground: Any, most: Any) -> Any:
    """Least load of a low-slope roof, a case of its own. importance Is (1); ground snow (Pa); most: 20 psf (Pa). Pa."""
    return importance * np.minimum(ground, most)


@formula(
    symbol="γ", unit="N/m^3", source="ASCE 7-16", clause="Eq. 7.7-1",
    valid={"ground": (0.0, 20e3)},
    rate="c [1/m]", ground="pg [Pa]", base="γ0 [N/m^3]", most="γmax [N/m^3]",
)  # fmt: skip
def snow_weight(rate: Any, ground: Any, base: Any, most: Any) -> Any:
    """Unit weight of a 50-year pack; not for fresh snow. rate 0.13 per ft (1/m); ground snow (Pa); base 14 pcf and
    most 30 pcf (N/m^3). Returns N/m^3.
    """
    return np.minimum(rate * ground + base, most)


@formula(
    symbol="hd", unit="m", source="ASCE 7-10", clause="Figure 7-9, lu = W",
    valid={"run": (0.0, 300.0), "ground": (0.0, 20e3)},
    foot="1ft [m]", a="a [1]", run="W [m]", ground="pg [Pa]", shift="p0 [Pa]", psf="1psf [Pa]", less="b [1]",
)  # fmt: skip
def drift_height(foot: Any, a: Any, run: Any, ground: Any, shift: Any, psf: Any, less: Any) -> Any:
    """Drift height 0.43·W^(1/3)·(pg + 10)^(1/4) - 1.5 in ft and psf, written with its units. foot (m); a 0.43 (1);
    run: eave to ridge (m); ground snow (Pa); shift 10 psf (Pa); psf (Pa); less 1.5 (1). Returns m.
    """
    return foot * np.maximum(a * (run / foot) ** (1 / 3) * ((ground + shift) / psf) ** (1 / 4) - less, 0.0)


@formula(
    symbol="hd", unit="m", source="ASCE 7-22, recalled", clause="7.6.1: 1.5·√(pg^0.74·lu^0.70·W2^1.7/γ)",
    valid={"run": (0.0, 300.0), "ground": (0.0, 20e3), "winter": (0.0, 1.0), "weight": (1.0, None)},
    foot="1ft [m]", a="a [1]", ground="pg [Pa]", psf="1psf [Pa]", run="W [m]", winter="W2 [1]", weight="γ [N/m^3]",
)  # fmt: skip
def drift_height_22(foot: Any, a: Any, ground: Any, psf: Any, run: Any, winter: Any, weight: Any) -> Any:
    """Drift height of ASCE 7-22, written with its units. foot (m); a 1.5 (1); ground snow (Pa); psf (Pa); run: eave to
    ridge (m); winter: share of winter hours with wind over 10 mph (1); weight of the snow (N/m^3). Returns m.
    """
    return (
        foot
        * a
        * np.sqrt((ground / psf) ** 0.74 * (run / foot) ** 0.7 * winter**1.7 / (weight / (psf / foot)))
    )


@formula(
    symbol="p(lee)", unit="Pa", source="ASCE 7-10", clause="7.6.1: ps + hd·γ/√S",
    sloped="ps [Pa]", drift="hd [m]", weight="γ [N/m^3]", run="S [1]",
)  # fmt: skip
def leeward_peak(sloped: Any, drift: Any, weight: Any, run: Any) -> Any:
    """Load on the leeward slope next to the ridge. sloped (Pa); drift (m); weight (N/m^3); run for a rise of one (1). Pa."""
    return sloped + drift * weight / np.sqrt(run)


@formula(
    symbol="x", unit="m", source="ASCE 7-10, recalled", clause="7.6.1: (8/3)·hd·√S",
    factor="c [1]", drift="hd [m]", run="S [1]",
)  # fmt: skip
def drift_extent(factor: Any, drift: Any, run: Any) -> Any:
    """How far from the ridge the drift reaches. factor 8/3 (1); drift (m); run for a rise of one (1). Returns m."""
    return factor * drift * np.sqrt(run)


@formula(
    symbol="p(wind)", unit="Pa", source="ASCE 7-10", clause="7.6.1: 0.3 ps",
    factor="c [1]", sloped="ps [Pa]",
)  # fmt: skip
def windward_share(factor: Any, sloped: Any) -> Any:
    """Load on the windward slope of the uneven case. factor 0.3 (1); sloped (Pa). Returns Pa."""
    return factor * sloped


@formula(
    symbol="p(arch)", unit="Pa", source="ASCE 7-16, recalled", clause="Figure 7.4-2: 2 pf Cs/Ce",
    factor="c [1]", flat="pf [Pa]", slope_factor="Cs [1]", ce="Ce [1]",
)  # fmt: skip
def arch_peak(factor: Any, flat: Any, slope_factor: Any, ce: Any) -> Any:
    """Largest load on the leeward half of a curved roof. factor 2 (1); flat (Pa); Cs at the 30-degree point or the eave,
    if that is flatter (1); Ce (1). Returns Pa.
    """
    return factor * flat * slope_factor / ce


@formula(
    symbol="μ1", unit="1", source="EN 1991-1-3", clause="Table 5.2",
    valid={"slope": SLOPE},
    flat="μ0 [1]", slope="α [deg]", start="a [deg]", end="b [deg]",
)  # fmt: skip
def mu_1(flat: Any, slope: Any, start: Any, end: Any) -> Any:
    """Shape coefficient where snow is free to slide. flat 0.8 (1); slope (deg); start 30, end 60 (deg). Returns 1.

    >>> float(mu_1(0.8, 45.0, 30.0, 60.0))
    0.4
    """
    return flat * np.minimum(1.0, np.maximum(0.0, (end - slope) / (end - start)))


@formula(
    symbol="μ2", unit="1", source="EN 1991-1-3", clause="Table 5.2",
    valid={"slope": SLOPE},
    flat="μ0 [1]", most="μ2(30) [1]", slope="α [deg]", end="a [deg]",
)  # fmt: skip
def mu_2(flat: Any, most: Any, slope: Any, end: Any) -> Any:
    """Shape coefficient of a valley between joined roofs. flat 0.8, most 1.6 (1); slope: mean of both (deg); end 30
    (deg). Returns 1.
    """
    return flat + (most - flat) * np.minimum(1.0, slope / end)


@formula(
    symbol="μ3", unit="1", source="EN 1991-1-3, recalled", clause="5.3.5",
    valid={"rise": (0.0, None)},
    base="c0 [1]", rate="c1 [1]", rise="h [m]", span="b [m]", most="cmax [1]",
)  # fmt: skip
def mu_3(base: Any, rate: Any, rise: Any, span: Any, most: Any) -> Any:
    """Shape coefficient of a cylindrical roof. base 0.2, rate 10, most 2.0 (1); rise, span (m). Returns 1."""
    return np.minimum(base + rate * rise / span, most)


@formula(
    symbol="μw", unit="1", source="EN 1991-1-3", clause="5.3.6",
    valid={"drop": (0.1, None), "ground": (1.0, None)},
    upper="b1 [m]", lower="b2 [m]", drop="h [m]", weight="γ [N/m^3]", ground="sk [Pa]", least="min [1]", most="max [1]",
)  # fmt: skip
def mu_w(upper: Any, lower: Any, drop: Any, weight: Any, ground: Any, least: Any, most: Any) -> Any:
    """Shape coefficient of snow blown off a taller building beside. upper, lower: widths of building and shelter (m);
    drop between their roofs (m); weight 2 kN/m3 (N/m^3); ground (Pa); least 0.8, most 4 (1). Returns 1.
    """
    return np.minimum(
        most, np.maximum(least, np.minimum((upper + lower) / (2 * drop), weight * drop / ground))
    )


@formula(
    symbol="ls", unit="m", source="EN 1991-1-3", clause="5.3.6",
    drop="h [m]", least="min [m]", most="max [m]",
)  # fmt: skip
def drift_length(drop: Any, least: Any, most: Any) -> Any:
    """How far from the taller building the drift reaches. drop (m); least 5, most 15 (m). Returns m."""
    return np.minimum(most, np.maximum(least, 2 * drop))


@formula(
    symbol="μs", unit="1", source="EN 1991-1-3", clause="5.3.6, as Steel Buildings in Europe and the Czech amendment Z2 have it",
    valid={"reach": (1.0, None)},
    share="c [1]", upper="μ [1]", run="b1 [m]", reach="ls [m]",
)  # fmt: skip
def mu_s(share: Any, upper: Any, run: Any, reach: Any) -> Any:
    """Shape coefficient, at the wall, of snow that slides off a steeper roof beside: a share of all on its slope, as a triangle.
    share 0.5 (1); upper: coefficient of that slope, 0.8 (1); run of the slope on plan (m); reach of the drift (m). Returns 1.

    >>> float(mu_s(0.5, 0.8, 10.0, 5.0))
    1.6
    """
    return 2 * share * upper * run / reach


@formula(
    symbol="a", unit="1", source="ASCE 7-16, a public load calculation", clause="Figure 7.6-1: 0.43·√Is; never less for a lesser use",
    valid={"importance": (0.8, 1.2)},
    a="0.43 [1]", importance="Is [1]",
)  # fmt: skip
def drift_rate(a: Any, importance: Any) -> Any:
    """Rate of a drift height for a use. a 0.43 (1); importance Is (1). Returns 1.

    >>> round(float(drift_rate(0.43, 1.2)), 4)
    0.471
    """
    return a * np.sqrt(np.maximum(importance, 1.0))


@formula(
    symbol="p(step)", unit="Pa", source="ASCE 7-10 to 7-22", clause="7.7.1: hd·γ over the balanced load, hd at most hc",
    valid={"drop": (0.0, None), "weight": (1.0, None)},
    sloped="ps [Pa]", drift="hd [m]", drop="h [m]", weight="γ [N/m^3]",
)  # fmt: skip
def step_peak(sloped: Any, drift: Any, drop: Any, weight: Any) -> Any:
    """Load at the wall of a taller building. sloped: balanced load (Pa); drift (m); drop: step between the roofs (m), which
    drift and balanced snow together never pass; weight of the snow (N/m^3). Returns Pa.

    >>> float(step_peak(1000.0, 2.0, 1.5, 3000.0))
    4500.0
    """
    return sloped + weight * np.minimum(drift, np.maximum(drop - sloped / weight, 0.0))


@formula(
    symbol="p(slide)", unit="Pa", source="ASCE 7-10 to 7-22, recalled", clause="7.9: 0.4·pf·W over 15 ft, on the balanced load",
    valid={"reach": (1.0, None)},
    sloped="ps [Pa]", share="c [1]", flat="pf [Pa]", run="W [m]", reach="x [m]",
)  # fmt: skip
def slid_on(sloped: Any, share: Any, flat: Any, run: Any, reach: Any) -> Any:
    """Load below an eave that sheds. sloped: balanced load of the lower roof (Pa); share 0.4 (1); flat: flat-roof snow of the
    upper roof (Pa); run of its slope (m); reach 15 ft (m). Returns Pa.

    >>> float(slid_on(1000.0, 0.4, 1000.0, 9.144, 4.572))
    1800.0
    """
    return sloped + share * flat * run / reach


@formula(
    symbol="s", unit="Pa", source="EN 1991-1-3", clause="Eq. 5.1",
    mu="μ [1]", ce="Ce [1]", ct="Ct [1]", ground="sk [Pa]",
)  # fmt: skip
def roof_en(mu: Any, ce: Any, ct: Any, ground: Any) -> Any:
    """Snow on a roof. mu, Ce, Ct (1); ground: characteristic or exceptional snow on the ground (Pa). Returns Pa."""
    return mu * ce * ct * ground


@formula(
    symbol="sAd", unit="Pa", source="EN 1991-1-3", clause="4.3",
    factor="Cesl [1]", ground="sk [Pa]",
)  # fmt: skip
def exceptional(factor: Any, ground: Any) -> Any:
    """Exceptional snow on the ground. factor 2.0 (1); characteristic (Pa). Returns Pa."""
    return factor * ground


@formula(
    symbol="sn", unit="Pa", source="EN 1991-1-3, recalled", clause="Annex D: Gumbel law",
    valid={"years": (5.0, 1000.0), "variation": (0.2, 0.6)},
    ground="sk [Pa]", years="n [1]", variation="V [1]", euler="c [1]", divisor="k50 [1]",
)  # fmt: skip
def other_period(ground: Any, years: Any, variation: Any, euler: Any, divisor: Any) -> Any:
    """Snow on the ground for another return period. ground: 50-year (Pa); years: 5 or more (1); variation of the yearly
    maxima: 0.2 to 0.6 (1); euler 0.57722 (1); divisor 2.5923 (1). Returns Pa.

    >>> round(other_period(1000.0, 10.0, 0.4, 0.57722, 2.5923))
    747
    """
    return (
        ground
        * (1 - variation * (np.sqrt(6) / np.pi) * (np.log(-np.log(1 - 1 / years)) + euler))
        / (1 + divisor * variation)
    )
