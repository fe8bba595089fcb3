"""now --aloud: three lines for a radio, numbers first, and never softer than the page."""

import re

import pytest

from anchorage.cli.entry import main
from anchorage.demo import NAMES, demo_text
from anchorage.paper.aloud import DO
from anchorage.paper.meter_page import iso
from anchorage.record.stand import ORDER
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
    assert all(len(x) <= 200 for x in lines)
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
    assert lines[1] == DO["keep-away"]


def test_no_reading_and_an_old_reading(aloud):
    _, lines = aloud(events=[(["setup"], "10:00")])
    assert lines[0].startswith("0 wind readings")
    _, lines = aloud(events=[(["wind", "5 mph"], "10:10")])
    assert lines[0] == "470 minutes since the last wind reading. Level: CANNOT SAY."
    assert lines[1] == DO["unknown"]


def test_what_was_heard_counts_and_its_times_come_first(aloud):
    code, lines = aloud(events=[(["wind", "5 mph"], "17:50")], more=["--say", "until 23:00Z gust 60 mph"])
    assert code == 1
    assert lines[1] == DO["keep-away"]
    assert lines[2].startswith("Now: people out")


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
