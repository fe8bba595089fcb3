"""Record the arithmetic of a plain numpy function as a tree, do it again, and lay it out as one line to read."""

from __future__ import annotations

import math
import operator
import re
from collections import Counter
from fractions import Fraction
from typing import TYPE_CHECKING, Any, NoReturn

import numpy as np

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator, Mapping

Case = int | tuple[int, ...]

WHERE, OR, AND, COMPARE, ADD, MULTIPLY, NEGATIVE, POWER, ATOM = range(9)  # loosest to tightest
INFIX: dict[str, tuple[str, int]] = {
    "or": (" or ", OR),
    "and": (" and ", AND),
    "greater": (" > ", COMPARE),
    "less": (" < ", COMPARE),
    "greater_equal": (" ≥ ", COMPARE),
    "less_equal": (" ≤ ", COMPARE),
    "equal": (" == ", COMPARE),
    "not_equal": (" ≠ ", COMPARE),
    "add": (" + ", ADD),
    "subtract": (" − ", ADD),
    "multiply": ("·", MULTIPLY),
    "divide": (" / ", MULTIPLY),
    "power": ("^", POWER),
}
MOST_TERMS = 24  # of a sum; a longer one is cut short in print
NAMES = {"minimum": "min", "maximum": "max", "absolute": "abs", "sqrt": "√", "log": "ln", "sum": "Σ"}
# one name for what can be written as an operator and as a function of numpy
ALIASES = {
    "sub": "subtract", "mul": "multiply", "truediv": "divide", "pow": "power", "float_power": "power", "neg": "negative",
    "abs": "absolute", "gt": "greater", "lt": "less", "ge": "greater_equal", "le": "less_equal", "eq": "equal",
    "ne": "not_equal", "and_": "and", "or_": "or", "logical_and": "and", "logical_or": "or", "bitwise_and": "and",
    "bitwise_or": "or", "radians": "deg2rad",
}  # fmt: skip


def _binary(run: Callable[[Any, Any], Any]) -> Callable[[Node, Any], Node]:
    return lambda self, other: Node(run, self, other)


def _mirrored(run: Callable[[Any, Any], Any]) -> Callable[[Node, Any], Node]:
    return lambda self, other: Node(run, other, self)


class Node:
    """A stand-in for a value: what is done to it makes a tree. ``run`` is the very function that was called."""

    __slots__ = ("args", "op", "options", "run")
    __hash__ = object.__hash__

    def __init__(self, run: Callable[..., Any] | None, *args: Any, **options: Any) -> None:
        for a in args if run is not None else ():
            if not isinstance(a, Node | float | int | np.number | np.bool):
                raise TypeError(f"a formula works on its arguments and on plain numbers, not on {a!r}")
        self.run, self.args, self.options = run, args, options
        name = getattr(run, "__name__", "leaf")
        self.op = ALIASES.get(name, name)

    def __array_ufunc__(self, ufunc: np.ufunc, method: str, *args: Any, **options: Any) -> Node:
        if method != "__call__" or options:
            raise TypeError(f"np.{ufunc.__name__}: only the plain call can be shown, without options")
        return Node(ufunc, *args)

    def __array_function__(
        self, function: Callable[..., Any], types: object, args: tuple[Any, ...], options: dict[str, Any]
    ) -> Node:
        del types
        allowed = {"axis", "keepdims"} if function is np.sum else set()
        if set(options) - allowed or (function is np.sum and options.get("axis") != -1):
            raise TypeError(f"np.{function.__name__}: only plain arguments can be shown; a sum takes axis=-1")
        return Node(function, *args, **options)

    def _refuse(self, *_: object, **__: object) -> NoReturn:
        raise TypeError("a formula may not branch on a value: use np.where, np.minimum or np.maximum")

    __bool__ = __float__ = __int__ = __index__ = __len__ = __iter__ = __array__ = _refuse

    __add__, __radd__ = _binary(operator.add), _mirrored(operator.add)
    __sub__, __rsub__ = _binary(operator.sub), _mirrored(operator.sub)
    __mul__, __rmul__ = _binary(operator.mul), _mirrored(operator.mul)
    __truediv__, __rtruediv__ = _binary(operator.truediv), _mirrored(operator.truediv)
    __pow__, __rpow__ = _binary(operator.pow), _mirrored(operator.pow)
    __and__, __rand__ = _binary(operator.and_), _mirrored(operator.and_)
    __or__, __ror__ = _binary(operator.or_), _mirrored(operator.or_)
    __lt__, __le__ = _binary(operator.lt), _binary(operator.le)
    __gt__, __ge__ = _binary(operator.gt), _binary(operator.ge)
    __eq__ = _binary(operator.eq)  # type: ignore[assignment]
    __ne__ = _binary(operator.ne)  # type: ignore[assignment]

    def __neg__(self) -> Node:
        return Node(operator.neg, self)

    def __abs__(self) -> Node:
        return Node(operator.abs, self)


def evaluate(tree: Node, values: Mapping[str, Any]) -> Any:
    """Do the recorded arithmetic again, with the same functions in the same order."""
    done: dict[int, Any] = {}

    def value(e: Any) -> Any:
        if not isinstance(e, Node):
            return e
        if e.run is None:
            return values[e.args[0]]
        if id(e) not in done:
            done[id(e)] = e.run(*map(value, e.args), **e.options)
        return done[id(e)]

    return value(tree)


def nodes(tree: Any, *, into_sums: bool = True) -> Iterator[Node]:
    """Walk a tree; below a sum the items are those of the sum, so some want to stop there."""
    if isinstance(tree, Node):
        yield tree
        if into_sums or tree.op != "sum":
            for a in tree.args:
                yield from nodes(a, into_sums=into_sums)


def number(value: Any, fmt: str = ".5g") -> str:
    """Write a number, without an exponent where a reader can do without."""
    if isinstance(value, bool | np.bool):
        return "yes" if value else "no"
    text = format(float(value), fmt)
    return f"{float(text):.0f}" if "e+" in text and abs(value) < 1e9 else text


def _constant(value: Any) -> tuple[str, int]:
    """Write a number of the formula itself in full, with how tightly its text holds together."""
    if value == math.pi:
        return "π", ATOM
    v = float(value)
    short = format(v, ".12g")
    if float(short) != v and math.isfinite(v):
        ratio = Fraction(v).limit_denominator(99)  # 2 / 3 reads better than its 16 digits
        if float(ratio) == v:
            return f"({ratio.numerator} / {ratio.denominator})", ATOM
    text = short if float(short) == v else repr(v)
    return text, NEGATIVE if text.startswith("-") else ATOM


def pick(value: Any, case: Case = 0, item: int = 0) -> Any:
    """Return the one number of an array (..., case, item); an axis of length 1 holds for every index."""
    a = np.asarray(value)
    wanted = (*(case if isinstance(case, tuple) else (case,)), item)
    if any(n > 1 for n in a.shape[: -len(wanted)]):
        raise IndexError(
            f"a value of shape {a.shape} needs {a.ndim - 1} indices to tell its case, not {case!r}"
        )
    index = (0,) * a.ndim + wanted
    return a[tuple(0 if n == 1 else i for n, i in zip(a.shape, index[len(index) - a.ndim :], strict=True))]


def length(value: Any) -> int:
    shape = np.shape(value)
    return shape[-1] if shape else 1


class Writer:
    """Lay a tree out as one line, with the symbols of its arguments or with the numbers of one case."""

    def __init__(
        self, symbols: Mapping[str, str], values: Mapping[str, Any] | None, case: Case, fmt: str
    ) -> None:
        self.symbols, self.values, self.case, self.fmt = symbols, values, case, fmt

    def text(self, e: Any, item: int, outer: int = ADD, *, lead: bool = True) -> str:
        """Write ``e``; ``outer`` is how tightly its surroundings bind, ``lead`` that nothing stands before it."""
        text, rank = self.bare(e, item, lead=lead or self.rank(e) < outer)
        return f"({text})" if rank < outer or (rank == NEGATIVE and not lead) else text

    def rank(self, e: Any) -> int:
        if not isinstance(e, Node) or e.run is None:
            return ATOM
        if e.op == "sum" and self.values is not None:
            return ADD
        return {"where": WHERE, "negative": NEGATIVE, "square": POWER}.get(
            e.op, INFIX.get(e.op, ("", ATOM))[1]
        )

    def bare(self, e: Any, item: int, *, lead: bool) -> tuple[str, int]:
        if not isinstance(e, Node):
            return _constant(e)
        if e.run is None:
            text = self.leaf(e.args[0], item)
            if self.values is None:
                return text, ADD if set(re.sub(r"\([^()]*\)", "", text)) & set("+-−·/^* ") else ATOM
            return text, NEGATIVE if text.startswith("-") else ATOM
        a, rank = e.args, self.rank(e)
        if e.op == "sum" and self.values is not None:
            return self.total(a[0])
        if e.op == "where":
            if_true, test, if_not = (self.text(a[i], item, OR) for i in (1, 0, 2))
            return f"{if_true} if {test}, else {if_not}", rank
        if e.op == "negative":
            return f"−{self.text(a[0], item, ATOM, lead=False)}", rank
        if e.op == "square":
            return f"{self.text(a[0], item, ATOM, lead=False)}^2", rank
        if e.op == "deg2rad":
            return f"{self.text(a[0], item, ATOM, lead=False)}°", ATOM
        if e.op == "hypot":
            x, y = (self.text(b, item, ATOM, lead=False) for b in a)
            return f"√({x}^2 + {y}^2)", ATOM
        if e.op not in INFIX:
            return f"{NAMES.get(e.op, e.op)}({', '.join(self.text(b, item) for b in a)})", ATOM
        glyph, _ = INFIX[e.op]
        left, right = a
        loose = rank <= COMPARE  # words and signs of comparison set a minus off well enough
        tight = (
            e.op == "power" or rank == COMPARE or (rank == MULTIPLY and getattr(left, "op", "") == "divide")
        )
        associative = e.op in ("add", "multiply", "and", "or") and getattr(right, "op", "") != "divide"
        before = self.text(left, item, rank + tight, lead=lead or loose)
        return before + glyph + self.text(right, item, rank + (not associative), lead=loose), rank

    def leaf(self, name: str, item: int) -> str:
        return (
            self.symbols[name]
            if self.values is None
            else number(pick(self.values[name], self.case, item), self.fmt)
        )

    def total(self, e: Any) -> tuple[str, int]:
        """Write a sum over the items term by term, equal terms once: ``4·(0.5·120) + 2·(0.5·130)``."""
        exposed = {n.args[0] for n in nodes(e, into_sums=False) if n.run is None}
        count = max((length((self.values or {})[n]) for n in exposed), default=1)
        found = Counter(self.text(e, i, ATOM, lead=False) for i in range(count))
        terms = [f"{n}·{t}" if n > 1 else t for t, n in found.items()]
        if len(terms) > MOST_TERMS:
            terms[2:-1] = [f"… {len(terms) - 3} more …"]
        return " + ".join(terms), ADD
