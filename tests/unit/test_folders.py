"""Where the program keeps what is its own: by the rules of each system, as each of them publishes them."""

from pathlib import Path

import platformdirs
import pytest
from platformdirs.macos import MacOS
from platformdirs.unix import Unix

from anchorage.core import folders

VARIABLES = ("ANCHORAGE_STATE", "ANCHORAGE_CACHE", "XDG_STATE_HOME", "XDG_CACHE_HOME")


@pytest.fixture(autouse=True)
def home(monkeypatch, tmp_path):
    for name in VARIABLES:
        monkeypatch.delenv(name, raising=False)
    monkeypatch.setenv("HOME", str(tmp_path))
    return tmp_path


SYSTEMS = {
    # XDG Base Directory Specification 0.8: state and cache where the variables are not set
    "unix": (Unix, ".local/state/anchorage", ".cache/anchorage"),
    # File System Programming Guide of that system, "The Library Directory Stores App-Specific Files"
    "mac": (MacOS, "Library/Application Support/anchorage", "Library/Caches/anchorage"),
}


@pytest.mark.parametrize("system", SYSTEMS)
def test_state_and_cache_stand_where_the_system_keeps_such_things(system, home, monkeypatch):
    kind, state, cache = SYSTEMS[system]
    monkeypatch.setattr(platformdirs, "PlatformDirs", kind)
    assert folders.state() == home / state
    assert folders.cache() == home / cache


def test_what_the_user_names_goes_before(monkeypatch):
    monkeypatch.setattr(platformdirs, "PlatformDirs", Unix)
    monkeypatch.setenv("XDG_STATE_HOME", "/a")
    monkeypatch.setenv("XDG_CACHE_HOME", "/b")
    assert (folders.state(), folders.cache()) == (Path("/a/anchorage"), Path("/b/anchorage"))
    monkeypatch.setenv("ANCHORAGE_STATE", "/c")
    monkeypatch.setenv("ANCHORAGE_CACHE", "/d")
    assert (folders.state(), folders.cache()) == (Path("/c/anchorage"), Path("/d/anchorage"))


def test_asking_makes_nothing(home):
    folders.state()
    folders.cache()
    assert not list(home.iterdir())
