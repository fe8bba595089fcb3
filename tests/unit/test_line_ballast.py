"""A block on a line: it slides, tips towards the shelter, or tips back under a steep line, whichever comes first."""

from __future__ import annotations

import pytest

from anchorage.checks.installation import assemble
from anchorage.core.errors import InputFaults
from anchorage.deployment.reader import read_text

TEXT = """
[shelter]
form = "gable"
length = "6 m"
width = "5 m"
eave = "2.2 m"
ridge = "3.0 m"
mass = "200 kg"
points_per_side = 3
[site]
surface = "concrete"
state = "dry"
exposure = "C"
[wind]
speed = "12 m/s"
averaging = "3 s"
[anchorage]
kind = "line-ballast"
unit = "concrete-block"
line_angle = {angle}
"""
BLOCK = '\n[anchorage.block]\nheight = "{height}"\neye = "{eye}"\nmiddle = "0.3 m"\n'


def _pull(angle: float, block: str = "") -> float:
    return assemble(read_text(TEXT.format(angle=angle) + block)).hardware.tension


def test_a_low_block_holds_what_slides_and_no_more() -> None:
    assert _pull(40, BLOCK.format(height="0.05 m", eye="0.3 m")) == _pull(40)


def test_a_tall_block_tips_before_it_slides() -> None:
    assert _pull(20, BLOCK.format(height="1.5 m", eye="0.3 m")) < _pull(20)


def test_a_steep_line_on_the_near_edge_lifts_it_about_the_far_edge() -> None:
    assert _pull(80, BLOCK.format(height="0.1 m", eye="0.02 m")) < _pull(80)


def test_the_eye_lies_within_the_block() -> None:
    with pytest.raises(InputFaults, match=r"anchorage\.block\.eye"):
        _pull(40, BLOCK.format(height="0.1 m", eye="0.9 m"))


@pytest.mark.parametrize(
    "rest", ['middle = "0.3 m"\ndepth = "0.3 m"', 'middle = "0 m"\ndepth = "1 m"', 'middle = "0 m"']
)
def test_a_weight_at_the_very_edge_of_its_block_is_refused(rest: str) -> None:
    with pytest.raises(InputFaults, match="eye and weight lie within the block"):
        _pull(40, f'\n[anchorage.block]\nheight = "0.1 m"\neye = "0 m"\n{rest}\n')
