"""Reports of a station as archives keep them: a table (station, valid, drct, sknt, gust) or METAR text, some hundred thousand lines at once.

It fails closed: a time or a number that cannot be read is refused by its line, a wind that cannot blow is a missing one, and a
column that nobody knows is named. Whatever a METAR says is read by the reader of today's reports, each kind of group once.
"""

from __future__ import annotations

import csv
import functools
import itertools
import re
import warnings
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import UTC, tzinfo
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

from anchorage.core import tables, units
from anchorage.core.constants import ZERO_CELSIUS
from anchorage.core.errors import InputFaults
from anchorage.core.say import later, say
from anchorage.core.textfile import read_whole
from anchorage.outlook import aviation
from anchorage.outlook.clock import read_iso, zone_of
from anchorage.outlook.metar import DANGER_WORDS, events_of, peak_of
from anchorage.outlook.rule import KEEP_AWAY, NORMAL, PEOPLE_OUT
from anchorage.outlook.untrusted import refuse
from anchorage.outlook.windgroup import hidden, looks_like_wind, read_wind

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]
LARGEST = 600_000_000
"""Bytes of a history: forty years of an hourly table with its METAR text are some 80 MB."""
EARLIEST, LATEST = -2_208_988_800, 7_258_118_400
"""1900 and 2200: archives of airports begin in between."""
AT_ONCE = 20_000
"""Lines that are taken apart together."""
MISSING = frozenset({"", "M", "m", "null", "NULL", "None", "NA", "N/A", "NaN", "nan", "-", "//", "///"})
CALM_OR_ANY = frozenset({"VRB", "vrb", "V"})
TRACE = frozenset({"T", "t"})
FASTEST = 150.0
"""m/s: what is faster is no wind."""
WET, SNOW, ICE = 1, 2, 4
"""What falls or lies by a report, as bits."""
_HEADING = re.compile(r"([A-Za-z_0-9]+)\s*(?:[(\[]([^)\]]{1,40})[)\]])?")
_NUMBER = re.compile(r"(?a)[+-]?\d{1,6}(?:\.\d{0,9})?|\.\d{1,9}")
_LINE = re.compile(r"(?a)(?:(\d{4})-?(\d\d)-?(\d\d)[T ]?(\d\d):?(\d\d)(?::?\d\d)?Z?[ ,]+)?(?:METAR |SPECI )?(?:COR )?([A-Z][A-Z0-9]{3}) (\d\d)(\d\d)(\d\d)Z .*")  # fmt: skip
NAMES = {
    "station": "station", "valid": "time", "time": "time", "drct": "direction", "direction": "direction", "sknt": "mean", "wind": "mean",
    "gust": "gust", "peak_wind_gust": "peak", "peak_wind_drct": "peak direction", "wxcodes": "weather", "p01i": "water",
    "tmpf": "temperature", "tmpc": "temperature", "metar": "report",
}  # fmt: skip
"""What each column is that counts; archives of public airports name them so."""
UNITS = {"sknt": ("speed", "kt"), "gust": ("speed", "kt"), "peak_wind_gust": ("speed", "kt"), "tmpf": ("temperature", "degF"), "tmpc": ("temperature", "degC"),
         "p01i": ("length", "in"), "wind": ("speed", "")}  # fmt: skip
"""The unit of each where the heading says none."""
ACCEPTED = later(
    "a table with the columns station, valid, drct, sknt, gust in its first line, or lines such as 202611251753 METAR KXYZ 251753Z 27015G30KT ..."
)


@dataclass(frozen=True)
class Reports:
    """What a station reported, in order of time. Arrays of one length; NaN is missing."""

    name: str
    station: str
    at: Ints
    """Seconds UTC."""
    gust: Floats
    """m/s, to reckon with: reported, or the mean and what a report without one may hide."""
    bearing: Floats
    """Degrees that it comes from; NaN = from anywhere."""
    reported: NDArray[np.bool_]
    """The gust is one that was reported."""
    level: NDArray[np.int8]
    """The level that the weather itself stands for, thunder and worse."""
    fell: NDArray[np.int8]
    """Bits of what fell or lay."""
    temperature: Floats
    """°C."""
    tells: frozenset[str]
    """Of thunder, water and temperature what this history speaks of at all."""
    notes: tuple[str, ...] = ()


class _Numbers(dict[str, float]):
    """Each spelling of a number once: NaN for what is missing; ``ValueError`` for what is none."""

    def __init__(
        self, scale: float = 1.0, offset: float = 0.0, words: dict[str, float] | None = None
    ) -> None:
        super().__init__(dict.fromkeys(MISSING, np.nan) | (words or {}))
        self.scale, self.offset = scale, offset

    def __missing__(self, text: str) -> float:
        plain = text.strip()
        if plain in self and plain != text:
            value = self[plain]
        elif _NUMBER.fullmatch(plain):
            value = float(plain) * self.scale + self.offset
        else:
            raise ValueError(text)
        self[text] = value
        return value


class _Weather(dict[str, tuple[int, int]]):
    """Each cell of weather groups once: the level that it stands for, and what fell."""

    def __missing__(self, text: str) -> tuple[int, int]:
        level, fell = NORMAL, 0
        for token in text.split():
            a, b = group(token)
            level, fell = max(level, a), fell | b
        self[text] = level, fell
        return level, fell


@functools.lru_cache(maxsize=4096)
def group(token: str) -> tuple[int, int]:
    """Level and what fell by a group of present weather; nothing for what is none."""
    found = aviation.weather(token)
    if found is None:
        return NORMAL, 0
    lies = {"": 0, "ice": ICE | WET, "snow": SNOW}[aviation.underfoot(token)]
    return _level(found[0]), _fell(found[0]) | lies


def _level(dangers: Sequence[str]) -> int:
    counts = {c for d in dangers for c in tables.codes("danger-counts")[f"{d}.said"].counts}
    return (
        KEEP_AWAY if "keep-away" in counts else PEOPLE_OUT if counts & {"people-out", "thunder"} else NORMAL
    )


def _fell(dangers: Sequence[str]) -> int:
    kinds = {"rain": WET, "hail": WET, "snow": WET | SNOW, "ice": WET | ICE}
    return functools.reduce(lambda a, d: a | kinds.get(d, 0), dangers, 0)


Said = tuple[float, float, bool, float, float, int, int, float]
"""Gust, its direction, whether it was reported, peak, its direction, level, what fell, temperature."""


NOTHING: Said = (np.nan, np.nan, False, np.nan, np.nan, NORMAL, 0, np.nan)


def said_in(text: str, name: str = "METAR") -> Said:
    """What a METAR says that counts here; a wind group that is none is refused by name."""
    body, _, remarks = text.upper().replace("=", " ").partition(" RMK")
    body = _TREND.split(body, maxsplit=1)[0]  # what was expected is no observation
    gust = bearing = heat = peak = turn = np.nan
    reported, level, fell = False, NORMAL, 0
    for kind, value in map(_group, body.split()):
        if kind == "wind":
            wind = read_wind(value, name, "wind")
            if wind.gust is not None and wind.gust <= gust:
                continue  # of two the stronger
            gust = np.nan if wind.gust is None else wind.gust
            bearing = np.nan if wind.bearing is None else wind.bearing
            reported, level = (
                not wind.added and wind.gust is not None,
                max(level, KEEP_AWAY if wind.endless else NORMAL),
            )
        elif kind == "turns":
            bearing = np.nan
        elif kind == "weather":
            level, fell = max(level, value[0]), fell | value[1]
        elif kind == "heat":
            heat = value
    if remarks:
        level, fell = (
            (max(level, _remarks(remarks)[0]), fell | _remarks(remarks)[1])
            if _SPEAKS.search(remarks)
            else (level, fell)
        )
        if (found := peak_of(remarks, name)) is not None:
            peak, turn = found.mean or np.nan, np.nan if found.bearing is None else found.bearing
    return gust, bearing, reported, peak, turn, level, fell, heat


@functools.lru_cache(maxsize=20_000)
def _group(token: str) -> tuple[str, Any]:
    """What a group of the body is, each spelling once."""
    if aviation.VARIABLE.fullmatch(token):
        return "turns", None
    if aviation.is_weather(token):
        return "weather", group(token)
    if (looks_like_wind(token) and not token.startswith("WS")) or token.startswith("VRB"):
        return "wind", token
    if (t := aviation.heat(token)) is not None:
        return "heat", t
    return "", None


_TREND = re.compile(r" (?:TEMPO|BECMG|INTER|NOSIG)\b")
_SPEAKS = re.compile("|".join(("TS", "SQ", "FC", "GR", *DANGER_WORDS)))


@functools.lru_cache(maxsize=20_000)
def _remarks(remarks: str) -> tuple[int, int]:
    """Level by the remarks: words that warn, and weather that began and is not said to be over."""
    level, fell = NORMAL, 0
    for token in remarks.split():
        danger = next((d for w, d in DANGER_WORDS.items() if token.startswith(w)), None)
        if danger is not None and token != "LTGNO":  # noqa: S105 - a group, no secret
            level, fell = max(level, _level((danger,))), fell | _fell((danger,))
        for kinds in events_of(token):
            level, fell = max(level, _level(kinds)), fell | _fell(kinds)
    return level, fell


# Tables


@dataclass
class _Found:
    """What the chunks of a file come to."""

    parts: dict[str, list[Any]]
    station: str = ""
    impossible: int = 0
    unread: int = 0
    """Reports with a group of wind that is none."""

    def add(self, role: str, values: Any) -> None:
        self.parts.setdefault(role, []).append(values)

    def of(self, role: str, n: int, kind: str = "f8") -> NDArray[Any]:
        if role not in self.parts:
            return np.full(n, np.nan) if kind == "f8" else np.zeros(n, kind)
        return np.concatenate(self.parts[role])


def _headings(cells: Sequence[str], name: str) -> tuple[dict[int, tuple[str, str, str | None]], list[str]]:
    """(role, column, unit or zone) of each place; the columns that are left out."""
    found: dict[int, tuple[str, str, str | None]] = {}
    rest = []
    for i, cell in enumerate(cells):
        m = _HEADING.fullmatch(cell.strip()) if len(cell) < 80 else None
        column = m[1].lower() if m else ""
        role = NAMES.get(column)
        if m is None or role is None:
            rest.append(cell.strip()[:40])
            continue
        if role in [r for r, _, _ in found.values()]:
            raise refuse(name, "line 1", cell, say("each thing in one column"))
        found[i] = role, column, m[2]
    roles = {r for r, _, _ in found.values()}
    if "time" not in roles or not roles & {"mean", "gust", "report"}:
        raise refuse(name, "line 1", ", ".join(cells), ACCEPTED)
    return found, rest


def _numbers_of(role: str, column: str, unit: str | None, name: str) -> _Numbers:
    if role in ("direction", "peak direction"):
        return _Numbers(words=dict.fromkeys(CALM_OR_ANY, np.nan))
    kind, usual = UNITS.get(column, ("speed", ""))
    spelled = unit.strip() if unit else usual
    if spelled not in units.KINDS[kind].units:
        raise refuse(
            name,
            say("column {column}", column=column),
            unit or say("no unit"),
            say("a unit in the heading: {accepts}", accepts=units.KINDS[kind].accepts),
        )
    factor, offset = units.KINDS[kind].units[spelled]
    zero = ZERO_CELSIUS if kind == "temperature" else 0.0
    return _Numbers(
        float(factor), float(offset) - zero, dict.fromkeys(TRACE, 1e-6) if role == "water" else None
    )


def _times(cells: Sequence[str], zone: tzinfo, name: str, numbers: Sequence[int]) -> Ints:
    """Seconds UTC of a column of times; those without a zone are of ``zone``."""
    if zone is UTC:
        lengths = set(map(len, cells))
        plain = [c.removesuffix("Z").removesuffix("+00:00") for c in cells] if lengths - {16, 19} else cells
        if set(map(len, plain)) <= {16, 19}:
            try:
                with warnings.catch_warnings():
                    warnings.simplefilter("error")  # of an offset, which it would leave out
                    found: Ints = np.array(plain, dtype="datetime64[s]").astype(np.int64)
            except (ValueError, UserWarning):
                pass
            else:
                if found.size and found.min() > EARLIEST and found.max() < LATEST:
                    return found
    out = [
        read_iso(c.strip(), name, say("line {line}, valid", line=i), zone)
        for i, c in zip(numbers, cells, strict=True)
    ]
    return np.array(out, np.int64)


def _looked_up(
    values: dict[str, Any], cells: Sequence[str], name: str, column: str, numbers: Sequence[int]
) -> list[Any]:
    try:
        return list(map(values.__getitem__, cells))
    except ValueError as e:
        line = numbers[cells.index(e.args[0])]
        raise refuse(
            name,
            say("line {line}, {column}", line=line, column=column),
            e.args[0],
            say("a plain number, or M or nothing where it is missing"),
        ) from None


def _chunks(lines: Iterator[str]) -> Iterator[tuple[Sequence[int], list[list[str]]]]:
    """Rows, some thousand together, and the number of the line of each."""
    number = 1
    while chunk := list(itertools.islice(lines, AT_ONCE)):
        kept = [c for c in chunk if c and not c.startswith("#")]
        every = range(number + 1, number + 1 + len(chunk))
        numbers = (
            every
            if len(kept) == len(chunk)
            else [i for i, c in zip(every, chunk, strict=True) if c and not c.startswith("#")]
        )
        number += len(chunk)
        quoted = any('"' in c for c in kept)
        yield (
            numbers,
            [next(csv.reader([c], strict=True)) for c in kept] if quoted else [c.split(",") for c in kept],
        )


def _read_table(lines: Iterator[str], heads: Sequence[str], name: str, only: str | None) -> Reports:
    places, rest = _headings(heads, name)
    zone = next(zone_of(z, name) if z else UTC for r, _, z in places.values() if r == "time")
    of = {role: i for i, (role, _, _) in places.items()}
    reads: dict[str, _Numbers] = {
        role: _numbers_of(role, column, unit, name)
        for role, column, unit in places.values()
        if role not in ("station", "time", "weather", "report")
    }
    weather, found = _Weather(), _Found({})
    whole = "mean" not in of and "gust" not in of
    told = not whole and {"weather", "peak"} <= of.keys() and "temperature" in of
    stations: dict[str, None] = {}
    for every, chunk in _chunks(lines):
        numbers, rows = every, chunk
        wrong = next((i for i, r in enumerate(rows) if len(r) != len(heads)), None)
        if wrong is not None:
            raise refuse(
                name,
                say("line {line}", line=numbers[wrong]),
                say("{n} cells", n=len(rows[wrong])),
                say("{n}, as in the first line", n=len(heads)),
            )
        if only is not None and "station" in of:
            mine = [r[of["station"]].strip().upper() == only.upper() for r in rows]
            numbers, rows = list(itertools.compress(numbers, mine)), list(itertools.compress(rows, mine))
        if not rows:
            continue
        columns = list(zip(*rows, strict=True))
        found.add("at", _times(columns[of["time"]], zone, name, numbers))
        if "station" in of:
            stations |= dict.fromkeys(s.strip() for s in dict.fromkeys(columns[of["station"]]))
        for role, read in reads.items():
            cells = columns[of[role]]
            found.add(role, np.array(_looked_up(read, cells, name, places[of[role]][1], numbers)))
        if "weather" in of:
            pairs = [weather[c] for c in columns[of["weather"]]]
            found.add("level", np.array([a for a, _ in pairs], np.int8))
            found.add("fell", np.array([b for _, b in pairs], np.int8))
        if "report" in of:
            cells = columns[of["report"]]
            if told:  # its other columns say the rest
                cells = tuple(c if _SPEAKS.search(c) else "" for c in cells)
            _add_reports(found, cells, name, whole=whole)
    if len(stations) > 1:
        raise refuse(
            name, "column station", ", ".join(list(stations)[:6]), say("one station: --station NAME")
        )
    if "at" not in found.parts:
        raise refuse(
            name,
            "table",
            say("no rows") if only is None else say("no row of {station}", station=only),
            ACCEPTED,
        )
    found.station = next(iter(stations), "")
    tells = {"thunder", "water"} if {"weather", "report"} & of.keys() else set()
    tells |= {"water"} & of.keys()
    tells |= {"temperature"} if {"temperature", "report"} & of.keys() else set()
    notes = (
        []
        if zone is not UTC or any(z for r, _, z in places.values() if r == "time")
        else [say("Its times are taken as UTC, as archives give them.")]
    )
    notes += (
        [
            say(
                "Columns not used: {columns}.",
                columns=", ".join(rest[:12]) + (" ..." if len(rest) > 12 else ""),
            )
        ]
        if rest
        else []
    )
    return _reports(found, name, frozenset(tells), notes)


def _add_reports(found: _Found, cells: Sequence[str], name: str, *, whole: bool) -> None:
    """METAR texts of a table. whole: the wind too, where no column has it."""
    every: list[Said] = []
    for c in cells:
        try:
            every.append(NOTHING if c in MISSING else said_in(c, name))
        except InputFaults:  # one garbled report of many: its wind is missing
            found.unread += 1
            every.append(NOTHING)
    said = np.array(every, float)
    if whole:
        for role, k in (("reported gust", 0), ("direction", 1), ("was reported", 2)):
            found.add(role, said[:, k])
    for role, k in (("report peak", 3), ("report turn", 4), ("report heat", 7)):
        found.add(role, said[:, k])
    found.add("report level", said[:, 5].astype(np.int8))
    found.add("report fell", said[:, 6].astype(np.int8))


def _reports(found: _Found, name: str, tells: frozenset[str], notes: list[str]) -> Reports:
    """All chunks as one, in order of time; the peak of an hour stands beside its gust as a report of its own."""
    at = found.of("at", 0, "i8")
    n = at.size
    mean, gust = _possible(found, "mean", n), _possible(found, "gust", n)
    with np.errstate(invalid="ignore"):
        reported = ~np.isnan(gust) & ~(gust < mean)
        best = np.where(reported, gust, mean + hidden())  # a gust below its mean is none
    if "reported gust" in found.parts:
        best, reported = _possible(found, "reported gust", n), found.of("was reported", n) > 0
    bearing = found.of("direction", n)
    calm = (bearing == 0.0) & (mean == 0.0)
    bearing = np.where(calm | (bearing < 0.0) | (bearing > 360.0), np.nan, bearing % 360.0)
    level = np.maximum(found.of("level", n, "i1"), found.of("report level", n, "i1"))
    fell = found.of("fell", n, "i1") | found.of("report fell", n, "i1")
    fell |= np.where(found.of("water", n) > 0.0, np.int8(WET), np.int8(0))
    heat = found.of("temperature", n)
    heat = np.where(np.isnan(heat), found.of("report heat", n), heat)
    peaks = [
        (_possible(found, a, n), found.of(b, n))
        for a, b in (("peak", "peak direction"), ("report peak", "report turn"))
        if a in found.parts
    ]
    columns = [at, best, bearing, reported, level, fell, heat]
    for peak, turn in peaks:
        with np.errstate(invalid="ignore"):
            more = (peak > best) | (np.isnan(best) & ~np.isnan(peak))
        beside = [at, peak, turn % 360.0, np.ones(n, bool), level, fell, heat]
        columns = [np.concatenate([c, b[more]]) for c, b in zip(columns, beside, strict=True)]
    order = np.argsort(columns[0], kind="stable")
    at, best, bearing, reported, level, fell, heat = (c[order] for c in columns)
    if found.impossible:
        notes = [
            say("{n} winds that cannot blow (below 0 or over 150 m/s) count as missing.", n=found.impossible),
            *notes,
        ]
    if found.unread:
        notes = [
            say("{n} reports with a group of wind that cannot be read count as missing.", n=found.unread),
            *notes,
        ]
    return Reports(name, found.station, at, best, bearing, reported, level, fell, heat, tells, tuple(notes))


def _possible(found: _Found, role: str, n: int) -> Floats:
    v = found.of(role, n)
    with np.errstate(invalid="ignore"):
        no = (v < 0.0) | (v > FASTEST)
    found.impossible += int(no.sum())
    return np.where(no, np.nan, v)


# METAR text


def _read_lines(lines: Iterator[str], name: str, only: str | None) -> Reports:
    """Lines of METAR, each with its date before it: a report by itself says no month."""
    found, stations, at, texts = _Found({}), dict[str, None](), list[int](), list[str]()
    for number, line in enumerate(lines, 1):
        text = line.strip().upper()
        if not text or text.startswith("#") or " NIL" in text[:60]:
            continue
        m = _LINE.fullmatch(text)
        if m is None or m[1] is None:
            raise refuse(
                name,
                say("line {line}", line=number),
                text,
                say(
                    "a METAR with its date before it, as in 202611251753 METAR KXYZ 251753Z 27015G30KT ...: a report says no month"
                ),
            )
        if only is not None and m[6] != only.upper():
            continue
        stations[m[6]] = None
        at.append(read_iso(f"{m[1]}-{m[2]}-{m[3]}T{m[4]}:{m[5]}Z", name, say("line {line}", line=number)))
        texts.append(text[m.start(6) :])
    if len(stations) > 1:
        raise refuse(name, "stations", ", ".join(list(stations)[:6]), say("one station: --station NAME"))
    if not at:
        raise refuse(name, "file", say("no report"), ACCEPTED)
    found.add("at", np.array(at, np.int64))
    _add_reports(found, texts, name, whole=True)
    found.station = next(iter(stations))
    return _reports(found, name, frozenset({"thunder", "water", "temperature"}), [])


def read_reports(path: str, only: str | None = None) -> Reports:
    """Read a history from a file. only: the station, where it holds several. Raises ``InputFaults``."""
    name = Path(path).name
    try:
        raw = read_whole(Path(path), LARGEST)
    except OSError as e:
        raise refuse(name, "file", e.strerror or "cannot be read", say("the path of a history")) from None
    if len(raw) > LARGEST:
        raise refuse(
            name,
            "file",
            say("more than 600 MB"),
            say("the columns station, valid, drct, sknt, gust of one station are enough"),
        )
    return read_text(raw, name, only)


def read_text(raw: bytes, name: str, only: str | None = None) -> Reports:
    """The same from its bytes."""
    try:
        text = raw.decode("utf-8-sig")
    except UnicodeDecodeError as e:
        raise refuse(name, say("byte {n}", n=e.start + 1), say("not UTF-8 text"), ACCEPTED) from None
    lines = iter((text.replace("\r\n", "\n").replace("\r", "\n") if "\r" in text else text).split("\n"))
    head, skipped = "", 0
    for line in lines:
        if line.strip() and not line.startswith("#"):
            head = line
            break
        skipped += 1
    try:
        if _LINE.fullmatch(head.strip().upper()):
            return _read_lines(iter([*[""] * skipped, head, *lines]), name, only)
        return _read_table(iter([*[""] * skipped, *lines]), next(csv.reader([head]), []), name, only)
    except csv.Error as e:
        raise refuse(name, "table", str(e), say("plain comma-separated cells")) from None
