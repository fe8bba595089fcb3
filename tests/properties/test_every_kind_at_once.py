"""Five hundred deployments of every kind, form and method, and on each of them what must hold of any installation."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from strategies import files, some, stand, worst_ratio

from anchorage.checks.checks import ratio, worst_pressure
from anchorage.formulas.velocity import speed_of_pressure


@some(2.0)
@given(files(placed=True, odd=True, extras=True), st.integers(0, 2**32 - 1))
def test_any_installation(file, seed):
    x = stand(file)
    found = [f for f in x.limits() if not f.fixed]
    rng = np.random.default_rng(seed)
    # permuting the load cases permutes the results
    order = rng.permutation(len(x.base.cases.names))
    for a, b in zip(found, [f for f in x.limits(on=x.base.take(order)) if not f.fixed], strict=True):
        assert a.name == b.name
        np.testing.assert_allclose(b.q, np.broadcast_to(a.q, (len(order), a.q.shape[-1]))[order], rtol=1e-9)
    # ratios grow with the square of the gust, and never fall with more wind
    q, k = x.wind.pressure, float(rng.uniform(1.0, 3.0))
    for f in found:
        one, more = ratio(f, q), ratio(f, q * k**2)
        assert more >= one
        assert one in (0.0, np.inf) or more == pytest.approx(one * k**2, rel=1e-12)
    # the limiting gust put back is just met, and a thousandth more is not
    least = worst_pressure(found)
    if 0 < least < np.inf:
        gust = speed_of_pressure(least, x.wind.pressure_per_gust_squared)
        assert worst_ratio(found, x.wind.pressure_per_gust_squared * gust**2) == pytest.approx(1.0, rel=1e-9)
        assert worst_ratio(found, x.wind.pressure_per_gust_squared * (1.001 * gust) ** 2) > 1.0
    # more at every point where something stands holds no less
    more = [f for f in x.limits(np.where(x.counts > 0, x.counts + 2, 0)) if not f.fixed]
    if x.deployment.site.slope == 0:  # on a slope weight pulls downhill as well
        assert worst_pressure(more) >= least * (1 - 1e-9)
