"""Pressure coefficients: interpolation where the signs are alike, enclosure class, net pressure."""

from __future__ import annotations

from typing import Any

import numpy as np
from numpy.typing import ArrayLike, NDArray

from anchorage.core.errors import OutOfRangeError
from anchorage.formulas.working import formula

Floats = NDArray[np.float64]


def interpolate(x: float, xs: ArrayLike, ys: ArrayLike) -> float:
    """Linear between the points of a table, held at its ends. xs rising, shape (n,); ys shape (n,)."""
    return float(np.interp(x, np.asarray(xs, float), np.asarray(ys, float)))


def _bilinear(x: float, y: float, xs: Floats, ys: Floats, z: Floats) -> float:
    columns = [np.interp(y, ys, row) for row in z]
    return float(np.interp(x, xs, columns))


def same_sign(x: float, y: float, xs: ArrayLike, ys: ArrayLike, table: ArrayLike) -> float:
    """Interpolate a two-way table between two of like sign only; where there is none, 0.0 stands in.

    The positive and the negative parts are interpolated apart; the positive part counts where it is not zero, since
    the other sign has a column of its own in the figures.

    Parameters
    ----------
    x, y : float
        Where; x is held at the ends of ``xs``.
    xs : array, (n,)
        Rising.
    ys : array, (m,)
        Rising.
    table : array, (n, m)
        Values (1).

    Returns
    -------
    float

    Raises
    ------
    OutOfRangeError
        ``y`` outside ``ys``.

    References
    ----------
    ASCE 7, fig. 27.3-1, note 2.

    """
    xs, ys, z = np.asarray(xs, float), np.asarray(ys, float), np.asarray(table, float)
    if not ys[0] <= y <= ys[-1]:
        raise OutOfRangeError("roof pressure coefficient", "slope", y, float(ys[0]), float(ys[-1]), "deg")
    up = _bilinear(x, y, xs, ys, np.maximum(z, 0.0))
    return up if up > 0 else _bilinear(x, y, xs, ys, np.minimum(z, 0.0))


def enclosure_class(open_area: ArrayLike, wall_area: ArrayLike, roof_area: float, *, open_fraction: float,
                    windward_excess: float, small_fraction: float, small_area: float, envelope_fraction: float) -> str:  # fmt: skip
    """Enclosure class by the worst wall: each wall in turn takes the wind.

    Parameters
    ----------
    open_area, wall_area : array, (4,)
        Openings and gross area of each wall, m^2.
    roof_area : float
        m^2.
    open_fraction, windward_excess, small_fraction, envelope_fraction : float
        Limits, as shares (1).
    small_area : float
        m^2.

    Returns
    -------
    str
        ``open``, ``partially-enclosed``, ``enclosed`` or ``partially-open``.

    References
    ----------
    ASCE 7, section 26.2.

    """
    opened, gross = np.asarray(open_area, float), np.asarray(wall_area, float)
    if np.all(opened >= open_fraction * gross):
        return "open"
    rest_open = opened.sum() - opened
    rest_area = gross.sum() + roof_area - gross
    small = np.minimum(small_fraction * gross, small_area)
    closed_rest = rest_open / rest_area <= envelope_fraction
    if np.any((opened > windward_excess * rest_open) & (opened > small) & closed_rest):
        return "partially-enclosed"
    return "enclosed" if np.all((opened <= small) & closed_rest) else "partially-open"


def enclosure_classes(
    openable: ArrayLike, wall_area: ArrayLike, roof_area: float, **limits: float
) -> tuple[str, ...]:
    """Every enclosure class that the openings may bring about, each of them shut, open or anything between.

    All shut is enclosed. A wall that may be open by more than the small area is open alone, and then partially enclosed;
    with something open against it, it may be partially open. All open is what it is.

    Parameters
    ----------
    openable, wall_area : array, (4,)
        What of each wall may be open at the most, and its gross area, m^2.
    roof_area : float
        m^2.
    **limits : float
        Those of ``enclosure_class``.

    Returns
    -------
    tuple of str
        Each class once.

    """
    most, gross = np.asarray(openable, float), np.asarray(wall_area, float)
    found = ["enclosed"]
    if np.any(most > np.minimum(limits["small_fraction"] * gross, limits["small_area"])):
        found += ["partially-enclosed", "partially-open"]
    return tuple(dict.fromkeys([*found, enclosure_class(most, gross, roof_area, **limits)]))


@formula(
    symbol="p/q", unit="1", source="ASCE 7, read in BNBC 2020", clause="directional procedure: external minus internal",
    valid={"internal": (-1.5, 1.5), "external": (-4.0, 4.0)},
    height="kz [1]", gust="G [1]", external="Cp [1]", internal="GCpi [1]",
)  # fmt: skip
def net_pressure(height: Any, gust: Any, external: Any, internal: Any) -> Any:
    """Net pressure on a surface over the velocity pressure, positive towards the surface from outside.

    height: q at the surface over q at mean roof height (1); gust: G (1); external: Cp (1); internal: signed GCpi (1).
    Returns (1), broadcast shape.
    """
    return height * gust * external - internal


@formula(
    symbol="Cp", unit="1", source="ASCE 7 arched roofs, read in BNBC 2020", clause="fig. 6.2.8",
    valid={"rise": (0.0, 0.6)},
    constant="a [1]", slope="b [1]", rise="r [1]",
)  # fmt: skip
def arch_coefficient(constant: Any, slope: Any, rise: Any) -> Any:
    """Pressure coefficient of a part of an arched roof. constant a (1), slope b (1), rise over span r (1). Returns (1).

    >>> round(arch_coefficient(-0.7, -1.0, 0.25), 2)
    -0.95
    """
    return constant + slope * rise
