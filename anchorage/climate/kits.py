"""Stocks compared: what each needs so that the shelter may stand as often, and what that weighs, fills and takes to place."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from anchorage.checks.overrides import override
from anchorage.climate import windows
from anchorage.climate.build import Climate, window_counts
from anchorage.climate.course import Takes
from anchorage.core import tables
from anchorage.core.constants import gravity, water_density
from anchorage.core.errors import AnchorageError, InputFaults
from anchorage.core.say import say
from anchorage.core.textfile import load_toml, read_whole
from anchorage.core.words import named
from anchorage.deployment.models import Deployment, PointIn
from anchorage.deployment.reader import LONGEST, read_data, read_file
from anchorage.holding.ground import fill_of
from anchorage.judging.packing import Thing, packing
from anchorage.judging.plan import Assessment, assess
from anchorage.outlook.weathered import as_it_stands
from anchorage.ways.work import work_of

PARTS = {"anchorage", "stock", "point", "deployment"}
"""What a kit by itself may say; anything else is a deployment of its own."""
OF_PLACE = ("id", "usable", "surface", "state", "soil", "on_ground")
"""What a point of the file says of its ground, which stays whatever stands on it."""
TRIES = 8
STEP = 1.03
"""Where the limit differs by direction, the gust that it is sized for goes up by so much until it stands as often."""
ENOUGH = 1e-9


@dataclass(frozen=True)
class Kit:
    """One stock."""

    name: str
    counts: dict[str, int]
    """Units by item, over all points."""
    mass_kg: float
    """As it stands."""
    carried_kg: float
    """Without water, which is filled where it stands."""
    volume_m3: float | None
    """Of sand, water, steel; None where a unit's is not known."""
    person_min: float
    gust_m_s: float | None
    shares: dict[str, float]
    short: dict[str, int]
    """What its stock lacks."""
    why: str = ""
    """Why it does not do it, or nothing."""


def _toml(path: str) -> dict[str, Any]:
    name = Path(path).name
    try:
        raw = read_whole(Path(path), LONGEST)
        return load_toml(raw.decode("utf-8-sig"))
    except OSError as e:
        raise InputFaults.of(
            name, "file", e.strerror or say("cannot be read"), say("give the path of a kit or a deployment")
        ) from None
    except ValueError as e:
        raise InputFaults.of(
            name, say("not readable as TOML"), str(e), say("a kit is a text file with a table [anchorage]")
        ) from None


def read_kit(path: str, points: Sequence[PointIn], file: str) -> Deployment:
    """A kit: a deployment of its own, or a file with [anchorage] alone, which stands under the shelter of ``file``."""
    data = _toml(path)
    if not data.keys() <= PARTS:
        return read_file(Path(path))
    if "anchorage" not in data:
        raise InputFaults.of(
            Path(path).name,
            "anchorage",
            say("not given"),
            say("a kit has a table [anchorage], and may have [stock] and [[point]]"),
        )
    base = {k: v for k, v in _toml(file).items() if k not in ("anchorage", "stock", "point", "test")}
    kept = [p.model_dump(mode="python", exclude_unset=True) for p in points]
    ground = [{k: v for k, v in p.items() if k in OF_PLACE} for p in kept]
    own = [p for p in ground if len(p) > 1]
    merged = {**base, **({"point": own} if own else {}), **data}
    if "name" not in data.get("deployment", {}):
        merged["deployment"] = {**base.get("deployment", {}), "name": Path(path).stem[:60]}
    else:
        merged["deployment"] = {**base.get("deployment", {}), **data["deployment"]}
    return read_data(merged, Path(path).name)


def _unsized(d: Deployment, gust: float) -> Deployment:
    """The same with nothing placed, to be sized to hold a gust (m/s)."""
    bare = d.model_copy(update={
        "anchorage": d.anchorage.model_copy(update={"placed": None, "size_for": "empty"}),
        "point": [p.model_copy(update={"placed": None}) for p in d.point],
    })  # fmt: skip
    return override(bare, gust=f"{gust!r} m/s")[0]


def _needs(a: Assessment) -> tuple[dict[str, int], float, float, float | None]:
    """Counts by item, mass as it stands, mass carried, volume."""
    steel = tables.row("packing-tool", "light-stake").value
    sand = tables.row("packing-sand", "unit-weight").value
    stakes = next((i.mass_kg / i.bring for i in packing(a).items if i.thing is Thing.STAKES and i.bring), 0.0)
    counts: dict[str, int] = {}
    mass = carried = 0.0
    volume: float | None = 0.0
    for p in a.plan.anchorage.points:
        n = p.stakes or p.units
        if p.kind == "none" or not n:
            continue
        words = {"stakes": "stakes", "deadman": "deadmen"}.get(p.kind) or named(p.item, 2)
        counts[words] = counts.get(words, 0) + n
        m = n * stakes if p.kind == "stakes" else p.mass_kg
        water = fill_of(p.item) == "water"
        mass += m
        carried += 0.0 if water else m
        if p.kind == "stakes":
            more = m / steel
        elif water:
            more = m / water_density()
        else:
            more = m * gravity() / sand if fill_of(p.item) == "sand" else math.nan
        volume = None if volume is None or math.isnan(more) else volume + more
    return counts, mass, carried, volume


def _kit(name: str, a: Assessment, x: Takes, c: Climate) -> Kit:
    counts, mass, carried, volume = _needs(a)
    i = a.installation
    minutes = work_of(
        a.deployment.anchorage,
        a.deployment.crew,
        a.deployment.point,
        i.hard,
        i.base.ids,
        [int(n) for n in i.counts],
    ).person_min
    found = windows.shares(window_counts(c.hours, x, c.n))
    short = {s.item: s.short for s in a.plan.stock if s.short}
    gust = x.limits.gust if math.isfinite(x.limits.gust) else None
    return Kit(
        name,
        counts,
        mass,
        carried,
        volume,
        minutes,
        gust,
        dict(zip(windows.SHARES, (float(v) for v in found), strict=True)),
        short,
    )


def _sized(d: Deployment, c: Climate, wanted: float) -> Kit:
    """The least of a kit that stands as often as the file does."""
    name, gust = d.deployment.name, c.takes.limits.gust
    best: Kit | None = None
    for _ in range(TRIES):
        a = assess(_unsized(d, gust))
        if a.plan.does_not_do or not sum(p.units + p.stakes for p in a.plan.anchorage.points):
            why = a.plan.does_not_do[0].why if a.plan.does_not_do else say("no number of these holds it")
            return _cannot(name, why)
        a = assess(as_it_stands(d, a.plan))
        x = Takes(a)
        stands = next(
            (
                b.text
                for b in x.limits.blocks
                if b.verdict == "no-go" and b.code != "stock-short" and b not in c.takes.limits.blocks
            ),
            None,
        )
        if stands is not None:
            return _cannot(name, stands)
        best = _kit(name, a, x, c)
        if best.shares["share_in"] >= wanted - ENOUGH:
            return best
        gust *= STEP
    return _cannot(name, say("it does not come to the same share of windows")) if best is None else best


def _cannot(name: str, why: str) -> Kit:
    return Kit(name, {}, 0.0, 0.0, None, 0.0, None, dict.fromkeys(windows.SHARES, math.nan), {}, why)


def kits(c: Climate, file: str, others: Sequence[str]) -> list[Kit]:
    """The file as it stands, then each kit sized to stand as often."""
    d, x = c.takes.deployment, c.takes
    own = _kit(d.deployment.name, assess(d), x, c)
    out = [own]
    for path in others:
        try:
            found = read_kit(path, d.point, file)
        except OSError as e:
            raise InputFaults.of(
                Path(path).name, "file", e.strerror or say("cannot be read"), say("give the path of a kit")
            ) from None
        try:
            out.append(_sized(found, c, own.shares["share_in"]))
        except InputFaults:
            raise
        except AnchorageError as e:
            out.append(_cannot(found.deployment.name, str(e)))
    return out
