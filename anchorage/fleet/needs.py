"""What a site needs and by when, so that it holds every hour of its stay: found through the outlook itself, nothing estimated.

The outlook is asked with the counts as they would be; each hour that is over the share of its use adds a gust and a state of the
ground to what the counts are sized for, until no hour is.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import datetime, tzinfo
from enum import Enum
from pathlib import Path

from anchorage.checks.overrides import override
from anchorage.core.say import say
from anchorage.core.units import Measure
from anchorage.deployment.contradictions import stock_key
from anchorage.deployment.models import Deployment
from anchorage.deployment.policy import TIGHT, margin_of, policy_of, use_of
from anchorage.deployment.reader import read_file
from anchorage.fleet.rows import (
    Options,
    SiteRow,
    forecasts_for,
    of_outlook,
    of_plan,
    row_of_error,
    without_forecast,
)
from anchorage.fleet.stock import STAKES
from anchorage.holding.ground import surface_state
from anchorage.judging.plan import Assessment, assess
from anchorage.judging.result import Plan
from anchorage.judging.verdict import bounds
from anchorage.outlook.asked import Asked, forecasts_of
from anchorage.outlook.build import outlook
from anchorage.outlook.clock import seconds, zone_of
from anchorage.outlook.deadlines import leads_of
from anchorage.outlook.hours import Forecast, stale
from anchorage.outlook.result import Outlook
from anchorage.outlook.weathered import as_forecast, on_ground, plan_for
from anchorage.record.over import phase_of, read_record
from anchorage.record.stand import put_over

MOST_STEPS = 8
"""Deliveries to one site; what would be a later one is asked for with the last."""
MOST_ROUNDS = 12
"""Gusts and states that the counts of one step are sized for."""
A_HAIR = 1.0 + 1e-4
"""More than the gust, where what was sized for it is still at the share itself."""
STICKS = frozenset({"cannot-be-held", "does-not-do"})
"""Reasons of a plan that say that its counts are none."""
Points = dict[str, int]
Totals = dict[str, int]


class State(Enum):
    """What can be said of a site."""

    COUNTED = "counted"
    """Its counts are known for every hour of its stay."""
    OVER = "over"
    """From some hour on no count is enough: the maker's rating, a policy, or what can stand at a point."""
    UNREAD = "unread"
    """It cannot be judged: what it has is left where it is."""


@dataclass(frozen=True)
class Step:
    """Counts that have to be there by a time (s); None where no hour asks before any other."""

    by: int | None
    points: Points
    totals: Totals


@dataclass(frozen=True)
class Unit:
    """What a file counts on: kg each of ballast; of stakes how thick (m) and the deepest that one is driven (m)."""

    mass: float = 0.0
    diameter: float = 0.0
    driven: float = 0.0


@dataclass(frozen=True)
class Need:
    """A site: what it has, what it needs by when, and when it could be down."""

    path: str
    state: State
    row: SiteRow
    """As it is."""
    has: Totals = field(default_factory=dict)
    standing: bool = False
    steps: tuple[Step, ...] = ()
    units: dict[str, Unit] = field(default_factory=dict)
    known: bool = True
    """Every hour of the stay has a gust; where one has none, nothing of what is there is spare."""
    over: str = ""
    """What governs where no count is enough."""
    over_from: int | None = None
    ends: int | None = None
    """When it is down after its stay (s), where the file says both."""
    strike_by: int | None = None
    """The latest start of taking down with what is there (s); None where no hour asks for it, or a time is missing."""
    too_late: bool = False
    lead: float | None = None
    """From the start of taking down to the ground (s)."""
    missing: tuple[str, ...] = ()
    starts: int | None = None
    """When it goes up, where that lies ahead."""
    doubt: str = ""
    counted: bool = True
    """What stands at its points is known; a site that stands and is not counted gives nothing away."""

    @property
    def stem(self) -> str:
        """What places call it."""
        return Path(self.path).stem

    @property
    def final(self) -> Totals:
        """What it has to have in the end."""
        return self.steps[-1].totals if self.steps else {}


@dataclass(frozen=True)
class StockOptions(Options):
    """What is the same for every site, and what the stock file says is there."""

    has: Mapping[str, Totals] = field(default_factory=dict)


@dataclass(frozen=True)
class _Hour:
    start: int | None
    gust: float
    """m/s at 10 m; without a forecast how many times the wind of the file."""
    share: float | None
    state: str
    sure: bool


@dataclass(frozen=True)
class _Stuck:
    """No count is enough for an hour, and what governs there."""

    hour: _Hour
    governed: str


@dataclass(frozen=True, eq=False)
class Site:
    """A deployment and the forecasts that it is held against."""

    path: Path
    d: Deployment
    now: int
    zone: tzinfo | None
    forecasts: tuple[Forecast, ...]
    use: str
    without: tuple[str, ...] = ()
    """Folders of forecasts that have none for it."""

    @classmethod
    def read(cls, path: Path, o: Options) -> Site:
        """Read a file with its record and its forecasts. What its own ``[stock]`` claims does not count."""
        d = put_over(read_file(path), path, o.now).model_copy(update={"stock": None})
        if o.use is not None:
            d = d.model_copy(update={"anchorage": d.anchorage.model_copy(update={"size_for": o.use})})
        name = o.zone or d.outlook.zone
        zone = None if name is None else zone_of(name, say("command line") if o.zone else "[outlook]")
        paths, without = forecasts_for(o, path)
        given = bool(paths) and not without
        found = (
            forecasts_of(Asked(paths, issued=o.issued), d.forecast, o.now, zone, lenient=True)
            if given
            else []
        )
        return cls(path, d, o.now, zone, tuple(found), use_of(d), tuple(without))

    def with_counts(self, points: Points | None) -> Deployment:
        """The deployment with these counts, whatever was said of its points before; None: to be sized."""
        placed = None if points is None else dict(points)
        a = self.d.anchorage.model_copy(update={"placed": placed})
        bare = [p.model_copy(update={"placed": None}) for p in self.d.point]
        return self.d.model_copy(update={"anchorage": a, "point": bare})

    def seen(self, d: Deployment) -> tuple[Assessment, Outlook | None]:
        """What plan and outlook say of it."""
        a = assess(d)
        if not self.forecasts:
            return a, None
        spread = None if d.outlook.spread is None else float(d.outlook.spread)
        plan = plan_for(a, self.forecasts)
        return a, outlook(plan, d, self.forecasts, self.now, self.zone, use=self.use, spread=spread)

    def row(self, d: Deployment) -> SiteRow:
        """Its row, with these counts."""
        a, o = self.seen(d)
        if o is not None:
            return of_outlook(self.path.name, a.plan, o)
        row = of_plan(self.path.name, a.plan)
        return without_forecast(row, self.path, list(self.without)) if self.without else row

    def sized(self, gust: float, state: str | None) -> Assessment:
        """Sized anew: with a forecast for a gust (m/s) from any side, else for so many times the wind of the file; on the ground in a state."""
        d = self.with_counts(None)
        if self.forecasts:
            d = as_forecast(d, [f.format for f in self.forecasts])
            d = d.model_copy(update={"wind": d.wind.model_copy(update={"bearing": None})})
            d = override(d, gust=f"{gust:.9g} m/s")[0]
        elif gust > 1.0:
            speed = Measure(float(d.wind.speed) * gust, "speed", "")
            d = d.model_copy(update={"wind": d.wind.model_copy(update={"speed": speed})})
        return assess(d if state is None else on_ground(d, state))

    def counts(self, gust: float, state: str) -> Points | str:
        """Counts for a gust on the ground in a state, or what governs where none are enough."""
        own = state in ("", surface_state(self.d.ground, self.d.site.state, []))
        ways: list[str | None] = [None] if own else [state]
        if own and state and self.d.test:
            ways.append(state)  # what was measured is gone with the weather, in the same state too
        out: Points = {}
        for way in ways:
            a = self.sized(gust, way)
            found = a.installation.sized
            if found is None or found.counts is None:
                return a.plan.limit.governed_by
            if any(r.code in STICKS for r in a.plan.reasons):
                return say("what can stand at a point")
            for k, n in zip(a.installation.base.ids, found.counts, strict=True):
                out[k] = max(out.get(k, 0), int(n))
        return out

    def enough(self, until: int | None, first: Points) -> Points | _Stuck:
        """Counts with which no hour up to one is over the share of the use. Each round sizes for the worst hour of each state that is."""
        most = policy_of(self.d).share_for(self.use)
        asked: dict[str, tuple[float, Points]] = {}
        points = first
        for _ in range(MOST_ROUNDS):
            a, o = self.seen(self.with_counts(points))
            bad = over(hours_of(a, o), most, until)
            if not bad:
                return points
            worst = {h.state: h for h in sorted(bad, key=lambda h: h.gust)}
            top = min(bounds(a.installation), key=lambda b: b.gust, default=None)
            for state, h in worst.items():
                real = a.plan.wind.gust_m_s if o is None else h.gust
                if top is not None and real >= top.gust * most - TIGHT:
                    return _Stuck(h, top.check.limits)
                before = asked[state][0] if state in asked else 0.0
                gust = h.gust if h.gust > before else before * A_HAIR
                found = self.counts(gust, state)
                if isinstance(found, str):
                    return _Stuck(h, found)
                asked[state] = (gust, found)
            points = {k: max(p.get(k, 0) for _, p in asked.values()) for k in a.installation.base.ids}
        return _Stuck(bad[0], a.plan.limit.governed_by)


def hours_of(a: Assessment, o: Outlook | None) -> list[_Hour]:
    """The hours of the stay; the one wind of the file where there is no forecast."""
    if o is None:
        return [_Hour(None, 1.0, a.plan.levels.share, "", sure=True)]
    inside = [h for h in o.hours if h.end > o.start and h.start < o.end]
    return [
        _Hour(_seconds(h.start), h.gust_m_s or 0.0, h.share, h.state, sure=h.gust_is == "forecast")
        for h in inside
    ]


def over(hours: Sequence[_Hour], most: float, until: int | None) -> list[_Hour]:
    """Hours that reach a share of their limit, up to and with one."""
    inside = [h for h in hours if until is None or h.start is None or h.start <= until]
    return [h for h in inside if h.share is not None and h.share >= most - TIGHT]


def _seconds(iso: str) -> int:
    return seconds(datetime.fromisoformat(iso))


def key_of(kind: str, item: str) -> str | None:
    """What a stock calls what stands at a point; None for what is made at the site and is not carried about."""
    return {"stakes": STAKES, "deadman": None, "none": None}.get(kind, stock_key(item))


def totals_of(plan: Plan, points: Points) -> Totals:
    """Counts over all points, by what a stock calls them."""
    out: Totals = {}
    for p in plan.anchorage.points:
        key = key_of(p.kind, p.item)
        if key is not None and points.get(p.id, 0):
            out[key] = out.get(key, 0) + points[p.id]
    return out


def units_of(a: Assessment) -> dict[str, Unit]:
    """What its counts stand on, of each item that it may use."""
    out: dict[str, Unit] = {}
    stake = a.deployment.anchorage.stake
    deep = [float(p.driven) for p in a.deployment.point if p.driven is not None]
    for h in a.installation.hard:
        key = key_of(h.kind, h.counted)
        if key == STAKES and stake is not None:
            out[key] = Unit(diameter=float(stake.diameter), driven=max([float(stake.driven), *deep]))
        elif key is not None:
            out[key] = Unit(mass=max(h.unit_mass, out[key].mass if key in out else 0.0))
    return out


def _mass(totals: Totals, units: Mapping[str, Unit]) -> float:
    return sum(n * (units[k].mass or 1.0) for k, n in totals.items())


def _steps(
    site: Site, plan: Plan, there: Points | None, until_start: int | None, *, up: bool
) -> tuple[Step, ...] | _Stuck:
    """What has to be there by when, each step up to the next hour that asks for more."""
    most, margin = policy_of(site.d).share_for(site.use), margin_of(site.d.times)
    points = {p.id: 0 for p in plan.anchorage.points} if there is None else there
    steps: list[Step] = []
    for i in range(MOST_STEPS):
        a, o = site.seen(site.with_counts(points))
        bad = over(hours_of(a, o), most, None)
        if not bad:
            break
        first = min(bad, key=lambda h: (h.start is not None, h.start or 0))
        everything = i == MOST_STEPS - 1 or (not up and until_start is None) or first.start is None
        found = site.enough(None if everything else first.start, points)
        if isinstance(found, _Stuck):
            return found
        points = found
        by = None if first.start is None or (not up and until_start is None) else int(first.start - margin)
        by = by if by is None or up or until_start is None else min(by, until_start)
        now = totals_of(plan, points)
        before = steps[-1].totals if steps else {}
        steps.append(Step(by, points, {k: max(now.get(k, 0), before.get(k, 0)) for k in {**before, **now}}))
    if steps:
        return tuple(steps)
    least = site.enough(None, dict.fromkeys(points, 0))
    if there is None or (
        isinstance(least, dict)
        and _mass(totals_of(plan, least), units_of(a)) < _mass(totals_of(plan, there), units_of(a))
    ):
        points = least if isinstance(least, dict) else points
    return (Step(None, points, totals_of(plan, points)),)


def _start(site: Site, o: Outlook | None) -> int | None:
    """When it is to be put up, where that lies ahead: units are there before setting up begins."""
    if o is None or site.d.times.start is None or _seconds(o.start) <= site.now:
        return None
    setup = 0.0 if site.d.times.setup is None else float(site.d.times.setup)
    return int(_seconds(o.start) - setup - margin_of(site.d.times))


def _is_up(site: Site, now: int) -> bool | None:
    """Whether it stands by its record; None where that says nothing."""
    record = read_record(site.path, site.d.shelter, now)
    entries = () if record is None else record.counting
    phase = phase_of(entries)
    return None if phase in ("", "not-up", "going-up") else phase != "down"


def need_of(path: Path, o: StockOptions) -> Need:
    """What a site needs. It never raises: a site that cannot be judged says so, and keeps what it has."""
    try:
        return _need(Site.read(path, o), o)
    except Exception as e:  # noqa: BLE001 - the other sites are judged all the same
        return Need(str(path), State.UNREAD, row_of_error(path, e), o.has.get(path.stem, {}))


def _need(site: Site, o: StockOptions) -> Need:
    a, seen = site.seen(site.d)
    row, plan, t = site.row(site.d), a.plan, site.d.times
    there = None if plan.anchorage.sized else {p.id: p.stakes or p.units for p in plan.anchorage.points}
    placed = {} if there is None else totals_of(plan, there)
    said = o.has.get(site.path.stem)
    has = placed if said is None else said
    doubt = ""
    lacking = [k for k, n in placed.items() if has.get(k, 0) < n]
    if lacking:
        doubt = say(
            "{lacking}: fewer in the stock file than its file or record says are placed: count them; the lower number counts",
            lacking=", ".join(lacking),
        )
    up = _is_up(site, o.now)
    standing = any(placed.values()) if up is None else up
    if doubt or not standing:
        there = None
    if site.without:
        return Need(str(site.path), State.UNREAD, row, has, standing=standing, doubt=doubt)
    lead = leads_of(t)["start_strike_by"]
    hours = hours_of(a, seen)
    at = Need(
        str(site.path), State.COUNTED, row, has, standing=standing, units=units_of(a), known=all(h.sure for h in hours), lead=lead.seconds,
        missing=tuple(lead.missing), doubt=doubt, starts=None if standing else _start(site, seen), counted=not standing or there is not None,
    )  # fmt: skip
    if seen is not None:
        down = seen.deadlines.start_strike_by
        ends = t.end is not None and t.strike is not None
        at = replace(
            at, strike_by=None if down is None else _seconds(down), too_late=seen.cannot_strike,
            ends=int(_seconds(seen.end) + float(t.strike or 0.0) + margin_of(t)) if ends else None,
        )  # fmt: skip
    found = _steps(site, plan, there, at.starts, up=standing)
    if isinstance(found, _Stuck):
        return replace(at, state=State.OVER, over=found.governed, over_from=found.hour.start)
    if seen is not None and (not any(h.sure for h in hours) or all(stale(f, o.now) for f in site.forecasts)):
        return replace(at, state=State.UNREAD)  # what was forecast long ago holds nothing and lets nothing go
    return replace(at, steps=found)
