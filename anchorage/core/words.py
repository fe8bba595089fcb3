"""The words for verdicts and levels that every command, screen and page shares. See ``tables/glossary.toml``."""

from collections import Counter
from collections.abc import Iterable

from anchorage.core.say import later, plural, say

VERDICTS = {"go": later("GO"), "no-go": later("NO-GO"), "unknown": later("CANNOT SAY")}
LEVELS = {"normal": later("NORMAL"), "secure": later("SECURE"), "people-out": later("PEOPLE OUT"), "keep-away": later("KEEP AWAY"), "unknown": later("CANNOT SAY")}  # fmt: skip

USES = ("working", "people-in", "empty", "set-up")
"""What it may be judged and sized for: people come and go with doors in use; people inside and nobody new; nobody inside; putting it up."""


def doors_shut(walls: Iterable[str]) -> str:
    """``front door, 2 back doors``: the closed doors by their walls."""
    return ", ".join(plural("{wall} door", "{n} {wall} doors", n, wall=w) for w, n in Counter(walls).items())


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
    if n != 1:
        return f"{n} {items}"
    name, size = _sized(items)
    return f"1 {name.removesuffix('men') + 'man' if name.endswith('men') else name.removesuffix('s')}{size}"


def _sized(words: str) -> tuple[str, str]:
    """The name of a unit and the size that stands behind it: concrete barrier, 10ft."""
    name, _, last = words.rpartition(" ")
    return (name, f" {last}") if name and (last == "full" or last[:1].isdigit()) else (words, "")


def named(unit: str, count: int) -> str:
    """Name of a unit: water-barrel, 2 -> water barrels; concrete-barrier-10ft, 2 -> concrete barriers 10ft."""
    word = unit.replace("-", " ")
    name, size = _sized(word)
    if count == 1 or name.endswith("s"):
        return word
    return (name.removesuffix("man") + "men" if name.endswith("man") else name + "s") + size
