"""Masses that are more than usual: a slip of the unit or of a digit holds a shelter down on paper alone."""

from __future__ import annotations

from anchorage.core import tables
from anchorage.core.say import say
from anchorage.core.units import show
from anchorage.deployment.models import About, Anchorage, Shelter

MASS_UNUSUAL = "mass-unusual"
"""Code of the question whether a mass is what it was typed as."""


def mass_asks(about: About, shelter: Shelter, a: Anchorage, plan_area: float) -> list[tuple[str, str]]:
    """(code, question) for each mass of the file over what is usual, unless it was weighed. plan_area (m2)."""
    if about.weighed:
        return []
    usual = tables.table("usual-most").by_key
    unit = a.unit if a.unit in usual and a.unit not in ("shelter", "other") else "other"
    found = [
        ("shelter.mass", shelter.mass, usual["shelter"].value * plan_area, usual["shelter"].label),
        ("anchorage.unit_mass", a.unit_mass, usual[unit].value, usual[unit].label),
    ]
    system = about.show_units
    return [
        (
            MASS_UNUSUAL,
            say(
                "{key} is {mass}, and {label} has at most about {most}. If it was weighed, give deployment.weighed = true.",
                key=key,
                mass=show("mass", float(mass), system, rounding="down"),
                label=label,
                most=show("mass", most, system, rounding="up"),
            ),
        )
        for key, mass, most, label in found
        if mass is not None and float(mass) > most
    ]
