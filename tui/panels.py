"""The verdict, and the view with its page."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, ClassVar

from rich.segment import Segment
from rich.style import Style
from textual.binding import Binding
from textual.geometry import Region, Size
from textual.scroll_view import ScrollView
from textual.selection import Selection
from textual.strip import Strip as Cells

from anchorage.core.plain import columns, cut, inert, wrap
from anchorage.core.say import later, say
from tui.fields import plainly
from tui.keys import looking
from tui.painted import Painted

if TYPE_CHECKING:
    from tui.pages import Line

STALE = later(" FROM BEFORE ")
ROWS = (3, 6)
"""Lines of the verdict, at least and at most."""
TONES = ("-go", "-no-go", "-unknown", "-stale")


def _headline(word: str, what: str, wide: int) -> list[str]:
    """Words behind the word of a verdict, which has its room at the beginning of the first line."""
    lead = " " * (columns(inert(word).strip()) + 3)
    lines = wrap(what, lead, " ", wide)
    return lines if columns(lines[0]) <= wide else [lead, *wrap(what, " ", " ", wide)]


def _rows(texts: Sequence[str], wide: int) -> int:
    """Lines that they take, one under the other."""
    return sum(len(wrap(m, " ", " ", wide - 1)) for m in texts)


class Verdict(Painted):
    """Always in sight, in words. While anything is being corrected it says so and never an old go."""

    COMPONENT_CLASSES: ClassVar = {f"verdict-{t}" for t in TONES}

    def __init__(self) -> None:
        """Nothing is known yet."""
        super().__init__(id="verdict")
        self.said: tuple[str, str, tuple[str, ...], str, int] = (
            say("WAIT"),
            say("the program is starting"),
            (),
            "-stale",
            0,
        )
        self.steady = False
        """While one types it only grows: what stands below does not jump with each letter."""
        self._lines: list[str] = []
        self._own = 1
        """How many of them are of the verdict itself."""

    def on_resize(self) -> None:
        """The words are broken anew; this comes before the first time it is shown, too."""
        self._lines = []
        self._make_room()
        self.refresh()

    def say(self, word: str, what: str, more: tuple[str, ...], tone: str, must: int = 0) -> None:
        """Word first and in reverse, then what it is about, then the next limit and as much more as there is room for; must: so many of it at any cost."""
        what, more = plainly(what), tuple(plainly(m) for m in more)
        if self.said != (word, what, more, tone, must):
            self.said, self._lines = (word, what, more, tone, must), []
            self._make_room()
            self.refresh()

    def hold(self, *, steady: bool) -> None:
        """Whether one types now."""
        if steady != self.steady:
            self.steady = steady
            self._make_room()

    def _make_room(self) -> None:
        """Three lines; where the verdict itself and what must stand under it take more, so many. While it is waited for or one types, no fewer than before."""
        word, what, more, tone, must = self.said
        wide = max(self.size.width, 20)
        need = len(_headline(word, what, wide))
        need += _rows(more[:must], wide)
        least = self.size.height if tone == "-stale" or self.steady else 0
        high = min(max(need, ROWS[0], least), ROWS[1])
        if self.is_attached and self.styles.height is not None and self.styles.height.value != high:
            self.styles.height = high

    def _broken(self) -> list[str]:
        """The verdict in as many lines as it takes, and of the rest what has room whole: nothing of it is cut."""
        word, what, more, _, must = self.said
        wide, high = max(self.size.width, 20), max(self.size.height, 3)
        head = f" {inert(word).strip()} "
        lines = _headline(word, what, wide)
        room = max(high - _rows(more[:must], wide), 2)
        if len(lines) > room:
            lines = [*lines[: room - 1], cut(" " + " ".join(x.strip() for x in lines[room - 1 :]), wide - 1)]
        self._own = len(lines)
        for i, m in enumerate(more):
            rest = wrap(m, " ", " ", wide - 1) if m else []
            if i < must or len(lines) + len(rest) <= high:
                lines += rest[: max(high - len(lines), 0)]
        return [head + lines[0][len(head) :], *lines[1:]]

    def render_line(self, y: int) -> Cells:
        """One of the lines."""
        self._lines = self._lines or self._broken()
        style = self.style_of(f"verdict-{self.said[3]}")
        if y >= len(self._lines):
            return Cells.blank(self.size.width, style)
        text, parts = self._lines[y], list[Segment]()
        if y == 0:
            n = len(inert(self.said[0]).strip()) + 2
            parts = [
                Segment(text[:n], style + Style(bold=True, reverse=True)),
                Segment(text[n:], style + Style(bold=True)),
            ]
        plain = style + Style(bold=True) if y < self._own else style
        return Cells(parts or [Segment(text, plain)]).adjust_cell_length(self.size.width, style)


class Page(ScrollView, Painted, can_focus=True):
    """Lines of a view; only those in sight are drawn. Scrolls; left and right go to the next variant or number.

    Scrolling comes first among what it is: its style sheet is taken from the first of them, and without that there is no bar and nothing scrolls.
    """

    BINDINGS = [  # noqa: RUF012 - Textual's way
        Binding("right", "app.again(1)", later("Next"), show=False),
        Binding("left", "app.again(-1)", later("Before"), show=False),
        *looking(),
    ]
    COMPONENT_CLASSES: ClassVar = {"page--head", "page--bad", "page--warn", "page--good"}

    def __init__(self, name: str) -> None:
        """Empty until there is something to say. name: of the view."""
        super().__init__(id=f"page-{name}")
        self.texts: list[Line] = []
        self.stale = False

    def mark(self, *, stale: bool) -> None:
        """Whether the lines are from before the last change: a word in the first row that is in sight."""
        if stale != self.stale:
            self.stale = stale
            self.refresh(Region(0, 0, self.size.width, 1))

    def show(self, lines: Sequence[Line]) -> None:
        """Other lines."""
        texts = [(inert(line), style) for text, style in lines for line in text.split("\n")]
        if texts == self.texts:
            return
        before, self.texts = self.texts, texts
        size = Size(0, len(texts))  # lines are broken to fit: nothing is to the side
        if size != self.virtual_size or len(texts) != len(before):
            self.virtual_size = size
            self.refresh()
            return
        top, high = self.scroll_offset.y, self.size.height
        for y, (old, new) in enumerate(zip(before[top : top + high], texts[top : top + high], strict=True)):
            if old != new:
                self.refresh(Region(0, y, self.size.width, 1))

    def render_line(self, y: int) -> Cells:
        """One line of those in sight."""
        at, wide = y + self.scroll_offset.y, self.size.width
        if at >= len(self.texts) and not (self.stale and y == 0):
            return Cells.blank(wide, self.base)
        text, how = self.texts[at] if at < len(self.texts) else ("", "")
        style = self.style_of(f"page--{how}" if how else "")
        parts = [Segment(text, style)]
        span = self.text_selection.get_span(at) if self.text_selection is not None else None
        if span is not None:
            first, last = span[0], len(text) if span[1] == -1 else span[1]
            marked = style + Style(reverse=True)
            parts = [
                Segment(text[:first], style),
                Segment(text[first:last], marked),
                Segment(text[last:], style),
            ]
        strip = Cells(parts).adjust_cell_length(wide, self.base)
        if self.stale and y == 0:
            strip = Cells(
                [
                    *strip.crop(0, wide - columns(str(STALE))),
                    Segment(str(STALE), self.base + Style(bold=True, reverse=True)),
                ]
            )
        return strip.apply_offsets(0, at)

    def get_selection(self, selection: Selection) -> tuple[str, str] | None:
        """What was marked with the mouse, to copy."""
        return selection.extract("\n".join(text for text, _ in self.texts)), "\n"

    def selection_updated(self, selection: Selection | None) -> None:
        """Other words are marked."""
        del selection
        self.refresh()
