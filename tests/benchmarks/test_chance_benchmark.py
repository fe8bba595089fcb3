"""Chances in numbers: against openturns, against quantities with units throughout, against plain copying, and in growth.

Times are processor times; what is compared takes turns within one run.
"""

import subprocess
import sys
import time
from pathlib import Path
from statistics import median

import numpy as np
import openturns as ot
import pint
import pytest
from limit_states import openturns_event

from anchorage.chance.chance import Sampler, _sample
from anchorage.chance.uncertain import Model
from anchorage.checks.installation import assemble
from anchorage.deployment.reader import read_file
from anchorage.formulas.working import REGISTRY

GUST = 16.0
ROOT = Path(__file__).parents[2]
DEMO = ROOT / "anchorage" / "demo" / "asphalt.toml"


@pytest.fixture(scope="module")
def sampler():
    return Sampler(assemble(read_file(DEMO)), 1)


def spent(run):
    start = time.process_time()
    found = run()
    return time.process_time() - start, found


def theirs(model, size):
    """Seconds a sample, and how many of a sample fail, by openturns on every limit state of a model's load cases."""
    f, law = openturns_event(model, GUST)
    ot.RandomGenerator.SetSeed(11)
    drawn = law.getSample(size)
    took, values = spent(lambda: np.asarray(f(drawn)).min(axis=1))
    return took / size, float((values < 0).mean())


def test_a_million_draws_against_openturns_on_the_same_limit_states(sampler):
    """All 224 load cases of the demo in openturns; ours finds by itself the few that can govern, and is audited on it.

    Where openturns is handed only those few as well, it is told what we had to find out: printed beside it.
    """
    n = 1_000_000
    took, (held, _) = spent(lambda: _sample(sampler, n))
    ours, p = took / n, float((held < GUST).mean())
    every, p_every = theirs(Model(sampler.x), 4_000)
    few, p_few = theirs(sampler.model, 40_000)
    print(
        f"\nours {ours * 1e6:.1f} us a draw, openturns {every * 1e6:.0f} on all cases, {few * 1e6:.1f} on ours"
    )
    for found, size in ((p_every, 4_000), (p_few, 40_000)):
        assert abs(found - p) < 3 * np.sqrt(p * (1 - p) * (1 / n + 1 / size))
    assert every > 5 * ours


def test_a_thousand_cases_against_quantities_with_units_throughout():
    """A chain of one face - pressure, force, uplift, weight, limit - on 1,000 cases: plain arrays against arrays of pint.

    Both run the bare functions. Beside it, printed: with our range checks, and pint a case at a time.
    """
    ureg = pint.UnitRegistry()
    rng = np.random.default_rng(3)
    names = ("net_pressure", "panel_force", "case_uplift", "vertical_resistance", "limit")
    formulas = [REGISTRY[n] for n in names]
    values = {f.name: [rng.uniform(0.2, 0.9, 1_000) for _ in f.names] for f in formulas}
    units = {
        f.name: [ureg.Unit("dimensionless" if u == "1" else u) for _, u in f.arguments.values()]
        for f in formulas
    }

    def plain():
        return [f.fn(*values[f.name]) for f in formulas]

    def checked():
        return [f(*values[f.name]) for f in formulas]

    def arrays():
        return [f.fn(*(v * u for v, u in zip(values[f.name], units[f.name], strict=True))) for f in formulas]

    def one_by_one():
        for f in formulas:
            for row in zip(*values[f.name], strict=True):
                f.fn(*(v * u for v, u in zip(row, units[f.name], strict=True)))

    for a, b, c in zip(plain(), checked(), arrays(), strict=True):
        np.testing.assert_allclose(a, c.magnitude, rtol=1e-12)
        assert np.array_equal(a, b)
    ours, ranged = (median(spent(run)[0] for _ in range(300)) for run in (plain, checked))
    whole = median(spent(arrays)[0] for _ in range(60))
    each = spent(one_by_one)[0]
    print(
        f"\nplain {ours * 1e6:.0f} us; arrays of quantities {whole / ours:.0f} times that, {whole / ranged:.0f} times ours with "
        f"range checks; quantities one by one {each / ours:.0f} times"
    )
    assert whole > 20 * ours


def test_how_far_it_is_from_plain_copying(sampler):
    """A numpy copy of the arrays that a draw must at least fill - demands and limits of every check - in the same run.

    The floor is no goal: each of some forty steps reads and writes such an array. Fails at ten copies a step.
    """
    rows = sampler.rows
    cases, points = len(sampler.model.base.cases.names), len(sampler.x.base.ids)
    cells = rows * cases * (2 * points + 2 * 4 + 4 + 2)
    source, target = np.ones(cells), np.empty(cells)
    n = 40 * rows
    took = spent(lambda: _sample(sampler, n))[0] / 40
    floor = median(spent(lambda: np.copyto(target, source))[0] for _ in range(60))
    print(f"\n{took / floor:.0f} times a copy of {8 * cells / 1e6:.1f} MB")
    assert took < 400 * floor


def test_time_grows_no_faster_than_the_draws(sampler):
    few = min(spent(lambda: _sample(sampler, 20_000))[0] for _ in range(3))
    many = spent(lambda: _sample(sampler, 400_000))[0]
    assert many < 20 * few * 1.25


def test_ten_million_draws_stay_under_a_gibibyte():
    """Peak resident memory of a new Python that draws 10 million, less what the imports and one small run take."""
    code = (
        "import resource, sys\n"
        "from anchorage.checks.installation import assemble\nfrom anchorage.chance.chance import chance_of\n"
        "from anchorage.deployment.reader import read_file\nfrom pathlib import Path\n"
        f"x = assemble(read_file(Path({str(DEMO)!r})))\n"
        "chance_of(x, samples=int(sys.argv[1]))\n"
        "print(resource.getrusage(resource.RUSAGE_SELF).ru_maxrss)\n"
    )
    peaks = []
    for n in (2_000, 400_000):
        done = subprocess.run(
            [sys.executable, "-c", code, str(n)], cwd=ROOT, capture_output=True, text=True, check=True
        )
        peaks.append(int(done.stdout) * 1024)
    a_draw = max((peaks[1] - peaks[0]) / 4e5, 24.0)  # three arrays of it are alive at once
    print(f"\n{peaks[0] / 2**20:.0f} MiB, and {a_draw:.0f} bytes a draw")
    assert peaks[0] + 1e7 * a_draw < 2**30
