"""NBM text bulletins NBH, NBS, NBE and NBX: fixed columns of three or four characters, one line a quantity.

``GST`` is a gust in knots with its standard deviation ``GSD``; -99 is missing. A column is a moment: between two
columns the worse of both counts. Thunder (``T03``) and the amounts (``Q06``, ``S06``, ``I06``) are over the hours before a column.
"""

from __future__ import annotations

import itertools
import re
from datetime import UTC, datetime

from anchorage.core import tables, units
from anchorage.core.say import later, say
from anchorage.outlook.clock import HOUR, seconds
from anchorage.outlook.hours import Forecast, Span
from anchorage.outlook.remarks import Account, Harmless
from anchorage.outlook.untrusted import refuse

HEAD = re.compile(
    r"(?a)^\s?(\S{4,6})\s+NBM V(\d\.\d)\s+(NB[HSEXP])\s+GUIDANCE\s+(\d{1,2})/(\d{1,2})/(\d{4})\s+(\d{2})(\d{2}) UTC",
    re.MULTILINE,
)
MISSING = -99
_DAYS = re.compile(r"(?:[ |]*(?:SUN|MON|TUE|WED|THU|FRI|SAT)(?: *\d{1,2})?[ |]*)+(?:CLIMO)? *")
_KEYS: tuple[tuple[Harmless, str], ...] = (
        ("heat or moisture", "X/N TXN XND TSD DPT DSD HID MHT SOL TNX MNX TNS"), ("cloud or sight", "SKY SSD CIG IFC LCB VIS IFV MVC MVV CVS LIV LIC"),
        ("chance of an amount", "P01 P06 P12 P24 Q12 Q24 DUR PZR PSN PPL PRA S12 S24 I12 I24 PQ SLV"), ("wind aloft", "TWD TWS"),
        ("spread", "WSD"), ("sea", "SWH"), ("times of its own", "UTC FHR DT"), ("fire weather", "HHL"),
)  # fmt: skip
_HARMLESS: dict[str, Harmless] = {k: why for why, keys in _KEYS for k in keys.split()}
STANDING = (
    later("The gust of the NBM is the middle of a spread: half of the outcomes are stronger."),
    later("Spreads of forecasts tend to be too narrow."),
)


ROWS: dict[str, dict[str, str]] = {
    "NBH": {"thunder": "T01", "water": "Q01", "snow": "S01", "ice": "I01"}, "NBS": {"thunder": "T03", "water": "Q06", "snow": "S06", "ice": "I06"},
    "NBE": {"thunder": "T12", "water": "Q12", "snow": "S12", "ice": "I12"}, "NBX": {"water": "Q12", "snow": "S12", "ice": "I12"},
}  # fmt: skip
"""What each kind of bulletin says, and in which row; the super-extended one has nothing of thunder."""


class _Columns:
    """Where the columns of a bulletin end."""

    def __init__(self, kind: str, line: str, name: str, head: str) -> None:
        self.name, self.ends = name, list[int]()
        if kind in ("NBE", "NBX"):
            self.ends = [m.end() for m in re.finditer(r"(?a)\d+", line)]
        else:
            self.ends = [3 * (i + 1) for i in range(-(-len(line) // 3))]
        if not 2 <= len(self.ends) <= 60:
            raise refuse(name, say("line {head}", head=head), line[:30], say("2 to 60 columns"))
        self.tail = kind == "NBE"
        """The extended bulletin ends in columns of climate."""

    def cells(self, line: str, key: str) -> list[int | str | None]:
        """Numbers of a line by column, "-99" where that is said; blank is missing. A number ends where its column ends."""
        body = line.replace("|", " ").ljust(self.ends[-1])
        out: list[int | str | None] = []
        for i, (a, b) in enumerate(zip([0, *self.ends], self.ends, strict=False)):
            cell = body[a:b]
            if not re.fullmatch(r" *(?:-?\d{1,3})?", cell, re.ASCII):
                said = say("a whole number of up to three digits that ends where its column ends")
                raise refuse(self.name, say("{key}, column {i}", key=key, i=i + 1), cell.strip(), said)
            cell = cell.strip()
            out.append(None if not cell else cell if cell == str(MISSING) else int(cell))
        if body[self.ends[-1] :].strip() and not self.tail:
            raise refuse(
                self.name,
                key,
                line[-20:],
                say("{ends} columns, as many as the line of the hours", ends=len(self.ends)),
            )
        return out


def _lines(text: str, name: str, wide: int) -> dict[str, str]:
    out: dict[str, str] = {}
    for line in text.splitlines()[1:]:
        if not line.strip():
            continue
        bare = line.removeprefix(" ")
        label = bare[:4].strip()
        if label in ("DT", "DT /") or _DAYS.fullmatch(line):
            label = "DT"
        if not re.fullmatch(r"[A-Z][A-Z0-9/]{1,3}", label):
            raise refuse(
                name,
                say("line of {label}", label=label or "nothing"),
                line[:20],
                say("a label of three letters, then columns"),
            )
        if label in out:
            raise refuse(name, say("line {label}", label=label), say("given twice"), say("one bulletin"))
        out[label] = bare[wide:].rstrip() if label != "DT" else line
    return out


def read_nbm(text: str, name: str = "NBM") -> Forecast:
    """Read one bulletin."""
    m = HEAD.search(text)
    if m is None:
        raise refuse(name, say("first line"), text[:40], say("the head of an NBM bulletin"))
    if m[3] not in ROWS:
        raise refuse(name, say("first line"), m[3], say("one of {rows}", rows=", ".join(ROWS)))
    try:
        issued = seconds(datetime(int(m[6]), int(m[4]), int(m[5]), int(m[7]), int(m[8]), tzinfo=UTC))
    except ValueError:
        raise refuse(name, say("first line"), m[0], say("month/day/year and the hour of issue")) from None
    a, rows = Account(), ROWS[m[3]]
    lines = _lines(text[m.start() :].lstrip("\n"), name, 4)
    head = "FHR" if "FHR" in lines else "UTC"
    if head not in lines:
        raise refuse(name, say("line UTC"), "none", say("a line FHR or UTC with the hours"))
    columns = _Columns(m[3], lines[head], name, head)
    n = len(columns.ends)

    def row(label: str) -> list[int | None]:
        if label not in lines:
            return [None] * n
        return [
            c if isinstance(c, int) else None
            for c in columns.cells(lines[label], say("line {label}", label=label))
        ]

    times = _times(row(head), issued, name, head)
    if (
        head == "FHR"
        and "UTC" in lines
        and any(h is not None and h != t // HOUR % 24 for h, t in zip(row("UTC"), times, strict=True))
    ):
        raise refuse(name, say("line UTC"), say("hours that do not go with FHR"), say("columns that agree"))

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

    reach = (times[0] - steps[0], times[-1])

    def totals(what: str) -> tuple[Span, ...]:
        label, scale = rows[what], code[what]
        length, out = int(label[1:]) * HOUR, list[Span]()
        said = columns.cells(lines[label], say("line {label}", label=label)) if label in lines else []
        for i, (t, v) in enumerate(zip(times, said, strict=bool(said))):
            if v == str(MISSING):
                a.lost(
                    label, say("line {label}, column {i}", label=label, i=i + 1), t - length, t, stays=True
                )
            elif isinstance(v, int):
                out.append(Span(t - length, t, max(v, 0) * scale))
        return tuple(out)

    celsius = [None if t is None else (t - 32) / 1.8 for t in row("TMP")]
    least, told = tables.row("thunder-chance", "least").value, list[Span]()
    if "thunder" in rows:
        length = int(rows["thunder"][1:]) * HOUR
        for i, (t, v) in enumerate(zip(times, row(rows["thunder"]), strict=True)):
            told.append(Span(t - length, t, None if v is None else 1.0))
            if v is None and rows["thunder"] in lines:
                a.lost(
                    rows["thunder"],
                    say("line {thunder}, column {i}", thunder=rows["thunder"], i=i + 1),
                    t - length,
                    t,
                )
            elif v is not None and v >= least:
                a.danger(("thunder",), "said", t - length, t, say("thunder, {v} %", v=v))
    for label in (*rows.values(), "WSP", "GST"):
        if label not in lines:
            a.lost(
                say("this row"),
                say("line {label}", label=label),
                *reach,
                stays=label in (rows["water"], rows["snow"], rows["ice"]),
            )
    ice = totals("ice")
    a.wet += [s._replace(text="ice") for s in ice if s.value]
    used = {"GST", "GSD", "WSP", "WDR", "TMP", *rows.values()}
    a.use(m[0].strip(), say("first line"), "head")
    for label, line in lines.items():
        if label in used:
            a.use(
                f"{label} {line}",
                say("line {label}", label=label),
                "gust" if label in ("GST", "GSD") else "snow or rain",
            )
        elif label in _HARMLESS or (label[0] in "PQTSI" and label[1:] in ("01", "03", "06", "12", "24")):
            a.leave(
                f"{label} {line}".removeprefix("DT "),
                say("line {label}", label=label),
                _HARMLESS.get(label, "chance of an amount"),
            )
        else:
            a.unread(f"{label} {line}", say("line {label}", label=label), *reach)
    return Forecast(
        f"NBM {m[3]}", name, issued, None, gusts=moments(gusts, bearings),
        means=tuple(s for s in moments([None if v is None else _speed(v, knot, name, "WSP") for v in row("WSP")], bearings) if s.value is not None),
        spreads=moments(spreads, nothing), water=totals("water"), snow=totals("snow"), ice=ice,
        temperature=moments(celsius, nothing), thunder=tuple(a.thunder), wet=tuple(a.wet), doubts=tuple(a.doubts), told=tuple(told),
        says=frozenset({"gust", "mean", "snow", *(("thunder",) if "thunder" in rows else ())}),
        no_gust=say("the gust is missing from the bulletin"), standing=STANDING, remarks=a.close(),
    )  # fmt: skip


def _speed(v: int, knot: float, name: str, label: str) -> float:
    if not 0 <= v <= 250:
        raise refuse(
            name, say("line {label}", label=label), v, say("0 to 250 kt, or -99 where there is none")
        )
    return v * knot


def _bearing(tens: int, name: str) -> float:
    if not 0 <= tens <= 36:
        raise refuse(name, say("line WDR"), tens, say("tens of degrees, 0 to 36"))
    return tens * 10 % 360


def _times(cells: list[int | None], issued: int, name: str, head: str) -> list[int]:
    if any(c is None for c in cells):
        raise refuse(name, say("line {head}", head=head), "a blank", say("an hour over each column"))
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
        raise refuse(name, say("line {head}", head=head), hours, say("hours that go up"))
    return times
