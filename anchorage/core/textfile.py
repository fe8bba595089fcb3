"""Files that others wrote and files for others: ordinary ones, bounded, whole or not at all; and TOML that cannot stall the parser."""

from __future__ import annotations

import contextlib
import errno
import hashlib
import os
import stat
import tempfile
import tomllib
from pathlib import Path
from typing import Any

from anchorage.core.say import later, say

MOST_DOTS = 100
"""In one line of TOML. The parser takes the square of the parts of a dotted key."""
DEEPEST = 40
"""Tables within tables."""
NOT_A_FILE = later("not an ordinary file")
GIVE_A_FILE = later(
    "give the path of a deployment file; anchorage new FILE writes one, anchorage demo NAME judges a demo"
)
GIVE_TEXT = later("a deployment file is plain text: no PDF, no spreadsheet, nothing of a word processor")
"""What to do about a file that is not there, or is no text."""


PLAINLY = {
    errno.ENOSPC: later("the disk is full"),
    errno.EDQUOT: later("your share of the disk is used up"),
    errno.EROFS: later("this place can only be read, not written to"),
    errno.EFBIG: later("no file may grow so large here"),
    errno.EMFILE: later("too many files are open"),
    errno.ENFILE: later("too many files are open"),
    errno.EIO: later("the disk does not answer"),
}
"""What a failed call means to people; for all else what the system says of it."""


def why_not(error: OSError, otherwise: str = later("it cannot be used")) -> str:
    """Why something could not be read or written."""
    number = error.errno or 0
    return PLAINLY.get(number) or error.strerror or otherwise


def place_is_gone() -> bool:
    """Whether the folder that the program runs in was removed: nothing is found from there by a relative path."""
    try:
        os.getcwd()  # noqa: PTH109 - the question itself
    except OSError:
        return True
    return False


def _without_waiting(path: str, flags: int) -> int:
    """Open, but never wait for somebody at the other end of a pipe."""
    return os.open(path, flags | getattr(os, "O_NONBLOCK", 0))


def exists(path: str | Path) -> bool:
    """Whether something stands at a path, be it a link to nothing; a name that no file can have has nothing."""
    return os.path.lexists(path)


def same_file(a: str | Path, b: str | Path) -> bool:
    """Whether two names are those of one file, by whatever link."""
    try:
        return os.path.samefile(a, b)  # noqa: PTH121 - Path.samefile raises for a name that is too long
    except (OSError, ValueError):
        return False


def is_folder(path: str | Path) -> bool:
    """Whether a folder stands at a path, and whatever the name may be."""
    return os.path.isdir(path)  # noqa: PTH112 - Path.is_dir raises for a name that is too long


def is_file(path: str | Path) -> bool:
    """Whether an ordinary file stands at a path, and whatever the name may be."""
    return os.path.isfile(path)  # noqa: PTH113 - the same


def read_whole(path: Path, most: int) -> bytes:
    """The bytes of an ordinary file, one more than ``most`` where it is longer. ``OSError`` says why there are none."""
    try:
        with open(path, "rb", opener=_without_waiting) as f:
            if not stat.S_ISREG(os.fstat(f.fileno()).st_mode):
                raise OSError(0, NOT_A_FILE)
            return f.read(most + 1)
    except IsADirectoryError:
        raise OSError(0, NOT_A_FILE) from None
    except ValueError:  # a NUL in the name
        raise OSError(0, say("no name of a file")) from None


def write_whole(path: str | Path, raw: bytes, *, new: bool = False) -> None:
    """Write a file whole or not at all; what stood there is replaced, or with ``new`` refused. ``OSError`` says why not.

    A link is followed, so that the file it points to is replaced; a folder, a pipe or a device is left alone.
    """
    target = writable(path)
    if target.exists() and not os.access(target, os.W_OK):
        raise PermissionError(13, say("it may not be written to"))
    if new:
        with target.open("x"):  # nobody else may take the name
            pass
    made = None
    try:
        handle, made = tempfile.mkstemp(prefix=".anchorage-", dir=target.parent)
        with os.fdopen(handle, "wb") as f:
            f.write(raw)
            f.flush()
            os.fsync(f.fileno())
        Path(made).chmod(target.stat().st_mode & 0o777 if target.exists() and not new else 0o666 & ~_umask())
        Path(made).replace(target)
        _settle(target.parent)
    except BaseException:
        for left in (made, target if new else None):
            if left is not None:
                with contextlib.suppress(OSError):
                    Path(left).unlink(missing_ok=True)
        raise


def _umask() -> int:
    """What a new file of this process may not be."""
    mask = os.umask(0o077)
    os.umask(mask)
    return mask


def writable(path: str | Path) -> Path:
    """Where a file is written that is given by a path, links followed. ``OSError`` where it is no place for one."""
    try:
        target = Path(os.path.realpath(path))
        if not stat.S_ISREG(target.stat().st_mode):
            raise OSError(0, NOT_A_FILE)
    except FileNotFoundError:
        pass
    except ValueError:
        raise OSError(0, say("no name of a file")) from None
    return target


def _settle(folder: Path) -> None:
    """Put the new name on the disk too; some systems have no handle for a folder."""
    with contextlib.suppress(OSError):
        handle = os.open(folder, os.O_RDONLY)
        try:
            os.fsync(handle)
        finally:
            os.close(handle)


def load_toml(text: str) -> dict[str, Any]:
    """Parse TOML. ``TOMLDecodeError`` for whatever cannot be read: also too deep, too many digits, too many dots."""
    for i, line in enumerate(text.split("\n"), 1):
        if line.count(".") > MOST_DOTS:
            raise tomllib.TOMLDecodeError(
                say("more than {most_dots} dots in one line (at line {i})", most_dots=MOST_DOTS, i=i)
            )
    try:
        data = tomllib.loads(text)
    except tomllib.TOMLDecodeError:
        raise
    except ValueError:
        raise tomllib.TOMLDecodeError(say("a number of too many digits")) from None
    except RecursionError:
        raise tomllib.TOMLDecodeError(say("brackets within brackets, too deep")) from None
    if not _flat(data):
        raise tomllib.TOMLDecodeError(say("tables within tables, more than {deepest} deep", deepest=DEEPEST))
    return data


def _flat(data: object) -> bool:
    layer = [data]
    for _ in range(DEEPEST):
        layer = [x for v in layer for x in _inside(v)]
        if not layer:
            return True
    return False


def _inside(value: object) -> list[Any]:
    return list(value.values()) if isinstance(value, dict) else value if isinstance(value, list) else []


def fingerprint(*parts: bytes) -> str:
    """The first twelve digits of the SHA-256 of a file, and of the files that it uses."""
    digest = hashlib.sha256()
    for part in parts:
        digest.update(len(part).to_bytes(8, "big") + part)
    return digest.hexdigest()[:12]
