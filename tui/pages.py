"""What each view says, as lines of text with the name of a style. Everything is in the Plan; nothing is worked out here.

A style never carries a meaning that the words do not.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import TYPE_CHECKING, Literal, TypeAlias

from anchorage.core.checked import What
from anchorage.core.plain import columns, cut, inert, wrap
from anchorage.core.say import mark, numeral, say, word
from anchorage.core.told import in_words
from anchorage.core.words import LEVELS, VERDICTS, all_of, several, snow_kind, spoken, torn_words
from tui.fields import plainly

if TYPE_CHECKING:
    from anchorage.judging.result import CheckOut, Plan, StockOut
    from anchorage.ways.result import WaysOut
    from tui.engine import Compared

Line: TypeAlias = tuple[str, str]
"""Text and style: ``head``, ``bad``, ``good``, ``warn`` or nothing."""
SOLID, EMPTY = ("█", "#"), ("░", ".")


def head(title: str, wide: int) -> Line:
    """A heading across the view; one that is longer is broken, and the page takes each of its lines apart."""
    *first, last = wrap(title, "", "", max(wide, 12))
    return "\n".join([*first, f"{last} ".ljust(wide, "─")[:wide]]), "head"


def apart(lines: Sequence[Line]) -> list[Line]:
    """Each line by itself."""
    return [(line, style) for text, style in lines for line in text.split("\n")]


def para(text: str, wide: int, first: str = "", style: str = "") -> list[Line]:
    """A paragraph."""
    return [(line, style) for line in wrap(plainly(text), first, None, max(wide, 12))]


def bar(share: float, wide: int, *, plain: bool = False) -> str:
    """A bar of so many cells; full at 1 and not longer."""
    n = wide if share >= 1 else max(math.floor(share * wide), 0)
    return SOLID[plain] * n + EMPTY[plain] * (wide - n)


def down(plan: Plan, gust: float | None) -> str:
    """A gust that something takes."""
    from anchorage.judging.gusts import printed  # noqa: PLC0415 - after the first screen

    return say("no limit") if gust is None else printed(plan, gust)


def up(plan: Plan, kind: str, value: float) -> str:
    """What something asks for."""
    from anchorage.core.units import show  # noqa: PLC0415 - after the first screen

    return show(kind, value, plan.show_units, rounding="up")


def many(item: str, n: int) -> str:
    """Name of what is counted, for so many of them."""
    from anchorage.paper.text import unit_words  # noqa: PLC0415 - after the first screen

    return unit_words(item, n)


def next_limit(plan: Plan) -> str:
    """How far the wind is from the next level, in gusts."""
    from anchorage.judging.gusts import of_plan  # noqa: PLC0415 - after the first screen

    found = of_plan(plan)
    if found.share is None:
        return say("gust {gust}; no limit found", gust=found.gust)
    following = {"normal": say("; SECURE from {secure}", secure=found.secure), "secure": say("; PEOPLE OUT from {people_out}", people_out=found.people_out),
                 "people-out": say("; KEEP AWAY from {keep_away}", keep_away=found.keep_away)}  # fmt: skip
    return say(
        "gust {words}: {level}{get}",
        words=found.words,
        level=LEVELS[plan.levels.level],
        get=following.get(plan.levels.level, ""),
    )


# Place


def spread(plan: Plan) -> list[str]:
    """``8 at each of 4 corners`` for each group."""
    from anchorage.paper.sketch import count  # noqa: PLC0415 - after the first screen
    from anchorage.paper.text import spread_of  # noqa: PLC0415

    points = [p for p in plan.anchorage.points if p.usable and p.kind != "none"]
    if plan.anchorage.sized and not sum(map(count, points)) and not plan.asks("cannot-be-held"):
        from anchorage.judging.gusts import of_plan  # noqa: PLC0415 - after the first screen

        of = {"gust": of_plan(plan).gust, "holds": down(plan, plan.put_up_m_s)}
        return [say("nothing is asked for at {gust}; by its own weight it holds to {holds}", **of)]
    out = []
    for item in dict.fromkeys(p.item for p in points):
        mine = [p for p in points if p.item == item]
        parts, total = spread_of((p.group, count(p)) for p in mine), sum(map(count, mine))
        said = f"{', '.join(parts)} = {total} {many(item, total)}"
        most = [n.most for n in plan.does_not_do for p in mine if p.id in n.where]
        out.append(
            say("NOT POSSIBLE, at most {most} at a point: {said}", most=min(most), said=said)
            if most
            else said
        )
    return out


def still_to_place(plan: Plan, s: StockOut) -> str:
    """Of what stands, so many more that what it is for takes, and where; empty where it is enough, or no number is."""
    from anchorage.paper.sketch import count  # noqa: PLC0415 - after the first screen
    from anchorage.paper.text import spread_of  # noqa: PLC0415

    mine = next((a for a in plan.alternatives if a.subject == plan.subject), None)
    if plan.anchorage.sized or mine is None or mine.total is None or len(plan.stock) > 1:
        return ""
    need = {g.at: g.each for g in mine.groups}
    usable = [p for p in plan.anchorage.points if p.usable and p.kind != "none"]
    if not {p.group for p in usable} <= need.keys():
        return ""
    missing = [(p.group, need[p.group] - count(p)) for p in usable if need[p.group] > count(p)]
    if not missing:
        return ""
    of = {
        "still": sum(n for _, n in missing), "parts": ", ".join(spread_of(missing)), "item": several(s.item),
        "needed": mine.total, "placed": sum(map(count, usable)), "brought": s.brought,
    }  # fmt: skip
    said = say("STILL TO PLACE: {still} {item} in all, {parts}; {needed} needed, {placed} placed, {brought} brought", **of)  # fmt: skip
    if not mine.does_it:
        return say("NOT POSSIBLE, more than a point can have. {said}", said=said)
    if mine.total > s.brought:
        return say("NOT POSSIBLE with what was brought. {said}", said=said)
    return said


def stock(plan: Plan, wide: int) -> list[Line]:
    """Need against what was brought."""
    from anchorage.paper.text import brought_words  # noqa: PLC0415 - after the first screen

    out: list[Line] = []
    for s in plan.stock:
        if plan.asks("cannot-be-held"):
            out += para(brought_words(plan, s), wide, style="bad")
            continue
        rest = (
            say("{short} SHORT", short=s.short)
            if s.short
            else say("{brought} over", brought=s.brought - s.needed)
        )
        of = {"item": several(s.item), "rest": rest, "needed": s.needed, "brought": s.brought}
        said = (
            say("{item}: {rest}; {needed} needed, {brought} brought", **of)
            if plan.anchorage.sized
            else say("{item}: {rest}; {needed} placed, {brought} brought", **of)
        )
        still = still_to_place(plan, s)
        out += para(still or said, wide, style="bad" if s.short or still else "")
        if s.short and s.holds_with_stock_m_s is not None:
            out += para(
                say("With these alone it holds to {plan}.", plan=down(plan, s.holds_with_stock_m_s)),
                wide,
                "  ",
            )
    return out


COUNT = mark("place (count)")


def place(plan: Plan, wide: int) -> list[Line]:
    """What goes where, what is short, what would help."""
    from anchorage.paper.drawing import gives_first  # noqa: PLC0415 - after the first screen
    from anchorage.paper.sketch import count  # noqa: PLC0415
    from anchorage.paper.text import counts_words  # noqa: PLC0415
    from anchorage.paper.words import record_words  # noqa: PLC0415

    out = [head(say("PLACE") if plan.anchorage.sized else say("STANDS NOW"), wide)]
    for text in record_words(plan.record):
        out += para(text, wide)
    for text in spread(plan) or [say("Nothing is placed.")]:
        out += para(text, wide, style="head")
    out += stock(plan, wide)
    out.append(head(say("EACH POINT"), wide))
    weak, most = gives_first(plan), {i: n.most for n in plan.does_not_do for i in n.where}
    heads = (say("id"), word("place", "count"), say("pulls up"), say("pushes"))
    short = len(heads[0]) < 5 and len(heads[1]) <= 6 and max(map(len, heads[2:])) <= 10
    out += (
        [(f"{heads[0]:<5}{heads[1]:>6}  {heads[2]:>10} {heads[3]:>10}", "")]
        if short
        else para(", ".join(heads), wide)
    )
    for p in plan.anchorage.points:
        n = str(count(p)) if p.usable and p.kind != "none" else say("none")
        said = f" {say('weak')}" if p.id in weak else ""
        if p.id in most and count(p) > most[p.id]:
            said = f" {say('NOT POSSIBLE: at most {most} go there', most=most[p.id])}"
        pulls = f"{up(plan, 'force', p.uplift_n):>10} {up(plan, 'force', p.sliding_n):>10}"
        text, style = f"{cut(p.id, 5):<5}{n:>6}  {pulls}", "head" if said else ""
        fits = columns(f"{text}{said}") <= wide + 1
        out += [(f"{text}{said if fits else ''}", style), *([] if fits else [(f"    {said}", style)])]
    out.append(head(say("TO USE IT FOR"), wide))
    for text in counts_words(plan):
        out += para(text, wide)
    for text in in_words(plan.advice):
        out += para(text, wide, "- ")
    for w in plan.walls:
        if w.units_open != w.units_shut:
            a, b = (say("no number") if u is None else str(u) for u in (w.units_open, w.units_shut))
            out += para(say("{wall} wall open: {a}; shut: {b}", wall=spoken(w.wall), a=a, b=b), wide, "- ")
    return out


# Gusts


def gusts(plan: Plan, wide: int, *, plain: bool = False) -> list[Line]:
    """What it takes, when to act, from where."""
    from anchorage.judging.gusts import FOR_ALL, held_text  # noqa: PLC0415 - after the first screen
    from anchorage.paper.sketch import compass  # noqa: PLC0415

    lim, short, out = plan.limit, plan.short, [head(say("HOLDS TO"), wide)]
    own = lim.gust_m_s == lim.anchorage_gust_m_s
    out += para(
        f"{held_text(plan)}{(say(' (anchorage only: ask the maker about the frame)') if lim.anchorage_only else '')}",
        wide,
        style="head",
    )
    if short is not None:
        out += para(say("Gives first: {first}", first=spoken(short.gives_first)), wide)
        out += para(FOR_ALL, wide)
    first = f"{spoken(lim.anchorage_governed_by)}, {spoken(lim.where)}"
    out += para(
        say("Gives first: {first}", first=first)
        if own
        else say("Set by: {governed_by}", governed_by=spoken(lim.governed_by)),
        wide,
    )
    if not own:
        out += para(
            say(
                "Anchorage alone: {plan}, then {first}", plan=down(plan, lim.anchorage_gust_m_s), first=first
            ),
            wide,
        )
    if plan.capped is not None and (lim.secured_gust_m_s is not None or plan.lost_anchor is not None):
        out += para(say("If all that is needed were there ({n}):", n=plan.anchorage.total.units + plan.anchorage.total.stakes), wide, style="warn")  # fmt: skip
    if lim.secured_gust_m_s is not None:
        out += para(say("Every opening shut: {plan}", plan=down(plan, lim.secured_gust_m_s)), wide)
    if (torn := lim.torn_open) is not None:
        out += para(
            torn_words(torn.doors, None if torn.gust_m_s is None else down(plan, torn.gust_m_s)), wide
        )
    if plan.half_built is not None:
        h = plan.half_built
        out += para(
            say(
                "Half built: {cannot_say}. {note}",
                cannot_say=say("cannot say") if h.gust_m_s is None else down(plan, h.gust_m_s),
                note=h.note,
            ),
            wide,
        )
    if plan.lost_anchor is not None:
        out += para(
            say(
                "With {point} gone: {plan}",
                point=plan.lost_anchor.point,
                plan=down(plan, plan.lost_anchor.gust_m_s),
            ),
            wide,
        )
    if plan.levels.secure_m_s is not None:
        from anchorage.deployment.policy import ORDER  # noqa: PLC0415 - after the first screen
        from anchorage.judging.gusts import coming_down, of_plan, raised_below  # noqa: PLC0415 - after the first screen

        found = of_plan(plan)
        out.append(head(say("ACT AT"), wide))
        every = (
            ("secure", found.secure),
            ("people-out", found.people_out),
            ("keep-away", found.keep_away),
        )
        falling = coming_down(plan)  # everybody is out by then
        phase = "" if plan.record is None else plan.record.phase
        if phase in ("", "not-up", "going-up"):
            out += para(say("SET UP only {when}", when=raised_below(plan)), wide)
        broad = max(11, 1 + max(len(f"{LEVELS[k]}") for k, _ in every))
        for level, gust in every[2:] if falling else every:
            now = say("  <- reached") if found.level in ORDER[ORDER.index(level) :] else ""
            said = say(
                "{level}from {gust}{now}", level=f"{LEVELS[level]:<{broad}}", gust=f"{gust:>8}", now=now
            )
            style = "bad" if now else ""
            out += [(said, style)] if columns(said) <= wide else para(said, wide, "", style)
    out.append(head(say("BY WHERE THE WIND COMES FROM"), wide))
    if not lim.by_bearing:
        return out + para(say("Give the bearing that the front faces (Site) to see each side."), wide)
    by = dict(plan.by_bearing)
    top = max(by.values(), default=0.0) or 1.0
    least = min(by.values(), default=None)
    for bearing in (b.bearing for b in lim.by_bearing):
        takes = by.get(bearing)
        low = takes is not None and least is not None and takes <= least * (1 + 1e-9)
        share = 1.0 if takes is None else takes / top
        size = max(min(wide - 19 - len(say("least")), 30), 4)
        mark = f" {say('least')}" if low and top > (least or 0.0) * (1 + 1e-6) else ""
        text = f"{compass(bearing):<4}{down(plan, takes):>8} {bar(share, size, plain=plain)}{mark}"
        out.append((text, "warn" if mark else ""))
    return out


# Checks


def load(c: CheckOut) -> str:
    """How far a check is used up, marked where it is over."""
    if c.ratio is None:
        return say("OVER: no hold")
    share = f"{c.ratio * 100:.0f} %"
    return share if c.ok else say("OVER {by}", by=share)


SNOWY: dict[What, Literal["load", "depth"]] = {
    What.SNOW: "load",
    What.SNOW_LOAD: "load",
    What.SNOW_DEPTH: "depth",
}
"""Checks of snow, by what is measured of it."""


def used(plan: Plan, c: CheckOut) -> tuple[float, str]:
    """How far a check is used up, as a share for the bar and in words: by gusts, where the wind is what reaches it."""
    from anchorage.deployment.policy import against  # noqa: PLC0415 - after the first screen

    if c.holds_to_m_s is None:
        share = 1.0 if c.ratio is None else c.ratio
        if c.check.what in SNOWY and c.ratio is not None and c.capacity > 0:
            # of the figures that are printed of it elsewhere
            said = f"{against(plan.policy, c.demand, c.capacity, plan.show_units, SNOWY[c.check.what]).percent} %"
            return share, said if c.ok else say("OVER {by}", by=said)
        return share, load(c)
    held = say("to {gust}", gust=down(plan, c.holds_to_m_s))
    held = held if c.ok else say("OVER {by}", by=held)
    share = plan.wind.gust_m_s / c.holds_to_m_s if c.holds_to_m_s > 0 else math.inf
    return (1.0 if not c.ok else min(share, 0.999)), held


def checks(plan: Plan, wide: int, *, plain: bool = False, picked: str = "") -> list[Line]:
    """A bar for each check. A check is picked for its working."""
    from anchorage.judging.gusts import held_text, of_plan  # noqa: PLC0415
    from anchorage.paper.drawing import first_words  # noqa: PLC0415 - after the first screen

    gust = of_plan(plan).gust
    out = [head(say("EACH CHECK: the gust of {gust} against what it holds to", gust=gust), wide)]
    if plan.put_up_m_s != plan.limit.gust_m_s:
        out += para(say("If all that is needed were there ({n}):", n=plan.anchorage.total.units + plan.anchorage.total.stakes), wide, style="warn")  # fmt: skip
        out += para(held_text(plan), wide, style="warn")
    line = wide >= 72
    for c in plan.checks:
        mark = ">" if c.name == picked else " "
        share, said = used(plan, c)
        size = max(wide - 60, 10) if line else max(wide - 22, 6)
        drawn = bar(share, size, plain=plain)
        style = "bad" if not c.ok else "head" if mark == ">" else ""
        name = inert(f"{c.check}, {spoken(c.where)}")
        if line and columns(name) <= 36:
            out.append((f"{mark}{name}{' ' * (37 - columns(name))}{drawn} {said}", style))
        else:
            out += [*((x, style) for x in wrap(name, mark, "   ", wide)), (f"  {drawn} {said}", style)]
    out.append(head(say("WHAT THE WIND DOES, without margins"), wide))
    d = plan.demand
    out += para(
        say(
            "lifts {plan}, pushes {plan_2}; overturning {plan_3}",
            plan=up(plan, "force", d.uplift_n),
            plan_2=up(plan, "force", d.sliding_n),
            plan_3=up(plan, "moment", d.overturning_n_m),
        ),
        wide,
    )
    if plan.limit.where:
        out += para(say("Gives first: {weak}", weak=first_words(plan)), wide)
    return out


# Snow and straps


def bears(plan: Plan) -> str:
    """What snow the roof takes, as a load and as depths."""
    from anchorage.core.units import show  # noqa: PLC0415 - after the first screen

    lim = plan.limit
    if lim.roof_snow_pa is None:
        return say("What it bears is not known: the maker's snow rating is missing.")
    unit, digits = ("in", 1) if plan.show_units == "us" else ("cm", 0)
    depths = ", ".join(
        say(
            "{show_units} of {kind} snow",
            show_units=show("length", m, plan.show_units, rounding="down", unit=unit, digits=digits),
            kind=snow_kind(kind),
        )
        for kind, m in lim.roof_snow_depth_m.items()
    )
    return say("It bears {limit}: {depths}.", limit=_limit(plan, lim.roof_snow_pa), depths=depths)


def snow(plan: Plan, wide: int, *, plain: bool = False) -> list[Line]:
    """Straps, and snow on the roof."""
    from anchorage.paper.text import alarm_words, snow_share  # noqa: PLC0415 - after the first screen

    s, out = plan.snow, [head(say("WALL STRAPS"), wide)]
    out += para(spoken(plan.straps.decision).upper(), wide, style="head") + para(plan.straps.reason, wide)
    for r in plan.straps.racking:
        out += para(r.text, wide, "- ")
    if plan.straps.egress is not None:
        out += para(str(plan.straps.egress), wide, "- ")
    out.append(head(say("SNOW ON THE ROOF"), wide))
    out += para(bears(plan), wide)
    if not s.roof_load_pa:
        out += para(say("None on the roof."), wide)
    else:
        lies = up(plan, "pressure", s.roof_load_pa)
        if s.limit_pa is None:
            out += para(
                say("{lies}. CANNOT SAY: the maker's snow rating is missing.", lies=lies), wide, style="warn"
            )
        else:
            over = s.level in ("people-out", "keep-away") or s.ratio is None or s.ratio > 1
            out += para(snow_share(plan), wide, style="bad" if over else "")
            out.append((f"  {bar(1.0 if s.ratio is None else s.ratio, max(wide - 18, 6), plain=plain)}", ""))
    for a in s.alarms:
        if a.reached or s.roof_load_pa:
            out += para(
                alarm_words(a),
                wide,
                "- ",
                "bad" if a.reached else "",
            )
    for f in s.filling:
        out += para(say("At this rate, {text}.", text=f.text), wide, "- ")
    if s.clear_every_h is not None:
        out += para(
            say(
                "Clear it every {floor} h at this rate.",
                floor=numeral(math.floor(s.clear_every_h * 10) / 10, "g"),
            ),
            wide,
            "- ",
        )
    if s.pond is not None:
        out += para(s.pond.text, wide, "- ")
    for text in in_words((*s.warnings, *s.clearing)):
        out += para(text, wide, "- ")
    return out


def _limit(plan: Plan, pressure: float) -> str:
    from anchorage.core.units import show  # noqa: PLC0415 - after the first screen

    return show("pressure", pressure, plan.show_units, rounding="down")


# Cautions


def heed(plan: Plan, wide: int) -> list[Line]:
    """Reasons, conditions, what was taken as true, cautions."""
    out: list[Line] = []
    for title, texts in (
        (say("WHY"), [r.text for r in plan.reasons]),
        (say("ONLY IF"), in_words(plan.conditions)),
        (say("TAKEN AS TRUE: correct what is wrong"), in_words(plan.assumptions)),
        (say("CAUTIONS, always"), [f"{c.text} [{c.source}]" for c in plan.cautions]),
    ):
        if texts:
            out.append(head(title, wide))
            for text in texts:
                out += para(text, wide, "- ")
    return out


# Comparing


def _facts(plan: Plan, *beside: Plan) -> dict[str, str]:
    """beside: the plans that it stands beside: every gust has the decimals of the finest of them."""
    from anchorage.core import units  # noqa: PLC0415 - after the first screen
    from anchorage.judging.gusts import of_plan  # noqa: PLC0415

    lim, found = plan.limit, of_plan(plan)
    digits = max((of_plan(p).digits or 0 for p in (plan, *beside)), default=0) or None

    def gust(v: float | None) -> str:
        return (
            say("no limit found")
            if v is None
            else units.show("speed", v, plan.show_units, rounding="down", digits=digits)
        )

    def from_(share: float, as_printed: str) -> str:
        held = plan.put_up_m_s
        return as_printed if digits == found.digits or held is None else gust(share * held)

    counts, goes, less = dict[str, int](), plan.goes, plan.put_up_m_s != lim.gust_m_s
    for p in plan.anchorage.points:
        counts[p.item] = counts.get(p.item, 0) + goes[p.id]
    anchorage = lim.anchorage_gust_m_s
    if less and plan.put_up_m_s is not None and anchorage is not None:
        anchorage = min(anchorage, plan.put_up_m_s)
    return {
        say("verdict"): say("{verdict} (the readings)", verdict=VERDICTS[plan.verdict])
        if plan.held is not None
        else say("{verdict} (the wind typed)", verdict=VERDICTS[plan.verdict]),
        say("level"): LEVELS[plan.levels.level],
        say("holds to"): gust(plan.put_up_m_s),
        say("anchorage"): gust(anchorage),
        say("gives first"): spoken(lim.governed_by),
        say("where"): spoken(lim.where),
        say("SECURE from"): from_(plan.policy.secure, found.secure),
        say("OUT from"): from_(plan.policy.people_out, found.people_out),
        say("units"): all_of(f"{n} {many(item, n)}" for item, n in counts.items()) or "0",
        say("straps"): spoken(plan.straps.decision),
        say("wind lifts"): up(plan, "force", plan.demand.uplift_n),
        say("wind pushes"): up(plan, "force", plan.demand.sliding_n),
        say("snow limit"): say("not given")
        if plan.snow.limit_pa is None
        else _limit(plan, plan.snow.limit_pa),
    }


def compare(plan: Plan, other: Compared, wide: int) -> list[Line]:
    """Two variants side by side, each difference marked and named."""
    out = [head(say("AS IT IS  against  {other}", other=other.name.upper()), wide)]
    if other.plan is None:
        return out + para(other.trouble, wide, "! ", "warn")
    theirs = other.built or other.plan
    a, b = _facts(plan, theirs, other.plan), _facts(theirs, plan, other.plan)
    changed = [
        say("{n}: {a}, with {other} {b}", n=n, a=a[n], other=other.name, b=b[n]) for n in a if a[n] != b[n]
    ]
    out.append(
        head(
            say("AS BUILT, counts left as they are") if other.built is not None else say("WHAT DIFFERS"), wide
        )
    )
    if other.built is not None and plan.put_up_m_s != plan.limit.gust_m_s:
        out += para(say("As many as a point can have, and as were brought:"), wide, style="warn")
    for text in changed or [say("Nothing: both come to the same.")]:
        out += para(text, wide, "- ", "head" if changed else "")
    if other.built is not None:
        c = _facts(other.plan, plan, theirs)
        anew = [
            say("{n}: {b} as built, {c} with counts chosen anew", n=n, b=b[n], c=c[n])
            for n in c
            if c[n] != b[n]
        ]
        out.append(head(say("COUNTS CHOSEN ANEW for it"), wide))
        for text in anew or [say("The same counts are enough.")]:
            out += para(text, wide, "- ")
    elif plan.anchorage.sized or other.plan.anchorage.sized:
        out += para(
            say("Counts were chosen anew for the other way: it is not what stands."), wide, "! ", "warn"
        )
    broad = max(12, *(columns(n) + 1 for n in a))
    col = max((wide - 2 - broad) // 2, 8)
    out.append(
        (f"{'':<{broad + 1}}{say('as it is'):<{col}} {cut(other.name, col)} ".ljust(wide, "─")[:wide], "head")
    )
    for name, mine in a.items():
        differs = mine != b[name]
        out.append(
            (
                f"{'*' if differs else ' '}{name:<{broad}}{cut(mine, col):<{col}} {cut(b[name], col)}",
                "head" if differs else "",
            )
        )
    return out


def ways(plan: Plan, found: WaysOut, wide: int) -> list[Line]:
    """Every way to hold it, as the command prints them."""
    from anchorage.paper.ways_text import ways_pieces  # noqa: PLC0415 - after the first screen

    out: list[Line] = []
    for p in ways_pieces(found, plan):
        out += [("", "")] if p.gap else []
        if p.head:
            out.append(head(p.text, wide))
        else:
            out += [
                (line, "head" if p.way else "")
                for line in wrap(plainly(p.text), p.lead, p.hang, max(wide, 24))
            ]
    return out


def sideways(lines: Sequence[str], wide: int) -> list[Line]:
    """Lines of working, their later parts further in."""
    out: list[Line] = []
    for line in lines:
        lead = " " * min(len(line) - len(line.lstrip()), max(wide // 3, 1))
        out += (
            [(t, "") for t in wrap(line, lead, lead + "    ", max(wide, 12))] if line.strip() else [("", "")]
        )
    return out
