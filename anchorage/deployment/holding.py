"""What a team writes of what holds the shelter down: the [anchorage], [[point]] and [halfway] tables."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field

from anchorage.core.closed import Material, State
from anchorage.core.quantity import Quantity
from anchorage.deployment.parts import Part

Name = Annotated[str, Field(max_length=200)]
Count = Annotated[int, Field(ge=0, le=100_000, strict=True)]


class Block(Part):
    """A block of ballast on a line: where the line holds it, and where its weight acts, from the edge near the shelter."""

    height: Annotated[float, Quantity("length", low="0 m", high="3 m")]
    eye: Annotated[float, Quantity("length", low="0 m", high="3 m")]
    """Distance in plan of the eye from the edge nearest the shelter."""
    middle: Annotated[float, Quantity("length", low="0 m", high="3 m")]
    """Distance in plan of the weight from the same edge."""
    depth: Annotated[float, Quantity("length", low="1 cm", high="5 m")] | None = None
    """Of the block along the pull; left out: twice the distance of its weight."""


class Deadman(Part):
    """A log or timber buried across the pull."""

    depth: Annotated[float, Quantity("length", low="3 ft", high="7 ft")]
    length: Annotated[float, Quantity("length", low="1 ft", high="20 ft")]
    face: Annotated[float, Quantity("length", low="2 in", high="3 ft")]
    thickness: Annotated[float, Quantity("length", low="2 in", high="3 ft")] | None = None
    """Of a timber; left out: a log, as thick as its face."""
    ground: Literal["loam", "sand", "fine", "hardpan", "fine-wet"] | None = None
    """Left out: the weakest of them. Wet is a state of the site; ``fine-wet``, of older files, is fine and wet at any state."""
    trench: Annotated[float, Quantity("length", low="1 ft", high="3 ft")] | None = None
    """Width of the trench of the line: that much of the length bears on nothing. Left out: the wider of two manuals."""


class Stake(Part):
    """A straight bar driven into the ground, and the line on it."""

    diameter: Annotated[float, Quantity("length", low="5 mm", high="120 mm")]
    driven: Annotated[float, Quantity("length", low="100 mm", high="3 m")]
    line_angle: Annotated[float, Field(ge=10, le=80)] | None = None
    line_height: Annotated[float, Quantity("length", low="0 m", high="1 m")] = 0.0
    soil: Name | None = None
    pull_tests: (
        Annotated[
            list[Annotated[float, Quantity("force", low="0 N", high="500 kN")]],
            Field(min_length=1, max_length=50),
        ]
        | None
    ) = None
    pull_angle: Annotated[float, Field(ge=0, le=90)] | None = None
    pulled: Literal["to-failure", "held"] | None = None
    tested: Literal["dry", "wet"] = "dry"
    test_driven: Annotated[float, Quantity("length", low="100 mm", high="3 m")] | None = None
    """How deep what was pulled was driven; this and the next three left out: as the stakes in use."""
    test_diameter: Annotated[float, Quantity("length", low="5 mm", high="120 mm")] | None = None
    test_height: Annotated[float, Quantity("length", low="0 m", high="1 m")] | None = None
    """Of the pull on the stake above the ground."""
    test_soil: Name | None = None
    spacing: Annotated[float, Quantity("length", low="10 mm", high="10 m")] | None = None
    """Between stakes at one point; left out: far enough apart not to weaken each other."""
    combination: Literal["1-1", "2-1", "1-1-1", "3-2-1"] | None = None
    """Wooden pickets in line, lashed head to foot, in undisturbed loam."""
    lean: Annotated[float, Field(ge=-60, le=60)] | None = None
    """Degrees from upright, away from the shelter; sources disagree on what it does, so it earns nothing."""


class Anchorage(Part):
    """What holds it down."""

    kind: Literal["ballast", "stakes", "line-ballast", "deadman", "mixed"]
    unit: Name | None = None
    unit_mass: Annotated[float, Quantity("mass", low="0.1 kg", high="20000 kg")] | None = None
    unit_material: Material | None = None
    """What a unit that is not listed is made of where it rubs; left out: asked for, and the most slippery counts."""
    contact: Literal["cloth", "plate", "ground"] | None = None
    """What the frame and the ballast on it stand on; left out: the most slippery of the three."""
    foot: Literal["bare-metal", "plastic", "rubber"] | None = None
    how: Literal["on-foot", "hung-clear", "standing-tied", "on-flap"] | None = None
    placed: Count | dict[str, Count] | None = None
    size_for: Literal["working", "people-in", "empty", "set-up"] = "people-in"
    line_rated: Annotated[float, Quantity("force", low="0 N", high="500 kN")] | None = None
    knots: bool = True
    """False where lines end in sewn or spliced eyes: no knot takes strength away."""
    attachment_rated: Annotated[float, Quantity("force", low="0 N", high="500 kN")] | None = None
    """Rated load of the loop or ring on the shelter."""
    line_angle: Annotated[float, Field(ge=10, le=80)] | None = None
    """Of the lines to ballast on the ground, degrees above it."""
    bearing_area: Annotated[float, Quantity("area", low="0.001 m^2", high="20 m^2")] | None = None
    """Ground that the ballast of one point presses on."""
    stack: Count | None = None
    """Units that fit on a frame point; left out: from the table."""
    stake: Stake | None = None
    block: Block | None = None
    deadman: Deadman | None = None


class PointIn(Part):
    """One anchor point that differs from the rest."""

    id: Name
    usable: bool = True
    kind: Literal["ballast", "stakes", "line-ballast", "deadman", "none", "vehicle"] | None = None
    unit: Name | None = None
    unit_material: Material | None = None
    placed: Count | None = None
    surface: Name | None = None
    state: State | None = None
    driven: Annotated[float, Quantity("length", low="100 mm", high="3 m")] | None = None
    soil: Name | None = None
    """Left out: that of the stakes, where the point stands on the same surface as they do."""
    on_ground: bool = True


class Halfway(Part):
    """The state half way through setting up: roof up, walls off, this much placed at the points so far."""

    placed: Count | dict[str, Count] | None = None
    """Left out: nothing is placed yet, and the set-up verdict does not count it."""
