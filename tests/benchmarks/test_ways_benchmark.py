"""How long a whole comparison of ways takes: processor times, taken in turn, the median of several.

At most thirty plans of the same deployment; one that takes less than a check may (``test_check_benchmark``) counts as long as that, so that
a plan which got faster asks no more of the list.
"""

import statistics
import time
from pathlib import Path

import pytest
from ledger import told
from test_check_benchmark import CHECK_S, REFERENCE_S, workload

from anchorage.deployment.reader import read_file
from anchorage.judging.plan import assess
from anchorage.ways.compare import ways

DEMOS = Path(__file__).parents[2] / "anchorage" / "demo"
PLANS = 30


@pytest.mark.parametrize("name", ["asphalt", "clay", "mixed", "winter"])
def test_a_whole_list_takes_no_longer_than_thirty_plans(name):
    d = read_file(DEMOS / f"{name}.toml")
    ways(assess(d))  # tables and solver are loaded once
    reference = workload()
    plans, lists, references = [], [], []
    for _ in range(5):
        start = time.process_time()
        a = assess(d)
        between = time.process_time()
        ways(a)
        after = time.process_time()
        reference()
        plans.append(between - start)
        lists.append(after - between)
        references.append(time.process_time() - after)
    plan, whole, anchor = map(statistics.median, (plans, lists, references))
    may = anchor * CHECK_S / REFERENCE_S
    ratio = told(
        f"list of ways, {name}", whole, "plan of it, or what a check may take", max(plan, may), PLANS
    )
    assert ratio < PLANS, f"{ratio:.1f} plans"
