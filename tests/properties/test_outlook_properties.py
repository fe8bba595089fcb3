"""Forecasts made at random: what holds for every one of them."""

import json
import random
from dataclasses import replace
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st
from outlook_kit import KT, LIMITS, SHARES, at, judged
from strategies import some

from anchorage import demo
from anchorage.core.checked import Check, What
from anchorage.core.errors import AnchorageError
from anchorage.deployment.models import Times
from anchorage.outlook import chance
from anchorage.outlook.clock import iso, utc
from anchorage.outlook.deadlines import deadlines
from anchorage.outlook.hours import ORDER, Forecast, Span, hours_of
from anchorage.outlook.judge import judge
from anchorage.outlook.limits import Limits
from anchorage.outlook.reader import read_bytes, read_text
from anchorage.outlook.rule import VERDICTS
from anchorage.outlook.snowfall import Roof, accumulate

NOW = at("2026-03-10T18")
H = 3600
DEMO = Path(demo.__file__).parent
SEEDS = [p.read_bytes() for p in sorted(DEMO.glob("demo-forecast-*"))] + [
    b"KZZZ    NBM V4.1 NBS GUIDANCE    3/10/2026  1700 UTC\nUTC  18 21 00 03\nFHR  01 04 07 10\nWDR  27 27 28 28\nGST  15 20-99 30\nGSD   2  3-99  5\n",
    b"time, gust (mph), direction (deg)\n2026-03-10T18:00:00Z, 10, 270\n2026-03-10T19:00:00Z, 12, 280\n",
    b"METAR KDAL 101753Z 15013G19KT 10SM RMK AO2 PK WND 28045/1736\n",
    json.dumps({"utc_offset_seconds": 0, "hourly_units": {"time": "iso8601", "wind_gusts_10m": "km/h"},
                "hourly": {"time": ["2026-03-10T18:00", "2026-03-10T19:00"], "wind_gusts_10m": [18, 72]}}).encode(),
    json.dumps({"properties": {"updateTime": "2026-03-10T17:00:00Z", "periods": [{"startTime": "2026-03-10T18:00:00Z", "endTime": "2026-03-10T19:00:00Z", "windSpeed": "5 mph", "windDirection": "NW"}]}}).encode(),
]  # fmt: skip


# random valid TAFs round trip


@st.composite
def winds(draw):
    mean = draw(st.integers(0, 120))
    gust = draw(st.one_of(st.none(), st.integers(mean, 160)))
    bearing = draw(st.one_of(st.just("VRB"), st.integers(0, 36).map(lambda d: f"{d * 10:03d}")))
    return f"{bearing}{mean:02d}{'' if gust is None else f'G{gust:02d}'}KT", mean, gust


def group(t: int) -> str:
    return utc(t).strftime("%d%H")


@st.composite
def tafs(draw):
    """A TAF and what it says: for each change, kind, start, end, gust in knots."""
    start = NOW + draw(st.integers(-200, 200)) * 24 * H
    length = draw(st.sampled_from([24, 30]))
    text, mean, gust = draw(winds())
    told = [("", 0, length, mean if gust is None else gust, gust is None)]
    end = (
        group(start + length * H)
        if utc(start + length * H).hour or draw(st.booleans())
        else group(start + (length - 1) * H)[:2] + "24"
    )
    out = [
        f"TAF {'AMD ' if draw(st.booleans()) else ''}ZZZZ {utc(start - 1200):%d%H%M}Z {group(start)}/{end} {text} 9999 SCT030"
    ]
    for hour in sorted(draw(st.sets(st.integers(1, length - 1), max_size=3))):
        text, mean, gust = draw(winds())
        out.append(f"FM{utc(start + hour * H):%d%H%M} {text} P6SM BKN020")
        told.append(("FM", hour, length, mean if gust is None else gust, gust is None))
    for _ in range(draw(st.integers(0, 2))):
        a = draw(st.integers(0, length - 1))
        b = draw(st.integers(a + 1, length))
        text, mean, gust = draw(winds())
        kind = draw(st.sampled_from(["TEMPO", "PROB30", "PROB40 TEMPO"]))
        out.append(f"{kind} {group(start + a * H)}/{group(start + b * H)} {text} +TSRA")
        told.append(("TEMPO", a, b, mean if gust is None else gust, gust is None))
    return (
        start,
        length,
        draw(st.sampled_from([" ", "\n  "])).join(out) + draw(st.sampled_from(["", "="])),
        told,
    )


def expected(length: int, told) -> list[float]:
    main = [x for x in told if x[0] != "TEMPO"]
    out = [0.0] * length
    for i, (_, a, _, knots, added) in enumerate(main):
        stop = main[i + 1][1] if i + 1 < len(main) else length
        for h in range(a, stop):
            out[h] = max(out[h], (knots + (10 if added else 0)) * KT)
    for kind, a, b, knots, added in told:
        if kind == "TEMPO":
            for h in range(a, b):
                out[h] = max(out[h], (knots + (10 if added else 0)) * KT)
    return out


@given(tafs())
def test_a_random_taf_gives_back_what_was_put_in(taf):
    start, length, text, told = taf
    found = read_text(text, start, "f")
    assert iso(found[0].issued) == iso(start - 1200)
    hours = hours_of(found, start, start)
    assert [h.winds[0].gust for h in hours] == pytest.approx(expected(length, told))
    assert all(h.complete for h in hours)
    thunder = {h for kind, a, b, _, _ in told if kind == "TEMPO" for h in range(a, b)}
    assert {i for i, h in enumerate(hours) if h.thunder} == thunder


# what is broken never crashes, never yields go, and is named


def _refusal(raw: bytes) -> str | None:
    """What is said against it, or nothing where it can be read; then it is judged too."""
    try:
        found = read_bytes(raw, NOW, "f")
    except AnchorageError as e:
        return str(e)
    judge(hours_of(found, NOW, NOW + 12 * H), LIMITS, SHARES, NOW)
    return None


def _named(refusal: str | None) -> bool:
    """Whether each line of a refusal names the file and a line or key, short and inert."""
    lines = [] if refusal is None else refusal.splitlines()
    told = all(x.startswith("f: ") and x.count(": ") > 1 and x.isprintable() for x in lines)
    return bool(lines) and told and len(refusal or "") < 1500


@given(
    st.one_of(
        st.binary(max_size=300), st.text(max_size=300).map(lambda t: t.encode("utf-8", "surrogatepass"))
    )
)
def test_random_bytes_are_refused_and_nothing_is_go(raw):
    assert _named(_refusal(raw))


@given(st.sampled_from(SEEDS), st.randoms(use_true_random=False), st.integers(1, 6))
@some(2.0)
def test_mutated_files_never_crash(seed, rng: random.Random, times):
    raw = bytearray(seed)
    for _ in range(times):
        i = rng.randrange(len(raw))
        what = rng.randrange(5)
        if what == 0:
            raw[i] = rng.randrange(256)
        elif what == 1:
            del raw[i : i + rng.randrange(1, 30)]
        elif what == 2:
            raw[i:i] = raw[rng.randrange(len(raw)) :][: rng.randrange(1, 30)]
        elif what == 3:
            raw[i : i + 1] = rng.choice(
                [b"null", b"-9999", b"9" * 40, b"{", b"]", b'"', b"\x00", b"\x1b[2J", b"KT", b"P99KT", b"/"]
            )
        else:
            del raw[i:]
        if not raw:
            break
    refusal = _refusal(bytes(raw))
    assert refusal is None or _named(refusal)


@given(st.sampled_from([s for s in SEEDS if s.startswith(b"{")]), st.floats(0, 1))
def test_a_json_file_that_breaks_off_is_refused(seed, share):
    whole = seed.rstrip()
    assert _named(_refusal(whole[: int(share * (len(whole) - 1))]))


CONTROL = [b"\x00", b"\x1b[2J", b"\xe2\x80\xae"]
TEXTS = [s for s in SEEDS if not s.startswith(b"{")]


@given(st.sampled_from(TEXTS), st.integers(0, 400), st.sampled_from(CONTROL))
def test_control_characters_never_come_out_again(seed, place, what):
    place %= len(seed)
    refusal = _refusal(seed[:place] + what + seed[place:])
    assert refusal is None or refusal.replace("\n", "").isprintable()


WINDS = [rb"20010KT", rb"24025G42KT", rb"29016G26KT"]


@given(st.sampled_from(WINDS), st.integers(0, 9), st.sampled_from("OIXlG/ K"))
def test_a_wind_group_with_a_slip_is_refused_by_its_group(group_, place, slip):
    text = (DEMO / "demo-forecast-storm.txt").read_bytes()
    wrong = bytearray(group_)
    wrong[min(place, len(wrong) - 3)] = ord(slip)  # within the figures
    if bytes(wrong) != group_:
        refusal = _refusal(text.replace(group_, bytes(wrong)))
        assert _named(refusal)
        assert "group" in (refusal or "")


# monotone, order, units


gusts = st.lists(st.one_of(st.none(), st.floats(0, 40)), min_size=1, max_size=30)
bearings = st.lists(st.integers(0, 359), min_size=30, max_size=30)
TURNED = Limits(gust=15.0, by=Check(What.SLIDE), roof_snow=300.0, half_built=10.0,
                by_bearing=tuple((22.5 * k, 15.0 + 7 * (k % 5)) for k in range(16)))  # fmt: skip


def made(values, directions=None, **more) -> Forecast:
    spans = tuple(
        Span(NOW + i * H, NOW + (i + 1) * H, v, None if directions is None else float(directions[i]))
        for i, v in enumerate(values)
    )
    return replace(Forecast("test", "test", NOW, gusts=spans, says=frozenset({"gust"})), **more)


def rank(j) -> tuple[int, int]:
    return ORDER.index(j.known), max(VERDICTS.index(v) for v in j.uses.values())


@given(gusts, bearings, st.integers(0, 29), st.floats(0, 30))
def test_raising_a_gust_never_improves_an_hour(values, directions, place, more):
    place %= len(values)
    if values[place] is None:
        return
    raised = [v if i != place or v is None else v + more for i, v in enumerate(values)]
    a, b = (judge(hours_of([made(v, directions)], NOW, NOW), TURNED, SHARES, NOW) for v in (values, raised))
    for x, y in zip(a, b, strict=True):
        assert ORDER.index(y.known) >= ORDER.index(x.known)
        for use in x.uses:
            assert VERDICTS.index(y.uses[use]) >= VERDICTS.index(x.uses[use])
    times = Times.model_validate({"notify": "5 min", "people_out": "10 min", "strike": "40 min"})
    for x, y in zip(deadlines(a, times, NOW), deadlines(b, times, NOW), strict=True):
        assert y.at is not None or x.at is None
        assert x.at is None or y.at <= x.at


@given(gusts, st.integers(0, 29))
def test_losing_a_gust_never_gives_go(values, place):
    place %= len(values)
    less = [None if i == place else v for i, v in enumerate(values)]
    found = judged(made(less))
    assert found[place].level == "unknown" or VERDICTS.index(found[place].uses["people-in"]) > 0
    assert "go" not in found[place].uses.values()


pieces = st.lists(
    st.tuples(st.integers(0, 20 * 60), st.integers(1, 600), st.one_of(st.none(), st.floats(0, 40))),
    min_size=1,
    max_size=15,
)


@given(pieces, st.randoms(use_true_random=False))
def test_overlapping_and_reordered_intervals_give_the_same_answer(parts, rng):
    spans = [Span(NOW + a * 60, NOW + (a + n) * 60, v) for a, n, v in parts]
    mixed = spans + [rng.choice(spans) for _ in range(3)]
    rng.shuffle(mixed)
    a, b = (judged(replace(made([]), gusts=tuple(s), water=tuple(s))) for s in (spans, mixed))
    assert a == b


@given(pieces)
def test_totals_that_do_not_overlap_add_up_to_what_was_forecast(parts):
    at_, spans = NOW, []
    for gap, n, v in parts:
        at_ += gap * 6
        spans.append(Span(at_, at_ + n * 60, v or 0.0))
        at_ += n * 60
    hours = hours_of([replace(made([]), water=tuple(spans))], NOW, NOW)
    assert sum(h.water for h in hours) == pytest.approx(sum(s.value for s in spans))


@given(
    st.lists(st.floats(0, 20), min_size=1, max_size=40), st.integers(0, 39), st.floats(0, 20), st.booleans()
)
def test_more_snow_never_weighs_less(amounts, place, more, stays):
    place %= len(amounts)

    def loads(values):
        spans = tuple(Span(NOW + i * H, NOW + (i + 1) * H, v) for i, v in enumerate(values))
        return [
            x.pascal
            for x in accumulate(hours_of([replace(made([]), water=spans)], NOW, NOW), Roof(stays=stays))
        ]

    a = loads(amounts)
    b = loads([v + (more if i == place else 0.0) for i, v in enumerate(amounts)])
    assert all(y >= x - 1e-9 for x, y in zip(a, b, strict=True))
    assert a == sorted(a)


@given(st.floats(1, 60), st.floats(0, 60), st.floats(0.1, 15), st.floats(0, 20))
def test_chance_grows_with_the_gust_and_falls_with_the_limit(limit, gust, spread, more):
    p = chance.over(limit, gust, spread)
    assert 0.0 <= p <= 1.0
    assert chance.over(limit, gust + more, spread) >= p - 1e-12
    assert chance.over(limit + more, gust, spread) <= p + 1e-12


@given(st.lists(st.floats(0, 1), min_size=1, max_size=20))
def test_the_chance_of_a_window_is_a_range(ps):
    low, high = chance.window(ps)
    assert max(ps) == low <= high <= min(1.0, sum(ps) + 1e-9) or high == low
