"""For long: keys and hours. Memory ends where it was; nothing is raised. ``ANCHORAGE_LONG=1``: 10,000 keys (some ten minutes); else 800."""

import asyncio
import gc
import os
import sys
import time

import pytest
from tui_kit import demo_file, running

from anchorage.cli.entry import main
from anchorage.outlook.clock import HOUR

LONG = bool(os.environ.get("ANCHORAGE_LONG"))
WARM, KEYS = (2000, 10_000) if LONG else (400, 800)
MOST = 4.0
"""MB that it may grow by from the warm state: undo of 500 steps, and tables that are filled once."""
PATTERN = [
    *"1234567890",
    "down",
    "pagedown",
    "end",
    "home",
    "right",
    "left",
    "enter",
    "down",
    "1",
    "backspace",
    "down",
    "2",
    "backspace",
    "pagedown",
    "up",
    "escape",
]
BEGIN = 1_773_165_600
pytestmark = pytest.mark.skipif(not sys.platform.startswith("linux"), reason="memory is read from /proc")


def resident():
    """MB."""
    with open("/proc/self/statm") as f:  # noqa: PTH123 - as it is
        return int(f.read().split()[1]) * os.sysconf("SC_PAGE_SIZE") / 1e6


def test_memory_is_flat_over_ten_thousand_keys(tmp_path, monkeypatch):
    monkeypatch.setenv("ANCHORAGE_STATE", str(tmp_path / "state"))

    async def job():
        async with running(demo_file(tmp_path), (120, 40), looking=True) as (_, pilot):
            warm = 0.0
            for i in range(KEYS):
                await pilot.press(PATTERN[i % len(PATTERN)])
                if i == WARM:
                    gc.collect()
                    warm = resident()
            gc.collect()
            return warm, resident()

    warm, end = asyncio.run(job())
    print(f"\n{KEYS} keys: {warm:.1f} MB after {WARM}, {end:.1f} MB at the end")
    assert end - warm < MOST


def test_a_day_and_a_night_with_a_record_and_a_forecast(tmp_path, monkeypatch, capsys):
    """24 hours of the clock: a reading and ``now`` each half hour, the interface open beside it and redrawn each minute."""
    monkeypatch.setenv("ANCHORAGE_STATE", str(tmp_path / "state"))
    path = demo_file(tmp_path)

    def at(seconds):
        return time.strftime("%Y-%m-%dT%H:%M:%SZ", time.gmtime(seconds))

    async def job():
        found = []
        async with running(path, (100, 30), looking=True, clock=float(BEGIN)) as (app, pilot):
            for minute in range(24 * 60):
                now = BEGIN + 60 * minute
                app.clock = float(now)
                if minute % 30 == 0:
                    gust = 8 + 6 * (minute // 60 % 3)
                    assert (
                        main(["log", str(path), "wind", f"{gust} mph", "--who", "A. Lee", "--now", at(now)])
                        == 0
                    )
                    assert main(["now", str(path), "--now", at(now), "--say", f"until {time.strftime('%H:%M', time.gmtime(now + HOUR))}Z gust 12 mph"]) in (0, 1, 3)  # fmt: skip
                app.each_minute()
                if minute % 30 == 0:
                    await pilot.press("0" if minute % 60 else "1")
                if minute % 60 == 0:
                    capsys.readouterr()
                    found.append(resident())
        return found

    found = asyncio.run(job())
    print(f"\n24 hours: {found[2]:.1f} MB after 2 hours, {found[-1]:.1f} MB at the end")
    assert found[-1] - found[2] < 3 * MOST  # the record grows, and is read whole each time
