"""The range that what was left out leaves open, and the list of what to find out: every figure is one of a run of its own."""

from __future__ import annotations

import re
from typing import Any

import pytest

from anchorage.checks.asking import ALL
from anchorage.core.told import in_words
from anchorage.demo import demo_text
from anchorage.deployment.reader import read_text
from anchorage.judging.packing import packing
from anchorage.judging.plan import assess, make_plan
from anchorage.judging.result import Plan
from anchorage.paper.screen import screen_lines
from anchorage.paper.text import check_lines, engineer_lines
from tests.unit.toml_writer import put, written

LASHED = {"stop": True, "every_bag": True, "on_ground": False}
SHUT = {"front": 0.0, "back": 0.0, "left": 0.0, "right": 0.0}


def file(**changes: Any) -> dict[str, Any]:
    """What a leader types in two minutes."""
    data: dict[str, Any] = {
        "shelter": {"form": "gable", "length": "24 ft", "width": "16 ft", "eave": "7 ft", "ridge": "10 ft", "points_per_side": 4},
        "site": {"surface": "concrete"},
        "wind": {"speed": "30 mph", "speed_is": "forecast-gust"},
        "anchorage": {"kind": "ballast", "unit": "sandbag"},
    }  # fmt: skip
    for path, value in changes.items():
        put(data, path.split("__"), value)
    return data


def plan(data: dict[str, Any], *, deep: bool = True) -> Plan:
    return make_plan(read_text(written(data)), deep=deep)


def total(data: dict[str, Any]) -> int | None:
    p = plan(data, deep=False)
    return next(a.total for a in p.alternatives if a.subject == p.subject)


SAID: dict[str, dict[str, Any]] = {
    "state": {"site__state": "dry"},
    "surroundings": {"site__surroundings": "town"},
    "terrain": {"wind__terrain": "site"},
    "doors": {"shelter__openings": SHUT},
    "mass": {"shelter__mass": "100 lb"},
}
"""What a line says, put into the file."""
WORDS = {
    "dry and stays": "state",
    "own or woods": "surroundings",
    "very place": "terrain",
    "wall is shut": "doors",
}
FEET = {"rubber": "rubber", "of plastic": "plastic", "bare metal": "bare-metal"}


def said(text: str) -> dict[str, Any]:
    """Keys of the file that a line or a box is about."""
    keys: dict[str, Any] = {}
    if "bound to its leg" in text:
        keys |= {"anchorage__how": "lashed-to-leg", "anchorage__how_detail": LASHED}
    if "tied to its leg" in text:
        keys |= {"anchorage__how": "standing-tied"}
    keys |= {k: v for w, f in FEET.items() if w in text for k, v in {"anchorage__contact": "plate", "anchorage__foot": f}.items()}  # fmt: skip
    for word, code in WORDS.items():
        keys |= SAID[code] if word in text else {}
    return keys


@pytest.mark.parametrize("surface", ["asphalt", "concrete", "gravel", "sand"])
@pytest.mark.parametrize("state", [None, "dry", "wet"])
def test_each_line_and_the_low_end_are_what_the_file_gives_once_it_is_said(
    surface: str, state: str | None
) -> None:
    data = file(site__surface=surface, site__state=state)
    p = plan(data)
    assert p.to_find_out[0].code == "attachment", "the decisive fact first, without a mass"
    now = total(data)
    for line in p.to_find_out:
        keys = SAID["mass"] if line.code == "mass" else said(line.text)
        if line.code in (ALL, "leave-earlier", "clear", "shut"):
            continue
        assert keys, line
        assert "site__state" not in keys or state is None, "what was stated is never bettered"
        assert line.total == total(file(**{"site__surface": surface, "site__state": state} | keys)), line
        assert now is not None
        assert line.saves == now - line.total > 0
    assert p.range is not None
    assert p.range.most_units == now == p.anchorage.total.units
    assert p.to_find_out[-1].code == ALL
    assert p.to_find_out[-1].total == p.range.least_units
    base = {"site__surface": surface, "site__state": state}
    boxes = [said(text) for text in in_words(p.range.seen)]
    assert total(file(**base)) == now
    assert total(file(**merged(base, *boxes))) == p.range.least_units, "the boxes together are enough"
    for k in range(len(boxes)):
        left = total(file(**merged(base, *boxes[:k], *boxes[k + 1 :])))
        assert left is None or left > p.range.least_units, "and none of them too many"


def merged(*parts: dict[str, Any]) -> dict[str, Any]:
    out: dict[str, Any] = {}
    for part in parts:
        out |= part
    return out


def test_the_low_end_reaches_nothing_but_the_page() -> None:
    data = file()
    with_it, without = plan(data), plan(data, deep=False)
    assert with_it.range is not None
    assert without.range is None
    assert with_it.anchorage == without.anchorage
    assert (with_it.verdict, with_it.reasons, with_it.stock) == (
        without.verdict,
        without.reasons,
        without.stock,
    )
    d = read_text(written(data))
    assert packing(assess(d, deep=True)) == packing(assess(d))
    least = str(with_it.range.least_units)
    text = "\n".join(check_lines(with_it))
    assert f"{with_it.range.most_units} until checked; {least} only if ALL of this is seen:" in text
    assert text.count("[ ] ") == len(with_it.range.seen)


def test_the_first_screen_never_has_the_low_figure_without_its_boxes() -> None:
    """Files with more and with less to tell: either every box stands there, or none and no low figure."""
    seen = set()
    for changes in (
        {},
        {"shelter__mass": "300 lb", "site__state": "dry", "shelter__openings": SHUT, "wind__speed": "12 mph"},
    ):
        p = plan(file(**changes))
        assert p.range is not None
        part = "\n".join(screen_lines(p)).partition("UNLESS")[2].partition("GUSTS")[0]
        assert f"{p.range.most_units} until checked" in " ".join(part.split())
        boxes = part.count("[ ] ")
        seen.add(bool(boxes))
        assert boxes in (0, len(p.range.seen))
        assert (f"; {p.range.least_units} only if ALL" in " ".join(part.split())) == bool(boxes)
    assert False in seen


def test_there_is_no_range_where_everything_was_said_or_where_it_stands() -> None:
    every = merged(*SAID.values(), said("bound to its leg, rubber"))
    assert plan(file(**every)).range is None
    assert plan(file(anchorage__placed=20, anchorage__how="on-foot")).range is None


def test_what_was_stated_is_never_bettered() -> None:
    slippery = plan(
        file(
            site__state="wet", anchorage__how="on-foot", anchorage__contact="plate", anchorage__foot="plastic"
        )
    )
    assert not {"state", "attachment", "foot"} & {o.code for o in slippery.to_find_out}
    assert all(
        "dry" not in t and "rubber" not in t
        for t in ([] if slippery.range is None else in_words(slippery.range.seen))
    )
    loose = plan(file(anchorage__how="lashed-to-leg", anchorage__how_detail={"every_bag": False}))
    assert all(
        "bound to its leg" not in t for t in ([] if loose.range is None else in_words(loose.range.seen))
    )


def test_what_a_factor_of_two_on_sliding_asks_is_told_to_the_engineer_and_decides_nothing() -> None:
    """Where sliding governs it is what margins of one's own with friction x 1.5/2.0 give (Concrete Society, page 833: at least 2.0)."""
    p = plan(file())
    own = {"set": "own", "wind": 1.5, "shelter": 1.0, "ballast": 1.0, "friction": 0.75, "stake": 0.75, "line": 1.0, "level": "service", "source": "a test"}  # fmt: skip
    assert p.units_at_friction_2 == total(file(margins=own))
    assert p.units_at_friction_2 is not None
    assert p.units_at_friction_2 > p.anchorage.total.units
    assert f"{p.units_at_friction_2} in all" in " ".join(" ".join(engineer_lines(p)).split())
    assert plan(file(margins=own)).units_at_friction_2 is None


def test_a_plan_of_more_than_four_stakes_a_point_says_so_in_the_headline() -> None:
    """A straight bar through the foot in loose sand holds next to no pull straight up: either no number does it, or more than four a point."""
    stake = {"diameter": "1 in", "driven": "30 in", "line_angle": 45, "soil": "medium-sand"}
    p = plan(
        file(
            site__surface="sand",
            anchorage__kind="stakes",
            anchorage__unit=None,
            anchorage__stake=stake,
            shelter__openings=SHUT,
        )
    )
    assert max(x.stakes for x in p.anchorage.points) > 4
    assert p.headline.startswith("NO-GO")
    assert "this does not do it here" in p.headline
    assert "more than 4 at a point" in p.does_not_do[0].why


# --- three pulls first


def soft(**keys):
    """Stakes in clay that a thumb dents, with nothing pulled."""
    text = "\n".join(
        x
        for x in demo_text("clay").splitlines()
        if not x.startswith(("pull_tests", "pull_angle", "tested", "pulled", "placed"))
    ).replace('"stiff-clay"', '"thumb-firm"')
    for key, value in keys.items():
        text = text.replace("[anchorage.stake]", f"[anchorage.stake]\n{key} = {value}", 1)
    return read_text(text)


def test_pulling_three_comes_first_where_theory_asks_for_stakes_without_end():
    """A crew drove 16 where theory asked for 84: what three pulls would save stands on the first screen."""
    p = make_plan(soft(), deep=True)
    (line,) = [o for o in p.to_find_out if o.code == "pull"]
    now = p.anchorage.total.stakes
    assert (line.total, line.total + line.saves) == (32, now)
    assert now > 300
    force = re.search(r"holds (\d+) lbf", line.text)[1]
    assert f"if each holds {force} lbf, 32 do; by theory {now}." in " ".join(
        "\n".join(screen_lines(p)).split()
    )
    pulls = ", ".join([f'"{force} lbf"'] * 3)
    pulled = make_plan(
        soft(pull_tests=f"[{pulls}]", pull_angle=45, tested='"wet"', pulled='"to-failure"'), deep=True
    )
    assert pulled.anchorage.total.stakes == 32
    assert not pulled.does_not_do
    assert "test-beyond-belief" not in {r.code for r in pulled.reasons}
    assert "pull" not in {o.code for o in pulled.to_find_out}
    assert not [x for x in screen_lines(pulled) if x.startswith("PULL")]
