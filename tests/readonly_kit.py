"""A place that can only be read, also for root: what is done there is done as a user who owns nothing."""

import os
import shutil
import sys
import tempfile
import traceback
from pathlib import Path

import pytest

NOBODY = 65534


def closed_folder():
    """A folder that everybody may look into; tests make it read-only when it is filled."""
    place = Path(tempfile.mkdtemp(prefix="stick-"))
    place.chmod(0o755)
    return place


def close(place):
    """Nothing may be written there any more."""
    for p in place.rglob("*"):
        p.chmod(0o555 if p.is_dir() else 0o444)
    place.chmod(0o555)


def open_again(place):
    place.chmod(0o755)
    shutil.rmtree(place)


def as_nobody(job):
    """Run a job in a process of its own that may write nothing here; what it returns is its exit code, and 99 is a failed test."""
    if not hasattr(os, "fork"):
        pytest.skip("no fork on this system")
    child = os.fork()
    if not child:
        code = 99
        try:
            if os.geteuid() == 0:
                os.setgroups([])
                os.setgid(NOBODY)
                os.setuid(NOBODY)
            os.environ["HOME"] = "/nonexistent"
            code = job() or 0
        except BaseException:  # noqa: BLE001 - it is printed, and is a failed test
            traceback.print_exc()
        finally:
            sys.stdout.flush()
            sys.stderr.flush()
            os._exit(code)
    return os.waitstatus_to_exitcode(os.waitpid(child, 0)[1])
