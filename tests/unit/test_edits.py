"""A file that people wrote notes in keeps them, its order and its blank lines, whatever is changed in it by the interface."""

import re
import tomllib

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from anchorage.demo import demo_text
from anchorage.deployment.draft import data_of, read_draft, without
from anchorage.deployment.edits import merged
from tui.fields import KEYS

FILE = """\
# Who wrote it, and when

[anchorage]  # what holds it
kind = "stake"

[anchorage.stake]
# driven on Tuesday
pull_tests = [  # by hand scale, all 51 mm
  "1.0 kN",   # by the hedge
  # the next two at the gate

  "2.0 kN", # wet
  "3.0 kN"
  # none at the road
]  # in this order

# What may be open
[[duct]]  # heater
wall = "front"
diameter = "12 in"   # measured

# the other one
[[duct]]
diameter = '8 in'  # as it was sold
wall = "back"

# Wind, as it was heard
[wind]
speed = "45 mph"
"""
ALL = re.compile(r"#.*")


def saved(changes=(), text=FILE, out=()):
    draft = read_draft(text, KEYS).over(dict(changes))
    for name, n in out:
        draft = without(draft, name, n)
    new = merged(text, draft)
    assert tomllib.loads(new) == data_of(draft)
    return new


def notes(text):
    return ALL.findall(text)


TESTS = "anchorage.stake.pull_tests"
LISTS = {
    "one is changed": ("1.0 kN; 2.5 kN; 3.0 kN", []),
    "one is added": ("1.0 kN; 2.0 kN; 3.0 kN; 4.0 kN", []),
    "one is put before": ("0.5 kN; 1.0 kN; 2.0 kN; 3.0 kN", []),
    "the first is taken out": ("2.0 kN; 3.0 kN", ["# by the hedge"]),
    "one is taken out and one changed": ("1.0 kN; 9.0 kN", []),
    "all are others": ("7 kN; 8 kN; 9 kN", []),
    "the last is taken out": ("1.0 kN; 2.0 kN", []),
    "in another order": ("3.0 kN; 1.0 kN; 2.0 kN", []),
}


@pytest.mark.parametrize("case", LISTS)
def test_a_changed_list_of_tests_keeps_its_notes(case):
    typed, gone = LISTS[case]
    new = saved({TESTS: typed})
    assert notes(new) == [n for n in notes(FILE) if n not in gone]


def test_a_test_that_stays_keeps_the_note_beside_it():
    new = saved({TESTS: "2.0 kN; 3.0 kN; 4.0 kN"})
    assert '"2.0 kN", # wet' in new
    assert new.index("# none at the road") < new.index('"4.0 kN"')


EDITS = {
    "a value is changed": {"wind.speed": "50 mph"},
    "a value in quotes of another kind is changed": {"duct[2].diameter": "9 in"},
    "a value is added to a table": {"wind.from": "210", "anchorage.stake.lean": "5"},
    "a table is added": {"policy.gust": "30 mph"},
    "an item is added to a list of tables": {"duct[3].wall": "left", "duct[3].diameter": "10 in"},
    "a value is added to an item": {"duct[1].count": "2"},
    "a list of tables is added": {"point[1].id": "L1", "point[1].usable": "false"},
    "a list of tables within a table is added": {"snow.layers[1].depth": "2 in"},
    "all at once": {"wind.speed": "50 mph", "wind.from": "210", "policy.gust": "30 mph", "duct[3].wall": "left"},
}  # fmt: skip


@pytest.mark.parametrize("case", EDITS)
def test_what_is_changed_or_added_takes_no_line_away(case):
    new = saved(EDITS[case])
    assert notes(new) == notes(FILE)
    rows = iter(new.splitlines())
    kept = [r for r in FILE.splitlines() if not re.match(r"speed|diameter = '", r)]
    assert all(row in rows for row in kept), "every other line, blank ones too, in the order that it had"


def test_a_row_that_is_new_stands_in_its_table_before_the_note_on_the_next():
    new = saved({"anchorage.stake.lean": "5", "duct[2].count": "2", "duct[3].wall": "left"})
    places = [
        new.index(x)
        for x in (
            "lean = 5",
            "# What may",
            "[[duct]]",
            "# the other",
            "count = 2",
            'wall = "left"',
            "# Wind, as",
        )
    ]
    assert places == sorted(places)


GONE = {
    "a value": ({"duct[1].diameter": ""}, (), ["# measured"]),
    "a list of values": ({TESTS: ""}, (), ["# by hand scale, all 51 mm", "# by the hedge", "# the next two at the gate", "# wet", "# none at the road", "# in this order"]),
    "a table": ({"wind.speed": ""}, (), []),
    "the first of a list of tables": ({}, [("duct", 1)], ["# heater", "# measured"]),
    "the last of a list of tables": ({}, [("duct", 2)], ["# as it was sold"]),
    "all of a list of tables": ({}, [("duct", 1), ("duct", 1)], ["# heater", "# measured", "# as it was sold"]),
    "one that was changed besides": ({"duct[2].wall": "left"}, [("duct", 1)], ["# heater", "# measured"]),
}  # fmt: skip


@pytest.mark.parametrize("case", GONE)
def test_what_is_taken_out_takes_with_it_only_what_stood_beside_it(case):
    changes, out, gone = GONE[case]
    assert notes(saved(changes, out=out)) == [n for n in notes(FILE) if n not in gone]


def test_a_table_that_becomes_a_number_and_keys_with_dots():
    text = '# head\n[anchorage.placed]  # each\nL1 = 3\n\n[anchorage]\n# what\nstake.lean = 5  # a little\nkind = "stake"\n'
    draft = read_draft(text, KEYS).over({"anchorage.placed": "4", "anchorage.stake.line_angle": "45"})
    new = merged(text, draft)
    assert tomllib.loads(new) == data_of(draft)
    assert notes(new) == ["# head", "# what", "# a little"]
    assert "stake.line_angle = 45" in new


def test_what_is_empty_and_was_not_touched_stays():
    text = "[policy]\n# none yet\n\n[forecast]\nlines = [ # to be heard\n]\n"
    draft = read_draft(text, KEYS)
    assert merged(text, draft) == text
    assert merged(text, draft.with_("wind.speed", "9 mph")).startswith(text)


SPACE = st.sampled_from(["", " ", "\n", "\n  ", "\n\n\t", " # note\n", "\n# a line\n  "])
VALUE = st.sampled_from(["1 kN", "2 kN", "3 kN", "a # no note", "[b]", "'"])


@settings(max_examples=50)
@given(
    st.lists(st.tuples(SPACE, VALUE, SPACE, SPACE), min_size=1, max_size=5), st.booleans(),
    st.lists(VALUE, min_size=1, max_size=6),
)  # fmt: skip
def test_a_list_however_it_was_laid_out_is_changed_in_its_place(rows, comma, wanted):
    held = ",".join(f'{a}"{v}"{b}' for a, v, b, _ in rows) + ("," if comma else "") + rows[-1][3]
    text = f"# before\n[anchorage.stake]\npull_tests = [{held}] # after\n# last\n"
    had = [v for _, v, _, _ in rows]
    new = saved({TESTS: "; ".join(wanted)}, text)
    assert new.startswith("# before\n[anchorage.stake]\npull_tests = [")
    assert new.endswith("] # after\n# last\n")
    if len(wanted) >= len(had):
        assert held.count("# a line") == new.count("# a line")
    if had == wanted:
        assert new == text


@settings(max_examples=40)
@given(st.data())
def test_no_note_on_a_line_of_its_own_is_ever_lost(data):
    text = demo_text(data.draw(st.sampled_from(["asphalt", "clay", "mixed"])))
    lines = text.splitlines()
    open_ = [i for i in range(len(lines)) if not lines[i].strip() or "[" in lines[i][:1]]
    for k, i in enumerate(sorted(data.draw(st.sets(st.sampled_from(open_), max_size=6)), reverse=True)):
        lines.insert(i, f"# my note {k}")
    text = "\n".join(lines) + "\n"
    draft = read_draft(text, KEYS)
    for key in data.draw(st.lists(st.sampled_from(sorted(draft.typed)), max_size=12)):
        draft = draft.with_(key, data.draw(st.sampled_from(["", "x", "7"])))
    new = merged(text, draft)
    assert tomllib.loads(new) == data_of(draft)
    assert re.findall("# my note .*", new) == re.findall("# my note .*", text)
