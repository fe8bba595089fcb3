"""Coefficients and their provenance, read from ``tables/*.toml``, each file checked in full before one figure is used.

Every look-up reports itself to the lists opened by :func:`collect`, so that a result can say what it stands on.
"""

from __future__ import annotations

import contextlib
import functools
import math
import re
from collections import Counter
from contextvars import ContextVar
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import TYPE_CHECKING, Any, NamedTuple, Self, TypeVar

from pydantic import Field, ValidationError, model_validator

from anchorage.core.errors import NotModelledError, TableError
from anchorage.core.say import say
from anchorage.core.table_files import (
    CodeIn,
    CodesIn,
    Count,
    Danger,
    Default,
    FileIn,
    How,
    Provenance,
    RowIn,
    Source,
    SourcesIn,
    Strict,
    Suffix,
    TableIn,
    Term,
    TextIn,
    When,
    Worse,
)
from anchorage.core.textfile import load_toml

if TYPE_CHECKING:
    from collections.abc import Callable, Hashable, Iterable, Iterator

T = TypeVar("T")
M = TypeVar("M", FileIn, SourcesIn)
STRENGTH: tuple[How, ...] = ("read", "computed", "second-hand", "common practice", "memory")
MARKER, SOURCES = "INDEX.toml", "sources.toml"


class _Stated(Strict):
    """What is said with its provenance. ``source`` is the id, ``cited`` how that source is named to people."""

    key: str
    source: str | None
    cited: str
    clause: str | None
    how: How
    note: str

    @model_validator(mode="after")
    def _complete(self) -> Self:
        if self.how in ("read", "second-hand") and not (self.source and self.clause):
            raise ValueError("what was read names its source and the clause in that source")
        if self.how == "computed" and not self.note:
            raise ValueError("a computed figure says how, in its note")
        return self

    def cite(self) -> str:
        if self.how == "read":
            return f"{self.cited}, {self.clause}"
        if self.how == "second-hand":
            return say("{source}, {clause}, second-hand", source=self.cited, clause=self.clause)
        if self.how == "computed":
            return f"computed: {self.note}"
        return say("memory, not read") if self.how == "memory" else say("common practice, no source")


class Row(_Stated):
    """One figure. ``float(row)`` is its value."""

    table: str
    value: float
    low: float | None
    high: float | None
    unit: str
    label: str
    at: dict[str, float]
    material: str = ""
    fill: str = ""

    @model_validator(mode="after")
    def _inside(self) -> Self:
        if (
            not (-math.inf if self.low is None else self.low)
            <= self.value
            <= (math.inf if self.high is None else self.high)
        ):
            raise ValueError(f"value {self.value:g} is outside low..high, {self.low}..{self.high}")
        return self

    def __float__(self) -> float:
        return self.value

    def __hash__(self) -> int:
        return hash((self.table, self.key))


class Text(_Stated):
    """One sentence that is shown to people, in their language."""

    text_: str = Field(alias="text")
    short_: str = Field(alias="short")
    when: When | None

    @property
    def text(self) -> str:
        """The sentence."""
        return say(self.text_)

    @property
    def short(self) -> str:
        """The same on one line."""
        return say(self.short_)


class Code(_Stated):
    """One code of a public list, and what it warns of."""

    listed: str
    """The list that it stands in."""
    means: str
    danger: tuple[Danger, ...]
    light: bool
    counts: tuple[Count, ...]

    def __hash__(self) -> int:
        return hash((self.listed, self.key))


@dataclass(frozen=True, eq=False)
class Table:
    """The rows of one quantity. Taking a row out, by key, line or grid, counts as using it; ``rows`` does not."""

    name: str
    quantity: str
    unit: str | None
    implemented: bool
    file: str
    rows: tuple[Row, ...]
    by_key: dict[str, Row] = field(repr=False)

    def __contains__(self, key: object) -> bool:
        return key in self.by_key

    def keys(self) -> tuple[str, ...]:
        return tuple(self.by_key)

    def __getitem__(self, key: str) -> Row:
        self._open()
        if key not in self.by_key:
            raise TableError(f"{self.name}: there is no {key!r}; use one of {', '.join(self.by_key)}")
        return used(self.by_key[key])[0]

    def line(self, axis: str, prefix: str = "") -> tuple[tuple[float, ...], list[Row]]:
        """Return the places along one axis, rising, and a row for each; ``prefix`` picks rows by their keys."""
        cells = self._cells((axis,), prefix)
        places = tuple(sorted(p for (p,) in cells))
        return places, [cells[(p,)] for p in places]

    def grid(
        self, axis0: str, axis1: str, prefix: str = ""
    ) -> tuple[tuple[float, ...], tuple[float, ...], list[list[Row]]]:
        """Return the places along two axes, rising, and the rows at their crossings, none missing."""
        cells = self._cells((axis0, axis1), prefix)
        first, second = (tuple(sorted({at[i] for at in cells})) for i in (0, 1))
        if missing := [(a, b) for a in first for b in second if (a, b) not in cells]:
            raise TableError(f"{self.name}: no row at {axis0}, {axis1} = {', '.join(map(str, missing))}")
        return first, second, [[cells[(a, b)] for b in second] for a in first]

    def _cells(self, axes: tuple[str, ...], prefix: str) -> dict[tuple[float, ...], Row]:
        self._open()
        cells = _placed(self, axes, prefix)
        used(*cells.values())
        return cells

    def _open(self) -> None:
        if not self.implemented:
            raise NotModelledError(
                f"{self.name} ({self.quantity}) is in the register of sources only; nothing here computes with it"
            )


@functools.lru_cache(maxsize=256)
def _placed(table: Table, axes: tuple[str, ...], prefix: str) -> dict[tuple[float, ...], Row]:
    """The rows whose key starts with a prefix, by their place along some axes."""
    cells: dict[tuple[float, ...], Row] = {}
    for r in (r for r in table.rows if r.key.startswith(prefix)):
        if set(r.at) != set(axes):
            raise TableError(f"{table.name}: {r.key} is at {r.at}, not at one place of {', '.join(axes)}")
        place = tuple(r.at[a] for a in axes)
        if place in cells:
            raise TableError(f"{table.name}: {cells[place].key} and {r.key} are at the same place, {r.at}")
        cells[place] = r
    if not cells:
        raise TableError(f"{table.name}: there is no row whose key starts with {prefix!r}")
    return cells


class _File(NamedTuple):
    name: str
    cited: set[str]
    tables: tuple[Table, ...]
    texts: tuple[Text, ...]
    defaults: tuple[Default, ...]
    worse: tuple[Worse, ...]
    terms: tuple[Term, ...]
    suffixes: tuple[Suffix, ...]
    codes: tuple[Code, ...]


@dataclass(frozen=True)
class Register:
    """Everything that is declared, implemented or not, file by file."""

    tables: tuple[Table, ...]
    sources: tuple[tuple[str, Source], ...]
    """Each with each file that names it."""
    texts: tuple[Text, ...]
    defaults: tuple[Default, ...]
    worse: tuple[Worse, ...]
    terms: tuple[Term, ...]
    suffixes: tuple[Suffix, ...]
    codes: tuple[Code, ...]

    @property
    def rows(self) -> tuple[Row, ...]:
        return tuple(r for t in self.tables for r in t.rows)


def _place(data: Any, loc: tuple[int | str, ...]) -> str:
    """Name a place in a file by its table and row, as far as they have names."""
    words = []
    for step in loc:
        try:
            data = data[step]
        except (KeyError, IndexError, TypeError):
            data = None
        name = (
            next((data[k] for k in ("name", "key", "id") if k in data), None)
            if isinstance(data, dict)
            else None
        )
        words.append(f"{step}" if isinstance(step, str) else f"{name or step + 1}")
    return " ".join(words)


def _model(model: type[M], name: str, data: dict[str, Any]) -> M:
    try:
        return model.model_validate(data)
    except ValidationError as e:
        raise TableError(
            "\n".join(f"{name}: {_place(data, f['loc'])}: {f['msg']}" for f in e.errors())
        ) from None


class _Checker:
    """Check one file and let its rows inherit; ``faults`` collects what is wrong with it."""

    def __init__(self, name: str, data: dict[str, Any], sources: dict[str, Source]) -> None:
        self.name = name
        self.faults: list[str] = []
        self.cited: set[str] = set()
        self.read = _model(FileIn, name, data)
        self.sources = sources

    def file(self) -> _File:
        """Return the file, or raise every fault in it at once."""
        self.once("table", [t.name for t in self.read.tables])
        self.once("text", [t.key for t in self.read.texts])
        self.once("term", [t.term for t in self.read.terms])
        self.once("default", [t.key for t in self.read.defaults])
        self.once("list of codes", [c.name for c in self.read.codes])
        for listed in self.read.codes:
            self.once(f"codes {listed.name}: code", [c.code for c in listed.rows])
        self.once("worse", [f"{t.of} {t.key}" for t in self.read.worse])
        tables = tuple(map(self.table, self.read.tables))
        texts = tuple(t for t in map(self.text, self.read.texts) if t is not None)
        codes = tuple(c for c in (self.code(a, b) for a in self.read.codes for b in a.rows) if c is not None)
        if self.faults:
            raise TableError("\n".join(f"{self.name}: {text}" for text in self.faults))
        return _File(
            self.name,
            self.cited,
            tables,
            texts,
            tuple(self.read.defaults),
            tuple(self.read.worse),
            tuple(self.read.terms),
            tuple(self.read.suffixes),
            codes,
        )

    def once(self, what: str, names: list[str]) -> None:
        self.faults += [
            f"{what} {n!r} is there {count} times" for n, count in Counter(names).items() if count > 1
        ]

    def table(self, t: TableIn) -> Table:
        self.once(f"table {t.name}: key", [r.key for r in t.rows])
        rows = tuple(r for r in (self.row(t, r) for r in t.rows) if r is not None)
        by_key = {r.key: r for r in rows}
        return Table(t.name, t.quantity, t.unit, t.implemented, self.name, rows, by_key)

    def row(self, t: TableIn, r: RowIn) -> Row | None:
        place = f"table {t.name}, row {r.key}"
        if (t.unit is None) == (r.unit is None):
            self.faults.append(
                f"{place}: the unit is missing" if t.unit is None else f"{place}: the table has the unit"
            )
            return None
        stands = self.stand(place, r, t)
        figures: dict[str, Any] = {
            "value": r.value,
            "low": r.low,
            "high": r.high,
            "unit": r.unit or t.unit,
            "label": r.label,
            "at": r.at,
            "material": r.material,
            "fill": r.fill,
        }
        try:
            return Row(key=r.key, note=r.note, table=t.name, **figures, **stands)
        except ValidationError as e:
            self.blame(place, e)
        return None

    def code(self, listed: CodesIn, c: CodeIn) -> Code | None:
        place = f"codes {listed.name}, {c.code}"
        try:
            return Code(key=c.code, note=c.note, listed=listed.name, means=c.means, danger=tuple(c.danger), light=c.light,
                        counts=tuple(c.counts), **self.stand(place, c, listed))  # fmt: skip
        except ValidationError as e:
            self.blame(place, e)
        return None

    def text(self, t: TextIn) -> Text | None:
        place = f"text {t.key}"
        try:
            return Text(
                key=t.key,
                note=t.note,
                text=t.text,
                short=t.short,
                when=t.when,
                **self.stand(place, t, Provenance()),
            )
        except ValidationError as e:
            self.blame(place, e)
        return None

    def blame(self, place: str, error: ValidationError) -> None:
        self.faults += [f"{place}: {'.'.join(map(str, (*e['loc'], '')))} {e['msg']}" for e in error.errors()]

    def stand(self, place: str, own: Provenance, default: Provenance) -> dict[str, Any]:
        """Return where a statement comes from: what it says itself, else what it inherits."""
        how = own.how or default.how
        if how in ("memory", "common practice"):
            if own.source:
                self.faults.append(f"{place}: {how!r} may not borrow a source")
            return {"source": None, "clause": own.clause, "how": how, "cited": ""}
        source = own.source or default.source
        # a clause belongs to its source, so a row with another source does not inherit it
        clause = own.clause or (default.clause if source == default.source else None)
        if source is not None:
            self.cited.add(source)
            if source not in self.sources:
                self.faults.append(f"{place}: the source {source!r} is not declared in {SOURCES}")
            elif how in ("read", "second-hand") and (how != "read") != self.sources[source].second_hand:
                self.faults.append(f"{place}: {how!r} of {source!r}, whose second_hand says otherwise")
        cited = self.sources[source].cite() if source in self.sources else ""
        return {"source": source, "clause": clause, "how": how, "cited": cited}


def _text_of(path: Path) -> str:
    try:
        return path.read_text(encoding="utf-8")
    except UnicodeDecodeError as e:
        raise TableError(f"{path.name}: this is no TOML file: {e}") from None


def _load(file: str, text: str) -> dict[str, Any]:
    try:
        return load_toml(text)
    except ValueError as e:
        raise TableError(f"{file}: this is no TOML file: {e}") from None


class Library:
    """The tables of one folder. A file is checked in full when something in it is first asked for.

    shipped: it is parsed then too, and what is in it is found by its headings, as all of ours are written (a test holds that):
    a check needs half of the files, and to parse the others takes longer than the check.
    """

    def __init__(self, folder: Path, *, shipped: bool = False) -> None:
        self.folder = folder
        self._texts_of = {p.name: _text_of(p) for p in sorted(folder.glob("*.toml")) if p.name != MARKER}
        self._sources_of = self._texts_of.pop(SOURCES, 'title = "Sources"')
        self._raw: dict[str, dict[str, Any]] = {}
        for name in () if shipped else self._texts_of:
            self._parsed(name)
        self._checked: dict[str, _File] = {}
        self._tables = self._homes("tables", "name")
        self._texts = self._homes("texts", "key")
        self._codes = self._homes("codes", "name")

    def _homes(self, kind: str, name: str) -> dict[str, str]:
        """Return the file of each table or text; faults of shape are left for the check of that file."""
        homes: dict[str, str] = {}
        for file in self._texts_of:
            for n in dict.fromkeys(self.named(file, kind, name)):
                if n in homes:
                    raise TableError(f"{file}: {kind} {n!r} is also in {homes[n]}; a name is given once")
                homes[n] = file
        return homes

    def _parsed(self, file: str) -> dict[str, Any]:
        if file not in self._raw:
            self._raw[file] = _load(file, self._texts_of[file])
        return self._raw[file]

    def named(self, file: str, kind: str, name: str) -> list[str]:
        """The names of what stands in a file, in its order; of one that is not parsed yet by its headings."""
        if file not in self._raw:
            heading = rf'^\[\[{kind}\]\]\n(?:[^\[\n][^\n]*\n)*?{name} = "([^"\\]+)"$'
            return re.findall(heading, self._texts_of[file], flags=re.MULTILINE)
        entries = self._raw[file].get(kind, [])
        entries = entries if isinstance(entries, list) else []
        return [e[name] for e in entries if isinstance(e, dict) and isinstance(e.get(name), str)]

    @functools.cached_property
    def sources(self) -> dict[str, Source]:
        """Every source by its id."""
        found = _model(SourcesIn, SOURCES, _load(SOURCES, self._sources_of)).sources
        if twice := [s for s, count in Counter(s.id for s in found).items() if count > 1]:
            raise TableError(f"{SOURCES}: there more than once: {', '.join(twice)}")
        return {s.id: s for s in found}

    def _file(self, name: str) -> _File:
        if name not in self._checked:
            self._checked[name] = _Checker(name, self._parsed(name), self.sources).file()
        return self._checked[name]

    def table(self, name: str) -> Table:
        if name not in self._tables:
            raise TableError(f"there is no table {name!r}; use one of {', '.join(sorted(self._tables))}")
        return next(t for t in self._file(self._tables[name]).tables if t.name == name)

    def codes(self, name: str) -> dict[str, Code]:
        if name not in self._codes:
            raise TableError(
                f"there is no list of codes {name!r}; use one of {', '.join(sorted(self._codes))}"
            )
        return {c.key: c for c in self._file(self._codes[name]).codes if c.listed == name}

    def text(self, key: str) -> Text:
        if key not in self._texts:
            raise TableError(f"there is no text {key!r}; use one of {', '.join(sorted(self._texts))}")
        return next(t for t in self._file(self._texts[key]).texts if t.key == key)

    def texts(self, prefix: str) -> list[Text]:
        """Return the texts whose key starts with ``prefix``, in the order of their files."""
        return [self.text(key) for key in self._texts if key.startswith(prefix)]

    def worse(self) -> tuple[Worse, ...]:
        """The directions alone, without the files that hold none."""
        files = (self._file(n) for n, text in self._texts_of.items() if "\nworse = [\n" in text)
        return tuple(w for f in files for w in f.worse)

    def register(self) -> Register:
        """Check every file and return all that is declared; every fault of every file is raised at once."""
        faults, files = [], []
        for name in self._texts_of:
            try:
                files.append(self._file(name))
            except TableError as e:
                faults.append(str(e))
        cited = set[str]().union(*(f.cited for f in files))
        faults += [
            f"{SOURCES}: {s} is named by nothing" for s in self.sources if not faults and s not in cited
        ]
        if faults:
            raise TableError("\n".join(faults))
        return Register(
            tuple(t for f in files for t in f.tables),
            tuple((f.name, s) for f in files for s in self.sources.values() if s.id in f.cited),
            tuple(t for f in files for t in f.texts),
            tuple(t for f in files for t in f.defaults),
            tuple(t for f in files for t in f.worse),
            tuple(t for f in files for t in f.terms),
            tuple(t for f in files for t in f.suffixes),
            tuple(c for f in files for c in f.codes),
        )


def tables_dir(package: Path = Path(__file__).parents[1]) -> Path:
    """Return the folder of the tables: within an installed package, or beside the package in its repository."""
    places = (package / "_tables", package.parent / "tables")
    for place in places:
        if (place / MARKER).is_file():
            return place
    raise TableError(f"the tables are missing: there is no {MARKER} in {places[0]} or {places[1]}")


@functools.lru_cache(maxsize=1)
def library() -> Library:
    """Return the tables that the program ships with."""
    return Library(tables_dir(), shipped=True)


@functools.lru_cache(maxsize=1024)
def _table(name: str) -> Table:
    return library().table(name)


def table(name: str) -> Table:
    """Return one table, with the figure that :func:`instead` has put into it, if any."""
    other, asked = _INSTEAD.get(), _ASKED.get()
    if asked is not None:
        asked.add(name)
    return _table(name) if other is None or other.table != name else _changed(other)


@functools.lru_cache(maxsize=4)
def _changed(other: Row) -> Table:
    kept = _table(other.table)
    rows = tuple(other if r.key == other.key else r for r in kept.rows)
    return replace(kept, rows=rows, by_key={r.key: r for r in rows})


def varied() -> bool:
    """Whether a figure stands instead of the published one: nothing that was kept from before may be used then."""
    return _INSTEAD.get() is not None


@contextlib.contextmanager
def instead(r: Row, value: float) -> Iterator[None]:
    """One figure at another value, to ask what hangs on it."""
    token = _INSTEAD.set(r.model_copy(update={"value": value}))
    try:
        yield
    finally:
        _INSTEAD.reset(token)


@contextlib.contextmanager
def trying() -> Iterator[None]:
    """Parts of a result that are made in here by :func:`again` are made once, as long as no figure in them stands otherwise.

    For one question about one deployment, which asks for it many times over: nothing outlives it.
    """
    tokens = _TRIED.set({}), _ASKED.set(None)
    try:
        yield
    finally:
        _TRIED.reset(tokens[0])
        _ASKED.reset(tokens[1])


def again(key: Hashable, make: Callable[[], T]) -> T:
    """What was made under this key before, with the rows that it reported; made anew where nothing is kept, or where a figure
    of any table that it asked for stands otherwise now. key: all that it is made from, and a name for the part.
    """
    tried = _TRIED.get()
    if tried is None:
        return make()
    before, other = tried.get(key), _INSTEAD.get()
    outer, asked = _ASKED.get(), set[str]()
    if before is not None and (other is None or other.table not in before[2]):
        found, rows, asked = before
        used(*rows)
    else:
        token = _ASKED.set(asked)
        try:
            with collect() as seen:
                found = make()
        finally:
            _ASKED.reset(token)
        rows = tuple(dict.fromkeys(seen))
        asked.update(r.table for r in rows)
        if other is None:
            tried[key] = found, rows, asked
    if outer is not None:
        outer |= asked
    out: T = found
    return out


def row(table_name: str, key: str) -> Row:
    """Look up one row; this counts as using it."""
    return table(table_name)[key]


@functools.lru_cache(maxsize=64)
def codes(name: str) -> dict[str, Code]:
    """Return a whole public list of codes by code."""
    return library().codes(name)


def text(key: str) -> Text:
    """Return one sentence that is shown to people."""
    return library().text(key)


def words_of(key: str) -> str:
    """One sentence in the language of whoever reads."""
    return text(key).text


def cited(key: str) -> str:
    """The practice that a sentence comes from."""
    return text(key).cite()


def short_of(key: str) -> str:
    """The same on one line."""
    return text(key).short


def texts(prefix: str) -> list[Text]:
    """Return the sentences whose key starts with ``prefix``."""
    return library().texts(prefix)


def register() -> Register:
    """Return all tables, rows, sources and texts, those that nothing uses among them."""
    return library().register()


@functools.cache
def directions() -> dict[str, Worse]:
    """Which way each key of the file is worse."""
    return {w.key: w for w in library().worse() if w.of == "file"}


def load_all() -> None:
    """Check every file, or raise all that is wrong."""
    library().register()


def weakest(hows: Iterable[How]) -> How:
    """Return the weakest of some provenances, by STRENGTH."""
    given = list(hows)
    if not given:
        raise TableError("the provenance of a result that used no row cannot be told")
    return max(given, key=STRENGTH.index)


_LISTS: ContextVar[tuple[list[Row], ...]] = ContextVar("anchorage_rows", default=())
_INSTEAD: ContextVar[Row | None] = ContextVar("anchorage_instead", default=None)
_TRIED: ContextVar[dict[Hashable, tuple[Any, tuple[Row, ...], set[str]]] | None] = ContextVar("anchorage_tried", default=None)  # fmt: skip
_ASKED: ContextVar[set[str] | None] = ContextVar("anchorage_asked", default=None)
"""Names of the tables that are asked for by what :func:`again` makes."""


@contextlib.contextmanager
def collect() -> Iterator[list[Row]]:
    """List the rows that are used in this context; an outer list gets those of an inner one too."""
    rows: list[Row] = []
    token = _LISTS.set((*_LISTS.get(), rows))
    try:
        yield rows
    finally:
        _LISTS.reset(token)


def used(*rows: Row) -> tuple[Row, ...]:
    """Report rows as used: for figures that are kept from an earlier look-up."""
    for rows_used in _LISTS.get():
        rows_used.extend(rows)
    return rows
