"""The views: each a page of its own, which puts into lines what the session knows. Nothing is worked out here."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from operator import is_not
from typing import TYPE_CHECKING, ClassVar, Literal

from textual.app import ComposeResult
from textual.containers import Vertical
from textual.content import Content
from textual.message import Message
from textual.widgets import Static

from anchorage.core.plain import columns, wrap
from anchorage.core.say import language, later, say
from anchorage.core.words import spoken
from tui import engine, metering, store
from tui.fields import labelled
from tui.panels import Page

if TYPE_CHECKING:
    from anchorage.judging.result import Plan
    from tui.pages import Line
    from tui.recording import Stands
    from tui.session import Session

Asks = Literal["", "compare", "working", "now"]
"""What is worked out for a view alone, when it is looked at."""


class PlanView(Page):
    """A view of the plan; until there is one, what has to be corrected."""

    name: ClassVar[str]
    asks: ClassVar[Asks] = ""
    hint: ClassVar[str] = ""
    """Keys that a view has for itself."""

    def __init__(self) -> None:
        """A page by the name of its view."""
        super().__init__(self.name)

    def lines_of(self, s: Session, wide: int) -> list[Line]:
        """What stands here."""
        if s.good is None or s.good.plan is None:
            return _first_steps(s, wide)
        return self.lines(s, s.good.plan, wide)

    def hint_of(self, s: Session) -> str:
        """The keys of this view, where it shows a plan."""
        return self.hint if s.good is not None and s.good.plan is not None else ""

    def lines(self, s: Session, plan: Plan, wide: int) -> list[Line]:
        """What stands here of a plan."""
        raise NotImplementedError

    def number_of(self, s: Session) -> int | None:
        """Of the answer that this page is from; what is worked out after the answer may be older than it."""
        return s.answer_number

    def is_old(self, s: Session) -> bool:
        """Whether the page is from before the last change."""
        answered = s.fresh and s.answer is not None and s.answer.plan is not None
        return (
            bool(self.texts) and s.good is not None and (not answered or self.number_of(s) != s.answer_number)
        )

    def turned(self, s: Session, by: int) -> Asks:
        """Pick the next of what there is to pick here; what has to be worked out for it."""
        del s, by
        return ""


def _first_steps(s: Session, wide: int) -> list[Line]:
    from tui.pages import head, para  # noqa: PLC0415 - after the first screen

    if s.answer is None:
        return [(say("Working it out"), "")]
    lines = [head(say("TO CORRECT"), wide)]
    for t in s.answer.faults[:30]:
        lines += para(f"{labelled(t.key)}: {t.text}" if t.key else t.text, wide, "- ")
    how = say("Ctrl+O opens a file or a demo, Ctrl+N begins a new one, F1 tells what a field means.")
    return [*lines, *para(how, wide)]


class AnswerView(PlanView):
    """The questions of a leader, and the plan where there is room for it."""

    name = "answer"
    words: tuple[tuple[object, ...], tuple[int, str, bool], list[Line]] | tuple[()] = ()
    """What they are of and the lines that stand: another height of the page makes none of them anew."""

    def lines(self, s: Session, plan: Plan, wide: int) -> list[Line]:
        """In the order of asking."""
        from tui import answer, pictures  # noqa: PLC0415 - after the first screen
        from tui.banner import forecast_leads  # noqa: PLC0415 - it imports nothing of this

        good = s.good
        stands = s.stands  # of another number too: what the record holds does not go while something is typed
        found = s.weather_found if s.forecast_given else None
        d, measured = (good.deployment, good.measured) if good is not None else (None, ())
        of, above = (plan, good, stands, found), forecast_leads(s, plan)
        shown = (wide, language(), above)
        if not self.words or any(map(is_not, self.words[0], of)) or self.words[1] != shown:
            said = answer.answer(plan, d, wide, stands=stands, found=found, measured=measured, above=above)
            self.words = of, shown, said
        lines = list(self.words[2])
        spare = self.size.height - len(lines) - 1
        if spare >= 10 and good is not None:  # there is room for the plan too
            lines += [("", ""), *pictures.drawn(good.shapes, wide, min(spare, 18), plain=s.plain)]
        return lines


class WeatherView(PlanView):
    """The forecast by the hour."""

    name = "weather"

    def lines(self, s: Session, plan: Plan, wide: int) -> list[Line]:
        """Hours and deadlines."""
        from tui.timeline import timeline  # noqa: PLC0415 - after the first screen

        return timeline(s.weather_found or engine.Weather(0), plan.policy, wide, plain=s.plain)

    def number_of(self, s: Session) -> int | None:
        """Of the forecast as it was judged."""
        return s.weather_found.number if s.weather_found and s.forecast_given else s.answer_number


class ChecksView(PlanView):
    """Every check; one of them is picked."""

    name = "checks"
    hint = later("Left, Right: pick a check. 8: where it comes from")

    def lines(self, s: Session, plan: Plan, wide: int) -> list[Line]:
        """The checks, the nearest to its limit first."""
        from tui.pages import checks  # noqa: PLC0415 - after the first screen

        return checks(plan, wide, plain=s.plain, picked=s.topic)

    def turned(self, s: Session, by: int) -> Asks:
        """Another check, whose working is worked out."""
        if s.good is None or s.good.plan is None:
            return ""
        s.topic = s.next_topic(by, [c.name for c in s.good.plan.checks])
        return "working"


class WorkingView(PlanView):
    """Where a number comes from."""

    name = "working"
    asks = "working"
    hint = later("Left, Right: another number")

    def lines(self, s: Session, plan: Plan, wide: int) -> list[Line]:
        """The working of the number that is picked."""
        from tui.pages import head, sideways  # noqa: PLC0415 - after the first screen

        del plan
        lines = [head(spoken(s.topic).upper(), wide)]
        return lines + (
            sideways(s.worked[2], wide) if s.worked[1] == s.topic else [(say("Working it out"), "")]
        )

    def number_of(self, s: Session) -> int | None:
        """Of the answer whose number it is."""
        return s.worked[0]

    def turned(self, s: Session, by: int) -> Asks:
        """Another number."""
        if s.good is None:
            return ""
        s.topic = s.next_topic(by, engine.topics(s.good))
        return "working"


class CompareView(PlanView):
    """The draft and another way beside each other, or every way there is."""

    name = "compare"
    asks = "compare"
    hint = later("Left, Right: the other way. K: keep this one to compare with")

    def lines(self, s: Session, plan: Plan, wide: int) -> list[Line]:
        """Both, or that it is being worked out."""
        from tui import pages  # noqa: PLC0415 - after the first screen

        ours = s.compared if s.compared and s.compared.name == s.variant else None
        if ours is None:
            return [(say("Working out: {variant}", variant=s.variant), "")]
        return (
            pages.compare(plan, ours, wide)
            if ours.ways is None
            else pages.ways(ours.plan or plan, ours.ways, wide)
        )

    def number_of(self, s: Session) -> int | None:
        """Of the answer that was compared."""
        return None if s.compared is None else s.compared.number

    def turned(self, s: Session, by: int) -> Asks:
        """The next other way."""
        s.variant = s.next_variant(by)
        return "compare"


class PicturedView(PlanView):
    """A view with a picture: beside the words where there is room, else under them."""

    def lines(self, s: Session, plan: Plan, wide: int) -> list[Line]:
        """Words and picture."""
        from tui import pictures  # noqa: PLC0415 - after the first screen

        if s.good is None:
            return []
        side = wide >= pictures.BESIDE
        half = min(wide // 2, 60) if side else wide
        high = max(min(self.size.height - 1, 26 if side else pictures.HIGH), pictures.LEAST)
        picture = self.picture(s, s.good, plan, max(half - 2, 8), high)
        side = side and bool(picture)
        words = self.words(plan, wide - half if side else wide, plain=s.plain)
        if side:
            return pictures.beside(picture, words, half)
        return [*picture, *words] if self.size.height >= pictures.HIGH + 10 else [*words, *picture]

    def picture(self, s: Session, good: engine.Answer, plan: Plan, size: int, high: int) -> list[Line]:
        """The picture; nothing where there is none."""
        raise NotImplementedError

    def words(self, plan: Plan, wide: int, *, plain: bool) -> list[Line]:
        """What stands beside it."""
        raise NotImplementedError


class PlaceView(PicturedView):
    """What goes where."""

    name = "place"

    def picture(self, s: Session, good: engine.Answer, plan: Plan, size: int, high: int) -> list[Line]:
        """The shelter from above."""
        from tui.pictures import drawn  # noqa: PLC0415 - after the first screen

        del plan
        return drawn(good.shapes, size, high, plain=s.plain)

    def words(self, plan: Plan, wide: int, *, plain: bool) -> list[Line]:
        """Point by point."""
        from tui.pages import place  # noqa: PLC0415 - after the first screen

        del plain
        return place(plan, wide)


class GustsView(PicturedView):
    """The gusts at which to act."""

    name = "gusts"

    def picture(self, s: Session, good: engine.Answer, plan: Plan, size: int, high: int) -> list[Line]:
        """The gust that it takes from each side."""
        from tui import pages, pictures  # noqa: PLC0415 - after the first screen

        rose = pictures.rose(plan, good.around, size, high - 2, plain=s.plain)
        return rose + (pages.para(pictures.rose_words(good.around), size) if rose else [])

    def words(self, plan: Plan, wide: int, *, plain: bool) -> list[Line]:
        """By level and by bearing."""
        from tui.pages import gusts  # noqa: PLC0415 - after the first screen

        return gusts(plan, wide, plain=plain)


class SnowView(PicturedView):
    """Straps and snow."""

    name = "snow"

    def picture(self, s: Session, good: engine.Answer, plan: Plan, size: int, high: int) -> list[Line]:
        """The roof and what lies on it."""
        from tui.pictures import roof  # noqa: PLC0415 - after the first screen

        return roof(
            plan, None if good.deployment is None else good.deployment.shelter, size, high, plain=s.plain
        )

    def words(self, plan: Plan, wide: int, *, plain: bool) -> list[Line]:
        """Levels and what to do."""
        from tui.pages import snow  # noqa: PLC0415 - after the first screen

        return snow(plan, wide, plain=plain)


class HeedView(PlanView):
    """Cautions, conditions, what was taken for granted."""

    name = "heed"

    def lines(self, s: Session, plan: Plan, wide: int) -> list[Line]:
        """All of them."""
        from tui.pages import heed  # noqa: PLC0415 - after the first screen

        del s
        return heed(plan, wide)


class NowView(PlanView):
    """Where it stands by the record; that needs no plan of what is typed."""

    name = "now"
    asks = "now"

    def lines_of(self, s: Session, wide: int) -> list[Line]:
        """The meter that is read, then where it stands."""
        if s.meter is None:
            return self.stands(s, wide)
        return [*metering.page(s.meter, s.meter.zone, wide, plain=s.plain), ("", ""), *self.stands(s, wide)]

    def stands(self, s: Session, wide: int) -> list[Line]:
        """By what is typed, or by the saved file, and by the record beside it."""
        from tui.pages import head, para  # noqa: PLC0415 - after the first screen

        title, found = head(say("WHERE IT STANDS"), wide), s.stands
        if s.beside is None:
            why = say(
                "Not saved yet, so there is no record to go by. Ctrl+S saves it; then Ctrl+R writes down readings."
            )
            return [title, *para(why, wide)]
        if found is None:
            return [title, (say("Working it out"), "")]
        saved = say("the file as saved at {saved_at}", saved_at=store.saved_at(s.doc))
        by = saved if found.by == "file" or not s.dirty else say("what is typed now, NOT SAVED")
        lines = [title, *para(say("By {by}, and the record beside it.", by=by), wide, style="head")]
        if found.by == "file":
            why = say(
                "What is typed cannot be judged before it is corrected (Ctrl+G), so it does not count here."
            )
            lines += para(why, wide, "! ", "warn")
        elif s.dirty:
            lines += para(say("The others see the file, not this: Ctrl+S saves it."), wide, "! ", "warn")
        lines += _readings(s, found, wide)
        for text in found.lines:
            lines += para(text, wide, " " * (len(text) - len(text.lstrip()))) if text.strip() else [("", "")]
        lines += para(say("R writes down a reading, a count, a door, a strap, an inspection."), wide)
        return lines if s.meter is not None else lines + para(say("M reads a wind meter on its pole."), wide)

    def hint_of(self, s: Session) -> str:
        """None."""
        del s
        return ""

    def number_of(self, s: Session) -> int | None:
        """Of the answer that it was judged by."""
        return None if s.stands is None else s.stands.number

    def is_old(self, s: Session) -> bool:
        """By its number alone."""
        return bool(self.texts) and self.number_of(s) != s.answer_number


def _readings(s: Session, found: Stands, wide: int) -> list[Line]:
    """The last readings against the levels."""
    from tui import pages, pictures, timeline  # noqa: PLC0415 - after the first screen

    plan = s.good.plan if s.good is not None else None
    if plan is None or not found.readings:
        return []
    out = [pages.head(say("LAST READINGS, each as the gust it is worth"), wide)]
    for when, gust, share, level in found.readings:
        drawn = pictures.scale(
            timeline.marks(plan.policy), share, timeline.TOP, max(wide - 34, 6), plain=s.plain
        )
        out.append((f"{when} {drawn} {gust:>8} {level}", "bad" if share >= plan.policy.people_out else ""))
    return [*out, *pages.para(say("On a bar: S SECURE, O PEOPLE OUT, K KEEP AWAY."), wide)]


def every_view() -> Iterable[PlanView]:
    """A page for each view."""
    return (AnswerView(), PlaceView(), GustsView(), ChecksView(), SnowView(), WeatherView(), CompareView(), WorkingView(), HeedView(), NowView())  # fmt: skip


class View(Vertical):
    """The page of the view that one looks at, and under it what the keys for it are."""

    class Resized(Message):
        """The page has another size: its lines have to be broken anew."""

    def __init__(self, pages: Iterable[PlanView]) -> None:
        """pages: of every view; the first is shown."""
        super().__init__(id="view")
        self.pages = {p.name: p for p in pages}
        self.page, *others = self.pages.values()
        for p in others:
            p.display = False
        self.further = Static("", id="further", markup=False)
        self.hint = ""
        self.told = [""]
        """What stands in it now."""

    def compose(self) -> ComposeResult:
        """Pages above, how to get on below."""
        yield from self.pages.values()
        yield self.further

    def on_mount(self) -> None:
        """The line below follows where the page stands."""
        for page in self.pages.values():
            self.watch(page, "scroll_y", self.tell, init=False)

    def on_resize(self) -> None:
        """Wider or narrower: the form came or went, or the terminal changed."""
        self.post_message(self.Resized())

    def turn(self, name: str) -> None:
        """To the page of another view, from its beginning."""
        before, self.page = self.page, self.pages[name]
        self.page.display = True
        self.page.scroll_home(animate=False)
        if before is not self.page:
            if before.has_focus:
                self.screen.set_focus(self.page, scroll_visible=False)
            before.display = False

    def show(self, lines: Sequence[Line], hint: str = "") -> None:
        """Put lines on the page. hint: keys of this view."""
        self.hint = hint
        self.page.show(lines)
        self.call_after_refresh(self.tell)

    def tell(self) -> None:
        """Which lines are in sight, and the keys that bring the others. What this says itself takes of the room for them."""
        room, told = max(self.size.width - 6, 8), [""]
        for lines in (1, 2):
            said = self._said(max(self.size.height - lines, 0))
            told = [said] if columns(said) <= room else wrap(said, wide=room)[:2]
            if len(told) <= lines:
                break
        if self.further.styles.height is None or self.further.styles.height.value != len(told):
            self.further.styles.height = len(told)
        wide = self.size.width
        drawn = [f"── {line} " if line else "" for line in told]
        drawn = [x + "─" * max(wide - columns(x), 0) for x in drawn]
        if drawn != self.told:
            self.told = drawn
            self.further.update(Content("\n".join(drawn)), layout=False)

    def _said(self, high: int) -> str:
        """The same in words. high: lines of the page."""
        page, parts = self.page, list[str]()
        n, first = len(page.texts), round(page.scroll_y)
        if n > high > 0:
            lead = "" if page.has_focus else say("Esc, then ")
            keys = say("Up, PgUp, Home: back") if first + high >= n else say("Down, PgDn, End: further")
            parts.append(
                say(
                    "Lines {first} to {first_2} of {n}. {lead}{keys}",
                    first=first + 1,
                    first_2=min(first + high, n),
                    n=n,
                    lead=lead,
                    keys=keys,
                )
            )
        if self.hint:
            parts.append(str(self.hint))
        return ". ".join(parts)

    @property
    def wide(self) -> int:
        """Columns of a line."""
        return max(self.size.width - 3, 20)
