"""Lines of words that can be clicked: views, keys, subjects."""

from __future__ import annotations

from collections.abc import Sequence

from textual.content import Content
from textual.events import Click
from textual.widgets import Static


class Strip(Static):
    """Words one after the other; the one that is on is in reverse and between marks, so that it shows without colour."""

    def __init__(self, items: Sequence[tuple[str, str, str]], *, id: str) -> None:  # noqa: A002 - Textual's name
        """Items: key, word, action."""
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

    def show(self) -> None:
        """Lay the words out in as many lines as they need."""
        wide = max(self.size.width, 20)
        parts: list[Content | tuple[str, str]] = []
        self.places, x, y = [], 0, 0
        for key, word, action in self.items:
            text = f"{key} {word}" if key else word
            if x and x + len(text) > wide:
                parts.append(("\n", ""))
                x, y = 0, y + 1
            self.places.append((y, x, x + len(text), action))
            style = "bold reverse" if action == self.on else ""
            if key:
                parts += [(key, style or "bold"), (f" {word}", style)]
            else:
                parts.append((word, style))
            parts.append((" ", ""))
            x += len(text) + 1
        self.update(Content.assemble(*parts))

    async def on_click(self, event: Click) -> None:
        """Do what the word says."""
        for y, left, right, action in self.places:
            if event.y == y and left <= event.x < right:
                event.stop()
                await self.app.run_action(action)
                return
