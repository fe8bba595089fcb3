"""What the shelter stands on: state of the surface, every contact from the weight down to the ground, what is asked of the site."""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from functools import lru_cache

from anchorage.core import tables
from anchorage.core.choices import folded
from anchorage.core.closed import STATES
from anchorage.core.constants import ZERO_CELSIUS
from anchorage.core.say import Word, later, numeral
from anchorage.core.told import Words, put, tell
from anchorage.core.units import System, show
from anchorage.deployment.models import Anchorage, Ground, Site, Snow
from anchorage.formulas import working
from anchorage.holding.measured import HARD, NEVER, Group, drags, row_of
from anchorage.holding.notes import Note

_ON_FEET = {"cloth": "cloth", "bare-metal": "metal", "plastic": "plastic", "rubber": "metal"}
"""What ballast on a foot lies on: a rubber pad is under the plate, not on it."""
FEET = ("bare-metal", "plastic", "rubber")
CONTACTS = ("cloth", "plate", "ground")
"""What may lie between the frame and the ground."""
RUBS = {"woven": "bag", "plastic": "plastic", "concrete": "block", "steel": "bare-metal", "rubber": "rubber"}
"""The rows of a material of ballast, in both friction tables."""
_WORDS = {
    "bag": later("woven bags"), "plastic": "plastic", "block": "concrete", "bare-metal": later("bare metal"), "rubber": "rubber",
    "cloth": later("ground cloth"), "metal": later("a metal plate"),
}  # fmt: skip
_PUBLISHED = tuple(s for s in STATES if s != "soiled")
"""States that have rows pair by pair."""


@dataclass(frozen=True)
class Footing:
    """How weight reaches the ground at a point."""

    surface: str
    state: str
    contact: str | None
    foot: str | None
    how: str | None
    material: str | None
    """Of the ballast; None where it is not known, or where there is none."""
    tests: tuple[Group, ...] = ()
    """Friction that was measured at the site."""
    clear: bool = False
    """Of ballast that is lashed to its leg: none of it touches the ground."""


@dataclass(frozen=True)
class Contact:
    """A place where something could slip, and the figure that is used for it."""

    row: tables.Row
    between: str
    published: bool
    """False where no row is for this pair."""


WITH_WATER = ("wet", "soiled")
"""States with water that freezes on any ground; dirt may be wet as well."""
FROST = ("frozen", "ice", "snow")
"""States that are only there where it freezes, or just did."""
UNDER_SNOW = ("dry", "wet", "frozen")
"""States that are snow once snow lies on them: none of them holds less."""


def freezes_at() -> float:
    """°C at and below which water that lies is ice."""
    return tables.row("practice", "decon-ice-at-or-below").value


def snow_dry_at() -> float:
    """°C at and below which snow on the ground has no water in it."""
    return tables.row("practice", "snow-dry-at-or-below").value


WITH_MELT = ("wet", "slush", "ice")
"""Kinds of snow that melted, or do."""


def snow_is_dry(site: Site, s: Snow) -> bool:
    """Whether snow on the ground is snow and no slush: cold by the thermometer, no rain on it, and of no kind that has melted."""
    t = site.temperature
    kinds = (s.kind, s.falling and s.falling.kind, *(layer.kind for layer in s.layers))
    return (
        t is not None
        and t - ZERO_CELSIUS <= snow_dry_at()
        and not s.rain
        and not any(kind in WITH_MELT for kind in kinds)
    )


def _snows(snow: Snow) -> bool:
    return snow.lies or snow.falling is not None


def frost_said(ground: Ground) -> bool:
    """Whether anything in the file says that it freezes, or just did."""
    return _snows(ground.snow) or any(
        state in FROST for state in (ground.site.state, *(p.state for p in ground.points))
    )


def may_freeze(ground: Ground) -> bool:
    """Whether water that lies is ice: by the thermometer, and where there is none by snow or frost in the file."""
    if ground.site.temperature is None:
        return frost_said(ground)
    return ground.site.temperature - ZERO_CELSIUS <= freezes_at()


def holds_water(state: str, surface: str | None, *, thawing: bool = False) -> bool:
    """Whether ground in a state has water in it that freezes to a sheet; frost does that where nothing drains, and where it thaws."""
    return state in WITH_WATER or (state == "frozen" and (thawing or surface is None or is_hard(surface)))


def may_thaw(site: Site) -> bool:
    """Whether frost in the ground lets go: over freezing by the thermometer, and where there is none."""
    return site.temperature is None or site.temperature > ZERO_CELSIUS


def _both(celsius: float) -> str:
    """A temperature for readers of either scale."""
    kelvin = celsius + ZERO_CELSIUS
    return f"{show('temperature', kelvin, 'si')} / {show('temperature', kelvin, 'us', digits=1)}"


def surface_state(ground: Ground, given: str | None, notes: list[Words], surface: str | None = None) -> str:
    """State of the surface, the worst of what is said, of what snow in the file puts on it and of what the temperature makes of
    water; left out: the slipperiest that the weather allows. Decontamination: wet at the best.

    surface: the ground it is asked of, the site's where not given.
    """
    site, decon = ground.site, ground.decon
    freezing = not ground.settled and may_freeze(ground)
    under = surface or site.surface
    state = given
    if state is None:
        state = "ice" if freezing or _snows(ground.snow) else "wet"
        unknown = "" if site.temperature is not None else tell(Note.MAY_FREEZE)
        notes.append(tell(Note.STATE_UNSAID, state=Word(state, "state"), unknown=unknown))
    elif not ground.settled and _snows(ground.snow) and given in (*UNDER_SNOW, "soiled"):
        state = "snow" if given in UNDER_SNOW else "ice"
        notes.append(tell(Note.SNOW_ON_SURFACE, given=Word(given or "", "state"), state=Word(state, "state")))
    if decon and state == "dry":
        state = "wet"
        notes.append(tell(Note.DECON_WETS))
    if state == "snow" and not ground.settled and not snow_is_dry(site, ground.snow):
        state = "ice"
        notes.append(tell(Note.SNOW_MAY_BE_SLUSH, dry=put(_both, snow_dry_at())))
    if (
        freezing
        and state != "ice"
        and given is not None
        and any(holds_water(x, under, thawing=may_thaw(site)) for x in (given, state))
    ):
        state = "ice"
        why = (
            tell(Note.FROST_IN_FILE)
            if site.temperature is None
            else tell(Note.AT_OR_BELOW, freezes_at=put(_both, freezes_at()))
        )
        notes.append(tell(Note.WATER_FREEZES, given=given, why=why))
    if decon and freezing and state != "ice":
        state = "ice"
        notes.append(tell(Note.DECON_FREEZES, freezes_at=put(_both, freezes_at())))
    return state


def cold_conditions(ground: Ground, system: System) -> list[Words]:
    """What has to be true of cold and water for the state of the ground to be what is counted."""
    surfaces = {(p.state or ground.site.state, p.surface or ground.site.surface) for p in ground.points} | {
        (ground.site.state, ground.site.surface)
    }
    states = {surface_state(ground, given, [], surface) for given, surface in surfaces}
    if not states - {"ice"}:
        return []
    if ground.site.temperature is None:
        return [tell(Note.ABOVE_FREEZING, said_cold=put(_said_cold, system))]
    if "snow" in states and snow_is_dry(ground.site, ground.snow):
        return [
            tell(
                Note.SNOW_STAYS_DRY,
                dry=put(show, "temperature", snow_dry_at() + ZERO_CELSIUS, system, rounding="down"),
            )
        ]
    if "dry" in states and may_freeze(ground):
        return [tell(Note.GROUND_STAYS_DRY)]
    return []


def _said_cold(system: System) -> str:
    return show("temperature", freezes_at() + ZERO_CELSIUS, system)


@lru_cache(maxsize=4)
def _pairs(ground: tables.Table, stack: tables.Table, surfaces: tables.Table) -> dict[tuple[str, str, str], tables.Row]:  # fmt: skip
    """Every published pair: (what slips, what under it, state) -> row."""
    whats, out = ("cloth", *RUBS.values()), {}
    for what in whats:
        for state in _PUBLISHED:
            for under in surfaces.by_key:
                if (key := f"{what}-{under}-{state}") in ground:
                    out[what, under, state] = ground.by_key[key]
            for under in set(_ON_FEET.values()):
                if (key := f"{what}-on-{under}-{state}") in stack:
                    out[what, f"on {under}", state] = stack.by_key[key]
    return out


def _looked_up(what: str, under: str, partners: Iterable[str], state: str, between: str) -> Contact:
    """The row of a pair; without one the least that either of the two has in that state, and never over our own bound for it.

    partners: how the rows of either partner begin or end; soiled: the wet pair, and never over its own row; frozen: never over
    the wet pair, for it thaws.
    """
    if state == "frozen":
        return min(
            (_pair(what, under, partners, s, between) for s in (state, "wet")), key=lambda c: c.row.value
        )
    if state == "soiled":
        wet = _looked_up(what, under, partners, "wet", between)
        soil = tables.table("friction-choice").by_key["soiled"]
        return wet if wet.row.value <= soil.value else Contact(soil, between, published=True)
    return _pair(what, under, partners, state, between)


def _pair(what: str, under: str, partners: Iterable[str], state: str, between: str) -> Contact:
    """The row of a pair in a state that has rows, or what bounds it."""
    pairs = _pairs(*(tables.table(t) for t in ("friction", "friction-stack", "surface")))
    if (what, under, state) in pairs:
        return Contact(pairs[what, under, state], between, published=True)
    mine = set(partners)
    known = [r for (a, b, s), r in pairs.items() if s == state and (a in mine or b in mine)]
    bound = tables.table("friction-choice").by_key["no-row-ice" if state == "ice" else "no-row"]
    return Contact(_least([bound, *known]), between, published=False)


def _least(rows: Sequence[tables.Row]) -> tables.Row:
    return min(rows, key=lambda r: r.value)


def friction_tests(anchorage: Anchorage, ground: Ground) -> tuple[Group, ...]:
    """Friction that was measured at the site, by what slid on what."""
    return drags(anchorage, ground, RUBS, _ON_FEET) if ground.tests else ()


def _wet_share(what: str, under: str, surface: str) -> float:
    """Wet over dry of a pair by its rows, never over 1; without both the least of any pair on that ground, and at most our bound for it."""
    pairs = _pairs(*(tables.table(t) for t in ("friction", "friction-stack", "surface")))
    ways = {
        (a, b): pairs[a, b, "wet"].value / dry.value
        for (a, b, state), dry in pairs.items()
        if state == "dry" and (a, b, "wet") in pairs
    }
    if (what, under) in ways:
        return min(ways[what, under], 1.0)
    bound = tables.row("evidence", "wet-share-most").value
    return min([bound, *(v for (_, u), v in ways.items() if u == surface)])


def measured(c: Contact, what: str, under: str, s: Footing) -> Contact:
    """A contact with what was measured of it in its row's place: whole tests as they came out, what is not whole for less alone.

    Wet from dry goes by the ratio of the rows. Over the high end of the row only from five places on. No worse state holds more
    than was measured in a better one; on ice and in mud that is all that a test says.
    """
    mine = [
        g for g in s.tests if (g.what, g.under, g.surface) == (what, under, s.surface) and g.value is not None
    ]
    here = next((g for g in mine if g.state == s.state), None)
    dry = next((g for g in mine if g.state == "dry"), None)
    share = 1.0
    if s.state in NEVER:
        here = None
    elif here is None and dry is not None and s.state == "wet" and what not in HARD:
        here, share = dry, _wet_share(what, under, s.surface)
    if here is not None and here.value is not None:
        value = _to_high(here, here.value * share, c)
        if here.whole or value < c.row.value:
            c = Contact(row_of(here, value, "1"), c.between, published=True)
    for g in mine:
        value = _to_high(g, float(g.value or 0.0), _plain(c, what, under, g.state))
        if BETTER.get(g.state, 9) < BETTER.get(s.state, 9) and value < c.row.value:
            c = Contact(row_of(g, value, "1"), c.between, published=True)
    return c


BETTER = {"dry": 0, "wet": 1}
"""States that others are worse than."""


def _to_high(g: Group, value: float, c: Contact) -> float:
    """A value held to the high end of a row until five places were read."""
    high = c.row.value if c.row.high is None or not c.published else c.row.high
    return value if len(g.values) >= tables.row("evidence", "places-asked").value else min(value, high)


def _plain(c: Contact, what: str, under: str, state: str) -> Contact:
    """The row of the same pair in another state, where it has one."""
    pairs = _pairs(*(tables.table(t) for t in ("friction", "friction-stack", "surface")))
    row = pairs.get((what, under, state))
    return c if row is None else Contact(row, c.between, published=True)


def measured_alone(s: Footing, g: Group) -> tuple[float, float]:
    """(what the row of a pair says, what a group of tests of it counts for in its own state, held to the row's high where it is)."""
    under = g.under
    foot = next((f for f, on in _ON_FEET.items() if f"on {on}" == under), None)
    bare = Footing(s.surface, s.state, None, None, None, None)
    c = _on_ground(g.what, bare) if foot is None else _on_foot(g.what, foot, bare)
    return c.row.value, _to_high(g, c.row.value if g.value is None else g.value, c)


def _on_ground(what: str, s: Footing) -> Contact:
    found = _looked_up(what, s.surface, (what, s.surface), s.state, f"{_WORDS[what]} on {s.surface}")
    return measured(found, what, s.surface, s)


def on_it(surface: str, state: str) -> list[float]:
    """Coefficients of all that may touch the ground, on a surface in a state."""
    s = Footing(surface, state, None, None, None, None)
    return [_on_ground(what, s).row.value for what in dict.fromkeys(("cloth", *FEET, *RUBS.values()))]


def _on_foot(what: str, foot: str, s: Footing) -> Contact:
    under = _ON_FEET[foot]
    found = _looked_up(
        what, f"on {under}", (what, f"on {under}", foot), s.state, f"{_WORDS[what]} on {_WORDS[under]}"
    )
    return measured(found, what, f"on {under}", s)


def _ballast(s: Footing) -> list[str]:
    return [RUBS[s.material]] if s.material else list(RUBS.values())


def _feet(s: Footing) -> list[str]:
    """What the frame may be standing on."""
    feet: list[str] = []
    for contact in [s.contact] if s.contact else CONTACTS:
        feet += ["cloth"] if contact == "cloth" else [s.foot] if s.foot else FEET
        if contact == "ground" and not s.foot:
            feet.append("cloth")
    return list(dict.fromkeys(feet))


def _contacts(s: Footing) -> tuple[list[Contact], list[Contact]]:
    """Every place where the shelter's own weight could slip, and every one where the ballast's could.

    on-foot: the whole stack for both. hung-clear: the foot on the ground for both. standing-tied: the foot carries the
    shelter's own weight, and the ballast beside it its own, each on the ground. lashed-to-leg: nothing slips on the plate,
    which the lashing sees to, so the foot on the ground for both; where some of the weight is on the ground, the lesser of
    foot and ballast there. Not said: all of these.
    """
    frame = [_on_ground(f, s) for f in _feet(s)]
    stack = [_on_foot(b, f, s) for b in _ballast(s) for f in _feet(s)]
    beside = [_on_ground(b, s) for b in _ballast(s)]
    if s.how == "hung-clear" or (s.how == "lashed-to-leg" and s.clear):
        return frame, frame
    if s.how == "lashed-to-leg":
        return frame, [*frame, *beside]
    if s.how == "standing-tied":
        return frame, beside
    every = [*frame, *stack] if s.how == "on-foot" else [*frame, *stack, *beside]
    return every, every


def _used(name: str, contacts: Sequence[Contact], state: str, notes: list[Words]) -> tables.Row:
    """The row of the lowest of some contacts, reported, and said where no row is for it."""
    least = min(contacts, key=lambda c: c.row.value)
    if not least.published:
        kind = "ice" if state == "ice" else ""
        bound = tables.row("friction-choice", "no-row-ice" if kind else "no-row").value
        notes.append(
            tell(
                Note.NO_PUBLISHED_FRICTION,
                between=least.between,
                state=Word(state, "state"),
                bound=put(numeral, bound, "g"),
            )
        )
    working.looked_up(name, least.row)
    tables.used(least.row)
    return least.row


def is_listed(surface: str) -> bool:
    """Whether the ground is one that the tables know; ``other`` stands for those that they do not."""
    return surface != "other" and surface in tables.table("surface")


def is_hard(surface: str) -> bool:
    """Whether no stake goes into the ground; a ground that is not known counts as hard."""
    table = tables.table("surface")
    return surface not in table or not table.by_key[surface].value


def site_asks(anchorage: Anchorage, ground: Ground, surfaces: Iterable[str]) -> Sequence[tuple[str, Words]]:
    """(code, question) of what must be known of the ground that the points stand on."""
    used, out = list(dict.fromkeys(surfaces)), []
    if ground.site.beneath is None and any(map(is_hard, used)):
        out.append(
            (
                "beneath-unknown",
                tell(Note.ASK_BENEATH),
            )
        )
    if ground.site.lowest_friction_by is None:
        known = {g.surface for g in friction_tests(anchorage, ground) if g.whole and g.under == g.surface}
        out += [
            (
                "surface-unknown",
                tell(Note.ASK_SURFACE, s=inert(s)),
            )
            for s in used
            if not is_listed(s) and s not in known
        ]
    return out


def name_asks(name: str, site: Site) -> Sequence[tuple[str, Words]]:
    """(code, question) where the name of a deployment says that something is beneath it, and the file that nothing is."""
    if site.beneath != "nothing":
        return []
    read = re.findall(r"[^\W_]+", folded(name))
    said = f" {' '.join(read)} "
    words = (w.replace("_", " ") for c in tables.codes("beneath-name").values() for w in c.key.split())
    word = next((w for w in words if f" {w} " in said), None)
    return [] if word is None else [("beneath-unknown", tell(Note.ASK_BENEATH_NAME, word=word))]


def inert(text: str) -> str:
    """A typed name in a sentence: what cannot be printed left out."""
    return "".join(c if c.isprintable() else "?" for c in text)


def _note_surface(surface: str, notes: list[Words]) -> None:
    if not is_listed(surface):
        notes.append(tell(Note.GROUND_NOT_LISTED, surface=inert(surface)))


def on_ground_friction(s: Footing, notes: list[Words]) -> tables.Row:
    """Row of the coefficient of ballast that lies on the ground itself, on a line."""
    _note_surface(s.surface, notes)
    return _used("μ of ballast on the ground", [_on_ground(b, s) for b in _ballast(s)], s.state, notes)


def frame_friction(s: Footing, notes: list[Words]) -> tuple[tables.Row, tables.Row]:
    """Rows of the least coefficient under the shelter's own weight, and under the ballast on the frame or tied to it."""
    _note_surface(s.surface, notes)
    if s.contact is None:
        notes.append(tell(Note.CONTACT_UNSAID))
    elif s.contact != "cloth" and not s.foot:
        notes.append(tell(Note.FEET_UNSAID))
    own, ballast = _contacts(s)
    if own is ballast:
        mu = _used("μ", ballast, s.state, notes)
        return mu, mu
    foot = _used("μ of the foot", own, s.state, notes)
    beside = _used("μ of ballast on the ground", ballast, s.state, notes)
    if s.how == "standing-tied" and foot.value < beside.value:
        notes.append(tell(Note.FEET_MORE_SLIPPERY))
    return foot, beside


def bare_friction(s: Footing, notes: list[Words]) -> tables.Row:
    """Row of the least coefficient under a foot with no ballast on it."""
    return frame_friction(Footing(s.surface, s.state, s.contact, s.foot, "hung-clear", None, s.tests), notes)[
        0
    ]


def material_of(unit: str | None, said: str | None) -> str | None:
    """What a unit of ballast is made of where it rubs: a listed one as its table says, another as the file does."""
    table = tables.table("ballast-mass")
    if unit is not None and unit in table:
        return table.by_key[unit].material
    return said


def fill_of(unit: str) -> str:
    """What a listed unit of ballast is filled with on site, water or sand; nothing for another."""
    table = tables.table("ballast-mass")
    return table.by_key[unit].fill if unit in table else ""
