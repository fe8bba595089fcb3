"""One glossary: formulas, JSON, command line, interface and pages use its symbols, units and words."""

import ast
import re
from collections import defaultdict
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from anchorage.cli.entry import main
from anchorage.core import tables, units
from anchorage.core.words import LEVELS, VERDICTS
from anchorage.deployment import policy
from anchorage.formulas.registry import formulas
from anchorage.judging.result import Plan
from anchorage.outlook.result import Outlook
from tui import pages

ROOT = Path(__file__).parents[2]
REGISTER = tables.register()
TERMS = {t.term: t for t in REGISTER.terms}
PER_Q = {"N": "m^2", "N*m": "m^3", "Pa": "1"}
"""Unit of a symbol that ends in /q."""
ALSO = {
    ("V", "1"): "coefficient of variation in EN 1991-1-3 annex D", ("V", "N"): "pull-out of a stake, by its publication",
    ("H", "m"): "elevation above the sea; height of a hill", ("W", "m"): "run of a roof in ASCE 7's drift",
    ("B", "N"): "weight of ballast", ("G", "N"): "dead weight of a roof", ("R", "m"): "rain", ("R", "N*m"): "moment that holds",
    ("T", "K"): "temperature", ("p", "1"): "probability", ("m", "1"): "a count or a power", ("m", "m/s"): "melt",
    ("s", "m"): "slack, spacing", ("φ", "1"): "sway imperfection", ("γ", "N/m^3"): "unit weight of snow or ground",
    ("ψ", "deg"): "lean of a leg", ("U", "W/(m^2*K)"): "heat that goes through a cover", ("V/q", "m^2"): "uplift of one frame",
}  # fmt: skip
"""Symbols that a publication uses for something else: the unit tells them apart."""


def symbols() -> dict[str, set[str]]:
    """Every symbol of every formula, without what stands in brackets behind it, and the units that it has."""
    found = defaultdict(set)
    for f in formulas().values():
        for symbol, unit in [(f.symbol, f.unit), *f.arguments.values()]:
            found[re.sub(r"\(.*?\)", "", symbol).strip()].add(unit)
    return found


def test_a_symbol_of_the_glossary_has_its_unit_in_every_formula():
    of = defaultdict(set)
    for t in TERMS.values():
        if t.symbol:
            of[t.symbol].add(t.unit)
    seen, wrong = set(), []
    for symbol, found in symbols().items():
        base = symbol.removesuffix("/q")
        if base in of:
            seen.add(base)
            allowed = of[base] if base == symbol else {PER_Q.get(u, u) for u in of[base]}
            wrong += [(symbol, u) for u in found - allowed if (symbol, u) not in ALSO]
    assert wrong == []
    missing = {t.symbol for t in TERMS.values() if t.symbol} - seen
    assert missing <= {"Ws", "M", "κ"}, missing  # they stand in formulas together with others: κsWs, M/q, κbB
    assert all(s in " ".join(symbols()) for s in missing)


def test_what_is_also_called_so_is_still_there():
    found = symbols()
    assert {(s, u) for s, u in ALSO if u not in found.get(s, set())} == set()


def numbers(schema: dict[str, Any], node: dict[str, Any]) -> Iterator[str]:
    """Every key of a result that is a number."""
    if "$ref" in node:
        node = schema["$defs"][node["$ref"].rsplit("/", 1)[-1]]
    for part in [*node.get("anyOf", []), *([node["items"]] if "items" in node else [])]:
        yield from numbers(schema, part)
    for name, value in node.get("properties", {}).items():
        kinds = {value.get("type"), *(p.get("type") for p in value.get("anyOf", []))}
        if "number" in kinds:
            yield name
        yield from numbers(schema, value)


BARE = {
    "at", "now", "demand", "capacity", "high", "low", "value", "row_value",  # with their own unit beside them
    "amplifier", "friction", "gust_factor", "lean", "over_hill", "ratio", "share", "snow_share", "chance", "keep_away", "people_out", "secure",  # no unit
    "hours", "bearing", "wind_from",  # the name is the unit, or degrees true
}  # fmt: skip


@pytest.mark.parametrize("model", [Plan, Outlook])
def test_the_end_of_a_key_of_json_is_its_unit(model):
    ends = {s.suffix: s.unit for s in REGISTER.suffixes}
    schema = model.model_json_schema(by_alias=True)
    for key in set(numbers(schema, schema)) - BARE:
        assert max((e for e in ends if key.endswith(e)), key=len, default=None), key


def test_keys_of_json_that_the_glossary_names_are_there_with_its_unit():
    keys = {
        k
        for m in (Plan, Outlook)
        for k in numbers(m.model_json_schema(by_alias=True), m.model_json_schema(by_alias=True))
    }
    ends = {s.suffix: s.unit for s in REGISTER.suffixes}
    for t in TERMS.values():
        for key in t.json_keys:
            assert key in keys, (t.term, key)
            end = max((e for e in ends if key.endswith(e)), key=len, default=None)
            assert key in BARE or ends[end] == t.unit, (t.term, key)


def test_units_are_those_that_a_file_may_be_written_in():
    known = {u for k in units.KINDS.values() for u in k.units}
    for t in TERMS.values():
        for unit in filter(None, (t.unit, t.us)):
            plain = unit.replace("^", "").replace("·", "*").replace("lbf*ft", "lbf").replace("N*m", "N")
            assert unit == "1" or plain in known or unit in known, (t.term, unit)


def test_verdicts_and_levels_are_the_words_of_the_glossary_everywhere():
    assert {*VERDICTS.values(), *LEVELS.values()} <= set(TERMS)
    assert pages.LEVELS is policy.LEVELS is LEVELS


def shown() -> Iterator[tuple[str, str]]:
    """(where, text) of every string that may reach a person: in the code, not the docstrings, in tables and the README."""
    for path in sorted([*(ROOT / "anchorage").rglob("*.py"), *(ROOT / "tui").rglob("*.py")]):
        tree = ast.parse(path.read_text(encoding="utf-8"))
        loose = {
            id(n.value)
            for n in ast.walk(tree)
            if isinstance(n, ast.Expr) and isinstance(n.value, ast.Constant)
        }
        loose |= {id(n) for n in ast.walk(_words_taken(tree))}
        for node in ast.walk(tree):
            if isinstance(node, ast.Constant) and isinstance(node.value, str) and id(node) not in loose:
                yield f"{path.name}:{node.lineno}", node.value
    for t in REGISTER.texts:
        yield t.key, t.text
    for d in REGISTER.defaults:
        yield d.key, f"{d.left_out} {d.why}"
    yield "README.md", (ROOT / "README.md").read_text(encoding="utf-8")


def _words_taken(tree: ast.Module) -> ast.AST:
    """What people may type, which is taken and never shown."""
    return next(
        (
            n.value
            for n in tree.body
            if isinstance(n, ast.AnnAssign) and ast.unparse(n.target) == "ALSO" and n.value
        ),
        ast.Pass(),
    )


def test_words_that_are_not_used_are_not_used():
    unused = {w: t.term for t in TERMS.values() for w in t.unused}
    pattern = re.compile(r"\b(" + "|".join(map(re.escape, unused)) + r")s?\b", re.IGNORECASE)
    found = [
        (where, m[0], f"say: {unused[m[1].lower()]}")
        for where, text in shown()
        for m in pattern.finditer(text)
    ]
    assert found == []


def test_the_command_prints_it(capsys):
    assert main(["glossary", "guy"]) == 0
    assert capsys.readouterr().out.startswith("guy line: line that joins a loop of the shelter")
    assert main(["glossary", "no such thing"]) == 2
