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
    calm = _longest([h for h in out.hours if seconds(datetime.fromisoformat(h.end)) > now], use_of(d))
    if not calm:
        return say("By the forecast in the file no hour from now on is that calm.")
    first, last = calm[0].start, calm[-1].end
    start, end = (show(max(seconds(datetime.fromisoformat(t)), now), zone or UTC) for t in (first, last))
    return say(
        "By the forecast in the file the longest lull is from {start} to {end}: up after it begins, down before it ends; ask the outlook again before.",
        start=start,
        end=end,
    )


def _longest(hours: list[HourOut], use: str) -> list[HourOut]:
    """The longest run of hours in which the gust is known, the level is one of the use, and nothing else is said against them."""
    best: list[HourOut] = []
    run: list[HourOut] = []
    for h in hours:
        calm = h.gust_is == "forecast" and h.level in GO_IN[use] and not h.thunder and h.level != "unknown"
        run = [*run, h] if calm else []
        best = max(best, run, key=len)
    return best
