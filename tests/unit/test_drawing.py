"""One geometry: true to scale, points where they are, words that keep clear of each other."""

import math
import re
import xml.etree.ElementTree as ET

import pytest
from hypothesis import given
from hypothesis import strategies as st

from anchorage.checks.installation import heading_true
from anchorage.demo import NAMES, demo_text
from anchorage.deployment.reader import read_text
from anchorage.judging.plan import make_plan
from anchorage.paper.drawing import (
    Circle,
    Dimension,
    Line,
    Polygon,
    Text,
    facing,
    gives_first,
    line_angle,
    plan_shapes,
    section_shapes,
    size,
)
from anchorage.paper.drawings import plan_drawing, section_drawing
from anchorage.paper.sketch import Around
from tui.canvas import MARKS, draw

FILES = {n: read_text(demo_text(n)) for n in NAMES}
PLANS = {n: make_plan(d) for n, d in FILES.items()}
AROUND = Around(40.0, 270.0)


@pytest.mark.parametrize("name", NAMES)
def test_every_point_is_drawn_at_its_place_with_its_count(name):
    plan = PLANS[name]
    shapes = plan_shapes(plan, AROUND)
    circles = [(s.x, s.y) for s in shapes if isinstance(s, Circle)]
    assert circles == [(-p.y_m, p.x_m) for p in plan.anchorage.points]
    words = " ".join(s.text for s in shapes if isinstance(s, Text))
    assert all(f"{p.id}: {p.units + p.stakes}" in words for p in plan.anchorage.points)
    assert words.count("weak") == min(len(gives_first(plan)), 1)
    assert [s.of for s in shapes if isinstance(s, Circle) and s.style == "weak"] == list(gives_first(plan))


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


SVG = "{http://www.w3.org/2000/svg}"


@pytest.mark.parametrize("name", NAMES)
def test_paper_and_terminal_draw_the_same_shapes(name):
    plan, d = PLANS[name], FILES[name]
    around = Around(heading_true(d.site), d.wind.bearing)
    shapes = plan_shapes(plan, around, d, lines=True)
    drawing = plan_drawing(plan, d, (103.0, 112.0))
    k = 1000 / int(re.search(r"Scale 1:(\d+)", drawing.note)[1])
    root = ET.fromstring(drawing.svg)  # noqa: S314 - it is our own
    wall = next(p for p in root.iter(f"{SVG}polygon") if p.get("stroke-width") == "0.9")
    corners = [tuple(map(float, p.split(","))) for p in wall.get("points").split()]
    mx, my = (sum(c[i] for c in corners) / 4 for i in (0, 1))

    def on_paper(x, y):
        return pytest.approx((mx + x * k, my - y * k), abs=0.02)

    places = [(float(e.get("cx")), float(e.get("cy"))) for e in root.iter(f"{SVG}circle")]
    places += [
        (float(e.get("x")) + float(e.get("width")) / 2, float(e.get("y")) + float(e.get("height")) / 2)
        for e in root.iter(f"{SVG}rect")
    ]
    segments = [tuple(float(e.get(n)) for n in ("x1", "y1", "x2", "y2")) for e in root.iter(f"{SVG}line")]
    words = [e.text for e in root.iter(f"{SVG}text")]
    for s in shapes:
        if isinstance(s, Circle):
            assert on_paper(s.x, s.y) in places, s
        elif isinstance(s, Line) and s.style in ("ridge", "line", "door"):
            a, b = on_paper(s.x1, s.y1), on_paper(s.x2, s.y2)
            assert any(t[:2] == a and t[2:] == b for t in segments), s
        elif isinstance(s, Text) and s.style in ("front", "wind", "door", "scale", "label"):
            assert s.text in words
    sizes = [s for s in shapes if isinstance(s, Dimension)]
    assert {"width", "length"} <= {s.of for s in sizes}
    assert all(s.text in words for s in sizes if s.of != "step")
    # the terminal draws the same, without the lines and the sizes
    inner = plan_shapes(plan, around, d)
    assert [s for s in shapes if s in inner and not isinstance(s, Circle | Text)] == [
        s for s in inner if not isinstance(s, Circle | Text)
    ]
    picture = draw(inner, 74, 30)
    assert all(
        f"door {w}" in "\n".join(picture.lines())
        for w in {
            x.text.split()[1] for x in inner if getattr(x, "style", "") == "door" and isinstance(x, Text)
        }
    )


@pytest.mark.parametrize("name", NAMES)
def test_the_section_is_to_scale_and_its_line_has_the_angle_that_is_written_at_it(name):
    plan, d = PLANS[name], FILES[name]
    shapes = section_shapes(plan, d.shelter, d.anchorage)
    top = max(y for s in shapes if isinstance(s, Polygon) for _, y in s.points)
    assert top == pytest.approx(float(d.shelter.ridge))
    lines = [s for s in shapes if isinstance(s, Line) and s.style == "line"]
    angle = line_angle(d.anchorage)
    for s in lines:
        assert math.degrees(math.atan2(s.y1 - s.y2, abs(s.x2 - s.x1))) == pytest.approx(angle)
        assert abs(s.x2) > abs(s.x1), "outwards"
    said = [s.text for s in shapes if isinstance(s, Text)]
    assert any("°" in t for t in said) == bool(lines)
    assert not lines or f"{angle:g}°" in said
    stakes = [s for s in shapes if isinstance(s, Line) and s.style == "stake"]
    assert all(s.y2 == pytest.approx(-float(d.anchorage.stake.driven)) for s in stakes)
    svg = section_drawing(plan, d.shelter, d.anchorage, (88.0, 56.0)).svg
    assert all(t in svg for t in said)


@pytest.mark.parametrize(("form", "edges"), [("gable", 1), ("hip", 5), ("single-slope", 0), ("arch", None)])
def test_edges_of_the_roof_are_drawn_each_once(form, edges):
    d = FILES["clay"]
    update = {"form": form, **({"ridge_length": 4.0} if form == "hip" else {})}
    d = d.model_copy(update={"shelter": d.shelter.model_copy(update=update)})
    roof = [s for s in plan_shapes(PLANS["clay"], AROUND, d) if isinstance(s, Line) and s.style == "ridge"]
    ends = {frozenset([(s.x1, s.y1), (s.x2, s.y2)]) for s in roof}
    assert len(ends) == len(roof)
    assert edges is None or len(roof) == edges


@pytest.mark.parametrize("plain", [False, True])
@pytest.mark.parametrize("cells", [(40, 14), (43, 15), (74, 18), (74, 30), (120, 40)])
@pytest.mark.parametrize("name", NAMES)
def test_proportions_are_true_within_five_per_cent_and_points_on_their_cells(name, cells, plain):
    plan = PLANS[name]
    shapes = plan_shapes(plan, AROUND, FILES[name])
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
        for word in ("R1: 8", "L2: 11 weak", "FRONT faces 40", "WIND 270", "HOT", "CLEAN", "10 ft"):
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


@pytest.mark.parametrize("heading", [0.0, 40.0, 300.0])
def test_the_letter_of_the_north_arrow_never_ends_other_words(heading):
    """``FRONT faces 40 NE`` with the N close by read NEN, in pictures of 34 to 46 columns and 9 to 12 lines."""
    around = Around(heading)
    shapes, words = plan_shapes(PLANS["asphalt"], around), facing(around)
    pictures = [draw(shapes, wide, high) for wide in range(34, 47) for high in (9, 11, 12)]
    assert any(words in line for p in pictures for line in p.lines())
    assert not any(f"{words}N" in line for p in pictures for line in p.lines())


@pytest.mark.parametrize("wind", [None, 90.0, 270.0])
@pytest.mark.parametrize(("heading", "pointer"), [(0.0, "↑"), (40.0, "↖"), (180.0, "↓"), (270.0, "→")])
def test_north_points_somewhere_however_little_room_there_is(heading, pointer, wind):
    """At 80x24 the letter stood there and its arrow lay under other words. Front up: north is turned back by the heading."""
    for hot in (False, True):
        shapes = plan_shapes(PLANS["asphalt"], Around(heading, wind), hot_to_clean=hot)
        for wide, high in ((36, 15), (37, 13), (60, 24)):
            cells = [
                c
                for row in draw(shapes, wide, high).rows
                for c, style in row
                if style == "north" and c != " "
            ]
            assert cells.count("N") == 1
            assert pointer in cells or sum("\u2801" <= c <= "\u28ff" for c in cells) >= 3
