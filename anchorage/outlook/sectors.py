"""The limit for a direction as a table, so that a million directions are looked up at once."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from anchorage.outlook.limits import Limits

Floats = NDArray[np.float64]


@dataclass(frozen=True)
class Sectors:
    """``Limits.at`` as a table: the limit (m/s) of each sector of bearings between two edges (degrees)."""

    edges: tuple[float, ...]
    limits: tuple[float, ...]

    def at(self, bearing: Floats | None, otherwise: float) -> Floats | float:
        """Limit for each bearing; ``otherwise`` where there is none."""
        if bearing is None:
            return otherwise
        found: Floats = np.array(self.limits)[np.searchsorted(self.edges, bearing % 360.0)]
        return np.where(np.isnan(bearing), otherwise, found)


def sectors_of(limits: Limits, sector: float) -> Sectors:
    """Ask ``limits`` once between any two edges. sector: degrees to either side that a direction may be wrong by."""
    reach = sector + 1e-9
    edges = sorted({(b + s) % 360.0 for b, _ in limits.by_bearing for s in (-reach, reach)})
    ends = [*edges, 360.0]
    starts = [0.0, *edges]
    return Sectors(tuple(edges), tuple(limits.at((a + b) / 2.0) for a, b in zip(starts, ends, strict=True)))
