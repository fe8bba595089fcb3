"""Danger in words: what a note says that an entry of its own should say, by the closed lists of ``noted.toml``.

A note is judged by nobody. So that none hides a danger, words of danger are not kept as a mere note unless somebody says that
they are no more, and those of an older record leave no go until the entry that they should have been is there.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any, NamedTuple

from anchorage.core.dangers import Heard, Kind, counted, dangers, doubts
from anchorage.record.kinds import AFTER_WEATHER, result_of
from anchorage.record.notes import Note
from anchorage.record.store import Entry


class Danger(NamedTuple):
    """A kind of danger. event: the entry that it should be; weather: it passes, and nobody can look at it later."""

    event: str
    weather: bool
    ask: Note
    """What to write down instead."""


SAME = 1e-6
"""Share by which a reading may be under the speed in its own words: rounding."""
DANGERS: dict[Kind, Danger] = {
    Kind.THUNDER: Danger("thunder", True, Note.LOG_THUNDER),
    Kind.WIND: Danger("wind", True, Note.LOG_WIND),
    Kind.SNOW: Danger("snow", False, Note.LOG_SNOW),
    Kind.GROUND: Danger("state", False, Note.LOG_GROUND),
    Kind.PLACED: Danger("placed", False, Note.LOG_PLACED),
    Kind.DOORS: Danger("doors", False, Note.LOG_DOORS),
    Kind.DAMAGE: Danger("inspection", False, Note.LOG_DAMAGE),
    Kind.DOWN: Danger("coming-down", False, Note.LOG_DOWN),
}
OTHERS = ("crossing", "meter", "pair", "correct")
"""Events whose words say no more than the entry itself."""


def open_in(event: str, data: Mapping[str, Any]) -> tuple[Heard, ...]:
    """The dangers in the words of an entry that the entry itself does not say."""
    note = data.get("note")
    if not isinstance(note, str) or event in OTHERS:
        return ()
    found = tuple(h for h in dangers(note) if not _says(event, data, h))
    if event in ("note", "action", "setup", "hand-over") and (n := counted(note)) is not None:
        return (*found, *(() if any(h.kind is n.kind for h in found) else (n,)))
    if event == "inspection" and result_of(dict(data)) == "passed":
        return found or doubts(note, "noted-passed")
    return found or doubts(note, "noted-read") if event == "wind" else found


def _says(event: str, data: Mapping[str, Any], h: Heard) -> bool:
    """Whether an entry is the one that a danger in words should be."""
    if event == "inspection":
        looked = result_of(dict(data)) in ("failed", "unsaid")
        weathered = h.kind is Kind.GROUND and data.get("after") in AFTER_WEATHER
        return weathered or (looked and not DANGERS[h.kind].weather)
    if event != DANGERS[h.kind].event:
        return h.kind is Kind.DOWN and event == "struck"
    return h.speed is None or event != "wind" or float(data["speed_m_s"]) >= h.speed * (1.0 - SAME)


def only_a_note(e: Entry) -> bool:
    """Whether whoever wrote it says that its words are no danger any more."""
    return e.data.get("only") is True


def unanswered(counting: Sequence[Entry]) -> list[tuple[Entry, Heard]]:
    """Dangers in words that no later entry answers: the one that they should have been, or a look at what can be looked at.

    Weather that somebody says is no danger now is believed; what can be looked at is not, until somebody looked. Thunder
    counts as thunder (``thundered``).
    """
    out = []
    for e in counting:
        for h in open_in(e.event, e.data):
            danger = DANGERS[h.kind]
            if h.kind is Kind.THUNDER or (danger.weather and only_a_note(e)):
                continue
            later = [x for x in counting if (x.at, x.id) > (e.at, e.id) or (danger.weather and x.id > e.id)]
            after = [e, *later] if only_a_note(e) else later
            if not any(_answers(x, h, looked=not danger.weather) for x in after):
                out.append((e, h))
    return out


def _answers(x: Entry, h: Heard, *, looked: bool) -> bool:
    if looked and x.event == "inspection" and h.kind is not Kind.SNOW:
        return result_of(x.data) == "passed"
    return x.event != "inspection" and _says(x.event, x.data, h)


def thundered(counting: Sequence[Entry]) -> list[Entry]:
    """Entries that say thunder in words alone, of which nobody says that it is none."""
    return [
        e
        for e in counting
        if not only_a_note(e) and any(h.kind is Kind.THUNDER for h in open_in(e.event, e.data))
    ]
