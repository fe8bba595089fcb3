"""Hours against limits: a level and a verdict each. Unknown is never go, thunder overrides, the worst cause governs."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from anchorage.core import tables
from anchorage.core.choices import chosen
from anchorage.core.out import Level
from anchorage.core.say import numeral
from anchorage.core.told import Words, put, tell, together
from anchorage.core.words import USES, all_of, spoken
from anchorage.deployment.policy import TIGHT, OperatingPolicy, policy_of
from anchorage.judging.result import Verdict
from anchorage.outlook import chance, rule
from anchorage.outlook.hours import ORDER, Doubt, Hour, Wind
from anchorage.outlook.limits import Limits
from anchorage.outlook.notes import Note
from anchorage.outlook.rule import VERDICTS
from anchorage.outlook.snowfall import RoofLoad, accumulate, rain_from, rained


def worst(*verdicts: Verdict) -> Verdict:
    """The most restrictive verdict."""
    return max(verdicts, key=VERDICTS.index, default="unknown")


@dataclass(frozen=True)
class Judged:
    """One hour, judged."""

    hour: Hour
    wind: Wind | None
    """The wind that governs, as far as one is known."""
    limit: float
    share: float | None
    load: RoofLoad
    snow_share: float | None
    known: Level
    level: Level
    governed_by: str
    why: Words | None
    uses: dict[str, Verdict]
    shift: bool
    chance: float | None
    ground: Limits
    """What the installation takes on the ground as it is in this hour."""
    acts: Level = "normal"
    """The level that is acted upon: what nobody knows gives nobody a rest."""

    @property
    def known_rank(self) -> int:
        """Rank of the level that is certain."""
        return ORDER.index(self.known)

    @property
    def acts_rank(self) -> int:
        """Rank of the level that is acted upon."""
        return ORDER.index(self.acts)


def _winds(hours: Sequence[Hour], grounds: Sequence[Limits]) -> list[tuple[float | None, Wind | None]]:
    """The wind that governs in each hour and its share of the limit for its direction."""
    every = [w for h in hours for w in h.winds]
    most = [g.at(w.bearing) for h, g in zip(hours, grounds, strict=True) for w in h.winds]
    shares = iter(rule.share_of([w.gust for w in every], most).tolist())
    ranked = [[(next(shares), w.gust, w) for w in h.winds] for h in hours]
    best = [max(r, key=lambda x: (x[0], x[1]), default=None) for r in ranked]
    return [(None, None) if b is None else (b[0], b[2]) for b in best]


def _words(cause: int, h: Hour, limits: Limits) -> tuple[str, Words | None]:
    """A cause of a level, in the order of the rule, with its name and what is told of it."""
    return (
        ("gust", put(spoken, limits.governed_by)),
        (
            "roof snow",
            tell(Note.WHY_ROOF_SNOW),
        ),
        ("snow depth", tell(Note.WHY_SNOW_DEPTH)),
        (
            "water on the roof",
            tell(Note.WHY_WATER),
        ),
        ("thunder", tell(Note.WHY_THUNDER, thunder=h.thunder)),
        ("warning", None if h.hazard is None or not h.hazard.text else put(str, h.hazard.text)),
    )[cause]


GAPS = {
    "statement": "not understood",
    "danger": "danger without a number",
    "lost": "part of the forecast lost",
}


def _freezing_rain(h: Hour) -> bool:
    """Rain that is said without an amount, in an hour in which it freezes."""
    falls = any(getattr(h, k) > 0.0 for k in ("water", "rain", "snow", "ice"))
    return (
        "rain" in h.wet
        and not falls
        and not h.measured
        and h.temperature is not None
        and h.temperature <= 0.0
    )


def _unknown(h: Hour, load: RoofLoad, limits: Limits, rain: float) -> tuple[str, Words]:
    """What is not known in this hour, and why; nothing where all is. rain: mm that have come by then."""
    if not h.complete:
        return "gust unknown", put(str, h.missing)
    if h.unmeasured:
        return "snow unknown", put(str, h.unmeasured)
    if _freezing_rain(h):
        return "snow unknown", tell(Note.WHY_FREEZING_RAIN)
    if h.doubts:
        return GAPS[h.doubts[0].kind], put(str, h.doubts[0].text)
    if h.owed:
        return (
            f"{min(h.owed)} unknown",
            tell(Note.WHY_OWED, owed=put(all_of, tuple(sorted(h.owed)))),
        )
    if load.pascal > limits.sway_snow * (1 + TIGHT) or any(
        w.gust > limits.sway_gust * (1 + TIGHT) for w in h.winds
    ):
        return (
            "sway unknown",
            tell(Note.WHY_SWAY),
        )
    if load.expected and (limits.roof_snow is None or limits.snow_unrated):
        return "snow rating missing", tell(Note.WHY_SNOW_UNRATED)
    if rain >= rain_from("flood"):
        return "flood", tell(Note.WHY_FLOOD, rain=f"{rain:.0f}")
    if limits.roof.slack and rain >= rain_from("asked"):
        flat = tables.row("snow-forecast", "rain-stays-below").value
        return "water unknown", tell(Note.WHY_WATER_UNSAID, rain=f"{rain:.0f}", flat=put(numeral, flat, "g"))
    return "", put(str, "")


def _shifted(h: Hour, reference: float | None) -> bool:
    if reference is None:
        return False
    turn = tables.row("deadline", "wind-shift").value
    least = tables.row("wind-shift-speed", "least").value
    return any(
        w.bearing is not None
        and w.gust >= least
        and abs((w.bearing - reference + 180.0) % 360.0 - 180.0) >= turn - TIGHT
        for w in h.winds
    )


def _many(hours: Sequence[Hour], loads: Sequence[RoofLoad], limits: Limits, s: OperatingPolicy, reference: float | None,
          grounds: Sequence[Limits]) -> list[Judged]:  # fmt: skip
    """All hours at once by the rule, then each in words."""
    found = _winds(hours, grounds)
    share = np.array([np.nan if x is None else x for x, _ in found])
    pascal = np.array([x.pascal for x in loads])
    thunder = np.array(
        [bool(h.thunder) or (h.hazard is not None and h.hazard.level == "people-out") for h in hours]
    )
    gust = np.array([max((w.gust for w in h.winds), default=np.nan) for h in hours])
    snow_share = (
        np.full(pascal.shape, np.nan) if limits.roof_snow is None else rule.share_of(pascal, limits.roof_snow)
    )
    warned = [rule.ABSENT if h.hazard is None else ORDER.index(h.hazard.level) for h in hours]
    causes = [
        rule.rank_of(share, s), rule.snow_rank(snow_share, [x.expected for x in loads], s),
        rule.depth_rank([x.depth for x in loads], limits.roof_depth, s),
        rule.flag_rank(np.full(share.shape, limits.roof.grows)), rule.flag_rank(thunder), np.array(warned, np.int8),
    ]  # fmt: skip
    known, first = rule.known_of(causes), np.argmax(np.stack(causes), axis=0)
    none = np.max(np.stack(causes), axis=0) == rule.ABSENT
    gaps = [
        _unknown(h, load, limits, mm)
        for h, load, mm in zip(hours, loads, rained(hours).tolist(), strict=True)
    ]
    level = rule.level_of(known, [bool(g) for g, _ in gaps])
    complete, half = (
        [not g for g, _ in gaps],
        [np.inf if g.half_built is None else g.half_built for g in grounds],
    )
    uses = {k: rule.verdict_of(k, level, known=known, share=share, gust=gust, complete=complete, thunder=thunder, half_built=half)
            for k in USES}  # fmt: skip
    out = []
    for i, (h, load, ground) in enumerate(zip(hours, loads, grounds, strict=True)):
        floor = worst("unknown" if ground.rating_missing else "go", *(b.verdict for b in ground.blocks))
        at, name = rule.NAMES[known[i]], rule.NAMES[level[i]]
        governed, why = ("", None) if none[i] else _words(int(first[i]), h, ground)
        if name == "unknown":
            governed, why = gaps[i]
            if at != "normal" and why is not None:
                why = together(why, tell(Note.AT_LEAST, at=at), between="")
        elif name == "normal":
            why = None
        if ground.gust < limits.gust - TIGHT and governed == "gust" and why is not None:
            why = tell(Note.GROUND_COUNTS_AS, why=why, state=put(chosen, ground.state, "state"))
        mine = [b for b in ground.blocks if b not in limits.blocks]
        if mine and name in ("normal", "secure"):
            governed, why = (
                "ground",
                tell(Note.ON_GROUND, state=put(chosen, ground.state, "state"), mine=mine[0].told),
            )
        x, wind = found[i]
        out.append(Judged(
            hour=h, wind=wind, limit=ground.gust if wind is None else ground.at(wind.bearing), share=x, load=load,
            snow_share=None if limits.roof_snow is None else float(snow_share[i]), known=at, level=name, governed_by=governed, why=why,
            uses={k: worst(VERDICTS[v[i]], floor, *(b.verdict for b in ground.set_up_asks if k == "set-up")) for k, v in uses.items()}, shift=_shifted(h, reference), chance=_chance(h, ground), ground=ground,
        ))  # fmt: skip
    return out


def _chance(h: Hour, limits: Limits) -> float | None:
    """Chance that the gust passes its limit in an hour; None where nothing bounds it."""
    if h.spread is None or not h.complete or h.thunder:
        return None
    spread = h.spread
    return max(
        (chance.over(limits.at(w.bearing), w.gust, spread) for w in h.winds if w.forecast), default=None
    )


def _with_waits(judged: list[Judged], end: int) -> list[Judged]:
    """Unknown hours are acted upon; after people-out nobody goes back before half an hour under the level beneath, and an inspection."""
    level = np.array([rule.NAMES.index(j.level) for j in judged], np.int8)
    known = np.array([j.known_rank for j in judged], np.int8)
    heard = np.array([any(d.kind == "statement" for d in j.hour.doubts) for j in judged])
    inside = sum(j.hour.start < end for j in judged)
    acts = rule.acted(known, level, heard, inside)
    out, waiting, after = [], np.zeros(1, bool), np.zeros(1, bool)
    words = tell(Note.WHY_WAIT)
    for i, j in enumerate(judged):
        here = replace(j, acts=rule.NAMES[acts[i]])
        holds, waiting = rule.waits(level[i : i + 1], waiting)
        doubtful, after = rule.after_unknown(level[i : i + 1], after)
        if holds[0]:
            uses = {k: v if k == "empty" else worst(v, "no-go") for k, v in j.uses.items()}
            here = replace(here, uses=uses)
            if j.level != "unknown":
                here = replace(here, governed_by="all-clear", why=words)
        elif doubtful[0]:
            uses = {k: v if k == "empty" else worst(v, "unknown") for k, v in j.uses.items()}
            here = replace(
                here,
                uses=uses,
                governed_by="after unknown",
                why=tell(Note.WHY_AFTER_UNKNOWN, words=words),
            )
        out.append(here)
    return out


def all_clear(judged: Sequence[Judged], policy: OperatingPolicy | None = None) -> int | None:
    """Earliest return after the first spell of people-out, before the inspection."""
    wait = (policy or policy_of()).all_clear_wait
    out = False
    for j in judged:
        if j.acts in ("people-out", "keep-away"):
            out = True
        elif out and j.level == "normal":
            return j.hour.start + wait
    return None


def thunder_wait(heard: Sequence[int], policy: OperatingPolicy | None = None) -> int | None:
    """Not before this (s): half an hour after it thundered last; each thunder begins it anew."""
    return max(heard) + (policy or policy_of()).thunder_wait if heard else None


def reference_wind(hours: Sequence[Hour], limits: Limits, start: int) -> float | None:
    """Bearing that a shift is measured from: the one it was set up for, else the first that is forecast."""
    if limits.set_up_wind is not None:
        return limits.set_up_wind
    inside = [h for h in hours if h.end > start]
    return next((w.bearing for h in inside for w in h.winds if w.bearing is not None), None)


def judge(
    hours: Sequence[Hour],
    limits: Limits,
    policy: OperatingPolicy,
    start: int,
    end: int | None = None,
    grounds: Sequence[Limits] | None = None,
) -> list[Judged]:
    """Judge every hour. start, end: of the stretch that the headline covers; end left out = all of it. grounds: what it takes
    in each hour, as the ground then is; left out, the same in all.
    """
    loads = accumulate(hours, limits.roof)
    reference = reference_wind(hours, limits, start)
    lying, before, stays = [], "", tuple[Doubt, ...]()
    for h in hours:
        before = h.unmeasured or before  # what fell stays on the roof, and so does not knowing how much
        stays = tuple(d for d in h.doubts if d.stays) or stays
        doubts = tuple(dict.fromkeys((*h.doubts, *stays)))
        lying.append(
            h
            if h.unmeasured == before and doubts == h.doubts
            else replace(h, unmeasured=before, doubts=doubts)
        )
    return (
        _with_waits(
            _many(
                lying, loads, limits, policy, reference, [limits] * len(hours) if grounds is None else grounds
            ),
            hours[-1].end if end is None else end,
        )
        if hours
        else []
    )
