"""A Plan as lines of text of at most 72 columns, no colour. Everything is in the Plan; nothing is computed here."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterable, Sequence

from anchorage.checks.outcome import GroupOut, pull_first
from anchorage.core.out import Reason
from anchorage.core.plain import WIDE, by_row, columns, cut, inert, table, wrap
from anchorage.core.say import capital, later, numeral, say
from anchorage.core.told import in_words
from anchorage.core.units import show
from anchorage.core.words import LEVELS, VERDICTS, named, out_of, several, snow_kind, spoken, torn_words
from anchorage.deployment.policy import RANK, SUBJECTS, against
from anchorage.judging.gusts import (
    FOR_ALL,
    cannot_stand,
    coming_down,
    half_words,
    held_text,
    lull,
    of_plan,
    printed,
    set_up_below,
)
from anchorage.judging.plan import SQUARED
from anchorage.judging.result import AlarmOut, CheckOut, Plan, StockOut
from anchorage.judging.verdict import no_lull
from anchorage.paper.site_tests import evidence_lines
from anchorage.paper.sketch import Around, compass, count, sketch

GROUPS = {
    "corner": (later("corner"), later("corners")),
    "side": (later("side point"), later("side points")),
    "end": (later("end point"), later("end points")),
}
OF_MANY = {
    "corner": later("{n} at each of {k} corners"),
    "side": later("{n} at each of {k} side points"),
    "end": later("{n} at each of {k} end points"),
}
OF_ONE = {
    "corner": later("{n} at 1 corner"),
    "side": later("{n} at 1 side point"),
    "end": later("{n} at 1 end point"),
}
AT_EACH = {
    "corner": later("{n} at each corner"),
    "side": later("{n} at each side point"),
    "end": later("{n} at each end point"),
}
EACH_OTHER = later("{n} at each {at}")
"""A whole message for each kind of point: in other languages its name changes the words beside it."""
NOWHERE = Around()
RULES = ("CTS 7", "EN 13782", later("local rule"))
"""Rules for tents in snow that are shown whether they are reached or not."""
AMOUNTS = {"N": "force", "N*m": "moment", "Pa": "pressure", "m": "length"}


def rule(title: str, char: str = "-") -> str:
    """A line across with a title in it."""
    return f"{char * 2} {title} ".ljust(WIDE, char)


def bullets(texts: Sequence[str]) -> list[str]:
    """One item a text."""
    return [line for text in texts for line in wrap(text, "- ")]


def load_words(c: CheckOut) -> str:
    """How far a check is used up, marked where it is over."""
    text = say("no hold") if c.ratio is None else f"{c.ratio * 100:.1f} %"
    return text if c.ok else say("OVER {text}", text=text)


def spread_of(counts: Iterable[tuple[str, int]]) -> list[str]:
    """``8 at each of 4 corners``, ``1 at 1 side point``. counts: group and number of each point."""
    return [say(OF_MANY[g] if k > 1 else OF_ONE[g], n=n, k=k) for (g, n), k in Counter(counts).items()]


def group_words(counts: Iterable[tuple[str, int]]) -> str:
    """The same in one."""
    return ", ".join(spread_of(counts))


def spread_parts(plan: Plan, item: StockOut) -> str:
    """How only what was brought of a thing is spread: ``6 at each of 4 corners, 8 at each of 4 side points``."""
    return group_words(
        (p.group, item.spread[p.id]) for p in plan.anchorage.points if p.usable and p.id in item.spread
    )


def unit_words(unit: str, count: int) -> str:
    """Name of a unit in words, shown inert: water-barrel, 2 -> water barrels."""
    return named(inert(unit), count)


def _at_each(groups: Sequence[GroupOut]) -> list[str]:
    """``10 at each corner``; where the points differ, the group is named ``corner, sandbag``."""
    if len(groups) > 1 and len({g.each for g in groups}) == 1 and not any(g.item for g in groups):
        return [say("{next} at each point", next=groups[0].each)]
    return [
        say(
            AT_EACH.get(g.at, EACH_OTHER),
            n=f"{g.each} {unit_words(g.item, g.each)}" if g.item else g.each,
            at=g.at,
        )
        for g in groups
    ]


def _number(count: int | None) -> str:
    return say("no number is enough") if count is None else str(count)


def strength_words(plan: Plan) -> str:
    """What one unit is good for, its line, and the friction under the frame, where all points have the same."""
    a, system = plan.anchorage, plan.show_units
    if len({p.item for p in plan.anchorage.points if p.usable and p.kind != "none"}) > 1:
        return say("the points differ, see the working of holding")
    one = say("one {unit_words}", unit_words=unit_words(a.unit, 1))
    if a.unit_mass_kg:
        one += f" {show('mass', a.unit_mass_kg, system)}"
    if a.unit_strength_n:
        one += say(
            " {unit_strength_n} ultimate along its line",
            unit_strength_n=show("force", a.unit_strength_n, system, rounding="down"),
        )
    if a.line_strength_n is not None:
        one += say(
            "; weakest of the line {line_strength_n}, {line_weakest}",
            line_strength_n=show("force", a.line_strength_n, system, rounding="down"),
            line_weakest=spoken(a.line_weakest),
        )
    return say("{one}; friction {friction}", one=one, friction=numeral(a.friction, "g"))


def alarm_words(a: AlarmOut) -> str:
    """A rule with its figures, share and level; a mark of the maker's figure with whether it is reached."""
    if a.rule in RULES:
        return a.text
    return f"{(say('REACHED') if a.reached else say('Not reached'))}: {a.text}"


def snow_share(plan: Plan) -> str:
    """``4.2 psf on the roof of 9.0 psf that the maker gives, 46 %: NORMAL; by rule PEOPLE OUT. Clear it.``"""
    s = plan.snow
    at = against(plan.policy, s.roof_load_pa, s.limit_pa, plan.show_units, "load")
    rule_ = (
        say("; by rule {level}", level=LEVELS[s.level]) if RANK.index(s.level) > RANK.index(at.level) else ""
    )
    due = say(" Clear it.") if rule_ or at.level != "normal" else ""
    share = "" if at.percent is None else f", {at.percent} %"
    return say(
        "{gust} on the roof of {limit} that the maker gives{share}: {level}{rule}.{due}",
        gust=at.gust,
        limit=at.limit,
        share=share,
        level=LEVELS[at.level],
        rule=rule_,
        due=due,
    )


def rule_limits(plan: Plan) -> str:
    """What the rules that were chosen allow, where they allow less than the maker does or count in depth."""
    marks = [
        (a, against(plan.policy, 0.0, a.at, plan.show_units, a.measure).limit)
        for a in plan.snow.alarms
        if a.rule in RULES
    ]
    return (
        say(
            " By rule: {marks}; the lower counts.",
            marks=", ".join((f"{mark} ({a.rule})" for a, mark in marks)),
        )
        if marks
        else ""
    )


def use_words(plan: Plan, *, brief: bool = False) -> list[str]:
    """What each use takes in the gust that was judged: people inside first, empty last and never without its words.

    brief: without how they are spread.
    """
    at, by_use = of_plan(plan), {a.use: a for a in plan.alternatives}
    out = show("speed", plan.wind.gust_m_s * plan.policy.people_out, plan.show_units, rounding="down")
    lines = []
    for use in ("people-in", "working", "set-up", "empty"):
        a = by_use.get(use)
        if a is None:
            continue
        lead = {
            "people-in": say("PEOPLE INSIDE up to a forecast {gust}", gust=at.gust),
            "working": say("WORK, people coming and going, up to a forecast {gust}", gust=at.gust),
            "set-up": say("SET UP in gusts to {gust}", gust=at.gust)
            if plan.subjects.get(SUBJECTS["set-up"]) == "go"
            else say("SET UP (NO-GO half built in gusts to {gust}), once finished", gust=at.gust),
            "empty": say("EMPTY ONLY"),
        }[use]
        unit = (
            plan.anchorage.unit
            if len({p.item for p in plan.anchorage.points if p.usable and p.kind != "none"}) == 1
            else "unit"
        )
        text = (
            say("{lead}: no number of {unit_words} is enough", lead=lead, unit_words=unit_words(unit, 2))
            if a.total is None
            else f"{lead}: {a.total}"
        )
        if a.total and not brief:
            text += f" ({', '.join(_at_each(a.groups))})"
        if not a.does_it:
            text += (
                say(" (NOT POSSIBLE)")
                if brief
                else say(", which is more than a point can have: it does not do it here")
            )
        lines.append(text + (say(" - everyone out from {out}", out=out) if use == "empty" else "") + ".")
    return lines


CURES_NOT = ("level-snow", "pond-grows", "inspection-failed", "record-level", "coming-down", "going-up")
"""Reasons of a no-go that no number of weights or stakes takes away, beside checks of what is no anchor."""


def counts_words(plan: Plan, *, brief: bool = False) -> list[str]:
    """What each use takes; first, where it is so, that no count of them makes it a go."""
    by = {(c.check, c.where): c for c in plan.checks}

    def stays(r: Reason) -> bool:
        c = by.get(r.of) if r.of is not None else None
        return r.code in CURES_NOT or (c is not None and (c.holds_to_m_s is None or c.case == SQUARED))

    why = next((r.text for r in plan.reasons if stays(r)), "") if plan.verdict == "no-go" else ""
    uses = use_words(plan, brief=brief)
    if not why:
        return uses
    if brief and uses:
        return [say("NO COUNT CURES IT. {use}", use=uses[0]), *uses[1:]]
    return [say("NO COUNT CURES IT: {why}", why=why), *uses]


def range_texts(plan: Plan) -> list[str]:
    """What the count may come to, then a box for everything that has to be seen first; nothing where it is one number."""
    if plan.range is None:
        return []
    most = say("No number is enough") if plan.range.most_units is None else str(plan.range.most_units)
    head = say(
        "{most} until checked; {least_units} only if ALL of this is seen:",
        most=most,
        least_units=plan.range.least_units,
    )
    return [
        head,
        *(f"[ ] {capital(str(text))}." for text in plan.range.seen),
        say("Seen by (name, time): __________________"),
    ]


def range_brief(plan: Plan) -> list[str]:
    """The same where there is no room for every box: never the low figure without them, but what to find out first."""
    if plan.range is None or not plan.to_find_out:
        return []
    most = say("No number is enough") if plan.range.most_units is None else str(plan.range.most_units)
    first = plan.to_find_out[0]
    return [
        say(
            "{most} until checked. Look first: {first}: {total}. Boxes to sign: --full.",
            most=most,
            first=first.text,
            total=first.total,
        )
    ]


def range_words(plan: Plan) -> list[str]:
    """The range as lines."""
    texts = range_texts(plan)
    if not texts:
        return []
    head, *boxes, seen = texts
    lines = [*wrap(head), *(x for box in boxes for x in wrap(box, "", "    ")), *wrap(seen)]
    return ["", *lines, say("Then say it in the file and judge it anew.")]


def find_out_words(plan: Plan) -> list[str]:
    """The lines of what to find out or to do, best first."""
    out = []
    for o in plan.to_find_out:
        saved = "" if o.saves is None else say(", {saves} fewer", saves=o.saves)
        out.append(f"{capital(o.text)}: {o.total}{saved}.")
    return out


def pull_words(plan: Plan) -> str:
    """That three are pulled before more are driven, where that would save much; empty where not."""
    o = pull_first(plan.to_find_out) if plan.anchorage.sized else None
    if o is None:
        return ""
    theory = say("no number is enough") if o.saves is None else str(o.total + o.saves)
    return say("{text}, {total} do; by theory {theory}.", text=capital(o.text), total=o.total, theory=theory)


def moves_most(p: Plan) -> str:
    """The figure without a publication that moves this result most, and what becomes of it then."""
    m = p.provenance.most
    if m is None:
        return say("No weak figure moves this by a thousandth of the gust or more.")
    become = [say("{n} needed, now {now}", n=m.units, now=m.units_now)] if m.units is not None and m.units != m.units_now else []  # fmt: skip
    gust, now = m.gust_m_s, p.limit.gust_m_s
    if gust is None:
        become.append(say("no limiting gust can be told"))
    elif now is not None and gust < now and not (become and p.anchorage.sized):
        become.append(say("holds to {gust}, now {now}", gust=show("speed", gust, p.show_units, digits=1), now=show("speed", now, p.show_units, digits=1)))  # fmt: skip
    if m.ratio is not None and m.ratio > (p.snow.ratio or 0.0):
        become.append(say("snow at {share} % of what the roof carries", share=round(100 * m.ratio)))
    return say("Weak figure that moves this most: {row} ({how}). At {worse} instead of {value}: {become}.", row=m.row, how=m.how, worse=m.worse, value=m.value, become="; ".join(become))  # fmt: skip


def weaker_side(plan: Plan) -> str:
    """Where the gust that it holds is for the side of the wind in the file alone: from where it holds least, and how much; else nothing."""
    sides, held = [(g, b) for b, g in plan.by_bearing], plan.put_up_m_s
    if not sides or (held is not None and min(sides)[0] >= held * (1 - 1e-9)):
        return ""
    return say(
        "ONLY for wind from the side that the file gives: from {side} it holds to {limit}, and the outlook goes by that.",
        side=compass(min(sides)[1]),
        limit=printed(plan, min(sides)[0]),
    )


def setting_up(plan: Plan) -> list[str]:
    """Why it does not go up, where that is what the headline says first."""
    if plan.leads == plan.verdict or not plan.set_up_reasons:
        return []
    return [say("Setting up: {note}", note=plan.set_up_reasons[0].text)]


class Page:
    """One Plan being written."""

    def __init__(self, plan: Plan, around: Around) -> None:
        self.plan, self.around, self.system = plan, around, plan.show_units
        self.found = of_plan(plan)
        points = plan.anchorage.points
        self.items = list(dict.fromkeys(p.item for p in points if p.usable and p.kind != "none"))
        """What is counted at the points; more than one where the points differ."""
        self.unit = self.items[0] if len(self.items) == 1 else "unit"
        self.stakes = plan.anchorage.kind == "stakes"

    def limit(self, gust: float | None) -> str:
        """A gust that something takes, rounded down."""
        return printed(self.plan, gust)

    def gust(self) -> str:
        """The gust that was judged, rounded up."""
        return self.found.gust

    @property
    def total(self) -> int:
        return self.plan.anchorage.total.stakes + self.plan.anchorage.total.units

    # 1 and 2: the verdict and why

    def verdict(self) -> list[str]:
        p = self.plan
        lines = ["=" * WIDE, *wrap(p.headline), "=" * WIDE, *wrap(p.name, say("For: "))]
        rows = [
            (say("  to {use}:", use=spoken(k)), VERDICTS[v]) for k, v in p.subjects.items() if k != p.subject
        ]
        return [*lines, *table([*rows, (say("  weakest figure used:"), spoken(p.provenance.weakest))], "ll")]

    def share(self) -> str:
        """``32 of 40 mph, 80 %: PEOPLE OUT``."""
        return self.found.sentence

    def why(self) -> list[str]:
        lines = ["", rule(say("WHY")), *bullets(setting_up(self.plan)), *self.over()]
        if self.plan.ground_worse is not None and self.plan.verdict != "go":
            lines += bullets([str(self.plan.ground_worse)])
        lines += bullets([r.text for r in self.plan.reasons if not r.exceeded])
        if not any(r.by_level for r in self.plan.reasons):
            lines += bullets([self.share() + "."])
        if self.plan.levels.level == "secure" and self.around.actions:
            lines += [say("  SECURE means:"), *(x for a in self.around.actions for x in wrap(a, "  - "))]
        return lines

    def over(self) -> list[str]:
        """What is over its limit, as lines."""
        return bullets(self.exceeded())

    def exceeded(self) -> list[str]:
        """What is over its limit: the worst in its own sentence, the others by name."""
        exceeded = [r for r in self.plan.reasons if r.exceeded]
        first = [r.text for r in exceeded]
        failed = sorted(
            (c for c in self.plan.checks if not c.ok),
            key=lambda c: -math.inf if c.ratio is None else -c.ratio,
        )
        if len(first) < 2 or not failed:
            return first
        worst = failed[0]
        own = [r.text for r in exceeded if r.of == (worst.check, worst.where)]
        if not own:
            return first
        others = ", ".join(
            f"{c.check} {'' if c.holds_to_m_s is None else self.limit(c.holds_to_m_s)}".strip()
            for c in failed[1:]
        )
        return [own[0], say("Also over: {others}.", others=others)]

    # 3: what to place where

    def spread(self) -> list[str]:
        """The counts as lines."""
        return [x for text in self.counts() for x in wrap(text)]

    def counts(self) -> list[str]:
        """``12 at each of 12 points = 144 bags``, by groups of equal counts; a sentence for each thing counted."""
        points = self.plan.anchorage.points
        out = []
        for item in self.items:
            mine = [p for p in points if p.item == item and p.usable and p.kind != "none"]
            if len({count(p) for p in mine}) == 1 and len(mine) == len(points):
                parts = [say("{mine} at each of {points} points", mine=count(mine[0]), points=len(points))]
            else:
                parts = spread_of((p.group, count(p)) for p in mine)
            total = sum(map(count, mine))
            out.append(f"{', '.join(parts)} = {total} {unit_words(item, total)}")
        none = [p.id for p in points if not p.usable or p.kind == "none"]
        return [*out, say("Nothing holds at {none}.", none=", ".join(none))] if none else out

    def place(self) -> list[str]:
        p, a = self.plan, self.plan.anchorage
        lines = ["", rule(say("WHAT TO PLACE WHERE") if a.sized else say("WHAT STANDS WHERE"))]
        if any(r.code == "cannot-be-held" for r in p.reasons):
            lines += [say("Nothing to place: no number of them holds this.")]
        elif self.total == 0:
            lines += [
                say("Nothing is placed.")
                if not a.sized
                else say("Nothing is needed beyond the shelter's own weight.")
            ]
        else:
            if p.subject == SUBJECTS["empty"]:
                lines += [x for text in (use_words(p)[0], use_words(p)[-1]) for x in wrap(text, "", "  ")]
            lines += [*(wrap(cannot_stand(p, full=True)) if p.does_not_do else ()), *self.spread()]
        if a.line_angle_deg is not None and len(self.items) == 1:
            lines += [
                say(
                    "On guy lines at {line_angle_deg} deg above the ground.",
                    line_angle_deg=numeral(a.line_angle_deg, "g"),
                )
            ]
        if a.total.mass_kg:
            each, mass = (
                show("mass", m, self.system, rounding="up") for m in (a.unit_mass_kg, a.total.mass_kg)
            )
            lines += [
                say(
                    "{mass} in all{each_each}.",
                    mass=mass,
                    each_each=say(", {each} each", each=each) if len(self.items) == 1 else "",
                )
            ]
        return [*lines, *range_words(p), "", *sketch(p, self.around), "", *self.points(), "", *self.needs()]

    def points(self) -> list[str]:
        """A line a point. Where the points differ, each count says of what."""
        one = len(self.items) == 1
        head = (
            say("id"),
            say("place"),
            say("wind pulls up"),
            say("wind pushes"),
            cut(unit_words(self.unit, 2), 20) if one else say("what"),
        )
        rows = [head]
        for p in self.plan.anchorage.points:
            what = str(count(p)) if one else cut(f"{count(p)} {unit_words(p.item, count(p))}", 24)
            held = what if p.usable and p.kind != "none" else say("none")
            rows.append((p.id, GROUPS[p.group][0], self.force(p.uplift_n), self.force(p.sliding_n), held))
        return table(rows, "llrrr" if one else "llrrl")

    def force(self, newtons: float) -> str:
        return show("force", newtons, self.system, rounding="up")

    def needs(self) -> list[str]:
        return [say("What each use asks for:"), *bullets(counts_words(self.plan))]

    # 4: gusts

    def gusts(self) -> list[str]:
        lines = [
            "",
            rule(say("GUSTS (3 s, at 33 ft)") if self.system == "us" else say("GUSTS (3 s, at 10 m)")),
        ]
        lines += [x for text in self.held() for x in wrap(text, "", "  ")]
        return [*lines, *self.what_if(), "", *self.levels(), *self.bearings()]

    def held(self) -> list[str]:
        """What gust it holds to, what gives first, and what else bounds it; what is of least weight last."""
        lim = self.plan.limit
        only = say(" (anchorage only)") if lim.anchorage_only else ""
        by_anchorage = lim.gust_m_s == lim.anchorage_gust_m_s
        short = self.plan.short
        gives = (say("Gives first") if by_anchorage else say("Set by")) + f": {spoken(lim.governed_by)}{f', {spoken(lim.where)}' if by_anchorage else ''}."  # fmt: skip
        if self.plan.capped is not None:
            return [say("Holds to {limit}.", limit=held_text(self.plan))]
        first = gives if short is None else f"{say('Gives first')}: {spoken(short.gives_first)}."
        out = [say("Holds to {limit}{only}. ", limit=held_text(self.plan), only=only) + first]
        side = weaker_side(self.plan)
        out[0] += f" {side}" if side else ""
        out += [] if short is None else [f"{FOR_ALL} {gives}"]
        if not by_anchorage:
            out.append(
                say(
                    "The anchorage alone holds to {limit}. Gives first: {anchorage_governed_by}, {where}.",
                    limit=self.limit(lim.anchorage_gust_m_s),
                    anchorage_governed_by=spoken(lim.anchorage_governed_by),
                    where=spoken(lim.where),
                )
            )
        if lim.foot_gust_m_s is not None:
            out.append(
                say(
                    "{foot} holds nothing: this foot lifts from {limit}. The rest alone, if the frame spans it, holds to {limit_2}.",
                    foot=lim.foot,
                    limit=self.limit(lim.foot_gust_m_s),
                    limit_2=self.limit(lim.spanned_gust_m_s),
                )
            )
        if lim.anchorage_only:
            out.append(say("What the frame itself takes is not known: ask the maker."))
        if self.plan.asks("line-rating-missing"):
            out.append(say("What lines and loops take is not known: they may break before this."))
        if lim.secured_gust_m_s is not None and short is None:
            out.append(
                say("With every opening shut it holds to {limit}.", limit=self.limit(lim.secured_gust_m_s))
            )
        if (torn := lim.torn_open) is not None:
            out.append(torn_words(torn.doors, None if torn.gust_m_s is None else self.limit(torn.gust_m_s)))
        return out

    def what_if(self) -> list[str]:
        """Half built, and with one anchor gone."""
        half, lost, out = self.plan.half_built, self.plan.lost_anchor, list[str]()
        if half is not None:
            holds = (
                say("cannot be judged")
                if half.gust_m_s is None
                else say("holds to {limit}", limit=half_words(self.plan))
            )
            out += wrap(say("Half built it {holds}. {note}", holds=holds, note=half.note), "", "  ")
        if lost is not None:
            out += [] if self.plan.short is None else wrap(FOR_ALL, "", "  ")
            holds = self.limit(lost.gust_m_s)
            out += wrap(
                say(
                    "With {point} gone it holds to {holds}; {neighbour} then takes {force} more.{lifts}",
                    point=lost.point,
                    holds=holds,
                    neighbour=lost.neighbour,
                    force=self.force(lost.neighbour_more_n),
                    lifts=self.lifts(lost.lifts_m_s),
                ),
                "",
                "  ",
            )
        return out

    def lifts(self, gust: float | None) -> str:
        """From when a lost foot lifts."""
        return (
            ""
            if gust is None
            else say(" This foot lifts from {limit}: nobody in it then.", limit=self.limit(gust))
        )

    def help(self) -> list[str]:
        """What would cut the need, each wall that matters included."""
        walls = [
            capital(
                say(
                    "{wall} wall open: {number}, shut: {number_2}.",
                    wall=spoken(w.wall),
                    number=_number(w.units_open),
                    number_2=_number(w.units_shut),
                )
            )
            for w in self.plan.walls
            if w.units_open != w.units_shut
        ]
        return self.listed(say("WHAT WOULD HELP"), [*(find_out_words(self.plan) or self.plan.advice), *walls])

    def levels(self) -> list[str]:
        if self.plan.levels.secure_m_s is None:
            return []
        f = self.found
        below, words = set_up_below(self.plan)
        under = lull(self.plan, self.plan.put_up_m_s if coming_down(self.plan) else below)
        if coming_down(self.plan):
            rows = [(say("What holds it off only in a lull under"), under)] if under else []
            return table([*rows, (say("Go on taking down below"), f.keep_away), (say("KEEP AWAY from"), f.keep_away)], "lr")  # fmt: skip
        rows = [(say("Raise it only in a lull under"), under)] if under else []
        rows.append((say("Set up only in gusts below") if under else say("Set up only below"), words))
        rows = [(say("Set up"), say("not as told"))] if no_lull(self.plan.half_built) else rows
        return table([*rows, (say("SECURE from"), f.secure), (say("PEOPLE OUT from"), f.people_out), (say("KEEP AWAY from"), f.keep_away)], "lr")  # fmt: skip

    def bearings(self) -> list[str]:
        found = [(compass(b), self.limit(g)) for b, g in self.plan.by_bearing]
        if not found:
            return []
        if len({gust for _, gust in found}) == 1:
            return ["", say("Wind from every side: {found}.", found=found[0][1])]
        down = math.ceil(len(found) / 4)
        rows = [
            [c for k in range(4) if r + k * down < len(found) for c in found[r + k * down]]
            for r in range(down)
        ]
        lines = table(rows, "rr" * 4, "   ")
        return [
            "",
            say("Holds to, by where the wind comes from (true north):"),
            *(f"  {line}" for line in lines),
        ]

    # 5 and 6: straps, snow, stock, conditions, assumptions, advice

    def straps_snow(self) -> list[str]:
        p = self.plan
        lines = [
            "",
            rule(say("STRAPS AND SNOW")),
            *wrap(
                say(
                    "Sidewall straps: {decision}. {reason}",
                    decision=spoken(p.straps.decision),
                    reason=p.straps.reason,
                ),
                "",
                "  ",
            ),
        ]
        s = p.snow
        lines += wrap(say("Snow: {snow_share}", snow_share=self.lying()), "", "  ")
        if s.uneven_heavy_pa > 0:
            light, heavy = (
                show("pressure", v, self.system, rounding="up", digits=1 if self.system == "us" else None)
                for v in (s.uneven_light_pa, s.uneven_heavy_pa)
            )
            lines += wrap(say("Lying unevenly it can be {heavy} on one slope and {light} on the other: clear both together.", heavy=heavy, light=light if s.uneven_light_pa else say("none")), "", "  ")  # fmt: skip
        return [*lines, *self.snow_limit(), *self.snow_more()]

    def lying(self) -> str:
        """The snow on the roof."""
        s = self.plan.snow
        if not s.roof_load_pa:
            return say("none on the roof.")
        if s.limit_pa is not None:
            return snow_share(self.plan)
        load = show(
            "pressure", s.roof_load_pa, self.system, rounding="up", digits=1 if self.system == "us" else None
        )
        return say("{load} on the roof. CANNOT SAY: the maker's snow rating is missing.", load=load)

    def snow_limit(self) -> list[str]:
        """What snow the roof takes, as a load and as depths."""
        limit = self.plan.limit
        if limit.roof_snow_pa is None:
            return []
        unit, digits = ("in", 1) if self.system == "us" else ("cm", 0)
        depths = ", ".join(
            f"{show('length', m, self.system, rounding='down', unit=unit, digits=digits)} {snow_kind(kind)}"
            for kind, m in limit.roof_snow_depth_m.items()
        )
        load = show("pressure", limit.roof_snow_pa, self.system, rounding="down")
        return wrap(
            say(
                "Snow limit {load}: that is {depths}.{rule_limits}",
                load=load,
                depths=depths,
                rule_limits=rule_limits(self.plan),
            ),
            "",
            "  ",
        )

    def snow_more(self) -> list[str]:
        """Sway, rules, hours left, ponds, clearing, warnings."""
        p, s = self.plan, self.plan.snow
        asked = s.method != "none" or any(r.tension_n is not None for r in p.straps.racking)
        said = [r.text for r in p.straps.racking] if asked else []
        said += [alarm_words(a) for a in s.alarms if a.reached or (s.roof_load_pa and a.rule in RULES)]
        said += [say("At the rate given, {text}.", text=f.text) for f in s.filling]
        if s.clear_every_h is not None:
            said.append(
                say(
                    "From a bare roof, clear it every {floor} h at that rate.",
                    floor=numeral(math.floor(s.clear_every_h * 10) / 10, "g"),
                )
            )
        said += [s.pond.text] if s.pond is not None else []
        return bullets([*said, *in_words(s.warnings), *in_words(s.clearing)])

    def stock(self) -> list[str]:
        if not self.plan.stock:
            return []
        lines = ["", rule(say("BROUGHT"))]
        for s in self.plan.stock:
            sized = self.plan.anchorage.sized
            lines += wrap(brought_words(self.plan, s), "", "  ")
            asked = next((a for a in self.plan.alternatives if a.subject == self.plan.subject), None)
            if not sized and asked is not None and asked.total is not None:
                lines += [
                    say(
                        "To {subject} takes {total} in this gust.",
                        subject=spoken(asked.subject),
                        total=asked.total,
                    )
                ]
            if s.short and s.holds_with_stock_m_s is not None:
                lines += wrap(
                    say(
                        "With only these: {parts}; so it holds to {limit}.",
                        parts=spread_parts(self.plan, s),
                        limit=self.limit(s.holds_with_stock_m_s),
                    ),
                    "  ",
                )
        return lines

    def listed(self, title: str, texts: Sequence[str]) -> list[str]:
        return ["", rule(title), *bullets(texts)] if texts else []

    # 7: for the engineer

    def engineer(self) -> list[str]:
        p, w = self.plan, self.plan.wind
        speed, q = show("speed", w.gust_m_s, self.system, digits=1), show("pressure", w.velocity_pressure_pa, self.system, digits=2 if self.system == "us" else 1)  # fmt: skip
        lines = ["", rule(say("FOR THE ENGINEER"))]
        lines += wrap(say("Wind: {as_typed} as typed; 3 s gust at 10 m {speed}, service level. Method {method}, exposure {exposure}, air {density_kg_m3}: q = {q}.", as_typed=w.as_typed, speed=speed, method=w.method, exposure=w.exposure, density_kg_m3=show("density", w.density_kg_m3, self.system), q=q), "", "  ")  # fmt: skip
        factors = ", ".join(f"{k} {v:g}" for k, v in p.margins.items() if isinstance(v, int | float))
        lines += wrap(
            say("Margins {set}: {factors}.", set=p.margins.get("set", ""), factors=factors), "", "  "
        )
        lines += wrap(say("What holds: {strength_words}.", strength_words=strength_words(p)), "", "  ")
        if p.units_at_friction_2 is not None:
            lines += wrap(say("With a factor of 2.0 on sliding, as the paper behind the least friction wants it at a joint, {units_at_friction_2} in all.", units_at_friction_2=p.units_at_friction_2), "", "  ")  # fmt: skip
        d = p.demand
        lines += wrap(say("Wind, unfactored, largest of all cases: up {force}, push {force_2}, overturning {overturning_n_m}. Governing case: {case}.", force=self.force(d.uplift_n), force_2=self.force(d.sliding_n), overturning_n_m=show("moment", d.overturning_n_m, self.system, rounding="up"), case=d.case), "", "  ")  # fmt: skip
        lines += ["", *self.checks()]
        weak = f": {', '.join(p.provenance.weak)}" if p.provenance.weak else ""
        return [
            *lines,
            "",
            *wrap(
                say("Weakest provenance: {weakest}{weak}.", weakest=spoken(p.provenance.weakest), weak=weak),
                "",
                "  ",
            ),
            *(wrap(moves_most(p), "", "  ") if p.provenance.tried else []),
        ]

    def checks(self) -> list[str]:
        rows = [(say("check"), say("where"), say("load"), say("holds to"))]
        rows += [(str(c.check), spoken(c.where), load_words(c), "-" if c.holds_to_m_s is None else self.limit(c.holds_to_m_s)) for c in self.plan.checks]  # fmt: skip
        head, *every = by_row(rows, "llrr")
        out = head
        for lines, c in zip(every, self.plan.checks, strict=True):
            out += [*lines, *wrap(f"{self.amounts(c)}; {c.case}", "    ")]
        return out

    def amounts(self, c: CheckOut) -> str:
        """Demand of capacity; a pressure of the wind is named q."""
        if c.unit == "m^2/s^2":  # gusts are compared by their squares
            return out_of(
                *(show("speed", math.sqrt(v), self.system, digits=1) for v in (c.demand, c.capacity))
            )
        if c.unit not in AMOUNTS:
            return f"{out_of(numeral(c.demand, '.3g'), numeral(c.capacity, '.3g'))}{'' if c.unit == '1' else ' ' + c.unit}"
        kind = AMOUNTS[c.unit]
        q = "q " if kind == "pressure" and c.holds_to_m_s is not None else ""
        return f"{q}{out_of(self.amount(kind, c.demand), self.amount(kind, c.capacity))}"

    def amount(self, kind: str, value: float) -> str:
        return show(
            kind, value, self.system, digits=2 if kind == "pressure" and self.system == "us" else None
        )

    def cautions(self) -> list[str]:
        texts = [f"{c.text} [{c.source}]" for c in self.plan.cautions]
        return ["", rule(say("CAUTIONS, always")), *bullets(texts)]


def check_lines(plan: Plan, around: Around = NOWHERE) -> list[str]:
    """Everything of a Plan, for a person: the verdict first, the cautions and the verdict again last."""
    page = Page(plan, around)
    lines = [*page.verdict(), *page.why(), *page.place(), *page.gusts(), *page.straps_snow(), *page.stock()]
    lines += page.listed(say("MEASURED HERE"), evidence_lines(plan))
    lines += page.listed(say("ONLY IF"), in_words(plan.conditions))
    lines += page.listed(say("TAKEN AS TRUE: correct what is wrong"), in_words(plan.assumptions))
    lines += page.help()
    lines += [*page.engineer(), *page.cautions(), "", "=" * WIDE, *wrap(plan.headline), "=" * WIDE]
    return [inert(line) for line in lines]


def engineer_lines(plan: Plan) -> list[str]:
    """The part for the engineer alone."""
    return [inert(line) for line in Page(plan, NOWHERE).engineer()]


def _fits(text: str) -> list[str]:
    """A line as it is, or broken where it is longer than the page."""
    return [text] if columns(text) <= WIDE else wrap(text)


def brought_words(plan: Plan, s: StockOut) -> str:
    """What is needed, or placed, against what was brought."""
    sized = plan.anchorage.sized
    if plan.asks("cannot-be-held"):  # none is needed because none is enough
        return say("{item}: {brought} brought; no number of them holds this.", item=several(s.item), brought=s.brought)  # fmt: skip
    of = {
        "item": several(s.item),
        "needed": s.needed,
        "brought": s.brought,
        "rest": s.brought - s.needed,
        "short": s.short,
    }
    if s.short:
        return (
            say("{item}: {needed} needed, {brought} brought, {short} SHORT.", **of)
            if sized
            else say("{item}: {needed} placed, {brought} brought, {short} SHORT.", **of)
        )
    return (
        say("{item}: {needed} needed, {brought} brought, {rest} left over.", **of)
        if sized
        else say("{item}: {needed} placed, {brought} brought, {rest} not placed.", **of)
    )


def limit_lines(plan: Plan) -> list[str]:
    """Only the gusts: what it takes and when to act."""
    page = Page(plan, Around())
    placed = page.spread() if page.total else [say("Nothing is placed.")]
    lines = [
        *wrap(plan.headline),
        *(wrap(str(plan.unjudged)) if plan.unjudged is not None else ()),
        *wrap(plan.name, say("For: ")),
        *(wrap(cannot_stand(plan)) if plan.does_not_do else ()),
        *placed,
        f"{page.share()}.",
        *page.gusts(),
        *page.snow_limit(),
        "",
    ]
    return [
        inert(line)
        for line in [
            *lines,
            *_fits(say("What to place where, conditions and cautions:  anchorage check FILE")),
        ]
    ]
