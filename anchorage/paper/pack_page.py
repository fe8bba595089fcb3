"""The packing list as a page and as lines of text."""

from __future__ import annotations

import math

from anchorage.core.plain import table, wrap
from anchorage.core.say import capital, later, plural, say
from anchorage.core.units import System, show
from anchorage.core.words import so_many, spoken
from anchorage.judging.gusts import cannot_stand, printed
from anchorage.judging.packing import Packing
from anchorage.judging.result import Plan
from anchorage.paper.blocks import Block, Bullets, Document, Grid, Heading, Paper, Para
from anchorage.paper.content import Made
from anchorage.paper.text import spread_parts
from anchorage.paper.words import record_words

HEAD = (
    later("what"), later("needed"), later("spare"), later("bring"), later("brought"), later("short"), later("mass"), "",
)  # fmt: skip


def _rows(k: Packing, system: System) -> list[tuple[str, ...]]:
    out: list[tuple[str, ...]] = []
    for i in k.items:
        brought = "?" if i.brought is None else str(i.brought)
        short = "" if i.short is None else str(i.short) if i.short else say("none")
        mass = show("mass", i.mass_kg, system, rounding="up") if i.mass_kg else ""
        out.append((spoken(i.name), str(i.needed), str(i.spare), str(i.bring), brought, short, mass, i.note))
    return out


def _hours(hours: float) -> str:
    minutes = math.ceil(hours * 12 - 1e-9) * 5
    return (
        say("{minutes} h {minutes_2} min", minutes=minutes // 60, minutes_2=f"{minutes % 60:02d}")
        if minutes >= 60
        else say("{minutes} min", minutes=minutes)
    )


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
            else say(
                ", {crew} people need {hours} to fill and place {units} bags",
                crew=f.crew,
                hours=_hours(f.hours),
                units=f.units,
            )
        )
        out.append(
            f"{capital(spoken(f.what))}: {show('volume', f.volume_m3, system, unit=unit, digits=digits, rounding='up')}{time}."
        )
    out += [say("Lifts: {count} by {by}.", count=x.count, by=spoken(x.by)) for x in k.lifts]
    if k.mass_kg:
        loads = say(", or ").join(
            plural("{n} {name} load", "{n} {name} loads", n, name=spoken(name))
            for name, n in k.vehicles.items()
        )
        out.append(
            plural(
                "Mass: {mass}: {n} pallet; {loads}. Read the plate of the vehicle.",
                "Mass: {mass}: {n} pallets; {loads}. Read the plate of the vehicle.",
                k.pallets,
                mass=show("mass", k.mass_kg, system, rounding="up"),
                loads=loads,
            )
        )
    return out


def best_words(k: Packing, plan: Plan) -> list[str]:
    """What only the stock is good for: the spread and the gust of the plan, and when to act then."""
    b = k.best
    if b is None:
        return []
    out = [say("With only the {brought} brought it holds to {gust_m_s}; gives first: {governed_by}.", brought=so_many(b.brought, b.item), gust_m_s=printed(plan, b.gust_m_s), governed_by=spoken(b.governed_by))]  # fmt: skip
    for s in plan.stock:
        if s.spread:
            used = sum(s.spread.values())
            out.append(say("Spread them so: {spread} = {used}", spread=spread_parts(plan, s), used=used) + (say("; what is left, {brought}, helps nothing there: keep it as spare.", brought=s.brought - used) if used < s.brought else "."))  # fmt: skip
    if b.lull:
        out.append(say("Raise it only in a lull under {lull}.", lull=b.lull))
    return [*out, say("Set up only in gusts below {set_up_below_m_s}; people out from {people_out_m_s} (3 s gusts at {system}).", set_up_below_m_s=printed(plan, b.set_up_below_m_s), people_out_m_s=printed(plan, b.people_out_m_s), system="33 ft" if plan.show_units == "us" else "10 m")]  # fmt: skip


def pack_lines(k: Packing, plan: Plan) -> list[str]:
    """The list for a terminal."""
    system = plan.show_units
    rows = [HEAD[:-1], *(r[:-1] for r in _rows(k, system))]
    lines = [
        *wrap(say("PACK FOR: {name}", name=k.name)),
        *wrap(plan.policy.after(_for(plan))),
        *(wrap(cannot_stand(plan)) if plan.does_not_do else ()),
        *(x for t in record_words(plan.record) for x in wrap(t)),
        "",
        *table(rows, "lrrrrrr"),
        "",
    ]
    lines += [x for i in k.items if i.note for x in wrap(f"{spoken(i.name)}: {i.note}.", "- ")]
    lines += ["", *(x for t in work_words(k, system) for x in wrap(t))]
    short = [say("SHORT: {short}.", short=so_many(i.short, i.name)) for i in k.items if i.short]
    lines += ["", *short] if short else []
    if k.best is not None:
        lines += [x for t in best_words(k, plan) for x in wrap(t)]
    return [*lines, "", *(x for t in k.notes for x in wrap(t))]


def _for(plan: Plan) -> str:
    gust = show("speed", plan.wind.gust_m_s, plan.show_units, rounding="up")
    if plan.anchorage.sized:
        return say("To {subject}, in gusts of {gust}.", subject=spoken(plan.subject), gust=gust)
    asked = next((a for a in plan.alternatives if a.subject == plan.subject), None)
    more = (
        ""
        if asked is None or asked.total is None
        else say(
            " To {subject}, in gusts of {gust}, takes {total}.",
            subject=spoken(plan.subject),
            gust=gust,
            total=asked.total,
        )
        if asked.does_it
        else say(
            " To {subject}, in gusts of {gust}, takes {total}: NOT POSSIBLE, that is more than a point can have.",
            subject=spoken(plan.subject),
            gust=gust,
            total=asked.total,
        )
    )
    return say("For what the file says is placed, not for a gust.{more}", more=more)


def pack_document(k: Packing, plan: Plan, made: Made, paper: Paper) -> Document:
    """The list as a page, with a box to tick."""
    system = plan.show_units
    rows = tuple(("☐", *r) for r in _rows(k, system))
    blocks: list[Block] = [
        Para(say("PACK: {name}", name=k.name), bold=True, size=1.6),
        Para(_for(plan), bold=True),
        *((Para(cannot_stand(plan), bold=True),) if plan.does_not_do else ()),
        *(Para(t) for t in record_words(plan.record)),
        Grid(("", *HEAD), rows, "clrrrrrrl", (0, 0, 0, 0, 0, 0, 0, 0, 1), bold=(1, 4, 6)),
        Heading(say("WORK AND LOADS")),
        Bullets(tuple(work_words(k, system))),
    ]
    if k.best is not None:
        blocks += [
            Heading(say("SHORT: with only what was brought")),
            *(Para(t, bold=True, size=1.1) for t in best_words(k, plan)),
        ]
    blocks += [
        Heading(say("NOTES")),
        Bullets(k.notes),
        Para(
            say(
                "Weakest provenance: {weakest}; loads, spares and crew are common practice.",
                weakest=spoken(plan.provenance.weakest),
            )
        ),
    ]
    return Document(
        title=say("{name}: packing list", name=k.name),
        blocks=tuple(blocks),
        foot=plan.policy.after(made.foot),
        paper=paper,
        about=say("What to bring"),
    )
