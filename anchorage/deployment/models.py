"""What a team writes: the deployment file, checked whole, every fault reported at once."""

from dataclasses import dataclass
from datetime import datetime
from typing import Annotated, Literal, Self

from pydantic import (
    BaseModel,
    ConfigDict,
    Field,
    PrivateAttr,
    field_validator,
    model_validator,
)

from anchorage.core.closed import TEST_MEASURES, Beneath, Material, State, TestKind
from anchorage.core.closed import Pulled as PulledThing
from anchorage.core.out import RecordOut
from anchorage.core.quantity import AnyQuantity, Quantity, Time
from anchorage.core.say import say
from anchorage.core.units import KINDS, Measure, upper

SnowKind = Literal["new", "settled", "wet", "slush", "ice"]
Depth = Annotated[float, Quantity("length", low="0 m", high="5 m")]
Water = Annotated[float, Quantity("length", low="0 m", high="2 m")]
YesNo = Annotated[bool, Field(strict=True)]


class Part(BaseModel):
    """One table of the file: frozen, no unknown keys, no NaN. What checks it is made when it is first read by, and for a whole file once:
    so a table that is left out stands as ``model_construct()``, and annotations are no strings.
    """

    model_config = ConfigDict(
        frozen=True, extra="forbid", allow_inf_nan=False, populate_by_name=True, defer_build=True
    )


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
    """Of older files. It counts nothing: snow slides, blows and melts off, and is never weight."""
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
    """A taller building close beside."""
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
    frame_across: YesNo = False
    """True by the maker's word alone: the frame itself, without straps, takes the sway across the ridge."""


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

    @property
    def closed(self) -> bool:
        """Counted as shut in the wind; one in use is not."""
        return self.state == "closed"


class Duct(Part):
    """A round opening for a duct, hose or snorkel. It counts as open."""

    wall: Literal["front", "back", "left", "right"]
    diameter: Annotated[float, Quantity("length", low="0 m", high="3 m")]
    count: Annotated[int, Field(ge=1, le=100, strict=True)] = 1


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
    """Degrees from upright, head away from the shelter. Sources disagree on what it does: it earns nothing, and what it takes away counts."""


class HowDetail(Part):
    """What holds a weight to its leg. What is left out is asked for, and meanwhile the weight counts as lying on the foot."""

    stop: YesNo | None = None
    """On the plate or under a stop: a leg that comes up takes it along."""
    every_bag: YesNo | None = None
    """Each weight is bound to the leg by itself, none only lies on another."""
    on_ground: YesNo | None = None
    """Some of the weight touches the ground; left out: it does."""


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
    how: Literal["lashed-to-leg", "hung-clear", "standing-tied", "on-foot", "on-flap"] | None = None
    how_detail: HowDetail | None = None
    foot_rated: Annotated[float, Quantity("force", low="0 N", high="500 kN")] | None = None
    """Weight that one leg and its foot bear, by their maker; left out: a condition where weight hangs on them."""
    placed: Count | dict[str, Count] | None = None
    size_for: Literal["working", "people-in", "empty", "set-up"] = "people-in"
    line_rated: Annotated[float, Quantity("force", low="0 N", high="500 kN")] | None = None
    knots: bool = True
    """False where lines end in sewn or spliced eyes: no knot takes strength away."""
    attachment_rated: Annotated[float, Quantity("force", low="0 N", high="500 kN")] | None = None
    """Rated load of the loop or ring on the shelter."""
    line_angle: Annotated[float, Field(ge=10, le=80)] | None = None
    """Of the lines to ballast on the ground, degrees above it."""
    line_plan: dict[Name, Annotated[float, Field(ge=0, le=360)]] | None = None
    """Where lines run in plan, by point: degrees clockwise from where the front faces; left out: square to the side, from corners half way."""
    bearing_area: Annotated[float, Quantity("area", low="0.001 m^2", high="20 m^2")] | None = None
    """Ground that the ballast of one point presses on."""
    friction_adds: bool = False
    """True: friction counts beside stakes and lines, less by what is left of it once something slides; else whichever holds more."""
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


Reading = Annotated[float, AnyQuantity(("force", "mass", "pressure", "speed"))]


class SiteTest(Part):
    """Something measured at the site: pulls of what slides, of stakes, weighings, readings of a vane, a meter beside a forecast."""

    kind: TestKind
    what: PulledThing | None = None
    """Of a drag: what was pulled."""
    place: Name | None = None
    """Where, by a name: several pulls at one place tell of one place."""
    contact: Literal["ground", "plate", "cloth"] | None = None
    """Of a drag: what it slid on; left out: the ground."""
    surface: Name | None = None
    """Left out: that of the site."""
    state: State | None = None
    """Of the ground then; left out: dry."""
    load: Annotated[float, AnyQuantity(("mass", "force"))] | None = None
    """Of a drag: what was pulled with all that stood on it, weighed."""
    force: Annotated[list[Reading], Field(max_length=50)] = []
    """What was read, one pull or reading each: force, mass, pressure or speed by the kind."""
    steady: Annotated[list[Reading], Field(max_length=50)] = []
    """Of a drag: the force while it slid, in the order of the pulls. Of a meter: the gust that was forecast for then."""
    angle: Annotated[float, Field(ge=0, le=90)] | None = None
    """Of the pull above the ground, degrees. A drag is level."""
    movement: Annotated[float, Quantity("length", low="0 m", high="1 m")] | None = None
    """Of the head of a stake when the force was read."""
    at: Annotated[str, Field(max_length=40)] | None = None
    """When, with its date: 2026-11-28 13:40, in the zone of ``[outlook]`` or with its offset."""
    _lost: str = PrivateAttr(default="")

    @property
    def lost(self) -> str:
        """Code of why it counts no more; nothing while it counts. No key of the file."""
        return self._lost

    def losing(self, why: str) -> Self:
        """A copy that counts no more."""
        made = self.model_copy()
        made._lost = why  # noqa: SLF001 - a copy of this very class
        return made

    @field_validator("at")
    @classmethod
    def _dated(cls, value: str | None) -> str | None:
        if value is not None:
            try:
                datetime.fromisoformat(value)
            except ValueError:
                raise ValueError(say('give its date and time, such as "2026-11-28 13:40"')) from None
        return value

    @model_validator(mode="after")
    def _measures(self) -> Self:
        """What was read is of the kind that the test reads."""
        wanted = TEST_MEASURES[self.kind]
        for value in (*self.force, *self.steady):
            scale = {"force", "mass"}  # a scale reads either
            if isinstance(value, Measure) and value.kind != wanted and not {value.kind, wanted} <= scale:
                raise ValueError(
                    say(
                        "{value}: a {kind} test reads {noun}",
                        value=value.text,
                        kind=self.kind,
                        noun=KINDS[wanted].noun,
                    )
                )
        return self


class Halfway(Part):
    """How it is set up, and in reverse taken down."""

    cover: Literal["attached", "after"] | None = None
    """Whether roof and walls are on the frame when it is raised, or go on after; left out: asked, and the worse of both."""
    placed: Count | dict[str, Count] | None = None
    """At the points before roof and walls go on after the frame. Left out: as many of all that it gets as are asked for."""


Fraction = Annotated[float, Field(ge=0, le=1, strict=True)]
Size = Annotated[float, Quantity("length", low="0.3 m", high="60 m")]
Gust = Annotated[float, Quantity("speed", low="0 m/s", high="100 m/s")]
Mass = Annotated[float, Quantity("mass", low="0 kg", high="20000 kg")]

ALIASES = {
    "mono": "single-slope",
    "vault": "arch",
    "free-gable": "canopy-gable",
    "free-mono": "canopy-single-slope",
}
SURROUNDINGS = {"open": "D", "field": "C", "town": "B"}
"""What lies around the shelter, in words, for each exposure."""
SPEED_IS: dict[str, tuple[str, str | None]] = {
    "forecast-gust": ("3 s", "33 ft"),
    "forecast-wind": ("10 min", "33 ft"),
    "meter-peak": ("3 s", None),
    "meter-average": ("2 min", None),
    "airport-wind": ("2 min", "33 ft"),
}
"""What a leader can say about a wind number: its averaging time, and its height where that is known."""
AVERAGING_S = {"3 s": 3.0, "1 min": 60.0, "2 min": 120.0, "10 min": 600.0, "1 h": 3600.0}


class Openings(Part):
    """Share of each wall that is open while the wind blows, 0 to 1."""

    front: Fraction = 0.0
    back: Fraction = 0.0
    left: Fraction = 0.0
    right: Fraction = 0.0


class Rating(Part):
    """What stands in the maker's manual. Nothing else belongs here, and nothing is invented."""

    gust_unlocked: Gust | None = None
    gust_locked: Gust | None = None
    roof_snow_unlocked: Annotated[float, Quantity("pressure", low="0 Pa", high="10 kPa")] | None = None
    roof_snow_locked: Annotated[float, Quantity("pressure", low="0 Pa", high="10 kPa")] | None = None


class Joined(Part):
    """Shelters of one size put together: end to end they are one long shelter."""

    count: Annotated[int, Field(ge=2, le=20, strict=True)]
    how: Literal["end-to-end", "side-by-side"]


class Sector(Part):
    """The ground that the wind comes over between two bearings, clockwise."""

    start: Annotated[float, Field(ge=0, le=360)] = Field(alias="from")
    end: Annotated[float, Field(ge=0, le=360)] = Field(alias="to")
    exposure: Literal["B", "C", "D"] | None = None
    terrain_category: Literal["0", "I", "II", "III", "IV"] | None = None


class Topography(Part):
    """A ridge, escarpment or round hill that the shelter stands on or near, which speeds the wind up."""

    feature: Literal["ridge", "escarpment", "hill"]
    height: Annotated[float, Quantity("length", low="0.3 m", high="3000 m")]
    """H, of the crest above the ground upwind."""
    half_length: Annotated[float, Quantity("length", low="1 m", high="20000 m")]
    """Lh, distance upwind of the crest to where the ground is half as high."""
    distance: Annotated[float, Quantity("length", low="0 m", high="20000 m")] = 0.0
    """x, of the shelter from the crest; left out: at the crest, the worst."""
    side: Literal["upwind", "downwind"] | None = None
    """Of the crest; left out: the worse."""


class Shelter(Part):
    """The shelter: its form, sizes, mass, openings, anchor points."""

    form: Literal["gable", "hip", "single-slope", "arch", "canopy-gable", "canopy-single-slope"]
    length: Size
    width: Size
    eave: Annotated[float, Quantity("length", low="0 m", high="60 m")]
    """0 only for an arch that springs from the ground."""
    ridge: Size | None = None
    ridge_length: Annotated[float, Quantity("length", low="0 m", high="60 m")] | None = None
    """Of a hip roof; left out: the same slope all round."""
    blockage: Literal["clear", "obstructed"] | None = None
    """Under a canopy, more than half of the way of the wind blocked or not; left out: the worse of both."""
    joined: Joined | None = None
    mass: Mass | None = None
    high_side: Literal["left", "right"] = "left"
    points_per_side: Annotated[int, Field(ge=2, le=40, strict=True)]
    points_per_end: Annotated[int, Field(ge=2, le=40, strict=True)] = 2
    openings: Openings | None = None
    rating: Rating = Rating.model_construct()
    straps: Literal["unlocked", "locked"] = "unlocked"
    strap: Strap | None = None
    spans_lost_foot: bool = False
    """True by the maker's word alone: the frame carries a foot that holds nothing over to its neighbours."""
    lean: Annotated[float, Field(ge=0, le=0.2)] | None = None
    """How far the frame leans, over its height, as it stands: 0.01 is 1 in 100."""
    leg_lean: Annotated[float, Field(ge=-45, le=45)] | None = None
    """Degrees that the legs lean inward from upright."""
    use: Name | None = None
    """A file with a [shelter] table to start from; keys given here go before it."""

    @field_validator("form", mode="before")
    @classmethod
    def _alias(cls, value: object) -> object:
        return ALIASES.get(value, value) if isinstance(value, str) else value

    @property
    def in_line(self) -> int:
        """Shelters end to end that count as one."""
        return self.joined.count if self.joined and self.joined.how == "end-to-end" else 1

    @property
    def side_points(self) -> int:
        """Anchor points along each long side of all that is joined in line; neighbours share those at the joint."""
        return self.in_line * (self.points_per_side - 1) + 1


class Spot(Part):
    """Other ground close by, where the shelter could stand instead."""

    surface: Name
    state: State | None = None
    """Left out: the slipperiest that the weather allows."""
    distance: Annotated[float, Quantity("length", low="0 m", high="5 km")] | None = None
    """To carry shelter and anchors over; left out: the work of carrying is not counted."""


class Site(Part):
    """The ground and the air."""

    surface: Name | None = None
    state: State | None = None
    beneath: Beneath | None = None
    """What hard ground is the top of; left out: asked for. Anything but nothing is refused."""
    lowest_friction_by: Name | None = None
    """Who accepts that ground that is not listed counts with the lowest friction of the table."""
    other: Annotated[list[Spot], Field(max_length=20)] = Field(default_factory=list)
    """Other ground close by; only ways of holding it are compared there."""
    exposure: Literal["B", "C", "D"] | None = None
    surroundings: Literal["open", "field", "town"] | None = None
    terrain_category: Literal["0", "I", "II", "III", "IV"] | None = None
    """Of EN 1991-1-4; left out: from the exposure or the surroundings."""
    exposures: list[Sector] = Field(default_factory=list)
    """Where the ground is not the same all round; the rest is as exposure or surroundings say."""
    z0: Annotated[float, Quantity("length", low="0.1 mm", high="2 m")] | None = None
    """Roughness length, for a mean wind read low down."""
    topography: Topography | None = None
    elevation: Annotated[float, Quantity("length", low="-500 m", high="6000 m")] | None = None
    pressure: Annotated[float, Quantity("pressure", low="45 kPa", high="110 kPa")] | None = None
    temperature: Annotated[float, Quantity("temperature", low="-45 degC", high="55 degC")] | None = None
    humidity: Fraction | None = None
    heading: Annotated[float, Field(ge=0, le=360)] | None = None
    heading_north: Literal["true", "magnetic"] = "true"
    declination: Annotated[float, Field(ge=-180, le=180)] | None = None
    latitude: Annotated[float, Field(ge=-90, le=90)] | None = None
    """Of the middle of the shelter, decimal degrees; only for the map of the points."""
    longitude: Annotated[float, Field(ge=-180, le=180)] | None = None
    utilities: Literal["marked", "not marked"] | None = None
    slope: Annotated[float, Field(ge=0, le=20)] = 0.0
    """Fall of the ground under the shelter, degrees."""
    beside: Literal["nothing", "building", "shelter"] = "nothing"
    """What stands close by: a gap between two things funnels wind; nothing is ever credited as shelter."""


class Wind(Part):
    """The wind number that you have, and what it is."""

    method: Literal["physics", "asce7-16", "asce7-22", "en1991"] = "physics"
    speed: Gust
    speed_is: (
        Literal["forecast-gust", "forecast-wind", "meter-peak", "meter-average", "airport-wind"] | None
    ) = None
    averaging: Literal["3 s", "1 min", "2 min", "10 min", "1 h"] | None = None
    conversion: Literal["larger", "durst", "wmo"] = "larger"
    level: Literal["service", "strength"] | None = None
    terrain: Literal["open", "site"] | None = None
    height: Annotated[float, Quantity("length", low="1 m", high="200 m")] | None = None
    bearing: Annotated[float, Field(ge=0, le=360)] | None = Field(default=None, alias="from")
    beaufort: Annotated[int, Field(ge=0, le=12, strict=True)] | None = None
    """Force instead of a speed: a 10 min mean, taken at the upper end of the force."""
    return_period: Annotated[float, Field(gt=1, le=10_000)] | None = None
    """Years, of the speed to judge by, where the number is a 50-year basic wind speed (en1991)."""
    code_minimum: bool = True

    @model_validator(mode="before")
    @classmethod
    def _force(cls, data: object) -> object:
        """Put the speed of a Beaufort force in the place of the speed that it stands for, and of a range its upper figure."""
        if isinstance(data, dict) and "speed" in data:
            data = {**data, "speed": upper(data["speed"])}
        force = data.get("beaufort") if isinstance(data, dict) else None
        if not isinstance(data, dict) or type(force) is not int or not 0 <= force <= 12 or "speed" in data:
            return data
        from anchorage.core import tables  # noqa: PLC0415 - slow to load, and needed by few files

        top = tables.row("beaufort", f"force-{min(force + 1, 12)}").value
        return {**data, "speed": f"{top!r} m/s", "averaging": data.get("averaging", "10 min")}


class Margins(Part):
    """One named set of margins, or your own, from what you go by."""

    set: Literal["lumped-1.5", "asd", "en1997-equ", "own"] = "lumped-1.5"
    wind: Annotated[float, Field(ge=0.5, le=5)] | None = None
    shelter: Annotated[float, Field(ge=0, le=1)] | None = None
    ballast: Annotated[float, Field(ge=0, le=1)] | None = None
    friction: Annotated[float, Field(ge=0, le=1)] | None = None
    stake: Annotated[float, Field(ge=0, le=1)] | None = None
    line: Annotated[float, Field(ge=0.5, le=5)] | None = None
    level: Literal["service", "strength"] | None = None
    source: Name | None = None


class Times(Part):
    """How long things take with your crew. Where a deadline needs one that is not here, it is asked for."""

    setup: Time | None = None
    secure: Time | None = None
    notify: Time | None = None
    people_out: Time | None = None
    strike: Time | None = None
    margin: Time | None = None
    start: str | None = None
    end: str | None = None


class Crew(Part):
    """Who does the work."""

    people: Annotated[int, Field(ge=1, le=1000, strict=True)] | None = None
    """Left out: as many as the table takes."""


class KeepClear(Part):
    """A stretch along a wall over which no line may run: an exit, the way of vehicles, the clean side."""

    side: Literal["front", "back", "left", "right"]
    start: Annotated[float, Quantity("length", low="0 m", high="1000 m")] | None = Field(
        default=None, alias="from"
    )
    """Along the wall, from the front or from the left; left out: from its beginning."""
    end: Annotated[float, Quantity("length", low="0 m", high="1000 m")] | None = Field(
        default=None, alias="to"
    )
    """Left out: to its end."""
    why: Name | None = None


class Policy(Part):
    """Operating policy and local rules. Shares of the limiting gust that are looser than published practice need a name under them."""

    secure: Annotated[float, Field(gt=0, lt=1, strict=True)] | None = None
    """Share of the limiting gust from which nobody new goes in."""
    people_out: Annotated[float, Field(gt=0, le=1, strict=True)] | None = None
    """Share of the limiting gust from which everybody is out."""
    signed_by: Name | None = None
    """Who answers for it; printed on every page where it is looser than published practice."""
    gust: Gust | None = None
    setup_gust: Gust | None = None
    snow: Literal["cts-7", "en-13782"] | None = None
    """A regulator's rule for tents in snow."""
    snow_load: Annotated[float, Quantity("pressure", low="1 Pa", high="10 kPa")] | None = None
    snow_depth: Annotated[float, Quantity("length", low="1 mm", high="5 m")] | None = None


class ForecastIn(Part):
    """A forecast heard on the radio or read off a board, line by line as it was said."""

    heard: Annotated[str, Field(max_length=40)]
    """When: a time such as "13:40", with the zone of ``[outlook]``, or with its date and offset."""
    lines: Annotated[list[Annotated[str, Field(max_length=500)]], Field(min_length=1, max_length=200)]


class OutlookIn(Part):
    """Zone of the people, and levels of your own."""

    zone: Annotated[str, Field(max_length=60)] | None = None
    secure: Annotated[float, Field(gt=0, lt=1, strict=True)] | None = None
    people_out: Annotated[float, Field(gt=0, le=1, strict=True)] | None = None
    spread: Annotated[float, Quantity("speed", low="0 m/s", high="30 m/s")] | None = None
    """Standard deviation of the gust, where the forecast has none."""


class About(Part):
    """What to call it and which units to show."""

    name: Name = "unnamed deployment"
    show_units: Literal["us", "si"] = "us"
    lang: Literal["en", "es", "fr"] | None = None
    use: Literal["decon", "triage", "command-post", "hospitality", "other"] | None = None
    weighed: bool = False
    """Masses that are more than usual were weighed."""
    mixed_units: bool = False
    """What is typed in other units than the shelter is meant so."""


@dataclass(frozen=True)
class Gaps:
    """What may stand open in the walls."""

    openings: Openings | None
    doors: list[Door]
    ducts: list[Duct]


@dataclass(frozen=True)
class Ground:
    """What the file says of the ground that it stands on: what lies and falls there, what was tested, and what is spilt."""

    site: Site
    snow: Snow
    points: list[PointIn]
    tests: list[SiteTest]
    settled: bool
    """The state was chosen with the temperature of its hour in mind."""
    decon: bool
    """Water is spilt there as long as it stands."""


class Deployment(Part):
    """A deployment file. docs: ``anchorage schema`` prints it as a JSON Schema."""

    deployment: About = About.model_construct()
    shelter: Shelter
    site: Site = Site.model_construct()
    wind: Wind
    snow: Snow = Snow.model_construct()
    anchorage: Anchorage
    margins: Margins = Margins.model_construct()
    stock: dict[str, Count] | None = None
    times: Times = Times.model_construct()
    crew: Crew = Crew.model_construct()
    policy: Policy = Policy.model_construct()
    door: list[Door] = Field(default_factory=list)
    duct: list[Duct] = Field(default_factory=list)
    point: list[PointIn] = Field(default_factory=list)
    keep_clear: Annotated[list[KeepClear], Field(max_length=50)] = Field(default_factory=list)
    test: Annotated[list[SiteTest], Field(max_length=200)] = Field(default_factory=list)
    halfway: Halfway = Halfway.model_construct()
    forecast: ForecastIn | None = None
    outlook: OutlookIn = OutlookIn.model_construct()
    _record: RecordOut | None = PrivateAttr(default=None)
    _settled: bool = PrivateAttr(default=False)

    @property
    def record(self) -> RecordOut | None:
        """The record that was put over the file (``record.over``); no key of the file, and copied along with it."""
        return self._record

    @property
    def settled(self) -> bool:
        """Whether the state of the ground was chosen with the temperature of its hour in mind: the thermometer of the file has no say in it."""
        return self._settled

    @property
    def gaps(self) -> Gaps:
        """All of the file that lets wind in through the walls."""
        return Gaps(self.shelter.openings, self.door, self.duct)

    @property
    def ground(self) -> Ground:
        """All of the file that bears on what the ground gives."""
        decon = self.deployment.use == "decon"
        return Ground(self.site, self.snow, self.point, self.test, self._settled, decon)

    def settle(self) -> Self:
        """A copy whose state of the ground stands as it is."""
        made = self.model_copy()
        made._settled = True  # noqa: SLF001 - a copy of this very class
        return made

    def under(self, record: RecordOut | None) -> Self:
        """A copy that a record stands over, or none."""
        made = self.model_copy()
        made._record = record  # noqa: SLF001 - a copy of this very class
        return made
