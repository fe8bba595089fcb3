"""Closed lists that the deployment file, the record, the command line and the interface share.

What is not in one of them is unknown and said so, never none. A test holds each of them to its table.
"""

from __future__ import annotations

from typing import Literal, get_args

EXITS = {"go": 0, "no-go": 1, "unusable": 2, "unknown": 3}
"""Exit code of a verdict, and of what cannot be read."""
FACES = ("front", "right", "back", "left")
"""The walls, and where the wind comes from, clockwise as seen from above."""
CANOPIES = ("canopy-gable", "canopy-single-slope")
"""Forms that stand on posts, without walls."""
ONE_SLOPE = ("single-slope", "canopy-single-slope")
"""Forms whose roof falls to one side alone."""
_LETTERS = {f[0].upper(): f for f in FACES}


def point_id(along: str, number: int) -> str:
    """Code of an anchor point: the wall that it stands at, the corners at the long ones, and its place there from 1."""
    return f"{along[0].upper()}{number}"


def place_of(point: str) -> tuple[str, int]:
    """The wall and the place of an anchor point by its code."""
    return _LETTERS[point[0]], int(point[1:])


State = Literal["dry", "wet", "frozen", "ice", "snow", "soiled"]
"""Of the ground; table ``state``."""
STATES: tuple[str, ...] = get_args(State)
Beneath = Literal["nothing", "building", "deck", "cellar", "ice"]
"""What the ground is the top of; table ``beneath``."""
BENEATH: tuple[str, ...] = get_args(Beneath)
Material = Literal["woven", "plastic", "concrete", "steel", "rubber"]
"""Of a unit of ballast where it rubs; table ``ballast-material``."""
MATERIALS: tuple[str, ...] = get_args(Material)
TestKind = Literal["drag", "weigh", "pull", "vane", "meter"]
"""Of a test at the site."""
TEST_MEASURES: dict[str, str] = {
    "drag": "force", "weigh": "mass", "pull": "force", "vane": "pressure", "meter": "speed",
}  # fmt: skip
"""What each kind of test reads."""
Pulled = Literal["foot", "unit", "cloth", "bag", "plastic", "block", "bare-metal", "rubber"]
"""What a drag test pulls: the loaded foot as the file has it, one unit of ballast, or what it is made of where it rubs."""
PULLED: tuple[str, ...] = get_args(Pulled)
OK = 1.0 + 1e-9
"""A ratio this near to 1 is met: of what is asked to what there is."""
