"""Hours against limits: a level and a verdict each. Unknown is never go, thunder overrides, the worst cause governs."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

from anchorage import tables
from anchorage.outlook import chance
from anchorage.outlook.hours import ORDER, Hour, Wind
from anchorage.outlook.limits import Limits, Shares
from anchorage.outlook.snowfall import RoofLoad, accumulate
from anchorage.result import Level, Verdict

TIGHT = 1e-9
USES = ("people-in", "empty", "set-up")
VERDICTS: tuple[Verdict, ...] = ("go", "unknown", "no-go")


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
    why: str
    uses: dict[str, Verdict]
    shift: bool
    chance: float | None

    @property
    def known_rank(self) -> int:
        """Rank of the level that is certain."""
        return ORDER.index(self.known)


def _share(value: float, limit: float) -> float:
    if value <= 0.0:
        return 0.0
    return math.inf if limit <= 0.0 else value / limit


def level_at(share: float, s: Shares) -> Level:
    """The level of a share of a limit."""
    if share >= s.keep_away - TIGHT:
        return "keep-away"
    if share >= s.people_out - TIGHT:
        return "people-out"
    return "secure" if share >= s.secure - TIGHT else "normal"


def _causes(h: Hour, load: RoofLoad, wind: Wind | None, share: float | None, snow_share: float | None, limits: Limits, s: Shares
            ) -> list[tuple[Level, str, str]]:  # fmt: skip
    """Everything that stands for a level, with its name and its words."""
    out: list[tuple[Level, str, str]] = []
    if share is not None and wind is not None:
        out.append((level_at(share, s), "gust", limits.governed_by))
    if snow_share is not None and load.expected:
        out.append((level_at(snow_share, s), "roof snow", "clear the snow, both sides together"))
    if limits.roof_depth is not None and load.depth >= limits.roof_depth - TIGHT:
        out.append(
            ("people-out", "snow depth", "the rule that was chosen empties it at this depth of new snow")
        )
    if h.thunder:
        out.append(("people-out", "thunder", f"{h.thunder}: leave for a building or a closed vehicle"))
    if h.hazard is not None:
        out.append((h.hazard.level, "warning", h.hazard.text))
    return out


def _unknown(h: Hour, load: RoofLoad, limits: Limits) -> tuple[str, str]:
    """What is not known in this hour, and why; nothing where all is."""
    if not h.complete:
        return "gust unknown", h.missing
    if h.unmeasured:
        return "snow unknown", h.unmeasured
    if load.expected and (limits.roof_snow is None or limits.snow_unrated):
        return "snow rating missing", "snow on the roof, and no roof-snow rating in the file: ask the maker"
    return "", ""


def _uses(
    level: Level, h: Hour, gust: float | None, share: float | None, limits: Limits
) -> dict[str, Verdict]:
    if level == "unknown":
        return dict.fromkeys(USES, "unknown")
    held = limits.half_built is None or (gust is not None and gust < limits.half_built)
    convective = bool(h.thunder)
    blown = share is not None and share >= 1.0 - TIGHT
    empty: Verdict = "no-go" if level == "keep-away" or blown else "unknown" if convective else "go"
    if level == "people-out" and not h.complete:
        empty = worst(empty, "unknown")
    return {
        "people-in": "go" if level in ("normal", "secure") else "no-go",
        "empty": empty,
        "set-up": "go" if level == "normal" and held else "no-go",
    }


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


def _one(h: Hour, load: RoofLoad, limits: Limits, s: Shares, reference: float | None) -> Judged:
    ranked = [(_share(w.gust, limits.at(w.bearing)), w.gust, w) for w in h.winds]
    share, _, wind = max(ranked, key=lambda r: (r[0], r[1])) if ranked else (None, 0.0, None)
    snow_share = None if limits.roof_snow is None else _share(load.pascal, limits.roof_snow)
    causes = _causes(h, load, wind, share, snow_share, limits, s)
    known, governed, why = max(causes, key=lambda c: ORDER.index(c[0]), default=("normal", "", ""))
    gap, reason = _unknown(h, load, limits)
    level: Level = "unknown" if gap and known in ("normal", "secure") else known
    if level == "unknown":
        governed, why = gap, reason + (f"; at least {known}" if known != "normal" else "")
    elif level == "normal":
        why = ""
    gust = max((w.gust for w in h.winds), default=None)
    uses = _uses(level, h, gust, share, limits)
    rated: Verdict = "unknown" if limits.rating_missing else "go"
    floor = worst(rated, *(b.verdict for b in limits.blocks))
    uses = {k: worst(v, floor) for k, v in uses.items()}
    p = None
    if h.spread is not None and h.complete and not h.thunder:
        p = max(
            (chance.over(limits.at(w.bearing), w.gust, h.spread) for w in h.winds if w.forecast), default=None
        )
    limit = limits.at(wind.bearing) if wind is not None else limits.gust
    return Judged(
        h, wind, limit, share, load, snow_share, known, level, governed, why, uses, _shifted(h, reference), p
    )


def _with_waits(judged: list[Judged]) -> list[Judged]:
    """After people-out nobody goes back before 30 min under the next lower level, and an inspection."""
    out, waiting = [], False
    for j in judged:
        if j.level in ("people-out", "keep-away"):
            waiting = True
        elif waiting:
            done = j.level == "normal"
            words = "30 min under the next lower level and an inspection come first"
            uses = {k: v if k == "empty" else worst(v, "no-go") for k, v in j.uses.items()}
            out.append(
                replace(j, uses=uses, governed_by="all-clear", why=words)
                if done or j.level == "secure"
                else j
            )
            waiting = not done
            continue
        out.append(j)
    return out


def all_clear(judged: Sequence[Judged]) -> int | None:
    """Earliest return after the first spell of people-out, before the inspection."""
    wait = int(tables.row("deadline", "all-clear-wait").value)
    out = False
    for j in judged:
        if j.level in ("people-out", "keep-away"):
            out = True
        elif out and j.level == "normal":
            return j.hour.start + wait
    return None


def thunder_wait(heard: Sequence[int]) -> int | None:
    """Not before this (s): 30 min after the last thunder; every thunder starts the wait again."""
    return max(heard) + int(tables.row("deadline", "thunder-wait").value) if heard else None


def reference_wind(hours: Sequence[Hour], limits: Limits, start: int) -> float | None:
    """Bearing that a shift is measured from: the one it was set up for, else the first that is forecast."""
    if limits.set_up_wind is not None:
        return limits.set_up_wind
    inside = [h for h in hours if h.end > start]
    return next((w.bearing for h in inside for w in h.winds if w.bearing is not None), None)


def judge(hours: Sequence[Hour], limits: Limits, shares: Shares, start: int) -> list[Judged]:
    """Judge every hour. start: of the stretch that the headline covers."""
    loads = accumulate(hours, limits.lying, stays=limits.rain_stays, pockets=limits.pockets)
    reference = reference_wind(hours, limits, start)
    out, before = [], ""
    for h, load in zip(hours, loads, strict=True):
        before = h.unmeasured or before  # what fell stays on the roof, and so does not knowing how much
        lying = h if h.unmeasured == before else replace(h, unmeasured=before)
        out.append(_one(lying, load, limits, shares, reference))
    return _with_waits(out)
