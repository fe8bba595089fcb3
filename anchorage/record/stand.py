"""Where the installation stands by its record: as it was changed, by the latest readings, and what is due.

The level goes up with a reading and comes down only with an all-clear that counts: half an hour after the last reading
at or over the next lower level, and an inspection in between.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Any

import numpy as np

from anchorage import tables
from anchorage.assemble import Installation, assemble, heading_true, within
from anchorage.deployment import Deployment
from anchorage.errors import NotModelledError
from anchorage.outlook.clock import read_iso
from anchorage.outlook.result import Outlook
from anchorage.policy import ORDER, Policy
from anchorage.record.store import Entry
from anchorage.result import Level, Plan, Verdict
from anchorage.units import Measure, read, show
from anchorage.verdict import bounds
from anchorage.whatif import changed
from anchorage.wind import gust_factor, wind_state
from anchorage.wind_trip import profiles, site_share
from anchorage.words import LEVELS

OPEN = ("line-rating-missing", "soil-missing", "how-missing")
"""Questions of the file that no reading answers."""
THAW = {
    ("frozen", "wet"),
    ("frozen", "dry"),
    ("ice", "wet"),
    ("ice", "dry"),
    ("snow", "wet"),
    ("snow", "dry"),
    ("snow", "ice"),
}
"""Changes of the ground's state that loosen what stands in or on it."""


@dataclass(frozen=True)
class Reading:
    """A wind reading against the limits. share: of the limiting gust speed."""

    entry: Entry
    gust: float
    """3 s gust at 10 m that it is worth against the limit (m/s): of every way to read it the worst."""
    share: float
    level: Level
    limit: float
    """Limiting gust that the share is of (m/s), for the bearing of the reading."""
    by_share: Level
    """By the share alone; the sheet, which rounds its readings down, may ask for more."""


@dataclass(frozen=True)
class Due:
    """Something to be done. at: seconds, the latest time; None for now."""

    what: str
    at: int | None


@dataclass(frozen=True)
class Stand:
    """Everything that ``now`` says."""

    d: Deployment
    """The deployment as it stands by the record."""
    plan: Plan
    verdict: Verdict
    level: Level
    """Standing level; unknown where no reading is fresh."""
    raised: Level
    """Level by the readings that still hold, unknown left out."""
    headline: str
    why: tuple[str, ...]
    readings: tuple[Reading, ...]
    due: tuple[Due, ...]
    changes: tuple[str, ...]
    """What was changed against the file."""
    struck: bool
    assumed: tuple[str, ...]


def wait(key: str) -> int:
    """A time of the table of inspections (s)."""
    return int(tables.row("inspection", key).value)


def as_it_stands(
    d: Deployment, plan: Plan, entries: Sequence[Entry]
) -> tuple[Deployment, list[str], list[str]]:
    """The deployment with what was logged put over it; what was changed; what is taken as so without being logged."""
    said, assumed = list[str](), list[str]()
    counts = {p.id: p.units + p.stakes for p in plan.anchorage.points}
    counted: set[str] = set()
    for e in entries:
        if e.event == "placed":
            where = e.data.get("where")
            counted |= set(counts) if where is None else {str(where)}
            counts = {k: int(e.data["count"]) if where in (None, k) else n for k, n in counts.items()}
            said.append(f"{e.data['count']} placed at {where or 'each point'}")
        elif e.event == "doors":
            said.append(f"doors {e.data['doors']}")
            d = d.model_copy(
                update={"door": [x.model_copy(update={"state": e.data["doors"]}) for x in d.door]}
            )
        elif e.event == "straps":
            said.append(f"straps {e.data['straps']}")
            d = changed(d, shelter={"straps": e.data["straps"]})
        elif e.event == "state":
            said.append(f"ground {e.data['state']}")
            d = changed(d, site={"state": e.data["state"]})
    snow = next((e for e in reversed(entries) if e.event == "snow"), None)
    if snow is not None:
        said.append(f"snow on the roof {snow.data['typed']}")
        d = d.model_copy(
            update={
                "snow": d.snow.model_copy(
                    update={
                        **_NO_SNOW,
                        "depth": Measure(float(snow.data["depth_m"]), "length", str(snow.data["typed"])),
                        "kind": snow.data.get("kind"),
                    }
                )
            }
        )
    needed = [p.id for p in plan.anchorage.points if p.usable and p.kind != "none"]
    missing = [k for k in needed if k not in counted]
    if plan.anchorage.sized and missing:
        where = "the points" if len(missing) == len(needed) else ", ".join(missing)
        assumed.append(
            f"What stands at {where} was not logged: taken as planned. Log it: anchorage log FILE placed N"
        )
    if counted or plan.anchorage.sized:
        points = [p.model_copy(update={"placed": None}) for p in d.point]
        d = changed(d, anchorage={"placed": counts}).model_copy(update={"point": points})
    return d, said, assumed


_NO_SNOW: dict[str, Any] = {
    "layers": [],
    "water": None,
    "core": None,
    "rain": None,
    "ground_load": None,
    "edition": None,
    "level": None,
}


class _Judge:
    """Readings against the installation as it stands; the strengths are worked out once."""

    def __init__(self, d: Deployment) -> None:
        self.d = d
        self.x: Installation = assemble(d, ())
        self.heading = heading_true(d)
        every = [f for f in self.x.limits(on=self.x.everywhere) if not f.fixed]
        self.per_case = np.min([f.q.min(axis=-1) for f in every], axis=0)
        self.caps = [b.gust for b in bounds(self.x)]

    def limit(self, bearing: float | None) -> float:
        """Pressure q (Pa) that is held for wind from a bearing, from anywhere where none is given."""
        if bearing is None or self.heading is None:
            return float(self.per_case.min())
        inside = within(self.x.everywhere.cases.bearing, bearing - self.heading)
        return float(self.per_case[inside].min())

    def reading(self, e: Entry) -> Reading:
        """What a reading is worth; it is never turned into less than it was."""
        data = e.data
        wind: dict[str, Any] = {
            "speed": float(data["speed_m_s"]), "speed_is": None, "averaging": data["averaging"], "level": None, "terrain": "site",
            "height": float(data["height_m"]), "bearing": None, "beaufort": None, "return_period": None, "method": self._method(),
        }  # fmt: skip
        state = wind_state(changed(self.d, wind=wind), self.x.shape, 1.0)
        held = self.limit(data.get("from"))
        share = math.sqrt(state.pressure / held) if held > 0 else (0.0 if state.pressure == 0 else math.inf)
        share = max([share, *(state.gust / c if c > 0 else math.inf for c in self.caps)])
        gust = (
            float(data["speed_m_s"])
            * gust_factor(data["averaging"], "larger", [])
            / self._profile(float(data["height_m"]))
        )
        limit = min([self.x.wind.gust_of(held), *self.caps])
        most = limit * site_share(self.d)
        share = max(share, gust / most if most > 0 else math.inf if gust > 0 else 0.0)
        at_paper = self._on_paper(gust, most, self._profile(float(data["height_m"])))
        level: Level = self.x.policy.level(share)
        worth = share * limit if math.isfinite(share * limit) else max(state.gust, gust)
        return Reading(e, worth, share, max(level, at_paper, key=ORDER.index), limit, level)

    def _on_paper(self, gust: float, most: float, profile: float) -> Level:
        """Level by the readings printed on the sheet, which are rounded down: what the sheet asks for is never waved off."""
        found: Level = "normal"
        system = self.d.deployment.show_units
        if not math.isfinite(most):
            return found
        for key in ORDER[1:]:
            printed = read(
                "speed",
                show("speed", most * self.x.policy.begins(key) * profile, system, rounding="down"),
            )
            if gust * profile >= printed - 1e-9 and gust > 0:
                found = key
        return found

    def _profile(self, height: float) -> float:
        """Lowest of the terrain models, as on the sheet, so that both ask for the same at the same reading."""
        return (
            min(profiles(height).values()) if height < tables.row("reference-height", "asce7").value else 1.0
        )

    def _method(self) -> str:
        return "physics" if self.d.wind.method == "en1991" else self.d.wind.method


def _lower(level: Level, policy: Policy) -> float:
    """Share at which the level below a level begins: what must not have been reached for half an hour."""
    below = ORDER[max(ORDER.index(level) - 1, 0)]
    return policy.begins(below if below != "normal" else "secure")


def standing(
    readings: Sequence[Reading], entries: Sequence[Entry], policy: Policy
) -> tuple[Level, list[str]]:
    """The level that holds by the readings and the all-clears, and all-clears that do not count."""
    level: Level = "normal"
    notes = []
    found = {r.entry.id: r for r in readings}
    for i, e in enumerate(entries):
        if e.id in found and ORDER.index(found[e.id].level) > ORDER.index(level):
            level = found[e.id].level
        if e.event != "all-clear" or level == "normal":
            continue
        before = [found[x.id] for x in entries[: i + 1] if x.id in found and x.at <= e.at]
        high = [r.entry.at for r in before if r.share >= _lower(level, policy) - 1e-9]
        since = max(high, default=0)
        inspected = any(x.event == "inspection" and since <= x.at <= e.at for x in entries[: i + 1])
        if e.at - since < policy.all_clear_wait:
            notes.append(
                f"All-clear of entry {e.id} does not count: {(e.at - since) // 60} min after a reading at that level; {policy.all_clear_wait // 60} min are needed."
            )
        elif not inspected:
            notes.append(
                f"All-clear of entry {e.id} does not count: no inspection was logged after the wind."
            )
        elif not any(r.entry.at > since for r in before):
            notes.append(
                f"All-clear of entry {e.id} does not count: no lower reading was logged after the wind."
            )
        else:
            level = before[-1].level
    return level, notes


def _due(
    stand: Level, entries: Sequence[Entry], readings: Sequence[Reading], plan: Plan, d: Deployment, now: int
) -> list[Due]:
    out = []
    last = readings[-1].entry.at if readings else None
    pace = wait("reading") if stand == "normal" else wait("reading-secure")
    out.append(Due("wind reading", None if last is None or last + pace <= now else last + pace))
    out += _inspections(entries, readings, now)
    if plan.snow.roof_load_pa > 0 or d.snow.falling is not None:
        measured = max((e.at for e in entries if e.event == "snow"), default=None)
        out.append(
            Due(
                "depth of snow on the roof",
                None if measured is None or measured + wait("snow") <= now else measured + wait("snow"),
            )
        )
    pulls = sum(e.event == "pull-test" for e in entries)
    stake = d.anchorage.stake
    if plan.anchorage.total.stakes and stake is not None and not stake.pull_tests and pulls < 3:
        out.append(Due(f"pull tests: {pulls} logged, three are needed", None))
    elif stake is not None and not stake.pull_tests and pulls >= 3:
        lowest = min((e for e in entries if e.event == "pull-test"), key=lambda e: float(e.data["force_n"]))
        out.append(
            Due(
                f"put the pull tests into the file (anchorage.stake.pull_tests): the lowest is {lowest.data['typed']}",
                None,
            )
        )
    return sorted(out, key=lambda x: (x.at is not None, x.at or 0))


def _inspections(entries: Sequence[Entry], readings: Sequence[Reading], now: int) -> list[Due]:
    looked = max((e.at for e in entries if e.event == "inspection"), default=None)
    begun = min((e.at for e in entries), default=now)
    base = max([begun, *([looked] if looked is not None else [])])
    out = []
    gone = looked if looked is not None else -1
    blown = [r.entry.at for r in readings if r.level != "normal" and r.entry.at >= gone]
    if blown:
        out.append(
            Due(
                "inspection after wind",
                max(blown) + wait("after-wind") if max(blown) + wait("after-wind") > now else None,
            )
        )
    state = None
    for e in entries:
        if e.event == "state":
            if e.at >= gone and state is not None and (state, e.data["state"]) in THAW:
                out.append(Due("inspection after thaw", None))
            elif e.at >= gone and e.data["state"] == "wet":
                out.append(Due("inspection after rain", None))
            state = e.data["state"]
        if e.event in ("placed", "doors", "straps") and e.at > gone and looked is not None:
            out.append(Due(f"inspection: {e.event} changed", None))
    at = base + wait("shift")
    out.append(Due("inspection of the shift", at if at > now else None))
    seen: dict[str, Due] = {}
    for x in out:
        seen.setdefault(x.what, x)
    return list(seen.values())


def stand(d: Deployment, plan: Plan, entries: Sequence[Entry], now: int, replan: Any) -> Stand:
    """Judge the record. plan: of the file; replan: makes a plan of a deployment. Entries after ``now`` are left out."""
    if plan.margins.get("set") == "asd":
        raise NotModelledError(
            'margins.set "asd" judges strength-level speeds; a reading is a service gust: use "lumped-1.5"'
        )
    known = sorted((e for e in entries if e.at <= now), key=lambda e: (e.at, e.id))
    is_now, said, assumed = as_it_stands(d, plan, known)
    fresh_plan: Plan = replan(is_now)
    judge = _Judge(is_now)
    readings = tuple(judge.reading(e) for e in known if e.event == "wind")
    raised, notes = standing(readings, known, judge.x.policy)
    struck = next((e.event == "struck" for e in reversed(known) if e.event in ("struck", "setup")), False)
    old = not readings or now - readings[-1].entry.at > 2 * wait("reading")
    level: Level = "unknown" if old and ORDER.index(raised) < 2 else raised
    blocks = _blocks(fresh_plan)
    verdict = _verdict(level, blocks, fresh_plan)
    if assumed and verdict == "go":
        verdict = "unknown"
    why = [*notes, *blocks, *(r.text for r in fresh_plan.reasons if r.code in OPEN)]
    if old:
        why.insert(
            0,
            "No wind reading is logged."
            if not readings
            else f"The last wind reading is {(now - readings[-1].entry.at) // 60} min old: too old to go by.",
        )
    headline = fresh_plan.policy.after(_headline(level, blocks, struck=struck, counted=not assumed))
    return Stand(is_now, fresh_plan, verdict, level, raised, headline, tuple(why), readings, tuple(_due(raised, known, readings, fresh_plan, is_now, now)),
                 tuple(said), struck, tuple(assumed))  # fmt: skip


def _headline(level: Level, blocks: Sequence[str], *, struck: bool, counted: bool) -> str:
    if struck:
        return "TAKEN DOWN"
    if not counted and not blocks and level in ("normal", "secure"):
        return f"{LEVELS['unknown']}: {LEVELS[level]} only if all that is planned is in place: not all of it is logged"
    return LEVELS[level] + (
        "" if not blocks or level in ("people-out", "keep-away") else ": NOT SAFE AS IT STANDS"
    )


def _blocks(plan: Plan) -> list[str]:
    """What fails whatever the wind: snow, stock aside."""
    return [
        f"{c.name[0].upper()}{c.name[1:]} ({c.where}) fails as it stands."
        for c in plan.checks
        if not c.ok and c.holds_to_m_s is None
    ]


def _verdict(level: Level, blocks: list[str], plan: Plan) -> Verdict:
    """Whether people may stay in."""
    if level in ("people-out", "keep-away") or blocks:
        return "no-go"
    if level == "unknown" or plan.limit.anchorage_only or any(plan.asks(code) for code in OPEN):
        return "unknown"
    return "go"


def with_outlook(s: Stand, o: Outlook, now: int) -> Stand:
    """The same with the forecast of this hour and the deadlines that have passed: a lower reading relaxes neither."""
    here = [
        h for h in o.hours if read_iso(h.start, "outlook", "time") <= now < read_iso(h.end, "outlook", "time")
    ]
    asked = [
        (
            h.level if h.level != "unknown" else h.known_level,
            f"The forecast of this hour: {h.why or h.governed_by}.",
        )
        for h in here
    ]
    steps: dict[str, Level] = {"secure_by": "secure", "people_out_by": "people-out"}
    asked += [
        (steps[n.name], f"The time to begin has passed: {n.because}.")
        for n in o.deadline_notes
        if n.past and n.name in steps
    ]
    found, why = s.level, list(s.why)
    for level, text in asked:
        least = (
            1 if found == "unknown" else ORDER.index(found)
        )  # without a reading only people-out and more can be said
        if level != "unknown" and ORDER.index(level) > least:
            found = level
            why.insert(0, text)
    if found == s.level or s.struck:
        return s
    blocks = _blocks(s.plan)
    verdict = s.verdict if found == "secure" else _verdict(found, blocks, s.plan)
    return replace(
        s,
        level=found,
        verdict=verdict,
        headline=s.plan.policy.after(_headline(found, blocks, struck=s.struck, counted=not s.assumed)),
        why=tuple(why),
    )


def not_trusted(s: Stand, faults: Sequence[str]) -> Stand:
    """Where it stands by a record that was changed: never a go."""
    if not faults:
        return s
    words = f"THE RECORD WAS CHANGED. {s.headline}"
    return replace(
        s,
        headline=words if s.verdict == "no-go" else f"{LEVELS['unknown']}: {words}",
        why=(f"The record was changed: {faults[0]}.", *s.why),
        verdict="no-go" if s.verdict == "no-go" else "unknown",
    )
