"""The record beside the file, in a worker: where the installation stands by it, and putting an event into it."""

from __future__ import annotations

import time
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import UTC, datetime, tzinfo
from pathlib import Path
from typing import TYPE_CHECKING, NamedTuple

from anchorage.core.errors import AnchorageError
from anchorage.core.say import dated, say
from tui.broken import broken
from tui.engine import Answer, evaluate, judged, told, unjudged

if TYPE_CHECKING:
    from anchorage.deployment.draft import Draft
    from anchorage.judging.result import Verdict
    from anchorage.record.stand import Stand


MOST_READINGS = 8
"""That are drawn."""


@dataclass(frozen=True)
class Stands:
    """Where the installation stands, in words."""

    lines: tuple[str, ...]
    number: int = 0
    by: str = "draft"
    """``draft``: by what is typed now. ``file``: by the saved file, since what is typed cannot be read."""
    headline: str = ""
    level: str = "unknown"
    """By the readings that still hold; unknown where none does."""
    readings: tuple[tuple[str, str, float, str], ...] = ()
    """The last of them: when and what was read, the gust it is worth, its share of the limit, the level."""
    state: str = ""
    """How far the work is by the record (``kinds.PHASES``); nothing where nothing was written down."""
    verdict: Verdict = "go"
    """Whether people may stay in by the record."""
    why: str = ""
    """The first reason of it."""
    thunder: str = ""
    """Where everybody goes and until when, as long as the wait of thunder that was logged runs; else nothing."""


def now(
    answer: Answer, saved: Draft, path: Path, forecasts: tuple[Path, ...], clock: float | None = None
) -> Stands:
    """Where it stands by what is typed now and the record beside the file; by the saved file where that cannot be read."""
    from anchorage.core.told import in_words  # noqa: PLC0415 - after the first screen

    by = "draft"
    if answer.plan is None:
        by, answer = "file", evaluate(saved, answer.number, path.absolute().parent)
    number = answer.number
    try:
        lines, s, state, readings = _lines(answer, path, forecasts, clock)
        if s is None or (s.struck and s.level not in ("people-out", "keep-away")):
            return Stands(tuple(lines), number, by, readings=readings, state=state)
        why, heard = next(iter(in_words(s.why)), ""), _thunder(s)
        return Stands(tuple(lines), number, by, s.headline, s.level, readings, state, s.verdict, why, heard)
    except (AnchorageError, OSError) as e:
        texts = told(e) if isinstance(e, AnchorageError) else ()
        return Stands(
            (*(f"{t.key}: {t.text}" if t.key else t.text for t in texts), *(() if texts else (str(e),))),
            number,
            by,
        )
    except Exception as e:  # noqa: BLE001 - a fault of the program is said and takes nothing with it
        return Stands(
            (broken(e),),
            number,
            by,
        )


def _lines(
    answer: Answer, path: Path, forecasts: tuple[Path, ...], clock: float | None
) -> tuple[list[str], Stand | None, str, tuple[tuple[str, str, float, str], ...]]:
    from anchorage.core.told import put  # noqa: PLC0415 - after the first screen
    from anchorage.judging.plan import assess  # noqa: PLC0415 - after the first screen
    from anchorage.meter.beat import with_meter  # noqa: PLC0415
    from anchorage.meter.store import beats  # noqa: PLC0415
    from anchorage.outlook.clock import one_clock  # noqa: PLC0415
    from anchorage.paper.record_page import now_lines  # noqa: PLC0415
    from anchorage.record.over import Recorded, read_record  # noqa: PLC0415
    from anchorage.record.stand import behind, not_known, not_trusted, stand, with_outlook, zone_in  # noqa: PLC0415

    d, a = answer.planned or answer.deployment, answer.assessed
    if d is None or a is None:
        return (
            [f"{t.key}: {t.text}" if t.key else t.text for t in answer.faults]
            or [say("The deployment has to be corrected first.")],
            None,
            "",
            (),
        )
    at = int(time.time() if clock is None else clock)
    record = read_record(path, d.shelter) or Recorded((), (), {}, "")  # nothing has been logged yet
    s = stand(a if a.plan.record is None else assess(d), record, at)
    try:
        o, zone = judged(s.assessed, forecasts, at)
    except Exception as e:  # noqa: BLE001 - a forecast that cannot be judged takes nothing of the record with it
        o, zone = None, zone_in(d.outlook)
        s = not_known(s, (put(str, unjudged(e)),))
    if o is not None:
        s = with_outlook(s, o, at)
    s = behind(not_trusted(with_meter(s, beats(path), at, zone), record.faults), record.entries, at, zone)
    with one_clock(zone, at):
        return now_lines(s, o, zone, at), s, s.phase, _readings(s, zone)


def _thunder(s: Stand) -> str:
    """Where everybody goes, and until when at the least; nothing where no wait runs."""
    from anchorage.outlook.clock import show  # noqa: PLC0415 - after the first screen
    from anchorage.record.stand import zone_in  # noqa: PLC0415

    if s.thunder_until is None:
        return ""
    until = show(s.thunder_until, zone_in(s.d.outlook))
    return say(
        "THUNDER: everybody into a solid building or a closed car, until {until} at the least", until=until
    )


def _readings(s: Stand, zone: tzinfo) -> tuple[tuple[str, str, float, str], ...]:
    """The last readings, the newest first."""
    from anchorage.core.units import show  # noqa: PLC0415 - after the first screen
    from anchorage.core.words import LEVELS  # noqa: PLC0415

    last = sorted(s.readings, key=lambda r: (-r.entry.at, -r.entry.id))[:MOST_READINGS]
    return tuple(
        (
            dated(datetime.fromtimestamp(r.entry.at, UTC).astimezone(zone), "%a %H:%M"),
            show("speed", r.gust, s.plan.show_units, rounding="up"), r.share, LEVELS[r.level],
        )
        for r in last
    )  # fmt: skip


MOST_ENTRIES = 5
"""That a correction is offered."""


def last_entries(path: Path) -> list[str]:
    """The last entries of the record with their numbers, the newest first; none where it cannot be read."""
    from anchorage.core.textfile import exists  # noqa: PLC0415 - after the first screen
    from anchorage.deployment.reader import read_file  # noqa: PLC0415
    from anchorage.record.events import words_of  # noqa: PLC0415
    from anchorage.record.over import read_record  # noqa: PLC0415

    if not exists(path.with_name(path.name + ".log.db")):
        return []
    try:
        d = read_file(path)
        record = read_record(path, d.shelter)
    except (AnchorageError, OSError):
        return []
    every = record.counting if record is not None else ()
    last = sorted(every, key=lambda e: -e.id)[:MOST_ENTRIES]
    return [f"{e.id}: {words_of(e, d.deployment.show_units)}" for e in last]


def _left_out(said: Mapping[str, str]) -> str | None:
    """What a speed is whose averaging was left out: the form asks for the peak that was held."""
    return "peak" if said["event"] == "wind" else None


LINES = {
    "--at": "at", "--where": "where", "--from": "bearing", "--height": "height", "--averaging": "averaging", "--kind": "kind", "--after": "after",
    "--to": "to", "--relief": "relief", "--watch": "watch", "--who": "who", "--each, --in-all": "how",
}  # fmt: skip
"""The line in which it is mended, by the key of a fault; of the event itself it is its value."""


class Written(NamedTuple):
    """Whether it was taken, what is said of it, and in which line it is mended."""

    good: bool
    lines: list[str]
    at: str = ""


def planned(path: Path) -> Mapping[str, int] | None:
    """What the plan says at each point; None where it has no number that can stand there."""
    from anchorage.deployment.reader import read_file  # noqa: PLC0415 - after the first screen
    from anchorage.judging.plan import make_plan  # noqa: PLC0415
    from anchorage.record.write import as_planned  # noqa: PLC0415

    try:
        return as_planned(make_plan(read_file(path)))
    except AnchorageError:
        return None


def counted(counts: Mapping[str, int]) -> str:
    """``8 at L1, L4; 11 at L2, L3``."""
    from anchorage.record.events import at_points  # noqa: PLC0415 - after the first screen

    return at_points(counts)


def write_down(path: Path, said: Mapping[str, str], clock: float | None = None) -> Written:
    """Put an event into the record, the way that ``anchorage log`` does."""
    from anchorage.core.plain import inert  # noqa: PLC0415 - after the first screen
    from anchorage.deployment.reader import read_file  # noqa: PLC0415
    from anchorage.outlook.clock import zone_of  # noqa: PLC0415
    from anchorage.paper.record_page import kept_lines  # noqa: PLC0415
    from anchorage.record.events import Said  # noqa: PLC0415
    from anchorage.record.write import Request, keep  # noqa: PLC0415

    try:
        event = Said(
            said["event"], said.get("value"), who=said.get("who", ""), to=said.get("to"), where=said.get("where"),
            height=said.get("height"), averaging=said.get("averaging") or _left_out(said), bearing=_bearing(said.get("bearing")),
            kind=said.get("kind"), after=said.get("after"), note=said.get("note"), how=said.get("how"),
            more=said.get("more", "").lower() == "yes", same=said.get("same", "").lower() == "yes", only=said.get("only", "").lower() == "yes",
            relief=said.get("relief"), watch=said.get("watch"),
        )  # fmt: skip
        d = read_file(path)
        zone = None if d.outlook.zone is None else zone_of(d.outlook.zone, "[outlook]")
        now = int(time.time() if clock is None else clock)
        kept = keep(Request(path, d, event, now, zone, said.get("at")))
    except AnchorageError as e:
        faults = told(e)
        at = next(
            (x for t in faults if (x := LINES.get(t.key, "value" if t.key == said["event"] else ""))), ""
        )
        return Written(False, [t.text if at or not t.key else f"{t.key}: {t.text}" for t in faults], at)
    except ValueError:
        return Written(
            False,
            [say("{bearing} is no number of degrees from 0 to 360", bearing=said["bearing"])],
            "bearing",
        )
    except OSError as e:
        return Written(False, [say("The record cannot be written: {strerror}", strerror=e.strerror or e)])
    except Exception as e:  # noqa: BLE001 - see above
        return Written(False, [broken(e)])
    return Written(True, [inert(line) for line in kept_lines(kept, zone or UTC, d.deployment.show_units)])


def _bearing(text: str | None) -> float | None:
    return None if not text else float(text.strip().rstrip("°"))
