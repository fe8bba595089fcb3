"""Every action: its key, the word for it, and where it is shown. One register for bindings, key strips and palette."""

from __future__ import annotations

from dataclasses import dataclass

from textual.binding import Binding


@dataclass(frozen=True)
class Action:
    """Something that can be done."""

    name: str
    """As Textual runs it."""
    key: str
    shown: str
    """The key as a person reads it."""
    word: str
    what: str
    strip: str = ""
    """``views``, ``foot`` or nothing: then it is in the palette only."""


VIEWS = ("place", "gusts", "checks", "snow", "weather", "compare", "working", "heed", "now")
ACTIONS: tuple[Action, ...] = (
    Action("view('place')", "f2", "F2", "Place", "The shelter from above, what to place at each point, what is short", "views"),
    Action("view('gusts')", "f3", "F3", "Gusts", "What it takes, when to act, and from which side", "views"),
    Action("view('checks')", "f4", "F4", "Checks", "A bar for each check; again: pick the next one for its working", "views"),
    Action("view('snow')", "f5", "F5", "Snow", "Wall straps, snow on the roof, clearing", "views"),
    Action("view('weather')", "f6", "F6", "Sky", "The forecast hour by hour, with deadlines", "views"),
    Action("view('compare')", "f7", "F7", "Compare", "Two variants side by side; again: the next variant", "views"),
    Action("view('working')", "f8", "F8", "Working", "Where a number comes from; again: the next number", "views"),
    Action("view('heed')", "f9", "F9", "Heed", "Reasons, conditions, what was taken as true, cautions", "views"),
    Action("view('now')", "f12", "F12", "Now", "Where it stands by the readings that were written down, and what is due", "views"),
    Action("help_field", "f1", "F1", "Help", "What this field means and where to find its value", "foot"),
    Action("mend", "ctrl+g", "^G", "Mend", "Go to the next field that has to be mended", "foot"),
    Action("undo", "ctrl+z", "^Z", "Undo", "Take back the last change", "foot"),
    Action("redo", "ctrl+y", "^Y", "Redo", "Put back what was taken back"),
    Action("save", "ctrl+s", "^S", "Save", "Write the deployment file", "foot"),
    Action("save_as", "alt+s", "Alt+S", "Save as", "Write it under another name"),
    Action("open", "ctrl+o", "^O", "Open", "Open a file, a recent one or a demo", "foot"),
    Action("new", "ctrl+n", "^N", "New", "A new deployment of this shelter or of nothing", "foot"),
    Action("sheet", "f10", "F10", "Sheet", "Read the cautions, then write the page to hand out", "foot"),
    Action("command_palette", "ctrl+p", "^P", "All", "Everything that can be done, and every field, by name", "foot"),
    Action("reading", "ctrl+r", "^R", "Write down", "Write a reading or a change into the record beside the file"),
    Action("forecast_file", "ctrl+l", "^L", "Load forecast", "Judge a forecast file as well"),
    Action("keep", "alt+k", "Alt+K", "Keep", "Keep this as it is, to compare with later"),
    Action("theme", "ctrl+t", "^T", "Light", "Change between the themes for sun and for night"),
    Action("plain", "alt+p", "Alt+P", "Plain", "Draw with plain characters, for a terminal without dots"),
    Action("subject(1)", "pagedown", "PgDn", "Next subject", "The next subject of the form"),
    Action("subject(-1)", "pageup", "PgUp", "Subject before", "The subject before"),
    Action("leap(1)", "alt+down", "Alt+Down", "Next item", "The next door, duct, point, layer or line of a list"),
    Action("leap(-1)", "alt+up", "Alt+Up", "Item before", "The one before"),
    Action("take_out", "alt+x", "Alt+X", "Take out", "Take a door, duct, point, layer or line out of its list"),
    Action("nudge(1)", "shift+up", "Shift+Up", "More", "One step more, or the next choice"),
    Action("nudge(-1)", "shift+down", "Shift+Down", "Less", "One step less, or the choice before"),
    Action("across", "escape", "Esc", "Form or view", "Move between the form and the view"),
    Action("leave", "ctrl+q", "^Q", "Leave", "Leave; what is not saved is asked about"),
)  # fmt: skip


def bindings() -> list[Binding]:
    """For the app. None has priority: keys are done in the order in which they come."""
    return [
        Binding(a.key, a.name, a.word, id=a.word.lower().replace(" ", "-"), tooltip=a.what, show=a.strip == "foot")
        for a in ACTIONS
        if a.name != "command_palette"
    ]  # fmt: skip


def strip(name: str) -> list[Action]:
    """The actions of a strip."""
    return [a for a in ACTIONS if a.strip == name]
