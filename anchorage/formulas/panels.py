"""The loaded surfaces for wind on one face, and the resultants of the pressures on them, per unit of q.

Arrays are shaped (variant, panel). Force along the outward normal is -p·A.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from anchorage.core.closed import FACES
from anchorage.formulas.coefficients import net_pressure
from anchorage.formulas.working import formula

Floats = NDArray[np.float64]

ROOF_SIGNS = ("roof more in suction", "roof less in suction")
INSIDE_SIGNS = ("pressure inside", "suction inside")


@dataclass(frozen=True)
class ByFace:
    """Internal pressure coefficients for wind on each face: front, right, back, left."""

    by_face: tuple[tuple[float, ...], ...]

    def __bool__(self) -> bool:
        """Whether any pressure is inside."""
        return any(v for values in self.by_face for v in values)


Inside = float | ByFace
"""|GCpi| with either sign, or what is inside for wind on each face."""


def signed(inside: Inside, face: str) -> tuple[float, ...]:
    """Internal pressure coefficients, signed, to run for wind on a face: both signs of a number, nothing of 0."""
    if isinstance(inside, ByFace):
        return inside.by_face[FACES.index(face)]
    return (inside, -inside) if inside else (0.0,)


def inside_names(values: Sequence[float]) -> tuple[str, ...]:
    """What each internal pressure is called in the name of a load case."""
    if not any(values):
        return ("",)
    plain = [INSIDE_SIGNS[0] if v > 0 else INSIDE_SIGNS[1] for v in values]
    return tuple(n if plain.count(n) == 1 else f"{n} {v:+.2f}" for n, v in zip(plain, values, strict=True))


@dataclass(frozen=True)
class Panels:
    """The loaded surfaces for wind square on one face. k panels, v variants of the external pressure."""

    names: tuple[str, ...]
    vector: Floats
    """Area times outward normal (m^2), (k, 3)."""
    centroid: Floats
    """m, (k, 3)."""
    height: Floats
    """q at the panel over q at mean roof height, (k,)."""
    external: Floats
    """Cp of each variant, (v, k)."""
    roof: NDArray[np.bool_]
    """True for roof panels, (k,)."""
    variants: tuple[str, ...] = ROOF_SIGNS
    """What each variant is called, (v,)."""
    within: Floats | None = None
    """1 where the internal pressure acts, 0 where it does not (friction along a surface), (k,); None: on all."""


@dataclass(frozen=True)
class Part:
    """Resultants per unit of q; shapes (v, 1), (v, 2)."""

    uplift: Floats
    vertical_moment: Floats
    push_moment: Floats
    push: Floats
    push_walls: Floats
    """Push with the external pressure on the roof left out."""
    twist: Floats
    """Moment of the push about the vertical through the middle of the base, (v, 1)."""


@formula(
    symbol="F/q", unit="m^2", source="pressure times area", clause="definition; force along the outward normal is -p·A",
    pressure="p/q [1]", area="A [m^2]",
)  # fmt: skip
def panel_force(pressure: Any, area: Any) -> Any:
    """Component of the force on a panel per unit of q. pressure (1), area: that component of area·normal (m^2). m^2."""
    return -pressure * area


@formula(
    symbol="X/q", unit="m^2", source="statics", clause="sum over the panels",
    force="F/q [m^2]",
)  # fmt: skip
def resultant(force: Any) -> Any:
    """Sum of the panel forces along the last axis. force (m^2), shape (..., k). Returns (..., 1)."""
    return np.sum(force, axis=-1, keepdims=True)


@formula(
    symbol="Σ F·r/q", unit="m^3", source="statics", clause="sum over the panels of force times lever",
    force="F/q [m^2]", lever="r [m]",
)  # fmt: skip
def lever_sum(force: Any, lever: Any) -> Any:
    """Sum along the last axis of force times lever. force (m^2), lever (m), shape (..., k). Returns (..., 1), m^3."""
    return np.sum(force * lever, axis=-1, keepdims=True)


def resultants(panels: Panels, pressure: Floats, external: bool = True) -> Part:
    """Resultants of pressures p/q, shape (..., v, k), on the panels. ``external`` False keeps the roof in push_walls."""
    x, y, z = (panels.centroid[:, j] for j in range(3))
    force = panel_force(pressure[..., None, :, :], panels.vector.T[:, None, :])
    total = resultant(force)[..., 0]
    levers = np.stack([x, y, z, z, x, y])[:, None, :]
    about = lever_sum(force[..., [2, 2, 0, 1, 1, 0], :, :], levers)[..., 0]
    walls = np.where(panels.roof, 0.0, 1.0) if external else np.ones(len(panels.roof))
    return Part(
        uplift=total[..., 2, :, None],
        vertical_moment=_last(about[..., 0:2, :]),
        push_moment=_last(about[..., 2:4, :]),
        push=_last(total[..., :2, :]),
        push_walls=_last(force[..., :2, :, :] @ walls),
        twist=(about[..., 4, :] - about[..., 5, :])[..., None],
    )


def _last(components: Floats) -> Floats:
    """(..., 2, v) -> (..., v, 2)."""
    return np.swapaxes(components, -1, -2)


def inside_pressure(panels: Panels, gust: float, values: Floats) -> Floats:
    """p/q of internal pressures on the panels: values (i, 1) -> (i, k)."""
    pressure: Floats = net_pressure(panels.height, gust, 0.0, values)
    return pressure if panels.within is None else pressure * panels.within


def outside_part(panels: Panels, gust: Any) -> Part:
    """External part for each variant, (v, ...)."""
    return resultants(panels, net_pressure(panels.height, gust, panels.external, 0.0))


def inside_part(panels: Panels, gust: Any, internal: Sequence[float]) -> Part:
    """Internal part for each signed coefficient, (i, ...)."""
    values = np.array(internal)[:, None]
    return resultants(panels, inside_pressure(panels, gust, values), external=False)
