"""The record on disk: SQLite in WAL mode, one transaction an entry, each entry sealed with the seal of the one before.

An entry is acknowledged when its transaction is on the disk (synchronous = FULL), not before. Nothing is ever changed or
removed: triggers refuse it, and a change made behind their back breaks the chain of seals.
"""

from __future__ import annotations

import contextlib
import hashlib
import json
import sqlite3
import time
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any, Self

from anchorage.core.errors import AnchorageError
from anchorage.core.outputs import RECORD
from anchorage.core.say import say
from anchorage.core.textfile import exists, fingerprint, is_file
from anchorage.record.kinds import fits, is_time
from anchorage.record.places import address, copied, go_elsewhere, meant, unmerged

START = "0" * 64
"""Seal before the first entry."""
LONGEST = 4000
"""Characters of the data of one entry."""
WAIT = 10.0
"""Seconds that a writer waits for another one."""
BEGINS = 0.5
"""Seconds until a record that another begins has its tables."""
VERSION = 2
"""1 kept no text of the deployment file."""
APPLICATION = 0x616E6368
_TABLES = (
    """CREATE TABLE IF NOT EXISTS entries (
  id INTEGER PRIMARY KEY, at INTEGER NOT NULL, written INTEGER NOT NULL, who TEXT NOT NULL, event TEXT NOT NULL,
  data TEXT NOT NULL, file TEXT NOT NULL, before TEXT NOT NULL, seal TEXT NOT NULL UNIQUE) STRICT""",
    "CREATE TABLE IF NOT EXISTS files (fingerprint TEXT PRIMARY KEY, parts TEXT NOT NULL) STRICT",
)
_TRIGGERS = {
    name: f"CREATE TRIGGER {name} BEFORE {what} ON {table} BEGIN SELECT RAISE(ABORT, 'the record is append-only'); END"
    for name, what, table in (
        ("no_change", "UPDATE", "entries"),
        ("no_removal", "DELETE", "entries"),
        ("no_change_of_file", "UPDATE", "files"),
        ("no_removal_of_file", "DELETE", "files"),
    )
}
"""Every trigger that a record may have, and its text as SQLite keeps it."""

_SELECT = "SELECT id, at, written, who, event, data, file, before, seal FROM entries"


class RecordError(AnchorageError):
    """The record cannot be read or written, and what would make it possible."""


@dataclass(frozen=True)
class Entry:
    """One thing that happened. Times in seconds since 1970, UTC."""

    id: int
    at: int
    """When it happened."""
    written: int
    """When it was written down."""
    who: str
    event: str
    data: dict[str, Any]
    file: str
    """Fingerprint of the deployment file as it was then."""
    before: str
    seal: str

    @property
    def mark(self) -> str:
        """Number and seal, short enough to write on paper: ``12:ab12cd34ef56``."""
        return f"{self.id}:{self.seal[:12]}"


def path_of(deployment: str | Path) -> Path:
    """Where the record of a deployment file is."""
    p = Path(deployment)
    return p.with_name(p.name + RECORD)


def sealed(before: str, id_: int, at: int, written: int, who: str, event: str, data: str, file: str) -> str:
    """Seal of an entry: SHA-256 over the seal before it and everything in it."""
    text = json.dumps(
        [before, id_, at, written, who, event, data, file], ensure_ascii=True, separators=(",", ":")
    )
    return hashlib.sha256(text.encode()).hexdigest()


def _refused(path: Path, error: sqlite3.Error, *, write: bool) -> RecordError:
    lost = say("NOT KEPT: the entry was not written. ") if write else ""
    said = f"{path.name}: {lost}"
    match meant(path, error):
        case "full":
            return RecordError(say("{said}The disk is full: free some space and log it again", said=said))
        case "busy":
            return RecordError(say("{said}Someone else is writing: try again", said=said))
        case "closed" if write:
            return RecordError(
                say(
                    "{said}It cannot be written here ({error}): {go_elsewhere}",
                    said=said,
                    error=error,
                    go_elsewhere=go_elsewhere(path),
                )
            )
        case "closed":
            return RecordError(
                say(
                    "{said}It cannot be read here ({error}): {go_elsewhere}",
                    said=said,
                    error=error,
                    go_elsewhere=go_elsewhere(path),
                )
            )
        case "damaged":
            return RecordError(
                say(
                    "{said}This is no record, or it is damaged: {error}; put it aside and go on with a new one",
                    said=said,
                    error=error,
                )
            )
        case "disk":
            return RecordError(
                say(
                    "{said}The disk does not do what it should ({error}): {go_elsewhere}",
                    said=said,
                    error=error,
                    go_elsewhere=go_elsewhere(path),
                )
            )
    return RecordError(f"{said}{error}")


def _wait_for(what: Callable[[], object]) -> None:
    """Do what SQLite refuses at once, without its own waiting, while another one does the same: a change of journal mode."""
    until = time.monotonic() + WAIT
    while True:
        try:
            what()
        except sqlite3.OperationalError as e:
            if getattr(e, "sqlite_errorcode", 0) & 0xFF != sqlite3.SQLITE_BUSY or time.monotonic() > until:
                raise
            time.sleep(0.01)
        else:
            return


def _begun(db: sqlite3.Connection) -> None:
    """Look for the entries; a file with no table in it at all is one that another begins at this moment."""
    until = time.monotonic() + BEGINS
    while True:
        try:
            db.execute("SELECT count(*) FROM entries").fetchone()
        except sqlite3.OperationalError:
            if time.monotonic() > until or db.execute("SELECT count(*) FROM sqlite_master").fetchone()[0]:
                raise
            time.sleep(0.01)
        else:
            return


def _entry(row: tuple[Any, ...]) -> Entry | None:
    """A row as an entry; None where it is not what this program writes."""
    id_, at, written, who, event, data, file, before, seal = row
    if type(id_) is not int or not all(isinstance(x, str) for x in (who, event, data, file, before, seal)):
        return None
    if not is_time(at) or not is_time(written):
        return None
    try:
        read = json.loads(data)
    except (ValueError, RecursionError):
        return None
    if not isinstance(read, dict) or not fits(event, read):
        return None
    return Entry(id_, at, written, who, event, read, file, before, seal)


def _lost(row: tuple[Any, ...]) -> Entry:
    """What is left of a row that cannot be read."""
    number, at, written = (x if is_time(x) else 0 for x in row[:3])
    data = {"note": say("this entry cannot be read: it was changed")}
    return Entry(number, at, written, "?", "unreadable", data, "", "", "")


def foreign(raw: bytes) -> list[str]:
    """What the bytes of a record have besides the tables and triggers of one: looked at in memory, and nothing of it is run."""
    db = sqlite3.connect(":memory:")
    try:
        db.deserialize(raw[:18] + b"\1\1" + raw[20:])  # as a file that has no log beside it
        found = db.execute("SELECT type, name, sql FROM sqlite_master WHERE sql IS NOT NULL").fetchall()
    except (sqlite3.Error, UnicodeDecodeError, ValueError):
        return ["?"]
    finally:
        db.close()
    ours = {t.replace("IF NOT EXISTS ", "") for t in _TABLES} | set(_TRIGGERS.values())
    return [str(name) for _, name, sql in found if sql not in ours]


def settle(path: Path) -> None:
    """Put all that was acknowledged into the one file of a record, so that it can be given another name. Raises ``RecordError``."""
    with Record(path, write=True) as r:
        try:
            busy = r.db.execute("PRAGMA wal_checkpoint(TRUNCATE)").fetchone()[0]
        except sqlite3.Error as e:
            raise _refused(path, e, write=False) from None
    if busy or unmerged(path):
        raise RecordError(say("{path}: somebody has this record open: close it first", path=path.name))


class Record:
    """The record of one deployment file. Use it in a ``with``."""

    def __init__(self, path: Path, *, write: bool = False) -> None:
        self.path = path
        if not write and not exists(path):
            raise RecordError(
                say(
                    "{path}: nothing has been logged yet; anchorage log FILE setup --who NAME begins the record",
                    path=path.name,
                )
            )
        if exists(path) and not is_file(path):
            raise RecordError(say("{path}: no record, and no ordinary file: put it aside", path=path.name))
        self._left = contextlib.ExitStack()
        """What goes when it is closed."""
        try:
            self.db = self._open(path, write=write)
        except sqlite3.Error as first:
            if write:
                raise _refused(path, first, write=True) from None
            self.db = self._otherwise(first)

    def _otherwise(self, first: sqlite3.Error) -> sqlite3.Connection:
        """Read it where it stands all the same: on a full disk, on a stick or a share that can only be read."""
        with contextlib.suppress(sqlite3.Error):  # no room for the index of the log: keep that in memory
            return self._open(self.path, shared=False)
        if meant(self.path, first) == "damaged":
            raise _refused(self.path, first, write=False) from None
        try:
            if not unmerged(self.path):
                with contextlib.suppress(sqlite3.Error):
                    return self._open(self.path, immutable="1")
            return self._open(self._left.enter_context(copied(self.path)))
        except (sqlite3.Error, OSError):
            self._left.close()
            raise _refused(self.path, first, write=False) from None

    def _open(
        self, path: Path, *, write: bool = False, shared: bool = True, immutable: str = "0"
    ) -> sqlite3.Connection:
        how = {"mode": "rwc" if write else "ro" if immutable == "1" else "rw"} | (
            {"immutable": "1"} if immutable == "1" else {}
        )
        db = sqlite3.connect(address(path, **how), timeout=WAIT, isolation_level=None, uri=True)
        try:
            if not shared:
                db.execute("PRAGMA locking_mode = EXCLUSIVE")
            db.execute("PRAGMA synchronous = FULL")
            if write:
                _wait_for(lambda: db.execute("PRAGMA journal_mode = WAL"))
                self.db = db
                self._prepare()
            _begun(db)
        except UnicodeDecodeError:  # what SQLite says of a damaged file quotes it
            db.close()
            raise sqlite3.DatabaseError("database disk image is malformed") from None
        except BaseException:
            db.close()
            raise
        return db

    def _strange(self) -> list[str]:
        """Triggers and views that are not ours: they can swallow or turn what is written."""
        found = self.db.execute("SELECT name, type, sql FROM sqlite_master WHERE type IN ('trigger', 'view')")
        return [str(name) for name, kind, sql in found if kind == "view" or _TRIGGERS.get(name) != sql]

    def _prepare(self) -> None:
        """Make the tables and triggers that are not there; two who do it at once do it one after the other."""
        have = {name for (name,) in self.db.execute("SELECT name FROM sqlite_master")}
        if {*_TRIGGERS, "entries", "files"} <= have:
            return
        self.db.execute("BEGIN IMMEDIATE")
        try:
            for statement in _TABLES:
                self.db.execute(statement)
            for name, sql in _TRIGGERS.items():
                if not self.db.execute("SELECT 1 FROM sqlite_master WHERE name = ?", (name,)).fetchone():
                    self.db.execute(sql)
            self.db.execute(f"PRAGMA application_id = {APPLICATION}")
            self.db.execute(f"PRAGMA user_version = {VERSION}")
            self.db.execute("COMMIT")
        except BaseException:
            with contextlib.suppress(sqlite3.Error):
                self.db.execute("ROLLBACK")
            raise

    def __enter__(self) -> Self:
        return self

    def __exit__(self, *args: object) -> None:
        with contextlib.suppress(sqlite3.Error):  # a full disk: what was acknowledged stays in the log file
            self.db.close()
        self._left.close()

    def append(
        self, *, at: int, written: int, who: str, event: str, data: dict[str, Any], file: str,
        parts: Sequence[bytes] = (),
    ) -> Entry:  # fmt: skip
        """Write an entry. When this returns, it is on the disk and was read back; when it raises, it is not in the record.

        parts: the deployment file and what it uses, byte for byte; kept once for each fingerprint.
        """
        text = json.dumps(data, ensure_ascii=True, sort_keys=True, separators=(",", ":"), allow_nan=False)
        if len(text) > LONGEST or len(who) > 200:
            raise RecordError(
                say(
                    "{path}: NOT KEPT: more than {longest} characters; write it shorter",
                    path=self.path.name,
                    longest=LONGEST,
                )
            )
        kept = None
        with contextlib.suppress(UnicodeDecodeError):
            kept = json.dumps([p.decode("utf-8") for p in parts]) if parts else None
        try:
            if strange := self._strange():
                raise RecordError(
                    say(
                        "{path}: NOT KEPT: somebody put a trigger or a view into this record ({strange}), which can swallow entries; put it aside and go on with a new one",
                        path=self.path.name,
                        strange=", ".join(strange)[:80],
                    )
                )
            self.db.execute("BEGIN IMMEDIATE")
            try:
                last = self.db.execute("SELECT id, seal FROM entries ORDER BY id DESC LIMIT 1").fetchone()
                before, id_ = (START, 1) if last is None else (last[1], last[0] + 1)
                seal = sealed(before, id_, at, written, who, event, text, file)
                row = (id_, at, written, who, event, text, file, before, seal)
                if kept is not None:
                    self.db.execute("INSERT OR IGNORE INTO files VALUES (?, ?)", (file, kept))
                self.db.execute("INSERT INTO entries VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?)", row)
                self.db.execute("COMMIT")
            except BaseException:
                with contextlib.suppress(sqlite3.Error):
                    self.db.execute("ROLLBACK")
                raise
            found = self.db.execute(_SELECT + " WHERE id = ?", (id_,)).fetchone()
        except sqlite3.Error as e:
            raise _refused(self.path, e, write=True) from None
        if found != row:
            raise RecordError(
                say(
                    "{path}: NOT KEPT: read back, the entry is not what was written; put this record aside and go on with a new one",
                    path=self.path.name,
                )
            )
        return Entry(id_, at, written, who, event, data, file, before, seal)

    def files(self) -> dict[str, tuple[str, ...]]:
        """The deployment files that entries were written beside, by fingerprint; what does not match its own is left out."""
        try:
            rows = self.db.execute("SELECT fingerprint, parts FROM files").fetchall()
        except (sqlite3.Error, UnicodeDecodeError):
            return {}  # of the first version, or damaged: not kept
        out = {}
        for name, text in rows:
            try:
                parts = json.loads(text)
                raw = [p.encode("utf-8") for p in parts]
            except (ValueError, RecursionError, AttributeError, TypeError):
                continue
            if raw and fingerprint(*raw) == name:
                out[str(name)] = tuple(parts)
        return out

    def copy(self) -> bytes:
        """The whole record as the bytes of one file, what is still in its log too."""
        try:
            return self.db.serialize()
        except sqlite3.Error as e:
            raise _refused(self.path, e, write=False) from None

    def rows(self) -> Iterator[tuple[Any, ...]]:
        """Every row as it stands, in order."""
        try:
            yield from self.db.execute(_SELECT + " ORDER BY id")
        except sqlite3.Error as e:
            raise _refused(self.path, e, write=False) from None
        except UnicodeDecodeError:
            raise _refused(self.path, sqlite3.DatabaseError("malformed text"), write=False) from None

    def entries(self) -> list[Entry]:
        """Every entry, in the order in which they were written. One that cannot be read says so, and is a fault."""
        return [_entry(row) or _lost(row) for row in self.rows()]

    def faults(self, mark: str | None = None) -> list[str]:
        """What is wrong with the chain of seals; mark: ``12:ab12cd34ef56`` as printed earlier must be in it."""
        out, before, expected, seals = [], START, 1, dict[int, str]()
        for row in self.rows():
            id_, at, written, who, event, data, file, stated, seal = row
            if _entry(row) is None:
                out.append(
                    say(
                        "entry {expected} cannot be read: it was changed after it was written",
                        expected=expected,
                    )
                )
                before, expected = (seal if isinstance(seal, str) else ""), expected + 1
                continue
            if id_ != expected:
                out.append(
                    say("entry {expected} is missing", expected=expected)
                    if id_ > expected
                    else say("entry {id} is out of order", id=id_)
                )
            if stated != before:
                out.append(
                    say(
                        "entry {id} does not follow the one before it: something between them was changed or taken out",
                        id=id_,
                    )
                )
            if sealed(stated, id_, at, written, who, event, data, file) != seal:
                out.append(say("entry {id} was changed after it was written", id=id_))
            before, expected = seal, id_ + 1
            seals[id_] = seal
        if mark is not None:
            number, _, start = mark.partition(":")
            if not (number.isascii() and number.isdigit()) or len(number) > 18 or len(start) < 8:
                raise RecordError(
                    say("--check {mark}: write it as it was printed, as in 12:ab12cd34ef56", mark=mark)
                )
            if not seals.get(int(number), "").startswith(start.lower()):
                out.append(
                    say(
                        "entry {number} with the seal {start} is not in this record: entries were taken off its end, or it was made anew",
                        number=number,
                        start=start,
                    )
                )
        return out
