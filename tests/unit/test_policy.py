"""One policy: read once, taken by every command; looser only on somebody's word; what is printed of a gust says what its level says."""

import ast
import json
import re
from datetime import UTC
from operator import attrgetter
from pathlib import Path

import pytest
from hypothesis import example, given
from hypothesis import strategies as st

import anchorage
from anchorage.__main__ import main
from anchorage.core.errors import InputFaults
from anchorage.core.told import in_words
from anchorage.core.words import USES
from anchorage.demo import NAMES, demo_text
from anchorage.deployment import policy
from anchorage.deployment.policy import ORDER, against, policy_of
from anchorage.deployment.reader import read_text
from anchorage.judging.plan import make_plan
from anchorage.outlook.build import outlook
from anchorage.outlook.limits import limits_of
from anchorage.outlook.spoken import read_spoken
from tests.trees import tree

ROOT = Path(anchorage.__file__).parent
OWN = "\n[policy]\nsecure = 0.3\npeople_out = 0.4\n"
OLD = "\n[outlook]\nsecure = 0.3\npeople_out = 0.4\n"
ROWS = {("level", None), ("deadline", "margin"), ("deadline", "all-clear-wait"), ("deadline", "thunder-wait")}
"""Rows of the tables that are the policy."""
MPH = 0.44704


def read(more: str = "", name: str = "clay"):
    text = demo_text(name)
    head = more.strip().split("\n")[0]
    if head and head in text:  # a table of the demo itself: put the keys into it
        return read_text(text.replace(head, more.strip(), 1), "test")
    return read_text(text + more, "test")


def test_nothing_but_the_policy_reads_its_rows():
    for path in ROOT.rglob("*.py"):
        if path.name == "policy.py":
            continue
        for node in ast.walk(tree(path)):
            if (
                isinstance(node, ast.Call)
                and getattr(node.func, "attr", "") in ("row", "table")
                and node.args
            ):
                said = [getattr(a, "value", None) for a in node.args] + [None]
                assert (said[0], None if said[0] == "level" else said[1]) not in ROWS, f"{path}:{node.lineno}"


@pytest.mark.parametrize("said", [OWN, OLD])
def test_levels_of_the_file_change_every_reader(said):
    plain, own = read(), read(said)
    a, b = make_plan(plain), make_plan(own)
    limit = b.limit.gust_m_s
    assert (b.levels.secure_m_s, b.levels.people_out_m_s) == pytest.approx((0.3 * limit, 0.4 * limit))
    assert (b.policy.secure, b.policy.people_out) == (0.3, 0.4)
    assert a.policy.people_out == 0.8
    spread = {x.use: x.total for x in a.alternatives}, {x.use: x.total for x in b.alternatives}
    for use in ("working", "people-in", "set-up"):
        assert spread[1][use] is None or spread[1][use] > spread[0][use]
    assert spread[0]["empty"] == spread[1]["empty"]
    now = 1_770_000_000
    shown = outlook(
        b, own, [read_spoken(["until 23:00 gust 12 mph"], now, "said", zone=UTC, heard=now)], now, None
    )
    assert (shown.levels.secure, shown.levels.people_out) == (0.3, 0.4)


def test_the_older_place_still_counts_with_a_note_and_two_places_may_not_differ():
    assert "their place is [policy]" in " ".join(in_words(make_plan(read(OLD)).assumptions))
    assert "their place is [policy]" not in " ".join(in_words(make_plan(read(OWN)).assumptions))
    with pytest.raises(InputFaults, match="leave one out"):
        read(OWN + OLD.replace("0.3", "0.35"))


@pytest.mark.parametrize(("key", "value"), [("secure", 0.61), ("people_out", 0.85)])
@pytest.mark.parametrize("table", ["policy", "outlook"])
def test_looser_than_the_table_asks_for_a_name_and_prints_it(table, key, value, tmp_path, capsys):
    text = f"\n[{table}]\n{key} = {value}\n"
    with pytest.raises(InputFaults, match="signed_by"):
        read(text)
    signed = text + (
        'signed_by = "B. Signer"\n' if table == "policy" else '[policy]\nsigned_by = "B. Signer"\n'
    )
    file = tmp_path / "a.toml"
    file.write_text(demo_text("clay") + signed, encoding="utf-8")
    for command in (
        ["check"],
        ["limit"],
        ["pack"],
        [
            "outlook",
            "--say",
            "until 23:00 gust 12 mph",
            "--heard",
            "12:00",
            "--now",
            "2026-03-10T12:30:00Z",
            "--zone",
            "UTC",
        ],
    ):
        main([command[0], str(file), *command[1:]])
        assert "B. Signer" in capsys.readouterr().out, command


def test_people_out_alone_brings_secure_down_with_it():
    assert policy_of(read("\n[policy]\npeople_out = 0.5\n")).secure == 0.5
    with pytest.raises(InputFaults, match="at most the share"):
        read("\n[policy]\nsecure = 0.5\npeople_out = 0.4\n")


# Uses


@pytest.mark.parametrize("name", NAMES)
def test_the_demos_say_their_use(name):
    assert not policy.asks_which_use(
        *attrgetter("deployment", "anchorage", "door")(read_text(demo_text(name), name))
    )


def test_uses_are_one_list():
    assert set(policy.SUBJECTS) == set(policy.GO_IN) == set(USES)
    p = policy_of()
    for use, levels in policy.GO_IN.items():  # go right up to the share that it is sized for, and not at it
        assert p.level(p.share_for(use) * 0.999) in levels
        assert p.level(p.share_for(use)) not in levels


def test_a_door_in_use_asks_which_use_and_the_counts_stand(tmp_path, capsys):
    text = demo_text("asphalt").replace('size_for = "working"', "#")
    p = make_plan(read_text(text, "test"))
    assert p.verdict == "unknown"
    assert "use-unsaid" in {r.code for r in p.reasons}
    assert "CANNOT SAY: Is it work" in p.headline
    work = make_plan(
        read_text(
            text.replace("#", 'size_for = "working"', 1)
            if False
            else demo_text("asphalt").replace("set-up", "working"),
            "test",
        )
    )
    assert work.verdict == "go"
    assert [x.units for x in p.anchorage.points] == [x.units for x in work.anchorage.points]
    assert p.anchorage.total.units > 0
    assert [a.use for a in p.alternatives] == list(USES)


@pytest.mark.parametrize("use", USES)
def test_every_command_that_judges_takes_the_use(use, tmp_path, capsys):
    file = tmp_path / "a.toml"
    file.write_text(demo_text("asphalt").replace('size_for = "working"', "#"), encoding="utf-8")
    assert main(["check", str(file), "--json"]) == 3
    capsys.readouterr()
    main(["check", str(file), "--for", use, "--json"])
    found = json.loads(capsys.readouterr().out)
    assert found["subject"] == policy.SUBJECTS[use]
    assert "use-unsaid" not in {r["code"] for r in found["reasons"]}
    assert found["anchorage"]["total"]["units"] == next(
        a["total"] for a in found["alternatives"] if a["use"] == use
    )


# What a point cannot have


def test_more_than_a_point_can_have_does_not_do_it_here():
    """A plan of 65 bags at a point stood beside ``more than 12 do not stand there``, and was GO."""
    text = (
        demo_text("asphalt")
        .replace('speed = "20 mph"', 'speed = "45 mph"')
        .replace("sandbags = 100", "sandbags = 2000")
        .replace("standing-tied", "on-foot")
    )
    p = make_plan(read_text(text, "test"))
    assert max(x.units for x in p.anchorage.points) > 12
    assert p.verdict == "no-go"
    assert p.headline.endswith("this does not do it here")
    assert p.reasons[0].code == "does-not-do"
    named = {i for n in p.does_not_do for i in n.where}
    assert named == {x.id for x in p.anchorage.points if x.units > 12}
    most = max(x.units for x in p.anchorage.points)
    assert f"{most} sandbags at a point, more than 12 do not stand" in p.does_not_do[0].why
    assert set(p.subjects.values()) == {"no-go"}
    d = read_text(text, "test")
    assert "does-not-do" in {b.code for b in limits_of(p, d).blocks}
    few = make_plan(read_text(demo_text("asphalt"), "test"))
    assert few.does_not_do == []
    assert all(a.does_it for a in few.alternatives)


def test_what_stands_there_is_held_to_the_same_and_a_stack_said_goes_before_the_table():
    text = (
        demo_text("asphalt")
        .replace('size_for = "working"', 'size_for = "working"\nplaced = 13')
        .replace("standing-tied", "on-foot")
    )
    assert "does-not-do" in {r.code for r in make_plan(read_text(text, "test")).reasons}
    p = make_plan(read_text(text.replace("placed = 13", "placed = 13\nstack = 20"), "test"))
    assert p.does_not_do == []


def test_more_than_four_stakes_are_not_planned_at_a_point_and_four_are():
    p = make_plan(read())
    by = {a.use: a for a in p.alternatives}
    assert max(g.each for g in by["working"].groups) == 5
    assert (by["working"].does_it, by["people-in"].does_it) == (False, True)
    assert p.does_not_do == []  # what was driven was driven


# A gust against a limit, printed


def figures(a):
    gust, limit, *marks = (
        float(x.split()[0]) for x in (a.gust, a.limit, a.secure, a.people_out, a.keep_away)
    )
    return gust, limit, dict(zip(ORDER[1:], marks, strict=True))


def check_print(gust: float, limit: float, system: str) -> None:
    p = policy_of()
    a = against(p, gust, limit, system)
    assert a.level == p.level_of(gust, limit)
    g, most, marks = figures(a)
    unit = MPH if system == "us" else 1.0
    assert g * unit >= gust * (1 - 1e-9) - (
        0.04 * unit if a.digits == 2 else 0.0
    )  # as near to a level as two decimals tell
    assert not re.search(r"\d\.\d{3}", f"{a.words} {a.secure} {a.people_out} {a.keep_away}")
    assert most * unit <= limit * (1 + 1e-9)
    assert a.percent == int(100 * g / most + 1e-7)
    for level, mark in marks.items():
        reached = ORDER.index(a.level) >= ORDER.index(level)
        assert (g >= mark) == reached, (a, level)
        assert (a.percent >= round(100 * p.begins(level))) == reached, (a, level)


@given(st.floats(1.0, 60.0), st.floats(0.01, 1.3), st.sampled_from(["us", "si"]))
@example(43.2 * MPH, 43.99 / 43.2 * 0.99, "us")
@example(20.0, 0.8 - 1e-8, "si")
def test_what_is_printed_of_a_gust_says_what_its_level_says(limit, share, system):
    check_print(limit * share, limit, system)


@pytest.mark.parametrize(
    ("gust", "limit"), [(43.3, 43.7), (25.3, 25.9), (29.4, 29.5), (34.3, 43.4), (30.0, 30.0), (38.6, 38.0)]
)
def test_figures_that_contradicted_each_other(gust, limit):
    """``44 of 43 mph, 99 %``; ``gust 26 of 25 mph, 100 %``; ``gusts to 30 mph (holds to 29 mph)``."""
    check_print(gust * MPH, limit * MPH, "us")


def test_it_stays_in_whole_numbers_where_they_say_the_same():
    a = against(policy_of(), 32 * MPH, 40 * MPH, "us")
    assert (a.words, a.sentence) == ("32 of 40 mph, 80 %", "Gust 32 of 40 mph, 80 %: PEOPLE OUT")
    assert against(policy_of(), 43.3 * MPH, 43.7 * MPH, "us").words == "43.3 of 43.7 mph, 99 %"


# Snow, on the same scale


@pytest.mark.parametrize(
    ("depth", "level"),
    [("2.1 in", "normal"), ("2.5 in", "secure"), ("3.3 in", "people-out"), ("4.1 in", "keep-away")],
)
def test_a_level_of_snow_is_a_level(depth, level):
    """``GO`` stood beside ``people out: now``: check had lines at 50 and 75 %, the outlook 60 and 80, the verdict 100."""
    snow = f'\n[snow]\ndepth = "{depth}"\nkind = "new"\n'
    base = (
        demo_text("asphalt")
        .replace('size_for = "working"', 'size_for = "people-in"')
        .replace('speed = "20 mph"', 'speed = "5 mph"')
    )
    rated = re.sub(r'(roof_snow_\w+ = )"[^"]*"', r'\1"2.08 psf"', base)  # 4 in of new snow
    held = rated.replace("[anchorage]", "[anchorage]\nplaced = 24", 1).replace(
        "sandbags = 100", "sandbags = 300"
    )  # snow makes the lot slippery
    d = read_text(held + snow, "test")
    p = make_plan(d)
    assert p.snow.level == level
    stays = level in ("normal", "secure")
    assert (p.subjects["stay up with people in"] == "go") == stays
    assert (p.subjects["work with people coming and going"] == "go") == (level == "normal")
    assert (
        "level-snow" in {r.code for r in p.reasons} or "roof-snow-exceeded" in {r.code for r in p.reasons}
    ) == (not stays)
    now = 1_770_000_000
    first = outlook(
        p, d, [read_spoken(["until 23:00 gust 5 mph"], now, "said", zone=UTC, heard=now)], now, None
    ).hours[0]
    assert first.level == level


def test_a_mark_is_never_reached_and_not_reached():
    """``not reached: 4.2 of 4.2 psf``."""
    a = against(policy_of(), 4.162 * 47.88, 4.177 * 47.88, "us", "load")
    gust, limit, _ = figures(a)
    assert gust < limit
    assert a.level == "people-out"
    assert against(policy_of(), 5 * 0.0254, 3.1 * 0.0254, "us", "depth").words == "5.0 of 3.1 in, 161 %"
