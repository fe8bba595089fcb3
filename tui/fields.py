"""The fields of the form by subject: label, what is accepted from a list, an example. What they mean is in ``help.py``."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass, replace
from functools import lru_cache

from anchorage.core.choices import NAMES, SNOW, UNITS, also, chosen, code_of, folded
from anchorage.core.closed import BENEATH, MATERIALS, PULLED, STATES, TEST_MEASURES
from anchorage.core.say import Word, language, later, mark
from anchorage.deployment.draft import Draft, items, number_in, numbered, template


@dataclass(frozen=True)
class Field:
    """One field: ``key`` is the dotted key of the deployment file."""

    key: str
    label: str
    example: str = ""
    choices: tuple[str, ...] = ()
    step: float = 1.0
    """What one press of the keys for more and less adds or takes."""
    asks: str = ""
    """What stands there while it is empty, where leaving it out decides much: a question."""


@dataclass(frozen=True)
class Several:
    """A list of the file: the fields of each item, and always those of one item more, which is begun by typing in it."""

    name: str
    word: str
    """What one item is called."""
    add: str
    """What stands in the first field of the next one."""
    fields: tuple[Field, ...]
    least: int = 1
    """Items that there is room for at the least."""
    folds: bool = False
    """Of an item that one is not in, the first field only is shown."""

    def rows(self, draft: Draft) -> Iterator[Field]:
        """The fields of every item and of one more."""
        for n in range(1, max(items(draft, self.name) + 1, self.least) + 1):
            yield from (numbered_field(f.key, n) for f in self.fields)


@dataclass(frozen=True)
class Only:
    """A field that stands here only for one answer to another: elsewhere it always has its place."""

    field: Field
    key: str
    texts: tuple[str, ...]

    @property
    def fields(self) -> tuple[Field, ...]:
        """It alone."""
        return (self.field,)

    def rows(self, draft: Draft) -> Iterator[Field]:
        """It, or nothing."""
        if draft.text(self.key) in self.texts or draft.text(self.field.key):
            yield self.field


@dataclass(frozen=True)
class Subject:
    """Fields that are filled in together."""

    name: str
    parts: tuple[Field | Several | Only, ...]

    @property
    def fields(self) -> tuple[Field, ...]:
        """Every field, those of lists once."""
        return tuple(f for p in self.parts for f in ((p,) if isinstance(p, Field) else p.fields))

    def rows(self, draft: Draft) -> list[Field]:
        """The fields for a draft, those of lists for each item."""
        return [f for p in self.parts for f in ((p,) if isinstance(p, Field) else p.rows(draft))]


SURFACES = ("asphalt", "concrete", "concrete-smooth", "gravel", "grass", "sand", "clay", "other")
KINDS = ("ballast", "stakes", "line-ballast", "deadman", "mixed")
BALLAST = ("sandbag", "sandbag-30", "water-barrel", "water-barrel-full", "water-tote", "concrete-block",
           "concrete-barrier-10ft")  # fmt: skip
SOILS = ("thumb-very-soft", "thumb-soft", "thumb-firm", "thumb-hard", "thumb-very-hard", "loose-sand", "medium-sand",
         "dense-sand", "gravel", "silty-sand", "silt", "very-soft-clay", "soft-clay", "medium-clay", "stiff-clay",
         "very-stiff-clay", "hard-clay")  # fmt: skip
SNOW_KINDS = ("new", "settled", "wet", "slush", "ice")
YES_NO = ("true", "false")
WALLS = ("front", "back", "left", "right")
SPEED_IS = ("forecast-gust", "forecast-wind", "meter-peak", "meter-average", "airport-wind")
STRAPS = ("unlocked", "locked")
CATEGORIES = ("0", "I", "II", "III", "IV")

_surface = Field("site.surface", later("Ground"), "asphalt", SURFACES)
_state = Field("site.state", later("Its state"), "wet", STATES, asks=later("in what state?"))
_beneath = Field("site.beneath", later("Beneath it"), "nothing", BENEATH, asks=later("what is beneath?"))
_around = Field("site.surroundings", later("Surroundings"), "field", ("open", "field", "town"))
_gust = Field("wind.speed", later("Wind"), "35 mph", step=5)
_is = Field("wind.speed_is", later("That wind is"), "forecast-gust", SPEED_IS, asks=later("what kind is it?"))
_from = Field("wind.from", later("Wind from"), "270", step=15)
_use = Field(
    "anchorage.size_for",
    later("Held for"),
    "people-in",
    ("working", "people-in", "empty", "set-up"),
    asks=later("for what use?"),
)
_kind = Field("anchorage.kind", later("Held by"), "ballast", KINDS)
_unit = Field("anchorage.unit", later("Ballast is"), "sandbag", BALLAST)
_mass = Field("anchorage.unit_mass", later("One weighs"), "38 lb", asks=later("what does one weigh?"))
_cover = Field(
    "halfway.cover", later("Cover goes on"), "attached", ("attached", "after"), asks=later("put on when?")
)
_placed = Field("anchorage.placed", later("Placed each"), "12")
_how = Field(
    "anchorage.how",
    later("Attached"),
    "lashed-to-leg",
    ("lashed-to-leg", "hung-clear", "standing-tied", "on-foot", "on-flap"),
    asks=later("how is it tied?"),
)
_stop = Field("anchorage.how_detail.stop", later("Leg can't lift"), "true", YES_NO)
_every = Field("anchorage.how_detail.every_bag", later("Each one bound"), "true", YES_NO)
_touches = Field("anchorage.how_detail.on_ground", later("Touches ground"), "false", YES_NO)
_foot = Field(
    "anchorage.foot",
    later("Frame foot"),
    "bare-metal",
    ("bare-metal", "plastic", "rubber"),
    asks=later("what material?"),
)
_straps = Field("shelter.straps", later("Wall straps"), "unlocked", STRAPS)
_bags = Field("stock.sandbags", later("Sandbags"), "120", step=10, asks=later("how many brought?"))
_stakes = Field("stock.stakes", later("Stakes"), "24")
OTHERS = {
    "sandbag-30": Field("stock.sandbag_30s", later("Small sandbags"), "40", step=10),
    "water-barrel": Field("stock.water_barrels", later("Water barrels"), "20"),
    "water-barrel-full": Field("stock.water_barrel_fulls", later("Full barrels"), "20"),
    "water-tote": Field("stock.water_totes", later("Water totes"), "4"),
    "concrete-block": Field("stock.concrete_blocks", later("Concrete blocks"), "16"),
    "concrete-barrier-10ft": Field("stock.concrete_barrier_10fts", later("Barriers, 10 ft"), "6"),
}
"""How many of each other ballast were brought."""


_doors = Several("door", later("door"), later("add a door"), (
    Field("door[].wall", later("Door {n} wall"), "front", WALLS),
    Field("door[].width", later("Door {n} wide"), "6 ft"),
    Field("door[].height", later("Door {n} high"), "7 ft"),
    Field("door[].is", later("Door {n} is"), "closed", ("open", "closed", "in-use")),
))  # fmt: skip
_ducts = Several("duct", later("duct"), later("add a duct"), (
    Field("duct[].wall", later("Duct {n} wall"), "back", WALLS),
    Field("duct[].diameter", later("Duct {n} across"), "12 in"),
    Field("duct[].count", later("Duct {n} number"), "1"),
))  # fmt: skip
_points = Several("point", later("point"), later("add a point"), (
    Field("point[].id", later("Point {n}"), "R3"),
    Field("point[].kind", later("  held by"), "stakes", ("ballast", "stakes", "line-ballast", "deadman", "none", "vehicle")),
    Field("point[].unit", later("  ballast is"), "sandbag", BALLAST),
    Field("point[].placed", later("  placed"), "10"),
    Field("point[].driven", later("  driven"), "24 in"),
    Field("point[].surface", later("  ground"), "grass", SURFACES),
    Field("point[].state", later("  its state"), "wet", STATES),
    Field("point[].soil", later("  its soil"), "thumb-firm", SOILS),
    Field("point[].unit_material", later("  made of"), "woven", MATERIALS),
    Field("point[].on_ground", later("  on the ground"), "true", YES_NO),
    Field("point[].usable", later("  can be used"), "true", YES_NO),
), folds=True)  # fmt: skip
_layers = Several("snow.layers", later("layer"), later("add a layer"), (
    Field("snow.layers[].depth", later("Layer {n} depth"), "2 in"),
    Field("snow.layers[].kind", later("Layer {n} kind"), "settled", SNOW_KINDS),
))  # fmt: skip
_sectors = Several("site.exposures", later("sector"), later("add a sector"), (
    Field("site.exposures[].from", later("Sector {n} from"), "180", step=15),
    Field("site.exposures[].to", later("Sector {n} to"), "270", step=15),
    Field("site.exposures[].exposure", later("Sector {n} exp."), "D", ("B", "C", "D")),
    Field("site.exposures[].terrain_category", later("Sector {n} cat."), "I", CATEGORIES),
))  # fmt: skip
_spots = Several("site.other", later("spot"), later("add a spot"), (
    Field("site.other[].surface", later("Spot {n} ground"), "grass", SURFACES),
    Field("site.other[].state", later("  its state"), "wet", STATES),
    Field("site.other[].distance", later("  distance"), "60 ft", step=10),
), folds=True)  # fmt: skip
_clear = Several("keep_clear", later("stretch"), later("add a stretch"), (
    Field("keep_clear[].side", later("Keep clear {n}"), "front", WALLS),
    Field("keep_clear[].from", later("  from"), "4 ft"),
    Field("keep_clear[].to", later("  to"), "10 ft"),
    Field("keep_clear[].why", later("  what for"), "exit"),
), folds=True)  # fmt: skip
_tests = Several("test", later("test"), later("add a test"), (
    Field("test[].kind", later("Test {n}"), "drag", tuple(TEST_MEASURES)),
    Field("test[].what", later("  pulled"), "foot", PULLED),
    Field("test[].place", later("  place"), later("by the gate")),
    Field("test[].load", later("  it carries"), "160 lb"),
    Field("test[].force", later("  read"), "92 lbf"),
    Field("test[].steady", later("  steady"), "85 lbf"),
    Field("test[].state", later("  ground was"), "wet", STATES),
    Field("test[].contact", later("  it slid on"), "ground", ("ground", "plate", "cloth")),
    Field("test[].surface", later("  ground"), "asphalt", SURFACES),
    Field("test[].angle", later("  pulled at"), "45", step=5),
    Field("test[].movement", later("  head moved"), "1 in", step=0.5),
    Field("test[].at", later("  when"), "2026-11-28 13:40"),
), folds=True)  # fmt: skip
LINE = mark("line (forecast)")
_lines = Several(
    "forecast.lines",
    Word("line", "forecast"),
    later("add a line"),
    (Field("forecast.lines[]", later("Line {n}"), "until 18:00 gust 35 mph"),),
    least=8,
)


SUBJECTS: tuple[Subject, ...] = (
    Subject(later("Today"), (_surface, _state, _around, _gust, _is, _from, _use, _kind, _unit, Only(_mass, _kind.key, ("ballast", "line-ballast")), _how, *(Only(f, _how.key, ("lashed-to-leg",)) for f in (_stop, _every)),
                      _foot, _placed, _beneath, _straps, _cover, *(Only(f, _unit.key, (unit,)) for unit, f in OTHERS.items()), _bags, _stakes, Field("deployment.name", later("Name"), later("clinic forecourt")))),
    Subject(later("Shelter"), (
        Field("shelter.use", later("Saved shelter"), "our-shelter.toml"),
        Field("shelter.form", later("Roof"), "gable", ("gable", "hip", "single-slope", "arch", "canopy-gable", "canopy-single-slope")),
        Field("shelter.length", later("Length"), "24 ft"),
        Field("shelter.width", later("Width"), "18 ft"),
        Field("shelter.eave", later("Wall height"), "7 ft"),
        Field("shelter.ridge", later("Ridge height"), "9 ft 6 in"),
        Field("shelter.high_side", later("High side"), "left", ("left", "right")),
        Field("shelter.mass", later("Shelter mass"), "310 lb", step=10),
        Field("shelter.points_per_side", later("Points a side"), "4"),
        Field("shelter.points_per_end", later("Points an end"), "2"),
        Field("shelter.ridge_length", later("Ridge length"), "12 ft"),
        Field("shelter.blockage", later("Under canopy"), "clear", ("clear", "obstructed")),
        Field("shelter.joined.count", later("Joined, number"), "2"),
        Field("shelter.joined.how", later("Joined how"), "end-to-end", ("end-to-end", "side-by-side")),
        Field("deployment.name", later("Name"), later("clinic forecourt")),
        Field("deployment.use", later("Used for"), "decon", ("decon", "triage", "command-post", "hospitality", "other")),
        Field("deployment.weighed", later("Masses weighed"), "false", YES_NO),
        Field("deployment.mixed_units", later("Units mixed"), "false", YES_NO),
        Field("deployment.show_units", later("Show units"), "us", ("us", "si")),
        Field("deployment.lang", later("Language"), "en", ("en", "es", "fr")),
    )),
    Subject(later("Maker"), (
        Field("shelter.rating.gust_unlocked", later("Gust, unlocked"), "38 mph", step=5),
        Field("shelter.rating.gust_locked", later("Gust, locked"), "52 mph", step=5),
        Field("shelter.rating.roof_snow_unlocked", later("Snow, unlocked"), "3.5 psf"),
        Field("shelter.rating.roof_snow_locked", later("Snow, locked"), "9 psf"),
        _straps,
        Field("shelter.strap.count", later("Straps a side"), "3"),
        Field("shelter.strap.ends", later("Straps an end"), "0"),
        Field("shelter.strap.angle", later("Strap angle"), "45", step=5),
        Field("shelter.strap.bay", later("Strap bay"), "6 ft 8 in"),
        Field("shelter.strap.rated", later("Strap rated"), "1500 lbf", step=100),
        Field("shelter.strap.stiffness", later("Strap stiffness"), "30000 lbf", step=1000),
        Field("shelter.strap.slack", later("Strap slack"), "0.5 in", step=0.5),
        Field("shelter.strap.frame_across", later("Frame, sideways"), "false", YES_NO),
        Field("shelter.spans_lost_foot", later("Spans lost foot"), "false", YES_NO),
        Field("shelter.lean", later("Lean"), "0.01", step=0.01),
        Field("shelter.leg_lean", later("Leg lean"), "5"),
    )),
    Subject(later("Openings"), (
        _doors, _ducts,
        *(Field(f"shelter.openings.{w}", later("Open, {w}", w=later(w)), "0.0", step=0.1) for w in WALLS),
    )),
    Subject(later("Site"), (
        _surface, _beneath, _state, _around,
        Field("site.heading", later("Front faces"), "40", step=15),
        Field("site.heading_north", later("By which north"), "true", ("true", "magnetic")),
        Field("site.declination", later("Declination"), "-9.5"),
        Field("site.elevation", later("Elevation"), "900 ft", step=100),
        Field("site.temperature", later("Temperature"), "40 degF", step=5),
        Field("site.slope", later("Ground slope"), "2"),
        Field("site.beside", later("Beside it"), "nothing", ("nothing", "building", "shelter")),
        Field("site.utilities", later("Utilities"), "marked", ("marked", "not marked")),
        Field("site.lowest_friction_by", later("Ground taken by"), later("the name of who accepts it")),
        Field("site.pressure", later("Air pressure"), "29.5 inHg"),
        Field("site.humidity", later("Humidity"), "0.5", step=0.1),
        Field("site.latitude", later("Latitude"), "41.5"),
        Field("site.longitude", later("Longitude"), "-87.5"),
        Field("site.topography.feature", later("Hill is"), "hill", ("ridge", "escarpment", "hill")),
        Field("site.topography.height", later("Hill height"), "80 ft", step=10),
        Field("site.topography.half_length", later("Hill half-width"), "400 ft", step=50),
        Field("site.topography.distance", later("From its crest"), "50 ft", step=10),
        Field("site.topography.side", later("On its side"), "upwind", ("upwind", "downwind")),
        _spots,
    )),
    Subject(later("Wind"), (
        _gust, _is, _from,
        Field("wind.beaufort", later("Beaufort"), "6"),
        Field("wind.averaging", later("Averaged over"), "3 s", ("3 s", "1 min", "2 min", "10 min", "1 h")),
        Field("wind.height", later("Its height"), "33 ft"),
        Field("wind.terrain", later("Its terrain"), "open", ("open", "site")),
        Field("wind.method", later("Method"), "physics", ("physics", "asce7-16", "asce7-22", "en1991")),
        Field("wind.level", later("Level"), "service", ("service", "strength")),
        Field("wind.conversion", later("Gust factor by"), "larger", ("larger", "durst", "wmo")),
    )),
    Subject(later("Snow"), (
        Field("snow.depth", later("Depth on roof"), "2 in"),
        Field("snow.kind", later("Kind"), "wet", SNOW_KINDS),
        _layers,
        Field("snow.water", later("Or as water"), "12 mm"),
        Field("snow.core.mass", later("Or core weighs"), "1.2 lb", step=0.1),
        Field("snow.core.area", later("Core, tube area"), "12 in2"),
        Field("snow.rain", later("Rain on it"), "0.2 in", step=0.1),
        Field("snow.falling.depth", later("Falls an hour"), "1 in"),
        Field("snow.falling.kind", later("Falling kind"), "new", SNOW_KINDS),
        Field("snow.falling.water", later("Falls as water"), "2 mm"),
        Field("snow.sag", later("Cloth sag"), "2 in"),
        Field("snow.sag_span", later("Sag span"), "4 ft"),
        Field("snow.pockets", later("Pockets"), "false", YES_NO),
        Field("snow.heated", later("Heated, logged"), "false", YES_NO),
        Field("snow.holds_down", later("Of older files"), "false", YES_NO),
    )),
    Subject(later("Hold"), (
        _kind, _unit,
        _mass,
        Field("anchorage.unit_material", later("One is made of"), "woven", MATERIALS),
        Field("anchorage.contact", later("Stands on"), "cloth", ("cloth", "plate", "ground")),
        _foot, _how, _stop, _every, _touches,
        Field("anchorage.foot_rated", later("Foot bears"), "1500 lbf", step=100),
        _placed,
        _use,
        Field("anchorage.line_angle", later("Line to block"), "45", step=5),
        Field("anchorage.line_plan", later("Lines run to"), "L1 270; R1 90"),
        Field("anchorage.line_rated", later("Line rated"), "1000 lbf", step=100),
        Field("anchorage.knots", later("Lines knotted"), "true", YES_NO),
        Field("anchorage.attachment_rated", later("Loop rated"), "800 lbf", step=100),
        Field("anchorage.bearing_area", later("Bears on"), "4 ft2"),
        Field("anchorage.friction_adds", later("Friction adds"), "false", YES_NO),
        Field("anchorage.stack", later("Fit on a point"), "16"),
        _cover,
        Field("halfway.placed", later("Half built"), "4"),
        Field("anchorage.block.height", later("Block eye, high"), "2 ft"),
        Field("anchorage.block.eye", later("Block eye in"), "1 ft"),
        Field("anchorage.block.middle", later("Block middle in"), "1 ft"),
        Field("anchorage.block.depth", later("Block deep"), "2 ft"),
        Field("anchorage.deadman.depth", later("Deadman depth"), "4 ft"),
        Field("anchorage.deadman.length", later("Deadman length"), "6 ft"),
        Field("anchorage.deadman.face", later("Deadman face"), "8 in"),
        Field("anchorage.deadman.thickness", later("Deadman thick"), "8 in"),
        Field("anchorage.deadman.ground", later("Deadman ground"), "sand", ("loam", "sand", "fine", "hardpan", "fine-wet")),
        Field("anchorage.deadman.trench", later("Line trench"), "2 ft"),
    )),
    Subject(later("Points"), (_points, _clear)),
    Subject(later("Stakes"), (
        Field("anchorage.stake.diameter", later("Bar across"), "1 in", step=0.25),
        Field("anchorage.stake.driven", later("Driven"), "30 in"),
        Field("anchorage.stake.line_angle", later("Line angle"), "45", step=5),
        Field("anchorage.stake.line_height", later("Line height"), "2 in"),
        Field("anchorage.stake.soil", later("Soil"), "thumb-firm", SOILS),
        Field("anchorage.stake.pull_tests", later("Pull tests"), "620 lbf; 700 lbf; 655 lbf"),
        Field("anchorage.stake.pull_angle", later("Pulled at"), "45", step=5),
        Field("anchorage.stake.pulled", later("Pulled"), "held", ("to-failure", "held")),
        Field("anchorage.stake.tested", later("Tested when"), "dry", ("dry", "wet")),
        Field("anchorage.stake.test_driven", later("Pulled: driven"), "30 in"),
        Field("anchorage.stake.test_diameter", later("Pulled: across"), "1 in", step=0.25),
        Field("anchorage.stake.test_height", later("Pulled: height"), "2 in"),
        Field("anchorage.stake.test_soil", later("Pulled: soil"), "thumb-firm", SOILS),
        Field("anchorage.stake.spacing", later("Spacing"), "12 in"),
        Field("anchorage.stake.combination", later("Picket row"), "1-1", ("1-1", "2-1", "1-1-1", "3-2-1")),
        Field("anchorage.stake.lean", later("Stake leans out"), "15", step=5),
        Field("anchorage.line_rated", later("Line rated"), "1000 lbf", step=100),
    )),
    Subject(later("Tests"), (_tests,)),
    Subject(later("Margins"), (
        Field("margins.set", later("Margin set"), "lumped-1.5", ("lumped-1.5", "asd", "en1997-equ", "own")),
        Field("margins.wind", later("Own: wind"), "1.5", step=0.1),
        Field("margins.shelter", later("Own: shelter"), "1.0", step=0.1),
        Field("margins.ballast", later("Own: ballast"), "1.0", step=0.1),
        Field("margins.friction", later("Own: friction"), "1.0", step=0.1),
        Field("margins.stake", later("Own: stake"), "0.75", step=0.05),
        Field("margins.line", later("Own: line"), "1.0", step=0.1),
        Field("margins.level", later("Own: level"), "service", ("service", "strength")),
        Field("margins.source", later("Own: source"), later("manual, page 12")),
        Field("policy.gust", later("Local gust"), "35 mph", step=5),
        Field("policy.setup_gust", later("Local set-up"), "20 mph", step=5),
        Field("policy.snow", later("Local snow"), "en-13782", ("cts-7", "en-13782")),
        Field("policy.snow_load", later("Local load"), "2 psf", step=0.5),
        Field("policy.snow_depth", later("Local depth"), "3 in"),
        Field("policy.secure", later("SECURE at"), "0.6", step=0.05),
        Field("policy.people_out", later("PEOPLE OUT at"), "0.8", step=0.05),
        Field("policy.signed_by", later("Signed by"), "A. Lee"),
        Field("outlook.secure", later("SECURE, older"), "0.6", step=0.05),
        Field("outlook.people_out", later("OUT, older"), "0.8", step=0.05),
        Field("outlook.spread", later("Forecast spread"), "5 mph"),
    )),
    Subject(later("Stock"), (
        _bags, _stakes, Field("crew.people", later("People to work"), "4"),
        *OTHERS.values(),
        Field("stock.deadmen", later("Deadmen"), "8"),
        Field("stock.lines", later("Lines"), "16"),
        Field("stock.units", later("Other units"), "40"),
    )),
    Subject(later("Times"), (
        Field("times.start", later("Stay begins"), "18:00"),
        Field("times.end", later("Stay ends"), "2026-11-26 06:00"),
        Field("outlook.zone", later("Time zone"), "America/Chicago"),
        *(Field(f"times.{k}", label, example, step=5) for k, label, example in (
            ("setup", later("To set up"), "45 min"), ("secure", later("To secure"), "10 min"), ("notify", later("To tell all"), "5 min"),
            ("people_out", later("People out"), "10 min"), ("strike", later("To take down"), "40 min"), ("margin", later("Spare"), "15 min"))),
    )),
    Subject(later("Forecast"), (
        Field("forecast.heard", later("Heard at"), "13:40"),
        Field("outlook.zone", later("Time zone"), "America/Chicago"),
        _lines,
    )),
    Subject(later("Code"), (
        Field("site.exposure", later("Exposure"), "C", ("B", "C", "D")),
        Field("site.terrain_category", later("Terrain cat."), "II", CATEGORIES),
        Field("site.z0", later("Roughness z0"), "0.05 m", step=0.01),
        _sectors,
        Field("wind.return_period", later("Wind, years"), "50", step=10),
        Field("wind.code_minimum", later("Least code wind"), "true", YES_NO),
        Field("snow.ground_load", later("Code snow"), "20 psf", step=5),
        Field("snow.edition", later("Code edition"), "asce7-22", ("asce7-10", "asce7-16", "asce7-22", "en1991-1-3")),
        Field("snow.level", later("Code level"), "service", ("service", "strength")),
        Field("snow.risk_category", later("Risk category"), "II", ("I", "II", "III", "IV")),
        Field("snow.exposure", later("Roof lies"), "partially", ("fully", "partially", "sheltered", "windswept", "normal")),
        Field("snow.slippery", later("Slippery roof"), "false", YES_NO),
        Field("snow.winter_wind", later("Winter wind"), "0.3", step=0.05),
        Field("snow.exceptional", later("Exceptional"), "false", YES_NO),
        Field("snow.building.width", later("Building width"), "40 ft", step=5),
        Field("snow.building.height", later("Building height"), "25 ft", step=5),
        Field("snow.building.slope", later("Building slope"), "30", step=5),
        Field("snow.return_period", later("Snow, years"), "50", step=10),
        Field("snow.variation", later("Snow variation"), "0.5", step=0.05),
    )),
)  # fmt: skip
KEYS: tuple[str, ...] = tuple(dict.fromkeys(f.key for s in SUBJECTS for f in s.fields))
FIELDS: dict[str, Field] = {f.key: f for s in SUBJECTS for f in s.fields}
"""By key; the fields of a list by their key without a number."""
TURNS = frozenset(p.key for s in SUBJECTS for p in s.parts if isinstance(p, Only))
"""Fields of which the answer decides what other rows there are."""
LISTS: dict[str, Several] = {p.name: p for s in SUBJECTS for p in s.parts if isinstance(p, Several)}


OWN_NAMES = frozenset(
    {
        "site.surface",
        "anchorage.unit",
        "site.other[].surface",
        "point[].id",
        "point[].unit",
        "point[].surface",
        "test[].surface",
    }
)
"""Fields with choices in which a name of one's own may be typed too."""
OF = {
    "site.surface": "ground", "site.other[].surface": "ground", "point[].surface": "ground", "test[].surface": "ground",
    "site.state": "state", "site.other[].state": "state", "point[].state": "state", "test[].state": "state", "anchorage.stake.tested": "state",
    "site.beneath": "under", "site.beside": "beside", "site.surroundings": "country", "wind.terrain": "country", "wind.speed_is": "number",
    "anchorage.size_for": NAMES, "shelter.straps": NAMES, "shelter.high_side": NAMES, "door[].wall": NAMES, "duct[].wall": NAMES, "keep_clear[].side": NAMES,
    "anchorage.unit": UNITS, "point[].unit": UNITS, "anchorage.kind": "held", "point[].kind": "held", "anchorage.how": "tied", "halfway.cover": "cover",
    "anchorage.foot": "made", "anchorage.unit_material": "made", "anchorage.contact": "made", "point[].unit_material": "made", "test[].what": "made", "test[].contact": "made",
    "shelter.form": "form", "shelter.blockage": "canopy", "shelter.joined.how": "joined", "deployment.use": "used", "door[].is": "door",
    "site.heading_north": "north", "site.utilities": "pipes", "site.topography.feature": "hill", "site.topography.side": "hill",
    "wind.method": "method", "wind.level": "method", "wind.conversion": "method", "margins.level": "method", "margins.set": "method", "snow.level": "method",
    "snow.kind": SNOW, "snow.layers[].kind": SNOW, "snow.falling.kind": SNOW, "snow.exposure": "roof",
    "anchorage.deadman.ground": "soil", "point[].soil": "soil", "anchorage.stake.soil": "soil", "anchorage.stake.test_soil": "soil",
    "anchorage.stake.pulled": "pull", "test[].kind": "test",
} | {k: "so" for k, f in FIELDS.items() if f.choices == YES_NO}  # fmt: skip
"""What the choices of a field are said of, where they have words of their own; the others are letters, numbers and names of standards."""


WORDS_TOO = frozenset({"forecast.heard", "times.start", "times.end", "test[].at", "wind.from"})
"""Numbers in place of which a word may stand: this moment, a side of the wind."""


def counted(field: Field) -> bool:
    """Its value is a number, and begins with one whatever is typed."""
    return not field.choices and template(field.key) not in WORDS_TOO and str(field.example)[:1].isdigit()


def shown(field: Field, text: str) -> str:
    """What stands in a field, as it is read: a choice in words, all else as it was typed."""
    return chosen(text, OF.get(template(field.key), "")) if text in field.choices else text


def kept(field: Field, text: str) -> str:
    """What goes into the file for what was typed: the code of a choice that was typed in words."""
    return code_of(text, OF.get(template(field.key), ""), field.choices) if field.choices else text


def begun_by(field: Field, text: str, codes: tuple[str, ...]) -> list[str]:
    """The choices that what was typed begins, as they are read or as the file has them; else those that hold it. One alone where all others begin with it."""
    typed, every = folded(text), {c: [folded(shown(field, c)), folded(c)] for c in codes}
    for at in range(2):
        begun = [c for c in codes if every[c][at].startswith(typed)]
        if begun:
            return [c for c in begun if all(every[o][at].startswith(every[c][at]) for o in begun)][
                :1
            ] or begun
    of = OF.get(template(field.key), "")
    called = [c for c in codes if any(name.startswith(typed) for name in also(c, of))]
    return called or [c for c in codes if any(typed in words for words in every[c])]  # gust: forecast-gust


def numbered_field(key: str, n: int) -> Field:
    """The field of one item of a list."""
    return _numbered_field(key, n, language())


@lru_cache(maxsize=4096)
def _numbered_field(key: str, n: int, _: str) -> Field:
    field = FIELDS[key]
    return replace(field, key=numbered(key, n), label=field.label.format(n=n))


def field_of(key: str) -> Field | None:
    """The field of a key with its number; None where there is none."""
    plain = template(key)
    if plain not in FIELDS:
        return None
    return numbered_field(plain, number_in(key)) if plain != key else FIELDS[key]


def list_of(key: str) -> Several | None:
    """The list that a key is in."""
    return LISTS.get(key.split("[", 1)[0]) if "[" in key else None


def subject_of(key: str) -> int | None:
    """The first subject with a field of this key, or of the table or list that the key is in."""
    key = "shelter.form" if key == "shelter" else template(key)  # as much of it stands under Maker
    for parts in (True, False):  # where it always stands goes before where it stands for one answer alone
        for i, s in enumerate(SUBJECTS):
            if any(
                f.key == key
                for p in s.parts
                if parts is not isinstance(p, Only)
                for f in ((p,) if isinstance(p, Field) else p.fields)
            ):
                return i
    inside = [sum(f.key.startswith((f"{key}.", f"{key}[")) for f in s.fields) for s in SUBJECTS]
    if max(inside):  # a whole table: where most of it stands
        return inside.index(max(inside))
    for i, s in enumerate(SUBJECTS):
        if any(isinstance(p, Several) and key.startswith(f"{p.name}[") for p in s.parts):
            return i
    return None


TABLES = {
    "shelter": "shelter.form",
    "site": "site.surface",
    "wind": "wind.speed",
    "anchorage": "anchorage.kind",
    "anchorage.stake": "anchorage.stake.diameter",
    "anchorage.deadman": "anchorage.deadman.depth",
}
"""Where a whole table that is not there begins to be filled in."""
_ORDER = {f.key: i for i, f in reversed(list(enumerate(f for s in SUBJECTS for f in s.fields)))}


def begun_at(key: str) -> str:
    """The field to go to for a key of which something has to be corrected."""
    return TABLES.get(key, key)


def order_of(key: str) -> tuple[int, int]:
    """Where a key stands in the form, from its top to its foot; what has no field comes last."""
    return _ORDER.get(template(key), len(_ORDER)), number_in(key)


def labelled(key: str) -> str:
    """``Shelter, Wall height`` for a key; its subject where it has no field of its own; the key itself where it is in none."""
    i = subject_of(key)
    field = field_of(key) or FIELDS.get(template(key).removesuffix("[]")) or FIELDS.get(f"{template(key)}[]")
    if i is None and field is not None:
        i = subject_of(field.key)
    if i is None:
        return key
    if field is None:
        return str(SUBJECTS[i].name)
    n, held = number_in(key), list_of(key)
    item = f"{held.word} {n}, " if held is not None and n and field.label.startswith(" ") else ""
    return f"{SUBJECTS[i].name}, {item}{field.label.format(n='').strip()}"


def named(field: Field) -> str:
    """The name of a field without the number of its item: with what the item is called, where it is part of one."""
    held = list_of(field.key)
    label = str(field.label).format(n="").strip()
    return (
        f"{held.word.capitalize()}: {label}"
        if held is not None and str(field.label).startswith(" ")
        else " ".join(label.split())
    )


_KEY = re.compile(
    r"(?:\[\[?(?P<table>[a-z_]+(?:\.[a-z_]+)*)\]\]?(?: (?P<name>[a-z_]+))?|\b(?P<dotted>[a-z_]+(?:\.[a-z_]+)+)\b|\b(?P<part>[a-z0-9]+(?:_[a-z0-9]+)+)\b|\b(?P<word>[a-z]+)(?= = \"))"
    r"(?: = \"(?P<value>[^\"]*)\")?"
)
"""A key as the file has it: ``[table] name``, ``table.name``, ``name_of_it``, ``name = "value"``."""


def plainly(text: str, near: str = "") -> str:
    """A sentence with the names that fields and subjects have on the screen, where it names them as the file does. near: the key that it is of."""
    return _plainly(text, near, language())


def _called(name: str, near: str) -> str:
    """The key that the last part of it stands for: of several that in the table that is spoken of, else the first."""
    table = template(near).rpartition(".")[0]
    same = [k for k in FIELDS if k.rpartition(".")[2].removesuffix("[]") == name]
    return next((k for k in same if k.rpartition(".")[0] == table), same[0] if same else "")


@lru_cache(maxsize=2048)
def _plainly(text: str, near: str, _: str) -> str:

    def named(m: re.Match[str]) -> str:
        table, name, part = m["table"], m["name"], m["part"] or m["word"]
        key = m["dotted"] or (_called(part, near) if part else f"{table}.{name}")
        field = FIELDS.get(template(key))
        value = "" if m["value"] is None else f' = "{m["value"]}"'
        if field is not None:
            said = field.label.format(n="").strip() if part else labelled(key)
            return f"{said}: {shown(field, m['value'])}" if value else said
        at = subject_of(table) if table else None
        return m[0] if at is None else f"{SUBJECTS[at].name}{f' {name}' if name else ''}{value}"

    return _KEY.sub(named, text)


def nudged(field: Field, text: str, steps: int, choices: tuple[str, ...] = ()) -> str | None:
    """The text with its number or its choice moved on; None where it has neither."""
    choices = choices or field.choices
    if choices:
        at = choices.index(text.strip()) + steps if text.strip() in choices else (0 if steps > 0 else -1)
        return choices[at % len(choices)]
    typed = text.strip() or field.example
    head = ""
    for c in typed:
        if c not in "0123456789.":
            break
        head += c
    if not head or head.count(".") > 1 or head == "." or len(head) > 12:
        return None
    if not text.strip():
        return typed
    places = max(len(head.partition(".")[2]), len(f"{field.step:g}".partition(".")[2]))
    return f"{max(float(head) + steps * field.step, 0.0):.{places}f}{typed[len(head) :]}"
