"""Sentences of a Plan that the pages share: the share of the limit, what goes at how many points."""

from __future__ import annotations

import math
from collections.abc import Sequence

from anchorage.core.out import RecordOut
from anchorage.core.say import later, plural, say
from anchorage.core.told import in_words
from anchorage.core.words import several
from anchorage.judging.changes import change_words
from anchorage.judging.gusts import of_plan, printed
from anchorage.judging.result import Plan
from anchorage.paper.sketch import count
from anchorage.paper.text import spread_of, spread_parts, unit_words


def limit_text(plan: Plan, gust: float | None) -> str:
    """A gust that something takes, rounded down."""
    return printed(plan, gust)


def share_words(plan: Plan) -> str:
    """``Gust 32 of 40 mph, 80 %: PEOPLE OUT``."""
    return of_plan(plan).sentence


def spread_words(plan: Plan) -> list[str]:
    """``12 at each of 12 points = 144 sandbags``, a sentence for each thing that is counted."""
    points = plan.anchorage.points
    used = [p for p in points if p.usable and p.kind != "none"]
    out = []
    for item in dict.fromkeys(p.item for p in used):
        mine = [p for p in used if p.item == item]
        total = sum(map(count, mine))
        if len({count(p) for p in mine}) == 1 and len(mine) == len(points):
            parts = [say("{mine} at each of {points} points", mine=count(mine[0]), points=len(points))]
        else:
            parts = spread_of((p.group, count(p)) for p in mine)
        out.append(f"{', '.join(parts)} = {total} {unit_words(item, total)}.")
    none = [p.id for p in points if not p.usable or p.kind == "none"]
    return [*out, say("Nothing holds at {none}.", none=", ".join(none))] if none else out


def short_words(plan: Plan) -> list[str]:
    """What is short, how to spread what there is, and what it holds then."""
    out = []
    for s in plan.stock:
        if not s.short:
            continue
        said = say(
            "SHORT: {short} {item} ({needed} needed, {brought} brought).",
            short=s.short,
            item=several(s.item),
            needed=s.needed,
            brought=s.brought,
        )
        by = s.spread
        if s.brought and by:
            over = s.brought - sum(by.values())
            said += say(
                " With only these: {parts}",
                parts=spread_parts(plan, s),
            )
            said += say(", {over} in hand", over=over) if over else ""
            said += (
                "."
                if s.holds_with_stock_m_s is None
                else say("; so it holds to {gust}.", gust=limit_text(plan, s.holds_with_stock_m_s))
            )
        out.append(said)
    return out


def force_words(forces: Sequence[tuple[str, int]]) -> list[str]:
    """Levels that begin at one Beaufort force cannot be told apart by it: the last of them is done. forces: by level, in order."""
    out, by = [], dict[int, list[str]]()
    for level, force in forces:
        by.setdefault(force, []).append(level)
    for force, levels in by.items():
        if len(levels) > 1:
            out.append(
                say(
                    "Force {force} is {levels} alike: without a meter do at force {force} what {last} says.",
                    force=force,
                    levels=say(" and ").join(str(v) for v in levels),
                    last=levels[-1],
                )
            )
    return out


def why_words(plan: Plan) -> list[str]:
    """What stands in the way, the worst in its own sentence first, other failing checks by name."""
    exceeded = [r for r in plan.reasons if r.exceeded]
    over = [r.text for r in exceeded]
    rest = [r.text for r in plan.reasons if not r.exceeded]
    failed = sorted(
        (c for c in plan.checks if not c.ok), key=lambda c: -math.inf if c.ratio is None else -c.ratio
    )
    if len(over) < 2 or not failed:
        return [*over, *rest]
    own = [r.text for r in exceeded if r.of == (failed[0].check, failed[0].where)]
    if not own:
        return [*over, *rest]
    others = ", ".join(
        str(c.check) if c.holds_to_m_s is None else f"{c.check} {limit_text(plan, c.holds_to_m_s)}"
        for c in failed[1:]
    )
    return [own[0], say("Also over: {others}.", others=others), *rest]


MOST_EDITS = 6
"""That are named; of the others their number."""
MOST_NOTES = 3
_COUNTED = {
    "record": later("Counts are those of the record."),
    "file": later("Counts are those of the file: the record counts no point."),
    "plan": later("NOTHING WAS COUNTED: counts are what is planned, not what stands."),
}


def edit_words(r: RecordOut) -> list[str]:
    """What was edited in the file since something was logged, by name."""
    out = [
        say(
            "{key} was {was} up to entry {since} and is {now} now",
            key=e.key,
            was=e.was,
            since=e.since,
            now=e.now,
        )
        for e in r.edits[:MOST_EDITS]
    ]
    more = len(r.edits) - MOST_EDITS
    return [*out, say("{more} more keys", more=more)] if more > 0 else out


def record_words(r: RecordOut | None) -> list[str]:
    """That a record stands over the file, and what it changed: among the first lines of every page and command."""
    if r is None:
        return []
    if not r.entries:  # that of another file, which is not over this one
        return in_words(r.notes)
    said = change_words(r.changes)
    over = (
        say("It goes over the file: {said}.", said="; ".join(said))
        if said
        else say("It changes nothing of the file.")
    )
    out = [
        plural(
            "RECORD: {n} entry, last {last}. {over} {counted}",
            "RECORD: {n} entries, last {last}. {over} {counted}",
            r.entries,
            last=r.last,
            over=over,
            counted=_COUNTED[r.counted],
        )
    ]
    out += [] if r.level is None else [say("BY THE RECORD: {level}", level=r.level.text)]
    if r.notes:
        more = len(r.notes) - MOST_NOTES
        noted = "; ".join(in_words(r.notes[-MOST_NOTES:]))
        out.append(
            say(
                "NOTED, not judged: {noted}{more_before}.",
                noted=noted,
                more_before=say("; {more} before", more=more) if more > 0 else "",
            )
        )
    edited = edit_words(r)
    return [*out, say("EDITED SINCE IT WAS LOGGED: {edited}.", edited="; ".join(edited))] if edited else out
