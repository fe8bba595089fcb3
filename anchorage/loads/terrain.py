"""The ground that the wind comes over: terrain by bearing, and ridges, escarpments and hills that speed it up."""

from __future__ import annotations

import numpy as np

from anchorage.core import tables
from anchorage.core.say import numeral
from anchorage.core.told import Words, put, tell
from anchorage.deployment.models import SURROUNDINGS, Site, Topography
from anchorage.formulas import velocity, working
from anchorage.formulas.demand import Floats
from anchorage.loads.notes import Note

CATEGORY = {"B": "III", "C": "II", "D": "0"}
"""Terrain category of EN 1991-1-4 that an exposure letter is taken for, at its most open."""


def exposure(site: Site, notes: list[Words]) -> str:
    """Exposure letter, from the letter or the words of the site; the most open when nothing is said."""
    if site.exposure:
        return site.exposure
    if site.surroundings:
        return SURROUNDINGS[site.surroundings]
    notes.append(tell(Note.SURROUNDINGS_UNSAID))
    return "D"


def category(site: Site, notes: list[Words]) -> str:
    """Terrain category of EN 1991-1-4, or the one that the exposure of the site is taken for."""
    if site.terrain_category is not None:
        return site.terrain_category
    letter = exposure(site, notes)
    notes.append(tell(Note.CATEGORY_OF_EXPOSURE, letter=letter, letter_2=CATEGORY[letter]))
    return CATEGORY[letter]


def arcs(site: Site, method: str, notes: list[Words]) -> list[tuple[float, float, str]]:
    """(start, length, terrain) of the full circle, degrees clockwise from north; what no sector covers is as the site says."""
    en = method == "en1991"
    rest = category(site, notes) if en else exposure(site, notes)
    said = []
    for s in sorted(site.exposures, key=lambda s: s.start % 360.0):
        letter = s.exposure or rest
        name = (s.terrain_category or CATEGORY.get(letter, letter)) if en else letter
        said.append((s.start % 360.0, (s.end - s.start) % 360.0 or 360.0, name))
    if not said:
        return [(0.0, 360.0, rest)]
    out = list(said)
    for (a, length, _), (b, _, _) in zip(said, [*said[1:], said[0]], strict=True):
        gap = (b - a) % 360.0 - length if len(said) > 1 else 360.0 - length
        if gap > 1e-9:
            out.append(((a + length) % 360.0, gap, rest))
    return out


def case_ratio(
    bearing: Floats, heading: float, ground: list[tuple[float, float, str]], q: dict[str, float]
) -> Floats:
    """Pressure of each case over the largest of all terrains: the windiest terrain within 45° of its bearing.

    Parameters
    ----------
    bearing : array, (c,)
        Degrees from the front.
    heading : float
        Of the front, degrees true.
    ground : list of (float, float, str)
        Start and length of each sector, degrees, and its terrain.
    q : dict of float
        Ratio of each terrain (1).

    Returns
    -------
    array, (c, 1)
        (1)

    """
    every = {}
    for b in np.unique(bearing):
        window = (heading + b - 45.0) % 360.0
        every[float(b)] = max(
            q[name]
            for start, length, name in ground
            if (start - window) % 360.0 < 90.0 - 1e-9 or (window - start) % 360.0 < length - 1e-9
        )
    return np.array([every[float(b)] for b in bearing])[:, None]


def speed_up(t: Topography, letter: str, height: float) -> float:
    """Topographic factor Kzt at a height above the ground (m); 1 where the feature is too small or too flat to count."""
    limit = {k: tables.row("topography-limits", k).value for k in ("h-over-lh", f"height-{letter.lower()}")}
    if t.height / t.half_length < limit["h-over-lh"] or t.height < limit[f"height-{letter.lower()}"]:
        return 1.0
    cap = tables.row("kzt-cap", "h-over-lh")
    k, gamma = tables.row("kzt-k", f"{t.feature}-{letter.lower()}"), tables.row("kzt-gamma", t.feature)
    sides = [t.side] if t.side else ["upwind", "downwind"]
    mu = max((tables.row("kzt-mu", f"{t.feature}-{s}") for s in sides), key=lambda r: r.value)
    for symbol, row in (("K1/(H/Lh)", k), ("γ", gamma), ("μ", mu), ("largest H/Lh", cap)):
        working.looked_up(symbol, row)
    length = float(velocity.effective_half_length(t.half_length, t.height, cap.value))
    first = velocity.hill_shape(k.value, t.height, t.half_length, cap.value)
    second = velocity.hill_distance(t.distance, mu.value, length)
    third = velocity.hill_height(gamma.value, height, length)
    return float(velocity.topographic_factor(first, second, third))


def topography_note(t: Topography, letter: str, factor: float) -> Words:
    """What the factor is."""
    if factor <= 1.0 and speed_up(t, letter, 0.0) <= 1.0:
        return tell(Note.HILL_TOO_LOW, feature=t.feature)
    return tell(Note.HILL_SPEEDS_UP, feature=t.feature, factor=put(numeral, factor, ".2f"))
