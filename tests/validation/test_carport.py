"""A carport of one slope by ASCE 7-16, 27.3.2, whole: pressures, forces, moments and least load, as another program printed them.

Source and its grade
    The calculation of a carport in an open repository (rivtpublic-solar-canopy, MIT licence; print-out wind_pressures3 of February 2021, read
        in full; open repository, another program's results, re-computed here to its last digit): 19 ft down the slope, 23 ft along it, mean
        roof height 8 ft, 5°, clear beneath, exposure B, 100 mph at strength level, all of it times 0.6. Printed: qh 7.50 psf (with 0.6);
        coefficients 1.2 and 0.3, or -1.1 and -0.1, across; -0.8, -0.6, -0.3, or 0.8, 0.5, 0.3 along, to 8, 16 and 23 ft; across 2.09 kips
        down and 0.18 level, or 1.67 up and 0.15, moments 7.47 and 7.84 kip ft; along 1.61 up and 0.14, or 1.51 down and 0.13; least load
        9.6 psf on 38.23 sq ft, 0.37 kips.
Tolerance: half of the last printed digit. The sheet has h at the mean of a roof of 5°, the program at its eave: below 15 ft that is one
pressure; strips are measured by h, moments by the real heights, and so each has the file that gives it the 8 ft.
"""

import json
import math
from pathlib import Path

import numpy as np
import pytest

from anchorage.checks.installation import Installation, assemble
from anchorage.cli.entry import main
from anchorage.deployment.reader import read_text

KIP, FT, PSF = 4448.2216, 0.3048, 47.88026
RISE = 19.0 * math.tan(math.radians(5.0))
STRIPS, MOMENTS = 8.0, 8.0 - RISE / 2.0  # ft, eave for h of 8 ft, eave for a mean height of 8 ft
ACROSS = [("case A", -2.09, 0.18, 7.47), ("case B", 1.67, 0.15, 7.84)]
ALONG = [("case A", 1.61, 0.14), ("case B", -1.51, 0.13)]
PRINTED = {"a carport": 14}


def text(eave: float) -> str:
    """Weights at the corners alone, so heavy that nothing but the wind is asked about."""
    return f"""
[shelter]
form = "canopy-single-slope"
length = "23 ft"
width = "19 ft"
eave = "{eave!r} ft"
ridge = "{eave + RISE!r} ft"
mass = "4000 lb"
blockage = "clear"
points_per_side = 2
[site]
surface = "concrete"
beneath = "nothing"
state = "dry"
exposure = "B"
elevation = "0 ft"
[wind]
method = "asce7-16"
speed = "100 mph"
averaging = "3 s"
level = "strength"
[anchorage]
kind = "ballast"
unit = "concrete-block"
how = "hung-clear"
contact = "plate"
foot = "rubber"
[margins]
set = "asd"
"""


def put_together(eave: float) -> Installation:
    return assemble(read_text(text(eave)), ("people-in",))


def case(x: Installation, face: str, name: str) -> tuple[float, float, float]:
    """(uplift, push, moment that lifts one side) of a load case at 0.6 of the pressure, kips and kip ft."""
    at = x.base.cases.names.index(f"wind on the {face}, clear, {name}")
    q = 0.6 * x.wind.pressure
    c = x.base.cases
    return (
        float(c.uplift[at, 0]) * q / KIP,
        float(np.linalg.norm(c.push[at])) * q / KIP,
        float(np.linalg.norm(c.moment[at])) * q / KIP / FT,
    )


@pytest.mark.parametrize("face", ["left", "right"])
@pytest.mark.parametrize(("name", "up", "level", "moment"), ACROSS)
def test_wind_across(face: str, name: str, up: float, level: float, moment: float) -> None:
    """The two sides of a roof under 7.5° have one row, and the same forces from either."""
    found = case(put_together(MOMENTS), face, name)
    assert found[0] == pytest.approx(up, abs=0.005)
    assert found[1] == pytest.approx(level, abs=0.005)


@pytest.mark.parametrize(("name", "up", "level", "moment"), ACROSS)
def test_how_the_wind_across_tips_it(name: str, up: float, level: float, moment: float) -> None:
    """About the middle of the base, the windward half four times the leeward one; from one side, as the sheet has it."""
    x = put_together(MOMENTS)
    every = [case(x, face, name)[2] for face in ("left", "right")]
    assert any(m == pytest.approx(moment, abs=0.02) for m in every), (
        every
    )  # of forces that were rounded to 0.01 kip


@pytest.mark.parametrize(("name", "up", "level"), ALONG)
def test_wind_along(name: str, up: float, level: float) -> None:
    for face in ("front", "back"):
        found = case(put_together(STRIPS), face, name)
        assert found[0] == pytest.approx(up, abs=0.005)
        assert found[1] == pytest.approx(level, abs=0.005)


def test_through_the_door(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """The most uplift, the pressure and the least load, as ``check --json`` says them."""
    file = tmp_path / "carport.toml"
    file.write_text(text(MOMENTS), encoding="utf-8")
    main(["check", str(file), "--json"])
    found = json.loads(capsys.readouterr().out)
    assert 0.6 * found["wind"]["velocity_pressure_pa"] / PSF == pytest.approx(7.50, abs=0.005)
    assert 0.6 * found["demand"]["uplift_n"] / KIP == pytest.approx(1.67, abs=0.005)
    least = next(c for c in found["checks"] if c["name"] == "code minimum: slide")
    assert least["demand"] / KIP == pytest.approx(0.37, abs=0.005)  # the margin on wind is the sheet's 0.6
    assert least["demand"] / (9.6 * PSF * FT * FT) == pytest.approx(38.23, abs=0.02)
