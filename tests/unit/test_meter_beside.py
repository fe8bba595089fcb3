"""What is told beside a meter: thunder, a forecast that changes, a command of the user's, a table, and `now` of a meter that is dead."""

import csv
import itertools
import json
import shlex
import sys
import threading
import time
from datetime import UTC

import pytest

from anchorage.cli.entry import main
from anchorage.cli.meter import _stands
from anchorage.demo import demo_text
from anchorage.meter.alarm import Command
from anchorage.meter.sentences import MeterError
from anchorage.meter.store import Beat, Minute, Minutes, minutes_of
from anchorage.meter.weather import Sky, Span, Weather
from anchorage.outlook import live
from anchorage.outlook.asked import Asked
from anchorage.paper.meter_page import iso, report_json
from anchorage.record.store import Record, path_of
from tests.meter_kit import START, Story
from tui import recording


def said(story, event):
    path = path_of(story.path)
    if not path.exists():
        return []
    with Record(path) as r:
        assert r.faults() == []
        return [e for e in r.entries() if e.event == event]


@pytest.fixture
def story(tmp_path):
    return Story(tmp_path)


class Heaven:
    """A forecast that says what the test wants."""

    def __init__(self, sky=None):
        self.sky, self.fault, self.stopped = sky, "", False

    def stop(self):
        self.stopped = True


def sky(headline, level="normal", gust=8.0, mark=None):
    return Sky(
        headline, (Span(START, START + 7200, level, gust),), "normal", headline if mark is None else mark
    )


def test_thunder_that_is_typed_empties_it_and_is_in_the_record(story):
    story.blow(2.0, 20)
    story.session.thunder()
    r = story.blow(2.0, 5)
    assert r.seen.level == "people-out"
    assert "thunder" in [e for _, e in story.events()]
    assert len(said(story, "thunder")) == 1


def test_thunder_that_somebody_else_logged_is_told_within_five_seconds(story):
    story.blow(2.0, 20)
    when = report_json(story.reports[-1])["time"]
    assert main(["log", str(story.path), "thunder", "--who", "A. Lee", "--now", when]) == 0
    r = story.blow(2.0, 6)
    assert (r.seen.level, r.thunder_until) == ("people-out", START + 20 + 1800)
    story.step = 60.0
    assert story.blow(2.0, 1920, 4.0).seen.level == "normal"


def test_a_forecast_that_changes_is_told_and_counts(tmp_path):
    heaven = Heaven(sky("GO until 20:00"))
    story = Story(tmp_path, weather=heaven)
    assert story.blow(2.0, 10).warnings == ()
    heaven.sky = sky("NO-GO from 19:00")
    r = story.blow(2.0, 1)
    assert any("NO-GO from 19:00" in w for x in story.reports for w in x.warnings)
    assert [e for _, e in story.events()] == ["forecast"]
    heaven.sky = sky("NO-GO now", "people-out")
    r = story.blow(2.0, 2)
    assert (r.seen.level, r.seen.level_now) == ("people-out", "normal")
    story.session.stop()
    assert heaven.stopped


def test_a_forecast_file_is_read_again_when_it_changes_and_no_sooner(tmp_path):
    path = tmp_path / "site.toml"
    path.write_text(demo_text("asphalt"), encoding="utf-8")
    file = tmp_path / "f.txt"
    file.write_text("heard 08:00Z\nuntil 18:00Z gust 12 mph\n", encoding="utf-8")
    w = Weather(path, Asked((str(file),)), UTC, clock=lambda: float(START))
    w.look(0.0)
    assert w.fault == ""
    first = w.sky
    assert (first.level(START + 60), first.gust(START, START + 3600)) == (
        "normal",
        pytest.approx(12 * 0.44704, rel=0.01),
    )
    w.look(30.0)
    assert w.sky is first
    file.write_text("heard 08:00Z\nuntil 18:00Z gust 60 mph\n", encoding="utf-8")
    w.look(60.0)
    assert w.sky.mark != first.mark
    assert w.sky.level(START + 60) == "keep-away"
    file.write_text("\0\0", encoding="utf-8")
    w.look(90.0)
    assert w.fault
    assert w.sky.level(START + 60) == "keep-away"  # what it said before counts


def test_a_command_is_run_for_each_alarm_and_told_which(tmp_path):
    out = tmp_path / "told"
    program = f"import os, sys; open({str(out)!r}, 'a').write(os.environ['ANCHORAGE_EVENT'] + ' ' + os.environ['ANCHORAGE_LEVEL'] + ' ' + sys.stdin.read())"
    c = Command(shlex.join([sys.executable, "-c", program]))
    c.start()
    c.alarm("silent", "unknown", "NO READING; $(touch x) `rm -r /`", "one\n")
    c.alarm("level", "secure", "x", "two\n")
    c.stop()
    assert out.read_text() == "silent unknown one\nlevel secure two\n"
    assert (c.ran, c.fault) == (2, "")


@pytest.mark.parametrize(
    "typed", ["/no/such/program x", shlex.join([sys.executable, "-c", "raise SystemExit(3)"])]
)
def test_a_command_that_fails_is_said_and_stops_nothing(typed):
    c = Command(typed)
    c.start()
    c.alarm("level", "secure", "x", "")
    c.stop()
    assert c.fault


@pytest.mark.parametrize("typed", ["", "'", "   "])
def test_a_command_that_is_none_is_refused(typed):
    with pytest.raises(MeterError):
        Command(typed)


def test_now_says_since_when_nothing_came(story, capsys):
    """A reader that was killed: the meter is silent for whoever asks, and nothing is go by it."""
    story.blow(2.0, 120)
    at = story.at

    def now(after):
        story.at = at + after
        when = iso(int(START + story.at))
        code = main(["now", str(story.path), "--json", "--now", when])
        return code, json.loads(capsys.readouterr().out)

    _, said_now = now(30)
    assert (said_now["meters"][0]["silent"], said_now["level"]) == (False, "normal")
    _, said_now = now(600)
    assert (said_now["meters"][0]["silent"], said_now["level"]) == (True, "unknown")
    assert "NO READING FROM THE METER" in said_now["why"][0]
    assert said_now["verdict"] != "go"


def test_now_of_a_meter_that_was_stopped_goes_by_the_reading(story, capsys):
    story.blow(2.0, 120)
    story.session.stop()
    assert main(["now", str(story.path), "--json", "--now", iso(int(START + story.at + 600))]) in (0, 3)
    told = json.loads(capsys.readouterr().out)
    assert (told["meters"][0]["stopped"], told["meters"][0]["silent"], told["level"]) == (
        True,
        False,
        "normal",
    )


def test_the_last_two_days_as_a_table(story, tmp_path, capsys, monkeypatch):
    story.step = 10.0
    story.blow(3.0, 600, 2.0)
    story.session.stop()
    monkeypatch.setattr("time.time", lambda: START + story.at)
    out = tmp_path / "t.csv"
    assert main(["meter", str(story.path), "--csv", str(out)]) == 0, capsys.readouterr()
    rows = list(csv.DictReader(out.read_text(encoding="utf-8").splitlines()))
    assert len(rows) in (10, 11)
    assert all(3.0 <= float(r["gust_m_s"]) <= 3.01 for r in rows)
    assert rows[0]["source"] == "tcp://192.0.2.7:10110"


def test_minutes_are_kept_for_two_days_and_no_longer(tmp_path):
    path = tmp_path / "site.toml"
    m = Minutes(path, "x")
    for hour in range(0, 60, 4):
        at = START + hour * 3600
        m.write(
            Beat("x", START, at, at, False, ""),
            [Minute(at, 5.0, 3.0, 250.0, "x", 2.0), Minute(at, 4.0, 3.0, 250.0, "x", 2.0)],
        )
    kept = minutes_of(path, 0)
    assert kept[0].at >= START + 56 * 3600 - 48 * 3600
    assert all(k.gust == 5.0 for k in kept)
    m.close()


def test_a_network_is_asked_each_half_hour_and_again_sooner_where_it_failed(tmp_path, monkeypatch):
    """After a failure in 5 min, then 10, 20 and 30; what was good before counts meanwhile, with its age."""
    path = tmp_path / "site.toml"
    path.write_text(demo_text("asphalt"), encoding="utf-8")
    answer = json.dumps({"properties": {"updateTime": iso(START), "windGust": {"uom": "wmoUnit:km_h-1", "values": [{"validTime": iso(START) + "/PT9H", "value": 18.0}]}}})  # fmt: skip
    asked, clock, bad = [], [0.0], [(-1, 4000), (9000, 11000)]

    def fetch(lat, lon, now):
        asked.append(clock[0])
        if any(a <= clock[0] < b for a, b in bad):
            raise live.LiveError("no connection")
        return live.Live(answer, now, kept=False, note="")

    monkeypatch.setattr(live, "fetch", fetch)
    w = Weather(path, Asked((), at="35.2,-111.65"), UTC, clock=lambda: START + clock[0])
    for t in range(0, 12000, 60):
        clock[0] = float(t)
        w.look(clock[0])
        if t == 3900:
            assert (w.sky, w.fault) == (None, "no connection")
        if t == 6000:
            assert (w.sky.gust(START + 3600, START + 7200), w.sky.note) == (pytest.approx(5.0), "")
        if t == 10_500:
            assert "no connection; the last good answer is 0." in w.sky.note
    assert asked == [0, 300, 900, 2100, 3900, 5700, 7500, 9300, 9600, 10200, 11400]
    assert all(b - a >= 300 for a, b in itertools.pairwise(asked))


def test_a_meter_a_person_and_the_interface_write_one_record_at_once_and_lose_nothing(tmp_path):
    """Three that write at the same time: every entry is there once, and the chain of seals is whole."""
    story = Story(tmp_path)
    story.blow(2.0, 5)
    n, faults = 12, []

    def meter():
        for _ in range(n):
            story.session.keeper.reading(5.0, START, story.session.stands)
            if not story.session.keeper.flush(START + 10):
                faults.append(story.session.keeper.fault)

    def person():
        codes = [
            main(["log", str(story.path), "note", f"n{i}", "--who", "A. Lee", "--now", iso(START + 10)])
            for i in range(n)
        ]
        faults.extend(c for c in codes if c)

    def interface():
        for i in range(n):
            good, lines, _ = recording.write_down(
                story.path, {"event": "action", "value": f"a{i}", "who": "B. Roe"}, START + 10
            )
            if not good:
                faults.append(lines)

    threads = [threading.Thread(target=f) for f in (meter, person, interface)]
    for t in threads:
        t.start()
    for t in threads:
        t.join()
    assert faults == []
    assert [len(said(story, e)) for e in ("wind", "note", "action")] == [n, n, n]


def test_a_reader_that_is_killed_has_written_what_was_crossed_and_the_next_goes_on(tmp_path):
    story = Story(tmp_path, step=1.0)
    _, out, _ = story.session.scale.marks
    story.blow(out + 0.3, 120, 0.5)
    assert [e.data["level"] for e in said(story, "crossing")] == ["secure", "people-out"]
    again = Story(tmp_path, path=story.path, begin=200.0)  # nothing was stopped in order
    r = again.blow(2.0, 8, 0.5)
    assert (r.seen.level, r.held, r.seen.level_now) == ("people-out", "people-out", "normal")
    assert len(again.session.hour) >= 1


def test_a_calm_meter_is_no_go_where_nothing_was_counted_at_the_points(tmp_path, capsys):
    """It ends as ``now`` would: what was not counted holds nobody."""
    story = Story(tmp_path)
    assert story.blow(1.0, 60, 0.25).seen.level == "normal"
    assert _stands(story.session) == "unknown"
    when = time.strftime("%Y-%m-%dT%H:%M:%SZ", time.gmtime(START))
    for event in (["setup"], ["placed", "11", "--each"]):
        assert main(["log", str(story.path), *event, "--who", "A. Lee", "--now", when]) == 0, (
            capsys.readouterr()
        )
    assert _stands(story.session) == "go"
