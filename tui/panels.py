"""The verdict, and the view with the drawing of the shelter and its page."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import groupby
from typing import TYPE_CHECKING, ClassVar

from rich.segment import Segment
from rich.style import Style
from textual.app import ComposeResult
from textual.binding import Binding
from textual.containers import Vertical
from textual.geometry import Region, Size
from textual.scroll_view import ScrollView
from textual.selection import Selection
from textual.strip import Strip as Cells

from anchorage.core.plain import cut, inert, wrap
from tui.painted import Painted

if TYPE_CHECKING:
    from anchorage.paper.drawing import Shape
    from tui.pages import Line

STALE = " STALE "
HEAVY = ("weak", "weak-label", "front", "wind")
"""What is bold on the drawing."""
TONES = ("-go", "-no-go", "-unknown", "-stale")


class Verdict(Painted):
    """Always in sight, in words. While anything is being mended it reads STALE and never an old go."""

    COMPONENT_CLASSES: ClassVar = {f"verdict-{t}" for t in TONES}

    def __init__(self) -> None:
        """Nothing is known yet."""
        super().__init__(id="verdict")
        self.said: tuple[str, str, tuple[str, ...], str] = ("STALE", "the program is starting", (), "-stale")
        self._lines: list[str] = []

    def on_resize(self) -> None:
        """The words are broken anew; this comes before the first time it is shown, too."""
        self._lines = []
        self.refresh()

    def say(self, word: str, what: str, more: tuple[str, ...], tone: str) -> None:
        """Word first and in reverse, then what it is about, then the next limit and as much more as there is room for."""
        if self.said != (word, what, more, tone):
            self.said, self._lines = (word, what, more, tone), []
            self.refresh()

    def _broken(self) -> list[str]:
        """Three lines: the verdict in one or two, the next limit, and what else is first to know."""
        word, what, more, _ = self.said
        wide = max(self.size.width, 20)
        head = f" {inert(word)} "
        lines = wrap(what, " " * len(head) + " ", " ", wide)
        rest = [cut(inert(m), wide - 1) for m in more]
        if len(lines) > 1:
            rest.insert(0, cut(" ".join(x.strip() for x in lines[1:]), wide - 1))
        return [head + lines[0][len(head) :], *(f" {r}" for r in rest[:2])]

    def render_line(self, y: int) -> Cells:
        """One of the three lines."""
        self._lines = self._lines or self._broken()
        style = self.style_of(f"verdict-{self.said[3]}")
        if y >= len(self._lines):
            return Cells.blank(self.size.width, style)
        text, parts = self._lines[y], list[Segment]()
        if y == 0:
            n = len(self.said[0]) + 2
            parts = [
                Segment(text[:n], style + Style(bold=True, reverse=True)),
                Segment(text[n:], style + Style(bold=True)),
            ]
        return Cells(parts or [Segment(text, style)]).adjust_cell_length(self.size.width, style)


class Drawing(Painted):
    """The shelter from above, to scale."""

    def __init__(self) -> None:
        """Empty until there is a plan."""
        super().__init__(id="drawing")
        self.shapes: tuple[Shape, ...] = ()
        self.plain = False
        self.stale = False
        self._rows: Sequence[Sequence[tuple[str, str]]] = ()
        self._for: tuple[object, ...] = ()

    def show(self, shapes: tuple[Shape, ...], *, plain: bool, stale: bool) -> None:
        """Draw other shapes; only what is other is drawn again."""
        if plain != self.plain or shapes != self.shapes:
            self.refresh()
        elif stale != self.stale:
            self.refresh(Region(0, 0, self.size.width, 1))
        self.shapes, self.plain, self.stale = shapes, plain, stale

    def picture(self) -> Sequence[Sequence[tuple[str, str]]]:
        """Rows of cells; drawn once for each size and plan."""
        wanted = (self.shapes, self.plain, self.size)
        if self._for != wanted:
            from tui.canvas import draw  # noqa: PLC0415 - after the first screen

            self._rows = draw(self.shapes, self.size.width, self.size.height, plain=self.plain).rows
            self._for = wanted
        return self._rows

    def render_line(self, y: int) -> Cells:
        """One row of the drawing."""
        base = self.base
        if not self.shapes:
            text = "The drawing comes with the first plan." if y == 0 else ""
            return Cells([Segment(text.ljust(self.size.width)[: self.size.width], base)], self.size.width)
        rows = self.picture()
        if y >= len(rows):
            return Cells.blank(self.size.width, base)
        bold = base + Style(bold=True)
        out = [
            Segment("".join(c for c, _ in run), bold if heavy else base)
            for heavy, run in groupby(rows[y], key=lambda cell: cell[1] in HEAVY)
        ]
        strip = Cells(out, sum(len(c) for c, _ in rows[y])).adjust_cell_length(self.size.width, base)
        if self.stale and y == 0:
            return Cells(
                [Segment(STALE, bold + Style(reverse=True)), *strip.crop(len(STALE))], self.size.width
            )
        return strip


class Page(ScrollView, Painted, can_focus=True):
    """Lines of a view; only those in sight are drawn. Scrolls; left and right go to the next variant or number.

    Scrolling comes first among what it is: its style sheet is taken from the first of them, and without that there is no bar and nothing scrolls.
    """

    BINDINGS = [  # noqa: RUF012 - Textual's way
        Binding("right", "app.again(1)", "Next", show=False),
        Binding("left", "app.again(-1)", "Before", show=False),
        Binding("enter", "app.enter", "Working", show=False),
    ]
    COMPONENT_CLASSES: ClassVar = {"page--head", "page--bad", "page--warn", "page--good"}

    def __init__(self) -> None:
        """Empty until there is something to say."""
        super().__init__(id="page")
        self.texts: list[Line] = []
        self.stale = False

    def mark(self, *, stale: bool) -> None:
        """Whether the lines are from before the last change: a word in the first row that is in sight."""
        if stale != self.stale:
            self.stale = stale
            self.refresh(Region(0, 0, self.size.width, 1))

    def show(self, lines: Sequence[Line]) -> None:
        """Other lines."""
        texts = [(inert(text), style) for text, style in lines]
        if texts == self.texts:
            return
        self.texts = texts
        size = Size(0, len(texts))  # lines are broken to fit: nothing is to the side
        if size != self.virtual_size:
            self.virtual_size = size
        self.refresh()

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
                    *strip.crop(0, wide - len(STALE)),
                    Segment(STALE, self.base + Style(bold=True, reverse=True)),
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


class View(Vertical):
    """The drawing and the page of one view."""

    def __init__(self) -> None:
        """The page of a view is text; it scrolls with the usual keys."""
        super().__init__(id="view")
        self.drawing, self.page = Drawing(), Page()

    def compose(self) -> ComposeResult:
        """Drawing above, page below."""
        yield self.drawing
        yield self.page

    def show(self, lines: Sequence[Line]) -> None:
        """Put lines on the page."""
        self.page.show(lines)

    @property
    def wide(self) -> int:
        """Columns of a line."""
        return max(self.size.width - 4, 24)
