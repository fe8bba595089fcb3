"""The terminal and the three streams, on every system: what is closed, what is a terminal, how wide it is, what it can show.

POSIX: a stream that was closed leaves its number free. Windows: a program without a console has streams that are None, and a console
shows only its own code page unless it is told otherwise. macOS is POSIX here.
"""

from __future__ import annotations

import contextlib
import os
import shutil
import sys
from typing import Any

NARROWEST = 20
"""Columns below which nothing is broken any further."""
USUAL = 80
WINDOWS = sys.platform == "win32"


class NotShownError(Exception):
    """Standard output took no more. ``error``: what the system said; None where it was closed before."""

    def __init__(self, error: OSError | None = None) -> None:
        super().__init__()
        self.error = error


def closed(stream: Any) -> bool:
    """Whether nothing can be written to a stream or read from it."""
    return stream is None or bool(getattr(stream, "closed", False))


def is_terminal(stream: Any) -> bool:
    """Whether a person sits at the other end."""
    if closed(stream):
        return False
    try:
        return bool(stream.isatty())
    except (AttributeError, ValueError, OSError):
        return False


def columns() -> int:
    """Width of the terminal that is printed to; 80 where there is none."""
    if not is_terminal(sys.stdout):
        return USUAL
    return max(shutil.get_terminal_size((USUAL, 24)).columns, NARROWEST)


def rows() -> int:
    """Height of the terminal."""
    return shutil.get_terminal_size((USUAL, 24)).lines


def hold_the_streams() -> None:
    """A stream that was closed before (``>&-``) is held open on nothing: the next file would get its number, and be printed into."""
    with contextlib.suppress(OSError):
        while True:
            handle = os.open(os.devnull, os.O_RDWR)
            if handle > 2:
                os.close(handle)
                return


def ready() -> None:
    """What a terminal cannot show becomes a question mark; a console of Windows is given UTF-8, which it can be told to take."""
    for stream in (sys.stdout, sys.stderr):
        if hasattr(stream, "reconfigure"):
            if WINDOWS and is_terminal(stream):
                stream.reconfigure(encoding="utf-8", errors="replace")
            else:
                stream.reconfigure(errors="replace")


def into_nothing(stream: Any) -> None:
    """So that the interpreter does not try to print what is left on its way out."""
    with contextlib.suppress(OSError, ValueError, AttributeError):
        handle = os.open(os.devnull, os.O_WRONLY)
        os.dup2(handle, stream.fileno())
        os.close(handle)


def write(text: str) -> bool:
    """Print; a reader that has gone away (``| head``) is no fault of ours: False then. Raises ``NotShownError``."""
    out = sys.stdout
    if closed(out):
        if text:
            raise NotShownError
        return False
    try:
        out.write(text)
        out.flush()
    except BrokenPipeError:
        into_nothing(out)
        return False
    except OSError as e:
        if WINDOWS and e.errno == 22:  # what a closed pipe is there
            into_nothing(out)
            return False
        into_nothing(out)
        raise NotShownError(e) from None
    return True


def complain(lines: list[str]) -> None:
    """On standard error and nowhere else: on standard output it would be taken for the page."""
    if closed(sys.stderr):
        return
    try:
        for line in lines:
            sys.stderr.write(line + "\n")
        sys.stderr.flush()
    except OSError:
        into_nothing(sys.stderr)
