"""What a run with one thing changed gives back."""

from __future__ import annotations

from anchorage.core.out import Number, Out


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


class HalfBuiltOut(Out):
    """The state half way through setting up: roof up, walls off."""

    gust_m_s: Number
    """None where it cannot be judged; the note says why."""
    governed_by: str
    note: str


class WallOut(Out):
    """Units in all with one wall open and with it shut; None where no number is enough."""

    wall: str
    units_open: int | None
    units_shut: int | None


class RangeOut(Out):
    """What the count may come to when all that was left out is found out; the high end is what counts until then."""

    least_units: int
    """Only if all of ``seen`` is true."""
    most_units: int | None
    """None where no number is enough as it is known."""
    seen: list[str]
    """What has to be seen for the low end."""


class FindOut(Out):
    """A line of what to find out or to do, found by running again alone."""

    code: str
    text: str
    total: int
    """Units in all then."""
    saves: int | None
    """None where no number is enough without it."""
