"""What lines take, and what pull tests are worth at a stake that stands otherwise: verdicts of whole files."""

from __future__ import annotations

import copy
from typing import Any

import numpy as np
import pytest
from snow_files import text

from anchorage.chance.uncertain import Model
from anchorage.checks.installation import assemble
from anchorage.core.errors import AnchorageError
from anchorage.core.told import in_words
from anchorage.core.units import read
from anchorage.deployment.reader import read_text
from anchorage.holding.stakes import Bar, Basis, along, stake_worth
from anchorage.judging.plan import make_plan
from anchorage.judging.result import Plan

File = dict[str, Any]
STRONG: File = {
    "shelter": {"form": "gable", "length": "24 ft", "width": "18 ft", "eave": "7 ft", "ridge": "10 ft", "mass": "310 lb",
                "points_per_side": 4, "openings": {"front": 0.0, "back": 0.0, "left": 0.0, "right": 0.0},
                "rating": {"gust_unlocked": "60 mph", "gust_locked": "70 mph"}},
    "site": {"surface": "clay", "state": "wet", "exposure": "C", "temperature": "50 degF", "utilities": "marked"},
    "wind": {"speed": "15 mph", "averaging": "3 s", "terrain": "site"},
    "anchorage": {"kind": "stakes", "placed": 4, "contact": "cloth", "line_rated": "5000 lbf", "attachment_rated": "5000 lbf",
                  "stake": {"diameter": "1 in", "driven": "36 in", "line_angle": 45, "line_height": "1 in",
                            "soil": "stiff-clay"}},
}  # fmt: skip


def put(file: File, **more: Any) -> File:
    """The file with keys set, ``__`` between their parts; None takes one out."""
    file = copy.deepcopy(file)
    for key, value in more.items():
        *parents, last = key.split("__")
        place = file
        for name in parents:
            place = place.setdefault(name, {})
        if value is None:
            place.pop(last, None)
        else:
            place[last] = value
    return file


def plan(file: File, **more: Any) -> Plan:
    return make_plan(read_text(text(put(file, **more))))


# Lines without a rating


def test_with_both_rated_it_is_go():
    assert plan(STRONG).verdict == "go"


@pytest.mark.parametrize(("kind", "more"), [
    ("stakes", {}),
    ("line-ballast", {"anchorage__kind": "line-ballast", "anchorage__unit_mass": "3000 lb", "anchorage__unit_material": "concrete",
                      "anchorage__line_angle": 30, "anchorage__placed": 1, "deployment__weighed": True}),
    ("deadman", {"anchorage__kind": "deadman", "anchorage__placed": 1, "anchorage__line_angle": 30,
                 "anchorage__deadman": {"depth": "5 ft", "length": "6 ft", "face": "18 in", "ground": "loam", "trench": "1 ft"}}),
])  # fmt: skip
@pytest.mark.parametrize("missing", ["line_rated", "attachment_rated", "both"])
def test_a_line_without_a_rated_load_is_never_go(kind, more, missing):
    keys = ("line_rated", "attachment_rated") if missing == "both" else (missing,)
    whole = plan(STRONG, **more)
    assert whole.verdict == "go"
    p = plan(STRONG, **more, **{f"anchorage__{k}": None for k in keys})
    assert p.verdict == "unknown"
    assert "go" not in p.subjects.values()
    assert [r.code for r in p.reasons] == ["line-rating-missing"]
    assert all(f"anchorage.{k}" in p.reasons[0].text for k in keys)
    assert "ANCHORAGE HOLDS to " in p.headline
    assert "load of lines and loops not given" in p.headline
    assert p.limit.anchorage_gust_m_s is not None
    assert whole.limit.anchorage_gust_m_s is not None
    assert p.limit.anchorage_gust_m_s >= whole.limit.anchorage_gust_m_s


def test_neither_the_frame_nor_the_lines_are_rated():
    p = plan(STRONG, shelter__rating=None, anchorage__line_rated=None)
    assert {r.code for r in p.reasons} == {"rating-missing", "line-rating-missing"}
    assert "frame limit and load of lines and loops not given" in p.headline


def test_a_line_that_is_too_weak_stays_no_go_whatever_is_not_known():
    p = plan(STRONG, anchorage__line_rated="20 lbf", anchorage__attachment_rated=None)
    assert p.verdict == "no-go"
    assert "line-rating-missing" in {r.code for r in p.reasons}


def test_stakes_through_the_feet_have_no_line_to_rate():
    stake = {k: v for k, v in STRONG["anchorage"]["stake"].items() if not k.startswith("line_")}
    p = plan(STRONG, anchorage__stake=stake, anchorage__line_rated=None, anchorage__attachment_rated=None)
    assert "line-rating-missing" not in {r.code for r in p.reasons}


# Pull tests are of what was pulled

TESTED = {
    "pull_tests": ["700 lbf", "720 lbf", "760 lbf"],
    "pull_angle": 45,
    "pulled": "to-failure",
    "tested": "wet",
}
STAKE: File = STRONG["anchorage"]["stake"]
PULLED = put(STRONG, anchorage__stake=STAKE | TESTED, anchorage__placed=1)
EVERY = [f"{c}{k}" for c in "LR" for k in range(1, 5)]


def limit(p: Plan) -> float:
    assert p.limit.anchorage_gust_m_s is not None
    return p.limit.anchorage_gust_m_s


def without_tests(file: File, **more: Any) -> Plan:
    stake = {k: v for k, v in file["anchorage"]["stake"].items() if k not in TESTED}
    return plan(put(file, anchorage__stake=stake), **more)


def test_tests_of_stakes_36_in_deep_earn_nothing_at_points_driven_6_in():
    short = [{"id": i, "driven": "6 in"} for i in EVERY]
    p = plan(PULLED, point=short)
    assert limit(p) == pytest.approx(limit(without_tests(PULLED, point=short)))
    assert limit(p) < 0.4 * limit(plan(PULLED))
    assert any("driven less deep" in n for n in in_words(p.assumptions))


def test_two_stakes_that_failed_at_20_lbf_are_not_ignored():
    p = plan(PULLED, anchorage__stake__pull_tests=["20 lbf", "20 lbf"])
    assert limit(p) < 0.5 * limit(without_tests(PULLED))
    three = limit(plan(PULLED, anchorage__stake__pull_tests=["20 lbf"] * 3))
    assert 0.9 * three < limit(p) <= three


def test_stakes_that_failed_at_20_lbf_at_60_degrees_are_not_ignored_on_a_45_degree_line():
    bad = {"anchorage__stake__pull_tests": ["20 lbf"] * 3, "anchorage__stake__pull_angle": 60}
    assert limit(plan(PULLED, **bad)) < 0.5 * limit(without_tests(PULLED))
    good = plan(PULLED, anchorage__stake__pull_angle=60)
    assert limit(good) == pytest.approx(limit(without_tests(PULLED)))


def test_a_point_in_wet_sand_does_not_keep_the_tests_of_clay():
    sand = [{"id": "L1", "surface": "sand", "state": "wet"}]
    p = plan(PULLED, point=sand)
    assert p.verdict != "go"
    assert "soil-missing" in {r.code for r in p.reasons}
    assert limit(p) < limit(without_tests(PULLED))
    said = plan(PULLED, point=[{**sand[0], "soil": "medium-sand"}])
    assert "soil-missing" not in {r.code for r in said.reasons}
    assert limit(p) <= limit(said) < limit(without_tests(PULLED))


def test_a_bad_test_cuts_theory_at_every_point_of_its_soil():
    """Half of theory at 36 in: half of theory for those at 24 in too, and no more than was pulled where they are deeper."""
    lbf = 4.4482216152605
    stood = stake_worth(Bar(0.0254, 0.9144, 0.0254, "stiff-clay", "clay", "wet"), 45.0, None, [])
    foreseen = along(45.0, stood.lateral, stood.axial)
    half = [f"{foreseen / 2 / lbf} lbf"] * 3
    low = [{"id": i, "driven": "24 in"} for i in EVERY]
    cut, theory = plan(PULLED, point=low, anchorage__stake__pull_tests=half), without_tests(PULLED, point=low)
    assert cut.anchorage.unit_strength_n == pytest.approx(theory.anchorage.unit_strength_n / 2, rel=1e-6)


@pytest.mark.parametrize(
    "worse",
    [{"test_driven": "48 in"}, {"test_diameter": "1.5 in"}, {"test_height": "0 in"}, {"tested": "dry"}],
)
def test_what_was_pulled_was_more_than_what_stands(worse):
    p = plan(PULLED, **{f"anchorage__stake__{k}": v for k, v in worse.items()})
    assert limit(p) < limit(plan(PULLED))
    assert limit(p) <= limit(without_tests(PULLED)) * (1 + 1e-9)


def test_other_soil_is_theory_never_the_test():
    p = plan(PULLED, anchorage__stake__test_soil="hard-clay")
    assert limit(p) == pytest.approx(limit(without_tests(PULLED)))


def test_a_stake_deeper_than_those_pulled_holds_at_least_what_they_did():
    same, deeper = (
        plan(PULLED),
        plan(PULLED, anchorage__stake__test_driven="30 in"),
    )  # shorter ones are not believed to
    assert limit(deeper) >= limit(same)


@pytest.mark.parametrize("key", ["test_driven", "test_diameter", "test_height"])
def test_what_tells_of_stakes_that_were_pulled_needs_pulls(key):
    with pytest.raises(AnchorageError, match="give pull_tests too"):
        plan(STRONG, **{f"anchorage__stake__{key}": "20 in" if key == "test_driven" else "1 in"})


def test_a_soil_that_is_not_listed_is_asked_back():
    with pytest.raises(AnchorageError, match="thumb-soft"):
        plan(PULLED, anchorage__stake__test_soil="mud")
    with pytest.raises(AnchorageError, match="thumb-soft"):
        plan(PULLED, point=[{"id": "L1", "soil": "mud"}])


def drawn(file: File, **more: Any) -> Model:
    return Model(assemble(read_text(text(put(file, **more)))))


@pytest.mark.parametrize(
    ("more", "basis"),
    [
        ({}, Basis.TEST),
        ({"point": [{"id": i, "driven": "6 in"} for i in EVERY]}, Basis.LESSER),
        ({"anchorage__stake__pull_tests": ["20 lbf", "25 lbf"]}, Basis.LESSER),
        ({"anchorage__stake__pull_tests": ["20 lbf"]}, Basis.LESSER),
        ({"anchorage__stake__pull_angle": 60}, Basis.LESSER),
        ({"anchorage__stake__test_driven": "30 in"}, Basis.GREATER),
        ({"anchorage__stake__test_soil": "hard-clay"}, Basis.THEORY),
        ({"anchorage__stake__pull_tests": ["0 lbf"] * 3}, Basis.TEST),
    ],
)
def test_chance_counts_tests_by_the_same_rule(more, basis):
    model = drawn(PULLED, **more)
    assert set(model.mean.basis) == {basis}
    u = np.random.default_rng(3).standard_normal((400, model.width))
    pulls = model.draw(u).held.tension[:, 0, :]
    assert np.all(np.isfinite(pulls))
    tests = [float(read("force", t)) for t in put(PULLED, **more)["anchorage"]["stake"]["pull_tests"]]
    if basis is Basis.LESSER and len(tests) < 3:
        assert np.median(pulls) < 3 * max(tests)
    if basis is Basis.LESSER and len(tests) == 3:
        bare = drawn(
            put(PULLED, **more), anchorage__stake={k: v for k, v in STAKE.items() if k not in TESTED}
        )
        theory = bare.draw(np.zeros((1, bare.width))).held.tension
        assert np.all(model.draw(np.zeros((1, model.width))).held.tension <= theory * (1 + 1e-9))
    if max(tests) == 0:
        assert np.all(pulls == 0)
