"""The latest times to begin, counted back from the first hour at a level; and the windows in which there is time."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from typing import Literal

from anchorage.core import tables
from anchorage.core.told import Words, put, tell
from anchorage.core.words import spoken
from anchorage.deployment.models import Times
from anchorage.deployment.policy import margin_of
from anchorage.outlook.clock import iso
from anchorage.outlook.hours import ORDER
from anchorage.outlook.judge import Judged
from anchorage.outlook.notes import Note
from anchorage.outlook.result import DeadlineNoteOut, WindowOut, WindowsOut

Name = Literal["secure_by", "people_out_by", "start_strike_by"]
SECURE, PEOPLE_OUT = ORDER.index("secure"), ORDER.index("people-out")


@dataclass(frozen=True)
class Deadline:
    """One of the three, in seconds; ``at`` is on the 5 min before, ``exact`` is not."""

    name: Name
    at: int | None
    exact: float | None
    reached: int | None
    note: DeadlineNoteOut


@dataclass(frozen=True)
class Lead:
    """What must be done between the latest time to begin and the level that it is counted back from."""

    needs: dict[str, float | None]
    """Seconds of each part that the file has to give; None where it does not."""
    optional: float
    margin: float

    @property
    def missing(self) -> list[str]:
        """Times that the file does not give."""
        return [k for k, v in self.needs.items() if v is None]

    @property
    def seconds(self) -> float | None:
        """All of it (s); None where a time is missing: no deadline is made up."""
        return (
            None if self.missing else sum(v or 0.0 for v in self.needs.values()) + self.optional + self.margin
        )


def leads_of(t: Times) -> dict[Name, Lead]:
    """What stands before each deadline, by its name."""
    notify, out, strike = (None if v is None else float(v) for v in (t.notify, t.people_out, t.strike))
    secure = float(t.secure) if t.secure is not None else 0.0
    margin = margin_of(t)
    return {
        "secure_by": Lead({"notify": notify}, secure, margin),
        "people_out_by": Lead({"notify": notify, "people_out": out}, 0.0, margin),
        "start_strike_by": Lead({"notify": notify, "people_out": out, "strike": strike}, 0.0, margin),
    }


def _first(judged: Sequence[Judged], test: Callable[[Judged], bool]) -> Judged | None:
    return next((j for j in judged if test(j)), None)


def _because(j: Judged) -> Words:
    if j.known_rank < j.acts_rank:
        return tell(Note.BECAUSE_UNKNOWN)
    if j.known_rank == 0:
        return tell(Note.BECAUSE_HALF_BUILT)
    if j.governed_by == "record":
        return tell(Note.BECAUSE_RECORD)
    if j.governed_by in ("thunder", "warning", "roof snow", "snow depth", "water on the roof", "gust"):
        return put(spoken, j.governed_by)
    return put(spoken, "gust")


def _deadline(name: Name, j: Judged | None, lead: Lead, now: int) -> Deadline:
    if j is None:
        note = DeadlineNoteOut(name=name, reached=None, because=tell(Note.BECAUSE_NOT_REACHED), done_by=None, missing=[], past=False,
                               outlook_only=False)  # fmt: skip
        return Deadline(name, None, None, None, note)
    reached = max(j.hour.start, now)
    exact = None if lead.seconds is None else reached - lead.seconds
    step = int(tables.row("deadline", "round-back").value)
    at = None if exact is None else int(exact // step * step)
    finish = sum(v or 0.0 for v in lead.needs.values()) + lead.optional
    note = DeadlineNoteOut(
        name=name, reached=iso(reached), because=_because(j), done_by=iso(None if at is None else int(at + finish)), missing=lead.missing,
        past=(j.hour.start <= now) if exact is None else exact < now, outlook_only=j.hour.outlook_only,
    )  # fmt: skip
    return Deadline(name, at, exact, reached, note)


def deadlines(judged: Sequence[Judged], t: Times, now: int) -> tuple[Deadline, Deadline, Deadline]:
    """secure_by, people_out_by, start_strike_by. What the crew did not say is asked for, and nothing is made up."""

    def half(j: Judged) -> bool:
        most = j.ground.half_built
        return most is not None and any(w.gust >= most for w in j.hour.winds)

    leads = leads_of(t)
    tests: dict[Name, Callable[[Judged], bool]] = {
        "secure_by": lambda j: j.acts_rank >= SECURE,
        "people_out_by": lambda j: j.acts_rank >= PEOPLE_OUT,
        "start_strike_by": lambda j: j.acts_rank >= SECURE or half(j),
    }
    a, b, c = (_deadline(name, _first(judged, test), leads[name], now) for name, test in tests.items())
    c = replace(c, note=c.note.model_copy(update={"asked": a.reached is not None}))
    return a, b, _in_a_lull(c, judged, leads["start_strike_by"], now)


def while_coming_down(judged: Sequence[Judged], t: Times, now: int) -> tuple[Deadline, Deadline, Deadline]:
    """Where taking down was begun: nobody is inside, and what is left is the time by which it has to be down. judged: by the forecast alone."""

    def over(j: Judged) -> bool:
        most = j.ground.half_built
        blown = most is not None and any(w.gust >= most for w in j.hour.winds)
        return blown or (j.acts_rank >= PEOPLE_OUT and j.governed_by != "gust")

    done = Lead({}, 0.0, margin_of(t))
    a, b = (_deadline(name, None, done, now) for name in ("secure_by", "people_out_by"))
    c = _deadline("start_strike_by", _first(judged, over), done, now)
    a, b, c = (replace(x, note=x.note.model_copy(update={"begun": True})) for x in (a, b, c))
    return a, b, c


def _in_a_lull(strike: Deadline, judged: Sequence[Judged], lead: Lead, now: int) -> Deadline:
    """Too late by the wind that the bare shell stands in, and not yet by the level: what is left is a lull before that."""
    first = next((j for j in judged if strike.reached is not None and j.hour.end > strike.reached), None)
    bare = None if first is None else first.ground.bare
    if not strike.note.past or bare is None or first is None or first.acts_rank >= SECURE:
        return strike
    secure = _deadline(strike.name, _first(judged, lambda j: j.acts_rank >= SECURE), lead, now)
    if secure.note.past:
        return strike
    return replace(
        strike,
        note=strike.note.model_copy(
            update={
                "lull_m_s": bare,
                "lull_by": iso(secure.at),
                "lull_before": iso(secure.reached),
                "done_by": secure.note.done_by,
            }
        ),
    )


def _window(start: int, end: int, judged: Sequence[Judged]) -> WindowOut:
    far = any(j.hour.outlook_only for j in judged if j.hour.start < end and j.hour.end > start)
    return WindowOut(start=iso(start) or "", end=iso(end) or "", outlook_only=far)


def longest_go(judged: Sequence[Judged], use: str, now: int) -> WindowOut | None:
    """The longest run of hours that are go, within 72 h if there is one; of equal ones the first."""
    near = [j for j in judged if not j.hour.outlook_only]
    return _longest(near, use, now) or _longest(judged, use, now)


def _longest(judged: Sequence[Judged], use: str, now: int) -> WindowOut | None:
    best: tuple[int, int] | None = None
    run: int | None = None
    for i, j in enumerate([*judged, None]):
        if j is not None and j.uses[use] == "go":
            run = i if run is None else run
        elif run is not None:
            start, end = max(judged[run].hour.start, now), judged[i - 1].hour.end
            if best is None or end - start > best[1] - best[0]:
                best = (start, end)
            run = None
    return None if best is None else _window(*best, judged)


def earliest_fit(
    judged: Sequence[Judged], setup: float, use: float, strike: float, now: int
) -> WindowOut | None:
    """The first start from which it can be put up, used and taken down, each within its own limit."""

    def calm(j: Judged) -> bool:
        gusts = [w.gust for w in j.hour.winds]
        return j.level == "normal" and (
            j.ground.half_built is None or all(g < j.ground.half_built for g in gusts)
        )

    for j in judged:
        start = max(j.hour.start, now)
        parts = (
            (start, start + setup, lambda x: x.uses["set-up"] == "go"),
            (start + setup, start + setup + use, lambda x: x.uses["people-in"] == "go"),
            (start + setup + use, start + setup + use + strike, calm),
        )
        end = start + setup + use + strike
        if end > judged[-1].hour.end:
            return None
        if all(test(x) for a, b, test in parts for x in judged if x.hour.start < b and x.hour.end > a):
            return _window(start, int(end), judged)
    return None


STAY = "start and end"
"""Both keys of it."""


def windows(judged: Sequence[Judged], use: str, t: Times, length: int | None, now: int) -> WindowsOut:
    """Both windows. length: of the stay (s), None where the file does not give it."""
    needs = {"setup": t.setup, "strike": t.strike, STAY: length}
    missing = [k for k, v in needs.items() if v is None]
    fit = None
    if t.setup is not None and t.strike is not None and length is not None and judged:
        fit = earliest_fit(judged, float(t.setup), float(length), float(t.strike), now)
    return WindowsOut(longest_go=longest_go(judged, use, now), earliest_fit=fit, missing=missing)


def stay(t_start: int | None, t_end: int | None, now: int) -> tuple[int, int, bool]:
    """The stretch that the headline covers, and whether it was given; else the next 12 h."""
    length = int(tables.row("deadline", "window").value)
    start = now if t_start is None else max(t_start, now)
    return start, start + length if t_end is None else t_end, t_end is not None
