"""The interface: a form on the left, what it comes to on the right, the verdict always above.

The draft is the truth; answers come from a worker and carry a number, and a late one is dropped.
"""

from __future__ import annotations

import time
from collections.abc import Iterable
from functools import partial
from pathlib import Path
from typing import Any

from textual import on, work
from textual.app import App, ComposeResult, SystemCommand
from textual.containers import Horizontal
from textual.message import Message
from textual.screen import Screen
from textual.widgets import Static

from anchorage.draft import Draft, History
from tui import engine, store
from tui.dialogs import Dialog, Tell
from tui.fields import FIELDS, KEYS, SUBJECTS, labelled, nudged, subject_of
from tui.filing import Filing
from tui.form import Form
from tui.help import HELP
from tui.keys import ACTIONS, bindings, strip
from tui.panels import Page, Verdict, View
from tui.showing import Showing
from tui.strips import Strip
from tui.themes import THEMES

REST = 0.6
"""Seconds without typing after which a field is told that it has to be mended."""
DEEP = 0.35
"""Seconds without typing after which the slower questions are asked: an anchor lost, half built, advice."""

NAMES = frozenset(a.name.partition("(")[0] for a in ACTIONS) - {"theme", "command_palette"}


class Arrived(Message):
    """Something came back from a worker."""

    def __init__(self, what: Any) -> None:
        """What it is says what to do with it."""
        super().__init__()
        self.what = what


class AnchorageApp(Showing, Filing, App[None]):
    """One place to fill in a deployment and to see what it means."""

    CSS_PATH = "app.tcss"
    TITLE = "anchorage"
    BINDINGS = bindings()  # type: ignore[assignment]
    HORIZONTAL_BREAKPOINTS = [(0, "-tiny"), (80, "-narrow"), (110, "-wide")]  # noqa: RUF012 - as Textual declares it
    VERTICAL_BREAKPOINTS = [(0, "-short"), (34, "-tall")]  # noqa: RUF012 - as Textual declares it
    ENABLE_COMMAND_PALETTE = True

    def __init__(self, path: Path | None = None, *, clock: float | None = None) -> None:
        """path: the file to open. clock: for tests, the time at which a forecast is judged."""
        super().__init__()
        self.start_path, self.clock = path, clock
        self.doc = store.Document(path)
        self.history = History(Draft())
        self.forecasts: tuple[Path, ...] = ()
        self.kept: Draft | None = None
        self.number = 0
        self.busy = False
        self.answer: engine.Answer | None = None
        """The last answer, whether it has a plan or not."""
        self.good: engine.Answer | None = None
        """The last answer with a plan."""
        self.weather_found: engine.Weather | None = None
        self.compared: engine.Compared | None = None
        self.worked: tuple[int, str, list[str]] = (0, "", [])
        self.stands: engine.Stands | None = None
        self.view_name = "place"
        self.variants = [*engine.VARIANTS, engine.KEPT, engine.AS_SAVED]
        self.variant = self.variants[0]
        self.topic = "what governs"
        self.plain = bool(store.recall("plain", False))
        self.typed_at = 0.0
        self.deep_after = DEEP
        self.ready = False

    def compose(self) -> ComposeResult:
        """Verdict, form and view, keys."""
        yield Verdict()
        yield Static("", id="status", markup=False)
        yield Strip([(a.shown, a.word, a.name) for a in strip("views")], id="views")
        with Horizontal(id="body"):
            yield Form()
            yield View()
        yield Strip([(a.shown, a.word, a.name) for a in strip("foot")], id="foot")

    def on_mount(self) -> None:
        """Themes, then the first screen; all that is slow comes after it."""
        for theme in THEMES:
            self.register_theme(theme)
        self.theme = (
            store.recall("theme", "sun") if store.recall("theme", "sun") in ("sun", "night") else "sun"
        )
        self.show_view("place")
        self.begin_file(self.start_path)  # before any key can come, so that none is lost
        first = next(self.form.inputs(), None)
        if first is not None and not isinstance(self.screen, Dialog):
            self.screen.set_focus(first)
        self.call_after_refresh(self._begin)

    def _begin(self) -> None:
        self.ready = True
        self._ask()
        self.set_interval(1.0, self.tick)
        self.set_interval(60.0, self.ask_weather)

    @property
    def form(self) -> Form:
        """The form."""
        return self.screen_stack[0].query_one(Form)

    @property
    def view(self) -> View:
        """The view."""
        return self.screen_stack[0].query_one(View)

    @property
    def draft(self) -> Draft:
        """What is typed now."""
        return self.history.now

    @property
    def fresh(self) -> bool:
        """The answer is for what is typed now."""
        return self.answer is not None and self.answer.draft is self.draft

    # From typing to an answer

    @on(Form.Typed)
    def _typed(self, event: Form.Typed) -> None:
        self.history.edit(event.key, event.text)
        self.form.draft = self.draft
        self.form.scold = False
        self.typed_at = time.monotonic()
        self.set_timer(REST, self._rested)
        self.changed()

    def _rested(self) -> None:
        if self.screen_stack and not self.form.scold and time.monotonic() - self.typed_at >= REST * 0.95:
            self.form.scold = True
            self.form.marks()

    @on(Form.Left)
    def _left(self) -> None:
        self.history.close()
        self.form.scold = True

    @on(Form.Lines)
    async def _lines(self, event: Form.Lines) -> None:
        first = int(event.key.rsplit("[", 1)[1].rstrip("]"))
        texts = {f"forecast.lines[{first + i}]": t for i, t in enumerate(event.lines) if first + i <= 8}
        self.take(self.draft.over(texts))

    def take(self, draft: Draft) -> None:
        """Another draft as one step that can be undone."""
        self.history.replace(draft)
        self.form.show_draft(draft)
        self.changed()

    def changed(self) -> None:
        """Something was changed: the verdict is stale at once, and is worked out anew."""
        self.number += 1
        self.show_verdict()
        self.show_status()
        self._ask()

    def _ask(self) -> None:
        if self.ready and not self.busy:
            self.busy = True
            self._evaluate(self.draft, self.number)

    @work(thread=True, group="plan", exit_on_error=False)
    def _evaluate(self, draft: Draft, number: int, deep: bool = False) -> None:
        self.post_message(Arrived(engine.evaluate(draft, number, self.doc.folder, deep=deep)))

    @on(Arrived)
    def _arrived(self, event: Arrived) -> None:
        what = event.what
        if not self.screen_stack:
            return  # it is being left
        if isinstance(what, engine.Answer):
            self._answered(what)
        elif what.number != self.number:
            return  # late: something was typed since
        elif isinstance(what, engine.Weather):
            self.weather_found = what
            self.show_verdict()
            self.show_page("weather")
        elif isinstance(what, engine.Compared):
            self.compared = what
            self.show_page("compare")

    def ask_now(self) -> None:
        """Where the installation stands by its record."""
        if self.doc.path is not None and self.doc.original:
            self._stand(self.doc.path, self.forecasts)

    @work(thread=True, group="now", exclusive=True, exit_on_error=False)
    def _stand(self, path: Path, forecasts: tuple[Path, ...]) -> None:
        self.call_from_thread(self._stood, engine.now(path, forecasts))

    def _stood(self, found: engine.Stands) -> None:
        self.stands = found
        self.show_page("now")

    def _answered(self, answer: engine.Answer) -> None:
        self.busy = False
        if answer.number != self.number:
            self._ask()  # late: dropped, and what is typed now is asked about
            return
        self.answer = answer
        if answer.plan is not None:
            self.good = answer
        faults = {t.key: t.text for t in answer.faults}
        self.form.show_answer(faults, answer.echoes, answer.inherited)
        self.show_verdict()
        self.show_status()
        self.show_drawing()
        if answer.plan is not None and not answer.deep:
            self.set_timer(self.deep_after, partial(self._deepen, answer.number))
            self.ask_weather()
        if self.view_name == "compare":
            self.ask_compare()
        if self.view_name == "working":
            self.ask_working()
        self.show_page(self.view_name)

    def _deepen(self, number: int) -> None:
        if number == self.number and not self.busy and self.screen_stack:
            self.busy = True
            self._evaluate(self.draft, number, deep=True)

    def ask_weather(self) -> None:
        """Judge the forecast again; the clock moves too."""
        if self.answer is None or self.answer.plan is None or not self.fresh or not self.screen_stack:
            return
        if self.forecast_given:
            self._judge(self.answer, self.number)
        elif self.weather_found is not None and self.weather_found.outlook is not None:
            self.weather_found = None
            self.show_verdict()

    @work(thread=True, group="weather", exclusive=True, exit_on_error=False)
    def _judge(self, answer: engine.Answer, number: int) -> None:
        self.post_message(Arrived(engine.weather(answer, self.forecasts, number, self.clock)))

    def ask_compare(self) -> None:
        """Work out the other variant."""
        if self.fresh:
            other = engine.variant(self.variant, self.draft, self.kept, self.doc.saved)
            self._compare(self.variant, other, self.number)

    @work(thread=True, group="compare", exclusive=True, exit_on_error=False)
    def _compare(self, name: str, other: Draft | None, number: int) -> None:
        self.post_message(Arrived(engine.compare(name, other, self.doc.folder, number)))

    def ask_working(self) -> None:
        """Work out where the picked number comes from."""
        if self.good is not None and (self.worked[0], self.worked[1]) != (self.good.number, self.topic):
            self._working(self.good, self.topic)

    @work(thread=True, group="working", exclusive=True, exit_on_error=False)
    def _working(self, answer: engine.Answer, topic: str) -> None:
        lines = engine.working(answer, topic)
        self.call_from_thread(self._worked, answer.number, topic, lines)

    def _worked(self, number: int, topic: str, lines: list[str]) -> None:
        if topic == self.topic:
            self.worked = (number, topic, lines)
            self.show_page("working")

    def on_resize(self) -> None:
        """Lines are broken anew."""
        self.call_after_refresh(self._again)

    def _again(self) -> None:
        self.show_page(self.view_name)
        self.show_status()

    # Actions

    def check_action(self, action: str, parameters: tuple[object, ...]) -> bool | None:
        """While something is asked over the screen, keys belong to that."""
        del parameters
        return len(self.screen_stack) < 2 or action not in NAMES

    async def action_view(self, name: str) -> None:
        """Show a view; its key again goes to its next variant, number or check."""
        if name == self.view_name and self.ready:
            self.action_again(1)
        else:
            self.show_view(name)

    def show_view(self, name: str) -> None:
        """Show a view."""
        self.view_name = name
        self.screen_stack[0].query_one("#views", Strip).turn(f"view('{name}')")
        self.view.set_class(
            name == "place" or (self.size.height >= 34 and name in ("gusts", "checks", "snow")), "-drawn"
        )
        self.view.query_one(Page).scroll_home(animate=False)
        if name == "compare":
            self.ask_compare()
        if name == "working":
            self.ask_working()
        if name == "now":
            self.ask_now()
        self.call_after_refresh(self.show_page, name)

    def action_again(self, by: int) -> None:
        """The next variant, number or check."""
        if self.view_name == "compare":
            self.variant = self._next_variant(by)
            self.ask_compare()
        elif self.view_name in ("working", "checks") and self.good is not None:
            every = engine.topics(self.good)
            if self.view_name == "checks" and self.good.plan is not None:
                every = [c.name for c in self.good.plan.checks]
            at = every.index(self.topic) if self.topic in every else -1 if by > 0 else 0
            self.topic = every[(at + by) % len(every)]
            self.ask_working()
        self.show_page(self.view_name)

    def _next_variant(self, by: int) -> str:
        """The next one that is not as it is already."""
        at = self.variants.index(self.variant)
        turned = [self.variants[(at + by * i) % len(self.variants)] for i in range(1, len(self.variants) + 1)]
        differ = (v for v in turned if engine.variant(v, self.draft, self.kept, self.doc.saved) != self.draft)
        return next(differ, turned[0])

    async def action_enter(self) -> None:
        """From a picked check to its working."""
        if self.view_name == "checks":
            await self.action_view("working")

    def action_field(self, by: int) -> None:
        """The field above or below."""
        self.form.step(by)

    async def action_subject(self, by: int) -> None:
        """The next subject or the one before; in a view, a page of it."""
        page = self.view.query_one(Page)
        if page.has_focus:
            (page.scroll_page_down if by > 0 else page.scroll_page_up)(animate=False)
            return
        await self.form.go(self.form.subject + by)

    async def action_go_subject(self, i: int) -> None:
        """A subject by its place."""
        await self.form.go(i)

    async def action_go_field(self, key: str) -> None:
        """A field by its key."""
        i = subject_of(key)
        if i is not None:
            await self.form.go(i, key)

    async def action_mend(self) -> None:
        """Go to the next field that has to be mended."""
        keys = [t.key for t in (self.answer.faults if self.answer else ()) if subject_of(t.key) is not None]
        if not keys:
            self.notify("No field has to be mended.", markup=False)
            return
        here = self.form.here
        now = here.field.key if here is not None else ""
        at = keys.index(now) + 1 if now in keys else 0
        key = keys[at % len(keys)]
        i = (
            self.form.subject
            if any(f.key == key for f in SUBJECTS[self.form.subject].fields)
            else subject_of(key)
        )
        await self.form.go(i or 0, key)

    def action_nudge(self, by: int) -> None:
        """One step more or less, or another choice."""
        here = self.form.here
        if here is None:
            return
        text = nudged(here.field, here.value, by)
        if text is not None:
            here.value = text
            here.cursor_position = len(text)

    def action_undo(self) -> None:
        """Take back the last change."""
        self._travel(self.history.undo(), "Nothing to take back.")

    def action_redo(self) -> None:
        """Put it back."""
        self._travel(self.history.redo(), "Nothing to put back.")

    def _travel(self, moved: bool, otherwise: str) -> None:
        if not moved:
            self.notify(otherwise, markup=False)
            return
        self.form.show_draft(self.draft)
        self.changed()

    def action_across(self) -> None:
        """Between form and view."""
        page = self.view.query_one(Page)
        if page.has_focus:
            self.form.step(0) if self._last is None else self._last.focus()
        else:
            self._last = self.form.here
            page.focus()

    _last: Any = None

    def action_keep(self) -> None:
        """Keep this draft to compare with."""
        self.kept, self.variant = self.draft, engine.KEPT
        self.notify("Kept. Change something, then F7 compares.", markup=False)
        self.ask_compare()

    def action_theme(self) -> None:
        """Sun or night."""
        self.theme = "night" if self.theme == "sun" else "sun"
        store.remember(theme=self.theme)

    def action_plain(self) -> None:
        """Dots or plain characters."""
        self.plain = not self.plain
        store.remember(plain=self.plain)
        self.show_drawing()
        self.show_page(self.view_name)

    def action_help_field(self) -> None:
        """What the field means and where its value is found."""
        here = self.form.here
        if here is None:
            keys = [f"{a.shown}: {a.word}. {a.what}." for a in ACTIONS]
            self.push_screen(Tell("Keys", keys))
            return
        meaning, found = HELP[here.field.key]
        takes = (
            f"One of: {', '.join(here.field.choices)}"
            if here.field.choices
            else f"For example: {here.field.example}"
        )
        self.push_screen(
            Tell(
                labelled(here.field.key),
                [meaning, f"Where to find it: {found}", takes, f"In the file: {here.field.key}"],
            )
        )

    def get_system_commands(self, screen: Screen[Any]) -> Iterable[SystemCommand]:
        """Everything that can be done, every field, every number."""
        del screen
        for a in ACTIONS:
            if a.name != "command_palette":
                yield SystemCommand(f"{a.word} ({a.shown})", a.what, partial(self.run_action, a.name))
        for key in KEYS:
            yield SystemCommand(
                f"Go to: {FIELDS[key].label}", HELP[key][0], partial(self.run_action, f"go_field('{key}')")
            )
