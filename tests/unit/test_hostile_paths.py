"""Pipes, folders, devices, loops and endless files where a file belongs: one line, exit code 2, no waiting, no half file."""

import contextlib
import os
import resource
import signal
import socket
import stat
from pathlib import Path

import pytest

from anchorage.cli.entry import main
from anchorage.core.errors import AnchorageError, InputFaults
from anchorage.core.textfile import load_toml, read_whole, write_whole
from anchorage.demo import demo_text
from anchorage.deployment.draft import read_draft
from anchorage.deployment.edits import merged
from anchorage.deployment.reader import read_text
from anchorage.judging.plan import assess
from anchorage.outlook.reader import read_bytes
from tui import engine, store
from tui.fields import KEYS

NOW = ("--now", "2026-03-10T18:00:00Z")
SAID = ("--say", "until 06:00Z gust 12 mph", *NOW)
PATIENCE = 60
"""Seconds after which it hangs; it takes a fraction of one."""
ROOT = hasattr(os, "geteuid") and os.geteuid() == 0
pytestmark = pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="no pipes on this system")


@pytest.fixture(autouse=True)
def impatient():
    def late(*_):
        raise AssertionError("it hangs")

    was = signal.signal(signal.SIGALRM, late)
    signal.alarm(PATIENCE)
    yield
    signal.alarm(0)
    signal.signal(signal.SIGALRM, was)


def bad(kind: str, path: Path) -> Path:
    """Something that is no file of ours, at a path or in its stead."""
    match kind:
        case "pipe":
            os.mkfifo(path)
        case "folder":
            path.mkdir()
        case "missing":
            pass
        case "empty":
            path.touch()
        case "binary":
            path.write_bytes(bytes(range(256)) * 40)
        case "huge":
            with path.open("wb") as f:
                f.truncate(3_000_000_000)  # a hole: it takes no room
        case "loop":
            path.symlink_to(path)
        case "link-to-zero":
            path.symlink_to("/dev/zero")
        case "link-to-pipe":
            os.mkfifo(path.with_name("pipe"))
            path.symlink_to(path.with_name("pipe"))
        case "socket":
            with socket.socket(socket.AF_UNIX) as s:
                here = Path.cwd()
                os.chdir(path.parent)  # a short name: they may not be long
                try:
                    s.bind(path.name)
                finally:
                    os.chdir(here)
        case "unreadable":
            if ROOT:
                pytest.skip("root reads everything")
            path.write_text(demo_text("asphalt"), encoding="utf-8")
            path.chmod(0)
        case "long":
            return path.with_name("x" * 300 + path.suffix)
        case "zero" | "null" | "stdin":
            return Path(f"/dev/{kind}")
        case _:
            raise AssertionError(kind)
    return path


INPUTS = ["pipe", "folder", "missing", "empty", "binary", "huge", "loop", "link-to-zero", "link-to-pipe", "socket", "long", "zero", "null", "stdin",
          "unreadable"]  # fmt: skip


def refused(capsys, *typed, lines=1):
    """Nothing but a line or two, and exit code 2."""
    code = main([str(t) for t in typed])
    out, err = capsys.readouterr()
    assert (code, out) == (2, ""), (typed, out, err)
    assert 1 <= len(err.splitlines()) <= lines, err
    assert "fault of the program" not in err
    assert all(len(line) < 1000 for line in err.splitlines())
    return err


@pytest.mark.parametrize("kind", INPUTS)
def test_what_is_no_file_is_refused_wherever_one_is_read(kind, site, tmp_path, capsys):
    path = bad(kind, tmp_path / "bad.toml")
    more = 12 if kind == "empty" else 1  # an empty deployment lacks several keys
    for command in (
        ["check"],
        ["limit"],
        ["outlook", *SAID],
        ["chance"],
        ["pack"],
        ["log"],
        ["now"],
        ["sheet", "-o", tmp_path / "x.csv"],
        ["region", "--grid", "demo"],
    ):
        refused(capsys, command[0], path, *command[1:], lines=more)
    slow = (
        (["now", site, *NOW],)
        if kind == "pipe" and main(["log", str(site), "note", "x", "--who", "A. Lee", *NOW]) == 0
        else ()
    )
    capsys.readouterr()
    for command in (["outlook", site, *NOW], *slow):
        refused(capsys, *command, "--forecast", path)
    refused(capsys, "region", site, "--grid", path, *NOW)


@pytest.mark.parametrize("kind", INPUTS)
def test_a_shelter_file_that_is_none_is_refused(kind, tmp_path, capsys):
    used = bad(kind, tmp_path / "bad.toml")
    (tmp_path / "site.toml").write_text(
        f'[shelter]\nuse = "{used}"\n[wind]\nspeed = "20 mph"\n[anchorage]\nkind = "ballast"\n'
    )
    assert "shelter.use" in refused(capsys, "check", tmp_path / "site.toml")


@pytest.mark.parametrize("kind", [k for k in INPUTS if k not in ("missing", "long", "zero", "null", "stdin")])
def test_a_file_of_a_fleet_that_is_none_is_a_row_and_stops_nothing(kind, site, capsys):
    bad(kind, site.with_name("bad.toml"))
    code = main(["fleet", str(site.parent), "--jobs", "1", "--json", *NOW])
    out, err = capsys.readouterr()
    assert (code, err) == (2, "")
    assert '"unusable": 1' in out
    for folder in (site, site.parent / "none", Path("/dev/null")):
        refused(capsys, "fleet", folder)


@pytest.mark.parametrize(
    "kind", ["pipe", "folder", "binary", "huge", "loop", "link-to-zero", "link-to-pipe", "socket"]
)
def test_a_record_that_is_none_is_refused(kind, site, capsys):
    bad(kind, site.with_name("site.toml.log.db"))
    for typed in (
        ["log", site],
        ["now", site],
        ["log", site, "note", "x", "--who", "A. Lee"],
        ["sheet", site, "-o", site.with_name("x.html"), *NOW],
    ):
        if typed == ["log", site, "note", "x", "--who", "A. Lee"] and kind == "huge":
            continue  # nothing but zeros: SQLite may begin anew in it
        refused(capsys, *typed)


OUTPUTS = {
    "sheet.csv": ["sheet", "SITE", "-o", "OUT"], "sheet.html": ["sheet", "SITE", "-o", "OUT"], "card.pdf": ["sheet", "SITE", "--card", "-o", "OUT"], "pack.html": ["pack", "SITE", "-o", "OUT"],
    "log.csv": ["log", "SITE", "--csv", "OUT"], "now.html": ["now", "SITE", "-o", "OUT"], "outlook.ics": ["outlook", "SITE", *SAID, "--ics", "OUT"], "fleet.csv": ["fleet", "FOLDER", "--jobs", "1", "-o", "OUT"],
    "fleet.parquet": ["fleet", "FOLDER", "--jobs", "1", "-o", "OUT"], "region.nc": ["region", "SITE", "--grid", "demo", *NOW, "-o", "OUT"], "region.zarr": ["region", "SITE", "--grid", "demo", *NOW, "-o", "OUT"],
    "map.png": ["region", "SITE", "--grid", "demo", *NOW, "--map", "OUT"], "demo.toml": ["demo", "asphalt", "--copy", "OUT"], "new.toml": ["new", "OUT", "--no-questions", "--force"],
}  # fmt: skip
PLACES = [
    "folder", "pipe", "link-to-pipe", "link-to-zero", "loop", "full", "no-folder", "long", "small-disk", "read-only",
]  # fmt: skip


SHARED = ("folder", "small-disk")
"""Those that are written by one function of the program are tried in fewer places."""
OWN = ("sheet.csv", "outlook.ics", "region.nc", "demo.toml", "new.toml")


@pytest.mark.parametrize(
    ("name", "place"), [(n, p) for n in OUTPUTS for p in (PLACES if n in OWN else SHARED)]
)
def test_where_nothing_can_be_written_nothing_is_and_one_line_says_so(place, name, site, tmp_path, capsys):
    assert main(["log", str(site), "note", "x", "--who", "A. Lee", *NOW]) == 0
    capsys.readouterr()
    where = tmp_path / "out"
    where.mkdir()
    out, before = where / name, None
    match place:
        case "full":
            out.symlink_to("/dev/full")
        case "no-folder":
            out = where / "none" / name
        case "small-disk":
            if name in ("demo.toml", "region.zarr"):
                out = where / f"fresh-{name}"
            else:
                out.write_bytes(b"as it was")
                before = b"as it was"
        case "read-only":
            if ROOT:
                pytest.skip("root writes everywhere")
            where.chmod(0o500)
        case _:
            out = bad(place, out)
    names = sorted(p.name for p in where.iterdir())
    typed = [str({"SITE": site, "FOLDER": tmp_path, "OUT": out}.get(t, t)) for t in OUTPUTS[name]]
    was = resource.getrlimit(resource.RLIMIT_FSIZE)
    if place == "small-disk":
        resource.setrlimit(resource.RLIMIT_FSIZE, (0, was[1]))
    try:
        refused(capsys, *typed)
    finally:
        resource.setrlimit(resource.RLIMIT_FSIZE, was)
    assert sorted(p.name for p in where.iterdir()) == names
    if before is not None:
        assert out.read_bytes() == before
    if place == "pipe":
        assert stat.S_ISFIFO(out.stat().st_mode)


def test_a_link_is_followed_and_what_it_points_to_is_replaced(tmp_path):
    target, link = tmp_path / "real.csv", tmp_path / "link.csv"
    target.write_text("old")
    target.chmod(0o640)
    link.symlink_to(target)
    write_whole(link, b"new")
    assert link.is_symlink()
    assert target.read_bytes() == b"new"
    assert target.stat().st_mode & 0o777 == 0o640
    with pytest.raises(FileExistsError):
        write_whole(target, b"newer", new=True)
    assert target.read_bytes() == b"new"
    write_whole(tmp_path / "fresh.csv", b"x", new=True)
    assert sorted(p.name for p in tmp_path.iterdir()) == ["fresh.csv", "link.csv", "real.csv"]


def test_no_more_is_read_than_is_asked_for(tmp_path):
    path = bad("huge", tmp_path / "huge")
    assert len(read_whole(path, 1000)) == 1001
    for name in ("a\0b", "x" * 5000):
        with pytest.raises(OSError, match=r"no name|too long"):
            read_whole(Path(name), 10)
        with pytest.raises(OSError, match=r"no name|too long"):
            write_whole(name, b"")


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("a" + ".a" * 400_000 + " = 1", "dots"),
        ("x = " + "9" * 5000, "digits"),
        ("x = " + "[" * 3000, "deep"),
        ("\n".join("[" + "a." * k + "a]" for k in (60,)), "tables within tables"),
    ],
)
def test_toml_that_would_stall_the_parser_is_refused(text, said, tmp_path, capsys):
    with pytest.raises(ValueError, match=said):
        load_toml(text)
    (tmp_path / "site.toml").write_text(text)
    assert "site.toml: not readable as TOML: " in refused(capsys, "check", tmp_path / "site.toml")


def test_a_file_of_nothing_but_faults_is_told_of_shortly(tmp_path, capsys):
    (tmp_path / "site.toml").write_text(
        "\n".join(f"k{i} = 1" for i in range(20_000)) + f"\n{'y' * 200_000} = 1\n"
    )
    err = refused(capsys, "check", tmp_path / "site.toml", lines=51)
    assert "more faults: mend these first" in err


@pytest.mark.parametrize("kind", [k for k in INPUTS if k not in ("missing", "empty")])
def test_the_interface_opens_no_such_thing(kind, tmp_path):
    path = bad(kind, tmp_path / "bad.toml")
    if kind == "long":
        assert store.open_file(path, KEYS).original == ""  # nothing is there; saving will say why not
        return
    with pytest.raises(InputFaults, match=path.name):
        store.open_file(path, KEYS)
    with pytest.raises((OSError, InputFaults)):
        engine.judged(assess(read_text(demo_text("asphalt"))), (path,), 1_773_165_600)


BLOWN_UP = [
    ("TAF ZZZZ 101720Z 1018/1118 20010KT", "\n"), ("METAR ZZZZ 101753Z 20010KT\n", "a\n"), ("METAR ZZZZ 101753Z 20010KT", " \n "), ('{"properties": {"a": "', '\\"'), ('{"a', "\\"),
    ("heard 17:40Z\n", "\n"), ("time,gust (mph)\n", ","), ("KZZZ    NBM V4.1 NBS GUIDANCE    3/10/2026  1700 UTC\n", "\n "), ("", "["),
]  # fmt: skip
"""A beginning, and what follows it half a million times: each took its square or more in time, or might."""


@pytest.mark.parametrize(("head", "again"), BLOWN_UP, ids=range(len(BLOWN_UP)))
def test_no_forecast_takes_more_time_than_its_length(head, again):
    raw = (head + again * (2_000_000 // len(again) if len(again) > 1 else 500_000)).encode()
    with contextlib.suppress(AnchorageError):
        read_bytes(raw, 1_773_165_600, "forecast")


def test_a_line_of_spaces_in_a_note_does_not_stall_saving():
    text = '[deployment]\nname = """\n[' + " " * 50_000 + 'x\n"""\n'
    assert "mph" in merged(text, read_draft(text, KEYS).with_("wind.speed", "1 mph"))
