"""The installation run again with one thing changed: an anchor lost, half way up, a wall opened. Nothing by rule of thumb."""

from __future__ import annotations

from typing import Any

import numpy as np

from anchorage.checks.checks import bare_feet, limits, worst_pressure
from anchorage.checks.installation import Installation, assemble, internal_pressure, shape_of
from anchorage.checks.outcome import HalfBuiltOut, LostOut, WallOut
from anchorage.core.errors import AnchorageError
from anchorage.deployment.models import Deployment, Openings
from anchorage.deployment.policy import use_of
from anchorage.shelter.shape import FACES

_CANOPY = {"gable": "canopy-gable", "hip": "canopy-gable", "single-slope": "canopy-single-slope"}


def changed(d: Deployment, **parts: dict[str, Any]) -> Deployment:
    """A copy with some keys of some tables replaced; values are taken as already read."""
    update = {name: getattr(d, name).model_copy(update=keys) for name, keys in parts.items()}
    return d.model_copy(update=update)


def _gust_without(x: Installation, lost: int) -> tuple[float, float | None]:
    """(gust that the rest holds, gust from which the feet that hold nothing lift, None where nothing spans them) (m/s)."""
    counts = np.where(np.arange(len(x.base.ids)) == lost, 0, x.counts)
    b = x.standing(counts)
    h = x.held(counts, b)
    left = x.wind.gust_of(worst_pressure(limits(b, h, x.factors)))
    lifts = x.wind.gust_of(float(np.min(bare_feet(b.each(), h, x.factors).q))) if b.spanned else None
    return left, lifts


def lost_anchor(x: Installation, cap: float | None) -> LostOut | None:
    """The anchor whose loss costs most: the gust that is left (m/s), and what its neighbours then hold more.

    cap: what rating and policy allow (m/s). None where there are too few points to lose one.
    """
    used = [int(i) for i in np.flatnonzero(x.holding())]
    if len(used) < 2:
        return None
    left = {i: _gust_without(x, i) for i in used}
    worst = min(left, key=lambda i: left[i][0])
    before = np.maximum(x.base.shares.rigid, x.base.shares.frame).max(axis=0)
    less = x.base.without(np.arange(len(x.base.ids)) == worst).shares
    after = np.maximum(less.rigid, less.frame).max(axis=0)
    q = x.wind.pressure
    more = {x.base.ids[j]: float(max(after[j], 0.0) - max(before[j], 0.0)) * q for j in used if j != worst}
    neighbour = max(more, key=lambda k: more[k])
    gust = left[worst][0] if cap is None else min(left[worst][0], cap)
    return LostOut(
        point=x.base.ids[worst],
        gust_m_s=gust,
        lifts_m_s=left[worst][1],
        neighbour=neighbour,
        neighbour_more_n=max(more[neighbour], 0.0),
    )


def half_built(d: Deployment) -> HalfBuiltOut:
    """Roof up, walls off, with what is placed at the points so far: the gust that set-up itself can take."""
    form = _CANOPY.get(d.shelter.form, d.shelter.form)
    if not form.startswith("canopy"):
        return HalfBuiltOut(
            gust_m_s=None,
            governed_by="",
            note=f"Not modelled for {d.shelter.form}: treat it as the weakest state.",
        )
    half = changed(d, shelter={"form": form, "openings": None}, anchorage={"placed": d.halfway.placed or 0})
    half = half.model_copy(
        update={"door": [], "duct": [], "point": [p.model_copy(update={"placed": None}) for p in d.point]}
    )
    try:
        x = assemble(half, (use_of(d),))
    except AnchorageError as e:
        return HalfBuiltOut(gust_m_s=None, governed_by="", note=f"Cannot be judged: {e}")
    found = [f for f in x.limits() if not f.fixed]
    worst = min(found, key=lambda f: float(np.min(f.q)))
    gust = x.wind.gust_of(float(np.min(worst.q)))
    placed = d.halfway.placed
    so_far = (
        "what is given for each point"
        if isinstance(placed, dict)
        else f"{placed} at each point"
        if placed
        else "nothing placed yet"
    )
    return HalfBuiltOut(gust_m_s=gust, governed_by=worst.name, note=f"Roof up, walls off, {so_far}.")


class Totals:
    """How many units other deployments need; each is put together once, however often it is asked about."""

    def __init__(self) -> None:
        self._known: dict[str, int | None] = {}

    def note(self, d: Deployment, total: int | None) -> None:
        """What was found elsewhere."""
        self._known[d.model_dump_json()] = total

    def of(self, d: Deployment) -> int | None:
        """Units in all; None where nothing does it or it cannot be judged."""
        key = d.model_dump_json()
        if key not in self._known:
            try:
                self._known[key] = assemble(d, (use_of(d),)).needs[use_of(d)].total
            except AnchorageError:
                self._known[key] = None
        return self._known[key]


def wall_effects(d: Deployment, totals: Totals) -> list[WallOut]:
    """What opening or shutting each wall does to the number of units, the others as they stand."""
    o = d.shelter.openings or Openings()
    if d.shelter.form.startswith("canopy"):
        return []
    shape = shape_of(d.shelter)
    known: dict[tuple[float, ...], int | None] = {}

    def total(wall: str, fraction: float) -> int | None:
        now = changed(d, shelter={"openings": o.model_copy(update={wall: fraction})})
        now = now.model_copy(update={"door": [x for x in d.door if x.wall != wall]})
        try:
            inside = tuple(internal_pressure(now, shape, []).values())
        except AnchorageError:
            return None
        if inside not in known:
            known[inside] = totals.of(now)
        return known[inside]

    return [WallOut(wall=f, units_open=total(f, 1.0), units_shut=total(f, 0.0)) for f in FACES]
