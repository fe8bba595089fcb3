"""Sentences and words of a forecast: no figure, and no word of wind, is passed over, and what no list has is not understood."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from anchorage.core import tables
from anchorage.outlook.phrases import MOST_TEXT, add_phrases, fillers, read_phrases
from anchorage.outlook.remarks import Account
from anchorage.outlook.sentences import alert_of, plain, read_sentence, windy

# Exact by definition: 1 mile 1609.344 m, 1 knot 1852 m/h, 1 inch 0.0254 m (NIST SP 811, appendix B)
MPH, KNOT, INCH = 1609.344 / 3600, 1852 / 3600, 0.0254
SAID = [
    ("gusts to 35 mph", "gust", 35 * MPH, None),
    ("gusts 40 to 50 mph", "gust", 50 * MPH, None),
    ("wind gusts as high as forty five mph", "gust", 45 * MPH, None),
    ("northwest gusts to 30 kt", "gust", 30 * KNOT, None),
    ("gusts to 30 kt from the southwest", "gust", 30 * KNOT, 225.0),
    ("gusts to 20 m/s", "gust", 20.0, None),
    ("40 mph gusts", "gust", 40 * MPH, None),
    ("northwest winds 10 to 20 mph", "wind", 20 * MPH, 315.0),
    # WMO-No. 8, table of the Beaufort scale: force 7 begins at 13.9 m/s, force 9 at 20.8; the upper end counts
    ("force 6", "wind", 13.9, None),
    ("beaufort force 6 to 8", "wind", 20.8, None),
    ("snow accumulation of 3 to 5 inches", "snow", 5 * INCH, None),
    ("1/2 inch of snow", "snow", 0.5 * INCH, None),
    ("half an inch of ice", "ice", 12.7, None),
    ("lows around 14 F", "temperature", -10.0, None),
    ("temperature minus 5 C", "temperature", -5.0, None),
]


@pytest.mark.parametrize(("text", "what", "value", "bearing"), SAID)
def test_a_figure_is_read_at_its_upper_end(text, what, value, bearing):
    (figure,) = [f for f in read_sentence(text).figures if f.what == what]
    assert figure.value == pytest.approx(value, abs=1e-6)
    if bearing is not None:
        assert figure.bearing == bearing


@pytest.mark.parametrize(
    "text",
    [
        "gusts over 40 mph",
        "gusts 40 mph or more",
        "gusts 40+ mph",
        "gusts to at least 40 mph",
        "gusts no less than 40 mph",
    ],
)
def test_a_figure_that_is_only_the_least_says_so(text):
    assert read_sentence(text).figures[0].open


@pytest.mark.parametrize(
    "text", ["gusts not over 40 mph", "gusts no more than 40 mph", "gusts less than 40 mph"]
)
def test_a_figure_that_is_the_most_is_one(text):
    assert not read_sentence(text).figures[0].open


@pytest.mark.parametrize(
    "text",
    ["gusts 50 to 40 mph", "gusts to 999 mph", "winds 1O mph", "gusts 40 mps and 30", "gusts to forty"],
)
def test_what_cannot_be_meant_is_not_understood(text):
    found = read_sentence(text)
    assert found.unread or not found.figures


WORDS = st.sampled_from(["zorble", "wind", "winds", "gust", "gusts", "gusting", "breeze", "near", "the", "sunny", "and", "ridge", "to", "of", "snow", "likely"])  # fmt: skip
NUMBER = st.integers(1, 999).map(str)


@settings(max_examples=60)
@given(st.lists(WORDS | NUMBER, min_size=1, max_size=8))
def test_no_number_and_no_word_of_wind_is_passed_over(pieces):
    found = read_sentence(" ".join(pieces))
    heard = " ".join([*(t for t, _ in found.used), *found.unread])
    for piece in pieces:
        if piece.isdigit() or windy([piece]):
            assert piece in heard.split() or any(piece in t for t, _ in found.used), (pieces, found)


def test_a_word_that_no_list_has_beside_a_gust_is_not_understood():
    assert read_sentence("gusts to 30 mph, zorble at times").unread
    assert not read_sentence("gusts to 30 mph").unread


def test_an_official_warning_is_known_by_its_name_and_its_degree():
    high = alert_of("High Wind Warning")
    assert high is not None
    assert (high.danger, high.degree) == (("wind",), "W")
    assert alert_of("High Wind Watch").degree == "A"
    assert alert_of("Zorble Warning") is None
    assert read_sentence("tornado warning until 18").dangers[0].degree == "W"


def test_numbers_in_words_and_fractions_become_figures():
    assert plain("Twenty-five") == "25"
    assert plain("1 1/2 inches") == "1.5 inches"
    assert plain("three quarters of an inch") == "0.75 inch"


# Words by the lists


def test_every_dangerous_word_of_the_list_is_found_wherever_it_stands():
    for word in tables.codes("weather-words").values():
        found = read_phrases(f"some {word.key} here")
        assert (word in found.warns) == bool(word.danger), word.key


def test_the_longest_phrase_counts():
    whole = {c.key for c in read_phrases("freezing rain").warns}
    assert "freezing rain" in whole
    assert "rain" not in whole


@settings(max_examples=60)
@given(st.text("abcdefghijklmnopqrstuvwxyz", min_size=4, max_size=12))
def test_a_word_that_no_list_has_is_unknown(word):
    known = {w for c in tables.codes("weather-words").values() for w in c.key.split()}
    found = read_phrases(word)
    assert bool(found.unknown) == (word not in known and word not in fillers())


@pytest.mark.parametrize(
    ("text", "heap"), [("thunderstorms", "used"), ("sunny", "harmless"), ("zorble", "not_understood")]
)
def test_each_text_goes_to_its_heap(text, heap):
    a = Account()
    add_phrases(a, text, 0, 3600, "line 1")
    done = a.close()
    assert [text in r.text for r in getattr(done, heap)] == [True]
    assert bool(a.doubts) == (heap == "not_understood")


def test_the_end_of_a_text_that_is_too_long_is_unknown_and_said():
    a = Account()
    add_phrases(a, "sunny " * MOST_TEXT + "tornado", 0, 3600, "line 1")
    assert a.doubts
    assert a.close().not_understood
