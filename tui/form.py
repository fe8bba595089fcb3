"""The form: a line a field, by subject. Fields hold text; what is right and wrong is said by the answer of the reader.

The lines are painted; one input stands on the line that one is in. So there is nothing to build when a subject is
changed or an item is added, and no key can come too early for a field.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from typing import ClassVar

from textual.app import ComposeResult
from textual.containers import Vertical, VerticalScroll
from textual.content import Content
from textual.css.scalar import Scalar, ScalarOffset, Unit
from textual.events import Blur, Click, Focus, Key, Paste
from textual.geometry import Region, Size
from textual.reactive import Reactive
from textual.strip import Strip as Cells
from textual.suggester import Suggester
from textual.widgets import Input, Static

from anchorage.core.choices import folded
from anchorage.core.plain import columns, cut, inert, wrap
from anchorage.core.say import ENGLISH, language, say
from anchorage.deployment.draft import Draft, items, number_in, template
from tui.fields import (
    FIELDS,
    OWN_NAMES,
    SUBJECTS,
    TURNS,
    Field,
    Several,
    begun_by,
    counted,
    kept,
    labelled,
    list_of,
    shown,
    subject_of,
)
from tui.help import HELP
from tui.keys import ACTIONS, bare, plain_key
from tui.needed import following, hint, missing, none_of, takes
from tui.offers import TIMES, offered
from tui.painted import Painted
from tui.strips import Strip

LONGEST = 500
"""Characters of a field."""
LABEL = {False: 18, True: 21}
"""Columns of a label, in a narrow and in a wide form."""
LONGER = 3
"""Columns more for the labels of another language."""
WIDE = 44
SAYS = (3, 6)
"""Lines under the rows, at least and at most."""
NONE = "–"
WRONG, NEEDED, ASKED = "!", "*", "?"
"""Before a field: to be corrected; empty, and there is no verdict without it; empty, and the worst counts until it is said."""
MOVES = {a.key: a.name for a in ACTIONS if a.key and a.name != "command_palette"} | {
    "up": "field(-1)",
    "shift+tab": "field(-1)",
    "down": "field(1)",
    "tab": "field(1)",
}
"""Keys that do something else in a field than to change its text."""
BARE = frozenset(bare(a) for a in ACTIONS if a.bare and not bare(a).isdigit())
"""Letters and signs that do something while one looks at a view."""


class Offer(Suggester):
    """Behind what is typed, in grey, what Enter would make of it: the one choice that it begins, the unit of a number."""

    def __init__(self, form: Form, field: Field) -> None:
        """field: of the form."""
        super().__init__(use_cache=False, case_sensitive=True)
        self.form, self.field = form, field

    async def get_suggestion(self, value: str) -> str | None:
        """The whole of it; nothing where that does not begin as it is typed, or where it may be one or the other."""
        codes = self.form.choices_of(self.field)
        begun = begun_by(self.field, value, codes) if codes and value.strip() else []
        found = (
            shown(self.field, begun[0])
            if len(begun) == 1
            else offered(self.field.key, value, self.form.draft)
        )
        return (
            value + found[len(value) :]
            if folded(found).startswith(folded(value)) and len(found) > len(value)
            else None
        )


class FieldInput(Input):
    """Raw text of the field that one is in. Nothing in it acts on the terminal, and none of it is markup."""

    virtual_size = Reactive(Size(0, 0))
    """Of its text. In Textual each letter lays the whole screen out anew for it; here its place is as wide as it is."""

    def __init__(self, form: Form, field: Field) -> None:
        """One field of the form after the other."""
        super().__init__(placeholder=NONE, compact=True, select_on_focus=True, max_length=LONGEST)
        self.form, self.field = form, field
        self.quiet = False
        """The program puts a text in: that is no typing."""

    def validate_value(self, value: str) -> str:
        """Control characters become question marks before anything sees them."""
        return inert(value)[:LONGEST]

    def watch_value(self, value: str) -> None:
        """Something was typed. At once, not by a message: the next key may be for the next field."""
        if not self.quiet:
            self.form.take_in(self.field.key, kept(self.field, value))

    def put(self, text: str, *, select: bool = True) -> None:
        """Show a text without that counting as typing. select: so that typing begins anew, as on coming to it."""
        if self.value != text:
            self.quiet = True
            try:
                with self.prevent(Input.Changed):
                    self.value = text
            finally:
                self.quiet = False
        if self.has_focus and select:
            self.action_select_all()

    async def _on_key(self, event: Key) -> None:
        """What a key does is done here, in the order in which keys come.

        A binding would be looked up after the key has gone all the way up, and what was typed next would be in the
        field before: over a slow line many keys come at once.
        """
        above = len(self.app.screen_stack) > 1
        key = plain_key(event.key)
        if not above and self._meant_for_a_view(event.character):
            event.stop()
            event.prevent_default()
            self.form.stop(
                say(
                    "{key}: no number begins with it. If it is meant for the view: Esc first.",
                    key=event.character,
                )
            )
            return
        if not above and key not in MOVES and key != "enter" and not key.startswith("alt+"):
            return  # for the input itself
        event.stop()
        event.prevent_default()
        if above:  # a question has come up in between: it is for that
            focused = self.app.focused
            if focused is not None and focused is not self:
                focused.post_message(Key(event.key, event.character))
        elif key == "enter":
            self.complete()
        elif key in MOVES:
            await self.app.run_action(MOVES[key])

    def _meant_for_a_view(self, typed: str | None) -> bool:
        """A letter that is a key while one looks would replace all of a number: Esc was forgotten, and what stands there stays."""
        whole = not self.value or self.selected_text == self.value
        return typed is not None and whole and typed.upper() in BARE and counted(self.field)

    def complete(self) -> None:
        """Complete a choice that is begun, and go on; of several the one that all the others begin with, else none."""
        codes = self.form.choices_of(self.field)
        whole = offered(self.field.key, self.value, self.form.draft)
        if whole:
            self.value = whole
        elif codes and self.value.strip():
            begun = begun_by(self.field, self.value, codes)
            if len(begun) > 1:
                self.form.ask_which(begun)
                return
            if not begun and template(self.field.key) not in OWN_NAMES:
                self.form.stop(none_of(self.field, self.value.strip()))
                return
            if begun and self.value != shown(self.field, begun[0]):
                self.value = shown(self.field, begun[0])
        self.form.onward()

    def _on_paste(self, event: Paste) -> None:
        event.prevent_default()
        event.stop()
        lines = [inert(line.strip()) for line in event.text.splitlines() if line.strip()]
        if not lines:
            return
        if len(lines) > 1 and self.field.key.startswith("forecast.lines"):
            self.form.pasted(self.field.key, lines)
            return
        start, end = sorted(self.selection)
        self.replace(lines[0], start, end)

    def on_focus(self, event: Focus) -> None:
        """Say what the field takes. Only the window was left and come back to: go on where one was."""
        self.form.come(select=not event.from_app_focus)

    def on_blur(self, event: Blur) -> None:
        """Typing in it is over."""
        del event
        self.form.gone()


class Rows(Painted):
    """Label and text of each field of a subject; the one that one is in has the input over its text."""

    COMPONENT_CLASSES: ClassVar = {"rows--wrong", "rows--here", "rows--empty"}

    def __init__(self) -> None:
        """Empty until there are rows."""
        super().__init__(id="fields")
        self.rows: list[tuple[str, str, str, str]] = []
        """Label, how it stands (``here``, ``wrong`` or nothing), text, and whether that is only a hint (``empty``)."""
        self.label = LABEL[False]

    def show(self, rows: list[tuple[str, str, str, str]], label: int) -> None:
        """Other rows; only those that are other are painted."""
        if label != self.label or len(rows) != len(self.rows):
            self.label, self.rows, self.styles.height = label, rows, max(len(rows), 1)
            self.refresh(layout=True)
            return
        for y, (new, old) in enumerate(zip(rows, self.rows, strict=True)):
            if new != old:
                self.refresh(Region(0, y, self.size.width, 1))
        self.rows = rows

    def render_line(self, y: int) -> Cells:
        """One row."""
        wide = self.size.width
        if y >= len(self.rows):
            return Cells.blank(wide, self.base)
        label, how, text, empty = self.rows[y]
        words = cut(label, self.label - 1)
        words += " " * (self.label - columns(words))
        left = self.cells(words, f"rows--{how}" if how else "").crop(0, self.label)
        right = self.cells(cut(text, max(wide - self.label, 4)), f"rows--{empty}" if empty else "")
        return Cells([*left, *right]).adjust_cell_length(wide, self.base)


class Form(Vertical):
    """Subjects, the rows of one of them, and what is to be said about the field that one is in."""

    def __init__(
        self,
        typed: Callable[[str, str], None],
        left: Callable[[], None],
        pasted: Callable[[str, Sequence[str]], None],
    ) -> None:
        """typed: told key and text of what is typed. left: told that a field was left. pasted: several lines at once."""
        super().__init__(id="form")
        self.typed, self.left, self.pasted = typed, left, pasted
        self.draft = Draft()
        self.faults: Mapping[str, str] = {}
        self.echoes: Mapping[str, str] = {}
        self.inherited: Mapping[str, str] = {}
        self.points: tuple[str, ...] = ()
        """Names of the anchor points of the last plan."""
        self.subject, self.scold = 0, True
        self.fields = SUBJECTS[0].rows(self.draft)
        """Those that are shown, from the first row to the last."""
        self.input, self.rows = FieldInput(self, self.fields[0]), Rows()
        self.subjects = Strip(
            [("", s.name, f"go_subject({i})") for i, s in enumerate(SUBJECTS)], id="subjects"
        )
        self.scroll = VerticalScroll(self.rows, self.input, id="rows", can_focus=False)
        self.box = Static("", id="says", markup=False)
        self._said = ("", False)
        self._high = SAYS[0]

    def compose(self) -> ComposeResult:
        """Subjects, rows, words."""
        yield self.subjects
        yield self.scroll
        yield self.box

    def on_mount(self) -> None:
        """The first subject is there."""
        self.subjects.turn("go_subject(0)")

    # What is shown

    @property
    def here(self) -> FieldInput | None:
        """The input, while one is in the form."""
        return self.input if self.is_attached and self.screen.focused is self.input else None

    def text(self, key: str) -> str:
        """What stands in a field."""
        return self.draft.text(key)

    def show_draft(self, draft: Draft) -> None:
        """Other texts, without that counting as typing."""
        self.draft = draft
        self._lay()
        self.input.put(shown(self.input.field, draft.text(self.input.field.key)))
        self.marks()

    def show_answer(
        self,
        faults: Mapping[str, str],
        echoes: Mapping[str, str],
        inherited: Mapping[str, str],
        points: tuple[str, ...] = (),
    ) -> None:
        """What the reader said."""
        self.faults, self.echoes, self.inherited = faults, echoes, inherited
        self.points = points or self.points
        self.marks()

    def others(self, key: str) -> bool:
        """What was typed in a field may make other rows."""
        return number_in(key) > 0 or key in TURNS

    def show_items(self) -> None:
        """An item may have been begun or emptied by what was typed, or another row be asked for: room for it."""
        self._lay()
        self.marks()

    def _lay(self) -> None:
        """Which fields there are, and the input on its row. Of long items, only the one that one is in is unfolded."""
        at, every = self.input.field.key, SUBJECTS[self.subject].rows(self.draft)
        if all(f.key != at for f in every):  # it was in an item that is gone
            alike = [f for f in every if f.key.split("[")[0] == at.split("[")[0]]
            self._stand(alike[-1] if alike else every[0])
            at = self.input.field.key
        item = at.split(".", 1)[0]
        self.fields = [f for f in every if not _folds(f) or f.key.split(".", 1)[0] == item]
        self._place()

    def _stand(self, field: Field, *, select: bool = True) -> None:
        """The input is for another field now."""
        self.input.field = field
        self.input.suggester = Offer(self, field)
        self.input.put(shown(field, self.draft.text(field.key)), select=select)

    def _place(self) -> None:
        """The input on the row of its field."""
        y = next((i for i, f in enumerate(self.fields) if f.key == self.input.field.key), 0)
        label, styles = self.label, self.input.styles
        offset = ScalarOffset(Scalar(label, Unit.CELLS, Unit.WIDTH), Scalar(y, Unit.CELLS, Unit.HEIGHT))
        if styles.offset != offset:
            styles.offset = offset
        wide = max(self.scroll.size.width - label, 4)
        if styles.width is None or styles.width.value != wide:
            styles.width = wide

    @property
    def label(self) -> int:
        """Columns of a label."""
        return LABEL[self.size.width > WIDE] + (0 if language() == ENGLISH else LONGER)

    def marks(self) -> None:
        """A mark before each field that has to be mended, and the words for the one that one is in."""
        here, rows, empty = self.here, list[tuple[str, str, str, str]](), missing(self.draft)
        for field in self.fields:
            key = field.key
            at = here is not None and here.field.key == key
            wrong = bool(self.faults) and self.fault_of(key) and (self.scold or not at)
            text = shown(field, self.draft.text(key))
            mark = "" if key not in empty or self.inherited.get(key) else NEEDED if empty[key] else ASKED
            if wrong and not mark:
                mark = WRONG
            rows.append((
                f"{mark or ' '} {field.label}{self._more(field)}", "here" if at else "wrong" if mark in (WRONG, NEEDED) else "",
                text or self._hint(field, empty), "" if text else "empty",
            ))  # fmt: skip
        self.rows.show(rows, self.label)
        hint = self._hint(self.input.field, empty)
        if self.input.placeholder != hint:
            self.input.placeholder = hint
        self.say()

    def _hint(self, field: Field, empty: Mapping[str, bool]) -> str:
        """What stands in a field that is empty. empty: those that are wanted."""
        saved, held = self.inherited.get(field.key, ""), list_of(field.key)
        if saved:
            return say("{saved} (saved)", saved=inert(shown(field, saved)))
        if held is None or not _first(field) or number_in(field.key) < held.least:
            return hint(field, self.choices_of(field)) if field.key in empty else NONE
        last = number_in(field.key) > items(self.draft, held.name)
        return str(held.add) if last else NONE

    def _more(self, field: Field) -> str:
        """How many values are folded away behind this row."""
        held = list_of(field.key)
        if held is None or not held.folds or not _first(field):
            return ""
        item = f"{held.name}[{number_in(field.key)}]."
        if self.input.field.key.startswith(item):
            return ""  # it is unfolded
        n = sum(k.startswith(item) for k in self.draft.typed) - 1
        return say(", {n} more", n=n) if n > 0 else ""

    def fault_of(self, key: str) -> str:
        """What is wrong with a field or with something in it."""
        if not self.faults or key in self.faults:
            return self.faults.get(key, "")
        held = list_of(key)
        if held is not None and template(key) == held.fields[0].key:  # of an item, at its first row
            item = f"{held.name}[{number_in(key)}]"
            inside = (f"{item}.",) if held.folds else ()
            return next((v for k, v in self.faults.items() if k == item or k.startswith(inside)), "")
        return next((v for k, v in self.faults.items() if k and k.startswith((f"{key}.", f"{key}["))), "")

    def choices_of(self, field: Field) -> tuple[str, ...]:
        """What may be chosen for a field."""
        return self.points if template(field.key) == "point[].id" else field.choices

    def say(self) -> None:
        """Under the rows: what is wrong, or what was understood, or an example."""
        wide, here = max(self.size.width - 1, 20), self.here
        if here is None:
            self._put("", wrong=False)
            return
        key, field = here.field.key, here.field
        fault, choices = self.fault_of(key), self.choices_of(field)
        empty, typed = missing(self.draft), here.value.strip()
        whole = offered(key, typed, self.draft)
        wrong = bool(fault) and self.scold and not whole and (typed != "" or key not in empty)
        if whole:
            text = (
                say("{whole}? Enter takes it. Else type the unit.", whole=whole)
                if template(key) not in TIMES
                else say("{whole}? Enter takes it.", whole=whole)
            )
        elif wrong:
            text = f"{WRONG} {fault}"
        elif key in self.echoes and typed:
            text = f"= {self.echoes[key]}"
        else:
            text = takes(field, choices, empty.get(key))
        if columns(f"  {field.label}") > self.label:
            text = f"{field.label.strip()}: {text}"
        lines = wrap(text, "", "  ", wide)
        if len(lines) > SAYS[1]:  # the rest is one key away
            lines = [*lines[: SAYS[1] - 1], cut(lines[SAYS[1] - 1], wide - 8) + " ... F1"]
        below = self._below()
        there = following(self.draft, self.subject, below)
        jumps = not (wrong or whole) and there not in ("", *below[:1])
        to = (
            FIELDS[template(there)].label.format(n=1).strip()
            if jumps and there in below
            else labelled(there)
            if jumps
            else ""
        )
        more = wrap(say("Enter: {field}", field=to), "", "  ", wide) if to else []
        if key in empty and not typed and len(lines) + len(more) < SAYS[0]:
            meant = wrap(str(HELP[template(key)][0]), "", "", wide)
            more = [*(meant if len(lines) + len(more) + len(meant) <= SAYS[0] else ()), *more]
        self._put("\n".join([*lines, *(more if len(lines) + len(more) <= SAYS[1] else ())]), wrong=wrong)

    def ask_which(self, codes: Sequence[str]) -> None:
        """What was typed is the beginning of several choices: which is never guessed."""
        which = ", ".join(shown(self.input.field, c) for c in codes)
        self.stop(say("Which of them? {choices}. A letter more.", choices=which))

    def stop(self, why: str) -> None:
        """One stays in the field: why, and what to type."""
        lines = wrap(why, f"{WRONG} ", "  ", max(self.size.width - 1, 20))
        self._put("\n".join(lines[: SAYS[1]]), wrong=True)

    def speak(self) -> None:
        """Labels, choices and what is said in another language; what is typed stays as it is."""
        self.faults, self.echoes = {}, {}  # in other words as soon as it is answered
        self._stand(self.input.field, select=False)
        self._lay()
        self._again()

    def _put(self, text: str, *, wrong: bool) -> None:
        if self._said == (text, wrong):
            return
        self._said = (text, wrong)
        high = min(max(text.count("\n") + 1, SAYS[0]), SAYS[1])
        if self.box.has_class("-wrong") != wrong:
            self.box.set_class(wrong, "-wrong")
        if high != self._high:
            self._high, self.box.styles.height = high, high
            self.call_after_refresh(self.in_sight)
        self.box.update(Content(text), layout=False)

    # Moving about

    def go(self, subject: int, key: str = "") -> None:
        """Show a subject and go to one of its fields."""
        self.subject = subject % len(SUBJECTS)
        self.subjects.turn(f"go_subject({self.subject})")
        every, plain = SUBJECTS[self.subject].rows(self.draft), template(key)
        wanted = [f for f in every if f.key == key]
        wanted += [f for f in every if plain and template(f.key) == plain]
        wanted += [f for f in every if key and f.key.startswith((f"{key}.", f"{key}["))]
        self.come_to(wanted[0] if wanted else every[0])

    def go_to(self, key: str) -> None:
        """To a field by its key, on the subject that is shown if it is there."""
        here = any(template(f.key) == template(key) for f in SUBJECTS[self.subject].rows(self.draft))
        i = self.subject if here else subject_of(key)
        if i is not None:
            self.go(i, key)

    def come_to(self, field: Field) -> None:
        """To a field, at once: keys may come faster than messages."""
        if field.key != self.input.field.key:
            self.gone()
            self._stand(field)
        self._lay()
        if self.screen.focused is not self.input:
            self.screen.set_focus(self.input)
        else:
            self.come()

    def come(self, *, select: bool = True) -> None:
        """One is in a field."""
        self.input.put(shown(self.input.field, self.draft.text(self.input.field.key)), select=select)
        self.marks()
        self.call_after_refresh(self.in_sight)

    def gone(self) -> None:
        """A field was left."""
        self.left()
        if self.is_attached and self.screen_is_there():
            self.marks()

    def screen_is_there(self) -> bool:
        """It is not being left."""
        return bool(self.app.screen_stack)

    def in_sight(self) -> None:
        """Scroll to the row that one is in."""
        y = next((i for i, f in enumerate(self.fields) if f.key == self.input.field.key), 0)
        self.scroll.scroll_to_region(Region(0, y, 1, 1), animate=False, force=True)

    def step(self, by: int) -> None:
        """To the field above or below, round the ends."""
        at = next((i for i, f in enumerate(self.fields) if f.key == self.input.field.key), 0)
        self.come_to(self.fields[(at + by) % len(self.fields)])

    def _below(self) -> list[str]:
        """The keys of the rows below the one that one is in, those too that what was just typed asks for."""
        keys = [f.key for f in SUBJECTS[self.subject].rows(self.draft)]
        return keys[keys.index(self.input.field.key) + 1 :] if self.input.field.key in keys else keys

    def onward(self) -> None:
        """To the next field that is wanted and empty, on this subject or another; to the next row where there is none."""
        there = following(self.draft, self.subject, self._below())
        if there:
            self.go_to(there)
        else:
            self.step(1)

    def leap(self, by: int) -> None:
        """To the first field of the item before or after; where there are no items, to the next field."""
        now = self.input.field.key
        item = f"{now.split('[', 1)[0]}[{number_in(now)}]"
        at = next(i for i, f in enumerate(self.fields) if f.key == now or f.key.startswith(item))
        firsts = [i for i, f in enumerate(self.fields) if list_of(f.key) is None or _first(f)]
        following = [i for i in firsts if i > at] if by > 0 else [i for i in reversed(firsts) if i < at]
        self.come_to(self.fields[following[0] if following else -1 if by > 0 else 0])

    def take_in(self, key: str, text: str) -> None:
        """Something was typed in a field."""
        self.typed(key, text)

    def on_click(self, event: Click) -> None:
        """To the row that was clicked."""
        if event.widget is self.rows and event.y < len(self.fields):
            event.stop()
            self.come_to(self.fields[event.y])
            self.input.cursor_position = max(event.x - self.label, 0)

    def on_resize(self) -> None:
        """The words are broken anew."""
        self.call_after_refresh(self._again)

    def _again(self) -> None:
        self._said = ("", True)
        self._place()
        self.marks()


def _first(field: Field) -> bool:
    """It is the first field of an item."""
    held = list_of(field.key)
    return held is not None and template(field.key) == held.fields[0].key


def _folds(field: Field) -> bool:
    """It is folded away while one is not in its item."""
    held: Several | None = list_of(field.key)
    return held is not None and held.folds and not _first(field)
