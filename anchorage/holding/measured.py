"""What was measured at the site, as values: each group of tests of one thing in one state, and the figure that it counts for.

A group earns nothing unless it is whole: read at three named places, in the way that it is to be read. What is not whole may
still count for less than a table does, never for more.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from enum import Enum

import numpy as np

from anchorage.core import tables
from anchorage.core.constants import gravity
from anchorage.core.units import Measure
from anchorage.deployment.models import Anchorage, Ground, Site, SiteTest
from anchorage.formulas import evidence, working

NEVER = ("ice", "soiled")
"""States in which no friction is measured: they are another from one step to the next."""
HARD = ("plastic", "bare-metal")
"""What slides otherwise in the wet than a dry pull could tell."""


class Lack(Enum):
    """Why a test does not count, or counts for less than it read."""

    FEW_PLACES = "few-places"
    NOTHING_READ = "nothing-read"
    WHAT = "what-unsaid"
    LOAD = "load-unsaid"
    LOAD_OFF = "load-off"
    NOT_LEVEL = "not-level"
    ICE_OR_MUD = "ice-or-mud"
    MOVED = "moved-too-far"
    MOVEMENT = "movement-unsaid"
    PULL_TO_FIVE = "held-to-the-row-until-five"
    WET_ONLY = "test-it-wet"
    OTHER_STATE = "other-state"
    NOT_HERE = "not-here"
    SHOWN = "shown-only"
    EXPIRED = "expired"
    BEYOND = "beyond-belief"


@dataclass(frozen=True)
class Group:
    """Tests of one thing on one ground in one state. values: the least that was read at each place that is whole."""

    kind: str
    what: str
    """What slid, or what was weighed, pulled or pushed into."""
    under: str
    """What it slid on; nothing for what does not slide."""
    surface: str
    state: str
    values: tuple[float, ...]
    lowest: float | None
    """Of all that was read, whole or not; None where nothing was."""
    value: float | None
    """What the whole ones count for; None where there is none."""
    lacks: tuple[Lack, ...] = ()
    loads: tuple[float, ...] = ()
    """Weights that were pulled (N), of a foot."""
    foot: bool = False
    """The loaded foot itself was pulled, not a unit."""
    unsure: bool = False
    """What slid, or on what, is not said: it stands at each pair that it may have been, and takes away there alone."""

    @property
    def whole(self) -> bool:
        """Whether it may count for more than a table does."""
        return self.value is not None and Lack.FEW_PLACES not in self.lacks and not self.unsure


def _figure(key: str) -> float:
    return tables.row("evidence", key).value


def _student(freedom: int) -> float:
    rows = [r for r in tables.table("student-95").rows if r.at["freedom"] <= freedom]
    return tables.row("student-95", max(rows, key=lambda r: r.at["freedom"]).key).value


def counts_for(values: Sequence[float], known: float) -> float:
    """What values count for: the lowest, or the 5 % fractile by their own spread or by one taken as known, whichever is least.

    known: coefficient of variation (1).
    """
    if not values or min(values) <= 0:
        return 0.0
    logs, n = np.log(np.asarray(values, float)), len(values)
    mean = float(logs.mean())
    sure = float(
        evidence.low_fractile(mean, float(evidence.log_spread(known)), _figure("quantile-known"), float(n))
    )
    found = [min(values), sure]
    if n > 2:
        found.append(float(evidence.low_fractile(mean, float(logs.std(ddof=1)), _student(n - 1), float(n))))
    return min(found)


def newtons(value: Measure | float) -> float:
    """A force as read; a mass as a scale shows it is its weight."""
    return float(value) * (gravity() if getattr(value, "kind", "force") == "mass" else 1.0)


def kilograms(value: Measure | float) -> float:
    return float(value) / (gravity() if getattr(value, "kind", "mass") == "force" else 1.0)


def _slid(a: Anchorage, t: SiteTest, units: dict[str, str]) -> str | None:
    """The row of what was pulled: the foot and the unit as the file has them."""
    if t.what == "foot":
        return "cloth" if a.contact == "cloth" else a.foot
    if t.what == "unit":
        table = tables.table("ballast-mass")
        listed = table.by_key.get(a.unit or "")
        material = a.unit_material if listed is None else listed.material
        return units.get(material or "")
    return t.what


def _under(a: Anchorage, t: SiteTest, surface: str, feet: dict[str, str]) -> str | None:
    if t.contact == "cloth":
        return "on cloth"
    if t.contact == "plate":
        return f"on {feet[a.foot]}" if a.foot in feet else None
    return surface


def _pull(t: SiteTest, k: int, share: float) -> float:
    """Force of a pull: steady or greatest, whichever is less; a share of the greatest where the steady was not read."""
    greatest = newtons(t.force[k])
    return min(greatest, newtons(t.steady[k])) if k < len(t.steady) else share * greatest


def _lost(t: SiteTest) -> tuple[Lack, ...]:
    return (Lack(t.lost),) if t.lost else ()


def _by_place(found: Sequence[tuple[str | None, float]]) -> tuple[float, ...]:
    """The least at each named place; all that has no name is one place."""
    least: dict[str | None, float] = {}
    for place, value in found:
        least[place] = min(value, least.get(place, np.inf))
    return tuple(least.values())


def _group(kind: str, what: str, under: str, surface: str, state: str, found: Sequence[tuple[str | None, float, tuple[Lack, ...]]],
           known: float, **more: object) -> Group:  # fmt: skip
    whole = [(p, v) for p, v, lacks in found if not lacks]
    lacks = list(dict.fromkeys(k for _, _, each in found for k in each))
    values = _by_place(whole)
    if len(values) < _figure("places-least"):
        lacks.append(Lack.FEW_PLACES)
    if not found:
        lacks.append(Lack.NOTHING_READ)
    lowest = min(
        (v for _, v, each in found if not {Lack.EXPIRED, Lack.LOAD_OFF, Lack.BEYOND} & {*each}), default=None
    )
    value = counts_for(values, known) if values else None
    if more.get("unsure"):
        lacks.append(Lack.WHAT)
    return Group(kind, what, under, surface, state, values, lowest, value, tuple(lacks), **more)  # type: ignore[arg-type]


def _surface(site: Site, t: SiteTest) -> str:
    return str(t.surface or site.surface)


def _beyond(value: float, most: float) -> tuple[Lack, ...]:
    """That a reading is more than can be: it counts nothing, and is asked about."""
    return (Lack.BEYOND,) if value > most * (1 + 1e-9) else ()


def friction_most() -> float:
    """Pull over load that is believed at the most."""
    return _figure("friction-most")


def weighed_most(unit: str | None) -> float:
    """Mass of a unit (kg) that is believed at the most."""
    rows = tables.table("usual-most").by_key
    key = unit if unit in rows and unit != "shelter" else "other"
    return _figure("weigh-over-usual") * rows[str(key)].value


def drags(a: Anchorage, ground: Ground, units: dict[str, str], feet: dict[str, str]) -> tuple[Group, ...]:
    """Friction that was measured. units, feet: the rows of a material of ballast, and what a foot is to what lies on it.

    Where the file does not say what the unit or the foot is made of, a pull stands at each pair that it may have been.
    """
    groups = dict[tuple[str, str, str, str, bool, bool], list[SiteTest]]()
    for t in ground.tests:
        if t.kind == "drag":
            surface = _surface(ground.site, t)
            whats, unders = _slid(a, t, units), _under(a, t, surface, feet)
            every = units.values() if t.what == "unit" else ("cloth", *feet)
            unsure = whats is None or unders is None
            for what in dict.fromkeys(every) if whats is None else (whats,):
                for under in dict.fromkeys(f"on {x}" for x in feet.values()) if unders is None else (unders,):
                    key = (what, under, surface, t.state or "dry", t.what == "foot", unsure)
                    groups.setdefault(key, []).append(t)
    out = []
    for (what, under, surface, state, foot, unsure), tests in groups.items():
        share = _figure("steady-share-sand" if surface == "sand" else "steady-share")
        found: list[tuple[str | None, float, tuple[Lack, ...]]] = []
        for t in tests:
            lacks = [*_lost(t)]
            lacks += [Lack.NOT_LEVEL] if t.angle else []
            lacks += [Lack.ICE_OR_MUD] if state in NEVER else []
            if t.load is None or newtons(t.load) < 1.0:
                found += [(t.place, np.inf, (*lacks, Lack.LOAD)) for _ in t.force]
                continue
            load = newtons(t.load)
            each = [float(evidence.pulled_friction(_pull(t, k, share), load)) for k in range(len(t.force))]
            found += [(t.place, v, (*lacks, *_beyond(v, friction_most()))) for v in each]
        loads = tuple(newtons(t.load) for t in tests if t.load is not None and t.force)
        with working.title(f"Pulls at the site: {what} on {under}, {state}"):
            out.append(
                _group(
                    "drag", what, under, surface, state, found, _figure("spread-friction"), loads=loads, foot=foot, unsure=unsure,
                )
            )  # fmt: skip
    return tuple(out)


def weighings(anchorage: Anchorage, tests: list[SiteTest]) -> Group | None:
    """Masses of units that were weighed (kg), each a place of its own; None where none was."""
    weighed = [t for t in tests if t.kind == "weigh"]
    if not weighed:
        return None
    most = weighed_most(anchorage.unit)
    found = [
        (f"{i}.{k}", kilograms(v), (*_lost(t), *_beyond(kilograms(v), most)))
        for i, t in enumerate(weighed)
        for k, v in enumerate(t.force)
    ]
    with working.title("Units that were weighed"):
        return _group("weigh", anchorage.unit or "unit", "", "", "", found, _figure("spread-friction"))


def strengths(ground: Ground, surface: str | None) -> Group | None:
    """Undrained strength of clay that was read on a ground (Pa), each reading by itself; None where none was."""
    tests = [t for t in ground.tests if t.kind == "vane" and _surface(ground.site, t) == str(surface)]
    if not tests:
        return None
    state = "dry" if any((t.state or "dry") == "dry" for t in tests) else "wet"
    most = _figure("vane-most")
    found = [
        (f"{i}.{k}", float(v), (*_lost(t), *_beyond(float(v), most)))
        for i, t in enumerate(tests)
        for k, v in enumerate(t.force)
    ]
    with working.title("Strength of the clay, read at the site"):
        return _group("vane", "clay", "", str(surface), state, found, _figure("spread-stake"))


def stakes_pulled(
    ground: Ground, surface: str | None, believed: Callable[[SiteTest], float] = lambda _: np.inf
) -> tuple[Group, float | None] | None:
    """Stakes that were pulled on a ground (N), and the angle if all were pulled at one; None where none was. believed: the most that is, of a test."""
    tests = [
        t for t in ground.tests if t.kind == "pull" and _surface(ground.site, t) == str(surface) and t.force
    ]
    if not tests:
        return None
    state = "dry" if any((t.state or "dry") == "dry" for t in tests) else "wet"
    most, found = _figure("movement-most"), list[tuple[str | None, float, tuple[Lack, ...]]]()
    for t in tests:
        lack = (
            ()
            if t.movement is not None and t.movement <= most * (1 + 1e-9)
            else (Lack.MOVED if t.movement is not None else Lack.MOVEMENT,)
        )
        lack = (*_lost(t), *lack)
        each, top = [_pull(t, k, 1.0) for k in range(len(t.force))], believed(t)
        found += [(t.place, v, (*lack, *_beyond(v, top))) for v in each]
    angles = {t.angle for t in tests}
    with working.title("Stakes that were pulled at the site"):
        made = _group("pull", "stake", "", str(surface), state, found, _figure("spread-stake"))
    return made, angles.pop() if len(angles) == 1 else None


def meters(tests: list[SiteTest]) -> Group | None:
    """What a meter read over what was forecast for then, pair by pair; shown, and never credited."""
    read = [t for t in tests if t.kind == "meter"]
    if not read:
        return None
    found = [
        (t.place, float(v) / float(f), ())
        for t in read
        for v, f in zip(t.force, t.steady, strict=False)
        if float(f) > 0
    ]
    values = tuple(v for _, v, _ in found)
    return Group(
        "meter",
        "gust over forecast",
        "",
        "",
        "",
        values,
        min(values, default=None),
        max(values, default=None),
        (Lack.SHOWN,),
    )


def row_of(g: Group, value: float, unit: str) -> tables.Row:
    """A measured figure as a row, so that it is shown and graded with the rest."""
    n = len(g.values)
    at = " in ".join(filter(None, (g.surface, g.state)))
    low, high = min((value, *g.values)), max((value, *g.values))
    return tables.Row(
        table=f"site-test-{g.kind}", key=f"{g.what}-{g.under or g.surface}-{g.state}".strip("-"), value=value, low=low, high=high, unit=unit,
        label=f"measured at the site: {g.what} {at}".strip(), at={}, source=None, cited="", clause=None, how="computed",
        note=f"measured at the site, {n} places: the least of the lowest and of the 5 % fractiles",
    )  # fmt: skip
