"""The installation as it stands: the deployment file with its record put over it, once, for whoever judges it.

Nothing here reads a clock. What is put over travels with the deployment (``Deployment.record``) into plan, outlook and pages.
"""

from __future__ import annotations

import functools
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta, timezone
from pathlib import Path
from typing import Any, Literal

import numpy as np

from anchorage.checks.installation import assemble, shape_of
from anchorage.core import tables
from anchorage.core.errors import AnchorageError
from anchorage.core.out import ChangeOut, EditOut, Reason, RecordOut
from anchorage.core.outputs import RECORD, records_beside
from anchorage.core.say import plural, say
from anchorage.core.textfile import exists, fingerprint, read_whole, same_file
from anchorage.core.told import Words, put, tell, together
from anchorage.core.units import Measure, as_typed
from anchorage.deployment.models import About, Anchorage, Deployment, PointIn, Shelter, SiteTest
from anchorage.deployment.reader import LONGEST, read_file, read_text
from anchorage.holding import states
from anchorage.holding.ground import FROST, holds_water, surface_state
from anchorage.loads.roof_snow import roof_snow
from anchorage.outlook.clock import zone_of
from anchorage.record.kinds import AFTER_WEATHER, EVENTS, MENDED, TESTS, result_of
from anchorage.record.noted import DANGERS, only_a_note, open_in, thundered, unanswered
from anchorage.record.notes import Note
from anchorage.record.store import Entry, Record, RecordError, path_of

SIZES = ("form", "length", "width", "eave", "ridge", "ridge_length", "points_per_side", "points_per_end", "joined")  # fmt: skip
"""What makes a shelter that shelter and no other, beside its name."""


class NotItsOwnError(RecordError):
    """The record beside a file is that of another shelter."""


@dataclass(frozen=True)
class Recorded:
    """A record as it was read."""

    entries: tuple[Entry, ...]
    """In the order in which things happened."""
    faults: tuple[str, ...]
    files: Mapping[str, tuple[str, ...]]
    """Deployment files that entries were written beside, by fingerprint."""
    file: str
    """Fingerprint of the file as it is now."""

    @functools.cached_property
    def counting(self) -> tuple[Entry, ...]:
        """The entries that no later one corrects, corrections left out."""
        gone = corrected(self.entries)
        return tuple(e for e in self.entries if e.id not in gone and e.event != "correct")

    @functools.cached_property
    def thunder(self) -> tuple[Entry, ...]:
        """Thunder that was written down, in words alone too, whether or not somebody called it wrong since: its wait ends it and no correction."""
        said = {e.id for e in thundered(self.counting)}
        return tuple(e for e in self.entries if e.event == "thunder" or e.id in said)

    def until(self, at: int) -> Recorded:
        """The record as it was at a time."""
        return Recorded(tuple(e for e in self.entries if e.at <= at), self.faults, self.files, self.file)


def corrected(entries: Sequence[Entry]) -> set[int]:
    """The entries that a later one names as wrong; a correction that is itself corrected corrects nothing."""
    gone = set[int]()
    for e in sorted(entries, key=lambda e: -e.id):
        if e.event == "correct" and e.id not in gone and int(e.data["entry"]) < e.id:
            gone.add(int(e.data["entry"]))
    return gone


Phase = Literal["", "not-up", "going-up", "up", "coming-down", "down"]
_PHASE: dict[str, Phase] = {"setup": "up", "coming-down": "coming-down", "struck": "down"}


def phase_of(counting: Sequence[Entry]) -> Phase:
    """How far the work is by the entries that count, in the order in which things happened."""
    found: Phase = ""
    for e in counting:
        if e.event in _PHASE:
            found = _PHASE[e.event]
        elif e.event == "placed" and found in ("", "not-up", "down"):
            found = "going-up"
        elif not found:
            found = "not-up"
    return found


def taking_down(counting: Sequence[Entry]) -> Entry | None:
    """The entry since which it is coming down; None where it is not."""
    if phase_of(counting) != "coming-down":
        return None
    return next(e for e in reversed(counting) if e.event == "coming-down")


def parts_of(path: Path, shelter: Shelter) -> tuple[bytes, ...]:
    """The deployment file and the saved shelter that it uses, byte for byte. Raises ``OSError``."""
    used = [path, path.parent / shelter.use] if shelter.use else [path]
    return tuple(read_whole(p, LONGEST) for p in used)


def read_record(path: Path, shelter: Shelter, now: int | None = None) -> Recorded | None:
    """The record beside a deployment file up to a time; None where nothing was logged."""
    if not exists(path_of(path)):
        return None
    try:
        raw = parts_of(path, shelter)
        file, here = fingerprint(*raw), {fingerprint(*raw): tuple(p.decode("utf-8") for p in raw)}
    except (OSError, UnicodeDecodeError):
        file, here = "", {}  # what is typed, and no file yet or any more
    with Record(path_of(path)) as r:
        entries, faults, files = r.entries(), r.faults(), r.files() | here
    known = sorted((e for e in entries if now is None or e.at <= now), key=lambda e: (e.at, e.id))
    return Recorded(tuple(known), tuple(faults), files, file)


UNNAMED = About().name
LEFT = "record-left-beside"
"""Code of the question whether a record under another name is that of this file."""


def beside(about: About, shelter: Shelter, path: Path, now: int | None = None) -> RecordOut | None:
    """What records under other names in the folder mean for a file that has none of its own; None where they mean nothing.

    One whose own file is gone, or is this very file by another name, may be that of this shelter: asked, and no go. One whose
    file stands there is that of a shelter that this file is a copy of: told.
    """
    copied, mine = list[Path](), identity(about, shelter)
    for p in records_beside(path):
        own = p.with_name(p.name.removesuffix(RECORD))
        if exists(own) and not same_file(own, path):
            if _copied(mine, own):
                copied.append(own)
        elif _may_be_of(mine, p, now):
            note = Note.ASK_LINKED if exists(own) else Note.ASK_LEFT
            asked = Reason(code=LEFT, told=tell(note, record=p.name, file=own.name, here=path.name))
            return RecordOut(entries=0, last="", counted="plan", asks=[asked])
    if not copied:
        return None
    told = tell(Note.COPY_OF, record=copied[0].name + RECORD, file=copied[0].name)
    if len(copied) > 1:
        told = tell(Note.COPY_OF_SEVERAL, files=", ".join(own.name for own in copied))
    return RecordOut(entries=0, last="", counted="plan", notes=[told])


def left_behind(about: About, shelter: Shelter, path: Path) -> None:
    """Refuse to go on, or to begin a record, where one under another name may be that of this shelter. Raises ``RecordError``."""
    found = beside(about, shelter, path)
    if found is not None and found.asks:
        raise RecordError(found.asks[0].text)


Identity = Mapping[str, Any]


def _alike(mine: Identity, theirs: Identity) -> bool:
    """Whether two files may be of one shelter: the same in name and sizes, or in a name that was given."""
    name = mine["deployment.name"]
    return mine == theirs or UNNAMED != name == theirs["deployment.name"]


def _copied(mine: Identity, own: Path) -> bool:
    """Whether another file with a record is of the same shelter. Its name is looked for before it is read: there may be many."""
    try:
        raw = read_whole(own, LONGEST).decode("utf-8")
        if mine["deployment.name"] not in raw and mine["deployment.name"] != UNNAMED:
            return False
        other = read_file(own)
    except (OSError, UnicodeDecodeError, AnchorageError):
        return False
    return _alike(mine, identity(other.deployment, other.shelter))


def _may_be_of(mine: Identity, record: Path, now: int | None) -> bool:
    """Whether a record without a file is that of this shelter, up again or still; one that does not tell may be."""
    try:
        with Record(record) as r:
            entries, files = [e for e in r.entries() if now is None or e.at <= now], r.files()
    except RecordError:
        return False
    kept = Recorded(tuple(sorted(entries, key=lambda e: (e.at, e.id))), (), files, "")
    if not entries or phase_of(kept.counting) == "down":
        return False
    then = kept_for(kept, max(entries, key=lambda e: e.id))
    return then is None or _alike(mine, identity(then.deployment, then.shelter))


def not_its_own(why: str) -> RecordOut:
    """What stands over a deployment whose record cannot be put over it: the question why."""
    asks = [Reason(code="record-not-its-own", told=put(str, why))]
    return RecordOut(entries=0, last="", counted="plan", asks=asks)


@functools.lru_cache(maxsize=64)
def file_then(parts: tuple[str, ...]) -> Deployment | None:
    """A deployment file as it was kept; None where it cannot be read any more."""
    try:
        return read_text(parts[0].removeprefix("\ufeff"), "kept", None, parts[1] if len(parts) > 1 else None)
    except AnchorageError:
        return None


def kept_for(record: Recorded, e: Entry) -> Deployment | None:
    """The deployment file that an entry was written beside; None where it was not kept."""
    parts = record.files.get(e.file)
    return None if parts is None else file_then(parts)


def identity(about: About, shelter: Shelter) -> dict[str, Any]:
    """Name, form and sizes."""
    return {"deployment.name": about.name} | {f"shelter.{k}": getattr(shelter, k) for k in SIZES}


def _flat(value: Any, key: str = "") -> dict[str, str]:
    """Every key of a deployment that was given, and its value as text."""
    if isinstance(value, list):
        items = {str(getattr(x, "id", i + 1)): x for i, x in enumerate(value)}
        return {k: t for n, x in items.items() for k, t in _flat(x, f"{key}[{n}]").items()}
    if isinstance(value, dict):
        return {k: t for n, x in value.items() for k, t in _flat(x, f"{key}.{n}").items()}
    if hasattr(value, "model_fields_set"):
        out: dict[str, str] = {}
        for n in sorted(value.model_fields_set):
            name = type(value).model_fields[n].alias or n
            out |= _flat(getattr(value, n), f"{key}.{name}" if key else name)
        return out
    return {} if value is None else {key: as_typed(value)}


SHOWN = ("deployment.show_units", "forecast", "outlook.zone", "stock", "times")
"""Keys whose edits move nothing that stands."""


def edits(d: Deployment, record: Recorded) -> list[EditOut]:
    """Keys of the file that read otherwise than when something was logged, oldest text first."""
    here, found = _flat(d), dict[str, EditOut]()
    last = {e.file: e.id for e in sorted(record.entries, key=lambda e: e.id)}
    for file, entry in sorted(last.items(), key=lambda x: x[1]):
        then = file_then(record.files[file]) if file in record.files else None
        if then is None:
            continue
        was = _flat(then)
        for k in sorted(was.keys() | here.keys()):
            if was.get(k) != here.get(k) and not k.startswith(SHOWN):
                made = EditOut(
                    key=k, was=was.get(k, say("not given")), now=here.get(k, say("not given")), since=entry
                )
                found.setdefault(k, made)
    return list(found.values())


def _own(d: Deployment, record: Recorded, asks: list[Reason]) -> None:
    """Refuse the record of another shelter; ask where it cannot be told."""
    last = max(record.entries, key=lambda e: e.id)
    then = kept_for(record, last)
    if then is None and last.file == record.file:
        return
    if then is None:
        text = tell(Note.ASK_FILE_CHANGED, id=last.id)
        asks.append(Reason(code="record-file-unknown", told=text))
        return
    mine, theirs = identity(d.deployment, d.shelter), identity(then.deployment, then.shelter)
    other = [k for k in mine if mine[k] != theirs[k]]
    if other:
        k = other[0]
        raise NotItsOwnError(
            say(
                "The record beside this file is that of another shelter: {k} was {said} when entry {id} was written and is {said_2} now. Put that record aside; or, if it is the same shelter and the file was mended: log FILE note 'the same shelter' --same-shelter. check --as-planned leaves the record out.",
                k=k,
                said=_said(theirs[k]),
                id=last.id,
                said_2=_said(mine[k]),
            )
        )


def _said(value: object) -> str:
    return say("not given") if value is None else as_typed(value)


_UNIT = ("kind", "unit", "unit_material", "how", "stake", "block", "deadman")
_UNIT_HERE = ("kind", "unit", "unit_material", "driven")
"""What is counted: keys of all points and of one, beside the mass of one unit."""
_SAME_MASS = 0.005
"""Share by which a mass may be more through rounding alone: the same sack typed in pounds and read from the table."""


def _counted(a: Anchorage, p: PointIn | None) -> tuple[dict[str, Any], float]:
    """What one unit at a point is, and its mass (kg); 0 where the unit says none."""
    here = {k: v for k in _UNIT_HERE if (v := getattr(p, k, None)) is not None}
    unit = {k: getattr(a, k) for k in _UNIT} | here
    row = tables.table("ballast-mass").by_key.get(str(unit["unit"]))
    mass = a.unit_mass if a.unit_mass is not None else None if row is None else row.value
    return unit, 0.0 if mass is None else float(mass)


def _ends(e: Entry, t: SiteTest) -> bool:
    """Whether a test says nothing of the ground any more after an entry; a change ends those of stakes: one was driven anew."""
    if t.kind not in ("drag", "pull", "vane"):
        return False
    if e.event == "inspection":
        return e.data.get("after") in AFTER_WEATHER or (t.kind == "pull" and e.data.get("after") == "change")
    return e.event == "state" and e.data.get("state") != (t.state or "dry")


def _at(t: SiteTest, zone: str | None) -> float | None:
    """When a test was made, seconds since 1970; without a zone as early as it may have been; None where it is not said."""
    if t.at is None:
        return None
    said = datetime.fromisoformat(t.at)
    if said.tzinfo is None:
        said = (
            said.replace(tzinfo=zone_of(zone))
            if zone is not None
            else said.replace(tzinfo=timezone(timedelta(hours=14)))
        )
    return said.timestamp()


class _Over:
    """One record being put over one file."""

    def __init__(self, d: Deployment, record: Recorded) -> None:
        self.d, self.record = d, record
        self.asks, self.changes, self.blocks, self.notes = (
            list[Reason](),
            list[ChangeOut](),
            list[Reason](),
            list[Words](),
        )
        struck = max((i for i, e in enumerate(record.counting) if e.event == "struck"), default=-1)
        if struck >= 0:
            self.changes.append(ChangeOut(code="struck", entry=record.counting[struck].id))
        self.entries = record.counting[struck + 1 :]
        """Since it was last taken down."""
        begun = taking_down(record.counting)
        if begun is not None:
            self.changes.append(ChangeOut(code="coming-down", entry=begun.id))

    def ask(self, code: str, text: Words) -> None:
        self.asks.append(Reason(code=code, told=text))

    def last(self, event: str) -> Entry | None:
        return next((e for e in reversed(self.entries) if e.event == event), None)

    def counts(self) -> None:
        """Counts that were logged; a point that was not counted keeps what the file says, and has nothing where it says nothing."""
        d, said = self.d, {p.id: p for p in self.d.point}
        ids = [p.id for p in shape_of(d.shelter).points]
        needed = [i for i in ids if i not in said or (said[i].usable and said[i].kind != "none")]
        logged, told = dict[str, int](), list[ChangeOut]()
        by = dict[str, Entry]()
        for e in self.entries:
            if e.event != "placed":
                continue
            each = e.data.get("counts")
            n, where, how = int(e.data.get("count", 0)), e.data.get("where"), e.data.get("how")
            if each is not None:
                told = [
                    c for c in told if c.where not in each and (c.where or not set(needed) <= each.keys())
                ]
                for at, count in each.items():
                    logged[at], by[at] = int(count), e
                    told.append(ChangeOut(code="placed", value=str(count), where=at, entry=e.id))
            elif where is None:
                told.clear()
                in_all = how == "in-all"
                share = n if not in_all else n // max(len(needed), 1)
                logged, by = dict.fromkeys(needed, share), dict.fromkeys(needed, e)
                told.append(
                    ChangeOut(
                        code="placed",
                        value=f"{n} in all" if in_all else str(n),
                        in_all=n if in_all else None,
                        counted=share * len(needed) if in_all else None,
                        entry=e.id,
                    )
                )
                self._how(e, n, share, how, len(needed))
            else:
                logged[str(where)], by[str(where)] = n, e
                told = [c for c in told if c.where != where]
                told.append(ChangeOut(code="placed", value=str(n), where=str(where), entry=e.id))
            if e.data.get("more"):  # said to have come later
                d = d.model_copy(update={"stock": None})
        if not logged:
            return
        placed = d.anchorage.placed
        for i in ids:
            own = said[i].placed if i in said else None
            given = own if own is not None else placed.get(i) if isinstance(placed, dict) else placed
            if i in needed and i not in logged:
                told.append(ChangeOut(code="not-counted", value="" if given is None else str(given), where=i))
                logged[i] = int(given or 0)
        points = [p.model_copy(update={"placed": None}) for p in d.point]
        counts = {i: logged.get(i, 0) for i in ids}
        self.d = d.model_copy(
            update={"anchorage": d.anchorage.model_copy(update={"placed": counts}), "point": points}
        )
        self.changes += told
        self._as_counted({i: e for i, e in by.items() if logged[i]}, counts)

    def _as_counted(self, by: Mapping[str, Entry], counts: Mapping[str, int]) -> None:
        """Counts are of what the file named when they were made: of anything else now they are asked for anew, and the weaker counts."""
        said = {p.id: p for p in self.d.point}
        other, unknown = dict[int, Entry](), dict[int, Entry]()
        for i, e in by.items():
            if e.file == self.record.file and e.file not in self.record.files:
                continue
            then = kept_for(self.record, e)
            if then is None:
                unknown[e.id] = e
                continue
            unit, mass = _counted(self.d.anchorage, said.get(i))
            was, mass_then = _counted(then.anchorage, next((p for p in then.point if p.id == i), None))
            if unit != was or mass > mass_then * (1.0 + _SAME_MASS):
                other[e.id] = e
        if unknown:
            self.ask("counted-unknown", tell(Note.ASK_COUNTED_UNKNOWN, ids=_numbers(unknown)))
        if not other:
            return
        self.ask("counted-otherwise", tell(Note.ASK_COUNTED, ids=_numbers(other)))
        either = [self.d, *(self._with_units_of(e) for e in other.values())]
        held = list[float]()
        for d in either:
            try:
                x = assemble(d, ())
                held.append(float(x.gust_held(np.array([counts.get(i, 0) for i in x.base.ids]))))
            except AnchorageError:
                held.append(0.0)
        self.d = either[held.index(min(held))]

    def _with_units_of(self, e: Entry) -> Deployment:
        """The installation of units as the file named them beside an entry."""
        then = kept_for(self.record, e)
        if then is None:
            return self.d
        a = {k: getattr(then.anchorage, k) for k in (*_UNIT, "unit_mass")}
        was = {p.id: p for p in then.point}
        points = [
            p.model_copy(update={k: getattr(was.get(p.id), k, None) for k in _UNIT_HERE})
            for p in self.d.point
        ]
        return self.d.model_copy(update={"anchorage": self.d.anchorage.model_copy(update=a), "point": points})

    def half_down(self) -> None:
        """Once taking down was begun, called wrong since or not, what stands is known only by a count of every point and a look after it."""
        begun = max((e for e in self.record.entries if e.event == "coming-down"), key=_order, default=None)
        if begun is None or taking_down(self.record.counting) is not None:
            return
        if any(e.event == "struck" and _order(e) > _order(begun) for e in self.record.counting):
            return
        since = [e for e in self.entries if _order(e) > _order(begun)]
        said, counted = {p.id: p for p in self.d.point}, set[str]()
        ids = [p.id for p in shape_of(self.d.shelter).points]
        for e in since:
            if e.event == "placed":
                where = e.data.get("where")
                counted |= set(e.data.get("counts") or ([str(where)] if where is not None else ids))
        needed = {i for i in ids if i not in said or (said[i].usable and said[i].kind != "none")}
        todo = [tell(Note.LOG_PLACED)] if not needed <= counted else []
        todo += [] if any(looked_at(e) for e in since) else [tell(Note.LOG_DAMAGE)]
        if todo:
            self.ask("half-down", together(*todo))

    def put_back(self) -> None:
        """A point that had lost all that was counted at it, once it was up, and has some again: a look comes before any go."""
        up = next((e for e in self.entries if e.event == "setup"), None)
        seen = max((_order(e) for e in self.entries if looked_at(e)), default=(-1, -1))
        ids = [p.id for p in shape_of(self.d.shelter).points]
        at, lost = dict[str, int](), dict[str, tuple[int, int]]()
        for e in self.entries:
            if e.event != "placed":
                continue
            where, n = e.data.get("where"), int(e.data.get("count", 0))
            now = e.data.get("counts") or (dict.fromkeys(ids, n) if where is None else {str(where): n})
            for i, count in now.items():
                if up is not None and _order(e) > _order(up) and at.get(i, 0) and not int(count):
                    lost[i] = _order(e)
                at[i] = int(count)
        if any(at[i] and when > seen for i, when in lost.items()):
            self.ask("put-back", tell(Note.LOG_DAMAGE))

    def _how(self, e: Entry, n: int, share: int, how: str | None, points: int) -> None:
        again = tell(Note.LOG_AGAIN)
        if n and how is None:
            self.ask(
                "placed-how",
                tell(Note.ASK_PLACED_HOW, id=e.id, n=n, n_2=n * points, again=again),
            )
        elif n and how == "in-all":
            counted = tell(Note.ASK_PLACED_WHERE, id=e.id, n=n, share=share, points=points)
            left = n - share * points
            rest = [put(left_over, left)] if left else []
            self.ask("placed-where", together(counted, *rest, again))

    def doors(self) -> None:
        e, d = self.last("doors"), self.d
        if e is None:
            return
        state = str(e.data["doors"])
        self.changes.append(ChangeOut(code="doors", value=state, entry=e.id))
        if d.door:
            doors = [x.model_copy(update={"state": state}) for x in d.door]
            self.d = d.model_copy(update={"door": doors})
        elif state != "closed" and not any(v for _, v in d.shelter.openings or ()):
            # the file names no door: what is open is not known, so the worst counts
            self.d = d.model_copy(update={"shelter": d.shelter.model_copy(update={"openings": None})})

    def straps(self) -> None:
        e = self.last("straps")
        if e is not None:
            self.changes.append(ChangeOut(code="straps", value=str(e.data["straps"]), entry=e.id))
            shelter = self.d.shelter.model_copy(update={"straps": e.data["straps"]})
            self.d = self.d.model_copy(update={"shelter": shelter})

    def state(self) -> None:
        """The ground as it was last said to be, and no better than what the weather made of it that an inspection was made after."""
        told: ChangeOut | None = None
        for e in self.entries:
            after = str(e.data.get("after") or "") if e.event == "inspection" else ""
            if e.event == "state":
                state = str(e.data["state"])
            elif after in AFTER_WEATHER:
                site = self.d.site
                now = surface_state(self.d.ground, site.state, [])
                state = states.worse(site.surface, now, weather_made(after, now, site.surface))
                if state == now:
                    continue
            else:
                continue
            told = ChangeOut(code="state", value=state, entry=e.id)
            self.d = states.over_points(self.d, state)
        if told is not None:
            self.changes.append(told)

    def snow(self) -> None:
        """Snow that was measured, in place of what the file says lies there; a load by a code stays where it is the more.

        Less than before counts once an inspection after it passed: until then the most since then counts.
        """
        said = [e for e in self.entries if e.event == "snow"]
        if not said:
            return
        last, file = said[-1], self.d
        looked = next((e for e in reversed(self.entries) if looked_at(e)), None)
        before = [] if looked is None else [e for e in said if _order(e) < _order(looked)]
        since = said[len(before) - 1 :] if before else said
        of: dict[int | None, Deployment] = {e.id: self._measured(file, e) for e in since}
        if not before:
            of[None] = file
        load = {i: roof_snow(d.snow, d.shelter, d.site).load for i, d in of.items()}
        if (
            file.snow.ground_load is not None
            and roof_snow(file.snow, file.shelter, file.site).load >= load[last.id]
        ):
            self.changes.append(ChangeOut(code="snow-kept", value=str(last.data["typed"]), entry=last.id))
            return
        most = max(load, key=lambda i: (load[i], i == last.id))
        self.d = of[most]
        code = "snow" if most == last.id else "snow-until-looked"
        self.changes.append(ChangeOut(code=code, value=str(last.data["typed"]), entry=last.id))

    def _measured(self, d: Deployment, e: Entry) -> Deployment:
        keys = {
            **_NO_SNOW,
            "depth": Measure(float(e.data["depth_m"]), "length", str(e.data["typed"])),
            "kind": e.data.get("kind"),
        }
        return d.model_copy(update={"snow": d.snow.model_copy(update=keys)})

    def tests(self) -> None:
        """Readings that were logged beside the tests of the file; those of before rain, thaw, frost or other work count no more."""
        d, logged = self.d, list[SiteTest]()
        for e in self.entries:
            like = (
                next((t for t in d.test if t.kind == e.data.get("kind")), None) if e.event == "test" else None
            )
            if like is not None:
                place = e.data.get("where") or e.data.get("note")
                reading = Measure(float(e.data["value"]), TESTS[like.kind], str(e.data["typed"]))
                at = datetime.fromtimestamp(e.at, UTC).isoformat()
                made = {"place": place, "force": [reading], "steady": [], "at": at}
                logged.append(like.model_copy(update=made))
        if not d.test:
            return
        if logged:
            self.changes.append(ChangeOut(code="tests", value=str(len(logged))))
        tests, old = list[SiteTest](), list[str]()
        now = max(e.at for e in self.entries) if self.entries else 0
        for t in (*d.test, *logged):
            made_at = _at(t, d.outlook.zone)
            after = [e for e in self.entries if _ends(e, t) and (made_at is None or e.at >= made_at)]
            if after:
                self.changes.append(
                    ChangeOut(code="test-expired", value=t.kind, where=t.place or "", entry=after[0].id)
                )
            elif (
                made_at is not None
                and t.force
                and now - made_at > tables.row("evidence", "asked-after").value
            ):
                old.append(t.place or t.kind)
            tests.append(t.losing("expired") if after else t)
        if old:
            self.ask(
                "test-old",
                tell(Note.ASK_OLD_TESTS, old=", ".join(dict.fromkeys(old))),
            )
        self.d = d.model_copy(update={"test": tests})

    def inspections(self) -> None:
        """An inspection that failed, or that says in words what it found and not whether it passed, holds until one passed.

        What failed is passed by one that says what was mended, or after something was done.
        """
        found: Entry | None = None
        bare: Entry | None = None
        done = False
        for e in self.entries:
            if e.event != "inspection":
                done = done or e.event in MENDED
                continue
            result = result_of(e.data)
            if result == "passed":
                open_ = found is not None and result_of(found.data) == "failed"
                if open_ and not done and not e.data.get("note"):
                    bare = e
                else:
                    found = bare = None
            elif result == "failed":
                found, bare, done = e, None, False
            elif result == "unsaid" and found is None:
                found = e
        if found is None:
            return
        said = f" ({found.data['note']})" if found.data.get("note") else ""
        again = tell(Note.MEND)
        if result_of(found.data) == "failed":
            text: Words = tell(Note.INSPECTION_FAILED, id=found.id, said=said, again=again)
            if bare is not None:
                text = together(text, tell(Note.PASSED_BARE, id=bare.id))
            self.blocks.append(Reason(code="inspection-failed", told=text))
        else:
            self.ask(
                "inspection-result-unsaid",
                tell(Note.ASK_INSPECTION, id=found.id, said=said, again=again),
            )

    def noted(self) -> None:
        """What was written in words alone; a danger in it is asked about until an entry stands for it."""
        said = [
            e
            for e in self.entries
            if e.data.get("note") and (e.event in ("note", "action") or only_a_note(e))
        ]
        self.notes = [
            tell(Note.NOTED_ONLY if only_a_note(e) and open_in(e.event, e.data) else Note.NOTED, id=e.id, who=e.who, note=e.data["note"])
            for e in said
        ]  # fmt: skip
        for e, h in unanswered(self.entries):
            note = Note.ASK_NOTED_ONLY if only_a_note(e) else Note.ASK_NOTED
            self.ask("noted-danger", tell(note, id=e.id, words=h.words, log=tell(DANGERS[h.kind].ask)))

    def unread(self) -> None:
        """What this version does not know is said, and leaves no go."""
        for e in self.entries:
            if e.event not in EVENTS and e.event != "unreadable":
                self.ask(
                    "record-unread",
                    tell(Note.ENTRY_UNREAD, id=e.id, event=e.event),
                )
        if self.record.faults:
            self.ask("record-changed", tell(Note.RECORD_CHANGED, faults=self.record.faults[0]))


def _numbers(entries: Mapping[int, Entry]) -> str:
    return ", ".join(map(str, sorted(entries)))


def weather_made(after: str, state: str, surface: str | None) -> str:
    """The worst that weather makes of ground in a state: rain or thaw on snow or frost is slush, frost on water is ice."""
    if after == "snow":
        return "snow"
    if after == "frost":
        return "frozen" if state == "dry" and not holds_water("frozen", surface) else "ice"
    return "ice" if state in FROST else "wet"


def looked_at(e: Entry) -> bool:
    """Whether an entry is an inspection that found nothing wrong, as far as it says."""
    return e.event == "inspection" and result_of(e.data) in ("passed", "bare")


def _order(e: Entry) -> tuple[int, int]:
    return e.at, e.id


def left_over(n: int) -> str:
    """Units of a count in all that go into no whole number at each point, in words."""
    return plural("{n} is left over and counts nowhere.", "{n} are left over and count nowhere.", n)


_NO_SNOW: dict[str, Any] = {
    "layers": [], "water": None, "core": None, "rain": None, "ground_load": None, "edition": None, "level": None,
}  # fmt: skip


def _over(d: Deployment, record: Recorded) -> _Over:
    o = _Over(d, record)
    for step in (
        o.counts,
        o.half_down,
        o.put_back,
        o.doors,
        o.straps,
        o.tests,
        o.state,
        o.snow,
        o.inspections,
        o.noted,
        o.unread,
    ):
        step()
    return o


def stood(d: Deployment, record: Recorded) -> tuple[Deployment, list[ChangeOut]]:
    """A deployment with what was logged put over it, whatever it was logged for; what changed."""
    o = _over(d, record)
    return o.d, o.changes


def counts_complete(d: Deployment, changes: Sequence[ChangeOut], planned: Mapping[str, int]) -> Deployment:
    """The same with points that neither record nor file counts taken as planned: what it holds at best."""
    missing = {c.where for c in changes if c.code == "not-counted" and not c.value}
    placed = d.anchorage.placed
    if placed is None and not any(p.placed is not None for p in d.point):
        counts: Mapping[str, int] = planned
    elif missing and isinstance(placed, dict):
        counts = {k: planned.get(k, 0) if k in missing else n for k, n in placed.items()}
    else:
        return d
    return d.model_copy(update={"anchorage": d.anchorage.model_copy(update={"placed": dict(counts)})})


def as_it_stands(d: Deployment, record: Recorded) -> tuple[Deployment, RecordOut]:
    """The installation as it stands, and what the record changed. Raises ``NotItsOwnError`` for the record of another shelter."""
    asks = list[Reason]()
    _own(d, record, asks)
    o = _over(d, record)
    made, changes = o.d, o.changes
    by_file = d.anchorage.placed is not None or any(p.placed is not None for p in d.point)
    last = max(record.entries, key=lambda e: e.id)
    out = RecordOut(
        entries=len(record.entries), last=last.mark, phase=phase_of(record.counting),
        counted="record" if any(c.code == "placed" for c in changes) else "file" if by_file else "plan",
        changes=changes, edits=edits(d, record), asks=[*asks, *o.asks], blocks=o.blocks, notes=o.notes,
        thunder=[e.at for e in record.thunder],
    )  # fmt: skip
    return made.under(out), out
