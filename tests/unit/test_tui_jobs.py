"""Whole jobs by keyboard, as a leader does them."""

import html
import os
import re
import signal
import subprocess
import sys
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from textual.events import Paste
from textual.widgets import Input
from tui_kit import NO_VERDICT, as_read, demo_file, do, press, running, screen_text, settled, typing, until

from anchorage.demo import demo_text
from tui import engine, recording, store
from tui.app import AnchorageApp
from tui.dialogs import AskPath, Choose, Heed, Tell
from tui.fields import KEYS, SUBJECTS
from tui.keys import ACTIONS
from tui.panels import Verdict
from tui.session import VARIANTS
from tui.writing import COMMON, EVENTS, WriteDown

FORECAST = next(i for i, s in enumerate(SUBJECTS) if s.name == "Forecast")


pytestmark = pytest.mark.usefixtures("own_folder")


def word(app):
    """The word of the verdict."""
    return app.screen_stack[0].query_one(Verdict).said[0]


def said(app):
    """The page of the view."""
    return " ".join(" ".join(text for text, _ in app.view.page.texts).split())


def shown(app, key):
    """What stands in a field of the subject that is shown."""
    at = next(i for i, f in enumerate(app.form.fields) if f.key == key)
    assert app.form.input.field.key != key or app.form.input.value == app.session.draft.text(key)
    label, _, text, hint = app.form.rows.rows[at]
    assert app.form.fields[at].label in label
    return "" if hint else text


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
        assert word(app) in NO_VERDICT
        keys += await press(
            pilot, *typing("as"), "enter", "w", "enter", "f", "enter", *typing("18 mph"), "enter"
        )
        keys += await press(
            pilot,
            "shift+up",
            "enter",  # past what may stay empty, and what goes along with the shelter
            "w",
            "enter",
            "b",
            "enter",
            "n",
            "enter",
            *typing("at"),
            "enter",
            *typing("120"),
        )
        await settled(app, pilot)
        assert keys <= 30, keys
        assert app.session.answer.plan is not None, app.session.answer.faults
        assert app.session.answer.plan.stock[0].brought == 120
        assert word(app) in ("GO", "NO-GO"), app.session.answer.plan.headline
        assert f"{app.session.answer.plan.anchorage.total.units} sandbags" in screen_text(app)
        # the sheet: not before the cautions have been gone through
        await press(pilot, "ctrl+p")
        await until(pilot, lambda: isinstance(app.screen, Heed))
        dialog = app.screen
        await press(pilot, "ctrl+p", "enter")
        assert app.screen is dialog
        assert dialog.query_one("#path", Input).disabled
        for _ in range(60):
            await press(pilot, "space")
            await pilot.pause()
            if dialog.read:
                break
        dialog.query_one("#path", Input).value = "deployment.html"
        await press(pilot, "enter")
        made = Path("deployment.html")
        await until(pilot, made.exists)
        text = html.unescape(made.read_text(encoding="utf-8"))  # noqa: ASYNC240 - a test
        assert app.session.answer.plan.headline[:30] in text
        assert "sandbag" in text
        plain = engine.sheet_bytes(app.session.answer, (), Path("a.txt"), None).decode()
        assert all(" ".join(c.text.split()[:3]) in plain for c in app.session.answer.plan.cautions)

    do(job, path)


@pytest.mark.parametrize(
    ("keys", "key", "value"),
    [
        (["down", *typing("ice")], "site.state", "ice"),
        (["down", "shift+up"], "site.state", "frozen"),
        (["down", "down", "down", "shift+up"], "wind.speed", "25 mph"),
        (["down", "down", "down", "shift+down"], "wind.speed", "15 mph"),
        (["up", "up", "up", "up", "up", "shift+down"], "shelter.straps", "locked"),
        (["up", "up", "up", "shift+up"], "stock.sandbags", "110"),
    ],
)  # fmt: skip
def test_any_one_change_takes_six_keys_at_most(tmp_path, keys, key, value):
    async def job(app, pilot):
        before = app.session.answer
        assert await press(pilot, *keys) <= 6
        await settled(app, pilot)
        assert app.session.draft.text(key) == value
        assert app.session.answer is not before
        assert app.session.answer.plan is not None

    do(job, demo_file(tmp_path))


def test_a_bad_unit_is_mended_and_meanwhile_there_is_no_old_go(tmp_path):
    async def job(app, pilot):
        assert word(app) == "NO-GO"
        page = app.view.page
        await press(pilot, "down", "down", "down", *typing("20 furl"))
        assert word(app) in NO_VERDICT
        await settled(app, pilot)
        assert word(app) in NO_VERDICT
        assert "GO" not in screen_text(app).splitlines()[0]
        assert page.stale
        assert page.texts
        assert shown(app, "wind.speed") == "20 furl"
        await press(pilot, "up", "up", *typing("i"), "enter")  # others go on working, and nothing is lost
        await settled(app, pilot)
        assert app.session.draft.text("site.state") == "ice"
        await press(pilot, "up", "up", "up", "ctrl+g")
        await pilot.pause()
        assert app.form.here.field.key == "wind.speed"
        text = screen_text(app)
        assert "! Wind" in text
        assert "furl" in text
        assert "mph" in "\n".join(text.splitlines()[-5:]), "it says what is accepted"
        await press(pilot, *typing("10 mph"))
        await settled(app, pilot)
        assert word(app) not in NO_VERDICT
        assert not page.stale

    do(job, demo_file(tmp_path))


def test_the_verdict_is_stale_from_the_first_key_on_and_late_answers_are_dropped(tmp_path):
    async def job(app, pilot):
        old = app.session.answer
        await press(pilot, "down", "down", "down")
        for key in typing("31 mph"):
            await pilot.press(key)
            assert word(app) in NO_VERDICT or app.session.answer.draft is app.session.draft
        await settled(app, pilot)
        new = app.session.answer
        app._answered(engine.Answer(old.number, old.draft, (), old.plan, old.deployment, old.around))
        assert app.session.answer.plan is not old.plan
        await settled(app, pilot)
        assert app.session.answer.plan.wind.gust_m_s == new.plan.wind.gust_m_s

    do(job, demo_file(tmp_path))


def burst(app, *keys):
    """Keys all at once, as a slow line brings them or a paste into the terminal."""
    from textual.events import Key
    from textual.keys import key_to_character

    for key in keys:
        app.post_message(Key(key, key_to_character(key)))


def test_keys_that_come_all_at_once_go_to_the_right_field_and_in_their_order(tmp_path):
    async def job(app, pilot):
        burst(
            app, *["down"] * 3, *typing("35 mph"), "tab", "enter", *typing("270"), "shift+tab", "up", "alt+3"
        )
        burst(app, *["down"] * 4, "shift+up", "pagedown", "down", *typing("arch"))
        await until(pilot, lambda: app.session.draft.text("shelter.form") == "arch")
        await settled(app, pilot)
        assert app.session.draft.text("wind.speed") == "35 mph"
        assert app.session.draft.text("wind.from") == "270"
        assert app.session.draft.text("anchorage.kind") == "stakes", "one choice further"
        assert app.session.draft.text("site.surface") == "asphalt"
        assert app.session.view_name == "gusts"
        burst(app, *["ctrl+z"] * 4)
        await until(pilot, lambda: app.session.draft == app.session.doc.saved)

    do(job, demo_file(tmp_path))


def test_in_the_dialog_too(tmp_path):
    async def job(app, pilot):
        await press(pilot, "ctrl+r")
        await until(pilot, lambda: isinstance(app.screen, WriteDown))
        burst(
            app,
            *typing("15 mph"),
            "down",
            *typing("270"),
            "tab",
            "tab",
            "tab",
            "tab",
            "down",
            *typing("lee"),
            "enter",
        )
        await until(pilot, lambda: not isinstance(app.screen, WriteDown))

    path = demo_file(tmp_path)
    do(job, path)
    from anchorage.record.store import Record, path_of

    with Record(path_of(path)) as r:
        (entry,) = r.entries()
    assert (entry.who, entry.data["typed"], entry.data["from"]) == ("lee", "15 mph", 270.0)


def test_the_file_is_in_the_fields_before_the_first_key_can_come(tmp_path):
    import asyncio

    async def main():
        app = AnchorageApp(demo_file(tmp_path))
        async with app.run_test() as pilot:
            await press(pilot, "enter")
            assert app.form.here.field.key == "site.surface"
            assert shown(app, "wind.speed") == "20 mph"
            await press(pilot, "down", *typing("ice"))
            await settled(app, pilot)
            assert app.session.draft.text("site.state") == "ice"

    asyncio.run(main())


def test_comparing_names_what_differs(tmp_path):
    async def job(app, pilot):
        await press(pilot, "alt+7")
        seen = {}
        for _ in range(len(VARIANTS)):
            if app.session.variant != engine.EVERY:  # that waits until nobody types
                await until(pilot, lambda: getattr(app.session.compared, "name", None) == app.session.variant)
            seen[app.session.variant] = screen_text(app)
            await press(pilot, "right")
            await pilot.pause()
        assert "AS BUILT" in seen["ground ice"]
        assert "COUNTS CHOSEN ANEW" in seen["ground ice"]
        assert "*holds to" in seen["ground ice"]
        assert "straps locked" in seen
        assert "stakes" in seen
        assert "Cannot be worked out" in " ".join(seen["stakes"].split()), (
            "a variant that lacks its data says so"
        )
        await press(pilot, "k", "enter", "down", *typing("ice"))
        await settled(app, pilot)
        await until(
            pilot,
            lambda: (
                app.session.compared is not None
                and app.session.compared.name == engine.KEPT
                and app.session.compared.number == app.session.number
            ),
        )
        assert engine.KEPT.upper() in screen_text(app)

    do(job, demo_file(tmp_path), (120, 40))


def test_every_way_to_hold_it_is_one_of_the_ways_compared(tmp_path):
    async def job(app, pilot):
        await settled(app, pilot, deep=True)
        await press(pilot, "escape", "7", "left")
        assert app.session.variant == engine.EVERY
        await until(pilot, lambda: app.session.compared is not None and app.session.compared.ways is not None)
        text = as_read(app)
        assert "WAYS TO HOLD IT" in text
        assert "least work first" in text
        found = app.session.compared.ways
        assert [w.person_min for w in found.ways] == sorted(w.person_min for w in found.ways)
        await press(pilot, "right")
        assert app.session.variant != engine.EVERY
        await until(pilot, lambda: app.session.compared.name == app.session.variant)
        assert "against" in screen_text(app)

    do(job, demo_file(tmp_path), (120, 40), deep=True)


def test_undo_and_redo_by_field(tmp_path):
    async def job(app, pilot):
        await press(pilot, "down", *typing("ice"), "down", *typing("open"))
        assert (app.session.draft.text("site.state"), app.session.draft.text("site.surroundings")) == (
            "ice",
            "open",
        )
        await press(pilot, "ctrl+z")
        assert (app.session.draft.text("site.state"), app.session.draft.text("site.surroundings")) == (
            "ice",
            "town",
        )
        await press(pilot, "ctrl+z")
        assert app.session.draft.text("site.state") == "wet"
        assert shown(app, "site.state") == "wet"
        assert app.session.draft == app.session.doc.saved
        await press(pilot, "ctrl+y", "ctrl+y", "ctrl+y")
        assert app.session.draft.text("site.surroundings") == "open"
        await settled(app, pilot)
        assert app.session.answer.draft is app.session.draft

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
        assert app.session.draft.text("wind.speed") == "33 furl"
        assert shown(app, "wind.speed") == "33 furl"
        if app.view.page.has_focus:
            await press(pilot, "enter")
        await pilot.pause()
        await press(pilot, "ctrl+z")
        await until(pilot, lambda: app.session.draft == app.session.doc.saved)

    do(job, path)


def test_saving_keeps_the_notes_and_a_file_changed_underneath_is_not_overwritten_unasked(tmp_path):
    path = demo_file(tmp_path)

    async def job(app, pilot):
        await press(pilot, "down", "down", "down", *typing("22 mph"), "ctrl+s")
        await until(pilot, lambda: not app.session.dirty)
        assert 'speed = "22 mph"            # the strongest gust' in path.read_text()
        theirs = path.read_text().replace("22 mph", "23 mph") + "# theirs\n"
        path.write_text(theirs)
        await until(pilot, lambda: app.session.underneath)
        assert "CHANGED ON DISK" in screen_text(app)
        await press(pilot, *typing("24 mph"), "ctrl+s")
        await until(pilot, lambda: isinstance(app.screen, Choose))
        assert path.read_text() == theirs
        await press(pilot, "r")
        await settled(app, pilot)
        assert app.session.draft.text("wind.speed") == "23 mph"

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
        assert app.session.draft == app.session.doc.saved
        assert not app.session.doc.journal.exists()

    do(first, path)
    do(second, path)


def test_the_first_run_offers_the_demos(tmp_path):
    async def job(app, pilot):
        await until(pilot, lambda: isinstance(app.screen, AskPath))
        assert "demo: asphalt" in screen_text(app)
        await press(pilot, "down", "enter")  # the first of the list is a shelter from nothing
        await until(pilot, lambda: app.session.good is not None)
        await settled(app, pilot)
        assert word(app) == "NO-GO"
        await press(pilot, "ctrl+s")
        await until(pilot, lambda: isinstance(app.screen, AskPath))
        app.screen.query_one("#path", Input).value = str(tmp_path / "mine.toml")
        await press(pilot, "enter")
        await until(pilot, (tmp_path / "mine.toml").exists)
        assert store.recent() == [str(tmp_path / "mine.toml")]

    do(job)


def test_a_forecast_by_voice_gives_deadlines(tmp_path):
    async def job(app, pilot):
        app.form.go(FORECAST)
        await press(pilot, *typing("13:40"), "down", *typing("UTC"), "down")
        await pilot.pause()
        assert app.form.here.field.key == "forecast.lines[1]"
        app.form.here.post_message(
            Paste("until 18:00 gust 15 mph\n\nuntil 21:00 gust 31 mph\nuntil 23:00 gust 40 mph\n")
        )
        await until(pilot, lambda: app.session.draft.text("forecast.lines[3]") == "until 23:00 gust 40 mph")
        await press(pilot, "alt+6")
        await until(
            pilot,
            lambda: (
                app.session.weather_found is not None
                and app.session.weather_found.outlook is not None
                and app.session.fresh
            ),
        )
        text = as_read(app)
        assert "DEADLINES" in text
        assert "PEOPLE OUT" in text
        top = screen_text(app).splitlines()[:3]
        assert top[0].startswith(" NO-GO from Tue 18:00 UTC"), (
            "the worse of the wind that is typed and the forecast"
        )
        assert "BY Tue" in top[1]
        assert top[2].split("│")[0].strip() == "To set up: NO-GO", (
            "what the wind that is typed forbids stands under the forecast"
        )
        app.form.go(FORECAST, "forecast.lines[1]")
        await press(pilot, *typing("until 18:00 gusts as the crow flies"), "down")
        await press(pilot, *typing("until 21:00 gust 10 mph"), "down", *typing("until 23:00 gust 10 mph"))
        await settled(app, pilot)
        await until(pilot, lambda: word(app).startswith("CANNOT SAY"))
        await settled(app, pilot)
        assert "nobody can say what comes" in as_read(app)
        assert "'until 18:00 gusts as the crow flies' not understood" in " ".join(
            screen_text(app).replace("│", " ").split()
        )

    start = 1764078600.0  # 2025-11-25 13:50 UTC
    do(job, demo_file(tmp_path), (120, 40), clock=start)


def test_a_reading_is_written_down_and_where_it_stands_is_shown(tmp_path):
    path = demo_file(tmp_path)

    async def job(app, pilot):
        await press(pilot, "alt+0", "ctrl+r")
        await until(pilot, lambda: isinstance(app.screen, WriteDown))
        await press(pilot, *typing("15 mph"), *["enter"] * 6, *typing("lee"))
        assert "To be kept: Wind reading: 15 mph" in screen_text(app), "whole, before it is"
        await press(pilot, "enter")
        await until(
            pilot, lambda: app.session.stands is not None and "15" in " ".join(app.session.stands.lines)
        )
        assert "WHERE IT STANDS" in screen_text(app)
        await press(pilot, "ctrl+r")
        await until(pilot, lambda: isinstance(app.screen, WriteDown))
        await press(pilot, *typing("fast"), "ctrl+s")
        await until(pilot, lambda: "cannot read 'fast'" in screen_text(app))
        assert isinstance(app.screen, WriteDown), "it stays, with what was typed"
        assert app.screen.inputs()[0].value == "fast"
        assert "mph" in screen_text(app)
        await press(
            pilot,
            "home",
            *["delete"] * 4,
            *typing("18 mph"),
            "down",
            *typing("270"),
            "down",
            *typing("20 ft"),
            "down",
            *typing("1 m"),
            "enter",
            "ctrl+s",
        )
        await until(pilot, lambda: not isinstance(app.screen, WriteDown))
        await until(pilot, lambda: "18" in " ".join(app.session.stands.lines))

    do(job, path, (120, 40))
    from anchorage.record.store import Record, path_of

    with Record(path_of(path)) as r:
        first, last = r.entries()
    assert first.who == "lee"
    assert last.data["from"] == 270.0
    assert last.data["averaging"] == "1 min"
    assert last.data["height_m"] == pytest.approx(6.096)


@pytest.mark.parametrize(
    ("event", "lines", "data"),
    [
        ("snow", {"value": "2 in", "kind": "new"}, {"kind": "new"}), ("pull-test", {"value": "620 lbf", "where": "R1"}, {"where": "R1"}),
        ("placed", {"value": "9", "where": "L2"}, {"count": 9, "where": "L2"}), ("doors", {"value": "open"}, {"doors": "open"}),
        ("straps", {"value": "locked"}, {"straps": "locked"}), ("state", {"value": "ice"}, {"state": "ice"}),
        ("inspection", {"after": "before people go in", "value": "passed", "note": "all tight"}, {"after": "before people go in", "result": "passed", "note": "all tight"}),
        ("action", {"value": "lines tightened"}, {"note": "lines tightened"}), ("setup", {}, {}), ("all-clear", {"note": "calm"}, {"note": "calm"}),
        ("hand-over", {"to": "dov"}, {"to": "dov"}), ("coming-down", {}, {}), ("struck", {}, {}), ("note", {"value": "gate moved"}, {"note": "gate moved"}),
        ("wind", {"value": "20 mph", "at": "2025-11-25 13:40Z"}, {"typed": "20 mph"}),
    ],
)  # fmt: skip
def test_every_event_of_the_record_can_be_written_down_with_what_belongs_to_it(tmp_path, event, lines, data):
    path = demo_file(tmp_path)
    offered = next(e for e in EVENTS if e.name == event)
    assert set(lines) <= {x.name for x in (*offered.lines, *COMMON)}
    good, said, _ = recording.write_down(path, {"event": event, "who": "lee", **lines})
    assert good, said
    from anchorage.record.store import Record, path_of

    with Record(path_of(path)) as r:
        (entry,) = r.entries()
    assert data.items() <= entry.data.items()
    if "at" in lines:
        assert entry.at == 1764078000


def test_the_record_takes_what_the_dialog_offers_and_nothing_else_is_left_out(tmp_path):
    from anchorage.core.closed import STATES
    from anchorage.record.events import WORDS
    from anchorage.record.kinds import AFTER, DOORS, HOW, REACHED, SNOW_KINDS, TESTS

    assert {e.name for e in EVENTS} == set(WORDS)
    lines = {(e.name, x.name): x for e in EVENTS for x in e.lines}
    assert lines["inspection", "after"].choices == AFTER
    assert lines["snow", "kind"].choices == SNOW_KINDS
    assert lines["state", "value"].choices == STATES
    assert lines["doors", "value"].choices == DOORS
    assert lines["placed", "how"].choices == HOW
    assert lines["test", "kind"].choices == tuple(TESTS)
    assert lines["crossing", "value"].choices == REACHED
    every = {x.name for e in EVENTS for x in e.lines} | {x.name for x in COMMON}
    import dataclasses

    from anchorage.record.events import Said

    assert every == ({f.name for f in dataclasses.fields(Said)} | {"at"}) - {"event"}


@pytest.mark.parametrize(
    ("said", "words"),
    [
        ({"event": "wind", "value": "20 mph", "bearing": "west"}, "0 to 360"), ({"event": "wind", "value": "20"}, "mph"),
        ({"event": "pull-test", "value": "600 lbf", "where": "Q9"}, "L1"), ({"event": "placed", "value": "a few"}, "whole number"),
        ({"event": "state", "value": "muddy"}, "frozen"), ({"event": "wind", "value": "-h"}, "mph"), ({"event": "wind", "value": "20 mph", "at": "--help"}, "18:00"),
        ({"event": "hand-over"}, "takes over"), ({"event": "jump"}, "pull-test"),
    ],
)  # fmt: skip
def test_what_the_record_does_not_take_is_said_with_what_it_does_and_nothing_is_written_over_the_screen(
    tmp_path, capfd, said, words
):
    good, lines, _ = recording.write_down(demo_file(tmp_path), {"who": "lee", **said})
    assert not good
    assert words in " ".join(lines)
    assert capfd.readouterr() == ("", ""), "Textual draws on standard error"


def test_a_fault_in_the_dialog_is_marked_at_its_line_and_what_is_taken_is_shown_before(tmp_path):
    """A bare number is offered with its unit, a result is asked for first, as planned is shown point by point, now is a time."""

    def lines(app):
        return screen_text(app)

    async def job(app, pilot):
        await press(pilot, "ctrl+r")
        await until(pilot, lambda: isinstance(app.screen, WriteDown))
        dialog = app.screen
        await press(pilot, *typing("15"))
        assert "15 mph? Enter takes it." in lines(app)
        await press(pilot, "ctrl+s")
        assert app.screen is dialog
        assert "! Speed" in lines(app), "never silently"
        await press(pilot, "enter")
        assert dialog.said()["value"] == "15 mph"
        assert "! Speed" not in lines(app)
        await press(pilot, "alt+i", "ctrl+s")
        assert "! Result" in lines(app)
        assert "passed or failed" in lines(app)
        await press(pilot, "up", "ctrl+g")
        assert app.focused.line.label == "Result"
        await press(pilot, *typing("ok"), "enter")
        assert dialog.said()["value"] == "passed"
        await press(pilot, *typing("q9"), "enter", *typing("now"), "enter", "enter", *typing("lee"), "ctrl+s")
        await until(pilot, lambda: "! At point" in lines(app))
        assert "L1, L2" in " ".join(lines(app).split())
        await press(pilot, "down", "ctrl+g")
        assert app.focused.line.label == "At point"
        await press(pilot, "alt+p", *typing("as"), "enter")
        counts = "as planned: 8 at L1, L4, R1, R4; 11 at L2, L3, R2, R3, 76 in all"
        assert counts in " ".join(lines(app).replace("┃", " ").split())
        dialog.inputs()[2].value = ""  # the point of before
        await press(pilot, "ctrl+s")
        assert "Who says so: not given" in " ".join(lines(app).replace("┃", " ").split()), (
            "a count is signed by hand"
        )
        await press(pilot, *typing("lee"), "ctrl+s")
        await until(pilot, lambda: not isinstance(app.screen, WriteDown))
        assert "Kept: " in " ".join(screen_text(app).split())

    path = demo_file(tmp_path)
    do(job, path)
    from anchorage.record.store import Record, path_of

    with Record(path_of(path)) as r:
        (entry,) = r.entries()
    assert entry.data["counts"] == dict.fromkeys(("L1", "L4", "R1", "R4"), 8) | dict.fromkeys(
        ("L2", "L3", "R2", "R3"), 11
    )
    assert entry.who == "lee"


def test_the_dialog_changes_its_lines_with_the_event_and_says_what_each_takes(tmp_path):
    async def job(app, pilot):
        await press(pilot, "ctrl+r")
        await until(pilot, lambda: isinstance(app.screen, WriteDown))
        assert "peak that was held" in screen_text(app)
        await press(pilot, *["alt+down"] * [e.name for e in EVENTS].index("pull-test"))
        await until(pilot, lambda: "Held or gave at" in screen_text(app))
        await press(pilot, "down")
        assert "name of the point" in screen_text(app)
        await press(pilot, "ctrl+s")
        await pilot.pause()
        assert "! Held or gave at: not given" in screen_text(app)
        await press(pilot, *typing("600 lbf"), "down", *typing("R1"), "ctrl+s")
        await pilot.pause()
        assert "! Who says so: not given" in screen_text(app)
        await press(pilot, *typing("lee"), "enter")
        await until(pilot, lambda: not isinstance(app.screen, WriteDown))

    do(job, demo_file(tmp_path))


def test_now_judges_what_is_typed_and_says_so_and_falls_back_on_the_saved_file(tmp_path):
    async def job(app, pilot):
        await press(pilot, "alt+0")
        await until(pilot, lambda: app.session.stands is not None)
        assert "the file as saved at" in said(app)
        await press(pilot, "enter", "down", "down", "down")
        await press(pilot, *["down"] * 9, *typing("2"))  # placed at each point
        await until(
            pilot,
            lambda: (
                app.session.fresh
                and app.session.stands is not None
                and app.session.stands.number == app.session.number
            ),
        )
        text = said(app)
        assert "what is typed now, NOT SAVED" in text
        assert "Ctrl+S saves it" in text
        typed = app.session.stands.lines
        for key in typing(" bags"):
            await press(pilot, key)
            await until(pilot, lambda: app.view.page.stale or app.session.stands.number == app.session.number)
            if app.view.page.stale:
                assert " FROM BEFORE " in "\n".join(screen_text(app).splitlines()[4:])
        await until(
            pilot,
            lambda: (
                app.session.fresh
                and app.session.stands is not None
                and app.session.stands.number == app.session.number
            ),
        )
        text = said(app)
        assert "the file as saved at" in text
        assert "does not count here" in text
        assert app.session.stands.by == "file"
        holds = [
            re.search(r"holds to ([\d.]+ mph)", " ".join(" ".join(lines).split()))
            for lines in (typed, app.session.stands.lines)
        ]
        assert holds[0][1] != holds[1][1]

    do(job, demo_file(tmp_path), (120, 40))


def test_a_record_that_was_changed_gives_no_go_in_now(tmp_path):
    import sqlite3

    path = demo_file(tmp_path)
    good, said, _ = recording.write_down(path, {"event": "wind", "value": "5 mph", "who": "lee"})
    assert good, said
    from anchorage.record.store import path_of

    base = sqlite3.connect(path_of(path))
    for (name,) in base.execute("select name from sqlite_master where type = 'trigger'").fetchall():
        base.execute(f"drop trigger {name}")
    base.execute("update entries set who = 'moe'")
    base.commit()
    base.close()

    async def job(app, pilot):
        await press(pilot, "alt+0")
        await until(pilot, lambda: app.session.stands is not None)
        assert "CANNOT SAY: THE RECORD WAS CHANGED" in screen_text(app)

    do(job, path)


def test_the_banner_follows_the_latest_reading(tmp_path):
    """GO stood over a record that sends people out."""
    path = demo_file(tmp_path)
    good, said, _ = recording.write_down(path, {"event": "wind", "value": "60 mph", "who": "lee"})
    assert good, said

    async def job(app, pilot):
        await until(pilot, lambda: app.session.stands is not None)
        await pilot.pause()
        assert word(app) == "NO-GO"
        assert "KEEP AWAY" in " ".join(str(x) for x in app.screen_stack[0].query_one(Verdict).said)

    do(job, path)


def test_what_is_written_in_another_window_is_seen_and_read_once(tmp_path):
    path = demo_file(tmp_path)

    async def job(app, pilot):
        good, said, _ = recording.write_down(path, {"event": "wind", "value": "60 mph", "who": "lee"})
        assert good, said
        before = app.session.number
        app.files.tick()
        await until(pilot, lambda: app.session.stands is not None and app.session.stands.level == "keep-away")
        app.files.tick()
        assert app.session.number == before + 1
        good, said, _ = recording.write_down(path, {"event": "note", "value": "a look", "who": "lee"})
        assert good, said
        await press(pilot, "escape", "2")
        assert app.session.number == before + 2, "a key that changes the view looks too"

    do(job, path)


def test_every_view_help_theme_palette_and_plain_drawing(tmp_path):
    async def job(app, pilot):
        for key in ("alt+3", "alt+4", "alt+5", "alt+6", "alt+7", "alt+8", "alt+9", "alt+0", "alt+2"):
            await press(pilot, key)
            await pilot.pause()
            assert word(app) == "NO-GO"
        await press(pilot, "enter", "f1")
        await until(pilot, lambda: isinstance(app.screen, Tell))
        assert "Where to find it" in screen_text(app)
        await press(pilot, "escape", "ctrl+t")
        assert app.theme == "night"
        await press(pilot, "escape", "alt+p")
        await until(pilot, lambda: "o-" in screen_text(app))
        commands = {c.title for c in app.get_system_commands(app.screen)}
        assert all(
            f"{a.word[:1].upper()}{a.word[1:]} ({a.shown})" in commands
            for a in ACTIONS
            if a.name != "command_palette"
        )
        await press(pilot, "ctrl+f", *typing("wall height"))
        await until(pilot, lambda: "Go to: Shelter, Wall height" in screen_text(app))
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
        assert await pilot.click("#subjects", offset=(8, 0))
        await pilot.pause()
        assert app.form.subject == 1
        for strip, action, done in (
            (app.contents, "view('gusts')", lambda: app.session.view_name == "gusts"),
            (app.foot, "fill_in", lambda: app.form.here is not None),
            (app.record, "write('all-clear')", lambda: isinstance(app.screen, WriteDown)),
        ):
            y, x, _, _ = next(p for p in strip.places if p[3] == action)
            at = strip.content_region.offset - strip.region.offset
            assert await pilot.click(f"#{strip.id}", offset=(at.x + x, at.y + y))
            await until(pilot, done)
            await press(pilot, "escape")

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
                app.form.go(i, key)
                await pilot.pause()
                here = app.form.here
                if data.draw(st.booleans()):
                    here.value = text
                else:
                    here.post_message(Paste(text))
                await pilot.press(
                    data.draw(
                        st.sampled_from(
                            ["enter", "down", "alt+9", "alt+3", "f1", "escape", "ctrl+z", "shift+up"]
                        )
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
                assert all(v.isprintable() for k, v in app.session.draft.typed.items() if k in KEYS)
            await settled(app, pilot)
            assert app.is_running

    import asyncio

    asyncio.run(main())


def test_markup_in_a_name_is_shown_as_it_is(tmp_path):
    path = tmp_path / "a.toml"
    path.write_text(re.sub("(?m)^name = .*$", 'name = "[NE corner]"', demo_text("asphalt")))

    async def job(app, pilot):
        app.form.go(0, "deployment.name")
        await until(pilot, lambda: "[NE corner]" in screen_text(app))

    do(job, path)


def test_no_color_is_heeded_and_the_verdict_is_still_read(tmp_path, monkeypatch):
    monkeypatch.setenv("NO_COLOR", "1")

    async def job(app, pilot):
        assert app.no_color
        assert "GO" in screen_text(app).splitlines()[0]
        await press(pilot, "alt+2")
        await until(pilot, lambda: "■" in screen_text(app))
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
        await until(pilot, lambda: "No space left" in as_read(app))
        assert app.session.dirty
        assert app.session.draft.text("site.state") == "ice"

    do(job, path)
    assert path.read_text() == demo_text("asphalt")


def test_in_a_pipe_it_says_what_to_do_instead():
    done = subprocess.run([sys.executable, "-m", "anchorage", "tui"], stdin=subprocess.DEVNULL, capture_output=True, text=True, check=False,
                          env={**os.environ, "COLUMNS": "80"}, cwd=Path(__file__).parents[2])  # fmt: skip
    assert done.returncode == 2
    assert "needs a terminal" in done.stderr
    assert done.stdout == ""


@pytest.mark.parametrize(("host", "warned"), [("127.0.0.1", False), ("0.0.0.0", True)])  # noqa: S104 - tested
def test_serving_beyond_this_machine_warns_in_plain_words(monkeypatch, capsys, host, warned):
    web = pytest.importorskip("aiohttp.web")
    pytest.importorskip("textual_serve.server")
    from tui import serving

    monkeypatch.setattr(web, "run_app", lambda app, **_: app.close())
    assert serving.serve("a b.toml", host, 0) == (0, "")
    out, err = capsys.readouterr()
    assert "?token=" in out
    assert ("without encryption" in err) is warned
    assert "show it to nobody" in err


def test_the_app_is_named():
    assert AnchorageApp.TITLE == "anchorage"


def test_points_layers_and_ducts_are_added_by_typing_undone_taken_out_and_kept(tmp_path):
    path = demo_file(tmp_path)

    async def job(app, pilot):
        app.form.go(0, "")
        app.action_go_field("point[].id")
        assert app.form.here.field.key == "point[1].id"
        assert app.form.here.placeholder == "add a point"
        keys = await press(pilot, *typing("r3"), "enter", *typing("ba"), "enter", "down", "3")
        await settled(app, pilot)
        assert keys <= 10
        assert app.session.draft.text("point[1].id") == "R3", "the names of the points are completed"
        assert (app.session.draft.text("point[1].kind"), app.session.draft.text("point[1].placed")) == (
            "ballast",
            "3",
        )
        assert any(f.key == "point[2].id" for f in app.form.fields), "there is room for one more"
        assert all(f.key != "point[2].kind" for f in app.form.fields), "folded away"
        # a bad value in an item: it is kept, marked, and said; the others go on working
        await press(pilot, "down", *typing("3 furl"), "alt+down", "shift+up", "down", *typing("none"))
        await settled(app, pilot)
        assert app.session.draft.text("point[2].id") == app.form.points[0]
        assert word(app) in NO_VERDICT
        assert "point[1].driven" in app.form.faults
        assert "! Point 1, 3 more" in screen_text(app), (
            "a fault that is folded away shows at the first line of its item"
        )
        await press(pilot, "ctrl+g")
        await pilot.pause()
        assert app.form.here.field.key == "point[1].driven"
        await press(pilot, "f1")
        await until(pilot, lambda: isinstance(app.screen, Tell))
        text = screen_text(app)
        assert "TO CORRECT" in text
        assert "Alt+X" in text
        await press(pilot, "escape", *typing("24 in"))
        await settled(app, pilot)
        assert "point[1].driven" not in app.form.faults
        # taking an item out is one step
        await press(pilot, "alt+x")
        await until(pilot, lambda: app.session.draft.text("point[1].kind") == "none")
        assert app.session.draft.text("point[2].id") == ""
        assert all(f.key != "point[3].id" for f in app.form.fields)
        await press(pilot, "ctrl+z")
        assert any(f.key == "point[3].id" for f in app.form.fields)
        assert shown(app, "point[1].id") == "R3"
        # a duct and two layers of snow, all in the journal
        app.action_go_field("duct[].wall")
        await press(pilot, *typing("b"), "enter", *typing("12 in"))
        app.action_go_field("snow.layers[].depth")
        await press(pilot, *typing("1 in"), "enter", "enter", *typing("1 in"), "enter", *typing("wet"))
        await settled(app, pilot)
        app.files.tick()
        await until(pilot, app.session.doc.journal.exists)
        found = store.read_journal(app.session.doc)
        assert found is not None
        assert found.draft.text("snow.layers[2].kind") == "wet"
        assert found.draft.text("duct[1].diameter") == "12 in"
        await press(pilot, "ctrl+s")
        await until(pilot, lambda: not app.session.dirty)

    do(job, path, (120, 40))
    from anchorage.deployment.reader import read_file

    d = read_file(path)
    assert d.point[0].id == "R3"
    assert [float(x.depth) > 0 for x in d.snow.layers] == [True, True]
    assert d.duct[0].wall == "back"


def test_more_items_than_there_is_room_for_are_all_there_when_a_file_is_opened(tmp_path):
    path = tmp_path / "a.toml"
    more = "".join(
        f'\n[[door]]\nwall = "front"\nwidth = "{n} ft"\nheight = "6 ft"\nis = "closed"\n' for n in range(1, 6)
    )
    path.write_text(demo_text("asphalt") + more)
    had = demo_text("asphalt").count("[[door]]")

    async def job(app, pilot):
        app.action_go_field("door[].wall")
        await pilot.pause()
        assert shown(app, f"door[{had + 5}].width") == "5 ft"
        for _ in range(4):
            await press(pilot, "alt+down")
        assert app.form.here.field.key == "door[5].wall"
        await press(pilot, "alt+up")
        assert app.form.here.field.key == "door[4].wall"
        assert word(app) not in NO_VERDICT

    do(job, path)


def test_a_whole_job_by_keyboard_from_a_saved_shelter_to_a_pdf_on_the_disk(tmp_path):
    import pypdf

    (tmp_path / "our-shelter.toml").write_text(demo_text("asphalt"))
    store.note_recent(tmp_path / "our-shelter.toml")

    async def job(app, pilot):
        await until(pilot, lambda: isinstance(app.screen, AskPath))
        await press(pilot, "escape", "ctrl+n", "enter")  # of the shelter in our-shelter.toml
        await until(
            pilot, lambda: app.form.here is not None and app.session.draft.text("shelter.form") == "gable"
        )
        await press(pilot, *typing("as"), "enter", "w", "enter", "f", "enter", *typing("18 mph"), "enter")
        await press(
            pilot,
            "shift+up",
            "enter",
            "w",
            "enter",
            "b",
            "enter",
            "n",
            "enter",
            *typing("at"),  # how the cover goes on: attached
            "enter",
            *typing("120"),
        )
        await settled(app, pilot)
        verdict = app.session.answer.plan.headline
        await press(pilot, "ctrl+s")
        await until(pilot, lambda: isinstance(app.screen, AskPath))
        await press(pilot, "home", "ctrl+k", *typing("night.toml"), "enter")
        await until(pilot, Path("night.toml").exists)
        await press(pilot, "ctrl+p")
        await until(pilot, lambda: isinstance(app.screen, Heed))
        for _ in range(60):
            await press(pilot, "space")
            await pilot.pause()
            if app.screen.read:
                break
        path = app.screen.query_one("#path", Input)
        assert path.value == "night.pdf", "PDF where it can be made"
        await press(pilot, "enter")
        await until(pilot, lambda: Path("night.pdf").exists() and "Wrote" in screen_text(app))
        pages = pypdf.PdfReader("night.pdf").pages
        assert len(pages) == 4, "for the crew, what if and signatures, cautions, for the engineer"
        text = " ".join(pages[0].extract_text().split())
        assert verdict.split(":")[0] in text
        assert "night.toml" in text
        assert f"L1: {app.session.answer.plan.anchorage.points[0].units}" in text
        every = " ".join(" ".join(p.extract_text().split()) for p in pages)
        assert "not a permit" in every

    do(job, None, (120, 40))


def test_words_of_a_page_can_be_marked_with_the_mouse_and_copied(tmp_path):
    async def job(app, pilot):
        await press(pilot, "alt+9")
        await pilot.pause()
        await pilot.mouse_down(app.view.page, offset=(3, 1))
        await pilot.hover(app.view.page, offset=(20, 3))
        await pilot.mouse_up(app.view.page, offset=(20, 3))
        await pilot.pause()
        marked = app.screen.get_selected_text()
        assert marked is not None
        lines = [text for text, _ in app.view.page.texts]
        first, second, *_ = marked.splitlines()
        assert second == lines[2]
        assert lines[1].endswith(first)
        assert len(first) == len(lines[1]) - 2, "the mouse began on the third letter"
        assert "FROM BEFORE" not in screen_text(app)
        await press(pilot, "alt+2")

    do(job, demo_file(tmp_path))


def test_clicking_a_row_goes_to_it_and_coming_back_to_the_window_selects_nothing(tmp_path):
    from textual.events import AppBlur, AppFocus

    async def job(app, pilot):
        assert await pilot.click("#fields", offset=(3, 3))
        await pilot.pause()
        assert app.form.here.field.key == "wind.speed"
        await press(pilot, "end")
        app.post_message(AppBlur())
        await pilot.pause()
        app.post_message(AppFocus())
        await pilot.pause()
        await press(pilot, "backspace", *typing("h"))
        assert app.session.draft.text("wind.speed") == "20 mph", "what was there is still there"

    do(job, demo_file(tmp_path))
