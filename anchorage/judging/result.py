"""What comes out: a Plan, frozen, in SI, with the names of its JSON."""

import math
from collections.abc import Mapping, Sequence
from typing import Annotated, Any, Literal, Self

from pydantic import BeforeValidator, Field, PlainSerializer, PlainValidator

from anchorage.checks.outcome import (
    FindOut,
    GroupOut,
    HalfBuiltOut,
    LostOut,
    PlaceFirstOut,
    RangeOut,
    WallOut,
)
from anchorage.core.checked import Check
from anchorage.core.closed import place_of
from anchorage.core.out import (
    HeldOut,
    Level,
    Limiting,
    MaybeLimiting,
    Number,
    Out,
    PolicyOut,
    Reason,
    RecordOut,
)
from anchorage.core.told import MaybeWorded, Worded
from anchorage.core.words import WORST_LAST
from anchorage.deployment.policy import SUBJECTS

Verdict = Literal["go", "no-go", "unknown"]


class WindOut(Out):
    """The wind that was judged: service 3 s gust at 10 m, q at the shelter."""

    gust_m_s: float
    velocity_pressure_pa: float
    density_kg_m3: float
    method: str
    exposure: str
    over_hill: float = 1.0
    """What the shelter feels on a hill over the gust given here, which is for level ground."""
    as_typed: str


class DemandOut(Out):
    """Unfactored demand, each the largest over the load cases."""

    uplift_n: float
    sliding_n: float
    overturning_n_m: float
    case: str


_BY_NAME = PlainValidator(lambda c: c if isinstance(c, Check) else Check.named(c))


class CheckOut(Out):
    """One check: demand / capacity is the ratio; ratio is None where there is no resistance at all."""

    check: Annotated[Check, _BY_NAME, PlainSerializer(lambda c: c.name, return_type=str)] = Field(
        alias="name"
    )
    demand: float
    capacity: float
    unit: str
    ratio: Number
    ok: bool
    case: str
    where: str
    holds_to_m_s: Number
    """Service gust at which this check alone is just met; None where the wind does not reach it."""

    @property
    def name(self) -> str:
        """In English, as the JSON has it."""
        return self.check.name


class PointOut(Out):
    """What goes at an anchor point, and what it is asked for, unfactored."""

    id: str
    group: str
    kind: str
    """ballast | stakes | line-ballast | deadman | none."""
    item: str
    """What is counted there."""
    usable: bool
    x_m: float
    y_m: float
    uplift_n: float
    sliding_n: float
    units: int
    mass_kg: float
    stakes: int

    @property
    def along(self) -> str:
        """The wall that it stands at."""
        return place_of(self.id)[0]

    @property
    def number(self) -> int:
        """Its place there, from 1."""
        return place_of(self.id)[1]


class TotalOut(Out):
    """Over all points."""

    units: int
    mass_kg: float
    stakes: int


class AnchorageOut(Out):
    """What holds it down; ``sized`` True where the program chose the counts."""

    kind: str
    unit: str
    unit_mass_kg: float
    unit_strength_n: float
    """Ultimate pull of one stake along its line (N); 0 for ballast."""
    line_angle_deg: Number = None
    """Of the guy lines above the ground; None where there are none."""
    line_strength_n: Number = None
    """Rated load of the weakest of line, knot and loop (N); None where there is no line or none is given."""
    line_weakest: str = ""
    """Which of them that is."""
    friction: float
    sized: bool
    points: list[PointOut]
    total: TotalOut


class BearingOut(Out):
    """Limiting gust for wind from a compass bearing (degrees true)."""

    bearing: float
    gust_m_s: Number


class TornOut(Out):
    """What is left when a door that counts as closed is torn open: an accident, no limit to work to."""

    doors: list[str]
    """The walls of the closed doors."""
    gust_m_s: Number
    """With any one of them open, the worst; null where that cannot be judged."""
    told: MaybeWorded = Field(default=None, alias="note")

    @property
    def note(self) -> str:
        """In words; empty where there is nothing to tell."""
        return "" if self.told is None else str(self.told)


class LimitOut(Out):
    """The gust that the installation takes: of anchorage, rating and policy the lowest."""

    gust_m_s: Number
    by: Limiting = Field(alias="governed_by")
    anchorage_gust_m_s: Number
    anchorage_by: Limiting = Field(alias="anchorage_governed_by")
    where: str
    case: str
    anchorage_only: bool
    """True where the maker's rating is missing: the frame itself has not been judged."""
    secured_gust_m_s: Number
    """With every opening shut that can be shut."""
    torn_open: TornOut | None = None
    """None where no door is counted as closed."""
    by_bearing: list[BearingOut]
    foot: str = ""
    """The foot that holds nothing and lifts first; empty where every foot holds something, or the frame spans one by word."""
    foot_gust_m_s: Number = None
    """From which gust it lifts."""
    spanned_gust_m_s: Number = None
    """What the rest holds where the frame spans the feet that hold nothing; None where there are none."""
    roof_snow_pa: Number = None
    """Snow that the maker gives for the straps as they are."""
    roof_snow_depth_m: dict[str, float] = {}
    """What depth that is if new, settled, wet."""

    @property
    def governed_by(self) -> str:
        """In English, as the JSON has it."""
        return self.by.limits

    @property
    def anchorage_governed_by(self) -> str:
        """The same of the anchorage alone."""
        return self.anchorage_by.limits


class LevelsOut(Out):
    """Service gusts at which each level begins, and the level of the gust that was judged."""

    level: Level
    share: Number
    """Gust over the limiting gust."""
    secure_m_s: Number
    people_out_m_s: Number
    keep_away_m_s: Number

    @property
    def gusts(self) -> tuple[float | None, float | None, float | None]:
        """Gusts (m/s) at which secure, people out and keep away begin."""
        return self.secure_m_s, self.people_out_m_s, self.keep_away_m_s


class AlarmOut(Out):
    """A load or a depth of snow at which something is due, by a rule or by the roof's own limit."""

    rule: str
    measure: Literal["load", "depth"]
    at: float
    """Pa or m."""
    now: Number
    """Pa or m."""
    reached: bool
    """It has come to what the rule, or this share of what the maker gives, allows."""
    told: Worded = Field(alias="text")
    level: Level = "normal"
    by_rule: bool = Field(default=True, exclude=True)
    """Of a rule, not of what the maker gives."""

    @property
    def text(self) -> str:
        """In words."""
        return str(self.told)


class FillingOut(Out):
    """When the snow reaches a share of what the roof takes, at the rate that the file gives."""

    share: float
    load_pa: float
    hours: Number
    told: Worded = Field(alias="text")

    @property
    def text(self) -> str:
        """In words."""
        return str(self.told)


class PondOut(Out):
    """Can water stand on the roof, and what it would weigh."""

    slope_deg: float
    needed_slope_deg: Number
    """Slope above which no pocket forms, by the sag; None where no sag is given."""
    pocket: bool
    mass_kg: Number
    """Of a dish as wide as the span of the sag and as deep as the sag."""
    tension_n_m: Number
    """Tension below which a level panel of that span fills by itself."""
    told: Worded = Field(alias="text")
    load_pa: Number = None
    """Of that pond over where it stands, the equal of so much snow; None where no sag is given."""
    grows: bool = False
    """Cloth drawn tight by hand cannot stop it from growing: people out."""

    @property
    def text(self) -> str:
        """In words."""
        return str(self.told)


class SnowOut(Out):
    """Snow on the roof against the maker's rating."""

    roof_load_pa: float
    limit_pa: float | None
    ratio: float | None
    level: Level = "normal"
    """Of what was measured on the roof, by the maker's figure and every rule chosen; the same scale as the gust."""
    method: Literal["none", "measured", "code"] = "none"
    basis: str = ""
    uneven_light_pa: float = 0.0
    uneven_heavy_pa: float = 0.0
    uneven: str = ""
    strength_load_pa: float | None = None
    rain_pa: float = 0.0
    depth_m: float | None = None
    lying_depth_m: float = 0.0
    """For a rule in depth: as measured, or as deep as new snow would be."""
    mass_kg: float = 0.0
    holds_down_kg: float = 0.0
    """Always nothing: snow is never weight that holds the shelter down."""
    foot_push_n: float | None = None
    """Outward push of a foot of a gable frame under this snow."""
    depth_if_m: dict[str, float] = {}
    """What depth the load is if new, settled, wet."""
    alarms: list[AlarmOut] = []
    filling: list[FillingOut] = []
    clear_every_h: Number = None
    """From a bare roof to the share at which clearing begins."""
    pond: PondOut | None = None
    clearing: list[Worded] = []
    warnings: list[Worded] = []


class RackingOut(Out):
    """One direction of sway. Forces in N for the gust that was judged; tension_n is for one strap."""

    direction: Literal["along the ridge", "across the ridge"]
    resisted_by: str
    vertical_n: Number
    lean: float
    sway_n: Number
    wind_n: float
    amplifier: Number
    push_n: Number
    tension_n: Number
    rated_n: Number
    foot_uplift_n: Number
    holds_to_m_s: Number
    """Service gust at which a strap reaches its rating; None where that cannot be computed."""
    status: Literal["holds", "too weak", "ask the maker"]
    told: Worded = Field(alias="text")

    @property
    def text(self) -> str:
        """In words."""
        return str(self.told)


class StrapsOut(Out):
    """Are the sidewall straps to be locked?"""

    decision: Literal["not needed", "lock", "lock, and still not enough", "ask the maker"]
    told: Worded = Field(alias="reason")
    racking: list[RackingOut] = []
    egress: MaybeWorded = None
    covered_gust_m_s: Number = None
    """Up to here the maker's word for unlocked straps covers a sway on which data is missing; beyond it nobody knows. None where all is known."""
    covered_snow_pa: Number = None
    unknown_sway: list[Worded] = []
    """The directions of it, with what is missing."""

    @property
    def reason(self) -> str:
        """In words."""
        return str(self.told)


class DoesNotOut(Out):
    """Where the way of holding that was chosen does not do it, and why."""

    where: list[str]
    """Ids of the points."""
    told: Worded = Field(alias="why")
    asked: int = 0
    """Units at the point that asks for the most."""
    most: int = 0
    """Units that a point can have."""
    gust_m_s: Number = None
    """What it holds with as many as each point can have."""

    @property
    def why(self) -> str:
        """In words."""
        return str(self.told)


class StockOut(Out):
    """Need against what was brought."""

    item: str
    needed: int
    brought: int
    short: int
    holds_with_stock_m_s: Number
    """With only what was brought, spread so."""
    spread: dict[str, int] = {}
    """So many of what was brought at each point, for the highest gust; empty where nothing is short."""
    first: MaybeLimiting = Field(default=None, alias="gives_first")
    """What gives first then; None where nothing is short."""

    @property
    def gives_first(self) -> str:
        """In English, as the JSON has it; empty where nothing is short."""
        return "" if self.first is None else self.first.limits


def put_up(
    limit: float | None, stock: Sequence[StockOut], not_done: Sequence[DoesNotOut] = (), *, sized: bool
) -> float | None:
    """The gust that what would be put up holds (m/s): with only what was brought where that is short of the counts, with what a point can have, else the limit."""
    only = [s.holds_with_stock_m_s for s in stock if sized and s.short and s.holds_with_stock_m_s is not None]
    only += [n.gust_m_s for n in not_done if n.gust_m_s is not None]
    return min([*only, *([] if limit is None else [limit])], default=None)


_GROUPS = BeforeValidator(lambda x: GroupOut.read(x) if isinstance(x, dict) else x)


class AlternativeOut(Out):
    """What would be needed for another use of the same shelter in the same gust."""

    use: str = ""
    subject: str
    groups: Annotated[tuple[GroupOut, ...], _GROUPS, PlainSerializer(GroupOut.by_name)] = Field(
        alias="units_by_group"
    )
    total: int | None
    """None where no count is enough."""
    does_it: bool = True
    """False where some point would need more than it can have."""


class EvidenceOut(Out):
    """A group of tests at the site and what came of it, in SI."""

    kind: str
    """drag | weigh | pull | vane | meter."""
    contact: str
    state: str
    n: int
    """Places that were read as they are to be."""
    value: Number
    row_value: Number
    """What the tables have, where they have it."""
    used: bool
    why: list[str] = []
    """Codes: what it lacks, or why it counts for less."""


class MovesOut(Out):
    """Of the figures that nobody published, the one that moves the result most when it is at its worse end."""

    row: str
    how: str
    value: str
    worse: str
    """What it was tried at, with its unit: the worse end of its span, or a tenth off where it has none."""
    gust_m_s: Number
    """The limiting gust then."""
    units: int | None
    """How many anchors are needed then, for the use that is judged."""
    units_now: int | None
    ratio: Number
    """Snow on the roof then, as a share of what it carries."""


class ProvenanceOut(Out):
    """The weakest kind of figure that the plan stands on, and which they are."""

    weakest: str
    weak: list[str]
    most: MovesOut | None = None
    """None where none of them moves the result, or where it was not looked for."""
    tried: bool = False
    """Whether it was looked for: where the part for the engineer is asked for."""


class CautionOut(Out):
    """A caution with the practice that it comes from."""

    key: str
    told: Worded = Field(alias="text")
    cited: Worded = Field(alias="source")
    line: Worded = Field(alias="short")
    """The same in one line."""
    called_for: bool = False
    """Whether this installation calls for it above others."""

    @property
    def text(self) -> str:
        """In words."""
        return str(self.told)

    @property
    def source(self) -> str:
        """In words."""
        return str(self.cited)

    @property
    def short(self) -> str:
        """In words."""
        return str(self.line)


def not_up(record: RecordOut | None) -> bool:
    """Whether nothing says that it stands: then the first question is whether it may go up."""
    return record is None or record.phase in ("", "not-up", "down")


def leading(
    record: RecordOut | None, subject: str, verdict: Verdict, subjects: Mapping[str, Verdict]
) -> Verdict:
    """What the headline says first: of a use that is judged as it stands, no more than whether it may go up, as long as it is not."""
    up = subjects.get(SUBJECTS["set-up"], verdict)
    if subject == SUBJECTS["set-up"] or not not_up(record):
        return verdict
    return max(verdict, up, key=WORST_LAST.index)


class Plan(Out):
    """All that was settled about a deployment."""

    schema_: Literal[1] = Field(default=1, alias="schema")
    name: str
    show_units: Literal["us", "si"]
    verdict: Verdict
    subject: str
    subjects: dict[str, Verdict]
    head: Worded = Field(alias="headline")
    reasons: list[Reason]
    does_not_do: list[DoesNotOut] = []
    wind: WindOut
    demand: DemandOut
    checks: list[CheckOut]
    anchorage: AnchorageOut
    limit: LimitOut
    levels: LevelsOut
    policy: PolicyOut
    snow: SnowOut
    straps: StrapsOut
    stock: list[StockOut]
    alternatives: list[AlternativeOut]
    advice: list[Worded]
    range: RangeOut | None = None
    """What the count may come to once all that was left out is seen; it counts for nothing. None where it is one number."""
    to_find_out: list[FindOut] = []
    units_at_friction_2: int | None = None
    """Units in all with a factor of 2 on sliding instead of the 1.5 of the set; for the engineer, nothing is decided by it."""
    lost_anchor: LostOut | None = None
    half_built: HalfBuiltOut | None = None
    set_up_reasons: list[Reason] = []
    """What stands in the way of setting up beyond what stands in the way of the use; part of ``reasons`` where it is judged for setting up."""
    place_first: list[PlaceFirstOut] = []
    """What is placed before each step of setting up."""
    walls: list[WallOut] = []
    margins: dict[str, Any]
    provenance: ProvenanceOut
    conditions: list[Worded]
    unjudged: MaybeWorded = Field(default=None, exclude=True)
    """That the file holds a forecast, which is not judged here: the first condition; None where it holds none. Not part of the JSON."""
    ground_worse: MaybeWorded = Field(default=None, exclude=True)
    """That the ground counts as worse than is said of it, and why; None where it counts as said. Not part of the JSON."""
    no_door: bool = False
    """No door is in the file and nothing opens, which is a question for who stands before it."""
    assumptions: list[Worded]
    cautions: list[CautionOut]
    evidence: list[EvidenceOut] = []
    """Tests at the site and what came of each."""
    record: RecordOut | None = None
    """What the record beside the file changed; None where there is none, or it was left out."""

    @property
    def headline(self) -> str:
        """In words."""
        return str(self.head)

    @property
    def held(self) -> HeldOut | None:
        """The level that readings of the record hold it at; None at the normal one."""
        return None if self.record is None else self.record.level

    @property
    def put_up_m_s(self) -> float | None:
        """The gust (m/s) that what would be put up holds; by it one acts. It is the limit but where the stock is short of the counts, or a point cannot have them."""
        return put_up(self.limit.gust_m_s, self.stock, self.does_not_do, sized=self.anchorage.sized)

    @property
    def goes(self) -> dict[str, int]:
        """Counts that would be put up: no more at a point than it can have, nor than was brought."""
        most = {i: n.most for n in self.does_not_do for i in n.where} | (
            {} if self.short is None else self.short.spread
        )
        counts = {p.id: p.units + p.stakes for p in self.anchorage.points}
        return {i: min(n, most.get(i, n)) for i, n in counts.items()}

    @property
    def short(self) -> StockOut | None:
        """What was brought of the kind that is short, where what would be put up holds less than the counts that are needed."""
        if self.capped is not None or self.put_up_m_s == self.limit.gust_m_s:
            return None
        return next(s for s in self.stock if s.short)

    @property
    def capped(self) -> DoesNotOut | None:
        """What a point cannot have, where that is what holds least."""
        by_stock = put_up(self.limit.gust_m_s, self.stock, sized=self.anchorage.sized)
        if not self.does_not_do or (by_stock is not None and by_stock < (self.put_up_m_s or 0.0)):
            return None
        return max(self.does_not_do, key=lambda n: n.asked - n.most)

    @property
    def by_bearing(self) -> list[tuple[float, float]]:
        """What would be put up by where the wind comes from: bearing, gust (m/s); those without a limit are left out."""
        less = self.short is not None or self.capped is not None
        held = self.put_up_m_s if less and self.put_up_m_s is not None else math.inf
        found = ((b.bearing, math.inf if b.gust_m_s is None else b.gust_m_s) for b in self.limit.by_bearing)
        return [(b, min(g, held)) for b, g in found if min(g, held) < math.inf]

    def beside_a_forecast(self) -> Self:
        """The same where the forecast of the file is judged beside it."""
        if self.unjudged is None:
            return self
        kept = [c for c in self.conditions if c != self.unjudged]
        return self.model_copy(update={"unjudged": None, "conditions": kept})

    @property
    def leads(self) -> Verdict:
        """What the headline says first: as long as nothing says that it stands, whether it may go up counts too."""
        return leading(self.record, self.subject, self.verdict, self.subjects)

    def asks(self, code: str) -> bool:
        """Whether a reason of this code stands in the way."""
        return any(r.code == code for r in self.reasons)

    def to_json(self) -> str:
        """One JSON object, keys as named here; no NaN, no infinity."""
        return self.model_dump_json(by_alias=True, indent=2)
