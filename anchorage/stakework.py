"""Marries stakes, pickets and deadmen to tables and formulas: what one of them stands, ultimate, in N."""

from __future__ import annotations

import numpy as np

from anchorage import tables, working
from anchorage.deployment_holding import Deadman, Stake
from anchorage.errors import NotModelledError
from anchorage.holding import blocks, stakes
from anchorage.units import show

_SYMBOLS = {"soil-strength": "su", "soil-friction-angle": "φ", "soil-interface-angle": "δ"}
FOOT = 0.3048
"""m, international foot (exact)."""
OLD_FINE_WET = "fine-wet"
"""Ground of a deadman in older files, where wet was part of its name."""


def _soil(name: str, table: str) -> float:
    row = tables.row(table, name)
    working.looked_up(_SYMBOLS.get(table, "γ'"), row)
    return row.value


def stake_strength(
    s: Stake, soil: str, state: str, notes: list[str], driven: float | None = None, su: float | None = None
) -> tuple[float, float]:
    """(lateral, axial) ultimate of one straight stake by theory (N). Lateral is the lesser of soil and bending.

    su: undrained strength of a clay (Pa) in place of that of its row.
    """
    b, length = float(s.diameter), float(s.driven if driven is None else driven)
    arm = float(s.line_height) if s.line_angle is not None else 0.0
    broms = {
        k: tables.row("broms", k).value
        for k in ("clay-factor", "ignored-diameters", "toe-moment", "sand-factor")
    }
    wet = state != "dry"
    if state in ("frozen", "ice", "snow"):
        notes.append("Frost earns a stake nothing: it thaws. Counted as wet ground.")
    moment = stakes.bar_moment(tables.row("stake-steel", "mild").value, b)
    if soil in tables.table("soil-strength"):
        su = _soil(soil, "soil-strength") if su is None else su
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


def pull_test(s: Stake, state: str, notes: list[str]) -> float | None:
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
    if s.pulled == "held":
        notes.append(
            "Pull tests were stopped before the stakes moved: they count at the pull that was reached."
        )
    del state
    return float(stakes.tested_capacity(min(float(t) for t in s.pull_tests), factor))


def group(s: Stake, notes: list[str]) -> tuple[float, float, dict[float, tuple[float, float, float]]] | None:
    """(spacing in diameters, free spacing, multipliers) where stakes at a point weaken each other; None where not."""
    free, least = (
        tables.row("stake-spacing", "free-in-line").value,
        tables.row("stake-spacing", "least").value,
    )
    if s.spacing is None:
        apart = free * float(s.diameter)
        notes.append(
            f"Several stakes at a point stand at least {free:g} diameters ({show('length', apart, 'us', rounding='up')}, {apart * 1000:.0f} mm) apart."
        )
        return None
    apart = float(s.spacing) / float(s.diameter)
    if apart < least:
        raise NotModelledError(
            f"anchorage.stake.spacing: {apart:.1f} diameters apart; under {least:g} they act as one: move them apart"
        )
    if apart >= free:
        return None
    t = tables.table("group-multiplier")
    rows = {
        sp: (t[f"s{sp:g}-row1"].value, t[f"s{sp:g}-row2"].value, t[f"s{sp:g}-row3"].value)
        for sp in (3.0, 5.0)
    }
    rows[free] = (1.0, 1.0, 1.0)
    notes.append(f"Stakes at a point stand {apart:.1f} diameters apart and weaken each other.")
    return apart, free, rows


def holdfast(s: Stake, state: str, notes: list[str]) -> float:
    """Pull that a combination of pickets stands (N), in undisturbed loam."""
    row = tables.row("holdfast", str(s.combination))
    working.looked_up(f"holdfast {s.combination}", row)
    notes.append(
        "Picket holdfasts: wood pickets 3 in x 5 ft, lashed head to foot, 3 to 6 ft apart, in undisturbed loam, the line near the ground. Ease lashings when wet."
    )
    if state == "dry":
        return row.value
    factor = tables.row("pull-test", "wet-factor")
    working.looked_up("wet ground", factor)
    return row.value * factor.value


def _deadman_soil(m: Deadman, state: str, notes: list[str]) -> float:
    """Share of the holding power in loam that the ground of a deadman has, soaked or not."""
    table = tables.table("deadman-multiplier")
    if m.ground is None:
        row = min(table.rows, key=lambda r: r.value)
        notes.append(
            "Ground of the deadman not given: taken as the weakest, sand or fine soil, half of loam."
        )
    else:
        row = table["fine" if m.ground == OLD_FINE_WET else m.ground]
    working.looked_up("k of the ground", row)
    share = tables.row(table.name, row.key).value
    if state == "dry" and m.ground != OLD_FINE_WET:
        return share
    factor = tables.row("pull-test", "wet-factor")
    working.looked_up("wet ground", factor)
    notes.append(
        "Ground not dry: half of what a deadman holds in dry ground is counted."
        if m.ground != OLD_FINE_WET
        else "Ground of the deadman fine-wet, as older files have it: fine soil, and wet: a quarter of loam (was half)."
    )
    return share * factor.value


def deadman_strength(m: Deadman, angle: float, state: str, notes: list[str]) -> float:
    """Pull that a buried log or timber stands along a line (N). Line steeper than 45° is outside the table."""
    if angle > 45.0:
        raise NotModelledError(
            "a deadman is tabled for lines up to 45° above the ground: run the line flatter"
        )
    slope = max(k for k in (1.0, 2.0, 3.0, 4.0) if np.degrees(np.arctan(1 / k)) >= angle - 1e-9 or k == 1.0)
    depth = float(np.floor(m.depth / FOOT + 1e-9))
    row = tables.row("deadman", f"d{depth:g}-s{slope:g}")
    working.looked_up("HP", row)
    multiplier = _deadman_soil(m, state, notes)
    thick, kind = (float(m.thickness), "timber") if m.thickness is not None else (float(m.face), "log")
    most = tables.row("deadman-proportion", kind).value
    if m.length / thick > most:
        raise NotModelledError(
            f"anchorage.deadman: length is {m.length / thick:.1f} times the thickness, at most {most:g} for a {kind}: it would bend; take a thicker one"
        )
    if m.trench is None:
        width = tables.row("deadman-trench", "not-given")
        working.looked_up("wt", width)
        trench = width.value
        notes.append(
            f"Width of the trench of the line not given (anchorage.deadman.trench): taken as {show('length', trench, 'us')}."
        )
    else:
        trench = float(m.trench)
    lost = min(trench / float(m.length), 1.0)
    notes.append(
        f"Deadman: the trench of the line, {show('length', trench, 'us', rounding='up')} wide, takes {lost * 100:.0f} % of its length away."
    )
    notes.append(
        "Deadman: the trench is cut across the pull with its face undercut towards the line, and the line leaves the bottom of the log."
    )
    return float(blocks.deadman_pull(row.value, multiplier, float(m.face), float(m.length), trench))
