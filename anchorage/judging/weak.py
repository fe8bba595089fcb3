"""Which of the figures that nobody published moves this result most: each is put at its worse end and all is judged again."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from anchorage.checks.footprint import Same
from anchorage.checks.installation import Installation, assemble
from anchorage.core import tables
from anchorage.core.errors import AnchorageError
from anchorage.deployment.models import Deployment
from anchorage.deployment.policy import use_of
from anchorage.judging.plan import Assessment
from anchorage.judging.result import MovesOut
from anchorage.judging.snow_report import snow_out
from anchorage.judging.verdict import bounds
from anchorage.loads.roof_snow import roof_snow

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


@dataclass(frozen=True)
class _Result:
    """As much of a result as a figure can move, without what else a plan says."""

    units: int | None
    """Needed for the use that is judged."""
    sized: bool
    gusts: tuple[float | None, float | None]
    """That limits (m/s), and that which the anchorage holds."""
    snow: float | None
    """As a share of what the roof carries."""


def _least_pressure(x: Installation) -> float:
    """At which anything of the anchorage gives (Pa), whatever a code asks for at the least."""
    return min(float(np.min(f.q)) for f in x.limits() if not f.fixed)


def _held(d: Deployment) -> _Result:
    x = assemble(d, (use_of(d),))
    of = (Same((x.base, *x.hard)), x.counts.tobytes(), x.shelter_mass, x.factors, x.sized is None, x.use)
    own = x.wind.gust_of(tables.again(("least pressure", *of), lambda: _least_pressure(x)))
    least = min([own, *(b.gust for b in bounds(x))])
    both = (least if np.isfinite(least) else None, own if np.isfinite(own) else None)
    need = x.needs.get(x.use)
    snow = tables.again(
        ("snow", Same((d,))), lambda: snow_out(d, roof_snow(d.snow, d.shelter, d.site), []).ratio
    )
    return _Result(None if need is None else need.total, x.sized is not None, both, snow)


def _worse(now: float | None, then: float | None, power: float) -> float:
    """By what share of a gust the result is worse; all of it where it can no longer be told. power: of the gust, in the figure."""
    if not now:
        return 0.0
    return 1.0 if not then else 1.0 - (then / now) ** (1 / power)


def _moved(base: _Result, then: _Result) -> float:
    """By what share of a gust it is worse. Where the count follows from the figures, so does the gust: the count is asked first."""
    snow = _worse(base.snow, then.snow, -2.0)
    if base.sized and base.units != then.units:
        return max(snow, _worse(base.units, then.units, -2.0))
    return max(snow, *(_worse(one, other, 1.0) for one, other in zip(base.gusts, then.gusts, strict=True)))


def moves_most(d: Deployment) -> MovesOut | None:
    """The figure, and what becomes of the result; None where none of them makes it worse."""
    with tables.trying():
        return _most(d)


def _most(d: Deployment) -> MovesOut | None:
    with tables.collect() as rows:
        base = _held(d)
    most, found = LEAST, None
    for r in dict.fromkeys(r for r in rows if r.how in WEAK):
        for value in ends(r):
            try:
                with tables.instead(r, value):
                    then = _held(d)
            except AnchorageError:
                continue  # a figure that the program refuses to be so
            if (share := _moved(base, then)) > most:
                most, found = share, MovesOut(
                    row=f"{r.table} {r.key}", how=r.how, value=_said(r.value, r), worse=_said(value, r), gust_m_s=then.gusts[0],
                    units=then.units, units_now=base.units, ratio=then.snow,
                )  # fmt: skip
    return found


def with_most(a: Assessment) -> Assessment:
    """The assessment with that figure named."""
    found = a.plan.provenance.model_copy(
        update={"most": moves_most(a.installation.deployment), "tried": True}
    )
    return replace(a, plan=a.plan.model_copy(update={"provenance": found}))
