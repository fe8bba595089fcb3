"""The record: any bytes, cells that somebody changed, and what is typed after ``log``."""

from __future__ import annotations

import contextlib
import functools
import math
import random
import sqlite3
from datetime import UTC
from pathlib import Path
from typing import Any

from anchorage.core.errors import AnchorageError
from anchorage.core.plain import inert
from anchorage.judging.plan import assess
from anchorage.paper.record_page import log_lines, record_csv
from anchorage.record.events import WORDS as EVENTS
from anchorage.record.events import Said, data_of, words_of
from anchorage.record.over import Recorded
from anchorage.record.stand import stand
from anchorage.record.store import Record, RecordError

from . import nasty
from .corpus import NOW
from .files import asphalt, folder
from .oracle import hold, named

LOGGED = (("setup", None), ("placed", "12"), ("thunder", None), ("wind", "32 mph"), ("wind", "14 m/s"), ("snow", "2 in"), ("straps", "locked"), ("doors", "open"),
          ("state", "wet"), ("pull-test", "620 lbf"), ("inspection", None), ("hand-over", None), ("all-clear", None), ("test", "62 lbf"), ("crossing", "secure"), ("coming-down", None), ("note", "père 🚑"))  # fmt: skip


@functools.cache
def _base() -> tuple[bytes, tuple[Any, ...]]:
    path = folder() / "base.log.db"
    with Record(path, write=True) as r:
        for i, (event, value) in enumerate(LOGGED):
            more = {"placed": {"how": "each"}, "test": {"kind": "drag", "where": "R1"}}.get(event, {})
            data = data_of(Said(event, value, "A. Lee", to="B. Roe", **more), ("R1",))
            r.append(
                at=NOW - 7200 + 60 * i, written=NOW - 7200 + 60 * i, who="A. Lee", event=event, data=data, file="0" * 12,
            )  # fmt: skip
        r.db.execute("PRAGMA wal_checkpoint(TRUNCATE)")
        r.db.execute("PRAGMA journal_mode = DELETE")
    with Record(path) as r:
        return path.read_bytes(), tuple(r.entries())


CELLS: tuple[Any, ...] = (None, 0, -1, 10**18, 2**63 - 1, 1.5, math.inf, "", "x", b"\xff\x00", b"", "\x1b[2J", "nan", "[]", "{}", "null", "[" * 3000, '{"speed_m_s": "x"}',
    '{"speed_m_s": NaN, "height_m": 1, "averaging": "3 s"}', '{"count": null}', '{"count": "many"}', '{"doors": []}', '{"from": "x", "speed_m_s": 1}', '{"depth_m": 1e999, "typed": "x"}',
    '{"state": "lava"}', '{"straps": 1}', '{"note": {"a": 1}}', '{"where": ["R1"]}', "wind", "placed", "snow", "doors", "state", "pull-test", "test", "thunder", "correct", "crossing", "coming-down", "struck", "meter", '{"level": "x"}', '{"entry": 1e99}', '{"kind": "drag", "value": -1}', "\u202ex", "9" * 400)  # fmt: skip


def _by_sql(path: Path, rng: random.Random) -> None:
    """Somebody who knows how changes a cell behind the back of the program."""
    with (
        contextlib.closing(sqlite3.connect(path, isolation_level=None)) as db,
        contextlib.suppress(sqlite3.Error),
    ):
        db.execute("DROP TRIGGER no_change")
        db.execute("DROP TRIGGER no_removal")
        if rng.random() < 0.5:  # a table that takes anything
            db.execute("CREATE TABLE other AS SELECT * FROM entries")
            db.execute("DROP TABLE entries")
            db.execute("ALTER TABLE other RENAME TO entries")
        for _ in range(rng.choice((1, 1, 2))):
            column = rng.choice(
                ("id", "at", "written", "who", "event", "data", "data", "data", "file", "before", "seal")
            )
            change = f"UPDATE entries SET {column} = ? WHERE id = ?"  # noqa: S608 - the names are above
            db.execute(change, (rng.choice(CELLS), rng.randrange(1, len(LOGGED))))


def record(raw: bytes, *, judged: bool = False) -> str:
    """Any bytes as a record: refused, or every change of it is seen by the chain."""
    path = folder() / "site.toml.log.db"
    for beside in folder().glob("site.toml.log.db*"):
        beside.unlink()
    path.write_bytes(raw)
    return _record(path, judged=judged)


def _record(path: Path, *, judged: bool) -> str:
    try:
        with Record(path) as r:
            entries, faults = r.entries(), r.faults()
    except RecordError as e:
        hold(str(e).startswith(path.name) and len(str(e)) < 500, f"no file is named: {e}")
        return "refused"
    lines = log_lines(entries, faults, UTC, "us")
    hold(all(inert(line) == line for line in lines), "a line that acts on a terminal")
    record_csv(entries, "si")
    for e in entries:
        words_of(e, "us")
    if not faults:
        hold(tuple(entries) == _base()[1][: len(entries)], "a changed record is whole")
    if judged:
        with contextlib.suppress(AnchorageError):
            d = asphalt()
            known = sorted(entries, key=lambda e: (e.at, e.id))
            stand(assess(d), Recorded(tuple(known), tuple(faults), {}, "0" * 12), NOW)
    return "read"


def record_harm(_: str, kind: str, raw: bytes, rng: random.Random, other: bytes) -> tuple[bytes, str]:
    """A record with bytes or cells changed."""
    del kind, other, raw
    raw = _base()[0]
    if rng.random() < 0.5:
        bad = nasty.by_bytes(raw, rng, raw)
        return bad, record(bad, judged=rng.random() < 0.02)
    path = folder() / "site.toml.log.db"
    for beside in folder().glob("site.toml.log.db*"):
        beside.unlink()
    path.write_bytes(raw)
    _by_sql(path, rng)
    return path.read_bytes(), _record(path, judged=rng.random() < 0.1)


def logged(_: str, kind: str, raw: bytes, rng: random.Random, other: bytes) -> tuple[bytes, str]:
    """What is typed after ``log``: whatever is taken can be said again, and judged."""
    del kind, raw, other

    def word() -> str:
        return rng.choice(
            (
                rng.choice(nasty.WORDS),
                rng.choice(
                    ("32 mph", "2 in", "12", "open", "locked", "wet", "620 lbf", "R1", "3 s", "shift", "new")
                ),
            )
        )

    typed = Said(rng.choice(list(EVENTS)), *(rng.choice((None, word())) for _ in range(1)), word(), rng.choice((None, word())), rng.choice((None, "R1", word())),
                 rng.choice((None, None, "6 ft", word())), rng.choice((None, None, "1 min", word())), rng.choice((None, 270.0, math.nan, math.inf, -1.0)),
                 rng.choice((None, "wet", word())), rng.choice((None, "wind", word())), rng.choice((None, word())))  # fmt: skip
    shown = repr(typed).encode("utf-8", "replace")
    try:
        data = data_of(typed, ("R1", "L1"))
    except AnchorageError as e:
        named(e, "log")
        return shown, "refused"
    path = folder() / "log.log.db"
    path.unlink(missing_ok=True)
    try:
        with Record(path, write=True) as r:
            r.db.execute("PRAGMA synchronous = OFF")
            made = r.append(at=NOW, written=NOW, who="x", event=typed.event, data=data, file="")
            hold(r.entries() == [made] and not r.faults(), "what was kept is not what was said")
    except RecordError:
        return shown, "refused"
    words = words_of(made, "us")
    hold(
        all(inert(line) == line for line in log_lines([made], [], UTC, "us")) and words,
        "a line that acts on a terminal",
    )
    return shown, "read"
