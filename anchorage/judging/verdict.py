"""What the numbers mean for people: levels, verdicts by subject, reasons, the headline, conditions."""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from anchorage.checks.installation import UTILITIES_OPEN, Installation
from anchorage.checks.outcome import HalfBuiltOut, PlaceFirstOut
from anchorage.checks.whatif import setting_up
from anchorage.core import tables
from anchorage.core.checked import Check, What
from anchorage.core.closed import OK
from anchorage.core.constants import gravity
from anchorage.core.out import Level, Reason, RecordOut
from anchorage.core.say import capital, later, numeral
from anchorage.core.told import Words, put, tell, together
from anchorage.core.units import System, show
from anchorage.core.words import LEVELS, WORST_LAST, all_of, doors_shut, named, one_and_many, so_many, spoken
from anchorage.deployment.policy import GO_IN, SUBJECTS, OperatingPolicy, against, words_of
from anchorage.holding.ground import cold_conditions, surface_state
from anchorage.holding.hardware import LINE_RATING_MISSING, Hardware, over_theory
from anchorage.holding.straps import lower_given
from anchorage.judging.notes import Note
from anchorage.judging.result import CheckOut, DoesNotOut, LevelsOut, SnowOut, StockOut, Verdict
from anchorage.judging.snow_report import CASE, snow_reason
from anchorage.loads.wind import policy_hill

STRAP_DATA = "strap-data-missing"
UNRATED = {
    "rating-missing": later("frame limit"),
    STRAP_DATA: later("sway on the straps"),
    LINE_RATING_MISSING: later("load of lines and loops"),
}
"""Questions that leave what the anchorage holds as it is: what is not known then, in words."""


@dataclass(frozen=True)
class Bound:
    """A gust (m/s) that something takes, and the check that holds it to that."""

    gust: float
    check: Check


def rating(x: Installation) -> float | None:
    """The maker's for the straps as they are, and no more than with them locked."""
    r = x.deployment.shelter.rating
    return lower_given(r.gust_unlocked, r.gust_locked, x.deployment.shelter.straps)


def bounds(x: Installation, *, read_here: bool = False) -> list[Bound]:
    """What else a gust is held against, as a gust on level ground: on a hill a rating is reached earlier, and so is a policy where the
    gust that is judged was read there. read_here: whatever the file's own gust is.
    """
    out = []
    value = rating(x)
    if value is not None:
        out.append(Bound(value / x.wind.over_hill, Check(What.RATING, x.deployment.shelter.straps)))
    if x.policy.gust is not None:
        hill = (
            x.wind.over_hill
            if read_here
            else policy_hill(x.deployment.wind, x.deployment.site, x.wind.over_hill)
        )
        out.append(Bound(x.policy.gust / hill, Check(What.POLICY)))
    if x.locked and x.deployment.shelter.strap is not None:
        for r in x.racking:
            q = r.pressure()
            if q is not None and np.isfinite(q):
                out.append(Bound(x.wind.gust_of(q), Check(What.STRAPS, r.direction)))
    if coming_down(x.deployment.record):
        out.append(Bound(taken_down_below(x), Check(What.TAKING_DOWN)))
    return out


COMING_DOWN = "coming-down"


def coming_down(record: RecordOut | None) -> bool:
    """Whether it is being taken down, by its record."""
    return record is not None and record.phase == COMING_DOWN


GOING_UP = "going-up"
WITH_PEOPLE = ("working", "people-in")
"""Uses with people in it."""


def going_up(record: RecordOut | None) -> bool:
    """Whether it is still going up by its record: it stands half built."""
    return record is not None and record.phase == GOING_UP


def nobody_yet(record: RecordOut | None, use: str) -> bool:
    """Whether a use has people in it, and it is still going up by its record."""
    return going_up(record) and use in WITH_PEOPLE


def taken_down_below(x: Installation) -> float:
    """Gust (m/s) from which nobody goes on taking it down: what it takes on the way up, in reverse, and local policy for setting up.

    0 where what the half-built shelter holds cannot be judged: then no gust is known that it takes.
    """
    known = [setting_up(x)[0].up_to_m_s or 0.0]
    if x.policy.setup_gust is not None:  # where the rest cannot be judged, policy may still say less
        known.append(
            x.policy.setup_gust / policy_hill(x.deployment.wind, x.deployment.site, x.wind.over_hill)
        )
    return min(known)


def calm(half: HalfBuiltOut | None, below: float | None, system: System) -> Words | None:
    """The wind in which alone the bare shell is raised or folded, where it is under the gust (m/s) that stops the work; else None.

    Both are right: gusts of a spell may go over what the shell stands in, as long as the mean does not, so that a lull comes.
    """
    bare = None if half is None else half.bare_m_s
    if bare is None or not np.isfinite(bare) or (below is not None and bare >= below * OK):
        return None
    return put(_down, bare, system)


def taking_down_words(
    half: HalfBuiltOut | None, below: float | None, gust: Words | str, system: System
) -> Words:
    """In what wind taking down goes on, the lower figure first. below: gust (m/s) that stops it; gust: the same as it is printed."""
    under = calm(half, below, system)
    if under is not None:
        return tell(Note.OFF_IN_LULL, lull=under, gust=gust)
    return tell(Note.GO_ON_UNDER, gust=gust)


def levels_of(policy: OperatingPolicy, gust: float, limit: float) -> LevelsOut:
    return LevelsOut(
        level=policy.level_of(gust, limit), share=gust / limit if limit > 0 else None, secure_m_s=policy.secure * limit,
        people_out_m_s=policy.people_out * limit, keep_away_m_s=policy.keep_away * limit,
    )  # fmt: skip


def subjects_of(level: Level, *, ok: bool) -> dict[str, Verdict]:
    if level == "unknown":
        return dict.fromkeys(SUBJECTS.values(), "unknown")
    return {SUBJECTS[k]: "go" if ok and level in levels else "no-go" for k, levels in GO_IN.items()}


RECORD_LEVEL = "record-level"


def by_record(subjects: dict[str, Verdict], record: RecordOut | None) -> dict[str, Verdict]:
    """Each use, no better than the level at which the record stands; after an inspection that failed, and until it stands, nobody goes in."""
    if record is None:
        return subjects
    level = "normal" if record.level is None else record.level.level
    if record.phase == COMING_DOWN:
        return {k: worst_of(v, "no-go") for k, v in subjects.items()}
    out = dict(subjects)
    for use, levels in GO_IN.items():
        if level not in levels or (record.blocks and use != "empty"):
            out[SUBJECTS[use]] = "no-go"
        elif record.blocks:
            out[SUBJECTS[use]] = worst_of(out[SUBJECTS[use]], "unknown")
        if nobody_yet(record, use):
            out[SUBJECTS[use]] = "no-go"
    return out


def worst_of(*verdicts: Verdict) -> Verdict:
    return max(verdicts, key=WORST_LAST.index)


LAXER: dict[str, tuple[str, ...]] = {
    "working": ("people-in", "empty"), "people-in": ("empty",), "empty": (), "set-up": ("empty",),
}  # fmt: skip
"""Uses that go on where another has ended."""


def no_stricter_better(subjects: dict[str, Verdict]) -> dict[str, Verdict]:
    """No use is better than one that goes on for longer: what keeps people from staying keeps them from coming and going."""
    return {
        SUBJECTS[k]: worst_of(*(subjects[SUBJECTS[u]] for u in (k, *laxer))) for k, laxer in LAXER.items()
    }


BARE_CODE = "foot-holds-nothing"


def _ranked(c: CheckOut) -> float:
    """Ratio to seven figures, so that checks that are equal but for rounding keep their order."""
    return float(f"{c.ratio:.6e}") if c.ratio is not None else float("inf")


def reasons_of(x: Installation, checks: list[CheckOut], stock: list[StockOut], snow: SnowOut, verdicts: dict[str, Verdict],
             levels: LevelsOut, limit: float | None, not_done: list[DoesNotOut]) -> list[Reason]:  # fmt: skip
    """Everything that stands in the way, no-go reasons first. limit: what would be put up holds to it."""
    system, out = x.deployment.deployment.show_units, []
    subject = SUBJECTS[x.use]
    if x.sized is not None and x.sized.counts is None:
        out.append(
            Reason(
                code="cannot-be-held",
                told=tell(
                    Note.CANNOT_BE_HELD,
                    units=put(named, x.hardware.unit_name, 2),
                    governed_by=put(spoken, x.sized.governed_by),
                    way_out=_way_out(x),
                ),
            )
        )
    out += [
        Reason(
            code="does-not-do",
            told=tell(Note.DOES_NOT_DO, where=", ".join(n.where), why=n.told),
        )
        for n in not_done
    ]
    out += [
        Reason(code=c.check.code, told=snow_reason(c, system), of=(c.check, c.where))
        for c in checks
        if not c.ok and c.case == CASE
    ]
    worst_first = sorted(checks, key=lambda c: -_ranked(c))
    for c in worst_first:
        if not c.ok and c.case != CASE and not (x.sized is not None and x.sized.counts is None):
            at = against(x.policy, x.wind.gust, c.holds_to_m_s, system)
            holds = tell(Note.TOO_LITTLE) if c.holds_to_m_s is None else tell(Note.HOLDS_TO, limit=at.most)
            gust = at.blows
            if c.check.what is What.BARE:
                out.append(Reason(code=BARE_CODE, told=tell(Note.FOOT_HOLDS_NOTHING, where=c.where, limit=at.most, gust=gust)))  # fmt: skip
                continue
            out.append(Reason(code=c.check.code, of=(c.check, c.where),
                              told=tell(Note.EXCEEDED, name=put(capital, c.check), where=put(spoken, c.where), holds=holds, gust=gust)))  # fmt: skip
    pond = snow.pond
    if pond is not None and pond.grows and "people-out" not in GO_IN[x.use]:
        out.append(Reason(code="pond-grows", told=tell(Note.POND_GROWS, pond=pond.told)))
    elif snow.level not in GO_IN[x.use] and not any(c.case == CASE and not c.ok for c in checks):
        said = [a.told for a in snow.alarms if a.level == snow.level and a.measure]
        out.append(
            Reason(
                code="level-snow",
                by_level=True,
                told=tell(Note.SNOW_LEVEL, level=LEVELS[snow.level], said=said[0] if said else ""),
            )
        )
    out += [
        Reason(
            code="stock-short",
            told=tell(
                Note.STOCK_SHORT, short=put(so_many, s.short, s.item), needed=s.needed, brought=s.brought
            ),
        )
        for s in stock
        if s.short
    ]
    if not out and verdicts[subject] == "no-go" and limit is not None:
        at = against(x.policy, x.wind.gust, limit, system)
        told = together(put(words_of, at), ": ", LEVELS[levels.level], ".", between="")
        out.append(Reason(code=f"level-{levels.level}", by_level=True, told=told))
    if rating(x) is None:
        out.append(
            Reason(
                code="rating-missing",
                told=tell(Note.RATING_MISSING, straps=x.deployment.shelter.straps),
            )
        )
    if (snow.roof_load_pa or (pond is not None and pond.load_pa)) and snow.limit_pa is None:
        out.append(
            Reason(
                code="snow-rating-missing",
                told=tell(Note.SNOW_RATING_MISSING),
            )
        )
    if pond is not None and pond.pocket and pond.load_pa is None:
        text = tell(Note.POND_UNKNOWN)
        out.append(Reason(code="pond-unknown", told=text))
    out += [Reason(code=code, told=text) for code, text in x.asks]
    return out


HALF_BUILT, COVER_UNSAID, HALF_BUILT_UNKNOWN, SETUP_POLICY = (
    "half-built",
    "cover-unsaid",
    "half-built-unknown",
    "setup-policy",
)
SETUP_ASKS = frozenset({COVER_UNSAID, HALF_BUILT_UNKNOWN})
"""Reasons that leave setting up unknown, and nothing else."""


def setup_asks(half: HalfBuiltOut) -> list[Reason]:
    """What is to be found out before it may be set up."""
    out = []
    if not half.known:
        out.append(Reason(code=HALF_BUILT_UNKNOWN, told=tell(Note.SETTING_UP, note=half.told)))
    if half.cover is None:
        out.append(Reason(code=COVER_UNSAID, told=tell(Note.ASK_COVER)))  # fmt: skip
    return out


def setup_reasons(x: Installation, half: HalfBuiltOut) -> list[Reason]:
    """Why it may not be set up, apart from the level: local policy, and what it takes on the way, each state in its order."""
    system, gust, out = x.deployment.deployment.show_units, x.wind.gust, []
    policy = x.policy.setup_gust
    if policy is not None:
        policy /= policy_hill(x.deployment.wind, x.deployment.site, x.wind.over_hill)
    if policy is not None and gust > policy * OK:
        out.append(
            Reason(
                code=SETUP_POLICY,
                told=tell(
                    Note.SETUP_POLICY,
                    limit=(at := against(x.policy, gust, policy, system)).most,
                    gust=at.blows,
                ),
            )
        )
    if no_lull(half):
        out.append(Reason(code=HALF_BUILT, told=not_as_told(x, half)))
    elif half.bare_m_s is not None and half.mean_m_s > half.bare_m_s * OK:
        at = against(x.policy, half.mean_m_s, half.bare_m_s, system)
        out.append(Reason(code=HALF_BUILT, told=tell(Note.RAISE_BELOW_MEAN, limit=at.most, gust=at.blows, mean_words=mean_words(half, gust, system))))  # fmt: skip
    share = x.policy.share_for("set-up")
    if half.open_m_s is not None and x.policy.level_of(gust, half.open_m_s) != "normal":
        at = against(x.policy, gust, half.open_m_s, system)
        first = (
            "" if half.first is None else tell(Note.HOLD_FIRST, first=put(so_many, half.first, _counted(x)))
        )
        text = tell(
            Note.BEFORE_WALLS,
            limit=at.most,
            gust=at.blows,
            first=first,
            share=put(_down, share * half.open_m_s, system),
        )
        out.append(Reason(code=HALF_BUILT, told=text))
    elif (
        half.finished_m_s is not None
        and x.policy.level_of(gust, half.finished_m_s) != "normal"
        and half.finished_m_s < x.gust_held()
    ):
        at = against(x.policy, gust, half.finished_m_s, system)
        out.append(Reason(code=HALF_BUILT, told=tell(Note.DOORS_OPEN, limit=at.most, gust=at.blows, share=put(_down, share * half.finished_m_s, system))))  # fmt: skip
    return [*out, *setup_asks(half)]


def _down(gust: float, system: System) -> str:
    return show("speed", gust, system, rounding="down")


def _counted(x: Installation) -> str:
    """What is counted, by its English name, which is how it is written too."""
    kinds = {h.counted for h in x.hard if h.kind != "none"}
    return one_and_many(next(iter(kinds)))[1] if len(kinds) == 1 else "units"


def mean_words(half: HalfBuiltOut, gust: float, system: System) -> Words:
    """Where the mean wind is from."""
    if half.mean_is == "typed":
        return tell(Note.TYPED_MEAN)
    blows = put(show, "speed", gust, system, rounding="up")
    return tell(Note.MEAN_OF_GUST, blows=blows, gust_factor=put(numeral, half.gust_factor, ".2f"))


def no_lull(half: HalfBuiltOut | None) -> bool:
    """Whether the bare shell stands in no more than light air: no lull is one for as long as raising takes."""
    bare = None if half is None else half.bare_m_s
    return bare is not None and bare < tables.row("beaufort", "force-2").value


def not_as_told(x: Installation, half: HalfBuiltOut) -> Words:
    """That it does not go up the way that the file tells, and why."""
    if x.deployment.shelter.mass is None:
        return tell(Note.NOT_AS_TOLD, why=tell(Note.MASS_UNSAID))
    bare = put(_down, half.bare_m_s, x.deployment.deployment.show_units)
    return tell(Note.NOT_AS_TOLD, why=tell(Note.SHELL_STANDS_IN, gust=bare))


def raised_under(half: HalfBuiltOut) -> float:
    """The gust under which the bare shell is raised: what it stands in, or the share of the rest where that is less (m/s)."""
    bare = np.inf if half.bare_m_s is None else half.bare_m_s
    return float(bare if half.up_to_m_s is None else min(bare, half.up_to_m_s))


def set_up_words(under: float | None, gust: float, system: System) -> Words:
    """Setting up as a go names it: with the lull where gusts go over what the bare shell is raised under (m/s)."""
    if under is None or gust <= under * OK:
        return put(spoken, SUBJECTS["set-up"])
    return tell(Note.SET_UP_IN_LULL, under=put(_down, under, system))


def order_of_setting_up(x: Installation, half: HalfBuiltOut, steps: list[PlaceFirstOut]) -> list[Words]:
    """The first condition: in what wind it is raised, and what is placed before each step."""
    system, word, at = x.deployment.deployment.show_units, _counted(x), {s.before: s for s in steps}
    if no_lull(half):
        return [not_as_told(x, half)]
    down = tell(Note.DOWN_IN_REVERSE)
    if half.bare_m_s is not None and np.isfinite(half.bare_m_s) and "rest" in at and "use" in at:
        under = put(_down, raised_under(half), system)
        first = sorted(at["rest"].points.values())[-2:]
        n, rest = sum(first), at["use"].total - sum(first)
        then = tell(Note.THEN_CORNERS, n=n, rest=rest) if at["use"].total else ""
        return [tell(Note.RAISE_IN_LULL, bare_m_s=under, then=then, down=down)]
    if half.open_m_s is None or not at.keys() & {"roof", "walls"}:
        return []
    words = {"roof": tell(Note.ROOF_GOES_ON), "walls": tell(Note.WALLS_GO_ON)}
    placed = [
        tell(Note.PLACED_BEFORE, total=put(so_many, s.total, word), words=words[k], spread=_spread(s))
        for k in ("roof", "walls")
        if (s := at.get(k)) is not None and s.total
    ]
    return [tell(Note.PLACED_FIRST, placed=together(*placed, between=", "), down=down)] if placed else []


def order_of_taking_down(x: Installation, half: HalfBuiltOut, steps: list[PlaceFirstOut]) -> list[Words]:
    """The order of setting up in reverse: in what wind, and what stays in place until when."""
    system, word, at = x.deployment.deployment.show_units, _counted(x), {s.before: s for s in steps}
    out: list[Words] = [tell(Note.WALLS_OFF_FIRST, gust=put(_down, taken_down_below(x), system))]  # fmt: skip
    if half.bare_m_s is not None and np.isfinite(half.bare_m_s) and "rest" in at and "use" in at:
        last = sum(sorted(at["rest"].points.values())[-2:])
        rest = at["use"].total - last
        if at["use"].total:
            out.append(tell(Note.DOWN_IN_LULL, bare_m_s=put(_down, min(half.bare_m_s, taken_down_below(x)), system), rest=put(so_many, rest, word), last=last))  # fmt: skip
        return out
    stay = [
        tell(Note.STAY_UNTIL, total=put(so_many, s.total, word), words=words, spread=_spread(s))
        for k, words in (("walls", tell(Note.WALLS_ARE_OFF)), ("roof", tell(Note.ROOF_IS_OFF)))
        if (s := at.get(k)) is not None and s.total  # type: ignore[call-overload]
    ]
    return [*out, tell(Note.CORNERS_LAST, stay=put(capital, together(*stay, between=", ")))] if stay else out


def _spread(step: PlaceFirstOut) -> Words:
    counts = sorted(set(step.points.values()) - {0}, reverse=True)
    parts = [
        tell(Note.UNITS_AT, units=n, points=" ".join(i for i, k in step.points.items() if k == n))
        for n in counts
    ]
    return together(*parts, between=", ")


def _way_out(x: Installation) -> Words:
    if x.hardware.kind == "stakes":
        return tell(Note.INSTEAD_OF_STAKES)
    if x.hardware.friction < 0.1:
        return tell(Note.TOO_SLIPPERY)
    return tell(Note.HEAVIER_UNITS)


def unrated(codes: Collection[str]) -> Words:
    """What a headline says after the gust of the anchorage, where ratings are not given. codes: of ``UNRATED``."""
    missing = put(all_of, tuple(UNRATED[k] for k in UNRATED if k in codes))
    lines = tell(Note.IF_LINES_DO) if LINE_RATING_MISSING in codes else ""
    return tell(Note.UNRATED, lines=lines, missing=missing)


def headline_of(
    x: Installation,
    verdict: Verdict,
    limit: float | None,
    reasons: list[Reason],
    lasts: Words | None,
    half: HalfBuiltOut,
    leads: Verdict,
) -> Words:
    """limit: what would be put up holds to it. lasts: how long it is go in snow that falls; nothing where none does. leads: what is said first."""
    head = _headline_of(x, verdict, limit, reasons, lasts, half)
    if leads == verdict:
        return head
    gust = against(x.policy, x.wind.gust, limit, x.deployment.deployment.show_units).blows
    return (
        tell(Note.HEAD_NOT_NOW, gust=gust, headline=head)
        if leads == "no-go"
        else tell(Note.HEAD_ASK_FIRST, headline=head)
    )


def _headline_of(
    x: Installation,
    verdict: Verdict,
    limit: float | None,
    reasons: list[Reason],
    lasts: Words | None,
    half: HalfBuiltOut,
) -> Words:
    system = x.deployment.deployment.show_units
    at = against(x.policy, x.wind.gust, limit, system)
    gust, holds = at.blows, at.most
    subject: Words = put(spoken, SUBJECTS[x.use])
    if x.use == "empty":
        subject = tell(Note.EMPTY_ONLY, people_out=at.marks[1])
    if verdict == "no-go":
        held = x.deployment.record.level if x.deployment.record is not None else None
        if coming_down(x.deployment.record):
            going_on = taking_down_words(half, limit, holds, system)
            return tell(Note.HEAD_COMING_DOWN, going_on=going_on)
        if held is not None and any(r.code == RECORD_LEVEL for r in reasons):
            return tell(Note.HEAD_HELD, subject=subject, held=held.told)
        if reasons and reasons[0].code == GOING_UP:
            return tell(Note.HEAD_GOING_UP)
        does_not = any(r.code == "does-not-do" for r in reasons)
        return tell(
            Note.HEAD_NO_GO,
            subject=subject,
            gust=gust,
            this_does=tell(Note.HEAD_DOES_NOT) if does_not else "",
        )
    if verdict == "unknown":
        codes = {r.code for r in reasons}
        if codes <= UNRATED.keys():
            return tell(Note.HEAD_ANCHORAGE, holds=holds, unrated=unrated(codes))
        first = next(r for r in reasons if r.code not in UNRATED)
        return tell(Note.HEAD_UNKNOWN, first=first.told, if_so=_if_so(x, codes, holds))
    if x.use == "set-up":
        subject = set_up_words(raised_under(half), x.wind.gust, system)
    if lasts is not None:
        return tell(Note.HEAD_GO_FOR, lasts=lasts, subject=subject, gust=gust, holds=holds)
    if at.level == "secure":
        return tell(Note.HEAD_GO_SECURE, subject=subject, gust=gust, holds=holds)
    return tell(Note.HEAD_GO, subject=subject, gust=gust, holds=holds)


_STANDS = {
    "beneath-unknown": later("with nothing beneath"),
    "surface-unknown": later("by the lowest friction of any ground"),
    "unit-material-unknown": later("as the most slippery unit"),
    COVER_UNSAID: later("once it is finished"),
    UTILITIES_OPEN: later("once stakes may be driven"),
}
"""Questions whose answer leaves the counts as they are, or better: what the counts are then good for."""


def _if_so(x: Installation, codes: Collection[str], holds: Words) -> Words | str:
    """What it holds where all that is open leaves the counts standing; what is not rated is always said."""
    if not set(codes) <= {*_STANDS, *UNRATED} or (x.sized is not None and x.sized.counts is None):
        return ""
    frame = unrated(codes) if set(codes) & UNRATED.keys() else ""
    return tell(
        Note.HOLDS_IF_SO,
        holds=holds,
        items=put(all_of, tuple(w for c, w in _STANDS.items() if c in codes)),
        frame=frame,
    )


def most_at(h: Hardware, *, planned: bool) -> int | None:
    """How many of this a point can have; None where nothing says."""
    if h.kind == "stakes" and planned:
        return int(tables.row("stakes-at-point", "most").value)
    return None if h.kind == "none" else h.most


def fitting(x: Installation, counts: NDArray[np.int_], *, planned: bool) -> NDArray[np.int_]:
    """As many of these counts as each point can have."""
    most = [most_at(h, planned=planned) for h in x.hard]
    return np.array([n if m is None else min(n, m) for n, m in zip(counts, most, strict=True)])


def does_not_do(x: Installation, counts: NDArray[np.int_] | None) -> list[DoesNotOut]:
    """Where these counts are more than a point can have, and what would do instead."""
    if counts is None:
        return []
    fits = fitting(x, counts, planned=x.sized is not None)
    if np.array_equal(fits, counts):
        return []
    system, out = x.deployment.deployment.show_units, []
    holds = min([x.gust_held(fits), *(b.gust for b in bounds(x))])
    rest = tell(Note.WHAT_FITS_HOLDS, limit=against(x.policy, x.wind.gust, holds, system).most)
    for h in dict.fromkeys(x.hard):
        over = [i for i, g in enumerate(x.hard) if g == h and counts[i] > fits[i]]
        if over:
            top, m = int(max(counts[i] for i in over)), int(fits[over[0]])
            asked = tell(
                Note.MORE_THAN_FITS,
                top=put(so_many, top, one_and_many(h.unit_name)[1]),
                m=m,
                get=_WHY.get(h.kind, "do not go there"),
            )
            out.append(
                DoesNotOut(
                    where=[x.base.ids[i] for i in over],
                    told=together(together(asked, ".", between=""), _instead(h, top, m, system), rest),
                    asked=top,
                    most=m,
                    gust_m_s=holds,
                )
            )
    return out


_WHY = {
    "ballast": later("do not stand on a frame point"),
    "line-ballast": later("do not pull as one on a line"),
    "stakes": later("at a point are not planned"),
    "deadman": later("at a point is not planned"),
}


def _instead(h: Hardware, top: int, most: int, system: System) -> Words:
    if h.kind in ("ballast", "line-ballast") and most:
        each = put(show, "mass", top * h.unit_mass / most, system, rounding="up")
        return tell(Note.TAKES_HEAVIER, each=each)
    return tell(Note.TAKES_LONGER)


HUNG = ("lashed-to-leg", "hung-clear")
"""Ways of fixing ballast in which its weight hangs on the frame."""


def heaviest(x: Installation) -> tuple[float, str]:
    """Weight (N) of the ballast at the point that has most of it, and its id."""
    weights = [float(n) * h.unit_mass * gravity() if h.kind == "ballast" else 0.0 for n, h in zip(x.counts, x.hard, strict=True)]  # fmt: skip
    at = int(np.argmax(weights))
    return weights[at], x.base.ids[at]


def _hung_conditions(x: Installation) -> list[Words]:
    """What has to be true of weights that hang on the legs."""
    a, out = x.deployment.anchorage, list[Words]()
    most, _ = heaviest(x)
    if not most:
        return out
    if a.how == "lashed-to-leg":
        out.append(tell(Note.EVERY_WEIGHT_BOUND))
    if a.how in HUNG and a.foot_rated is None:
        weight = put(show, "force", most, x.deployment.deployment.show_units, rounding="up")
        out.append(tell(Note.LEGS_BEAR, weight=weight))
    return out


def unjudged(x: Installation) -> Words | None:
    """That a forecast in the file is not what it was judged by; None where there is none."""
    if x.deployment.forecast is None:
        return None
    return tell(Note.FORECAST_NOT_JUDGED)


def _on_stakes(x: Installation) -> bool:
    return any(h.kind == "stakes" for h in x.hard)


def ground_worse(x: Installation) -> Words | None:
    """That the ground counts as worse than is said of it, and why; None where it counts as said, or nothing was said."""
    ground, notes = x.deployment.ground, list[Words]()
    state = surface_state(ground, ground.site.state, notes)
    return notes[-1] if notes and ground.site.state not in (None, state) else None


def conditions_of(x: Installation) -> list[Words]:
    out = list[Words]()
    if x.no_door and x.use != "working":
        out.append(tell(Note.NO_DOOR))
    if x.drives_blind:
        out.append(tell(Note.UTILITIES_MARKED))
    times = over_theory(x.deployment.anchorage, x.deployment.ground) if _on_stakes(x) else 0.0
    if times > tables.row("evidence", "pull-asked").value:
        out.append(tell(Note.PULLS_OVER_THEORY, times=put(numeral, times, ".1f")))
    if any(h.line_angle is not None for h in x.hard):
        out.append(tell(Note.LINES_TIGHT))
    if x.sized is not None:
        out.append(tell(Note.ALL_IN_PLACE))
    out += [*_hung_conditions(x), *cold_conditions(x.deployment.ground, x.deployment.deployment.show_units)]
    if x.deployment.shelter.straps == "locked":
        out.append(tell(Note.STRAPS_LOCKED))
    shut = [d.wall for d in x.deployment.door if d.closed]
    if shut and not x.shape.canopy:
        out.append(tell(Note.KEPT_SHUT, shut=put(doors_shut, tuple(shut))))
    return out
