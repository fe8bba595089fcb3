"""What the interface shows of an answer: verdict, status, pages. While anything is not worked out it says so and no old verdict."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

from textual.content import Content
from textual.widgets import Static

from anchorage.core.plain import cut, inert
from anchorage.core.say import later, say
from anchorage.core.words import VERDICTS, spoken
from tui import engine, metering, owner, recording, store
from tui.fields import labelled
from tui.panels import Verdict, View

if TYPE_CHECKING:
    from textual.app import App

    from anchorage.judging.result import Plan

    _Base = App[None]
else:
    _Base = object
Lines = list[tuple[str, str]]
HINTS = {
    "checks": later("Left, Right: pick a check. 8: where it comes from"),
    "compare": later("Left, Right: the other way. K: keep this one to compare with"),
    "working": later("Left, Right: another number"),
}
"""Keys that a view has for itself."""
WORSE = ("go", "unknown", "no-go")


def _split(headline: str, verdict: str) -> tuple[str, str]:
    """The word of a headline and the rest of it."""
    word, _, rest = headline.partition(": ")
    return (word, rest) if rest else (VERDICTS[verdict], headline)


def _by(plan: Plan) -> str:
    """What the verdict of a plan goes by."""
    return say("By the wind typed") if plan.held is None else say("By the readings")


class Showing(_Base):
    """What the app puts on the screen."""

    answer: engine.Answer | None
    good: engine.Answer | None
    weather_found: engine.Weather | None
    compared: engine.Compared | None
    stands: recording.Stands | None
    worked: tuple[int, str, list[str]]
    view_name: str
    variant: str
    topic: str
    plain: bool
    doc: store.Document
    underneath: bool
    place: owner.Place
    meter: metering.Metering | None
    forecasts: tuple[Path, ...]
    verdict: Verdict
    view: View
    status: Static
    status_said = ""

    if TYPE_CHECKING:

        @property
        def fresh(self) -> bool: ...
        @property
        def dirty(self) -> bool: ...

    def show_verdict(self) -> None:
        """The verdict of what is typed now, or that there is none yet."""
        bar = self.verdict
        if not self.fresh or self.answer is None:
            bar.say("WAIT", "working it out, no verdict yet", (self._next(),), "-stale")
        elif self.answer.plan is None:
            bar.say("NO VERDICT", self._to_mend(), (self._next(),), "-stale")
        elif self.forecast_given and (
            self.weather_found is None or self.weather_found.number != self.answer.number
        ):
            bar.say("WAIT", "judging the forecast, no verdict yet", (self._next(),), "-stale")
        else:
            bar.say(*self._verdict(self.answer.plan))

    @property
    def forecast_given(self) -> bool:
        """There is a forecast that counts."""
        typed = self.answer.draft.typed if self.answer is not None else {}
        return bool(self.forecasts) or any(k.startswith("forecast.lines") for k in typed)

    def _verdict(self, plan: Plan) -> tuple[str, str, tuple[str, ...], str]:
        """By the readings that were written down where they allow less; else by the wind typed and the forecast."""
        from tui.answer import by_reading  # noqa: PLC0415 - after the first screen

        s = self.stands
        tail = (f"{_by(plan)}: {plan.headline}", say("The record says more: Now"))
        if s is not None and s.level in ("people-out", "keep-away"):
            return *_split(s.headline, "no-go"), tail, "-no-go"
        mine = by_reading(plan, s).get(plan.subject, plan.verdict)
        if s is not None and mine == "no-go" and plan.verdict != "no-go":
            return (
                VERDICTS[mine],
                say(
                    "{subject}: by the readings {headline}", subject=spoken(plan.subject), headline=s.headline
                ),
                tail,
                "-no-go",
            )
        return self._by_wind(plan)

    def _by_wind(self, plan: Plan) -> tuple[str, str, tuple[str, ...], str]:
        """Of the wind that is typed and of the forecast the worse; the other one under it."""
        from tui.answer import banner_words  # noqa: PLC0415
        from tui.pages import next_limit, spread  # noqa: PLC0415 - after the first screen
        from tui.timeline import deadlines  # noqa: PLC0415

        found = self.weather_found if self.forecast_given else None
        placed = "Place" if plan.anchorage.sized else "Standing"
        places = f"{placed}: {'; '.join(spread(plan)) or 'nothing'}"
        other = banner_words(plan)
        if found is None:
            word, rest = _split(plan.headline, plan.verdict)
            if plan.verdict == "no-go" and plan.levels.level in ("normal", "secure") and plan.reasons:
                rest = (
                    f"{rest}. {plan.reasons[0].text.rstrip('.')}"  # it is not the gust that stands in the way
                )
            more = tuple(x for x in (other, next_limit(plan), places) if x)
            return word, rest, more, f"-{plan.verdict}"
        typed = f"{_by(plan)}: {VERDICTS[plan.verdict]}; {next_limit(plan)}"
        if found.outlook is None:
            return (
                say("CANNOT SAY"),
                say("the forecast cannot be judged, Hours says why"),
                (typed, places),
                "-unknown",
            )
        o, due = found.outlook, next(iter(deadlines(found)), "")
        if WORSE.index(o.verdict) >= WORSE.index(plan.verdict):
            return *_split(o.headline, o.verdict), tuple(x for x in (due, other, typed) if x), f"-{o.verdict}"
        more = tuple(x for x in (due, other, say("Forecast: {headline}", headline=o.headline)) if x)
        return *_split(plan.headline, plan.verdict), more, f"-{plan.verdict}"

    def _next(self) -> str:
        return (
            say("What stands below is from before.")
            if self.good is not None
            else say("Fill in the form; nothing is taken as read.")
        )

    def _to_mend(self) -> str:
        faults = self.answer.faults if self.answer else ()
        names = [labelled(t.key) if t.key else cut(inert(t.text), 60) for t in faults]
        more = say(" and {names} more", names=len(names) - 3) if len(names) > 3 else ""
        return say(
            "{names} to correct (Ctrl+G goes there): {names_2}{more}",
            names=len(names),
            names_2="; ".join(names[:3]),
            more=more,
        )

    def show_status(self) -> None:
        """File, what is not saved, what has to be heeded."""
        parts = [inert(x) for x in (self.doc.name, metering.status(self.meter)) if x]
        parts.append(say("NOT SAVED") if self.dirty else "saved")
        if not self.place.owner:
            parts.append(say("OPEN IN ANOTHER WINDOW"))
        if self.underneath:
            parts.append(say("CHANGED ON DISK BY SOMEBODY ELSE"))
        plan = self.answer.plan if self.fresh and self.answer else None
        if plan is not None:
            parts.append(
                say(
                    "9: {cautions} cautions, {conditions} to be made sure of",
                    cautions=len(plan.cautions),
                    conditions=len(plan.conditions),
                )
            )
        if plan is not None and plan.record is not None:
            parts.append(
                say("RECORD of {entries} entries goes over what is typed", entries=plan.record.entries)
            )
        if self.forecasts:
            parts.append(say("forecast {forecasts}", forecasts=inert(self.forecasts[-1].name)))
        self.status.update(Content(cut("  ".join(parts), max(self.size.width, 20))), layout=False)

    def show_page(self, name: str) -> None:
        """The page of a view, if that is the one that is shown."""
        if name != self.view_name:
            return
        wide = self.view.wide
        if name == "now":
            self.view.show(self._now(wide))
        elif self.good is None or self.good.plan is None:
            self.view.show(self._first_steps(wide))
        else:
            self.view.show(self._page(name, self.good.plan, wide), HINTS.get(name, ""))
        self.mark_stale()

    def mark_stale(self) -> None:
        """A mark on the page while it is from before the last change."""
        if not self.screen_stack:
            return
        old = not (self.fresh and self.answer is not None and self.answer.plan is not None)
        shown = {  # what is worked out after the answer may be older than it
            "now": None if self.stands is None else self.stands.number,
            "compare": None if self.compared is None else self.compared.number,
            "weather": self.weather_found.number
            if self.weather_found and self.forecast_given
            else self.answer_number,
            "working": self.worked[0],
        }.get(self.view_name, self.answer_number)
        old = (old and self.view_name != "now") or shown != self.answer_number
        self.view.page.mark(
            stale=old and bool(self.view.page.texts) and (self.good is not None or self.view_name == "now")
        )

    def _page(self, name: str, plan: Plan, wide: int) -> Lines:
        from tui import answer, pages, pictures, timeline  # noqa: PLC0415 - after the first screen

        if name == "weather":
            return timeline.timeline(
                self.weather_found or engine.Weather(0), plan.policy, wide, plain=self.plain
            )
        if name == "answer":
            fresh = (
                self.stands if self.stands is not None and self.stands.number == self.answer_number else None
            )
            found = self.weather_found if self.forecast_given else None
            d = self.good.deployment if self.good is not None else None
            measured = self.good.measured if self.good is not None else ()
            lines = answer.answer(plan, d, wide, stands=fresh, found=found, measured=measured)
            spare = self.view.page.size.height - len(lines) - 1
            if spare >= 10 and self.good is not None:  # there is room for the plan too
                lines += [("", ""), *pictures.drawn(self.good.shapes, wide, min(spare, 18), plain=self.plain)]
            return lines
        if name == "compare":
            ours = self.compared if self.compared and self.compared.name == self.variant else None
            if ours is not None and ours.ways is not None:
                return pages.ways(ours.plan or plan, ours.ways, wide)
            return (
                pages.compare(plan, ours, wide)
                if ours
                else [(say("Working out: {variant}", variant=self.variant), "")]
            )
        if name == "working":
            lines = [pages.head(self.topic.upper(), wide)]
            return lines + (
                pages.sideways(self.worked[2], wide)
                if self.worked[1] == self.topic
                else [(say("Working it out"), "")]
            )
        if name == "checks":
            return pages.checks(plan, wide, plain=self.plain, picked=self.topic)
        return self._pictured(name, plan, wide)

    def _pictured(self, name: str, plan: Plan, wide: int) -> Lines:
        """Views with a picture: beside the words where there is room, else over them."""
        from tui import pages, pictures  # noqa: PLC0415 - after the first screen

        good = self.good
        if name == "heed" or good is None:
            return pages.heed(plan, wide)
        side = wide >= pictures.BESIDE
        half = min(wide // 2, 60) if side else wide
        high = max(min(self.view.page.size.height - 1, 26 if side else pictures.HIGH), pictures.LEAST)
        size = max(half - 2, 8)
        if name == "place":
            picture = pictures.drawn(good.shapes, size, high, plain=self.plain)
        elif name == "gusts":
            picture = pictures.rose(plan, good.around, size, high - 2, plain=self.plain)
            picture += pages.para(pictures.rose_words(good.around), size) if picture else []
        else:
            picture = pictures.roof(plan, good.deployment, size, high, plain=self.plain)
        side = side and bool(picture)
        rest = wide - half if side else wide
        lines = (
            pages.place(plan, rest) if name == "place"
            else pages.gusts(plan, rest, plain=self.plain) if name == "gusts"
            else pages.snow(plan, rest, plain=self.plain)
        )  # fmt: skip
        return pictures.beside(picture, lines, half) if side else [*lines, *picture]

    def _now(self, wide: int) -> Lines:

        found = self.stands
        if self.meter is not None:
            zone = self.meter.zone
            return [
                *metering.page(self.meter, zone, wide, plain=self.plain),
                ("", ""),
                *self._stands_lines(found, wide),
            ]
        return self._stands_lines(found, wide)

    def _stands_lines(self, found: recording.Stands | None, wide: int) -> Lines:
        from tui.pages import head, para  # noqa: PLC0415 - as above

        if self.doc.path is None or not self.doc.original:
            lines = [head(say("WHERE IT STANDS"), wide)]
            return lines + para(
                say(
                    "Not saved yet, so there is no record to go by. Ctrl+S saves it; then Ctrl+R writes down readings."
                ),
                wide,
            )
        if found is None:
            return [head(say("WHERE IT STANDS"), wide), (say("Working it out"), "")]
        saved = say("the file as saved at {saved_at}", saved_at=store.saved_at(self.doc))
        by = saved if found.by == "file" or not self.dirty else say("what is typed now, NOT SAVED")
        lines = [
            head(say("WHERE IT STANDS"), wide),
            *para(say("By {by}, and the record beside it.", by=by), wide, style="head"),
        ]
        if found.by == "file":
            lines += para(
                say(
                    "What is typed cannot be judged before it is corrected (Ctrl+G), so it does not count here."
                ),
                wide,
                "! ",
                "warn",
            )
        elif self.dirty:
            lines += para(say("The others see the file, not this: Ctrl+S saves it."), wide, "! ", "warn")
        lines += self._readings(found, wide)
        for text in found.lines:
            lines += para(text, wide, " " * (len(text) - len(text.lstrip()))) if text.strip() else [("", "")]
        lines += para(say("R writes down a reading, a count, a door, a strap, an inspection."), wide)
        return (
            lines if self.meter is not None else lines + para(say("M reads a wind meter on its pole."), wide)
        )

    def _readings(self, found: recording.Stands, wide: int) -> Lines:
        """The last readings against the levels."""
        from tui import pages, pictures, timeline  # noqa: PLC0415 - after the first screen

        plan = self.good.plan if self.good is not None else None
        if plan is None or not found.readings:
            return []
        out: Lines = [pages.head(say("LAST READINGS, each as the gust it is worth"), wide)]
        for when, gust, share, level in found.readings:
            drawn = pictures.scale(
                timeline.marks(plan.policy), share, timeline.TOP, max(wide - 34, 6), plain=self.plain
            )
            out.append(
                (f"{when} {drawn} {gust:>8} {level}", "bad" if share >= plan.policy.people_out else "")
            )
        return [*out, *pages.para(say("On a bar: S SECURE, O PEOPLE OUT, K KEEP AWAY."), wide)]

    @property
    def answer_number(self) -> int:
        """Of what is typed now; -1 while it is not answered yet."""
        return self.answer.number if self.fresh and self.answer is not None else -1

    def _first_steps(self, wide: int) -> Lines:
        from tui.pages import head, para  # noqa: PLC0415 - after the first screen

        if self.answer is None:
            return [(say("Working it out"), "")]
        lines = [head(say("TO CORRECT"), wide)]
        for t in self.answer.faults[:30]:
            lines += para(f"{labelled(t.key)}: {t.text}" if t.key else t.text, wide, "- ")
        return [
            *lines,
            *para(
                say("Ctrl+O opens a file or a demo, Ctrl+N begins a new one, F1 tells what a field means."),
                wide,
            ),
        ]
