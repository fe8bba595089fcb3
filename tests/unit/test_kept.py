"""What is kept from one run to the next changes nothing: not what was judged before, nor the language it was written in."""

from __future__ import annotations

from random import Random

import numpy as np
import pytest

from anchorage import demo
from anchorage.checks import footprint, installation
from anchorage.checks.footprint import Same
from anchorage.core.errors import AnchorageError
from anchorage.core.say import speaking
from anchorage.core.units import show
from anchorage.deployment.models import Deployment
from anchorage.deployment.reader import read_text
from anchorage.formulas import stakes, working
from anchorage.judging.plan import make_plan
from tests.strategies import read
from tests.worse_kit import deployment

KEPT = (
    footprint._shares_kept, footprint._rigid_kept, footprint._bare_kept, footprint._columns, footprint._pick,
    installation._cases_kept,
)  # fmt: skip


def _files() -> list[Deployment]:
    out = [read_text(demo.demo_text(name)) for name in demo.NAMES]
    for seed in range(12):
        try:
            out.append(read(deployment(Random(seed))))  # noqa: S311 - repeatable, and no secret
        except AnchorageError:
            continue
    return out


def _said(d: Deployment) -> str:
    try:
        return make_plan(d).model_dump_json()
    except AnchorageError as e:
        return str(e)


def test_a_plan_is_the_same_whatever_was_judged_before():
    files = _files()
    fresh = []
    for d in files:
        for kept in KEPT:
            kept.cache_clear()
        fresh.append(_said(d))
    assert [_said(d) for d in reversed(files)] == fresh[::-1]
    assert all(kept.cache_info().hits for kept in KEPT)


def test_what_is_kept_cannot_be_written_into():
    d = read_text(demo.demo_text("asphalt"))
    b = installation.assemble(d).everywhere
    for array in (b.cases.uplift, b.xy, b.every.rigid):
        with pytest.raises(ValueError, match="read-only"):
            array[...] = 1.0


def test_only_the_very_same_things_are_the_same():
    a, b = np.zeros(3), np.zeros(3)
    assert Same((a, b)) == Same((a, b))
    assert Same((a,)) != Same((b,))
    assert Same((a,)) != Same((a, a))
    assert Same((a,)) != (a,)
    assert hash(Same((a, b))) == hash(Same((a, b)))


def test_a_figure_is_written_in_the_language_of_now():
    assert show("speed", 12.34, "si", digits=1) == "12.3 m/s"
    with speaking("es"):
        assert show("speed", 12.34, "si", digits=1) == "12,3 m/s"
    assert show("speed", 12.34, "si", digits=1) == "12.3 m/s"


def test_one_bar_bends_as_many_do_and_as_it_does_with_its_working():
    given = [(900.0, arm, 9.8e3, 0.025, 3.4, 1.5) for arm in (0.0, 0.03, 0.4)]
    many = stakes.sand_bending(900.0, np.array([g[1] for g in given]), 9.8e3, 0.025, 3.4, 1.5)
    for one, of_many in zip(given, many, strict=True):
        with working.record():
            shown = stakes.sand_bending(*one)
        assert stakes.sand_bending(*one) == of_many == shown
