"""Readers of deployments, shelters, tables, drafts, journals and grids."""

from __future__ import annotations

import functools
import json
import math
import os
import random
import tempfile
from collections.abc import Callable
from datetime import UTC
from pathlib import Path
from typing import Any

import numpy as np

from anchorage.climate import reports, windows
from anchorage.climate.build import against
from anchorage.climate.course import Takes
from anchorage.core import tables
from anchorage.core.errors import AnchorageError, InputFaults
from anchorage.core.plain import inert
from anchorage.deployment.draft import read_draft, to_toml
from anchorage.deployment.edits import merged
from anchorage.deployment.models import Deployment
from anchorage.deployment.reader import read_file, read_text
from anchorage.judging.plan import assess, make_plan
from tui import owner, store
from tui.fields import KEYS

from . import nasty
from .corpus import DEPLOYMENTS, NOW, USING
from .oracle import Broken, hold, named

FILE = "site.toml"
MEMORY = "/dev/shm"  # noqa: S108 - a folder of our own is made in it


@functools.cache
def folder() -> Path:
    """A place for files, in memory where that can be; gone with the process."""
    where = tempfile.TemporaryDirectory(
        prefix="anchorage-fuzz-", dir=MEMORY if Path(MEMORY).is_dir() else None
    )
    folder.kept = where  # type: ignore[attr-defined]
    return Path(where.name)


def _verdict(d: Any) -> str:
    try:
        plan = make_plan(d)
    except AnchorageError as e:
        hold(str(e) and len(str(e)) < 5000, "a refusal of no or of endless words")
        return "refused"
    plan.to_json()
    hold(inert(plan.headline) == plan.headline, "a headline that acts on a terminal")
    if plan.verdict == "go":
        limit = plan.limit.gust_m_s
        hold(math.isfinite(plan.wind.gust_m_s), "go at a gust that is none")
        hold(limit is None or plan.wind.gust_m_s <= limit * (1 + 1e-9), "go over the limit")
        hold(all(c.ok for c in plan.checks), "go with a check that fails")
    return "go" if plan.verdict == "go" else "read"


def deployment(raw: bytes) -> str:
    """Read, then judged."""
    try:
        d = read_text(raw.decode("utf-8"), FILE)
    except UnicodeDecodeError:
        (folder() / FILE).write_bytes(raw)
        try:
            read_file(folder() / FILE)
        except AnchorageError as e:
            return named(e, FILE)
        raise Broken("text that is no UTF-8 was read") from None
    except AnchorageError as e:
        return named(e, FILE)
    return _verdict(d)


def read_only(raw: bytes) -> str:
    """Read and not judged: many more cases in the same time."""
    try:
        read_text(raw.decode("utf-8", "replace"), FILE)
    except AnchorageError as e:
        return named(e, FILE)
    return "read"


def shelter(raw: bytes) -> str:
    """A file that is used by a deployment beside it."""
    (folder() / "kept.toml").write_bytes(raw)
    try:
        read_text(USING.decode(), FILE, folder())
    except AnchorageError as e:
        return named(e, FILE)
    return "read"


@functools.cache
def _takes() -> Takes:
    return Takes(assess(read_text(DEPLOYMENTS[0].decode(), FILE)))


def history(raw: bytes) -> str:
    """Years of weather, read and counted against an installation."""
    try:
        r = reports.read_text(raw, "obs.csv")
        hold(bool((np.diff(r.at) >= 0).all()), "times out of order")
        c = against(_takes(), r, 3, UTC)
    except AnchorageError as e:
        hold(
            not isinstance(e, InputFaults) or str(e).startswith("obs.csv: "),
            f"no file is named: {str(e)[:100]}",
        )
        return "refused"
    gust = c.hours.gust
    hold(
        bool(((gust >= 0) | np.isnan(gust)).all()) and not bool((gust > 160).any()), "a gust that cannot blow"
    )
    hold(int(c.total.sum()) == len(c.hours) - 2, "windows that are lost")
    hold(int(c.total[windows.UNKNOWN]) >= int(np.isnan(gust)[:-2].sum()), "a missing hour that is known")
    return "read"


def table(raw: bytes) -> str:
    """A folder of tables with one file."""
    where = folder() / "tables"
    where.mkdir(exist_ok=True)
    (where / "one.toml").write_bytes(raw)
    try:
        tables.Library(where).register()
    except AnchorageError as e:
        hold(
            all(line.startswith("one.toml: ") for line in str(e).splitlines()[:1]),
            f"no file is named: {str(e)[:100]}",
        )
        return "refused"
    return "read"


def draft(raw: bytes) -> str:
    """Into the fields of the interface and out again: nothing is lost, and what comes out goes in again."""
    text = raw.decode("utf-8", "replace")
    try:
        found = read_draft(text, KEYS, FILE)
    except AnchorageError as e:
        return named(e, FILE)
    for out in (to_toml(found), merged(text, found)):
        again = read_draft(out, KEYS, FILE)
        kept, typed = (
            sorted(" ".join(v.split()) for v in x.typed.values() if v.strip()) for x in (again, found)
        )
        hold(kept == typed or any("\n" in v for v in typed), "a field is lost by saving")
    return "read"


def journal(raw: bytes) -> str:
    """What a session left behind, who has the file, and what is remembered."""
    doc = store.Document(folder() / "j.toml")
    doc.journal.write_bytes(raw)
    found = store.read_journal(doc)
    if found is not None:
        hold(isinstance(found.when, str), "no time")
        doc.text_of(found.draft)
    os.environ["ANCHORAGE_STATE"] = str(folder())
    (folder() / "anchorage").mkdir(exist_ok=True)
    (folder() / "anchorage" / "remembered.json").write_bytes(raw)
    store.recent()
    store.recall("theme", "")
    owner.place_file(doc.journals, 1).write_bytes(b"\0" + raw)
    owner.who(doc.journals)
    return "refused" if found is None else "read"


JOURNALS = [
    json.dumps({"journal": 1, "at": 1.7e9, "file": "j.toml", "was": store.digest(""), "typed": {"deployment.name": "x", "door[2].is": "open"}, "rest": {"site": {"x": 1}}}).encode(),
    json.dumps({"recent": ["/etc/hosts", "x"], "theme": "dark", "process": 12, "machine": "m", "since": 1.7e9}).encode(),
]  # fmt: skip


@functools.cache
def asphalt() -> Deployment:
    """A demo to judge with."""
    return read_text(DEPLOYMENTS[0].decode(), FILE)


def grid(raw: bytes) -> str:
    """A grid as a file: opened, found by its attributes, and its worst cell judged."""
    from anchorage.core.closed import EXITS
    from anchorage.region import probe, run, summary

    probe.PATIENCE = 5.0

    path = folder() / "grid.nc"
    path.write_bytes(raw)
    try:
        _, ds = run.run(str(path), asphalt(), NOW, UTC)
    except AnchorageError as e:
        return "refused" if str(e) else "empty"
    return "go" if EXITS[summary.verdict_of(ds)] == 0 else "read"


@functools.cache
def grids() -> tuple[bytes, ...]:
    """One small invented grid as NetCDF-4."""
    from anchorage.region.invented import invented

    path = folder() / "good.nc"
    with invented(NOW) as ds:
        ds.isel({d: slice(0, 3) for d in ds["gust"].dims if d != "time"} if "gust" in ds else {}).to_netcdf(
            path, engine="h5netcdf"
        )
    return (path.read_bytes(),)


Harm = Callable[[str, str, bytes, random.Random, bytes], tuple[bytes, str]]


def simple(run: Callable[[bytes], str]) -> Harm:
    """A reader that only wants bytes."""

    def harm(_: str, kind: str, raw: bytes, rng: random.Random, other: bytes) -> tuple[bytes, str]:
        bad = nasty.mutated(raw, kind, rng, other)
        try:
            return bad, run(bad)
        except BaseException as e:
            e.__dict__["case"] = bad
            raise

    return harm


TABLES = sorted((Path(tables.__file__).parents[2] / "tables").glob("*.toml"), key=lambda p: p.stat().st_size)[
    1:6
]
