"""What each view says, as lines of text with the name of a style. Everything is in the Plan; nothing is worked out here.

A style never carries a meaning that the words do not.
"""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Callable, Sequence
from typing import TYPE_CHECKING, TypeAlias

from anchorage.core.plain import columns, cut, inert, wrap
from anchorage.core.words import LEVELS, VERDICTS, torn_words
from tui.fields import plainly

if TYPE_CHECKING:
    from anchorage.judging.result import CheckOut, Plan
    from anchorage.ways.result import WaysOut
    from tui.engine import Compared

Line: TypeAlias = tuple[str, str]
"""Text and style: ``head``, ``bad``, ``good``, ``warn`` or nothing."""
SOLID, EMPTY = ("█", "#"), ("░", ".")


def head(title: str, wide: int) -> Line:
    """A heading across the view."""
    return f"{title} ".ljust(wide, "─")[:wide], "head"


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

    return "no limit" if gust is None else printed(plan, gust)


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
        return f"gust {found.gust}; no limit found"
    following = {"normal": f"; SECURE from {found.secure}", "secure": f"; PEOPLE OUT from {found.people_out}",
                 "people-out": f"; KEEP AWAY from {found.keep_away}"}  # fmt: skip
    return f"gust {found.words}: {LEVELS[plan.levels.level]}{following.get(plan.levels.level, '')}"


# Place


def spread(plan: Plan) -> list[str]:
    """``8 at each of 4 corners`` for each group."""
    from anchorage.paper.sketch import count  # noqa: PLC0415 - after the first screen
    from anchorage.paper.text import GROUPS  # noqa: PLC0415

    points = [p for p in plan.anchorage.points if p.usable and p.kind != "none"]
    out = []
    for item in dict.fromkeys(p.item for p in points):
        groups = Counter((p.group, count(p)) for p in points if p.item == item)
        parts = [
            f"{n} at each of {many_} {GROUPS[g][1]}" if many_ > 1 else f"{n} at 1 {GROUPS[g][0]}"
            for (g, n), many_ in groups.items()
        ]
        total = sum(n * k for (_, n), k in groups.items())
        out.append(f"{', '.join(parts)} = {total} {many(item, total)}")
    return out


def stock(plan: Plan, wide: int) -> list[Line]:
    """Need against what was brought."""
    out: list[Line] = []
    for s in plan.stock:
        word = "needed" if plan.anchorage.sized else "placed"
        rest = f"{s.short} SHORT" if s.short else f"{s.brought - s.needed} over"
        out += para(
            f"{s.item}: {rest}; {s.needed} {word}, {s.brought} brought", wide, style="bad" if s.short else ""
        )
        if s.short and s.holds_with_stock_m_s is not None:
            out += para(f"With these alone it holds to {down(plan, s.holds_with_stock_m_s)}.", wide, "  ")
    return out


def place(plan: Plan, wide: int) -> list[Line]:
    """What goes where, what is short, what would help."""
    from anchorage.paper.drawing import weakest  # noqa: PLC0415 - after the first screen
    from anchorage.paper.sketch import count  # noqa: PLC0415
    from anchorage.paper.text import use_words  # noqa: PLC0415
    from anchorage.paper.words import record_words  # noqa: PLC0415

    out = [head("PLACE" if plan.anchorage.sized else "STANDS NOW", wide)]
    for text in record_words(plan.record):
        out += para(text, wide)
    for text in spread(plan) or ["Nothing is placed."]:
        out += para(text, wide, style="head")
    out += stock(plan, wide)
    out.append(head("EACH POINT", wide))
    weak = weakest(plan)
    out.append((f"{'id':<5}{'place':>6}  {'pulls up':>10} {'pushes':>10}", ""))
    for p in plan.anchorage.points:
        n = str(count(p)) if p.usable and p.kind != "none" else "none"
        mark = " weak" if p.id == weak else ""
        pulls = f"{up(plan, 'force', p.uplift_n):>10} {up(plan, 'force', p.sliding_n):>10}"
        out.append((f"{cut(p.id, 5):<5}{n:>6}  {pulls}{mark}", "head" if mark else ""))
    out.append(head("TO USE IT FOR", wide))
    for text in use_words(plan):
        out += para(text, wide)
    for text in plan.advice:
        out += para(text, wide, "- ")
    for w in plan.walls:
        if w.units_open != w.units_shut:
            a, b = ("no number" if u is None else str(u) for u in (w.units_open, w.units_shut))
            out += para(f"{w.wall} wall open: {a}; shut: {b}", wide, "- ")
    return out


# Gusts


def gusts(plan: Plan, wide: int, *, plain: bool = False) -> list[Line]:
    """What it takes, when to act, from where."""
    from anchorage.paper.sketch import compass  # noqa: PLC0415 - after the first screen

    lim, out = plan.limit, [head("HOLDS TO", wide)]
    own = lim.gust_m_s == lim.anchorage_gust_m_s
    out += para(
        f"{down(plan, lim.gust_m_s)}{' (anchorage only: ask the maker about the frame)' if lim.anchorage_only else ''}",
        wide,
        style="head",
    )
    first = f"{lim.anchorage_governed_by}, {lim.where}"
    out += para(f"Gives first: {first}" if own else f"Set by: {lim.governed_by}", wide)
    if not own:
        out += para(f"Anchorage alone: {down(plan, lim.anchorage_gust_m_s)}, then {first}", wide)
    if lim.secured_gust_m_s is not None:
        out += para(f"Every opening shut: {down(plan, lim.secured_gust_m_s)}", wide)
    if (torn := lim.torn_open) is not None:
        out += para(
            torn_words(torn.doors, None if torn.gust_m_s is None else down(plan, torn.gust_m_s)), wide
        )
    if plan.half_built is not None:
        h = plan.half_built
        out += para(
            f"Half built: {'cannot say' if h.gust_m_s is None else down(plan, h.gust_m_s)}. {h.note}", wide
        )
    if plan.lost_anchor is not None:
        out += para(f"With {plan.lost_anchor.point} gone: {down(plan, plan.lost_anchor.gust_m_s)}", wide)
    if plan.levels.secure_m_s is not None:
        from anchorage.deployment.policy import ORDER  # noqa: PLC0415 - after the first screen
        from anchorage.judging.gusts import of_plan  # noqa: PLC0415 - after the first screen

        found = of_plan(plan)
        out.append(head("ACT AT", wide))
        for level, gust in (
            ("secure", found.secure),
            ("people-out", found.people_out),
            ("keep-away", found.keep_away),
        ):
            now = "  <- reached" if found.level in ORDER[ORDER.index(level) :] else ""
            out.append((f"{LEVELS[level]:<11}from {gust:>8}{now}", "bad" if now else ""))
    out.append(head("BY WHERE THE WIND COMES FROM", wide))
    if not lim.by_bearing:
        return out + para("Give the bearing that the front faces (Site) to see each side.", wide)
    top = max((b.gust_m_s or 0.0) for b in lim.by_bearing) or 1.0
    least = min((b.gust_m_s for b in lim.by_bearing if b.gust_m_s is not None), default=None)
    for b in lim.by_bearing:
        low = b.gust_m_s is not None and least is not None and b.gust_m_s <= least * (1 + 1e-9)
        share = 1.0 if b.gust_m_s is None else b.gust_m_s / top
        size = max(min(wide - 24, 30), 4)
        mark = " least" if low and top > (least or 0.0) * (1 + 1e-6) else ""
        text = f"{compass(b.bearing):<4}{down(plan, b.gust_m_s):>8} {bar(share, size, plain=plain)}{mark}"
        out.append((text, "warn" if mark else ""))
    return out


# Checks


def load(c: CheckOut) -> str:
    """How far a check is used up, marked where it is over."""
    if c.ratio is None:
        return "OVER: no hold"
    return f"{'OVER ' if not c.ok else ''}{c.ratio * 100:.0f} %"


def used(plan: Plan, c: CheckOut) -> tuple[float, str]:
    """How far a check is used up, as a share for the bar and in words: by gusts, where the wind is what reaches it."""
    over = "" if c.ok else "OVER "
    if c.holds_to_m_s is None:
        return (1.0 if c.ratio is None else c.ratio), load(c)
    share = plan.wind.gust_m_s / c.holds_to_m_s if c.holds_to_m_s > 0 else math.inf
    return (1.0 if not c.ok else min(share, 0.999)), f"{over}to {down(plan, c.holds_to_m_s)}"


def checks(plan: Plan, wide: int, *, plain: bool = False, picked: str = "") -> list[Line]:
    """A bar for each check. A check is picked for its working."""
    from anchorage.paper.drawing import weakest  # noqa: PLC0415 - after the first screen

    gust = up(plan, "speed", plan.wind.gust_m_s)
    out = [head(f"EACH CHECK: the gust of {gust} against what it holds to", wide)]
    line = wide >= 72
    for c in plan.checks:
        mark = ">" if c.name == picked else " "
        share, said = used(plan, c)
        size = max(wide - 60, 10) if line else max(wide - 22, 6)
        drawn = bar(share, size, plain=plain)
        style = "bad" if not c.ok else "head" if mark == ">" else ""
        name = inert(f"{c.name}, {c.where}")
        if line:
            name = cut(name, 36)
            out.append((f"{mark}{name}{' ' * (37 - columns(name))}{drawn} {said}", style))
        else:
            out += [(cut(f"{mark}{name}", wide), style), (f"  {drawn} {said}", style)]
    out.append(head("WHAT THE WIND DOES, without margins", wide))
    d = plan.demand
    out += para(
        f"lifts {up(plan, 'force', d.uplift_n)}, pushes {up(plan, 'force', d.sliding_n)}; overturning {up(plan, 'moment', d.overturning_n_m)}",
        wide,
    )
    weak = weakest(plan)
    if weak:
        out += para(f"Weakest point: {weak}", wide)
    return out


# Snow and straps


def bears(plan: Plan) -> str:
    """What snow the roof takes, as a load and as depths."""
    from anchorage.core.units import show  # noqa: PLC0415 - after the first screen

    lim = plan.limit
    if lim.roof_snow_pa is None:
        return "What it bears is not known: the maker's snow rating is missing."
    unit, digits = ("in", 1) if plan.show_units == "us" else ("cm", 0)
    depths = ", ".join(
        f"{show('length', m, plan.show_units, rounding='down', unit=unit, digits=digits)} of {kind} snow"
        for kind, m in lim.roof_snow_depth_m.items()
    )
    return f"It bears {_limit(plan, lim.roof_snow_pa)}: {depths}."


def snow(plan: Plan, wide: int, *, plain: bool = False) -> list[Line]:
    """Straps, and snow on the roof."""
    from anchorage.paper.text import alarm_words, snow_share  # noqa: PLC0415 - after the first screen

    s, out = plan.snow, [head("WALL STRAPS", wide)]
    out += para(plan.straps.decision.upper(), wide, style="head") + para(plan.straps.reason, wide)
    for r in plan.straps.racking:
        out += para(r.text, wide, "- ")
    if plan.straps.egress:
        out += para(plan.straps.egress, wide, "- ")
    out.append(head("SNOW ON THE ROOF", wide))
    out += para(bears(plan), wide)
    if not s.roof_load_pa:
        out += para("None on the roof.", wide)
    else:
        lies = up(plan, "pressure", s.roof_load_pa)
        if s.limit_pa is None:
            out += para(f"{lies}. CANNOT SAY: the maker's snow rating is missing.", wide, style="warn")
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
        out += para(f"At this rate, {f.text}.", wide, "- ")
    if s.clear_every_h is not None:
        out += para(f"Clear it every {math.floor(s.clear_every_h * 10) / 10:g} h at this rate.", wide, "- ")
    if s.pond is not None:
        out += para(s.pond.text, wide, "- ")
    for text in (*s.warnings, *s.clearing):
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
        ("WHY", [r.text for r in plan.reasons]),
        ("ONLY IF", plan.conditions),
        ("TAKEN AS TRUE: correct what is wrong", plan.assumptions),
        ("CAUTIONS, always", [f"{c.text} [{c.source}]" for c in plan.cautions]),
    ):
        if texts:
            out.append(head(title, wide))
            for text in texts:
                out += para(text, wide, "- ")
    return out


# Comparing


def _facts(plan: Plan) -> dict[str, str]:
    from anchorage.judging.gusts import of_plan  # noqa: PLC0415 - after the first screen

    lim = plan.limit
    total = plan.anchorage.total
    return {
        "verdict": VERDICTS[plan.verdict],
        "level": LEVELS[plan.levels.level],
        "holds to": down(plan, lim.gust_m_s),
        "anchorage": down(plan, lim.anchorage_gust_m_s),
        "gives first": f"{lim.governed_by}",
        "where": lim.where,
        "SECURE from": of_plan(plan).secure,
        "OUT from": of_plan(plan).people_out,
        "units": f"{total.units + total.stakes} {many(plan.anchorage.points[0].item, 2) if plan.anchorage.points else ''}",
        "straps": plan.straps.decision,
        "wind lifts": up(plan, "force", plan.demand.uplift_n),
        "wind pushes": up(plan, "force", plan.demand.sliding_n),
        "snow limit": "not given" if plan.snow.limit_pa is None else _limit(plan, plan.snow.limit_pa),
    }


def compare(plan: Plan, other: Compared, wide: int) -> list[Line]:
    """Two variants side by side, each difference marked and named."""
    out = [head(f"AS IT IS  against  {other.name.upper()}", wide)]
    if other.plan is None:
        return out + para(other.trouble, wide, "! ", "warn")
    theirs = other.built or other.plan
    a, b = _facts(plan), _facts(theirs)
    changed = [f"{n}: {a[n]}, with {other.name} {b[n]}" for n in a if a[n] != b[n]]
    out.append(head("AS BUILT, counts left as they are" if other.built is not None else "WHAT DIFFERS", wide))
    for text in changed or ["Nothing: both come to the same."]:
        out += para(text, wide, "- ", "head" if changed else "")
    if other.built is not None:
        c = _facts(other.plan)
        anew = [f"{n}: {b[n]} as built, {c[n]} with counts chosen anew" for n in c if c[n] != b[n]]
        out.append(head("COUNTS CHOSEN ANEW for it", wide))
        for text in anew or ["The same counts are enough."]:
            out += para(text, wide, "- ")
    elif plan.anchorage.sized or other.plan.anchorage.sized:
        out += para("Counts were chosen anew for the other way: it is not what stands.", wide, "! ", "warn")
    col = max((wide - 14) // 2, 8)
    out.append((f"{'':<13}{'as it is':<{col}} {cut(other.name, col)} ".ljust(wide, "─")[:wide], "head"))
    for name, mine in a.items():
        differs = mine != b[name]
        out.append(
            (
                f"{'*' if differs else ' '}{name:<12}{cut(mine, col):<{col}} {cut(b[name], col)}",
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


PAGES: dict[str, Callable[..., list[Line]]] = {"gusts": gusts, "checks": checks, "snow": snow}
__all__ = [
    "PAGES",
    "Line",
    "checks",
    "columns",
    "compare",
    "gusts",
    "heed",
    "place",
    "sideways",
    "snow",
    "ways",
]
