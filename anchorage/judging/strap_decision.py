"""Are the sidewall straps locked? One decision, one sentence with its numbers, and the sway behind it."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import replace
from typing import Literal

import numpy as np

from anchorage.checks.installation import Installation
from anchorage.core import tables
from anchorage.core.checked import Check, What
from anchorage.core.closed import OK
from anchorage.core.say import capital, numeral, say
from anchorage.core.told import Words, put, tell, together
from anchorage.core.units import System, as_typed, show
from anchorage.core.words import all_of, spoken
from anchorage.deployment.models import Deployment, Shelter
from anchorage.deployment.policy import OperatingPolicy
from anchorage.formulas import working
from anchorage.holding.straps import Racking, Trigger, triggers
from anchorage.judging.notes import Note
from anchorage.judging.result import CheckOut, RackingOut, SnowOut, StrapsOut
from anchorage.judging.snow_report import CASE, load_text, snow_out
from anchorage.loads.roof_snow import roof_snow

Decision = Literal["not needed", "lock", "lock, and still not enough", "ask the maker"]


def _force(n: float, system: System) -> str:
    return show("force", n, system, rounding="up")


def _racking_text(r: Racking, q: float, status: str, holds: float | None, system: System) -> Words:
    if r.vertical is None:
        return tell(Note.SWAY_MASS_UNSAID, direction=put(spoken, r.direction))
    if r.by_word:
        return tell(Note.SWAY_BY_FRAME, direction=put(spoken, r.direction))
    if not r.count:
        what = tell(Note.NO_SIDE_STRAPS) if r.direction == "along the ridge" else tell(Note.NOTHING_RESISTS)
        return tell(Note.SWAY_ASK, direction=put(spoken, r.direction), what=what)
    if r.folds:
        return tell(
            Note.SWAY_FOLDS, direction=put(spoken, r.direction), ratio=put(numeral, r.ratio or 0.0, ".2g")
        )
    tension = r.tension(q)
    if tension is None or r.rated is None:
        gaps = ", ".join(r.missing)
        return tell(Note.SWAY_NOT_COMPUTED, direction=put(spoken, r.direction), gaps=gaps)
    pull = tell(
        Note.STRAP_PULLS,
        force=put(_force, tension, system),
        rated=put(show, "force", r.rated, system, rounding="down"),
    )
    tail = (
        ""
        if holds is None
        else tell(Note.AND_HOLDS_TO, holds=put(show, "speed", holds, system, rounding="down"))
    )
    if status == "ask the maker":
        gaps = ", ".join(r.missing)
        return tell(Note.SWAY_IF_STIFF, direction=put(spoken, r.direction), pull=pull, gaps=gaps)
    return tell(Note.SWAY, direction=put(spoken, r.direction), pull=pull, tail=tail)


def racking_out(r: Racking, q: float, gust_of: Callable[[float], float], system: System) -> RackingOut:
    """One direction at a velocity pressure (Pa)."""
    limit, status, push = r.pressure(), r.status(q), r.push(q) if r.count else None
    holds = None if limit is None or not math.isfinite(limit) else gust_of(limit)
    tension = r.tension(q)
    finite = push is not None and math.isfinite(push)
    return RackingOut(
        direction=r.direction, resisted_by=r.resisted_by, vertical_n=r.vertical, lean=r.lean, sway_n=r.sway,
        wind_n=r.wind * q, amplifier=r.amplifier if r.count else None, push_n=push, tension_n=tension, rated_n=r.rated,
        foot_uplift_n=r.foot(push) if finite and push is not None else None, holds_to_m_s=holds, status=status,
        told=_racking_text(r, q, status, holds, system),
    )  # fmt: skip


def _trigger_words(
    t: Trigger,
    shelter: Shelter,
    ground_slope: float,
    system: System,
    snow: SnowOut,
    gust: float,
    secure: float,
) -> Words:
    """Why straps are locked whatever the ratings say."""
    r = shelter.rating
    match t:
        case "snow-lies":
            given = [(r.roof_snow_unlocked, "unlocked"), (r.roof_snow_locked, "locked")]
            says = tuple(
                tell(Note.WITH_STRAPS, v=as_typed(v), how=put(spoken, how))
                for v, how in given
                if v is not None
            )
            tail = tell(Note.AND_MAKER_GIVES, says=put(all_of, says)) if says else ""
            return tell(Note.SNOW_LIES, roof_load_pa=put(load_text, snow.roof_load_pa, system), tail=tail)
        case "snow-falls":
            return tell(Note.SNOW_IS_FALLING)
        case "leans":
            return tell(Note.FRAME_LEANS, lean=f"{shelter.lean:.1%}")
        case "slopes":
            return tell(Note.GROUND_FALLS, tan=f"{float(np.tan(np.deg2rad(ground_slope))):.1%}")
        case "gust-over" | "gust-near":
            blows = put(show, "speed", gust, system, rounding="up")
            share = "" if t == "gust-over" else tell(Note.SHARE_OF, share=f"{secure:.0%}")
            return tell(Note.OVER_UNLOCKED, blows=blows, share=share, gust_unlocked=as_typed(r.gust_unlocked))


def _missing(shelter: Shelter, snow: SnowOut, gust: float) -> Words | None:
    """What the maker would have to say, or None."""
    r = shelter.rating
    if r.gust_locked is None and r.gust_unlocked is None:
        return tell(Note.NO_WIND_RATINGS)
    if r.gust_locked is None and r.gust_unlocked is not None and gust > float(r.gust_unlocked):
        return tell(Note.NO_LOCKED_GUST)
    if snow.roof_load_pa and r.roof_snow_locked is None:
        if r.roof_snow_unlocked is None:
            return tell(Note.NO_SNOW_RATINGS)
        if snow.roof_load_pa > float(r.roof_snow_unlocked):
            return tell(Note.NO_LOCKED_SNOW)
    return None


def _too_much(
    shelter: Shelter,
    system: System,
    snow: SnowOut,
    gust: float,
    racking: Sequence[RackingOut],
    *,
    locked: bool,
) -> Words | None:
    """What even locked straps do not take, or None."""
    r = shelter.rating
    if r.gust_locked is not None and gust > float(r.gust_locked):
        over = tell(
            Note.OVER_LOCKED,
            gust=put(show, "speed", gust, system, rounding="up"),
            gust_locked=as_typed(r.gust_locked),
        )
        return together(over, ".", between="")
    heaviest = max(snow.roof_load_pa, snow.uneven_heavy_pa if snow.method == "code" else 0.0)
    if r.roof_snow_locked is not None and heaviest > float(r.roof_snow_locked):
        over = tell(
            Note.SNOW_OVER_LOCKED,
            heaviest=put(load_text, heaviest, system),
            roof_snow_locked=as_typed(r.roof_snow_locked),
        )
        return together(over, ".", between="")
    return next((x.told for x in racking if x.status == "too weak"), None) if locked else None


def decide(
    d: Deployment,
    snow: SnowOut,
    gust: float,
    racking: Sequence[RackingOut],
    policy: OperatingPolicy,
    *,
    locked: bool,
) -> tuple[Decision, Words]:
    """The decision and its reason. With no rating it is never a computed pass. locked: the straps are, or are to be."""
    found = triggers(
        d.shelter, d.snow, d.site.slope, roof_snow(d.snow, d.shelter, d.site), gust, policy.secure
    )
    why = [
        _trigger_words(t, d.shelter, d.site.slope, d.deployment.show_units, snow, gust, policy.secure)
        for t in found
    ]
    missing = _missing(d.shelter, snow, gust)
    over = _too_much(d.shelter, d.deployment.show_units, snow, gust, racking, locked=locked)
    secure, system = policy.secure, d.deployment.show_units
    if over is not None:
        return "lock, and still not enough", put(capital, over)
    if missing is not None:
        if why:
            return "ask the maker", tell(Note.LOCK_NOW, missing=missing, why=why[0])
        return (
            "ask the maker",
            tell(Note.LOCK_AHEAD, missing=missing),
        )
    unlocked = d.shelter.rating.gust_unlocked
    if unlocked is None:
        return (
            "lock",
            tell(Note.LOCKED_ONLY, gust_locked=as_typed(d.shelter.rating.gust_locked)),
        )
    if why:
        return "lock", together(put(capital, why[0]), ".", between="")
    under = tell(
        Note.UNDER_UNLOCKED,
        gust=put(show, "speed", gust, system, rounding="up"),
        secure=f"{secure:.0%}",
        unlocked=as_typed(unlocked),
    )
    if (
        d.shelter.straps == "locked"
    ):  # what it holds to is with them locked: a page may not call them not needed
        return "lock", tell(Note.LOCKED_COUNTS, under=under)
    return "not needed", under


def straps_out(d: Deployment, snow: SnowOut, gust: float, q: float, gust_of: Callable[[float], float],
               racking: Sequence[Racking], policy: OperatingPolicy, over_hill: float, *, locked: bool) -> StrapsOut:  # fmt: skip
    """All that is said about straps. gust: service, at 10 m, over the site (m/s); q (Pa); locked: they are, or are to be."""
    outs = [racking_out(r, q, gust_of, d.deployment.show_units) for r in racking]
    decision, reason = decide(d, snow, gust, outs, policy, locked=locked)
    unknown = [x.told for x in outs if x.status == "ask the maker"] if locked else []
    r = d.shelter.rating
    egress = (
        None
        if decision == "not needed" and d.shelter.straps == "unlocked"
        else put(tables.words_of, "straps-egress")
    )
    return StrapsOut(
        decision=decision, told=reason, racking=outs, egress=egress, unknown_sway=unknown,
        covered_gust_m_s=float(r.gust_unlocked or 0.0) / over_hill if unknown else None,
        covered_snow_pa=float(r.roof_snow_unlocked or 0.0) if unknown else None,
    )  # fmt: skip


def sway_unknown(straps: StrapsOut, snow: SnowOut, gust: float) -> bool:
    """Whether wind or snow passes what the maker gives with straps unlocked, and data on the sway is missing. gust: on level ground."""
    if straps.covered_gust_m_s is None or straps.covered_snow_pa is None:
        return False
    water = 0.0 if snow.pond is None else snow.pond.load_pa or 0.0
    load = max(snow.roof_load_pa, snow.uneven_heavy_pa) + water
    return gust > straps.covered_gust_m_s * OK or load > straps.covered_snow_pa * OK


def sway_reason(straps: StrapsOut) -> list[Words]:
    """What is asked about sway, one sentence a direction."""
    return [tell(Note.SWAY_UNKNOWN, t=t) for t in straps.unknown_sway]


def strap_checks(racking: Sequence[Racking], *, locked: bool) -> list[CheckOut]:
    """Straps that are locked or are to be, under the snow and the lean alone, without wind; the wind's part is a gust limit."""
    out = []
    for r in racking if locked else ():
        pull = r.tension(0.0)
        if pull is None or r.rated is None:
            continue
        ratio = None if r.folds or not r.rated else pull / r.rated
        out.append(CheckOut(check=Check(What.STRAPS_STILL, r.direction), demand=pull if math.isfinite(pull) else 0.0, capacity=r.rated, unit="N",
                            ratio=ratio, ok=ratio is not None and ratio <= OK, case=CASE, where="strap", holds_to_m_s=None))  # fmt: skip
    return out


def strap_conditions(shelter: Shelter, straps: StrapsOut, *, unknown: bool) -> list[Words]:
    """What goes with the decision: lock them, when, what that costs, and what they are not known to hold. unknown: that is a reason already."""
    out: list[Words] = []
    if straps.decision in ("lock", "lock, and still not enough") and shelter.straps == "unlocked":
        out.append(tell(Note.LOCK_STRAPS, text=put(tables.words_of, "straps-freeze")))
    if straps.unknown_sway and not unknown:
        limits = tell(Note.MAKER_UNLOCKED)
        out.append(tell(Note.STAY_UNDER, limits=limits, unknown_sway=straps.unknown_sway[0]))
    return [*out, straps.egress] if straps.egress is not None else out


def explain_straps(x: Installation) -> list[str]:
    """The working of the straps, line by line."""
    d = x.deployment
    snow = snow_out(d, roof_snow(d.snow, d.shelter, d.site), [])
    with working.record() as tape:
        racking = replace(x).racking  # anew, so that it is on the tape
    picked = [
        s for s in tape.steps
        if s.titles and (s.titles[0].of is working.Topic.SWAY
                           or (isinstance(s, working.FormulaStep) and s.formula.name == "wind_share"))
    ]  # fmt: skip
    lines = working.Tape(picked).lines()
    for r in racking:
        with working.record() as tape, working.title(f"Pull in a strap, {r.direction}"):
            r.tension(x.wind.pressure)
            push = r.push(x.wind.pressure)
            if push is not None and math.isfinite(push):
                r.foot(push)
            r.pressure()
        lines += tape.lines()
    out = straps_out(
        d,
        snow,
        x.wind.gust * x.wind.over_hill,
        x.wind.pressure,
        x.wind.gust_of,
        x.racking,
        x.policy,
        x.wind.over_hill,
        locked=x.locked,
    )
    return [
        *lines,
        *(r.text for r in out.racking),
        say("Straps: {decision}. {reason}", decision=out.decision, reason=out.reason),
    ]
