"""Who works on a file: the first has it, a second is told, and each keeps a journal of its own.

A place is a lock of the operating system on a small file beside the deployment: it is let go when the process ends,
however it ends. Place 1 is the owner's; whoever comes while that is held gets place 2, 3 and so on.
"""

from __future__ import annotations

import contextlib
import json
import os
import socket
import time
from dataclasses import dataclass, field
from pathlib import Path

from anchorage.core.machine import lock
from anchorage.core.say import say
from anchorage.core.textfile import is_file, read_whole

PLACES = 9
"""So many may have one file open; more share the last place."""


@dataclass
class Place:
    """A place at a file. number 0: places cannot be kept in this folder."""

    number: int = 0
    path: Path | None = None
    handle: int = field(default=-1, repr=False)
    first: int = field(default=-1, repr=False)
    """The owner's lock too, once those who came before are gone; the journal keeps its number."""

    @property
    def owner(self) -> bool:
        """Nobody else has it, as far as can be known."""
        return self.number <= 1 or self.first >= 0

    def leave(self) -> None:
        """Let it go."""
        held = ((self.handle, self.path), (self.first, self.first_path))
        self.handle = self.first = -1
        for handle, path in held:
            if handle >= 0:
                if path is not None:
                    with contextlib.suppress(OSError):
                        path.unlink()
                os.close(handle)

    @property
    def first_path(self) -> Path | None:
        """The file of the owner's lock."""
        return (
            None
            if self.path is None
            else self.path.with_name(self.path.name.replace(f".{self.number}.open", ".1.open"))
        )


def place_file(journal: Path, number: int) -> Path:
    """The file that is locked for a place."""
    return journal.with_name(f"{journal.name.removesuffix('.journal')}.{number}.open")


def journal_of(journal: Path, number: int) -> Path:
    """The journal of a place; the owner's has no number."""
    return (
        journal
        if number <= 1
        else journal.with_name(f"{journal.name.removesuffix('.journal')}.{number}.journal")
    )


def _try(path: Path) -> int:
    """Lock a place; -1 where it is taken. Raises ``OSError`` where the folder does not let us."""
    for _ in range(5):
        handle = os.open(path, os.O_RDWR | os.O_CREAT, 0o644)
        try:
            if not lock(handle):
                os.close(handle)
                return -1
            with contextlib.suppress(OSError):
                if os.fstat(handle).st_ino == path.stat().st_ino:  # else it was put away in between
                    return handle
        except OSError:
            os.close(handle)
            raise
        os.close(handle)
    return -1


def _say(handle: int) -> None:
    """Who holds the lock, for those who come later; not in the first byte, which some systems lock."""
    said = json.dumps({"process": os.getpid(), "machine": socket.gethostname(), "since": time.time()})
    with contextlib.suppress(OSError):
        os.ftruncate(handle, 0)
        os.lseek(handle, 1, os.SEEK_SET)
        os.write(handle, said.encode())


def take(journal: Path) -> Place:
    """The first place that is free at a file, by the journal of its owner."""
    for number in range(1, PLACES + 1):
        path = place_file(journal, number)
        try:
            handle = _try(path)
        except OSError:
            return Place()
        if handle >= 0:
            _say(handle)
            return Place(number, path, handle)
    return Place(PLACES)


def move_up(place: Place) -> bool:
    """Become the owner, if whoever came before is gone; whether that was so."""
    if place.owner or place.handle < 0 or place.first_path is None:
        return False
    with contextlib.suppress(OSError):
        place.first = _try(place.first_path)
        if place.first >= 0:
            _say(place.first)
    return place.owner


def who(journal: Path) -> str:
    """Who has the file, in words."""
    try:
        data = json.loads(read_whole(place_file(journal, 1), 10_000).lstrip(b"\0").decode())
        since = time.strftime("%H:%M", time.localtime(float(data["since"])))
        if data["machine"] != socket.gethostname():
            return say("since {since}, on {machine}", since=since, machine=data["machine"])
        return say("since {since}, in another window of this machine", since=since)
    except (OSError, ValueError, KeyError, TypeError, OverflowError, RecursionError):
        return say("by another window")


def left_behind(journal: Path, own: int) -> list[Path]:
    """Journals of places that nobody has now, and of the own one: what sessions that did not end well left behind."""
    out = []
    for number in range(1, PLACES + 1):
        path = journal_of(journal, number)
        if not is_file(path):
            continue
        if number != max(own, 1):
            try:
                handle = _try(place_file(journal, number))
            except OSError:
                continue
            if handle < 0:
                continue  # somebody is at work there: it is theirs
            with contextlib.suppress(OSError):
                place_file(journal, number).unlink()
            os.close(handle)
        out.append(path)
    return out
