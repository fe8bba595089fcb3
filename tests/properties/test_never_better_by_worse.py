"""Nothing becomes better by being made worse: ``tables/worse.toml`` says which way that is, for every key there is.

Random deployments, one key at a time gone the worse way: no limit rises and no verdict moves toward go. A plan that was
sized is compared as built, with the counts that it gave. ``.ci/run --long`` sets ANCHORAGE_LONG and tries ten times as many.
"""

from __future__ import annotations

import functools
import os
from collections import Counter, defaultdict
from dataclasses import dataclass, field
from random import Random
from typing import Any

import pytest

from anchorage.checks.overrides import override
from anchorage.cli.entry import _parsers, build_parser
from anchorage.core import tables
from anchorage.core.errors import AnchorageError
from anchorage.judging.plan import make_plan
from anchorage.outlook.hours import Forecast
from anchorage.record.events import WORDS
from tests.strategies import read, toml, unsized
from tests.worse_kit import (
    REFUSAL,
    ROWS,
    UNLESS,
    File,
    Outcome,
    Step,
    as_built,
    better,
    deployment,
    file_keys,
    outcome,
    outcome_of,
    stands,
    tidy,
    worsened,
)

LONG = bool(os.environ.get("ANCHORAGE_LONG"))
GROUPS = 12
"""Parts of the keys that are tried apart, so that several processes share them."""
DEPLOYMENTS, STEPS = (2000, 1) if LONG else (300, 8)
LEAST = 30 if LONG else 2
"""Times that each key is tried, at the least, and in one file at the most three."""
ENOUGH = None if LONG else LEAST
"""Tries that could be judged after which a key is left to others, so that a file which has none of the rare ones costs nothing."""
BY_OUTLOOK = ("times.", "outlook.", "forecast")
"""Keys that say nothing to a plan: the outlook is asked, below."""
BY_WAYS = ("site.other", "crew.", "keep_clear")
"""Keys that say nothing to a plan: ways of holding it are compared with them (test_ways_layout)."""
ONLY_REFUSED = {
    "shelter.form", "shelter.length", "shelter.width", "shelter.eave", "shelter.ridge", "shelter.points_per_side", "shelter.joined", "shelter.joined.count",
    "shelter.joined.how", "site.surface", "wind.level", "snow.edition", "snow.building.height", "snow.building.slope",
    "anchorage.kind", "anchorage.unit", "anchorage.how", "anchorage.line_angle", "anchorage.stake", "anchorage.stake.pull_angle", "anchorage.stake.line_angle",
    "anchorage.block.height", "anchorage.block.eye", "anchorage.block.middle", "anchorage.deadman", "margins.level", "test.kind",
}  # fmt: skip
"""Keys that are asked for where they are left out: tried a few times, since nothing comes of it."""
NEVER_HELD = {
    "shelter.ridge_length", "shelter.strap", "snow.core", "anchorage.stake.test_soil", "test", "test.what", "test.place", "test.contact", "test.surface",
    "test.state", "test.load", "test.angle", "test.movement",
}  # fmt: skip
"""Keys whose order holds in no file that can be made here."""

OUT_OF_USE = {"point", "point.kind", "point.usable"}
"""Keys that may put a foot out of use: sizing leaves no foot in use without a unit, so that it takes one unit fewer then."""


@dataclass(frozen=True)
class Known:
    """Something that is still better by worse: since when, what does it, and the keys in which it shows."""

    since: str
    why: str
    keys: frozenset[str]


KNOWN: list[Known] = []
"""A mend makes its entry fail here, and is to take it out."""


@dataclass
class Run:
    """What a run found."""

    tries: Counter[str] = field(default_factory=Counter)
    judged: Counter[str] = field(default_factory=Counter)
    """Tries whose worse file could be judged."""
    better: dict[str, list[tuple[int, File, Step, list[str]]]] = field(
        default_factory=lambda: defaultdict(list)
    )

    def wanted(self, key: str) -> bool:
        """Whether a key is still to be tried: one that is refused each time is tried four times as often before it is let go."""
        if ENOUGH is None:
            return True
        most = 1 if key in ONLY_REFUSED else 4 * ENOUGH
        return self.judged[key] < ENOUGH and self.tries[key] < most


def _rows() -> list[Any]:
    return [
        w for w in ROWS
        if w.of == "file" and w.worse != "none" and not w.key.startswith((*BY_OUTLOOK, *BY_WAYS)) and w.key not in NEVER_HELD
    ]  # fmt: skip


@functools.lru_cache(maxsize=None if LONG else DEPLOYMENTS)
def _begun(seed: int) -> tuple[File, Outcome, tuple[File, Outcome] | None]:
    """A deployment as it is built, what is judged of it, and the same before it was sized; judged once for all groups of a process."""
    file = deployment(Random(seed))  # noqa: S311 - repeatable, and no secret
    base = outcome(file, built=stands(file))
    if base.refused or base.counts is None:
        return file, base, None
    built = as_built(file, base.counts)
    return built, outcome(built, built=True), (file, base)


def run(rows: list[Any], deployments: int, steps: int) -> Run:
    """Try every key of these rows, those that were tried least first."""
    found = Run()
    for seed in range(deployments):
        r = Random(seed)  # noqa: S311 - repeatable, and no secret
        file = deployment(r)
        open_ = [w for w in rows if found.wanted(w.key)]
        if not any(worsened(Random(seed), w, file) for w in open_):  # noqa: S311
            continue
        file, base, sized = _begun(seed)
        if base.refused:
            continue
        used: Counter[str] = Counter()
        nowhere: set[str] = set()
        for k in range(steps):
            ranked = sorted(
                (w for w in rows if found.wanted(w.key)),
                key=lambda w: (
                    found.tries[w.key] + (1000 if w.key in ONLY_REFUSED and found.tries[w.key] >= 3 else 0),
                    w.key,
                ),
            )
            for row in ranked:
                if row.key in nowhere or used[row.key] >= 3:
                    continue
                got = worsened(r, row, file)
                if got is None:
                    nowhere.add(row.key)
                    continue
                used[row.key] += 1
                _try(found, seed, row, file, base, got, sized if k < 3 else None)
                break
    return found


def _try(found: Run, seed: int, row: Any, file: File, base: Outcome, got: tuple[File, Step], sized: tuple[File, Outcome] | None) -> None:  # fmt: skip
    worse = outcome(got[0], built=True)
    found.tries[row.key] += 1
    found.judged[row.key] += not worse.refused
    what = better(base, worse, only=row.only)
    if what:
        found.better[row.key].append((seed, file, got[1], what))
    if sized is None:
        return
    again = worsened(Random(seed), row, sized[0])  # noqa: S311
    if again is not None:
        one = 1.0 if row.key in OUT_OF_USE else 0.0
        what = better(sized[1], outcome(again[0], built=False), only=row.only, spare=one)
        if what:
            found.better[row.key].append((seed, sized[0], again[1], what))


def _smallest(row: Any, seed: int, file: File, step: Step) -> File:
    """The same pair with all taken out of the file that it does not need."""

    def still(smaller: File) -> bool:
        a = outcome(smaller, built=stands(smaller))
        if a.refused:
            return False
        for s in range(12):
            got = worsened(Random(s), row, smaller)  # noqa: S311
            if got is not None and better(a, outcome(got[0], built=stands(smaller)), only=row.only):
                return True
        return False

    for part in [p for p in file if p not in ("shelter", "wind", "anchorage")]:
        smaller = {k: v for k, v in file.items() if k != part}
        if still(smaller):
            file = smaller
    for part in list(file):
        for key in list(file[part]) if isinstance(file[part], dict) else []:
            smaller = file | {part: {k: v for k, v in file[part].items() if k != key}}
            if f"{part}.{key}" != row.key and still(smaller):
                file = smaller
    return tidy(file)


def _told(found: Run, keys: set[str]) -> str:
    lines = []
    for key in sorted(keys):
        all_ = found.better[key]
        row = next(w for w in ROWS if w.key == key)
        seed, file, step, what = min(all_, key=lambda x: len(toml(tidy(x[1]))))
        lines.append(
            f"{key}: better by worse in {len(all_)} of {found.tries[key]} tries; the smallest, seed {seed}: {step.was} -> {step.now}: {'; '.join(what)}\n{toml(_smallest(row, seed, file, step))}"
        )
    return "\n".join(lines)


def few(found: Run, rows: list[Any]) -> dict[str, int]:
    """Keys that were tried too seldom."""
    refused = 3 if LONG else 1
    least = {w.key: refused if w.key in ONLY_REFUSED else LEAST for w in rows}
    return {k: found.tries[k] for k, n in least.items() if found.tries[k] < n}


@pytest.mark.parametrize("group", range(GROUPS))
def test_worse_is_never_better(group):
    rows = _rows()[group::GROUPS]
    found = run(rows, DEPLOYMENTS, STEPS)
    new = set(found.better) - {k for x in KNOWN for k in x.keys}
    assert not new, _told(found, new)
    here = {w.key for w in rows}
    mended = [x.why for x in KNOWN if x.keys & here and not x.keys & set(found.better)]
    assert not mended, f"no longer better by worse, take them out of KNOWN: {mended}"
    assert not few(found, rows), f"tried too seldom: {few(found, rows)}"
    idle = [w.key for w in rows if LONG and not found.judged[w.key] and w.key not in ONLY_REFUSED]
    assert not idle, f"every worse file was refused, so nothing was compared: {idle}"


def test_options_over_a_file_are_never_better_by_worse():
    """The options of check and limit that put a value over the file's, each pair in the order of its row."""
    tried: Counter[str] = Counter()
    pair: Counter[tuple[Any, ...]] = Counter()
    each = ("--gust", "--state", "--doors", "--from", "--straps", "--placed")
    for seed in range(200 if LONG else 60):
        if not LONG and min(tried[o] for o in each) >= 5:
            break
        file = deployment(Random(seed))  # noqa: S311
        if not stands(file) or outcome(file, built=True).refused:
            continue
        d = read(file)
        pairs: list[tuple[str, dict[str, Any], dict[str, Any]]] = [
            ("--gust", {"gust": "20 mph"}, {"gust": "31 mph"}),
            ("--state", {"state": "dry"}, {"state": "wet"}),
            ("--state", {"state": "wet"}, {"state": "ice"}),
            ("--doors", {"doors": "shut"}, {"doors": "open"}),
            ("--from", {"bearing": 200.0}, {}),
            ("--straps", {"straps": "locked"}, {"straps": "unlocked"}),
            ("--placed", {"placed": 7}, {"placed": 3}),
        ]
        for option, good, bad in pairs:
            if not LONG and pair[option, *good.values()] >= 5:
                continue  # the seeds after that are for the pairs which few files can be asked
            row = next(w for w in ROWS if w.key == option)
            held = {"--straps": "strap" not in file["shelter"], "--from": "from" not in file["wind"]}.get(
                option, True
            )
            if not held or any(UNLESS[u](file, option) for u in row.unless):
                continue
            a, b = _over(d, good), _over(d, bad)
            both = not (a.refused or b.refused)
            tried[option] += both
            pair[option, *good.values()] += both
            assert not better(a, b), (seed, option, better(a, b))
    assert min(tried[o] for o in each) >= 5, tried


def _over(d: Any, said: dict[str, Any]) -> Outcome:
    try:
        with unsized():
            return outcome_of(make_plan(override(d, **said)[0]))
    except AnchorageError:
        return REFUSAL


def test_every_key_of_the_file_has_a_direction_and_no_other():
    assert sorted(w.key for w in ROWS if w.of == "file") == sorted(file_keys())


def test_every_option_has_a_direction_and_no_other():
    options = {
        max(a.option_strings, key=len)
        for p in _parsers(build_parser())
        for a in p._actions
        if a.option_strings
    }
    assert sorted(w.key for w in ROWS if w.of == "option") == sorted(options)


def test_every_statement_of_a_forecast_has_a_direction_and_no_other():
    said = {f"forecast {k}" for k in Forecast.__dataclass_fields__} | {"forecast missing hours"}
    assert {w.key for w in ROWS if w.of == "statement"} == said


def test_every_event_of_the_record_has_a_direction_and_no_other():
    assert {w.key for w in ROWS if w.of == "event"} == {f"log {e}" for e in WORDS}


def test_every_state_in_which_an_order_does_not_hold_is_known_to_the_test_and_used():
    assert {u for w in ROWS for u in w.unless} == set(UNLESS)


def test_a_value_of_an_order_is_a_value_of_its_key():
    """A list that names a value which the file does not take would hold nothing."""
    special = {"left out", "said", "none"}
    rows = [w for w in tables.register().worse if isinstance(w.worse, list) and w.of == "file"]
    words = _accepted()
    for w in rows:
        for value in w.worse:
            if isinstance(value, str) and value not in special and w.key in words:
                assert value in words[w.key], (w.key, value)


def _accepted() -> dict[str, set[str]]:
    """The words that a key takes, of keys that take no other."""
    from anchorage.deployment.models import Deployment

    schema = Deployment.model_json_schema(by_alias=True)
    out: dict[str, set[str]] = {}

    def go(node: dict[str, Any], at: str) -> None:
        if "$ref" in node:
            go(schema["$defs"][node["$ref"].rsplit("/", 1)[-1]], at)
        for part in (*node.get("anyOf", []), *([node["items"]] if "items" in node else [])):
            go(part, at)
        if "enum" in node:
            out.setdefault(at, set()).update(map(str, node["enum"]))
        for name, value in node.get("properties", {}).items():
            go(value, f"{at}.{name}" if at else name)

    go(schema, "")
    return out


def test_what_has_no_direction_says_why():
    with pytest.raises(ValueError, match="says why"):
        type(ROWS[0])(key="a.b", of="file", worse="none", why="no")
