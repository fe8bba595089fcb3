"""How soon the first screen is there, and how soon a keystroke is answered: as ratios within one run, so that a busy machine cancels out.

The times themselves are printed with ``-s``.
"""

import asyncio
import statistics
import subprocess
import sys
import time
from pathlib import Path

from tui_kit import demo_file, running, settled

from tui import engine

ROOT = Path(__file__).parents[2]
BARE = """
from textual.app import App
from textual.widgets import Input, Static
class Bare(App):
    def compose(self):
        yield Static("bare")
        for _ in range(13):
            yield Static("label")
            yield Input()
"""
PAINT = """
import time
began = time.perf_counter()
{code}
async def leave(pilot):
    print(time.perf_counter() - began)
    pilot.app.exit()
{name}({more}).run(headless=True, auto_pilot=leave)
"""


def _paint(code, name, more, state):
    """Seconds from the first import to the first screen, in a process of its own."""
    done = subprocess.run([sys.executable, "-W", "ignore", "-c", PAINT.format(code=code, name=name, more=more)], capture_output=True, text=True,
                          check=True, cwd=ROOT, env={"ANCHORAGE_STATE": str(state), "PATH": "/usr/bin:/bin", "TERM": "xterm-256color"})  # fmt: skip
    return float(done.stdout.split()[0])


def test_first_paint_takes_not_much_longer_than_that_of_a_bare_app(tmp_path):
    path = demo_file(tmp_path)
    ours, bare = [], []
    for _ in range(5):
        bare.append(_paint(BARE, "Bare", "", tmp_path))
        ours.append(
            _paint(
                "from tui.app import AnchorageApp; from pathlib import Path",
                "AnchorageApp",
                f"Path({str(path)!r})",
                tmp_path,
            )
        )
    ratio = min(ours) / min(bare)
    print(f"\nfirst screen: {min(ours) * 1000:.0f} ms, bare app {min(bare) * 1000:.0f} ms, ratio {ratio:.2f}")
    assert ratio < 2.5


def test_a_keystroke_is_answered_in_not_much_more_than_the_plan_itself_takes(tmp_path, monkeypatch):
    monkeypatch.setenv("ANCHORAGE_STATE", str(tmp_path))
    found = {}

    async def main():
        async with running(demo_file(tmp_path)) as (app, pilot):
            await settled(app, pilot)
            field = next(f for f in app.form.inputs() if f.field.key == "wind.speed")
            field.focus()
            await pilot.pause()
            took, answered = [], asyncio.Event()
            shown = app.show_page

            def show_page(name):  # the last thing that an answer does
                shown(name)
                if app.fresh and not app.busy and app.draft.text("wind.speed") == field.value:
                    answered.set()

            monkeypatch.setattr(app, "show_page", show_page)
            for i in range(200):
                answered.clear()
                began = time.perf_counter()
                field.value = f"{10 + i % 30} mph"
                await asyncio.wait_for(answered.wait(), 20)
                done = asyncio.Event()
                app.call_after_refresh(done.set)
                await done.wait()
                took.append(time.perf_counter() - began)
                assert app.answer.plan is not None
            alone = []
            for i in range(40):
                draft = app.draft.with_("wind.speed", f"{10 + i % 30} mph")
                began = time.perf_counter()
                engine.evaluate(draft, 0, tmp_path)
                alone.append(time.perf_counter() - began)
            found.update(took=took, alone=alone)

    asyncio.run(main())
    p95 = statistics.quantiles(found["took"], n=20)[-1]
    plan = statistics.quantiles(found["alone"], n=20)[-1]
    print(
        f"\nkeystroke to result on the screen: median {statistics.median(found['took']) * 1000:.0f} ms, p95 {p95 * 1000:.0f} ms; plan alone p95 {plan * 1000:.0f} ms"
    )
    assert statistics.median(found["took"]) < 4.0 * statistics.median(found["alone"])
