"""Whatever is on a view can be brought to the screen by the keys that are named there."""

import asyncio

import pytest
from textual.events import MouseScrollDown
from tui_kit import demo_file, press, running, screen_text, until

VIEWS = ("alt+2", "alt+3", "alt+4", "alt+5", "alt+8", "alt+9")


@pytest.fixture(autouse=True)
def _state(tmp_path, monkeypatch):
    monkeypatch.setenv("ANCHORAGE_STATE", str(tmp_path / "state"))


async def _last(app):
    return [text for text, _ in app.view.page.texts if text.strip()][-1].strip()


@pytest.mark.parametrize("way", ["end", "pagedown", "down", "wheel"])
def test_the_last_line_of_each_view_comes_to_the_screen(way, tmp_path):
    async def main():
        async with running(demo_file(tmp_path), (80, 24)) as (app, pilot):
            await press(pilot, "escape")
            for view in VIEWS:
                await press(pilot, view)
                await until(pilot, lambda: len(app.view.page.texts) > 2)
                page, last = app.view.page, await _last(app)
                for _ in range(400):
                    if last in screen_text(app):
                        break
                    if way == "wheel":
                        await pilot._post_mouse_events([MouseScrollDown], page)
                    else:
                        await press(pilot, way)
                    await pilot.pause()
                assert last in screen_text(app), f"{view} by {way}"
                await press(pilot, "home")

    asyncio.run(main())
