"""Words: one catalogue of messages. What a message says is given by name; nothing is decided on it; English needs no catalogue."""

import ast
import contextvars
import pickle
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
from anchorage.core.words import named, so_many

ROOT = Path(__file__).parents[2]
MODULES = sorted(p for part in ("anchorage", "tui") for p in (ROOT / part).rglob("*.py"))
TREES = {str(p.relative_to(ROOT)): ast.parse(p.read_text(encoding="utf-8")) for p in MODULES}


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


@pytest.mark.parametrize("module", TREES)
def test_every_place_of_a_message_is_given_by_name_and_nothing_else_is(module):
    """``later`` may be filled where it is shown; a literal in braces without anything given is text of a file."""
    for call in said_in(TREES[module]):
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


def test_nothing_that_is_said_is_missing_in_the_catalogue():
    found = catalogue.collected()
    template = {text for m in found for text in (m.id if isinstance(m.id, tuple) else (m.id,))}
    said = {text for tree in TREES.values() for _, texts in catalogue.messages(tree) for text in texts}
    assert said - {""} <= template
    assert {t.text_ for t in tables.texts("")} <= template
    assert "Date" not in catalogue.drawn(found)
