"""The base that the wind loads come down to, and what holds it at each point."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Any

import numpy as np
from numpy.typing import NDArray

from anchorage.hardware import GRAVITY, Factors, Hardware
from anchorage.holding import ballast
from anchorage.loads.demand import Cases, Shares, shares
from anchorage.shape import FACES, OUTWARD, Shape

Floats = NDArray[np.float64]


@dataclass(frozen=True)
class Base:
    """What the wind asks, per unit of q, and the base that it stands on. n points, c cases, f frames."""

    cases: Cases
    shares: Shares
    xy: Floats
    """m, (n, 2)."""
    ids: tuple[str, ...]
    groups: tuple[str, ...]
    outward: Floats
    """Unit vectors in plan that a line from each point runs along, (n, 2)."""
    frame: NDArray[np.int_]
    """Frame that each point stands on, -1 for none, (n,)."""
    edges: Floats
    """Outward unit vectors of the base edges, front, right, back, left, (4, 2)."""
    arms: Floats
    """Distance of each edge from the middle (m), (4,)."""
    frame_weight: Floats
    """Share of the shelter's own weight on each frame, (f,)."""
    length: float
    width: float
    minimum_push: Floats | None = None
    """Least push of a code on each face (N), (4,); None where none applies."""
    minimum_moment: Floats | None = None
    """Its moment about the base (N m), (4,)."""

    def take(self, index: NDArray[np.bool_] | NDArray[np.int_]) -> Base:
        """The same base under a selection of the cases."""
        s = self.shares
        picked = Shares(
            s.rigid[index], s.push_rigid[index], s.frame[index], s.frame_uplift[index], s.frame_push[index]
        )
        return replace(self, cases=self.cases.take(index), shares=picked)


def base(shape: Shape, cases: Cases) -> Base:
    """Put the load cases on the base of a shape."""
    xy = np.array([(p.x, p.y) for p in shape.points])
    frame = np.array([-1 if p.frame is None else p.frame for p in shape.points])
    usable = np.ones(len(xy), bool)
    count = int(frame.max()) + 1
    strips = np.full(count, 1.0 / (count - 1))
    strips[[0, -1]] /= 2
    return Base(
        cases, shares(xy, usable, frame, shape.length, shape.width, cases), xy, tuple(p.id for p in shape.points),
        tuple(p.group for p in shape.points), np.array([p.outward for p in shape.points]), frame,
        np.array([OUTWARD[f] for f in FACES]),
        np.array([shape.length / 2, shape.width / 2, shape.length / 2, shape.width / 2]), strips, shape.length, shape.width,
    )  # fmt: skip


@dataclass(frozen=True)
class Held:
    """What holds, at each point: (..., 1, n). Forces in N, margins already applied."""

    shelter: Floats
    """κs·Ws, the whole shelter, (..., 1, 1)."""
    ballast: Floats
    """κb·B of each point."""
    friction: Floats
    """φμ, (..., 1, 1)."""
    tension: Floats
    """ψ·R along the line of each point; 0 where there is no line."""
    line: Floats | None
    """Rated strength of the line over γ line, as a tension at γ wind; None where not given."""
    lateral: Floats
    axial: Floats
    """ψ·ultimate of stakes through the foot; 0 where there are none."""
    angle: float | None
    """Line angle (deg)."""
    on_feet: bool = False
    """True where stakes go through the feet, without lines."""


def held(hard: Hardware, factors: Factors, counts: Any, shelter_mass: float) -> Held:
    """Strength at each point of ``counts`` units, (..., n) -> (..., 1, n). shelter_mass (kg)."""
    n = np.asarray(counts, float)[..., None, :]
    on_line = hard.line_angle is not None
    weight = (
        factors.ballast * ballast.ballast_weight(n, hard.unit_mass, GRAVITY)
        if hard.kind == "ballast"
        else 0.0 * n
    )
    line = None
    if on_line and hard.line_strength is not None:
        line = np.where(n > 0, hard.line_strength * factors.wind / factors.line, 0.0)
    return Held(
        shelter=np.full((1, 1), factors.shelter * shelter_mass * GRAVITY),
        ballast=weight,
        friction=np.full((1, 1), factors.friction * hard.friction),
        tension=factors.stake * hard.tension * n if on_line else 0.0 * n,
        line=line,
        lateral=0.0 * n if on_line else factors.stake * hard.lateral * n,
        axial=0.0 * n if on_line else factors.stake * hard.axial * n,
        angle=hard.line_angle,
        on_feet=hard.kind == "stakes" and not on_line,
    )
