"""Figures of the second reckoning: the air, the wind number, friction, ballast, stakes; plain floats, SI: m, N, Pa, kg.

Nothing of the package is used here. Typed anew from the published figures that the notes of the project collect, each with its
source; what was only recalled is marked memory. ``tests/second_reckoning.py`` puts them together.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from math import atan, cos, exp, floor, inf, pi, radians, sin, sqrt, tan
from typing import TYPE_CHECKING

from tests.second_forms import en_pressure, en_speed

if TYPE_CHECKING:
    from tests.second_snow import Lying, Straps

GRAVITY = 9.80665  # standard gravity

# --- the air: ISO 2533 standard atmosphere; gas constants and the CIMO Magnus formula
SEA_PRESSURE, SEA_KELVIN, LAPSE, EXPONENT = 101325.0, 288.15, 0.0065, 5.25588
THINNEST = 1828.8
"""6,000 ft, to which thin air is credited (m)."""
GAS_DRY, GAS_VAPOUR = 287.058, 461.495
MAGNUS = (611.2, 17.62, 243.12)
MILD, COLD = (
    273.15,
    253.15,
)  # the design's choice where no temperature is given: 0 degC, -20 degC with snow, ice or frost

# --- the wind
DURST = (
    0.977,
    0.64,
    38.14,
    0.685,
)  # fit of the Durst curve of the ASCE 7 commentary, V(t) over the hourly mean
WMO_INLAND = {
    60.0: 1.49,
    120.0: 1.55,
    600.0: 1.66,
    3600.0: 1.75,
}  # WMO/TD-1555 table 1.1, 3 s gust, in-land
GUST_POWER = {"B": 7.0, "C": 9.5, "D": 11.5}  # ASCE 7-16 table 26.11-1, 1/alpha-hat, of a gust
MEAN_POWER = {"B": 4.0, "C": 6.5, "D": 9.0}  # the same table, 1/alpha-bar, of a mean
KZ = {  # factor, and by exposure alpha and zg in m: ASCE 7-16 table 26.11-1; 7-22 table 26.11-1
    "asce7-16": (2.01, {"B": (7.0, 365.76), "C": (9.5, 274.32), "D": (11.5, 213.36)}),
    "asce7-22": (2.41, {"B": (7.5, 1000.0), "C": (9.8, 750.0), "D": (11.5, 590.0)}),
}
KZ_OF = {"physics": "asce7-16", "asce7-16": "asce7-16", "asce7-22": "asce7-22"}
KZ_FLOOR = 15.0 * 0.3048  # ASCE 7-16 table 26.10-1, note 1: 15 ft
HALF_DENSITY = 0.613  # ASCE 7-16 eq. 26.10-1, SI
KE_RATE = 0.000119  # ASCE 7-16 table 26.9-1, per m
KD = 0.85  # ASCE 7-16 table 26.6-1, buildings
GUST_EFFECT = {
    "physics": 1.0,
    "asce7-16": 0.85,
    "asce7-22": 0.85,
    "en1991": 1.0,
}  # ASCE 7-16 section 26.11.1; 1.0 is the design's choice

# --- margins: wind, shelter, ballast, friction, stake, line
MARGINS = {
    # UFC 3-220-20 4-5.1.2, IBC 1807.2.3; stake: half of ultimate in all
    "lumped-1.5": (1.5, 1.0, 1.0, 1.0, 0.75, 1.0),
    # ASCE 7 2.4.1, 0.6 D + 0.6 W: memory
    "asd": (0.6, 0.6, 0.6, 1.0, 0.5, 0.6),
    # EN 1997-1 tables A.1, A.2, A.16
    "en1997-equ": (1.5, 0.9, 0.9, 1.0 / 1.25, 1.0 / 1.4, 1.0),
}
LEAST_WALL, LEAST_ROOF = 766.08, 383.04  # ASCE 7-16 27.1.5: 16 and 8 psf

# --- what lies and slides
UNITS = {  # kg, and what it is made of
    "sandbag": (18.1, "bag"),  # 40 lb, drop-tested size of 14 x 26 in
    "sandbag-30": (13.6, "bag"),  # 30 lb, a handling limit in use
    "concrete-block": (528.6, "block"),  # 0.6 m cubed at 24 kN/m3: memory
    "water-barrel": (196.1, "plastic"),  # 208 L less 10 % at 8.34 lb/gal, and 20 lb for the drum
    "water-barrel-full": (217.2, "plastic"),  # 479 lb
}
SURFACES = ("asphalt", "concrete", "concrete-smooth", "gravel", "grass", "sand", "clay")
DRY = {  # in the order of SURFACES
    # Klipalo et al. 2022, filled woven bag: asphalt, tamped concrete, floated concrete, gravel road, grass; sand: smooth HDPE
    # sheet on sandy soil, tan 26 deg (ICSMGE Paris 2013 vol. 4 p 3054); clay NAVFAC 1986 for concrete on medium-stiff clay
    "cloth": (0.54, 0.56, 0.40, 0.74, 0.64, 0.48, 0.30),
    "bag": (0.54, 0.56, 0.40, 0.74, 0.64, 0.48, 0.30),
    # steel on concrete, rough or smooth: Pallett et al. 2002 lowest on a cast face 0.1 (EN 12812 0.3 to 0.4); IBC gravel; tyre on dirt; steel on
    # silty sand tan 14 deg, on sandy silt tan 11 deg
    "bare-metal": (0.30, 0.10, 0.10, 0.35, 0.35, 0.249, 0.194),
    # CTU code, plastic pallet on plywood; on steel; sheet on sandy soil
    "plastic": (0.20, 0.20, 0.15, 0.20, 0.20, 0.48, 0.20),
    # tyres (Noon 1994), rubber on concrete least of textbooks, the floor's least row, tyre on dirt, IBC, NAVFAC
    "rubber": (0.65, 0.60, 0.40, 0.35, 0.35, 0.25, 0.30),
    # concrete on concrete, lowest measured (Pallett et al. 2002); precast on gravel tan 22 deg, on sand tan 17 deg (Caltrans 4-2);
    # tyre on dirt; NAVFAC
    "block": (0.40, 0.40, 0.40, 0.404, 0.35, 0.305, 0.30),
}  # fmt: skip
WET_SHARE = 0.625  # the design's choice where no wet test was seen, rounded down; of rubber by the tyre table
WET = {  # wet figures of their own: tyre on wet grass 0.20, on wet dirt 0.15, on wet roads 0.40; rubber on wet concrete 0.25
    ("cloth", "grass"): 0.20, ("bag", "grass"): 0.20, ("bare-metal", "grass"): 0.20, ("rubber", "grass"): 0.20, ("block", "grass"): 0.20,
    ("cloth", "clay"): 0.15, ("bag", "clay"): 0.15, ("rubber", "clay"): 0.15, ("block", "clay"): 0.15,
    ("rubber", "asphalt"): 0.40, ("rubber", "concrete"): 0.25,
    # plastic alike dry and wet (CTU code); foundations' figures are of moist ground (IBC 1806.2)
    ("plastic", "asphalt"): 0.20, ("plastic", "concrete"): 0.20, ("plastic", "concrete-smooth"): 0.15, ("plastic", "gravel"): 0.20,
    ("bare-metal", "gravel"): 0.35, ("block", "gravel"): 0.35,
    # never over dry, and no more than before what is dry was lowered
    ("bare-metal", "asphalt"): 0.25, ("bare-metal", "concrete"): 0.10, ("bare-metal", "concrete-smooth"): 0.10,
    ("block", "asphalt"): 0.337, ("block", "concrete"): 0.35,
    **{(what, "sand"): DRY[what][SURFACES.index("sand")] for what in DRY},  # moist sand holds as dry (ICSMGE Paris 2013)
}  # fmt: skip
FROZEN = {  # the wet figure but for loose grain, plastic: the design's choice, frost melts under load
    ("plastic", "asphalt"): 0.125, ("plastic", "concrete"): 0.125, ("plastic", "concrete-smooth"): 0.093, ("plastic", "gravel"): 0.125,
    ("cloth", "sand"): 0.156, ("bag", "sand"): 0.156, ("plastic", "sand"): 0.125, ("block", "sand"): 0.156,
    ("bare-metal", "sand"): 0.155, ("rubber", "sand"): 0.156, ("bare-metal", "gravel"): 0.218, ("block", "gravel"): 0.218,
}  # fmt: skip
ON_SNOW, SHEET_ON_SNOW = (
    0.20,
    0.105,
)  # tyre, Noon 1994; PVC sheet on fresh snow, 6 deg (NRC Canada); never over the frozen figure
ON_ICE = 0.03  # steel on ice
STACK = {  # ballast on the cloth or foot under it: dry, wet
    ("bag", "cloth"): (0.40, 0.25),  # Klipalo et al. 2022, polypropylene on itself
    ("block", "cloth"): (0.40, 0.25),  # the same tests, woven bag on floated concrete, turned over
    ("plastic", "cloth"): (0.15, 0.15),  # CTU code, plastic on steel, alike dry and wet
    ("bag", "metal"): (0.15, 0.15),  # CTU code, plastic on steel
    ("plastic", "metal"): (0.15, 0.15),  # CTU code, plastic pallet on steel
    ("bag", "plastic"): (0.40, 0.25),  # Klipalo et al. 2022
}

NO_ROW, NO_ROW_ON_ICE, SOILED = 0.15, 0.03, 0.10  # the design's choice where nothing is published
ROWS_OF = {
    "woven": "bag",
    "plastic": "plastic",
    "concrete": "block",
    "steel": "bare-metal",
    "rubber": "rubber",
}
TOP_OF = {
    "cloth": "cloth",
    "bare-metal": "metal",
    "plastic": "plastic",
    "rubber": "metal",
}  # of a foot or the cloth

# --- what is driven
YIELD = 235e6  # mild steel: memory
ADHESION = 0.22  # UFC 3-220-20 eq. 6-17 at the lower bound of hard clay
EARTH_PRESSURE = 0.8  # K on the shaft, API RP 2A
CLAYS = {  # su at the lower bound of the class, Pa: Caltrans table 3-3, qu/2 printed in psf
    "soft-clay": 11970.0, "medium-clay": 23940.0, "stiff-clay": 47880.0, "very-stiff-clay": 95760.0, "hard-clay": 191521.0,
}  # fmt: skip
SANDS = {  # phi, steel on soil, unit weight moist and under water: Caltrans tables 3-2, 4-2; half of the moist weight
    "loose-sand": (27.0, 17.0, 14137.0, 7068.0), "medium-sand": (31.0, 17.0, 17279.0, 8639.0),
    "dense-sand": (36.0, 17.0, 18379.0, 9189.0), "gravel": (29.0, 22.0, 14137.0, 7068.0),
    "silty-sand": (25.0, 14.0, 13352.0, 6676.0), "silt": (23.0, 11.0, 13352.0, 6676.0),
}  # fmt: skip
WET_HOLD = 0.5  # University of Illinois pulls, second-hand: soaked ground holds half of dry
MOST = 2000  # units at one point beyond which nothing is enough: the program's own bound
PULL_OVER_NAMED = (
    10.0  # the design's choice: more than so many times theory in the named soil as it was then is a slip
)
LEAST_PULLS = 3  # test loading after DIN 4125
PULL_OFF = 10.0  # degrees between pull and line
LEVEL = {
    "people-in": 0.8,
    "empty": 1.0,
    "set-up": 0.6,
}  # share of the gust held up to which each use may go on
KNOT = 0.5  # rule of halving


@dataclass
class Job:
    """One deployment in SI. doors: wall, width, height, how it is; ducts: wall, diameter, count; stake: diameter, driven, soil, angle (None: through the foot), line height; pulls in N."""

    form: str
    length: float
    width: float
    eave: float
    ridge: float
    mass: float
    per_side: int
    per_end: int
    surface: str
    state: str
    exposure: str
    method: str
    speed: float
    margins: str
    high: str = "left"
    openings: dict[str, float] | None = None
    doors: tuple[tuple[str, float, float, str], ...] = ()
    ducts: tuple[tuple[str, float, int], ...] = ()
    averaging: float = 3.0
    terrain: str | None = None
    elevation: float = 0.0
    temperature: float | None = None
    humidity: float = 0.0
    unit: str | None = None
    unit_mass: float | None = None
    material: str | None = None
    how: str | None = None
    clear: bool = False
    contact: str = "cloth"
    foot: str | None = None
    stake: tuple[float, float, str, float | None, float] | None = None
    pulls: tuple[float, ...] = ()
    test_driven: float | None = None
    pulled_at: float | None = None
    tested: str = "dry"
    size_for: str = "people-in"
    height: float | None = None
    placed: int | dict[str, int] | None = None
    block_angle: float | None = None
    line_rated: float | None = None
    code_minimum: bool = False
    heading: float | None = None
    wind_from: float | None = None
    slope: float = 0.0
    deadman: tuple[float, float, float, str | None, float | None] | None = None
    blockage: str | None = None
    category: str = "II"
    return_period: float | None = None
    line_plan: dict[str, float] | None = None
    snow: Lying | None = None
    straps: Straps | None = None

    @property
    def on_frame(self) -> bool:
        """Ballast that stands on the frame."""
        return self.stake is None and self.block_angle is None


def ground(job: Job) -> str:
    """The state that counts: water that lies is ice from 2 degC down, frost is on ground that nothing drains from or that thaws;
    snow is slush, which counts as ice, unless a thermometer says that it is at -3 degC or below.
    """
    frosty = job.snow is not None or job.state in ("frozen", "ice", "snow")
    warm = job.temperature is None or job.temperature > 273.15
    cold = frosty if job.temperature is None else job.temperature <= 275.15
    state = (
        "snow" if job.snow is not None and job.state != "ice" else job.state
    )  # what lies on the roof lies on the ground
    hard = job.surface in ("asphalt", "concrete", "concrete-smooth", "other")
    frost = state == "frozen" and cold and (hard or warm)
    slush = state == "snow" and (job.temperature is None or job.temperature > 273.15 - 3.0)
    return "ice" if (cold and job.state in ("wet", "soiled")) or frost or slush else state


def density(job: Job) -> float:
    """Of the moist air on the site."""
    cold = job.state in ("frozen", "ice", "snow") or job.snow is not None
    kelvin = job.temperature if job.temperature is not None else COLD if cold else MILD
    kelvin = min(kelvin, SEA_KELVIN)  # a gust out of a cloud is cooler than the day
    pressure = SEA_PRESSURE * (1.0 - LAPSE * min(job.elevation, THINNEST) / SEA_KELVIN) ** EXPONENT
    e0, a, b = MAGNUS
    vapour = job.humidity * e0 * exp(a * (kelvin - 273.15) / (b + kelvin - 273.15))
    return (pressure - vapour) / (GAS_DRY * kelvin) + vapour / (GAS_VAPOUR * kelvin)


def durst(t: float) -> float:
    """V(t) over the hourly mean."""
    base, amplitude, time, power = DURST
    return base + amplitude / (1.0 + (t / time) ** power)


def gust_of(job: Job) -> float:
    """The 3 s gust at 10 m behind the number: a low reading brought up by its own exponent, a mean by the larger of Durst and WMO."""
    v = job.speed if job.method != "en1991" else en_speed(job)
    if job.height is not None:
        v *= (10.0 / job.height) ** (1.0 / (GUST_POWER if job.averaging <= 3.0 else MEAN_POWER)[job.exposure])
    if job.averaging <= 3.0:
        return v
    return v * max(durst(3.0) / durst(job.averaging), WMO_INLAND[job.averaging])


def kz(method: str, exposure: str, z: float) -> float:
    """Velocity pressure exposure coefficient."""
    factor, rows = KZ[method]
    alpha, gradient = rows[exposure]
    return factor * (max(z, KZ_FLOOR) / gradient) ** (2.0 / alpha)


def pressure_of(job: Job, height: float) -> float:
    """q at the reference height, Kd in it where the method has one."""
    if job.method == "en1991":
        return en_pressure(job)
    v = gust_of(job)
    if job.method == "physics":
        at_shelter = kz("asce7-16", job.exposure, height)
        known = {"open": ["C"], "site": [job.exposure], None: ["C", job.exposure]}[job.terrain]
        profile = max(at_shelter / kz("asce7-16", over, 10.0) for over in known)
        if (
            job.height is not None and job.averaging <= 3.0
        ):  # never less at the shelter than what was read there
            profile = max(profile, (job.speed / v) ** 2)
        return 0.5 * density(job) * profile * v * v
    ke = exp(-KE_RATE * min(job.elevation, THINNEST))
    return HALF_DENSITY * kz(job.method, job.exposure, height) * KD * ke * v * v


def in_state(dry: float, wet: float, frozen: float, state: str, on_snow: float) -> float:
    """A pair in a state, from its figures; dirt is at best as wet, nor snow than frost."""
    return {
        "dry": dry,
        "wet": wet,
        "frozen": min(frozen, wet),
        "snow": min(frozen, on_snow),
        "ice": ON_ICE,
        "soiled": min(wet, SOILED),
    }[state]


def friction_row(what: str, surface: str, state: str) -> float:
    """Of what touches the ground, on the surface in its state."""
    dry = DRY[what][SURFACES.index(surface)]
    wet = WET.get((what, surface), floor(dry * WET_SHARE * 1000.0 + 1e-9) / 1000.0)
    return in_state(
        dry, wet, FROZEN.get((what, surface), wet), state, SHEET_ON_SNOW if what in SHEETS else ON_SNOW
    )


SHEETS = ("cloth", "plastic")


def stacked(what: str, top: str, state: str) -> float:
    """A pair of the stack: snow between a bag and plain metal is as of a tyre, between anything coated or plastic as of a sheet."""
    dry, wet = STACK[what, top]
    return in_state(dry, wet, wet, state, ON_SNOW if (what, top) == ("bag", "metal") else SHEET_ON_SNOW)


def stack_row(what: str, under: str, state: str) -> float:
    """Of ballast on the cloth or the foot that it stands on; where nobody measured it, the least of either and our own bound."""
    top = TOP_OF[under]
    if (what, top) in STACK:
        return stacked(what, top, state)
    if state == "soiled":
        return min(SOILED, stack_row(what, under, "wet"))
    least = [friction_row(w, surface, state) for w in (what, under) for surface in SURFACES]
    least += [stacked(w, t, state) for w, t in STACK if w in (what, under) or t == top]
    return min(*least, NO_ROW_ON_ICE if state == "ice" else NO_ROW)


def broms_clay(su: float, b: float, deep: float, e: float) -> float:
    """Ultimate push on a short bar in clay, UFC 3-220-20 eqs 6-59 to 6-61, not over what bends the bar.

    With f = P/(9 su b): (L - 1.5 b - f)^2 = (P e + P (1.5 b + 0.5 f))/(2.25 b su) = 4 f (e + 1.5 b + 0.5 f), a quadratic in f.
    The bar: P (e + 1.5 b + 0.5 f) = fy b^3/6, another one.
    """
    arm, free = e + 1.5 * b, deep - 1.5 * b
    if free <= 0.0:
        return 0.0
    half = 2.0 * arm + free
    f = sqrt(half * half + free * free) - half
    bend = YIELD * b**3 / 6.0 / (9.0 * su * b)
    f_bar = sqrt(arm * arm + 2.0 * bend) - arm
    return 9.0 * su * b * min(f, f_bar)


def wedge(phi: float, lean: float, fall: float) -> float:
    """Push across a smooth bar over half of the weight along it, the least of every plane of a wedge.

    Seen square to the bar: weight pulls back by the lean, the ground falls by lean and fall, the plane rises at t. Balance of
    the wedge: P = W (sin lean + cos lean tan(t + phi)), W = half of gamma L^2/(tan t + tan(lean + fall)).
    """
    b, f, s = radians(lean), radians(phi), radians(lean + fall)

    def push(t: float) -> float:
        return (sin(b) + cos(b) * tan(t + f)) / (tan(t) + tan(s))

    low, high = 1e-9 - s, pi / 2.0 - f - 1e-9
    for _ in range(200):  # one valley: narrow it from both sides
        one, two = low + (high - low) / 3.0, high - (high - low) / 3.0
        low, high = (low, two) if push(one) <= push(two) else (one, high)
    return push((low + high) / 2.0)


def broms_sand(phi: float, gamma: float, b: float, deep: float, e: float, lean: float, fall: float) -> float:
    """Ultimate push on a short bar in sand, UFC 3-220-20 eqs 6-62 to 6-65, not over what bends the bar."""
    kp = wedge(phi, lean, fall) if lean or fall else tan(radians(45.0 + phi / 2.0)) ** 2
    short = 0.5 * gamma * b * deep**3 * kp / (e + deep)
    plastic = YIELD * b**3 / 6.0

    def moment(p: float) -> float:
        f = sqrt(p / (1.5 * gamma * b * kp))
        return p * e + p * f - gamma * b * kp * f**3 / 2.0

    if moment(short) <= plastic:
        return short
    low, high = 0.0, short
    for _ in range(200):
        middle = (low + high) / 2.0
        low, high = (middle, high) if moment(middle) <= plastic else (low, middle)
    return low


def soaked(job: Job) -> bool:
    """What is driven or buried stands in wet ground: all but dry, and any under snow."""
    return job.state != "dry" or job.snow is not None


def bar(job: Job, lean: float = 0.0) -> tuple[float, float]:
    """Ultimate push and ultimate pull-out of one stake in its ground; soaked clay has half, soaked sand floats.

    lean: degrees, head away from the pull: the ground in front falls away, and the line is tied so much further up.
    """
    assert job.stake is not None
    b, deep, soil, _, e = job.stake
    e /= cos(radians(lean))
    wet = soaked(job)
    if soil in CLAYS:
        su = CLAYS[soil] * (WET_HOLD if wet else 1.0)
        return broms_clay(
            su / (1.0 + tan(radians(lean + job.slope))), b, deep, e
        ), ADHESION * su * pi * b * deep
    phi, delta, moist, floating = SANDS[soil]
    gamma = floating if wet else moist
    shaft = EARTH_PRESSURE * tan(radians(delta)) * gamma * cos(radians(lean)) * deep / 2.0
    return broms_sand(phi, gamma, b, deep, e, lean, job.slope), shaft * pi * b * deep


LINE_OFF, LEAN_OFF = 5.0, 10.0  # how far off line and stake may come out


def as_built(job: Job, line: float) -> float:
    """Pull along a line, the least over what line and stake may come out as: towards the shelter it gains nothing across."""
    upright, away = bar(job), bar(job, LEAN_OFF)
    assert job.stake is not None
    towards = upright if job.stake[2] in CLAYS else (upright[0], upright[1] * cos(radians(LEAN_OFF)))
    least = inf
    for at in (line - LINE_OFF, line, line + LINE_OFF):
        for (push, out), across, along in (
            (upright, at, at),
            (away, at - LEAN_OFF, at - LEAN_OFF),
            (towards, at, min(at + LEAN_OFF, 90.0)),
        ):
            least = min(least, 1.0 / (cos(radians(across)) / push + max(0.0, sin(radians(along))) / out))
    return least


@dataclass
class Point:
    """An anchor point."""

    name: str
    x: float
    y: float
    group: str
    frame: int | None


def points_of(job: Job) -> list[Point]:
    """Left and right from the front, corners in both; then the ends between."""
    half_l, half_w = job.length / 2.0, job.width / 2.0
    out = []
    for letter, y in (("L", half_w), ("R", -half_w)):
        for k in range(job.per_side):
            group = "corner" if k in (0, job.per_side - 1) else "side"
            x = half_l - job.length * k / (job.per_side - 1)
            out.append(Point(f"{letter}{k + 1}", x, y, group, k))
    for letter, x in (("F", half_l), ("B", -half_l)):
        for k in range(1, job.per_end - 1):
            y = half_w - job.width * k / (job.per_end - 1)
            out.append(Point(f"{letter}{k + 1}", x, y, "end", None))
    return out


def material(job: Job) -> str:
    """The rows of what a unit of ballast is made of."""
    return ROWS_OF[job.material or "woven"] if job.unit is None else UNITS[job.unit][1]


def friction_of(job: Job) -> tuple[float, float]:
    """Under the shelter's own weight, and under the ballast.

    On the foot: the lowest of what touches the ground and of ballast on what it stands on, for both. Hung clear: the foot
    on the ground for both. Tied and standing: the foot for its own weight, the ballast on the ground for the ballast.
    """
    under = "cloth" if job.contact == "cloth" else job.foot
    assert under is not None
    foot = friction_row(under, job.surface, ground(job))
    if not job.on_frame or job.how == "hung-clear":
        return foot, foot
    if job.how == "lashed-to-leg":  # every one bound, on the plate; what touches the ground slides there too
        return foot, foot if job.clear else min(foot, friction_row(material(job), job.surface, ground(job)))
    if job.how == "standing-tied":
        return foot, friction_row(material(job), job.surface, ground(job))
    both = min(foot, stack_row(material(job), under, ground(job)))
    return both, both


def pull_of_block(job: Job, angle: float, k_ballast: float, phi: float) -> float:
    """Pull along a line at which a unit on the ground slides: W = T (sin a + cos a / mu); it slides before it lifts."""
    on_ground = friction_row(material(job), job.surface, ground(job))
    return k_ballast * mass_of(job) * GRAVITY / (sin(angle) + cos(angle) / (phi * on_ground))


DEADMAN = {  # TM 5-5420-278-10 table 9: depth in ft, lb for each sq ft of face at slopes 1:1, 1:2, 1:3, 1:4 of the line
    3: (950, 1300, 1450, 1500), 4: (1750, 2200, 2600, 2700), 5: (2800, 3600, 4000, 4100),
    6: (3800, 5100, 5800, 6000), 7: (5100, 7000, 8000, 8400),
}  # fmt: skip
DEADMAN_GROUND = {"loam": 1.0, "sand": 0.5, "fine": 0.5, "hardpan": 5.0, None: 0.5}  # not said: the least
TRENCH = 0.6096  # not said: 2 ft
PSF = 47.88026


def pull_of_deadman(job: Job, angle: float) -> float:
    """Pull of a log across the line: its face times what of its length bears, at the depth and slope below; soaked: half."""
    assert job.deadman is not None
    depth, length, face, ground, trench = job.deadman
    slope = max((n for n in (1, 2, 3, 4) if atan(1.0 / n) >= angle - 1e-9), default=1)
    power = floor(DEADMAN[floor(depth / 0.3048 + 1e-9)][slope - 1] * PSF)
    left = WET_HOLD if soaked(job) else 1.0
    bears = max(0.0, length - (TRENCH if trench is None else trench))
    return power * DEADMAN_GROUND[ground] * left * face * bears


def mass_of(job: Job) -> float:
    """Of one unit."""
    return job.unit_mass if job.unit_mass is not None else UNITS[job.unit or "sandbag"][0]


def inclined(at: float, of: tuple[float, float]) -> float:
    """A pull at an angle, of what the stake holds across and along."""
    return of[1] if at == 90.0 else 1.0 / (cos(radians(at)) / of[0] + sin(radians(at)) / of[1])


def most_believed(job: Job) -> float:
    """A pull beyond it is a slip of a digit or a unit."""
    assert job.stake is not None
    b, deep, soil, angle, e = job.stake
    there = deep if job.test_driven is None else job.test_driven
    at = job.pulled_at or angle or 90.0
    then = replace(job, state=job.tested, snow=None, stake=(b, there, soil, angle, e))
    return PULL_OVER_NAMED * inclined(at, bar(then)) if soil is not None else inf


def stake_worth(job: Job) -> tuple[float, float, float]:
    """Push, pull-out, and pull along its own line (straight up through the foot) of one stake, tests and theory together.

    A test is of what was tested: the least of pull over theory cuts theory where it is under 1, and over 1 earns nothing at
    a stake that is less deep or wetter. Fewer than three, or 10 degrees off: the lesser. Deeper: at least the pull.
    """
    assert job.stake is not None
    b, deep, soil, angle, e = job.stake
    line = 90.0 if angle is None else angle

    push, out = bar(job)
    theory = out if angle is None else as_built(job, line)
    if not job.pulls:
        return push, out, theory
    there = deep if job.test_driven is None else job.test_driven
    at = line if job.pulled_at is None else job.pulled_at
    stood = replace(job, stake=(b, there, soil, angle, e))
    pulls = [p for p in job.pulls if p <= most_believed(job)]
    if not pulls:
        return push, out, theory
    foreseen = inclined(at, bar(replace(stood, state=job.tested, snow=None)))
    cut = min(1.0, min(pulls) / foreseen)
    push, out = push * cut, out * cut
    along, rain = theory * cut, WET_HOLD if job.tested == "dry" else 1.0
    pull = min(pulls) * rain
    wetter = job.tested == "dry" and soaked(job)
    if len(pulls) < LEAST_PULLS or abs(at - line) > PULL_OFF or wetter or deep < there:
        return push, out, min(pull, along)
    return push, out, max(pull, rain * along) if deep > there else pull
