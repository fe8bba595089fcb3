"""The working runs the governing case again by the same formulas: it has to give the numbers of the arrays."""

from __future__ import annotations

import re

import pytest
from strategies import THROUGH_FEET, points, read, with_

from anchorage.checks.installation import assemble
from anchorage.demo import demo_text
from anchorage.deployment.reader import read_text
from anchorage.judging.explain import explain, topics
from anchorage.judging.plan import assess

CHECKS = [
    (name, check)
    for name, checks in {
        "asphalt": (
            "lift", "lift at a point", "lift of a frame foot", "slide", "slide of a frame", "overturn",
        ),
        "clay": ("lift", "stake: uplift", "stake: push", "stake: push of its frame", "slide", "overturn"),
    }.items()
    for check in checks
]  # fmt: skip


def _last(lines: list[str], start: str) -> float:
    line = next(x for x in lines if x.strip().startswith(start))
    return float(re.findall(r"= (-?[\d.e+-]+) m\^[23]", line)[-1])


@pytest.mark.parametrize(("name", "check"), CHECKS)
def test_the_case_in_the_working_has_the_numbers_of_the_arrays(name: str, check: str) -> None:
    d = read_text(demo_text(name))
    x = assemble(d)
    limit = next(f for f in x.limits() if f.name == check)
    c, _ = limit.worst
    lines = explain(assess(d, show=True), check)
    cases = x.base.cases
    start = next(i for i, line in enumerate(lines) if line.startswith("Load case"))
    # 5e-5: five figures are printed.
    assert _last(lines[start:], "U/q") == pytest.approx(float(cases.uplift[c, 0]), rel=5e-5)
    for axis, title in enumerate(("along the ridge (x)", "across (y)")):
        part = lines[start + next(i for i, line in enumerate(lines[start:]) if line.strip() == title) :]
        assert _last(part, "H/q") == pytest.approx(float(cases.push[c, axis]), rel=5e-5, abs=1e-9)
        assert _last(part, "S/q") == pytest.approx(float(cases.moment[c, axis]), rel=5e-5, abs=1e-9)


@pytest.mark.parametrize(("name", "check"), CHECKS)
def test_the_gust_found_is_the_gust_of_the_check(name: str, check: str) -> None:
    d = read_text(demo_text(name))
    x = assemble(d)
    limit = next(f for f in x.limits() if f.name == check)
    found = next(line for line in reversed(explain(assess(d, show=True), check)) if "found gust held" in line)
    assert float(found.split(" = ")[1].split()[0]) == pytest.approx(
        x.wind.gust_of(float(limit.q.min())), rel=5e-5
    )
    assert found.endswith("load at that gust = 1.0000")


def test_every_topic_has_something_to_say_and_others_are_named() -> None:
    d = read_text(demo_text("asphalt"))
    for topic in topics():
        assert explain(assess(d, show=True), topic)
    with pytest.raises(KeyError, match="overturn"):
        explain(assess(d, show=True), "no such thing")


def test_a_check_of_what_is_left_once_a_foot_is_given_up_has_its_working():
    """One stake at a corner, nine elsewhere, a frame that spans it: the corner is given up, and stakes alone do not lift at a point."""
    file = with_(THROUGH_FEET, shelter__spans_lost_foot=True, anchorage__size_for="empty")
    file = with_(file, anchorage__placed={i: 1 if i == "L1" else 9 for i in points(file)})
    a = assess(read(file), show=True)
    given_up = next(f for f in a.installation.limits() if f.name == "lift at a point")
    lines = explain(a, given_up.name)
    assert any(line.startswith(f"Check: {given_up.name}, ") for line in lines)
    assert len([line for line in explain(a, "all") if line.startswith("Check: ")]) == len(
        {f.name for f in a.installation.limits() if not f.people}
    )
