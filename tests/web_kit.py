"""A server of the interface of its own, and the address that it printed."""

import contextlib
import os
import subprocess
import sys
from pathlib import Path

from tui_kit import demo_file

ROOT = Path(__file__).parents[1]


@contextlib.contextmanager
def server(folder, *more):
    """A server of its own, and the address that it printed."""
    env = {**os.environ, "ANCHORAGE_STATE": str(folder / "state"), "PYTHONPATH": str(ROOT)}
    words = [
        sys.executable,
        "-u",
        "-m",
        "anchorage",
        "tui",
        "--web",
        "--port",
        "0",
        *more,
        str(demo_file(folder)),
    ]
    with subprocess.Popen(
        words, cwd=folder, env=env, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True
    ) as process:
        try:
            yield process.stdout.readline().strip(), process
        finally:
            process.terminate()
