"""Words that can be clicked: the list of views, what is done with the file, with the record, and next; subjects."""

from __future__ import annotations

from collections.abc import Iterable

from textual.content import Content
from textual.events import Click
from textual.widgets import Static

from anchorage.core.plain import columns, wrap

GAP = 1
"""Columns between one and the next."""
RULE = "── "
"""How a line begins that is drawn across the page with words in it."""


class Strip(Static):
    """Words one after the other, each behind its key; the one that is on is in reverse."""

    def __init__(
        self, items: Iterable[tuple[str, str, str]], *, id: str, rule: bool = False, gap: int = GAP  # noqa: A002 - Textual's name
    ) -> None:  # fmt: skip
        """Items: key, word, action; one without an action is only said. rule: a line is drawn on to its end."""
        super().__init__(id=id, markup=False)
        self.items, self.rule, self.gap = list(items), rule, gap
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
        """Lay the words out in as many lines as they need; none is broken that has room on a line of its own."""
        wide, lead = max(self.size.width, 20), RULE if self.rule else ""
        parts: list[tuple[str, str]] = [(lead, "")]
        self.places, x, y = [], len(lead), 0
        for key, word, action in self.items:
            text = f"{key} {word}" if key else str(word)
            if x > len(lead) and x + columns(text) > wide:
                parts.append((f"\n{lead}", ""))
                x, y = len(lead), y + 1
            if not action:
                *above, text = wrap(text, wide=wide - len(lead))
                for line in above:
                    parts.append((f"{line}\n{lead}", "bold"))
                    x, y = len(lead), y + 1
            self.places.append((y, x, x + columns(text), action))
            parts += self._said(key, text, action)
            parts.append((" " * self.gap, ""))
            x += columns(text) + self.gap
        if self.rule:
            parts.append(("─" * max(wide - x, 0), ""))
        self._take(parts, y + 1)

    def _take(self, parts: list[tuple[str, str]], high: int) -> None:
        """Show it, and have room for it."""
        if self.styles.height is None or self.styles.height.value != high:
            self.styles.height = high
        self.update(Content.assemble(*parts), layout=False)

    def _said(self, key: str, text: str, action: str) -> list[tuple[str, str]]:
        """A key and its word; on or not."""
        if not action:
            return [(text, "bold")]
        on, n = "bold reverse" if action == self.on else "", len(key)
        return [(text[:n], on or "bold"), (text[n:], on)]

    async def on_click(self, event: Click) -> None:
        """Do what the word says."""
        at = event.get_content_offset(self)
        for y, left, right, action in self.places:
            if at is not None and action and at.y == y and left <= at.x < right:
                event.stop()
                await self.app.run_action(action)
                return


class Contents(Strip):
    """The list of views: two columns of five beside the verdict, or on as many lines as it needs under it."""

    HIGH = 5
    """Lines of a column."""

    def stand(self, *, beside: bool) -> None:
        """Beside the verdict or under it."""
        self.beside = beside
        self.show()

    beside = True

    def show(self) -> None:
        """Lay it out."""
        if not self.beside:
            self.styles.width = "100%"
            super().show()
            return
        said = [f"{key} {word}" for key, word, _ in self.items]
        columns_of = [range(i, min(i + self.HIGH, len(said))) for i in range(0, len(said), self.HIGH)]
        widths = [max(columns(said[i]) for i in column) for column in columns_of]
        self.styles.width = (
            sum(widths) + self.gap * (len(widths) - 1) + 3
        )  # its edge, and a column on each side
        parts: list[tuple[str, str]] = []
        self.places = []
        for y in range(min(self.HIGH, len(said))):
            parts.append(("\n" if y else "", ""))
            x = 0
            for column, wide in zip(columns_of, widths, strict=True):
                if y < len(column):
                    key, _, action = self.items[column[y]]
                    text = said[column[y]]
                    self.places.append((y, x, x + columns(text), action))
                    room = wide + (self.gap if column is not columns_of[-1] else 0)
                    parts += [*self._said(key, text, action), (" " * (room - columns(text)), "")]
                    x += room
        self._take(parts, min(self.HIGH, len(said)))
