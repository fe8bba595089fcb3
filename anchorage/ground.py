"""What the shelter stands on: state of the surface, least friction in the stack, at each point."""

from __future__ import annotations

from dataclasses import dataclass

from anchorage import tables, working
from anchorage.deployment import Deployment

_OVER = {"cloth": "cloth", "bare-metal": "metal", "plastic": "plastic", "rubber": "metal"}
_FEET = ["bare-metal", "plastic", "rubber"]


@dataclass(frozen=True)
class Stand:
    """How weight reaches the ground at a point."""

    surface: str
    state: str
    contact: str
    foot: str | None
    how: str | None
    unit: str

    @property
    def ballast(self) -> str:
        """Kind of ballast as the friction tables know it."""
        if self.unit.startswith("concrete"):
            return "block"
        return "barrel" if self.unit.startswith("water") else "bag"


def surface_state(d: Deployment, given: str | None, notes: list[str]) -> str:
    """State of the surface; left out: the slipperiest that the weather allows. Decontamination: never better than wet."""
    site, decon = d.site, d.deployment.use == "decon"
    cold = tables.row("practice", "decon-ice-at-or-below").value
    freezing = site.temperature is not None and site.temperature - 273.15 <= cold
    state = given
    if state is None:
        snow = d.snow.lies or d.snow.falling is not None
        state = "ice" if freezing or snow else "wet"
        unknown = (
            ""
            if site.temperature is not None
            else ' (temperature not given: where it can freeze, say state = "ice")'
        )
        notes.append(f"State of the surface not given: taken as {state}{unknown}.")
    if decon and state == "dry":
        state = "wet"
        notes.append("Decontamination: run-off water, so the surface counts as wet.")
    if decon and freezing and state != "ice":
        state = "ice"
        notes.append(
            f"Decontamination at or below {cold:g} °C: run-off water freezes, so the surface counts as ice."
        )
    return state


def _row(contact: str, surface: str, state: str) -> tables.Row:
    table = tables.table("friction")
    if f"{contact}-{surface}-{state}" in table:
        return table[f"{contact}-{surface}-{state}"]
    known = [r for r in table.rows if r.key.startswith(f"{contact}-") and r.key.endswith(f"-{state}")]
    return min(known, key=lambda r: r.value)


def _note_surface(surface: str, notes: list[str]) -> None:
    if surface not in tables.table("surface"):
        notes.append(f'Surface "{surface}" is not listed: the lowest friction of all surfaces is used.')


def on_ground_friction(s: Stand, notes: list[str]) -> float:
    """Coefficient of ballast that lies on the ground itself, tied or on a line."""
    _note_surface(s.surface, notes)
    row = _row({"block": "block", "barrel": "plastic"}.get(s.ballast, "bag"), s.surface, s.state)
    working.looked_up("μ of ballast on the ground", row)
    return tables.row(row.table, row.key).value


def frame_friction(s: Stand, notes: list[str]) -> float:
    """Least coefficient in the stack from the ballast on the frame down to the ground."""
    if s.contact == "ground" and s.how == "standing-tied":
        return on_ground_friction(s, notes)
    _note_surface(s.surface, notes)
    if s.contact == "cloth":
        feet = ["cloth"]
    elif s.foot:
        feet = [s.foot]
    else:
        feet = [*_FEET, *(["cloth"] if s.contact == "ground" else [])]
        notes.append(
            "What the frame's feet are made of is not given: the most slippery of metal, plastic and rubber counts."
        )
    rows = [_row(f, s.surface, s.state) for f in feet]
    stack = tables.table("friction-stack")
    keys = [f"{s.ballast}-on-{_OVER[f]}-{s.state}" for f in feet]
    if s.how != "hung-clear":
        rows += [stack[k] for k in keys if k in stack]
    least = min(rows, key=lambda r: r.value)
    chosen = tables.row(least.table, least.key)
    working.looked_up("μ", chosen)
    return chosen.value
