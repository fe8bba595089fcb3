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
from anchorage.core.say import numeral, say
from anchorage.core.units import System, as_typed, show
from anchorage.core.words import all_of, spoken
from anchorage.deployment.models import Deployment, Shelter
from anchorage.deployment.policy import Policy
from anchorage.formulas import working
from anchorage.holding.straps import Racking, Trigger, triggers
from anchorage.judging.result import CheckOut, RackingOut, SnowOut, StrapsOut
from anchorage.judging.snow_report import CASE, load_text, snow_out
from anchorage.loads.roof_snow import roof_snow

Decision = Literal["not needed", "lock", "lock, and still not enough", "ask the maker"]


def _force(n: float, system: System) -> str:
    return show("force", n, system, rounding="up")


def _racking_text(r: Racking, q: float, status: str, holds: float | None, system: System) -> str:
    if r.vertical is None:
        return say(
            "Sway {direction}: the mass of the shelter is not in the file (shelter.mass); it leans on the straps.",
            direction=spoken(r.direction),
        )
    if r.by_word:
        return say(
            "Sway {direction}: the frame takes it, by the maker's word.", direction=spoken(r.direction)
        )
    if not r.count:
        what = (
            say("straps in the long walls are not described ([shelter.strap] count)")
            if r.direction == "along the ridge"
            else say(
                "nothing in the file resists it: sidewall straps do not, only end-wall straps or the frame itself"
            )
        )
        return say("Sway {direction}: {what}. Ask the maker.", direction=spoken(r.direction), what=what)
    if r.folds:
        return say(
            "Sway {direction}: the straps stretch so much that the frame folds (α = {ratio}, at least 3 is needed). More straps or stiffer ones.",
            direction=spoken(r.direction),
            ratio=numeral(r.ratio or 0.0, ".2g"),
        )
    tension = r.tension(q)
    if tension is None or r.rated is None:
        gaps = ", ".join(r.missing)
        return say(
            "Sway {direction}: cannot be computed without {gaps}. Ask the maker.",
            direction=spoken(r.direction),
            gaps=gaps,
        )
    pull = say(
        "a strap pulls {force} of {rated}",
        force=_force(tension, system),
        rated=show("force", r.rated, system, rounding="down"),
    )
    tail = (
        ""
        if holds is None
        else say(", it holds to {holds}", holds=show("speed", holds, system, rounding="down"))
    )
    if status == "ask the maker":
        gaps = ", ".join(r.missing)
        return say(
            "Sway {direction}: {pull} if the straps are stiff enough; without {gaps} that is no pass. Ask the maker.",
            direction=spoken(r.direction),
            pull=pull,
            gaps=gaps,
        )
    return say("Sway {direction}: {pull}{tail}.", direction=spoken(r.direction), pull=pull, tail=tail)


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
        text=_racking_text(r, q, status, holds, system),
    )  # fmt: skip


def _trigger_words(
    t: Trigger,
    shelter: Shelter,
    ground_slope: float,
    system: System,
    snow: SnowOut,
    gust: float,
    secure: float,
) -> str:
    """Why straps are locked whatever the ratings say."""
    r = shelter.rating
    match t:
        case "snow-lies":
            given = [(r.roof_snow_unlocked, "unlocked"), (r.roof_snow_locked, "locked")]
            says = all_of(
                say("{v} with straps {how}", v=as_typed(v), how=spoken(how))
                for v, how in given
                if v is not None
            )
            tail = say(", the maker gives {says}", says=says) if says else ""
            return say(
                "{roof_load_pa} of snow is on the roof{tail}",
                roof_load_pa=load_text(snow.roof_load_pa, system),
                tail=tail,
            )
        case "snow-falls":
            return say("snow is falling")
        case "leans":
            return say("the frame leans {lean}", lean=f"{shelter.lean:.1%}")
        case "slopes":
            return say("the ground falls {tan}", tan=f"{float(np.tan(np.deg2rad(ground_slope))):.1%}")
        case "gust-over" | "gust-near":
            blows = show("speed", gust, system, rounding="up")
            share = "" if t == "gust-over" else say("{share} of ", share=f"{secure:.0%}")
            return say(
                "{blows} is over {share}the {gust_unlocked} that the maker gives with straps unlocked",
                blows=blows,
                share=share,
                gust_unlocked=as_typed(r.gust_unlocked),
            )


def _missing(shelter: Shelter, snow: SnowOut, gust: float) -> str | None:
    """What the maker would have to say, or None."""
    r = shelter.rating
    if r.gust_locked is None and r.gust_unlocked is None:
        return say("The maker's wind ratings are not in the file")
    if r.gust_locked is None and r.gust_unlocked is not None and gust > float(r.gust_unlocked):
        return say("What gust the maker gives with straps locked is not in the file")
    if snow.roof_load_pa and r.roof_snow_locked is None:
        if r.roof_snow_unlocked is None:
            return say("The maker's snow ratings are not in the file")
        if snow.roof_load_pa > float(r.roof_snow_unlocked):
            return say("What snow the maker gives with straps locked is not in the file")
    return None


def _too_much(
    shelter: Shelter,
    system: System,
    snow: SnowOut,
    gust: float,
    racking: Sequence[RackingOut],
    *,
    locked: bool,
) -> str | None:
    """What even locked straps do not take, or None."""
    r = shelter.rating
    if r.gust_locked is not None and gust > float(r.gust_locked):
        return say(
            "{gust} is over the {gust_locked} that the maker gives with straps locked",
            gust=show("speed", gust, system, rounding="up"),
            gust_locked=as_typed(r.gust_locked),
        )
    heaviest = max(snow.roof_load_pa, snow.uneven_heavy_pa if snow.method == "code" else 0.0)
    if r.roof_snow_locked is not None and heaviest > float(r.roof_snow_locked):
        return say(
            "{heaviest} of snow is over the {roof_snow_locked} that the maker gives with straps locked",
            heaviest=load_text(heaviest, system),
            roof_snow_locked=as_typed(r.roof_snow_locked),
        )
    weak = [x.text for x in racking if x.status == "too weak"] if locked else []
    return weak[0].rstrip(".") if weak else None


def decide(
    d: Deployment, snow: SnowOut, gust: float, racking: Sequence[RackingOut], policy: Policy, *, locked: bool
) -> tuple[Decision, str]:
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
    first = f"{why[0][0].upper()}{why[0][1:]}" if why else ""
    if over is not None:
        return "lock, and still not enough", f"{over[0].upper()}{over[1:]}."
    if missing is not None:
        if why:
            return "ask the maker", say(
                "{missing}; lock them now, {why} (common practice).", missing=missing, why=why[0]
            )
        return (
            "ask the maker",
            say(
                "{missing}; by common practice they are locked ahead of a storm or of lying snow, and may hang loose on other days.",
                missing=missing,
            ),
        )
    unlocked = d.shelter.rating.gust_unlocked
    if unlocked is None:
        return (
            "lock",
            say(
                "The maker gives {gust_locked} with straps locked and nothing for straps unlocked.",
                gust_locked=as_typed(d.shelter.rating.gust_locked),
            ),
        )
    if why:
        return "lock", f"{first}."
    under = say(
        "{gust} is under {secure} of the {unlocked} that the maker gives with straps unlocked.",
        gust=show("speed", gust, system, rounding="up"),
        secure=f"{secure:.0%}",
        unlocked=as_typed(unlocked),
    )
    if (
        d.shelter.straps == "locked"
    ):  # what it holds to is with them locked: a page may not call them not needed
        return "lock", say("They are locked, and every limit here counts on it. {under}", under=under)
    return "not needed", under


def straps_out(d: Deployment, snow: SnowOut, gust: float, q: float, gust_of: Callable[[float], float],
               racking: Sequence[Racking], policy: Policy, over_hill: float, *, locked: bool) -> StrapsOut:  # fmt: skip
    """All that is said about straps. gust: service, at 10 m, over the site (m/s); q (Pa); locked: they are, or are to be."""
    outs = [racking_out(r, q, gust_of, d.deployment.show_units) for r in racking]
    decision, reason = decide(d, snow, gust, outs, policy, locked=locked)
    unknown = [x.text for x in outs if x.status == "ask the maker"] if locked else []
    r = d.shelter.rating
    egress = (
        ""
        if decision == "not needed" and d.shelter.straps == "unlocked"
        else tables.text("straps-egress").text
    )
    return StrapsOut(
        decision=decision, reason=reason, racking=outs, egress=egress, unknown_sway=unknown,
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


def sway_reason(straps: StrapsOut) -> list[str]:
    """What is asked about sway, one sentence a direction."""
    return [
        say("{t} This wind or snow is more than the maker gives with straps unlocked.", t=t)
        for t in straps.unknown_sway
    ]


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


def strap_conditions(shelter: Shelter, straps: StrapsOut, *, unknown: bool) -> list[str]:
    """What goes with the decision: lock them, when, what that costs, and what they are not known to hold. unknown: that is a reason already."""
    out = []
    if straps.decision in ("lock", "lock, and still not enough") and shelter.straps == "unlocked":
        out.append(say("Lock the sidewall straps. {text}", text=tables.text("straps-freeze").text))
    if straps.unknown_sway and not unknown:
        limits = say("what the maker gives with straps unlocked")
        out.append(
            say(
                "Wind and snow stay under {limits}: beyond it nobody knows whether the straps hold. {unknown_sway}",
                limits=limits,
                unknown_sway=straps.unknown_sway[0],
            )
        )
    return [*out, straps.egress] if straps.egress else out


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
