"""From a plan and forecasts to an Outlook: the one place where everything comes together. The time is an argument."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace
from datetime import UTC, tzinfo

from anchorage.core import tables
from anchorage.core.errors import AnchorageError
from anchorage.core.out import RecordOut
from anchorage.core.say import Later, capital, say
from anchorage.core.told import Told, Words, once, put, tell, together
from anchorage.core.units import System
from anchorage.core.units import show as show_unit
from anchorage.core.words import spoken
from anchorage.deployment.models import Deployment, Times
from anchorage.deployment.policy import GO_IN, ORDER, OperatingPolicy, decimals, policy_of, words_of
from anchorage.deployment.policy import against as gust_against
from anchorage.judging.result import Plan, Verdict, not_up
from anchorage.judging.verdict import (
    GOING_UP,
    RECORD_LEVEL,
    UNRATED,
    coming_down,
    going_up,
    nobody_yet,
    set_up_words,
    taking_down_words,
    unrated,
)
from anchorage.outlook import chance
from anchorage.outlook.clock import HOUR, iso, read_iso, read_said, show
from anchorage.outlook.deadlines import Deadline, deadlines, stay, while_coming_down, windows
from anchorage.outlook.hours import NO_G, TURNED_UP, Forecast, Remark, Span, age_limits, hours_of, stale
from anchorage.outlook.judge import Judged, all_clear, judge, thunder_wait, worst
from anchorage.outlook.limits import Limits, limits_of, subject_of
from anchorage.outlook.notes import Note
from anchorage.outlook.remarks import WORDS
from anchorage.outlook.result import (
    ChanceOut,
    DeadlinesOut,
    HourOut,
    Outlook,
    ReasonOut,
    RemarkOut,
    RemarksOut,
    SourceOut,
)
from anchorage.outlook.snowfall import rain_from, rained
from anchorage.outlook.untrusted import seen
from anchorage.outlook.weathered import limits_by_hour

MOST_SHOWN = 8
"""Pieces that were not understood, word for word on the page; the JSON has them all."""
NOT_SAID = {
    "thunder": (Note.LISTEN_FOR_THUNDER, Note.LISTEN_FOR_MORE_THUNDER),
    "snow": (Note.LOOK_FOR_SNOW, Note.LOOK_FOR_MORE_SNOW),
}
"""What a kind of source does not speak of as a rule, the verdict depends on; where it does so all the same, it may not be all."""


def remarks_out(forecasts: Sequence[Forecast]) -> RemarksOut:
    """What was used, harmless and not understood, of all forecasts, each piece with its file."""
    many = len(forecasts) > 1

    def heap(k: int) -> list[RemarkOut]:
        return [
            RemarkOut(text=seen(r.text, 200)[1:-1], at=f"{f.name}: {r.at}" if many else r.at, why=r.why)
            for f in forecasts
            for r in f.remarks[k]
        ]

    return RemarksOut(used=heap(0), harmless=heap(1), not_understood=heap(2))


class OutlookError(AnchorageError):
    """An outlook that cannot be made, and what would make it possible."""


def _number(v: float | None) -> float | None:
    return v if v is not None and math.isfinite(v) else None


def hour_out(j: Judged, use: str) -> HourOut:
    """One judged hour for the result."""
    w = j.wind
    kind = "missing" if w is None else "forecast" if j.hour.complete else "at least"
    return HourOut(
        start=iso(j.hour.start) or "", end=iso(j.hour.end) or "", gust_m_s=None if w is None else w.gust, gust_is=kind,
        gust_text="" if w is None else str(w.text), wind_from=None if w is None else w.bearing, limit_m_s=_number(j.limit), share=_number(j.share),
        snow_load_pa=j.load.pascal, snow_share=_number(j.snow_share), temperature_c=j.hour.temperature, thunder=bool(j.hour.thunder),
        level=j.level, known_level=j.known, verdict=j.uses[use], subjects={subject_of(k): v for k, v in j.uses.items()},
        state=j.ground.state, limit_gust_m_s=_number(j.ground.gust),
        governed_by=j.governed_by, because=j.why, wind_shift=j.shift, outlook_only=j.hour.outlook_only, chance=j.chance,
    )  # fmt: skip


def source_out(f: Forecast, now: int) -> SourceOut:
    """Where a forecast is from."""
    age = None if f.issued is None else (now - f.issued) / HOUR
    return SourceOut(
        format=f.format, name=f.name, issued=iso(f.issued), age_h=age, stale=_or_none(stale(f, now))
    )


def _moment(text: str | None, zone: tzinfo | None, near: int, key: str, *, late: bool = False) -> int | None:
    return None if text is None else read_said(text, zone, near, "times", key, late=late)


def stay_of(t: Times, zone: tzinfo | None, now: int) -> tuple[int, int, bool, int | None]:
    """Start, end, whether the end was given, and the length of the stay where both are."""
    start = _moment(t.start, zone, now - 12 * HOUR, "times.start")
    end = _moment(t.end, zone, start if start is not None else now, "times.end", late=True)
    if start is not None and end is not None and end <= start:
        raise OutlookError(say("times.end: the stay ends before it starts; give both with their dates"))
    a, b, given = stay(start, end, now)
    return a, b, given, None if start is None or end is None else end - start


def _verdict(inside: Sequence[Judged], use: str) -> Verdict:
    return worst(*(j.uses[use] for j in inside)) if inside else "unknown"


def _reasons(
    inside: Sequence[Judged],
    use: str,
    limits: Limits,
    policy: OperatingPolicy,
    zone: tzinfo,
    system: System,
    digits: int | None,
) -> list[ReasonOut]:
    asks = limits.set_up_asks if use == "set-up" else ()
    out = [ReasonOut(code=b.code, told=b.told) for b in (*limits.blocks, *asks)]
    seen = set()
    for j in inside:
        if (
            use == "set-up"
            and j.level == "normal"
            and j.uses[use] == "no-go"
            and j.ground.half_built is not None
            and not limits.blocks
        ):
            if "half-built" not in seen and j.governed_by != "all-clear":
                seen.add("half-built")
                most = put(show_unit, "speed", j.ground.half_built, system, rounding="down")
                text: Words = tell(
                    Note.FROM_HALF_BUILT,
                    start=put(show, j.hour.start, zone),
                    policy=against(j, policy, system, digits),
                    most=most,
                )
                out.append(ReasonOut(code="half-built", told=text))
            continue
        if (
            j.uses[use] == "go"
            or j.governed_by in seen
            or not j.governed_by
            or (j.governed_by == "gust" and j.level == "normal")
        ):
            continue
        seen.add(j.governed_by)
        gust = (
            None
            if j.wind is None or j.governed_by != "gust"
            else tell(Note.GUST, policy=against(j, policy, system, digits))
        )
        text = together(*(x for x in (gust, j.why) if x is not None), between="; ")
        out.append(
            ReasonOut(
                code=j.governed_by.replace(" ", "-"),
                told=tell(Note.FROM, start=put(show, j.hour.start, zone), text=text),
            )
        )
    if not inside:
        out.append(ReasonOut(code="over", told=tell(Note.STAY_OVER)))
    if limits.rating_missing:
        out.append(
            ReasonOut(
                code="rating-missing",
                told=tell(Note.RATING_MISSING),
            )
        )
    return out


def against(j: Judged, policy: OperatingPolicy, system: System, digits: int | None) -> Words:
    """``32 of 40 mph, 80 %``: gusts up, limits down."""
    return put(words_of, gust_against(policy, j.wind.gust if j.wind else 0.0, j.limit, system, least=digits))


def _headline(verdict: Verdict, subject: Words, limits: Limits, inside: Sequence[Judged], use: str, end: int, zone: tzinfo, system: System, now: int,
              out: Deadline) -> Words:  # fmt: skip
    until = tell(Note.UNTIL, end=put(show, end, zone))
    if verdict == "go":
        return tell(Note.HEAD_GO, subject=subject, until=until)
    if verdict == "no-go":
        first = next((j for j in inside if j.uses[use] == "no-go"), None)
        sure = first is not None and all(j.uses[use] == "go" for j in inside[: inside.index(first)])
        now = first is None or first is inside[0] or not sure
        return (
            tell(Note.HEAD_NO_GO, subject=subject, until=until)
            if now or first is None
            else tell(
                Note.HEAD_NO_GO_FROM, start=put(show, first.hour.start, zone), subject=subject, until=until
            )
        )
    unknown = [j for j in inside if j.level == "unknown"]
    first = next((j for j in unknown if j.known_rank < j.acts_rank), None)
    if use != "set-up" and first is not None and out.reached == max(first.hour.start, now):
        leave = (
            tell(Note.OUT_BEFORE)
            if out.at is None
            else tell(Note.OUT_NOW)
            if out.note.past
            else tell(Note.OUT_BY, at=put(show, out.at, zone))
        )
        return tell(
            Note.HEAD_UNKNOWN_AFTER,
            reached=put(show, out.reached, zone),
            leave=leave,
            subject=subject,
            until=until,
        )
    codes = {b.code for b in limits.blocks} | ({"rating-missing"} if limits.rating_missing else set())
    if codes and codes <= UNRATED.keys() and not unknown and math.isfinite(limits.gust):
        holds = put(show_unit, "speed", limits.gust, system, rounding="down")
        return tell(Note.HEAD_ANCHORAGE, holds=holds, unrated=unrated(codes), until=until)
    return tell(Note.HEAD_UNKNOWN, subject=subject, until=until)


def _with_order(
    headline: Words,
    verdict: Verdict,
    strike: Deadline,
    zone: tzinfo,
    system: System,
    *,
    stands: bool,
    end: int,
) -> Words:
    """A go that an order to take it down cuts short begins with the order and its time."""
    note = strike.note
    if verdict != "go" or strike.reached is None or note.begun:
        return headline
    if not stands and note.past:
        return tell(Note.HEAD_DO_NOT_PUT_UP, headline=headline)
    if not note.asked or (note.past and note.lull_m_s is None):
        return headline  # it stays up, and may
    by = note.lull_by if note.lull_m_s is not None else iso(strike.at)
    before = note.lull_before if note.lull_m_s is not None else note.reached
    limit = read_iso(by or before, "outlook", "time")
    if limit >= end:
        return headline
    calm = None if note.lull_m_s is None else put(show_unit, "speed", note.lull_m_s, system, rounding="down")
    at = put(show, limit, zone)
    if by is None:
        order = tell(Note.DOWN_IN_LULL_BEFORE, lull=calm, at=at) if calm is not None else tell(Note.DOWN_BEFORE, at=at)  # fmt: skip
    else:
        order = tell(Note.START_IN_LULL_BY, lull=calm, at=at) if calm is not None else tell(Note.START_BY, at=at)  # fmt: skip
    return tell(Note.HEAD_ORDER, order=order, headline=headline)


def _set_up_first(
    record: RecordOut | None, use: str, verdict: Verdict, inside: Sequence[Judged], start: int, t: Times
) -> Verdict | None:
    """Whether it may go up in the hours that this takes, where nothing says that it stands and that is worse than the verdict; else None."""
    done = start + max(float(t.setup or 0.0), 1.0)
    up = worst(*(j.uses["set-up"] for j in inside if j.hour.start < done)) if inside else "unknown"
    if use == "set-up" or not not_up(record) or worst(verdict, up) == verdict:
        return None
    return up


def _not_now(headline: Words, up: Verdict, inside: Sequence[Judged], system: System) -> Words:
    """A headline of what stands, behind whether it may go up."""
    if up == "unknown":
        return tell(Note.HEAD_ASK_FIRST, headline=headline)
    half = inside[0].ground.half_built
    if half is None or half < tables.row("beaufort", "force-2").value:
        return tell(Note.HEAD_NOT_NOW_AT_ALL, headline=headline)
    most = put(show_unit, "speed", half, system, rounding="down")
    return tell(Note.HEAD_NOT_NOW, most=most, headline=headline)


def _chance(inside: Sequence[Judged], end: int, zone: tzinfo) -> ChanceOut | None:
    if any(j.hour.thunder for j in inside) and any(j.hour.spread is not None for j in inside):
        return ChanceOut(low=None, high=None, told=tell(Note.CHANCE_THUNDER))
    ps = [j.chance for j in inside if j.chance is not None]
    if not ps:
        return None
    low, high = chance.window(ps)
    open_ = len(ps) < len(inside)
    text = put(chance.between, low, None if open_ else high, put(show, end, zone))
    rest = [tell(Note.CHANCE_OPEN, inside=len(inside) - len(ps), inside_2=len(inside))] if open_ else []
    whole = together(put(capital, text), *rest, ".", between="")
    return ChanceOut(low=low, high=None if open_ else high, told=whole)


def _cautions(forecasts: Sequence[Forecast], judged: Sequence[Judged], inside: Sequence[Judged], t: Times, now: int, all_three: Sequence[Deadline],
              zone: tzinfo) -> list[Words]:  # fmt: skip
    out = list[Words]()
    warn, _ = age_limits()
    for f in forecasts:
        old = stale(f, now)
        if old:
            out.append(tell(Note.STALE, name=f.name, old=old))
        elif f.issued is not None and now - f.issued > warn:
            out.append(tell(Note.OLD, name=f.name, now=f"{(now - f.issued) / HOUR:.0f}"))
        heap = f.remarks[2]
        out += [not_read(f.name, r) for r in heap[:MOST_SHOWN]]
        if len(heap) > MOST_SHOWN:
            out.append(tell(Note.MORE_NOT_UNDERSTOOD, name=f.name, heap=len(heap) - MOST_SHOWN))
        out += [put(_ended, n) for n in f.notes]
    lead = tables.row("warning-lead", "low")
    strike = None if t.strike is None else float(t.strike)
    if strike is not None and strike > lead.value and any(j.hour.thunder for j in judged):
        out.append(tell(Note.WARNING_IS_SHORT))
    for d in all_three:
        if d.reached is not None and any(j.level == "unknown" and j.hour.start < d.reached for j in judged):
            out.append(tell(Note.DEADLINE_MAY_BE_EARLIER))
            break
    if any(j.shift for j in inside):
        first = next(j for j in inside if j.shift)
        out.append(tell(Note.WIND_TURNS, start=put(show, first.hour.start, zone)))
    depth = tables.row("snow-policy", "cts7-depth")
    if judged and judged[-1].load.depth >= depth.value:
        first = next(j for j in judged if j.load.depth >= depth.value)
        out.append(
            tell(Note.SNOW_EMPTIES, depth=f"{depth.value * 100:.0f}", end=put(show, first.hour.end, zone))
        )
    rain = rained([j.hour for j in inside])
    if rain.size and rain[-1] >= rain_from("look"):
        out.append(tell(Note.RAIN_ON_ROOF, rain=f"{rain[-1]:.0f}", end=put(show, inside[-1].hour.end, zone)))
    said = {w.text.message for j in judged for w in j.hour.winds if isinstance(w.text, Later)}
    if NO_G in said:
        out.append(tell(Note.WITHOUT_G))
    if TURNED_UP in said:
        out.append(tell(Note.MEAN_TURNED_UP))
    if any(j.hour.outlook_only for j in judged):
        out.append(tell(Note.FAR_AHEAD))
    out += [put(str, s) for f in forecasts for s in f.standing]
    return once(out)


def not_read(name: str, r: Remark) -> Words:
    """A piece that was not understood, and what becomes of it."""
    return tell(Note.NOT_UNDERSTOOD, name=name, at=r.at, text=seen(r.text, 60), why=WORDS[r.why])


def _not_said(forecasts: Sequence[Forecast]) -> list[Words]:
    says = frozenset[str]().union(*(f.says for f in forecasts))
    told = {
        "thunder": any(f.thunder for f in forecasts),
        "snow": any(f.snow or f.rain or f.ice or f.unmeasured for f in forecasts),
    }
    return [tell(notes[told[kind]]) for kind, notes in NOT_SAID.items() if kind not in says]


def with_thunder(
    forecasts: Sequence[Forecast], heard: Sequence[int], now: int, policy: OperatingPolicy | None = None
) -> list[Forecast]:
    """The forecasts, and thunder that was heard: it holds for 30 min after the last one."""
    until = thunder_wait(heard, policy)
    if until is None or until <= now:
        return list(forecasts)
    said = Forecast(
        "thunder heard",
        "thunder heard",
        now,
        thunder=(Span(min(heard), until, 1.0, None, say("thunder was heard")),),
    )
    return [*forecasts, said]


def _ended(text: str) -> str:
    """With a full stop behind it."""
    return text if text.endswith(".") else f"{text}."


def _open_ended(text: str) -> str:
    """Without one."""
    return text.rstrip(".")


def _or_none(text: str) -> Words | None:
    return put(str, text) if text else None


def at_least(judged: Sequence[Judged], record: RecordOut | None, now: int) -> list[Judged]:
    """Hours before an all-clear can count: no lower than the level at which the record stands, and this hour whatever the time is."""
    held = None if record is None else record.level
    if held is None:
        return list(judged)
    out = []
    for j in judged:
        if j.hour.start >= max(held.clears, now + 1):
            out.append(j)
            continue
        known = max(j.known, held.level, key=ORDER.index)
        level = j.level if j.level != "unknown" and ORDER.index(j.level) >= ORDER.index(held.level) else known
        level = (
            "unknown" if j.level == "unknown" and ORDER.index(known) < ORDER.index("people-out") else level
        )
        raised = ORDER.index(j.known) < ORDER.index(held.level)
        uses: dict[str, Verdict] = {k: v if held.level in GO_IN[k] else "no-go" for k, v in j.uses.items()}
        out.append(
            replace(
                j, known=known, level=level, acts=max(j.acts, held.level, key=ORDER.index), uses=uses,
                governed_by="record" if raised else j.governed_by, why=put(_open_ended, held.told) if raised else j.why,
            )
        )  # fmt: skip
    return out


def outlook(
    plan: Plan, d: Deployment, forecasts: Sequence[Forecast], now: int, zone: tzinfo | None, *,
    use: str = "people-in", thunder_heard: Sequence[int] = (), spread: float | None = None,
) -> Outlook:  # fmt: skip
    """Judge forecasts against a plan. now: seconds; zone: of the people, UTC where none is given."""
    if not forecasts:
        raise OutlookError(
            say(
                "no forecast: give --forecast FILE, --say LINE, --at LAT,LON or a [forecast] table in the file"
            )
        )
    with tables.collect() as used:
        shown = zone if zone is not None else UTC
        limits, policy = limits_of(plan, d), policy_of(d)
        start, end, given, length = stay_of(d.times, zone, now)
        logged = [] if d.record is None else [t for t in d.record.thunder if t <= now]
        every = with_thunder(forecasts, [*thunder_heard, *logged], now, policy)
        hours = hours_of(every, now, end)
        if spread is not None:
            hours = [h if h.spread is not None else replace(h, spread=spread) for h in hours]
        if limits.roof.falls:
            hours = [replace(h, wet=h.wet | {"snow"}) for h in hours]
        grounds = limits_by_hour(plan, d, limits, hours, [f.format for f in forecasts])
        judged = judge(hours, limits, policy, start, end, grounds)
        if going_up(d.record):
            judged = [
                replace(j, uses={**j.uses, "empty": worst(j.uses["empty"], j.uses["set-up"])}) for j in judged
            ]
        alone = judged
        judged = at_least(judged, plan.record, now)
        inside = [j for j in judged if j.hour.end > start and j.hour.start < end]
        three = (
            while_coming_down(alone, d.times, now)
            if coming_down(d.record)
            else deadlines(judged, d.times, now)
        )
        return _result(plan, d, every, now, shown, limits, policy, judged, inside, three, start, end, length, use,
                       given=given, zoned=zone is not None, used=used)  # fmt: skip


def _result(
    plan: Plan, d: Deployment, forecasts: Sequence[Forecast], now: int, zone: tzinfo, limits: Limits, policy: OperatingPolicy,
    judged: list[Judged], inside: list[Judged], three: tuple[Deadline, Deadline, Deadline], start: int, end: int, length: int | None,
    use: str, *, given: bool, zoned: bool, used: list[tables.Row],
) -> Outlook:  # fmt: skip
    system = d.deployment.show_units
    verdict = worst(_verdict(inside, use), *(b.verdict for b in limits.blocks))
    held = plan.held
    holds = coming_down(d.record) or (held is not None and held.level not in GO_IN[use])
    rising = nobody_yet(d.record, use) and verdict != "no-go"
    verdict = "no-go" if holds or rising else verdict
    subject: Words = put(spoken, subject_of(use))
    if verdict == "go" and use == "set-up":
        under = min((j.ground.bare for j in inside if j.ground.bare is not None), default=None)
        subject = set_up_words(
            under, max((j.wind.gust for j in inside if j.wind is not None), default=0.0), system
        )
    headline = _headline(verdict, subject, limits, inside, use, end, zone, system, now, three[1])
    digits = decimals(policy, [(j.wind.gust, j.limit) for j in judged if j.wind is not None], system)
    reasons = _reasons(inside, use, limits, policy, zone, system, digits)
    phase = "" if plan.record is None else plan.record.phase
    ordered = (
        isinstance(headline, Told) and headline.what is Note.HEAD_UNKNOWN_AFTER
    )  # people out comes first
    up = None if ordered else _set_up_first(plan.record, use, verdict, inside, start, d.times)
    if up is not None:
        headline = _not_now(headline, up, inside, system)
    headline = _with_order(
        headline, verdict, three[2], zone, system, stands=phase not in ("not-up", "down"), end=end
    )
    if coming_down(d.record):
        gust = put(show_unit, "speed", limits.gust, system, rounding="down")
        going_on = taking_down_words(plan.half_built, limits.gust, gust, system)
        headline = tell(Note.HEAD_COMING_DOWN, going_on=going_on)
    elif holds and held is not None:
        headline = tell(Note.HEAD_HELD, subject=put(spoken, subject_of(use)), held=held.told)
        reasons = [ReasonOut(code=RECORD_LEVEL, told=held.told), *(r for r in reasons if r.code != "record")]
    elif rising:
        headline = tell(Note.HEAD_GOING_UP)
    if nobody_yet(d.record, use):
        reasons.insert(0 if rising else len(reasons), ReasonOut(code=GOING_UP, told=tell(Note.GOING_UP)))
    if verdict != "go" and plan.ground_worse is not None:
        reasons.append(ReasonOut(code="ground", told=plan.ground_worse))
    if verdict != "go":
        unread = [(f.name, r) for f in forecasts for r in f.remarks[2]]
        reasons += [ReasonOut(code="not-understood", told=not_read(*x)) for x in unread[:MOST_SHOWN]]
    sources = [source_out(f, now) for f in forecasts if f.format != "thunder heard"]
    oldest = (
        max(sources, key=lambda s: (s.age_h is None, s.age_h or 0.0))
        if sources
        else source_out(forecasts[0], now)
    )
    notes = list[Words]()
    if not given:
        notes.append(tell(Note.END_UNSAID))
    if not zoned:
        notes.append(tell(Note.ZONE_UNSAID))
    if d.times.margin is None:
        notes.append(tell(Note.MARGIN_UNSAID))
    if d.times.secure is None and three[0].at is not None and not three[0].note.begun:
        notes.append(tell(Note.SECURE_UNSAID))
    if any(j.limit < limits.gust - 1e-9 or j.limit > limits.gust + 1e-9 for j in judged):
        notes.append(tell(Note.BY_DIRECTION))
    if limits.roof.falls:
        notes.append(tell(Note.FALLS_BY_FILE))
    strike = three[2]
    return Outlook(
        name=plan.name, show_units=system, zone=str(zone), now=iso(now) or "", verdict=verdict, subject=subject_of(use),
        head=policy.out().told_after(headline), start=iso(start) or "", end=iso(end) or "",
        window_given=given, reasons=reasons, limit_m_s=_number(limits.gust), by=limits.by,
        levels=policy.out(),
        hours=[hour_out(j, use) for j in judged],
        deadlines=DeadlinesOut(**{x.name: iso(x.at) for x in three}), deadline_notes=[x.note for x in three],
        cannot_strike=strike.note.past, all_clear_not_before=iso(all_clear(judged, policy)),
        windows=windows(judged, use, d.times, length, now), chance=_chance(inside, end, zone), source=oldest, sources=sources,
        provenance=tables.weakest([plan.provenance.weakest, *(r.how for r in used)]),  # type: ignore[list-item]
        conditions=[*plan.conditions, *_not_said(forecasts)], remarks=remarks_out(forecasts), assumptions=notes, cautions=_cautions(forecasts, judged, inside, d.times, now, three, zone),
        record=plan.record, set_up_first=up,
    )  # fmt: skip
