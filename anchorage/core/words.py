"""The words for verdicts and levels that every command, screen and page shares. See ``tables/glossary.toml``."""

import functools
import re
from collections import Counter
from collections.abc import Iterable
from typing import Literal

from anchorage.core.say import ENGLISH, form, language, later, mark, plural, say, word

WORST_LAST: tuple[Literal["go", "unknown", "no-go"], ...] = ("go", "unknown", "no-go")
"""The verdicts in their order: what is unknown is no go."""
VERDICTS = {"go": later("GO"), "no-go": later("NO-GO"), "unknown": later("CANNOT SAY")}
LEVELS = {"normal": later("NORMAL"), "secure": later("SECURE"), "people-out": later("PEOPLE OUT"), "keep-away": later("KEEP AWAY"), "unknown": later("CANNOT SAY")}  # fmt: skip

USES = ("working", "people-in", "empty", "set-up")
"""What it may be judged and sized for: people come and go with doors in use; people inside and nobody new; nobody inside; putting it up."""


NAMES = (
    mark("lift"), mark("lift at a point"), mark("lift of a frame foot"), mark("slide"), mark("slide of a frame"), mark("overturn"), mark("rating"),
    mark("roof snow"), mark("roof snow, uneven"), mark("one slope"), mark("where it stands"), mark("snow depth"), mark("water on the roof"),
    mark("foot that holds nothing"), mark("code minimum"), mark("no usable point"), mark("stake"), mark("line"), mark("line anchor"), mark("push"),
    mark("uplift"), mark("push of its frame"), mark("uplift of its frame"), mark("stake of a frame foot"), mark("local policy"), mark("taking down"),
    mark("ground bearing"), mark("leg and foot"), mark("shelter"), mark("roof"), mark("along the ridge"), mark("across the ridge"),
    mark("ask the maker"), mark("too weak"), mark("not needed"), mark("lock"), mark("lock, and still not enough"), mark("gust"), mark("thunder"),
    mark("warning"), mark("gust unknown"), mark("snow unknown"), mark("mean unknown"), mark("thunder unknown"), mark("sway unknown"), mark("water unknown"), mark("flood"),
    mark("snow rating missing"), mark("danger without a number"), mark("part of the forecast lost"), mark("not understood"), mark("after unknown"),
    mark("all-clear"), mark("record"), mark("ground"), mark("the anchorage, for wind from its weakest side"), mark("the most that a point can have"), mark("the maker's rating, straps unlocked"), mark("the maker's rating, straps locked"), mark("the straps, sway along the ridge"), mark("the straps, sway across the ridge"), mark("the shelter half taken down"), mark("finished, every door open"), mark("over the front edge"),
    mark("over the back edge"), mark("over the left edge"), mark("over the right edge"), mark("measured as water"), mark("a weighed core"),
    mark("measured in layers"), mark("measured depth"), mark("snow on one slope only"), mark("depth"), mark("load"), mark("working"),
    mark("people-in"), mark("empty"), mark("set-up"), mark("front"), mark("back"), mark("left"), mark("right"), mark("unlocked"), mark("locked"),
    mark("read"), mark("computed"), mark("second-hand"), mark("memory"), mark("common practice"), mark("pickup"), mark("trailer"), mark("truck"),
    mark("one person"), mark("two people"), mark("a machine"), mark("sand"), mark("water"), mark("mallets"), mark("lines"), mark("ties"),
    mark("shovels"), mark("stakes"),
)  # fmt: skip
"""Names of checks, places, answers and causes that are codes as well: never compared in words."""


SNOW = (mark("new (snow)"), mark("settled (snow)"), mark("wet (snow)"), mark("slush (snow)"), mark("ice (snow)"))  # fmt: skip
"""Kinds of snow: ``new`` is another word in the interface."""


def snow_kind(kind: str) -> str:
    """A kind of snow in words."""
    return word(kind, "snow")


def spoken(code: str) -> str:
    """A name that is a code as well - of a check, a use, a cause, a thing - in words, part by part: ``stake: push``, ``slide of a frame (frame 2)``."""
    return code if language() == ENGLISH else PART.sub(_part, code)


PART = re.compile(r"[^\s:()][^:()]*[^\s:()]|[^\s:()]")
OF_FRAME = re.compile(r"frame (\d+)")


def _part(m: re.Match[str]) -> str:
    frame = OF_FRAME.fullmatch(m[0])
    return say(m[0]) if frame is None else say("frame {n}", n=frame[1])


def all_of(parts: Iterable[str]) -> str:
    """``a and b``; nothing of nothing."""
    found = [str(p) for p in parts]
    return functools.reduce(lambda a, b: say("{one} and {other}", one=a, other=b), found) if found else ""


def any_of(parts: Iterable[str]) -> str:
    """``a or b``; nothing of nothing."""
    found = [str(p) for p in parts]
    return functools.reduce(lambda a, b: say("{one} or {other}", one=a, other=b), found) if found else ""


def out_of(part: str, whole: str) -> str:
    """``32 of 40 mph``."""
    return say("{part} of {whole}", part=part, whole=whole)


def doors_shut(walls: Iterable[str]) -> str:
    """``front door, 2 back doors``: the closed doors by their walls."""
    return ", ".join(
        plural("{wall} door", "{n} {wall} doors", n, wall=spoken(w)) for w, n in Counter(walls).items()
    )


def torn_words(walls: Iterable[str], holds: str | None) -> str:
    """What is left when a closed door is torn open. holds: the gust in words, None where it cannot be judged."""
    left = (
        say("it holds to {holds}: leave before that", holds=holds)
        if holds
        else say("it cannot be judged: keep well away")
    )
    return say("Counts as shut: {walls}. If one is torn open {left}.", walls=doors_shut(walls), left=left)


def so_many(n: int, items: str) -> str:
    """``1 sandbag``, ``2 sandbags``, ``1 deadman``, ``1 concrete barrier 10ft``: a number with the name of what is counted."""
    return f"{n} {form(_one_of(items), items, n)}"


def several(items: str) -> str:
    """What is counted, by its English name for several: ``sandbags``."""
    return form(_one_of(items), items, 2)


def _one_of(items: str) -> str:
    name, size = _sized(items)
    return f"{name.removesuffix('men') + 'man' if name.endswith('men') else name.removesuffix('s')}{size}"


def _sized(words: str) -> tuple[str, str]:
    """The name of a unit and the size that stands behind it: concrete barrier, 10ft."""
    name, _, last = words.rpartition(" ")
    return (name, f" {last}") if name and (last == "full" or last[:1].isdigit()) else (words, "")


def one_and_many(unit: str) -> tuple[str, str]:
    """A unit and several of it in English: water-barrel -> water barrel, water barrels; concrete barriers 10ft."""
    word = unit.replace("-", " ")
    name, size = _sized(word)
    if name.endswith("s"):
        return word, word
    return word, (name.removesuffix("man") + "men" if name.endswith("man") else name + "s") + size


def named(unit: str, count: int) -> str:
    """Name of a unit: water-barrel, 2 -> water barrels; concrete-barrier-10ft, 2 -> concrete barriers 10ft."""
    return form(*one_and_many(unit), count)
