"""Shared by the tests of the outlook: times, limits, and a forecast judged in one call."""

from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path

import pytest

from anchorage.core.checked import Check, What
from anchorage.deployment.policy import policy_of
from anchorage.outlook.clock import read_iso
from anchorage.outlook.hours import Forecast, Span, hours_of
from anchorage.outlook.judge import Judged, judge
from anchorage.outlook.limits import Limits
from anchorage.outlook.reader import read_text

DATA = Path(__file__).parents[2] / "shared" / "data"
LIMITS = Limits(gust=20.0, by=Check(What.SLIDE), roof_snow=500.0)
"""Secure from 12, people out from 16, keep away from 20 m/s."""
SHARES = policy_of()
KT = 1852 / 3600


def at(text: str) -> int:
    """Seconds of ``2026-03-10T18`` and the like, UTC."""
    full = "2026-03-10T00:00:00Z"
    return read_iso(text if text.endswith("Z") else text + full[len(text) :], "test", "time")


def real(name: str) -> str:
    """A recorded forecast; the test is skipped where the folder is missing."""
    path = DATA / name
    if not path.exists():
        pytest.skip(f"no recorded forecast {name} beside the repository")
    return path.read_text(encoding="utf-8")


def forecast(*gusts: float | None, start: str = "2026-03-10T18", **more: object) -> Forecast:
    """A forecast of one gust (m/s) an hour, which says of each that nothing falls and that there is no thunder."""
    t = at(start)
    spans = tuple(Span(t + 3600 * i, t + 3600 * (i + 1), g) for i, g in enumerate(gusts))
    quiet = tuple(s._replace(value=0.0) for s in spans)
    every = {"gusts": spans, "water": quiet, "told": quiet, "says": frozenset({"gust", "snow", "thunder"})}
    return replace(Forecast("test", "test", t), **{**every, **more})  # type: ignore[arg-type]


def judged(
    forecasts: Forecast | Sequence[Forecast] | str,
    now: str = "2026-03-10T18",
    limits: Limits = LIMITS,
    until: str | None = None,
) -> list[Judged]:
    """Forecasts, or the text of one, hour by hour against limits."""
    t = at(now)
    found = (
        read_text(forecasts, t, "test")
        if isinstance(forecasts, str)
        else [forecasts]
        if isinstance(forecasts, Forecast)
        else forecasts
    )
    hours = hours_of(found, t, at(until) if until else t + 1)
    return judge(hours, limits, SHARES, t)


def levels(found: Sequence[Judged]) -> list[str]:
    """The level of each hour."""
    return [j.level for j in found]


def verdicts(found: Sequence[Judged], use: str = "people-in") -> list[str]:
    """The verdict of each hour."""
    return [j.uses[use] for j in found]
