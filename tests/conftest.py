"""Hypothesis profiles: ``ci`` repeats itself run after run; ``night`` looks further and keeps what it finds.

``python -m pytest tests/properties --hypothesis-profile=night``
"""

import contextlib
import gc
import importlib
import os
import sys
import tempfile
import warnings
from pathlib import Path

import pytest
from hypothesis import HealthCheck, settings

# what the interface remembers (recent files, journals) never goes to the place of whoever runs the tests
os.environ["ANCHORAGE_STATE"] = tempfile.mkdtemp(prefix="anchorage-tests-")
# nor does the language of their machine change what is read
os.environ["LC_ALL"] = "C.UTF-8"

if "ANCHORAGE_MUTANT" not in os.environ:
    # what is compiled is kept, whatever the shell says: else each worker and each command that a test starts compiles all anew
    os.environ.pop("PYTHONDONTWRITEBYTECODE", None)
    sys.dont_write_bytecode = False

# what is imported and collected is not looked through for waste; later it is, and seldom: a test makes little
gc.disable()
gc.set_threshold(20_000, 20, 20)

SLOW = [HealthCheck.too_slow, HealthCheck.filter_too_much]
settings.register_profile("ci", derandomize=True, deadline=None, max_examples=40, suppress_health_check=SLOW)
settings.register_profile(
    "night", derandomize=False, deadline=None, max_examples=4000, print_blob=True, suppress_health_check=SLOW
)
settings.load_profile("ci")


@pytest.fixture(autouse=True)
def _language_is_put_back():
    """The interface changes the language of the program; the next test begins with the words of the first."""
    from anchorage.core import say

    with say.usually(say.ENGLISH):
        yield


@pytest.fixture
def site(tmp_path):
    """The file of a demo in a folder of its own."""
    from anchorage.demo import demo_text

    path = tmp_path / "site.toml"
    path.write_text(demo_text("asphalt"), encoding="utf-8")
    return path


@pytest.fixture
def do(capsys, site):
    """A command as it is typed beside the file: exit code, and both outputs as one line each."""
    from anchorage.cli.entry import main
    from tests.record_kit import DAY

    def call(command, *args, at="12:30"):
        when = ["--now", f"{DAY}{at}:00Z"] if command in ("log", "now", "outlook") else []
        code = main([command, str(site), *map(str, args), *when])
        out, err = capsys.readouterr()
        return code, " ".join(out.split()), " ".join(err.split())

    return call


@pytest.fixture
def log(do):
    """An entry that must be kept; what is said of it."""

    def call(*args, at="12:00"):
        code, out, err = do("log", *args, "--who", "A. Lee", at=at)
        assert code == 0, err
        return out

    return call


@pytest.fixture
def own_folder(tmp_path, monkeypatch):
    """What the interface remembers, and where it stands."""
    monkeypatch.setenv("ANCHORAGE_STATE", str(tmp_path / "state"))
    monkeypatch.chdir(tmp_path)


LONGEST = (
    "test_never_better_by_worse",
    "test_second_reckoning",
    "test_record_properties",
    "test_chance_properties",
)

WAITING = ("test_tui_", "test_screens", "test_small_terminals", "test_meter_screens")


FEW = 3
"""Files that are run in one process: to start workers takes longer than these."""


@pytest.hookimpl(optionalhook=True)
def pytest_xdist_auto_num_workers(config):
    """One worker more than there are processors, since tests of the interface wait; none for a few files."""
    named = [Path(str(a).split("::")[0]) for a in config.args]
    return 0 if len(named) <= FEW and all(p.is_file() for p in named) else (os.cpu_count() or 1) + 1


@pytest.hookimpl(trylast=True)
def pytest_configure(config):
    """A worker begins to import at its own share of the test files, so that what one has compiled the others find ready."""
    name = os.environ.get("PYTEST_XDIST_WORKER", "")
    if not name.startswith("gw"):
        return
    files = sorted(
        f
        for a in config.args
        for f in ([Path(a)] if Path(a).is_file() else Path(str(a).split("::")[0]).glob("test_*.py"))
    )
    begin = len(files) * int(name[2:]) // int(os.environ["PYTEST_XDIST_WORKER_COUNT"])
    with warnings.catch_warnings():
        warnings.simplefilter("error")
        for file in (*files[begin:], *files[:begin]):
            if str(file.parent) not in sys.path:
                sys.path.insert(0, str(file.parent))
            with contextlib.suppress(Exception):  # collecting it says what is wrong
                importlib.import_module(file.stem)


def pytest_collection_finish():
    """What was imported and collected stays to the end: the collector need not go through it again and again."""
    gc.freeze()
    gc.enable()


def pytest_collection_modifyitems(items):
    """Those that take longest begin first, spread over the workers: at the end none waits for one. Those of the interface, half of whose time
    is waiting, come to each worker at another time: while one waits the others have the processors.
    """
    n = int(os.environ.get("PYTEST_XDIST_WORKER_COUNT", "1"))
    if n == 1:
        return
    long = [i for i in items if i.path.stem in LONGEST]
    waits = [i for i in items if i.path.stem not in LONGEST and i.path.stem.startswith(WAITING)]
    rest = [i for i in items if i.path.stem not in LONGEST and not i.path.stem.startswith(WAITING)]
    each, out = -(-len(rest) // n), []
    for k in range(n):
        part = rest[k * each : (k + 1) * each]
        at = len(part) * k // n
        out += [*long[k::n], *part[:at], *waits[k::n], *part[at:]]
    items[:] = out
