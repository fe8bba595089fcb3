"""Hypothesis profiles: ``ci`` repeats itself run after run; ``night`` looks further and keeps what it finds.

``python -m pytest tests/properties --hypothesis-profile=night``
"""

import os
import tempfile

from hypothesis import HealthCheck, settings

# what the interface remembers (recent files, journals) never goes to the place of whoever runs the tests
os.environ["ANCHORAGE_STATE"] = tempfile.mkdtemp(prefix="anchorage-tests-")

SLOW = [HealthCheck.too_slow, HealthCheck.filter_too_much]
settings.register_profile("ci", derandomize=True, deadline=None, max_examples=60, suppress_health_check=SLOW)
settings.register_profile(
    "night", derandomize=False, deadline=None, max_examples=4000, print_blob=True, suppress_health_check=SLOW
)
settings.load_profile("ci")

LONGEST = ("test_never_better_by_worse", "test_second_reckoning", "test_tui_reach", "test_chance_properties")


def pytest_collection_modifyitems(items):
    """Those that take longest begin first, spread over the workers: at the end none waits for one."""
    n = int(os.environ.get("PYTEST_XDIST_WORKER_COUNT", "1"))
    long = [i for i in items if i.path.stem in LONGEST]
    rest = [i for i in items if i.path.stem not in LONGEST]
    each = -(-len(rest) // n)
    items[:] = [i for k in range(n) for i in (*long[k::n], *rest[k * each : (k + 1) * each])]
