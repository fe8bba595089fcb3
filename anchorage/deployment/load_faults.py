"""What a deployment file may not say of form, terrain and wind number: what is not so, and what no source has a rule for."""

from __future__ import annotations

from collections.abc import Collection, Iterable
from typing import Any

import numpy as np

from anchorage.core import tables
from anchorage.core.closed import CANOPIES
from anchorage.core.say import say
from anchorage.core.units import as_typed
from anchorage.deployment.models import SPEED_IS, Shelter, Site, Wind
from anchorage.deployment.said import value_of

LOWEST_EAVE = 0.3
"""m: a wall lower than this is read as a slip of the pen; an arch may spring from the ground."""


def overlapping(site: Site) -> bool:
    """True where two sectors cover the same bearing."""
    starts = [(s.start % 360.0, (s.end - s.start) % 360.0 or 360.0) for s in site.exposures]
    return any(
        (b - a) % 360.0 < length - 1e-9
        for i, (a, length) in enumerate(starts)
        for j, (b, _) in enumerate(starts)
        if i != j
    )


def form(s: Shelter, cut: Iterable[str], stock: Collection[str], fault: Any) -> None:
    """Faults of the form of the shelter and of what is joined to it. cut: keys of openings in its walls."""
    kind, eave, ridge, length = (value_of(s, k) for k in ("form", "eave", "ridge", "length"))
    if kind is not None and ridge is None:
        what = {
            "arch": "crown",
            "single-slope": say("high side"),
            "canopy-single-slope": say("high side"),
        }.get(kind, "ridge")
        flat = "" if kind == "arch" else say("; for a flat roof the same as the eave")
        fault(
            "shelter.ridge",
            say("not given"),
            say("give the height of the {what}{flat}", what=what, flat=flat),
        )
    if isinstance(eave, float) and eave < LOWEST_EAVE and kind != "arch":
        fault(
            "shelter.eave",
            say("read {eave}", eave=repr(as_typed(eave))),
            say("at least 1 ft (0.3 m); only an arch springs from the ground"),
        )
    if kind == "arch" and isinstance(eave, float) and isinstance(ridge, float) and ridge == eave:
        fault(
            "shelter.ridge",
            say("read {ridge}", ridge=repr(as_typed(ridge))),
            say("the crown of an arch is above its eave"),
        )
    top = value_of(s, "ridge_length")
    if top is not None and kind != "hip":
        fault(
            "shelter.ridge_length",
            say("read {top}", top=repr(as_typed(top))),
            say("only a hip roof has a ridge shorter than itself: leave it out"),
        )
    elif isinstance(top, float) and isinstance(length, float) and top >= length:
        fault(
            "shelter.ridge_length",
            say("read {top}", top=repr(as_typed(top))),
            say(
                'shorter than the shelter ({length}); as long as it: form = "gable"', length=as_typed(length)
            ),
        )
    canopy = kind in CANOPIES
    if value_of(s, "blockage") is not None and not canopy:
        fault(
            "shelter.blockage",
            say("read {blockage}", blockage=repr(s.blockage)),
            say("only a canopy has it: leave it out"),
        )
    if canopy:
        _no_walls(s, cut, fault)
    _joined(s, stock, fault)


def _no_walls(s: Shelter, cut: Iterable[str], fault: Any) -> None:
    openings = value_of(s, "openings")
    if openings is not None and any(getattr(openings, f) < 1.0 for f in ("front", "back", "left", "right")):
        fault(
            "shelter.openings",
            "given",
            say("a canopy has no walls: leave them out; with walls on, give the closed form"),
        )
    for key in cut:
        fault(key, "given", say("a canopy has no walls: leave it out; with walls on, give the closed form"))


def _joined(s: Shelter, stock: Collection[str], fault: Any) -> None:
    joined, kind, eave, ridge, width = (value_of(s, k) for k in ("joined", "form", "eave", "ridge", "width"))
    if joined is None:
        return
    got = say("read {how}", how=repr(joined.how))
    if joined.how == "end-to-end":
        if kind == "hip":
            fault(
                "shelter.joined",
                got,
                say(
                    "hip roofs end to end make valleys that no table covers: check each alone, leaving joined out"
                ),
            )
        return
    numbers = all(isinstance(x, float) for x in (eave, ridge, width))
    flat = numbers and np.degrees(np.arctan2(ridge - eave, width / 2)) < 10.0
    if kind != "gable" or not flat:
        fault(
            "shelter.joined", got,
            say("side by side makes a roof of several bays, for which no readable source has a rule, and whose valleys may lift more than a bay alone: only gables under 10° are done, each as if it stood alone; else keep a gap and check each by itself"),
        )  # fmt: skip
    elif stock:
        fault(
            "stock",
            "given",
            say(
                "side by side, what is counted is for EACH shelter: leave the stock out and multiply by hand"
            ),
        )


def terrain(site: Site, wind: Wind, fault: Any) -> None:
    """Faults of what the wind comes over."""
    method = value_of(wind, "method")
    en = method == "en1991"
    if value_of(site, "terrain_category") is not None and not en:
        fault(
            "site.terrain_category",
            say("read {terrain_category}", terrain_category=repr(site.terrain_category)),
            say('goes with method = "en1991"; give exposure for {method}', method=method),
        )
    sectors = value_of(site, "exposures") or []
    for i, sector in enumerate(sectors, 1):
        if sector.exposure is None and not (en and sector.terrain_category):
            fault(
                f"site.exposures[{i}]",
                say("no exposure"),
                say('give exposure = "B", "C" or "D"') + (say(" or terrain_category") if en else ""),
            )
    if len(sectors) > 1 and overlapping(site):
        fault(
            "site.exposures",
            say("two of them overlap"),
            say("each bearing in one sector at most, clockwise from `from` to `to`"),
        )
    if value_of(site, "topography") is not None and en:
        fault(
            "site.topography", say('given, with method = "en1991"'),
            say('the orography factor of EN 1991-1-4 could not be read: use method = "physics" or "asce7-22", which have one'),
        )  # fmt: skip
    z0, height = value_of(site, "z0"), value_of(wind, "height")
    if isinstance(z0, float) and isinstance(height, float) and height < 20 * z0:
        fault(
            "site.z0",
            say("read {z0}", z0=repr(as_typed(z0))),
            say(
                "at {height} a reading is among the obstacles (under 20 z0), where the log law does not hold: leave z0 out, or read the wind higher up",
                height=as_typed(height),
            ),
        )


def wind(w: Wind, fault: Any) -> None:
    """Faults of the wind number: Beaufort, return period, and the 10 min mean of EN 1991-1-4."""
    force = value_of(w, "beaufort")
    if force is not None:
        _beaufort(w, force, fault)
    period = value_of(w, "return_period")
    if period is not None:
        if value_of(w, "method") != "en1991":
            fault(
                "wind.return_period",
                say("read {period}", period=f"{period:g}"),
                say('goes with method = "en1991"; maps of ASCE 7 are for one return period each'),
            )
        elif period < 2:
            fault(
                "wind.return_period",
                say("read {period}", period=f"{period:g}"),
                say("2 years or more: below it the probability factor has no meaning"),
            )
        elif value_of(w, "speed_is") is not None or force is not None:
            fault(
                "wind.return_period",
                say("read {period}", period=f"{period:g}"),
                say("goes with a 50-year basic wind speed, not with a forecast or a reading"),
            )
    if value_of(w, "method") == "en1991":
        _en1991(w, fault)


def _beaufort(w: Any, force: int, fault: Any) -> None:
    top = tables.row("beaufort", f"force-{min(force + 1, 12)}").value
    speed = value_of(w, "speed")
    if force == 12:
        fault("wind.beaufort", "read 12", say("force 12 has no upper end: give a speed"))
    elif isinstance(speed, float) and abs(speed - top) > 1e-9:
        fault("wind.beaufort", say("read {force}", force=force), say("give speed or beaufort, not both"))
    if value_of(w, "averaging") not in (None, "10 min"):
        fault(
            "wind.averaging",
            say("read {averaging}", averaging=repr(w.averaging)),
            say("a Beaufort force is a 10 min mean: leave averaging out"),
        )
    if value_of(w, "speed_is") is not None:
        fault(
            "wind.speed_is",
            say("read {speed_is}", speed_is=repr(w.speed_is)),
            say("a Beaufort force says itself what it is: leave speed_is out"),
        )


def _en1991(w: Wind, fault: Any) -> None:
    said = value_of(w, "speed_is")
    averaging = value_of(w, "averaging") or (SPEED_IS[said][0] if said else None)
    if averaging is None:
        fault(
            "wind.averaging",
            say("not given"),
            say('en1991 takes a 10 min mean: averaging = "10 min" if it is one'),
        )
    elif averaging != "10 min":
        shorter = averaging in ("3 s", "1 min", "2 min")
        why = (
            say("a shorter mean is never brought down to one")
            if shorter
            else say("one mean is not turned into another")
        )
        fault(
            "wind.averaging",
            say("read {averaging}", averaging=repr(averaging)),
            say('en1991 takes a 10 min mean, and {why}: use method = "physics" for this number', why=why),
        )
    if value_of(w, "level") == "strength":
        fault(
            "wind.level",
            say('read "strength"'),
            say("the basic wind speed of EN 1991-1-4 carries no load factor: leave level out"),
        )
    height = value_of(w, "height")
    if isinstance(height, float) and height < 9.8:
        fault(
            "wind.height",
            say("read {height}", height=repr(as_typed(height))),
            say(
                'en1991 takes a speed at 10 m over open country: use method = "physics" for a reading lower down'
            ),
        )
    if value_of(w, "terrain") == "site":
        fault(
            "wind.terrain",
            say('read "site"'),
            say(
                'en1991 takes a speed over open country and puts the terrain in itself: use method = "physics" for this number'
            ),
        )
