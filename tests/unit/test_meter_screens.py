"""The last hour at a glance in characters and on paper, and a meter read beside the interface."""

import re
import socket
import threading
import time
from dataclasses import replace
from datetime import UTC

import pytest
from tui_kit import demo_file, press, running, screen_text, until

from anchorage.cli.entry import main
from anchorage.meter.site import by_hand
from anchorage.meter.store import Minute
from anchorage.paper.meter_chart import strip_drawing, strip_lines, strip_words
from anchorage.paper.meter_page import iso, screen_lines
from anchorage.record.store import Record, path_of
from tests.meter_kit import START, Story, mwv, scale_of
from tui.metering import Metering

MARKS = (8.0, 11.0, 14.0)
NOW = START + 3600


def hour(gust, mean=None, skip=()):
    return [
        Minute(START + 60 * (i + 1), gust(i), (mean or gust)(i), 250.0, "x", 2.0)
        for i in range(60)
        if i not in skip
    ]


def test_each_column_is_full_up_to_the_mean_and_light_up_to_the_gust():
    """Of 8 rows up to 15.12 m/s each is 1.89: 6 m/s fills three of them, and 12 m/s reaches the line of 11 and not that of 14."""
    lines = strip_lines(hour(lambda i: 12.0, lambda i: 6.0), MARKS, "si", NOW, 75, high=8, plain=True)
    assert [x[30] for x in reversed(lines[:8])] == ["#", "#", "#", ":", ":", ":", ":", "-"]
    assert [m in "\n".join(lines) for m in ("S 8", "O 11", "K 14")] == [True] * 3


@pytest.mark.parametrize(("gust", "reaches"), [(7.99, False), (8.0, True), (10.9, True)])
def test_a_column_is_over_the_line_of_a_level_where_its_gust_is_and_not_before(gust, reaches):
    lines = strip_lines(hour(lambda i: gust, lambda i: 1.0), MARKS, "si", NOW, 75, high=8, plain=True)
    (row,) = (x for x in lines if x.endswith("S 8.0 m/s"))
    assert row[30] == (":" if reaches else "-")


def test_a_higher_gust_is_a_higher_column_and_what_was_not_heard_is_a_question():
    lines = strip_lines(hour(lambda i: 3.0 + 0.15 * i, skip=range(20, 30)), MARKS, "us", NOW, 75, plain=True)
    body, heard = lines[:7], lines[7]
    heights = [sum(x[i] in "#:" for x in body) for i in range(60)]
    known = [h for i, h in enumerate(heights) if i not in range(20, 30)]
    assert known == sorted(known)
    assert heard == "_" * 20 + "?" * 10 + "_" * 30
    assert all(len(x) <= 75 for x in lines)


@pytest.mark.parametrize("minutes", [[], hour(lambda i: 0.0), hour(lambda i: 60.0), hour(lambda i: None)])
@pytest.mark.parametrize("wide", [10, 40, 200])
def test_nothing_calm_and_storm_are_drawn(minutes, wide):
    for plain in (False, True):
        lines = strip_lines(
            minutes, (float("inf"),) * 3 if wide == 10 else MARKS, "us", NOW, wide, plain=plain
        )
        assert len(lines) == 9
        assert len({len(x) for x in lines[7:8]}) == 1
    assert strip_words(minutes, "us")
    assert strip_drawing(minutes, MARKS, "us", NOW, UTC, 180.0).svg.startswith("<svg")


def test_on_paper_each_level_has_its_line_and_its_word():
    d = strip_drawing(hour(lambda i: 12.0), MARKS, "si", NOW, UTC, 180.0)
    text = re.sub(r"<[^>]*>", " ", d.svg)
    assert all(w in text for w in ("SECURE 8", "PEOPLE OUT 11", "KEEP AWAY 14", "08:00", "09:00"))
    assert "Highest 12.0 m/s" in d.alt


def test_the_page_that_is_handed_over_has_the_hour_on_it(tmp_path, capsys):
    story = Story(tmp_path, step=5.0)
    story.blow(3.0, 400, 2.0)
    story.session.stop()
    out = tmp_path / "h.html"
    code = main(["now", str(story.path), "-o", str(out), "--now", iso(int(START + story.at))])
    assert code in (0, 1, 3), capsys.readouterr()
    assert "The meter, last hour" in out.read_text(encoding="utf-8")


def test_the_screen_of_a_terminal_fits_and_says_what_is_urgent_first(tmp_path):
    story = Story(tmp_path, step=5.0)
    r = story.blow(3.0, 700, 2.0)
    lines = screen_lines(r, UTC, "x")
    assert len(lines) <= 23
    assert all(len(x) <= 80 for x in lines)
    _, out, _ = story.session.scale.marks
    r = story.blow(out + 0.3, 10, 1.0)
    lines = screen_lines(r, UTC, "x")
    assert lines[0] == "#" * 72
    assert lines[1].startswith("PEOPLE OUT")
    assert scale_of(story.session.d, story.path, START, by_hand()).marks == pytest.approx(
        story.session.scale.marks
    )


class Feed:
    """A meter that sends to a port of this machine."""

    def __init__(self):
        with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as s:
            s.bind(("127.0.0.1", 0))
            self.port = s.getsockname()[1]
        self.speed, self.pause, self.ended = 3.0, 0.1, threading.Event()
        self.thread = threading.Thread(target=self.send, daemon=True)

    def send(self):
        with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as s:
            n = 0
            while not self.ended.wait(self.pause):
                n += 1
                s.sendto(mwv(self.speed + 0.01 * (n % 7)), ("127.0.0.1", self.port))


@pytest.fixture
def feed():
    f = Feed()
    f.thread.start()
    yield f
    f.ended.set()
    f.thread.join(2.0)


@pytest.fixture(autouse=True)
def _state(tmp_path, monkeypatch):
    monkeypatch.setenv("ANCHORAGE_STATE", str(tmp_path / "state"))


def test_a_meter_is_read_beside_the_interface_and_stopped_by_the_same_key(tmp_path, feed):
    import asyncio

    path = demo_file(tmp_path)

    async def job():
        async with running(path, (120, 40), looking=True) as (app, pilot):
            await press(pilot, "m")
            for c in f"udp://127.0.0.1:{feed.port}":
                await pilot.press({":": "colon", "/": "slash", ".": "full_stop"}.get(c, c))
            await press(pilot, "enter")
            await until(pilot, lambda: "METER" in screen_text(app), 20)
            assert app.session.view_name == "now"
            assert "On this meter" in screen_text(app)
            feed.speed = 40.0
            await until(pilot, lambda: re.search(r"METER gust \d+ mph: KEEP AWAY", screen_text(app)), 20)
            meter = app.session.meter
            await press(pilot, "m", "s")
            await until(pilot, lambda: app.session.meter is None, 10)
            await until(pilot, lambda: not meter.is_alive(), 10)
        with Record(path_of(path)) as r:
            assert r.faults() == []
            assert [e.data["level"] for e in r.entries() if e.event == "crossing"][-1] == "keep-away"

    asyncio.run(job())


class Flood:
    """A session that has something new at every turn, a thousand times a second."""

    def __init__(self, path, reader, source):
        self.story = Story(path.parent, path=path)
        self.d, self.turns = self.story.session.d, 0

    def turn(self, timeout):
        time.sleep(0.001)
        self.turns += 1
        r = self.story.turn()
        return replace(r, seen=replace(r.seen, events=("level",) if self.turns == 100 else ()))

    def stop(self):
        pass


def test_however_much_comes_one_thing_waits_for_the_screen(tmp_path, monkeypatch):
    """The screen is told once a second and looks when it can; what began in between is not lost."""
    monkeypatch.setattr("anchorage.meter.run.Session", Flood)
    told = []
    m = Metering(demo_file(tmp_path), "udp://127.0.0.1:1", lambda: told.append(1))
    m.start()
    end = time.monotonic() + 10
    while not m.events and time.monotonic() < end:
        time.sleep(0.02)
    _, events = m.news()
    m.stop()
    m.join(5.0)
    assert events == {"level"}
    assert m.news()[1] == set()
    assert len(told) <= 3 + (time.monotonic() - end + 10)
    assert not m.is_alive()


@pytest.mark.parametrize("address", ["nonsense", "serial:", "tcp://"])
def test_an_address_that_is_none_is_said_and_ends_nothing(tmp_path, address):
    told = []
    m = Metering(demo_file(tmp_path), address, lambda: told.append(1))
    m.start()
    m.join(5.0)
    assert m.fault
    assert told
