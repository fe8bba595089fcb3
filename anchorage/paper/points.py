"""The anchor points for other programs: a table, and a map where the site has coordinates."""

from __future__ import annotations

import csv
import io
import json
import math
from typing import Any

from anchorage.checks.installation import heading_true
from anchorage.core.errors import AnchorageError
from anchorage.core.plain import clean
from anchorage.core.say import ENGLISH, say, speaking
from anchorage.core.version import VERSION
from anchorage.deployment.models import Site
from anchorage.judging.result import Plan, PointOut
from anchorage.paper.content import Made

COLUMNS = (
    "id", "group", "x_m", "y_m", "usable", "kind", "item", "units", "stakes", "mass_kg", "uplift_n", "sliding_n",
)  # fmt: skip
EARTH = 6_371_008.8
"""Mean radius of the Earth (m), IUGG."""


class PointsError(AnchorageError):
    """Points that cannot be written, and what would make it possible."""


def inert_cell(text: str) -> str:
    """A cell that no spreadsheet takes for a formula: one that might start one is given an apostrophe."""
    text = clean(text)
    return (
        f"'{text}"
        if text.lstrip(" '\"")[:1] in ("=", "+", "-", "@", "|", "%", "＝", "＋", "－", "＠")
        and not _number(text)
        else text
    )


def _number(text: str) -> bool:
    try:
        return math.isfinite(float(text))
    except ValueError:
        return False


def table_csv(head: tuple[str, ...], rows: list[tuple[str, ...]]) -> str:
    """A CSV file by RFC 4180, every cell inert."""
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\r\n")
    writer.writerow(head)
    writer.writerows([inert_cell(c) for c in row] for row in rows)
    return out.getvalue()


def _row(p: PointOut) -> dict[str, Any]:
    return {
        "id": p.id, "group": p.group, "x_m": round(p.x_m, 3), "y_m": round(p.y_m, 3), "usable": p.usable, "kind": p.kind, "item": p.item,
        "units": p.units, "stakes": p.stakes, "mass_kg": round(p.mass_kg, 1), "uplift_n": round(p.uplift_n, 1), "sliding_n": round(p.sliding_n, 1),
    }  # fmt: skip


@speaking(ENGLISH)
def points_csv(plan: Plan) -> str:
    """A row a point; x towards the front, y to the left, metres from the middle."""
    rows = [tuple(str(_row(p)[k]) for k in COLUMNS) for p in plan.anchorage.points]
    return table_csv(COLUMNS, rows)


def place_of(site: Site, x: float, y: float) -> tuple[float, float]:
    """Longitude and latitude of a place x m towards the front and y m to the left of the middle of the shelter."""
    latitude, longitude, heading = site.latitude, site.longitude, heading_true(site)
    if latitude is None or longitude is None:
        raise PointsError(
            say(
                "geojson: where is the middle of the shelter? give site.latitude and site.longitude, decimal degrees"
            )
        )
    if heading is None:
        raise PointsError(
            say(
                "geojson: which way does the front face? give site.heading, degrees true, or magnetic with site.declination"
            )
        )
    a = math.radians(heading)
    north, east = x * math.cos(a) + y * math.sin(a), x * math.sin(a) - y * math.cos(a)
    there = latitude + math.degrees(north / EARTH)
    round_ = longitude + math.degrees(east / (EARTH * max(math.cos(math.radians(latitude)), 1e-6)))
    return round((round_ + 180.0) % 360.0 - 180.0, 8), round(there, 8)


@speaking(ENGLISH)
def points_geojson(plan: Plan, site: Site, made: Made) -> str:
    """A FeatureCollection by RFC 7946: the outline of the shelter and its anchor points. A sketch, not a survey."""
    corners = [(p.x_m, p.y_m) for p in plan.anchorage.points if p.group == "corner"]
    x, y = max(c[0] for c in corners), max(c[1] for c in corners)
    ring = [place_of(site, *c) for c in ((x, y), (-x, y), (-x, -y), (x, -y), (x, y))]
    features: list[dict[str, Any]] = [{
        "type": "Feature", "id": "shelter", "geometry": {"type": "Polygon", "coordinates": [ring]},
        "properties": {"name": clean(plan.name), "headline": clean(plan.headline), "verdict": plan.verdict, "limit_gust_m_s": plan.limit.gust_m_s,
                       "file": clean(made.file), "sha256": made.fingerprint, "program": f"anchorage {VERSION}", "made": made.when},
    }]  # fmt: skip
    features += [
        {
            "type": "Feature",
            "id": p.id,
            "geometry": {"type": "Point", "coordinates": place_of(site, p.x_m, p.y_m)},
            "properties": _row(p),
        }
        for p in plan.anchorage.points
    ]
    return (
        json.dumps(
            {"type": "FeatureCollection", "features": features}, indent=1, allow_nan=False, ensure_ascii=False
        )
        + "\n"
    )
