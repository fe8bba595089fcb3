"""now --aloud: three lines for a radio, numbers first, and never softer than the page."""

import re

import pytest

from anchorage.cli.entry import main
from anchorage.demo import NAMES, demo_text
from anchorage.deployment.policy import ORDER
from anchorage.paper.aloud import DO
from anchorage.paper.meter_page import iso
from tests.meter_kit import START, Story

DAY = "2026-03-10T"


@pytest.fixture
def aloud(tmp_path, capsys):
    def call(name="asphalt", events=(), more=(), at="18:00"):
        path = tmp_path / f"{name}.toml"
        if not path.exists():
            path.write_text(demo_text(name), encoding="utf-8")
        for event, when in events:
            assert main(["log", str(path), *event, "--who", "A. Lee", "--now", f"{DAY}{when}:00Z"]) == 0
        capsys.readouterr()
        code = main(["now", str(path), "--aloud", *more, "--now", f"{DAY}{at}:00Z"])
        return code, capsys.readouterr().out.splitlines()

    return call


@pytest.mark.parametrize("name", NAMES)
@pytest.mark.parametrize("speed", ["3 mph", "13 mph", "18 mph", "60 mph"])
def test_three_lines_and_a_number_first(aloud, name, speed):
    code, lines = aloud(name, [(["wind", speed], "17:50")])
    assert len(lines) == 3
    assert re.match(r"\d", lines[0])
    assert all(len(x) <= 280 for x in lines)
    assert not re.search(r"--|\bFILE\b|m/s|\bmph\b", " ".join(lines))
    assert code in (0, 1, 3)


def test_the_figures_are_those_of_the_page(aloud, capsys, tmp_path):
    _, lines = aloud(
        events=[(["placed", "20", "--each", "--more-came"], "17:00"), (["wind", "16 mph"], "17:50")]
    )
    main(["now", str(tmp_path / "asphalt.toml"), "--now", f"{DAY}18:00:00Z"])
    page = " ".join(capsys.readouterr().out.split())
    gust, limit, percent = re.match(r"([\d.]+) of ([\d.]+) miles an hour, (\d+) percent", lines[0]).groups()
    assert f"3 s gust of {gust} of {limit} mph, {percent} % of the limit" in page


def test_what_is_over_is_said_before_anything_else(aloud):
    code, lines = aloud(events=[(["wind", "60 mph"], "17:50")])
    assert code == 1
    assert "KEEP AWAY" in lines[0]
    assert lines[1].startswith(DO["keep-away"])
    assert "Why: 60 miles an hour was read at Tue 17:50 (entry 1)" in lines[1]
    assert lines[1].endswith("Not before 18:20, and only by an all-clear.")
    _, lines = aloud(at="19:00")
    assert lines[1].endswith("Until an all-clear.")


def test_no_reading_and_an_old_reading(aloud):
    _, lines = aloud(events=[(["setup"], "10:00")])
    assert lines[0].startswith("0 wind readings")
    _, lines = aloud(events=[(["wind", "5 mph"], "10:10")])
    assert lines[0] == "470 minutes since the last wind reading. Level: CANNOT SAY."
    assert lines[1] == DO["unknown"]


def test_what_was_heard_counts_and_its_times_come_first(aloud):
    code, lines = aloud(events=[(["wind", "5 mph"], "17:50")], more=["--say", "until 23:00Z gust 60 mph"])
    assert code == 1
    assert lines[1].startswith(f"{DO['keep-away']} Why: The forecast of this hour: ")
    assert lines[2].startswith("Now: people out")


def test_it_is_said_until_when_a_forecast_blows(aloud, tmp_path):
    f = tmp_path / "f.csv"
    f.write_text(
        "# issued 2026-03-10T17:00:00Z\ntime,gust (mph),thunder (%)\n"
        + "".join(f"2026-03-10T{h}:00:00Z,{60 if h < 20 else 5},0\n" for h in range(18, 24)),
        encoding="utf-8",
    )
    _, lines = aloud(events=[(["wind", "5 mph"], "17:50")], more=["--forecast", str(f)])
    assert "Why: The forecast of this hour: gusts to 60 miles an hour" in lines[1]
    assert lines[1].endswith("Not before 20:00, and only by an all-clear.")


def test_no_level_is_called_normal_while_nobody_may_be_inside(aloud):
    done = [(["placed", "20", "--each", "--more-came"], "17:00"), (["wind", "3 mph"], "17:50")]
    code, lines = aloud(events=[*done, (["inspection", "failed", "--note", "a leg is bent"], "17:52")])
    assert code == 1
    assert "Level: NOBODY INSIDE." in lines[0]
    assert "NORMAL" not in " ".join(lines)
    assert lines[1].startswith("Nobody inside: The inspection of entry 3 FAILED")
    assert "mended, looked at" in lines[1]


def test_a_question_that_is_open_is_no_normal_level_either(aloud):
    code, lines = aloud(events=[(["wind", "3 mph"], "17:50")])
    assert code == 3
    assert "Level: CANNOT SAY." in lines[0]


def test_thunder_after_it_was_taken_down_asks_something_of_people_in_the_open(aloud, capsys, tmp_path):
    events = [(["setup"], "10:00"), (["struck"], "11:00"), (["thunder"], "11:20")]
    _, lines = aloud(events=events, at="11:30")
    assert "solid building or a closed car, until 11:50" in lines[1]
    assert "Nobody needs" not in " ".join(lines)
    main(["now", str(tmp_path / "asphalt.toml"), "--now", f"{DAY}11:30:00Z"])
    page = " ".join(capsys.readouterr().out.split())
    assert page.startswith("TAKEN DOWN. THUNDER: everybody into a solid building or a closed car")
    assert "nobody stays in the open" in page
    _, lines = aloud(at="11:50")
    assert lines[1] == "Nobody needs to do anything."


def test_taken_down(aloud):
    _, lines = aloud(events=[(["setup"], "10:00"), (["struck"], "11:00")])
    assert len(lines) == 3
    assert "taken down" in lines[0]


def test_a_dead_meter_is_the_first_thing_that_is_heard(tmp_path, capsys):
    story = Story(tmp_path)
    story.blow(2.0, 90)
    main(["now", str(story.path), "--aloud", "--now", iso(int(START + story.at + 1200))])
    lines = capsys.readouterr().out.splitlines()
    assert lines[0] == "20 minutes without a reading from the meter. Level: CANNOT SAY."


def test_there_is_something_to_do_for_every_level():
    assert set(DO) == {*ORDER, "unknown"}
