"""What locked straps lift at the windward foot goes into what the anchors have to hold."""

from __future__ import annotations

import numpy as np
import pytest

from anchorage.checks.installation import assemble
from anchorage.core.told import in_words
from anchorage.deployment.reader import read_text

TEXT = """
[shelter]
form = "gable"
length = "6 m"
width = "5 m"
eave = "2.2 m"
ridge = "3.2 m"
mass = "300 kg"
points_per_side = 3
straps = "{straps}"
lean = {lean}
openings = {{ front = 0.0, back = 0.0, left = 0.0, right = 0.0 }}
[shelter.strap]
count = 2
angle = 45
bay = "2 m"
rated = "5 kN"
stiffness = "300 kN"
slack = "0 mm"
[site]
surface = "grass"
state = "dry"
exposure = "C"
[wind]
speed = "15 m/s"
averaging = "3 s"
[anchorage]
kind = "{kind}"
{more}
"""
BAGS = 'unit = "sandbag"\nhow = "on-foot"\nplaced = 10'
STAKES = 'placed = 4\n[anchorage.stake]\ndiameter = "25 mm"\ndriven = "0.9 m"\nline_angle = 45\nsoil = "stiff-clay"'


def _made(straps: str, kind: str, lean: float = 0.005):
    """No wind, snow, slope or lean that asks for locked straps, unless the lean does."""
    more = BAGS if kind == "ballast" else STAKES
    return assemble(read_text(TEXT.format(straps=straps, kind=kind, more=more, lean=lean)))


@pytest.mark.parametrize("kind", ["ballast", "stakes"])
def test_locked_straps_add_to_what_each_point_holds(kind: str) -> None:
    loose, tied = _made("unlocked", kind), _made("locked", kind)
    side = np.array([g in ("corner", "side") for g in tied.base.groups])
    assert np.all(np.asarray(tied.base.strap_per_q)[side] > 0)
    assert np.allclose(tied.base.shares.rigid - loose.base.shares.rigid, tied.base.strap_per_q)
    of = {
        name: [float(np.min(f.q)) for f in x.limits() if f.name in ("lift at a point", "stake: uplift")]
        for name, x in (("loose", loose), ("tied", tied))
    }
    assert of["tied"][0] < of["loose"][0]


def test_the_lift_of_the_whole_shelter_is_not_changed_by_its_own_straps() -> None:
    loose, tied = _made("unlocked", "ballast"), _made("locked", "ballast")
    lift = [next(float(np.min(f.q)) for f in x.limits() if f.name == "lift") for x in (loose, tied)]
    assert lift[0] == lift[1]


def test_it_is_said() -> None:
    assert any("Locked straps lift" in n for n in in_words(_made("locked", "ballast").assumptions))
    assert not any("Locked straps lift" in n for n in in_words(_made("unlocked", "ballast").assumptions))


def test_straps_that_are_to_be_locked_lift_as_locked_ones_do() -> None:
    """A lean of 1 in 50 asks for locked straps: the limit is that of the installation as that condition leaves it."""
    asked, tied, loose = (
        next(float(np.min(f.q)) for f in _made(s, "ballast", lean).limits() if f.name == "lift at a point")
        for s, lean in (("unlocked", 0.02), ("locked", 0.02), ("unlocked", 0.005))
    )
    assert asked == tied < loose
