"""The last two days of a meter, beside the deployment file: a row a minute, and when it last said anything. Bounded, and no record.

What happened is in the record, sealed. This is for a chart, a table and the question since when nothing came; whatever is wrong
with it, it is done without.
"""

from __future__ import annotations

import contextlib
import math
import sqlite3
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path

from anchorage.core import tables
from anchorage.core.outputs import METER
from anchorage.core.say import say
from anchorage.core.textfile import exists
from anchorage.record.places import copied

_TABLES = (
    "CREATE TABLE IF NOT EXISTS minutes (at INTEGER, source TEXT, gust REAL, mean REAL, bearing REAL, samples INTEGER, height REAL, PRIMARY KEY (at, source)) STRICT",
    "CREATE TABLE IF NOT EXISTS meters (source TEXT PRIMARY KEY, began INTEGER, looked INTEGER, heard INTEGER, stopped INTEGER, alarm TEXT) STRICT",
)
MOST = 20_000
"""Rows that are read at most."""


@dataclass(frozen=True)
class Minute:
    """A minute of a meter. at: its end, seconds since 1970; speeds in m/s; None where nothing was heard."""

    at: int
    gust: float | None
    mean: float | None
    from_deg: float | None
    source: str = ""
    height: float | None = None


@dataclass(frozen=True)
class Beat:
    """When a meter was last looked at and when it last said anything, seconds since 1970. stopped: the reader was ended."""

    source: str
    began: int
    looked: int
    heard: int | None
    stopped: bool
    alarm: str


def path_of(deployment: str | Path) -> Path:
    """Where the minutes of a deployment file are."""
    p = Path(deployment)
    return p.with_name(p.name + METER)


def _number(value: object, most: float) -> float | None:
    if isinstance(value, int | float) and math.isfinite(value) and 0.0 <= value <= most:
        return float(value)
    return None


def _connected(path: Path, *, write: bool) -> sqlite3.Connection:
    db = sqlite3.connect(path, timeout=1.0, isolation_level=None)
    try:
        if write:
            db.execute("PRAGMA journal_mode = WAL")
            db.execute("PRAGMA synchronous = NORMAL")
            for statement in _TABLES:
                db.execute(statement)
    except BaseException:
        db.close()
        raise
    return db


@contextlib.contextmanager
def _reading(path: Path) -> Iterator[sqlite3.Connection]:
    with contextlib.ExitStack() as left:
        db = _connected(path, write=False)
        left.callback(db.close)
        try:
            db.execute("SELECT count(*) FROM meters").fetchone()
        except sqlite3.OperationalError:  # a place that can only be read
            db = _connected(left.enter_context(copied(path)), write=False)
            left.callback(db.close)
        yield db


class Minutes:
    """Writes minutes and the heartbeat. Whatever is wrong with the file is kept in ``fault`` and stops nobody."""

    def __init__(self, deployment: str | Path, source: str) -> None:
        self.path, self.source = path_of(deployment), source
        self.fault = ""
        self.db: sqlite3.Connection | None = None

    def close(self) -> None:
        """Let go of the file."""
        if self.db is not None:
            with contextlib.suppress(sqlite3.Error):
                self.db.close()
            self.db = None

    def write(self, beat: Beat, minutes: Sequence[Minute] = ()) -> None:
        """The heartbeat, and minutes that are over; a minute that is there already keeps the higher gust."""
        old = beat.looked - int(tables.row("meter-watch", "keep").value)
        try:
            if self.db is None:
                self.db = _connected(self.path, write=True)
            with self.db as db:
                db.execute("BEGIN IMMEDIATE")
                db.execute(
                    "INSERT INTO meters VALUES (?, ?, ?, ?, ?, ?) ON CONFLICT (source) DO UPDATE SET began = excluded.began, looked = excluded.looked, heard = coalesce(excluded.heard, heard), stopped = excluded.stopped, alarm = excluded.alarm",
                    (self.source, beat.began, beat.looked, beat.heard, int(beat.stopped), beat.alarm),
                )
                for m in minutes:
                    db.execute(
                        "INSERT INTO minutes VALUES (?, ?, ?, ?, ?, ?, ?) ON CONFLICT (at, source) DO UPDATE SET gust = max(coalesce(gust, excluded.gust), coalesce(excluded.gust, gust)), mean = coalesce(excluded.mean, mean), bearing = coalesce(excluded.bearing, bearing)",
                        (m.at, self.source, m.gust, m.mean, m.from_deg, 1, m.height),
                    )
                if minutes:
                    db.execute("DELETE FROM minutes WHERE at < ?", (old,))
                    db.execute("DELETE FROM meters WHERE looked < ?", (old,))
        except (sqlite3.Error, OSError) as e:
            self.close()
            self.fault = say("{path}: the minutes cannot be kept: {e}", path=self.path.name, e=e)
        else:
            self.fault = ""


def minutes_of(deployment: str | Path, since: int) -> list[Minute]:
    """The minutes from a time on, the oldest first; none where there are none, or they cannot be read."""
    path = path_of(deployment)
    if not exists(path):
        return []
    try:
        with _reading(path) as db:
            rows = db.execute(
                "SELECT at, gust, mean, bearing, source, height FROM minutes WHERE at >= ? ORDER BY at, source LIMIT ?",
                (since, MOST),
            ).fetchall()
    except (sqlite3.Error, UnicodeDecodeError, OSError):
        return []
    return [
        Minute(at, _number(g, 200.0), _number(m, 200.0), _number(b, 360.0), str(s), _number(h, 200.0))
        for at, g, m, b, s, h in rows
        if isinstance(at, int)
    ]


def beats(deployment: str | Path) -> list[Beat]:
    """The meters that were read, the one that was looked at last first."""
    path = path_of(deployment)
    if not exists(path):
        return []
    try:
        with _reading(path) as db:
            rows = db.execute(
                "SELECT source, began, looked, heard, stopped, alarm FROM meters ORDER BY looked DESC LIMIT 20"
            ).fetchall()
    except (sqlite3.Error, UnicodeDecodeError, OSError):
        return []
    return [
        Beat(str(s), began, looked, heard if isinstance(heard, int) else None, bool(stopped), str(alarm))
        for s, began, looked, heard, stopped, alarm in rows
        if isinstance(began, int) and isinstance(looked, int)
    ]
