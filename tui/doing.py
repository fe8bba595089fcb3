"""What can be done by key: moving about, undoing, comparing, help. Files are in ``filing.py``."""

from __future__ import annotations

from collections.abc import Iterable
from functools import partial
from typing import TYPE_CHECKING, Any

from textual.app import SystemCommand
from textual.screen import Screen

from anchorage.core.plain import inert
from anchorage.core.say import say
from anchorage.deployment.draft import Draft, items, number_in, template, without
from tui import engine, store
from tui.dialogs import Tell
from tui.fields import FIELDS, KEYS, SUBJECTS, labelled, list_of, nudged, subject_of
from tui.form import Form
from tui.help import HELP
from tui.history import History
from tui.keys import ACTIONS, every_key
from tui.panels import View
from tui.strips import Strip

if TYPE_CHECKING:
    from textual.app import App

    _Base = App[None]
else:
    _Base = object

NAMES = frozenset(a.name.partition("(")[0] for a in ACTIONS) - {"theme", "command_palette"}


class Doing(_Base):
    """The actions of the app."""

    form: Form
    view: View
    doc: store.Document
    history: History
    kept: Draft | None
    answer: engine.Answer | None
    good: engine.Answer | None
    ready: bool
    view_name: str
    variants: list[str]
    variant: str
    topic: str
    plain: bool

    if TYPE_CHECKING:

        @property
        def draft(self) -> Draft: ...
        def take(self, draft: Draft) -> None: ...
        def shown_anew(self) -> None: ...
        def ask_compare(self) -> None: ...
        def ask_working(self) -> None: ...
        def ask_now(self) -> None: ...
        def show_page(self, name: str) -> None: ...
        def look(self) -> None: ...
        def fill_in(self) -> None: ...

    def check_action(self, action: str, parameters: tuple[object, ...]) -> bool | None:
        """While something is asked over the screen, keys belong to that."""
        del parameters
        return len(self.screen_stack) < 2 or action not in NAMES

    async def action_view(self, name: str) -> None:
        """Look at a view."""
        if name != self.view_name:
            self.show_view(name)
        if not self.view.page.has_focus:
            self.look()

    def show_view(self, name: str) -> None:
        """Show a view."""
        self.view_name = name
        self.screen_stack[0].query_one("#views", Strip).turn(f"view('{name}')")
        self.view.page.scroll_home(animate=False)
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

    def action_field(self, by: int) -> None:
        """The field above or below."""
        self.form.step(by)

    def action_subject(self, by: int) -> None:
        """The next subject or the one before; in a view, a page of it."""
        page = self.view.page
        if page.has_focus:
            (page.scroll_page_down if by > 0 else page.scroll_page_up)(animate=False)
            return
        self.fill_in()
        self.form.go(self.form.subject + by)

    def action_go_subject(self, i: int) -> None:
        """A subject by its place."""
        self.fill_in()
        self.form.go(i)

    def action_go_field(self, key: str) -> None:
        """A field by its key."""
        self.fill_in()
        self.form.go_to(key)

    def action_mend(self) -> None:
        """Go to the next field that has to be mended."""
        faults = self.answer.faults if self.answer else ()
        keys = [t.key for t in faults if subject_of(t.key) is not None]
        if not keys:
            more = "; ".join(f"{t.key} {t.text}".strip() for t in faults[:3])
            said = (
                say("This is in the file and has no field: {more}", more=more)
                if faults
                else say("No field has to be corrected.")
            )
            self.notify(inert(said), markup=False)
            return
        here = self.form.here
        now = here.field.key if here is not None else ""
        at = keys.index(now) + 1 if now in keys else 0
        key = keys[at % len(keys)]
        self.fill_in()
        self.form.go_to(key)

    def action_nudge(self, by: int) -> None:
        """One step more or less, or another choice."""
        here = self.form.here
        if here is None:
            return
        text = nudged(here.field, here.value, by, self.form.choices_of(here.field))
        if text is not None:
            here.value = text
            here.cursor_position = len(text)

    def action_undo(self) -> None:
        """Take back the last change."""
        self._travel(self.history.undo(), say("Nothing to take back."))

    def action_redo(self) -> None:
        """Put it back."""
        self._travel(self.history.redo(), say("Nothing to put back."))

    def _travel(self, moved: bool, otherwise: str) -> None:
        if not moved:
            self.notify(otherwise, markup=False)
            return
        self.shown_anew()

    def action_leap(self, by: int) -> None:
        """To the item before or after: a door, a point, a layer."""
        self.form.leap(by)

    def action_take_out(self) -> None:
        """Take an item out of its list; those after it move up."""
        here = self.form.here
        held = list_of(here.field.key) if here is not None else None
        n = number_in(here.field.key) if here is not None else 0
        if held is None or not 1 <= n <= items(self.draft, held.name):
            self.notify(
                say("Go to a door, duct, point, layer or line first; this takes it out."), markup=False
            )
            return
        self.take(without(self.draft, held.name, n))
        self.notify(
            say("{word} {n} taken out. Ctrl+Z puts it back.", word=held.word.capitalize(), n=n), markup=False
        )

    def action_look(self) -> None:
        """From the form to the view; from a view to the answer."""
        if not self.view.page.has_focus:
            self.look()
        else:
            self.show_view("answer")

    def action_fill_in(self) -> None:
        """To the form, to the field where one was."""
        self.fill_in()

    def action_keep(self) -> None:
        """Keep this draft to compare with."""
        self.kept, self.variant = self.draft, engine.KEPT
        self.notify(say("Kept. Change something, then Compare shows both."), markup=False)
        self.ask_compare()

    def action_theme(self) -> None:
        """Sun or night."""
        self.theme = "night" if self.theme == "sun" else "sun"
        store.remember(theme=self.theme)

    def action_plain(self) -> None:
        """Dots or plain characters."""
        self.plain = not self.plain
        store.remember(plain=self.plain)
        self.show_page(self.view_name)

    def action_help_field(self) -> None:
        """What the field means and where its value is found."""
        here = self.form.here
        if here is None:
            self.push_screen(Tell(say("Every key"), ["\n".join(every_key())]))
            return
        key = here.field.key
        (meaning, found), choices = HELP[template(key)], self.form.choices_of(here.field)
        takes = (
            say("One of: {choices}", choices=", ".join(choices))
            if choices
            else say("For example: {example}", example=here.field.example)
        )
        fault, held = self.form.fault_of(key), list_of(key)
        words = [say("TO CORRECT: {fault}", fault=fault)] if fault else []
        words += [meaning, say("Where to find it: {found}", found=found), takes]
        if held is not None:
            words.append(
                say(
                    "Type in the last, empty {word} to add one; Alt+X takes one out; Alt+Down goes to the next.",
                    word=held.word,
                )
            )
        self.push_screen(Tell(labelled(key), [*words, say("In the file: {key}", key=key)]))

    def get_system_commands(self, screen: Screen[Any]) -> Iterable[SystemCommand]:
        """Everything that can be done, every field, every number."""
        del screen
        for a in ACTIONS:
            if a.name != "command_palette":
                yield SystemCommand(
                    f"{a.word[:1].upper()}{a.word[1:]} ({a.shown})", a.what, partial(self.run_action, a.name)
                )
        for i, s in enumerate(SUBJECTS):
            yield SystemCommand(
                say("Subject: {name}", name=s.name), ", ".join(labelled(f.key).partition(", ")[2] or f.label for f in s.fields[:4]),
                partial(self.run_action, f"go_subject({i})"),
            )  # fmt: skip
        for key in KEYS:
            yield SystemCommand(
                f"Go to: {FIELDS[key].label.format(n='').strip()}",
                HELP[key][0],
                partial(self.run_action, f"go_field('{key}')"),
            )
