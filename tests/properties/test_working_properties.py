"""What is printed is what was computed: random formulas, typed back from their working into exact arithmetic."""

import operator
import re
from collections.abc import Callable
from fractions import Fraction
from typing import Any

import numpy as np
from hypothesis import assume, example, given, settings
from hypothesis import strategies as st

from anchorage.formulas.expression import evaluate
from anchorage.formulas.working import REGISTRY, FormulaStep, formula, record

Tree = Any  # a name, a number, or (operation, tree, ...)
ARITHMETIC: dict[str, Callable[..., Any]] = {
    "+": operator.add,
    "-": operator.sub,
    "*": operator.mul,
    "/": operator.truediv,
    "neg": operator.neg,
    "abs": abs,
    "min": np.minimum,
    "max": np.maximum,
    "square": np.square,
    "np+": np.add,
    "np-": np.subtract,
    "np*": np.multiply,
    "np/": np.divide,
    "npneg": np.negative,
    "where": lambda a, b, c, d: np.where(a > b, c, d),
    "where or": lambda a, b, c, d: np.where((a >= b) | (c < d) & (a < d), c, d),
    "sum": lambda a: np.sum(a, axis=-1, keepdims=True),
}
TRANSCENDENTAL: dict[str, Callable[..., Any]] = {
    "sqrt": np.sqrt, "exp": np.exp, "log": np.log, "sin": np.sin, "cos": np.cos, "tan": np.tan, "arctan": np.arctan,
    "deg2rad": np.deg2rad, "arctan2": np.arctan2, "hypot": np.hypot,
}  # fmt: skip
ARITY = {
    "neg": 1, "npneg": 1, "abs": 1, "square": 1, "sum": 1, "where": 4, "where or": 4, "pow": 2, "arctan2": 2, "hypot": 2,
}  # fmt: skip
EXACT: dict[str, Callable[..., Any]] = ARITHMETIC | {
    "min": min,
    "max": max,
    "square": lambda a: a * a,
    "where": lambda a, b, c, d: c if a > b else d,
    "where or": lambda a, b, c, d: c if (a >= b) or ((c < d) and (a < d)) else d,
    "np+": operator.add,
    "np-": operator.sub,
    "np*": operator.mul,
    "np/": operator.truediv,
    "npneg": operator.neg,
}
figures = (st.integers(-40, 40) | st.integers(-2, 2)).map(lambda n: n / 8)  # exact as a float and in print
leaves = st.sampled_from("aabbcc") | figures


def trees(operations: list[str]) -> st.SearchStrategy[Tree]:
    def grow(inner: st.SearchStrategy[Tree]) -> st.SearchStrategy[Tree]:
        def make(op: str) -> st.SearchStrategy[Tree]:
            if op == "pow":
                return powers
            return st.tuples(st.just(op), *[inner] * ARITY.get(op, 1 if op in TRANSCENDENTAL else 2))

        # an operation on constants alone is done by Python before the recorder sees it
        def named(t: Any) -> Any:
            return t if names(t) else (t[0], "a", *t[2:])

        powers = st.tuples(st.just("pow"), inner, st.sampled_from([2, 3, -1, -2, 2.0]))
        return st.sampled_from([*operations, "pow"]).flatmap(make).map(named)

    return st.recursive(leaves, grow, max_leaves=12).filter(lambda t: isinstance(t, tuple) and bool(names(t)))


def names(t: Tree) -> set[str]:
    if isinstance(t, str):
        return {t}
    return set().union(*map(names, t[1:])) if isinstance(t, tuple) else set()


def compute(
    t: Tree, at: dict[str, Any], table: dict[str, Callable[..., Any]], number: Callable[[Any], Any]
) -> Any:
    if isinstance(t, str):
        return at[t]
    if not isinstance(t, tuple):
        return number(t)
    if t[0] == "pow":
        return compute(t[1], at, table, number) ** (t[2] if number is float else int(t[2]))
    return table[t[0]](*[compute(a, at, table, number) for a in t[1:]])


def exact(t: Tree, at: dict[str, list[float]], item: int) -> Fraction:
    """Compute one item in rational arithmetic; a sum takes every item of what is below it."""
    if isinstance(t, str):
        return Fraction(at[t][item % len(at[t])])
    if not isinstance(t, tuple):
        return Fraction(t)
    if t[0] == "sum":
        count = max((len(at[n]) for n in names(t) if not shielded(t[1], n)), default=1)
        return sum((exact(t[1], at, i) for i in range(count)), Fraction(0))
    if t[0] == "pow":
        return exact(t[1], at, item) ** int(t[2])
    return EXACT[t[0]](*[exact(a, at, item) for a in t[1:]])  # type: ignore[no-any-return]


def shielded(t: Tree, name: str) -> bool:
    """Tell whether a name stands only below a sum, where its items are gone already."""
    if isinstance(t, tuple):
        return t[0] == "sum" or all(shielded(a, name) for a in t[1:])
    return bool(t != name)


def build(t: Tree) -> Any:
    def fn(a: Any, b: Any, c: Any) -> Any:
        """Compute a random formula."""
        return compute(t, {"a": a, "b": b, "c": c}, ARITHMETIC | TRANSCENDENTAL, float)

    fn.__name__ = "random_formula"
    try:
        return formula(symbol="y", unit="1", source="S", a="α [1]", b="β [1]", c="γ [1]")(fn)
    finally:
        REGISTRY.pop("random_formula", None)


def typed_back(text: str) -> Fraction:
    """Read a line of working as a person with an exact calculator would."""
    for glyph, python in (
        ("·", "*"),
        (" − ", " - "),
        ("−", "-"),
        ("^", "**"),
        ("≥", ">="),
        ("≤", "<="),
        (", else", " else"),
    ):
        text = text.replace(glyph, python)
    text = re.sub(r"(?<![\w.])(\d+\.?\d*(?:e[+-]?\d+)?)", r"F('\1')", text)
    text = re.sub(r"\*\*F\('(\d+)'\)", r"**\1", text)
    text = re.sub(r"\*\*\(-F\('(\d+)'\)\)", r"**(-\1)", text)
    value = eval(text, {"__builtins__": {}}, {"F": Fraction, "min": min, "max": max, "abs": abs})  # noqa: S307
    assert isinstance(value, Fraction | int)
    return Fraction(value)


RATIONAL = [op for op in ARITHMETIC if op != "sum"]
arguments = st.fixed_dictionaries({n: st.lists(figures, min_size=1, max_size=1) for n in "abc"})
rows = st.fixed_dictionaries(
    {n: st.lists(figures, min_size=3, max_size=3) | st.lists(figures, min_size=1, max_size=1) for n in "abc"}
)
many = settings(settings.default)


def step_of(f: Any, at: dict[str, list[float]]) -> FormulaStep:
    given_ = [np.array(v) if len(v) > 1 else v[0] for v in (at["a"], at["b"], at["c"])]
    with record() as tape, np.errstate(all="ignore"):
        try:
            f(*given_)
        except (ZeroDivisionError, OverflowError):
            assume(False)
    (step,) = tape.steps
    assert isinstance(step, FormulaStep)
    return step


def check(t: Tree, at: dict[str, list[float]]) -> None:
    step = step_of(build(t), at)
    shape = np.shape(step.value)
    for item in range(shape[-1] if shape else 1):
        try:
            wanted = exact(t, at, item)
        except ZeroDivisionError:
            assume(False)
        numeric = step.worked(0, item, ".17g")
        assert typed_back(numeric) == wanted, numeric
        last = step.lines(0, item, ".17g")[0].removesuffix("   [S]").rpartition(" = ")[2]
        value = float(np.ravel(step.value)[item])
        assert float(last) == value or (np.isnan(value) and last == "nan")


@many
@given(trees(RATIONAL), arguments)
def test_the_numbers_typed_back_give_the_result(t: Tree, at: dict[str, list[float]]) -> None:
    check(t, at)


@many
@given(trees([*RATIONAL, "sum"]), rows)
@example(
    ("sum", ("sum", "a")), {"a": [0.0, 0.0, 0.125], "b": [0.0], "c": [0.0]}
)  # was printed as 3·(2·0 + 0.125)
def test_the_numbers_of_each_item_and_of_sums_typed_back_give_the_result(
    t: Tree, at: dict[str, list[float]]
) -> None:
    check(t, at)


@many
@given(
    trees([*RATIONAL, *TRANSCENDENTAL]),
    st.integers(0, 2**32 - 1),
    st.sampled_from([(), (4,), (3, 4), (2, 3, 1)]),
)
def test_the_tree_gives_the_very_bits_of_the_function(t: Tree, seed: int, shape: tuple[int, ...]) -> None:
    with np.errstate(all="ignore"):
        f = build(t)
        rng = np.random.default_rng(seed)
        values = {n: rng.normal(0, 3, shape) if shape else float(rng.normal(0, 3)) for n in "abc"}
        with record() as tape:
            try:
                value = f(**values)
            except (ZeroDivisionError, OverflowError):
                assume(False)
        (step,) = tape.steps
        assert isinstance(step, FormulaStep)
        again = evaluate(step.formula.tree, values)
    assert np.asarray(again).dtype == np.asarray(value).dtype
    assert np.asarray(again).tobytes() == np.asarray(value).tobytes()


@many
@given(trees(RATIONAL), rows, st.integers(0, 3))
def test_a_case_reads_as_if_it_had_been_computed_alone(
    t: Tree, at: dict[str, list[float]], case: int
) -> None:
    f = build(t)
    blocks = {n: np.array(v)[None, :] + (np.arange(4.0)[:, None] if n != "b" else 0.0) for n, v in at.items()}
    alone = {n: (v[case] if len(v) > 1 else v[0]) for n, v in blocks.items()}
    with np.errstate(all="ignore"), record() as tape:
        f(**blocks)
        f(**alone)
    together, single = tape.steps
    assert together.lines(case) == single.lines()
