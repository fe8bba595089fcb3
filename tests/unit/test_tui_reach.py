"""The interface by use, with keys that the screen names: every line can be brought to the screen, every question is answered."""

import asyncio
import random
import re
import time

import pytest
from textual.events import MouseScrollDown, Paste
from tui_kit import as_read, demo_file, do, held_down, press, running, screen_text, settled, typing, until

from anchorage.cli.entry import main
from tui import engine, keys
from tui.dialogs import AskPath, Heed, Tell
from tui.keys import ACTIONS, VIEWS
from tui.writing import WriteDown

pytestmark = pytest.mark.usefixtures("own_folder")


def last_line(app):
    """The last words of the view that is shown."""
    return [text for text, _ in app.view.page.texts if text.strip()][-1].strip()


@pytest.mark.parametrize("way", ["end", "pagedown", "down", "wheel"])
def test_the_last_line_of_each_view_comes_to_the_screen(way, tmp_path):
    async def main():
        async with running(demo_file(tmp_path), (80, 24), looking=True) as (app, pilot):
            for digit, view in zip("1234567890", VIEWS, strict=True):
                await press(pilot, digit)
                await until(
                    pilot, lambda view=view: app.session.view_name == view and bool(app.view.page.texts)
                )
                if view in ("working", "compare"):
                    await until(pilot, lambda: "Working" not in screen_text(app).splitlines()[6])
                await pilot.pause(0.05)
                page = app.view.page
                if page.max_scroll_y:
                    assert "Down, PgDn, End: further" in screen_text(app), "the screen names the keys"
                for _ in range(400):
                    if round(page.scroll_y) >= page.max_scroll_y:
                        break
                    if way == "wheel":
                        await pilot._post_mouse_events([MouseScrollDown], page)
                        await pilot.pause()
                    elif way == "down":
                        await held_down(pilot, way, 10)
                    else:
                        await press(pilot, way)
                await until(pilot, lambda: last_line(app) in screen_text(app), 5)

    asyncio.run(main())


def test_the_last_words_of_what_is_asked_over_the_screen_can_be_read(tmp_path, monkeypatch):
    made = []
    monkeypatch.setattr(engine, "sheet_bytes", lambda *given, clock: made.append(given[-1]) or b"a page")

    async def main():
        async with running(demo_file(tmp_path), (80, 24), looking=True) as (app, pilot):
            await press(pilot, "question_mark")
            await until(pilot, lambda: isinstance(app.screen, Tell))
            await press(pilot, "end")
            await until(pilot, lambda: keys.every_key()[-1].strip()[-30:] in screen_text(app), 5)
            await press(pilot, "escape", "p")
            await until(pilot, lambda: isinstance(app.screen, Heed) and "Page 1 of 4." in screen_text(app))
            seen = []
            for n in range(1, 5):
                await until(pilot, lambda n=n: f"Page {n} of 4." in screen_text(app))
                seen += [x.strip("┃ ") for x in screen_text(app).splitlines()]
                await press(pilot, "end", "enter", "ctrl+p")
                assert not app.screen.read, "no key skips a page"
                await press(pilot, "space")
            assert {x.strip() for x in app.screen.lines} <= set(seen), (
                "each line of the cautions was on the screen"
            )
            for _ in range(6):
                await press(pilot, "space")
            assert app.screen.read
            assert "Enter writes it" in screen_text(app)
            await press(
                pilot, *["down"] * 4, "enter"
            )  # the spaces that were too many changed nothing of the path
            await until(pilot, lambda: any(p.stem == "asphalt-card" for p in tmp_path.iterdir()), 20)
            assert made == [engine.Prints(card=True, also="es")]

    asyncio.run(main())


def test_every_key_that_the_foot_names_works_where_it_is_named():
    looking = {a.bare for a in ACTIONS if a.bare}
    shown = {a.bare for a in ACTIONS if a.at in ("look", "both")} | set("1234567890")
    assert shown <= looking
    for a in ACTIONS:
        if a.at in ("fill", "both"):
            assert a.key, a.word


QUESTIONS = {
    "may it go up": ([], ("May it go up?", "GO", "Holds to", "34 mph", "Act at")),
    "how many where": (["2"], ("8 at each of 4 corners", "L1", "76 sandbags")),
    "what is short": ([], ("Short", "100 brought")),
    "straps": (["5"], ("WALL STRAPS", "NOT NEEDED")),
    "snow": (["5", "end"], ("SNOW ON THE ROOF", "of wet")),
    "as it stands": (["enter", *["down"] * 12, *typing("5"), "escape", "1"], ("As placed", "5 at each of", "Gives first")),
    "against the forecast": (
        ["f", *typing("heard at"), "DOWN", "enter", *typing("13:40"), "down", *typing("UTC"), "down",
         *typing("until 18:00 gust 31 mph"), "alt+6"], ("PEOPLE OUT", "DEADLINES", "31 mph")),
    "what to write down": (["r"], ("Wind reading", "Inspection", "Hand-over", "Who says so")),
}  # fmt: skip


@pytest.mark.parametrize("asked", QUESTIONS)
def test_each_question_of_a_leader_is_answered_from_a_saved_shelter_in_at_most_sixty_keys(asked, tmp_path):
    pressed, seen = QUESTIONS[asked]

    async def main():
        async with running(demo_file(tmp_path), (80, 24), looking=True, clock=1764078600.0) as (app, pilot):
            n = 0
            for key in pressed:
                if key == "DOWN":  # the palette has found it
                    await until(pilot, lambda: "Go to: Forecast, Heard at" in screen_text(app))
                    continue
                n += await press(pilot, key)
            assert n <= 60
            if asked == "what to write down":
                await until(pilot, lambda: isinstance(app.screen, WriteDown))
            else:
                await settled(app, pilot)
            await until(pilot, lambda: all(s in screen_text(app) for s in seen), 20)

    asyncio.run(main())


def test_a_mean_that_counts_as_a_higher_gust_is_said_with_units_on_the_first_screen(tmp_path):
    async def main():
        async with running(demo_file(tmp_path), (80, 24), looking=True) as (app, pilot):
            n = await press(
                pilot, "enter", "down", "down", "down", "down", *typing("forecast-w"), "enter", "escape"
            )
            assert n - len("forecast-w") <= 8
            await settled(app, pilot)
            await until(pilot, lambda: "Judged for" in screen_text(app))
            said = " ".join(screen_text(app).replace("▌", " ").split())
            assert "20 mph, a mean wind as forecast. It counts as gusts of 34 mph" in said
            assert said.startswith("NO-GO")
            await press(pilot, "enter", "up", "x", "backspace", "escape")
            await settled(app, pilot)
            await until(
                pilot,
                lambda: (
                    "NOT SAID whether gust or mean" in " ".join(screen_text(app).replace("▌", " ").split())
                ),
            )

    asyncio.run(main())


@pytest.mark.parametrize("size", [(80, 24), (80, 3), (1, 24), (40, 12)])
def test_any_keys_in_any_terminal_raise_nothing(size, tmp_path):
    every = [a.key for a in ACTIONS if a.key and a.name not in ("leave", "sheet", "save", "save_as")]
    every += [a.bare for a in ACTIONS if a.bare and a.name not in ("leave", "sheet", "save")]
    every += ["enter", "escape", "tab", "up", "down", "left", "right", "end", "home", "x", "space"]
    keys_ = random.Random(size[0] * 100 + size[1])  # noqa: S311 - keys

    async def main():
        async with running(demo_file(tmp_path), size, looking=True) as (app, pilot):
            for _ in range(80):
                await press(pilot, keys_.choice(every))
            await pilot.pause(0.1)
            assert app.is_running

    asyncio.run(main())


@pytest.mark.parametrize(
    ("read", "up", "stay"),
    [
        ("20 mph", "NO-GO", "coming and going: NO-GO; inside, doors shut: GO"),
        ("28 mph", "NO-GO", "coming and going: NO-GO; inside, doors shut: NO-GO"),
    ],
    ids=["secure", "keep away"],
)
def test_a_reading_changes_the_first_screen_and_the_banner(read, up, stay, tmp_path):
    async def main():
        async with running(demo_file(tmp_path), (80, 24), looking=True) as (app, pilot):
            assert screen_text(app).startswith(" NO-GO  set up, gusts 20 mph. Once up GO")
            await press(pilot, "r")
            await until(pilot, lambda: isinstance(app.screen, WriteDown))
            await press(pilot, *typing(read), "ctrl+s", *typing("lee"))
            assert f"To be kept: Wind reading: {read}" in screen_text(app)
            await press(pilot, "ctrl+s")
            await until(pilot, lambda: not isinstance(app.screen, WriteDown))
            await until(pilot, lambda: "by the readings: " in screen_text(app), 30)
            assert screen_text(app).startswith(" NO-GO ")
            said = " ".join(screen_text(app).replace("▌", " ").split())
            assert f"May it go up? by the readings: {up}" in said
            assert stay in said

    asyncio.run(main())


@pytest.mark.parametrize("demo", ["asphalt", "clay", "mixed", "winter"])
def test_no_view_for_a_leader_uses_the_names_of_the_file(demo, tmp_path):
    async def main():
        async with running(demo_file(tmp_path, demo), (80, 24), looking=True) as (app, pilot):
            for digit in "123450":
                await press(pilot, digit)
                await pilot.pause(0.1)
                said = "\n".join(text for text, _ in app.view.page.texts)
                assert not re.search(
                    r"\[[a-z_]+(\.[a-z_]+)*\]|provenance|lumped|service level|in suction", said
                ), said

    asyncio.run(main())


def test_what_was_measured_at_the_site_is_on_the_first_screen_with_the_count_by_the_tables_alone(tmp_path):
    path = demo_file(tmp_path)
    pulls = "".join(
        f'\n[[test]]\nkind = "drag"\nwhat = "unit"\nplace = "{place}"\nstate = "wet"\nload = "40 lb"\nforce = ["30 lbf"]\nsteady = ["28 lbf"]\n'
        for place in ("gate", "kerb", "drain", "lane", "wall")
    )
    path.write_text(path.read_text(encoding="utf-8") + pulls, encoding="utf-8")

    async def main():
        async with running(path, (120, 40), looking=True) as (app, pilot):
            await settled(app, pilot)
            said = " ".join(text.strip("▌ ") for text, _ in app.view.page.texts)
            assert "Measured here" in said
            with_tests, by_tables = map(
                int, re.search(r"measured (\d+); by the tables alone (\d+)", said).groups()
            )
            assert with_tests < by_tables == 76
            assert "5 places: 0.5" in said

    asyncio.run(main())


def test_a_sheet_from_the_interface_is_never_milder_than_the_readings(tmp_path):
    path = demo_file(tmp_path)
    assert main(["log", str(path), "wind", "60 mph", "--who", "lee"]) == 0

    async def look():
        async with running(path, (80, 24), looking=True) as (app, pilot):
            await settled(app, pilot)
            for name in ("a.html", "a.txt"):
                page = engine.sheet_bytes(app.session.answer, (), tmp_path / name, path).decode()
                page = " ".join(page.split())  # the text is wrapped
                assert "KEEP AWAY until an all-clear that counts" in page
                assert "NO-GO" in page

    asyncio.run(look())


FILLED_IN = (
    "T:gab", "enter", "T:24", "enter", "T:20", "enter", "T:7", "enter", "T:9'6", "enter", "T:310", "enter", "T:4", "enter",
    "T:as", "enter", "T:w", "enter", "T:t", "enter", "T:25", "enter", "T:gust", "enter", "T:people", "enter", "T:bal", "enter", "T:bags", "enter", "T:40", "enter",
    "T:st", "enter", "T:rub", "enter", "T:no", "enter", "T:at", "enter", "T:200", "escape", "s", "enter",
)  # fmt: skip
"""From no file to a file that is saved; ``T:`` is the text of a value."""


def test_from_no_file_to_a_verdict_and_a_file_in_half_of_sixty_keys(tmp_path):
    async def main():
        async with running(None, (80, 24), looking=True) as (app, pilot):
            await until(pilot, lambda: isinstance(app.screen, AskPath))
            n = await press(pilot, "enter")  # a shelter from nothing stands first
            await until(pilot, lambda: len(app.screen_stack) == 1 and app.screen.focused is not None)
            await until(pilot, lambda: time.monotonic() > app.bounce.until)  # a hand is slower than a bounce
            for key in FILLED_IN:
                if key.startswith("T:"):
                    app.screen.focused.post_message(Paste(key[2:]))
                    await pilot.pause()
                else:
                    n += await press(pilot, key)
            assert n <= 30
            await until(pilot, (tmp_path / "deployment.toml").exists, 20)
            await settled(app, pilot)
            draft = app.session.draft
            assert (draft.text("shelter.length"), draft.text("shelter.mass"), draft.text("wind.speed")) == (
                "24 ft",
                "310 lb",
                "25 mph",
            )
            assert (
                draft.text("site.surface"),
                draft.text("anchorage.unit"),
                draft.text("wind.speed_is"),
            ) == ("asphalt", "sandbag", "forecast-gust")
            assert [
                r.code for r in app.session.answer.plan.reasons if r.code.endswith(("-unknown", "-unsaid"))
            ] == []
            assert app.session.answer.plan is not None, screen_text(app)
            assert 'unit = "sandbag"' in (tmp_path / "deployment.toml").read_text()

    asyncio.run(main())


def test_each_state_of_the_work_is_written_down_in_at_most_eight_keys_and_stands_first(tmp_path):
    async def main():
        async with running(demo_file(tmp_path), (80, 24), looking=True) as (app, pilot):
            for at, state in ((2, "IT STANDS"), (3, "COMING DOWN"), (4, "TAKEN DOWN")):
                n = await press(pilot, "r")
                await until(pilot, lambda: isinstance(app.screen, WriteDown))
                assert "Alt+Down, Alt+Up: another kind" in screen_text(app)
                n += await press(pilot, *["alt+down"] * at)
                if not app.screen.said().get("who"):
                    app.screen.inputs()[-1].value = "lee"
                assert n + await press(pilot, "ctrl+s") <= 8
                await until(pilot, lambda: not isinstance(app.screen, WriteDown), 20)
                await until(pilot, lambda state=state: f"By the record    {state}" in screen_text(app), 20)
                assert (
                    "COMING DOWN NOBODY INSIDE; what holds it comes off only in a lull under 9 mph; KEEP AWAY in gusts from 12 mph"
                    in as_read(app)
                ) is (state == "COMING DOWN")

    asyncio.run(main())


def test_to_correct_goes_on_from_where_one_is_and_round(tmp_path):
    """It went to the first table that was missing and stayed there."""

    async def main():
        async with running(None, (80, 24), looking=True) as (app, pilot):
            await press(pilot, "enter")
            await settled(app, pilot)
            seen = [app.form.here.field.key]
            for _ in range(4):
                await press(pilot, "ctrl+g")
                seen.append(app.form.here.field.key)
            assert seen == ["shelter.form", "site.surface", "wind.speed", "anchorage.kind", "shelter.form"]

    asyncio.run(main())


def test_an_order_of_the_forecast_stands_in_the_header_of_a_small_screen(tmp_path):
    said = {
        "outlook.zone": "America/Chicago",
        "forecast.heard": "07:40",
        "forecast.lines[1]": "until 09:30 gust 26 mph",
        "forecast.lines[2]": "until 17:00 gust 60 mph",
    }

    async def job(app, pilot):
        app.take(app.session.draft.over(said))
        await settled(app, pilot)
        await until(pilot, lambda: not app.session.judging and app.session.weather_found.outlook is not None)
        top = " ".join(screen_text(app).partition("asphalt.toml")[0].split())
        assert (
            "TOO LATE TO TAKE DOWN: leave it up, people out by Tue 08:30 CST (14:30 UTC), then keep away"
            in top
        )

    do(job, demo_file(tmp_path), (64, 24), clock=1764078600.0)
