"""The interface in a test: started without a terminal, waited for, its screen as plain text."""

import asyncio
import contextlib
import os
import time
from collections.abc import AsyncIterator, Awaitable, Callable
from pathlib import Path
from typing import Any

from textual import events
from textual.pilot import Pilot

from anchorage.core.say import language, usually
from anchorage.demo import demo_text
from tui.app import AnchorageApp

SIZES = ((80, 24), (120, 40))
NO_VERDICT = ("WAIT", "NO VERDICT")
"""What stands in the place of a verdict while there is none for what is typed."""
Job = Callable[[AnchorageApp, Pilot[Any]], Awaitable[None]]


def screen_text(app: AnchorageApp) -> str:
    """What is on the screen, line by line. The one place that knows how Textual keeps it."""
    return "\n".join(strip.text.rstrip() for strip in app.screen._compositor.render_strips())


def as_read(app: AnchorageApp) -> str:
    """The words on the screen in the order in which they are read: the verdict and its file, the list of views beside them, the rest."""
    lines, views = screen_text(app).splitlines(), app.contents.region
    if len(app.screen_stack) > 1 or not app.contents.display or not views.x:
        return " ".join(" ".join(lines).split())
    top = lines[views.y : views.y + app.screen.query_one("#top").region.height]
    rest = lines[views.y + len(top) :]
    parts = [*(x[: views.x] for x in top), *(x[views.x + 1 :] for x in top), *rest]
    return " ".join(" ".join(parts).split())


async def settled(app: AnchorageApp, pilot: Pilot[Any], *, deep: bool = False) -> None:
    """Wait until what is typed now has been answered."""
    for _ in range(3000):
        await pilot.pause(0.005)
        a = app.session.answer
        if (
            app.ready
            and app.session.fresh
            and not app.busy
            and a is not None
            and (not deep or a.plan is None or a.deep)
        ):
            await pilot.pause()
            return
    raise AssertionError(f"no answer: {screen_text(app)}")


async def until(
    pilot: Pilot[Any], true: Callable[[], bool], seconds: float = float(os.environ.get("TUI_PATIENCE", "90"))
) -> None:
    """Wait for something to be so."""
    end = time.monotonic() + seconds
    while not true():
        assert time.monotonic() < end, f"waited in vain\n{screen_text(pilot.app)}"
        await pilot.pause(0.005)
    await pilot.pause()


@contextlib.asynccontextmanager
async def running(
    path: Path | None,
    size: tuple[int, int] = (80, 24),
    *,
    deep: bool = False,
    looking: bool = False,
    **more: Any,
) -> AsyncIterator[tuple[AnchorageApp, Pilot[Any]]]:
    """The app, with the answer for its file there. looking: as it begins; else in the form, which is one key from there."""
    app = AnchorageApp(path, **more)
    if not deep:
        app.deep_after = 600.0  # the slow questions are not what most tests are about
    # a key changes the language of the process: the next test begins as this one did
    async with contextlib.AsyncExitStack() as after:
        after.enter_context(usually(language()))
        pilot = await after.enter_async_context(app.run_test(size=size, notifications=True))
        await settled(app, pilot)
        if not looking and app.view.page.has_focus and len(app.screen_stack) == 1:
            await press(pilot, "enter")
        yield app, pilot


async def press(pilot: Pilot[Any], *keys: str) -> int:
    """Press keys; how many there were."""
    for key in keys:
        await pilot.press(key)
    return len(keys)


async def held_down(pilot: Pilot[Any], key: str, times: int) -> None:
    """A key that is held down: they come one on another, and the screen follows at the end."""
    for _ in range(times):
        event = events.Key(key, None)
        event.set_sender(pilot.app)
        pilot.app._driver.send_message(event)
    await pilot.pause()
    await pilot.pause()


def typing(text: str) -> list[str]:
    """Keys for some text."""
    names = {
        " ": "space", "-": "minus", ".": "full_stop", ":": "colon", "/": "slash", ";": "semicolon", ",": "comma",
    }  # fmt: skip
    return [names.get(c, c) for c in text]


def do(job: Job, path: Path | None = None, size: tuple[int, int] = (80, 24), **more: Any) -> None:
    """Run a job in the app."""

    async def main() -> None:
        async with running(path, size, **more) as (app, pilot):
            await job(app, pilot)

    asyncio.run(main())


def demo_file(folder: Path, name: str = "asphalt") -> Path:
    """A demo as a file of its own."""
    path = folder / f"{name}.toml"
    path.write_text(demo_text(name), encoding="utf-8")
    return path


def contrast(a: str, b: str) -> float:
    """Contrast of two colours by the relative luminance of WCAG."""

    def light(colour: str) -> float:
        parts = [int(colour[i : i + 2], 16) / 255 for i in (1, 3, 5)]
        r, g, b = (p / 12.92 if p <= 0.03928 else ((p + 0.055) / 1.055) ** 2.4 for p in parts)
        return 0.2126 * r + 0.7152 * g + 0.0722 * b

    high, low = sorted((light(a), light(b)), reverse=True)
    return (high + 0.05) / (low + 0.05)
