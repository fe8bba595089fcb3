"""Undo: drafts one after the other."""

from __future__ import annotations

from dataclasses import dataclass, field

from anchorage.deployment.draft import Draft


@dataclass
class History:
    """Drafts one after the other. What is typed into a field is a single step, up to leaving it."""

    now: Draft
    past: list[Draft] = field(default_factory=list)
    future: list[Draft] = field(default_factory=list)
    field_open: str = ""
    MOST = 500

    def edit(self, key: str, text: str) -> None:
        """Take what was typed in a field."""
        if self.now.text(key) == text:
            return
        if self.field_open != key:
            self._step()
            self.field_open = key
        self.future.clear()
        self.now = self.now.with_(key, text)

    def replace(self, draft: Draft) -> None:
        """Take a whole draft as one step."""
        self._step()
        self.field_open = ""
        self.future.clear()
        self.now = draft

    def close(self) -> None:
        """The field was left: what is typed next is a step of its own."""
        self.field_open = ""

    def undo(self) -> bool:
        """One step back."""
        self.close()
        if not self.past:
            return False
        self.future.append(self.now)
        self.now = self.past.pop()
        return True

    def redo(self) -> bool:
        """One step forward again."""
        self.close()
        if not self.future:
            return False
        self.past.append(self.now)
        self.now = self.future.pop()
        return True

    def _step(self) -> None:
        self.past.append(self.now)
        del self.past[: -self.MOST]
