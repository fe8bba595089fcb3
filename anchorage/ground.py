"""What the shelter stands on: state of the surface, least friction in the stack, at each point."""

from __future__ import annotations

from dataclasses import dataclass

from anchorage import tables, working
from anchorage.deployment import Deployment

_OVER = {"cloth": "cloth", "bare-metal": "metal", "plastic": "plastic", "rubber": "metal"}
_FEET = ("bare-metal", "plastic", "rubber")
CONTACTS = ("cloth", "plate", "ground")
"""What may lie between the frame and the ground."""


@dataclass(frozen=True)
class Stand:
    """How weight reaches the ground at a point."""

    surface: str
    state: str
    contact: str | None
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


def _on_ground(s: Stand) -> tables.Row:
    return _row({"block": "block", "barrel": "plastic"}.get(s.ballast, "bag"), s.surface, s.state)


def _used(name: str, row: tables.Row) -> float:
    working.looked_up(name, row)
    return tables.row(row.table, row.key).value


def on_ground_friction(s: Stand, notes: list[str]) -> float:
    """Coefficient of ballast that lies on the ground itself, tied or on a line."""
    _note_surface(s.surface, notes)
    return _used("μ of ballast on the ground", _on_ground(s))


def _stack(s: Stand, contact: str) -> list[tables.Row]:
    """Every place where what stands on the frame could slip, down to the ground."""
    if contact == "ground" and s.how == "standing-tied":
        return [_on_ground(s)]
    feet = ["cloth"] if contact == "cloth" else [s.foot] if s.foot else list(_FEET)
    if contact == "ground" and not s.foot:
        feet.append("cloth")
    stack = tables.table("friction-stack")
    keys = [f"{s.ballast}-on-{_OVER[f]}-{s.state}" for f in feet]
    between = [stack[k] for k in keys if k in stack and s.how != "hung-clear"]
    return [*(_row(f, s.surface, s.state) for f in feet), *between]


def frame_friction(s: Stand, notes: list[str]) -> float:
    """Least coefficient in the stack from the ballast on the frame down to the ground."""
    _note_surface(s.surface, notes)
    if s.contact is None:
        notes.append(
            "What the frame stands on is not given (anchorage.contact): the most slippery of ground cloth and feet counts."
        )
    elif s.contact != "cloth" and not s.foot and (s.contact, s.how) != ("ground", "standing-tied"):
        notes.append(
            "What the frame's feet are made of is not given: the most slippery of metal, plastic and rubber counts."
        )
    rows = [r for c in ([s.contact] if s.contact else CONTACTS) for r in _stack(s, c)]
    return _used("μ", min(rows, key=lambda r: r.value))
