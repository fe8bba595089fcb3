"""What was left out and decides the count: the range that it leaves open, and what would narrow it, each line by a run of its own.

A fact that nobody stated is run as the best that the site and what was stated leave open; what was stated is never bettered. The
low end is all of these at once. It is an offer to look, never a count: nothing but the page and the JSON of ``check`` reads it.
"""

from __future__ import annotations

import functools
import itertools
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace
from typing import Any

import numpy as np

from anchorage.checks.installation import Installation, assemble, hardware_at, point_inputs, target_pressure
from anchorage.checks.notes import Note
from anchorage.checks.outcome import PULL, FindOut, RangeOut
from anchorage.checks.sizing import Sized, sizes
from anchorage.checks.whatif import Totals
from anchorage.core import tables
from anchorage.core.constants import ZERO_CELSIUS
from anchorage.core.errors import AnchorageError
from anchorage.core.say import numeral
from anchorage.core.told import Words, put, tell
from anchorage.core.units import Rounding, System, read, show, shown
from anchorage.core.words import all_of
from anchorage.deployment.models import SPEED_IS, Anchorage, Deployment, Ground, HowDetail, Openings
from anchorage.deployment.policy import use_of
from anchorage.holding.ground import FEET, snow_dry_at, snow_is_dry, surface_state
from anchorage.holding.hardware import bar_at, pulled_of
from anchorage.holding.stakes import UPRIGHT, foreseen

Change = Callable[[Deployment], Deployment]
BOUND = HowDetail(stop=True, every_bag=True, on_ground=False)
ALL = "all"
"""Code of the line in which all that is open turns out well."""
_FOOT = {
    "rubber": tell(Note.SEE_RUBBER),
    "plastic": tell(Note.SEE_PLASTIC),
    "bare-metal": tell(Note.SEE_METAL),
    None: tell(Note.SEE_PLATES),
}


@dataclass(frozen=True)
class Fact:
    """Something to find out, or to do, and the deployment in which it turned out well."""

    code: str
    text: Words
    change: Change
    open: bool = True
    """Left out of the file: part of the low end. Else something to do, a choice or a figure of one's own: never part of it."""
    quick: bool = True
    """No new load cases."""


def with_keys(**parts: dict[str, Any]) -> Change:
    """A change of some keys of some tables; values as already read."""

    def change(d: Deployment) -> Deployment:
        return d.model_copy(
            update={name: getattr(d, name).model_copy(update=keys) for name, keys in parts.items()}
        )

    return change


def _chained(facts: Sequence[Fact]) -> Change:
    return lambda d: functools.reduce(lambda made, fact: fact.change(made), facts, d)


class _Runs:
    """The same installation again with what changes make of it; what needs no new load cases keeps the old."""

    def __init__(self, x: Installation, totals: Totals) -> None:
        self.x, self.use, self.totals = x, use_of(x.deployment), totals
        self.usable = np.array(
            [p.usable and p.kind != "none" for p in point_inputs(x.deployment.point, x.base.ids)]
        )
        self.base = x.base.holding(self.usable)
        self.known: dict[Any, Sized] = {}
        self.others: dict[tuple[str, ...], _Runs | None] = {}

    def under(self, slow: Sequence[Fact]) -> _Runs | None:
        """The same with other load cases; None where it cannot be judged."""
        if not slow:
            return self
        key = tuple(f.code for f in slow)
        if key not in self.others:
            other = _chained(slow)(self.x.deployment)
            try:
                made = assemble(other, (use_of(other),))
                self.others[key] = _Runs(made, self.totals)
                self.totals.note(other, made.needs[use_of(other)].total)
            except AnchorageError:
                self.others[key] = None
        return self.others[key]

    def total(self, facts: Sequence[Fact]) -> int | None:
        """Least units of the use that is judged; None where no number is enough, or where it cannot be judged."""
        runs = self.under([f for f in facts if not f.quick])
        return None if runs is None else runs.quick([f for f in facts if f.quick])

    def quick(self, facts: Sequence[Fact]) -> int | None:
        x, other = self.x, _chained(facts)(self.x.deployment)
        try:
            if x.deployment.shelter.straps == "locked" and other.shelter.mass != x.deployment.shelter.mass:
                return assemble(other, (self.use,)).needs[self.use].total
            return self.sized(other.anchorage, other.ground, other.shelter.mass).total
        except AnchorageError:
            return None

    def sized(self, anchorage: Anchorage, ground: Ground, own: float | None) -> Sized:
        """Counts on the same load cases. own: mass of the shelter (kg)."""
        x, mass = self.x, float(own or 0.0)
        hard = hardware_at(anchorage, ground, x.base.ids, x.factors, [])
        if (hard, mass) not in self.known:
            target = target_pressure(x.wind, x.policy.share_for(self.use))
            self.known[hard, mass] = sizes(self.base, hard, x.factors, mass, [target])[0]
        return self.known[hard, mass]

    def best(self, facts: Sequence[Fact], ways: Sequence[Fact]) -> tuple[int | None, Fact | None]:
        """The least over ways, of which one can be true at a time, with all of the facts; and that way."""
        found = [(self.total([*facts, w]), w) for w in ways] if ways else [(self.total(facts), None)]
        return min(found, key=lambda f: np.inf if f[0] is None else f[0])


def _attachments(x: Installation) -> list[Fact]:
    """Ways in which weights may be fixed and what the frame may stand on: asked together, since one hides what the other is worth."""
    a = x.deployment.anchorage
    if not any(h.kind == "ballast" for h in x.hard):
        return []
    detail = a.how_detail or HowDetail()
    lashing = BOUND.model_copy(update={k: v for k, v in dict(detail).items() if v is not None})
    hows: list[tuple[str, HowDetail | None] | None] = []
    if lashing.every_bag and (a.how is None or (a.how == "lashed-to-leg" and lashing != detail)):
        hows.append(("lashed-to-leg", lashing))
    if a.how is None:
        hows.append(("standing-tied", None))
    feet: list[tuple[str, str | None] | None] = [
        (c, f) for c, f in _stands(a.contact, a.foot) if (c, f) != (a.contact, a.foot)
    ]
    out = []
    for h, s in itertools.product(hows or [None], feet or [None]):
        if h is None and s is None:
            continue
        keys: dict[str, Any] = {} if h is None else {"how": h[0], "how_detail": h[1]}
        keys |= {} if s is None else {"contact": s[0], "foot": s[1]}
        said = ([] if h is None else [_attached(h[0], touches=bool(lashing.on_ground))]) + (
            [] if s is None else [_seen_under(a.contact, a.foot, s[1])]
        )
        out.append(
            Fact(
                "attachment" if h else "foot",
                said[0] if len(said) == 1 else put(all_of, tuple(said)),
                with_keys(anchorage=keys),
            )
        )
    return out


def _attached(how: str, *, touches: bool) -> Words:
    if how == "standing-tied":
        return tell(Note.SEE_TIED)
    return tell(Note.SEE_LASHED, some=tell(Note.SOME_TOUCH if touches else Note.NONE_TOUCH))


def _seen_under(contact: str | None, foot: str | None, seen: str | None) -> Words:
    """What is to be seen under the frame. Where the file names the foot already, it is the cloth that nobody said is not there."""
    return tell(Note.SEE_NO_CLOTH) if foot is not None and contact is None else _FOOT[seen]


def _stands(contact: str | None, foot: str | None) -> Iterator[tuple[str, str | None]]:
    """What the frame may be standing on, by what was left out. A foot on a cloth has no row of its own, so it is no best."""
    for f in [foot] if foot or contact == "cloth" else reversed(FEET):
        yield contact or "plate", f


def _site(x: Installation) -> Iterator[Fact]:
    d = x.deployment
    site = d.site
    if site.state is None:
        snow = d.snow.lies or d.snow.falling is not None
        best, said = ("snow", tell(Note.SEE_SNOW)) if snow else ("dry", tell(Note.SEE_DRY))
        yield Fact("state", said, with_keys(site={"state": best}))
    elif site.state != "dry" and d.deployment.use != "decon":
        better = tell(Note.SWEPT) if site.state in ("ice", "snow", "soiled") else tell(Note.STAYS_DRY)
        yield Fact(
            "clear",
            tell(Note.DO_CLEAR, better=better),
            with_keys(site={"state": "dry"}),
            open=False,
        )
    dry_cold = {"temperature": snow_dry_at() + ZERO_CELSIUS}
    cold = site.model_copy(update=dry_cold)
    if site.temperature is None and site.state == "snow" and snow_is_dry(cold, d.snow):
        dry = show("temperature", snow_dry_at() + ZERO_CELSIUS, d.deployment.show_units, rounding="down")
        yield Fact(
            "temperature",
            tell(Note.SEE_COLD, dry=dry),
            with_keys(site=dry_cold),
            quick=False,
        )
    unsaid = not (site.exposure or site.surroundings or site.terrain_category or site.exposures or site.z0)
    if unsaid:
        yield Fact(
            "surroundings",
            tell(Note.SEE_TOWN),
            with_keys(site={"surroundings": "town"}),
            quick=False,
        )
    if d.wind.terrain is None and d.wind.method == "physics":
        yield Fact("terrain", tell(Note.SEE_FORECAST_HERE),
                   with_keys(wind={"terrain": "site"}), quick=False)  # fmt: skip
    if d.wind.speed_is is None and d.wind.averaging is None and d.wind.beaufort is None:
        yield Fact("number", tell(Note.SEE_GUST), _as_gust, quick=False)


def _as_gust(d: Deployment) -> Deployment:
    averaging, height = SPEED_IS["forecast-gust"]
    keys: dict[str, Any] = {"speed_is": "forecast-gust", "averaging": averaging}
    if d.wind.height is None and height is not None:
        keys["height"] = read("length", height)
    return with_keys(wind=keys)(d)


def _shelter(x: Installation) -> Iterator[Fact]:
    d = x.deployment
    if d.shelter.mass is None:
        mass = tables.row("asking", "shelter-mass").value
        said = show("mass", mass, d.deployment.show_units)
        yield Fact(
            "mass",
            tell(Note.SEE_MASS, said=said),
            with_keys(shelter={"mass": mass}),
            open=False,
        )
    if x.shape.canopy:
        if d.shelter.blockage is None:
            yield Fact(
                "doors",
                tell(Note.SEE_CLEAR_BENEATH),
                with_keys(shelter={"blockage": "clear"}),
                quick=False,
            )
    elif d.shelter.openings is None:
        yield Fact(
            "doors",
            tell(Note.SEE_SHUT),
            with_keys(shelter={"openings": Openings()}),
            quick=False,
        )
    if not x.shape.canopy and (
        any(not o.closed for o in d.door) or (d.shelter.openings or Openings()) != Openings()
    ):
        shut = with_keys(shelter={"openings": Openings()})
        yield Fact("shut", tell(Note.DO_SHUT),
                   lambda d: shut(d).model_copy(update={"door": []}), open=False, quick=False)  # fmt: skip


def _hardware(x: Installation) -> Iterator[Fact]:
    a = x.deployment.anchorage
    s = a.stake
    if s is not None and x.hardware.kind == "stakes" and s.soil is not None:
        if s.line_angle is not None:
            for angle in (30.0, 45.0, 60.0):
                if abs(angle - s.line_angle) > 5:
                    yield Fact("hardware", tell(Note.DO_LINES, angle=put(numeral, angle, "g")),
                               with_keys(anchorage={"stake": s.model_copy(update={"line_angle": angle})}), open=False)  # fmt: skip
        longer = s.model_copy(
            update={"driven": min(float(s.driven) * 1.5, 3.0), "test_driven": s.test_driven or s.driven}
        )
        yield Fact(
            "hardware",
            tell(Note.DO_LONGER_STAKES),
            with_keys(anchorage={"stake": longer}),
            open=False,
        )
    if x.hardware.kind == "line-ballast" and a.line_angle is not None:
        for angle in (20.0, 30.0, 45.0, 60.0):
            if abs(angle - a.line_angle) > 5:
                yield Fact(
                    "hardware",
                    tell(Note.DO_LINES, angle=put(numeral, angle, "g")),
                    with_keys(anchorage={"line_angle": angle}),
                    open=False,
                )


def _as_shown(force: float, most: float, system: System) -> float:
    """The force (N) that a reader sees for this one, and no more than the most."""
    ways: tuple[Rounding, ...] = ("up", "down")
    for rounding in ways:
        number = shown("force", force, system, rounding=rounding)
        seen = float(read("force", f"{number.value!r} {number.unit}"))
        if seen <= most:
            break
    return seen


def _pulling(runs: _Runs) -> Iterator[Fact]:
    """What three pulls would save, where none goes before theory: with each so many times theory as leaves no more at a point than are planned
    there, and no more than is believed.
    """
    x = runs.x
    d, s, a, ground = x.deployment, x.deployment.anchorage.stake, x.deployment.anchorage, x.deployment.ground
    at = np.array([h.kind == "stakes" for h in x.hard])
    if s is None or s.combination is not None or not at.any() or pulled_of(a, ground, s) is not None:
        return
    here = point_inputs(ground.points, x.base.ids)[int(np.argmax(at))]
    state = surface_state(ground, here.state or ground.site.state, [], here.surface)
    angle = UPRIGHT if s.line_angle is None else float(s.line_angle)
    theory = foreseen(bar_at(a, ground, s, here, state), angle)
    rows = tables.table("evidence").by_key
    each, most = (theory * rows[k].value for k in ("pull-asked", "pull-over-named"))
    fit = tables.table("stakes-at-point").by_key["most"].value
    least = int(tables.table("pull-test").by_key["least-count"].value)
    for _ in range(2):
        each = _as_shown(each, most, d.deployment.show_units)
        keys = {"pull_tests": [each] * least, "pull_angle": angle, "pulled": "to-failure", "tested": "dry" if state == "dry" else "wet",
                "test_soil": None, "test_driven": None, "test_diameter": None, "test_height": None}  # fmt: skip
        stake = s.model_copy(update=keys)
        try:
            counts = runs.sized(a.model_copy(update={"stake": stake}), ground, d.shelter.mass).counts
        except AnchorageError:
            return
        top = np.inf if counts is None else float(counts[at].max())
        if each <= 0 or top <= fit:
            break
        each = min(each * top / fit, most)
    if each > 0 and top <= fit:
        force = put(show, "force", each, d.deployment.show_units)
        yield Fact(PULL, tell(Note.DO_PULL, force=force), with_keys(anchorage={"stake": stake}), open=False)


def by_joint_factor(x: Installation) -> int | None:
    """Units in all if sliding had the factor for joints of whoever measured the lowest pairs; None with other margins, or where none is enough."""
    if x.factors.set != "lumped-1.5" or not any(h.kind == "ballast" for h in x.hard):
        return None
    asks = tables.row("friction-factor", "joint").value
    margin = replace(x.factors, friction=x.factors.friction * x.factors.wind / asks)
    target = target_pressure(x.wind, x.policy.share_for(x.use))
    return sizes(_Runs(x, Totals()).base, x.hard, margin, x.shelter_mass, [target])[0].total


def _leaving(x: Installation) -> Iterator[FindOut]:
    """Everybody out earlier: the count of standing empty, which is known already."""
    need, now = x.needs.get("empty"), x.needs[x.use].total
    if (
        x.use in ("working", "people-in")
        and need is not None
        and need.total is not None
        and (now is None or need.total < now)
    ):
        gust = show(
            "speed", x.wind.gust * x.policy.people_out, x.deployment.deployment.show_units, rounding="down"
        )
        yield FindOut(code="leave-earlier", told=tell(Note.DO_LEAVE, gust=gust), total=need.total,
                      saves=None if now is None else now - need.total)  # fmt: skip


def asked(x: Installation, totals: Totals) -> tuple[RangeOut | None, list[FindOut]]:
    """The range that what was left out leaves open, None where there is none; and every line that cuts the count.

    What is to be found out stands first, best first, then what could be done. Last, where something was left out, the line in which all of it turns out well. totals: of other deployments, noted for who asks about them next.
    """
    runs, now = _Runs(x, totals), x.needs[x.use].total
    totals.note(x.deployment, now)
    ways, facts = _attachments(x), [*_site(x), *_shelter(x), *_hardware(x), *_pulling(runs)]
    opened = [f for f in facts if f.open]
    least, way = runs.best(opened, ways)
    if way is not None:
        alone = runs.total([way])
        facts.insert(
            0, way if alone is not None and (now is None or alone < now) else runs.best([], ways)[1] or way
        )
    found = [(f, runs.total([f])) for f in facts]
    lines = [FindOut(code=f.code, told=f.text, total=t, saves=None if now is None else now - t)
             for f, t in found if t is not None and (now is None or t < now)]  # fmt: skip
    to_do = {f.code for f in facts if not f.open and f.code != "mass"} | {"leave-earlier"}
    lines = sorted([*lines, *_leaving(x)], key=lambda o: (o.code in to_do, o.total))
    if least is None or not (opened or ways) or (now is not None and least >= now):
        return None, lines
    seen = _stands_on(runs, opened, way, least)
    end = FindOut(
        code=ALL,
        told=tell(Note.SEE_ALL),
        total=least,
        saves=None if now is None else now - least,
    )
    span = RangeOut(least_units=least, most_units=now, seen=[f.text for f in seen])
    return span if x.sized is not None else None, [*lines, end]


def _stands_on(runs: _Runs, opened: Sequence[Fact], way: Fact | None, least: int) -> list[Fact]:
    """The facts that the low end needs, all of them together: one after the other is left out as long as it stays the same."""
    ways = [] if way is None else [way]
    kept = list(opened)
    for f in reversed(opened):
        rest = [o for o in kept if o is not f]
        if runs.best(rest, ways)[0] == least:
            kept = rest
    return kept if way is None or runs.total(kept) == least else [way, *kept]
