"""The hand-held reading at which a level is reached, against worked values of EN 1991-1-4 figure 4.2, of ASCE 7's power laws and of the Beaufort scale."""

import math
from operator import attrgetter

import pytest

from anchorage.checks.whatif import changed
from anchorage.demo import demo_text
from anchorage.deployment.reader import read_text
from anchorage.loads.wind_trip import beaufort, profiles, site_share, trip

PEAK_II = {2.0: 1.42, 10.0: 2.352}
"""Exposure factor ce(z) of EN 1991-1-4 figure 4.2, terrain category II, worked from (4.5), (4.7), (4.8) with z0 = 0.05 m, kr = 0.19:
z = 2 m: cr = 0.19 ln(40) = 0.7009, Iv = 1/ln(40) = 0.2711, ce = (1 + 7 x 0.2711) x 0.7009^2 = 1.4235;
z = 10 m: cr = 0.19 ln(200) = 1.0067, Iv = 0.1887, ce = (1 + 7 x 0.1887) x 1.0067^2 = 2.3522. The figure is read as 1.4 and 2.35."""


def test_the_lowest_of_the_terrain_models_is_the_peak_profile_of_category_ii():
    """Hand height 2 m: sqrt(ce(2)/ce(10)) = sqrt(1.4235/2.3522) = 0.7779; power laws (2/10)^(1/7, 1/9.5, 1/11.5)."""
    found = profiles(2.0)
    assert found["peak profile of EN 1991-1-4, category II"] == pytest.approx(
        math.sqrt(PEAK_II[2.0] / PEAK_II[10.0]), abs=2e-3
    )
    assert found["peak profile of EN 1991-1-4, category II"] == pytest.approx(0.7779, abs=5e-5)
    assert found["power law of ASCE 7, exposure B"] == pytest.approx(0.2 ** (1 / 7), abs=1e-12)
    assert found["power law of ASCE 7, exposure C"] == pytest.approx(0.2 ** (1 / 9.5), abs=1e-12)
    assert min(found.values()) == found["peak profile of EN 1991-1-4, category II"]
    assert all(0 < v <= 1 for v in found.values())
    assert trip(read_text(demo_text("clay")), 10.0).reading == pytest.approx(7.779, abs=5e-4)
    assert profiles(10.0) == pytest.approx(dict.fromkeys(found, 1.0))


@pytest.mark.parametrize(("gust", "force"), [(0.0, 0), (4.0, 2), (10.0, 4), (20.0, 6), (30.0, 8), (60.0, 12)])
def test_beaufort_is_the_lowest_force_whose_top_brings_the_gust(gust, force):
    """Tops of the forces 2, 4, 6, 8 in m/s: 3.4, 8.0, 13.9, 20.8; times the 10 min gust factor 1.66 (WMO): 5.6, 13.3, 23.1, 34.5."""
    assert beaufort(gust) == force


def test_a_forecast_for_open_country_reads_lower_in_town():
    d = read_text(demo_text("asphalt"))
    assert site_share(d.wind, d.site) == 1.0
    town = changed(d, wind={"terrain": "open"})
    assert site_share(town.wind, town.site) == pytest.approx(
        math.sqrt((10 / 365.76) ** (2 / 7.0) / (10 / 274.32) ** (2 / 9.5)), abs=1e-9
    )  # Kz of B over C at 10 m, ASCE 7-16 table 26.10-1 note 1
    assert trip(town, 10.0).reading < trip(d, 10.0).reading
    assert (
        site_share(
            *attrgetter("wind", "site")(changed(d, site={"surroundings": "open"}, wind={"terrain": "open"}))
        )
        == 1.0
    )
