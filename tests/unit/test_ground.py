"""Every contact from the weight down to the ground: what counts for the shelter's own weight, what for its ballast."""

from __future__ import annotations

import itertools
from typing import Any, get_args

import pytest
from toml_writer import demo, written

from anchorage.core import tables
from anchorage.core.closed import BENEATH, MATERIALS, STATES
from anchorage.deployment.models import Anchorage
from anchorage.deployment.reader import read_text
from anchorage.holding.ground import (
    CONTACTS,
    FEET,
    RUBS,
    Stand,
    bare_friction,
    frame_friction,
    on_ground_friction,
)
from anchorage.holding.states import worse
from anchorage.judging.plan import make_plan
from anchorage.judging.result import Plan

HOWS = (None, "on-foot", "hung-clear", "standing-tied")
SURFACES = tables.table("surface").keys()


def grip(surface: str = "asphalt", state: str = "wet", contact: str | None = "plate", foot: str | None = "rubber",
         how: str | None = "on-foot", material: str | None = "woven") -> tuple[float, float]:  # fmt: skip
    return frame_friction(Stand(surface, state, contact, foot, how, material), [])


def plan_of(name: str, **changes: Any) -> Plan:
    return make_plan(read_text(written(demo(name, **changes))))


# --- closed lists


def test_the_lists_are_those_of_the_tables() -> None:
    assert tables.table("state").keys() == STATES
    assert tables.table("beneath").keys() == BENEATH
    assert set(tables.table("ballast-material").keys()) == set(MATERIALS) == set(RUBS)
    assert {r.material for r in tables.table("ballast-mass").rows} <= set(MATERIALS)
    assert [k for k, r in tables.table("beneath").by_key.items() if not r.value] == ["nothing"]


def test_every_foot_and_every_material_has_a_row_on_every_listed_ground_in_every_published_state() -> None:
    rows = tables.table("friction")
    for what, surface, state in itertools.product({"cloth", *FEET, *RUBS.values()}, SURFACES, STATES):
        if surface != "other" and state != "soiled":
            assert f"{what}-{surface}-{state}" in rows, (what, surface, state)
        else:
            assert f"{what}-{surface}-{state}" not in rows


# --- the stack, kind by kind


@pytest.mark.parametrize(
    ("material", "foot", "state", "friction"),
    [
        # loading code, plastic on steel 0.15, dry and wet alike: a woven bag and a drum on a plate, whatever is under the plate
        ("woven", "rubber", "dry", 0.15), ("plastic", "rubber", "dry", 0.15), ("plastic", "bare-metal", "wet", 0.15),
        # no row for concrete, steel or rubber on a plate: at most our own 0.15, and the lowest of either in that state
        ("concrete", "rubber", "dry", 0.15), ("steel", "rubber", "dry", 0.15), ("rubber", "rubber", "dry", 0.15),
        # steel on ice 0.03 (textbook table) is the least of ice
        ("concrete", "rubber", "ice", 0.03), ("rubber", "rubber", "ice", 0.03),
    ],
)  # fmt: skip
def test_a_unit_on_a_foot_plate_never_skips_the_plate(
    material: str, foot: str, state: str, friction: float
) -> None:
    assert grip(state=state, foot=foot, material=material) == (friction, friction)


def test_a_pair_without_a_row_takes_the_lowest_of_both_partners() -> None:
    """Concrete on a metal plate, wet: the least wet row of concrete is 0.15, of bare metal 0.121 (sandy silt, tan 11° x 0.625)."""
    notes: list[str] = []
    s = Stand("concrete", "wet", "plate", "bare-metal", "on-foot", "concrete")
    assert frame_friction(s, notes) == (0.121, 0.121)
    assert any("No published friction of concrete on a metal plate, wet" in n for n in notes)


@pytest.mark.parametrize("unit", ["water-barrel", "water-tote", "concrete-block", "concrete-barrier-10ft"])
def test_a_heavy_unit_on_a_plate_grips_no_better_than_a_sandbag_there(unit: str) -> None:
    heavy, bag = (
        plan_of("asphalt", anchorage__contact="plate", anchorage__foot="rubber", anchorage__how="on-foot",
                anchorage__unit=u, anchorage__unit_mass="400 lb", stock=None, site__state="dry")
        for u in (unit, "sandbag")
    )  # fmt: skip
    assert heavy.anchorage.friction == bag.anchorage.friction == 0.15


def test_what_stands_on_the_ground_beside_the_frame_has_its_own_friction() -> None:
    """A drum on wet asphalt: plastic on plywood 0.20 (loading code) x 0.625; the rubber foot, a tyre on wet asphalt, 0.45."""
    assert grip(how="standing-tied", material="plastic") == (0.45, 0.125)
    assert grip(how="hung-clear", material="plastic") == (0.45, 0.45)


def test_ballast_on_the_ground_does_not_borrow_the_rubber_of_the_foot() -> None:
    """Drums beside feet of rubber on wet asphalt: as they stand they hold far less than hung on those feet."""
    tied, hung = (
        plan_of("asphalt", anchorage__contact="plate", anchorage__foot="rubber", anchorage__how=how,
                anchorage__unit="water-barrel", anchorage__unit_mass=None, anchorage__placed=2, stock=None)
        for how in ("standing-tied", "hung-clear")
    )  # fmt: skip
    assert (tied.anchorage.friction, hung.anchorage.friction) == (0.125, 0.45)
    assert tied.limit.governed_by in ("slide", "slide of a frame")
    assert hung.limit.anchorage_gust_m_s is not None
    assert tied.limit.anchorage_gust_m_s is not None
    assert tied.limit.anchorage_gust_m_s < 0.7 * hung.limit.anchorage_gust_m_s


# --- dirt, ground that is not listed


@pytest.mark.parametrize("surface", ["asphalt", "concrete", "concrete-smooth", "other"])
@pytest.mark.parametrize("foot", FEET)
def test_dirt_on_hard_ground_never_holds_more_than_its_row_or_than_wet(surface: str, foot: str) -> None:
    soiled = bare_friction(Stand(surface, "soiled", "plate", foot, None, None), [])
    wet = bare_friction(Stand(surface, "wet", "plate", foot, None, None), [])
    assert soiled == min(wet, 0.1)


def test_ground_that_is_not_listed_holds_what_the_lowest_does_and_never_over_our_own_bound() -> None:
    for material, state in itertools.product(MATERIALS, STATES):
        other = on_ground_friction(Stand("tarmac", state, None, None, None, material), [])
        bound = 0.03 if state == "ice" else 0.15
        assert other <= bound
        for surface in SURFACES:
            assert other <= on_ground_friction(Stand(surface, state, None, None, None, material), [])


# --- not known is never better


STANDS = list(itertools.product(("asphalt", "concrete", "clay", "other"), STATES, (*CONTACTS, None), (*FEET, None), HOWS, (*MATERIALS, None)))  # fmt: skip


def test_leaving_a_contact_out_never_holds_more_than_saying_it() -> None:
    """Foot, contact, way of fixing, material: the one that is not said is no better than any that could be."""
    known = {s: grip(*s) for s in STANDS}
    for s, (own, ballast) in known.items():
        for at in (2, 3, 4, 5):
            left_out = known[(*s[:at], None, *s[at + 1 :])]
            if (
                at == 3 and s[2] == "cloth"
            ):  # what the feet are made of has no part where cloth lies under them
                continue
            assert left_out[0] <= own, (s, at)
            assert left_out[1] <= ballast, (s, at)


def test_what_counts_is_one_of_the_listed_ways() -> None:
    ways = get_args(get_args(Anchorage.model_fields["how"].annotation)[0])
    assert {*HOWS} - {None} == {*ways} - {"on-flap"}


def test_dirt_is_a_state_that_is_worse_than_wet_and_better_than_ice() -> None:
    assert worse("asphalt", "ice", "soiled") == worse("asphalt", "soiled", "ice") == "ice"
    assert worse("asphalt", "wet", "soiled") == "soiled"
