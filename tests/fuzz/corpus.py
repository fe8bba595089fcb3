"""Good files of every kind to begin from; all invented, but for recorded forecasts beside the repository, where there are any."""

from __future__ import annotations

import json
import re
from pathlib import Path

from anchorage import demo
from anchorage.demo import NAMES, demo_text

HERE = Path(demo.__file__).parent
RECORDED = Path(__file__).parents[2] / ".." / "shared" / "data"
NOW = 1_773_165_600
"""2026-03-10T18:00:00Z."""


def recorded(pattern: str, most: int = 400_000) -> list[bytes]:
    """Forecasts that were really issued, where the folder exists; they are never copied into the repository."""
    found = sorted(RECORDED.glob(pattern)) if RECORDED.is_dir() else []
    return [raw for raw in (p.read_bytes() for p in found) if len(raw) <= most]


def thinned(raw: bytes, keep: int = 6) -> bytes:
    """A recorded forecast with the first values of each layer only, so that a case is quick."""
    data = json.loads(raw)
    for layer in data.get("properties", {}).values():
        if isinstance(layer, dict) and isinstance(layer.get("values"), list):
            del layer["values"][keep:]
    return json.dumps(data).encode()


COUNTY = (HERE / "county" / "stock.toml").read_bytes()
DEPLOYMENTS = [demo_text(name).encode() for name in NAMES]
SHELTERS = [
    ("[shelter]" + re.split(r"(?m)^\[shelter\]", text.decode())[1].split("\n[site]")[0]).encode()
    for text in DEPLOYMENTS
]
USING = b'[shelter]\nuse = "kept.toml"\n[wind]\nspeed = "20 mph"\n[site]\nsurface = "asphalt"\n[anchorage]\nkind = "ballast"\nunit = "sandbag"\n'
TAFS = [
    (HERE / "demo-forecast-storm.txt").read_bytes(),
    b"TAF ZZZZ 101720Z 1018/1118 20010KT 9999 SCT030 TEMPO 1020/1024 24025G42KT TSRA BECMG 1102/1104 29016G26KT FM111000 31008KT P6SM SKC=\n",
    b"TAF AMD KZZZ 101738Z 1018/1124 18004MPS P6SM PROB30 1022/1102 VRB15G25MPS -SN BKN008\n  FM110300 VRB03KT P6SM\nMETAR KZZZ 101753Z 15013KT 10SM 20/10 A2992\n",
]
METARS = [
    b"METAR KZZZ 101753Z 15013G19KT 10SM -RA FEW040 18/12 A2992 RMK AO2 PK WND 28045/1736\n",
    b"SPECI ZZZZ 101810Z 24012G21MPS 210V280 4000 TSRA BKN010CB 12/11 Q1002 NOSIG=\nMETAR ZZZZ 101750Z /////KT 9999 M02/M05 Q1010\n",
]
NBM = [
    b"KZZZ    NBM V4.1 NBS GUIDANCE    3/10/2026  1700 UTC\nDT /MAR  10         /MAR  11\nUTC  18 21 00 03 06 09\nFHR  01 04 07 10 13 16\nTMP  50 51 49 45 41 40\nWDR  27 27 28 28 29 29\nGST   8 10-99 30 12  9\nGSD   2  3-99  5  2  2\nT03   0  0 20 60  0  0\nQ06      0     3     0\nS06      0     1     0\nI06      0     0     0\nWSP   4  5  5  9  5  4\n",
    b"KZZZ    NBM V4.1 NBH GUIDANCE    3/10/2026  1700 UTC\nUTC  18 19 20 21 22 23 00\nWDR  27 27 28 28 29 30 31\nGST   8 10 12 12 14 30 20\nGSD   2  3  2  2  2  5  4\nWSP   4  5  6  6  7 15 10\nT01   0  0  0  0  0  0  0\nQ01   0  0  0  0  0  0  0\nS01   0  0  0  0  0  0  0\nI01   0  0  0  0  0  0  0\n",
]
GRIDPOINTS = [
    (HERE / "demo-forecast-winter.json").read_bytes(),
    json.dumps({"properties": {
        "updateTime": "2026-03-10T17:00:00+00:00", "validTimes": "2026-03-10T12:00:00+00:00/P1DT6H", "elevation": {"unitCode": "wmoUnit:m", "value": 100},
        "windGust": {"uom": "wmoUnit:km_h-1", "values": [{"validTime": f"2026-03-10T{h:02d}:00:00+00:00/PT2H", "value": 10 + h} for h in range(12, 24, 2)]},
        "windSpeed": {"uom": "wmoUnit:km_h-1", "values": [{"validTime": "2026-03-10T12:00:00+00:00/PT18H", "value": 9.26}]},
        "windDirection": {"uom": "wmoUnit:degree_(angle)", "values": [{"validTime": "2026-03-10T12:00:00+00:00/PT18H", "value": 270}]},
        "probabilityOfThunder": {"values": [{"validTime": "2026-03-10T20:00:00+00:00/PT2H", "value": 40}]},
        "hazards": {"values": [{"validTime": "2026-03-10T22:00:00+00:00/PT2H", "value": [{"phenomenon": "HW", "significance": "W", "event_number": None}]}]},
        "snowfallAmount": {"uom": "wmoUnit:mm", "values": [{"validTime": "2026-03-10T12:00:00+00:00/PT6H", "value": 3.0}]},
        "quantitativePrecipitation": {"uom": "wmoUnit:mm", "values": [{"validTime": "2026-03-10T12:00:00+00:00/PT18H", "value": 0.0}]},
        "iceAccumulation": {"values": []}, "temperature": {"values": []},
        "weather": {"values": [{"validTime": "2026-03-10T12:00:00+00:00/PT18H", "value": [{"coverage": None, "weather": None, "intensity": None, "attributes": []}]}]},
    }}).encode(),
]  # fmt: skip
HOURLY = [json.dumps({"properties": {"updateTime": "2026-03-10T17:00:00+00:00", "periods": [
    {"number": i + 1, "startTime": f"2026-03-10T{18 + i}:00:00-00:00".replace("-00:00", "+00:00"), "endTime": f"2026-03-10T{19 + i}:00:00+00:00", "isDaytime": True,
     "windSpeed": ["5 mph", "10 to 15 mph", None][i % 3], "windDirection": "NW", "shortForecast": ["Sunny", "Chance Snow Showers", "Thunderstorms"][i % 3]}
    for i in range(5)]}}).encode()]  # fmt: skip
OPEN = [json.dumps({
    "utc_offset_seconds": 0, "hourly_units": {"time": "iso8601", "wind_gusts_10m": "km/h", "wind_direction_10m": "°", "temperature_2m": "°C", "precipitation": "mm", "snowfall": "cm", "weather_code": "wmo code"},
    "hourly": {"time": [f"2026-03-10T{h}:00" for h in range(17, 24)], "wind_gusts_10m": [18, 20, 22, None, 30, 72, 12], "wind_direction_10m": [270, 270, 280, 290, 300, 310, 0],
               "temperature_2m": [1.5, 1, 0, -1, -2, -3, -3], "precipitation": [0, 0, 0.2, 0.4, 0, 0, 0], "snowfall": [0, 0, 0.1, 0.3, 0, 0, 0], "weather_code": [1, 2, 71, 73, 3, 95, 0]},
}).encode()]  # fmt: skip
CSVS = [
    b"# issued 2026-03-10T17:00:00Z\ntime (America/Chicago), gust (mph), direction (deg), snow (in)\n2026-03-10 13:00, 12, 270, 0\n2026-03-10 14:00, 14, 280, 0.5\n2026-03-10 15:00, , 290, 0\n2026-03-10 16:00, 35, N, 0\n",
    b'time,end,gust (kt),wind (m/s),thunder,temperature (degC),note\n2026-03-10T18:00:00Z,2026-03-10T20:00:00Z,10,3,no,5,"calm, dry"\n2026-03-10T20:00:00Z,2026-03-10T21:00:00Z,22,6,yes,3,\n',
]
HISTORIES = [
    b"station,valid,drct,sknt,gust\n" + b"".join(b"XYZ,2020-01-%02d %02d:53,%d.00,%d.00,%s\n" % (1 + i // 24, i % 24, i * 10 % 360, 4 + i % 9, b"M" if i % 4 else b"%d.00" % (15 + i % 30)) for i in range(60)),
    b"#archive\nstation,valid,tmpf,drct,sknt,gust,peak_wind_gust,peak_wind_drct,wxcodes,p01i,metar\n" + b"".join(b"XYZ,2020-01-%02d %02d:53,45.00,200.00,9.00,M,31.00,210.00,-RA BR,T,KXYZ 01%02d53Z 20009KT 10SM -RA 07/04 A2992 RMK AO2 PK WND 21031/%02d20 TSB20\n" % (1 + i // 24, i % 24, i % 24, i % 24) for i in range(30)),
    b"".join(b"202001%02d%02d53 METAR KXYZ %02d%02d53Z 20009G25KT 10SM -RA 07/04 A2992\n" % (1 + i // 24, i % 24, 1 + i // 24, i % 24) for i in range(40)),
]  # fmt: skip
SPOKEN = [
    (HERE / "demo-forecast-heard.txt").read_bytes(),
    b"zone America/Chicago\nheard 12:50\nuntil 18:00 gust 12 mph W\nfrom 18:00 until 22:00 wind 20-30 mph\nfrom 21:00 snow 2 in wet\nwarning severe-thunderstorm until 18:00\nspread 4 mph\n",
    b"zone CST\nheard 12:50\nsouthwest winds 5 to 10 mph with gusts up to 12 mph until 20:00\ntonight gusts to 15 mph\ntornado watch until 18:00\nsleet half an inch tonight\nforce 4 until 16:00\n",
]
_ALERT = {
    "id": "urn:oid:1", "areaDesc": "Aaa; Bbb", "geocode": {"UGC": ["ZZZ001"]}, "references": [], "sent": "2026-03-10T12:30:00-05:00", "effective": "2026-03-10T12:30:00-05:00",
    "onset": "2026-03-10T14:00:00-05:00", "expires": "2026-03-10T20:00:00-05:00", "ends": "2026-03-10T21:00:00-05:00", "status": "Actual", "messageType": "Alert", "category": "Met",
    "severity": "Severe", "certainty": "Likely", "urgency": "Expected", "event": "Tornado Warning", "senderName": "An office", "headline": "Tornado Warning issued",
    "description": "* WHAT...Southwest winds 30 to 40 mph with gusts up to 60 mph expected.", "instruction": "Stay inside.", "response": "Prepare",
    "parameters": {"VTEC": ["/O.NEW.KZZZ.TO.W.0001.260310T1900Z-260311T0200Z/"], "maxWindGust": ["60 MPH"], "NWSheadline": ["TORNADO WARNING"]},
}  # fmt: skip
ALERTS = [
    json.dumps({"@context": [], "type": "FeatureCollection", "title": "alerts", "updated": "2026-03-10T17:00:00Z", "features": [
        {"id": "x", "type": "Feature", "geometry": None, "properties": _ALERT}, {"type": "Feature", "properties": _ALERT | {"id": "urn:oid:2", "event": "Dense Fog Advisory", "description": "", "parameters": {}}}]}).encode(),
]  # fmt: skip
CAPS = [
    b"""<?xml version="1.0" encoding="UTF-8"?>
<alert xmlns="urn:oasis:names:tc:emergency:cap:1.2"><identifier>urn:oid:3</identifier><sender>a</sender><sent>2026-03-10T12:30:00-05:00</sent><status>Actual</status><msgType>Alert</msgType>
<scope>Public</scope><info><category>Met</category><event>Tornado Warning</event><urgency>Expected</urgency><severity>Severe</severity><certainty>Likely</certainty>
<onset>2026-03-10T14:00:00-05:00</onset><expires>2026-03-10T21:00:00-05:00</expires><description>Gusts up to 60 mph.</description>
<parameter><valueName>VTEC</valueName><value>/O.NEW.KZZZ.TO.W.0001.260310T1900Z-260311T0200Z/</value></parameter><area><areaDesc>Aaa</areaDesc></area></info></alert>
""",
]
TEXTS = [
    (
        b"FPUS53 KZZZ 101700\nZFPZZZ\n\nZone Forecast Product for Some Counties\nNational Weather Service Somewhere\n1200 PM CDT Tue Mar 10 2026\n\nZZZ014-110000-\nAaa-Bbb-\n\n"
        b".REST OF TODAY...Mostly sunny. Highs in the upper 50s. Southwest winds\n5 to 10 mph with gusts up to 15 mph.\n.TONIGHT...Mostly clear. Lows in the mid 40s. West winds 5 to 10 mph with gusts to 15 mph.\n"
        b".WEDNESDAY THROUGH THURSDAY NIGHT...Chance of snow showers. Highs near 40.\n\n$$\n"
    ),
    b"Tonight: Snow, mainly before 9pm. Low around 25. West wind 5 to 10 mph, with gusts as high as 20 mph. New snow accumulation of 1 to 2 inches possible.\nWednesday: Sunny, with a high near 40. Calm wind becoming west around 5 mph. Chance of precipitation is 30%.\n",
]
