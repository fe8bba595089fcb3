"""Lines of words that can be clicked: views, keys, subjects."""

from __future__ import annotations

from collections.abc import Iterable

from textual.content import Content
from textual.events import Click
from textual.widgets import Static


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
        """Lay the words out in as many lines as they need; a group is not left alone at the end of a line."""
        wide = max(self.size.width, 20)
        parts: list[Content | tuple[str, str]] = []
        self.places, x, y = [], 0, 0
        for i, (key, word, action) in enumerate(self.items):
            text = f"{key} {word}" if key else str(word)
            after = self.items[i + 1] if not action and i + 1 < len(self.items) else None
            room = len(text) + (len(f"{after[0]} {after[1]}") + 1 if after is not None else 0)
            if x and x + room > wide:
                parts.append(("\n", ""))
                x, y = 0, y + 1
            if action:
                self.places.append((y, x, x + len(text), action))
            style = "bold reverse" if action and action == self.on else ""
            if key:
                parts += [(key, style or "bold"), (f" {word}", style)]
            else:
                parts.append((text, style if action else "underline"))
            parts.append((" ", ""))
            x += len(text) + 1
        if (
            self.id == "views"
            and self.size.width
            and (self.styles.height is None or self.styles.height.value != y + 1)
        ):
            self.styles.height = y + 1
        self.update(Content.assemble(*parts))

    async def on_click(self, event: Click) -> None:
        """Do what the word says."""
        for y, left, right, action in self.places:
            if event.y == y and left <= event.x < right:
                event.stop()
                await self.app.run_action(action)
                return
