"""Marries a shape to the coefficient tables of ASCE 7: the loaded panels for wind square on each face."""

from __future__ import annotations

import numpy as np

from anchorage.core import tables
from anchorage.core.closed import FACES
from anchorage.core.errors import OutOfRangeError
from anchorage.formulas import working
from anchorage.formulas.coefficients import Floats, arch_coefficient, interpolate, same_sign
from anchorage.formulas.panels import ROOF_SIGNS, Panels
from anchorage.loads.panelset import Interpolated, PanelSet, View
from anchorage.shelter.forms import circle
from anchorage.shelter.shape import Shape, Surface

FLAT_BELOW = 10.0
"""Degrees: below it a roof is loaded in strips, and its eave height counts (ASCE 7 fig. 27.3-1)."""


def _grid(name: str, rows: str, columns: str) -> tuple[Floats, Floats, Floats, tables.Row]:
    a, b, cells = tables.table(name).grid(rows, columns)
    first = tables.row(name, cells[0][0].key)
    return np.array(a), np.array(b), np.array([[c.value for c in r] for r in cells]), first


def _look(name: str, symbol: str, h_over_l: float, slope: float) -> float:
    a, b, z, row = _grid(name, "h_over_l", "theta")
    value = same_sign(h_over_l, slope, a, b, z)
    working.looked_up(symbol, Interpolated(row, value, f"h/L = {h_over_l:.3g}, slope {slope:.3g}°"))
    return value


def _windward(h_over_l: float, slope: float) -> tuple[float, float]:
    if slope > 60.0:
        row = tables.row("roof-steep", "at-80" if slope > 80.0 else "slope")
        value = row.value if slope > 80.0 else row.value * slope
        working.looked_up("Cp windward roof", Interpolated(row, value, f"slope {slope:.3g}°"))
        return value, value
    first = _look("roof-windward-first", "Cp windward roof, more suction", h_over_l, slope)
    second = _look("roof-windward-second", "Cp windward roof, less suction", h_over_l, slope)
    return first, second


def _leeward_roof(h_over_l: float, slope: float) -> float:
    return _look("roof-leeward", "Cp leeward roof", h_over_l, min(slope, 20.0))


def _leeward_wall(l_over_b: float) -> float:
    xs, rows = tables.table("leeward-wall").line("l_over_b")
    value = interpolate(l_over_b, xs, [r.value for r in rows])
    row = tables.row("leeward-wall", rows[0].key)
    working.looked_up("Cp leeward wall", Interpolated(row, value, f"L/B = {l_over_b:.3g}"))
    return value


def _strips(h_over_l: float) -> list[tuple[float, float]]:
    """(more suction, less suction) of the strips 0..h/2, h/2..h, h..2h, beyond, from the windward edge."""
    out = []
    grids = [_grid(f"roof-strip-{n}", "h_over_l", "strip") for n in ("first", "second")]
    for k in range(4):
        pair = tuple(interpolate(h_over_l, a, z[:, k]) for a, _, z, _ in grids)
        at = f"h/L = {h_over_l:.3g}, strip {k + 1} from the windward edge"
        working.looked_up("Cp roof, more suction", Interpolated(grids[0][3], pair[0], at))
        out.append((pair[0], pair[1]))
    return out


def _add_strips(made: PanelSet, view: View, roofs: tuple[Surface, ...], height: float) -> None:
    strips = _strips(height / view.depth)
    bounds = [0.0, height / 2, height, 2 * height, max(view.depth, 2 * height) + 1.0]
    for k in range(4):
        for roof in roofs:
            piece = view.strip(roof, bounds[k], bounds[k + 1])
            made.add(piece, strips[k], name=f"{roof.name}, strip {k + 1}")


def _add_walls(made: PanelSet, shape: Shape, face: str, view: View, ratio: dict[str, float]) -> None:
    windward, side = tables.row("wall", "windward"), tables.row("wall", "side")
    working.looked_up("Cp windward wall", windward)
    working.looked_up("Cp side wall", side)
    leeward = _leeward_wall(view.depth / view.breadth)
    opposite = FACES[(FACES.index(face) + 2) % 4]
    for wall in shape.walls:
        cp = {face: windward.value, opposite: leeward}.get(str(wall.wall), side.value)
        made.add(wall, cp, ratio[face] if wall.wall == face else 1.0, roof=False)


def walled(shape: Shape, face: str, ratio: dict[str, float]) -> Panels:
    """Gable, hip and single-slope: each slope by its direction to the wind, ends and low slopes in strips."""
    view, made = View(shape, face), PanelSet(ROOF_SIGNS)
    height, slope = shape.roof_height(FLAT_BELOW), shape.slope_to(face)
    h_over_l = height / view.depth
    _add_walls(made, shape, face, view, ratio)
    faced = (view.across or shape.form == "hip") and slope >= FLAT_BELOW
    if not faced:
        _add_strips(made, view, shape.roofs, height)
    elif shape.form == "single-slope":
        low = face == shape.low_side
        made.add(shape.roofs[0], _windward(h_over_l, slope) if low else _leeward_roof(h_over_l, slope))
    else:
        pair, lee = _windward(h_over_l, slope), _leeward_roof(h_over_l, slope)
        opposite = FACES[(FACES.index(face) + 2) % 4]
        for surface in shape.roofs:
            if surface.faces == face:
                made.add(surface, pair)
            elif surface.faces == opposite:
                made.add(surface, lee)
        beside = tuple(s for s in shape.roofs if s.faces not in (face, opposite))
        if beside:
            _add_strips(made, view, beside, height)
    return made.panels()


def _arch_windward(rise: float, *, ground: bool) -> list[tuple[str, float]]:
    """(name, Cp) of the windward quarter of an arch, more than one where the source asks for both."""
    limit = {k: tables.row("arch-limits", k).value for k in ("low", "high", "top")}
    if not 0.0 < rise <= limit["top"]:
        raise OutOfRangeError(
            "arched roof (take it as a gable of the same eave and crown)",
            "rise/span",
            rise,
            0.0,
            limit["top"],
            "1",
        )
    kinds: list[tuple[str, str | None, str | None]] = (
        [("", None, "ground-slope")] if ground else [("", "elevated-low-constant", None)]
    )
    if not ground and rise >= limit["low"]:
        kinds = [("", "elevated-mid-constant", "elevated-mid-slope")]
        if rise >= limit["high"]:
            kinds = [("", "elevated-high-constant", "elevated-high-slope")]
        if rise <= limit["high"]:
            kinds.append(("alternate", "elevated-mid-alternate-constant", "elevated-mid-alternate-slope"))
    return [
        (name, _arch_line("arch-windward-quarter", "windward quarter", a, b, rise)) for name, a, b in kinds
    ]


def _arch_line(table: str, what: str, constant: str | None, slope: str | None, rise: float) -> float:
    a, b = (0.0 if k is None else tables.row(table, k).value for k in (constant, slope))
    for key in (constant, slope):
        if key is not None:
            working.looked_up(f"Cp {what}: {key}", tables.row(table, key))
    return float(arch_coefficient(a, b, rise))


def arched(shape: Shape, face: str, ratio: dict[str, float]) -> Panels:
    """An arch: quarters across it; along its axis the strips of a roof with the wind along the ridge.

    The source draws the quarters without saying of what: quarters of the arc and of the span are both run.
    """
    view = View(shape, face)
    if not view.across:
        made = PanelSet(ROOF_SIGNS)
        _add_walls(made, shape, face, view, ratio)
        _add_strips(made, view, shape.roofs, shape.roof_height(FLAT_BELOW))
        return made.panels()
    rise, ground = shape.rise_to_span, shape.eave <= 0
    first = _arch_windward(rise, ground=ground)
    centre = _arch_line("arch-centre-half", "centre half", "constant", "slope", rise)
    lee = tables.row("arch-leeward-quarter", "ground" if ground else "elevated")
    working.looked_up("Cp leeward quarter", lee)
    kinds = [(of, name, cp) for of in ("arc", "span") for name, cp in first]
    made = PanelSet([f"quarters of the {of}" + (f", {name}" if name else "") for of, name, _ in kinds])
    _add_walls(made, shape, face, view, ratio)
    radius, half = circle(shape.width, shape.ridge - shape.eave)
    quarter = {"arc": half / 2, "span": float(np.arcsin(shape.width / 4 / radius))}
    sign = 1.0 if face == "left" else -1.0
    for facet in shape.roofs:
        normal = facet.vector / facet.area
        angle = sign * float(np.arctan2(normal[1], normal[2]))
        values = [
            cp if angle > quarter[of] else lee.value if angle < -quarter[of] else centre
            for of, _, cp in kinds
        ]
        made.add(facet, values)
    return made.panels()
