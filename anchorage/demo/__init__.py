"""Invented deployments that ship with the program. No place, maker or person in them is real."""

from __future__ import annotations

from pathlib import Path

NAMES = ("asphalt", "clay", "mixed", "winter")


def demo_text(name: str) -> str:
    """A demo as it would be written by a team."""
    return Path(__file__).with_name(f"{name}.toml").read_text(encoding="utf-8")


COUNTY = "county"
"""Sites that share a store: a folder of its own."""
COUNTY_NOW, COUNTY_ZONE = "2026-03-10T18:00:00Z", "America/Chicago"
"""The time that its forecast is for."""


def county() -> Path:
    """The folder of the sites, the stock file and the forecast."""
    return Path(__file__).with_name(COUNTY)
