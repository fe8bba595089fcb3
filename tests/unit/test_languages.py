"""The languages: a catalogue each of the very messages of the template, compiled as it stands, with every figure in its place."""

import asyncio
from concurrent.futures import ThreadPoolExecutor
from datetime import UTC, datetime
from html import escape

import catalogue
import languages_kit
import pytest
from babel.messages.pofile import read_po
from pypdf import PdfReader
from tui_kit import press, running, screen_text, settled

from anchorage.cli.commands import COMMANDS
from anchorage.cli.entry import main
from anchorage.core import say as words
from anchorage.core import tables, units
from anchorage.core.words import LEVELS, VERDICTS
from anchorage.demo import demo_text
from anchorage.fleet import run
from tui.keys import views as views_of_keys

LANGUAGES = [*catalogue.LANGUAGES]
FULL = True
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


# What is shown in a language, and what is not


@pytest.fixture
def longer(monkeypatch, tmp_path):
    """A language in which every message is another text, twice as long."""
    yield languages_kit.speak_at_length(monkeypatch, tmp_path / "locale")
    for kept in (words._catalogue, words._found, words._counted, words.signs):
        kept.cache_clear()


def printed(capsys, *typed):
    """Exit code and page of a command; what cannot be typed ends with a code too."""
    try:
        code = main([*typed])
    except SystemExit as e:
        code = e.code
    out = capsys.readouterr()
    return code, out.out, out.err


@pytest.fixture
def file(tmp_path):
    at = tmp_path / "our.toml"
    at.write_text(demo_text("asphalt"), encoding="utf-8")
    return at


NOW = ("--now", "2026-11-28T12:00:00Z")
HEARD = ("--zone", "America/Chicago", "--say", "until 18:00 gust 35 mph")
MACHINES = [
    ["check", "FILE", "--json"],
    ["pack", "FILE", "--json"],
    ["outlook", "FILE", "--json", *NOW, *HEARD],
    ["log", "FILE", "--json", *NOW],
    ["glossary", "--json"],
    ["defaults", "--json"],
    ["schema"],
]


def test_what_machines_read_is_the_same_bytes_in_every_language(capsys, file, longer):
    """In the language of the test every message is another text: one that is left in is seen."""
    main(["log", str(file), "setup", "--who", "A. Crew", *NOW, "--lang", longer])
    capsys.readouterr()
    for pattern in MACHINES:
        typed = [str(file) if t == "FILE" else t for t in pattern]
        first, other = (printed(capsys, *typed, "--lang", name) for name in ("en", longer))
        assert first == other, typed
    for typed in (["sheet", str(file), *NOW, "-o"], ["log", str(file), *NOW, "--csv"]):
        made = [file.with_name(f"{typed[0]}-{name}.csv") for name in ("en", longer)]
        for out, name in zip(made, ("en", longer), strict=True):
            main([*typed, str(out), "--lang", name])
        assert made[0].read_bytes() == made[1].read_bytes()


def test_a_longer_language_changes_no_exit_code_and_no_line_is_longer_than_the_page(capsys, file, longer):
    for typed in (["check", str(file)], ["limit", str(file)], ["outlook", str(file), *NOW, *HEARD]):
        plain, (code, page, _) = printed(capsys, *typed), printed(capsys, *typed, "--lang", longer)
        assert plain[0] == code
        assert max(map(len, page.splitlines())) <= 80, [x for x in page.splitlines() if len(x) > 80]
        assert "fault of the program" not in page


def test_the_option_goes_before_the_file_and_the_file_before_the_machine(capsys, file, monkeypatch):
    """The verdict tells which language it is."""
    says = {}
    for name in ("en", *LANGUAGES):
        with words.speaking(name):
            says[name] = str(VERDICTS["go"])
    assert len({*says.values()}) == 3

    def spoken(*typed):
        page = printed(capsys, "limit", str(file), *typed)[1]
        return next(n for n, v in says.items() if page.startswith(v))

    for k in ("LC_ALL", "LC_MESSAGES", "LANG"):
        monkeypatch.delenv(k, raising=False)
    assert spoken() == "en"
    monkeypatch.setenv("LANG", "fr_CA.UTF-8")
    assert spoken() == "fr"
    monkeypatch.setenv("LC_ALL", "de_DE.UTF-8")
    assert spoken() == "en"
    monkeypatch.setenv("LC_ALL", "")
    text = file.read_text(encoding="utf-8")
    file.write_text(text.replace("[deployment]", '[deployment]\nlang = "es"', 1), encoding="utf-8")
    assert spoken() == "es"
    assert spoken("--lang", "en") == "en"
    assert words.language() == "en"
    assert printed(capsys, "limit", str(file), "--lang", "xx")[0] == 2


@pytest.mark.parametrize("language", LANGUAGES)
def test_every_help_is_shown_in_a_language(capsys, language):
    """A single % in a text of an option would end the help."""
    for name in COMMANDS:
        assert printed(capsys, name, "--help", "--lang", language)[0] == 0


def test_figures_and_days_are_written_as_the_reader_writes_them_and_read_as_ever():
    at = datetime(2026, 11, 28, 14, 20, tzinfo=UTC)
    for name, day in (("en", "Sat 28 Nov 2026"), ("es", "sáb 28 nov 2026"), ("fr", "sam 28 nov 2026")):
        with words.speaking(name):
            assert words.dated(at, "%a %d %b %Y") == day
            shown = units.show("pressure", 215.46, "us")
            assert shown == {"en": "4.5 psf"}.get(name, "4,5 psf")
            assert float(units.read("speed", "12.5 mph")) == pytest.approx(12.5 * 0.44704)
            with pytest.raises(ValueError, match="12,5 mph"):
                units.read("speed", "12,5 mph")


def test_the_words_of_the_processes_of_a_folder_are_those_of_the_parent():
    with words.usually("fr"), run._pool(1) as pool:
        assert pool._initargs == ("fr",)


def test_another_thread_shows_the_words_of_the_program():
    with words.usually("es"), ThreadPoolExecutor(1) as pool:
        assert pool.submit(words.language).result() == "es"
    assert words.language() == "en"


# Pages


def test_a_card_in_two_languages_says_everything_in_both_and_that_nobody_has_read_it(capsys, file):
    out = file.with_suffix(".html")
    assert printed(capsys, "sheet", str(file), "--card", "--lang", "en,es", "-o", str(out), *NOW)[0] == 0
    page = out.read_text(encoding="utf-8")
    short = [t for t in tables.texts("caution-") if t.short]
    for name in ("en", "es"):
        with words.speaking(name):
            said = [words.say(t.short) for t in short]
            assert [t for t in said if escape(t, quote=False) in page or escape(t) in page]
            assert (
                escape(
                    words.say(
                        "KEEP AWAY: nobody near the shelter. Do not try to save it. If the shelter lifts, let go of it and get clear."
                    )
                )
                in page
            )
    with words.speaking("es"):
        assert words.not_reviewed()
        assert words.not_reviewed() in page
    assert printed(capsys, "check", str(file), "--lang", "en,es")[0] == 2


def test_accents_are_set_on_paper_and_marks_of_direction_do_nothing(capsys, file):
    file.write_text(
        file.read_text(encoding="utf-8").replace("Triage annex", "Anexo \\u202Epeligro é"), encoding="utf-8"
    )
    out = file.with_suffix(".pdf")
    assert printed(capsys, "sheet", str(file), "--card", "--lang", "fr", "-o", str(out), *NOW)[0] == 0
    text = "".join(p.extract_text() for p in PdfReader(out).pages)
    assert "\u202e" not in text
    assert "?peligro é" in text
    with words.speaking("fr"):
        assert str(VERDICTS["no-go"]).isupper()
        level = str(LEVELS["keep-away"])
    assert level in text


# The interface


def test_the_language_is_changed_while_a_draft_is_open_and_nothing_typed_is_lost(file):
    async def job():
        async with running(file, (80, 24)) as (app, pilot):
            app.form.go_to("deployment.name")
            await press(pilot, "x", "é", "f2")
            await settled(app, pilot)
            spanish, typed = screen_text(app), app.session.draft.text("deployment.name")
            here = app.form.input.value
            await press(pilot, "f2", "f2")
            await settled(app, pilot)
            return (
                spanish,
                typed,
                here,
                screen_text(app),
                app.session.draft.text("deployment.name"),
                app.session.dirty,
            )

    with words.usually("en"):
        spanish, typed, here, english, after, dirty = asyncio.run(job())
    assert typed == here == after == "xé"
    assert dirty
    with words.speaking("es"):
        assert str(words.say("Shelter")) in spanish
        assert words.not_reviewed().split()[0] in spanish
    assert "Shelter" in english


def test_in_a_longer_language_every_view_and_every_level_is_in_sight(file, longer):
    async def job():
        async with running(file, (80, 24), looking=True) as (app, pilot):
            found = {}
            for key, name in (("1", "answer"), ("3", "gusts"), ("4", "checks")):
                await press(pilot, key)
                await pilot.pause(0.2)
                found[name] = (screen_text(app), [t for t, _ in app.view.page.texts])
            return found

    with words.usually(longer):
        found = asyncio.run(job())
        views = [f"{k} {w}" for k, w, _ in views_of_keys()]
        levels = [str(LEVELS[k]) for k in ("secure", "people-out", "keep-away")]
    for screen, lines in found.values():
        strip = " ".join(screen.split())
        assert all(" ".join(v.split()) in strip for v in views)
        assert max(map(len, lines)) <= 76
        assert not [x for x in lines if x.rstrip().endswith("...")]
    assert all(any(level in x for x in found["gusts"][1]) for level in levels)
