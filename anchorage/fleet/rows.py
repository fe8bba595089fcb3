"""One deployment file -> one row. Whatever is wrong with a file is said in its row and stops nothing else."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Literal

from anchorage.core.errors import AnchorageError, Fault, InputFaults
from anchorage.core.plain import inert
from anchorage.core.say import say
from anchorage.core.textfile import is_file, is_folder, load_toml, read_whole
from anchorage.core.told import in_words
from anchorage.deployment.models import Deployment
from anchorage.deployment.policy import use_of
from anchorage.deployment.reader import LONGEST, read_file
from anchorage.judging.plan import assess, make_plan
from anchorage.judging.result import Plan
from anchorage.outlook.asked import Asked, forecasts_of
from anchorage.outlook.build import outlook
from anchorage.outlook.clock import zone_of
from anchorage.outlook.judge import worst
from anchorage.outlook.result import HourOut, Outlook
from anchorage.outlook.weathered import plan_for
from anchorage.paper.words import record_words
from anchorage.record.stand import put_over

Verdict = Literal["go", "no-go", "unknown", "unusable"]
ORDER: tuple[Verdict, ...] = ("no-go", "unusable", "unknown", "go")
"""From the one to look at first to the one that can wait."""
FORECASTS = (".json", ".csv", ".txt")


@dataclass(frozen=True)
class Options:
    """What is the same for every file. It is sent to other processes."""

    now: int
    forecasts: tuple[str, ...] = ()
    zone: str | None = None
    issued: str | None = None
    use: str | None = None


@dataclass(frozen=True)
class SiteRow:
    """What is to be known of one shelter. Speeds m/s, 3 s gusts at 10 m; times ISO 8601 UTC; None where there is none."""

    file: str
    name: str = ""
    verdict: Verdict = "unusable"
    subject: str = ""
    headline: str = ""
    level: str = "unknown"
    gust_m_s: float | None = None
    """The gust of the file; with a forecast that of its worst hour."""
    limit_gust_m_s: float | None = None
    share: float | None = None
    """Of the limiting gust."""
    gives_first: str = ""
    anchorage: str = ""
    units: int | None = None
    mass_kg: float | None = None
    stakes: int | None = None
    worst_hour: str | None = None
    secure_by: str | None = None
    people_out_by: str | None = None
    start_strike_by: str | None = None
    missing: str = ""
    """Times that the file does not give and a deadline needs."""
    forecast: str = ""
    reason: str = ""
    """Why it is not go, or what is wrong with the file."""
    provenance: str = ""
    """The weakest of what its figures stand on."""
    record: str = ""
    """What the record beside it changed, where there is one."""
    set_up: str = ""
    """Whether it may go up, where nothing says that it stands and that is worse than the verdict."""
    secure_share: float | None = None
    people_out_share: float | None = None
    """Shares of the limit at which the levels begin, by which the figures are rounded."""
    notice: str = ""
    """Who signed for levels that are looser than published practice."""

    @property
    def deadline(self) -> str | None:
        """The earliest of its deadlines."""
        return min(
            (t for t in (self.secure_by, self.people_out_by, self.start_strike_by) if t is not None),
            default=None,
        )


def _strike_by(o: Outlook) -> str | None:
    """When taking down has to begin; None where no hour asks for it."""
    note = next((n for n in o.deadline_notes if n.name == "start_strike_by"), None)
    if note is not None and not note.asked and not note.begun:
        return None
    return o.deadlines.start_strike_by if note is None or note.lull_m_s is None else note.lull_by


def is_saved_shelter(path: Path) -> bool:
    """A file with a shelter and nothing else is there to be used by others (``[shelter] use``): it is no deployment."""
    try:
        raw = read_whole(path, LONGEST)
        return len(raw) <= LONGEST and set(load_toml(raw.decode("utf-8-sig"))) == {"shelter"}
    except (OSError, ValueError):
        return False


def ownforecasts_for(folder: str, path: Path) -> list[str]:
    """The forecasts of one file in a folder of forecasts: same name, another ending."""
    return [str(p) for e in FORECASTS if is_file(p := Path(folder) / f"{path.stem}{e}")]


def _finite(v: float | None) -> float | None:
    return v if v is not None and math.isfinite(v) else None


def _first(of: Plan | Outlook) -> str:
    return of.leads if of.leads != of.verdict else ""


def of_plan(file: str, plan: Plan) -> SiteRow:
    """The row of a file without a forecast."""
    total, limit = plan.anchorage.total, _finite(plan.put_up_m_s)
    return SiteRow(
        file=file, name=plan.name, verdict=plan.verdict, subject=plan.subject, headline=plan.headline, level=plan.levels.level,
        gust_m_s=plan.wind.gust_m_s, limit_gust_m_s=limit, share=_finite(plan.levels.share), gives_first=plan.limit.governed_by,
        anchorage=plan.anchorage.kind, units=total.units, mass_kg=round(total.mass_kg, 1), stakes=total.stakes,
        reason="" if plan.leads == "go" else " ".join(r.text for r in plan.reasons) or plan.headline,
        provenance=plan.provenance.weakest, record=" ".join(record_words(plan.record)), set_up=_first(plan), secure_share=plan.policy.secure, people_out_share=plan.policy.people_out, notice=" ".join(in_words(t for t in (plan.unjudged, plan.policy.notice) if t is not None)),
    )  # fmt: skip


def _worst_hour(found: Outlook) -> HourOut | None:
    """Of the stay: the largest share of the limit, of equal ones the first."""
    inside = [h for h in found.hours if h.end > found.start and h.start < found.end and h.share is not None]
    return max(inside, key=lambda h: h.share or 0.0, default=None)


def of_outlook(file: str, plan: Plan, found: Outlook) -> SiteRow:
    """The row of a file with one."""
    h, by_plan = _worst_hour(found), of_plan(file, plan)
    inside = [x for x in found.hours if x.end > found.start and x.start < found.end]
    ranks = ("normal", "secure", "people-out", "keep-away")
    level = max((x.known_level for x in inside), key=ranks.index, default="unknown")
    if level in ("normal", "secure") and any(x.level == "unknown" for x in inside):
        level = "unknown"
    limit = _finite(found.limit_m_s) if h is None else _finite(h.limit_m_s)
    return SiteRow(
        file=file, name=plan.name, verdict=found.verdict, subject=found.subject, headline=found.headline, level=level,
        gust_m_s=None if h is None else h.gust_m_s, limit_gust_m_s=limit, share=None if h is None else _finite(h.share),
        gives_first=found.governed_by, anchorage=by_plan.anchorage, units=by_plan.units, mass_kg=by_plan.mass_kg, stakes=by_plan.stakes,
        worst_hour=None if h is None else h.start, secure_by=found.deadlines.secure_by, people_out_by=found.deadlines.people_out_by,
        start_strike_by=_strike_by(found), missing=", ".join(dict.fromkeys(m for n in found.deadline_notes for m in n.missing)),
        forecast="; ".join(f"{s.name}, {s.format}, {(say('of unknown age') if s.issued is None else s.issued)}" for s in found.sources),
        reason="" if found.leads == "go" else " ".join(r.text for r in found.reasons) or found.headline,
        provenance=found.provenance, record=by_plan.record, notice=by_plan.notice, set_up=_first(found), secure_share=found.levels.secure, people_out_share=found.levels.people_out,
    )  # fmt: skip


def forecasts_for(o: Options, path: Path) -> tuple[list[str], list[str]]:
    """Paths of the forecasts of a file, and folders that have none for it."""
    paths, without = list[str](), list[str]()
    for given in o.forecasts:
        if is_folder(given):
            found = ownforecasts_for(given, path)
            paths += found
            without += [] if found else [Path(given).name or given]
        else:
            paths.append(given)
    return paths, without


def without_forecast(row: SiteRow, path: Path, without: list[str]) -> SiteRow:
    """The row of a file that has none of its own in some folders of forecasts."""
    why = say(
        "No forecast {stem}{forecasts} in {without}. {reason}",
        stem=path.stem,
        forecasts=" or ".join(FORECASTS),
        without=", ".join(without),
        reason=row.reason,
    ).strip()
    verdict = row.verdict if row.verdict == "unusable" else worst(row.verdict, "unknown")
    return replace(
        row, verdict=verdict, headline=say("CANNOT SAY: {subject}", subject=row.subject) if verdict == "unknown" else row.headline, level="unknown", reason=why
    )  # fmt: skip


def _judge(path: Path, o: Options) -> SiteRow:
    d: Deployment = put_over(read_file(path), path, o.now)
    paths, without = forecasts_for(o, path)
    if not o.forecasts or without:
        row = of_plan(path.name, make_plan(d))
        return row if not without else without_forecast(row, path, without)
    zone = o.zone or d.outlook.zone
    where = None if zone is None else zone_of(zone, say("command line") if o.zone else "[outlook]")
    found = forecasts_of(Asked(paths, issued=o.issued), d.forecast, o.now, where, lenient=True)
    plan, spread = plan_for(assess(d), found), d.outlook.spread
    out = outlook(plan, d, found, o.now, where, use=use_of(d, o.use), spread=None if spread is None else float(spread))  # fmt: skip
    return of_outlook(path.name, plan, out)


def row_of(path: Path, o: Options) -> SiteRow:
    """Judge a file. It never raises: what is wrong stands in the row, which then is no go."""
    try:
        return _judge(path, o)
    except Exception as e:  # noqa: BLE001 - the other files of the folder are judged all the same
        return row_of_error(path, e)


def row_of_error(path: Path, e: Exception) -> SiteRow:
    """The row of a file that cannot be read or judged."""
    if isinstance(e, InputFaults):
        return SiteRow(
            path.name,
            headline=say("CANNOT BE READ"),
            reason=" | ".join(fault_words(f, path.name) for f in e.faults),
        )
    if isinstance(e, AnchorageError):
        return SiteRow(
            path.name, headline=say("CANNOT BE JUDGED"), reason=inert(" | ".join(str(e).splitlines()))
        )
    return SiteRow(
        path.name,
        headline=say("CANNOT BE JUDGED"),
        reason=inert(
            say("a fault of the program, please report it: {name}: {e}", name=type(e).__name__, e=e)
        )[:200],
    )


def fault_words(f: Fault, file: str) -> str:
    """A fault in the row of its file, which need not be named again."""
    return inert(str(f)).removeprefix(f"{inert(file)}: ")
