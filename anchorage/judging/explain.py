"""The working of any figure: the governing case run again by the same formulas, with the tape on."""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from enum import Enum

import numpy as np

from anchorage.checks.checks import limits, ratio
from anchorage.checks.installation import Installation
from anchorage.checks.limit import Limit
from anchorage.checks.lines import tensions
from anchorage.core import tables
from anchorage.core.checked import What
from anchorage.formulas import demand, panels, working
from anchorage.formulas.coefficients import net_pressure
from anchorage.formulas.demand import shares
from anchorage.formulas.panels import Panels, inside_names, inside_pressure, signed
from anchorage.formulas.velocity import speed_of_pressure
from anchorage.formulas.working import FormulaStep, Step, Tape, Topic
from anchorage.judging.plan import Assessment
from anchorage.judging.snow_report import explain_snow
from anchorage.judging.strap_decision import explain_straps

_NOTHING = re.compile(r": F/q = .* = -?0 m\^2$")
"""A panel that has no part in the force along an axis."""
GENERAL = ("wind", "coefficients", "openings", "holding", "margins", "snow", "straps")


def topics() -> tuple[str, ...]:
    """What can be asked for besides the name of a check."""
    return (*GENERAL, "all")


PARTS = (Topic.MARGINS, Topic.OPENINGS, Topic.WIND, Topic.HOLDING, Topic.COEFFICIENTS)


def _of(step: Step) -> Enum | None:
    """What the first title over a step is of."""
    return step.titles[0].of if step.titles else None


def _lines(steps: Iterable[Step]) -> list[str]:
    return Tape(list(steps)).lines()


def _general(tape: Tape) -> dict[str, list[str]]:
    return {t.value: _lines(s for s in tape.steps if _of(s) is t) for t in PARTS}


def _face(p: Panels, face: str, x: Installation, roof: int, axes: Sequence[int]) -> None:
    """Pressures and forces on the panels for wind on a face, external only."""
    title = ", ".join(t for t in (f"Wind on the {face}", p.variants[roof]) if t)
    with working.title(f"{title}: outside", items=p.names):
        pressure = net_pressure(p.height, x.wind.gust_effect, p.external[roof], 0.0)
        for axis in axes:
            with working.title(_AXIS[axis], items=p.names):
                force = panels.panel_force(pressure, p.vector[:, axis])
                panels.resultant(force)
                if axis == 2:
                    for k in (0, 1):
                        panels.lever_sum(force, p.centroid[:, k])
                else:
                    panels.lever_sum(force, p.centroid[:, 2])


_AXIS = ("Force along the ridge, towards the front", "Force across, towards the left", "Force upward")


def _case_lines(x: Installation, c: int) -> tuple[list[str], list[str]]:
    """The load case from coefficients to pressures and forces, and from those to U, S and H."""
    cases = x.base.cases
    parts = cases.parts[c]
    face, roof, inner = parts[0], int(parts[1]), int(parts[2])
    pairs = [(face, roof)] + ([(parts[4], int(parts[5]))] if len(parts) > 4 else [])
    gcpi = x.inside[parts[3]] if parts[3] else next(iter(x.inside.values()))
    axes = (0, 1, 2)
    with working.record() as tape:
        for f, r in pairs:
            _face(x.loaded[f], f, x, r, axes)
        p, values = x.loaded[face], signed(gcpi, face)
        if any(values):
            with working.title(inside_names(values)[inner].capitalize(), items=p.names):
                pressure = net_pressure(np.array([1.0]), x.wind.gust_effect, 0.0, values[inner])
                panels.resultant(panels.panel_force(pressure, p.vector[:, 2]))
    every = _lines(s for s in tape.steps if _of(s) is not Topic.COEFFICIENTS)
    lines = [line for line in every if not _NOTHING.search(line)]
    return lines, _sums(x, c, pairs, values[inner])


def _clean(value: float) -> float:
    """Drop what is only rounding of a sum that is nothing."""
    return 0.0 if abs(value) < 1e-12 else value


def _sums(x: Installation, c: int, pairs: list[tuple[str, int]], gcpi: float) -> list[str]:
    """U, S and H of the case by the formulas that made it; the same numbers as the arrays."""
    cases = x.base.cases
    k = tables.row("torsion", "load-factor").value if cases.twisted[c] else 1.0
    kf = tables.row("torsion", "diagonal-factor").value if len(pairs) > 1 else 1.0
    ext = []
    for f, r in pairs:
        p = x.loaded[f]
        pressure = net_pressure(p.height, x.wind.gust_effect, p.external, 0.0)
        ext.append((panels.resultants(p, pressure), r))
    p = x.loaded[pairs[0][0]]
    inside = panels.resultants(p, inside_pressure(p, x.wind.gust_effect, np.array([[gcpi]])), external=False)
    first, r0 = ext[0]
    both = [
        (np.array([sum(getattr(e, n)[r, axis] for e, r in ext) for axis in (0, 1)]), getattr(inside, n)[0])
        for n in ("push", "push_walls")
    ]
    sizes = [float(np.hypot(*(kf * outer + inner))) for outer, inner in both]
    outer, inner = both[0 if sizes[0] >= sizes[1] else 1]
    left_out = (
        "" if sizes[0] >= sizes[1] else ", the horizontal part of the roof left out of H: it would help"
    )
    with working.record() as tape, working.title(f"Load case: {cases.names[c]}{left_out}"):
        up = demand.case_uplift(k, _clean(float(first.uplift[r0, 0])), _clean(float(inside.uplift[0, 0])))
        _over_ground(cases, c, up)
        for axis, name in enumerate(("along the ridge (x)", "across (y)")):
            with working.title(name):
                push = demand.case_push(k, kf, _clean(float(outer[axis])), _clean(float(inner[axis])))
                _over_ground(cases, c, push)
                lever = _clean(sum(float(e.push_moment[r, axis]) for e, r in ext))
                si = _clean(float(inside.vertical_moment[0, axis] - inside.push_moment[0, axis]))
                up = _clean(float(first.vertical_moment[r0, axis]))
                _over_ground(cases, c, demand.case_moment(k, up, si, kf, lever))
    return tape.lines()


def _over_ground(cases: demand.Cases, c: int, load: float) -> None:
    """The same over the ground that the wind of the case comes over, where it is not the same all round."""
    if cases.exposure is not None:
        demand.at_exposure(float(cases.exposure[c, 0]), load)


def _count(s: Step) -> int:
    return int(np.shape(s.value)[-1]) if np.ndim(s.value) else 1


def _shared_by(what: What) -> tuple[str, ...]:
    """The formulas by which what a check asks is shared among the points or the frames."""
    if what.of_frame:
        return ("frame_load", "frame_foot")
    return ("rigid_share",) if what.on_line or what in (What.LIFT_AT_POINT, What.STAKE) else ()


def _point_steps(x: Installation, what: What, c: int, item: int) -> list[str]:
    one = x.base.take(np.array([c]))
    with working.record() as tape, working.title("Share of the points and frames"):
        shares(one.xy, np.ones(len(one.ids), bool), one.frame, one.length, one.width, one.cases)
    names, out = _shared_by(what), []
    for s in tape.steps:
        if not isinstance(s, FormulaStep) or s.formula.name not in names:
            continue
        out += _step_lines(x, s, what, item)
    return ["Share of the point or frame", *(f"  {o}" for o in out)] if out else []


def _step_lines(x: Installation, s: Step, what: What, item: int) -> list[str]:
    count = _count(s)
    frames, stands = len(x.base.frame_weight), np.flatnonzero(x.base.frame >= 0)
    if count == frames and what is What.SLIDE_OF_FRAME:
        return s.lines(item=item)
    if count == frames and x.base.frame[item] >= 0:
        return s.lines(item=int(x.base.frame[item]))
    if count == len(x.base.ids) and isinstance(s, FormulaStep) and s.formula.name == "rigid_share":
        return s.lines(item=item)
    if count == len(stands) and item in stands:
        return s.lines(item=int(np.flatnonzero(stands == item)[0]))
    return s.lines()[:1]


def _check_lines(x: Installation, limit: Limit, c: int, item: int) -> list[str]:
    one = x.base.take(np.array([c]))
    with working.record() as tape:
        again = limits(one, x.held(), x.factors)
    mine = next(
        (f.q[0] for f in again if f.check == limit.check), limit.q[c]
    )  # none: of what is left once a foot is given up
    head = [f"Check: {limit.name}, {limit.items[item]}"]
    steps = [s for s in tape.steps if _of(s) is limit.check.what]
    body: list[str] = []
    resist: list[Step] = []
    for s in steps:
        count = _count(s)
        if isinstance(s, FormulaStep) and s.formula.name == "moment_resistance":
            resist.append(s)
            continue
        body += [
            f"  {line}" for line in s.lines(item=item if count == len(limit.items) and count > 1 else None)
        ]
    body += [f"  {line}" for s in resist[item : item + 1] for line in s.lines()]
    if (
        limit.demand is None
        or limit.check.what in (What.STAKE, What.STAKE_OF_FOOT)
        or limit.check.what.on_line
    ):
        body += _tension_lines(x, limit, c, item)
    q_lim = float(mine[item if len(mine) > 1 else 0])
    return [*head, *body, *_limit_lines(x, limit, q_lim)]


def _tension_lines(x: Installation, limit: Limit, c: int, item: int) -> list[str]:
    """What a line must hold at the limiting q, against what it and its stakes hold."""
    if not x.hard[item].line_angle:
        return []
    q = float(limit.q[c, item])
    one = x.base.take(np.array([c]))
    if not np.isfinite(q):
        return []
    with working.record() as tape:
        by = tensions(one, x.held(), x.factors.wind, q)
    what = limit.check.what
    head = Topic.LINES_BY_FRAME if what.of_frame else Topic.LINES
    names = (
        ("net_uplift", "tension_of_uplift")
        if what.lifting
        else ("net_uplift", "push_to_hold", "tension_of_share")
    )
    out = [f"  At q = {q:.5g} Pa, where this check is just met:"]
    for s in tape.steps:
        if _of(s) is head and isinstance(s, FormulaStep) and s.formula.name in names:
            count = _count(s)
            whole = s.formula.name == "net_uplift" and not what.lifting and not what.of_frame
            out += [f"    {line}" for line in s.lines(item=None if whole or count == 1 else item)]
    held = x.held()
    strength = held.line if limit.of_line and held.line is not None else held.tension
    if what in by:
        out.append(
            f"    T = {float(by[what][0, item]):.5g} N, held: ψ·R·n = {float(strength[..., item].ravel()[0]):.5g} N"
        )
    return out


def _limit_lines(x: Installation, limit: Limit, q_lim: float) -> list[str]:
    r = ratio(limit, x.wind.pressure)
    out = [] if limit.fixed else [f"  load = q / q_lim = {x.wind.pressure:.5g} / {q_lim:.5g} = {r:.4g}"]
    if limit.fixed:
        return [f"  load = {r:.4g}, whatever the wind"]
    if np.isfinite(q_lim):
        with working.record() as tape:
            gust = float(speed_of_pressure(q_lim, x.wind.pressure_per_gust_squared))
            again = ratio(limit, x.wind.pressure_per_gust_squared * gust**2)
            working.found("gust held", gust, "m/s", f"load at that gust = {again:.4f}")
        out += [f"  {line}" for line in tape.lines()]
    return out


def _coefficients(tape: Tape, faces: Sequence[str]) -> list[str]:
    return _lines(s for s in tape.steps if _of(s) is Topic.COEFFICIENTS and s.titles[0].at in faces)


@dataclass(frozen=True)
class _Part:
    """A part of the working. sheet: the sheet carries it."""

    lines: Sequence[str]
    sheet: bool = False
    gap: bool = True
    """An empty line before it."""


def explain(a: Assessment, what: str | None = None) -> list[str]:
    """Working as lines of text. what: a check by name, one of ``topics()``, or None for the governing check.

    Raises KeyError with the names that are known for anything else.
    """
    if what in ("snow", "straps"):
        return explain_snow(a.deployment) if what == "snow" else explain_straps(a.installation)
    tape = a.tape
    if tape is None:
        raise ValueError("assessed without its working: assess(d, show=True)")
    general = _general(tape)
    if what in general:
        return general[what]
    return _spaced(_parts(a, tape, what))


def for_the_sheet(a: Assessment) -> list[str]:
    """Of the working of the governing check what the sheet carries: the wind, the sums of the case, shares, the check."""
    if a.tape is None:
        raise ValueError("assessed without its working: assess(d, show=True)")
    return _spaced([p for p in _parts(a, a.tape, None) if p.sheet])


def _spaced(parts: Iterable[_Part]) -> list[str]:
    out = [line for p in parts for line in (["", *p.lines] if p.gap else p.lines)]
    return [line for line, before in zip(out, ["", *out], strict=False) if line or before]


def _parts(a: Assessment, tape: Tape, what: str | None) -> list[_Part]:
    x, general = a.installation, _general(tape)
    known = {f.name: f for f in x.limits() if not f.people}
    if what is not None and what != "all" and what not in known:
        raise KeyError(", ".join((*topics(), *known)))
    chosen = (
        list(known.values())
        if what == "all"
        else [known[what]]
        if what
        else [min(known.values(), key=lambda f: -ratio(f, x.wind.pressure))]
    )
    out = [_Part(general[k], sheet=k == "wind") for k in ("wind", "margins", "openings", "holding")]
    for limit in chosen:
        c, item = limit.worst
        if limit.fixed:
            lines = [f"Check: {limit.name}", *_limit_lines(x, limit, float("inf"))]
            out.append(_Part(lines, sheet=True))
            continue
        forces, sums = _case_lines(x, c)
        out += [
            _Part([*_coefficients(tape, x.base.cases.parts[c][0::4]), "", *forces]),
            _Part(sums, sheet=True, gap=False),
            _Part(_point_steps(x, limit.check.what, c, item), sheet=True),
            _Part(_check_lines(x, limit, c, item), sheet=True),
        ]
    return out
