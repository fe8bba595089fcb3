"""Pages and lists that no other test asks by name: the movement list, what is found in records, the page of ways, masses, lulls."""

import csv
import io
from datetime import UTC, timedelta, timezone

import pytest

from anchorage.core import tables
from anchorage.core.out import Level
from anchorage.demo import demo_text
from anchorage.deployment.reader import read_text
from anchorage.fleet.moving import Down, Why
from anchorage.fleet.show_moves import by_words, why_words, words_of
from anchorage.holding.usual import MASS_UNUSUAL, mass_asks
from anchorage.judging.plan import make_plan
from anchorage.outlook.clock import read_iso
from anchorage.outlook.result import HourOut
from anchorage.paper.blocks import Bullets, Grid, Heading
from anchorage.paper.content import Made
from anchorage.paper.find_text import find_csv, find_data, find_lines
from anchorage.paper.movement_page import CrewList, Movement, movement_document
from anchorage.paper.ways_page import chosen, lines_grid
from anchorage.record.find import Found, Hit, Looked, Query
from anchorage.record.stand import Reading
from anchorage.record.store import Entry
from anchorage.ways.lull import _longest, when_calm
from anchorage.ways.result import LineOut, WayOut, WaysOut

MADE = Made("county.toml", "0" * 64, 1_800_000_000)
NOON = 1_800_014_400  # 15 Jan 2027, 12:00 UTC
MPH = 0.44704


@pytest.fixture(scope="module")
def deployment():
    return read_text(demo_text("asphalt"), "asphalt.toml")


@pytest.fixture(scope="module")
def plan(deployment):
    return make_plan(deployment)


# the movement list


def test_a_movement_list_has_a_box_for_every_load_and_for_all_that_comes_down() -> None:
    crews = (
        CrewList("Crew 1", (("06:00", "07:30", "08:00", "store", "north", "60 sandbags", "2"),)),
        CrewList("Crew 2", (("06:10", "07:00", "09:00", "south", "north", "4 stakes", "1"),) * 2),
    )
    down = (("south", "NOW", "too little"), ("west", "Fri 12:00", "its rating"))
    m = Movement(
        "2 of 3 hold.", crews, down, (("north", "8 at each corner"),), ("no bags left",), ("a note",)
    )
    document = movement_document(m, MADE, "a4")
    grids = [b for b in document.blocks if isinstance(b, Grid)]
    assert [[row[0] for row in g.rows] for g in grids] == [["☐", "☐"], ["☐"], ["☐", "☐"], ["north"]]
    assert grids[0].rows[0][1:] == down[0]  # the first first
    assert [r[1:] for r in grids[1].rows] == list(crews[0].rows)
    said = [t for b in document.blocks if isinstance(b, Bullets) for t in b.items]
    assert {"no bags left", "a note", *(t.short for t in tables.texts("caution-"))} <= set(said)
    assert document.paper == "a4"


def test_a_movement_list_says_nothing_of_what_there_is_not() -> None:
    document = movement_document(Movement("All hold.", (), (), (), (), ()), MADE, "letter")
    assert [b.text for b in document.blocks if isinstance(b, Heading)] == ["NOTES"]
    assert not [b for b in document.blocks if isinstance(b, Grid)]


# what is moved, in words


def test_by_when_it_comes_down() -> None:
    def down(by: int | None, *, standing: bool = True) -> str:
        return by_words(Down("a.toml", by, next(iter(Why)), "", standing), NOON, UTC)

    assert down(NOON - 1) == down(NOON) == "NOW"
    assert down(NOON + 60) == "Fri 12:01"
    assert down(None) == "no time known"
    assert down(NOON - 1, standing=False) == "DO NOT PUT UP"


def test_what_may_stand_empty_says_by_when_everybody_is_out() -> None:
    def why(*, empty: bool, out_by: int | None = None) -> str:
        return why_words(Down("a.toml", NOON, next(iter(Why)), "Too little.", True, empty, out_by), UTC)

    assert why(empty=False) == "Too little."
    assert why(empty=True).endswith("EMPTY: what it has holds that to the end.")
    assert "EMPTY, everybody out by Fri 12:00: " in why(empty=True, out_by=NOON)


def test_things_of_a_store_in_words() -> None:
    assert [words_of("sandbags", 1), words_of("water_barrels", 2)] == ["1 sandbag", "2 water barrels"]


# what is found in records


def hit(plan, n: int, gust: float, level: Level, *, limit: float = 20.0, withdrawn: bool = False) -> Hit:
    e = Entry(n, NOON + n, NOON + n, "Kim", "note", {"text": f"entry {n}"}, "f", "b", f"seal{n}")
    r = Reading(e, gust, gust / limit, level, limit, level)
    return Hit("north.toml", "North", e, r, level, withdrawn, plan)


def found(plan) -> Found:
    hits = (
        hit(plan, 1, 10.0, "normal"), hit(plan, 2, 17.0, "people-out"), hit(plan, 3, 15.0, "secure", withdrawn=True),
    )  # fmt: skip
    records = (
        Looked("north.toml", "North", hits),
        Looked("south.toml", "South", faults=("entry 4 was changed",), why_not="no deployment file"),
    )
    return Found(records, Query(), hits)


def test_what_is_found_is_listed_with_what_came_against_what_was_held(plan) -> None:
    zone = timezone(timedelta(hours=-6))
    text = " ".join(" ".join(find_lines(found(plan), "us", zone, "CST")).split())
    assert text.startswith("3 entries found in 2 records. Times are CST.")
    assert "2027-01-15 06:00 north Kim:" in text  # 12:00 UTC
    assert text.count("NEAR MISS") == 2  # in the list, and among the highest
    assert (
        "38.1 of 44.7 mph, 85 %" in text or "39 of 44 mph" in text or "of what was held, PEOPLE OUT" in text
    )
    assert text.count("(withdrawn by a later entry)") == 1
    assert "south.toml: not held against a limit: no deployment file" in text
    assert "south.toml: THE RECORD WAS CHANGED: entry 4 was changed" in text


def test_what_is_found_as_a_table_and_as_json_in_si(plan) -> None:
    f = found(plan)
    rows = list(csv.DictReader(io.StringIO(find_csv(f, "us"))))
    assert [(r["entry"], float(r["gust_m_s"]), float(r["share"]), r["near_miss"]) for r in rows] == [
        ("1", 10.0, 0.5, "False"), ("2", 17.0, 0.85, "True"), ("3", 15.0, 0.75, "False"),
    ]  # fmt: skip
    data = find_data(f, "si")
    assert [x["entry"] for x in data["worst"]] == [2]
    assert [r["entries"] for r in data["records"]] == [3, 0]
    assert data["found"][1]["limit_gust_m_s"] == 20.0


def test_a_reading_that_no_limit_is_known_for_has_no_share(plan) -> None:
    h = hit(plan, 1, 10.0, "keep-away", limit=float("nan"))
    f = Found((Looked("north.toml", "North", (h,)),), Query(), (h,))
    assert "nothing was held" in " ".join(find_lines(f, "us", UTC, "UTC"))
    assert find_data(f, "us")["found"][0]["share"] is None


# the page of ways


def line(bearing: float | None, angle: float = 45.0) -> LineOut:
    return LineOut(
        point="L1", angle_deg=angle, from_front_deg=29.6, bearing_deg=bearing, from_wall_m=2.4384, length_m=3.4484,
    )  # fmt: skip


def test_a_line_is_written_by_its_bearing_where_the_front_is_known(plan) -> None:
    way = WayOut.model_construct(lines=[line(None), line(382.0, 37.5)])
    (first, second) = lines_grid(way, plan).rows
    assert first[:3] == ("L1", "30° from the front", "45°")
    assert second[:3] == ("L1", "22° NNE", "37.5°")
    assert first[3] == "8 ft"  # 2.4384 m exactly


def test_the_way_of_least_work_for_the_use_is_drawn_and_the_first_with_lines() -> None:
    ways = [
        WayOut.model_construct(name=name, use=use, lines=lines)
        for name, use, lines in (
            ("empty", "empty", []), ("bags", "people-in", []), ("stakes", "people-in", [line(None)]), ("more", "people-in", [line(None)]),
        )
    ]  # fmt: skip
    assert [w.name for w in chosen(WaysOut.model_construct(use="people-in", ways=ways))] == ["bags", "stakes"]
    assert [w.name for w in chosen(WaysOut.model_construct(use="people-in", ways=ways[2:]))] == ["stakes"]
    assert [w.name for w in chosen(WaysOut.model_construct(use="set-up", ways=ways[:1]))] == ["empty"]


# masses and lulls


@pytest.mark.parametrize(("mass", "asked"), [(25.0, False), (25.1, True), (5.0, False)])
def test_a_sandbag_heavier_than_one_carries_is_asked_about(deployment, mass: float, asked: bool) -> None:
    """25 kg, the row of the table: a sack as it is sold; less than usual is on the safe side."""
    a = deployment.anchorage.model_copy(update={"unit": "sandbag", "unit_mass": mass})
    shelter = deployment.shelter.model_copy(update={"mass": 6.5 * 40.0})
    codes = [code for code, _ in mass_asks(deployment.deployment, shelter, a, 40.0)]
    assert codes == [MASS_UNUSUAL] * asked
    weighed = deployment.deployment.model_copy(update={"weighed": True})
    assert mass_asks(weighed, shelter, a, 20.0) == []  # twice the usual is believed of what was weighed
    assert len(mass_asks(weighed, shelter, a, 19.9)) == 1


def test_the_longest_lull_ends_at_thunder_and_at_what_is_not_known(deployment) -> None:
    def hours(*said: str) -> list[HourOut]:
        made = {
            "c": {"level": "normal"}, "t": {"thunder": True}, "?": {"level": "unknown"}, "w": {"level": "keep-away"}, "m": {"gust_is": "at least"},
        }  # fmt: skip
        usual = {"gust_is": "forecast", "level": "normal", "thunder": False}
        at = [f"2026-11-28T{i:02}:00:00+00:00" for i in range(len(said) + 1)]
        return [
            HourOut.model_construct(start=at[i], end=at[i + 1], **{**usual, **made[k]})
            for i, k in enumerate(said)
        ]

    def lull(*said: str) -> tuple[float, float] | None:
        begin = read_iso("2026-11-28T00:00:00Z", "x", "y")
        found = _longest(hours(*said), "people-in", begin)
        return None if found is None else ((found[0] - begin) / 3600, (found[1] - begin) / 3600)

    for stops in "t?wm":
        assert lull("c", stops, "c", "c", stops, "c") == (2, 4)
    assert lull("w", "t") is None
    assert when_calm(deployment.model_copy(update={"forecast": None}), NOON) == ""
