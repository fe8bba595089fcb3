"""The installation run again with one thing changed: an anchor lost, half way up, a wall opened. Nothing by rule of thumb."""

from __future__ import annotations

from typing import Any

import numpy as np
from numpy.typing import NDArray

from anchorage.checks.checks import bare_feet, limits, worst_pressure
from anchorage.checks.installation import (
    Installation,
    assemble,
    bare_shell,
    before_the_walls,
    first_counts,
    heading_true,
    internal_pressure,
    shape_of,
    through_foot,
    with_doors_open,
)
from anchorage.checks.limit import Limit
from anchorage.checks.notes import Note
from anchorage.checks.outcome import Cover, HalfBuiltOut, LostOut, PlaceFirstOut, Step, WallOut
from anchorage.core.closed import CANOPIES, FACES
from anchorage.core.errors import AnchorageError
from anchorage.core.told import Words, put, tell, together
from anchorage.core.words import spoken
from anchorage.deployment.models import Deployment, Openings
from anchorage.deployment.policy import use_of
from anchorage.formulas import working
from anchorage.formulas.panels import Inside
from anchorage.loads.wind import least_gust_factor, mean_of, policy_hill

Ints = NDArray[np.int_]


def changed(d: Deployment, **parts: dict[str, Any]) -> Deployment:
    """A copy with some keys of some tables replaced; values are taken as already read."""
    update = {name: getattr(d, name).model_copy(update=keys) for name, keys in parts.items()}
    return d.model_copy(update=update)


def _gust_without(x: Installation, counts: Ints, lost: int) -> tuple[float, float | None]:
    """(gust that the rest holds, gust from which the feet that hold nothing lift, None where nothing spans them) (m/s)."""
    counts = np.where(np.arange(len(x.base.ids)) == lost, 0, counts)
    b = x.standing(counts)
    h = x.held(counts, b)
    left = x.wind.gust_of(worst_pressure(limits(b, h, x.factors)))
    lifts = x.wind.gust_of(float(np.min(bare_feet(b.each(), h, x.factors).q))) if b.spanned else None
    return left, lifts


def lost_anchor(x: Installation, counts: Ints, cap: float | None) -> LostOut | None:
    """The anchor whose loss costs most: the gust that is left (m/s), and what its neighbours then hold more.

    counts: as many as each point can have; cap: what rating and policy allow (m/s). None where there are too few points to lose one.
    """
    used = [int(i) for i in np.flatnonzero(x.holding())]
    if len(used) < 2:
        return None
    left = {i: _gust_without(x, counts, i) for i in used}
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


def _windward_corners(x: Installation) -> Ints:
    """Corners that meet the wind: two of them where its bearing is known, else any."""
    corner = np.array([g == "corner" for g in x.base.groups])
    heading, bearing = heading_true(x.deployment.site), x.deployment.wind.bearing
    if heading is None or bearing is None:
        return corner.astype(int)
    to = np.deg2rad(bearing - heading)
    outward = dict(zip(FACES, x.base.edges, strict=True))
    towards = x.base.xy @ (np.cos(to) * outward["front"] + np.sin(to) * outward["right"])
    ranked = sorted(np.flatnonzero(corner), key=lambda i: -round(float(towards[i]), 6))
    return np.isin(np.arange(len(corner)), ranked[:2]).astype(int)


def _said_first(x: Installation) -> Ints | None:
    """Counts before the walls as the file says them, through the feet, never more than the finished shelter has."""
    placed = x.deployment.halfway.placed
    if placed is None:
        return None
    said = np.array([placed.get(i, 0) if isinstance(placed, dict) else placed for i in x.base.ids])
    first: Ints = np.minimum(said, _by_foot(x))
    return first


def _by_foot(x: Installation) -> Ints:
    """Of the counts of the finished shelter those that may be on before it is finished."""
    return np.where([through_foot(h) for h in x.hard], x.counts, 0)


def setting_up(x: Installation, found: list[Limit] | None = None) -> tuple[HalfBuiltOut, list[PlaceFirstOut]]:
    """It set up in its order, and in reverse taken down, with the margins of the finished one; people hold nothing down.

    Attached: the bare shell stands with nothing on it, shut or with its worst side open, and is raised in a lull. After:
    the roof with no wall, then each wall missing, with what is on through the feet by then. Both: finished, with every
    door open. Where the file does not say which, the worse of both. found: the checks of the installation, where they were run.
    """
    d, cover = x.deployment, x.deployment.halfway.cover
    mean = mean_of(d.wind, x.wind)
    known: dict[str, Any] = {"cover": cover, "mean_m_s": mean.speed, "gust_factor": mean.factor,
                             "mean_is": "typed" if mean.typed else "from the gust"}  # fmt: skip
    gusts, steps = dict[str, float](), list[PlaceFirstOut]()
    share, up_to = x.policy.share_for("set-up"), list[float]()
    try:
        with working.silent():
            opened = with_doors_open(x)
            asked = found if found is not None and opened is x.base else x.limits(on=opened)
            finished = x.wind.gust_of(worst_pressure(asked))
            if cover != "after":
                shell = bare_shell(x)
                none, corners = np.zeros_like(x.counts), np.where(_windward_corners(x), x.counts, 0)
                gusts[shell.name] = known["bare_m_s"] = min(shell.gust(none), finished)
                up_to.append(known["bare_m_s"] * least_gust_factor(x.wind))
                steps += [
                    _step(x, "raise", none, known["bare_m_s"]),
                    _step(x, "rest", corners, min(shell.gust(corners), finished)),
                ]
            if cover != "attached":
                states, most = before_the_walls(x), _by_foot(x)
                least = first_counts(x)
                said, on = _said_first(x), np.zeros_like(x.counts)
                now = most if said is None else said
                held = {s.name: min(s.gust(now), finished) for s in states}
                gusts |= held
                if held:
                    known["open_m_s"] = min(held.values())
                    up_to.append(share * known["open_m_s"])
                for s, need in zip(states, least, strict=True):
                    on = (
                        np.maximum(on, most if need is None else np.minimum(need, most))
                        if said is None
                        else said
                    )
                    if cover == "after":
                        steps.append(_step(x, s.before, on, min(s.gust(on), finished)))
                enough = [n for n in least if n is not None]
                if least and len(enough) == len(least):
                    known["first"] = int(np.max(enough, axis=0).sum())
    except AnchorageError as e:
        return HalfBuiltOut(
            gust_m_s=None,
            governed_by="",
            told=tell(Note.NOT_JUDGED, e=str(e)),
            **{**known, "known": False},
            up_to_m_s=min(up_to, default=None),
        ), []
    gusts["finished, every door open"] = finished
    steps.append(_step(x, "use", x.counts, finished))
    worst = min(gusts, key=lambda k: gusts[k])
    if x.policy.setup_gust is not None:
        up_to.append(x.policy.setup_gust / policy_hill(d.wind, d.site, x.wind.over_hill))
    half = HalfBuiltOut(
        gust_m_s=gusts[worst], governed_by=worst, told=_note(x, worst, cover), finished_m_s=finished,
        up_to_m_s=min([share * finished, *up_to]), **known,
    )  # fmt: skip
    return half, steps


def _step(x: Installation, before: Step, counts: Ints, gust: float) -> PlaceFirstOut:
    points = {i: int(n) for i, n in zip(x.base.ids, counts, strict=True)}
    return PlaceFirstOut(before=before, points=points, total=sum(points.values()), gust_m_s=gust)


def _note(x: Installation, worst: str, cover: Cover | None) -> Words:
    out = [tell(Note.WEAKEST, worst=put(spoken, worst))]
    if cover != "attached" and x.deployment.halfway.placed is not None:
        out.append(tell(Note.AS_PLACED))
    if cover is None:
        out.append(tell(Note.COVER_UNSAID))
    if x.deployment.shelter.mass is None:
        out.append(tell(Note.OWN_WEIGHT_UNSAID))
    return together(*out)


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
    if d.shelter.form in CANOPIES:
        return []
    shape = shape_of(d.shelter)
    known: dict[tuple[Inside, ...], int | None] = {}

    def total(wall: str, fraction: float) -> int | None:
        now = changed(d, shelter={"openings": o.model_copy(update={wall: fraction})})
        now = now.model_copy(update={"door": [x for x in d.door if x.wall != wall]})
        try:
            inside = tuple(internal_pressure(now.gaps, now.wind.method, shape, []).values())
        except AnchorageError:
            return None
        if inside not in known:
            known[inside] = totals.of(now)
        return known[inside]

    return [WallOut(wall=f, units_open=total(f, 1.0), units_shut=total(f, 0.0)) for f in FACES]
