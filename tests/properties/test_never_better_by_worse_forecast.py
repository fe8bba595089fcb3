"""A forecast that says more danger is never judged milder, nor acted upon later: hours in a row, and a block of a grid.

One statement is added to a random forecast, or made worse, the way that ``tables/worse.toml`` says. No verdict of any use
moves toward go in any hour, and no deadline moves back. An hour that is left out is never go, and makes no other hour milder.
"""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Callable
from dataclasses import replace
from random import Random

import numpy as np

from anchorage.core.words import USES
from anchorage.deployment.models import Times
from anchorage.outlook import rule
from anchorage.outlook.deadlines import deadlines
from anchorage.outlook.hours import Doubt, Forecast, Hazard, Span, hours_of
from anchorage.outlook.judge import Judged, judge
from anchorage.outlook.limits import Limits
from anchorage.outlook.snowfall import Roof
from tests.outlook_kit import LIMITS, SHARES, at
from tests.worse_kit import ROWS

NOW, HOURS, H = at("2026-03-10T18"), 14, 3600
TIMES = Times(notify="5 min", people_out="10 min", strike="40 min", secure="10 min", margin="15 min")
RANK = {"go": 0, "unknown": 1, "no-go": 2}
CASES = 160


def _hour(i: int, value: float | None, **more: object) -> Span:
    return Span(NOW + i * H, NOW + (i + 1) * H, value, **more)  # type: ignore[arg-type]


def forecast(r: Random) -> Forecast:
    """Gusts, and whatever else a source may say."""
    calm = r.choice((6.0, 11.0, 14.0))
    gusts = [
        _hour(i, round(r.uniform(0.2, 1.4) * calm, 2), bearing=r.choice((None, r.uniform(0, 360))))
        for i in range(HOURS)
    ]
    quiet = tuple(_hour(i, 0.0) for i in range(HOURS))
    cold = r.choice((-6.0, 1.0, 12.0))
    return Forecast(
        "test", "test", NOW, gusts=tuple(gusts), told=quiet, says=frozenset({"gust", "snow", "thunder"}),
        water=tuple(_hour(i, r.choice((0.0, 0.0, 0.0, 0.4, 2.0))) for i in range(HOURS)),
        temperature=tuple(_hour(i, cold + r.uniform(-2, 2)) for i in range(HOURS)) if r.random() < 0.7 else (),
        snow=tuple(_hour(i, r.choice((0.0, 0.01))) for i in range(HOURS)) if r.random() < 0.3 and cold < 0 else (),
    )  # fmt: skip


def limits(r: Random) -> Limits:
    by_bearing = tuple((22.5 * k, r.uniform(14, 30)) for k in range(16)) if r.random() < 0.4 else ()
    return replace(
        LIMITS, gust=min([r.uniform(10, 25), *(g for _, g in by_bearing)]), by_bearing=by_bearing, half_built=r.choice((None, r.uniform(5, 15))),
        roof_snow=r.choice((None, 60.0, 500.0)), snow_unrated=r.random() < 0.2,
        roof=Roof(r.choice((0.0, 0.0, 40.0)), r.choice((0.0, 0.02)), r.choice((0.0, 0.0, 1e-7)), stays=r.random() < 0.5),
        roof_depth=r.choice((None, 0.03)),
    )  # fmt: skip


def _at(spans: tuple[Span, ...], r: Random, change: Callable[[float], float]) -> tuple[Span, ...]:
    """One of them changed."""
    if not spans:
        return ()
    i = r.randrange(len(spans))
    value = spans[i].value
    return (*spans[:i], spans[i]._replace(value=None if value is None else change(value)), *spans[i + 1 :])


def _some(r: Random) -> tuple[int, int]:
    i = r.randrange(HOURS)
    return NOW + i * H, NOW + r.randint(i + 1, HOURS) * H


def _more(f: Forecast, r: Random, key: str) -> Forecast:
    """A statement more, or a larger one."""
    start, end = _some(r)
    match key:
        case "gusts":
            return replace(f, gusts=_at(f.gusts, r, lambda v: v + r.uniform(0.1, 15)))
        case "means" | "floors":
            return replace(f, **{key: (*getattr(f, key), Span(start, end, r.uniform(1, 25)))})
        case "water":
            return replace(f, water=_at(f.water, r, lambda v: v + r.uniform(0.1, 8)))
        case "rain" | "ice":
            return replace(f, **{key: (*getattr(f, key), Span(start, end, r.uniform(0.1, 8)))})
        case "snow":
            return replace(f, snow=(*f.snow, Span(start, end, r.uniform(0.001, 0.1))))
        case "thunder" | "unmeasured" | "wet":
            return replace(f, **{key: (*getattr(f, key), Span(start, end, 1.0, text=key))})
        case "spreads":
            return replace(f, spreads=(Span(start, end, r.uniform(0.5, 4)),))
        case "hazards":
            level = r.choice(("secure", "people-out", "keep-away"))
            return replace(f, hazards=(*f.hazards, Hazard(start, end, level, "a warning")))
        case "doubts":
            kind = r.choice(("statement", "danger", "lost"))
            return replace(f, doubts=(*f.doubts, Doubt(start, end, kind, "words", stays=r.random() < 0.3)))
    raise AssertionError(key)


def worse(f: Forecast, r: Random, key: str) -> Forecast:
    """A forecast with one statement of it gone the worse way."""
    if key == "bearings":
        return replace(f, gusts=tuple(g._replace(bearing=None) for g in f.gusts))
    if key == "ends":
        return replace(f, ends=NOW + r.randint(1, HOURS) * H)
    if key == "told":
        i = r.randrange(HOURS)
        return replace(f, told=(*f.told[:i], f.told[i]._replace(value=None), *f.told[i + 1 :]))
    return _more(f, r, key)


def judged(f: Forecast, lim: Limits) -> list[Judged]:
    return judge(hours_of([f], NOW, NOW + HOURS * H), lim, SHARES, NOW)


def latest(found: list[Judged]) -> list[float]:
    """The three deadlines (s); never is infinite."""
    return [math.inf if d.exact is None else d.exact for d in deadlines(found, TIMES, NOW)]


SAID = [
    w.key.removeprefix("forecast ") for w in ROWS
    if w.of == "statement" and w.worse != "none" and w.key not in ("forecast missing hours", "forecast temperature")
]  # fmt: skip


def milder(a: list[Judged], b: list[Judged], *, but: int | None = None) -> list[str]:
    """Where ``b`` is nearer to go than ``a``, hour by hour; ``but`` is an hour that is not compared."""
    out = []
    after = {j.hour.start: j for j in b}
    for j in a:
        k = after.get(j.hour.start)
        if k is None or j.hour.start == but:
            continue
        out += [
            f"{(j.hour.start - NOW) // H} h, {u}: {v} -> {k.uses[u]}"
            for u, v in j.uses.items()
            if RANK[k.uses[u]] < RANK[v]
        ]
    out += [
        f"deadline {i}: {x} -> {y}"
        for i, (x, y) in enumerate(zip(latest(a), latest(b), strict=True))
        if y > x
    ]
    return out


def test_a_statement_of_danger_more_is_never_milder_nor_later():
    found: dict[str, list[object]] = {}
    tries: Counter[str] = Counter()
    for seed in range(CASES):
        r = Random(seed)  # noqa: S311 - repeatable, and no secret
        f, lim = forecast(r), limits(r)
        a = judged(f, lim)
        for key in r.sample(SAID, 3):
            g = worse(f, r, key)
            tries[key] += 1
            if what := milder(a, judged(g, lim)):
                found.setdefault(key, []).append((seed, what[:3]))
    assert not found, {k: (len(v), v[:2]) for k, v in found.items()}
    assert min(tries[k] for k in SAID) >= 15, tries


def test_an_hour_that_is_left_out_is_never_go_and_makes_no_other_milder():
    for seed in range(CASES):
        r = Random(seed)  # noqa: S311
        f, lim = forecast(r), limits(r)
        i = r.randrange(HOURS)
        for value in (
            (*f.gusts[:i], *f.gusts[i + 1 :]),
            (*f.gusts[:i], f.gusts[i]._replace(value=None), *f.gusts[i + 1 :]),
        ):
            # what an hour of danger says of the others is lost with it, so only hours that stand in nobody's way are left out
            before = judged(f, lim)
            after = judged(replace(f, gusts=value), lim)
            gone = NOW + i * H
            here = next(j for j in after if j.hour.start == gone)
            assert all(
                v != "go" for u, v in here.uses.items() if u != "empty" or before[i].uses[u] != "go"
            ), (seed, here.uses)
            if "no-go" not in before[i].uses.values():
                assert not milder(before, after, but=gone), (seed, i)


def test_the_rule_on_arrays_is_never_milder_for_more():
    """What the region and the outlook share, over every rank of cause and gap."""
    r = np.random.default_rng(5)
    gust, limit = r.uniform(0, 30, 4000), 20.0
    more = gust + r.uniform(0, 10, 4000)
    gap, thunder = r.random(4000) < 0.2, r.random(4000) < 0.2
    for half in (None, 9.0):
        for use in USES:

            def verdict(v, gap, thunder, use=use, half=half):
                share = rule.share_of(v, limit)
                known = rule.known_of([rule.rank_of(share, SHARES), rule.flag_rank(thunder)])
                level = rule.level_of(known, gap)
                return rule.verdict_of(
                    use, level, known=known, share=share, gust=v, complete=~gap, thunder=thunder, half_built=half,
                )  # fmt: skip

            base = verdict(gust, gap, thunder)
            assert (verdict(more, gap, thunder) >= base).all()
            assert (verdict(gust, gap, np.ones_like(thunder)) >= base).all()
            assert (verdict(gust, np.ones_like(gap), thunder) != rule.GO)[
                ~gap | (base != rule.GO)
            ].all() or use == "empty"
