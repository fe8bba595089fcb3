"""What to bring for a deployment, how heavy it is and how long it takes; and the best that only the stock is good for."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from enum import Enum

import numpy as np

from anchorage.checks.whatif import setting_up
from anchorage.core import tables
from anchorage.core.constants import gravity, water_density
from anchorage.core.say import later, say
from anchorage.core.words import named
from anchorage.deployment.contradictions import brought, stocked
from anchorage.deployment.models import Anchorage, Count, Shelter, Stake
from anchorage.holding.ground import fill_of
from anchorage.judging.plan import Assessment
from anchorage.judging.result import Plan
from anchorage.judging.verdict import calm

ON_LINE = ("stakes", "line-ballast", "deadman")
VEHICLES = ("pickup", "trailer", "truck")


class Thing(Enum):
    """What a line of the list is, where the rest of the list depends on it."""

    STAKES = "stakes"
    DEADMEN = "deadmen"
    SANDBAGS = "sandbags"
    OTHER = "other"


@dataclass(frozen=True)
class Item:
    """One line of the list. brought and short are None where the stock does not say."""

    name: str
    needed: int
    spare: int
    brought: int | None
    short: int | None
    mass_kg: float
    """Of all that is to be brought, spares too; 0 where it is not reckoned."""
    note: str
    fill: str = ""
    """What it is filled with where it stands, such as water; it is driven out empty."""
    thing: Thing = Thing.OTHER

    @property
    def bring(self) -> int:
        """Needed and spare."""
        return self.needed + self.spare


@dataclass(frozen=True)
class Filling:
    """Sand or water to fill, and the work."""

    what: str
    volume_m3: float
    units: int
    crew: int
    hours: float | None


@dataclass(frozen=True)
class Lifts:
    """How often something is lifted, by what lifts it."""

    by: str
    count: int


@dataclass(frozen=True)
class Best:
    """The most that only the stock is good for, and how it is spread."""

    item: str
    brought: int
    used: int
    by_group: dict[str, int]
    gust_m_s: float
    governed_by: str
    set_up_below_m_s: float
    lull: str
    """The wind in which alone the bare shell is raised, where that is less; else nothing."""
    people_out_m_s: float


@dataclass(frozen=True)
class Packing:
    """The whole list."""

    name: str
    items: tuple[Item, ...]
    filling: tuple[Filling, ...]
    lifts: tuple[Lifts, ...]
    mass_kg: float
    pallets: int
    vehicles: dict[str, int]
    best: Best | None
    notes: tuple[str, ...]


def _value(table: str, key: str) -> float:
    return tables.row(table, key).value


def _spare(kind: str, needed: int) -> int:
    return max(math.ceil(needed * _value("packing-spare", kind) - 1e-9), 1) if needed else 0


def _item(
    name: str,
    needed: int,
    spare: int,
    brought: int | None,
    mass: float,
    note: str = "",
    fill: str = "",
    thing: Thing = Thing.OTHER,
) -> Item:
    short = None if brought is None else max(needed - brought, 0)
    return Item(name, needed, spare, brought, short, mass * (needed + spare), note, fill, thing)


def _stake_mass(s: Stake | None) -> float:
    if s is None:
        return 0.0
    length = float(s.driven) + _value("packing-tool", "over-ground")
    return math.pi / 4 * float(s.diameter) ** 2 * length * _value("packing-tool", "light-stake")


def _held(plan: Plan, stock: dict[str, Count] | None, anchorage: Anchorage) -> list[Item]:
    """Units of ballast and stakes."""
    out = []
    used = [p for p in plan.anchorage.points if p.usable and p.kind != "none"]
    for kind, item in dict.fromkeys(stocked(p.kind, p.item) for p in used):
        mine = [p for p in used if stocked(p.kind, p.item) == (kind, item)]
        have = None if stock is None else brought(stock, kind, item, anchorage.unit)
        if kind == "stakes":
            n = sum(p.stakes for p in mine)
            out.append(
                _item(
                    "stakes",
                    n,
                    _spare("stake", n),
                    have,
                    _stake_mass(anchorage.stake),
                    say("straight steel bars, 4 in longer than they are driven"),
                    thing=Thing.STAKES,
                )
            )
        elif kind == "deadman":
            n = sum(p.stakes for p in mine)
            out.append(
                _item(
                    "deadmen",
                    n,
                    0,
                    have,
                    0.0,
                    say("logs or timbers, and a spade for each two"),
                    thing=Thing.DEADMEN,
                )
            )
        else:
            n = sum(p.units for p in mine)
            each = mine[0].mass_kg / mine[0].units if mine[0].units else plan.anchorage.unit_mass_kg
            fill = fill_of(item)
            bags = fill == "sand"
            spare, name = _spare("sandbag", n) if bags else 0, named(item, 2)
            thing = Thing.SANDBAGS if bags else Thing.OTHER
            out.append(_item(name, n, spare, have, each, fill="" if bags else fill, thing=thing))
    return out


def _lines(plan: Plan, anchorage: Anchorage, shelter: Shelter, stock: dict[str, Count] | None) -> list[Item]:
    """Lines, ties and straps."""
    used = [p for p in plan.anchorage.points if p.usable and p.kind != "none"]
    lines = sum(
        p.kind in ON_LINE
        and (p.kind != "stakes" or (anchorage.stake is not None and anchorage.stake.line_angle is not None))
        for p in used
    )
    ties = (
        sum(p.kind == "ballast" for p in used)
        if anchorage.how in ("standing-tied", "hung-clear", "lashed-to-leg")
        else 0
    )
    out = []
    if lines:
        out.append(
            _item(
                "lines",
                lines,
                _spare("line", lines),
                None if stock is None else stock.get("lines"),
                _value("packing-mass", "line"),
                say("one a point, with a tensioner and a flag"),
            )
        )
    if ties:
        out.append(
            _item(
                "ties",
                ties,
                _spare("line", ties),
                None,
                _value("packing-mass", "tie"),
                say("one a point, from the ballast to the frame"),
            )
        )
    strap = shelter.strap
    if strap is not None and (strap.count or strap.ends):
        n = 4 * ((strap.count or 0) + (strap.ends or 0))
        out.append(
            _item(
                say("sidewall straps"),
                n,
                _spare("strap", n),
                None,
                0.0,
                say("both of each cross, on both sides; they belong to the shelter: count them"),
            )
        )
    return out


def _tools(items: Sequence[Item]) -> list[Item]:
    stakes = sum(i.needed for i in items if i.thing is Thing.STAKES)
    bags = sum(i.needed for i in items if i.thing is Thing.SANDBAGS)
    out = []
    if stakes:
        out.append(
            _item(
                "mallets",
                max(math.ceil(stakes / _value("packing-tool", "stakes-per-mallet")), 2),
                0,
                None,
                _value("packing-mass", "mallet"),
                say("or sledges, with gloves and eye protection"),
            )
        )
        out.append(
            _item(
                say("spring scale or load cell"),
                1,
                0,
                None,
                _value("packing-mass", "pull-gauge"),
                say("to pull at least three stakes before they are trusted"),
            )
        )
    if bags:
        out.append(
            _item(
                "shovels",
                max(math.ceil(bags / _value("packing-tool", "bags-per-shovel")), 2),
                0,
                None,
                _value("packing-mass", "shovel"),
                say("where bags are filled on site"),
            )
        )
        out.append(
            _item(
                say("hanging scale"),
                1,
                0,
                None,
                _value("packing-mass", "hanging-scale"),
                say("weigh three bags, dry"),
            )
        )
    return [
        *out,
        _item(
            say("wind meter"),
            1,
            1,
            None,
            _value("packing-mass", "wind-meter"),
            say("hand-held, with fresh batteries"),
        ),
    ]


def _shelter(shelter: Shelter) -> Item:
    """The shelter itself, as heavy as the file says; its straps are part of it."""
    return _item(
        say("shelter"), 1, 0, None, float(shelter.mass or 0.0), say("frame, cover, straps, floor, bags")
    )


def _unweighed(items: Sequence[Item], shelter: Shelter) -> list[str]:
    """What is driven out and is not in the mass of the list."""
    out: list[str] = []
    if shelter.mass is None:
        out.append(
            later(
                "The shelter is NOT in the mass: its own is not given (shelter.mass). Weigh it or ask the maker."
            )
        )
    if any(i.thing is Thing.DEADMEN for i in items):
        out.append(later("Logs, timbers and spades of the deadmen are NOT in the mass."))
    if any(i.fill == "water" for i in items):
        out.append(
            later(
                "Water is not carried: barrels and totes travel empty, are filled where they stand, and are NOT in the mass."
            )
        )
    return out


def _filling(items: Sequence[Item], crew: int) -> list[Filling]:
    out = []
    for i in items:
        if i.thing is Thing.SANDBAGS:
            volume = (
                i.mass_kg
                * gravity()
                / _value("packing-sand", "unit-weight")
                * (1 + _value("packing-sand", "waste"))
            )
            out.append(
                Filling("sand", volume, i.bring, crew, i.bring / (crew * _value("packing-sand", "fill-rate")))
            )
        elif i.fill == "water":
            out.append(Filling("water", i.mass_kg / water_density(), i.bring, crew, None))
    return out


def _lifts(items: Sequence[Item]) -> list[Lifts]:
    one, two = _value("packing-lift", "one-person"), _value("packing-lift", "two-people")
    count = {"one person": 0, "two people": 0, "a machine": 0}
    for i in items:
        if not i.mass_kg or not i.bring or i.fill == "water":
            continue
        each = i.mass_kg / i.bring
        by = "one person" if each <= one * 1.005 else "two people" if each <= two * 1.005 else "a machine"
        count[by] += i.bring
    return [Lifts(k, n) for k, n in count.items() if n]


def _best(a: Assessment) -> Best | None:
    """What the plan found for what is short, with the gusts at which to act then; None where nothing is."""
    x, points = a.installation, a.plan.anchorage.points
    lacking = [s for s in a.plan.stock if s.spread]
    if not lacking:
        return None
    by = {i: n for s in lacking for i, n in s.spread.items()}
    counts = np.array([by.get(p.id, p.units + p.stakes) for p in points])
    there = x.holding(counts)
    built = replace(
        x, counts=counts, sized=None, everywhere=x.everywhere.holding(there), base=x.base.holding(there)
    )
    first = lacking[0]
    half, held = setting_up(built)[0], float(first.holds_with_stock_m_s or 0.0)
    up_to = half.up_to_m_s
    below = held * x.policy.secure if up_to is None else min(held * x.policy.secure, up_to)
    groups = {p.group: first.spread[p.id] for p in points if first.spread.get(p.id)}
    return Best(first.item, first.brought, sum(first.spread.values()), groups, held, first.gives_first, below, str(calm(half, below, a.plan.show_units) or ""), held * x.policy.people_out)  # fmt: skip


def packing(a: Assessment, crew: int | None = None) -> Packing:
    """The list for an installation. crew: people who fill and carry; left out, as in the table."""
    plan, d = a.plan, a.deployment
    people = int(_value("packing-tool", "crew")) if crew is None else crew
    held = _held(plan, d.stock, d.anchorage)
    items = [*held, *_lines(plan, d.anchorage, d.shelter, d.stock), _shelter(d.shelter)]
    items += _tools(items)
    mass = sum(i.mass_kg for i in items if i.fill != "water")
    notes: list[str] = [
        later(
            "The mass is of all that is on the list, spares too; people, fuel and what goes into the shelter come on top."
        ),
        *_unweighed(held, d.shelter),
    ]
    vehicles = {k: math.ceil(mass / _value("packing-load", k) - 1e-9) for k in VEHICLES}
    return Packing(plan.name, tuple(items), tuple(_filling(held, people)), tuple(_lifts(held)), mass,
                   math.ceil(mass / _value("packing-load", "pallet") - 1e-9), vehicles, _best(a), tuple(notes))  # fmt: skip
