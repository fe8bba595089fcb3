"""A glove bounces and a key is held down: what was asked is answered once. And what was typed outlives a fault of the program."""

import asyncio
import inspect

import pytest
from textual import events
from tui_kit import demo_file, press, running, screen_text, settled, typing, until

from anchorage.record.store import Record, path_of
from tui import dialogs, store, writing
from tui.app import Find
from tui.dialogs import AskPath, Choose, Finder, Heed, Offer, Once, Tell
from tui.keys import ACTIONS, VIEWS
from tui.writing import EVENTS, WriteDown

pytestmark = pytest.mark.usefixtures("own_folder")

EACH = {
    Choose: (lambda _: Choose("Leave", ["?"], [("s", "Save", "save"), ("d", "Drop", "drop")]), ("s", "d", "D", "enter", "escape")),
    AskPath: (lambda _: AskPath("Which?", "", [("one", "1"), ("two", "2")], ""), ("enter", "escape")),
    Tell: (lambda _: Tell("Help", ["words"]), ("enter", "f1", "escape")),
    Heed: (lambda _: Heed("GO", ["a caution"], [Offer("the sheet", 1, "x.html")]), ("enter", "ctrl+p", "escape")),
    WriteDown: (lambda write: WriteDown({}, write), ("escape",)),
    Finder: (lambda _: Finder(), ("escape",)),
}  # fmt: skip
"""Every class of what is asked, and each key that closes it."""


def twice(app, key):
    """The same key again before the first was done."""
    for _ in range(2):
        event = events.Key(key, key if len(key) == 1 else None)
        event.set_sender(app)
        app._driver.send_message(event)


def test_every_dialog_is_among_these():
    every = {
        c
        for m in (dialogs, writing)
        for c in vars(m).values()
        if inspect.isclass(c) and issubclass(c, Once) and c not in (Once, dialogs.Dialog)
    }
    assert every == set(EACH)


def test_a_key_that_closes_a_dialog_pressed_twice_answers_once_and_does_nothing_under_it(tmp_path):
    async def job():
        async with running(demo_file(tmp_path), looking=True) as (app, pilot):
            app.bounce.rest = 600.0
            for kind, (make, keys) in EACH.items():
                for key in keys:
                    app.bounce.key, given = "", []
                    app.push_screen(make(lambda *_: None), given.append)
                    await until(pilot, lambda kind=kind: isinstance(app.screen, kind))
                    if kind is Heed:
                        await press(pilot, "space")
                        await until(pilot, lambda: app.screen.read)
                    twice(app, key)
                    await until(pilot, lambda given=given: bool(given) and len(app.screen_stack) == 1)
                    await pilot.press(key)  # and once more, when it is gone
                    assert len(given) == 1, (kind, key)
                    assert len(app.screen_stack) == 1, (kind, key)
                    assert not app.session.filling, (kind, key)
                    assert app.session.view_name == VIEWS[0], (kind, key)

    asyncio.run(job())


def test_the_name_of_a_page_is_kept_and_its_ending_is_one_of_those_that_there_are(tmp_path):
    """A space or Backspace with a glove takes one letter at most; what cannot be written is said where it is typed, and no caution is read twice."""

    async def job():
        async with running(demo_file(tmp_path), looking=True) as (app, pilot):
            given = []
            offers = [
                Offer("the sheet", 1, "night.pdf", (".pdf", ".html", ".txt")),
                Offer("the card", 2, "night-card.pdf", (".pdf", ".html")),
            ]

            def refuse(path, what):
                return "the card is a page" if what == 2 and path.endswith(".txt") else ""

            app.push_screen(Heed("GO", ["a caution"], offers, refuse), given.append)
            await until(pilot, lambda: isinstance(app.screen, Heed))
            await press(pilot, "space", "space")
            path = app.screen.query_one("#path")
            assert path.value == "night.pdf"
            await press(pilot, "down")
            assert (path.value, path.cursor_position) == ("night-card.pdf", len("night-card.pdf"))
            seen = []
            for _ in range(2):
                await press(pilot, "tab")
                seen.append(path.value)
            assert seen == ["night-card.html", "night-card.pdf"]
            await press(pilot, *["backspace"] * 3, *"txt", "enter")
            assert path.value == "night-card.txt"
            assert given == []
            assert "the card is a page" in str(app.screen.query_one("#ask").render())
            await press(pilot, *["backspace"] * 4, "enter")
            await until(pilot, lambda: bool(given))
            assert given[0].path == "night-card.pdf"

    asyncio.run(job())


def test_an_entry_that_is_kept_twice_is_kept_once(tmp_path):
    path = demo_file(tmp_path)

    async def job():
        async with running(path, looking=True) as (app, pilot):
            app.bounce.rest = 600.0
            await press(pilot, "r", "alt+t", *["enter"] * 3, *typing("A. Lee"))
            twice(app, "ctrl+s")
            await until(pilot, lambda: len(app.screen_stack) == 1)
            await pilot.press("ctrl+s")
            await until(pilot, lambda: app.session.recorded)
            assert app.session.answer.plan.record.entries == 1

    asyncio.run(job())


def test_the_keys_of_a_stranger_twice_end_nothing(tmp_path):
    async def job():
        async with running(None, looking=True) as (app, pilot):
            app.bounce.rest = 600.0
            await until(pilot, lambda: isinstance(app.screen, AskPath))
            await press(pilot, "down", "down")
            twice(app, "enter")  # a demo
            await until(pilot, lambda: len(app.screen_stack) == 1 and bool(app.session.draft.typed))
            assert not app.session.dirty, "nothing was typed in a demo that is only looked at"
            app.bounce.key = ""
            await press(pilot, "n", "down")
            twice(app, "enter")
            await until(pilot, lambda: len(app.screen_stack) == 1)
            await settled(app, pilot)
            assert app.is_running

    asyncio.run(job())


def test_what_is_typed_outlives_a_fault_of_the_program_and_is_offered_again(tmp_path):
    path = demo_file(tmp_path)

    async def job():
        async with running(path) as (app, pilot):
            await press(pilot, "down", *typing("ice"))
            assert app.session.draft.text("site.state") == "ice"
            app.files.tick = lambda: None
            app.session.doc.journal.unlink(missing_ok=True)

            def broken(*_):
                raise ZeroDivisionError("inside")

            app.action_theme = broken
            await pilot.press("ctrl+t")
            await until(pilot, lambda: not app.is_running)

    with pytest.raises(ZeroDivisionError):
        asyncio.run(job())

    async def again():
        async with running(path, looking=True) as (app, pilot):
            await until(pilot, lambda: "Work was left behind" in screen_text(app))
            await press(pilot, "R")
            await until(pilot, lambda: app.session.draft.text("site.state") == "ice")

    asyncio.run(again())


def test_a_letter_works_in_either_case_and_with_alt_it_is_never_text(tmp_path):
    letters = [a.bare for a in ACTIONS if len(a.bare) == 1 and a.bare.isalpha()]

    async def job():
        async with running(demo_file(tmp_path), looking=True) as (app, pilot):
            bound = app.view.page._bindings.key_to_bindings
            for letter in letters:
                assert [b.action for b in bound[letter]] == [b.action for b in bound[letter.upper()]]
            await press(pilot, "R")
            await until(pilot, lambda: isinstance(app.screen, WriteDown))
            app.post_message(events.Key("alt+shift+h", "H"))
            await until(pilot, lambda: "Handed to" in screen_text(app))
            assert not app.screen.inputs()[0].value
            await press(pilot, "escape", "enter")
            before = app.session.draft
            for key in ("alt+shift+b", "alt+shift+s"):
                app.post_message(events.Key(key, key[-1].upper()))
            await until(pilot, lambda: isinstance(app.screen, AskPath))  # Alt+S is: save as
            assert app.session.draft == before

    asyncio.run(job())


def test_an_event_is_found_by_what_people_call_it_and_nothing_saved_asks_for_a_name_first(tmp_path):
    async def job():
        async with running(None, (120, 40), looking=True) as (app, pilot):
            app.screen.dismiss("demo:asphalt")
            await until(pilot, lambda: len(app.screen_stack) == 1)
            await settled(app, pilot)
            for words, found in (("quit", "leave"), ("print", "sheet")):
                hits = [h async for h in Find(app.screen).search(words)]
                best = max(hits, key=lambda h: h.score)
                assert best.command.args == (found,), words
            for words, event in (
                ("lightning", "thunder"), ("thunder", "thunder"), ("placed", "placed"), ("all clear", "all-clear"), ("door", "doors"),
            ):  # fmt: skip
                hits = [h async for h in Find(app.screen).search(words)]
                best = max(hits, key=lambda h: h.score)
                assert best.command.args == (event,), words
            app.files.ask_reading("thunder")
            await until(pilot, lambda: isinstance(app.screen, AskPath))
            await press(pilot, "enter")
            await until(pilot, lambda: isinstance(app.screen, WriteDown))
            assert "To be kept: Thunder heard" in " ".join(screen_text(app).split())

    asyncio.run(job())


def test_a_file_with_nothing_in_it_has_no_record_and_says_so(tmp_path):
    async def job():
        async with running(None, (80, 24), looking=True) as (app, pilot):
            app.screen.dismiss("")
            await until(pilot, lambda: len(app.screen_stack) == 1)
            app.files.write_as(tmp_path / "empty.toml", None)
            for key in ("ctrl+r", "alt+m"):
                app.clear_notifications()
                await press(pilot, key)
                await until(pilot, lambda: "There is nothing in the file yet" in screen_text(app), 10)

    asyncio.run(job())


def entries_of(path):
    with Record(path_of(path)) as r:
        return [(e.event, e.who) for e in r.entries()]


def test_no_hammered_enter_signs_an_all_clear_with_a_name_of_this_machine(tmp_path):
    """Found by a stranger: the last name of the machine stood there, and Enter alone recorded an all-clear in it."""
    store.remember(who="bo")
    path = demo_file(tmp_path)

    async def job():
        async with running(path, (80, 24), looking=True) as (app, pilot):
            app.bounce.rest = 0.0
            await press(pilot, "a")
            await until(pilot, lambda: isinstance(app.screen, WriteDown))
            dialog = app.screen
            for kind in ("all-clear", "struck"):
                dialog.action_kind(next(i for i, e in enumerate(EVENTS) if e.name == kind))
                await press(pilot, *["enter"] * 6)
                assert app.screen is dialog
                assert not dialog.said().get("who"), kind
            await press(pilot, "alt+a")
            dialog.inputs()[-1].value = "lee"
            await press(pilot, "ctrl+s")
            await until(pilot, lambda: isinstance(app.screen, Choose))
            assert "All-clear" in screen_text(app)
            await press(pilot, "enter")
            await until(pilot, lambda: app.screen is dialog)
            assert not path_of(path).exists() or not entries_of(path), "its own answer, not an Enter"
            await press(pilot, "alt+w", *typing("9 kt"), "up")
            assert "bo? Enter takes it" in screen_text(app), "what warns is offered the name, and it is taken"
            await press(pilot, "enter", "enter")
            await until(pilot, lambda: app.screen is not dialog)
            await press(pilot, "a")
            await until(pilot, lambda: isinstance(app.screen, WriteDown))
            assert not app.screen.said().get("who"), "not even who signed a moment ago"
            app.screen.inputs()[-1].value = "lee"
            await press(pilot, "ctrl+s", "w")
            await until(pilot, lambda: len(app.screen_stack) == 1)

    asyncio.run(job())
    assert entries_of(path) == [("wind", "bo"), ("all-clear", "lee")]


def test_a_reading_is_kept_though_the_file_was_taken_away_under_the_program(tmp_path):
    path = demo_file(tmp_path)

    async def job():
        async with running(path, (80, 24), looking=True) as (app, pilot):
            await press(pilot, "r", *typing("15 mph"))
            app.screen.inputs()[-1].value = "lee"
            path.unlink()
            await press(pilot, "ctrl+s")
            await until(pilot, lambda: isinstance(app.screen, Choose))
            await press(pilot, "s")
            await until(pilot, lambda: len(app.screen_stack) == 1)

    asyncio.run(job())
    assert path.exists()
    assert entries_of(path) == [("wind", "lee")]


def test_a_path_is_typed_where_the_list_has_the_keys_and_a_name_is_found_before_what_holds_it(tmp_path):
    async def job():
        async with running(None, (80, 24), looking=True) as (app, pilot):
            await until(pilot, lambda: isinstance(app.screen, AskPath))
            await press(pilot, *typing("site.toml"))
            assert app.screen.query_one("#path").value == "site.toml"
            app.screen.dismiss("")
            await until(pilot, lambda: len(app.screen_stack) == 1)
            for words, key in (("sandbags", "stock.sandbags"), ("sandb", "stock.sandbags"), ("wind", "wind.speed"), ("stakes", "stock.stakes")):  # fmt: skip
                hits = [h async for h in Find(app.screen).search(words)]
                fields = [h for h in hits if str(h.command.args[0]).startswith("go_field")]
                assert max(fields, key=lambda h: h.score).command.args == (f"go_field('{key}')",), words

    asyncio.run(job())


def test_a_key_of_a_view_typed_in_a_number_says_esc_first_and_leaves_the_number(tmp_path):
    async def job():
        async with running(demo_file(tmp_path), (80, 24)) as (app, pilot):
            app.form.go_to("wind.speed")
            before = app.session.draft.text("wind.speed")
            for key in ("question_mark", "o", "P"):
                await press(pilot, key)
                assert "no number begins with it" in screen_text(app)
                assert app.session.draft.text("wind.speed") == before
            await press(pilot, *typing("25 mph"))
            assert app.session.draft.text("wind.speed") == "25 mph"

    asyncio.run(job())
