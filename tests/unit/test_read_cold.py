"""What a page says first, and that two lines of one page do not ask for different things."""

import re

import pytest

from anchorage.cli.entry import main
from anchorage.demo import demo_text
from anchorage.deployment.policy import against, policy_of
from anchorage.deployment.reader import read_text
from anchorage.judging.gusts import lull, set_up_below
from anchorage.judging.plan import assess
from anchorage.paper.screen import raised_below, screen_lines
from tui.help import HELP

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
    assert page.startswith("NO-GO: set up, only in gusts below 12 mph. Once up GO: work")
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
    assert "Until then NO-GO: set up, only in gusts below 12 mph. Once up GO: stay up with people in" in page


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


# what is overdue


@pytest.fixture
def stands(site):
    for at, *event in (
        ("10:00", "placed", "12", "--each"),
        ("10:10", "setup"),
        ("10:20", "inspection", "passed"),
        ("10:30", "wind", "8 mph"),
    ):
        site.log(at, *event)
    return site


def now(site, at, *more):
    return site.run("now", *more, *ZONE, now=f"2026-03-10T{at}:00Z")


def test_a_reading_older_than_its_pace_is_asked_for_first_and_is_no_go(stands):
    """An hour below SECURE (tables/reading.toml): at 80 min it still led with NORMAL and People may stay in."""
    code, said, _ = now(stands, "11:29")
    assert (code, said.startswith("NORMAL, as of")) == (0, True)
    assert "People may stay in" in now(stands, "11:29", "--aloud")[1]
    code, said, _ = now(stands, "11:50")
    assert code == 3
    assert said.startswith(
        "CANNOT SAY until this is done: wind reading (the last is 80 min old). Before that it was: NORMAL"
    )
    aloud = now(stands, "11:50", "--aloud")[1]
    assert "People may stay in" not in aloud
    assert "Level: CANNOT SAY" in aloud
    assert "wind reading (the last is 80 min old)" in aloud


def test_an_overdue_inspection_is_asked_for_first_and_is_no_go(stands):
    stands.log("18:10", "wind", "8 mph")  # the shift was looked at at 10:20: 8 h
    assert now(stands, "18:19")[0] == 0
    code, said, _ = now(stands, "18:25")
    assert code == 3
    assert said.startswith(
        "CANNOT SAY until this is done: inspection of the shift. Before that it was: NORMAL"
    )
    stands.log("18:30", "inspection", "passed")
    assert now(stands, "18:31")[0] == 0


def test_what_is_overdue_makes_no_worse_level_better(stands):
    stands.log("10:40", "wind", "25 mph")
    code, said, _ = now(stands, "13:00")
    assert code == 1
    assert re.match(r"(PEOPLE OUT|KEEP AWAY)", said)


# reasons that decide


def test_ground_that_counts_as_ice_is_a_reason_on_the_first_screen(site):
    site.write(('temperature = "45 degF"', 'temperature = "25 degF"'))
    why = site.run("check", now=None)[1].partition("WHY")[2].partition("PLACE")[0]
    assert "the surface counts as ice" in why
    assert "2 degC / 35.6 degF" in why
    assert (
        "counts as ice"
        in site.outlook("until 20:00 gust 8 mph").partition("Why:")[2].partition("Conditions:")[0]
    )
    assert "counts as ice" not in Site.run(site.write(), "check", now=None)[1]


def test_what_was_not_understood_is_said_once_and_one_way(site):
    """It was thunder in the hours, hours that are unknown in a note, and a forecast that never speaks of thunder."""
    page = site.outlook("no thunder until 8", "until 20:00 gust 8 mph")
    why = page.partition("Why:")[2].partition("Conditions:")[0]
    assert "thunder: leave for a building" in why
    assert (
        "'no thunder until 8' not understood: a danger that it names counts, and no hour of it is a go" in why
    )
    assert page.count("'no thunder until 8'") == 1
    assert "never speaks of it" not in page
    assert "there may be more of it than this forecast speaks of" in page
    assert "never speaks of it" in site.outlook("until 20:00 gust 8 mph")
    snow = site.outlook("until 20:00 gust 8 mph", "from 18:00 snow 2 in")
    assert "never speaks of amounts" not in snow
    assert "more may fall than this forecast speaks of" in snow


def test_what_to_do_at_secure_is_listed_where_that_level_comes(site):
    assert "At SECURE:" not in site.outlook("until 06:00 gust 8 mph")
    assert "At SECURE:" in site.outlook("until 06:00 gust 24 mph")


# counts that no point can have


LASHED = (('how = "standing-tied"', 'how = "lashed-to-leg"'), ('speed = "20 mph"', 'speed = "40 mph"'), ("sandbags = 100", "sandbags = 900"))  # fmt: skip


def test_counts_that_a_point_cannot_have_are_said_before_any_gust_and_give_none(site):
    """84 bags to a leg that takes 12 (tables/site.toml), and the gust of the 84."""
    site.write(*LASHED)
    p = plan(*LASHED)
    (n,) = p.does_not_do
    assert (n.asked, n.most) == (84, 12)
    assert p.put_up_m_s == pytest.approx(n.gust_m_s)
    assert n.gust_m_s < p.limit.gust_m_s
    told = "NOT POSSIBLE so: 84 are asked for at a point, and at most 12 go there"
    for command in ("check", "limit", "pack"):
        said = site.run(command, now=None)[1]
        assert said.find(told) > 0, command
        holds = said.find("olds to ")
        assert holds < 0 or said.find(told) < holds, command
    said = site.run("check", now=None)[1]
    assert "Holds to 26 mph with only as many as a point can have, 12 at each." in said
    assert "KEEP AWAY from 26 mph" in said
    assert "limit 26 mph (the most that a point can have)" in site.outlook("until 20:00 gust 8 mph")


def test_a_point_holds_no_more_for_what_it_cannot_have():
    """Twelve to a leg, typed as what is placed, are as good as what is asked for and cut to twelve."""
    cut = plan(*LASHED).put_up_m_s
    as_built = plan(*LASHED, ('kind = "ballast"', 'kind = "ballast"\nplaced = 12'))
    assert not as_built.does_not_do
    assert cut == pytest.approx(as_built.put_up_m_s)


def test_pack_says_of_another_count_that_it_cannot_be_put_there(site):
    site.write(name="mixed")
    assert "takes 78: NOT POSSIBLE, that is more than a point can have" in site.run("pack", now=None)[1]


# the command line


def test_what_is_read_out_says_whose_clock_it_is(stands):
    said = stands.run("now", "--aloud", now="2026-03-10T11:00:00Z")[1]
    assert "at 10:30" in said
    assert said.endswith("All times are UTC.")
    assert now(stands, "11:00", "--aloud")[1].endswith("All times are CDT.")
    assert "at 05:30" in now(stands, "11:00", "--aloud")[1]


def test_an_event_may_stand_after_the_options(site):
    """It was not understood, and the hint spoke of quotes."""
    who = ("--who", "lee")
    for words in (
        (*ZONE, *who, "placed", "12", "--each"),
        ("--who=lee", "placed", *ZONE, "12", "--each"),
        ("--each", "placed", "12", *who),
        ("placed", "12", "--each", *who),
    ):
        code, said, _ = site.run("log", *words)
        assert (code, "placed 12 at each point" in said) == (0, True), words
    assert main(["log", *ZONE, str(site.path), "note", "dry", *who]) == 0
    capsys = site.capsys
    capsys.readouterr()
    assert main(["log", str(site.path), "--find"]) == 0  # what may or may not have a value stays where it is
    capsys.readouterr()


def test_a_count_that_is_refused_is_not_told_to_say_what_it_said(site):
    code, _, why = site.run("log", "placed", "200", "--in-all", "--who", "lee")
    assert code == 2
    assert "that makes 200 sandbags, and [stock] says 100 were brought" in why
    assert "--in-all" not in why
    assert "--in-all" in site.run("log", "placed", "200", "--each", "--who", "lee")[2]


def test_counts_that_differ_by_point_are_named_as_people_write_them(site):
    site.log("10:00", "placed", "12", "--each")
    said = site.run("check", "--placed", "9", now=None)[1]
    assert "{" not in said
    assert "9 placed at each point instead of 12" in said


# figures


@pytest.mark.parametrize("gust", [20.0, 20.4, 23.9, 24.0, 31.99, 39.95])
@pytest.mark.parametrize("limit", [33.34, 34.05, 40.0, 40.002])
def test_figures_have_no_noughts_for_the_other_ones_sake_and_none_is_rounded_the_wrong_way(gust, limit):
    """20.000 of 40.002 mph, SECURE from 24.001: only what needs its decimals has them."""
    policy = policy_of()
    a = against(policy, gust * MPH, limit * MPH, "us")
    blows, holds = (float(x.split()[0]) for x in a.numbers)
    nearer = (
        a.digits == 2 and gust - 0.04 <= blows < gust
    )  # to a level than two decimals tell: a figure before it
    assert nearer or blows >= gust - 1e-9
    assert holds <= limit + 1e-9
    assert nearer or len(a.numbers[0]) <= len(f"{gust:g}")  # what has two decimals is written with no more
    for name, mark in (("secure", a.secure), ("people-out", a.people_out), ("keep-away", a.keep_away)):
        begins = float(mark.split()[0])
        assert begins <= policy.begins(name) * limit + 1e-9
        assert (blows >= begins) == (gust >= policy.begins(name) * limit - 1e-9)
        assert (blows >= policy.begins(name) * holds * (1 - 1e-9)) == (blows >= begins)


def test_other_gusts_of_a_plan_have_one_decimal_at_the_most():
    said = " ".join(screen_lines(plan(('speed = "20 mph"', 'speed = "20.4 mph"'), ('kind = "ballast"', 'kind = "ballast"\nplaced = 11'))))  # fmt: skip
    assert "Gust 20.4 of 34.05 mph, 59 %: NORMAL" in said
    assert "gusts below 12.9 mph" in said


def test_the_help_on_who_signs_names_all_that_is_signed_for():
    assert "margins" in str(HELP["policy.signed_by"][0])
