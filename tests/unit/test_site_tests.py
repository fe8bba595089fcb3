"""Tests at the site: what each case does to a file, through the door that users go through."""

from __future__ import annotations

import copy
from typing import Any

import pytest
from snow_files import text

from anchorage.chance.uncertain import mean_of
from anchorage.checks.installation import assemble
from anchorage.cli.entry import main
from anchorage.core.errors import AnchorageError
from anchorage.deployment.reader import read_text
from anchorage.holding.measured import Lack
from anchorage.judging.plan import make_plan
from anchorage.judging.result import EvidenceOut, Plan
from anchorage.paper.screen import screen_lines
from anchorage.paper.site_tests import HOW_TO, LACKS, effect_words, evidence_lines
from anchorage.paper.text import check_lines

File = dict[str, Any]
BAGS: File = {
    "shelter": {"form": "gable", "length": "24 ft", "width": "18 ft", "eave": "7 ft", "ridge": "10 ft", "mass": "310 lb", "points_per_side": 4,
                "openings": {"front": 0.0, "back": 0.0, "left": 0.0, "right": 0.0}, "rating": {"gust_unlocked": "60 mph"}},
    "site": {"surface": "asphalt", "state": "dry", "beneath": "nothing", "exposure": "C", "temperature": "50 degF"},
    "wind": {"speed": "15 mph", "averaging": "3 s", "terrain": "site"},
    "anchorage": {"kind": "ballast", "unit": "sandbag", "how": "standing-tied", "contact": "plate", "foot": "rubber", "placed": 8},
}  # fmt: skip
"""A bag on dry asphalt has 0.54."""
STAKES: File = {
    **BAGS, "site": {"surface": "clay", "state": "wet", "exposure": "C", "temperature": "50 degF", "utilities": "marked"},
    "anchorage": {"kind": "stakes", "placed": 3, "contact": "cloth", "line_rated": "9000 lbf", "attachment_rated": "9000 lbf",
                  "stake": {"diameter": "1 in", "driven": "36 in", "line_angle": 45, "line_height": "1 in", "soil": "stiff-clay"}},
}  # fmt: skip


def drag(mu: float, n: int = 5, **more: Any) -> list[File]:
    """Pulls of one bag of 40 lb at so many places."""
    one = {
        "kind": "drag",
        "what": "unit",
        "load": "40 lb",
        "force": [f"{40 * mu} lbf"],
        "steady": [f"{40 * mu} lbf"],
    } | more
    return [{"place": f"place {i}"} | {k: v for k, v in one.items() if v is not None} for i in range(n)]


def put(file: File, **more: Any) -> File:
    file = copy.deepcopy(file)
    for key, value in more.items():
        place = file
        *parents, last = key.split("__")
        for name in parents:
            place = place.setdefault(name, {})
        place[last] = value
    return file


def plan(file: File, **more: Any) -> Plan:
    return make_plan(read_text(text(put(file, **more))))


def only(p: Plan) -> EvidenceOut:
    assert len(p.evidence) == 1
    return p.evidence[0]


def rub(p: Plan) -> float:
    return p.anchorage.friction


def limit(p: Plan) -> float:
    assert p.limit.anchorage_gust_m_s is not None
    return p.limit.anchorage_gust_m_s


# Friction


def test_five_places_stand_in_the_row_s_place():
    p = plan(BAGS, test=drag(0.7))
    e = only(p)
    assert (e.kind, e.contact, e.state, e.n, e.used, e.row_value) == (
        "drag", "bag-asphalt", "dry", 5, True, 0.54,
    )  # fmt: skip
    assert e.value == pytest.approx(0.7 * 0.8354, rel=1e-3)
    assert rub(p) == pytest.approx(e.value)
    assert limit(p) > limit(plan(BAGS))


def test_three_places_are_held_to_the_row_s_high_end():
    e = only(plan(BAGS, test=drag(0.8, 3)))
    assert (e.value, e.used, e.why) == (0.54, True, ["held-to-the-row-until-five"])
    assert only(plan(BAGS, test=drag(0.8, 5))).value == pytest.approx(0.8 * 0.8354, rel=1e-3)


def test_two_places_earn_nothing_and_a_low_pull_counts_at_once():
    p = plan(BAGS, test=drag(0.9, 2))
    assert not only(p).used
    assert limit(p) == limit(plan(BAGS))
    sand = put(BAGS, site__surface="sand")  # its row prints more than it counts for
    assert rub(plan(sand, test=drag(0.9, 2))) == rub(plan(sand)) < rub(plan(sand, test=drag(0.9, 3)))
    low = plan(BAGS, test=drag(0.3, 1))
    assert only(low).used
    assert limit(low) < limit(plan(BAGS))
    assert rub(low) < 0.3


def test_ten_pulls_at_one_place_are_one_place():
    many = {**drag(0.9, 1)[0], "force": ["36 lbf"] * 10, "steady": ["36 lbf"] * 10}
    e = only(plan(BAGS, test=[many]))
    assert (e.n, e.used, e.why) == (1, False, ["few-places", "held-to-the-row-until-five"])
    unnamed = [{k: v for k, v in t.items() if k != "place"} for t in drag(0.9)]
    assert only(plan(BAGS, test=unnamed)).n == 1


def test_only_the_greatest_pull_counts_three_quarters_and_on_sand_all():
    whole, most = only(plan(BAGS, test=drag(0.6))), only(plan(BAGS, test=drag(0.6, steady=None)))
    assert most.value == pytest.approx(0.75 * (whole.value or 0.0))
    sand = put(BAGS, site__surface="sand")
    assert only(plan(sand, test=drag(0.4, steady=None))).value == pytest.approx(
        only(plan(sand, test=drag(0.4))).value
    )


def test_the_lesser_of_greatest_and_steady_counts():
    assert only(plan(BAGS, test=drag(0.6, steady=["10 lbf"]))).value == pytest.approx(0.25 * 0.8354, rel=1e-3)


def test_a_scale_in_pounds_reads_a_force():
    assert only(plan(BAGS, test=drag(0.7, force=["28 lb"], steady=["28 lb"]))).value == pytest.approx(
        0.7 * 0.8354, rel=1e-3
    )


@pytest.mark.parametrize(("more", "why"), [
    ({"load": None}, Lack.LOAD), ({"what": None}, Lack.WHAT), ({"angle": 20}, Lack.NOT_LEVEL), ({"state": "ice"}, Lack.ICE_OR_MUD),
    ({"state": "soiled"}, Lack.ICE_OR_MUD), ({"force": [], "steady": []}, Lack.NOTHING_READ),
    ({"surface": "grass"}, None), ({"contact": "cloth"}, None),
])  # fmt: skip
def test_what_is_no_evidence_here_earns_nothing(more: File, why: Lack | None):
    p = plan(BAGS, test=drag(0.9, **more))
    assert limit(p) == limit(plan(BAGS))
    if why is not None:
        assert not only(p).used
        assert why.value in only(p).why


@pytest.mark.parametrize("state", ["ice", "soiled"])
def test_never_for_ice_or_mud(state: str):
    file = put(BAGS, site__state=state)
    for tests in (drag(0.9), drag(0.9, state=state)):
        assert limit(plan(file, test=tests)) == limit(plan(file))


def test_wet_from_dry_goes_by_the_rows_and_a_wet_test_before_it():
    wet = put(BAGS, site__state="wet")
    row, dry = rub(plan(wet)), rub(plan(BAGS, test=drag(0.7)))
    derived = rub(plan(wet, test=drag(0.7)))
    assert derived == pytest.approx(min(dry * row / 0.54, dry), rel=1e-6)
    both = plan(wet, test=[*drag(0.7), *drag(0.3, state="wet")])
    assert rub(both) == pytest.approx(0.3 * 0.8354, rel=1e-3)
    assert [e.used for e in both.evidence] == [False, True]


def test_plastic_is_tested_wet():
    wet = put(BAGS, site__state="wet", anchorage__unit="water-barrel")
    heavy = {"load": "450 lb", "force": ["270 lbf"], "steady": ["270 lbf"]}
    e = plan(wet, test=drag(0.0, **heavy)).evidence[0]
    assert (e.contact, e.used) == ("plastic-asphalt", False)
    assert "test-it-wet" in e.why
    assert plan(wet, test=drag(0.0, **heavy, state="wet")).evidence[0].used


def test_the_real_foot_carries_between_half_and_twice_of_what_it_will():
    """8 bags of 40 lb and an eighth of 310 lb: 359 lb; 180 to 718 lb."""
    file = put(BAGS, anchorage__how="hung-clear", anchorage__foot="bare-metal")

    def foot(load: float) -> Plan:
        return plan(
            file,
            test=drag(
                0.0, what="foot", load=f"{load} lb", force=[f"{0.7 * load} lbf"], steady=[f"{0.7 * load} lbf"]
            ),
        )

    bare = limit(plan(file))
    assert limit(foot(300)) > bare
    for load in (100, 900):
        assert limit(foot(load)) == bare
        assert "load-off" in only(foot(load)).why


def test_a_light_piece_of_a_bag_reads_high_and_earns_nothing():
    light = drag(0.0, load="10 lb", force=["9 lbf"], steady=["9 lbf"])
    assert limit(plan(BAGS, test=light)) == limit(plan(BAGS))
    assert "load-off" in only(plan(BAGS, test=light)).why


def test_ground_that_is_not_listed_is_known_by_a_pull():
    other = put(BAGS, site__surface="other")
    assert "surface-unknown" in {r.code for r in plan(other).reasons}
    pulled = plan(other, test=[*drag(0.6), *drag(0.5, what="rubber")])
    assert "surface-unknown" not in {r.code for r in pulled.reasons}
    assert rub(pulled) == pytest.approx(0.6 * 0.8354, rel=1e-3)
    assert "surface-unknown" in {r.code for r in plan(other, test=drag(0.6, 2)).reasons}


# Stakes, clay, masses, meter


def pull(force: float, n: int = 5, **more: Any) -> list[File]:
    one = {"kind": "pull", "force": [f"{force} lbf"], "angle": 45, "movement": "2 in", "state": "wet"} | more
    return [{"place": f"stake {i}"} | {k: v for k, v in one.items() if v is not None} for i in range(n)]


def test_pulls_of_stakes_count_by_the_low_fractile():
    p = plan(STAKES, test=pull(600))
    e = only(p)
    assert (e.kind, e.n, e.used) == ("pull", 5, True)
    assert p.anchorage.unit_strength_n == pytest.approx(e.value)
    assert e.value == pytest.approx(600 * 4.4482216 * 0.6414, rel=1e-3)
    assert limit(p) > limit(plan(STAKES))


def test_stakes_tested_dry_are_halved():
    dry = put(STAKES, site__state="dry")
    half, whole = (plan(dry, test=pull(600, state=s)).anchorage.unit_strength_n for s in ("dry", "wet"))
    assert half == pytest.approx(whole / 2)


@pytest.mark.parametrize(("more", "why"), [
    ({"movement": "3 in"}, "moved-too-far"), ({"movement": None}, "movement-unsaid"), ({"angle": 70}, None), ({"angle": None}, None),
])  # fmt: skip
def test_a_pull_that_is_not_as_asked_earns_nothing_over_theory(more: File, why: str | None):
    p = plan(STAKES, test=pull(900, **more))
    assert limit(p) <= limit(plan(STAKES)) * (1 + 1e-9)
    assert why is None or why in only(p).why


def test_two_stakes_that_failed_low_are_not_ignored():
    assert limit(plan(STAKES, test=pull(20, 2))) < 0.5 * limit(plan(STAKES))
    assert limit(plan(STAKES, test=pull(900, 2))) <= limit(plan(STAKES))


def test_pull_tests_of_both_kinds_count_by_the_lesser():
    old = {"pull_tests": ["700 lbf"] * 3, "pull_angle": 45, "pulled": "to-failure", "tested": "wet"}
    file = put(STAKES, anchorage__stake=STAKES["anchorage"]["stake"] | old)
    assert limit(plan(file, test=pull(300))) < limit(plan(file))
    assert limit(plan(file, test=pull(2000))) <= limit(plan(file)) * (1 + 1e-9)


def test_strength_of_clay_that_was_read():
    vane = [{"kind": "vane", "force": ["90 kPa"] * 5, "state": "wet"}]
    p, row = plan(STAKES, test=vane), plan(STAKES)
    assert (only(p).used, only(p).row_value) == (True, 47880.0)
    assert limit(p) > limit(row)
    few = plan(STAKES, test=[{"kind": "vane", "force": ["900 kPa"] * 2}])
    assert limit(few) == limit(row)
    soft = plan(STAKES, test=[{"kind": "vane", "force": ["20 kPa"]}])
    assert limit(soft) < limit(row)


def test_units_that_were_weighed():
    heavy = plan(BAGS, test=[{"kind": "weigh", "force": ["50 lb"] * 5}])
    assert heavy.anchorage.unit_mass_kg == pytest.approx(50 * 0.45359237 * 0.8354, rel=1e-3)
    light = plan(BAGS, test=[{"kind": "weigh", "force": ["25 lb"]}])
    assert light.anchorage.unit_mass_kg < 25 * 0.45359237
    assert (
        plan(BAGS, test=[{"kind": "weigh", "force": ["90 lb"] * 2}]).anchorage.unit_mass_kg
        == plan(BAGS).anchorage.unit_mass_kg
    )


def test_a_meter_beside_a_forecast_is_shown_and_moves_nothing():
    p = plan(BAGS, test=[{"kind": "meter", "force": ["22 mph", "15 mph"], "steady": ["20 mph", "15 mph"]}])
    assert (only(p).value, only(p).used, only(p).why) == (pytest.approx(1.1), False, ["shown-only"])
    assert limit(p) == limit(plan(BAGS))


def test_chance_uses_the_same_tests():
    means = [mean_of(assemble(read_text(text(put(BAGS, test=t))))).friction[0] for t in ([], drag(0.7))]
    assert means[0] == pytest.approx(0.54)
    assert 0.58 < means[1] <= 0.7
    stakes = mean_of(assemble(read_text(text(put(STAKES, test=pull(600))))))
    assert stakes.tests == pytest.approx([600 * 4.4482216152605] * 5)


# The file, the record, the pages


@pytest.mark.parametrize(("test", "says"), [
    ({"kind": "drag", "force": ["30 mph"]}, "a drag test reads a force"),
    ({"kind": "weigh", "force": ["30 kPa"]}, "a weigh test reads"),
    ({"kind": "shove"}, "test"), ({"kind": "drag", "what": "sledge"}, "test"), ({"kind": "drag", "at": "yesterday"}, "date and time"),
])  # fmt: skip
def test_what_cannot_be_read_is_refused(test: File, says: str):
    with pytest.raises(AnchorageError, match=says):
        plan(BAGS, test=[test])


def _logged(tmp_path: Any, file: File, *entries: tuple[str, ...]) -> Any:
    path = tmp_path / "site.toml"
    path.write_text(text(file), encoding="utf-8")
    for at, *words in entries:
        assert main(["log", str(path), *words, "--who", "a leader", "--at", at]) == 0
    return path


def _checked(path: Any, capsys: Any) -> Plan:
    capsys.readouterr()
    main(["check", str(path), "--json"])
    return Plan.model_validate_json(capsys.readouterr().out)


@pytest.mark.parametrize(("after", "state"), [("rain", "wet"), ("thaw", "wet"), ("frost", "ice")])
def test_weather_after_a_test_ends_it(after: str, state: str, tmp_path: Any, capsys: Any):
    """What an inspection was after is the state of the ground from then on; a test of dry ground serves no ice."""
    made = drag(0.7, at="2026-11-27T12:00Z")
    early = _logged(tmp_path, put(BAGS, test=made), ("2026-11-27T10:00Z", "inspection", "--after", after))
    assert only(_checked(early, capsys)).used == (state != "ice")
    late = _logged(tmp_path, put(BAGS, test=made), ("2026-11-27T14:00Z", "inspection", "--after", after))
    p = _checked(late, capsys)
    assert (only(p).used, only(p).why[0]) == (False, "expired")
    assert rub(p) == rub(plan(BAGS, site__state=state)) < 0.54
    undated = _logged(tmp_path, put(BAGS, test=drag(0.7)), ("2026-11-27T10:00Z", "note", "nothing else"))
    assert not only(_checked(undated, capsys)).used


def test_after_three_days_a_test_is_asked_about(tmp_path: Any, capsys: Any):
    file = put(BAGS, test=drag(0.7, at="2026-11-20T12:00Z"))
    path = _logged(tmp_path, file, ("2026-11-22T12:00Z", "note", "two days"))
    assert "test-old" not in {r.code for r in _checked(path, capsys).reasons}
    path = _logged(tmp_path, file, ("2026-11-24T12:00Z", "note", "four days"))
    assert "test-old" in {r.code for r in _checked(path, capsys).reasons}


def test_readings_that_are_logged_go_into_the_same_place(tmp_path: Any, capsys: Any):
    """The file says what is pulled and its load; each pull is logged with its place."""
    file = put(
        BAGS, test=[{k: v for k, v in drag(0.7, 1, steady=None)[0].items() if k not in ("place", "force")}]
    )
    entries = [
        ("2026-11-27T10:00Z", "test", f"{f} lbf", "--kind", "drag", "--where", f"L{k + 1}")
        for k, f in enumerate((20, 21, 22))
    ]
    p = _checked(_logged(tmp_path, file, *entries), capsys)
    assert only(p).n == 3
    assert only(p).value == pytest.approx(0.75 * 20 / 40 * 0.87, rel=0.05)


def test_rain_in_the_forecast_takes_the_tests_away(tmp_path: Any, capsys: Any):
    import json

    say = [
        "--say", "until 14:00 gust 10 mph", "--say", "from 14:00 until 20:00 gust 10 mph rain 5 mm", "--heard", "06:00", "--now", "2026-03-01T06:00",
    ]  # fmt: skip
    found = []
    for tests in ([], drag(0.7)):
        path = tmp_path / "site.toml"
        file = put(
            BAGS,
            outlook={"zone": "Etc/UTC"},
            times=dict.fromkeys(("setup", "secure", "notify", "people_out", "strike"), "10 min"),
        )
        path.write_text(text(put(file, test=tests) if tests else file), encoding="utf-8")
        main(["outlook", str(path), *say, "--json"])
        found.append([h["limit_gust_m_s"] for h in json.loads(capsys.readouterr().out)["hours"]])
    assert found[1][0] > found[0][0]
    assert found[1][-1] == pytest.approx(found[0][-1])


def test_every_kind_says_how_and_every_lack_has_words():
    assert set(HOW_TO) == {"drag", "weigh", "pull", "vane", "meter"}
    assert set(LACKS) == set(Lack)


def test_how_to_test_can_be_looked_up(capsys: Any):
    assert main(["help", "tests"]) == 0
    said = capsys.readouterr().out
    assert all(w in said for w in ("Five places", "level", "51 mm", "[[test]]"))


def test_what_the_tests_do_to_the_count():
    file = put(
        BAGS, anchorage={k: v for k, v in BAGS["anchorage"].items() if k != "placed"}, wind__speed="30 mph"
    )
    here, tables = plan(file, test=drag(0.3)), plan(file)
    assert here.anchorage.total.units > tables.anchorage.total.units
    assert (
        effect_words(here, tables)
        == f"With what was measured {here.anchorage.total.units}; by the tables alone {tables.anchorage.total.units}."
    )
    assert "it holds to" in effect_words(plan(BAGS, test=drag(0.7)), plan(BAGS))


def test_check_says_what_was_measured():
    p = plan(BAGS, test=drag(0.7))
    assert evidence_lines(p) == ["Pulls, bag-asphalt, dry, 5 places: 0.58 counts, the table has 0.54."]
    assert any("MEASURED HERE" in line for line in check_lines(p))
    assert any(line.startswith("MEASURED") for line in screen_lines(p))
    assert not any("MEASURED HERE" in line for line in check_lines(plan(BAGS)))


def test_a_low_pull_counts_where_the_material_is_not_said_too():
    """Else leaving out what the units are made of would hold more than saying it."""
    low = drag(0.05)
    own = put(BAGS, anchorage__unit="crate", anchorage__unit_mass="40 lb")
    said = [
        limit(plan(put(own, anchorage__unit_material=m), test=low)) for m in ("woven", "concrete", "plastic")
    ]
    assert limit(plan(own, test=low)) <= min(said) + 1e-9
    assert limit(plan(own, test=low)) < limit(plan(own))
    assert only(plan(own, test=low)).used
