"""tables/defaults.toml against the program: what a key that is left out is taken as, and on which side that errs.

``safe``: no value that could be given makes any load larger or any limit lower. ``short``: some value does, and where
the row has words for it they are printed. ``asks``: the reader or the result asks, in the words of the row.
"""

import copy
import functools
from collections.abc import Iterator
from typing import Any

import pytest
from snow_files import text

from anchorage.cli.entry import main
from anchorage.core import tables
from anchorage.core.errors import AnchorageError
from anchorage.deployment.models import Deployment, Part, Shelter
from anchorage.deployment.reader import read_text
from anchorage.judging.plan import make_plan
from anchorage.judging.result import Plan
from anchorage.paper.text import check_lines

File = dict[str, Any]
ROWS = {r.key: r for r in tables.register().defaults}
BAG = {"unit": "sandbag", "how": "on-foot"}
STAKE = {"diameter": "1 in", "driven": "30 in", "soil": "stiff-clay"}
OWN = {"set": "own", "wind": 1.5, "shelter": 1.0, "ballast": 1.0, "friction": 1.0, "stake": 0.75, "line": 1.0,
       "level": "service", "source": "a copy of a manual"}  # fmt: skip


def put(file: File, key: str, value: Any) -> File:
    """The file with one key set, or taken out where the value is None; ``door.is`` is that of the first door."""
    file = copy.deepcopy(file)
    *parents, last = key.split(".")
    place: Any = file
    for name in parents:
        place = place.setdefault(name, {})
        place = place[0] if isinstance(place, list) else place
    if value is None:
        place.pop(last, None)
    else:
        place[last] = value
    return file


def made(kind: str, **more: Any) -> File:
    shelter = {"form": "gable", "length": "24 ft", "width": "18 ft", "eave": "7 ft", "ridge": "10 ft", "points_per_side": 4,
               "points_per_end": 3, "mass": "600 lb"}  # fmt: skip
    file: File = {"shelter": shelter, "site": {"surface": "grass"}, "wind": {"speed": "30 mph"},
                  "anchorage": {"kind": kind, "placed": 12}}  # fmt: skip
    for key, value in more.items():
        file = put(file, key.replace("__", "."), value)
    return file


def bags(**more: Any) -> File:
    return made("ballast", anchorage__unit="sandbag", anchorage__how="on-foot", **more)


RATED = {
    "gust_unlocked": "40 mph",
    "gust_locked": "50 mph",
    "roof_snow_unlocked": "4 psf",
    "roof_snow_locked": "8 psf",
}
STRAP = {
    "count": 3, "ends": 2, "angle": 45, "bay": "6 ft", "rated": "1500 lbf", "stiffness": "30000 lbf", "slack": "0.5 in",
}  # fmt: skip
PULL = {"kind": "drag", "what": "unit", "load": "40 lb", "force": ["28 lbf"]}
STAKE_PULL = {"kind": "pull", "force": ["300 lbf"], "angle": 45, "movement": "1 in", "state": "wet"}
FILES: dict[str, File] = {
    "dragged": made("ballast", anchorage__unit="sandbag", anchorage__how="standing-tied", anchorage__contact="plate", anchorage__foot="rubber",
                    site={"surface": "asphalt", "state": "dry", "beneath": "nothing"}, test=[PULL | {"place": f"place {i}"} for i in range(5)]),
    "staked": made("stakes", anchorage__stake=STAKE | {"line_angle": 45}, anchorage__line_rated="9000 lbf", anchorage__attachment_rated="9000 lbf",
                   test=[STAKE_PULL | {"place": f"place {i}"} for i in range(3)]),
    "bags": bags(),
    "rated": bags(shelter__rating=RATED),
    "lashed": made("ballast", anchorage__unit="sandbag", anchorage__how="lashed-to-leg", anchorage__contact="plate", anchorage__foot="rubber",
                   anchorage__how_detail={"stop": True, "every_bag": True, "on_ground": False}),
    "feet": made("stakes", anchorage__stake=STAKE),
    "lines": made("stakes", anchorage__stake=STAKE | {"line_angle": 45}, anchorage__line_rated="2000 lbf"),
    "strong": made("stakes", anchorage__stake=STAKE | {"line_angle": 45}, anchorage__line_rated="9000 lbf",
                   anchorage__attachment_rated="9000 lbf", anchorage__placed=40, site__utilities="marked",
                   shelter__rating=RATED, wind={"speed": "8 mph", "averaging": "3 s"}, shelter__openings={"front": 0.0}),
    "blocks": made("line-ballast", anchorage__unit_mass="500 lb", anchorage__unit_material="concrete", anchorage__line_angle=30,
                   anchorage__block={"height": "1 ft", "eye": "1 ft", "middle": "1 ft"}),
    "blocks-calm": made("line-ballast", anchorage__unit_mass="500 lb", anchorage__unit_material="concrete", anchorage__line_angle=30,
                        anchorage__block={"height": "1 ft", "eye": "1 ft", "middle": "1 ft"}, wind={"speed": "10 mph"}),
    "blocks-steep": made("line-ballast", anchorage__unit_mass="500 lb", anchorage__unit_material="concrete", anchorage__line_angle=75,
                         anchorage__block={"height": "0 ft", "eye": "0.2 ft", "middle": "1 ft"}),
    "deadman": made("deadman", anchorage__line_angle=45, anchorage__placed=1,
                    anchorage__deadman={"depth": "4 ft", "length": "3 ft", "face": "8 in"}),
    "tested": made("stakes", site__state="dry", anchorage__line_rated="9000 lbf", anchorage__stake=STAKE | {
        "line_angle": 45, "pull_tests": ["600 lbf", "640 lbf", "660 lbf"], "pull_angle": 45, "pulled": "to-failure"}),
    "tested-wet": made("stakes", site__state="wet", anchorage__line_rated="9000 lbf", anchorage__stake=STAKE | {
        "line_angle": 45, "pull_tests": ["600 lbf", "640 lbf", "660 lbf"], "pull_angle": 45, "pulled": "to-failure"}),
    "canopy": bags(shelter__form="canopy-gable"),
    "mono": bags(shelter__form="single-slope"),
    "mono-east": bags(shelter__form="single-slope", wind__from=90, site__heading=0),
    "hip": bags(shelter__form="hip"),
    "arch": bags(shelter__form="arch"),
    "asce": bags(wind__method="asce7-22", wind__averaging="3 s", wind__level="strength", margins={"set": "asd"}),
    "en": bags(wind__method="en1991", wind__averaging="10 min"),
    "meter": bags(wind__speed_is="meter-peak", wind__height="6 ft 6 in"),
    "meter-mean": bags(wind__speed_is="meter-average", wind__height="6 ft 6 in"),
    "own": bags(margins=OWN),
    "hill": bags(site__topography={"feature": "hill", "height": "60 m", "half_length": "100 m"}),
    "east": bags(wind__from=45, site__heading=0, shelter__length="40 ft"),
    "opened": bags(shelter__openings={"back": 0.02}),
    "all-shut": bags(shelter__openings={"front": 0.0, "back": 0.0, "left": 0.0, "right": 0.0}),
    "north": bags(wind__from=0, site__heading=0, shelter__length="40 ft"),
    "with-door": bags(shelter__openings={"back": 0.0}, door=[{"wall": "front", "width": "6 ft", "height": "6 ft"}]),
    "with-duct": bags(shelter__openings={"back": 0.0}, duct=[{"wall": "front", "diameter": "12 in"}]),
    "with-point": bags(point=[{"id": "R2"}]),
    "decon": bags(site__state="dry"),
    "locked": bags(shelter__rating=RATED, shelter__straps="locked", shelter__strap=STRAP, shelter__lean=0.005,
                   snow={"depth": "3 in", "kind": "settled"}, site__state="dry"),
    "calm": bags(shelter__rating={**RATED, "gust_unlocked": "90 mph", "gust_locked": "90 mph"}, shelter__strap=STRAP, shelter__lean=0.005, site__state="dry"),
    "snow": bags(shelter__rating=RATED, snow={"depth": "3 in"}),
    "layers": bags(shelter__rating=RATED, snow={"layers": [{"depth": "3 in"}]}),
    "falls": bags(shelter__rating=RATED, snow={"depth": "1 in", "kind": "new", "falling": {"depth": "1 in"}}),
    "asce7-16": bags(shelter__rating=RATED, snow={"ground_load": "10 psf", "edition": "asce7-16"}),
    "asce7-22": bags(shelter__rating=RATED, snow={"ground_load": "10 psf", "edition": "asce7-22"}),
    "en-snow": bags(shelter__rating=RATED, snow={"ground_load": "10 psf", "edition": "en1991-1-3"}),
    "sized": bags(anchorage__placed=None),
    "half-staked": made("mixed", anchorage__unit="sandbag", anchorage__how="standing-tied", anchorage__stake=STAKE, anchorage__placed=4, shelter__points_per_side=3, shelter__points_per_end=2,
                        point=[{"id": i, "kind": "stakes" if i[0] == "L" else "ballast"} for i in ("L1", "L2", "L3", "R1", "R2", "R3")]),
    "foot-with-nothing": bags(point=[{"id": "L2", "placed": 0}]),
    "half": bags(shelter__openings={"front": 0.0}, halfway={"cover": "after"}),
}  # fmt: skip
HELD = ("bags", "feet", "lines", "blocks")
SNOW = ("asce7-16", "asce7-22", "en-snow")
HILL = {"feature": "hill", "height": "60 m", "half_length": "100 m"}

TRIED: dict[str, list[tuple[str, list[Any]]]] = {
    "deployment.use": [("decon", ["decon"])],
    "shelter.ridge_length": [("hip", ["0 ft", "3 ft", "20 ft"])],
    "shelter.blockage": [("canopy", ["clear", "obstructed"])],
    "shelter.joined": [("bags", [{"count": 2, "how": "end-to-end"}])],
    "shelter.mass": [(f, ["100 lb", "600 lb", "2000 lb"]) for f in HELD],
    "shelter.high_side": [("mono", ["left", "right"]), ("mono-east", ["left", "right"])],
    "shelter.points_per_end": [(f, [2, 3, 5]) for f in HELD],
    "shelter.openings": [(f, [{"front": 0.0}, {"front": 0.2, "back": 0.2}, {"front": 1.0}, {"left": 0.5}, {"right": 0.04}])
                         for f in (*HELD, "hip", "arch", "mono", "asce", "en")],
    "shelter.openings.front": [("all-shut", [0.1, 1.0])],
    "shelter.openings.back": [("all-shut", [0.1, 1.0])],
    "shelter.openings.left": [("all-shut", [0.1, 1.0])],
    "shelter.openings.right": [("all-shut", [0.1, 1.0])],
    "shelter.straps": [("calm", ["unlocked", "locked"])],
    "shelter.lean": [("locked", [0.0, 0.005, 0.05])],
    "site.state": [(f, ["dry", "wet", "frozen", "ice", "snow"]) for f in HELD],
    "site.exposure": [(f, ["B", "C", "D"]) for f in ("bags", "lines", "meter", "meter-mean", "asce")],
    "site.surroundings": [(f, ["open", "field", "town"]) for f in ("bags", "lines", "meter", "asce")],
    "site.terrain_category": [("en", ["0", "I", "II", "III", "IV"])],
    "site.z0": [("meter-mean", ["0.001 m", "0.09 m"])],
    "site.topography": [("bags", [HILL]), ("asce", [HILL])],
    "site.topography.distance": [("hill", ["0 m", "20 m", "100 m"])],
    "site.topography.side": [("hill", ["upwind", "downwind"])],
    "site.elevation": [("bags", ["-100 m", "0 m", "1000 m"])],
    "site.pressure": [("bags", ["95 kPa", "104 kPa"])],
    "site.temperature": [("bags", ["-20 degC", "20 degC"])],
    "site.humidity": [("bags", [0.0, 0.5, 1.0])],
    "site.heading": [("east", [10, 170])],
    "site.heading_north": [("north", ["true", "magnetic"])],
    "site.slope": [(f, [0, 2, 5]) for f in HELD],
    "wind.speed_is": [("bags", ["forecast-gust", "forecast-wind", "airport-wind"])],
    "wind.averaging": [("bags", ["3 s", "1 min", "2 min", "10 min", "1 h"])],
    "wind.conversion": [("bags", ["larger", "durst", "wmo"]), ("en", ["larger", "durst", "wmo"])],
    "wind.terrain": [(f, ["open", "site"]) for f in ("bags", "meter")],
    "wind.height": [("bags", ["2 m", "10 m"])],
    "wind.from": [(f, [0, 45, 90, 180]) for f in ("bags", "mono-east", "east")],
    "wind.return_period": [("en", [2, 50, 100])],
    "wind.code_minimum": [("asce", [True, False])],
    "snow.depth": [("snow", ["0 in", "4 in"])],
    "snow.kind": [("snow", ["new", "settled", "wet", "slush", "ice"])],
    "snow.layers.kind": [("layers", ["new", "settled", "wet", "slush", "ice"])],
    "snow.rain": [("snow", ["5 mm", "20 mm"])],
    "snow.falling.kind": [("falls", ["new", "slush"])],
    "snow.holds_down": [("snow", [True, False])],
    "snow.level": [("asce7-16", ["service"]), ("asce7-22", ["strength"])],
    "snow.risk_category": [("asce7-16", ["I", "II", "III", "IV"])],
    "snow.exposure": [("asce7-16", ["fully", "partially", "sheltered"]), ("asce7-22", ["fully", "partially", "sheltered"]),
                      ("en-snow", ["windswept", "normal", "sheltered"])],
    "snow.heated": [(f, [True, False]) for f in SNOW],
    "snow.slippery": [(f, [True, False]) for f in SNOW[:2]],
    "snow.winter_wind": [("asce7-22", [0.1, 0.4, 0.8])],
    "snow.exceptional": [("en-snow", [True])],
    "anchorage.unit_mass": [("bags", ["20 lb", "60 lb"])],
    "anchorage.contact": [(put(put(f, "site.surface", s), "site.state", w), ["cloth", "plate", "ground"])
                          for f in (FILES["bags"], FILES["lines"])
                          for s in ("asphalt", "grass", "clay") for w in ("dry", "wet", "ice")
                          if f["anchorage"]["kind"] == "ballast" or s != "asphalt"],
    "anchorage.how_detail.on_ground": [(put(put(FILES["lashed"], "site.surface", s), "anchorage.foot", f), [True, False])
                                       for s in ("asphalt", "grass", "clay") for f in ("rubber", "plastic")],
    "anchorage.foot_rated": [("lashed", ["20 lbf", "5000 lbf"])],
    "anchorage.foot": [("bags", ["bare-metal", "plastic", "rubber"])],
    "anchorage.size_for": [("sized", ["working", "people-in", "empty", "set-up"])],
    "policy.people_out": [("sized", [0.4, 0.8])], "policy.secure": [(put(FILES["sized"], "anchorage.size_for", "working"), [0.4, 0.6])],
    "anchorage.friction_adds": [(f, [True, False]) for f in ("lines", "blocks", "half-staked")],
    "anchorage.knots": [("lines", [True, False])],
    "anchorage.bearing_area": [("blocks-calm", ["0.1 m2", "1 m2"])],
    "anchorage.stake.line_angle": [(put(FILES["lines"], "anchorage.line_rated", None), [20, 45, 70])],
    "anchorage.stake.line_height": [("lines", ["0 in", "2 in", "6 in"])],
    "anchorage.stake.tested": [(f, ["dry", "wet"]) for f in ("tested", "tested-wet")],
    "anchorage.stake.test_driven": [("tested", ["20 in", "3 ft"])],
    "anchorage.stake.test_diameter": [("tested", ["0.5 in", "1.5 in"])],
    "anchorage.stake.test_height": [(put(FILES["tested"], "anchorage.stake.line_height", "2 in"), ["0 in", "4 in"])],
    "anchorage.stake.test_soil": [("tested", ["hard-clay", "loose-sand"])],
    "anchorage.stake.spacing": [("lines", ["4 in", "1 ft"])],
    "anchorage.stake.lean": [("strong", [-45, -20, 20])],
    "anchorage.block": [("blocks", [{"height": "3 ft", "eye": "0.5 ft", "middle": "0.5 ft"}])],
    "anchorage.block.depth": [("blocks-steep", ["1.1 ft", "4 ft"])],
    "anchorage.deadman.ground": [("deadman", ["loam", "sand", "fine", "hardpan", "fine-wet"])],
    "anchorage.deadman.trench": [("deadman", ["1 ft", "2 ft 6 in"])],
    "margins.set": [("bags", ["lumped-1.5", "en1997-equ"])],
    "door": [("all-shut", [[{"wall": "front", "width": "6 ft", "height": "6 ft"}]])],
    "door.is": [("with-door", ["open", "closed", "in-use"])],
    "duct": [("all-shut", [[{"wall": "front", "diameter": "3 ft", "count": 4}]])],
    "duct.count": [("with-duct", [1, 4, 20])],
    "shelter.strap.frame_across": [("locked", [False, True])],
    "shelter.spans_lost_foot": [("foot-with-nothing", [False, True])],
    "point.usable": [("with-point", [True, False])],
    "point.on_ground": [("with-point", [True, False])],
    "halfway.placed": [("half", [0, 4, 12])],
    "test": [("dragged", [[PULL | {"force": ["2 lbf"]}]])],
    "test.place": [("dragged", ["place 1", "a place of its own"])],
    "test.state": [("dragged", ["wet", "dry"])],
    "test.load": [("dragged", ["40 lb", "400 lb"])],
    "test.force": [("dragged", [["28 lbf"], ["2 lbf"]])],
    "test.steady": [("dragged", [["28 lbf"], ["2 lbf"]])],
    "test.angle": [("dragged", [0, 20])],
    "test.movement": [("staked", ["1 in", "3 in"])],
}  # fmt: skip
"""Keys that are ``safe`` or ``short``: files, and what could be said in each."""
NOT_BY_NUMBER = {
    "site.beside": "no number follows from it: a caution does",
    "site.declination": "only with a compass heading, see site.heading_north",
    "wind.method": "a code's method takes another number, so there is nothing to compare",
    "anchorage.stake.pull_tests": "a test may show anything",
    "snow.falling": "it changes hours, not what lies there", "snow.pockets": "with rain only",
    "snow.sag": "a check of its own", "snow.building": "more snow by its rule, or refused",
    "snow.return_period": "annex D has limits of its own: tests/validation/test_snow_codes.py",
    "shelter.leg_lean": "the push of the feet alone: tests/unit/test_snow_straps.py",
    "times.secure": "it moves SECURE BY alone: tests/unit/test_outlook_judge.py",
    "times.margin": "tests/unit/test_outlook_judge.py", "times.start": "tests/unit/test_outlook_judge.py",
    "times.end": "tests/unit/test_outlook_judge.py", "outlook.secure": "the older place of policy.secure: tests/unit/test_policy.py",
    "test.at": "with a record alone: tests/unit/test_site_tests.py",
    "outlook.people_out": "the older place of policy.people_out: tests/unit/test_policy.py",
}  # fmt: skip
"""Keys that are safe or short and are not tried here, and why."""


def without(name: str, key: str, **more: Any) -> File:
    file = FILES[name]
    for k, v in more.items():
        file = put(file, k.replace("__", "."), v)
    return put(file, key, None)


ASKED: dict[str, File] = {
    "shelter.ridge": without("bags", "shelter.ridge"),
    **{f"shelter.rating.{k}": without("snow", f"shelter.rating.{k}", snow={"depth": "1 in"}, shelter__straps="locked"
       if "_locked" in k else "unlocked", wind__speed="5 mph", wind__averaging="3 s", anchorage__placed=90) for k in RATED},
    "shelter.strap": without("locked", "shelter.strap"),
    **{f"shelter.strap.{k}": without("locked", f"shelter.strap.{k}") for k in STRAP},
    "site.surface": without("bags", "site.surface"),
    "site.exposures.exposure": without("bags", "site.z0", site__exposures=[{"from": 0, "to": 90}]),
    "site.utilities": FILES["lines"],
    "deployment.weighed": put(FILES["bags"], "shelter.mass", "24000 lb"),
    "deployment.mixed_units": put(FILES["bags"], "anchorage.unit_mass", "17 kg"),
    "wind.level": without("asce", "wind.level"),
    "snow.falling.depth": without("falls", "snow.falling.depth"), "snow.falling.water": without("falls", "snow.falling.depth"),
    "halfway.cover": bags(shelter__rating=RATED, anchorage__size_for="set-up"),
    "snow.sag_span": without("snow", "snow.sag_span", snow__sag="1 in"),
    "snow.edition": without("asce7-16", "snow.edition"),
    "snow.variation": without("en-snow", "snow.variation", snow__return_period=100),
    "anchorage.unit": without("bags", "anchorage.unit"), "policy.signed_by": put(FILES["bags"], "policy", {"people_out": 0.9}),
    "site.beneath": without("bags", "site.beneath", site__surface="asphalt"),
    "site.lowest_friction_by": without("bags", "site.lowest_friction_by", site__surface="other", site__beneath="nothing"),
    "anchorage.unit_material": without("blocks", "anchorage.unit_material"),
    "anchorage.how": without("rated", "anchorage.how"),
    "anchorage.how_detail": without("lashed", "anchorage.how_detail"),
    "anchorage.how_detail.stop": without("lashed", "anchorage.how_detail.stop"),
    "anchorage.how_detail.every_bag": without("lashed", "anchorage.how_detail.every_bag"),
    "anchorage.line_angle": without("blocks", "anchorage.line_angle"),
    "anchorage.line_rated": without("strong", "anchorage.line_rated"),
    "anchorage.attachment_rated": without("strong", "anchorage.attachment_rated"),
    "anchorage.stake": without("lines", "anchorage.stake"),
    "anchorage.stake.soil": without("lines", "anchorage.stake.soil"),
    "anchorage.stake.pull_angle": without("tested", "anchorage.stake.pull_angle"),
    "anchorage.stake.pulled": without("tested", "anchorage.stake.pulled"),
    "anchorage.deadman": without("deadman", "anchorage.deadman"),
    **{f"margins.{k}": without("own", f"margins.{k}") for k in OWN if k != "set"},
}  # fmt: skip
"""Files in which a key that is asked for is left out."""
ASKED_BY_OUTLOOK = {
    "times.setup",
    "times.notify",
    "times.people_out",
    "times.strike",
    "outlook.zone",
}


def plan(file: File) -> Plan | None:
    return _plan(text(file), "halfway" in file)


@functools.cache
def _plan(written: str, deep: bool) -> Plan | None:
    """Many keys are left out of the same file."""
    try:
        return make_plan(read_text(written), deep=deep)
    except AnchorageError:
        return None


def asks(p: Plan) -> dict[str, float]:
    """What a plan asks for, by name, each the more the worse. ``worst``: the largest ratio; the rest as they are named."""
    checks = [c for c in p.checks if c.name != "rating"]
    held = p.half_built.gust_m_s if p.half_built and p.half_built.gust_m_s is not None else 0.0
    half = p.wind.gust_m_s / max(held, 1e-3)  # a share: by EN both gusts are written by the same conversion
    hours = [-f.hours for f in p.snow.filling if f.hours is not None]
    total = p.anchorage.total
    return {
        "worst": max((c.ratio for c in checks if c.ratio is not None), default=0.0),
        "without resistance": float(sum(c.ratio is None for c in checks)),
        "snow": p.snow.roof_load_pa, "uneven snow": p.snow.uneven_heavy_pa, "snow soon": max(hours, default=-1e9),
        "half built": half, "sway": max((r.tension_n or 0.0 for r in p.straps.racking), default=0.0),
        "count": float(total.units + total.stakes) if p.anchorage.sized else 0.0,
    }  # fmt: skip


def by_check(p: Plan) -> dict[str, float]:
    return {c.name: c.ratio for c in p.checks if c.ratio is not None}


def worse(a: dict[str, float], b: dict[str, float]) -> list[str]:
    """What ``b`` asks more of than ``a``."""
    return [k for k in a if k in b and b[k] - a[k] > 1e-9 * max(1.0, abs(a[k]))]


def keys_of(schema: dict[str, Any], node: dict[str, Any], at: str = "") -> Iterator[str]:
    """Every key of the file that may be left out and has a value of its own, and every table or list that is not there
    unless it is begun."""
    if "$ref" in node:
        yield from keys_of(schema, schema["$defs"][node["$ref"].rsplit("/", 1)[-1]], at)
    for part in node.get("anyOf", []):
        yield from keys_of(schema, part, at)
    if "items" in node:
        yield from keys_of(schema, node["items"], at)
    for name, value in node.get("properties", {}).items():
        key = f"{at}.{name}" if at else name
        inner = list(keys_of(schema, value, key))
        if name not in node.get("required", []) and (not inner or not isinstance(value.get("default"), dict)):
            yield key
        yield from inner


def test_every_key_that_may_be_left_out_has_a_row_and_no_other():
    schema = Deployment.model_json_schema(by_alias=True)
    assert sorted(keys_of(schema, schema)) == sorted(ROWS)


def test_every_row_that_errs_to_a_side_is_tried():
    for key, row in ROWS.items():
        if row.errs in ("safe", "short"):
            assert (key in TRIED) != (key in NOT_BY_NUMBER), key
    assert {k for k in (*TRIED, *NOT_BY_NUMBER) if ROWS[k].errs not in ("safe", "short")} == set()


@pytest.mark.parametrize("key", TRIED)
def test_a_default_errs_as_its_row_says(key):
    row, more = ROWS[key], False
    for name, values in TRIED[key]:
        file = put(FILES[name] if isinstance(name, str) else name, key, None)
        left_out = plan(file)
        assert left_out is not None, name
        if row.said:
            assert row.said in shown(left_out), name
        for value in values:
            said = plan(put(file, key, value))
            if said is None:
                continue
            found = worse(asks(left_out), asks(said))
            more = more or bool(found) or bool(worse(by_check(left_out), by_check(said)))
            if row.errs == "safe":
                assert not found, (name, value, found)
    if row.errs == "short":
        assert more, f"{key}: nothing that was tried asks for more: is it safe?"


def shown(p: Plan) -> str:
    """All that a plan prints, on one line."""
    sway = [f"{r.direction}: {r.status}" for r in p.straps.racking]
    return " ".join([*" ".join(check_lines(p)).split(), *(r.code for r in p.reasons), *sway])


def test_every_row_that_is_asked_for_is_tried():
    assert {k for k, r in ROWS.items() if r.errs == "asks"} == set(ASKED) | ASKED_BY_OUTLOOK


@pytest.mark.parametrize("key", ASKED)
def test_what_is_asked_for_is_asked_and_is_no_go(key):
    said = ROWS[key].said
    assert said
    try:
        p = make_plan(read_text(text(ASKED[key])))
    except AnchorageError as e:
        asked = str(e)
    else:
        asked = shown(p)
        assert p.verdict != "go"
    assert said in asked


@pytest.mark.parametrize("key", sorted(ASKED_BY_OUTLOOK))
def test_what_the_outlook_asks_for(key, tmp_path, capsys):
    times = {k.split(".")[1]: "10 min" for k in ASKED_BY_OUTLOOK if k.startswith("times")}
    file = put(put(FILES["rated"], "times", times), "outlook", {"zone": "Etc/UTC"})
    path = tmp_path / "site.toml"
    path.write_text(text(put(file, key, None)), encoding="utf-8")
    said = ["--say", "until 23:00 gust 15 mph", "--heard", "06:00", "--now", "2026-03-01T06:00"]
    assert main(["outlook", str(path), *said]) != 0
    out = capsys.readouterr()
    assert ROWS[key].said in " ".join((out.out + out.err).split())


def test_a_table_that_is_left_out_is_one_with_nothing_in_it():
    """It stands unchecked in the models (``model_construct``): the same as one that was checked, with what it keeps to itself."""
    parts = [
        f.default
        for m in (Deployment, Shelter)
        for f in m.model_fields.values()
        if isinstance(f.default, Part)
    ]
    assert len(parts) >= 10
    for part in parts:
        checked = type(part)()
        assert part == checked
        assert (part.model_fields_set, part.__pydantic_private__) == (
            checked.model_fields_set,
            checked.__pydantic_private__,
        )
