"""What a run with one thing changed gives back."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Literal

from pydantic import Field

from anchorage.core import tables
from anchorage.core.out import Number, Out
from anchorage.core.told import Worded


class LostOut(Out):
    """The anchor whose loss costs most, and what is left."""

    point: str
    gust_m_s: Number
    """Gust that the rest takes where the frame spans the lost foot."""
    lifts_m_s: Number = None
    """Gust from which the lost foot lifts: people out before it, unless the maker says that the frame spans it."""
    neighbour: str
    neighbour_more_n: float
    """What the neighbour that suffers most then holds more, unfactored (N)."""


Cover = Literal["attached", "after"]
"""Whether roof and walls are on the frame when it is raised, or go on once it stands."""
Step = Literal["raise", "rest", "roof", "walls", "use"]
"""Steps of setting up. With the cover on: the frame is raised, and the rest placed after the windward corners. With the cover
after: the roof, then the walls go on. Last it is used.
"""


class PlaceFirstOut(Out):
    """What is at the points before a step of setting up, counted from the first."""

    before: Step
    points: dict[str, int]
    total: int
    gust_m_s: Number
    """Gust that it then holds."""


class HalfBuiltOut(Out):
    """While it is set up, or in reverse taken down: the weakest state that it is in before it is finished."""

    gust_m_s: Number
    """None where it cannot be judged; the note says why."""
    governed_by: str
    told: Worded = Field(alias="note")
    cover: Cover | None = None
    """None where the file does not say: the worse of both is judged."""
    known: bool = True
    """False where it cannot be judged."""
    bare_m_s: Number = None
    """What the shell holds with nothing on it; None where its cover goes on after the frame."""
    open_m_s: Number = None
    """What the weakest state before the walls are on holds, with all that may be on through the feet by then; None where there is none."""
    first: int | None = None
    """Units that it takes before the walls are on; None where none are enough, or there is no such state."""
    finished_m_s: Number = None
    """What it holds finished, every door open."""
    up_to_m_s: Number = None
    """Forecast gust up to which it may be put up or taken down, the share of the level and local policy in it."""
    mean_m_s: float = 0.0
    """The mean wind that the gust which is judged rides on."""
    mean_is: Literal["typed", "from the gust"] = "from the gust"
    gust_factor: float = 1.0
    """Gust over mean."""

    @property
    def note(self) -> str:
        """In words."""
        return str(self.told)


class WallOut(Out):
    """Units in all with one wall open and with it shut; None where no number is enough."""

    wall: str
    units_open: int | None
    units_shut: int | None


class GroupOut(Out):
    """Points that get the same count: a group of them, or their ids where a group is told apart no further; what is counted there where that differs."""

    at: str
    item: str = ""
    each: int

    @property
    def name(self) -> str:
        """``corner``, ``side, sandbag``."""
        return f"{self.at}, {self.item}" if self.item else self.at

    @staticmethod
    def by_name(groups: Sequence[GroupOut]) -> dict[str, int]:
        """The counts by the names of the groups, as the JSON has them."""
        return {g.name: g.each for g in groups}

    @classmethod
    def read(cls, counts: Mapping[str, int]) -> tuple[GroupOut, ...]:
        """The groups of such a JSON."""
        parts = [(name.partition(", "), n) for name, n in counts.items()]
        return tuple(cls(at=at, item=item, each=n) for (at, _, item), n in parts)


class RangeOut(Out):
    """What the count may come to when all that was left out is found out; the high end is what counts until then."""

    least_units: int
    """Only if all of ``seen`` is true."""
    most_units: int | None
    """None where no number is enough as it is known."""
    seen: list[Worded]
    """What has to be seen for the low end."""


class FindOut(Out):
    """A line of what to find out or to do, found by running again alone."""

    code: str
    told: Worded = Field(alias="text")
    total: int
    """Units in all then."""
    saves: int | None
    """None where no number is enough without it."""

    @property
    def text(self) -> str:
        """In words."""
        return str(self.told)


PULL = "pull"
"""Code of the line what three pulls would save."""


def pull_first(lines: Sequence[FindOut]) -> FindOut | None:
    """The line of three pulls, where they would save so much that no more is driven before."""
    share = tables.table("evidence").by_key["pull-first"].value
    found = (
        o for o in lines if o.code == PULL and (o.saves is None or o.total <= share * (o.total + o.saves))
    )
    return next(found, None)
