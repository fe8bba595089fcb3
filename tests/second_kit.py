"""A job of the second reckoning as a deployment file, and both answers beside each other."""

from __future__ import annotations

from dataclasses import replace
from math import cos, inf, isclose, isfinite, radians, sqrt
from typing import Any

from anchorage.judging.result import Plan
from tests.second_figures import Job, gust_of
from tests.second_reckoning import Reckoning
from tests.second_snow import Lying, are_locked, roof_load

RELATIVE = 1e-10
"""Of a figure; the most seen is 3e-13."""
BY_CODE = 2e-5
"""Where snow by code bears on it: tables have its psf and pcf in SI, rounded to seven digits or less, and a frame near folding makes more of that."""
AVERAGING = {3.0: "3 s", 60.0: "1 min", 120.0: "2 min", 600.0: "10 min", 3600.0: "1 h"}


def text_of(j: Job) -> str:
    """The deployment file."""
    shelter = {
        "form": j.form, "length": f"{j.length!r} m", "width": f"{j.width!r} m", "eave": f"{j.eave!r} m",
        "ridge": f"{j.ridge!r} m", "mass": f"{j.mass!r} kg", "points_per_side": j.per_side, "points_per_end": j.per_end,
        "high_side": j.high if j.form.endswith("single-slope") else None, "openings": j.openings, "blockage": j.blockage,
    }  # fmt: skip
    strap: dict[str, Any] = {}
    if j.straps is not None:
        t = j.straps
        shelter |= {"straps": "locked" if t.locked else "unlocked", "lean": t.lean, "leg_lean": t.legs}
        strap = {
            "count": t.count, "ends": t.ends, "angle": t.angle, "bay": f"{t.bay!r} m", "rated": f"{t.rated!r} N",
            "stiffness": None if t.stiffness is None else f"{t.stiffness!r} N", "slack": None if t.slack is None else f"{t.slack!r} m",
        }  # fmt: skip
    site = {
        "surface": j.surface, "beneath": "nothing", "state": j.state, "exposure": j.exposure, "elevation": f"{j.elevation!r} m",
        "temperature": None if j.temperature is None else f"{j.temperature - 273.15!r} degC", "humidity": j.humidity,
        "heading": j.heading, "slope": j.slope or None, "terrain_category": j.category if j.method == "en1991" else None,
    }  # fmt: skip
    wind = {
        "method": j.method, "speed": f"{j.speed!r} m/s", "averaging": AVERAGING[j.averaging], "terrain": j.terrain,
        "level": "strength" if j.margins == "asd" else "service", "code_minimum": j.code_minimum, "from": j.wind_from,
        "height": None if j.height is None else f"{j.height!r} m", "return_period": j.return_period,
    }  # fmt: skip
    held: dict[str, Any] = {
        "kind": "stakes"
        if j.stake
        else "deadman"
        if j.deadman
        else "ballast"
        if j.on_frame
        else "line-ballast",
        "line_angle": j.block_angle,
        "line_plan": j.line_plan,
        "placed": j.placed,
        "size_for": j.size_for,
    }
    held |= {
        "contact": j.contact,
        "foot": j.foot,
        "line_rated": None if j.line_rated is None else f"{j.line_rated!r} N",
    }
    stake: dict[str, Any] = {}
    if j.stake:
        b, driven, soil, angle, height = j.stake
        stake = {
            "diameter": f"{b!r} m", "driven": f"{driven!r} m", "soil": soil, "line_angle": angle,
            "line_height": f"{height!r} m" if angle else None, "tested": j.tested,
        }  # fmt: skip
        if j.pulls:
            stake |= {
                "pull_tests": [f"{p!r} N" for p in j.pulls],
                "pull_angle": j.pulled_at or angle or 90.0,
                "test_driven": None if j.test_driven is None else f"{j.test_driven!r} m",
                "pulled": "held",
            }
    elif not j.deadman:
        mass = None if j.unit_mass is None else f"{j.unit_mass!r} kg"
        held |= {
            "unit": j.unit,
            "unit_mass": mass,
            "unit_material": j.material,
            "how": j.how if j.on_frame else None,
            "how_detail": {"stop": True, "every_bag": True, "on_ground": not j.clear}
            if j.on_frame and j.how == "lashed-to-leg"
            else None,
        }
    log: dict[str, Any] = {}
    if j.deadman:
        log = dict(zip(("depth", "length", "face", "ground", "trench"), j.deadman, strict=True))
        log |= {k: f"{log[k]!r} m" for k in ("depth", "length", "face", "trench") if log[k] is not None}
    parts = {
        "shelter": shelter, "shelter.strap": strap, "snow": snow_of(j.snow), "site": site, "wind": wind, "anchorage": held, "anchorage.stake": stake,
        "anchorage.deadman": log,
    }  # fmt: skip
    lines = [
        f'[[door]]\nwall = "{w}"\nwidth = "{wide!r} m"\nheight = "{high!r} m"\nis = "{state}"'
        for w, wide, high, state in j.doors
    ]
    lines += [f'[[duct]]\nwall = "{w}"\ndiameter = "{d!r} m"\ncount = {n}' for w, d, n in j.ducts]
    said = {
        "margins": {"set": j.margins},
        "halfway": {"cover": "attached"},
    }  # the walls are on before anything is placed
    for name, part in (parts | said).items():
        if part:
            lines += [f"[{name}]", *(f"{k} = {_toml(v)}" for k, v in part.items() if v is not None)]
    return "\n".join(lines)


def snow_of(s: Lying | None) -> dict[str, Any]:
    """The part of the file on snow."""
    if s is None:
        return {}
    if s.ground is None:
        return {"depth": None if s.depth is None else f"{s.depth!r} m", "kind": s.kind, "water": None if s.water is None else f"{s.water!r} m"}  # fmt: skip
    out = {
        "ground_load": f"{s.ground!r} Pa", "edition": s.edition, "exposure": s.exposure, "level": "strength" if s.edition == "asce7-22" else None,
        "heated": s.heated, "slippery": s.slippery, "winter_wind": s.winter, "pockets": s.held or None,
    }  # fmt: skip
    if s.edition == "en1991-1-3":
        out |= {"exceptional": s.exceptional, "heated": None, "slippery": None}
        out |= dict(zip(("return_period", "variation"), s.years or (None, None), strict=True))
    else:
        out["risk_category"] = s.category
    if s.building is not None:
        wide, tall, slope = s.building
        out["building"] = {"width": f"{wide!r} m", "height": f"{tall!r} m", "slope": slope}
    return out


def _toml(value: Any) -> str:
    if isinstance(value, dict):
        return "{ " + ", ".join(f"{k} = {_toml(v)}" for k, v in value.items()) + " }"
    if isinstance(value, list):
        return "[" + ", ".join(_toml(v) for v in value) + "]"
    if isinstance(value, bool):
        return str(value).lower()
    return f'"{value}"' if isinstance(value, str) else repr(value)


def differences(j: Job, plan: Plan) -> list[tuple[str, float, float]]:
    """Figures that are not the same in both, (what, second reckoning, program)."""
    r = Reckoning(j)
    gust = gust_of(j) * (sqrt(0.6) if j.margins == "asd" else 1.0)
    units = {p.id: p.stakes if j.stake or j.deadman else p.units for p in plan.anchorage.points}
    if j.placed is not None:  # counts as they stand: what a point can have no more of is not counted
        units |= {i: min(units[i], x.most) for x in plan.does_not_do for i in x.where}
    reach = r.reach(units)
    pairs = [
        ("gust", gust, plan.wind.gust_m_s),
        ("q", r.q, plan.wind.velocity_pressure_pa),
        ("uplift", r.q * r.most_up, plan.demand.uplift_n),
        ("sliding", r.q * r.most_push, plan.demand.sliding_n),
        ("overturning", r.q * max(r.most_tip), plan.demand.overturning_n_m),
        ("friction", r.mu / r.phi, plan.anchorage.friction),
    ]
    pairs += sway_and_snow(j, r, plan)
    checks = {c.name: c for c in plan.checks if c.case != "snow lying"}
    ratios = {name: 0.0 if q == inf else r.q / q if q else inf for name, q in reach.items()} | r.fixed(units)
    for name in ratios.keys() | checks.keys():
        ratio = checks[name].ratio if name in checks else -1.0
        pairs.append((name, ratios.get(name, -1.0), inf if ratio is None else ratio))
    limit = plan.limit.anchorage_gust_m_s
    least = min(q for name, q in reach.items() if not name.startswith("straps"))
    pairs.append(("limit", gust * sqrt(least / r.q), inf if limit is None else limit))
    if j.heading is not None and j.wind_from is None and j.length % 0.0016 < 0.0004:
        some = plan.limit.by_bearing[int(j.length * 1e4) % len(plan.limit.by_bearing)]
        q = min(Reckoning(replace(j, wind_from=some.bearing)).reach(units).values())
        pairs.append(
            ("limit by bearing", gust * sqrt(q / r.q), inf if some.gust_m_s is None else some.gust_m_s)
        )
    if j.placed is None:
        groups, best = {p.group: units[p.id] for p in plan.anchorage.points}, r.least()
        alike = groups in best if best else "cannot-be-held" in {x.code for x in plan.reasons}
        if (
            best and not alike
        ):  # on lines several are alike, and not all of them are listed: the least total, and of those the smallest largest
            many = {
                p.group: sum(x.group == p.group for x in plan.anchorage.points) for p in plan.anchorage.points
            }
            least = min((sum(many[g] * n for g, n in b.items()), max(b.values())) for b in best)
            alike = (
                plan.anchorage.kind == "line-ballast" and (sum(units.values()), max(groups.values())) == least
            )
        pairs.append((f"counts {groups}, second reckoning {best}", float(alike), 1.0))
        pairs.append(
            (
                "units in all",
                float(sum(units.values())),
                float(plan.anchorage.total.units + plan.anchorage.total.stakes),
            )
        )
    by_code = j.snow is not None and j.snow.ground is not None
    off = BY_CODE if by_code else RELATIVE
    return [p for p in pairs if not isclose(p[1], p[2], rel_tol=off, abs_tol=1e-12)]


def sway_and_snow(j: Job, r: Reckoning, plan: Plan) -> list[tuple[str, float, float]]:
    """What lies on the roof, and each way in which the frame sways in its straps."""
    even, light, heavy = roof_load(j)
    pairs = [("snow", even, plan.snow.roof_load_pa)]
    if j.snow is not None:
        pairs += [
            ("light half", light, plan.snow.uneven_light_pa),
            ("heavy half", heavy, plan.snow.uneven_heavy_pa),
        ]
    if j.straps is None:
        return pairs
    for name, said in (("along", plan.straps.racking[0]), ("across", plan.straps.racking[1])):
        s, t = r.sways[name], j.straps
        pairs += [
            (f"{name}: load on the legs", s.vertical, said.vertical_n or 0.0),
            (f"{name}: lean", s.lean, said.lean),
        ]
        pairs += [
            (f"{name}: sway", s.still, said.sway_n or 0.0),
            (f"{name}: wind", s.wind * r.q, said.wind_n),
        ]
        if not s.pulling or not isfinite(s.amplifier):
            continue
        pairs.append((f"{name}: amplified", s.amplifier, said.amplifier or 0.0))
        pull = (
            s.amplifier
            * (max(1.0, r.g_line) * s.still + r.g_line * r.q * s.wind)
            / (s.pulling * cos(radians(t.angle)))
        )
        pairs += [(f"{name}: pull", pull, said.tension_n or 0.0)]
        pairs.append(
            (f"{name}: foot", s.push(r.q) * s.height / (s.pulling * t.bay), said.foot_uplift_n or 0.0)
        )
        if are_locked(j) and not s.folds:
            still = s.amplifier * max(1.0, r.g_line) * s.still / (s.pulling * cos(radians(t.angle))) / t.rated
            found = [
                c.ratio
                for c in plan.checks
                if c.case == "snow lying" and c.where == "strap" and said.direction in c.name
            ]
            pairs.append(
                (f"{name}: strap without wind", still, found[0] if found and found[0] is not None else -1.0)
            )
    return pairs
