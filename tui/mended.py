"""What is mended of Textual here, until Textual does: each has a test that fails when it is needed no more, and it is then taken out."""

from __future__ import annotations

from typing import Any

from textual._ansi_sequences import ANSI_SEQUENCES_KEYS
from textual.widgets import OptionList

PAGE = OptionList._move_page  # noqa: SLF001 - what is mended
"""As Textual has it."""


def alt_is_alt() -> None:
    """Most terminals send Esc and the digit for Alt and a digit; Textual reads some of these as the letters of one keyboard."""
    known: Any = ANSI_SEQUENCES_KEYS
    for digit in "0123456789":
        known.pop(f"\x1b{digit}", None)


def _page(self: OptionList, direction: Any) -> None:
    lines = self._index_to_line
    if (self.highlighted or 0) in lines and self._lines:
        PAGE(self, direction)


def a_list_without_room_has_no_pages() -> None:
    """In a terminal so small that a list has no line, a page further is a KeyError in Textual."""
    OptionList._move_page = _page  # type: ignore[method-assign] # noqa: SLF001 - it is its own class that asks


def everything() -> None:
    """All of it; twice is once."""
    alt_is_alt()
    a_list_without_room_has_no_pages()
