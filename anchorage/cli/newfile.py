"""``anchorage new``: a commented deployment file, from plain questions or as an example to fill in."""

from __future__ import annotations

import argparse
import json
import sys
from collections.abc import Callable
from dataclasses import dataclass

from anchorage.cli.common import CommandError, Outcome, write_file, wrote
from anchorage.core import console, tables, units
from anchorage.core.closed import BENEATH, MATERIALS, STATES
from anchorage.core.console import is_terminal
from anchorage.core.errors import InputFaults
from anchorage.core.plain import inert, wrap
from anchorage.core.say import later, say
from anchorage.deployment.contradictions import stock_key
from anchorage.deployment.reader import read_text
from anchorage.holding.ground import FEET, is_hard

HEAD = (
    later("A deployment of a soft shelter.{warning}"),
    later('A number needs its unit: "24 ft", "7 ft 6 in", "5.5 m", "40 mph", "310 lb".'),
    later("A line that begins with # is not read: take the # away to use it. ## is a note."),
    later("Judge it with  anchorage check FILE"),
)
WARNING = later(" EVERY VALUE HERE IS AN EXAMPLE: put yours.")
FIRST = later(
    "Numbers with their units: 24 ft, 45 mph. Mend a wrong answer in the file afterwards. Ctrl-C stops and writes nothing."
)
HOWS = ("lashed-to-leg", "hung-clear", "standing-tied", "on-foot")
NOTED = 90
"""Columns of a line with its note; a longer note stands above its key."""
Reader = Callable[[str], str]
"""From what was typed to how it is written in TOML; ValueError says what is wrong."""


def _text(typed: str) -> str:
    return json.dumps(inert(typed)[:200], ensure_ascii=False)


def _number(low: int) -> Reader:
    def read(typed: str) -> str:
        if not typed.isascii() or not typed.isdigit() or int(typed[:9]) < low:
            raise ValueError(say("a whole number is needed, {low} or more", low=low))
        return str(int(typed[:9]))

    return read


def _degrees(typed: str) -> str:
    number = typed.lower().removesuffix("degrees").removesuffix("deg").strip()
    if not number.isascii() or not number.isdigit() or int(number[:9]) > 360:
        raise ValueError(say("whole degrees are needed, 0 to 360"))
    return str(int(number))


def _quantity(kind: str) -> Reader:
    return lambda typed: json.dumps(units.read(kind, typed).text, ensure_ascii=False)


def _one_of(*words: str) -> Reader:
    def read(typed: str) -> str:
        found = [w for w in words if w.startswith(typed.lower().strip().replace(" ", "-"))]
        exact = [w for w in words if w == typed.lower().strip().replace(" ", "-")]
        if len(exact or found) != 1:
            raise ValueError(say("one of {words}", words=", ".join(words)))
        return json.dumps((exact or found)[0])

    return read


def _openings(typed: str) -> str:
    if _one_of("shut", "open")(typed) == '"open"':
        raise _LeftOutError
    return SHUT


def _yes_no(typed: str) -> str:
    return "true" if _one_of("yes", "no")(typed) == '"yes"' else "false"


SHUT = "{ front = 0.0, back = 0.0, left = 0.0, right = 0.0 }"


class _LeftOutError(Exception):
    """An answer that leaves the key out of the file."""


@dataclass(frozen=True)
class Item:
    """One key of the file: how it is written, explained and asked for."""

    key: str
    example: str
    """In TOML."""
    note: str
    ask: str = ""
    """Question; without one the example is written as it is."""
    read: Reader = _text
    needed: bool = False
    live: bool = True
    """Written as a value in the example file; else as a comment."""
    kind: str = ""
    """Only with this kind of anchorage."""
    hard: bool = False
    """Only on hard or other ground."""
    lashed: bool = False
    """Only with weights that are lashed to the legs."""

    def belongs(self, answers: dict[str, str | None]) -> bool:
        """Whether the key has a place in the file, by what was answered so far; an example is on asphalt with ballast."""
        kind = (answers.get("anchorage.kind") or '"ballast"').strip('"')
        surface = json.loads(answers.get("site.surface") or '"asphalt"')
        lashed = answers.get("anchorage.how") == '"lashed-to-leg"'
        return self.kind in ("", kind) and (not self.hard or is_hard(surface)) and (not self.lashed or lashed)


def items() -> list[Item]:
    """Every key that the file is written with, in its order."""
    surfaces, ballast, soils = (
        [r.key for r in tables.table(t).rows] for t in ("surface", "ballast-mass", "soil-unit-weight")
    )
    length, mass, speed = (_quantity(k) for k in ("length", "mass", "speed"))
    return [
        Item("deployment.name", '"our shelter"', say("what you call it"), say("What do you call this deployment?"), needed=True),
        Item("deployment.show_units", '"us"', say("us | si: units of what is printed"), say("Show which units, us (ft, lb, mph) or si (m, kg, m/s)?"), _one_of("us", "si"), needed=True),
        Item("shelter.form", '"gable"', "gable | single-slope", say("Roof: gable or single-slope?"), _one_of("gable", "single-slope"), needed=True),
        Item("shelter.length", '"20 ft"', say("along the ridge"), say("Length along the ridge?"), length, needed=True),
        Item("shelter.width", '"16 ft"', say("across the ridge"), say("Width across the ridge?"), length, needed=True),
        Item("shelter.eave", '"7 ft"', say("height of the wall at the eave"), say("Height of the side wall at the eave?"), length, needed=True),
        Item("shelter.ridge", '"9 ft 6 in"', say("height of the ridge; single-slope: of the high side"), say("Height at the ridge (single-slope: at the high side)?"), length, needed=True),
        Item("shelter.mass", '"240 lb"', say("frame and cover; left out, its weight holds nothing"), say("Mass of frame and cover (left out: it holds nothing down)?"), mass, live=False),
        Item("shelter.points_per_side", "4", say("anchor points on one long side, with both of its corners"), say("How many anchor points has one long side, with both of its corners?"), _number(2), needed=True),
        Item("shelter.points_per_end", "2", say("anchor points on one end, with both of its corners"), say("How many anchor points has one end, with both of its corners?"), _number(2), needed=True),
        Item("shelter.openings", SHUT, say("open part of each wall in the wind, 0 to 1; left out: one wall open"), say("In the wind, will everything be shut, or something open (shut, open; left out: one wall open)?"), _openings, live=False),
        Item("shelter.straps", '"unlocked"', "sidewall straps: unlocked | locked"),
        Item("shelter.rating.gust_unlocked", '"45 mph"', say("from the maker's manual, straps unlocked"), say("Highest wind in the maker's manual, straps not locked?"), speed, live=False),
        Item("shelter.rating.gust_locked", '"60 mph"', say("from the maker's manual, straps locked"), say("Highest wind in the maker's manual, straps locked?"), speed, live=False),
        Item("shelter.rating.roof_snow_unlocked", '"4 psf"', say("from the maker's manual"), live=False),
        Item("site.surface", '"asphalt"', " | ".join(surfaces), say("What does it stand on ({surfaces}; other is asked about)?", surfaces=", ".join(surfaces)), needed=True),
        Item("site.beneath", '"nothing"', say("on hard ground: nothing | building | deck | cellar | ice"), say("Is anything beneath: building, deck, bridge, dock, cellar, ice (nothing, building, deck, cellar, ice; left out: unknown)?"), _one_of(*BENEATH), hard=True),
        Item("site.state", '"wet"', say("{states} (mud, leaves, oil): the worst it may become", states=" | ".join(STATES)), say("The worst that the surface may become ({states}: mud, leaves, oil)?", states=", ".join(STATES)), _one_of(*STATES), live=False),
        Item("site.surroundings", '"field"', say("open (water's edge, bare plain) | field (a few trees, houses) | town (town, woods)"), say("What lies around it: open (water's edge, bare plain), field (a few trees or houses), town (town or woods)?"), _one_of("open", "field", "town"), live=False),
        Item("site.heading", "40", say("compass bearing that the front faces, degrees from true north"), say("Which compass bearing does the front face, in degrees (east 90, west 270)?"), _degrees, live=False),
        Item("site.temperature", '"40 degF"', say("of the air, the coldest expected"), live=False),
        Item("site.elevation", '"600 ft"', say("above the sea"), live=False),
        Item("site.utilities", '"marked"', say("buried pipes and cables: marked | not marked"), say("Are buried pipes and cables marked (marked, not marked)?"), lambda t: json.dumps("marked" if _one_of("marked", "not-marked")(t) == '"marked"' else "not marked"), live=False, kind="stakes"),
        Item("wind.speed", '"30 mph"', say("the strongest gust of the forecast"), say("Strongest gust in the forecast?"), speed, needed=True),
        Item("wind.speed_is", '"forecast-gust"', say("forecast-gust | forecast-wind | meter-peak | meter-average | airport-wind")),
        Item("wind.from", "270", say("bearing that the wind comes from; left out: any side"), live=False),
        Item("snow.depth", '"2 in"', say("lying on the roof"), live=False),
        Item("snow.kind", '"wet"', say("new | settled | wet | slush | ice"), live=False),
        Item("anchorage.kind", '"ballast"', say("ballast (weight on the frame) | stakes (on guy lines)"), say("Held by ballast or stakes?"), _one_of("ballast", "stakes"), needed=True),
        Item("anchorage.unit", '"sandbag"', " | ".join(ballast), say("Which ballast ({ballast})?", ballast=", ".join(ballast)), _one_of(*ballast), needed=True, kind="ballast"),
        Item("anchorage.unit_mass", '"38 lb"', say("of one, weighed; instead of the table"), say("What does one weigh (left out: as in the table)?"), mass, live=False, kind="ballast"),
        Item("anchorage.unit_material", '"woven"', say("of a unit of another name, where it rubs: {materials}", materials=" | ".join(MATERIALS)), live=False, kind="ballast"),
        Item("anchorage.how", '"lashed-to-leg"', say("{hows}: what they are is in the README", hows=" | ".join(HOWS)), say("How is the weight attached: lashed-to-leg (every one bound to the leg), hung-clear, standing-tied (on the ground, tied), on-foot (lies on the plate)?"), _one_of(*HOWS), live=False, kind="ballast"),
        Item("anchorage.foot", '"rubber"', say("what the frame's own feet are made of underneath: {feet}", feet=" | ".join(FEET)), say("What are the feet of the frame made of underneath ({feet})?", feet=", ".join(FEET)), _one_of(*FEET), live=False, kind="ballast"),
        Item("anchorage.contact", '"cloth"', say("what it stands on: cloth | plate | ground"), live=False, kind="ballast"),
        Item("anchorage.placed", "12", say("as it stands now, at each point; left out: the number is worked out"), say("Already placed at each point (left out: the number is worked out)?"), _number(0), live=False),
        Item("anchorage.line_rated", '"1000 lbf"', say("load stamped on the guy lines: without it nothing on lines is a go"), live=False, kind="stakes"),
        Item("anchorage.attachment_rated", '"800 lbf"', say("of the loops that they run from, by the maker: the same"), live=False, kind="stakes"),
        Item("anchorage.how_detail.stop", "true", say("lashed: on the plate or under a stop, a leg that comes up takes it along"), say("Does the leg take the weight along when it rises - on its plate or under a stop (yes, no)?"), _yes_no, live=False, kind="ballast", lashed=True),
        Item("anchorage.how_detail.every_bag", "true", say("lashed: every single weight has its own tie"), say("Is every single one bound to the leg (yes, no)?"), _yes_no, live=False, kind="ballast", lashed=True),
        Item("anchorage.how_detail.on_ground", "false", say("lashed: some of the weight touches the ground"), say("Does any of the weight touch the ground (yes, no)?"), _yes_no, live=False, kind="ballast", lashed=True),
        Item("anchorage.stake.diameter", '"1 in"', say("of the bar"), say("Diameter of the stakes?"), length, needed=True, kind="stakes"),
        Item("anchorage.stake.driven", '"30 in"', say("depth in the ground"), say("How deep are they driven?"), length, needed=True, kind="stakes"),
        Item("anchorage.stake.line_angle", "45", say("of the guy line above the ground, degrees; left out: a stake through the foot"), say("Angle of the guy lines above the ground, in degrees (left out: no lines)?"), _degrees, kind="stakes"),
        Item("anchorage.stake.soil", '"thumb-firm"', " | ".join(soils), say("Push a thumb into the ground: thumb-soft, thumb-firm, thumb-hard; or loose-sand?"), _one_of(*soils), needed=True, kind="stakes"),
        Item("stock.sandbags", "120", say("everything brought, what is placed included"), say("How many were brought?"), _number(0), live=False, kind="ballast"),
        Item("stock.stakes", "24", say("everything brought, what is driven included"), say("How many stakes were brought?"), _number(0), live=False, kind="stakes"),
        Item("times.notify", '"5 min"', say("until everybody inside has been told; with it deadlines can be named"), live=False),
        Item("times.people_out", '"10 min"', say("until everybody is out"), live=False),
        Item("times.strike", '"40 min"', say("to take the shelter down"), live=False),
        Item("policy.gust", '"35 mph"', say("a local rule that is stricter"), live=False),
    ]  # fmt: skip


def render(answers: dict[str, str | None] | None = None) -> str:
    """The file. answers: TOML of what was answered, None for what was left out; without it every value is an example."""
    example = answers is None
    said = answers or {}
    lines = [f"# {line.format(warning=WARNING if example else '')}" for line in HEAD]
    section = ""
    for item in items():
        table, _, key = item.key.rpartition(".")
        live = item.belongs(said) and (item.live if item.key not in said else said[item.key] is not None)
        if table != section:
            section = table
            inside = [i for i in items() if i.key.rpartition(".")[0] == table]
            used = any(
                i.belongs(said) and (i.live if i.key not in said else said[i.key] is not None) for i in inside
            )
            lines += ["", f"[{table}]" if used else f"# [{table}]"]
        if item.key == "stock.sandbags":
            key = stock_key((said.get("anchorage.unit") or '"sandbag"').strip('"'))
        value = said.get(item.key) or item.example
        line = f"{'' if live else '# '}{key} = {value}"
        short = f"{line:<34}  # {item.note}"
        lines += [short] if len(short) <= NOTED else [*wrap(item.note, "## ", "## "), line]
    return "\n".join(lines) + "\n"


def _shown(text: str, first: str = "") -> list[str]:
    """Words as the terminal has room for them."""
    return wrap(text, first, wide=min(console.columns(), console.USUAL))


def _answer(item: Item) -> str | None:
    """Ask until it can be read; nothing typed leaves the key out, where that may be."""
    while True:
        hint = "" if item.needed else say(" [Enter: leave out]")
        try:
            typed = input("\n".join(_shown(item.ask + hint)) + " ").strip()
        except EOFError:
            raise CommandError(say("the answers ended early: nothing was written")) from None
        if not typed and not item.needed:
            return None
        try:
            if typed:
                return item.read(typed)
            print(say("  it is needed"))
        except _LeftOutError:
            return None
        except ValueError as e:
            print("\n".join(_shown(str(e), "  ")))


def ask(file: str) -> str:
    """Ask the plain questions, again where the answers do not fit together; the text reads as a deployment."""
    print("\n".join(_shown(FIRST)))
    answers: dict[str, str | None] = {}
    every = sorted(
        (i for i in items() if i.ask), key=lambda i: i.kind != ""
    )  # which kind must be known first
    again = {i.key for i in every}
    while True:
        for item in every:
            asked = item.kind == "" or answers.get("anchorage.kind") is not None
            if (item.key in again or item.key not in answers) and asked and item.belongs(answers):
                answers[item.key] = _answer(item)
        text = render(answers)
        try:
            read_text(text, file)
        except InputFaults as e:
            again = {i.key for i in every if any(f.key == i.key for f in e.faults)}
            if not again:
                raise
            for fault in e.faults:
                print("\n".join(_shown(str(fault), "  ")))
        else:
            return text


def new(args: argparse.Namespace) -> Outcome:
    """Write a deployment file."""
    asked = is_terminal(sys.stdin) and not args.no_questions and args.file != "-"
    text = ask(args.file) if asked else render()
    if args.file == "-":
        return 0, text
    write_file(args.file, text, force=args.force)
    todo = say("look it through") if asked else say("every value in it is an example: put yours")
    return wrote(args.file, say(": {todo}, then  anchorage check {file}", todo=todo, file=args.file))
