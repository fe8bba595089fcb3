"""Lines laid out and what a way costs, at and beside each boundary; a shelter of 8 by 6 m with its eave at 2 m, every figure by hand."""

from types import SimpleNamespace as Made
from typing import Any

import pytest

from anchorage.shelter.shape import Point
from anchorage.ways import layout
from anchorage.ways.work import Work, at_a_point, crew_of, depth_at, of_one, work_of

HALF = 0.5**0.5
SIDE, CORNER = Point("L2", 1.0, 3.0, "side", (0.0, 1.0)), Point("L1", 4.0, 3.0, "corner", (HALF, HALF))


def form(*points: Point) -> Any:
    return Made(length=8.0, width=6.0, eave=2.0, points=points)


def keep(
    side: str = "left", start: float | None = None, end: float | None = None, why: str | None = None
) -> Any:
    return Made(side=side, start=start, end=end, why=why)


def crosses(k: Any, x: float, y: float, way: tuple[float, float], *run: float) -> bool:
    return layout.crossed([k], form(), Point("P", x, y, "side", way), *run) is k


@pytest.mark.parametrize(
    ("side", "x", "y", "at"), [("left", 1, 3, 3), ("right", 1, -3, 3), ("front", 4, 1, 2), ("back", -4, 1, 2)]
)
def test_where_a_point_stands_along_a_wall(side: str, x: float, y: float, at: float) -> None:
    """From the front, and from the left; on its own wall alone."""
    p = Point("P", x, y, "side", (0.0, 0.0))
    assert [layout._along(p, form(), s) for s in ("left", "right", "front", "back")] == [
        at if s == side else None for s in ("left", "right", "front", "back")
    ]


@pytest.mark.parametrize(
    ("start", "end", "found"),
    [(2, 4, True), (0, 3, True), (3, 5, True), (3.1, 5, False), (0, 2.9, False), (None, 3, True), (None, 2.9, False), (3, None, True), (3.1, None, False), (None, None, True)],
)  # fmt: skip
def test_a_line_that_runs_square_to_its_wall(start: float | None, end: float | None, found: bool) -> None:
    """It stands 3 m from the front."""
    assert crosses(keep("left", start, end), 1, 3, (0, 1)) is found
    assert not crosses(keep("right", start, end), 1, 3, (0, 1))


@pytest.mark.parametrize(
    ("start", "end", "run", "found"),
    [(5, 7, 5.0, True), (5, 7, 3.0, False), (5, 7, None, True), (6, 7, 5.0, True), (1, 2, None, False), (1, 3, 1.0, True), (2, 7, 1.0, True)],
)  # fmt: skip
def test_a_line_that_leads_away_from_the_front(
    start: float, end: float, run: float | None, found: bool
) -> None:
    """Six metres along for ten out: 3 m in 5, from 3 m to 6 m."""
    assert crosses(keep("left", start, end), 1, 3, (-0.6, 0.8), *([] if run is None else [run])) is found


@pytest.mark.parametrize(
    ("start", "end", "run", "found"),
    [(1, 2, 5.0, True), (1, 2, 1.5, False), (1, 2, 1.7, True), (5, 7, None, False)],
)
def test_a_line_that_leads_to_the_front(start: float, end: float, run: float | None, found: bool) -> None:
    assert crosses(keep("left", start, end), 1, 3, (0.6, 0.8), *([] if run is None else [run])) is found


def test_a_line_that_leads_to_the_left_along_the_front() -> None:
    """From 2 m beside the left corner."""
    assert crosses(keep("front", 0, 1), 4, 1, (0.8, 0.6), 2.0)
    assert not crosses(keep("front", 0, 1), 4, 1, (0.8, 0.6), 1.0)
    assert not crosses(keep("front", 0, 1), 4, 1, (0.8, -0.6), 2.0)
    assert crosses(keep("back", 3, 4), -4, 1, (-0.8, -0.6), 2.0)


def test_a_line_along_its_wall_or_away_from_it_crosses_nothing_there() -> None:
    assert not crosses(keep("left", 0, 1), 4, 3, (1, 0))
    assert crosses(keep("front", 0, 1), 4, 3, (1, 0))
    assert crosses(keep("left", 0, 1), 4, 3, (HALF, HALF))
    assert not crosses(keep("left", 1, 2), 4, 3, (HALF, HALF))


def test_the_first_that_is_crossed() -> None:
    far, one, two = keep("left", 5, 6), keep("left", 2, 3), keep("left", 3, 4)
    assert layout.crossed([far, keep("right"), one, two], form(), SIDE) is one
    assert layout.crossed([far], form(), SIDE) is None


def test_directions_that_are_free() -> None:
    """Clockwise from the front: half way first, then square to each side."""
    assert layout.directions([], form(), CORNER) == [315.0, 0.0, 270.0]
    assert layout.directions([keep("front", 0, 1)], form(), CORNER) == [270.0]
    assert layout.directions([], form(), SIDE) == [270.0]
    assert layout.directions([], form(), Point("R1", 4.0, -3.0, "corner", (0, 0))) == [45.0, 0.0, 90.0]
    assert layout.directions([], form(), Point("L4", -4.0, 3.0, "corner", (0, 0))) == [225.0, 180.0, 270.0]


def line(angle: float | None) -> Any:
    return Made(line_angle=angle)


def test_lines_in_the_way() -> None:
    """At 45 degrees it comes down 2 m out, 4.2 m from the front; at 30 degrees 3.46 m out, at 5.08 m."""
    p = Point("L2", 1.0, 3.0, "side", (-0.6, 0.8))
    fire = [keep("left", 4.5, 6, "fire lane")]
    assert [layout.in_the_way(fire, form(p), [line(a)], [n]) for a, n in ((45, 1), (30, 0), (None, 1))] == [
        ""
    ] * 3
    assert (
        layout.in_the_way(fire, form(p), [line(30)], [1])
        == "its lines would cross what is kept clear at L2 (fire lane)"
    )
    both = layout.in_the_way([keep()], form(SIDE, CORNER), [line(45)] * 2, [1, 1])
    assert both.endswith(" at L2 (left), L1 (left)")


def test_walls_with_a_door_along_which_a_line_runs() -> None:
    doors = [Made(wall=w) for w in ("left", "left", "back", "front")]
    assert layout.through_doors(doors, form(SIDE, CORNER), [line(45)] * 2, [1, 1]) == ["left"]
    assert (
        layout.through_doors(doors, form(SIDE), [line(45)], [0])
        == layout.through_doors(doors, form(SIDE), [line(None)], [1])
        == []
    )
    assert layout.through_doors(doors, form(CORNER), [line(45)], [1]) == []


def test_lines_as_they_are_laid(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(layout, "shape_of", lambda _: form(SIDE, SIDE, CORNER, SIDE))
    monkeypatch.setattr(layout, "lined", lambda _, f: f)
    for heading, bearing in ((None, None), (100.0, 10.0)):
        monkeypatch.setattr(layout, "heading_true", lambda _, h=heading: h)
        d = Made(site=None, anchorage=None, shelter=Made(eave=2.0), keep_clear=[])
        out = layout.laid(
            Made(deployment=d, hard=[line(None), line(45), line(45), line(30)], counts=[1, 0, 1, 1])
        )
        assert [(o.point, o.from_front_deg) for o in out] == [("L1", 315.0), ("L2", 270.0)]
        assert (out[1].angle_deg, out[1].bearing_deg, out[1].allowed_deg) == (30, bearing, [270.0])
        assert (out[1].from_wall_m, out[1].length_m) == (pytest.approx(3.4641, rel=1e-4), pytest.approx(4.0))
        assert out[0].length_m == pytest.approx(2.8284, rel=1e-4)


# What it costs, by the rates of the tables


def unit(name: str = "crate", mass: float = 18.1, kind: str = "ballast", angle: float | None = None) -> Any:
    return Made(kind=kind, unit_name=name, unit_mass=mass, line_angle=angle)


def anchorage(how: str | None = "standing-tied", driven: float | None = None) -> Any:
    return Made(how=how, stake=None if driven is None else Made(driven=driven))


def work(
    hard: list[Any],
    counts: list[int],
    by: Any = None,
    people: int | None = 2,
    points: Any = (),
    **more: float,
) -> Work:
    return work_of(
        by or anchorage(),
        Made(people=people),
        list(points),
        hard,
        [f"L{i + 1}" for i in range(len(hard))],
        counts,
        **more,
    )


def test_minutes_of_the_crew() -> None:
    assert [Work(p, 0.0, 0.0, "", 3).minutes for p in (9.0, 9.1, 10.0, 12.0)] == [3, 4, 4, 4]
    assert crew_of(Made(people=7)) == 7
    assert crew_of(Made(people=None)) > 0


@pytest.mark.parametrize(
    ("name", "mass", "how", "minutes", "hands", "water"),
    [
        ("sandbag", 18.1, "standing-tied", 13.0, "one person", False),  # 3 to tie, 2 of 5
        ("sandbag", 18.1, "lashed-to-leg", 15.0, "one person", False),  # and 2 of 1 to bind
        ("sandbag", 18.1, "hung-clear", 13.0, "one person", False),
        ("sandbag", 18.1, None, 10.0, "one person", False),
        ("water-barrel", 200.0, None, 16.0, "", True),
        ("water-tote", 1000.0, None, 40.0, "", True),
        ("crate", 18.1, None, 3.0, "one person", False),
        ("crate", 18.19, None, 3.0, "one person", False),  # half a hundredth over
        ("crate", 18.3, None, 3.0, "two people", False),
        ("crate", 36.3, None, 3.0, "two people", False),
        ("crate", 36.5, None, 40.0, "a machine", False),
    ],
)  # fmt: skip
def test_two_at_a_point(
    name: str, mass: float, how: str | None, minutes: float, hands: str, water: bool
) -> None:
    w = work([unit(name, mass)], [2], anchorage(how))
    assert (w.person_min, w.hands, w.crew) == (pytest.approx(minutes), hands, 2)
    assert (w.mass_kg, w.water_kg) == (pytest.approx(2 * mass), pytest.approx(2 * mass if water else 0.0))
    assert set(w.loads) == (set() if water else {"pickup", "trailer", "truck"})


def test_what_is_driven_and_what_is_buried() -> None:
    """4 minutes for the first half metre, 12 for each further one; 5 for the line of a point."""
    for driven, minutes in ((0.9, 8.8), (0.5, 4.0), (0.4, 4.0)):
        assert of_one(anchorage(), unit(kind="stakes"), driven) == pytest.approx(minutes)
    w = work([unit(kind="stakes", angle=45.0)], [2], anchorage(driven=0.9))
    assert (w.person_min, w.mass_kg, w.hands, w.loads) == (pytest.approx(5 + 2 * 8.8), 0.0, "", {})
    assert work([unit(kind="deadman")], [1], anchorage("lashed-to-leg")).person_min == 120.0
    line_ballast = work([unit(kind="line-ballast", angle=45.0)], [2], anchorage("lashed-to-leg"))
    assert (line_ballast.person_min, line_ballast.mass_kg) == (8.0, 36.2)
    assert at_a_point(anchorage(), unit(kind="stakes")) == 0.0
    assert at_a_point(anchorage("standing"), unit()) == 0.0


def test_how_deep_it_is_driven() -> None:
    points: Any = [Made(id="L1", driven=None), Made(id="L2", driven=0.6)]
    assert [depth_at(anchorage(driven=0.9), points, i) for i in ("L1", "L2", "L3")] == [0.9, 0.6, 0.9]
    assert depth_at(anchorage(), points, "L1") == 0.0


def test_points_together() -> None:
    """10 m there and back take 0.4 minutes a unit; what has none counts nothing, and the heaviest says what lifts it."""
    hard = [unit(mass=19.0), unit(kind="none", mass=999.0), unit(mass=10.0), unit(mass=999.0)]
    w = work(hard, [1, 5, 2, 0], anchorage(None), more=7.0)
    assert (w.person_min, w.mass_kg, w.hands) == (11.5, 39.0, "two people")
    assert work(hard, [1, 5, 2, 0], anchorage(None), carry=10.0).person_min == pytest.approx(4.5 + 3 * 0.4)
    assert (
        work([unit("water-barrel", 200.0), unit(mass=19.0), unit("water-barrel", 100.0)], [1, 1, 1]).water_kg
        == 300.0
    )


@pytest.mark.parametrize(
    ("mass", "loads"), [(1300.0, (3, 1, 1)), (1200.0, (2, 1, 1)), (1510.0, (3, 2, 1)), (600.0, (1, 1, 1))]
)
def test_loads(mass: float, loads: tuple[int, ...]) -> None:
    """600, 1,500 and 4,500 kg; water is not carried."""
    w = work([unit(mass=mass), unit("water-tote", 1000.0)], [1, 1])
    assert tuple(w.loads[k] for k in ("pickup", "trailer", "truck")) == loads
