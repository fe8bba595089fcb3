"""What comes out of the outlook, with the names of its JSON. Times are ISO 8601 in UTC; speeds m/s, loads Pa."""

from typing import Literal

from pydantic import Field

from anchorage.core.out import Level, Limiting, Number, Out, PolicyOut, RecordOut
from anchorage.core.told import MaybeWorded, Worded
from anchorage.judging.result import Verdict


class HourOut(Out):
    """One hour against the limits."""

    start: str
    end: str
    gust_m_s: Number
    """None where nobody says; see gust_is."""
    gust_is: Literal["forecast", "at least", "missing"]
    """``at least``: only what must be reckoned with is known, such as a mean wind turned up; never enough for go."""
    gust_text: str
    wind_from: Number
    limit_m_s: Number
    """The limiting gust for that direction, as far as one is known."""
    state: str = ""
    """State of the ground in this hour: that of the file, or what the forecast makes of it."""
    limit_gust_m_s: Number = None
    """The limiting gust on that ground, whatever the direction."""
    share: Number
    """Gust over the limiting gust."""
    snow_load_pa: float
    snow_share: Number
    temperature_c: Number
    thunder: bool
    level: Level
    known_level: Level
    """The level that is certain even where the hour is unknown."""
    verdict: Verdict
    subjects: dict[str, Verdict]
    governed_by: str
    because: MaybeWorded = Field(alias="why")
    wind_shift: bool
    outlook_only: bool
    chance: Number
    """Chance that the gust passes the limit, where the forecast has a spread and no thunder."""

    @property
    def why(self) -> str:
        """In words; empty where there is nothing to tell."""
        return "" if self.because is None else str(self.because)


class DeadlinesOut(Out):
    """The latest times to begin; None where no level is reached, or where a time is missing."""

    secure_by: str | None
    people_out_by: str | None
    start_strike_by: str | None


class DeadlineNoteOut(Out):
    """How a deadline came about."""

    name: Literal["secure_by", "people_out_by", "start_strike_by"]
    reached: str | None
    """Start of the hour that it is counted back from."""
    because: Worded
    done_by: str | None
    missing: list[str]
    """Times that the file does not give."""
    past: bool
    outlook_only: bool
    lull_m_s: Number = None
    """Wind under which alone it is taken down, where its bare shell stands in no more and the forecast is over that already."""
    lull_by: str | None = None
    """The latest time to begin that, before the wind asks to secure; None where a time of the file is missing."""
    lull_before: str | None = None
    """Start of the hour that asks to secure, which that is counted back from."""
    asked: bool = True
    """Of taking down: whether an hour of the forecast asks for it. Where none does it is the last time that it can be done, and no order."""
    begun: bool = False
    """It is coming down already: the time is the one by which it has to be down."""


class WindowOut(Out):
    """A stretch of time."""

    start: str
    end: str
    outlook_only: bool


class WindowsOut(Out):
    """When it can stand, and when there is time for all of it."""

    longest_go: WindowOut | None
    earliest_fit: WindowOut | None
    """Long enough for set-up, use and taking down."""
    missing: list[str]


class ChanceOut(Out):
    """Hours are not independent, so a range and never one number."""

    low: Number
    high: Number
    told: Worded = Field(alias="text")

    @property
    def text(self) -> str:
        """In words."""
        return str(self.told)


class SourceOut(Out):
    """Where a forecast is from and how old it is."""

    format: str
    name: str
    issued: str | None
    age_h: Number
    stale: MaybeWorded
    """Why it gives no go; None where it may."""


class ReasonOut(Out):
    """Why the verdict is what it is."""

    code: str
    told: Worded = Field(alias="text")

    @property
    def text(self) -> str:
        """In words."""
        return str(self.told)


class RemarkOut(Out):
    """A piece of a forecast, where it stands, and what became of it."""

    text: str
    at: str
    why: str


class RemarksOut(Out):
    """Everything that the forecasts say: nothing is in none of the three."""

    used: list[RemarkOut] = Field(default_factory=list)
    harmless: list[RemarkOut] = Field(default_factory=list)
    not_understood: list[RemarkOut] = Field(default_factory=list)
    """Its hours are unknown."""


class Outlook(Out):
    """Verdict for a stretch of time, hour by hour, with the latest times to act."""

    schema_: Literal[1] = Field(default=1, alias="schema")
    name: str
    show_units: Literal["us", "si"]
    zone: str
    now: str
    verdict: Verdict
    subject: str
    head: Worded = Field(alias="headline")
    start: str
    end: str
    """The headline covers this stretch; later hours are shown and do not set it."""
    window_given: bool
    reasons: list[ReasonOut]
    limit_m_s: Number
    by: Limiting = Field(alias="governed_by")
    levels: PolicyOut
    hours: list[HourOut]
    deadlines: DeadlinesOut
    deadline_notes: list[DeadlineNoteOut]
    cannot_strike: bool
    """True where taking it down cannot be finished in time any more: people out, and keep away."""
    all_clear_not_before: str | None
    """Earliest return after the first spell of people-out; an inspection comes before it."""
    windows: WindowsOut
    chance: ChanceOut | None
    source: SourceOut
    sources: list[SourceOut]
    provenance: str
    remarks: RemarksOut = Field(default_factory=RemarksOut)
    conditions: list[Worded]
    assumptions: list[Worded]
    cautions: list[Worded]
    record: RecordOut | None = None
    """What the record beside the deployment file changed."""

    @property
    def governed_by(self) -> str:
        """What sets the limit, in English, as the JSON has it."""
        return self.by.limits

    set_up_first: Verdict | None = None
    """Whether it may go up in the hours that this takes, where nothing says that it stands and that is worse than the verdict; the headline says it first."""

    @property
    def leads(self) -> Verdict:
        """What the headline says first."""
        return self.set_up_first or self.verdict

    @property
    def headline(self) -> str:
        """In words."""
        return str(self.head)

    def to_json(self) -> str:
        """One JSON object, keys as named here; no NaN, no infinity."""
        return self.model_dump_json(by_alias=True, indent=2)
