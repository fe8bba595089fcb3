"""A Plan on one screen: what decides first, every caution in a line of its own, the rest named with where it stands.

It is never longer than ``MOST`` lines of ``COLUMNS`` columns: what is of least weight goes first, and what went is counted.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

from anchorage.core.plain import columns, inert, wrap
from anchorage.core.say import ENGLISH, capital, language, later, say
from anchorage.core.told import in_words
from anchorage.core.units import show
from anchorage.core.words import VERDICTS, spoken
from anchorage.deployment.policy import SUBJECTS
from anchorage.judging.gusts import cannot_stand, coming_down, go_on_words, raised_below, unlocked_words
from anchorage.judging.result import Plan
from anchorage.paper.site_tests import evidence_lines
from anchorage.paper.sketch import Around
from anchorage.paper.text import (
    NOWHERE,
    Page,
    brought_words,
    counts_words,
    pull_words,
    range_brief,
    range_texts,
    setting_up,
)
from anchorage.paper.words import short_words

MOST, COLUMNS, WORDS = 60, 79, 250
"""Lines, columns, and words before the cautions."""
LABEL = 9
"""Columns of a label at the least."""
MORE_WORDS = 1.3
"""What takes so many words in English takes as many more in another language."""
END = later("The same with sketch, points, texts and sources: --full. The checks: --engineer.")
LONGEST, SHORTEST = 40, 14
"""Words of one text, and where nothing else makes room."""


LIGHT = 5
"""Rank from which a part gives up its texts before the counts are said in fewer words."""


@dataclass(frozen=True)
class Part:
    """A label and its texts. keep: how many of them stand as long as others can give up; rank: who gives up first, the highest."""

    label: str
    texts: tuple[str, ...]
    keep: int = 1
    least: int = 1
    """How many stand where even those that are kept have no room."""
    rank: int = 0
    gone: int = 0
    """Texts that were given up."""
    brief: tuple[str, ...] = ()
    """The same in fewer words, where there is such a way to say it."""
    longest: int = LONGEST
    shorten: bool = True
    """Whether its texts may be broken off where all else gave up what it could."""
    firm: int = 0
    """How many of its first texts stay whole as long as breaking off the others makes room."""

    def lines(self, wide: int) -> list[str]:
        """The part as lines. wide: columns of the labels."""
        out = list[str]()
        shown = [*self.texts, *([say("{gone} more: --full", gone=self.gone)] if self.gone else [])]
        for n, text in enumerate(shown):
            out += wrap(
                _cut(text, LONGEST if n < self.firm else self.longest),
                f"{self.label if n == 0 else '':<{wide}}",
                " " * wide,
                COLUMNS,
            )
        return out


def _cut(text: str, most: int) -> str:
    words, most = text.split(), round(most * _longer())
    return text if len(words) <= most else " ".join(words[:most]) + say(" ... (--full)")


def _gusts(page: Page) -> list[Part]:
    f, act = page.found, list[str]()
    if coming_down(page.plan):
        act = [f"{capital(go_on_words(page.plan))}."]
    elif page.plan.levels.secure_m_s is not None:
        act = [
            say(
                "SET UP only {set_up}; SECURE from {secure}; PEOPLE OUT from {people_out}; KEEP AWAY from {keep_away}.",
                set_up=raised_below(page.plan),
                secure=f.secure,
                people_out=f.people_out,
                keep_away=f.keep_away,
            )
        ]
    return [
        Part(say("GUSTS"), tuple(page.held()), keep=3, rank=5, shorten=False),
        Part(say("ACT"), tuple(act)),
    ]


def _snow(page: Page) -> Part:
    limit = page.plan.limit.roof_snow_pa
    text = page.lying()
    if limit is not None and not page.plan.snow.roof_load_pa:
        text += say(" Limit {limit}.", limit=show("pressure", limit, page.system, rounding="down"))
    due = in_words(page.plan.snow.warnings)
    return Part(say("SNOW"), (capital(text), *due), keep=1, rank=6)


def _straps(plan: Plan) -> Part:
    said = f"{capital(spoken(plan.straps.decision))}."
    if plan.straps.decision == "not needed":
        return Part(say("STRAPS"), (unlocked_words(plan),))
    why = f"{said} {plan.straps.reason}"
    return Part(say("STRAPS"), (why,), brief=(said,))


def _short(page: Page) -> Part:
    plan = page.plan
    out = short_words(plan)
    short = max(1, len(out))
    for s in plan.stock:
        if not s.short:
            out.append(brought_words(plan, s))
    worse = plan.ground_worse is not None  # a reason that is longer, and comes before it
    return Part(say("BROUGHT"), tuple(out), keep=short, least=short, rank=3, shorten=worse)


def _place(page: Page) -> Part:
    plan = page.plan
    if any(r.code == "cannot-be-held" for r in plan.reasons):
        return Part(say("PLACE"), (say("Nothing to place: no number of them holds this."),))
    if page.total == 0:
        sized = say("Nothing is needed beyond the shelter's own weight.")
        return Part(say("PLACE"), (sized if plan.anchorage.sized else say("Nothing is placed."),))
    texts = page.counts()
    mass = plan.anchorage.total.mass_kg
    if mass:
        texts[-1] += say("; {mass} in all", mass=show("mass", mass, page.system, rounding="up"))
    label, brief = say("PLACE") if plan.anchorage.sized else say("STANDS"), tuple[str, ...]()
    if said := cannot_stand(plan):
        brief = (cannot_stand(plan, full=True), *([] if plan.anchorage.sized else texts))
        texts.insert(0, said)  # how what cannot be placed would be spread is of no use
    return Part(label, tuple(texts), keep=len(texts), brief=brief)


def _why(page: Page) -> Part:
    more = [r.text for r in page.plan.reasons if not r.exceeded and r.code != "does-not-do"]
    more += [r.text for r in page.plan.reasons if r.code == "does-not-do"]  # the counts say it too
    if not any(r.by_level for r in page.plan.reasons):
        more.append(f"{page.share()}.")
    if page.plan.levels.level == "secure" and page.around.actions:
        more.append(say("SECURE means: ") + " ".join(page.around.actions))
    texts = [*setting_up(page.plan), *page.exceeded(), *more]
    if page.plan.ground_worse is not None and page.plan.verdict != "go":
        texts.insert(1, str(page.plan.ground_worse))  # what it asks for is owed to that
    return Part(say("WHY"), tuple(texts), keep=3, least=2, rank=2, firm=2)


def _longer() -> float:
    return 1.0 if language() == ENGLISH else MORE_WORDS


def _verdict(plan: Plan, wide: int) -> list[str]:
    named = {subject: use for use, subject in SUBJECTS.items()}
    others = ", ".join(
        f"{spoken(named[k])} {VERDICTS[v]}" for k, v in plan.subjects.items() if k != plan.subject
    )
    return [
        "=" * COLUMNS, *wrap(plan.headline, wide=COLUMNS), "=" * COLUMNS,
        *wrap(plan.name, f"{say('FOR'):<{wide}}", " " * wide, COLUMNS),
        *wrap(others, f"{say('BESIDES'):<{wide}}", " " * wide, COLUMNS),
    ]  # fmt: skip


def _words(lines: Sequence[str]) -> int:
    return sum(len(line.split()) for line in lines)


def cautions(plan: Plan) -> list[str]:
    """Every caution on one line: those that belong to what stands here lead."""
    first = [c.short for c in plan.cautions if c.called_for]
    lines = [("! ", t) for t in first] + [("- ", c.short) for c in plan.cautions if not c.called_for]
    return [say("CAUTIONS, always"), *(x for sign, t in lines for x in wrap(t, sign, "  ", COLUMNS))]


def _range(plan: Plan) -> list[Part]:
    """The range with all of its boxes, or without any and without the low figure."""
    texts = range_texts(plan)
    return (
        [Part(say("UNLESS"), tuple(texts), keep=len(texts), brief=tuple(range_brief(plan)))] if texts else []
    )


def _pull(plan: Plan) -> list[Part]:
    """That three stakes are pulled before more are driven, and how they are written down."""
    said = pull_words(plan)
    if not said:
        return []
    log = said + say(
        ' Each: anchorage log FILE pull-test "FORCE" --where POINT; then give anchorage.stake.pull_tests.'
    )
    return [Part(say("PULL"), (log,), brief=(said,), shorten=False)]


def screen_lines(plan: Plan, around: Around = NOWHERE, before: Sequence[str] = ()) -> list[str]:
    """The first screen. before: lines that stand over it, which take of its room."""
    page = Page(plan, around)
    uses, taken, measured = counts_words(plan), in_words(plan.assumptions), evidence_lines(plan)
    parts = [
        _why(page),
        _place(page),
        *(
            []  # what would be asked of a use is of no use to who takes it down: the order of that is
            if coming_down(plan)
            else [
                Part(say("COUNTS"), tuple(uses), keep=len(uses), brief=tuple(counts_words(plan, brief=True)))
            ]
        ),
        *_pull(plan),
        *_range(plan),
        *_gusts(page),
        _straps(plan),
        _snow(page),
        _short(page),
        *([Part(say("MEASURED"), tuple(measured), keep=1, rank=4)] if measured else []),
        *(
            [Part(say("DOORS"), (say("None is in the file: does nothing open while it stands?"),))]
            if plan.no_door
            else []
        ),
        Part(say("ONLY IF"), tuple(in_words(plan.conditions)), keep=2, rank=1, firm=1),
        Part(say("TAKEN AS"), tuple(taken), keep=0, rank=7),
    ]
    wide = max(
        LABEL, 1 + max(columns(label) for label in (say("FOR"), say("BESIDES"), *(p.label for p in parts)))
    )
    verdict = _verdict(plan, wide)
    head, foot = [*before, *verdict], ["", *cautions(plan), *wrap(END, wide=COLUMNS)]
    most = round(WORDS * _longer()) - _words(verdict)
    parts = _fitted(parts, MOST - len(head) - len(foot), most, wide)
    return [inert(line) for line in (*head, *(x for p in parts for x in p.lines(wide)), *foot)]


def _less(p: Part) -> Part:
    return replace(p, texts=p.texts[:-1], gone=p.gone + 1)


def _fitted(parts: list[Part], lines: int, words: int, wide: int) -> list[Part]:
    """The parts without what there is no room for: from the part that gives up first, its last text first."""

    def fits() -> bool:
        shown = [x for p in parts for x in p.lines(wide)]
        return len(shown) <= lines and _words(shown) <= words

    order = sorted((i for i, p in enumerate(parts) if p.rank), key=lambda i: -parts[i].rank)
    ways: list[tuple[int, Callable[[Part], Part]]] = []
    ways += [(i, _less) for i in order if parts[i].rank >= LIGHT for _ in parts[i].texts[parts[i].keep :]]
    ways += [(i, lambda p: replace(p, texts=p.brief)) for i, p in enumerate(parts) if p.brief]
    ways += [(i, _less) for i in order if parts[i].rank < LIGHT for _ in parts[i].texts[parts[i].keep :]]
    ways += [(i, _less) for i in order for _ in parts[i].texts[parts[i].least : parts[i].keep]]
    ways += [(i, lambda p: replace(p, longest=SHORTEST)) for i in order if parts[i].shorten]
    ways += [(i, lambda p: replace(p, firm=0)) for i in reversed(order) if parts[i].firm]
    for i, way in ways:
        if fits():
            break
        parts[i] = way(parts[i])
    return parts
