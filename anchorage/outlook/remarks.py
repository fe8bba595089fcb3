"""The account of a forecast: everything that its text says is used, known to be harmless, or not understood.

A reader ends with an ``Account`` in which nothing of the text is left out. What is not understood is printed, and a
``Doubt`` makes its hours unknown. What a danger counts as, and which code warns of what, is in ``weather_codes.toml``.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field
from typing import Literal

from anchorage.core import tables
from anchorage.core.say import later, say
from anchorage.core.table_files import Count
from anchorage.outlook.hours import FIRM, LIGHT, Doubt, Hazard, Remark, Remarks, Span
from anchorage.outlook.untrusted import seen

Use = Literal[
    "gust", "mean wind", "direction", "spread", "snow or rain", "temperature", "thunder", "weather", "warning", "time", "head", "remark",
]  # fmt: skip
Harmless = Literal["comment", "cloud or sight", "pressure", "heat or moisture", "wind aloft", "place or station", "times of its own", "sea", "fire weather",
                   "chance of an amount", "spread", "change of pressure", "past", "not said", "no weather", "filler", "instrument", "test or exercise",
                   "cancelled or replaced"]  # fmt: skip
Rest = Literal["not understood", "unclear", "lost", "cannot be read", "slip", "units"]
Degree = Literal["said", "W", "Y", "A", "S", "O", "F", "N"]
WORDS: dict[str, str] = {
    "not understood": later("not understood"),
    "unclear": later("may mean two times: say the day"),
    "lost": later("should be there and is missing or damaged"),
    "cannot be read": later("cannot be read"),
    "units": later(
        "is in km/h beside gusts in mph or knots, which would be more; say all of them in one unit"
    ),
    "slip": later(
        "is less than a gust is said to be, and a point may have slipped; say it as a whole number, calm air as gust 5 mph or 2.5 m/s"
    ),
}
"""What is told to people beside what was not understood."""


@dataclass
class Account:
    """What a reader found, filled while it reads. Every piece of the text goes through one of three methods."""

    used: list[Remark] = field(default_factory=list)
    harmless: list[Remark] = field(default_factory=list)
    not_understood: list[Remark] = field(default_factory=list)
    doubts: list[Doubt] = field(default_factory=list)
    floors: list[Span] = field(default_factory=list)
    thunder: list[Span] = field(default_factory=list)
    hazards: list[Hazard] = field(default_factory=list)
    unmeasured: list[Span] = field(default_factory=list)
    wet: list[Span] = field(default_factory=list)
    """Rain, snow or ice that was said, whatever the amount: the ground is no longer dry."""

    def use(self, text: str, at: str, why: Use) -> None:
        """A piece that counts."""
        self.used.append(Remark(text, at, why))

    def leave(self, text: str, at: str, why: Harmless) -> None:
        """A piece that is known, and nothing in it bears on a shelter."""
        self.harmless.append(Remark(text, at, why))

    def unread(self, text: str, at: str, start: int, end: int, why: Rest = "not understood") -> None:
        """A piece that is not understood: it is printed, and its hours are unknown."""
        self.not_understood.append(Remark(text, at, why))
        self.doubts.append(
            Doubt(
                start, end, "lost" if why == "lost" else "statement", f"{at}: {seen(text, 40)} {WORDS[why]}"
            )
        )

    def lost(self, what: str, at: str, start: int, end: int, *, stays: bool = False) -> None:
        """What this kind of source says and this one does not; ``stays`` where what fell goes on lying."""
        self.not_understood.append(Remark(what, at, "lost"))
        self.doubts.append(Doubt(start, end, "lost", f"{at}: {what} {WORDS['lost']}", stays))

    def danger(
        self,
        kinds: Iterable[str],
        degree: Degree,
        start: int,
        end: int,
        words: str,
        *,
        light: bool = False,
    ) -> None:
        """Count dangers by the closed table. words: as they were said; light: amounts of nothing do not contradict it."""
        counts = tables.codes("danger-counts")
        for kind in kinds:
            if kind in ("snow", "ice", "rain", "hail"):
                self.wet.append(Span(start, end, 1.0, None, kind))
            elif kind == "cold":  # whatever water lies is ice
                self.wet.append(Span(start, end, 1.0, None, "ice"))
            for count in counts[f"{kind}.{degree}"].counts:
                self._count(count, kind, start, end, words, light=light)

    def _count(self, count: Count, kind: str, start: int, end: int, words: str, *, light: bool) -> None:
        if count in ("keep-away", "people-out", "secure"):
            self.hazards.append(Hazard(start, end, count, words))
        elif count == "unknown":
            self.doubts.append(
                Doubt(
                    start,
                    end,
                    "danger",
                    say("{words}: {kind} may come and nobody says how much", words=words, kind=kind),
                )
            )
        elif count == "thunder":
            self.thunder.append(Span(start, end, 1.0, None, words))
        elif count == "snow":
            self.unmeasured.append(Span(start, end, LIGHT if light else FIRM, None, words))
        elif count != "none":
            self.floors.append(Span(start, end, tables.row("warning-gust", count).value, None, words))

    def warning(self, phenomenon: str, significance: str, start: int, end: int, at: str) -> None:
        """An official warning by its two codes; one that is not on the public list is unknown."""
        said = f"{phenomenon}.{significance}"
        listed, degrees = tables.codes("vtec-phenomenon"), tables.codes("vtec-significance")
        if phenomenon not in listed or significance not in degrees:
            self.unread(said, at, start, end)
            return
        code = listed[phenomenon]
        if not code.danger:
            self.leave(said, at, "no weather")
            return
        self.use(said, at, "warning")
        words = say(
            "official {means} {means_2} ({said})",
            means=say(code.means),
            means_2=say(degrees[significance].means),
            said=said,
        )
        self.danger(code.danger, significance, start, end, words)  # type: ignore[arg-type]

    def close(self) -> Remarks:
        """The three heaps, each piece once in its place."""
        return Remarks(
            *(tuple(dict.fromkeys(heap)) for heap in (self.used, self.harmless, self.not_understood))
        )
