"""From a folder and a stock file to what is moved, what comes down and why: needs, allotment, and every site judged again as it then is."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import datetime
from enum import Enum
from pathlib import Path

from anchorage.core.errors import AnchorageError, Fault, InputFaults
from anchorage.core.say import say
from anchorage.core.words import so_many
from anchorage.fleet.allot import (
    STORE,
    Allotment,
    Delivery,
    Lack,
    Load,
    Problem,
    Spot,
    Team,
    Thing,
    allot,
    broken,
    lacks,
)
from anchorage.fleet.needs import Need, Site, State, StockOptions, Totals
from anchorage.fleet.rows import SiteRow
from anchorage.fleet.stock import STAKES, Item, Stock
from anchorage.outlook.clock import iso, seconds

GRID = 1800
"""Seconds to which the time is put off from which units of a site that came down are free: fewer classes for the solver."""
ALIKE = 5e-3
"""Share by which the masses of the same unit may differ in two files: what rounding makes of one figure in two units."""


class Why(Enum):
    """Why a site comes down, or is not put up."""

    OVER = "over"
    """No count is enough."""
    SHORT = "short"
    """What it needs cannot all be there in time."""
    GIVES = "gives"
    """Others are held by what it has."""


@dataclass(frozen=True)
class Move:
    """One line of the movement list."""

    item: str
    count: int
    start: str
    end: str
    crew: str
    vehicle: str
    rounds: int
    leaves: int
    done: int
    by: int | None


@dataclass(frozen=True)
class Down:
    """A site that comes down, or is not put up."""

    file: str
    by: int | None
    why: Why
    text: str
    standing: bool
    empty: bool = False
    """What it has holds it to the end with nobody in it, and none of that is taken."""
    out_by: int | None = None
    """By when everybody is out of it then, where that is known."""


@dataclass(frozen=True)
class Reason:
    """A row that is the reason why not all are held, or one that does not fit its file."""

    row: str
    text: str
    more: int | None = None


@dataclass(frozen=True)
class SiteCounts:
    """A site that is held, and what then stands at each of its points."""

    file: str
    name: str
    points: dict[str, int]
    totals: Totals
    changes: bool
    """Something comes or goes, so what stands at the points is not what stands there now."""


@dataclass(frozen=True)
class Moving:
    """All that was settled."""

    now: int
    moves: tuple[Move, ...]
    down: tuple[Down, ...]
    held: tuple[SiteCounts, ...]
    reasons: tuple[Reason, ...]
    rows: tuple[SiteRow, ...]
    mass_kg: float
    metres: float
    proven: bool
    by_forecast: bool
    """Held against the hours of forecasts; else against the one wind of each file."""


def _fits(n: Need, item: Item) -> str:
    """Why units of the stock are not what a file counts on; nothing where they are."""
    u = n.units.get(item.name)
    if u is None:
        return ""
    if item.name == STAKES:
        thick, long = float(item.diameter or 0.0), float(item.length or 0.0)
        if abs(thick - u.diameter) > ALIKE * u.diameter:
            return say(
                "{thick} mm thick in the stock, {diameter} mm in {stem}",
                thick=f"{thick * 1000:.0f}",
                diameter=f"{u.diameter * 1000:.0f}",
                stem=n.stem,
            )
        return (
            ""
            if long >= u.driven
            else say(
                "{long} mm long in the stock, driven {driven} mm in {stem}",
                long=f"{long * 1000:.0f}",
                driven=f"{u.driven * 1000:.0f}",
                stem=n.stem,
            )
        )
    mass = float(item.unit_mass or 0.0)
    return (
        ""
        if abs(mass - u.mass) <= ALIKE * u.mass
        else say(
            "{mass} kg each in the stock, {mass_2} kg in {stem}",
            mass=f"{mass:.1f}",
            mass_2=f"{u.mass:.1f}",
            stem=n.stem,
        )
    )


def _later(at: float) -> float:
    return math.ceil(at / GRID) * GRID


def _spot(n: Need, stock: Stock, now: int) -> tuple[Spot, list[Reason]]:
    """A site as the allotment takes it, and the rows that do not fit its file."""
    place = stock.place_of(n.stem)
    wrong = {i.name: w for i in stock.item if (w := _fits(n, i))}
    known = {i.name for i in stock.item}
    reasons = [
        Reason(
            say("item {k}", k=k),
            say("{w}: what it holds hangs on that; none is counted from one to the other", w=w),
        )
        for k, w in wrong.items()
    ]
    asked = n.final
    reasons += [
        Reason(
            say("item {k}", k=k),
            say(
                "no [[item]] of that name, and {stem} needs {asked}: none can be brought",
                stem=n.stem,
                asked=asked[k],
            ),
        )
        for k in asked
        if k not in known and asked[k] > n.has.get(k, 0)
    ]
    early = late = None
    if not n.standing:
        early = late = 0.0
    elif n.counted and n.lead is not None and not n.too_late and (n.strike_by is None or n.strike_by >= now):
        early = _later(n.lead)
        late = None if n.strike_by is None else _later(n.strike_by - now + n.lead)
    spot = Spot(
        n.stem, dict(n.has), tuple(Delivery(None if s.by is None else float(s.by - now), s.totals) for s in n.steps),
        keep=place.keep, standing=n.standing, can_hold=n.state is State.COUNTED, shut=n.state is State.UNREAD, spare=n.known and n.counted,
        fits=frozenset(known - wrong.keys()), ends=None if n.ends is None else _later(max(n.ends - now, 0.0)), early=early, late=late,
    )  # fmt: skip
    return spot, reasons


def teams_of(stock: Stock, names: Sequence[str]) -> tuple[Team, ...]:
    """Each crew with its vehicle: the whole round of a load, from the place of the vehicle and back to it."""
    out = []
    for c in stock.crew:
        v = next(v for v in stock.vehicle if v.name == c.vehicle)
        drive, metres = {}, {}
        for a in (STORE, *names):
            for b in names:
                legs = [stock.road(*leg) for leg in ((v.at, a), (a, b), (b, v.at))]
                if a == b or any(x is None for x in legs):
                    continue
                known = [x for x in legs if x is not None]
                metres[a, b] = sum(float(x.distance) for x in known)
                drive[a, b] = sum(
                    float(x.distance) / float(v.speed) if x.drive is None else float(x.drive) for x in known
                )
        out.append(Team(c.name, float(v.payload), c.people, float(c.hours), drive, metres))
    return tuple(out)


def problem_of(needs: Sequence[Need], stock: Stock, now: int) -> tuple[Problem, list[Reason]]:
    """The sites and the stock as the allotment takes them."""
    spots, reasons = [], list[Reason]()
    for n in needs:
        s, wrong = _spot(n, stock, now)
        spots.append(s)
        reasons += wrong
        if n.doubt:
            reasons.append(Reason(say("place {stem}", stem=n.stem), n.doubt))
    things = tuple(Thing(i.name, float(i.mass or 0.0), float(i.handling)) for i in stock.item)
    store = dict(stock.place_of(STORE).has or {})
    return Problem(things, tuple(spots), teams_of(stock, [s.name for s in spots]), store), reasons


def check_names(stock: Stock, stems: Sequence[str], file: str) -> None:
    """Refuse rows about places that there are not."""
    known = {STORE, *stems}
    words = say("store, or a file of the folder without its ending: {stems}", stems=", ".join(sorted(stems)))
    faults = [
        Fault(file, f"place[{i}].name", say("read {name}", name=repr(p.name)), words)
        for i, p in enumerate(stock.place, 1)
        if p.name not in known
    ]
    faults += [
        Fault(file, f"vehicle[{i}].at", say("read {at}", at=repr(v.at)), words)
        for i, v in enumerate(stock.vehicle, 1)
        if v.at not in known
    ]
    for i, x in enumerate(stock.distance, 1):
        faults += [
            Fault(file, f"distance[{i}].{k}", say("read {v}", v=repr(v)), words)
            for k, v in (("from", x.from_), ("to", x.to))
            if v not in known
        ]
    if STORE in stems:
        faults.append(
            Fault(
                file,
                "place.name",
                say("a deployment of the folder is called store"),
                say("give that file another name"),
            )
        )
    if faults:
        raise InputFaults(faults)


def _lack_words(x: Lack) -> Reason:
    rows = {
        "item": (say("item {name}", name=x.name), say("{more} more in the store would hold every shelter that can be held, if they get there in time.", more=so_many(x.more or 0, x.name.replace("_", " ")))),
        "crew": (say("crew {name}", name=x.name), say("one more crew and vehicle like this one would be in time.")) if x.name else ("crew", say("no crew: nothing can be moved. Give [[crew]] with its [[vehicle]].")),
        "hours": (say("crew {name}", name=x.name), say("with no end to its hours it would be in time.")),
        "distance": (say("distance {name}", name=x.name), say("not given: nothing is driven on a road that nobody measured.")),
        "payload": (say("item {name}", name=x.name) if x.name else "vehicle", say("one weighs more than any vehicle takes.") if x.name else say("no vehicle takes what is to be moved.")),
        "time": (say("place {name}", name=x.name), say("no one more crew and vehicle of those given would be in time for it: begin earlier, or bring it nearer.")),
        "site": (say("place {name}", name=x.name), say("what it needs is not there by the hour that asks for it, whatever the store has.")),
    }  # fmt: skip
    row, text = rows[x.kind]
    return Reason(row, text, x.more)


def _down(n: Need, s: Spot, a: Allotment, now: int) -> Down:
    gives = n.stem in a.early
    by = now if gives else n.strike_by
    if n.state is State.OVER:
        why, text = (
            Why.OVER,
            say(
                "no count is enough{iso}: {over}.",
                iso="" if n.over_from is None else " from " + (iso(n.over_from) or ""),
                over=n.over,
            ),
        )
    else:
        why = Why.GIVES if gives else Why.SHORT
        lacking = {k: v - s.has.get(k, 0) for k, v in s.final.items() if v > s.has.get(k, 0)}
        text = (
            ", ".join(say("{v} short", v=so_many(v, k.replace("_", " "))) for k, v in lacking.items()) + "."
            if lacking
            else ""
        )
    if any(x.start == n.stem for x in a.loads):
        text = say(
            "{text} What it has holds others: everybody out and the shelter down BEFORE that leaves; no later time in its row counts.",
            text=text,
        ).strip()
    if not n.standing:
        by = None
    elif not n.counted:
        by = None
        text = say(
            "What stands at its points is not counted, so that nobody knows how long it stands: count it. {text}",
            text=text,
        )
    elif n.too_late:
        text = say("TOO LATE TO TAKE DOWN in time: people out and keep away. {text}", text=text)
    elif by is None and n.missing:
        text = say("No time without [times] {missing}. {text}", missing=", ".join(n.missing), text=text)
    stays = _stays_empty(n, a)
    out_by = n.row.people_out_by if stays else None
    return Down(
        Path(n.path).name, by, why, text.strip(), n.standing, empty=stays,
        out_by=None if out_by is None else seconds(datetime.fromisoformat(out_by)),
    )  # fmt: skip


def _stays_empty(n: Need, a: Allotment) -> bool:
    """Whether what it has holds it with nobody in it, and stays there."""
    taken = any(x.start == n.stem for x in a.loads)
    sure = (
        n.known
        and n.counted
        and n.row.share is not None
        and n.row.level in ("normal", "secure", "people-out")
    )
    return n.standing and sure and not taken


def _moves(loads: Sequence[Load], stock: Stock, now: int) -> tuple[Move, ...]:
    vehicles = {c.name: c.vehicle for c in stock.crew}
    return tuple(
        Move(k, n, x.start, x.end, x.team, vehicles[x.team], x.rounds, int(now + x.leaves), math.ceil(now + x.done),
             None if math.isinf(x.by) else int(now + x.by))
        for x in loads
        for k, n in x.items.items()
    )  # fmt: skip


def move(needs: Sequence[Need], stock: Stock, o: StockOptions) -> Moving:
    """Settle it, and judge every site that is held with what it then has."""
    p, reasons = problem_of(needs, stock, o.now)
    a = allot(p)
    if wrong := broken(p, a):
        raise AnchorageError(
            say(
                "the allotment does not keep what was asked of it, a fault of the program, please report it: {wrong}",
                wrong=wrong[0],
            )
        )
    reasons += [_lack_words(x) for x in lacks(p, a.held)]
    down = [
        _down(n, s, a, o.now)
        for n, s in zip(needs, p.spots, strict=True)
        if n.state is not State.UNREAD and n.stem not in a.held
    ]
    touched = {x for load in a.loads for x in (load.start, load.end)}
    held, rows = list[SiteCounts](), list[SiteRow]()
    for n in needs:
        if n.stem in a.held:
            points = n.steps[-1].points
            changes = n.stem in touched or not n.standing
            site = Site.read(Path(n.path), o) if changes else None
            rows.append(n.row if site is None else site.row(site.with_counts(points)))
            held.append(SiteCounts(Path(n.path).name, n.row.name, points, dict(n.final), changes))
        elif n.state is State.UNREAD:
            rows.append(n.row)
        else:
            d = next(d for d in down if d.file == n.row.file)
            rows.append(
                replace(
                    n.row,
                    verdict="no-go",
                    headline=say("COME DOWN") if n.standing else say("DO NOT PUT UP"),
                    reason=d.text,
                )
            )
    return Moving(o.now, _moves(a.loads, stock, o.now), tuple(sorted(down, key=lambda d: (d.by is None, d.by or 0, d.file))), tuple(held),
                  tuple(dict.fromkeys(reasons)), tuple(rows), a.mass(p), a.metres(p), a.proven, bool(o.forecasts))  # fmt: skip
