"""What is asked over the screen: a file, a yes or no, help, the cautions before a sheet."""

from __future__ import annotations

import time
from collections.abc import Callable, Hashable, Sequence
from functools import partial
from pathlib import Path
from typing import Any, ClassVar, NamedTuple, cast

from textual import on
from textual.app import App, ComposeResult
from textual.await_complete import AwaitComplete
from textual.binding import Binding
from textual.command import CommandList, CommandPalette
from textual.containers import Vertical, VerticalScroll
from textual.content import Content
from textual.events import Key, Mount, Paste
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


class Told(Static):
    """What was done, or what went wrong, on a line that covers nothing."""

    def __init__(self) -> None:
        """Nothing yet."""
        super().__init__("", markup=False)
        self.words, self.until = "", 0.0

    def say(self, words: str, *, wrong: bool, stay: float) -> None:
        """Say it; stay: seconds for which no key takes it away."""
        self.words, self.until = words, time.monotonic() + stay
        self.update(Content(inert(words)))
        self.set_class(wrong, "-wrong")
        self.add_class("-said")

    def hush(self, words: str = "") -> None:
        """It has been said long enough: a key was pressed, or its time is over. words: of what; whatever is said, where left out."""
        if self.words and (words == self.words if words else time.monotonic() > self.until):
            self.words = ""
            self.remove_class("-said")


class Dialog(Once, ModalScreen[Any]):
    """A framed question. Esc gives no answer."""

    BINDINGS: ClassVar = [Binding("escape", "give('')", later("Back"), key_display="Esc")]

    def __init__(self) -> None:
        """A line above it for what was done."""
        super().__init__()
        self.told = Told()

    def _on_mount(self, event: Mount) -> None:
        """The line is there, whatever else is asked; what was said a moment ago on the screen below is said here too."""
        del event
        self.mount(self.told)
        below = getattr(self.app, "told", None)
        if isinstance(below, Told) and below.words:
            self.told.say(below.words, wrong=below.has_class("-wrong"), stay=below.until - time.monotonic())

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
        refuse: Callable[[str], str] | None = None,
        empty: str = "",
    ) -> None:
        """Offers: words, what is returned. look: the picture and sizes of what is under the cursor. refuse: why not what was typed, or nothing. empty: what stands where nothing is typed."""
        super().__init__()
        self.refuse = refuse
        self.head, self.typed, self.offers, self.hint, self.look = title, typed, list(offers), hint, look
        self.empty = empty or say("path of a file")

    def compose(self) -> ComposeResult:
        """The path, then what is offered."""
        with Vertical(classes="dialog"):
            yield Static(inert(self.head), classes="title", markup=False)
            yield Input(inert(self.typed), placeholder=self.empty, max_length=1000, id="path")
            yield Static("", id="wrong", classes="-wrong", markup=False)
            if self.offers:
                yield OptionList(
                    *(Option(Content(inert(words)), id=f"o{i}") for i, (words, _) in enumerate(self.offers)),
                    id="list",
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
        self._say_wrong("")
        if self.offers and not self.typed:
            self.query_one(OptionList).focus()
            self.query_one(OptionList).highlighted = 0
        else:
            self.query_one("#path", Input).focus()

    def on_key(self, event: Key) -> None:
        """Typing is for the path, wherever one is; arrows and Enter are for what is offered."""
        path = self.query_one("#path", Input)
        if self.focused is not path and event.is_printable and event.character:
            event.stop()
            event.prevent_default()
            path.select_on_focus = False
            path.focus()
            path.insert_text_at_cursor(event.character)

    def on_paste(self, event: Paste) -> None:
        """The same of a path that is pasted."""
        path = self.query_one("#path", Input)
        if self.focused is not path and event.text.strip():
            event.stop()
            path.select_on_focus = False
            path.focus()
            path.insert_text_at_cursor(inert(event.text.strip().splitlines()[0]))

    @on(Input.Submitted)
    def _typed(self, event: Input.Submitted) -> None:
        event.stop()
        typed = event.value.strip()
        if typed and (why := self.refuse(typed) if self.refuse is not None else ""):
            self._say_wrong(say("! {typed}: {why}", typed=typed, why=why))
        elif typed:
            self.dismiss(typed)
        else:
            self._say_wrong(say("! nothing is typed: the path of a file is needed"))

    @on(Input.Changed)
    def _changed(self, event: Input.Changed) -> None:
        event.stop()
        self._say_wrong("")

    def _say_wrong(self, text: str) -> None:
        """What is wrong with the path, under it, until it is another; without that there is no line for it."""
        wrong = self.query_one("#wrong", Static)
        wrong.display = bool(text)
        wrong.update(Content(inert(text)))

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

    offered = ""
    """What stands there until something is typed."""

    def offer(self, path: str) -> None:
        """A path, with the cursor behind it."""
        self.offered = self.value = path
        self.cursor_position = len(path)

    async def _on_key(self, event: Key) -> None:
        if event.key == "space" and self.value in ("", self.offered):
            event.stop()
            event.prevent_default()
            return
        await super()._on_key(event)


class Printed(NamedTuple):
    """What is to be printed, and where to."""

    path: str
    what: Hashable


class Offer(NamedTuple):
    """Something that can be printed: its words, what it is, the path that it would go to, and the ends of names that it can have."""

    words: str
    what: Hashable
    path: str
    endings: tuple[str, ...] = (".html",)


class Heed(Dialog):
    """Cautions, page after page, none skipped; then what to print and where to."""

    BINDINGS: ClassVar = [
        Binding("space,pagedown", "page(1)", later("Further"), priority=True),
        Binding("pageup", "page(-1)", later("Back"), priority=True),
        Binding("down", "turn(1)", later("Further"), priority=True),
        Binding("up", "turn(-1)", later("Back"), priority=True),
        Binding("tab", "ending(1)", later("Another ending"), priority=True),
        Binding("shift+tab", "ending(-1)", later("Another ending"), priority=True),
        Binding("enter,ctrl+p", "go", later("Write it"), priority=True),
    ]

    def __init__(
        self,
        verdict: str,
        lines: Sequence[str],
        offers: Sequence[Offer],
        refuse: Callable[[str, Hashable], str] | None = None,
    ) -> None:
        """What must be read, and what can be printed then; the first where nothing else is picked. refuse: why it cannot go to a path, or nothing."""
        super().__init__()
        self.refuse = refuse
        self.verdict, self.lines, self.offers = verdict, list(lines), list(offers)
        self.read, self.at, self.picked = False, 0, 0
        """Whether all was read; the first line of the page that is shown; which of the offers is marked."""

    def compose(self) -> ComposeResult:
        """Verdict, a page of the cautions, then what is offered and the path."""
        with Vertical(classes="dialog tall"):
            yield Static(inert(self.verdict), classes="title", markup=False)
            yield Static("", id="cautions", classes="words", markup=False)
            yield Static("", id="offers", markup=False)
            yield _WhereTo(id="path", max_length=1000, disabled=True, compact=True, select_on_focus=False)
            yield Static("", id="ask", markup=False)

    def on_mount(self) -> None:
        """Begin at the top."""
        path = self.query_one("#path", _WhereTo)
        path.offer(inert(self.offers[0].path))
        path.display = self.query_one("#offers", Static).display = False
        self.call_after_refresh(self.show)

    def on_resize(self) -> None:
        """Pages have other lines: the one that was begun is shown from its beginning."""
        self.call_after_refresh(self.show)

    @property
    def high(self) -> int:
        """Lines of a page."""
        return max(self.query_one("#cautions", Static).size.height, 1)

    def show(self) -> None:
        """The page, and which one it is; or what is offered."""
        words, ask = self.query_one("#cautions", Static), self.query_one("#ask", Static)
        if not self.read:
            high = self.high
            words.update(Content("\n".join(inert(x) for x in self.lines[self.at : self.at + high])))
            here, all_ = self.at // high + 1, max(-(-len(self.lines) // high), 1)
            ask.update(
                Content(
                    say(
                        "Page {page} of {pages}. Space or PgDn: further. Up or PgUp: back. Esc: leave it.",
                        page=here,
                        pages=all_,
                    )
                )
            )
            return
        marked = [
            (f"{'>' if i == self.picked else ' '} {inert(o.words)}", i) for i, o in enumerate(self.offers)
        ]
        style = {True: "bold reverse", False: ""}
        words.update(Content(say("All was read. What to print, and where to:")))
        self.query_one("#offers", Static).update(
            Content.assemble(*((f"{text}\n", style[i == self.picked]) for text, i in marked))
        )
        self._tell()

    def _tell(self, wrong: str = "") -> None:
        """What the keys do; or what is wrong with the path, until it is another."""
        ask = self.query_one("#ask", Static)
        ask.set_class(bool(wrong), "-wrong")
        endings = ", ".join(self.offers[self.picked].endings)
        keys = say(
            "Up, Down: what. Tab: ending ({endings}). Enter writes it. Esc: leave it.", endings=endings
        )
        ask.update(Content(inert(wrong) or keys))

    @on(Input.Changed)
    def _changed(self, event: Input.Changed) -> None:
        event.stop()
        if self.read:
            self._tell()

    def check_action(self, action: str, parameters: tuple[object, ...]) -> bool | None:
        """Once all was read a space is one of the path."""
        del parameters
        return not (action == "page" and self.read)

    def action_page(self, by: int) -> None:
        """One page on or back; after the last, what is offered."""
        if by > 0 and self.at + self.high >= len(self.lines):
            path = self.query_one("#path", Input)
            self.read, path.disabled, path.display = True, False, True
            self.query_one("#cautions").add_class("-read")
            self.query_one("#offers", Static).display = True
            path.focus()
        else:
            self.at = max(self.at + by * self.high, 0)
        self.show()

    def action_turn(self, by: int) -> None:
        """The same; once all was read, another of the offers."""
        if not self.read:
            self.action_page(by)
            return
        path = self.query_one("#path", _WhereTo)
        self.picked = (self.picked + by) % len(self.offers)
        if path.value == path.offered:
            path.offer(inert(self.offers[self.picked].path))
        self.show()

    def _ending(self, path: Path) -> str:
        """The end of a name that says what is written; nothing where it has none of those."""
        ending = path.suffix.lower()
        return ending if any(ending in o.endings for o in self.offers) else ""

    def action_ending(self, by: int) -> None:
        """Another ending of the name that is typed, of those that what is picked can have."""
        if not self.read:
            return
        field, offer = self.query_one("#path", _WhereTo), self.offers[self.picked]
        path = Path(field.value.strip() or offer.path)
        ending = self._ending(path)
        at = offer.endings.index(ending) + by if ending in offer.endings else 0
        field.offer(f"{path.with_suffix('') if ending else path}{offer.endings[at % len(offer.endings)]}")

    def action_go(self) -> None:
        """Write, once all has been read; a name without an ending gets the one that is offered."""
        if not self.read:
            return
        offer = self.offers[self.picked]
        typed = self.query_one("#path", Input).value.strip() or offer.path
        typed = typed if self._ending(Path(typed)) else typed + offer.endings[0]
        wrong = "" if self.refuse is None else self.refuse(typed, offer.what)
        if wrong:
            self._tell(say("! {typed}: {why}", typed=typed, why=wrong))
        else:
            self.dismiss(Printed(typed, offer.what))


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
