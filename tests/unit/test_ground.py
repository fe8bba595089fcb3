"""Every contact from the weight down to the ground: what counts for the shelter's own weight, what for its ballast."""

from __future__ import annotations

import itertools
import math
from typing import Any, get_args

import pytest
from toml_writer import demo, written

from anchorage.core import tables
from anchorage.core.closed import BENEATH, MATERIALS, STATES
from anchorage.core.errors import InputFaults
from anchorage.core.told import Words, in_words
from anchorage.deployment.models import Anchorage
from anchorage.deployment.reader import read_text
from anchorage.holding import ground
from anchorage.holding.ground import (
    CONTACTS,
    FEET,
    RUBS,
    Footing,
)
from anchorage.holding.states import worse
from anchorage.judging.plan import make_plan
from anchorage.judging.result import Plan

HOWS = (None, "on-foot", "hung-clear", "standing-tied", "lashed-to-leg")
SURFACES = tables.table("surface").keys()


def frame_friction(s: Footing, notes: list[str]) -> tuple[float, float]:
    own, under = ground.frame_friction(s, notes)
    return own.value, under.value


def bare_friction(s: Footing, notes: list[str]) -> float:
    return ground.bare_friction(s, notes).value


def on_ground_friction(s: Footing, notes: list[str]) -> float:
    return ground.on_ground_friction(s, notes).value


def grip(surface: str = "asphalt", state: str = "wet", contact: str | None = "plate", foot: str | None = "rubber",
         how: str | None = "on-foot", material: str | None = "woven") -> tuple[float, float]:  # fmt: skip
    return frame_friction(Footing(surface, state, contact, foot, how, material), [])


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
        # no row for concrete, steel or rubber on a plate: at most our own 0.15, and the lowest of either in that state (steel on
        # a cast face of concrete 0.10, Pallett et al.)
        ("concrete", "rubber", "dry", 0.15), ("steel", "rubber", "dry", 0.10), ("rubber", "rubber", "dry", 0.15),
        # steel on ice 0.03 (textbook table) is the least of ice
        ("concrete", "rubber", "ice", 0.03), ("rubber", "rubber", "ice", 0.03),
    ],
)  # fmt: skip
def test_a_unit_on_a_foot_plate_never_skips_the_plate(
    material: str, foot: str, state: str, friction: float
) -> None:
    assert grip(state=state, foot=foot, material=material) == (friction, friction)


def test_a_pair_without_a_row_takes_the_lowest_of_both_partners() -> None:
    """Concrete on a metal plate, wet: the least wet row of concrete is 0.15, of bare metal 0.10 (on a cast face, Pallett et al.)."""
    notes: list[Words] = []
    s = Footing("asphalt", "wet", "plate", "bare-metal", "on-foot", "concrete")
    assert frame_friction(s, notes) == (0.1, 0.1)
    assert any("No published friction of concrete on a metal plate, wet" in str(n) for n in notes)


@pytest.mark.parametrize("unit", ["water-barrel", "water-tote", "concrete-block", "concrete-barrier-10ft"])
def test_a_heavy_unit_on_a_plate_grips_no_better_than_a_sandbag_there(unit: str) -> None:
    heavy, bag = (
        plan_of("asphalt", anchorage__contact="plate", anchorage__foot="rubber", anchorage__how="on-foot",
                anchorage__unit=u, anchorage__unit_mass="400 lb", stock=None, site__state="dry")
        for u in (unit, "sandbag")
    )  # fmt: skip
    assert heavy.anchorage.friction == bag.anchorage.friction == 0.15


def test_what_stands_on_the_ground_beside_the_frame_has_its_own_friction() -> None:
    """A drum on wet asphalt: plastic on plywood 0.20, wet as dry (loading code); the rubber foot, a tyre on a wet road, 0.40."""
    assert grip(how="standing-tied", material="plastic") == (0.4, 0.2)
    assert grip(how="hung-clear", material="plastic") == (0.4, 0.4)


def test_ballast_on_the_ground_does_not_borrow_the_rubber_of_the_foot() -> None:
    """Drums beside feet of rubber on wet asphalt: as they stand they hold far less than hung on those feet."""
    tied, hung = (
        plan_of("asphalt", anchorage__contact="plate", anchorage__foot="rubber", anchorage__how=how,
                anchorage__unit="water-barrel", anchorage__unit_mass=None, anchorage__placed=1, stock=None)
        for how in ("standing-tied", "hung-clear")
    )  # fmt: skip
    assert (tied.anchorage.friction, hung.anchorage.friction) == (0.2, 0.4)
    assert tied.limit.governed_by in ("slide", "slide of a frame")
    assert hung.limit.anchorage_gust_m_s is not None
    assert tied.limit.anchorage_gust_m_s is not None
    assert tied.limit.anchorage_gust_m_s < 0.8 * hung.limit.anchorage_gust_m_s


# --- lashed to the leg


def lashed(surface: str, state: str, foot: str, material: str, *, clear: bool) -> tuple[float, float]:
    return frame_friction(Footing(surface, state, "plate", foot, "lashed-to-leg", material, clear=clear), [])


@pytest.mark.parametrize("foot", FEET)
@pytest.mark.parametrize("material", MATERIALS)
def test_of_what_is_lashed_and_clear_of_the_ground_only_the_foot_slides(foot: str, material: str) -> None:
    for surface, state in itertools.product(("asphalt", "concrete", "grass"), ("dry", "wet", "snow")):
        bare = bare_friction(Footing(surface, state, "plate", foot, None, None), [])
        assert lashed(surface, state, foot, material, clear=True) == (bare, bare)
        own, under = lashed(surface, state, foot, material, clear=False)
        beside = on_ground_friction(Footing(surface, state, None, None, None, material), [])
        assert (own, under) == (bare, min(bare, beside))


FULL = {"stop": True, "every_bag": True, "on_ground": False}


def of_lashed(**detail: Any) -> Plan:
    return plan_of("asphalt", anchorage__contact="plate", anchorage__foot="rubber", anchorage__how="lashed-to-leg",
                   anchorage__how_detail={k: v for k, v in (FULL | detail).items() if v is not None}, stock=None)  # fmt: skip


def test_a_lashing_counts_by_what_it_does_and_is_asked_about() -> None:
    """Wet asphalt, rubber feet: the foot's own row; not bound, the bag slides on the plate at 0.15 (plastic on steel, loading code)."""
    whole = of_lashed()
    assert whole.anchorage.friction == bare_friction(
        Footing("asphalt", "wet", "plate", "rubber", None, None), []
    )
    assert not {"lashing-stop", "lashing-every"} & {r.code for r in whole.reasons}
    loose = of_lashed(every_bag=False)
    assert loose.anchorage.friction == 0.15
    for key, code in (("stop", "lashing-stop"), ("every_bag", "lashing-every")):
        unsaid = of_lashed(**{key: None})
        assert unsaid.asks(code)
        assert unsaid.verdict != "go"
        assert unsaid.anchorage.friction == 0.15
    touching = of_lashed(on_ground=None)
    assert 0.15 < touching.anchorage.friction <= whole.anchorage.friction


def test_a_leg_that_rises_without_its_weight_is_refused() -> None:
    with pytest.raises(InputFaults, match=r"how_detail\.stop"):
        of_lashed(stop=False)


def test_weights_hung_on_a_leg_are_held_against_its_rating_or_are_a_condition() -> None:
    """Asked of the maker where it is not stated; 10 bags of 40 lb weigh 1779 N."""
    told = [c for c in in_words(of_lashed().conditions) if "Leg and foot" in c]
    assert len(told) == 1
    rated = plan_of("asphalt", anchorage__how="lashed-to-leg", anchorage__how_detail=FULL, anchorage__placed=10, stock=None,
                    anchorage__foot_rated="1000 N", anchorage__foot="rubber", anchorage__contact="plate")  # fmt: skip
    check = next(c for c in rated.checks if c.name == "leg and foot")
    assert (check.demand, check.ok) == (pytest.approx(10 * 40 * 0.45359237 * 9.80665), False)
    assert rated.verdict == "no-go"
    assert not [c for c in in_words(rated.conditions) if "Leg and foot" in c]


# --- dirt, ground that is not listed


@pytest.mark.parametrize("surface", ["asphalt", "concrete", "concrete-smooth", "other"])
@pytest.mark.parametrize("foot", FEET)
def test_dirt_on_hard_ground_never_holds_more_than_its_row_or_than_wet(surface: str, foot: str) -> None:
    soiled = bare_friction(Footing(surface, "soiled", "plate", foot, None, None), [])
    wet = bare_friction(Footing(surface, "wet", "plate", foot, None, None), [])
    assert soiled == min(wet, 0.1)


def test_ground_that_is_not_listed_holds_what_the_lowest_does_and_never_over_our_own_bound() -> None:
    for material, state in itertools.product(MATERIALS, STATES):
        other = on_ground_friction(Footing("tarmac", state, None, None, None, material), [])
        bound = 0.03 if state == "ice" else 0.15
        assert other <= bound
        for surface in SURFACES:
            assert other <= on_ground_friction(Footing(surface, state, None, None, None, material), [])


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


PALLETT = {"block": 0.4, "bare-metal": 0.1}
"""Lowest measured on concrete (Pallett et al., Concrete 36(6), 2002), restated by the Concrete Society, page 833."""


def value(key: str) -> float:
    return tables.table("friction").by_key[key].value


def test_no_row_is_over_a_nearer_publication() -> None:
    """On concrete the lowest measured; on snow a PVC sheet, sliding from 6 degrees; on ice steel, 0.03; sheets on sand, 26 degrees."""
    for what, lowest in PALLETT.items():
        for state in set(STATES) - {"soiled"}:
            assert value(f"{what}-concrete-{state}") <= lowest
    for surface in SURFACES:
        if surface == "other":
            continue
        assert value(f"cloth-{surface}-snow") <= math.tan(math.radians(6)) + 5e-4
        assert value(f"plastic-{surface}-snow") <= math.tan(math.radians(6)) + 5e-4
        for what in ("cloth", *FEET, *RUBS.values()):
            assert value(f"{what}-{surface}-ice") <= 0.03
            dry, wet, frozen, snow, ice = (value(f"{what}-{surface}-{s}") for s in ("dry", "wet", "frozen", "snow", "ice"))  # fmt: skip
            assert dry >= wet >= frozen >= snow >= ice
    for what in ("cloth", "bag", "plastic"):
        assert value(f"{what}-sand-wet") <= math.tan(math.radians(26))


def test_smooth_concrete_holds_no_more_than_rough() -> None:
    """A smooth face may be a cast one, and the lowest of all was measured on that: found as 0.30 against 0.10 of a metal foot."""
    for what in ("cloth", *FEET, *RUBS.values()):
        for state in set(STATES) - {"soiled"}:
            assert value(f"{what}-concrete-smooth-{state}") <= value(f"{what}-concrete-{state}"), (
                what,
                state,
            )


def test_the_wet_share_of_a_tyre_is_for_rubber_alone() -> None:
    """Plastic by the loading code's annex is alike dry and wet; sand that is moist holds as dry sand does."""
    tyre = {r.key for t in ("friction", "friction-stack") for r in tables.table(t).rows if "x 0.625" in r.note and "would be" not in r.note}  # fmt: skip
    assert tyre
    assert all(k.startswith("rubber-") for k in tyre)
    for surface in ("asphalt", "concrete", "concrete-smooth", "gravel", "sand"):
        assert value(f"plastic-{surface}-wet") == value(f"plastic-{surface}-dry")
    for what in ("cloth", *FEET, *RUBS.values()):
        assert value(f"{what}-sand-wet") == value(f"{what}-sand-dry")


@pytest.mark.parametrize("unit", ["sandbag", "water-barrel", "concrete-block"])
@pytest.mark.parametrize("surface", ["asphalt", "concrete", "clay", "grass"])
def test_a_lashing_that_does_not_count_is_never_better_than_one_that_does(unit: str, surface: str) -> None:
    """What touches the ground slides there too, bound or not."""
    for touches in (True, False, None):
        said = {"anchorage__unit": unit, "anchorage__unit_mass": None, "anchorage__contact": "plate", "anchorage__foot": "rubber",
                "anchorage__how": "lashed-to-leg", "stock": None, "site__surface": surface}  # fmt: skip
        on = {} if touches is None else {"on_ground": touches}
        bound, loose = (
            plan_of("asphalt", **said, anchorage__how_detail={"stop": True, "every_bag": every} | on)
            for every in (True, False)
        )
        assert loose.anchorage.friction <= bound.anchorage.friction
