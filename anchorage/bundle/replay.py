"""Judge a case: the same when a bundle is made and when it is looked at, always from copies of its files in a folder of its own."""

from __future__ import annotations

import importlib.metadata
import json
import platform
import tempfile
import tomllib
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from dataclasses import asdict, dataclass
from datetime import UTC
from pathlib import Path
from typing import Any

from anchorage.bundle.case import Asked, Case, asked_of, manifest_of, seal_of, zipped
from anchorage.checks.installation import heading_true
from anchorage.core import tables
from anchorage.core.errors import AnchorageError
from anchorage.core.plain import inert
from anchorage.core.say import ENGLISH, say, speaking
from anchorage.core.textfile import exists, fingerprint, load_toml, read_whole, why_not
from anchorage.core.version import VERSION
from anchorage.deployment.models import Deployment
from anchorage.deployment.policy import use_of
from anchorage.deployment.reader import LONGEST, read_file
from anchorage.judging.explain import for_the_sheet
from anchorage.judging.plan import Assessment, assess
from anchorage.judging.weak import with_most
from anchorage.meter.beat import beside
from anchorage.outlook.asked import Asked as Weather
from anchorage.outlook.asked import forecasts_of, zone_said
from anchorage.outlook.build import outlook
from anchorage.outlook.clock import one_clock
from anchorage.outlook.result import Outlook
from anchorage.outlook.untrusted import LARGEST
from anchorage.outlook.weathered import plan_for
from anchorage.paper.content import Made, SheetIn
from anchorage.paper.html import html
from anchorage.paper.outlook_text import outlook_lines
from anchorage.paper.record_page import now_lines, sheet_rows
from anchorage.paper.sheet import sheet_document
from anchorage.paper.sketch import Around
from anchorage.paper.text import check_lines, engineer_lines
from anchorage.record.over import Recorded, read_record
from anchorage.record.stand import not_trusted, overdue, put_over, stand, with_outlook
from anchorage.record.store import Record, foreign, path_of

REPLAYED = (
    "plan.json", "outlook.json", "record.json", "pages/check.txt", "pages/outlook.txt", "pages/now.txt", "pages/sheet.html",
)  # fmt: skip
"""Members that are judged anew. A PDF is kept as it was printed: what sets it is another program, with a version of its own."""
PACKAGES = ("numpy", "pydantic", "typst")
MOST = 200
"""Differences that are told."""
DEEPEST = 8
"""Folders over the deployment file in its own folder, so that a saved shelter beside or above it has a place there."""
WORDS_APART = frozenset(
    {"verdict", "level", "known_level", "code", "kind", "decision", "status", "governed_by", "reached"}
)
"""Keys whose words are decisions: with another version sentences may differ, these may not without being told."""


class BundleError(AnchorageError):
    """A case that cannot be bundled, and what would make it possible."""


@dataclass(frozen=True)
class Moved:
    """Something that reads otherwise when it is judged anew."""

    where: str
    was: Any
    now: Any


def _text(lines: list[str]) -> bytes:
    return "".join(inert(line) + "\n" for line in lines).encode("utf-8")


def _record_json(path: Path) -> bytes:
    with Record(path_of(path)) as r:
        data = {"faults": r.faults(), "entries": [{**asdict(e), "mark": e.mark} for e in r.entries()]}
    return (json.dumps(data, indent=2, sort_keys=True, allow_nan=False) + "\n").encode("ascii")


@speaking(ENGLISH)
def judged(path: Path, forecasts: list[str], asked: Asked, *, pdf: bool = False) -> dict[str, bytes]:
    """Everything that comes out of a case. path: of the deployment file, its record and saved shelter beside it."""
    d = read_file(path)
    if asked.units is not None:
        d = d.model_copy(update={"deployment": d.deployment.model_copy(update={"show_units": asked.units})})
    zone = zone_said(asked.zone, d.outlook)
    where = zone or UTC
    over = put_over(d, path, asked.now, zone)
    a = with_most(assess(over, deep=True, show=True))
    out: dict[str, bytes] = {"plan.json": (a.plan.to_json() + "\n").encode("utf-8")}
    around = Around(
        heading_true(over.site), over.wind.bearing, tuple(t.text for t in tables.texts("action-secure-"))
    )
    out["pages/check.txt"] = _text([*check_lines(a.plan, around), *engineer_lines(a.plan)])
    o = _outlook(a, over, forecasts, asked)
    if o is not None:
        out["outlook.json"] = (o.to_json() + "\n").encode("utf-8")
        out["pages/outlook.txt"] = _text(outlook_lines(o, where))
    if exists(path_of(path)):
        out["record.json"] = _record_json(path)
        out["pages/now.txt"] = _now(path, d, o, asked, where)
    used = [path, path.parent / d.shelter.use] if d.shelter.use else [path]
    made = Made(path.name, fingerprint(*(read_whole(p, LONGEST) for p in used)), asked.now, where)
    document = sheet_document(
        SheetIn(
            a.plan,
            over,
            made,
            o,
            tuple(for_the_sheet(a)),
            sheet_rows(str(path), where),
            beside(assess(d), path, asked.now, where, o, by_clock=False),
        ),
        "letter",
    )
    out["pages/sheet.html"] = html(document).encode("utf-8")
    if pdf:
        from anchorage.paper.pdf import pdf as printed  # noqa: PLC0415 - slow, and only when it is made

        out["pages/sheet.pdf"] = printed(document)
    return out


def _outlook(a: Assessment, d: Deployment, forecasts: list[str], asked: Asked) -> Outlook | None:
    zone = zone_said(asked.zone, d.outlook)
    found = forecasts_of(
        Weather(forecasts, asked.say, asked.heard, asked.issued), d.forecast, asked.now, zone, lenient=True
    )
    if not found:
        return None
    spread = None if d.outlook.spread is None else float(d.outlook.spread)
    return outlook(plan_for(a, found), d, found, asked.now, zone, use=use_of(d), spread=spread)


def _now(path: Path, d: Deployment, o: Outlook | None, asked: Asked, zone: Any) -> bytes:
    with Record(path_of(path)) as r:
        faults = r.faults()
    s = stand(assess(d), read_record(path, d.shelter, asked.now) or Recorded((), (), {}, ""), asked.now, zone)
    s = s if o is None else with_outlook(s, o, asked.now)
    s = not_trusted(overdue(s, asked.now, metered=False), faults)
    with one_clock(zone, asked.now):
        return _text(now_lines(s, o, zone, asked.now))


@contextmanager
def laid_out(members: Mapping[str, bytes], asked: Asked) -> Iterator[tuple[Path, list[str]]]:
    """Copies of the files of a case in a folder of its own: the deployment file, and the forecasts."""
    with tempfile.TemporaryDirectory(prefix="anchorage-") as name:
        top = Path(name).resolve()
        folder = top.joinpath("case", *("up" for _ in range(DEEPEST)))
        folder.mkdir(parents=True)
        path = folder / asked.file
        path.write_bytes(members["deployment.toml"])
        if (use := _used(members["deployment.toml"])) is not None:
            where = shelter_at(folder, use, top / "case")
            if where is None or "shelter.toml" not in members:
                raise BundleError(say("the saved shelter has no place beside the deployment file"))
            where.parent.mkdir(parents=True, exist_ok=True)
            if not where.exists():
                where.write_bytes(members["shelter.toml"])
        if "record.db" in members:
            if strange := foreign(members["record.db"]):
                raise BundleError(
                    say("the record has something in it that no record has: {strange}", strange=strange[0])
                )
            path_of(path).write_bytes(members["record.db"])
        forecasts = []
        for i, given in enumerate(asked.forecasts, 1):
            (top / str(i)).mkdir()
            target = top / str(i) / given
            target.write_bytes(members[f"forecasts/{i}"])
            forecasts.append(str(target))
        yield path, forecasts


def _used(raw: bytes) -> str | None:
    """The saved shelter that a deployment file names; None where it names none or cannot be read."""
    try:
        shelter = load_toml(raw.decode("utf-8-sig")).get("shelter")
    except (tomllib.TOMLDecodeError, UnicodeDecodeError):
        return None
    use = shelter.get("use") if isinstance(shelter, dict) else None
    return use if isinstance(use, str) else None


def shelter_at(folder: Path, use: str, top: Path) -> Path | None:
    """Where a saved shelter stands in the folder of a case; None where that is no place in it."""
    try:
        target = Path(*folder.parts, *Path(use).parts).resolve() if not Path(use).is_absolute() else None
    except (OSError, ValueError):
        return None
    return target if target is not None and top in target.parents and target.name.endswith(".toml") else None


def _tables() -> dict[str, bytes]:
    return {f"tables/{p.name}": p.read_bytes() for p in sorted(tables.tables_dir().glob("*.toml"))}


def _whole(path: Path, most: int) -> bytes:
    try:
        raw = read_whole(path, most)
    except OSError as e:
        raise BundleError(f"{path.name}: {why_not(e, say('it cannot be read'))}") from None
    if len(raw) > most:
        raise BundleError(say("{path}: too large for a bundle", path=path.name))
    return raw


def make(file: Path, forecasts: list[Path], asked: Asked) -> tuple[bytes, str]:
    """The bundle of a case, and its seal: in English, whatever is spoken, so that it is the same wherever it is looked at."""
    d = read_file(file)
    members = {"deployment.toml": _whole(file, LONGEST)}
    if d.shelter.use:
        if (
            shelter_at(Path("/case").joinpath(*("up" for _ in range(DEEPEST))), d.shelter.use, Path("/case"))
            is None
        ):
            raise BundleError(
                say(
                    "shelter.use {use}: a saved shelter is bundled from beside the deployment file, by a path from there to a .toml",
                    use=repr(d.shelter.use),
                )
            )
        members["shelter.toml"] = _whole(file.parent / d.shelter.use, LONGEST)
    if exists(path_of(file)):
        with Record(path_of(file)) as r:
            members["record.db"] = r.copy()
    for i, p in enumerate(forecasts, 1):
        members[f"forecasts/{i}"] = _whole(p, LARGEST)
    with laid_out(members, asked) as (path, given):
        made = judged(path, given, asked, pdf=True)
    members |= {**made, **_tables()}
    about = {
        "version": VERSION, "program": program(), "asked": asked.data(),
        "made_by": {"python": platform.python_version(), **{p: _version(p) for p in PACKAGES}},
    }  # fmt: skip
    listed = manifest_of(members, about)
    return zipped(listed, members), seal_of(listed)


def _version(package: str) -> str:
    try:
        return importlib.metadata.version(package)
    except importlib.metadata.PackageNotFoundError:
        with speaking(ENGLISH):
            return say("not installed")


def program() -> str:
    """What this program is, down to the letter: a version may be built from more than one text."""
    top = Path(__file__).parents[1]
    parts = [
        p.relative_to(top).as_posix().encode() + b"\0" + p.read_bytes() for p in sorted(top.rglob("*.py"))
    ]
    return fingerprint(*parts)


def same_version(case: Case) -> bool:
    """Whether this program, and every table that it stands on, is the one that made it."""
    held = {k: v for k, v in case.members.items() if k.startswith("tables/")}
    return (case.manifest.get("version"), case.manifest.get("program"), held) == (
        VERSION,
        program(),
        _tables(),
    )


def again(case: Case) -> list[Moved]:
    """What reads otherwise when the case is judged anew. Nothing: it is the same, byte for byte, or figure for figure with another version."""
    asked = asked_of(case.manifest["asked"])
    if asked is None or any(f"forecasts/{i}" not in case.members for i in range(1, len(asked.forecasts) + 1)):
        return [Moved("manifest.json asked", say("what was asked"), say("it cannot be read"))]
    try:
        with laid_out(case.members, asked) as (path, given):
            made = judged(path, given, asked)
    except AnchorageError as e:
        return [Moved("plan.json", "judged", say("it cannot be judged any more: {e}", e=inert(str(e))[:200]))]
    return compared(
        {k: case.members[k] for k in REPLAYED if k in case.members}, made, same=same_version(case)
    )


def _come_or_gone(name: str, old: bytes | None, new: bytes | None) -> Moved:
    """A member that stands on one side alone."""
    return Moved(name, *("not there" if x is None else "there" for x in (old, new)))


def compared(was: Mapping[str, bytes], now: Mapping[str, bytes], *, same: bool) -> list[Moved]:
    """What differs. same: in every byte; else in figures and decisions alone, since words may."""
    out: list[Moved] = []
    for name in sorted(was.keys() | now.keys()):
        old, new = was.get(name), now.get(name)
        if old == new or (not same and not name.endswith(".json")):
            continue
        if old is None or new is None:
            out.append(_come_or_gone(name, old, new))
        elif name.endswith(".json"):
            found = _apart(name, old, new, same=same)
            out += found if found or not same else [Moved(name, "bytes", "other bytes")]
        else:
            out.append(_line(name, old, new))
    return out[:MOST]


def _line(name: str, old: bytes, new: bytes) -> Moved:
    """The first line that differs."""
    a, b = old.decode("utf-8", "replace").splitlines(), new.decode("utf-8", "replace").splitlines()
    i = next((i for i, (x, y) in enumerate(zip(a, b, strict=False)) if x != y), min(len(a), len(b)))
    return Moved(
        say("{name} line {i}", name=name, i=i + 1),
        inert(a[i])[:200] if i < len(a) else None,
        inert(b[i])[:200] if i < len(b) else None,
    )


def _leaves(value: Any, at: str = "") -> Iterator[tuple[str, Any]]:
    """Every value with the way to it; rows of a list by their key, id or name where they have one."""
    if isinstance(value, dict):
        for k, v in value.items():
            yield from _leaves(v, f"{at}.{k}" if at else str(k))
    elif isinstance(value, list):
        for i, v in enumerate(value):
            own = next(
                (
                    v[k]
                    for k in ("key", "id", "name", "start")
                    if isinstance(v, dict) and isinstance(v.get(k), str)
                ),
                None,
            )
            yield from _leaves(v, f"{at}[{i if own is None else own}]")
    else:
        yield at, value


def _apart(name: str, old: bytes, new: bytes, *, same: bool) -> list[Moved]:
    try:
        a, b = dict(_leaves(json.loads(old))), dict(_leaves(json.loads(new)))
    except (ValueError, RecursionError):
        return [Moved(name, "JSON", say("it cannot be read"))]
    keys = a.keys() | b.keys() if same else a.keys()  # a later version may say more

    def counts(k: str) -> bool:
        return same or isinstance(a.get(k), bool | int | float) or k.rpartition(".")[2] in WORDS_APART

    return [
        Moved(f"{name} {k}", a.get(k), b.get(k)) for k in sorted(keys) if a.get(k) != b.get(k) and counts(k)
    ]


def rows_moved(case: Case) -> list[Moved]:
    """Rows of the tables that are not what they were: why figures moved."""
    held = {k: v for k, v in case.members.items() if k.startswith("tables/")}
    out: list[Moved] = []
    now = _tables()
    for name in sorted(held.keys() | now.keys()):
        old, new = held.get(name), now.get(name)
        if old == new:
            continue
        if old is None or new is None:
            out.append(_come_or_gone(name, old, new))
            continue
        try:
            a, b = (dict(_leaves(load_toml(x.decode("utf-8")))) for x in (old, new))
        except (tomllib.TOMLDecodeError, UnicodeDecodeError):
            out.append(Moved(name, "a table", say("it cannot be read")))
            continue
        out += [
            Moved(f"{name} {k}", a.get(k), b.get(k))
            for k in sorted(a.keys() | b.keys())
            if a.get(k) != b.get(k) and k.rpartition(".")[2] in ("value", "low", "high")
        ]
    return out[:MOST]
