"""Marries stakes, pickets and deadmen to tables and formulas: what one of them stands, ultimate, in N."""

from __future__ import annotations

from dataclasses import dataclass, replace
from enum import Enum

import numpy as np

from anchorage.core import tables
from anchorage.core.errors import NotModelledError
from anchorage.core.say import numeral, say
from anchorage.core.told import Words, put, tell
from anchorage.core.units import show
from anchorage.deployment.models import Deadman, Stake
from anchorage.formulas import blocks, stakes, working
from anchorage.holding.notes import Note

_SYMBOLS = {"soil-strength": "su", "soil-friction-angle": "φ", "soil-interface-angle": "δ"}
FOOT = 0.3048
"""m, international foot (exact)."""
OLD_FINE_WET = "fine-wet"
"""Ground of a deadman in older files, where wet was part of its name."""


def _soil(name: str, table: str) -> float:
    row = tables.row(table, name)
    working.looked_up(_SYMBOLS.get(table, "γ'"), row)
    return row.value


@dataclass(frozen=True)
class Bar:
    """One straight stake as it stands, or stood when it was pulled: all that decides what it holds."""

    diameter: float
    driven: float
    arm: float
    """Height of the line above the ground (m)."""
    soil: str | None
    surface: str | None
    """None: not known, and then it is no surface that another stake stands in."""
    state: str
    lean: float = 0.0
    """Degrees from upright, head away from the shelter; under 0 towards it."""
    fall: float = 0.0
    """Degrees that the ground in front of it falls away."""


@dataclass(frozen=True)
class Pulled:
    """Pull tests: the stake that was pulled, its angle above the ground (degrees, None: not told), the pulls (N)."""

    bar: Bar
    angle: float | None
    pulls: tuple[float, ...]
    worth: float | None = None
    """What they count for (N), where they were made at named places; None: the least of them."""
    few: bool = False
    """Fewer places than it takes, however many pulls."""


class Basis(Enum):
    """What a stake counts for: theory, the pull, or the one of them that is the less or the more."""

    THEORY = "theory"
    TEST = "test"
    LESSER = "lesser"
    GREATER = "greater"


class Why(Enum):
    """Why a pull test is not simply what the stake holds."""

    OTHER_GROUND = "other-ground"
    FEW = "few"
    ANGLE = "angle"
    SHALLOWER = "shallower"
    THINNER = "thinner"
    HIGHER = "higher"
    WETTER = "wetter"
    FROZEN = "frozen"


@dataclass(frozen=True)
class Worth:
    """What one stake holds, ultimate (N)."""

    lateral: float
    axial: float
    """By theory, cut to what the tests showed of it; 0 where the soil is not known."""
    theory: float
    """Pull along its line, or straight up through a foot, by theory cut in the same way: the least of line and lean as built (N)."""
    basis: Basis
    pull: float
    """What the least pull counts for; 0 where none does."""
    share: float
    """Of theory beside a pull of dry ground, where the greater counts."""
    ratio: float
    """Least pull over theory for what was pulled; inf where it cannot be told."""
    why: tuple[Why, ...] = ()

    @property
    def line(self) -> float:
        """Pull along its line, or straight up (N)."""
        return self.best(self.theory)

    def best(self, theory: float) -> float:
        """Pull along the line, or straight up, where theory gives so much (N)."""
        match self.basis:
            case Basis.TEST:
                return self.pull
            case Basis.LESSER:
                return min(self.pull, theory)
            case Basis.GREATER:
                return max(self.pull, self.share * theory)
        return theory


UPRIGHT = 90.0
"""Degrees above the ground of a pull on a stake through the foot."""
FROZEN = ("frozen", "ice", "snow")


def along(angle: float, lateral: float, axial: float) -> float:
    """Pull that a stake stands at an angle above the ground (N); 0 where it holds nothing one way."""
    if lateral <= 0 or axial <= 0:
        return axial if angle == UPRIGHT else 0.0
    return float(stakes.inclined_capacity(angle, lateral, axial))


def _leaned(bar: Bar, angle: float, lean: float, notes: list[Words], su: float | None) -> float:
    """Pull along a line of a stake that leans, by theory (N). Towards the shelter nothing is gained across, and more is lost along."""
    lateral, axial = _by_theory(replace(bar, lean=lean), notes, su)
    if lateral <= 0 or axial <= 0:
        return 0.0
    away, towards = max(lean, 0.0), max(-lean, 0.0)
    out = min(angle + towards, UPRIGHT) - away
    return float(stakes.leaned_capacity(angle - away, out, lateral, axial))


def _as_built(bar: Bar, angle: float, notes: list[Words], su: float | None) -> float:
    """The least pull by theory (N) over line and lean as they may come out. An upright one is run beside one that leans: a lean
    earns nothing (tables, ``lean``).
    """
    off = {k: tables.row("lean", k) for k in ("line-off", "lean-off", "most")}
    lines = [
        float(np.clip(angle + d, 0.0, UPRIGHT)) for d in (-off["line-off"].value, 0.0, off["line-off"].value)
    ]
    most = off["most"].value
    lean = off["lean-off"].value
    leans = {float(np.clip(b + d, -most, most)) for b in (0.0, bar.lean) for d in (-lean, 0.0, lean)}
    with working.quiet():
        tried = {(a, b): _leaned(bar, a, b, [], su) for a in lines for b in sorted(leans)}
    worst = min(tried, key=lambda k: tried[k])
    working.looked_up("line as built", off["line-off"])
    working.looked_up("lean as built", off["lean-off"])
    return _leaned(bar, *worst, notes, su)


def _worse(bar: Bar, of: Bar) -> list[Why]:
    """In what a stake is less than one that was pulled."""
    less = 1 - 1e-9
    found = {
        Why.SHALLOWER: bar.driven < of.driven * less,
        Why.THINNER: bar.diameter < of.diameter * less,
        Why.HIGHER: bar.arm > of.arm / less + 1e-9,
        Why.WETTER: bar.state != "dry" and of.state == "dry",
        Why.FROZEN: of.state in FROZEN,
    }
    return [k for k, so in found.items() if so]


def stake_worth(
    bar: Bar, angle: float, tested: Pulled | None, notes: list[Words], su: float | None = None
) -> Worth:
    """What a stake is worth at an angle (degrees) above the ground, by theory and by pull tests of stakes that may differ.

    A test is of what was tested. The least ratio of pull to theory under 1 cuts theory everywhere in that soil; over 1 it
    earns nothing where the stake is less than what was pulled. Too few tests, or at another angle: the lesser of test and
    theory. Other ground: theory. su: in place of the strength of the row of a clay (Pa).
    """
    upright = replace(bar, lean=0.0)
    lateral, axial = _by_theory(upright, notes, su) if bar.soil is not None else (0.0, 0.0)
    theory = axial
    if angle != UPRIGHT and bar.soil is not None:
        with working.title("The worst of line and lean as built"):
            theory = _as_built(bar, angle, [], su)
    if tested is None:
        return Worth(lateral, axial, theory, Basis.THEORY, 0.0, 1.0, np.inf)
    of = tested.bar
    if of.surface is None or (bar.surface, bar.soil) != (of.surface, of.soil):
        return Worth(lateral, axial, theory, Basis.THEORY, 0.0, 1.0, np.inf, (Why.OTHER_GROUND,))
    least = min(tested.pulls)
    ratio = np.inf
    if of.soil is not None and tested.angle is not None:
        with working.title("Theory for what was pulled"):
            foreseen = along(tested.angle, *_by_theory(replace(of, lean=0.0), [], su))
        ratio = 0.0 if least <= 0 else least / foreseen if foreseen > 0 else np.inf
    cut = min(ratio, 1.0)
    keep = 1.0
    if of.state == "dry":
        factor = tables.row("pull-test", "wet-factor")
        working.looked_up("rain and thaw", factor)
        keep = factor.value
    counted = least if tested.worth is None else min(tested.worth, least)
    pull = float(stakes.tested_capacity(counted, keep))
    why: list[Why] = []
    if tested.few or len(tested.pulls) < tables.row("pull-test", "least-count").value:
        why.append(Why.FEW)
    tolerance = tables.row("pull-test", "angle-tolerance").value
    if tested.angle is None or abs(tested.angle - angle) > tolerance:
        why.append(Why.ANGLE)
    why += _worse(bar, of)
    basis = Basis.LESSER if why else Basis.GREATER if _worse(of, replace(bar, state=of.state)) else Basis.TEST
    if bar.soil is None and basis is Basis.GREATER:
        basis = Basis.TEST
    return Worth(cut * lateral, cut * axial, cut * theory, basis, pull, keep, ratio, tuple(why))


def _by_theory(bar: Bar, notes: list[Words], su: float | None = None) -> tuple[float, float]:
    """(lateral, axial) ultimate of one straight stake by theory (N). Lateral is the lesser of soil and bending."""
    b, length, soil, state = bar.diameter, bar.driven, str(bar.soil), bar.state
    lean = max(bar.lean, 0.0)
    arm = bar.arm / np.cos(np.deg2rad(lean))
    broms = {
        k: tables.row("broms", k).value
        for k in ("clay-factor", "ignored-diameters", "toe-moment", "sand-factor")
    }
    wet = state != "dry"
    if state in ("frozen", "ice", "snow"):
        notes.append(tell(Note.FROST_EARNS_NOTHING))
    moment = stakes.bar_moment(tables.row("stake-steel", "mild").value, b)
    if soil in tables.table("soil-strength"):
        su = _soil(soil, "soil-strength") if su is None else su
        if wet:
            factor = tables.row("pull-test", "wet-factor")
            working.looked_up("wet ground", factor)
            su *= factor.value
            notes.append(tell(Note.HALF_OF_SOIL))
        across = su
        if lean + bar.fall > 0:
            working.looked_up("ground falling away", tables.row("lean", "clay"))
            across = su * float(stakes.falling_clay(lean + bar.fall))
        ratio = broms["toe-moment"] / broms["clay-factor"]
        f = stakes.clay_depth(length, b, arm, broms["ignored-diameters"], ratio)
        soil_side = stakes.clay_lateral(broms["clay-factor"], across, b, f)
        bending = stakes.clay_bending(
            broms["clay-factor"], across, b, arm, broms["ignored-diameters"], moment
        )
        axial = stakes.clay_pullout(tables.row("soil-adhesion", "default").value, su, b, length)
    else:
        phi = _soil(soil, "soil-friction-angle")
        level = lean + bar.fall == 0
        kp = stakes.passive_coefficient(phi) if level else stakes.leaned_passive(phi, lean, bar.fall)
        weight = _soil(soil, "soil-unit-weight-submerged" if wet else "soil-unit-weight")
        if wet:
            notes.append(tell(Note.SOIL_UNDER_WATER))
        soil_side = stakes.sand_lateral(broms["sand-factor"] / 6, weight, b, length, kp, arm)
        bending = stakes.sand_bending(moment, arm, weight, b, kp, broms["sand-factor"] / 2)
        working.found("P(bending)", bending, "N", "Mmax(P) = My by halving")
        axial = stakes.sand_pullout(
            tables.row("soil-lateral-pressure", "default").value,
            _soil(soil, "soil-interface-angle"),
            weight * np.cos(np.deg2rad(bar.lean)),
            b,
            length,
        )
    return float(np.minimum(soil_side, bending)), float(axial)


def most_pulled(diameter: float, driven: float, arm: float) -> float:
    """Pull of a stake (N) that is believed at the most: so many times theory in the strongest soil of the tables."""
    soils = tables.table("soil-unit-weight").keys()
    with working.quiet():
        found = [max(_by_theory(Bar(diameter, driven, arm, soil, None, "dry"), [])) for soil in soils]
    return max(found) * tables.row("evidence", "pull-over-theory").value


def foreseen(bar: Bar, angle: float | None) -> float:
    """Pull (N) by theory of a stake that stood upright, in the state in which it was pulled; the stronger side where no angle is given."""
    with working.quiet():
        lateral, axial = _by_theory(replace(bar, lean=0.0, state=bar.state), [])
    return max(lateral, axial) if angle is None else along(angle, lateral, axial)


def most_believed(bar: Bar, angle: float | None) -> float:
    """Pull (N) of a stake that is believed at the most. Where its soil is named, no more than so many times theory in that soil as it was when pulled.

    angle: of the pull above the ground (degrees); None where it is not said, and then the side on which it stands more counts.
    """
    most = most_pulled(bar.diameter, bar.driven, 0.0)
    if bar.soil is None:
        return most
    theory = foreseen(bar, angle)
    return min(most, theory * tables.row("evidence", "pull-over-named").value)


def group(
    s: Stake, notes: list[Words]
) -> tuple[float, float, dict[float, tuple[float, float, float]]] | None:
    """(spacing in diameters, free spacing, multipliers) where stakes at a point weaken each other; None where not."""
    free, least = (
        tables.row("stake-spacing", "free-in-line").value,
        tables.row("stake-spacing", "least").value,
    )
    if s.spacing is None:
        apart = free * float(s.diameter)
        notes.append(
            tell(
                Note.STAKES_APART,
                free=put(numeral, free, "g"),
                apart=put(show, "length", apart, "us", rounding="up"),
                apart_2=f"{apart * 1000:.0f}",
            )
        )
        return None
    apart = float(s.spacing) / float(s.diameter)
    if apart < least:
        raise NotModelledError(
            say(
                "anchorage.stake.spacing: {apart} diameters apart; under {least} they act as one: move them apart",
                apart=numeral(apart, ".1f"),
                least=numeral(least, "g"),
            )
        )
    if apart >= free:
        return None
    t = tables.table("group-multiplier")
    rows = {
        sp: (t[f"s{sp:g}-row1"].value, t[f"s{sp:g}-row2"].value, t[f"s{sp:g}-row3"].value)
        for sp in (3.0, 5.0)
    }
    rows[free] = (1.0, 1.0, 1.0)
    notes.append(tell(Note.STAKES_WEAKEN, apart=put(numeral, apart, ".1f")))
    return apart, free, rows


def holdfast(s: Stake, state: str, notes: list[Words]) -> float:
    """Pull that a combination of pickets stands (N), in undisturbed loam."""
    row = tables.row("holdfast", str(s.combination))
    working.looked_up(f"holdfast {s.combination}", row)
    notes.append(tell(Note.PICKETS))
    if state == "dry":
        return row.value
    factor = tables.row("pull-test", "wet-factor")
    working.looked_up("wet ground", factor)
    return row.value * factor.value


def _deadman_soil(m: Deadman, state: str, notes: list[Words]) -> float:
    """Share of the holding power in loam that the ground of a deadman has, soaked or not."""
    table = tables.table("deadman-multiplier")
    if m.ground is None:
        row = min(table.rows, key=lambda r: r.value)
        notes.append(tell(Note.DEADMAN_GROUND_UNSAID))
    else:
        row = table["fine" if m.ground == OLD_FINE_WET else m.ground]
    working.looked_up("k of the ground", row)
    share = tables.row(table.name, row.key).value
    if state == "dry" and m.ground != OLD_FINE_WET:
        return share
    factor = tables.row("pull-test", "wet-factor")
    working.looked_up("wet ground", factor)
    notes.append(tell(Note.HALF_OF_DEADMAN) if m.ground != OLD_FINE_WET else tell(Note.DEADMAN_FINE_WET))
    return share * factor.value


def deadman_strength(m: Deadman, angle: float, state: str, notes: list[Words]) -> float:
    """Pull that a buried log or timber stands along a line (N). Line steeper than 45° is outside the table."""
    if angle > 45.0:
        raise NotModelledError(
            say("a deadman is tabled for lines up to 45° above the ground: run the line flatter")
        )
    slope = max(k for k in (1.0, 2.0, 3.0, 4.0) if np.degrees(np.arctan(1 / k)) >= angle - 1e-9 or k == 1.0)
    depth = float(np.floor(m.depth / FOOT + 1e-9))
    row = tables.row("deadman", f"d{depth:g}-s{slope:g}")
    working.looked_up("HP", row)
    multiplier = _deadman_soil(m, state, notes)
    thick, kind = (float(m.thickness), "timber") if m.thickness is not None else (float(m.face), "log")
    most = tables.row("deadman-proportion", kind).value
    if m.length / thick > most:
        raise NotModelledError(
            say(
                "anchorage.deadman: length is {length} times the thickness, at most {most} for a {kind}: it would bend; take a thicker one",
                length=numeral(m.length / thick, ".1f"),
                most=numeral(most, "g"),
                kind=kind,
            )
        )
    if m.trench is None:
        width = tables.row("deadman-trench", "not-given")
        working.looked_up("wt", width)
        trench = width.value
        notes.append(tell(Note.TRENCH_UNSAID, trench=put(show, "length", trench, "us")))
    else:
        trench = float(m.trench)
    lost = min(trench / float(m.length), 1.0)
    notes.append(
        tell(
            Note.TRENCH_TAKES,
            trench=put(show, "length", trench, "us", rounding="up"),
            lost=f"{lost * 100:.0f}",
        )
    )
    notes.append(tell(Note.TRENCH_CUT))
    return float(blocks.deadman_pull(row.value, multiplier, float(m.face), float(m.length), trench))
