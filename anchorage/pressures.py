"""Marries a shape to the coefficient tables of ASCE 7: the loaded panels for wind square on each face."""

from __future__ import annotations

import numpy as np

from anchorage import tables, working
from anchorage.loads.coefficients import Floats, interpolate, same_sign
from anchorage.loads.demand import Panels
from anchorage.shape import FACES, OUTWARD, Shape, Surface

FLAT_BELOW = 10.0
"""Degrees: below it a roof is loaded in strips, and its eave height counts (ASCE 7 fig. 27.3-1)."""


class Interpolated:
    """A value found between rows of a table: cited like a row."""

    def __init__(self, row: tables.Row, value: float, at: str) -> None:
        self.value, self.unit, self.key, self._row, self._at = value, row.unit, f"{row.table}, {at}", row, at

    def cite(self) -> str:
        """Source of the table, and where in it."""
        return f"{self._row.cite()}; {self._at}"


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


def _strip_panels(
    roofs: tuple[Surface, ...], face: str, depth: float, height: float
) -> list[tuple[Surface, int]]:
    out_x, out_y = OUTWARD[face]
    axis, sign = (0, out_x) if out_x else (1, out_y)
    edge = depth / 2
    bounds = [0.0, height / 2, height, 2 * height, max(depth, 2 * height) + 1.0]
    pieces = []
    for k in range(4):
        a, b = sign * (edge - bounds[k]), sign * (edge - bounds[k + 1])
        for roof in roofs:
            piece = roof.between(axis, min(a, b), max(a, b))
            if piece is not None:
                pieces.append((Surface(f"{roof.name}, strip {k + 1}", piece.vertices), k))
    return pieces


def panels(shape: Shape, face: str, wall_height_ratio: dict[str, float]) -> Panels:
    """Panels for wind square on ``face``. wall_height_ratio: q at the top of each wall over q at mean roof height."""
    across = face in ("left", "right")
    depth, breadth = (shape.width, shape.length) if across else (shape.length, shape.width)
    height, slope = shape.roof_height(FLAT_BELOW), shape.slope
    h_over_l = height / depth
    names, surfaces, pairs, ratios, roof = [], [], [], [], []

    def add(surface: Surface, first: float, second: float, ratio: float, is_roof: bool) -> None:
        names.append(surface.name)
        surfaces.append(surface)
        pairs.append((first, second))
        ratios.append(ratio)
        roof.append(is_roof)

    with working.heading(f"Pressure coefficients, wind on the {face}"):
        windward, side = tables.row("wall", "windward"), tables.row("wall", "side")
        working.looked_up("Cp windward wall", windward)
        working.looked_up("Cp side wall", side)
        leeward = _leeward_wall(depth / breadth)
        opposite = FACES[(FACES.index(face) + 2) % 4]
        for wall in shape.walls:
            cp = {face: windward.value, opposite: leeward}.get(str(wall.wall), side.value)
            add(wall, cp, cp, wall_height_ratio[face] if wall.wall == face else 1.0, is_roof=False)
        if across and slope >= FLAT_BELOW and shape.form == "single-slope":
            one = (
                _windward(h_over_l, slope)
                if face == shape.low_side
                else (_leeward_roof(h_over_l, slope),) * 2
            )
            add(shape.roofs[0], *one, 1.0, is_roof=True)
        elif across and slope >= FLAT_BELOW:
            first, second = _windward(h_over_l, slope)
            lee = _leeward_roof(h_over_l, slope)
            for surface in shape.roofs:
                cps = (first, second) if surface.name.startswith(face) else (lee, lee)
                add(surface, *cps, 1.0, is_roof=True)
        else:
            strips = _strips(h_over_l)
            for piece, k in _strip_panels(shape.roofs, face, depth, height):
                add(piece, *strips[k], 1.0, is_roof=True)
    return Panels(
        tuple(names),
        np.array([s.vector for s in surfaces]),
        np.array([s.centroid for s in surfaces]),
        np.array(ratios),
        np.array(pairs).T,
        np.array(roof),
    )
