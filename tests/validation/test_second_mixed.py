"""Mixed sites against a second reckoning of them: ``tests/second_mixed.py`` finds the limiting pressure by statics and halving.

Nothing in it is the program's: springs by three equations, friction by what uplift takes away first, each check at a trial pressure. Here
deployments are written as files; the pressure that they hold has to be the same. Tolerance: 1e-7, what halving leaves.
"""

from __future__ import annotations

import ast
import functools
import random
from pathlib import Path
from typing import Any

import pytest

from anchorage.checks.checks import worst_pressure
from anchorage.checks.installation import Installation, assemble
from anchorage.deployment.reader import read_text
from tests import second_mixed
from tests.second_figures import Job, points_of
from tests.second_mixed import Mixed
from tests.second_reckoning import Reckoning

SHELTERS = [
    {"form": "gable", "length": 7.3, "width": 5.5, "eave": 2.1, "ridge": 2.9, "per_side": 4, "per_end": 2, "mass": 150.0},
    {"form": "gable", "length": 9.0, "width": 4.2, "eave": 2.4, "ridge": 3.0, "per_side": 3, "per_end": 3, "mass": 310.0},
    {"form": "single-slope", "length": 5.1, "width": 4.0, "eave": 2.2, "ridge": 2.8, "per_side": 2, "per_end": 4, "mass": 90.0},
]  # fmt: skip
KIND = {
    "bags": "ballast",
    "feet": "stakes",
    "lines": "stakes",
    "blocks": "line-ballast",
    "deadman": "deadman",
}
WAYS = [("bags", "feet"), ("bags", "lines"), ("bags", "blocks"), ("feet", "deadman"), ("bags", "feet", "deadman"), ("lines", "deadman", "bags")]  # fmt: skip
CASES = (0, 1, 3, 6, 9, 16, 41, 71, 106, 209, 246)
"""Of some hundreds that were tried: each check of a mixed site gives first in one of them, and in some friction that adds decides."""


def made(n: int) -> tuple[Job, dict[str, tuple[str, int]], bool]:
    """A job, what stands at each of its points, and whether friction is said to add."""
    r = random.Random(100 + n)  # noqa: S311 - no secret
    shelter: dict[str, Any] = SHELTERS[n % len(SHELTERS)]
    ways = WAYS[n % len(WAYS)]
    job = Job(
        **shelter, surface="grass", state=r.choice(("dry", "wet")), exposure="C", method="physics", speed=8.0, margins="lumped-1.5",
        openings=dict.fromkeys(("front", "back", "left", "right"), 0.0), terrain="site", temperature=283.15, unit="sandbag", how="standing-tied", contact="plate",
        foot=r.choice(("rubber", "plastic")), block_angle=40.0, stake=(0.025, 0.9, "stiff-clay", 45.0 if "lines" in ways else None, 0.0),
        deadman=(1.2, 1.0, 0.3, "loam", None),
    )  # fmt: skip
    points = points_of(job)
    some = {p.name: (r.choice(ways), r.randint(1, 30)) for p in points}
    for p, way in zip(r.sample(points, len(ways)), ways, strict=True):
        some[p.name] = (way, some[p.name][1])
    some = {i: (w, 1 if w == "deadman" else min(k, 6) if w != "bags" else k) for i, (w, k) in some.items()}
    return job, some, r.random() < 0.5


def installation(job: Job, some: dict[str, tuple[str, int]], *, adds: bool) -> Installation:
    """The same as a file, put together by the program."""
    b, driven, soil, angle, _ = job.stake or (0.0, 0.0, "", None, 0.0)
    depth, length, face, ground, _ = job.deadman or (0.0, 0.0, 0.0, None, None)
    text = f"""
[shelter]
form = "{job.form}"
length = "{job.length} m"
width = "{job.width} m"
eave = "{job.eave} m"
ridge = "{job.ridge} m"
mass = "{job.mass} kg"
points_per_side = {job.per_side}
points_per_end = {job.per_end}
high_side = "{job.high}"
openings = {{ front = 0.0, back = 0.0, left = 0.0, right = 0.0 }}
[site]
surface = "{job.surface}"
state = "{job.state}"
exposure = "{job.exposure}"
temperature = "10 degC"
elevation = "0 m"
[wind]
speed = "{job.speed} m/s"
speed_is = "forecast-gust"
terrain = "site"
[anchorage]
kind = "mixed"
unit = "sandbag"
how = "standing-tied"
contact = "plate"
foot = "{job.foot}"
line_angle = {job.block_angle}
friction_adds = {str(adds).lower()}
[anchorage.stake]
diameter = "{b} m"
driven = "{driven} m"
soil = "{soil}"
{"" if angle is None else f"line_angle = {angle}"}
{"" if angle is None else 'line_height = "0 m"'}
[anchorage.deadman]
depth = "{depth} m"
length = "{length} m"
face = "{face} m"
ground = "{ground}"
"""
    for i, (way, n) in some.items():
        text += f'[[point]]\nid = "{i}"\nkind = "{KIND[way]}"\nplaced = {n}\n'
    return assemble(read_text(text), ("people-in",))


@functools.cache
def programs(n: int) -> float:
    """The pressure (Pa) that it holds by the program."""
    job, some, adds = made(n)
    return worst_pressure(installation(job, some, adds=adds).limits())


def reckoned(n: int) -> float:
    """The same by the second reckoning."""
    job, some, adds = made(n)
    bags = Job(**{**vars(job), "stake": None, "block_angle": None, "deadman": None})
    return Mixed(job, Reckoning(bags).cases, some, second_mixed.SLIDING if adds else 0.0).limit()


@pytest.mark.parametrize("n", CASES)
def test_a_mixed_site_holds_what_the_second_reckoning_finds(n: int) -> None:
    assert programs(n) == pytest.approx(reckoned(n), rel=1e-7)


def test_the_second_reckoning_uses_nothing_of_the_program() -> None:
    tree = ast.parse(Path(second_mixed.__file__).read_text(encoding="utf-8"))
    found = {n.module for n in ast.walk(tree) if isinstance(n, ast.ImportFrom)} | {a.name for n in ast.walk(tree) if isinstance(n, ast.Import) for a in n.names}  # fmt: skip
    assert not [m for m in found if m and m.startswith("anchorage")]


@pytest.mark.parametrize(
    ("figure", "wrong", "cases"), [("STIFFER", 9.0, (0, 1, 246)), ("SLIDING", 0.8, (6, 41, 71))]
)
def test_one_wrong_figure_is_noticed(
    figure: str, wrong: float, cases: tuple[int, ...], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(second_mixed, figure, wrong)
    assert any(programs(n) != pytest.approx(reckoned(n), rel=1e-6) for n in cases)
