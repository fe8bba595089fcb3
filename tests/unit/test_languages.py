"""The languages: a catalogue each of the very messages of the template, compiled as it stands, with every figure in its place."""

import catalogue
import pytest
from babel.messages.pofile import read_po

from anchorage.core import say as words

LANGUAGES = [*catalogue.LANGUAGES]
FULL = False
"""True once both languages have every message: from then on a message without an entry is a fault."""


@pytest.fixture(scope="module")
def template():
    with catalogue.TEMPLATE.open("rb") as file:
        return read_po(file)


@pytest.fixture(scope="module")
def written():
    return {language: catalogue.read(language) for language in LANGUAGES}


def test_the_languages_of_the_catalogue_are_those_that_can_be_asked_for():
    assert words.languages() == ["en", *sorted(LANGUAGES)]


@pytest.mark.parametrize("language", LANGUAGES)
def test_a_language_has_the_messages_of_the_template_and_is_compiled_as_it_stands(
    language, template, written
):
    mine = written[language]
    assert {m.id for m in mine} == {m.id for m in template}
    assert not mine.obsolete
    assert not any(m.fuzzy for m in mine)
    po = catalogue.place_of(language).read_bytes()
    assert catalogue.as_po(catalogue.updated(language, template)) == po, (
        "draw it anew: python tests/catalogue.py"
    )
    assert b"Date" not in po.split(b"\n\n")[0]
    assert catalogue.compiled(mine) == catalogue.place_of(language, "mo").read_bytes()


@pytest.mark.parametrize("language", LANGUAGES)
def test_a_translation_has_every_form_and_every_figure_of_its_message(language, written):
    for m in written[language]:
        if m.id and any(m.string if isinstance(m.string, tuple) else (m.string,)):
            assert catalogue.whole(m.id, m.string, 2), (m.id, m.string)


@pytest.mark.skipif(not FULL, reason="the languages are being translated: set FULL")
@pytest.mark.parametrize("language", LANGUAGES)
def test_no_message_is_without_an_entry_in_a_language(language, written):
    missing = [m.id for m in written[language] if m.id and not catalogue.whole(m.id, m.string, 2)]
    assert missing == []


@pytest.mark.parametrize(
    ("message", "texts", "fits"),
    [
        ("{n} short", "faltan {n}", True),
        ("{n} short", "faltan", False),
        ("{n} short", "faltan {m}", False),
        ("{n} short", "faltan {n", False),
        ("{n} short", "", False),
        (("{n} point", "{n} points"), ("un punto", "{n} puntos"), False),
        (("a {wall} door", "{n} {wall} doors"), ("puerta {wall}", "{n} puertas {wall}"), True),
        (("a {wall} door", "{n} {wall} doors"), ("{n} puerta {wall}", "{n} puertas {wall}"), True),
        (("{n} point", "{n} points"), ("{n} punto", ""), False),
        (("{n} point", "{n} points"), ("{n} punto",), False),
    ],
)
def test_a_text_that_loses_a_figure_or_a_form_is_no_translation(message, texts, fits):
    assert catalogue.whole(message, texts, 2) is fits


def test_drawn_anew_a_language_keeps_what_still_stands_and_guesses_nothing(tmp_path, monkeypatch):
    monkeypatch.setattr(catalogue, "TEMPLATE", tmp_path / "anchorage.pot")
    from babel.messages.catalog import Catalog

    before, after = Catalog(), Catalog()
    for each, ids in (
        (before, ["set up", "take down", "{n} left"]),
        (after, ["set up", "take it down", "{n} left"]),
    ):
        for i in ids:
            each.add(i)
    po = catalogue.place_of("es")
    po.parent.mkdir(parents=True)
    given = {"set up": "montar", "take down": "desmontar", "{n} left": "quedan"}
    po.write_bytes(
        catalogue.as_po(catalogue.updated("es", before, given)).replace(
            b"X-Review: not yet", b"X-Review: almost"
        )
    )
    assert {m.id: m.string or "" for m in catalogue.updated("es", after) if m.id} == {
        "set up": "montar",
        "take it down": "",
        "{n} left": "",
    }
    assert b"X-Review: almost" in catalogue.as_po(catalogue.updated("es", after))
