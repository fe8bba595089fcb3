"""How long a check takes, as a ratio to work of the same kind in the same run, so that a slow machine fails nothing.

Times are processor times: what else runs on the machine does not count. Each is the median of several runs, and the
two that are compared take turns, so that a change of clock speed falls on both.

Calibration: one reference workload (500 rounds of the small array operations that a check is made of, 224 load cases by
10 points) took 11.3 ms of processor time on the two-core machine of November 2026 on which the bounds were agreed:
15 ms for a check, 2 s for a million gusts. The bounds are kept as multiples of that workload.
"""

import statistics
import subprocess
import sys
import time
import tracemalloc
from pathlib import Path

import numpy as np
from ledger import told
from strategies import GABLE, ON_LINES, THROUGH_FEET, Q, read, toml, with_

from anchorage.checks.checks import ratio, ratios
from anchorage.checks.installation import assemble
from anchorage.formulas.working import _STATE
from anchorage.judging.plan import make_plan

REFERENCE_S = 11.3e-3
CHECK_S, MILLION_S, MILLION_BYTES = 15e-3, 2.0, 2**30
COLD, COLD_MB, SHEET = 1.1, 70, 2.0
LOOP, BARE = "reference loop", "numpy, pint, pydantic imported"
IMPORTS = "import numpy, pydantic, pint; pint.UnitRegistry().Quantity(1.0, 'mile / hour').m_as('m/s')"
ROOT = Path(__file__).parents[2]


def workload():
    rng = np.random.default_rng(0)
    a, b = rng.uniform(size=(224, 10)), rng.uniform(size=(224, 1))

    def once():
        for _ in range(500):
            np.maximum(a * b - 0.1, 0.0).sum(-1)
            np.where(a > b, a, b)

    return once


def turns(*what, rounds):
    """Median processor time (s) of each, taken in turn."""
    times = [[] for _ in what]
    for _ in range(rounds):
        for run, taken in zip(what, times, strict=True):
            start = time.process_time()
            run()
            taken.append(time.process_time() - start)
    return [statistics.median(t) for t in times]


def placed(file, count):
    rating = {"gust_unlocked": Q("speed", 18.0), "gust_locked": Q("speed", 25.0)}
    return read(with_(file, anchorage__placed=count, shelter__points_per_end=2, shelter__rating=rating))


def test_one_check_takes_no_longer_than_it_may():
    """The plain file as it stands, working off."""
    assert _STATE.get() is None
    d = placed(GABLE, 40)
    make_plan(d)  # tables are read once
    check, reference = turns(lambda: make_plan(d), workload(), rounds=25)
    most = CHECK_S / REFERENCE_S
    times = told("one check, the plain file", check, LOOP, reference, most)
    assert times < most, f"{check * 1e3:.1f} ms, reference {reference * 1e3:.1f} ms"


def test_a_check_of_stakes_takes_no_longer_than_three():
    for file in (ON_LINES, THROUGH_FEET):
        d = placed(file, 12)
        make_plan(d)
        check, reference = turns(lambda: make_plan(d), workload(), rounds=9)  # noqa: B023 - run at once
        most = 3 * CHECK_S / REFERENCE_S
        times = told("one check of stakes", check, LOOP, reference, most)
        assert times < most, f"{check * 1e3:.1f} ms, {reference * 1e3:.1f} ms"


def test_a_million_gusts_at_once():
    x = assemble(placed(GABLE, 40))
    found = x.limits()
    gusts = np.linspace(0.0, 60.0, 1_000_000)
    pressures = x.wind.pressure_per_gust_squared * gusts**2
    (took, reference) = turns(lambda: ratios(found, pressures), workload(), rounds=3)
    most = MILLION_S / REFERENCE_S
    times = told("a million gusts at once", took, LOOP, reference, most)
    assert times < most, f"{took:.2f} s, reference {reference * 1e3:.1f} ms"
    tracemalloc.start()
    try:
        out = ratios(found, pressures)
        peak = tracemalloc.get_traced_memory()[1]
    finally:
        tracemalloc.stop()
    assert peak < MILLION_BYTES
    assert len(out) == sum(not f.fixed for f in found)
    for f in found:
        if not f.fixed:
            assert out[f.name].shape == gusts.shape
            assert out[f.name][777_777] == ratio(f, float(pressures[777_777]))


def test_many_gusts_take_time_in_proportion():
    x = assemble(placed(GABLE, 40))
    found = x.limits()
    few, many = (x.wind.pressure_per_gust_squared * np.linspace(1.0, 60.0, n) ** 2 for n in (1_000, 100_000))
    one, hundred = turns(
        lambda: [ratios(found, few) for _ in range(100)], lambda: ratios(found, many), rounds=5
    )
    assert hundred < 2 * one


def spent(*args):
    """Processor time (s) of a new Python with what it runs."""
    import resource

    before = resource.getrusage(resource.RUSAGE_CHILDREN)
    done = subprocess.run([sys.executable, *args], cwd=ROOT, capture_output=True, text=True, check=False)
    after = resource.getrusage(resource.RUSAGE_CHILDREN)
    assert "Traceback" not in done.stderr, done.stderr
    return after.ru_utime + after.ru_stime - before.ru_utime - before.ru_stime, done.returncode


def test_the_command_starts_in_time(tmp_path):
    """``anchorage check FILE`` cold, against a Python that only imports numpy, pint with its registry, and pydantic.

    Both with what they import compiled already, as after a first run.
    """
    file = tmp_path / "file.toml"
    file.write_text(toml(with_(GABLE, anchorage__placed=40)), encoding="utf-8")
    checks, imports = [], []
    for _ in range(10):
        took, code = spent("-m", "anchorage", "check", str(file))
        assert code in (0, 1, 3)
        checks.append(took)
        took, code = spent("-c", IMPORTS)
        assert code == 0
        imports.append(took)
    check, base = statistics.median(checks[1:]), statistics.median(imports[1:])  # the first fills the caches
    times = told("check FILE, a process of its own", check, BARE, base, COLD)
    assert times < COLD, f"{check:.2f} s against {base:.2f} s"


SET = """
import sys, time
from anchorage.cli import entry
from anchorage.paper import pdf
took, compiled = 0.0, pdf._compile
def _compile(*args):
    global took
    begun = time.process_time()
    try:
        return compiled(*args)
    finally:
        took += time.process_time() - begun
pdf._compile = _compile
entry.main(["sheet", *sys.argv[1:]])
print(time.process_time(), took)
"""


def test_a_sheet_takes_no_longer_than_two_checks_and_its_typesetting(tmp_path):
    """Each in a process of its own."""
    file = tmp_path / "file.toml"
    file.write_text(toml(with_(GABLE, anchorage__placed=40)), encoding="utf-8")
    checks, sheets = [], []
    for i in range(5):
        checks.append(spent("-m", "anchorage", "check", str(file))[0])
        done = subprocess.run([sys.executable, "-c", SET, str(file), "-o", str(tmp_path / f"{i}.pdf")], cwd=ROOT, capture_output=True, text=True, check=True)  # fmt: skip
        whole, typeset = map(float, done.stdout.split()[-2:])
        assert typeset > 0
        sheets.append(whole - typeset)
    check, sheet = statistics.median(checks[1:]), statistics.median(sheets[1:])
    times = told("sheet -o PDF without its typesetting", sheet, "check FILE, a process of its own", check, SHEET)  # fmt: skip
    assert times < SHEET, f"{sheet:.2f} s against {check:.2f} s"


def most_memory(*args):
    """Most memory (MB) that a new Python with what it runs had at a time."""
    code = "import resource, subprocess, sys; subprocess.run(sys.argv[1:], stdout=subprocess.DEVNULL, check=False); print(resource.getrusage(resource.RUSAGE_CHILDREN).ru_maxrss)"
    done = subprocess.run([sys.executable, "-S", "-c", code, sys.executable, *args], cwd=ROOT, capture_output=True, text=True, check=True)  # fmt: skip
    return int(done.stdout) / 1024


def test_the_memory_of_a_check(tmp_path):
    file = tmp_path / "file.toml"
    file.write_text(toml(with_(GABLE, anchorage__placed=40)), encoding="utf-8")
    check = most_memory("-m", "anchorage", "check", str(file))
    base = most_memory("-c", IMPORTS)
    print(f"check {check:.0f} MB, bare imports {base:.0f} MB: {check / base:.2f} times, at most {COLD_MB} MB")
    assert check < COLD_MB
