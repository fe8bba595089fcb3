"""Weather in words: which of them warn, by the lists in ``weather_codes.toml``, and which are not known at all."""

from __future__ import annotations

import functools
import re
from typing import NamedTuple

from anchorage.core import tables
from anchorage.core.say import say
from anchorage.outlook.remarks import Account

_WORD = re.compile(r"[a-z]+|\d+(?:\.\d+)?")
LONGEST = 3
"""Words of the longest phrase in the list."""
MOST_TEXT = 4000


class Phrases(NamedTuple):
    """What a text warns of, and the words of it that no list has."""

    warns: tuple[tables.Code, ...]
    unknown: tuple[str, ...]


@functools.lru_cache(maxsize=1)
def fillers() -> frozenset[str]:
    """Words that say nothing that a shelter feels."""
    return frozenset(w for c in tables.codes("weather-fillers").values() for w in c.key.split())


@functools.lru_cache(maxsize=512)
def read_phrases(text: str) -> Phrases:
    """Every word of a text by the lists. Numbers are no words: who calls reads them."""
    listed, filler = tables.codes("weather-words"), fillers()
    words = _WORD.findall(text.lower())
    warns, unknown, i = list[tables.Code](), list[str](), 0
    while i < len(words):
        for n in range(LONGEST, 0, -1):
            said = " ".join(words[i : i + n])
            if i + n <= len(words) and said in listed:
                warns += [listed[said]] if listed[said].danger else []
                i += n
                break
        else:
            if words[i] not in filler and not words[i][0].isdigit():
                unknown.append(words[i])
            i += 1
    return Phrases(tuple(dict.fromkeys(warns)), tuple(dict.fromkeys(unknown)))


def add_phrases(a: Account, text: str, start: int, end: int, at: str, *, strict: bool = True) -> Phrases:
    """Count what a text warns of, for its hours. strict: a word that no list has makes them unknown."""
    found = read_phrases(text[:MOST_TEXT])
    for code in found.warns:
        a.danger(code.danger, "said", start, end, say(code.means), light=code.light)
    if found.warns:
        a.use(text, at, "weather")
    elif not (strict and found.unknown):
        a.leave(text, at, "no weather")
    if strict and found.unknown:
        a.unread(text if not found.warns else ", ".join(found.unknown), at, start, end)
    if len(text) > MOST_TEXT:
        a.unread(text[MOST_TEXT:], at, start, end)
    return found
