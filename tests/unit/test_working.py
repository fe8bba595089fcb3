"""Formulas: what is refused when they are written, the mask, and how their working reads."""

import asyncio
import threading
import timeit
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

import numpy as np
import pytest

from anchorage.core.errors import OutOfRangeError
from anchorage.formulas import working
from anchorage.formulas.expression import evaluate, number, pick
from anchorage.formulas.working import REGISTRY, formula, found, given, looked_up, record, title


@pytest.fixture(autouse=True)
def own_registry(monkeypatch: pytest.MonkeyPatch) -> Iterator[None]:
    kept = dict(REGISTRY)
    REGISTRY.clear()
    yield
    REGISTRY.clear()
    REGISTRY.update(kept)


def make(fn: Any, **symbols: str) -> Any:
    """Decorate a function that has no docstring of its own; symbols default to the names."""
    fn.__doc__, fn.__name__ = "A test.", "f"
    names = fn.__code__.co_varnames[: fn.__code__.co_argcount]
    return formula(symbol="y", unit="m", source="S", **{n: symbols.get(n, f"{n} [m]") for n in names})(fn)


def pressure() -> Any:
    @formula(
        symbol="q", unit="Pa", source="Bernoulli", clause="physics", valid={"speed": (0.0, 150.0), "rho": (0.5, None)},
        rho="ρ [kg/m^3]", speed="V [m/s]",
    )  # fmt: skip
    def velocity_pressure(rho: Any, speed: Any) -> Any:
        """Give the pressure of a stopped stream.

        More.
        """
        return 0.5 * rho * speed**2

    return velocity_pressure


def line(fn: Any, *args: Any, **how: Any) -> str:
    with record() as tape:
        fn(*args)
    return tape.lines(**how)[0].removesuffix("   [S]")


def test_a_formula_is_registered() -> None:
    q = pressure()
    f = REGISTRY["velocity_pressure"]
    assert (f.name, f.symbol, f.unit, f.source, f.clause) == (
        "velocity_pressure",
        "q",
        "Pa",
        "Bernoulli",
        "physics",
    )
    assert f.arguments == {"rho": ("ρ", "kg/m^3"), "speed": ("V", "m/s")}
    assert f.valid == {"speed": (0.0, 150.0), "rho": (0.5, None)}
    assert f.doc == "Give the pressure of a stopped stream."
    assert f.fn is q.__wrapped__
    assert f(1.2, 2.0) == q(1.2, 2.0) == q(speed=2.0, rho=1.2) == q(1.2, speed=2.0) == 2.4
    assert evaluate(f.tree, {"rho": 1.2, "speed": 2.0}) == 2.4


def test_a_line_of_working() -> None:
    q = pressure()
    with record() as tape:
        q(1.225, 30.0)
        q(speed=30.0, rho=1.225)
    assert tape.lines() == ["q = 0.5·ρ·V^2 = 0.5·1.225·30^2 = 551.25 Pa   [Bernoulli, physics]"] * 2


BAD: dict[str, tuple[Any, str]] = {
    "if": (lambda a: 1.0 if a > 0 else a, "branch"),
    "and": (lambda a: a > 0 and a, "branch"),
    "chain": (lambda a: np.where(0 < a < 1, a, 0.0), "branch"),
    "float": (lambda a: float(a) + 1, "branch"),
    "array": (lambda a: np.asarray(a) * 2, "branch"),
    "sum of all": (lambda a: np.sum(a) + 1, "axis=-1"),
    "option": (lambda a: np.divide(a, 2.0, where=True), "options"),
    "method": (lambda a: np.add.reduce(a) * 2, "plain call"),
    "sum of a sum": (lambda a: np.sum(np.sum(a, axis=-1) * 2, axis=-1, keepdims=True), "add up the cases"),
    "list": (lambda a: np.where(a > 0, [1.0, 2.0], a), "plain numbers"),
    "no argument used": (lambda a: 3.0, "depends on its arguments"),
    "two values": (lambda a: (a, a), "one value"),
    "default": (lambda a=2.0: a * 2, "no defaults"),
}


@pytest.mark.parametrize("case", BAD)
def test_what_cannot_be_shown_is_refused_at_decoration(case: str) -> None:
    fn, message = BAD[case]
    with pytest.raises(TypeError, match=message):
        make(fn)


def test_a_formula_says_what_it_is() -> None:
    def f(a: float) -> float:
        return a * 2

    ok = {"symbol": "y", "unit": "m", "source": "S"}
    with pytest.raises(TypeError, match="docstring"):
        formula(**ok, a="a [m]")(f)
    f.__doc__ = "  "
    with pytest.raises(TypeError, match="docstring"):
        formula(**ok, a="a [m]")(f)
    f.__doc__ = "D."
    for more, message in (
        ({}, "a symbol for each"),
        ({"b": "b [m]"}, "a symbol for each"),
        ({"a": "a"}, "SYMBOL"),
        ({"a": "[m]"}, "SYMBOL"),
        ({"a": "a []"}, "SYMBOL"),
        ({"a": "a [m]", "valid": {"b": (0.0, 1.0)}}, "valid"),
        ({"a": "a [m]", "valid": {"a": (None, None)}}, "valid"),
        ({"a": "a [m]", "valid": {"a": (1.0, 0.0)}}, "empty"),
        ({"a": "a [m]", "source": ""}, "a source"),
    ):
        with pytest.raises(TypeError, match=message):
            formula(**{**ok, **more})(f)  # type: ignore[arg-type]
    assert not REGISTRY
    formula(**ok, a="a [m]")(f)
    f.__module__ = "elsewhere"
    formula(**ok, a="a [m]")(f)

    def other(a: float) -> float:
        """D."""
        return a * 3

    other.__name__ = "f"
    with pytest.raises(TypeError, match="formula of this name in elsewhere"):
        formula(**ok, a="a [m]")(other)


@pytest.mark.parametrize(
    "bad", [-0.1, 150.1, float("nan"), float("inf"), np.array([1.0, 200.0]), np.array([[1.0], [np.nan]]), 151]
)
def test_a_value_outside_its_range_is_refused_by_name(bad: Any) -> None:
    q = pressure()
    for call in (lambda: q(1.2, bad), lambda: q(speed=bad, rho=1.2)):
        with pytest.raises(OutOfRangeError) as caught:
            call()
        assert (caught.value.where, caught.value.argument) == ("velocity_pressure", "speed")
        assert (caught.value.low, caught.value.high, caught.value.unit) == (0.0, 150.0, "m/s")
        assert str(caught.value.value) in ("-0.1", "150.1", "nan", "inf", "200.0", "151.0")


def test_the_range_is_closed_and_one_sided_and_nan_is_refused_without_one() -> None:
    q = pressure()
    assert q(1.2, 0.0) == 0.0
    assert q(0.5, 150.0) == 5625.0
    assert np.array_equal(q(1.0, np.array([0.0, 150.0])), [0.0, 11250.0])
    assert q(float("inf"), 1.0) == float("inf")
    with pytest.raises(OutOfRangeError, match=r"at least 0\.5"):
        q(np.float64(0.4), 1.0)
    f = make(lambda a: a * 2)
    with pytest.raises(OutOfRangeError, match="nan"):
        f(float("nan"))
    assert f(float("inf")) == float("inf")
    for wrong in ("1", None, [1.0]):
        with pytest.raises(TypeError, match="a number or an array"):
            f(wrong)


def test_wrong_arguments_are_refused_as_python_does() -> None:
    q = pressure()
    for args, named in (
        ((1.2,), {}),
        ((1.2, 2.0, 3.0), {}),
        ((1.2,), {"rho": 1.0}),
        ((1.2, 2.0), {"rho": 1.0}),
        ((1.2,), {"v": 2.0}),
    ):
        with pytest.raises(TypeError):
            q(*args, **named)


READS: list[tuple[Any, str]] = [
    (lambda a, b, c: (a + b) * c, "(a + b)·c = (2 + (-3))·5 = -5 m"),
    (lambda a, b, c: b + a - (c - b), "b + a − (c − b) = -3 + 2 − (5 − (-3)) = -9 m"),
    (lambda a, b, c: a - b * c, "a − b·c = 2 − (-3)·5 = 17 m"),
    (lambda a, b, c: b**2 + c, "b^2 + c = (-3)^2 + 5 = 14 m"),
    (lambda a, b, c: -(b**2) + c, "−(b^2) + c = −((-3)^2) + 5 = -4 m"),
    (lambda a, b, c: -a * b, "−a·b = −2·(-3) = 6 m"),
    (lambda a, b, c: a * -b, "a·(−b) = 2·(−(-3)) = 6 m"),
    (lambda a, b, c: (a**2) ** c, "(a^2)^c = (2^2)^5 = 1024 m"),
    (lambda a, b, c: a ** -(b + 1), "a^(−(b + 1)) = 2^(−(-3 + 1)) = 4 m"),
    (lambda a, b, c: a / c * b, "(a / c)·b = (2 / 5)·(-3) = -1.2 m"),
    (lambda a, b, c: a / (c * b), "a / (c·b) = 2 / (5·(-3)) = -0.13333 m"),
    (lambda a, b, c: a * (c / b), "a·(c / b) = 2·(5 / (-3)) = -3.3333 m"),
    (lambda a, b, c: np.maximum(a - c, 0.0), "max(a − c, 0) = max(2 − 5, 0) = 0 m"),
    (lambda a, b, c: np.minimum(a, b), "min(a, b) = min(2, -3) = -3 m"),
    (lambda a, b, c: np.where(a > 1, b, c) * 2, "(b if a > 1, else c)·2 = (-3 if 2 > 1, else 5)·2 = -6 m"),
    (
        lambda a, b, c: np.where((a > 1) & (b >= 0), b, c),
        "(b if a > 1 and b ≥ 0, else c) = (-3 if 2 > 1 and -3 ≥ 0, else 5) = 5 m",
    ),
    (lambda a, b, c: np.tan(np.deg2rad(a + c)), "tan((a + c)°) = tan((2 + 5)°) = 0.12278 m"),
    (lambda a, b, c: np.sin(np.deg2rad(a)), "sin(a°) = sin(2°) = 0.034899 m"),
    (lambda a, b, c: np.sqrt(a * c), "√(a·c) = √(2·5) = 3.1623 m"),
    (lambda a, b, c: np.exp(b / c), "exp(b / c) = exp(-3 / 5) = 0.54881 m"),
    (lambda a, b, c: np.log(c), "ln(c) = ln(5) = 1.6094 m"),
    (lambda a, b, c: np.arctan2(a, c), "arctan2(a, c) = arctan2(2, 5) = 0.38051 m"),
    (lambda a, b, c: abs(b) + np.abs(b), "abs(b) + abs(b) = abs(-3) + abs(-3) = 6 m"),
    (lambda a, b, c: np.hypot(a + 1, b), "√((a + 1)^2 + b^2) = √((2 + 1)^2 + (-3)^2) = 4.2426 m"),
    (lambda a, b, c: np.square(b), "b^2 = (-3)^2 = 9 m"),
    (lambda a, b, c: np.pi * a / 4, "π·a / 4 = π·2 / 4 = 1.5708 m"),
    (lambda a, b, c: a * (2 / 3) * -0.5, "a·(2 / 3)·(-0.5) = 2·(2 / 3)·(-0.5) = -0.66667 m"),
    (lambda a, b, c: a * 287.0581 * 1e-12, "a·287.0581·1e-12 = 2·287.0581·1e-12 = 5.7412e-10 m"),
    (lambda a, b, c: a > b, "(a > b) = (2 > -3) = yes m"),
    (lambda a, b, c: np.float64(2) * a + np.float64(1), "2·a + 1 = 2·2 + 1 = 5 m"),
]


@pytest.mark.parametrize(("fn", "text"), READS)
def test_how_it_reads(fn: Any, text: str) -> None:
    assert line(make(fn), 2.0, -3.0, 5.0) == f"y = {text}"


def test_a_symbol_that_is_an_expression_is_held_together() -> None:
    f = make(lambda a, b: a**b, a="z/h [1]", b="C(3 s) [1]")
    assert line(f, 2.0, 3.0) == "y = (z/h)^C(3 s) = 2^3 = 8 m"
    with pytest.raises(TypeError, match="no symbol twice"):
        make(lambda a, b: a**b, a="z [1]", b="z [1]")


def test_numbers() -> None:
    assert [number(x) for x in (123456.0, 1e9, 1.23456789e-7, -0.5, True, np.False_, np.inf, 3)] == [
        "123460", "1e+09", "1.2346e-07", "-0.5", "yes", "no", "inf", "3",
    ]  # fmt: skip
    assert number(1 / 3, ".3g") == "0.333"


def test_a_sum_is_written_term_by_term_equal_terms_once() -> None:
    f = make(lambda a, b: 2 - np.sum(a * b, axis=-1))
    assert (
        line(f, 0.5, np.array([120.0, 120.0, -130.0]))
        == "y = 2 − Σ(a·b) = 2 − (2·(0.5·120) + (0.5·(-130))) = -53 m"
    )
    cases = np.array([[1.0, 2.0], [3.0, 3.0]])
    assert line(f, 0.5, cases, case=1) == "y = 2 − Σ(a·b) = 2 − (2·(0.5·3)) = -1 m"
    kept = make(lambda a, b: np.sum(a * b, axis=-1, keepdims=True))
    assert line(kept, 0.5, cases, case=0) == "y = Σ(a·b) = (0.5·1) + (0.5·2) = 1.5 m"
    assert "… 97 more …" in line(f, 0.5, np.arange(100.0))


def test_cases_and_items() -> None:
    q = pressure()
    rho = np.array([[1.0], [1.2]])
    with record() as tape, title("Posts", items=["L1", "L2"], cases=["front", "back"]):
        q(rho, np.array([[10.0, 20.0], [30.0, 40.0]]))
        q(1.0, np.array([10.0, 20.0]))
        q(rho, 10.0)
    several, alone, single = tape.steps
    assert several.lines(1) == [
        "q = 0.5·ρ·V^2   [Bernoulli, physics]",
        "  L1: q = 0.5·1.2·30^2 = 540 Pa",
        "  L2: q = 0.5·1.2·40^2 = 960 Pa",
    ]
    assert several.lines(0, 1) == ["L2: q = 0.5·ρ·V^2 = 0.5·1·20^2 = 200 Pa   [Bernoulli, physics]"]
    assert alone.lines(1, 0) == ["L1: q = 0.5·ρ·V^2 = 0.5·1·10^2 = 50 Pa   [Bernoulli, physics]"]
    assert single.lines(1, 1) == ["q = 0.5·ρ·V^2 = 0.5·1.2·10^2 = 60 Pa   [Bernoulli, physics]"]
    assert tape.lines(1)[0] == "Posts: back"
    with pytest.raises(IndexError):
        several.lines(2)


def test_more_axes_need_more_indices() -> None:
    a = np.arange(24).reshape(2, 3, 4)
    assert pick(a, (1, 2), 3) == 23
    with pytest.raises(IndexError, match="2 indices"):
        pick(a, 2, 3)
    assert pick(a[:1], 2, 3) == 11
    assert pick(5.0, (1, 2), 3) == 5.0
    assert pick(np.arange(3), (1, 2), 2) == 2


@dataclass
class Row:
    key: str = "cloth-asphalt-dry"
    value: float = 0.54
    unit: str = "1"

    def cite(self) -> str:
        return "Klipalo et al. 2022, abstract"


def test_titles_and_the_other_steps() -> None:
    q = pressure()
    with record() as tape:
        given("V", 20.1168, "m/s", "45 mph")
        with title("One"):
            looked_up("μ", Row())
            with title("Two", items=["a", "b"]):
                given("m", np.array([1.0, 2.0]), "kg", "")
                q(1.0, 2.0)
            found("V", 21.3, "m/s", "utilisation(V) = 1.000")
        with title("One"):
            found("V", np.array([1.0, 2.0]), "m/s", "both 1")
    assert tape.lines() == [
        "V = 20.117 m/s   [given: 45 mph]", "One", "  μ = 0.54   [cloth-asphalt-dry: Klipalo et al. 2022, abstract]", "  Two", "    m   [given]",
        "      a: m = 1 kg", "      b: m = 2 kg", "    q = 0.5·ρ·V^2 = 0.5·1·2^2 = 2 Pa   [Bernoulli, physics]",
        "  found V = 21.3 m/s, check: utilisation(V) = 1.000", "One", "  found V, check: both 1", "    item 1: V = 1 m/s", "    item 2: V = 2 m/s",
    ]  # fmt: skip


def test_without_a_tape_nothing_is_kept_and_nested_tapes_do_not_mix() -> None:
    q = pressure()
    given("V", 1.0, "m/s", "")
    looked_up("μ", Row())
    found("V", 1.0, "m/s", "")
    with title("nothing"), record() as outer:
        q(1.0, 1.0)
        with title("A"):
            with record() as inner:
                q(1.0, 2.0)
            q(1.0, 3.0)
    q(1.0, 4.0)
    assert [s.value for s in outer.steps] == [0.5, 4.5]
    assert [s.value for s in inner.steps] == [2.0]
    assert [len(s.titles) for s in (*outer.steps, *inner.steps)] == [0, 1, 0]


def test_threads_and_tasks_do_not_mix() -> None:
    q = pressure()
    tapes: dict[int, list[float]] = {}

    def work(k: int) -> None:
        with record() as tape:
            for _ in range(50):
                q(2.0, float(k))
        tapes[k] = [s.value for s in tape.steps]

    async def task(k: int) -> None:
        with record() as tape, title(str(k)):
            for _ in range(5):
                q(2.0, float(k))
                await asyncio.sleep(0)
        tapes[k] = [s.value for s in tape.steps]
        assert {s.titles[0].text for s in tape.steps} == {str(k)}

    async def tasks() -> None:
        await asyncio.gather(*(task(k) for k in range(4, 8)))

    threads = [threading.Thread(target=work, args=(k,)) for k in range(4)]
    with record() as outer:
        for t in threads:
            t.start()
        for t in threads:
            t.join()
        asyncio.run(tasks())
    assert not outer.steps
    assert all(set(values) == {k**2} for k, values in tapes.items())
    assert len(tapes) == 8


def test_the_tape_is_switched_off_by_an_error() -> None:
    q = pressure()

    def fail() -> None:
        with record(), title("H"):
            q(1.0, 1e9)

    with pytest.raises(OutOfRangeError):
        fail()
    assert working._STATE.get() is None


def test_a_formula_may_call_a_formula_and_takes_stand_ins() -> None:
    q = pressure()
    f = make(lambda a, b: q(a, b) * 2)
    assert line(f, 1.0, 3.0).startswith("q = 0.5")
    assert f(1.0, 3.0) == 9.0
    pint = pytest.importorskip("pint")
    u = pint.UnitRegistry()
    assert q(u.Quantity(1.0, "kg/m^3"), u.Quantity(2.0, "m/s")).m_as("Pa") == 2.0


def test_a_call_without_a_tape_is_cheap() -> None:
    """Some 1 µs on the machine it was written on; the bound is loose, to catch a mask that went through numpy."""
    q = pressure()
    best = min(timeit.repeat(lambda: q(1.2, 30.0), number=2000, repeat=5)) / 2000
    assert best < 10e-6
