"""The rule of an hour, the latest times and the windows, at and beside each boundary; every expected value is counted by hand.

Levels at 0.6, 0.8 and 1 of the limit. An hour in a sequence is a letter: n normal, s secure, o people-out, k keep-away, ? unknown.
"""

from types import SimpleNamespace as Made

import numpy as np
import pytest

from anchorage.core.units import read
from anchorage.deployment.models import Times
from anchorage.deployment.policy import TIGHT, policy_of
from anchorage.outlook import rule
from anchorage.outlook.deadlines import (
    deadlines,
    earliest_fit,
    leads_of,
    longest_go,
    stay,
    while_coming_down,
    windows,
)

P = policy_of()
N, S, OUT, K, U = rule.NORMAL, rule.SECURE, rule.PEOPLE_OUT, rule.KEEP_AWAY, rule.UNKNOWN
GO, MAYBE, NO = rule.GO, rule.CANNOT_SAY, rule.NO_GO
NAN, INF = float("nan"), float("inf")
LETTER = dict(zip("nsok?", range(5), strict=True))


def ranks(text):
    return np.array([LETTER[c] for c in text], np.int8)


@pytest.mark.parametrize(
    ("value", "limit", "share"),
    [(3, 4, 0.75), (0, 0, 0), (-1, 5, 0), (5, 0, INF), (0.5, 0.0, INF), (5, -1, INF), (5, -0.0, INF), (5, -0.5, INF), (1, 0.5, 2), (NAN, 5, NAN), (NAN, 0, NAN), (5, NAN, NAN), (0, NAN, 0), (5, INF, 0)],
)  # fmt: skip
def test_a_share_of_a_limit(value, limit, share):
    assert rule.share_of(value, limit) == pytest.approx(share, nan_ok=True)


@pytest.mark.parametrize(
    ("share", "rank"),
    [(0, N), (0.5999, N), (0.6 - 2e-9, N), (0.6 - 5e-10, S), (0.6, S), (0.7999, S), (0.8 - 2e-9, S), (0.8 - 5e-10, OUT), (0.9999, OUT), (1 - 2e-9, OUT), (1 - 5e-10, K), (9, K), (INF, K), (NAN, rule.ABSENT)],
)  # fmt: skip
def test_a_level_begins_at_its_share_and_not_before(share, rank):
    """What is nearer to it than the width of rounding, or just that near, has reached it."""
    ends = [k - TIGHT for k in (P.secure, P.people_out, P.keep_away)]
    assert rule.rank_of(ends, P).tolist() == [S, OUT, K]
    assert rule.rank_of([share], P)[0] == rank
    assert rule.snow_rank([share], [True], P)[0] == rank
    assert rule.snow_rank([share], [False], P)[0] == rule.ABSENT


@pytest.mark.parametrize(
    ("depth", "most", "rank"),
    [(0, 0.1, rule.ABSENT), (-0.1, 0.1, rule.ABSENT), (0.01, 0.1, N), (0.06, 0.1, S), (0.08, 0.1, OUT), (0.1, 0.1, OUT), (0.5, 0.1, OUT), (0.5, None, rule.ABSENT), (0.5, 0.0, OUT)],
)  # fmt: skip
def test_a_rule_of_depth_empties_and_no_more(depth, most, rank):
    assert rule.depth_rank([depth], most, P)[0] == rank


def test_causes_and_gaps():
    assert rule.ABSENT < N  # what is not there is beneath what is normal
    assert rule.flag_rank([True, False]).tolist() == [OUT, rule.ABSENT]
    assert rule.known_of([np.array([-1, 1, 3], np.int8), np.array([-1, 2, 0], np.int8)]).tolist() == [
        N,
        OUT,
        K,
    ]
    assert rule.level_of(ranks("nsok"), [True] * 4).tolist() == [U, U, OUT, K]
    assert rule.level_of(ranks("nsok"), [False] * 4).tolist() == [N, S, OUT, K]


TABLE = {
    "working": [(N, GO), (S, NO), (OUT, NO), (K, NO)],
    "people-in": [(N, GO), (S, GO), (OUT, NO), (K, NO)],
    "empty": [(N, GO), (S, GO), (OUT, GO), (K, NO)],
    "set-up": [(N, GO), (S, NO), (OUT, NO), (K, NO)],
}


def verdict(use, level, known=None, share=0.1, gust=5.0, complete=True, thunder=False, half=None):
    of = {"known": np.array([level if known is None else known], np.int8), "share": [share], "gust": [gust], "complete": [complete], "thunder": [thunder]}  # fmt: skip
    return rule.verdict_of(use, np.array([level], np.int8), half_built=half, **of)[0]


@pytest.mark.parametrize("use", TABLE)
def test_the_verdict_of_each_use_at_each_level(use):
    for level, found in TABLE[use]:
        assert verdict(use, level) == found
        # an hour that is unknown is as bad as what is known of it, and never go
        assert verdict(use, U, known=level) == max(found, MAYBE)


@pytest.mark.parametrize(
    ("more", "found"),
    [({"share": 1 - 2e-9}, GO), ({"share": 1.0 - TIGHT}, NO), ({"share": 1 - 5e-10}, NO), ({"share": 1.0}, NO), ({"share": NAN}, GO), ({"thunder": True}, MAYBE), ({"thunder": True, "share": 1.2}, NO),
     ({"complete": False}, MAYBE), ({"complete": False, "thunder": True}, MAYBE), ({"complete": False, "share": 1.5}, NO)],
)  # fmt: skip
def test_empty_at_people_out(more, found):
    assert verdict("empty", OUT, **more) == found
    if more == {"complete": False}:
        assert [verdict("empty", k, complete=False) for k in (N, S, K)] == [GO, GO, NO]


@pytest.mark.parametrize(
    ("gust", "half", "found"),
    [(5, None, GO), (5, [6], GO), (6, [6], NO), (7, [6], NO), (NAN, [6], GO), (NAN, None, GO)],
)
def test_setting_up_by_what_the_half_built_shelter_holds(gust, half, found):
    assert verdict("set-up", N, gust=gust, half=half) == found
    assert verdict("set-up", U, known=N, gust=gust, half=half) == max(found, MAYBE)
    assert verdict("set-up", S, gust=gust, half=half) == NO


@pytest.mark.parametrize(
    ("level", "known", "said", "inside", "acted"),
    [
        ("n?n", "nnn", "", 3, "nnn"),
        ("n?s", "nnn", "", 3, "nss"),
        ("s?n", "nnn", "", 3, "ssn"),
        ("s??k", "nnnn", "", 4, "skkk"),
        ("n??n", "nnnn", "", 4, "nnnn"),
        ("n???n", "nnnnn", "", 5, "nooon"),
        ("n?n", "nsn", "", 3, "nsn"),
        ("n??", "nnn", "", 3, "noo"),
        ("n??", "nnn", "", 2, "noo"),
        ("n??", "nsn", "", 1, "nsn"),
        ("nn?", "nnn", "", 2, "nnn"),
        ("nn?", "nnn", "", 3, "nno"),
        ("?n", "nn", "", 2, "nn"),
        ("?", "n", "", 1, "o"),
        ("?", "n", "", 0, "n"),
        ("k?n", "nnn", "", 3, "kkn"),
        ("n?n", "nnn", "1", 3, "non"),
        ("n??n", "nnnn", "1", 4, "noon"),
        ("n??n", "nnnn", "2", 4, "noon"),
        ("n?n", "nnn", "0", 3, "nnn"),
        ("n?n?n", "nnnnn", "1", 5, "nonnn"),
        ("?nn?", "nnnn", "", 2, "nnnn"),
        ("n???k", "nnnnk", "", 5, "noook"),
        ("n???n", "nnknn", "", 5, "nokon"),
        ("s?k?n", "sskkn", "", 5, "skkkn"),
        ("n??????", "nnnnnnn", "", 1, "nnnnnnn"),
        ("?nk", "nnk", "", 3, "nnk"),
        ("?s", "ns", "", 2, "ss"),
        ("s??n", "snnn", "", 4, "sssn"),
        ("??n", "nnn", "", 3, "nnn"),
        ("???n", "nnnn", "", 4, "ooon"),
        ("nn?s", "nnns", "", 2, "nnss"),
        ("ns??", "nsnn", "", 1, "nsnn"),
        ("s??", "snn", "", 1, "snn"),
    ],
)
def test_what_an_unknown_hour_is_acted_upon_as(level, known, said, inside, acted):
    told = np.array([str(i) in said for i in range(len(level))])
    found = rule.acted(ranks(known), ranks(level), told, inside)
    assert "".join("nsok?"[k] for k in found) == acted
    many = rule.acted(*(np.stack([x, x[::1]], axis=1) for x in (ranks(known), ranks(level), told)), inside)
    assert (many == found[:, None]).all()


@pytest.mark.parametrize(
    ("level", "before", "under", "after"),
    [(N, False, False, False), (N, True, True, False), (S, False, False, False), (S, True, True, True), (OUT, False, False, True), (OUT, True, False, True),
     (K, False, False, True), (K, True, False, True), (U, False, False, False), (U, True, True, True)],
)  # fmt: skip
def test_the_wait_after_people_out(level, before, under, after):
    now, then = rule.waits(np.array([level]), [before])
    assert (bool(now[0]), bool(then[0])) == (under, after)


@pytest.mark.parametrize(
    ("level", "before", "under", "after"),
    [(N, False, False, False), (N, True, True, False), (S, True, True, True), (S, False, False, False), (U, False, False, True), (U, True, False, True), (OUT, True, True, True)],
)  # fmt: skip
def test_the_wait_after_unknown_hours(level, before, under, after):
    now, then = rule.after_unknown(np.array([level]), [before])
    assert (bool(now[0]), bool(then[0])) == (under, after)


# The latest times: hours of 3600 s from 0; a crew that notifies in 5, gets people out in 10 and strikes in 40 minutes; 15 to spare.

HOUR, MIN = 3600, 60


def times(**minutes):
    return Times(**{k: read("time", f"{v} min") for k, v in minutes.items()})


CREW = {"notify": 5, "people_out": 10, "strike": 40}


def hours(text, gusts=None, *, half=None, bare=None, known=None, by="gust", far=99, begin=0):
    out = []
    for i, c in enumerate(text):
        gust = 1.0 if gusts is None else gusts[i]
        uses = {"people-in": "go" if c in "ns" else "no-go", "set-up": "go" if c == "n" else "no-go"}
        hour = Made(start=begin + i * HOUR, end=begin + (i + 1) * HOUR, winds=[Made(gust=gust)], outlook_only=i >= far)  # fmt: skip
        rank = LETTER[c]
        out.append(Made(hour=hour, acts_rank=rank, known_rank=rank if known is None else known, level=rule.NAMES[rank], governed_by=by, uses=uses, ground=Made(half_built=half, bare=bare)))  # fmt: skip
    return out


def at(found):
    return [None if d.at is None else d.at / MIN for d in found]


def test_each_deadline_counts_back_from_its_own_hour():
    """Secure at 3 h: 180 - 5 - 15; people out at 4 h: 240 - 5 - 10 - 15; strike from 3 h: 180 - 5 - 10 - 40 - 15."""
    found = deadlines(hours("nnnso"), times(**CREW), 0)
    assert at(found) == [160, 210, 110]
    assert [d.reached for d in found] == [3 * HOUR, 4 * HOUR, 3 * HOUR]
    assert [d.exact for d in found] == [160 * MIN, 210 * MIN, 110 * MIN]
    assert not any(d.note.past for d in found)
    assert [d.note.done_by[11:16] for d in found] == ["02:45", "03:45", "02:45"]
    assert [str(d.note.because) for d in found] == ["gust"] * 3
    assert found[2].note.asked


def test_what_is_not_reached_asks_for_no_time_to_take_down_and_is_of_no_far_hour():
    found = deadlines(hours("nn", far=0), times(**CREW), 0)
    assert not found[2].note.asked  # how long taking down takes is nothing to ask about yet
    assert [d.note.outlook_only for d in found] == [False] * 3
    assert [d.note.outlook_only for d in deadlines(hours("no", far=1), times(**CREW), 0)] == [True] * 3


def test_a_deadline_stands_on_the_five_minutes_before():
    found = deadlines(hours("ns"), times(notify=7, people_out=0, strike=0), 0)
    assert [d.exact / MIN for d in found[::2]] == [38, 38]
    assert at(found) == [35, None, 35]
    secured = deadlines(hours("ns"), times(notify=5, people_out=0, strike=0, secure=20), 0)[0]
    assert (secured.at, secured.note.done_by[11:19]) == (20 * MIN, "00:45:00")
    assert at(deadlines(hours("ns"), times(notify=5, people_out=0, strike=0, margin=30), 0))[0] == 25
    assert at(deadlines(hours("ns"), times(notify=5, people_out=0, strike=0, margin=0), 0))[0] == 55


def test_what_takes_no_time_takes_none():
    """60 - 5 - 15 is 40, done 5 later: people who are out at once and a shelter that is down at once add nothing."""
    found = deadlines(hours("no"), times(notify=5, people_out=0, strike=0), 0)
    assert at(found) == [40, 40, 40]
    assert [d.note.done_by[11:19] for d in found] == ["00:45:00"] * 3


def test_what_is_reached_already_is_past():
    found = deadlines(hours("s"), times(**CREW), 100)
    assert [d.note.past for d in found] == [True, False, True]
    assert found[0].reached == 100
    late = deadlines(hours("ns"), times(**CREW), 41 * MIN)
    assert [d.note.past for d in late] == [True, False, True]  # 60 - 5 - 15 is 40
    assert not deadlines(hours("ns"), times(**CREW), 40 * MIN)[0].note.past
    asked = deadlines(hours("ns"), times(), 0)[0]
    assert (asked.at, asked.exact, asked.note.missing, asked.note.past) == (None, None, ["notify"], False)
    assert deadlines(hours("s"), times(), 0)[0].note.past
    assert deadlines(hours("ns"), times(), 0)[2].note.missing == ["notify", "people_out", "strike"]


def test_striking_begins_by_the_half_built_shelter_too():
    for gust, found in ((7.9, None), (8.0, 50), (9.0, 50)):
        assert at(deadlines(hours("nnn", [1, 1, gust], half=8.0), times(**CREW), 0))[2] == found
    by = str(deadlines(hours("nnn", [1, 1, 9], half=8.0), times(**CREW), 0)[2].note.because)
    assert by == "the gust is over the limit for a half-built shelter"
    assert at(deadlines(hours("nnn", [1, 1, 9]), times(**CREW), 0)) == [None] * 3


def test_why_a_level_is_reached():
    def why(**k):
        return str(deadlines(hours("no", **k), times(**CREW), 0)[1].note.because)

    assert why(known=1) == "nobody can say what comes"
    assert why(by="thunder") == "thunder"
    assert why(by="record") == "a reading in the record"
    assert why(by="anything else") == "gust"
    assert {why(by=x) for x in ("warning", "roof snow", "snow depth", "water on the roof")} == {"warning", "roof snow", "snow depth", "water on the roof"}  # fmt: skip


def test_too_late_by_the_bare_shell_leaves_the_lull_before_the_level():
    """Half built holds 4, the gust is 5 now: past. Secure comes at 3 h: 180 - 70 minutes are left to find a lull."""
    found = deadlines(hours("nnns", [5] * 4, half=4.0, bare=3.0), times(**CREW), 0)[2]
    assert found.note.past
    assert (found.note.lull_m_s, found.note.lull_by[11:16]) == (3.0, "01:50")
    none = deadlines(hours("nnns", [5] * 4, half=4.0), times(**CREW), 0)[2].note
    assert (none.lull_m_s, none.lull_by) == (None, None)
    assert (
        deadlines(hours("ns", [5] * 2, half=4.0, bare=3.0), times(**CREW), 0)[2].note.lull_m_s is None
    )  # 60 - 70 < 0
    assert deadlines(hours("sss", [5] * 3, half=4.0, bare=3.0), times(**CREW), 0)[2].note.lull_m_s is None
    assert (
        deadlines(hours("nnns", [1, 1, 1, 5], half=4.0, bare=3.0), times(**CREW), 0)[2].note.lull_m_s is None
    )
    # the shell of the hour in which it is reached, not of the one that ends then
    turned = hours("nnns", [1, 5, 5, 5], half=4.0, bare=3.0)
    turned[0].ground.bare = 2.0
    assert deadlines(turned, times(**CREW), 0)[2].note.lull_m_s == 3.0


def test_coming_down_has_one_time_left():
    def left(judged):
        return at(while_coming_down(judged, times(**CREW), 0))

    assert left(hours("nno", [1, 1, 9], half=8.0)) == [None, None, 105]  # 120 - 15
    assert left(hours("nno", [1, 1, 8], half=8.0))[2] == 105
    assert left(hours("nno", [1, 1, 7], half=8.0))[2] is None
    assert left(hours("nno", by="thunder"))[2] == 105
    assert left(hours("nns", by="thunder"))[2] is None
    assert all(d.note.begun for d in while_coming_down(hours("n"), times(**CREW), 0))
    assert while_coming_down(hours("nno", [1, 1, 9], half=8.0), times(**CREW), 0)[2].exact == 105 * MIN


def test_the_longest_go():
    def span(text, now=0, **k):
        w = longest_go(hours(text, **k), "people-in", now)
        return None if w is None else (w.start[11:13], w.end[11:13])

    assert span("oo") is None
    assert span("nnonsn") == ("03", "06")
    assert span("nnonn") == ("00", "02")  # of equal ones the first
    assert span("nnonn", now=HOUR) == ("03", "05")
    assert span("nonnn", far=2) == ("00", "01")
    assert span("onnn", far=1) == ("01", "04")
    assert longest_go(hours("onnn", far=1), "people-in", 0).outlook_only
    assert not longest_go(hours("nnoo", far=2), "people-in", 0).outlook_only


def test_the_first_start_that_fits():
    """Set up in 1 h, used for 2, struck in 1: four hours in a row, the first and the last calm."""

    def fit(text, now=0, lasts=(1, 2, 1), **k):
        w = earliest_fit(hours(text, **k), *(x * HOUR for x in lasts), now)
        return None if w is None else (int(w.start[11:13]), int(w.end[11:13]))

    assert fit("nnnn") == (0, 4)
    assert fit("onnnn") == (1, 5)
    assert fit("nssn") == (0, 4)
    assert fit("snnnn") == (1, 5)
    assert fit("nnnso") is None
    assert fit("nnnno") == (0, 4)  # what comes after is no part of it
    assert not earliest_fit(hours("nnnnn", far=4), HOUR, 2 * HOUR, HOUR, 0).outlook_only
    assert earliest_fit(hours("nnnnn", far=3), HOUR, 2 * HOUR, HOUR, 0).outlook_only
    before = hours("onnnn")
    before[0].hour.outlook_only = True
    assert not earliest_fit(before, HOUR, 2 * HOUR, HOUR, 0).outlook_only
    assert fit("nnn") is None
    assert fit("nnos") is None
    assert fit("nnonn") is None
    assert fit("onnonn") is None
    assert fit("nnnnn", now=HOUR) == (1, 5)
    assert fit("nnnn", now=1) is None
    assert fit("nnnn", half=1.0) is None  # a gust at the limit is no calm
    assert fit("nnnn", half=1.1) == (0, 4)
    assert fit("nnnnn", gusts=[1, 1, 1, 9, 1], half=8.0) == (1, 5)
    asked = windows(hours("nnnn"), "people-in", times(setup=60, strike=60), 2 * HOUR, 0)
    assert (asked.missing, asked.earliest_fit.start[11:13]) == ([], "00")
    less = windows(hours("nnnn"), "people-in", times(setup=60), None, 0)
    assert (less.missing, less.earliest_fit) == (["strike", "start and end"], None)
    assert windows(hours("nnnn"), "people-in", times(setup=60, strike=60), None, 0).earliest_fit is None
    assert windows([], "people-in", times(setup=60, strike=60), HOUR, 0).earliest_fit is None


def test_the_stretch_that_the_headline_covers():
    assert stay(None, None, 100) == (100, 100 + 12 * HOUR, False)
    assert stay(50, 9000, 100) == (100, 9000, True)
    assert stay(500, None, 100) == (500, 500 + 12 * HOUR, False)


def test_what_stands_before_each_deadline():
    leads = leads_of(times(**CREW, secure=3, margin=1))
    assert {k: v.seconds for k, v in leads.items()} == {"secure_by": 9 * MIN, "people_out_by": 16 * MIN, "start_strike_by": 56 * MIN}  # fmt: skip
    assert leads_of(times(notify=5))["people_out_by"].seconds is None
