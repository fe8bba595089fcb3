"""Standard output that is full or closed, standard input that is closed, a folder that is gone, a full disk: exit 2 and a sentence."""

import errno
import io
import os
import subprocess
import sys
from pathlib import Path

import pytest

from anchorage.cli.commands import COMMANDS
from anchorage.cli.entry import main
from anchorage.core import console
from anchorage.core.textfile import PLAINLY, why_not
from anchorage.record.store import Record, path_of

NOW = ("--now", "2026-03-10T18:00:00Z")
ROOT = Path(__file__).parents[2]


class Full(io.StringIO):
    """Takes nothing: as ``/dev/full`` does."""

    def __init__(self, number=errno.ENOSPC):
        super().__init__()
        self.number = number

    def flush(self):
        raise OSError(self.number, os.strerror(self.number))

    def fileno(self):
        raise io.UnsupportedOperation


def run(monkeypatch, out, *typed, err=None):
    """Exit code and what stood on standard error."""
    err = io.StringIO() if err is None else err
    with monkeypatch.context() as m:
        m.setattr(sys, "stdout", out)
        m.setattr(sys, "stderr", err)
        try:
            code = main([str(t) for t in typed])
        except SystemExit as e:
            code = e.code
    return code, err.getvalue() if isinstance(err, io.StringIO) else ""


PRINTING = {
    "check": ["check", "SITE"], "limit": ["limit", "SITE", "--json"], "outlook": ["outlook", "SITE", "--say", "until 06:00Z gust 12 mph", *NOW], "pack": ["pack", "SITE"],
    "log": ["log", "SITE"], "now": ["now", "SITE", *NOW], "fleet": ["fleet", "FOLDER", "--jobs", "1", *NOW], "demo": ["demo"], "help": ["help", "check"],
    "formula": ["formula"], "sources": ["sources"], "glossary": ["glossary"], "defaults": ["defaults"], "schema": ["schema"], "chance": ["chance", "SITE", "--samples", "1000"],
    "ways": ["ways", "SITE", *NOW], "climate": ["climate", "SITE", "--history", "demo", "--hours", "6"], "bundle": ["bundle", "SITE", *NOW, "-o", "OUT.zip"],
    "new": ["new", "-"], "sheet": ["sheet", "SITE", "-o", "OUT.csv", *NOW], "region": ["region", "SITE", "--grid", "demo", *NOW],
    "meter": ["meter", "SITE", "--from", "file:/dev/null", "--for", "1s"],
    "--version": ["--version"], "--help": ["--help"], "check --help": ["check", "--help"], "nothing": [],
}  # fmt: skip


SLOW = ("chance", "region", "climate", "ways", "bundle", "meter", "fleet")


def typed(words, site):
    return [
        {
            "SITE": site,
            "FOLDER": site.parent,
            "OUT.csv": site.with_suffix(".csv"),
            "OUT.zip": site.with_suffix(".zip"),
        }.get(w, w)
        for w in words
    ]


@pytest.mark.parametrize("name", PRINTING)
def test_a_page_that_cannot_be_printed_is_exit_2_and_a_sentence(name, site, monkeypatch, capsys):
    assert main(["log", str(site), "note", "x", "--who", "A. Lee", *NOW]) == 0
    capsys.readouterr()
    if name in SLOW:  # what it prints is no matter here
        monkeypatch.setattr(COMMANDS[name], "run", lambda _: (0, "a page\n"))
    words = typed(PRINTING[name], site)
    code, err = run(monkeypatch, Full(), *words)
    assert (code, err.splitlines()[0]) == (
        2,
        "standard output: the disk is full; what was to be printed is lost",
    )
    code, err = run(monkeypatch, None, *words)
    assert (code, err.splitlines()[0]) == (2, "standard output is closed; what was to be printed is lost")
    assert len(err.splitlines()) <= 2
    assert "fault of the program" not in err


def test_every_command_that_prints_is_tried_here():
    assert set(COMMANDS) - {"tui"} <= set(PRINTING)


@pytest.mark.parametrize("out", [Full(), Full(errno.EIO), None], ids=["full", "broken", "closed"])
def test_an_entry_that_cannot_be_acknowledged_says_that_it_was_kept(out, site, monkeypatch):
    code, err = run(monkeypatch, out, "log", site, "wind", "32 mph", "--who", "A. Lee", *NOW)
    assert code == 2
    with Record(path_of(site)) as r:
        (entry,) = r.entries()
    assert f"the entry WAS KEPT as {entry.mark}" in err


def test_what_was_written_is_said_where_the_page_is_lost(site, monkeypatch):
    for words in (
        ["sheet", site, "-o", site.with_suffix(".csv"), *NOW],
        ["demo", "clay", "--copy", site.with_name("b.toml")],
    ):
        code, err = run(monkeypatch, Full(), *words)
        assert code == 2
        assert f"wrote {words[-1] if words[0] == 'demo' else words[3]}" in err
    assert site.with_suffix(".csv").exists()


def test_what_an_error_stream_cannot_take_is_not_put_on_the_page(site, monkeypatch, capsys):
    for err in (None, Full()):
        assert run(monkeypatch, sys.stdout, "check", site, err=err or io.StringIO())[0] == 0
        with monkeypatch.context() as m:
            m.setattr(sys, "stderr", err)
            assert main(["check", str(site.with_name("none.toml"))]) == 2
            with pytest.raises(SystemExit) as e:
                main(["check", str(site), "--nonsense"])
            assert e.value.code == 2
        assert "none.toml" not in capsys.readouterr().out


def test_standard_input_that_is_closed_or_has_nothing_yet(monkeypatch, capsys):
    class Nothing(io.StringIO):
        @property
        def buffer(self):
            return self

        def read(self, _=None):
            return None

    for stream, said in ((None, "is closed"), (Nothing(), "nothing is there yet")):
        monkeypatch.setattr(sys, "stdin", stream)
        assert main(["check", "-"]) == 2
        assert said in capsys.readouterr().err
    monkeypatch.setattr(sys, "stdin", None)
    assert main(["new", "-"]) == 0
    assert main(["tui"]) == 2
    assert "it needs a terminal" in capsys.readouterr().err


def test_standard_input_that_is_no_page_of_text(monkeypatch, capsys):
    for raw, said in ((b"#" * 1_000_001, "more than 1 MB"), (b'name = "\xff"', "not UTF-8 text")):
        monkeypatch.setattr(sys, "stdin", io.TextIOWrapper(io.BytesIO(raw)))
        assert main(["check", "-"]) == 2
        assert said in capsys.readouterr().err
    for words in (["log", "-", "setup", "--who", "A"], ["now", "-"]):  # a record has a place beside its file
        assert main(words) == 2
        assert "must be a file" in capsys.readouterr().err


def test_a_folder_that_is_gone_is_said(site, tmp_path, monkeypatch, capsys):
    gone = tmp_path / "gone"
    gone.mkdir()
    here = Path.cwd()
    os.chdir(gone)
    try:
        gone.rmdir()
        for words in (
            ["check", "site.toml"],
            ["log", "site.toml"],
            ["fleet", "."],
            ["new", "new.toml"],
            ["sheet", site, "-o", "a.html", *NOW],
            ["tui"],
        ):
            assert main([str(w) for w in words]) == 2
            err = capsys.readouterr().err
            assert "the folder that this is run in is gone" in err, words
            assert "fault of the program" not in err
        assert main(["check", str(site)]) == 0, "what needs nothing of it works"
        assert main(["log", str(site), "note", "x", "--who", "A. Lee", *NOW]) == 0
    finally:
        os.chdir(here)
    capsys.readouterr()


def test_what_the_system_says_of_a_disk_is_said_to_people():
    assert why_not(OSError(errno.ENOSPC, "No space left on device")) == "the disk is full"
    assert (
        why_not(OSError(errno.EROFS, "Read-only file system"))
        == "this place can only be read, not written to"
    )
    assert why_not(OSError(errno.EISDIR, "Is a directory")) == "Is a directory"
    assert why_not(OSError(0, "not an ordinary file")) == "not an ordinary file"
    assert why_not(OSError(), "it cannot be read") == "it cannot be read"
    assert errno.ENOENT not in PLAINLY, "that is said by whoever knows which file was meant"


def test_a_failing_disk_in_the_middle_of_a_command_is_no_fault_of_the_program(site, monkeypatch, capsys):
    def full(*_, **__):
        raise OSError(errno.ENOSPC, "No space left on device", "/somewhere/x")

    monkeypatch.setattr("anchorage.cli.judge.assess", full)
    assert main(["check", str(site)]) == 2
    assert capsys.readouterr().err == "check: the disk is full: /somewhere/x\n"


def test_the_width_of_a_page_is_that_of_the_terminal(monkeypatch):
    assert console.columns() == 80, "no terminal"
    monkeypatch.setattr(console, "is_terminal", lambda _: True)
    for wide, counts in ((40, 40), (132, 132), (3, 20)):
        monkeypatch.setenv("COLUMNS", str(wide))
        assert console.columns() == counts


@pytest.mark.skipif(sys.platform == "win32", reason="a shell of POSIX closes the streams")
def test_a_stream_closed_by_the_shell_is_no_place_for_a_file(site):
    words = f'{sys.executable} -m anchorage log {site} wind "32 mph" --who L {" ".join(NOW)} >&- 2>{site}.err'
    done = subprocess.run(["sh", "-c", words], cwd=ROOT, check=False)
    said = Path(f"{site}.err").read_text()
    with Record(path_of(site)) as r:
        assert r.faults() == []
        assert (done.returncode, f"WAS KEPT as {r.entries()[0].mark}" in said) == (2, True), said


@pytest.mark.parametrize("windows", [False, True])
def test_streams_are_made_ready_on_each_system(windows, monkeypatch):
    class Stream(io.TextIOWrapper):
        def isatty(self):
            return True

    out = Stream(io.BytesIO(), encoding="cp850", errors="strict")
    monkeypatch.setattr(sys, "stdout", out)
    monkeypatch.setattr(sys, "stderr", None)
    monkeypatch.setattr(console, "WINDOWS", windows)
    console.ready()
    out.write("γ")
    out.flush()
    assert out.buffer.getvalue() == ("γ".encode() if windows else b"?")
