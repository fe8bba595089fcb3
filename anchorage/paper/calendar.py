"""The deadlines as a calendar file that a phone can take, by the icalendar library."""

from __future__ import annotations

import hashlib
from datetime import timedelta, tzinfo

from anchorage.core.errors import AnchorageError
from anchorage.core.plain import inert
from anchorage.core.say import say
from anchorage.outlook.clock import read_iso, utc
from anchorage.outlook.result import Outlook
from anchorage.paper.outlook_text import deadline_words, due, order_words


class CalendarError(AnchorageError):
    """No calendar can be written, and why."""


def calendar(o: Outlook, zone: tzinfo, file: str) -> bytes:
    """An event for each deadline that has a time, with an alarm at it, at once where that has passed. Times in UTC, words local.

    file: what the deployment was read from. An event is the same event in every export of that file, so that a phone puts the new
    time in place of the old; a deadline that this forecast does not reach any more is called off.
    """
    try:
        from icalendar import Alarm, Calendar, Event  # noqa: PLC0415 - an extra
    except ImportError:
        raise CalendarError(
            say("--ics needs the icalendar library:  pip install 'shelter-anchorage[live]'")
        ) from None
    cal = Calendar()
    cal.add("prodid", "-//anchorage outlook//EN")
    cal.add("version", "2.0")
    stamp = utc(read_iso(o.now, "outlook", "now"))
    whose = hashlib.sha256(file.encode()).hexdigest()[:16]
    for n in o.deadline_notes:
        at = due(o, n)
        if n.reached is not None and at is None and not n.past:
            continue  # a time of the file is missing: nobody knows when, and what was told before is not called off
        off = n.reached is None or (n.past and not n.asked)
        start = (
            stamp
            if off or at is None or (n.past and n.lull_m_s is None)
            else utc(read_iso(at, "outlook", n.name))
        )
        event = Event()
        event.add("uid", f"{n.name}-{whose}@anchorage")
        event.add("sequence", int(stamp.timestamp()))
        event.add("status", "CANCELLED" if off else "CONFIRMED")
        event.add("dtstamp", stamp)
        event.add("last-modified", stamp)
        event.add("dtstart", start)
        event.add("dtend", start + timedelta(minutes=5))
        event.add("summary", f"{order_words(n)}: {inert(o.name)}")
        event.add(
            "description",
            say(
                "{deadline_words}. {headline}. Look for a newer forecast.",
                deadline_words=inert(deadline_words(o, n, zone)),
                headline=inert(o.headline),
            ),
        )
        if off:
            cal.add_component(event)
            continue
        alarm = Alarm()
        alarm.add("action", "DISPLAY")
        alarm.add("description", order_words(n))
        alarm.add("trigger", timedelta(0))
        event.add_component(alarm)
        cal.add_component(event)
    return bytes(cal.to_ical())
