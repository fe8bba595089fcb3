"""Which of the figures that nobody published moves this result most: each is put at its worse end and all is judged again."""

from __future__ import annotations

from dataclasses import replace

from anchorage.core import tables
from anchorage.core.errors import AnchorageError
from anchorage.deployment.models import Deployment
from anchorage.judging.plan import Assessment, assess
from anchorage.judging.result import MovesOut

WEAK = ("memory", "common practice")
STEP = 0.1
"""How far a figure without a span is moved, as a share of it."""
LEAST = 1e-3
"""Less than this share of a gust is no move."""


def ends(r: tables.Row) -> list[float]:
    """The values at which a figure is tried; none for a count or a switch, which is a choice and not a measurement."""
    if r.low is None and r.high is None:
        if r.unit == "1" and r.value.is_integer():
            return []
        return [x for x in (r.value * (1 - STEP), r.value * (1 + STEP)) if x != r.value]
    return [x for x in (r.low, r.high) if x is not None and x != r.value]


def _said(value: float, r: tables.Row) -> str:
    return f"{value:.4g}" if r.unit == "1" else f"{value:.4g} {r.unit}"


def _units(a: Assessment) -> int | None:
    need = a.installation.needs.get(a.installation.use)
    return None if need is None else need.total


def _worse(now: float | None, then: float | None, power: float) -> float:
    """By what share of a gust the result is worse; all of it where it can no longer be told. power: of the gust, in the figure."""
    if not now:
        return 0.0
    return 1.0 if not then else 1.0 - (then / now) ** (1 / power)


def _moved(base: Assessment, then: Assessment) -> float:
    """By what share of a gust it is worse. Where the count follows from the figures, so does the gust: the count is asked first."""
    was, now = _units(base), _units(then)
    snow = _worse(base.plan.snow.ratio, then.plan.snow.ratio, -2.0)
    if base.plan.anchorage.sized and was != now:
        return max(snow, _worse(was, now, -2.0))
    gusts = [(x.plan.limit.gust_m_s, x.plan.limit.anchorage_gust_m_s) for x in (base, then)]
    return max(snow, *(_worse(one, other, 1.0) for one, other in zip(*gusts, strict=True)))


def moves_most(d: Deployment) -> MovesOut | None:
    """The figure, and what becomes of the result; None where none of them makes it worse."""
    with tables.collect() as rows:
        base = assess(d)
    most, found = LEAST, None
    for r in dict.fromkeys(r for r in rows if r.how in WEAK):
        for value in ends(r):
            try:
                with tables.instead(r, value):
                    then = assess(d)
            except AnchorageError:
                continue  # a figure that the program refuses to be so
            if (share := _moved(base, then)) > most:
                most, found = share, MovesOut(
                    row=f"{r.table} {r.key}", how=r.how, value=_said(r.value, r), worse=_said(value, r), gust_m_s=then.plan.limit.gust_m_s,
                    units=_units(then), units_now=_units(base), ratio=then.plan.snow.ratio,
                )  # fmt: skip
    return found


def with_most(a: Assessment) -> Assessment:
    """The assessment with that figure named."""
    found = a.plan.provenance.model_copy(
        update={"most": moves_most(a.installation.deployment), "tried": True}
    )
    return replace(a, plan=a.plan.model_copy(update={"provenance": found}))
