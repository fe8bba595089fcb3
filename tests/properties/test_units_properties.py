"""Properties of reading and showing, over texts and values at large."""

import math
import time
from fractions import Fraction

import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from anchorage.core import units
from anchorage.core.quantity import Quantity
from anchorage.core.units import KINDS, Measure, convert, echo, read, show, write

READ = st.sampled_from(list(KINDS))
SHOW = st.sampled_from(list(units._ALL))
SYSTEM = st.sampled_from(["us", "si"])
EXTENT = st.floats(-1e9, 1e9).filter(lambda v: v == 0 or abs(v) > 1e-9)  # to 1e9 in SI: beyond any shelter
SIZE = EXTENT.map(abs)
SCRAP = st.lists(
    st.sampled_from(
        [
            *"0123456789",
            *"+-−.,eE'\"/ ½*^_()\n\t\0",
            "12",
            "1/2",
            "1,000",
            " ft ",
            " in",
            "mph",
            "m",
            "kg",
            "nan",
            "inf",
            "degF",
            "°",
            "\u202e",
            "\ud800",
            "٣",
            "９",
        ]
    ),
    max_size=14,
).map("".join)
TEXT = st.one_of(st.text(max_size=70), SCRAP)


@given(READ, st.floats(allow_nan=False, allow_infinity=False))
def test_what_is_written_reads_back_exactly(kind, value):
    value = abs(value) if kind == "temperature" else value
    if value and not 1e-29 < abs(value) < 1e29:
        value = math.copysign(1.0, value)
    again = read(kind, write(kind, value))
    assert float(again) == value
    assert float(read(kind, write(kind, again))) == value
    assert float(Quantity(kind).accept(Measure(value, kind).text)) == value


def attempt(kind, text):
    try:
        return read(kind, text), ""
    except ValueError as refusal:
        return None, str(refusal)


@given(READ, TEXT)
@example("length", "9**9**9 ft")
@example("speed", "1" * 60 + "E99")
@example("length", "1/0 in")
@example("speed", "\ud800")
@example("length", "7 ft 6 ½ in")
def test_any_text_is_a_finite_value_or_a_plain_refusal(kind, text):
    start = time.perf_counter()
    value, said = attempt(kind, text)
    assert time.perf_counter() - start < 0.5
    if value is None:
        assert said.isprintable()
        assert said.endswith(KINDS[kind].accepts)
        return
    assert isinstance(value, Measure)
    assert math.isfinite(value)
    assert value.text.isprintable()
    assert read(kind, value.text) == value
    assert echo(value, "us").startswith(value.text)


@given(
    READ,
    st.one_of(
        st.none(),
        st.booleans(),
        st.integers(),
        st.floats(),
        st.binary(),
        st.lists(st.text()),
        st.dictionaries(st.text(), st.text()),
    ),
)
def test_what_is_not_text_is_refused(kind, thing):
    with pytest.raises(ValueError, match="not text with a unit"):
        read(kind, thing)


@given(READ, st.data(), st.decimals(-(10**6), 10**6, places=3))
def test_a_number_is_read_in_every_spelling_to_the_nearest_float(kind, data, number):
    spelling = data.draw(st.sampled_from(list(KINDS[kind].units)))
    scale, offset = KINDS[kind].units[spelling]
    exact = Fraction(number) * scale + offset
    if kind == "temperature" and exact < 0:
        return
    assert float(read(kind, f"{number} {spelling}")) == float(exact)
    assert read(kind, f"{number:,} {spelling}") == read(kind, f"{number}{spelling}")
    assert convert(kind, float(exact), spelling) == pytest.approx(float(number), rel=1e-12, abs=1e-9)


@given(st.integers(1, 10**9), st.integers(1, 12))
def test_a_comma_is_read_only_between_thousands(number, place):
    digits = str(number)
    if place >= len(digits):
        return
    text = f"{digits[:place]},{digits[place:]}"
    if text == f"{number:,}":
        assert read("mass", f"{text} kg") == number
    else:
        with pytest.raises(ValueError, match="only between thousands"):
            read("mass", f"{text} kg")


@given(st.integers(0, 9999), st.integers(0, 11), st.sampled_from([2, 4, 8, 16, 32, 64]), st.data())
def test_feet_and_inches(feet, inches, of, data):
    part = data.draw(st.integers(1, of - 1))
    value = float((feet * 12 + inches + Fraction(part, of)) * Fraction("0.0254"))
    for text in (
        f"{feet} ft {inches} {part}/{of} in",
        f"{feet}' {inches} {part}/{of}\"",
        f"{feet}'{inches} {part}/{of}\"",
    ):
        assert float(read("length", text)) == value
        assert float(read("length", "-" + text)) == -value
    assert read("length", f"{feet} ft {inches} in") == float((feet * 12 + inches) * Fraction("0.0254"))


def shown(kind, text):
    """What a figure on paper says, exactly in SI; moments too, which ``read`` does not take."""
    if kind != "moment":
        return units._parse(KINDS[kind], text)[0]
    number, unit = text.split(" ")
    return Fraction(number) * units._ALL[kind].units[unit][0]


@given(SHOW, EXTENT, SYSTEM, st.one_of(st.none(), st.integers(0, 6)))
@example("speed", 20.1168, "us", None)
@example("length", 0.3047999999999, "us", None)
@example("temperature", 255.3722222222222, "us", None)
@example("force", -5.960464477539063e-08, "si", 0)  # found by a long run: noise about zero is zero
def test_down_never_overstates_and_up_never_understates(kind, value, system, digits):
    value = abs(value) if kind == "temperature" else value
    low, near, high = (
        shown(kind, show(kind, value, system, digits=digits, rounding=r)) for r in ("down", "near", "up")
    )
    unit = show(kind, value, system, digits=digits).split(" ")[-1]
    scale, offset = units._ALL[kind].units[unit]
    # the guard: 1e-9 of the value, and never less than 1e-9 of a step, which is at most one unit
    slack = abs(Fraction(value) - offset) / 10**9 + scale / 10**9
    assert low <= Fraction(value) + slack
    assert high >= Fraction(value) - slack
    assert low <= near <= high


@given(SHOW, SIZE, SYSTEM)
def test_what_is_shown_is_near_and_shown_again_the_same(kind, value, system):
    text = show(kind, value, system)
    if kind == "moment":
        return
    again = float(units._parse(KINDS[kind], text)[0])
    assert again == pytest.approx(value, rel=0.06, abs=20)
    if kind not in ("length", "time", "density"):  # the unit or the step may change at its limit
        assert show(kind, again, system) == text


@given(SHOW, EXTENT, EXTENT, SYSTEM)
def test_a_larger_value_never_shows_smaller(kind, a, b, system):
    a, b = sorted((abs(a), abs(b)) if kind in ("temperature", "time") else (a, b))
    for rounding in ("down", "near", "up"):
        x, y = (shown(kind, show(kind, v, system, rounding=rounding)) for v in (a, b))
        assert x <= y + abs(y) / 10**8 + Fraction(1, 10**9)


@given(READ, SIZE, SIZE, st.data())
def test_bounds_hold_and_their_words_can_be_obeyed(kind, bound, value, data):
    inside = KINDS[kind]
    spelling = data.draw(st.sampled_from(list(inside.systems)))
    field = Quantity(kind, high=write(kind, bound))
    typed = f"{Fraction(int(value * 1000), 1000).__float__()!r} {spelling}"
    try:
        measure = read(kind, typed)
    except ValueError:
        return
    if measure <= bound:
        assert field.accept(typed) == measure
        return
    with pytest.raises(ValueError, match="is more than") as refusal:
        field.accept(typed)
    limit = str(refusal.value).split(" is more than ")[1].split(" (")[0]
    assert (
        units._parse(inside, limit)[0]
        <= Fraction(bound) * (1 + Fraction(1, 10**9)) + abs(inside.units[spelling][1]) / 10**9
    )
