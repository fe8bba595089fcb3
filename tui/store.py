"""Files: opening, saving without ever leaving half a file, the journal that survives a pulled plug, recent files.

Nothing here knows about screens.
"""

from __future__ import annotations

import contextlib
import hashlib
import json
import time
from dataclasses import dataclass, field
from datetime import datetime
from pathlib import Path
from typing import Any

from anchorage.core import folders, outputs, textfile
from anchorage.core.errors import InputFaults
from anchorage.core.say import dated, say
from anchorage.deployment.draft import Draft, path_of, read_draft, to_toml
from tui import owner

RECENT = 8
LARGEST = 1_000_000
MOST_ITEMS = 1000
"""Of one list in a journal."""


def write_whole(path: Path, text: str) -> None:
    """Write text so that at any moment either the old or the new file is there, whole, on the disk."""
    write_bytes(path, text.encode("utf-8", "replace"))


def write_bytes(path: Path, raw: bytes) -> None:
    """The same for bytes."""
    path.parent.mkdir(parents=True, exist_ok=True)
    textfile.write_whole(path, raw)


def digest(text: str) -> str:
    """What a file was, in short."""
    return hashlib.sha256(text.encode("utf-8", "replace")).hexdigest()


@dataclass
class Document:
    """The file that is being worked on, and what is known of it."""

    path: Path | None = None
    original: str = ""
    """Text of the file when it was opened or last saved."""
    saved: Draft = field(default_factory=Draft)
    place: int = 1
    """Which of those who have the file open this is; each has a journal of its own."""

    @property
    def name(self) -> str:
        """To show."""
        return self.path.name if self.path else say("not saved yet")

    @property
    def folder(self) -> Path:
        """Where saved shelters are looked for."""
        return (self.path.parent if self.path else Path.cwd()).absolute()

    @property
    def journals(self) -> Path:
        """Beside the file; for one that has no name yet, in the state folder. The journal of the owner."""
        if self.path is None:
            return folders.state() / "unnamed.journal"
        return self.path.with_name(f".{self.path.name}.journal")

    @property
    def journal(self) -> Path:
        """The own journal."""
        return owner.journal_of(self.journals, self.place)

    def changed_underneath(self) -> bool:
        """Somebody else wrote the file since it was opened."""
        return self.path is not None and digest(_read(self.path, missing="")) != digest(self.original)

    def text_of(self, draft: Draft) -> str:
        """What saving would write."""
        if not self.original:
            return to_toml(draft)
        from anchorage.deployment.edits import merged  # noqa: PLC0415 - tomlkit is for saving alone

        return merged(self.original, draft)


def place_at(doc: Document) -> owner.Place:
    """A place at a file. The folder of what belongs to no file is made for it; a folder of the user's is not."""
    if doc.path is None:
        with contextlib.suppress(OSError):
            folders.state().mkdir(parents=True, exist_ok=True)
    place = owner.take(doc.journals)
    doc.place = place.number or 1
    return place


def _read(path: Path, missing: str | None = None) -> str:
    try:
        raw = textfile.read_whole(path, LARGEST)
        if len(raw) > LARGEST:
            raise InputFaults.of(
                path.name, "file", say("more than 1 MB"), say("a deployment file is a page of text")
            )
        return raw.decode("utf-8-sig").replace("\r\n", "\n").replace("\r", "\n")
    except UnicodeDecodeError:
        raise InputFaults.of(path.name, "file", say("not UTF-8 text"), textfile.GIVE_TEXT) from None
    except OSError as e:
        if missing is not None:
            return missing
        raise InputFaults.of(
            path.name, "file", e.strerror or say("cannot be read"), say("give the path of a deployment file")
        ) from None


def open_file(path: Path, keys: tuple[str, ...]) -> Document:
    """Read a file. Faults come as ``InputFaults``; one that is not there yet is empty and will be made by saving."""
    if not textfile.exists(path):
        return Document(path)
    text = _read(path)
    return Document(path, text, read_draft(text, keys, path.name))


def no_place(path: Path) -> str:
    """Why a deployment is not saved there under another name; nothing where it may be."""
    why = outputs.held(path)
    if why is outputs.Taken.DEPLOYMENT and textfile.exists(f"{path}{outputs.RECORD}"):
        return say("a record stands beside that file: it would be of another shelter")
    return "" if why in (None, outputs.Taken.DEPLOYMENT) else str(why.value)


def save(doc: Document, draft: Draft) -> Document:
    """Write the file and put the journal away."""
    if doc.path is None:
        raise ValueError(say("no path"))
    text = doc.text_of(draft)
    write_whole(doc.path, text)
    doc.journal.unlink(missing_ok=True)
    return Document(doc.path, text, draft, doc.place)


def saved_at(doc: Document) -> str:
    """When the file was last written, local time."""
    try:
        at = doc.path.stat().st_mtime if doc.path is not None else 0.0
    except OSError:
        return say("an unknown time")
    then = datetime.fromtimestamp(at).astimezone()
    today = then.date() == datetime.now().astimezone().date()
    return dated(then, "%H:%M" if today else "%a %d %b %H:%M")


# Journal


def write_journal(doc: Document, draft: Draft) -> None:
    """All that is typed, right or wrong."""
    data = {
        "journal": 1, "at": time.time(), "file": str(doc.path or ""), "was": digest(doc.original),
        "typed": dict(draft.typed), "rest": draft.rest,
    }  # fmt: skip
    write_whole(doc.journal, json.dumps(data, ensure_ascii=True, default=str))


@dataclass(frozen=True)
class Found:
    """A journal that was left behind."""

    at: float
    draft: Draft
    same_file: bool
    """The file is still as it was when the journal was begun."""
    path: Path | None = None
    """Where it stands."""

    @property
    def when(self) -> str:
        """Local time."""
        return dated(datetime.fromtimestamp(self.at).astimezone(), "%a %d %b %H:%M")


def read_journal(doc: Document, path: Path | None = None) -> Found | None:
    """What was left behind by a session that did not end well; None where there is nothing of use. path: another journal."""
    where = doc.journal if path is None else path
    try:
        data: Any = json.loads(_read(where))
        typed = {str(k): str(v) for k, v in data["typed"].items()}
        draft = Draft(typed, dict(data["rest"]))
        at = float(data["at"])
        datetime.fromtimestamp(at).astimezone()
        if not all(0 <= p < MOST_ITEMS for k in typed for p in path_of(k) if isinstance(p, int)):
            return None
        to_toml(draft)
        found = Found(at, draft, data["was"] == digest(doc.original), where)
    except (
        InputFaults,
        ValueError,
        LookupError,
        TypeError,
        AttributeError,
        OverflowError,
        OSError,
        RecursionError,
    ):
        return None
    return None if draft == doc.saved else found


def left_behind(doc: Document) -> Found | None:
    """The latest of all journals that nobody is at work on, the own one included."""
    found = [f for p in owner.left_behind(doc.journals, doc.place) if (f := read_journal(doc, p)) is not None]
    return max(found, key=lambda f: f.at, default=None)


def drop_journal(doc: Document) -> None:
    """Nothing in it is needed any more."""
    drop(doc.journal)


def drop(journal: Path) -> None:
    """One of the journals is needed no more."""
    with contextlib.suppress(OSError):
        journal.unlink(missing_ok=True)


# What is remembered between sessions


def _remembered() -> dict[str, Any]:
    try:
        data = json.loads(textfile.read_whole(folders.state() / "remembered.json", LARGEST))
    except (OSError, ValueError, RecursionError):
        return {}
    return data if isinstance(data, dict) else {}


def remember(**what: Any) -> None:
    """Keep settings; where that cannot be done, nothing is lost that matters."""
    with contextlib.suppress(OSError, TypeError):
        write_whole(folders.state() / "remembered.json", json.dumps({**_remembered(), **what}))


def recall(name: str, default: Any) -> Any:
    """A setting of an earlier session."""
    value = _remembered().get(name, default)
    return value if isinstance(value, type(default)) else default


def recent() -> list[str]:
    """Files opened lately that are still there."""
    return [p for p in recall("recent", []) if isinstance(p, str) and textfile.is_file(p)][:RECENT]


def short(path: str) -> str:
    """A path as it is said from here."""
    for base, sign in ((Path.cwd(), ""), (Path.home(), "~/")):
        with contextlib.suppress(ValueError):
            return sign + str(Path(path).relative_to(base))
    return path


def note_recent(path: Path) -> None:
    """Put a file at the head of the list."""
    here = str(path.absolute())
    remember(recent=[here, *(p for p in recent() if p != here)][:RECENT])


NEARBY = 12
"""Files of this folder that are offered at the beginning."""


def nearby() -> list[str]:
    """Deployment files in the folder that one is in."""
    try:
        found = sorted(p for p in Path.cwd().glob("*.toml") if textfile.is_file(str(p)))
    except OSError:
        return []
    keep = []
    for p in found:
        with contextlib.suppress(OSError, UnicodeDecodeError):
            if p.stat().st_size < LARGEST and "[shelter" in p.read_text(encoding="utf-8"):
                keep.append(str(p))
    return keep[:NEARBY]


def sketch_of(offer: str) -> list[str]:
    """Sizes and a picture from the front of what a file or a demo is of, for whoever picks it."""
    from anchorage.checks.installation import shape_of  # noqa: PLC0415
    from anchorage.demo import NAMES, demo_text  # noqa: PLC0415 - after the first screen
    from anchorage.deployment.reader import read_text  # noqa: PLC0415
    from anchorage.paper.drawing import Polygon, outline  # noqa: PLC0415
    from tui.canvas import draw  # noqa: PLC0415
    from tui.fields import KEYS  # noqa: PLC0415

    if offer == "new:":
        return [
            say("Type roof, length, width, heights and anchor points under Shelter,"),
            say("then the lines of Today."),
        ]
    try:
        name = offer.removeprefix("of:")
        if offer.startswith("demo:") and offer[5:] in NAMES:
            text, folder = demo_text(offer[5:]), Path()
        else:
            text, folder = open_file(Path(name), KEYS).original, Path(name).parent
        draft = read_draft(text, KEYS)
    except (InputFaults, OSError):
        return [say("It cannot be read.")]
    said = ", ".join(
        f"{words} {draft.text(key)}"
        for key, words in (("shelter.form", "roof"), ("shelter.length", "length"), ("shelter.width", "width"),
                           ("shelter.ridge", "ridge"), ("anchorage.kind", say("held by")))
        if draft.text(key)
    )  # fmt: skip
    try:
        form = shape_of(read_text(text, name, folder).shelter)
    except (InputFaults, OSError):
        return [said or say("No sizes in it.")]
    rows = draw((Polygon(outline(form), "wall", closed=not form.canopy),), 30, 6).lines()
    return [said, *(r for r in rows if r.strip())]
