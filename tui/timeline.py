"""The forecast as a timeline: deadlines first, then a line an hour with a bar of its part of the limiting gust."""

from __future__ import annotations

import itertools
import math
from typing import TYPE_CHECKING

from anchorage.core.say import dated, later, say
from anchorage.core.told import in_words
from anchorage.core.words import LEVELS, spoken
from tui.pages import Line, head, para
from tui.pictures import scale

if TYPE_CHECKING:
    from anchorage.core.out import PolicyOut
    from anchorage.outlook.result import DeadlineNoteOut, HourOut, Outlook
    from tui.engine import Weather

EMPTY = later(
    "No forecast yet. In the form, under Forecast, say when you heard it, the time zone and what was said, a line each: until 18:00 gust 35 mph. Or L loads a forecast file."
)
TOP = 1.25
"""Share of the limit at the end of a bar."""


def marks(p: PolicyOut) -> tuple[tuple[str, float], ...]:
    """Where the levels begin on a bar: S, O and K."""
    return (("S", p.secure), ("O", p.people_out), ("K", p.keep_away))


def _due(o: Outlook, found: Weather) -> list[tuple[float, str]]:
    """The deadlines by their time."""
    from anchorage.outlook.clock import read_iso, utc  # noqa: PLC0415 - after the first screen
    from anchorage.paper.outlook_text import due, order_words  # noqa: PLC0415

    out = []
    for n in o.deadline_notes:
        said = due(o, n)
        if said is not None and (n.asked or not n.past):
            at = utc(read_iso(said, "outlook", "time"))
            out.append(
                (
                    at.timestamp(),
                    say(
                        "{astimezone} at the latest: {words}",
                        astimezone=dated(at.astimezone(found.zone), "%a %H:%M"),
                        words=order_words(n),
                    ),
                )
            )
    return sorted(out)


def deadlines(found: Weather) -> list[str]:
    """What is due, the first of them first."""
    from anchorage.paper.outlook_text import deadline_words, in_order, next_deadline  # noqa: PLC0415 - after the first screen

    o = found.outlook
    if o is None:
        return []
    first = next_deadline(o, found.zone)
    rest = [deadline_words(o, n, found.zone) for n in in_order(o) if n.reached is not None]
    return list(dict.fromkeys([first, *rest]))


def after_the_first(found: Weather) -> list[str]:
    """What is due after what is due first, without its reasons where it is a time alone."""
    from anchorage.outlook.clock import read_iso, utc  # noqa: PLC0415 - after the first screen
    from anchorage.paper.outlook_text import deadline_words, due, in_order, order_words  # noqa: PLC0415

    o, out = found.outlook, list[str]()
    if o is None:
        return []
    for n in [n for n in in_order(o) if n.reached is not None][1:]:
        at = due(o, n)
        struck = n.name == "start_strike_by" and (o.cannot_strike or n.lull_m_s is not None)
        if at is None or n.missing or n.past or n.begun or struck or not n.asked:
            out.append(deadline_words(o, n, found.zone))
            continue
        when = dated(utc(read_iso(at, "outlook", "time")).astimezone(found.zone), "%a %H:%M")
        out.append(say("{name} BY {at}", name=order_words(n), at=when))
    return list(dict.fromkeys(out))


def orders(found: Weather) -> list[str]:
    """What of it is an order to people: out now, too late to take down, or stop taking down."""
    from anchorage.paper.outlook_text import deadline_words, in_order  # noqa: PLC0415 - after the first screen

    o = found.outlook
    if o is None:
        return []

    def is_order(n: DeadlineNoteOut) -> bool:
        late = n.name == "start_strike_by" and n.asked and o.cannot_strike and n.lull_m_s is None
        return late or (n.past and (n.name == "people_out_by" or n.begun))

    said = [deadline_words(o, n, found.zone) for n in in_order(o) if n.reached is not None and is_order(n)]
    return list(dict.fromkeys(said))


def _hour(
    h: HourOut, o: Outlook, found: Weather, wide: int, levels: tuple[tuple[str, float], ...], *, plain: bool
) -> list[Line]:
    from anchorage.core.units import show  # noqa: PLC0415
    from anchorage.deployment.policy import percent  # noqa: PLC0415
    from anchorage.outlook.clock import read_iso, utc  # noqa: PLC0415 - after the first screen

    at = utc(read_iso(h.start, "outlook", "time")).astimezone(found.zone)
    gust = say("gust ?") if h.gust_m_s is None else show("speed", h.gust_m_s, o.show_units, rounding="up")
    gust = f">={gust}" if h.gust_is == "at least" and h.gust_m_s is not None else gust
    share = h.share if h.share is not None and math.isfinite(h.share) else None
    broad = max(11, 1 + max(len(f"{v}") for v in LEVELS.values()))
    extra = f" {spoken('thunder')}" if h.thunder else ""
    size = max(wide - 29 - broad - max(len(extra) - 8, 0), 6)
    middle = "?" * size if share is None else scale(levels, share, TOP, size, plain=plain)
    per_cent = "    " if share is None else f"{min(percent(share), 999):>3}%"
    level = f"{LEVELS[h.level]}{'*' if h.outlook_only else ''}"
    style = {"people-out": "bad", "keep-away": "bad", "secure": "warn", "unknown": "warn"}.get(h.level, "")
    return [(f"{dated(at, '%a %H')} {middle} {per_cent} {level:<{broad}}{gust:>8}{extra}", style)]


def timeline(found: Weather, policy: PolicyOut, wide: int, *, plain: bool = False) -> list[Line]:
    """The whole view."""
    from anchorage.outlook.clock import read_iso, utc  # noqa: PLC0415 - after the first screen

    o = found.outlook
    if o is None:
        return para(
            found.trouble or EMPTY, wide, "! " if found.trouble else "", "warn" if found.trouble else ""
        )
    out = para(o.headline, wide, style="head")
    out.append(head(say("DEADLINES"), wide))
    for text in deadlines(found):
        out += para(text, wide, "- ", "warn")
    if o.deadlines.people_out_by is None and any(
        n.missing for n in o.deadline_notes if n.reached is not None
    ):
        out += para(say("Missing times are filled in under Times."), wide)
    out.append(head(say("HOUR BY HOUR, share of the limit"), wide))
    out += para(say("On a bar: S SECURE, O PEOPLE OUT, K KEEP AWAY."), wide)
    due = _due(o, found)
    for h in itertools.islice(o.hours, 96):
        until = utc(read_iso(h.end, "outlook", "time")).timestamp()
        while due and due[0][0] < until:
            out.append((f"── {due.pop(0)[1]} ".ljust(wide, "─")[:wide], "warn"))
        out += _hour(h, o, found, wide, marks(policy), plain=plain)
    out += (
        para(say("* more than 72 h ahead: an outlook only."), wide)
        if any(h.outlook_only for h in o.hours)
        else []
    )
    for title, texts in ((say("WHY"), [r.text for r in o.reasons]), (say("ONLY IF"), in_words(o.conditions)), (say("TAKEN AS"), in_words(o.assumptions)), (say("NOTE"), in_words(o.cautions))):  # fmt: skip
        if texts:
            out.append(head(title, wide))
            for text in texts:
                out += para(text, wide, "- ")
    return out
