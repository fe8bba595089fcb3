"""Files in the interface: open, save, new, recover, leave. Nothing typed is ever more than two seconds from the disk."""

from __future__ import annotations

import contextlib
import os
from collections.abc import Callable, Mapping
from datetime import datetime
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING, Any

from anchorage.core import machine
from anchorage.core.errors import AnchorageError, InputFaults
from anchorage.core.outputs import held, put
from anchorage.core.plain import inert
from anchorage.core.say import language, languages, not_reviewed, say, signs
from anchorage.core.textfile import exists, is_file
from anchorage.demo import NAMES, demo_text
from anchorage.deployment.draft import Draft, read_draft
from tui import engine, metering, owner, recording, store
from tui.banner import banner
from tui.broken import broken
from tui.dialogs import AskPath, Choose, Heed, Offer, Printed
from tui.fields import KEYS
from tui.offers import system_of
from tui.writing import WriteDown

if TYPE_CHECKING:
    from tui.app import AnchorageApp

STAY = ("shelter", "door", "duct", "times", "outlook", "margins", "policy")
"""Tables that go along to a new deployment of the same shelter."""
STAY_KEYS = ("deployment.show_units", "deployment.lang", "deployment.use", "anchorage.unit", "anchorage.unit_mass", "anchorage.contact",
             "anchorage.foot", "anchorage.foot_rated", "anchorage.how", "anchorage.how_detail.stop", "anchorage.how_detail.every_bag", "anchorage.how_detail.on_ground", "anchorage.line_rated", "anchorage.attachment_rated", "anchorage.knots",
             "anchorage.stake.diameter")  # fmt: skip


def of_same_shelter(draft: Draft) -> Draft:
    """What stays the same at the next place: the shelter, the crew, the gear."""
    typed = {k: v for k, v in draft.typed.items() if k.split(".")[0].split("[")[0] in STAY or k in STAY_KEYS}
    typed = {k: v for k, v in typed.items() if k not in ("times.start", "times.end", "shelter.lean")}
    return Draft(typed, {k: v for k, v in draft.rest.items() if k in STAY})


def _no_page(path: str, what: object) -> str:
    """Why a page is not written there; nothing where it may be."""
    if isinstance(what, engine.Prints) and Path(path).suffix.lower() not in engine.endings(what):
        return say("the card is a page: give a name that ends in .pdf or .html")
    where = Path(path).expanduser()
    if not where.parent.is_dir():
        return say("there is no such folder")
    why = held(where)
    return "" if why is None else str(why.value)


class Files:
    """What is done with the files of a session: asked on the screen of the app, told to it."""

    def __init__(self, app: AnchorageApp) -> None:
        """app: whose session it is."""
        self.app, self.s = app, app.session
        self._seen: tuple[float, int] | None = None
        self._record_seen: tuple[tuple[float, int] | None, ...] = ()
        self._journalled: Draft | None = None
        self.signed = ""
        """Who has signed an entry of the record since the program was started, and has not handed over."""

    def _beside(self, group: str, job: Callable[..., None], *given: Any) -> None:
        """In a thread: the screen does not wait for a disk."""
        self.app.run_worker(partial(job, *given), group=group, thread=True, exit_on_error=False)

    # Opening

    def begin_file(self, path: Path | None) -> None:
        """The file of the command line; without one, what was left behind, or an offer of demos."""
        if path is not None:
            self.open_path(str(path))
            return
        self._take_up(store.Document(), offer=True)
        if store.left_behind(self.s.doc) is None:
            self.ask_open()

    def open_path(self, typed: str) -> None:
        """Open a file or a demo."""
        if typed == "new:":
            self._new("empty")
            return
        if typed.startswith("of:"):
            self._new(typed[3:])
            return
        if typed.startswith("demo:") and typed[5:] in NAMES:
            self._take_up(store.Document(saved=read_draft(demo_text(typed[5:]), KEYS)))
            self.app.look()
            return
        path = Path(typed).expanduser()
        try:
            doc = store.open_file(path, KEYS)
        except InputFaults as e:
            self._told(e)
            if not self.s.draft.typed:
                self._take_up(store.Document())
            return
        if doc.original:
            store.note_recent(path)
        self._take_up(doc, offer=True)
        if self.app.view.is_attached and doc.original:
            self.app.look()

    def _take_up(self, doc: store.Document, *, draft: Draft | None = None, offer: bool = False) -> None:
        self.end_meter()
        self._place_at(doc)
        self.s.begin(doc, draft)
        self._seen, self._journalled = self._stamp(doc.path), self.s.draft
        self._record_seen = self._record_stamp()
        self.app.form.show_draft(self.s.draft)
        self.app.changed()
        if offer:
            self._offer_left()
        self.warn_shared()

    def _place_at(self, doc: store.Document) -> None:
        """Take a place at a file, and let go of the one before."""
        self.s.place.leave()
        self.s.place = store.place_at(doc)

    def warn_shared(self) -> None:
        """Somebody else has the file open: nothing of theirs is touched, and both are to know."""
        if self.s.place.owner or self.s.doc.path is None:
            return
        name, theirs = self.s.doc.name, owner.who(self.s.doc.journals)
        self.app.push_screen(
            Choose(say("Open in another window too"), [
                say("{name} is open elsewhere, {theirs}.", name=name, theirs=theirs),
                say("You may look and try things out here. What you type is kept apart from theirs; saving over the file asks first.")],
                [("g", say("Go on here"), "go"), ("o", say("Open another file"), "open")]),
            lambda answer: self.ask_open() if answer == "open" else None,
        )  # fmt: skip

    def _offer_left(self) -> None:
        """What a session that did not end well left behind."""
        found = store.left_behind(self.s.doc)
        if found is not None:
            same = (
                say("The file is as it was then.")
                if found.same_file
                else say("THE FILE HAS CHANGED SINCE THEN.")
            )
            self.app.push_screen(
                Choose(say("Work was left behind"), [say("{doc}: typed until {when} and not saved.", doc=self.s.doc.name, when=found.when), same],
                       [("r", say("Recover it"), "recover"), ("d", say("Discard it"), "discard")]),
                partial(self._recovered, found),
            )  # fmt: skip

    def _recovered(self, found: store.Found, answer: str | None) -> None:
        if answer == "recover":
            self.app.take(found.draft)
            if found.path is not None and found.path != self.s.doc.journal:
                with contextlib.suppress(OSError):  # theirs goes only once ours is there
                    store.write_journal(self.s.doc, found.draft)
                    store.drop(found.path)
        elif answer == "discard" and found.path is not None:
            store.drop(found.path)
            self._journalled = self.s.draft
            if store.left_behind(self.s.doc) is not None:
                self._offer_left()
                return
        if self.s.doc.path is None and answer != "recover":
            self.ask_open()

    def _cannot_open(self, typed: str) -> str:
        """Why a path that was typed cannot be opened; nothing where it can, or where it is made by saving."""
        path = Path(typed).expanduser()
        if typed.partition(":")[0] in ("new", "of", "demo"):
            return ""
        try:
            store.open_file(path, KEYS)
        except InputFaults as e:
            return "; ".join(f"{f.got}; {f.accepted}" if f.got else f.accepted for f in e.faults[:3])
        if not exists(path) and not path.parent.is_dir():
            return say("there is no such folder")
        return ""

    def _told(self, e: InputFaults) -> None:
        self.app.notify(
            inert("; ".join(str(f) for f in e.faults)),
            title=say("Cannot be opened"),
            severity="error",
            markup=False,
            timeout=12,
        )

    def _unless_dirty(self, then: Any) -> None:
        """Ask before what is typed is put away."""
        if not self.s.dirty:
            then()
            return

        def go(answer: str | None) -> None:
            if answer == "save":
                self.save(then)
            elif answer == "drop":
                store.drop_journal(self.s.doc)
                then()

        self.app.push_screen(
            Choose(say("Not saved yet"), [say("{doc} has changes that are not saved.", doc=self.s.doc.name)],
                   [("s", say("Save first"), "save"), ("d", say("Drop the changes"), "drop")]), go,
        )  # fmt: skip

    def ask_open(self) -> None:
        """Open a file, a recent one or a demo."""
        offers = [(say("new: a shelter from nothing"), "new:")]
        saved = list(dict.fromkeys([*store.recent(), *store.nearby()]))
        offers += [(say("open: {short}", short=store.short(p)), p) for p in saved]
        offers += [
            (say("new place for the shelter of {short}", short=store.short(p)), f"of:{p}") for p in saved[:4]
        ]
        offers += [(say("demo: {n} (invented)", n=n), f"demo:{n}") for n in NAMES]
        self.app.push_screen(
            AskPath(
                say("Which shelter?"),
                "",
                offers,
                " ".join(x for x in (say("Arrows and Enter pick one; or type a path."), not_reviewed()) if x),
                store.sketch_of,
                self._cannot_open,
            ),
            lambda typed: self._unless_dirty(lambda: self.open_path(typed)) if typed else None,
        )

    def ask_new(self) -> None:
        """A new deployment of this shelter, of another saved one, or of nothing."""
        offers = (
            [(say("of the shelter that is open now"), "same")]
            if self.s.draft.text("shelter.form") or self.s.draft.text("shelter.use")
            else []
        )
        offers += [(say("of the shelter in {short}", short=store.short(p)), p) for p in store.recent()]
        offers += [(say("of nothing"), "empty")]
        self.app.push_screen(
            AskPath(say("A new deployment"), "", offers, say("Then answer the lines of Today.")),
            lambda picked: self._unless_dirty(partial(self._new, picked)) if picked else None,
        )

    def _new(self, picked: str) -> None:
        draft = Draft()
        if picked == "same":
            draft = of_same_shelter(self.s.draft)
        elif picked != "empty":
            try:
                draft = of_same_shelter(store.open_file(Path(picked).expanduser(), KEYS).saved)
            except InputFaults as e:
                self._told(e)
                return
        if (zone := machine.zone()) and not draft.text("outlook.zone"):
            draft = draft.over({"outlook.zone": zone})
        self._take_up(store.Document(), draft=draft)
        self.app.show_view("answer")
        self.app.fill_in()
        if picked == "empty":
            self.app.form.go(
                1, "shelter.form"
            )  # the first thing that has to be said; a saved shelter stands above it
        else:
            self.app.form.go(0)
        self.app.notify(
            say(
                "Times are by {zone}, this machine's clock says {astimezone}.",
                zone=zone or say("no time zone: give one under Times"),
                astimezone=f"{datetime.now().astimezone():%H:%M}",
            ),
            markup=False,
        )

    def ask_forecast(self) -> None:
        """A forecast file to judge as well."""

        def take(typed: str | None) -> None:
            if typed is not None and typed.strip():
                self.s.forecasts = () if typed == "none" else (*self.s.forecasts, Path(typed).expanduser())
                self.app.changed()

        self.app.push_screen(
            AskPath(
                say("Load a forecast"),
                "",
                [(say("none: judge without files"), "none")] if self.s.forecasts else [],
                say("A forecast file; the worse of all counts."),
                refuse=lambda typed: (
                    ""
                    if typed == "none" or is_file(Path(typed).expanduser())
                    else say("there is no such file")
                ),
            ),
            take,
        )

    # Saving

    def save(self, then: Any = None) -> None:
        if self.s.doc.path is None:
            self.save_as(then)
        elif self.s.doc.changed_underneath():
            self.app.push_screen(
                Choose(say("The file has changed underneath"), [say("Somebody else wrote {doc} since you opened it.", doc=self.s.doc.name)],
                       [("a", say("Save under another name"), "as"), ("o", say("Write over theirs"), "over"), ("r", say("Drop mine and read theirs"), "read")]),
                partial(self._underneath, then),
            )  # fmt: skip
        elif not self.s.place.owner:
            self.app.push_screen(
                Choose(say("Open in another window too"), [say("{doc} is open elsewhere, {who}. They would lose sight of what they have.", doc=self.s.doc.name, who=owner.who(self.s.doc.journals))],
                       [("a", say("Save under another name"), "as"), ("o", say("Write over the file all the same"), "over")]),
                partial(self._underneath, then),
            )  # fmt: skip
        else:
            self._write(then)

    def _underneath(self, then: Any, answer: str | None) -> None:
        if answer == "as":
            self.save_as(then)
        elif answer == "over":
            self._write(then)
        elif answer == "read" and self.s.doc.path is not None:
            store.drop_journal(self.s.doc)
            self.open_path(str(self.s.doc.path))

    def save_as(self, then: Any = None) -> None:
        name = self.s.draft.text("deployment.name").split("(")[0].strip().lower().replace(" ", "-")
        kept = "".join(c for c in name if c.isalnum() or c == "-")[:40] or "deployment"
        typed = str(self.s.doc.path) if self.s.doc.path else f"{kept}.toml"

        def go(answer: str | None) -> None:
            if not answer:
                return
            path = Path(answer).expanduser()
            if exists(path) and path != self.s.doc.path:
                self.app.push_screen(
                    Choose(
                        say("There is such a file"),
                        [str(path)],
                        [("o", say("Write over it"), "over"), ("n", say("Another name"), "no")],
                    ),
                    lambda a: self.write_as(path, then) if a == "over" else self.save_as(then),
                )
            else:
                self.write_as(path, then)

        def refused(answer: str) -> str:
            path = Path(answer).expanduser()
            return "" if path == self.s.doc.path else store.no_place(path)

        self.app.push_screen(AskPath(say("Save as"), typed, [], say("Enter saves."), refuse=refused), go)

    def write_as(self, path: Path, then: Any) -> None:
        before = self.s.doc
        self.s.doc = store.Document(path, before.original, before.saved)
        self._place_at(self.s.doc)
        if self._write(then):
            store.drop(before.journal)
        else:  # it is still the file that it was
            self.s.doc = before
            self._place_at(before)
            self.app.show_status()

    def _write(self, then: Any) -> bool:
        try:
            self.s.doc = store.save(self.s.doc, self.s.draft)
        except OSError as e:
            self.app.notify(say("{doc}: {strerror}. Nothing is lost: save it elsewhere with Alt+S.", doc=inert(self.s.doc.name), strerror=e.strerror or say("it cannot be written")),
                        title=say("Not saved"), severity="error", markup=False, timeout=15)  # fmt: skip
            return False
        self._journalled, self.s.underneath, self._seen = self.s.draft, False, self._stamp(self.s.doc.path)
        if self.s.doc.path is not None:
            store.note_recent(self.s.doc.path)
        self.app.show_status()
        self.app.notify(say("Saved {doc}", doc=inert(self.s.doc.name)), markup=False, timeout=3)
        if then is not None:
            then()
        return True

    # Every second

    def _stamp(self, path: Path | None) -> tuple[float, int] | None:
        try:
            s = os.stat(path) if path else None  # noqa: PTH116 - one call
        except OSError:
            return None
        return (s.st_mtime, s.st_size) if s else None

    def tick(self) -> None:
        """Put what was typed on the disk; look whether the file was changed by somebody else."""
        now = self.s.draft
        if not self.app.screen_stack:
            return  # it is being left
        if now is not self._journalled:
            self._journalled = now
            if now == self.s.doc.saved:
                store.drop_journal(self.s.doc)
            else:
                self._beside("journal", self._write_journal, self.s.doc, now)
        if owner.move_up(self.s.place):
            self.app.show_status()
        stamp = self._stamp(self.s.doc.path)
        if stamp != self._seen:
            self._seen = stamp
            changed = self.s.doc.changed_underneath()
            if changed != self.s.underneath:
                self.s.underneath = changed
                self.app.show_status()

        self.look_at_record()

    def _record_stamp(self) -> tuple[tuple[float, int] | None, ...]:
        """Of the record beside the file and of what was written into it last; two calls, nothing is read."""
        path = self.s.beside
        return (
            ()
            if path is None
            else tuple(self._stamp(path.with_name(f"{path.name}.log.db{x}")) for x in ("", "-wal"))
        )

    def look_at_record(self) -> None:
        """Whether somebody else wrote into the record, in another window or by the command: then every verdict is judged anew."""
        stamp = self._record_stamp()
        if stamp != self._record_seen:
            self._record_seen = stamp
            self.app.changed()

    def keep(self) -> None:
        """What is typed and not saved, on the disk at once: the program is about to end by a fault of its own."""
        if self.s.dirty:
            with contextlib.suppress(Exception):
                store.write_journal(self.s.doc, self.s.draft)

    def _write_journal(self, doc: store.Document, draft: Draft) -> None:
        try:
            store.write_journal(doc, draft)
        except OSError as e:
            self.app.call_from_thread(
                self.app.notify,
                say("What you type cannot be kept safe: {strerror}. Save often.", strerror=e.strerror),
                severity="error",
                markup=False,
            )

    # The record

    def ask_reading(self, event: str = "wind") -> None:
        """Write a reading or a change into the record. event: what it is of."""
        path = self.s.doc.path
        if self._is_empty():
            return
        if path is None or not self.s.doc.original:
            self.app.notify(
                say("Save the file first: the record stands beside it."), severity="warning", markup=False
            )
            self.save(partial(self.ask_reading, event))  # and then on with what was to be written down
            return

        def write(dialog: WriteDown, said: Mapping[str, str]) -> None:
            if not exists(path):  # taken away under the program: what was written down is not lost with it
                self._ask_anew(dialog, partial(write, dialog, said))
                return
            self.signed = "" if said["event"] == "hand-over" else said.get("who", "")
            store.remember(who=said.get("who", ""))
            if (
                said["event"] == "wind"
            ):  # how the meter is held, and where the wind comes from, stay the same for a while
                store.remember(reading={k: said.get(k, "") for k in ("bearing", "height", "averaging")})
            self._beside("record", self._write_down, path, said, dialog)

        held = store.recall("reading", {})
        before = {k: str(v) for k, v in held.items()} if isinstance(held, dict) else {}
        self.app.push_screen(
            WriteDown(
                {**before, "who": str(store.recall("who", "")), "mine": self.signed},
                write,
                recording.last_entries(path),
                event,
                system=system_of(self.s.draft),
                planned=partial(recording.planned, path),
            )
        )

    def _ask_anew(self, dialog: WriteDown, then: Callable[[], None]) -> None:
        """The file is gone: save what is open anew, by one key, and go on with what was to be written down."""

        def go(answer: str | None) -> None:
            if answer != "save" or not self._write(then):
                dialog.answered(good=False, text=say("The file is gone: nothing was written down."))

        self.app.push_screen(
            Choose(say("The file is gone"), [say("{doc} was moved or deleted since you opened it.", doc=self.s.doc.name)],
                   [("s", say("Save it anew and write this down"), "save"), ("n", say("Not yet: back"), "no")]), go,
        )  # fmt: skip

    def _is_empty(self) -> bool:
        """Whether the file was saved with nothing in it: no record stands beside that, however often it is saved."""
        empty = self.s.doc.path is not None and not self.s.doc.original and not self.s.dirty
        if empty:
            said = say("There is nothing in the file yet: fill in the form first.")
            self.app.notify(said, severity="warning", markup=False)
        return empty

    def ask_meter(self) -> None:
        """Read a meter, or what to do with the one that is read."""
        path, meter = self.s.beside, self.s.meter
        if self._is_empty():
            return
        if path is None:
            self.app.notify(
                say("Save the file first: the record stands beside it."), severity="warning", markup=False
            )
            self.save(self.ask_meter)  # and then on with what was to be written down
            return
        if meter is not None and not meter.fault:
            answers = [
                ("t", say("Thunder was heard: write it down"), "thunder"),
                ("s", say("Stop reading it"), "stop"),
            ]
            self.app.push_screen(
                Choose(say("The meter"), [meter.address, metering.status(meter)], answers), self._with_meter
            )
            return

        def take(typed: str | None) -> None:
            if typed and typed.strip():
                store.remember(meter=typed.strip())
                self.s.meter = metering.Metering(path, typed.strip(), self.app.meter_told)
                self.s.meter.start()
                self.app.show_status()
                self.app.show_view("now")

        hint = say(
            "tcp://HOST:PORT, udp://HOST:PORT, serial:PATH or file:PATH. How high it stands: R, Meter on its pole, once."
        )
        self.app.push_screen(
            AskPath(
                say("Read a meter on its pole"),
                str(store.recall("meter", "")),
                [],
                hint,
                empty=say("where the meter is"),
            ),
            take,
        )

    def _with_meter(self, answer: str | None) -> None:
        if self.s.meter is None:
            return
        if answer == "thunder":
            self.s.meter.heard.set()
        elif answer == "stop":
            self.end_meter()

    def end_meter(self) -> None:
        """It is read no more."""
        if self.s.meter is not None:
            self.s.meter.stop()
            self.s.meter = None
            self.app.show_status()
            self.app.show_page("now")

    def _write_down(self, path: Path, said: Mapping[str, str], dialog: WriteDown) -> None:
        found = recording.write_down(path, said)
        self.app.call_from_thread(
            self._written, dialog, found.good, inert(" ".join(found.lines)[:400]), found.at
        )

    def _written(self, dialog: WriteDown, good: bool, text: str, at: str) -> None:
        """Taken into the record, or not: then the question stays, with what is wrong."""
        if dialog.is_attached:
            dialog.answered(good, text, at)
        if good or not dialog.is_attached:
            title = say("Written down") if good else say("Not written down")
            severity: Any = "information" if good else "error"
            self.app.clear_notifications()  # one over the other hides what one looks at
            self.app.notify(text, title=title, severity=severity, markup=False, timeout=8)
        if good:
            self._record_seen = self._record_stamp()
            self.app.view.page.scroll_home(animate=False)  # what the record says stands first
            self.app.changed()  # every verdict is judged as it stands by the record

    # The page to hand out

    def ask_sheet(self) -> None:
        """Cautions first, then the page."""
        answer = self.s.answer
        if answer is None or answer.plan is None or answer.draft is not self.s.draft:
            self.app.notify(
                say("There is no verdict to write down yet: correct the marked fields first."),
                severity="warning",
                markup=False,
            )
            return
        found = self.s.weather_found
        if (
            self.s.forecast_given and found is not None and found.trouble
        ):  # before the cautions, not after them
            self.app.notify(found.trouble, severity="error", markup=False)
            return
        from tui.pages import heed  # noqa: PLC0415 - after the first screen

        lines = [text for text, _ in heed(answer.plan, min(max(self.app.size.width - 8, 40), 86))]
        told = banner(self.s)
        self.app.push_screen(
            Heed(f"{told.word}: {told.what}", lines, self._offers(), _no_page),
            partial(self._write_sheet, answer),
        )

    def _offers(self) -> list[Offer]:
        """The sheet and the card, in the language that is spoken and beside each other one."""
        stem = self.s.doc.path.with_suffix("") if self.s.doc.path else Path("deployment")
        out = []
        for card in (False, True):
            ends = engine.endings(engine.Prints(card))
            path = f"{stem}-{say('card')}{ends[0]}" if card else f"{stem}{ends[0]}"
            what = say("The card, one page, no screen") if card else say("The sheet, for crew and signer")  # fmt: skip
            out.append(Offer(what, engine.Prints(card), path, ends))
            for also in languages():
                if also != language():
                    beside = say("{what}, beside it in {language}", what=what, language=signs(also).name)
                    out.append(
                        Offer(
                            beside, engine.Prints(card, also), path, engine.endings(engine.Prints(card, also))
                        )
                    )
        return out

    def _write_sheet(self, answer: engine.Answer, given: object) -> None:
        if isinstance(given, Printed) and isinstance(given.what, engine.Prints):
            path = Path(given.path).expanduser()
            self.app.notify(say("Making {path}", path=inert(str(path))), markup=False, timeout=20)
            self._beside("sheet", self._make_sheet, answer, path, given.what)

    def _make_sheet(self, answer: engine.Answer, path: Path, prints: engine.Prints) -> None:
        try:
            put(
                path,
                engine.sheet_bytes(
                    answer, self.s.forecasts, path, self.s.doc.path, prints, clock=self.app.clock
                ),
            )
            said, bad = say("Wrote {path}", path=path), False
        except OSError as e:
            said, bad = f"{path}: {e.strerror or say('it cannot be written')}", True
        except AnchorageError as e:
            said, bad = f"{path}: {e}", True
        except Exception as e:  # noqa: BLE001 - a fault of the program is said and takes nothing with it
            said, bad = f"{path}: {broken(e)}", True
        self.app.call_from_thread(
            self.app.notify, inert(said), severity="error" if bad else "information", markup=False
        )

    # Leaving

    def ask_leave(self) -> None:
        """Leave; what is not saved is asked about."""

        def go(answer: str | None) -> None:
            if answer == "save":
                self.save(self.app.exit)
            elif answer == "drop":
                store.drop_journal(self.s.doc)
                self.app.exit()
            elif answer == "keep":
                try:
                    store.write_journal(self.s.doc, self.s.draft)
                except OSError as e:
                    self.app.notify(
                        say(
                            "It cannot be kept: {strerror}. Save it elsewhere with Alt+S.",
                            strerror=e.strerror,
                        ),
                        severity="error",
                        markup=False,
                    )
                else:
                    self.app.exit()

        if not self.s.dirty:
            store.drop_journal(self.s.doc)
            self.app.exit()
            return
        self.app.push_screen(
            Choose(say("Leave"), [say("{doc} has changes that are not saved.", doc=self.s.doc.name)],
                   [("s", say("Save and leave"), "save"), ("k", say("Keep them for next time and leave"), "keep"), ("d", say("Drop them and leave"), "drop")]), go,
        )  # fmt: skip
