"""The interface: a form on the left, what it comes to on the right, the verdict always above.

The draft is the truth; answers come from a worker and carry a number, and a late one is dropped.
"""

from __future__ import annotations

import gc
import time
from collections.abc import Callable, Iterable, Iterator, Sequence
from concurrent.futures import ThreadPoolExecutor
from functools import partial
from pathlib import Path
from typing import Any, NamedTuple

from textual import on, work
from textual.app import App, ComposeResult, SystemCommand
from textual.command import CommandPalette, DiscoveryHit, Hit, Hits, Provider
from textual.containers import Horizontal, Vertical
from textual.content import Content
from textual.events import Event, Key, Resize
from textual.geometry import Size
from textual.message import Message
from textual.notifications import SeverityLevel
from textual.screen import Screen
from textual.widgets import Static

from anchorage.core.plain import inert
from anchorage.core.say import ENGLISH, capital, language, languages, now_usually, say, say_instead
from anchorage.deployment.draft import Draft, items, number_in, template, without
from tui import engine, keys, mended, metering, recording, store
from tui.banner import banner, logged, status, to_heed
from tui.dialogs import Bounce, Dialog, Finder, Tell, Told
from tui.fields import (
    FIELDS,
    KEYS,
    SUBJECTS,
    kept,
    labelled,
    list_of,
    named,
    nudged,
    order_of,
    shown,
    subject_of,
)
from tui.filing import Files
from tui.form import Form
from tui.help import HELP
from tui.instead import INSTEAD
from tui.keys import ACTIONS, every_key
from tui.needed import open_question
from tui.panels import Verdict
from tui.session import Session
from tui.strips import Contents, Strip
from tui.themes import THEMES
from tui.views import Asks, View, every_view
from tui.writing import ALSO, EVENTS

REST = 0.6
"""Seconds without typing after which a field is told that it has to be mended."""
MARK = 0.12
"""Seconds after which drawing and page are marked as old, if no answer has come; the verdict is STALE at once."""
MOST_LINES = 200
"""Of a forecast, as the file takes them."""
NARROW = 60
"""Columns from which the form leaves room for the view."""
SMALL = (60, 20)
"""Columns and lines under which views and keys give their place to what is asked and answered."""
STACKED = 76
"""Columns from which the list of views stands beside the verdict."""
WORDY = 100
"""Columns from which it has room for more than words, in any language."""
SAID = (1.0, 8.0)
"""Seconds that what was done stays at least, whatever is typed, and at most."""
WRONG = 4.0
"""Seconds that what went wrong stays at least."""
DEEP = 0.35
"""Seconds without typing after which the slower questions are asked: an anchor lost, half built, advice."""

NAMES = frozenset(a.name.partition("(")[0] for a in ACTIONS) - {"theme", "command_palette"}


THRESHOLD = gc.get_threshold()
"""As it was before there was an app."""


WASTE = (50_000, 4, 3)
"""Things made between two looks for waste: among the newest some fifty keys, among all some six hundred. Each key leaves some hundred
things in circles (strips, styles, offsets of what was drawn), which nothing else takes away."""
LITTLE, QUIET = 5_000, 2_000
"""Things made since the last look that are worth one while nobody types; and in a second in which nobody does."""


def _spare_the_lasting() -> None:
    """What is loaded by now stays for good: looking through it for waste again and again took up to 0.15 s at a time."""
    gc.freeze()
    gc.collect()  # little is left to look through; it also sets what the next look is measured against
    gc.set_threshold(*WASTE)


class Findable(NamedTuple):
    """Something that is found by its name. words: others by which it is found too."""

    title: str
    what: str
    words: str
    do: Callable[[], Any]
    also: str = ""
    """Other names: found by one of them it comes first."""
    name: str = ""
    """As it stands on its line of the form."""


def _nearness(asked: str, name: str) -> float:
    """How near what is looked for is to a name: it begins with it, holds it as a whole word, begins one of its words, or nothing of that."""
    typed, words = asked.strip().lower(), name.lower().split()
    if not typed:
        return 0.0
    short = 1.0 / (1.0 + len(name))
    if name.lower().startswith(typed):
        return 900.0 + short
    if typed in words:
        return 800.0 + short
    return 700.0 + short if any(w.startswith(typed) for w in words) else 0.0


class Find(Provider):
    """The list behind the key for finding: what has the words in its name first, then what has them elsewhere."""

    async def discover(self) -> Hits:
        """Before anything is typed."""
        for f in self._all():
            yield DiscoveryHit(f.title, f.do, help=f.what)

    async def search(self, query: str) -> Hits:
        """What fits to what is typed."""
        matcher, asked = self.matcher(query), query.lower().split()
        for f in self._all():
            score, words = matcher.match(f.title), f.words.lower()
            names = f"{f.title} {f.also}".lower().split() if f.also else []
            if f.name.lower() == query.strip().lower() or (
                asked and names and all(any(n.startswith(w) for n in names) for w in asked)
            ):
                yield Hit(1000.0, f.title, f.do, help=f.what)
            elif asked and (near := _nearness(query, f.name)):
                yield Hit(near, f.title, f.do, help=f.what)
            elif score > 0:
                yield Hit(1.0 + score, matcher.highlight(f.title), f.do, help=f.what)
            elif asked and all(w in words for w in asked):
                yield Hit(0.5, f.title, f.do, help=f.what)

    def _all(self) -> Iterator[Findable]:
        return self.app.findable() if isinstance(self.app, AnchorageApp) else iter(())


class Arrived(Message):
    """Something came back from a worker."""

    def __init__(self, what: Any) -> None:
        """What it is says what to do with it."""
        super().__init__()
        self.what = what


class AnchorageApp(App[None]):
    """One place to fill in a deployment and to see what it means."""

    CSS_PATH = "app.tcss"
    TITLE = "anchorage"
    BINDINGS = keys.bindings()  # type: ignore[assignment]
    HORIZONTAL_BREAKPOINTS = [(0, "-tiny"), (60, "-slim"), (80, "-narrow"), (110, "-wide")]  # noqa: RUF012 - as Textual declares it
    VERTICAL_BREAKPOINTS = [(0, "-low"), (24, "-short"), (34, "-tall")]  # noqa: RUF012 - as Textual declares it
    ENABLE_COMMAND_PALETTE = True
    COMMAND_PALETTE_BINDING = "ctrl+f"
    COMMANDS = {Find}  # noqa: RUF012 - as Textual declares it

    def __init__(self, path: Path | None = None, *, clock: float | None = None, asked: bool = False) -> None:
        """path: the file to open. clock: for tests, the time at which a forecast is judged. asked: the language was typed, and goes before that of the file."""
        mended.everything()
        super().__init__()
        self.start_path, self.clock = path, clock
        self.session = Session(store.Document(path), plain=bool(store.recall("plain", False)))
        self.files = Files(self)
        self.bounce = Bounce()
        self.busy = False
        self.meter_waits = False
        """Something new of the meter is to be shown: it is told once, however much comes."""
        self.typed_at = 0.0
        self.deep_after = DEEP
        self.ready = self.marking = False
        self.asked = asked
        self.of_file = ""
        """Language that the draft asked for when it was last answered."""
        self.before: Draft | None = None
        """What was last answered with a plan, in another language: it is answered anew where what is typed cannot be."""
        self.made = 0
        """Things made when it was last looked."""
        self.bench = ThreadPoolExecutor(1, "plan")
        """Where plans are worked out, one after the other."""
        self.verdict, self.view = Verdict(), View(every_view())
        self.form = Form(self.typed, self.left, self.pasted)
        self.file = Strip((), id="file", gap=2)
        self.contents = Contents(keys.contents("look"), id="views", gap=2)
        self.record = Strip(keys.about_record("look"), id="record", rule=True, gap=2)
        self.foot = Strip(keys.foot("look"), id="foot", gap=2)
        self.told = Told()
        self.small = Static("", id="small", markup=False)
        """Said where the terminal has no room for what stands around the view."""

    def compose(self) -> ComposeResult:
        """The verdict over the file, beside them the list of views; the record; form and view; what comes next."""
        with Horizontal(id="top"):
            with Vertical(id="headline"):
                yield self.verdict
                yield self.file
            yield self.contents
        yield self.small
        yield self.record
        yield self.told
        with Horizontal(id="body"):
            yield self.form
            yield self.view
        yield self.foot

    def on_mount(self) -> None:
        """Themes, then the first screen; all that is slow comes after it."""
        say_instead(INSTEAD)
        for theme in THEMES:
            self.register_theme(theme)
        self.theme = (
            store.recall("theme", "sun") if store.recall("theme", "sun") in ("sun", "night") else "sun"
        )
        self.show_view("answer")
        self.files.begin_file(self.start_path)  # before any key can come, so that none is lost
        self.watch(self.screen_stack[0], "focused", self._focused, init=False)
        if not isinstance(self.screen, Dialog):
            if self.start_path is not None and self.session.draft.typed:
                self.look()
            else:
                self.fill_in()
        self.call_after_refresh(self._begin)

    def on_unmount(self) -> None:
        """Others may have the file now."""
        say_instead({})
        if (meter := self.session.meter) is not None:
            meter.stop()
            meter.join(1.0)  # what it has heard since it last wrote goes into the record
        self.session.place.leave()
        self.bench.shutdown(wait=False, cancel_futures=True)
        gc.unfreeze()
        gc.set_threshold(*THRESHOLD)

    async def on_event(self, event: Event) -> None:
        """A key that comes again right after it closed something is for nobody."""
        if isinstance(event, Key) and self.bounce.swallows(event.key):
            event.stop()
            return
        if isinstance(event, Key):
            self.hush()
        await super().on_event(event)

    def _handle_exception(self, error: Exception) -> None:
        """A fault of the program ends it; what is typed is put on the disk first, and offered at the next start."""
        self.files.keep()
        super()._handle_exception(error)

    def _begin(self) -> None:
        self.ready = True
        self._ask()
        self.set_interval(1.0, self.files.tick)
        self.set_interval(1.0, self.clear_away)
        self.set_interval(60.0, self.each_minute)

    def clear_away(self) -> None:
        """Take waste away while nobody types: then it keeps nobody waiting."""
        made = gc.get_count()[0]
        if made > LITTLE and abs(made - self.made) < QUIET and not self.busy:
            gc.collect()
        self.made = gc.get_count()[0]

    # From typing to an answer

    def typed(self, key: str, text: str) -> None:
        """Something was typed in a field: the verdict is stale before the next key can come."""
        self.session.history.edit(key, text)
        self.form.draft = self.session.draft
        self.form.scold = False
        if not self.typed_at:
            self.set_timer(REST, self._rested)
        self.typed_at = time.monotonic()
        self.changed()
        if self.form.others(key):
            self.form.show_items()
        else:
            self.form.marks()

    def _rested(self) -> None:
        """Nothing was typed for a while: now it may be said what has to be mended."""
        left = self.typed_at + REST - time.monotonic()
        if left > 0.01:
            self.set_timer(left, self._rested)
            return
        self.typed_at = 0.0
        if self.screen_stack and not self.form.scold:
            self.form.scold = True
            self.form.marks()

    def left(self) -> None:
        """A field was left: what is typed next is a step of its own."""
        self.session.history.close()
        self.form.scold = True

    def pasted(self, key: str, lines: Sequence[str]) -> None:
        """Several lines were pasted into a line of the forecast."""
        first = number_in(key)
        most = min(len(lines), MOST_LINES - first + 1)
        self.take(self.session.draft.over({f"forecast.lines[{first + i}]": lines[i] for i in range(most)}))

    def take(self, draft: Draft) -> None:
        """Another draft as one step that can be undone."""
        self.session.history.replace(draft)
        self.shown_anew()

    def shown_anew(self) -> None:
        """The draft was changed from outside of the fields."""
        self.form.show_draft(self.session.draft)
        self.changed()

    def changed(self) -> None:
        """Something was changed: the verdict is stale at once, and is worked out anew."""
        self.session.number += 1
        self.show_verdict()
        self.show_status()
        if not self.marking:
            self.marking = True
            self.set_timer(MARK, self._mark)
        self._ask()

    def _mark(self) -> None:
        self.marking = False
        self.mark_stale()

    def _ask(self) -> None:
        if self.ready and not self.busy:
            self.busy = True
            self._evaluate(self.session.draft, self.session.number)

    def _evaluate(self, draft: Draft, number: int, *, deep: bool = False) -> None:
        """In the one thread that is kept for it: beginning a thread for each key takes longer than handing over."""
        self.bench.submit(self._work_out, draft, number, self.session.doc.folder, deep, self.session.beside)

    def _work_out(self, draft: Draft, number: int, folder: Path, deep: bool, beside: Path | None) -> None:
        self.post_message(Arrived(engine.evaluate(draft, number, folder, deep=deep, beside=beside)))

    def _work_out_before(self, draft: Draft) -> None:
        spoken = language()
        found = engine.evaluate(draft, -1, self.session.doc.folder, beside=self.session.beside)
        self.post_message(Arrived(engine.Before(found, spoken)))

    @on(Arrived)
    def _arrived(self, event: Arrived) -> None:
        what = event.what
        if not self.screen_stack:
            return  # it is being left
        if isinstance(what, engine.Answer):
            self._answered(what)
        elif isinstance(what, engine.Before):
            if self.session.good is None and what.answer.plan is not None and what.spoken == language():
                self.session.good = what.answer
                self.show_page(self.session.view_name)
        elif isinstance(what, metering.Metering):
            self._metered(what)
        elif what.number != self.session.number:
            return  # late: something was typed since
        elif isinstance(what, engine.Weather):
            self.session.weather_found = what
            self.show_verdict()
            self.show_page("weather")
            self.show_page("answer")
        elif isinstance(what, engine.Compared):
            self.session.compared = what
            self.show_page("compare")

    def meter_told(self) -> None:
        """In the thread of the meter: there is something new of it, which the screen takes when it can."""
        if not self.meter_waits and self.session.meter is not None:
            self.meter_waits = True
            self.post_message(Arrived(self.session.meter))

    def _metered(self, found: metering.Metering) -> None:
        """What the meter says now; an alarm rings, and what is in the record since is judged."""
        self.meter_waits = False
        if found is not self.session.meter:
            return
        _, events = found.news()
        self.show_status()
        self.show_page("now")
        loud = events - {"back"}
        if loud:
            self.bell()
            self.notify(
                metering.status(found), title=say("Meter"), severity="error", markup=False, timeout=20
            )
        if events & {"level", "thunder"}:
            self.set_timer(1.0, self.changed)  # it is in the record by then

    def ask(self, what: Asks) -> None:
        """Work out what a view needs besides the answer."""
        if what:
            {"compare": self.ask_compare, "working": self.ask_working, "now": self.ask_now}[what]()

    def ask_now(self) -> None:
        """Where the installation stands by what is typed and its record."""
        if (
            self.session.doc.path is not None
            and self.session.doc.original
            and self.session.fresh
            and self.session.answer is not None
        ):
            self._stand(self.session.answer, self.session.doc, self.session.forecasts)

    @work(thread=True, group="now", exclusive=True, exit_on_error=False)
    def _stand(self, answer: engine.Answer, doc: store.Document, forecasts: tuple[Path, ...]) -> None:
        if doc.path is not None:
            self.call_from_thread(
                self._stood, recording.now(answer, doc.saved, doc.path, forecasts, self.clock)
            )

    def _stood(self, found: recording.Stands) -> None:
        if found.number == self.session.number:  # else late: something was typed since
            self.session.stands = found
            self.show_verdict()
            self.show_page("now")
            self.show_page("answer")

    def _answered(self, answer: engine.Answer) -> None:
        self.busy = False
        if answer.number != self.session.number:
            self._ask()  # late: dropped, and what is typed now is asked about
            return
        good = self.session.good
        if answer.plan is not None and (good is None or (answer.deep and not good.deep)):
            _spare_the_lasting()
        self.session.answered(answer)
        self._language_of_draft()
        if answer.plan is None and self.session.good is None and self.before is not None:
            self.bench.submit(self._work_out_before, self.before)
        self.before = None
        faults = {t.key: t.text for t in answer.faults}
        points = answer.plan.anchorage.points if answer.plan is not None else ()
        self.form.show_answer(faults, answer.echoes, answer.inherited, tuple(p.id for p in points))
        self.show_verdict()
        self.show_status()
        if answer.plan is not None and not answer.deep:
            self.set_timer(self.deep_after, partial(self._deepen, answer.number))
            self.ask_weather()
        self.ask(self.view.page.asks)
        unread = answer.plan is None and self.session.stands is not None  # then by the saved file
        if self.session.recorded or unread:  # the banner follows the latest reading
            self.ask("now")
        self.show_page(self.session.view_name)

    def _deepen(self, number: int) -> None:
        if number == self.session.number and not self.busy and self.screen_stack:
            self.busy = True
            self._evaluate(self.session.draft, number, deep=True)

    def each_minute(self) -> None:
        """The clock moves too: what goes by it is judged again."""
        self.ask_weather()
        if self.session.view_name == "now" or self.session.recorded:
            self.ask_now()

    def ask_weather(self) -> None:
        """Judge the forecast again; the clock moves too."""
        if (
            self.session.answer is None
            or self.session.answer.plan is None
            or not self.session.fresh
            or not self.screen_stack
        ):
            return
        if self.session.forecast_given:
            self._judge(self.session.answer, self.session.number)
        elif self.session.weather_found is not None and self.session.weather_found.outlook is not None:
            self.session.weather_found = None
            self.show_verdict()

    @work(thread=True, group="weather", exclusive=True, exit_on_error=False)
    def _judge(self, answer: engine.Answer, number: int) -> None:
        self.post_message(Arrived(engine.weather(answer, self.session.forecasts, number, self.clock)))

    def ask_compare(self) -> None:
        """Work out the other variant."""
        if self.session.fresh and self.session.variant == engine.EVERY:
            known = self.session.compared is not None and (self.session.compared.number, self.session.compared.name) == (self.session.number, engine.EVERY)  # fmt: skip
            if (
                self.session.answer is not None and self.session.answer.deep and not known
            ):  # while one types, the short answer alone
                self._every_way(self.session.answer, self.session.number)
        elif self.session.fresh:
            other = engine.variant(
                self.session.variant, self.session.draft, self.session.kept, self.session.doc.saved
            )
            self._compare(
                self.session.variant,
                other,
                self.session.number,
                None if self.session.answer is None else self.session.answer.plan,
            )

    @work(thread=True, group="compare", exclusive=True, exit_on_error=False)
    def _compare(self, name: str, other: Draft | None, number: int, ours: Any) -> None:
        self.post_message(
            Arrived(engine.compare(name, other, self.session.doc.folder, number, self.session.beside, ours))
        )

    @work(thread=True, group="compare", exclusive=True, exit_on_error=False)
    def _every_way(self, answer: engine.Answer, number: int) -> None:
        self.post_message(Arrived(engine.every_way(answer, number)))

    def ask_working(self) -> None:
        """Work out where the picked number comes from."""
        if self.session.good is not None and (self.session.worked[0], self.session.worked[1]) != (
            self.session.good.number,
            self.session.topic,
        ):
            self._working(self.session.good, self.session.topic)

    @work(thread=True, group="working", exclusive=True, exit_on_error=False)
    def _working(self, answer: engine.Answer, topic: str) -> None:
        lines = engine.working(answer, topic)
        self.call_from_thread(self._worked, answer.number, topic, lines)

    def _worked(self, number: int, topic: str, lines: list[str]) -> None:
        if topic == self.session.topic:
            self.session.worked = (number, topic, lines)
            self.show_page("working")

    # Looking and filling in

    def look(self) -> None:
        """To the view; the form gives its place to it where there is not room for both. The answer is read from its beginning."""
        if self.session.filling and self.session.view_name == "answer":
            self.view.page.scroll_home(animate=False)
        self.session.filling = False
        self.screen_stack[0].set_focus(self.view.page)
        self.lay_out()

    def fill_in(self) -> None:
        """To the form, to the field where one was; what stands beside it is read from its beginning."""
        if not self.session.filling:
            self.view.page.scroll_home(animate=False)
        self.session.filling = True
        self.lay_out()
        self.form.come_to(self.form.input.field)

    def _focused(self, widget: object) -> None:
        """By the mouse one goes from one to the other too."""
        filling = widget is self.form.input
        if widget is not None and filling != self.session.filling:
            self.session.filling = filling
            self.lay_out()
        self.view.tell()

    def lay_out(self, size: Size | None = None) -> None:
        """What has room, and the keys that work where one is."""
        room, high = self.size if size is None else size
        if not self.view.is_attached:
            return
        self.form.display = self.session.filling
        self.view.display = not self.session.filling or room >= NARROW
        base = self.screen_stack[0]
        base.set_class(not self.session.filling, "-looking")
        self.verdict.hold(steady=self.session.filling)
        small = room < SMALL[0] or high < SMALL[1]
        base.set_class(small, "-small")
        if small:
            there = say("Enter: the form. 1 to 0: the views. ?: every key.")
            here = say("Esc: the views. Ctrl+G: to correct. F1: what is it?")
            said = say("TOO SMALL: make it 60 by 20 or more.")
            self.small.update(Content(f"{said} {here if self.session.filling else there}"))
        self.contents.stand(beside=room >= STACKED)
        base.set_class(room < STACKED, "-stacked")
        where = "fill" if self.session.filling else "look"
        self.foot.take(keys.foot(where))
        self.show_status()

    def on_resize(self, event: Resize) -> None:
        """Lines are broken anew. The size is that of the event: the own one is still as it was."""
        self.lay_out(event.size)

    @on(View.Resized)
    def _broken_anew(self) -> None:
        if self.screen_stack and self.view.is_attached:
            self.show_page(self.session.view_name)
            self.show_status()
            self.view.tell()

    # What is shown

    def show_verdict(self) -> None:
        """The verdict of what is typed now, or that there is none yet."""
        said = banner(self.session)
        self.verdict.say(said.word, said.what, said.more, said.tone, said.must)

    def show_status(self) -> None:
        """File, what is not saved, what has to be heeded."""
        where = "fill" if self.session.filling else "look"
        said = [("", part, "") for part in status(self.session)]
        self.file.take([*said, *keys.about_file(where)])
        heed = to_heed(self.session) if self.size.width >= WORDY or language() == ENGLISH else 0
        self.contents.take(keys.contents(where, heed))
        self.record.take(keys.about_record(where, logged(self.session)))

    def show_page(self, name: str) -> None:
        """The page of a view, if that is the one that is shown."""
        if name == self.session.view_name:
            page = self.view.page
            self.view.show(page.lines_of(self.session, self.view.wide), page.hint_of(self.session))
            self.mark_stale()

    def mark_stale(self) -> None:
        """A mark on the page while it is from before the last change."""
        if self.screen_stack:
            self.view.page.mark(stale=self.view.page.is_old(self.session))

    # What was done

    def notify(
        self, message: str, *, title: str = "", severity: SeverityLevel = "information",
        timeout: float | None = None, markup: bool = False,
    ) -> None:  # fmt: skip
        """Say what was done, on a line of its own: it covers nothing. It goes with the next key, or after a while."""
        del markup
        said = f"{title}: {message}" if title else message
        for line in self._lines_told():
            line.say(said, wrong=severity == "error", stay=WRONG if severity == "error" else SAID[0])
        self.set_timer(timeout or SAID[1], partial(self.hush, said))

    def hush(self, said: str = "") -> None:
        """A key was pressed, or the time of something that was said is over."""
        for line in self._lines_told():
            line.hush(said)

    def clear_notifications(self) -> None:
        """Nothing is said any more."""
        for line in self._lines_told():
            line.hush(line.words)

    def _lines_told(self) -> Iterator[Told]:
        """Where it is said: on the screen, and over what is asked above it."""
        yield self.told
        if self.screen_stack and isinstance(self.screen, Dialog):
            yield self.screen.told

    # What is done by key

    def check_action(self, action: str, parameters: tuple[object, ...]) -> bool | None:
        """While something is asked over the screen, keys belong to that."""
        del parameters
        return len(self.screen_stack) < 2 or action not in NAMES

    async def action_view(self, name: str) -> None:
        """Look at a view, by the record as it is now."""
        self.files.look_at_record()
        if name != self.session.view_name:
            self.show_view(name)
        else:
            self.view.page.scroll_home(animate=False)
        if not self.view.page.has_focus:
            self.look()

    def show_view(self, name: str) -> None:
        """Show a view."""
        self.session.view_name = name
        self.contents.turn(f"view('{name}')")
        self.view.turn(name)
        self.ask(self.view.page.asks)
        self.call_after_refresh(self.show_page, name)

    def action_again(self, by: int) -> None:
        """The next variant, number or check."""
        self.ask(self.view.page.turned(self.session, by))
        self.show_page(self.session.view_name)

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
        """Go to the next field that has to be mended; where there is none, to the next in which a question of the plan is answered."""
        answer = self.session.answer
        faults = answer.faults if answer else ()
        keys = [t.key for t in faults if subject_of(t.key) is not None]
        if answer is not None and answer.plan is not None:
            codes = dict.fromkeys(r.code for r in answer.plan.reasons)
            asked = sorted({k for c in codes if (k := open_question(c, answer.draft))}, key=order_of)
            keys += asked
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
        now = order_of(here.field.key) if here is not None and self.session.filling else (-1, 0)
        key = next((k for k in keys if order_of(k) > now), keys[0])
        self.fill_in()
        self.form.go_to(key)

    def action_nudge(self, by: int) -> None:
        """One step more or less, or another choice."""
        here = self.form.here
        if here is None:
            return
        text = nudged(here.field, kept(here.field, here.value), by, self.form.choices_of(here.field))
        if text is not None:
            text = shown(here.field, text)
            here.value = text
            here.cursor_position = len(text)

    # Files

    def action_open(self) -> None:
        """Open a file, a recent one or a demo."""
        self.files.ask_open()

    def action_new(self) -> None:
        """A new deployment of this shelter, of another saved one, or of nothing."""
        self.files.ask_new()

    def action_forecast_file(self) -> None:
        """A forecast file to judge as well."""
        self.files.ask_forecast()

    def action_save(self) -> None:
        """Write the file."""
        self.files.save()

    def action_save_as(self) -> None:
        """Write it under another name."""
        self.files.save_as()

    def action_reading(self) -> None:
        """Write a reading or a change into the record."""
        self.files.ask_reading()

    def action_write(self, event: str) -> None:
        """Write down one kind of event."""
        self.files.ask_reading(event)

    def action_meter(self) -> None:
        """Read a meter, or what to do with the one that is read."""
        self.files.ask_meter()

    def action_sheet(self) -> None:
        """Cautions first, then the page."""
        self.files.ask_sheet()

    def action_leave(self) -> None:
        """Leave; what is not saved is asked about."""
        self.files.ask_leave()

    # Undoing

    def action_undo(self) -> None:
        """Take back the last change."""
        self._travel(self.session.history.undo(), say("Nothing to take back."))

    def action_redo(self) -> None:
        """Put it back."""
        self._travel(self.session.history.redo(), say("Nothing to put back."))

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
        if held is None or not 1 <= n <= items(self.session.draft, held.name):
            self.notify(
                say("Go to a door, duct, point, layer or line first; this takes it out."), markup=False
            )
            return
        self.take(without(self.session.draft, held.name, n))
        self.notify(
            say("{word} {n} taken out. Ctrl+Z puts it back.", word=capital(held.word), n=n), markup=False
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
        self.session.kept, self.session.variant = self.session.draft, engine.KEPT
        self.notify(say("Kept. Change something, then Compare shows both."), markup=False)
        self.ask_compare()

    def action_theme(self) -> None:
        """Sun or night."""
        self.theme = "night" if self.theme == "sun" else "sun"
        store.remember(theme=self.theme)

    def action_language(self) -> None:
        """The next language."""
        self.speak(keys.next_language())

    def speak(self, name: str) -> None:
        """Every word in another language; what is typed is not touched, and is judged again since answers are words too."""
        now_usually(name)
        base = self.screen_stack[0]
        for strip in base.query(Strip):
            strip.show()
        self.lay_out()
        self.form.speak()
        s = self.session
        self.before = s.good.draft if s.good is not None else None
        s.answer = s.good = s.weather_found = s.compared = s.stands = None
        s.worked = (0, "", [])
        self.changed()
        self.show_page(self.session.view_name)

    def _language_of_draft(self) -> None:
        """The draft asks for a language: one that was opened, or the field was filled in."""
        said = self.session.draft.text("deployment.lang")
        if said != self.of_file:
            self.of_file = said
            if said in languages() and said != language() and not self.asked:
                self.speak(said)
            self.asked = False

    def action_plain(self) -> None:
        """Dots or plain characters."""
        self.session.plain = not self.session.plain
        store.remember(plain=self.session.plain)
        self.show_page(self.session.view_name)

    def action_help_field(self) -> None:
        """What the field means and where its value is found."""
        here = self.form.here
        if here is None:
            self.push_screen(Tell(say("Every key"), ["\n".join(every_key())]))
            return
        key = here.field.key
        (meaning, found), choices = HELP[template(key)], self.form.choices_of(here.field)
        takes = (
            say("One of: {choices}", choices=", ".join(shown(here.field, c) for c in choices))
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
        self.push_screen(Tell(labelled(key), words))

    def action_command_palette(self) -> None:
        """Find a field, a subject or an action by its name."""
        if not isinstance(self.screen, CommandPalette):
            self.push_screen(Finder(placeholder=say("Search for commands…"), id="--command-palette"))

    def get_system_commands(self, screen: Screen[Any]) -> Iterable[SystemCommand]:
        """Everything that can be done, every subject, every field."""
        del screen
        yield from (SystemCommand(f.title, f.what, f.do) for f in self.findable())

    def findable(self) -> Iterator[Findable]:
        """What is found by its name or by words that belong to it: what it means, what may be chosen, what it is called in the file."""
        for a in ACTIONS:
            if a.name != "command_palette":
                also = f"{a.word} {keys.ALSO.get(a.name, '')}"
                yield Findable(
                    f"{capital(a.word)} ({a.shown})",
                    str(a.what),
                    "",
                    partial(self.run_action, a.name),
                    also if a.name in keys.ALSO else "",
                )
        for e in EVENTS:
            yield Findable(
                say("Write down: {event}", event=e.word),
                ", ".join(str(x.label) for x in e.lines),
                "",
                partial(self.files.ask_reading, e.name),
                f"{e.word} {e.name} {ALSO.get(e.name, '')}",
            )
        for i, s in enumerate(SUBJECTS):
            yield Findable(
                say("Subject: {name}", name=s.name), ", ".join(named(f) for f in s.fields[:4]), "",
                partial(self.run_action, f"go_subject({i})"),
            )  # fmt: skip
        for key in KEYS:
            field, what = FIELDS[key], str(HELP[key][0])
            choices = [shown(field, c) for c in field.choices]
            words = " ".join((what, key.replace("_", " "), *choices, *map(str, field.choices)))
            takes = say(" One of: {choices}.", choices=", ".join(choices)) if choices else ""
            title = say("Go to: {field}", field=f"{SUBJECTS[subject_of(key) or 0].name}, {named(field)}")
            yield Findable(
                title, what + takes, words, partial(self.run_action, f"go_field('{key}')"), name=named(field)
            )
