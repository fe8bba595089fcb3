"""What is being worked on, and what is known of it: plain data, and what follows from it. No screen, no thread, no clock."""

from __future__ import annotations

from dataclasses import dataclass, field
from pathlib import Path

from anchorage.deployment.draft import Draft
from tui import engine, metering, owner, store
from tui.history import History
from tui.recording import Stands

VARIANTS = (*engine.VARIANTS, engine.KEPT, engine.AS_SAVED, engine.EVERY)
"""What may be compared with."""


@dataclass
class Session:
    """A file, its draft, the answers that came for it, and what of them is looked at."""

    doc: store.Document = field(default_factory=store.Document)
    place: owner.Place = field(default_factory=owner.Place)
    underneath: bool = False
    """Somebody else wrote the file since it was opened."""
    history: History = field(default_factory=lambda: History(Draft()))
    forecasts: tuple[Path, ...] = ()
    kept: Draft | None = None
    """To compare with."""
    number: int = 0
    """Of the changes; an answer that carries another one is late."""
    answer: engine.Answer | None = None
    """The last answer, whether it has a plan or not."""
    good: engine.Answer | None = None
    """The last answer with a plan."""
    weather_found: engine.Weather | None = None
    compared: engine.Compared | None = None
    worked: tuple[int, str, list[str]] = (0, "", [])
    """Of which answer, of which number, and its working."""
    stands: Stands | None = None
    meter: metering.Metering | None = None
    """A meter that is read, in a thread of its own."""
    view_name: str = "answer"
    variant: str = VARIANTS[0]
    topic: str = engine.GOVERNS
    filling: bool = False
    """In the form, and not looking at a view."""
    plain: bool = False
    """Drawn without dots."""

    @property
    def draft(self) -> Draft:
        """What is typed now."""
        return self.history.now

    @property
    def fresh(self) -> bool:
        """The answer is for what is typed now."""
        return self.answer is not None and self.answer.draft is self.draft

    @property
    def dirty(self) -> bool:
        """Something is typed that the file does not have."""
        return self.draft != self.doc.saved

    @property
    def beside(self) -> Path | None:
        """The file that a record may stand beside."""
        return self.doc.path if self.doc.original else None

    @property
    def recorded(self) -> bool:
        """A record stands over what is typed."""
        return (
            self.answer is not None
            and self.answer.plan is not None
            and self.answer.plan.record is not None
            and self.answer.plan.record.entries > 0
        )

    @property
    def standing(self) -> bool:
        """Where it stands by its record is not worked out yet for the answer that there is."""
        return (
            self.recorded
            and self.answer is not None
            and (self.stands is None or self.stands.number != self.answer.number)
        )

    @property
    def forecast_given(self) -> bool:
        """There is a forecast that counts."""
        typed = self.answer.draft.typed if self.answer is not None else {}
        return bool(self.forecasts) or any(k.startswith("forecast.lines") for k in typed)

    @property
    def judging(self) -> bool:
        """The forecast is not judged yet for the answer that there is."""
        found = self.weather_found
        return self.forecast_given and (
            found is None or self.answer is None or found.number != self.answer.number
        )

    @property
    def answer_number(self) -> int:
        """Of what is typed now; -1 while it is not answered yet."""
        return self.answer.number if self.fresh and self.answer is not None else -1

    def begin(self, doc: store.Document, draft: Draft | None = None) -> None:
        """Another file, or what there is of one: what was found of the one before, and its forecast, go with it."""
        if doc.path is None or doc.path != self.doc.path:
            self.forecasts = ()
        self.stands = self.weather_found = self.compared = None
        self.doc, self.underneath = doc, False
        self.history = History(draft if draft is not None else doc.saved)
        self.good = None

    def answered(self, answer: engine.Answer) -> bool:
        """Take an answer; whether it is for what is typed now."""
        if answer.number != self.number:
            return False
        self.answer = answer
        if answer.plan is not None:
            self.good = answer
        return True

    def next_variant(self, by: int) -> str:
        """The next one that is not as it is already."""
        at = VARIANTS.index(self.variant)
        turned = [VARIANTS[(at + by * i) % len(VARIANTS)] for i in range(1, len(VARIANTS) + 1)]
        differ = (v for v in turned if engine.variant(v, self.draft, self.kept, self.doc.saved) != self.draft)
        return next(differ, turned[0])

    def next_topic(self, by: int, every: list[str]) -> str:
        """The next number or check."""
        at = every.index(self.topic) if self.topic in every else -1 if by > 0 else 0
        return every[(at + by) % len(every)]
