"""What a team writes: the deployment file, checked whole, every fault reported at once."""

from __future__ import annotations

import contextlib
import difflib
import tomllib
from pathlib import Path
from typing import Annotated, Any, Literal

from pydantic import (
    BaseModel,
    Field,
    PrivateAttr,
    TypeAdapter,
    ValidationError,
    field_validator,
    model_validator,
)

from anchorage.core.closed import Beneath, State
from anchorage.core.errors import Fault, InputFaults
from anchorage.core.quantity import Quantity, Time
from anchorage.core.textfile import GIVE_A_FILE, GIVE_TEXT, load_toml, read_whole
from anchorage.deployment.holding import Anchorage, Halfway, PointIn
from anchorage.deployment.parts import Door, Duct, Part, Snow, Strap
from anchorage.judging.result import RecordOut

Name = Annotated[str, Field(max_length=200)]
Fraction = Annotated[float, Field(ge=0, le=1, strict=True)]
Count = Annotated[int, Field(ge=0, le=100_000, strict=True)]
Size = Annotated[float, Quantity("length", low="0.3 m", high="60 m")]
Gust = Annotated[float, Quantity("speed", low="0 m/s", high="100 m/s")]
Mass = Annotated[float, Quantity("mass", low="0 kg", high="20000 kg")]

ALIASES = {
    "mono": "single-slope",
    "vault": "arch",
    "free-gable": "canopy-gable",
    "free-mono": "canopy-single-slope",
}
LONGEST = 1_000_000
"""Bytes of a file."""
MOST_FAULTS = 50
"""Faults that are told of one file; of the others their number."""
LONGEST_KEY = 120
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
    """Open fraction of each wall as it will stand in the wind, 0 to 1."""

    front: Fraction = 0.0
    back: Fraction = 0.0
    left: Fraction = 0.0
    right: Fraction = 0.0


class Rating(Part):
    """What the maker's manual states. Leave out what it does not state; nothing is invented."""

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
    rating: Rating = Rating()
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


class Site(Part):
    """The ground and the air."""

    surface: Name | None = None
    state: State | None = None
    beneath: Beneath | None = None
    """What hard ground is the top of; left out: asked for. Anything but nothing is refused."""
    lowest_friction_by: Name | None = None
    """Who accepts that ground that is not listed counts with the lowest friction of the table."""
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
        """Put the speed of a Beaufort force in the place of the speed that it stands for."""
        force = data.get("beaufort") if isinstance(data, dict) else None
        if not isinstance(data, dict) or type(force) is not int or not 0 <= force <= 12 or "speed" in data:
            return data
        from anchorage.core import tables  # noqa: PLC0415 - slow to load, and needed by few files

        top = tables.row("beaufort", f"force-{min(force + 1, 12)}").value
        return {**data, "speed": f"{top!r} m/s", "averaging": data.get("averaging", "10 min")}


class Margins(Part):
    """One named set of margins, or your own from your copy of a standard or manual."""

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
    """How long things take with your crew. A missing time is asked for where a deadline needs it."""

    setup: Time | None = None
    secure: Time | None = None
    notify: Time | None = None
    people_out: Time | None = None
    strike: Time | None = None
    margin: Time | None = None
    start: str | None = None
    end: str | None = None


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
    use: Literal["decon", "triage", "command-post", "hospitality", "other"] | None = None


class Deployment(Part):
    """A deployment file. docs: ``anchorage schema`` prints it as a JSON Schema."""

    deployment: About = About()
    shelter: Shelter
    site: Site = Site()
    wind: Wind
    snow: Snow = Snow()
    anchorage: Anchorage
    margins: Margins = Margins()
    stock: dict[str, Count] | None = None
    times: Times = Times()
    policy: Policy = Policy()
    door: list[Door] = Field(default_factory=list)
    duct: list[Duct] = Field(default_factory=list)
    point: list[PointIn] = Field(default_factory=list)
    halfway: Halfway = Halfway()
    forecast: ForecastIn | None = None
    outlook: OutlookIn = OutlookIn()
    _record: RecordOut | None = PrivateAttr(default=None)

    @property
    def record(self) -> RecordOut | None:
        """The record that was put over the file (``record.over``); no key of the file, and copied along with it."""
        return self._record

    def under(self, record: RecordOut | None) -> Deployment:
        """A copy that a record stands over, or none."""
        made = self.model_copy()
        made._record = record  # noqa: SLF001 - a copy of this very class
        return made


def _key(loc: tuple[int | str, ...]) -> str:
    text = ""
    for part in loc:
        if isinstance(part, int):
            text += f"[{part + 1}]"
        elif not part.startswith(("function-", "constrained-", "float", "dict[", "int", "quantity")):
            text += f".{part}" if text else part
    return text if len(text) <= LONGEST_KEY else text[: LONGEST_KEY - 3] + "..."


def _known(loc: tuple[int | str, ...]) -> list[str]:
    model: Any = Deployment
    for part in loc[:-1]:
        fields = getattr(model, "model_fields", {})
        if not isinstance(part, str) or part not in fields:
            continue
        model = fields[part].annotation
        args = getattr(model, "__args__", ())
        model = next((a for a in args if isinstance(a, type) and issubclass(a, BaseModel)), model)
    return [f.alias or n for n, f in getattr(model, "model_fields", {}).items()]


def _shown(value: object) -> str:
    text = repr(value) if not isinstance(value, dict) else "a table"
    text = "".join(c if c.isprintable() else "?" for c in text)
    return text if len(text) <= 60 else text[:57] + "..."


def _fault(file: str, error: Any) -> Fault:
    loc, kind, ctx = error["loc"], error["type"], error.get("ctx", {})
    got = "read " + _shown(error["input"])
    if kind == "missing":
        return Fault(file, _key(loc), "not given", "it is needed")
    if kind == "extra_forbidden":
        near = difflib.get_close_matches(str(loc[-1]), _known(loc), 1)
        hint = f'did you mean "{near[0]}"?' if near else f"accepted here: {', '.join(_known(loc))}"
        return Fault(file, _key(loc), "not a key that is known", hint)
    if kind == "literal_error":
        return Fault(file, _key(loc), got, f"accepted: {ctx['expected']}")
    words = {
        "greater_than_equal": "at least {ge}", "less_than_equal": "at most {le}", "int_type": "a whole number",
        "int_from_float": "a whole number", "bool_parsing": "true or false", "string_type": "text in quotes",
        "float_type": "a number without quotes", "float_parsing": "a number", "model_type": "a table of keys",
        "dict_type": "a table of keys", "list_type": "a list", "finite_number": "a finite number",
    }  # fmt: skip
    if kind in words:
        return Fault(file, _key(loc), got, "accepted: " + words[kind].format(**ctx))
    message = str(error["msg"]).removeprefix("Value error, ")
    return Fault(file, _key(loc), "", message)


def _merge_unions(faults: list[Fault]) -> list[Fault]:
    """A value that fits none of several kinds gives a fault for each: keep the first one of each key."""
    seen: dict[str, Fault] = {}
    for f in faults:
        seen.setdefault(f.key, f)
    return list(seen.values())


def _get(data: dict[str, Any], key: str) -> dict[str, Any]:
    part = data.get(key)
    return part if isinstance(part, dict) else {}


def _saved(data: dict[str, Any], folder: Path | None, file: str, kept_text: str | None) -> dict[str, Any]:
    """Put the keys of a saved shelter under those of the file. kept_text: its text, where it is not to be read anew."""
    use = _get(data, "shelter").get("use")
    if not isinstance(use, str):
        return data
    if folder is None and kept_text is None:
        raise InputFaults(
            [
                Fault(
                    file,
                    "shelter.use",
                    f"read {_shown(use)}",
                    "a saved shelter needs a deployment file beside it, not text from a pipe",
                )
            ]
        )
    try:
        raw = (
            kept_text.encode("utf-8")
            if kept_text is not None
            else read_whole((folder or Path()) / use, LONGEST)
        )
        if len(raw) > LONGEST:
            raise InputFaults(
                [
                    Fault(
                        file,
                        "shelter.use",
                        f"read {_shown(use)}",
                        "that file is more than 1 MB; a saved shelter is a page of text",
                    )
                ]
            )
        saved = load_toml(raw.decode("utf-8-sig"))
    except (OSError, ValueError) as e:
        raise InputFaults(
            [
                Fault(
                    file,
                    "shelter.use",
                    f"read {_shown(use)}",
                    f"that file cannot be read: {e.__class__.__name__}; give the path of a file with a [shelter] table, from the folder of this one",
                )
            ]
        ) from None
    kept = _get(saved, "shelter")
    if not kept or "use" in kept:
        raise InputFaults(
            [
                Fault(
                    file,
                    "shelter.use",
                    f"read {_shown(use)}",
                    "that file has to have a [shelter] table of its own, without use",
                )
            ]
        )
    mine = _get(data, "shelter")
    merged = {**kept, **mine}
    for name in ("rating", "openings"):
        if isinstance(kept.get(name), dict) and isinstance(mine.get(name), dict):
            merged[name] = {**kept[name], **mine[name]}
    return {**data, "shelter": merged}


def read_text(
    text: str, file: str = "deployment", folder: Path | None = None, saved: str | None = None
) -> Deployment:
    """Read a deployment from TOML text. Every fault at once in ``InputFaults``.

    folder: where a saved shelter is looked for; saved: the text of that shelter instead.
    """
    from anchorage.deployment.contradictions import contradictions  # noqa: PLC0415 - it reads tables, slow to load

    try:
        data = _saved(load_toml(text), folder, file, saved)
    except tomllib.TOMLDecodeError as e:
        raise InputFaults(
            [Fault(file, "not readable as TOML", str(e), 'write  key = "value"  one to a line')]
        ) from None
    faults: list[Fault] = []
    found: Deployment | None = None
    try:
        found = Deployment.model_validate(data)
    except ValidationError as e:
        faults = _merge_unions([_fault(file, x) for x in e.errors(include_url=False)[: 4 * MOST_FAULTS]])
    faults += contradictions(found if found is not None else salvage(data), file, {f.key for f in faults})
    if faults or found is None:
        more = len(faults) - MOST_FAULTS
        rest = [Fault(file, "file", "", f"{more} more faults: mend these first")] if more > 0 else []
        raise InputFaults([*faults[:MOST_FAULTS], *rest])
    return found


def _read_apart(model: type[BaseModel], raw: dict[str, Any]) -> dict[str, Any]:
    """The values of a part that lacks some that are needed, each read by itself; those that cannot be are left out."""
    values: dict[str, Any] = {}
    for n, f in model.model_fields.items():
        key = f.alias or n
        if key in raw:
            kind: Any = Annotated[f.annotation, *f.metadata] if f.metadata else f.annotation
            with contextlib.suppress(ValidationError):
                values[n] = TypeAdapter(kind).validate_python(raw[key])
        elif not f.is_required():
            values[n] = f.get_default(call_default_factory=True)
    return values


def salvage(data: dict[str, Any]) -> Deployment:
    """What can be read of a faulty file, part by part, so that contradictions elsewhere are reported in the same run."""
    parts: dict[str, Any] = {}
    for name, info in Deployment.model_fields.items():
        model = info.annotation
        if isinstance(model, type) and issubclass(model, BaseModel):
            raw = dict(_get(data, name))
            for _ in range(len(raw) + 1):
                try:
                    parts[name] = model.model_validate(raw)
                    break
                except ValidationError as e:
                    bad = {x["loc"][0] for x in e.errors() if x["loc"]}
                    if not bad & raw.keys():
                        parts[name] = model.model_construct(**_read_apart(model, raw))
                        break
                    raw = {k: v for k, v in raw.items() if k not in bad}
        else:
            parts[name] = info.get_default(call_default_factory=True)
    return Deployment.model_construct(**parts)


def read_file(path: Path) -> Deployment:
    """Read a deployment file. Faults, an unreadable file included, come as ``InputFaults``."""
    name = path.name
    try:
        raw = read_whole(path, LONGEST)
        if len(raw) > LONGEST:
            raise InputFaults([Fault(name, "file", "more than 1 MB", "a deployment file is a page of text")])
        text = raw.decode("utf-8-sig")
    except OSError as e:
        raise InputFaults([Fault(name, "file", e.strerror or "cannot be read", GIVE_A_FILE)]) from None
    except UnicodeDecodeError:
        raise InputFaults([Fault(name, "file", "not UTF-8 text", GIVE_TEXT)]) from None
    return read_text(text, name, path.parent)
