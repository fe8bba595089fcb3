"""Chance that a gust passes a limit, from a forecast gust and its standard deviation."""

from __future__ import annotations

import math
from collections.abc import Sequence

from anchorage.core.say import later, say


def _above(z: float) -> float:
    """Share of a standard normal above z."""
    return 0.5 * math.erfc(z / math.sqrt(2.0))


def over(limit: float, gust: float, spread: float) -> float:
    """P(G > limit) for G normal about ``gust`` with standard deviation ``spread``, cut at zero (all m/s).

    Shape: a normal distribution cut at zero, as Thorarinsdottir & Johnson, Monthly Weather Review, March 2012, use.

    >>> round(over(20.0, 16.0, 4.0), 4)
    0.1587
    """
    if spread <= 0.0:
        return 1.0 if gust > limit else 0.0
    if limit <= 0.0:
        return 1.0
    return min(_above((limit - gust) / spread) / _above(-gust / spread), 1.0)


def window(chances: Sequence[float]) -> tuple[float, float]:
    """Least and greatest chance that the limit is passed in any of the hours: [max p, 1 - Π(1 - p)]."""
    none = 1.0
    for p in chances:
        none *= 1.0 - p
    return max(chances, default=0.0), max(1.0 - none, max(chances, default=0.0))


def words(p: float) -> str:
    """``1 in 12``, rounded to the worse; under 1 in 100 is not told apart."""
    if p < 0.01:
        return say("less than 1 in 100")
    if p > 0.5:
        return f"{math.ceil(10 * p - 1e-9)} in 10" if p <= 0.9 else say("almost certain")
    return f"1 in {math.floor(1 / p + 1e-9)}"


def between(low: float, high: float | None, until: str, what: str = later("the limit is passed")) -> str:
    """The range in words; what: that of which it is the chance. high None: nothing bounds it from above."""
    if high is None:
        least = "" if low < 0.01 else say(", {words} at the least,", words=words(low))
        return say(
            "Cannot say what chance there is{least} that {what} before {until}: nothing bounds it from above",
            least=least,
            what=what,
            until=until,
        )
    a, b = words(low), words(high)
    chance = a if a == b else say("between {a} and {b}", a=a, b=b)
    return say("{chance} that {what} before {until}", chance=chance, what=what, until=until)
