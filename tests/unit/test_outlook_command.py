"""The command from end to end: text, JSON, calendar, options, and the demo forecasts that ship."""

import json
import re
from pathlib import Path

import pytest
from outlook_kit import real

from anchorage import demo
from anchorage.cli import commands
from anchorage.cli.common import weather
from anchorage.cli.entry import main
from anchorage.core.errors import AnchorageError
from anchorage.core.plain import columns
from anchorage.deployment.reader import read_text
from anchorage.judging.plan import assess, make_plan
from anchorage.outlook import build, limits
from anchorage.outlook.asked import forecasts_of
from anchorage.outlook.clock import zone_of
from anchorage.outlook.result import Outlook
from anchorage.outlook.weathered import plan_for
from anchorage.paper import calendar as ics
from anchorage.paper import outlook_text as text

DEMO = Path(demo.__file__).parent
NOW = "2026-03-10T18:00:00Z"
WINTER = "2026-01-13T18:00:00Z"
"""In the days of the winter forecast."""
FORECASTS = sorted(p.name for p in DEMO.glob("demo-forecast-*"))
SAY = ["--say", "until 23:00Z gust 12 mph", "--say", "until 06:00Z gust 9 mph"]


def run(capsys, *more: str, file: str = "asphalt.toml", now: str = NOW) -> tuple[int, str, str]:
    path = str(DEMO / file) if "/" not in file else file
    code = main(["outlook", path, "--now", now, *more])
    out, err = capsys.readouterr()
    return code, out, err


@pytest.fixture
def site(tmp_path) -> str:
    """The asphalt demo, to be judged with people in, on more bags than it needs."""
    body = demo.demo_text("asphalt")
    path = tmp_path / "site.toml"
    path.write_text(body)
    return str(path)


@pytest.mark.parametrize("name", FORECASTS)
def test_the_demo_forecasts_read_and_fit_72_columns(capsys, name):
    code, out, err = run(capsys, "--forecast", str(DEMO / name), "--zone", "America/Chicago", "--chance")
    assert code in (1, 3)
    assert err == ""
    assert max(columns(line) for line in out.splitlines()) <= 72
    first = out.splitlines()[0]
    assert re.match(r"(GO|NO-GO|CANNOT SAY|ANCHORAGE HOLDS)", first)
    assert "UTC)" in out
    assert len(FORECASTS) >= 3


def test_the_first_lines_are_the_verdict_and_the_next_deadline(capsys):
    _, out, _ = run(
        capsys, "--forecast", str(DEMO / "demo-forecast-winter.json"), "--zone", "America/Chicago", "--for", "people-in", now=WINTER,
    )  # fmt: skip
    page = " ".join(out.split())
    assert page.startswith("NO-GO")
    assert "stay up with people in, until Wed 00:00 CST (06:00 UTC)" in page
    assert re.search(
        r"START TAKING DOWN BY Tue \d\d:\d[05] CST \(\d\d:\d[05] UTC\) \(down \d\d:\d[05]\)", page
    )
    assert "PEOPLE OUT BY Tue" in page


def test_json_has_the_names_and_nothing_else_is_printed(capsys):
    code, out, err = run(capsys, *SAY, "--json")
    data = json.loads(out)
    assert err == ""
    assert code == {"go": 0, "no-go": 1, "unknown": 3}[data["verdict"]]
    assert set(data["deadlines"]) == {"secure_by", "people_out_by", "start_strike_by"}
    assert {"start", "gust_m_s", "snow_load_pa", "thunder", "level", "verdict", "governed_by"} <= set(
        data["hours"][0]
    )
    assert {"format", "issued", "age_h"} <= set(data["source"])
    assert data["source"]["age_h"] == 0.0
    assert data["now"] == NOW
    Outlook.model_validate(data)


def test_a_calm_forecast_that_was_heard_is_go(capsys):
    code, out, _ = run(capsys, *SAY, "--zone", "America/Chicago", "--for", "people-in")
    assert (code, out.splitlines()[0]) == (0, "GO: stay up with people in, until Wed 01:00 CDT (06:00 UTC)")
    assert out.splitlines()[1].startswith("No deadline to Wed 01:00 CDT")


def test_no_forecast_no_file_and_bad_values_are_one_line_each(capsys, tmp_path):
    for more in (
        [],
        ["--forecast", str(tmp_path / "none")],
        [*SAY, "--zone", "Mars/Base"],
        [*SAY, "--spread", "4"],
        ["--at", "here"],
        ["--say", "fine"],
        [*SAY, "--thunder", "soon"],
    ):
        code, out, err = run(capsys, *more)
        assert (code, out) == (2, "")
        assert len(err.splitlines()) == 1
    assert run(capsys, *SAY, now="yesterday")[0] == 2


def test_a_strength_level_margin_is_refused():
    d = read_text(demo.demo_text("asphalt"))
    plan = make_plan(d).model_copy(update={"margins": {"set": "asd"}})
    with pytest.raises(AnchorageError, match="asd"):
        limits.limits_of(plan, d)


def test_thunder_that_was_heard_holds_thirty_minutes(capsys):
    _, out, _ = run(capsys, *SAY, "--thunder", "17:45Z", "--json", "--for", "people-in")
    hours = json.loads(out)["hours"]
    assert [h["thunder"] for h in hours[:3]] == [True, False, False]
    assert [h["verdict"] for h in hours[:3]] == ["no-go", "no-go", "go"]
    assert json.loads(run(capsys, *SAY, "--thunder", "17:15Z", "--json")[1])["hours"][0]["thunder"] is False


def test_own_levels_zone_and_a_forecast_in_the_file(capsys, site):
    more = '\n[outlook]\nzone = "America/Chicago"\nsecure = 0.2\nspread = "5 mph"\n[forecast]\nheard = "12:50"\nlines = ["until 23:00 gust 12 mph", "until 06:00 gust 9 mph"]\n'
    Path(site).write_text(Path(site).read_text() + more)
    _, out, _ = run(capsys, "--json", "--for", "people-in", file=site)
    data = json.loads(out)
    assert data["zone"] == "America/Chicago"
    assert data["hours"][0]["level"] == "secure"
    assert data["levels"]["source"].startswith("your own")
    assert data["chance"]["high"] >= data["chance"]["low"] >= 0.0
    assert data["hours"][0]["chance"] is not None
    assert (
        "between" in data["chance"]["text"]
        or "less than" in data["chance"]["text"]
        or "1 in" in data["chance"]["text"]
    )


def test_the_open_terrain_of_the_file_is_no_credit_for_a_gridded_forecast(capsys, site):
    body = Path(site).read_text().replace('terrain = "site"', 'terrain = "open"')
    Path(site).write_text(body)
    d = read_text(body)
    gridded = plan_for(
        assess(d),
        forecasts_of(
            weather(command_args("--say", "until 23:00Z gust 12 mph")), d.forecast, 1773165600, None
        ),
    )
    assert gridded.limit.gust_m_s < 0.99 * make_plan(d).limit.gust_m_s
    assert gridded.anchorage.total.units == make_plan(d).anchorage.total.units


def command_args(*more: str):
    import argparse

    p = argparse.ArgumentParser()
    commands.Outlook().add_arguments(p)
    return p.parse_args(["x", *more])


def test_the_calendar_has_the_deadlines(capsys, tmp_path):
    icalendar = pytest.importorskip("icalendar")
    path = tmp_path / "out.ics"
    code, out, err = run(
        capsys, "--forecast", str(DEMO / "demo-forecast-winter.json"), "--ics", str(path), "--json", "--for", "people-in", now=WINTER,
    )  # fmt: skip
    assert (code, err) == (1, f"wrote {path}\n")
    data = json.loads(out)
    events = icalendar.Calendar.from_ical(path.read_bytes()).walk("VEVENT")
    times = sorted(e["DTSTART"].dt.strftime("%Y-%m-%dT%H:%M:%SZ") for e in events)
    (lull,) = [n["lull_by"] for n in data["deadline_notes"] if n["name"] == "start_strike_by"]
    assert lull > data["deadlines"]["start_strike_by"], (
        "the bare shell does not stand in it any more, what is left is a lull"
    )
    assert times == sorted(v for v in ({**data["deadlines"], "start_strike_by": lull}).values())
    assert all(e.walk("VALARM") for e in events)
    assert (
        ics.calendar(Outlook.model_validate(data), zone_of("UTC"), str((DEMO / "asphalt.toml").resolve()))
        == path.read_bytes()
    )


def test_an_old_alarm_is_replaced_by_the_next_export(capsys, tmp_path):
    """The same events in each export of a file, the later with the larger number; what is not reached any more is called off."""
    icalendar = pytest.importorskip("icalendar")
    found = {}
    for k, (gust, now) in enumerate((("35", "18:00"), ("40", "18:30"), ("9", "19:00"))):
        path = tmp_path / f"{k}.ics"
        run(
            capsys, "--say", f"from 22:00 until 23:00 gust {gust} mph", "--say", "until 22:00 gust 8 mph", "--say",
            "from 23:00 until 09:00 gust 8 mph", "--zone", "UTC", "--ics", str(path), "--for", "people-in", now=f"2026-03-10T{now}:00Z",
        )  # fmt: skip
        events = icalendar.Calendar.from_ical(path.read_bytes()).walk("VEVENT")
        found[k] = {str(e["UID"]): e for e in events}
    assert len(found[0]) == 3
    assert found[0].keys() == found[1].keys() == found[2].keys()
    for uid in found[0]:
        assert [int(found[k][uid]["SEQUENCE"]) for k in found] == sorted(
            {int(found[k][uid]["SEQUENCE"]) for k in found}
        )
        assert found[0][uid]["DTSTAMP"].dt < found[1][uid]["DTSTAMP"].dt
        assert [str(found[k][uid]["STATUS"]) for k in found] == ["CONFIRMED", "CONFIRMED", "CANCELLED"]
        assert not found[2][uid].walk("VALARM")


def test_real_winter_forecast_end_to_end(capsys, tmp_path):
    path = tmp_path / "grid.json"
    path.write_text(real("nws-gridpoint-fgz-winter.json"))
    code, out, _ = run(
        capsys, "--forecast", str(path), "--zone", "America/Phoenix", "--json", now="2024-02-20T17:30:00Z"
    )
    data = json.loads(out)
    assert code == {"go": 0, "no-go": 1, "unknown": 3}[data["verdict"]]
    by_start = {h["start"]: h for h in data["hours"]}
    assert by_start["2024-02-25T21:00:00Z"]["gust_m_s"] == pytest.approx(15.948, abs=5e-4)
    assert by_start["2024-02-25T21:00:00Z"]["outlook_only"]
    assert text.WORDS["unknown"] == "CANNOT SAY"
    stale = json.loads(run(capsys, "--forecast", str(path), "--json", now="2024-02-21T07:30:00Z")[1])
    assert stale["verdict"] in ("unknown", "no-go")
    assert any("14 h old" in c for c in stale["cautions"])
    warned = json.loads(run(capsys, "--forecast", str(path), "--json", now="2024-02-21T01:30:00Z")[1])
    assert any("8 h old" in c for c in warned["cautions"])


def test_control_characters_of_names_do_not_reach_the_terminal(capsys, tmp_path, site):
    bad = tmp_path / "bad\x1b[31m.txt"
    bad.write_text("heard 17:40Z\nuntil 23:00Z gust 12 mph\n")
    _, out, err = run(capsys, "--forecast", str(bad), file=site)
    assert "\x1b" not in out + err
    d = read_text(Path(site).read_text())
    plan = make_plan(d)
    with pytest.raises(build.OutlookError, match="no forecast"):
        build.outlook(plan, d, [], 0, None)


def test_without_the_rating_the_headline_says_what_the_anchorage_holds_and_never_go(capsys, site):
    body = Path(site).read_text()
    cut = body[: body.index("[shelter.rating]")] + body[body.index("[[door]]") :]
    Path(site).write_text(cut)
    code, out, _ = run(capsys, *SAY, "--for", "people-in", file=site)
    assert code == 3
    assert out.startswith("ANCHORAGE HOLDS to ")
    assert "frame limit not given, ask the maker" in " ".join(out.split())
    data = json.loads(run(capsys, *SAY, "--for", "people-in", "--json", file=site)[1])
    assert {h["verdict"] for h in data["hours"]} == {"unknown"}
    assert [r["code"] for r in data["reasons"]] == ["rating-missing"]


def test_the_headline_covers_the_stay_of_the_file_and_later_hours_do_not_set_it(capsys, site):
    body = Path(site).read_text()
    times = '[times]\nstart = "13:00"\nend = "16:00"\nsetup = "30 min"\n'
    Path(site).write_text(body.replace("[times]\n", times))
    calm_then_storm = [
        "--say", "until 16:00 gust 12 mph", "--say", "until 23:00 gust 80 mph", "--zone", "America/Chicago",
    ]  # fmt: skip
    code, out, _ = run(capsys, *calm_then_storm, "--for", "people-in", file=site)
    said = " ".join(out.split())
    assert code == 0
    assert said.startswith(
        "START TAKING DOWN BY Tue 14:50 CDT (19:50 UTC). Until then GO: stay up with people in, until Tue 16:00 CDT (21:00 UTC)"
    )
    assert "after that:" in out
    assert "KEEP AWAY" in out
    assert "PEOPLE OUT BY Tue 15:30 CDT (20:30 UTC)" in " ".join(out.split())
    Path(site).write_text(body.replace("[times]\n", times.replace("16:00", "2026-03-09 16:00")))
    assert run(capsys, *calm_then_storm, file=site)[0] == 2
    Path(site).write_text(
        body.replace(
            "[times]\n", times.replace("13:00", "2026-03-10 09:00").replace("16:00", "2026-03-10 12:00")
        )
    )
    assert run(capsys, *calm_then_storm, file=site)[0] == 3  # the stay is over


def test_where_there_is_no_time_to_take_it_down_again_the_words_go_by_what_it_is_for(capsys):
    """To put it up: do not; where it stands: people out."""
    said = ("--say", "until 23:00Z gust 60 mph")
    _, setting_up, _ = run(capsys, *said, "--for", "set-up")
    _, standing, _ = run(capsys, *said, "--for", "people-in")
    assert "do not put it up" in setting_up
    assert "TOO LATE TO TAKE DOWN" not in setting_up
    assert "TOO LATE TO TAKE DOWN: leave it up, people out now, then keep away" in " ".join(standing.split())
    assert "do not put it up" not in standing


def test_no_time_to_take_down_below_people_out_is_no_keep_away(capsys, site):
    """TOO LATE TO TAKE DOWN: people out, then keep away stood at 79 %, for a shelter that was not up as well."""
    said = ("--say", "until 06:00Z gust 25 mph", "--for", "people-in")
    _, standing, _ = run(capsys, *said)
    assert "TOO LATE" not in standing
    assert "leave it up, secure it" in standing
    body = (
        Path(site)
        .read_text()
        .replace("[times]\n", '[times]\nstart = "2026-03-11T00:00Z"\nend = "2026-03-11T04:00Z"\n')
    )
    Path(site).write_text(body)
    _, later, _ = run(capsys, "--say", "until 06:00Z gust 60 mph", "--for", "people-in", file=site)
    assert "TOO LATE" not in later
    assert "do not put it up" in later
