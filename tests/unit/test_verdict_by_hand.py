"""Which use is go at which level, what a record takes away, and what stands in the way of setting up, at each boundary."""

from types import SimpleNamespace as Made
from typing import NamedTuple

import numpy as np
import pytest

from anchorage.core import tables
from anchorage.core.told import in_words, put
from anchorage.deployment.policy import SUBJECTS, policy_of
from anchorage.judging import verdict
from anchorage.judging.verdict import (
    by_record,
    coming_down,
    does_not_do,
    fitting,
    levels_of,
    most_at,
    setup_asks,
    setup_reasons,
    subjects_of,
    worst_of,
)

P = policy_of()
USES = ("working", "people-in", "empty", "set-up")
G, U, N = "go", "unknown", "no-go"


def by_use(found):
    return [found[SUBJECTS[k]] for k in USES]


@pytest.mark.parametrize(
    ("level", "found"),
    [("normal", [G, G, G, G]), ("secure", [N, G, G, N]), ("people-out", [N, N, G, N]), ("keep-away", [N, N, N, N]), ("unknown", [U, U, U, U])],
)  # fmt: skip
def test_each_use_at_each_level(level, found):
    """What stays up empty does so below its limit, as long as all checks hold: at it nobody may be near, and nothing is go."""
    assert by_use(subjects_of(level, ok=True)) == found
    assert by_use(subjects_of(level, ok=False)) == ([U] * 4 if level == "unknown" else [N] * 4)


def test_the_worse_of_two():
    assert [worst_of(a, b) for a in (G, U, N) for b in (G, U, N)] == [G, U, N, U, U, N, N, N, N]


def record(level=None, blocks=(), phase="standing"):
    return Made(level=None if level is None else Made(level=level), blocks=list(blocks), phase=phase)


@pytest.mark.parametrize(
    ("of", "found"),
    [
        (None, [G, G, G, G]),
        (record(), [G, G, G, G]),
        (record("normal"), [G, G, G, G]),
        (record("secure"), [N, G, G, N]),
        (record("people-out"), [N, N, G, N]),
        (record("keep-away"), [N, N, N, N]),
        (record(blocks=["x"]), [N, N, U, N]),
        (record("people-out", ["x"]), [N, N, U, N]),
        (record(phase="coming-down"), [N, N, N, N]),
        (record(phase="going-up"), [N, N, G, G]),
        (record("secure", phase="going-up"), [N, N, G, N]),
    ],
)
def test_what_the_record_takes_away(of, found):
    assert by_use(by_record(dict.fromkeys(SUBJECTS.values(), G), of)) == found
    assert coming_down(of) == (of is not None and of.phase == "coming-down")
    assert by_use(by_record(dict.fromkeys(SUBJECTS.values(), N), of)) == [N] * 4


def test_a_record_makes_nothing_better():
    assert by_use(by_record(dict.fromkeys(SUBJECTS.values(), U), record("secure", ["x"]))) == [N, N, U, N]


def test_levels_in_speeds():
    out = levels_of(P, 10.0, 20.0)
    assert (out.level, out.share, out.secure_m_s, out.people_out_m_s, out.keep_away_m_s) == ("normal", 0.5, 12.0, 16.0, 20.0)  # fmt: skip
    assert levels_of(P, 10.0, 0.0).share is None
    assert levels_of(P, 1.0, 0.5).share == 2.0


class Unit(NamedTuple):
    kind: str
    most: int | None = None
    unit_name: str = "sandbag"
    unit_mass: float = 18.0
    counted: str = "sandbag"


def test_how_many_a_point_can_have():
    most = int(tables.row("stakes-at-point", "most").value)
    hard = [Unit("ballast", 12), Unit("deadman", 1), Unit("stakes", 2), Unit("none", 3), Unit("ballast")]
    assert [most_at(h, planned=True) for h in hard] == [12, 1, most, None, None]
    assert [most_at(h, planned=False) for h in hard] == [12, 1, 2, None, None]
    x = Made(hard=hard)
    assert fitting(x, np.array([13, 2, most + 1, 9, 99]), planned=True).tolist() == [12, 1, most, 9, 99]
    assert fitting(x, np.array([12, 0, most + 1, 9, 99]), planned=False).tolist() == [12, 0, 2, 9, 99]


def held(hard, counts, sized=None):
    site = Made(record=None, shelter=Made(rating=Made(gust_unlocked=None, gust_locked=None), straps="unlocked", strap=None), deployment=Made(show_units="us"))  # fmt: skip
    return Made(hard=hard, counts=counts, sized=sized, policy=P, wind=Made(gust=10.0, over_hill=1.0), locked=False, racking=(), deployment=site,
                base=Made(ids=[f"L{i + 1}" for i in range(len(hard))]), gust_held=lambda _: 20.0)  # fmt: skip


def test_where_it_is_more_than_a_point_can_have():
    same = Unit("ballast", 12)
    hard = [same, same, Unit("ballast", 20)]
    assert does_not_do(held(hard, None), None) == []
    assert does_not_do(held(hard, None), np.array([12, 12, 20])) == []
    (one,) = does_not_do(held(hard, None), np.array([13, 18, 20]))
    assert one.where == ["L1", "L2"]
    assert one.why.startswith("18 sandbags at a point, more than 12 do not stand on a frame point.")
    assert "at least 60 lb each" in one.why  # 18 bags of 18 kg in 12: 27 kg are 59.5 lb
    assert "holds to 44 mph" in one.why  # 20 m/s are 44.7


def half(**k):
    said = {"known": True, "cover": "attached", "told": put(str, ""), "bare_m_s": None, "up_to_m_s": None, "mean_m_s": 0.0, "open_m_s": None, "finished_m_s": None, "first": None, "mean_is": "typed", "gust_factor": 1.5}  # fmt: skip
    return Made(**{**said, **k})


def codes(of, setup_gust=None, gust=10.0):
    wind, site = Made(speed_is="forecast-gust"), Made(topography=None)
    d = Made(deployment=Made(show_units="us"), wind=wind, site=site)
    p = Made(secure=P.secure, people_out=P.people_out, keep_away=P.keep_away, setup_gust=setup_gust, share_for=P.share_for, level_of=P.level_of)  # fmt: skip
    x = Made(deployment=d, wind=Made(gust=gust, over_hill=1.0), policy=p, hard=[Unit("ballast")], gust_held=lambda: 30.0)  # fmt: skip
    return [r.code for r in setup_reasons(x, of)]


def test_setting_up_against_local_policy():
    assert codes(half(), 10.0) == []
    assert codes(half(), 10.1) == []
    assert codes(half(), 9.9) == ["setup-policy"]
    assert codes(half()) == []


def test_setting_up_against_the_bare_shell_its_walls_and_its_doors():
    """The mean against all that the bare shell holds; the gust against 60 % of the rest: 10 of 16.7 is just under, of 16.6 over."""
    assert codes(half(bare_m_s=5.0, mean_m_s=5.0)) == []
    assert codes(half(bare_m_s=5.0, mean_m_s=5.1)) == ["half-built"]
    assert codes(half(open_m_s=16.7)) == []
    assert codes(half(open_m_s=16.6)) == ["half-built"]
    assert codes(half(finished_m_s=16.7)) == []
    assert codes(half(finished_m_s=16.6)) == ["half-built"]
    assert codes(half(open_m_s=16.6, finished_m_s=16.6)) == ["half-built"]
    assert codes(half(finished_m_s=30.0), gust=20.0) == []  # no less than finished: the level itself says it
    assert codes(half(finished_m_s=29.9), gust=20.0) == ["half-built"]


def test_what_is_asked_before_setting_up():
    assert [r.code for r in setup_asks(half())] == []
    assert [r.code for r in setup_asks(half(known=False))] == ["half-built-unknown"]
    assert [r.code for r in setup_asks(half(cover=None))] == ["cover-unsaid"]
    assert codes(half(known=False, cover=None, bare_m_s=5.0, mean_m_s=6.0)) == ["half-built", "half-built-unknown", "cover-unsaid"]  # fmt: skip


def told_by(order, *given):
    """In words."""
    return in_words(order(*given))


def test_the_order_of_setting_up_and_in_reverse(monkeypatch):
    """The last two of the points that stand into the wind are its corners: 3 and 3 of 40 go there first, and come off last."""
    monkeypatch.setattr(verdict, "taken_down_below", lambda _: 8.0)
    x = Made(deployment=Made(deployment=Made(show_units="us")), hard=[Unit("ballast")])
    rest = Made(before="rest", points={"L1": 3, "L2": 3, "R1": 2, "R2": 2}, total=10)
    steps = [rest, Made(before="use", points={}, total=40)]
    (up,) = told_by(
        verdict.order_of_setting_up, x, half(bare_m_s=5.0), steps
    )  # 5 m/s are 11.2 mph, 8 are 17.9
    assert (
        up
        == "Raise it in a lull under 11 mph, then 6 at the windward corners first, 34 within the next minutes; down in reverse."
    )
    (less,) = told_by(verdict.order_of_setting_up, x, half(bare_m_s=5.0, up_to_m_s=4.5), steps)
    assert less.startswith(
        "Raise it in a lull under 10 mph"
    )  # 4.5 m/s are 10.07 mph: local policy is the less
    (no_more,) = told_by(verdict.order_of_setting_up, x, half(bare_m_s=5.0, up_to_m_s=9.0), steps)
    assert no_more == up
    first, then = told_by(verdict.order_of_taking_down, x, half(bare_m_s=5.0), steps)
    assert "from 17 mph on stop" in first
    assert "34 sandbags off, the 6 at the windward corners last" in then
    (bare,) = told_by(
        verdict.order_of_setting_up, x, half(bare_m_s=5.0), [rest, Made(before="use", points={}, total=0)]
    )
    assert bare == "Raise it in a lull under 11 mph; down in reverse."
    # local policy, or what it holds finished, may allow less than the bare shell takes: 4 m/s are 8.9 mph
    (less,) = told_by(verdict.order_of_setting_up, x, half(bare_m_s=5.0, up_to_m_s=4.0), [rest, steps[1]])
    assert less.startswith("Raise it in a lull under 8 mph, then 6")
    monkeypatch.setattr(verdict, "taken_down_below", lambda _: 4.0)
    first, then = told_by(verdict.order_of_taking_down, x, half(bare_m_s=5.0), steps)
    assert "from 8 mph on stop" in first
    assert "until a lull under 8 mph" in then


def test_walls_that_go_on_after_the_roof():
    x = Made(deployment=Made(deployment=Made(show_units="us")), hard=[Unit("ballast")])
    roof = Made(before="roof", points={"L1": 2, "L2": 2, "R1": 1, "R2": 0}, total=5)
    walls = Made(before="walls", points={"L1": 3}, total=3)
    (said,) = told_by(verdict.order_of_setting_up, x, half(open_m_s=5.0), [roof, walls])
    assert "5 sandbags before the roof goes on (2 at L1 L2, 1 at R1), 3 sandbags before the walls go on (3 at L1)" in said  # fmt: skip
    assert told_by(verdict.order_of_setting_up, x, half(open_m_s=5.0), []) == []
    assert told_by(verdict.order_of_setting_up, x, half(), [roof]) == []
    none = Made(before="roof", points={"L1": 0}, total=0)
    assert told_by(verdict.order_of_setting_up, x, half(open_m_s=5.0), [none]) == []
