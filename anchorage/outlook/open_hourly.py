"""Open hourly JSON: ``hourly`` holds arrays of equal length, ``hourly_units`` the unit of each.

The stamp of an amount is the end of its hour. Whether that of a gust is its end or its moment is not settled, so a
gust counts on both sides of its stamp.
"""

from __future__ import annotations

import itertools
import re
from datetime import UTC, timedelta, timezone, tzinfo
from typing import Any

from anchorage.core import tables
from anchorage.core.say import later, say
from anchorage.outlook.clock import read_iso
from anchorage.outlook.hours import Forecast, Span
from anchorage.outlook.remarks import Account, Use
from anchorage.outlook.untrusted import number, refuse

MOST = 2000
NAMES = {
    "gust": ("wind_gusts_10m", "windgusts_10m"),
    "mean": ("wind_speed_10m", "windspeed_10m"),
    "bearing": ("wind_direction_10m", "winddirection_10m"),
    "temperature": ("temperature_2m",),
    "water": ("precipitation",),
    "snow": ("snowfall",),
    "weather": ("weather_code", "weathercode"),
}
SPEEDS = {
    "km/h": 1 / 3.6, "m/s": 1.0, "ms": 1.0, "mp/h": 0.44704, "mph": 0.44704, "kn": 1852 / 3600, "kt": 1852 / 3600,
}  # fmt: skip
WATER = {"mm": 1.0, "inch": 25.4, "in": 25.4}
SNOW_CM = {"cm": 1.0, "inch": 2.54, "in": 2.54}
WMO = {"wmo code": "wmo-4677", "": "wmo-4677", "wmo code 4677": "wmo-4677", "wmo code 4680": "wmo-4680"}
"""Unit of the column of weather -> list of codes."""
USE: dict[str, Use] = {
    "gust": "gust", "mean": "mean wind", "bearing": "direction", "temperature": "temperature", "water": "snow or rain", "snow": "snow or rain",
    "weather": "weather",
}  # fmt: skip
_HARMLESS = re.compile(
    r"latitude|longitude|generationtime_ms|elevation|timezone|timezone_abbreviation|location_id|"
    r"(?:relative_?humidity|dew_?point|apparent_temperature|vapou?r_pressure_deficit|pressure_msl|surface_pressure|cloud_?cover|visibility|"
    r"evapotranspiration|et0_fao_evapotranspiration|soil_temperature|soil_moisture|is_day|sunshine_duration|shortwave_radiation|direct_radiation|"
    r"direct_normal_irradiance|diffuse_radiation|global_tilted_irradiance|terrestrial_radiation|uv_index|wet_bulb_temperature|freezing_?level_?height|"
    r"precipitation_probability|wind_?speed_(?:80|100|120|180|200)m|wind_?direction_(?:80|100|120|180|200)m|temperature_(?:80|100|120|180)m|"
    r"weather_code_confidence|snow_depth|cape|lifted_index|convective_inhibition|boundary_layer_height)\w*"
)
"""Keys and columns that bear on nothing here: at height, of warmth, sight, pressure, sun, or a chance whose amount is read."""
PART = ("rain", "showers")
"""Parts of the precipitation, which is read whole."""
STANDING = (
    later("The stamp of a gust may be the end of its hour or its moment: it is counted on both sides."),
)


class _Arrays:
    def __init__(self, data: dict[str, Any], name: str) -> None:
        self.name = name
        self.hourly, self.units = data.get("hourly"), data.get("hourly_units")
        if not isinstance(self.hourly, dict) or not isinstance(self.units, dict):
            raise refuse(
                name, say("hourly, hourly_units"), self.hourly, say("an object of arrays and one of units")
            )
        times = self.hourly.get("time")
        if not isinstance(times, list) or not 2 <= len(times) <= MOST:
            raise refuse(name, "hourly.time", times, say("a list of 2 to {most} times", most=MOST))
        self.times = self.read_times(times, data)
        self.step = min(b - a for a, b in itertools.pairwise(self.times))
        if not 900 <= self.step <= 6 * 3600:
            raise refuse(
                name,
                "hourly.time",
                say("a step of {step} s", step=self.step),
                say("times that go up, 15 min to 6 h apart"),
            )

    def read_times(self, times: list[Any], data: dict[str, Any]) -> list[int]:
        assert isinstance(self.units, dict)  # noqa: S101 - for the type checker
        if self.units.get("time") == "unixtime":
            found = [number(t, self.name, f"hourly.time[{i + 1}]", 0, 7e9, "s") for i, t in enumerate(times)]
            if any(t is None for t in found):
                raise refuse(self.name, "hourly.time", None, say("a time for each value"))
            return [int(t or 0) for t in found]
        offset = number(data.get("utc_offset_seconds"), self.name, "utc_offset_seconds", -86399, 86399, "s")
        zone: tzinfo | None = None if offset is None else timezone(timedelta(seconds=offset))
        if zone is None and data.get("timezone") in ("GMT", "UTC"):
            zone = UTC
        return [read_iso(t, self.name, f"hourly.time[{i + 1}]", zone) for i, t in enumerate(times)]

    def column(
        self, what: str, scales: dict[str, float], low: float, high: float
    ) -> list[float | None] | None:
        """An array in SI, or None where there is none; both names at once are refused."""
        assert isinstance(self.hourly, dict)  # noqa: S101 - for the type checker
        assert isinstance(self.units, dict)  # noqa: S101 - for the type checker
        given = [n for n in NAMES[what] if n in self.hourly]
        if not given:
            return None
        if len(given) > 1:
            raise refuse(self.name, "hourly", " and ".join(given), say("one array for one thing"))
        key = given[0]
        unit, values = self.units.get(key), self.hourly[key]
        if not isinstance(unit, str) or unit not in scales:
            raise refuse(
                self.name, f"hourly_units.{key}", unit, say("one of {scales}", scales=", ".join(scales))
            )
        if not isinstance(values, list) or len(values) != len(self.times):
            raise refuse(
                self.name,
                f"hourly.{key}",
                values,
                say("a list as long as hourly.time ({times})", times=len(self.times)),
            )
        k = scales[unit]
        found = [
            number(v, self.name, f"hourly.{key}[{i + 1}]", low / k, high / k, unit)
            for i, v in enumerate(values)
        ]
        return [None if v is None else v * k for v in found]


def read_open_hourly(
    data: dict[str, Any], name: str = "open hourly", *, issued: int | None = None
) -> Forecast:
    """Read column arrays that are already parsed. issued: when it was fetched, which the format does not say."""
    a = _Arrays(data, name)
    gust = a.column("gust", SPEEDS, 0, 150)
    mean = a.column("mean", SPEEDS, 0, 150)
    bearing = a.column("bearing", {"°": 1.0, "deg": 1.0}, 0, 360)
    celsius = a.column("temperature", {"°C": 1.0, "C": 1.0, "°F": 5 / 9, "F": 5 / 9}, -150, 150)
    unit = str((data["hourly_units"] or {}).get("temperature_2m"))
    if celsius is not None and unit.endswith("F"):
        celsius = [None if t is None else t - 160 / 9 for t in celsius]
    water = a.column("water", WATER, 0, 500)
    snow = a.column("snow", SNOW_CM, 0, 500)
    weather = a.column("weather", dict.fromkeys(WMO, 1.0), 0, 99)
    n, step = len(a.times), a.step

    def both_sides(
        values: list[float | None] | None, directions: list[float | None] | None = None
    ) -> tuple[Span, ...]:
        if values is None:
            return ()
        turns = directions or [None] * n
        return tuple(
            Span(t - step, t + (step if i < n - 1 else 0), v, None if b is None else b % 360)
            for i, (t, v, b) in enumerate(zip(a.times, values, turns, strict=True))
        )

    def before(values: list[float | None] | None, k: float = 1.0, text: str = "") -> tuple[Span, ...]:
        pairs = zip(a.times, values or [], strict=values is not None)
        return tuple(Span(t - step, t, None if v is None else v * k, None, text) for t, v in pairs)

    melted = before(snow, 10.0 / tables.row("snow-forecast", "feed-ratio").value)
    columns, units_ = a.hourly or {}, a.units or {}
    if water is None and "rain" in columns:
        raise refuse(
            name, "hourly", say("rain without precipitation"), say("precipitation, which is all of it")
        )
    account = Account()
    for what, values in (("water", water), ("snow", snow)):
        for t, v in zip(a.times, values or [], strict=values is not None):
            if v is None:
                account.lost(what, f"hourly.{what}", t - step, t, stays=True)
    kind = next((str(units_.get(k)) for k in NAMES["weather"] if k in columns), "")
    for i, (t, c) in enumerate(zip(a.times, weather or [], strict=weather is not None)):
        key, stop = f"hourly.weather_code[{i + 1}]", t + (step if i < n - 1 else 0)
        listed = tables.codes(WMO[kind])
        if c is None:
            account.lost(say("weather code"), key, t - step, stop)
        elif str(int(c)) not in listed or c != int(c):
            account.unread(f"{c:g}", key, t - step, stop)
        else:
            code = listed[str(int(c))]
            account.danger(
                code.danger,
                "said",
                t - step,
                stop,
                say("{means} (code {c})", means=say(code.means), c=int(c)),
                light=code.light,
            )
    _account(account, data, a, (a.times[0] - step, a.times[-1]))
    says = (
        ({"gust"} if gust else set())
        | ({"mean"} if gust and mean else set())
        | ({"snow"} if water or snow else set())
        | ({"thunder"} if weather else set())
    )
    return Forecast(
        "open hourly", name, issued, None, gusts=both_sides(gust, bearing), means=both_sides(mean, bearing), floors=tuple(account.floors),
        water=before(water), ice=melted, temperature=both_sides(celsius), thunder=tuple(account.thunder), hazards=tuple(account.hazards),
        unmeasured=tuple(account.unmeasured), wet=tuple(account.wet), doubts=tuple(account.doubts), told=both_sides(weather), says=frozenset(says),
        no_gust=say("the gust is missing from the forecast"), standing=STANDING, remarks=account.close(),
    )  # fmt: skip


def _account(account: Account, data: dict[str, Any], a: _Arrays, reach: tuple[int, int]) -> None:
    """Every key of the file and every column, used or harmless or not understood."""
    assert isinstance(a.hourly, dict)  # noqa: S101 - for the type checker
    columns = {name: USE[what] for what, names in NAMES.items() for name in names}
    for key, v in a.hourly.items():
        size = say("{v} values", v=len(v)) if isinstance(v, list) else str(v)[:60]
        if key in columns:
            account.use(size, f"hourly.{key}", columns[key])
        elif key == "time":
            account.use(size, "hourly.time", "time")
        elif key in PART:
            account.leave(size, f"hourly.{key}", "chance of an amount")
        elif _HARMLESS.fullmatch(key):
            account.leave(size, f"hourly.{key}", "heat or moisture")
        else:
            account.unread(size, f"hourly.{key}", *reach)
    for key, v in data.items():
        if key in ("hourly_units", "utc_offset_seconds", "timezone"):
            account.use(str(v)[:60], key, "head")
        elif key != "hourly" and _HARMLESS.fullmatch(key):
            account.leave(str(v)[:60], key, "place or station")
        elif key == "hourly":
            account.use("", key, "head")
        elif key in (
            "current",
            "current_units",
            "daily",
            "daily_units",
            "minutely_15",
            "minutely_15_units",
            "//",
        ):
            account.leave(str(v)[:60], key, "not said")
        else:
            account.unread(str(v)[:60], key, *reach)
