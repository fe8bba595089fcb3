"""NWS gridpoint JSON (``/gridpoints/{office}/{x},{y}``): layers with units, each value with an ISO 8601 interval.

Wind values are levels and stand for the whole interval; amounts are totals over it. Equal hours come merged, so
intervals have any length. Null is missing. Where intervals overlap the worse counts.
"""

from __future__ import annotations

from typing import Any

from anchorage import tables, units
from anchorage.outlook.clock import read_interval, read_iso
from anchorage.outlook.hours import Forecast, Hazard, Span
from anchorage.outlook.untrusted import number, refuse

MOST = 5000
"""Intervals of a layer."""
SPEEDS = {"km_h-1": "km/h", "m_s-1": "m/s", "kt": "kt"}
STANDING = (
    "The forecast is for a 2.5 km square at 10 m: hollows, ridges and gaps between buildings differ.",
    "A warning that is not in the file is no safety: offices do not fill it in reliably.",
)
_WARNINGS = {
    "SV.W": "severe-thunderstorm", "TO.W": "severe-thunderstorm", "EW.W": "high-wind", "HU.W": "high-wind", "TR.W": "high-wind",
    "HW.W": "high-wind", "WI.Y": "wind-advisory", "WS.W": "winter", "BZ.W": "winter", "LE.W": "winter", "IS.W": "winter",
    "WW.Y": "winter", "SQ.W": "winter", "SV.A": "", "TO.A": "", "HW.A": "", "WS.A": "",
}  # fmt: skip


def warning(
    kind: str, start: int, end: int, words: str
) -> tuple[list[Span], list[Span], list[Hazard], list[Span]]:
    """What an official warning stands for: gusts at the least, thunder, a level, snow without an amount."""
    floors: list[Span] = []
    if kind in tables.table("warning-gust"):
        row = tables.row("warning-gust", kind)
        floors.append(Span(start, end, row.value, None, words))
    thunder = [Span(start, end, 1.0, None, words)] if kind == "severe-thunderstorm" else []
    winter = kind == "winter"
    hazards = [Hazard(start, end, "people-out" if thunder else "secure", words)]
    return floors, thunder, hazards, [Span(start, end, 1.0, None, words)] if winter else []


class _Grid:
    def __init__(self, properties: dict[str, Any], name: str) -> None:
        self.p, self.name = properties, name

    def values(self, layer: str) -> list[tuple[int, int, Any, str]]:
        """Start, end, raw value and its key."""
        found = self.p.get(layer)
        if found is None:
            return []
        values = found.get("values") if isinstance(found, dict) else None
        if not isinstance(values, list) or len(values) > MOST:
            raise refuse(self.name, f"{layer}.values", found, "a list of intervals with their values")
        out = []
        for i, v in enumerate(values):
            key = f"{layer}.values[{i + 1}]"
            if not isinstance(v, dict) or "validTime" not in v or "value" not in v:
                raise refuse(self.name, key, v, "validTime and value")
            start, end = read_interval(v["validTime"], self.name, f"{key}.validTime")
            out.append((start, end, v["value"], f"{key}.value"))
        return out

    def unit(self, layer: str, known: dict[str, str]) -> str:
        said = self.p[layer].get("uom")
        bare = str(said).removeprefix("wmoUnit:").removeprefix("unit:").removeprefix("nwsUnit:")
        if bare not in known or not isinstance(said, str):
            raise refuse(self.name, f"{layer}.uom", said, f"a unit that is known: {', '.join(known)}")
        return known[bare]

    def measured(
        self, layer: str, kind: str, known: dict[str, str], low: float, high: float
    ) -> tuple[Span, ...]:
        """A layer in SI; low and high in SI bound what can be meant."""
        values = self.values(layer)
        if not values:
            return ()
        unit = self.unit(layer, known)
        one = units.KINDS[kind].units[unit]
        scale, offset = float(one[0]), float(one[1])
        out = []
        for start, end, raw, key in values:
            v = number(raw, self.name, key, (low - offset) / scale, (high - offset) / scale, unit)
            out.append(Span(start, end, None if v is None else v * scale + offset))
        return tuple(out)

    def directions(self) -> tuple[Span, ...]:
        values = self.values("windDirection")
        if values:
            self.unit("windDirection", {"degree_(angle)": "deg"})
        found = [(s, e, number(v, self.name, key, 0, 360, "degrees")) for s, e, v, key in values]
        return tuple(Span(s, e, v, None if v is None else v % 360.0) for s, e, v in found)

    def thunder(self) -> tuple[Span, ...]:
        least = tables.row("thunder-chance", "least").value
        out = []
        for s, e, raw, key in self.values("probabilityOfThunder"):
            chance = number(raw, self.name, key, 0, 100, "per cent")
            if chance is not None and chance >= least:
                out.append(Span(s, e, 1.0, None, f"thunder, {chance:.0f} %"))
        for s, e, raw, key in self.values("weather"):
            if raw is None:
                continue
            if not isinstance(raw, list) or not all(isinstance(w, dict) for w in raw):
                raise refuse(self.name, key, raw, "a list of kinds of weather")
            if any("thunder" in str(w.get("weather")).lower()[:200] for w in raw):
                out.append(Span(s, e, 1.0, None, "thunderstorms"))
        return tuple(out)

    def hazards(self) -> list[tuple[int, int, str, str]]:
        out = []
        for s, e, raw, key in self.values("hazards"):
            if raw is None:
                continue
            if not isinstance(raw, list) or not all(isinstance(w, dict) for w in raw):
                raise refuse(self.name, key, raw, "a list of hazards")
            codes = {f"{w.get('phenomenon')}.{w.get('significance')}"[:12] for w in raw}
            out += [(s, e, _WARNINGS[c], f"official {c}") for c in sorted(codes) if c in _WARNINGS]
        return out


def read_gridpoint(data: dict[str, Any], name: str = "NWS gridpoint") -> Forecast:
    """Read a gridpoint answer that is already parsed."""
    properties = data.get("properties", data)
    if not isinstance(properties, dict):
        raise refuse(name, "properties", properties, "an object with layers")
    g = _Grid(properties, name)
    issued = read_iso(properties.get("updateTime"), name, "updateTime")
    ends = (
        read_interval(properties["validTimes"], name, "validTimes")[1] if "validTimes" in properties else None
    )
    lengths = {"mm": "mm", "m": "m", "cm": "cm"}
    gusts = g.measured("windGust", "speed", SPEEDS, 0.0, 150.0)
    means = g.measured("windSpeed", "speed", SPEEDS, 0.0, 150.0)
    kelvin = g.measured("temperature", "temperature", {"degC": "degC", "degF": "degF"}, 180.0, 335.0)

    def amount(layer: str, scale: float) -> tuple[Span, ...]:
        return tuple(s._replace(value=None if s.value is None else s.value * scale)
                     for s in g.measured(layer, "length", lengths, 0.0, 5.0))  # fmt: skip

    floors: list[Span] = []
    thunder = list(g.thunder())
    hazards: list[Hazard] = []
    unmeasured: list[Span] = []
    for s, e, kind, words in g.hazards():
        if kind:
            a, b, c, d = warning(kind, s, e, words)
            floors, thunder, hazards, unmeasured = floors + a, thunder + b, hazards + c, unmeasured + d
        else:
            hazards.append(Hazard(s, e, "secure", words))
    return Forecast(
        "NWS gridpoint", name, issued, ends, gusts=gusts, means=means, floors=tuple(floors), bearings=g.directions(),
        water=amount("quantitativePrecipitation", 1000.0), snow=amount("snowfallAmount", 1.0), ice=amount("iceAccumulation", 1000.0),
        temperature=tuple(s._replace(value=None if s.value is None else s.value - 273.15) for s in kelvin),
        thunder=tuple(thunder), hazards=tuple(hazards), unmeasured=tuple(unmeasured),
        says=frozenset({"gust", "snow", "thunder"}), no_gust="the gust is missing from the forecast", standing=STANDING,
    )  # fmt: skip
