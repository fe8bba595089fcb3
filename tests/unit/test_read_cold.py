"""What a page says first, and that two lines of one page do not ask for different things."""

import re

import pytest

from anchorage.cli.entry import main
from anchorage.demo import demo_text
from anchorage.deployment.reader import read_text
from anchorage.judging.gusts import lull, set_up_below
from anchorage.judging.plan import assess
from anchorage.paper.screen import raised_below, screen_lines

NOW = "2026-03-10T18:00:00Z"
ZONE = ("--zone", "America/Chicago")  # NOW is 13:00 there
MPH = 0.44704


class Site:
    """A demo as a file; what commands print as one line."""

    def __init__(self, folder, capsys):
        self.path, self.capsys = folder / "site.toml", capsys
        self.write()

    def write(self, *edits, name="asphalt"):
        text = demo_text(name)
        for a, b in edits:
            assert a in text
            text = text.replace(a, b)
        self.path.write_text(text)
        return self

    def run(self, command, *more, now=NOW):
        code = main([command, str(self.path), *more, *(("--now", now) if now else ())])
        out, err = self.capsys.readouterr()
        return code, " ".join(out.split()), " ".join(err.split())

    def outlook(self, *lines, more=()):
        return self.run("outlook", *(x for t in lines for x in ("--say", t)), *ZONE, *more)[1]

    def log(self, at, *more):
        assert self.run("log", *more, "--who", "lee", now=f"2026-03-10T{at}:00Z")[0] == 0


@pytest.fixture
def site(tmp_path, capsys):
    return Site(tmp_path, capsys)


def plan(*edits, name="asphalt"):
    text = demo_text(name)
    for a, b in edits:
        assert a in text
        text = text.replace(a, b)
    return assess(read_text(text)).plan


# two figures for one thing: the lull in which it is folded, the gusts that stop the work


def test_the_figure_of_the_lull_leads_wherever_it_comes_down(site):
    """11 mph by the record, 7 mph in a lull by the outlook, for the same shelter."""
    for at, *event in (("17:00", "placed", "11", "--each"), ("17:10", "setup"), ("17:20", "wind", "4 mph")):
        site.log(at, *event)
    before = site.outlook("until 19:00 gust 13 mph", "until 23:00 gust 30 mph", more=("--for", "people-in"))
    assert "START TAKING DOWN BY Tue 17:50 CDT" in before
    assert "ONLY IN A LULL under 9 mph" in before
    site.log("17:30", "coming-down")
    pages = [
        site.run("check", now=None)[1],
        site.run("check", "--full", now=None)[1],
        site.run("now", *ZONE)[1],
        site.run("now", "--aloud", *ZONE)[1],
        site.outlook("until 19:00 gust 8 mph"),
    ]
    for page in pages:
        assert 0 < page.find("in a lull under 9 mph") < page.find("in gusts from 12 mph")


@pytest.mark.parametrize("gust", [3.0, 6.0, 12.0, 20.0, 40.0])
def test_the_wind_to_raise_it_in_is_never_over_the_gust_to_set_up_below(gust):
    p = plan(('speed = "20 mph"', f'speed = "{gust:g} mph"'))
    below, words = set_up_below(p)
    under = lull(p, below)
    said = raised_below(p)
    assert words in said
    if under:
        numbers = [float(x) for x in re.findall(r"([\d.]+) mph", said)]
        assert numbers == sorted(numbers)
        assert p.half_built.bare_m_s < below
        assert said.index(under) < said.index(f"gusts below {words}")
    else:
        assert p.half_built.bare_m_s >= below
        assert said == f"below {words}"


def test_a_policy_for_setting_up_is_the_figure_of_every_page():
    p = plan(("[stock]", '[policy]\nsetup_gust = "5 mph"\n\n[stock]'))
    assert set_up_below(p)[0] == pytest.approx(5 * MPH)
    said = " ".join(" ".join(screen_lines(p)).split())
    assert "SET UP only below 5 mph; SECURE" in said
    assert "Raise it in a lull under 5 mph" in said


# a verdict and the order under it


def first_two(page):
    return page.partition("Hours, limit")[0]


def test_a_go_over_which_nothing_has_to_come_down_orders_nothing_down(site):
    page = first_two(site.outlook("until 06:00 gust 18 mph"))
    assert page.startswith("GO: work")
    assert "START TAKING DOWN" not in page
    assert "LEAVE IT UP: no hour here asks to take it down" in page
    assert "only in a lull under 9 mph" in page
    page = first_two(site.outlook("until 17:00 gust 8 mph", "until 06:00 gust 18 mph"))
    assert page.startswith("GO: work")
    assert "START TAKING DOWN" not in page
    assert "no hour here asks to take it down" in page
    assert "begins by Tue 15:50 CDT" in page  # 17:00 less 5, 10, 40 and 15 to spare


def test_an_order_to_take_it_down_stands_before_the_go_and_has_a_time(site):
    storm = ("until 17:00 gust 8 mph", "until 02:00 gust 18 mph", "until 06:00 gust 31 mph")
    page = first_two(site.outlook(*storm))
    assert page.startswith("START TAKING DOWN BY Tue 15:50 CDT (20:50 UTC). Until then GO: work")
    in_a_lull = ("until 22:00 gust 18 mph", "until 06:00 gust 31 mph")
    page = first_two(site.outlook(*in_a_lull, more=("--for", "people-in")))
    assert page.startswith("NO-GO from Tue 22:00")
    assert (
        "START TAKING DOWN BY Tue 20:50 CDT (Wed 01:50 UTC) (down 21:45), ONLY IN A LULL under 9 mph" in page
    )
    late = ("until 00:30 gust 18 mph", "until 06:00 gust 22 mph")
    page = first_two(site.outlook(*late, more=("--for", "people-in")))
    assert page.startswith("START TAKING DOWN IN A LULL under 9 mph, BY Tue 22:50 CDT")
    assert "Until then GO: stay up with people in" in page


def test_without_the_times_of_the_crew_an_order_has_the_time_that_it_comes_before(site):
    text = demo_text("asphalt")
    site.path.write_text(text[: text.index("[times]")])
    page = first_two(
        site.outlook("until 00:00 gust 18 mph", "until 06:00 gust 22 mph", more=("--for", "people-in"))
    )
    assert page.startswith("TAKE IT DOWN IN A LULL under 9 mph, BEFORE Wed 00:00 CDT")
    assert "START TAKING DOWN BEFORE Wed 00:00 CDT (05:00 UTC), ONLY IN A LULL under 9 mph" in page


def test_too_late_to_take_down_says_when_people_go(site):
    page = site.outlook("until 06:00 gust 60 mph", more=("--for", "people-in"))
    assert "TOO LATE TO TAKE DOWN: leave it up, people out now, then keep away" in page
