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
from anchorage.core.checked import What
from anchorage.core.closed import OK
from anchorage.core.constants import gravity
from anchorage.core.out import Level, Reason, RecordOut
from anchorage.core.say import capital, later, numeral, say
from anchorage.core.units import System, show
from anchorage.core.words import LEVELS, all_of, doors_shut, named, so_many, spoken
from anchorage.deployment.policy import GO_IN, SUBJECTS, Policy, against
from anchorage.holding.ground import cold_conditions, surface_state
from anchorage.holding.hardware import LINE_RATING_MISSING, Hardware, over_theory
from anchorage.holding.straps import lower_given
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
    """A gust (m/s) that something takes, what it is, and the name of its check."""

    gust: float
    name: str
    check: What = What.POLICY
    of: str = ""
    """The way that straps run."""


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
        out.append(
            Bound(
                value / x.wind.over_hill,
                say("the maker's rating, straps {straps}", straps=spoken(x.deployment.shelter.straps)),
                What.RATING,
            )
        )
    if x.policy.gust is not None:
        hill = (
            x.wind.over_hill
            if read_here
            else policy_hill(x.deployment.wind, x.deployment.site, x.wind.over_hill)
        )
        out.append(Bound(x.policy.gust / hill, "local policy"))
    if x.locked and x.deployment.shelter.strap is not None:
        for r in x.racking:
            q = r.pressure()
            if q is not None and np.isfinite(q):
                out.append(
                    Bound(
                        x.wind.gust_of(q),
                        say("the straps, sway {direction}", direction=r.direction),
                        What.STRAPS,
                        r.direction,
                    )
                )
    if coming_down(x.deployment.record):
        out.append(Bound(taken_down_below(x), say("the shelter half taken down"), What.TAKING_DOWN))
    return out


COMING_DOWN = "coming-down"


def coming_down(record: RecordOut | None) -> bool:
    """Whether it is being taken down, by its record."""
    return record is not None and record.phase == COMING_DOWN


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


def calm(half: HalfBuiltOut | None, below: float | None, system: System) -> str:
    """The wind in which alone the bare shell is raised or folded, where it is under the gust (m/s) that stops the work; else nothing.

    Both are right: gusts of a spell may go over what the shell stands in, as long as the mean does not, so that a lull comes.
    """
    bare = None if half is None else half.bare_m_s
    if bare is None or not np.isfinite(bare) or (below is not None and bare >= below * OK):
        return ""
    return _down(bare, system)


def taking_down_words(half: HalfBuiltOut | None, below: float | None, gust: str, system: System) -> str:
    """In what wind taking down goes on, the lower figure first. below: gust (m/s) that stops it; gust: the same as it is printed."""
    under = calm(half, below, system)
    if under:
        return say("what holds it comes off only in a lull under {lull}; KEEP AWAY in gusts from {gust}: stop, stand clear", lull=under, gust=gust)  # fmt: skip
    return say("go on only in gusts under {gust}; KEEP AWAY from there: stop, stand clear", gust=gust)


def levels_of(policy: Policy, gust: float, limit: float) -> LevelsOut:
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
    """Each use, no better than the level at which the record stands; after an inspection that failed nobody goes in."""
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
    return out


def worst_of(a: Verdict, b: Verdict) -> Verdict:
    order: list[Verdict] = ["go", "unknown", "no-go"]
    return max(a, b, key=order.index)


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
                text=say(
                    "No number of {units} holds this: {governed_by}. {way_out}",
                    units=named(x.hardware.unit_name, 2),
                    governed_by=spoken(x.sized.governed_by),
                    way_out=_way_out(x),
                ),
            )
        )
    out += [
        Reason(
            code="does-not-do",
            text=say("This does not do it here ({where}): {why}", where=", ".join(n.where), why=n.why),
        )
        for n in not_done
    ]
    out += [
        Reason(code=c.check.code, text=snow_reason(c, system), of=(c.check, c.where))
        for c in checks
        if not c.ok and c.case == CASE
    ]
    worst_first = sorted(checks, key=lambda c: -_ranked(c))
    for c in worst_first:
        if not c.ok and c.case != CASE and not (x.sized is not None and x.sized.counts is None):
            at = against(x.policy, x.wind.gust, c.holds_to_m_s, system)
            holds = (
                say("it has too little resistance")
                if c.holds_to_m_s is None
                else say("it holds to {limit}", limit=at.limit)
            )
            gust = at.gust
            if c.check.what is What.BARE:
                out.append(Reason(code=BARE_CODE, text=say("{where} holds nothing: it lifts or slides from {limit}, the gust is {gust}. Hold it down, or ask the maker whether the frame spans a lost foot ([shelter] spans_lost_foot).", where=c.where, limit=at.limit, gust=gust)))  # fmt: skip
                continue
            out.append(Reason(code=c.check.code, of=(c.check, c.where),
                              text=say("{name} ({where}): {holds}, the gust is {gust}.", name=capital(str(c.check)), where=spoken(c.where), holds=holds, gust=gust)))  # fmt: skip
    pond = snow.pond
    if pond is not None and pond.grows and "people-out" not in GO_IN[x.use]:
        out.append(
            Reason(
                code="pond-grows", text=say("{pond} Everybody out; let it out from beneath.", pond=pond.text)
            )
        )
    elif snow.level not in GO_IN[x.use] and not any(c.case == CASE and not c.ok for c in checks):
        said = [a.text for a in snow.alarms if a.level == snow.level and a.measure]
        out.append(
            Reason(
                code="level-snow",
                by_level=True,
                text=say(
                    "Snow on the roof: {level}. {said} Clear it, both sides together, or keep everybody out.",
                    level=LEVELS[snow.level],
                    said=said[0] if said else "",
                ),
            )
        )
    out += [
        Reason(
            code="stock-short",
            text=say(
                "{short} short: {needed} needed, {brought} brought.",
                short=so_many(s.short, s.item),
                needed=s.needed,
                brought=s.brought,
            ),
        )
        for s in stock
        if s.short
    ]
    if not out and verdicts[subject] == "no-go" and limit is not None:
        out.append(
            Reason(
                code=f"level-{levels.level}",
                by_level=True,
                text=f"{against(x.policy, x.wind.gust, limit, system).words}: {LEVELS[levels.level]}.",
            )
        )
    if rating(x) is None:
        out.append(
            Reason(
                code="rating-missing",
                text=say(
                    "The maker's wind rating with straps {straps} is not in the file: look in the manual or ask the maker, then give it under [shelter.rating].",
                    straps=x.deployment.shelter.straps,
                ),
            )
        )
    if (snow.roof_load_pa or (pond is not None and pond.load_pa)) and snow.limit_pa is None:
        out.append(
            Reason(
                code="snow-rating-missing",
                text=say(
                    "Snow or water lies on the roof and the maker's snow rating is not in the file: ask the maker."
                ),
            )
        )
    if pond is not None and pond.pocket and pond.load_pa is None:
        text = say(
            "Water stands in a pocket of the roof and nobody says how deep: let it out, or give [snow] sag and sag_span."
        )
        out.append(Reason(code="pond-unknown", text=text))
    out += [Reason(code=code, text=text) for code, text in x.asks]
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
        out.append(Reason(code=HALF_BUILT_UNKNOWN, text=say("Setting up: {note}", note=half.note)))
    if half.cover is None:
        out.append(Reason(code=COVER_UNSAID, text=say('Are roof and walls on the frame when it is raised, or do they go on after? Give [halfway] cover = "attached" or "after".')))  # fmt: skip
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
                text=say(
                    "Local policy lets nobody set up above {limit}; the gust is {gust}.",
                    limit=(at := against(x.policy, gust, policy, system)).limit,
                    gust=at.gust,
                ),
            )
        )
    if half.bare_m_s is not None and half.mean_m_s > half.bare_m_s * OK:
        at = against(x.policy, half.mean_m_s, half.bare_m_s, system)
        out.append(Reason(code=HALF_BUILT, text=say("Raise it below {limit}, all that the bare shell holds: the mean wind itself is {gust} ({mean_words}).", limit=at.limit, gust=at.gust, mean_words=mean_words(half, gust, system))))  # fmt: skip
    share = x.policy.share_for("set-up")
    if half.open_m_s is not None and x.policy.level_of(gust, half.open_m_s) != "normal":
        at = against(x.policy, gust, half.open_m_s, system)
        first = (
            ""
            if half.first is None
            else say("hold it by {first} first, or ", first=so_many(half.first, _counted(x)))
        )
        text = say(
            "Before its walls are on it holds to {limit}; the gust is {gust}: {first}raise it below {share}.",
            limit=at.limit,
            gust=at.gust,
            first=first,
            share=_down(share * half.open_m_s, system),
        )
        out.append(Reason(code=HALF_BUILT, text=text))
    elif (
        half.finished_m_s is not None
        and x.policy.level_of(gust, half.finished_m_s) != "normal"
        and half.finished_m_s < x.gust_held()
    ):
        at = against(x.policy, gust, half.finished_m_s, system)
        out.append(Reason(code=HALF_BUILT, text=say("Finished, with its doors open, it holds to {limit}; the gust is {gust}: raise it below {share}.", limit=at.limit, gust=at.gust, share=_down(share * half.finished_m_s, system))))  # fmt: skip
    return [*out, *setup_asks(half)]


def _down(gust: float, system: System) -> str:
    return show("speed", gust, system, rounding="down")


def _counted(x: Installation) -> str:
    kinds = {h.counted for h in x.hard if h.kind != "none"}
    return named(next(iter(kinds)), 2) if len(kinds) == 1 else "units"


def mean_words(half: HalfBuiltOut, gust: float, system: System) -> str:
    """Where the mean wind is from."""
    if half.mean_is == "typed":
        return say("the number typed is a mean")
    blows = show("speed", gust, system, rounding="up")
    return say(
        "gusts of {blows} are at least {gust_factor} times it",
        blows=blows,
        gust_factor=numeral(half.gust_factor, ".2f"),
    )


def raised_under(half: HalfBuiltOut) -> float:
    """The gust under which the bare shell is raised: what it stands in, or the share of the rest where that is less (m/s)."""
    bare = np.inf if half.bare_m_s is None else half.bare_m_s
    return float(bare if half.up_to_m_s is None else min(bare, half.up_to_m_s))


def set_up_words(under: float | None, gust: float, system: System) -> str:
    """Setting up as a go names it: with the lull where gusts go over what the bare shell is raised under (m/s)."""
    if under is None or gust <= under * OK:
        return spoken(SUBJECTS["set-up"])
    return say("set up, RAISED ONLY IN A LULL under {under}", under=_down(under, system))


def order_of_setting_up(x: Installation, half: HalfBuiltOut, steps: list[PlaceFirstOut]) -> list[str]:
    """The first condition: in what wind it is raised, and what is placed before each step."""
    system, word, at = x.deployment.deployment.show_units, _counted(x), {s.before: s for s in steps}
    down = say("down in reverse.")
    if half.bare_m_s is not None and np.isfinite(half.bare_m_s) and "rest" in at and "use" in at:
        under = _down(raised_under(half), system)
        first = sorted(at["rest"].points.values())[-2:]
        n, rest = sum(first), at["use"].total - sum(first)
        then = (
            say(", then {n} at the windward corners first, {rest} within the next minutes", n=n, rest=rest)
            if at["use"].total
            else ""
        )
        return [
            say(
                "Raise it in a lull under {bare_m_s}{then}; {down}",
                bare_m_s=under,
                then=then,
                down=down,
            )
        ]
    if half.open_m_s is None or not at.keys() & {"roof", "walls"}:
        return []
    words = {"roof": say("the roof goes on"), "walls": say("the walls go on")}
    placed = [
        say(
            "{total} before {words} ({spread})",
            total=so_many(s.total, word),
            words=words[k],
            spread=_spread(s),
        )
        for k in ("roof", "walls")
        if (s := at.get(k)) is not None and s.total
    ]
    return (
        [
            say(
                "Placed first, the windward corners before the rest: {placed}; {down}",
                placed=", ".join(placed),
                down=down,
            )
        ]
        if placed
        else []
    )


def order_of_taking_down(x: Installation, half: HalfBuiltOut, steps: list[PlaceFirstOut]) -> list[str]:
    """The order of setting up in reverse: in what wind, and what stays in place until when."""
    system, word, at = x.deployment.deployment.show_units, _counted(x), {s.before: s for s in steps}
    out = [say("Walls first, from outside; nobody inside or downwind, and from {gust} on stop and stand clear.", gust=_down(taken_down_below(x), system))]  # fmt: skip
    if half.bare_m_s is not None and np.isfinite(half.bare_m_s) and "rest" in at and "use" in at:
        last = sum(sorted(at["rest"].points.values())[-2:])
        rest = at["use"].total - last
        if at["use"].total:
            out.append(say("Everything stays in place until a lull under {bare_m_s}; then {rest} off, the {last} at the windward corners last, and fold it at once.", bare_m_s=_down(min(half.bare_m_s, taken_down_below(x)), system), rest=so_many(rest, word), last=last))  # fmt: skip
        return out
    stay = [
        say(
            "{total} stay until {words} ({spread})",
            total=so_many(s.total, word),
            words=words,
            spread=_spread(s),
        )
        for k, words in (("walls", say("the walls are off")), ("roof", say("the roof is off")))
        if (s := at.get(k)) is not None and s.total  # type: ignore[call-overload]
    ]
    return [*out, say("{stay}; the windward corners last.", stay=capital(", ".join(stay)))] if stay else out


def _spread(step: PlaceFirstOut) -> str:
    counts = sorted(set(step.points.values()) - {0}, reverse=True)
    return ", ".join(
        say("{units} at {points}", units=n, points=" ".join(i for i, k in step.points.items() if k == n))
        for n in counts
    )


def _way_out(x: Installation) -> str:
    if x.hardware.kind == "stakes":
        return say(
            "Straight stakes hold next to no straight-up pull in this ground: use ballast, longer stakes in firmer ground, or pull-test at least three."
        )
    if x.hardware.friction < 0.1:
        return say(
            "The surface is too slippery: clear the ice, spread grit, or use stakes where the ground takes them."
        )
    return say("Use heavier units, shut the openings, or do not put it up in this wind.")


def unrated(codes: Collection[str]) -> str:
    """What a headline says after the gust of the anchorage, where ratings are not given. codes: of ``UNRATED``."""
    missing = all_of(UNRATED[k] for k in UNRATED if k in codes)
    lines = say(" if its lines do") if LINE_RATING_MISSING in codes else ""
    return say("{lines} - {missing} not given, ask the maker", lines=lines, missing=missing)


def headline_of(
    x: Installation,
    verdict: Verdict,
    limit: float | None,
    reasons: list[Reason],
    lasts: str,
    half: HalfBuiltOut,
) -> str:
    """limit: what would be put up holds to it. lasts: how long it is go in snow that falls; nothing where none does."""
    system = x.deployment.deployment.show_units
    at = against(x.policy, x.wind.gust, limit, system)
    gust, holds, subject = at.gust, at.limit, spoken(SUBJECTS[x.use])
    if x.use == "empty":
        subject = say("EMPTY ONLY, everyone out from {people_out}", people_out=at.people_out)
    if verdict == "no-go":
        held = x.deployment.record.level if x.deployment.record is not None else None
        if coming_down(x.deployment.record):
            going_on = taking_down_words(half, limit, holds, system)
            return say("NO-GO: nobody inside, it is COMING DOWN; {going_on}", going_on=going_on)
        if held is not None and any(r.code == RECORD_LEVEL for r in reasons):
            return say("NO-GO: {subject}. {held}", subject=subject, held=held.text)
        does_not = any(r.code == "does-not-do" for r in reasons)
        return say(
            "NO-GO: {subject}, gusts {gust}{this_does}",
            subject=subject,
            gust=gust,
            this_does=say(": this does not do it here") if does_not else "",
        )
    if verdict == "unknown":
        codes = {r.code for r in reasons}
        if codes <= UNRATED.keys():
            return say("ANCHORAGE HOLDS to {holds}{unrated}", holds=holds, unrated=unrated(codes))
        first = next(r for r in reasons if r.code not in UNRATED)
        return say("CANNOT SAY: {first}{if_so}", first=first.text, if_so=_if_so(x, codes, holds))
    if x.use == "set-up":
        subject = set_up_words(raised_under(half), x.wind.gust, system)
    if lasts:
        return say(
            "GO FOR {lasts} AT MOST, while it snows, then NO-GO until the roof is clear: {subject}, gusts to {gust} (holds to {holds})",
            lasts=lasts,
            subject=subject,
            gust=gust,
            holds=holds,
        )
    return say("GO: {subject}, gusts to {gust} (holds to {holds})", subject=subject, gust=gust, holds=holds)


_STANDS = {
    "beneath-unknown": later("with nothing beneath"),
    "surface-unknown": later("by the lowest friction of any ground"),
    "unit-material-unknown": later("as the most slippery unit"),
    COVER_UNSAID: later("once it is finished"),
    UTILITIES_OPEN: later("once stakes may be driven"),
}
"""Questions whose answer leaves the counts as they are, or better: what the counts are then good for."""


def _if_so(x: Installation, codes: Collection[str], holds: str) -> str:
    """What it holds where all that is open leaves the counts standing; what is not rated is always said."""
    if not set(codes) <= {*_STANDS, *UNRATED} or (x.sized is not None and x.sized.counts is None):
        return ""
    frame = unrated(codes) if set(codes) & UNRATED.keys() else ""
    return say(
        " It holds to {holds} {items}{frame}.",
        holds=holds,
        items=all_of(w for c, w in _STANDS.items() if c in codes),
        frame=frame,
    )


def most_at(h: Hardware, *, planned: bool) -> int | None:
    """How many of this a point can have; None where nothing says."""
    if h.kind == "stakes":
        return int(tables.row("stakes-at-point", "most").value) if planned else None
    return h.most if h.kind in ("ballast", "deadman") else None


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
    rest = say(
        "What each point can have holds to {limit}.",
        limit=against(x.policy, x.wind.gust, holds, system).limit,
    )
    for h in dict.fromkeys(x.hard):
        over = [i for i, g in enumerate(x.hard) if g == h and counts[i] > fits[i]]
        if over:
            top, m = int(max(counts[i] for i in over)), int(fits[over[0]])
            asked = say(
                "{top} at a point, more than {m} {get}",
                top=so_many(top, named(h.unit_name, 2)),
                m=m,
                get=_WHY.get(h.kind, "do not go there"),
            )
            out.append(
                DoesNotOut(
                    where=[x.base.ids[i] for i in over],
                    why=f"{asked}. {_instead(h, top, m, system)} {rest}",
                    asked=top,
                    most=m,
                    gust_m_s=holds,
                )
            )
    return out


_WHY = {
    "ballast": later("do not stand on a frame point"),
    "stakes": later("at a point are not planned"),
    "deadman": later("at a point is not planned"),
}


def _instead(h: Hardware, top: int, most: int, system: System) -> str:
    if h.kind == "ballast" and most:
        each = show("mass", top * h.unit_mass / most, system, rounding="up")
        return say(
            "It takes units of at least {each} each there; or weights on lines, stakes where the ground takes them, shut openings, less wind: judge that anew.",
            each=each,
        )
    return say(
        "It takes longer or thicker stakes in tested ground; or ballast, a deadman, shut openings, less wind: judge that anew."
    )


HUNG = ("lashed-to-leg", "hung-clear")
"""Ways of fixing ballast in which its weight hangs on the frame."""


def heaviest(x: Installation) -> tuple[float, str]:
    """Weight (N) of the ballast at the point that has most of it, and its id."""
    weights = [float(n) * h.unit_mass * gravity() if h.kind == "ballast" else 0.0 for n, h in zip(x.counts, x.hard, strict=True)]  # fmt: skip
    at = int(np.argmax(weights))
    return weights[at], x.base.ids[at]


def _hung_conditions(x: Installation) -> list[str]:
    """What has to be true of weights that hang on the legs."""
    a, out = x.deployment.anchorage, list[str]()
    most, _ = heaviest(x)
    if not most:
        return out
    if a.how == "lashed-to-leg":
        out.append(
            say(
                "Every single weight is bound to its leg so that it cannot slide on the plate, and a leg that is lifted by hand takes its weights along."
            )
        )
    if a.how in HUNG and a.foot_rated is None:
        weight = show("force", most, x.deployment.deployment.show_units, rounding="up")
        out.append(
            say(
                "Leg and foot of the frame bear {weight} hung on one of them: its maker says that they bear that.",
                weight=weight,
            )
        )
    return out


def unjudged(x: Installation) -> str:
    """That a forecast in the file is not what it was judged by; empty where there is none."""
    if x.deployment.forecast is None:
        return ""
    return say("The forecast of the file is not judged here: `anchorage outlook FILE` does.")


def _on_stakes(x: Installation) -> bool:
    return any(h.kind == "stakes" for h in x.hard)


def ground_worse(x: Installation) -> str:
    """That the ground counts as worse than is said of it, and why; empty where it counts as said, or nothing was said."""
    ground, notes = x.deployment.ground, list[str]()
    state = surface_state(ground, ground.site.state, notes)
    return str(notes[-1]) if notes and ground.site.state not in (None, state) else ""


def conditions_of(x: Installation) -> list[str]:
    out = list[str]()
    if x.no_door and x.use != "working":
        out.append(
            say(
                "No door is in the file: is there none, and does nothing open while it stands? A door that opens goes into the file first."
            )
        )
    if x.drives_blind:
        out.append(say("Utilities are located and marked before any stake is driven."))
    times = over_theory(x.deployment.anchorage, x.deployment.ground) if _on_stakes(x) else 0.0
    if times > tables.row("evidence", "pull-asked").value:
        out.append(
            say(
                "The pull tests read {times} times what theory gives in this soil, and it rests on them: read scale and unit once more.",
                times=numeral(times, ".1f"),
            )
        )
    if any(h.line_angle is not None for h in x.hard):
        out.append(
            say(
                "Every line is tight, cinched on both sides, and looked at whenever the weather turns: a slack line holds nothing."
            )
        )
    if x.sized is not None:
        out.append(say("What is listed for each point is in place before the wind is."))
    out += [*_hung_conditions(x), *cold_conditions(x.deployment.ground, x.deployment.deployment.show_units)]
    if x.deployment.shelter.straps == "locked":
        out.append(say("The sidewall straps are locked."))
    shut = [d.wall for d in x.deployment.door if d.closed]
    if shut and not x.shape.canopy:
        out.append(say("Kept shut: {shut}.", shut=doors_shut(shut)))
    return out
