"""Which format is it? Settled by what is in it, never by its name; what fits none is refused."""

from __future__ import annotations

import re
from collections.abc import Callable, Sequence
from dataclasses import replace
from datetime import tzinfo

from anchorage.core.errors import InputFaults
from anchorage.core.say import later, say
from anchorage.outlook.alerts import is_alerts, looks_cap, read_alerts, read_cap
from anchorage.outlook.clock import HOUR, day_time
from anchorage.outlook.csv_table import read_csv
from anchorage.outlook.hours import MOST_HOURS, Doubt, Forecast, Remark, Remarks
from anchorage.outlook.metar import HEAD as METAR_HEAD
from anchorage.outlook.metar import read_metar
from anchorage.outlook.nbm import HEAD as NBM_HEAD
from anchorage.outlook.nbm import read_nbm
from anchorage.outlook.nws_gridpoint import read_gridpoint
from anchorage.outlook.nws_hourly import read_hourly
from anchorage.outlook.nws_observation import is_observation, read_observation
from anchorage.outlook.open_hourly import read_open_hourly
from anchorage.outlook.pasted import looks_pasted, read_pasted
from anchorage.outlook.spoken import WORDS as SPOKEN
from anchorage.outlook.spoken import looks_spoken, read_spoken
from anchorage.outlook.taf import read_taf
from anchorage.outlook.untrusted import LARGEST, decode, load_json, refuse

MOST_REPORTS = 60
FORMATS = later(
    "NWS gridpoint, hourly, daily or observation JSON, open hourly JSON (hourly and hourly_units), TAF, METAR or SPECI, an NBM bulletin (NBH, NBS, NBE, NBX), public alerts (CAP 1.2 XML or JSON), the text of a public forecast page, CSV with units in the heading, or lines as they were heard"
)
_TAF = re.compile(r"(?a)\s*(?:TAF\b|[A-Z][A-Z0-9]{3}\s+\d{6}Z\s+\d{4}/\d{4}\b)", re.IGNORECASE)
"""With its word, or bare: a period of validity follows the time of issue."""
_REPORT = re.compile(r"^[^\S\n]*(?=TAF\b|METAR\b|SPECI\b)", re.IGNORECASE | re.MULTILINE)


def unreadable(name: str, faults: InputFaults, start: int, end: int) -> Forecast:
    """A source that cannot be read, beside others that can: nothing is known of its hours."""
    heap = tuple(Remark(f"{f.key}: {f.got}", name, "cannot be read") for f in faults.faults)
    doubts = (
        Doubt(start, end, "statement", say("{name} cannot be read: {heap}", name=name, heap=heap[0].text)),
    )
    return Forecast(
        "unreadable",
        name,
        start,
        doubts=doubts,
        no_gust=say("{name} cannot be read", name=name),
        remarks=Remarks(not_understood=heap),
    )


Source = tuple[str, Callable[[], list[Forecast]], bytes]
"""A name, how it is read, and the bytes that it is read from, where it comes from a file."""


def together(sources: Sequence[Source], now: int, *, lenient: bool = False) -> list[Forecast]:
    """Every source; one that cannot be read silences no other. If none can be, all their faults are raised.

    lenient: then too its hours are unknown, for pages that have more to say than the forecast.
    """
    found: list[Forecast] = []
    bad: list[tuple[str, InputFaults, str]] = []
    for name, read, raw in sources:
        try:
            found += read()
        except InputFaults as e:
            bad.append((name, e, raw[:200].decode("utf-8", "replace").upper()))
    if bad and not found and not lenient:
        raise InputFaults([f for _, e, _ in bad for f in e.faults])
    return found + [unreadable(name, e, *_hours_of_report(text, now)) for name, e, text in bad]


_HEAD_TIME = re.compile(r"(?a)\b(\d\d)(\d\d)(\d\d)Z\b")


def _hours_of_report(text: str, now: int) -> tuple[int, int]:
    """The hour of a report that cannot be read, where its time can be; else all that may come."""
    one = (
        METAR_HEAD.match(text.strip() + " ") and not _TAF.match(text) and len(text.strip().splitlines()) == 1
    )
    m = _HEAD_TIME.search(text[:60]) if one else None
    at = day_time(int(m[1]), int(m[2]), int(m[3]), now) if m else None
    return (now - HOUR, now + MOST_HOURS * HOUR) if at is None else (at, at + HOUR)


def _json(text: str, now: int, name: str, issued: int | None) -> list[Forecast]:
    data = load_json(text, name)
    if is_alerts(data):
        return [read_alerts(data, now, name)]
    if is_observation(data):
        return read_observation(data, name)
    inner = data.get("properties", data)
    if isinstance(inner, dict) and "periods" in inner:
        return [read_hourly(data, name)]
    if isinstance(inner, dict) and any(k in inner for k in ("windGust", "gridId", "windSpeed")):
        return [read_gridpoint(data, name)]
    if "hourly" in data:
        return [read_open_hourly(data, name, issued=issued)]
    if "properties" in data:
        return [read_gridpoint(data, name)]
    raise refuse(name, "keys", ", ".join(list(data)[:6]), FORMATS)


def _reports(text: str, now: int, name: str) -> list[Forecast]:
    """TAFs and reports one after the other."""
    found: list[Forecast] = []
    chunks = [c for c in _REPORT.split(text) if c.strip()]
    chunks = [
        line
        for c in chunks
        for line in (
            c.strip().splitlines() if METAR_HEAD.match(c.strip() + " ") and not _TAF.match(c) else [c]
        )
    ]
    joined: list[list[str]] = []
    for c in chunks:  # a report goes on in lines that are set in or begin no report
        if joined and not (_TAF.match(c) or METAR_HEAD.match(c.strip() + " ")):
            joined[-1].append(c)
        elif c.strip():
            joined.append([c])
    if len(joined) > MOST_REPORTS:
        raise refuse(
            name,
            "file",
            say("{joined} reports", joined=len(joined)),
            say("at most {most_reports}", most_reports=MOST_REPORTS),
        )
    bad: list[tuple[str, str, InputFaults]] = []
    for i, c in enumerate(map(" ".join, joined), 1):
        said = name if len(joined) == 1 else say("{name}, report {i}", name=name, i=i)
        try:
            found.append(read_taf(c, now, said) if _TAF.match(c) else read_metar(c, now, said))
        except InputFaults as e:
            bad.append((c, said, e))
    if bad and not found:
        raise InputFaults([f for _, _, e in bad for f in e.faults])
    return found + [unreadable(said, e, *_hours_of_report(c, now)) for c, said, e in bad]


_BULLETIN = re.compile(
    r"(?a)[A-Z]{4}\d{2} [A-Z]{4} \d{6}(?: [A-Z]{3})?|\d{3}|[A-Z]{3}[A-Z0-9]{2,3}|\$\$|[\x01\x03]+"
)


def _without_heads(body: str) -> tuple[str, list[str]]:
    """Reports without the headings of the bulletins that they came in, and those headings."""
    rest, heads = list[str](), list[str]()
    lines = body.splitlines()
    if not any(_BULLETIN.fullmatch(line.strip()) and len(line.strip()) > 12 for line in lines[:4]):
        return body, []
    for line in lines:
        said = line.strip()
        if said.upper() not in ("METAR", "SPECI", "TAF") and _BULLETIN.fullmatch(said):
            heads.append(said)
        else:
            rest.append(line)
    return "\n".join(rest).strip(), heads


def read_text(
    text: str, now: int, name: str, *, zone: tzinfo | None = None, issued: int | None = None
) -> list[Forecast]:
    """Read a forecast. now settles months and ages; zone and issued fill in what a format does not say."""
    if len(text) > LARGEST:
        raise refuse(name, "file", say("more than 4 MB"), say("a forecast is smaller"))
    body = text.lstrip("\ufeff \t\r\n")
    if not body:
        raise refuse(name, "file", "nothing", FORMATS)
    if body[0] in "{[":
        return _json(body, now, name, issued)
    if looks_cap(body):
        return [read_cap(body, now, name)]
    if NBM_HEAD.search(body[:4000]):
        return [read_nbm(body, name)]
    if _TAF.match(body) or METAR_HEAD.match(body.upper()[:200] + " "):
        return _reports(body, now, name)
    first = next(
        (line for line in body.splitlines() if line.strip() and not line.lstrip().startswith("#")), ""
    )
    if "," in first and "time" in first.lower():
        return [read_csv(body, name, zone=zone, issued=issued)]
    if first.split()[0].lower() not in SPOKEN if first else True:
        rest, heads = _without_heads(body)
        if heads and (_TAF.match(rest) or METAR_HEAD.match(rest.upper()[:200] + " ")):
            found = _reports(rest, now, name)
            kept = tuple(Remark(h, "head", "place or station") for h in heads)
            r = found[0].remarks
            return [replace(found[0], remarks=Remarks(r[0], (*kept, *r[1]), r[2])), *found[1:]]
        if looks_pasted(body):
            return [read_pasted(body, now, name, zone=zone, issued=issued)]
    if looks_spoken(body):
        return [read_spoken(body, now, name, zone=zone, heard=issued)]
    raise refuse(name, "line 1", first, FORMATS)


def read_bytes(
    raw: bytes, now: int, name: str, *, zone: tzinfo | None = None, issued: int | None = None
) -> list[Forecast]:
    """Read a file as it comes."""
    return read_text(decode(raw, name), now, name, zone=zone, issued=issued)
