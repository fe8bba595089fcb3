"""What is printed: the verdict first, nothing overstated by rounding, nothing wider than 72 columns, all cautions."""

from __future__ import annotations

import math
import re
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from toml_writer import demo, written

from anchorage.checks.outcome import GroupOut, HalfBuiltOut, LostOut, WallOut
from anchorage.core.checked import Check, What
from anchorage.core.out import Reason
from anchorage.core.plain import WIDE, columns, cut, inert, table, without_keys, wrap
from anchorage.core.told import in_words, put
from anchorage.demo import demo_text
from anchorage.deployment.reader import read_text
from anchorage.judging.plan import make_plan
from anchorage.judging.result import AlternativeOut, BearingOut, CheckOut, LevelsOut, Plan
from anchorage.paper.sketch import SKETCH, Around
from anchorage.paper.text import NOWHERE, check_lines, counts_words, limit_lines, unit_words


def plan(name: str = "asphalt", **changes: Any) -> Plan:
    return make_plan(read_text(written(demo(name, **changes))), deep=False)


def words(lines: list[str]) -> str:
    """Text without its line breaks."""
    return " ".join(" ".join(lines).split())


def part(lines: list[str], title: str) -> list[str]:
    """Lines under a title."""
    start = next(i for i, line in enumerate(lines) if line.startswith(f"-- {title}"))
    end = next(
        (i for i, line in enumerate(lines[start + 1 :], start + 1) if line.startswith("-- ")), len(lines)
    )
    return lines[start + 1 : end]


def with_levels(p: Plan, gust: float, limit: float, **levels: Any) -> Plan:
    """The same plan, judged gust and limit replaced (m/s)."""
    return p.model_copy(update={
        "wind": p.wind.model_copy(update={"gust_m_s": gust}),
        "limit": p.limit.model_copy(update={"gust_m_s": limit, "anchorage_gust_m_s": limit}),
        "levels": LevelsOut(level=levels.get("level", "secure"), share=gust / limit, secure_m_s=0.6 * limit,
                            people_out_m_s=0.8 * limit, keep_away_m_s=limit),
    })  # fmt: skip


MPH = 0.44704


# Order and what is always there


@pytest.mark.parametrize("name", ["asphalt", "clay"])
def test_verdict_first_and_again_last_and_the_parts_in_order(name: str) -> None:
    p = plan(name)
    lines = check_lines(p)
    around = [i for i, line in enumerate(lines) if set(line) == {"="}]
    assert [" ".join(lines[a + 1 : b]) for a, b in zip(around[::2], around[1::2], strict=True)] == [
        p.headline
    ] * 2
    titles = [
        re.sub(r"[ -]+$", "", line[3:]).split(" (")[0].split(",")[0].split(":")[0]
        for line in lines
        if line.startswith("-- ")
    ]
    every = [
        "WHY",
        "WHAT TO PLACE WHERE",
        "WHAT STANDS WHERE",
        "GUSTS",
        "STRAPS AND SNOW",
        "BROUGHT",
        "ONLY IF",
        "TAKEN AS TRUE",
        "WHAT WOULD HELP",
        "FOR THE ENGINEER",
        "CAUTIONS",
    ]
    assert titles == [t for t in every if t in titles]
    assert {"WHY", "GUSTS", "STRAPS AND SNOW", "FOR THE ENGINEER", "CAUTIONS"} <= set(titles)


@pytest.mark.parametrize(
    "changes",
    [
        {},
        {"shelter__rating": None},
        {"anchorage__placed": 0},
        {"site__state": "ice", "site__temperature": "20 degF"},
    ],
)
def test_every_caution_with_its_source_whatever_the_verdict(changes: dict[str, Any]) -> None:
    p = plan(**changes)
    text = words(part(check_lines(p), "CAUTIONS"))
    assert len(p.cautions) > 15
    for c in p.cautions:
        assert f"- {c.text} [{c.source}]" in text


def test_the_subject_of_the_verdict_and_the_others_are_named() -> None:
    lines = check_lines(plan("clay"))
    assert "stay up with people in" in lines[1]
    assert [re.sub(" +", " ", line.strip()) for line in lines[4:8]] == [
        "to work with people coming and going: NO-GO",
        "to stay up empty: NO-GO",
        "to set up: NO-GO",
        "weakest figure used: memory",
    ]


def test_all_reasons_conditions_assumptions_and_advice_are_told() -> None:
    p = plan(shelter__rating=None, stock={"sandbags": 3}, site__state=None, shelter__mass=None)
    p = p.model_copy(update={"advice": ["Dry the surface.", "Shut the door."]})
    text = words(check_lines(p))
    told = [r.text for r in p.reasons] + in_words(p.conditions) + in_words(p.assumptions) + in_words(p.advice)
    assert len(told) > 7
    for one in told:
        assert f"- {one}" in text


def test_many_reasons_lead_with_the_one_that_gives_first_and_name_the_others() -> None:
    p = plan("clay")
    why = words(part(check_lines(p), "WHY"))
    first = next(r.text for r in p.reasons if r.text.startswith("Stake: push ("))
    assert why.startswith(f"- {first}")
    for c in p.checks:
        assert c.ok or f"{c.name} " in why.lower()
    assert f"{next(c.name for c in p.checks if c.ok)}" not in why.lower().replace("uplift", "")


def test_a_plan_without_a_rating_does_not_say_go() -> None:
    text = check_lines(plan(shelter__rating=None))
    assert text[1].startswith("NO-GO: set up, gusts 20 mph. Once up ANCHORAGE HOLDS")
    assert "(anchorage only)" in words(part(text, "GUSTS"))
    assert "What the frame itself takes is not known" in words(part(text, "GUSTS"))
    assert not any(re.match(r"GO\b", line) for line in text)


def test_weakest_provenance_is_told_with_the_rows() -> None:
    p = plan()
    text = words(part(check_lines(p), "FOR THE ENGINEER"))
    assert f"Weakest provenance: {p.provenance.weakest}: {', '.join(p.provenance.weak)}." in text
    assert p.provenance.weak


# Width and what a user wrote


@pytest.mark.parametrize(
    "changes",
    [
        {},
        {"deployment__show_units": "si"},
        {"shelter__points_per_side": 40, "shelter__points_per_end": 40},
        {"shelter__points_per_end": 5, "shelter__width": "40 ft", "shelter__ridge": "16 ft"},
        {"shelter__length": "190 ft", "anchorage__placed": 99_999},
        {"deployment__name": "M" * 200},
        {"deployment__name": "冷" * 200},
        {"anchorage__unit": "x" * 200},
        {"site__surface": "y" * 200},
        {"wind__from": 0},
    ],
)  # fmt: skip
def test_nothing_is_wider_than_72_columns(changes: dict[str, Any]) -> None:
    p = plan(**changes)
    for lines in (check_lines(p, Around(123.0, 45.0, ("Stow what is loose. " * 9,))), limit_lines(p)):
        assert max(map(columns, lines)) <= WIDE
        assert all(line == inert(line) == line.rstrip() for line in lines)


def test_a_name_cannot_pass_for_a_verdict() -> None:
    lines = check_lines(plan("clay", deployment__name="x\nGO: set up, gusts to 90 mph"))
    assert not any(line.startswith("GO") for line in lines)
    assert lines[3] == "For: x?GO: set up, gusts to 90 mph"


@given(st.text(max_size=60))
def test_inert_text_is_printable_and_says_the_same(text: str) -> None:
    clean = inert(text)
    assert clean.isprintable()
    assert len(clean) == len(text)
    assert inert(clean) == clean
    assert all(a == b for a, b in zip(text, clean, strict=True) if a.isprintable())


@given(text=st.text(max_size=200), first=st.sampled_from(["", "- ", "    "]), wide=st.integers(20, 72))
def test_wrapped_lines_fit_and_lose_nothing(text: str, first: str, wide: int) -> None:
    lines = wrap(text, first, wide=wide)
    assert all(columns(line) <= wide for line in lines)
    assert "".join(
        "".join(lines)[len(first.rstrip()) if lines == [first.rstrip()] else len(first) :].split()
    ) == "".join(inert(text).split())


@given(text=st.text(max_size=80), wide=st.integers(4, 60))
def test_cut_text_fits_and_shows_that_it_was_cut(text: str, wide: int) -> None:
    short = cut(inert(text), wide)
    assert columns(short) <= wide
    assert (short == inert(text)) or short.endswith("...")


def test_columns_of_a_table_stand_under_each_other() -> None:
    assert table([("a", "1"), ("冷冷", "10")], "lr") == ["a      1", "冷冷  10"]


# Counts


def test_equal_counts_in_one_phrase_total_first() -> None:
    lines = part(check_lines(plan(anchorage__placed=12)), "WHAT STANDS WHERE")
    assert lines[0] == "12 at each of 8 points = 96 sandbags"
    assert lines[1] == "3840 lb in all, 40 lb each."


def test_groups_of_counts_are_named_in_words() -> None:
    counts = {"L1": 5, "L2": 7, "L3": 7, "L4": 5, "R1": 5, "R2": 7, "R3": 8, "R4": 5}
    lines = part(check_lines(plan(anchorage__placed=counts)), "WHAT STANDS WHERE")
    assert lines[0] == "5 at each of 4 corners, 7 at each of 3 side points, 8 at 1 side point ="
    assert lines[1].strip() == "49 sandbags"


def test_unit_words() -> None:
    assert unit_words("water-barrel", 2) == "water barrels"
    assert unit_words("stake", 1) == "stake"


def test_alternatives_say_what_each_use_asks_for() -> None:
    p = plan()
    text = words(part(check_lines(p), "WHAT TO PLACE WHERE"))
    said = {
        "people-in": "PEOPLE INSIDE up to a forecast",
        "working": "WORK, people coming",
        "set-up": "SET UP",
        "empty": "EMPTY ONLY",
    }
    at = [text.index(f"- {words}") for words in said.values()]
    assert at == sorted(at)  # people inside first, empty last
    for a in p.alternatives:
        assert re.search(rf"- {said[a.use]}[^:]*: {a.total} \(", text)
    assert text[at[-1] :].split(")")[1].startswith(" - everyone out from 16 mph.")


def test_alternatives_where_points_differ_say_what_is_at_each() -> None:
    groups = (GroupOut(at="corner", item="stake", each=2), GroupOut(at="side", item="sandbag", each=9))
    by = GroupOut.by_name(groups)
    assert GroupOut.read(by) == groups
    assert by == {"corner, stake": 2, "side, sandbag": 9}
    asked = [AlternativeOut(use="set-up", subject="set up", groups=groups, total=22)]
    text = words(check_lines(_BASE.model_copy(update={"alternatives": asked})))
    assert (
        "- SET UP (NO-GO half built in gusts to 20 mph), once finished: 22 (2 stakes at each corner, 9 sandbags at each side point)"
        in text
    )
    asked = [
        AlternativeOut(
            use="set-up",
            subject="set up",
            groups=(GroupOut(at="corner", each=3), GroupOut(at="side", each=3)),
            total=24,
        )
    ]
    text = words(check_lines(_BASE.model_copy(update={"alternatives": asked})))
    assert "- SET UP (NO-GO half built in gusts to 20 mph), once finished: 24 (3 at each point)" in text


def test_where_no_number_is_enough_none_is_offered() -> None:
    p = plan("clay", anchorage__placed=None, anchorage__stake={"diameter": "0.2 in", "driven": "4 in", "line_angle": 45, "soil": "loose-sand"},
             site__surface="sand", wind__speed="120 mph", shelter__mass="0 lb")  # fmt: skip
    assert any(a.total is None for a in p.alternatives), "the case is not one of too much wind"
    text = words(part(check_lines(p), "WHAT TO PLACE WHERE"))
    assert "Nothing to place: no number of them holds this." in text
    assert "no number of stakes is enough" in text
    assert " = 0 stakes" not in text


def test_nothing_placed_and_nothing_needed_are_not_the_same() -> None:
    assert "Nothing is placed." in part(check_lines(plan(anchorage__placed=0)), "WHAT STANDS WHERE")
    assert "Nothing is needed beyond the shelter's own weight." in part(
        check_lines(plan(wind__speed="0 mph")), "WHAT TO PLACE WHERE"
    )


def test_the_table_has_every_point_with_its_count() -> None:
    p = plan()
    lines = part(check_lines(p), "WHAT TO PLACE WHERE")
    for x in p.anchorage.points:
        row = next(line for line in lines if re.match(rf"{x.id} +(corner|side point)", line))
        assert row.split()[-1] == str(x.units)
        assert row.count("lbf") == 2


def test_stock_short_left_over_and_not_placed() -> None:
    needed = plan().anchorage.total.units
    assert f"{needed} needed, 100 brought, {100 - needed} left over" in words(
        part(check_lines(plan()), "BROUGHT")
    )
    short = words(part(check_lines(plan(stock={"sandbags": 50})), "BROUGHT"))
    assert f"{needed - 50} SHORT" in short
    assert "With only these: 5 at each of 4 corners, 7 at each of 4 side points; so it holds to" in short
    built = words(part(check_lines(plan("clay")), "BROUGHT"))
    assert "8 placed, 12 brought, 4 not placed" in built
    need = next(a.total for a in plan("clay").alternatives if a.subject == plan("clay").subject)
    assert f"takes {need} in this gust" in built


# The drawing


def drawing(p: Plan, around: Around = NOWHERE) -> list[str]:
    lines = part(check_lines(p, around), "WHAT TO PLACE WHERE" if p.anchorage.sized else "WHAT STANDS WHERE")
    start = lines.index("") + 1
    return lines[start : lines.index("", start)]


def test_points_stand_where_they_are() -> None:
    p = plan(anchorage__placed={f"{s}{k}": 10 * k + (s == "R") for s in "LR" for k in range(1, 5)})
    rows = [line for line in drawing(p) if "o" in line and re.search(r"[LR]\d", line)]
    assert [re.findall(r"[LR]\d +\d+", row) for row in rows] == [
        [f"L{k} {10 * k}", f"R{k} {10 * k + 1}"] for k in range(1, 5)
    ]
    assert len({(row.index("o"), row.rindex("o")) for row in rows}) == 1
    assert drawing(p)[0].strip() == "front"
    assert "back" in drawing(p)[-2]


def test_end_points_are_drawn_on_the_ends() -> None:
    lines = drawing(plan(shelter__points_per_end=4))
    assert lines[2].count("o") == 4
    assert re.findall(r"F\d", lines[1]) == ["F2", "F3"]
    assert re.findall(r"B\d", lines[-3]) == ["B2", "B3"]
    for label in re.finditer(r"F\d +\d+", lines[1]):
        assert "o" in lines[2][label.start() : label.end()], "a label stands over its point"


@pytest.mark.parametrize(("per_side", "per_end"), [(2, 2), (3, 3), (8, 6), (9, 9), (40, 40)])
def test_the_drawing_fits(per_side: int, per_end: int) -> None:
    p = plan(shelter__points_per_side=per_side, shelter__points_per_end=per_end, anchorage__placed=88_888)
    lines = drawing(p, Around(0.0, 270.0))
    assert max(map(columns, lines)) <= SKETCH
    text = "\n".join(lines)
    assert all(re.search(rf"\b{x.id}\b", text) for x in p.anchorage.points if x.id[0] in "LR")
    if per_end > 2:
        assert re.search(r"\bF2\b", text)
        assert re.search(rf"\bB{per_end - 1}\b", text)


@pytest.mark.parametrize(
    ("heading", "wind", "row", "mark", "said"),
    [
        (0, 270, 2, "wind-> L", "left side"), (0, 90, 2, "<-wind", "right side"), (90, 90, None, "wind", "front"), (0, 180, None, "wind", "back"),
        (0, 45, 0, "<-wind", "front-right corner"), (0, 225, 3, "wind-> L", "back-left corner"), (350, 35, 0, "<-wind", "front-right corner"),
        (90, 45, 0, "wind-> L", "front-left corner"), (270, 45, 3, "<-wind", "back-right corner"),
    ],
)  # fmt: skip
def test_the_wind_comes_from_where_it_comes_from(
    heading: float, wind: float, row: int | None, mark: str, said: str
) -> None:
    lines = drawing(plan(), Around(heading, wind))
    rows = [line for line in lines if re.search(r"[LR]\d", line)]
    assert f"at the {said}" in words(lines)
    at = [i for i, line in enumerate(rows) if "wind" in line]
    assert at == ([] if row is None else [row])
    if row is None:
        alone = [i for i, line in enumerate(lines) if line.strip() == "wind"]
        assert alone == (
            [0] if said == "front" else [len(lines) - 2 - (len(words(lines).split("Wind")[1]) > 56)]
        )
    else:
        assert mark.split(" ", maxsplit=1)[0] in rows[row]
        assert (rows[row].index("wind") < rows[row].index("o")) == (mark[0] == "w")
    assert f"faces {heading} deg" in words(lines)


def test_without_a_heading_no_wind_is_drawn() -> None:
    for around in (Around(None, 270.0), Around(30.0, None)):
        assert "Wind from any side counts." in drawing(plan(), around)
        assert not any("wind" in line for line in drawing(plan(), around))


# Gusts and rounding


@settings(max_examples=40)
@given(limit=st.floats(6.0, 60.0), share=st.floats(0.05, 1.5))
def test_limits_are_rounded_down_and_a_share_is_of_what_is_printed(limit: float, share: float) -> None:
    p = with_levels(_BASE, limit * share, limit)
    lines = part(check_lines(p), "GUSTS")
    for name, exact in (
        ("SECURE from", 0.6),
        ("PEOPLE OUT from", 0.8),
        ("KEEP AWAY from", 1.0),
        ("Set up only", min(0.6, _BASE.half_built.up_to_m_s / limit)),  # type: ignore[union-attr,operator]
    ):
        row = next(line for line in lines if line.startswith(name))
        text = re.findall(r"([\d.]+) mph", row)[0]
        step = 10.0 ** -len(text.partition(".")[2])
        assert float(text) - 1e-6 <= exact * limit / MPH < float(text) + step + 1e-6
    said = next(line for line in part(check_lines(p), "WHY") if line.startswith("- Gust "))
    gust, top, percent = map(float, re.match(r"- Gust ([\d.]+) of ([\d.]+) mph, (\d+) %", said).groups())  # type: ignore[union-attr]
    assert gust + 1e-6 >= limit * share / MPH
    assert top <= limit / MPH + 1e-6
    assert percent == math.floor(100 * gust / top + 1e-6)  # a share is that of the figures printed


_BASE = plan()


def test_a_gust_near_a_level_is_written_to_the_tenth() -> None:
    close = part(check_lines(with_levels(_BASE, 30 * MPH, 30.46 / 0.8 * MPH)), "GUSTS")
    row = next(line for line in close if line.startswith("PEOPLE OUT"))
    assert row.split()[-2:] == ["30.4", "mph"]
    at = part(check_lines(with_levels(_BASE, 32 * MPH, 40 * MPH, level="people-out")), "GUSTS")
    assert "32 mph" in words(at)
    far = part(check_lines(with_levels(_BASE, 20 * MPH, 40 * MPH)), "GUSTS")
    assert "32 mph" in words(far)


def test_half_metres_per_second_in_si() -> None:
    p = with_levels(plan(deployment__show_units="si"), 10.0, 17.9)
    gusts = part(check_lines(p), "GUSTS")
    assert gusts[0].startswith("Holds to 17.5 m/s")
    assert re.search(r"PEOPLE OUT from +14.0 m/s", "\n".join(gusts))


def test_what_gives_first_or_what_sets_the_limit() -> None:
    p = plan("clay")
    assert f"Gives first: {p.limit.governed_by}, {p.limit.where}." in words(part(check_lines(p), "GUSTS"))
    rated = plan(shelter__rating={"gust_unlocked": "30 mph"})
    text = words(part(check_lines(rated), "GUSTS"))
    assert "Holds to 30 mph. Set by: the maker's rating" in text
    assert f"Gives first: {rated.limit.anchorage_governed_by}" in text


def test_the_limit_with_openings_shut_is_beside_it() -> None:
    assert re.search(
        r"With every opening shut it holds to \d+ mph", words(part(check_lines(plan()), "GUSTS"))
    )
    assert "every opening shut" not in words(part(check_lines(plan(door=[])), "GUSTS"))


def test_by_bearing_a_table_or_one_line() -> None:
    gusts = [BearingOut(bearing=22.5 * k, gust_m_s=(20 + k) * MPH) for k in range(16)]
    p = _BASE.model_copy(update={"limit": _BASE.limit.model_copy(update={"by_bearing": gusts})})
    text = "\n".join(part(check_lines(p), "GUSTS"))
    names = [
        "N",
        "NNE",
        "NE",
        "ENE",
        "E",
        "ESE",
        "SE",
        "SSE",
        "S",
        "SSW",
        "SW",
        "WSW",
        "W",
        "WNW",
        "NW",
        "NNW",
    ]
    for k, name in enumerate(names):
        assert re.search(rf"(^| ){name} +{20 + k} mph", text, re.MULTILINE)
    same = [b.model_copy(update={"gust_m_s": 33.4 * MPH}) for b in gusts]
    p = _BASE.model_copy(update={"limit": _BASE.limit.model_copy(update={"by_bearing": same})})
    assert "Wind from every side: 33 mph." in part(check_lines(p), "GUSTS")


def test_secure_prints_what_to_do() -> None:
    around = Around(actions=("Shut the doors.",))
    assert "  - Shut the doors." in part(check_lines(with_levels(_BASE, 7.0, 10.0), around), "WHY")
    assert "Shut the doors." not in words(check_lines(with_levels(_BASE, 2.0, 10.0, level="normal"), around))


def test_half_built_and_with_an_anchor_gone() -> None:
    half = HalfBuiltOut(gust_m_s=10.9 * MPH, governed_by="slide", told=put(str, "Roof up, walls off."))
    lost = LostOut(point="L2", gust_m_s=28.9 * MPH, neighbour="L1", neighbour_more_n=120.0)
    text = words(
        part(check_lines(_BASE.model_copy(update={"half_built": half, "lost_anchor": lost})), "GUSTS")
    )
    assert "Half built it holds to 10 mph. Roof up, walls off." in text
    assert "With L2 gone it holds to 28 mph; L1 then takes 27 lbf more." in text
    unknown = half.model_copy(update={"gust_m_s": None, "told": put(str, "No drawing.")})
    text = words(part(check_lines(_BASE.model_copy(update={"half_built": unknown})), "GUSTS"))
    assert "Half built it cannot be judged. No drawing." in text
    assert "gone it holds" not in text


def test_walls_that_matter_are_among_what_would_help() -> None:
    walls = [
        WallOut(wall="front", units_open=None, units_shut=80),
        WallOut(wall="back", units_open=88, units_shut=88),
    ]
    lines = part(
        check_lines(_BASE.model_copy(update={"walls": walls, "advice": ["Dig."]})), "WHAT WOULD HELP"
    )
    assert [line for line in lines if line] == ["- Dig.", "- Front wall open: no number is enough, shut: 80."]


def test_points_that_differ_say_what_they_have() -> None:
    points = [
        p.model_copy(
            update={"kind": "stakes", "item": "stake", "stakes": 2, "units": 0, "mass_kg": 0.0}
            if p.id[0] == "L"
            else {"usable": p.id != "R1"}
        )
        for p in _BASE.anchorage.points
    ]
    p = _BASE.model_copy(
        update={"anchorage": _BASE.anchorage.model_copy(update={"kind": "mixed", "points": points})}
    )
    lines = part(check_lines(p), "WHAT TO PLACE WHERE")
    text = words(lines)
    assert "2 at each of 2 corners, 2 at each of 2 side points = 8 stakes" in text
    assert re.search(
        r"\d+ at 1 corner, \d+ at each of 2 side points|\d+ at each of 2 side points, \d+ at 1 corner", text
    )
    assert "Nothing holds at R1." in text
    assert any(re.match(r"L1 .* 2 stakes$", line) for line in lines)
    assert any(re.match(r"R1 .* none$", line) for line in lines)
    assert any(re.search(r"L1 +2 o-+o R1 +-$", line) for line in lines)


def test_limit_is_the_short_form() -> None:
    p = plan("clay")
    lines = limit_lines(p)
    assert lines[0] == p.headline
    assert part([*check_lines(p)], "GUSTS")[:5] == part(lines, "GUSTS")[:5]
    assert len(lines) < 30


# Straps, snow, the engineer's part


def test_straps_say_the_decision_and_why() -> None:
    p = plan()
    assert f"Sidewall straps: {p.straps.decision}. {p.straps.reason}" in words(part(check_lines(p), "STRAPS"))


def test_snow_against_the_makers_figure() -> None:
    cold = {"site__temperature": "30 degF", "site__state": "snow"}
    snowy = words(part(check_lines(plan(snow={"depth": "2 in", "kind": "wet"}, **cold)), "STRAPS"))
    assert re.search(r"Snow: [\d.]+ psf on the roof of 4.0 psf that the maker gives", snowy)
    unknown = plan(snow={"depth": "2 in", "kind": "wet"}, shelter__rating={"gust_unlocked": "45 mph"}, **cold)
    assert "CANNOT SAY: the maker's snow rating is missing" in words(part(check_lines(unknown), "STRAPS"))
    heavy = plan(snow={"depth": "12 in", "kind": "wet"}, **cold)
    assert "Clear it." in words(part(check_lines(heavy), "STRAPS"))
    assert "Snow: none on the roof." in part(check_lines(plan()), "STRAPS")


def test_loads_stand_only_in_the_engineers_part_and_mark_what_is_over() -> None:
    p = plan("clay")
    lines = check_lines(p)
    rows = part(lines, "FOR THE ENGINEER")
    for c in p.checks:
        row = next(line for line in rows if re.match(rf"{re.escape(c.name)}  +", line))
        assert c.ratio is not None
        assert f"{c.ratio * 100:.1f} %" in row
        assert ("OVER" in row) == (not c.ok)
    before = lines[: lines.index(next(line for line in lines if line.startswith("-- FOR THE ENGINEER")))]
    assert not any("OVER" in line or re.search(r"\d\.\d %", line) for line in before)


def test_a_check_with_no_resistance_says_so() -> None:
    none = CheckOut(
        check=Check(What.SLIDE),
        demand=10.0,
        capacity=0.0,
        unit="N",
        ratio=None,
        ok=False,
        case="c",
        where="shelter",
        holds_to_m_s=0.0,
    )
    p = _BASE.model_copy(
        update={
            "checks": [none],
            "reasons": [
                Reason(
                    code="slide-exceeded",
                    told=put(str, "Slide (shelter): it holds to 0 mph."),
                    of=(Check(What.SLIDE), "shelter"),
                )
            ],
        }
    )
    assert any("OVER no hold" in line for line in check_lines(p))
    assert "- Slide (shelter): it holds to 0 mph." in check_lines(p)


@pytest.mark.parametrize(
    ("unit", "demand", "capacity", "holds", "said"),
    [
        ("N", 1000.0, 2000.0, 10.0, "225 lbf of 450 lbf; c"), ("N*m", 1000.0, 2000.0, 10.0, "738 lbf·ft of 1475 lbf·ft; c"),
        ("Pa", 100.0, 200.0, 10.0, "q 2.09 psf of 4.18 psf; c"), ("Pa", 100.0, 200.0, None, "    2.09 psf of 4.18 psf; c"),
        ("m", 0.127, 0.08, None, "5 in of 3.1 in; c"), ("m^2/s^2", (20 * MPH) ** 2, (40 * MPH) ** 2, 17.0, "20.0 mph of 40.0 mph; c"),
        ("1", 0.5, 1.0, None, "0.5 of 1; c"), ("K", 3.0, 4.0, None, "3 of 4 K; c"),
    ],
)  # fmt: skip
def test_each_check_shows_its_own_kind_of_quantity(
    unit: str, demand: float, capacity: float, holds: float | None, said: str
) -> None:
    check = CheckOut(
        check=Check(What.SLIDE),
        demand=demand,
        capacity=capacity,
        unit=unit,
        ratio=0.5,
        ok=True,
        case="c",
        where="w",
        holds_to_m_s=holds,
    )
    rows = part(check_lines(_BASE.model_copy(update={"checks": [check]})), "FOR THE ENGINEER")
    assert said.strip() in words(rows)
    assert not said.startswith("  ") or said in rows


def test_the_engineer_gets_the_wind_as_typed_and_the_factors() -> None:
    text = words(part(check_lines(plan(wind__speed="22.5 mph")), "FOR THE ENGINEER"))
    for said in (
        "22.5 mph as typed",
        "Method physics",
        "exposure B",
        "Margins lumped-1.5: wind 1.5,",
        "friction 0.337",
        "one sandbag 40 lb",
    ):
        assert said in text


@pytest.mark.parametrize(("name", "cured"), [("winter", False), ("asphalt", True), ("clay", True)])
def test_counts_that_cure_nothing_say_so(name, cured):
    """Snow over the rule stays over it, whatever stands at the points; too few stakes are cured by more of them."""
    p = make_plan(read_text(demo_text(name)))
    assert ("NO COUNT CURES IT" in " ".join(counts_words(p))) is not cured
    assert any("NO COUNT CURES IT" in t for t in counts_words(p, brief=True)) is not cured


def test_a_rating_that_is_exceeded_is_cured_by_no_count():
    text = demo_text("asphalt").replace('speed = "20 mph"', 'speed = "60 mph"')
    assert counts_words(make_plan(read_text(text)))[0].startswith("NO COUNT CURES IT: Rating")


def test_the_names_of_the_file_go_where_they_stand_aside():
    for text, said in (
        ("not described ([shelter.strap] count). Ask the maker.", "not described. Ask the maker."),
        ("as in use (anchorage.stake.test_driven, test_diameter, test_soil).", "as in use."),
        ("Gust (3 s) at (x, y) stays (see 9).", "Gust (3 s) at (x, y) stays (see 9)."),
    ):
        assert without_keys(text) == said
