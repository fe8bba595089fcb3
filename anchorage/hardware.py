"""Marries what a team has - ballast, stakes, lines, the ground - to tables and formulas: strength of one unit."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from anchorage import tables, working
from anchorage.deployment import Anchorage, Deployment, Margins, Stake
from anchorage.errors import NotModelledError
from anchorage.holding import stakes

GRAVITY = 9.80665
"""m/s^2, standard gravity (SI, exact)."""


@dataclass(frozen=True)
class Factors:
    """One set of margins: wind, shelter, ballast, friction, stake, line (1), and the level of speed it takes."""

    set: str
    wind: float
    shelter: float
    ballast: float
    friction: float
    stake: float
    line: float
    level: str


@dataclass(frozen=True)
class Hardware:
    """Strength of one unit at a point. Forces in N, unfactored."""

    kind: str
    unit_name: str
    unit_mass: float
    """kg; 0 for stakes."""
    friction: float
    line_angle: float | None
    """Degrees above the ground; None where nothing runs on a line."""
    tension: float
    """Ultimate pull along the line of one stake (N); 0 where there is no line."""
    lateral: float
    axial: float
    """Ultimate of one stake through the foot (N)."""
    line_strength: float | None
    """Knot efficiency x rated load of a line (N); None where it is not given."""
    assumptions: tuple[str, ...] = ()
    asks: tuple[tuple[str, str], ...] = ()
    """(code, question): what must be known before this may be called go."""


def factors(margins: Margins) -> Factors:
    """The margins of the file, by name or typed in."""
    keys = ("wind", "shelter", "ballast", "friction", "stake", "line")
    if margins.set == "own":
        return Factors(set="own", level=str(margins.level), **{k: float(getattr(margins, k)) for k in keys})
    rows = [tables.row(f"margin-{margins.set}", k) for k in keys]
    for k, row in zip(("γ wind", "κ shelter", "κ ballast", "φμ", "ψ stake", "γ line"), rows, strict=True):
        working.looked_up(k, row)
    level = "strength" if margins.set == "asd" else "service"
    return Factors(set=margins.set, level=level, **{k: r.value for k, r in zip(keys, rows, strict=True)})


def surface_state(d: Deployment, notes: list[str]) -> str:
    """State of the surface; left out: the slipperiest that the weather allows. Decontamination: never better than wet."""
    site = d.site
    freezing = (
        site.temperature is not None
        and site.temperature - 273.15 <= tables.row("practice", "decon-ice-at-or-below").value
    )
    state = site.state
    if state is None:
        snow = bool(d.snow.depth or d.snow.water)
        state = "ice" if freezing or snow else "wet"
        unknown = (
            ""
            if site.temperature is not None
            else ' (temperature not given: where it can freeze, say state = "ice")'
        )
        notes.append(f"State of the surface not given: taken as {state}{unknown}.")
    if d.shelter.use == "decon" and state == "dry":
        state = "wet"
        notes.append("Decontamination: run-off water, so the surface counts as wet.")
    if d.shelter.use == "decon" and freezing and state != "ice":
        state = "ice"
        notes.append("Decontamination at or below 2 °C: run-off water freezes, so the surface counts as ice.")
    return state


def _friction_row(contact: str, surface: str, state: str) -> tables.Row:
    table = tables.table("friction")
    if f"{contact}-{surface}-{state}" in table:
        return table[f"{contact}-{surface}-{state}"]
    known = [r for r in table.rows if r.key.startswith(f"{contact}-") and r.key.endswith(f"-{state}")]
    return min(known, key=lambda r: r.value)


def friction_coefficient(d: Deployment, state: str, notes: list[str]) -> float:
    """Least coefficient in the stack from the ballast down to the ground, by what stands on what."""
    a, surface = d.anchorage, str(d.site.surface)
    if surface not in tables.table("surface"):
        notes.append(f'Surface "{surface}" is not listed: the lowest friction of all surfaces is used.')
    ballast = (
        "block"
        if (a.unit or "").startswith("concrete")
        else ("barrel" if (a.unit or "").startswith("water") else "bag")
    )
    over = {"cloth": "cloth", "bare-metal": "metal", "plastic": "plastic", "rubber": "metal"}
    if a.contact == "ground" and a.how == "standing-tied":
        standing = {"block": "block", "barrel": "plastic"}.get(ballast, "bag")
        rows = [_friction_row(standing, surface, state)]
    else:
        feet = (
            [a.foot] if a.foot else ["cloth"] if a.contact == "cloth" else ["bare-metal", "plastic", "rubber"]
        )
        if a.contact == "ground" and not a.foot:
            feet = ["bare-metal", "plastic", "rubber", "cloth"]
        if a.contact != "cloth" and not a.foot:
            notes.append(
                "What the frame's feet are made of is not given: the most slippery of metal, plastic and rubber counts."
            )
        if a.contact == "cloth" and a.foot:
            feet = ["cloth"]
        rows = [_friction_row(f, surface, state) for f in feet]
        stack = tables.table("friction-stack")
        rows += [
            stack[k]
            for f in feet
            if (k := f"{ballast}-on-{over[f]}-{state}") in stack and a.how != "hung-clear"
        ]
    least = min(rows, key=lambda r: r.value)
    chosen = tables.row(least.table, least.key)
    working.looked_up("μ", chosen)
    return chosen.value


def _ballast(d: Deployment, notes: list[str], asks: list[tuple[str, str]]) -> Hardware:
    a = d.anchorage
    if a.unit_mass is not None:
        mass, name = float(a.unit_mass), a.unit or "unit"
        working.given("m", mass, "kg", str(getattr(a.unit_mass, "text", "")))
    else:
        row = tables.row("ballast-mass", str(a.unit))
        mass, name = row.value, str(a.unit)
        working.looked_up("m", row)
        notes.append(f"Mass of one {name} from the table ({mass:g} kg), not weighed: weigh three, dry.")
    state = surface_state(d, notes)
    mu = friction_coefficient(d, state, notes)
    if a.how is None and a.placed is not None:
        asks.append(
            (
                "how-missing",
                'How is the ballast fixed to the frame? Give anchorage.how: "on-foot", "hung-clear" or "standing-tied".',
            )
        )
    elif a.how is None:
        notes.append("Ballast is counted as standing on the frame's feet (on-foot), not on the flaps.")
    if a.how == "standing-tied":
        notes.append(
            "Ballast stands on the ground and is tied to the frame: no slack in the tie, or the frame lifts before the ballast holds."
        )
    if name.startswith("water"):
        notes.append(
            "Water drains and freezes: check the level at every inspection; a half-full barrel holds half."
        )
    if d.anchorage.stake is not None:
        notes.append("A stake is described in the file but the anchorage is ballast: stakes count nothing.")
    return Hardware("ballast", name, mass, mu, None, 0.0, 0.0, 0.0, None, tuple(notes), tuple(asks))


def _soil(name: str, table: str) -> float:
    row = tables.row(table, name)
    working.looked_up(
        {"soil-strength": "su", "soil-friction-angle": "φ", "soil-interface-angle": "δ"}.get(table, "γ'"), row
    )
    return row.value


def stake_strength(s: Stake, soil: str, state: str, notes: list[str]) -> tuple[float, float]:
    """(lateral, axial) ultimate of one straight stake by theory (N). Lateral is the lesser of soil and bending."""
    b, length = float(s.diameter), float(s.driven)
    arm = float(s.line_height) if s.line_angle is not None else 0.0
    broms = {
        k: tables.row("broms", k).value
        for k in ("clay-factor", "ignored-diameters", "toe-moment", "sand-factor")
    }
    wet = state != "dry"
    moment = stakes.bar_moment(tables.row("stake-steel", "mild").value, b)
    if soil in tables.table("soil-strength"):
        su = _soil(soil, "soil-strength")
        if wet:
            factor = tables.row("pull-test", "wet-factor")
            working.looked_up("wet ground", factor)
            su *= factor.value
            notes.append("Ground not dry: half of the soil's strength is counted.")
        ratio = broms["toe-moment"] / broms["clay-factor"]
        f = stakes.clay_depth(length, b, arm, broms["ignored-diameters"], ratio)
        soil_side = stakes.clay_lateral(broms["clay-factor"], su, b, f)
        bending = stakes.clay_bending(broms["clay-factor"], su, b, arm, broms["ignored-diameters"], moment)
        axial = stakes.clay_pullout(tables.row("soil-adhesion", "default").value, su, b, length)
    else:
        kp = stakes.passive_coefficient(_soil(soil, "soil-friction-angle"))
        weight = _soil(soil, "soil-unit-weight-submerged" if wet else "soil-unit-weight")
        if wet:
            notes.append("Ground not dry: the soil counts with its weight under water, about half.")
        soil_side = stakes.sand_lateral(broms["sand-factor"] / 6, weight, b, length, kp, arm)
        bending = stakes.sand_bending(moment, arm, weight, b, kp, broms["sand-factor"] / 2)
        working.found("P(bending)", bending, "N", "Mmax(P) = My by halving")
        axial = stakes.sand_pullout(
            tables.row("soil-lateral-pressure", "default").value,
            _soil(soil, "soil-interface-angle"),
            weight,
            b,
            length,
        )
    return float(np.minimum(soil_side, bending)), float(axial)


def _pull_test(s: Stake, notes: list[str]) -> float | None:
    """Capacity along the line from pull tests at the site (N), or None where theory must do."""
    if not s.pull_tests:
        return None
    least = int(tables.row("pull-test", "least-count").value)
    if len(s.pull_tests) < least:
        notes.append(f"{len(s.pull_tests)} pull test(s) given: fewer than {least} do not replace theory.")
        return None
    angle, tolerance = (
        s.line_angle if s.line_angle is not None else 90.0,
        tables.row("pull-test", "angle-tolerance").value,
    )
    if s.pull_angle is None or abs(s.pull_angle - angle) > tolerance:
        notes.append(
            f"Stakes were pulled at {s.pull_angle:g}° and the line runs at {angle:g}°: a test counts within {tolerance:g}° only, theory is used."
        )
        return None
    factor = 1.0
    if s.tested == "dry":
        factor = tables.row("pull-test", "wet-factor").value
        notes.append("Pull tests were made dry: halved, since rain or thaw may come.")
    return float(stakes.tested_capacity(min(float(t) for t in s.pull_tests), factor))


def _stakes(d: Deployment, notes: list[str], asks: list[tuple[str, str]]) -> Hardware:
    a = d.anchorage
    s = a.stake
    if s is None:
        raise NotModelledError("stakes are not described: give [anchorage.stake]")
    state = surface_state(d, notes)
    mu = friction_coefficient(d, state, notes)
    tested = _pull_test(s, notes)
    lateral = axial = 0.0
    if s.soil is not None:
        lateral, axial = stake_strength(s, s.soil, state, notes)
        notes.append(
            "Soil strength is from a table, the weakest of its class: unknown until three stakes are pulled."
        )
    elif tested is None:
        asks.append(
            ("soil-missing", "The pull tests cannot be used: what is the soil? Give anchorage.stake.soil.")
        )
    spacing = tables.row("stake-spacing", "free-in-line").value
    if a.unit is not None or a.unit_mass is not None:
        notes.append("Ballast is described in the file but the anchorage is stakes: ballast counts nothing.")
    notes.append(
        f"Several stakes at a point stand at least {spacing:g} diameters ({spacing * float(s.diameter) * 1000:.0f} mm) apart."
    )
    if s.line_angle is None:
        if tested is not None:
            axial = tested
        notes.append("No line angle given: the stake goes through the foot of the frame, without a line.")
        return Hardware(
            "stakes", "stake", 0.0, mu, None, 0.0, lateral, axial, None, tuple(notes), tuple(asks)
        )
    tension = tested if tested is not None else 0.0
    if tested is None and lateral > 0 and axial > 0:
        tension = float(stakes.inclined_capacity(s.line_angle, lateral, axial))
    strength = None
    if a.line_rated is not None:
        knot = tables.row("line", "knot-efficiency")
        working.looked_up("knot efficiency", knot)
        strength = float(a.line_rated) * knot.value
    else:
        notes.append(
            "The wind lines themselves are not checked: give anchorage.line_rated, the load stamped on them."
        )
    return Hardware(
        "stakes",
        "stake",
        0.0,
        mu,
        float(s.line_angle),
        tension,
        lateral,
        axial,
        strength,
        tuple(notes),
        tuple(asks),
    )


def hardware(d: Deployment) -> Hardware:
    """Strength of one unit of what this deployment is held by, with the assumptions made and the questions left open."""
    notes: list[str] = []
    asks: list[tuple[str, str]] = []
    with working.heading("What holds: one unit"):
        return _stakes(d, notes, asks) if d.anchorage.kind == "stakes" else _ballast(d, notes, asks)


def anchorage_unit(a: Anchorage) -> str:
    """What is counted at a point, in words."""
    return "stake" if a.kind == "stakes" else (a.unit or "unit")
