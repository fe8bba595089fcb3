"""What is offered whole for a number that was typed without its unit: by the units of the file, shown before it is taken, never silently."""

from __future__ import annotations

import re
from datetime import datetime, tzinfo
from zoneinfo import ZoneInfo

from anchorage.core import machine
from anchorage.core.choices import is_now
from anchorage.deployment.draft import Draft, form_of, template
from tui.fields import FIELDS

US, SI = "us", "si"
IN_SI = {
    "mph": "m/s",
    "ft": "m",
    "in": "cm",
    "lb": "kg",
    "lbf": "N",
    "psf": "Pa",
    "degF": "degC",
    "ft2": "m2",
    "in2": "cm2",
    "inHg": "hPa",
}
"""The unit of the same figure in a file of metric units; of the others both use the same."""
_NUMBER = re.compile(r"[0-9]{1,6}(?:\.[0-9]{1,4})?")
_WITH_UNIT = re.compile(r"[0-9.]+ ([A-Za-z][A-Za-z/0-9]*)(?: [0-9].*)?")
_METRIC = re.compile(r"[0-9. ]+(?:mm|cm|m)", re.ASCII)


def system_of(draft: Draft) -> str:
    """The units of the file: as it says, else those in which the sizes of the shelter are typed."""
    sizes = (draft.text(f"shelter.{k}").strip() for k in ("length", "width", "eave", "ridge"))
    metric = any(_METRIC.fullmatch(x) for x in sizes)
    return draft.text("deployment.show_units") or (SI if metric else US)


def unit_like(example: str, system: str) -> str:
    """The unit of an example, in the units of a file; nothing where it has none."""
    m = _WITH_UNIT.fullmatch(example)
    return "" if m is None else IN_SI.get(m[1], m[1]) if system == SI else m[1]


def whole(text: str, example: str, system: str) -> str:
    """A bare number with the unit that an example has; nothing where it is no bare number or there is no unit."""
    unit = unit_like(example, system) if _NUMBER.fullmatch(text.strip()) else ""
    return f"{text.strip()} {unit}" if unit else ""


TIMES = ("forecast.heard", "times.start", "times.end", "test[].at")


def this_moment(draft: Draft) -> str:
    """The date and time of day by the zone of the file, else of this machine."""
    try:
        zone: tzinfo | None = ZoneInfo(draft.text("outlook.zone") or machine.zone() or "UTC")
    except (KeyError, ValueError, OSError):
        zone = None
    return f"{datetime.now(zone).astimezone(zone):%Y-%m-%d %H:%M}"


def offered(key: str, text: str, draft: Draft) -> str:
    """What is offered for what was typed in a field: a bare number with a unit, this moment where it is called now."""
    field = FIELDS.get(template(key))
    if template(key) in TIMES:
        return this_moment(draft) if text.strip() and is_now(text) else ""
    if field is None or field.choices or form_of(key) != "text":
        return ""
    return whole(text, str(field.example), system_of(draft))
