"""Danger in free words, by the closed lists of ``noted.toml``: in whatever language it was written, wherever it stands."""

from __future__ import annotations

import functools
import re
from collections.abc import Iterator
from dataclasses import dataclass
from enum import Enum
from typing import Literal, NamedTuple

from anchorage.core import tables
from anchorage.core.choices import folded
from anchorage.core.units import KINDS, read


class Kind(Enum):
    """The closed list, by what the tables call it."""

    THUNDER = "thunder"
    WIND = "wind"
    SNOW = "snow on the roof"
    GROUND = "ground"
    PLACED = "placed"
    DOORS = "doors"
    DAMAGE = "damage"
    DOWN = "taking down"


@dataclass(frozen=True)
class Heard:
    """A danger in words. speed: m/s, of a speed that stands there with its unit."""

    kind: Kind
    words: str
    speed: float | None = None


_WORD = re.compile(r"[^\W_]+")
_POINT = re.compile(r"[frbl]\d{1,2}")
_SPEED = re.compile(
    rf"(?<![\w.,])(\d{{1,4}}(?:[.,]\d{{1,3}})?)\s?({'|'.join(sorted((re.escape(n) for n in KINDS['speed'].names), key=len, reverse=True))})(?![\w/])",
    re.IGNORECASE,
)

_KNOTS = re.compile(r"(?<![\w.,])\d{1,3}\s?kn(?!\w)")
"""As sailors write it; with a large N it is a force."""


class _List(NamedTuple):
    whole: dict[str, Kind]
    begun: tuple[tuple[str, Kind], ...]
    """Those that stand for any ending."""

    def of(self, said: str) -> Kind | None:
        found = self.whole.get(said)
        spaces = said.count(" ")
        return found or next(
            (k for w, k in self.begun if said.startswith(w) and w.count(" ") == spaces), None
        )


def _phrases(words: list[str], name: str) -> Iterator[Heard]:
    """What of a list stands in a text, the longest first."""
    alone = _list(name)
    for n in range(LONGEST, 0, -1):
        for i in range(len(words) - n + 1):
            said = " ".join(words[i : i + n])
            if (kind := alone.of(said)) is not None:
                yield Heard(kind, said)


def _without(words: list[str]) -> list[str]:
    """The words of a text without those that are a danger in another language alone."""
    text = " ".join(words)
    for h in _phrases(words, "noted-not"):
        text = f" {text} ".replace(f" {h.words} ", " ").strip()
    return text.split()


def doubts(text: str, name: Literal["noted-passed", "noted-read"]) -> tuple[Heard, ...]:
    """What in the words of a look or a reading takes back what it says."""
    words = _WORD.findall(folded(text))
    points = (Heard(Kind.DAMAGE, w) for w in words if name == "noted-passed" and _POINT.fullmatch(w))
    return tuple(_phrases(words, name))[:1] or tuple(points)[:1]


def counted(text: str) -> Heard | None:
    """A point by its code with a number or a no: a count in words."""
    words = _WORD.findall(folded(text))
    point = next((w for w in words if _POINT.fullmatch(w)), None)
    many = next((w for w in words if w.isdecimal() or _list("noted-count").of(w)), None)
    return None if point is None or many is None else Heard(Kind.PLACED, f"{point} ... {many}")


@functools.cache
def _list(name: str) -> _List:
    every = [(w.replace("_", " "), Kind(c.means)) for c in tables.codes(name).values() for w in c.key.split()]
    return _List(
        {w: k for w, k in every if not w.endswith("*")},
        tuple((w[:-1], k) for w, k in every if w.endswith("*")),
    )


LONGEST = 5
"""Words of the longest phrase of the lists."""


def dangers(text: str) -> tuple[Heard, ...]:
    """What of a text is a danger, each kind once."""
    words = _WORD.findall(folded(text))
    found = dict[Kind, Heard]()
    speeds = [(read("speed", f"{m[1].replace(',', '.')} {m[2]}"), m[0]) for m in _SPEED.finditer(text)]
    if speeds:
        most, said = max(speeds)
        found[Kind.WIND] = Heard(Kind.WIND, said, float(most))
    elif (m := _KNOTS.search(text)) is not None:
        found[Kind.WIND] = Heard(Kind.WIND, m[0])
    for h in _phrases(_without(words), "noted"):
        found.setdefault(h.kind, h)
    things = [(w, Kind.DAMAGE if _POINT.fullmatch(w) else _list("noted-things").of(w)) for w in words]
    for thing, kind in things:
        if kind is None or kind in found:
            continue
        of = _list(f"noted-of-{kind.name.lower()}")
        become = next(
            (w for w in words if w != thing and (of.of(w) or (kind is Kind.WIND and w.isdecimal()))), None
        )
        if become is not None:
            found[kind] = Heard(kind, f"{thing} ... {become}")
    return tuple(found.values())
