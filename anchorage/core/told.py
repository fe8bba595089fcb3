"""What is told as a value: which thing of a closed list, and what it is told of. Words are found when it is shown, in the language of whoever reads.

A room lists what it tells in its ``notes.py``. Decisions read ``what`` and the figures, never the words.
"""

from __future__ import annotations

import functools
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from enum import Enum
from typing import Annotated, Any

from pydantic import PlainSerializer, PlainValidator

from anchorage.core.say import ENGLISH, places, say, speaking


class Telling(Enum):
    """The closed list of what a room tells: each by its code, with the English of its message."""

    @property
    def code(self) -> str:
        """``mass-unsaid``."""
        return self.name.lower().replace("_", "-")


class _Worded:
    """Something that is put into words where it is shown."""

    __slots__ = ()

    def __format__(self, how: str) -> str:
        return format(str(self), how)


@dataclass(frozen=True, slots=True)
class Put(_Worded):
    """A figure, a name or a count before it is written: how it is written, and of what."""

    how: Callable[..., str]
    of: tuple[object, ...]
    more: tuple[tuple[str, object], ...] = ()

    def __str__(self) -> str:
        return self.how(*(str(x) if isinstance(x, _Worded) else x for x in self.of), **dict(self.more))


def put(how: Callable[..., str], /, *of: object, **more: object) -> Put:
    """What ``how`` writes of these, put off until it is shown: ``put(show, "speed", gust, system, rounding="up")``."""
    return Put(how, of, tuple(more.items()))


@functools.cache
def _places(what: Telling) -> frozenset[str]:
    return frozenset(places(what.value))


@dataclass(frozen=True, slots=True)
class Told(_Worded):
    """One thing told: what it is, and what it is told of, by the names of its places."""

    what: Telling
    given: tuple[tuple[str, object], ...] = ()

    def __post_init__(self) -> None:
        if _places(self.what) != {k for k, _ in self.given}:
            raise KeyError(f"{self.what.code}: {sorted(_places(self.what))} is to be given")

    def __str__(self) -> str:
        return say(self.what.value, **dict(self.given))

    @property
    def code(self) -> str:
        """Which of the closed list it is."""
        return self.what.code


def tell(what: Telling, /, **given: object) -> Told:
    """That one thing, told of these."""
    return Told(what, tuple(given.items()))


Words = Told | Put
"""What is shown to people and is no text yet."""


def _behind(between: str, *parts: object) -> str:
    return between.join(str(p) for p in parts)


def together(*parts: object, between: str = " ") -> Put:
    """Things told one behind the other."""
    return Put(_behind, (between, *parts))


def in_words(told: Iterable[object]) -> list[str]:
    """Each as it reads."""
    return [str(t) for t in told]


def once(told: Iterable[Words]) -> list[Words]:
    """Each that reads the same one time."""
    return list({str(t): t for t in reversed(list(told))}.values())[::-1]


def english(words: object) -> str:
    """As a machine reads it."""
    with speaking(ENGLISH):
        return str(words)


def _kept(words: Any) -> Any:
    """A record as it is; of what was read from JSON no more is known than the text."""
    return words if isinstance(words, _Worded) else put(str, str(words))


Worded = Annotated[Words, PlainValidator(_kept), PlainSerializer(english, return_type=str, when_used="json")]
"""Of a result: a record for the program, its English in JSON."""
MaybeWorded = Annotated[
    Words | None,
    PlainValidator(lambda x: None if x is None or x == "" else _kept(x)),
    PlainSerializer(lambda x: "" if x is None else english(x), return_type=str, when_used="json"),
]
"""The same where there may be nothing to tell: empty in JSON."""
