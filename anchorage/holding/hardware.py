"""What a team has at a point - ballast, stakes, a block on a line - as the strength of one unit, margins applied."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field, replace
from typing import Any, Literal

import numpy as np
from numpy.typing import NDArray

from anchorage.core import tables
from anchorage.core.closed import MATERIALS
from anchorage.core.constants import gravity
from anchorage.core.errors import NotModelledError
from anchorage.core.say import later, mark, numeral, say
from anchorage.core.told import Words, put, tell, together
from anchorage.core.units import as_typed, show
from anchorage.core.words import all_of
from anchorage.deployment.models import (
    About,
    Anchorage,
    Block,
    Ground,
    HowDetail,
    Margins,
    PointIn,
    Site,
    SiteTest,
    Stake,
)
from anchorage.formulas import blocks, stakes, working
from anchorage.holding.ground import (
    Footing,
    bare_friction,
    fill_of,
    frame_friction,
    friction_tests,
    material_of,
    on_ground_friction,
    surface_state,
)
from anchorage.holding.measured import (
    Group,
    Lack,
    friction_most,
    kilograms,
    newtons,
    row_of,
    stakes_pulled,
    strengths,
    weighed_most,
    weighings,
)
from anchorage.holding.notes import Note
from anchorage.holding.stakes import (
    UPRIGHT,
    Bar,
    Basis,
    Pulled,
    Why,
    Worth,
    deadman_strength,
    foreseen,
    group,
    holdfast,
    most_believed,
    stake_worth,
)

LINE_RATING_MISSING = "line-rating-missing"
"""Code of the question what line and attachment take."""


@dataclass(frozen=True)
class Factors:
    """One set of margins: wind, shelter, ballast, friction, stake, line (1), and whether it takes service or strength-level speeds."""

    set: str
    wind: float
    shelter: float
    ballast: float
    friction: float
    stake: float
    line: float
    strength: str
    adds: float = 0.0
    """Share of the friction that counts beside stakes and lines, by the word of the file; else 0, and the larger of the two counts."""


@dataclass(frozen=True)
class Rows:
    """The rows that figures of hardware are; None where somebody typed one, or there is nothing."""

    mass: tables.Row | None = None
    under: tables.Row | None = None
    """Friction of what the ballast stands on, or of the foot where there is none on it."""
    own: tables.Row | None = None
    """Friction of what the shelter's own weight stands on."""
    rub: tables.Row | None = None
    """Friction of ballast that lies on the ground, on a line."""


@dataclass(frozen=True)
class Hardware:
    """What stands at a point. Forces in N, factored, of one unit."""

    kind: str
    """ballast | stakes | line-ballast | deadman | none."""
    unit_name: str
    unit_mass: float
    """kg; 0 for stakes."""
    friction: float
    """μ of what the ballast here stands on, unfactored, the least of every contact; 0 where the foot is off the ground."""
    own_friction: float | None = None
    """μ of what the shelter's own weight stands on here, where that is another contact; None: the same."""
    line_angle: float | None = None
    """Degrees above the ground; None where nothing runs on a line."""
    tension: float = 0.0
    """Ultimate pull along the line of one unit (N), unfactored."""
    pull: float = 0.0
    """The same with its margin."""
    lateral: float = 0.0
    axial: float = 0.0
    """Of one stake through the foot, with the margin."""
    line_strength: float | None = None
    """Weakest of line, knot and attachment as a rated load (N); None where none is given."""
    line_weakest: str = "line"
    crowd: tuple[float, float, dict[float, tuple[float, float, float]]] | None = field(
        default=None, hash=False
    )
    """Spacing, free spacing and multipliers where several stakes weaken each other."""
    most: int | None = None
    """Units that can be at a point; None for no bound."""
    notes: tuple[Words, ...] = field(default=(), compare=False)
    rows: Rows = field(default=Rows(), compare=False)
    asks: tuple[tuple[str, Words], ...] = field(default=(), compare=False)
    """(code, question): what must be known before this may be called go."""

    @property
    def foot(self) -> float:
        """μ under the shelter's own weight."""
        return self.friction if self.own_friction is None else self.own_friction

    def effective(self, count: Any) -> NDArray[np.float64]:
        """Units' worth of strength of so many units at one point."""
        n = np.asarray(count, float)
        if self.crowd is None:
            return n
        return np.asarray(n * stakes.group_efficiency(n, *self.crowd))

    @property
    def counted(self) -> str:
        """What is counted at the point, in words."""
        return {"stakes": "stake", "deadman": "deadman", "none": "nothing"}.get(self.kind, self.unit_name)


def factors(margins: Margins) -> Factors:
    """The margins of the file, by name or typed in."""
    keys = ("wind", "shelter", "ballast", "friction", "stake", "line")
    if margins.set == "own":
        return Factors(
            set="own", strength=str(margins.level), **{k: float(getattr(margins, k)) for k in keys}
        )
    rows = [tables.row(f"margin-{margins.set}", k) for k in keys]
    for k, row in zip(("γ wind", "κ shelter", "κ ballast", "φμ", "ψ stake", "γ line"), rows, strict=True):
        working.looked_up(k, row)
    strength = "strength" if margins.set == "asd" else "service"
    return Factors(
        set=margins.set, strength=strength, **{k: r.value for k, r in zip(keys, rows, strict=True)}
    )


def _value(row: tables.Row | None) -> float:
    """Of a row; nothing where there is none."""
    return 0.0 if row is None else row.value


class _Notes:
    def __init__(self) -> None:
        self.notes: list[Words] = []
        self.asks: list[tuple[str, Words]] = []

    def done(self) -> dict[str, Any]:
        return {"notes": tuple(self.notes), "asks": tuple(self.asks)}


def _unit(
    a: Anchorage, tests: list[SiteTest], p: PointIn, to: _Notes
) -> tuple[str, float, tables.Row | None]:
    if a.unit_mass is not None and p.unit is None:
        working.given("m", float(a.unit_mass), "kg", as_typed(a.unit_mass, ""))
        mass = float(a.unit_mass)
        weighed = mass_here(a, tests, mass, mass)
        return a.unit or "unit", mass if weighed is None else weighed.value, weighed
    name = p.unit or a.unit
    if name is None:
        raise NotModelledError(say("point {id}: what lies there? give unit", id=p.id))
    if p.unit in (None, a.unit):
        listed = tables.table("ballast-mass").by_key[name]
        weighed = mass_here(a, tests, listed.value, listed.value if listed.high is None else listed.high)
        if weighed is not None:
            return name, weighed.value, weighed
    row = tables.row("ballast-mass", name)
    working.looked_up("m", row)
    to.notes.append(
        tell(
            Note.MASS_NOT_WEIGHED,
            name=name,
            us=put(show, "mass", row.value, "us"),
            si=put(show, "mass", row.value, "si"),
        )
    )
    return name, row.value, row


def mass_said(a: Anchorage) -> tuple[float | None, float | None]:
    """Mass of one unit by file or table (kg), and its high end."""
    if a.unit_mass is not None:
        return float(a.unit_mass), float(a.unit_mass)
    row = tables.table("ballast-mass").by_key.get(a.unit or "")
    return (None, None) if row is None else (row.value, row.value if row.high is None else row.high)


def mass_here(anchorage: Anchorage, tests: list[SiteTest], value: float, high: float) -> tables.Row | None:
    """Row of the mass of one unit as it was weighed (kg), the low fractile; fewer than three for less alone; None by what was said. high: what
    fewer than five may not go over.
    """
    g = weighings(anchorage, tests)
    if g is None or g.value is None:
        return None
    mass = g.value if len(g.values) >= tables.row("evidence", "places-asked").value else min(g.value, high)
    if not g.whole and mass >= value:
        return None
    row = row_of(g, mass, "kg")
    working.looked_up("m", row)
    tables.used(row)
    return row


def _placed(anchorage: Anchorage, p: PointIn) -> bool:
    return anchorage.placed is not None or p.placed is not None


def _stand(a: Anchorage, ground: Ground, p: PointIn, to: _Notes) -> Footing:
    site = ground.site
    state = surface_state(ground, p.state or site.state, to.notes, p.surface)
    material = material_of(p.unit or a.unit, p.unit_material or a.unit_material)
    how, clear = a.how, False
    if how == "lashed-to-leg":
        detail = a.how_detail or HowDetail()
        clear = detail.on_ground is False
        if not (detail.stop and detail.every_bag):
            how = "on-foot" if clear else None  # what touches the ground slides there too
    return Footing(
        str(p.surface or site.surface),
        state,
        a.contact,
        a.foot,
        how,
        material,
        friction_tests(a, ground),
        clear,
    )


LASHED = {
    "stop": ("lashing-stop", tell(Note.ASK_STOP)),
    "every_bag": ("lashing-every", tell(Note.ASK_EVERY_BAG)),
}  # fmt: skip
"""Code and question of what must be known before a lashing counts."""


def _lashing(how: HowDetail | None, to: _Notes) -> None:
    """What a lashing to the leg is worth by what was said of it; what was not is asked for."""
    detail = how or HowDetail()
    missing = [LASHED[k] for k in LASHED if getattr(detail, k) is None]
    to.asks += missing
    if missing or not detail.every_bag:
        to.notes.append(tell(Note.LASHING_DOES_NOT_COUNT))  # fmt: skip
    elif detail.on_ground is None:
        to.notes.append(tell(Note.LASHED_TOUCHES_GROUND))  # fmt: skip


def _made_of(stand: Footing, unit: str, to: _Notes) -> None:
    """Ask what a unit that no table has is made of; meanwhile the most slippery counts."""
    if stand.material is None:
        to.asks.append(
            (
                "unit-material-unknown",
                tell(Note.ASK_MATERIAL, unit=unit, materials=", ".join(MATERIALS)),
            )
        )


def _bears(anchorage: Anchorage, site: Site, p: PointIn, to: _Notes) -> None:
    soft = str(p.surface or site.surface) in tables.table("bearing")
    if soft and anchorage.bearing_area is None:
        to.notes.append(tell(Note.BEARING_NOT_CHECKED))


def _water(name: str, to: _Notes) -> None:
    if fill_of(name) == "water":
        to.notes.append(tell(Note.WATER_DRAINS))


STACKS = {"frame": "stacking", "tied": "stacking-tied", "line": "stacking-line"}
"""The table of how many units can be at a point, by how they stand there."""
STACK_UNUSUAL = "stack-unusual"
"""Code of the question whether a count at a point is what it was typed as."""


def most_of(
    a: Anchorage,
    name: str,
    mass: float,
    stand: Literal["frame", "tied", "line"],
    asks: list[tuple[str, Words]],
) -> int:
    """Units that can be at a point: by the table, units of no list by the weight and the pieces of those that are; as the file says, up to what
    is believed.
    """
    listed = tables.table(STACKS[stand]).by_key.get(name)
    if listed is not None:
        most = int(tables.row(listed.table, name).value)
    else:
        weight, pieces = (tables.row("stacking-other", f"{stand}-{k}").value for k in ("mass", "pieces"))
        most = int(min(max(weight / mass + 1e-9, 1.0), pieces))
    if a.stack is None:
        return most
    believed = int(most * tables.row("evidence", "stack-over-listed").value)
    if a.stack > believed:
        asks.append((STACK_UNUSUAL, tell(Note.ASK_STACK, stack=a.stack, most=believed)))
    return min(a.stack, believed)


def _ballast(a: Anchorage, ground: Ground, p: PointIn) -> Hardware:
    to = _Notes()
    name, mass, weighed = _unit(a, ground.tests, p, to)
    stand = _stand(a, ground, p, to)
    _made_of(stand, name, to)
    own, under = frame_friction(stand, to.notes) if p.on_ground else (None, None)
    if a.how is None and _placed(a, p):
        to.asks.append(
            (
                "how-missing",
                tell(Note.ASK_HOW),
            )
        )
    elif a.how is None:
        to.notes.append(tell(Note.HOW_UNSAID))
    if a.how == "lashed-to-leg":
        _lashing(a.how_detail, to)
    if a.how == "standing-tied":
        to.notes.append(tell(Note.STANDS_TIED))
    _water(name, to)
    _bears(a, ground.site, p, to)
    if a.stake is not None and a.kind == "ballast":
        to.notes.append(tell(Note.STAKE_COUNTS_NOTHING))
    most = most_of(a, name, mass, "tied" if a.how == "standing-tied" else "frame", to.asks)
    return Hardware(
        "ballast", name, mass, _value(under), own_friction=_value(own), most=most, rows=Rows(weighed, under, own), **to.done()
    )  # fmt: skip


def _line(a: Anchorage, angle: float, to: _Notes) -> dict[str, Any]:
    """Weakest of the line, its knot and its attachment, as a rated load."""
    loads: list[tuple[float, str]] = []
    if a.line_rated is not None:
        knot = tables.row("line", "knot-efficiency") if a.knots else None
        if knot is not None:
            working.looked_up("knot efficiency", knot)
        loads.append(
            (
                float(a.line_rated) * (knot.value if knot else 1.0),
                mark("knot in the line") if knot else "line",
            )
        )
    if a.attachment_rated is not None:
        loads.append((float(a.attachment_rated), mark("attachment on the shelter")))
    if len(loads) < 2:
        to.asks.append((LINE_RATING_MISSING, _lines_unrated(a)))
    weakest = min(loads) if loads else (None, "line")
    return {"line_angle": angle, "line_strength": weakest[0], "line_weakest": weakest[1]}


def _lines_unrated(a: Anchorage) -> Words:
    """Which rated load of a line is not given, and where it is found."""
    line = tell(Note.LOAD_OF_LINES)
    loop = tell(Note.LOAD_OF_LOOPS)
    missing = [w for w, given in ((line, a.line_rated), (loop, a.attachment_rated)) if given is None]
    return tell(Note.ASK_LINE_RATING, missing=put(all_of, tuple(missing)))


def _foot(anchorage: Anchorage, ground: Ground, p: PointIn, to: _Notes) -> tuple[tables.Row | None, str]:
    stand = _stand(anchorage, ground, p, to)
    if stand.state in ("ice", "snow"):
        to.notes.append(tell(Note.FEET_HOLD_NO_TWIST))
    return (bare_friction(stand, to.notes) if p.on_ground else None), stand.state


def most_driven() -> int:
    """Stakes that are believed to be driven at one point."""
    return int(tables.row("stakes-at-point", "built").value)


def _stakes(a: Anchorage, ground: Ground, p: PointIn, f: Factors) -> Hardware:
    to = _Notes()
    s = a.stake
    if s is None:
        raise NotModelledError(say("stakes are not described: give [anchorage.stake]"))
    foot, state = _foot(a, ground, p, to)
    if (a.unit is not None or a.unit_mass is not None) and a.kind == "stakes":
        to.notes.append(tell(Note.BALLAST_COUNTS_NOTHING))
    if s.lean is not None:
        to.notes.append(
            tell(Note.LEAN_EARNS_NOTHING) if s.line_angle is not None else tell(Note.FOOT_STAKE_UPRIGHT)
        )
    if s.combination is not None:
        angle = s.line_angle
        if angle is None or angle > 30.0:
            raise NotModelledError(
                say("picket holdfasts are stated for a pull near the ground: run the line at 30° or flatter")
            )
        pull = holdfast(s, state, to.notes)
        return Hardware(
            "stakes",
            say("{combination} holdfast", combination=s.combination),
            0.0,
            _value(foot),
            rows=Rows(under=foot, own=foot),
            tension=pull,
            pull=f.stake * pull,
            most=most_driven(),
            **_line(a, angle, to),
            **to.done(),
        )
    crowd = group(s, to.notes)
    worth = _worth(a, ground, s, p, state, to)
    _tell(s, worth, to)
    if s.line_angle is None:
        to.notes.append(tell(Note.LINE_ANGLE_UNSAID))
        return Hardware(
            "stakes",
            "stake",
            0.0,
            _value(foot),
            rows=Rows(under=foot, own=foot),
            lateral=f.stake * worth.lateral,
            axial=f.stake * worth.best(worth.axial),
            crowd=crowd,
            most=most_driven(),
            **to.done(),
        )
    if "line_height" not in s.model_fields_set and worth.basis is not Basis.TEST:
        to.notes.append(tell(Note.LINE_HEIGHT_UNSAID))
    if s.lean is None and worth.basis is not Basis.TEST:
        off, lean = (tables.row("lean", k).value for k in ("line-off", "lean-off"))
        to.notes.append(tell(Note.STAKES_WITHIN, lean=put(numeral, lean, "g"), off=put(numeral, off, "g")))
    tension = worth.line
    return Hardware(
        "stakes",
        "stake",
        0.0,
        _value(foot),
        rows=Rows(under=foot, own=foot),
        tension=tension,
        pull=f.stake * tension,
        crowd=crowd,
        most=most_driven(),
        **_line(a, s.line_angle, to),
        **to.done(),
    )


UNSAID_SOIL = "loose-sand"
"""What soil that nobody named is taken as, where that holds less than the soil that was named elsewhere."""


def staked_surface(anchorage: Anchorage, ground: Ground) -> str | None:
    """Surface that the soil and the pull tests of [anchorage.stake] are of; None where that cannot be told."""
    site = ground.site.surface
    if site is not None and site in tables.table("surface") and tables.table("surface")[site].value:
        return site
    found = {p.surface for p in ground.points if p.usable and (p.kind or anchorage.kind) == "stakes"}
    return found.pop() if len(found) == 1 else None


def bar_at(anchorage: Anchorage, ground: Ground, s: Stake, p: PointIn, state: str) -> Bar:
    """A stake as it stands at a point; its soil None where nobody said what it is there."""
    surface = p.surface or ground.site.surface
    soil = p.soil or (s.soil if surface == staked_surface(anchorage, ground) else None)
    arm = float(s.line_height) if s.line_angle is not None else 0.0
    deep = s.driven if p.driven is None else p.driven
    lean = float(s.lean or 0.0) if s.line_angle is not None else 0.0
    return Bar(float(s.diameter), float(deep), arm, soil, surface, state, lean, float(ground.site.slope))


def pulled_of(anchorage: Anchorage, ground: Ground, s: Stake) -> Pulled | None:
    """The pull tests of the file, of stakes like those in use where nothing else is said of them."""
    here = stakes_pulled(ground, staked_surface(anchorage, ground), most_pulled_here(anchorage, ground))
    bar = _told(anchorage, ground, s)
    most = most_believed(_at_the_wettest(bar, s), s.pull_angle) if s.pull_tests else np.inf
    pulls = tuple(float(t) for t in s.pull_tests or () if float(t) <= most)
    if not pulls:
        return None if here is None else _pulled_here(ground.site.slope, s, *here)
    told = Pulled(bar, s.pull_angle, pulls)
    other = None if here is None else _pulled_here(ground.site.slope, s, *here)
    if other is None:
        return told
    worth = [min(told.pulls), *([] if other.worth is None else [other.worth]), *other.pulls]
    return replace(told, worth=min(worth), pulls=(*told.pulls, min(other.pulls)))


def _told(anchorage: Anchorage, ground: Ground, s: Stake) -> Bar:
    """The stake that ``pull_tests`` is of."""
    arm = s.line_height if s.line_angle is not None else 0.0
    return Bar(
        float(s.diameter if s.test_diameter is None else s.test_diameter),
        float(s.driven if s.test_driven is None else s.test_driven),
        float(arm if s.test_height is None else s.test_height),
        s.test_soil or s.soil,
        staked_surface(anchorage, ground),
        s.tested,
        fall=float(ground.site.slope),
    )


def _at_the_wettest(bar: Bar, s: Stake) -> Bar:
    """What is believed of pulls of which nobody said in what ground they were made goes by wet ground: no more than if it were said."""
    return bar if "tested" in s.model_fields_set else replace(bar, state="wet")


def _like_those_in_use(s: Stake, surface: str | None, state: str, slope: float) -> Bar:
    arm = float(s.line_height) if s.line_angle is not None else 0.0
    return Bar(float(s.diameter), float(s.driven), arm, s.soil, surface, state, fall=slope)


def most_pulled_here(anchorage: Anchorage, ground: Ground) -> Callable[[SiteTest], float]:
    """Pull (N) that is believed at the most of a test of stakes like those in use."""
    s, slope = anchorage.stake, float(ground.site.slope)

    def most(t: SiteTest) -> float:
        if s is None:
            return np.inf
        return most_believed(_like_those_in_use(s, t.surface, t.state or "dry", slope), t.angle)

    return most


def over_theory(anchorage: Anchorage, ground: Ground) -> float:
    """The least pull of those that count, over theory in the soil that is named as it was then; 0 where none counts or none is named."""
    s = anchorage.stake
    if s is None or s.soil is None:
        return 0.0
    pulled = pulled_of(anchorage, ground, s)
    if pulled is None or pulled.bar.soil is None:
        return 0.0
    return min(pulled.pulls) / foreseen(pulled.bar, pulled.angle)


BEYOND_BELIEF = "test-beyond-belief"
"""Code of the question whether a reading is what it was typed as."""


def beyond_belief(about: About, anchorage: Anchorage, ground: Ground) -> Sequence[tuple[str, Words]]:
    """(code, question) for each reading that is more than can be: until it is mended the table's row counts."""
    s = anchorage.stake
    kinds = {
        "weigh": ("mass", weighed_most(anchorage.unit)),
        "vane": ("pressure", tables.row("evidence", "vane-most").value),
    }
    here, out = most_pulled_here(anchorage, ground), list[tuple[str, str, float, float]]()
    for i, t in enumerate(ground.tests):
        if t.lost == "expired":
            continue
        kind, most = kinds.get(t.kind, ("force", np.inf))
        if t.kind == "drag" and t.load is not None:
            most = friction_most() * newtons(t.load)
        elif t.kind == "pull" and s is not None:
            most = here(t)
        read = [kilograms(v) if t.kind == "weigh" else newtons(v) for v in t.force]
        out += [(f"test {i + 1}", kind, v, most) for v in read if v > most * (1 + 1e-9)]
    if s is not None and s.pull_tests:
        most = most_believed(_at_the_wettest(_told(anchorage, ground, s), s), s.pull_angle)
        out += [
            ("anchorage.stake.pull_tests", "force", float(v), most) for v in s.pull_tests if float(v) > most
        ]
    system = about.show_units
    return [
        (
            BEYOND_BELIEF,
            tell(
                Note.BEYOND_BELIEF,
                key=key,
                value=put(show, kind, value, system),
                most=put(show, kind, most, system, rounding="down"),
            ),
        )
        for key, kind, value, most in out
    ]


def _pulled_here(ground_slope: float, s: Stake, g: Group, angle: float | None) -> Pulled | None:
    """Stakes like those in use that were pulled at the site, each at its place; None where no pull counts, for more or for less."""
    bar = _like_those_in_use(s, g.surface, g.state, float(ground_slope))
    pulls = g.values or (() if g.lowest is None else (g.lowest,))
    if not pulls:
        return None
    return Pulled(
        bar,
        angle,
        (*pulls, *([g.lowest] if g.lowest is not None and g.lowest < min(pulls) else [])),
        g.value,
        Lack.FEW_PLACES in g.lacks,
    )


def su_here(ground: Ground, bar: Bar) -> float | None:
    """Strength of the clay at a stake as it was read there (Pa): whole readings in the row's place, fewer for less alone; None by the row.

    Theory halves it in wet ground; what was read in wet ground is not halved.
    """
    g = strengths(ground, bar.surface)
    if g is None or g.value is None or bar.soil not in tables.table("soil-strength"):
        return None
    row = tables.table("soil-strength").by_key[str(bar.soil)]
    value = g.value
    if bar.state != "dry" and g.state != "dry":
        value /= tables.row("pull-test", "wet-factor").value
    if len(g.values) < tables.row("evidence", "places-asked").value and row.high is not None:
        value = min(value, row.high)
    if not g.whole and value >= row.value:
        return None
    tables.used(row_of(g, value, "Pa"))
    return value


SOIL_AND_SURFACE = "soil-and-surface"
"""Code of the question which of two that cannot both be is true."""


def _soils_under(surface: str | None) -> tuple[str, ...]:
    """The soils that can be under a surface, by a closed table; any under one that is not in it."""
    every, row = (
        tables.table("soil-unit-weight").keys(),
        tables.table("surface-soil").by_key.get(surface or ""),
    )
    of = {1.0: "soil-strength", 2.0: "soil-friction-angle"}.get(0.0 if row is None else row.value)
    return tuple(k for k in every if of is None or k in tables.table(of))


def _worth(anchorage: Anchorage, ground: Ground, s: Stake, p: PointIn, state: str, to: _Notes) -> Worth:
    """What a stake at a point is worth; asks for the soil where theory is needed and it is not known."""
    bar, tested = bar_at(anchorage, ground, s, p, state), pulled_of(anchorage, ground, s)
    angle = UPRIGHT if s.line_angle is None else float(s.line_angle)
    worth = stake_worth(bar, angle, tested, to.notes, su_here(ground, bar))
    if bar.soil is not None:
        under = _soils_under(bar.surface)
        if bar.soil in under:
            return worth
        to.asks.append(
            (
                SOIL_AND_SURFACE,
                tell(Note.ASK_WHICH_SOIL, surface=bar.surface, soil=bar.soil),
            )
        )
        each = [stake_worth(replace(bar, soil=k), angle, None, to.notes) for k in under]
        return min([worth, *each], key=lambda w: (w.theory, w.lateral + w.axial))
    if bar.surface != staked_surface(anchorage, ground):
        to.asks.append(
            (
                "soil-missing",
                tell(Note.ASK_SOIL_THERE, surface=bar.surface),
            )
        )
        known = [k for k in (s.soil, UNSAID_SOIL) if k is not None]
        each = [stake_worth(replace(bar, soil=k), angle, None, to.notes) for k in known]
        return min(each, key=lambda w: w.theory)
    if worth.basis is not Basis.TEST or s.line_angle is None:
        to.asks.append(
            (
                "soil-missing",
                tell(Note.ASK_SOIL),
            )
        )
    return worth


LESS = {
    Why.SHALLOWER: later("driven less deep"),
    Why.THINNER: "thinner",
    Why.HIGHER: later("pulled higher up"),
    Why.WETTER: later("in wetter ground"),
    Why.FROZEN: later("in ground that was frozen in the test"),
}


def _tell(s: Stake, worth: Worth, to: _Notes) -> None:
    """What counts for a stake and why, in words."""
    soil = s.soil
    if worth.basis is Basis.THEORY:
        to.notes.append(tell(Note.SOIL_FROM_TABLE))
        if soil is not None and soil not in tables.table("soil-strength"):
            to.notes.append(tell(Note.STAKES_IN_SAND))
    if not s.pull_tests:
        if Why.FEW in worth.why:
            to.notes.append(tell(Note.FEW_PLACES))
        return
    if Why.OTHER_GROUND in worth.why:
        to.notes.append(tell(Note.OTHER_GROUND))
        return
    if s.tested == "dry":
        to.notes.append(tell(Note.PULLED_DRY))
    if s.pulled == "held":
        to.notes.append(tell(Note.PULLED_TO_HELD))
    if None in (s.test_driven, s.test_diameter, s.test_height, s.test_soil):
        to.notes.append(tell(Note.PULLED_ALIKE))
    if worth.ratio < 1:
        share = int(worth.ratio * 100)
        to.notes.append(tell(Note.THEORY_CUT, share=share))
    if Why.FEW in worth.why:
        least = int(tables.row("pull-test", "least-count").value)
        to.notes.append(tell(Note.FEW_PULLS, pull_tests=len(s.pull_tests), least=least))
    if Why.ANGLE in worth.why:
        angle = UPRIGHT if s.line_angle is None else s.line_angle
        tolerance = tables.row("pull-test", "angle-tolerance").value
        to.notes.append(
            tell(
                Note.PULLED_AT_ANGLE,
                pull_angle=put(numeral, s.pull_angle, "g"),
                angle=put(numeral, angle, "g"),
                tolerance=put(numeral, tolerance, "g"),
            )
        )
    less = [LESS[w] for w in worth.why if w in LESS]
    if less:
        to.notes.append(tell(Note.LESS_THAN_PULLED, less=together(*less, between=", ")))


def block_pull(block: Block | None, weight: Any, rub: Any, angle: Any) -> Any:
    """Pull along a line at which ballast on it slides or tips, the least (N). weight (N), rub (1), angle (deg)."""
    slide, b = blocks.block_slide(weight, angle, rub), block
    if b is None:
        return slide
    load = np.asarray(weight, float)[()]
    depth = 2.0 * float(b.middle) if b.depth is None else float(b.depth)
    with np.errstate(divide="ignore"):
        tip = blocks.block_tip(load, float(b.middle), float(b.height), angle, float(b.eye))
        behind = depth - float(b.eye)
        back = blocks.block_tip_back(load, depth - float(b.middle), behind, angle, float(b.height))
    return np.minimum(np.minimum(slide, tip), back)


def _line_ballast(a: Anchorage, ground: Ground, p: PointIn, f: Factors) -> Hardware:
    to = _Notes()
    name, mass, weighed = _unit(a, ground.tests, p, to)
    if a.line_angle is None:
        raise NotModelledError(
            say(
                "anchorage.line_angle: at what angle above the ground do the lines to the ballast run? 45 is half way up"
            )
        )
    foot, _ = _foot(a, ground, p, to)
    stand = _stand(a, ground, p, to)
    _made_of(stand, name, to)
    rub = on_ground_friction(stand, to.notes)
    _water(name, to)
    _bears(a, ground.site, p, to)
    weight = mass * gravity()
    if a.block is None:
        to.notes.append(tell(Note.TIPPING_NOT_CHECKED))
    return Hardware(
        "line-ballast",
        name,
        mass,
        _value(foot),
        rows=Rows(weighed, foot, foot, rub),
        tension=float(block_pull(a.block, weight, rub.value, a.line_angle)),
        pull=float(block_pull(a.block, f.ballast * weight, f.friction * rub.value, a.line_angle)),
        most=most_of(a, name, mass, "line", to.asks),
        **_line(a, a.line_angle, to),
        **to.done(),
    )


def _deadman(a: Anchorage, ground: Ground, p: PointIn, f: Factors) -> Hardware:
    to = _Notes()
    if a.deadman is None or a.line_angle is None:
        raise NotModelledError(
            say("a deadman needs [anchorage.deadman] with depth, length and face, and anchorage.line_angle")
        )
    foot, state = _foot(a, ground, p, to)
    pull = deadman_strength(a.deadman, a.line_angle, state, to.notes)
    return Hardware(
        "deadman",
        "deadman",
        0.0,
        _value(foot),
        rows=Rows(under=foot, own=foot),
        tension=pull,
        pull=f.stake * pull,
        most=1,
        **_line(a, a.line_angle, to),
        **to.done(),
    )


def hardware(anchorage: Anchorage, ground: Ground, p: PointIn, f: Factors) -> Hardware:
    """What one unit at a point is worth, with the assumptions made and the questions left open."""
    kind = p.kind or (anchorage.kind if anchorage.kind != "mixed" else None)
    if kind is None:
        raise NotModelledError(
            say(
                'point {id}: anchorage.kind is "mixed": say what holds it with [[point]] id and kind', id=p.id
            )
        )
    if kind == "none" or not p.usable:
        to = _Notes()
        foot, _ = _foot(anchorage, ground, p, to)
        return Hardware("none", "nothing", 0.0, _value(foot), most=0, rows=Rows(under=foot, own=foot))
    if kind == "stakes":
        return _stakes(anchorage, ground, p, f)
    if kind == "line-ballast":
        return _line_ballast(anchorage, ground, p, f)
    return _deadman(anchorage, ground, p, f) if kind == "deadman" else _ballast(anchorage, ground, p)
