"""Deployment files that a team could write, made at random: as nested tables, as TOML in US or SI units, and read.

``files()`` draws a nested dict in which a quantity is a :class:`Q`; ``toml`` writes it; ``read`` reads it back through
the reader that users go through. A property changes the dict and reads again, so nothing here knows the insides.
"""

import contextlib
import copy
import json
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any
from unittest import mock

from hypothesis import settings
from hypothesis import strategies as st

from anchorage.checks.checks import ratio
from anchorage.checks.installation import Installation, assemble
from anchorage.checks.limit import Limit
from anchorage.checks.sizing import Sized
from anchorage.core import tables
from anchorage.core.closed import MATERIALS, STATES
from anchorage.core.units import write
from anchorage.deployment.models import Deployment
from anchorage.deployment.reader import read_text
from anchorage.judging.plan import make_plan
from anchorage.judging.result import Plan

File = dict[str, Any]
WALLS = ("front", "right", "back", "left")
STAKE_GROUND = ("clay", "grass", "gravel", "sand")
SERVICE_SETS = ("lumped-1.5", "en1997-equ", "own")
KINDS_HELD = ("ballast", "lines", "feet", "blocks")
"""Ballast on the frame, stakes on lines, stakes through the feet, blocks on lines."""
EVERY_FOOT = ("people-in", "set-up")
"""Uses in which no foot that holds too little is given up: a check is that of every foot as it stands."""
METHODS = ("physics", "physics", "asce7-16", "asce7-22", "en1991")
FRACTIONS = (0.0, 0.004, 0.03, 0.07, 0.13, 0.29, 0.53, 0.74)
"""Open fractions that are on no limit between two classes of enclosure."""


def number(low: float, high: float) -> st.SearchStrategy[float]:
    """A number as a person would write it: to a millionth."""
    return st.floats(low, high).map(lambda v: round(v, 6))


def some(share: float) -> settings:
    """A share of the examples of the profile, for what is slow to try: the default run stays within a minute and a half."""
    return settings(max_examples=max(5, int(0.75 * settings.default.max_examples * share)))


@dataclass(frozen=True)
class Q:
    """A quantity in SI, to be written in the units of either system."""

    kind: str
    si: float

    def text(self, system: str) -> str:
        if system == "si":
            return write(self.kind, self.si)
        if self.kind == "temperature":
            return f"{(self.si - 273.15) * 1.8 + 32.0!r} degF"
        unit, size = US[self.kind]
        return f"{self.si / size!r} {unit}"


POUND_FORCE = 0.45359237 * 9.80665
US = {
    "length": ("ft", 0.3048),
    "speed": ("mph", 1609.344 / 3600),
    "mass": ("lb", 0.45359237),
    "force": ("lbf", POUND_FORCE),
    "pressure": ("psf", POUND_FORCE / 0.3048**2),
}
"""Units by their definitions, not by the tables of the program."""


def _value(v: Any, system: str) -> str:
    if isinstance(v, Q):
        return json.dumps(v.text(system))
    if isinstance(v, list):
        return f"[{', '.join(_value(x, system) for x in v)}]"
    if isinstance(v, dict):
        return "{ " + ", ".join(f"{k} = {_value(x, system)}" for k, x in v.items()) + " }"
    return json.dumps(v)


def toml(file: File, system: str = "si") -> str:
    """The text of a file; values that are None are left out."""
    lines = []
    for name, part in file.items():
        for table in part if isinstance(part, list) else [part]:
            lines.append(f"[[{name}]]" if isinstance(part, list) else f"[{name}]")
            lines += [f"{k} = {_value(v, system)}" for k, v in table.items() if v is not None]
    return "\n".join(lines)


def read(file: File, system: str = "si") -> Deployment:
    """The deployment, through the reader that users go through."""
    return read_text(toml(file, system))


def with_(file: File, **changes: Any) -> File:
    """A copy with keys changed: ``with_(f, wind__speed=Q("speed", 20.0))``."""
    out = copy.deepcopy(file)
    for path, value in changes.items():
        *parents, key = path.split("__")
        place = out
        for p in parents:
            place = place.setdefault(p, {})
        place[key] = value
    return out


def points(file: File) -> list[str]:
    """Names of the anchor points."""
    side, end = file["shelter"]["points_per_side"], file["shelter"].get("points_per_end", 2)
    return [f"{c}{k}" for c in "LR" for k in range(1, side + 1)] + [
        f"{c}{k}" for c in "FB" for k in range(2, end)
    ]


FORMS = (
    "gable", "gable", "gable", "single-slope", "single-slope", "hip", "arch", "canopy-gable", "canopy-single-slope",
)  # fmt: skip


@st.composite
def shelters(draw: st.DrawFn, forms: tuple[str, ...]) -> tuple[File, list[File], list[File]]:
    """The shelter with its openings, doors, ducts."""
    length, width = draw(number(3.0, 15.0)), draw(number(2.5, 10.0))
    eave = draw(number(1.8, 3.6))
    form = draw(st.sampled_from(forms))
    if form.startswith(
        "canopy"
    ):  # the tables of free roofs cover heights of a quarter to the whole of the depth
        length, width, eave = draw(number(5.3, 9.0)), draw(number(5.3, 9.0)), draw(number(2.4, 3.6))
    run = width if form.endswith("single-slope") else width / 2
    if form == "arch":
        rise = (
            draw(st.sampled_from([0.26, 0.48, 0.74, 0.88])) * run
        )  # on no limit between two rows of the table
    elif form.startswith("canopy"):
        rise = draw(st.one_of(st.just(0.0), number(0.14, 0.35))) * run
    else:
        rise = draw(st.one_of(st.just(0.0), number(0.01, 1.0), number(0.2, 0.8))) * run
    shelter: File = {
        "form": form,
        "length": Q("length", length),
        "width": Q("length", width),
        "eave": Q("length", eave),
        "ridge": Q("length", eave + rise),
        "mass": draw(st.one_of(st.none(), number(20.0, 900.0).map(lambda m: Q("mass", m)))),
        "points_per_side": draw(st.integers(2, 5)),
        "points_per_end": draw(st.integers(2, 4)),
        "straps": draw(st.sampled_from(["unlocked", "locked"])),
    }
    if form.endswith("single-slope"):
        shelter["high_side"] = draw(st.sampled_from(["left", "right"]))
    if form.startswith("canopy"):
        shelter["blockage"] = draw(st.sampled_from([None, "clear", "obstructed"]))
        return shelter, [], []
    if draw(st.booleans()):
        fraction = st.sampled_from(FRACTIONS)
        shelter["openings"] = {w: draw(fraction) for w in WALLS}
    doors, ducts = [], []
    for _ in range(draw(st.integers(0, 2))):
        wide, high = draw(number(0.5, 1.7)), draw(number(0.5, 1.7))
        door = {"wall": draw(st.sampled_from(WALLS)), "width": Q("length", wide), "height": Q("length", high)}
        doors.append(door | {"is": draw(st.sampled_from(["open", "closed", "in-use"]))})
    if draw(st.booleans()):
        ducts.append({"wall": draw(st.sampled_from(WALLS)), "diameter": Q("length", draw(number(0.05, 0.4)))})
    for w in WALLS:  # what is open fits the wall
        gross = eave * (length if w in ("left", "right") else width)
        cut = sum(d["width"].si * d["height"].si for d in doors if d["wall"] == w)
        if "openings" in shelter and shelter["openings"][w] * gross + cut > 0.75 * gross:
            shelter["openings"][w] = 0.03
    return shelter, doors, ducts


@st.composite
def winds(draw: st.DrawFn, margin_set: str, methods: tuple[str, ...]) -> File:
    """The wind number, at a level that the margins take."""
    strength = margin_set == "asd"
    codes = tuple(m for m in methods if m.startswith("asce"))
    method = draw(st.sampled_from(codes if strength else methods))
    wind: File = {"method": method, "speed": Q("speed", draw(number(3.0, 40.0)))}
    wind["code_minimum"] = draw(st.booleans())
    if strength:
        return wind | {"level": "strength", "averaging": "3 s", "height": Q("length", 10.0)}
    if method == "en1991":
        return wind | {"averaging": "10 min"}
    wind["level"] = "service" if method.startswith("asce") else draw(st.sampled_from([None, "service"]))
    said = draw(
        st.sampled_from(
            [None, "forecast-gust", "forecast-wind", "meter-peak", "meter-average", "airport-wind"]
        )
    )
    wind["speed_is"] = said
    if said in ("meter-peak", "meter-average"):
        wind["height"] = Q("length", draw(number(1.2, 10.0)))
    elif said is None:
        wind["averaging"] = draw(st.sampled_from([None, "3 s", "3 s", "1 min", "10 min", "1 h"]))
        wind["height"] = draw(st.one_of(st.none(), number(1.2, 10.0).map(lambda h: Q("length", h))))
    wind["terrain"] = draw(st.sampled_from([None, "open", "site"]))
    wind["conversion"] = draw(st.sampled_from(["larger", "durst", "wmo"]))
    return wind


@st.composite
def sites(draw: st.DrawFn, surfaces: tuple[str, ...]) -> File:
    """Ground and air, a state that the temperature allows."""
    state = draw(st.sampled_from([None, *STATES]))
    cold = state in ("frozen", "ice", "snow")
    warmth = number(250.0, 275.0) if cold else number(260.0, 315.0)
    site: File = {
        "surface": draw(st.sampled_from(surfaces)),
        "beneath": "nothing",  # asked for on hard ground
        "state": state,
        "elevation": draw(st.one_of(st.none(), number(0.0, 3000.0).map(lambda h: Q("length", h)))),
        "temperature": draw(st.one_of(st.none(), warmth.map(lambda t: Q("temperature", t)))),
        "humidity": draw(st.one_of(st.none(), number(0.0, 1.0))),
    }
    words = draw(
        st.sampled_from(
            [None, ("exposure", "B"), ("exposure", "C"), ("exposure", "D"), ("surroundings", "town")]
        )
    )
    if words:
        site[words[0]] = words[1]
    return site


@st.composite
def ballast(draw: st.DrawFn, on_line: bool) -> File:
    """Ballast on the frame, or blocks on lines."""
    units = tables.table("ballast-mass").keys()
    unit = draw(st.one_of(st.none(), st.sampled_from(units)))
    out: File = {
        "kind": "line-ballast" if on_line else "ballast",
        "unit": unit,
        "contact": draw(st.sampled_from(["cloth", "plate", "ground"])),
    }
    if unit is None:  # what it is made of is asked for where the unit is not listed
        out["unit_material"] = draw(st.sampled_from(MATERIALS))
    if unit is None or draw(st.booleans()):
        out["unit_mass"] = Q("mass", draw(number(5.0, 900.0)))
    out["foot"] = draw(st.sampled_from([None, "bare-metal", "plastic", "rubber"]))
    if on_line:
        out["line_angle"] = draw(number(20.0, 70.0))
        out["line_rated"] = draw(st.one_of(st.none(), number(2e3, 30e3).map(lambda f: Q("force", f))))
    else:
        out["how"] = draw(st.sampled_from([None, "on-foot", "hung-clear", "standing-tied", "lashed-to-leg"]))
    return out


@st.composite
def staked(draw: st.DrawFn, on_line: bool) -> File:
    """Stakes on lines, or through the feet."""
    soils = tuple(tables.table("soil-unit-weight").keys())
    stake: File = {
        "diameter": Q("length", draw(number(0.012, 0.06))),
        "driven": Q("length", draw(number(0.3, 1.5))),
        "soil": draw(st.sampled_from(soils)),
    }
    out: File = {"kind": "stakes"}
    if on_line:
        stake["line_angle"] = draw(number(20.0, 70.0))
        stake["line_height"] = Q("length", draw(st.sampled_from([0.0, 0.05, 0.2])))
        out["line_rated"] = draw(st.one_of(st.none(), number(2e3, 30e3).map(lambda f: Q("force", f))))
        if draw(st.integers(0, 3)) == 0:
            pulls = draw(st.lists(number(500.0, 9e3).map(lambda f: Q("force", f)), min_size=3, max_size=4))
            stake |= {"pull_tests": pulls, "pull_angle": stake["line_angle"], "pulled": "held"}
            stake["tested"] = draw(st.sampled_from(["dry", "wet"]))
    return out | {"stake": stake}


@st.composite
def margins(draw: st.DrawFn, sets: tuple[str, ...]) -> File:
    name = draw(st.sampled_from(sets))
    if name != "own":
        return {"set": name}
    share = number(0.3, 1.0)
    return {
        "set": "own", "wind": draw(number(1.0, 2.5)), "shelter": draw(share), "ballast": draw(share),
        "friction": draw(share), "stake": draw(share), "line": draw(number(1.0, 2.5)), "level": "service",
        "source": "a copy of a manual",
    }  # fmt: skip


@st.composite
def files(
    draw: st.DrawFn,
    *,
    kinds: tuple[str, ...] = KINDS_HELD,
    forms: tuple[str, ...] = FORMS,
    sets: tuple[str, ...] = (*SERVICE_SETS, "asd"),
    methods: tuple[str, ...] = METHODS,
    placed: bool | None = None,
    least: int = 0,
    code_minimum: bool | None = None,
    bearing: bool | None = None,
    extras: bool = False,
    odd: bool = False,
    uses: tuple[str, ...] = ("people-in", "empty", "set-up"),
) -> File:
    """A deployment file. placed: as it stands (least units a point), or to be sized; None for either.

    uses: what it may be held for (``EVERY_FOOT``: those in which no foot may be given up); extras: snow, stock, policy, rating; odd: a slope, points out of use, points of another kind.
    """
    kind = draw(st.sampled_from(kinds))
    shelter, doors, ducts = draw(shelters(forms))
    margin = draw(margins(sets))
    if shelter["form"] in ("arch", "hip"):  # their tables in EN 1991-1-4 could not be read
        methods = tuple(m for m in methods if m != "en1991")
    wind = draw(winds(margin["set"], methods))
    if (
        wind["method"] == "en1991"
    ):  # its tables of closed shelters end where two walls are more than 30 % open
        doors = []
        wide = [w for w, f in shelter.get("openings", {}).items() if f > 0.2]
        for w in wide[1:]:
            shelter["openings"][w] = 0.13
    if code_minimum is not None:
        wind["code_minimum"] = code_minimum
    every = tuple(tables.table("surface").keys())
    by_weight = kind in ("ballast", "blocks")
    site = draw(sites(every if by_weight else STAKE_GROUND))
    if draw(st.booleans()) if bearing is None else bearing:
        site["heading"] = draw(number(0.0, 360.0))
        wind["from"] = draw(st.one_of(st.none(), number(0.0, 360.0)))
    held = draw(ballast(kind == "blocks") if by_weight else staked(kind == "lines"))
    stake = held.pop("stake", None)
    if stake is not None and site["surface"] in (
        "clay",
        "sand",
    ):  # bare sand is no clay, and bare clay no sand
        site["surface"] = "clay" if stake["soil"] in tables.table("soil-strength") else "sand"
    file: File = {"deployment": {"name": "a file", "show_units": draw(st.sampled_from(["us", "si"]))}}
    file |= {"shelter": shelter, "site": site, "wind": wind, "anchorage": held}
    stands = draw(st.booleans()) if placed is None else placed
    if (
        not stands
    ):  # counts of a size that a truck could bring: nothing is learnt from thousands, and it takes long
        wind["speed"] = Q("speed", min(wind["speed"].si, 22.0))
        if "unit_mass" in held:
            held["unit_mass"] = Q("mass", max(held["unit_mass"].si, 30.0))
    if stands:
        count = st.integers(least, 40 if by_weight else 12)
        each = {i: draw(count) for i in points(file)}
        held["placed"] = draw(st.sampled_from([each, each["L1"]]))
    held["size_for"] = draw(st.sampled_from(uses))
    if stake is not None:
        held["stake"] = stake
    file["margins"] = margin
    if extras:
        file |= draw(extra_parts(by_weight))
    if doors:
        file["door"] = doors
    if ducts:
        file["duct"] = ducts
    if odd:
        site["slope"] = draw(st.sampled_from([0.0, 2.0, 6.0]))
        chosen = draw(
            st.lists(st.sampled_from(points(file)), max_size=1 + (len(points(file)) > 5), unique=True)
        )
        file["point"] = [{"id": i} | draw(st.sampled_from(odd_points(kind))) for i in chosen]
    if extras and draw(st.booleans()):
        rating = {k: Q("speed", draw(number(8.0, 60.0))) for k in ("gust_unlocked", "gust_locked")}
        shelter["rating"] = rating | {"roof_snow_unlocked": Q("pressure", draw(number(10.0, 900.0)))}
    return file


def odd_points(kind: str) -> list[File]:
    """What a point may be that differs from the rest."""
    out: list[File] = [{"usable": False}, {"on_ground": False}, {"kind": "none"}]
    return out if kind in ("ballast", "blocks") else [*out, {"kind": "ballast", "unit": "sandbag"}]


@st.composite
def extra_parts(draw: st.DrawFn, by_weight: bool) -> File:
    """Snow, stock and policy."""
    out: File = {}
    if draw(st.integers(0, 3)) == 0:
        out["snow"] = {
            "depth": Q("length", draw(number(0.0, 0.4))),
            "kind": draw(st.sampled_from([None, "wet", "new"])),
        }
    if draw(st.booleans()):
        out["stock"] = {"units" if by_weight else "stakes": draw(st.integers(0, 400))}
    if draw(st.integers(0, 3)) == 0:
        out["policy"] = {"gust": Q("speed", draw(number(5.0, 40.0)))}
    return out


GABLE: File = {
    "deployment": {"name": "gable on wet asphalt", "show_units": "us"},
    "shelter": {
        "form": "gable", "length": Q("length", 7.3152), "width": Q("length", 5.4864), "eave": Q("length", 2.1336),
        "ridge": Q("length", 2.8956), "mass": Q("mass", 140.0), "points_per_side": 4, "points_per_end": 3,
        "openings": {"front": 0.29, "back": 0.0, "left": 0.0, "right": 0.0},
    },
    "site": {"surface": "asphalt", "beneath": "nothing", "state": "wet", "exposure": "C", "elevation": Q("length", 274.0),
             "temperature": Q("temperature", 278.0), "heading": 40.0},
    "wind": {"method": "physics", "speed": Q("speed", 16.0), "averaging": "3 s", "terrain": "open"},
    "anchorage": {"kind": "ballast", "unit": "sandbag", "how": "on-foot"},
    "margins": {"set": "lumped-1.5"},
}  # fmt: skip
"""A plain file to start from where one is enough."""
ON_LINES: File = GABLE | {
    "site": GABLE["site"] | {"surface": "clay"},
    "anchorage": {
        "kind": "stakes",
        "stake": {
            "diameter": Q("length", 0.0254),
            "driven": Q("length", 0.762),
            "line_angle": 45.0,
            "line_height": Q("length", 0.05),
            "soil": "stiff-clay",
        },
    },
}
"""The same shelter on stiff clay, held by lines to stakes."""
THROUGH_FEET: File = GABLE | {
    "site": GABLE["site"] | {"surface": "clay"},
    "anchorage": {
        "kind": "stakes",
        "stake": {"diameter": Q("length", 0.0254), "driven": Q("length", 0.762), "soil": "stiff-clay"},
    },
}
"""The same on stiff clay with stakes through the feet."""


NOT_SIZED = [Sized((), None, "not sized in this test")] * 3


@contextlib.contextmanager
def unsized() -> Iterator[None]:
    """Leave the sizing out, which takes most of the time and has no say in what stands as it is."""

    def none(*args: Any) -> list[Sized]:
        return NOT_SIZED[: len(args[-1])]

    with mock.patch("anchorage.checks.installation.sizes", none):
        yield


def stand(file: File, system: str = "si") -> Installation:
    """The installation of a file that says what is placed."""
    with unsized():
        return assemble(read(file, system))


def judge(file: File, system: str = "si") -> Plan:
    """The plan of a file that says what is placed."""
    with unsized():
        return make_plan(read(file, system))


def known(value: float | None) -> float:
    """A number of a plan, where None stands for no finite one."""
    return float("inf") if value is None else value


def wind_ratios(x: Installation, counts: Any = None) -> dict[str, float]:
    """Ratio of every check that grows with the wind."""
    return {f.name: ratio(f, x.wind.pressure) for f in x.limits(counts) if not f.fixed}


def mirrored_left_right(file: File) -> File:
    """The same seen in a mirror along the ridge: left is right."""
    return _mirrored(file, {"left": "right", "right": "left"}, 0.0)


def mirrored_front_back(file: File) -> File:
    """The same seen in a mirror across the ridge: front is back."""
    return _mirrored(file, {"front": "back", "back": "front"}, 180.0)


def twin(id_: str, file: File, *, left_right: bool) -> str:
    """Name of the point that a point is seen at in the mirror."""
    side, end = file["shelter"]["points_per_side"], file["shelter"]["points_per_end"]
    letter, k = id_[0], int(id_[1:])
    if left_right:
        return {"L": "R", "R": "L"}.get(letter, letter) + str(k if letter in "LR" else end + 1 - k)
    return {"F": "B", "B": "F"}.get(letter, letter) + str(k if letter in "FB" else side + 1 - k)


def _mirrored(file: File, walls: dict[str, str], turn: float) -> File:
    out = copy.deepcopy(file)
    shelter = out["shelter"]
    if shelter.get("openings"):
        shelter["openings"] = {walls.get(w, w): v for w, v in shelter["openings"].items()}
    if shelter.get("high_side"):
        shelter["high_side"] = walls.get(shelter["high_side"], shelter["high_side"])
    for point in out.get("point", []):
        point["id"] = twin(point["id"], file, left_right=turn == 0.0)
    for part in (*out.get("door", []), *out.get("duct", [])):
        part["wall"] = walls.get(part["wall"], part["wall"])
    if isinstance(placed := out["anchorage"].get("placed"), dict):
        each = {twin(i, file, left_right=turn == 0.0): n for i, n in placed.items()}
        out["anchorage"]["placed"] = {i: each[i] for i in points(file)}
    if out["wind"].get("from") is not None:
        heading = out["site"]["heading"]
        out["wind"]["from"] = (2 * heading + turn - out["wind"]["from"]) % 360.0
    return out


def worst_ratio(found: list[Limit], q: float) -> float:
    """Largest ratio of any check at a velocity pressure (Pa)."""
    return max(ratio(x, q) for x in found)
