"""The ground follows the forecast: wet from the first rain or thaw, ice where water lies and it is cold, snow where it snows.

Nothing here ever dries or thaws in the shelter's favour: what the file says of the ground stays possible in every hour, and
the lowest limit of the states that are possible counts.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import NamedTuple

from anchorage.core.choices import chosen
from anchorage.core.constants import ZERO_CELSIUS
from anchorage.core.errors import AnchorageError
from anchorage.core.told import put, tell
from anchorage.deployment.models import Deployment, Ground
from anchorage.holding.ground import (
    FROST,
    freezes_at,
    holds_water,
    may_freeze,
    snow_dry_at,
    snow_is_dry,
    surface_state,
)
from anchorage.judging.plan import Assessment, make_plan
from anchorage.judging.result import Plan
from anchorage.outlook.hours import Forecast, Hour
from anchorage.outlook.limits import Barrier, Limits, limits_of
from anchorage.outlook.notes import Note

OPEN_TERRAIN = ("TAF", "METAR")
"""Formats whose wind is that of an aerodrome; all others may carry the roughness of the site in them."""
FROZEN = FROST
"""States that thaw."""


class Said(NamedTuple):
    """What the file says of the ground that the weather then works on."""

    state: str
    """That is counted, of the site."""
    lies: bool
    """Water lies, which freezes."""
    thaws: bool
    packs: bool
    """Dry snow lies: slush and ice from the first thaw or rain, and no more snow again."""
    usual: float | None
    """Degrees Celsius of an hour whose forecast has none."""


def said_of(ground: Ground) -> Said:
    """What the file says of the ground, at the site or at any point."""
    of = {(surface_state(ground, ground.site.state, []), ground.site.surface)}
    for p in ground.points:
        surface = p.surface or ground.site.surface
        of.add((surface_state(ground, p.state or ground.site.state, [], surface), surface))
    state = surface_state(ground, ground.site.state, [])
    lies = any(
        s == "ice" or holds_water(s, on) or (s == "snow" and not snow_is_dry(ground.site, ground.snow))
        for s, on in of
    )
    packs = any(s == "snow" for s, _ in of)
    return Said(state, lies, any(s in FROZEN for s, _ in of), packs, usual_of(ground))


def usual_of(ground: Ground) -> float | None:
    """°C of an hour whose forecast has none: of the file; where that has none either, freezing if snow or frost is in it."""
    if ground.site.temperature is None:
        return freezes_at() if may_freeze(ground) else None
    return ground.site.temperature - ZERO_CELSIUS


def as_forecast(d: Deployment, formats: Sequence[str]) -> Deployment:
    """A terrain of ``open`` is no credit where the forecast may have the site's roughness in it already."""
    if d.wind.terrain != "open" or all(f in OPEN_TERRAIN for f in formats):
        return d
    return d.model_copy(update={"wind": d.wind.model_copy(update={"terrain": None})})


def as_it_stands(d: Deployment, plan: Plan) -> Deployment:
    """The deployment with the counts of its plan, so that another run of it sizes nothing anew."""
    if not plan.anchorage.sized:
        return d
    counts = {p.id: p.stakes or p.units for p in plan.anchorage.points}
    return d.model_copy(update={"anchorage": d.anchorage.model_copy(update={"placed": counts})})


def plan_for(a: Assessment, forecasts: Sequence[Forecast]) -> Plan:
    """The plan that forecasts are judged against."""
    d, plan = a.deployment, a.plan
    other = as_forecast(d, [f.format for f in forecasts])
    return (plan if other is d else make_plan(as_it_stands(other, plan))).beside_a_forecast()


def _warmest(h: Hour, usual: float | None) -> float | None:
    """°C that the hour reaches; the usual one counts too unless the hour's own is said."""
    both = [x for x in (h.warmest, None if h.warm_said else usual) if x is not None]
    return max(both, default=None)


def states_of(hours: Sequence[Hour], ground: Ground) -> list[frozenset[str]]:
    """States that the ground of each hour may be in besides the one of the file."""
    said, lies, thaws, packs, usual = said_of(ground)
    cold, dry, seen, out = freezes_at(), snow_dry_at(), set[str](), list[frozenset[str]]()
    same = (
        {said} if not ground.tests else set()
    )  # what was measured is gone with the weather, in the same state too
    iced = slush = False
    for h in hours:
        t = usual if h.temperature is None else h.temperature
        warm = _warmest(h, usual)
        if h.wet or (thaws and warm is not None and warm > 0.0):
            seen.add("wet")
        if "snow" in h.wet:
            seen.add("snow")
        fell = bool(h.wet - {"snow"}) or (
            "snow" in h.wet and not (h.warm_said and h.warmest is not None and h.warmest <= dry)
        )
        soft = warm is None or warm > dry
        lies = (
            lies
            or fell
            or (soft and ((thaws and warm is not None and warm > 0.0) or "snow" in seen or packs))
        )
        slush = slush or ((packs or "snow" in seen) and (fell or soft))
        iced = "ice" in h.wet or (
            iced and h.temperature is None
        )  # until a temperature of its own hour is said
        if iced or slush or (lies and (t <= cold if t is not None else "snow" in seen)):
            out.append(frozenset((*seen, "ice")) - same)
        else:
            out.append(frozenset(seen) - same)
    return out


def on_ground(d: Deployment, state: str) -> Deployment:
    """The same deployment with its ground in a state that the weather brought."""
    site = d.site.model_copy(update={"state": state})
    points = [p if p.state is None else p.model_copy(update={"state": state}) for p in d.point]
    tests = [t.losing("expired") for t in d.test]  # weather came after them
    return d.model_copy(update={"site": site, "point": points, "test": tests}).settle()


class Grounds:
    """What the installation takes on each state of its ground, worked out once for each that is asked about."""

    def __init__(self, plan: Plan, d: Deployment, base: Limits) -> None:
        self.d = as_it_stands(d, plan)
        self.base = replace(base, state=surface_state(d.ground, d.site.state, []))
        self._one: dict[str, Limits] = {}
        self._all: dict[frozenset[str], Limits] = {frozenset(): self.base}

    def one(self, state: str) -> Limits:
        """The same installation with its ground in one state."""
        if state not in self._one:
            try:
                other = on_ground(self.d, state)
                self._one[state] = replace(limits_of(make_plan(other), other), state=state)
            except AnchorageError as e:
                block = Barrier(
                    "ground-unknown",
                    tell(Note.GROUND_UNKNOWN, state=put(chosen, state, "state"), e=str(e)),
                    "unknown",
                )
                self._one[state] = replace(self.base, state=state, blocks=(*self.base.blocks, block))
        return self._one[state]

    def of(self, states: frozenset[str]) -> Limits:
        """The lowest of each limit over the state of the file and others that are possible."""
        if states not in self._all:
            every = [self.base, *(self.one(s) for s in sorted(states))]
            low = min(every, key=lambda x: x.gust)
            bearings = [x.by_bearing for x in every]
            same = all([b for b, _ in x] == [b for b, _ in bearings[0]] for x in bearings)
            merged = (
                tuple((pair[0][0], min(g for _, g in pair)) for pair in zip(*bearings, strict=True))
                if same
                else ()
            )
            half = [x.half_built for x in every if x.half_built is not None]
            blocks = dict.fromkeys(b for x in every for b in x.blocks)
            asks = tuple(dict.fromkeys(b for x in every for b in x.set_up_asks))
            self._all[states] = replace(low, by_bearing=merged, half_built=min(half, default=None), bare=min((x.bare for x in every if x.bare is not None), default=None), set_up_asks=asks, blocks=tuple(blocks),
                                        rating_missing=any(x.rating_missing for x in every))  # fmt: skip
        return self._all[states]


def limits_by_hour(
    plan: Plan, d: Deployment, base: Limits, hours: Sequence[Hour], formats: Sequence[str]
) -> list[Limits]:
    """The limits of each hour, on the ground as it is then."""
    grounds = Grounds(plan, as_forecast(d, formats), base)
    return [grounds.of(s) for s in states_of(hours, d.ground)]


def possible(grounds: Grounds) -> dict[str, Limits]:
    """Limits on each state that weather may bring, for those who choose cell by cell."""
    said = grounds.base.state
    return {s: grounds.one(s) for s in ("wet", "snow", "ice") if s != said}
