"""Quantities as people write them: read once, strictly, at the edge; shown in the reader's own units.

pint is the authority for the factors. It is asked when they are drawn anew (``unit_factors.json``; a test holds the two
together), and only about names of ``unit_table``: to build its registry takes longer than a check. What a user typed
never reaches it. The factors are held as exact fractions, so a value read here is
the float nearest to what was typed, and a value written here reads back as the same float.
"""

from __future__ import annotations

import functools
import json
import math
import re
from dataclasses import dataclass, field
from fractions import Fraction
from pathlib import Path
from typing import TYPE_CHECKING, Any, Final, Literal, NamedTuple, Self, TypeAlias

from pydantic_core import core_schema

from anchorage.core.say import decimal, later, mark, say
from anchorage.core.unit_table import SPELLINGS

if TYPE_CHECKING:
    from collections.abc import Mapping

    from pydantic import GetCoreSchemaHandler


System: TypeAlias = Literal["us", "si"]
Rounding: TypeAlias = Literal["near", "down", "up"]

LONGEST: Final = 64  # characters of a quantity
LARGEST: Final = Fraction(10) ** 30  # magnitudes in SI units outside 1/LARGEST..LARGEST are slips of the hand
_GUARD: Final = Fraction(1, 10**9)  # relative: 45 mph through SI and back is 45 mph, not 44.999 999 999
_WIDEST: Final = Fraction(
    1, 10**3
)  # of a step: the guard on a large figure never decides a rounding by itself
_INCHES: Final = 12  # in a foot: the notation 7 ft 6 in
_PARTS: Final = (2, 4, 8, 16, 32, 64)  # of an inch: the graduations of a US tape measure


NOUNS: Final = (
    mark("a length"), mark("an area"), mark("a volume"), mark("a speed"), mark("a force"), mark("a mass"), mark("a pressure"), mark("a temperature"),
    mark("a density"), mark("a unit weight"), mark("an angle"), mark("a time"), mark("a moment"),
)  # fmt: skip


@dataclass(frozen=True)
class Kind:
    """One kind of quantity: its unit inside the program and the spellings accepted outside it."""

    name: str
    si: str
    """Unit inside the program."""
    us: str
    """Unit shown to a reader of US units."""
    metric: str
    """Unit shown to a reader of SI units."""
    example: str
    units: Mapping[str, tuple[Fraction, Fraction]] = field(hash=False, repr=False)
    """Each accepted spelling: value in ``si`` = number times scale plus offset."""
    names: Mapping[str, str] = field(hash=False, repr=False)
    """Each accepted spelling: the usual one for the same unit."""
    systems: Mapping[str, str] = field(hash=False, repr=False)
    """Each usual spelling: ``us``, ``si``, or nothing where both use it."""
    steps: Mapping[str, Fraction] = field(hash=False, repr=False)
    """Each usual spelling: the step to which it is shown."""

    @property
    def noun(self) -> str:
        """Name with its article, for a sentence."""
        noun = f"{'an' if self.name[0] in 'aeio' else 'a'} {self.name.replace('_', ' ')}"
        return say(noun)

    @property
    def accepts(self) -> str:
        """What is accepted, for the end of a sentence."""
        return say(
            "{noun} is one number and one unit ({systems}), for example {example}",
            noun=self.noun,
            systems=", ".join(self.systems),
            example=self.example,
        )


Factors: TypeAlias = dict[str, dict[str, tuple[Fraction, Fraction]]]
"""By kind and unit: value inside = number times scale plus offset."""


def by_pint() -> Factors:
    """The factors as pint has them."""
    import pint  # noqa: PLC0415 - it takes as long to load as a check

    registry: Any = pint.UnitRegistry(str(Path(__file__).with_name("units.txt")), non_int_type=Fraction)

    def factor(unit: str, inside: str) -> tuple[Fraction, Fraction]:
        many, _, unit = unit.rpartition(" * ") if unit[0].isdigit() else ("1", "", unit)
        zero, one = (Fraction(registry.Quantity(Fraction(n), unit).m_as(inside)) for n in (0, int(many)))
        return one - zero, zero

    return {
        name: {unit: factor(unit, inside) for _, unit, _, _ in rows}
        for name, (inside, *_, rows) in SPELLINGS.items()
    }


def kept_factors() -> Factors:
    """The same as they were drawn."""
    data = json.loads(Path(__file__).with_name("unit_factors.json").read_text(encoding="utf-8"))
    return {
        name: {unit: (Fraction(scale), Fraction(offset)) for unit, (scale, offset) in of.items()}
        for name, of in data.items()
    }


def _kinds() -> dict[str, Kind]:
    factors = kept_factors()
    found = {}
    for name, (_, si, us, metric, example, rows) in SPELLINGS.items():
        units: dict[str, tuple[Fraction, Fraction]] = {}
        names, systems, steps = dict[str, str](), dict[str, str](), dict[str, Fraction]()
        for system, unit, step, spellings in rows:
            usual, *_ = every = spellings.split("|")
            units |= dict.fromkeys(every, factors[name][unit])
            names |= dict.fromkeys(every, usual)
            systems[usual], steps[usual] = system, Fraction(step)
        found[name] = Kind(name, si, us, metric, example, units, names, systems, steps)
    return found


_ALL: Final = _kinds()
KINDS: Final[dict[str, Kind]] = {name: kind for name, kind in _ALL.items() if name != "moment"}
"""What can be read. Moments are only shown."""

_NUMBER = r"(?P<sign>[+\-−]?)(?P<digits>(?:[1-9][0-9]{0,2}(?:,[0-9]{3})+|[0-9]+)(?:\.[0-9]*)?|\.[0-9]+)"
_SIMPLE: Final = re.compile(
    _NUMBER + r"(?P<power>(?:[eE][+-]?[0-9]{1,2})?) *(?P<unit>[^0-9 .,+\-−].*)", re.DOTALL
)
_BARE: Final = re.compile(_NUMBER + r"(?:[eE][+-]?[0-9]+)?")
_FOOT, _INCH = (
    "(?:" + "|".join(re.escape(s) for s, usual in KINDS["length"].names.items() if usual == unit) + ")"
    for unit in ("ft", "in")
)
_FEET_AND_INCHES: Final = re.compile(
    rf"(?P<sign>[+\-−]?)(?:(?P<feet>[0-9]+|[1-9][0-9]{{0,2}}(?:,[0-9]{{3}})+) *{_FOOT} *)?"
    rf"(?:(?P<inches>[0-9]+(?:\.[0-9]*)?)|(?:(?P<whole>[0-9]+) +)?(?P<part>[0-9]+)/(?P<of>[0-9]+)) *(?(feet){_INCH}?|{_INCH})"
)
_SPACES: Final = dict.fromkeys((0xA0, 0x2009, 0x202F), " ")  # no-break and thin spaces, as pasted from a page

_TON = later("a ton can be several masses: write short ton (2,000 lb) or tonne (1,000 kg)")
_HINTS: Final = {
    "kn": later("'kn' could mean knots or kilonewtons: write kt for knots or kN for kilonewtons"),
    "Kn": later("'Kn' could mean knots or kilonewtons: write kt for knots or kN for kilonewtons"),
    "KN": later("'KN' could mean knots or kilonewtons: write kt for knots or kN for kilonewtons"),
    "M": later("'M' is not read: write m for meters or mi for miles"),
    "kgf": later("kilogram-force is not read: write N, kN or lbf"),
    "kp": later("kilogram-force is not read: write N, kN or lbf"),
} | dict.fromkeys(("ton", "tons", "Ton", "Tons", "TON", "TONS", "T"), _TON)


def as_typed(value: object, otherwise: str | None = None) -> str:
    """A value as it was typed; of one that nobody typed ``otherwise``, or the value itself."""
    if isinstance(value, Measure):
        return value.text
    if isinstance(value, bool):  # as a file has it
        return "true" if value else "false"
    return str(value) if otherwise is None else otherwise


class Measure(float):
    """A value in the unit that the program uses inside, with the kind of quantity and what was typed."""

    __slots__ = ("kind", "text")

    kind: str
    text: str

    def __new__(cls, value: float, kind: str, text: str = "") -> Self:
        """Take a value in SI; without ``text`` it is written as SI."""
        inside = _kind(kind, KINDS)
        self = super().__new__(cls, value)
        _check_size(Fraction(_finite(inside, self)), inside, text or value)
        self.kind = kind
        self.text = text or write(kind, self)
        return self

    @classmethod
    def __get_pydantic_core_schema__(
        cls, source: object, handler: GetCoreSchemaHandler
    ) -> core_schema.CoreSchema:
        """So that a measure may be the default of a field, and is written in JSON as text."""
        del source, handler
        return core_schema.is_instance_schema(
            cls,
            serialization=core_schema.plain_serializer_function_ser_schema(
                lambda measure: write(measure.kind, measure),
                return_schema=core_schema.str_schema(),
                when_used="json",
            ),
        )

    def __reduce__(self) -> tuple[type[Self], tuple[float, str, str]]:
        return type(self), (float(self), self.kind, self.text)

    def __repr__(self) -> str:
        return f"Measure({float(self)!r}, {self.kind!r}, {self.text!r})"

    def __str__(self) -> str:
        return repr(float(self))


def read(kind: str, text: object) -> Measure:
    """Read one number with one unit. Whatever is wrong is a ``ValueError`` in one sentence."""
    inside = _kind(kind, KINDS)
    if not isinstance(text, str):
        raise ValueError(  # noqa: TRY004 - pydantic and the callers take one family
            say(
                "cannot read {text_}: it is not text with a unit; {accepts}",
                text_=_seen(text),
                accepts=inside.accepts,
            )
        )
    if len(text) > LONGEST:
        raise ValueError(
            say(
                "cannot read {text_}: it is longer than {longest} characters; {accepts}",
                text_=_seen(text),
                longest=LONGEST,
                accepts=inside.accepts,
            )
        )
    typed = text.translate(_SPACES).strip()
    if not typed:
        raise ValueError(say("nothing is written here; {accepts}", accepts=inside.accepts))
    value, _ = _parse(inside, typed)
    _check_size(value, inside, typed)
    return Measure(float(value), kind, typed)


_RANGE: Final = re.compile(
    r"(?a) *(\d{1,4}(?:\.\d{1,3})?) ?([a-z][a-z/]{0,7})? ?(?:-|\u2013|to) ?(\d{1,4}(?:\.\d{1,3})?) ?([a-z][a-z/]{0,7}) *",
    re.IGNORECASE,
)


OTHERWISE: Final = {
    "ft": "m", "in": "cm", "yd": "m", "mi": "km", "m": "ft", "cm": "in", "km": "mi",
    "ft2": "m2", "in2": "cm2", "yd2": "m2", "m2": "ft2", "cm2": "in2", "ft3": "m3", "yd3": "m3", "US gal": "L", "m3": "ft3", "L": "US gal",
    "mph": "km/h", "ft/s": "m/s", "km/h": "mph", "m/s": "mph", "lbf": "N", "kip": "kN", "N": "lbf", "kN": "kip",
    "lb": "kg", "short ton": "tonne", "kg": "lb", "tonne": "short ton",
    "psf": "Pa", "psi": "kPa", "inHg": "hPa", "Pa": "psf", "kPa": "psi", "hPa": "inHg", "degF": "degC", "degC": "degF",
    "lb/ft3": "kg/m3", "kg/m3": "lb/ft3", "g/cm3": "lb/ft3", "lbf/ft3": "N/m3", "N/m3": "lbf/ft3", "kN/m3": "lbf/ft3",
}  # fmt: skip
"""Each unit that is of one system: the one of the other system for which it is typed by a slip. Millimeters, grams and kelvin are no slip."""


def typed_unit(value: Measure) -> str | None:
    """The usual spelling of the unit in which it was typed; None for what nobody typed, and for feet with inches."""
    inside = _kind(value.kind, KINDS)
    m = _SIMPLE.fullmatch(value.text.translate(_SPACES).strip())
    return None if m is None else inside.names.get(m["unit"].strip())


def system_of(value: Measure) -> System | None:
    """The system in whose units it was typed; None where both use the unit, and where it cannot be told."""
    unit = typed_unit(value)
    if unit is None:
        inches = value.kind == "length" and _FEET_AND_INCHES.fullmatch(value.text.translate(_SPACES).strip())
        return "us" if inches else None
    found = KINDS[value.kind].systems[unit]
    return "us" if found == "us" else "si" if found == "si" else None


def by_slip(value: Measure) -> Measure | None:
    """The same figure in the unit of the other system; None where there is none."""
    unit = typed_unit(value)
    other = OTHERWISE.get(unit or "")
    if unit is None or other is None:
        return None
    m = _SIMPLE.fullmatch(value.text.translate(_SPACES).strip())
    digits = "" if m is None else f"{m['sign']}{m['digits']}{m['power']}"
    try:
        return read(value.kind, f"{digits} {other}")
    except ValueError:
        return None


def upper(text: object) -> object:
    """Of a range as a meter shows it or a radio says it (``12-18 mph``) the upper figure, for what is worse the more there is of it."""
    m = _RANGE.fullmatch(text) if isinstance(text, str) and len(text) <= LONGEST else None
    if m is None or float(m[1]) > float(m[3]) or (m[2] is not None and m[2].lower() != m[4].lower()):
        return text
    return f"{m[3]} {m[4]}"


def write(kind: str, si_value: float) -> str:
    """Write a value so that ``read`` gives exactly the same float."""
    inside = _kind(kind, KINDS)
    return f"{_finite(inside, si_value)!r} {inside.si}"


def convert(kind: str, si_value: float, unit: str) -> float:
    """Turn a value in SI into a named unit."""
    inside = _kind(kind, _ALL)
    return float(_exact(inside, si_value, _usual(inside, unit)))


class Shown(NamedTuple):
    """A value as a reader gets it: the number and its unit."""

    number: str
    unit: str
    value: float
    """What the number is."""

    def __str__(self) -> str:
        return f"{self.number} {self.unit}"


def show(
    kind: str,
    si_value: float,
    system: System,
    *,
    digits: int | None = None,
    rounding: Rounding = "near",
    unit: str | None = None,
) -> str:
    """Write a value for a reader, to a step that suits the eye.

    ``rounding`` is toward minus or plus infinity for a limit that may not be overstated or understated.
    ``digits`` (decimals) and ``unit`` replace the usual choice. Lengths in US units are feet and inches;
    those under a foot keep a tenth of an inch, and those under 100 mm are shown in mm.
    """
    if unit is None and digits is None and kind == "length" and system == "us":
        _can_show(system, rounding)
        inside = _kind(kind, _ALL)
        return _feet_and_inches(_exact(inside, _finite(inside, si_value), "in"), rounding)
    return str(shown(kind, si_value, system, digits=digits, rounding=rounding, unit=unit))


def _can_show(system: System, rounding: Rounding) -> None:
    if system not in ("us", "si"):
        raise ValueError(say("cannot show units of {system}; write us or si", system=_seen(system)))
    if rounding not in ("near", "down", "up"):
        raise ValueError(say("cannot round {rounding}; write near, down or up", rounding=_seen(rounding)))


def shown(
    kind: str,
    si_value: float,
    system: System,
    *,
    digits: int | None = None,
    rounding: Rounding = "near",
    unit: str | None = None,
) -> Shown:
    """The same in its parts, for what stands beside its unit once; a length always in one unit."""
    inside = _kind(kind, _ALL)
    value = _finite(inside, si_value)
    _can_show(system, rounding)
    if unit is not None:
        _usual(inside, unit)
    number, named, rounded = _stepped(kind, value, system, digits, rounding, unit)
    return Shown(decimal(number), named, rounded)


@functools.lru_cache(maxsize=4096)
def _stepped(
    kind: str, si_value: float, system: System, digits: int | None, rounding: Rounding, unit: str | None
) -> tuple[str, str, float]:
    """The number with a point, in no language, its unit, and what it is."""
    inside = _ALL[kind]
    named = _suited(inside, Fraction(si_value), system) if unit is None else _usual(inside, unit)
    exact = _exact(inside, si_value, named)
    step = inside.steps[named] if digits is None else Fraction(1, 10**digits)
    if kind == "density" and digits is None and abs(exact) < 10:
        step = Fraction(1, 1000)  # air
    rounded = _rounded(exact, step, rounding)
    return _number(rounded, step), named, float(rounded)


def both(
    kind: str, si_value: float, system: System, *, digits: int | None = None, rounding: Rounding = "near"
) -> str:
    """Write a value for a reader, then in the other system: ``45 mph (20.1 m/s)``."""
    first = show(kind, si_value, system, digits=digits, rounding=rounding)
    inside = _kind(kind, _ALL)
    if inside.us == inside.metric:
        return first
    return f"{first} ({_aside(inside, si_value, _other(system), rounding)})"


def echo(measure: Measure, system: System) -> str:
    """Say what was typed, and the same in the reader's system, or in the other if it was typed in the reader's."""
    inside = _kind(measure.kind, KINDS)
    try:
        typed = _parse(inside, measure.text)[1]
    except ValueError:  # made by hand, with a text of its own
        typed = ""
    aside = _aside(inside, measure, _other(system) if inside.systems.get(typed) == system else system, "near")
    same = inside.us == inside.metric and aside.endswith(f" {typed}")
    return measure.text if same else f"{measure.text} ({aside})"


# Reading


def _kind(name: str, among: dict[str, Kind]) -> Kind:
    if not isinstance(name, str) or name not in among:
        raise ValueError(
            say(
                "{name} is not a kind of quantity; write one of {among}",
                name=_seen(name),
                among=", ".join(among),
            )
        )
    return among[name]


def _parse(kind: Kind, text: str) -> tuple[Fraction, str]:
    """Exact value in SI and the usual spelling of the unit typed (of feet and inches: ``ft``)."""
    if kind.name == "length" and (m := _FEET_AND_INCHES.fullmatch(text)) and (m["feet"] or m["part"]):
        return _compound(kind, text, m)
    if m := _SIMPLE.fullmatch(text):
        unit = re.sub(" +", " ", m["unit"])
        if unit in kind.units:
            scale, offset = kind.units[unit]
            number = Fraction(m["digits"].replace(",", "") + m["power"])
            return (number if m["sign"] in ("", "+") else -number) * scale + offset, kind.names[unit]
    raise ValueError(
        say(
            "cannot read {text_}: {why}; {accepts}",
            text_=_seen(text),
            why=_why(kind, text),
            accepts=kind.accepts,
        )
    )


def _compound(kind: Kind, text: str, m: re.Match[str]) -> tuple[Fraction, str]:
    part, of = int(m["part"] or 0), int(m["of"] or 2)
    if of not in _PARTS or part >= of:
        raise ValueError(
            say(
                "cannot read {text_}: {part}/{of} is not a fraction of an inch in halves, quarters, eighths, sixteenths, 32nds or 64ths; {accepts}",
                text_=_seen(text),
                part=part,
                of=of,
                accepts=kind.accepts,
            )
        )
    inches = Fraction(m["inches"] or m["whole"] or 0) + Fraction(part, of)
    feet = int((m["feet"] or "0").replace(",", ""))
    if m["feet"] and inches >= _INCHES:
        raise ValueError(
            say(
                "cannot read {text_}: the inches after the feet must be less than 12; {accepts}",
                text_=_seen(text),
                accepts=kind.accepts,
            )
        )
    total = (feet * _INCHES + inches) * kind.units["in"][0]
    return total if m["sign"] in ("", "+") else -total, "ft" if m["feet"] else "in"


def _why(kind: Kind, text: str) -> str:
    if _BARE.fullmatch(text):
        return say("it has no unit")
    if re.search(r"[0-9]/[0-9]|[¼-¾⅐-⅞]", text):
        return say("fractions are read only before inches, as in 6 1/2 in")
    if re.search(r", ", text) and kind.name == "length":
        return say("one length at a time: type the length, the width and the heights each in its own field")
    if re.search(r"[0-9] *,|, *[0-9]", text) and not _SIMPLE.fullmatch(text):
        return say("use a point for decimals (5.5) and a comma only between thousands (1,200)")
    if re.match(r"[+\-−]?[0-9.,]+ +[0-9.,]", text):
        return say("there is a space inside the number")
    if re.match(r"[+\-−]?[0-9.,]+[eE][+-]?[0-9]{3}", text):
        return say("the power of ten has more than two digits")
    if not re.match(r"[+\-−]?\.?[0-9]", text):
        return say("it does not start with a number")
    if not (m := _SIMPLE.fullmatch(text)):
        return say("the number is not a plain one")
    unit = re.sub(" +", " ", m["unit"])
    if unit in _HINTS:
        return _HINTS[unit]
    if other := next((k for k in KINDS.values() if unit in k.units), None):
        return say("{unit} is a unit of {other}", unit=unit, other=other.name.replace("_", " "))
    if re.search(r"[^0-9 /*^] *[0-9]+[^0-9]*$|[0-9]\.", unit) and kind.name == "length":
        return say("feet and inches are whole feet and then inches, as in 7 ft 6 in")
    near = {usual for s, usual in kind.names.items() if s.casefold() == unit.casefold() and len(s) > 1}
    if len(near) == 1:
        return say(
            "{unit} is not a unit here: capitals count, so write {near}", unit=_seen(unit), near=near.pop()
        )
    return say("{unit} is not a unit here", unit=_seen(unit))


def _check_size(value: Fraction, kind: Kind, typed: object) -> None:
    if kind.name == "temperature" and value < 0:
        raise ValueError(
            say(
                "cannot read {typed}: it is colder than absolute zero; {accepts}",
                typed=_seen(typed),
                accepts=kind.accepts,
            )
        )
    if value and not 1 / LARGEST <= abs(value) <= LARGEST:
        size = "large" if abs(value) > 1 else "small"
        raise ValueError(
            say(
                "cannot read {typed}: it is too {size} to be meant; {accepts}",
                typed=_seen(typed),
                size=size,
                accepts=kind.accepts,
            )
        )


def _seen(value: object) -> str:
    """What was given, short, and with nothing in it that could act on a terminal."""
    if isinstance(value, str):
        return repr(value if len(value) <= LONGEST else value[:40] + "…")
    if value is None or isinstance(value, bool | float):
        return str(value)
    if isinstance(value, int):
        return str(value) if abs(value) < LARGEST else say("a whole number")
    return say("a value of type {name}", name=repr(type(value).__name__[:40]))


# Showing


def _finite(kind: Kind, value: float) -> float:
    if not math.isfinite(value):
        raise ValueError(
            say("{value} is not {noun}; only a finite number is", value=float(value), noun=kind.noun)
        )
    return float(value) + 0.0  # minus zero is zero


def _usual(kind: Kind, unit: str) -> str:
    if unit not in kind.names:
        raise ValueError(
            say(
                "{unit} is not a unit of {kind}; write one of {systems}",
                unit=_seen(unit),
                kind=kind.name,
                systems=", ".join(kind.systems),
            )
        )
    return kind.names[unit]


def _exact(kind: Kind, si_value: float, unit: str) -> Fraction:
    scale, offset = kind.units[unit]
    return (Fraction(_finite(kind, si_value)) - offset) / scale


def _other(system: System) -> System:
    return "si" if system == "us" else "us"


def _aside(kind: Kind, si_value: float, system: System, rounding: Rounding) -> str:
    """Shown beside the first figure: a speed in m/s to a tenth, so that it can be compared."""
    digits = 1 if kind.name == "speed" and system == "si" else None
    return show(kind.name, si_value, system, rounding=rounding, digits=digits)


def _suited(kind: Kind, value: Fraction, system: System) -> str:
    size = abs(value)
    if kind.name == "length" and system == "si" and size < Fraction(1, 10):
        return "mm"
    if kind.name == "time":
        if size < 60 or (size < 120 and size % 60):
            return "s"
        return "min" if size < 7200 else "h"
    return kind.us if system == "us" else kind.metric


def _rounded(exact: Fraction, step: Fraction, rounding: Rounding) -> Fraction:
    n = exact / step
    guard = min(max(abs(n), Fraction(1)) * _GUARD, _WIDEST)
    if rounding == "down":
        return math.floor(n + guard) * step
    if rounding == "up":
        return math.ceil(n - guard) * step
    whole = math.floor(abs(n) + guard + Fraction(1, 2))
    return (whole if n >= 0 else -whole) * step


def _number(value: Fraction, step: Fraction) -> str:
    places = next(p for p in range(20) if (step * 10**p).denominator == 1)
    return f"{float(value):.{places}f}"


def _feet_and_inches(exact: Fraction, rounding: Rounding) -> str:
    step = Fraction(1) if abs(exact) >= _INCHES else Fraction(1, 10)
    inches = _rounded(exact, step, rounding)
    feet, rest = divmod(abs(inches), _INCHES)
    small = decimal(_number(rest, step).removesuffix(".0"))
    sign = "-" if inches < 0 else ""
    if not feet:
        return f"{sign}{small} in"
    return f"{sign}{feet} ft {small} in" if rest else f"{sign}{feet} ft"


def bound_text(measure: Measure, bound: Measure, rounding: Rounding) -> str:
    """A bound in the unit that the user typed, rounded to the side that is accepted."""
    kind = KINDS[bound.kind]
    try:
        typed = _parse(kind, measure.text)[1]
    except ValueError:  # made by hand, with a text of its own
        typed = kind.si
    if _parse(kind, bound.text)[1] == typed:
        return bound.text
    exact = _exact(kind, bound, typed)
    size = max(abs(exact), Fraction(1, 1000))
    step = next(s for p in range(7) if (s := Fraction(1, 10**p)) * 100 <= size or p == 6)
    number = _number(_rounded(exact, step, rounding), step)
    return f"{number.rstrip('0').rstrip('.') if '.' in number else number} {typed} ({bound.text})"
