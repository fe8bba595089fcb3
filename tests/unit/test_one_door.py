"""One door: what is asked is put together once; each further question (a wall opened, half built, another ground) once too."""

from __future__ import annotations

import sys
from collections import Counter
from pathlib import Path

import pytest

import anchorage
from anchorage.checks import checks, installation
from anchorage.checks.footprint import Base, Held
from anchorage.cli.entry import main
from anchorage.core import tables
from anchorage.demo import demo_text
from anchorage.deployment.models import Deployment
from anchorage.deployment.reader import read_text
from anchorage.formulas.registry import formulas
from anchorage.judging import card, weak
from anchorage.judging.explain import explain
from anchorage.judging.plan import assess
from anchorage.outlook.limits import limits_of
from anchorage.outlook.weathered import plan_for

NOW = ["--now", "2026-11-25T18:00:00Z"]
HEARD = [*NOW, "--say", "until 23:00Z gust 12 mph"]


@pytest.fixture
def asked(monkeypatch: pytest.MonkeyPatch) -> Counter[tuple[str, str]]:
    """How often each question is put together, by everybody who can: a deployment, and the uses and the figure that it is tried with."""
    found = Counter[tuple[str, str]]()
    original = installation.assemble

    def counted(d: Deployment, *more: object) -> object:
        found[d.model_dump_json(), f"{more} {tables._INSTEAD.get()}"] += 1
        return original(d, *more)  # type: ignore[arg-type]

    assert {card, weak} <= set(
        sys.modules.values()
    )  # one that a command loads later would count here for ever
    for name, module in list(sys.modules.items()):
        if name.startswith(("anchorage", "tui")) and getattr(module, "assemble", None) is original:
            monkeypatch.setattr(module, "assemble", counted)
    return found


@pytest.mark.parametrize(
    ("demo", "command", "questions"),
    [
        ("asphalt", ["sheet", "-o", "a.html"], 3), ("asphalt", ["check"], 3), ("asphalt", ["check", "--working"], 3),
        ("asphalt", ["check", "--working", "straps"], 3), ("asphalt", ["limit"], 1), ("asphalt", ["pack"], 1),
        ("asphalt", ["chance", "--samples", "1000"], 1), ("asphalt", ["sheet", "-o", "a.csv"], 1), ("clay", ["sheet", "-o", "a.html"], 2),
    ],
)  # fmt: skip
def test_a_command_puts_nothing_together_twice(
    asked: Counter[tuple[str, str]], tmp_path: Path, monkeypatch: pytest.MonkeyPatch, demo: str, command: list[str], questions: int,
) -> None:  # fmt: skip
    """A sheet of asphalt asks of three shelters: the file, all shut, and the walls that change the pressure inside; set-up needs no other.

    Of the file itself it asks again with each figure that nobody published at its worse end, and once as these tries begin.
    """
    monkeypatch.chdir(tmp_path)
    Path("a.toml").write_text(demo_text(demo), encoding="utf-8")
    assert main([command[0], "a.toml", *command[1:]]) in (0, 1, 3)
    assert max(asked.values()) == 1
    assert len({d for d, _ in asked}) == questions


def test_the_record_and_a_forecast_are_questions_of_their_own_and_asked_once(
    asked: Counter[tuple[str, str]], tmp_path: Path
) -> None:
    path = tmp_path / "a.toml"
    path.write_text(demo_text("asphalt"), encoding="utf-8")
    for said in (["wind", "12 mph"], ["state", "dry"], ["doors", "open"]):
        assert main(["log", str(path), *said, "--who", "lee", *NOW]) == 0
    asked.clear()
    assert main(["now", str(path), *HEARD]) in (0, 1, 3)
    again = {k: n for k, n in asked.items() if n > 1}
    assert not again


def test_the_checks_of_the_file_are_run_once(monkeypatch: pytest.MonkeyPatch) -> None:
    """Once for the file, then once for each other state of it: bare, first weights placed, every foot alone."""
    calls = list[tuple[object, bytes, bytes]]()
    original = checks.limits

    def counted(b: Base, h: Held, *more: object) -> object:
        calls.append((b, h.ballast.tobytes(), h.shelter.tobytes()))
        return original(b, h, *more)  # type: ignore[arg-type]

    monkeypatch.setattr(installation, "limits", counted)
    d = read_text(demo_text("asphalt"), "asphalt")
    a = assess(d)
    mine = a.installation.held()
    asked = [b is a.installation.base and x == mine.ballast.tobytes() for b, x, _ in calls]
    assert asked.count(True) == 1
    assert len({(id(b), x, y) for b, x, y in calls}) == len(calls)
    assert a.deployment is d
    assert a.policy is a.installation.policy


def test_the_working_is_of_what_was_assessed_or_is_refused() -> None:
    a = assess(read_text(demo_text("clay"), "clay"))
    with pytest.raises(ValueError, match="show=True"):
        explain(a)


def test_a_forecast_is_held_against_the_same_limits_by_a_deep_assessment_as_by_a_shallow_one() -> None:
    d = read_text(demo_text("clay"), "clay")
    deep, plain = assess(d, deep=True), assess(d)
    assert deep.plan != plain.plan
    assert limits_of(plan_for(deep, []), d) == limits_of(plan_for(plain, []), d)


def test_the_door_is_open_from_the_package_itself() -> None:
    assert anchorage.assess is assess
    assert anchorage.Deployment is Deployment
    assert all(getattr(anchorage, name) is f for name, f in formulas().items())
    with pytest.raises(AttributeError, match="no attribute 'nothing_of_this_name'"):
        _ = anchorage.nothing_of_this_name
