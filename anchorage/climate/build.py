"""All of it together: a deployment and a history in; shares by month and hour, the spread by years, gusts of a return period out."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import tzinfo
from typing import Any

import numpy as np
from numpy.typing import NDArray

from anchorage.climate import extremes, windows
from anchorage.climate.course import Hours, Takes, hours_of, ranked
from anchorage.climate.extremes import ExtremesError, ReturnGust
from anchorage.climate.reports import Reports
from anchorage.core import tables
from anchorage.core.choices import chosen
from anchorage.core.errors import AnchorageError
from anchorage.core.say import say
from anchorage.deployment.models import Deployment
from anchorage.judging.plan import assess
from anchorage.judging.result import Verdict
from anchorage.outlook.clock import HOUR
from anchorage.outlook.judge import worst

Ints = NDArray[np.int64]
LONGEST = 24 * 31
"""Hours of a window."""
HIGHEST = 5
"""Gusts that are listed, so that somebody looks at them."""


class ClimateError(AnchorageError):
    """A history that cannot be held against an installation."""


@dataclass(frozen=True)
class High:
    """One of the highest gusts, on different occasions."""

    at: int
    gust: float
    bearing: float | None
    reported: bool


@dataclass(frozen=True)
class Occasions:
    """How often a level is reached in a year, on average of the hours that are known."""

    people_out: float
    come_down: float


@dataclass(frozen=True)
class Climate:
    """What years of weather mean for one installation."""

    takes: Takes
    hours: Hours
    n: int
    zone: tzinfo
    by_hour: Ints
    """(12, 24, 4): windows by month, hour of their start and what they allow."""
    by_year: Ints
    """(years, 12, 4)."""
    years: tuple[int, ...]
    unknown_but: tuple[int, int]
    """Of the unknown windows those whose known hours already say at least empty, and come down."""
    occasions: Occasions | None
    returns: tuple[ReturnGust, ...]
    refused: tuple[str, ...]
    """Why a fit gives no gust of a return period."""
    whole_years: tuple[int, ...]
    peaks: extremes.Peaks | None
    highest: tuple[High, ...]
    wet: tuple[float, float] | None
    """(limit, share with people in) on wet ground, where the history says nothing of rain and the file has it drier."""
    notes: tuple[str, ...]

    @property
    def total(self) -> Ints:
        """Windows of each kind."""
        found: Ints = self.by_hour.sum(axis=(0, 1))
        return found

    @property
    def share_in(self) -> float:
        """Share of all windows in which it may stand with people in."""
        return float(windows.shares(self.total)[windows.IN])

    @property
    def verdict(self) -> Verdict:
        """What stands against it whatever the wind; go where nothing does."""
        x = self.takes.limits
        return worst("unknown" if x.rating_missing else "go", *(b.verdict for b in x.blocks))


def _codes(h: Hours, x: Takes, n: int) -> tuple[windows.Codes, windows.Codes, windows.Codes]:
    """Codes of hours, of windows, and of windows by their known hours alone."""
    rank, missing = ranked(h, x, n)
    hourly = windows.code_of(rank, missing)
    whole = windows.worst_within(hourly, n)
    alone = hourly.copy()
    alone[missing] = windows.code_of(rank, np.zeros(len(h), bool))[missing]
    return hourly, whole, windows.worst_within(alone, n)


def window_counts(h: Hours, x: Takes, n: int) -> Ints:
    """Windows of each kind for an installation."""
    return windows.counts(_codes(h, x, n)[1])


def _occasions(hourly: windows.Codes, known: int) -> Occasions | None:
    if not known:
        return None
    apart = int(tables.row("climate-hour", "occasions-apart").value // HOUR)
    years = known * HOUR / (365.2425 * 86400.0)

    at = np.flatnonzero((hourly >= windows.EMPTY) & (hourly != windows.UNKNOWN))
    if not at.size:
        return Occasions(0.0, 0.0)
    which = np.concatenate([[0], np.cumsum(np.diff(at) > apart)])
    down = np.unique(which[hourly[at] == windows.DOWN])
    return Occasions((int(which[-1]) + 1) / years, down.size / years)


def annual_maxima(h: Hours, year: Ints) -> dict[int, float]:
    """Highest gust of each year of the local calendar that is known nearly whole."""
    least = tables.row("climate-hour", "known-year").value
    known = ~np.isnan(h.gust)
    out = {}
    for y in np.unique(year):
        mine = year == y
        hours_of_year = 8784 if (y % 4 == 0 and y % 100 != 0) or y % 400 == 0 else 8760
        if np.count_nonzero(known & mine) >= least * hours_of_year:
            out[int(y)] = float(np.nanmax(h.gust[mine]))
    return out


def _returns(
    h: Hours, year: Ints, periods: Sequence[float]
) -> tuple[list[ReturnGust], list[str], tuple[int, ...], extremes.Peaks | None]:
    maxima, peaks = annual_maxima(h, year), None
    found, refused = list[ReturnGust](), list[str]()
    for t in periods:
        extremes.check_years(t)
    try:
        try:
            found += extremes.gumbel(list(maxima.values()), periods)
        except ExtremesError as e:
            refused.append(say("Gumbel: {why}.", why=e))
        peaks = extremes.peaks_of(h.gust, int(np.count_nonzero(~np.isnan(h.gust))))
        found += extremes.pareto(peaks, periods)
    except ExtremesError as e:
        refused.append(say("Peaks over a threshold: {why}.", why=e))
    except ImportError as e:
        if (e.name or "").split(".")[0] != "scipy":
            raise
        refused = [say("They need scipy: pip install 'shelter-anchorage[climate]'.")]
    return found, refused, tuple(maxima), peaks


def _highest(h: Hours) -> list[High]:
    v = np.where(np.isnan(h.gust), -1.0, h.gust)
    apart = int(tables.row("climate-hour", "occasions-apart").value // HOUR)
    free, out = np.ones(len(v), bool), list[High]()
    for i in np.argsort(-v, kind="stable")[: 200 * HIGHEST]:
        if len(out) == HIGHEST or v[i] < 0.0:
            break
        if free[i]:
            bearing = None if np.isnan(h.bearing[i]) else float(h.bearing[i])
            out.append(High(h.first + int(i) * HOUR, float(v[i]), bearing, bool(h.reported[i])))
            free[max(i - apart, 0) : i + apart + 1] = False
    return out


def _on_wet(h: Hours, x: Takes, n: int) -> tuple[float, float] | None:
    """What wet ground would make of it, where the history cannot say when it was wet and the file says dry."""
    if "water" in h.reports.tells or x.grounds.base.state != "dry":
        return None
    limits, _ = x.on(frozenset({"wet"}))
    whole = windows.worst_within(windows.code_of(*ranked(h, x, n, wet=True)), n)
    return limits.gust, float(np.mean(whole == windows.IN))


def periods_of(asked: Sequence[float]) -> tuple[float, ...]:
    """Return periods that were asked for, or those of the table."""
    return tuple(asked) or tuple(r.value for r in tables.table("climate-return").rows)


def climate(d: Deployment, r: Reports, n: int, zone: tzinfo, periods: Sequence[float] = ()) -> Climate:
    """Hold a history against a deployment. n: hours of a window; zone: of the people; periods: years.

    Raises ``AnchorageError`` for what cannot be used.
    """
    return against(Takes(assess(d)), r, n, zone, periods)


def against(x: Takes, r: Reports, n: int, zone: tzinfo, periods: Sequence[float] = ()) -> Climate:
    """The same for an installation that is judged already."""
    if not 1 <= n <= LONGEST:
        raise ClimateError(say("--hours {n}: from 1 to {most}", n=n, most=LONGEST))
    h = hours_of(r)
    if len(h) < n:
        raise ClimateError(
            say(
                "{name}: {hours} hours in all: shorter than one window of {n} h",
                name=r.name,
                hours=len(h),
                n=n,
            )
        )
    if np.all(np.isnan(h.gust)):
        raise ClimateError(say("{name}: no wind in any report", name=r.name))
    hourly, whole, alone = _codes(h, x, n)
    cal = windows.calendar(h.first, len(h), zone)
    at = cal.first(len(whole))
    years = np.unique(at.year)
    lost = whole == windows.UNKNOWN
    returns, refused, whole_years, peaks = _returns(h, cal.year, periods_of(periods))
    known = int(np.count_nonzero(~np.isnan(h.gust)))
    return Climate(
        takes=x, hours=h, n=n, zone=zone, by_hour=windows.counts(whole, (at.month - 1, 12), (at.hour, 24)),
        by_year=windows.counts(whole, (at.year - years[0], int(years[-1] - years[0]) + 1), (at.month - 1, 12)),
        years=tuple(range(int(years[0]), int(years[-1]) + 1)),
        unknown_but=(int(np.count_nonzero(alone[lost] >= windows.EMPTY)), int(np.count_nonzero(alone[lost] == windows.DOWN))),
        occasions=_occasions(hourly, known), returns=tuple(returns), refused=tuple(refused), whole_years=whole_years, peaks=peaks, highest=tuple(_highest(h)), wet=_on_wet(h, x, n),
        notes=_notes(h, x),
    )  # fmt: skip


def _notes(h: Hours, x: Takes) -> tuple[str, ...]:
    r, out = h.reports, list(h.reports.notes)
    known = ~np.isnan(h.gust)
    guessed = int(np.count_nonzero(known & ~h.reported))
    row = tables.row("gust-coding", "hidden")
    if guessed:
        out.append(
            say(
                "{guessed} of {known} hours have no reported gust: theirs is the mean wind and 10 kt, since less than that need not be reported ({source}).",
                guessed=guessed,
                known=int(known.sum()),
                source=row.cite(),
            )
        )
    out.append(
        say(
            "An hourly report looks back ten minutes: between two the wind may have been stronger, unless the peak wind of the hour is in it."
        )
    )
    if "thunder" not in r.tells:
        out.append(
            say(
                "The history says nothing of thunder, which empties it whatever the wind: the shares with people in are the most there can be."
            )
        )
    out.append(say("Snow on the roof is not in it."))
    if "water" not in r.tells:
        out.append(
            say(
                "The history says nothing of rain: the ground counts as {state}, always.",
                state=chosen(x.grounds.base.state, "state") if x.grounds.base.state else say("in the file"),
            )
        )
    if x.limits.by_bearing:
        out.append(say("The limit is that of the wind's direction, 30° to either side."))
    else:
        out.append(say("No heading in the file: the limit of the weakest side counts for every direction."))
    out.append(say("The wind is that of the station: a ridge, a gap or a street at the site can be windier."))
    out.append(say("What was says nothing sure of what will be; a forecast decides on the day."))
    return tuple(out)


def spread(c: Climate) -> tuple[float, float] | None:
    """Lowest and highest share with people in over the years with known windows; None with fewer than two."""
    found = [y["share_in"] for y in by_years(c) if y["windows"] and y["share_unknown"] < 0.5]
    return (min(found), max(found)) if len(found) > 1 else None


def by_years(c: Climate) -> list[dict[str, Any]]:
    """Shares of each year."""
    out = []
    for year, found in zip(c.years, c.by_year.sum(axis=1), strict=True):
        if found.sum():
            out.append({"year": year, "windows": int(found.sum()), **_shares(found)})
    return out


def _shares(found: Ints) -> dict[str, float]:
    return dict(zip(windows.SHARES, (float(v) for v in windows.shares(found)), strict=True))


def by_months(c: Climate) -> list[dict[str, Any]]:
    """Shares of each month and hour of the start, by the clock of the people."""
    return [
        {
            "month": m + 1,
            "hour": hour,
            "windows": int(c.by_hour[m, hour].sum()),
            **_shares(c.by_hour[m, hour]),
        }
        for m in range(12)
        for hour in range(24)
        if c.by_hour[m, hour].sum()
    ]
