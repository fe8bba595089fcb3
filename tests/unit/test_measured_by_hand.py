"""Groups of tests at the site as values, at and beside each boundary; every expected value is worked out by hand."""

from math import exp, inf, log, sqrt
from typing import Any

import pytest

from anchorage.core.units import Measure
from anchorage.deployment.models import Anchorage, Ground, Site, SiteTest, Snow
from anchorage.holding.measured import (
    Group,
    Lack,
    counts_for,
    drags,
    friction_most,
    kilograms,
    meters,
    newtons,
    row_of,
    stakes_pulled,
    strengths,
    weighed_most,
    weighings,
)

UNITS = {"woven": "bag", "concrete": "block"}
FEET = {"rubber": "metal", "plastic": "plastic"}
BAGS = Anchorage.model_validate({"kind": "ballast", "unit": "sandbag", "foot": "rubber"})
FEW = (Lack.FEW_PLACES,)


def low(n: int, spread: float = 0.1) -> float:
    """What n equal readings of 1 count for."""
    return exp(-1.645 * sqrt(log(1 + spread**2)) * sqrt(1 + 1 / n))


def made_of(*of: dict[str, Any]) -> list[SiteTest]:
    return [SiteTest.model_validate(t) for t in of]


def ground(*of: SiteTest, surface: str = "asphalt") -> Ground:
    site = Site.model_validate({"surface": surface})
    return Ground(site, Snow(), [], list(of), settled=True, decon=False)


def drag(**more: Any) -> dict[str, Any]:
    return {"kind": "drag", "what": "unit", "load": "100 N", "force": ["60 N"], "steady": ["50 N"], **more}


def dragged(*of: dict[str, Any], by: Anchorage = BAGS, surface: str = "asphalt") -> tuple[Group, ...]:
    return drags(by, ground(*made_of(*of), surface=surface), UNITS, FEET)


def one(*of: dict[str, Any], by: Anchorage = BAGS, surface: str = "asphalt") -> Group:
    (only,) = dragged(*of, by=by, surface=surface)
    return only


def test_what_values_count_for() -> None:
    """Of one and of two by the spread that is taken as known; from three on by their own as well, with t of 2.92 and 2.3534."""
    assert counts_for([0.5], 0.1) == pytest.approx(0.5 * low(1), rel=1e-6)
    assert counts_for([0.2, 0.8], 0.1) == 0.2  # the mean of the logarithms is that of 0.4
    s = log(2)
    assert counts_for([1, 2, 4], 0.1) == pytest.approx(exp(s - 2.92 * s * sqrt(4 / 3)), rel=1e-6)
    logs = (0.0, 0.3, 0.6, 0.9)
    own = sqrt(sum((x - 0.45) ** 2 for x in logs) / 3)
    assert counts_for([exp(x) for x in logs], 0.1) == pytest.approx(
        exp(0.45 - 2.3534 * own * sqrt(5 / 4)), rel=1e-6
    )
    assert [counts_for(v, 0.1) for v in ([], [0.0, 1.0, 1.0], [-1.0], [1e-9])][:3] == [0.0, 0.0, 0.0]
    assert counts_for([1e-9], 0.1) > 0


def test_a_scale_reads_either() -> None:
    g = 9.80665
    assert newtons(Measure(2.0, "mass")) == pytest.approx(2 * g)
    assert [newtons(Measure(2.0, "force")), newtons(2.0)] == [2.0, 2.0]
    assert kilograms(Measure(2 * g, "force")) == pytest.approx(2.0)
    assert [kilograms(Measure(2.0, "mass")), kilograms(2.0)] == [2.0, 2.0]


@pytest.mark.parametrize(("steady", "value"), [(["50 N"], 0.5), (["70 N"], 0.6), ([], 0.45)])
def test_the_lesser_counts_and_three_quarters_of_the_greatest_alone(steady: list[str], value: float) -> None:
    assert one(drag(steady=steady)).lowest == pytest.approx(value)
    assert one(drag(steady=steady), surface="sand").lowest == pytest.approx(value if steady else 0.6)


def test_each_pull_has_its_own_steady_force() -> None:
    """The third was not read: three quarters of it."""
    g = one(drag(force=["60 N", "60 N", "60 N"], steady=["50 N", "40 N"], place="a"))
    assert (g.lowest, g.values) == (0.4, (0.4,))
    g = one(drag(force=["60 N", "60 N", "40 N"], steady=["50 N", "40 N"], place="a"))
    assert g.values == (pytest.approx(0.3),)


def test_the_least_at_each_place_and_what_has_no_name_is_one() -> None:
    g = one(
        drag(place="a"), drag(steady=["30 N"]), drag(place="b", steady=["20 N"]), drag(place="a", steady=["40 N"]), drag(steady=["35 N"]),
    )  # fmt: skip
    assert (g.values, g.lowest, g.lacks, g.whole) == ((0.4, 0.3, 0.2), 0.2, (), True)
    assert g.loads == (100.0,) * 5
    g = one(drag(place="a"), drag(place="b"))
    assert (g.values, g.lacks, g.whole) == ((0.5, 0.5), FEW, False)
    assert g.value == pytest.approx(0.5 * low(2), rel=1e-6)


def test_what_stands_in_a_group_and_what_in_another() -> None:
    g = one(drag())
    assert (g.kind, g.what, g.under, g.surface, g.state, g.foot, g.unsure) == ("drag", "bag", "asphalt", "asphalt", "dry", False, False)  # fmt: skip
    made = dragged(drag(), drag(state="wet"), drag(surface="grass"), drag(contact="cloth"), drag(contact="plate"), drag(what="foot"), drag(what="rubber"))  # fmt: skip
    assert [(g.what, g.under, g.surface, g.state, g.foot) for g in made] == [
        ("bag", "asphalt", "asphalt", "dry", False), ("bag", "asphalt", "asphalt", "wet", False), ("bag", "grass", "grass", "dry", False),
        ("bag", "on cloth", "asphalt", "dry", False), ("bag", "on metal", "asphalt", "dry", False), ("rubber", "asphalt", "asphalt", "dry", True),
        ("rubber", "asphalt", "asphalt", "dry", False),
    ]  # fmt: skip
    assert [g.unsure for g in made] == [False] * 7
    cloth = Anchorage.model_validate({"kind": "ballast", "contact": "cloth", "foot": "rubber"})
    assert one(drag(what="foot"), by=cloth).what == "cloth"


def test_what_is_not_said_stands_at_each_that_it_may_have_been() -> None:
    bare = Anchorage.model_validate({"kind": "ballast", "unit": "crate"})
    made = dragged(drag(place="a"), drag(place="b"), drag(place="c"), by=bare)
    assert [(g.what, g.unsure, g.whole, g.lacks) for g in made] == [
        (w, True, False, (Lack.WHAT,)) for w in ("bag", "block")
    ]
    assert [g.what for g in dragged(drag(what="foot"), by=bare)] == ["cloth", "rubber", "plastic"]
    assert [g.what for g in dragged(drag(what=None), by=bare)] == ["cloth", "rubber", "plastic"]
    made = dragged(drag(what="rubber", contact="plate"), by=bare)
    assert [(g.what, g.under, g.unsure) for g in made] == [
        ("rubber", "on metal", True),
        ("rubber", "on plastic", True),
    ]
    crate = Anchorage.model_validate({"kind": "ballast", "unit": "crate", "unit_material": "concrete"})
    assert one(drag(), by=crate).what == "block"
    listed = Anchorage.model_validate({"kind": "ballast", "unit": "sandbag", "unit_material": "concrete"})
    assert one(drag(), by=listed).what == "bag"


@pytest.mark.parametrize(
    ("more", "lacks", "lowest"),
    [
        ({"load": None}, (Lack.LOAD, *FEW), inf),
        ({"load": "0.9 N"}, (Lack.LOAD, *FEW), inf),
        ({"angle": 1}, (Lack.NOT_LEVEL, *FEW), 0.5),
        ({"angle": 0}, FEW, 0.5),
        ({"state": "ice"}, (Lack.ICE_OR_MUD, *FEW), 0.5),
        ({"state": "soiled"}, (Lack.ICE_OR_MUD, *FEW), 0.5),
        ({"state": "snow"}, FEW, 0.5),
        ({"force": [], "steady": []}, (*FEW, Lack.NOTHING_READ), None),
        ({"force": ["121 N"], "steady": ["121 N"]}, (Lack.BEYOND, *FEW), None),
        ({"force": ["120 N"], "steady": ["120 N"]}, FEW, 1.2),
        ({"load": None, "angle": 9, "state": "ice"}, (Lack.NOT_LEVEL, Lack.ICE_OR_MUD, Lack.LOAD, *FEW), inf),
    ],
)
def test_what_a_pull_lacks(more: dict[str, Any], lacks: tuple[Lack, ...], lowest: float | None) -> None:
    g = one(drag(**more))
    assert (g.lacks, g.lowest) == (lacks, lowest)
    assert (g.value is None) == (lacks != FEW)


def test_a_load_of_one_newton_is_the_least() -> None:
    assert one(drag(load="1 N", force=["1 N"], steady=["1 N"])).lacks == FEW


def test_one_that_lacks_something_takes_nothing_from_the_others() -> None:
    """It counts no place; of what was pulled without its load the next is read all the same."""
    three = [drag(place=p) for p in "abc"]
    g = one(drag(place="d", load=None), drag(place="e", angle=9, steady=["10 N"]), *three)
    assert (g.values, g.lowest, g.lacks, g.loads) == (
        (0.5,) * 3,
        0.1,
        (Lack.LOAD, Lack.NOT_LEVEL),
        (100.0,) * 4,
    )
    assert one(drag(force=[], steady=[], load="7 N"), *three).loads == (100.0,) * 3


@pytest.mark.parametrize(
    ("why", "lowest"), [(Lack.EXPIRED, None), (Lack.LOAD_OFF, None), (Lack.NOT_HERE, 0.5)]
)
def test_what_is_lost_is_no_lowest_either(why: Lack, lowest: float | None) -> None:
    (t,) = made_of(drag(force=["60 N"] * 2, steady=["50 N"] * 2))
    (g,) = drags(BAGS, ground(t.losing(why.value)), UNITS, FEET)
    assert (g.lowest, g.values, g.value, g.lacks) == (lowest, (), None, (why, *FEW))


def test_what_is_believed_at_the_most() -> None:
    """Twice what is usual: 25 kg of a sandbag; 'shelter' is a row of another kind."""
    assert friction_most() == 1.2
    assert weighed_most("sandbag") == 50.0
    assert weighed_most("shelter") == weighed_most("crate") == weighed_most(None) == 50.0  # not twice 6.5


def test_weighings() -> None:
    assert weighings(BAGS, made_of(drag())) is None
    of = made_of(
        drag(),
        {"kind": "weigh", "force": ["20 kg", "196.133 N"]},
        {"kind": "weigh", "force": ["22 kg", "50 kg", "50.1 kg"]},
    )
    g = weighings(BAGS, of)
    assert g is not None
    assert (g.kind, g.what, g.under, g.surface, g.state, g.lacks, g.lowest) == ("weigh", "sandbag", "", "", "", (Lack.BEYOND,), pytest.approx(20.0))  # fmt: skip
    assert g.values == pytest.approx((20, 20, 22, 50))
    three = weighings(BAGS, made_of({"kind": "weigh", "force": ["20 kg"] * 3}))
    assert three is not None
    assert three.value == pytest.approx(20 * low(3), rel=1e-6)
    assert (three.foot, three.unsure, three.whole) == (False, False, True)
    nameless = weighings(Anchorage.model_validate({"kind": "ballast"}), [of[1].losing("expired")])
    assert nameless is not None
    assert (nameless.what, nameless.lacks, nameless.values) == ("unit", (Lack.EXPIRED, *FEW), ())


def vane(*kpa: float, **more: Any) -> SiteTest:
    return SiteTest.model_validate({"kind": "vane", "force": [f"{k} kPa" for k in kpa], **more})


def test_strengths() -> None:
    """Each reading is a place; it is dry where any was."""
    here = ground(
        vane(90, 80, state="wet"),
        vane(70, 501, 500, state="wet"),
        vane(10, surface="grass"),
        *made_of(drag()),
        surface="clay",
    )
    g = strengths(here, "clay")
    assert g is not None
    assert (g.kind, g.what, g.under, g.surface, g.state, g.lacks) == (
        "vane",
        "clay",
        "",
        "clay",
        "wet",
        (Lack.BEYOND,),
    )
    assert g.values == pytest.approx((90e3, 80e3, 70e3, 500e3))
    other = strengths(here, "grass")
    assert other is not None
    assert (other.values, other.state) == ((10000.0,), "dry")
    assert other.value == pytest.approx(10000 * low(1, 0.25), rel=1e-6)
    assert strengths(here, "sand") is None
    both = strengths(
        ground(vane(9, state="wet"), vane(9, state="dry").losing("expired"), surface="clay"), "clay"
    )
    assert both is not None
    assert (both.state, both.lacks, both.values) == ("dry", (Lack.EXPIRED, *FEW), (9000.0,))


def pull(**more: Any) -> SiteTest:
    return SiteTest.model_validate(
        {
            "kind": "pull",
            "force": ["2 kN"],
            "movement": "50.8 mm",
            "state": "wet",
            "angle": 45,
            "place": "a",
            **more,
        }
    )


def test_pulls_of_stakes() -> None:
    """Two inches are 50.8 mm. The steady force counts where it is less; not three quarters, since a stake does not slide."""
    made = stakes_pulled(ground(pull(force=["2 kN", "3 kN"], steady=["1.5 kN"]), pull(place="b", force=["3 kN"]), pull(place="c"), surface="clay"), "clay")  # fmt: skip
    assert made is not None
    g, angle = made
    assert (g.kind, g.what, g.under, g.surface, g.state, g.lacks, angle) == (
        "pull",
        "stake",
        "",
        "clay",
        "wet",
        (),
        45,
    )
    assert (g.values, g.lowest) == ((1500.0, 3000.0, 2000.0), 1500.0)
    three = stakes_pulled(ground(*(pull(place=p) for p in "abc"), surface="clay"), "clay")
    assert three is not None
    assert three[0].value == pytest.approx(2000 * low(3, 0.25), rel=1e-6)


@pytest.mark.parametrize(
    ("more", "lacks"), [({"movement": "50.9 mm"}, (Lack.MOVED, *FEW)), ({"movement": None}, (Lack.MOVEMENT, *FEW)), ({"movement": "0 mm"}, FEW)]
)  # fmt: skip
def test_a_stake_that_moved(more: dict[str, Any], lacks: tuple[Lack, ...]) -> None:
    made = stakes_pulled(ground(pull(**more), surface="clay"), "clay")
    assert made is not None
    assert (made[0].lacks, made[0].lowest, len(made[0].values)) == (lacks, 2000.0, int(lacks == FEW))


def test_which_pulls_of_stakes_are_of_this_ground() -> None:
    clay = ground(pull(), pull(surface="grass", state=None, angle=30), *made_of(drag()), surface="clay")
    here, there = stakes_pulled(clay, "clay"), stakes_pulled(clay, "grass")
    assert here is not None
    assert there is not None
    assert (here[0].state, here[1], there[0].state, there[1]) == ("wet", 45, "dry", 30)
    assert stakes_pulled(clay, "sand") is None
    assert stakes_pulled(ground(pull(force=[]), surface="clay"), "clay") is None
    mixed = stakes_pulled(ground(pull(), pull(angle=30, state="dry"), surface="clay"), "clay")
    assert mixed is not None
    assert (mixed[1], mixed[0].state) == (None, "dry")


def test_a_pull_over_what_is_believed_counts_nothing() -> None:
    clay = ground(pull(force=["2 kN", "2.1 kN"]), pull(place="b").losing("expired"), surface="clay")
    made = stakes_pulled(clay, "clay", lambda _: 2000.0)
    assert made is not None
    assert (made[0].values, made[0].lowest, made[0].lacks) == (
        (2000.0,),
        2000.0,
        (Lack.BEYOND, Lack.EXPIRED, *FEW),
    )


def test_a_meter_beside_a_forecast() -> None:
    """Pair by pair, as far as both go; over a forecast of nothing is no ratio. The most is shown."""
    assert meters(made_of(drag())) is None
    g = meters(
        made_of(
            drag(),
            {
                "kind": "meter",
                "force": ["11 m/s", "9 m/s", "5 m/s", "7 m/s"],
                "steady": ["10 m/s", "10 m/s", "0 m/s"],
            },
        )
    )
    assert g is not None
    assert (g.kind, g.what, g.under, g.surface, g.state, g.lacks) == (
        "meter",
        "gust over forecast",
        "",
        "",
        "",
        (Lack.SHOWN,),
    )
    assert (g.values, g.lowest, g.value) == (
        pytest.approx((1.1, 0.9)),
        pytest.approx(0.9),
        pytest.approx(1.1),
    )
    half = meters(made_of({"kind": "meter", "force": ["0.4 m/s"], "steady": ["0.5 m/s"]}))
    assert half is not None
    assert half.values == pytest.approx((0.8,))
    none = meters(made_of({"kind": "meter", "force": [], "steady": []}))
    assert none is not None
    assert (none.values, none.lowest, none.value) == ((), None, None)


def test_a_figure_as_a_row() -> None:
    g = Group("drag", "bag", "asphalt", "asphalt", "dry", (0.5, 0.6, 0.7), 0.5, 0.4)
    r = row_of(g, 0.4, "1")
    assert (r.table, r.key, r.value, r.low, r.high, r.unit, r.how) == (
        "site-test-drag",
        "bag-asphalt-dry",
        0.4,
        0.4,
        0.7,
        "1",
        "computed",
    )
    assert r.label == "measured at the site: bag asphalt in dry"
    assert r.note is not None
    assert "3 places" in r.note
    w = row_of(Group("weigh", "sandbag", "", "", "", (20.0,), 20.0, 18.0), 18.0, "kg")
    assert (w.key, w.label) == ("sandbag", "measured at the site: sandbag")
    v = row_of(Group("vane", "clay", "", "grass", "wet", (9.0,), 9.0, 10.0), 10.0, "Pa")
    assert (v.key, v.low, v.high) == ("clay-grass-wet", 9.0, 10.0)
