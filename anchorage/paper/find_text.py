"""What was found in the records of a folder: as text, as a table, as JSON."""

from __future__ import annotations

import math
from datetime import UTC, datetime, tzinfo
from typing import Any

from anchorage.core.plain import wrap
from anchorage.core.say import ENGLISH, plural, say, speaking
from anchorage.core.units import System, show
from anchorage.core.words import LEVELS
from anchorage.deployment.policy import against
from anchorage.judging.gusts import of_plan
from anchorage.outlook.clock import iso
from anchorage.paper.points import table_csv
from anchorage.record.events import words_of
from anchorage.record.find import Found, Hit

HEAD = (
    "file", "name", "entry", "time_utc", "who", "event", "what", "gust_m_s", "limit_gust_m_s", "share", "level", "near_miss", "withdrawn", "seal",
)  # fmt: skip


def _when(at: int, zone: tzinfo) -> str:
    return datetime.fromtimestamp(at, UTC).astimezone(zone).strftime("%Y-%m-%d %H:%M")


def came(h: Hit, system: System) -> str:
    """``38 of 45 mph, 85 % of what was held, PEOPLE OUT``: gusts up, limits down; nothing where it is no reading that counts."""
    r = h.reading
    if r is None:
        return "" if h.level is None else LEVELS[h.level]
    gust = show("speed", r.gust, system, rounding="up")
    if h.plan is None or not math.isfinite(r.share) or not math.isfinite(r.limit):
        return say("{gust} came, and nothing was held, {level}", gust=gust, level=LEVELS[r.level])
    words = against(h.plan.policy, r.gust, r.limit, system, least=of_plan(h.plan).digits).words
    return say("{words} of what was held, {level}", words=words, level=LEVELS[r.level])


def find_lines(f: Found, system: System, zone: tzinfo, zone_name: str) -> list[str]:
    """For a terminal: the entries in their order, then the highest that came to each shelter against what it held."""
    entries, records = (
        plural("{n} entry", "{n} entries", len(f.hits)),
        plural("{n} record", "{n} records", len(f.records)),
    )
    out = [
        say(
            "{entries} found in {records}. Times are {zone_name}.",
            entries=entries,
            records=records,
            zone_name=zone_name,
        ),
        "",
    ]
    for h in f.hits:
        more = came(h, system)
        mark = (say(" NEAR MISS") if h.near else "") + (
            say(" (withdrawn by a later entry)") if h.withdrawn else ""
        )
        text = f"{_when(h.entry.at, zone)}  {h.file.removesuffix('.toml')}  {h.entry.who}: {words_of(h.entry, system, zone)}{f' [{more}]' if more else ''}{mark}"
        out += wrap(text, "", "    ", wide=80)
    if f.worst:
        out += ["", say("HELD AGAINST WHAT CAME, the highest of each, the nearest to its limit first:")]
        for h in f.worst:
            text = f"{h.file.removesuffix('.toml')}: {came(h, system)}, {_when(h.entry.at, zone)}, {h.entry.who}{(say(', NEAR MISS') if h.near else '')}"
            out += wrap(text, "  ", "    ", wide=80)
    for x in f.records:
        if x.why_not:
            out += [
                "",
                *wrap(
                    say("{file}: not held against a limit: {why_not}", file=x.file, why_not=x.why_not),
                    "",
                    "  ",
                    wide=80,
                ),
            ]
        if x.faults:
            out += [
                "",
                *wrap(
                    say("{file}: THE RECORD WAS CHANGED: {faults}", file=x.file, faults=x.faults[0]),
                    "",
                    "  ",
                    wide=80,
                ),
            ]
    return out


def _cells(h: Hit, system: System) -> tuple[Any, ...]:
    r, e = h.reading, h.entry
    held = r if r is not None and math.isfinite(r.share) and math.isfinite(r.limit) else None
    return (
        h.file, h.name, e.id, iso(e.at), e.who, e.event, words_of(e, system), None if r is None else r.gust, None if held is None else held.limit,
        None if held is None else held.share, h.level, h.near, h.withdrawn, e.seal,
    )  # fmt: skip


@speaking(ENGLISH)
def find_csv(f: Found, system: System) -> str:
    """Every entry that was found as a row; speeds in m/s, 3 s gusts at 10 m."""
    return table_csv(HEAD, [tuple("" if v is None else str(v) for v in _cells(h, system)) for h in f.hits])


def find_data(f: Found, system: System) -> dict[str, Any]:
    """One JSON object."""
    return {
        "schema": 1, "found": [dict(zip(HEAD, _cells(h, system), strict=True)) for h in f.hits],
        "worst": [dict(zip(HEAD, _cells(h, system), strict=True)) for h in f.worst],
        "records": [{"file": x.file, "name": x.name, "entries": len(x.hits), "faults": list(x.faults), "why_not": x.why_not} for x in f.records],
    }  # fmt: skip
