"""The asphalt demo on paper, from gust to bags per point, to the last rounding.

Own arithmetic from published figures (BNBC 2020 figs 6.2.5, 6.2.6, 6.2.9; ISA; IBC 1.5), done apart from the program.
Shelter 18 x 16 ft, eave 7 ft, ridge 9.5 ft; 240 lb; town (B); 600 ft; 45 degF; wet asphalt; bags 40 lb; a door of
3 x 6.5 ft in use; gust 20 mph, to be 60 % of the gust held. Tolerance: half of the last digit written here.

 V    20 mph = 8.9408 m/s
 p    101325 (1 - 0.0065 x 182.88/288.15)^5.25588                                   =  99 147 Pa
 rho  99147/(287.058 x 280.372)                                                     =  1.2319 kg/m3
 K    (4.572/10)^(2/7), B at both heights, the number knows the town                =  0.79963
 q    0.5 x 1.2319 x 0.79963 x 8.9408^2                                             =  39.372 Pa
 q to hold  39.372/0.6^2                                                            =  109.37 Pa
 h    (7 + 9.5)/2 ft = 2.5146 m; slope atan(2.5/8) = 17.354 deg > 10
 door 1.812 m2 in one wall > 0.37 m2, nothing else open: partially enclosed, 0.55
 Wind on the front: L/B 1.125, leeward -0.475; end wall 12.2632 m2; H/q (0.8 + 0.475) x 12.2632 = 15.6356 m2
   roof by strips of h, h/L 0.458: 16 ft x (0.9 x 8.25 + 0.5 x 8.25 + 0.3 x 1.5) ft = U/q 17.8374 m2
 Wind on the right: L/B 0.889, leeward -0.5; side wall 11.7058 m2; walls 1.3 x 11.7058 = 15.2175 m2
   roof, h/L 0.5156: windward -0.5681 / -0.0979, leeward -0.5487 on 4.1806 m2 of rise
   walls with the roof -0.5681: 15.1364 (less, so 15.2175 counts); with -0.0979: 17.1023
   U/q (0.5681 + 0.5487) x 13.3780 = 14.9415 m2
 inside 0.55 x 26.7561 = 14.7158 m2 up
 Corner, roof from the front: H/q 0.75 sqrt(15.6356^2 + 15.2175^2) = 16.3641; with the right roof -0.0979
   0.75 sqrt(15.6356^2 + 17.1023^2) = 17.3793 m2;  U/q 17.8374 + 14.7158 = 32.5532 m2
   bags in all  [1.5 x 109.37 (17.3793/0.337 + 32.5532) - 1067.6]/177.93              =  71.56
 A middle frame (a third of the length), wind on the right, 15.2175 and 14.9415 + 14.7158:
   per foot [1.5 x 109.37 (15.2175/0.337 + 29.6573) - 1067.6]/3/177.93/2              =  10.50 -> 11
 An end frame: face 1/6; twist 0.75 (1/6 + 6 x 0.15 x (9^2 - 6^2)/18^2) = 0.75 x 0.29167, own weight 1/6
   per foot                                                                          =   7.04 -> 8
 4 x 8 + 4 x 11 = 76 >= 71.56: 76 bags, the frames govern.
"""

from __future__ import annotations

from math import hypot

import pytest

from anchorage.checks.installation import assemble
from anchorage.demo import demo_text
from anchorage.deployment.reader import read_text


@pytest.fixture(scope="module")
def demo():
    return assemble(read_text(demo_text("asphalt")))


def test_wind_and_pressure_agree_with_the_paper(demo) -> None:
    assert demo.wind.gust == pytest.approx(8.9408, abs=5e-5)
    assert demo.wind.density == pytest.approx(1.2319, abs=5e-5)
    assert demo.wind.pressure == pytest.approx(39.372, abs=5e-4)
    assert demo.inside["openings as they stand"] == 0.55


def test_the_governing_case_agrees_with_the_paper(demo) -> None:
    slide = next(f for f in demo.limits() if f.name == "slide")
    c, _ = slide.worst
    cases = demo.base.cases
    assert cases.bearing[c] in (45.0, 315.0)
    assert float(cases.uplift[c, 0]) == pytest.approx(32.5532, abs=5e-5)
    assert hypot(*cases.push[c]) == pytest.approx(17.3793, abs=5e-5)


def test_bags_per_point_agree_with_the_paper(demo) -> None:
    in_all = (1.5 * 109.366 * (17.3793 / 0.337 + 32.5532) - 1067.6) / 177.93
    middle = (1.5 * 109.366 * (15.2175 / 0.337 + 29.6573) - 1067.6) / 3 / 177.93 / 2
    end = (1.5 * 109.366 * 0.75 * 0.29167 * (15.2175 / 0.337 + 29.6573) - 1067.6 / 6) / 177.93 / 2
    assert (round(in_all, 2), round(middle, 2), round(end, 2)) == (71.56, 10.5, 7.04)
    assert demo.sized is not None
    assert demo.sized.by_group == {"corner": 8, "side": 11}
    assert demo.sized.total == 76
    assert demo.sized.governed_by == "slide of a frame"
