"""Every screen as plain text, at 80 x 24 and 120 x 40, in both themes. Made anew by ``python tests/screens/make.py``."""

import asyncio
import contextlib
import os
import re
from datetime import UTC
from pathlib import Path

import pytest
from tui_kit import SIZES, demo_file, press, running, screen_text, until

from anchorage.judging.result import Plan
from anchorage.outlook.result import Outlook
from anchorage.paper.drawing import plan_shapes
from anchorage.paper.sketch import Around
from tui import engine, filing, keys, owner, recording, store
from tui.dialogs import AskPath, Choose, Heed, Tell
from tui.keys import VIEWS
from tui.writing import WriteDown

HERE = Path(__file__).parent
MAKE = os.environ.get("ANCHORAGE_SCREENS") == "make"
PLAN = Plan.model_validate_json((HERE / "plan.json").read_text(encoding="utf-8"))
OUTLOOK = Outlook.model_validate_json((HERE / "outlook.json").read_text(encoding="utf-8"))
WORKING = ["Wind at the shelter", "  q = ½·ρ·V^2 = ½·1.225·30^2 = 551.2 Pa [Bernoulli dynamic pressure, physics]", "", "Check: slide of a frame, frame 2",
           "  load = q / q_lim = 43.1 / 124.9 = 0.3449"]  # fmt: skip
FAULT = (
    engine.Told(
        "wind.speed",
        "cannot read '20 furl': 'furl' is not a unit here; a speed is one number and one unit (mph, kt, km/h, m/s, ft/s), for example 45 mph",
    ),
)


@pytest.fixture(autouse=True)
def _frozen(tmp_path, monkeypatch):
    """Nothing on the screens but what the interface itself makes of one frozen plan."""
    monkeypatch.setenv("ANCHORAGE_STATE", str(tmp_path / "state"))
    monkeypatch.chdir(tmp_path)
    monkeypatch.setattr(filing, "NAMES", ("asphalt", "clay"))
    around = Around(40.0, 270.0, ("stop entry",))
    shapes = tuple(plan_shapes(PLAN, around, hot_to_clean=True))

    def evaluate(draft, number, folder, *, deep=False, beside=None):
        echoes = {"wind.speed": "20 mph (8.9 m/s)"}
        if "furl" in draft.text("wind.speed"):
            return engine.Answer(number, draft, FAULT)
        return engine.Answer(
            number, draft, (), PLAN, None, around, decon=True, echoes=echoes, deep=deep, shapes=shapes
        )

    def compare(name, other, folder, number, beside=None, ours=None):
        lower = PLAN.limit.model_copy(update={"gust_m_s": 10.0, "anchorage_gust_m_s": 10.0})
        return engine.Compared(number, name, PLAN.model_copy(update={"limit": lower, "verdict": "no-go"}))

    monkeypatch.setattr(engine, "evaluate", evaluate)
    monkeypatch.setattr(
        engine, "weather", lambda answer, files, number, now=None: engine.Weather(number, OUTLOOK, UTC)
    )
    monkeypatch.setattr(engine, "compare", compare)
    monkeypatch.setattr(engine, "working", lambda answer, topic: WORKING)
    monkeypatch.setattr(store, "saved_at", lambda doc: "13:45")
    monkeypatch.setattr(owner, "who", lambda journal: "since 13:20, process 4711")
    stands = ("SECURE, as of Tue 13:50 UTC", "", "Last: wind 15 mph peak, by hand (lee).")
    monkeypatch.setattr(recording, "now", lambda answer, *_: recording.Stands(stands, answer.number))


async def _form(app, pilot):
    await press(pilot, "alt+2", "enter")
    await pilot.pause(0.05)
    return screen_text(app)


async def _screens(path, size, theme):
    """Every screen by name."""
    out = {}
    async with running(path, size, deep=True) as (app, pilot):
        app.theme = theme
        app.screen_stack[0].set_focus(None)
        app.cursor_blink = False
        await until(pilot, lambda: app.session.answer.deep and app.session.weather_found is not None)
        app.form.go(0)
        for key, name in zip("1234567890", VIEWS, strict=True):
            await press(pilot, f"alt+{key}")
            await until(
                pilot,
                lambda: "Working it out" not in screen_text(app),
            )
            if name == "working":
                await until(pilot, lambda: "551.2" in screen_text(app))
            await pilot.pause(0.05)
            out[name] = screen_text(app)
        out["form"] = await _form(app, pilot)
        await press(pilot, "f1")
        await until(pilot, lambda: isinstance(app.screen, Tell))
        out["help"] = screen_text(app)
        await press(pilot, "escape", "ctrl+p")
        await until(pilot, lambda: isinstance(app.screen, Heed))
        await pilot.pause(0.05)
        out["cautions"] = screen_text(app)
        await press(pilot, "escape", "ctrl+o")
        await until(pilot, lambda: isinstance(app.screen, AskPath))
        out["open"] = screen_text(app)
        await press(pilot, "escape", "ctrl+r")
        await until(pilot, lambda: isinstance(app.screen, WriteDown))
        out["write-down"] = screen_text(app)
        await press(pilot, "escape")
        app.form.go_to("point[].id")
        await press(pilot, *"R3", "down", *"stakes")
        await until(pilot, lambda: app.session.fresh and not app.busy and app.form.scold)
        out["points"] = screen_text(app)
        app.form.go_to("site.surface")
        await press(pilot, "down", "down", "down", *"20", "space", *"furl")
        await until(pilot, lambda: app.session.fresh and not app.busy and app.form.scold)
        await pilot.pause(0.05)
        out["mend"] = screen_text(app)
        await press(pilot, "ctrl+q")
        await until(pilot, lambda: isinstance(app.screen, Choose))
        out["leave"] = screen_text(app)
        await press(pilot, "escape")
        with contextlib.ExitStack() as stack:
            stack.callback(owner.take(app.session.doc.journals).leave)
            app.session.place.number = 2
            app.files.warn_shared()
            await until(pilot, lambda: isinstance(app.screen, Choose))
            out["shared"] = screen_text(app)
            app.session.place.number = 1
    return out


@pytest.mark.parametrize("theme", ["sun", "night"])
@pytest.mark.parametrize("size", SIZES, ids=lambda s: f"{s[0]}x{s[1]}")
def test_screens(size, theme, tmp_path):
    path = demo_file(tmp_path)
    path.write_text(path.read_text() + '[forecast]\nheard = "13:40"\nlines = ["until 18:00 gust 15 mph"]\n')
    shown = asyncio.run(_screens(Path(path.name), size, theme))
    looking, filling = ([f"{k} {word}" for k, word, _ in keys.named(w)] for w in ("look", "fill"))
    for name, text in shown.items():
        lines = text.splitlines()
        assert len(lines) <= size[1]
        assert all(len(line) <= size[0] for line in lines)
        kept = HERE / f"{name}-{size[0]}x{size[1]}.txt"
        if MAKE:
            kept.write_text(text + "\n", encoding="utf-8")
        assert text + "\n" == kept.read_text(encoding="utf-8"), (
            f"{name}: python tests/screens/make.py, then look at what changed"
        )
        if name in VIEWS or name in ("mend", "points"):
            where = filling if name in ("mend", "points") else looking
            assert all(n in text for n in where), "every key is shown where it works"
            assert lines[0].split()[0] == ("NO" if name == "mend" else "NO-GO")


def test_the_pictures_of_the_readme_are_there_and_fetch_nothing():
    """Made by ``python tests/screens/pictures.py``."""
    root = HERE.parents[1]
    pictures = re.findall(r"\[[^\]]+\]\((tests/[^)]+)\)", (root / "README.md").read_text(encoding="utf-8"))
    assert len(pictures) >= 2
    for name in pictures:
        raw = (root / name).read_bytes()
        assert raw.startswith((b"<svg", b"\x89PNG")), name
        assert b"@font-face" not in raw, name
        assert b"url(http" not in raw, name
