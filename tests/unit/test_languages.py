"""The languages: a catalogue each of the very messages of the template, compiled as it stands, with every figure in its place."""

import asyncio
import re
from concurrent.futures import ThreadPoolExecutor
from datetime import UTC, datetime
from html import escape
from io import BytesIO
from pathlib import Path

import catalogue
import languages_kit
import pytest
from babel.messages.pofile import read_po
from pypdf import PdfReader
from tui_kit import press, running, screen_text, settled, until

from anchorage.cli.commands import COMMANDS
from anchorage.cli.entry import main
from anchorage.core import choices, tables, units
from anchorage.core import say as words
from anchorage.core.plain import by_row, table
from anchorage.core.words import LEVELS, VERDICTS
from anchorage.demo import demo_text
from anchorage.deployment.policy import policy_of
from anchorage.deployment.reader import read_text
from anchorage.fleet import run
from anchorage.judging.card import card
from anchorage.judging.plan import make_plan
from anchorage.paper.blocks import words as words_on
from anchorage.paper.card_page import card_document
from anchorage.paper.content import Made, SheetIn
from anchorage.paper.pdf import pdf
from anchorage.paper.sheet import sheet_document
from tui.fields import FIELDS, OF, SUBJECTS, kept, shown
from tui.help import HELP
from tui.keys import views as views_of_keys
from tui.panels import STALE
from tui.writing import EVENTS

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
    for each in (words._catalogue, words._found, words._counted, words.signs):
        each.cache_clear()


def printed(capsys, *typed):
    """Exit code and page of a command; what cannot be typed ends with a code too."""
    try:
        code = main([*typed])
    except SystemExit as e:
        code = e.code
    out = capsys.readouterr()
    return code, out.out, out.err


@pytest.fixture
def marked(monkeypatch, tmp_path):
    """A language without one of our letters: a word in them that is still shown stands in no message."""
    yield languages_kit.speak_marked(monkeypatch, tmp_path / "locale")
    for each in (words._catalogue, words._found, words._counted, words.signs):
        each.cache_clear()


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


def test_a_table_of_longer_words_keeps_to_the_page_and_loses_none():
    """The widest column of words goes on beneath; figures stay in their columns, and a table that fits is as it ever was."""
    words_of = "levantamiento de un pie del armazón en la esquina de delante"
    rows = [
        ("qué", "dónde", "masa"),
        (words_of, "R1", "40 lb"),
        ("corto", "L4", "5 lb"),
        ("x" * 20, "y" * 20, "z" * 20),
    ]
    lines = by_row(rows, "llr")
    assert [len(x) for x in lines] == [1, 2, 1, 1]
    assert max(len(line) for x in lines for line in x) <= 80
    said = " ".join(line.strip() for line in lines[1])
    assert all(w in said for w in (*words_of.split(), "R1", "40 lb"))
    assert {line.index("R1") for line in lines[1][:1]} == {lines[2][0].index("L4")}
    assert table(rows[:1] + rows[2:3], "llr") == ["qué    dónde  masa", "corto  L4     5 lb"]


@pytest.mark.parametrize("language", LANGUAGES)
def test_tables_of_each_language_keep_to_the_page(capsys, file, language):
    for typed in (["check", str(file), "--full", "--engineer"], ["pack", str(file)], ["limit", str(file)]):
        page = printed(capsys, *typed, "--lang", language)[1]
        assert [x for x in page.splitlines() if len(x) > 80] == []


def test_the_option_goes_before_the_file_and_the_file_before_the_machine(capsys, file, monkeypatch):
    """The first word tells which language it is: that it does not go up."""
    says = {}
    for name in ("en", *LANGUAGES):
        with words.speaking(name):
            says[name] = str(VERDICTS["no-go"])
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


OURS = frozenset(
    [
        "mph", "ft", "min", "in", "lb", "lbf", "psf", "yd", "gal", "US", "UTC", "Z", "N", "E", "S", "W", "NE", "SE", "SW", "NW", "NNE", "ENE", "ESE",
        "SSE", "SSW", "WSW", "WNW", "NNW", "degF", "degC", "ASCE", "EN", "setup", "strike", "start", "end", "times", "sha", "toml", "html", "Ctrl",
        "Alt", "Esc", "Enter", "PgUp", "PgDn", "Tab", "anchorage", "check", "sheet", "log", "now", "outlook", "demo", "inspection", "all", "clear",
        "full", "engineer", "lang", "qq", "us", "si", "en", "es", "fr", "dom", "lun", "mar", "mié", "jue", "vie", "sáb", "ene", "feb", "abr", "may",
        "jun", "jul", "ago", "sep", "oct", "nov", "dic",
    ]
)  # fmt: skip
"""What is no word of a message: units, points of the compass, keys, names of standards, what is typed after the program's name, and how the language names its days."""


def left_over(page):
    """Words in our letters on a page that are none of these. Sources in brackets and whatever follows ``anchorage`` are as they are written."""
    page = " ".join(page.split()).replace(str(policy_of().source), "")
    page = re.sub(
        r"\[[A-Z][^\]]*\]|anchorage [a-z]+|--[a-z-]+|\d+:[0-9a-f]{12}|\b[0-9a-f]{12}\b",
        " ",
        page,
        flags=re.DOTALL,
    )
    return sorted({*re.findall(r"[A-Za-zé]{2,}", page)} - OURS)


FOREIGN = """
[forecast]
heard = "2026-11-28 06:00"
lines = ["until 18:00 gust 15 mph", "until 21:00 gust 40 mph"]
[outlook]
zone = "UTC"
"""


def foreign(tmp_path, name, more=""):
    """A demo in whose own words there is none of our letters."""
    text = re.sub(r'(?m)^name = ".*"$', 'name = "Дом"', demo_text(name))
    at = tmp_path / "дом.toml"
    at.write_text(text + more, encoding="utf-8")
    return at


ENTRIES = (
    ["placed", "8", "--each"], ["setup"], ["wind", "18 mph"], ["snow", "1 in"], ["inspection", "passed"], ["straps", "locked"], ["doors", "in-use"],
    ["state", "ice"], ["thunder"],
)  # fmt: skip


@pytest.mark.parametrize("name", ["winter"])
def test_no_word_on_a_page_stands_outside_of_the_messages(capsys, tmp_path, monkeypatch, marked, name):
    monkeypatch.chdir(tmp_path)
    at = foreign(tmp_path, name).name
    mine = ["--lang", marked]
    pages = [["check", at], ["limit", at], ["outlook", at, *NOW, "--zone", "UTC", "--say", "until 18:00 gust 35 mph"],
             ["ways", at], ["pack", at], ["check", at, "--gust", "90 mph"]]  # fmt: skip
    found = {" ".join(p): printed(capsys, *p, *mine)[1] for p in pages}
    for entry in ENTRIES:
        out = printed(capsys, "log", at, *entry, "--who", "Я", *NOW, *mine)
        found[f"log {entry[0]}"] = out[1] + out[2]
    for p in (["now", at, *NOW], ["now", at, "--aloud", *NOW], ["log", at, *NOW], ["check", at]):
        found[" ".join(["then", *p])] = printed(capsys, *p, *mine)[1]
    for p in (["sheet", at, "--card", *NOW], ["pack", at]):
        printed(capsys, *p, "-o", "p.html", *mine)
        page = re.sub(
            r"<style.*?</style>|<[^>]*>", " ", Path("p.html").read_text(encoding="utf-8"), flags=re.DOTALL
        )
        found[f"{p[0]} on paper"] = page.replace("&amp;", "&")
    assert all(found.values())
    assert {k: left_over(v) for k, v in found.items() if left_over(v)} == {}


# Choices: shown in words, kept as codes


def test_each_choice_of_the_form_is_shown_in_words_and_either_may_be_typed(template):
    """In no language is a word of one choice another choice of the same field."""
    every = {m.id for m in template} | {i for m in template if isinstance(m.id, tuple) for i in m.id}
    for key, field in FIELDS.items():
        of = OF.get(key, "")
        for code in field.choices if of in choices.CHOICES else ():
            if f"{code} ({of})" not in choices.CHOICES[of]:
                assert re.search(r"\d|^(asd|durst|wmo)$", code), (key, code)
        if not of:
            assert all(re.fullmatch(r"[A-Z0]|[IV]+|us|si|en|es|fr|.*\d.*", c) for c in field.choices), key
        for language in LANGUAGES:
            with words.speaking(language):
                said = [str(choices.chosen(c, of)) for c in field.choices]
                typed = [choices.folded(t) for t in said]
                assert len({*typed}) == len(typed), (language, key, said)
                for code, text in zip(field.choices, said, strict=True):
                    assert kept(field, text.upper() if of else text) == code, (language, key, text)
                    assert kept(field, choices.folded(text) if of else text) == code
                    assert kept(field, code) == code
                    assert shown(field, code) == text
    assert {m for of in choices.CHOICES.values() for m in of} <= every
    with words.speaking("en"):
        named = [f for f in FIELDS.values() if OF.get(f.key) != "so"]
        assert all(shown(f, c) == kept(f, c) == c for f in named for c in f.choices)
        so = FIELDS["snow.pockets"]  # no leader says true
        assert [(shown(so, c), kept(so, shown(so, c))) for c in so.choices] == [
            ("yes", "true"),
            ("no", "false"),
        ]


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
                        "KEEP AWAY: nobody near it or its lines, nobody downwind. Count again. Do not try to save it; if it lifts, let go, get clear."
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


def test_in_a_longer_language_nothing_on_paper_is_cut(longer):
    """Twice as long: every text of the blocks is on the pages whole, all the cautions too, and there are at most twice as many."""
    d = read_text(demo_text("asphalt"))

    def pages(how):
        plan = make_plan(d)
        sheet = sheet_document(SheetIn(plan, d, Made("s.toml", "0", 0)), "letter")
        document = (
            sheet
            if how == "sheet"
            else card_document(card(d), SheetIn(plan, d, Made("s.toml", "0", 0)), "letter")
        )
        found = [p.extract_text() for p in PdfReader(BytesIO(pdf(document))).pages]
        foot = "".join(document.last_line.split())
        flat = ["".join(t.split()).replace(foot, "") for t in found]
        numbers = [
            "".join(words.say("page {n} of {of}", n=i + 1, of=len(flat)).split()) for i in range(len(flat))
        ]
        return (
            plan,
            document,
            "".join(t.replace(n, "") for t, n in zip(flat, numbers, strict=True)),
            len(flat),
        )

    for how in ("sheet", "card"):
        with words.speaking(longer):
            plan, document, text, many = pages(how)
            lost = [t for t in words_on(document.blocks) if "".join(t.split()) not in text]
            assert lost == []
            cautions = [c.text for c in plan.cautions]
        if how == "sheet":
            assert len(cautions) == 20
            assert all("".join(t.split()) in text for t in cautions)
            assert many <= 2 * pages(how)[3]


# The interface


def test_the_language_is_changed_while_a_draft_is_open_and_nothing_typed_is_lost(file):
    async def job():
        async with running(file, (80, 24)) as (app, pilot):
            app.form.go_to("deployment.name")
            await press(pilot, "x", "é", "f2")
            await settled(app, pilot)
            subjects = "\n".join(
                app.form.subjects.render_line(y).text for y in range(app.form.subjects.size.height)
            )
            assert all(str(s.name) in subjects for s in SUBJECTS)
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
        assert str(words.say("not reviewed")) in spanish
    assert "Shelter" in english


def test_a_choice_is_read_and_typed_in_the_language_and_kept_as_its_code(file):
    async def job():
        async with running(file, (80, 24)) as (app, pilot):
            app.form.go_to("site.surface")
            await pilot.pause()
            before = (app.form.input.value, app.session.draft.text("site.surface"))
            await press(pilot, *"hormi", *["backspace"] * 5, *"concr", "enter")
            begun = app.session.draft.text("site.surface")  # two begin so: the one that the other begins with
            app.form.go_to("anchorage.foot")
            await press(pilot, *"METAL", "enter")
            typed = app.session.draft.text("anchorage.foot")
            app.form.go_to("door[1].is")
            await press(pilot, *"closed")
            coded = app.session.draft.text("door[1].is")
            await press(pilot, "shift+up")
            nudged_to = (app.form.input.value, app.session.draft.text("door[1].is"))
            await settled(app, pilot)
            return before, begun, typed, coded, nudged_to, app.session.answer.faults

    with words.usually("es"):
        before, begun, typed, coded, nudged_to, faults = asyncio.run(job())
    assert before == ("asfalto", "asphalt")
    assert (begun, typed, coded) == ("concrete", "bare-metal", "closed")
    assert nudged_to == ("en uso", "in-use")
    assert not faults


def test_what_is_from_before_is_in_the_language_that_was_changed_to(file):
    """A fault keeps the last plan on the screen: its sentences are made anew, and none of the language before is left."""

    async def job():
        async with running(file, (80, 24)) as (app, pilot):
            app.form.go_to("wind.speed")
            await press(pilot, "x", "escape", "9")
            await settled(app, pilot)
            await press(pilot, "f2")
            await settled(app, pilot)
            await until(pilot, lambda: app.session.good is not None)
            await pilot.pause(0.2)
            return "\n".join(t for t, _ in app.view.page.texts), screen_text(app)

    with words.usually("en"):
        page, screen = asyncio.run(job())
    with words.speaking("es"):
        assert str(words.say("CAUTIONS, always")) in page
        assert str(STALE).strip() in screen
    for text in (t.text for t in tables.texts("caution-")):
        assert text[:40] not in page
    assert not re.search(r"\b(the|and|with)\b", re.sub(r"\[[^\]]*\]", "", page))


def test_no_word_of_the_interface_stands_outside_of_the_messages(tmp_path, monkeypatch, marked):
    """Every view but the working of engineers, every subject of the form and every question."""
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("ANCHORAGE_STATE", str(tmp_path / "state"))  # no file that was opened before
    at = foreign(tmp_path, "winter", FOREIGN)
    found = {}

    cautions = languages_kit.marked("CAUTIONS, always")

    async def job():
        async with running(Path(at.name), (80, 60), looking=True, clock=1795845600.0) as (app, pilot):
            for key in "1234567":
                await press(pilot, key)
                await until(pilot, lambda: str(words.say("Working it out")) not in screen_text(app))
                found[f"view {key}"] = "\n".join(t for t, _ in app.view.page.texts)
                found[f"screen {key}"] = screen_text(app).replace("English", "")
            for key in ("question_mark", "ctrl+f", "p", "o", "n", "r", "alt+s", "l", "alt+m"):
                before = app.screen
                await press(pilot, key)
                await until(pilot, lambda before=before: app.screen is not before)
                await pilot.pause(0.05)
                found[f"key {key}"] = screen_text(app).split(cautions)[0]
                await press(pilot, "escape", *(["escape"] if key == "ctrl+f" else []))
                await pilot.pause(0.05)
            await press(pilot, "9")
            await pilot.pause(0.1)
            found["view 9"] = "\n".join(t for t, _ in app.view.page.texts)
            await press(pilot, "enter")
            for i, subject in enumerate(SUBJECTS):
                app.form.go(i)
                await pilot.pause(0.02)
                rows = [*subject.rows(app.session.draft)]
                found[f"subject {i}"] = "\n".join(
                    [
                        *(str(r) for row in app.form.rows.rows for r in (row[0], row[2])),
                        *(str(f.asks) for f in rows),
                        *(shown(f, c) for f in rows for c in f.choices),
                    ]
                )
                found[f"help {i}"] = "\n".join(str(t) for f in subject.fields for t in HELP[f.key])

    with words.usually(marked):
        asyncio.run(job())
        found["writing"] = "\n".join(
            str(t) for e in EVENTS for x in e.lines for t in (e.word, x.label, x.accepted, x.empty)
        )
    codes = {*["asce", "asd", "cts", "durst", "equ", "gust", "II", "III", "inHg", "IV", "lumped", "min", "pdf", "until", "wmo", "asphalt", "clay", "mixed", "winter", "English"]}  # fmt: skip
    found = {k: {*left_over(v)} - codes for k, v in found.items()}
    assert {k: v for k, v in found.items() if v} == {}


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
        assert max(map(len, lines)) <= 77
        assert not [x for x in lines if x.rstrip().endswith("...")]
    assert all(any(level in x for x in found["gusts"][1]) for level in levels)
