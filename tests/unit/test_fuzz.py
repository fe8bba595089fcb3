"""A short fixed run of ``tests/fuzz``: the same cases each time. ``python -m tests.fuzz`` looks further."""

import pytest
from fuzz.corpus import RECORDED
from fuzz.readers import READERS
from fuzz.run import campaign

CASES = {
    "deployment": 60, "draft": 100, "gridpoint-recorded": 20, "nbm-recorded": 100, "grid": 15, "arguments": 10, "ways": 30, "alerts": 60, "cap": 80,
    "public-text": 80, "record": 100,
}  # fmt: skip
"""Of the slower readers; 200 of the others."""


@pytest.mark.parametrize("name", READERS)
@pytest.mark.filterwarnings(
    "ignore::pytest.PytestUnraisableExceptionWarning"
)  # a library closing a damaged grid
def test_a_reader_takes_nothing_amiss(name):
    if name.endswith("-recorded") and not RECORDED.is_dir():
        pytest.skip("no recorded forecasts beside the repository")
    tally = campaign(name, CASES.get(name, 200), 1, seconds=10.0)
    assert not tally.found, (
        f"python -m tests.fuzz --reader {name} --seed 1 --cases 1 --begin N shows it again"
    )
    assert tally.outcomes["refused"] > 0
    assert tally.outcomes["refused"] < tally.cases, (
        "nothing but refusals: the harm is too great to find anything"
    )
