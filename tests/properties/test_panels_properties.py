"""Panels of a shelter: cut strips are the whole, figures between rows are on the line between them, a drag is its coefficient by its area."""

import itertools

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from anchorage.core import tables
from anchorage.core.closed import FACES
from anchorage.core.errors import OutOfRangeError
from anchorage.loads.panelset import PanelSet, View, between, span
from anchorage.shelter.shape import OUTWARD, gable

SHAPE = gable(8.0, 6.0, 2.5, 3.7, 4, 3)


def ruled():
    """Tables in use whose rows have one axis alone, each place once, and at least two of them."""
    found = []
    for t in tables.register().tables:
        for axis in sorted({k for r in t.rows for k in r.at if len(r.at) == 1}):
            places = [r.at[axis] for r in t.rows if set(r.at) == {axis}]
            if t.implemented and 1 < len(places) == len(set(places)):
                found.append((t.name, axis))
    return found


@pytest.mark.parametrize("face", FACES)
@settings(max_examples=20, deadline=None)
@given(cuts=st.lists(st.floats(0.05, 0.95), max_size=4))
def test_the_strips_of_a_surface_are_the_surface(face, cuts):
    """Areas add up as vectors: Σ A n of the strips is A n of the whole, each strip once."""
    view = View(SHAPE, face)
    ends = [0.0, *sorted(c * view.depth for c in cuts), view.depth]
    for s in SHAPE.surfaces:
        parts = [view.strip(s, a, b) for a, b in itertools.pairwise(ends)]
        total = sum((p.vector for p in parts if p is not None), np.zeros(3))
        along = s.centroid[view.axis]
        if abs(abs(along) - view.depth / 2) > 1e-9:  # a wall across the wind lies on the edge itself
            assert total == pytest.approx(s.vector, abs=1e-9)


def test_a_lane_is_its_part_across_the_wind():
    view = View(SHAPE, "front")
    roof = next(s for s in SHAPE.surfaces if s.wall is None)
    low, high = float(roof.vertices[:, 1].min()), float(roof.vertices[:, 1].max())
    half = view.lane(roof, low, (low + high) / 2)
    assert half is not None
    assert half.vector == pytest.approx(roof.vector / 2)
    assert view.lane(None, 0.0, 1.0) is None


def test_depth_and_breadth_are_along_and_across_the_wind():
    for face, depth, breadth in (("front", 8.0, 6.0), ("left", 6.0, 8.0)):
        view = View(SHAPE, face)
        assert (view.depth, view.breadth) == (depth, breadth)


def test_a_drag_pushes_along_the_wind_alone():
    """F = c A q, at its place: 1.2 x 3 m2 at 2 m up turn over with 7.2 m3."""
    for face in FACES:
        made = PanelSet(("one",))
        made.drag("posts", face, 3.0, (0.0, 0.0, 2.0), 1.2)
        p = made.panels()
        force = p.external[0, 0] * p.vector[0]
        assert force == pytest.approx([1.2 * 3.0 * c for c in (*OUTWARD[face], 0.0)])
        assert p.centroid[0][2] * np.hypot(*force[:2]) == pytest.approx(7.2)


def test_a_panel_has_a_value_for_every_variant_or_is_refused():
    made = PanelSet(("suction", "pressure"))
    with pytest.raises(ValueError, match="3 values for 2 variants"):
        made.add(SHAPE.surfaces[0], (1.0, 2.0, 3.0))
    made.add(None, 1.0)
    made.add(SHAPE.surfaces[0], 1.0)
    assert len(made.panels().names) == 1


@pytest.mark.parametrize(("table", "axis"), ruled())
def test_a_figure_between_two_rows_is_on_the_line_between_them(table, axis):
    first, last = span(table, axis)
    rows = sorted((r for r in tables.table(table).rows if set(r.at) == {axis}), key=lambda r: r.at[axis])
    for a, b in itertools.pairwise(rows):
        middle = (a.at[axis] + b.at[axis]) / 2
        assert between(table, axis, a.at[axis], "c", "here") == a.value
        assert between(table, axis, middle, "c", "here") == pytest.approx((a.value + b.value) / 2)
    for outside in (first - 1e-6, last + 1e-6):
        with pytest.raises(OutOfRangeError):
            between(table, axis, outside, "c", "here")


def test_a_table_without_such_a_row_is_no_span():
    assert span(ruled()[0][0], ruled()[0][1], nothing=1.0) is None
