"""Where less was brought than is needed, one acts by what would be put up: in the levels, the uses, the forecast and on every page."""

import json
import re

import pytest

from anchorage.cli.entry import main
from anchorage.core.units import show
from anchorage.demo import demo_text
from anchorage.deployment.draft import read_draft
from anchorage.deployment.policy import SUBJECTS
from anchorage.deployment.reader import read_text
from anchorage.judging.gusts import held_text
from anchorage.judging.plan import make_plan
from anchorage.loads.wind_trip import trips
from anchorage.outlook.limits import limits_of
from anchorage.paper.content import limit_words
from tui import engine, pages
from tui.answer import meter_words, short_words
from tui.fields import KEYS


def with_stock(brought, more=""):
    text = demo_text("asphalt")
    assert "sandbags = 100" in text
    return read_text(text.replace("sandbags = 100", f"sandbags = {brought}") + more, "x")


@pytest.fixture(scope="module")
def enough():
    return make_plan(with_stock(100))


@pytest.mark.parametrize("brought", [20, 60])
def test_levels_and_uses_are_those_of_what_would_be_put_up(brought, enough):
    plan = make_plan(with_stock(brought))
    (s,) = plan.stock
    assert sum(s.spread.values()) <= brought
    counts = ", ".join(f"{k} = {n}" for k, n in s.spread.items())
    text = demo_text("asphalt").replace("sandbags = 100", f"sandbags = {brought}")
    stands = make_plan(read_text(text.replace("[anchorage]", f"[anchorage]\nplaced = {{ {counts} }}"), "x"))
    assert plan.limit.gust_m_s == enough.limit.gust_m_s, "in the JSON the limit stays that of the counts"
    assert plan.put_up_m_s == pytest.approx(stands.limit.gust_m_s, rel=1e-9)
    assert plan.levels.gusts == pytest.approx(stands.levels.gusts, rel=1e-9)
    assert plan.levels.level == stands.levels.level
    for use in ("working", "people-in"):
        assert plan.subjects[SUBJECTS[use]] == stands.subjects[SUBJECTS[use]], use
    assert plan.verdict == "no-go"
    assert plan.reasons[0].code == "stock-short", "what is to be done comes first"


def test_enough_changes_nothing(enough):
    assert enough.put_up_m_s == enough.limit.gust_m_s
    assert enough.short is None
    assert [g for _, g in enough.by_bearing] == [b.gust_m_s for b in enough.limit.by_bearing]


def test_a_forecast_is_held_against_what_would_be_put_up(enough):
    d = with_stock(60)
    plan = make_plan(d)
    found = limits_of(plan, d)
    assert found.gust == pytest.approx(plan.put_up_m_s)
    assert max(g for _, g in found.by_bearing) <= plan.put_up_m_s
    assert limits_of(enough, with_stock(100)).gust == pytest.approx(enough.limit.gust_m_s)


def test_pages_say_the_lower_gust_first(tmp_path, capsys):
    path = tmp_path / "d.toml"
    path.write_text(demo_text("asphalt").replace("sandbags = 100", "sandbags = 60"), encoding="utf-8")
    for options in ([], ["--full"]):
        main(["check", str(path), *options])
        out = " ".join(capsys.readouterr().out.split())
        held = out.index(
            "Holds to 30 mph with only what was brought; 34 mph once all that is needed is placed"
        )
        assert "34 mph" not in out[:held]
        assert re.search(r"PEOPLE OUT (from )?24 mph", out)
        assert "27 mph" not in out
    main(["check", str(path), "--json"])
    found = json.loads(capsys.readouterr().out)
    assert found["limit"]["gust_m_s"] > found["stock"][0]["holds_with_stock_m_s"]
    assert found["levels"]["keep_away_m_s"] == pytest.approx(found["stock"][0]["holds_with_stock_m_s"])
    words = limit_words(make_plan(with_stock(60)))
    assert words.startswith("HOLDS TO 30 mph")


def stacked(brought, more=""):
    """60 mph with at most 12 at a point: more is asked for than goes there."""
    text = demo_text("asphalt").replace('speed = "20 mph"', 'speed = "60 mph"').replace("sandbags = 100", f"sandbags = {brought}")  # fmt: skip
    return read_text(text.replace('how = "standing-tied"', f'how = "standing-tied"\nstack = 12{more}'), "x")


@pytest.mark.parametrize("brought", [20, 90, 100])
def test_the_spread_of_what_was_brought_has_no_more_at_a_point_than_it_can_have(brought):
    plan = make_plan(stacked(brought))
    (s,) = plan.stock
    assert max(s.spread.values()) <= 12
    assert sum(s.spread.values()) <= brought
    counts = ", ".join(f"{k} = {n}" for k, n in s.spread.items())
    stands = make_plan(stacked(brought, f"\nplaced = {{ {counts} }}"))
    assert s.holds_with_stock_m_s == pytest.approx(stands.limit.gust_m_s, rel=1e-9)


def test_one_number_for_what_holds_and_every_view_says_of_what_it_is():
    d = stacked(20)
    plan = make_plan(d)
    held = held_text(plan)
    assert re.match(r"19 mph with only what was brought; 35 mph with as many as a point can have, 12 at each", held)  # fmt: skip
    assert held_text(make_plan(stacked(100))) == "35 mph with only as many as a point can have, 12 at each"
    assert all(x.startswith("NOT POSSIBLE, at most 12 at a point: ") for x in pages.spread(plan))
    for view in (pages.gusts(plan, 76), pages.checks(plan, 76)):
        assert "If all that is needed were there (696):" in [x for x, _ in view]
    assert pages.spread(make_plan(with_stock(100))) == [
        "8 at each of 4 corners, 11 at each of 4 side points = 76 sandbags"
    ]


@pytest.mark.parametrize("brought", [0, 6, 60])
@pytest.mark.parametrize("gust", [5, 12, 20])
def test_more_placed_than_was_brought_is_a_question_and_no_go_by_nothing(brought, gust):
    """By the counts typed it holds well; who counted wrong is not known."""
    text = (
        demo_text("asphalt")
        .replace('"20 mph"', f'"{gust} mph"')
        .replace("[anchorage]", "[anchorage]\nplaced = 12")
    )
    enough = make_plan(read_text(text, "x"))
    assert "more-than-brought" not in {r.code for r in enough.reasons}
    d = read_text(text.replace("sandbags = 100", f"sandbags = {brought}"), "x")
    plan = make_plan(d)
    assert "more-than-brought" in {r.code for r in plan.reasons}
    assert "stock-short" not in {r.code for r in plan.reasons}
    assert plan.verdict != "go"
    assert "go" not in plan.subjects.values()
    assert [b.verdict for b in limits_of(plan, d).blocks if b.code == "more-than-brought"] == ["unknown"]
    assert plan.limit.gust_m_s == enough.limit.gust_m_s


def test_nothing_to_place_is_said_with_what_its_own_weight_holds():
    """``Place 0 = 0 sandbags`` beside a GO: nobody knows whether anything was asked."""
    text = demo_text("asphalt").replace('"20 mph"', '"5 mph"').replace('"240 lb"', '"380 lb"')
    plan = make_plan(read_text(text, "x"))
    assert plan.anchorage.total.units == 0
    assert pages.spread(plan) == [
        f"nothing is asked for at 5 mph; by its own weight it holds to {held_text(plan)}"
    ]
    none = make_plan(read_text(text.replace("[anchorage]", "[anchorage]\nplaced = 0"), "x"))
    assert "own weight" not in pages.spread(none)[0]


def test_a_count_that_fits_no_point_is_not_still_to_be_placed():
    plan = make_plan(stacked(200, "\nplaced = 6"))
    assert short_words(plan, plan.stock[0]).startswith(
        "NOT POSSIBLE, more than a point can have. STILL TO PLACE"
    )


@pytest.mark.parametrize("name", ["doors closed", "straps locked"])
def test_what_is_compared_is_what_would_be_put_up(name, tmp_path):
    """696 sandbags that no point takes are no gain by another way."""
    text = demo_text("asphalt").replace('"20 mph"', '"60 mph"')
    text = text.replace('how = "standing-tied"', 'how = "standing-tied"\nstack = 12')
    draft = read_draft(text, KEYS)
    plan = engine.evaluate(draft, 0, tmp_path).plan
    assert max(plan.goes.values()) == 12
    seen = engine.compare(name, engine.variant(name, draft, None, draft), tmp_path, 0, None, plan)
    assert {p.units for p in seen.built.anchorage.points} == {12}
    assert seen.built.limit.gust_m_s == pytest.approx(plan.put_up_m_s, rel=0.2)


def test_what_is_left_with_an_anchor_gone_is_by_what_a_point_can_have():
    plan = make_plan(stacked(1000), deep=True)
    assert plan.lost_anchor.gust_m_s <= plan.put_up_m_s


def test_what_stands_and_is_too_little_says_what_is_still_to_be_placed():
    text = demo_text("asphalt").replace("[anchorage]", "[anchorage]\nplaced = 2")
    plan = make_plan(read_text(text, "x"))
    said = short_words(plan, plan.stock[0])
    # the sheet of the demo takes 8 at corners and 11 at side points: 4·6 + 4·9 are missing
    assert said == "STILL TO PLACE: 60 sandbags in all, 6 at each of 4 corners, 9 at each of 4 side points; 76 needed, 16 placed, 100 brought"  # fmt: skip
    enough = make_plan(read_text(text.replace("placed = 2", "placed = 11"), "x"))
    assert short_words(enough, enough.stock[0]) == "nothing: 88 sandbags placed, 100 brought"
    assert "76 or more sandbags needed, 100 brought" in short_words(
        make_plan(with_stock(100)), make_plan(with_stock(100)).stock[0]
    )


def test_the_readings_of_a_hand_meter_stand_beside_the_gusts_as_on_the_sheet():
    d = with_stock(100)
    plan = make_plan(d)
    found = trips(plan.levels.gusts, d)
    at = [show("speed", t.reading, "us", rounding="down") for t in (found.secure, found.people_out, found.keep_away)]  # fmt: skip
    said = meter_words(plan, trips(plan.levels.gusts, d))
    assert (
        said == f"6 ft 7 in up: {at[0]} SECURE, {at[1].split()[0]} PEOPLE OUT, {at[2].split()[0]} KEEP AWAY"
    )
    assert found.secure.reading < plan.levels.gusts[0], "lower down and by the lowest profile it shows less"


# What was brought counts once

UNLISTED = demo_text("asphalt").replace('unit = "sandbag"', 'unit_material = "woven"')
POINTS = ("L1", "L2", "L3", "L4", "R1", "R2", "R3", "R4")


def rows(text, stock, more=""):
    """(what, needed, brought, short) of each thing of a stock, and the verdict."""
    plan = make_plan(read_text(f"{text.replace('sandbags = 100', stock)}{more}", "x"))
    return [(s.item, s.needed, s.brought, s.short) for s in plan.stock], plan


def test_units_that_have_no_name_count_once():
    """60 of them are 60, and not 60 under each of two names."""
    found, plan = rows(UNLISTED, "units = 60")
    assert (found, plan.verdict) == ([("units", 76, 60, 16)], "no-go")
    assert rows(UNLISTED, "units = 76")[1].verdict == "go"


def test_a_weight_counts_once_on_the_frame_and_on_lines():
    more = "".join(f'\n[[point]]\nid = "{i}"\nkind = "{"line-ballast" if i[1] == "2" else "ballast"}"' for i in POINTS)  # fmt: skip
    text = demo_text("asphalt").replace('kind = "ballast"', 'kind = "mixed"\nline_angle = 45\nline_rated = "3000 lbf"\nattachment_rated = "3000 lbf"')  # fmt: skip
    text = text.replace('speed = "20 mph"', 'speed = "8 mph"')
    ((_, needed, _, _),), enough = rows(text, "sandbags = 1000", more)
    assert enough.verdict == "go"
    frame = sum(p.units for p in enough.anchorage.points if p.kind == "ballast")
    assert 0 < frame < needed
    found, plan = rows(text, f"sandbags = {needed - 1}", more)
    assert (found, plan.verdict) == ([("sandbags", needed, needed - 1, 1)], "no-go")
    (s,) = plan.stock
    assert set(s.spread) == set(POINTS)
    assert sum(s.spread.values()) <= needed - 1


def test_units_are_those_of_the_file_alone():
    more = '\n[[point]]\nid = "L2"\nunit = "water-barrel"'
    found, plan = rows(demo_text("asphalt"), "units = 100", more)
    assert [f[0] for f in found] == ["sandbags"]
    assert (plan.verdict, [r.code for r in plan.reasons]) == ("unknown", ["stock-missing"])
    assert rows(demo_text("asphalt"), "sandbags = 100\nunits = 9\nwater_barrels = 1", more)[0][0][2] == 100


@pytest.mark.parametrize(("lines", "short"), [(8, 0), (7, 1), (0, 8)])
def test_a_line_for_each_point_that_has_one(lines, short):
    """Without them nothing holds as the sheet has it: no use of it is a go."""
    text = demo_text("clay").replace("placed = 1 ", "#").replace('speed = "40 mph"', 'speed = "15 mph"')
    found, plan = rows(text.replace("stakes = 12", f"stakes = 12\nlines = {lines}"), "")
    assert found == [("stakes", 8, 12, 0), ("lines", 8, lines, short)]
    assert [r.code for r in plan.reasons] == (["stock-short"] if short else [])
    uses = {plan.subjects[SUBJECTS[u]] for u in ("working", "people-in", "empty")}
    assert uses == ({"no-go"} if short else {"go"})
    assert plan.verdict in uses
