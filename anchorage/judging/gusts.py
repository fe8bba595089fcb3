"""The gust of a plan against its limit, as it is printed everywhere."""

from __future__ import annotations

from anchorage.core import units
from anchorage.deployment.policy import Against, against
from anchorage.judging.result import Plan


def printed(plan: Plan, gust: float | None) -> str:
    """A gust that something takes, rounded down, with the decimals of every other gust of this plan."""
    if gust is None:
        return "no limit found"
    return units.show("speed", gust, plan.show_units, rounding="down", digits=of_plan(plan).digits)


def of_plan(plan: Plan) -> Against:
    """The gust that a Plan judged against what it found."""
    return against(plan.policy, plan.wind.gust_m_s, plan.limit.gust_m_s, plan.show_units)
