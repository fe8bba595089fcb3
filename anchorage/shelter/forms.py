"""Forms other than gable and single-slope: hip roofs, arches and canopies, as flat surfaces and anchor points.

An arch is a circular arc of flat facets. A pressure that does not change along a facet has the same resultant, place
and direction on the facet as on the arc above it, since both pass through the centre of the circle: the facets are exact.
"""

from __future__ import annotations

import numpy as np

from anchorage.shelter.shape import Floats, Shape, Surface, anchor_points, single_slope

FACETS = 16


def _box(length: float, width: float, eave: float) -> tuple[Surface, ...]:
    """Four walls of one height (m)."""
    x, y, z = length / 2, width / 2, eave
    corners = {
        "front": (x, -y, x, y),
        "right": (-x, -y, x, -y),
        "back": (-x, y, -x, -y),
        "left": (x, y, -x, y),
    }
    return tuple(
        Surface(f"{f} wall", np.array([(a, b, 0), (c, d, 0), (c, d, z), (a, b, z)]), f)
        for f, (a, b, c, d) in corners.items()
    )


def hip(
    length: float,
    width: float,
    eave: float,
    ridge: float,
    per_side: int,
    per_end: int,
    ridge_length: float | None,
) -> Shape:
    """A hip roof on four walls. ridge_length (m) left out: the same slope on all sides where the length allows. m."""
    top = max(length - width, 0.0) if ridge_length is None else ridge_length
    x, y, r = length / 2, width / 2, top / 2
    crown = [(r, 0.0, ridge), (-r, 0.0, ridge)] if top > 0 else [(0.0, 0.0, ridge)]
    roof = (
        Surface("right roof", np.array([(-x, -y, eave), (x, -y, eave), *crown]), faces="right"),
        Surface("left roof", np.array([(x, y, eave), (-x, y, eave), *reversed(crown)]), faces="left"),
        Surface("front roof", np.array([(x, -y, eave), (x, y, eave), crown[0]]), faces="front"),
        Surface("back roof", np.array([(-x, y, eave), (-x, -y, eave), crown[-1]]), faces="back"),
    )
    points = anchor_points(length, width, per_side, per_end)
    surfaces = (*_box(length, width, eave), *roof)
    return Shape("hip", length, width, eave, ridge, surfaces, points, ridge_length=top)


def circle(width: float, rise: float) -> tuple[float, float]:
    """Radius (m) and half angle (radians) of the arc over a width with a rise. m."""
    half = width / 2
    radius = (half**2 + rise**2) / (2 * rise)
    return radius, float(np.arctan2(half, radius - rise))


def arc_cuts(width: float, rise: float) -> Floats:
    """Angles from the crown (radians), rising from the right foot, at which facets meet.

    Quarters of the arc and quarters of the span are always among them.
    """
    radius, half = circle(width, rise)
    quarter = float(np.arcsin(width / 4 / radius))
    return np.unique(np.concatenate([np.linspace(-half, half, FACETS + 1), [-quarter, quarter]]))


def _end_wall(length: float, width: float, eave: float, rise: float, angles: Floats, face: str) -> Surface:
    """An end wall under the arc: drawn through the facets, its area and centroid those under the true arc."""
    radius, half = circle(width, rise)
    sign = 1.0 if face == "front" else -1.0
    low = eave + rise - radius
    arc = [(radius * np.sin(a), low + radius * np.cos(a)) for a in angles[::-1]]
    outline = [(-width / 2, 0.0), (width / 2, 0.0), *(arc if eave > 0 else arc[1:-1])]
    outline = outline if sign > 0 else outline[::-1]
    vertices = np.array([(sign * length / 2, a, b) for a, b in outline])
    segment = radius**2 * (half - np.sin(half) * np.cos(half))
    middle = low + 2 / 3 * (radius * np.sin(half)) ** 3 / segment
    area = width * eave + segment
    height = (width * eave**2 / 2 + segment * middle) / area
    exact = (np.array([sign * area, 0.0, 0.0]), np.array([sign * length / 2, 0.0, height]))
    return Surface(f"{face} wall", vertices, face, exact)


def arch(length: float, width: float, eave: float, crown: float, per_side: int, per_end: int) -> Shape:
    """A round arch across the width, on walls (eave > 0) or from the ground (eave 0). m."""
    rise = crown - eave
    radius, _ = circle(width, rise)
    angles = arc_cuts(width, rise)
    y, z = radius * np.sin(angles), eave + rise - radius + radius * np.cos(angles)
    x = length / 2
    roof = tuple(
        Surface(f"roof facet {k + 1}", np.array([(-x, a, b), (x, a, b), (x, c, d), (-x, c, d)]))
        for k, (a, b, c, d) in enumerate(zip(y[:-1], z[:-1], y[1:], z[1:], strict=True))
    )
    ends = [_end_wall(length, width, eave, rise, angles, f) for f in ("front", "back")]
    sides = [s for s in _box(length, width, eave) if s.wall in ("left", "right")] if eave > 0 else []
    points = anchor_points(length, width, per_side, per_end)
    return Shape("arch", length, width, eave, crown, (*ends, *sides, *roof), points)


def canopy_gable(
    length: float, width: float, eave: float, ridge: float, per_side: int, per_end: int
) -> Shape:
    """A gable roof on posts, without walls. m."""
    x, y = length / 2, width / 2
    roof = (
        Surface(
            "right roof",
            np.array([(-x, -y, eave), (x, -y, eave), (x, 0, ridge), (-x, 0, ridge)]),
            faces="right",
        ),
        Surface(
            "left roof", np.array([(-x, 0, ridge), (x, 0, ridge), (x, y, eave), (-x, y, eave)]), faces="left"
        ),
    )
    points = anchor_points(length, width, per_side, per_end)
    return Shape("canopy-gable", length, width, eave, ridge, roof, points)


def canopy_single_slope(
    length: float, width: float, eave: float, ridge: float, per_side: int, per_end: int, high_side: str
) -> Shape:
    """One slope on posts, without walls; ``ridge`` is the height of the high side. m."""
    walled = single_slope(length, width, eave, ridge, per_side, per_end, high_side)
    roof, points = walled.roofs, walled.points
    return Shape("canopy-single-slope", length, width, eave, ridge, roof, points, walled.low_side)
