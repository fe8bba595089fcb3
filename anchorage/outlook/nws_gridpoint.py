"""NWS gridpoint JSON (``/gridpoints/{office}/{x},{y}``): layers with units, each value with an ISO 8601 interval.

Wind values are levels and stand for the whole interval; amounts are totals over it. Equal hours come merged, so
intervals have any length. Null is missing. Where intervals overlap the worse counts.
"""

from __future__ import annotations

import json
import re
from typing import Any

from anchorage.core import tables, units
from anchorage.core.constants import ZERO_CELSIUS
from anchorage.core.say import later, say
from anchorage.core.table_files import Danger
from anchorage.outlook.clock import DAY, read_interval, read_iso
from anchorage.outlook.hours import Forecast, Span
from anchorage.outlook.remarks import Account, Harmless, Use
from anchorage.outlook.untrusted import number, refuse

MOST = 5000
"""Intervals of a layer."""
SPEEDS = {"km_h-1": "km/h", "m_s-1": "m/s", "kt": "kt"}
STANDING = (
    later("The forecast is for a 2.5 km square at 10 m: hollows, ridges and gaps between buildings differ."),
    later("A warning that is not in the file is no safety: offices do not fill it in reliably."),
)
LAYERS = ("windGust", "windSpeed", "windDirection", "quantitativePrecipitation", "snowfallAmount", "iceAccumulation", "temperature", "weather",
          "hazards", "probabilityOfThunder")  # fmt: skip
"""What is used. The answer has a key for each, also where the office has nothing in it: a key that is gone is damage."""
ALWAYS = ("quantitativePrecipitation", "snowfallAmount")
"""Layers that no office leaves empty."""
USE: dict[str, Use] = {
    "windGust": "gust", "windSpeed": "mean wind", "windDirection": "direction", "quantitativePrecipitation": "snow or rain",
    "snowfallAmount": "snow or rain", "iceAccumulation": "snow or rain", "temperature": "temperature", "weather": "weather",
    "hazards": "warning", "probabilityOfThunder": "thunder",
}  # fmt: skip
_KEYS: tuple[tuple[Harmless, str], ...] = (
        ("place or station", "@id @type @context id type geometry elevation forecastOffice gridId gridX gridY // coordinates"),
        ("heat or moisture", "dewpoint maxTemperature minTemperature relativeHumidity apparentTemperature wetBulbGlobeTemperature heatIndex windChill pressure"),
        ("cloud or sight", "skyCover ceilingHeight visibility snowLevel"),
        ("wind aloft", "transportWindSpeed transportWindDirection mixingHeight twentyFootWindSpeed twentyFootWindDirection"),
        ("chance of an amount", "probabilityOfPrecipitation"),
        ("sea", ("waveHeight wavePeriod waveDirection primarySwellHeight primarySwellDirection secondarySwellHeight secondarySwellDirection wavePeriod2 "
                "windWaveHeight")),
        ("fire weather", ("hainesIndex dispersionIndex davisStabilityIndex atmosphericDispersionIndex lowVisibilityOccurrenceRiskIndex stability "
                         "redFlagThreatIndex grasslandFireDangerIndex")),
)  # fmt: skip
_HARMLESS: dict[str, Harmless] = {k: why for why, keys in _KEYS for k in keys.split()}
CHANCES: dict[str, tuple[str, float]] = {
    "lightningActivityLevel": ("thunder", 2.0), "probabilityOfTropicalStormWinds": ("tropical", 0.0), "probabilityOfHurricaneWinds": ("tropical", 0.0),
}  # fmt: skip
"""Layers that warn from over a value on; of the lightning level 1 is none."""
POTENTIALS = re.compile(r"potentialOf(\d{2})mphWind(s|Gusts)")
COVERAGES = ("slight_chance", "chance", "isolated", "scattered", "patchy", "areas", "brief", "few", "intermittent", "occasional", "periods", "frequent",
             "likely", "numerous", "widespread", "definite")  # fmt: skip
UNSURE = COVERAGES[:8]
WEATHER: dict[str, tuple[Danger, ...]] = {
    "": (), "blowing_dust": ("wind",), "blowing_sand": ("wind",), "blowing_snow": (), "drizzle": ("rain",), "fog": (), "freezing_fog": ("cold",),
    "freezing_drizzle": ("ice",), "freezing_rain": ("ice",), "freezing_spray": ("ice",), "frost": ("cold",), "hail": ("hail",), "haze": (), "ice_crystals": (),
    "ice_fog": ("cold",), "rain": ("rain",), "rain_showers": ("rain",), "sleet": ("snow", "ice"), "smoke": (), "snow": ("snow",), "snow_showers": ("snow",),
    "thunderstorms": ("thunder",), "volcanic_ash": ("unknown",), "water_spouts": ("tornado",), "snow_flurries": ("snow",), "ice_pellets": ("snow", "ice"),
    "waterspouts": ("tornado",), "tornadoes": ("tornado",), "squalls": ("squall",), "dust_storm": ("wind",),
}  # fmt: skip
BLOWN = "blowing_snow"
ATTRIBUTES: dict[str, tuple[Danger, ...]] = {
    "damaging_wind": ("squall",), "gusty_wind": ("squall",), "large_hail": ("hail",), "small_hail": ("hail",), "tornado": ("tornado",), "tornadoes": ("tornado",),
    "dry_thunderstorms": ("thunder",), "frequent_lightning": ("thunder",), "heavy_rain": ("rain",), "on_bridges": (), "on_grassy_areas": (), "outlying_areas": (),
    "on_outlying_areas": (), "mixture": (), "primary": (), "mention": (), "none": (), "or": (), "and": (),
}  # fmt: skip


class _Grid:
    def __init__(self, properties: dict[str, Any], name: str) -> None:
        self.p, self.name, self.a = properties, name, Account()

    def values(self, layer: str) -> list[tuple[int, int, Any, str]]:
        """Start, end, raw value and its key."""
        found = self.p.get(layer)
        if found is None:
            return []
        values = found.get("values", []) if isinstance(found, dict) else None
        if values is None and isinstance(found, dict):
            return []
        if not isinstance(values, list) or len(values) > MOST:
            raise refuse(self.name, f"{layer}.values", found, say("a list of intervals with their values"))
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
            raise refuse(
                self.name, f"{layer}.uom", said, say("a unit that is known: {known}", known=", ".join(known))
            )
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

    def chances(self) -> None:
        """Layers that say how likely or how strong a danger is, in numbers."""
        least = tables.row("thunder-chance", "least").value
        for s, e, raw, key in self.values("probabilityOfThunder"):
            chance = number(raw, self.name, key, 0, 100, say("per cent"))
            if chance is None:
                self.a.lost(say("chance of thunder"), key, s, e)
            elif chance >= least:
                self.a.danger(("thunder",), "said", s, e, say("thunder, {chance} %", chance=f"{chance:.0f}"))
        for layer, (kind, most) in CHANCES.items():
            for s, e, raw, key in self.values(layer):
                v = number(raw, self.name, key, 0, 100)
                if v is not None and v > most:
                    self.a.danger((kind,), "said" if kind == "thunder" else "A", s, e, f"{layer} {v:g}")
        for layer in self.p:
            if m := POTENTIALS.fullmatch(layer):
                for s, e, raw, key in self.values(layer):
                    v = number(raw, self.name, key, 0, 100, say("per cent"))
                    if v is not None and v >= least:
                        speed = float(units.read("speed", say("{m} mph", m=m[1])))
                        self.a.floors.append(
                            Span(s, e, speed, None, say("{layer} {v} %, at least", layer=layer, v=f"{v:g}"))
                        )

    def weather(self) -> tuple[Span, ...]:
        """Kinds of weather in words; the hours of which it speaks."""
        told = []
        for s, e, raw, key in self.values("weather"):
            if raw is None or raw == []:
                self.a.lost("weather", key, s, e)
                continue
            if not isinstance(raw, list) or not all(isinstance(w, dict) for w in raw):
                raise refuse(self.name, key, raw, say("a list of kinds of weather"))
            told.append(Span(s, e, 1.0))
            for w in raw:
                self.one_weather(w, s, e, key)
        return tuple(told)

    def one_weather(self, w: dict[str, Any], s: int, e: int, key: str) -> None:
        kind, coverage, how = w.get("weather"), w.get("coverage"), w.get("intensity")
        attributes = w.get("attributes") or []
        extra = attributes if isinstance(attributes, list) else [attributes]
        words = " ".join(str(x).replace("_", " ") for x in (coverage, how, kind) if x)[:80]
        bare = "" if kind is None else kind
        known = isinstance(bare, str) and bare in WEATHER and (coverage is None or coverage in COVERAGES)
        known = (
            known
            and how in (None, "very_light", "light", "moderate", "heavy")
            and not (kind is None and (coverage or how))
        )
        strange = [x for x in extra if not isinstance(x, str) or x not in ATTRIBUTES]
        if not known or strange or set(w) - {"coverage", "weather", "intensity", "visibility", "attributes"}:
            self.a.unread(json.dumps(w, sort_keys=True)[:200], key, s, e)
            if not isinstance(bare, str):
                return
        dangers = [
            *WEATHER.get(bare, ()),
            *(d for x in extra if isinstance(x, str) for d in ATTRIBUTES.get(x, ())),
        ]
        light = coverage in UNSURE or how in ("light", "very_light")
        self.a.danger(dict.fromkeys(dangers), "said", s, e, words or "weather", light=light)
        if bare == BLOWN:  # it falls from no cloud, and lies on the ground
            self.a.wet.append(Span(s, e, 1.0, None, "snow"))

    def hazards(self) -> None:
        for s, e, raw, key in self.values("hazards"):
            if raw is None:
                self.a.lost("warnings", key, s, e)
                continue
            if not isinstance(raw, list) or not all(isinstance(w, dict) for w in raw):
                raise refuse(self.name, key, raw, say("a list of hazards"))
            for code in sorted(
                {(str(w.get("phenomenon"))[:12], str(w.get("significance"))[:12]) for w in raw}
            ):
                self.a.warning(*code, s, e, key)

    def account(self, reach: tuple[int, int]) -> None:
        """Every key of the answer, used or harmless or not understood; and what should be there."""
        for key, v in self.p.items():
            size = (
                say("{values} values", values=len(v["values"]))
                if isinstance(v, dict) and isinstance(v.get("values"), list)
                else str(v)[:60]
            )
            if key in USE:
                self.a.use(size, key, USE[key])
            elif key in CHANCES or POTENTIALS.fullmatch(key):
                self.a.use(size, key, "warning")
            elif key in ("updateTime", "validTimes"):
                self.a.use(size, key, "time")
            elif key in _HARMLESS:
                self.a.leave(size, key, _HARMLESS[key])
            elif isinstance(v, dict) and v.get("values") == []:
                self.a.leave(size, key, "not said")
            else:
                self.a.unread(size, key, *reach)
        for key in LAYERS:
            layer = self.p.get(key)
            bare = isinstance(layer, dict) and layer != {} and layer.get("values") is None
            empty = isinstance(layer, dict) and layer.get("values", []) == [] and key in ALWAYS
            if layer is None or bare or empty:
                self.a.lost(say("this layer"), key, *reach, stays=USE[key] == "snow or rain")


def read_gridpoint(data: dict[str, Any], name: str = "NWS gridpoint") -> Forecast:
    """Read a gridpoint answer that is already parsed."""
    properties = data.get("properties", data)
    if not isinstance(properties, dict):
        raise refuse(name, "properties", properties, say("an object with layers"))
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

    for key, v in data.items():
        if properties is not data and key != "properties":
            (
                g.a.leave(str(v)[:60], key, "place or station")
                if key in _HARMLESS
                else g.a.unread(str(v)[:60], key, issued, issued + 8 * DAY)
            )
    g.chances()
    told = g.weather()
    g.hazards()
    every = [s for layer in (gusts, means) for s in layer]
    ice = amount("iceAccumulation", 1000.0)
    g.a.wet += [s._replace(text="ice") for s in ice if s.value]
    reach = (min((s.start for s in every), default=issued), max((s.end for s in every), default=issued + DAY))
    g.account(reach)
    return Forecast(
        "NWS gridpoint", name, issued, ends, gusts=gusts, means=means, floors=tuple(g.a.floors), bearings=g.directions(),
        water=amount("quantitativePrecipitation", 1000.0), snow=amount("snowfallAmount", 1.0), ice=ice,
        temperature=tuple(s._replace(value=None if s.value is None else s.value - ZERO_CELSIUS) for s in kelvin),
        thunder=tuple(g.a.thunder), hazards=tuple(g.a.hazards), unmeasured=tuple(g.a.unmeasured), wet=tuple(g.a.wet), doubts=tuple(g.a.doubts),
        told=told, says=frozenset({"gust", "mean", "snow", "thunder"}), no_gust=say("the gust is missing from the forecast"), standing=STANDING,
        remarks=g.a.close(),
    )  # fmt: skip
