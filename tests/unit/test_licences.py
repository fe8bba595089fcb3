"""What is shipped is listed with its licence, and the licence's text is in the package."""

import json
import tomllib
from pathlib import Path

import anchorage
from anchorage.cli.entry import main
from anchorage.cli.register import SHIPPED

HERE = Path(anchorage.__file__).parent
PROJECT = tomllib.loads((HERE.parent / "pyproject.toml").read_text(encoding="utf-8"))["project"]


def test_each_thing_shipped_has_its_licence_text_in_the_package(capsys):
    assert main(["sources", "--licences", "--json"]) == 0
    listed = json.loads(capsys.readouterr().out)["shipped"]
    assert listed[0]["licence"] == PROJECT["license"] == "Apache-2.0"
    assert [f"anchorage/{text}" for _, _, text in SHIPPED] == PROJECT["license-files"]
    for row in listed:
        assert Path(row["text"]).is_file(), row
    assert "Version 2.0, January 2004" in Path(listed[0]["text"]).read_text(encoding="utf-8")


def test_a_folder_of_somebody_elses_work_holds_its_licence():
    """Fonts are the only files of others: every folder with a binary file has a licence beside it that is listed."""
    of_others = {p.parent for p in HERE.rglob("*") if p.suffix in (".ttf", ".otf", ".woff", ".woff2", ".png")}
    assert of_others == {(HERE / text).parent for _, _, text in SHIPPED[1:]}


def test_every_dependency_is_listed_once_with_a_licence(capsys):
    assert main(["sources", "--licences", "--json"]) == 0
    needed = json.loads(capsys.readouterr().out)["needed"]
    names = [n["name"] for n in needed]
    assert {"numpy", "pint", "pydantic", "textual", "typst"} <= set(names)
    assert len(set(names)) == len(names)
    assert all(n["licence"] for n in needed if n["version"]), needed
