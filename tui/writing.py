"""Writing down what happened: a reading, a count, a pull test, an inspection. What is accepted is said at each line."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from functools import partial
from typing import ClassVar

from textual import on
from textual.app import ComposeResult
from textual.binding import Binding
from textual.containers import Horizontal, Vertical, VerticalScroll
from textual.content import Content
from textual.events import DescendantFocus, Key
from textual.suggester import Suggester
from textual.widgets import Input, OptionList, Static
from textual.widgets.option_list import Option

from anchorage.core.choices import chosen, code_of, folded
from anchorage.core.closed import STATES
from anchorage.core.plain import cut, inert, wrap
from anchorage.core.say import Word, later, say
from anchorage.record.kinds import AFTER
from tui.dialogs import Choose, Dialog
from tui.keys import plain_key
from tui.offers import whole
from tui.recording import counted

AS_PLANNED = "as-planned"
"""Of a count: at each point what the plan says."""


@dataclass(frozen=True)
class Line:
    """One line to fill in. name: what the record calls it."""

    name: str
    label: str
    accepted: str
    choices: tuple[str, ...] = ()
    needed: bool = False
    of: str = ""
    """What the choices are said of, where they have words of their own."""
    empty: str = ""
    """What stands there while nothing is typed: what is then taken."""
    like: str = ""
    """With the unit that a bare number is offered with."""
    free: bool = False
    """Something else than a choice may be typed too."""


@dataclass(frozen=True)
class Event:
    """Something that can be written down."""

    name: str
    word: str
    lines: tuple[Line, ...]

    @property
    def lifts(self) -> bool:
        """It may lower a level, lift a danger or turn a no to a go: who says so signs it each time by hand."""
        return self.name not in WARNS


_WHERE = Line(
    "where",
    later("At point"),
    later("The name of a point, such as R1; left out: every point."),
    empty=later("every point"),
)
_WORDS = Line("value", later("In words"), later("Your own words; may be left out."))
_MUST = Line("value", later("In words"), later("What was done or seen, in your own words."), needed=True)
WHO = Line(
    "who",
    later("Who says so"),
    later("The name of the person who says so. It is needed, and printed."),
    needed=True,
)
WHEN = Line(
    "at",
    later("When"),
    later(
        "Left out: now. Else the last 13:40Z, or 2026-11-25 13:40Z; without Z by the time zone under Times."
    ),
    empty=later("now"),
)
_ONLY = Line(
    "only",
    later("Only a note"),
    later(
        "yes: a word of danger stands in the words, and there is no danger now. What can be looked at stays asked."
    ),
    ("yes",),
    of="so",
)
NOTE = Line("note", later("Note"), later("Anything else, in words; may be left out."))
COMMON = (WHEN, NOTE, WHO)
WARNS = frozenset({"wind", "thunder", "coming-down", "crossing", "meter"})
"""What can only be the worse for those inside, or counts by what was read: a name that signed before is offered for them, and for nothing else."""
CONFIRMED = frozenset({"all-clear"})
"""What is asked about once more before it is kept, with a letter of its own: no Enter that closed a line answers it."""
EVENTS: tuple[Event, ...] = (
    Event("wind", later("Wind reading"), (
        Line("value", later("Speed"), later("The peak that was held, with its unit: 32 mph, 14 m/s, 28 kt."), needed=True, like="32 mph"),
        Line("bearing", later("Comes from"), later("Degrees true, 0 to 360: west is 270. May be left out.")),
        Line("height", later("Meter at"), later("Height of the meter above the ground, such as 6 ft; left out: held by hand."), empty=later("held by hand"), like="6 ft"),
        Line("averaging", later("Averaged"), later("3 s for a held peak (if left out), 1 min, 2 min, 10 min or 1 h."), ("3 s", "1 min", "2 min", "10 min", "1 h"), empty=later("3 s, a held peak")))),
    Event("placed", later("Placed"), (
        Line("value", later("Units"), later("A whole number, as planned, or points with their numbers: L1 8; R1 11."), ("as-planned",), needed=True, of="count", free=True),
        Line("how", later("Of all points"), later("each or in-all: so many at each point, or so many in all; left out where one point is named."), ("each", "in-all"), of="count"),
        _WHERE,
        Line("more", later("More came"), later("yes: more stands there than was brought by the file, and that is so."), ("yes",), of="so"))),
    Event("setup", later("Set-up done"), (_WORDS,)),
    Event("coming-down", later("Taking down"), (_WORDS,)),
    Event("struck", later("Taken down"), (_WORDS,)),
    Event("inspection", later("Inspection"), (
        Line("after", later("After"), later("shift, wind, rain, snow, frost, thaw, change, or before people go in; may be left out."),
             AFTER, of="after"),
        Line("value", later("Result"), later("passed or failed; words go under Note. Failed: nobody in until one passed."), ("passed", "failed"), needed=True, of="result"),
        _WHERE)),
    Event("thunder", later("Thunder heard"), (_WORDS,)),
    Event("hand-over", later("Hand-over"), (Line("to", later("Handed to"), later("The name of the person who takes over."), needed=True),
        Line("relief", later("Relief at"), later("When the relief comes: 06:00Z; without Z by the time zone under Times. May be left out.")),
        Line("watch", later("Night watch"), later("Who watches wind and sky at night; left out, it is asked for.")), _WORDS)),
    Event("doors", later("Doors"), (Line("value", later("All doors"), later("open, closed or in-use."), ("open", "closed", "in-use"), of="door", needed=True),)),
    Event("snow", later("Snow on roof"), (
        Line("value", later("Depth"), later("Depth on the roof with its unit: 2 in, 5 cm."), needed=True, like="2 in"),
        Line("kind", later("Kind"), later("new, settled, wet, slush or ice; left out: wet."), ("new", "settled", "wet", "slush", "ice"), of="snow", empty=Word("wet", "snow")))),
    Event("straps", later("Wall straps"), (Line("value", later("Straps"), later("locked or unlocked."), ("locked", "unlocked"), of="name", needed=True),)),
    Event("state", later("Ground"), (Line("value", later("State"), later("dry, wet, frozen, ice, snow or soiled (mud, leaves, oil)."), STATES, of="state", needed=True),)),
    Event("pull-test", later("Pull test"), (
        Line("value", later("Held or gave at"), later("The pull with its unit: 620 lbf, 2.8 kN."), needed=True, like="620 lbf"),
        Line("where", later("At point"), later("The name of the point, such as R1.")))),
    Event("action", later("Action done"), (_MUST, _WHERE, _ONLY)),
    Event("all-clear", later("All-clear"), (_WORDS,)),
    Event("test", later("Test at the site"), (
        Line("value", later("Result"), later("With its unit: 620 lbf, 41 lb, 0.6 psi, 18 mph."), needed=True),
        Line("kind", later("Kind"), later("drag, weigh, pull, vane or meter."), ("drag", "weigh", "pull", "vane", "meter"), of="test", needed=True), _WHERE)),
    Event("crossing", later("A level reached"), (Line("value", later("Level"), later("secure, people-out or keep-away."), ("secure", "people-out", "keep-away"), of="level", needed=True),)),
    Event("meter", later("Meter on its pole"), (
        Line("height", later("Stands at"), later("Height of the meter above the ground, such as 10 ft."), needed=True, like="10 ft"),
        Line("bearing", later("Its mark"), later("Where its mark points, degrees true, if it counts its angles from that; may be left out.")))),
    Event("pair", later("Meter, forecast"), (Line("value", later("Speeds"), later("What the meter read of what was forecast for then: 24 mph of 30 mph."), needed=True),)),
    Event("correct", later("Correction"), (Line("value", later("Entry"), later("The number of the entry that was wrong; it counts no more. Then write down what is right."), needed=True),)),
    Event("note", later("Note"), (_MUST, _WHERE, _ONLY, Line("same", later("Same shelter"), later("yes: the name or sizes in the file were mended, and the record is of this shelter."), ("yes",), of="so"))),
)  # fmt: skip
"""In the order of how often they are wanted."""


ALSO: dict[str, str] = {
    "thunder": later("lightning storm"),
    "placed": later("put ballast bags weights stakes"),
    "all-clear": later("all clear over safe again"),
    "doors": later("door open closed"),
    "inspection": later("inspect look walk round"),
    "wind": later("gust speed meter reading"),
}
"""Other words by which an event is found."""
LETTERS = {
    "wind": "w", "placed": "p", "setup": "u", "coming-down": "d", "struck": "k", "inspection": "i", "thunder": "t", "hand-over": "h",
    "doors": "r", "snow": "s", "straps": "l", "state": "g", "pull-test": "f", "action": "x", "all-clear": "a", "test": "e",
    "crossing": "v", "meter": "m", "pair": "y", "correct": "c", "note": "n",
}  # fmt: skip
"""The letter that picks each, with Alt. No o: Alt and O is the beginning of other keys in a terminal."""


def begun(line: Line, text: str) -> str:
    """The one choice of a line that what was typed begins, as it is read; nothing where it may be one or the other."""
    typed = folded(text)
    if not typed:
        return ""
    found = [c for c in line.choices if folded(chosen(c, line.of)).startswith(typed)]
    found = found or [c for c in line.choices if c.startswith(typed)]
    if len(found) == 1:
        return chosen(found[0], line.of)
    code = code_of(text.strip(), line.of, line.choices)  # by another name of it
    return chosen(code, line.of) if code in line.choices else ""


class Grey(Suggester):
    """Behind what is typed, in grey, what Enter and the key that keeps it make of it."""

    def __init__(self, line: Line) -> None:
        """line: the choices are its."""
        super().__init__(use_cache=False, case_sensitive=True)
        self.line = line

    async def get_suggestion(self, value: str) -> str | None:
        """The whole of it, where it begins as it is typed."""
        found = begun(self.line, value)
        longer = folded(found).startswith(folded(value)) and len(found) > len(value)
        return value + found[len(value) :] if longer else None


class LineInput(Input):
    """One line of what is written down."""

    def __init__(self, line: Line, text: str = "") -> None:
        """line: what it asks for."""
        super().__init__(compact=True, max_length=200)
        self.line = line
        self.ask(line, text)

    def ask(self, line: Line, text: str) -> None:
        """Another line."""
        self.line, self.placeholder, self.value = line, line.empty, inert(text)
        self.suggester = Grey(line) if line.choices else None

    async def _on_key(self, event: Key) -> None:
        """In the order in which keys come, as in the form: those that come after one left this line are for the next."""
        screen = self.screen
        here = screen.focused if isinstance(screen, WriteDown) else self
        key = plain_key(event.key)
        if here is self and key not in MOVES and not key.startswith("alt+"):
            return
        event.stop()
        event.prevent_default()
        if isinstance(here, LineInput) and here is not self:
            here.post_message(Key(event.key, event.character))
        elif isinstance(screen, WriteDown) and key in MOVES:
            MOVES[key](screen)

    def validate_value(self, value: str) -> str:
        """Control characters become question marks before anything sees them."""
        return inert(value)[:200]


class Written(Horizontal):
    """Label and text of one line."""

    def __init__(self, line: Line, text: str) -> None:
        """line: what it asks for."""
        super().__init__(classes="written")
        self.label = Static(_label(line), classes="label", markup=False)
        self.input = LineInput(line, text)

    def compose(self) -> ComposeResult:
        """Label, then input."""
        yield self.label
        yield self.input

    def ask(self, line: Line, text: str) -> None:
        """Another line."""
        self.mark(wrong=False, line=line)
        self.input.ask(line, text)

    def mark(self, *, wrong: bool, line: Line | None = None) -> None:
        """Before its label, whether it has to be corrected."""
        self.label.set_class(wrong, "-wrong")
        self.label.update(Content(_label(line or self.input.line, wrong=wrong)), layout=False)


def _label(line: Line, *, wrong: bool = False) -> str:
    return f"{'! ' if wrong else ''}{line.label}{' *' if line.needed else ''}"


class WriteDown(Dialog):
    """One event with what belongs to it. It stays until the record has taken it; what is wrong is said here."""

    BINDINGS: ClassVar = [
        Binding("ctrl+s", "write", later("Keep it")),
        Binding("ctrl+g", "mend", later("to correct")),
        Binding("alt+down", "event(1)", later("Next kind")),
        Binding("alt+up", "event(-1)", later("Kind before")),
        *(Binding(f"alt+{LETTERS[e.name]}", f"kind({i})", e.word) for i, e in enumerate(EVENTS)),
    ]

    def __init__(
        self,
        before: Mapping[str, str],
        write: Callable[[WriteDown, Mapping[str, str]], None],
        entries: Sequence[str] = (),
        event: str = "wind",
        *,
        system: str = "us",
        planned: Callable[[], Mapping[str, int] | None] = lambda: None,
    ) -> None:
        """event: what is written down first. before: who it was last on this machine, who has signed since the program was started (``mine``), and how the meter was held. write: hands what was said on; the answer comes to ``answered``.
        entries: the last ones of the record, with their numbers: what a correction may name. system: the units in which a bare number is offered.
        planned: what the plan says at each point.
        """
        super().__init__()
        self.system, self.planned = system, planned
        self.write, self.at, self.entries = write, 0, list(entries)
        self.signed, self.mine = before.get(WHO.name, ""), before.get("mine", "")
        lines = (*EVENTS[0].lines, *COMMON)
        spare = max(len(e.lines) for e in EVENTS) + len(COMMON) - len(lines)
        self.rows = [
            Written(x, "" if x is WHO else before.get(x.name, ""))
            for x in (*lines, *(NOTE for _ in range(spare)))
        ]
        for row in self.rows[len(lines) :]:
            row.display = False
        self.first = next(i for i, e in enumerate(EVENTS) if e.name == event)
        self.sent = False
        self.counts: tuple[Mapping[str, int] | None] | None = None
        self.wrong: LineInput | None = None
        """The line that has to be corrected, marked."""
        self.why = ""
        self.wrong_at: LineInput | None = None
        """Sent there for something that is missing: what is wrong stays in sight."""

    def compose(self) -> ComposeResult:
        """Kinds on the left, the lines of the one that is picked on the right."""
        with Vertical(classes="dialog wide"):
            yield Static(say("Write down what happened"), classes="title", markup=False)
            with Horizontal(id="writing"):
                yield OptionList(
                    *(Option(Content(f"{LETTERS[e.name].upper()}  {e.word}"), id=e.name) for e in EVENTS),
                    markup=False,
                )
                with VerticalScroll(id="said", can_focus=False):
                    yield from self.rows
            yield Static("", id="whole", markup=False)
            yield Static("", id="accepted", markup=False)
            yield Static(
                say(
                    "* needed. Enter: next line, after the last it is kept. Ctrl+S: keep it now. Alt and a letter, Alt+Down, Alt+Up: another kind. Esc: back."
                ),
                classes="hint",
                markup=False,
            )

    def on_mount(self) -> None:
        """The kind that was asked for."""
        self.pick(self.first)
        self.set_focus(self.inputs()[0])

    def whole_words(self) -> str:
        """All that will be kept, before it is."""
        event, said = EVENTS[self.at], list[str]()
        for i in self.inputs():
            text = i.value.strip() or i.line.empty
            if i.line.free and self._code(i) == AS_PLANNED:
                text = self._planned_words()
            if text:
                said.append(text if i.line.name == "value" else f"{i.line.label.lower()}: {text}")
            elif i.line.needed:
                said.append(f"{i.line.label.upper()}?")
        return say("To be kept: {word}: {said}.", word=event.word, said=", ".join(said))

    def tell_whole(self) -> None:
        """Show it."""
        box = self.query_one("#whole", Static)
        whole = wrap(self.whole_words(), "", "  ", box.size.width or 70)
        box.update(Content("\n".join(inert(x) for x in whole[:3])))

    def on_input_changed(self, event: Input.Changed) -> None:
        """What will be kept is other, and what was wrong may be right."""
        event.stop()
        self.tell_whole()
        if isinstance(event.input, LineInput):
            if event.input is self.wrong:
                self._mark(None)
            if event.input.has_focus:
                self._tell(self._takes(event.input))

    def inputs(self) -> list[LineInput]:
        """The lines that are there."""
        return [row.input for row in self.rows if row.display]

    def action_mend(self) -> None:
        """To the line that has to be corrected, or to the first that is needed and empty."""
        there = self.wrong or next((i for i in self.inputs() if self._wrong_with(i)), None)
        if there is None:
            self._tell(say("Nothing has to be corrected: Ctrl+S keeps it."))
        elif there.has_focus:
            self._tell(self._wrong_with(there) or self.why, wrong=True)
        else:
            self._go_to(there, self._wrong_with(there) or self.why)

    def said(self) -> dict[str, str]:
        """What is filled in, by what the record calls it."""
        texts = {i.line.name: self._code(i) for i in self.inputs()}
        if texts.get("value") == AS_PLANNED and (counts := self._counts()) is not None:
            texts |= {"value": str(sum(counts.values())), "how": AS_PLANNED}
        return {"event": EVENTS[self.at].name, **{k: v for k, v in texts.items() if v}}

    def _code(self, i: LineInput) -> str:
        """What is kept of a line: the code of a choice; nothing where what is taken anyway was typed."""
        text = i.value.strip()
        if i.line.empty and folded(text) in (
            folded(str(i.line.empty)),
            folded("now") if i.line is WHEN else "",
        ):
            return ""
        if i.line.of == "so" and folded(text) in ("no", folded(chosen("false", "so"))):
            return ""
        return code_of(begun(i.line, text) or text, i.line.of, i.line.choices)

    def _counts(self) -> Mapping[str, int] | None:
        """What the plan says at each point, looked up once."""
        if self.counts is None:
            self.counts = (self.planned(),)
        return self.counts[0]

    def _planned_words(self) -> str:
        """What is kept as planned, whole."""
        counts = self._counts()
        if counts is None:
            return say("as planned: the plan has no number that can stand at every point")
        return say("as planned: {counts}, {total} in all", counts=counted(counts), total=sum(counts.values()))

    def _takes(self, i: LineInput) -> str:
        """What a line takes, or what is offered for the bare number in it."""
        offer = whole(i.value, i.line.like, self.system)
        if i.line is WHO and not i.value.strip() and (name := self._signed()):
            return say("{whole}? Enter takes it.", whole=inert(name))
        return (
            say("{whole}? Enter takes it. Else type the unit.", whole=offer)
            if offer
            else str(i.line.accepted)
        )

    def _wrong_with(self, i: LineInput) -> str:
        """What is wrong with a line, as far as it is seen without the record."""
        text = self._code(i)
        if not text and i.line is WHO and self._signed():
            return f"{i.line.label}: {self._takes(i)}"
        if not text:
            return (
                say("{label}: not given. {accepted}", label=i.line.label, accepted=i.line.accepted)
                if i.line.needed
                else ""
            )
        if whole(text, i.line.like, self.system):
            return f"{i.line.label}: {self._takes(i)}"
        if i.line.choices and not i.line.free and text not in i.line.choices and i.line.name != "averaging":
            return f"{i.line.label}: {i.line.accepted}"
        if text == AS_PLANNED and i.line.free and self._counts() is None:
            return self._planned_words()
        return ""

    def _mark(self, wrong: LineInput | None) -> None:
        """Mark the line that has to be corrected, and no other."""
        self.wrong = wrong
        for row in self.rows:
            row.mark(wrong=row.input is wrong)

    def pick(self, at: int) -> None:
        """Another event; what was typed in lines that it has too stays. At once: the next key may be for its first line."""
        kept = {(i.line.name, i.line.label): i.value for i in self.inputs()}
        if self.at != at % len(EVENTS):  # who signed for one kind has not signed for another
            kept.pop((WHO.name, WHO.label), None)
        self.at = at % len(EVENTS)
        self.query_one(OptionList).highlighted = self.at
        if not EVENTS[self.at].lifts and not kept.get((WHO.name, WHO.label)):
            kept[WHO.name, WHO.label] = self.mine
        lines = (*EVENTS[self.at].lines, *COMMON)
        for row, line in zip(self.rows, lines, strict=False):
            row.ask(line, kept.get((line.name, line.label), ""))
        for i, row in enumerate(self.rows):
            row.display = i < len(lines)
        self.tell_whole()

    def action_event(self, by: int) -> None:
        """The next event or the one before."""
        self.action_kind(self.at + by)

    def action_kind(self, at: int) -> None:
        """An event by its place."""
        self.pick(at)
        self.set_focus(self.inputs()[0])
        self._tell(self.inputs()[0].line.accepted)

    def action_step(self, by: int) -> None:
        """The line above or below."""
        every = self.inputs()
        here = self.focused
        at = every.index(here) if isinstance(here, LineInput) and here in every else -1
        self.set_focus(every[(at + by) % len(every)])

    @on(OptionList.OptionHighlighted)
    def _moved(self, event: OptionList.OptionHighlighted) -> None:
        event.stop()
        if event.option_list.highlighted == event.option_index != self.at:  # else late: it has gone on since
            self.pick(event.option_index)

    @on(OptionList.OptionSelected)
    def _picked(self, event: OptionList.OptionSelected) -> None:
        event.stop()
        self.set_focus(self.inputs()[0])

    def on_descendant_focus(self, event: DescendantFocus) -> None:
        """Say what this line takes."""
        if isinstance(event.widget, LineInput) and event.widget is not self.wrong_at:
            self._tell(self._takes(event.widget))
        self.wrong_at = None

    def _tell(self, text: str, *, wrong: bool = False) -> None:
        box = self.query_one("#accepted", Static)
        box.set_class(wrong, "-wrong")
        wide = box.size.width or 70
        lines = wrap(text, "! " if wrong else "", "  ", wide)
        if EVENTS[self.at].name == "correct" and not wrong:
            lines = [*(cut(inert(e), wide) for e in self.entries), *lines]
        box.update(Content("\n".join(lines[: 4 + len(self.entries)])))

    def enter(self, field: LineInput) -> None:
        """Complete a choice that is begun, and go on as in the form; after the last line it is kept."""
        if field.line is WHO and not field.value.strip() and (name := self._signed()):
            field.value = name
            return  # taken; it is kept by one key more
        if offer := whole(field.value, field.line.like, self.system) or begun(field.line, field.value):
            field.value = offer
        if field is self.inputs()[-1]:
            self.action_write()
        else:
            self.action_step(1)

    def action_write(self) -> None:
        """Hand it on, once what is needed is there and can be read."""
        wrong = next(((i, why) for i in self.inputs() if (why := self._wrong_with(i))), None)
        if wrong is not None:
            self._go_to(*wrong)
        elif not self.sent and EVENTS[self.at].name in CONFIRMED:
            self.sent = True  # nothing else is kept while it is asked
            self.app.push_screen(
                Choose(str(EVENTS[self.at].word), [self.whole_words(), say("Is the danger over, seen by whoever signs? From then on people may go by it.")],
                       [("n", say("Not yet: back"), "no"), ("w", say("Yes, write it down"), "yes")]), self._confirmed,
            )  # fmt: skip
        elif not self.sent:
            self._send()

    def _signed(self) -> str:
        """The name that is offered for this kind: who signed last on this machine; nothing where it is signed by hand."""
        return "" if EVENTS[self.at].lifts else self.signed

    def _confirmed(self, answer: str | None) -> None:
        self.sent = False
        if answer == "yes":
            self._send()

    def _send(self) -> None:
        self.sent = True
        self._mark(None)
        self._tell(say("Writing it down."))
        self.write(self, self.said())

    def _go_to(self, line: LineInput, why: str) -> None:
        """To a line that has to be corrected: it is marked, and what to type is said."""
        self.why = why
        self._mark(line)
        self.wrong_at = None if line.has_focus else line
        self.set_focus(line)
        self._tell(why, wrong=True)

    def answered(self, good: bool, text: str, at: str = "") -> None:
        """What the record said: taken, or what is wrong with it, and in which line."""
        self.sent = False
        line = next((i for i in self.inputs() if i.line.name == at), None)
        if good:
            self.dismiss("")
        elif line is not None:
            self._go_to(line, f"{line.line.label}: {text}")
        else:
            self._tell(text, wrong=True)


def _enter(screen: WriteDown) -> None:
    here = screen.focused
    if isinstance(here, LineInput):
        screen.enter(here)


MOVES: dict[str, Callable[[WriteDown], None]] = {
    "up": lambda s: s.action_step(-1), "shift+tab": lambda s: s.action_step(-1), "down": lambda s: s.action_step(1), "tab": lambda s: s.action_step(1),
    "enter": _enter, "ctrl+s": WriteDown.action_write, "ctrl+g": WriteDown.action_mend, "alt+down": lambda s: s.action_event(1), "alt+up": lambda s: s.action_event(-1),
    **{f"alt+{LETTERS[e.name]}": partial(WriteDown.action_kind, at=i) for i, e in enumerate(EVENTS)},
}  # fmt: skip
"""Keys that do something else in a line than to change its text."""
