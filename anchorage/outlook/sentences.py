"""What a sentence of a forecast says, as people say and print it: figures, dangers, official warnings, and the rest.

A sentence is gone through from left to right. Each piece is a figure with its unit, the name of a warning, a word of
the closed lists, or it is not understood. No number and no word of wind or gust is ever passed over.
"""

from __future__ import annotations

import functools
import re
from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import Literal, NamedTuple

from anchorage.core import tables, units
from anchorage.core.constants import ZERO_CELSIUS
from anchorage.core.say import later
from anchorage.core.table_files import Danger
from anchorage.outlook.hours import TURNED_UP
from anchorage.outlook.phrases import fillers
from anchorage.outlook.remarks import Account, Degree, Use

MOST_TEXT = 4000
LONGEST_WORDS = 3
LONGEST_NAME = 6
_TENS = (
    "ten", "eleven", "twelve", "thirteen", "fourteen", "fifteen", "sixteen", "seventeen", "eighteen", "nineteen",
)  # fmt: skip
_NUMBERS = {
    w: i
    for i, w in enumerate(("one", "two", "three", "four", "five", "six", "seven", "eight", "nine", *_TENS), 1)
}
_NUMBERS |= {
    w: 10 * i
    for i, w in enumerate(("twenty", "thirty", "forty", "fifty", "sixty", "seventy", "eighty", "ninety"), 2)
}
_COMPOUND = re.compile(
    r"\b(twenty|thirty|forty|fifty|sixty|seventy|eighty|ninety)[ -](one|two|three|four|five|six|seven|eight|nine)\b"
)
_PARTS = {"half": 0.5, "quarter": 0.25, "third": 0.333, "tenth": 0.1, "hundredth": 0.01}
_POINTS = {
    "north": 0.0, "east": 90.0, "south": 180.0, "west": 270.0, "northeast": 45.0, "southeast": 135.0, "southwest": 225.0, "northwest": 315.0,
}  # fmt: skip
POINTS: dict[str, float] = {
    **_POINTS, **{f"{k}erly": v for k, v in _POINTS.items()}, **{f"{k}ern": v for k, v in _POINTS.items()},
    **{p: i * 22.5 for i, p in enumerate(("n", "nne", "ne", "ene", "e", "ese", "se", "sse", "s", "ssw", "sw", "wsw", "w", "wnw", "nw", "nnw"))},
    **{f"{a} {b}": _POINTS[a + b] for a in ("north", "south") for b in ("east", "west")},
    **{f"{a} {b}": (_POINTS[a] + _POINTS[b] + (360.0 if {a, b} == {"north", "northwest"} else 0.0)) / 2.0 % 360.0
       for a, b in (("north", "northeast"), ("east", "northeast"), ("east", "southeast"), ("south", "southeast"), ("south", "southwest"),
                    ("west", "southwest"), ("west", "northwest"), ("north", "northwest"))},
}  # fmt: skip
POINT = "|".join(sorted((p.replace(" ", "[ -]") for p in POINTS), key=len, reverse=True))
_ANY_POINT = re.compile(rf"(?<![a-z])(?:{POINT})(?![a-z])")
SPEED_UNITS = {
    "mph": "mph", "mi/h": "mph", "miles per hour": "mph", "mile per hour": "mph", "miles an hour": "mph", "mile an hour": "mph", "kt": "kt", "kts": "kt",
    "knot": "kt", "knots": "kt", "km/h": "km/h", "km/hr": "km/h", "kmh": "km/h", "kph": "km/h", "kmph": "km/h", "kilometers per hour": "km/h", "kilometres per hour": "km/h",
    "kilometers an hour": "km/h", "kilometres an hour": "km/h", "m/s": "m/s", "mps": "m/s", "meters per second": "m/s", "metres per second": "m/s", "ft/s": "ft/s",
}  # fmt: skip
WHOLE = ("mph", "kt")
"""Units in which a gust is said in whole numbers."""
SMALL = "km/h"
"""The unit in which a figure is the least wind."""
_LENGTH_UNITS = {
    "in": "in", "inch": "in", "inches": "in", '"': "in", "ft": "ft", "foot": "ft", "feet": "ft", "mm": "mm", "millimeters": "mm", "millimetres": "mm", "millimeter": "mm",
    "millimetre": "mm", "cm": "cm", "centimeters": "cm", "centimetres": "cm", "centimeter": "cm", "centimetre": "cm", "m": "m",
}  # fmt: skip
_SPEED, _LENGTH = (
    "|".join(sorted((re.escape(u) for u in each), key=len, reverse=True))
    for each in (SPEED_UNITS, _LENGTH_UNITS)
)
_N = r"\d{1,5}(?:\.\d{1,3})?"


def _range(unit: str, group: str) -> str:
    """A figure or a range of two, each with or without its unit, the last with it."""
    return (
        rf"(?:between )?(?:(?P<{group}a>{_N})\+? ?(?:{unit})? ?(?:-|to|and|or) ?)?(?P<{group}b>{_N})(?P<{group}plus>\+?)[ -]?(?P<{group}u>{unit})(?![a-z0-9/])"
        rf"(?P<{group}more> or (?:more|higher|stronger|greater|above|so)| and (?:more|higher|above|up)| plus|\+)?"
    )


_LEAD = (
    "to|up|as|high|of|at|near|around|about|from|out|the|possible|likely|could|can|may|might|be|will|would|reach|reaching|approach|approaching|is|are|was|were|blowing|"
    "increasing|decreasing|diminishing|easing|becoming|rising|building|picking|then|and|with|speeds?|occasional|occasionally|local|locally|sustained|strong|stronger|"
    "maximum|max|peak|average|averaging|mean|over|above|exceed|exceeding|excess|in|more|than|least|greater|beyond|not|no|less|under|below|only|turning|shifting|"
    "frequent|mostly|generally|expected|forecast|a|by|this|hours?|some|light|variable|gusty|isolated|brief|ranging|"
    "wind|winds|steady|falling|:|=|,"
)
_BETWEEN = rf"(?P<lead>(?: ?(?:{_LEAD}|{POINT})(?![a-z])){{0,12}}) ?"
"""Words between what it is and its figure; bounded, so that a text is gone through in a time that grows with its length."""
_SOME = r"(?:wind |peak |strong |stronger |occasional |frequent |brief |isolated |locally |higher |damaging ){0,4}"
_FROM = rf"(?: (?:from |out of )?(?:the )?(?P<point>{POINT})(?![a-z]))?"
_GUST = re.compile(
    rf"(?a){_SOME}(?:winds? (?:could |may |might |will |to )?(?:occasionally |locally )?)?gust(?:s|ing|y)?(?: winds?| speeds?)?{_BETWEEN}{_range(_SPEED, 'q')}{_FROM}"
)
_GUST_AFTER = re.compile(
    rf"(?a){_BETWEEN}{_range(_SPEED, 'q')} (?:peak |wind ){{0,3}}gusts?(?: winds?)?(?![a-z])(?!,?(?: ?(?:{_LEAD}|{POINT})(?![a-z])){{0,12}} ?\d){_FROM}"
)
"""``40 mph gusts``; where a figure follows the word, that one is the gust and this one is the wind."""
_WIND = re.compile(
    rf"(?a)(?:(?P<before>{POINT}) )?(?:winds?|blowing|sustained|breezes?)(?: speeds?)?{_BETWEEN}{_range(_SPEED, 'q')}{_FROM}"
)
_BARE = re.compile(rf"(?a)(?:(?P<before>{POINT}) )?{_BETWEEN}{_range(_SPEED, 'q')}{_FROM}")
_FORCE = re.compile(
    rf"(?a)(?:(?P<before>{POINT}) )?(?:winds? )?(?P<lead>(?:up to |at |of )?)(?:beaufort(?: force| scale)?|bft|bf|force|f(?=\d)) ?(?:(?P<qa>\d{{1,2}}) ?(?:-|to|or|and) ?)?(?P<qb>\d{{1,2}})(?![a-z0-9.])"
)
_FALLS = r"snow|sleet|ice pellets|freezing rain|freezing drizzle|ice|glaze|rain|drizzle|precipitation"
_HOW = r"(?:new|additional|heavy|light|total|wet|fresh|storm|moderate|accumulating|flat)"
_AMOUNT = r"(?:fall|falls)?(?: and (?:sleet|ice))?(?: (?:accumulations?|amounts?|depths?|totals?|accretions?|accumulating))?"
_LEAD_AMOUNT = (
    r"(?P<lead>(?: ?(?:of|up|to|around|about|near|between|possible|likely|from|less|than|more|over|at|least|total|totals|ranging|a|an|the|as|much|under|"
    r"not|no|only|expected|forecast|additional|by|is|are|may|could|will|be|reach|in|excess|exceeding|above|greater|:|=|,)(?![a-z])){0,12}) ?"
)  # fmt: skip
_FALL = re.compile(
    rf"(?a)(?P<how>(?:{_HOW} ){{0,4}})(?P<what>{_FALLS}){_AMOUNT}{_LEAD_AMOUNT}{_range(_LENGTH, 'q')}(?: of (?:snow|ice|rain|sleet))?(?: (?P<kind>wet|new|settled|slush))?"
)
_FALL_AFTER = re.compile(
    rf"(?a){_LEAD_AMOUNT}{_range(_LENGTH, 'q')}(?: of)? (?P<how>(?:{_HOW} ){{0,4}})(?P<what>{_FALLS})(?P<kind>){_AMOUNT}"
)
_DEGREES = rf"(?! ?(?:{_SPEED}|{_LENGTH}|percent)(?![a-z]))(?: ?(?:°|degrees?|deg))? ?(?P<c>celsius|fahrenheit|c|f)?(?![a-z0-9.])"
_SIGN = r"(?:-|minus )"
_TEMPERATURE = re.compile(
    rf"(?a)(?P<which>temperatures?|temps?|highs?|lows?|falling|rising|dropping|steady)(?: (?:temperatures?|temps?))?(?: ?(?:of|near|around|about|in|into|the|between|from|falling|rising|steady|dropping|to|a|at|is|mostly|down|up|lower|mid|middle|upper|low|high|early|then|and|tonight|today)(?![a-z])){{0,10}} ?"
    rf"(?P<a>{_SIGN}?{_N})(?P<s>s?)(?: ?(?:-|to|and) ?(?:the )?(?:lower |mid |middle |upper )?(?P<b>{_SIGN}?{_N})s?)?{_DEGREES}(?P<below> below(?: zero)?)?(?: above(?: zero)?)?"
)
_CHILL = re.compile(
    rf"(?a)(?:wind chills?|heat ind(?:ex|ices)|apparent temperatures?|humidity|dew ?points?)(?: [a-z]+){{0,7}} (?:{_SIGN})?{_N}s?(?: ?(?:percent|below(?: zero)?|above(?: zero)?))?(?: ?(?:-|to|and) ?(?:{_SIGN})?{_N}s?(?: ?(?:percent|below(?: zero)?|above(?: zero)?))?)?(?: ?degrees?)?(?! ?(?:{_SPEED}))(?![a-z0-9])"
)
_AWAY = re.compile(rf"(?a){_N} ?(?:miles?|mi|kilomet(?:er|re)s?|km)(?! ?(?:per|an|a|/)(?![a-z]))(?![a-z/])")
_TAIL = re.compile(r"(?: force)?(?: winds?)(?=$|[.,;])")
_PERCENT = re.compile(rf"(?a)(?:{_N} ?(?:-|to) ?)?{_N} ?percent")
_CALM = re.compile(
    rf"(?a)(?:light(?: and variable)?|calm|variable) winds?(?! ?(?:{_N}|{_LEAD}))|winds? (?:light and variable|light|calm|variable)(?! ?(?:{_N}|(?:up|as|to|becoming|increasing|then)\b))|calm|light and variable"
)
_TURN = re.compile(
    rf"(?a)winds? (?:becoming|shifting|turning|veering|backing)(?: to)?(?: the)? (?:{POINT})(?! ?(?:{_N}|{_LEAD}))(?![a-z])|(?:{POINT}) winds?(?! ?(?:{_N}|{_LEAD}|gust))(?![a-z])|winds? (?:from |out of )?(?:the )?(?:{POINT})(?! ?(?:{_N}|{_LEAD}))(?![a-z])"
)
_CLOCK = re.compile(
    r"(?a)(?:(?:mainly|only|mostly|possibly|starting|beginning|ending) )?(?:(?:before|after|between|until|by|from|around|at|till|through) )?\d{1,2}(?::?\d\d)? ?[ap]m(?:(?: and| to|-) ?(?:\d{1,2}(?::?\d\d)? ?[ap]m|midnight|noon))?(?![a-z0-9])"
)
_SIGHT = re.compile(
    rf"(?a)(?:visibility|elevations?|snow level|above|below|levels?|ceilings?)(?: [a-z]+){{0,6}} {_N}(?: ?(?:-|to) ?{_N})? ?(?:feet|ft|miles?|mi|m|meters|metres|km)(?![a-z])"
)
_PIECE = re.compile(r"[a-z]+|\d+(?:\.\d+)?|\S")
_OPEN = re.compile(r"\b(?:over|above|exceed|exceeding|excess|more|least|greater|beyond)\b")
_SHUT = re.compile(r"\b(?:not|no|less)\b")
_NO_LESS = re.compile(r"\b(?:no|not) (?:any )?(?:less|under|below|only)\b")
_UPPER = re.compile(
    r"\b(?:(?:no|not) (?:more|greater|higher|stronger) than|not (?:over|above|exceeding)|less than|(?:winds? )?(?:could|may|might|can) gust(?= (?:up to|as high as)\b))"
)
"""What may stand before a figure and says that it is the most."""
_DENIES = re.compile(r"\b(?:no|not|was|were)\b")
_WINDY = frozenset({"wind", "winds", "gust", "gusts", "gusting", "speed", "speeds", "breeze", "breezes"})
_TOPS: dict[str, float] = {"speed": 150.0, "length": 5.0, "temperature": 335.0}

Known = Literal["gust", "wind", "snow", "ice", "rain", "temperature"]


class Figure(NamedTuple):
    """A figure that was said: m/s, m of snow, mm of ice or rain, °C."""

    what: Known
    value: float
    bearing: float | None
    text: str
    open: bool
    """It is only the least: nobody says how much more."""
    kind: str = ""
    slip: bool = False
    """Of a gust: less than one is ever said to be; a point may have slipped."""
    unit: str = ""
    """Of a gust, as it was said."""


class Said(NamedTuple):
    """A danger that was said."""

    kinds: tuple[Danger, ...]
    degree: Degree
    words: str
    light: bool


@dataclass
class Found:
    """What a sentence says; who asks changes nothing in it, for the next one gets the same."""

    figures: list[Figure] = field(default_factory=list)
    dangers: list[Said] = field(default_factory=list)
    used: list[tuple[str, Use]] = field(default_factory=list)
    harmless: list[str] = field(default_factory=list)
    unread: list[str] = field(default_factory=list)
    loose: list[str] = field(default_factory=list)
    """Words passed over beside what was said, that may say more than it."""
    swallowed: list[str] = field(default_factory=list)
    """Words taken with a figure, from what it is of to the unit."""

    @property
    def anything(self) -> bool:
        """Whether it is a sentence about the weather at all."""
        return bool(self.figures or self.dangers)


def windy(words: Sequence[str]) -> bool:
    """Whether a word of wind is among them."""
    return any(w in _WINDY for w in words)


class Alert(NamedTuple):
    """An official warning by its name."""

    name: str
    danger: tuple[Danger, ...]
    degree: Degree


@functools.lru_cache(maxsize=1)
def _names() -> dict[str, tuple[Danger, ...]]:
    listed = {c.key: c.danger for c in tables.codes("alert-names").values()}
    return listed | {c.means: c.danger for c in tables.codes("vtec-phenomenon").values()}


@functools.lru_cache(maxsize=256)
def alert_of(event: str) -> Alert | None:
    """``Severe Thunderstorm Warning``: what it warns of and how surely; None for a name that no list has."""
    words = re.findall(r"[a-z0-9]+", event.lower())
    for cut in (1, 0) if words and words[0] in _names() else (1,):
        degree = tables.codes("alert-degrees").get(words[-1]) if words and cut else None
        name = " ".join(words[:-cut] if cut else words)
        if degree is None and cut:
            continue
        if name in _names():
            return Alert(" ".join(words), _names()[name], degree.means if degree else "W")  # type: ignore[arg-type]
    whole = " ".join(words)  # a name that ends in its own last word, as in "tornado emergency"
    if whole in _names() and words[-1] in ("emergency", "immediate", "risk", "danger"):
        return Alert(whole, _names()[whole], "W")
    return None


def plain(text: str) -> str:
    """Lower case, one kind of dash and space, numbers and fractions of an inch in figures."""
    s = text[:MOST_TEXT].lower().replace("%", " percent ").replace("\u2019", "").replace("'", "")
    s = (
        re.sub(r"[\u2010-\u2015\u2212]", "-", s)
        .replace("\u00bd", ".5")
        .replace("\u00bc", ".25")
        .replace("\u00be", ".75")
    )
    s = re.sub(r"\.{2,}|\u2026", " . ", s)
    s = re.sub(r'(?<![\d.])\.(\d{1,3})(?=(?: of an)? ?(?:in\b|inch|"))', r"0.\1", s)
    s = _COMPOUND.sub(lambda m: str(_NUMBERS[m[1]] + _NUMBERS[m[2]]), s)
    words = s.split()
    for i, w in enumerate(words):
        bare = w.rstrip(",.;:")
        if bare in _NUMBERS:
            words[i] = str(_NUMBERS[bare]) + w[len(bare) :]
    s = " ".join(words)
    s = re.sub(
        r"(?a)\b(\d{1,3})[ -](\d)/(\d{1,2})(?=[ -]?(?:in\b|inch|mile))",
        lambda m: f"{int(m[1]) + int(m[2]) / max(int(m[3]), 1):g}",
        s,
    )
    s = re.sub(
        r"(?a)(?<![\d/])(\d)/(\d{1,2})(?=(?: of an)?[ -]?(?:in\b|inch|mile))(?: of an)?",
        lambda m: f"{int(m[1]) / max(int(m[2]), 1):g}",
        s,
    )
    parts = "|".join(_PARTS)
    s = re.sub(
        rf"(?a)\b(?:(\d) and )?(?:(a|an|\d) )?({parts})s?(?: of)?(?: an)?(?: and (?:(a|an|\d) )?({parts})s?(?: of)?(?: an)?)?(?= inch)",
        _fraction,
        s,
    )
    s = re.sub(
        rf"(?a)\b(\d{{1,3}}) ?g ?(\d{{1,3}}) ?({_SPEED})(?![a-z])",
        lambda m: f"{m[1]} {m[3]} gusts {m[2]} {m[3]}",
        s,
    )
    s = re.sub(
        rf"(?a)\b\d{{1,3}}(?=,? (?:with )?gust(?:s|ing)(?: up| as high)?(?: to| as)? \d{{1,3}} ?({_SPEED})(?![a-z]))",
        lambda m: f"{m[0]} {m[1]}",
        s,
    )
    s = re.sub(r"(?a)\b(?:a )?(\d(?:\.\d{1,3})?) of an(?= inch)", r"\1", s)
    s = re.sub(r"(?<!below )(?<!above )\bzero\b", "0", s)
    s = re.sub(r"\b(?:an|a) (?=inch\b|foot\b)", "1 ", s)
    return re.sub(r"\s+", " ", s).strip()


def _fraction(m: re.Match[str]) -> str:
    def one(count: str | None, part: str) -> float:
        return (int(count) if count and count.isdigit() else 1) * _PARTS[part]

    first = (int(m[1]) if m[1] else 0) + one(m[2], m[3])
    return f"{first:g}" if m[5] is None else f"{first:g} and {one(m[4], m[5]):g}"


def _value(kind: str, figure: str, unit: str) -> float | None:
    """In SI, or None where no such thing can be meant."""
    try:
        v = float(units.read(kind, f"{figure} {unit}"))
    except ValueError:
        return None
    return v if 0.0 <= v <= _TOPS[kind] else None


def _upper(m: re.Match[str], kind: str, unit: str) -> float | None:
    """The upper figure of a range; None where it is none."""
    if m["qa"] is not None and float(m["qa"]) > float(m["qb"]):
        return None
    return _value(kind, m["qb"], unit)


def _open(m: re.Match[str]) -> bool:
    g = m.groupdict()
    if g.get("qmore") or g.get("qplus"):
        return True
    lead = m["lead"]
    return bool(_NO_LESS.search(lead)) or (bool(_OPEN.search(lead)) and not _SHUT.search(lead))


def _bearing(m: re.Match[str]) -> float | None:
    """The one direction that is said with a figure; None where there are more."""
    g = m.groupdict()
    inside = re.findall(rf"(?<![a-z])(?:{POINT})(?![a-z])", g.get("lead") or "")
    found = {POINTS[p.replace("-", " ")] for p in (g.get("before"), g.get("point"), *inside) if p}
    return found.pop() if len(found) == 1 else None


def _gust(m: re.Match[str]) -> Figure | None:
    unit = SPEED_UNITS[m["qu"]]
    v = _upper(m, "speed", unit)
    if v is None:
        return None
    in_parts = unit in WHOLE and "." in m["qb"]
    slip = v < tables.row("least-wind", "forecast").value or (
        in_parts and float(m["qb"]) < tables.row("slip-of-the-point", "spoken").value
    )
    return Figure("gust", v, _bearing(m), m[0].strip(), _open(m), slip=slip, unit=unit)


def _wind(m: re.Match[str]) -> Figure | None:
    v = _upper(m, "speed", SPEED_UNITS[m["qu"]])
    return (
        None if v is None else Figure("wind", v, _bearing(m), later(TURNED_UP, said=m[0].strip()), _open(m))
    )


def _beaufort(force: int, bearing: float | None, text: str) -> Figure | None:
    """The upper end of a force, a mean over 10 minutes; the last has none."""
    rows = tables.table("beaufort").by_key
    if f"force-{force}" not in rows:
        return None
    last = f"force-{force + 1}" not in rows
    v = tables.row("beaufort", f"force-{force if last else force + 1}").value
    return Figure(
        "wind",
        v,
        bearing,
        later(
            TURNED_UP,
            said=later(
                "{text}: Beaufort force {force}, the upper end of a 10 min mean", text=text, force=force
            ),
        ),
        last,
    )


def _force(m: re.Match[str]) -> Figure | None:
    return _beaufort(max(int(m["qa"] or 0), int(m["qb"])), _bearing(m), m[0].strip())


def _fall(m: re.Match[str]) -> Figure | None:
    v, what = _upper(m, "length", _LENGTH_UNITS[m["qu"]]), m["what"]
    if v is None:
        return None
    kind = m["kind"] or ""
    if what in ("snow", "precipitation"):
        return Figure("snow", v, None, m[0].strip(), _open(m), kind or ("wet" if "wet" in m["how"] else ""))
    if what in ("rain", "drizzle"):
        return Figure("rain", v * 1000.0, None, m[0].strip(), _open(m))
    return Figure("ice", v * 1000.0, None, m[0].strip(), _open(m))  # sleet: as if it were solid


def _temperature(m: re.Match[str], *, fahrenheit: bool) -> Figure | None:
    unit = {"c": "degC", "celsius": "degC", "f": "degF", "fahrenheit": "degF"}.get(
        m["c"] or ("f" if fahrenheit else "")
    )
    if unit is None:
        return None
    found = [x.replace("minus ", "-") for x in (m["a"], m["b"]) if x]
    figures = [-abs(float(x)) if m["below"] else float(x) for x in found]
    try:
        v = min(float(units.read("temperature", f"{x:g} {unit}")) for x in figures) - ZERO_CELSIUS
    except ValueError:
        return None
    return Figure("temperature", v, None, m[0].strip(), m["which"].startswith("high"))


def _word_at(s: str, i: int) -> list[tuple[str, int]]:
    """The next words and where each ends."""
    out: list[tuple[str, int]] = []
    while len(out) <= LONGEST_NAME and (m := re.compile(r"(?a)[ -]?([a-z0-9]+)").match(s, i)):
        out.append((m[1], m.end()))
        i = m.end()
    return out


def _official(s: str, i: int) -> tuple[Alert, int] | None:
    """The longest name of a warning that begins here, also as ``warning high-wind``."""
    words = _word_at(s, i)
    degrees = tables.codes("alert-degrees")
    if words and words[0][0] in degrees and words[0][0] in ("warning", "watch", "advisory"):
        for n in range(min(len(words), LONGEST_NAME), 1, -1):
            found = alert_of(" ".join(w for w, _ in words[1:n]) + f" {words[0][0]}")
            if found is not None:
                return found, words[n - 1][1]
    for n in range(len(words), 1, -1):
        if words[n - 1][0] in degrees or words[n - 1][0] in ("risk", "danger"):
            found = alert_of(" ".join(w for w, _ in words[:n]))
            if found is not None:
                return found, words[n - 1][1]
    return None


@functools.lru_cache(maxsize=4)
def _closed(*lists: str) -> frozenset[str]:
    """Words of closed lists."""
    return frozenset(w for name in lists for c in tables.codes(name).values() for w in c.key.split())


def _settle(out: Found, *, printed: bool) -> None:
    """Words that may stand beside what was said are a closed list; any other is not understood."""
    gust = any(f.what == "gust" for f in out.figures)
    if printed and not gust:
        return
    manner = ("manner-words",) if out.dangers and not out.figures else ()
    allowed = _closed("harmless-words", *manner, *(("public-words",) if printed else ()))
    out.loose = [
        w for w in out.loose if w not in allowed and w not in POINTS and (gust or not w[0].isdigit())
    ]
    out.swallowed = [w for w in out.swallowed if w not in _closed("harmless-words") and w not in POINTS]
    out.unread += out.loose + out.swallowed
    out.harmless = [w for w in out.harmless if w not in out.loose]


def _swallowed(f: Figure, m: re.Match[str], *, printed: bool) -> list[str]:
    """Words that were passed over between what a figure is of and the figure."""
    lead = _UPPER.sub(" ", m[0])
    unit = m.groupdict().get("qu")
    if f.open:  # counts as a doubt already
        return []
    if unit is None or f.what not in ("gust", "wind") or (printed and f.what == "wind"):
        return _DENIES.findall(lead)
    return re.findall(r"[a-z]+", re.sub(r"(?<=\d) or (?=\d)", " ", lead.replace(unit, " ")))


@functools.lru_cache(maxsize=256)
def read_sentence(text: str, *, printed: bool = False) -> Found:
    """All of it. printed: from a public page, where degrees are Fahrenheit and times inside a period narrow nothing."""
    s, i, out = plain(text), 0, Found()
    listed, filler, forces = tables.codes("weather-words"), fillers(), tables.table("beaufort-words").by_key
    while i < len(s):
        if s[i] in " ,.;:-()/&*!":
            i += 1
            continue
        if (m := _CHILL.match(s, i) or _PERCENT.match(s, i) or _AWAY.match(s, i)) or (
            printed and (m := _CLOCK.match(s, i) or _SIGHT.match(s, i))
        ):
            out.harmless.append(m[0])
            out.loose += [] if printed else [m[0]]
            i = m.end()
            continue
        official = _official(s, i)
        if official is not None:
            found, end = official
            words: str = later("official {name}", name=found.name)
            out.dangers += [Said(found.danger, found.degree, words, light=False)] if found.danger else []
            out.used.append((s[i:end], "warning"))
            i = end
            continue
        if (done := _figure(s, i, out, printed=printed)) is not None:
            i = done
            continue
        words_here = _word_at(s, i)[:LONGEST_WORDS]
        for n in range(len(words_here), 0, -1):
            said, end = " ".join(w for w, _ in words_here[:n]), words_here[n - 1][1]
            if (row := forces.get(said.replace(" ", "-"))) is not None:
                fig = _beaufort(int(row.value), None, said)
                out.figures += [fig] if fig is not None else []
                out.used.append((said, "mean wind"))
                end = m.end() if (m := _TAIL.match(s, end)) else end
                break
            if said in listed:
                code = listed[said]
                end = m.end() if (m := _TAIL.match(s, end)) else end
                out.dangers += (
                    [Said(code.danger, "said", later(code.means), code.light)] if code.danger else []
                )
                (out.used.append((said, "weather")) if code.danger else out.harmless.append(said))
                break
        else:
            if m := _CALM.match(s, i) or _TURN.match(s, i):
                out.harmless.append(m[0])
                i = m.end()
                continue
            m = _PIECE.match(s, i)
            piece = m[0] if m else s[i]
            end = i + len(piece)
            known = piece in filler and piece not in _WINDY and not piece[0].isdigit()
            (out.harmless if known or piece in "\"'°" else out.unread).append(piece)
            out.loose += [piece] if known else []
        i = end
    if len({POINTS[p.replace("-", " ")] for p in _ANY_POINT.findall(s)}) > 1:  # it turns: from anywhere
        out.figures = [f._replace(bearing=None) for f in out.figures]
    _settle(out, printed=printed)
    return out


def _figure(s: str, i: int, out: Found, *, printed: bool) -> int | None:
    """The figure that begins here; where it ends, or None."""
    tried = (
        (_FORCE, _force, "mean wind"), (_GUST, _gust, "gust"), (_GUST_AFTER, _gust, "gust"), (_FALL, _fall, "snow or rain"), (_FALL_AFTER, _fall, "snow or rain"),
        (_WIND, _wind, "mean wind"), (_BARE, _wind, "mean wind"), (_TEMPERATURE, functools.partial(_temperature, fahrenheit=printed), "temperature"),
    )  # fmt: skip
    for pattern, read, why in tried:
        m = pattern.match(s, i)
        if m is None or (
            m.end() < len(s) and re.match(r"[a-z0-9]", s[m.end()]) and re.match(r"[a-z0-9]", s[m.end() - 1])
        ):
            continue
        found = read(m)
        if found is None:
            out.unread.append(m[0].strip())
        else:
            out.figures.append(found)
            out.swallowed += _swallowed(found, m, printed=printed)
            out.used.append((m[0].strip(), why))  # type: ignore[arg-type]
        return m.end()
    return None


def count(a: Account, found: Found, start: int, end: int) -> None:
    """The dangers of a sentence into an account, for their hours."""
    for d in found.dangers:
        a.danger(d.kinds, d.degree, start, end, d.words, light=d.light)
