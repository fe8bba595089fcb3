"""Puts loaded panels together: cuts of surfaces by how far they are from the edge that faces the wind, and figures found between table rows."""

from __future__ import annotations

import functools
from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from anchorage.core import tables
from anchorage.core.errors import OutOfRangeError
from anchorage.formulas import working
from anchorage.formulas.coefficients import interpolate
from anchorage.formulas.panels import Panels
from anchorage.shelter.shape import OUTWARD, Shape, Surface


class Interpolated:
    """A value found between rows of a table: cited like a row."""

    def __init__(self, row: tables.Row, value: float, at: str) -> None:
        self.value, self.unit, self.key, self._row, self._at = value, row.unit, f"{row.table}, {at}", row, at

    def cite(self) -> str:
        """Source of the table, and where in it."""
        return f"{self._row.cite()}; {self._at}"


def _along(
    table: str, axis: str, fixed: tuple[tuple[str, float], ...]
) -> tuple[tuple[float, ...], tuple[tables.Row, ...]]:
    return (_found.__wrapped__ if tables.varied() else _found)(table, axis, fixed)


@functools.lru_cache(maxsize=512)
def _found(
    table: str, axis: str, fixed: tuple[tuple[str, float], ...]
) -> tuple[tuple[float, ...], tuple[tables.Row, ...]]:
    wanted = dict(fixed)
    rows = [
        r for r in tables.table(table).rows
        if set(r.at) == {axis, *wanted} and all(r.at[k] == v for k, v in wanted.items())
    ]  # fmt: skip
    rows.sort(key=lambda r: r.at[axis])
    return tuple(r.at[axis] for r in rows), tuple(rows)


def span(table: str, axis: str, **fixed: float) -> tuple[float, float] | None:
    """First and last place along an axis, the other axes fixed; None where the table has no row there."""
    places, _ = _along(table, axis, tuple(sorted(fixed.items())))
    return (places[0], places[-1]) if places else None


def between(table: str, axis: str, x: float, symbol: str, at: str, **fixed: float) -> float:
    """Linear between the two rows next to a place along an axis, the other axes fixed.

    Only the rows that the value stands on count as used, and they are what is cited.

    Parameters
    ----------
    table, axis : str
        Names of them.
    x : float
        Place along the axis, in its unit.
    symbol, at : str
        For the working.
    **fixed : float
        Places on the other axes.

    Returns
    -------
    float
        In the unit of the table.

    Raises
    ------
    OutOfRangeError
        Outside the rows.

    """
    places, rows = _along(table, axis, tuple(sorted(fixed.items())))
    if not places or not places[0] <= x <= places[-1]:
        low, high = (places[0], places[-1]) if places else (None, None)
        raise OutOfRangeError(tables.table(table).quantity, axis, x, low, high, "1")
    k = int(np.searchsorted(places, x))
    if places[k] == x:
        row = tables.row(table, rows[k].key)
        working.looked_up(symbol, row)
        return row.value
    low_row, high_row = (tables.row(table, r.key) for r in rows[k - 1 : k + 1])
    value = interpolate(x, places[k - 1 : k + 1], [low_row.value, high_row.value])
    weaker = max((low_row, high_row), key=lambda r: tables.STRENGTH.index(r.how))
    working.looked_up(symbol, Interpolated(weaker, value, at))
    return value


class PanelSet:
    """Collects panels, each with a value for every variant."""

    def __init__(self, variants: Sequence[str]) -> None:
        self.variants = tuple(variants)
        self._surfaces: list[Surface] = []
        self._values: list[tuple[float, ...]] = []
        self._ratio: list[float] = []
        self._roof: list[bool] = []
        self._within: list[float] = []

    def add(self, surface: Surface | None, values: Sequence[float] | float, ratio: float = 1.0, *,
            roof: bool = True, within: bool = True, name: str = "") -> None:  # fmt: skip
        """A panel: values of each variant, or one for all; ratio of q to q at mean roof height. None: nothing there."""
        if surface is None:
            return
        every = (
            (float(values),) * len(self.variants)
            if isinstance(values, int | float)
            else tuple(float(v) for v in values)
        )
        if len(every) != len(self.variants):
            raise ValueError(f"{surface.name}: {len(every)} values for {len(self.variants)} variants")
        renamed = replace(surface, name=name) if name else surface
        self._surfaces.append(renamed)
        self._values.append(every)
        self._ratio.append(ratio)
        self._roof.append(roof)
        self._within.append(1.0 if within else 0.0)

    def drag(self, name: str, face: str, area: float, at: Sequence[float], coefficient: float) -> None:
        """A force along the wind on a face: coefficient x area (m^2) at a place (m). No inside pressure acts on it."""
        out = OUTWARD[face]
        exact = (np.array([out[0] * area, out[1] * area, 0.0]), np.array(at, float))
        self.add(Surface(name, np.empty((0, 3)), None, exact), coefficient, roof=False, within=False)

    def panels(self) -> Panels:
        """What was collected."""
        surfaces = self._surfaces
        within = None if all(self._within) else np.array(self._within)
        return Panels(
            tuple(s.name for s in surfaces),
            np.array([s.vector for s in surfaces]),
            np.array([s.centroid for s in surfaces]),
            np.array(self._ratio),
            np.array(self._values).T,
            np.array(self._roof),
            self.variants,
            within,
        )


class View:
    """A shelter seen by the wind on a face: depth along the wind, breadth across it (m), and cuts by distance."""

    def __init__(self, shape: Shape, face: str) -> None:
        self.across = face in ("left", "right")
        self.depth, self.breadth = (shape.width, shape.length) if self.across else (shape.length, shape.width)
        self.axis = 1 if self.across else 0
        self._sign = OUTWARD[face][self.axis]

    def strip(self, surface: Surface, start: float, end: float) -> Surface | None:
        """Part of a surface from ``start`` to ``end`` (m) behind the windward edge of the base."""
        edge = self.depth / 2
        a, b = self._sign * (edge - start), self._sign * (edge - end)
        return surface.between(self.axis, min(a, b), max(a, b))

    def lane(self, surface: Surface | None, low: float, high: float) -> Surface | None:
        """Part of a surface between two places across the wind (m from the middle)."""
        return None if surface is None else surface.between(1 - self.axis, low, high)
