"""The one way to write a path that a user named: the end of its name says what is written, and what a judgement stands on is never replaced.

Never an output: what this run reads, a deployment file (whatever it is called, whole or broken), a record, and what the interface
keeps beside a file. Looked at twice: before the work, and once more when it is written.
"""

from __future__ import annotations

import contextlib
import os
import re
from collections.abc import Iterable
from enum import Enum
from pathlib import Path

from anchorage.core.errors import AnchorageError
from anchorage.core.say import later, say
from anchorage.core.textfile import exists, is_file, is_folder, read_whole, why_not, writable, write_whole

RECORD = ".log.db"
"""What the name of a record ends in, after the whole name of its deployment file."""
METER = ".meter.db"
"""The same for the minutes of a wind meter."""
BESIDE = tuple(kept + end for kept in (RECORD, METER) for end in ("", "-wal", "-shm", "-journal"))
"""What SQLite keeps for them."""
KEPT_BY_THE_INTERFACE = re.compile(r"\..+\.journal|.+\.[1-9]\.open", re.DOTALL)
"""Names of journals and locks."""


def records_beside(deployment: str | Path) -> list[Path]:
    """Records in the folder of a deployment file that stand beside other names."""
    own = Path(deployment)
    with contextlib.suppress(OSError, ValueError):
        found = sorted(n for n in os.listdir(own.parent) if n.endswith(RECORD) and n != own.name + RECORD)  # noqa: PTH208 - the folder may have thousands
        return [own.parent / n for n in found]
    return []


SQLITE = b"SQLite format 3\0"
LARGEST = 1_000_000
"""Bytes of a deployment file; what is longer is none."""
_TABLE = re.compile(r"^[\ufeff \t]*\[\[?[ \t]*[\w\"'][\w.\"' \t-]*\]\]?[ \t]*(#.*)?$", re.MULTILINE)
_KEY = re.compile(r"^[\ufeff \t]*[\w\"'][\w.\"' \t-]*=", re.MULTILINE)


class Taken(Enum):
    """Why something is never replaced by an output."""

    INPUT = later("this run reads it")
    DEPLOYMENT = later("a deployment file stands there")
    RECORD = later("that is a record, or the name of one")
    INTERFACE = later("the interface keeps what is typed under such a name")


class OutputError(AnchorageError):
    """A path that is not written to, and what to give instead."""


def looks_like_a_deployment(raw: bytes) -> bool:
    """Whether bytes are tables and keys of TOML, also where they are broken elsewhere: no page or table that is written here is."""
    if len(raw) > LARGEST or b"\0" in raw:
        return False
    text = raw.decode("utf-8", "replace").replace("\r\n", "\n").replace("\r", "\n")
    return _TABLE.search(text) is not None and _KEY.search(text) is not None


def held(path: str | Path, inputs: Iterable[str | Path] = ()) -> Taken | None:
    """Why a path is no place for an output; None where it may be one. inputs: what this run reads."""
    with contextlib.suppress(ValueError, OSError):
        target = Path(os.path.realpath(path))
        for name in {Path(path).name, target.name}:
            if name.lower().endswith(BESIDE):
                return Taken.RECORD
            if KEPT_BY_THE_INTERFACE.fullmatch(name):
                return Taken.INTERFACE
        if any(_same(target, i) for i in inputs):
            return Taken.INPUT
        if not is_file(target):
            return None
        head = read_whole(target, LARGEST)
        if head.startswith(SQLITE):
            return Taken.RECORD
        if looks_like_a_deployment(head) or exists(target.with_name(target.name + RECORD)):
            return Taken.DEPLOYMENT
    return None


def _same(target: Path, other: str | Path) -> bool:
    """Whether an output is an input, or stands inside one: a grid may be a folder."""
    with contextlib.suppress(OSError, ValueError):
        if os.path.samefile(target, other):  # noqa: PTH121 - whatever the names are
            return True
    with contextlib.suppress(OSError, ValueError):
        whole = Path(os.path.realpath(other))
        return target == whole or (is_folder(whole) and whole in target.parents)
    return False


def check(path: str | Path, inputs: Iterable[str | Path] = (), *, over: bool = False) -> None:
    """Refuse a path that is no place for an output. over: a deployment file was asked to be replaced, by name."""
    why = held(path, inputs)
    if why is None or (over and why is Taken.DEPLOYMENT and not exists(f"{path}{RECORD}")):
        return
    raise OutputError(
        say("{path}: {why}, and it was left as it is; give another name", path=path, why=why.value)
    )


def put(path: str | Path, raw: bytes, *, new: bool = False, over: bool = False) -> None:
    """Write a file whole or not at all; an earlier output is replaced, or with ``new`` refused."""
    if not (new and exists(path)):  # else what stands there is what is said
        check(path, over=over)
    try:
        write_whole(path, raw, new=new)
    except FileExistsError:
        raise OutputError(
            say("{path}: it is there already and was left as it is; another name, or --force", path=path)
        ) from None
    except OSError as e:
        raise OutputError(
            say(
                "{path}: {why_not}; nothing was written: give a file that can be written",
                path=path,
                why_not=why_not(e, say("it cannot be written")),
            )
        ) from None


def place(path: str | Path) -> Path:
    """Where something that is no single run of bytes is written, looked at as ``put`` does. ``OSError`` where it is no place for a file."""
    check(path)
    return writable(path)
