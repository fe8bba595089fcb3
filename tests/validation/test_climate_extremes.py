"""Gusts of a return period against a published fit, two libraries, and series whose answer is known.

The daily rain of 48 years that textbooks use is beside OpenTURNS; any long series serves to try a fit. Published for it, over a threshold
of 10 mm: 2,003 values, scale 7.43768624, shape 0.05045225, minus the log likelihood 6123.465 (R package ismev 1.42, example of gpd.prof,
rdrr.io; read), maximized by a search that stops early, hence 1e-3. Over 30 mm OpenTURNS gives the profile interval beside ours.
"""

import math
from datetime import UTC

import numpy as np
import pytest
from climate_kit import deployment
from scipy import stats

from anchorage.climate import extremes
from anchorage.climate.build import annual_maxima, by_months, climate
from anchorage.climate.course import hours_of
from anchorage.climate.extremes import Peaks, gumbel, gumbel_fit, pareto, pareto_fit, peaks_of, reduced
from anchorage.climate.invented import invented
from anchorage.climate.windows import calendar

openturns = pytest.importorskip("openturns")
PRINTED = {"generalized Pareto, threshold 10": 4}
Z95 = 1.6448536269514722


@pytest.fixture(scope="module")
def rain():
    from openturns.usecases import coles

    return np.array(coles.Coles().rain).ravel()


@pytest.fixture
def at_95(monkeypatch):
    real = extremes.value
    monkeypatch.setattr(extremes, "value", lambda key: 0.95 if key == "interval" else real(key))


def test_a_published_fit_of_peaks_over_a_threshold(rain):
    excess = rain[rain > 10.0] - 10.0
    scale, shape, most = pareto_fit(excess)
    assert len(excess) == 2003
    assert scale == pytest.approx(7.43768624, rel=1e-3)
    assert shape == pytest.approx(0.05045225, abs=2e-4)
    assert -most == pytest.approx(6123.465, abs=1e-3)
    assert most >= -6123.4651


def test_the_range_of_a_return_value_is_that_of_openturns(rain, at_95):
    factory = openturns.GeneralizedParetoFactory()
    openturns.Log.Show(openturns.Log.NONE)
    beside = factory.buildReturnLevelProfileLikelihoodEstimator(
        openturns.Sample(rain[:, None]), 30.0, 100 * 365.0
    )
    beside.setConfidenceLevel(0.95)
    ends = beside.getParameterConfidenceInterval()
    excess = rain[rain > 30.0] - 30.0
    (found,) = pareto(Peaks(30.0, excess, len(rain) / 365.0), [100])
    assert found.gust == pytest.approx(beside.getParameter(), rel=1e-4)
    assert found.low == pytest.approx(ends.getLowerBound()[0], rel=2e-3)
    assert found.high == pytest.approx(ends.getUpperBound()[0], rel=5e-3)


@pytest.mark.parametrize("seed", range(6))
def test_the_fits_are_those_of_scipy(seed):
    rng = np.random.default_rng(seed)
    maxima = rng.gumbel(25.0, 3.0, 12 + 5 * seed)
    mode, scale = stats.gumbel_r.fit(maxima)
    mine = gumbel_fit(maxima)
    assert (float(mine[0]), float(mine[1])) == pytest.approx((mode, scale), rel=1e-5)
    (found,) = gumbel(maxima.tolist(), [50])
    assert found.gust == pytest.approx(stats.gumbel_r.ppf(0.98, mode, scale), rel=1e-6)
    excess = stats.genpareto.rvs(-0.1 + 0.05 * seed, scale=3.0, size=150, random_state=rng)
    shape, _, scale = stats.genpareto.fit(excess, floc=0)
    theirs = stats.genpareto.logpdf(excess, shape, 0, scale).sum()
    s, k, most = pareto_fit(excess)
    assert most >= theirs - 1e-3
    assert stats.genpareto.logpdf(excess, k, 0, s).sum() == pytest.approx(most, abs=1e-6)


@pytest.mark.parametrize(("n", "told"), [(10, 1.12), (20, 0.79), (30, 0.64)])
def test_the_sampling_error_of_a_gumbel_fit_is_that_of_the_textbook_formula(n, told):
    """Standard error of the 50-year value by most likelihood, in scales: sqrt((1.109 + 0.514 y + 0.608 y²) / n), known for long series."""
    y = float(reduced(50))
    assert math.sqrt((1.109 + 0.514 * y + 0.608 * y * y) / n) == pytest.approx(told, abs=0.01)
    m, s = extremes._drawn(n, 4000)
    assert np.std(m + s * y) == pytest.approx(told, rel=0.05)


def _covers(covered, tries, share):
    """Whether so many of so many tries agree with a share, within three times the sampling error."""
    return abs(covered - share * tries) <= 3.0 * math.sqrt(tries * share * (1.0 - share))


@pytest.mark.parametrize("n", [10, 25])
def test_the_range_of_the_gumbel_fit_covers_the_truth_nine_times_in_ten(n):
    rng, tries, truth = np.random.default_rng(n), 400, 25.0 + 3.0 * float(reduced(50))
    found = [gumbel(rng.gumbel(25.0, 3.0, n).tolist(), [50])[0] for _ in range(tries)]
    assert _covers(sum(g.low <= truth <= g.high for g in found), tries, 0.9)


def test_the_range_of_the_pareto_fit_covers_the_truth_nine_times_in_ten():
    rng, tries, years, rate = np.random.default_rng(4), 80, 25.0, 5.0
    truth = 2.5 * extremes._grown(rate * 20.0, -0.1)
    covered = 0
    for _ in range(tries):
        excess = stats.genpareto.rvs(-0.1, scale=2.5, size=rng.poisson(rate * years), random_state=rng)
        (g,) = pareto(Peaks(0.0, excess, years), [20])
        covered += g.low <= truth <= g.high
    assert _covers(covered, tries, 0.9)


def test_half_of_the_years_predict_how_often_the_other_half_passes_a_gust():
    """A gust that is passed once in ten years is passed in a tenth of the years that were not looked at, within the sampling error."""
    rng, series, half = np.random.default_rng(11), 150, 20
    passed = 0
    for _ in range(series):
        years = rng.gumbel(25.0, 3.0, 2 * half)
        (g,) = gumbel(years[::2].tolist(), [10])
        passed += int(np.count_nonzero(years[1::2] > g.gust))
    # the estimate of each series is off in all its twenty years alike: its error counts as often as there are series
    share = passed / (series * half)
    error = math.sqrt(0.1 * 0.9 / (series * half) + (0.1 * 0.9) / series / 3.0)
    assert (
        abs(share - 0.1) < 3.0 * error + 0.01
    )  # a fit of twenty years is passed a little more often than it says


def test_half_of_the_years_of_an_hourly_series_predict_the_months_of_the_other_half():
    """Shares of months by even years against odd years: the difference over its error by the spread of years stays within what chance gives."""
    c = climate(deployment(), invented(20, seed=5), 12, UTC)
    each = c.by_year[:20].astype(float)
    share = each[..., 0] / each.sum(axis=-1)
    even, odd = share[::2], share[1::2]
    error = np.sqrt(even.var(axis=0, ddof=1) / len(even) + odd.var(axis=0, ddof=1) / len(odd))
    off = np.abs(even.mean(axis=0) - odd.mean(axis=0)) / error
    most = stats.t.ppf(1.0 - 0.01 / 24.0, 18)  # twelve months at once, one chance in a hundred
    assert off.max() < most
    assert np.count_nonzero(off > stats.t.ppf(0.95, 18)) <= 4  # of 12 at one in ten: more than 4 in 4 of 1000
    assert by_months(c)


def test_storms_are_told_apart_and_whole_knots_are_taken_by_the_middle_of_their_step():
    hours = 24 * 365 * 10
    gust = np.full(hours, 5.0)
    storms = [(1000 * k, 20.0 + k % 7) for k in range(1, 80)]
    for at, top in storms:
        gust[at : at + 6] = [top - 3, top - 1, top, top, top - 2, top - 6]
    p = peaks_of(gust, hours)
    wanted = sorted((top for _, top in storms), reverse=True)
    assert len(p.excess) == sum(t > p.over for t in wanted)
    assert p.over % 1.0 == pytest.approx(0.5)
    assert p.years == pytest.approx(hours / 8765.82)
    rising = gust.copy()
    rising[5000:5100] = np.linspace(
        20, 40, 100
    )  # four days of rising wind: one storm or two, never one for each hour
    found = peaks_of(rising, hours)
    assert found.excess[0] + found.over == 40.0
    assert np.count_nonzero(found.excess + found.over > 26.0) <= 2


def test_annual_maxima_are_those_of_whole_years_of_the_clock():
    h = hours_of(invented(3))
    cal = calendar(h.first, len(h), UTC)
    found = annual_maxima(h, cal.year)
    assert set(found) == {2014, 2015, 2016}
    assert found[2015] == np.nanmax(h.gust[8760 : 2 * 8760])


def test_fewer_than_ten_years_are_refused():
    with pytest.raises(extremes.ExtremesError, match="9 whole years"):
        gumbel([20.0 + k for k in range(9)], [10])
    with pytest.raises(extremes.ExtremesError, match=r"8\.5 years"):
        pareto(Peaks(10.0, np.ones(40), 8.5), [10])
