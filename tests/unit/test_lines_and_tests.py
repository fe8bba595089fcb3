"""What lines take, and what pull tests are worth at a stake that stands otherwise: verdicts of whole files."""

from __future__ import annotations

import copy
from typing import Any

import pytest
from snow_files import text

from anchorage.deployment import read_text
from anchorage.plan import make_plan
from anchorage.result import Plan

File = dict[str, Any]
STRONG: File = {
    "shelter": {"form": "gable", "length": "24 ft", "width": "18 ft", "eave": "7 ft", "ridge": "10 ft", "mass": "310 lb",
                "points_per_side": 4, "openings": {"front": 0.0, "back": 0.0, "left": 0.0, "right": 0.0},
                "rating": {"gust_unlocked": "60 mph", "gust_locked": "70 mph"}},
    "site": {"surface": "clay", "state": "wet", "exposure": "C", "temperature": "50 degF", "utilities": "marked"},
    "wind": {"speed": "15 mph", "averaging": "3 s", "terrain": "site"},
    "anchorage": {"kind": "stakes", "placed": 3, "contact": "cloth", "line_rated": "9000 lbf", "attachment_rated": "9000 lbf",
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
    ("line-ballast", {"anchorage__kind": "line-ballast", "anchorage__unit_mass": "3000 lb", "anchorage__line_angle": 30}),
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
    assert p.headline.startswith("ANCHORAGE HOLDS to ")
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
