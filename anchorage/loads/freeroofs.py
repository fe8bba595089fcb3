"""Canopies by the free roof tables of ASCE 7: net coefficients CN on the halves of the roof, clear or obstructed beneath.

A roof that lifts is pushed downwind: gamma 0 of the single-slope table, which lifts, is wind on the high side, since a
force square to a plate that leans away from the wind would else point upwind.
"""

from __future__ import annotations

import numpy as np

from anchorage.core import tables
from anchorage.core.errors import NotModelledError
from anchorage.core.say import numeral, say
from anchorage.formulas import working
from anchorage.formulas.panels import Panels
from anchorage.loads.panelset import PanelSet, View, between
from anchorage.shelter.shape import Shape, Surface

CASES = {"case A": 0.0, "case B": 1.0}
BLOCKAGE = {"clear": 0.0, "obstructed": 1.0}


def kinds(blockage: str | None) -> list[tuple[str, float, float]]:
    """(name, case, obstructed) of every variant; both blockages where nothing is said."""
    under = [blockage] if blockage else list(BLOCKAGE)
    return [(f"{u}, {c}", CASES[c], BLOCKAGE[u]) for u in under for c in CASES]


def check_range(shape: Shape, view: View, height: float) -> None:
    """Refuse h/L and slopes that the tables do not cover."""
    low, high = (tables.row("free-limits", f"h-over-l-{k}").value for k in ("low", "high"))
    ratio = height / view.depth
    if not low <= ratio <= high:
        raise NotModelledError(
            say(
                'canopy: mean roof height over length along the wind is {ratio}, and the free roof tables cover {low} to {high}: use method = "en1991" (its canopy tables have no such limit), or check one canopy of a row alone',
                ratio=numeral(ratio, ".3g"),
                low=numeral(low, "g"),
                high=numeral(high, "g"),
            )
        )
    steepest = tables.row("free-slopes", "steepest").value
    if shape.slope > steepest:
        raise NotModelledError(
            say(
                "canopy: the roof slopes {slope}°, and the free roof tables end at {steepest}°: close its walls and give its closed form",
                slope=numeral(shape.slope, ".3g"),
                steepest=numeral(steepest, "g"),
            )
        )


def net_coefficient(
    form: str, slope: float, case: float, side: float, gamma: float, obstructed: float
) -> float:
    """CN of a half of a canopy roof, wind across: side 0 windward, 1 leeward; gamma 0 lifts a single slope."""
    flat = slope < tables.row("free-slopes", "flattest").value
    table = "free-single-slope" if flat or form == "canopy-single-slope" else "free-gable"
    half = "windward" if side == 0 else "leeward"
    symbol = f"CN {half} half, {'obstructed' if obstructed else 'clear'}, case {'AB'[int(case)]}"
    at = f"slope {slope:.3g}°"
    return between(table, "theta", 0.0 if flat else slope, symbol, at, case=case, side=side, gamma=gamma, obstructed=obstructed)  # fmt: skip


def _halves(shape: Shape, view: View) -> list[tuple[str, Surface]]:
    """The windward and leeward half of the roof."""
    out = []
    for name, start, end in (
        ("windward", -1.0, view.depth / 2),
        ("leeward", view.depth / 2, view.depth + 1.0),
    ):
        pieces = [view.strip(roof, start, end) for roof in shape.roofs]
        out += [(name, p) for p in pieces if p is not None]
    return out


def add_friction(made: PanelSet, shape: Shape, face: str) -> None:
    """Wind along both faces of the cloth, which the free roof tables leave out."""
    row = tables.row("en-friction", "very-rough")
    working.looked_up("cfr, both faces of the roof", row)
    area = sum(s.area for s in shape.roofs)
    place = np.sum([s.area * s.centroid for s in shape.roofs], axis=0) / area
    made.drag("friction along the roof", face, 2 * area, place.tolist(), row.value)


def panels(shape: Shape, face: str, blockage: str | None, *, friction: bool) -> Panels:
    """Panels of a canopy for wind square on a side."""
    view = View(shape, face)
    height = shape.roof_height(10.0)
    check_range(shape, view, height)
    every = kinds(blockage)
    made = PanelSet([name for name, _, _ in every])
    if view.across:
        gamma = 180.0 if face == shape.low_side else 0.0
        slope = shape.slope
        cn = {
            half: [net_coefficient(shape.form, slope, c, side, gamma, o) for _, c, o in every]
            for half, side in (("windward", 0.0), ("leeward", 1.0))
        }
        for half, piece in _halves(shape, view):
            made.add(piece, cn[half], name=f"{piece.name}, {half} half")
    else:
        bounds = [0.0, height, 2 * height, max(view.depth, 2 * height) + 1.0]
        for k in range(3):
            at = f"strip {k + 1} from the windward edge"
            cn_strip = [
                between("free-along-ridge", "strip", float(k), f"CN {at}, {name}", at, case=c, obstructed=o)
                for name, c, o in every
            ]
            for roof in shape.roofs:
                made.add(
                    view.strip(roof, bounds[k], bounds[k + 1]), cn_strip, name=f"{roof.name}, strip {k + 1}"
                )
    if friction:
        add_friction(made, shape, face)
    return made.panels()
