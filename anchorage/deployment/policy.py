"""The operating policy, built once from the tables and the file: at which share of the limit what is done, and the one record that says a gust against a limit.

A level is decided on exact values. What is printed of it - gust up, limits down, and the share of the two printed figures - is written with as
many decimals as it takes to say the same as the level.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Any, Literal, Protocol

from anchorage.core import tables, units
from anchorage.core.out import Level, PolicyOut
from anchorage.core.say import mark, say
from anchorage.core.told import Put, Words, put, tell, together
from anchorage.core.units import Rounding, System
from anchorage.core.words import LEVELS, all_of, out_of
from anchorage.deployment.models import About, Anchorage, Deployment, Door, Margins, OutlookIn, Policy, Times
from anchorage.deployment.notes import Note

TIGHT = 1e-9
"""A share this near to a level has reached it."""
ORDER: tuple[Level, ...] = ("normal", "secure", "people-out", "keep-away")
RANK: tuple[Level, ...] = (*ORDER, "unknown")
"""Of two levels of a plan the one that counts."""
SUBJECTS = {
    "working": mark("work with people coming and going"),
    "people-in": mark("stay up with people in"),
    "empty": mark("stay up empty"),
    "set-up": mark("set up"),
}
"""Each use, in words."""
GO_IN: dict[str, tuple[Level, ...]] = {
    "working": ("normal",),
    "people-in": ("normal", "secure"),
    "empty": ORDER[:-1],
    "set-up": ("normal",),
}
"""The levels in which a use is go, where nothing else stands in its way."""
DECIMALS = 2
"""More than these are never written: what is nearer to a level than they tell is shown as the figure before it."""


@dataclass(frozen=True)
class Against:
    """A gust against a limiting gust: figures written once, for every page."""

    level: Level
    share: float | None
    """Gust over limit, exact; None where no limit was found."""
    blows: Words
    """The gust."""
    most: Words
    """The limit."""
    marks: tuple[Words, Words, Words]
    """Where each level begins."""
    percent: int | None
    """Of the two figures as they are printed; None where there is no limit to take a share of."""
    digits: int | None = None
    """Decimals that it took; None for the usual step."""

    @property
    def gust(self) -> str:
        """In words, as the rest."""
        return str(self.blows)

    @property
    def limit(self) -> str:
        return str(self.most)

    @property
    def secure(self) -> str:
        return str(self.marks[0])

    @property
    def people_out(self) -> str:
        return str(self.marks[1])

    @property
    def keep_away(self) -> str:
        return str(self.marks[2])

    @property
    def numbers(self) -> tuple[str, str]:
        """Of the gust and of the limit, without their unit."""
        return _number(self.blows), _number(self.most)

    @property
    def words(self) -> str:
        """``32 of 40 mph, 80 %``."""
        if self.share is None:
            return self.gust
        share = "" if self.percent is None else f", {self.percent} %"
        return f"{out_of(self.numbers[0], self.limit)}{share}"

    @property
    def sentence(self) -> str:
        """``Gust 32 of 40 mph, 80 %: PEOPLE OUT``."""
        return say("Gust {words}: {level}", words=self.words, level=LEVELS[self.level])


def written(kind: str, value: float, system: System, **how: Any) -> str:
    """A figure with its unit."""
    return str(units.shown(kind, value, system, **how))


def _number(figure: Words) -> str:
    return units.shown(*figure.of, **dict(figure.more)).number if isinstance(figure, Put) else str(figure)  # type: ignore[arg-type]


def words_of(at: Against) -> str:
    """``32 of 40 mph, 80 %``."""
    return at.words


class LevelShares(Protocol):
    """Anything that says at which shares of the limit the levels begin."""

    @property
    def secure(self) -> float: ...
    @property
    def people_out(self) -> float: ...
    @property
    def keep_away(self) -> float: ...


@dataclass(frozen=True)
class OperatingPolicy:
    """Shares of the limit at which the levels begin, times, and rules of one's own. Nothing else reads these rows."""

    secure: float
    people_out: float
    keep_away: float
    source: Words
    """Where the shares are from."""
    signed_by: str
    """Who answers for a policy of one's own; empty where nobody signs."""
    looser: tuple[str, ...]
    """Levels that begin later than in the table."""
    notes: tuple[Words, ...]
    gust: float | None
    """A local limit (m/s)."""
    setup_gust: float | None
    laxer: str
    """Margins of one's own that ask less than the set for such speeds, as key and value; empty where there are none."""
    margin: float
    """Spare time in each deadline (s)."""
    all_clear_wait: int
    """From the last reading at the next lower level to an all-clear (s)."""
    thunder_wait: int
    """After the last thunder (s)."""

    def begins(self, level: Level) -> float:
        """Share of the limit at which a level begins."""
        return _begins(self, level)

    @property
    def notice(self) -> Words | None:
        """For every page, where the policy is looser than published practice."""
        looser = tell(Note.LOOSER_SIGNED, signed_by=self.signed_by) if self.looser else None
        said = [t for t in (looser, own_margins_of(self)) if t is not None]
        return together(*said, between="; ") if said else None

    def share_for(self, use: str) -> float:
        """Largest share of the limiting gust at which a use is still go."""
        return {
            "working": self.secure,
            "set-up": self.secure,
            "people-in": self.people_out,
            "empty": self.keep_away,
        }[use]

    def level(self, share: float) -> Level:
        """Level of a share of the limit; NaN is unknown."""
        return _level(self, share)

    def level_of(self, gust: float, limit: float) -> Level:
        """Level of a gust against a limiting gust (m/s)."""
        return _level(self, share_of(gust, limit))

    def out(self) -> PolicyOut:
        """For the Plan."""
        return PolicyOut(secure=self.secure, people_out=self.people_out, keep_away=self.keep_away, source=self.source,
                         signed_by=self.signed_by or None, notice=self.notice)  # fmt: skip


def _begins(s: LevelShares, level: Level) -> float:
    return {"secure": s.secure, "people-out": s.people_out, "keep-away": s.keep_away}.get(level, 0.0)


def _level(s: LevelShares, share: float) -> Level:
    if math.isnan(share):
        return "unknown"
    return next((k for k in reversed(ORDER[1:]) if share >= _begins(s, k) - TIGHT), "normal")


What = Literal["gust", "load", "depth"]
_WRITTEN: dict[What, tuple[str, dict[System, tuple[str | None, int | None]]]] = {
    "gust": ("speed", {"us": (None, None), "si": (None, None)}),
    "load": ("pressure", {"us": ("psf", 1), "si": ("Pa", None)}),
    "depth": ("length", {"us": ("in", 1), "si": ("cm", 0)}),
}
"""Kind of quantity, and by system the unit and the decimals that it is usually written with."""


def against(
    s: LevelShares,
    gust: float,
    limit: float | None,
    system: System,
    what: What = "gust",
    least: int | None = None,
) -> Against:
    """A gust (m/s), a load (Pa) or a depth (m) of snow against its limit, as every page writes it.

    least: decimals that the rest of the page has already taken.
    """
    kind, usual = _WRITTEN[what]
    unit, base = usual[system]

    def show(value: float, rounding: Rounding, digits: int | None) -> units.Shown:
        return units.shown(kind, value, system, rounding=rounding, digits=digits, unit=unit)

    def figure(value: float, rounding: Rounding, digits: int | None) -> Put:
        return put(written, kind, value, system, rounding=rounding, digits=digits, unit=unit)

    level = _level(s, share_of(gust, math.nan if limit is None else limit))
    if limit is None or not math.isfinite(limit):
        none = tell(Note.NO_LIMIT)
        return Against(level, None, figure(gust, "up", base), none, (none, none, none), None)
    above = ORDER[1:][ORDER.index(level) :]
    finer: tuple[int | None, ...] = (base, *range((base or 0) + 1, DECIMALS + 1))
    finer = finer if least is None else finer[finer.index(least) :]
    shown_gust = gust
    for digits in finer:
        blows = show(gust, "up", digits)
        most = show(limit, "down", digits)
        last = digits == DECIMALS  # then no mark is written any finer
        if all(
            blows.value < _begins(s, k) * most.value * (1.0 - TIGHT)
            and (not last or blows.value < show(_begins(s, k) * limit, "down", digits).value)
            for k in above
        ):
            break
    else:  # nearer to a level than the last decimal tells: the limit stays as it is, and the gust is a figure under that level
        step = 10.0**-DECIMALS
        under = min(show(_begins(s, k) * limit, "down", digits).value for k in above) - 2.5 * step
        near = show(gust, "near", 9).value
        shown_gust = gust * max(under, 0.0) / near if near > 0 else 0.0
        blows = show(shown_gust, "up", digits)

    def short(value: float, rounding: Rounding, full: units.Shown) -> int | None:
        """Decimals of the same figure without the noughts that only those of the other one put behind it."""
        same = (d for d in finer if math.isclose(show(value, rounding, d).value, full.value, rel_tol=1e-12))
        return next(same, digits)

    few = short(shown_gust, "up", blows), short(limit, "down", most)
    blows, most = show(shown_gust, "up", few[0]), show(limit, "down", few[1])
    at = figure(shown_gust, "up", few[0]), figure(limit, "down", few[1])
    marks = []
    for k in ORDER[1:]:
        begins = _begins(s, k)
        for more in finer:
            shown = most if begins == 1.0 else show(begins * limit, "down", more)
            if k not in above or blows.value < shown.value:
                break
        marks.append(at[1] if begins == 1.0 else figure(begins * limit, "down", more))
    whole = percent(blows.value / most.value) if most.value > 0 else None
    return Against(level, share_of(gust, limit), *at, (marks[0], marks[1], marks[2]), whole, digits)


def decimals(s: LevelShares, pairs: Iterable[tuple[float, float | None]], system: System) -> int | None:
    """Decimals that every gust and limit of a page takes; None where the usual step does."""
    return max(
        (against(s, gust, limit, system).digits for gust, limit in pairs), key=lambda n: n or 0, default=None
    )


def share_of(gust: float, limit: float) -> float:
    """Gust over limit; 0 of nothing is 0, and nothing holds no gust."""
    if math.isnan(gust) or math.isnan(limit):
        return math.nan
    if limit <= 0:
        return 0.0 if gust <= 0 else math.inf
    return gust / limit


def percent(share: float) -> int:
    """A share in whole per cent, down: what is not 80 % is not called so."""
    return math.floor(100.0 * share + 1e-7)


def margin_of(t: Times) -> float:
    """Spare time (s): from the file, else that of the table."""
    return float(t.margin) if t.margin is not None else tables.row("deadline", "margin").value


def in_table() -> dict[str, tables.Row]:
    """The rows of the levels."""
    return {k: tables.row("level", k) for k in ORDER[1:]}


def policy_of(d: Deployment | None = None) -> OperatingPolicy:
    """The policy of a file; of the tables alone where there is none."""
    rows = in_table()
    said = {} if d is None else {k: v for k, v in shares_said(d.policy, d.outlook).items() if v is not None}
    shares = {k: said.get(k, rows[k].value) for k in ("secure", "people-out")}
    most = {k: tables.row("level-most", k).value for k in shares}
    over = {k: v for k, v in shares.items() if v > most[k] + TIGHT}
    shares = {k: min(v, most[k]) for k, v in shares.items()}
    shares["secure"] = min(shares["secure"], shares["people-out"])
    looser = tuple(k for k, v in shares.items() if v > rows[k].value + TIGHT)
    signed = "" if d is None else d.policy.signed_by or ""
    notes: list[Words] = []
    if d is not None and (d.outlook.secure is not None or d.outlook.people_out is not None):
        notes.append(tell(Note.PLACE_IS_POLICY))
    if looser:
        what = tuple(
            tell(Note.LEVEL_INSTEAD, levels=LEVELS[k], shares=f"{shares[k]:.0%}", rows=f"{rows[k].value:.0%}")
            for k in ORDER
            if k in looser
        )
        notes.insert(0, tell(Note.LOOSER, signed=signed, what=put(all_of, what)))
    notes += [
        tell(Note.NO_ROOM, level=LEVELS[k], said=f"{v:.0%}", most=f"{most[k]:.0%}") for k, v in over.items()
    ]
    source = (
        put(str, rows["secure"].cite())
        if not said
        else together(tell(Note.OWN_LEVELS), tell(Note.SIGNED_BY, signed=signed), between="")
        if signed
        else tell(Note.OWN_LEVELS)
    )
    own = None if d is None else d.policy
    return OperatingPolicy(
        shares["secure"], shares["people-out"], rows["keep-away"].value, source, signed, looser, tuple(notes),
        gust=None if own is None or own.gust is None else float(own.gust),
        setup_gust=None if own is None or own.setup_gust is None else float(own.setup_gust),
        laxer="" if d is None else ", ".join(f"{k} {v:g}" for k, v in laxer(d.margins).items()),
        margin=margin_of(Times() if d is None else d.times), all_clear_wait=int(tables.row("deadline", "all-clear-wait").value),
        thunder_wait=int(tables.row("deadline", "thunder-wait").value),
    )  # fmt: skip


def laxer(m: Margins) -> dict[str, float]:
    """Factors of one's own that ask less than the set that takes such speeds, by key; none where they all ask as much.

    A factor on the wind may as well be taken off what resists: weights and stakes are held against their share of the wind's.
    """
    if m.set != "own":
        return {}
    name = "margin-asd" if m.level == "strength" else "margin-lumped-1.5"
    rows = {k: tables.row(name, k).value for k in ("wind", "shelter", "ballast", "friction", "stake", "line")}
    own = {k: float(getattr(m, k)) for k in rows}
    resists = {
        k: own[k] / own["wind"] > rows[k] / rows["wind"] + TIGHT for k in ("shelter", "ballast", "stake")
    }
    less = {
        "wind": any(resists.values()) and own["wind"] < rows["wind"] - TIGHT,
        **{k: v and own[k] > rows[k] + TIGHT for k, v in resists.items()},
        "friction": own["friction"] > rows["friction"] + TIGHT,
        "line": own["line"] < rows["line"] - TIGHT,
    }
    return {k: v for k, v in own.items() if less.get(k)}


def own_margins_of(policy: OperatingPolicy) -> Words | None:
    """Who answers for margins that ask less than the set; None where they ask as much, or nobody signed."""
    if not policy.laxer or not policy.signed_by:
        return None
    return tell(Note.MARGINS_OF_YOUR_OWN, which=policy.laxer, signed_by=policy.signed_by)


MARGINS_OWN = "margins-own"
"""Code of the question who answers for margins that ask less than the set."""


def margins_ask(policy: OperatingPolicy) -> Sequence[tuple[str, Words]]:
    """(code, question) where nobody signed for margins that ask less than the set for such speeds."""
    if not policy.laxer or policy.signed_by:
        return []
    return [(MARGINS_OWN, tell(Note.ASK_MARGINS, which=policy.laxer))]


def shares_said(p: Policy, o: OutlookIn) -> dict[Level, float | None]:
    """Shares that the file gives; ``[policy]`` goes before ``[outlook]``."""
    return {
        "secure": p.secure if p.secure is not None else o.secure,
        "people-out": p.people_out if p.people_out is not None else o.people_out,
    }


def asks_which_use(about: About, anchorage: Anchorage, doors: list[Door]) -> bool:
    """Whether it matters which use is meant and the file does not say: people come and go, and it may be work or shelter."""
    if "size_for" in anchorage.model_fields_set:
        return False
    return about.use == "decon" or any(x.state == "in-use" for x in doors)


def use_of(d: Deployment, said: str | None = None) -> str:
    """The use that is meant: that which was said, that of the file, else people inside; where doors are in use and nothing is said, work, which asks for more.

    What is still going up by its record stands by nobody's word: empty is the order of setting up then, half built.
    """
    working = said is None and asks_which_use(d.deployment, d.anchorage, d.door)
    use = "working" if working else said or d.anchorage.size_for
    going_up = d.record is not None and d.record.phase == "going-up"
    return "set-up" if going_up and use == "empty" else use
