"""What each system does in its own way: locks, the time zone that the machine is set to, what it is called.

Linux and macOS lock with ``flock``, Windows locks a byte with ``msvcrt``; where neither is there, nothing is locked and nothing is said to
be. Folders are in ``folders``, the terminal and the streams in ``console``; fonts are shipped, and what they lack typst finds by itself.
"""

from __future__ import annotations

import os
import platform
import sys
from zoneinfo import ZoneInfo, ZoneInfoNotFoundError

from anchorage.core.say import say

LOCALTIME = "/etc/localtime"
"""A link into the zones, on Linux and on macOS; Windows has none."""


SYSTEMS = {"linux": "Linux", "darwin": "macOS", "win32": "Windows"}


def lock(handle: int) -> bool:
    """Lock a file that is open until it is closed; False where somebody else has it. ``OSError`` where nothing can be locked."""
    try:
        import fcntl  # noqa: PLC0415 - not on every system
    except ImportError:
        return _lock_a_byte(handle)
    try:
        fcntl.flock(handle, fcntl.LOCK_EX | fcntl.LOCK_NB)
    except BlockingIOError:
        return False
    return True


def _lock_a_byte(handle: int) -> bool:
    try:
        import msvcrt  # noqa: PLC0415 - only where there is no fcntl
    except ImportError:
        raise OSError(0, say("files cannot be locked on this system")) from None
    try:
        msvcrt.locking(handle, msvcrt.LK_NBLCK, 1)  # type: ignore[attr-defined,unused-ignore]
    except OSError:
        return False
    return True


def zone() -> str:
    """Name of the time zone that this machine is set to; nothing where it has no name that can be told."""
    said = os.environ.get("TZ", "").lstrip(":")
    if (
        not said and sys.platform != "win32"
    ):  # there a zone has a name that only Windows knows: it is asked for
        said = os.path.realpath(LOCALTIME).replace("\\", "/").partition("zoneinfo/")[2]
    try:
        ZoneInfo(said)
    except (ValueError, OSError, ZoneInfoNotFoundError):
        return ""
    return said


def called() -> str:
    """The system, as people call it."""
    name = SYSTEMS.get(sys.platform, sys.platform)
    release = platform.mac_ver()[0] if name == "macOS" else platform.release()
    return " ".join(filter(None, (name, release, platform.machine())))
