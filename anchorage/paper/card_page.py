"""The card as a page: made beforehand, for when there is no power and no screen."""

from __future__ import annotations

from anchorage.core import tables
from anchorage.core.say import later, numeral, say
from anchorage.core.units import System, show, shown
from anchorage.core.words import snow_kind, spoken
from anchorage.deployment.models import Deployment
from anchorage.judging.card import SHOWN, Card, Cell
from anchorage.judging.result import Plan
from anchorage.loads.wind_trip import hand_height, trip
from anchorage.paper.blocks import Beside, Block, Break, Bullets, Document, Grid, Heading, Paper, Para
from anchorage.paper.content import Made, height_words
from anchorage.paper.text import unit_words
from anchorage.paper.words import record_words

WORDS = {"dry": later("DRY"), "wet": later("WET"), "ice": later("ICE")}
MPH = 0.44704
"""m/s, exact."""
READINGS = 4


def _whole(gust: float, system: System) -> str:
    """A gust as a whole number, down."""
    return shown("speed", gust, system, digits=0, rounding="down").number


def _cell(c: Cell | None, system: System) -> str:
    if c is None:
        return "-"
    return _whole(c.gust, system) + ("*" if c.by_rating else "")


def _rows(card: Card, system: System) -> tuple[tuple[str, ...], ...]:
    return tuple(
        (
            str(r.units),
            str(r.units * card.points),
            *(_cell(r.shut[s], system) for s in SHOWN),
            *(_cell(r.open[s], system) for s in SHOWN),
        )
        for r in card.rows
    )


def looked_up(card: Card, system: System) -> list[int]:
    """Every number that the first table prints: the rows of the second, so that one leads into the other."""
    cells = [c for r in card.rows for c in (*r.shut.values(), *r.open.values()) if c is not None]
    return sorted({n for c in cells if (n := int(_whole(c.gust, system)))})


NARROW = 7
"""Letters of a word that has room in the heads of three tables next to each other."""


def _limits(card: Card, plan: Plan, d: Deployment) -> Grid:
    """From a number of the first table to the three levels, as gust at 10 m and on the hand-held meter."""
    system, policy = plan.show_units, plan.policy
    rows, scale = [], MPH if system == "us" else 1.0
    for n in looked_up(card, system):
        row = [str(n)]
        for part in (policy.secure, policy.people_out, policy.keep_away):
            t = trip(d, n * scale * part)
            both = (
                (t.gust, t.reading) if part < policy.keep_away else (t.reading,)
            )  # the limit itself is the first column
            row += [_whole(v, system) for v in both]
        rows.append(tuple(row))
    high = "33\u00a0ft" if system == "us" else "10\u00a0m"
    head = (
        say("takes"),
        say("SECURE {high}", high=high),
        say("by hand"),
        say("OUT {high}", high=high),
        say("by hand"),
        say("AWAY by hand"),
    )
    return Grid(
        head,
        tuple(rows),
        "rrrrrr",
        (1.0, 1.4, 0.9, 0.9, 0.9, 1.0),
        bold=(0, 2, 4, 5),
        size=0.9,
        columns=1
        + (len(rows) > 6)
        + (len(rows) > 26 and max(len(w) for h in head for w in h.split()) <= NARROW),
    )


def _snow(card: Card, plan: Plan) -> tuple[Block, ...]:
    system = plan.show_units
    if not card.snow:
        return (
            Heading(say("SNOW ON THE ROOF")),
            Para(say("Not given by the file: ask the maker. Until then keep the roof clear."), bold=True),
        )
    rows = []
    for straps, depths in card.snow.items():
        deep = [show("length", depths[k], system, rounding="down") for k in ("new", "settled", "wet")]
        rows.append(
            (
                say("straps {straps}", straps=spoken(straps)),
                show(
                    "pressure",
                    card.snow_load[straps],
                    system,
                    rounding="down",
                    digits=1 if system == "us" else None,
                ),
                *deep,
            )
        )
    text = " ".join(t.text for t in tables.texts("advice-snow"))
    return (
        Heading(say("SNOW ON THE ROOF, at most")),
        Grid(
            ("", say("load"), *map(snow_kind, ("new", "settled", "wet"))),
            tuple(rows),
            "lrrrr",
            (1, 0, 0, 0, 0),
            bold=(2, 3, 4),
        ),
        Para(text),
    )


def _what_to_do() -> tuple[Block, ...]:
    secure = [t.text for t in tables.texts("action-secure-")]
    return (
        Heading(say("WHAT TO DO AT EACH LEVEL")),
        Para(say("SET UP only below SECURE, and below what it holds half built."), bold=True),
        Para(say("SECURE:"), bold=True),
        Bullets(tuple(secure)),
        Para(
            say(
                "PEOPLE OUT: everybody out, away from the downwind side. Count them. Back only after an inspection."
            ),
            bold=True,
        ),
        Para(say("KEEP AWAY: nobody near. Do not try to save it. If it lifts, let go."), bold=True),
        Para(
            say(
                "THUNDER: everybody to a building or a hard-topped vehicle, whatever this card says; back 30 min after the last."
            ),
            bold=True,
        ),
    )


def card_document(
    card: Card, plan: Plan, d: Deployment, made: Made, paper: Paper, *, cautions: bool = False
) -> Document:
    """What it takes, the levels, what to do, rows for readings: one page; with the cautions (in several languages) the rows on a second."""
    system = plan.show_units
    unit, height = ("mph", "33 ft") if system == "us" else ("m/s", "10 m")
    each = say(", {mass_each} each", mass_each=show("mass", card.mass_each, system)) if card.mass_each else ""
    head = (
        say("at each point"),
        say("in all"),
        *(say("{words} shut", words=WORDS[s]) for s in SHOWN),
        *(say("{words} open", words=WORDS[s]) for s in SHOWN),
    )
    grid = Grid(head, _rows(card, system), "rrrrrrrr", (1,) * 8, bold=(2, 3, 4, 5, 6, 7), size=1.2)
    only = (
        say(" The maker's rating of the frame is not given: these are for the anchorage only.")
        if plan.limit.anchorage_only
        else say(" *: set by the maker's rating or local policy, not by the anchorage.")
    )
    blanks = tuple(("",) * 6 for _ in range(READINGS))
    blocks: list[Block] = [
        Para(say("CARD: {plan}", plan=plan.name), bold=True, size=1.6),
        Para(say("Gust that it takes, {unit}: 3 s gust at {height}. Rows: {unit_words} at EACH of {points} points{each}. Open: {open_means}. -: cannot be judged.{only}", unit=unit, height=height, unit_words=unit_words(card.item, 2), points=card.points, each=each, open_means=card.open_means, only=only), bold=True),
        *(Para(t) for t in record_words(plan.record)),
        grid,
        *(Para(n) for n in card.notes),
        Heading(say("FROM WHAT IT TAKES TO THE LEVELS, {unit}: find the number above in the first column", unit=unit)),
        _limits(card, plan, d),
        Para(say("By hand: meter {hand_height} up, facing the wind, {row} heights clear, peak held. A lower reading ends no level.", hand_height=height_words(hand_height(), system), row=numeral(tables.row("hand-held", "clear").value, "g"))),
        *(
            (*_snow(card, plan), Break(soft=True), *_what_to_do())
            if cautions
            else (Beside((_snow(card, plan), _what_to_do()), (1.0, 1.25)),)
        ),
        *((Heading(say("CAUTIONS, always")), Bullets(tuple(c.short for c in plan.cautions), columns=2), Break(soft=True)) if cautions else ()),
        Heading(say("READINGS")),
        Grid((say("date, time"), say("peak by hand"), say("from"), say("snow on roof"), say("level"), say("who, what was done")), blanks, "llllll", (1.1, 0.8, 0.6, 0.8, 0.8, 2), tall=True),
        Para(say("Made beforehand for this shelter, this kind of anchor and this surroundings. Not a permit, sealed by no engineer; where the maker or the local code asks for more, that counts. A named person decides."), size=0.85),
    ]  # fmt: skip
    return Document(
        title=say("{plan}: card", plan=plan.name),
        blocks=tuple(blocks),
        foot=plan.policy.after(made.foot),
        paper=paper,
        about=say("Limiting gusts by units at each point"),
    )
