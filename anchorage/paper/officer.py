"""After the page of the crew: why, what if, the rows to sign, the cautions; every check, what it stands on, the working."""

from __future__ import annotations

import math

from anchorage.core.say import numeral, say
from anchorage.core.told import in_words
from anchorage.core.units import both, show
from anchorage.core.words import out_of, spoken
from anchorage.judging.result import CheckOut, Plan
from anchorage.paper.blocks import Beside, Block, Break, Bullets, Grid, Heading, Lines, Para
from anchorage.paper.content import SheetIn, down
from anchorage.paper.text import brought_words, load_words, moves_most, strength_words
from anchorage.paper.words import limit_text

"""Parts of the working that the sheet carries; the rest is printed by ``check --working``."""
KINDS = {"N": "force", "N*m": "moment", "Pa": "pressure", "m": "length"}
"""Kind of quantity of each unit of a check; any other is a gust squared."""
LEFT_OUT = ("  p = ", "  T = ", "  ρ = ")
"""Steps of the working that are not on the sheet: the density of the air is."""
ROWS_TO_INSPECT = 3
MOST_LINES, LAST_LINES = 60, 20
"""Lines of working on the sheet, and those at its end that are never left out."""


def amounts(c: CheckOut, plan: Plan) -> str:
    """``432 lbf of 3280 lbf``."""
    system = plan.show_units
    kind = KINDS.get(c.unit)
    if kind is None:  # gusts squared
        return out_of(*(show("speed", math.sqrt(v), system, digits=1) for v in (c.demand, c.capacity)))
    digits = 2 if kind == "pressure" and system == "us" else None
    return out_of(*(show(kind, v, system, digits=digits) for v in (c.demand, c.capacity)))


def check_grid(plan: Plan) -> Grid:
    """Every check: load, gust that it takes alone, amounts, load case."""
    rows = []
    for c in plan.checks:
        holds = "-" if c.holds_to_m_s is None else limit_text(plan, c.holds_to_m_s)
        rows.append((str(c.check), spoken(c.where), load_words(c), holds, amounts(c, plan), c.case))
    return Grid(
        (
            say("check"),
            say("where"),
            say("load"),
            say("holds to"),
            say("demand of capacity"),
            say("load case"),
        ),
        tuple(rows),
        "llrrll",
        (0, 0, 0, 0, 0, 1),
        size=0.9,
    )


def _wind(plan: Plan) -> str:
    w, system = plan.wind, plan.show_units
    q = show("pressure", w.velocity_pressure_pa, system, digits=2 if system == "us" else 1)
    return say(
        "Wind: {as_typed} as typed; 3 s gust at 10 m {gust_m_s}, service level. Method {method}, terrain {exposure}, air {density_kg_m3}: q = {q} ({velocity_pressure_pa} Pa).",
        as_typed=w.as_typed,
        gust_m_s=show("speed", w.gust_m_s, system, digits=1),
        method=w.method,
        exposure=w.exposure,
        density_kg_m3=show("density", w.density_kg_m3, system),
        q=q,
        velocity_pressure_pa=numeral(w.velocity_pressure_pa, ".1f"),
    )


def _demand(plan: Plan) -> str:
    d, system = plan.demand, plan.show_units
    return say(
        "Wind on the whole, unfactored, largest of all cases: up {uplift_n}, push {sliding_n}, overturning {overturning_n_m}. Governing case: {case}.",
        uplift_n=show("force", d.uplift_n, system, rounding="up"),
        sliding_n=show("force", d.sliding_n, system, rounding="up"),
        overturning_n_m=show("moment", d.overturning_n_m, system, rounding="up"),
        case=d.case,
    )


def _margins(plan: Plan) -> str:
    factors = ", ".join(f"{k} {v:g}" for k, v in plan.margins.items() if isinstance(v, int | float))
    return say(
        "Margins {set}: {factors}. On top of them, counts are sized for the level of the use (operating policy, not strength).",
        set=plan.margins.get("set", ""),
        factors=factors,
    )


def _what_if(plan: Plan) -> list[str]:
    out, half, lost = [], plan.half_built, plan.lost_anchor
    if half is not None:
        holds = (
            say("cannot be judged")
            if half.gust_m_s is None
            else say(
                "holds to {gust_m_s}", gust_m_s=both("speed", half.gust_m_s, plan.show_units, rounding="down")
            )
        )
        out.append(say("Half built it {holds}. {note}", holds=holds, note=half.note))
    if lost is not None:
        more = show("force", lost.neighbour_more_n, plan.show_units, rounding="up")
        out.append(
            say(
                "With {point} gone it holds to {gust_m_s}; {neighbour} then takes {more} more.",
                point=lost.point,
                gust_m_s=down(lost.gust_m_s, plan),
                neighbour=lost.neighbour,
                more=more,
            )
            + (
                ""
                if lost.lifts_m_s is None
                else say(
                    " This foot lifts from {lifts_m_s}: nobody in it then.",
                    lifts_m_s=down(lost.lifts_m_s, plan),
                )
            )
        )
    return out


def _stock(plan: Plan) -> list[str]:
    out = []
    for s in plan.stock:
        out.append(brought_words(plan, s))
        if s.short and s.holds_with_stock_m_s is not None:
            out.append(
                say(
                    "With only what was brought it holds to {holds_with_stock_m_s}.",
                    holds_with_stock_m_s=down(s.holds_with_stock_m_s, plan),
                )
            )
    return out


def working_lines(lines: tuple[str, ...]) -> tuple[str, ...]:
    """The parts of the working that the sheet carries, no line twice, cut at a length that is said."""
    out, seen, pressures = list[str](), set[str](), 0
    for line in lines:
        title = bool(line) and not line.startswith(" ")
        if title:
            pressures = 0
        if not line or pressures or (line in seen and not title) or line.startswith(LEFT_OUT):
            continue
        pressures += line.startswith("  q = ")
        seen.add(line)
        out.append(line)
    if len(out) > MOST_LINES:  # the end is what the limit stands on: it always stays
        out = [
            *out[: MOST_LINES - LAST_LINES],
            say("... more: anchorage check FILE --working ..."),
            *out[-LAST_LINES:],
        ]
    return tuple(out)


def _sign() -> tuple[Block, ...]:
    head = ("", say("name"), say("position, title"), say("signature"), say("date and time"))
    rows = tuple(
        (who, "", "", "", "") for who in (say("Set up by"), say("Checked by"), say("Safety officer"))
    )
    return Heading(say("SIGNED: the figures above were compared with what stands on the ground")), Grid(
        head, rows, "lllll", (0, 1.3, 1, 1.3, 1), tall=True
    )


def _inspect() -> tuple[Block, ...]:
    head = (
        say("date, time"),
        say("after what"),
        say("bags, stakes, lines"),
        say("straps, doors"),
        "snow",
        say("peak gust"),
        say("who"),
    )
    rows = tuple(("",) * 7 for _ in range(ROWS_TO_INSPECT))
    return (
        Heading(
            say(
                "INSPECTION: each shift, after wind, rain, snow, frost or thaw, and whenever something is moved"
            )
        ),
        Grid(head, rows, "lllllll", (1, 1.2, 1.6, 1.2, 0.7, 0.8, 1.1), tall=True),
    )


def officer_blocks(s: SheetIn) -> list[Block]:
    """Why, what if, what is signed; then the cautions; then what the engineer wants to check."""
    p = s.plan
    why = [r.text for r in p.reasons]
    left: list[Block] = [Heading(say("WHY")), Bullets(tuple(why))] if why else []
    left += [Heading(say("WHAT IF")), Bullets((*_what_if(p), *_stock(p), *in_words(p.advice)))]
    right: list[Block] = (
        [Heading(say("TAKEN AS TRUE: correct what is wrong")), Bullets(tuple(in_words(p.assumptions)))]
        if p.assumptions
        else []
    )
    cautions = tuple(f"{c.text} [{c.source}]" for c in p.cautions)
    return [
        Beside((tuple(left), tuple(right)), (1.0, 1.0)) if right else Beside((tuple(left),), (1.0,)),
        *_inspect(),
        *_sign(),
        Break(soft=True),
        Heading(say("CAUTIONS, always")),
        Bullets(cautions, columns=2, size=0.9),
        Break(soft=True),
        *_engineer(s),
    ]


def _engineer(s: SheetIn) -> list[Block]:
    """Every check, what it stands on, the working of what governs, the record."""
    p = s.plan
    tried = p.provenance.tried
    weak = f": {', '.join(p.provenance.weak)}" if p.provenance.weak and not tried else ""
    stands = say(
        "Weakest provenance of any figure used: {weakest}{weak}.",
        weakest=spoken(p.provenance.weakest),
        weak=weak,
    )
    holds = say("What holds: {strength_words}.", strength_words=strength_words(p))
    texts = [
        _wind(p),
        _demand(p),
        f"{holds} {_margins(p)}",
        f"{stands} {moves_most(p)}" if tried else stands,
    ]
    out: list[Block] = [
        Heading(say("FOR THE ENGINEER")),
        *(Para(t, size=0.92) for t in texts),
        check_grid(p),
    ]
    if s.working:
        out += [
            Heading(say("WORKING of the governing check; all of it: anchorage check FILE --working")),
            Lines(working_lines(s.working), columns=2),
        ]
    if s.record:
        out += [
            Heading(say("RECORD")),
            Grid((say("time"), say("who"), say("what")), s.record, "lll", (0, 0, 1), size=0.85),
        ]
    return out
