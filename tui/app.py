"""The interface: a form on the left, what it comes to on the right, the verdict always above.

The draft is the truth; answers come from a worker and carry a number, and a late one is dropped.
"""

from __future__ import annotations

import gc
import time
from collections.abc import Sequence
from concurrent.futures import ThreadPoolExecutor
from functools import partial
from pathlib import Path
from typing import Any

from textual import on, work
from textual.app import App, ComposeResult
from textual.containers import Horizontal
from textual.message import Message
from textual.widgets import Static

from anchorage.deployment.draft import Draft, number_in
from tui import engine, keys, mended, metering, owner, recording, store
from tui.dialogs import Dialog
from tui.doing import Doing
from tui.filing import Filing
from tui.form import Form
from tui.history import History
from tui.panels import Verdict, View
from tui.showing import Showing
from tui.strips import Strip
from tui.themes import THEMES

REST = 0.6
"""Seconds without typing after which a field is told that it has to be mended."""
MARK = 0.12
"""Seconds after which drawing and page are marked as old, if no answer has come; the verdict is STALE at once."""
MOST_LINES = 200
"""Of a forecast, as the file takes them."""
NARROW, BOTH = 80, 110
"""Columns from which the form leaves room for the view, and the view for the form."""
DEEP = 0.35
"""Seconds without typing after which the slower questions are asked: an anchor lost, half built, advice."""


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


class Arrived(Message):
    """Something came back from a worker."""

    def __init__(self, what: Any) -> None:
        """What it is says what to do with it."""
        super().__init__()
        self.what = what


class AnchorageApp(Doing, Showing, Filing, App[None]):
    """One place to fill in a deployment and to see what it means."""

    CSS_PATH = "app.tcss"
    TITLE = "anchorage"
    BINDINGS = keys.bindings()  # type: ignore[assignment]
    HORIZONTAL_BREAKPOINTS = [(0, "-tiny"), (80, "-narrow"), (110, "-wide")]  # noqa: RUF012 - as Textual declares it
    VERTICAL_BREAKPOINTS = [(0, "-short"), (34, "-tall")]  # noqa: RUF012 - as Textual declares it
    ENABLE_COMMAND_PALETTE = True
    COMMAND_PALETTE_BINDING = "ctrl+f"

    def __init__(self, path: Path | None = None, *, clock: float | None = None) -> None:
        """path: the file to open. clock: for tests, the time at which a forecast is judged."""
        mended.everything()
        super().__init__()
        self.start_path, self.clock = path, clock
        self.doc = store.Document(path)
        self.place = owner.Place()
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
        self.stands: recording.Stands | None = None
        self.meter: metering.Metering | None = None
        """A meter that is read."""
        self.meter_waits = False
        """Something new of it is to be shown: it is told once, however much comes."""
        self.view_name = "answer"
        self.variants = [*engine.VARIANTS, engine.KEPT, engine.AS_SAVED, engine.EVERY]
        self.variant = self.variants[0]
        self.topic = engine.GOVERNS
        self.filling = False
        """In the form, and not looking at a view."""
        self.plain = bool(store.recall("plain", False))
        self.typed_at = 0.0
        self.deep_after = DEEP
        self.ready = self.marking = False
        self.made = 0
        """Things made when it was last looked."""
        self.bench = ThreadPoolExecutor(1, "plan")
        """Where plans are worked out, one after the other."""
        self.verdict, self.view = Verdict(), View(self._again)
        self.form = Form(self.typed, self.left, self.pasted)
        self.status = Static("", id="status", markup=False)

    def compose(self) -> ComposeResult:
        """Verdict, form and view, keys."""
        yield self.verdict
        yield self.status
        yield Strip(keys.views(), id="views")
        with Horizontal(id="body"):
            yield self.form
            yield self.view
        yield Strip(keys.foot("look"), id="foot")

    def on_mount(self) -> None:
        """Themes, then the first screen; all that is slow comes after it."""
        for theme in THEMES:
            self.register_theme(theme)
        self.theme = (
            store.recall("theme", "sun") if store.recall("theme", "sun") in ("sun", "night") else "sun"
        )
        self.show_view("answer")
        self.begin_file(self.start_path)  # before any key can come, so that none is lost
        self.watch(self.screen_stack[0], "focused", self._focused, init=False)
        if not isinstance(self.screen, Dialog):
            if self.start_path is not None and self.draft.typed:
                self.look()
            else:
                self.fill_in()
        self.call_after_refresh(self._begin)

    def on_unmount(self) -> None:
        """Others may have the file now."""
        if self.meter is not None:
            self.meter.stop()
            self.meter.join(1.0)  # what it has heard since it last wrote goes into the record
        self.place.leave()
        self.bench.shutdown(wait=False, cancel_futures=True)
        gc.unfreeze()
        gc.set_threshold(*THRESHOLD)

    def _begin(self) -> None:
        self.ready = True
        self._ask()
        self.set_interval(1.0, self.tick)
        self.set_interval(1.0, self.clear_away)
        self.set_interval(60.0, self.each_minute)

    def clear_away(self) -> None:
        """Take waste away while nobody types: then it keeps nobody waiting."""
        made = gc.get_count()[0]
        if made > LITTLE and abs(made - self.made) < QUIET and not self.busy:
            gc.collect()
        self.made = gc.get_count()[0]

    @property
    def draft(self) -> Draft:
        """What is typed now."""
        return self.history.now

    @property
    def fresh(self) -> bool:
        """The answer is for what is typed now."""
        return self.answer is not None and self.answer.draft is self.draft

    # From typing to an answer

    def typed(self, key: str, text: str) -> None:
        """Something was typed in a field: the verdict is stale before the next key can come."""
        self.history.edit(key, text)
        self.form.draft = self.draft
        self.form.scold = False
        if not self.typed_at:
            self.set_timer(REST, self._rested)
        self.typed_at = time.monotonic()
        self.changed()
        if number_in(key):
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
        self.history.close()
        self.form.scold = True

    def pasted(self, key: str, lines: Sequence[str]) -> None:
        """Several lines were pasted into a line of the forecast."""
        first = number_in(key)
        most = min(len(lines), MOST_LINES - first + 1)
        self.take(self.draft.over({f"forecast.lines[{first + i}]": lines[i] for i in range(most)}))

    def take(self, draft: Draft) -> None:
        """Another draft as one step that can be undone."""
        self.history.replace(draft)
        self.shown_anew()

    def shown_anew(self) -> None:
        """The draft was changed from outside of the fields."""
        self.form.show_draft(self.draft)
        self.changed()

    def changed(self) -> None:
        """Something was changed: the verdict is stale at once, and is worked out anew."""
        self.number += 1
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
            self._evaluate(self.draft, self.number)

    def _evaluate(self, draft: Draft, number: int, *, deep: bool = False) -> None:
        """In the one thread that is kept for it: beginning a thread for each key takes longer than handing over."""
        self.bench.submit(self._work_out, draft, number, self.doc.folder, deep, self.beside)

    @property
    def beside(self) -> Path | None:
        """The file that a record may stand beside."""
        return self.doc.path if self.doc.original else None

    def _work_out(self, draft: Draft, number: int, folder: Path, deep: bool, beside: Path | None) -> None:
        self.post_message(Arrived(engine.evaluate(draft, number, folder, deep=deep, beside=beside)))

    @on(Arrived)
    def _arrived(self, event: Arrived) -> None:
        what = event.what
        if not self.screen_stack:
            return  # it is being left
        if isinstance(what, engine.Answer):
            self._answered(what)
        elif isinstance(what, metering.Metering):
            self._metered(what)
        elif what.number != self.number:
            return  # late: something was typed since
        elif isinstance(what, engine.Weather):
            self.weather_found = what
            self.show_verdict()
            self.show_page("weather")
            self.show_page("answer")
        elif isinstance(what, engine.Compared):
            self.compared = what
            self.show_page("compare")

    def meter_told(self) -> None:
        """In the thread of the meter: there is something new of it, which the screen takes when it can."""
        if not self.meter_waits and self.meter is not None:
            self.meter_waits = True
            self.post_message(Arrived(self.meter))

    def _metered(self, found: metering.Metering) -> None:
        """What the meter says now; an alarm rings, and what is in the record since is judged."""
        self.meter_waits = False
        if found is not self.meter:
            return
        _, events = found.news()
        self.show_status()
        self.show_page("now")
        loud = events - {"back"}
        if loud:
            self.bell()
            self.notify(metering.status(found), title="Meter", severity="error", markup=False, timeout=20)
        if events & {"level", "thunder"}:
            self.set_timer(1.0, self.changed)  # it is in the record by then

    def ask_now(self) -> None:
        """Where the installation stands by what is typed and its record."""
        if self.doc.path is not None and self.doc.original and self.fresh and self.answer is not None:
            self._stand(self.answer, self.doc, self.forecasts)

    @work(thread=True, group="now", exclusive=True, exit_on_error=False)
    def _stand(self, answer: engine.Answer, doc: store.Document, forecasts: tuple[Path, ...]) -> None:
        if doc.path is not None:
            self.call_from_thread(
                self._stood, recording.now(answer, doc.saved, doc.path, forecasts, self.clock)
            )

    def _stood(self, found: recording.Stands) -> None:
        if found.number == self.number:  # else late: something was typed since
            self.stands = found
            self.show_verdict()
            self.show_page("now")
            self.show_page("answer")

    def _answered(self, answer: engine.Answer) -> None:
        self.busy = False
        if answer.number != self.number:
            self._ask()  # late: dropped, and what is typed now is asked about
            return
        self.answer = answer
        if answer.plan is not None:
            if self.good is None or (answer.deep and not self.good.deep):
                _spare_the_lasting()
            self.good = answer
        faults = {t.key: t.text for t in answer.faults}
        points = answer.plan.anchorage.points if answer.plan is not None else ()
        self.form.show_answer(faults, answer.echoes, answer.inherited, tuple(p.id for p in points))
        self.show_verdict()
        self.show_status()
        if answer.plan is not None and not answer.deep:
            self.set_timer(self.deep_after, partial(self._deepen, answer.number))
            self.ask_weather()
        asked = {"compare": self.ask_compare, "working": self.ask_working, "now": self.ask_now}
        if self.view_name in asked:
            asked[self.view_name]()
        elif answer.plan is not None and answer.plan.record is not None:
            self.ask_now()  # the banner follows the latest reading
        self.show_page(self.view_name)

    def _deepen(self, number: int) -> None:
        if number == self.number and not self.busy and self.screen_stack:
            self.busy = True
            self._evaluate(self.draft, number, deep=True)

    def each_minute(self) -> None:
        """The clock moves too: what goes by it is judged again."""
        self.ask_weather()
        if self.view_name == "now" or (
            self.answer is not None and self.answer.plan is not None and self.answer.plan.record is not None
        ):
            self.ask_now()

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
        if self.fresh and self.variant == engine.EVERY:
            known = self.compared is not None and (self.compared.number, self.compared.name) == (self.number, engine.EVERY)  # fmt: skip
            if (
                self.answer is not None and self.answer.deep and not known
            ):  # while one types, the short answer alone
                self._every_way(self.answer, self.number)
        elif self.fresh:
            other = engine.variant(self.variant, self.draft, self.kept, self.doc.saved)
            self._compare(self.variant, other, self.number, None if self.answer is None else self.answer.plan)

    @work(thread=True, group="compare", exclusive=True, exit_on_error=False)
    def _compare(self, name: str, other: Draft | None, number: int, ours: Any) -> None:
        self.post_message(Arrived(engine.compare(name, other, self.doc.folder, number, self.beside, ours)))

    @work(thread=True, group="compare", exclusive=True, exit_on_error=False)
    def _every_way(self, answer: engine.Answer, number: int) -> None:
        self.post_message(Arrived(engine.every_way(answer, number)))

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

    # Looking and filling in

    def look(self) -> None:
        """To the view; the form gives its place to it where there is not room for both."""
        self.filling = False
        self.screen_stack[0].set_focus(self.view.page)
        self.lay_out()

    def fill_in(self) -> None:
        """To the form, to the field where one was."""
        self.filling = True
        self.lay_out()
        self.form.come_to(self.form.input.field)

    def _focused(self, widget: object) -> None:
        """By the mouse one goes from one to the other too."""
        filling = widget is self.form.input
        if widget is not None and filling != self.filling:
            self.filling = filling
            self.lay_out()
        self.view.tell()

    def lay_out(self) -> None:
        """What has room, and the keys that work where one is."""
        room = self.size.width
        if not self.view.is_attached:
            return
        self.form.display = self.filling or room >= BOTH
        self.view.display = not self.filling or room >= NARROW
        base = self.screen_stack[0]
        base.set_class(not self.filling, "-looking")
        base.query_one("#foot", Strip).take(keys.foot("fill" if self.filling else "look"))

    def on_resize(self) -> None:
        """Lines are broken anew."""
        self.lay_out()

    def _again(self) -> None:
        if self.screen_stack and self.view.is_attached:
            self.show_page(self.view_name)
            self.show_status()
            self.view.tell()
