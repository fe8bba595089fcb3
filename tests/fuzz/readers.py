"""Every reader with its good files, how they are made bad, and its share of the cases of a whole run."""

from __future__ import annotations

import functools
from collections.abc import Callable
from dataclasses import dataclass

from . import corpus, files, forecasts, others, records, typed, written


@dataclass(frozen=True)
class Reader:
    """Something that reads what others wrote."""

    name: str
    good: Callable[[], list[bytes]]
    kind: str
    harm: files.Harm
    share: float
    """Of the cases of a whole run."""
    plain: Callable[[bytes], str] | None = None
    """Any bytes -> outcome, for a run led by coverage."""


def _of(*found: bytes) -> Callable[[], list[bytes]]:
    return lambda: list(found)


def _forecast(name: str, good: list[bytes], kind: str, share: float) -> Reader:
    return Reader(name, lambda: good, kind, forecasts.harm, share, forecasts.forecast)


@functools.cache
def _recorded_gridpoints() -> list[bytes]:
    return [corpus.thinned(raw) for raw in corpus.recorded("nws-gridpoint-*.json")] or [corpus.GRIDPOINTS[1]]


@functools.cache
def _recorded_bulletins() -> list[bytes]:
    return corpus.recorded("nbm-*.txt") or corpus.NBM


READERS: dict[str, Reader] = {r.name: r for r in (
    Reader("deployment", _of(*corpus.DEPLOYMENTS), "toml", files.simple(files.deployment), 15, files.read_only),
    Reader("deployment-read", _of(*corpus.DEPLOYMENTS), "toml", files.simple(files.read_only), 70, files.read_only),
    Reader("shelter", _of(*corpus.SHELTERS), "toml", files.simple(files.shelter), 60, files.shelter),
    Reader("draft", _of(*corpus.DEPLOYMENTS), "toml", files.simple(files.draft), 20, files.draft),
    Reader("journal", _of(*files.JOURNALS), "json", files.simple(files.journal), 110, files.journal),
    Reader("tables", lambda: [p.read_bytes() for p in files.TABLES], "toml", files.simple(files.table), 20, files.table),
    _forecast("gridpoint", corpus.GRIDPOINTS, "json", 80),
    Reader("gridpoint-recorded", _recorded_gridpoints, "json", files.simple(forecasts.forecast), 5),
    _forecast("nws-hourly", corpus.HOURLY, "json", 100),
    _forecast("open-hourly", corpus.OPEN, "json", 140),
    _forecast("taf", corpus.TAFS, "text", 60),
    _forecast("metar", corpus.METARS, "text", 60),
    _forecast("nbm", [*corpus.NBM], "text", 110),
    Reader("nbm-recorded", _recorded_bulletins, "text", files.simple(forecasts.forecast), 5),
    _forecast("csv", corpus.CSVS, "text", 140),
    _forecast("spoken", corpus.SPOKEN, "text", 50),
    _forecast("public-text", corpus.TEXTS, "text", 50),
    _forecast("alerts", corpus.ALERTS, "json", 50),
    _forecast("cap", corpus.CAPS, "text", 50),
    Reader("history", _of(*corpus.HISTORIES), "text", files.simple(files.history), 60, files.history),
    Reader("record", _of(b""), "bytes", records.record_harm, 8, records.record),
    Reader("log", _of(b""), "bytes", records.logged, 40),
    Reader("grid", lambda: list(files.grids()), "bytes", files.simple(files.grid), 1),
    Reader("meter", _of(*others.METER), "text", others.meter_harm, 100, others.meter),
    Reader("stock", lambda: [corpus.COUNTY], "toml", files.simple(others.stock), 40, others.stock),
    Reader("bundle", lambda: list(others.bundles()), "bytes", files.simple(others.bundle), 60, others.bundle),
    Reader("ways", _of(*corpus.DEPLOYMENTS), "toml", files.simple(others.ways_out), 1, others.ways_out),
    Reader("page-message", _of(*written.MESSAGES), "json", files.simple(written.message), 60, written.message),
    Reader("output", _of(*corpus.DEPLOYMENTS, b"a,b\n1,2\n"), "toml", files.simple(written.output), 20, written.output),
    Reader("arguments", _of(b""), "bytes", typed.arguments, 1.5),
)}  # fmt: skip
