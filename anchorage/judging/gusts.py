"""The gust of a plan against its limit, as it is printed everywhere."""

from __future__ import annotations

from anchorage.core import units
from anchorage.core.say import say
from anchorage.deployment.policy import TIGHT, Against, against
from anchorage.judging.result import Plan


def number(plan: Plan, gust: float) -> str:
    """A gust that something takes as ``printed`` has it, without its unit."""
    return units.shown("speed", gust, plan.show_units, rounding="down", digits=of_plan(plan).digits).number


def printed(plan: Plan, gust: float | None) -> str:
    """A gust that something takes, rounded down, with the decimals of every other gust of this plan."""
    if gust is None:
        return say("no limit found")
    return units.show("speed", gust, plan.show_units, rounding="down", digits=of_plan(plan).digits)


def of_plan(plan: Plan) -> Against:
    """The gust that a Plan judged against what it found."""
    return against(plan.policy, plan.wind.gust_m_s, plan.limit.gust_m_s, plan.show_units)


def coming_down(plan: Plan) -> bool:
    """Whether it is being taken down, by its record."""
    return plan.record is not None and plan.record.phase == "coming-down"


def set_up_below(plan: Plan) -> tuple[float | None, str]:
    """The gust (m/s) below which it may be set up, and as it is printed: that of its level, or of what it takes on the way up."""
    level, half = plan.levels.secure_m_s, plan.half_built
    up_to = None if half is None else half.up_to_m_s
    if up_to is None or level is None or up_to >= level * (1.0 - TIGHT):
        return level, of_plan(plan).secure
    return up_to, printed(plan, up_to)
