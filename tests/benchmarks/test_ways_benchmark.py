"""How long a whole comparison of ways takes, in plans of the same deployment: processor times, taken in turn, the median of several."""

import statistics
import time
from pathlib import Path

import pytest

from anchorage.deployment.reader import read_file
from anchorage.judging.plan import assess
from anchorage.ways.compare import ways

DEMOS = Path(__file__).parents[2] / "anchorage" / "demo"
PLANS = 30


@pytest.mark.parametrize("name", ["asphalt", "clay", "mixed", "winter"])
def test_a_whole_list_takes_no_longer_than_thirty_plans(name):
    d = read_file(DEMOS / f"{name}.toml")
    ways(assess(d))  # tables and solver are loaded once
    plans, lists = [], []
    for _ in range(5):
        start = time.process_time()
        a = assess(d)
        between = time.process_time()
        ways(a)
        plans.append(between - start)
        lists.append(time.process_time() - between)
    ratio = statistics.median(lists) / statistics.median(plans)
    assert ratio < PLANS, f"{ratio:.1f} plans"
