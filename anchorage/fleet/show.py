"""Rows as text, CSV and Parquet; in which order, and what they come to."""

from __future__ import annotations

import io
from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import asdict, fields
from datetime import UTC, datetime, tzinfo
from typing import Any, NamedTuple

from anchorage.core.choices import chosen
from anchorage.core.closed import EXITS
from anchorage.core.errors import AnchorageError
from anchorage.core.plain import columns, cut, inert, wrap
from anchorage.core.say import capital, dated, later, plural, say
from anchorage.core.tables import STRENGTH
from anchorage.core.units import System, show, shown
from anchorage.core.words import VERDICTS, out_of, spoken
from anchorage.deployment import policy
from anchorage.fleet.rows import ORDER, SiteRow
from anchorage.outlook.clock import seconds
from anchorage.paper.points import table_csv

WIDE = 80
MOST = 220
"""Columns of a reason under a line; all of it stands in CSV, Parquet and JSON."""
WORDS = VERDICTS | {"unusable": later("UNREADABLE")}
WIDTHS = (18, 10, 10, 16)
HEADS = (later("FILE"), later("VERDICT"), later("LEVEL"), later("GUST OF LIMIT"), later("GIVES FIRST"))
TIMES = ("worst_hour", "secure_by", "people_out_by", "start_strike_by")
COUNTS = ("units", "stakes")
FIGURES = ("gust_m_s", "limit_gust_m_s", "share", "mass_kg", "secure_share", "people_out_share")
COLUMNS = tuple(f.name for f in fields(SiteRow))


class FleetOutputError(AnchorageError):
    """A table that cannot be written, and what would make it possible."""


def code(rows: Sequence[SiteRow]) -> int:
    """Exit code: that of the row to look at first."""
    return EXITS[min((r.verdict for r in rows), key=ORDER.index)]


def in_order(rows: Sequence[SiteRow], by: str, *, reverse: bool = False) -> list[SiteRow]:
    """Rows sorted; equal ones by their file, and what has no figure comes last either way."""
    keys: dict[str, Any] = {
        "worst": lambda r: (ORDER.index(r.verdict), -(r.share or 0.0)), "name": lambda r: r.name.casefold() or None, "file": lambda r: r.file,
        "share": lambda r: None if r.share is None else -r.share, "holds": lambda r: r.limit_gust_m_s, "deadline": lambda r: r.deadline,
    }  # fmt: skip
    named = sorted(rows, key=lambda r: r.file)
    there = sorted((r for r in named if keys[by](r) is not None), key=keys[by], reverse=reverse)
    return there + [r for r in named if keys[by](r) is None]


def tally(rows: Sequence[SiteRow]) -> dict[str, int]:
    """Rows of each verdict."""
    return {v: sum(r.verdict == v for r in rows) for v in ORDER}


class _Shares(NamedTuple):
    secure: float
    people_out: float
    keep_away: float = 1.0


def against(r: SiteRow, system: System) -> str:
    """``32 of 40 mph``: gusts up, limits down."""
    gust = None if r.gust_m_s is None else shown("speed", r.gust_m_s, system, rounding="up")
    if r.limit_gust_m_s is None:
        return "" if r.verdict == "unusable" else str(gust or "?")
    if r.gust_m_s is None or r.secure_share is None or r.people_out_share is None:
        number = "?" if gust is None else gust.number
        return out_of(number, show("speed", r.limit_gust_m_s, system, rounding="down"))
    found = policy.against(_Shares(r.secure_share, r.people_out_share), r.gust_m_s, r.limit_gust_m_s, system)
    return out_of(found.numbers[0], found.limit)


def _time(iso: str, zone: tzinfo) -> str:
    return dated(datetime.fromisoformat(iso).astimezone(zone), "%a %H:%M")


def _order(due: str, words: str, iso: str, now: int, zone: tzinfo) -> str:
    """``PEOPLE OUT BY Tue 17:30``, and once that is past ``PEOPLE OUT NOW (was Tue 17:30)``."""
    if seconds(datetime.fromisoformat(iso)) > now:
        return f"{words} {_time(iso, zone)}"
    return say("{due} NOW (was {iso})", due=due, iso=_time(iso, zone))


def _deadlines(r: SiteRow, now: int, zone: tzinfo) -> str:
    pairs = (
        (say("secure"), say("secure by"), r.secure_by),
        (say("PEOPLE OUT"), say("PEOPLE OUT BY"), r.people_out_by),
        (say("START TAKING DOWN"), say("START TAKING DOWN BY"), r.start_strike_by),
    )
    parts = [_order(due, words, t, now, zone) for due, words, t in pairs if t is not None]
    if r.missing:
        parts.append(say("no deadline without [times] {missing}", missing=r.missing))
    return ", ".join(parts) + (
        ""
        if r.worst_hour is None or not parts
        else say("; worst hour {worst_hour}", worst_hour=_time(r.worst_hour, zone))
    )


def _verdict(r: SiteRow) -> str:
    """The verdict, and that it is one for what stands, where it may not go up."""
    return say("{verdict} once up", verdict=WORDS[r.verdict]) if r.set_up else str(WORDS[r.verdict])


def _cells(cells: Sequence[str]) -> str:
    out = ""
    for text, wide in zip(cells, WIDTHS, strict=False):
        shown = cut(inert(text), wide)
        out += shown + " " * (wide - columns(shown)) + "  "
    return (out + cut(inert(cells[-1]), WIDE - sum(WIDTHS) - 2 * len(WIDTHS))).rstrip()


def lines(rows: Sequence[SiteRow], system: System, now: int, zone: tzinfo, zone_name: str) -> list[str]:
    """A table for 80 columns: a line a shelter, and under it its deadlines and why it is not go."""
    ranked = sorted(rows, key=lambda r: (ORDER.index(r.verdict), not r.set_up))
    parts = [f"{n} {v}" for v, n in Counter(map(_verdict, ranked)).items()]
    out = [
        plural(
            "{n} deployment: {parts}. Times are {zone}; now {now}.",
            "{n} deployments: {parts}. Times are {zone}; now {now}.",
            len(rows),
            parts=", ".join(parts),
            zone=zone_name,
            now=dated(datetime.fromtimestamp(now, zone), "%a %H:%M"),
        ),
        "",
        _cells(HEADS),
    ]
    for r in rows:
        level = "" if r.verdict == "unusable" else chosen(r.level, "level").replace("-", " ")
        out.append(
            _cells(
                (
                    r.file.removesuffix(".toml"),
                    _verdict(r),
                    level,
                    against(r, system),
                    spoken(r.gives_first),
                )
            )
        )
        for text in (_deadlines(r, now, zone), r.reason, r.record, capital(r.notice)):
            out += wrap(cut(text, MOST), "    ", wide=WIDE) if text else []
    known = {r.provenance for r in rows}
    weak = next((how for how in reversed(STRENGTH) if how in known), None)
    if weak is not None:
        out += [
            "",
            *wrap(
                say(
                    "Weakest figure that one of them stands on: {weak} (anchorage sources).",
                    weak=spoken(weak),
                ),
                wide=WIDE,
            ),
        ]
    return out


def as_csv(rows: Sequence[SiteRow]) -> str:
    """All columns, SI; every cell inert in a spreadsheet."""
    return table_csv(COLUMNS, [tuple("" if v is None else str(v) for v in asdict(r).values()) for r in rows])


def parquet(
    data: Mapping[str, Sequence[Any]],
    *,
    times: Sequence[str] = (),
    counts: Sequence[str] = (),
    figures: Sequence[str] = (),
) -> bytes:
    """Columns as Parquet: times (ISO 8601) are UTC timestamps, what is missing is null. Needs the extra fleet."""
    try:
        import pyarrow as pa  # noqa: PLC0415 - an extra
        import pyarrow.parquet as pq  # noqa: PLC0415 - the same
    except ImportError:
        raise FleetOutputError(
            say("Parquet needs pyarrow: pip install 'shelter-anchorage[fleet]'; or write .csv")
        ) from None
    kinds = dict.fromkeys(data, pa.string()) | dict.fromkeys(times, pa.timestamp("s", tz="UTC")) | dict.fromkeys(counts, pa.int64()) | dict.fromkeys(figures, pa.float64())  # fmt: skip
    read = {c: [None if t is None else seconds(datetime.fromisoformat(t)) for t in data[c]] for c in times}
    table = pa.table({c: pa.array(list(read.get(c, v)), kinds[c]) for c, v in data.items()})
    out = io.BytesIO()
    pq.write_table(table, out)
    return out.getvalue()


def as_parquet(rows: Sequence[SiteRow]) -> bytes:
    """The same with types."""
    data = {c: [getattr(r, c) for r in rows] for c in COLUMNS}
    return parquet(data, times=TIMES, counts=COUNTS, figures=FIGURES)


def as_data(rows: Sequence[SiteRow], now: int, saved: int) -> dict[str, Any]:
    """One JSON object."""
    return {
        "schema": 1, "now": datetime.fromtimestamp(now, UTC).strftime("%Y-%m-%dT%H:%M:%SZ"), "verdicts": tally(rows),
        "saved_shelters_left_out": saved, "deployments": [asdict(r) for r in rows],
    }  # fmt: skip
