"""Words for people: every sentence is a message of one catalogue, and what it says is given to it by name.

A message is its English text with named places, ``say("{count} short", count=n)``. English needs no catalogue; another
language is a compiled catalogue of gettext in ``anchorage/locale``, found by the text. The language is that of the
context (``speaking``), else that of the program (``usually``), which every thread shares. Nothing is decided on what
these give back: a message is compared by its English text alone. What a machine reads is written ``speaking(ENGLISH)``.
"""

from __future__ import annotations

import functools
import os
import re
import shlex
import string
from collections.abc import Callable, Iterator, Mapping
from contextlib import contextmanager
from contextvars import ContextVar
from pathlib import Path
from typing import TYPE_CHECKING, Any, NamedTuple, Self

if TYPE_CHECKING:
    from datetime import datetime
    from gettext import NullTranslations

ENGLISH = "en"
DOMAIN = "anchorage"
LOCALE = Path(__file__).parents[1] / "locale"

_INSTEAD: dict[str, str] = {}
"""Messages that are said in the place of others."""
_LANGUAGE: ContextVar[str | None] = ContextVar("language", default=None)
_usual = {"language": ENGLISH}


def say_instead(others: Mapping[str, str]) -> None:
    """From here on say other messages in the place of some, in every thread: where keys are pressed nobody types a command. Places may be left out."""
    _INSTEAD.clear()
    _INSTEAD.update(others)


_FILE: dict[str, str] = {}
"""The file that a command is about, as it is typed."""
LONGEST_NAME = 40
"""Characters: a longer path would be broken over two lines."""
_OF_A_FILE = re.compile(r"\b(log|now|check|limit|outlook|ways|pack|sheet) FILE\b")
"""What a message says is to be typed about a file."""


def about_file(name: str) -> None:
    """From here on what is to be typed names this file, in every thread; nothing for none, or for one that fits on no line with it."""
    _FILE.clear()
    if 0 < len(name) <= LONGEST_NAME:
        _FILE["name"] = shlex.quote(name)


def _naming(text: str, *, filled: bool) -> str:
    """A message before its places are filled, with the file in what it says is to be typed."""
    name = _FILE["name"]
    name = name.replace("{", "{{").replace("}", "}}") if filled else name
    return _OF_A_FILE.sub(lambda m: f"{m[1]} {name}", text)


def language() -> str:
    """The language in which words are shown here."""
    return _LANGUAGE.get() or _usual["language"]


def now_usually(name: str) -> None:
    """From here on the program shows words in another language, in every thread; raises LookupError where there is none."""
    if name != ENGLISH:
        _catalogue(name)
    _usual["language"] = name


@contextmanager
def usually(name: str) -> Iterator[None]:
    """The same, until the end of a block."""
    before = _usual["language"]
    now_usually(name)
    try:
        yield
    finally:
        _usual["language"] = before


def of_environment(environment: Mapping[str, str] = os.environ) -> str:
    """The language that the machine's user has set for words; English where there are no words in it."""
    said = next((v for k in ("LC_ALL", "LC_MESSAGES", "LANG") if (v := environment.get(k))), "")
    name = said.partition(".")[0].partition("@")[0].partition("_")[0].lower()
    return name if name in languages() else ENGLISH


@contextmanager
def speaking(name: str) -> Iterator[None]:
    """Show words in another language; raises LookupError where there is no catalogue of it."""
    if name != ENGLISH:
        _catalogue(name)
    before = _LANGUAGE.set(name)
    try:
        yield
    finally:
        _LANGUAGE.reset(before)


def languages() -> list[str]:
    """The languages that there are, English first."""
    return [ENGLISH, *sorted(p.parts[-3] for p in LOCALE.glob(f"*/LC_MESSAGES/{DOMAIN}.mo"))]


@functools.cache
def _catalogue(name: str) -> NullTranslations:
    from gettext import GNUTranslations  # noqa: PLC0415 - English needs none of it

    path = LOCALE / name / "LC_MESSAGES" / f"{DOMAIN}.mo"
    if not path.is_file():
        raise LookupError(f"no words in {name!r}; there are {', '.join(languages())}")
    with path.open("rb") as file:
        return GNUTranslations(file)


class Signs(NamedTuple):
    """How a language writes figures and days, and what is said of its catalogue."""

    decimal: str
    days: tuple[str, ...]
    """Monday first."""
    months: tuple[str, ...]
    name: str
    reviewed: bool
    """Whether a speaker of the trade has read it."""
    terms: tuple[str, ...]
    """Where the words of the trade are from."""


IN_ENGLISH = Signs(
    ".",
    ("Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun"),
    ("Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec"),
    "English",
    reviewed=True,
    terms=(),
)


@functools.cache
def signs(name: str) -> Signs:
    """Those of a language, as its catalogue has them."""
    if name == ENGLISH:
        return IN_ENGLISH
    said = _catalogue(name).info()
    days, months = (tuple(said.get(k, "").split()) for k in ("x-days", "x-months"))
    return Signs(
        said.get("x-decimal", IN_ENGLISH.decimal),
        days if len(days) == 7 else IN_ENGLISH.days,
        months if len(months) == 12 else IN_ENGLISH.months,
        said.get("x-name", name),
        reviewed=said.get("x-review") == REVIEWED,
        terms=tuple(t for t in said.get("x-terms", "").split("; ") if t),
    )


def not_reviewed() -> str:
    """What is said in small print wherever the words are a translation that nobody of the trade has read; of English nothing."""
    return "" if signs(language()).reviewed else say("not yet reviewed by a speaker of the trade")


REVIEWED = "reviewed by a speaker of the trade"


def decimal(number: str) -> str:
    """A number that was written with a point, with the sign that the language has for it. What is typed is never read so."""
    sign = signs(language()).decimal
    return number if sign == "." else number.replace(".", sign)


def numeral(value: Any, how: str) -> str:
    """A number for people. how: as ``format`` takes it."""
    return decimal(format(value, how))


def dated(at: datetime, how: str) -> str:
    """A time for people, days and months by their names in the language. how: as ``strftime`` takes it, with %a, %d, %b, %Y, %H, %M."""
    of = signs(language())
    return at.strftime(how.replace("%a", of.days[at.weekday()]).replace("%b", of.months[at.month - 1]))


def places(text: str) -> list[str]:
    """The names that a message leaves open, sorted; a place by number or by an attribute is none of a message."""
    return sorted({name for _, name, _, _ in string.Formatter().parse(text) if name is not None})


def _fit(text: str, found: str) -> str:
    """The words found for a message, with the blanks that stand around it; the message itself where its places differ."""
    if not found.strip() or {*places(found)} != {*places(text)}:
        return text
    lead = text[: len(text) - len(text.lstrip())]
    return lead + found.strip() + text[len(text.rstrip()) :]


@functools.lru_cache(maxsize=8192)
def _found(name: str, text: str) -> str:
    found = _catalogue(name).gettext(text) if text else text
    return found if found == text else _fit(text, found)


@functools.lru_cache(maxsize=2048)
def _counted(name: str, one: str, many: str, n: int) -> str:
    """Of one thing its number may be left unsaid."""
    found = _catalogue(name).ngettext(one, many, n)
    if found in (one, many):
        return found
    return _fit(one if n == 1 and places(found) == places(one) else many, found)


def say(text: str, /, **given: object) -> str:
    """A message in the language of the context, each place filled with what is given for it.

    >>> say("{bags} at each point", bags="3 bags")
    '3 bags at each point'
    """
    if type(text) is not str:  # one that was put off
        return str(text).format_map(given) if given else str(text)
    if _INSTEAD:
        text = _INSTEAD.get(text, text)
    if (name := _LANGUAGE.get() or _usual["language"]) != ENGLISH:
        text = _found(name, text)
    if _FILE and " FILE" in text:
        text = _naming(text, filled=bool(given))
    return text.format_map(given) if given else text


def word(text: str, of: str) -> str:
    """A word that is another one elsewhere, by what it is said of: ``new`` of snow, ``open`` of a key. Its message is ``new (snow)``; mark it."""
    if language() == ENGLISH:
        return text
    message = f"{text} ({of})"
    found = say(message)
    return text if found == message else found


class Word(str):
    """The same, put off until it is shown. It is compared by its English text."""

    __slots__ = ("of",)
    of: str

    def __new__(cls, text: str, of: str) -> Self:
        new = super().__new__(cls, text)
        new.of = of
        return new

    def __str__(self) -> str:
        return word(str.__str__(self), self.of)

    def __format__(self, how: str) -> str:
        return format(str(self), how)


def mark(text: str) -> str:
    """A message for the catalogue that is put into words elsewhere: for a text that is at the same time a code."""
    return text


def form(one: str, many: str, n: int, /) -> str:
    """The word for one or for another number of things, nothing filled in: for names that somebody may have typed."""
    name = language()
    return (one if n == 1 else many) if name == ENGLISH else _counted(name, one, many, n)


def plural(one: str, many: str, n: int, /, **given: object) -> str:
    """The message for one or for another number of things; the place {n} is the number.

    >>> plural("{n} point", "{n} points", 1), plural("{n} point", "{n} points", 0)
    ('1 point', '0 points')
    """
    return form(one, many, n).format_map({"n": n, **given})


def capital(text: str) -> str:
    """The same words, the first letter a capital: for the beginning of a sentence."""
    text = str(text)
    return text[:1].upper() + text[1:]


class Later(str):
    """A message whose words are found when it is shown: for what is written down once and shown in any language.

    It is compared, hashed and kept by its English text, and read by its words: formatted, joined to others by ``+``,
    wrapped, cut. ``", ".join`` reads past it: give that ``str`` of each. A note of loads, holding or judging is one: what
    it says is its ``message``, which is its code, and what it says it of is ``given``.
    """

    __slots__ = ("given", "message")
    message: str
    given: dict[str, object]

    def __new__(cls, message: str, /, **given: object) -> Self:
        new = super().__new__(cls, message.format_map(given) if given else message)
        new.message = message
        new.given = given
        return new

    def __str__(self) -> str:
        return say(self.message, **self.given)

    def __format__(self, how: str) -> str:
        return format(str(self), how)

    def __radd__(self, before: str) -> str:
        return before + str(self)

    def __repr__(self) -> str:
        return f"{type(self).__name__}({self.message!r})"

    def __reduce__(self) -> tuple[Callable[..., Later], tuple[object, ...]]:
        return functools.partial(type(self), self.message, **self.given), ()


def _by_words(name: str) -> Any:
    plain = getattr(str, name)

    def method(self: Later, *given: Any, **more: Any) -> Any:
        return plain(str(self), *given, **more)

    method.__name__ = name
    return method


for _name in (
    "__add__", "__contains__", "__getitem__", "__iter__", "__len__", "__mod__", "__mul__", "capitalize", "center", "encode", "endswith", "expandtabs",
    "find", "format", "format_map", "isascii", "isprintable", "join", "ljust", "lower", "lstrip", "partition", "removeprefix", "removesuffix", "replace",
    "rfind", "rjust", "rpartition", "rsplit", "rstrip", "split", "splitlines", "startswith", "strip", "swapcase", "title", "translate", "upper",
):  # fmt: skip
    setattr(Later, _name, _by_words(_name))


def later(message: str, /, **given: object) -> Later:
    """A message that is put into words when it is shown, not where it stands: for constants of modules and classes.

    >>> SHUT = later("every opening shut")
    >>> f"{SHUT}.", SHUT == "every opening shut"
    ('every opening shut.', True)
    """
    return Later(message, **given)
