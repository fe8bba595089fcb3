"""formula, sources, schema and new: the commands that judge nothing."""

from __future__ import annotations

import builtins
import importlib
import itertools
import json
import pkgutil
import sys
import tomllib
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from anchorage import holding, loads
from anchorage.cli import newfile
from anchorage.cli.entry import main
from anchorage.core import tables
from anchorage.demo import NAMES, demo_text
from anchorage.deployment.reader import read_text
from anchorage.formulas.working import REGISTRY


def told(capsys: Any, *arguments: str, code: int = 0) -> str:
    """What a command prints, where its code is that."""
    assert main(arguments) == code
    caught = capsys.readouterr()
    return str(caught.err if code else caught.out)


# formula


def test_every_formula_is_listed_with_symbol_unit_arguments_and_source(capsys: Any) -> None:
    found = json.loads(told(capsys, "formula", "--json"))["formulas"]
    for package in (loads, holding):
        for module in pkgutil.iter_modules(package.__path__):
            importlib.import_module(f"{package.__name__}.{module.name}")
    assert {f["name"] for f in found} == set(REGISTRY)
    text = told(capsys, "formula")
    for f in found:
        assert f"\n{f['name']}\n" in text
        assert f["symbol"]
        assert f["source"]
        assert [a["name"] for a in f["arguments"]] == list(REGISTRY[f["name"]].arguments)
        for a in f["arguments"]:
            assert f"    {a['name']}: {a['symbol']} [{'no unit' if a['unit'] == '1' else a['unit']}]" in text


def test_a_formula_is_worked_out_from_plain_and_written_units(capsys: Any) -> None:
    plain = told(capsys, "formula", "pressure_physics", "density=1.25", "profile=1", "speed=20.1168")
    written = told(capsys, "formula", "pressure_physics", "profile=1", "density=1.25 kg/m3", "speed=45 mph")
    assert plain == written == "q = 0.5·ρ·K·V^2 = 0.5·1.25·1·20.117^2 = 252.93 Pa   [Bernoulli, ½ρV²]\n"
    data = json.loads(
        told(capsys, "formula", "pressure_physics", "density=1.25", "profile=1", "speed=45 mph", "--json")
    )
    assert data["result"] == pytest.approx(0.5 * 1.25 * 20.1168**2)
    assert data["values"] == {"density": 1.25, "profile": 1.0, "speed": pytest.approx(20.1168)}


def test_every_fault_of_the_arguments_is_told_at_once(capsys: Any) -> None:
    err = told(capsys, "formula", "pressure_physics", "densty=1", "speed=45 m", "profile", "speed=3", code=2)
    lines = err.splitlines()
    assert len(lines) == 6
    assert any("densty is no argument of it; they are density, profile, speed" in line for line in lines)
    assert any("m is a unit of length" in line for line in lines)
    assert any("write ARGUMENT=VALUE" in line for line in lines)
    assert any("speed is given twice" in line for line in lines)
    assert any("density is not given: ρ in kg/m^3" in line for line in lines)
    assert any("profile is not given: K in no unit" in line for line in lines)


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        (["passive_coefficient", "angle=60"], "outside the range"),
        (["passive_coefficient", "angle=nan"], "finite number"),
        (["limit", "capacity=1", "demand=0"], "no finite result"),
        (["ballast_weight", "units=3 kg", "mass=18 kg", "gravity=9.8"], "a plain number in no unit"),
        (["presure_physics"], "did you mean pressure_physics"),
        (["zzz"], "lists them"),
    ],
)  # fmt: skip
def test_a_formula_refuses_in_a_line(arguments: list[str], said: str, capsys: Any) -> None:
    err = told(capsys, "formula", *arguments, code=2)
    assert said in err
    assert len(err.splitlines()) == 1


def test_every_formula_can_be_called_alone_with_its_own_line_or_a_reason(capsys: Any) -> None:
    told(capsys, "formula")
    worked = 0
    for name, f in list(REGISTRY.items()):
        code = main(["formula", name, *(f"{a}=0.5" for a in f.arguments)])
        caught = capsys.readouterr()
        worked += code == 0
        if code == 0:
            assert caught.out.startswith(f"{f.symbol} = ")
        else:
            assert code == 2
            assert "fault of the program" not in caught.err
            assert caught.err.startswith(f"{name}: ")
    assert worked > len(REGISTRY) // 2


# sources


def test_sources_have_every_row_every_source_and_every_sentence(capsys: Any) -> None:
    register = tables.register()
    found = json.loads(told(capsys, "sources", "--json"))
    assert {(t["name"], r["key"], r["value"], r["how"]) for t in found["tables"] for r in t["rows"]} == {
        (r.table, r.key, r.value, r.how) for r in register.rows
    }
    assert {(s["file"], s["id"]) for s in found["sources"]} == {(f, s.id) for f, s in register.sources}
    assert {t["key"] for t in found["texts"]} == {t.key for t in register.texts}
    assert {t["name"] for t in found["tables"] if not t["implemented"]} == {
        t.name for t in register.tables if not t.implemented
    }
    lines = told(capsys, "sources").splitlines()
    assert max(map(len, lines)) <= 72
    keys = [line.strip().split(" = ")[0] for line in lines if line.startswith("    ") and " = " in line]
    assert [k for k in keys if k in {r.key for r in register.rows}] == [r.key for r in register.rows]
    assert (
        sum(
            "(kept for reference, nothing computes" in f"{a} {b.strip()}"
            for a, b in itertools.pairwise(lines)
        )
        > 0
    )


def test_one_table_is_shown_with_its_notes_and_only_its_sources(capsys: Any) -> None:
    text = " ".join(told(capsys, "sources", "ballast-mass").split())
    assert "sandbag = 18.1 (13.6..18.1) kg" in text
    assert "[common practice]" in text
    assert "weigh some of your own, dry" in text
    assert "[memory]" in text
    text = " ".join(told(capsys, "sources", "meter-means").split())
    assert ", part I, 5.1 definitions]" in text
    assert "wmo-8: " in text
    assert "met-engine" not in text


def test_a_table_that_is_not_there(capsys: Any) -> None:
    assert "one of gas-constant" in told(capsys, "sources", "luck", code=2)


# schema


def test_the_schema_knows_every_key_of_the_demos(capsys: Any) -> None:
    schema = json.loads(told(capsys, "schema"))
    assert schema["$schema"].startswith("https://json-schema.org/")

    def properties(node: dict[str, Any]) -> dict[str, Any]:
        if "$ref" in node:
            node = schema["$defs"][node["$ref"].rsplit("/", 1)[1]]
        inside = [n for key in ("anyOf", "allOf") for n in node.get(key, [])]
        return node.get("properties", {}) | {k: v for n in inside for k, v in properties(n).items()}

    def walk(data: dict[str, Any], node: dict[str, Any], path: str) -> int:
        known = properties(node)
        for key, value in data.items():
            if path != "stock":
                assert key in known, f"{path}.{key}"
            if isinstance(value, dict):
                walk(value, known.get(key, {}), key)
        return len(known)

    for name in NAMES:
        assert walk(tomllib.loads(demo_text(name)), schema, "") > 8
    assert "from" in properties(properties(schema)["wind"])
    assert properties(properties(schema)["shelter"])["length"]["type"] == "string"


# new


def test_the_example_file_loads_and_is_never_a_go(tmp_path: Path, capsys: Any) -> None:
    path = str(tmp_path / "a.toml")
    assert "anchorage check" in told(capsys, "new", path)
    assert main(["check", path]) == 1  # more bags at a point than stand on a frame point
    page = capsys.readouterr().out
    assert page.splitlines()[1].startswith("NO-GO: ")
    assert "this does not do it here" in " ".join(page.split())
    assert "rating" in page


def test_every_example_that_is_commented_out_can_be_used(tmp_path: Path) -> None:
    del tmp_path
    for kind in ("ballast", "stakes"):
        lines = newfile.render({"anchorage.kind": f'"{kind}"', "site.surface": '"clay"'}).splitlines()
        skip = ("# gust =", "# from =") if kind == "stakes" else ("# from =",)
        other = (
            ("stakes", "stake.", "utilities") if kind == "ballast" else ("sandbags", "unit", "how", "contact")
        )
        live, section = [], ""
        for line in lines:
            bare = line.removeprefix("# ")
            section = bare if bare.startswith("[") else section
            is_key = bare.startswith("[") or (" = " in bare and not line.startswith("## "))
            hidden = section == "[anchorage.stake]" and kind == "ballast"
            if is_key and not hidden and not line.startswith(skip) and not bare.startswith(other):
                live.append(bare)
        d = read_text("\n".join(live), kind)
        assert d.shelter.mass is not None
        assert d.anchorage.kind == kind
        assert d.snow.depth is not None


def test_a_file_that_is_there_is_left_alone(tmp_path: Path, capsys: Any) -> None:
    path = tmp_path / "a.toml"
    path.write_text("mine", encoding="utf-8")
    for arguments in (["new", str(path)], ["demo", "clay", "--copy", str(path)]):
        assert "--force" in told(capsys, *arguments, code=2) or "another name" in arguments
        assert path.read_text(encoding="utf-8") == "mine"
    told(capsys, "new", str(path), "--force")
    assert read_text(path.read_text(encoding="utf-8")).deployment.name == "our shelter"


def test_a_place_that_cannot_be_written(tmp_path: Path, capsys: Any) -> None:
    assert "give a file that can be written" in told(capsys, "new", str(tmp_path / "no" / "a.toml"), code=2)


def test_a_dash_prints_the_example(capsys: Any) -> None:
    assert read_text(told(capsys, "new", "-")).shelter.points_per_side == 4


class Terminal:
    """A standard input that is one."""

    def isatty(self) -> bool:
        return True


def answering(monkeypatch: Any, answers: dict[str, str | list[str]]) -> list[str]:
    """Answer by words of the question, Enter where there are none; gives the questions asked."""
    asked: list[str] = []
    left = {k: iter([v] if isinstance(v, str) else v) for k, v in answers.items()}

    def answer(question: str = "") -> str:
        asked.append(question)
        assert len(asked) < 100, question
        mine: Iterator[str] | None = next((v for k, v in left.items() if k.lower() in question.lower()), None)
        return next(mine) if mine is not None else ""

    monkeypatch.setattr(sys, "stdin", Terminal())
    monkeypatch.setattr(builtins, "input", answer)
    return asked


PLAIN: dict[str, str | list[str]] = {
    "call this": 'the "big" one \\ \x1b', "which units": "si", "roof:": "g", "length": "24 ft", "width": "5.5 m",
    "side wall": "7 ft", "ridge (": "9 ft 6 in", "mass": "", "long side": "4", "one end": "2", "shut, or": "shut",
    "straps not": "45 mph", "stand on": "asphalt", "become": "wet", "around": "town", "gust": "30 mph",
    "held by": "ballast", "which ballast": "water-barrel", "brought": "40",
}  # fmt: skip


def test_the_questions_make_a_file_that_loads(monkeypatch: Any, tmp_path: Path, capsys: Any) -> None:
    asked = answering(monkeypatch, PLAIN)
    path = tmp_path / "mine.toml"
    told(capsys, "new", str(path))
    text = path.read_text(encoding="utf-8")
    d = read_text(text)
    assert d.deployment.name == 'the "big" one \\ ?'
    assert d.deployment.show_units == "si"
    assert d.shelter.width == 5.5
    assert d.shelter.mass is None
    assert d.shelter.openings is not None
    assert d.shelter.rating.gust_unlocked == pytest.approx(20.1168)
    assert d.shelter.rating.gust_locked is None
    assert d.stock == {"water_barrels": 40}
    assert d.anchorage.unit == "water-barrel"
    assert "EXAMPLE" not in text
    assert not any("thumb" in q for q in asked), "stakes were asked about although there are none"


def test_stakes_ask_for_the_soil_and_not_for_bags(monkeypatch: Any, tmp_path: Path, capsys: Any) -> None:
    answers = PLAIN | {
        "held by": "s", "stand on": "grass", "diameter": "1 in", "deep": "30 in", "angle": "45", "thumb": "thumb-firm", "pipes": "not marked",
    }  # fmt: skip
    asked = answering(monkeypatch, answers)
    path = tmp_path / "mine.toml"
    told(capsys, "new", str(path))
    d = read_text(path.read_text(encoding="utf-8"))
    assert d.anchorage.stake is not None
    assert d.anchorage.stake.soil == "thumb-firm"
    assert d.site.utilities == "not marked"
    assert d.stock == {"stakes": 40}
    assert not any("which ballast" in q.lower() for q in asked)


def test_an_answer_that_cannot_be_read_is_asked_for_again(
    monkeypatch: Any, tmp_path: Path, capsys: Any
) -> None:
    answers = PLAIN | {
        "length": ["24", "", "24 ft"],
        "long side": ["1", "four", "4"],
        "stand on": ["lava", "asphalt"],
        "roof:": ["x", "gable"],
    }
    asked = answering(monkeypatch, answers)
    out = told(capsys, "new", str(tmp_path / "mine.toml"))
    assert sum("Length" in q for q in asked) == 3
    assert "it has no unit" in out
    assert "it is needed" in out
    assert "2 or more" in out


def test_answers_that_do_not_fit_together_are_asked_for_again(
    monkeypatch: Any, tmp_path: Path, capsys: Any
) -> None:
    answers = PLAIN | {"ridge (": ["5 ft", "9 ft"]}
    asked = answering(monkeypatch, answers)
    path = tmp_path / "mine.toml"
    out = told(capsys, "new", str(path))
    assert "may not be below the eave" in " ".join(out.split())
    assert sum("ridge (" in q for q in asked) == 2
    assert sum("Width" in q for q in asked) == 1
    assert read_text(path.read_text(encoding="utf-8")).shelter.ridge == pytest.approx(9 * 0.3048)


def test_answers_that_end_early_write_nothing(monkeypatch: Any, tmp_path: Path, capsys: Any) -> None:
    def ended(_: str = "") -> str:
        raise EOFError

    monkeypatch.setattr(sys, "stdin", Terminal())
    monkeypatch.setattr(builtins, "input", ended)
    path = tmp_path / "mine.toml"
    assert "nothing was written" in told(capsys, "new", str(path), code=2)
    assert not path.exists()


def test_no_questions_asks_none_in_a_terminal(monkeypatch: Any, tmp_path: Path, capsys: Any) -> None:
    asked = answering(monkeypatch, {})
    told(capsys, "new", str(tmp_path / "mine.toml"), "--no-questions")
    assert asked == []
