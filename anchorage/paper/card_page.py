"""The card as a page: made beforehand, for when there is no power and no screen."""

from __future__ import annotations

import math

from anchorage.core import tables
from anchorage.core.closed import CANOPIES
from anchorage.core.out import Level
from anchorage.core.say import capital, later, numeral, say
from anchorage.core.units import System, show, shown
from anchorage.core.words import LEVELS, snow_kind, spoken
from anchorage.deployment.models import Deployment
from anchorage.deployment.policy import ORDER, OperatingPolicy, policy_of
from anchorage.judging.card import SHOWN, Card, Cell
from anchorage.judging.gusts import lull as lull_of
from anchorage.judging.result import Plan
from anchorage.loads.roof_snow import depths_of
from anchorage.loads.wind_trip import hand_height, trip
from anchorage.paper.blocks import Beside, Block, Break, Bullets, Document, Grid, Heading, Paper, Para
from anchorage.paper.content import SheetIn, due_now, heading, height_words
from anchorage.paper.text import unit_words
from anchorage.paper.words import record_words

WORDS = {"dry": later("DRY"), "wet": later("WET"), "ice": later("ICE")}
STRAPS = ("unlocked", "locked")
KINDS = ("new", "settled", "wet")
SNOW_LEVELS: tuple[Level, ...] = ("people-out", "keep-away")
MPH = 0.44704
"""m/s, exact."""
READINGS = (2, 5)
"""Blank rows for readings: so many at least, and at most."""
LINES = 32
"""Lines of the two tables that leave room for no more rows than the least."""
EDGE = 0.7
"""Letters that the edges of a column take."""
FEW = 6
"""Rows of the levels that stand in one table."""


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


def _high(system: System) -> str:
    """The height that a forecast gust is for."""
    return "33\u00a0ft" if system == "us" else "10\u00a0m"


def _limits(card: Card, plan: Plan, d: Deployment) -> Grid:
    """From a number of the first table to the three levels: as the forecast says them, and apart from it as the hand-held meter shows them."""
    system, policy = plan.show_units, plan.policy
    rows, scale = [], MPH if system == "us" else 1.0
    for n in looked_up(card, system):
        found = [trip(d, n * scale * part) for part in (policy.secure, policy.people_out, policy.keep_away)]
        shown = [_whole(t.gust, system) for t in found] + [_whole(t.reading, system) for t in found]
        rows.append((str(n), *shown))
    levels = tuple(str(LEVELS[k]) for k in ORDER[1:])
    head = (say("takes"), *levels, *levels)
    return Grid(
        head,
        tuple(rows),
        "rrrrrrr",
        tuple(max(map(len, h.split())) + EDGE for h in head),
        bold=(0, 4, 5, 6),
        size=0.9,
        columns=1 + (len(rows) > FEW),
        over=(("", 1), (say("FORECAST, gust at {high}", high=_high(system)), 3), (say("HAND METER"), 3)),
        shaded=(4, 5, 6),
        close=True,
    )


def _mine() -> Grid:
    """Boxes for the numbers of this site, so that nobody looks them up in the wind."""
    levels = tuple(str(LEVELS[k]) for k in ORDER[1:])
    head = (
        *levels,
        say("at each point"),
        say("ground"),
        say("openings"),
        say("who decides"),
    )
    return Grid(
        head,
        (("", "", "", "", say("dry / wet / ice"), say("shut / open"), ""),),
        "lllllll",
        (0.9, 1.1, 1.1, 1.1, 1.3, 1.15, 1.6),
        big=True,
        over=((say("WRITE IN HERE: my numbers, hand meter"), 3), (say("they hold only for this"), 4)),
    )


def _snow(card: Card, plan: Plan, policy: OperatingPolicy, *, canopy: bool) -> tuple[Block, ...]:
    system = plan.show_units
    if not card.snow:
        return (
            Heading(say("SNOW ON THE ROOF")),
            Para(say("Not given by the file: ask the maker. Until then keep the roof clear."), bold=True),
        )
    rows: list[tuple[str, ...]] = []
    digits = 1 if system == "us" else None
    for straps, most in card.snow_load.items():
        for level in SNOW_LEVELS:
            load = policy.begins(level) * most
            deep = depths_of(load)
            rows.append(
                (
                    spoken(straps) if level == SNOW_LEVELS[0] else "",
                    str(LEVELS[level]),
                    show("pressure", load, system, rounding="down", digits=digits),
                    *(show("length", deep[k], system, rounding="down") for k in KINDS),
                )
            )
    missing = [] if canopy else [k for k in STRAPS if k not in card.snow_load]
    rows += [(spoken(k), "", "-", "-", "-", "-") for k in missing]
    text = " ".join(t.text for t in tables.texts("advice-snow"))
    return (
        Heading(say("SNOW ON THE ROOF, from")),
        Grid(
            (say("straps"), "", say("load"), *map(snow_kind, KINDS)),
            tuple(rows),
            "llrrrr",
            (0, 0, 0, 0, 0, 0),
            bold=(1, 3, 4, 5),
            size=0.9,
            close=True,
        ),
        *((Para(_without_figure(missing)),) if missing else ()),
        Para(say("PEOPLE OUT: nobody inside, clear the snow from outside. KEEP AWAY: nobody near, not to clear it either."), bold=True),
        Para(text),
    )  # fmt: skip


def _without_figure(missing: list[str]) -> str:
    if missing == ["locked"]:
        return say("-: not in the file. Ask the maker; until then as unlocked.")
    return say("-: not in the file. Ask the maker; until then keep the roof clear.")


def _raising(lull: str) -> str:
    """lull: the gust that the bare shell takes while it is raised; nothing where that is not known."""
    if lull:
        return say("SET UP only while forecast AND meter are below SECURE; raise it, and take it down, only in a lull under {lull}.", lull=lull)  # fmt: skip
    return say("SET UP only while forecast AND meter are below SECURE, and below what it holds half built: ask the maker.")  # fmt: skip


def _what_to_do(lull: str) -> tuple[Block, ...]:
    secure = [t.text for t in tables.texts("action-secure-")]
    secure.append(
        say("Shut doors and added ballast count once done, ice or water at once: look it up again.")
    )
    return (
        Heading(say("WHAT TO DO AT EACH LEVEL")),
        Para(_raising(lull), bold=True),
        Para(say("SECURE:"), bold=True),
        Bullets(tuple(secure), numbered=True),
        Para(
            say(
                "PEOPLE OUT: everybody out, towards where the wind comes from; nobody stays downwind. Count them. Nobody back before the all-clear."
            ),
            bold=True,
        ),
        Para(
            say(
                "KEEP AWAY: nobody near it or its lines, nobody downwind. Count again. Do not try to save it; if it lifts, let go, get clear."
            ),
            bold=True,
        ),
    )


def _after(policy: OperatingPolicy) -> tuple[Block, ...]:
    """What no table of wind says, and what ends a level, as the record has it."""
    return (
        Para(
            say(
                "THUNDER: everybody into a building or a car with a metal roof, whatever this card says; back 30 min after the last; a level of the wind lasts until the all-clear."
            ),
            bold=True,
        ),
        Para(
            say(
                "ALL-CLEAR: a lower reading ends no level. Who decides does, after {wait} min of readings all under the level below (SECURE: under SECURE) and an inspection without faults.",
                wait=policy.all_clear_wait // 60,
            ),
            bold=True,
        ),
    )


def _example(card: Card, system: System, limits: Grid) -> str:
    """The way through both tables with numbers of this card; nothing where no column has any."""
    for shut, state in ((False, "wet"), (True, "wet"), (False, "dry"), (True, "dry")):
        out = {int(row[0]): int(row[2 if shut else 1]) for row in limits.rows}
        cells = [(r.units, (r.shut if shut else r.open)[state]) for r in card.rows]
        held = [(units, int(_whole(c.gust, system))) for units, c in cells if c is not None]
        found = [(units, n) for units, n in held if n in out and out[n] > 1]
        if not found:
            continue
        gust = out[found[len(found) // 2][1]] - 1
        takes = next(n for n in sorted(out) if out[n] > gust)
        units, n = next((units, n) for units, n in held if n >= takes)
        of = {"gust": gust, "state": WORDS[state], "out": out[takes], "takes": takes, "n": n, "units": units}
        if shut:
            return say("Example: {gust} forecast, people inside, {state}, every opening shut: PEOPLE OUT {out} is over it, row {takes}; {takes} or more is {n}: {units} at each point.", **of)  # fmt: skip
        return say("Example: {gust} forecast, people coming and going, {state}, {openings}: SECURE {out} is over it, row {takes}; {takes} or more is {n}: {units} at each point.", openings=card.open_means, **of)  # fmt: skip
    return ""


def _how_many(example: str) -> tuple[Block, ...]:
    """From a forecast to a row, as the program counts: a level begins at its number, and printed numbers are rounded down."""
    return (
        Heading(say("HOW MANY, from the highest gust forecast while it stands (not the mean wind)")),
        Bullets(
            (
                say(
                    "Under THE LEVELS, FORECAST: the first row whose figure is OVER that gust. People coming and going, or setting up: its SECURE. People inside, doors shut, nobody let in from SECURE on: its PEOPLE OUT. Take its number under TAKES."
                ),
                say(
                    "Here: the column of the worst that the ground may be (ICE wherever it may freeze), open unless every opening stays shut. Down it, the first row with that number or more. None, or only -: do not put it up."
                ),
            ),
            numbered=True,
        ),
        *((Para(example),) if example else ()),
    )


def _now(s: SheetIn) -> tuple[Block, ...]:
    """Where it stands when the card is made, where a forecast or a record is known: what a card for every day does not know."""
    if s.outlook is None and s.stand is None:
        return ()
    due = "; ".join(due_now(s))
    said = say("{headline}, as of {time}", headline=heading(s).text, time=s.made.when)
    return (Para(said, bold=True, size=1.2), *((Para(due, bold=True),) if due else ()))


def card_document(card: Card, s: SheetIn, paper: Paper, *, cautions: bool = False) -> Document:
    """What it takes, the levels, what to do, rows for readings: one page; with the cautions (in several languages) the tables, what to do, and the rest on a page each."""
    plan, d, made = s.plan, s.d, s.made
    system, policy = plan.show_units, policy_of(d)
    unit, height = "mph" if system == "us" else "m/s", _high(system)
    each = (
        say(
            " Each {unit} weighs {mass}.",
            unit=unit_words(card.item, 1),
            mass=show("mass", card.mass_each, system),
        )
        if card.mass_each
        else ""
    )
    states = tuple(str(WORDS[s]) for s in SHOWN)
    record = plan.record
    if record is not None and s.stand is not None:  # its head says the level
        record = record.model_copy(update={"level": None})
    grid = Grid(
        (say("at each point"), say("in all"), *states, *states),
        _rows(card, system),
        "rrrrrrrr",
        (1.4, *(1,) * 7),
        bold=(2, 3, 4, 5, 6, 7),
        size=1.1,
        over=((capital(unit_words(card.item, 2)), 2), (say("every opening shut"), 3), (card.open_means, 3)),
        close=True,
    )
    only = (
        say(" The maker's rating of the frame is not given: these are for the anchorage only.")
        if plan.limit.anchorage_only
        else say(" *: set by the maker's rating or local policy, not by the anchorage.")
    )
    now = _now(s)  # takes the room of the rows for readings: it is one page
    limits, lull = _limits(card, plan, d), lull_of(plan, math.inf)
    room = (LINES - len(card.rows) - math.ceil(len(limits.rows) / limits.columns)) // 2
    blanks = (("",) * 6,) * min(max(READINGS[0], room), READINGS[1])
    ends = Para(
        say(
            "Only for this shelter, this kind of anchor and this surroundings. Where the maker or the local code asks for more, that counts. The named person decides."
        ),
        size=0.85,
    )
    snow = (*_snow(card, plan, policy, canopy=d.shelter.form in CANOPIES), *_after(policy), ends)
    blocks: list[Block] = [
        Para(say("CARD: {plan}", plan=plan.name), bold=True, size=1.6),
        *now,
        Para(say("Gust that it takes, {unit}: 3 s gust at {height}. Rows: {unit_words} at EACH of {points} points.{each} -: cannot be judged.{only}", unit=unit, height=height, unit_words=unit_words(card.item, 2), points=card.points, each=each, only=only), bold=True),
        *(Para(t) for t in record_words(record)),
        *_how_many(_example(card, system, limits)),
        grid,
        *(Para(n) for n in card.notes),
        Heading(say("THE LEVELS, {unit}, FROM: row by the number above; the worse of forecast and meter counts", unit=unit)),
        limits,
        Para(say("Hand meter: hold it {hand_height} up, facing the wind, at {row} times the height of anything near; the highest that it shows counts.", hand_height=height_words(hand_height(), system), row=numeral(tables.row("hand-held", "clear").value, "g"))),
        _mine(),
        *(
            (Break(soft=True), *_what_to_do(lull), *snow)
            if cautions
            else (Beside((_what_to_do(lull), snow), (0.95, 1.0)),)
        ),
        *((Break(soft=True), Heading(say("CAUTIONS, always")), Bullets(tuple(c.short for c in plan.cautions), columns=2)) if cautions else ()),
        *(() if now else (Break(soft=True), Grid((say("date, time"), say("highest on the meter"), say("wind from"), say("snow on roof"), say("level"), say("who, what was done")), blanks, "llllll", (1, 1.3, 0.6, 1.1, 0.8, 2), tall=True))),
    ]  # fmt: skip
    return Document(
        title=say("{plan}: card", plan=plan.name),
        blocks=tuple(blocks),
        foot=plan.policy.after(made.foot),
        paper=paper,
        roomy=Document.roomy if cautions else Document.least,
        about=say("Limiting gusts by units at each point"),
    )
