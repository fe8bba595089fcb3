"""Lines laid out, stretches kept clear, and the page; what is worse there never gives a better way."""

import json

import numpy as np
import pytest
from toml_writer import demo, written

from anchorage.checks.lines import rubbing
from anchorage.cli.entry import main
from anchorage.core.checked import What
from anchorage.core.errors import InputFaults, NotModelledError
from anchorage.deployment.reader import read_text
from anchorage.judging.plan import assess
from anchorage.paper.drawing import Line, Text, plan_shapes
from anchorage.ways.candidates import candidates
from anchorage.ways.compare import ways
from anchorage.ways.layout import in_the_way, laid
from anchorage.ways.work import crew_of

CLAY = {"wind__speed": "18 mph", "anchorage__placed": 1}


def of(name="clay", **changes):
    return assess(read_text(written(demo(name, **{**CLAY, **changes} if name == "clay" else changes))))


def test_where_a_line_comes_down_by_hand():
    """Eave 7 ft, lines at 45 and 30 degrees: 7 ft and 12.12 ft from the wall, 9.90 ft and 14 ft long."""
    for angle, out, long in ((45, 7.0, 9.8995), (30, 12.1244, 14.0)):
        lines = laid(of(anchorage__stake__line_angle=angle).installation)
        assert len(lines) == 8
        assert {x.angle_deg for x in lines} == {angle}
        assert lines[0].from_wall_m == pytest.approx(out * 0.3048, rel=1e-4)
        assert lines[0].length_m == pytest.approx(long * 0.3048, rel=1e-4)


def test_lines_run_square_to_their_side_and_half_way_from_corners():
    """The front faces south (180): left of it is east, and from the left front corner half way between."""
    by = {x.point: x for x in laid(of().installation)}
    assert by["L2"].from_front_deg == pytest.approx(270)
    assert by["L2"].bearing_deg == pytest.approx(90)
    assert by["R2"].bearing_deg == pytest.approx(270)
    assert by["L1"].bearing_deg == pytest.approx(135)
    assert by["R4"].bearing_deg == pytest.approx(315)


def test_ballast_has_no_lines():
    assert laid(of("asphalt").installation) == []


def test_a_stretch_kept_clear_takes_the_ways_whose_lines_cross_it_and_no_other():
    keep = [{"side": "left", "from": "7 ft", "to": "9 ft", "why": "fire lane"}]
    free, kept = ways(of()), ways(of(keep_clear=keep))
    lined = [w for w in free.ways if w.lines]
    assert lined
    assert not [w for w in kept.ways if any(x.point == "L2" for x in w.lines)]
    assert any("kept clear at L2 (fire lane)" in n.why for n in kept.not_)
    other = of(keep_clear=[{"side": "left", "from": "9 ft", "to": "12 ft", "why": "bench"}]).installation
    assert in_the_way(other.deployment.keep_clear, other.shape, other.hard, other.counts.tolist()) == ""


def test_a_stretch_kept_clear_is_on_the_plan_where_it_is():
    """18 ft wide, 24 ft long: 4 to 10 ft from the left along the front, 7 to 9 ft from the front along the left."""
    keep = [
        {"side": "front", "from": "4 ft", "to": "10 ft", "why": "exit"},
        {"side": "left", "from": "7 ft", "to": "9 ft"},
    ]
    a = of(keep_clear=keep)
    shapes = plan_shapes(a.plan, d=a.deployment, lines=True)
    front, left = (s for s in shapes if isinstance(s, Line) and s.style == "clear")
    feet = 0.3048
    assert (front.x1, front.x2) == pytest.approx(((4 - 9) * feet, (10 - 9) * feet))
    assert front.y1 == front.y2 > 12 * feet
    assert (left.y1, left.y2) == pytest.approx(((12 - 7) * feet, (12 - 9) * feet))
    assert left.x1 == left.x2 < -9 * feet
    assert {s.text for s in shapes if isinstance(s, Text) and s.style == "clear"} == {
        "keep clear: exit",
        "keep clear",
    }


def test_a_corner_is_in_the_way_where_the_stretch_reaches_the_end_of_its_wall():
    kept = ways(of(keep_clear=[{"side": "front"}]))
    assert any("L1 (front), R1 (front)" in n.why for n in kept.not_)


def test_a_stretch_that_ends_before_it_begins_is_a_fault():
    with pytest.raises(InputFaults, match=r"keep_clear\[1\]\.to"):
        of(keep_clear=[{"side": "left", "from": "9 ft", "to": "7 ft"}])


SQUARE = {"L1": 270.0, "L4": 270.0, "R1": 90.0, "R4": 90.0}
HALF_WAY = {"L1": 315.0, "L4": 225.0, "R1": 45.0, "R4": 135.0}
TURNED = {"wind__from": None, "anchorage__stake__pull_tests": None, "anchorage__stake__pull_angle": None, "anchorage__stake__pulled": None, "anchorage__stake__tested": None}  # fmt: skip


def worst(x, name, along):
    """Least pressure of a check among the cases with wind straight along the ridge, or straight across it."""
    push = x.base.cases.push
    some = np.abs(push[:, 1 if along else 0]) < 1e-9
    return min(float(np.min(f.q[..., some, :])) for f in x.limits() if f.name == name)


def test_the_directions_that_are_taken_where_nothing_is_said_may_be_said():
    assert of(anchorage__line_plan=HALF_WAY).plan.limit.gust_m_s == pytest.approx(of().plan.limit.gust_m_s)


def test_corner_lines_across_the_ridge_hold_nothing_along_it_and_more_across():
    """Two points at an end: along the ridge only corner lines pull, cos 45 of each; turned square to the sides none do, and
    friction is all. Across it each brings all of its level pull, where half way it brought cos 45 of it.
    """
    half, square = (
        of(**TURNED, anchorage__line_plan=plan, shelter__points_per_end=2).installation
        for plan in (None, SQUARE)
    )
    assert worst(square, "slide", along=True) < worst(half, "slide", along=True)
    rub = [float(v) for v in np.ravel(rubbing(square.base, square.held(), square.factors.wind))]
    assert any(q == pytest.approx(worst(square, "slide", along=True)) for q in rub)
    assert worst(square, "stake: push", along=False) > worst(half, "stake: push", along=False)


def test_a_line_along_the_ridge_holds_nothing_of_its_frame():
    """The end frame then has no line against a push across: it slides on its own weight."""
    x = of(anchorage__line_plan={"L1": 0.0, "R1": 0.0}).installation
    found = [f for f in x.limits() if f.check.what is What.SLIDE_OF_FRAME]
    assert np.isfinite(found[0].q[..., 0]).any()
    assert not np.isfinite(found[0].q[..., 1:]).any()
    assert x.gust_held() < of().installation.gust_held()


@pytest.mark.parametrize("plan", [{"L2": 90.0}, {"L2": 0.0}, {"L1": 180.0}, {"X9": 0.0}])
def test_a_line_under_the_shelter_or_from_nowhere_is_refused(plan):
    with pytest.raises(NotModelledError, match="line_plan"):
        of(anchorage__line_plan=plan)


def test_lines_turn_away_from_what_is_kept_clear():
    """The whole front is kept clear: corner lines there run square to the sides, as one of the ways, and no other may run."""
    a = of(keep_clear=[{"side": "front", "why": "exit"}], wind__speed="12 mph")
    found = ways(a)
    way = next(w for w in found.ways if w.lines)
    lines = {x.point: x for x in way.lines}
    assert {i: lines[i].from_front_deg for i in ("L1", "R1")} == {"L1": 270.0, "R1": 90.0}
    assert lines["L1"].allowed_deg == [270.0]
    assert lines["L4"].allowed_deg == [225.0, 180.0, 270.0]
    assert any("kept clear" in n.why and "L1 (exit)" in n.why for n in found.not_)
    away = [
        i.changes["anchorage.line_plan"] for i in candidates(a.deployment).found if "turned away" in i.name
    ]
    assert {"L1": 270.0, "R1": 90.0} in away


def test_a_line_is_drawn_where_it_runs():
    """From the corner at 9 ft to the left and 12 ft to the front, 7 ft out: square to its side to 16 ft, and 12 ft to the front still."""
    a = of(anchorage__line_plan=SQUARE, wind__speed="12 mph")
    drawn = [
        s for s in plan_shapes(a.plan, d=a.deployment, lines=True) if isinstance(s, Line) and s.of == "L1"
    ]
    assert (drawn[0].x2, drawn[0].y2) == pytest.approx((-16 * 0.3048, 12 * 0.3048))


def test_worse_is_never_better():
    """Less to choose from, more kept clear: no way that was not there, and no better best."""
    lawn = {"site__other": [{"surface": "grass", "state": "wet"}], "stock": {"sandbags": 40}}
    more, less = ways(of("asphalt", **lawn)), ways(of("asphalt", stock={"sandbags": 40}))
    assert max(w.gust_m_s for w in more.ways) >= max(w.gust_m_s for w in less.ways) - 1e-9
    assert crew_of(read_text(written(demo("asphalt", crew={"people": 2}))).crew) == 2


def test_the_page_has_the_list_the_drawings_and_the_lines(tmp_path, capsys):
    path, page = tmp_path / "clay.toml", tmp_path / "ways.html"
    path.write_text(written(demo("clay", **CLAY)), encoding="utf-8")
    assert main(["ways", str(path), "-o", str(page), "--now", "2026-11-28T06:00:00Z"]) == 0
    capsys.readouterr()
    text = page.read_text(encoding="utf-8")
    for words in (
        "WAYS TO HOLD IT",
        "DOES NOT DO IT",
        "CAUTIONS",
        "Plan with anchor points",
        "Section across the ridge",
        "from the wall",
        "9 ft 11 in",
    ):
        assert words in text, words
    main(["ways", str(path), "--json"])
    lines = next(w["lines"] for w in json.loads(capsys.readouterr().out)["ways"] if w["lines"])
    assert set(lines[0]) == {"point", "angle_deg", "from_front_deg", "bearing_deg", "from_wall_m", "length_m", "allowed_deg"}  # fmt: skip
    assert lines[0]["allowed_deg"] == [315, 0, 270]


def test_the_page_is_never_written_over_its_own_file(tmp_path, capsys):
    path = tmp_path / "clay.html"
    path.write_text(written(demo("clay", **CLAY)), encoding="utf-8")
    assert main(["ways", str(path), "-o", str(path)]) == 2
    assert path.read_text(encoding="utf-8") == written(demo("clay", **CLAY))
    capsys.readouterr()
