"""The first screen: room for it all, every caution, and nothing dropped without being counted."""

from __future__ import annotations

import functools
import re
from types import SimpleNamespace
from typing import Any

import pytest

from anchorage.cli import entry
from anchorage.cli.entry import main
from anchorage.core import tables
from anchorage.core.out import Reason
from anchorage.core.plain import columns
from anchorage.core.told import put
from anchorage.demo import NAMES, demo_text
from anchorage.deployment.reader import read_text
from anchorage.judging.plan import make_plan
from anchorage.judging.result import Plan
from anchorage.paper.screen import screen_lines
from anchorage.paper.sketch import Around

ACTIONS = tuple(t.text for t in tables.texts("action-secure-"))


@functools.cache
def plan(name: str) -> Plan:
    return make_plan(read_text(demo_text(name), name), deep=True)


def crowded(p: Plan) -> Plan:
    """The same with more reasons, conditions and assumptions than any screen has room for."""
    many = [
        put(str, f"Number {n}: " + "this has to be looked at by somebody who knows it. " * 6)
        for n in range(30)
    ]
    reasons = [*p.reasons, *(Reason(code=f"x{n}", told=t) for n, t in enumerate(many))]
    return p.model_copy(update={"reasons": reasons, "conditions": many, "assumptions": many})


def fits(p: Plan, before: tuple[str, ...] = ()) -> list[str]:
    lines = screen_lines(p, Around(40.0, None, ACTIONS), before)
    assert len(lines) <= 60
    assert max(map(columns, lines)) <= 80
    at = lines.index("CAUTIONS, always")
    assert p.levels.secure_m_s is None or any(line.startswith("ACT  ") for line in lines)
    assert sum(len(line.split()) for line in lines[len(before) : at]) <= 250
    return lines


@pytest.mark.parametrize("name", NAMES)
def test_every_demo_fits_with_all_its_cautions_and_all_its_headline(name: str) -> None:
    p = plan(name)
    lines = fits(p)
    assert p.headline in " ".join(" ".join(lines).split())
    shorts = [t.short for t in tables.texts("caution-")]
    shown = [line[2:] for line in lines if line.startswith(("! ", "- "))]
    assert sorted(shown) == sorted(shorts)
    assert "EMPTY ONLY" in "\n".join(lines)


@pytest.mark.parametrize("before", [(), ("INSTEAD OF THE FILE: a gust of 30 mph",) * 6])
@pytest.mark.parametrize("name", NAMES)
def test_what_there_is_no_room_for_is_counted(name: str, before: tuple[str, ...]) -> None:
    full = crowded(plan(name))
    text = "\n".join(fits(full, before))
    for label in ("WHY", "ONLY IF", "TAKEN AS"):
        part = re.split(r"\n(?=[A-Z]|$)", text.split(f"\n{label} ")[1])[0]
        more = re.search(r"(\d+) more: --full", part)
        assert more is not None
        assert int(more[1]) >= 28


def test_the_cautions_that_this_installation_calls_for_come_first() -> None:
    first = {n: [x.key for x in plan(n).cautions if x.called_for] for n in NAMES}
    assert "caution-friction" in first["asphalt"]
    assert "caution-soil" not in first["asphalt"]
    assert {"caution-utilities", "caution-soil"} <= set(first["clay"])
    lines = fits(plan("clay"))
    marks = [line[:2] for line in lines if line.startswith(("! ", "- "))]
    assert marks == sorted(marks)
    assert marks.count("! ") == len(first["clay"])


def test_every_caution_has_its_line_and_every_reason_to_call_for_one_is_met_by_some() -> None:
    from typing import get_args

    from anchorage.core.table_files import When

    rows = tables.texts("caution-")
    assert all(0 < len(t.short) <= 75 for t in rows)
    assert {t.when for t in rows} - {None} == set(get_args(When))


def test_the_engineers_part_and_all_of_it_are_asked_for(capsys: Any, tmp_path: Any) -> None:
    path = tmp_path / "a.toml"
    path.write_text(demo_text("asphalt"), encoding="utf-8")
    seen = {}
    for more in ((), ("--engineer",), ("--full",)):
        assert main(["check", str(path), *more]) == 0
        seen[more] = capsys.readouterr().out
    assert "FOR THE ENGINEER" not in seen[()]
    assert seen["--engineer",].startswith(seen[()])
    assert "FOR THE ENGINEER" in seen["--engineer",]
    assert "FOR THE ENGINEER" in seen["--full",]
    assert all(f"[{t.cite()}]" in " ".join(seen["--full",].split()) for t in tables.texts("caution-"))


@pytest.mark.parametrize(
    ("lines", "terminal", "whole", "paged"),
    [
        (200, True, False, True),
        (200, False, False, False),
        (200, True, True, False),
        (60, True, False, False),
    ],
)
def test_a_long_page_goes_through_a_pager_on_a_terminal_alone(
    monkeypatch: pytest.MonkeyPatch, lines: int, terminal: bool, whole: bool, paged: bool
) -> None:
    seen = list[str]()
    written = list[str]()
    out = SimpleNamespace(isatty=lambda: terminal, write=written.append, flush=lambda: None)
    monkeypatch.setattr("pydoc.pager", seen.append)
    monkeypatch.setattr("sys.stdout", out)
    entry._shown("x\n" * lines, whole=whole)
    assert bool(seen) == paged
    assert bool(written) != paged
