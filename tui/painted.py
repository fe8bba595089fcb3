"""A widget that paints its own lines. Its styles are worked out once, not for each line of each frame."""

from __future__ import annotations

from rich.segment import Segment
from rich.style import Style
from textual.strip import Strip as Cells
from textual.widget import Widget

from anchorage.core.plain import inert


class Painted(Widget):
    """Lines of cells; ``paint`` gives each of them."""

    _base: Style | None = None
    _styles_of: dict[str, Style]

    @property
    def base(self) -> Style:
        """The style of plain text here."""
        if self._base is None:
            self._base, self._styles_of = self.rich_style, {}
        return self._base

    def style_of(self, name: str) -> Style:
        """A named style of this widget; plain where there is no name."""
        base = self.base
        if not name:
            return base
        if name not in self._styles_of:
            self._styles_of[name] = self.get_component_rich_style(name)
        return self._styles_of[name]

    def notify_style_update(self) -> None:
        """Another theme, or the focus came or went."""
        self._base = None
        super().notify_style_update()

    def cells(self, text: str, name: str = "") -> Cells:
        """One line of words in a named style; nothing in them acts on the terminal."""
        return Cells([Segment(inert(text), self.style_of(name))]).adjust_cell_length(
            self.size.width, self.base
        )
