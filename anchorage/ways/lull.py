"""When a lull is forecast: the longest stretch from now on that is calm enough for a way that waits for one, by the forecast in the file.

The shelter goes up in it, so what blows before it asks for no all-clear; what blows after it is for the outlook to say.
"""

from __future__ import annotations

from datetime import UTC, datetime

from anchorage.core.errors import AnchorageError
from anchorage.core.say import say
from anchorage.deployment.models import Deployment
from anchorage.deployment.policy import GO_IN, use_of
from anchorage.judging.plan import assess
from anchorage.outlook.asked import Asked, forecasts_of, zone_said
from anchorage.outlook.build import outlook
from anchorage.outlook.clock import seconds, show
from anchorage.outlook.result import HourOut
from anchorage.outlook.weathered import plan_for


def when_calm(d: Deployment, now: int) -> str:
    """When it is calm enough for a deployment, in words; nothing where no forecast is in the file."""
    if d.forecast is None:
        return ""
    try:
        zone = zone_said(None, d.outlook)
        found = forecasts_of(Asked(), d.forecast, now, zone, lenient=True)
        out = outlook(plan_for(assess(d), found), d, found, now, zone, use=use_of(d))
    except AnchorageError as e:
        return say("When it is that calm cannot be said: {why}", why=str(e))
    calm = _longest(out.hours, use_of(d), now)
    if calm is None:
        return say("By the forecast in the file no hour from now on is that calm.")
    start, end = (show(t, zone or UTC) for t in calm)
    return say(
        "By the forecast in the file the longest lull is from {start} to {end}: up after it begins, down before it ends; ask the outlook again before.",
        start=start,
        end=end,
    )


def _longest(hours: list[HourOut], use: str, now: int) -> tuple[int, int] | None:
    """The longest stretch from now on in which the gust is known, the level is one of the use, and nothing else is said against it; the first of several."""
    best: tuple[int, int] | None = None
    begun = last = now
    for h in hours:
        start, end = (seconds(datetime.fromisoformat(t)) for t in (h.start, h.end))
        calm = h.gust_is == "forecast" and h.level in GO_IN[use] and not h.thunder and h.level != "unknown"
        if not calm or end <= now:
            continue
        if start != last:  # an hour between that is not calm, or that nobody tells of
            begun = max(start, now)
        last = end
        if best is None or end - begun > best[1] - best[0]:
            best = begun, end
    return best
