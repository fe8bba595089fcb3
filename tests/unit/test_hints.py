"""What a stranger stumbled over: one figure for one thing, and hints that can be typed as they stand."""

from __future__ import annotations

import re
from typing import Any

import pytest

from anchorage.cli.entry import main
from anchorage.core import tables
from anchorage.demo import demo_text
from anchorage.deployment.models import SiteTest
from anchorage.deployment.reader import read_text
from anchorage.judging.gusts import cannot_stand, held_text, unlocked_words
from anchorage.judging.plan import make_plan
from anchorage.judging.result import Plan
from anchorage.paper.screen import screen_lines
from anchorage.paper.sketch import Around
from anchorage.paper.text import check_lines, range_texts
from tests.unit.toml_writer import put, written


def file(**changes: Any) -> dict[str, Any]:
    """Twenty stakes in soft wet ground, where far more are asked for."""
    data: dict[str, Any] = {
        "deployment": {"show_units": "us"},
        "shelter": {
            "form": "gable", "length": "24 ft", "width": "18 ft", "eave": "7 ft", "ridge": "10 ft", "mass": "310 lb", "points_per_side": 3, "points_per_end": 2,
            "openings": dict.fromkeys(("front", "back", "left", "right"), 0.0), "rating": {"gust_unlocked": "50 mph", "gust_locked": "65 mph", "roof_snow_unlocked": "4 psf"},
        },
        "site": {"surface": "grass", "state": "wet", "surroundings": "field", "utilities": "marked"},
        "wind": {"speed": "25 mph", "speed_is": "forecast-gust", "terrain": "site"},
        "anchorage": {"kind": "stakes", "line_rated": "1000 lbf", "attachment_rated": "1000 lbf", "foot": "rubber",
                      "stake": {"diameter": "1 in", "driven": "30 in", "line_angle": 45, "line_height": "2 in", "soil": "thumb-firm"}},
        "stock": {"stakes": 20},
    }  # fmt: skip
    for path, value in changes.items():
        put(data, path.split("__"), value)
    return data


def plan(*, deep: bool = False, **changes: Any) -> Plan:
    return make_plan(read_text(written(file(**changes))), deep=deep)


def bags(**changes: Any) -> dict[str, Any]:
    data = file(site__surface="concrete", site__beneath="nothing", **changes)
    data["anchorage"] = {
        "kind": "ballast",
        "unit": "sandbag",
        "unit_mass": "40 lb",
        "foot": "rubber",
        "how": "lashed-to-leg",
    }
    data["stock"] = {"sandbags": 200}
    return data


def flat(lines: list[str]) -> str:
    return " ".join(" ".join(lines).split())


def test_the_gust_with_the_stock_and_that_of_all_a_point_can_have_are_told_apart() -> None:
    p = plan()
    assert p.capped is not None
    assert p.put_up_m_s is not None
    assert p.capped.gust_m_s is not None
    assert (
        p.put_up_m_s < p.capped.gust_m_s
    )  # three stakes at a point hold less than the four that could be there
    own, fits = held_text(p).split("; ")
    assert own.endswith("with only what was brought")
    assert f"holds to {fits.split(' with ')[0]}." in flat(check_lines(p))
    enough = plan(stock__stakes=400)
    assert "brought" not in held_text(enough)


def test_the_full_page_sends_nobody_to_the_full_page() -> None:
    p = plan()
    assert cannot_stand(p).endswith("check with --full says what does it.")
    assert "--full" not in flat(check_lines(p))


def test_the_spread_of_a_short_stock_is_never_cut() -> None:
    p = plan()
    s = p.stock[0]
    shown = flat(screen_lines(p, Around()))
    assert s.spread
    assert s.holds_with_stock_m_s is not None
    assert "With only these: 3 at each of 4 corners, 3 at each of 2 side points" in shown


def parking_lot(use: str) -> Plan:
    text = demo_text("asphalt")
    return make_plan(read_text(re.sub(r'size_for = "[a-z-]+"', f'size_for = "{use}"', text), "asphalt"))


def test_straps_are_not_needed_at_a_gust_and_locked_at_the_level_that_asks_for_it() -> None:
    p = parking_lot("working")
    assert (p.straps.decision, p.levels.level) == ("not needed", "normal")
    assert unlocked_words(p) == "Not needed at 20 mph; lock at SECURE."
    assert unlocked_words(parking_lot("people-in")) == "Lock: SECURE asks for it; the sway alone does not."


def test_a_go_at_secure_says_so_in_its_headline() -> None:
    below, at = parking_lot("working"), parking_lot("people-in")
    assert (below.verdict, below.levels.level) == ("go", "normal")
    assert (at.verdict, at.levels.level) == ("go", "secure")
    assert "SECURE" not in below.headline
    assert at.headline.startswith("NO-GO: set up, gusts 20 mph. Once up GO: ")
    assert at.headline.endswith("That is SECURE: shut and lock up, let nobody new in")


def test_nothing_is_said_to_be_needed_where_no_number_is_enough() -> None:
    p = plan()
    none = p.stock[0].model_copy(update={"needed": 0, "short": 0})
    p = p.model_copy(
        update={"reasons": [p.reasons[0].model_copy(update={"code": "cannot-be-held"})], "stock": [none]}
    )
    for page in (screen_lines(p, Around()), check_lines(p)):
        assert "20 brought; no number of them holds this" in flat(page)
        assert "0 needed" not in flat(page)


def test_a_foot_that_is_in_the_file_is_not_asked_for_again() -> None:
    p = make_plan(read_text(written(bags())), deep=True)
    asked = " ".join(range_texts(p))
    assert 'anchorage.contact = "plate"' in asked
    assert "ubber under the feet" not in asked


@pytest.mark.parametrize("words", [["wind", "8", "mph"], ["wind", "8 mph"]])
def test_a_number_and_its_unit_may_be_two_words(tmp_path, capsys, words) -> None:
    here = tmp_path / "b.toml"
    here.write_text(written(file()), encoding="utf-8")
    assert main(["log", str(here), *words, "--who", "X"]) == 0
    assert "wind 8 mph" in capsys.readouterr().out


def test_a_folder_without_a_name_is_named_by_its_path(capsys) -> None:
    assert main(["check", "/"]) == 2
    assert capsys.readouterr().err.startswith("/: ")


def test_the_example_of_a_test_has_every_reading_that_it_counts_by(capsys) -> None:
    main(["help", "tests"])
    shown = capsys.readouterr().out
    for key in ("kind", "what", "place", "load", "force", "steady", "movement", "state", "at"):
        assert key in SiteTest.model_fields
        assert f"{key} = " in shown


def test_snow_on_the_ground_is_a_state_and_the_question_says_so() -> None:
    data = bags()
    data["site"]["surface"] = "packed snow"
    p = make_plan(read_text(written(data)))
    said = next(r.text for r in p.reasons if r.code == "surface-unknown")
    assert "surface grass with state snow" in said
    assert {"snow", "ice"} <= set(tables.table("state").keys())


# --- the first line, and one figure for one thing


def every_page(tmp_path, capsys, name: str, text: str) -> dict[str, str]:
    """What each command prints of a file, and its sheet, on one line each."""
    path = tmp_path / f"{name}.toml"
    path.write_text(text, encoding="utf-8")
    page = tmp_path / "page.html"
    told = {}
    for command in ("check", "limit", "pack"):
        main([command, str(path)])
        told[command] = flat(capsys.readouterr().out.splitlines())
    main(["sheet", str(path), "-o", str(page)])
    capsys.readouterr()
    told["sheet"] = " ".join(re.sub(r"<[^>]+>", " ", page.read_text(encoding="utf-8")).split())
    main(["fleet", str(tmp_path), "--jobs", "1"])
    told["fleet"] = flat(capsys.readouterr().out.splitlines())
    return told


def test_may_it_go_up_is_answered_before_may_people_stay(tmp_path, capsys) -> None:
    """20 mph is a go for people in what stands, and far over what the bare shell is raised in: the big word is of the first question."""
    told = every_page(tmp_path, capsys, "asphalt", demo_text("asphalt"))
    first = "NO-GO: set up, gusts 20 mph. Once up GO: work with people coming and going, gusts to 20 mph"
    assert all(first in told[k] for k in ("check", "limit", "sheet", "fleet"))
    assert "WHY Setting up: Raise it below 9 mph" in told["check"]
    assert "1 GO once up" in told["fleet"]
    page = (tmp_path / "page.html").read_text(encoding="utf-8")
    assert 'class="banner no-go"' in page or "no-go" in page.partition("NO-GO: set up")[0].rpartition("<")[2]
    path = tmp_path / "asphalt.toml"
    for entry, word in (("setup", "GO: work"), ("struck", "NO-GO: set up")):
        assert main(["log", str(path), entry, "--who", "X"]) == 0
        capsys.readouterr()
        assert main(["check", str(path)]) == 0
        assert f"= {word}" in flat(capsys.readouterr().out.splitlines())


def test_a_forecast_answers_it_first_too(tmp_path, capsys) -> None:
    path = tmp_path / "a.toml"
    path.write_text(demo_text("asphalt"), encoding="utf-8")
    for gust, begins in (
        (20, "NO-GO: set up, only in gusts below 12 mph. Once up GO: work"),
        (8, "GO: work"),
    ):
        assert main(["outlook", str(path), "--say", f"for 14 hours gust {gust} mph", "--zone", "UTC"]) == 0
        assert capsys.readouterr().out.startswith(begins.split(". ")[0])


def test_a_shell_without_a_mass_is_not_raised_in_a_lull_under_nothing(tmp_path, capsys) -> None:
    text = re.sub("(?m)^mass = .*$", "", demo_text("asphalt"))
    told = every_page(tmp_path, capsys, "asphalt", text)
    why = "It cannot be raised as told: the mass of the shelter is not given (shelter.mass), and nothing else holds the bare shell."
    assert why in told["check"]
    assert why in told["limit"]
    assert not any(re.search(r"(under|below) 0(\.0)? mph", page) for page in told.values())


@pytest.mark.parametrize("name", ["asphalt", "winter"])
def test_one_limit_reads_the_same_on_every_page(tmp_path, capsys, name) -> None:
    """Fleet wrote 18 of 22 mph beside the 18 of 22.8 mph of every other page; half built was 6.7 mph beside a lull under 6 mph."""
    told = every_page(tmp_path, capsys, name, demo_text(name))
    limit = re.search(r"HOLDS TO ([\d.]+) mph", told["sheet"])[1]  # type: ignore[index]
    gust = re.search(r"Gust ([\d.]+) of ([\d.]+) mph", told["limit"])
    assert gust is not None
    assert gust[2] == limit
    assert f"Holds to {limit} mph" in told["check"]
    assert f"{gust[1]} of {limit} mph" in told["fleet"]
    assert f"Gust {gust[1]} of {limit} mph" in told["sheet"]
    half = {re.search(r"Half built it holds to ([\d.]+) mph", told[k])[1] for k in ("limit", "sheet")}  # type: ignore[index]
    lull = re.search(r"lulls? under ([\d.]+) mph", told["check"])[1]  # type: ignore[index]
    assert half == {lull}


def test_counts_over_what_a_point_can_have_count_as_that_however_they_are_typed(tmp_path, capsys) -> None:
    """60 at each read 76 mph of the anchorage; 24 is what goes on a foot."""
    path = tmp_path / "a.toml"
    path.write_text(demo_text("asphalt").replace("sandbags = 100", "sandbags = 900"), encoding="utf-8")
    said = "NOT POSSIBLE so: 60 are asked for at a point, and at most 24 go there"
    main(["limit", str(path), "--placed", "60"])
    typed = flat(capsys.readouterr().out.splitlines()[1:])
    main(["log", str(path), "placed", "60", "--each", "--who", "X"])
    assert said in flat(capsys.readouterr().out.splitlines())
    main(["limit", str(path)])
    logged = flat(capsys.readouterr().out.splitlines())
    path = tmp_path / "b.toml"
    path.write_text(
        demo_text("asphalt").replace("sandbags = 100", "sandbags = 900").replace('unit = "sandbag"', 'unit = "sandbag"\nplaced = 60'),
        encoding="utf-8",
    )  # fmt: skip
    main(["limit", str(path)])
    in_file = flat(capsys.readouterr().out.splitlines())
    for text in (typed, logged, in_file):
        assert said in text
        assert "with only as many as a point can have, 24 at each" in text
        assert "76 mph" not in text


def test_what_is_counted_of_a_number_in_all_stands_beside_it(tmp_path, capsys) -> None:
    path = tmp_path / "a.toml"
    path.write_text(demo_text("asphalt"), encoding="utf-8")
    main(["log", str(path), "placed", "76", "--in-all", "--who", "X"])
    main(["now", str(path)])
    assert "76 in all placed, 72 of them count" in flat(capsys.readouterr().out.splitlines())
