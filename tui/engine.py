"""From a draft to an answer, in a worker: reads the draft, makes the plan, judges the forecast. Shows nothing itself.

Everything slow to import is imported inside, so that the first screen is there before it.
"""

from __future__ import annotations

import importlib.util
import time
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import UTC, tzinfo
from functools import lru_cache, partial
from pathlib import Path
from typing import TYPE_CHECKING, Any, NamedTuple

from anchorage.core.closed import STATES
from anchorage.core.errors import AnchorageError, Fault, InputFaults
from anchorage.core.plain import nearest
from anchorage.core.say import language, later, say, speaking
from anchorage.core.words import spoken
from anchorage.deployment.draft import Draft, items, path_of, template, to_toml, typed_key
from tui.broken import broken
from tui.fields import FIELDS, SURFACES, TABLES, begun_at, field_of, labelled, order_of, plainly
from tui.needed import missing, none_of, takes

if TYPE_CHECKING:
    from anchorage.deployment.models import Deployment, Shelter, Site, Wind
    from anchorage.judging.plan import Assessment
    from anchorage.judging.result import Plan
    from anchorage.outlook.hours import Forecast
    from anchorage.outlook.result import Outlook
    from anchorage.paper.blocks import Document
    from anchorage.paper.content import SheetIn
    from anchorage.paper.drawing import Shape
    from anchorage.paper.sketch import Around
    from anchorage.ways.result import WaysOut


@dataclass(frozen=True)
class Told:
    """One thing that is wrong: the key, and a sentence that says what is accepted."""

    key: str
    text: str


@dataclass(frozen=True)
class Answer:
    """What a draft comes to."""

    number: int
    draft: Draft
    faults: tuple[Told, ...] = ()
    plan: Plan | None = None
    deployment: Deployment | None = None
    """As it stands by the record beside the file."""
    around: Around | None = None
    decon: bool = False
    echoes: Mapping[str, str] = field(default_factory=dict)
    inherited: Mapping[str, str] = field(default_factory=dict)
    """What a saved shelter gives for fields that are left out."""
    deep: bool = False
    shapes: tuple[Shape, ...] = ()
    """The shelter from above."""
    planned: Deployment | None = None
    """As it is typed, where a record stands over it."""
    assessed: Assessment | None = field(default=None, compare=False, repr=False)
    measured: tuple[str, ...] = ()
    """What was tested at the site, and what that does to the count; nothing where nothing was tested."""


@dataclass(frozen=True)
class Before:
    """The last draft with a plan, answered once more since the language is another."""

    answer: Answer
    spoken: str


@dataclass(frozen=True)
class Weather:
    """The forecast against a plan."""

    number: int
    outlook: Outlook | None = None
    zone: tzinfo = UTC
    trouble: str = ""


@dataclass(frozen=True)
class Compared:
    """Two variants side by side."""

    number: int
    name: str
    plan: Plan | None
    trouble: str = ""
    built: Plan | None = None
    """With the counts of ours left as they are, where the program chose those of both anew."""
    ways: WaysOut | None = None
    """Every way to hold it, where that was asked for."""


def told(error: AnchorageError, draft: Draft | None = None) -> tuple[Told, ...]:
    """Faults as a list, without the name of the file; by the fields of a draft where one is given."""
    if isinstance(error, InputFaults):
        keys = [f.key for f in error.faults]
        return tuple(
            (None if draft is None else _two_in_one(f.key, draft) or _what_to_type(f, draft))
            or Told(
                f.key if draft is None else typed_key(draft, f.key),
                plainly(f"{f.got}; {f.accepted}" if f.got else f.accepted, f.key),
            )
            for f in error.faults
            if draft is None or not _for_a_part(f.key, keys)
        )
    return (Told("", str(error)),)


def _for_a_part(key: str, keys: Sequence[str]) -> bool:
    """A whole table could not be read since a key in it is wrong: that key says it."""
    return key in TABLES and any(k.startswith(f"{key}.") for k in keys)


def _what_to_type(f: Fault, draft: Draft) -> Told | None:
    """Of a field that is empty or holds none of its choices: what to type there, in the words of the form."""
    key = typed_key(draft, begun_at(f.key))
    field = field_of(key)
    if field is None:
        return None
    if not draft.text(key) and missing(draft).get(key):
        return Told(key, takes(field, field.choices, must=True))
    if f.listed and field.choices and draft.text(key):
        return Told(key, none_of(field, draft.text(key)))
    return None


def _two_in_one(key: str, draft: Draft) -> Told | None:
    """Ground and state typed into one field, and what to type where."""
    parts = draft.text(key).lower().split() if key in ("site.surface", "site.state") else []
    surface, state = (next((p for p in parts if p in of), "") for of in (SURFACES, STATES))
    if len(parts) != 2 or not surface or not state:
        return None
    here, other, there = (
        (surface, state, "site.state") if key == "site.surface" else (state, surface, "site.surface")
    )
    return Told(
        key,
        say(
            "two answers in one: type {here} here, and {other} under {there}",
            here=here,
            other=other,
            there=FIELDS[there].label,
        ),
    )


def in_order(faults: Sequence[Told]) -> tuple[Told, ...]:
    """Faults from the top of the form to its foot, a table that is not there at all where it begins."""
    placed = [Told(begun_at(t.key), t.text) for t in faults]
    return tuple(sorted(placed, key=lambda t: order_of(t.key)))


@lru_cache(maxsize=512)
def kind_of(key: str) -> str:
    """Kind of quantity of a field, or nothing where it is none."""
    from anchorage.core.quantity import Quantity  # noqa: PLC0415
    from anchorage.deployment.models import Deployment  # noqa: PLC0415 - after the first screen

    model: Any = Deployment
    found: Any = None
    for part in path_of(key):
        if isinstance(part, int):
            continue
        fields = getattr(model, "model_fields", {})
        found = next((f for n, f in fields.items() if (f.alias or n) == part), None)
        if found is None:
            return ""
        model = _inner(found.annotation)
    quantities = [m for m in _metadata(found) if isinstance(m, Quantity)]
    return quantities[0].kind if quantities else ""


def _inner(annotation: Any) -> Any:
    """The model inside ``list[X]``, ``X | None`` and ``Annotated``."""
    if hasattr(annotation, "model_fields"):
        return annotation
    return next((m for a in getattr(annotation, "__args__", ()) if (m := _inner(a)) is not None), None)


def _metadata(found: Any) -> list[Any]:
    out = list(found.metadata) if found is not None else []
    stack = [found.annotation] if found is not None else []
    while stack:
        a = stack.pop()
        out += getattr(a, "__metadata__", ())
        stack += [x for x in getattr(a, "__args__", ()) if not isinstance(x, str)]
    return out


def echoes_of(draft: Draft, system: str) -> dict[str, str]:
    """What was understood of each quantity, in the other units too."""
    out = {}
    for key, text in draft.typed.items():
        if kind := kind_of(template(key)):
            said = _echo(kind, text, system, language())
            if said:
                out[key] = said
    return out


@lru_cache(maxsize=1024)
def _echo(kind: str, text: str, system: str, _: str) -> str:
    from anchorage.core.units import echo, read  # noqa: PLC0415 - after the first screen

    try:
        return echo(read(kind, text), "si" if system == "si" else "us")
    except ValueError:
        return ""


def around_of(wind: Wind, site: Site) -> Around:
    """Where the front faces and the wind comes from, and what to do at SECURE."""
    from anchorage.checks.installation import heading_true  # noqa: PLC0415
    from anchorage.core import tables  # noqa: PLC0415 - after the first screen
    from anchorage.paper.sketch import Around  # noqa: PLC0415

    actions = tuple(t.text for t in tables.texts("action-secure-"))
    return Around(heading_true(site), wind.bearing, actions)


def _inherited(draft: Draft, shelter: Shelter) -> dict[str, str]:
    if not draft.text("shelter.use"):
        return {}
    from anchorage.core.units import as_typed  # noqa: PLC0415 - after the first screen

    out = {}
    for name, value in shelter:
        if (
            name not in ("use", "rating", "openings")
            and value is not None
            and not draft.text(f"shelter.{name}")
        ):
            out[f"shelter.{name}"] = as_typed(value)
    return out


def evaluate(
    draft: Draft, number: int, folder: Path, *, deep: bool = False, beside: Path | None = None
) -> Answer:
    """Read the draft and judge it as it stands by the record beside a file. Nothing that was typed raises."""
    from anchorage.deployment.reader import read_text  # noqa: PLC0415 - after the first screen
    from anchorage.judging.plan import assess  # noqa: PLC0415
    from anchorage.paper.drawing import plan_shapes  # noqa: PLC0415

    echoes: Mapping[str, str] = {}
    try:
        echoes = echoes_of(draft, draft.text("deployment.show_units"))
        planned = read_text(to_toml(draft), say("this deployment"), folder)
        d = planned if beside is None else _as_it_stands(planned, beside)
        a = assess(d, deep=deep, show=deep)
        plan = a.plan
        around, decon = around_of(d.wind, d.site), d.deployment.use == "decon"
        shapes = tuple(plan_shapes(plan, around, d, hot_to_clean=decon))
        return Answer(
            number=number, draft=draft, faults=(), plan=plan, deployment=d, around=around, decon=decon, echoes=echoes, inherited=_inherited(draft, planned.shelter), deep=deep, shapes=shapes, planned=planned, assessed=a,
            measured=_measured(d, plan),
        )  # fmt: skip
    except AnchorageError as e:
        faults = in_order(told(e, draft))
    except Exception as e:  # noqa: BLE001 - a fault of the program must not take the typed text with it
        faults = (Told("", broken(e)),)
    return Answer(number, draft, faults, echoes=echoes)


def _measured(d: Deployment, plan: Plan) -> tuple[str, ...]:
    """What came of the tests at the site, and the count with them and by the tables alone."""
    if not d.test:
        return ()
    from anchorage.judging.plan import assess  # noqa: PLC0415 - after the first screen
    from anchorage.paper.site_tests import effect_words, evidence_lines  # noqa: PLC0415

    try:
        by_tables = (effect_words(plan, assess(d.model_copy(update={"test": []})).plan),)
    except AnchorageError:
        by_tables = (say("By the tables alone it cannot be judged."),)
    return (*by_tables, *evidence_lines(plan))


def _as_it_stands(d: Deployment, path: Path) -> Deployment:
    """With the record beside the file over it. That of another shelter, as while sizes are being typed, is left out and asked about."""
    from anchorage.core.outputs import RECORD, records_beside  # noqa: PLC0415 - after the first screen
    from anchorage.core.textfile import exists  # noqa: PLC0415 - after the first screen

    if not exists(path.with_name(path.name + RECORD)) and not records_beside(path):
        return d
    from anchorage.record.over import not_its_own  # noqa: PLC0415 - SQLite comes with it
    from anchorage.record.stand import put_over  # noqa: PLC0415
    from anchorage.record.store import RecordError  # noqa: PLC0415

    try:
        return put_over(d, path, int(time.time()))
    except RecordError as e:
        return d.under(not_its_own(str(e)))


# Forecast


def weather(answer: Answer, files: tuple[Path, ...], number: int, now: float | None = None) -> Weather:
    """Judge the forecast of the draft and of the files that were chosen."""
    a = answer.assessed
    if a is None:
        return Weather(number, trouble=say("The deployment has to be mended first."))
    at = int(time.time() if now is None else now)
    try:
        out, zone = judged(a, files, at)
    except Exception as e:  # noqa: BLE001 - see evaluate
        return Weather(number, trouble=unjudged(e))
    return Weather(number, out, zone)


def unjudged(error: Exception) -> str:
    """Why a forecast cannot be judged, as a sentence."""
    from anchorage.core.textfile import why_not  # noqa: PLC0415

    if isinstance(error, AnchorageError):
        return "; ".join(f"{_forecast_field(t.key)}: {t.text}" if t.key else t.text for t in told(error))
    if isinstance(error, OSError):
        return say("The forecast file cannot be read: {strerror}", strerror=why_not(error))
    return broken(error)


def _forecast_field(key: str) -> str:
    """The field of the form for a key that a forecast names."""
    inside = f"forecast.{key}"
    return labelled(inside if template(inside) in FIELDS else key)


def judged(a: Assessment, files: tuple[Path, ...], at: int) -> tuple[Outlook | None, tzinfo]:
    """The forecast of the deployment and of the files against it; None where there is none. And the zone of its times."""
    from anchorage.core.textfile import read_whole  # noqa: PLC0415
    from anchorage.deployment.policy import use_of  # noqa: PLC0415
    from anchorage.outlook.build import outlook  # noqa: PLC0415 - after the first screen
    from anchorage.outlook.clock import read_said, zone_of  # noqa: PLC0415
    from anchorage.outlook.reader import Source, read_bytes, together  # noqa: PLC0415
    from anchorage.outlook.spoken import read_spoken  # noqa: PLC0415
    from anchorage.outlook.untrusted import LARGEST  # noqa: PLC0415
    from anchorage.outlook.weathered import plan_for  # noqa: PLC0415

    d = a.deployment
    zone = None if d.outlook.zone is None else zone_of(d.outlook.zone, "outlook.zone")
    sources: list[Source] = []
    for path in files:
        raw = read_whole(path, LARGEST)
        sources.append((path.name, partial(read_bytes, raw, at, path.name, zone=zone), raw))
    if (said := d.forecast) is not None:

        def spoken() -> list[Forecast]:
            heard = read_said(said.heard, zone, at, "forecast", "heard", past=True)
            return [read_spoken(said.lines, at, say("as heard"), zone=zone, heard=heard)]

        sources.append((say("as heard"), spoken, b""))
    found = together(sources, at)
    if not found:
        return None, zone or UTC
    spread = d.outlook.spread
    out = outlook(
        plan_for(a, found), d, found, at, zone, use=use_of(d),
        spread=None if spread is None else float(spread),
    )  # fmt: skip
    return out, zone or UTC


# Comparing


def _doors(draft: Draft, word: str) -> dict[str, str]:
    doors = {
        f"door[{n}].is": word for n in range(1, items(draft, "door") + 1) if draft.text(f"door[{n}].wall")
    }
    if doors:
        return doors
    return {f"shelter.openings.{w}": "0.0" if word == "closed" else "1.0" if w == "front" else "0.0"
            for w in ("front", "back", "left", "right")}  # fmt: skip


def _hold(draft: Draft, kind: str) -> dict[str, str]:
    more = {"anchorage.kind": kind, "anchorage.placed": ""}
    for n in range(
        1, items(draft, "point") + 1
    ):  # points of their own kind change too; those that hold nothing do not
        if draft.text(f"point[{n}].kind") not in ("none", "vehicle"):
            more |= {f"point[{n}].{k}": "" for k in ("kind", "unit", "placed", "driven", "soil")}
    if kind == "ballast":
        more |= {k: "" for k in draft.typed if k.startswith("anchorage.stake.")}
        more |= {
            "anchorage.line_angle": "",
            "anchorage.line_rated": "",
            "anchorage.knots": "",
            "anchorage.attachment_rated": "",
        }
        more["anchorage.unit"] = draft.text("anchorage.unit") or "sandbag"
    else:
        more |= {
            "anchorage.unit": "",
            "anchorage.unit_mass": "",
            "anchorage.how": "",
            "anchorage.how_detail.stop": "",
            "anchorage.how_detail.every_bag": "",
            "anchorage.how_detail.on_ground": "",
            "anchorage.contact": "",
        }
    return more


VARIANTS: dict[str, Callable[[Draft], dict[str, str]]] = {
    later("doors closed"): lambda d: _doors(d, "closed"),
    later("doors open"): lambda d: _doors(d, "open"),
    later("straps locked"): lambda _: {"shelter.straps": "locked"},
    later("straps unlocked"): lambda _: {"shelter.straps": "unlocked"},
    later("ballast"): lambda d: _hold(d, "ballast"),
    later("stakes"): lambda d: _hold(d, "stakes"),
    later("ground dry"): lambda _: {"site.state": "dry"},
    later("ground wet"): lambda _: {"site.state": "wet"},
    later("ground ice"): lambda _: {"site.state": "ice"},
}
GOVERNS = later("what governs")
KEPT, AS_SAVED, EVERY = later("the one kept"), later("as it was saved"), later("every way to hold it")


def variant(name: str, draft: Draft, kept: Draft | None, saved: Draft) -> Draft | None:
    """The other draft to compare with; None where there is none."""
    if name == KEPT:
        return kept
    if name == AS_SAVED:
        return saved
    return draft.over(VARIANTS[name](draft)) if name in VARIANTS else None


def _counts(plan: Plan) -> str:
    """The counts of a plan that would be put up, as the field for them takes them."""
    return "; ".join(f"{i} {n}" for i, n in plan.goes.items())


def compare(
    name: str,
    other: Draft | None,
    folder: Path,
    number: int,
    beside: Path | None = None,
    ours: Plan | None = None,
) -> Compared:
    """The plan of the other variant, under the same record; as built too, where its counts were chosen anew."""
    if other is None:
        return Compared(
            number, name, None, say("Nothing has been kept yet: choose Keep for comparison first.")
        )
    answer = evaluate(other, number, folder, beside=beside)
    if answer.plan is None:
        return Compared(
            number,
            name,
            None,
            say("Cannot be worked out: ") + "; ".join(f"{t.key}: {t.text}" for t in answer.faults),
        )
    built: Plan | None = None
    theirs = answer.plan.anchorage
    if ours is not None and ours.anchorage.sized and theirs.sized and ours.anchorage.kind == theirs.kind:
        built = evaluate(other.over({"anchorage.placed": _counts(ours)}), number, folder, beside=beside).plan
    return Compared(number, name, answer.plan, built=built)


# Working


def topics(answer: Answer) -> list[str]:
    """What the working can be asked for: what governs, in general, each check."""
    from anchorage.judging.explain import GENERAL  # noqa: PLC0415 - after the first screen

    checks = [c.name for c in answer.plan.checks] if answer.plan else []
    return [GOVERNS, *GENERAL, *checks]


def _assessed(d: Deployment, a: Assessment | None, *, deep: bool) -> Assessment:
    """What an answer was judged by, with its working; deep: with all that a page asks for."""
    from anchorage.judging.plan import assess  # noqa: PLC0415 - after the first screen

    whole = a is not None and a.tape is not None and (a.deep or not deep)
    return a if whole and a is not None else assess(d, deep=deep, show=True)


def working(answer: Answer, topic: str) -> list[str]:
    """The working of one figure as lines."""
    from anchorage.judging.explain import explain  # noqa: PLC0415 - after the first screen

    if answer.deployment is None:
        return [say("The deployment has to be mended first.")]
    try:
        return explain(
            _assessed(answer.deployment, answer.assessed, deep=False),
            None if topic == GOVERNS else topic,
        )
    except KeyError as e:
        near = nearest(topic, str(e.args[0]).split(", "))
        more = say(" Nearest: {near}.", near=near) if near else ""
        return [
            say(
                "{topic}: given by the maker, a local rule or a limit and not worked out by formulas.{more}",
                topic=spoken(topic),
                more=more,
            )
        ]
    except AnchorageError as e:
        return [str(e)]
    except Exception as e:  # noqa: BLE001 - see evaluate
        return [broken(e)]


class Prints(NamedTuple):
    """What is to be handed out: the sheet or the card, and a second language beside the one that is spoken."""

    card: bool = False
    also: str = ""


SHEET = Prints()
PAGES = (".pdf", ".html", ".htm")
"""Ends of names of what is a page with drawings: the card is nothing else."""
TEXT = ".txt"


def endings(prints: Prints) -> tuple[str, ...]:
    """Ends of names that it can be written as, the first of them where none is typed."""
    first = PAGES if importlib.util.find_spec("typst") is not None else (".html", ".htm", ".pdf")
    return (*first, *(() if prints.card else (TEXT,)))


def sheet_bytes(
    answer: Answer, forecasts: tuple[Path, ...], path: Path, doc: Path | None, prints: Prints = SHEET, clock: float | None = None
) -> bytes:  # fmt: skip
    """The page to hand out, as the end of its name says: .pdf, .html, anything else plain text. The forecast is judged for it, and the record read, whatever the screen has of them."""
    from anchorage.core.textfile import exists  # noqa: PLC0415
    from anchorage.paper.render import rendered  # noqa: PLC0415 - after the first screen
    from anchorage.paper.two import beside  # noqa: PLC0415

    kind, at = path.suffix.lower(), int(time.time() if clock is None else clock)
    if answer.deployment is None or answer.plan is None or answer.around is None:
        return b""
    if kind not in PAGES:
        if prints.card:
            raise AnchorageError(say("the card is a page: give a name that ends in .pdf or .html"))
        return sheet_text(_sheet(answer, forecasts, doc, at), answer.around).encode("utf-8", "replace")
    document = _page(answer, forecasts, doc, prints, at)
    if prints.also:
        with speaking(prints.also):
            kept = doc if doc is not None and exists(doc) else None
            folder = Path.cwd() if doc is None else doc.parent
            other = evaluate(answer.draft, answer.number, folder, beside=kept)
            document = beside(document, _page(other, forecasts, doc, prints, at))
    return rendered(document, kind)


def _sheet(answer: Answer, forecasts: tuple[Path, ...], doc: Path | None, at: int) -> SheetIn:
    """All that a page is made of: plan, forecast and record as they are now. A forecast that cannot be judged leaves no page."""
    from anchorage.core.textfile import exists, fingerprint  # noqa: PLC0415 - after the first screen
    from anchorage.judging.explain import for_the_sheet  # noqa: PLC0415
    from anchorage.judging.plan import assess  # noqa: PLC0415
    from anchorage.judging.weak import with_most  # noqa: PLC0415
    from anchorage.meter.beat import beside  # noqa: PLC0415
    from anchorage.paper.content import Made, SheetIn  # noqa: PLC0415
    from anchorage.paper.record_page import sheet_rows  # noqa: PLC0415

    d, planned = answer.deployment, answer.planned or answer.deployment
    if d is None or planned is None or answer.plan is None:
        raise AnchorageError("; ".join(t.text for t in answer.faults))
    a = with_most(_assessed(d, answer.assessed, deep=True))
    try:
        outlook, zone = judged(a, forecasts, at)
    except (AnchorageError, OSError) as e:
        raise AnchorageError(unjudged(e)) from None
    name = doc.name if doc is not None else say("not saved")
    made = Made(name, fingerprint(to_toml(answer.draft).encode("utf-8", "replace")), at, zone)
    kept = doc is not None and exists(doc)
    record = sheet_rows(str(doc), zone) if kept else ()
    stands = beside(assess(planned), doc, at, zone, outlook) if doc is not None and kept else None
    plan = a.plan if outlook is None else a.plan.beside_a_forecast()
    return SheetIn(plan, d, made, outlook, tuple(for_the_sheet(a)), record, stands)


def _page(answer: Answer, forecasts: tuple[Path, ...], doc: Path | None, prints: Prints, at: int) -> Document:
    from anchorage.judging.card import card  # noqa: PLC0415 - after the first screen
    from anchorage.paper.card_page import card_document  # noqa: PLC0415
    from anchorage.paper.sheet import sheet_document  # noqa: PLC0415

    s = _sheet(answer, forecasts, doc, at)
    if prints.card:
        return card_document(card(s.d), s, "letter", cautions=bool(prints.also))
    return sheet_document(s, "letter")


def sheet_text(s: SheetIn, around: Around) -> str:
    """The page as plain text, under the head that every page has."""
    from anchorage.core.plain import inert, wrap  # noqa: PLC0415 - after the first screen
    from anchorage.paper.content import heading  # noqa: PLC0415
    from anchorage.paper.text import check_lines  # noqa: PLC0415

    top = heading(s)
    plan = s.plan.model_copy(update={"head": top.text})
    now = (
        [inert(x) for t in top.under for x in wrap(t)] if s.outlook is not None or s.stand is not None else []
    )
    return "\n".join([say("Made {stamp}", stamp=s.made.when), *now, *check_lines(plan, around)]) + "\n"


def every_way(answer: Answer, number: int) -> Compared:
    """Every way to hold what was judged."""
    from anchorage.ways.compare import ways  # noqa: PLC0415 - after the first screen

    if answer.assessed is None:
        return Compared(number, EVERY, None, say("The deployment has to be mended first."))
    try:
        return Compared(number, EVERY, answer.plan, ways=ways(answer.assessed, int(time.time())))
    except AnchorageError as e:
        return Compared(number, EVERY, None, "; ".join(t.text for t in told(e)))
    except Exception as e:  # noqa: BLE001 - see evaluate
        return Compared(
            number,
            EVERY,
            None,
            broken(e),
        )
