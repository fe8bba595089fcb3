"""The command line: anything typed after ``anchorage``, in a folder of its own."""

from __future__ import annotations

import contextlib
import functools
import io
import os
import random
import shutil
import sys
from pathlib import Path
from typing import Any

from anchorage.cli.entry import _parsers, build_parser, main
from anchorage.core.plain import inert

from . import nasty
from .corpus import DEPLOYMENTS, HERE
from .files import FILE, folder
from .oracle import hold

COMMANDS = (
    "demo", "new", "check", "limit", "outlook", "chance", "sheet", "pack", "log", "now", "fleet", "formula", "sources", "schema", "",
)  # fmt: skip
NEVER = ("--at", "--scheduler")
"""Options that ask a network."""


@functools.cache
def options(command: str) -> tuple[str, ...]:
    """What a command takes, and one thing that it does not."""
    every = [p for p in _parsers(build_parser()) if p.prog.endswith(f" {command}")] if command else []
    return (*(o for p in every for o in p._option_string_actions if o not in NEVER), "--none")


ARGUMENTS = ("site.toml", "calm.txt", "storm.txt", ".", "none.toml", "-", "/dev/null", "/dev/zero", "us", "si", "35 mph", "270", "wet", "12", "open", "locked", "2026-03-10T18:00:00Z",
             "18:00Z", "America/Chicago", "until 23:00 gust 12 mph", "people-in", "1000", "1", "out.csv", "out.geojson", "out.html", "a.ics", "wind", "placed", "note", "A. Lee", "R1",
             "3 s", "letter", "worst", "pressure_physics", "density=1.25", "speed=45 mph", "friction", "12:ab12cd34ef56", "out.toml")  # fmt: skip


def arguments(_: str, kind: str, raw: bytes, rng: random.Random, other: bytes) -> tuple[bytes, str]:
    """Anything typed after ``anchorage``: a verdict or some lines, and no fault of the program."""
    del kind, raw, other
    here = folder() / "cli"
    if not here.exists():
        here.mkdir()
    for path in here.iterdir():
        shutil.rmtree(path) if path.is_dir() and not path.is_symlink() else path.unlink()
    (here / FILE).write_bytes(DEPLOYMENTS[rng.randrange(2)])
    (here / "storm.txt").write_bytes((HERE / "demo-forecast-storm.txt").read_bytes())
    (here / "calm.txt").write_text("heard 17:40Z\nuntil 23:00Z gust 12 mph\n")
    command = rng.choice(COMMANDS)
    typed = [command] if command else []
    if (
        command in ("check", "limit", "outlook", "chance", "sheet", "pack", "log", "now")
        and rng.random() < 0.9
    ):
        typed.append(FILE)
    for _n in range(rng.randrange(5)):
        typed.append(rng.choice(options(command)))
        if rng.random() < 0.8:
            typed.append(
                rng.choice(ARGUMENTS) if rng.random() < 0.7 else rng.choice(nasty.WORDS).replace("\x00", "0")
            )
    if command == "chance":
        typed += ["--samples", "1000"]
    if command == "fleet":
        typed += ["--jobs", "1"]
    return repr(typed).encode("utf-8", "replace"), typed_in(typed, here)


def typed_in(typed: list[str], here: Path) -> str:
    """Run a command line in a folder, with nothing on standard input."""
    out, err, before = io.StringIO(), io.StringIO(), Path.cwd()
    os.chdir(here)
    stdin = io.TextIOWrapper(io.BytesIO())
    try:
        with contextlib.redirect_stdout(out), contextlib.redirect_stderr(err), _stdin(stdin):
            code: Any = main(typed)
    except SystemExit as e:
        code = e.code
    finally:
        os.chdir(before)
    said = err.getvalue()
    hold("fault of the program" not in said, said[:300])
    hold(code in (0, 1, 2, 3), f"exit code {code}")
    hold("Traceback" not in said, "a traceback")
    for line in [*out.getvalue().split("\n"), *said.split("\n")]:
        hold(inert(line) == line, f"a line that acts on a terminal: {line[:100]!r}")
    return {0: "go", 2: "refused"}.get(code, "read")


@contextlib.contextmanager
def _stdin(stream: Any) -> Any:

    was, sys.stdin = sys.stdin, stream
    try:
        yield
    finally:
        sys.stdin = was
