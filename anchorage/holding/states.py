"""Which state of the ground is the worse for what stands there, by the friction rows; and a state put over every point."""

from __future__ import annotations

import functools

from anchorage.deployment.models import Deployment
from anchorage.holding.ground import on_it

DRY = "dry"


@functools.cache
def grip(surface: str, state: str) -> tuple[float, float, bool]:
    """How good a state is on a surface: its lowest friction, then all of it together; of equals dry is the best, for stakes.

    As the contacts of that ground are looked up, a surface that is not listed and dirt included.
    """
    found = on_it(surface, state)
    return min(found), sum(found) / len(found), state == DRY


def worse(surface: str | None, one: str, other: str) -> str:
    """The worse of two states on a surface."""
    return min((one, other), key=lambda s: grip(str(surface), s))


def over_points(d: Deployment, state: str) -> Deployment:
    """A state that was said later: that of the site, and of each point with a state of its own that is no worse."""
    points = [
        p if p.state is None else p.model_copy(update={"state": worse(p.surface or d.site.surface, p.state, state)})
        for p in d.point
    ]  # fmt: skip
    site = d.site.model_copy(update={"state": state})
    return d.model_copy(update={"site": site, "point": points})


def everywhere(d: Deployment, state: str) -> Deployment:
    """One state at every point, whatever the file says of them and of the temperature."""
    points = [p.model_copy(update={"state": None}) for p in d.point]
    site = d.site.model_copy(update={"state": state})
    return d.model_copy(update={"site": site, "point": points}).settle()
