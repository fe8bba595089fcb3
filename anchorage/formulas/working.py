"""A formula is a numpy function, written one time; value, arrays and derivation all come of it.

``@formula`` calls the function once, when it is decorated, with stand-ins that record the arithmetic. The record
is printed with symbols and with numbers, so what is shown cannot drift from what is computed. While :func:`record`
is on, each call adds a step to a :class:`Tape` that belongs to that context alone.

Values are Python floats, or arrays of shape (..., case, item); one axis alone is (item,). A sum over the items
is best written with ``keepdims=True``: without it what follows takes the cases for items.
"""

from __future__ import annotations

import contextlib
import functools
import inspect
import math
import re
from contextvars import ContextVar
from dataclasses import dataclass, field
from enum import Enum
from typing import TYPE_CHECKING, Any, ParamSpec, Protocol, TypeVar

import numpy as np

from anchorage.core.errors import OutOfRangeError
from anchorage.formulas.expression import Case, Node, Writer, length, nodes, number, pick

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator, Mapping, Sequence
    from contextlib import AbstractContextManager

P = ParamSpec("P")
R = TypeVar("R")
Limits = tuple[float | None, float | None]
ARRAY = (np.ndarray, np.generic)
_least: Any = np.minimum.reduce
_most: Any = np.maximum.reduce
REAL = (float, int)  # a constant: building ``float | int`` at each call would take longer than the formula


@dataclass(frozen=True, eq=False)
class Formula:
    """One relation of physics or of a code. Calling it masks its arguments and, while a tape is on, adds a step."""

    fn: Callable[..., Any]  # the plain function, without mask or tape
    name: str
    symbol: str
    unit: str
    arguments: Mapping[str, tuple[str, str]]  # name -> (symbol, unit)
    source: str
    clause: str
    valid: Mapping[str, Limits]
    tree: Node
    doc: str
    names: tuple[str, ...] = field(repr=False)
    spans: tuple[tuple[float, float], ...] = field(repr=False)
    sums: bool = field(repr=False)

    def __post_init__(self) -> None:
        object.__setattr__(self, "__doc__", _documented(self))

    def __call__(self, *args: Any, **named: Any) -> Any:
        given = args
        if named or len(args) != len(self.names):
            given = (*args, *[named[n] for n in self.names[len(args) :] if n in named])
            if not len(given) == len(args) + len(named) == len(self.names):
                return self.fn(*args, **named)  # Python's own message about the arguments
        return self.of(given)

    def of(self, given: tuple[Any, ...]) -> Any:
        """Its value for arguments in their order, masked; a step on the tape that is on."""
        self.mask(given)
        result = self.fn(*given)
        state = _STATE.get()
        if state is not None and not isinstance(result, Node):
            # a sum over the items of an array with cases: show it with the axis that it lost, cases on axis -2
            shown = (
                result[..., None] if self.sums and 0 < np.ndim(result) < max(map(np.ndim, given)) else result
            )
            state[0].steps.append(FormulaStep(self.symbol, shown, self.unit, state[1], self, given))
        return result

    def mask(self, given: tuple[Any, ...]) -> None:
        """Refuse the first argument with a value that is NaN or outside its closed range."""
        for name, value, (low, high) in zip(self.names, given, self.spans, strict=True):
            if isinstance(value, REAL):
                if low <= value <= high:
                    continue
            elif isinstance(value, ARRAY):
                # NaN where there is one
                if _least(value, None, None, None, False, math.inf) >= low and (
                    high == math.inf or _most(value, None, None, None, False, -math.inf) <= high
                ):
                    continue
            elif hasattr(value, "__array_ufunc__"):  # a stand-in, or a quantity of the dimension check
                continue
            else:
                raise TypeError(f"{self.name}: {name} is a number or an array, not {value!r}")
            a = np.asarray(value)
            found = float(a[~((a >= low) & (a <= high))].flat[0])
            limits = self.valid.get(name, (low, high))
            raise OutOfRangeError(self.name, name, found, *limits, self.arguments[name][1])

    @property
    def citation(self) -> str:
        return ", ".join(filter(None, (self.source, self.clause)))


def _documented(f: Formula) -> str:
    """What ``help`` shows of a formula, in the form of numpydoc: its words, and what it was registered with."""
    words, *examples = re.split(r"\n+(?=>>> )", inspect.getdoc(f.fn) or "", maxsplit=1)

    def range_of(name: str) -> str:
        low, high = f.valid.get(name, (None, None))
        parts = ["" if low is None else f"from {low:g}", "" if high is None else f"to {high:g}"]
        return "".join(f", {part}" for part in [" ".join(p for p in parts if p)] if part)

    def section(title: str, *lines: str) -> list[str]:
        return ["", title, "-" * len(title), *lines]

    lines = [words.strip()]
    lines += section("Parameters")
    for name, (symbol, unit) in f.arguments.items():
        lines += [f"{name} : float or array", f"    {symbol} ({unit}){range_of(name)}"]
    lines += section(
        "Returns", "float or array", f"    {f.symbol} ({f.unit}); shapes broadcast, (..., case, item)"
    )
    lines += section(
        "Raises", "OutOfRangeError", "    an argument that is not a number, or outside of its range"
    )
    lines += section("References", f.citation)
    lines += section("Examples", *examples) if examples else []
    return "\n".join(lines)


REGISTRY: dict[str, Formula] = {}


def formula(
    *,
    symbol: str,
    unit: str,
    source: str,
    clause: str = "",
    valid: Mapping[str, Limits] | None = None,
    **symbols: str,
) -> Callable[[Callable[P, R]], Callable[P, R]]:
    """Register a plain function as a formula; one ``"SYMBOL [unit]"`` an argument, in the order of the signature."""
    valid = dict(valid or {})

    def wrap(fn: Callable[P, R]) -> Callable[P, R]:
        name = fn.__name__
        parameters = inspect.signature(fn).parameters.values()
        names = tuple(p.name for p in parameters)
        if names != tuple(symbols):
            raise TypeError(f"{name}: give a symbol for each of {', '.join(names)}, in that order")
        if any(p.default is not p.empty or p.kind in (p.VAR_POSITIONAL, p.VAR_KEYWORD) for p in parameters):
            raise TypeError(
                f"{name}: a formula has no defaults and no *arguments: each value is given or looked up"
            )
        if not (doc := inspect.getdoc(fn) or "").strip():
            raise TypeError(f"{name}: a formula has a docstring")
        if not (symbol and unit and source):
            raise TypeError(f"{name}: a formula has a symbol, a unit and a source")
        read = {n: re.fullmatch(r"(\S.*?) \[([^\[\]]+)\]", text) for n, text in symbols.items()}
        arguments = {n: (m[1], m[2]) for n, m in read.items() if m}
        if len(arguments) != len(names) or len({s for s, _ in arguments.values()}) != len(names):
            raise TypeError(f"{name}: write each argument as 'SYMBOL [unit]', no symbol twice: {symbols}")
        spans = {
            n: (-math.inf if a is None else a, math.inf if b is None else b) for n, (a, b) in valid.items()
        }
        if set(valid) - set(names) or any(v == (None, None) for v in valid.values()):
            raise TypeError(f"{name}: valid gives (low, high) of arguments, one of them at least")
        if not all(low <= high for low, high in spans.values()):
            raise TypeError(f"{name}: a range of valid is empty")
        if name in REGISTRY and (REGISTRY[name].fn.__module__ != fn.__module__):
            raise TypeError(f"{name}: there is a formula of this name in {REGISTRY[name].fn.__module__}")
        untyped: Callable[..., Any] = fn
        tree = untyped(**{n: Node(None, n) for n in names})
        if not isinstance(tree, Node):
            raise TypeError(
                f"{name}: a formula returns one value that depends on its arguments, not {tree!r}"
            )
        dropping = [n for n in nodes(tree) if n.op == "sum" and not n.options.get("keepdims")]
        if any(
            id(below) in map(id, dropping) for n in nodes(tree) if n.op == "sum" for below in nodes(n.args[0])
        ):
            raise TypeError(
                f"{name}: a sum of a sum would add up the cases: give the inner one keepdims=True"
            )
        made = REGISTRY[name] = Formula(
            fn=fn, name=name, symbol=symbol, unit=unit, arguments=arguments, source=source, clause=clause, valid=valid, tree=tree, doc=doc.splitlines()[0],
            names=names, spans=tuple(spans.get(n, (-math.inf, math.inf)) for n in names), sums=bool(dropping),
        )  # fmt: skip

        many, of = len(names), made.of

        @functools.wraps(fn)
        def call(*args: P.args, **named: P.kwargs) -> R:
            result: R = made(*args, **named) if named or len(args) != many else of(args)
            return result

        return call

    return wrap


class Topic(Enum):
    """Parts of a run that are asked for by themselves."""

    WIND = "wind"
    COEFFICIENTS = "coefficients"
    OPENINGS = "openings"
    HOLDING = "holding"
    MARGINS = "margins"
    SWAY = "sway"
    LINES = "lines, base as a whole"
    LINES_BY_FRAME = "lines, frame by frame"


@dataclass(frozen=True, eq=False)
class Title:
    """A title over some steps, with the labels of their last axis and of the axis before it."""

    text: str
    items: tuple[str, ...] | None = None
    cases: tuple[str, ...] | None = None
    of: Enum | None = None
    """What the steps are of, where they are looked for again."""
    at: str = ""
    """Which of several: a face."""

    def line(self, case: Case) -> str:
        if not self.cases:
            return self.text
        number = case[-1] if isinstance(case, tuple) else case
        return f"{self.text}: {self.cases[0 if len(self.cases) == 1 else number]}"


@dataclass(frozen=True, eq=False, slots=True)
class Step:
    """A value that was given, looked up, found or computed; arrays are kept by reference."""

    symbol: str
    value: Any
    unit: str
    titles: tuple[Title, ...]

    def lines(self, case: Case = 0, item: int | None = None, fmt: str = ".5g") -> list[str]:
        """Write the step for one case: a line an item, or only the ``item`` asked for."""
        count = length(self.value)
        middle, tail = self.middle(case, fmt), self.tail()
        unit = "" if self.unit == "1" else f" {self.unit}"

        def result(i: int) -> str:
            worked, value = self.worked(case, i, fmt), number(pick(self.value, case, i), fmt)
            return f"{worked} = {value}{unit}" if worked not in ("", value) else f"{value}{unit}"

        if count == 1:
            return [f"{self.symbol} = {middle}{result(0)}{tail}"]
        labels = next((h.items for h in self.titles[::-1] if h.items and len(h.items) == count), None)
        labels = labels or tuple(f"item {i + 1}" for i in range(count))
        if item is not None:
            return [f"{labels[item]}: {self.symbol} = {middle}{result(item)}{tail}"]
        first = f"{self.symbol} = {middle.removesuffix(' = ')}{tail}" if middle else f"{self.symbol}{tail}"
        return [first, *(f"  {labels[i]}: {self.symbol} = {result(i)}" for i in range(count))]

    def middle(self, case: Case, fmt: str) -> str:
        """Return what stands before the numbers: the symbols of a formula."""
        del case, fmt
        return ""

    def worked(self, case: Case, item: int, fmt: str) -> str:
        """Return the numbers that the value comes from."""
        del case, item, fmt
        return ""

    def tail(self) -> str:
        raise NotImplementedError


@dataclass(frozen=True, eq=False, slots=True)
class FormulaStep(Step):
    """A formula that was called, with what it was given."""

    formula: Formula
    given: tuple[Any, ...]

    def writer(self, case: Case, fmt: str, *, numbers: bool) -> Writer:
        symbols = {n: s for n, (s, _) in self.formula.arguments.items()}
        values = dict(zip(self.formula.names, self.given, strict=True)) if numbers else None
        return Writer(symbols, values, case, fmt)

    def middle(self, case: Case, fmt: str) -> str:
        return self.writer(case, fmt, numbers=False).text(self.formula.tree, 0) + " = "

    def worked(self, case: Case, item: int, fmt: str) -> str:
        return self.writer(case, fmt, numbers=True).text(self.formula.tree, item)

    def tail(self) -> str:
        return f"   [{self.formula.citation}]"


@dataclass(frozen=True, eq=False, slots=True)
class NotedStep(Step):
    """A user's input or a row of a table; ``note`` is what was typed, or what the row stands on."""

    note: str

    def tail(self) -> str:
        return f"   [{self.note}]" if self.note else ""


@dataclass(frozen=True, eq=False, slots=True)
class FoundStep(Step):
    """The outcome of an iteration, with the check that it is one."""

    check: str

    def tail(self) -> str:
        return f", check: {self.check}"

    def lines(self, case: Case = 0, item: int | None = None, fmt: str = ".5g") -> list[str]:
        first, *rest = Step.lines(self, case, item, fmt)
        return [f"found {first}", *rest]


@dataclass(eq=False)
class Tape:
    """The steps of one run, in their order."""

    steps: list[Step] = field(default_factory=list)

    def lines(self, case: Case = 0, item: int | None = None, fmt: str = ".5g") -> list[str]:
        """Write every step under its titles, each title once, each level two spaces further in."""
        out: list[str] = []
        above: tuple[Title, ...] = ()
        for step in self.steps:
            new = False
            for depth, h in enumerate(step.titles):
                new = new or depth >= len(above) or above[depth] is not h
                if new:
                    out.append("  " * depth + h.line(case))
            above = step.titles
            out.extend("  " * len(above) + line for line in step.lines(case, item, fmt))
        return out


_STATE: ContextVar[tuple[Tape, tuple[Title, ...]] | None] = ContextVar("anchorage_tape", default=None)
_NOTHING = contextlib.nullcontext()


@contextlib.contextmanager
def record() -> Iterator[Tape]:
    """Record the steps of this context on a tape of their own; a tape that was already on gets none of them."""
    tape = Tape()
    token = _STATE.set((tape, ()))
    try:
        yield tape
    finally:
        _STATE.reset(token)


@contextlib.contextmanager
def silent() -> Iterator[None]:
    """Record nothing in this context: what is run beside the figures that are shown."""
    token = _STATE.set(None)
    try:
        yield
    finally:
        _STATE.reset(token)


def recording() -> bool:
    """True while a tape is on in this context."""
    return _STATE.get() is not None


@contextlib.contextmanager
def quiet() -> Iterator[None]:
    """Record nothing inside: for what is tried before the one that counts is worked out."""
    token = _STATE.set(None)
    try:
        yield
    finally:
        _STATE.reset(token)


def title(
    text: str, items: Sequence[str] | None = None, cases: Sequence[str] | None = None, *, of: Enum | None = None, at: str = ""
) -> AbstractContextManager[None]:  # fmt: skip
    """Put the steps inside under a title; ``items`` label the last axis, ``cases`` the one before it.

    of, at: what they are of, for those who look for them.
    """
    state = _STATE.get()
    if state is None:
        return _NOTHING
    labels = [None if x is None else tuple(x) for x in (items, cases)]
    return _under(*state, Title(text, labels[0], labels[1], of, at))


@contextlib.contextmanager
def _under(tape: Tape, path: tuple[Title, ...], new: Title) -> Iterator[None]:
    token = _STATE.set((tape, (*path, new)))
    try:
        yield
    finally:
        _STATE.reset(token)


class RowLike(Protocol):
    """What a step needs of a row of a table."""

    @property
    def key(self) -> str: ...
    @property
    def value(self) -> float: ...
    @property
    def unit(self) -> str: ...
    def cite(self) -> str: ...


def given(symbol: str, value: Any, unit: str, note: str) -> None:
    """Record an input of the user; ``note`` is what was typed."""
    if (state := _STATE.get()) is not None:
        state[0].steps.append(NotedStep(symbol, value, unit, state[1], f"given: {note}" if note else "given"))


def looked_up(symbol: str, row: RowLike) -> None:
    """Record a row of a table."""
    if (state := _STATE.get()) is not None:
        state[0].steps.append(NotedStep(symbol, row.value, row.unit, state[1], f"{row.key}: {row.cite()}"))


def found(symbol: str, value: Any, unit: str, check: str) -> None:
    """Record what an iteration found, with its check, for example ``utilisation(V) = 1.000``."""
    if (state := _STATE.get()) is not None:
        state[0].steps.append(FoundStep(symbol, value, unit, state[1], check))
