"""Terminals that are too small for anything, with whatever is open: nothing is shown, and nothing ends. What is mended of Textual for it."""

import asyncio
import gc

import pytest
from textual._xterm_parser import XTermParser
from textual.widgets import OptionList
from tui_kit import demo_file, press, running

from tui import app as tui_app
from tui import mended

SIZES = ((80, 3), (1, 24))


def test_a_palette_in_a_terminal_of_no_size_does_not_end_it(tmp_path, monkeypatch):
    monkeypatch.setenv("ANCHORAGE_STATE", str(tmp_path / "state"))

    async def main():
        async with running(demo_file(tmp_path), looking=True) as (app, pilot):
            for size in SIZES:
                await pilot.resize_terminal(*size)
                await press(pilot, "ctrl+f", "s", "down", "pagedown", "pageup", "end", "pagedown")
                await pilot.resize_terminal(80, 24)
                await press(pilot, "pagedown", "escape", "escape")
            assert len(app.screen_stack) == 1
            assert app.is_running

    asyncio.run(main())


def paged():
    """Page on in a list that never had room; the error that came of it."""
    found = OptionList("a", "b")
    found.set_reactive(OptionList.highlighted, 1)
    try:
        found.action_page_down()
        found.action_page_up()
    except KeyError as e:
        return e
    return None


def test_a_list_without_room_has_no_pages_and_textual_still_needs_that(monkeypatch):
    monkeypatch.setattr(OptionList, "_move_page", mended.PAGE)
    assert paged() is not None, (
        "Textual pages a list without room by itself now: take the mend out of tui/mended.py"
    )
    mended.a_list_without_room_has_no_pages()
    assert paged() is None


@pytest.mark.parametrize("digit", "0123456789")
def test_alt_and_a_digit_is_read_as_that_in_most_terminals(digit):
    mended.everything()
    parser = XTermParser(debug=False)
    assert [e.key for data in (f"\x1b{digit}", "") for e in parser.feed(data)] == [f"alt+{digit}"]


def test_the_looks_for_waste_are_rare_and_none_is_put_off_for_good():
    """One in some fifty keys among the newest, and the last of all is never further off than some six hundred keys."""
    before = gc.get_threshold()
    try:
        tui_app._spare_the_lasting()
        first, second, third = gc.get_threshold()
        assert first >= 20_000
        assert second * third <= 20, "with 2,000 between two looks at everything, memory grew with each key"
        assert gc.get_freeze_count() > 10_000
    finally:
        gc.unfreeze()
        gc.set_threshold(*before)


def test_waste_is_taken_away_while_nobody_types(tmp_path, monkeypatch):
    monkeypatch.setenv("ANCHORAGE_STATE", str(tmp_path / "state"))
    taken = []

    async def main():
        async with running(demo_file(tmp_path), looking=True) as (app, _):
            monkeypatch.setattr(tui_app.gc, "collect", lambda: taken.append(1))
            for count, last, expected in (
                (8_000, 7_500, 1),
                (40_000, 7_500, 1),
                (40_000, 39_900, 2),
                (100, 90, 2),
            ):
                monkeypatch.setattr(tui_app.gc, "get_count", lambda count=count: (count, 0, 0))
                app.made = last
                app.clear_away()
                assert len(taken) == expected

    asyncio.run(main())
