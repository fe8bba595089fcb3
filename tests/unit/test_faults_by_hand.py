"""What a file may not say of what holds the shelter, and of snow, asked of the two modules by themselves."""

import itertools

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from snow_files import winter, winter_text

from anchorage.core.errors import InputFaults
from anchorage.demo import demo_text
from anchorage.deployment.holding_faults import holding, point_ids, refused
from anchorage.deployment.reader import read_text
from anchorage.deployment.snow_faults import STRENGTH, WAYS, snow_faults
from anchorage.loads.snow_codes import NAMES
from anchorage.shelter.shape import gable


def faults(check, d):
    found = []
    check(d, lambda key, got, accepted: found.append((key, got, accepted)))
    return found


def with_(d, part, **changes):
    """The same, past the reader: a fault of one part is found whatever the rest says."""
    return d.model_copy(update={part: getattr(d, part).model_copy(update=changes)})


# What holds it


@settings(max_examples=40, deadline=None)
@given(st.integers(2, 12), st.integers(2, 6))
def test_the_points_are_those_of_the_shape(side, end):
    d = read_text(demo_text("asphalt"))
    named = point_ids(with_(d, "shelter", points_per_side=side, points_per_end=end, joined=None).shelter)
    assert named == [p.id for p in gable(5.0, 6.0, 2.0, 3.0, side, end).points]


@pytest.mark.parametrize(
    "name",
    ["roof", "Roof top", "PARKING GARAGE", "wooden deck", "footbridge", "the dock", "Vehicle", "vehicles"],
)
def test_nothing_is_judged_on_what_has_something_beneath_it_however_it_is_written(name):
    assert refused(name)


@pytest.mark.parametrize("name", ["asphalt", "grass", "sand", "gravel"])
def test_ground_is_ground(name):
    assert refused(name) is None


@pytest.mark.parametrize("demo", ["asphalt", "clay", "mixed", "winter"])
def test_the_demos_have_no_fault(demo):
    d = read_text(demo_text(demo))
    assert faults(holding, d) == faults(snow_faults, d) == []


def test_a_count_is_needed_for_every_point_and_for_no_other():
    d = read_text(demo_text("asphalt"))
    ids = point_ids(d.shelter)
    whole = dict.fromkeys(ids, 3)
    assert not faults(holding, with_(d, "anchorage", placed=whole))
    less = {k: v for k, v in whole.items() if k != ids[0]}
    ((key, got, _),) = faults(holding, with_(d, "anchorage", placed=less))
    assert (key, ids[0] in got) == ("anchorage.placed", True)
    ((key, _, accepted),) = faults(holding, with_(d, "anchorage", placed={**whole, "Z9": 1}))
    assert (key, ids[-1] in accepted) == ("anchorage.placed.Z9", True)


@pytest.mark.parametrize("unit", ["sandbags", "Sand bag", "SANDBAG"])
def test_another_spelling_of_a_listed_unit_is_asked_about(unit):
    ((key, _, accepted),) = faults(holding, with_(read_text(demo_text("asphalt")), "anchorage", unit=unit))
    assert key == "anchorage.unit"
    assert '"sandbag"' in accepted


# Snow

GIVEN = {"depth": "4 in", "layers": [{"depth": "2 in"}], "water": "10 mm", "core": {"mass": "1 kg", "area": "0.01 m2"}, "ground_load": "30 psf"}  # fmt: skip


@pytest.mark.parametrize("two", list(itertools.combinations(WAYS, 2)), ids="+".join)
def test_no_load_counts_twice(two):
    with pytest.raises(InputFaults) as found:
        read_text(winter_text(snow={k: GIVEN[k] for k in two}))
    assert f"snow.{two[1]}" in {f.key for f in found.value.faults}


def test_the_ways_are_all_that_the_table_has():
    assert set(GIVEN) == set(WAYS)
    for way in WAYS[:-1]:
        assert not faults(snow_faults, winter(snow={way: GIVEN[way]}))


# ASCE/SEI 7-22 clause 7.2: its ground snow loads are of strength level, those of 7-10 and 7-16 of a 50-year return (service);
# EN 1991-1-3 clause 1.6.1: characteristic, of an annual probability of 0.02 (service)
PUBLISHED = {"asce7-10": "service", "asce7-16": "service", "asce7-22": "strength", "en1991-1-3": "service"}


def test_the_level_of_each_edition_is_the_published_one_and_no_other_is_taken():
    assert STRENGTH == PUBLISHED
    assert set(STRENGTH) == set(NAMES)
    for edition, level in PUBLISHED.items():
        d = winter(snow={"ground_load": "1 kPa", "edition": edition})
        other = {"service": "strength", "strength": "service"}[level]
        assert not faults(snow_faults, with_(d, "snow", level=level))
        assert [k for k, *_ in faults(snow_faults, with_(d, "snow", level=other))] == ["snow.level"]


def test_wind_and_snow_are_of_one_edition():
    d = winter(snow={"ground_load": "1 kPa", "edition": "asce7-22"})
    for method, fits in (("asce7-22", True), ("asce7-16", False), ("en1991", False), ("physics", True)):
        assert (faults(snow_faults, with_(d, "wind", method=method)) == []) == fits


def test_a_taller_building_beside_is_counted_by_its_rule_or_refused():
    d = with_(winter(snow={"ground_load": "1 kPa", "edition": "en1991-1-3"}), "site", beside="building")
    assert [k for k, *_ in faults(snow_faults, d)] == ["snow.building"]
