"""The model: what a reader found in a forecast, and the same hour by hour, the worse wherever there is a choice."""

from __future__ import annotations

import itertools
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from typing import Literal, NamedTuple

from anchorage.core import tables
from anchorage.core.out import Level
from anchorage.core.say import later, mark, say
from anchorage.core.units import show
from anchorage.holding.ground import snow_dry_at
from anchorage.outlook.clock import HOUR

FIRM, LIGHT = 1.0, 0.5
"""Snow without an amount: some for certain; so little or so unsure that an amount of nothing beside it is no contradiction."""
MOST_HOURS = 24 * 20
TURNED_UP = mark("{said}, turned up to a gust")
"""What is said of a gust that was a mean wind."""
NO_G = mark("{said}, +10 kt for what no G may hide")
"""What is said of a coded wind to which a gust was added."""
ORDER: tuple[Level, ...] = ("normal", "secure", "people-out", "keep-away")


class Span(NamedTuple):
    """A value from ``start`` up to ``end``; None where the forecast says that it is missing."""

    start: int
    end: int
    value: float | None
    bearing: float | None = None
    """Direction the wind comes from, degrees true; None = from anywhere."""
    text: str = ""


class Hazard(NamedTuple):
    """A level that a warning or a code stands for, whatever the gust."""

    start: int
    end: int
    level: Level
    text: str


class Doubt(NamedTuple):
    """Something that makes its hours unknown."""

    start: int
    end: int
    kind: Literal["statement", "danger", "lost"]
    """A statement that is not understood; a danger without a number; a value that should be there."""
    text: str
    stays: bool = False
    """What fell stays on the roof, and so does not knowing how much."""


class Remark(NamedTuple):
    """A piece of the text, where it stands, and what became of it."""

    text: str
    at: str
    why: str


class Remarks(NamedTuple):
    """The three heaps. Nothing of a text is in none of them."""

    used: tuple[Remark, ...] = ()
    harmless: tuple[Remark, ...] = ()
    not_understood: tuple[Remark, ...] = ()

    def pieces(self) -> Iterator[Remark]:
        """All of them."""
        yield from (*self.used, *self.harmless, *self.not_understood)


@dataclass(frozen=True)
class Forecast:
    """What a reader found. Speeds m/s, amounts mm of water or m of depth, temperatures °C, times in seconds UTC."""

    format: str
    name: str
    issued: int | None
    ends: int | None = None
    """End of validity, where it has one."""
    gusts: tuple[Span, ...] = ()
    """3 s gusts at 10 m."""
    means: tuple[Span, ...] = ()
    """Mean winds: they raise a level and never give go."""
    floors: tuple[Span, ...] = ()
    """Gusts to be reckoned with at the least: warnings, upper figures turned up."""
    bearings: tuple[Span, ...] = ()
    """Directions, where they come apart from the gusts."""
    spreads: tuple[Span, ...] = ()
    """Standard deviation of the gust."""
    water: tuple[Span, ...] = ()
    """mm of water over the span, rain or snow by temperature."""
    rain: tuple[Span, ...] = ()
    """mm of rain over the span, rain for certain."""
    snow: tuple[Span, ...] = ()
    """m of new snow over the span; ``text`` is its kind where that was said."""
    ice: tuple[Span, ...] = ()
    """mm of ice over the span."""
    temperature: tuple[Span, ...] = ()
    thunder: tuple[Span, ...] = ()
    hazards: tuple[Hazard, ...] = ()
    unmeasured: tuple[Span, ...] = ()
    """Snow or ice without an amount: ``FIRM`` or ``LIGHT``."""
    wet: tuple[Span, ...] = ()
    """Rain, snow or ice that was said without an amount."""
    doubts: tuple[Doubt, ...] = ()
    told: tuple[Span, ...] = ()
    """Where it speaks of thunder, there or not; None where it should and does not."""
    says: frozenset[str] = frozenset()
    """What this kind of source speaks of: gust, mean (a gust below it is none), snow, thunder. What it never says is a condition, what it lost is unknown."""
    no_gust: str = later("this forecast has no gust")
    """Why gusts are missing where they are."""
    notes: tuple[str, ...] = ()
    standing: tuple[str, ...] = field(default=(), repr=False)
    """Cautions that go with the format."""
    remarks: Remarks = field(default=Remarks(), repr=False)
    """What was used, what is harmless, what was not understood."""


class Wind(NamedTuple):
    """One gust to be judged."""

    gust: float
    bearing: float | None
    text: str
    forecast: bool
    """False where it is only what must at least be reckoned with."""


@dataclass(frozen=True)
class Hour:
    """One clock hour (the first from now on)."""

    start: int
    end: int
    winds: tuple[Wind, ...] = ()
    complete: bool = False
    """The gust is known for the whole of it, from a forecast that is fresh."""
    missing: str = ""
    """Why it is not complete."""
    spread: float | None = None
    water: float = 0.0
    rain: float = 0.0
    snow: float = 0.0
    snow_kind: str = ""
    ice: float = 0.0
    temperature: float | None = None
    """Lowest in the hour."""
    warmest: float | None = None
    """Highest temperature that is said of any part of the hour: the least that it reaches."""
    warm_said: bool = False
    """The temperature is that of the hour and not the lowest of a longer time."""
    thunder: str = ""
    hazard: Hazard | None = None
    unmeasured: str = ""
    """Snow is expected and nobody says how much."""
    doubts: tuple[Doubt, ...] = ()
    told: frozenset[str] = frozenset()
    owed: frozenset[str] = frozenset()
    """What a source that reaches this hour should say of it and does not."""
    wet: frozenset[str] = frozenset()
    """Rain, snow or ice that is said, with an amount or without."""
    measured: bool = False
    """Somebody says how much falls in the whole of it."""
    outlook_only: bool = False
    sources: tuple[str, ...] = ()


def worse_of(a: Hazard | None, b: Hazard | None) -> Hazard | None:
    """The hazard of the higher level; between equals by time and words, so that order never counts."""
    both = [h for h in (a, b) if h is not None]
    return max(both, key=lambda h: (ORDER.index(h.level), -h.start, h.text), default=None)


def gust_of_mean_factor() -> float:
    """3 s gust over a 10 min mean: the larger of the two published conversions in use."""
    from anchorage.loads.wind import gust_factor  # noqa: PLC0415 - only where a forecast has no gust

    return gust_factor("10 min", "larger", [])


def age_limits() -> tuple[int, int]:
    """Ages (s) from which a forecast is warned about, and gives no go any more."""
    return int(tables.row("deadline", "forecast-stale").value), int(
        tables.row("forecast-age", "unknown").value
    )


def stale(f: Forecast, now: int) -> str:
    """Why a forecast gives no go any more, or nothing."""
    _, oldest = age_limits()
    if f.issued is None:
        return say("nobody says when this forecast was made")
    if f.issued > now + int(tables.row("forecast-age", "ahead").value):
        return say("the forecast is from the future: check the clock and the date")
    if now - f.issued > oldest:
        return say("the forecast is {now} h old", now=f"{(now - f.issued) / HOUR:.0f}")
    if f.ends is not None and now >= f.ends:
        return say("the forecast has run out")
    return ""


_Buckets = list[list[Span]]


def _bucket(spans: Iterable[Span], t0: int, n: int, now: int) -> _Buckets:
    out: _Buckets = [[] for _ in range(n)]
    for s in sorted(
        set(spans), key=lambda s: (s.start, s.end, s.value is None, s.value or 0.0, s.bearing or -1.0, s.text)
    ):
        if s.end <= now or s.end <= s.start:
            continue
        for i in range(max((s.start - t0) // HOUR, 0), min(-((t0 - s.end) // HOUR), n)):
            out[i].append(s)
    return out


def _covered(spans: Sequence[Span], lo: int, hi: int) -> bool:
    """Whole and without a hole or a value that is missing. The spans are in order of their start."""
    reach = lo
    for s in spans:
        if s.value is None:
            return False
        if s.start > reach:
            return False
        reach = max(reach, s.end)
    return reach >= hi


def _total(spans: Sequence[Span], lo: int, hi: int) -> float:
    """Share of totals that falls between two times; where spans overlap, the larger at each moment."""
    if len(spans) == 1:
        s = spans[0]
        return (s.value or 0.0) * (min(s.end, hi) - max(s.start, lo)) / (s.end - s.start)
    cuts = sorted({lo, hi, *(min(max(t, lo), hi) for s in spans for t in (s.start, s.end))})
    return sum(
        (b - a) * max((s.value or 0.0) / (s.end - s.start) for s in inside)
        for a, b in itertools.pairwise(cuts)
        if (inside := [s for s in spans if s.start <= a and s.end >= b])
    )


def _winds(f: Forecast, gusts: list[Span], means: list[Span], floors: list[Span], bearings: list[Span],
           lo: int, hi: int, *, complete: bool, factor: float) -> tuple[Wind, ...]:  # fmt: skip
    """Every gust of an hour with every direction that it may have."""
    layer: list[float | None] = [None]
    if bearings:
        layer = [*sorted({s.bearing for s in bearings if s.bearing is not None})] or [None]
        if not _covered([s._replace(value=s.bearing) for s in bearings], lo, hi):
            layer = [None]
    found = {(s.value, s.bearing, s.text, True) for s in gusts if s.value is not None}
    found |= {(s.value, s.bearing, s.text, False) for s in floors if s.value is not None}
    times = 1.0 if complete else factor
    found |= {(s.value * times, s.bearing, s.text, complete) for s in means if s.value is not None}
    return tuple(sorted(
        (Wind(g, b, t, ok) for g, own, t, ok in found for b in ([own] if own is not None or not f.bearings else layer)),
        key=lambda w: (-w.gust, w.bearing is not None, w.bearing or 0.0, w.text, w.forecast),
    ))  # fmt: skip


def _below_its_mean(gusts: list[Span], means: list[Span]) -> str:
    """Why the gusts of an hour do not count: the strongest of them is less than the wind that it is a gust of."""
    g = max((s.value for s in gusts if s.value is not None), default=None)
    m = max((s.value for s in means if s.value is not None), default=None)
    if g is None or m is None or g >= m - 1e-6:
        return ""
    return say("the gust is below the mean wind, so it is not a gust")


TYPED = ("CSV", "spoken", "public text")
"""Formats that people write: a point slips there as it does nowhere else."""


def slips(f: Forecast) -> list[Doubt]:
    """Gusts whose point may have slipped: all of them less than the highest of any day, or one far less than both beside it."""
    if f.format not in TYPED:
        return []
    known = sorted((s.start, s.end, s.value) for s in f.gusts if s.value is not None)
    least = tables.row("least-wind", "forecast").value
    if known and max(v for _, _, v in known) < least:
        text = say(
            "every gust of it is under {least}: the point or the unit may be wrong",
            least=show("speed", least, "si"),
        )
        return [Doubt(min(a for a, _, _ in known), max(b for _, b, _ in known), "lost", text)]
    times, out = tables.row("slip-of-the-point", "dip").value, list[Doubt]()
    for (_, end, before), (a, b, gust), (start, _, after) in zip(known, known[1:], known[2:], strict=False):
        beside = min(before, after)
        if end <= a and b <= start and gust * times < beside and beside >= least * 2.0:
            text = say(
                "a gust of {gust} between {before} and {after}: the point may have slipped",
                gust=show("speed", gust, "si"),
                before=show("speed", before, "si"),
                after=show("speed", after, "si"),
            )
            out.append(Doubt(a, b, "lost", text))
    return out


HOURLY = ("CSV", "NWS gridpoint", "NWS hourly", "METAR", "open hourly")
"""Formats whose temperature is that of its hour; of all others it may be the lowest of a night."""


def _wet(
    said: list[Span], amounts: Mapping[str, float], temperatures: list[float], *, hourly: bool
) -> frozenset[str]:
    """What lies on the ground after an hour of it. Water that falls in frost is snow, and wets too unless it is so cold that it stays dry."""
    out = {s.text or "rain" for s in said}
    cold = bool(temperatures) and min(temperatures) <= 0.0
    dry = hourly and bool(temperatures) and max(temperatures) <= snow_dry_at()
    water = ("rain", "ice") if dry else ("water", "rain", "snow", "ice")
    out |= {"rain"} if any(amounts[k] > 0.0 for k in water) else set()
    out |= (
        {"snow"}
        if amounts["snow"] > 0.0 or amounts["ice"] > 0.0 or (amounts["water"] > 0.0 and cold)
        else set()
    )
    return frozenset(out)


def _one(f: Forecast, t0: int, n: int, now: int, factor: float) -> list[Hour]:
    old = stale(f, now)
    cut = {k: _bucket(getattr(f, k), t0, n, now) for k in (
        "gusts", "means", "floors", "bearings", "spreads", "water", "rain", "snow", "ice", "temperature", "thunder", "unmeasured", "wet",
        "told",
    )}  # fmt: skip
    doubts: list[list[Doubt]] = [[] for _ in range(n)]
    for d in sorted({*f.doubts, *slips(f)}):
        if d.end > now:
            for i in range(max((d.start - t0) // HOUR, 0), min(-((t0 - d.end) // HOUR), n)):
                doubts[i].append(d)
    hazards: list[Hazard | None] = [None] * n
    for h in f.hazards:
        if h.end > now:
            for i in range(max((h.start - t0) // HOUR, 0), min(-((t0 - h.end) // HOUR), n)):
                hazards[i] = worse_of(hazards[i], h)
    far = now + int(tables.row("deadline", "low-confidence").value)
    out = []
    for i in range(n):
        lo, hi = max(t0 + i * HOUR, now), t0 + (i + 1) * HOUR
        b = {k: v[i] for k, v in cut.items()}
        below = _below_its_mean(b["gusts"], b["means"])
        complete = _covered(b["gusts"], lo, hi) and not below
        spans = [s for k, v in b.items() if k != "told" for s in v]
        measured = _covered(b["water"], lo, hi) if f.water else bool(f.snow) and _covered(b["snow"], lo, hi)
        amounts = {k: _total([s for s in b[k] if s.value is not None], lo, hi) if b[k] else 0.0
                   for k in ("water", "rain", "snow", "ice")}  # fmt: skip
        falls = any(v > 0.0 for v in amounts.values())
        open_ = [s for s in b["unmeasured"] if not (measured and (falls or s.value == LIGHT))]
        unmeasured = next((s.text or say("snow without an amount") for s in open_), "")
        mine = list(doubts[i])
        mine += [
            Doubt(lo, hi, "lost", say("{kind} is missing from the forecast", kind=kind), stays=True)
            for kind in ("water", "snow", "rain", "ice")
            if any(s.value is None for s in b[kind])
        ]
        told = {"thunder"} if f.told and _covered(b["told"], lo, hi) else set()
        told |= {"snow"} if measured else set()
        told |= {"mean"} if b["means"] and _covered(b["means"], lo, hi) else set()
        reaches = bool(b["gusts"] or b["means"])
        owed = (f.says & {"thunder", "snow", "mean"}) - told if reaches else frozenset[str]()
        temperatures = [s.value for s in b["temperature"] if s.value is not None]
        spreads = [s.value for s in b["spreads"] if s.value is not None]
        kinds = sorted({s.text for s in b["snow"] if s.value})
        out.append(Hour(
            t0 + i * HOUR, hi,
            _winds(f, b["gusts"], b["means"], b["floors"], b["bearings"], lo, hi, complete=complete, factor=factor),
            complete and not old, "" if complete and not old else old or below or (f.no_gust if spans else say("no forecast reaches this hour")),
            max(spreads, default=None), **amounts, snow_kind=kinds[0] if kinds else "",
            temperature=min(temperatures, default=None), warmest=max(temperatures, default=None), warm_said=bool(temperatures) and f.format in HOURLY, thunder=min((s.text or "thunder" for s in b["thunder"] if s.value), default=""),
            hazard=hazards[i], unmeasured=unmeasured, measured=measured, outlook_only=hi > far, sources=(f.format,) if spans or hazards[i] else (),
            doubts=tuple(mine), told=frozenset(told), owed=frozenset(owed), wet=_wet(b["wet"], amounts, temperatures, hourly=f.format in HOURLY),
        ))  # fmt: skip
    return out


def _least(a: float | None, b: float | None) -> float | None:
    both = [x for x in (a, b) if x is not None]
    return min(both, default=None)


def _most(a: float | None, b: float | None) -> float | None:
    both = [x for x in (a, b) if x is not None]
    return max(both, default=None)


def _both(a: Hour, b: Hour) -> Hour:
    """The worse of two accounts of an hour; what one of them leaves open the other may fill."""
    winds = tuple(
        sorted(
            {*a.winds, *b.winds},
            key=lambda w: (-w.gust, w.bearing is not None, w.bearing or 0.0, w.text, w.forecast),
        )
    )
    complete, measured = a.complete or b.complete, a.measured or b.measured
    told, falls = (
        a.told | b.told,
        any(getattr(h, k) > 0.0 for h in (a, b) for k in ("water", "rain", "snow", "ice")),
    )
    return replace(
        a, winds=winds, complete=complete, missing="" if complete else min(x for x in (a.missing, b.missing) if x),
        spread=_most(a.spread, b.spread), water=max(a.water, b.water), rain=max(a.rain, b.rain), snow=max(a.snow, b.snow),
        snow_kind=min(a.snow_kind, b.snow_kind), ice=max(a.ice, b.ice), temperature=_least(a.temperature, b.temperature), warmest=_most(a.warmest, b.warmest), warm_said=a.warm_said or b.warm_said,
        thunder=min((t for t in (a.thunder, b.thunder) if t), default=""), hazard=worse_of(a.hazard, b.hazard),
        measured=measured, unmeasured="" if measured and falls else min((t for t in (a.unmeasured, b.unmeasured) if t), default=""),
        doubts=tuple(sorted({*a.doubts, *b.doubts})), told=told, owed=(a.owed | b.owed) - told, wet=a.wet | b.wet,
        sources=tuple(sorted({*a.sources, *b.sources})),
    )  # fmt: skip


def _reach(f: Forecast) -> int:
    spans = (*f.gusts, *f.means, *f.floors, *f.water, *f.rain, *f.snow, *f.ice, *f.thunder, *f.unmeasured)
    return max([*(s.end for s in spans), *(h.end for h in f.hazards)], default=0)


def hours_of(forecasts: Sequence[Forecast], now: int, until: int) -> list[Hour]:
    """Hour by hour from now to ``until`` or to the end of the last forecast, whichever is later."""
    t0 = now // HOUR * HOUR
    last = max([until, *map(_reach, forecasts)])
    n = min(max(-((t0 - last) // HOUR), 1), MOST_HOURS)
    factor = gust_of_mean_factor() if any(f.means for f in forecasts) else 1.0
    out = [
        Hour(t0 + i * HOUR, t0 + (i + 1) * HOUR, missing=say("no forecast reaches this hour"))
        for i in range(n)
    ]
    for k, f in enumerate(forecasts):
        each = _one(f, t0, n, now, factor)
        out = each if k == 0 else [_both(a, b) for a, b in zip(out, each, strict=True)]
    return out
