"""A laptop that never sees a network: the folder of wheels and the single file of ``help offline``, installed and run where there is no route.

It takes two minutes and asks the package index, so it runs with ``ANCHORAGE_LONG=1`` alone; else it is skipped, and says so.
"""

import os
import pty
import re
import select
import shutil
import subprocess
import sys
import time
import venv
from pathlib import Path

import pytest

from anchorage.cli.topics import TOPICS

ROOT = Path(__file__).parents[2]
PAGE = "\n".join(TOPICS["offline"].lines("offline"))
NO_ROUTE = ["unshare", "-n"]
pytestmark = pytest.mark.skipif(
    not os.environ.get("ANCHORAGE_LONG"), reason="two minutes and the package index: ANCHORAGE_LONG=1"
)


def run(*words, cwd, **more):
    return subprocess.run(
        [str(w) for w in words], cwd=cwd, check=False, capture_output=True, text=True, timeout=280, **more
    )


def command(start):
    """The line of ``anchorage help offline`` that begins so, as words: what is documented is what is tried."""
    (line,) = (x.strip() for x in PAGE.splitlines() if x.strip().startswith(start))
    return line.split()


@pytest.fixture(scope="module")
def folder(tmp_path_factory):
    if shutil.which("unshare") is None or run(*NO_ROUTE, "true", cwd=ROOT).returncode != 0:
        pytest.skip("no network namespace can be made here (unshare -n)")
    place = tmp_path_factory.mktemp("offline")
    words = command("python3 -m pip wheel")
    assert words[:4] == ["python3", "-m", "pip", "wheel"]
    done = run(sys.executable, *words[1:-1], ROOT, cwd=place)
    if done.returncode != 0:
        pytest.skip(f"the package index cannot be asked: {done.stderr[-200:]}")
    return place


def works(start, place, env):
    """``demo``, ``sheet`` and ``tui`` where there is no route to anywhere."""
    alone = {**os.environ, "HOME": str(env), "ANCHORAGE_STATE": str(env / "state"), "TERM": "xterm-256color"}
    said = run(*NO_ROUTE, *start, "demo", cwd=place, env=alone)
    assert (said.returncode, "GO" in said.stdout) == (0, True), said.stderr
    assert (
        run(
            *NO_ROUTE, *start, "demo", "asphalt", "--copy", f"{env.name}.toml", cwd=place, env=alone
        ).returncode
        == 0
    )
    for end in ("pdf", "html"):
        assert (
            run(
                *NO_ROUTE,
                *start,
                "sheet",
                f"{env.name}.toml",
                "-o",
                f"{env.name}.{end}",
                cwd=place,
                env=alone,
            ).returncode
            == 0
        )
        assert (place / f"{env.name}.{end}").stat().st_size > 10_000
    child, screen = pty.fork()
    if not child:
        os.chdir(place)
        os.environ.update(alone)
        os.execvp(NO_ROUTE[0], [*NO_ROUTE, *map(str, start), "tui", f"{env.name}.toml"])  # noqa: S606 - a terminal of its own
    seen, end = "", time.monotonic() + 60
    while "sandbags" not in seen and time.monotonic() < end:
        if select.select([screen], [], [], 1.0)[0]:
            seen += re.sub(r"\x1b\[[0-9;?]*[A-Za-z]", "", os.read(screen, 65536).decode("utf-8", "replace"))
    os.write(screen, b"\x11")
    assert "sandbags" in seen
    time.sleep(0.5)
    os.close(screen)
    os.waitpid(child, 0)


def test_a_folder_of_wheels_installs_and_runs_where_there_is_no_route(folder):
    env = folder / "v"
    venv.create(env, with_pip=True)
    words = command("python3 -m pip install --no-index")
    done = run(*NO_ROUTE, env / "bin" / "python", *words[1:], cwd=folder)
    assert done.returncode == 0, done.stderr
    works([env / "bin" / "anchorage"], folder, env)


def test_a_single_file_runs_where_there_is_no_route(folder):
    env = folder / "s"
    venv.create(env, with_pip=True)
    done = run(env / "bin" / "python", "-m", "pip", "install", "-q", "shiv", cwd=folder)
    if done.returncode != 0:
        pytest.skip(f"shiv cannot be had: {done.stderr[-200:]}")
    words = command("shiv ")
    done = run(env / "bin" / "shiv", *words[1:], cwd=folder)
    assert done.returncode == 0, done.stderr
    works([sys.executable, "anchorage.pyz"], folder, env)
