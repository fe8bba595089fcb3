"""What runs here, and what each system does in its own way: tried here for Linux, simulated for macOS and Windows."""

import importlib.metadata
import os
import sys
import types

import pytest

from anchorage.cli import about
from anchorage.cli.entry import main
from anchorage.core import folders, machine, units
from tui import owner


def test_what_runs_here_is_said_whole(capsys):
    assert main(["--version"]) == 0
    assert len(capsys.readouterr().out.split()) == 2
    assert main(["--version", "--verbose"]) == 0
    out = capsys.readouterr().out
    for name in ("numpy", "pint", "pydantic", "textual", "typst"):
        assert f"{name} {importlib.metadata.version(name)}" in out
    for extra in ("fleet", "region", "live", "web"):
        assert f"extra {extra}:" in out
    for folder in (folders.state(), folders.cache()):
        assert f"writes to {folder}" in out
    for word in (
        "DejaVuSansCondensed",
        "terminal: none",
        "zone: ",
        "languages: en",
        "python: ",
        "system: ",
        "FILE.log.db",
    ):
        assert word in out
    assert "MISSING" not in out
    assert f"factors, the same as pint {importlib.metadata.version('pint')} has" in out


def test_a_factor_that_is_not_that_of_pint_is_said(monkeypatch, capsys):
    kept = units.kept_factors()
    kept["speed"]["mile / hour"] = (kept["speed"]["mile / hour"][0] * 2, kept["speed"]["mile / hour"][1])
    monkeypatch.setattr(units, "kept_factors", lambda: kept)
    assert main(["--version", "--verbose"]) == 0
    assert "NOT THOSE OF pint" in " ".join(capsys.readouterr().out.split())


def test_an_extra_that_is_not_there_says_how_to_get_it(monkeypatch, capsys):
    real = importlib.metadata.version

    def version(name):
        if name == "pyarrow":
            raise importlib.metadata.PackageNotFoundError(name)
        return real(name)

    monkeypatch.setattr(about.importlib.metadata, "version", version)
    assert main(["--version", "--verbose"]) == 0
    out = capsys.readouterr().out
    assert "lacks pyarrow" in out
    assert "pip install 'shelter-anchorage[fleet]'" in out


def test_a_folder_that_cannot_be_written_to_is_said(tmp_path, monkeypatch, capsys):
    monkeypatch.setenv("ANCHORAGE_STATE", str(tmp_path / "not" / "yet"))
    monkeypatch.setattr(about.os, "access", lambda path, _: path != tmp_path)
    assert main(["--version", "--verbose"]) == 0
    out = capsys.readouterr().out
    assert f"{tmp_path / 'not' / 'yet' / 'anchorage'}: " in out
    assert "CANNOT BE WRITTEN TO" in out
    assert list(tmp_path.iterdir()) == [], "nothing is written to find out"


# Locks


@pytest.fixture
def one_byte(monkeypatch):
    """Windows: no ``fcntl``, and a byte that one handle at a time can lock."""
    held: list[int] = []

    def locking(handle, how, size):
        assert (how, size) == (2, 1)
        if held:
            raise OSError(36, "Resource deadlock avoided")
        held.append(handle)

    monkeypatch.setitem(sys.modules, "fcntl", None)
    monkeypatch.setitem(sys.modules, "msvcrt", types.SimpleNamespace(locking=locking, LK_NBLCK=2))
    return held


def test_a_second_window_gets_the_second_place_on_windows_too(one_byte, tmp_path):
    first = owner.take(tmp_path / ".a.toml.journal")
    assert first.number == 1
    assert first.owner
    assert machine.lock(99) is False
    assert len(one_byte) == 1
    first.leave()


def test_where_nothing_can_be_locked_nobody_is_said_to_be_the_first(monkeypatch, tmp_path):
    monkeypatch.setitem(sys.modules, "fcntl", None)
    monkeypatch.setitem(sys.modules, "msvcrt", None)
    assert owner.take(tmp_path / ".a.toml.journal").number == 0


@pytest.mark.skipif(sys.platform == "win32", reason="flock")
def test_a_lock_is_held_until_its_file_is_closed(tmp_path):
    handles = [os.open(tmp_path / "a", os.O_RDWR | os.O_CREAT) for _ in range(2)]
    assert [machine.lock(h) for h in handles] == [True, False]
    os.close(handles[0])
    assert machine.lock(handles[1])
    os.close(handles[1])


# Zones and names


@pytest.mark.parametrize(
    ("system", "link", "zone"),
    [
        ("linux", "/usr/share/zoneinfo/America/Chicago", "America/Chicago"), ("darwin", "/var/db/timezone/zoneinfo/America/Chicago", "America/Chicago"),
        ("linux", "/etc/localtime", ""), ("linux", "/usr/share/zoneinfo/No/Where", ""), ("win32", "/usr/share/zoneinfo/America/Chicago", ""),
    ],
)  # fmt: skip
def test_the_zone_of_the_machine_is_told_where_it_has_a_name(system, link, zone, monkeypatch):
    monkeypatch.delenv("TZ", raising=False)
    monkeypatch.setattr(machine.sys, "platform", system)
    monkeypatch.setattr(machine.os.path, "realpath", lambda _: link)
    assert machine.zone() == zone
    monkeypatch.setenv("TZ", ":Europe/Berlin")
    assert machine.zone() == "Europe/Berlin"


@pytest.mark.parametrize(
    ("system", "release", "name"),
    [
        ("linux", "6.1", "Linux 6.1 x"),
        ("darwin", "24.0", "macOS 15.1 x"),
        ("win32", "11", "Windows 11 x"),
        ("freebsd14", "14", "freebsd14 14 x"),
    ],
)
def test_the_system_is_called_what_people_call_it(system, release, name, monkeypatch):
    monkeypatch.setattr(machine.sys, "platform", system)
    monkeypatch.setattr(machine.platform, "release", lambda: release)
    monkeypatch.setattr(machine.platform, "machine", lambda: "x")
    monkeypatch.setattr(machine.platform, "mac_ver", lambda: ("15.1", ("", "", ""), ""))
    assert machine.called() == name


@pytest.mark.parametrize(
    ("module", "base"),
    [
        ("unix", ".local/state/anchorage"),
        ("macos", "Library/Application Support/anchorage"),
        ("windows", "anchorage"),
    ],
)
def test_folders_are_where_each_system_keeps_such_things(module, base, monkeypatch, tmp_path):
    """The library has a module a system; the program asks it by one name."""
    import platformdirs

    found = importlib.import_module(f"platformdirs.{module}")
    kind = {"unix": "Unix", "macos": "MacOS", "windows": "Windows"}[module]
    for name in ("ANCHORAGE_STATE", "XDG_STATE_HOME"):
        monkeypatch.delenv(name, raising=False)
    monkeypatch.setenv("HOME", str(tmp_path))
    monkeypatch.setattr(platformdirs, "PlatformDirs", getattr(found, kind))
    if module == "windows":
        monkeypatch.setattr(found, "get_win_folder", lambda _: str(tmp_path))
    assert folders.state() == tmp_path / base


def test_only_the_modules_for_it_do_what_differs_between_systems():
    """Locks, streams and the name of the system: nobody else asks which system this is."""
    root = about.Path(about.__file__).parents[2]
    there = {
        p.relative_to(root).as_posix()
        for part in ("anchorage", "tui")
        for p in (root / part).rglob("*.py")
        if any(
            word in p.read_text(encoding="utf-8")
            for word in ("sys.platform", "os.name", "fcntl", "msvcrt", "os.uname")
        )
    }
    assert there == {"anchorage/core/console.py", "anchorage/core/machine.py"}
