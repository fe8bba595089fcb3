"""What the form marks as wanted, against the reader and the questions of a plan; what it offers for a bare number; how it speaks of faults."""

import re
from pathlib import Path

import pytest

from anchorage.core.say import speaking
from anchorage.core.units import read
from anchorage.demo import demo_text
from anchorage.deployment.draft import Draft, numbered, read_draft
from anchorage.deployment.models import Deployment
from tui.engine import _inner, evaluate, kind_of
from tui.fields import FIELDS, KEYS, LISTS, begun_by, field_of, kept, labelled, plainly
from tui.needed import ANSWERED_AT, ITEM, following, missing, open_question, wanted
from tui.offers import SI, US, offered

SHUT = {f"shelter.openings.{w}": "0" for w in ("front", "back", "left", "right")}
KINDS = {
    "bags": {"anchorage.kind": "ballast", "site.surface": "asphalt"},
    "barrels": {"anchorage.kind": "ballast", "site.surface": "gravel", "anchorage.unit": "water-barrel", "anchorage.how": "standing-tied"},
    "stakes": {"anchorage.kind": "stakes", "site.surface": "grass"},
    "blocks on lines": {"anchorage.kind": "line-ballast", "site.surface": "gravel", "anchorage.unit": "concrete-block"},
    "a deadman": {"anchorage.kind": "deadman", "site.surface": "sand", "anchorage.deadman.length": "3 ft"},
    "work, all shut": {"anchorage.kind": "ballast", "site.surface": "concrete", "anchorage.size_for": "working", **SHUT},
    "by a hand meter": {"anchorage.kind": "ballast", "site.surface": "sand", "wind.speed_is": "meter-peak"},
    "an arch": {"anchorage.kind": "ballast", "site.surface": "asphalt", "shelter.form": "arch"},
    "a canopy": {"anchorage.kind": "ballast", "site.surface": "clay", "shelter.form": "canopy-gable"},
}  # fmt: skip


def filled(begun):
    """A draft with every wanted field filled in as its example says, until none is wanted."""
    draft = Draft({"shelter.ridge": "10 ft", "site.surroundings": "town", **begun})
    while wants := list(missing(draft)):
        draft = draft.over({k: str(field_of(k).example) for k in wants})
    return draft


def answer(draft):
    return evaluate(draft, 1, Path.cwd())


@pytest.mark.parametrize("begun", KINDS.values(), ids=KINDS)
def test_what_is_marked_is_what_the_reader_needs_and_a_plan_asks_for(begun):
    draft = filled(begun)
    whole = answer(draft)
    assert not whole.faults, whole.faults
    asked = {r.code: open_question(r.code, draft) for r in whole.plan.reasons}
    assert not [k for k in asked.values() if k and not draft.text(k)], asked
    for key, must in wanted(draft).items():
        if must:
            without = draft.with_(key, "")
            assert missing(without)[key]
            assert key in [t.key for t in answer(without).faults], key
            assert str(field_of(key).label).strip()


def test_what_an_item_needs_is_what_its_model_requires():
    for name, held in LISTS.items():
        found = Deployment
        for part in name.split("."):
            of = next(f for n, f in found.model_fields.items() if (f.alias or n) == part)
            found = _inner(of.annotation)
        required = (
            ()
            if found is None
            else tuple(f.alias or n for n, f in found.model_fields.items() if f.is_required())
        )
        assert ITEM.get(name, ()) == required
        assert all(f"{name}[].{k}" in [f.key for f in held.fields] for k in required)


def test_a_question_of_a_plan_leads_to_a_field_that_is_wanted():
    """Each thing left out that makes a plan unknown is marked, and the key for correcting goes there."""
    draft = filled(KINDS["stakes"])
    for key in ("site.utilities", "anchorage.line_rated", "stock.stakes"):
        without = draft.over({key: "", "stock.sandbags": "10"})
        codes = [r.code for r in answer(without).plan.reasons]
        assert key in [open_question(c, without) for c in codes], (key, codes)
        assert missing(without)[key] is False
    assert set(ANSWERED_AT.values()) <= {k for f in FIELDS for k in (f, f.replace("[]", "[1]"))}


def test_enter_goes_down_and_then_to_the_subject_that_holds_up_the_verdict():
    draft = Draft({"shelter.form": "gable"})
    assert following(draft, 1, ["shelter.length", "shelter.width"]) == "shelter.length"
    assert (
        following(filled(KINDS["stakes"]).with_("anchorage.stake.driven", ""), 0, ["deployment.name"])
        == "anchorage.stake.driven"
    )
    assert following(filled(KINDS["bags"]), 0, ["deployment.name"]) == ""
    assert following(filled(KINDS["bags"]).with_("shelter.rating.gust_unlocked", ""), 0, []) == "", (
        "no verdict waits for it"
    )


def test_a_bare_number_is_offered_with_the_unit_of_the_file_and_all_else_is_not():
    us, si = Draft(), Draft({"shelter.length": "7.3 m"})
    assert (offered("wind.speed", "35", us), offered("wind.speed", "35", si)) == ("35 mph", "35 m/s")
    assert offered("shelter.mass", "310", us) == "310 lb"
    assert offered("door[2].width", "6", Draft({"deployment.show_units": "si"})) == "6 m"
    for text in ("", "35 kt", "thirty", "35-40", "-35", "7'6"):
        assert offered("wind.speed", text, us) == ""
    assert (
        offered("site.slope", "2", us)
        == offered("shelter.points_per_side", "4", us)
        == offered("anchorage.unit", "3", us)
        == ""
    )


@pytest.mark.parametrize("system", [US, SI])
def test_whatever_is_offered_is_read_as_what_the_field_takes(system):
    draft = Draft({"deployment.show_units": system})
    of = {k: whole for k in FIELDS if (whole := offered(k, "35", draft))}
    lacking = [k for k in FIELDS if kind_of(k) and k not in of and k != "anchorage.stake.pull_tests"]
    assert lacking == []
    assert all(read(kind_of(k), whole) for k, whole in of.items() if k != "test[].load")


AS_IN_A_FILE = re.compile(
    r"\b[a-z]+\.[a-z]{2,}\b|\[\[?[a-z_.]+\]|\w+Error\b|[A-Za-z]+_\w+|\b[a-z]+ = |Input should"
)
"""A dotted key, a table, an exception, a name with a line in it, a value as a file has it, words of another program."""


def told_of(draft):
    found = evaluate(draft, 1, Path.cwd())
    yield from (f"{labelled(t.key)}: {t.text}" for t in found.faults)
    if found.plan is not None:
        yield from (plainly(r.text) for r in found.plan.reasons)


def test_no_fault_says_a_word_of_the_file_or_of_python():
    """Each field filled in wrong, each way of holding without what belongs to it, sums of numbers that contradict each other."""
    base = read_draft(demo_text("asphalt"), KEYS)
    wrong = [base.with_(numbered(k, 1), "zzz") for k in KEYS]
    wrong += [
        base.with_(k, "3")
        for k in (
            "outlook.secure",
            "policy.secure",
            "wind.beaufort",
            "site.humidity",
            "snow.slippery",
            "site.terrain_category",
        )
    ]
    wrong += [base.with_("anchorage.kind", k) for k in ("stakes", "line-ballast", "deadman", "mixed")]
    wrong += [base.with_("shelter.form", k) for k in ("arch", "canopy-gable")] + [
        base.with_(k, "") for k in base.typed
    ]
    wrong += [
        base.over({"anchorage.stake.diameter": "1 in"}),
        base.over({"wind.beaufort": "6"}),
        base.over({"snow.kind": "wet", "snow.pockets": "true"}),
    ]
    wrong += [
        base.over({"anchorage.how": "lashed-to-leg", "anchorage.size_for": ""}),
        base.over({"margins.wind": "2", "shelter.ridge": "2 ft"}),
    ]
    said = {text for draft in wrong for text in told_of(draft)}
    assert len(said) > 200
    assert [t for t in said if AS_IN_A_FILE.search(t)] == []


@pytest.mark.parametrize(
    ("language", "typed", "key", "code"),
    [
        ("en", "Lawn", "site.surface", "grass"), ("en", "tarmac", "site.surface", "asphalt"), ("en", "bags", "anchorage.unit", "sandbag"), ("en", "pegs", "anchorage.kind", "stakes"),
        ("es", "hormigón", "site.surface", "concrete"), ("es", "cesped", "site.surface", "grass"), ("es", "hierba", "site.surface", "grass"), ("es", "sacos", "anchorage.unit", "sandbag"),
        ("fr", "béton", "site.surface", "concrete"), ("fr", "gazon", "site.surface", "grass"), ("fr", "piquet", "anchorage.kind", "stakes"), ("fr", "deck", "site.surface", "deck"),
    ],
)  # fmt: skip
def test_grounds_and_weights_are_found_by_what_people_call_them(language, typed, key, code):
    with speaking(language):
        assert kept(FIELDS[key], typed) == code
        assert begun_by(FIELDS[key], typed, FIELDS[key].choices)[:1] == (
            [code] if code in FIELDS[key].choices else []
        )


def test_a_part_that_is_wrong_does_not_make_the_whole_missing():
    """A stake whose line has a word for its angle is a stake."""
    wrong = filled(KINDS["stakes"]).with_("anchorage.stake.line_angle", "steep")
    assert [t.key for t in answer(wrong).faults] == ["anchorage.stake.line_angle"]


def test_a_letter_that_begins_several_choices_settles_none():
    ground = FIELDS["site.surface"]
    assert begun_by(ground, "g", ground.choices) == ["gravel", "grass"]
    assert begun_by(ground, "gr", ground.choices) == ["gravel", "grass"]
    assert begun_by(ground, "as", ground.choices) == ["asphalt"]
    assert begun_by(FIELDS["anchorage.unit"], "s", FIELDS["anchorage.unit"].choices) == ["sandbag"], (
        "all others begin with it"
    )


@pytest.mark.parametrize(
    ("language", "typed"), [("en", "now"), ("es", "ahora"), ("fr", "Maintenant"), ("fr", "now")]
)
def test_now_is_offered_as_a_date_and_a_time(language, typed):
    with speaking(language):
        assert re.fullmatch(
            r"\d{4}-\d\d-\d\d \d\d:\d\d",
            offered("forecast.heard", typed, Draft({"outlook.zone": "America/Chicago"})),
        )
        assert offered("forecast.heard", "13:40", Draft()) == ""
