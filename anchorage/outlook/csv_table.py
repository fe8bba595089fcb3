"""A table as CSV: the unit stands in the heading, the zone in the times or in their heading; an empty cell is missing.

    # issued 2026-11-25T06:00:00Z
    time (America/Chicago), gust (mph), direction (deg), snow (in)
    2026-11-25 18:00, 35, 270, 0.5

A row stands for the time from its stamp on, as long as the shortest step of the table; a hole stays a hole.
"""

from __future__ import annotations

import csv
import io
import itertools
import re
from dataclasses import dataclass
from datetime import tzinfo

from anchorage.core import units
from anchorage.core.constants import ZERO_CELSIUS
from anchorage.core.dangers import dangers
from anchorage.core.say import later, say
from anchorage.outlook.clock import DAY, read_iso, zone_of
from anchorage.outlook.hours import Forecast, Span
from anchorage.outlook.nws_hourly import compass
from anchorage.outlook.phrases import add_phrases
from anchorage.outlook.remarks import Account
from anchorage.outlook.untrusted import refuse

MOST = 3000
_HEADING = re.compile(r"([A-Za-z]+)\s*(?:[(\[]([^)\]]{1,40})[)\]])?")
KINDS = {
    "gust": "speed", "wind": "speed", "spread": "speed", "snow": "length", "water": "length", "rain": "length",
    "temperature": "temperature",
}  # fmt: skip
OTHER = ("time", "end", "direction", "thunder", "note")
_NUMBER = re.compile(r"[+-]?\d{1,9}(?:\.\d{1,9})?", re.ASCII)
ACCEPTED = later(
    "a heading such as: time (America/Chicago), gust (mph), direction (deg), snow (in); columns "
) + ", ".join((*KINDS, *OTHER))


def _headings(cells: list[str], name: str, line: int) -> list[tuple[str, str | None]]:
    out: list[tuple[str, str | None]] = []
    for cell in cells:
        m = _HEADING.fullmatch(cell.strip().replace("°", "deg") if len(cell) < 80 else "")
        what = m[1].lower() if m else ""
        if m is None or what not in (*KINDS, *OTHER) or what in [w for w, _ in out]:
            raise refuse(name, say("line {line}", line=line), cell, ACCEPTED)
        if what in KINDS and (m[2] is None or m[2].strip() not in units.KINDS[KINDS[what]].units):
            raise refuse(
                name,
                say("line {line}, {what}", line=line, what=what),
                m[2] or say("no unit"),
                say("a unit in the heading: {accepts}", accepts=units.KINDS[KINDS[what]].accepts),
            )
        out.append((what, m[2].strip() if m[2] else None))
    names = [w for w, _ in out]
    if "time" not in names or not {"gust", "wind"} & set(names):
        raise refuse(
            name,
            say("line {line}", line=line),
            ", ".join(names),
            say("at least time and gust, or time and wind"),
        )
    return out


def _cell(what: str, unit: str | None, text: str, name: str, key: str) -> float | None:
    if not text:
        return None
    if what == "direction":
        found = compass(text) if not _NUMBER.fullmatch(text) else float(text)
        if found is None or not 0 <= found <= 360:
            raise refuse(name, key, text, say("degrees from 0 to 360, or N, NNE, NE, ..."))
        return found % 360
    if what == "thunder":
        words = {"yes": 1.0, "1": 1.0, "true": 1.0, "no": 0.0, "0": 0.0, "false": 0.0}
        if text.lower() not in words:
            raise refuse(name, key, text, say("yes or no"))
        return words[text.lower()]
    if not _NUMBER.fullmatch(text):
        raise refuse(name, key, text, say("a plain number, or nothing where it is missing"))
    accepted = say("a value that can be meant, not a mark for a missing one")
    try:
        value = float(units.read(KINDS[what], f"{text} {unit}"))
    except ValueError:  # colder than can be, or too large to be a quantity at all
        raise refuse(name, key, text, accepted) from None
    bound = {"speed": (0.0, 150.0), "length": (0.0, 5.0), "temperature": (180.0, 335.0)}[KINDS[what]]
    if not bound[0] <= value <= bound[1]:
        raise refuse(name, key, text, accepted)
    return value


def read_csv(
    text: str, name: str = "CSV", *, zone: tzinfo | None = None, issued: int | None = None
) -> Forecast:
    """Read a table. zone: for times without one; issued: where the file does not say."""
    rows: list[tuple[int, list[str]]] = []
    a = Account()
    try:
        for i, cells in enumerate(csv.reader(io.StringIO(text), strict=True, skipinitialspace=True), 1):
            if cells and cells[0].lstrip().startswith("#"):
                said = " ".join(cells).lstrip("# ").strip()
                if not said.lower().startswith("issued "):
                    a.leave(",".join(cells), say("line {i}", i=i), "comment")
                else:
                    a.use(",".join(cells), say("line {i}", i=i), "time")
                    issued = read_iso(said[7:].strip(), name, say("line {i}, issued", i=i), zone)
            elif any(c.strip() for c in cells):
                rows.append((i, [c.strip() for c in cells]))
            if len(rows) > MOST:
                raise refuse(name, say("line {i}", i=i), say("more rows"), say("at most {most}", most=MOST))
    except csv.Error as e:
        raise refuse(name, "table", str(e), say("plain comma-separated cells")) from None
    if len(rows) < 2:
        raise refuse(name, "table", say("{rows} lines", rows=len(rows)), ACCEPTED)
    heads = _headings(rows[0][1], name, rows[0][0])
    where = dict(heads)["time"]
    zone = zone_of(where, name) if where else zone
    found = [_row(line, cells, heads, zone, name) for line, cells in rows[1:]]
    starts = [r.start for r in found]
    if any(b <= a for a, b in itertools.pairwise(starts)):
        raise refuse(
            name, say("column time"), say("times that do not go up"), say("one row a time, in order")
        )
    if len(found) == 1 and found[0].end is None:
        raise refuse(
            name,
            say("line {rows}", rows=rows[1][0]),
            say("one row"),
            say("a second row, or a column end: how long does it stand?"),
        )
    step = min((b - a for a, b in itertools.pairwise(starts)), default=0)
    columns = {w for w, _ in heads}

    def spans(what: str, k: float = 1.0, shift: float = 0.0) -> tuple[Span, ...]:
        if what not in columns:
            return ()
        out = []
        for r in found:
            v = r.values[what]
            bearing = r.values.get("direction") if what in ("gust", "wind") else None
            out.append(Span(r.start, r.end or r.start + step, None if v is None else v * k - shift, bearing))
        return tuple(out)

    says = (
        (columns & {"gust", "thunder"})
        | ({"mean"} if {"gust", "wind"} <= columns else set())
        | ({"snow"} if columns & {"snow", "water"} else set())
    )
    a.use(",".join(rows[0][1]), say("line {rows}", rows=rows[0][0]), "head")
    for r, (line, cells) in zip(found, rows[1:], strict=True):
        a.use(",".join(cells), say("line {line}", line=line), "weather")
        end = r.end or r.start + step
        if r.note:
            _note(a, r.note, r.start, end, say("line {line}, note", line=line))
        for what in ("thunder", "snow", "water", "rain"):
            if what in columns and r.values[what] is None:
                a.lost(
                    what,
                    say("line {line}, {what}", line=line, what=what),
                    r.start,
                    end,
                    stays=what != "thunder",
                )
    for r, following in itertools.pairwise(found):
        if (r.end or r.start + step) < following.start:
            a.lost("a row", say("between the rows of the table"), r.end or r.start + step, following.start)
    return Forecast(
        "CSV", name, issued, None, gusts=spans("gust"), means=spans("wind"), spreads=spans("spread"), snow=spans("snow"),
        water=spans("water", 1000.0), rain=spans("rain", 1000.0), temperature=spans("temperature", 1.0, ZERO_CELSIUS),
        thunder=(*(s for s in spans("thunder") if s.value), *a.thunder), floors=tuple(a.floors), hazards=tuple(a.hazards), unmeasured=tuple(a.unmeasured),
        wet=tuple(a.wet), doubts=tuple(a.doubts), told=spans("thunder"), says=frozenset(says),
        no_gust=say("the gust is missing from the table"), remarks=a.close(),
    )  # fmt: skip


@dataclass(frozen=True)
class _Read:
    start: int
    end: int | None
    values: dict[str, float | None]
    note: str


def _row(
    line: int, cells: list[str], heads: list[tuple[str, str | None]], zone: tzinfo | None, name: str
) -> _Read:
    if len(cells) != len(heads):
        raise refuse(
            name,
            say("line {line}", line=line),
            say("{cells} cells", cells=len(cells)),
            say("{heads}, as in the heading", heads=len(heads)),
        )
    times: dict[str, int] = {}
    values: dict[str, float | None] = {}
    note = ""
    for (what, unit), text in zip(heads, cells, strict=True):
        key = say("line {line}, {what}", line=line, what=what)
        if what == "time" or (what == "end" and text):
            times[what] = read_iso(text, name, key, zone, late=what == "end")
        elif what == "note":
            note = text
        elif what != "end":
            values[what] = _cell(what, unit, text, name, key)
    end = times.get("end")
    if end is not None and not 0 < end - times["time"] <= DAY:
        raise refuse(
            name, say("line {line}, end", line=line), end, say("an end after the time, within a day")
        )
    return _Read(times["time"], end, values, note)


def _note(a: Account, note: str, start: int, end: int, at: str) -> None:
    """Free words beside the figures: what warns counts, a speed in them is one to reckon with, and a danger that is not understood is asked about."""
    known = add_phrases(a, note, start, end, at, strict=False)
    heard = dangers(note)
    a.floors += [Span(start, end, h.speed, None, note) for h in heard if h.speed is not None]
    if any(h.speed is None for h in heard) and not known.warns:
        a.unread(note, at, start, end)
