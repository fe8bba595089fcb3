"""The frozen base of everything that is given out as JSON."""

import math
from typing import Annotated, Literal

from pydantic import BaseModel, ConfigDict, Field, PlainSerializer, PlainValidator

from anchorage.core.checked import Check
from anchorage.core.told import MaybeWorded, Worded, Words, together


def _finite(value: float | None) -> float | None:
    return value if value is not None and math.isfinite(value) else None


Number = Annotated[float | None, PlainSerializer(_finite, when_used="json")]
"""A float; in JSON null where there is none or no finite one."""


class Out(BaseModel):
    """Frozen part of a Plan."""

    model_config = ConfigDict(
        frozen=True, extra="forbid", populate_by_name=True, serialize_by_alias=True, defer_build=True
    )


Limiting = Annotated[
    Check,
    PlainValidator(lambda c: c if isinstance(c, Check) else Check.limiting(c)),
    PlainSerializer(lambda c: c.limits, return_type=str, when_used="json"),
]
"""The check that sets a limit; in JSON by what it is called there."""
MaybeLimiting = Annotated[
    Check | None,
    PlainValidator(lambda c: c if c is None or isinstance(c, Check) else Check.limiting(c) if c else None),
    PlainSerializer(lambda c: "" if c is None else c.limits, return_type=str, when_used="json"),
]
"""The same where there may be none: empty in JSON."""
Level = Literal["normal", "secure", "people-out", "keep-away", "unknown"]


class Reason(Out):
    """Why the verdict is what it is."""

    code: str
    told: Worded = Field(alias="text")
    of: tuple[Check, str] | None = Field(default=None, exclude=True)
    """The check that is not met, and where; not part of the JSON."""
    by_level: bool = Field(default=False, exclude=True)
    """It tells of the level alone; not part of the JSON."""

    @property
    def text(self) -> str:
        """In words."""
        return str(self.told)

    @property
    def exceeded(self) -> bool:
        """Whether it tells of a check that is not met."""
        return self.of is not None


class PolicyOut(Out):
    """Shares of the limiting gust at which the levels begin, where they are from, and who signed for a policy of one's own."""

    secure: float
    people_out: float
    keep_away: float
    source: Worded
    signed_by: str | None = None
    notice: MaybeWorded = None
    """What every page says of a policy that is looser than published practice: who answers for it."""

    def told_after(self, headline: Words) -> Words:
        """A headline with the notice behind it."""
        return headline if self.notice is None else together(headline, self.notice, between=" - ")

    def after(self, headline: str) -> str:
        """The same of a headline that is in words."""
        return headline if self.notice is None else f"{headline} - {self.notice}"


class ChangeOut(Out):
    """What the record says anew of the installation. code: placed | not-counted | doors | straps | state | snow | snow-kept | snow-until-looked | tests | test-expired | struck | coming-down."""

    code: str
    value: str = ""
    where: str = ""
    """The points it is said of; nothing for all."""
    entry: int | None = None
    in_all: int | None = Field(default=None, exclude=True)
    """Of what was placed, where the number is over all points; not part of the JSON."""
    counted: int | None = Field(default=None, exclude=True)
    """Of that, how many count: a whole number at each point; not part of the JSON."""


class EditOut(Out):
    """A key of the deployment file that reads otherwise than when something was logged."""

    key: str
    was: str
    now: str
    since: int
    """The last entry that was written beside the earlier text."""


class HeldOut(Out):
    """The level at which the installation stands by what was logged: that of readings falls only by an all-clear that counts, that of thunder when its wait is over."""

    level: Level
    entry: int
    """The reading or the thunder that holds it."""
    clears: int
    """Before this no all-clear counts; of thunder alone the end of its wait. Seconds UTC."""
    told: Worded = Field(alias="text")
    refused: MaybeWorded = None
    """Why the last all-clear does not count; it is told too."""

    @property
    def text(self) -> str:
        """In words."""
        return str(self.told)


class RecordOut(Out):
    """The record that stands over a deployment file: what it changed, and what it leaves open."""

    entries: int
    last: str
    """Number and seal of the last entry."""
    phase: Literal["", "not-up", "going-up", "up", "coming-down", "down"] = ""
    """How far the work is by what was logged last of it; nothing where nothing was."""
    counted: Literal["record", "file", "plan"]
    """Whose counts stand."""
    changes: list[ChangeOut] = []
    edits: list[EditOut] = []
    asks: list[Reason] = []
    """Open questions: none of them leaves a go."""
    blocks: list[Reason] = []
    """What leaves nobody in and no setting up: an inspection that failed."""
    notes: list[Worded] = []
    """What was noted and done, in the words of who wrote it: shown, never judged."""
    level: HeldOut | None = None
    """None at the normal level."""
    thunder: list[int] = []
    """When thunder was heard, seconds UTC."""
