"""What is shipped: wheel and sdist carry the tables, the unit definitions and the demos, and the repository keeps its shape."""

import subprocess
import sys
import tarfile
import zipfile
from pathlib import Path

import pytest
from hatchling.builders.sdist import SdistBuilder
from hatchling.builders.wheel import WheelBuilder

from anchorage.core import tables

ROOT = Path(__file__).parents[2]
TOP = {"README.md", "DEVELOPERS.md", "pyproject.toml", "anchorage", "tui", "tests", "tables"}


def contents(folder, pattern="*"):
    """Files below a folder with their bytes, without what Python and tools leave behind."""
    files = (p for p in folder.rglob(pattern) if p.is_file() and "__pycache__" not in p.parts)
    return {p.relative_to(folder).as_posix(): p.read_bytes() for p in files if not p.name.startswith(".")}


@pytest.fixture(scope="module")
def wheel(tmp_path_factory):
    """The wheel, unpacked."""
    folder = tmp_path_factory.mktemp("wheel")
    (built,) = WheelBuilder(str(ROOT)).build(directory=str(folder), versions=["standard"])
    with zipfile.ZipFile(built) as z:
        z.extractall(folder / "in")  # noqa: S202 - built here
    return folder / "in"


@pytest.fixture(scope="module")
def sdist(tmp_path_factory):
    """The source archive, unpacked."""
    folder = tmp_path_factory.mktemp("sdist")
    (built,) = SdistBuilder(str(ROOT)).build(directory=str(folder), versions=["standard"])
    with tarfile.open(built) as t:
        t.extractall(folder / "in", filter="data")
    (top,) = (folder / "in").iterdir()
    return top


def test_the_top_of_the_repository_is_what_it_was_agreed_to_be():
    assert {p.name for p in ROOT.iterdir() if not p.name.startswith(".")} == TOP


def test_a_wheel_carries_the_tables_inside_the_package(wheel):
    shipped = contents(wheel / "anchorage" / "_tables")
    assert shipped == contents(ROOT / "tables")
    assert {"INDEX.toml", "friction.toml", "margins.toml"} <= shipped.keys()
    assert all(name.endswith(".toml") for name in shipped)
    assert tables.tables_dir(wheel / "anchorage") == wheel / "anchorage" / "_tables"


def test_a_wheel_carries_all_of_the_package_and_nothing_else(wheel):
    shipped = {n: b for n, b in contents(wheel / "anchorage").items() if not n.startswith("_tables/")}
    assert shipped == contents(ROOT / "anchorage")
    assert contents(wheel / "tui") == contents(ROOT / "tui")
    assert {"core/units.txt", "py.typed"} <= shipped.keys()
    assert [n for n in shipped if n.startswith("demo/") and n.endswith(".toml")]
    names = {p.name for p in wheel.iterdir()}
    assert {n for n in names if not n.endswith(".dist-info")} == {"anchorage", "tui"}


def test_a_wheel_has_the_command(wheel):
    (info,) = wheel.glob("*.dist-info")
    assert info.name.startswith("shelter_anchorage-")
    assert "anchorage = anchorage.cli.entry:main" in (info / "entry_points.txt").read_text()


def test_a_wheel_runs_by_itself(wheel):
    """From its own folder, with nothing of the repository in sight."""
    code = "import anchorage.core.tables as t; t.load_all(); print(t.tables_dir())"
    done = subprocess.run(
        [sys.executable, "-c", code], cwd=wheel, capture_output=True, text=True, check=False
    )
    assert done.returncode == 0, done.stderr
    assert Path(done.stdout.strip()) == wheel / "anchorage" / "_tables"
    done = subprocess.run(
        [sys.executable, "-m", "anchorage", "demo"], cwd=wheel, capture_output=True, text=True, check=False
    )
    assert done.returncode == 0, done.stderr
    assert "Traceback" not in done.stderr


def test_an_sdist_carries_what_a_wheel_is_built_from_and_the_tests(sdist):
    assert contents(sdist / "tables") == contents(ROOT / "tables")
    assert contents(sdist / "anchorage") == contents(ROOT / "anchorage")
    assert contents(sdist / "tui") == contents(ROOT / "tui")
    assert contents(sdist / "tests", "*.py") == contents(ROOT / "tests", "*.py")
    assert {p.name for p in sdist.iterdir() if not p.name.startswith(".")} == TOP | {"PKG-INFO"}


def test_an_sdist_builds_the_same_wheel(sdist, wheel, tmp_path):
    (built,) = WheelBuilder(str(sdist)).build(directory=str(tmp_path), versions=["standard"])
    with zipfile.ZipFile(built) as z:
        z.extractall(tmp_path / "in")  # noqa: S202 - built here
    assert contents(tmp_path / "in" / "anchorage") == contents(wheel / "anchorage")
