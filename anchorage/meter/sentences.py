"""NMEA 0183 sentences of wind: a line in, a sample or the reason why it is none out. Needs pynmea2, an extra.

A line is believed where its checksum is there and right, every field that is used is there and a plain number, its unit is
known and the meter itself says that its data are valid. An angle is a direction where it is said from north, or where the
bearing of the mark on the meter is given; else the sample is a speed without a direction.
"""

from __future__ import annotations

import functools
import re
from dataclasses import dataclass
from enum import Enum
from types import ModuleType

from anchorage.core import tables
from anchorage.core.errors import AnchorageError
from anchorage.core.say import later, say
from anchorage.core.units import read

LONGEST = 120
"""Characters of a sentence; the standard says 82, and composites of weather stations go beyond it."""
_SENTENCE = re.compile(r"\$(?P<talker>[A-Z]{2})(?P<kind>[A-Z]{3}),[ -)+-~]*(?P<sum>\*[0-9A-Fa-f]{2})?")
_PROPER = re.compile(r"[$!][A-Z0-9]{3,9}(,[ -)+-~]*)?(\*[0-9A-Fa-f]{2})?")
_NUMBER = re.compile(r"\+?[0-9]{1,4}(\.[0-9]{0,4})?")
_UNITS = {"N": "kt", "M": "m/s", "K": "km/h", "S": "mph"}
"""Letters of the standard, and what is written for them here."""


class MeterError(AnchorageError):
    """A meter cannot be read, and what would make it possible."""


class Refused(Enum):
    """Why a line is no reading. The value is what people read."""

    NO_SENTENCE = later("no sentence: another speed of the line, or not a meter")
    NO_CHECKSUM = later("without a checksum")
    CHECKSUM = later("with a wrong checksum: damaged on its way")
    FOREIGN = later("of something else than wind")
    NOT_VALID = later("which the meter itself marks as not valid")
    EMPTY = later("with a field left empty")
    NUMBER = later("with something that is no number")
    UNIT = later("with a unit that is not known")
    RANGE = later("beyond what wind can be")


@dataclass(frozen=True)
class Sample:
    """A speed as it was sent (m/s). stream: talker, sentence and reference; from_deg: degrees from true north, where that is known."""

    speed: float
    from_deg: float | None
    stream: str
    angle: float | None = None
    """As it was sent, in degrees, whatever it is counted from."""


@functools.cache
def library() -> ModuleType:
    """The reader of sentences, asked for late: it is an extra."""
    try:
        import pynmea2  # noqa: PLC0415 - an extra
    except ImportError:
        raise MeterError(
            say("meter: pynmea2 is not installed; install the extra: pip install 'shelter-anchorage[meter]'")
        ) from None
    module: ModuleType = pynmea2
    return module


@functools.cache
def _scale(letter: str) -> float:
    return float(read("speed", f"1 {_UNITS[letter]}"))


@functools.cache
def fastest() -> float:
    """Speed (m/s) beyond which a sentence is a fault."""
    return tables.row("meter-watch", "fastest").value


class _NoReadingError(Exception):
    def __init__(self, why: Refused) -> None:
        super().__init__(why.value)
        self.why = why


def _number(text: str) -> float:
    if not text:
        raise _NoReadingError(Refused.EMPTY)
    if not _NUMBER.fullmatch(text):
        raise _NoReadingError(Refused.NUMBER)
    return float(text)


def _speed(text: str, letter: str) -> float:
    value = _number(text)
    if not letter:
        raise _NoReadingError(Refused.EMPTY)
    if letter not in _UNITS:
        raise _NoReadingError(Refused.UNIT)
    return _in_range(value * _scale(letter))


def _in_range(speed: float) -> float:
    if speed > fastest():
        raise _NoReadingError(Refused.RANGE)
    return speed


def _angle(text: str, most: float = 360.0) -> float | None:
    """None where none was sent: a speed without an angle is a speed."""
    if not text:
        return None
    value = _number(text)
    if value > most:
        raise _NoReadingError(Refused.RANGE)
    return value % 360.0


def _from_mark(angle: float | None, mark: float | None) -> float | None:
    return None if angle is None or mark is None else (angle + mark) % 360.0


def _fastest_of(pairs: list[tuple[str, str, str]]) -> float:
    """The highest of the speeds that one sentence gives in several units; those left empty are passed over, not all of them.

    pairs: number, letter as it was sent, letter that belongs there.
    """
    found = []
    for text, letter, wanted in pairs:
        if text and letter != wanted:
            raise _NoReadingError(Refused.UNIT if letter else Refused.EMPTY)
        if text:
            found.append(_speed(text, letter))
    if not found:
        raise _NoReadingError(Refused.EMPTY)
    return max(found)


def _mwv(f: list[str], stream: str, mark: float | None) -> Sample:
    angle, reference, speed, unit, status = (*f, *[""] * 5)[:5]
    if status != "A":
        raise _NoReadingError(Refused.NOT_VALID if status else Refused.EMPTY)
    if reference not in ("R", "T"):
        raise _NoReadingError(Refused.EMPTY if not reference else Refused.UNIT)
    at = _angle(angle)
    north = at if reference == "T" else _from_mark(at, mark)
    return Sample(_speed(speed, unit), north, f"{stream} {reference}", at)


def _mwd(f: list[str], stream: str, mark: float | None) -> Sample:
    del mark
    true, t, magnetic, m, kn, n, ms, s = (*f, *[""] * 8)[:8]
    del magnetic, m
    at = _angle(true)
    if at is not None and t != "T":
        raise _NoReadingError(Refused.UNIT)
    return Sample(_fastest_of([(kn, n, "N"), (ms, s, "M")]), at, stream, at)


def _vwr(f: list[str], stream: str, mark: float | None) -> Sample:
    degrees, side, kn, n, ms, s, kmh, k = (*f, *[""] * 8)[:8]
    at = _angle(degrees, 180.0)
    if at is not None:
        if side not in ("L", "R"):
            raise _NoReadingError(Refused.UNIT)
        at = at if side == "R" else (-at) % 360.0
    speed = _fastest_of([(kn, n, "N"), (ms, s, "M"), (kmh, k, "K")])
    return Sample(speed, _from_mark(at, mark), stream, at)


def _mda(f: list[str], stream: str, mark: float | None) -> Sample:
    """The last eight fields are those of MWD."""
    return _mwd(f[12:20], stream, mark)


def _xdr(f: list[str], stream: str, mark: float | None) -> Sample:
    """Quadruplets of type, value, unit and name. S with a unit of speed is a speed, and of several the highest counts."""
    four = [tuple(f[i : i + 4]) for i in range(0, len(f) - 3, 4)]
    speeds = [(v, u) for t, v, u, _ in four if t == "S" and u]
    if not speeds:
        raise _NoReadingError(Refused.FOREIGN)
    angles = [v for t, v, u, _ in four if t == "A" and u == "D"]
    at = _angle(angles[0]) if len(angles) == 1 and _NUMBER.fullmatch(angles[0]) else None
    return Sample(max(_speed(v, u) for v, u in speeds), _from_mark(at, mark), stream, at)


_READERS = {"MWV": _mwv, "MWD": _mwd, "VWR": _vwr, "MDA": _mda, "XDR": _xdr}


def sample_of(line: bytes, mark: float | None = None) -> Sample | Refused:
    """A line as a sample, or why it is none. mark: bearing (degrees true) of the mark on the meter from which it counts its angles."""
    try:
        text = line.decode("ascii").strip("\r\n \0")
    except UnicodeDecodeError:
        return Refused.NO_SENTENCE
    m = _SENTENCE.fullmatch(text)
    if m is None or m["kind"] not in _READERS:
        return Refused.FOREIGN if len(text) <= LONGEST and _PROPER.fullmatch(text) else Refused.NO_SENTENCE
    if len(text) > LONGEST:
        return Refused.NO_SENTENCE
    if m["sum"] is None:
        return Refused.NO_CHECKSUM
    nmea = library()
    try:
        fields = nmea.parse(text, check=True).data
    except nmea.ChecksumError:
        return Refused.CHECKSUM
    except nmea.ParseError:
        return Refused.NO_SENTENCE
    try:
        return _READERS[m["kind"]](list(fields), f"{m['talker']} {m['kind']}", mark)
    except _NoReadingError as e:
        return e.why
