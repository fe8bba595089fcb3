"""The comparison: every way put together and sized by the checks, the ones that are not beaten judged as deployments of their own.

A way beats another that costs as much or more and holds as much or less, and is no surer of it. What is printed of a way is what the
one door says of the file with its changes; nothing is estimated.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from anchorage.checks.checks import worst_pressure
from anchorage.checks.installation import Installation, assemble, heading_true, target_pressure
from anchorage.core import tables
from anchorage.core.closed import OK
from anchorage.core.errors import AnchorageError, InputFaults
from anchorage.core.out import Reason
from anchorage.core.say import later, numeral, say
from anchorage.core.told import in_words
from anchorage.core.units import read, show
from anchorage.core.words import WORST_LAST, all_of, named, so_many, spoken
from anchorage.deployment.contradictions import brought, stocked
from anchorage.deployment.models import Deployment, Spot
from anchorage.deployment.policy import GO_IN, MARGINS_OWN, own_margins_of, use_of
from anchorage.judging.plan import Assessment, assess, stock_words
from anchorage.judging.result import Plan
from anchorage.judging.snow_report import CASE
from anchorage.judging.verdict import bounds, fitting, most_at, rating
from anchorage.ways.after import follow, one_more
from anchorage.ways.arrange import Arranged, Choice, NoSolverError, changes_of, solvers
from anchorage.ways.candidates import Idea, Ideas, candidates, on_the_spot, with_the_same
from anchorage.ways.changes import put
from anchorage.ways.layout import in_the_way, laid, through_doors
from anchorage.ways.lull import when_calm
from anchorage.ways.result import AtPointOut, NextOut, NotOut, Verdict, WayOut, WaysOut
from anchorage.ways.work import Work, work_of

LOOSER = {"working": ("working", "people-in", "empty"), "people-in": ("people-in", "empty"), "empty": ("empty",), "set-up": ("set-up",)}  # fmt: skip
"""Uses that a shelter may be held for instead, the one that is meant first."""
ALL_OF_IT = later("everything brought, spread for the highest gust")
UNLIKE = later("everything brought, unlike on the two sides, for a gust that is higher still")
FASTEST = 60.0
"""Gust (m/s) over which nothing is looked for where neither rating nor policy is given."""
NEAR = 0.05
"""Gusts (m/s) and minutes that differ by less count as equal."""


@dataclass(frozen=True)
class Option:
    """A way that has been put together and sized: what it holds, and what it costs."""

    idea: Idea
    d: Deployment
    x: Installation
    use: str
    counts: NDArray[np.int_]
    gust: float
    work: Work
    sure: Verdict
    bound: float | None = None
    """No arrangement of what was brought, of these kinds at these points, holds more than this gust (m/s)."""
    least: float | None = None
    """None of them that does it takes fewer person-minutes; None where it is proved to be the one, or was not looked for."""

    @property
    def cost(self) -> float:
        """Person-minutes."""
        return self.work.person_min

    def beats(self, other: Option) -> bool:
        """Whether nobody who knows both would take the other."""
        if WORST_LAST.index(self.sure) > WORST_LAST.index(other.sure):
            return False
        no_worse = self.cost <= other.cost + NEAR and self.gust >= other.gust - NEAR
        return no_worse and (self.cost < other.cost - NEAR or self.gust > other.gust + NEAR)


def _held(x: Installation, counts: NDArray[np.int_]) -> float:
    return min([x.gust_held(counts), *(b.gust for b in bounds(x))])


def any_side(x: Installation, counts: NDArray[np.int_] | None = None) -> float | None:
    """The gust (m/s) that it holds from the side from which it holds least; None where wind from every side counts anyhow."""
    d = x.deployment
    if d.wind.bearing is None or heading_true(d.site) is None:
        return None
    return min([x.gust_held(counts, on=x.everywhere), *(b.gust for b in bounds(x))])


def _fault(e: AnchorageError) -> str:
    if isinstance(e, InputFaults):
        return e.faults[0].accepted
    return str(e)


def _short_of(x: Installation, counts: NDArray[np.int_]) -> tuple[list[str], bool]:
    """(what more is asked for than was brought, whether the stock says nothing of something)."""
    stock, out, unsaid = x.deployment.stock, [], False
    if not stock:
        return [], False
    own = x.deployment.anchorage.unit
    for kind, item in dict.fromkeys(stocked(h.kind, h.counted) for h in x.hard if h.kind != "none"):
        mine = np.array([stocked(h.kind, h.counted) == (kind, item) for h in x.hard])
        needed, have = int(counts[mine].sum()), brought(stock, kind, item, own)
        unsaid = unsaid or (have is None and needed > 0)
        if have is not None and needed > have:
            out.append(
                say(
                    "{needed} needed, {have} brought",
                    needed=so_many(needed, stock_words(kind, item)),
                    have=have,
                )
            )
    lines = sum(h.line_angle is not None and bool(n) for h, n in zip(x.hard, counts, strict=True))
    if "lines" in stock and lines > stock["lines"]:
        out.append(say("{lines} lines needed, {lines_2} brought", lines=lines, lines_2=stock["lines"]))
    return out, unsaid


def _too_many(x: Installation, counts: NDArray[np.int_], *, planned: bool) -> str:
    """Why these counts do not go to their points; nothing where they do."""
    fits = fitting(x, counts, planned=planned)
    if np.array_equal(fits, counts):
        return ""
    at = int(np.argmax(counts - fits))
    h, top = x.hard[at], int(counts[at])
    holds = show("speed", _held(x, fits), x.deployment.deployment.show_units, rounding="down")
    return say("{top} at {ids}, more than the {most_at} that a point can have; as many as it can have hold to {holds}", top=so_many(top, named(h.unit_name, 2)), ids=x.base.ids[at], most_at=most_at(h, planned=planned), holds=holds)  # fmt: skip


def _unfit(x: Installation, counts: NDArray[np.int_] | None, governed_by: str, *, planned: bool | None = None) -> str:  # fmt: skip
    """Why these counts cannot be had or cannot stand there, whatever they hold; nothing where they can."""
    if counts is None:
        return say(
            "no number of {counted} holds this: {governed_by}",
            counted=named(x.hardware.counted, 2),
            governed_by=spoken(governed_by),
        )
    if more := _too_many(x, counts, planned=x.sized is not None if planned is None else planned):
        return more
    if crossing := in_the_way(x.deployment.keep_clear, x.shape, x.hard, counts.tolist()):
        return crossing
    return "; ".join(_short_of(x, counts)[0])


def _too_weak(x: Installation, use: str, gust: float) -> str:
    """Why a gust that is held (m/s) is not enough for a use; nothing where it is."""
    system = x.deployment.deployment.show_units
    if x.policy.level_of(x.wind.gust, gust) not in GO_IN[use] or x.wind.gust > gust * OK:
        b = min(bounds(x), key=lambda b: b.gust, default=None)
        by = "" if b is None or b.gust > gust + NEAR else f" ({spoken(b.check.limits)})"
        return say(
            "it holds to {gust}{by}, which is enough for gusts to {upto} and not for {asked}",
            gust=show("speed", gust, system, rounding="down"),
            by=by,
            upto=show("speed", gust * x.policy.share_for(use) * (1 - 1e-6), system, rounding="down"),
            asked=show("speed", x.wind.gust, system, rounding="up"),
        )
    return ""


def _sure(x: Installation, counts: NDArray[np.int_]) -> Verdict:
    """Whether something has to be known first."""
    return "unknown" if x.asks or rating(x) is None or _short_of(x, counts)[1] else "go"


class Comparison:
    """Runs the ways of one deployment."""

    def __init__(self, a: Assessment, now: int | None = None) -> None:
        self.now = now
        self.a, self.d, self.use = a, a.deployment, use_of(a.deployment)
        self.options: list[Option] = []
        self.off: dict[str, str] = {}
        self.lulls: list[Option] = []
        """What holds most of all that was brought, where that is too little."""

    def run(self) -> list[Option]:
        """Every way, then the same anchors otherwise for the cheapest that does it; the ones that are not beaten, least work first."""
        ideas = candidates(self.d)
        self._all(ideas)
        self._arranged(Idea("", {}), self.a.installation)
        for spot in self.d.site.other:
            self._elsewhere(spot)
        best = min((o for o in self.options if o.use == self.use and o.sure != "no-go"), key=lambda o: (WORST_LAST.index(o.sure), o.cost), default=None)  # fmt: skip
        base = best.idea if best is not None else ideas.found[0]
        more = Ideas()
        more.found = with_the_same(self.d.shelter, self.d.door, self.d.wind, self.d.site, base, more)
        self._all(more)
        self._from_any_side()
        self._lull()
        return self.front()

    def _elsewhere(self, spot: Spot) -> None:
        there = on_the_spot(spot, self.d.site, self.d.point, self.d.deployment.show_units)
        try:
            x = assemble(put(self.d, there.changes), (self.use,))
        except AnchorageError:
            return  # the kinds that go there are ways of their own
        self._arranged(there, x)

    def _arranged(self, there: Idea, x: Installation) -> None:
        """Everything brought, spread for the highest gust and for the least work; what it holds is judged as any other way."""
        wind, most = x.wind, min((b.gust for b in bounds(x)), default=FASTEST)
        if not self.d.stock or wind.gust <= 0:
            return
        target = target_pressure(wind, x.policy.share_for(self.use))
        choices, runs = solvers(x, max(wind.pressure * (most / wind.gust) ** 2, 1.0))
        known = None if there.name else self._as_planned(choices)
        if known is not None:
            self._take(there, x, choices, known, str(ALL_OF_IT), None, everything=True)
        for run in runs:
            try:
                best = run.best()
                least = (
                    run.least_work(target, near=best.values)
                    if best is not None and best.bound >= target
                    else None
                )
            except NoSolverError as e:
                self.off[f"{there.name}{ALL_OF_IT}"] = str(e)
                return
            if best is not None and (known is None or self._shows_more(x, best, known)):
                self._take(
                    there,
                    x,
                    choices,
                    best,
                    str(ALL_OF_IT if known is None else UNLIKE),
                    wind.gust_of(best.bound),
                    everything=True,
                )
            if least is not None:
                self._take(there, x, choices, least, say("as little of what was brought as does it"), None)
            if best is None:
                words = all_of(so_many(c.brought, stock_words(c.kind, c.unit or x.deployment.anchorage.unit or "unit")) for c in choices if c.kind != "line-ballast")  # fmt: skip
                few = sum(c.brought for c in choices if c.kind != "line-ballast") < sum(
                    bool(able) for able in run.pattern
                )
                why = (
                    say(
                        "{words} are too few to hold every foot: name the feet that go without, and what is left is judged",
                        words=words,
                    )
                    if few
                    else say(
                        "no arrangement of {words} holds the least load that the code asks for", words=words
                    )
                )
                self.off[f"{there.name}{ALL_OF_IT}"] = why

    def _as_planned(self, choices: Sequence[Choice]) -> Arranged | None:
        """The spread of what was brought that every page prints where it is too little; None where it is not, or points differ in kind."""
        plan = self.a.plan
        kinds = {p.kind for p in plan.anchorage.points if p.kind != "none"}
        mine = [j for j, c in enumerate(choices) if c.unit is None and {c.kind} == kinds]
        spreads = [s.spread for s in plan.stock if s.spread]
        if len(mine) != 1 or len(spreads) != 1:
            return None
        spread = spreads[0]
        counts = np.array([spread.get(p.id, 0) for p in plan.anchorage.points])
        choice = tuple(mine[0] if n else -1 for n in counts)
        q = worst_pressure(self.a.installation.limits(counts))
        return Arranged(choice, counts, q, q)

    def _shows_more(self, x: Installation, best: Arranged, known: Arranged) -> bool:
        """Whether a reader would see a higher gust."""
        gusts = [min([x.wind.gust_of(f.q), *(b.gust for b in bounds(x))]) for f in (best, known)]
        more, less = (
            read("speed", show("speed", g, self.d.deployment.show_units, rounding="down")) for g in gusts
        )
        return more > less

    def _take(self, there: Idea, x: Installation, choices: Sequence[Choice], found: Arranged, words: str, bound: float | None, *, everything: bool = False) -> None:  # fmt: skip
        used = {
            j: int(sum(n for c, n in zip(found.choice, found.counts, strict=True) if c == j))
            for j in range(len(choices))
        }
        unit = x.deployment.anchorage.unit or "unit"
        on_line = [j for j, n in used.items() if n and choices[j].kind == "line-ballast"]
        names = [so_many(n, stock_words(choices[j].kind, choices[j].unit or unit)) for j, n in used.items() if n and j not in on_line]  # fmt: skip
        names += [say("{weights} on lines", weights=so_many(used[j], stock_words(choices[j].kind, choices[j].unit or unit))) for j in on_line]  # fmt: skip
        gone = {c.of: sum(used[j] for j, o in enumerate(choices) if o.of == c.of) for c in choices}
        brought_ = {c.of: c for c in reversed(choices)}
        left = [so_many(c.brought - gone[k], stock_words(c.kind, c.unit or unit)) for k, c in brought_.items() if everything and c.brought > gone[k]]  # fmt: skip
        spare = (
            (say("{left} are left and raise nothing there: keep them as spares.", left=all_of(left)),)
            if left
            else ()
        )
        idea = there.also(f"{all_of(names)} - {words}", changes_of(x, choices, found), spare)
        try:
            d = put(self.d, idea.changes)
            y = assemble(d, (self.use,))
        except AnchorageError as e:
            self.off[idea.name] = _fault(e)
            return
        gust = _held(y, y.counts)
        why = _unfit(y, y.counts, "", planned=True) or _too_weak(y, self.use, gust)
        o = replace(self._option(idea, d, y, self.use, y.counts, gust), bound=bound, least=found.least)
        if not why:
            self.options.append(o)
        else:
            self.off[idea.name] = why
            if everything:
                self.lulls.append(o)

    def _from_any_side(self) -> None:
        """Where nothing does it in the wind that is forecast: the spread that holds most from any side, for a lull may come from any."""
        if self.d.wind.bearing is None or any(o.use == self.use for o in self.options):
            return
        there = Idea(say("wind from any side: "), {"wind.from": None})
        try:
            x = assemble(put(self.d, there.changes), (self.use,))
        except AnchorageError:
            return
        self._arranged(there, x)

    def _lull(self) -> None:
        """Where nothing does it: the best that there is, in less wind, from whichever side that comes."""
        w, share = self.d.wind, self.a.installation.policy.share_for(self.use)
        best = max(self.lulls, key=lambda o: any_side(o.x, o.counts) or o.gust, default=None)
        if best is None or any(o.use == self.use for o in self.options) or w.method != "physics":
            return
        system = self.d.deployment.show_units
        holds = any_side(best.x, best.counts) or best.gust
        upto = show("speed", holds * share * (1 - 1e-6), system, rounding="down")
        keys: dict[str, object] = {"wind.speed": upto}
        if w.bearing is not None:
            keys["wind.from"] = None
        if w.speed_is != "forecast-gust":
            keys |= {"wind.speed_is": "forecast-gust"}
            keys |= {
                f"wind.{k}": None for k in ("averaging", "height", "beaufort") if k in w.model_fields_set
            }
        need = say("Wait for a lull: no forecast gust over {upto} until it is down again.", upto=upto)
        idea = replace(
            best.idea,
            name=say("ONLY IN A LULL, gusts to {upto}: {idea}", upto=upto, idea=best.idea.name),
            changes={**best.idea.changes, **keys},
            needs=(need, *best.idea.needs),
        )
        try:
            d = put(self.d, idea.changes)
            x = assemble(d, (self.use,))
        except AnchorageError:
            return
        gust = _held(x, x.counts)
        if float(x.wind.gust) > 0 and not (
            _unfit(x, x.counts, "", planned=True) or _too_weak(x, self.use, gust)
        ):
            if self.now is not None and (calm := when_calm(d, self.now)):
                idea = replace(idea, needs=(calm, *idea.needs))
            turn = x.wind.gust_of(1.0) / best.x.wind.gust_of(
                1.0
            )  # the number may stand for another pressure now
            turned = "wind.from" in keys and best.d.wind.bearing is not None
            bound = None if best.bound is None or turned else best.bound * turn
            self.options.append(replace(self._option(idea, d, x, self.use, x.counts, gust), bound=bound))

    def front(self) -> list[Option]:
        """The ways that no other beats."""
        kept: list[Option] = []
        for o in sorted(self.options, key=lambda o: (o.cost, -o.gust, WORST_LAST.index(o.sure))):
            if not any(k.beats(o) or self._same(k, o) for k in kept):
                kept = [k for k in kept if not o.beats(k)]
                kept.append(o)
        return sorted(kept, key=lambda o: o.cost)

    @staticmethod
    def _same(a: Option, b: Option) -> bool:
        near = abs(a.cost - b.cost) <= NEAR and abs(a.gust - b.gust) <= NEAR
        return near and WORST_LAST.index(a.sure) <= WORST_LAST.index(b.sure)

    def _all(self, ideas: Ideas) -> None:
        self.off |= ideas.off
        for idea in ideas.found:
            self._one(idea)

    def _one(self, idea: Idea) -> None:
        uses = LOOSER[self.use]
        try:
            d = put(self.d, idea.changes)
            x = (
                self.a.installation
                if idea.as_it_is
                else assemble(d, tuple(dict.fromkeys((*uses, use_of(d)))))
            )
        except AnchorageError as e:
            self.off[idea.name] = _fault(e)
            return
        built = x.sized is None
        for use in uses[:1] if built else uses:
            need = x.needs[use]
            counts = x.counts if built else need.counts
            why, gust = _unfit(x, counts, need.governed_by), 0.0
            if not why and counts is not None:
                gust = _held(x, counts)
                why = _too_weak(x, use, gust)
            if idea.nobody_through and use in ("working", "set-up"):
                continue
            if why or counts is None:
                if use == self.use:
                    self.off[idea.name] = why
                continue
            self.options.append(self._option(idea, d, x, use, counts, gust))

    def _option(self, idea: Idea, d: Deployment, x: Installation, use: str, counts: NDArray[np.int_], gust: float) -> Option:  # fmt: skip
        if use != self.use:
            out = show("speed", x.policy.people_out * gust, d.deployment.show_units, rounding="down")
            words, need = (
                (
                    say("EMPTY ONLY, everyone out from {out}: ", out=out),
                    say("Everybody is out from {out} on, and it stands empty.", out=out),
                )
                if use == "empty"
                else (
                    say("nobody comes or goes: "),
                    say("Doors shut, nobody new in, everybody out from {out}.", out=out),
                )
            )
            idea = replace(
                idea,
                name=words + idea.name,
                changes={**idea.changes, "anchorage.size_for": use},
                needs=(need, *idea.needs),
            )
            d = put(self.d, idea.changes)
        work = work_of(
            d.anchorage,
            d.crew,
            d.point,
            x.hard,
            x.base.ids,
            [int(n) for n in counts],
            more=idea.minutes,
            carry=idea.carry,
        )
        return Option(idea, d, x, use, counts, gust, work, _sure(x, counts))


def _points(plan: Plan) -> list[AtPointOut]:
    return [
        AtPointOut(id=p.id, kind=p.kind, unit=p.item, units=p.units or p.stakes)
        for p in plan.anchorage.points
    ]


def gives_first(plan: Plan) -> str:
    """What gives first and where, in words."""
    limit = plan.limit
    if limit.governed_by != limit.anchorage_governed_by:
        return limit.governed_by
    return f"{limit.governed_by} ({limit.where})"


def _needs(o: Option, plan: Plan, other: float | None) -> list[str]:
    """What has to be known first, then what has to be true. other: the gust that it holds from any side, if that is less."""
    turn = list[str]()
    if other is not None and o.d.wind.bearing is not None:
        gust = show("speed", other, o.d.deployment.show_units, rounding="down")
        turn = [say("The wind stays within 45° of {bearing}°: from any other side this spread holds to {gust}.", bearing=numeral(o.d.wind.bearing, "g"), gust=gust)]  # fmt: skip
    asked = [str(text) for _, text in o.x.asks]
    asked += [r.text for r in plan.reasons if r.code in ("rating-missing", "stock-missing")]
    doors = through_doors(o.d.door, o.x.shape, o.x.hard, o.counts.tolist())
    clear = [
        say(
            "No line runs across the way out of the {wall} door: where in the wall it is, is not in the file.",
            wall=spoken(w),
        )
        for w in doors
    ]
    if o.d.deployment.use == "decon" and any(h.line_angle is not None for h in o.x.hard):
        clear.append(say("No line crosses the way of people from the hot to the clean side."))
    setup, slow = o.d.times.setup, list[str]()
    if setup is not None and o.work.minutes * 60 > float(setup):
        most = show("time", float(setup), o.d.deployment.show_units)
        slow = [say("More hands or more time: {minutes} min with {people} people, and [times] setup says {most}.", minutes=o.work.minutes, people=o.work.crew, most=most)]  # fmt: skip
    first = [t for t in (plan.unjudged, own_margins_of(o.x.policy)) if t is not None]
    return list(
        dict.fromkeys(
            [*in_words(first), *turn, *asked, *slow, *o.idea.needs, *clear, *in_words(plan.conditions)]
        )
    )


def way_out(o: Option, known: Assessment | None = None) -> tuple[WayOut, str]:
    """A way as the one door judges it, and what that has against it. known: of the file as it is."""
    a = known if known is not None and o.d is known.deployment else assess(o.d)
    plan, x = a.plan, a.installation
    after, more, other = follow(x), one_more(x, plan.limit.anchorage_gust_m_s), any_side(x)
    if other is not None and plan.limit.gust_m_s is not None and other >= plan.limit.gust_m_s - NEAR:
        other = None
    made = WayOut(
        name=o.idea.name, changes=dict(o.idea.changes), verdict=plan.verdict, use=o.use, points=_points(plan),
        total=plan.anchorage.total.units + plan.anchorage.total.stakes, mass_kg=o.work.mass_kg, person_min=round(o.work.person_min, 1), crew=o.work.crew,
        water_kg=o.work.water_kg, hands=o.work.hands, loads=o.work.loads, gust_m_s=plan.limit.gust_m_s, gives_first=gives_first(plan), bound_m_s=o.bound,
        least_min=o.least, any_side_m_s=other, lines=laid(x), needs=_needs(o, plan, other), fails_next=[] if after is None else [NextOut(point=g.where, gust_m_s=g.gust) for g in after.then],
        holds_on=None if after is None else after.holds_on, first_nominal_m_s=None if after is None else after.first.gust,
        one_more=None if more is None else NextOut(point=more.point, gust_m_s=more.gust),
    )  # fmt: skip
    return made, _against_it(plan)


ANYWHERE = (
    MARGINS_OWN,
    "record-level",
    "setup-policy",
    "half-built",
    "cover-unsaid",
    "half-built-unknown",
    "snow-rating-missing",
    "pond-unknown",
    "pond-grows",
    "level-snow",
)
"""Reasons that stand whatever holds the shelter down."""


def whatever(plan: Plan) -> list[Reason]:
    """What stands in the way of go whatever holds it."""
    snow = {c.check.code for c in plan.checks if c.case == CASE and not c.ok}
    return [r for r in plan.reasons if r.code in ANYWHERE or r.code in snow]


def _against_it(plan: Plan) -> str:
    """What stands against a way that was thought to do it: a check that sizing does not know, such as what the ground or a leg bears."""
    if plan.verdict != "no-go":
        return ""
    own = {r.code for r in whatever(plan)}
    return next((r.text for r in plan.reasons if r.code not in own), "")


def _judged(run: Comparison, kept: list[Option]) -> list[WayOut]:
    """The ways of the list by the one door; what that says no to goes, and what it had beaten is looked at again."""
    done: dict[int, tuple[Option, WayOut, str]] = {}
    while True:
        for o in kept:
            if id(o) not in done:
                done[id(o)] = (o, *way_out(o, run.a))
        bad = [o for o in kept if done[id(o)][2]]
        if not bad:
            return [done[id(o)][1] for o in kept]
        for o in bad:
            run.off[o.idea.name] = done[id(o)][2]
            run.options = [k for k in run.options if k is not o]
        kept = run.front()


def ways(a: Assessment, now: int | None = None) -> WaysOut:
    """Compare every way to hold a deployment down that has been judged as it is. now: seconds, for when a lull is forecast."""
    with tables.collect() as used, tables.trying():
        run = Comparison(a, now)
        listed = _judged(run, run.run())
    listed = sorted(listed, key=lambda w: (w.person_min, -(w.gust_m_s or 0.0)))
    memory = sorted({r.key for r in used if r.table == "packing-work" and r.how == "memory"})
    return WaysOut(
        name=a.plan.name, show_units=a.plan.show_units, verdict=a.plan.verdict, use=run.use, gust_m_s=a.plan.wind.gust_m_s, policy=a.plan.policy, ways=listed,
        not_=[NotOut(name=n, why=w) for n, w in run.off.items()], beaten=max(len(run.options) - len(listed), 0),
        whatever=whatever(a.plan), from_memory=memory, stock_given=a.deployment.stock is not None,
    )  # fmt: skip


def as_data(found: WaysOut) -> dict[str, object]:
    """The JSON of a comparison."""
    data = found.model_dump(mode="json")
    data["not"] = data.pop("not_")
    return {"schema": 1, **data}
