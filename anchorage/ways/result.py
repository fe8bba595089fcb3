"""What a comparison of ways gives out, in SI, with the names of its JSON."""

from __future__ import annotations

from typing import Any, Literal

from anchorage.core.out import Number, Out, PolicyOut, Reason

Verdict = Literal["go", "no-go", "unknown"]


class AtPointOut(Out):
    """What goes to one point."""

    id: str
    kind: str
    unit: str
    units: int


class NextOut(Out):
    """What gives after what gave before it, and at which gust."""

    point: str
    gust_m_s: Number


class LineOut(Out):
    """A line as it is judged, tied at the eave."""

    point: str
    angle_deg: float
    """Above the ground."""
    from_front_deg: float
    """Direction in plan, clockwise from where the front faces."""
    bearing_deg: Number
    """The same, true; null where it is not known which way the front faces."""
    from_wall_m: float
    """In plan, to where it comes down: tied lower it comes down nearer."""
    length_m: float
    allowed_deg: list[float] = []  # noqa: RUF012 - the same
    """Directions from the front that nothing which is kept clear is in the way of."""


class WayOut(Out):
    """One way to hold it, as the deployment that its changes make of the file is judged."""

    name: str
    changes: dict[str, Any]
    """Dotted keys of the file with what is to stand there; null: the key is taken out."""
    verdict: Verdict
    use: str
    """What it is then held for."""
    points: list[AtPointOut]
    total: int
    mass_kg: float
    person_min: float
    crew: int
    water_kg: float = 0.0
    hands: str = ""
    """What lifts the heaviest unit: one person, two people, a machine."""
    loads: dict[str, int] = {}  # noqa: RUF012 - pydantic copies a default
    """Loads by vehicle, each by itself enough."""
    gust_m_s: Number
    bound_m_s: Number = None
    """Of everything that was brought: no arrangement of these kinds at these points holds more; null for other ways."""
    any_side_m_s: Number = None
    """Gust from the side from which it holds least, where that is less than in the wind that is forecast; null elsewhere."""
    least_min: Number = None
    """Of what was brought: no arrangement that does it is proved to take more person-minutes than this; null where the least was found."""
    gives_first: str
    fails_next: list[NextOut] = []  # noqa: RUF012 - the same
    holds_on: bool | None = None
    """Whether the next gives no sooner than at 1.2 times the gust of the first; null where it was not run. For the engineer alone."""
    first_nominal_m_s: Number = None
    """Gust at which the first gives with no margin anywhere: what fails_next is to be held against."""
    one_more: NextOut | None = None
    """The single unit more that raises the limit most, and to what; null where none does."""
    lines: list[LineOut] = []  # noqa: RUF012 - the same
    """Where its lines run."""
    needs: list[str]
    """What has to be true, and what has to be known first."""


class NotOut(Out):
    """A way that does not do it, or that nobody can judge."""

    name: str
    why: str


class WaysOut(Out):
    """The ways that are not beaten in both work and gust, and those that do not do it."""

    name: str
    show_units: Literal["us", "si"]
    verdict: Verdict
    """Of the file as it is."""
    use: str
    gust_m_s: float
    """That they are held against."""
    policy: PolicyOut
    ways: list[WayOut]
    """Least work first."""
    not_: list[NotOut]
    stock_given: bool = True
    """False where nothing is said of what was brought: the list is what to bring."""
    beaten: int
    """Ways that do it and are beaten by one of the list."""
    whatever: list[Reason] = []  # noqa: RUF012 - the same
    """What stands in the way of go whatever holds it."""
    from_memory: list[str] = []  # noqa: RUF012 - the same
    """Rates of work that nobody has read anywhere."""
