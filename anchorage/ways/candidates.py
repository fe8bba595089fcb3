"""Every way that the file, the ground and what was brought allow: each as changes of the file, and what it needs beside them.

What may be chosen is a closed list here; what cannot be run is said with its reason, never left out without a word.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field, replace
from typing import Any

from anchorage.checks.installation import heading_true, shape_of
from anchorage.core import tables
from anchorage.core.closed import CANOPIES
from anchorage.core.say import later, numeral, say
from anchorage.core.units import System, show
from anchorage.core.words import named, spoken
from anchorage.deployment.contradictions import stock_key
from anchorage.deployment.models import (
    Anchorage,
    Count,
    Deployment,
    Door,
    KeepClear,
    PointIn,
    Shelter,
    Site,
    Spot,
    Stake,
    Wind,
)
from anchorage.holding.ground import is_hard
from anchorage.holding.hardware import factors, hardware
from anchorage.ways.changes import at_points, put_quietly, written
from anchorage.ways.layout import crossed, directions

HOWS: dict[str | None, str] = {
    "standing-tied": later("standing on the ground, tied to the feet"),
    "hung-clear": later("hung clear of the ground from the legs"),
    "lashed-to-leg": later("lashed to the legs, none on the ground"),
    "on-foot": later("lying on the feet"),
    "on-flap": later("on the flaps"),
    None: later("on or at the feet, how they are fixed not given"),
}
"""Ways to fix ballast on the frame, in words."""
TRIED = ("standing-tied", "hung-clear", "lashed-to-leg")
"""Those that are compared; what the file says is compared too."""
ANGLES = (30, 45, 60)
"""Of lines, degrees above the ground."""
BRING = ("sandbag", "water-barrel", "water-tote", "concrete-block")
"""Units that are offered where nothing is said of what was brought; more are in the table."""
BOUND = {"stop": True, "every_bag": True, "on_ground": False}
_EMPTY: tuple[str, ...] = ()


@dataclass(frozen=True)
class Idea:
    """A way to be judged: the keys that it changes, and what it takes beside what stands at the points."""

    name: str
    changes: Mapping[str, Any]
    needs: tuple[str, ...] = ()
    minutes: float = 0.0
    """Work beside that of the anchors."""
    carry: float = 0.0
    """Distance (m) that the anchors are carried."""
    as_it_is: bool = False
    nobody_through: bool = False
    """True where a door that is in use is shut: no way to work."""

    def also(self, name: str, changes: Mapping[str, Any], needs: tuple[str, ...] = (), minutes: float = 0.0, *, nobody_through: bool = False) -> Idea:  # fmt: skip
        """The same with something else changed besides."""
        return Idea(f"{self.name}{name}", {**self.changes, **changes}, (*self.needs, *needs), self.minutes + minutes, self.carry, nobody_through=nobody_through)  # fmt: skip


@dataclass
class Ideas:
    """What there is to compare, and what there is not."""

    found: list[Idea] = field(default_factory=list)
    off: dict[str, str] = field(default_factory=dict)
    """Name of a way -> why it is not run."""


def _minutes(key: str) -> float:
    return tables.row("packing-work", key).value


def unplaced(anchorage: Anchorage, points: list[PointIn]) -> dict[str, Any]:
    """The changes after which the program chooses the counts."""
    out: dict[str, Any] = {}
    if anchorage.placed is not None:
        out["anchorage.placed"] = None
    if any(p.placed is not None for p in points):
        out["point"] = at_points(points, {}, drop=("placed",))
    return out


def one_kind(anchorage: Anchorage, points: list[PointIn], kind: str) -> dict[str, Any]:
    """The changes after which every point is held by the same."""
    out = unplaced(anchorage, points)
    out["anchorage.kind"] = kind
    if any(p.kind is not None or p.unit is not None or p.unit_material is not None or p.placed is not None for p in points):  # fmt: skip
        out["point"] = _alike(points)
    return out


def _alike(points: list[PointIn]) -> list[dict[str, Any]]:
    none = {p.id: {"kind": "none"} for p in points if p.kind == "none"}
    return at_points(points, none, drop=("placed", "kind", "unit", "unit_material"))


def units_of(a: Anchorage, stock: dict[str, Count] | None) -> dict[str, dict[str, Any]]:
    """Ballast to compare: name -> changes that make it the unit of the file. What was brought; where nothing is said, what could be."""
    listed = tables.table("ballast-mass").by_key
    own = a.unit if a.unit is not None else "unit" if a.unit_mass is not None else None
    names: list[str] = [] if own is None else [own]
    if stock is None:
        names += [u for u in BRING if u != own]
    else:
        names += [u for u in listed if stock.get(stock_key(u)) and u != own]
        if own is not None and own in listed and len(names) > 1 and not _said(stock, own):
            names.remove(own)
    out: dict[str, dict[str, Any]] = {}
    for u in names:
        other: dict[str, Any] = {"anchorage.unit": u}
        other |= {f"anchorage.{k}": None for k in ("unit_mass", "unit_material") if getattr(a, k) is not None}
        out[u] = {} if u == own else other
    return out


def _said(stock: Mapping[str, int], unit: str) -> bool:
    return stock_key(unit) in stock or "units" in stock


def _light(u: str, anchorage: Anchorage) -> bool:
    """Whether people can lift one, so that it can be hung or bound."""
    listed = tables.table("ballast-mass").by_key
    mass = float(anchorage.unit_mass) if anchorage.unit_mass is not None and u == (anchorage.unit or "unit") else listed[u].value if u in listed else 0.0  # fmt: skip
    return 0 < mass <= tables.row("packing-lift", "two-people").value * 1.005


def _ballast(a: Anchorage, points: list[PointIn], stock: dict[str, Count] | None) -> Iterator[Idea]:
    for u, unit in units_of(a, stock).items():
        base = {**one_kind(a, points, "ballast"), **unit}
        if a.how in (None, "on-foot") and _light(u, a) | (a.how is not None):
            yield Idea(f"{named(u, 2)}, {HOWS[a.how]}", base)
        for how in TRIED:
            if how != "standing-tied" and not _light(u, a):
                continue
            keys: dict[str, Any] = {} if how == a.how else {"anchorage.how": how}
            needs = _EMPTY
            if how == "lashed-to-leg":
                keys["anchorage.how_detail"] = BOUND
                needs = (
                    say(
                        "Every weight is bound to its leg, on its plate or under a stop, none of it on the ground."
                    ),
                )
            elif a.how_detail is not None:
                keys["anchorage.how_detail"] = None
            yield Idea(f"{named(u, 2)}, {HOWS[how]}", {**base, **keys}, needs)


def _weights_on_lines(a: Anchorage, points: list[PointIn], stock: dict[str, Count] | None) -> Iterator[Idea]:
    for u, unit in units_of(a, stock).items():
        base = {**one_kind(a, points, "line-ballast"), **unit}
        for angle in _angles(a.line_angle):
            keys = {} if angle == a.line_angle else {"anchorage.line_angle": angle}
            yield Idea(
                say("{u} on lines at {angle}°", u=named(u, 2), angle=numeral(angle, "g")), {**base, **keys}
            )


def _angles(own: float | None) -> list[float]:
    return sorted({*map(float, ANGLES), *([] if own is None else [float(own)])})


def _stakes(d: Deployment, ideas: Ideas) -> Iterator[Idea]:
    s = d.anchorage.stake
    base = one_kind(d.anchorage, d.point, "stakes")
    if s is None:
        if d.stock is None or d.stock.get("stakes"):
            ideas.off[say("stakes")] = say("What stakes there are is not in the file: give [anchorage.stake] with diameter, driven and soil; pull three.")  # fmt: skip
        return
    if s.combination is not None:
        yield Idea(
            say(
                "{combination} pickets in line on lines at {line_angle}°",
                combination=s.combination,
                line_angle=numeral(s.line_angle, "g"),
            ),
            base,
        )
        return
    for angle in _angles(s.line_angle):
        keys = {} if angle == s.line_angle else {"anchorage.stake.line_angle": angle}
        yield Idea(say("stakes on lines at {angle}°", angle=numeral(angle, "g")), {**base, **keys})
    foot = {f"anchorage.stake.{k}": None for k in ("line_angle", "line_height") if getattr(s, k)}
    if d.anchorage.line_rated is not None:
        foot["anchorage.line_rated"] = None
    yield Idea(say("stakes through the feet"), {**base, **foot})
    deep = min(float(s.driven) * 1.5, 3.0)
    longer: dict[str, Any] = {"anchorage.stake.driven": f"{deep:.4g} m"}
    if s.pull_tests and s.test_driven is None:
        longer["anchorage.stake.test_driven"] = written(s)["driven"]
    said = show("length", deep, d.deployment.show_units)
    how = (
        say("through the feet")
        if s.line_angle is None
        else say("on lines at {line_angle}°", line_angle=numeral(s.line_angle, "g"))
    )
    yield Idea(say("longer stakes {how}, driven {said}", how=how, said=said), {**base, **longer}, (say("Stakes that can be driven {said}: not those of the file.", said=said),))  # fmt: skip
    yield from _leaned(d, s, ideas)
    ideas.off[say("stakes through anchor plates")] = say("Nothing is published in the tables on what a plate adds: pull-test what you have, as [[test]].")  # fmt: skip


def _deadmen(
    anchorage: Anchorage, points: list[PointIn], stock: dict[str, Count] | None, ideas: Ideas
) -> Iterator[Idea]:
    if anchorage.deadman is None:
        if stock is not None and stock.get("deadmen"):
            ideas.off[say("deadmen")] = say("What they are is not in the file: give [anchorage.deadman] with depth, length and face.")  # fmt: skip
        return
    for angle in (a for a in _angles(anchorage.line_angle) if a <= 45):
        keys = {} if angle == anchorage.line_angle else {"anchorage.line_angle": angle}
        yield Idea(
            say("deadmen on lines at {angle}°", angle=numeral(angle, "g")),
            {**one_kind(anchorage, points, "deadman"), **keys},
        )


def _other_directions(d: Deployment, found: Iterator[Idea]) -> Iterator[Idea]:
    """The same, and for one angle of each kind of line the corner lines in other directions: across the ridge, and away from what is kept clear."""
    plans, done = _plans(d.shelter, d.anchorage, d.site, d.wind, d.keep_clear), set[str]()
    for idea in found:
        yield idea
        made = put_quietly(d, idea.changes)
        kind = None if made is None else made.anchorage.kind
        if made is None or kind is None or kind in done:
            continue
        s = made.anchorage.stake if kind == "stakes" else None
        angle = made.anchorage.line_angle if s is None else s.line_angle
        own = _own_angle(d.anchorage, kind)
        if angle is None or (angle != own if own is not None else angle != ANGLES[1]):
            continue
        done.add(kind)
        for words, plan in plans:
            yield idea.also(words, {"anchorage.line_plan": plan})


def _own_angle(anchorage: Anchorage, kind: str) -> float | None:
    if kind != "stakes":
        return anchorage.line_angle
    return None if anchorage.stake is None else anchorage.stake.line_angle


def _plans(
    shelter: Shelter, anchorage: Anchorage, site: Site, wind: Wind, clear: list[KeepClear]
) -> list[tuple[str, dict[str, float] | None]]:
    """(words, where the lines of corners run) beside what the file says."""
    form, said = shape_of(shelter), dict(anchorage.line_plan or {})
    corners = [p for p in form.points if p.group == "corner"]
    free = {p.id: directions(clear, form, p) for p in corners}
    across = {p.id: 90.0 if p.y < 0 else 270.0 for p in corners}
    out: list[tuple[str, dict[str, float] | None]] = []
    away = {p.id: free[p.id][0] for p in corners if free[p.id] and crossed(clear, form, p) is not None}
    if away and said | away != said:
        out.append((say("; lines of {ids} turned away from what is kept clear", ids=", ".join(away)), said | away))  # fmt: skip
    any_wind = (
        wind.bearing is None or heading_true(site) is None
    )  # what holds against one side alone is no way to find
    if any_wind and all(across[i] in free[i] for i in across) and said | across != said:
        out.append((say("; corner lines straight across the ridge"), said | across))
    if said:
        out.append((say("; lines square to the walls, half way at corners"), None))
    return out


def _leaned(d: Deployment, s: Stake, ideas: Ideas) -> Iterator[Idea]:
    """Stakes with their heads away from the shelter, on lines: a way of its own only where one holds more than upright."""
    if s.line_angle is None or s.combination is not None:
        return
    lean = _row_of_lean()
    name = say("stakes leaned {lean}° away from the shelter", lean=numeral(lean, "g"))
    changes = {**one_kind(d.anchorage, d.point, "stakes"), "anchorage.stake.lean": lean}
    ids, said = [p.id for p in shape_of(d.shelter).points], {p.id: p for p in d.point}
    every = [said.get(i, PointIn(id=i)) for i in ids]
    soft = [p for p in every if not is_hard(str(p.surface or d.site.surface))]
    if not soft:
        ideas.off[name] = say("No stake goes into this ground.")
        return
    point, margin = soft[0].model_copy(update={"kind": "stakes", "usable": True}), factors(d.margins)
    both = [d.anchorage.model_copy(update={"stake": s.model_copy(update={"lean": at})}) for at in (lean, None)]  # fmt: skip
    holds = [hardware(a, d.ground, point, margin).tension for a in both]
    if holds[0] > holds[1] * 1.001:
        yield Idea(name, changes)
        return
    system = d.deployment.show_units
    leaned, straight = (show("force", h, system, rounding="down") for h in holds)
    ideas.off[name] = say("Along its line one holds {leaned} and an upright one {straight}: sources disagree on what lean does, so it earns nothing.", leaned=leaned, straight=straight)  # fmt: skip


def _row_of_lean() -> float:
    return tables.row("lean", "asked").value


def _by_ground(
    shelter: Shelter, anchorage: Anchorage, every: list[PointIn], site: Site, stock: dict[str, Count] | None
) -> Iterator[Idea]:
    """Stakes where the ground takes them and ballast on the rest, where the points stand on both."""
    ids = [p.id for p in shape_of(shelter).points]
    said = {p.id: p for p in every}
    soft = {i: not is_hard(str(said.get(i, PointIn(id=i)).surface or site.surface)) for i in ids}
    if anchorage.stake is None or len(set(soft.values())) < 2:
        return
    for u, unit in units_of(anchorage, stock).items():
        rows = {i: {"kind": "stakes" if soft[i] else "ballast"} for i in ids}
        none = {p.id: {"kind": "none"} for p in every if p.kind == "none"}
        points = at_points(every, {**rows, **none}, drop=("placed", "kind", "unit", "unit_material"))
        yield Idea(say("stakes where they go in, {u} on the rest", u=named(u, 2)), {**unplaced(anchorage, every), "anchorage.kind": "mixed", **unit, "point": points})  # fmt: skip


def on_the_spot(spot: Spot, site: Site, every: list[PointIn], system: System) -> Idea:
    """The shelter on other ground: as a way that others begin with."""
    state = spot.state
    where = f"{state} {spot.surface}" if state else spot.surface
    off = (
        ""
        if spot.distance is None
        else say(" {distance} off", distance=show("length", float(spot.distance), system))
    )
    keys: dict[str, Any] = {"site.surface": spot.surface, "site.state": state}
    if is_hard(spot.surface) and site.beneath is not None:
        keys["site.beneath"] = None  # it was said of the other ground
    points = [
        {k: v for k, v in written(p).items() if k not in ("surface", "state", "soil", "on_ground")}
        for p in every
    ]
    if any(p.surface is not None or p.state is not None or not p.on_ground for p in every):
        keys["point"] = [p for p in points if len(p) > 1]
    far = 0.0 if spot.distance is None else float(spot.distance)
    needs = (
        say(
            "There is room for the shelter on the {surface}{off}, and its state was looked at.",
            surface=spot.surface,
            off=off,
        ),
    )
    return Idea(say("on the {where}{off}: ", where=where, off=off), keys, needs, _minutes("turn"), far)


def _on_lines(d: Deployment, ideas: Ideas) -> Iterator[Idea]:
    yield from _weights_on_lines(d.anchorage, d.point, d.stock)
    yield from _stakes(d, ideas)
    yield from _deadmen(d.anchorage, d.point, d.stock, ideas)


def _holds_with(d: Deployment, ideas: Ideas) -> Iterator[Idea]:
    yield from _ballast(d.anchorage, d.point, d.stock)
    yield from _other_directions(d, _on_lines(d, ideas))
    yield from _by_ground(d.shelter, d.anchorage, d.point, d.site, d.stock)


def _shut(shelter: Shelter, every: list[Door], base: Idea) -> Iterator[Idea]:
    """Openings shut, and doors one at a time."""
    doors = [written(x) for x in every]
    free = [n for n, x in enumerate(every) if not x.closed]
    o = shelter.openings
    keys: dict[str, Any] = {}
    if free:
        keys["door"] = [{**x, "is": "closed"} for x in doors]
    if o is None or any(getattr(o, f) for f in ("front", "back", "left", "right")):
        keys["shelter.openings"] = {"front": 0.0, "back": 0.0, "left": 0.0, "right": 0.0}
    if keys and shelter.form not in CANOPIES:
        yield base.also(say("; every opening shut before the wind comes"), keys, (say("Every door and wall stays shut: nobody comes or goes while the wind blows."),),
                        _minutes("opening") * max(len(free), 1), nobody_through=any(x.state == "in-use" for x in every))  # fmt: skip
    if len(free) > 1:
        for n in free:
            one = [{**x, "is": "closed"} if k in free and k != n else x for k, x in enumerate(doors)]
            yield base.also(say("; doors in turn, here the {wall} one open", wall=spoken(every[n].wall)), {"door": one}, (say("One door at a time: the others are shut before it is opened."),),
                            _minutes("opening") * len(free))  # fmt: skip


def _straps(shelter: Shelter, base: Idea) -> Iterator[Idea]:
    other = "unlocked" if shelter.straps == "locked" else "locked"
    yield base.also(say("; straps {other}", other=spoken(other)), {"shelter.straps": other}, (say("The sidewall straps are {other}.", other=spoken(other)),), _minutes("straps"))  # fmt: skip


def _turned(wind: Wind, site: Site, base: Idea, ideas: Ideas) -> Iterator[Idea]:
    heading, bearing = heading_true(site), wind.bearing
    if heading is None or bearing is None or site.heading is None:
        ideas.off[say("turning the shelter")] = say("The bearing of the wind, or which way the front faces (true), is not in the file: wind from every side counts, whichever way it stands.")  # fmt: skip
        return
    for turn, words in (
        (90, say("a quarter to the right")),
        (180, say("half round")),
        (270, say("a quarter to the left")),
    ):
        keys = {"site.heading": (site.heading + turn) % 360.0}
        yield base.also(say("; turned {words}", words=words), keys, (say("The wind comes from where the forecast says, within 45°, for the whole stay."),), _minutes("turn"))  # fmt: skip


def with_the_same(
    shelter: Shelter, doors: list[Door], wind: Wind, site: Site, base: Idea, ideas: Ideas
) -> list[Idea]:
    """The same anchors with something else done: openings shut, straps, turned."""
    return [*_shut(shelter, doors, base), *_straps(shelter, base), *_turned(wind, site, base, ideas)]


def candidates(d: Deployment) -> Ideas:
    """All ways to be judged, the file as it is first."""
    ideas = Ideas([Idea(say("as the file has it"), {}, as_it_is=True)])
    ideas.found += _holds_with(d, ideas)
    for spot in d.site.other:
        there = on_the_spot(spot, d.site, d.point, d.deployment.show_units)
        moved = d.model_copy(
            update={"site": d.site.model_copy(update={"surface": spot.surface, "state": spot.state})}
        )
        moved = moved.model_copy(update={"point": []}) if "point" in there.changes else moved
        for idea in _holds_with(moved, Ideas()):
            changes = {**idea.changes, **{k: v for k, v in there.changes.items() if k not in idea.changes}}
            ideas.found.append(replace(idea, name=f"{there.name}{idea.name}", changes=changes, needs=(*there.needs, *idea.needs),
                                       minutes=there.minutes + idea.minutes, carry=there.carry))  # fmt: skip
    return ideas
