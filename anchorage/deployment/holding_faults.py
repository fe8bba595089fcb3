"""What a deployment file may not say of what holds the shelter down, point by point."""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from functools import partial
from typing import Any

from anchorage.core import tables
from anchorage.core.plain import meant
from anchorage.core.say import later, say
from anchorage.core.units import as_typed
from anchorage.deployment.models import Anchorage, Deployment, PointIn, Shelter, Site
from anchorage.deployment.said import value_of

ON_TOP = later(
    "a shelter with something beneath it needs an engineer of that: floor load, strength of ice and wind higher up are not covered here"
)
VEHICLE = later("vehicles are no anchors: they move off")
DRIVEN = ("stakes", "deadman")


def refused(surface: str) -> str | None:
    """Why nothing is judged on a ground of this name; None for any other."""
    name = surface.casefold()
    if re.sub(r"[^a-z]", "", name) in ("vehicle", "vehicles"):
        return VEHICLE
    return ON_TOP if any(word in name for word in tables.table("beneath-word").by_key) else None


def point_ids(shelter: Shelter) -> list[str]:
    """Names of the anchor points of a shelter, or nothing where its numbers are not readable."""
    side, end = value_of(shelter, "side_points"), value_of(shelter, "points_per_end")
    if not isinstance(side, int) or not isinstance(end, int):
        return []
    return [f"{c}{k}" for c in "LR" for k in range(1, side + 1)] + [
        f"{c}{k}" for c in "FB" for k in range(2, end)
    ]


def holding(d: Deployment, fault: Any) -> None:
    """Faults of [anchorage], [anchorage.stake] and [[point]]."""
    a = d.anchorage
    ids = point_ids(d.shelter)
    points: list[PointIn] = value_of(d, "point") or []
    kinds = _points(points, a, d.site, ids, fault)
    if "ballast" in kinds or "line-ballast" in kinds:
        _ballast(a, points, fault)
    if "line-ballast" in kinds and value_of(a, "line_angle") is None:
        fault(
            "anchorage.line_angle",
            say("not given"),
            say("at what angle above the ground do the lines to the ballast run? 45 is half way up"),
        )
    block = value_of(a, "block")
    if block is not None:
        depth = block.depth if block.depth is not None else 2 * block.middle
        if block.eye > depth or not 0 < block.middle < depth:
            fault(
                "anchorage.block.eye",
                say("read {eye}", eye=repr(as_typed(block.eye))),
                say(
                    "eye and weight lie within the block, {depth} m deep along the pull", depth=f"{depth:.2f}"
                ),
            )
    if "deadman" in kinds:
        _deadman(a, fault)
    if "stakes" in kinds:
        if value_of(a, "stake") is None:
            fault(
                "anchorage.stake",
                say("not given"),
                say("give [anchorage.stake] with diameter, driven and soil"),
            )
        _stake(a, kinds, fault)
    if value_of(a, "how") == "on-flap":
        fault(
            "anchorage.how",
            say('read "on-flap"'),
            say("a bag on the flap holds nothing of the frame: put it on the foot or hang it clear"),
        )
    detail = value_of(a, "how_detail")
    if value_of(a, "how") == "lashed-to-leg" and value_of(detail, "stop") is False:
        fault(
            "anchorage.how_detail.stop",
            say("read false"),
            say(
                "a leg that can rise without its weight is held by nothing: carry the weight on the plate or put a stop on the leg above it"
            ),
        )
    if detail is not None and value_of(a, "how") not in ("lashed-to-leg", None):
        fault(
            "anchorage.how_detail",
            say("given with anchorage.how {a}", a=repr(value_of(a, "how"))),
            say('it is about weights with how = "lashed-to-leg"'),
        )
    for where, placed in (
        ("anchorage.placed", value_of(a, "placed")),
        ("halfway.placed", value_of(value_of(d, "halfway"), "placed")),
    ):
        if isinstance(placed, dict) and ids:
            _placed(
                where,
                placed,
                ids,
                {p.id for p in points if p.placed is not None or not p.usable},
                fault,
            )


def _placed(where: str, placed: dict[str, int], ids: list[str], said: set[str], fault: Any) -> None:
    for wrong in sorted(placed.keys() - set(ids)):
        fault(f"{where}.{wrong}", say("no such point"), say("the points are {ids}", ids=", ".join(ids)))
    missing = [i for i in ids if i not in placed and i not in said]
    if missing:
        fault(
            where,
            say("nothing said of {missing}", missing=", ".join(missing)),
            say("give a count for every point, 0 where there is none"),
        )


def _points(
    points: Sequence[PointIn], anchorage: Anchorage, site: Site, ids: list[str], fault: Any
) -> set[str]:
    """Faults of the points; returns the kinds in use."""
    kind = value_of(anchorage, "kind")
    place = partial(_ground, site, value_of(anchorage, "stake"), bool(points), fault)
    kinds = {kind} if kind not in (None, "mixed") else set()
    seen: set[str] = set()
    for k, p in enumerate(points, 1):
        where = f"point[{k}]"
        if ids and p.id not in ids:
            fault(
                f"{where}.id",
                say("read {id}", id=repr(p.id)),
                say("the points are {ids}", ids=", ".join(ids)),
            )
        if p.id in seen:
            fault(f"{where}.id", say("read {id}", id=repr(p.id)), say("this point is given twice: keep one"))
        seen.add(p.id)
        if p.kind == "vehicle":
            fault(
                f"{where}.kind",
                say('read "vehicle"'),
                say(
                    "vehicles are no anchors: they move off, and brakes and tyres give; use ballast or stakes"
                ),
            )
        if p.unit is not None and p.unit not in tables.table("ballast-mass"):
            fault(
                f"{where}.unit",
                say("read {unit}", unit=repr(p.unit)),
                say("one of {keys}", keys=", ".join(tables.table("ballast-mass").keys())),
            )
        soils = tables.table("soil-unit-weight")
        if p.soil is not None and p.soil not in soils:
            fault(
                f"{where}.soil",
                say("read {soil}", soil=repr(p.soil)),
                say("one of {keys}", keys=", ".join(soils.keys())),
            )
        _made_of(f"{where}.unit_material", p.unit or value_of(anchorage, "unit"), p.unit_material, fault)
        if p.kind is not None and p.usable:
            kinds.add(p.kind)
        use = p.kind or (kind if kind != "mixed" else None)
        if use is None and p.usable:
            fault(
                f"{where}.kind",
                say("not given"),
                say(
                    'anchorage.kind is "mixed": what holds this point? ballast, stakes, line-ballast, deadman or none'
                ),
            )
        place(where, p.surface, use if p.usable else None)
    if kind == "mixed":
        missing = [i for i in ids if i not in seen]
        if missing:
            fault(
                "anchorage.kind",
                say('read "mixed"'),
                say(
                    "say what holds each point with [[point]]: nothing is said of {missing}",
                    missing=", ".join(missing),
                ),
            )
    elif len(seen) < max(len(ids), 1):
        place("site", value_of(site, "surface"), kind)
    return {k for k in kinds if k is not None}


def _made_of(key: str, unit: str | None, said: str | None, fault: Any) -> None:
    """A listed unit is made of what its table says."""
    listed = tables.table("ballast-mass").by_key.get(unit or "")
    if listed is not None and said is not None and said != listed.material:
        fault(
            key,
            say("read {said}", said=repr(said)),
            say(
                "a {unit} is {material}: leave it out, or give your unit a name of its own",
                unit=unit,
                material=listed.material,
            ),
        )


def _ground(
    site: Site, stake: Any, by_point: bool, fault: Any, where: str, surface: str | None, kind: str | None
) -> None:
    if surface is None and where != "site":
        surface = value_of(site, "surface")
    surfaces = tables.table("surface")
    why = refused(surface) if surface is not None else None
    if surface is None or (why is not None and where == "site"):
        return
    if why is not None:
        fault(f"{where}.surface", say("read {surface}", surface=repr(surface)), why)
        return
    hard = surface in surfaces and not surfaces[surface].value
    if kind in DRIVEN and surface not in surfaces:
        fault(
            f"{where}.surface",
            say("read {surface}", surface=repr(surface)),
            say(
                "stakes need a ground that is known: one of {rows}",
                rows=", ".join(r.key for r in surfaces.rows if r.value),
            ),
        )
    elif kind in DRIVEN and hard:
        key = "anchorage.kind" if where == "site" else f"{where}.kind"
        fault(
            key,
            say('read "{kind}"', kind=kind),
            say('no stake is counted in {surface}: use kind = "ballast"', surface=surface),
        )
    elif (
        where == "site"
        and hard
        and stake is not None
        and value_of(stake, "soil") is not None
        and not by_point
        and not _soft_elsewhere(site)
    ):
        fault(
            "anchorage.stake.soil",
            say("read {soil}", soil=repr(stake.soil)),
            say(
                "there is no soil to stake into in {surface}: take the stake out of the file", surface=surface
            ),
        )


def _soft_elsewhere(site: Site) -> bool:
    """Whether the file names other ground that takes stakes."""
    surfaces = tables.table("surface")
    other = value_of(site, "other") or []
    return any(s.surface in surfaces and surfaces[s.surface].value for s in other)


def _listed(unit: str, known: Iterable[str]) -> str | None:
    """The listed unit that a name is only another spelling of: plural, other case, spaces."""

    def bare(name: str) -> str:
        return re.sub(r"[^a-z0-9]", "", name.lower()).removesuffix("s")

    return next((k for k in known if bare(k) == bare(unit)), None)


def _ballast(a: Anchorage, points: Sequence[PointIn], fault: Any) -> None:
    units = tables.table("ballast-mass")
    unit, mass = value_of(a, "unit"), value_of(a, "unit_mass")
    own = all(p.unit is not None for p in points if p.kind in ("ballast", "line-ballast")) and value_of(
        a, "kind"
    ) not in ("ballast", "line-ballast")
    if unit is None and mass is None and not own:
        fault(
            "anchorage.unit",
            say("not given"),
            say("what lies on the frame? one of {keys}, or unit_mass", keys=", ".join(units.keys())),
        )
    _made_of("anchorage.unit_material", unit, value_of(a, "unit_material"), fault)
    near = _listed(unit, units.keys()) if unit is not None and unit not in units else None
    if near is not None:
        fault(
            "anchorage.unit",
            say("read {unit}", unit=repr(unit)),
            f"{meant(near)} {say('Its name decides the stock and how it slides')}",
        )
    elif unit is not None and mass is None and unit not in units:
        fault(
            "anchorage.unit",
            say("read {unit}", unit=repr(unit)),
            say("one of {keys}, or give unit_mass, weighed", keys=", ".join(units.keys())),
        )


def _deadman(a: Any, fault: Any) -> None:
    if value_of(a, "deadman") is None:
        fault(
            "anchorage.deadman", say("not given"), say("give [anchorage.deadman] with depth, length and face")
        )
    if value_of(a, "line_angle") is None:
        fault(
            "anchorage.line_angle",
            say("not given"),
            say("at what angle above the ground does the line to the deadman run? at most 45"),
        )


def _stake(anchorage: Anchorage, kinds: set[str], fault: Any) -> None:
    stake = value_of(anchorage, "stake")
    if stake is None:
        return
    soil, tests = value_of(stake, "soil"), value_of(stake, "pull_tests")
    soils = tables.table("soil-unit-weight")
    if soil is not None and soil not in soils:
        fault(
            "anchorage.stake.soil",
            say("read {soil}", soil=repr(soil)),
            say("one of {keys}", keys=", ".join(soils.keys())),
        )
    if soil is None and not tests and value_of(stake, "combination") is None:
        fault(
            "anchorage.stake.soil",
            say("not given"),
            say(
                "push a thumb into the ground: thumb-soft, thumb-firm or thumb-hard; loose sand: loose-sand; or pull three stakes"
            ),
        )
    tested = value_of(stake, "test_soil")
    if tested is not None and tested not in soils:
        fault(
            "anchorage.stake.test_soil",
            say("read {tested}", tested=repr(tested)),
            say("one of {keys}", keys=", ".join(soils.keys())),
        )
    for name in ("test_driven", "test_diameter", "test_height", "test_soil"):
        if value_of(stake, name) is not None and not tests:
            fault(
                f"anchorage.stake.{name}",
                say("read {stake}", stake=repr(as_typed(value_of(stake, name)))),
                say("it tells of stakes that were pulled: give pull_tests too"),
            )
    if tests:
        if value_of(stake, "pull_angle") is None:
            fault(
                "anchorage.stake.pull_angle",
                say("not given"),
                say("at what angle above the ground were they pulled? 45 is half way up"),
            )
        if value_of(stake, "pulled") is None:
            fault(
                "anchorage.stake.pulled",
                say("not given"),
                say('"to-failure" or "held" (stopped before it moved)'),
            )
    angle, height = value_of(stake, "line_angle"), value_of(stake, "line_height")
    rated = None if kinds & {"line-ballast", "deadman"} else value_of(anchorage, "line_rated")
    if angle is None and (rated is not None or value_of(stake, "combination") is not None):
        fault(
            "anchorage.stake.line_angle",
            say("not given"),
            say(
                "a line is described, so its angle above the ground is needed: 45 is half way up; pickets in line take 30 at the most. Stakes through the feet have no line: take line_rated out"
            ),
        )
    if angle is None and height:
        fault(
            "anchorage.stake.line_height",
            say("read {height}", height=repr(as_typed(height))),
            say("a height goes with a line: give line_angle too"),
        )
