"""The wind group of TAF and METAR. It fails closed: what looks like a wind and is none is refused, never left out.

Three-digit speeds, ``P99KT`` and ``P49MPS`` (more than can be coded), KT, MPS and KMH, VRB, calm and missing.
"""

from __future__ import annotations

import re
from dataclasses import dataclass

from anchorage.core import tables, units
from anchorage.core.say import say
from anchorage.outlook.untrusted import refuse

_GROUP = re.compile(
    r"(?a)(?P<dir>\d{3}|VRB|///)(?P<over>P)?(?P<mean>\d{2,3}|//)(?:G(?P<gover>P)?(?P<gust>\d{2,3}|//))?(?P<unit>KT|MPS|KMH)"
)
_LIKE = re.compile(r"(?a)(?:KT|KTS|MPS|KMH|KMPH|KPH)$")
_UNIT = {"KT": "kt", "MPS": "m/s", "KMH": "km/h"}


@dataclass(frozen=True)
class WindGroup:
    """A wind as coded, in m/s."""

    text: str
    bearing: float | None
    """Degrees true that it comes from; None = variable or not given."""
    mean: float | None
    coded_gust: float | None
    endless: bool = False
    """Coded as more than the code can say: there is no upper end."""

    @property
    def gust(self) -> float | None:
        """The gust to reckon with: the coded one, else the mean and what a report without G may hide; None = missing."""
        if self.mean is None:
            return self.coded_gust
        if self.coded_gust is not None and self.coded_gust >= self.mean:
            return self.coded_gust
        return self.mean + hidden()  # a gust below its mean is none

    @property
    def added(self) -> bool:
        """True where the gust is the mean and the reporting threshold."""
        return self.mean is not None and (self.coded_gust is None or self.coded_gust < self.mean)


def hidden() -> float:
    """Gust over the mean (m/s) that need not be reported."""
    return tables.row("gust-coding", "hidden").value


def looks_like_wind(token: str) -> bool:
    """Whether a group ends in a unit of speed, so that it must be understood."""
    return _LIKE.search(token) is not None


def _speed(digits: str | None, over: str | None, unit: str) -> float | None:
    if digits is None or digits == "//":
        return None
    return float(units.read("speed", f"{int(digits) + (1 if over else 0)} {_UNIT[unit]}"))


def read_wind(token: str, name: str, key: str) -> WindGroup:
    """Read a wind group, or refuse it by name."""
    accepted = say("a wind group such as 27015G30KT, VRB03KT, 00000KT, 240P99KT, 31012MPS or /////KT")
    m = _GROUP.fullmatch(token) if len(token) < 24 else None
    if m is None:
        raise refuse(name, key, token, accepted)
    if m["dir"].isdigit() and (int(m["dir"]) > 360 or int(m["dir"]) % 10):
        raise refuse(name, key, token, accepted + say("; a direction is in tens of degrees, at most 360"))
    bearing = float(int(m["dir"]) % 360) if m["dir"].isdigit() else None
    mean, gust = _speed(m["mean"], m["over"], m["unit"]), _speed(m["gust"], m["gover"], m["unit"])
    if m["gust"] == "//":
        mean = None  # a gust was coded and is lost: not the same as no gust
    endless = bool(m["over"] or m["gover"])
    top = units.read("speed", "150 m/s")
    if any(v is not None and v > top for v in (mean, gust)):
        raise refuse(name, key, token, say("a wind that can blow: it is over 150 m/s"))
    if bearing == 0.0 and mean == 0.0:
        bearing = None  # calm has no direction
    return WindGroup(token, bearing, mean, gust, endless)
