"""Pickets in line, buried logs, stakes that weaken each other.

Sources and their grade
    NAVEDTRA 14251, Steelworker (US Navy manual): picket holdfasts in undisturbed loam: 700 lb for one, 1,800 lb for 1-1-1,
        4,000 lb for 3-2-1.
    TM 5-5420-278-10 (US Army manual), table 9: holding power of a deadman in loam, lb per sq ft of face, at mean depth and
        slope; x 5 in hardpan or rock, x 1/2 in fine-grained or sandy soil; length = CC/(HP x Df) + 1 ft for the trench of the
        line; timber no longer than 9 times its thickness, a log no longer than 5 times.
    Half in soaked ground: the same second-hand figure as for stakes, on the side of care.
    FHWA-HIF-18-031 (GEC-9), table 7-1 after AASHTO 2014 (code), digitised in geotech_references, which is the oracle.
"""

from typing import get_args

import numpy as np
import pytest
from geotech_references.gec_9.tables import table_7_1_p_multiplier

from anchorage.core import tables
from anchorage.core.errors import NotModelledError
from anchorage.core.told import Words
from anchorage.deployment.models import Deadman, Stake
from anchorage.formulas import blocks, stakes
from anchorage.holding.stakes import OLD_FINE_WET, deadman_strength, group, holdfast

LB = 4.4482216152605
FOOT = 0.3048
PSF = 47.880259
HOLDFAST = (("1-1-1", 1800.0), ("3-2-1", 4000.0))
SINGLE = 700.0
TABLE_9 = {  # depth ft: psf at slopes 1:1, 1:2, 1:3, 1:4
    3: (950, 1300, 1450, 1500),
    4: (1750, 2200, 2600, 2700),
    5: (2800, 3600, 4000, 4100),
    6: (3800, 5100, 5800, 6000),
    7: (5100, 7000, 8000, 8400),
}
MULTIPLIER = {"loam": 1.0, "sand": 0.5, "fine": 0.5, "hardpan": 5.0}
P_MULTIPLIERS = {
    3: (0.8, 0.4, 0.3),
    5: (1.0, 0.85, 0.7),
}  # spacing in diameters: first, second, third row and behind
PRINTED = {
    "holdfasts": len(HOLDFAST) + 1,
    "deadman table": 20,
    "deadman multipliers": len(MULTIPLIER),
    "p-multipliers": 6,
}
VALIDATES = {"formulas/blocks": ("test_deadman_table_9", "anchorage.holding.stakes.deadman_strength")}
ROUND_DOWN = 3e-5
"""The table is kept in whole Pa, rounded down: 1 Pa in 45 kPa."""


def _log(
    depth: float, length: float, face: float, ground: str | None = "loam", trench: str | None = "1 ft"
) -> Deadman:
    text = {"depth": f"{depth} ft", "length": f"{length} ft", "face": f"{face} ft", "thickness": "3 ft"}
    return Deadman.model_validate({**text, "ground": ground, "trench": trench})


@pytest.mark.parametrize(("combination", "printed"), HOLDFAST)
def test_navedtra_14251_holdfasts(combination: str, printed: float) -> None:
    stake = Stake.model_validate({"diameter": "3 in", "driven": "3 ft", "combination": combination})
    # 0.1 lb: kept in N to one figure after the point.
    assert holdfast(stake, "dry", []) / LB == pytest.approx(printed, abs=0.1)
    # Own rule, on the side of care: half in wet ground.
    assert holdfast(stake, "wet", []) / LB == pytest.approx(printed / 2, abs=0.1)


def test_navedtra_14251_single_picket() -> None:
    # 0.1 lb: as above.
    assert tables.row("holdfast", "picket").value / LB == pytest.approx(SINGLE, abs=0.1)


@pytest.mark.parametrize("depth", TABLE_9)
@pytest.mark.parametrize(("column", "slope"), list(enumerate((1, 2, 3, 4))))
def test_deadman_table_9(depth: int, column: int, slope: int) -> None:
    """A face of 1 ft and a length of 2 ft, of which 1 ft is the trench of the line: 1 sq ft holds."""
    angle = float(np.rad2deg(np.arctan(1 / slope)))
    pull = deadman_strength(_log(depth, 2.0, 1.0), angle, "dry", []) / LB
    assert pull == pytest.approx(TABLE_9[depth][column], rel=ROUND_DOWN)
    assert pull <= TABLE_9[depth][column] * (1 + 1e-9)


@pytest.mark.parametrize("ground", MULTIPLIER)
def test_deadman_in_other_ground(ground: str) -> None:
    """5 ft deep, slope 1:2: 3,600 psf; 18,000 in hardpan, 1,800 in sand and in fine soil; half of each where it is soaked."""
    angle, log = float(np.rad2deg(np.arctan(1 / 2))), _log(5, 2.0, 1.0, ground)
    assert deadman_strength(log, angle, "dry", []) / LB == pytest.approx(
        3600 * MULTIPLIER[ground], rel=ROUND_DOWN
    )
    for state in ("wet", "frozen", "ice", "snow"):
        pull = deadman_strength(log, angle, state, []) / LB
        assert pull == pytest.approx(1800 * MULTIPLIER[ground], rel=ROUND_DOWN)


def test_the_grounds_of_a_deadman_are_those_of_the_table() -> None:
    field = Deadman.model_fields["ground"].annotation
    named = {v for part in get_args(field) for v in get_args(part)}
    assert named == {r.key for r in tables.table("deadman-multiplier").rows} | {OLD_FINE_WET}
    assert {k: tables.row("deadman-multiplier", k).value for k in MULTIPLIER} == MULTIPLIER


def test_fine_wet_of_older_files_is_fine_and_wet_whatever_the_site_says() -> None:
    old, fine = (_log(5, 2.0, 1.0, g) for g in (OLD_FINE_WET, "fine"))
    for state in ("dry", "wet"):
        assert deadman_strength(old, 20.0, state, []) == deadman_strength(fine, 20.0, "wet", [])
    assert deadman_strength(old, 20.0, "dry", []) / LB == pytest.approx(3600 / 4, rel=ROUND_DOWN)


def test_ground_not_given_is_the_weakest() -> None:
    every = [deadman_strength(_log(5, 2.0, 1.0, g), 20.0, "dry", []) for g in MULTIPLIER]
    assert deadman_strength(_log(5, 2.0, 1.0, None), 20.0, "dry", []) == min(every)


@pytest.mark.parametrize(("trench", "holds"), [("1 ft", 3.0), ("2 ft", 2.0), (None, 2.0), ("30 in", 1.5)])
def test_the_trench_of_the_line_holds_nothing(trench: str | None, holds: float) -> None:
    """A log of 4 ft with a face of 1 ft in loam, 5 ft deep at 1:2: 3,600 lb for each foot that bears; its loss is told."""
    notes: list[Words] = []
    pull = deadman_strength(_log(5, 4.0, 1.0, trench=trench), 20.0, "dry", notes) / LB
    assert pull == pytest.approx(3600 * holds, rel=ROUND_DOWN)
    assert any(f"takes {(4 - holds) * 25:.0f} % of its length" in str(n) for n in notes)
    assert any("not given" in str(n) for n in notes) == (trench is None)


def test_deadman_length_of_9_10_ft() -> None:
    """The published formula on own numbers: 34,000 lb, 5 ft deep, 1:1, face 1.5 ft: 34000/(2800 x 1.5) + 1 = 9.10 ft."""
    pull = blocks.deadman_pull(2800 * PSF, 1.0, 1.5 * FOOT, 9.0952 * FOOT, FOOT) / LB
    # 0.01 %: the length is told to 0.0001 ft here.
    assert pull == pytest.approx(34000.0, rel=1e-4)


def test_deadman_between_slopes_counts_as_the_steeper_one() -> None:
    """20° lies between 1:2 (26.6°) and 1:3 (18.4°): the lower holding power counts. Between depths: the shallower."""
    assert deadman_strength(_log(5, 2.0, 1.0), 20.0, "dry", []) / LB == pytest.approx(3600, rel=ROUND_DOWN)
    assert deadman_strength(_log(5.9, 2.0, 1.0), 20.0, "dry", []) / LB == pytest.approx(3600, rel=ROUND_DOWN)
    assert deadman_strength(_log(5, 2.0, 1.0), 3.0, "dry", []) / LB == pytest.approx(4100, rel=ROUND_DOWN)


def test_deadman_out_of_the_table_is_refused() -> None:
    with pytest.raises(NotModelledError):
        deadman_strength(_log(5, 2.0, 1.0), 46.0, "dry", [])
    timber, log = {"face": "1 ft", "thickness": "0.5 ft"}, {"face": "1 ft"}
    for length, shape, fits in (
        (4.5, timber, True),
        (4.6, timber, False),
        (5.0, log, True),
        (5.1, log, False),
    ):
        m = Deadman.model_validate({"depth": "5 ft", "length": f"{length} ft", **shape})
        if fits:
            assert deadman_strength(m, 45.0, "dry", []) > 0
        else:
            with pytest.raises(NotModelledError):
                deadman_strength(m, 45.0, "dry", [])


def _efficiency(count: float, spacing: float) -> float:
    stake = Stake.model_validate({"diameter": "1 in", "driven": "3 ft", "spacing": f"{spacing} in"})
    found = group(stake, [])
    return 1.0 if found is None else float(stakes.group_efficiency(count, *found))


@pytest.mark.parametrize("spacing", P_MULTIPLIERS)
def test_gec_9_table_7_1(spacing: int) -> None:
    """The mean over the rows, since each stake takes its own row's share."""
    rows = P_MULTIPLIERS[spacing]
    for row, name in zip(rows, ("lead", "2nd", "3rd"), strict=True):
        assert row == _digitised(name, spacing)
    for count, mean in ((2, sum(rows[:2]) / 2), (3, sum(rows) / 3), (5, (sum(rows) + 2 * rows[2]) / 5)):
        # 1e-9: arithmetic on the printed cells.
        assert _efficiency(count, spacing) == pytest.approx(mean, rel=1e-9)


def _digitised(row: str, spacing: float) -> float:
    return float(table_7_1_p_multiplier(row, spacing)["pm"])


@pytest.mark.parametrize("spacing", [3.0, 3.5, 4.0, 4.5, 5.0])
def test_gec_9_between_the_columns(spacing: float) -> None:
    three = [_digitised(r, spacing) for r in ("lead", "2nd", "3rd")]
    # 5e-4: linear in both; the digitised function rounds to three figures after the point.
    assert _efficiency(3, spacing) == pytest.approx(sum(three) / 3, abs=5e-4)


def test_stakes_far_apart_or_alone_do_not_weaken_each_other() -> None:
    assert _efficiency(1, 3) == 1.0
    assert _efficiency(4, 6) == 1.0
    with pytest.raises(NotModelledError):
        _efficiency(2, 2.9)
