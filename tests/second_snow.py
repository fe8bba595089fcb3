"""Snow on the roof, and the straps that a frame sways in, in the second reckoning: by hand, in plain floats.

Nothing of the package is used here. Snow by ASCE 7 as O'Rourke's guide and public sheets carry it, by EN 1991-1-3 as the Commission's guide for steel
buildings does, in feet and psf or metres and Pa as each is written; what was only recalled is marked memory. Sway by EN 1993-1-1, 5.3.2.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import atan2, cos, degrees, log, pi, radians, sqrt, tan
from typing import TYPE_CHECKING

from tests.second_figures import GRAVITY, PSF
from tests.second_loads import Sum

if TYPE_CHECKING:
    from tests.second_figures import Job, Point

FT, PCF = 0.3048, PSF / 0.3048
LYING = {
    "new": 100.0,
    "settled": 250.0,
    "wet": 400.0,
    "slush": 900.0,
    "ice": 917.0,
    None: 640.0,
}  # kg/m3: the design's choices within published ranges
WATER = 1000.0
CE = {  # ASCE 7-16 table 7.3-1
    "B": {"fully": 0.9, "partially": 1.0, "sheltered": 1.2},
    "C": {"fully": 0.9, "partially": 1.0, "sheltered": 1.1},
    "D": {"fully": 0.8, "partially": 0.9, "sheltered": 1.0},
}
CT_COLD, CT_HEATED = 1.2, 1.0  # table 7.3-2
IMPORTANCE = {"I": 0.8, "II": 1.0, "III": 1.1, "IV": 1.2}  # table 1.5-2
PM_MOST_22 = {"I": 25.0, "II": 30.0, "III": 35.0, "IV": 40.0}  # psf, 7-22 table 7.3-4: memory
SLIDES_FROM = {
    (True, "cold"): 15.0,
    (True, "warm"): 5.0,
    (False, "cold"): 45.0,
    (False, "warm"): 30.0,
}  # fig. 7.4-1
RAIN, RAIN_22 = 5.0, 8.0  # psf, 7.10
SERVICE_22 = 0.7  # ASCE 7-22 2.4.1
DRIFT_FROM = 20.0  # ft, a shorter run counts as this: memory
SLIDE, SLIDE_REACH, SLIDE_SLOPE = 0.4, 15.0, 1.193  # 7.9: memory
AGAINST = 0.75  # of a drift, to windward of a wall, 7.7.1
EN_CE = {"windswept": 0.8, "normal": 1.0, "sheltered": 1.2}  # EN 1991-1-3 table 5.1
EXCEPTIONAL = 2.0
EN_SLIDE = 0.8  # of the length of a steeper roof over ls, psds.cz: the Czech amendment
SWAY, LEAST_ALPHA = 1.0 / 200.0, 3.0  # EN 1993-1-1 5.3.2; 5.2: memory
LEANS, FALLS = 0.01, 0.02  # from here straps are locked: the design's choice


@dataclass
class Lying:
    """What lies on a roof: depth and kind, water, or what a code asks for (N/m2); a taller building beside as width, height, slope."""

    depth: float | None = None
    kind: str | None = None
    water: float | None = None
    ground: float | None = None
    edition: str = "asce7-16"
    exposure: str = "sheltered"
    category: str = "IV"
    heated: bool = False
    slippery: bool = False
    winter: float | None = None
    exceptional: bool = False
    held: bool = False
    years: tuple[int, float] | None = None
    building: tuple[float, float, float] | None = None


@dataclass
class Straps:
    """On each side and each end, degrees, bay (m), rated (N), stiffness (N), slack (m); locked; lean of the frame, of the legs in degrees."""

    count: int | None
    ends: int | None
    angle: float
    bay: float
    rated: float
    stiffness: float | None
    slack: float | None
    locked: bool
    lean: float = 0.0
    legs: float = 0.0


Loads3 = tuple[float, float, float]
"""Even, light half, heavy half or peak; Pa, service level."""


def roof_load(job: Job) -> Loads3:
    """What lies on the roof."""
    s = job.snow
    if s is None:
        return 0.0, 0.0, 0.0
    if s.ground is not None:
        return by_en(job, s) if s.edition == "en1991-1-3" else by_asce(job, s)
    mass = s.water * WATER if s.water is not None else LYING[s.kind] * (s.depth or 0.0)
    return mass * GRAVITY, 0.0, mass * GRAVITY


def run_and_rise(job: Job) -> tuple[float, float]:
    """From eave to ridge."""
    return (job.width if job.form.endswith("single-slope") else job.width / 2.0), job.ridge - job.eave


def slides_off(slope: float, ct: float, *, slippery: bool) -> float:
    """Cs: 1 up to a slope, 0 at 70 degrees."""
    begin = SLIDES_FROM[slippery, "warm" if ct <= 1.0 else "cold"]
    return min(1.0, max(0.0, (70.0 - slope) / (70.0 - begin)))


def drift(s: Lying, run: float, pg: float, weight: float, importance: float = 1.0) -> float:
    """Height of a drift in ft, from a roof of a length in ft."""
    run = max(run, DRIFT_FROM)
    if s.edition == "asce7-22":
        return 1.5 * sqrt(pg**0.74 * run**0.70 * (1.0 if s.winter is None else s.winter) ** 1.7 / weight)
    return 0.43 * sqrt(max(importance, 1.0)) * run ** (1.0 / 3.0) * (pg + 10.0) ** 0.25 - 1.5


def by_asce(job: Job, s: Lying) -> Loads3:
    """In psf and ft."""
    new, pg = s.edition == "asce7-22", (s.ground or 0.0) / PSF
    run, rise = (x / FT for x in run_and_rise(job))
    arch, line = job.form == "arch", degrees(atan2(rise, run))
    ce = CE[job.exposure][s.exposure]
    ct = CT_HEATED if s.heated and not new else CT_COLD
    importance = 1.0 if new else IMPORTANCE[s.category]
    pf = 0.7 * ce * ct * importance * pg
    ps = (1.0 if arch else slides_off(line, ct, slippery=s.slippery)) * pf
    even, most = ps, PM_MOST_22[s.category] if new else 20.0
    if line < run / 50.0 and pg:  # rain; beyond the most the load with rain is kept
        even = max(even, ps * min(pg, most) / pg + (RAIN_22 if new else RAIN))
    if line < (10.0 if arch else 15.0):
        even = max(even, importance * min(pg, most))
    weight = min(0.13 * pg + 14.0, 30.0)
    light, heavy = 0.0, ps
    two = job.form in ("gable", "hip", "canopy-gable")
    if arch and 10.0 <= line <= 60.0:
        radius = (run * run + rise * rise) / (2.0 * rise)
        at_eave = min(degrees(atan2(run, radius - rise)), 90.0)
        cold = CT_HEATED if s.heated and not new else CT_COLD
        heavy = max(ps, 2.0 * pf * slides_off(min(at_eave, 30.0), cold, slippery=s.slippery) / ce)
    elif two and 2.38 <= line <= 30.26:
        heavy = ps + drift(s, run, pg, weight) * weight / sqrt(run / rise)
        light = 0.3 * ps
        if run <= 20.0 and importance * pg > heavy:
            light, heavy = 0.0, importance * pg
    if s.building is not None:
        wide, tall, slope = s.building
        step = (tall - job.eave) / FT
        lower = run if job.form.endswith("single-slope") else 2.0 * run
        high = max(
            drift(s, wide / FT, pg, weight, importance), AGAINST * drift(s, lower, pg, weight, importance)
        )
        wall = ps + weight * min(high, max(step - ps / weight, 0.0))
        if slope > SLIDE_SLOPE:
            wall = max(wall, ps + SLIDE * pf * (wide / FT) / SLIDE_REACH)
        if wall > heavy:
            light, heavy = 0.0, wall
    to_service = PSF * (SERVICE_22 if new else 1.0)
    return even * to_service, light * to_service, heavy * to_service


def by_en(job: Job, s: Lying) -> Loads3:
    """In m and N/m2."""
    run, rise = run_and_rise(job)
    slope, sk = degrees(atan2(rise, run)), s.ground or 0.0
    if s.years is not None:
        years, v = s.years
        sk *= (1.0 - v * sqrt(6.0) / pi * (log(-log(1.0 - 1.0 / years)) + 0.57722)) / (1.0 + 2.5923 * v)
    sk *= EXCEPTIONAL if s.exceptional else 1.0
    mu1 = 0.8 if s.held else 0.8 * min(1.0, max(0.0, (60.0 - slope) / 30.0))
    if job.form == "arch":
        mu1, peak = 0.8, min(2.0, 0.2 + 10.0 * rise / job.width)
        light = 0.5 * peak
    else:
        peak, light = mu1, 0.5 * mu1 if job.form in ("gable", "hip", "canopy-gable") else 0.0
    if s.building is not None:
        wide, tall, steep = s.building
        step = tall - job.ridge
        mu = min(max(min((wide + job.width) / (2.0 * step), 2000.0 * step / max(sk, 1.0)), 0.8), 4.0)
        if steep > 15.0:
            mu += EN_SLIDE * wide / min(max(2.0 * step, 5.0), 15.0)
        if mu > peak:
            peak, light = mu, 0.0
    ce = EN_CE[s.exposure]
    return mu1 * ce * sk, light * ce * sk, peak * ce * sk


# --- straps


@dataclass
class Sway:
    """One way: what sways the frame without wind (N), and with it per unit of q (m2), amplified by so much; pull and uplift."""

    vertical: float
    lean: float
    still: float
    wind: float
    amplifier: float
    folds: bool
    pulling: int
    height: float

    def push(self, q: float) -> float:
        """At the eave."""
        return self.amplifier * (self.still + q * self.wind)


def sways(job: Job, outer: dict[str, list[Sum]]) -> dict[str, Sway]:
    """Along the ridge and across it."""
    t = job.straps
    assert t is not None
    even, light, heavy = roof_load(job)
    own, plan = job.mass * GRAVITY, job.width * job.length
    # the heavier side may stand for both: three hinges, (w1 + 3 w2) L/8 on each foot
    vertical = max(even * plan, (light + 3.0 * heavy) / 4.0 * plan) + own
    height = job.eave if job.eave > 0.0 else job.ridge
    out = {}
    for name, faces, legs, each in (
        ("along", ("front", "back"), job.per_side, t.count),
        ("across", ("left", "right"), 2, t.ends),
    ):
        tips = [abs(s.tip_x if name == "along" else s.tip_y) for f in faces for s in outer[f]]
        code = SWAY * min(1.0, max(2.0 / 3.0, 2.0 / sqrt(height))) * sqrt(0.5 * (1.0 + 1.0 / legs))
        lean = max(code, t.lean, tan(radians(job.slope)))
        if t.slack:
            lean += t.slack / (cos(radians(t.angle)) * height)
        uneven = (
            abs(heavy - light) * job.width / 4.0 * job.length * abs(tan(radians(t.legs)))
            if name == "across"
            else 0.0
        )
        pulling, amplifier, folds = 2 * (each or 0), LEAST_ALPHA / (LEAST_ALPHA - 1.0), False
        if pulling and t.stiffness is not None and t.slack is not None:
            alpha = pulling * t.stiffness * cos(radians(t.angle)) ** 3 / t.bay * height / vertical
            amplifier = alpha / (alpha - 1.0) if alpha > 1.0 else float("inf")
            folds = alpha < LEAST_ALPHA
        out[name] = Sway(
            vertical, lean, vertical * lean + uneven, max(tips) / height, amplifier, folds, pulling, height
        )
    return out


def are_locked(job: Job) -> bool:
    """They are, or snow, lean or a slope ask for it."""
    t = job.straps
    return t is not None and (
        t.locked or roof_load(job)[0] > 0.0 or t.lean > LEANS or tan(radians(job.slope)) > FALLS
    )


def lifted_by_straps(
    job: Job, outer: dict[str, list[Sum]], points: list[Point]
) -> dict[str, tuple[float, float]]:
    """What locked straps lift at each point: N, and m2 per unit of q. Nobody says which bay is strapped, so each point of the wall."""
    out = {p.name: (0.0, 0.0) for p in points}
    if not are_locked(job):
        return out
    assert job.straps is not None
    for name, s in sways(job, outer).items():
        if not s.pulling:
            continue
        for p in points:
            if p.group in (("corner", "side") if name == "along" else ("corner", "end")):
                times = min(s.amplifier, 1e6) * s.height / (s.pulling * job.straps.bay)
                out[p.name] = out[p.name][0] + times * s.still, out[p.name][1] + times * s.wind
    return out
