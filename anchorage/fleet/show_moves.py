"""What is moved and what comes down: as text, as a table, as a page, as JSON."""

from __future__ import annotations

from datetime import UTC, datetime, tzinfo
from typing import Any

from anchorage.core.plain import table, wrap
from anchorage.core.say import ENGLISH, dated, later, plural, say, speaking
from anchorage.core.units import System, show
from anchorage.core.words import all_of, so_many
from anchorage.fleet.moving import Down, Move, Moving, SiteCounts, Why
from anchorage.fleet.show import parquet
from anchorage.outlook.clock import iso
from anchorage.paper.movement_page import LINES, CrewList, Movement
from anchorage.paper.points import table_csv

COLUMNS = ("item", "count", "from", "to", "crew", "vehicle", "loads", "leaves", "done", "by")
NOTES = (
    later(
        "Counts are those with which each shelter holds every hour of its stay, for what it is used for, by the same judgement as check and outlook."
    ),
    later(
        "A load counts from the place of its vehicle and back to it; times are of the stock file. What is spare at a shelter goes; what it needs stays."
    ),
    later("What [stock] of a deployment claims is not counted: the stock file says where each thing is."),
)
EMPTY = later(
    "A shelter that is short for what it is used for may still stand empty: judge them all with --for empty."
)


def words_of(item: str, count: int) -> str:
    """``60 sandbags``."""
    return so_many(count, item.replace("_", " "))


def _time(at: int | None, zone: tzinfo, none: str = "") -> str:
    return none if at is None else dated(datetime.fromtimestamp(at, UTC).astimezone(zone), "%a %H:%M")


def by_words(d: Down, now: int, zone: tzinfo) -> str:
    """By when taking down begins."""
    if not d.standing:
        return say("DO NOT PUT UP")
    if d.by is None:
        return say("no time known")
    return say("NOW") if d.by <= now else _time(d.by, zone)


def why_words(d: Down, zone: tzinfo) -> str:
    """Why it comes down, and whether it may stand on with nobody in it."""
    if not d.empty:
        return d.text
    out = "" if d.out_by is None else say(", everybody out by {at}", at=_time(d.out_by, zone))
    return say(
        "{text} Or leave it standing EMPTY{out}: what it has holds that to the end.", text=d.text, out=out
    )


def headline(m: Moving) -> str:
    """How many are held, and how many come down."""
    n, of = len(m.held), len(m.rows)
    against = say("over the forecast") if m.by_forecast else say("against the wind of its file")
    words = plural(
        "{n} of {of} shelters is held {against}",
        "{n} of {of} shelters are held {against}",
        n,
        of=of,
        against=against,
    )
    up, not_up = sum(d.standing for d in m.down), sum(not d.standing for d in m.down)
    unread = of - n - len(m.down)
    if up:
        words += plural("; {n} comes down", "; {n} come down", up)
    if not_up:
        words += plural("; {n} is not put up", "; {n} are not put up", not_up)
    if unread:
        words += plural(
            "; {n} cannot be judged and keeps what it has",
            "; {n} cannot be judged and keep what they have",
            unread,
        )
    verdicts = [r.verdict for r in m.rows if r.file in {h.file for h in m.held}]
    if unsure := sum(v == "unknown" for v in verdicts):
        words += say("; of those held {unsure} CANNOT SAY for other reasons, below", unsure=unsure)
    if other := sum(v == "no-go" for v in verdicts):
        words += plural(
            "; {n} is held and NO-GO for other reasons, below",
            "; {n} are held and NO-GO for other reasons, below",
            other,
        )
    return words + ("." if m.moves else say(". Nothing is to be moved."))


def point_words(h: SiteCounts) -> str:
    """``12 at L1 L4 R1 R4, 8 at L2 L3``."""
    each: dict[int, list[str]] = {}
    for k, n in h.points.items():
        each.setdefault(n, []).append(k)
    return ", ".join(
        say("{units} at {points}", units=n, points=" ".join(ids))
        for n, ids in sorted(each.items(), reverse=True)
        if n
    ) or say("nothing")


def _loads(m: Moving, zone: tzinfo) -> dict[tuple[str, str], list[tuple[str, ...]]]:
    """Lines of each crew, those of one load together."""
    grouped: dict[tuple[str, str], dict[tuple[int, str, str, int], list[Move]]] = {}
    for x in m.moves:
        grouped.setdefault((x.crew, x.vehicle), {}).setdefault((x.leaves, x.start, x.end, x.done), []).append(
            x
        )
    return {
        crew: [
            (_time(leaves, zone), _time(done, zone), _time(of[0].by, zone, "-"), start, end, all_of(words_of(x.item, x.count) for x in of), str(of[0].rounds))
            for (leaves, start, end, done), of in loads.items()
        ]
        for crew, loads in grouped.items()
    }  # fmt: skip


def totals(m: Moving, system: System) -> str:
    """What is moved in all."""
    if not m.moves:
        return ""
    mass = show("mass", m.mass_kg, system, rounding="up")
    way = show("length", m.metres, system, unit="mi" if system == "us" else "km", digits=0, rounding="up")
    least = (
        say("Nothing less would do it.")
        if m.proven
        else say("It does it; that nothing less would was not settled in the time there was.")
    )
    return say("{mass} moved, {way} driven. {least}", mass=mass, way=way, least=least)


def movement(m: Moving, zone: tzinfo, zone_name: str, system: System) -> Movement:
    """The list in words, for the page and for the terminal."""
    crews = tuple(
        CrewList(say("CREW {crew}, {vehicle}", crew=crew, vehicle=vehicle), tuple(rows))
        for (crew, vehicle), rows in _loads(m, zone).items()
    )
    return Movement(
        f"{headline(m)} {totals(m, system)}".strip(), crews,
        tuple((d.file.removesuffix(".toml"), by_words(d, m.now, zone), why_words(d, zone)) for d in m.down),
        tuple((h.file.removesuffix(".toml"), point_words(h)) for h in m.held if h.changes),
        tuple(f"{r.row}: {r.text}" for r in m.reasons), (say("Times are {zone_name}.", zone_name=zone_name), *([EMPTY] if any(d.why is Why.SHORT for d in m.down) else []), *NOTES),
    )  # fmt: skip


def move_lines(v: Movement) -> list[str]:
    """For 80 columns."""
    out = [*wrap(v.headline), ""]
    if v.down:
        out.append(say("COMES DOWN, the first first:"))
        for file, by, why in v.down:
            out += wrap(f"{file}: {by}. {why}", "  ", "    ")
        out.append("")
    for c in v.crews:
        rows = [tuple(map(str, LINES[1:])), *c.rows]
        out += [c.title, *(f"  {x}" for x in table(rows, "llllllr")), ""]
    if v.points:
        out.append(say("THEN STANDS AT THE POINTS:"))
        for file, words in v.points:
            out += wrap(f"{file}: {words}", "  ", "    ")
        out.append("")
    if v.reasons:
        out.append(say("WHY NOT ALL, and what does not fit:"))
        for r in v.reasons:
            out += wrap(r, "  ", "    ")
        out.append("")
    return [*out, *(x for t in v.notes for x in wrap(t))]


def _row(x: Move) -> tuple[Any, ...]:
    return (
        x.item, x.count, x.start, x.end, x.crew, x.vehicle, x.rounds, iso(x.leaves), iso(x.done), iso(x.by),
    )  # fmt: skip


@speaking(ENGLISH)
def moves_csv(m: Moving) -> str:
    """Every move, times in UTC."""
    return table_csv(COLUMNS, [tuple("" if v is None else str(v) for v in _row(x)) for x in m.moves])


def moves_parquet(m: Moving) -> bytes:
    """The same with types. Needs the extra fleet."""
    data = (
        dict(zip(COLUMNS, zip(*(_row(x) for x in m.moves), strict=True), strict=True))
        if m.moves
        else dict.fromkeys(COLUMNS, ())
    )
    return parquet(data, times=("leaves", "done", "by"), counts=("count", "loads"))


def moves_data(m: Moving) -> dict[str, Any]:
    """For the JSON of fleet."""
    return {
        "moves": [dict(zip(COLUMNS, _row(x), strict=True)) for x in m.moves],
        "come_down": [{"file": d.file, "by": iso(d.by), "why": d.text, "code": d.why.value, "standing": d.standing, "may_stand_empty": d.empty, "people_out_by": iso(d.out_by)} for d in m.down],
        "held": [{"file": h.file, "points": h.points, "totals": h.totals, "changes": h.changes} for h in m.held],
        "reasons": [{"row": r.row, "why": r.text, "more": r.more} for r in m.reasons],
        "moved_kg": round(m.mass_kg, 1), "driven_m": round(m.metres), "proven": m.proven,
    }  # fmt: skip
