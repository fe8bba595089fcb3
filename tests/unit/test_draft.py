"""Drafts: nothing typed is lost, files keep their notes, undo goes back step by step."""

import tomllib

import pytest
from hypothesis import given
from hypothesis import strategies as st

from anchorage.demo import NAMES, demo_text
from anchorage.deployment.draft import (
    Draft,
    data_of,
    items,
    numbered,
    path_of,
    read_draft,
    to_toml,
    without,
)
from anchorage.deployment.edits import merged
from anchorage.deployment.reader import read_text
from tui.fields import KEYS
from tui.history import History

ANY = st.text(max_size=60) | st.sampled_from(
    [
        "[bold]x",
        "\x1b[31m",
        "]]",
        '"""',
        "'",
        "\\",
        "\x00",
        "a\nb",
        "#",
        "= 1",
        "1e9",
        "-0",
        "nan",
        "0x1",
        "1_0",
        "007",
        "true",
        "\ud800",
    ]
)


@pytest.mark.parametrize("name", NAMES)
def test_a_demo_comes_back_from_its_draft(name):
    text = demo_text(name)
    draft = read_draft(text, KEYS)
    assert tomllib.loads(to_toml(draft)) == tomllib.loads(text)
    assert merged(text, draft) == text
    assert read_text(to_toml(draft)) == read_text(text)


def test_saving_keeps_notes_and_order_and_changes_only_what_was_changed():
    text = demo_text("asphalt")
    draft = read_draft(text, KEYS).over(
        {"wind.speed": "60 mph", "shelter.mass": "", "policy.gust": "30 mph", "site.humidity": "0.5"}
    )
    new = merged(text, draft)
    assert 'speed = "60 mph"            # the strongest gust of the forecast' in new
    before, after = set(text.splitlines()), set(new.splitlines())
    assert len(before - after) == 2
    assert after - before == {
        'speed = "60 mph"            # the strongest gust of the forecast',
        'gust = "30 mph"',
        "humidity = 0.5",
        "[policy]",
    }
    assert tomllib.loads(new) == data_of(draft)


def test_a_value_over_several_lines_is_saved_even_if_notes_are_lost():
    text = '[anchorage.stake]\npull_tests = [\n  "1 kN", # first\n  "2 kN",\n]\n'
    draft = read_draft(text, KEYS).with_("anchorage.stake.pull_tests", "3 kN; 4 kN")
    assert tomllib.loads(merged(text, draft)) == {"anchorage": {"stake": {"pull_tests": ["3 kN", "4 kN"]}}}


NUMBERED = [numbered(k, n) for k in KEYS for n in ((1, 2, 3) if "[]" in k else (1,))]


def test_taking_everything_out_of_a_table_or_an_item_keeps_the_notes_of_the_rest():
    text = (
        demo_text("asphalt")
        + '\n[policy]\ngust = "30 mph"\n\n[[duct]]\nwall = "front"\ndiameter = "12 in"\n\n[[duct]]\nwall = "back"\ndiameter = "8 in"\n'
    )
    draft = without(read_draft(text, KEYS).with_("policy.gust", ""), "duct", 1)
    new = merged(text, draft)
    assert tomllib.loads(new) == data_of(draft)
    assert "[policy]" not in new
    assert new.count("[[duct]]") == 1
    assert 'diameter = "8 in"' in new
    assert "# the strongest gust of the forecast" in new


def test_items_that_are_new_are_added_to_a_file_with_notes():
    draft = read_draft(demo_text("clay"), KEYS).over(
        {
            "snow.layers[1].depth": "2 in",
            "snow.layers[2].depth": "1 in",
            "point[1].id": "L1",
            "point[1].usable": "false",
        }
    )
    new = merged(demo_text("clay"), draft)
    assert tomllib.loads(new) == data_of(draft)
    assert tomllib.loads(new)["point"] == [{"id": "L1", "usable": False}]
    assert set(demo_text("clay").splitlines()) <= set(new.splitlines())


@given(
    st.dictionaries(st.sampled_from(NUMBERED), st.sampled_from(["a", "1", ""]), max_size=9), st.integers(1, 3)
)
def test_an_item_taken_out_takes_nothing_else_with_it(typed, n):
    draft = Draft({k: v for k, v in typed.items() if v})
    for name in {k.split("[")[0] for k in typed if "[" in k}:
        after = without(draft, name, n)
        kept = [v for k, v in sorted(draft.typed.items()) if not k.startswith(f"{name}[{n}]")]
        assert sorted(after.typed.values()) == sorted(kept)
        assert items(after, name) <= max(items(draft, name), 0)


@given(st.dictionaries(st.sampled_from(NUMBERED), ANY, max_size=12))
def test_whatever_is_typed_can_be_written_and_read_as_toml(typed):
    draft = Draft({k: v for k, v in typed.items() if v})
    data = tomllib.loads(to_toml(draft))
    assert data == tomllib.loads(merged(demo_text("clay"), draft))
    if "\ud800" not in "".join(typed.values()):
        assert data == data_of(draft)


@given(
    st.dictionaries(
        st.sampled_from(KEYS),  # without numbers: lists are read back in the test above
        st.text(st.characters(categories=("L", "N", "P", "Zs")), min_size=1, max_size=20),
        max_size=12,
    )
)
def test_what_is_written_is_in_the_fields_again(typed):
    draft = Draft({k: v for k, v in typed.items() if v.strip() and "[" not in k})
    again = read_draft(to_toml(draft), KEYS)
    assert data_of(again) == data_of(draft)


def test_lines_of_a_forecast_keep_their_order_and_can_be_taken_out():
    draft = read_draft('[forecast]\nheard = "13:40"\nlines = ["a", "b", "c"]\n', KEYS)
    assert draft.text("forecast.lines[2]") == "b"
    assert data_of(draft.with_("forecast.lines[2]", ""))["forecast"]["lines"] == ["a", "c"]
    assert data_of(draft.over({f"forecast.lines[{n}]": "" for n in (1, 2, 3)}))["forecast"] == {
        "heard": "13:40"
    }


def test_what_has_no_field_is_kept():
    text = '[[point]]\nid = 2020-01-01\n\n[snow]\nlayers = [{ depth = { a = 1.5 }, other = "new" }]\n\n[anchorage]\nplaced = { L1 = "3" }\n'
    draft = read_draft(text, KEYS)
    assert not draft.typed
    assert tomllib.loads(to_toml(draft)) == tomllib.loads(text)
    assert data_of(draft.with_("anchorage.placed", "4"))["anchorage"] == {"placed": 4}


def test_paths():
    assert path_of("door[2].is") == ["door", 1, "is"]
    assert path_of("forecast.lines[8]") == ["forecast", "lines", 7]


def test_typing_in_one_field_is_one_step_until_it_is_left():
    h = History(Draft())
    for text in ("4", "45", "45 mph"):
        h.edit("wind.speed", text)
    h.close()
    h.edit("wind.speed", "46 mph")
    h.edit("site.state", "wet")
    assert h.undo()
    assert h.now.typed == {"wind.speed": "46 mph"}
    assert h.undo()
    assert h.now.typed == {"wind.speed": "45 mph"}
    assert h.undo()
    assert not h.now.typed
    assert not h.undo()
    assert h.redo()
    assert h.now.typed == {"wind.speed": "45 mph"}
    h.edit("wind.speed", "9 mph")
    assert not h.redo()


@given(st.lists(st.tuples(st.sampled_from(["a.b", "c.d"]), st.text(max_size=3), st.booleans()), max_size=30))
def test_undoing_everything_and_redoing_everything_is_nothing(steps):
    h = History(Draft())
    for key, text, close in steps:
        h.edit(key, text)
        if close:
            h.close()
    end = h.now
    while h.undo():
        pass
    assert not h.now.typed
    while h.redo():
        pass
    assert h.now == end
