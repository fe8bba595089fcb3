"""A run: so many cases of a reader, each bounded in time and all in memory; what breaks is told once for each place where it breaks."""

from __future__ import annotations

import contextlib
import hashlib
import random
import re
import resource
import signal
import socket
import time
import traceback
import warnings
from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any, NoReturn

from .oracle import Broken
from .readers import READERS, Reader

SECONDS = 2.0
"""Of processor time for one case."""
LONG_S = 20.0
"""Of the clock: something waits that should not."""
GROWTH_MB = 250
"""By which the process may grow over a run of one reader."""


class TooLongError(BaseException):
    """A case that takes too long; no ``except Exception`` of a reader may swallow it."""


@dataclass
class Tally:
    """What came of a run."""

    reader: str
    outcomes: Counter[str] = field(default_factory=Counter)
    found: dict[str, str] = field(default_factory=dict)
    """Place -> number of the case and what broke."""
    seconds: float = 0.0
    slowest: float = 0.0

    @property
    def cases(self) -> int:
        """How many."""
        return sum(self.outcomes.values())

    def __str__(self) -> str:
        rate = self.cases / self.seconds if self.seconds else 0.0
        told = ", ".join(f"{k} {n}" for k, n in sorted(self.outcomes.items()))
        return f"{self.reader}: {self.cases} cases in {self.seconds:.0f} s ({rate:.0f}/s, slowest {self.slowest * 1e3:.0f} ms): {told}"


def _late(*_: object) -> NoReturn:
    raise TooLongError(f"more than {SECONDS} s")


@contextlib.contextmanager
def bounded(seconds: float, long_s: float) -> Iterator[None]:
    """Stop what takes longer than so much of the processor, or of the clock."""
    signal.setitimer(signal.ITIMER_PROF, seconds)
    signal.setitimer(signal.ITIMER_REAL, long_s)
    try:
        yield
    finally:
        signal.setitimer(signal.ITIMER_PROF, 0)
        signal.setitimer(signal.ITIMER_REAL, 0)


def _no_network(*_: Any, **__: Any) -> NoReturn:
    raise Broken("the network was asked")


@contextlib.contextmanager
def guarded() -> Iterator[None]:
    """No network, timers set up, warnings as for a user."""
    was = signal.signal(signal.SIGPROF, _late), signal.signal(signal.SIGALRM, _late)
    connect, socket.socket.connect = socket.socket.connect, _no_network  # type: ignore[method-assign]
    try:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")
            yield
    finally:
        socket.socket.connect = connect  # type: ignore[method-assign]
        signal.signal(signal.SIGPROF, was[0])
        signal.signal(signal.SIGALRM, was[1])


def memory_mb() -> float:
    """The most that the process has held."""
    return resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024


def place_of(e: BaseException) -> str:
    """Where something broke: the last line of the program itself, and of what."""
    frames = traceback.extract_tb(e.__traceback__)
    ours = [f for f in frames if "/anchorage/" in f.filename or "/tui/" in f.filename] or list(frames)
    last = ours[-1]
    own = re.sub(r"\d+", "0", str(e))[:60] if isinstance(e, Broken) else ""
    return f"{type(e).__name__} {own} at {Path(last.filename).name}:{last.lineno} {last.name}"


def case(reader: Reader, seed: int, number: int) -> tuple[bytes, str]:
    """One case, run: what was read, and the outcome."""
    rng = random.Random(f"{seed}:{reader.name}:{number}")  # noqa: S311 - repeatable is what is wanted
    good = reader.good()
    return reader.harm(reader.name, reader.kind, rng.choice(good), rng, rng.choice(good))


def campaign(
    name: str, cases: int, seed: int, *, seconds: float = SECONDS, keep: Path | None = None, begin: int = 0
) -> Tally:
    """Run the cases of a reader. keep: a folder for what breaks it."""
    reader, tally = READERS[name], Tally(name)
    reader.good()
    with guarded():
        before, started = memory_mb(), time.perf_counter()
        for number in range(begin, begin + cases):
            at = time.perf_counter()
            try:
                with bounded(seconds, max(LONG_S, 5 * seconds)):
                    outcome = case(reader, seed, number)[1]
            except (Exception, TooLongError) as e:  # noqa: BLE001 - whatever breaks is what is looked for
                outcome, where = "BROKEN", place_of(e)
                if where not in tally.found:
                    tally.found[where] = f"case {number}, seed {seed}: {e!r:.300}"
                    if keep is not None:
                        keep.mkdir(parents=True, exist_ok=True)
                        label = hashlib.sha256(where.encode()).hexdigest()[:10]
                        (keep / f"{name}-{seed}-{number}-{label}.txt").write_text(
                            f"{where}\n{traceback.format_exc()[-6000:]}"
                        )
                        (keep / f"{name}-{seed}-{number}-{label}.bin").write_bytes(
                            e.__dict__.get("case", b"")
                        )
            tally.outcomes[outcome] += 1
            tally.slowest = max(tally.slowest, time.perf_counter() - at)
        tally.seconds = time.perf_counter() - started
        if memory_mb() - before > GROWTH_MB:
            tally.found[f"memory {name}"] = f"grew from {before:.0f} to {memory_mb():.0f} MB"
    return tally
