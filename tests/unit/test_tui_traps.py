"""The traps of Textual and of typed quantities that were found before this was written, each held shut, and what must never depend on colour."""

import ast
import asyncio
import importlib
import inspect
import math
import re
import time
from pathlib import Path

import pytest
from textual.screen import Screen
from tui_kit import NO_VERDICT, contrast, demo_file, do, press, running, screen_text, settled, typing, until

from anchorage.demo import demo_text
from anchorage.deployment.draft import read_draft
from tests.trees import tree
from tui import command, engine, recording, store
from tui.fields import KEYS
from tui.keys import ACTIONS, VIEWS
from tui.panels import Verdict
from tui.writing import EVENTS, WriteDown

TUI = Path(command.__file__).parent
MODULES = [importlib.import_module(f"tui.{p.stem}") for p in sorted(TUI.glob("*.py")) if p.stem != "__init__"]
FILES = {m.__name__: Path(str(m.__file__)) for m in MODULES}


pytestmark = pytest.mark.usefixtures("own_folder")


def calls(name):
    """Every call of a function or method of this name, with its module."""
    for module, file in FILES.items():
        for node in ast.walk(tree(file)):
            if isinstance(node, ast.Call):
                f = node.func
                if (f.attr if isinstance(f, ast.Attribute) else getattr(f, "id", "")) == name:
                    yield module, node


def given(node, name):
    """The value of an argument by name, where it is a constant."""
    return next(
        (k.value.value for k in node.keywords if k.arg == name and isinstance(k.value, ast.Constant)), None
    )


# Of Textual


def test_no_widget_of_ours_handles_an_event_that_its_base_of_ours_handles_too():
    """Handlers of every base class run, the subclass's first."""
    ours = {
        c for m in MODULES for c in vars(m).values() if inspect.isclass(c) and c.__module__.startswith("tui.")
    }
    for c in ours:
        seen = {}
        for base in c.__mro__:
            if base.__module__.startswith("tui."):
                for name in vars(base):
                    if name.startswith("on_"):
                        assert name not in seen, (
                            f"{c.__name__}.{name} runs twice: {seen[name]} and {base.__name__}"
                        )
                        seen[name] = base.__name__


def test_nothing_is_printed_while_the_screen_is_drawn():
    """Textual draws on standard error. The one that may print runs before there is a screen."""
    assert {m for m, _ in calls("print")} <= {"tui.command"}
    written = [
        m
        for m, t in ((m, tree(f)) for m, f in FILES.items())
        for n in ast.walk(t)
        if isinstance(n, ast.Attribute) and n.attr in ("stderr", "stdout")
    ]
    assert set(written) <= {"tui.command"}


def test_no_worker_takes_the_app_down_with_it():
    workers = list(calls("work")) + list(calls("run_worker"))
    assert len(workers) > 5
    for module, node in workers:
        assert given(node, "exit_on_error") is False, f"{module}:{node.lineno}"


def test_a_worker_that_fails_is_said_and_the_app_goes_on(tmp_path, monkeypatch):
    async def job(app, pilot):
        def fail(*_args, **_more):
            raise ZeroDivisionError("inside")

        import anchorage.judging.plan

        monkeypatch.setattr(anchorage.judging.plan, "assess", fail)
        await press(pilot, "down", *typing("ice"))
        await settled(app, pilot)
        assert "a fault of the program" in app.session.answer.faults[0].text
        assert app.screen_stack[0].query_one(Verdict).said[0] in NO_VERDICT
        assert app.session.draft.text("site.state") == "ice"

    do(job, demo_file(tmp_path))


def test_no_text_is_parsed_as_markup():
    for name in ("Static", "notify", "OptionList"):
        found = list(calls(name))
        assert found
        for module, node in found:
            if not (name == "Static" and not node.args):
                assert given(node, "markup") is False, f"{module}:{node.lineno} {name}"
    assert not list(calls("from_markup"))


def test_a_text_that_the_program_puts_in_is_no_typing(tmp_path):
    async def job(app, pilot):
        before = app.session.draft
        app.form.show_draft(app.session.draft.with_("site.surface", "grass"))
        await pilot.pause()
        assert app.form.input.value == "grass"
        assert app.session.draft is before
        assert not app.session.history.past

    do(job, demo_file(tmp_path))


def test_no_input_is_of_textuals_number_type():
    """It would not take 1 1/2 in."""
    for name in ("Input", "FieldInput", "LineInput"):
        assert all(given(node, "type") is None for _, node in calls(name))


# Of typed quantities

GOOD = [
    ("shelter.eave", "6 ft 6 in", 1.9812), ("shelter.eave", "6' 6\"", 1.9812), ("anchorage.stake.diameter", "1 1/2 in", 0.0381),
    ("wind.speed", "20 kt", 10.2889), ("wind.speed", "45 mph", 20.1168),
]  # fmt: skip
BAD = [
    ("wind.speed", "55,5 mph"), ("wind.speed", "10 kN"), ("wind.speed", "55 m"), ("wind.speed", "55"), ("wind.speed", "nan mph"), ("wind.speed", "1e400 mph"),
    ("wind.speed", "10 kn"), ("shelter.length", "12 M"), ("shelter.mass", "3 ton"), ("shelter.eave", "9**9**9 ft"), ("shelter.eave", "inf ft"),
]  # fmt: skip


def _quantity(d, key):
    for part in key.split("."):
        d = getattr(d, part)
    return float(d)


@pytest.mark.parametrize(("key", "text", "si"), GOOD)
def test_what_people_write_is_read_and_echoed_in_the_other_units(key, text, si):
    draft = read_draft(demo_text("clay"), KEYS).over({"shelter.ridge": "10 ft", key: text})
    answer = engine.evaluate(draft, 1, Path())
    assert not answer.faults
    assert _quantity(answer.deployment, key) == pytest.approx(si, rel=1e-4)
    assert text in answer.echoes[key]
    assert answer.echoes[key] != text


@pytest.mark.parametrize(("key", "text"), BAD)
def test_what_could_be_misread_is_not_read_and_it_is_said_what_is(key, text):
    draft = read_draft(demo_text("clay"), KEYS).with_(key, text)
    answer = engine.evaluate(draft, 1, Path())
    assert answer.plan is None
    told = {t.key: t.text for t in answer.faults}
    assert key in told
    assert "for example" in told[key] or "one number and one unit" in told[key]
    assert key not in answer.echoes


# Of undo, journal and recovery


def test_the_file_is_written_by_saving_only_and_the_journal_keeps_what_is_wrong(tmp_path):
    path = demo_file(tmp_path)

    async def job(app, pilot):
        await press(pilot, "down", "down", "down", *typing("20 furl"), "up")
        doc = app.session.doc
        await until(
            pilot,
            lambda: doc.journal.exists() and store.read_journal(doc).draft.text("wind.speed") == "20 furl",
        )
        assert path.read_text() == demo_text("asphalt")
        await press(pilot, "ctrl+z")
        await until(pilot, lambda: not app.session.doc.journal.exists())
        assert app.session.draft == app.session.doc.saved

    do(job, path)


# Seen by anybody


def shown(strips):
    """Every piece of text on the screen with its colours."""
    for strip in strips:
        for segment in strip:
            if segment.text.strip() and segment.style is not None:
                yield segment


def hexed(colour):
    """``#rrggbb``."""
    return "#{:02x}{:02x}{:02x}".format(*colour.get_truecolor())


@pytest.mark.parametrize("theme", ["sun", "night"])
def test_every_piece_of_text_on_every_screen_has_a_contrast_of_seven(tmp_path, theme):
    async def job(app, pilot):
        app.theme = theme
        await pilot.pause()
        for step in [
            *(a.key for a in ACTIONS if a.name.startswith("view(")),
            "f1",
            "ctrl+r",
            "ctrl+o",
            "ctrl+n",
            "ctrl+p",
            "escape",
        ]:
            if len(app.screen_stack) > 1:
                app.screen.dismiss("")
                await pilot.pause()
            await press(pilot, step)
            await pilot.pause(0.05)
            for s in shown(app.screen._compositor.render_strips()):
                if s.style.color is None or s.style.bgcolor is None:
                    continue
                a, b = hexed(s.style.color), hexed(s.style.bgcolor)
                assert contrast(a, b) >= 7.0, (step, s.text, a, b)

    do(job, demo_file(tmp_path), (120, 40))


def _settled(app, name):
    """Whether this view is shown, nothing is under way for it, and looks at it read the same for a fifth of a second."""
    before, since = "", 0.0

    def stands():
        nonlocal before, since
        text = screen_text(app)
        under_way = app.busy or not app.session.fresh or re.search("Working (it )?out", text)
        if text != before or app.session.view_name != name or under_way:
            before, since = text, time.monotonic()
        return time.monotonic() - since > 0.2

    return stands


def test_every_view_says_without_colour_what_it_says_with_colour(tmp_path, monkeypatch):
    seen = {}

    async def job(app, pilot):
        app.form.scold = True
        for name in VIEWS:
            app.show_view(name)
            await until(pilot, _settled(app, name))
            seen.setdefault(name, []).append(
                [line for line in screen_text(app).splitlines() if ":" not in line]
            )

    do(job, demo_file(tmp_path))
    monkeypatch.setenv("NO_COLOR", "1")
    do(job, demo_file(tmp_path))
    for name, (colour, none) in seen.items():
        assert colour == none, name


HOSTILE = ["[bold red]x[/]", "[@click=app.quit]x[/]", "\x1b[31mred\x1b[0m", "\x9b2J", "\u202egnp.exe", "[/", "-h", "--csv=/tmp/x", "$error", "9" * 300, "\ud800", "a\tb\nc"]  # fmt: skip


@pytest.mark.parametrize("text", HOSTILE, ids=range(len(HOSTILE)))
def test_whatever_is_written_down_nothing_breaks_and_nothing_takes_effect(tmp_path, text):
    async def job(app, pilot):
        await press(pilot, "ctrl+r")
        await until(pilot, lambda: isinstance(app.screen, WriteDown))
        dialog = app.screen
        for at in range(0, len(EVENTS), 4):
            dialog.pick(at)
            for line in dialog.inputs():
                line.value = text
            await press(pilot, "ctrl+p")
            await until(pilot, lambda: not dialog.sent)
            assert all(c.isprintable() or c == "\n" for c in screen_text(app))
            if app.screen is not dialog:
                return
        await press(pilot, "escape")
        assert app.is_running

    do(job, demo_file(tmp_path))


def test_the_verdict_is_stale_before_anything_else_can_happen(tmp_path):
    async def main():
        async with running(demo_file(tmp_path)) as (app, pilot):
            said = app.screen_stack[0].query_one(Verdict)
            assert said.said[0] == "NO-GO"
            app.form.go_to("wind.speed")
            app.form.input.value = "50 mph"
            assert said.said[0] in NO_VERDICT, "in the same step, not by a message"
            await settled(app, pilot)
            assert said.said[0] == "NO-GO"
            assert math.isclose(app.session.answer.plan.wind.gust_m_s, 22.352)

    asyncio.run(main())


@pytest.mark.parametrize("name", VIEWS)
def test_every_view_is_marked_while_it_is_from_before_the_last_change_and_not_after(tmp_path, name):
    path = demo_file(tmp_path)
    path.write_text(path.read_text() + '[forecast]\nheard = "13:40Z"\nlines = ["until 18:00Z gust 15 mph"]\n')

    async def job(app, pilot):
        app.show_view(name)
        await until(pilot, lambda: bool(app.view.page.texts) and not app.view.page.stale)
        for text in ("21 mph", "22 mph"):
            app.form.go_to("wind.speed")
            app.form.input.value = text
            app.mark_stale()
            assert app.view.page.stale
            await pilot.pause()
            await settled(app, pilot)
            await until(pilot, lambda: not app.view.page.stale)
        if name == "place":
            assert " FROM BEFORE " not in screen_text(app)

    do(job, path)


def test_what_comes_after_the_answer_is_marked_until_it_is_for_the_same_draft(tmp_path):
    path = demo_file(tmp_path)
    path.write_text(path.read_text() + '[forecast]\nheard = "13:40Z"\nlines = ["until 18:00Z gust 15 mph"]\n')

    async def job(app, pilot):
        for name in ("working", "weather", "compare", "now", "gusts"):
            app.show_view(name)
            await until(pilot, lambda: bool(app.view.page.texts) and not app.view.page.stale)
        before = app.session.number - 1
        app.session.worked = (before, app.session.topic, ["old"])
        app.session.weather_found = engine.Weather(before, app.session.weather_found.outlook)
        app.session.compared = engine.Compared(before, app.session.variant, None)
        app.session.stands = recording.Stands(("old",), before)
        for name in ("working", "weather", "compare", "now"):
            app.view.turn(name)
            app.mark_stale()
            assert app.view.page.stale, name
        app.view.turn("gusts")
        app.mark_stale()
        assert not app.view.page.stale

    do(job, path)


def test_a_letter_lays_nothing_out_anew_and_of_a_long_text_its_end_is_in_sight(tmp_path, monkeypatch):
    """In Textual each letter of an input has all widgets placed again; the answer alone may, by a line more or less."""

    async def job(app, pilot):
        app.form.go_to("deployment.name")
        await pilot.pause()
        app.ready, placed, whole = False, [], Screen._refresh_layout  # nothing is answered meanwhile
        monkeypatch.setattr(
            Screen, "_refresh_layout", lambda screen, *a, **k: (placed.append(1), whole(screen, *a, **k))
        )
        await press(pilot, *typing("north field " * 4 + "gate"))
        assert len(placed) <= 2, "of 52 letters: where what is said under the rows takes another line"
        line = next(x for x in screen_text(app).splitlines() if "field gate" in x)
        assert "north field north field north field north field gate" not in line, (
            "it is longer than its place"
        )

    do(job, demo_file(tmp_path))
