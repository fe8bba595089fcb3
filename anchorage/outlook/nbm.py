"""NBM text bulletins NBS and NBH: fixed columns of three characters, one line a quantity.

``GST`` is a gust in knots with its standard deviation ``GSD``; -99 is missing. A column is a moment: between two
columns the worse of both counts. ``T03`` and the amounts ``Q06``, ``S06``, ``I06`` are over the hours before a column.
"""

from __future__ import annotations

import itertools
import re
from datetime import UTC, datetime

from anchorage import tables, units
from anchorage.outlook.clock import HOUR, seconds
from anchorage.outlook.hours import Forecast, Span
from anchorage.outlook.untrusted import refuse

HEAD = re.compile(
    r"(?a)^\s?(\S{4,6})\s+NBM V(\d\.\d)\s+(NB[HSEXP])\s+GUIDANCE\s+(\d{1,2})/(\d{1,2})/(\d{4})\s+(\d{2})(\d{2}) UTC",
    re.MULTILINE,
)
MISSING = -99
STANDING = (
    "The gust of the NBM is the middle of a spread: half of the outcomes are stronger.",
    "Spreads of forecasts tend to be too narrow.",
)


def _cells(line: str, n: int, name: str, key: str) -> list[int | None]:
    """Numbers of a line by column; blank and -99 are missing. A number ends its column: one that does not broke off."""
    body = line.ljust(n * 3)
    out: list[int | None] = []
    for i in range(n):
        cell = body[3 * i : 3 * i + 3]
        if not re.fullmatch(r" *(?:-?\d{1,3})?", cell, re.ASCII):
            said = "a whole number of up to three digits that ends where its column ends"
            raise refuse(name, f"{key}, column {i + 1}", cell.strip(), said)
        cell = cell.strip()
        out.append(None if cell in ("", str(MISSING)) else int(cell))
    if body[3 * n :].strip():
        raise refuse(name, key, line[-20:], f"{n} columns, as many as the line of the hours")
    return out


def _lines(text: str, name: str) -> dict[str, str]:
    out: dict[str, str] = {}
    for line in text.splitlines()[1:]:
        if not line.strip():
            continue
        bare = line.removeprefix(" ")
        label = bare[:4].strip()
        if label in ("DT", "DT /"):
            continue  # dates, which the head and the hours give already
        if not re.fullmatch(r"[A-Z][A-Z0-9]{1,3}", label):
            raise refuse(
                name, f"line of {label or 'nothing'}", line[:20], "a label of three letters, then columns"
            )
        if label in out:
            raise refuse(name, f"line {label}", "given twice", "one bulletin")
        out[label] = bare[4:].rstrip()
    return out


def read_nbm(text: str, name: str = "NBM") -> Forecast:
    """Read one bulletin."""
    m = HEAD.search(text)
    if m is None:
        raise refuse(name, "first line", text[:40], "the head of an NBM bulletin")
    if m[3] not in ("NBS", "NBH"):
        raise refuse(
            name, "first line", m[3], "an NBS or NBH bulletin; in the others a gust stands for half a day"
        )
    try:
        issued = seconds(datetime(int(m[6]), int(m[4]), int(m[5]), int(m[7]), int(m[8]), tzinfo=UTC))
    except ValueError:
        raise refuse(name, "first line", m[0], "month/day/year and the hour of issue") from None
    lines = _lines(text[m.start() :].lstrip("\n"), name)
    head = "FHR" if "FHR" in lines else "UTC"
    if head not in lines:
        raise refuse(name, "line UTC", "none", "a line FHR or UTC with the hours")
    n = -(-len(lines[head]) // 3)
    if not 2 <= n <= 60:
        raise refuse(name, f"line {head}", lines[head][:30], "2 to 60 columns")
    times = _times(_cells(lines[head], n, name, f"line {head}"), issued, name, head)
    if head == "FHR" and "UTC" in lines:
        clock = _cells(lines["UTC"], n, name, "line UTC")
        if any(h is not None and h != t // HOUR % 24 for h, t in zip(clock, times, strict=True)):
            raise refuse(name, "line UTC", "hours that do not go with FHR", "columns that agree")

    def row(label: str) -> list[int | None]:
        return _cells(lines[label], n, name, f"line {label}") if label in lines else [None] * n

    knot = float(units.read("speed", "1 kt"))
    steps = [b - a for a, b in itertools.pairwise(times)]

    def moments(values: list[float | None], bearings: list[float | None]) -> tuple[Span, ...]:
        """A value stands from the column before it to the column after it."""
        return tuple(
            Span(
                times[i] - (steps[i - 1] if i else steps[0]), times[i] + (steps[i] if i < n - 1 else 0), v, b
            )
            for i, (v, b) in enumerate(zip(values, bearings, strict=True))
        )

    nothing: list[float | None] = [None] * n
    bearings = [None if w is None else _bearing(w, name) for w in row("WDR")]
    gusts = [None if g is None else _speed(g, knot, name, "GST") for g in row("GST")]
    spreads = [None if g is None else _speed(g, knot, name, "GSD") for g in row("GSD")]
    code = {k: tables.row("nbm-code", k).value for k in ("water", "snow", "ice")}

    def totals(label: str, scale: float) -> tuple[Span, ...]:
        length = int(label[1:]) * HOUR
        return tuple(
            Span(t - length, t, max(v, 0) * scale)
            for t, v in zip(times, row(label), strict=True)
            if v is not None
        )

    celsius = [None if t is None else (t - 32) / 1.8 for t in row("TMP")]
    least = tables.row("thunder-chance", "least").value
    thunder = [Span(t - 3 * HOUR, t, 1.0, None, f"thunder, {v} %")
               for t, v in zip(times, row("T03"), strict=True) if v is not None and v >= least]  # fmt: skip
    says = (
        {"gust"}
        | ({"snow"} if "S06" in lines and "Q06" in lines else set())
        | ({"thunder"} if "T03" in lines else set())
    )
    return Forecast(
        f"NBM {m[3]}", name, issued, None, gusts=moments(gusts, bearings),
        means=tuple(s for s in moments([None if v is None else _speed(v, knot, name, "WSP") for v in row("WSP")], bearings) if s.value is not None),
        spreads=moments(spreads, nothing), water=totals("Q06", code["water"]), snow=totals("S06", code["snow"]), ice=totals("I06", code["ice"]),
        temperature=moments(celsius, nothing), thunder=tuple(thunder), says=frozenset(says),
        no_gust="the gust is missing from the bulletin", standing=STANDING,
    )  # fmt: skip


def _speed(v: int, knot: float, name: str, label: str) -> float:
    if not 0 <= v <= 250:
        raise refuse(name, f"line {label}", v, "0 to 250 kt, or -99 where there is none")
    return v * knot


def _bearing(tens: int, name: str) -> float:
    if not 0 <= tens <= 36:
        raise refuse(name, "line WDR", tens, "tens of degrees, 0 to 36")
    return tens * 10 % 360


def _times(cells: list[int | None], issued: int, name: str, head: str) -> list[int]:
    if any(c is None for c in cells):
        raise refuse(name, f"line {head}", "a blank", "an hour over each column")
    hours = [c for c in cells if c is not None]
    if head == "FHR":
        times = [issued // HOUR * HOUR + c * HOUR for c in hours]
    else:
        times, at = [], issued // HOUR * HOUR
        for c in hours:
            at += HOUR
            while at // HOUR % 24 != c % 24:
                at += HOUR
            times.append(at)
    if any(b <= a or b - a > 12 * HOUR for a, b in itertools.pairwise(times)):
        raise refuse(name, f"line {head}", hours, "hours that go up")
    return times
