"""Every contradiction of ``contradictions.py``: refused in one line that names the key, what was read and the way out."""

from __future__ import annotations

from typing import Any

import pytest
from toml_writer import demo, written

from anchorage.core.errors import Fault, InputFaults
from anchorage.deployment.reader import read_text

DOOR = {"wall": "front", "width": "14 ft", "height": "9 ft", "is": "open"}
OWN = {
    "set": "own", "wind": 1.5, "shelter": 1.0, "ballast": 1.0, "friction": 0.8, "stake": 0.5, "line": 1.0, "level": "service",
    "source": "our manual",
}  # fmt: skip
STAKE = {"diameter": "1 in", "driven": "30 in", "line_angle": 45, "soil": "stiff-clay"}
TESTED = {"pull_tests": ["620 lbf", "700 lbf", "655 lbf"]}

CASES: list[tuple[str, str, dict[str, Any], str, str, str]] = [
    # name, demo, changes, key, part of what was read, part of what is accepted
    ("ridge missing", "asphalt", {"shelter__ridge": None}, "shelter.ridge", "not given", "flat roof the same as the eave"),
    ("ridge below eave", "asphalt", {"shelter__ridge": "6 ft"}, "shelter.ridge", "6 ft", "below the eave (7 ft)"),
    ("openings over the wall", "asphalt", {"door": [DOOR, DOOR]}, "door", "front wall", "do not fit the wall"),
    ("duct over the wall", "asphalt", {"duct": [{"wall": "left", "diameter": "9 ft", "count": 4}]}, "duct|door", "left wall", "do not fit the wall"),
    ("surface missing", "asphalt", {"site__surface": None}, "site.surface", "not given", "what does it stand on?"),
    *[(f"on a {name}", "asphalt", {"site__surface": name}, "site.surface", repr(name), "an engineer of that")
      for name in ("roof", "rooftop", "flat roof", "parking-deck", "parking deck", "car park deck", "Parking Garage", "footbridge", "loading dock")],
    *[(f"with {what} beneath", "asphalt", {"site__beneath": what}, "site.beneath", repr(what), "an engineer of that")
      for what in ("building", "deck", "cellar", "ice")],
    ("other ground on a roof", "asphalt", {"site__other": [{"surface": "rooftop", "distance": "2 m"}]}, "site.other[1].surface", "'rooftop'", "an engineer of that"),
    ("other ground misspelt", "asphalt", {"site__other": [{"surface": "asphallt", "distance": "2 m"}]}, "site.other[1].surface", "'asphallt'", 'did you mean "asphalt"?'),
    ("a lawn on a roof", "asphalt", {"site__surface": "grass", "site__beneath": "building"}, "site.beneath", "'building'", "an engineer of that"),
    ("a point on a rooftop", "asphalt", {"point": [{"id": "L1", "surface": "rooftop"}]}, "point[1].surface", "'rooftop'", "an engineer of that"),
    ("beneath in other words", "asphalt", {"site__beneath": "nothing much"}, "site.beneath", "nothing much", "'nothing', 'building'"),
    ("a sandbag of rubber", "asphalt", {"anchorage__unit_material": "rubber"}, "anchorage.unit_material", "'rubber'", "a sandbag is woven"),
    ("a sandbag of rubber at a point", "asphalt", {"point": [{"id": "L1", "unit_material": "rubber"}]}, "point[1].unit_material", "'rubber'", "a sandbag is woven"),
    ("a unit of a material that is in no list", "asphalt", {"anchorage__unit": "sack", "anchorage__unit_material": "felt"}, "anchorage.unit_material", "felt", "'woven', 'plastic'"),
    ("on a vehicle", "asphalt", {"site__surface": "vehicle"}, "site.surface", "'vehicle'", "no anchors"),
    ("stakes in an unknown surface", "clay", {"site__surface": "moss"}, "site.surface", "'moss'", "a ground that is known: one of gravel, grass"),
    ("stakes in asphalt", "clay", {"site__surface": "asphalt"}, "anchorage.kind", '"stakes"', 'kind = "ballast"'),
    ("a soil on asphalt", "asphalt", {"anchorage__stake": STAKE}, "anchorage.stake.soil", "'stiff-clay'", "no soil to stake into in asphalt"),
    ("magnetic without a heading", "asphalt", {"site__heading": None, "site__heading_north": "magnetic"}, "site.heading_north", "magnetic", "give site.heading"),
    ("exposure twice", "asphalt", {"site__exposure": "C"}, "site.surroundings", "'town'", "not both"),
    ("ice in the heat", "asphalt", {"site__state": "ice", "site__temperature": "70 degF"}, "site.state", "'ice'", "does not stay so at 70 degF"),
    ("averaging twice", "asphalt", {"wind__averaging": "1 h"}, "wind.averaging", "'1 h'", "says 3 s: leave one out"),
    ("meter without a height", "asphalt", {"wind__speed_is": "meter-peak"}, "wind.height", "not given", "how high was the meter"),
    ("wind from high up", "asphalt", {"wind__height": "200 ft"}, "wind.height", "'200 ft'", "not brought down"),
    ("code without a level", "asphalt", {"wind__method": "asce7-22"}, "wind.level", "not given", "strength"),
    ("strength with service margins", "asphalt", {"wind__method": "asce7-22", "wind__level": "strength", "wind__speed_is": None, "wind__averaging": "3 s"}, "wind.level", "strength", 'set = "asd"'),
    ("service with strength margins", "asphalt", {"margins": {"set": "asd"}}, "wind.level", "service", 'set = "lumped-1.5"'),
    ("strength with own service margins", "asphalt", {"wind__method": "asce7-16", "wind__level": "strength", "wind__speed_is": None, "margins": OWN}, "wind.level", "strength", "takes service speeds"),
    ("service with own strength margins", "asphalt", {"margins": {**OWN, "level": "strength"}}, "wind.level", "service", "takes strength-level speeds"),
    ("strength with physics", "asphalt", {"wind__level": "strength", "wind__speed_is": None, "margins": {"set": "asd"}}, "wind.method", "physics", "asce7-16"),
    ("strength of a forecast", "asphalt", {"wind__method": "asce7-16", "wind__level": "strength", "margins": {"set": "asd"}}, "wind.speed_is", "forecast-gust", "service-level"),
    ("snow twice", "asphalt", {"snow": {"depth": "2 in", "kind": "wet", "water": "10 mm"}, "site__temperature": "30 degF"}, "snow.water", "'10 mm'", "not both"),
    ("snow kind without depth", "asphalt", {"snow": {"kind": "wet"}}, "snow.depth", "not given", "give its depth"),
    ("line ballast without an angle", "asphalt", {"anchorage__kind": "line-ballast"}, "anchorage.line_angle", "not given", "45 is half way up"),
    ("mixed without points", "asphalt", {"anchorage__kind": "mixed", "anchorage__how": None}, "anchorage.kind", "mixed", "nothing is said of L1, L2"),
    ("a point that is not there", "asphalt", {"point": [{"id": "X1"}]}, "point[1].id", "'X1'", "the points are L1, L2"),
    ("a point twice", "asphalt", {"point": [{"id": "L1"}, {"id": "L1"}]}, "point[2].id", "'L1'", "given twice"),
    ("a point on a vehicle", "asphalt", {"point": [{"id": "L1", "kind": "vehicle"}]}, "point[1].kind", "vehicle", "no anchors"),
    ("a point with unknown ballast", "asphalt", {"point": [{"id": "L1", "unit": "anvil"}]}, "point[1].unit", "'anvil'", "one of sandbag"),
    ("a stake of a point in asphalt", "clay", {"point": [{"id": "L1", "surface": "asphalt"}]}, "point[1].kind", "stakes", "no stake is counted in asphalt"),
    ("a stake of a point in moss", "clay", {"point": [{"id": "L1", "surface": "moss"}]}, "point[1].surface", "'moss'", "a ground that is known"),
    ("a deadman of nothing", "clay", {"anchorage__kind": "deadman", "anchorage__placed": None}, "anchorage.deadman", "not given", "depth, length and face"),
    ("ballast of nothing", "asphalt", {"anchorage__unit": None, "anchorage__unit_mass": None}, "anchorage.unit", "not given", "sandbag"),
    ("unknown ballast", "asphalt", {"anchorage__unit": "anvil", "anchorage__unit_mass": None}, "anchorage.unit", "'anvil'", "give unit_mass"),
    ("bags on the flap", "asphalt", {"anchorage__how": "on-flap"}, "anchorage.how", "on-flap", "holds nothing of the frame"),
    ("no such point", "asphalt", {"anchorage__placed": {"L9": 3}}, "anchorage.placed.L9", "no such point", "L1, L2, L3, L4"),
    ("points left out", "asphalt", {"anchorage__placed": {"L1": 3}}, "anchorage.placed", "L2, L3, L4, R1", "0 where there is none"),
    ("stakes of nothing", "clay", {"anchorage__stake": None}, "anchorage.stake", "not given", "diameter, driven and soil"),
    ("unknown soil", "clay", {"anchorage__stake__soil": "porridge"}, "anchorage.stake.soil", "'porridge'", "stiff-clay"),
    ("no soil and no test", "clay", {"anchorage__stake": {"diameter": "1 in", "driven": "30 in", "line_angle": 45}}, "anchorage.stake.soil", "not given", "thumb"),
    ("test without an angle", "clay", {"anchorage__stake": {**STAKE, **TESTED, "pulled": "held"}}, "anchorage.stake.pull_angle", "not given", "at what angle"),
    ("test without its end", "clay", {"anchorage__stake": {**STAKE, **TESTED, "pull_angle": 45}}, "anchorage.stake.pulled", "not given", "to-failure"),
    ("height without a line", "clay", {"anchorage__stake__line_angle": None}, "anchorage.stake.line_height", "'2 in'", "give line_angle too"),
    ("own margins half said", "asphalt", {"margins": {k: v for k, v in OWN.items() if k != "friction"}}, "margins.friction", "not given", "every factor"),
    ("a factor beside a named set", "asphalt", {"margins": {"set": "lumped-1.5", "stake": 0.9}}, "margins.stake", "given", 'set = "own"'),
    ("stock of what is not counted", "asphalt", {"stock": {"bags": 20}}, "stock.bags", "not a thing that is counted", "sandbags"),
]  # fmt: skip


def faults_of(data: dict[str, Any]) -> tuple[Fault, ...]:
    with pytest.raises(InputFaults) as caught:
        read_text(written(data), "site.toml")
    return caught.value.faults


@pytest.mark.parametrize(
    ("base", "changes", "key", "got", "accepted"), [c[1:] for c in CASES], ids=[c[0] for c in CASES]
)
def test_refused_in_one_line(base: str, changes: dict[str, Any], key: str, got: str, accepted: str) -> None:
    faults = faults_of(demo(base, **changes))
    mine = [f for f in faults if f.key in key.split("|")]
    assert len(mine) == 1, [str(f) for f in faults]
    line = str(mine[0])
    assert line.startswith(f"site.toml: {mine[0].key}: ")
    assert got in mine[0].got
    assert accepted in mine[0].accepted
    assert len(line.splitlines()) == 1


@pytest.mark.parametrize("base", ["asphalt", "clay"])
def test_the_file_that_is_changed_here_has_none(base: str) -> None:
    assert read_text(written(demo(base))).deployment.name


def test_every_own_margin_is_asked_for_at_once() -> None:
    keys = [f.key for f in faults_of(demo("asphalt", margins={"set": "own"}))]
    assert keys == [
        f"margins.{k}" for k in ("wind", "shelter", "ballast", "friction", "stake", "line", "level", "source")
    ]


def test_contradictions_and_unreadable_values_are_told_together() -> None:
    data = demo(
        "asphalt", shelter__ridge="6 ft", site__surface="roof", wind__speed="45", anchorage__how="on-flap", shelter__colour="red",
    )  # fmt: skip
    keys = {f.key for f in faults_of(data)}
    assert keys == {"shelter.ridge", "site.surface", "wind.speed", "anchorage.how", "shelter.colour"}


def test_a_value_that_cannot_be_read_is_told_once() -> None:
    keys = [f.key for f in faults_of(demo("asphalt", shelter__ridge="tall", site__surface=12))]
    assert sorted(keys) == ["shelter.ridge", "site.surface"]


def test_own_margins_complete_are_taken() -> None:
    assert read_text(written(demo("asphalt", margins=OWN))).margins.set == "own"
