"""240 hours read and judged in under 100 ms of processor time, so that what else runs on the machine does not count.

A slow machine is measured by itself: or in less than the time of 60 plain parses of the same text.
"""

import json
import time

from outlook_kit import LIMITS, SHARES, at

from anchorage.outlook.hours import hours_of
from anchorage.outlook.judge import judge
from anchorage.outlook.reader import read_text

NOW = at("2026-03-10T18")
HOURS = 240


def text() -> str:
    def layer(uom: str, value) -> dict:
        days = [(h // 24, h % 24) for h in range(HOURS)]
        return {
            "uom": uom,
            "values": [
                {
                    "validTime": f"2026-03-{10 + (d + (h + 18) // 24):02d}T{(h + 18) % 24:02d}:00:00+00:00/PT1H",
                    "value": value(24 * d + h),
                }
                for d, h in days
            ],
        }

    props = {
        "updateTime": "2026-03-10T17:30:00+00:00",
        "windGust": layer("wmoUnit:km_h-1", lambda i: 10 + i % 60), "windSpeed": layer("wmoUnit:km_h-1", lambda i: 5 + i % 30),
        "windDirection": layer("wmoUnit:degree_(angle)", lambda i: i * 7 % 360), "temperature": layer("wmoUnit:degC", lambda i: i % 9 - 4),
        "quantitativePrecipitation": layer("wmoUnit:mm", lambda i: i % 3 / 10), "snowfallAmount": layer("wmoUnit:mm", lambda i: i % 2),
    }  # fmt: skip
    return json.dumps({"properties": props}, indent=2)


def best(what, times: int = 7) -> float:
    out = []
    for _ in range(times):
        start = time.process_time()
        what()
        out.append(time.process_time() - start)
    return min(out)


def test_240_hours_are_read_and_judged_at_once():
    body = text()

    def whole():
        found = judge(hours_of(read_text(body, NOW, "f"), NOW, NOW), LIMITS, SHARES, NOW)
        assert len(found) == HOURS

    whole()
    took, plain = best(whole), best(lambda: json.loads(body))
    assert took < 0.1 or took < 60 * plain
    print(f"{HOURS} hours in {took * 1000:.0f} ms, {took / plain:.0f} plain parses")
