"""What the installation takes, as the outlook needs it: independent of how it was worked out."""

from __future__ import annotations

import math
from dataclasses import dataclass

from anchorage import tables
from anchorage.assemble import SUBJECTS
from anchorage.deployment import Deployment
from anchorage.errors import NotModelledError
from anchorage.result import Plan, Verdict


@dataclass(frozen=True)
class Shares:
    """Shares of the limit at which the levels begin, and where they are from."""

    secure: float
    people_out: float
    keep_away: float
    source: str


@dataclass(frozen=True)
class Block:
    """Something that stands in the way whatever the wind."""

    code: str
    text: str
    verdict: Verdict


@dataclass(frozen=True)
class Limits:
    """Speeds are service 3 s gusts at 10 m (m/s), loads Pa on the roof."""

    gust: float
    """The lowest of anchorage, maker's rating and local policy, whatever the bearing."""
    governed_by: str
    by_bearing: tuple[tuple[float, float], ...] = ()
    """Bearing (degrees true) and its limiting gust."""
    half_built: float | None = None
    """Gust up to which it may be put up or taken down, where one is given."""
    roof_snow: float | None = None
    lying: float = 0.0
    """Load on the roof now."""
    slope: float = 90.0
    """Flattest part of the roof, degrees."""
    rating_missing: bool = False
    blocks: tuple[Block, ...] = ()
    heading: float | None = None
    set_up_wind: float | None = None
    """Bearing of the wind that it was set up for."""

    def at(self, bearing: float | None) -> float:
        """Lowest limit within what a forecast direction may be wrong by; the overall one where there is no direction."""
        if bearing is None or not self.by_bearing:
            return self.gust
        sector = tables.row("gust-coding", "direction").value
        inside = [
            g for b, g in self.by_bearing if abs((b - bearing + 180.0) % 360.0 - 180.0) <= sector + 1e-9
        ]
        return min(inside, default=self.gust)


def shares_of(secure: float | None = None, people_out: float | None = None) -> Shares:
    """The shares of the table, or those of the file."""
    rows = {k: tables.row("level", k) for k in ("secure", "people-out", "keep-away")}
    own = secure is not None or people_out is not None
    return Shares(
        rows["secure"].value if secure is None else secure, rows["people-out"].value if people_out is None else people_out,
        rows["keep-away"].value, "your own levels, from the file" if own else rows["secure"].cite(),
    )  # fmt: skip


def flattest(d: Deployment) -> float:
    """Slope of the flattest part of the roof, degrees."""
    s = d.shelter
    rise = float(s.ridge if s.ridge is not None else s.eave) - float(s.eave)
    if s.form == "arch":
        return 0.0
    run = (
        float(s.width)
        if "single-slope" in s.form
        else min(float(s.width), float(s.length)) / 2
        if s.form == "hip"
        else float(s.width) / 2
    )
    return math.degrees(math.atan2(rise, run))


def limits_of(plan: Plan, d: Deployment) -> Limits:
    """What the outlook needs of a plan. Strength-level margins are refused: a forecast is a service gust."""
    if plan.margins.get("set") == "asd":
        raise NotModelledError(
            'margins.set "asd" judges strength-level speeds; a forecast is a service gust: use "lumped-1.5"'
        )
    by_bearing = tuple(
        (b.bearing, math.inf if b.gust_m_s is None else b.gust_m_s) for b in plan.limit.by_bearing
    )
    own = math.inf if plan.limit.gust_m_s is None else plan.limit.gust_m_s
    lowest = min([own, *(g for _, g in by_bearing)])
    return Limits(
        gust=lowest, governed_by=plan.limit.governed_by if lowest == own else "the anchorage, for wind from its weakest side",
        by_bearing=by_bearing, half_built=_half_built(plan, d),
        roof_snow=plan.snow.limit_pa, lying=plan.snow.roof_load_pa, slope=flattest(d), rating_missing=plan.limit.anchorage_only,
        blocks=_blocks(plan), heading=d.site.heading, set_up_wind=d.wind.bearing,
    )  # fmt: skip


def _half_built(plan: Plan, d: Deployment) -> float | None:
    """The lower of local policy for setting up and what the half-built shelter holds; None where neither is known."""
    held = None if plan.half_built is None else plan.half_built.gust_m_s
    both = [float(v) for v in (d.policy.setup_gust, held) if v is not None]
    return min(both, default=None)


def _blocks(plan: Plan) -> tuple[Block, ...]:
    """What a plan holds against the installation that no gentler wind cures."""
    out = [Block("check", f"{c.name[0].upper()}{c.name[1:]} ({c.where}) fails whatever the wind.", "no-go")
           for c in plan.checks if not c.ok and c.holds_to_m_s is None and c.name != "roof snow"]  # fmt: skip
    for r in plan.reasons:
        if r.code in ("stock-short", "cannot-be-held"):
            out.append(Block(r.code, r.text, "no-go"))
        elif (
            not r.code.endswith("-exceeded")
            and not r.code.startswith("level-")
            and r.code not in ("rating-missing", "snow-rating-missing")
        ):
            out.append(Block(r.code, r.text, "unknown"))
    return tuple(out)


def subject_of(key: str) -> str:
    """How a use is called before people."""
    return SUBJECTS[key]
