"""What is asked over the screen: a file, a yes or no, help, the cautions before a sheet."""

from __future__ import annotations

import time
from collections.abc import Callable, Sequence
from functools import partial
from typing import Any, ClassVar, cast

from textual import on
from textual.app import App, ComposeResult
from textual.await_complete import AwaitComplete
from textual.binding import Binding
from textual.command import CommandList, CommandPalette
from textual.containers import Vertical, VerticalScroll
from textual.content import Content
from textual.events import Key
from textual.screen import ModalScreen, Screen
from textual.widgets import Input, OptionList, Static
from textual.widgets.option_list import Option

from anchorage.core.plain import inert
from anchorage.core.say import later, say

BOUNCE = 0.3
"""Seconds in which the key that closed something, pressed again, was meant for that: a glove bounces, a key is held down."""


class Bounce:
    """Which key closed the last thing that was asked, and until when it does nothing."""

    def __init__(self) -> None:
        """Nothing was closed yet."""
        self.last = self.key = ""
        self.until, self.rest = 0.0, BOUNCE

    def closed(self) -> None:
        """Something was closed by the key that came last."""
        self.key, self.until = self.last, time.monotonic() + self.rest

    def swallows(self, key: str) -> bool:
        """Whether this key is the same once more; while it goes on, so does the time."""
        if key == self.key and time.monotonic() < self.until:
            self.until = time.monotonic() + self.rest
            return True
        self.last, self.key = key, ""
        return False


class Once:
    """A screen that is answered once: whatever comes after its answer does nothing, neither here nor in what is under it."""

    app: App[Any]
    over = False

    def dismiss(self, result: Any = None) -> AwaitComplete:
        """Close with an answer, the first time."""
        if self.over:
            return AwaitComplete()
        self.over = True
        bounce = getattr(self.app, "bounce", None)
        if isinstance(bounce, Bounce):
            bounce.closed()
        return Screen.dismiss(cast("Screen[Any]", self), result)


class Dialog(Once, ModalScreen[str]):
    """A framed question. Esc gives no answer."""

    BINDINGS: ClassVar = [Binding("escape", "give('')", later("Back"), key_display="Esc")]

    def action_give(self, answer: str) -> None:
        """Close with an answer."""
        self.dismiss(answer)


class Choose(Dialog):
    """One of several answers, each with a key of its own."""

    def __init__(self, title: str, text: Sequence[str], answers: Sequence[tuple[str, str, str]]) -> None:
        """Answers: key, words, what is returned."""
        super().__init__()
        self.head, self.text, self.answers = title, text, list(answers)

    def compose(self) -> ComposeResult:
        """Words, then the answers."""
        with Vertical(classes="dialog"):
            yield Static(inert(self.head), classes="title", markup=False)
            yield Static("\n".join(inert(t) for t in self.text), markup=False)
            yield OptionList(
                *(
                    Option(Content(inert(f"{k.upper()}  {words}")), id=f"a{i}")
                    for i, (k, words, _) in enumerate(self.answers)
                ),
                markup=False,
            )
            yield Static(say("The letter, or arrows and Enter. Esc: back."), classes="hint", markup=False)

    def on_mount(self) -> None:
        """The first answer is under the cursor."""
        self.query_one(OptionList).focus()

    def on_key(self, event: object) -> None:
        """The letter of an answer."""
        key = str(getattr(event, "key", "")).lower()
        for letter, _, answer in self.answers:
            if key == letter:
                if isinstance(event, Key):  # the answer is no key of the view underneath
                    event.stop()
                    event.prevent_default()
                self.dismiss(answer)
                return

    @on(OptionList.OptionSelected)
    def _picked(self, event: OptionList.OptionSelected) -> None:
        self.dismiss(self.answers[event.option_index][2])


class AskPath(Dialog):
    """A path typed or picked."""

    def __init__(
        self,
        title: str,
        typed: str,
        offers: Sequence[tuple[str, str]],
        hint: str,
        look: Callable[[str], list[str]] | None = None,
    ) -> None:
        """Offers: words, what is returned. look: the picture and sizes of what is under the cursor."""
        super().__init__()
        self.head, self.typed, self.offers, self.hint, self.look = title, typed, list(offers), hint, look

    def compose(self) -> ComposeResult:
        """The path, then what is offered."""
        with Vertical(classes="dialog"):
            yield Static(inert(self.head), classes="title", markup=False)
            yield Input(inert(self.typed), placeholder=say("path of a file"), max_length=1000, id="path")
            if self.offers:
                yield OptionList(
                    *(Option(Content(inert(words)), id=f"o{i}") for i, (words, _) in enumerate(self.offers)),
                    markup=False,
                )
            if self.look is not None:
                yield Static("", id="looked", markup=False)
            yield Static(say("{hint} Esc: back.", hint=self.hint), classes="hint", markup=False)

    @on(OptionList.OptionHighlighted)
    def _seen(self, event: OptionList.OptionHighlighted) -> None:
        event.stop()
        if self.look is not None:
            lines = self.look(self.offers[event.option_index][1])
            self.query_one("#looked", Static).update(Content("\n".join(inert(x) for x in lines)))

    def on_mount(self) -> None:
        """Where there is something to pick, that is the quicker way."""
        if self.offers and not self.typed:
            self.query_one(OptionList).focus()
            self.query_one(OptionList).highlighted = 0
        else:
            self.query_one("#path", Input).focus()

    @on(Input.Submitted)
    def _typed(self, event: Input.Submitted) -> None:
        event.stop()
        if event.value.strip():
            self.dismiss(event.value.strip())

    @on(OptionList.OptionSelected)
    def _picked(self, event: OptionList.OptionSelected) -> None:
        self.dismiss(self.offers[event.option_index][1])


class Tell(Dialog):
    """Words to read."""

    BINDINGS: ClassVar = [
        Binding("enter", "give('')", later("Back")),
        Binding("f1", "give('')", later("Back")),
    ]

    def __init__(self, title: str, text: Sequence[str]) -> None:
        """Title and paragraphs."""
        super().__init__()
        self.head, self.text = title, text

    def compose(self) -> ComposeResult:
        """Words."""
        with Vertical(classes="dialog"):
            yield Static(inert(self.head), classes="title", markup=False)
            with VerticalScroll(classes="words"):
                yield Static(
                    "\n\n".join("\n".join(inert(x) for x in t.split("\n")) for t in self.text), markup=False
                )
            yield Static(say("Down, PgDn, End: further. Enter or Esc: back."), classes="hint", markup=False)


class _WhereTo(Input):
    """The path of a page. A space too many of those that turned the pages changes nothing of it."""

    async def _on_key(self, event: Key) -> None:
        if event.key == "space" and (not self.selection.is_empty or not self.value):
            event.stop()
            event.prevent_default()
            return
        await super()._on_key(event)


class Heed(Dialog):
    """Cautions that have to be gone through to the end before the page is written."""

    BINDINGS: ClassVar = [
        Binding("space", "down", later("Further")),
        Binding("pagedown", "down", later("Further"), priority=True),
        Binding("ctrl+p", "go", later("Write it"), priority=True),
    ]

    def __init__(self, verdict: str, lines: Sequence[str], path: str) -> None:
        """What must be read, and where the page would go."""
        super().__init__()
        self.verdict, self.lines, self.path, self.read = verdict, lines, path, False

    def compose(self) -> ComposeResult:
        """Verdict, cautions, path."""
        with Vertical(classes="dialog tall"):
            yield Static(inert(self.verdict), classes="title", markup=False)
            with VerticalScroll(id="cautions", classes="words"):
                yield Static("\n".join(inert(t) for t in self.lines), markup=False)
            yield Static("", id="ask", markup=False)
            yield _WhereTo(inert(self.path), id="path", max_length=1000, disabled=True, compact=True)
            yield Static(
                say("Space or PgDn: further. Up, PgUp: back a little. Esc: leave it, nothing is written."),
                classes="hint",
                markup=False,
            )

    def on_mount(self) -> None:
        """Begin at the top."""
        scroll = self.query_one("#cautions", VerticalScroll)
        scroll.focus()
        self.watch(scroll, "scroll_y", self._where, init=False)
        self.call_after_refresh(self._where)

    def _where(self) -> None:
        scroll = self.query_one("#cautions", VerticalScroll)
        end = scroll.scroll_y >= scroll.max_scroll_y - 0.5
        if not self.read and scroll.size.height and end:
            self._done()
        if not self.read:
            self.query_one("#ask", Static).update(
                Content(say("Read on to the end before the page can be written."))
            )

    def _done(self) -> None:
        self.read = True
        path = self.query_one("#path", Input)
        path.disabled = False
        self.query_one("#ask", Static).update(
            Content(say("Read. Enter or Ctrl+P writes the page (.pdf, .html or .txt) to:"))
        )
        path.focus()

    def action_down(self) -> None:
        """One page on."""
        self.query_one("#cautions", VerticalScroll).scroll_page_down(animate=False)

    def action_go(self) -> None:
        """Write, once all has been read."""
        path = self.query_one("#path", Input).value.strip() or self.path
        if self.read:
            self.dismiss(path)

    @on(Input.Submitted)
    def _entered(self, event: Input.Submitted) -> None:
        event.stop()
        self.action_go()


class Finder(Once, CommandPalette):
    """The palette, with words in the language of the interface."""

    def _start_no_matches_countdown(self, search_value: str) -> None:
        self._stop_no_matches_countdown()
        self._no_matches_timer = self.set_timer(
            self._NO_MATCHES_COUNTDOWN, partial(self._found_nothing, search_value)
        )

    def _found_nothing(self, wanted: str) -> None:
        if wanted:
            nothing = Content(say("Nothing has that name"))
            self.query_one(CommandList).add_option(Option(nothing, disabled=True, id=self._NO_MATCHES))
        self._list_visible = bool(wanted)
