"""Calm forecasts of every machine format, and how to put danger into them; shared by the tests of what is lost."""

NOW = "2026-03-10T18:00:00Z"
ZONE = ("--zone", "America/Chicago")
CALM = {"coverage": None, "weather": None, "intensity": None, "attributes": []}
DAY = "2026-03-10T18:00:00+00:00/PT13H"


def layer(value, uom=None, when=DAY):
    return {"uom": uom, "values": [{"validTime": when, "value": value}]}


def gridpoint(**layers):
    """A calm day, with some layers in another way; None takes one out."""
    every = {
        "updateTime": "2026-03-10T17:00:00+00:00", "windGust": layer(24.0, "wmoUnit:km_h-1"), "windSpeed": layer(12.0, "wmoUnit:km_h-1"),
        "windDirection": layer(270, "wmoUnit:degree_(angle)"), "temperature": layer(8.0, "wmoUnit:degC"), "quantitativePrecipitation": layer(0.0, "wmoUnit:mm"),
        "snowfallAmount": layer(0.0, "wmoUnit:mm"), "iceAccumulation": {"values": []}, "weather": layer([CALM]), "hazards": {"values": []},
        "probabilityOfThunder": layer(0),
    }  # fmt: skip
    every |= layers
    return {"properties": {k: v for k, v in every.items() if v != "gone"}}


def weather(kind, coverage="definite", how="heavy"):
    return layer([{"coverage": coverage, "weather": kind, "intensity": how, "attributes": []}])


def hazard(phenomenon, significance):
    return layer([{"phenomenon": phenomenon, "significance": significance}])


TAF = "TAF ZZZZ 101740Z 1018/1118 27003KT 9999 SCT040"
NBH = (
    "KZZZ   NBM V4.2 NBH GUIDANCE    3/10/2026  1700 UTC\nUTC  18 19 20 21 22 23 00 01 02 03 04 05 06 07\n"
    + "".join(f"{label}" + "".join(f"{v:3d}" for v in [value] * 14) + "\n" for label, value in
              (("TMP ", 50), ("WDR ", 27), ("WSP ", 5), ("GST ", 13), ("GSD ", 2), ("T01 ", 0), ("Q01 ", 0), ("S01 ", 0), ("I01 ", 0)))
)  # fmt: skip
PERIODS = {"properties": {"updateTime": "2026-03-10T17:00:00+00:00", "periods": [{
    "number": 1, "name": "Today", "startTime": "2026-03-10T18:00:00+00:00", "endTime": "2026-03-11T07:00:00+00:00", "isDaytime": True, "temperature": 50,
    "temperatureUnit": "F", "windSpeed": "5 mph", "windDirection": "W", "shortForecast": "Sunny",
    "detailedForecast": "Sunny, with a high near 50. West wind around 5 mph, with gusts as high as 15 mph.",
}]}}  # fmt: skip


def hourly(**columns):
    hours = [f"2026-03-{10 + (18 + i) // 24}T{(18 + i) % 24:02d}:00" for i in range(15)]
    every = {
        "wind_gusts_10m": 24, "wind_speed_10m": 12, "temperature_2m": 8, "precipitation": 0, "snowfall": 0, "weather_code": 1,
    } | columns  # fmt: skip
    units = {"time": "iso8601", "wind_gusts_10m": "km/h", "wind_speed_10m": "km/h", "temperature_2m": "°C", "precipitation": "mm", "snowfall": "cm",
             "weather_code": "wmo code"}  # fmt: skip
    return {
        "utc_offset_seconds": 0,
        "hourly_units": units,
        "hourly": {"time": hours}
        | {k: v if isinstance(v, list) else [v] * 15 for k, v in every.items() if v != "gone"},
    }


CSV = "time,gust (mph),thunder,snow (in)\n" + "".join(
    f"2026-03-{10 + (18 + i) // 24}T{(18 + i) % 24:02d}:00:00Z,15,no,0\n" for i in range(13)
)
