"""What a meter learns of its site warns earlier, says of how many pairs it comes, and moves no level."""

import json
import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from anchorage.cli.entry import main
from anchorage.demo import demo_text
from anchorage.deployment.policy import ORDER, policy_of
from anchorage.meter.learn import Earlier, earlier, factor_of, gustiness, site_factor
from anchorage.meter.store import Minute
from anchorage.meter.weather import Sky, Span
from anchorage.paper.meter_page import iso, report_json, screen_lines
from anchorage.record.stand import zone_in
from anchorage.record.store import Entry, Record, path_of
from tests.meter_kit import START, Story

POLICY = policy_of()
T_13 = 1.771
"""Student's t, 95 %, 13 degrees of freedom: any table of it."""


def pair(i, meter, forecast):
    data = {"speed_m_s": meter, "forecast_m_s": forecast, "typed": f"{meter} m/s of {forecast} m/s"}
    return Entry(i, START + 3600 * i, START + 3600 * i, "meter", "pair", data, "f", "", "")


def pairs(n, ratio, spread=0.1, forecast=10.0):
    return [
        pair(i + 1, forecast * ratio * math.exp(spread * (1 if i % 2 else -1)), forecast) for i in range(n)
    ]


class Heaven:
    def __init__(self, sky):
        self.sky, self.fault = sky, ""

    def stop(self):
        pass


def sky(*hours):
    """(level, gust, share) of each hour from the start on."""
    spans = tuple(Span(START + 3600 * i, START + 3600 * (i + 1), *h) for i, h in enumerate(hours))
    return Sky("x", spans, "normal", "x")


def test_a_factor_is_the_middle_of_the_ratios_with_the_spread_of_the_next_one():
    """Logs at +-0.1: mean of ln 1.2 and a deviation of 0.1 sqrt(14/13); the next one within t s sqrt(1 + 1/14).

    The table of t has not every degree of freedom: the next fewer, a little wider.
    """
    f = site_factor(pairs(14, 1.2))
    s = 0.1 * math.sqrt(14 / 13) * T_13 * math.sqrt(1 + 1 / 14)
    assert (f.middle, f.n) == (pytest.approx(1.2), 14)
    assert 1.2 * math.exp(-s) * 0.99 <= f.low <= 1.2 * math.exp(-s)
    assert 1.2 * math.exp(s) <= f.high <= 1.2 * math.exp(s) * 1.01


@pytest.mark.parametrize("n", [0, 1, 11])
def test_too_few_pairs_have_no_factor(n):
    assert site_factor(pairs(n, 1.3)) is None


def test_a_breath_of_wind_is_no_pair():
    assert site_factor(pairs(20, 3.0, forecast=1.0)) is None


def test_nothing_is_gained_by_a_calm_site():
    f = site_factor(pairs(20, 0.6))
    assert f.middle < 1
    assert f.earlier == 1.0
    assert earlier(sky(("normal", 8.0, 0.5), ("secure", 11.0, 0.65)), f, POLICY, START) is None


def test_a_level_that_comes_earlier_is_found_and_one_that_is_forecast_is_not():
    f = site_factor(pairs(20, 1.3))
    assert earlier(
        sky(("normal", 8.0, 0.4), ("normal", 9.0, 0.5), ("secure", 11.0, 0.61)), f, POLICY, START
    ) == Earlier("secure", START + 3600)
    assert earlier(sky(("normal", 8.0, 0.4), ("secure", 9.0, 0.61)), f, POLICY, START) is None
    assert earlier(sky(("secure", 9.0, 0.61), ("secure", 9.0, 0.7)), f, POLICY, START) == Earlier(
        "people-out", START + 3600
    )
    assert earlier(sky(("normal", None, None)), f, POLICY, START) is None


@settings(max_examples=60)
@given(
    st.lists(st.floats(0.0, 1.6), min_size=1, max_size=12), st.floats(0.3, 3.0), st.integers(0, 8),
)  # fmt: skip
def test_it_only_ever_warns_earlier(shares, ratio, begins):
    """Never of a level that is there already or forecast by then, and never for a site that is calmer than forecast."""
    f = factor_of([ratio] * 15)
    found = earlier(sky(*((POLICY.level(x), x, x) for x in shares)), f, POLICY, START + 3600 * begins)
    if found is not None:
        assert ratio > 1.0
        at = (found.at - START) // 3600
        before = [ORDER.index(POLICY.level(x)) for x in shares[begins : at + 1]]
        assert ORDER.index(found.level) > max(before)


def test_an_hour_of_forecast_and_meter_is_a_pair_in_the_record(tmp_path):
    """What was forecast when the hour began, and the highest gust of it as it is worth at 10 m."""
    heaven = Heaven(sky(("normal", 5.0, 0.3), ("normal", 6.0, 0.3), ("normal", 6.0, 0.3)))
    story = Story(tmp_path, weather=heaven, step=20.0)
    story.blow(lambda t: 4.0 if 1800 <= t < 1810 else 2.0 + 0.1 * (t % 3), 3640, 2.0)
    heaven.sky = sky(
        ("normal", 30.0, 0.3), ("normal", 30.0, 0.3), ("normal", 6.0, 0.3)
    )  # too late for the hour that runs
    with Record(path_of(story.path)) as r:
        (e,) = [e for e in r.entries() if e.event == "pair"]
    assert e.at == START + 3600
    assert e.data["forecast_m_s"] == pytest.approx(5.0, abs=0.05)
    assert e.data["speed_m_s"] == pytest.approx(story.session.scale.worth(4.0).gust, abs=0.06)
    assert story.reports[-1].pairs == 1


def test_an_hour_that_was_half_heard_is_no_pair(tmp_path):
    story = Story(tmp_path, weather=Heaven(sky(*[("normal", 5.0, 0.3)] * 3)), step=20.0)
    story.blow(2.0, 1200, 2.0)
    story.wait(1400)
    story.blow(2.0, 1100, 2.0)
    assert story.session.pairs == 0


def test_pairs_can_be_logged_by_hand_and_their_factor_is_printed_with_their_number(tmp_path, capsys):
    """ln 1.2 and ln 1.267 in turn: s = ln(19/18)/2 sqrt(12/11) = 0.0282, and 1.8 s sqrt(13/12) = 0.053 on each side of 1.233."""
    path = tmp_path / "site.toml"
    path.write_text(demo_text("asphalt"), encoding="utf-8")
    for i in range(12):
        args = [
            "log",
            str(path),
            "pair",
            f"{18 + i % 2} mph of 15 mph",
            "--who",
            "A. Lee",
            "--now",
            iso(START + 60 * i),
        ]
        assert main(args) == 0
    capsys.readouterr()
    main(["now", str(path), "--now", iso(START + 3600)])
    assert "1.23 (1.17 to 1.30, of 12) pairs" in " ".join(capsys.readouterr().out.split())
    assert main(["log", str(path), "pair", "18 mph", "--who", "A. Lee"]) == 2


def test_the_factor_of_the_site_warns_at_the_meter_once_and_raises_no_level(tmp_path):
    path = tmp_path / "site.toml"
    path.write_text(demo_text("asphalt"), encoding="utf-8")
    for i in range(12):
        main(
            [
                "log",
                str(path),
                "pair",
                f"{20 + i % 2} mph of 15 mph",
                "--who",
                "A. Lee",
                "--now",
                iso(START - 4000 + 60 * i),
            ]
        )
    heaven = Heaven(sky(("normal", 5.0, 0.3), ("normal", 9.0, 0.5), ("secure", 11.0, 0.65)))
    story = Story(tmp_path, path=path, weather=heaven)
    r = story.blow(2.0, 30)
    assert [e for _, e in story.events()].count("site") == 1
    (warning,) = [w for x in story.reports for w in x.warnings]
    assert "SECURE" in warning
    assert "of 12" in warning
    assert (r.seen.level, r.seen.alarm) == ("normal", None)
    out = json.loads(json.dumps(report_json(r)))
    assert out["site_factor"]["n"] == 12
    assert "of 12" in "\n".join(screen_lines(r, zone_in(story.session.d.outlook), "x"))


def test_gust_over_mean_of_the_site_against_the_table():
    """Of 20 spans of ten minutes with a gust of 1.6 times the mean; spans with a gap and calm ones do not count."""
    minutes = [Minute(START + 60 * i, 8.0 if i % 10 == 3 else 6.0, 5.0, None, "x") for i in range(200)]
    found = gustiness(minutes)
    assert (found.found.middle, found.found.n) == (pytest.approx(1.6), 20)
    assert 1.4 < found.table < 1.8
    assert gustiness([m for m in minutes if m.at % 600 != 0]) is None
    assert gustiness([Minute(m.at, 0.5, 0.3, None, "x") for m in minutes]) is None


def test_ratios_that_are_none_are_left_out():
    assert factor_of([np.inf, np.nan, 0.0, -1.0, *[1.1] * 11]) is None
    assert factor_of([np.inf, *[1.1] * 12]).n == 12
