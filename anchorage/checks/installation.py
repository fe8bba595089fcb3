"""From a deployment to an installation that can be checked: shape, wind, load cases, hardware, margins, counts."""

from __future__ import annotations

import functools
import heapq
import itertools
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field, replace
from functools import cached_property
from typing import Any, TypeVar

import numpy as np
from numpy.typing import NDArray

from anchorage.checks.checks import bare_feet, limits, worst_pressure
from anchorage.checks.footprint import Base, Held, Same, base, held, holding, kinds_of, may_keep, settled
from anchorage.checks.limit import Limit
from anchorage.checks.notes import Note
from anchorage.checks.outcome import Step
from anchorage.checks.sizing import Sized, raised, sizes
from anchorage.core import tables
from anchorage.core.checked import What
from anchorage.core.closed import FACES, ONE_SLOPE
from anchorage.core.constants import gravity
from anchorage.core.errors import AnchorageError, NotModelledError
from anchorage.core.say import later, mark, numeral, say
from anchorage.core.told import Words, once, put, tell, together
from anchorage.core.units import as_typed, show
from anchorage.core.words import any_of
from anchorage.deployment.models import (
    About,
    Anchorage,
    Deployment,
    Gaps,
    Ground,
    PointIn,
    Rating,
    Shelter,
    Site,
    Snow,
    Wind,
)
from anchorage.deployment.policy import (
    SUBJECTS,
    OperatingPolicy,
    asks_which_use,
    margins_ask,
    policy_of,
    use_of,
)
from anchorage.formulas import working
from anchorage.formulas.coefficients import enclosure_classes
from anchorage.formulas.demand import Cases, load_cases
from anchorage.formulas.panels import Inside, Panels
from anchorage.formulas.working import Topic
from anchorage.holding.evidence import Finding, findings, off_load
from anchorage.holding.ground import name_asks, site_asks
from anchorage.holding.hardware import Factors, Hardware, beyond_belief, factors, hardware
from anchorage.holding.straps import Racking, added_uplift, as_left, rackings
from anchorage.holding.usual import mass_asks, typed_asks, unit_asks, wind_asks
from anchorage.loads import en1991 as pressures_en
from anchorage.loads.pressures import panels
from anchorage.loads.roof_snow import roof_snow
from anchorage.loads.terrain import case_ratio
from anchorage.loads.wind import WindState, wind_state
from anchorage.shelter import forms
from anchorage.shelter.shape import OUTWARD, Point, Shape, gable, single_slope

WHICH_USE = (
    "use-unsaid",
    tell(Note.ASK_USE),
)
"""Code and question of a file that does not say what is meant."""
NO_DOOR = (
    "door-unsaid",
    tell(Note.ASK_DOOR),
)
"""Code and question of work in a shelter that nobody can enter."""
UTILITIES_OPEN = "utilities-open"
"""Code of the question whether what is buried is marked."""
MARKED = tell(Note.ASK_MARKED)
SHUT, STANDING = "openings shut", "openings as they stand"
Areas = NDArray[np.float64]
T = TypeVar("T")


def shape_of(s: Shelter) -> Shape:
    """Surfaces and anchor points of a shelter, or of several in line, which are one long shelter."""
    length, top = s.length * s.in_line, float(s.ridge or s.eave)
    size = (length, float(s.width), float(s.eave), top, s.side_points, s.points_per_end)
    return _shape(s.form, size, s.high_side, s.ridge_length)


STRAIGHT_OUT = 0.17
"""Of a line from a point that is no corner, the least part of its direction that is square to its side: about 80° off it."""


def lined(a: Anchorage, shape: Shape) -> Shape:
    """The shape with its lines where the file has them run. Raises ``NotModelledError`` for one that would run under the shelter."""
    plan = a.line_plan
    return _lined(shape, tuple(sorted(plan.items()))) if plan else shape


@functools.lru_cache(maxsize=64)
def _lined(shape: Shape, plan: tuple[tuple[str, float], ...]) -> Shape:
    said, points = dict(plan), []
    if unknown := said.keys() - {p.id for p in shape.points}:
        raise NotModelledError(say("anchorage.line_plan: the shelter has no point {ids}", ids=", ".join(sorted(unknown))))  # fmt: skip
    for p in shape.points:
        if p.id not in said:
            points.append(p)
            continue
        way = direction(said[p.id])
        out = [way[0] * x + way[1] * y for x, y in square_to(shape, p)]
        if min(out) < (STRAIGHT_OUT if len(out) == 1 else -1e-9) or max(out) <= 0:
            raise NotModelledError(
                say(
                    "anchorage.line_plan: a line from {id} at {angle}° from the front runs along the wall or under the shelter: it has to lead away from it",
                    id=p.id,
                    angle=numeral(said[p.id], "g"),
                )
            )
        points.append(replace(p, outward=way))
    return replace(shape, points=tuple(points))


def direction(from_front: float) -> tuple[float, float]:
    """Unit vector in plan for degrees clockwise from where the front faces."""
    a = np.deg2rad(from_front)
    return round(float(np.cos(a)), 12), round(-float(np.sin(a)), 12)


def square_to(shape: Shape, p: Point) -> list[tuple[float, float]]:
    """Outward directions square to the sides that a point stands on: two at a corner."""
    on = [
        ("front", p.x - shape.length / 2),
        ("right", -p.y - shape.width / 2),
        ("back", -p.x - shape.length / 2),
        ("left", p.y - shape.width / 2),
    ]
    return [OUTWARD[side] for side, off in on if abs(off) < 1e-6]


@functools.lru_cache(maxsize=64)
def _shape(
    form: str, size: tuple[float, float, float, float, int, int], high_side: Any, ridge: float | None
) -> Shape:
    if form == "single-slope":
        return single_slope(*size, high_side)
    if form == "canopy-single-slope":
        return forms.canopy_single_slope(*size, high_side)
    if form == "hip":
        return forms.hip(*size, ridge)
    made = {"gable": gable, "arch": forms.arch, "canopy-gable": forms.canopy_gable}
    return made[form](*size)


@functools.lru_cache(maxsize=128)
def _kept(
    shape: Shape, face: str, ratio: tuple[float, ...], method: str, blockage: str | None
) -> tuple[Panels, tuple[tables.Row, ...]]:
    with tables.collect() as rows:
        made = panels(shape, face, dict(zip(FACES, ratio, strict=True)), method, blockage)
    return made, tuple(dict.fromkeys(rows))


def _loaded(method: str, blockage: str | None, shape: Shape, ratio: dict[str, float]) -> dict[str, Panels]:
    """The loaded panels for wind on each face; kept for the next run with this shape, unless the working is wanted."""
    key = tuple(ratio[f] for f in FACES)
    return tables.again(
        ("loaded", Same((shape,)), key, method, blockage), lambda: _panels(method, blockage, shape, key)
    )


def _panels(method: str, blockage: str | None, shape: Shape, ratio: tuple[float, ...]) -> dict[str, Panels]:
    if not may_keep():
        return {f: panels(shape, f, dict(zip(FACES, ratio, strict=True)), method, blockage) for f in FACES}
    out = {}
    for f in FACES:
        out[f], rows = _kept(shape, f, ratio, method, blockage)
        tables.used(*rows)
    return out


def _shelter_notes(shelter: Shelter, snow: Snow, shape: Shape, notes: list[Words]) -> None:
    joined, form = shelter.joined, shelter.form
    if joined is not None and joined.how == "end-to-end":
        notes.append(tell(Note.END_TO_END, count=joined.count, length=put(numeral, shape.length, ".1f")))
    elif joined is not None:
        notes.append(tell(Note.SIDE_BY_SIDE, count=joined.count))
    if shape.canopy:
        notes.append(tell(Note.CANOPY))
        if shelter.blockage is None:
            notes.append(tell(Note.BLOCKAGE_UNSAID))
    if snow.holds_down:
        notes.append(tell(Note.SNOW_IS_NO_WEIGHT))
    if form == "hip" and shelter.ridge_length is None:
        notes.append(tell(Note.RIDGE_UNSAID))
    if form in ONE_SLOPE and "high_side" not in shelter.model_fields_set:
        notes.append(tell(Note.HIGH_SIDE_UNSAID))
    if form == "arch":
        notes.append(tell(Note.ARCH_QUARTERS))


def openable(gaps: Gaps, shape: Shape, *, shut: bool) -> Areas:
    """What of each wall may be open at the most (m^2), front, right, back, left. shut: ducts alone, all else is shut."""
    opened = np.zeros(4)
    o = gaps.openings
    if o is not None and not shut:
        opened += np.array([getattr(o, f) for f in FACES]) * shape.sides
    for door in gaps.doors:
        if not door.closed and not shut:
            opened[FACES.index(door.wall)] += door.width * door.height
    for duct in gaps.ducts:
        opened[FACES.index(duct.wall)] += duct.count * np.pi / 4 * duct.diameter**2
    fits: Areas = np.minimum(opened, shape.sides)
    return fits


def _ways(gaps: Gaps, shape: Shape) -> dict[str, list[Areas]]:
    """What may be open at the most, by wall, as it stands and shut. Nothing said of the walls: besides, any one of them alone."""
    ways = {STANDING: [openable(gaps, shape, shut=False)], SHUT: [openable(gaps, shape, shut=True)]}
    if gaps.openings is None:
        ways[STANDING] += list(np.diag(shape.sides))
    return ways


def _torn(gaps: Gaps, shape: Shape) -> list[Areas]:
    """What may be open at the most with one of the closed doors torn open, for each."""
    whole, out = openable(gaps, shape, shut=False), []
    for door in gaps.doors:
        if door.closed:
            more = np.array([door.width * door.height * (f == door.wall) for f in FACES])
            out.append(np.minimum(whole + more, shape.sides))
    return out


def _inside(method: str, shape: Shape, ways: list[Areas]) -> Inside:
    """The worst internal pressure that the openings may bring about: |GCpi|, or by face (ByFace).

    Every opening may be shut, open or anything between, by itself: the classes that this leads to are few and known in closed
    form, so none of the combinations is left out. What is asked of the anchorage grows towards either end of the range of
    pressures, so the ends of it stand for all between.
    """
    if method == "en1991":
        return pressures_en.inside(shape, ways)
    limits_ = {k.replace("-", "_"): tables.row("enclosure-limits", k).value
               for k in ("open-fraction", "windward-excess", "small-fraction", "small-area", "envelope-fraction")}  # fmt: skip
    kinds = {k for opened in ways for k in enclosure_classes(opened, shape.sides, shape.roof_area, **limits_)}
    if "open" in kinds:
        raise NotModelledError(
            say(
                'every wall is at least 80 % open: that is a canopy: give form = "canopy-gable" or "canopy-single-slope", or close a wall'
            )
        )
    rows = {k: tables.row("gcpi", k) for k in sorted(kinds)}
    kind = max(rows, key=lambda k: rows[k].value)
    working.looked_up(f"GCpi ({kind})", rows[kind])
    return rows[kind].value


def internal_pressure(gaps: Gaps, method: str, shape: Shape, notes: list[Words]) -> dict[str, Inside]:
    """The worst pressure inside with the openings as they stand, and with all shut that can be shut."""
    if shape.canopy:
        return {STANDING: 0.0, SHUT: 0.0}
    if gaps.openings is None:
        some = tell(Note.ANY_WALL) if method == "en1991" else tell(Note.ONE_WALL)
        notes.append(tell(Note.OPENINGS_UNSAID, some=some))
    return {k: _inside(method, shape, ways) for k, ways in _ways(gaps, shape).items()}


def _inside_told(gaps: Gaps, method: str, shape: Shape) -> tuple[dict[str, Inside], list[Words]]:
    notes: list[Words] = []
    return internal_pressure(gaps, method, shape, notes), notes


def code_minimum(wind: Wind, shape: Shape) -> tuple[NDArray[np.float64], NDArray[np.float64]] | None:
    """Least push (N) and its moment about the base (N m) on each face by the code; None for ``physics`` or when off."""
    if wind.method in ("physics", "en1991") or not wind.code_minimum:
        return None
    wall, roof = tables.row("minimum-load", "wall").value, tables.row("minimum-load", "roof").value
    push, moment = np.zeros(4), np.zeros(4)
    for surface in shape.walls:
        i = FACES.index(str(surface.wall))
        push[i] += wall * surface.area
        moment[i] += wall * surface.area * surface.centroid[2]
    rise = shape.ridge - shape.eave
    pressure = (
        wall if shape.canopy else roof
    )  # an open building: all of what faces the wind at the larger pressure
    for i in (1, 3):
        projected = rise * shape.length
        if shape.form == "single-slope" and FACES[i] != shape.low_side:
            continue
        push[i] += pressure * projected
        moment[i] += pressure * projected * (shape.eave + rise / 2)
    if shape.ridge_length is not None:  # the ends of a hip, and the parts that it has not got on its sides
        lost = rise * (shape.length - shape.ridge_length) / 2
        for i, projected, high in (
            (1, -lost, 2 / 3),
            (3, -lost, 2 / 3),
            (0, rise * shape.width / 2, 1 / 3),
            (2, rise * shape.width / 2, 1 / 3),
        ):
            push[i] += roof * projected
            moment[i] += roof * projected * (shape.eave + rise * high)
    return push, moment


@dataclass(frozen=True)
class Installation:
    """Everything a check needs. ``standing`` has all load cases, ``secured`` those with every opening shut."""

    deployment: Deployment
    policy: OperatingPolicy
    shape: Shape
    wind: WindState
    factors: Factors
    hard: tuple[Hardware, ...]
    """What stands at each point."""
    inside: dict[str, Inside]
    """Internal pressure by what is open: |GCpi|, 0 of a canopy, or by face (ByFace)."""
    loaded: dict[str, Panels]
    """The loaded surfaces for wind square on each face."""
    everywhere: Base
    """All load cases, whatever the bearing."""
    base: Base
    """The load cases that count for the bearing given, all where none is."""
    shelter_mass: float
    counts: NDArray[np.int_]
    sized: Sized | None
    """The counts that the program chose; None for an installation as it stands."""
    needs: dict[str, Sized]
    """Least counts for each use, by its key."""
    assumptions: tuple[Words, ...]
    locked: bool = False
    """The straps are locked once the conditions of the verdict are met."""
    evidence: tuple[Finding, ...] = ()
    """What came of tests at the site."""
    _kept: dict[str, tuple[Any, tuple[tables.Row, ...]]] = field(
        init=False, repr=False, compare=False, default_factory=dict
    )
    """What follows from the rest and is asked for twice, with the rows of tables that it stands on; a copy begins anew."""

    def kept(self, name: str, make: Callable[[], T]) -> T:
        """What was made under this name before, or is now."""
        if name in self._kept:
            found, of = self._kept[name]
            tables.used(*of)
        else:
            with tables.collect() as rows:
                found = make()
            self._kept[name] = found, tuple(dict.fromkeys(rows))
        out: T = found
        return out

    @cached_property
    def racking(self) -> tuple[Racking, ...]:
        """Sway along and across the ridge, with what resists it."""
        snow = roof_snow(self.deployment.snow, self.deployment.shelter, self.deployment.site)
        return rackings(
            self.deployment.shelter,
            self.deployment.site.slope,
            self.shape,
            snow,
            self.loaded,
            self.wind.gust_effect,
            self.factors.line,
        )

    @property
    def usable(self) -> NDArray[np.bool_]:
        """Points where the file lets something hold."""
        return np.array([h.kind != "none" for h in self.hard])

    def holding(self, counts: Any = None) -> NDArray[np.bool_]:
        """Points that hold something with these counts: usable, with a unit there that is worth something."""
        return holding(self.hard, self.counts if counts is None else counts)

    def standing(self, counts: Any = None, on: Base | None = None) -> Base:
        """The base as these counts leave it: what is asked at a foot that holds nothing goes to its neighbours."""
        return (self.base if on is None else on).holding(self.holding(counts))

    def held(self, counts: Any = None, on: Base | None = None) -> Held:
        """Strength at each point, for the counts of the installation or others, on its base or another."""
        c = self.counts if counts is None else counts
        usable = self.holding(c) if on is None else on.usable
        return held(self.hard, self.factors, c, self.shelter_mass, usable)

    @property
    def hardware(self) -> Hardware:
        """What most points have: the one to name."""
        used = [h for h in self.hard if h.kind != "none"] or list(self.hard)
        return max(used, key=used.count)

    @property
    def asks(self) -> tuple[tuple[str, Words], ...]:
        """(code, question) of what must be known before this may be called go."""
        return self.kept("asks", self._asked)

    def _asked(self) -> tuple[tuple[str, Words], ...]:
        d = self.deployment
        which = [WHICH_USE] if asks_which_use(d.deployment, d.anchorage, d.door) else []
        which += [NO_DOOR] if self.no_door and self.use == "working" else []
        blind = [(UTILITIES_OPEN, MARKED)] if self.drives_blind else []
        ground = site_asks(
            d.anchorage,
            d.ground,
            (str(p.surface or d.site.surface) for p in point_inputs(d.point, self.base.ids)),
        )
        return tuple(
            dict.fromkeys(
                [
                    *blind,
                    *margins_ask(self.policy),
                    *wind_asks(d.deployment, d.wind),
                    *mass_asks(d.deployment, d.shelter, d.anchorage, self.shape.plan_area),
                    *unit_asks(d.deployment, d.shelter, d),
                    *typed_asks(d.deployment, d),
                    *_points_close(d.deployment, d.shelter),
                    *beyond_belief(d.deployment, d.anchorage, d.ground),
                    *ground,
                    *name_asks(d.deployment.name, d.site),
                    *which,
                    *_ratings_turned(d.shelter.rating),
                    *(a for h in self.hard for a in h.asks),
                ]
            )
        )

    @property
    def no_door(self) -> bool:
        """Whether nothing of a shelter with walls opens by the file: no door and no duct is in it, and all fractions are said to be 0."""
        d = self.deployment
        opens = d.shelter.openings
        return (
            not self.shape.canopy
            and not d.door
            and not d.duct
            and opens is not None
            and not any(v for _, v in opens)
        )

    @property
    def drives_blind(self) -> bool:
        """Whether stakes go into ground in which nobody says that what is buried is marked."""
        return any(h.kind == "stakes" for h in self.hard) and self.deployment.site.utilities != "marked"

    @property
    def use(self) -> str:
        """The use that is judged."""
        return use_of(self.deployment)

    @property
    def bridges(self) -> bool:
        """Whether a foot that holds nothing may be spanned by the frame: by the maker's word, or with nobody in it."""
        return self.deployment.shelter.spans_lost_foot or self.use == "empty"

    def limits(self, counts: Any = None, on: Base | None = None) -> list[Limit]:
        """Every check, for these counts, on these load cases; feet that hold nothing among them, see ``bare_feet``.

        Where the frame may span a foot, one that holds too little may count as one that holds nothing, if that is better.
        """
        b = self.standing(counts, on)
        h = self.held(counts, b)
        found = limits(b, h, self.factors)
        if self.bridges:
            if counts is None and self.sized is not None:
                return found
            return self._spanned(found, counts, b)
        if b.usable.all() or not b.spanned:
            return found
        return [*found, bare_feet(b.each(), h, self.factors)]

    def _spanned(self, found: list[Limit], counts: Any, b: Base) -> list[Limit]:
        """The best of these checks and those with a foot that gives first given up, and so on from the best of them.

        No set of feet is tried twice, and no more sets than ``MOST_GIVEN_UP``: what is left out may only hold more.
        """
        best, order, seen = found, itertools.count(), {b.usable.tobytes()}
        tried = self.counts if counts is None else counts
        ahead = [(-worst_pressure(found), 0, next(order), found, b)]
        while ahead:
            _, lost, _, here, on = heapq.heappop(ahead)
            for i in _first_feet(here, on):
                if not on.usable[i] or (on.beside[i] & ~on.usable).any():
                    continue
                less = on.without(np.arange(len(on.ids)) == i)
                if not less.spanned or less.usable.tobytes() in seen:
                    continue
                if len(seen) > MOST_GIVEN_UP:
                    return best
                seen.add(less.usable.tobytes())
                few = np.where(less.usable, tried, 0)
                rest = limits(less, self.held(few, less), self.factors)
                best = max(best, rest, key=worst_pressure)
                heapq.heappush(ahead, (-worst_pressure(rest), lost + 1, next(order), rest, less))
        return best

    def spanned(self) -> list[Limit] | None:
        """The checks without ``bare_feet``, where some foot holds nothing and the frame has to span it; None where none has."""
        b = self.standing()
        return limits(b, self.held(), self.factors) if not b.usable.all() and b.spanned else None

    def gust_held(self, counts: Any = None, on: Base | None = None) -> float:
        """Service gust (m/s) at which the first check is met; inf where the wind meets none."""
        return self.wind.gust_of(worst_pressure(self.limits(counts, on)))


MOST_GIVEN_UP = 64
"""Sets of feet at most that are tried as given up: where many feet give at one gust there are thousands, of which none is any better."""
TIED = 1e-9
"""Relative distance of two pressures that are one: what a mirror image differs by is rounding."""


def _first_feet(found: list[Limit], b: Base) -> list[int]:
    """Feet, by number, at which the installation gives first; both of a frame that slides."""
    moving = [f for f in found if not f.fixed]
    least = min(float(np.min(f.q)) for f in moving) * (1 + TIED)
    if least == np.inf:
        return []
    feet: set[int] = set()
    for f in moving:
        at = np.flatnonzero(np.min(f.q.reshape(-1, f.q.shape[-1]), axis=0) <= least)
        if f.check.what is What.SLIDE_OF_FRAME:
            feet |= {int(i) for i in np.flatnonzero(np.isin(b.frame, at))}
        else:
            items = {f.items[k] for k in at}
            feet |= {i for i, name in enumerate(b.ids) if name in items}
    return sorted(feet)


RATING_UNUSUAL = "rating-unusual"
"""Code of the question whether a rating is what the manual says."""


def _ratings_turned(r: Rating) -> Sequence[tuple[str, Words]]:
    """A locked rating below the unlocked one: one of them is a slip, or locking breaks the frame. And one that no shelter has."""
    out = []
    for what, key, a, b in (
        ("gust", "gust", r.gust_unlocked, r.gust_locked),
        ("snow", "roof-snow", r.roof_snow_unlocked, r.roof_snow_locked),
    ):
        if a is not None and b is not None and float(b) < float(a):
            said = [as_typed(v, f"{float(v):g}") for v in (b, a)]
            text = tell(Note.ASK_RATINGS, what=what, said=said[0], said_2=said[1])
            out.append((f"rating-{key}-locked-below-unlocked", text))
    for of, name, typed in (
        ("gust", "shelter.rating.gust_unlocked", r.gust_unlocked),
        ("gust", "shelter.rating.gust_locked", r.gust_locked),
        ("roof-snow", "shelter.rating.roof_snow_unlocked", r.roof_snow_unlocked),
        ("roof-snow", "shelter.rating.roof_snow_locked", r.roof_snow_locked),
    ):
        most = tables.row("rating-most", of).value
        if typed is not None and float(typed) > most * (1 + 1e-9):  # the same in other units asks the same
            out.append(
                (
                    RATING_UNUSUAL,
                    tell(
                        Note.ASK_RATING_DIGIT,
                        key=name,
                        typed=as_typed(typed, f"{float(typed):g}"),
                    ),
                )
            )
    return out


POINTS_CLOSE = "points-close"
"""Code of the question whether there are as many points along a wall as the file says."""


def _points_close(about: About, s: Shelter) -> Sequence[tuple[str, Words]]:
    """(code, question) where points stand nearer to each other than legs do: each of them would be credited."""
    least = tables.table("evidence").by_key["points-apart"].value
    sides = (("shelter.points_per_side", s.length, s.points_per_side), ("shelter.points_per_end", s.width, s.points_per_end))  # fmt: skip
    return [
        (POINTS_CLOSE, tell(Note.ASK_POINTS, key=key, n=n, apart=put(show, "length", long / (n - 1), about.show_units, rounding="up")))
        for key, long, n in sides
        if long / (n - 1) < least * (1 - 1e-9)
    ]  # fmt: skip


def heading_true(site: Site) -> float | None:
    """Bearing that the front faces, degrees true; None where it is not known as such."""
    if site.heading is None:
        return None
    if site.heading_north == "true":
        return site.heading
    return None if site.declination is None else (site.heading + site.declination) % 360.0


def within(bearings: NDArray[np.float64], bearing: float) -> NDArray[np.bool_]:
    """Cases within 45° of a bearing, inclusive. All in degrees from the front."""
    off = np.abs((bearings - bearing + 180.0) % 360.0 - 180.0)
    return off <= 45.0 + 1e-9


def point_inputs(points: list[PointIn], ids: Sequence[str]) -> list[PointIn]:
    """What the file says of each point, those that it does not name included."""
    said = {p.id: p for p in points}
    return [said.get(i, PointIn(id=i)) for i in ids]


def _no_better(anchorage: Anchorage, ground: Ground, p: PointIn, margin: Factors, here: Hardware) -> Hardware:
    """A foot that is out of use rubs no better than with no units of what would stand there: that is one state.

    What would stand there in a mixed anchorage may not be said: ballast, which rubs least.
    """
    if here.kind != "none":
        return here
    kind = None if p.kind == "none" else p.kind
    if kind is None and anchorage.kind == "mixed":
        kind = "ballast"
    would = hardware(anchorage, ground, p.model_copy(update={"usable": True, "kind": kind}), margin)
    return replace(here, friction=min(here.friction, would.foot))


def hardware_at(
    anchorage: Anchorage, ground: Ground, ids: Sequence[str], margin: Factors, notes: list[Words]
) -> tuple[Hardware, ...]:
    """Hardware of each point, worked out once for points that are alike."""
    made: dict[tuple[object, ...], Hardware] = {}
    out = []
    for p in point_inputs(ground.points, ids):
        alike = (
            p.usable,
            p.kind,
            p.unit,
            p.unit_material,
            p.surface,
            p.state,
            p.driven,
            p.soil,
            p.on_ground,
            p.placed is None,
        )
        if alike not in made:
            with working.title(f"What holds: one unit at {p.id}", of=Topic.HOLDING):
                made[alike] = _no_better(anchorage, ground, p, margin, hardware(anchorage, ground, p, margin))
        out.append(made[alike])
    notes += once(n for h in made.values() for n in h.notes)
    return tuple(out)


def _hardware_told(
    anchorage: Anchorage, ground: Ground, ids: Sequence[str], margin: Factors
) -> tuple[tuple[Hardware, ...], list[Words]]:
    notes: list[Words] = []
    return hardware_at(anchorage, ground, ids, margin, notes), notes


def kinds_at(
    anchorage: Anchorage, points: list[PointIn], ids: Sequence[str], hard: Sequence[Hardware]
) -> tuple[int, ...]:
    """What stands at each point, by number; at one that is out of use what the file would have there."""
    rest = None if anchorage.kind == "mixed" else anchorage.kind
    return kinds_of(hard, [p.kind or rest for p in point_inputs(points, ids)])


def _site_notes(site: Site, method: str, points: list[PointIn], notes: list[Words]) -> None:
    near = [
        (tell(Note.HILL), site.topography is None and method == "physics"),
        (tell(Note.SLOPE), "slope" not in site.model_fields_set),
        (tell(Note.BUILDING), "beside" not in site.model_fields_set),
    ]
    if none := [what for what, left_out in near if left_out]:
        first = [together(*none[:-1], between=", ")] if none[:-1] else []
        said = put(any_of, (*first, none[-1]))
        notes.append(tell(Note.NONE_COUNTED, said=said))
    if site.beside != "nothing":
        beside = later("a building") if site.beside == "building" else later("another shelter")
        notes.append(tell(Note.BESIDE, beside=beside))
    if site.lowest_friction_by is not None:
        notes.append(tell(Note.LOWEST_FRICTION_ACCEPTED, lowest_friction_by=site.lowest_friction_by))
    off = [p.id for p in points if not p.on_ground]
    if off:
        notes.append(tell(Note.FOOT_OFF_GROUND, off=", ".join(off)))
    out = [p.id for p in points if not p.usable]
    if out:
        notes.append(tell(Note.NOT_USED, out=", ".join(out)))


def _counts(
    placed: int | dict[str, int] | None, points: list[PointIn], ids: Sequence[str]
) -> NDArray[np.int_] | None:
    said = {p.id: p for p in points}
    if placed is None and not any(p.placed is not None for p in points):
        return None
    counts = []
    for i in ids:
        own = said[i].placed if i in said else None
        usable = said[i].usable and said[i].kind != "none" if i in said else True
        rest = placed.get(i, 0) if isinstance(placed, dict) else placed or 0
        counts.append((rest if own is None else own) if usable else 0)
    return np.array(counts)


def target_pressure(wind: WindState, share: float) -> float:
    """Pressure q (Pa) that the anchorage has to hold so that the judged gust is a share of the gust it holds."""
    return wind.pressure / (share * (1.0 - 1e-9)) ** 2 if share < 1.0 else wind.pressure


def _cases(site: Site, shape: Shape, loaded: dict[str, Panels], wind: WindState, inside: dict[str, Inside],
           outside: float = 1.0, within: float = 1.0) -> Cases:  # fmt: skip
    """All load cases over the ground that each comes over; outside, within: factors on the pressures of either side."""
    widths = {f: shape.length if f in ("left", "right") else shape.width for f in FACES}
    variants = inside if len(set(inside.values())) > 1 else {"": inside[STANDING]}
    twist, off, diagonal = (
        tables.row("torsion", k).value for k in ("load-factor", "eccentricity", "diagonal-factor")
    )
    of = Same(loaded[f] for f in FACES)
    plain = (*(widths[f] for f in FACES), wind.gust_effect, twist, off, diagonal, outside, within)
    given = (of, tuple(variants.items()), plain)
    make = _cases_kept if may_keep() else _all_cases
    made = tables.again(("cases", *given), lambda: make(*given))
    heading = heading_true(site)
    if len(wind.by_ground) > 1 and heading is not None:
        made = made.over(case_ratio(made.bearing, heading, list(wind.ground), wind.by_ground))
    return made


def _all_cases(of: Same, inside: tuple[tuple[str, Inside], ...], numbers: tuple[float, ...]) -> Cases:
    loaded, widths = (dict(zip(FACES, x, strict=True)) for x in (of, numbers[:4]))
    gust, twist, off, diagonal, outside, within_ = numbers[4:]
    return load_cases(loaded, widths, gust, dict(inside), twist, off, diagonal, outside, within_, shut=SHUT)


@functools.lru_cache(maxsize=64)
def _cases_kept(of: Same, inside: tuple[tuple[str, Inside], ...], numbers: tuple[float, ...]) -> Cases:
    made: Cases = settled(_all_cases(of, inside, numbers))
    return made


def _counting(bearing: float | None, site: Site, cases: Cases) -> NDArray[np.bool_] | None:
    """Which cases count for the bearing given, (c,); None where all do."""
    heading = heading_true(site)
    if bearing is None or heading is None:
        return None
    return within(cases.bearing, bearing - heading)


def loads_by_part(x: Installation) -> tuple[Cases, Cases]:
    """The load cases of the installation from the pressures outside alone, and from those inside alone."""
    parts = []
    for outside, inside in ((1.0, 0.0), (0.0, 1.0)):
        made = _cases(x.deployment.site, x.shape, x.loaded, x.wind, x.inside, outside, inside)
        counting = _counting(x.deployment.wind.bearing, x.deployment.site, made)
        parts.append(made if counting is None else made.take(counting))
    return parts[0], parts[1]


def assemble(d: Deployment, uses: Sequence[str] = tuple(SUBJECTS)) -> Installation:
    """Put everything together; sizes the counts for the uses asked for (that of the file among them).

    A foot that was pulled with another load than feet carry here is no evidence: then it is put together again without.
    """
    x = _assemble(d, uses)
    if not d.test:
        return x
    each = x.shelter_mass / max(len(x.base.ids), 1)
    in_use = [
        ((each + h.unit_mass * int(n)) * gravity(), h.unit_mass * gravity())
        for h, n in zip(x.hard, x.counts, strict=True)
        if h.kind == "ballast" and n
    ]
    less = off_load(d, in_use)
    if less is None:
        return replace(x, evidence=findings(d.anchorage, d.ground))
    return replace(_assemble(less, uses), evidence=findings(less.anchorage, less.ground))


def _assemble(d: Deployment, uses: Sequence[str]) -> Installation:
    policy = policy_of(d)
    notes: list[Words] = [*policy.notes]
    shape = shape_of(d.shelter)
    with working.title("Margins", of=Topic.MARGINS):
        margin = factors(d.margins)
        if d.anchorage.friction_adds:
            margin = replace(margin, adds=tables.row("mixed", "slides").value)
    here = Same((d, shape))
    wind = tables.again(("wind", here, margin.wind), lambda: wind_state(d.wind, d.site, d.snow, shape, margin.wind))  # fmt: skip
    notes += wind.assumptions
    with working.title("Openings", of=Topic.OPENINGS):
        inside, told = tables.again(("inside", here), lambda: _inside_told(d.gaps, d.wind.method, shape))
    notes += told
    mass = float(d.shelter.mass or 0.0)
    if d.shelter.mass is None:
        notes.append(tell(Note.MASS_UNSAID))
    loaded = _loaded(d.wind.method, d.shelter.blockage, shape, wind.wall_height_ratio)
    _shelter_notes(d.shelter, d.snow, shape, notes)
    shape = lined(d.anchorage, shape)
    ids = [p.id for p in shape.points]
    usable = np.array([p.usable and p.kind != "none" for p in point_inputs(d.point, ids)])
    with working.title("Load cases"):
        cases = _cases(d.site, shape, loaded, wind, inside)
        stands = ("base", Same((d, shape, cases)), usable.tobytes())
        everywhere = tables.again(stands, lambda: base(shape, cases, usable, d.site.slope))
    if len(wind.by_ground) > 1 and heading_true(d.site) is None:
        notes.append(tell(Note.FRONT_UNSAID))
    hard, told = tables.again(
        ("hardware", here, margin), lambda: _hardware_told(d.anchorage, d.ground, ids, margin)
    )
    notes += told
    kinds = kinds_at(d.anchorage, d.point, ids, hard)
    alike = everywhere
    everywhere = tables.again(("kinds", Same((alike,)), kinds), lambda: alike.of_kinds(kinds))
    _site_notes(d.site, d.wind.method, d.point, notes)
    least = code_minimum(d.wind, shape)
    if least is not None:
        plain = everywhere
        everywhere = tables.again(
            ("least", Same((plain,)), *(v.tobytes() for v in least)),
            lambda: replace(plain, minimum_push=least[0], minimum_moment=least[1]),
        )
    lying = tables.again(("lying", here), lambda: roof_snow(d.snow, d.shelter, d.site))
    locked = as_left(d.shelter, d.snow, d.site.slope, lying, wind.gust * wind.over_hill, policy.secure)
    if locked and d.shelter.strap is not None:
        sways = rackings(d.shelter, d.site.slope, shape, lying, loaded, wind.gust_effect, margin.line)
        lost = [k for r in sways if r.count for k in ("angle", "bay") if getattr(r, k) is None]
        if lost:
            key = f"shelter.strap.{lost[0]}"
            raise NotModelledError(
                say(
                    "{key}: not given, and the straps are to be locked here: by how much they lift the foot of their bay hangs on it",
                    key=key,
                )
            )
        lifts = added_uplift(sways, shape.points)
        everywhere = everywhere.strapped(lifts.fixed, lifts.per_q)
        if np.any(lifts.fixed) or np.any(lifts.per_q):
            notes.append(tell(Note.STRAPS_LIFT))
    counting = _counting(d.wind.bearing, d.site, everywhere.cases)
    every = everywhere
    on = every if counting is None else tables.again(
        ("on", Same((every,)), counting.tobytes()), lambda: every.take(counting)
    )  # fmt: skip
    if d.wind.bearing is not None and counting is None:
        notes.append(tell(Note.BEARING_WITHOUT_FRONT))
    with working.title("Sizing"):
        shares = {k: policy.share_for(k) for k in uses}
        each = tuple(dict.fromkeys(shares.values()))
        pressures = [target_pressure(wind, s) for s in each]
        made_of = (Same((on, *hard)), margin, mass, tuple(pressures))
        least_counts = tables.again(("sizes", *made_of), lambda: sizes(on, hard, margin, mass, pressures))
        found = dict(zip(each, least_counts, strict=True))
    needs = {k: found[s] for k, s in shares.items()}
    counts, sized = _counts(d.anchorage.placed, d.point, everywhere.ids), None
    if counts is None:
        sized = needs[use_of(d)]
        counts = sized.counts if sized.counts is not None else np.zeros(len(everywhere.ids), int)
    there = holding(hard, counts)
    placed = ("placed", Same((every, on)), there.tobytes())
    everywhere, on = tables.again(placed, lambda: (every.holding(there), on.holding(there)))
    made = Installation(
        deployment=d,
        policy=policy,
        shape=shape,
        wind=wind,
        factors=margin,
        hard=hard,
        inside=inside,
        loaded=loaded,
        everywhere=everywhere,
        base=on,
        shelter_mass=mass,
        counts=counts,
        sized=sized,
        needs=needs,
        assumptions=tuple(notes),
        locked=locked,
    )
    return (
        made if d.halfway.cover == "attached" or d.halfway.placed is not None else _with_what_goes_first(made)
    )


def _with_what_goes_first(x: Installation) -> Installation:
    """With the counts for setting up raised to what has to be there before roof and walls go on."""
    if "set-up" not in x.needs:
        return x
    try:
        with working.silent():
            least = first_counts(x)
    except AnchorageError:  # setting up is not judged then, and says so
        return x
    enough = [n for n in least if n is not None]
    if len(enough) < len(least) or not least:
        return x
    need = raised(x.needs["set-up"], x.base, x.hard, np.max(enough, axis=0), mark("before the walls are on"))
    if need is x.needs["set-up"]:
        return x
    now = replace(x, needs={**x.needs, "set-up": need})
    now._kept.update(x._kept)  # noqa: SLF001 - of its own class: the needs change nothing of it
    if x.sized is None or x.use != "set-up" or need.counts is None:
        return now
    there = holding(x.hard, need.counts)
    return replace(
        now,
        counts=need.counts,
        sized=need,
        everywhere=x.everywhere.holding(there),
        base=x.base.holding(there),
    )


def torn_open(x: Installation) -> float | None:
    """Service gust (m/s) that the anchorage holds with any one of the closed doors torn open; None where none is closed.

    Raises ``errors.AnchorageError`` where that can not be judged.
    """
    d = x.deployment
    ways = [] if x.shape.canopy else _torn(d.gaps, x.shape)
    if not ways:
        return None
    return x.gust_held(
        on=_under(x, _inside(d.wind.method, x.shape, [*_ways(d.gaps, x.shape)[STANDING], *ways]))
    )


def _under(x: Installation, inside: Inside) -> Base:
    """The base of an installation with this pressure inside."""
    if inside == x.inside[STANDING]:
        return x.base
    cases = _cases(x.deployment.site, x.shape, x.loaded, x.wind, {STANDING: inside})
    counting = _counting(x.deployment.wind.bearing, x.deployment.site, cases)
    return x.base.under(cases if counting is None else cases.take(counting))


def _doors_open(x: Installation) -> list[Areas]:
    """What may be open at the most while people go in and out: every door, the closed ones too."""
    d = x.deployment
    doors = [door.model_copy(update={"state": "open"}) for door in d.door]
    return _ways(d.model_copy(update={"door": doors}).gaps, x.shape)[STANDING]


def with_doors_open(x: Installation) -> Base:
    """The base with every door open or shut, the closed ones too.

    Raises ``errors.AnchorageError`` where that can not be judged, as those below.
    """
    return x.base if x.shape.canopy else _under(x, _inside(x.deployment.wind.method, x.shape, _doors_open(x)))


def with_a_wall_open(x: Installation) -> Base:
    """The same, and any one of the walls besides open from end to end."""
    if x.shape.canopy:
        return x.base
    ways = [*_doors_open(x), *np.diag(x.shape.sides)]
    return _under(x, _inside(x.deployment.wind.method, x.shape, ways))


def without_walls(x: Installation) -> Installation:
    """The same roof on its frame with no wall, more and less than half of the way beneath it blocked. Not for an arch."""
    form = {"gable": "canopy-gable", "hip": "canopy-gable", "single-slope": "canopy-single-slope"}
    was = x.deployment.shelter
    bare = {"form": form.get(was.form, was.form), "openings": None, "blockage": None}
    d = x.deployment.model_copy(update={"shelter": was.model_copy(update=bare), "door": [], "duct": []})
    shape = shape_of(d.shelter)
    wind = wind_state(d.wind, d.site, d.snow, shape, x.factors.wind)
    inside, loaded = (
        internal_pressure(d.gaps, d.wind.method, shape, []),
        _loaded(d.wind.method, d.shelter.blockage, shape, wind.wall_height_ratio),
    )
    shape = lined(d.anchorage, shape)
    everywhere = base(shape, _cases(d.site, shape, loaded, wind, inside), x.usable, d.site.slope)
    everywhere = everywhere.of_kinds(x.base.kinds) if everywhere.ids == x.base.ids else everywhere
    counting = _counting(d.wind.bearing, d.site, everywhere.cases)
    on = everywhere if counting is None else everywhere.take(counting)
    if on.ids != x.base.ids:
        raise NotModelledError(say("without its walls the roof would stand on other points"))
    return replace(
        x, deployment=d, shape=shape, wind=wind, inside=inside, loaded=loaded, everywhere=everywhere, base=on
    )


def through_foot(h: Hardware) -> bool:
    """Whether it holds before the shelter is finished: ballast and stakes through the feet, and nothing that is on a line."""
    return h.kind != "none" and h.line_angle is None


@dataclass(frozen=True)
class State:
    """A state on the way of setting up: the installation as it then is, its load cases, and before which step it is."""

    x: Installation
    on: Base
    before: Step
    name: str
    known: dict[bytes, float] = field(default_factory=dict, repr=False, compare=False)
    """Gusts that it was found to hold, by the counts."""

    def gust(self, counts: NDArray[np.int_]) -> float:
        """Gust (m/s) that it holds with these counts, or with none where what is placed does more harm than good."""
        tried = [counts, np.zeros_like(counts)] if np.any(counts) else [counts]
        for c in tried:
            if c.tobytes() not in self.known:
                self.known[c.tobytes()] = self.x.gust_held(c, self.on)
        return max(self.known[c.tobytes()] for c in tried)

    def needed(self, share: float) -> NDArray[np.int_] | None:
        """Least counts through the feet with which the judged gust is a share of the one that it holds; None where none are."""
        x = self.x
        hard = [h if through_foot(h) else replace(h, kind="none", line_angle=None) for h in x.hard]
        b = self.on.holding(np.array([h.kind != "none" for h in hard]))
        if not b.usable.any():
            return None
        return sizes(b, hard, x.factors, x.shelter_mass, [target_pressure(x.wind, share)])[0].counts


def going_up(x: Installation) -> Installation:
    """The installation while it is set up: nothing spans a foot but by the maker's word, and no snow holds it down."""
    d = x.deployment
    use = d.anchorage.model_copy(update={"size_for": "set-up"})
    mass = float(d.shelter.mass or 0.0)
    return replace(x, deployment=d.model_copy(update={"anchorage": use}), shelter_mass=mass)


def _shell(x: Installation) -> State:
    y = going_up(x)
    return State(y, with_a_wall_open(y), "raise", mark("the bare shell"))


def bare_shell(x: Installation) -> State:
    """The shell with its worst side open, before it is raised."""
    return x.kept("shell", lambda: _shell(x))


def _on_the_way(x: Installation) -> list[State]:
    out = []
    if x.deployment.shelter.form != "arch":
        roof = without_walls(going_up(x))
        out.append(State(roof, roof.base, "roof", mark("the roof up and no wall")))
    if not x.shape.canopy:
        name = mark("one wall missing, on the side of the wind")
        out.append(replace(bare_shell(x), before="walls", name=name))
    return out


def before_the_walls(x: Installation) -> list[State]:
    """States of a shelter whose roof and walls go on after its frame, in their order; an arch has its cover on or off as one."""
    return x.kept("before the walls", lambda: _on_the_way(x))


def first_counts(x: Installation) -> list[NDArray[np.int_] | None]:
    """Least counts through the feet in each of them, for what is left of the gust to whoever sets up."""
    share = x.policy.share_for("set-up")
    return x.kept("first counts", lambda: [s.needed(share) for s in before_the_walls(x)])


def secured(x: Installation) -> NDArray[np.bool_] | None:
    """Which load cases have every opening shut, (c,), or None where shutting changes nothing."""
    shut = x.base.cases.shut
    return shut if shut is not None and shut.any() and not shut.all() else None
