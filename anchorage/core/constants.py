"""Figures that are the same wherever they are used."""

from __future__ import annotations

from anchorage.core import tables

ZERO_CELSIUS = 273.15
"""K: that is how the degree Celsius is defined."""


def gravity() -> float:
    """Standard gravity (m/s^2)."""
    return tables.row("snow-water", "gravity").value


def water_density() -> float:
    """Density of water (kg/m^3)."""
    return tables.row("snow-water", "water-density").value
