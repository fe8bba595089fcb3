"""Where a record can only be read: how it is read there all the same, and which files have to go along when it is copied.

What was acknowledged stands in two files until SQLite has put them together: ``.log.db`` and ``.log.db-wal``. Reading the first alone
(SQLite's ``immutable``) is right only where there is nothing in the second; else both are copied and read together.
"""

from __future__ import annotations

import contextlib
import shutil
import sqlite3
import tempfile
import time
import urllib.parse
from collections.abc import Iterator
from pathlib import Path

from anchorage.core.outputs import METER, RECORD
from anchorage.core.say import say
from anchorage.core.textfile import exists, is_file, load_toml, read_whole

LONGEST = 1_000_000
"""Bytes of a deployment file."""
TRIES = 5
"""How often two files are copied that somebody may be writing."""
ROOM = 65_536
"""Bytes below which a disk is full, whatever SQLite calls it."""
SQLITE = {
    "full": (sqlite3.SQLITE_FULL,),
    "busy": (sqlite3.SQLITE_BUSY, sqlite3.SQLITE_LOCKED, sqlite3.SQLITE_PROTOCOL),
    "closed": (sqlite3.SQLITE_READONLY, sqlite3.SQLITE_CANTOPEN, sqlite3.SQLITE_PERM, sqlite3.SQLITE_AUTH),
    "damaged": (sqlite3.SQLITE_CORRUPT, sqlite3.SQLITE_NOTADB),
    "disk": (sqlite3.SQLITE_IOERR,),
}
"""What the codes of SQLite mean to people."""


def address(path: Path, **how: str) -> str:
    """A file as SQLite is told to open it: ``mode=ro``, ``immutable=1``."""
    name = path.absolute().as_posix()
    if name.startswith("//"):  # a share of Windows: its machine is no machine of the address
        name = "//" + name
    elif not name.startswith("/"):  # a drive
        name = "/" + name
    return f"file:{urllib.parse.quote(name)}?{urllib.parse.urlencode(how)}"


def meant(path: Path, error: sqlite3.Error) -> str:
    """What an error of SQLite is: full, busy, closed (it can only be read here), damaged, disk, or nothing that has a name."""
    code = getattr(error, "sqlite_errorcode", None)
    if code is None:  # of Python itself, which gives no code: text that cannot be decoded
        return (
            "damaged"
            if isinstance(error, sqlite3.DatabaseError) and not isinstance(error, sqlite3.OperationalError)
            else ""
        )
    found = next((name for name, codes in SQLITE.items() if code & 0xFF in codes), "")
    return "full" if found in ("disk", "closed") and no_room(path.parent) else found


def no_room(folder: Path) -> bool:
    """Whether the disk of a folder is full: SQLite calls that a failing disk where it cannot map its index."""
    with contextlib.suppress(OSError, ValueError):
        return shutil.disk_usage(folder).free < ROOM
    return False


def unmerged(path: Path) -> list[Path]:
    """The files beside a record that hold a part of it."""
    with contextlib.suppress(OSError):
        return [
            p
            for end in ("-wal", "-journal")
            if is_file(p := path.with_name(path.name + end)) and p.stat().st_size > 0
        ]
    return []


def belongings(deployment: Path) -> list[Path]:
    """Every file that goes along when a deployment file is copied: the saved shelter that it uses, the record and what is beside it."""
    found = [deployment]
    with contextlib.suppress(OSError, ValueError):
        data = load_toml(read_whole(deployment, LONGEST).decode("utf-8-sig"))
        used = data.get("shelter", {})
        if isinstance(used, dict) and isinstance(used.get("use"), str):
            found.append(deployment.parent / used["use"])
    record = deployment.with_name(deployment.name + RECORD)
    meter = deployment.with_name(deployment.name + METER)
    return [*found, *(p for p in (record, *unmerged(record), meter, *unmerged(meter)) if exists(p))]


def go_elsewhere(record: Path) -> str:
    """What to do where a record cannot be written: every file by its name, so that none is left behind."""
    names = [
        str(p.name if p.parent == record.parent else p)
        for p in belongings(record.with_name(record.name.removesuffix(RECORD)))
    ]
    listed = (
        names[0]
        if len(names) == 1
        else say("{names} and {names_2}", names=", ".join(names[:-1]), names_2=names[-1])
    )
    kept = say(" together, or what was logged stays behind") if len(names) > 1 else ""
    return say("copy {listed} to a folder that can be written{kept}", listed=listed, kept=kept)


@contextlib.contextmanager
def copied(path: Path) -> Iterator[Path]:
    """A record, and what belongs to it, in a folder of its own for as long as it is read. Raises ``OSError``."""
    with tempfile.TemporaryDirectory(prefix="anchorage-") as folder:
        target = Path(folder) / path.name
        for _ in range(TRIES):
            parts = [path, *unmerged(path)]
            before = [(p, p.stat().st_mtime_ns, p.stat().st_size) for p in parts]
            for p in parts:
                shutil.copyfile(p, target.with_name(p.name))
                target.with_name(p.name).chmod(0o600)
            if before == [(p, p.stat().st_mtime_ns, p.stat().st_size) for p in [path, *unmerged(path)]]:
                break
            time.sleep(0.05)
        yield target
