"""Values said on the command line go before the file's, are printed, and are refused where they cannot be."""

from __future__ import annotations

import json
import subprocess
import sys

import pytest

from anchorage.checks.overrides import override
from anchorage.core.errors import InputFaults
from anchorage.demo import demo_text
from anchorage.deployment.reader import read_text
from anchorage.judging.plan import make_plan


@pytest.fixture
def clay():
    return read_text(demo_text("clay"))


def test_each_value_goes_before_the_files_and_is_said(clay) -> None:
    d, said = override(clay, gust="20 mph", bearing=90.0, state="dry", placed=3, straps="locked")
    assert (d.wind.speed, d.wind.averaging, d.wind.height) == (20 * 0.44704, "3 s", None)
    assert (d.wind.bearing, d.site.state, d.anchorage.placed, d.shelter.straps) == (90.0, "dry", 3, "locked")
    assert len(said) == 5
    assert said[0] == "gust 20 mph (3 s, at 10 m) instead of 40 mph"


def test_nothing_said_changes_nothing(clay) -> None:
    assert override(clay) == (clay, [])


def test_more_stakes_said_hold_more(clay) -> None:
    more, _ = override(clay, placed=3)
    assert make_plan(more).limit.anchorage_gust_m_s > make_plan(clay).limit.anchorage_gust_m_s


def test_doors_closed_are_no_opening() -> None:
    asphalt = read_text(demo_text("asphalt"))
    shut, _ = override(asphalt, doors="closed")
    assert [door.state for door in shut.door] == ["closed"]
    assert make_plan(shut).anchorage.total.units < make_plan(asphalt).anchorage.total.units


@pytest.mark.parametrize(
    ("values", "key"),
    [
        ({"gust": "20"}, "--gust"),
        ({"gust": "300 m/s"}, "--gust"),
        ({"bearing": 400.0}, "--from"),
        ({"bearing": float("nan")}, "--from"),
        ({"state": "damp"}, "--state"),
        ({"placed": -1}, "--placed"),
        ({"doors": "closed"}, "--doors"),
        ({"straps": "tight"}, "--straps"),
    ],
)
def test_what_cannot_be_is_refused_by_its_name(clay, values, key) -> None:
    with pytest.raises(InputFaults) as refused:
        override(clay, **values)
    assert [f.key for f in refused.value.faults] == [key]


def test_the_command_prints_what_was_put_over_the_file(tmp_path) -> None:
    file = tmp_path / "site.toml"
    file.write_text(demo_text("clay"), encoding="utf-8")
    run = [sys.executable, "-m", "anchorage", "limit", str(file), "--gust", "20 mph"]
    text = subprocess.run(run, capture_output=True, text=True, check=False).stdout
    assert text.startswith("INSTEAD OF THE FILE: gust 20 mph (3 s, at 10 m) instead of 40 mph\n")
    found = json.loads(subprocess.run([*run, "--json"], capture_output=True, text=True, check=False).stdout)
    assert found["overrides"] == ["gust 20 mph (3 s, at 10 m) instead of 40 mph"]


def test_a_misspelt_ground_is_no_other_ground() -> None:
    text = demo_text("asphalt").replace('surface = "asphalt"', 'surface = "asphaltlee"')
    with pytest.raises(InputFaults, match='did you mean "asphalt"'):
        read_text(text)


def test_a_gust_said_over_an_en1991_file_is_a_gust_and_is_printed_as_one() -> None:
    """The method takes a 10 min mean: 30 mph said as a gust was read as one, and printed as a gust of 45."""
    text = demo_text("asphalt").replace(
        'speed_is = "forecast-gust"', 'averaging = "10 min"\nmethod = "en1991"'
    )
    d = read_text("\n".join(x for x in text.splitlines() if not x.startswith("terrain")))
    said, lines = override(d, gust="30 mph")
    wind = make_plan(said).wind
    assert wind.gust_m_s == pytest.approx(30 * 0.44704)
    assert wind.as_typed == "30 mph gust"
    assert lines[0].startswith("gust 30 mph (3 s, at 10 m)")
    assert make_plan(d).wind.gust_m_s > 20 * 0.44704 * 1.3  # 20 mph of the file are a mean


def test_a_bearing_without_a_heading_says_that_it_changes_nothing() -> None:
    text = "\n".join(x for x in demo_text("asphalt").splitlines() if not x.startswith("heading"))
    d = read_text(text)
    said, (line,) = override(d, bearing=200.0)
    assert "wind from any side counts and this changes nothing" in line
    assert make_plan(said).limit.gust_m_s == make_plan(d).limit.gust_m_s
    assert override(read_text(demo_text("asphalt")), bearing=200.0)[1] == ["wind from 200°"]
