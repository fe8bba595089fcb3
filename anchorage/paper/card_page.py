"""The card as a page: made beforehand, for when there is no power and no screen."""

from __future__ import annotations

from anchorage.core import tables
from anchorage.core.units import System, show
from anchorage.deployment.models import Deployment
from anchorage.judging.card import SHOWN, Card, Cell
from anchorage.judging.result import Plan
from anchorage.loads.wind_trip import hand_height, trip
from anchorage.paper.blocks import Beside, Block, Bullets, Document, Grid, Heading, Paper, Para
from anchorage.paper.content import Made, height_words
from anchorage.paper.text import plural
from anchorage.paper.words import record_words

WORDS = {"dry": "DRY", "wet": "WET", "ice": "ICE"}
LIMITS_US, LIMITS_SI = (15, 20, 25, 30, 35, 40, 45, 50, 60), (6, 8, 10, 12, 14, 16, 18, 20, 25)
MPH = 0.44704
"""m/s, exact."""
READINGS = 9


def _cell(c: Cell | None, system: System) -> str:
    if c is None:
        return "-"
    return show("speed", c.gust, system, rounding="down").split()[0] + ("*" if c.by_rating else "")


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


def _limits(plan: Plan, d: Deployment) -> Grid:
    """From a limit to the three levels, as gust at 10 m and on the hand-held meter."""
    system = plan.show_units
    rows, scale = [], MPH if system == "us" else 1.0
    for n in LIMITS_US if system == "us" else LIMITS_SI:
        row = [str(n)]
        for part in (plan.policy.secure, plan.policy.people_out, plan.policy.keep_away):
            t = trip(d, n * scale * part)
            row += [show("speed", v, system, rounding="down").split()[0] for v in (t.gust, t.reading)]
        rows.append(tuple(row))
    high = "33\u00a0ft" if system == "us" else "10\u00a0m"
    head = ("limit", f"SECURE {high}", "by hand", f"OUT {high}", "by hand", f"KEEP AWAY {high}", "by hand")
    return Grid(head, tuple(rows), "rrrrrrr", (1,) * 7, bold=(0, 2, 4, 6), size=0.95)


def _snow(card: Card, plan: Plan) -> tuple[Block, ...]:
    system = plan.show_units
    if not card.snow:
        return (
            Heading("SNOW ON THE ROOF"),
            Para("Not given by the file: ask the maker. Until then keep the roof clear.", bold=True),
        )
    rows = []
    for straps, depths in card.snow.items():
        deep = [show("length", depths[k], system, rounding="down") for k in ("new", "settled", "wet")]
        rows.append(
            (
                f"straps {straps}",
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
        Heading("SNOW ON THE ROOF, at most"),
        Grid(("", "load", "new", "settled", "wet"), tuple(rows), "lrrrr", (1, 0, 0, 0, 0), bold=(2, 3, 4)),
        Para(text),
    )


def _what_to_do() -> tuple[Block, ...]:
    secure = [t.text for t in tables.texts("action-secure-")]
    return (
        Heading("WHAT TO DO AT EACH LEVEL"),
        Para("SET UP only below SECURE, and below what it holds half built.", bold=True),
        Para("SECURE:", bold=True),
        Bullets(tuple(secure)),
        Para(
            "PEOPLE OUT: everybody out, away from the downwind side. Count them. Back only after an inspection.",
            bold=True,
        ),
        Para("KEEP AWAY: nobody near. Do not try to save it. If it lifts, let go.", bold=True),
        Para(
            "THUNDER: everybody to a building or a hard-topped vehicle, whatever this card says; back 30 min after the last.",
            bold=True,
        ),
    )


def card_document(card: Card, plan: Plan, d: Deployment, made: Made, paper: Paper) -> Document:
    """One page."""
    system = plan.show_units
    unit, height = ("mph", "33 ft") if system == "us" else ("m/s", "10 m")
    each = f", {show('mass', card.mass_each, system)} each" if card.mass_each else ""
    head = (
        "at each point",
        "in all",
        *(f"{WORDS[s]} shut" for s in SHOWN),
        *(f"{WORDS[s]} open" for s in SHOWN),
    )
    grid = Grid(head, _rows(card, system), "rrrrrrrr", (1,) * 8, bold=(2, 3, 4, 5, 6, 7), size=1.2)
    only = (
        " The maker's rating of the frame is not given: these are for the anchorage only."
        if plan.limit.anchorage_only
        else " *: set by the maker's rating or local policy, not by the anchorage."
    )
    blanks = tuple(("",) * 6 for _ in range(READINGS))
    blocks: list[Block] = [
        Para(f"CARD: {plan.name}", bold=True, size=1.6),
        Para(f"Gust that it takes, {unit}: 3 s gust at {height}. Rows: {plural(card.item, 2)} at EACH of {card.points} points{each}. Open: {card.open_means}. -: cannot be judged.{only}", bold=True),
        *(Para(t) for t in record_words(plan.record)),
        grid,
        *(Para(n) for n in card.notes),
        Beside((
            (Heading(f"FROM THE LIMIT TO THE LEVELS, {unit}"), _limits(plan, d),
             Para(f"By hand: meter {height_words(hand_height(), system)} up, facing the wind, {tables.row('hand-held', 'clear').value:g} heights clear, peak held. A lower reading never relaxes a level."),
             *_snow(card, plan)),
            _what_to_do(),
        ), (1.25, 1.0)),
        Heading("READINGS"),
        Grid(("date, time", "peak by hand", "from", "snow on roof", "level", "who, what was done"), blanks, "llllll", (1.1, 0.8, 0.6, 0.8, 0.8, 2), tall=True),
        Para("Made beforehand for this shelter, this kind of anchor and this surroundings. Not a permit, not sealed engineering; the maker's manual and the local code govern where stricter. A named person decides.", size=0.85),
    ]  # fmt: skip
    return Document(
        title=f"{plan.name}: card",
        blocks=tuple(blocks),
        foot=plan.policy.after(made.foot),
        paper=paper,
        about="Limiting gusts by units at each point",
    )
