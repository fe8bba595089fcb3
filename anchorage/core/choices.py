"""Words for what is chosen: the codes of the file and of the record as people read them. The code itself is what is kept.

In English the code is the word, but for yes and no. What a code is said of stands in brackets behind it, as in ``word``: ``open`` of a door
and of country are two words elsewhere.
"""

from __future__ import annotations

import unicodedata
from collections.abc import Iterable

from anchorage.core.say import ENGLISH, language, later, mark, say, word
from anchorage.core.words import named, spoken

NAMES, UNITS, SNOW = "name", "unit", "snow"
"""Codes whose words stand elsewhere: names of walls, uses and straps; things that are counted; kinds of snow."""
CHOICES: dict[str, tuple[str, ...]] = {
    "ground": (mark("asphalt (ground)"), mark("concrete (ground)"), mark("concrete-smooth (ground)"), mark("gravel (ground)"), mark("grass (ground)"), mark("sand (ground)"),
               mark("clay (ground)"), mark("other (ground)")),
    "state": (mark("dry (state)"), mark("wet (state)"), mark("frozen (state)"), mark("ice (state)"), mark("snow (state)"), mark("soiled (state)")),
    "under": (mark("nothing (under)"), mark("building (under)"), mark("deck (under)"), mark("cellar (under)"), mark("ice (under)")),
    "country": (mark("open (country)"), mark("field (country)"), mark("town (country)"), mark("site (country)")),
    "number": (mark("forecast-gust (number)"), mark("forecast-wind (number)"), mark("meter-peak (number)"), mark("meter-average (number)"), mark("airport-wind (number)")),
    "held": (mark("ballast (held)"), mark("stakes (held)"), mark("line-ballast (held)"), mark("deadman (held)"), mark("mixed (held)"), mark("none (held)"), mark("vehicle (held)")),
    "cover": (mark("attached (cover)"), mark("after (cover)")),
    "tied": (mark("lashed-to-leg (tied)"), mark("hung-clear (tied)"), mark("standing-tied (tied)"), mark("on-foot (tied)"), mark("on-flap (tied)")),
    "so": (mark("true (so)"), mark("false (so)"), mark("yes (so)")),
    "made": (mark("bare-metal (made)"), mark("plastic (made)"), mark("rubber (made)"), mark("woven (made)"), mark("concrete (made)"), mark("steel (made)"), mark("foot (made)"),
             mark("unit (made)"), mark("cloth (made)"), mark("bag (made)"), mark("block (made)"), mark("plate (made)"), mark("ground (made)")),
    "door": (mark("open (door)"), mark("closed (door)"), mark("in-use (door)")),
    "soil": (mark("thumb-very-soft (soil)"), mark("thumb-soft (soil)"), mark("thumb-firm (soil)"), mark("thumb-hard (soil)"), mark("thumb-very-hard (soil)"), mark("loose-sand (soil)"),
             mark("medium-sand (soil)"), mark("dense-sand (soil)"), mark("gravel (soil)"), mark("silty-sand (soil)"), mark("silt (soil)"), mark("very-soft-clay (soil)"),
             mark("soft-clay (soil)"), mark("medium-clay (soil)"), mark("stiff-clay (soil)"), mark("very-stiff-clay (soil)"), mark("hard-clay (soil)"), mark("loam (soil)"),
             mark("sand (soil)"), mark("fine (soil)"), mark("hardpan (soil)"), mark("fine-wet (soil)")),
    "form": (mark("gable (form)"), mark("hip (form)"), mark("single-slope (form)"), mark("arch (form)"), mark("canopy-gable (form)"), mark("canopy-single-slope (form)")),
    "canopy": (mark("clear (canopy)"), mark("obstructed (canopy)")),
    "joined": (mark("end-to-end (joined)"), mark("side-by-side (joined)")),
    "used": (mark("decon (used)"), mark("triage (used)"), mark("command-post (used)"), mark("hospitality (used)"), mark("other (used)")),
    "north": (mark("true (north)"), mark("magnetic (north)")),
    "beside": (mark("nothing (beside)"), mark("building (beside)"), mark("shelter (beside)")),
    "pipes": (mark("marked (pipes)"), mark("not marked (pipes)")),
    "hill": (mark("ridge (hill)"), mark("escarpment (hill)"), mark("hill (hill)"), mark("upwind (hill)"), mark("downwind (hill)")),
    "method": (mark("physics (method)"), mark("service (method)"), mark("strength (method)"), mark("larger (method)"), mark("own (method)")),
    "pull": (mark("to-failure (pull)"), mark("held (pull)")),
    "test": (mark("drag (test)"), mark("weigh (test)"), mark("pull (test)"), mark("vane (test)"), mark("meter (test)")),
    "roof": (mark("fully (roof)"), mark("partially (roof)"), mark("sheltered (roof)"), mark("windswept (roof)"), mark("normal (roof)")),
    "after": (mark("shift (after)"), mark("wind (after)"), mark("rain (after)"), mark("snow (after)"), mark("frost (after)"), mark("thaw (after)"), mark("change (after)"),
              mark("before people go in (after)")),
    "result": (mark("passed (result)"), mark("failed (result)")),
    "level": (mark("secure (level)"), mark("people-out (level)"), mark("keep-away (level)"), mark("normal (level)"), mark("unknown (level)")),
    "count": (mark("each (count)"), mark("in-all (count)"), mark("as-planned (count)")),
}  # fmt: skip
"""What a code is said of, and the messages of its codes."""
DOORS_ARE = {
    "open": later("doors open"),
    "closed": later("doors closed"),
    "in-use": later("doors in-use"),
}
"""All of them together, as the record says it."""


IN_ENGLISH = {("so", "true"): "yes", ("so", "false"): "no"}
"""Codes that are no words in English either."""


def chosen(code: str, of: str) -> str:
    """A code in words; the code itself where it has none: a symbol, a letter, what was typed and is none."""
    if not of:
        return code
    if language() == ENGLISH:
        return IN_ENGLISH.get((of, code), code)
    if of == NAMES:
        return spoken(code)
    return named(code, 1) if of == UNITS else word(code, of)


def folded(text: str) -> str:
    """As it is compared when it is typed: no capitals, no accents."""
    apart = unicodedata.normalize("NFKD", text.strip().casefold())
    return "".join(c for c in apart if not unicodedata.combining(c))


ALSO: dict[tuple[str, str], str] = {
    ("ground", "asphalt"): later("tarmac, blacktop, bitumen"),
    ("ground", "concrete"): later("cement, cement slab"),
    ("ground", "gravel"): later("crushed stone, stones"),
    ("ground", "grass"): later("lawn, turf, sod, meadow"),
    ("ground", "sand"): later("beach, dune"),
    ("held", "ballast"): later("weights, weight, bags, sandbags"),
    ("held", "stakes"): later("pegs, peg, stake, pins"),
    ("made", "bare-metal"): later("metal, aluminum, iron"),
    ("door", "closed"): later("shut"),
    ("so", "true"): later("yes, y"),
    ("so", "false"): later("no, n"),
    ("result", "passed"): later("pass, ok, okay"),
    ("result", "failed"): later("fail, not ok"),
    (UNITS, "sandbag"): later("bag, bags, sandbags, sack"),
    (UNITS, "water-barrel"): later("barrel, barrels, drum, drums"),
    (UNITS, "water-tote"): later("tote, totes, ibc"),
    (UNITS, "concrete-block"): later("block, blocks, concrete, cement block"),
}
"""What people call some of them besides, in each language: one name and another, a comma between."""


def also(code: str, of: str) -> list[str]:
    """Other names of a code, as they are compared."""
    return [folded(x) for x in str(ALSO[of, code]).split(",")] if (of, code) in ALSO else []


def code_of(text: str, of: str, codes: Iterable[str]) -> str:
    """The code that was typed by its word or by another name of it; what was typed where it is none."""
    if not of:
        return text
    typed, every = folded(text), tuple(codes)
    if typed.replace(" ", "-") in every:  # "as planned", "people out"
        return typed.replace(" ", "-")
    words = () if language() == ENGLISH else (c for c in every if typed in (folded(c), folded(chosen(c, of))))
    return next(iter(words), None) or next((c for c in every if typed in also(c, of)), text)


def is_now(text: str) -> bool:
    """Whether what was typed for a time is this moment, in English or in the language that is read."""
    return folded(text) in (folded("now"), folded(say("now")))


def any_of_codes(codes: Iterable[str], of: str) -> str:
    """Codes in words, one after the other."""
    return ", ".join(str(chosen(c, of)) for c in codes)
