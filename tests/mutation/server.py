"""Runs tests in forks of a process that has the libraries loaded, so that a mutant costs its tests and not its imports.

``python server.py SOCKET TEST...``, in the copy of the repository that is mutated. Nothing of the physics is loaded
here: each fork imports it anew, with the mutant that is on disk by then.
"""

import contextlib
import gc
import importlib
import os
import re
import select
import signal
import socket
import sys
import tempfile
import traceback
from pathlib import Path

import pytest

LIBRARIES = (
    "_pytest.assertion.rewrite", "annotated_types", "fluids", "geotech_references", "hypothesis",
    "hypothesis.extra.numpy", "numpy", "pint", "psychrolib", "pydantic", "Pynite", "scipy.integrate", "scipy.optimize",
    "scipy.stats", "anchorage.deployment.models",
)  # fmt: skip
INPUT = re.compile(r"anchorage(\.core(\.\w+)?|\.deployment(\.models|\.said)?)?$")
"""Modules of the package that are loaded before the fork: how a file is read. Not for mutants."""


def run(tests: list[str], out: str) -> int:
    """Run the tests in this process; its words go to a file."""
    handle = os.open(out, os.O_WRONLY | os.O_CREAT | os.O_TRUNC)
    os.dup2(handle, 1)
    os.dup2(handle, 2)
    options = ["-o", "addopts=--strict-markers", "-x", "-q", "--tb=line", "-p", "no:cacheprovider"]
    return int(pytest.main([*options, "-W", "ignore::pytest.PytestAssertRewriteWarning", *tests]))


def answer(peer: socket.socket, tests: list[str], *, fresh: bool) -> None:
    """One run in a fork; it is killed when the one who asked is gone."""
    out = Path(tempfile.gettempdir()) / f"mutant-{os.getpid()}.txt"
    child = os.fork()
    if not child:
        os.setsid()
        sys.dont_write_bytecode = not fresh
        os.environ["ANCHORAGE_MUTANT"] = "1"  # else the tests would keep what they compile
        code = 99
        try:
            code = run(tests, str(out))
        except BaseException:  # noqa: BLE001 - a fork ends here whatever happens
            traceback.print_exc()
        sys.stdout.flush()
        os._exit(code)
    ended = os.pidfd_open(child)
    ready, *_ = select.select([ended, peer], [], [])
    if ended not in ready:
        with contextlib.suppress(ProcessLookupError):
            os.killpg(child, signal.SIGKILL)
    _, status = os.waitpid(child, 0)
    os.close(ended)
    code = os.waitstatus_to_exitcode(status)
    said = out.read_text(encoding="utf-8", errors="replace")[-600:] if out.exists() else ""
    with contextlib.suppress(OSError):
        peer.sendall(f"{code}\n{said}".encode())


def main() -> None:
    """Load, then serve until the input ends."""
    place, tests = sys.argv[1], sys.argv[2:]
    for name in LIBRARIES:
        with contextlib.suppress(ImportError):
            importlib.import_module(name)
    loaded = [n for n in sys.modules if n.partition(".")[0] == "anchorage"]
    assert all(map(INPUT.match, loaded)), loaded
    os.environ["PYTEST_DISABLE_PLUGIN_AUTOLOAD"] = (
        "1"  # xdist and the like take time, and one process runs here
    )
    gc.freeze()
    gc.disable()
    with socket.socket(socket.AF_UNIX) as door:
        door.bind(place)
        door.listen()
        fresh = True  # the first run is without a mutant: it may leave compiled files behind
        while True:
            ready, *_ = select.select([door, sys.stdin], [], [])
            if sys.stdin in ready:
                return
            peer, _ = door.accept()
            with peer:
                answer(peer, tests, fresh=fresh)
            fresh = False


main()
