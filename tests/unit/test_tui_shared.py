"""Two at one file: each is told, each keeps what was typed, whatever happens to the other."""

import asyncio
import os
import signal
import subprocess
import sys
import time
from pathlib import Path

import pytest
from tui_kit import demo_file, do, press, running, screen_text, settled, typing, until

from anchorage.demo import demo_text
from tui import owner, store
from tui.dialogs import AskPath, Choose
from tui.fields import KEYS

ROOT = Path(__file__).parents[2]


pytestmark = pytest.mark.usefixtures("own_folder")


HOLD = """
import asyncio, os, signal, sys, time
sys.path[:0] = [{tests!r}]
from pathlib import Path
from tui_kit import press, running, typing
async def main():
    async with running(Path({path!r})) as (app, pilot):
        await press(pilot, *{before!r}, "down", "down", "down", *typing({text!r}))
        end = time.monotonic() + 40
        while time.monotonic() < end and not (app.session.doc.journal.exists() and {text!r} in app.session.doc.journal.read_text()):
            await pilot.pause(0.05)
        print("typed", flush=True)
        while time.monotonic() < end:
            await pilot.pause(0.05)
asyncio.run(main())
"""


@pytest.fixture
def other():
    """Starts other processes that have the file open and have typed something in it; kills them in the end."""
    begun = []

    def start(path, text, *before):
        code = HOLD.format(tests=str(ROOT / "tests"), path=str(path), text=text, before=list(before))
        begun.append(
            subprocess.Popen([sys.executable, "-c", code], cwd=ROOT, stdout=subprocess.PIPE, text=True)
        )
        assert begun[-1].stdout.readline().strip() == "typed"
        return begun[-1]

    yield start
    for p in begun:
        kill(p)
        p.stdout.close()


def kill(process):
    """As when the plug is pulled."""
    if process.poll() is None:
        os.kill(process.pid, signal.SIGKILL)
        process.wait()


def test_a_second_process_is_told_keeps_a_journal_of_its_own_and_neither_loses_what_was_typed(
    tmp_path, other
):
    path = demo_file(tmp_path)
    first = other(path, "33 furl")
    theirs = store.open_file(path, KEYS).journal
    kept = theirs.read_bytes()

    async def second(app, pilot):
        await until(pilot, lambda: isinstance(app.screen, Choose))
        text = screen_text(app)
        assert "Open in another window too" in text
        assert "in another window of this machine" in " ".join(text.replace("┃", " ").split())
        assert str(first.pid) not in text
        assert "Recover" not in text, "their journal is theirs: they are at work on it"
        await press(pilot, "g")
        await until(pilot, lambda: "OPEN IN ANOTHER WINDOW" in screen_text(app))
        await press(pilot, "enter", "down", *typing("ice"))
        await until(pilot, app.session.doc.journal.exists)
        assert app.session.doc.journal != theirs
        assert theirs.read_bytes() == kept
        # saving asks, and can be let be
        await press(pilot, "ctrl+s")
        await until(pilot, lambda: isinstance(app.screen, Choose))
        assert "Write over the file all the same" in screen_text(app)
        await press(pilot, "escape")
        assert path.read_text() == demo_text("asphalt")
        # dropping and leaving takes the own journal only
        await press(pilot, "ctrl+q")
        await until(pilot, lambda: isinstance(app.screen, Choose))
        await press(pilot, "d")
        await until(pilot, lambda: not app.is_running)
        assert not app.session.doc.journal.exists()
        assert theirs.read_bytes() == kept

    do(second, path)
    kill(first)

    async def third(app, pilot):
        await until(pilot, lambda: isinstance(app.screen, Choose))
        assert "Work was left behind" in screen_text(app), "the lock of a killed process is no lock"
        await press(pilot, "r")
        await settled(app, pilot)
        assert app.session.draft.text("wind.speed") == "33 furl"
        assert app.session.place.owner

    do(third, path)


def test_when_both_are_killed_both_drafts_are_offered_one_after_the_other(tmp_path, other):
    path = demo_file(tmp_path)
    first = other(path, "33 furl")
    second = other(path, "44 furl", "g", "enter")
    journals = sorted(p.name for p in tmp_path.glob(".*.journal"))
    assert journals == [".asphalt.toml.2.journal", ".asphalt.toml.journal"]
    kill(first)
    kill(second)

    async def job(app, pilot):
        await until(pilot, lambda: isinstance(app.screen, Choose))
        await press(pilot, "d")
        await until(pilot, lambda: isinstance(app.screen, Choose))
        await press(pilot, "r")
        await settled(app, pilot)
        assert app.session.draft.text("wind.speed") == "33 furl", "the latest first, then the one before"
        await until(pilot, app.session.doc.journal.exists)

    do(job, path)


def test_the_second_becomes_the_owner_when_the_first_has_gone_and_the_firsts_journal_is_still_not_touched(
    tmp_path,
):
    path = demo_file(tmp_path)
    doc = store.open_file(path, KEYS)
    first = owner.take(doc.journals)
    assert first.owner
    store.write_journal(doc, doc.saved.with_("wind.speed", "1 furl"))

    async def job(app, pilot):
        await until(pilot, lambda: isinstance(app.screen, Choose))
        await press(pilot, "g")
        assert not app.session.place.owner
        os.close(first.handle)  # as a kill does: the lock is gone, the journal is not
        await until(pilot, lambda: app.session.place.owner)
        assert "OPEN IN ANOTHER WINDOW" not in screen_text(app)
        await press(pilot, "enter", "down", *typing("ice"))
        await until(pilot, app.session.doc.journal.exists)
        found = store.read_journal(doc)
        assert found is not None
        assert found.draft.text("wind.speed") == "1 furl"

    do(job, path)


def test_two_windows_in_one_process_and_the_first_sees_what_the_second_saved(tmp_path):
    path = demo_file(tmp_path)

    async def main():
        async with running(path) as (one, pilot_one), running(path) as (two, pilot_two):
            await until(pilot_two, lambda: isinstance(two.screen, Choose))
            await press(pilot_two, "g", "enter", "down", *typing("ice"), "ctrl+s")
            await until(pilot_two, lambda: isinstance(two.screen, Choose))
            await press(pilot_two, "o")
            await until(pilot_two, lambda: not two.session.dirty)
            await until(pilot_one, lambda: one.session.underneath)
            assert "CHANGED ON DISK" in screen_text(one)
            await press(pilot_one, "down", *typing("dry"), "ctrl+s")
            await until(pilot_one, lambda: isinstance(one.screen, Choose))
            assert 'state = "ice"' in path.read_text()

    asyncio.run(main())


def test_windows_without_a_name_do_not_share_a_journal(tmp_path):
    async def main():
        async with running(None) as (one, pilot_one), running(None) as (two, pilot_two):
            for app, pilot, text in ((one, pilot_one, "one"), (two, pilot_two, "two")):
                await until(pilot, lambda app=app: isinstance(app.screen, AskPath))
                await press(pilot, "escape")
                app.form.go_to("deployment.name")
                await press(pilot, *typing(text))
                await until(
                    pilot,
                    lambda app=app, text=text: (
                        app.session.doc.journal.exists()
                        and f'"{text}"' in app.session.doc.journal.read_text()
                    ),
                )
            assert one.session.doc.journal != two.session.doc.journal
            assert "one" in one.session.doc.journal.read_text()
            assert "two" in two.session.doc.journal.read_text()

    asyncio.run(main())


def test_places_are_given_in_order_and_free_again(tmp_path):
    journal = tmp_path / ".a.toml.journal"
    places = [owner.take(journal) for _ in range(3)]
    assert [p.number for p in places] == [1, 2, 3]
    assert [p.owner for p in places] == [True, False, False]
    assert "in another window of this machine" in owner.who(journal)
    places[0].leave()
    assert owner.move_up(places[2])
    assert places[2].owner
    assert not owner.move_up(places[1]), "somebody else is quicker"
    for p in places:
        p.leave()
    assert list(tmp_path.iterdir()) == []
    assert owner.take(journal).number == 1


def test_a_folder_that_cannot_be_written_in_gives_no_place_and_no_fault(tmp_path, monkeypatch):
    def refuse(*_args):
        raise PermissionError(13, "Permission denied")

    monkeypatch.setattr(owner.os, "open", refuse)
    place = owner.take(tmp_path / ".a.toml.journal")
    assert place.owner
    assert owner.left_behind(tmp_path / ".a.toml.journal", 1) == []
    place.leave()


def test_saving_under_another_name_takes_a_place_there_and_leaves_the_old_one(tmp_path):
    path = demo_file(tmp_path)

    async def job(app, pilot):
        await press(pilot, "down", *typing("ice"))
        await until(pilot, app.session.doc.journal.exists)
        old = app.session.doc.journal
        app.files.write_as(tmp_path / "b.toml", None)
        assert not old.exists()
        assert owner.take(store.Document(path).journals).number == 1
        assert owner.take(store.Document(tmp_path / "b.toml").journals).number == 2
        assert time.time() - (tmp_path / "b.toml").stat().st_mtime < 60

    do(job, path)


def test_looking_at_a_file_that_is_not_there_yet_makes_nothing(tmp_path):
    async def job(app, pilot):
        await pilot.pause()
        assert app.session.place.owner
        assert not (tmp_path / "new").exists()

    do(job, tmp_path / "new" / "a.toml")
    assert not (tmp_path / "new").exists()


def test_nothing_is_left_beside_a_file_that_was_only_looked_at(tmp_path):
    path = demo_file(tmp_path)

    async def job(app, pilot):
        assert len(list(tmp_path.glob(".*.open"))) == 1

    do(job, path)
    assert sorted(p.name for p in tmp_path.iterdir()) == ["asphalt.toml", "state"]
