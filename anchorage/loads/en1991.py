"""Marries a shape to the tables of EN 1991-1-4: zones A to J as real areas, canopies by their overall force, inside pressure."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from anchorage.core import tables
from anchorage.core.closed import FACES
from anchorage.core.errors import NotModelledError
from anchorage.core.say import numeral, say
from anchorage.formulas import working
from anchorage.formulas.en1991 import area_coefficient
from anchorage.formulas.panels import ByFace, Inside, Panels
from anchorage.loads.freeroofs import add_friction
from anchorage.loads.panelset import PanelSet, View, between, span
from anchorage.shelter.shape import Shape, Surface

FGH, IJ = ("F", "G", "H"), ("I", "J")
WALL = {"A": 0.0, "B": 1.0, "C": 2.0, "D": 3.0, "E": 4.0}
DUO = {"F": 0.0, "G": 1.0, "H": 2.0, "I": 3.0, "J": 4.0}
MONO_90 = {"F high": 0.0, "F low": 1.0, "G": 2.0, "H": 3.0, "I": 4.0}
SUCTION, PRESSURE = "in suction", "in pressure"


def _ends() -> tuple[float, float]:
    """First and last positive slope of the duopitch tables, degrees; below the first a roof is flat."""
    places = [r.at["alpha"] for r in tables.table("en-duopitch-along-cpe10").rows if r.at["alpha"] > 0]
    return min(places), max(places)


def _flat(slope: float) -> bool:
    return slope < _ends()[0]


def _zone(key: str) -> float:
    row = tables.row("en-zone", key)
    working.looked_up(f"{key} / e", row)
    return row.value


def _by_area(
    large: float, table: str, axis: str, x: float, zone: str, code: float, area: float, at: str
) -> float:
    """Coefficient for the loaded area: cpe,10 from 10 m² on."""
    if area >= tables.row("en-loaded-area", "large").value or not span(table, axis, zone=code):
        return large
    small = between(table, axis, x, f"cpe,1 {zone}", at, zone=code)
    return float(area_coefficient(small, large, area / tables.row("en-loaded-area", "small").value))


def wall_coefficients(h_over_d: float, area: float) -> dict[str, float]:
    """Coefficients of the wall zones A to E by height over depth; held at its end below 0.25, refused above 5."""
    low, high = span("en-wall-cpe10", "h_over_d", zone=0.0) or (0.0, 0.0)
    if h_over_d > high:
        raise NotModelledError(
            say(
                'walls: h/d = {h_over_d}, and the table ends at {high}: use method = "physics" or "asce7-22"',
                h_over_d=numeral(h_over_d, ".3g"),
                high=numeral(high, "g"),
            )
        )
    x = max(h_over_d, low)
    at = f"h/d = {h_over_d:.3g}"
    out = {}
    for zone, code in WALL.items():
        large = between("en-wall-cpe10", "h_over_d", x, f"cpe {zone}", at, zone=code)
        out[zone] = _by_area(large, "en-wall-cpe1", "h_over_d", x, zone, code, area, at)
    return out


def _add_walls(made: PanelSet, shape: Shape, face: str, view: View) -> None:
    """D to windward, E to leeward, A, B, C along the sides from the windward edge."""
    height, opposite = shape.ridge, FACES[(FACES.index(face) + 2) % 4]
    edge = min(view.breadth, 2 * height)
    first = _zone("wall-a") * edge
    second = first + _zone("wall-b") * edge
    for wall in shape.walls:
        cpe = wall_coefficients(height / view.depth, wall.area)
        if wall.wall in (face, opposite):
            zone = "D" if wall.wall == face else "E"
            made.add(wall, cpe[zone], roof=False, name=f"{wall.name}, zone {zone}")
            continue
        for zone, a, b in (("A", 0.0, first), ("B", first, second), ("C", second, view.depth + 1.0)):
            made.add(view.strip(wall, a, b), cpe[zone], roof=False, name=f"{wall.name}, zone {zone}")


def roof_values(slope: float, *, across: bool, area: float) -> list[tuple[str, dict[str, float]]]:
    """(name, cpe by zone) of each set of values to run for a gable roof: no slope mixes signs. Below 5°: a flat roof."""
    if _flat(slope):
        return _flat_values(area)
    last = _ends()[1]
    if slope > last:
        raise NotModelledError(
            say(
                'roof: slope {slope}°, and the duopitch tables end at {last}°: use method = "physics" or "asce7-22"',
                slope=numeral(slope, ".3g"),
                last=numeral(last, "g"),
            )
        )
    at = f"slope {slope:.3g}°"
    if not across:
        found = {}
        for zone in ("F", "G", "H", "I"):
            large = between("en-duopitch-along-cpe10", "alpha", slope, f"cpe {zone}", at, zone=DUO[zone])
            found[zone] = _by_area(large, "en-duopitch-along-cpe1", "alpha", slope, zone, DUO[zone], area, at)
        return [("", found)]
    front = _signs(FGH, slope, area, at)
    back = _signs(IJ, slope, area, at)
    both = [(f"windward slope {a}, lee slope {b}", x | y) for a, x in front.items() for b, y in back.items()]
    return both if len(both) > 1 else [("", both[0][1])]


def _inside(table: str, slope: float, code: float) -> bool:
    """True where a zone has values of this sign at a slope, between positive slopes."""
    places = [r.at["alpha"] for r in tables.table(table).rows if r.at["zone"] == code and r.at["alpha"] > 0]
    return bool(places) and min(places) <= slope <= max(places)


def _signs(zones: tuple[str, ...], slope: float, area: float, at: str) -> dict[str, dict[str, float]]:
    """Values in suction and in pressure of some zones; a zone with one sign only has it in both sets."""
    suction, pressure = {}, {}
    for zone in zones:
        code = DUO[zone]
        if _inside("en-duopitch-across-suction-cpe10", slope, code):
            large = between("en-duopitch-across-suction-cpe10", "alpha", slope, f"cpe {zone}", at, zone=code)
            suction[zone] = _by_area(
                large, "en-duopitch-across-suction-cpe1", "alpha", slope, zone, code, area, at
            )
        if _inside("en-duopitch-across-pressure", slope, code):
            pressure[zone] = between(
                "en-duopitch-across-pressure", "alpha", slope, f"cpe {zone}", at, zone=code
            )
    sets = {SUCTION: {**pressure, **suction}, PRESSURE: {**suction, **pressure}}
    return sets if sets[SUCTION] != sets[PRESSURE] else {SUCTION: sets[SUCTION]}


def _flat_values(area: float) -> list[tuple[str, dict[str, float]]]:
    keys = {"F": "f", "G": "g", "H": "h"}
    out = []
    for name, key in (("rear zone in suction", "i-suction"), ("rear zone in pressure", "i-pressure")):
        found = {}
        for zone, k in {**keys, "I": key}.items():
            row = tables.row("en-flat-cpe10", k)
            working.looked_up(f"cpe {zone}", row)
            found[zone] = row.value
            if area < tables.row("en-loaded-area", "large").value:
                small = tables.row("en-flat-cpe1", k).value
                found[zone] = float(
                    area_coefficient(small, row.value, area / tables.row("en-loaded-area", "small").value)
                )
        out.append((name, found))
    return out


def _cut(
    view: View, roofs: tuple[Surface, ...], zones: list[tuple[str, float, float, str]], lane: float
) -> list[tuple[Surface, str]]:
    """Pieces of roofs by zone: (zone, start, end, lane), lane all, middle, edges, low or high across the wind."""
    half = view.breadth / 2 + 1.0
    lanes = {"all": [(-half, half)], "middle": [(-lane, lane)], "edges": [(-half, -lane), (lane, half)],
             "minus": [(-half, -lane)], "plus": [(lane, half)]}  # fmt: skip
    out = []
    for zone, start, end, where in zones:
        for low, high in lanes[where]:
            for roof in roofs:
                piece = view.lane(view.strip(roof, start, end), low, high)
                if piece is not None:
                    out.append((Surface(f"{roof.name}, zone {zone}", piece.vertices, faces=roof.faces), zone))
    return out


def _gable_pieces(shape: Shape, face: str, view: View) -> list[tuple[Surface, str]]:
    edge = min(view.breadth, 2 * shape.ridge)
    flat = _flat(shape.slope)
    kind = "flat" if flat else "duopitch"
    strip, corner = _zone(f"{kind}-edge-depth") * edge, _zone(f"{kind}-corner-length") * edge
    lane, far = view.breadth / 2 - corner, view.depth + 1.0
    front = [("F", 0.0, strip, "edges"), ("G", 0.0, strip, "middle")]
    if flat or not view.across:
        middle = _zone(f"{kind}-h-limit") * edge
        rest = [("H", strip, middle, "all"), ("I", middle, far, "all")]
        return _cut(view, shape.roofs, [*front, *rest], lane)
    windward = tuple(s for s in shape.roofs if s.faces == face)
    lee = tuple(s for s in shape.roofs if s.faces != face)
    ridge = view.depth / 2
    pieces = _cut(view, windward, [*front, ("H", strip, far, "all")], lane)
    return pieces + _cut(
        view, lee, [("J", 0.0, ridge + strip, "all"), ("I", ridge + strip, far, "all")], lane
    )


def _mono(
    shape: Shape, face: str, view: View, area: float
) -> tuple[list[tuple[str, dict[str, float]]], list[tuple[Surface, str]]]:
    """Values and pieces of a single slope: wind on the low side as the windward slope of a gable, else recalled tables."""
    edge, slope, at = min(view.breadth, 2 * shape.ridge), shape.slope, f"slope {shape.slope:.3g}°"
    strip, corner = _zone("duopitch-edge-depth") * edge, _zone("duopitch-corner-length") * edge
    lane, far = view.breadth / 2 - corner, view.depth + 1.0
    middle = _zone("duopitch-h-limit") * edge
    if not view.across:
        if area < tables.row("en-loaded-area", "large").value:
            raise NotModelledError(
                say(
                    'a single slope under 10 m2 with the wind along its eaves: no table could be read: use method = "physics" or "asce7-22"'
                )
            )
        values = {
            z: between("en-monopitch-90-cpe10", "alpha", slope, f"cpe {z}", at, zone=c)
            for z, c in MONO_90.items()
        }
        high, low = ("plus", "minus") if shape.low_side == "right" else ("minus", "plus")
        zones = [("F high", 0.0, strip, high), ("F low", 0.0, strip, low), ("G", 0.0, strip, "middle"),
                 ("H", strip, middle, "all"), ("I", middle, far, "all")]  # fmt: skip
        return [("", values)], _cut(view, shape.roofs, zones, lane)
    zones = [("F", 0.0, strip, "edges"), ("G", 0.0, strip, "middle"), ("H", strip, far, "all")]
    pieces = _cut(view, shape.roofs, zones, lane)
    if face == shape.low_side:
        sets = _signs(FGH, slope, area, at)
        return [(f"roof {k}" if len(sets) > 1 else "", v) for k, v in sets.items()], pieces
    values = {}
    for zone in FGH:
        large = between("en-monopitch-180-cpe10", "alpha", slope, f"cpe {zone}", at, zone=DUO[zone])
        values[zone] = _by_area(large, "en-monopitch-180-cpe1", "alpha", slope, zone, DUO[zone], area, at)
    return [("", values)], pieces


def _add_long_friction(made: PanelSet, shape: Shape, face: str, view: View) -> None:
    """Friction along what is parallel to the wind, further from the windward edge than the smaller of 2b and 4h, where it is not small."""
    limit = {
        k: tables.row("en-friction-limits", k).value for k in ("edge-widths", "edge-heights", "area-ratio")
    }
    opposite = FACES[(FACES.index(face) + 2) % 4]
    parallel = [s for s in shape.surfaces if s.wall not in (face, opposite)]
    across = sum(s.area for s in shape.walls if s.wall in (face, opposite))
    if sum(s.area for s in parallel) <= limit["area-ratio"] * across:
        return
    start = min(limit["edge-widths"] * view.breadth, limit["edge-heights"] * shape.ridge)
    row = tables.row("en-friction", "very-rough")
    working.looked_up("cfr", row)
    for surface in parallel:
        piece = view.strip(surface, start, view.depth + 1.0)
        if piece is not None:
            made.drag(
                f"friction along the {surface.name}", face, piece.area, piece.centroid.tolist(), row.value
            )


def canopy_force(form: str, slope: float, blockage: float, *, down: bool) -> float:
    """Overall force coefficient of a canopy, + down, linear in blockage (0 empty, 1 blocked to the lee edge)."""
    duo = form == "canopy-gable" and not _flat(slope)
    name = "en-canopy-duo" if duo else "en-canopy-mono"
    at, way = f"slope {slope:.3g}°", "max" if down else "min"
    first, last = span(f"{name}-max", "alpha") or (0.0, 0.0)
    if not first <= slope <= last:
        raise NotModelledError(
            say(
                'canopy: slope {slope}°, and the canopy tables end at {last}°: use method = "physics" or "asce7-22"',
                slope=numeral(slope, ".3g"),
                last=numeral(last, "g"),
            )
        )
    if down:
        return between(f"{name}-{way}", "alpha", slope, "cf down", at)
    empty, full = (
        between(f"{name}-{way}", "alpha", slope, f"cf up, blockage {p:g}", at, phi=p) for p in (0.0, 1.0)
    )
    return empty + (full - empty) * blockage


def _canopy(shape: Shape, face: str, blockage: str | None) -> Panels:
    """Both pitches or one alone; a single slope or a flat one with its resultant in the middle or to windward of it."""
    view, slope = View(shape, face), shape.slope
    under = {"clear": [0.0], "obstructed": [1.0], None: [0.0, 1.0]}[blockage]
    forces = [("down", canopy_force(shape.form, slope, 0.0, down=True))]
    forces += [
        (f"up, {'obstructed' if p else 'clear'}", canopy_force(shape.form, slope, p, down=False))
        for p in under
    ]
    duo = shape.form == "canopy-gable" and not _flat(slope)
    spreads = {"": (1.0, 1.0), "right pitch alone": (1.0, 0.0), "left pitch alone": (0.0, 1.0)}
    if not duo:
        spreads = {"": (1.0, 1.0), "to windward": _to_windward()}
    made = PanelSet([", ".join(x for x in (f"roof {name}", s) if x) for name, _ in forces for s in spreads])
    halves: list[tuple[str, Surface | None]] = [("", roof) for roof in shape.roofs]
    if not duo:
        half = view.depth / 2
        halves = [(n, view.strip(r, a, b)) for n, a, b in (("windward", -1.0, half), ("leeward", half, view.depth + 1.0)) for r in shape.roofs]  # fmt: skip
    for name, piece in halves:
        if piece is None:
            continue
        first = piece.faces == "right" if duo else name == "windward"
        values = [cf * (share[0] if first else share[1]) for _, cf in forces for share in spreads.values()]
        made.add(piece, values, name=f"{piece.name}, {name} half" if name else piece.name)
    add_friction(made, shape, face)
    return made.panels()


def _to_windward() -> tuple[float, float]:
    """Weights of the windward and leeward half that put the resultant of a canopy at its place from the windward edge."""
    row = tables.row("en-canopy-centre", "from-windward-edge")
    working.looked_up("resultant from the windward edge, share of the depth", row)
    share = 1.5 - 2 * row.value
    return 2 * share, 2 * (1 - share)


def panels(shape: Shape, face: str, blockage: str | None) -> Panels:
    """Panels for wind square on a side by EN 1991-1-4. All pressures are on q at the ridge."""
    other = say('use method = "physics" or "asce7-22"')
    if shape.form == "hip":
        raise NotModelledError(
            say("en1991: the table of hipped roofs could not be read: {other}", other=other)
        )
    if shape.form == "arch":
        raise NotModelledError(
            say("en1991: only one point of the curves of vaulted roofs could be read: {other}", other=other)
        )
    if shape.canopy:
        return _canopy(shape, face, blockage)
    view = View(shape, face)
    area = shape.plan_area
    if shape.form == "single-slope" and not _flat(shape.slope):
        sets, pieces = _mono(shape, face, view, area)
    else:
        sets = roof_values(shape.slope, across=view.across, area=area)
        pieces = _gable_pieces(shape, face, view)
    made = PanelSet([name for name, _ in sets])
    _add_walls(made, shape, face, view)
    for piece, zone in pieces:
        made.add(piece, [values[zone] for _, values in sets])
    _add_long_friction(made, shape, face, view)
    return made.panels()


def _on_wall(shape: Shape, wall: int, face: int) -> list[float]:
    """cpe,10 that the openings of a wall may see, for wind on a face."""
    view = View(shape, FACES[face])
    cpe = wall_coefficients(shape.ridge / view.depth, 1e3)
    if wall == face:
        return [cpe["D"]]
    if (wall - face) % 4 == 2:
        return [cpe["E"]]
    edge = min(view.breadth, 2 * shape.ridge)
    last = "C" if edge < view.depth else "B" if edge < 5 * view.depth else "A"
    return sorted({cpe["A"], cpe[last]})


def inside(shape: Shape, ways: Sequence[NDArray[np.float64]]) -> Inside:
    """Internal pressure coefficients for wind on each face, the largest and the least that the openings may bring about.

    No wall dominates: the pair of values for that. A wall that is open alone dominates in full, and the wind is on every
    face in turn. What lies between (a wall that dominates by less) is between those values.

    Parameters
    ----------
    shape : Shape
        Walls of it.
    ways : sequence of array, (4,)
        Greatest open area of each wall, m^2, for each way that it may stand; each may be shut, open or anything between.

    Returns
    -------
    Inside
        Two coefficients (1) a face; 0 under a canopy.

    Raises
    ------
    NotModelledError
        Two walls each open by more than the tables of closed shelters go.

    """
    if shape.canopy:
        return 0.0
    most = tables.row("en-canopy-openings", "open-share")
    for opened in ways:
        wide = [f for f, o, g in zip(FACES, opened, shape.sides, strict=True) if o > most.value * g]
        if len(wide) > 1:
            raise NotModelledError(
                say(
                    'en1991: {wide} are each more than {most} open: the tables of closed shelters end there; close one, give the canopy form, or use method = "asce7-22"',
                    wide=" and ".join(wide),
                    most=f"{most.value:.0%}",
                )
            )
    pair = [tables.row("en-internal", k) for k in ("pressure", "suction")]
    for row in pair:
        working.looked_up("cpi", row)
    walls = [w for w in range(4) if any(opened[w] > 0 for opened in ways)]
    share = 0.0
    if walls:
        row = tables.row("en-internal-dominant", "three-times")
        working.looked_up("cpi/cpe, an opening that dominates", row)
        share = row.value
    seen = [
        [r.value for r in pair] + [share * v for w in walls for v in _on_wall(shape, w, face)]
        for face in range(4)
    ]
    return ByFace(tuple((max(values), min(values)) for values in seen))
