"""How far the work is by the record, and what follows while it comes down: nobody inside, and no more than half built holds."""

import json
import re

import pytest

from anchorage.cli.entry import main
from anchorage.demo import demo_text
from anchorage.deployment.reader import read_text
from anchorage.judging.plan import assess
from anchorage.judging.verdict import RECORD_LEVEL
from anchorage.record.kinds import PHASES
from anchorage.record.over import phase_of
from anchorage.record.store import Entry

DAY = "2025-11-25T"
FORECAST = """zone UTC
heard 12:40
until 18:00 gust {gust} mph SW
until 22:00 gust 26 mph W
"""


class Site:
    """The asphalt demo with a record; what a command prints as one line, or its JSON."""

    def __init__(self, folder, capsys, edit=lambda text: text):
        self.path, self.capsys = folder / "site.toml", capsys
        self.path.write_text(edit(demo_text("asphalt")))

    def log(self, at, event, *more):
        assert main(["log", str(self.path), event, *more, "--who", "lee", "--now", f"{DAY}{at}:00Z"]) == 0
        self.capsys.readouterr()

    def say(self, command, *more, at=None):
        when = ["--now", f"{DAY}{at}:00Z"] if at else []
        code = main([command, str(self.path), *more, *when])
        text = self.capsys.readouterr().out
        return code, json.loads(text) if "--json" in more else " ".join(text.split())

    def stands(self):
        for at, event, *more in (
            ("10:00", "placed", "11", "--each"),
            ("11:00", "setup"),
            ("12:40", "wind", "4 mph"),
        ):
            self.log(at, event, *more)

    def check(self):
        return self.say("check", "--json")[1]


@pytest.fixture
def site(tmp_path, capsys):
    made = Site(tmp_path, capsys)
    made.stands()
    return made


def half_built():
    """What setting up takes by the file alone (m/s), with 11 at each point."""
    text = demo_text("asphalt").replace("[anchorage]", "[anchorage]\nplaced = 11")
    return assess(read_text(text)).plan.half_built.up_to_m_s


def test_the_work_has_five_states_in_the_order_of_what_was_logged():
    done = ["wind", "placed", "setup", "coming-down", "struck", "placed", "coming-down", "setup", "note"]
    entries = [Entry(i + 1, i, i, "lee", event, {}, "", "", "") for i, event in enumerate(done)]
    found = [phase_of(entries[: n + 1]) for n in range(len(done))]
    assert found == [*PHASES, "going-up", "coming-down", "up", "up"]
    assert phase_of([]) == ""
    assert phase_of(entries[:3] + entries[4:]) == "up"  # taking down, corrected, was never begun


def test_while_it_comes_down_nobody_is_inside_and_it_holds_what_it_holds_half_built(site):
    before = site.check()
    assert before["verdict"] == "go"
    site.log("12:50", "coming-down")
    after = site.check()
    assert set(after["subjects"].values()) == {"no-go"}
    assert after["limit"]["gust_m_s"] == pytest.approx(half_built())
    assert after["limit"]["gust_m_s"] < before["limit"]["gust_m_s"]
    assert after["limit"]["governed_by"] == "the shelter half taken down"
    assert "coming-down" in [r["code"] for r in after["reasons"]]
    assert RECORD_LEVEL not in [r["code"] for r in after["reasons"]]
    said = site.say("check")[1]
    lower_first = "what holds it comes off only in a lull under 9 mph; KEEP AWAY in gusts from 12 mph"
    assert f"NO-GO: nobody inside, it is COMING DOWN; {lower_first}" in said
    # the order of setting up in reverse: bare shell under 9 mph, 88 bags on, of them 22 at two corners
    assert (
        "Walls first, from outside; nobody inside or downwind, and from 12 mph on stop and stand clear."
        in said
    )
    assert (
        "Everything stays in place until a lull under 9 mph; then 66 sandbags off, the 22 at the windward corners last"
        in said
    )
    assert "Raise it" not in said


def test_local_policy_for_setting_up_holds_for_taking_down_too(tmp_path, capsys):
    s = Site(tmp_path, capsys, lambda text: text + '\n[policy]\nsetup_gust = "8 mph"\n')
    s.stands()
    s.log("12:50", "coming-down")
    assert s.check()["limit"]["gust_m_s"] == pytest.approx(8 * 0.44704)


def test_walls_that_go_on_last_come_off_first_and_what_is_placed_stays_until_then(tmp_path, capsys):
    s = Site(tmp_path, capsys, lambda text: text.replace('cover = "attached"', 'cover = "after"'))
    s.stands()
    s.log("12:50", "coming-down")
    said = s.say("check", "--full")[1]
    assert "stay until the walls are off" in said
    assert "stay until the roof is off" in said


def test_neither_an_all_clear_nor_calm_lets_anybody_in_again_and_set_up_done_does(site):
    site.log("12:50", "coming-down")
    for at, event, *more in (
        ("13:30", "wind", "2 mph"),
        ("13:40", "inspection", "passed"),
        ("13:50", "all-clear"),
    ):
        site.log(at, event, *more)
    code, found = site.say("now", "--json", at="14:00")
    assert (code, found["verdict"], found["level"]) == (1, "no-go", "people-out")
    site.log("14:05", "setup")
    site.log("14:10", "wind", "2 mph")
    code, found = site.say("now", "--json", at="14:12")
    assert (found["phase"], found["level"]) == ("up", "normal")
    assert site.check()["verdict"] == "unknown"
    site.log("14:13", "placed", "11", "--each")
    site.log("14:14", "inspection", "passed")
    assert site.check()["verdict"] == "go"


def test_a_reading_over_what_the_half_built_takes_stops_the_work(site):
    site.log("12:45", "wind", "12 mph", "--averaging", "peak")  # by hand: worth more at 10 m
    assert site.say("now", "--json", at="12:46")[1]["level"] == "normal"
    site.log("12:50", "coming-down")
    code, said = site.say("now", at="12:51")
    assert code == 1
    assert "COMING DOWN: KEEP AWAY, stop and stand clear until an all-clear" in said
    assert "Stop taking it down. Everybody well away from it" in site.say("now", "--aloud", at="12:51")[1]


def test_the_outlook_counts_to_when_it_has_to_be_down_and_not_to_when_to_begin(site):
    forecast = site.path.with_name("heard.txt")
    forecast.write_text(FORECAST.format(gust=8))
    site.log("12:50", "coming-down")
    said = site.say("outlook", "--forecast", str(forecast), at="13:00")[1]
    assert "BE DOWN BY Tue 17:45 UTC: gust from Tue 18:00 UTC" in said  # 15 min to spare
    assert "START TAKING DOWN" not in said
    assert "SECURE BY" not in said
    assert said.startswith("NO-GO: nobody inside, it is COMING DOWN")
    assert "SECURE" not in said.partition("Why:")[2].partition("Levels at")[0]
    assert "BE DOWN BY" in site.say("now", "--forecast", str(forecast), at="13:00")[1]
    forecast.write_text(FORECAST.format(gust=18))
    said = site.say("outlook", "--forecast", str(forecast), at="13:00")[1]
    assert "STOP TAKING DOWN, STAND CLEAR until a lull: gust from Tue 13:00 UTC" in said
    assert "KEEP AWAY" in said


def test_deadlines_stand_in_the_order_of_their_times(site):
    """SECURE stood under PEOPLE OUT and START TAKING DOWN, whichever came first."""
    forecast = site.path.with_name("heard.txt")
    forecast.write_text(
        "zone UTC\nheard 12:40\nuntil 18:00 gust 8 mph SW\nuntil 22:00 gust 25 mph W\nuntil 23:00 gust 40 mph W\n"
    )
    lines = site.say("outlook", "--forecast", str(forecast), at="13:00")[1].partition("Hours, limit")[0]
    found = re.findall(r"(SECURE|PEOPLE OUT|START TAKING DOWN) BY Tue (\d\d:\d\d)", lines)
    assert len(found) == 3
    assert [at for _, at in found] == sorted(at for _, at in found)


def test_the_sheet_says_it_and_names_the_gust_to_stop_at(site):
    site.log("12:50", "coming-down")
    page = site.path.with_name("sheet.html")
    assert main(["sheet", str(site.path), "-o", str(page), "--now", f"{DAY}13:00:00Z"]) == 0
    said = page.read_text()
    assert "it is COMING DOWN; what holds it comes off only in a lull under 9 mph" in said
    assert "GO ON TAKING DOWN below" in said
    assert "SET UP only below" not in said


def test_once_down_nothing_is_due_and_the_file_is_judged_as_before_it_went_up(site):
    site.log("12:50", "coming-down")
    site.log("13:20", "struck")
    found = site.say("now", "--json", at="13:30")[1]
    assert (found["phase"], found["struck"], found["due"]) == ("down", True, [])
    assert site.check()["verdict"] == "go"
