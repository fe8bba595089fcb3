"""The levels and how a gust is written against its limit, at and beside each boundary; the expected values are counted by hand."""

import math
from dataclasses import replace

import pytest

from anchorage.core import tables
from anchorage.demo import demo_text
from anchorage.deployment import policy
from anchorage.deployment.models import Margins
from anchorage.deployment.policy import (
    TIGHT,
    against,
    decimals,
    laxer,
    margins_ask,
    own_margins_of,
    percent,
    policy_of,
    share_of,
)
from anchorage.deployment.reader import read_text

P = policy_of()
MPH = 0.44704
NAN, INF = math.nan, math.inf


@pytest.mark.parametrize(
    ("gust", "limit", "share"),
    [
        (3, 4, 0.75),
        (0, 0, 0),
        (-1, 0, 0),
        (1, 0, INF),
        (1, -1, INF),
        (1, -0.5, INF),
        (0, -0.5, 0),
        (0, -1, 0),
        (NAN, 1, NAN),
        (1, NAN, NAN),
        (1, 0.5, 2),
    ],
)
def test_a_share(gust, limit, share):
    assert share_of(gust, limit) == pytest.approx(share, nan_ok=True)


@pytest.mark.parametrize(
    ("share", "level"),
    [(-1, "normal"), (0, "normal"), (0.6 - 2e-9, "normal"), (0.6 - 5e-10, "secure"), (0.6, "secure"), (0.8 - 2e-9, "secure"), (0.8 - 5e-10, "people-out"),
     (1 - 2e-9, "people-out"), (1 - 5e-10, "keep-away"), (7, "keep-away"), (INF, "keep-away"), (NAN, "unknown")],
)  # fmt: skip
def test_a_level(share, level):
    assert P.level(share) == level
    if math.isfinite(share):
        assert P.level_of(10 * share, 10) == level


def test_the_width_of_rounding_itself_has_reached_it_and_is_not_looser():
    assert [P.level(k - TIGHT) for k in (0.6, 0.8, 1.0)] == ["secure", "people-out", "keep-away"]
    assert file({"[policy]": f'secure = {0.6 + TIGHT!r}\nsigned_by = "B. Signer"'}).looser == ()
    assert file({"[policy]": f'secure = {0.6 + 2 * TIGHT!r}\nsigned_by = "B. Signer"'}).looser == ("secure",)


def test_two_decimals_at_most_and_nearer_to_a_level_the_gust_is_written_under_it():
    a = against(P, 1.0 - 2e-9, 1.0, "si")
    assert (a.level, a.digits, str(a.words)) == ("people-out", 2, "0.98 of 1.0 m/s, 98 %")


def test_where_the_levels_begin_and_what_each_use_may_reach():
    assert [P.begins(k) for k in policy.RANK] == [0, 0.6, 0.8, 1.0, 0]
    assert [P.share_for(k) for k in ("working", "set-up", "people-in", "empty")] == [0.6, 0.6, 0.8, 1.0]
    assert (P.gust, P.setup_gust, P.margin, P.all_clear_wait, P.thunder_wait) == (None, None, 900, 1800, 1800)
    assert (P.looser, P.notes, P.notice, P.signed_by) == ((), (), None, "")
    assert str(P.source) == tables.row("level", "secure").cite()


@pytest.mark.parametrize(("share", "whole"), [(0, 0), (0.7999999, 79), (0.8, 80), (0.29, 29), (0.57, 57), (1.155, 115), (0.99999, 99), (1.0 - 2e-9, 99), (1.0 - 5e-10, 100)])  # fmt: skip
def test_per_cent_go_down(share, whole):
    assert percent(share) == whole


def file(more):
    """The clay demo with keys of [policy] and others."""
    text = demo_text("clay")
    for head, keys in more.items():
        text = (
            text.replace(f"{head}\n", f"{head}\n{keys}\n", 1)
            if f"{head}\n" in text
            else f"{text}\n{head}\n{keys}\n"
        )
    return policy_of(read_text(text, "test"))


@pytest.mark.parametrize(
    ("keys", "secure", "out", "looser", "notes"),
    [
        ("secure = 0.5", 0.5, 0.8, (), 0),
        ("people_out = 0.7", 0.6, 0.7, (), 0),
        ("people_out = 0.5", 0.5, 0.5, (), 0),
        ('secure = 0.7\nsigned_by = "B. Signer"', 0.7, 0.8, ("secure",), 1),
        ('people_out = 0.85\nsigned_by = "B. Signer"', 0.6, 0.85, ("people-out",), 1),
        (
            'secure = 0.65\npeople_out = 0.85\nsigned_by = "B. Signer"',
            0.65,
            0.85,
            ("secure", "people-out"),
            1,
        ),
    ],
)
def test_levels_of_ones_own(keys, secure, out, looser, notes):
    p = file({"[policy]": keys})
    assert (p.secure, p.people_out, p.keep_away, p.looser, len(p.notes)) == (secure, out, 1.0, looser, notes)
    assert str(p.source).startswith("your own levels, from the file")
    assert ("signed by B. Signer" in str(p.source)) == ("signed_by" in keys)
    assert (p.notice is not None) == bool(looser)


def test_a_level_over_the_most_is_the_most_and_said():
    """Whoever signs: no use goes over the most of the table."""
    most = {k: tables.row("level-most", k).value for k in ("secure", "people-out")}
    p = file({"[policy]": 'secure = 0.99\npeople_out = 0.99\nsigned_by = "B. Signer"'})
    assert (p.secure, p.people_out) == (min(most.values()), most["people-out"])
    assert sum("whoever signs" in str(n) for n in p.notes) == sum(m < 0.99 for m in most.values())
    assert str(p.notes[0]).startswith("Looser than the published practice")
    just = file({"[policy]": f'people_out = {most["people-out"]}\nsigned_by = "B. Signer"'})
    assert not any("whoever signs" in str(n) for n in just.notes)


def test_the_other_keys_of_the_policy():
    p = file({"[policy]": 'gust = "30 mph"\nsetup_gust = "18 mph"', "[times]": 'margin = "20 min"'} if "margin" not in demo_text("clay") else {"[policy]": 'gust = "30 mph"\nsetup_gust = "18 mph"'})  # fmt: skip
    assert (p.gust, p.setup_gust) == pytest.approx((30 * MPH, 18 * MPH))
    assert p.margin == 1200


def test_what_is_written_of_no_limit():
    for limit in (None, INF, NAN):
        a = against(P, 10 * MPH, limit, "us")
        assert (a.share, a.percent, a.limit, a.words) == (None, None, "no limit found", "10 mph")
    assert against(P, 10 * MPH, None, "us").level == "unknown"
    assert against(P, 10 * MPH, INF, "us").level == "normal"
    nothing = against(P, 10 * MPH, 0.0, "us")
    assert (nothing.level, nothing.percent, nothing.words) == ("keep-away", None, "10 of 0 mph")


@pytest.mark.parametrize(
    ("gust", "limit", "words", "marks", "digits"),
    [
        (20, 40, "20 of 40 mph, 50 %", ("24 mph", "32 mph", "40 mph"), None),
        (24, 40, "24 of 40 mph, 60 %", ("24 mph", "32 mph", "40 mph"), None),
        (23.9, 40, "23.9 of 40 mph, 59 %", ("24 mph", "32 mph", "40 mph"), 1),
        (39.95, 40, "39.95 of 40 mph, 99 %", ("24 mph", "32 mph", "40 mph"), 2),
        (41, 40, "41 of 40 mph, 102 %", ("24 mph", "32 mph", "40 mph"), None),
    ],
)
def test_as_many_decimals_as_it_takes(gust, limit, words, marks, digits):
    a = against(P, gust * MPH, limit * MPH, "us")
    assert (a.words, (a.secure, a.people_out, a.keep_away), a.digits) == (words, marks, digits)
    assert decimals(P, [(20 * MPH, 40 * MPH), (gust * MPH, limit * MPH)], "us") == digits


def test_decimals_of_a_page():
    assert decimals(P, [], "us") is None
    a = against(P, 20 * MPH, 40 * MPH, "us", least=1)
    assert (a.words, a.digits) == ("20.0 of 40.0 mph, 50 %", 1)
    assert against(P, 39.95 * MPH, 40 * MPH, "us", least=1).digits == 2


@pytest.mark.parametrize(
    ("what", "system", "value", "limit", "words"),
    [("load", "us", 95.0, 192.0, "2.0 of 4.0 psf, 50 %"), ("load", "si", 100, 200, "100 of 200 Pa, 50 %"), ("depth", "us", 0.0508, 0.1016, "2.0 of 4.0 in, 50 %"), ("depth", "si", 0.05, 0.10, "5 of 10 cm, 50 %")],
)  # fmt: skip
def test_snow_is_written_in_its_own_unit(what, system, value, limit, words):
    assert against(P, value, limit, system, what).words == words


LUMPED = {"wind": 1.5, "shelter": 1.0, "ballast": 1.0, "friction": 1.0, "stake": 0.75, "line": 1.0}
STRENGTH = {"wind": 0.6, "shelter": 0.6, "ballast": 0.6, "friction": 1.0, "stake": 0.5, "line": 0.6}


@pytest.mark.parametrize(
    ("level", "given", "less"),
    [
        ("service", {}, {}),
        ("strength", STRENGTH, {}),
        (
            "service",
            {"wind": 1.2, "shelter": 0.8, "ballast": 0.8, "stake": 0.6},
            {},
        ),  # taken off what resists instead
        ("service", {"wind": 1.2, "shelter": 1.0, "ballast": 0.8, "stake": 0.6}, {"wind": 1.2}),
        ("service", {"wind": 1.2, "shelter": 0.8, "ballast": 0.8, "stake": 0.7}, {"wind": 1.2}),
        ("strength", STRENGTH | {"shelter": 0.7}, {"shelter": 0.7}),
        ("strength", STRENGTH | {"wind": 0.7, "shelter": 0.7}, {}),
        ("service", {"line": 0.9}, {"line": 0.9}),
        ("service", {"stake": 0.8}, {"stake": 0.8}),
    ],
)
def test_margins_of_ones_own_that_ask_less(level, given, less):
    """A factor on the wind of 1.2 is what 0.8 of all that resists makes of 1.5; only what is over that asks less."""
    own = Margins(set="own", level=level, source="a copy", **{**LUMPED, **given})
    assert laxer(own) == less
    assert laxer(Margins(set="lumped-1.5")) == {}


def test_who_answers_for_margins_is_named_only_where_they_ask_less():
    said = replace(P, laxer="wind 1.2", signed_by="B. Signer")
    assert "B. Signer" in str(own_margins_of(said))
    assert own_margins_of(replace(said, laxer="")) is None
    assert own_margins_of(replace(said, signed_by="")) is None
    assert [code for code, _ in margins_ask(replace(said, signed_by=""))] == ["margins-own"]
    assert margins_ask(said) == margins_ask(replace(said, laxer="", signed_by="")) == []


def test_where_the_levels_stand_is_said_and_looser_ones_first():
    """One key of the older place is enough to say so, and what is looser stands before it."""
    for keys in ("secure = 0.3", "people_out = 0.4"):
        assert [str(n).startswith("[outlook]") for n in file({"[outlook]": keys}).notes] == [True]
    p = file({"[outlook]": "secure = 0.7", "[policy]": 'signed_by = "B. Signer"'})
    assert [str(n).split()[0] for n in p.notes] == ["Looser", "[outlook]"]
    assert p.out().signed_by == "B. Signer"
    assert policy_of().out().signed_by is None
