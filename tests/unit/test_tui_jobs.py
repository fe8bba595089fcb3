"""Whole jobs by keyboard, as a leader does them."""

import html
import os
import re
import signal
import subprocess
import sys
import time
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from textual.events import Paste
from textual.widgets import Input
from tui_kit import demo_file, do, press, running, screen_text, settled, typing, until

from anchorage.demo import demo_text
from tui import engine, store
from tui.app import AnchorageApp
from tui.dialogs import AskPath, Choose, Heed, Tell, WriteDown
from tui.fields import KEYS, SUBJECTS
from tui.keys import ACTIONS
from tui.panels import Drawing, Verdict


@pytest.fixture(autouse=True)
def _state(tmp_path, monkeypatch):
    monkeypatch.setenv("ANCHORAGE_STATE", str(tmp_path / "state"))
    monkeypatch.chdir(tmp_path)


def word(app):
    """The word of the verdict."""
    return app.screen_stack[0].query_one(Verdict).said[0]


def field(app, key):
    """The input of a field on the subject that is shown."""
    return next(f for f in app.form.inputs() if f.field.key == key)


def test_a_new_deployment_of_a_saved_shelter_to_a_verdict_and_to_the_sheet(tmp_path):
    path = demo_file(tmp_path)

    async def job(app, pilot):
        keys = await press(pilot, "ctrl+n", "enter")
        await until(
            pilot,
            lambda: (
                app.form.here is not None
                and app.form.here.field.key == "site.surface"
                and app.form.here.value == ""
            ),
        )
        assert word(app) == "STALE"
        keys += await press(
            pilot, *typing("as"), "enter", "w", "enter", "f", "enter", *typing("18 mph"), "enter"
        )
        keys += await press(pilot, "enter", "enter", "b", "enter", "enter", "enter", "enter", *typing("120"))
        await settled(app, pilot)
        assert keys <= 40, keys
        assert app.answer.plan is not None, app.answer.faults
        assert app.answer.plan.stock[0].brought == 120
        assert word(app) in ("GO", "NO-GO")
        assert f"{app.answer.plan.anchorage.total.units} sandbags" in screen_text(app)
        # the sheet: not before the cautions have been gone through
        await press(pilot, "f10")
        await until(pilot, lambda: isinstance(app.screen, Heed))
        dialog = app.screen
        await press(pilot, "f10", "enter")
        assert app.screen is dialog
        assert dialog.query_one("#path", Input).disabled
        for _ in range(60):
            await press(pilot, "space")
            await pilot.pause()
            if dialog.read:
                break
        await press(pilot, "enter")
        made = Path("deployment.html")
        await until(pilot, made.exists)
        text = html.unescape(made.read_text(encoding="utf-8"))  # noqa: ASYNC240 - a test
        assert app.answer.plan.headline[:30] in text
        assert "sandbag" in text
        plain = engine.sheet_bytes(app.answer, None, Path("a.txt"), None).decode()
        assert all(" ".join(c.text.split()[:3]) in plain for c in app.answer.plan.cautions)

    do(job, path)


@pytest.mark.parametrize(
    ("keys", "key", "value"),
    [
        (["down", *typing("ice")], "site.state", "ice"),
        (["down", "shift+up"], "site.state", "frozen"),
        (["down", "down", "down", "shift+up"], "wind.speed", "25 mph"),
        (["down", "down", "down", "shift+down"], "wind.speed", "15 mph"),
        (["up", "up", "up", "up", "shift+down"], "shelter.straps", "locked"),
        (["up", "up", "up", "shift+up"], "stock.sandbags", "110"),
    ],
)  # fmt: skip
def test_any_one_change_takes_six_keys_at_most(tmp_path, keys, key, value):
    async def job(app, pilot):
        before = app.answer
        assert await press(pilot, *keys) <= 6
        await settled(app, pilot)
        assert app.draft.text(key) == value
        assert app.answer is not before
        assert app.answer.plan is not None

    do(job, demo_file(tmp_path))


def test_a_bad_unit_is_mended_and_meanwhile_there_is_no_old_go(tmp_path):
    async def job(app, pilot):
        assert word(app) == "GO"
        drawing = app.view.query_one(Drawing)
        await press(pilot, "down", "down", "down", *typing("20 furl"))
        assert word(app) == "STALE"
        await settled(app, pilot)
        assert word(app) == "STALE"
        assert "GO" not in screen_text(app).splitlines()[0].replace("^G", "")
        assert drawing.stale
        assert drawing.answer.plan is not None
        assert field(app, "wind.speed").value == "20 furl"
        await press(pilot, "up", "up", *typing("i"), "enter")  # others go on working, and nothing is lost
        await settled(app, pilot)
        assert app.draft.text("site.state") == "ice"
        await press(pilot, "up", "up", "up", "ctrl+g")
        await pilot.pause()
        assert app.form.here.field.key == "wind.speed"
        text = screen_text(app)
        assert "! Wind" in text
        assert "furl" in text
        assert "mph" in "\n".join(text.splitlines()[-5:]), "it says what is accepted"
        await press(pilot, *typing("10 mph"))
        await settled(app, pilot)
        assert word(app) != "STALE"
        assert not drawing.stale

    do(job, demo_file(tmp_path))


def test_the_verdict_is_stale_from_the_first_key_on_and_late_answers_are_dropped(tmp_path):
    async def job(app, pilot):
        old = app.answer
        await press(pilot, "down", "down", "down")
        for key in typing("31 mph"):
            await pilot.press(key)
            assert word(app) == "STALE" or app.answer.draft is app.draft
        await settled(app, pilot)
        new = app.answer
        app._answered(engine.Answer(old.number, old.draft, (), old.plan, old.deployment, old.around))
        assert app.answer.plan is not old.plan
        await settled(app, pilot)
        assert app.answer.plan.wind.gust_m_s == new.plan.wind.gust_m_s

    do(job, demo_file(tmp_path))


def test_keys_that_come_faster_than_the_screen_go_to_the_right_field(tmp_path):
    async def job(app, pilot):
        for _ in range(3):
            app.form.step(1)
        assert app.form.here.field.key == "wind.speed"

    do(job, demo_file(tmp_path))


def test_the_file_is_in_the_fields_before_the_first_key_can_come(tmp_path):
    import asyncio

    async def main():
        app = AnchorageApp(demo_file(tmp_path))
        async with app.run_test() as pilot:
            assert app.form.here.field.key == "site.surface"
            assert field(app, "wind.speed").value == "20 mph"
            await press(pilot, "down", *typing("ice"))
            await settled(app, pilot)
            assert app.draft.text("site.state") == "ice"

    asyncio.run(main())


def test_comparing_names_what_differs(tmp_path):
    async def job(app, pilot):
        await press(pilot, "f7")
        seen = {}
        for _ in range(len(app.variants)):
            await until(pilot, lambda: app.compared is not None and app.compared.name == app.variant)
            seen[app.variant] = screen_text(app)
            await press(pilot, "f7")
            await pilot.pause()
        assert "WHAT DIFFERS" in seen["ground ice"]
        assert "*holds to" in seen["ground ice"]
        assert "straps locked" in seen
        assert "stakes" in seen
        assert "Cannot be worked out" in " ".join(seen["stakes"].split()), (
            "a variant that lacks its data says so"
        )
        await press(pilot, "alt+k", "down", *typing("ice"))
        await settled(app, pilot)
        await until(
            pilot,
            lambda: (
                app.compared is not None
                and app.compared.name == engine.KEPT
                and app.compared.number == app.number
            ),
        )
        assert engine.KEPT.upper() in screen_text(app)

    do(job, demo_file(tmp_path), (120, 40))


def test_undo_and_redo_by_field(tmp_path):
    async def job(app, pilot):
        await press(pilot, "down", *typing("ice"), "down", *typing("open"))
        assert (app.draft.text("site.state"), app.draft.text("site.surroundings")) == ("ice", "open")
        await press(pilot, "ctrl+z")
        assert (app.draft.text("site.state"), app.draft.text("site.surroundings")) == ("ice", "town")
        await press(pilot, "ctrl+z")
        assert app.draft.text("site.state") == "wet"
        assert field(app, "site.state").value == "wet"
        assert app.draft == app.doc.saved
        await press(pilot, "ctrl+y", "ctrl+y", "ctrl+y")
        assert app.draft.text("site.surroundings") == "open"
        await settled(app, pilot)
        assert app.answer.draft is app.draft

    do(job, demo_file(tmp_path))


KILLED = """
import asyncio, os, signal, sys, time
sys.path[:0] = [{tests!r}]
from pathlib import Path
from tui_kit import press, running, typing
async def main():
    async with running(Path({path!r})) as (app, pilot):
        await press(pilot, "down", "down", "down", *typing("33 furl"))
        end = time.monotonic() + 2.0
        while time.monotonic() < end:
            await pilot.pause(0.05)
        os.kill(os.getpid(), signal.SIGKILL)
asyncio.run(main())
"""


def test_what_was_typed_two_seconds_before_a_kill_is_recovered(tmp_path):
    path = demo_file(tmp_path)
    code = KILLED.format(tests=str(Path(__file__).parent.parent), path=str(path))
    ended = subprocess.run(
        [sys.executable, "-c", code], check=False, cwd=Path(__file__).parents[2], capture_output=True
    )
    assert ended.returncode == -signal.SIGKILL, ended.stderr.decode()
    assert path.read_text() == demo_text("asphalt")

    async def job(app, pilot):
        await until(pilot, lambda: isinstance(app.screen, Choose))
        assert "asphalt.toml" in screen_text(app)
        await press(pilot, "r")
        await settled(app, pilot)
        assert app.draft.text("wind.speed") == "33 furl"
        assert field(app, "wind.speed").value == "33 furl"
        await press(pilot, "ctrl+z")
        assert app.draft == app.doc.saved

    do(job, path)


def test_saving_keeps_the_notes_and_a_file_changed_underneath_is_not_overwritten_unasked(tmp_path):
    path = demo_file(tmp_path)

    async def job(app, pilot):
        await press(pilot, "down", "down", "down", *typing("22 mph"), "ctrl+s")
        await until(pilot, lambda: not app.dirty)
        assert 'speed = "22 mph"            # the strongest gust' in path.read_text()
        theirs = path.read_text().replace("22 mph", "23 mph") + "# theirs\n"
        path.write_text(theirs)
        await until(pilot, lambda: app.underneath)
        assert "CHANGED ON DISK" in screen_text(app)
        await press(pilot, *typing("24 mph"), "ctrl+s")
        await until(pilot, lambda: isinstance(app.screen, Choose))
        assert path.read_text() == theirs
        await press(pilot, "r")
        await settled(app, pilot)
        assert app.draft.text("wind.speed") == "23 mph"

    do(job, path)


def test_leaving_asks_about_what_is_not_saved_and_keeping_it_offers_it_next_time(tmp_path):
    path = demo_file(tmp_path)

    async def first(app, pilot):
        await press(pilot, "down", *typing("ice"), "ctrl+q")
        await until(pilot, lambda: isinstance(app.screen, Choose))
        await press(pilot, "k")
        await until(pilot, lambda: not app.is_running)

    async def second(app, pilot):
        await until(pilot, lambda: isinstance(app.screen, Choose))
        await press(pilot, "d")
        await pilot.pause()
        assert app.draft == app.doc.saved
        assert not app.doc.journal.exists()

    do(first, path)
    do(second, path)


def test_the_first_run_offers_the_demos(tmp_path):
    async def job(app, pilot):
        await until(pilot, lambda: isinstance(app.screen, AskPath))
        assert "demo: asphalt" in screen_text(app)
        await press(pilot, "enter")
        await until(pilot, lambda: app.good is not None)
        await settled(app, pilot)
        assert word(app) == "GO"
        await press(pilot, "ctrl+s")
        await until(pilot, lambda: isinstance(app.screen, AskPath))
        app.screen.query_one("#path", Input).value = str(tmp_path / "mine.toml")
        await press(pilot, "enter")
        await until(pilot, (tmp_path / "mine.toml").exists)
        assert store.recent() == [str(tmp_path / "mine.toml")]

    do(job)


def test_a_forecast_by_voice_gives_deadlines(tmp_path):
    async def job(app, pilot):
        await app.form.go(12)
        await press(pilot, *typing("13:40"), "down", *typing("UTC"), "down")
        await pilot.pause()
        assert app.form.here.field.key == "forecast.lines[1]"
        app.form.here.post_message(
            Paste("until 18:00 gust 15 mph\n\nuntil 21:00 gust 31 mph\nuntil 23:00 gust 40 mph\n")
        )
        await until(pilot, lambda: app.draft.text("forecast.lines[3]") == "until 23:00 gust 40 mph")
        await press(pilot, "f6")
        await until(
            pilot,
            lambda: app.weather_found is not None and app.weather_found.outlook is not None and app.fresh,
        )
        text = " ".join(screen_text(app).split())
        assert "DEADLINES" in text
        assert "PEOPLE OUT" in text
        top = screen_text(app).splitlines()[:3]
        assert top[0].startswith(" NO-GO from Tue 18:00 UTC"), (
            "the worse of the wind that is typed and the forecast"
        )
        assert "BY Tue" in top[1]
        assert "By the wind typed: GO" in top[2]
        await app.form.go(12, "forecast.lines[1]")
        await press(pilot, *typing("fog"))
        await settled(app, pilot)
        await until(pilot, lambda: word(app) == "CANNOT SAY")
        assert "F6" in screen_text(app).splitlines()[0]

    start = 1764078600.0  # 2025-11-25 13:50 UTC
    do(job, demo_file(tmp_path), (120, 40), clock=start)


def test_a_reading_is_written_down_and_where_it_stands_is_shown(tmp_path):
    path = demo_file(tmp_path)

    async def job(app, pilot):
        await press(pilot, "f12", "ctrl+r")
        await until(pilot, lambda: isinstance(app.screen, WriteDown))
        await press(pilot, *typing("15 mph"), "enter", *typing("lee"), "enter")
        await until(pilot, lambda: app.stands is not None and "15" in " ".join(app.stands.lines))
        assert "WHERE IT STANDS" in screen_text(app)
        await press(pilot, "ctrl+r")
        await until(pilot, lambda: isinstance(app.screen, WriteDown))
        await press(pilot, *typing("fast"), "enter")
        await until(pilot, lambda: "Not written down" in screen_text(app))

    do(job, path, (120, 40))


def test_every_view_help_theme_palette_and_plain_drawing(tmp_path):
    async def job(app, pilot):
        for key in ("f3", "f4", "f5", "f6", "f7", "f8", "f9", "f12", "f2"):
            await press(pilot, key)
            await pilot.pause()
            assert word(app) == "GO"
        await press(pilot, "f1")
        await until(pilot, lambda: isinstance(app.screen, Tell))
        assert "Where to find it" in screen_text(app)
        await press(pilot, "escape", "ctrl+t")
        assert app.theme == "night"
        await press(pilot, "alt+p")
        await pilot.pause()
        assert "o-" in screen_text(app)
        commands = {c.title for c in app.get_system_commands(app.screen)}
        assert all(f"{a.word} ({a.shown})" in commands for a in ACTIONS if a.name != "command_palette")
        await press(pilot, "ctrl+p", *typing("wall height"))
        await until(pilot, lambda: "Go to: Wall height" in screen_text(app))
        await press(pilot, "enter")
        await until(pilot, lambda: app.form.here is not None and app.form.here.field.key == "shelter.eave")

    do(job, demo_file(tmp_path))


def test_every_key_of_the_register_does_something(tmp_path):
    async def job(app, pilot):
        for a in ACTIONS:
            if a.name in ("leave", "command_palette"):
                continue
            await press(pilot, a.key)
            await pilot.pause()
            while len(app.screen_stack) > 1:
                app.screen.dismiss("")
                await pilot.pause()
        assert app.is_running

    do(job, demo_file(tmp_path))


def test_the_mouse_works_on_views_keys_subjects_and_fields(tmp_path):
    async def job(app, pilot):
        assert await pilot.click("#views", offset=(12, 0))
        assert app.view_name == "gusts"
        assert await pilot.click("#subjects", offset=(8, 0))
        await pilot.pause()
        assert app.form.subject == 1
        assert await pilot.click("#foot", offset=(2, 0))
        await until(pilot, lambda: isinstance(app.screen, Tell))

    do(job, demo_file(tmp_path))


ANY = st.text(max_size=40) | st.sampled_from(
    [
        "[bold red]x[/]",
        "[@click=app.quit]x[/]",
        "\x1b[31mred\x1b[0m",
        "\x1b]0;title\x07",
        "\x9b2J",
        "\u202egnp.exe",
        "[/",
        "$error",
        "9" * 500,
        "a\tb",
        "\ud800",
    ]
)


@settings(max_examples=3)
@given(st.data())
def test_whatever_is_put_into_any_field_nothing_breaks_and_nothing_takes_effect(data):
    async def main():
        async with running(None) as (app, pilot):
            app.screen.dismiss("demo:asphalt")
            await settled(app, pilot)
            for _ in range(8):
                i = data.draw(st.integers(0, len(SUBJECTS) - 1))
                key = data.draw(st.sampled_from(SUBJECTS[i].fields)).key
                text = data.draw(ANY)
                await app.form.go(i, key)
                await pilot.pause()
                here = app.form.here
                if data.draw(st.booleans()):
                    here.value = text
                else:
                    here.post_message(Paste(text))
                await pilot.press(
                    data.draw(
                        st.sampled_from(["enter", "down", "f9", "f3", "f1", "escape", "ctrl+z", "shift+up"])
                    )
                )
                await pilot.pause()
                if len(app.screen_stack) > 1:
                    app.screen.dismiss("")
                    await pilot.pause()
                shown = screen_text(app)
                assert all(c.isprintable() or c == "\n" for c in shown), [
                    c for c in shown if not c.isprintable()
                ]
                assert all(v.isprintable() for k, v in app.draft.typed.items() if k in KEYS)
            await settled(app, pilot)
            assert app.is_running

    import asyncio

    asyncio.run(main())


def test_markup_in_a_name_is_shown_as_it_is(tmp_path):
    path = tmp_path / "a.toml"
    path.write_text(re.sub("(?m)^name = .*$", 'name = "[NE corner]"', demo_text("asphalt")))

    async def job(app, pilot):
        await app.form.go(0, "deployment.name")
        await pilot.pause()
        assert "[NE corner]" in screen_text(app)

    do(job, path)


def test_no_color_is_heeded_and_the_verdict_is_still_read(tmp_path, monkeypatch):
    monkeypatch.setenv("NO_COLOR", "1")

    async def job(app, pilot):
        assert app.no_color
        assert "GO" in screen_text(app).splitlines()[0]
        assert "■" in screen_text(app)
        assert "weak" in screen_text(app)

    do(job, demo_file(tmp_path))


def test_a_disk_that_is_full_is_said_and_nothing_is_lost(tmp_path, monkeypatch):
    path = demo_file(tmp_path)

    async def job(app, pilot):
        await press(pilot, "down", *typing("ice"))

        def fail(*_args):
            raise OSError(28, "No space left on device")

        monkeypatch.setattr(store, "write_whole", fail)
        await press(pilot, "ctrl+s")
        await until(pilot, lambda: "No space left" in " ".join(screen_text(app).split()))
        assert app.dirty
        assert app.draft.text("site.state") == "ice"

    do(job, path)
    assert path.read_text() == demo_text("asphalt")


def test_in_a_pipe_it_says_what_to_do_instead():
    done = subprocess.run([sys.executable, "-m", "anchorage", "tui"], stdin=subprocess.DEVNULL, capture_output=True, text=True, check=False,
                          env={**os.environ, "COLUMNS": "80"}, cwd=Path(__file__).parents[2])  # fmt: skip
    assert done.returncode == 2
    assert "needs a terminal" in done.stderr
    assert done.stdout == ""


def test_serving_beyond_this_machine_warns_in_plain_words(monkeypatch, capsys):
    import argparse

    from tui import command

    served = {}

    class Server:
        def __init__(self, words, **more):
            served.update(more, words=words)

        def serve(self):
            served["ran"] = time.time()

    monkeypatch.setattr(command.importlib, "import_module", lambda _name: argparse.Namespace(Server=Server))
    command.run(argparse.Namespace(file="a b.toml", web=True, host="127.0.0.1", port=8000))
    assert served["host"] == "127.0.0.1"
    assert "'a b.toml'" in served["words"]
    assert not capsys.readouterr().err
    command.run(argparse.Namespace(file=None, web=True, host="0.0.0.0", port=8000))  # noqa: S104 - that is what is tested
    assert "without a password" in capsys.readouterr().err


def test_the_app_is_named():
    assert AnchorageApp.TITLE == "anchorage"
