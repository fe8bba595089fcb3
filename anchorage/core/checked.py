"""What is checked, as a value: a check is known by what it asks and by what gives, and its English name is that of the JSON."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from functools import cached_property

from anchorage.core.say import say
from anchorage.core.words import spoken


class What(StrEnum):
    """What a check asks. ``{by}`` is where what it is told of stands in the name."""

    LIFT = "lift"
    LIFT_AT_POINT = "lift at a point"
    LIFT_OF_FOOT = "lift of a frame foot"
    SLIDE = "slide"
    SLIDE_OF_FRAME = "slide of a frame"
    OVERTURN = "overturn"
    LEAST_SLIDE = "code minimum: slide"
    LEAST_OVERTURN = "code minimum: overturn"
    BARE = "foot that holds nothing"
    STAKE = "stake"
    STAKE_OF_FOOT = "stake of a frame foot"
    UPLIFT = "uplift"
    UPLIFT_OF_FRAME = "uplift of its frame"
    PUSH = "push"
    PUSH_OF_FRAME = "push of its frame"
    RATING = "rating"
    POLICY = "local policy"
    TAKING_DOWN = "taking down"
    MOST_AT_POINT = "the most that a point can have"
    WEAKEST_SIDE = "the anchorage, for wind from its weakest side"
    """What limits whatever the wind, where the wind of the file is from a better side."""
    STRAPS = "straps {by}"
    STRAPS_STILL = "straps {by}, no wind"
    BEARING = "ground bearing"
    FOOT = "leg and foot"
    SNOW = "roof snow"
    SNOW_UNEVEN = "roof snow, uneven"
    WATER = "water on the roof"
    SNOW_LOAD = "snow load by {by}"
    SNOW_DEPTH = "snow depth by {by}"

    @property
    def of_frame(self) -> bool:
        """Whether one frame alone is asked, on its own two feet."""
        return self in _OF_FRAME

    @property
    def on_line(self) -> bool:
        """Whether what stands at the end of a line is asked, or the line itself: ``by`` says which."""
        return self in _ON_LINE

    @property
    def lifting(self) -> bool:
        """Whether a line is pulled by what lifts and not by the push."""
        return self in (What.UPLIFT, What.UPLIFT_OF_FRAME)


_ON_LINE = frozenset({What.UPLIFT, What.UPLIFT_OF_FRAME, What.PUSH, What.PUSH_OF_FRAME})
_OF_FRAME = frozenset({What.LIFT_OF_FOOT, What.SLIDE_OF_FRAME, What.STAKE_OF_FOOT, What.UPLIFT_OF_FRAME, What.PUSH_OF_FRAME})  # fmt: skip


class Gives(StrEnum):
    """What gives on a line, where all points have the same."""

    LINE = "line"
    STAKE = "stake"
    BLOCK = "block"
    DEADMAN = "deadman"
    ANCHOR = "line anchor"
    """More than one kind."""


@dataclass(frozen=True)
class Check:
    """A check: what it asks, and what gives, which way straps run or whose rule it is."""

    what: What
    by: str = ""

    @cached_property
    def name(self) -> str:
        """Its name in English, as the JSON has it and as it is asked for."""
        return f"{self.by}: {self.what}" if self.what.on_line else self.what.value.format(by=self.by)

    @classmethod
    def named(cls, name: str) -> Check:
        """The check of a name; raises ValueError where it is none."""
        for what in sorted(What, key=len, reverse=True):
            before, hole, after = (f"{{by}}: {what}" if what.on_line else what).partition("{by}")
            if name.startswith(before) and name.endswith(after) and (hole or name == before):
                return cls(what, name[len(before) : len(name) - len(after)])
        raise ValueError(name)

    @property
    def limits(self) -> str:
        """What it is called in English where it sets the limit, as the JSON has it."""
        return _LIMITS[self.what].format(by=self.by) if self.what in _LIMITS else self.name

    @classmethod
    def limiting(cls, name: str) -> Check:
        """The check of such a name; raises ValueError where it is none."""
        for what, limits in _LIMITS.items():
            before, hole, after = limits.partition("{by}")
            if name.startswith(before) and name.endswith(after) and (hole or name == before):
                return cls(what, name[len(before) : len(name) - len(after)])
        return cls.named(name)

    @property
    def code(self) -> str:
        """Of the reason that it gives where it is not met."""
        return "-".join(self.name.translate(_BARE).split()).lower() + "-exceeded"

    def __str__(self) -> str:
        """In words."""
        match self.what:
            case What.STRAPS:
                return say("straps {direction}", direction=spoken(self.by))
            case What.STRAPS_STILL:
                return say("straps {direction}, no wind", direction=spoken(self.by))
            case What.SNOW_LOAD:
                return say("snow {measure} by {rule}", measure=spoken("load"), rule=self.by)
            case What.SNOW_DEPTH:
                return say("snow {measure} by {rule}", measure=spoken("depth"), rule=self.by)
        return spoken(self.name)


_LIMITS = {
    What.RATING: "the maker's rating, straps {by}",
    What.POLICY: "local policy",
    What.STRAPS: "the straps, sway {by}",
    What.TAKING_DOWN: "the shelter half taken down",
}
"""What is a gust of its own and no limit of an anchor."""
_BARE = str.maketrans("", "", ":,'")
