"""What would cut the need most, found by running the deployment again with one thing changed. No rules of thumb."""

from __future__ import annotations

import numpy as np

from anchorage.assemble import SHUT, STANDING, Installation, level_share, secured, target_pressure
from anchorage.sizing import sizes


def advise(x: Installation) -> list[str]:
    """One line for each change that helps, with what it saves."""
    out = []
    shut = secured(x)
    if shut is not None and x.inside[SHUT] < x.inside[STANDING]:
        q = target_pressure(x.wind, level_share(x.deployment.anchorage.size_for))
        now = x.needs[x.deployment.anchorage.size_for]
        then = sizes(shut, x.hard, x.factors, x.shelter_mass, [q])[0]
        if now.counts is not None and then.counts is not None and then.counts.sum() < now.counts.sum():
            unit = x.hardware.unit_name
            out.append(
                f"With every opening shut: {int(then.counts.sum())} {unit}s in all instead of {int(now.counts.sum())}."
            )
        elif then.counts is not None and now.counts is None:
            out.append(
                f"With every opening shut it can be held: {int(then.counts.sum())} {x.hardware.unit_name}s in all."
            )
    weight = x.shelter_mass
    if weight == 0 and np.any(x.counts > 0):
        out.append("The shelter's own mass is not in the file: it would count towards holding down.")
    return out
