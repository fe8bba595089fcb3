"""A comparison of ways as lines of text: for what is meant first, then what asks for less, then what does not do it."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from anchorage.core.plain import inert, wrap
from anchorage.core.say import later, plural, say
from anchorage.core.units import System, show
from anchorage.core.words import VERDICTS, named, so_many, spoken
from anchorage.deployment.policy import SUBJECTS
from anchorage.judging.result import Plan
from anchorage.paper.text import AT_EACH, rule
from anchorage.ways.result import AtPointOut, WayOut, WaysOut

NOT_ANCHORS = ("none",)
LESS = {
    "people-in": later("ONLY WHERE NOBODY COMES OR GOES: people inside, doors shut"),
    "empty": later("EMPTY ONLY: everyone out before the gust that each line names"),
    "working": later("PEOPLE COMING AND GOING"),
    "set-up": later("SETTING UP"),
}


def spread_words(points: Sequence[AtPointOut], groups: dict[str, str]) -> str:
    """``14 at each corner, 5 at each side point``, things that differ apart; by the names of the points where a group differs."""
    parts = []
    used = [p for p in points if p.kind not in NOT_ANCHORS and p.units]
    items = list(dict.fromkeys(p.unit for p in used))
    for item in items:
        mine = [p for p in used if p.unit == item]

        def many(n: int, item: str = item) -> str:
            return f"{n} {named(inert(item), n)}" if len(items) > 1 else f"{n}"

        by_group: dict[str, list[AtPointOut]] = {}
        for p in mine:
            by_group.setdefault(groups[p.id], []).append(p)
        if all(
            len(here) == list(groups.values()).count(g) and len({p.units for p in here}) == 1
            for g, here in by_group.items()
        ):
            parts += [say(AT_EACH[g], n=many(here[0].units)) for g, here in by_group.items()]
        else:
            parts += [
                say("{units} at {points}", units=many(n), points=" ".join(p.id for p in mine if p.units == n))
                for n in sorted({p.units for p in mine}, reverse=True)
            ]
    return ", ".join(parts) if parts else say("nothing placed")


def cost_words(w: WayOut, system: System) -> list[str]:
    """What it costs: minutes, mass, water, loads, hands."""
    clock = -(-int(w.person_min + 0.999) // w.crew)
    out = [
        say(
            "{person_min} person-minutes, {clock} min for {crew}",
            person_min=f"{w.person_min:.0f}",
            clock=clock,
            crew=w.crew,
        )
    ]
    if w.mass_kg:
        out.append(say("{mass_kg} handled", mass_kg=show("mass", w.mass_kg, system, rounding="up")))
    if w.water_kg:
        out.append(say("{water_kg} of water", water_kg=show("volume", w.water_kg / 1000.0, system, unit="US gal" if system == "us" else "L", digits=0, rounding="up")))  # fmt: skip
    if w.loads:
        out.append(
            say(" or ").join(
                plural("{n} {name} load", "{n} {name} loads", n, name=spoken(k)) for k, n in w.loads.items()
            )
        )
    if w.hands and w.hands != "one person":
        out.append(say("{hands} to lift one", hands=spoken(w.hands)))
    return out


DASH = "- "
"""What the lines of a list begin with."""


@dataclass(frozen=True)
class Piece:
    """A paragraph of the comparison. head: a heading; way: the first line of a way; lead, hang: what its lines begin with."""

    text: str
    lead: str = ""
    hang: str = ""
    head: bool = False
    way: bool = False
    gap: bool = False
    """An empty line before it."""


def _named(w: WayOut, found: WaysOut) -> str:
    """Verdict and name; where less is asked for than by the file, that stands before the verdict."""
    name, verdict = inert(w.name), VERDICTS[w.verdict]
    return f"{name}: {verdict}" if w.use != found.use or "wind.speed" in w.changes else f"{verdict}: {name}"


def _by_side(w: WayOut, found: WaysOut, holds: str) -> str:
    """What it holds from the weakest side, then in the wind that is forecast."""
    system, share = found.show_units, found.policy.people_out
    least, gust = w.any_side_m_s or 0.0, w.gust_m_s or 0.0
    return say(
        "From any side it holds to {least}; people out from {out}. Only while the wind stays where the forecast has it: {holds}, out from {out_there}. Gives first: {gives_first}.",
        least=show("speed", least, system, rounding="down"),
        out=show("speed", share * least, system, rounding="down"),
        holds=holds,
        out_there=show("speed", share * gust, system, rounding="down"),
        gives_first=spoken(w.gives_first),
    )


def way_pieces(
    n: int, w: WayOut, found: WaysOut, groups: dict[str, str], common: Sequence[str]
) -> list[Piece]:
    """One way."""
    system = found.show_units
    holds = say("no gust found") if w.gust_m_s is None else show("speed", w.gust_m_s, system, rounding="down")
    out = "" if w.gust_m_s is None else say("; people out from {people_out}", people_out=show("speed", found.policy.people_out * w.gust_m_s, system, rounding="down"))  # fmt: skip
    items = {p.unit for p in w.points if p.units}
    total = (
        so_many(w.total, named(inert(next(iter(items))), 2))
        if len(items) == 1
        else say("{total} in all", total=w.total)
    )
    texts = [
        say(
            "Holds to {holds}{out}. Gives first: {gives_first}.",
            holds=holds,
            out=out,
            gives_first=spoken(w.gives_first),
        )
        if w.any_side_m_s is None
        else _by_side(w, found, holds)
    ]
    if w.bound_m_s is not None and w.gust_m_s is not None and w.gust_m_s < w.bound_m_s * 0.999:
        more = show("speed", w.bound_m_s, system, rounding="up")
        texts.append(say("Not proved to be the most: no arrangement of these holds over {more}.", more=more))
    if w.least_min is not None and w.least_min < w.person_min - 0.5:
        texts.append(
            say(
                "Not proved to be the least work: none that does it takes under {least} person-minutes.",
                least=f"{w.least_min:.0f}",
            )
        )
    texts += [f"{total}: {spread_words(w.points, groups)}.", "; ".join(cost_words(w, system)) + "."]
    needs = say("needs: ")
    return [
        Piece(_named(w, found), f"{n:2}. ", "    ", way=True),
        *(Piece(t, "    ", "    ") for t in texts),
        *(Piece(t, f"    {needs}", " " * (4 + len(needs))) for t in w.needs if t not in common),
    ]


def after_words(w: WayOut, system: System) -> str:
    """What follows the first that gives, and the unit more that helps most: for the engineer."""

    def at(gust: float | None) -> str:
        return say("any gust") if gust is None else show("speed", gust, system, rounding="down")

    if w.first_nominal_m_s is None:
        return say("Nothing gives at any gust.")
    then = "".join(
        say(", then {point} at {gust}", point=n.point, gust=at(n.gust_m_s)) for n in w.fails_next
    ) or say(" and takes the whole with it")
    on = say("holds on") if w.holds_on else say("does not hold on")
    more = say("no single unit more raises the limit") if w.one_more is None else say("one unit more at {point} raises the limit most, to {at}", point=w.one_more.point, at=at(w.one_more.gust_m_s))  # fmt: skip
    return say(
        "With no margin anywhere the first gives at {at}{then}: it {on}; {more}. KEEP AWAY is from the first to give, whatever follows.",
        at=at(w.first_nominal_m_s),
        then=then,
        on=on,
        more=more,
    )


def _uses(
    found: WaysOut, groups: dict[str, str], common: Sequence[str], *, engineer: bool
) -> Iterator[Piece]:
    """The ways by use, that of the file first and empty last."""
    n = 0
    for use in dict.fromkeys((found.use, "people-in", "empty")):
        mine = [w for w in found.ways if w.use == use]
        if not mine and use != found.use:
            continue
        title = (
            say("TO {use}, least work first", use=spoken(SUBJECTS[use]).upper())
            if use == found.use
            else str(LESS[use])
        )
        yield Piece(title, head=True, gap=True)
        if not mine:
            yield Piece(say("None of the ways that were tried does it."))
        for w in mine:
            n += 1
            yield from way_pieces(n, w, found, groups, common)
            if engineer:
                yield Piece(after_words(w, found.show_units), f"    {say('engineer: ')}", "           ")


def ways_pieces(found: WaysOut, plan: Plan, *, engineer: bool = False) -> list[Piece]:
    """The whole comparison. engineer: with what follows the first that gives."""
    groups = {p.id: p.group for p in plan.anchorage.points}
    gust = show("speed", found.gust_m_s, found.show_units, rounding="up")
    needs = [set(w.needs) for w in found.ways]
    common = [t for t in found.ways[0].needs if all(t in n for n in needs)] if len(needs) > 1 else []
    out = [
        Piece(say("WAYS TO HOLD IT: {found}", found=inert(found.name))),
        Piece(
            say(
                "To {use}, gusts to {gust}. The file as it is: {headline}",
                use=spoken(SUBJECTS[found.use]),
                gust=gust,
                headline=plan.headline,
            )
        ),
        *(
            []
            if found.stock_given
            else [Piece(say("What was brought is not in the file ([stock]): this is what to bring."))]
        ),
        *(Piece(say("WHATEVER HOLDS IT: {text}", text=r.text)) for r in found.whatever),
        *_uses(found, groups, common, engineer=engineer),
    ]
    if common:
        out += [Piece(say("ALL OF THEM NEED"), head=True, gap=True), *(Piece(t, DASH, "  ") for t in common)]
    if found.beaten:
        out.append(
            Piece(
                say(
                    "{beaten} more do it and are beaten in work and in gust by one of these.",
                    beaten=found.beaten,
                ),
                gap=True,
            )
        )
    why: dict[str, list[str]] = {}
    for o in found.not_:
        why.setdefault(o.why, []).append(o.name)
    if why:
        out.append(Piece(say("DOES NOT DO IT"), head=True, gap=True))
        out += [
            Piece(f"{inert('; '.join(names))}: {inert(text.rstrip('.'))}.", DASH, "  ")
            for text, names in why.items()
        ]
    out += [
        Piece(say("CAUTIONS"), head=True, gap=True),
        *(Piece(c.short or c.text, DASH, "  ") for c in plan.cautions),
    ]
    rates = say("rates of sandbags were read, the others are from memory; ") if found.from_memory else ""
    last = say(
        "time your own crew. Counts and gusts are those that check gives for the file with the changes of --json."
    )
    out.append(Piece(say("Person-minutes rank the ways: ") + rates + last, gap=True))
    return out


def ways_lines(found: WaysOut, plan: Plan, *, engineer: bool = False) -> list[str]:
    """The comparison for a terminal."""
    lines: list[str] = []
    for p in ways_pieces(found, plan, engineer=engineer):
        lines += [""] if p.gap else []
        lines += [rule(p.text)] if p.head else wrap(p.text, p.lead, p.hang)
    return lines
