"""The deadlines as a calendar file that a phone can take, by the icalendar library."""

from __future__ import annotations

from datetime import timedelta, tzinfo

from anchorage.core.errors import AnchorageError
from anchorage.core.plain import inert
from anchorage.outlook.clock import read_iso, utc
from anchorage.outlook.result import Outlook
from anchorage.paper.outlook_text import ORDERS, deadline_words


class CalendarError(AnchorageError):
    """No calendar can be written, and why."""


def calendar(o: Outlook, zone: tzinfo) -> bytes:
    """An event for each deadline that has a time, with an alarm at it. Times in UTC, words local."""
    try:
        from icalendar import Alarm, Calendar, Event  # noqa: PLC0415 - an extra
    except ImportError:
        raise CalendarError(
            "--ics needs the icalendar library:  pip install 'shelter-anchorage[live]'"
        ) from None
    cal = Calendar()
    cal.add("prodid", "-//anchorage outlook//EN")
    cal.add("version", "2.0")
    stamp = utc(read_iso(o.now, "outlook", "now"))
    for n in o.deadline_notes:
        at = getattr(o.deadlines, n.name)
        if at is None or n.past:
            continue
        start = utc(read_iso(at, "outlook", n.name))
        event = Event()
        event.add("uid", f"{n.name}-{start:%Y%m%dT%H%M%SZ}-{stamp:%Y%m%dT%H%M%SZ}@anchorage")
        event.add("dtstamp", stamp)
        event.add("dtstart", start)
        event.add("dtend", start + timedelta(minutes=5))
        event.add("summary", f"{ORDERS[n.name]}: {inert(o.name)}")
        event.add(
            "description",
            f"{inert(deadline_words(o, n, zone))}. {inert(o.headline)}. Look for a newer forecast.",
        )
        alarm = Alarm()
        alarm.add("action", "DISPLAY")
        alarm.add("description", ORDERS[n.name])
        alarm.add("trigger", timedelta(0))
        event.add_component(alarm)
        cal.add_component(event)
    return bytes(cal.to_ical())
