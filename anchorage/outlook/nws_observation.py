"""NWS observation JSON (``/stations/{id}/observations``): one report or several, each with its message as it was sent.

The message is read as the METAR that it is; the figures beside it raise what it gives and never lower it.
"""

from __future__ import annotations

from dataclasses import replace
from typing import Any

from anchorage.core.say import say
from anchorage.outlook import aviation
from anchorage.outlook.clock import HOUR, read_iso
from anchorage.outlook.hours import Forecast, Remarks, Span
from anchorage.outlook.metar import STANDING, read_metar
from anchorage.outlook.remarks import Account
from anchorage.outlook.untrusted import number, refuse
from anchorage.outlook.windgroup import hidden

MOST = 60
_SPEEDS = {"km_h-1": 1 / 3.6, "m_s-1": 1.0, "kt": 1852 / 3600}
_HARMLESS = (
    "@id", "@type", "@context", "id", "type", "geometry", "elevation", "station", "stationId", "stationName", "textDescription", "icon", "temperature",
    "dewpoint", "barometricPressure", "seaLevelPressure", "visibility", "maxTemperatureLast24Hours", "minTemperatureLast24Hours", "relativeHumidity",
    "windChill", "heatIndex", "cloudLayers", "precipitationLastHour", "precipitationLast3Hours", "precipitationLast6Hours", "properties",
)  # fmt: skip


def is_observation(data: dict[str, Any]) -> bool:
    """Whether an object is an observation, or a list of them."""
    one = data.get("properties", data)
    features = data.get("features")
    first = features[0] if isinstance(features, list) and features else None
    inside = first.get("properties") if isinstance(first, dict) else None
    return any(isinstance(x, dict) and "rawMessage" in x for x in (one, inside))


def _speed(p: dict[str, Any], layer: str, name: str) -> float | None:
    found = p.get(layer)
    if found is None:
        return None
    if not isinstance(found, dict):
        raise refuse(name, layer, found, say("a quantity with its unit"))
    unit = str(found.get("unitCode")).removeprefix("wmoUnit:").removeprefix("unit:")
    if found.get("value") is None:
        return None
    if unit not in _SPEEDS:
        raise refuse(
            name,
            f"{layer}.unitCode",
            found.get("unitCode"),
            say("one of {speeds}", speeds=", ".join(_SPEEDS)),
        )
    v = number(found["value"], name, f"{layer}.value", 0, 150 / _SPEEDS[unit], unit)
    return None if v is None else v * _SPEEDS[unit]


def _one(p: dict[str, Any], outer: dict[str, Any], name: str) -> Forecast:
    at = read_iso(p.get("timestamp"), name, "timestamp")
    end, a = at + HOUR, Account()
    raw = p.get("rawMessage")
    base = read_metar(raw, at, name) if isinstance(raw, str) and raw.strip() else None
    gust, mean = _speed(p, "windGust", name), _speed(p, "windSpeed", name)
    floors = [
        Span(at, end, v, None, say("{layer} of the observation", layer=layer))
        for v, layer in ((gust, "windGust"),)
        if v is not None
    ]
    least = max((v for v in (gust, None if mean is None else mean + hidden()) if v is not None), default=None)
    weather = p.get("presentWeather")
    if weather is not None and not (isinstance(weather, list) and all(isinstance(w, dict) for w in weather)):
        raise refuse(name, "presentWeather", weather, say("a list of kinds of weather"))
    for i, w in enumerate(weather or [], 1):
        said, key = str(w.get("rawString") or "")[:24], f"presentWeather[{i}]"
        if aviation.is_weather(said):
            aviation.add_weather(a, said, at, end, key)
        else:
            a.unread(str(w)[:120], key, at, end)
    for key, v in {**outer, **p}.items():
        if key in ("timestamp", "rawMessage", "windGust", "windSpeed", "windDirection"):
            a.use(str(v)[:200], key, "gust")
        elif key == "presentWeather":
            a.use(str(len(weather or [])), key, "weather")
        elif key in _HARMLESS:
            a.leave(str(v)[:60], key, "heat or moisture")
        else:
            a.unread(str(v)[:60], key, at, end)
    mine = a.close()
    if base is None:
        a.lost(say("the message as it was sent"), "rawMessage", at, end)
        base = Forecast("METAR", name, at, None, gusts=(Span(at, end, least, None, say("wind of the observation")),), told=(), says=frozenset({"gust", "thunder"}),
                        no_gust=say("the wind is missing from the observation"), standing=STANDING)  # fmt: skip
        mine = a.close()
    heaps = [(*x, *y) for x, y in zip(base.remarks, mine, strict=True)]
    return replace(
        base, format="METAR", floors=(*base.floors, *floors), thunder=(*base.thunder, *a.thunder), hazards=(*base.hazards, *a.hazards),
        unmeasured=(*base.unmeasured, *a.unmeasured), wet=(*base.wet, *a.wet), doubts=(*base.doubts, *a.doubts),
        issued=min(at, base.issued if base.issued is not None else at), remarks=Remarks(*heaps),
    )  # fmt: skip


def read_observation(data: dict[str, Any], name: str = "observation") -> list[Forecast]:
    """Read an observation, or each of a list, that is already parsed."""
    features = data.get("features", [data])
    if (
        not isinstance(features, list)
        or not 0 < len(features) <= MOST
        or not all(isinstance(f, dict) for f in features)
    ):
        raise refuse(name, "features", features, say("a list of 1 to {most} observations", most=MOST))
    found = []
    for i, f in enumerate(features, 1):
        p, said = f.get("properties", f), name if len(features) == 1 else f"{name}, {i}"
        if not isinstance(p, dict):
            raise refuse(said, "properties", p, say("an object"))
        found.append(_one(p, {} if p is f else {k: v for k, v in f.items() if k != "properties"}, said))
    return found
