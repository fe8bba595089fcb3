"""Every action: its key, the word for it, and where it is shown. One register for bindings, the lines that name keys, and the palette.

A key stands where it acts: what is done with the file beside its name, what is written down on the line of the record,
the views in their list, and at the foot only what comes next.

There are two places to be: looking at a view, and filling in the form. While one looks, a digit is a view and a letter
does something; while one fills in, the same digit goes with Alt and the same letter with Ctrl.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from textual.binding import Binding

from anchorage.core.say import Word, capital, language, languages, later, mark, not_reviewed, say, signs


@dataclass(frozen=True)
class Action:
    """Something that can be done."""

    name: str
    """As Textual runs it."""
    key: str
    """Everywhere."""
    shown: str
    """That key as a person reads it."""
    word: str
    what: str
    group: str = ""
    """By what a leader does: ``look``, ``fill in``, ``write down``, ``print``, ``file``; nothing: the list of keys only."""
    bare: str = ""
    """The key while one looks, where it is another."""
    at: str = ""
    """Where it stands on the screen: while one looks (``look``), while one fills in (``fill``), ``both`` or nothing."""
    view: str = ""
    """The view that it shows."""


VIEWS = ("answer", "place", "gusts", "checks", "snow", "weather", "compare", "working", "heed", "now")
_VIEWS = (
    (
        "answer",
        later("Answer"),
        later("May it go up, may people stay, what to place, what is short, at what gust to act"),
    ),
    ("place", later("Place"), later("The shelter from above, what to place at each point, what is short")),
    ("gusts", later("Gusts"), later("What it takes from each side, and when to act")),
    (
        "checks",
        later("Checks"),
        later("A bar for each check; Left and Right pick one, Why shows where it comes from"),
    ),
    ("snow", later("Snow"), later("The roof with the snow that it bears and has, wall straps, clearing")),
    ("weather", later("Hours"), later("The forecast hour by hour, with the times to act")),
    (
        "compare",
        later("Compare"),
        later(
            "Two ways side by side; Left and Right pick the other way, Left first: every way there is to hold it"
        ),
    ),
    ("working", later("Why"), later("Where a number comes from; Left and Right pick the number")),
    ("heed", later("Caution"), later("Reasons, conditions, what was taken as true, every caution")),
    ("now", later("Now"), later("Where it stands by the readings that were written down, and what is due")),
)
ACTIONS: tuple[Action, ...] = (
    *(
        Action(f"view('{name}')", f"alt+{n}", f"Alt+{n}", word, what, "look", str(n), view=name)
        for (name, word, what), n in zip(_VIEWS, (1, 2, 3, 4, 5, 6, 7, 8, 9, 0), strict=True)
    ),
    Action("fill_in", "", "Enter", later("fill in the form"), later("Go to the form, to the field where you were"), later("fill in"), "enter", "look"),
    Action("look", "escape", "Esc", later("the views"), later("Back to the view; from another view to the answer"), "look", "", "fill"),
    Action("mend", "ctrl+g", "Ctrl+G", later("to correct"), later("Go to the next field that has to be corrected"), later("fill in"), "g", "both"),
    Action("command_palette", "ctrl+f", "Ctrl+F", later("find"), later("Every field, subject and action by its name"), later("fill in"), "f", "both"),
    Action("undo", "ctrl+z", "Ctrl+Z", later("undo"), later("Take back the last change"), later("fill in"), "", "fill"),
    Action("redo", "ctrl+y", "Ctrl+Y", later("redo"), later("Put back what was taken back"), later("fill in")),
    Action("help_field", "f1", "F1", later("what is it?"), later("What this field means and where to find its value; in a view, every key"), later("fill in"), "question_mark", "fill"),
    Action("reading", "ctrl+r", "Ctrl+R", later("reading"), later("Write a reading or a change into the record beside the file"), later("write down"), "r", "both"),
    Action("write('inspection')", "alt+i", "Alt+I", later("inspection"), later("Write down an inspection, passed or failed"), later("write down"), "i", "look"),
    Action("write('all-clear')", "alt+a", "Alt+A", later("all-clear"), later("Write down that a level is over; it counts after a wait, a lower reading and an inspection"), later("write down"), "a", "look"),
    Action("write('correct')", "alt+c", "Alt+C", later("correct"), later("Write down that an entry of the record was wrong"), later("write down"), "c", "look"),
    Action("meter", "alt+m", "Alt+M", later("meter"), later("Read a wind meter on its pole, or stop reading it"), later("write down"), "m", "look"),
    Action("save", "ctrl+s", "Ctrl+S", later("save"), later("Write the deployment file"), "file", "s", "both"),
    Action("save_as", "alt+s", "Alt+S", later("save as"), later("Write it under another name"), "file"),
    Action("open", "ctrl+o", "Ctrl+O", Word("open", "key"), later("Open a file, a recent one or a demo"), "file", "o", "look"),
    Action("new", "ctrl+n", "Ctrl+N", Word("new", "key"), later("A new deployment of this shelter, of a saved one or of nothing"), "file", "n", "look"),
    Action("sheet", "ctrl+p", "Ctrl+P", later("print"), later("Read the cautions, then write the sheet or the card to hand out"), "print", "p", "both"),
    Action("forecast_file", "ctrl+l", "Ctrl+L", later("load forecast"), later("Judge a forecast file as well"), later("fill in"), "l", "look"),
    Action("keep", "alt+k", "Alt+K", later("keep"), later("Keep this as it is, to compare with later"), "look", "k"),
    Action("theme", "ctrl+t", "Ctrl+T", later("light"), later("Change between the colors for sun and for night"), "look", "t"),
    Action("plain", "alt+p", "Alt+P", later("plain"), later("Draw with plain characters, for a terminal without dots"), "look"),
    Action("language", "f2", "F2", later("language"), later("The words in another language; what is typed stays as it is"), "look"),
    Action("subject(1)", "pagedown", "PgDn", later("subject"), later("In the form the next subject; in a view a page on"), later("fill in"), "", "fill"),
    Action("subject(-1)", "pageup", "PgUp", later("subject before"), later("In the form the subject before; in a view a page back"), later("fill in")),
    Action("leap(1)", "alt+down", "Alt+Down", later("next item"), later("The next door, duct, point, layer or line of a list"), later("fill in")),
    Action("leap(-1)", "alt+up", "Alt+Up", later("item before"), later("The one before"), later("fill in")),
    Action("take_out", "alt+x", "Alt+X", later("take out"), later("Take a door, duct, point, layer or line out of its list"), later("fill in")),
    Action("nudge(1)", "shift+up", "Shift+Up", later("more"), later("One step more, or the next choice"), later("fill in")),
    Action("nudge(-1)", "shift+down", "Shift+Down", later("less"), later("One step less, or the choice before"), later("fill in")),
    Action("leave", "ctrl+q", "Ctrl+Q", later("leave"), later("Leave; what is not saved is asked about"), "file", "q", "look"),
)  # fmt: skip
ELSEWHERE = (mark("open (key)"), mark("new (key)"))
"""Words of keys that are others elsewhere."""
ALSO: dict[str, str] = {
    "leave": later("quit exit close end"),
    "sheet": later("sheet card paper page poster"),
    "forecast_file": later("weather wind hours"),
    "help_field": later("help explain"),
    "undo": later("back mistake"),
    "write('correct')": later("correction wrong mistake"),
}
"""Other words by which an action is found."""
GROUPS = (later("look"), later("fill in"), later("write down"), later("print"), later("file"))
SHORT = {"enter": "Enter", "question_mark": "?"}


def bare(action: Action) -> str:
    """The key while one looks, as a person reads it."""
    return SHORT.get(action.bare, action.bare.upper()) or action.shown


def bindings() -> list[Binding]:
    """For the app. None has priority: keys are done in the order in which they come."""
    return [
        Binding(a.key, a.name, a.word, id=f"{a.word.lower().replace(' ', '-')}-{i}", tooltip=a.what, show=False)
        for i, a in enumerate(ACTIONS)
        if a.key and a.name != "command_palette"
    ]  # fmt: skip


def looking() -> list[Binding]:
    """For a view: the bare keys, a letter in either case, as it is printed and as it comes with Caps Lock."""
    return [
        Binding(key, f"app.{a.name}", a.word, show=False)
        for a in ACTIONS
        for key in dict.fromkeys((a.bare, a.bare.upper() if len(a.bare) == 1 else a.bare))
        if key
    ]


def plain_key(key: str) -> str:
    """A key with Alt, without the Shift that came with it: Alt+S and Alt+Shift+S are one."""
    *held, last = key.split("+")
    return (
        "+".join([*(h for h in held if h != "shift"), last.lower()])
        if "alt" in held and len(last) == 1
        else key
    )


def views() -> list[tuple[str, str, str]]:
    """Every view: key while one looks, word, action."""
    return list(contents("look"))


def contents(where: str, heed: int = 0) -> Iterator[tuple[str, str, str]]:
    """The list of views beside the verdict. heed: how many cautions and conditions there are to be read."""
    for a in ACTIONS:
        if a.view:
            word = f"{a.word} ({heed})" if heed and a.view == "heed" else str(a.word)
            yield (bare(a) if where == "look" else a.shown), word, a.name


HEAD = ("file", "print")
"""What is done with the file: beside its name."""
ANYWHERE = ("command_palette", "help_field", "language")
"""Ways to find a thing, a key, other words: after it."""


def about_file(where: str) -> Iterator[tuple[str, str, str]]:
    """Beside the name of the file while one looks or fills in: what is done with it, and how everything is found."""
    yield from _named(where, [a for a in ACTIONS if a.group in HEAD])
    yield from _named(where, [a for a in ACTIONS if a.name == "command_palette"])
    if where == "look":
        yield "?", say("every key"), "help_field"
        yield "F2", signs(next_language()).name, "language"


def about_record(where: str, entries: int = 0) -> Iterator[tuple[str, str, str]]:
    """On the line of the record: what is written down in it. entries: so many are there."""
    if not entries:
        yield "", f"{capital(say('write down'))}:", ""
    elif where == "fill":
        yield "", say("Record ({n}) goes over what is typed:", n=entries), ""
    else:
        yield "", say("Record ({n}):", n=entries), ""
    yield from _named(where, [a for a in ACTIONS if a.group == "write down"])


def foot(where: str) -> Iterator[tuple[str, str, str]]:
    """At the foot: what one does next where one is."""
    if where == "fill":
        yield "Esc", say("the views"), "look"
    yield from _named(where, [a for a in ACTIONS if a.group == "fill in" and a.name != "command_palette"])
    if not_reviewed():
        yield "", say("not reviewed"), ""


def named(where: str) -> list[tuple[str, str, str]]:
    """Every key that is named on the screen while one looks or fills in: key, word, action."""
    every = (*contents(where), *about_file(where), *about_record(where), *foot(where))
    return [(key, word, action) for key, word, action in every if key]


def _named(where: str, actions: list[Action]) -> Iterator[tuple[str, str, str]]:
    for a in actions:
        if a.at in (where, "both"):
            yield (bare(a) if where == "look" else a.shown), a.word, a.name


def next_language() -> str:
    """The language that comes after the one that is shown."""
    every = languages()
    return every[(every.index(language()) + 1) % len(every)] if language() in every else every[0]


def every_key() -> list[str]:
    """A line for each key, by group."""
    out = []
    for group in GROUPS:
        out.append(group.upper())
        for a in ACTIONS:
            if a.group == group:
                keys = (
                    say("{bare}, in the form {shown}", bare=bare(a), shown=a.shown)
                    if a.bare and a.key
                    else bare(a)
                )
                out.append(f"  {keys}: {a.word}. {a.what}.")
    out += ["MOVING", say("  Up, Down, PgUp, PgDn, Home, End: in a view a line, a page, its first and its last line."),
            say("  Left, Right: the next check, number or other way."), say("  Up, Down, Tab, Enter: in the form the next field.")]  # fmt: skip
    out += [said] if (said := not_reviewed()) else []
    return out
