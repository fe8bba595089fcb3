"""What the snow on a roof means: against the rating, rules for tents, hours left, ponds, how it is cleared."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Literal

from anchorage.core import tables
from anchorage.core.checked import Check, What
from anchorage.core.closed import OK
from anchorage.core.constants import gravity, water_density
from anchorage.core.out import Level
from anchorage.core.say import capital, later, mark, numeral, say
from anchorage.core.told import Words, put, tell, together
from anchorage.core.units import Rounding, System, show
from anchorage.core.words import LEVELS, spoken
from anchorage.deployment.models import Deployment, Policy, Shelter, Site, Snow
from anchorage.deployment.policy import GO_IN, ORDER, OperatingPolicy, against, policy_of, words_of
from anchorage.formulas import snow as formulas
from anchorage.formulas import working
from anchorage.holding.straps import lower_given
from anchorage.judging.notes import Note
from anchorage.judging.result import AlarmOut, CheckOut, FillingOut, PondOut, SnowOut
from anchorage.loads.roof_snow import (
    RoofSnow,
    depths_of,
    holds_pocket,
    pocket_slope,
    rain_stays,
    rate_of,
    roof_snow,
    slope_for_water,
)
from anchorage.loads.snow_codes import TWO_SLOPES, roof_of

CASE = "snow lying"
BY_RULE = (What.SNOW_LOAD, What.SNOW_DEPTH)
"""Case of every check of this module: its load does not grow with the wind."""
POLICIES = {
    "cts-7": ("cts7", "CTS 7", ""),
    "en-13782": ("en13782", "EN 13782", later(" From memory: verify against the standard.")),
}


def load_text(pa: float, system: System, rounding: Rounding = "up") -> str:
    """A snow load as shown to people."""
    return show("pressure", pa, system, rounding=rounding, digits=1 if system == "us" else None)


def depth_text(m: float, system: System, rounding: Rounding = "up") -> str:
    """A depth of snow as shown to people: inches or centimetres."""
    if system == "us":
        return show("length", m, system, rounding=rounding, unit="in", digits=1)
    return show("length", m, system, rounding=rounding, unit="cm", digits=0)


def limit_of(shelter: Shelter) -> float | None:
    """Snow (Pa) that the maker gives for the straps as they are, and no more than with them locked; None where the file does not say."""
    r = shelter.rating
    return lower_given(r.roof_snow_unlocked, r.roof_snow_locked, shelter.straps)


def _depth_now(s: RoofSnow) -> tuple[float, Words | str]:
    """Depth for a rule in depth: as measured, else as deep as it would be if new."""
    if s.depth is not None:
        return s.depth, ""
    return depths_of(s.load)["new"], tell(Note.AS_NEW_SNOW)


def _rules(policy: Policy, system: System) -> list[tuple[str, float | None, float | None, Words | str]]:
    """(rule, load, depth, what it takes for granted)."""
    out: list[tuple[str, float | None, float | None, Words | str]] = []
    if policy.snow is not None:
        prefix, name, caveat = POLICIES[policy.snow]
        load, depth = (tables.row("snow-policy", f"{prefix}-{k}").value for k in ("load", "depth"))
        rho = float(formulas.implied_density(load, depth, gravity()))
        dense = put(show, "density", rho, system)
        out.append(
            (
                name,
                load,
                depth,
                tell(Note.BOTH_TAKE_SNOW, dense=dense, caveat=caveat),
            )
        )
    if policy.snow_load is not None or policy.snow_depth is not None:
        own = [None if v is None else float(v) for v in (policy.snow_load, policy.snow_depth)]
        out.append((LOCAL_RULE, own[0], own[1], ""))
    return out


LOCAL_RULE = mark("local rule")
DUE: dict[Level, str] = {
    "secure": later("clear it, nobody new goes in"),
    "people-out": later("people out"),
    "keep-away": later("the limit, keep away"),
}
"""What is due when the snow has come to a level."""


def _alarms(d: Deployment, s: RoofSnow, policy: OperatingPolicy, carried: float) -> list[AlarmOut]:
    """carried: what the roof carries (Pa), snow and water that stands on it."""
    system, out = d.deployment.show_units, []

    def add(rule: str, measure: Literal["load", "depth"], at: float, now: float, *tail: Words | str) -> None:
        said = against(policy, now, at, system, measure)
        reached = now > at * OK
        level: Level = said.level
        if measure == "depth" and level == "keep-away":  # a rule in depth empties, no more
            level = "people-out"
        words = together(put(spoken, rule), ": ", put(words_of, said), ": ", LEVELS[level], *tail, between="")
        out.append(
            AlarmOut(rule=rule, measure=measure, at=at, now=now, reached=reached, told=words, level=level)
        )

    for rule, load, depth, granted in _rules(d.policy, d.deployment.show_units):
        if load is not None:
            add(rule, "load", load, carried, ".", granted)
        if depth is not None and s.method != "code":
            now, how = _depth_now(s)
            add(rule, "depth", depth, now, how, ".")
    limit = limit_of(d.shelter)
    if limit:
        said = against(policy, carried, limit, system, "load")
        for level, begins in zip(DUE, said.marks, strict=True):
            share = policy.begins(level)
            reached = ORDER.index(said.level) >= ORDER.index(level)
            words = tell(Note.FROM_MARK, level=DUE[level], mark=begins, share=f"{share:.0%}")
            out.append(
                AlarmOut(
                    rule=DUE[level],
                    measure="load",
                    at=share * limit,
                    now=carried,
                    reached=reached,
                    told=words,
                    level=level,
                    by_rule=False,
                )
            )
    return out


def _level(
    s: RoofSnow, limit: float | None, alarms: Sequence[AlarmOut], policy: OperatingPolicy, carried: float, pond: PondOut | None
) -> Level:  # fmt: skip
    """Level of what is on the roof, water that grows among it; snow by a code is a design load, checked as such."""
    out: list[Level] = ["people-out"] if pond is not None and pond.grows else []
    if s.method != "code":
        out += [policy.level_of(carried, limit)] if limit is not None and carried > 0 else []
        out += [a.level for a in alarms if a.by_rule]
    return max(out, key=ORDER.index, default="normal")


def _long(hours: float) -> str:
    """``40 min``, ``4 h 53 min``: never longer than it is."""
    h, m = divmod(math.floor(hours * 60), 60)
    return say("{h} h {m} min", h=h, m=m) if h and m else f"{h} h" if h else say("{m} min", m=m)


def _filling(
    d: Deployment, s: RoofSnow, policy: OperatingPolicy, notes: list[Words], carried: float
) -> tuple[list[FillingOut], float | None]:
    """When each share of the nearer of rating and rules is reached at the given rate, and how often to clear (h)."""
    limit, falling, rules = limit_of(d.shelter), d.snow.falling, _rules(d.policy, d.deployment.show_units)
    if falling is None or (limit is None and not rules):
        return [], None
    out = []
    with working.title("How much longer, at the rate given"):
        rate = rate_of(falling, notes)
        if rate <= 0:
            return [], None
        loads = [v for v in (limit, *(load for _, load, _, _ in rules)) if v is not None]
        depths = [depth for _, _, depth, _ in rules if depth is not None and s.method != "code"]
        lower, deep = min(loads, default=math.inf), min(depths, default=math.inf)
        rise = max(float(falling.depth or 0.0) / 3600, depths_of(rate)["new"])
        giver = tell(Note.MAKER_GIVES) if lower == limit and not depths else tell(Note.LOWEST_GIVES)

        def until(share: float, load: float, depth: float) -> float:
            by_depth = max(share * deep - depth, 0.0) / rise if math.isfinite(deep) else math.inf
            by_load = float(formulas.time_to(share, lower, load, rate)) if math.isfinite(lower) else math.inf
            return min(by_load, by_depth) / 3600

        for level, label in DUE.items():
            share = policy.begins(level)
            hours = until(share, carried, _depth_now(s)[0])
            when = tell(Note.NOW) if hours == 0 else tell(Note.IN_HOURS, hours=put(_long, hours))
            out.append(
                FillingOut(
                    share=share,
                    load_pa=share * lower if math.isfinite(lower) else 0.0,
                    hours=hours,
                    told=tell(Note.FILLED, label=label, when=when, share=f"{share:.0%}", giver=giver),
                )
            )
        again = until(policy.secure, 0.0, 0.0)
    return out, again


def _pond(s: Snow, shelter: Shelter, system: System) -> PondOut | None:
    with working.title("Water on the roof"):
        slope, needed = slope_for_water(roof_of(shelter)), pocket_slope(s)
    pocket = holds_pocket(s, shelter, needed)
    flat = tables.row("snow-forecast", "rain-stays-below").value
    if needed is None and not pocket and not (slope < flat and s.lies):
        return None
    mass = tension = load = None
    grows = False
    words: Words = tell(Note.RAIN_STAYS, slope=put(numeral, slope, ".1f"), flat=put(numeral, flat, "g"))
    if needed is not None and s.sag is not None and s.sag_span is not None:
        span = float(s.sag_span)
        with working.title("Water on the roof, a pond as wide as the span and as deep as the sag"):
            mass = float(formulas.pond_mass(water_density(), span, float(s.sag)))
            tension = float(formulas.pond_tension(water_density(), gravity(), span))
            load = float(formulas.pond_load(water_density(), float(s.sag), gravity())) if pocket else None
        hand = tables.row("snow-pond", "hand-tension").value
        weight = put(show, "mass", mass, system, rounding="up")
        words = (tell(Note.NO_POCKET, slope=put(numeral, slope, ".1f"), needed=put(numeral, needed, ".1f")) if not pocket else
                 tell(Note.WATER_STANDS, slope=put(numeral, slope, ".1f"), needed=put(numeral, needed, ".1f"), weight=weight))  # fmt: skip
        grows = pocket and tension > hand
        if grows:
            words = together(words, tell(Note.GROWS), between="")
    elif pocket:
        words = tell(Note.POCKET)
    return PondOut(
        slope_deg=slope,
        needed_slope_deg=needed,
        pocket=pocket,
        mass_kg=mass,
        tension_n_m=tension,
        told=words,
        load_pa=load,
        grows=grows,
    )


def _warnings(snow: Snow, shelter: Shelter, site: Site, s: RoofSnow, pond: PondOut | None) -> list[Words]:
    keys = []
    cold = (
        site.temperature is not None and float(site.temperature) <= tables.row("snow-pond", "ice-thaw").value
    )
    icy = cold or site.state in ("ice", "frozen", "snow") or s.lies
    if icy:
        keys.append("snow-warn-ice")
    if s.lies or site.state in ("ice", "frozen"):
        keys.append("snow-warn-thaw")
    if "ice" in (snow.kind, *(x.kind for x in snow.layers)) or site.state == "ice":
        keys.append("snow-warn-sheet")
    if s.lies:
        keys += ["snow-warn-rain"] if snow.rain or rain_stays(snow, shelter) else []
        keys += ["snow-warn-feet"] if shelter.form in TWO_SLOPES else []
    if pond is not None and pond.pocket:
        keys.append("snow-warn-pond")
    joined = shelter.joined is not None and shelter.joined.how == "side-by-side"
    counted = s.method == "code" and snow.edition == "en1991-1-3"  # its rules for both are in the load
    if (site.beside != "nothing" or joined) and s.lies and not counted:
        keys.append("snow-warn-valley")
    return [put(tables.words_of, k) for k in keys]


def _foot_push(shelter: Shelter, s: RoofSnow) -> float | None:
    roof = roof_of(shelter)
    if roof.form not in TWO_SLOPES or roof.rise <= 0 or not s.lies:
        return None
    spacing = float(shelter.length) / (shelter.points_per_side - 1)
    with working.title("Feet push outward"):
        cases = [(s.load, s.load), (s.light, s.heavy)]
        return max(
            float(formulas.gable_thrust(a, b, spacing, roof.span, float(shelter.eave) + roof.rise))
            for a, b in cases
        )


def snow_out(d: Deployment, s: RoofSnow, notes: list[Words]) -> SnowOut:
    """All that is said about the snow. notes: gets the assumptions."""
    limit, area = limit_of(d.shelter), float(d.shelter.length) * d.shelter.in_line * float(d.shelter.width)
    notes += s.notes
    policy = policy_of(d)
    pond = _pond(d.snow, d.shelter, d.deployment.show_units)
    carried = s.load + (pond.load_pa or 0.0 if pond is not None else 0.0)
    filling, again = _filling(d, s, policy, notes, carried)
    alarms = _alarms(d, s, policy, carried)
    ratio = s.load / limit if limit else (None if s.load else 0.0)
    clearing = (
        [put(tables.words_of, t.key) for t in tables.texts("snow-clear-")]
        if s.lies or d.snow.falling is not None
        else []
    )
    return SnowOut(
        roof_load_pa=s.load, limit_pa=limit, ratio=ratio, method=s.method, basis=s.basis, uneven_light_pa=s.light,
        uneven_heavy_pa=s.heavy, uneven=s.uneven, strength_load_pa=s.strength, rain_pa=s.rain, depth_m=s.depth, lying_depth_m=_depth_now(s)[0],
        mass_kg=float(formulas.roof_weight(s.load, area)) / gravity(), foot_push_n=_foot_push(d.shelter, s),
        depth_if_m=depths_of(s.load) if s.lies else {}, alarms=alarms, level=_level(s, limit, alarms, policy, carried, pond), filling=filling, clear_every_h=again,
        pond=pond, clearing=clearing, warnings=_warnings(d.snow, d.shelter, d.site, s, pond),
    )  # fmt: skip


def snow_lasts(out: SnowOut, use: str) -> Words | None:
    """How long a use is go in snow that still falls, until the first level in which it is not; None where none falls."""
    ends = next((k for k, level in enumerate(DUE) if level not in GO_IN[use]), len(DUE) - 1)
    hours = out.filling[ends].hours if out.filling else None
    return None if not hours or not math.isfinite(hours) else put(_long, hours)


def snow_conditions(out: SnowOut, use: str) -> list[Words]:
    """What a verdict on snow that still falls rests on: that the roof is cleared in time."""
    long = snow_lasts(out, use)
    if long is None:
        return []
    ending = {
        "working": tell(Note.END_WORKING),
        "set-up": tell(Note.END_SET_UP),
        "empty": tell(Note.END_EMPTY),
    }.get(use, tell(Note.END_PEOPLE_IN))
    return [tell(Note.SNOW_FALLS, long=long, ending=ending)]


def snow_checks(out: SnowOut) -> list[CheckOut]:
    """Checks of the snow: the maker's rating, its uneven case where that is heavier, and the rules chosen."""
    found: list[tuple[Check, float, float, str, str]] = []
    if out.limit_pa is not None and out.roof_load_pa:
        found.append((Check(What.SNOW), out.roof_load_pa, out.limit_pa, "Pa", "roof"))
    if out.limit_pa is not None and out.uneven_heavy_pa > out.roof_load_pa:
        found.append((Check(What.SNOW_UNEVEN), out.uneven_heavy_pa, out.limit_pa, "Pa", "one slope"))
    water = out.pond.load_pa if out.pond is not None else None
    if out.limit_pa is not None and water:
        found.append((Check(What.WATER), out.roof_load_pa + water, out.limit_pa, "Pa", "where it stands"))
    found += [
        (
            Check(What.SNOW_LOAD if a.measure == "load" else What.SNOW_DEPTH, a.rule),
            a.now,
            a.at,
            "Pa" if a.measure == "load" else "m",
            "roof",
        )
        for a in out.alarms
        if a.by_rule and a.now
    ]
    checks = []
    for check, demand, capacity, unit, where in found:
        ratio = demand / capacity if capacity else None
        checks.append(CheckOut(check=check, demand=demand, capacity=capacity, unit=unit, ratio=ratio,
                               ok=ratio is not None and ratio <= OK, case=CASE, where=where, holds_to_m_s=None))  # fmt: skip
    return checks


def snow_reason(c: CheckOut, system: System) -> Words:
    """Why a check of the snow fails, in one sentence."""
    if c.unit == "N":
        rated = show("force", c.capacity, system, rounding="down")
        pull = (
            tell(Note.PULLS, demand=put(show, "force", c.demand, system, rounding="up"))
            if c.ratio is not None
            else tell(Note.FOLDS)
        )
        return tell(Note.STRAP_EXCEEDED, name=put(capital, c.check), where=c.where, pull=pull, rated=rated)
    text = load_text if c.unit == "Pa" else depth_text
    giver = tell(Note.RULE_ALLOWS) if c.check.what in BY_RULE else tell(Note.MAKER_ALLOWS)
    if c.check.what is What.WATER:
        return tell(
            Note.WATER_EXCEEDED,
            where=c.where,
            demand=put(text, c.demand, system),
            giver=giver,
            capacity=put(text, c.capacity, system, "down"),
        )
    tail = tell(Note.CLEAR_IT) if c.check.what is not What.SNOW_UNEVEN else tell(Note.UNEVEN_IS_HEAVIER)
    return together(
        put(capital, c.check), " (", put(spoken, c.where), "): ", put(text, c.demand, system), ", ", giver, " ",
        put(text, c.capacity, system, "down"), ". ", tail, between="",
    )  # fmt: skip


def explain_snow(d: Deployment) -> list[str]:
    """The working of the snow load, line by line."""
    with working.record() as tape:
        s = roof_snow(d.snow, d.shelter, d.site)
        out = snow_out(d, s, [])
    picked = [x for x in tape.steps if x.titles]
    lines = working.Tape(picked).lines()
    if not s.lies:
        return [*lines, say("Snow: none on the roof, and none by a code.")]
    lines.append(
        say(
            "Load on the roof, {basis}: {load} Pa; uneven case, {uneven}: {light} and {heavy} Pa",
            basis=spoken(s.basis),
            load=numeral(s.load, ".5g"),
            uneven=s.uneven,
            light=numeral(s.light, ".5g"),
            heavy=numeral(s.heavy, ".5g"),
        )
    )
    if out.limit_pa and out.ratio is not None:
        lines.append(
            say(
                "load = s / s(limit) = {load} / {limit_pa} = {ratio}",
                load=numeral(s.load, ".5g"),
                limit_pa=numeral(out.limit_pa, ".5g"),
                ratio=numeral(out.ratio, ".4g"),
            )
        )
    return lines
