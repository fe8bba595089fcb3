"""Words for people: every sentence is a message of one catalogue, and what it says is given to it by name.

A message is its English text with named places, ``say("{count} short", count=n)``. English needs no catalogue; another
language is a compiled catalogue of gettext in ``anchorage/locale``, found by the text. The language is that of the
context. Nothing is decided on what these give back: a message is compared by its English text alone.
"""

from __future__ import annotations

import functools
import string
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from contextvars import ContextVar
from pathlib import Path
from typing import TYPE_CHECKING, Any, Self

if TYPE_CHECKING:
    from gettext import NullTranslations

ENGLISH = "en"
DOMAIN = "anchorage"
LOCALE = Path(__file__).parents[1] / "locale"

_LANGUAGE: ContextVar[str] = ContextVar("language", default=ENGLISH)


def language() -> str:
    """The language in which words are shown here."""
    return _LANGUAGE.get()


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
        text = str(text)
    elif (name := _LANGUAGE.get()) != ENGLISH:
        text = _found(name, text)
    return text.format_map(given) if given else text


def mark(text: str) -> str:
    """A message for the catalogue that is put into words elsewhere: for a text that is at the same time a code."""
    return text


def form(one: str, many: str, n: int, /) -> str:
    """The word for one or for another number of things, nothing filled in: for names that somebody may have typed."""
    name = _LANGUAGE.get()
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
