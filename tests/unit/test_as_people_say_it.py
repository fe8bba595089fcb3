"""The weather as people say it, from end to end: no danger is moved to another day, dropped or made milder by how it is put.

The site is held to 40 mph and rated. Times are those of America/Chicago; Tuesday 2026-03-10, 13:10, unless a test says so.
"""

import json

import pytest

from anchorage.cli.entry import main
from anchorage.demo import demo_text

NOW = "2026-03-10T18:10:00Z"
ZONE = "America/Chicago"
CALM = "until Wed 02:00 gust 15 mph"


@pytest.fixture
def site(tmp_path):
    text = (
        demo_text("asphalt")
        .replace("[anchorage]\n", "[anchorage]\nplaced = 40\nstack = 48\n")
        .replace("sandbags = 100", "sandbags = 400")
    )
    text += '[policy]\ngust = "40 mph"\n'
    path = tmp_path / "site.toml"
    path.write_text(text)
    return path


def said(capsys, site, *lines, now=NOW, zone=ZONE, use="people-in", more=()):
    """Exit code and JSON of ``outlook FILE --say ...``."""
    every = [x for line in lines for x in ("--say", line)]
    code = main(
        [
            "outlook",
            str(site),
            "--now",
            now,
            *(("--zone", zone) if zone else ()),
            *every,
            "--for",
            use,
            "--json",
            *more,
        ]
    )
    out, err = capsys.readouterr()
    return code, json.loads(out) if out else {"err": err}


def hours(out, *which):
    return [h["level"] for h in out["hours"] if not which or h["start"][11:13] in which]


def test_calm_as_it_is_said_is_go(capsys, site):
    for line in (CALM, "until Wed 02:00 gusts to 15 mph", "until Wed 02:00 gusting up to 15 mph from the southwest", "from 13:00 until Wed 02:00 gust 15 mph",
                 "until Wed 02:00, southwest winds 5 to 10 mph with gusts up to 15 mph"):  # fmt: skip
        code, out = said(capsys, site, line)
        assert code == 0, (line, out.get("headline", out))
        assert out["remarks"]["not_understood"] == []


DANGERS = {
    "from 13:00 until 18:00 thunder": 1, "from 13:00 until 18:00 gust 45 mph": 1, "from 13:00 until 18:00 severe thunderstorm warning": 1,
    "from 13:00 until 18:00 warning severe-thunderstorm": 1, "from Tue 13:00 until 18:00 thunder": 1, "from Tue 13:00 thunder": 1, "from 13:00 gust 45 mph": 1,
    "winds 15 to 25 mph with gusts up to 40 mph": 1, "until 18:00 winds 15 to 25 mph with gusts up to 40 mph": 1, "tonight gusts to 45 mph": 1,
    "this afternoon gusts to 45 mph": 1, "southwest winds gusting to 45 mph until 20:00": 1, "gusting 45 mph": 1, "gusts over 38 mph until 18:00": 1,
    "lightning": 1, "lightning until 18:00": 1, "thunder": 1, "thunderstorms this evening": 1, "sleet 1 in": 1, "sleet": 3, "freezing rain 1 in": 1, "freezing rain": 3,
    "an inch of ice": 1, "ice accumulation of 1 to 2 inches tonight": 1, "tornado warning": 1, "tornado warning until 18:00": 1, "severe thunderstorm warning until 18:00": 1,
    "wind advisory": 1, "wind advisory until 20:00": 1, "high wind warning": 1, "high wind watch": 3, "tornado watch until 21:00": 3, "winter storm watch": 3,
    "severe thunderstorm watch": 3, "hurricane warning": 1, "tropical storm watch": 1, "snow squall warning": 1, "ice storm warning": 3, "blizzard warning": 1,
    "force 7 until 18:00": 1, "near gale until 18:00": 1, "gale warning": 1, "hail": 1, "funnel cloud": 1, "gusts increasing": 3, "winds picking up this afternoon": 3,
    "frobnication until 18:00": 3, "gust 45 furlongs until 18:00": 3, "gust 45 until 18:00": 3, "thunder after the match": 1, "between 2 pm and 4 pm thunder": 1,
    "thunder for the next 3 hours": 1, "thunder from 15:00 CST until 17:00 CST": 1, "until 18:00 Central thunder": 1, "until 18:00 local lightning": 1, "snow": 3, "heavy snow tonight": 3,
    "tornado warning for the county until 6:45 pm": 1, "wind advisory 3 pm to 9 pm": 1, "between 3 and 5 pm gust 45 mph": 1, "heard thunder": 1, "lightning within 10 miles": 1,
    "hurricane force winds": 1, "high wind warning until further notice": 1, "gusts 60 mph, veering sideways until 18:00": 1, "from two to four pm thunder": 1,
    "rain 20 mm, temperature -5 degC until 20:00": 1, "rain until 20:00, temperature -5 degC until 20:00": 3, "frobnication warning": 3, "warning frobnication until 18:00": 3,
}  # fmt: skip


@pytest.mark.parametrize("line", DANGERS)
@pytest.mark.parametrize("first", [True, False], ids=["before", "after"])
def test_danger_beside_a_calm_forecast(capsys, site, line, first):
    code, out = said(capsys, site, *((line, CALM) if first else (CALM, line)))
    assert code == DANGERS[line], out.get("headline", out)


@pytest.mark.parametrize(
    "line",
    [
        "a quarter inch of ice",
        "freezing rain 0.25 in",
        "ice accumulation of a quarter inch",
        "sleet 1/4 inch",
    ],
)
def test_ice_that_is_said_lies_on_the_roof(capsys, site, line):
    _, out = said(capsys, site, CALM, line)
    assert out["hours"][1]["snow_load_pa"] == pytest.approx(6.35 * 9.80665, rel=1e-3)  # mm of water are kg/m2


def test_what_is_said_at_ten_past_is_now_and_not_tomorrow_nor_next_week(capsys, site):
    for line in (
        "from 13:00 until 18:00 thunder",
        "from Tue 13:00 until 18:00 thunder",
        "from 13:00 until 18:00 gust 45 mph",
    ):
        _, out = said(capsys, site, CALM, line)
        assert (
            hours(out, "18", "19", "20", "21", "22")[:5]
            == ["keep-away" if "gust" in line else "people-out"] * 5
        ), line
        assert hours(out)[6] == "normal" if "gust" in line else True


@pytest.mark.parametrize(
    ("line", "codes"),
    [("until 18:00 thunder", (1,)), ("until 18:00 snow 3 in", (1, 3)), ("until 18:00 snow 8 in", (1,))],
)
def test_a_line_follows_only_a_line_of_its_own_kind(capsys, site, line, codes):
    """06:00: calm until 18:00, and thunder or snow until 18:00 begins at 06:00, in both orders."""
    found = [
        said(capsys, site, *order, now="2026-03-10T11:00:00Z")
        for order in (("until 18:00 gust 15 mph", line), (line, "until 18:00 gust 15 mph"))
    ]
    assert found[0][0] in codes
    first, second = (x[1]["hours"] for x in found)
    assert first == second
    if "thunder" in line:
        assert first[0]["thunder"]
    else:
        assert first[0]["snow_load_pa"] > 0.0
    assert len(first) == 12


def test_order_does_not_matter_and_gusts_follow_gusts(capsys, site):
    lines = ("until 15:00 gust 15 mph", "until 18:00 gust 45 mph", "until Wed 02:00 gust 20 mph")
    a, b = said(capsys, site, *lines), said(capsys, site, *reversed(lines))
    assert a[1]["hours"] == b[1]["hours"]
    assert [h["level"] for h in a[1]["hours"]][:6] == [
        "normal", "normal", "keep-away", "keep-away", "keep-away", "normal",
    ]  # fmt: skip


@pytest.mark.parametrize("line", [
    "winds 15 to 25 mph gusts to 45 mph", "wind 20 mph gusts 45 mph", "20 mph gusts 45 mph", "20 gusting 45 mph", "winds 20 gusts to 45 mph", "sw 17g40kt", "wind 10 mph, gusts 45 mph",
    "southwest wind 10 mph with peak gusts of 45 mph", "10 mph gusts possibly to 45 mph", "wind 10 to 20 mph gusts around 45 mph", "45 mph wind gusts", "10 mph wind with 45 mph gusts",
    "gusts to forty five miles per hour", "gusts twenty-five to forty mph", "winds could gust as high as 45 mph", "gusts 20 mph then 45 mph", "gusts from 20 to 45 mph", "gusts 20, later 45 mph", "gust 20 mph gust 45 mph", "winds 10 mph, gusting at times to 45 mph",
])  # fmt: skip
def test_of_two_figures_the_gust_is_never_the_lower(capsys, site, line):
    code, out = said(capsys, site, f"{line} until Wed 02:00")
    assert code == 1, (line, out.get("headline", out))


@pytest.mark.parametrize(
    "line",
    [
        "gusts no less than 20 mph", "gusts not less than 20 mph", "gusts over 20 mph", "gusts 20+ mph", "gusts not only 20 mph",
        "gusts at least 20 mph", "gusts 20 mph or more",
    ],
)  # fmt: skip
def test_a_gust_without_an_upper_end_never_gives_go(capsys, site, line):
    assert said(capsys, site, f"{line} until Wed 02:00")[0] == 3
    for upper in (
        "gusts no more than 20 mph",
        "gusts not over 20 mph",
        "gusts up to 20 mph",
        "gusts less than 20 mph",
    ):
        assert said(capsys, site, f"{upper} until Wed 02:00")[0] == 0


SAID_MORE = (
    *(f"{CALM}{words}" for words in (" at times higher", ", possibly higher", ", not likely", " higher", " locally higher", " possibly more", " at times more", " some higher",
      " rising", " increasing", " increasing this afternoon", " not", " heavy", " variable", " with occasional", " ?", " and rising", " 50 percent more", " and over", " #70 mph later")),
    *(f"until Wed 02:00 {line}" for line in ("gust not 15 mph", "no gust 15 mph", "gust was 15 mph", "low chance of gust 15 mph", "gust mostly 15 mph",
      "gust not around 15 mph possibly higher", "strong gusts 15 mph", "average gust 15 mph")),
    "gust 15 mph until Wed 02:00 then increasing", "for the next 20 hours gust 15 mph and rising",
)  # fmt: skip


@pytest.mark.parametrize("line", SAID_MORE)
def test_a_word_beside_a_gust_that_may_say_more_is_never_go(capsys, site, line):
    """The words that may stand there are a closed list; each of these was passed over."""
    assert said(capsys, site, line)[0] in (1, 3)


@pytest.mark.parametrize("line", ["rising", "increasing", "becoming higher", "higher at times", "not"])
def test_a_word_that_may_say_more_in_a_line_of_its_own_is_never_go(capsys, site, line):
    code, out = said(capsys, site, CALM, line)
    assert code == 3
    assert any(r["text"] == line for r in out["remarks"]["not_understood"])


def test_now_does_not_pass_over_a_rise(capsys, site):
    calm = "for the next 20 hours gust 15 mph"
    for event in (("setup",), ("placed", "40", "--each")):
        line = ["log", str(site), *event, "--who", "Name", "--now", NOW, "--zone", ZONE, "--more-came"]
        assert main(line) == 0
    capsys.readouterr()
    asked = ["now", str(site), "--now", NOW, "--zone", ZONE, "--say"]
    main([*asked, calm])
    assert "nobody can say what comes" not in capsys.readouterr().out
    assert main([*asked, f"{calm} and rising"]) in (1, 3)
    assert "nobody can say what comes" in " ".join(capsys.readouterr().out.split())


def test_an_amount_of_ice_leaves_ice_on_the_ground(capsys, site):
    """A word alone puts ice there; its amount adds to that."""
    lines = ("freezing rain", "freezing rain 0.1 in", "sleet 0.1 in", "ice 0.1 in", "freezing drizzle 0.1 in")
    found = [said(capsys, site, CALM, line)[1]["hours"] for line in lines]
    dry = said(capsys, site, CALM)[1]["hours"]
    for hours_of in found:
        assert {h["state"] for h in hours_of[1:12]} == {"ice"}
        assert all(h["limit_m_s"] < d["limit_m_s"] for h, d in zip(hours_of[1:12], dry[1:12], strict=True))


@pytest.mark.parametrize("line", ["freezing fog", "frost", "hard freeze warning", "freeze warning", "frost advisory", "extreme cold warning", "wind chill warning", "cold weather advisory",
                                  "black ice", "freezing"])  # fmt: skip
def test_cold_that_is_said_puts_ice_where_water_may_lie(capsys, site, line):
    _, out = said(capsys, site, CALM, line)
    assert {h["state"] for h in out["hours"][1:12]} == {"ice"}


def test_ice_that_came_stays_while_no_temperature_says_that_it_goes(capsys, site):
    for line in ("until 15:00 freezing rain 0.1 in", "until 15:00 frost"):
        _, out = said(capsys, site, CALM, line)
        assert {h["state"] for h in out["hours"][:12]} == {"ice"}, line


def test_nothing_after_a_hash_is_hidden(capsys, site):
    assert said(capsys, site, CALM, "# tornado warning")[0] == 1
    path = site.with_name("heard.txt")

    def filed(*lines):
        path.write_text("\n".join(("heard 13:10", CALM, *lines)) + "\n")
        code = main(["outlook", str(site), "--now", NOW, "--zone", ZONE, "--forecast", str(path), "--for", "people-in", "--json"])  # fmt: skip
        return code, json.loads(capsys.readouterr().out)

    assert filed("# written down by the second shift")[0] == 0
    assert filed("# tornado warning")[0] == 1
    assert filed("from 14:00 until 18:00 gust 15 mph #70 mph later")[0] in (1, 3)
    assert filed("# gusts 70")[0] in (1, 3)


@pytest.mark.parametrize("line", ["flash flood warning", "coastal flood warning", "flood watch", "flood", "flash flood emergency", "lakeshore flood advisory", "hydrologic outlook"])  # fmt: skip
def test_an_official_flood_is_at_least_what_the_word_is(capsys, site, line):
    assert said(capsys, site, CALM, line)[0] == 3


@pytest.mark.parametrize("line", ["no thunder expected", "no severe weather expected"])
def test_a_denial_is_no_danger_and_takes_no_condition_away(capsys, site, line):
    code, out = said(capsys, site, CALM, line)
    assert code == 0
    assert out["conditions"] == said(capsys, site, CALM)[1]["conditions"]
    assert any("thunder" in c for c in out["conditions"])
    assert any(r["text"] == line and r["why"] == "not said" for r in out["remarks"]["harmless"])


def test_the_end_of_a_call_says_nothing(capsys, site):
    for lines in ((f"{CALM} roger",), (f"{CALM}, over",), (f"{CALM} roger over",), (CALM, "over")):
        assert said(capsys, site, *lines)[0] == 0, lines


def test_what_is_denied_until_a_time_may_come_after_it(capsys, site):
    """No thunder until 18:00: thunder counts before, for it was named, and after."""
    _, out = said(capsys, site, CALM, "no thunder until 18:00")
    assert all(h["thunder"] for h in out["hours"][:12])


def test_a_line_with_its_own_beginning_comes_on_top(capsys, site):
    """It was a link of the chain, so that the calm line began where it ended."""
    for order in ((CALM, "from 16:00 until 18:00 gust 45 mph"), ("from 16:00 until 18:00 gust 45 mph", CALM)):
        code, out = said(capsys, site, *order)
        assert code == 1
        assert [h["level"] for h in out["hours"]][:6] == [
            "normal", "normal", "normal", "keep-away", "keep-away", "normal",
        ]  # fmt: skip
        assert out["headline"].startswith("NO-GO from Tue 16:00")


AUTUMN = "2026-11-01T03:00:00Z"
"""Sat 22:00 CDT; the clocks go back at 02:00 CDT, 07:00 UTC."""


def test_the_hour_that_a_clock_change_doubles(capsys, site):
    """Of two moments danger begins at the first and ends at the second; what it follows ends at the first too."""
    calm = "until 12:00 gust 15 mph"
    _, out = said(capsys, site, calm, "from 01:30 until 04:00 thunder", now=AUTUMN)
    assert [h["start"][11:13] for h in out["hours"] if h["thunder"]] == ["06", "07", "08", "09"]
    _, out = said(capsys, site, calm, "until 01:30 thunder", now=AUTUMN)
    assert [h["start"][11:13] for h in out["hours"] if h["thunder"]] == ["03", "04", "05", "06", "07"]
    site.write_text(site.read_text().replace("[times]\n", '[times]\nmargin = "0 min"\n'))
    _, out = said(capsys, site, "until 01:30 gust 15 mph", "until 12:00 gust 45 mph", now=AUTUMN)
    assert next(h["start"][11:13] for h in out["hours"] if h["level"] == "keep-away") == "06"
    early = out["deadlines"]["people_out_by"]
    _, plain = said(capsys, site, "until 06:30Z gust 15 mph", "until 18:00Z gust 45 mph", now=AUTUMN)
    assert early == plain["deadlines"]["people_out_by"] < "2026-11-01T06:00:00Z"
    _, out = said(
        capsys, site, "until 01:30 gust 15 mph", now=AUTUMN
    )  # a gust is known to the earlier reading only
    assert hours(out)[:5] == ["normal", "normal", "normal", "unknown", "unknown"]


def test_letters_of_a_zone_in_summer_are_read_both_ways(capsys, site):
    """CST said in July: the clock of the place, or six hours behind UTC all the same."""
    july = "2026-07-14T18:10:00Z"
    _, out = said(
        capsys, site, "until 02:00 Central gust 15 mph", "from 15:00 CST until 16:00 CST thunder", now=july
    )
    assert [h["start"][11:13] for h in out["hours"] if h["thunder"]] == ["20", "21"]
    _, winter = said(capsys, site, CALM, "from 15:00 CST until 16:00 CST thunder", now="2026-01-13T19:10:00Z")
    assert [h["start"][11:13] for h in winter["hours"] if h["thunder"]] == ["21"]
    code, _ = said(capsys, site, "zone Central", "until Wed 02:00 gust 15 mph", zone=None)
    assert code == 0
    assert said(capsys, site, CALM, zone="CST")[0] == 0


def test_an_end_that_has_just_passed_gives_no_go_for_the_next_day(capsys, site):
    code, out = said(capsys, site, "until 13:00 gust 15 mph")
    assert code == 3
    assert "say the day" in json.dumps(out["cautions"])
    assert said(capsys, site, "until Tue 13:00 gust 15 mph")[0] == 3


def test_a_refusal_lists_what_is_understood(capsys, site):
    code, out = said(capsys, site, "what is this")
    assert code == 2
    for words in (
        "until 18:00 gust 35 mph",
        "severe thunderstorm warning",
        "sleet 1 in",
        "tonight",
        "Central",
        "force 7",
    ):
        assert words in out["err"]
    code, out = said(
        capsys, site, CALM, "what is this"
    )  # beside a line that is understood it is printed, and unknown
    assert code == 3
    assert any(r["text"] == "what is this" for r in out["remarks"]["not_understood"])
    assert any("sleet 1 in" in c for c in out["cautions"])


def test_now_takes_what_was_heard(capsys, site):
    for event in (("setup",), ("placed", "40", "--each")):
        assert (
            main(["log", str(site), *event, "--who", "Name", "--now", NOW, "--zone", ZONE, "--more-came"])
            == 0
        )
    capsys.readouterr()
    calm = ["now", str(site), "--now", NOW, "--zone", ZONE, "--say", CALM]
    assert main(calm) in (0, 3)
    first = capsys.readouterr().out
    assert main([*calm, "--say", "tornado warning until 18:00"]) == 1
    assert "tornado" in capsys.readouterr().out
    assert "tornado" not in first


@pytest.mark.parametrize(
    ("text", "found"),
    [
        ("12-18 mph", "18 mph"),
        ("12 to 18 mph", "18 mph"),
        ("12 mph to 18 mph", "18 mph"),
        ("12\u201318 kt", "18 kt"),
    ],
)
def test_of_a_range_the_upper_figure_counts(capsys, site, text, found):
    """A meter that goes up and down, in the log, on the command line and in the file."""
    assert main(["check", str(site), "--gust", text, "--json"]) == main(
        ["check", str(site), "--gust", found, "--json"]
    )
    out = capsys.readouterr().out
    for event in (("setup",), ("placed", "40", "--each", "--more-came"), ("wind", text)):
        assert main(["log", str(site), *event, "--who", "Name", "--now", NOW, "--zone", ZONE]) == 0
    assert found in capsys.readouterr().out
    assert out
    for bad in ("18-12 mph", "12-18", "12-18 mph or so", "12 kt - 18 mph"):
        assert main(["log", str(site), "wind", bad, "--who", "Name", "--now", NOW, "--zone", ZONE]) == 2
    capsys.readouterr()


# What is plainly denied


@pytest.mark.parametrize(
    "where",
    [
        "{x}",
        "until Wed 02:00 gust 8 mph, {x}",
        "{x}, until Wed 02:00 gust 8 mph",
        "until Wed 02:00 gust 8 mph and {x}",
    ],
)
@pytest.mark.parametrize(
    "x",
    [
        "no thunder",
        "no lightning seen",
        "without any thunderstorms",
        "no thunder or lightning expected",
        "no hail",
    ],
)
def test_a_danger_that_is_plainly_denied_is_none(capsys, site, x, where):
    out = said(capsys, site, CALM, where.format(x=x))[1]
    assert {h["level"] for h in out["hours"][:8]} == {"normal"}
    assert out["remarks"]["not_understood"] == []


@pytest.mark.parametrize(
    "x",
    [
        "no thunder until 20:00", "no doubt thunder", "not without thunder", "no more thunder", "no thunder yet", "no thunder but lightning",
        "no thunder, lightning", "thunder no", "no, thunder", "no thunder before 20:00", "no storm warning", "no end of thunder",
    ],
)  # fmt: skip
def test_a_denial_that_may_mean_otherwise_stays_what_it_was(capsys, site, x):
    out = said(capsys, site, f"{CALM}, {x}")[1]
    assert out["hours"][0]["level"] in ("people-out", "keep-away", "unknown")
