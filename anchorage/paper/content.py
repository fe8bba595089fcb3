"""What stands on the sheet: the crew's page first, the engineer's and the officer's after it. Nothing is computed here."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import UTC, datetime, tzinfo
from typing import TYPE_CHECKING, NamedTuple

from anchorage.checks.installation import heading_true
from anchorage.core import tables
from anchorage.core.out import Level
from anchorage.core.say import dated, numeral, say
from anchorage.core.told import in_words, tell
from anchorage.core.units import System, both, show
from anchorage.core.version import VERSION
from anchorage.core.words import LEVELS, VERDICTS, WORST_LAST, snow_kind, spoken, torn_words
from anchorage.deployment.models import Deployment
from anchorage.judging.gusts import cannot_stand, coming_down, lull, of_plan, set_up_below, unlocked_words
from anchorage.judging.result import Plan, PointOut, Verdict
from anchorage.judging.verdict import GOING_UP, no_lull, worst_of
from anchorage.loads.wind_trip import Trip, hand_height, trip, trips
from anchorage.outlook.clock import read_iso
from anchorage.outlook.clock import show as show_time
from anchorage.outlook.notes import Note
from anchorage.outlook.result import Outlook
from anchorage.paper.blocks import (  # fmt: skip
    Banner,
    Beside,
    Block,
    Break,
    Bullets,
    Figure,
    Grid,
    Heading,
    Para,
)
from anchorage.paper.charts import polar_drawing, timeline_drawing
from anchorage.paper.drawing import line_angle
from anchorage.paper.drawings import Drawing, plan_drawing, section_drawing
from anchorage.paper.outlook_text import deadline_words, in_order
from anchorage.paper.site_tests import evidence_lines
from anchorage.paper.sketch import Around, compass, count
from anchorage.paper.text import GROUPS, RULES, alarm_words, rule_limits, setting_up, unit_words
from anchorage.paper.words import force_words, record_words, share_words, short_words, spread_words, why_words

if TYPE_CHECKING:
    from anchorage.record.stand import Stand

REASONS = 3
"""Reasons in the frame of the verdict; all of them stand on the second page."""
MANY = 24
"""Points from which on their list gets the whole width."""


@dataclass(frozen=True)
class Made:
    """Where a sheet is from: the file, its fingerprint, when it was made and in which zone that is written."""

    file: str
    fingerprint: str
    now: int
    zone: tzinfo = UTC

    @property
    def when(self) -> str:
        """``Wed 25 Nov 2026 12:00 CST (18:00 UTC)``."""
        here = datetime.fromtimestamp(self.now, UTC).astimezone(self.zone)
        return f"{dated(here, '%d %b %Y')}, {show_time(self.now, self.zone)}"

    @property
    def foot(self) -> str:
        """What stands at the foot of every page."""
        return say(
            "{file}, sha256 {fingerprint} · anchorage {version} · made {when} · not a permit, sealed by no engineer",
            file=self.file,
            fingerprint=self.fingerprint,
            version=VERSION,
            when=self.when,
        )


@dataclass(frozen=True)
class SheetIn:
    """All that a sheet is made of."""

    plan: Plan
    d: Deployment
    made: Made
    outlook: Outlook | None = None
    working: tuple[str, ...] = ()
    """Lines of the working of the governing check."""
    record: tuple[tuple[str, ...], ...] = ()
    """Rows of the record: time, who, what."""
    stand: Stand | None = None
    """Where it stands by its record; None where there is none."""


def down(gust: float | None, plan: Plan) -> str:
    """A gust that something takes, in both systems, rounded down, with the decimals of every other gust of the plan."""
    if gust is None:
        return say("no limit found")
    return both("speed", gust, plan.show_units, digits=of_plan(plan).digits, rounding="down")


def _short(gust: float, system: System) -> str:
    return show("speed", gust, system, rounding="down")


def figure(drawing: Drawing, caption: str | None = None) -> Figure:
    """A drawing as a block."""
    return Figure(drawing.svg, drawing.alt, drawing.width, drawing.note if caption is None else caption)


def height_words(metres: float, system: System) -> str:
    """A height over the ground."""
    return show("length", metres, system)


def level_rows(s: SheetIn) -> tuple[tuple[str, ...], ...]:
    """The levels: gust at 10 m, hand-held reading, Beaufort, what to do."""
    found, system = trips(s.plan.levels.gusts, s.d), s.plan.show_units
    if found is None:
        return ()
    secure = " ".join(t.text for t in tables.texts("action-secure-"))
    at, (below, words) = of_plan(s.plan), set_up_below(s.plan)
    set_up = found.secure if below is None else trip(s.d, below)
    under = lull(s.plan, below)
    put_up = (
        say("In a spell of gusts under this; the frame is raised in a lull under {lull}.", lull=under)
        if under
        else say("Put it up only while the wind stays under this.")
    )
    rows: list[tuple[str, str, Trip, str]] = [
        (say("SET UP only below"), words, set_up, put_up),
        (say("SECURE from"), at.secure, found.secure, secure),
        (
            say("PEOPLE OUT from"),
            at.people_out,
            found.people_out,
            say("Everybody out and away from the downwind side. Back only after an inspection."),
        ),
        (
            say("KEEP AWAY from"),
            at.keep_away,
            found.keep_away,
            say("Nobody near it. Do not try to save it. If it lifts, let go."),
        ),
    ]
    if coming_down(s.plan):
        under = lull(s.plan, s.plan.put_up_m_s)
        down = say("Walls first, from outside, nobody inside. From this gust on stop and stand clear.")
        down += say(" What holds it comes off only in a lull under {lull}.", lull=under) if under else ""
        rows = [(say("GO ON TAKING DOWN below"), at.keep_away, found.keep_away, down), rows[-1]]
    forces = [t.beaufort for _, _, t, _ in rows[1:]]
    out = tuple(
        (name, gust, _short(t.reading, system), _force(t.beaufort, forces, i - 1), do)
        for i, (name, gust, t, do) in enumerate(rows)
    )
    if no_lull(s.plan.half_built) and s.plan.set_up_reasons and not coming_down(s.plan):
        return ((say("Set up"), say("not as told"), "-", "-", s.plan.set_up_reasons[0].text), *out[1:])
    return out


def _force(own: int, forces: list[int], at: int) -> str:
    """A Beaufort force, marked where another level begins at it too. at: place of its level, -1 for setting up."""
    return f"{own} *" if at >= 0 and forces.count(own) > 1 else str(own)


def same_force(s: SheetIn) -> tuple[Block, ...]:
    """Said under the levels where one Beaufort force stands for two of them."""
    found = trips(s.plan.levels.gusts, s.d)
    if found is None or coming_down(s.plan):
        return ()
    levels = (
        (LEVELS["secure"], found.secure),
        (LEVELS["people-out"], found.people_out),
        (LEVELS["keep-away"], found.keep_away),
    )
    return tuple(Para(f"* {t}", bold=True) for t in force_words([(n, t.beaufort) for n, t in levels]))


def fields(s: SheetIn) -> Grid:
    """Rows to be filled in by hand: who answers for it, where it stands, since when."""
    lat, lon = s.d.site.latitude, s.d.site.longitude
    place = "" if lat is None or lon is None else f"{lat:.5f}, {lon:.5f}"
    return Grid(
        (say("site, place"), say("who decides"), say("phone"), say("up since (date, time)")),
        ((place, "", "", ""),),
        "llll",
        (1.4, 1.2, 1, 1),
        tall=True,
    )


def trip_words(s: SheetIn) -> str:
    """How the hand-held reading is taken and what it is worth."""
    found = trips(s.plan.levels.gusts, s.d)
    clear = tables.row("hand-held", "clear").value
    model = (
        ""
        if found is None
        else say(
            " By the terrain model that gives least ({model}), rounded down.", model=found.keep_away.model
        )
    )
    return say(
        "Hand-held: {hand_height} up, facing the wind, {clear} heights from shelter and vehicles, peak held.{model} Act at the reading; a lower one ends no level. Beaufort is a 10 min mean: act when that force is reached.",
        hand_height=height_words(hand_height(), s.plan.show_units),
        clear=numeral(clear, "g"),
        model=model,
    )


class _Said(NamedTuple):
    """A headline that a page could have, what it says first, and what it says of the use."""

    verdict: Verdict
    leads: Verdict
    text: str
    why: tuple[str, ...]
    by_plan: bool = False


OUT: tuple[Level, ...] = ("people-out", "keep-away")
"""Levels at which nobody is inside."""


def _worse_than_going_up(s: SheetIn) -> bool:
    """Whether plan or forecast are a no-go for more than that nobody goes in before it stands."""
    judged = [(s.plan.verdict, [r.code for r in s.plan.reasons])]
    judged += [] if s.outlook is None else [(s.outlook.verdict, [r.code for r in s.outlook.reasons])]
    return any(verdict == "no-go" and codes[:1] != [GOING_UP] for verdict, codes in judged)


def _by_record(s: SheetIn) -> bool:
    """Whether what the record says stands above plan and forecast."""
    x = s.stand
    if x is None:
        return False
    if x.phase == "coming-down":  # plan and forecast say that, and with what it may go on
        return x.level == "keep-away"
    if x.level in OUT or x.struck:
        return True
    if x.phase == "going-up":
        return not _worse_than_going_up(s)
    beside = worst_of(s.plan.verdict, "go" if s.outlook is None else s.outlook.verdict)
    return x.phase == "up" and WORST_LAST.index(x.verdict) > WORST_LAST.index(beside)


def _by_wind(s: SheetIn) -> _Said:
    """Of plan and forecast the worse; where one says that it may not go up and the other less of the use, both."""
    p, o = s.plan, s.outlook
    told = [*setting_up(p), *([] if p.verdict == "go" else why_words(p)[:REASONS])]
    mine = _Said(p.verdict, p.leads, p.headline, tuple(told), by_plan=True)
    if o is None:
        return mine
    theirs = _Said(o.verdict, o.leads, o.headline, tuple(r.text for r in o.reasons[:REASONS]))
    worse = max((theirs, mine), key=lambda x: (WORST_LAST.index(x.verdict), WORST_LAST.index(x.leads)))
    leads = worst_of(mine.leads, theirs.leads)
    if leads == worse.leads:
        return worse
    text = str(
        tell(Note.HEAD_NOT_NOW_AT_ALL, headline=worse.text)
    )  # it may stand for less, and not go up at all
    return worse._replace(leads=leads, text=text, by_plan=False)


def by_plan(s: SheetIn) -> bool:
    """Whether the page has the verdict of the plan, and nothing worse by a forecast or a record."""
    return not _by_record(s) and _by_wind(s).by_plan


def due_now(s: SheetIn) -> tuple[str, ...]:
    """What the forecast asks for by now."""
    o = s.outlook
    if o is None:
        return ()
    return tuple(deadline_words(o, n, s.made.zone) for n in in_order(o) if n.reached is not None and n.past)


def heading(s: SheetIn) -> Banner:
    """The first lines of a page: the worst of plan, forecast and record, and what is due now."""
    said, x = _by_wind(s), s.stand
    why = in_words(x.why[:REASONS]) if x is not None and _by_record(s) else list(said.why)
    under = (*due_now(s), *((say("WHY: ") + " ".join(why),) if why else ()))
    if x is None or not _by_record(s):
        return Banner(said.text, said.leads, under)
    text = x.headline
    because = next(iter(x.why), None) if x.level == "unknown" else x.because
    if text == str(LEVELS[x.level]) and because is not None:  # the level alone is no reason
        text = f"{text}: {because}"
    if x.level in OUT and x.phase in ("", "not-up", "going-up", "up"):
        text = f"{VERDICTS['no-go']}: {text}"
    if x.struck:
        return Banner(text, "plain" if x.thunder_until is None else "no-go", under)
    return Banner(text, x.verdict, under)


def banner(s: SheetIn) -> Banner:
    """What stands above everything on the sheet, and what it is about."""
    p, o, top = s.plan, s.outlook, heading(s)
    name = say("For: ") + p.name  # a name may read like a verdict
    others = "; ".join(f"{spoken(k)}: {VERDICTS[v]}" for k, v in p.subjects.items() if k != p.subject)
    also = say("Also: {others}.", others=others) if others else ""
    under = [name, *top.under, *record_words(p.record)]
    said, recorded = _by_wind(s), _by_record(s)
    if o is not None and (recorded or said.by_plan):
        under.append(say("Outlook: {headline}", headline=o.headline))
    if recorded or not said.by_plan:  # what holds in that gust alone is no answer beside what is worse
        words = p.headline.rstrip(".")
        gust = say("In the gust of the file: {headline}. {also}", headline=words, also="").strip()
        under += [gust] if p.held is None else []  # else it says what the record says
    else:
        under.append(also)
    return Banner(top.text, top.tone, tuple(under))


def limit_words(plan: Plan) -> str:
    """The limiting gust, its averaging and height, and what sets it."""
    lim = plan.limit
    height = "33 ft (10 m)" if plan.show_units == "us" else "10 m"
    only = say(" - anchorage only, ask the maker what the frame takes") if lim.anchorage_only else ""
    lines = say(", if its lines and loops do") if plan.asks("line-rating-missing") else ""
    return say(
        "HOLDS TO {gust_m_s}: 3 s gust at {height}{only}{lines}",
        gust_m_s=down(plan.put_up_m_s, plan),
        height=height,
        only=only,
        lines=lines,
    )


def _gives(s: SheetIn) -> str:
    plan, lim = s.plan, s.plan.limit
    words = share_words(plan) + "."
    if not by_plan(s):  # that is no level of now
        words = say(
            "In the gust of the file: {headline}. {also}", headline=share_words(plan), also=""
        ).strip()
    if plan.capped is not None:
        return f"{words} {cannot_stand(plan)}"
    if plan.short is not None:
        words += say(
            " With only what was brought; gives first: {governed_by}. Once all that is needed is placed: {needed}.",
            governed_by=spoken(plan.short.gives_first),
            needed=down(lim.gust_m_s, plan),
        )
    elif lim.gust_m_s == lim.anchorage_gust_m_s:
        words += say(
            " Gives first: {governed_by}, {where}.",
            governed_by=spoken(lim.governed_by),
            where=spoken(lim.where),
        )
    else:
        words += say(
            " Set by {governed_by}; the anchorage alone holds to {anchorage_gust_m_s}, gives first: {anchorage_governed_by}, {where}.",
            governed_by=spoken(lim.governed_by),
            anchorage_gust_m_s=down(lim.anchorage_gust_m_s, plan),
            anchorage_governed_by=spoken(lim.anchorage_governed_by),
            where=spoken(lim.where),
        )
    if lim.secured_gust_m_s is not None and plan.short is None:
        words += say(
            " With every opening shut: {secured_gust_m_s}.", secured_gust_m_s=down(lim.secured_gust_m_s, plan)
        )
    if (torn := lim.torn_open) is not None:
        words += f" {torn_words(torn.doors, None if torn.gust_m_s is None else down(torn.gust_m_s, plan))}"
    return words


def what_is_there(p: PointOut) -> str:
    """``12 sandbags``."""
    return f"{count(p)} {unit_words(p.item, count(p))}" if p.usable and p.kind != "none" else say("NOTHING")


def point_grid(plan: Plan, *, columns: int = 1) -> Grid:
    """A row a point, with a box to tick."""
    system = plan.show_units

    def force(newtons: float) -> str:
        return show("force", newtons, system, rounding="up")

    rows = tuple(
        (p.id, GROUPS[p.group][0], what_is_there(p), force(p.uplift_n), force(p.sliding_n), "☐")
        for p in plan.anchorage.points
    )
    head = (
        say("at"),
        say("place"),
        say("put there") if plan.anchorage.sized else say("stands there"),
        say("pulls up"),
        say("pushes"),
        say("done"),
    )
    return Grid(
        head,
        rows,
        "lllrrc",
        (0, 0, 0, 0, 0, 0),
        bold=(0, 2),
        columns=columns,
        size=0.95 if len(rows) <= 16 else 0.8,
    )


def clearing_words(plan: Plan) -> list[str]:
    """How the roof is cleared."""
    return in_words(plan.snow.clearing) or [tables.texts("advice-snow")[0].text]


def snow_now(plan: Plan) -> str:
    """What lies on the roof."""
    s, digits = plan.snow, 1 if plan.show_units == "us" else None
    if not s.roof_load_pa:
        return say("none on the roof now.")
    load = show("pressure", s.roof_load_pa, plan.show_units, rounding="up", digits=digits)
    if s.basis:
        return say("{load} on the roof now ({basis}).", load=load, basis=spoken(s.basis))
    return say("{load} on the roof now.", load=load)


def snow_words(plan: Plan) -> list[str]:
    """Load, limit in depths, when to clear."""
    s, system, depths = plan.snow, plan.show_units, plan.limit.roof_snow_depth_m
    digits = 1 if system == "us" else None
    out = [say("SNOW: {lies}", lies=snow_now(plan))]
    if plan.limit.roof_snow_pa is None:
        out.append(say("No snow limit is in the file: the maker has it. Until then keep the roof clear."))
    else:
        top = show("pressure", plan.limit.roof_snow_pa, system, rounding="down", digits=digits)
        deep = ", ".join(
            f"{show('length', v, system, rounding='down')} {snow_kind(k)}" for k, v in depths.items()
        )
        out.append(
            say("At most {top} on the roof", top=top)
            + (say(": that is {deep} snow.", deep=deep) if deep else ".")
            + rule_limits(plan)
        )
    out += [
        alarm_words(a)
        for a in s.alarms
        if a.reached or (a.level not in ("normal", "secure") and a.rule in RULES)
    ]
    if s.filling:
        out.append(
            say("If it goes on snowing as the file says: ") + "; ".join(f.text for f in s.filling) + "."
        )
    return out


def _place(s: SheetIn) -> tuple[Block, ...]:
    """Plan beside the list of points, what is short, and what has to be so."""
    p, a = s.plan, s.plan.anchorage
    total = " ".join(spread_words(p)) if a.total.units + a.total.stakes else say("Nothing is placed.")
    mass = (
        say(" {mass_kg} in all.", mass_kg=show("mass", a.total.mass_kg, p.show_units, rounding="up"))
        if a.total.mass_kg
        else ""
    )
    many = len(a.points) > MANY
    high = 112.0 if s.outlook is None else 92.0
    drawing = figure(plan_drawing(p, s.d, (103.0, high)))
    title = Heading(say("WHAT GOES WHERE") if a.sized else say("WHAT STANDS WHERE"))
    right: list[Block] = [Para(total + mass, bold=True, size=1.15)]
    right += [Para(t, bold=True, size=1.1) for t in short_words(p)]
    if not many:
        right.append(point_grid(p))
    right += _hold_words(s)
    out: list[Block] = [title, Beside(((drawing,), (*right, *_only_if(s))), (1.12, 1.0))]
    return (*out, Break(soft=True), point_grid(p, columns=2)) if many else tuple(out)


def _hold_words(s: SheetIn) -> list[Block]:
    """How it is fixed: the line, the stake, the ballast."""
    d, p, out = s.d, s.plan, list[str]()
    angle, stake = line_angle(d.anchorage), d.anchorage.stake
    if stake is not None and any(x.kind == "stakes" for x in p.anchorage.points):
        size = say(
            "{diameter} thick, {driven} in the ground",
            diameter=show("length", float(stake.diameter), p.show_units),
            driven=show("length", float(stake.driven), p.show_units),
        )
        out.append(say("Stakes {size}.", size=size))
    if angle is not None:
        out.append(
            say(
                "Lines {angle}° above the ground, straight out from the wall, corners at 45°. Tight on both sides, flagged.",
                angle=numeral(angle, "g"),
            )
        )
    how = {
        "lashed-to-leg": say("bound to the legs, every one of them, on the plate or under a stop"),
        "on-foot": say("on the feet of the frame"),
        "hung-clear": say("hung clear of the ground on the frame"),
        "standing-tied": say("on the ground, tied to the foot without slack"),
        "on-flap": say("on the flaps: counts nothing"),
    }
    if d.anchorage.how is not None and any(x.kind == "ballast" for x in p.anchorage.points):
        out.append(say("Ballast {how}.", how=how[d.anchorage.how]))
    out += [say("Measured here: {line}", line=line) for line in evidence_lines(p)]
    return [Para(" ".join(out))] if out else []


def _straps_snow(s: SheetIn) -> tuple[Block, ...]:
    p = s.plan
    title = Heading(say("STRAPS AND SNOW"))
    decision = spoken(p.straps.decision).upper()
    if p.straps.decision == "not needed" and not by_plan(
        s
    ):  # in the gust of the file, which is not that of now
        decision = unlocked_words(p).rstrip(".")
    strap = say("STRAPS: {decision}. {reason}", decision=decision, reason=p.straps.reason)
    return (
        title,
        Para(strap, bold=True),
        *(Para(t, bold=i == 0) for i, t in enumerate(snow_words(p))),
        Break(soft=True),
        Para(say("To clear the roof: {how}", how=" ".join(clearing_words(p)))),
    )


def _outlook(s: SheetIn) -> tuple[Block, ...]:
    o = s.outlook
    if o is None:
        times = say("No outlook on this sheet: no deadline is known. Get the forecast, and watch the wind.")
        return (Heading(say("DEADLINES")), Para(times))
    words = tuple(deadline_words(o, n, s.made.zone) for n in in_order(o))
    return (
        Heading(say("DEADLINES: begin no later")),
        *(Para(w, bold=True, size=1.2) for w in words),
        *_other_limit(s),
    )


def _hours(s: SheetIn) -> tuple[Block, ...]:
    o, zone = s.outlook, s.made.zone
    if o is None:
        return ()
    source = "; ".join(
        f"{x.format} {x.name}"
        + (
            ""
            if x.issued is None
            else say(" issued {read_iso}", read_iso=show_time(read_iso(x.issued, "outlook", "time"), zone))
        )
        for x in o.sources
    )
    drawing = timeline_drawing(o, zone, 187.0, 56.0)
    return (Heading(say("OUTLOOK BY HOUR")), figure(drawing, f"{drawing.note} {source}."))


def _other_limit(s: SheetIn) -> tuple[Block, ...]:
    """Said where the forecast is held against less than the sheet's own limit."""
    own, held = s.plan.put_up_m_s, None if s.outlook is None else s.outlook.limit_m_s
    if own is None or held is None or held >= own * 0.999:
        return ()
    return (
        Para(
            say(
                "The forecast is held against {held} and not {own}: it may contain the roughness of the site already, or come from a weaker side.",
                held=down(held, s.plan),
                own=down(own, s.plan),
            ),
            size=0.9,
        ),
    )


def crew_blocks(s: SheetIn) -> list[Block]:
    """The first page."""
    system = s.plan.show_units
    height = "33 ft" if system == "us" else "10 m"
    head = (
        say("Level"),
        say("Gust at {height}", height=height),
        say("Hand-held {hand_height}", hand_height=height_words(hand_height(), system)),
        say("Beaufort"),
        say("Then"),
    )
    around = Around(heading_true(s.d.site), s.d.wind.bearing)
    wind = (
        say("Wind from any side counts.")
        if around.heading is None or around.wind_from is None
        else say(
            "Judged for wind from {wind_from}° ({wind_from_2}), up to 45° to either side. Wind from elsewhere: see the polar drawing.",
            wind_from=round(around.wind_from),
            wind_from_2=compass(around.wind_from),
        )
    )
    levels = level_rows(s)
    return [
        banner(s),
        fields(s),
        Para(limit_words(s.plan), bold=True, size=1.55),
        Para(_gives(s)),
        *([Grid(head, levels, "lrrcl", (0, 0, 0, 0, 0), bold=(0, 1, 2, 3))] if levels else []),
        *same_force(s),
        Para(trip_words(s), size=0.85),
        *_outlook(s),
        *_place(s),
        Para(wind),
        *_straps_snow(s),
        Break(soft=True),
        *_shape(s),
    ]


def _shape(s: SheetIn) -> tuple[Block, ...]:
    """The hours, the section and the wind from each side: what is looked at once."""
    section = figure(section_drawing(s.plan, s.d.shelter, s.d.anchorage, (88.0, 56.0)))
    polar = polar_drawing(s.plan, s.d.wind.bearing, 56.0)
    cut = Beside(((section,), ()) if polar is None else ((section,), (figure(polar),)), (1.0, 1.0))
    return (*_hours(s), cut)


def _only_if(s: SheetIn) -> tuple[Block, ...]:
    if not s.plan.conditions:
        return ()
    return (Heading(say("ONLY IF")), Bullets(tuple(in_words(s.plan.conditions)), box=True))
