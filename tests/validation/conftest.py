"""Shared by the validation tests: a deployment from a few words, and a base under one load case of our own.

What a test compares is never made here: published values stand as literal data in the test that uses them.
"""

from collections.abc import Callable

import numpy as np
import pytest

from anchorage.checks.footprint import Base, Held, base, held
from anchorage.deployment.models import Deployment
from anchorage.deployment.reader import read_text
from anchorage.formulas.demand import Cases
from anchorage.holding.hardware import Factors, Hardware
from anchorage.shelter.shape import gable

GRAVITY = 9.80665  # m/s2, standard gravity

STAKE = """
[anchorage.stake]
diameter = "1 in"
driven = "36 in"
line_angle = {angle}
soil = "stiff-clay"
"""
BALLAST = 'kind = "ballast"\nunit = "sandbag"\nunit_mass = "2000 lb"\nplaced = 10\n'
STAKES = 'kind = "stakes"\nplaced = {placed}\n' + STAKE


NO_MARGINS = Factors(
    set="own", wind=1.0, shelter=1.0, ballast=1.0, friction=1.0, stake=1.0, line=1.0, strength="service"
)


@pytest.fixture(scope="session")
def no_margins() -> Factors:
    """Margins of 1: published examples are told without any, or with theirs in the numbers."""
    return NO_MARGINS


@pytest.fixture(scope="session")
def deploy() -> Callable[..., Deployment]:
    """Deployment of a shelter on open ground; lengths in ft, mass in lb, speeds as text."""

    def make(
        *,
        form: str = "gable",
        length: float = 30,
        width: float = 30,
        eave: float = 15,
        ridge: float = 15,
        sides: int = 4,
        ends: int = 3,
        mass: float = 1000,
        openings: str = "{ front = 0.0 }",
        site: str = 'exposure = "C"',
        wind: str = 'method = "asce7-16"\nspeed = "120 mph"\nlevel = "strength"',
        margins: str = "asd",
        stakes: bool = False,
        angle: float = 45,
        placed: int = 2,
    ) -> Deployment:
        what = STAKES.format(angle=angle, placed=placed) if stakes else BALLAST
        return read_text(
            f"""
            [shelter]
            form = "{form}"
            length = "{length} ft"
            width = "{width} ft"
            eave = "{eave} ft"
            ridge = "{ridge} ft"
            mass = "{mass} lb"
            points_per_side = {sides}
            points_per_end = {ends}
            openings = {openings}
            [site]
            surface = "{"clay" if stakes else "asphalt"}"
            state = "dry"
            temperature = "15 degC"
            {site}
            [wind]
            averaging = "3 s"
            height = "33 ft"
            {wind}
            [margins]
            set = "{margins}"
            [anchorage]
            {what}"""
        )

    return make


@pytest.fixture(scope="session")
def one_case() -> Callable[..., Base]:
    """Base with a point at each corner, under one load case given per unit of q: uplift, push, their moment."""

    def make(length: float, width: float, uplift: float, push: tuple[float, float], moment: tuple[float, float],
             *, bearing: float = 0.0) -> Base:  # fmt: skip
        cases = Cases(
            ("case",), np.array([bearing]), np.array([[uplift]]), np.array([moment]), np.array([push]),
            np.zeros((1, 1)), np.zeros((1, 1)), np.array([bearing % 180.0 != 0.0]), (("",),),
        )  # fmt: skip
        return base(gable(length, width, 1.0, 1.0, 2, 2), cases)

    return make


@pytest.fixture(scope="session")
def hold() -> Callable[..., Held]:
    """What holds at four corners, without margins: a weight (N) with friction μ, or lines of a strength (N) at an angle."""

    def make(
        *, weight: float = 0.0, mu: float = 0.0, strength: float | None = None, angle: float | None = None
    ) -> Held:
        if strength is None:
            one = Hardware(kind="ballast", unit_name="none", unit_mass=0.0, friction=mu)
        else:
            one = Hardware(kind="stakes", unit_name="stake", unit_mass=0.0, friction=mu, line_angle=angle,
                           tension=strength, pull=strength)  # fmt: skip
        return held([one] * 4, NO_MARGINS, np.ones(4), weight / GRAVITY)

    return make
