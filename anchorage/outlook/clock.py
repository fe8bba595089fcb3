"""Times as people write and read them. Inside, a time is a whole number of seconds since 1970, UTC."""

from __future__ import annotations

import functools
import re
from collections.abc import Iterator
from contextlib import contextmanager
from contextvars import ContextVar
from datetime import UTC, date, datetime, timedelta, timezone, tzinfo
from typing import NamedTuple
from zoneinfo import ZoneInfo

from anchorage.core import tables
from anchorage.core.errors import InputFaults
from anchorage.core.say import dated, later, say
from anchorage.outlook.untrusted import refuse

HOUR = 3600
DAY = 86400
DAYS = ("mon", "tue", "wed", "thu", "fri", "sat", "sun")
_ISO = re.compile(r"(?a)(\d{4}-\d\d-\d\d)[T ](\d\d:\d\d(?::\d\d)?)(?:\.\d+)?(Z|[+-]\d\d:?\d\d)?")
_DURATION = re.compile(
    r"(?a)P(?:(\d{1,3})W|(?=[\dT])(?:(\d{1,3})D)?(?:T(?=\d)(?:(\d{1,4})H)?(?:(\d{1,5})M)?)?)"
)
_SAID = re.compile(
    r"(?a)(?:(?:(?P<day>today|tomorrow|\d{4}-\d\d-\d\d|mon|tue|wed|thu|fri|sat|sun)(?:day|s|sday|nesday|r|rs|rsday|urday)?)[ T]+)?"
    r"(?:(?P<h>\d{1,2}):(?P<m>\d\d)|(?P<hhmm>\d{4})|(?P<only>\d{1,2})(?= ?[ap]m)|(?P<word>noon|midnight))"
    r" ?(?P<half>am|pm)?(?P<utc> ?(?:z|utc))?",
    re.IGNORECASE,
)
ABBREVIATED = re.compile(r"(?a)[A-Za-z]{2,12}(?: time)?", re.IGNORECASE)
TIMES = later('a time such as "18:00", "Tue 18:00", "2026-11-25 18:00" or "2026-11-25T18:00Z"')


class SaidZone(tzinfo):
    """A zone by a short name, which people use in summer and winter alike: the zone, and the offset that the letters stand for."""

    def __init__(self, said: str, zone: tzinfo, fixed: tzinfo) -> None:
        self.said, self.readings = said, (zone, fixed)

    def __str__(self) -> str:
        return str(self.readings[0])

    def __reduce__(self) -> tuple[type[SaidZone], tuple[str, tzinfo, tzinfo]]:
        return type(self), (self.said, *self.readings)

    def utcoffset(self, dt: datetime | None) -> timedelta | None:
        """As the zone."""
        return self.readings[0].utcoffset(dt)

    def dst(self, dt: datetime | None) -> timedelta | None:
        """As the zone."""
        return self.readings[0].dst(dt)

    def tzname(self, dt: datetime | None) -> str | None:
        """As the zone."""
        return self.readings[0].tzname(dt)

    def fromutc(self, dt: datetime) -> datetime:
        """As the zone."""
        return self.readings[0].fromutc(dt.replace(tzinfo=self.readings[0])).replace(tzinfo=self)


def readings_of(zone: tzinfo | None) -> tuple[tzinfo | None, ...]:
    """The zones that may be meant: one, or for ``CST`` the zone and the offset."""
    return zone.readings if isinstance(zone, SaidZone) else (zone,)


def zone_of(name: str, where: str = "zone") -> tzinfo:
    """A time zone by its name in the time zone database, or as it is said: ``CST``, ``Central``."""
    if name.upper() in ("UTC", "Z", "GMT"):
        return UTC
    listed = tables.codes("zones-said").get(name.lower().removesuffix(" time"))
    if listed is not None:
        zone, _, offset = listed.means.partition(" ")
        if not offset:
            return ZoneInfo(zone)
        return SaidZone(name, ZoneInfo(zone), timezone(timedelta(hours=int(offset)), name.upper()))
    try:
        return ZoneInfo(name)
    except (KeyError, ValueError, OSError):
        raise refuse(where, "zone", name, say('a zone such as "America/Chicago" or "UTC"')) from None


def seconds(at: datetime) -> int:
    """An aware time in whole seconds."""
    if at.tzinfo is None:
        raise ValueError(say("a time without a zone"))
    return int(at.timestamp() // 1)


def utc(at: int) -> datetime:
    """Seconds as an aware time in UTC."""
    return datetime.fromtimestamp(at, UTC)


def iso(at: int | None) -> str | None:
    """``2024-02-25T21:00:00Z``."""
    return None if at is None else utc(at).strftime("%Y-%m-%dT%H:%M:%SZ")


def _local(text: datetime, zone: tzinfo, name: str, key: str, *, late: bool) -> int:
    """A wall-clock time; where the clocks go back the earlier or the later of the two, by what is safe."""
    at = text.replace(tzinfo=zone, fold=1 if late else 0)
    if at.astimezone(UTC).astimezone(zone).replace(tzinfo=None) != text:
        raise refuse(
            name,
            key,
            f"{text:%Y-%m-%d %H:%M}",
            say("the clocks skip that time: give it in UTC, as in 18:00Z"),
        )
    return seconds(at)


def read_iso(text: object, name: str, key: str, zone: tzinfo | None = None, *, late: bool = False) -> int:
    """An ISO 8601 time; without an offset it needs a zone, which is never guessed."""
    accepted = say("an ISO 8601 time with its zone, as in 2026-11-25T18:00:00Z")
    if not isinstance(text, str) or len(text) > 40 or not _ISO.fullmatch(text):
        raise refuse(name, key, text, accepted)
    try:
        plain = datetime.fromisoformat(text)
    except ValueError:
        raise refuse(name, key, text, accepted) from None
    if not 1970 < plain.year < 2200:
        raise refuse(name, key, text, accepted)
    if plain.tzinfo is not None:
        return seconds(plain)
    if zone is None:
        raise refuse(name, key, text, accepted + say("; no zone is given and none is guessed"))
    return _local(plain, zone, name, key, late=late)


def read_duration(text: str) -> int | None:
    """Seconds of an ISO 8601 duration of days, hours and minutes; None for anything else."""
    m = _DURATION.fullmatch(text)
    if m is None or text == "P":
        return None
    w, d, h, mins = (int(x or 0) for x in m.groups())
    return ((w * 7 + d) * 24 + h) * HOUR + mins * 60


def read_interval(text: object, name: str, key: str) -> tuple[int, int]:
    """An ISO 8601 ``start/duration`` or ``start/end``; what is relative or templated is refused."""
    if not isinstance(text, str) or len(text) > 90 or (found := _interval(text)) is None:
        raise refuse(name, key, text, say("an ISO 8601 interval, as in 2019-07-04T18:00:00+00:00/PT3H"))
    return found


@functools.lru_cache(maxsize=4096)
def _interval(text: str) -> tuple[int, int] | None:
    """The same times stand in every layer of a forecast, so they are read once."""
    first, slash, last = text.partition("/")
    if not slash or "/" in last:
        return None
    try:
        start = read_iso(first, "", "")
        length = read_duration(last)
        end = start + length if length is not None else read_iso(last, "", "")
    except InputFaults:
        return None
    return (start, end) if 0 < end - start <= 400 * DAY else None


def read_said(
    text: str, zone: tzinfo | None, near: int, name: str, key: str, *, past: bool = False, late: bool = False
) -> int:
    """A time as it is said: the first such time after ``near``, or with ``past`` the last one up to it."""
    m = read_moment(text, zone, near, name, key, late=late, past=past)
    found = (m.last if m.last is not None else m.first) if m.dated else m.last if past else m.first
    if past and not m.dated and m.first is not None and m.last is not None and _ahead(m.first, m.last, near):
        raise refuse(
            name, key, text, say("that is still to come, or most of a day ago: write it with its date, as in 2026-11-28T18:00")
        )  # fmt: skip
    if found is None:
        raise refuse(name, key, text, TIMES)
    return found


def _ahead(first: int, last: int, near: int) -> bool:
    """Whether a time of day alone is nearer in what is to come than in what was: a watch that goes fast, and nobody means yesterday."""
    return first - last <= 90000 and first - near < near - last


def read_moment(
    text: str,
    zone: tzinfo | None,
    near: int,
    name: str,
    key: str,
    *,
    late: bool = False,
    past: bool = False,
    fixed: bool = False,
) -> Moment:
    """Both times that may be meant. late: of the two where the clock goes back; past: not one that is still to come.

    fixed: of a zone that is said by its letters the offset that they stand for, not the clock of the place.
    """
    text, zone = text.strip(), readings_of(zone)[-1 if fixed else 0]
    if _ISO.fullmatch(text):
        t = read_iso(text, name, key, zone, late=late)
        if past and t > near:
            t = read_iso(text, name, key, zone)
        return Moment(t if t <= near else None, t if t > near else None, dated=True)
    text, zone = _own_zone(text, zone, fixed=fixed)
    m = _SAID.fullmatch(text) if len(text) < 40 else None
    if m is None:
        raise refuse(name, key, text, TIMES)
    where = UTC if m["utc"] else zone
    if where is None:
        raise refuse(
            name,
            key,
            text,
            say(
                "no zone is given and none is guessed: add  --zone America/Chicago  or a line  zone America/Chicago, or say 18:00Z"
            ),
        )
    clock = {"noon": "1200", "midnight": "0000"}.get((m["word"] or "").lower(), m["hhmm"])
    h, mins = (int(clock[:2]), int(clock[2:])) if clock else (int(m["h"] or m["only"]), int(m["m"] or 0))
    if m["half"]:
        if not 1 <= h <= 12:
            raise refuse(name, key, text, TIMES)
        h = h % 12 + (12 if m["half"].lower() == "pm" else 0)
    extra, h = divmod(h, 24)
    if mins > 59 or extra > 1 or (extra and (h or mins)):
        raise refuse(name, key, text, TIMES)
    said = _on_a_day(m["day"], extra, h * 60 + mins, where, near, name, key, text, late=late, past=past)
    if m["h"] and not m["half"] and not m["day"] and not m["utc"] and not m["h"].startswith("0") and h < NOON:
        _morning_or_evening(said, h, mins, where, near, name, key, text, late=late, past=past)
    return said


NOON = 12


def _morning_or_evening(
    said: Moment, h: int, mins: int, zone: tzinfo, near: int, name: str, key: str, text: str, *, late: bool, past: bool
) -> None:  # fmt: skip
    """An hour that is written without its zero may be of the evening: where that comes first, or was last, it is asked."""
    other = _on_a_day(None, 0, (h + NOON) * 60 + mins, zone, near, name, key, text, late=late, past=past)
    pair = (said.last, other.last) if past else (said.first, other.first)
    if None not in pair and (pair[1] > pair[0] if past else pair[1] < pair[0]):  # type: ignore[operator]
        raise refuse(
            name,
            key,
            text,
            say(
                "morning or evening? write {morning} or {evening}, or a day before it",
                morning=f"{h:02}:{mins:02}",
                evening=f"{h + NOON}:{mins:02}",
            ),
        )


def _own_zone(text: str, zone: tzinfo | None, *, fixed: bool) -> tuple[str, tzinfo | None]:
    """A zone that is said with a time (``6 pm CST``, ``18:00 Central``, ``18:00 local``) counts for it."""
    head, _, tail = text.removesuffix(" time").rpartition(" ")
    if not head or not ABBREVIATED.fullmatch(tail):
        return text, zone
    if tail.lower() == "local":
        return head, zone
    listed = tables.codes("zones-said").get(tail.lower())
    if listed is None:
        return text, zone
    return head, readings_of(zone_of(tail))[-1 if fixed else 0]


class Moment(NamedTuple):
    """A time in somebody's words, around the moment of saying it."""

    last: int | None
    """The last such time up to then."""
    first: int | None
    """The first such time after it."""
    dated: bool
    """It names one date, so that there is no choice."""


def _on_a_day(
    day: str | None, extra: int, minutes: int, zone: tzinfo, near: int, name: str, key: str, text: str, *, late: bool, past: bool
) -> Moment:  # fmt: skip
    today = utc(near).astimezone(zone).date()

    def at(d: date, *, fold: bool) -> int:
        wall = datetime.combine(d, datetime.min.time()) + timedelta(days=extra, minutes=minutes)
        return _local(wall, zone, name, key, late=fold)

    def one(d: date) -> Moment:
        t = at(d, fold=late)
        if past and t > near:
            t = at(d, fold=False)
        return Moment(t if t <= near else None, t if t > near else None, dated=True)

    day = (day or "").lower()
    if day in ("today", "tomorrow"):
        return one(today + timedelta(days=day == "tomorrow"))
    if day[:1].isdigit():
        try:
            return one(date.fromisoformat(day))
        except ValueError:
            raise refuse(name, key, text, TIMES) from None
    days = [today + timedelta(days=k) for k in range(-8, 9)]
    if day:
        days = [d for d in days if d.weekday() == DAYS.index(day[:3])]
    last: int | None = None
    for d in days:
        try:
            t = at(d, fold=late)
            if past and t > near:
                t = at(d, fold=False)
        except InputFaults:
            if abs((d - today).days) <= 1:  # the clocks skip it on the very day that may be meant
                raise
            continue
        if t > near:
            return Moment(last, t, dated=False)
        last = t
    return Moment(last, None, dated=False)


def day_time(day: int, hour: int, minute: int, near: int) -> int | None:
    """A day of the month and a time, UTC, on the date nearest to ``near``; hour 24 is legal, no such date is None."""
    if not (hour <= 23 or (hour == 24 and minute == 0)) or minute > 59:
        return None
    ref = utc(near)
    found = []
    for k in (-1, 0, 1):
        year, month = divmod(ref.year * 12 + ref.month - 1 + k, 12)
        try:
            found.append(seconds(datetime(year, month + 1, day, tzinfo=UTC)) + hour * HOUR + minute * 60)
        except ValueError:
            continue
    return min(found, key=lambda t: abs(t - near)) if found else None


def _zone_name(at: datetime) -> str:
    name = at.tzname() or "UTC"
    return f"UTC{name}" if name[:1] in "+-" else name


class _One(NamedTuple):
    zone: tzinfo
    name: str


_ONE: ContextVar[_One | None] = ContextVar("one clock", default=None)


@contextmanager
def one_clock(zone: tzinfo, now: int) -> Iterator[None]:
    """Every time that is shown within is of one clock, whatever zone it was told in; whose, is said once (``full``)."""
    before = _ONE.set(_One(zone, _zone_name(utc(now).astimezone(zone))))
    try:
        yield
    finally:
        _ONE.reset(before)


def clock_name(at: int, zone: tzinfo) -> str:
    """``CST``, ``UTC+03``: whose clock a zone is at a time."""
    return _zone_name(utc(at).astimezone(zone))


def _of_one(at: int, how: str) -> str | None:
    """A time by the one clock, with its name only where that is another one then: the clocks were put back or forward."""
    one = _ONE.get()
    if one is None:
        return None
    here = utc(at).astimezone(one.zone)
    name = _zone_name(here)
    return dated(here, how) + ("" if name == one.name else f" {name}")


def with_date(at: int, zone: tzinfo) -> str:
    """``Wed 25 Nov 12:00 CST``: a time with its day, its month and its zone."""
    here = utc(at).astimezone(zone)
    how = "%a %d %b %H:%M"
    return _of_one(at, how) or f"{dated(here, how)} {_zone_name(here)}"


def show(at: int, zone: tzinfo) -> str:
    """``Tue 14:20 CST (20:20 UTC)``: the local time with its zone, UTC beside it; the day and the time alone of the one clock."""
    return _of_one(at, "%a %H:%M") or full(at, zone)


def full(at: int, zone: tzinfo) -> str:
    """The same, with its zone and UTC whatever is shown around it."""
    there, here = utc(at), utc(at).astimezone(zone)
    if zone is UTC or (_zone_name(here) == "UTC" and not here.utcoffset()):
        return say("{here} UTC", here=dated(here, "%a %H:%M"))
    if not here.utcoffset():  # by another name: it is the same clock
        return f"{dated(here, '%a %H:%M')} {_zone_name(here)}"
    other = dated(there, "%H:%M" if there.date() == here.date() else "%a %H:%M")
    return say(
        "{here} {zone_name} ({other} UTC)",
        here=dated(here, "%a %H:%M"),
        zone_name=_zone_name(here),
        other=other,
    )
