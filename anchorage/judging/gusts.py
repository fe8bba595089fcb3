"""The gust of a plan against its limit, as it is printed everywhere."""

from __future__ import annotations

from anchorage.core import units
from anchorage.core.say import later, say
from anchorage.deployment.policy import TIGHT, Against, against
from anchorage.judging.result import Plan
from anchorage.judging.verdict import calm, no_lull, taking_down_words


def number(plan: Plan, gust: float) -> str:
    """A gust that something takes as ``printed`` has it, without its unit."""
    return _shown(plan, gust).number


def printed(plan: Plan, gust: float | None) -> str:
    """A gust that something takes, rounded down; the limit itself with the decimals that its level takes, others with one at the most."""
    if gust is None:
        return say("no limit found")
    return str(_shown(plan, gust))


def _shown(plan: Plan, gust: float) -> units.Shown:
    at = of_plan(plan)
    own = gust in (plan.put_up_m_s, plan.limit.gust_m_s)
    digits = at.digits if own or at.digits is None else min(at.digits, 1)
    return units.shown("speed", gust, plan.show_units, rounding="down", digits=digits)


def held_text(plan: Plan) -> str:
    """The gust that what would be put up holds; where the stock is short, beside it that of all that is needed."""
    held = printed(plan, plan.put_up_m_s)
    fits = None if plan.capped is None else plan.capped.gust_m_s
    if plan.capped is not None and fits is not None and fits > (plan.put_up_m_s or 0.0):
        return say(
            "{gust} with only what was brought; {fits} with as many as a point can have, {most} at each",
            gust=held,
            fits=against(plan.policy, plan.wind.gust_m_s, fits, plan.show_units).limit,
            most=plan.capped.most,
        )
    if plan.capped is not None:
        return say(
            "{gust} with only as many as a point can have, {most} at each", gust=held, most=plan.capped.most
        )
    if plan.short is None:
        return held
    return say(
        "{gust} with only what was brought; {needed} once all that is needed is placed",
        gust=held,
        needed=printed(plan, plan.limit.gust_m_s),
    )


def cannot_stand(plan: Plan, *, full: bool = False) -> str:
    """That counts are more than a point can have, which comes before every gust; empty where they can all be put there. full: what does it stands on the same page."""
    if not plan.does_not_do:
        return ""
    n = max(plan.does_not_do, key=lambda n: n.asked - n.most)
    if full:
        return say("NOT POSSIBLE so: {asked} are asked for at a point, and at most {most} go there.", asked=n.asked, most=n.most)  # fmt: skip
    return say("NOT POSSIBLE so: {asked} are asked for at a point, and at most {most} go there; check with --full says what does it.", asked=n.asked, most=n.most)  # fmt: skip


def unlocked_words(plan: Plan) -> str:
    """That this gust does not ask for locked straps, and from when on they are: SECURE locks them among other things."""
    at = of_plan(plan)
    if at.level in ("normal", "unknown"):
        return say("Not needed at {gust}; lock at SECURE.", gust=at.gust)
    return say("Lock: SECURE asks for it; the sway alone does not.")


FOR_ALL = later("What follows is for all that is needed, in place.")
"""Said before gusts of the counts, where the stock is short of them."""


def of_plan(plan: Plan) -> Against:
    """The gust that a Plan judged against what would be put up."""
    return against(plan.policy, plan.wind.gust_m_s, plan.put_up_m_s, plan.show_units)


def coming_down(plan: Plan) -> bool:
    """Whether it is being taken down, by its record."""
    return plan.record is not None and plan.record.phase == "coming-down"


def lull(plan: Plan, below: float | None) -> str:
    """The wind in which alone the bare shell is raised or folded, where it is under the gust (m/s) that stops the work."""
    found = calm(plan.half_built, below, plan.show_units)
    return "" if found is None else str(found)


def go_on_words(plan: Plan) -> str:
    """In what wind taking down goes on, of a plan that is coming down."""
    most = plan.put_up_m_s
    return str(taking_down_words(plan.half_built, most, printed(plan, most), plan.show_units))


def half_words(plan: Plan) -> str:
    """The gust that it holds half built, as its lull is printed; nothing where none is known."""
    half = plan.half_built
    if half is None or half.gust_m_s is None:
        return ""
    return units.show("speed", half.gust_m_s, plan.show_units, rounding="down")


def set_up_below(plan: Plan) -> tuple[float | None, str]:
    """The gust (m/s) below which it may be set up, and as it is printed: that of its level, or of what it takes on the way up."""
    level, half = plan.levels.secure_m_s, plan.half_built
    up_to = None if half is None else half.up_to_m_s
    if up_to is None or level is None or up_to >= level * (1.0 - TIGHT):
        return level, of_plan(plan).secure
    return up_to, printed(plan, up_to)


def raised_below(plan: Plan) -> str:
    """In what wind it may go up, the lower figure first: the lull in which the bare shell is raised, and the gusts of the spell."""
    below, words = set_up_below(plan)
    under, half = lull(plan, below), plan.half_built
    if no_lull(half):
        return say("in no wind: the bare shell is not held")
    if not under:
        return say("below {gust}", gust=words)
    return say("in lulls under {lull}, gusts below {gust}", lull=under, gust=words)
