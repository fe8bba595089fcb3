"""Drawings of gusts: what is drawn is to scale, read back out of the drawing itself."""

import math
import re
from datetime import UTC

import pytest

from anchorage.core.units import convert
from anchorage.demo import demo_text
from anchorage.deployment.reader import read_text
from anchorage.judging.plan import assess, make_plan
from anchorage.outlook.build import outlook
from anchorage.outlook.spoken import read_spoken
from anchorage.outlook.weathered import plan_for
from anchorage.paper.charts import LETTER, PEN, polar_drawing, timeline_drawing
from anchorage.paper.svg import PENS, Canvas

NOW = 1_773_165_600
SIZE = 80.0


@pytest.fixture(scope="module")
def plan():
    return make_plan(read_text(demo_text("clay")))


@pytest.fixture(scope="module")
def hours():
    d = read_text(demo_text("clay"))
    found = [read_spoken(["until 23:00 gust 45 mph"], NOW, "heard", zone=UTC, heard=NOW)]
    a = assess(d)
    return outlook(plan_for(a, found), d, found, NOW, UTC)


def polygons(svg, pen):
    return [
        [tuple(map(float, p.split(","))) for p in m[1].split()]
        for m in re.finditer(r'<polygon points="([^"]*)" ' + re.escape(PENS[pen]), svg)
    ]


def test_the_gust_by_bearing_is_drawn_to_scale(plan):
    """Distance from the middle over the outer ring is the gust over what that ring stands for."""
    drawing = polar_drawing(plan, None, SIZE)
    ((*corners,),) = polygons(drawing.svg, "thick")
    found = [(b.bearing, b.gust_m_s) for b in plan.limit.by_bearing if b.gust_m_s is not None]
    middle = (SIZE / 2 + 4.0, SIZE / 2)
    rings = [float(r) for r in re.findall(r'<circle [^>]*r="([\d.]+)"', drawing.svg)]
    top = max(int(t) for t in re.findall(r">(\d+)</text>", drawing.svg))
    scale = max(rings) / top
    for (x, y), (bearing, gust) in zip(corners, found, strict=True):
        away = math.hypot(x - middle[0], y - middle[1])
        assert away == pytest.approx(convert("speed", gust, "mph") * scale, abs=0.02)
        turned = math.degrees(math.atan2(x - middle[0], middle[1] - y)) % 360
        assert turned == pytest.approx(bearing % 360, abs=0.1)


def test_no_picture_of_bearings_that_are_not_known(plan):
    two = plan.limit.by_bearing[:2]
    bare = plan.model_copy(update={"limit": plan.limit.model_copy(update={"by_bearing": two})})
    assert polar_drawing(bare, None, SIZE) is None


def test_each_hour_is_a_bar_as_high_as_its_gust_in_the_pen_of_its_level(hours):
    drawing = timeline_drawing(hours, UTC, 160.0)
    bars = re.findall(
        r'<rect x="[\d.]+" y="([\d.]+)" width="[\d.]+" height="([\d.]+)" ([^/]*)/>', drawing.svg
    )
    drawn = [(float(h), pen) for _, h, pen in bars if pen != PENS["blank"]]
    assert len(drawn) == len(hours.hours)
    most = max(h.gust_m_s or 0.0 for h in hours.hours)
    high = max(h for h, _ in drawn)
    for (bar, pen), hour in zip(drawn, hours.hours, strict=True):
        assert bar == pytest.approx(high * (hour.gust_m_s or 0.0) / most, abs=0.02)
        assert pen == PENS[PEN[hour.level]]
        if LETTER[hour.level]:
            assert f">{LETTER[hour.level]}</text>" in drawing.svg


def test_the_level_lines_are_at_their_shares(hours):
    svg = timeline_drawing(hours, UTC, 160.0).svg
    lines = [
        float(y) for y in re.findall(r'y1="([\d.]+)" x2="[\d.]+" y2="[\d.]+" ' + re.escape(PENS["dash"]), svg)
    ]
    floor = float(re.findall(r'<line x1="19.00" y1="([\d.]+)" x2="157.00" y2="\1"', svg)[-1])
    secure, out, limit = sorted(floor - y for y in lines)
    shares = hours.levels
    assert secure / limit == pytest.approx(shares.secure / shares.keep_away, abs=1e-3)
    assert out / limit == pytest.approx(shares.people_out / shares.keep_away, abs=1e-3)


def test_levels_can_be_told_without_colour():
    assert set(LETTER) == set(PEN)
    assert len({(LETTER[k], PEN[k]) for k in LETTER}) == len(LETTER)


def test_what_is_written_in_a_drawing_is_text_and_no_markup():
    c = Canvas(10.0, 10.0)
    c.text(1.0, 1.0, '<script>&"')
    svg = c.svg("a < b")
    assert "<script>" not in svg
    assert "&lt;script&gt;&amp;" in svg
    assert "a &lt; b" in svg
