"""What came of each group of tests at the site: used or not, what it counts for beside the row, and why."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from anchorage.core import tables
from anchorage.deployment.models import Anchorage, Deployment, Ground, SiteTest
from anchorage.holding.ground import Footing, friction_tests, measured_alone, surface_state
from anchorage.holding.hardware import mass_said, most_pulled_here, staked_surface
from anchorage.holding.measured import HARD, Group, Lack, meters, newtons, stakes_pulled, strengths, weighings


@dataclass(frozen=True)
class Finding:
    """A group of tests and what came of it. value and row_value in SI (1, kg, N, Pa, 1)."""

    kind: str
    contact: str
    state: str
    n: int
    value: float | None
    row_value: float | None
    used: bool
    why: tuple[Lack, ...] = ()


def _asked() -> float:
    return tables.row("evidence", "places-asked").value


def _held(g: Group, value: float, high: float | None) -> tuple[float, tuple[Lack, ...]]:
    """A value held to the high end of the row until five places, and whether it was."""
    if high is not None and len(g.values) < _asked() and value > high:
        return high, (Lack.PULL_TO_FIVE,)
    return value, ()


def _friction(ground: Ground, g: Group, groups: Sequence[Group]) -> Finding:
    name = f"{g.what}-{g.under.replace(' ', '-')}"
    if Lack.ICE_OR_MUD in g.lacks or g.value is None:
        return Finding(g.kind, name, g.state, len(g.values), g.value, None, False, g.lacks)
    stand = Footing(g.surface, g.state, None, None, None, None)
    row, value = measured_alone(stand, g)
    held = (Lack.PULL_TO_FIVE,) if value < g.value else ()
    here = surface_state(ground, ground.site.state, [])
    twin = any(
        o is not g and (o.what, o.under, o.surface, o.state) == (g.what, g.under, g.surface, here)
        for o in groups
    )
    lacks = [*g.lacks, *held]
    applies = g.state == here or (g.state == "dry" and here == "wet" and g.what not in HARD and not twin)
    if not applies:
        lacks.append(Lack.WET_ONLY if here == "wet" and g.what in HARD else Lack.OTHER_STATE)
    used = applies and (g.whole or value < row)
    return Finding(g.kind, name, g.state, len(g.values), value, row, used, tuple(lacks))


def findings(anchorage: Anchorage, ground: Ground) -> tuple[Finding, ...]:
    """What came of the tests of a deployment."""
    if not ground.tests:
        return ()
    drags = friction_tests(anchorage, ground)
    out = [_friction(ground, g, drags) for g in drags if not g.unsure]
    unsure = dict[tuple[object, ...], list[Finding]]()
    for g in drags:
        if g.unsure:
            unsure.setdefault((g.state, g.values, g.foot), []).append(_friction(ground, g, drags))
    out += [
        replace(each[0], contact="?", row_value=None, used=any(f.used for f in each))
        for each in unsure.values()
    ]
    if (w := weighings(anchorage, ground.tests)) is not None:
        said, high = mass_said(anchorage)
        value, held = (w.value, ()) if w.value is None else _held(w, w.value, high)
        used = value is not None and (w.whole or (said is not None and value < said))
        out.append(Finding("weigh", w.what, "", len(w.values), value, said, used, (*w.lacks, *held)))
    surface = staked_surface(anchorage, ground)
    if (p := stakes_pulled(ground, surface, most_pulled_here(anchorage, ground))) is not None:
        out.append(
            Finding(
                "pull",
                "stake",
                p[0].state,
                len(p[0].values),
                p[0].value,
                None,
                p[0].value is not None,
                p[0].lacks,
            )
        )
    for on in dict.fromkeys(str(t.surface or ground.site.surface) for t in ground.tests if t.kind == "vane"):
        v, stake = strengths(ground, on), anchorage.stake
        soil = stake.soil if stake is not None and on == str(surface) else None
        row = tables.table("soil-strength").by_key.get(soil or "")
        if v is not None:
            value, held = (v.value, ()) if v.value is None or row is None else _held(v, v.value, row.high)
            used = row is not None and value is not None and (v.whole or value < row.value)
            lacks = (*v.lacks, *held, *(() if row is not None else (Lack.NOT_HERE,)))
            out.append(
                Finding(
                    "vane",
                    "clay",
                    v.state,
                    len(v.values),
                    value,
                    None if row is None else row.value,
                    used,
                    lacks,
                )
            )
    if (m := meters(ground.tests)) is not None:
        out.append(Finding("meter", m.what, "", len(m.values), m.value, 1.0, False, m.lacks))
    return tuple(out)


FOOT = ("foot", "cloth")
"""What is pulled with the load of a foot; the rest with that of a unit."""


def off_load(d: Deployment, in_use: Sequence[tuple[float, float]]) -> Deployment | None:
    """The deployment with the pulls lost that carried another load than in use; None where there are none such. in_use: for each point
    with ballast the weight on its foot, and of one unit (N).

    A foot carries between half and twice of what every foot here carries; a unit at least half of itself, and at most twice of all
    that may lie on it. A light piece reads high.
    """
    least, most = (tables.row("evidence", k).value for k in ("load-least", "load-most"))
    near = 1 + 1e-9

    def off(t: SiteTest) -> bool:
        if t.kind != "drag" or t.load is None or t.lost or not in_use:
            return False
        load = newtons(t.load)
        if t.what in FOOT:
            return any(least * w > load * near or load > most * w * near for w, _ in in_use)
        return (
            least * max(u for _, u in in_use) > load * near or load > most * max(w for w, _ in in_use) * near
        )

    if not any(map(off, d.test)):
        return None
    return d.model_copy(update={"test": [t.losing(Lack.LOAD_OFF.value) if off(t) else t for t in d.test]})
