"""That a meter which was read says nothing any more: for ``now``, in whatever process the meter is read, or was."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from datetime import tzinfo
from pathlib import Path

from anchorage.core.say import say
from anchorage.core.told import put
from anchorage.deployment.policy import ORDER
from anchorage.judging.plan import Assessment
from anchorage.meter.store import Beat, beats
from anchorage.meter.watch import limit
from anchorage.outlook.clock import show as show_time
from anchorage.outlook.result import Outlook
from anchorage.record.over import read_record
from anchorage.record.stand import Stand, behind, not_known, not_trusted, overdue, stand, with_outlook


def silent(b: Beat, now: int) -> bool:
    """Whether a meter that nobody stopped has said nothing for too long."""
    return not b.stopped and now - (b.heard if b.heard is not None else b.began) > limit("silent-now")


def long_ago(seconds: int) -> str:
    """``12 min``, ``3 h``."""
    return say("{n} min", n=max(seconds // 60, 0)) if seconds < 7200 else say("{n} h", n=seconds // 3600)


def beat_words(b: Beat, now: int, zone: tzinfo) -> str:
    """When a meter last said anything."""
    if b.heard is None:
        heard = say("nothing has come from it since {began}", began=show_time(b.began, zone))
    else:
        heard = say(
            "its last reading came at {at}, {ago} ago",
            at=show_time(b.heard, zone),
            ago=long_ago(now - b.heard),
        )
    if silent(b, now):
        return say(
            "NO READING FROM THE METER {source}: {heard}. Look at it, or read the wind by hand.",
            source=b.source,
            heard=heard,
        )
    stopped = say(", and it was stopped") if b.stopped else ""
    stuck = say(", AND IT IS STUCK") if b.alarm == "stuck" and not b.stopped else ""
    return say(
        "The meter {source}: {heard}{stopped}{stuck}.",
        source=b.source,
        heard=heard,
        stopped=stopped,
        stuck=stuck,
    )


def reads(b: Beat, now: int) -> bool:
    """Whether a meter says what the wind is now."""
    return not b.stopped and not silent(b, now) and b.alarm != "stuck"


def beside(
    a: Assessment, path: Path, now: int, zone: tzinfo, o: Outlook | None, *, by_clock: bool = True
) -> Stand | None:
    """Where it stands by the record beside its file, the forecast and its meters; None where nothing was logged, or it judges no reading. a: of the file alone. by_clock: ``now`` is the machine's clock."""
    d = a.deployment
    record = read_record(path, d.shelter)
    if record is None or not record.entries or d.margins.set == "asd":
        return None
    s = stand(a, record, now, zone)
    s = s if o is None else with_outlook(s, o, now)
    s = not_trusted(with_meter(s, [b for b in beats(path) if b.looked <= now + 60], now, zone), record.faults)
    return behind(s, record.entries, now, zone) if by_clock else s


def with_meter(s: Stand, beats: Sequence[Beat], now: int, zone: tzinfo) -> Stand:
    """The same with what is overdue, and what is known of its meters: with none that reads, nothing is known of the wind of now."""
    live = [b for b in beats if not b.stopped]
    dead = [b for b in live if silent(b, now) or b.alarm == "stuck"]
    s = overdue(s, now, metered=any(reads(b, now) for b in beats))
    if s.struck or not beats:
        return s
    if dead and len(dead) == len(live):
        texts = [put(beat_words, b, now, zone) for b in dead]
        return not_known(s, texts) if s.level in ORDER else replace(s, why=(*texts, *s.why))
    return s
