"""The packing list as a page and as lines of text."""

from __future__ import annotations

import math

from anchorage.core.plain import table, wrap
from anchorage.core.units import System, show
from anchorage.core.words import so_many
from anchorage.judging.packing import Best, Packing
from anchorage.judging.result import Plan
from anchorage.paper.blocks import Block, Bullets, Document, Grid, Heading, Paper, Para
from anchorage.paper.content import Made
from anchorage.paper.text import GROUPS
from anchorage.paper.words import record_words

HEAD = ("what", "needed", "spare", "bring", "brought", "short", "mass", "")


def _rows(k: Packing, system: System) -> list[tuple[str, ...]]:
    out: list[tuple[str, ...]] = []
    for i in k.items:
        brought = "?" if i.brought is None else str(i.brought)
        short = "" if i.short is None else str(i.short) if i.short else "none"
        mass = show("mass", i.mass_kg, system, rounding="up") if i.mass_kg else ""
        out.append((i.name, str(i.needed), str(i.spare), str(i.bring), brought, short, mass, i.note))
    return out


def _hours(hours: float) -> str:
    minutes = math.ceil(hours * 12 - 1e-9) * 5
    return f"{minutes // 60} h {minutes % 60:02d} min" if minutes >= 60 else f"{minutes} min"


def work_words(k: Packing, system: System) -> list[str]:
    """Filling, lifting, loads."""
    out = []
    for f in k.filling:
        unit, digits = ("yd3", 1) if system == "us" else ("m3", 1)
        if f.what == "water":
            unit, digits = ("US gal", 0) if system == "us" else ("L", 0)
        time = (
            ""
            if f.hours is None
            else f", {f.crew} people need {_hours(f.hours)} to fill and place {f.units} bags"
        )
        out.append(
            f"{f.what.capitalize()}: {show('volume', f.volume_m3, system, unit=unit, digits=digits, rounding='up')}{time}."
        )
    out += [f"Lifts: {x.count} by {x.by}." for x in k.lifts]
    if k.mass_kg:
        loads = ", or ".join(f"{n} {name} load{'s' if n != 1 else ''}" for name, n in k.vehicles.items())
        out.append(
            f"Mass: {show('mass', k.mass_kg, system, rounding='up')}: {k.pallets} pallet{'s' if k.pallets != 1 else ''}; {loads}. Read the plate of the vehicle."
        )
    return out


def best_words(b: Best, system: System) -> list[str]:
    """What only the stock is good for."""

    def down(v: float) -> str:
        return show("speed", v, system, rounding="down")

    spread = ", ".join(f"{n} at each {GROUPS.get(g, (g, g))[0]}" for g, n in b.by_group.items())
    return [f"With only the {so_many(b.brought, b.item)} brought it holds to {down(b.gust_m_s)}; gives first: {b.governed_by}.",
           f"Spread them so: {spread} = {b.used}" + (f"; what is left, {b.brought - b.used}, helps nothing there: keep it as spare." if b.used < b.brought else "."),
           f"Set up only below {down(b.set_up_below_m_s)}; people out from {down(b.people_out_m_s)} (3 s gusts at {'33 ft' if system == 'us' else '10 m'})."]  # fmt: skip


def pack_lines(k: Packing, plan: Plan) -> list[str]:
    """The list for a terminal."""
    system = plan.show_units
    rows = [HEAD[:-1], *(r[:-1] for r in _rows(k, system))]
    lines = [
        *wrap(f"PACK FOR: {k.name}"),
        *wrap(plan.policy.after(_for(plan))),
        *(x for t in record_words(plan.record) for x in wrap(t)),
        "",
        *table(rows, "lrrrrrr"),
        "",
    ]
    lines += [x for i in k.items if i.note for x in wrap(f"{i.name}: {i.note}.", "- ")]
    lines += ["", *(x for t in work_words(k, system) for x in wrap(t))]
    short = [f"SHORT: {so_many(i.short, i.name)}." for i in k.items if i.short]
    lines += ["", *short] if short else []
    if k.best is not None:
        lines += [x for t in best_words(k.best, system) for x in wrap(t)]
    return [*lines, "", *(x for t in k.notes for x in wrap(t))]


def _for(plan: Plan) -> str:
    gust = show("speed", plan.wind.gust_m_s, plan.show_units, rounding="up")
    if plan.anchorage.sized:
        return f"To {plan.subject} in gusts of {gust}."
    asked = next((a for a in plan.alternatives if a.subject == plan.subject), None)
    more = (
        ""
        if asked is None or asked.total is None
        else f" To {plan.subject} in gusts of {gust} takes {asked.total}."
    )
    return f"For what the file says is placed, not for a gust.{more}"


def pack_document(k: Packing, plan: Plan, made: Made, paper: Paper) -> Document:
    """The list as a page, with a box to tick."""
    system = plan.show_units
    rows = tuple(("☐", *r) for r in _rows(k, system))
    blocks: list[Block] = [
        Para(f"PACK: {k.name}", bold=True, size=1.6),
        Para(_for(plan), bold=True),
        *(Para(t) for t in record_words(plan.record)),
        Grid(("", *HEAD), rows, "clrrrrrrl", (0, 0, 0, 0, 0, 0, 0, 0, 1), bold=(1, 4, 6)),
        Heading("WORK AND LOADS"),
        Bullets(tuple(work_words(k, system))),
    ]
    if k.best is not None:
        blocks += [
            Heading("SHORT: with only what was brought"),
            *(Para(t, bold=True, size=1.1) for t in best_words(k.best, system)),
        ]
    blocks += [
        Heading("NOTES"),
        Bullets(k.notes),
        Para(f"Weakest provenance: {plan.provenance.weakest}; loads, spares and crew are common practice."),
    ]
    return Document(
        title=f"{k.name}: packing list",
        blocks=tuple(blocks),
        foot=plan.policy.after(made.foot),
        paper=paper,
        about="What to bring",
    )
