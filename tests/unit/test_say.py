"""Words: one catalogue of messages. What a message says is given by name; nothing is decided on it; English needs no catalogue."""

import ast
import contextvars
import pickle
import re
import string
from pathlib import Path

import catalogue
import pytest
from babel.messages.catalog import Catalog
from babel.messages.mofile import write_mo

from anchorage.cli.entry import main
from anchorage.core import say as words
from anchorage.core import tables
from anchorage.core.say import Later, capital, languages, later, mark, places, plural, say, speaking
from anchorage.core.words import NAMES, named, so_many
from tests.trees import tree

ROOT = Path(__file__).parents[2]
MODULES = sorted(p for part in ("anchorage", "tui") for p in (ROOT / part).rglob("*.py"))
FILES = {str(p.relative_to(ROOT)): p for p in MODULES}


@pytest.fixture
def german(tmp_path, monkeypatch):
    """A language of a few messages, compiled as the real ones are."""
    made = Catalog(locale="de", domain=words.DOMAIN)
    for message, text in (
        ("every opening shut", "alle Öffnungen zu"),
        ("{n} bags at {where}", "bei {where}: {n} Säcke"),
        ("{gust} is too much", "zu viel"),
        ("  two blanks before", "zwei Leerzeichen davor"),
        (("{n} point", "{n} points"), ("{n} Punkt", "{n} Punkte")),
        ("set up", "aufbauen"),
    ):
        made.add(message, text)
    at = tmp_path / "de" / "LC_MESSAGES" / "anchorage.mo"
    at.parent.mkdir(parents=True)
    with at.open("wb") as file:
        write_mo(file, made)
    monkeypatch.setattr(words, "LOCALE", tmp_path)
    caches = (words._catalogue, words._found, words._counted)
    for kept in caches:
        kept.cache_clear()
    yield "de"
    for kept in caches:
        kept.cache_clear()


def test_a_message_is_said_in_the_language_of_the_context_and_in_english_again_after_it(german):
    assert say("every opening shut") == "every opening shut"
    with speaking(german):
        assert say("every opening shut") == "alle Öffnungen zu"
        assert say("{n} bags at {where}", n=3, where="L1") == "bei L1: 3 Säcke"
        assert contextvars.copy_context().run(say, "every opening shut") == "alle Öffnungen zu"
        with speaking("en"):
            assert say("every opening shut") == "every opening shut"
        assert say("not in the catalogue") == "not in the catalogue"
    assert say("every opening shut") == "every opening shut"
    assert languages() == ["en", "de"]


def test_a_language_that_is_not_there_is_refused_with_those_that_are(german):
    with pytest.raises(LookupError, match="en, de"), speaking("xx"):
        raise AssertionError


def test_words_that_lose_a_figure_are_not_said(german):
    """A caution without its gust is worse than one in English."""
    with speaking(german):
        assert say("{gust} is too much", gust="40 mph") == "40 mph is too much"


def test_blanks_around_a_message_are_those_of_the_message(german):
    with speaking(german):
        assert say("  two blanks before") == "  zwei Leerzeichen davor"


def test_things_are_counted_by_the_rule_of_the_language(german):
    assert [plural("{n} point", "{n} points", n) for n in (0, 1, 2)] == ["0 points", "1 point", "2 points"]
    with speaking(german):
        assert [plural("{n} point", "{n} points", n) for n in (1, 2)] == ["1 Punkt", "2 Punkte"]


def test_what_somebody_typed_is_shown_as_typed_whatever_is_in_it(german):
    for typed in ("{n} bags at {where}", "a {", "}", "{0.__class__}", "bag %s"):
        assert so_many(2, typed) == f"2 {typed}"
        with speaking(german):
            assert named(typed, 1) == typed.replace("-", " ")
            assert say("{name} is held", name=typed) == f"{typed} is held"


def test_a_place_that_is_not_filled_is_an_error_and_no_gap():
    with pytest.raises(KeyError):
        say("{gust} is too much", wind=3)
    assert say("read { width } as it is") == "read { width } as it is"


def test_what_is_put_off_is_compared_by_its_english_and_read_by_its_words(german):
    use = later("set up")
    table = {use: 1}
    with speaking(german):
        assert (str(use), f"{use}!", f"{use:>9}", use + ".", "-" + use, use.upper(), len(use)) == (
            "aufbauen", "aufbauen!", " aufbauen", "aufbauen.", "-aufbauen", "AUFBAUEN", 8,
        )  # fmt: skip
        assert use == "set up"
        assert table["set up"] == 1
        assert capital(use) == "Aufbauen"
        assert say(use) == "aufbauen"
    bags = later("{n} bags at {where}", n=3, where=later("L1"))
    assert (bags.message, bags.given["n"], bags) == ("{n} bags at {where}", 3, "3 bags at L1")
    again = pickle.loads(pickle.dumps(bags))  # noqa: S301 - made here
    assert isinstance(again, Later)
    with speaking(german):
        assert str(again) == "bei L1: 3 Säcke"
    assert mark("set up") == "set up"


def test_a_caution_is_said_in_the_language_too(german, monkeypatch):
    text = tables.texts("caution-")[0]
    monkeypatch.setattr(words, "_found", lambda name, message: f"{name}: {message}")
    with speaking(german):
        assert text.text == f"de: {text.text_}"
    assert text.text == text.text_


def test_english_loads_no_catalogue(capsys):
    words._catalogue.cache_clear()
    assert main(["check", str(ROOT / "anchorage" / "demo" / "asphalt.toml")]) == 0
    assert capsys.readouterr().out
    assert words._catalogue.cache_info().misses == 0


# The messages of the code


def said_in(tree):
    return [
        n for n in ast.walk(tree)
        if isinstance(n, ast.Call) and isinstance(n.func, ast.Name) and n.func.id in catalogue.KEYWORDS
    ]  # fmt: skip


@pytest.mark.parametrize("module", FILES)
def test_every_place_of_a_message_is_given_by_name_and_nothing_else_is(module):
    """``later`` may be filled where it is shown; a literal in braces without anything given is text of a file."""
    for call in said_in(tree(FILES[module])):
        first = call.args[: 2 if call.func.id == "plural" else 1]
        if any(k.arg is None for k in call.keywords):
            continue
        given = {k.arg for k in call.keywords} | ({"n"} if call.func.id == "plural" else set())
        for text in first:
            assert not isinstance(text, ast.JoinedStr | ast.BinOp), (
                f"{module}:{call.lineno}: a message is one literal"
            )
            if isinstance(text, ast.Constant) and (call.keywords or call.func.id in ("say", "plural")):
                named = {n for n in places(text.value) if n.isidentifier()}
                assert named <= given, f"{module}:{call.lineno}: {named - given} is not given"
                assert call.func.id == "plural" or given <= named, (
                    f"{module}:{call.lineno}: {given - named} has no place"
                )
                assert all(
                    not spec and conversion is None
                    for _, name, spec, conversion in string.Formatter().parse(text.value)
                    if name is not None and call.keywords
                ), f"{module}:{call.lineno}: a figure is given as it is written"


def test_the_template_drawn_anew_is_the_same_and_nothing_that_is_said_is_missing_in_it():
    found = catalogue.collected()
    template = {text for m in found for text in (m.id if isinstance(m.id, tuple) else (m.id,))}
    said = {text for file in FILES.values() for _, texts in catalogue.messages(tree(file)) for text in texts}
    assert said - {""} <= template
    assert {t.text_ for t in tables.texts("")} <= template
    drawn = catalogue.drawn(found)
    assert "Date" not in drawn
    assert drawn == catalogue.TEMPLATE.read_text(encoding="utf-8"), "draw it anew: python tests/catalogue.py"


# What people read and no message says

SHOWN = {
    "AskPath", "ArgumentParser", "Banner", "Binding", "Block", "Bound", "Bullets", "Button", "CautionOut", "Choose", "Content", "Doubt", "Due", "Event",
    "Fact", "Fault", "Field", "Hazard", "Heading", "Item", "Label", "Para", "Part", "Reason", "ReasonOut", "Static", "Tell",
    "add_parser", "add_text", "ask", "bullets", "caption", "complain", "error", "fault", "head", "listed", "notify", "para", "print", "put", "refuse",
    "row", "rule", "start_section", "title", "wrap", "wrote", "_bad", "_fault",
}  # fmt: skip
"""Calls that show what they are given."""
GROWING = {
    "assumptions", "cautions", "conditions", "faults", "lines", "more", "notes", "out", "said", "words",
}  # fmt: skip
"""Lists of what people read."""
NAMED = {"accepted", "because", "description", "epilog", "help", "hint", "note", "text", "title", "why"}
"""Arguments that people read, whatever they are given to."""
DEVELOPERS = {
    "AssertionError", "AttributeError", "IndexError", "KeyError", "LookupError", "TableError", "TypeError",
}  # fmt: skip
CODED = {"code", "format", "id", "key", "kind", "classes"}
WORD = re.compile(r"[A-Za-z][A-Za-z']+")
SENTENCE = re.compile(r"[A-Za-z'][,.;:)]* [(\"']?[A-Za-z\0]|\0 [A-Za-z]{2}")
NOT_SAID = {
    "anchorage/formulas/": "engineers read the symbols of the source, in English", "anchorage/judging/explain.py": "the working, for engineers",
    "anchorage/loads/": "coefficients and cases by the words of their source; notes are messages",
    "anchorage/core/tables.py": "faults of a table, for who writes tables", "anchorage/core/table_files.py": "the same",
    "anchorage/core/unit_table.py": "spellings of units, as they are typed", "anchorage/paper/html.py": "markup", "anchorage/paper/svg.py": "markup",
    "working.title": "the working, for engineers", "working.looked_up": "the same",
}  # fmt: skip
"""Modules and calls in which sentences are no messages, each with its reason."""
CODES = {
    *NAMES, "ballast at rest", "by hand", "going up", "gust over forecast", "gust squared", "not marked", "not said", "not up", "on cloth", "place or station", "cannot be read",
    "time: maximum", "NWS gridpoint", "NWS hourly", "open hourly", "public text", "PK WND", "bold reverse", "database disk image is malformed", "malformed text",
    '"our shelter"', "sidewall straps: unlocked | locked", "{}{} ft {} in", "μ of ballast on the ground", "column station", "manifest.json asked", "not there", "other bytes", "by the meter from {}°", "gust {} at the meter, {}", "reporting threshold", "FM091930, BECMG 1013/1015, TEMPO 0920/0922 or PROB30 1004/1007",
    "{}: push of its frame", "{}: uplift of its frame", "measured at the site: {} {}",
    "measured at the site, {} places: the least of the lowest and of the 5 % fractiles", "validTime and value",
}  # fmt: skip
"""Values that are codes, data or keys of a file; those that people see too are put into words by ``spoken``."""
YET = set[str]()
"""Modules whose sentences are not messages yet: the list may only get shorter."""


def text_of(node):
    if isinstance(node, ast.Constant):
        return node.value if isinstance(node.value, str) else ""
    return "".join(p.value if isinstance(p, ast.Constant) else "\0" for p in node.values)


def bare(node):
    """Sentences inside an expression that no message says."""
    if isinstance(node, ast.Compare | ast.Subscript | ast.Lambda):
        return
    if isinstance(node, ast.keyword) and node.arg in CODED:
        return
    inner = list(ast.iter_child_nodes(node))
    if isinstance(node, ast.Call):
        name = ast.unparse(node.func).split(".")[-1]
        if name in catalogue.KEYWORDS:
            inner = [*node.args[2 if name == "plural" else 1 :], *node.keywords]
        elif (isinstance(node.func, ast.Attribute) and name not in {"join", "format"}) or name in {
            "show",
            "read_iso",
            "spoken",
        }:
            return
    elif isinstance(node, ast.Constant | ast.JoinedStr):
        text = text_of(node)
        if len(WORD.findall(text)) > 1 and SENTENCE.search(text):
            yield node.lineno, text.replace("\0", "{}")
        inner = [p.value for p in inner if isinstance(p, ast.FormattedValue)]
    elif isinstance(node, ast.Dict):
        inner = node.values
    for each in inner:
        yield from bare(each)


def shown(node):
    """What a call, a refusal or a function's end gives people to read."""
    if isinstance(node, ast.Return) and node.value is not None:
        return [node.value]
    if isinstance(node, ast.Raise) and isinstance(node.exc, ast.Call):
        return [] if ast.unparse(node.exc.func) in DEVELOPERS else node.exc.args
    if isinstance(node, ast.Call):
        name, owner = ast.unparse(node.func).split(".")[-1], ast.unparse(node.func).split(".")[-2:-1]
        if ast.unparse(node.func) in NOT_SAID or (f"working.{name}" in NOT_SAID and owner == ["working"]):
            return []
        if name in SHOWN or (name in {"append", "insert", "extend"} and {*owner} & GROWING):
            return [*node.args, *node.keywords]
        return [k for k in node.keywords if k.arg in NAMED]
    return []


@pytest.mark.parametrize("module", FILES)
def test_no_sentence_that_people_read_stands_outside_of_the_catalogue(module):
    if any(module.startswith(place) for place in NOT_SAID):
        return
    found = {
        x
        for node in ast.walk(tree(FILES[module]))
        for part in shown(node)
        for x in bare(part)
        if x[1] not in CODES
    }
    assert bool(found) == (module in YET), f"say these, or they are codes: {sorted(found)}"
