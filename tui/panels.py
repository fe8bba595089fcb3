"""The verdict, and the view with the drawing of the shelter and its page."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from rich.segment import Segment
from rich.style import Style
from textual.app import ComposeResult
from textual.binding import Binding
from textual.containers import Vertical, VerticalScroll
from textual.content import Content
from textual.strip import Strip as Cells
from textual.widget import Widget
from textual.widgets import Static

from anchorage.sheet import cut, inert, wrap

if TYPE_CHECKING:
    from tui.engine import Answer
    from tui.pages import Line

STYLES = {"head": "bold", "bad": "bold $error", "warn": "bold $warning", "good": "bold $success", "": ""}
TONES = ("-go", "-no-go", "-unknown", "-stale")


class Verdict(Static):
    """Always in sight, in words. While anything is being mended it reads STALE and never an old go."""

    def __init__(self) -> None:
        """Nothing is known yet."""
        super().__init__("", id="verdict", markup=False)
        self.said: tuple[str, str, tuple[str, ...], str] = ("STALE", "the program is starting", (), "-stale")

    def on_mount(self) -> None:
        """Show it."""
        self.show()

    def on_resize(self) -> None:
        """The words are broken anew."""
        self.show()

    def say(self, word: str, what: str, more: tuple[str, ...], tone: str) -> None:
        """Word first and in reverse, then what it is about, then the next limit and as much more as there is room for."""
        if self.said != (word, what, more, tone):
            self.said = (word, what, more, tone)
            self.show()

    def show(self) -> None:
        """Three lines: the verdict in one or two, the next limit, and what else is first to know."""
        word, what, more, tone = self.said
        for t in TONES:
            self.set_class(t == tone, t)
        wide = max(self.content_size.width, 20)
        head = f" {inert(word)} "
        lines = wrap(what, " " * len(head) + " ", " ", wide)
        rest = [cut(inert(m), wide - 1) for m in more]
        if len(lines) > 1:
            rest.insert(0, cut(" ".join(x.strip() for x in lines[1:]), wide - 1))
        self.update(
            Content.assemble(
                (head, "bold reverse"), (lines[0][len(head) :], "bold"), *(f"\n {r}" for r in rest[:2])
            )
        )


class Drawing(Widget):
    """The shelter from above, to scale."""

    def __init__(self) -> None:
        """Empty until there is a plan."""
        super().__init__(id="drawing")
        self.answer: Answer | None = None
        self.plain = False
        self.stale = False
        self._rows: Sequence[Sequence[tuple[str, str]]] = ()
        self._for: tuple[object, ...] = ()

    def show(self, answer: Answer | None, *, plain: bool, stale: bool) -> None:
        """Draw another plan."""
        self.answer, self.plain, self.stale = answer, plain, stale
        self.refresh()

    def picture(self) -> Sequence[Sequence[tuple[str, str]]]:
        """Rows of cells; drawn once for each size and plan."""
        wanted = (id(self.answer), self.plain, self.size)
        if self._for != wanted and self.answer is not None and self.answer.plan is not None:
            from anchorage.drawing import NOWHERE, plan_shapes  # noqa: PLC0415 - after the first screen
            from tui.canvas import draw  # noqa: PLC0415

            shapes = plan_shapes(
                self.answer.plan, self.answer.around or NOWHERE, hot_to_clean=self.answer.decon
            )
            self._rows = draw(shapes, self.size.width, self.size.height, plain=self.plain).rows
            self._for = wanted
        return self._rows

    def render_line(self, y: int) -> Cells:
        """One row of the drawing."""
        rows = self.picture()
        base = self.rich_style
        if self.answer is None or self.answer.plan is None:
            text = "The drawing comes with the first plan." if y == 0 else ""
            return Cells([Segment(text.ljust(self.size.width)[: self.size.width], base)], self.size.width)
        if y >= len(rows):
            return Cells.blank(self.size.width, base)
        bold = base + Style(bold=True)
        out = [Segment(c, bold if s in ("weak", "weak-label", "front", "wind") else base) for c, s in rows[y]]
        strip = Cells(out, sum(len(c) for c, _ in rows[y])).adjust_cell_length(self.size.width, base)
        if self.stale and y == 0:
            word = " STALE "
            return Cells([Segment(word, bold + Style(reverse=True)), *strip.crop(len(word))], self.size.width)
        return strip


class View(Vertical):
    """The drawing and the page of one view."""

    def __init__(self) -> None:
        """The page of a view is text; it scrolls with the usual keys."""
        super().__init__(id="view")

    def compose(self) -> ComposeResult:
        """Drawing above, page below."""
        yield Drawing()
        with Page(id="page"):
            yield Static("", id="lines", markup=False)

    def show(self, lines: Sequence[Line]) -> None:
        """Put lines on the page."""
        parts: list[tuple[str, str]] = []
        for text, style in lines:
            parts += [(inert(text), STYLES[style]), ("\n", "")]
        self.query_one("#lines", Static).update(Content.assemble(*parts))

    @property
    def wide(self) -> int:
        """Columns of a line."""
        return max(self.size.width - 4, 24)


class Page(VerticalScroll, can_focus=True):
    """Scrolls; up and down pick a check where there are checks, left and right go to the next variant or number."""

    BINDINGS = [  # noqa: RUF012 - Textual's way
        Binding("right", "app.again(1)", "Next", show=False),
        Binding("left", "app.again(-1)", "Before", show=False),
        Binding("enter", "app.enter", "Working", show=False),
    ]
