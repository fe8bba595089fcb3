"""The hand-held trip reading: what a meter held up by hand shows, at the least, when the gust at 10 m is at a limit."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from anchorage.core import tables
from anchorage.deployment.models import Deployment, Site, Wind
from anchorage.deployment.policy import policy_of
from anchorage.formulas import en1991, speed, velocity
from anchorage.loads.terrain import arcs, exposure, speed_up
from anchorage.loads.wind import gust_factor

LETTERS = ("b", "c", "d")
"""Terrains of ASCE 7: town, open country, open water."""


@dataclass(frozen=True)
class Trip:
    """A limit as people can read it outside. Speeds in m/s."""

    gust: float
    """3 s gust at 10 m."""
    reading: float
    """Peak that a hand-held meter shows, by the terrain model that gives least."""
    model: str
    """The model that gives the lowest."""
    beaufort: int
    """Force of the 10 min mean from which the gust may be there."""


def hand_height() -> float:
    """Height at which a meter is held (m)."""
    return tables.row("hand-held", "height").value


def _kz(height: float, letter: str) -> float:
    return float(velocity.exposure_coefficient(
        height, tables.row("kz-floor", "asce7").value, tables.row("zg-asce7-16", letter).value,
        tables.row("alpha-asce7-16", letter).value, tables.row("kz-coefficient", "asce7-16").value,
    ))  # fmt: skip


def _peak(height: float, key: str) -> float:
    """Peak pressure of EN 1991-1-4 at a height for a basic speed of 1 m/s and air of 1 kg/m^3 (Pa)."""
    p = {k: tables.row("en-profile", k).value for k in ("kr-factor", "kr-reference", "kr-power", "turbulence", "gust-factor")}  # fmt: skip
    z0, floor = tables.row("en-terrain-z0", key).value, tables.row("en-terrain-zmin", key).value
    kr = en1991.terrain_factor(p["kr-factor"], z0, p["kr-reference"], p["kr-power"])
    mean = en1991.mean_speed(en1991.roughness_factor(kr, height, floor, z0), 1.0)
    intensity = en1991.turbulence_intensity(p["turbulence"], height, floor, z0)
    return float(en1991.peak_pressure(p["gust-factor"], intensity, 1.0, mean))


def profiles(height: float) -> dict[str, float]:
    """By terrain model: the gust at a height (m) over the gust at 10 m of the same terrain."""
    reference = tables.row("reference-height", "asce7").value
    out = {}
    for letter in LETTERS:
        exponent = tables.row("gust-exponent-asce7-16", letter).value
        raised = float(speed.gust_at_reference(1.0, height, reference, exponent))
        out[f"power law of ASCE 7, exposure {letter.upper()}"] = 1.0 / raised
    for row in tables.table("en-terrain-z0").rows:
        ratio = _peak(height, row.key) / _peak(reference, row.key)
        name = row.key.removeprefix("cat-").upper()
        out[f"peak profile of EN 1991-1-4, category {name}"] = min(math.sqrt(ratio), 1.0)
    return out


def site_share(wind: Wind, site: Site) -> float:
    """Gust at 10 m at the site over the gust at 10 m in the terrain that the wind number is for; never more than 1."""
    if wind.terrain == "site":
        return 1.0
    letter = exposure(site, []).lower()
    reference = tables.row("reference-height", "asce7").value
    return min(math.sqrt(_kz(reference, letter) / _kz(reference, "c")), 1.0)


def hill_share(d: Deployment, height: float, limit: float | None = None) -> float:
    """What a meter at the shelter shows over what it would show on level ground, at the least.

    As for the pressure of a meter's reading (``loads.wind``): no more than the roof gets. A local policy is held against a reading
    as it is read: up to its share of the limit where that is given, else not at all.

    Parameters
    ----------
    d : Deployment
        Site and wind of it.
    height : float
        Of the meter, m.
    limit : float, optional
        Of the installation, m/s.

    Returns
    -------
    float
        (1); 1 where there is no hill.

    """
    hill = d.site.topography
    if hill is None or d.wind.method == "en1991":
        return 1.0
    letters = {name for _, _, name in arcs(d.site, d.wind.method, [])}
    top = max(float(d.shelter.eave), float(d.shelter.ridge or 0.0))
    found = math.sqrt(min(speed_up(hill, letter, z) for letter in letters for z in (height, top)))
    if d.policy.gust is None:
        return found
    return min(found, max(float(d.policy.gust) / limit, 1.0)) if limit else 1.0


def beaufort(gust: float) -> int:
    """Lowest force at whose upper end the gust (m/s) may be reached, by the 10 min gust factor; 12 has no upper end."""
    factor = gust_factor("10 min", "larger", [])
    for force in range(12):
        if tables.row("beaufort", f"force-{force + 1}").value * factor > gust:
            return force
    return 12


def trip(d: Deployment, gust: float, limit: float | None = None) -> Trip:
    """What a gust (service 3 s gust at 10 m, m/s) looks like on a hand-held meter and on the Beaufort scale. limit: of the plan."""
    return _shown([gust], site_share(d.wind, d.site), hill_share(d, hand_height(), limit))[0]


def _shown(gusts: Sequence[float], share: float, hill: float) -> list[Trip]:
    every = profiles(hand_height())
    model = min(every, key=lambda k: every[k])
    return [Trip(g, g * share * every[model] * hill, model, beaufort(g * share)) for g in gusts]


@dataclass(frozen=True)
class Trips:
    """The trip readings of a plan, by level."""

    secure: Trip
    people_out: Trip
    keep_away: Trip


def trips(gusts: Sequence[float | None], d: Deployment) -> Trips | None:
    """Trip readings of the levels secure, people out, keep away, from their gusts (m/s); None where one is not known."""
    known = [g for g in gusts if g is not None]
    if len(known) < len(gusts):
        return None
    limit = known[-1] / policy_of(d).keep_away
    return Trips(*_shown(known, site_share(d.wind, d.site), hill_share(d, hand_height(), limit)))
