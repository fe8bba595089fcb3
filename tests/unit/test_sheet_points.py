"""The points for other programs: cells that start no formula, and a map that a library of the format accepts."""

import csv
import io
import itertools
import json
import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from anchorage.cli.entry import main
from anchorage.demo import NAMES, demo_text
from anchorage.deployment.reader import read_text
from anchorage.judging.plan import make_plan
from anchorage.paper.content import Made
from anchorage.paper.points import (
    COLUMNS,
    EARTH,
    PointsError,
    inert_cell,
    place_of,
    points_csv,
    points_geojson,
    table_csv,
)

MADE = Made("s.toml", "0" * 12, 1773165600)
STARTS = ("=", "+", "-", "@", "|", "%", "\t", "\r", "＝", "＋", "－", "＠")


def placed(name: str = "asphalt", **site: float):
    d = read_text(demo_text(name))
    return d.model_copy(
        update={"site": d.site.model_copy(update={"latitude": 41.5, "longitude": -87.6, **site})}
    )


@pytest.mark.parametrize("name", NAMES)
def test_the_table_says_what_the_plan_says(name):
    plan = make_plan(read_text(demo_text(name)))
    rows = list(csv.DictReader(io.StringIO(points_csv(plan), newline="")))
    assert tuple(rows[0]) == COLUMNS
    for row, p in zip(rows, plan.anchorage.points, strict=True):
        assert row["id"] == p.id
        assert int(row["units"]) == p.units
        assert int(row["stakes"]) == p.stakes
        for key in ("x_m", "y_m", "mass_kg", "uplift_n", "sliding_n"):
            assert float(row[key]) == pytest.approx(getattr(p, key), abs=0.051)


@given(st.one_of(st.text(max_size=30), st.tuples(st.sampled_from(STARTS), st.text(max_size=20)).map("".join)))
def test_no_cell_starts_a_formula(text):
    cell = inert_cell(text)
    first = cell.lstrip()[:1]
    if first in STARTS:
        float(cell)  # a number and nothing else
    back = next(csv.reader(io.StringIO(table_csv(("a",), [(text,)]), newline="")))
    assert back == ["a"]


@pytest.mark.parametrize(
    "text", ["=1+1", "+1+1", "-1+cmd|' /C calc'!A0", "@SUM(A1)", " =1", "\t=1", '"=1', "'=1", "＝1"]
)
def test_known_tricks_are_text(text):
    assert inert_cell(text).startswith("'")


def test_numbers_and_words_stay_as_they_are():
    assert [inert_cell(t) for t in ("-5.2", "+3", "1e3", "sandbag", "", "R1")] == [
        "-5.2", "+3", "1e3", "sandbag", "", "R1",
    ]  # fmt: skip


def test_a_library_of_the_format_accepts_the_map():
    from geojson_pydantic import FeatureCollection, Point, Polygon

    d = placed()
    plan = make_plan(d)
    found = FeatureCollection.model_validate_json(points_geojson(plan, d.site, MADE))
    assert isinstance(found.features[0].geometry, Polygon)
    ring = found.features[0].geometry.coordinates[0]
    area = sum(a[0] * b[1] - b[0] * a[1] for a, b in itertools.pairwise(ring))
    assert area > 0  # counterclockwise, as RFC 7946 asks for
    assert [f.id for f in found.features[1:]] == [p.id for p in plan.anchorage.points]
    assert all(isinstance(f.geometry, Point) for f in found.features[1:])
    assert found.features[1].properties["units"] == plan.anchorage.points[0].units


@pytest.mark.parametrize("heading", [0, 40, 90, 180, 271.5])
def test_the_points_lie_where_the_heading_puts_them(heading):
    d = placed(heading=heading)
    east, north = place_of(d.site, 10.0, 0.0)  # 10 m towards the front
    dy = math.radians(north - 41.5) * EARTH
    dx = math.radians(east + 87.6) * EARTH * math.cos(math.radians(41.5))
    assert math.hypot(dx, dy) == pytest.approx(10.0, abs=0.01)
    assert math.degrees(math.atan2(dx, dy)) % 360 == pytest.approx(heading % 360, abs=0.05)
    left = place_of(d.site, 0.0, 10.0)
    ly = math.radians(left[1] - 41.5) * EARTH
    lx = math.radians(left[0] + 87.6) * EARTH * math.cos(math.radians(41.5))
    assert math.degrees(math.atan2(lx, ly)) % 360 == pytest.approx((heading - 90) % 360, abs=0.05)


def test_without_a_place_or_a_heading_there_is_no_map():
    with pytest.raises(PointsError, match=r"site\.latitude"):
        place_of(read_text(demo_text("asphalt")).site, 0, 0)
    with pytest.raises(PointsError, match=r"site\.heading"):
        place_of(placed(heading=None).site, 0, 0)
    assert place_of(placed(longitude=179.9999).site, 0.0, 100.0)[0] == pytest.approx(179.99898, abs=2e-5)
    assert -180 <= place_of(placed(longitude=179.9999, heading=90).site, 100.0, 0.0)[0] < -179.9


def test_from_the_command_line(capsys, tmp_path):
    site = tmp_path / "site.toml"
    site.write_text(demo_text("clay").replace("[site]\n", "[site]\nlatitude = 41.5\nlongitude = -87.6\n"))
    assert main(["sheet", str(site), "-o", str(tmp_path / "p.geojson")]) == 0
    assert len(json.loads((tmp_path / "p.geojson").read_text())["features"]) == 9
    assert main(["sheet", str(site), "-o", str(tmp_path / "p.csv")]) == 0
    assert (tmp_path / "p.csv").read_bytes().count(b"\r\n") == 9
    capsys.readouterr()
