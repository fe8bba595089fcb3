"""Points of their own: any mix of ballast, stakes, blocks on lines and idle points, placed or not."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from anchorage.checks.checks import ratio
from anchorage.checks.installation import assemble
from anchorage.core.checked import What
from anchorage.core.errors import NotModelledError
from anchorage.deployment.reader import read_text
from anchorage.judging.plan import make_plan
from tests.strategies import some

HEAD = """
[shelter]
form = "gable"
length = "{length} m"
width = "{width} m"
eave = "2.2 m"
ridge = "3.0 m"
mass = "{mass} kg"
points_per_side = 3
openings = {{ front = {open}, back = 0.0, left = 0.0, right = 0.0 }}
[site]
surface = "grass"
state = "{state}"
exposure = "C"
elevation = "0 m"
temperature = "10 degC"
slope = {slope}
[wind]
speed = "{speed} m/s"
averaging = "3 s"
terrain = "open"
[anchorage]
kind = "mixed"
unit = "sandbag"
how = "on-foot"
line_angle = 40
line_rated = "20 kN"
[anchorage.stake]
diameter = "25 mm"
driven = "900 mm"
line_angle = 45
soil = "stiff-clay"
"""
IDS = ("L1", "L2", "L3", "R1", "R2", "R3")
KIND = st.sampled_from(["ballast", "ballast", "stakes", "line-ballast", "none"])


@st.composite
def mixes(draw: st.DrawFn) -> str:
    slope = draw(st.sampled_from([0, 0, 2]))
    text = HEAD.format(
        length=draw(st.integers(4, 9)), width=draw(st.integers(3, 7)), mass=draw(st.integers(40, 400)),
        open=draw(st.sampled_from([0.0, 0.5])), state=draw(st.sampled_from(["dry", "wet"])),
        slope=slope, speed=draw(st.integers(4, 14)),
    )  # fmt: skip
    for i in IDS:
        # on a slope, weight at a foot off the ground pulls downhill and rubs on nothing: more of it does not help
        ground = str(bool(slope) or draw(st.booleans())).lower()
        text += f'[[point]]\nid = "{i}"\nkind = "{draw(KIND)}"\non_ground = {ground}\n'
    return text


def _placed(text: str, counts: list[int]) -> str:
    for i, n in zip(IDS, counts, strict=True):
        text = text.replace(f'id = "{i}"\n', f'id = "{i}"\nplaced = {n}\n')
    return text


COUNTS = st.lists(st.integers(1, 12), min_size=6, max_size=6)


def _made(text: str):
    try:
        return assemble(read_text(text), ("people-in",))
    except NotModelledError:  # fewer than three points, or all in one line: refused with the reason
        assume(False)


@some(0.5)
@given(mixes(), COUNTS)
def test_the_limiting_gust_put_back_is_the_limit(text: str, counts: list[int]) -> None:
    x = _made(_placed(text, counts))
    found = [f for f in x.limits() if not f.fixed]
    q = min(float(np.min(f.q)) for f in found)
    assume(0 < q < np.inf)
    assert max(ratio(f, q) for f in found) == 1.0
    assert max(ratio(f, q * 1.001**2) for f in found) > 1.0


@some(0.5)
@given(mixes(), COUNTS, st.integers(0, 5))
def test_one_more_unit_anywhere_never_lowers_the_gust(text: str, counts: list[int], where: int) -> None:
    more = [n + (k == where) for k, n in enumerate(counts)]
    before, after = _made(_placed(text, counts)), _made(_placed(text, more))
    assert after.gust_held() >= before.gust_held() * (1 - 1e-9)


@some(0.3)
@given(mixes())
def test_what_is_sized_passes(text: str) -> None:
    x = _made(text)
    found = x.needs["people-in"]
    assume(found.counts is not None)
    checks = [
        f for f in x.limits(found.counts) if not f.of_line and f.check.what is not What.BARE
    ]  # no units elsewhere hold a foot that is out of use down: its own limit is the plan's
    assert max(ratio(f, x.wind.pressure / 0.8**2) for f in checks) <= 1 + 1e-8


@some(0.2)
@given(mixes(), COUNTS)
def test_a_plan_of_any_mix_is_finite_json(text: str, counts: list[int]) -> None:
    _made(_placed(text, counts))
    plan = make_plan(read_text(_placed(text, counts)))
    assert plan.verdict in ("go", "no-go", "unknown")
    assert "NaN" not in plan.to_json()
    assert "Infinity" not in plan.to_json()


FEET = """
[[point]]
id = "{id}"
kind = "{kind}"
placed = {placed}
"""


def _middle_frame(corners: str, bags: int) -> float:
    """Least q (Pa) at which the middle frame, on bags alone, slides; the corners held in another way."""
    text = HEAD.format(length=6, width=5, mass=150, open=0.0, state="dry", slope=0, speed=8)
    text = text.replace("line_angle = 45\n", "").replace('line_angle = 40\nline_rated = "20 kN"\n', "")
    for i in IDS:
        text += FEET.format(
            id=i, kind="ballast" if i[1] == "2" else corners, placed=bags if i[1] == "2" else 8
        )
    found = [f for f in assemble(read_text(text)).limits() if f.check.what is What.SLIDE_OF_FRAME]
    assert found, "the frame that stands on bags alone is checked"
    return float(np.min(found[0].q[..., 1]))


def test_a_frame_on_weights_alone_slides_the_same_whatever_holds_the_others():
    """Frame by frame nothing reaches from one to the next: stakes at the corners hold no bag in the middle."""
    assert _middle_frame("stakes", 2) == _middle_frame("ballast", 2)
    assert _middle_frame("stakes", 2) < _middle_frame("stakes", 6)


def test_a_stiffer_point_takes_more_by_hand():
    """Uplift U alone on six points of which two are stiffer: 10/(2 x 10 + 4 x 1) of it at each of those; where they are softer,
    10/(4 x 10 + 2 x 1) at each of the others; alike, a sixth everywhere.
    """
    text = HEAD.format(length=6, width=5, mass=150, open=0.0, state="dry", slope=0, speed=8)
    for i in IDS:
        text += FEET.format(id=i, kind="stakes" if i[1] == "2" else "ballast", placed=4)
    x = assemble(read_text(text))
    cases = replace(x.base.cases.take(np.array([0])), uplift=np.array([[60.0]]), moment=np.zeros((1, 2)))
    assert x.base.under(cases).shares.rigid[0] == pytest.approx(
        [600 / 42 if i[1] != "2" else 600 / 24 for i in x.base.ids]
    )
    assert x.base.of_kinds(()).under(cases).shares.rigid[0] == pytest.approx([10.0] * 6)


@some(0.3)
@given(mixes(), COUNTS)
def test_points_that_differ_never_hold_more_than_springs_that_are_alike(text: str, counts: list[int]) -> None:
    x = _made(_placed(text, counts))
    alike = replace(x, base=x.base.of_kinds(()))
    assert x.gust_held() <= alike.gust_held() * (1 + 1e-9)


@some(0.3)
@given(mixes(), COUNTS)
def test_friction_that_adds_never_lowers_the_gust(text: str, counts: list[int]) -> None:
    plain = _made(_placed(text, counts))
    adds = _made(
        _placed(text, counts).replace('unit = "sandbag"\n', 'unit = "sandbag"\nfriction_adds = true\n', 1)
    )
    assert adds.factors.adds == 0.75
    assert adds.gust_held() >= plain.gust_held() * (1 - 1e-9)
