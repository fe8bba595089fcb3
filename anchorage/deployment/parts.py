"""Parts of the deployment file: the base of every part, and what a team writes about snow and straps."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import BaseModel, ConfigDict, Field, field_validator

from anchorage.core.quantity import Quantity

SnowKind = Literal["new", "settled", "wet", "slush", "ice"]
Depth = Annotated[float, Quantity("length", low="0 m", high="5 m")]
Water = Annotated[float, Quantity("length", low="0 m", high="2 m")]
RoofLoad = Annotated[float, Quantity("pressure", low="0 Pa", high="10 kPa")]
YesNo = Annotated[bool, Field(strict=True)]


class Part(BaseModel):
    """One table of the file: frozen, no unknown keys, no NaN."""

    model_config = ConfigDict(frozen=True, extra="forbid", allow_inf_nan=False, populate_by_name=True)


class Layer(Part):
    """One layer of what lies on the roof, from the top down or the other way; layers add."""

    depth: Depth
    kind: SnowKind | None = None


class Core(Part):
    """A core cut through all the snow with a straight-sided tube, and weighed."""

    mass: Annotated[float, Quantity("mass", low="0 kg", high="100 kg")]
    area: Annotated[float, Quantity("area", low="0.0005 m2", high="1 m2")]


class Falling(Part):
    """What falls in one hour, as depth of a kind or as water."""

    depth: Depth | None = None
    kind: SnowKind | None = None
    water: Water | None = None


class Building(Part):
    """A taller building close beside, whose roof sheds snow on the shelter."""

    width: Annotated[float, Quantity("length", low="1 m", high="300 m")]
    """Of the building, away from the shelter."""
    height: Annotated[float, Quantity("length", low="1 m", high="100 m")]
    """Of the edge of its roof."""
    slope: Annotated[float, Field(ge=0, le=90)]
    """Of its roof towards the shelter, degrees."""


class Snow(Part):
    """What lies on the roof - as depth, layers, water or a weighed core - or what a code asks for there."""

    depth: Depth | None = None
    kind: SnowKind | None = None
    layers: Annotated[list[Layer], Field(max_length=20)] = []
    water: Water | None = None
    core: Core | None = None
    rain: Water | None = None
    """Rain that has fallen on it since it was measured."""
    falling: Falling | None = None
    """What falls on it each hour."""
    pockets: YesNo | None = None
    """True where water stands in a pocket of the roof, or something holds the snow back at the eave."""
    sag: Annotated[float, Quantity("length", low="0 m", high="2 m")] | None = None
    sag_span: Annotated[float, Quantity("length", low="0.1 m", high="20 m")] | None = None
    """Along the slope, between what holds the cloth up; sag is measured at its middle."""
    holds_down: YesNo = False
    """True counts the snow as weight that holds the shelter down. It slides, blows and melts off."""
    ground_load: Annotated[float, Quantity("pressure", low="0 Pa", high="20 kPa")] | None = None
    edition: Literal["asce7-10", "asce7-16", "asce7-22", "en1991-1-3"] | None = None
    level: Literal["service", "strength"] | None = None
    """Level of ground_load, as its map says it."""
    risk_category: Literal["I", "II", "III", "IV"] | None = None
    exposure: Literal["fully", "partially", "sheltered", "windswept", "normal"] | None = None
    """How open the roof lies to the wind. ASCE 7: fully, partially, sheltered; EN: windswept, normal, sheltered."""
    heated: YesNo = False
    """True only where the inside is heated for the whole stay and the heating is logged."""
    slippery: YesNo = False
    """True only for a smooth cover with nothing in the way of sliding snow, and room for it to land."""
    winter_wind: Annotated[float, Field(ge=0, le=1, strict=True)] | None = None
    """ASCE 7-22: share of winter hours with wind over 10 mph."""
    exceptional: YesNo = False
    """EN 1991-1-3: exceptional snow."""
    building: Building | None = None
    """EN 1991-1-3: a taller building close beside."""
    return_period: Annotated[int, Field(ge=1, le=1000, strict=True)] | None = None
    """EN 1991-1-3 annex D: years."""
    variation: Annotated[float, Field(ge=0, le=2, strict=True)] | None = None
    """EN 1991-1-3 annex D: coefficient of variation of the yearly largest snow."""

    @property
    def measured(self) -> bool:
        """True where the file says what lies on the roof and it is not nothing."""
        amounts = [
            self.depth,
            self.water,
            self.core and self.core.mass,
            *(layer.depth for layer in self.layers),
        ]
        return any(amounts)

    @property
    def lies(self) -> bool:
        """True where snow is on the roof or counted there."""
        return self.measured or bool(self.ground_load)


class Strap(Part):
    """The sidewall straps, as their label and the maker's drawings give them."""

    count: Annotated[int, Field(ge=0, le=80, strict=True)] | None = None
    """On each long side, one of each cross: those that pull when the frame sways one way."""
    ends: Annotated[int, Field(ge=0, le=80, strict=True)] | None = None
    """On each end wall, one of each cross."""
    angle: Annotated[float, Field(ge=5, le=85)] | None = None
    """Degrees above the ground."""
    bay: Annotated[float, Quantity("length", low="0.3 m", high="20 m")] | None = None
    """Width of the bay that a strap crosses."""
    rated: Annotated[float, Quantity("force", low="0 N", high="500 kN")] | None = None
    """What a strap with its buckle and both ends is rated for."""
    stiffness: Annotated[float, Quantity("force", low="0 N", high="100000 kN")] | None = None
    """Pull over relative stretch: 1 kN at 2 % is 50 kN."""
    slack: Annotated[float, Quantity("length", low="0 m", high="1 m")] | None = None
    """How much a locked strap can be drawn in by hand."""


class Door(Part):
    """A door or any other opening of known size."""

    wall: Literal["front", "back", "left", "right"]
    width: Annotated[float, Quantity("length", low="0 m", high="60 m")]
    height: Annotated[float, Quantity("length", low="0 m", high="20 m")]
    state: Literal["open", "closed", "in-use"] = Field(default="open", alias="is")

    @field_validator("state", mode="before")
    @classmethod
    def _shut(cls, value: object) -> object:
        return "closed" if value == "shut" else value


class Duct(Part):
    """A round opening for a duct, hose or snorkel. It counts as open."""

    wall: Literal["front", "back", "left", "right"]
    diameter: Annotated[float, Quantity("length", low="0 m", high="3 m")]
    count: Annotated[int, Field(ge=1, le=100, strict=True)] = 1
