"""The installation run again with one thing changed: an anchor lost, half way up, a wall opened. Nothing by rule of thumb."""

from __future__ import annotations

from collections.abc import Callable
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


def advice(d: Deployment, x: Installation, totals: Totals) -> list[str]:
    """The changes that would cut the number of units most, each found by running again; the best three."""
    now = x.needs[use_of(d)].total
    found = []
    for text, other in _changes(d, x):
        total = totals.of(other)
        if total is not None and (now is None or total < now):
            found.append((total, text))
    unit = x.hardware.counted if len({h.counted for h in x.hard if h.kind != "none"}) == 1 else "unit"
    was = f"instead of {now}" if now is not None else "where nothing holds it as it is"
    return [f"{text}: {total} {unit}s in all {was}." for total, text in sorted(found)[:3]]


def _changes(d: Deployment, x: Installation) -> list[tuple[str, Deployment]]:
    out: list[tuple[str, Deployment]] = []
    add: Callable[[str, Deployment], None] = lambda text, other: out.append((text, other))  # noqa: E731 - short
    shut = changed(d, shelter={"openings": Openings()})
    if not d.shelter.form.startswith("canopy"):
        add("With every opening shut", shut.model_copy(update={"door": []}))
    state = d.site.state or "wet"
    if state != "dry" and d.deployment.use != "decon":
        better = "cleared and dry" if state in ("ice", "snow") else "dry"
        add(f"On the same surface {better}", changed(d, site={"state": "dry"}))
    if d.shelter.mass is None:
        return out
    s = d.anchorage.stake
    if s is not None and s.line_angle is not None and x.hardware.kind == "stakes":
        for angle in (30.0, 45.0, 60.0):
            if abs(angle - s.line_angle) > 5:
                stake = s.model_copy(update={"line_angle": angle})
                if s.soil is not None:
                    add(
                        f"With the lines at {angle:g}° above the ground",
                        changed(d, anchorage={"stake": stake}),
                    )
    if s is not None and x.hardware.kind == "stakes" and s.soil is not None:
        deeper = {"driven": min(float(s.driven) * 1.5, 3.0), "test_driven": s.test_driven or s.driven}
        longer = s.model_copy(update=deeper)
        add("With stakes driven half as deep again", changed(d, anchorage={"stake": longer}))
    if x.hardware.kind == "line-ballast" and d.anchorage.line_angle is not None:
        for angle in (20.0, 30.0, 45.0, 60.0):
            if abs(angle - d.anchorage.line_angle) > 5:
                add(
                    f"With the lines at {angle:g}° above the ground",
                    changed(d, anchorage={"line_angle": angle}),
                )
    return out
