"""A public table of tie-downs for manufactured homes, from a pressure to whole anchors: Florida rule 15C-1, as a table of ties a side by length.

Read in full (restated, studylib 18206534): single unit, anchors of 3,150 lb working load, ties at 40 degrees or more off the vertical; in the milder
zone diagonal ties a side: 3 up to 54 ft, 4 up to 73 ft, 5 up to 84 ft. From memory, not in that table: 15 psf on the side and
walls of 8 ft, with ties at 45 degrees. The table's steps (54, 73 ft) stand a little before those by statics (55.7, 74.2 ft): 3 %.
The stricter zone (4, 5, 6, 7 ties) follows no pressure that could be read and is left out. Through the formulas and not through a file:
a file has the wind find its own pressures on every face, and cannot be given 15 psf on one wall and nothing on the roof.
"""

import math

import pytest

from anchorage.checks.sizing import units_for
from anchorage.formulas.lines import tension_of_push
from anchorage.formulas.panels import panel_force
from anchorage.holding.hardware import Hardware

PSF, LBF, FT = 47.88026, 4.4482216, 0.3048
ROWS = [(40.0, 3), (54.0, 3), (58.0, 4), (73.0, 4), (84.0, 5)]  # length ft, diagonal ties a side
STEPS = [(3, 54.0), (4, 73.0)]
PRINTED = {"ties a side": len(ROWS)}
"""The lengths are those of both zones; the ties those of the milder one."""


def pull(length: float) -> float:
    """Tension of all ties of a side together (N): the push on the wall, held by lines at 45 degrees."""
    push = -panel_force(15.0 * PSF, length * FT * 8.0 * FT)  # the other way of the normal, onto the wall
    return float(tension_of_push(push, 45.0, 1.0))


@pytest.mark.parametrize(("length", "ties"), ROWS)
def test_so_many_ties_as_the_table_prints(length: float, ties: int) -> None:
    assert math.ceil(pull(length) / (3150.0 * LBF)) == ties


@pytest.mark.parametrize(("ties", "length"), STEPS)
def test_the_steps_of_the_table_lie_within_four_per_cent_of_statics(ties: int, length: float) -> None:
    by_statics = length * ties * 3150.0 * LBF / pull(length)
    assert length <= by_statics <= 1.04 * length


def test_a_count_of_the_sizing_is_the_same_whole_number() -> None:
    """By the function that every sizing counts with: an anchor that is worth 1, and what the ties have to be worth."""
    anchor = Hardware("stakes", "anchor", 0.0, 0.0, line_angle=45.0, pull=3150.0 * LBF)
    for length, ties in ROWS:
        assert units_for(anchor, pull(length) / (3150.0 * LBF)) == ties
