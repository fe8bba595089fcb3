"""Held here: each module of formulas has a published value, and no list of published values is empty.

A validation file says so itself: ``PRINTED`` counts the printed values that it compares, by topic, taken from its own lists;
``VALIDATES`` names, for a module, a test with a published value of it and the import that the test reaches it through.
"""

import ast
import importlib.util
from pathlib import Path
from types import ModuleType

import pytest

import anchorage

HERE = Path(__file__).parent
PACKAGE = Path(anchorage.__file__).parent
FILES = sorted(p.name for p in HERE.glob("test_*.py") if p.name != Path(__file__).name)
FLOOR = {  # printed values that these files compare at least; oracles alone have none
    "test_air_density.py": 6,
    "test_ballast_block.py": 8,
    "test_broms.py": 10,
    "test_carport.py": 14,
    "test_coefficients.py": 100,
    "test_en1991_pressure.py": 15,
    "test_en1991_zones.py": 100,
    "test_forms_coefficients.py": 30,
    "test_free_roofs.py": 150,
    "test_holdfast_deadman.py": 30,
    "test_kz.py": 190,
    "test_snow_codes.py": 30,
    "test_snow_measured.py": 20,
    "test_speed_conversion.py": 90,
    "test_straps_pynite.py": 3,
    "test_topography.py": 40,
    "test_velocity_pressure.py": 10,
    "test_whole_shelter_asce.py": 10,
}


def _modules() -> set[str]:
    found = (PACKAGE / "formulas").glob("*.py")
    return {
        p.relative_to(PACKAGE).with_suffix("").as_posix()
        for p in found
        if p.stem not in ("__init__", "working", "expression", "registry")  # what formulas are made of
    }


def _loaded(file: str) -> ModuleType:
    spec = importlib.util.spec_from_file_location(f"validation_{Path(file).stem}", HERE / file)
    assert spec is not None
    assert spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


def _claims() -> list[tuple[str, str, str, str]]:
    """(module, file, test, import) of every VALIDATES, read without running the files."""
    found = []
    for file in FILES:
        for node in ast.parse((HERE / file).read_text(encoding="utf-8")).body:
            if isinstance(node, ast.Assign) and ast.unparse(node.targets[0]) == "VALIDATES":
                claims = ast.literal_eval(node.value)
                found += [(module, file, test, through) for module, (test, through) in claims.items()]
    return found


def test_every_module_of_formulas_has_a_published_value() -> None:
    assert _modules() - {module for module, *_ in _claims()} == set()


@pytest.mark.parametrize(("module", "file", "name", "through"), _claims())
def test_the_named_test_is_there_and_reaches_the_module(
    module: str, file: str, name: str, through: str
) -> None:
    assert module in _modules()
    tree = ast.parse((HERE / file).read_text(encoding="utf-8"))
    tests = [n for n in tree.body if isinstance(n, ast.FunctionDef) and n.name == name]
    assert len(tests) == 1
    assert any(isinstance(n, ast.Assert) for n in ast.walk(tests[0]))
    imported = {f"{n.module}.{a.name}" for n in tree.body if isinstance(n, ast.ImportFrom) for a in n.names}
    assert through in imported


@pytest.mark.parametrize("file", FILES)
def test_no_list_of_published_values_is_empty(file: str) -> None:
    printed: dict[str, int] = getattr(_loaded(file), "PRINTED", {})
    assert all(count > 0 for count in printed.values())
    assert sum(printed.values()) >= FLOOR.get(file, 0)


def test_at_least_twenty_published_values_are_compared() -> None:
    assert set(FLOOR) <= set(FILES)
    assert sum(sum(getattr(_loaded(f), "PRINTED", {}).values()) for f in FLOOR) >= 20
