"""The form: a line a field, by subject. Fields hold text; what is right and wrong is said by the answer of the reader."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from textual import on
from textual.app import ComposeResult
from textual.binding import Binding
from textual.containers import Horizontal, Vertical, VerticalScroll
from textual.content import Content
from textual.events import DescendantBlur, DescendantFocus, Paste
from textual.message import Message
from textual.reactive import reactive
from textual.suggester import SuggestFromList
from textual.widgets import ContentSwitcher, Input, Static

from anchorage.draft import Draft
from anchorage.sheet import inert, wrap
from tui.fields import FIELDS, SUBJECTS, Field
from tui.strips import Strip

LONGEST = 500
"""Characters of a field."""


class FieldInput(Input):
    """Raw text of one field. Nothing in it acts on the terminal, and none of it is markup."""

    BINDINGS = [  # noqa: RUF012 - Textual's way
        Binding("up", "app.field(-1)", "Field above", show=False),
        Binding("down", "app.field(1)", "Field below", show=False),
    ]

    def __init__(self, field: Field) -> None:
        """One field of the form."""
        suggester = SuggestFromList(field.choices, case_sensitive=False) if field.choices else None
        super().__init__(
            placeholder="", compact=True, select_on_focus=True, suggester=suggester, max_length=LONGEST
        )
        self.field = field

    def validate_value(self, value: str) -> str:
        """Control characters become question marks before anything sees them."""
        return inert(value)[:LONGEST]

    def _on_paste(self, event: Paste) -> None:
        event.prevent_default()
        event.stop()
        lines = [inert(line.strip()) for line in event.text.splitlines() if line.strip()]
        if not lines:
            return
        if len(lines) > 1 and self.field.key.startswith("forecast.lines"):
            self.post_message(Form.Lines(self.field.key, lines))
            return
        start, end = sorted(self.selection)
        self.replace(lines[0], start, end)


class Row(Horizontal):
    """Label and input."""

    def __init__(self, field: Field) -> None:
        """One line of the form."""
        super().__init__(classes="row")
        self.field = field

    def compose(self) -> ComposeResult:
        """Label, then input."""
        yield Static(f"  {self.field.label}", markup=False, classes="label")
        yield FieldInput(self.field)


class Form(Vertical):
    """Subjects, the rows of one of them, and what is to be said about the field that one is in."""

    subject = reactive(0)

    class Typed(Message):
        """Something was typed in a field."""

        def __init__(self, key: str, text: str) -> None:
            super().__init__()
            self.key, self.text = key, text

    class Left(Message):
        """A field was left."""

    class Lines(Message):
        """Several lines were pasted into a line of the forecast."""

        def __init__(self, key: str, lines: list[str]) -> None:
            super().__init__()
            self.key, self.lines = key, lines

    class Here(Message):
        """A field was come to."""

    def __init__(self) -> None:
        """Empty until a draft is shown."""
        super().__init__(id="form")
        self.draft = Draft()
        self.faults: Mapping[str, str] = {}
        self.echoes: Mapping[str, str] = {}
        self.inherited: Mapping[str, str] = {}
        self.mounted: set[int] = set()
        self.scold = True

    def compose(self) -> ComposeResult:
        """The first subject at once, the others when they are asked for."""
        yield Strip([("", s.name, f"go_subject({i})") for i, s in enumerate(SUBJECTS)], id="subjects")
        with ContentSwitcher(initial="subject-0", id="rows"):
            yield VerticalScroll(*(Row(f) for f in SUBJECTS[0].fields), id="subject-0", can_focus=False)
        yield Static("", id="says", markup=False)

    def on_mount(self) -> None:
        """The first subject is there."""
        self.mounted.add(0)
        self.query_one("#subjects", Strip).turn("go_subject(0)")

    # What is shown

    def inputs(self) -> Iterator[FieldInput]:
        """The fields of the subject that is shown."""
        yield from self.query_one(f"#subject-{self.subject}").query(FieldInput)

    def show_draft(self, draft: Draft) -> None:
        """Put the texts of a draft into the fields that are there, without that counting as typing."""
        self.draft = draft
        with self.prevent(Input.Changed):
            for field in self.inputs():
                text = draft.text(field.field.key)
                if field.value != text:
                    field.value = text
                    field.cursor_position = len(field.value)
                if field.has_focus:
                    field.action_select_all()  # so that typing begins anew, as on coming to it
        self.marks()

    def show_answer(
        self, faults: Mapping[str, str], echoes: Mapping[str, str], inherited: Mapping[str, str]
    ) -> None:
        """What the reader said."""
        self.faults, self.echoes, self.inherited = faults, echoes, inherited
        self.marks()

    def marks(self) -> None:
        """A mark before each field that has to be mended, and the words for the one that one is in."""
        here = self.here
        for row in self.query_one(f"#subject-{self.subject}").query(Row):
            key = row.field.key
            wrong = self.fault_of(key) and (self.scold or here is None or here.field.key != key)
            label = f"{'! ' if wrong else '  '}{row.field.label}"
            row.query_one(".label", Static).update(Content(label))
            row.set_class(bool(wrong), "-wrong")
            from_saved = self.inherited.get(key, "")
            row.query_one(FieldInput).placeholder = f"{inert(from_saved)} (saved)" if from_saved else "–"
        self.say()

    def fault_of(self, key: str) -> str:
        """What is wrong with a field or with something in it."""
        if key in self.faults:
            return self.faults[key]
        return next((v for k, v in self.faults.items() if k and k.startswith((f"{key}.", f"{key}["))), "")

    def say(self) -> None:
        """Under the rows: what is wrong, or what was understood, or an example."""
        wide, here = max(self.size.width - 1, 20), self.here
        box = self.query_one("#says", Static)
        if here is None:
            box.update(Content(""))
            return
        key, field = here.field.key, here.field
        fault = self.fault_of(key)
        box.set_class(bool(fault) and self.scold, "-wrong")
        if fault and self.scold:
            text = f"! {fault}"
        elif key in self.echoes and here.value.strip():
            text = f"= {self.echoes[key]}"
        elif field.choices:
            text = f"One of: {', '.join(field.choices)}"
        else:
            text = f"For example: {field.example}"
        box.update(Content("\n".join(wrap(text, "", "  ", wide)[: max(box.size.height, 3)])))

    # Moving about

    @property
    def here(self) -> FieldInput | None:
        """The field that one is in."""
        found = self.screen.focused if self.is_attached else None
        return found if isinstance(found, FieldInput) else None

    async def go(self, subject: int, key: str = "") -> None:
        """Show a subject and go to one of its fields."""
        i = subject % len(SUBJECTS)
        switcher = self.query_one("#rows", ContentSwitcher)
        if i not in self.mounted:
            self.mounted.add(i)
            await switcher.add_content(
                VerticalScroll(*(Row(f) for f in SUBJECTS[i].fields), can_focus=False), id=f"subject-{i}"
            )
        self.subject = i
        switcher.current = f"subject-{i}"
        self.query_one("#subjects", Strip).turn(f"go_subject({i})")
        self.show_draft(self.draft)
        wanted = [
            f
            for f in self.inputs()
            if f.field.key == key or (key and f.field.key.startswith((f"{key}.", f"{key}[")))
        ]
        first = wanted[0] if wanted else next(self.inputs(), None)
        if first is not None:
            self.screen.set_focus(first)  # at once: keys may come faster than messages

    def step(self, by: int) -> None:
        """To the field above or below, round the ends."""
        every, here = list(self.inputs()), self.here
        at = every.index(here) if here in every else -1 if by > 0 else 0
        self.screen.set_focus(every[(at + by) % len(every)])  # at once: keys may come faster than messages

    # What happens in a field

    @on(Input.Changed)
    def _changed(self, event: Input.Changed) -> None:
        event.stop()
        if isinstance(event.input, FieldInput):
            self.post_message(self.Typed(event.input.field.key, event.value))

    @on(Input.Submitted)
    def _entered(self, event: Input.Submitted) -> None:
        event.stop()
        field = event.input
        if isinstance(field, FieldInput):
            typed = field.value.strip().lower()
            begun = [c for c in field.field.choices if c.lower().startswith(typed)]
            if typed and len(begun) == 1 and field.value != begun[0]:
                field.value = begun[0]
        self.step(1)

    def on_descendant_blur(self, event: DescendantBlur) -> None:
        """Typing in it is over."""
        if isinstance(event.widget, FieldInput):
            self.post_message(self.Left())

    def on_descendant_focus(self, event: DescendantFocus) -> None:
        """Say what it takes."""
        if isinstance(event.widget, FieldInput):
            event.widget.scroll_visible(animate=False)
            self.marks()
            self.post_message(self.Here())

    def on_resize(self) -> None:
        """The words are broken anew."""
        self.say()


def known(key: str) -> bool:
    """There is a field of this key."""
    return key in FIELDS
