"""What goes where: an integer program over the sites, the roads, the loads and the hours. Numbers in, numbers out; times in seconds from now.

A load leaves the place of its vehicle, is taken up at one place, set down at another, and its vehicle is back before the next.
Each vehicle carries the loads of a class one after another, those that are wanted first before the others; a class begins when
what it takes up is free. That is exact for one vehicle: any order of loads that keeps every time is such an order.
"""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from typing import Any

import numpy as np

from anchorage.core.errors import AnchorageError
from anchorage.core.say import say

LONGEST_SOLVE = 8.0
"""Seconds for one question of the solver; what it has found by then is kept, and said not to be proven."""
MANY = 8
"""Sites beyond which not every order and not every pair of places is looked at: the nearest, each as soon as it is free."""
NEAR = 1e-6


class AllotError(AnchorageError):
    """What cannot be settled, and what would make it possible."""


@dataclass(frozen=True)
class Thing:
    """What is carried: kg on the road, and one person's seconds for one."""

    name: str
    mass: float
    handling: float


@dataclass(frozen=True)
class Delivery:
    """What has to be at a site by a time; None: by no time of its own."""

    by: float | None
    needs: Mapping[str, int]


@dataclass(frozen=True)
class Spot:
    """A site."""

    name: str
    has: Mapping[str, int]
    deliveries: tuple[Delivery, ...] = ()
    keep: int = 5
    """Those with a smaller number are held first."""
    standing: bool = False
    """It is up; of two of one rank it is kept before one that is not."""
    can_hold: bool = True
    shut: bool = False
    """What it has stays where it is."""
    spare: bool = True
    """What it has over its needs may go."""
    fits: frozenset[str] = frozenset()
    """Items of the stock that are what it counts on."""
    ends: float | None = None
    """When what it had is free after its stay."""
    early: float | None = None
    """When what it has is free if it comes down at once; None where it cannot be."""
    late: float | None = None
    """The same if it comes down as late as what it has allows."""

    @property
    def final(self) -> Mapping[str, int]:
        """What it has to have in the end."""
        return self.deliveries[-1].needs if self.deliveries else {}


@dataclass(frozen=True)
class Team:
    """A crew with its vehicle."""

    name: str
    payload: float
    people: int
    until: float
    drive: Mapping[tuple[str, str], float]
    """Seconds of the whole round of a load from one place to another; a pair that is not in it is no road."""
    metres: Mapping[tuple[str, str], float]


@dataclass(frozen=True)
class Problem:
    """All of it."""

    things: tuple[Thing, ...]
    spots: tuple[Spot, ...]
    teams: tuple[Team, ...]
    store: Mapping[str, int]

    def thing(self, name: str) -> Thing:
        """An item."""
        return next(t for t in self.things if t.name == name)


@dataclass(frozen=True)
class Load:
    """Loads of one crew between two places that are due by one time."""

    team: str
    start: str
    end: str
    free: float
    """Not before this."""
    by: float
    rounds: int
    items: Mapping[str, int]
    leaves: float = 0.0
    done: float = 0.0


@dataclass(frozen=True)
class Allotment:
    """What was settled."""

    held: tuple[str, ...]
    early: tuple[str, ...]
    """Sites that come down at once, since what they have is wanted elsewhere."""
    loads: tuple[Load, ...] = ()
    proven: bool = True
    """Nothing less would do; False where the solver ran out of time."""

    def mass(self, p: Problem) -> float:
        """Kg that are moved."""
        return sum(n * p.thing(k).mass for x in self.loads for k, n in x.items.items())

    def metres(self, p: Problem) -> float:
        """Driven."""
        teams = {t.name: t for t in p.teams}
        return sum(x.rounds * teams[x.team].metres[x.start, x.end] for x in self.loads)


STORE = "store"


@dataclass
class _Model:
    """An integer program that is built up, row by row."""

    low: list[float] = field(default_factory=list)
    high: list[float] = field(default_factory=list)
    whole: list[int] = field(default_factory=list)
    rows: list[tuple[dict[int, float], float, float]] = field(default_factory=list)

    def var(self, high: float = math.inf, *, whole: bool = True) -> int:
        """A new unknown from 0 on."""
        self.low.append(0.0)
        self.high.append(high)
        self.whole.append(1 if whole else 0)
        return len(self.low) - 1

    def row(self, terms: Mapping[int, float], low: float = -math.inf, high: float = math.inf) -> None:
        """Low <= sum of terms <= high."""
        if terms:
            self.rows.append((dict(terms), low, high))

    def solve(self, cost: Mapping[int, float]) -> tuple[np.ndarray[Any, np.dtype[np.float64]] | None, bool]:
        """The least of a cost, and whether it is proven; None where nothing fits, or nothing was found in time."""
        try:
            from scipy.optimize import Bounds, LinearConstraint, milp  # noqa: PLC0415 - an extra, and slow
            from scipy.sparse import csr_array  # noqa: PLC0415 - the same
        except ImportError:
            raise AllotError(say("--stock needs scipy: pip install 'shelter-anchorage[fleet]'")) from None
        n = len(self.low)
        if not n:
            return np.zeros(0), True
        c = np.zeros(n)
        for i, v in cost.items():
            c[i] += v
        at = [(k, i, v) for k, (terms, _, _) in enumerate(self.rows) for i, v in terms.items()]
        limits = []
        if at:
            rows, cols, values = (np.array(x) for x in zip(*at, strict=True))
            a = csr_array((values, (rows, cols)), shape=(len(self.rows), n))
            limits = [LinearConstraint(a, [r[1] for r in self.rows], [r[2] for r in self.rows])]
        found = milp(
            c, integrality=np.array(self.whole), bounds=Bounds(np.array(self.low), np.array(self.high)), constraints=limits,
            options={"time_limit": LONGEST_SOLVE, "mip_rel_gap": 0.0},
        )  # fmt: skip
        if found.status == 2:
            return None, True
        return None if found.x is None else np.asarray(found.x), found.status == 0


def _whole(payload: float, mass: float) -> int:
    """Units that one round takes."""
    return int(payload * (1 + 1e-9) / mass) if mass > 0 else 100_000


@dataclass(frozen=True)
class Loosened:
    """What is left out of account, to see what stands in the way."""

    time: bool = False
    payload: bool = False
    roads: bool = False
    stock: bool = False
    """Any number more in the store, each at a cost."""


AS_IT_IS = Loosened()


class _Built:
    """The program of a problem."""

    def __init__(self, p: Problem, loose: Loosened = AS_IT_IS) -> None:
        self.p, self.loose, self.m = p, loose, _Model()
        self.cut = len(p.spots) > MANY
        """Not everything is looked at, so that nothing is proven."""
        self.held = {s.name: self.m.var(1.0 if s.can_hold and not s.shut else 0.0) for s in p.spots}
        self.early = {s.name: self.m.var(1.0 if self._gains(s) else 0.0) for s in p.spots}
        for s in p.spots:
            self.m.row({self.held[s.name]: 1.0, self.early[s.name]: 1.0}, high=1.0)
        self.more = {t.name: self.m.var(whole=True) if loose.stock else -1 for t in p.things}
        self.unit: dict[tuple[int, str, str, str, float, float], int] = {}
        self.rounds: dict[tuple[int, str, str, float, float], int] = {}
        self.rounds_to: dict[str, list[tuple[tuple[int, str, str, float, float], int]]] = defaultdict(list)
        self.carried: dict[tuple[int, str, str, float, float], list[tuple[str, int]]] = defaultdict(list)
        self.leaving: dict[tuple[str, str], list[tuple[float, int]]] = defaultdict(list)
        self.coming: dict[tuple[str, str], list[tuple[float, int]]] = defaultdict(list)
        self._loads()
        self._supply()
        self._demand()
        self._time()

    @staticmethod
    def _gains(s: Spot) -> bool:
        return not s.shut and s.early is not None and s.early != s.late and any(s.has.values())

    def _sources(self) -> Iterator[tuple[str, str, float, dict[int, float], float]]:
        """(place, item, free from, terms, constant): units that are free there, terms + constant, from that time on."""
        for t in self.p.things:
            most = float(self.p.store.get(t.name, 0))
            yield STORE, t.name, 0.0, ({self.more[t.name]: 1.0} if self.loose.stock else {}), most
        for s in self.p.spots:
            if s.shut:
                continue
            h, e = self.held[s.name], self.early[s.name]
            for k, n in s.has.items():
                if not n or k not in s.fits:
                    continue
                keeps = s.final.get(k, 0)
                if s.spare and n > keeps:
                    yield s.name, k, 0.0, {h: float(n - keeps)}, 0.0
                if s.ends is not None and keeps:
                    yield s.name, k, s.ends, {h: float(keeps)}, 0.0
                if s.early is not None and self._gains(s):
                    yield s.name, k, s.early, {e: float(n)}, 0.0
                if s.late is not None:
                    yield s.name, k, s.late, {h: -float(n), e: -float(n)}, float(n)

    def _wanted(self) -> Iterator[tuple[str, str, float | None]]:
        """Site, item and time of every delivery that it may get."""
        for s in self.p.spots:
            if s.can_hold and not s.shut:
                for d in s.deliveries:
                    for k, n in d.needs.items():
                        if n > s.has.get(k, 0) and k in s.fits:
                            yield s.name, k, d.by

    def _loads(self) -> None:
        sources = list(self._sources())
        frees = sorted({free for _, _, free, _, _ in sources})
        at: dict[tuple[str, str], list[float]] = defaultdict(list)
        for a, k, free, *_ in sources:
            at[k, a].append(free)
        for b, k, by in dict.fromkeys(self._wanted()):
            for i, team in enumerate(self.p.teams):
                due = math.inf if by is None else by
                due = due if self.loose.time else min(due, team.until)
                places = [a for item, a in at if item == k and a != b and (a, b) in team.drive]
                if self.cut and not self.loose.stock:
                    places = sorted(places, key=lambda a: (a != STORE, team.drive[a, b]))[:MANY]
                for a in places:
                    begins = at[k, a] if self.cut else [f for f in frees if f >= min(at[k, a])]
                    for begin in dict.fromkeys(begins):
                        if begin < due:
                            self._unit(i, k, (a, b, begin, due))
        for key, y in self.rounds.items():
            team = self.p.teams[key[0]]
            if self.loose.payload:
                continue
            for k, u in self.carried[key]:
                if self.p.thing(k).mass > team.payload:
                    self.m.high[u] = 0.0
            self.m.row(
                {**{u: self.p.thing(k).mass for k, u in self.carried[key]}, y: -team.payload}, high=0.0
            )

    def _unit(self, team: int, item: str, at: tuple[str, str, float, float]) -> None:
        key = (team, item, *at)
        if key in self.unit:
            return
        u = self.unit[key] = self.m.var()
        group = (team, *at)
        if group not in self.rounds:
            self.rounds[group] = self.m.var()
            self.rounds_to[at[1]].append((group, self.rounds[group]))
        self.carried[group].append((item, u))
        self.leaving[at[0], item].append((at[2], u))
        self.coming[at[1], item].append((at[3], u))

    def _supply(self) -> None:
        """What leaves a place by each time is no more than what is free there by then."""
        grouped: dict[tuple[str, str], list[tuple[float, dict[int, float], float]]] = defaultdict(list)
        for a, k, free, terms, constant in self._sources():
            grouped[a, k].append((free, terms, constant))
        for at, parts in grouped.items():
            for begin in sorted({f for f, _ in self.leaving[at]}):
                row = dict.fromkeys((u for f, u in self.leaving[at] if f <= begin), 1.0)
                most = 0.0
                for free, terms, constant in parts:
                    if free <= begin:
                        most += constant
                        for v, n in terms.items():
                            row[v] = row.get(v, 0.0) - n
                self.m.row(row, high=most)

    def _demand(self) -> None:
        for s in self.p.spots:
            if s.shut or not s.can_hold:
                continue
            for d in s.deliveries:
                for k, n in d.needs.items():
                    if (lacks := n - s.has.get(k, 0)) > 0:
                        there = dict.fromkeys(
                            (u for due, u in self.coming[s.name, k] if d.by is None or due <= d.by), 1.0
                        )
                        self.m.row({**there, self.held[s.name]: -float(lacks)}, low=0.0)
                        if k in s.fits:
                            self._rounds_for(s, d, k, lacks)
            for k, n in s.final.items():
                there = dict.fromkeys((u for _, u in self.coming[s.name, k]), 1.0)
                self.m.row({**there, self.held[s.name]: -float(max(n - s.has.get(k, 0), 0))}, high=0.0)

    def _rounds_for(self, s: Spot, d: Delivery, k: str, lacks: int) -> None:
        """Whole rounds that so many units take at the least: it follows from the rest, and the solver is quicker."""
        if self.loose.payload or not self.p.teams:
            return
        most = max(_whole(t.payload, self.p.thing(k).mass) for t in self.p.teams)
        if most:
            some = {y: 1.0 for x, y in self.rounds_to[s.name] if d.by is None or x[4] <= d.by}
            self.m.row({**some, self.held[s.name]: -float(math.ceil(lacks / most))}, low=0.0)

    def _work(self, keys: Sequence[tuple[int, str, str, float, float]]) -> dict[int, float]:
        """Seconds that a team works at loads."""
        out = {}
        for key in keys:
            team = self.p.teams[key[0]]
            out[self.rounds[key]] = team.drive[key[1], key[2]]
            out |= {u: self.p.thing(k).handling / team.people for k, u in self.carried[key]}
        return out

    def _time(self) -> None:
        if self.loose.time:
            return
        most = 1.0 + sum(max(n - s.has.get(k, 0), 0) for s in self.p.spots for k, n in s.final.items())
        for i, team in enumerate(self.p.teams):
            mine = [k for k in self.rounds if k[0] == i]
            before: dict[int, float] = {}
            for begin in sorted({k[3] for k in mine}):
                here = [k for k in mine if k[3] == begin]
                dues = sorted({k[4] for k in here})
                start: dict[int, float] = {}
                if begin > 0.0:
                    at = self.m.var(whole=False)
                    self.m.low[at] = begin
                    self.m.row({at: 1.0, **{v: -c for v, c in before.items()}}, low=0.0)
                    start = {at: 1.0}
                far = 2.0 * max(team.until, begin) + max(dues)
                for due in dues:
                    some = [k for k in here if k[4] <= due]
                    if not start:
                        self.m.row(self._work(some), high=due)
                        continue
                    runs = self.m.var(1.0)  # whether there is any such load: an empty class keeps no time
                    self.m.row({**dict.fromkeys((self.rounds[k] for k in some), 1.0), runs: -most}, high=0.0)
                    self.m.row({**start, **self._work(some), runs: far}, high=due + far)
                before = {**start, **self._work(here)}

    def hold(self, names: Sequence[str]) -> None:
        """These stand, whatever it takes."""
        for name in names:
            self.m.low[self.held[name]] = 1.0

    def mass(self) -> dict[int, float]:
        """Kg moved."""
        return {u: self.p.thing(k[1]).mass for k, u in self.unit.items()}

    def metres(self) -> dict[int, float]:
        """Metres driven; a round at no distance still counts for a little."""
        return {y: self.p.teams[k[0]].metres[k[1], k[2]] + 1.0 for k, y in self.rounds.items()}

    def loads(self, x: np.ndarray[Any, np.dtype[np.float64]]) -> tuple[Load, ...]:
        """What is carried, in whole numbers."""
        out = []
        for key, y in self.rounds.items():
            i, a, b, begin, due = key
            items = {k: round(x[u]) for k, u in self.carried[key] if round(x[u])}
            if items:
                out.append(Load(self.p.teams[i].name, a, b, begin, due, round(x[y]), items))
        return tuple(out)


def allot(p: Problem) -> Allotment:
    """The most sites held, by their rank; then as few as can be taken down early; then the least mass moved; then the least driven."""
    b = _Built(p)
    proven = not b.cut
    x: np.ndarray[Any, np.dtype[np.float64]] | None = None

    def least(cost: dict[int, float], *, exact: bool) -> None:
        nonlocal proven, x
        found, sure = b.m.solve(cost)
        if found is None and x is None:
            raise AllotError(
                say("the stock could not be settled in time: fewer sites, or fewer crews, in one go")
            )
        proven = proven and sure and found is not None
        if found is not None:  # else what was found before stays: it keeps every row
            x = found
        assert x is not None  # noqa: S101 - the line above refused it
        best = sum(c * x[v] for v, c in cost.items())
        b.m.row(cost, high=round(best) if exact else best * (1 + NEAR) + NEAR)

    for rank in sorted({s.keep for s in p.spots}):
        mine = [s for s in p.spots if s.keep == rank]
        least({b.held[s.name]: -float(len(mine) + 1 + s.standing) for s in mine}, exact=True)
    least({b.early[s.name]: 1.0 for s in p.spots}, exact=True)
    if b.unit:
        least(b.mass(), exact=False)
        least(b.metres(), exact=False)
    assert x is not None  # noqa: S101 - the line before gave it
    held = tuple(s.name for s in p.spots if round(x[b.held[s.name]]))
    early = tuple(s.name for s in p.spots if round(x[b.early[s.name]]))
    return sooner(p, Allotment(held, early, timed(p, b.loads(x)), proven))


def sooner(p: Problem, a: Allotment) -> Allotment:
    """The same loads, each as soon as what it takes up is free, where that keeps every time too."""
    spots = {s.name: s for s in p.spots}

    def free(x: Load) -> float:
        s = spots.get(x.start)
        if s is None:
            return 0.0
        if x.start not in a.held:
            return (s.early if x.start in a.early else s.late) or 0.0
        taken: dict[str, int] = defaultdict(int)
        for y in a.loads:
            if y.start == x.start:
                for k, n in y.items.items():
                    taken[k] += n
        spare = all(taken[k] <= s.has.get(k, 0) - s.final.get(k, 0) for k in x.items)
        return 0.0 if spare else x.free

    other = replace(
        a, loads=timed(p, [replace(x, free=min(free(x), x.free)) for x in a.loads], waiting=False)
    )
    return a if broken(p, other) else other


def timed(p: Problem, loads: Sequence[Load], *, waiting: bool = True) -> tuple[Load, ...]:
    """When each leaves and is done: each team by class, then by what is due first; not waiting: of what is free, what is due first."""
    out = []
    for team in p.teams:
        clock = 0.0
        mine = sorted((x for x in loads if x.team == team.name), key=lambda x: (x.free, x.by, x.end, x.start))
        while mine:
            ready = [x for x in mine if x.free <= clock] if not waiting else []
            x = min(ready, key=lambda x: (x.by, x.end, x.start), default=mine[0])
            mine.remove(x)
            leaves = max(clock, x.free)
            work = sum(n * p.thing(k).handling for k, n in x.items.items()) / team.people
            clock = leaves + x.rounds * team.drive[x.start, x.end] + work
            out.append(replace(x, leaves=leaves, done=clock))
    return tuple(sorted(out, key=lambda x: (x.leaves, x.team, x.done)))


def broken(p: Problem, a: Allotment) -> list[str]:
    """What of an allotment does not keep the problem, added up anew and in whole numbers; nothing where all does."""
    out = []
    spots = {s.name: s for s in p.spots}
    teams = {t.name: t for t in p.teams}
    for x in a.loads:
        team = teams[x.team]
        mass = sum(n * p.thing(k).mass for k, n in x.items.items())
        if mass > x.rounds * team.payload * (1 + NEAR):
            out.append(
                say("{team}: {mass} kg in {rounds} rounds", team=x.team, mass=f"{mass:.0f}", rounds=x.rounds)
            )
        if x.done > min(x.by, team.until) + 1.0 or x.leaves < x.free:
            out.append(
                say(
                    "{team} to {end}: done at {done} s, due {by} s",
                    team=x.team,
                    end=x.end,
                    done=f"{x.done:.0f}",
                    by=f"{x.by:.0f}",
                )
            )
    for name, s in spots.items():
        for k in {*s.has, *(k for d in s.deliveries for k in d.needs)}:
            for d in s.deliveries if name in a.held else ():
                came = sum(
                    x.items.get(k, 0)
                    for x in a.loads
                    if x.end == name and (d.by is None or x.done <= d.by + 1.0)
                )
                gone = sum(
                    x.items.get(k, 0)
                    for x in a.loads
                    if x.start == name and (s.ends is None or x.free < s.ends)
                )
                if s.has.get(k, 0) - gone + came < d.needs.get(k, 0):
                    out.append(say("{name}: {k} short", name=name, k=k))
            taken = sum(x.items.get(k, 0) for x in a.loads if x.start == name)
            if taken > s.has.get(k, 0) and (name not in a.held or s.ends is None):
                out.append(say("{name}: more {k} taken than it has", name=name, k=k))
            if name not in a.held:
                free = s.early if name in a.early else s.late
                if any(
                    x.items.get(k, 0) and (free is None or x.free < free) for x in a.loads if x.start == name
                ):
                    out.append(say("{name}: {k} taken before it is down", name=name, k=k))
    out += [
        say("store: more {name} than it has", name=t.name)
        for t in p.things
        if sum(x.items.get(t.name, 0) for x in a.loads if x.start == STORE) > p.store.get(t.name, 0)
    ]
    return out


@dataclass(frozen=True)
class Lack:
    """A row that is the reason: what kind, which, and how much more of it would do alone; None where no number was worked out."""

    kind: str
    name: str
    more: int | None = None


def everywhere(p: Problem) -> Problem:
    """The same with roads between all places, of no length where none is given."""
    names = [STORE, *(s.name for s in p.spots)]
    pairs = {(a, b): 0.0 for a in names for b in names}
    return replace(
        p, teams=tuple(replace(t, drive={**pairs, **t.drive}, metres={**pairs, **t.metres}) for t in p.teams)
    )


def _can(p: Problem, wanted: Sequence[str], loose: Loosened = AS_IT_IS) -> bool:
    b = _Built(p, loose)
    b.hold(wanted)
    return b.m.solve({})[0] is not None


NOBODY = Team("nobody", 1.0, 1, math.inf, {}, {})


def lacks(p: Problem, held: Sequence[str]) -> list[Lack]:
    """Why not every site that could stand does: the rows which, each loosened alone, would let all of them stand."""
    wanted = [s.name for s in p.spots if s.can_hold and not s.shut]
    if set(wanted) <= set(held):
        return []
    free = everywhere(p if p.teams else replace(p, teams=(NOBODY,)))
    b = _Built(free, Loosened(time=True, payload=True, stock=True))
    b.hold(wanted)
    x, _ = b.m.solve(dict.fromkeys(b.more.values(), 1.0))
    if x is None:
        return [Lack("site", n) for n in _alone(free, wanted)]
    short = [Lack("item", k, round(x[v])) for k, v in b.more.items() if round(x[v])]
    more = {y.name: y.more or 0 for y in short}
    enough = replace(p, store={k: p.store.get(k, 0) + more.get(k, 0) for k in {*p.store, *more}})
    return (
        short if short and p.teams and _can(enough, wanted) else [*short, *_on_the_way(enough, wanted, held)]
    )


def _on_the_way(p: Problem, wanted: Sequence[str], held: Sequence[str]) -> list[Lack]:
    """What is in the way where there is enough of everything."""
    if not p.teams:
        return [Lack("crew", "")]
    if not _can(p, wanted, Loosened(time=True, payload=True)):
        return _roads(p, wanted)
    if not _can(p, wanted, Loosened(time=True)):
        heavy = {t.name for t in p.things if all(t.mass > team.payload for team in p.teams)}
        return [Lack("payload", k) for k in sorted(heavy)] or [Lack("payload", "")]
    out = [Lack("hours", t.name) for i, t in enumerate(p.teams) if _can(_with(p, i, until=math.inf), wanted)]
    out += [
        Lack("crew", t.name, 1)
        for t in p.teams
        if _can(replace(p, teams=(*p.teams, replace(t, name=f"{t.name}+"))), wanted)
    ]
    return out or [Lack("time", n) for n in wanted if n not in held]


def _with(p: Problem, i: int, *, until: float) -> Problem:
    """The same with a crew that has other hours; finite, so that sums of times are."""
    far = (
        max((d.by or 0.0 for s in p.spots for d in s.deliveries), default=0.0) + 1e6
        if math.isinf(until)
        else until
    )
    return replace(p, teams=tuple(replace(t, until=far) if k == i else t for k, t in enumerate(p.teams)))


def _alone(p: Problem, wanted: Sequence[str]) -> list[str]:
    """Sites that could not stand if they were the only one, whatever there is."""
    return [n for n in wanted if not _can(p, [n], Loosened(time=True, payload=True, stock=True))] or list(
        wanted
    )


def _roads(p: Problem, wanted: Sequence[str]) -> list[Lack]:
    """Roads to the sites that lack something, from places that have it, that no row gives."""
    out = []
    for s in p.spots:
        if s.name not in wanted:
            continue
        for k, n in s.final.items():
            if n <= s.has.get(k, 0):
                continue
            sources = [STORE] if p.store.get(k, 0) else []
            sources += [o.name for o in p.spots if o.name != s.name and o.has.get(k, 0) and k in o.fits]
            out += [
                Lack("distance", f"{a} to {s.name}")
                for a in sources
                if not any((a, s.name) in t.drive for t in p.teams)
            ]
    return list(dict.fromkeys(out))
