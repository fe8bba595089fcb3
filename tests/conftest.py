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
