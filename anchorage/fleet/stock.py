"""The stock file: what a store and its sites have, what drives it about, and who loads it. It is no deployment and is never read as one."""

from __future__ import annotations

import tomllib
from pathlib import Path
from typing import Annotated

from pydantic import Field, ValidationError

from anchorage.core.errors import Fault, InputFaults
from anchorage.core.quantity import Quantity, Time
from anchorage.core.say import say
from anchorage.core.textfile import load_toml, read_whole, why_not
from anchorage.deployment.models import Count, Name, Part
from anchorage.deployment.reader import LONGEST, faults_of

STORE = "store"
"""The place that is no shelter."""
STAKES = "stakes"
KEYS = frozenset({"item", "place", "vehicle", "crew", "distance"})
"""Tables of a stock file; a deployment has none of them."""
Few = Annotated[int, Field(ge=1, le=1000, strict=True)]
Rank = Annotated[int, Field(ge=1, le=9, strict=True)]


class Item(Part):
    """What is counted, carried and put down, under the name that ``[stock]`` of a deployment has for it."""

    name: Name
    unit_mass: Annotated[float, Quantity("mass", low="0.1 kg", high="20000 kg")] | None = None
    """What one weighs where it holds; it has to be that of the files that count on it."""
    carried: Annotated[float, Quantity("mass", low="0.1 kg", high="20000 kg")] | None = None
    """What one weighs on the road, as an empty barrel does; left out: unit_mass."""
    diameter: Annotated[float, Quantity("length", low="5 mm", high="120 mm")] | None = None
    length: Annotated[float, Quantity("length", low="100 mm", high="4 m")] | None = None
    handling: Time
    """One person's time to load one, to unload it and to put it in its place."""

    @property
    def mass(self) -> float | None:
        """On the road (kg)."""
        return self.carried if self.carried is not None else self.unit_mass


class Place(Part):
    """The store, or the site of a deployment under the name of its file without its ending."""

    name: Name
    has: dict[str, Count] | None = None
    """What is there. Left out at a site: what its file or its record says is placed."""
    keep: Rank = 5
    """Which sites are kept standing first where not all can be: 1 before 2."""


class Vehicle(Part):
    """What drives."""

    name: Name
    payload: Annotated[float, Quantity("mass", low="1 kg", high="50000 kg")]
    speed: Annotated[float, Quantity("speed", low="1 m/s", high="40 m/s")]
    """On the road, on the whole."""
    at: Name = STORE
    """Where it starts from, and comes back to after each load."""


class Crew(Part):
    """Who loads, drives and unloads; one vehicle each."""

    name: Name
    people: Few
    hours: Time
    """From now."""
    vehicle: Name


class Distance(Part):
    """One row of the table; the same the other way, unless that has a row of its own."""

    from_: Name = Field(alias="from")
    to: Name
    distance: Annotated[float, Quantity("length", low="0 m", high="1000 km")]
    drive: Time | None = None
    """As it was driven; left out: by the speed of the vehicle."""


class Stock(Part):
    """The whole file."""

    item: Annotated[list[Item], Field(min_length=1, max_length=100)]
    place: Annotated[list[Place], Field(max_length=1000)] = Field(default_factory=list)
    vehicle: Annotated[list[Vehicle], Field(max_length=50)] = Field(default_factory=list)
    crew: Annotated[list[Crew], Field(max_length=50)] = Field(default_factory=list)
    distance: Annotated[list[Distance], Field(max_length=5000)] = Field(default_factory=list)

    def place_of(self, name: str) -> Place:
        """The row of a place; one without a row has nothing that is known here."""
        return next((p for p in self.place if p.name == name), Place(name=name))

    def road(self, a: str, b: str) -> Distance | None:
        """The row between two places; None where there is none."""
        if a == b:
            return Distance.model_validate({"from": a, "to": b, "distance": "0 m", "drive": "0 s"})
        there = [x for x in self.distance if (x.from_, x.to) == (a, b)]
        back = [x for x in self.distance if (x.from_, x.to) == (b, a)]
        return next(iter([*there, *back]), None)


def is_stock(path: Path) -> bool:
    """A file that has tables of a stock file at its top."""
    try:
        raw = read_whole(path, LONGEST)
        return len(raw) <= LONGEST and bool(KEYS & set(load_toml(raw.decode("utf-8-sig"))))
    except (OSError, ValueError):
        return False


def _twice(file: str, table: str, names: list[str]) -> list[Fault]:
    return [
        Fault(file, f"{table}.name", say("read {n} more than once", n=repr(n)), say("each has one row"))
        for n in dict.fromkeys(names)
        if names.count(n) > 1
    ]


def _between(s: Stock, file: str) -> list[Fault]:
    """Rows that name each other wrongly, or lack what the kind of thing needs."""
    items, vehicles = [i.name for i in s.item], [v.name for v in s.vehicle]
    out = [*_twice(file, "item", items), *_twice(file, "vehicle", vehicles)]
    out += _twice(file, "crew", [c.name for c in s.crew]) + _twice(file, "place", [p.name for p in s.place])
    out += _twice(file, "distance", [f"{x.from_} to {x.to}" for x in s.distance])
    for i, item in enumerate(s.item, 1):
        if item.name == STAKES:
            out += [
                Fault(file, f"item[{i}].{k}", say("not given"), say("a stake that is longer or thicker holds another pull: measure one"))
                for k in ("diameter", "length")
                if getattr(item, k) is None
            ]  # fmt: skip
        elif item.unit_mass is None:
            out.append(
                Fault(
                    file,
                    f"item[{i}].unit_mass",
                    say("not given"),
                    say("what one holds hangs on it: weigh three"),
                )
            )
        if item.mass is None:
            out.append(
                Fault(file, f"item[{i}].carried", say("not given"), say("what one weighs on the road"))
            )
    for i, p in enumerate(s.place, 1):
        out += [
            Fault(
                file,
                f"place[{i}].has.{k}",
                say("not an item of this file"),
                say("one of {items}", items=", ".join(items)),
            )
            for k in p.has or {}
            if k not in items
        ]
    taken: list[str] = []
    for i, c in enumerate(s.crew, 1):
        if c.vehicle not in vehicles:
            out.append(Fault(file, f"crew[{i}].vehicle", say("read {vehicle}", vehicle=repr(c.vehicle)), say("one of {vehicles}", vehicles=", ".join(vehicles) or say("the vehicles: there is none"))))  # fmt: skip
        elif c.vehicle in taken:
            out.append(Fault(file, f"crew[{i}].vehicle", say("read {vehicle}", vehicle=repr(c.vehicle)), say("another crew has it; a vehicle has one crew")))  # fmt: skip
        taken.append(c.vehicle)
    return out


def read_stock(path: Path) -> Stock:
    """Read a stock file. Every fault at once in ``InputFaults``."""
    name = path.name
    try:
        raw = read_whole(path, LONGEST)
        if len(raw) > LONGEST:
            raise InputFaults.of(
                name, "file", say("more than 1 MB"), say("a stock file is some pages of text")
            )
        data = load_toml(raw.decode("utf-8-sig"))
    except OSError as e:
        raise InputFaults.of(name, "file", why_not(e, say("cannot be read")), say("give the path of a stock file")) from None  # fmt: skip
    except UnicodeDecodeError:
        raise InputFaults.of(name, "file", say("not UTF-8 text"), say("a stock file is plain text")) from None
    except tomllib.TOMLDecodeError as e:
        raise InputFaults.of(name, say("not readable as TOML"), str(e), say('write  key = "value"  one to a line')) from None  # fmt: skip
    if "shelter" in data or "anchorage" in data:
        raise InputFaults.of(name, "file", say("this is a deployment"), say("--stock takes the file of the store: rows of [[item]], [[place]], [[vehicle]], [[crew]], [[distance]]"))  # fmt: skip
    try:
        found = Stock.model_validate(data)
    except ValidationError as e:
        raise InputFaults(faults_of(name, e, Stock)) from None
    if faults := _between(found, name):
        raise InputFaults(faults)
    return found
