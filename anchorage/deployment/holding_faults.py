"""What a deployment file may not say of what holds the shelter down, point by point."""

from __future__ import annotations

import re
from collections.abc import Iterable
from typing import Any

from anchorage.core import tables
from anchorage.deployment.models import Deployment, PointIn
from anchorage.deployment.said import as_typed, value_of

ON_TOP = "a shelter with something beneath it needs an engineer of that: floor load, strength of ice and wind higher up are not covered here"
VEHICLE = "vehicles are no anchors: they move off"
DRIVEN = ("stakes", "deadman")


def refused(surface: str) -> str | None:
    """Why nothing is judged on a ground of this name; None for any other."""
    name = surface.casefold()
    if re.sub(r"[^a-z]", "", name) in ("vehicle", "vehicles"):
        return VEHICLE
    return ON_TOP if any(word in name for word in tables.table("beneath-word").by_key) else None


def point_ids(d: Deployment) -> list[str]:
    """Names of the anchor points of a shelter, or nothing where its numbers are not readable."""
    side, end = value_of(d.shelter, "side_points"), value_of(d.shelter, "points_per_end")
    if not isinstance(side, int) or not isinstance(end, int):
        return []
    return [f"{c}{k}" for c in "LR" for k in range(1, side + 1)] + [
        f"{c}{k}" for c in "FB" for k in range(2, end)
    ]


def holding(d: Deployment, say: Any) -> None:
    """Faults of [anchorage], [anchorage.stake] and [[point]]."""
    a = d.anchorage
    kind, ids = value_of(a, "kind"), point_ids(d)
    kinds = _points(d, kind, ids, say)
    if "ballast" in kinds or "line-ballast" in kinds:
        _ballast(d, say)
    if "line-ballast" in kinds and value_of(a, "line_angle") is None:
        say(
            "anchorage.line_angle",
            "not given",
            "at what angle above the ground do the lines to the ballast run? 45 is half way up",
        )
    block = value_of(a, "block")
    if block is not None:
        depth = block.depth if block.depth is not None else 2 * block.middle
        if block.eye > depth or not 0 < block.middle < depth:
            say(
                "anchorage.block.eye",
                f"read {as_typed(block.eye)!r}",
                f"eye and weight lie within the block, {depth:.2f} m deep along the pull",
            )
    if "deadman" in kinds:
        _deadman(a, say)
    if "stakes" in kinds:
        if value_of(a, "stake") is None:
            say("anchorage.stake", "not given", "give [anchorage.stake] with diameter, driven and soil")
        _stake(d, kinds, say)
    if value_of(a, "how") == "on-flap":
        say(
            "anchorage.how",
            'read "on-flap"',
            "a bag on the flap holds nothing of the frame: put it on the foot or hang it clear",
        )
    detail = value_of(a, "how_detail")
    if value_of(a, "how") == "lashed-to-leg" and value_of(detail, "stop") is False:
        say(
            "anchorage.how_detail.stop",
            "read false",
            "a leg that can rise without its weight is held by nothing: carry the weight on the plate or put a stop on the leg above it",
        )
    if detail is not None and value_of(a, "how") not in ("lashed-to-leg", None):
        say(
            "anchorage.how_detail",
            f"given with anchorage.how {value_of(a, 'how')!r}",
            'it is about weights with how = "lashed-to-leg"',
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
                {p.id for p in value_of(d, "point") or [] if p.placed is not None or not p.usable},
                say,
            )


def _placed(where: str, placed: dict[str, int], ids: list[str], said: set[str], say: Any) -> None:
    for wrong in sorted(placed.keys() - set(ids)):
        say(f"{where}.{wrong}", "no such point", f"the points are {', '.join(ids)}")
    missing = [i for i in ids if i not in placed and i not in said]
    if missing:
        say(
            where,
            f"nothing said of {', '.join(missing)}",
            "give a count for every point, 0 where there is none",
        )


def _points(d: Deployment, kind: str | None, ids: list[str], say: Any) -> set[str]:
    """Faults of the points; returns the kinds in use."""
    points: list[PointIn] = value_of(d, "point") or []
    kinds = {kind} if kind not in (None, "mixed") else set()
    seen: set[str] = set()
    for k, p in enumerate(points, 1):
        where = f"point[{k}]"
        if ids and p.id not in ids:
            say(f"{where}.id", f"read {p.id!r}", f"the points are {', '.join(ids)}")
        if p.id in seen:
            say(f"{where}.id", f"read {p.id!r}", "this point is given twice: keep one")
        seen.add(p.id)
        if p.kind == "vehicle":
            say(
                f"{where}.kind",
                'read "vehicle"',
                "vehicles are no anchors: they move off, and brakes and tyres give; use ballast or stakes",
            )
        if p.unit is not None and p.unit not in tables.table("ballast-mass"):
            say(
                f"{where}.unit",
                f"read {p.unit!r}",
                f"one of {', '.join(tables.table('ballast-mass').keys())}",
            )
        soils = tables.table("soil-unit-weight")
        if p.soil is not None and p.soil not in soils:
            say(f"{where}.soil", f"read {p.soil!r}", f"one of {', '.join(soils.keys())}")
        _made_of(f"{where}.unit_material", p.unit or value_of(d.anchorage, "unit"), p.unit_material, say)
        if p.kind is not None and p.usable:
            kinds.add(p.kind)
        use = p.kind or (kind if kind != "mixed" else None)
        if use is None and p.usable:
            say(
                f"{where}.kind",
                "not given",
                'anchorage.kind is "mixed": what holds this point? ballast, stakes, line-ballast, deadman or none',
            )
        _ground(d, where, p.surface, use if p.usable else None, say)
    if kind == "mixed":
        missing = [i for i in ids if i not in seen]
        if missing:
            say(
                "anchorage.kind",
                'read "mixed"',
                f"say what holds each point with [[point]]: nothing is said of {', '.join(missing)}",
            )
    elif len(seen) < max(len(ids), 1):
        _ground(d, "site", value_of(d.site, "surface"), kind, say)
    return {k for k in kinds if k is not None}


def _made_of(key: str, unit: str | None, said: str | None, say: Any) -> None:
    """A listed unit is made of what its table says."""
    listed = tables.table("ballast-mass").by_key.get(unit or "")
    if listed is not None and said is not None and said != listed.material:
        say(
            key,
            f"read {said!r}",
            f"a {unit} is {listed.material}: leave it out, or give your unit a name of its own",
        )


def _ground(d: Deployment, where: str, surface: str | None, kind: str | None, say: Any) -> None:
    if surface is None and where != "site":
        surface = value_of(d.site, "surface")
    surfaces = tables.table("surface")
    why = refused(surface) if surface is not None else None
    if surface is None or (why is not None and where == "site"):
        return
    if why is not None:
        say(f"{where}.surface", f"read {surface!r}", why)
        return
    hard = surface in surfaces and not surfaces[surface].value
    stake = value_of(d.anchorage, "stake")
    if kind in DRIVEN and surface not in surfaces:
        say(
            f"{where}.surface",
            f"read {surface!r}",
            f"stakes need a ground that is known: one of {', '.join(r.key for r in surfaces.rows if r.value)}",
        )
    elif kind in DRIVEN and hard:
        key = "anchorage.kind" if where == "site" else f"{where}.kind"
        say(key, f'read "{kind}"', f'no stake is counted in {surface}: use kind = "ballast"')
    elif (
        where == "site"
        and hard
        and stake is not None
        and value_of(stake, "soil") is not None
        and not value_of(d, "point")
        and not _soft_elsewhere(d)
    ):
        say(
            "anchorage.stake.soil",
            f"read {stake.soil!r}",
            f"there is no soil to stake into in {surface}: take the stake out of the file",
        )


def _soft_elsewhere(d: Deployment) -> bool:
    """Whether the file names other ground that takes stakes."""
    surfaces = tables.table("surface")
    other = value_of(d.site, "other") or []
    return any(s.surface in surfaces and surfaces[s.surface].value for s in other)


def _listed(unit: str, known: Iterable[str]) -> str | None:
    """The listed unit that a name is only another spelling of: plural, other case, spaces."""

    def bare(name: str) -> str:
        return re.sub(r"[^a-z0-9]", "", name.lower()).removesuffix("s")

    return next((k for k in known if bare(k) == bare(unit)), None)


def _ballast(d: Deployment, say: Any) -> None:
    a, units = d.anchorage, tables.table("ballast-mass")
    unit, mass = value_of(a, "unit"), value_of(a, "unit_mass")
    own = all(
        p.unit is not None for p in value_of(d, "point") or [] if p.kind in ("ballast", "line-ballast")
    ) and value_of(a, "kind") not in ("ballast", "line-ballast")
    if unit is None and mass is None and not own:
        say(
            "anchorage.unit",
            "not given",
            f"what lies on the frame? one of {', '.join(units.keys())}, or unit_mass",
        )
    _made_of("anchorage.unit_material", unit, value_of(a, "unit_material"), say)
    near = _listed(unit, units.keys()) if unit is not None and unit not in units else None
    if near is not None:
        say(
            "anchorage.unit",
            f"read {unit!r}",
            f'did you mean "{near}"? Its name decides the stock and how it slides',
        )
    elif unit is not None and mass is None and unit not in units:
        say(
            "anchorage.unit",
            f"read {unit!r}",
            f"one of {', '.join(units.keys())}, or give unit_mass, weighed",
        )


def _deadman(a: Any, say: Any) -> None:
    if value_of(a, "deadman") is None:
        say("anchorage.deadman", "not given", "give [anchorage.deadman] with depth, length and face")
    if value_of(a, "line_angle") is None:
        say(
            "anchorage.line_angle",
            "not given",
            "at what angle above the ground does the line to the deadman run? at most 45",
        )


def _stake(d: Deployment, kinds: set[str], say: Any) -> None:
    stake = value_of(d.anchorage, "stake")
    if stake is None:
        return
    soil, tests = value_of(stake, "soil"), value_of(stake, "pull_tests")
    soils = tables.table("soil-unit-weight")
    if soil is not None and soil not in soils:
        say("anchorage.stake.soil", f"read {soil!r}", f"one of {', '.join(soils.keys())}")
    if soil is None and not tests and value_of(stake, "combination") is None:
        say(
            "anchorage.stake.soil",
            "not given",
            "push a thumb into the ground: thumb-soft, thumb-firm or thumb-hard; loose sand: loose-sand; or pull three stakes",
        )
    tested = value_of(stake, "test_soil")
    if tested is not None and tested not in soils:
        say("anchorage.stake.test_soil", f"read {tested!r}", f"one of {', '.join(soils.keys())}")
    for name in ("test_driven", "test_diameter", "test_height", "test_soil"):
        if value_of(stake, name) is not None and not tests:
            say(
                f"anchorage.stake.{name}",
                f"read {as_typed(value_of(stake, name))!r}",
                "it tells of stakes that were pulled: give pull_tests too",
            )
    if tests:
        if value_of(stake, "pull_angle") is None:
            say(
                "anchorage.stake.pull_angle",
                "not given",
                "at what angle above the ground were they pulled? 45 is half way up",
            )
        if value_of(stake, "pulled") is None:
            say("anchorage.stake.pulled", "not given", '"to-failure" or "held" (stopped before it moved)')
    angle, height = value_of(stake, "line_angle"), value_of(stake, "line_height")
    rated = None if kinds & {"line-ballast", "deadman"} else value_of(d.anchorage, "line_rated")
    if angle is None and (rated is not None or value_of(stake, "combination") is not None):
        say(
            "anchorage.stake.line_angle",
            "not given",
            "a line is described, so its angle above the ground is needed: 45 is half way up; pickets in line take 30 at the most. "
            "Stakes through the feet have no line: take line_rated out",
        )
    if angle is None and height:
        say(
            "anchorage.stake.line_height",
            f"read {as_typed(height)!r}",
            "a height goes with a line: give line_angle too",
        )
