"""Nothing is decided on words: where text is cut or looked into, it stands here with what it is instead.

Rooms that read what others wrote (forecasts, files, what is typed) are left out: text is what they are given.
"""

import ast
from pathlib import Path

from tests.trees import tree

ROOT = Path(__file__).parents[2]
ROOMS = ("shelter", "formulas", "loads", "holding", "checks", "judging", "chance", "ways", "paper", "fleet")
OUTLOOK = ("build", "deadlines", "judge", "limits", "result", "rule", "weathered")
CUTS = {
    "startswith", "endswith", "removeprefix", "removesuffix", "partition", "rpartition", "split", "rsplit",
}  # fmt: skip
LOOKED_INTO = {"replace", "index", "find", "count"}
"""Of lists and records too: they count where the first thing given is a text."""

CODES = {
    "holding/usual.py typed_asks": "a dotted key of the file",
    "checks/installation.py _inside": "key of a table", "checks/outcome.py GroupOut.read": "keys of our own JSON, read back",
    "holding/ground.py name_asks": "code of a table", "holding/evidence.py _friction": "key of a contact", "loads/wind_trip.py profiles": "key of a row",
    "ways/changes.py put": "a dotted key of the file", "fleet/moving.py _lack_words": "name of a thing in the stock file",
    "fleet/moving.py _down": "name of a thing in the stock file", "fleet/show_moves.py words_of": "name of a thing in the stock file",
    "tui/app.py": "an action as Textual names it", "tui/keys.py bindings": "the id of a key", "tui/keys.py plain_key": "the id of a key",
    "tui/form.py FieldInput._on_key": "the id of a key", "tui/writing.py LineInput._on_key": "the id of a key",
    "tui/serving.py rows": "an action as Textual names it", "tui/engine.py _hold": "a dotted key of the file", "tui/engine.py _for_a_part": "a dotted key of the file",
    "tui/fields.py _called": "a dotted key of the file", "tui/fields.py list_of": "a dotted key of the file", "tui/fields.py subject_of": "a dotted key of the file",
    "tui/filing.py of_same_shelter": "a dotted key of the file", "tui/form.py FieldInput._on_paste": "a dotted key of the file",
    "tui/form.py Form._lay": "a dotted key of the file", "tui/form.py Form._more": "a dotted key of the file",
    "tui/form.py Form.fault_of": "a dotted key of the file", "tui/form.py Form.go": "a dotted key of the file",
    "tui/needed.py wanted": "a dotted key of the file", "tui/form.py Form.leap": "a dotted key of the file", "tui/session.py Session.forecast_given": "a dotted key of the file",
}  # fmt: skip
FILES = {
    "fleet/run.py files_of", "fleet/show.py lines", "fleet/show_moves.py movement", "paper/find_text.py find_lines",
    "fleet/rows.py fault_words", "tui/owner.py place_file", "tui/owner.py journal_of",
}  # fmt: skip
"""Names of files."""
TYPED = {
    "tui/fields.py begun_by", "tui/form.py Offer.get_suggestion", "tui/writing.py begun", "tui/writing.py Grey.get_suggestion", "tui/app.py _nearness", "tui/filing.py Files.open_path", "tui/filing.py Files._cannot_open", "tui/filing.py Files.save_as",
    "tui/store.py sketch_of", "tui/store.py _read", "tui/fields.py nudged", "tui/engine.py working",
    "tui/serving.py Gate.session_of", "tui/serving.py sequence", "tui/serving.py guarded.Guarded.only_who_may",
}  # fmt: skip
"""What somebody types or sends, and the options that it becomes."""
LAID_OUT = {
    "formulas/expression.py _constant": "a minus sign", "formulas/expression.py Writer.bare": "a minus sign",
    "formulas/working.py _documented": "a docstring", "formulas/working.py Step.lines": "the sign between a formula and its number",
    "outlook/build.py _ended": "the full stop behind a note", "outlook/build.py _reasons": "a code",
    "paper/aloud.py _short": "the first sentence is read out", "paper/card_page.py _limits": "words that fit",
    "paper/two.py _both": "the place between two languages", "paper/officer.py working_lines": "indents and symbols of the working",
    "paper/screen.py _cut": "words that fit", "paper/screen.py _words": "words are counted",
    "tui/app.py AnchorageApp.findable": "a dotted key of the file, to be found by", "tui/app.py Find.search": "what is looked for, as it was typed",
    "tui/engine.py _two_in_one": "what was typed into a field", "tui/fields.py named": "the indent of a label", "tui/banner.py _split": "the head of a headline is set large",
    "tui/dialogs.py Tell.compose": "lines", "tui/fields.py labelled": "the indent of a label", "tui/metering.py page": "the frame of an alarm",
    "tui/pages.py apart": "lines", "tui/panels.py Page.show": "lines",
}  # fmt: skip
"""Lines are laid out by it and nothing is decided."""
KNOWN = {*CODES, *FILES, *TYPED, *LAID_OUT}


def cuts(node, where):
    """Every function that cuts a text or looks into one."""
    for child in ast.iter_child_nodes(node):
        inside = where
        if isinstance(child, ast.FunctionDef | ast.AsyncFunctionDef | ast.ClassDef):
            inside = f"{where}.{child.name}" if where else child.name
        if isinstance(child, ast.Call) and isinstance(child.func, ast.Attribute):
            first = child.args[0] if child.args else None
            text = isinstance(first, ast.Constant) and isinstance(first.value, str)
            if child.func.attr in CUTS or (child.func.attr in LOOKED_INTO and text and len(child.args) == 2):
                yield inside
        if isinstance(child, ast.Compare) and isinstance(child.ops[0], ast.In | ast.NotIn):
            looked = child.left.value if isinstance(child.left, ast.Constant) else None
            if isinstance(looked, str) and " " in looked:
                yield inside
        yield from cuts(child, inside)


def found():
    paths = [p for room in ROOMS for p in (ROOT / "anchorage" / room).glob("*.py")]
    paths += [ROOT / "anchorage" / "outlook" / f"{name}.py" for name in OUTLOOK]
    paths += (ROOT / "tui").glob("*.py")
    for path in sorted(paths):
        short = path.relative_to(ROOT).as_posix().removeprefix("anchorage/")
        for where in cuts(tree(path), ""):
            yield f"{short} {where}".strip()


def test_no_words_are_cut_or_looked_into_to_decide_anything() -> None:
    """New here: give what is decided on a code, an enum or a field. What is cut is a code or a layout: say which, above."""
    there = set(found())
    assert there - KNOWN == set()
    assert KNOWN - there == set(), "gone: take it out of the list"
    assert len(CODES) + len(FILES) + len(TYPED) + len(LAID_OUT) == len(KNOWN)


def test_what_is_looked_for_is_found() -> None:
    text = 'def judge(r):\n    return r.text.startswith("Snow: ") or " over " in r.text or r.text.replace("GO: ", "")'
    assert list(cuts(ast.parse(text), "")) == ["judge"] * 3
