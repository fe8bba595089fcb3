"""What came of each group of tests at the site, at and beside each boundary; every expected value is worked out by hand.

Equal readings count for their value times exp(-1.645 s √(1 + 1/n)): s² = ln(1 + 0.1²) for friction and masses, ln(1 + 0.25²) for stakes and clay.
A bag on asphalt has 0.54 dry, a sandbag 18.1 kg, stiff clay 47 880 Pa and at the most 95 760 Pa.
"""

from math import exp, log, sqrt
from typing import Any

import pytest

from anchorage.deployment.models import Anchorage, Deployment, Ground, Site, SiteTest, Snow
from anchorage.holding.evidence import Finding, findings, off_load
from anchorage.holding.measured import Lack, counts_for

BAGS = Anchorage.model_validate({"kind": "ballast", "unit": "sandbag"})
STAKE = {"diameter": "1 in", "driven": "36 in", "soil": "stiff-clay"}
STAKES = Anchorage.model_validate({"kind": "stakes", "stake": STAKE})
DRAG = {"kind": "drag", "what": "unit", "load": "100 N"}
PULL = {"kind": "pull", "force": ["2 kN"], "movement": "2 in", "state": "wet", "angle": 45}


def low(n: int, spread: float = 0.1) -> float:
    return exp(-1.645 * sqrt(log(1 + spread**2)) * sqrt(1 + 1 / n))


def ground(*tests: dict[str, Any], surface: str = "asphalt", state: str = "dry") -> Ground:
    site = Site.model_validate({"surface": surface, "state": state, "temperature": "60 degF"})
    return Ground(site, Snow(), [], [SiteTest.model_validate(t) for t in tests], settled=True, decon=False)


def drag(newtons: float, n: int, **more: Any) -> list[dict[str, Any]]:
    """So many places, each pulled at a steady force with 100 N on it."""
    force = [f"{newtons} N"]
    return [{**DRAG, "force": force, "steady": force, "place": f"place {i}", **more} for i in range(n)]


def found(*tests: dict[str, Any], of: Anchorage = BAGS, **more: str) -> tuple[Finding, ...]:
    return findings(of, ground(*tests, **more))


def one(*tests: dict[str, Any], of: Anchorage = BAGS, **more: str) -> Finding:
    (only,) = found(*tests, of=of, **more)
    return only


def test_no_test_no_finding() -> None:
    assert found() == ()


@pytest.mark.parametrize(
    ("newtons", "n", "value", "used", "why"),
    [
        (70, 5, 0.7 * low(5), True, ()),
        (30, 5, 0.3 * low(5), True, ()),
        (70, 4, 0.54, True, (Lack.PULL_TO_FIVE,)),
        (70, 2, 0.54, False, (Lack.FEW_PLACES, Lack.PULL_TO_FIVE)),
        (50, 2, 0.5 * low(2), True, (Lack.FEW_PLACES,)),
    ],
)
def test_pulls_by_their_places(
    newtons: float, n: int, value: float, used: bool, why: tuple[Lack, ...]
) -> None:
    """Under three they count for less alone, under five for no more than the row has; what is just the row's is no less."""
    f = one(*drag(newtons, n))
    assert (f.kind, f.contact, f.state, f.n, f.row_value, f.used, f.why) == ("drag", "bag-asphalt", "dry", n, 0.54, used, why)  # fmt: skip
    assert f.value == pytest.approx(value, rel=1e-4)


@pytest.mark.parametrize(
    ("more", "value", "why"),
    [
        ({"state": "ice"}, None, (Lack.ICE_OR_MUD, Lack.FEW_PLACES)),
        ({"load": None}, None, (Lack.LOAD, Lack.FEW_PLACES)),
        ({"force": [], "steady": []}, None, (Lack.FEW_PLACES, Lack.NOTHING_READ)),
        ({"angle": 20}, None, (Lack.NOT_LEVEL, Lack.FEW_PLACES)),
    ],
)
def test_pulls_that_tell_nothing(more: dict[str, Any], value: float | None, why: tuple[Lack, ...]) -> None:
    f = one(*drag(30, 5, **more))
    assert (f.n, f.value, f.row_value, f.used, f.why) == (0, value, None, False, why)


def test_a_pull_in_another_state() -> None:
    """Dry tells of wet, where no wet one was made there and where wet is no other way of sliding; nothing else tells of another."""
    dry, wet = drag(30, 5), drag(20, 5, state="wet")
    assert [(f.state, f.used, f.why) for f in found(*dry, state="wet")] == [("dry", True, ())]
    assert [(f.state, f.used, f.why) for f in found(*wet, state="dry")] == [
        ("wet", False, (Lack.OTHER_STATE,))
    ]
    assert [(f.state, f.used, f.why) for f in found(*dry, state="snow")] == [
        ("dry", False, (Lack.OTHER_STATE,))
    ]
    both = [("dry", False, (Lack.OTHER_STATE,)), ("wet", True, ())]
    assert [(f.state, f.used, f.why) for f in found(*dry, *wet, state="wet")] == both
    assert [f.used for f in found(*dry, *wet, state="dry")] == [True, False]


@pytest.mark.parametrize(
    "other", [{"what": "rubber"}, {"contact": "cloth"}, {"surface": "grass"}, {"state": "snow"}]
)
def test_a_wet_pull_of_something_else_takes_nothing_from_a_dry_one(other: dict[str, Any]) -> None:
    made = found(*drag(30, 5), *drag(20, 5, **{"state": "wet", **other}), state="wet")
    assert [f.used for f in made if f.contact == "bag-asphalt" and f.state == "dry"] == [True]


def test_plastic_and_metal_are_tested_wet() -> None:
    for what in ("plastic", "bare-metal"):
        f = one(*drag(10, 5, what=what), state="wet")
        assert (f.contact, f.used, f.why) == (f"{what}-asphalt", False, (Lack.WET_ONLY,))
        assert one(*drag(10, 5, what=what), state="snow").why == (Lack.OTHER_STATE,)
        assert one(*drag(10, 5, what=what), state="dry").used
        assert one(*drag(10, 5, what=what, state="wet"), state="wet").why == ()
    assert one(*drag(10, 5, what="plastic", state="wet"), state="dry").why == (Lack.OTHER_STATE,)


def test_what_slid_on_a_cloth_is_named_so() -> None:
    assert one(*drag(10, 5, contact="cloth")).contact == "bag-on-cloth"


def test_a_pull_of_what_is_not_said_is_one_finding_and_counts_where_it_takes_away_somewhere() -> None:
    """The unit's own is not known: it may have been any; 0.05 is under every row, 0.9 over them."""
    crate = Anchorage.model_validate({"kind": "ballast", "unit": "crate", "unit_mass": "40 lb"})
    f = one(*drag(5, 5), of=crate)
    assert (f.kind, f.contact, f.state, f.n, f.row_value, f.used) == ("drag", "?", "dry", 5, None, True)
    assert Lack.WHAT in f.why
    assert not one(*drag(110, 5), of=crate).used
    some = one(*drag(30, 5), of=crate)  # 0.25: under a bag's and over plastic's
    assert some.used
    two = found(*drag(5, 5), *drag(6, 5, state="wet"), *drag(5, 5, what="rubber"), of=crate)
    assert [(x.contact, x.state) for x in two] == [("rubber-asphalt", "dry"), ("?", "dry"), ("?", "wet")]


@pytest.mark.parametrize(
    ("kilograms", "n", "value", "used", "why"),
    [
        (25, 5, 25 * low(5), True, ()),
        (25, 4, 18.1, True, (Lack.PULL_TO_FIVE,)),
        (25, 2, 18.1, False, (Lack.FEW_PLACES, Lack.PULL_TO_FIVE)),
        (20, 2, 20 * low(2), True, (Lack.FEW_PLACES,)),
        (20, 3, 20 * low(3), True, ()),
        (90, 5, None, False, (Lack.BEYOND, Lack.FEW_PLACES)),
    ],
)
def test_masses(kilograms: float, n: int, value: float | None, used: bool, why: tuple[Lack, ...]) -> None:
    f = one({"kind": "weigh", "force": [f"{kilograms} kg"] * n})
    assert (f.kind, f.contact, f.state, f.row_value, f.used, f.why) == (
        "weigh",
        "sandbag",
        "",
        18.1,
        used,
        why,
    )
    assert f.n == (0 if value is None else n)
    assert f.value == (None if value is None else pytest.approx(value, rel=1e-4))


def test_masses_of_a_unit_of_which_nothing_is_said() -> None:
    """Two weighings give no mass where there is none to be less than; three do."""
    own = Anchorage.model_validate({"kind": "ballast", "unit": "crate"})
    few, whole = (one({"kind": "weigh", "force": ["20 kg"] * n}, of=own) for n in (2, 3))
    assert (few.row_value, few.used, few.why) == (None, False, (Lack.FEW_PLACES,))
    assert (whole.row_value, whole.used, whole.why) == (None, True, ())
    assert whole.value == pytest.approx(20 * low(3), rel=1e-4)


def test_a_mass_that_is_just_what_is_said_is_no_less_and_not_held_to_it() -> None:
    for n, why in ((3, ()), (2, (Lack.FEW_PLACES,))):
        said = counts_for([20.0] * n, 0.1)
        own = Anchorage.model_validate({"kind": "ballast", "unit": "crate", "unit_mass": f"{said!r} kg"})
        f = one({"kind": "weigh", "force": ["20 kg"] * n}, of=own)
        assert (f.value, f.row_value, f.used, f.why) == (said, said, n == 3, why)


def test_pulls_of_stakes() -> None:
    pulls = [{**PULL, "place": f"stake {i}"} for i in range(5)]
    f = one(*pulls, of=STAKES, surface="clay", state="wet")
    assert (f.kind, f.contact, f.state, f.n, f.row_value, f.used, f.why) == ("pull", "stake", "wet", 5, None, True, ())  # fmt: skip
    assert f.value == pytest.approx(2000 * low(5, 0.25), rel=1e-4)
    f = one({**PULL, "movement": "3 in"}, of=STAKES, surface="clay", state="wet")
    assert (f.n, f.value, f.used, f.why) == (0, None, False, (Lack.MOVED, Lack.FEW_PLACES))


@pytest.mark.parametrize(
    ("pascals", "n", "value", "used", "why"),
    [
        (90000, 5, 90000 * low(5, 0.25), True, ()),
        (200000, 5, 200000 * low(5, 0.25), True, ()),
        (200000, 4, 95760, True, (Lack.PULL_TO_FIVE,)),
        (200000, 2, 95760, False, (Lack.FEW_PLACES, Lack.PULL_TO_FIVE)),
        (70000, 1, 70000 * low(1, 0.25), True, (Lack.FEW_PLACES,)),
        (90000, 1, 90000 * low(1, 0.25), False, (Lack.FEW_PLACES,)),
        (600000, 5, None, False, (Lack.BEYOND, Lack.FEW_PLACES)),
    ],
)
def test_clay(pascals: float, n: int, value: float | None, used: bool, why: tuple[Lack, ...]) -> None:
    f = one(
        {"kind": "vane", "force": [f"{pascals} Pa"] * n, "state": "wet"},
        of=STAKES,
        surface="clay",
        state="wet",
    )
    assert (f.kind, f.contact, f.state, f.row_value, f.used, f.why) == (
        "vane",
        "clay",
        "wet",
        47880.0,
        used,
        why,
    )
    assert f.n == (0 if value is None else n)
    assert f.value == (None if value is None else pytest.approx(value, rel=1e-4))


def test_clay_of_no_strength_is_no_less_than_its_row() -> None:
    soft = Anchorage.model_validate({"kind": "stakes", "stake": {**STAKE, "soil": "very-soft-clay"}})
    f = one({"kind": "vane", "force": ["0 Pa"] * 2}, of=soft, surface="clay", state="wet")
    assert (f.value, f.row_value, f.used) == (0.0, 0.0, False)


def test_clay_in_which_no_stake_is() -> None:
    """A reading on another ground, or where no soil is named or no stake said, is no evidence of what holds here."""
    vane = {"kind": "vane", "force": ["90 kPa"] * 2}
    nameless = Anchorage.model_validate({"kind": "stakes", "stake": {"diameter": "1 in", "driven": "36 in"}})
    for of, on, value in (
        (STAKES, "grass", 90),
        (nameless, "clay", 90),
        (BAGS, "clay", 90),
        (BAGS, "clay", 900),
    ):
        each = one({**vane, "surface": on, "force": [f"{value} kPa"] * 2}, of=of, surface="clay")
        assert (each.row_value, each.used, each.why[-1]) == (None, False, Lack.NOT_HERE)
        assert each.value == (pytest.approx(90000 * low(2, 0.25), rel=1e-4) if value == 90 else None)
    two = found(vane, {**vane, "surface": "grass"}, vane, of=STAKES, surface="clay")
    assert [(f.n, f.row_value) for f in two] == [(4, 47880.0), (2, None)]


def test_a_meter() -> None:
    f = one({"kind": "meter", "force": ["11 m/s", "9 m/s"], "steady": ["10 m/s", "10 m/s"]})
    assert (f.kind, f.contact, f.state, f.n, f.value, f.row_value, f.used, f.why) == (
        "meter", "gust over forecast", "", 2, pytest.approx(1.1), 1.0, False, (Lack.SHOWN,),
    )  # fmt: skip


def lost(in_use: list[tuple[float, float]], **more: Any) -> bool:
    test = SiteTest.model_validate({**drag(50, 1)[0], **more})
    of = Deployment.model_construct(test=[SiteTest.model_validate(PULL), test])
    made = off_load(of, in_use)
    if made is None:
        return False
    assert [t.lost for t in made.test] == ["", Lack.LOAD_OFF.value]
    assert [t.lost for t in of.test] == ["", ""]
    return True


@pytest.mark.parametrize("what", ["foot", "cloth"])
@pytest.mark.parametrize(
    ("weights", "is_lost"),
    [([200], False), ([200.1], True), ([50], False), ([49.9], True), ([50, 200], False), ([50, 200.1], True), ([49.9, 200], True), ([], False)],
)  # fmt: skip
def test_a_foot_carries_between_half_and_twice_of_what_every_foot_will(
    what: str, weights: list[float], is_lost: bool
) -> None:
    """100 N were on it; of one unit is not asked."""
    assert lost([(w, 1000.0) for w in weights], what=what) is is_lost


@pytest.mark.parametrize("what", ["unit", None, "plastic"])
@pytest.mark.parametrize(
    ("in_use", "is_lost"),
    [
        ([(1000, 200)], False),
        ([(1000, 200.1)], True),
        ([(1000, 20), (1000, 200.1)], True),
        ([(50, 20)], False),
        ([(49.9, 20)], True),
        ([(10, 20), (50, 20)], False),
        ([(50, 20), (10, 20)], False),
    ],
)
def test_a_unit_carries_half_of_itself_and_twice_of_all_that_may_lie_on_it(
    what: str | None, in_use: list[tuple[float, float]], is_lost: bool
) -> None:
    assert lost(in_use, what=what) is is_lost


def test_what_was_not_pulled_or_is_lost_already_is_left() -> None:
    assert not lost([(9e9, 9e9)], load=None)
    assert not lost([], what="unit")
    gone = SiteTest.model_validate(drag(50, 1)[0]).losing(Lack.EXPIRED.value)
    other = SiteTest.model_validate({**PULL, "load": "100 N"})
    assert off_load(Deployment.model_construct(test=[gone, other]), [(9e9, 9e9)]) is None
