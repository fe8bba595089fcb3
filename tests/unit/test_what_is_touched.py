"""Which files and sockets each command touches: the interpreter itself reports them (``sys.addaudithook``), whoever in the program asks.

``strace -f -e trace=file,network`` shows the same of what the libraries do in C; ``tests/traced.py`` draws that list.
"""

import os
import sys
import tempfile
from pathlib import Path

import pytest

from anchorage.cli.commands import COMMANDS
from anchorage.cli.entry import main
from anchorage.core.outputs import METER, RECORD
from anchorage.demo import demo_text
from anchorage.region.invented import invented

NOW = ("--now", "2026-03-10T18:00:00Z")
WRITING = os.O_WRONLY | os.O_RDWR | os.O_CREAT | os.O_TRUNC | os.O_APPEND
NETWORK = (
    "socket.connect", "socket.bind", "socket.getaddrinfo", "socket.gethostbyname", "socket.sendto", "urllib.Request", "ftplib.connect",
    "smtplib.connect",
)  # fmt: skip
CHANGING = {
    "os.rename": 1, "os.remove": 0, "os.mkdir": 0, "os.rmdir": 0, "os.link": 1, "os.symlink": 1, "os.truncate": 0, "shutil.rmtree": 0,
}  # fmt: skip
"""Events that change a path, and which of their arguments it is."""
SEEN: list[tuple[str, str]] | None = None


def _watch(event, args):
    if SEEN is None:
        return
    if event in NETWORK:
        SEEN.append(("network", f"{event} {args[1:]}"))
    elif event == "open" and isinstance(args[0], str | bytes | os.PathLike):
        mode, flags = args[1], args[2] or 0
        write = any(c in mode for c in "wax+") if isinstance(mode, str) else bool(flags & WRITING)
        SEEN.append(("write" if write else "read", os.fsdecode(args[0])))
    elif (
        event in CHANGING and Path(os.fsdecode(args[CHANGING[event]])).is_absolute()
    ):  # else inside a folder that is being removed
        SEEN.append(("write", os.fsdecode(args[CHANGING[event]])))
    elif event == "sqlite3.connect":
        SEEN.append(("record", str(args[0])))
    elif event == "subprocess.Popen":
        SEEN.append(("process", str(args[0])))


sys.addaudithook(_watch)


def touched(*words):
    """(kind, path) of everything that a command touches."""
    global SEEN  # noqa: PLW0603 - a hook cannot be taken away again
    SEEN = []
    try:
        assert main([str(w) for w in words]) in (0, 1, 3)
        return [(kind, path) for kind, path in SEEN if "__pycache__" not in path]
    finally:
        SEEN = None


@pytest.fixture
def site(tmp_path, monkeypatch):
    folder = tmp_path / "user"
    folder.mkdir()
    monkeypatch.setenv("ANCHORAGE_STATE", str(tmp_path / "state"))
    monkeypatch.setenv("ANCHORAGE_CACHE", str(tmp_path / "cache"))
    path = folder / "site.toml"
    path.write_text(demo_text("asphalt"), encoding="utf-8")
    (folder / "secret.toml").write_text(demo_text("clay"), encoding="utf-8")
    (folder / "heard.csv").write_text(
        "# issued 2026-03-10T17:00:00Z\ntime,gust (mph)\n2026-03-10T19:00:00Z,12\n2026-03-10T20:00:00Z,12\n"
    )
    assert main(["log", str(path), "wind", "20 mph", "--who", "A. Lee", *NOW]) == 0
    return path


COMMANDS_TRIED = {
    "check": ["check", "SITE"], "limit": ["limit", "SITE"], "pack": ["pack", "SITE"], "pack -o": ["pack", "SITE", "-o", "OUT.html"], "sheet": ["sheet", "SITE", *NOW, "-o", "OUT.html"],
    "points": ["sheet", "SITE", *NOW, "-o", "OUT.csv"], "outlook": ["outlook", "SITE", "--forecast", "HEARD", *NOW, "--ics", "OUT.ics"], "chance": ["chance", "SITE", "--samples", "1000"],
    "log": ["log", "SITE"], "log wind": ["log", "SITE", "wind", "24 mph", "--who", "A. Lee", *NOW], "log --csv": ["log", "SITE", "--csv", "OUT.csv"], "now": ["now", "SITE", *NOW, "-o", "OUT.html"],
    "fleet": ["fleet", "FOLDER", "--jobs", "1", *NOW, "-o", "OUT.csv"], "region": ["region", "SITE", "--grid", "demo", *NOW, "-o", "OUT.nc"], "demo": ["demo"], "copy": ["demo", "clay", "--copy", "OUT.toml"],
    "new": ["new", "OUT.toml", "--no-questions"], "formula": ["formula"], "sources": ["sources"], "defaults": ["defaults"], "glossary": ["glossary"], "schema": ["schema"], "help": ["help", "check"],
    "ways": ["ways", "SITE", *NOW], "bundle": ["bundle", "SITE", *NOW, "-o", "OUT.zip"], "climate": ["climate", "SITE", "--history", "demo", "--hours", "6"], "meter": ["meter", "SITE", "--from", "file:/dev/null", "--for", "1s"],
}  # fmt: skip
OWN = ("tui",)
"""Tried by itself: the interface."""
CHANGES = {"log wind": {"site.toml" + RECORD}, "meter": {"site.toml" + RECORD, "site.toml" + METER}}
"""What a command adds to beside the deployment."""
RECORDS = (
    "check", "limit", "pack", "pack -o", "sheet", "points", "outlook", "chance", "log", "log wind", "log --csv", "now", "fleet", "region", "ways",
    "bundle", "climate", "meter",
)  # fmt: skip
"""They open the record: a reading raises what they say."""


def test_every_command_is_tried_here():
    assert {words[0] for words in COMMANDS_TRIED.values()} | set(OWN) == set(COMMANDS)


@pytest.mark.parametrize("name", COMMANDS_TRIED)
def test_a_command_touches_what_it_says_and_nothing_else(name, site, tmp_path, capsys):
    with invented(1_773_165_600):  # what is loaded once is loaded
        pass
    out = tmp_path / "out"
    out.mkdir()
    given = {"SITE": site, "FOLDER": site.parent, "HEARD": site.parent / "heard.csv"}
    words = [given.get(w, out / w if w.startswith("OUT.") else w) for w in COMMANDS_TRIED[name]]
    before = {p.name: p.read_bytes() for p in site.parent.iterdir()}
    found = touched(*words)
    capsys.readouterr()
    assert [path for kind, path in found if kind == "network"] == []
    written = {Path(path) for kind, path in found if kind == "write" and path != os.devnull}
    away = {p for p in written if out not in (p, *p.parents)}
    temporary = {p for p in away if Path(tempfile.gettempdir()) in p.parents and tmp_path not in p.parents}
    assert away - temporary - {p for p in away if "matplotlib" in str(p)} == set()
    assert [p for p in temporary if p.exists()] == [], "nothing is left behind"
    names = {p.name for p in out.iterdir()}
    assert names == {w for w in COMMANDS_TRIED[name] if w.startswith("OUT.")}
    after = {p.name: p.read_bytes() for p in site.parent.iterdir()}
    changed = {n for n in after if after[n] != before.get(n)}
    assert changed <= CHANGES.get(name, set()), "nothing of the user's is written"
    asked = {Path(path).name for kind, path in found if kind == "read" and site.parent in Path(path).parents}
    may = (
        {"site.toml"}
        | ({"heard.csv"} if name == "outlook" else set())
        | ({"secret.toml"} if name == "fleet" else set())
    )
    assert asked - {site.name + RECORD} <= (
        may if "SITE" in COMMANDS_TRIED[name] or name == "fleet" else set()
    ), "nor read"
    assert bool([p for kind, p in found if kind == "record"]) == (name in RECORDS)
    assert name == "region" or not [p for kind, p in found if kind == "process"]


def test_the_watch_sees_what_it_looks_for(tmp_path):
    global SEEN  # noqa: PLW0603 - as above
    SEEN = []
    try:
        (tmp_path / "a").write_text("x")
        (tmp_path / "a").rename(tmp_path / "b")
        (tmp_path / "b").read_text()
        os.close(os.open(tmp_path / "c", os.O_WRONLY | os.O_CREAT))
        import socket

        with socket.socket() as s, pytest.raises(OSError, match=r"refused|denied|unreachable"):
            s.connect(("127.0.0.1", 9))
        seen = {(kind, Path(path).name) for kind, path in SEEN if str(tmp_path) in path}
        assert {("write", "a"), ("write", "b"), ("read", "b"), ("write", "c")} <= seen
        assert [path for kind, path in SEEN if kind == "network"]
    finally:
        SEEN = None
