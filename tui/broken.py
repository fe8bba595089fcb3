"""A fault of the program, said in plain words; what it was stands in a file that can be sent."""

from __future__ import annotations

import contextlib
import traceback

from anchorage.core import folders
from anchorage.core.say import say

NAME = "fault.txt"


def broken(e: Exception) -> str:
    """What to say of it. What was being done goes on without it."""
    path = folders.state() / NAME
    with contextlib.suppress(OSError):
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text("".join(traceback.format_exception(e)), encoding="utf-8", errors="replace")
    return say(
        "a fault of the program and not of what you typed. Please report it, with the file {path}", path=path
    )
