"""Parts of the interface that need no screen: fields, help, keys, themes, files."""

import json
import os
import subprocess
import sys
from pathlib import Path

import pytest
from tui_kit import contrast

from anchorage.core import folders, tables
from anchorage.core.errors import InputFaults
from anchorage.demo import demo_text
from anchorage.deployment.contradictions import stock_key
from anchorage.deployment.draft import (
    Draft,
    data_of,
    form_of,
    numbered,
    path_of,
    read_draft,
    to_toml,
    typed_key,
    without,
)
from anchorage.deployment.models import Deployment
from tui import keys, store
from tui.engine import compare, evaluate, kind_of, variant
from tui.fields import (
    BALLAST,
    FIELDS,
    KEYS,
    OWN_NAMES,
    SOILS,
    SUBJECTS,
    SURFACES,
    labelled,
    nudged,
    numbered_field,
    subject_of,
)
from tui.filing import of_same_shelter
from tui.help import HELP
from tui.keys import ACTIONS, bare
from tui.themes import PAIRS, THEMES

SCHEMA = Deployment.model_json_schema(by_alias=True)


@pytest.fixture(autouse=True)
def _state(tmp_path, monkeypatch):
    monkeypatch.setenv("ANCHORAGE_STATE", str(tmp_path / "state"))


def _schema(key):
    """The JSON Schema of a field."""
    at = SCHEMA
    for part in path_of(numbered(key, 1)):
        at = _open(at)
        if isinstance(part, int):
            at = at["items"]
        elif part in at.get("properties", {}):
            at = at["properties"][part]
        else:
            at = at["additionalProperties"]
    return _open(at)


def _open(at):
    if "$ref" in at:
        return SCHEMA["$defs"][at["$ref"].rsplit("/", 1)[1]]
    some = [_open(x) for x in at.get("anyOf", ()) if x.get("type") != "null"]
    return some[0] if some else at


@pytest.mark.parametrize("key", KEYS)
def test_every_field_is_a_key_of_the_file_and_is_written_as_the_file_wants_it(key):
    found = _schema(key)
    wanted = {"integer": "number", "number": "number", "boolean": "flag", "array": "list"}.get(
        found.get("type"), "text"
    )
    assert form_of(key) == wanted
    if "enum" in found:
        assert set(FIELDS[key].choices) == set(found["enum"])
        assert key not in OWN_NAMES


WITHOUT = {
    "stock": "any ballast of the team's own may be listed: the ballast of the table has a field each, all else goes by units"
}
"""Keys of the schema that no field edits, each with its reason."""


def _every_key(at, path=""):
    """Every key of the schema that holds a value, as the fields write it."""
    at = _open(at)
    if "properties" in at:
        for name, inner in at["properties"].items():
            yield from _every_key(inner, f"{path}.{name}" if path else name)
    elif at.get("type") == "array" and "properties" in _open(at["items"]):
        yield from _every_key(at["items"], f"{path}[]")
    else:
        yield path


def test_every_key_of_the_schema_has_a_field_or_a_reason():
    keys = set(_every_key(SCHEMA))
    fields = set(KEYS) | {k.removesuffix("[]") for k in KEYS if k.endswith("[]")}
    assert keys - fields == set(WITHOUT)
    assert {
        "point[].surface",
        "snow.layers[].depth",
        "duct[].diameter",
        "site.topography.half_length",
    } <= keys
    assert all(WITHOUT.values())
    ballast = {f"stock.{stock_key(r.key)}" for r in tables.table("ballast-mass").rows}
    assert ballast <= set(KEYS)


def test_items_of_lists_are_numbered_read_written_and_taken_out():
    text = (
        demo_text("asphalt")
        + """
[[point]]
id = "R3"
usable = false

[[point]]
id = "L2"
placed = 3

[[snow.layers]]
depth = "2 in"
"""
    )
    draft = read_draft(text, KEYS)
    assert draft.text("point[2].placed") == "3"
    assert draft.text("snow.layers[1].depth") == "2 in"
    assert "point" not in draft.rest
    points = next(p for s in SUBJECTS for p in s.parts if getattr(p, "name", "") == "point")
    keys = [f.key for f in points.rows(draft)]
    assert keys[0] == "point[1].id"
    assert keys[-1] == "point[3].usable", "room for one more"
    assert numbered_field("point[].id", 3).label == "Point 3"
    fewer = without(draft, "point", 1)
    assert fewer.text("point[1].id") == "L2"
    assert fewer.text("point[2].id") == ""
    assert data_of(fewer)["point"] == [{"id": "L2", "placed": 3}]


def test_a_fault_in_an_item_leads_to_the_field_it_was_typed_in_even_after_an_empty_one():
    draft = read_draft(demo_text("asphalt"), KEYS).over(
        {"duct[3].wall": "back", "duct[3].diameter": "12 furlongs"}
    )
    bad = evaluate(draft, 1, Path())
    assert [t.key for t in bad.faults] == ["duct[3].diameter"]
    assert typed_key(draft, "duct[1].wall") == "duct[3].wall"
    assert typed_key(draft, "wind.speed") == "wind.speed"
    assert labelled("point[3].placed") == "Points, point 3, placed"


def test_counts_by_point_are_one_field():
    draft = read_draft(
        demo_text("asphalt").replace("[halfway]\n", "[halfway]\nplaced = { L1 = 3, R1 = 0 }\n"), KEYS
    )
    assert draft.text("halfway.placed") == "L1 3; R1 0"
    assert data_of(draft)["halfway"]["placed"] == {"L1": 3, "R1": 0}
    assert data_of(draft.with_("halfway.placed", "L1: 4, R1=2"))["halfway"]["placed"] == {"L1": 4, "R1": 2}
    assert data_of(draft.with_("halfway.placed", "four"))["halfway"]["placed"] == "four"


def test_lists_to_choose_from_are_those_of_the_tables():
    assert set(SURFACES) == {r.key for r in tables.table("surface").rows}
    assert set(BALLAST) == {r.key for r in tables.table("ballast-mass").rows}
    assert set(SOILS) == {r.key for r in tables.table("soil-unit-weight").rows}
    stocked = {k.removeprefix("stock.") for k in KEYS if k.startswith("stock.")}
    assert stocked <= {
        "stakes",
        "lines",
        "deadmen",
        "units",
        *(stock_key(r.key) for r in tables.table("ballast-mass").rows),
    }


@pytest.mark.parametrize("key", KEYS)
def test_every_field_has_help_and_an_example_that_is_read(key):
    meaning, where = HELP[key]
    assert meaning.endswith((".", "?"))
    assert where.endswith(".")
    field = FIELDS[key]
    assert field.example
    assert len(field.label.format(n=10)) <= 15, "there is a space between it and the text"
    if field.choices:
        assert field.example in field.choices
    if kind := kind_of(key):
        from anchorage.core.units import read

        read(kind, field.example.split(";")[0])


def test_help_says_nothing_about_fields_that_are_not_there():
    assert set(HELP) == set(KEYS)


def test_every_action_has_a_key_a_word_and_a_place_and_no_key_is_a_trap():
    assert len({a.key or a.bare for a in ACTIONS}) == len(ACTIONS)
    assert len({a.bare for a in ACTIONS if a.bare}) == sum(bool(a.bare) for a in ACTIONS)
    for a in ACTIONS:
        assert a.key or a.bare
        assert a.word
        assert a.what
        assert a.key not in ("ctrl+h", "ctrl+i", "ctrl+m", "ctrl+j", "ctrl+b", "ctrl+c")
        assert "^" not in a.shown + bare(a)


def test_a_key_is_named_once_where_it_acts_and_the_foot_is_one_line():
    for where in ("look", "fill"):
        said = keys.named(where)
        assert len({key for key, _, _ in said}) == len(said)
        every = {a.name for a in ACTIONS if a.at in (where, "both") or a.view}
        assert every <= {action for _, _, action in said}
        for line in (keys.foot(where), keys.about_record(where), keys.about_record(where, 12)):
            assert len("  ".join(f"{k} {word}" for k, word, _ in line)) <= 77


@pytest.mark.parametrize("name", PAIRS)
def test_each_colour_of_both_themes_has_a_contrast_of_seven(name):
    colours = PAIRS[name]
    for key, colour in colours.items():
        if key != "paper":
            assert contrast(colour, colours["paper"]) >= 7.0, key


@pytest.mark.parametrize("theme", THEMES, ids=lambda t: t.name)
def test_what_textual_makes_of_the_themes_has_a_contrast_of_seven_too(theme):
    made = theme.to_color_system().generate()

    def plain(name):
        from textual.color import Color

        return Color.parse(made[name]).rgb

    def ratio(a, b):
        return contrast(*("#{:02x}{:02x}{:02x}".format(*plain(n)) for n in (a, b)))

    for name in (
        "foreground",
        "error",
        "warning",
        "success",
        "text-error",
        "text-warning",
        "text-success",
        "text-muted",
        "footer-foreground",
    ):
        if made[name].startswith("#"):
            assert ratio(name, "background") >= 7.0, name
            assert ratio(name, "surface") >= 7.0, name
    assert ratio("block-cursor-foreground", "block-cursor-background") >= 7.0


def test_contrast_of_black_on_white_is_21():
    assert contrast("#000000", "#ffffff") == pytest.approx(21.0)
    assert contrast("#777777", "#ffffff") == pytest.approx(4.48, abs=0.01)


@pytest.mark.parametrize(
    ("key", "text", "by", "after"),
    [
        ("wind.speed", "45 mph", 1, "50 mph"), ("wind.speed", "45mph", -1, "40mph"), ("wind.speed", "", 1, "35 mph"),
        ("wind.speed", "fast", 1, None), ("wind.speed", "3 mph", -1, "0 mph"), ("site.state", "wet", 1, "frozen"),
        ("site.state", "", 1, "dry"), ("site.state", "w", -1, "soiled"), ("site.state", "soiled", 1, "dry"), ("shelter.lean", "0.01", 1, "0.02"),
    ],
)  # fmt: skip
def test_one_press_more_or_less(key, text, by, after):
    assert nudged(FIELDS[key], text, by) == after


def test_faults_lead_to_fields():
    assert SUBJECTS[subject_of("shelter.rating")].name == "Maker"
    assert SUBJECTS[subject_of("door[2].is")].name == "Openings"
    assert SUBJECTS[subject_of("forecast")].name == "Forecast"
    assert subject_of("nonsense") is None


def test_an_answer_says_what_is_wrong_by_key_and_what_was_understood():
    draft = read_draft(demo_text("asphalt"), KEYS)
    good = evaluate(draft, 1, Path())
    assert good.plan is not None
    assert good.echoes["wind.speed"] == "20 mph (8.9 m/s)"
    bad = evaluate(draft.over({"wind.speed": "20 furlongs", "shelter.eave": "7"}), 2, Path())
    assert bad.plan is None
    assert {t.key for t in bad.faults} >= {"wind.speed", "shelter.eave"}
    assert any("mph" in t.text for t in bad.faults)


def test_a_new_deployment_of_the_same_shelter_takes_the_shelter_along_and_nothing_of_the_place():
    draft = of_same_shelter(read_draft(demo_text("asphalt"), KEYS))
    assert draft.text("shelter.length")
    assert draft.text("shelter.rating.gust_unlocked")
    for key in ("site.surface", "wind.from", "stock.sandbags", "anchorage.placed", "deployment.name"):
        assert not draft.text(key)


# Files


def test_a_file_is_written_whole_or_not_at_all(tmp_path, monkeypatch):
    path = tmp_path / "a.toml"
    store.write_whole(path, "old")

    def fail(*_args):
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(os, "fsync", fail)
    with pytest.raises(OSError, match="No space"):
        store.write_whole(path, "new")
    assert path.read_text() == "old"
    assert [p.name for p in tmp_path.iterdir() if p.name != "state"] == ["a.toml"]


def test_the_journal_keeps_what_is_wrong_too_and_is_dropped_by_saving(tmp_path):
    path = tmp_path / "a.toml"
    path.write_text(demo_text("winter"))
    doc = store.open_file(path, KEYS)
    assert store.read_journal(doc) is None
    draft = doc.saved.over({"wind.speed": "20 furl", "deployment.name": "[b]\x00é"})
    store.write_journal(doc, draft)
    found = store.read_journal(doc)
    assert found is not None
    assert found.draft == draft
    assert found.same_file
    assert to_toml(found.draft) == to_toml(draft)
    path.write_text(demo_text("winter") + "# more\n")
    assert not store.read_journal(store.open_file(path, KEYS)).same_file
    doc = store.save(doc, draft)
    assert not doc.journal.exists()
    assert store.read_journal(doc) is None


@pytest.mark.parametrize(
    "raw",
    [
        b"",
        b"{",
        b"[]",
        b'{"typed": 3}',
        b"\xff\xfe",
        b"null",
        b'{"typed": {}, "rest": "]", "at": 1, "was": ""}',
    ],
)
def test_a_damaged_journal_is_nothing(tmp_path, raw):
    path = tmp_path / "a.toml"
    path.write_text(demo_text("clay"))
    doc = store.open_file(path, KEYS)
    doc.journal.write_bytes(raw)
    assert store.read_journal(doc) is None


def test_a_file_changed_underneath_is_noticed(tmp_path):
    path = tmp_path / "a.toml"
    path.write_text(demo_text("clay"))
    doc = store.open_file(path, KEYS)
    assert not doc.changed_underneath()
    path.write_text(demo_text("clay") + "\n")
    assert doc.changed_underneath()
    path.unlink()
    assert doc.changed_underneath()


def test_files_that_cannot_be_read_are_said(tmp_path):
    (tmp_path / "a.toml").write_bytes(b"\xff\xfe\x00")
    (tmp_path / "b.toml").write_text("x = [")
    for name in ("a.toml", "b.toml", "."):
        with pytest.raises(InputFaults):
            store.open_file(tmp_path / name, KEYS)
    assert store.open_file(tmp_path / "none.toml", KEYS).saved == Draft()


def test_recent_files_come_first_in_order_and_damage_is_nothing(tmp_path):
    assert store.recent() == []
    for name in ("a", "b", "a"):
        (tmp_path / name).write_text("")
        store.note_recent(tmp_path / name)
    assert [Path(p).name for p in store.recent()] == ["a", "b"]
    (folders.state() / "remembered.json").write_text("[")
    assert store.recent() == []
    store.remember(theme="night")
    assert json.loads((folders.state() / "remembered.json").read_text()) == {"theme": "night"}


# Imports


def _loaded(statement):
    code = f"import sys; {statement}; print(' '.join(m for m in ('pint', 'numpy', 'pydantic', 'tomlkit', 'anchorage.judging.plan') if m in sys.modules))"
    return subprocess.run(
        [sys.executable, "-W", "ignore", "-c", code], capture_output=True, text=True, check=True
    ).stdout.split()


def test_the_first_screen_needs_none_of_the_slow_modules():
    assert _loaded("import tui.app") == []


def test_the_command_line_does_not_load_textual():
    code = "import sys; import anchorage.cli.entry; anchorage.cli.entry.build_parser(); print('textual' in sys.modules)"
    assert (
        subprocess.run(
            [sys.executable, "-c", code], capture_output=True, text=True, check=True
        ).stdout.strip()
        == "False"
    )


def test_to_compare_with_ballast_points_of_their_own_kind_change_too_and_keep_their_ground():
    draft = read_draft(demo_text("mixed"), KEYS)
    other = variant("ballast", draft, None, draft)
    found = compare("ballast", other, Path(), 1)
    assert found.plan is not None, found.trouble
    assert {p.kind for p in found.plan.anchorage.points} == {"ballast"}
    assert other.text("point[1].surface") == draft.text("point[1].surface") == "grass"


def test_today_asks_in_what_order_it_is_put_up():
    """Whether roof and walls are on the frame when it is raised decides the wind that it may go up in: asked with the rest of the day."""
    today = next(s for s in SUBJECTS if s.name == "Today")
    (asked,) = (f for f in today.fields if f.key == "halfway.cover")
    assert asked.choices == ("attached", "after")
