"""The fields of the form by subject: label, what is accepted from a list, an example. What they mean is in ``help.py``."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class Field:
    """One field: ``key`` is the dotted key of the deployment file."""

    key: str
    label: str
    example: str = ""
    choices: tuple[str, ...] = ()
    step: float = 1.0
    """What one press of the keys for more and less adds or takes."""


@dataclass(frozen=True)
class Subject:
    """Fields that are filled in together."""

    name: str
    fields: tuple[Field, ...]


STATES = ("dry", "wet", "frozen", "ice", "snow")
SURFACES = ("asphalt", "concrete", "concrete-smooth", "gravel", "grass", "sand", "clay")
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

_surface = Field("site.surface", "Ground", "asphalt", SURFACES)
_state = Field("site.state", "Its state", "wet", STATES)
_around = Field("site.surroundings", "Surroundings", "field", ("open", "field", "town"))
_gust = Field("wind.speed", "Wind", "35 mph", step=5)
_is = Field("wind.speed_is", "That wind is", "forecast-gust", SPEED_IS)
_from = Field("wind.from", "Wind from", "270", step=15)
_kind = Field("anchorage.kind", "Held by", "ballast", KINDS)
_unit = Field("anchorage.unit", "Ballast is", "sandbag", BALLAST)
_placed = Field("anchorage.placed", "Placed each", "12")
_straps = Field("shelter.straps", "Wall straps", "unlocked", STRAPS)
_bags = Field("stock.sandbags", "Sandbags", "120", step=10)
_stakes = Field("stock.stakes", "Stakes", "24")


def _door(n: int) -> tuple[Field, ...]:
    k = f"door[{n}]"
    return (
        Field(f"{k}.wall", f"Door {n} wall", "front", WALLS),
        Field(f"{k}.width", f"Door {n} wide", "6 ft"),
        Field(f"{k}.height", f"Door {n} high", "7 ft"),
        Field(f"{k}.is", f"Door {n} is", "closed", ("open", "closed", "in-use")),
    )


SUBJECTS: tuple[Subject, ...] = (
    Subject("Today", (_surface, _state, _around, _gust, _is, _from, _kind, _unit, _placed, _straps, _bags, _stakes,
                      Field("deployment.name", "Name", "clinic forecourt"))),
    Subject("Shelter", (
        Field("shelter.use", "Saved shelter", "our-shelter.toml"),
        Field("shelter.form", "Roof", "gable", ("gable", "hip", "single-slope", "arch", "canopy-gable", "canopy-single-slope")),
        Field("shelter.length", "Length", "24 ft"),
        Field("shelter.width", "Width", "18 ft"),
        Field("shelter.eave", "Wall height", "7 ft"),
        Field("shelter.ridge", "Ridge height", "9 ft 6 in"),
        Field("shelter.high_side", "High side", "left", ("left", "right")),
        Field("shelter.mass", "Shelter mass", "310 lb", step=10),
        Field("shelter.points_per_side", "Points a side", "4"),
        Field("shelter.points_per_end", "Points an end", "2"),
        Field("deployment.name", "Name", "clinic forecourt"),
        Field("deployment.use", "Used for", "decon", ("decon", "triage", "command-post", "hospitality", "other")),
        Field("deployment.show_units", "Show units", "us", ("us", "si")),
    )),
    Subject("Maker", (
        Field("shelter.rating.gust_unlocked", "Gust, unlocked", "40 mph", step=5),
        Field("shelter.rating.gust_locked", "Gust, locked", "55 mph", step=5),
        Field("shelter.rating.roof_snow_unlocked", "Snow, unlocked", "3 psf"),
        Field("shelter.rating.roof_snow_locked", "Snow, locked", "8 psf"),
        _straps,
        Field("shelter.strap.count", "Straps a side", "3"),
        Field("shelter.strap.ends", "Straps an end", "0"),
        Field("shelter.strap.angle", "Strap angle", "45", step=5),
        Field("shelter.strap.bay", "Strap bay", "6 ft 8 in"),
        Field("shelter.strap.rated", "Strap rated", "1500 lbf", step=100),
        Field("shelter.strap.stiffness", "Strap stiffness", "30000 lbf", step=1000),
        Field("shelter.strap.slack", "Strap slack", "0.5 in", step=0.5),
        Field("shelter.lean", "Lean", "0.01", step=0.01),
        Field("shelter.leg_lean", "Leg lean", "5"),
    )),
    Subject("Openings", (
        *_door(1), *_door(2),
        *(Field(f"shelter.openings.{w}", f"Open, {w}", "0.0", step=0.1) for w in WALLS),
    )),
    Subject("Site", (
        _surface, _state, _around,
        Field("site.heading", "Front faces", "40", step=15),
        Field("site.heading_north", "By which north", "true", ("true", "magnetic")),
        Field("site.declination", "Declination", "-9.5"),
        Field("site.elevation", "Elevation", "900 ft", step=100),
        Field("site.temperature", "Temperature", "40 degF", step=5),
        Field("site.slope", "Ground slope", "2"),
        Field("site.beside", "Beside it", "nothing", ("nothing", "building", "shelter")),
        Field("site.utilities", "Utilities", "marked", ("marked", "not marked")),
        Field("site.exposure", "Exposure", "C", ("B", "C", "D")),
    )),
    Subject("Wind", (
        _gust, _is, _from,
        Field("wind.beaufort", "Beaufort", "6"),
        Field("wind.averaging", "Averaged over", "3 s", ("3 s", "1 min", "2 min", "10 min", "1 h")),
        Field("wind.height", "Its height", "33 ft"),
        Field("wind.terrain", "Its terrain", "open", ("open", "site")),
        Field("wind.method", "Method", "physics", ("physics", "asce7-16", "asce7-22", "en1991")),
        Field("wind.level", "Level", "service", ("service", "strength")),
    )),
    Subject("Snow", (
        Field("snow.depth", "Depth on roof", "2 in"),
        Field("snow.kind", "Kind", "wet", SNOW_KINDS),
        Field("snow.water", "Or as water", "12 mm"),
        Field("snow.rain", "Rain on it", "0.2 in", step=0.1),
        Field("snow.falling.depth", "Falls an hour", "1 in"),
        Field("snow.falling.kind", "Falling kind", "new", SNOW_KINDS),
        Field("snow.sag", "Cloth sag", "2 in"),
        Field("snow.sag_span", "Sag span", "4 ft"),
        Field("snow.pockets", "Pockets", "false", YES_NO),
        Field("snow.heated", "Heated, logged", "false", YES_NO),
        Field("snow.ground_load", "Code snow", "20 psf", step=5),
        Field("snow.edition", "Code edition", "asce7-22", ("asce7-10", "asce7-16", "asce7-22", "en1991-1-3")),
        Field("snow.level", "Code level", "service", ("service", "strength")),
        Field("snow.risk_category", "Risk category", "II", ("I", "II", "III", "IV")),
    )),
    Subject("Hold", (
        _kind, _unit,
        Field("anchorage.unit_mass", "One weighs", "38 lb"),
        Field("anchorage.contact", "Stands on", "cloth", ("cloth", "plate", "ground")),
        Field("anchorage.foot", "Frame foot", "bare-metal", ("bare-metal", "plastic", "rubber")),
        Field("anchorage.how", "Attached", "on-foot", ("on-foot", "hung-clear", "standing-tied", "on-flap")),
        _placed,
        Field("anchorage.size_for", "Sized for", "people-in", ("people-in", "empty", "set-up")),
        Field("anchorage.line_angle", "Line to block", "45", step=5),
        Field("anchorage.line_rated", "Line rated", "1000 lbf", step=100),
        Field("anchorage.knots", "Lines knotted", "true", YES_NO),
        Field("anchorage.attachment_rated", "Loop rated", "800 lbf", step=100),
        Field("anchorage.bearing_area", "Bears on", "4 ft2"),
        Field("halfway.placed", "Half built", "4"),
    )),
    Subject("Stakes", (
        Field("anchorage.stake.diameter", "Bar across", "1 in", step=0.25),
        Field("anchorage.stake.driven", "Driven", "30 in"),
        Field("anchorage.stake.line_angle", "Line angle", "45", step=5),
        Field("anchorage.stake.line_height", "Line height", "2 in"),
        Field("anchorage.stake.soil", "Soil", "thumb-firm", SOILS),
        Field("anchorage.stake.pull_tests", "Pull tests", "620 lbf; 700 lbf; 655 lbf"),
        Field("anchorage.stake.pull_angle", "Pulled at", "45", step=5),
        Field("anchorage.stake.pulled", "Pulled", "held", ("to-failure", "held")),
        Field("anchorage.stake.tested", "Tested when", "dry", ("dry", "wet")),
        Field("anchorage.stake.spacing", "Spacing", "12 in"),
        Field("anchorage.line_rated", "Line rated", "1000 lbf", step=100),
    )),
    Subject("Margins", (
        Field("margins.set", "Margin set", "lumped-1.5", ("lumped-1.5", "asd", "en1997-equ", "own")),
        Field("margins.wind", "Own: wind", "1.5", step=0.1),
        Field("margins.shelter", "Own: shelter", "1.0", step=0.1),
        Field("margins.ballast", "Own: ballast", "1.0", step=0.1),
        Field("margins.friction", "Own: friction", "1.0", step=0.1),
        Field("margins.stake", "Own: stake", "0.75", step=0.05),
        Field("margins.line", "Own: line", "1.0", step=0.1),
        Field("margins.level", "Own: level", "service", ("service", "strength")),
        Field("margins.source", "Own: source", "manual, page 12"),
        Field("policy.gust", "Local gust", "35 mph", step=5),
        Field("policy.setup_gust", "Local set-up", "20 mph", step=5),
        Field("policy.snow", "Local snow", "en-13782", ("cts-7", "en-13782")),
    )),
    Subject("Stock", (
        _bags, _stakes,
        Field("stock.water_barrels", "Water barrels", "20"),
        Field("stock.water_totes", "Water totes", "4"),
        Field("stock.concrete_blocks", "Concrete blocks", "16"),
        Field("stock.concrete_barrier_10fts", "Barriers, 10 ft", "6"),
        Field("stock.deadmen", "Deadmen", "8"),
        Field("stock.lines", "Lines", "16"),
        Field("stock.units", "Other units", "40"),
    )),
    Subject("Times", (
        Field("times.start", "Stay begins", "18:00"),
        Field("times.end", "Stay ends", "2026-11-26 06:00"),
        Field("outlook.zone", "Time zone", "America/Chicago"),
        *(Field(f"times.{k}", label, example, step=5) for k, label, example in (
            ("setup", "To set up", "45 min"), ("secure", "To secure", "10 min"), ("notify", "To tell all", "5 min"),
            ("people_out", "People out", "10 min"), ("strike", "To take down", "40 min"), ("margin", "Spare", "15 min"))),
    )),
    Subject("Forecast", (
        Field("forecast.heard", "Heard at", "13:40"),
        Field("outlook.zone", "Time zone", "America/Chicago"),
        *(Field(f"forecast.lines[{n}]", f"Line {n}", "until 18:00 gust 35 mph") for n in range(1, 9)),
    )),
)  # fmt: skip
KEYS: tuple[str, ...] = tuple(dict.fromkeys(f.key for s in SUBJECTS for f in s.fields))
FIELDS: dict[str, Field] = {f.key: f for s in SUBJECTS for f in s.fields}


def subject_of(key: str) -> int | None:
    """The first subject with a field of this key, or of the table or list that the key is in."""
    for i, s in enumerate(SUBJECTS):
        if any(f.key == key for f in s.fields):
            return i
    for i, s in enumerate(SUBJECTS):
        if any(f.key.startswith((f"{key}.", f"{key}[")) for f in s.fields):
            return i
    return None


def labelled(key: str) -> str:
    """``Shelter, Wall height`` for a key; the key itself where no field has it."""
    i = subject_of(key)
    return f"{SUBJECTS[i].name}, {FIELDS[key].label}" if i is not None and key in FIELDS else key


def nudged(field: Field, text: str, steps: int) -> str | None:
    """The text with its number or its choice moved on; None where it has neither."""
    if field.choices:
        known = [c for c in field.choices if c == text.strip()]
        at = field.choices.index(known[0]) + steps if known else (0 if steps > 0 else -1)
        return field.choices[at % len(field.choices)]
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
