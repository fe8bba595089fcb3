"""Wind groups against the `metar` library (PyPI), which reads three-digit speeds and P99KT right, and where it does not.

It gives gusts as coded; ours adds what no G may hide, so the coded parts are compared.
"""

import itertools
import warnings

import pytest
from outlook_kit import KT, at

from anchorage.outlook.metar import read_metar
from anchorage.outlook.windgroup import read_wind

metar = pytest.importorskip("metar.Metar")
UNIT = {"KT": KT, "MPS": 1.0, "KMH": 1 / 3.6}
GROUPS = [
    f"{d}{ff}{g}{u}"
    for d, (ff, g), u in itertools.product(
        ("000", "010", "270", "360", "VRB"),
        (("00", ""), ("05", ""), ("15", "G30"), ("99", ""), ("105", "G130")),
        ("KT", "MPS", "KMH"),
    )
]


def theirs(group: str):
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        return metar.Metar(
            f"METAR KDAL 101753Z {group} 10SM CLR 10/05 A3000", year=2026, month=3, strict=False
        )


@pytest.mark.parametrize("group", GROUPS)
def test_speeds_and_directions_agree(group: str):
    if group[3:].startswith("105") and group.endswith("MPS"):
        pytest.skip("130 m/s and more is refused here: no wind blows so, and it is a slip")
    a, b = read_wind(group, "f", "k"), theirs(group)
    assert a.mean == pytest.approx(b.wind_speed.value("MPS"), rel=2e-3)
    if a.coded_gust is None:
        assert b.wind_gust is None
    else:
        assert a.coded_gust == pytest.approx(b.wind_gust.value("MPS"), rel=2e-3)
    if b.wind_dir is not None and a.mean:
        assert a.bearing == b.wind_dir.value() % 360


def test_peak_wind_of_the_remarks_agrees():
    text = "METAR KDAL 101753Z 27015G25KT 10SM CLR 10/05 A3000 RMK AO2 PK WND 28045/1736"
    b = metar.Metar(text, year=2026, month=3)
    ours = read_metar(text, at("2026-03-10T18"))
    assert ours.floors[0].value == pytest.approx(b.wind_speed_peak.value("MPS"), rel=2e-3)
    assert ours.floors[0].bearing == b.wind_dir_peak.value()


def test_ours_differs_where_theirs_loses_the_danger():
    b = theirs("240P99KT")
    assert b.wind_speed.value("KT") == pytest.approx(
        99
    )  # theirs: 99 and a remark of its own; as a number it is too low
    ours = read_wind("240P99KT", "f", "k")
    assert ours.mean == pytest.approx(100 * KT)
    assert ours.endless


def test_ours_refuses_what_theirs_leaves_out():
    b = theirs("270X5G55KT")  # a slip of the hand
    assert b.wind_speed is None
    with pytest.raises(Exception, match="270X5G55KT"):
        read_wind("270X5G55KT", "f", "k")
    with pytest.raises(Exception, match="270X5G55KT"):
        read_metar("METAR KDAL 101753Z 270X5G55KT 10SM CLR 10/05 A3000", at("2026-03-10T18"))
