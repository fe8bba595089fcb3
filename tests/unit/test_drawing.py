"""One geometry: true to scale, points where they are, words that keep clear of each other."""

import re

import pytest
from hypothesis import given
from hypothesis import strategies as st

from anchorage.demo import NAMES, demo_text
from anchorage.deployment import read_text
from anchorage.drawing import Circle, Line, Polygon, Text, plan_shapes, size, weakest
from anchorage.plan import make_plan
from anchorage.sheet.sketch import Around
from tui.canvas import MARKS, draw

PLANS = {n: make_plan(read_text(demo_text(n))) for n in NAMES}
AROUND = Around(40.0, 270.0)


@pytest.mark.parametrize("name", NAMES)
def test_every_point_is_drawn_at_its_place_with_its_count(name):
    plan = PLANS[name]
    shapes = plan_shapes(plan, AROUND)
    circles = [(s.x, s.y) for s in shapes if isinstance(s, Circle)]
    assert circles == [(-p.y_m, p.x_m) for p in plan.anchorage.points]
    words = " ".join(s.text for s in shapes if isinstance(s, Text))
    assert all(f"{p.id}: {p.units + p.stakes}" in words for p in plan.anchorage.points)
    assert f"{weakest(plan)}: " in words
    assert words.count("weak") == 1


def test_the_front_is_up_and_left_is_left():
    by_id = {
        s.text.split(":")[0]: s
        for s in plan_shapes(PLANS["asphalt"])
        if isinstance(s, Text) and ":" in s.text
    }
    assert by_id["L1"].x < 0 < by_id["R1"].x
    assert by_id["L1"].y > by_id["L4"].y


@pytest.mark.parametrize("bearing", range(0, 360, 15))
@pytest.mark.parametrize("heading", [0.0, 40.0, 200.0])
def test_the_wind_points_at_the_shelter_from_where_it_comes(bearing, heading):
    import math

    shapes = plan_shapes(PLANS["asphalt"], Around(heading, float(bearing)), hot_to_clean=True)
    arrow = next(s for s in shapes if isinstance(s, Line) and s.style == "wind")
    a = math.radians(bearing - heading)
    assert (
        (arrow.x1 * math.sin(a) + arrow.y1 * math.cos(a))
        > (arrow.x2 * math.sin(a) + arrow.y2 * math.cos(a))
        > 0
    )
    way = next(s for s in shapes if isinstance(s, Line) and s.style == "axis")
    hot, clean = (next(s for s in shapes if isinstance(s, Text) and s.text == w) for w in ("HOT", "CLEAN"))
    assert (way.x2 - way.x1) * math.sin(a) + (way.y2 - way.y1) * math.cos(a) > 0, "people walk into the wind"
    assert clean.x * math.sin(a) + clean.y * math.cos(a) > hot.x * math.sin(a) + hot.y * math.cos(a)


@pytest.mark.parametrize("plain", [False, True])
@pytest.mark.parametrize("cells", [(40, 14), (43, 15), (74, 18), (74, 30), (120, 40)])
@pytest.mark.parametrize("name", NAMES)
def test_proportions_are_true_within_five_per_cent_and_points_on_their_cells(name, cells, plain):
    plan = PLANS[name]
    shapes = plan_shapes(plan, AROUND)
    picture = draw(shapes, *cells, plain=plain)
    wall = next(s for s in shapes if isinstance(s, Polygon))
    dots = [picture.dot(x, y) for x, y in wall.points]
    wide, long = size(plan)
    drawn = (dots[1][0] - dots[0][0], dots[2][1] - dots[1][1])
    assert drawn[0] / drawn[1] == pytest.approx(wide / long, rel=0.05)
    for p in plan.anchorage.points:
        x, y = picture.dot(-p.y_m, p.x_m)
        assert picture.rows[y // 4][x // 2][0] in {m[plain] for m in MARKS.values()}
    for a, b, c, d in zip(dots, dots[1:], dots[2:], dots[3:], strict=False):
        assert a[1] == b[1]
        assert b[0] == c[0]
        assert c[1] == d[1]


def test_dots_and_plain_characters():
    shapes = plan_shapes(PLANS["asphalt"], AROUND, hot_to_clean=True)
    dots = "\n".join(draw(shapes, 74, 22).lines())
    plain = "\n".join(draw(shapes, 74, 22, plain=True).lines())
    assert re.search("[⠁-⣿]", dots)
    assert plain.isascii()
    for text in (dots, plain):
        for word in ("R1: 8 weak", "L2: 11", "FRONT faces 40", "WIND 270", "HOT", "CLEAN", "10 ft"):
            assert word in text


@given(st.integers(0, 140), st.integers(0, 50), st.floats(0, 360), st.floats(0, 360), st.booleans())
def test_any_size_and_any_wind_can_be_drawn(width, height, heading, wind, plain):
    picture = draw(
        plan_shapes(PLANS["clay"], Around(heading, wind), hot_to_clean=True), width, height, plain=plain
    )
    assert len(picture.rows) == height
    assert all(len(row) == width for row in picture.rows)


def test_words_of_a_user_are_inert():
    picture = draw([Text(0.0, 0.0, "\x1b[31m[bold]x", "label")], 40, 5)
    assert "?[31m[bold]x" in "\n".join(picture.lines())
