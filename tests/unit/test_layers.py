"""Who may import whom, and what every registered formula owes: words, doctests, dimensions, and the tree it was read as."""

import ast
import doctest
import functools
import importlib
import math
import sys
from fnmatch import fnmatch
from graphlib import TopologicalSorter
from pathlib import Path

import numpy as np
import pint
import pytest

from anchorage.formulas.expression import evaluate
from anchorage.formulas.working import REGISTRY
from tests.trees import tree

ROOT = Path(__file__).parents[2]
FILES = {
    ".".join(p.relative_to(ROOT).with_suffix("").parts).removesuffix(".__init__"): p
    for part in ("anchorage", "tui")
    for p in sorted((ROOT / part).rglob("*.py"))
}
OPTIONAL = {
    "httpx", "icalendar", "typst", "pyarrow", "xarray", "dask", "distributed", "matplotlib", "scipy", "pynmea2", "serial",
}  # fmt: skip
"""What an extra installs: a module that needs one of these may be absent."""
ONLY_IN = {
    "pint": ("anchorage.core.units",),
    "pydantic": (
        "anchorage.core", "anchorage.deployment.models", "anchorage.deployment.reader", "anchorage.checks.outcome", "anchorage.judging.result",
        "anchorage.outlook.result", "anchorage.fleet.stock",
    ),
    "textual": ("tui",),
    "rich": ("tui",),
    "httpx": ("anchorage.outlook.live",),
    "icalendar": ("anchorage.paper.calendar",),
    "typst": ("anchorage.paper.pdf",),
    "pyarrow": ("anchorage.fleet.show",),
    "matplotlib": ("anchorage.region.picture", "anchorage.region.availability"),
    "scipy": ("anchorage.ways.arrange", "anchorage.climate.extremes", "anchorage.fleet.allot"),
    "shtab": ("anchorage.cli.entry",),
    "tomlkit": ("anchorage.deployment.edits",),
    "platformdirs": ("anchorage.core.folders",),
    "pynmea2": ("anchorage.meter.sentences",),
    "serial": ("anchorage.meter.sources",),
}  # fmt: skip
ONLY_IN |= dict.fromkeys(("xarray", "dask", "distributed", "h5py", "zarr"), ("anchorage.region",))
ONLY_IN["pydantic_core"] = ONLY_IN["pydantic"]
ROOMS = (
    "core", "demo", "shelter", "formulas", "deployment", "loads", "holding", "checks", "judging", "chance", "outlook", "ways",
    "record", "meter", "paper", "bundle", "fleet", "climate", "region", "tui", "cli", "anchorage",
)  # fmt: skip
"""The rooms from the ground up: each imports only from those before it, deferred imports included."""
PURE = {"formulas": {"core"}}
"""Physics takes every coefficient as an argument: no table, no file, no model; numpy only."""
FORMULAS_NEED = {"anchorage.core.closed", "anchorage.core.errors", "anchorage.core.say"}
COMPUTING = {"checks", "loads", "holding", "formulas", "shelter"}
SHOWING = ("paper", "cli", "tui")
CALLS_FORMULAS = ("anchorage.cli.formula",)
"""The command that calls a formula by its name."""


def room(module):
    """The room of a module; the face of the package, and what starts it, are the roof."""
    parts = module.split(".")
    if parts[0] == "tui":
        return "tui"
    return parts[1] if len(parts) > 1 and parts[1] != "__main__" else "anchorage"


def within(module, parts):
    """Whether a module is one of some parts, or inside one; ``name_*`` for what a module was divided into."""
    return any(module == p or module.startswith(f"{p}.") or fnmatch(module, p) for p in parts)


@functools.cache
def imports(module, *, deferred):
    """Names imported, ``from a import b`` as a.b where that is a module; deferred: inside functions too."""
    todo = list(tree(FILES[module]).body)
    found = set()
    while todo:
        node = todo.pop()
        if isinstance(node, ast.Import):
            found |= {a.name for a in node.names}
        elif isinstance(node, ast.ImportFrom):
            assert node.level == 0, f"{module}: imports by full name"
            found |= {
                n if (n := f"{node.module}.{a.name}") in FILES else str(node.module) for a in node.names
            }
        elif isinstance(node, ast.If) and "TYPE_CHECKING" in ast.dump(node.test):
            todo += node.orelse
        elif deferred or not isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef):
            todo += ast.iter_child_nodes(node)
    return found


@pytest.mark.parametrize("module", FILES)
def test_a_module_imports_only_what_its_layer_may(module):
    for name in imports(module, deferred=True):
        top = name.split(".")[0]
        if top in ONLY_IN:
            assert within(module, ONLY_IN[top]), f"{module} imports {name}"
        if room(module) in PURE:
            assert top in {"anchorage", "numpy"} | sys.stdlib_module_names, f"{module} imports {name}"
            assert room(name) == room(module) or name in FORMULAS_NEED or top != "anchorage", (
                f"{module}: {name}"
            )
        if room(module) in SHOWING and module not in CALLS_FORMULAS:
            assert top != "numpy", f"{module} imports {name}: it shows, and does not compute"
        assert top in {"anchorage", "tui", "numpy"} | ONLY_IN.keys() | sys.stdlib_module_names, (
            f"{module} imports {name}"
        )


@functools.cache
def defined(module):
    """What a module itself defines, not what it took from another."""
    nodes = list(tree(FILES[module]).body)
    for n in nodes:
        nodes += n.body + n.orelse if isinstance(n, ast.If) else []
    found = {n.name for n in nodes if isinstance(n, ast.FunctionDef | ast.AsyncFunctionDef | ast.ClassDef)}
    assigned = (
        x for n in nodes if isinstance(n, ast.Assign | ast.AnnAssign | ast.AugAssign) for x in ast.walk(n)
    )
    return found | {x.id for x in assigned if isinstance(x, ast.Name) and isinstance(x.ctx, ast.Store)}


def test_a_name_is_taken_from_where_it_stands():
    """No module hands on a name of another: who looks for it finds one place. The face of the package may."""
    taken = {
        (node.module, a.name)
        for path in FILES.values()
        for node in ast.walk(tree(path))
        if isinstance(node, ast.ImportFrom) and node.module in FILES and node.module != "anchorage"
        for a in node.names
        if f"{node.module}.{a.name}" not in FILES
    }
    assert {(m, n) for m, n in taken if n not in defined(m)} == set()


def arrows():
    """(from, to) of every import of a module of ours from another room, deferred or not."""
    return {(m, n) for m in FILES for n in imports(m, deferred=True) if n in FILES and room(n) != room(m)}


def test_the_rooms_are_those_of_the_list():
    assert {room(m) for m in FILES} == set(ROOMS)


def test_nothing_climbs_back_up():
    rank = {r: i for i, r in enumerate(ROOMS)}
    up = {(m, n) for m, n in arrows() if rank[room(n)] > rank[room(m)]}
    assert not up


def test_no_module_imports_itself_by_a_detour():
    graph = {m: {n for n in imports(m, deferred=True) if n in FILES and n != m} for m in FILES}
    list(TopologicalSorter(graph).static_order())


# Formulas


def load(module):
    try:
        return importlib.import_module(module)
    except ImportError as e:
        if e.name in OPTIONAL:
            return None
        raise


LOADED = {m: load(m) for m in FILES if not m.endswith("__main__") and m.startswith("anchorage")}
FORMULAS = dict(sorted(REGISTRY.items()))
"""In the order of their names: which module was imported first is another in each process of tests."""
EVERY = pytest.mark.parametrize("name", FORMULAS)


def test_the_formulas_of_every_kind_are_registered():
    assert {f.fn.__module__.split(".")[1] for f in FORMULAS.values()} == {"formulas"}
    assert len(FORMULAS) > 40


@pytest.mark.parametrize("module", [m for m, loaded in LOADED.items() if loaded is not None])
def test_the_examples_in_docstrings_are_right(module):
    with np.printoptions(legacy="1.25"):  # so that a number of numpy is written as a number
        assert doctest.testmod(LOADED[module]).failed == 0


@EVERY
def test_a_formula_says_in_words_what_units_it_takes_and_gives(name):
    """A docstring writes J/(kg*K) as J/(kg K), and degrees as deg or by the sign."""
    f = FORMULAS[name]
    text = " ".join((f.fn.__doc__ or "").split())
    assert f.source
    for unit in {u for _, u in f.arguments.values()} | {f.unit}:
        spelled = {"deg": ("deg", "°", "degrees"), "1": ("1", "ratio", "share", "factor", "count")}
        words = spelled.get(unit, (unit.replace("*", " ").replace("·", " "), unit))
        assert any(w in text for w in words), f"{unit} is not said"


UREG = pint.UnitRegistry()


def values(f, shape, rng):
    """Random numbers inside the ranges that the formula declares."""
    out = {}
    for argument in f.arguments:
        low, high = f.valid.get(argument, (None, None))
        low = max(low if low is not None else 0.2, -1e6)
        high = high if high is not None else max(2.0, 3 * low + 1)
        low += 1e-3 * (high - low)
        out[argument] = rng.uniform(low, high, shape)
    return out


@EVERY
def test_the_dimensions_of_a_formula_are_as_declared(name):
    """Called with quantities, by the plain function: what does not add up is refused by pint."""
    f = FORMULAS[name]
    given = {
        n: UREG.Quantity(v, f.arguments[n][1] if f.arguments[n][1] != "1" else "")
        for n, v in values(f, (3,), np.random.default_rng(1)).items()
    }
    with np.errstate(all="ignore"):
        result = f.fn(**given)
    wanted = UREG.Quantity(1.0, f.unit if f.unit != "1" else "")
    got = result.dimensionality if hasattr(result, "dimensionality") else UREG.Quantity(1.0).dimensionality
    assert got == wanted.dimensionality


@EVERY
def test_the_tree_of_a_formula_gives_the_bits_of_its_function(name):
    f = FORMULAS[name]
    for seed, shape in enumerate([(4,), (5, 4), (2, 5, 1)]):
        given = values(f, shape, np.random.default_rng(seed))
        with np.errstate(all="ignore"):
            direct, again = f.fn(**given), evaluate(f.tree, given)
        assert np.asarray(direct).tobytes() == np.asarray(again).tobytes()
        assert np.shape(direct)[:1] == shape[:1] or math.prod(np.shape(direct)) >= 1
