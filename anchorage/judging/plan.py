"""The one door: a Deployment in, an Assessment out. Commands, screens and pages all read it and put nothing together again."""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass, field

import numpy as np

from anchorage.checks.asking import ALL, asked, by_joint_factor
from anchorage.checks.checks import ratio, worst_pressure
from anchorage.checks.installation import (
    Installation,
    assemble,
    heading_true,
    point_inputs,
    secured,
    torn_open,
    within,
)
from anchorage.checks.limit import Limit
from anchorage.checks.outcome import FindOut, HalfBuiltOut, PlaceFirstOut
from anchorage.checks.whatif import Totals, lost_anchor, setting_up, wall_effects
from anchorage.core import tables
from anchorage.core.checked import Check, What
from anchorage.core.closed import OK
from anchorage.core.constants import gravity
from anchorage.core.errors import AnchorageError
from anchorage.core.out import Reason
from anchorage.core.say import capital
from anchorage.core.table_files import When
from anchorage.core.told import Words, put, tell
from anchorage.core.units import as_typed
from anchorage.core.words import one_and_many, several, so_many
from anchorage.deployment.contradictions import brought, stocked
from anchorage.deployment.models import Deployment
from anchorage.deployment.policy import GO_IN, RANK, SUBJECTS, OperatingPolicy, own_margins_of
from anchorage.formulas import working
from anchorage.formulas.blocks import bearing_pressure
from anchorage.holding.ground import fill_of
from anchorage.judging.notes import Note
from anchorage.judging.result import (
    AlternativeOut,
    AnchorageOut,
    BearingOut,
    CautionOut,
    CheckOut,
    DemandOut,
    EvidenceOut,
    LimitOut,
    Plan,
    PointOut,
    ProvenanceOut,
    SnowOut,
    StockOut,
    StrapsOut,
    TornOut,
    TotalOut,
    Verdict,
    WindOut,
    leading,
    put_up,
)
from anchorage.judging.snow_report import CASE, snow_checks, snow_conditions, snow_lasts, snow_out
from anchorage.judging.strap_decision import (
    strap_checks,
    strap_conditions,
    straps_out,
    sway_reason,
    sway_unknown,
)
from anchorage.judging.verdict import (
    COMING_DOWN,
    GOING_UP,
    HALF_BUILT,
    RECORD_LEVEL,
    SETUP_ASKS,
    STRAP_DATA,
    Bound,
    bounds,
    by_record,
    coming_down,
    conditions_of,
    does_not_do,
    fitting,
    going_up,
    ground_worse,
    headline_of,
    heaviest,
    levels_of,
    no_stricter_better,
    nobody_yet,
    order_of_setting_up,
    order_of_taking_down,
    rating,
    reasons_of,
    setup_reasons,
    subjects_of,
    unjudged,
    worst_of,
)
from anchorage.judging.with_stock import spread
from anchorage.loads.roof_snow import depths_of, roof_snow

_DRIVEN = ("stakes", "deadman")
NO_CASE, SQUARED, AT_REST = "none", "gust squared", "ballast at rest"
"""Load cases of checks that none of the wind's cases is of; that of the snow is beside its checks."""


def _check_out(x: Installation, limit: Limit) -> CheckOut:
    q = x.wind.pressure
    r = ratio(limit, q)
    least = float(np.min(limit.q))
    c, i = limit.worst
    case = x.base.cases.names[c] if limit.q.shape[-2] > 1 else "least load of the code"
    if limit.fixed and limit.demand is not None and limit.capacity is not None:
        demand, capacity, unit = limit.demand, limit.capacity, limit.unit
        i = int(np.argmax(demand / np.maximum(capacity, 1e-12)))
        d, cap = float(demand[0, i]), float(capacity[0, i])
    elif limit.demand is not None and limit.capacity is not None:
        d, cap, unit = (
            float(limit.demand[c, i]) * q,
            float(np.broadcast_to(limit.capacity, limit.q.shape)[c, i]),
            limit.unit,
        )
    else:
        d, cap, unit = q, least, "Pa"
    finite = np.isfinite(r)
    return CheckOut(
        check=limit.check, demand=d, capacity=cap if np.isfinite(cap) else 0.0, unit=unit, ratio=r if finite else None,
        ok=bool(finite and r <= OK), case=case if r > 0 else NO_CASE, where=limit.items[i],
        holds_to_m_s=None if limit.fixed or not np.isfinite(least) else x.wind.gust_of(least),
    )  # fmt: skip


def _simple_check(check: Check, gust: float, bound: float) -> CheckOut:
    share = (gust / bound) ** 2 if bound > 0 else (0.0 if gust == 0 else float("inf"))
    finite = np.isfinite(share)
    return CheckOut(check=check, demand=gust**2, capacity=bound**2, unit="m^2/s^2", ratio=share if finite else None,
                    ok=bool(finite and share <= OK), case=SQUARED, where="shelter", holds_to_m_s=bound)  # fmt: skip


def _torn_out(x: Installation, others: list[float]) -> TornOut | None:
    """The accidental limit: a closed door torn open. others: what rating and policy allow (m/s)."""
    doors = [door.wall for door in x.deployment.door if door.closed]
    try:
        gust = torn_open(x)
    except AnchorageError as e:
        return TornOut(doors=doors, gust_m_s=None, told=tell(Note.NOT_JUDGED, e=str(e)))
    return None if gust is None else TornOut(doors=doors, gust_m_s=min([gust, *others]))


def _limit_out(x: Installation, found: list[Limit]) -> LimitOut:
    wind = [f for f in found if not f.fixed]
    bare, spanned = next((f for f in found if f.people), None), x.spanned()
    worst = min(wind, key=lambda f: float(np.min(f.q)))
    own = x.wind.gust_of(float(np.min(worst.q)))
    c, i = worst.worst
    lowest = min([Bound(own, worst.check), *bounds(x)], key=lambda b: b.gust)
    per_case = np.min([f.q.min(axis=-1) for f in wind], axis=0)
    shut = secured(x)
    others = [b.gust for b in bounds(x)]
    held = min([x.wind.gust_of(float(per_case[shut].min())), *others]) if shut is not None else None
    torn = _torn_out(x, others)
    heading = heading_true(x.deployment.site)
    by_bearing = []
    if heading is not None:
        if x.base is not x.everywhere:
            every = [f for f in x.limits(on=x.everywhere) if not f.fixed]
            per_case = np.min([f.q.min(axis=-1) for f in every], axis=0)
        for bearing in np.arange(0.0, 360.0, 22.5):
            inside = within(x.everywhere.cases.bearing, float(bearing) - heading)
            gust = min([x.wind.gust_of(float(per_case[inside].min())), *others])
            by_bearing.append(BearingOut(bearing=float(bearing), gust_m_s=gust))
    return LimitOut(
        gust_m_s=lowest.gust, by=lowest.check, anchorage_gust_m_s=own, anchorage_by=worst.check,
        where=worst.items[i], case=x.base.cases.names[c], anchorage_only=rating(x) is None, secured_gust_m_s=held,
        torn_open=torn, by_bearing=by_bearing,
        foot="" if bare is None else bare.items[bare.worst[1]],
        foot_gust_m_s=None if bare is None else x.wind.gust_of(float(np.min(bare.q))),
        spanned_gust_m_s=None if spanned is None else min([x.wind.gust_of(worst_pressure(spanned)), *others]),
    )  # fmt: skip


def _with_snow(
    x: Installation, limit: LimitOut, notes: list[Words], used: list[tables.Row]
) -> tuple[SnowOut, StrapsOut, LimitOut]:
    """Snow and straps, and the snow limit beside the gust limit. notes and used get what they stand on."""
    d = x.deployment
    with tables.collect() as rows:
        lying = roof_snow(d.snow, d.shelter, d.site)
        snow = snow_out(d, lying, notes)
    used += rows if lying.lies else []
    straps = straps_out(
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
    if d.shelter.strap is not None and x.locked:
        used += [row for r in x.racking for row in r.rows]
    depths = depths_of(snow.limit_pa) if snow.limit_pa is not None else {}
    more = {"roof_snow_pa": snow.limit_pa, "roof_snow_depth_m": depths}
    return snow, straps, limit.model_copy(update=more)


def _points(x: Installation) -> list[PointOut]:
    s, q = x.base.shares, x.wind.pressure
    uplift = np.maximum(np.maximum(s.rigid, s.frame).max(axis=0), 0.0) * q
    shared = np.abs(x.base.pushed) * (1.0 if x.hardware.line_angle else 0.5)
    push = np.maximum(s.push_rigid, shared @ x.base.carry.T if x.base.carries else shared).max(axis=0) * q
    return [
        PointOut(
            id=p.id, group=p.group, x_m=p.x, y_m=p.y, uplift_n=float(uplift[i]), sliding_n=float(push[i]),
            kind=h.kind, item=h.counted, usable=bool(x.usable[i]), units=0 if h.kind in _DRIVEN else int(x.counts[i]),
            mass_kg=float(x.counts[i]) * h.unit_mass, stakes=int(x.counts[i]) if h.kind in _DRIVEN else 0,
        )
        for i, (p, h) in enumerate(zip(x.shape.points, x.hard, strict=True))
    ]  # fmt: skip


def _stock(x: Installation, points: list[PointOut]) -> list[StockOut]:
    stock, own, out = x.deployment.stock, x.deployment.anchorage.unit, []
    kinds = dict.fromkeys(stocked(p.kind, p.item) for p in points if p.kind != "none")
    known = {k: have for k in kinds if (have := brought(stock, *k, own) if stock else None) is not None}
    needs = {k: sum(p.units + p.stakes for p in points if stocked(p.kind, p.item) == k) for k in known}
    with working.silent():
        best = spread(x, known) if any(needs[k] > known[k] for k in known) else None
    for (kind, item), have in known.items():
        needed = needs[kind, item]
        short = best if needed > have else None
        out.append(
            StockOut(
                item=stock_words(kind, item),
                needed=needed,
                brought=have,
                short=max(needed - have, 0),
                holds_with_stock_m_s=None if short is None else short.gust_m_s,
                spread={} if short is None else {p.id: int(n) for p, n in zip(points, short.counts, strict=True) if stocked(p.kind, p.item) == (kind, item)},
                first=None if short is None else short.by,
            )
        )  # fmt: skip
    return [*out, *_lines(x)]


def _lines(x: Installation) -> list[StockOut]:
    """A line for each point that has something on one; what fewer hold is not worked out."""
    needed = sum(h.line_angle is not None and n > 0 for h, n in zip(x.hard, x.counts, strict=True))
    have = (x.deployment.stock or {}).get("lines")
    if not needed or have is None:
        return []
    return [
        StockOut(
            item="lines", needed=needed, brought=have, short=max(needed - have, 0), holds_with_stock_m_s=None, spread={}, first=None
        )
    ]  # fmt: skip


def _not_counted(x: Installation, points: list[PointOut]) -> list[Reason]:
    """What the plan asks for and the stock says nothing of: nobody knows that it is there."""
    stock = x.deployment.stock
    if not stock or x.sized is None:
        return []
    own = x.deployment.anchorage.unit
    items = dict.fromkeys(
        stocked(p.kind, p.item) for p in points if p.kind != "none" and (p.units or p.stakes)
    )
    words = [stock_words(kind, item) for kind, item in items if brought(stock, kind, item, own) is None]
    return [Reason(code="stock-missing", told=tell(Note.STOCK_MISSING, w=put(several, w))) for w in words]


def _more_than_brought(stock: list[StockOut], *, logged: bool) -> list[Reason]:
    """What is counted as placed and nobody brought: a slip of the hand, or it came later and that is to be said."""
    return [
        Reason(
            code="more-than-brought",
            told=tell(
                Note.MORE_THAN_BROUGHT if logged else Note.PLACED_OVER_BROUGHT,
                needed=put(so_many, s.needed, s.item),
                brought=s.brought,
            ),
        )
        for s in stock
        if s.short
    ]


def stock_words(kind: str, item: str) -> str:
    """What is counted, by its English name: ``sandbags``."""
    return {"stakes": "stakes", "deadman": "deadmen"}.get(kind) or one_and_many(item)[1]


def _alternatives(x: Installation) -> list[AlternativeOut]:
    out = []
    for key, subject in SUBJECTS.items():
        need = x.needs[key]
        fits = need.counts is None or np.array_equal(fitting(x, need.counts, planned=True), need.counts)
        out.append(
            AlternativeOut(
                use=key,
                subject=subject,
                groups=need.groups,
                total=need.total,
                does_it=fits,
            )
        )
    return out


def _bearing(x: Installation) -> list[CheckOut]:
    """Ballast of the heaviest point against what the ground bears, where the area is given and the ground is soil."""
    area = x.deployment.anchorage.bearing_area
    if area is None:
        return []
    worst: tuple[float, float, float, str] | None = None
    for p, h, n, id_ in zip(
        point_inputs(x.deployment.point, x.base.ids), x.hard, x.counts, x.base.ids, strict=True
    ):
        surface = str(p.surface or x.deployment.site.surface)
        if surface not in tables.table("bearing") or not h.unit_mass or not n:
            continue
        pressure = float(bearing_pressure(float(n) * h.unit_mass * gravity(), float(area)))
        allowed = tables.row("bearing", surface).value
        if worst is None or pressure / allowed > worst[0]:
            worst = (pressure / allowed, pressure, allowed, id_)
    if worst is None:
        return []
    return [CheckOut(check=Check(What.BEARING), demand=worst[1], capacity=worst[2], unit="Pa", ratio=worst[0], ok=worst[0] <= OK,
                     case=AT_REST, where=worst[3], holds_to_m_s=None)]  # fmt: skip


def _foot_bears(x: Installation) -> list[CheckOut]:
    """Ballast of the heaviest point against what a leg and its foot are rated for, where that is given and weight is on them."""
    a = x.deployment.anchorage
    most, where = heaviest(x)
    if a.foot_rated is None or a.how == "standing-tied" or not most:
        return []
    rated = float(a.foot_rated)
    share = most / rated if rated > 0 else None
    return [CheckOut(check=Check(What.FOOT), demand=most, capacity=rated, unit="N", ratio=share, ok=share is not None and share <= OK,
                     case=AT_REST, where=where, holds_to_m_s=None)]  # fmt: skip


def calls(x: Installation) -> set[When]:
    """What this installation has that calls for one caution above others."""
    d, kinds = x.deployment, {h.kind for h in x.hard}
    has: dict[When, bool] = {
        "stakes": bool(kinds & {*_DRIVEN}), "lines": any(h.line_angle is not None for h in x.hard),
        "ballast": bool(kinds & {"ballast", "line-ballast"}), "water": any(fill_of(h.unit_name) == "water" for h in x.hard),
        "decon": d.deployment.use == "decon", "ducts": bool(d.duct) or roof_snow(d.snow, d.shelter, d.site).lies, "forecast": d.wind.speed_is in ("forecast-gust", "forecast-wind"),
    }  # fmt: skip
    return {k for k, there in has.items() if there}


def cautions(called: Collection[When] = ()) -> list[CautionOut]:
    """Every caution, always, with the practice that it comes from."""
    return [
        CautionOut(
            key=t.key,
            told=put(tables.words_of, t.key),
            cited=put(tables.cited, t.key),
            line=put(tables.short_of, t.key),
            called_for=t.when in called,
        )
        for t in tables.texts("caution-")
    ]


@dataclass(frozen=True, eq=False)
class Assessment:
    """A deployment judged, and what it was judged by."""

    plan: Plan
    installation: Installation
    deep: bool = False
    tape: working.Tape | None = field(default=None, repr=False)
    """The working, where it was asked for."""

    @property
    def deployment(self) -> Deployment:
        """What was judged."""
        return self.installation.deployment

    @property
    def policy(self) -> OperatingPolicy:
        """The policy that it was judged by."""
        return self.installation.policy


def assess(d: Deployment, *, deep: bool = False, show: bool = False) -> Assessment:
    """Judge a deployment.

    deep: also what happens with an anchor lost, half built, with each wall open or shut, and advice; show: keep the working.
    Raises ``errors.AnchorageError`` for what cannot be judged.
    """
    tape = None
    with tables.collect() as found:
        if show:
            with working.record() as tape:
                x = assemble(d)
        else:
            x = assemble(d)
    return Assessment(plan_of(x, found, deep=deep), x, deep, tape)


def make_plan(d: Deployment, *, deep: bool = False) -> Plan:
    """The Plan alone of a deployment, for another question than the one that was assessed."""
    return assess(d, deep=deep).plan


def _advice(x: Installation, lines: list[FindOut]) -> list[Words]:
    """The best three lines of what to find out or do, as sentences."""
    now = x.needs[x.use].total
    unit = x.hardware.counted if len({h.counted for h in x.hard if h.kind != "none"}) == 1 else "unit"
    was: Words = tell(Note.INSTEAD_OF, now=now) if now is not None else tell(Note.NOTHING_HOLDS)
    out: list[Words] = [
        tell(
            Note.ADVICE,
            text=put(capital, o.told),
            total=put(so_many, o.total, one_and_many(unit)[1]),
            was=was,
        )
        for o in lines
        if o.code != ALL
    ]
    return out[:3]


def _cap(x: Installation) -> float | None:
    return min((b.gust for b in bounds(x)), default=None)


def _first_conditions(x: Installation, half: HalfBuiltOut, steps: list[PlaceFirstOut]) -> list[Words]:
    """What comes before all else: what was not judged, who answers for the margins, and how it goes up; what is coming down comes down first."""
    said = [t for t in (unjudged(x), own_margins_of(x.policy)) if t is not None]
    if coming_down(x.deployment.record):
        return [*order_of_taking_down(x, half, steps), *said]
    return [*said, *order_of_setting_up(x, half, steps)]


def plan_of(x: Installation, used: list[tables.Row], *, deep: bool = False) -> Plan:
    """A Plan of an installation that is already put together. used: the rows that it stands on."""
    d = x.deployment
    fits = fitting(x, x.counts, planned=False)
    found = x.limits(fits if x.sized is None and not np.array_equal(fits, x.counts) else None)
    notes = list(x.assumptions)
    checks = [_check_out(x, f) for f in found]
    checks += [_simple_check(b.check, x.wind.gust, b.gust) for b in bounds(x)]
    checks += [*_bearing(x), *_foot_bears(x)]
    snow, straps, limit = _with_snow(x, _limit_out(x, found), notes, used)
    checks += [
        *snow_checks(snow),
        *strap_checks(x.racking, locked=x.locked),
    ]
    points = _points(x)
    stock = _stock(x, points)
    not_done = does_not_do(x, x.counts)
    stands = put_up(limit.gust_m_s, stock, not_done, sized=x.sized is not None)
    levels = levels_of(x.policy, x.wind.gust, stands if stands is not None else float("nan"))
    worst = max(levels.level, snow.level, key=RANK.index)
    logged = d.record is not None and d.record.counted == "record"
    placed = logged or x.sized is None
    """What is typed or counted as there, not what a plan asks for."""
    lacking = not placed and any(s.short and s.holds_with_stock_m_s is None for s in stock)
    subjects = subjects_of(worst, ok=all(c.ok for c in checks) and not not_done and not lacking)
    if not (not_done or lacking) and all(c.ok for c in checks if c.check.what is not What.BARE):
        empty = SUBJECTS["empty"]
        subjects = {**subjects, empty: subjects_of(worst, ok=True)[empty]}
    reasons = [
        *reasons_of(x, checks, stock, snow, subjects, levels, stands, not_done),
        *_not_counted(x, points),
    ]
    swaying = sway_unknown(straps, snow, x.wind.gust)
    reasons += [Reason(code=STRAP_DATA, told=t) for t in sway_reason(straps)] if swaying else []
    if placed:
        reasons = [r for r in reasons if r.code != "stock-short"] + _more_than_brought(stock, logged=logged)
    with tables.collect() as rows:
        half, first = setting_up(x, found)
    used += rows
    subject, up = SUBJECTS[x.use], SUBJECTS["set-up"]
    on_the_way = setup_reasons(x, half)
    if x.use != "set-up":
        told = [r.told for r in on_the_way if r.code == HALF_BUILT]
        half = half.model_copy(update={"told": told[0] if told and half.cover is not None else half.told})
    fails = subjects[subject] == "no-go"
    subjects = by_record(subjects, d.record)
    if x.bridges and not d.shelter.spans_lost_foot and not x.standing(x.counts).usable.all():
        subjects = {k: v if k == subject else worst_of(v, "unknown") for k, v in subjects.items()}
    if d.record is not None:
        reasons += [*d.record.blocks, *d.record.asks]
        held = d.record.level
        if nobody_yet(d.record, x.use):
            reasons.insert(len(reasons) if fails else 0, Reason(code=GOING_UP, told=tell(Note.GOING_UP)))
        if coming_down(d.record):
            text = held.told if held is not None else tell(Note.COMING_DOWN)
            reasons.insert(0, Reason(code=COMING_DOWN, told=text))
        elif held is not None and held.level not in GO_IN[x.use]:
            reasons.insert(0, Reason(code=RECORD_LEVEL, told=held.told))
    asks = {
        "rating-missing",
        "snow-rating-missing",
        "pond-unknown",
        STRAP_DATA,
        "stock-missing",
        "more-than-brought",
        *(code for code, _ in x.asks),
    }
    asks |= set() if d.record is None else {r.code for r in d.record.asks}
    if d.record is not None and x.use == "empty":
        asks |= {r.code for r in d.record.blocks}
    verdict: Verdict = subjects[subject]
    if any(r.code not in asks for r in reasons):
        verdict = "no-go"
    elif reasons:
        verdict = worst_of(verdict, "unknown")
    if any(r.code in asks for r in reasons):
        subjects = {k: worst_of(v, "unknown") for k, v in subjects.items()}
    for r in on_the_way:
        subjects = {**subjects, up: worst_of(subjects[up], "unknown" if r.code in SETUP_ASKS else "no-go")}
    if going_up(d.record):
        empty = SUBJECTS["empty"]
        subjects = {**subjects, empty: worst_of(subjects[empty], subjects[up])}
    if x.use == "set-up":
        reasons += on_the_way
        verdict = worst_of(verdict, subjects[up])
    subjects = no_stricter_better({**subjects, subject: worst_of(subjects[subject], verdict)})
    largest = max(
        (c for c in checks if c.case not in (NO_CASE, SQUARED, CASE, AT_REST)),
        key=lambda c: c.ratio if c.ratio is not None else np.inf,
        default=None,
    )
    totals = Totals()
    span, to_find_out = asked(x, totals) if deep else (None, [])
    q, b = x.wind.pressure, x.base
    tipping = b.arms * b.cases.uplift - b.cases.moment @ b.edges.T
    weak = tables.weakest([r.how for r in used])
    return Plan(
        name=d.deployment.name, show_units=d.deployment.show_units, verdict=verdict, subject=subject, subjects=subjects,
        head=x.policy.out().told_after(headline_of(x, verdict, stands, reasons, snow_lasts(snow, x.use), half, leading(d.record, subject, verdict, subjects))), reasons=reasons, does_not_do=not_done,
        wind=WindOut(gust_m_s=x.wind.gust, velocity_pressure_pa=q, density_kg_m3=x.wind.density, method=d.wind.method,
                     exposure=x.wind.exposure, over_hill=x.wind.over_hill, as_typed=as_typed(d.wind.speed, f"{float(d.wind.speed):g} m/s")),
        demand=DemandOut(uplift_n=max(float(b.cases.uplift.max()), 0.0) * q,
                         sliding_n=float(np.hypot(*b.cases.push.T).max()) * q,
                         overturning_n_m=max(float(tipping.max()), 0.0) * q, case=largest.case if largest is not None else "none"),
        checks=checks,
        anchorage=AnchorageOut(
            kind=d.anchorage.kind, unit=x.hardware.unit_name, unit_mass_kg=x.hardware.unit_mass,
            unit_strength_n=x.hardware.tension, line_angle_deg=x.hardware.line_angle, line_strength_n=x.hardware.line_strength,
            line_weakest=x.hardware.line_weakest if x.hardware.line_strength is not None else "", friction=x.hardware.friction, sized=x.sized is not None, points=points,
            total=TotalOut(units=sum(p.units for p in points), mass_kg=sum(p.mass_kg for p in points), stakes=sum(p.stakes for p in points)),
        ),
        limit=limit, levels=levels, policy=x.policy.out(), snow=snow, straps=straps, stock=stock, alternatives=_alternatives(x),
        advice=_advice(x, to_find_out), range=span, to_find_out=to_find_out, units_at_friction_2=by_joint_factor(x) if deep else None, lost_anchor=lost_anchor(x, fitting(x, x.counts, planned=x.sized is not None), _cap(x)) if deep else None,
        half_built=half, set_up_reasons=on_the_way, place_first=first, walls=wall_effects(d, totals) if deep else [], margins={k: getattr(x.factors, k) for k in ("set", "wind", "shelter", "ballast", "friction", "stake", "line")},
        provenance=ProvenanceOut(weakest=weak, weak=sorted({f"{r.table} {r.key}" for r in used if r.how == weak})),
        no_door=x.no_door, ground_worse=ground_worse(x), unjudged=unjudged(x), conditions=[*_first_conditions(x, half, first), *conditions_of(x), *snow_conditions(snow, x.use), *strap_conditions(d.shelter, straps, unknown=swaying)], assumptions=notes, cautions=cautions(calls(x)),
        evidence=[
            EvidenceOut(kind=f.kind, contact=f.contact, state=f.state, n=f.n, value=f.value, row_value=f.row_value, used=f.used, why=[w.value for w in f.why])
            for f in x.evidence
        ],
        record=d.record,
    )  # fmt: skip
