"""The demos that ship: they say what they are there to show, and every figure in them is fully specified."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from anchorage.cli.entry import main
from anchorage.core.told import in_words
from anchorage.demo import NAMES, demo_text
from anchorage.deployment.reader import read_text
from anchorage.judging.plan import make_plan
from anchorage.judging.result import Plan


def plan(name: str) -> Plan:
    return make_plan(read_text(demo_text(name)))


def test_asphalt_is_sized_and_go_with_what_was_brought() -> None:
    p = plan("asphalt")
    assert p.anchorage.sized
    assert p.verdict == "go"
    assert {v for k, v in p.subjects.items() if k != "set up"} == {"go"}
    assert p.subjects["set up"] == "no-go", "the bare shell does not stand in the mean wind of this gust"
    assert p.reasons == []
    assert [s.short for s in p.stock] == [0]
    assert 40 <= p.anchorage.total.units <= 120, "a count that a crew can place"
    assert max(x.units for x in p.anchorage.points) <= 20


def test_clay_is_as_built_short_and_no_go_for_its_stakes() -> None:
    p = plan("clay")
    assert not p.anchorage.sized
    assert p.verdict == "no-go"
    assert p.limit.governed_by.startswith("stake")
    assert p.limit.gust_m_s is not None
    assert 10 < p.limit.gust_m_s < p.wind.gust_m_s
    need = next(a.total for a in p.alternatives if a.subject == p.subject)
    assert need is not None
    assert need > p.stock[0].brought > p.anchorage.total.stakes
    assert all(c.ok for c in p.checks if c.name == "rating")


@pytest.mark.parametrize("name", NAMES)
def test_nothing_was_left_to_be_assumed_that_a_team_would_know(name: str) -> None:
    p = plan(name)
    assert not [a for a in in_words(p.assumptions) if "not given" in a.lower()]
    assert not [a for a in in_words(p.assumptions) if a.startswith("Not said")]
    assert "invented" in p.name


@pytest.mark.parametrize("name", NAMES)
def test_a_copy_is_the_demo_and_can_be_judged(name: str, tmp_path: Path, capsys: Any) -> None:
    path = tmp_path / "mine.toml"
    assert main(["demo", name, "--copy", str(path)]) == 0
    assert path.read_text(encoding="utf-8") == demo_text(name)
    capsys.readouterr()
    code = main(["check", str(path)])
    mine = capsys.readouterr().out
    assert code == {"go": 0, "no-go": 1}[plan(name).verdict]
    main(["demo", name])
    assert mine in capsys.readouterr().out


def test_copy_without_a_name_is_the_one_to_be_sized(tmp_path: Path, capsys: Any) -> None:
    path = tmp_path / "mine.toml"
    assert main(["demo", "--copy", str(path)]) == 0
    assert str(path) in capsys.readouterr().out
    assert path.read_text(encoding="utf-8") == demo_text("asphalt")
