"""The one door: a Deployment in, a Plan out. The command line, the interface and the sheet all read the Plan."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from anchorage import tables
from anchorage.advice import advise
from anchorage.assemble import SUBJECTS, Installation, assemble, heading_true, secured, within
from anchorage.checks import OK, Limit, ratio
from anchorage.contradictions import stock_key
from anchorage.deployment import Deployment
from anchorage.hardware import GRAVITY
from anchorage.result import (
    AlternativeOut,
    AnchorageOut,
    BearingOut,
    CautionOut,
    CheckOut,
    DemandOut,
    Level,
    LevelsOut,
    LimitOut,
    Plan,
    PointOut,
    ProvenanceOut,
    Reason,
    SnowOut,
    StockOut,
    StrapsOut,
    TotalOut,
    Verdict,
    WindOut,
)  # fmt: skip
from anchorage.units import Measure, System, show

TIGHT = 1e-9
_DRIVEN = ("stakes", "deadman")


@dataclass(frozen=True)
class _Bound:
    """A gust (m/s) that something takes, and what it is."""

    gust: float
    name: str


def _typed(value: object, fallback: str) -> str:
    return value.text if isinstance(value, Measure) else fallback


def _blows(gust: float, system: System) -> str:
    return show("speed", gust, system, rounding="up")


def _speed(gust: float, system: System) -> str:
    return show("speed", gust, system, rounding="down")


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
        name=limit.name, demand=d, capacity=cap if np.isfinite(cap) else 0.0, unit=unit, ratio=r if finite else None,
        ok=bool(finite and r <= OK), case=case if r > 0 else "none", where=limit.items[i],
        holds_to_m_s=None if limit.fixed or not np.isfinite(least) else x.wind.gust_of(least),
    )  # fmt: skip


def _rating(x: Installation) -> float | None:
    r = x.deployment.shelter.rating
    value = r.gust_locked if x.deployment.shelter.straps == "locked" else r.gust_unlocked
    return None if value is None else float(value)


def _bounds(x: Installation) -> list[_Bound]:
    out = []
    rating = _rating(x)
    if rating is not None:
        out.append(_Bound(rating, f"the maker's rating, straps {x.deployment.shelter.straps}"))
    if x.deployment.policy.gust is not None:
        out.append(_Bound(float(x.deployment.policy.gust), "local policy"))
    return out


def _simple_check(name: str, gust: float, bound: float) -> CheckOut:
    share = (gust / bound) ** 2 if bound > 0 else (0.0 if gust == 0 else float("inf"))
    finite = np.isfinite(share)
    return CheckOut(name=name, demand=gust**2, capacity=bound**2, unit="m^2/s^2", ratio=share if finite else None,
                    ok=bool(finite and share <= OK), case="gust squared", where="shelter", holds_to_m_s=bound)  # fmt: skip


def _limit_out(x: Installation, found: list[Limit]) -> LimitOut:
    wind = [f for f in found if not f.fixed]
    worst = min(wind, key=lambda f: float(np.min(f.q)))
    own = x.wind.gust_of(float(np.min(worst.q)))
    c, i = worst.worst
    lowest = min([_Bound(own, worst.name), *_bounds(x)], key=lambda b: b.gust)
    shut = secured(x)
    others = [b.gust for b in _bounds(x)]
    held = min([x.gust_held(on=shut), *others]) if shut is not None else None
    heading = heading_true(x.deployment)
    by_bearing = []
    if heading is not None:
        every = [f for f in x.limits(on=x.everywhere) if not f.fixed]
        per_case = np.min([f.q.min(axis=-1) for f in every], axis=0)
        for bearing in np.arange(0.0, 360.0, 22.5):
            inside = within(x.everywhere.cases.bearing, float(bearing) - heading)
            gust = min([x.wind.gust_of(float(per_case[inside].min())), *others])
            by_bearing.append(BearingOut(bearing=float(bearing), gust_m_s=gust))
    return LimitOut(
        gust_m_s=lowest.gust, governed_by=lowest.name, anchorage_gust_m_s=own, anchorage_governed_by=worst.name,
        where=worst.items[i], case=x.base.cases.names[c], anchorage_only=_rating(x) is None, secured_gust_m_s=held,
        by_bearing=by_bearing,
    )  # fmt: skip


def level_of(gust: float, limit: float) -> Level:
    """Level of a gust against a limiting gust (m/s)."""
    if not np.isfinite(gust) or np.isnan(limit):
        return "unknown"
    share = gust / limit if limit > 0 else (0.0 if gust == 0 else float("inf"))
    levels: tuple[Level, ...] = ("keep-away", "people-out", "secure")
    return next((key for key in levels if share >= tables.row("level", key).value - TIGHT), "normal")


def _levels(gust: float, limit: float) -> LevelsOut:
    share = {k: tables.row("level", k).value for k in ("secure", "people-out", "keep-away")}
    return LevelsOut(
        level=level_of(gust, limit), share=gust / limit if limit > 0 else None, secure_m_s=share["secure"] * limit,
        people_out_m_s=share["people-out"] * limit, keep_away_m_s=share["keep-away"] * limit,
    )  # fmt: skip


def _snow(d: Deployment, notes: list[str]) -> SnowOut:
    s, r = d.snow, d.shelter.rating
    limit = r.roof_snow_locked if d.shelter.straps == "locked" else r.roof_snow_unlocked
    load = 0.0
    if s.water is not None:
        load = float(s.water) * 1000.0 * GRAVITY
    elif s.depth is not None:
        row = tables.row("snow-density", s.kind or "wet")
        density = row.value if s.kind else (row.high or row.value)
        if not s.kind:
            notes.append(f"Kind of snow not given: taken as wet, {density:g} kg/m3.")
        load = density * float(s.depth) * GRAVITY
    ratio_ = load / limit if limit else (None if load else 0.0)
    return SnowOut(roof_load_pa=load, limit_pa=None if limit is None else float(limit), ratio=ratio_)


def _straps(x: Installation, snow: SnowOut) -> StrapsOut:
    r, system = x.deployment.shelter.rating, x.deployment.deployment.show_units
    gust = x.wind.gust
    heavy = (
        gust >= tables.row("practice", "heavy-weather-gust").value
        if "heavy-weather-gust" in tables.table("practice")
        else False
    )
    secure = tables.row("level", "secure").value
    loose, tied = r.gust_unlocked, r.gust_locked
    if loose is not None and gust <= float(loose) * secure and not snow.roof_load_pa:
        return StrapsOut(
            decision="not needed",
            reason=f"{_blows(gust, system)} is under {secure:.0%} of the {_typed(loose, '')} that the maker gives with straps unlocked.",
        )
    if loose is not None and gust <= float(loose) and not snow.roof_load_pa:
        return StrapsOut(
            decision="lock",
            reason=f"{_blows(gust, system)} is close to the {_typed(loose, '')} that the maker gives with straps unlocked.",
        )
    if tied is not None and gust > float(tied):
        return StrapsOut(
            decision="lock, and still not enough",
            reason=f"{_blows(gust, system)} is over the {_typed(tied, '')} that the maker gives with straps locked.",
        )
    if tied is not None:
        snowy = (
            "snow lies on the roof"
            if snow.roof_load_pa
            else f"{_blows(gust, system)} is over what the maker gives with straps unlocked"
        )
        return StrapsOut(
            decision="lock",
            reason=f"{snowy[0].upper()}{snowy[1:]}. Locked straps make the walls slower to leave by.",
        )
    tail = (
        "Lock them for this weather (common practice)."
        if snow.roof_load_pa or heavy
        else "Locked when heavy weather or snow is expected, not needed otherwise (common practice)."
    )
    return StrapsOut(decision="ask the maker", reason=f"The maker's wind ratings are not in the file. {tail}")


def _points(x: Installation) -> list[PointOut]:
    s, q = x.base.shares, x.wind.pressure
    uplift = np.maximum(np.maximum(s.rigid, s.frame).max(axis=0), 0.0) * q
    k = np.where(x.base.frame >= 0, x.base.frame, 0)
    halves = np.where(
        x.base.frame >= 0, np.abs(s.frame_push[:, k]) * (1.0 if x.hardware.line_angle else 0.5), 0.0
    )
    push = np.maximum(s.push_rigid, halves).max(axis=0) * q
    return [
        PointOut(
            id=p.id, group=p.group, x_m=p.x, y_m=p.y, uplift_n=float(uplift[i]), sliding_n=float(push[i]),
            kind=h.kind, item=h.counted, usable=bool(x.base.usable[i]), units=0 if h.kind in _DRIVEN else int(x.counts[i]),
            mass_kg=float(x.counts[i]) * h.unit_mass, stakes=int(x.counts[i]) if h.kind in _DRIVEN else 0,
        )
        for i, (p, h) in enumerate(zip(x.shape.points, x.hard, strict=True))
    ]  # fmt: skip


def _stock(x: Installation, points: list[PointOut]) -> list[StockOut]:
    stock = x.deployment.stock
    if not stock:
        return []
    stakes = x.hardware.kind == "stakes"
    names = ["stakes"] if stakes else [stock_key(x.hardware.unit_name), "units"]
    brought = [stock[n] for n in names if n in stock]
    if not brought:
        return []
    needed, have = sum(p.stakes if stakes else p.units for p in points), sum(brought)
    holds: float | None = None
    if needed > have:
        scaled = np.floor(x.counts * (have / needed)).astype(int)
        holds = min([x.gust_held(scaled), *(b.gust for b in _bounds(x))])
    return [
        StockOut(
            item=names[0].replace("_", " "),
            needed=needed,
            brought=have,
            short=max(needed - have, 0),
            holds_with_stock_m_s=holds,
        )
    ]


def _alternatives(x: Installation) -> list[AlternativeOut]:
    return [
        AlternativeOut(subject=subject, units_by_group=x.needs[key].by_group, total=x.needs[key].total)
        for key, subject in SUBJECTS.items()
    ]


def _subjects(level: Level, *, ok: bool) -> dict[str, Verdict]:
    if level == "unknown":
        return dict.fromkeys(SUBJECTS.values(), "unknown")
    allowed = {
        "people-in": ("normal", "secure"),
        "empty": ("normal", "secure", "people-out", "keep-away"),
        "set-up": ("normal",),
    }
    return {SUBJECTS[k]: "go" if ok and level in levels else "no-go" for k, levels in allowed.items()}


def _worst_of(a: Verdict, b: Verdict) -> Verdict:
    order: list[Verdict] = ["go", "unknown", "no-go"]
    return max(a, b, key=order.index)


def _reasons(x: Installation, checks: list[CheckOut], stock: list[StockOut], snow: SnowOut, verdicts: dict[str, Verdict],
             levels: LevelsOut, limit: LimitOut) -> list[Reason]:  # fmt: skip
    """Everything that stands in the way, no-go reasons first."""
    system, out = x.deployment.deployment.show_units, []
    subject = SUBJECTS[x.deployment.anchorage.size_for]
    if x.sized is not None and x.sized.counts is None:
        out.append(
            Reason(
                code="cannot-be-held",
                text=f"No number of {x.hardware.unit_name}s holds this: {x.sized.governed_by}. {_way_out(x)}",
            )
        )
    for c in checks:
        if not c.ok and not (x.sized is not None and x.sized.counts is None):
            holds = (
                f"it holds to {_speed(c.holds_to_m_s, system)}"
                if c.holds_to_m_s is not None
                else "it has too little resistance"
            )
            gust = _blows(x.wind.gust, system)
            out.append(Reason(code=c.name.replace(": ", "-").replace(" ", "-").replace("'", "") + "-exceeded",
                              text=f"{c.name[0].upper()}{c.name[1:]} ({c.where}): {holds}, the gust is {gust}."))  # fmt: skip
    if (
        not any(r.code.endswith("exceeded") for r in out)
        and not out
        and verdicts[subject] == "no-go"
        and limit.gust_m_s is not None
    ):
        words = {"secure": "SECURE", "people-out": "PEOPLE OUT", "keep-away": "KEEP AWAY"}.get(
            levels.level, levels.level
        )
        out.append(
            Reason(
                code=f"level-{levels.level}",
                text=f"{_blows(x.wind.gust, system)} of {_speed(limit.gust_m_s, system)}, {levels.share or 0:.0%}: {words}.",
            )
        )
    out += [
        Reason(code="stock-short", text=f"{s.short} {s.item} short: {s.needed} needed, {s.brought} brought.")
        for s in stock
        if s.short
    ]
    if _rating(x) is None:
        out.append(
            Reason(
                code="rating-missing",
                text=f"The maker's wind rating with straps {x.deployment.shelter.straps} is not in the file: look in the manual or ask the maker, then give it under [shelter.rating].",
            )
        )
    if snow.roof_load_pa and snow.limit_pa is None:
        out.append(
            Reason(
                code="snow-rating-missing",
                text="Snow lies on the roof and the maker's snow rating is not in the file: ask the maker.",
            )
        )
    out += [Reason(code=code, text=text) for code, text in x.asks]
    return out


def _way_out(x: Installation) -> str:
    if x.hardware.kind == "stakes":
        return "Straight stakes hold next to no straight-up pull in this ground: use ballast, longer stakes in firmer ground, or pull-test at least three."
    if x.hardware.friction < 0.1:
        return "The surface is too slippery: clear the ice, spread grit, or use stakes where the ground takes them."
    return "Use heavier units, shut the openings, or do not put it up in this wind."


def _headline(x: Installation, verdict: Verdict, limit: LimitOut, reasons: list[Reason]) -> str:
    system = x.deployment.deployment.show_units
    gust = _blows(x.wind.gust, system)
    subject = SUBJECTS[x.deployment.anchorage.size_for]
    holds = _speed(limit.gust_m_s or 0.0, system)
    if verdict == "no-go":
        return f"NO-GO: {subject}, gusts {gust}"
    if verdict == "unknown":
        if any(r.code == "rating-missing" for r in reasons) and len(reasons) == 1:
            return f"ANCHORAGE HOLDS to {holds} - frame limit not given, ask the maker"
        return "CANNOT SAY: " + next(r.text for r in reasons if r.code != "rating-missing")
    if _utilities_open(x):
        return f"GO ONLY AFTER utilities are marked: {subject}, gusts to {gust}"
    return f"GO: {subject}, gusts to {gust} (holds to {holds})"


def _utilities_open(x: Installation) -> bool:
    return any(h.kind == "stakes" for h in x.hard) and x.deployment.site.utilities != "marked"


def _conditions(x: Installation) -> list[str]:
    out = []
    if _utilities_open(x):
        out.append("Utilities are located and marked before any stake is driven.")
    if x.hardware.kind == "stakes":
        out.append("Lines are cinched tight on both sides and checked after every change of weather.")
    if x.sized is not None:
        out.append("What is listed for each point is in place before the wind is.")
    if x.deployment.shelter.straps == "locked":
        out.append("The sidewall straps are locked.")
    shut = [f"{d.wall} door" for d in x.deployment.door if d.state == "closed"]
    if shut:
        out.append(f"Kept shut: {', '.join(shut)}.")
    return out


def cautions() -> list[CautionOut]:
    """Every caution, always, with the practice that it comes from."""
    return [CautionOut(key=t.key, text=t.text, source=t.cite()) for t in tables.texts("caution-")]


def make_plan(d: Deployment) -> Plan:
    """Judge a deployment. Raises ``errors.AnchorageError`` for what cannot be judged."""
    with tables.collect() as used:
        x = assemble(d)
        return plan_of(x, used)


def plan_of(x: Installation, used: list[tables.Row]) -> Plan:
    """A Plan of an installation that is already put together. used: the rows that it stands on."""
    d = x.deployment
    found = x.limits()
    notes = list(x.assumptions)
    snow = _snow(d, notes)
    checks = [_check_out(x, f) for f in found]
    checks += [
        _simple_check("rating" if b.name.startswith("the maker") else "local policy", x.wind.gust, b.gust)
        for b in _bounds(x)
    ]
    if snow.limit_pa is not None and snow.roof_load_pa:
        r = snow.roof_load_pa / snow.limit_pa if snow.limit_pa else None
        checks.append(CheckOut(name="roof snow", demand=snow.roof_load_pa, capacity=snow.limit_pa, unit="Pa", ratio=r,
                               ok=r is not None and r <= OK, case="snow lying", where="roof", holds_to_m_s=None))  # fmt: skip
    limit = _limit_out(x, found)
    levels = _levels(x.wind.gust, limit.gust_m_s if limit.gust_m_s is not None else float("nan"))
    subjects = _subjects(levels.level, ok=all(c.ok for c in checks))
    points = _points(x)
    stock = _stock(x, points)
    reasons = _reasons(x, checks, stock, snow, subjects, levels, limit)
    subject = SUBJECTS[d.anchorage.size_for]
    asks = {"rating-missing", "snow-rating-missing", *(code for code, _ in x.asks)}
    verdict: Verdict = subjects[subject]
    if any(r.code not in asks for r in reasons):
        verdict = "no-go"
    elif reasons:
        verdict = _worst_of(verdict, "unknown")
    if any(r.code in asks for r in reasons):
        subjects = {k: _worst_of(v, "unknown") for k, v in subjects.items()}
    largest = max(
        (c for c in checks if c.case not in ("none", "gust squared", "snow lying")),
        key=lambda c: c.ratio if c.ratio is not None else np.inf,
        default=None,
    )
    q, b = x.wind.pressure, x.base
    tipping = b.arms * b.cases.uplift - b.cases.moment @ b.edges.T
    weak = tables.weakest([r.how for r in used])
    return Plan(
        name=d.deployment.name, show_units=d.deployment.show_units, verdict=verdict, subject=subject, subjects=subjects,
        headline=_headline(x, verdict, limit, reasons), reasons=reasons,
        wind=WindOut(gust_m_s=x.wind.gust, velocity_pressure_pa=q, density_kg_m3=x.wind.density, method=d.wind.method,
                     exposure=x.wind.exposure, as_typed=_typed(d.wind.speed, f"{float(d.wind.speed):g} m/s")),
        demand=DemandOut(uplift_n=max(float(b.cases.uplift.max()), 0.0) * q,
                         sliding_n=float(np.hypot(*b.cases.push.T).max()) * q,
                         overturning_n_m=max(float(tipping.max()), 0.0) * q, case=largest.case if largest is not None else "none"),
        checks=checks,
        anchorage=AnchorageOut(
            kind=d.anchorage.kind, unit=x.hardware.unit_name, unit_mass_kg=x.hardware.unit_mass,
            unit_strength_n=x.hardware.tension, friction=x.hardware.friction, sized=x.sized is not None, points=points,
            total=TotalOut(units=sum(p.units for p in points), mass_kg=sum(p.mass_kg for p in points), stakes=sum(p.stakes for p in points)),
        ),
        limit=limit, levels=levels, snow=snow, straps=_straps(x, snow), stock=stock, alternatives=_alternatives(x),
        advice=advise(x), margins={k: getattr(x.factors, k) for k in ("set", "wind", "shelter", "ballast", "friction", "stake", "line")},
        provenance=ProvenanceOut(weakest=weak, weak=sorted({f"{r.table} {r.key}" for r in used if r.how == weak})),
        conditions=_conditions(x), assumptions=notes, cautions=cautions(),
    )  # fmt: skip
