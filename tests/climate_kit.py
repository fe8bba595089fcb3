"""Shared by the tests of years of weather: histories as text, and the windows counted the slow way."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from datetime import UTC, datetime, timedelta, tzinfo

from anchorage.deployment.reader import read_text

KNOT = 1852.0 / 3600.0
START = datetime(2020, 1, 1, tzinfo=UTC)
HEAD = "station,valid,drct,sknt,gust"
TEXT = """
[deployment]
name = "Aid post (invented)"
[shelter]
form = "gable"
length = "18 ft"
width = "16 ft"
eave = "7 ft"
ridge = "9 ft 6 in"
mass = "240 lb"
points_per_side = 4
points_per_end = 2
openings = { front = 0.0, back = 0.0, left = 0.0, right = 0.0 }
[shelter.rating]
gust_unlocked = "60 mph"
[site]
surface = "asphalt"
beneath = "nothing"
state = "wet"
surroundings = "town"
elevation = "600 ft"
temperature = "45 degF"
HEADING
[wind]
speed = "20 mph"
speed_is = "forecast-gust"
terrain = "site"
[anchorage]
kind = "ballast"
unit = "sandbag"
unit_mass = "40 lb"
contact = "ground"
foot = "rubber"
placed = PLACED
size_for = "people-in"
how = "standing-tied"
"""


def site(placed: int = 10, heading: int | None = None) -> str:
    """A deployment file as it stands; without a heading one limit counts for every direction."""
    return TEXT.replace("PLACED", str(placed)).replace(
        "HEADING", "" if heading is None else f"heading = {heading}"
    )


def deployment(placed: int = 10, heading: int | None = None):
    """The same, read."""
    return read_text(site(placed, heading), "site")


def table(
    gusts: Iterable[float | None], start: datetime = START, bearing: float = 200, mean: float = 5.0
) -> str:
    """One report an hour; gusts in knots, None = the whole report is missing."""
    rows = [HEAD]
    for i, g in enumerate(gusts):
        if g is not None:
            at = start + timedelta(hours=i)
            rows.append(f"XYZ,{at:%Y-%m-%d %H:%M},{bearing:.0f},{mean:.2f},{g:.4f}")
    return "\n".join(rows) + "\n"


def by_hand(gusts: Sequence[float | None], n: int, limit: float, zone: tzinfo = UTC, start: datetime = START,
            people_out: float = 0.8) -> dict[tuple[int, int], list[int]]:  # fmt: skip
    """Windows of each kind, one by one: gusts in knots, limit in m/s; by month and hour of the start: in, empty, down, unknown."""
    out: dict[tuple[int, int], list[int]] = {}
    for i in range(len(gusts) - n + 1):
        hours = gusts[i : i + n]
        local = (start + timedelta(hours=i)).astimezone(zone)
        found = out.setdefault((local.month, local.hour), [0, 0, 0, 0])
        if any(g is None for g in hours):
            found[3] += 1
        else:
            most = max(g for g in hours if g is not None) * KNOT
            found[0 if most < people_out * limit else 1 if most < limit else 2] += 1
    return out
