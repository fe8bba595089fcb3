"""Lines of words that can be clicked: views, keys, subjects."""

from __future__ import annotations

from collections.abc import Iterable

from textual.content import Content
from textual.events import Click
from textual.widgets import Static

HANGS = 60
"""Columns from which the words of a group stand behind its name."""


class Strip(Static):
    """Words one after the other; the one that is on is in reverse and between marks, so that it shows without colour."""

    def __init__(self, items: Iterable[tuple[str, str, str]], *, id: str) -> None:  # noqa: A002 - Textual's name
        """Items: key, word, action; one without an action is the name of the group that follows."""
        super().__init__(id=id, markup=False)
        self.items = list(items)
        self.on = ""
        self.places: list[tuple[int, int, int, str]] = []

    def on_mount(self) -> None:
        """Show it."""
        self.show()

    def on_resize(self) -> None:
        """The words are broken anew."""
        self.show()

    def turn(self, action: str) -> None:
        """Which of them is on."""
        if action != self.on:
            self.on = action
            self.show()

    def take(self, items: Iterable[tuple[str, str, str]]) -> None:
        """Other words."""
        every = list(items)
        if every != self.items:
            self.items = every
            self.show()

    def show(self) -> None:
        """Lay the words out in as many lines as they need. A group stands on one line with another only where there is room for all of it; its words are each before their key."""
        wide = max(self.size.width, 20)
        names = [len(word) for _, word, action in self.items if not action]
        hang = max(names) + 2 if names and wide >= HANGS else 0
        parts: list[Content | tuple[str, str]] = []
        self.places, x, y = [], 0, 0
        for i, (key, word, action) in enumerate(self.items):
            text = (f"{word} {key}" if names else f"{key} {word}") if key else str(word)
            if x > hang and x + (len(text) if action else self._wide_of(i)) > wide:
                parts.append(("\n" + " " * (hang if action else 0), ""))
                x, y = hang if action else 0, y + 1
            if not action:
                room = len(text) + 2 if x else max(hang, len(text) + 1)
                parts.append((text.ljust(room), "bold"))
                x += room
                continue
            self.places.append((y, x, x + len(text), action))
            style = "bold reverse" if action == self.on else ""
            n = len(key)
            if not key:
                parts.append((text, style))
            elif names:
                parts += [(text[:-n], style), (text[-n:], style or "bold")]
            else:
                parts += [(text[:n], style or "bold"), (text[n:], style)]
            gap = " " * (2 if names else 1)
            parts.append((gap, ""))
            x += len(text) + len(gap)
        if (
            self.id == "views"
            and self.size.width
            and (self.styles.height is None or self.styles.height.value != y + 1)
        ):
            self.styles.height = y + 1
        self.update(Content.assemble(*parts))

    def _wide_of(self, at: int) -> int:
        """Columns of a group, its name included."""
        wide = 0
        for i, (key, word, action) in enumerate(self.items[at:]):
            if i and not action:
                break
            wide += len(f"{word} {key}" if key else str(word)) + 2
        return wide

    async def on_click(self, event: Click) -> None:
        """Do what the word says."""
        for y, left, right, action in self.places:
            if event.y == y and left <= event.x < right:
                event.stop()
                await self.app.run_action(action)
                return
