"""Tests at the site in words: how to do each, and what came of those that were made."""

from __future__ import annotations

from anchorage.core.plain import wrap
from anchorage.core.say import later, numeral, plural, say
from anchorage.core.units import System, show
from anchorage.holding.measured import Lack
from anchorage.judging.result import EvidenceOut, Plan

HOW_TO: dict[str, tuple[str, ...]] = {
    "drag": (
        later(
            "What slides: the real foot with its load, or one bag. Not a light piece of it: that reads high."
        ),
        later(
            "Weigh it with all that stands on it. It carries between half and twice of what it will carry."
        ),
        later(
            "Scale level, pull slowly and steadily until it moves. Write the greatest force, then the force while it slides."
        ),
        later(
            "Five places over the site, by name; three at the least. Several pulls at one place tell of one place."
        ),
        later(
            "Five dry and five wet. Plastic and steel: wet, or rain is not covered. Ice and mud are never measured."
        ),
        later("Rain, thaw or frost after it: what was measured counts no more, and the table does."),
    ),
    "pull": (
        later(
            "A stake like those in use, as deep, in the same ground, three places at the least, five better."
        ),
        later(
            "Pull along the line's angle, at the height where the line will be. Stop at 2 in (51 mm) of movement of its head."
        ),
        later(
            "Write the force then, and the movement. A stake that was pulled is driven anew at another place."
        ),
    ),
    "weigh": (
        later("Weigh five units as they are, dry if they may dry; three at the least. One number a line."),
        later("A point is counted by the low end of what was weighed."),
    ),
    "vane": (
        later(
            "Pocket vane or penetrometer at the depth of the stakes, in clay; a penetrometer reads twice the strength: halve it."
        ),
        later("Five readings over the site, three at the least; one number a line. The low end counts."),
    ),
    "meter": (
        later(
            "The gust on the meter, and under it the gust that was forecast for that hour. One pair a line."
        ),
        later("Shown only: it warns, and never lowers what is asked for."),
    ),
}
"""What to do for each kind of test, a line each."""
LACKS: dict[Lack, str] = {
    Lack.FEW_PLACES: later("fewer than three named places: several at one place tell of one"), Lack.NOTHING_READ: later("nothing was read yet"),
    Lack.WHAT: later("what was pulled, or what it slid on, is not said"), Lack.BEYOND: later("more than can be: did a unit or a digit slip?"),
    Lack.LOAD: later("what it carried was not weighed"),
    Lack.LOAD_OFF: later("what it carried is not between half and twice of what it carries here"), Lack.NOT_LEVEL: later("it was not pulled level"),
    Lack.ICE_OR_MUD: later("never on ice or in mud"), Lack.MOVED: later("read after more than 2 in of movement"),
    Lack.MOVEMENT: later("how far the stake had moved is not said"),
    Lack.PULL_TO_FIVE: later("held to the table's high end until five places were read"),
    Lack.WET_ONLY: later("plastic and steel: a dry test says nothing of wet ground"), Lack.OTHER_STATE: later("the ground is in another state"),
    Lack.NOT_HERE: later("nothing here stands in that"), Lack.SHOWN: later("shown only"),
    Lack.EXPIRED: later("weather or work came after it: the table counts again"),
}  # fmt: skip
_KINDS = {"drag": "friction", "weigh": "mass", "pull": "force", "vane": "pressure", "meter": "factor"}
_NAMES = {
    "drag": later("Pulls"),
    "weigh": later("Weighed"),
    "pull": later("Stakes pulled"),
    "vane": later("Clay read"),
    "meter": later("Meter over forecast"),
}


TITLES = {
    "drag": later("What slides (kind drag)"), "pull": later("Stakes (kind pull)"), "weigh": later("Units on a scale (kind weigh)"), "vane": later("Clay (kind vane)"),
    "meter": later("Meter beside forecast (kind meter)"),
}  # fmt: skip
IN_THE_FILE = (
    later(
        'In the file, a block for each place; readings may be logged instead: log FILE test "62 lbf" --kind drag --where L2'
    ),
    "[[test]]",
    later('kind = "drag"          # drag, pull, weigh, vane or meter'),
    later('what = "foot"          # or "unit"; what it slid on is the ground unless contact says else'),
    'place = "by the gate"',
    later('load = "320 lb"        # with all that stood on it'),
    later('force = ["205 lbf"]    # the greatest, before it moved'),
    later('steady = ["190 lbf"]   # while it slid'),
    later(
        'movement = "1 in"      # kind pull: how far its head had moved; left out, it counts only against you'
    ),
    'state = "wet"',
    'at = "2026-11-28 13:40"',
)


def how_to_lines() -> list[str]:
    """How to do each test, and how it is written down."""
    out = [say("TESTS AT THE SITE: what is measured here goes in the place of a table's figure.")]
    for kind, lines in HOW_TO.items():
        out += ["", str(TITLES[kind]), *(x for line in lines for x in wrap(line, "- "))]
    return [*out, "", *wrap(IN_THE_FILE[0]), *(f"  {line}" for line in IN_THE_FILE[1:])]


def effect_words(here: Plan, by_tables: Plan) -> str:
    """What the tests do to the count, or to the gust that is held where the counts stand."""
    if here.anchorage.sized and by_tables.anchorage.sized:
        one, other = (p.anchorage.total.units + p.anchorage.total.stakes for p in (here, by_tables))
        return say("With what was measured {one}; by the tables alone {other}.", one=one, other=other)
    gusts = [
        show("speed", p.limit.gust_m_s or 0.0, here.show_units, rounding="down") for p in (here, by_tables)
    ]
    return say(
        "With what was measured it holds to {gusts}; by the tables alone to {gusts_2}.",
        gusts=gusts[0],
        gusts_2=gusts[1],
    )


def _shown(e: EvidenceOut, value: float | None, system: System) -> str:
    kind = _KINDS[e.kind]
    if value is None:
        return say("none")
    return (
        numeral(value, ".2f")
        if kind in ("friction", "factor")
        else show(kind, value, system, rounding="down")
    )


def line_of(e: EvidenceOut, system: System) -> str:
    """``Pulls, bag-asphalt, dry, 5 places: 0.64 counts, the table has 0.54.``"""
    what = ", ".join(filter(None, (_NAMES[e.kind], e.contact, e.state)))
    table = (
        "" if e.row_value is None else say(", the table has {shown}", shown=_shown(e, e.row_value, system))
    )
    if e.used:
        said = say("{shown} counts{table}", shown=_shown(e, e.value, system), table=table)
    else:
        said = (
            say("not counted{table}", table=table)
            if e.value is None
            else say("{shown}, not counted{table}", shown=_shown(e, e.value, system), table=table)
        )
    why = "; ".join(LACKS[Lack(w)] for w in e.why)
    return plural(
        "{what}, {n} place: {said}{why}.",
        "{what}, {n} places: {said}{why}.",
        e.n,
        what=what,
        said=said,
        why=f" ({why})" if why else "",
    )


def evidence_lines(plan: Plan) -> list[str]:
    """What came of the tests at the site, a sentence each; nothing where none was made."""
    return [line_of(e, plan.show_units) for e in plan.evidence]
