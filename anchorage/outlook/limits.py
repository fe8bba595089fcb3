"""What the installation takes, as the outlook needs it: independent of how it was worked out."""

from __future__ import annotations

import math
from dataclasses import dataclass

from anchorage.core import tables
from anchorage.core.checked import Check, What
from anchorage.core.constants import gravity, water_density
from anchorage.core.errors import NotModelledError
from anchorage.core.say import capital, say
from anchorage.core.told import Words, put, tell
from anchorage.core.words import spoken
from anchorage.deployment.models import Deployment, Policy, Shelter, Site, Snow, Wind
from anchorage.deployment.policy import SUBJECTS
from anchorage.judging.result import Plan, Verdict
from anchorage.judging.snow_report import POLICIES
from anchorage.judging.verdict import (
    COMING_DOWN,
    GOING_UP,
    HALF_BUILT,
    RECORD_LEVEL,
    SETUP_ASKS,
    SETUP_POLICY,
    STRAP_DATA,
    setup_asks,
)
from anchorage.loads import roof_snow as snow
from anchorage.loads.wind import policy_hill
from anchorage.outlook.notes import Note
from anchorage.outlook.snowfall import BARE, Roof


@dataclass(frozen=True)
class Barrier:
    """Something that stands in the way whatever the wind."""

    code: str
    told: Words
    verdict: Verdict

    @property
    def text(self) -> str:
        """In words."""
        return str(self.told)


@dataclass(frozen=True)
class Limits:
    """Speeds are service 3 s gusts at 10 m (m/s), loads Pa on the roof."""

    gust: float
    """Of anchorage, rating and policy the lowest, whatever the bearing."""
    by: Check
    by_bearing: tuple[tuple[float, float], ...] = ()
    """Bearing (degrees true) and its limiting gust."""
    half_built: float | None = None
    """Gust from which it may be neither put up nor taken down, where one is known."""
    bare: float | None = None
    """Wind that the bare shell stands in, where it is raised and taken down with nothing on it."""
    set_up_asks: tuple[Barrier, ...] = ()
    """Questions that leave setting up unknown, and nothing else."""
    roof_snow: float | None = None
    roof: Roof = BARE
    """What is on the roof now."""
    snow_unrated: bool = False
    """The maker's figure is missing: the roof itself has not been judged, whatever rule there is."""
    roof_depth: float | None = None
    """Depth of snow on the roof (m) at which a rule that was chosen empties the shelter."""
    sway_gust: float = math.inf
    """Beyond this gust (m/s) nobody knows whether the straps hold: data is missing."""
    sway_snow: float = math.inf
    """The same of the load on the roof (Pa)."""
    rating_missing: bool = False
    blocks: tuple[Barrier, ...] = ()
    heading: float | None = None
    set_up_wind: float | None = None
    """Bearing of the wind that it was set up for."""
    state: str = ""
    """State of the ground that they are for."""

    @property
    def governed_by(self) -> str:
        """In English, as the JSON has it."""
        return self.by.limits

    def at(self, bearing: float | None) -> float:
        """Lowest limit within what a forecast direction may be wrong by; the overall one where there is no direction."""
        if bearing is None or not self.by_bearing:
            return self.gust
        sector = tables.row("gust-coding", "direction").value
        inside = [
            g for b, g in self.by_bearing if abs((b - bearing + 180.0) % 360.0 - 180.0) <= sector + 1e-9
        ]
        return min(inside, default=self.gust)


def limits_of(plan: Plan, d: Deployment) -> Limits:
    """What the outlook needs of a plan. Strength-level margins are refused: a forecast is a service gust."""
    if plan.margins.get("set") == "asd":
        raise NotModelledError(
            say(
                'margins.set "asd" judges strength-level speeds; a forecast is a service gust: use "lumped-1.5"'
            )
        )
    own = _or_inf(plan.put_up_m_s)
    most = math.inf if plan.short is None and plan.capped is None else own
    by_bearing = tuple((b.bearing, min(_or_inf(b.gust_m_s), most)) for b in plan.limit.by_bearing)
    lowest = min([own, *(g for _, g in by_bearing)])
    loads, depths = _snow_rules(d.policy)
    return Limits(
        gust=lowest, by=_by(plan) if lowest == own else Check(What.WEAKEST_SIDE),
        by_bearing=by_bearing, half_built=_half_built(plan, d.policy.setup_gust, d.wind, d.site), set_up_asks=_asks(plan), bare=None if plan.half_built is None else plan.half_built.bare_m_s,
        roof=roof_of(plan, d.snow, d.shelter), sway_gust=_or_inf(plan.straps.covered_gust_m_s), sway_snow=_or_inf(plan.straps.covered_snow_pa), snow_unrated=plan.snow.limit_pa is None,
        roof_snow=min([v for v in (plan.snow.limit_pa, *loads) if v is not None], default=None), roof_depth=min(depths, default=None),
        rating_missing=plan.limit.anchorage_only,
        blocks=_blocks(plan), heading=d.site.heading, set_up_wind=d.wind.bearing,
    )  # fmt: skip


def _by(plan: Plan) -> Check:
    """What gives first of what would be put up."""
    if plan.capped is not None:
        return Check(What.MOST_AT_POINT)
    first = None if plan.short is None else plan.short.first
    return plan.limit.by if first is None else first


def _or_inf(v: float | None) -> float:
    return math.inf if v is None else v


def roof_of(plan: Plan, said: Snow, shelter: Shelter) -> Roof:
    """What is on the roof now: snow that was measured, water that stands there, what falls by who is there."""
    s, pond, fall = plan.snow, plan.snow.pond, said.falling
    water = 0.0 if fall is None else snow.rate_of(fall, []) / (water_density() * gravity())
    deep = 0.0 if fall is None or fall.depth is None else float(fall.depth) / 3600.0
    if fall is not None and fall.depth is None:
        deep = snow.depths_of(snow.rate_of(fall, []))["new"]
    lies = s.method == "measured"
    standing = 0.0 if pond is None or pond.load_pa is None else pond.load_pa
    return Roof(
        (s.roof_load_pa if lies else 0.0) + standing, s.lying_depth_m if lies else 0.0, water, deep, snow.rain_stays(said, shelter),
        snow.holds_pocket(said, shelter, snow.pocket_slope(said)), said.pockets is None and snow.pocket_slope(said) is None and snow.rain_stays(said, shelter),
        pond is not None and pond.grows,
    )  # fmt: skip


def _snow_rules(policy: Policy) -> tuple[list[float], list[float]]:
    """Loads (Pa) and depths (m) of the rules that the file chooses."""
    loads = [float(policy.snow_load)] if policy.snow_load is not None else []
    depths = [float(policy.snow_depth)] if policy.snow_depth is not None else []
    if policy.snow is not None:
        prefix = POLICIES[policy.snow][0]
        loads.append(tables.row("snow-policy", f"{prefix}-load").value)
        depths.append(tables.row("snow-policy", f"{prefix}-depth").value)
    return loads, depths


def _half_built(plan: Plan, policy: float | None, wind: Wind, site: Site) -> float | None:
    """The lower of local policy for setting up and what it takes on the way up and down; None where neither is known."""
    own = None if policy is None else float(policy) / policy_hill(wind, site, plan.wind.over_hill)
    held = None if plan.half_built is None else plan.half_built.up_to_m_s
    return min([v for v in (own, held) if v is not None], default=None)


def _asks(plan: Plan) -> tuple[Barrier, ...]:
    asked = [] if plan.half_built is None else setup_asks(plan.half_built)
    return tuple(Barrier(r.code, r.told, "unknown") for r in asked)


def _blocks(plan: Plan) -> tuple[Barrier, ...]:
    """What a plan holds against the installation that no gentler wind cures."""
    out = [Barrier("check", tell(Note.FAILS, name=put(capital, c.check), where=put(spoken, c.where)), "no-go")
           for c in plan.checks if not c.ok and c.holds_to_m_s is None and c.check.what is not What.SNOW]  # fmt: skip
    for r in plan.reasons:
        if r.code in ("stock-short", "cannot-be-held", "does-not-do", "inspection-failed", COMING_DOWN):
            out.append(Barrier(r.code, r.told, "no-go"))
        elif (
            not r.exceeded
            and not r.by_level
            and r.code
            not in {
                "rating-missing",
                "snow-rating-missing",
                STRAP_DATA,
                RECORD_LEVEL,  # by the use, in the outlook
                GOING_UP,
                HALF_BUILT,
                SETUP_POLICY,
                *SETUP_ASKS,
            }
        ):
            out.append(Barrier(r.code, r.told, "unknown"))
    return tuple(out)


def subject_of(key: str) -> str:
    """How a use is called before people."""
    return SUBJECTS[key]
