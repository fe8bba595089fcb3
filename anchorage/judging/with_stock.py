"""With only what was brought: how it is spread for the highest gust, and that gust. One answer for every command, page and screen."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from anchorage.checks.checks import worst_pressure
from anchorage.checks.installation import Installation
from anchorage.checks.sizing import sizer
from anchorage.core.checked import Check
from anchorage.deployment.contradictions import stocked
from anchorage.judging.verdict import bounds, fitting

BISECTIONS, GUESSES = 24, 6
Counts = NDArray[np.int_]


@dataclass(frozen=True)
class Spread:
    """Counts at the points, the gust that they hold (m/s), and what gives first."""

    counts: Counts
    gust_m_s: float
    by: Check


def judged(x: Installation, counts: Counts) -> Spread:
    """Counts by all that the limit of a plan goes by: checks, rating, policy."""
    found = x.limits(counts)
    worst = min((f for f in found if not f.fixed), key=lambda f: float(np.min(f.q)))
    held, check = x.wind.gust_of(worst_pressure(found)), worst.check
    for b in bounds(x):
        if b.gust < held:
            held, check = b.gust, b.check
    return Spread(counts, held, check)


def alike(x: Installation, brought: int) -> Spread | None:
    """The most that so many units hold, the same on both sides and at both ends; None where points differ in kind or none is enough.

    The least total for a gust grows with the gust, so the gust whose least total is what was brought is found by guessing, then halving.
    """
    if len({(h.kind, h.counted) for h in x.hard if h.kind != "none"}) != 1:
        return None
    sized = sizer(x.base.holding(x.usable), x.hard, x.factors, x.shelter_mass)

    def total(q: float) -> float:
        found = sized(q).total
        return np.inf if found is None else found

    low, few = 0.0, 0.0
    high = max(x.wind.pressure, 1.0)
    while (many := total(high)) <= brought and high < 1e5:
        low, few, high = high, many, high * 4
    near, above, guesses = (high - low) / 2**BISECTIONS, False, 0
    while high - low > near:
        part = 0.5
        if guesses < GUESSES and few < brought < many < np.inf:  # it grows nearly in a straight line
            part, guesses = min(max((brought + 0.5 - few) / (many - few), 0.05), 0.95), guesses + 1
        mid = low + near / 2 if above else low + (high - low) * part
        found = sized(mid)
        if found.total is None or found.counts is None or found.total > brought:
            high, many, above = mid, np.inf if found.total is None else found.total, False
        else:  # it may hold further than was asked: then the next step of the total is right above
            further = min(sized.most(found.counts), high - near / 2)
            low, few, above = max(mid, further), found.total, further > mid
    counts = sized(low).counts
    return None if counts is None or int(counts.sum()) > brought else _as_fits(x, counts, brought)


def _as_fits(x: Installation, counts: Counts, brought: int) -> Spread:
    """At no point more than it can have; what that leaves over goes where there is room, to corners, sides and ends alike, as long as it holds no less."""
    fits = fitting(x, counts, planned=x.sized is not None)
    found = judged(x, fits)
    if np.array_equal(fits, counts):
        return found
    alike_ = [np.array([g == group and use for g, use in zip(x.base.groups, x.usable, strict=True)]) for group in dict.fromkeys(x.base.groups)]  # fmt: skip
    step = brought
    while step:
        more = [fitting(x, found.counts + step * mine, planned=x.sized is not None) for mine in alike_]
        tried = [judged(x, c) for c in more if found.counts.sum() < c.sum() <= brought]
        best = max(tried, key=lambda s: s.gust_m_s, default=None)
        if best is not None and best.gust_m_s >= found.gust_m_s:
            found = best
        else:
            step //= 2
    return found


def in_shares(x: Installation, brought: Mapping[tuple[str, str], int]) -> Spread:
    """Where points differ in kind: of each kind that is short so many as were brought, in the shares of what each point needs."""
    counts = x.counts.copy()
    for (kind, item), have in brought.items():
        mine = np.array([stocked(h.kind, h.counted) == (kind, item) for h in x.hard])
        needed = int(x.counts[mine].sum())
        if needed > have:
            counts = np.where(mine, np.floor(x.counts * (have / needed)), counts).astype(int)
    return judged(x, fitting(x, counts, planned=x.sized is not None))


def spread(x: Installation, brought: Mapping[tuple[str, str], int]) -> Spread:
    """The spread of what was brought where not all of it is enough. brought: by kind and what is counted there."""
    only: Sequence[int] = list(brought.values())
    found = alike(x, only[0]) if len(only) == 1 else None
    return found if found is not None else in_shares(x, brought)
