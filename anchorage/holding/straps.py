"""Marries straps to formulas: what sways the frame each way, what a strap pulls, and whether straps are locked."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Final, Literal

import numpy as np
from numpy.typing import NDArray

from anchorage.core import tables
from anchorage.core.constants import gravity
from anchorage.core.say import mark
from anchorage.deployment.models import Shelter, Snow
from anchorage.formulas import straps as formulas
from anchorage.formulas import working
from anchorage.formulas.coefficients import net_pressure
from anchorage.formulas.panels import Panels, resultants
from anchorage.formulas.snow import gable_foot
from anchorage.loads.roof_snow import RoofSnow
from anchorage.shelter.shape import Point, Shape

Floats = NDArray[np.float64]
Status = Literal["holds", "too weak", "ask the maker"]
Direction = Literal["along the ridge", "across the ridge"]
ALONG: Final = "along the ridge"
ACROSS: Final = "across the ridge"


@dataclass(frozen=True)
class Racking:
    """Sway in one direction. Forces in N, q in Pa."""

    direction: Direction
    resisted_by: str
    vertical: float | None
    """None where the mass of the shelter is not known."""
    lean: float
    unbalanced: float
    sway: float | None
    wind: float
    """Push of the wind at the eave per unit of q (m^2)."""
    count: int
    """Straps that pull; 0 where nothing is known to resist."""
    angle: float | None
    bay: float | None
    height: float
    rated: float | None
    ratio: float | None
    """α; None where stiffness or slack is not known."""
    amplifier: float
    """By α; where that is not known, by the least α that is accepted."""
    missing: tuple[str, ...]
    """Keys that would have to be in the file for a computed answer."""
    gamma_wind: float
    """Factors on the pull in a strap."""
    gamma_sway: float
    rows: tuple[tables.Row, ...] = ()
    """The rows that it stands on."""
    by_word: bool = False
    """No strap resists, and the maker says that the frame itself does."""

    @property
    def computed(self) -> bool:
        """True where pull and amplification rest on what the file says."""
        return not self.missing and self.ratio is not None

    @property
    def folds(self) -> bool:
        return self.ratio is not None and self.ratio < tables.row("strap-stability", "least").value

    def push(self, q: float) -> float | None:
        """Unfactored push at the eave (N), amplified."""
        return None if self.sway is None else float(formulas.racking(self.amplifier, self.sway, q, self.wind))

    def tension(self, q: float, amplifier: float | None = None) -> float | None:
        """Factored pull in one strap (N)."""
        if self.sway is None or not self.count or self.angle is None:
            return None
        a = self.amplifier if amplifier is None else amplifier
        push = formulas.racking(a, self.gamma_sway * self.sway, q, self.gamma_wind * self.wind)
        return float(formulas.strap_tension(push, self.count, self.angle))

    def foot(self, push: float) -> float | None:
        """Uplift (N) of the windward foot of a strapped bay under a push."""
        if not self.count or self.bay is None:
            return None
        return float(formulas.foot_uplift(push, self.height, self.count, self.bay))

    def pressure(self) -> float | None:
        """Q (Pa) at which a strap is full, at the most; None where it cannot be said."""
        if self.sway is None or not self.count or self.angle is None or self.rated is None:
            return None
        if self.folds:
            return 0.0
        a = self.amplifier if self.ratio is not None else 1.0
        sway, wind = self.gamma_sway * self.sway, self.gamma_wind * self.wind
        if wind <= 0:
            return float("inf") if (self.tension(0.0, a) or 0.0) <= self.rated else 0.0
        return max(float(formulas.pressure_held(self.rated, self.count, self.angle, a, sway, wind)), 0.0)

    def status(self, q: float) -> Status:
        """Never ``holds`` unless stiffness, slack, rating and all else are known."""
        limit = self.pressure()
        if limit is not None and q > limit * (1 + 1e-9):
            return "too weak"
        if limit is not None and limit <= 0 and (self.sway or 0.0) > 0:
            return "too weak"
        sure = self.by_word or (self.computed and self.rated is not None)
        return "holds" if sure else "ask the maker"


Trigger = Literal["snow-lies", "snow-falls", "leans", "slopes", "gust-over", "gust-near"]
"""Why straps are locked whatever the ratings say."""


def triggers(
    shelter: Shelter, snow: Snow, ground_slope: float, s: RoofSnow, gust: float, secure: float
) -> list[Trigger]:
    """What calls for locked straps, in the order in which it is said. gust: at the shelter (m/s); secure: share of a limit."""
    falling, most, out = snow.falling, shelter.rating.gust_unlocked, list[Trigger]()
    lean, slope = (tables.row("strap-lock", k).value for k in ("lean", "cross-slope"))
    if s.load > 0:
        out.append("snow-lies")
    elif s.method == "none" and falling is not None and any((falling.depth, falling.water)):
        out.append("snow-falls")
    if shelter.lean is not None and shelter.lean > lean:
        out.append("leans")
    if float(np.tan(np.deg2rad(ground_slope))) > slope:
        out.append("slopes")
    if most is not None and gust > float(most):
        out.append("gust-over")
    elif most is not None and gust > secure * float(most):
        out.append("gust-near")
    return out


def as_left(
    shelter: Shelter, snow: Snow, ground_slope: float, s: RoofSnow, gust: float, secure: float
) -> bool:
    """Whether the straps are locked once the conditions of the verdict are met: they are, or it asks for it."""
    r = shelter.rating
    only_locked = r.gust_locked is not None and r.gust_unlocked is None
    return (
        shelter.straps == "locked"
        or only_locked
        or bool(triggers(shelter, snow, ground_slope, s, gust, secure))
    )


def lower_given(unlocked: float | None, locked: float | None, straps: str) -> float | None:
    """What the maker gives for the straps as they are; never more than with them locked, as conditions may leave them."""
    if straps == "locked":
        return None if locked is None else float(locked)
    return None if unlocked is None else min(float(v) for v in (unlocked, locked) if v is not None)


def _sway_of_code(height: float, legs: int) -> float:
    r = {
        k: tables.row("strap-sway", k)
        for k in ("start", "height-factor", "height-least", "height-most", "row-half", "metre")
    }
    working.looked_up("φ0", r["start"])
    high = formulas.height_factor(
        r["height-factor"].value, height, r["metre"].value, r["height-least"].value, r["height-most"].value
    )
    row = formulas.row_factor(r["row-half"].value, float(legs))
    return float(formulas.initial_sway(r["start"].value, high, row))


def wind_pushes(loaded: Mapping[str, Panels], gust_effect: float, height: float) -> dict[str, float]:
    """Push of the wind at the eave per unit of q (m^2), each way: the larger of the two faces and of the roof variants."""
    out = {}
    for name, axis, faces in ((ALONG, 0, ("front", "back")), (ACROSS, 1, ("left", "right"))):
        moments = []
        for face in faces:
            p = loaded[face]
            part = resultants(p, net_pressure(p.height, gust_effect, p.external, 0.0))
            moments.append(float(np.abs(part.push_moment[:, axis]).max()))
        out[name] = float(formulas.wind_share(max(moments), height))
    return out


def _one(sh: Shelter, ground_slope: float, shape: Shape, s: RoofSnow, direction: Direction, wind: float,
         gamma: float) -> Racking:  # fmt: skip
    strap = sh.strap
    height, along = leg_height(shape), direction == ALONG
    # A joint of shelters in line can part and carries nothing: along the ridge each stands on its own straps, with its own roof and weight,
    # and takes the wind on the end of the line alone; across it the straps of the two ends of the line hold all of them.
    many = 1 if along else sh.in_line
    length = shape.length / sh.in_line * many
    with working.title(f"Sway {direction}", of=working.Topic.SWAY):
        lean = max(
            _sway_of_code(height, sh.points_per_side if along else 2),
            float(sh.lean or 0.0),
            float(np.tan(np.deg2rad(ground_slope))),
        )
        missing = [] if sh.mass is not None else ["shelter.mass"]
        per_wall = None if strap is None else strap.count if along else strap.ends
        count = 2 * (per_wall or 0)
        angle = None if strap is None or strap.angle is None else float(strap.angle)
        bay = None if strap is None or strap.bay is None else float(strap.bay)
        rated = None if strap is None or strap.rated is None else float(strap.rated)
        by_word = not along and not per_wall and strap is not None and strap.frame_across
        if not per_wall and not by_word:
            missing.append("shelter.strap.count" if along else "shelter.strap.ends")
        missing += [
            f"shelter.strap.{k}" for k, v in (("angle", angle), ("bay", bay), ("rated", rated)) if v is None
        ]
        slack = None if strap is None or strap.slack is None else float(strap.slack)
        stiffness = None if strap is None or strap.stiffness is None else float(strap.stiffness)
        missing += [
            f"shelter.strap.{k}" for k, v in (("stiffness", stiffness), ("slack", slack)) if v is None
        ]
        if slack and angle is not None:
            lean += float(formulas.slack_lean(slack, angle, height))
        unbalanced = 0.0
        if not along and sh.leg_lean:
            unbalanced = abs(
                float(formulas.unbalanced_push(s.light, s.heavy, shape.width, length, float(sh.leg_lean)))
            )
        vertical = sway = ratio = None
        amplifier = float(formulas.amplifier(tables.row("strap-stability", "least").value))
        if sh.mass is not None:
            own = many * float(sh.mass) * gravity()
            even = float(formulas.vertical_load(s.load, s.load, shape.width, length, own))
            # soft roofs do not share: the heavier side counts for both
            heavy = 2 * float(gable_foot(s.light, s.heavy, length, shape.width)) + own
            vertical = max(even, heavy)
            sway = float(formulas.sway_push(vertical, lean, unbalanced))
            if (
                count
                and angle is not None
                and bay is not None
                and stiffness is not None
                and slack is not None
            ):
                k = formulas.lateral_stiffness(count, stiffness, angle, bay)
                ratio = float(formulas.sway_ratio(k, height, vertical))
                amplifier = float(formulas.amplifier(ratio))
    by = (mark("sidewall straps") if along else mark("end-wall straps")) if count else mark("not known")
    by = mark("the frame, by the maker's word") if by_word else by
    return Racking(
        direction=direction, resisted_by=by, vertical=vertical, lean=lean, unbalanced=unbalanced, sway=sway, wind=wind, count=count, angle=angle, bay=bay, height=height, rated=rated, ratio=ratio, amplifier=amplifier,
        missing=tuple(missing), gamma_wind=gamma, gamma_sway=max(1.0, gamma), by_word=by_word,
    )  # fmt: skip


def rackings(
    shelter: Shelter,
    ground_slope: float,
    shape: Shape,
    s: RoofSnow,
    loaded: Mapping[str, Panels],
    gust_effect: float,
    gamma_line: float,
) -> tuple[Racking, Racking]:
    """Sway along and across the ridge. loaded: the panels for wind on each face; gamma_line: margin on a line (1)."""
    with working.title("Wind at the eave"):
        pushes = wind_pushes(loaded, gust_effect, leg_height(shape))
    with tables.collect() as rows:
        along = _one(shelter, ground_slope, shape, s, ALONG, pushes[ALONG], gamma_line)
        across = _one(shelter, ground_slope, shape, s, ACROSS, pushes[ACROSS], gamma_line)
    return replace(along, rows=tuple(rows)), replace(across, rows=tuple(rows))


def leg_height(shape: Shape) -> float:
    """Height (m) at which the frame sways: the eave; the crown of an arch that springs from the ground."""
    return shape.eave if shape.eave > 0 else shape.ridge


FOLDED = 1e6
"""Stands for the amplifier of a frame that folds, which has none: its feet hold nothing."""


@dataclass(frozen=True)
class Added:
    """Uplift that locked straps add at each point, unfactored: ``fixed`` + q·``per_q``; (n,), N and m^2."""

    fixed: Floats
    per_q: Floats


def added_uplift(racking: Sequence[Racking], points: Sequence[Point]) -> Added:
    """What locked straps lift at each point. Which bay is strapped is not in the file, so every point of a wall counts;
    at corners both walls are added. Nothing where their count, bay or the mass is not given.
    """
    fixed, per_q = np.zeros(len(points)), np.zeros(len(points))
    for r in racking:
        if r.sway is None:
            continue
        amplifier = min(r.amplifier, FOLDED)
        still, windy = r.foot(amplifier * r.sway), r.foot(amplifier * r.wind)
        if still is None or windy is None:
            continue
        groups = ("corner", "side") if r.direction == ALONG else ("corner", "end")
        on = np.array([p.group in groups for p in points])
        fixed, per_q = fixed + on * still, per_q + on * windy
    return Added(fixed, per_q)
