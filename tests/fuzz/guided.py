"""The same readers led by coverage: ``python -m tests.fuzz.guided --reader taf --cases 100000``. It needs atheris, in an
environment of its own (``pip install atheris`` beside the program); nothing else needs it.

What is new to the program is kept as a seed for what follows; half of the changes are ours, half those of libFuzzer.
"""

from __future__ import annotations

import argparse
import random
import sys
import tempfile
from pathlib import Path

import atheris  # type: ignore[import-not-found,unused-ignore]

with atheris.instrument_imports(include=["anchorage", "tui", "tomllib"]):
    from . import nasty
    from .readers import READERS
    from .run import SECONDS, TooLongError, bounded, guarded, place_of

FOUND: dict[str, str] = {}
COUNTS: dict[str, int] = {}


def main() -> None:
    """Run one reader; libFuzzer ends the process."""
    p = argparse.ArgumentParser(prog="python -m tests.fuzz.guided", description=__doc__)
    p.add_argument("--reader", choices=[n for n, r in READERS.items() if r.plain is not None], required=True)
    p.add_argument("--cases", type=int, default=100_000)
    p.add_argument("--seed", type=int, default=1)
    p.add_argument("--minutes", type=float, default=5.0)
    args = p.parse_args()
    reader = READERS[args.reader]
    good, plain = reader.good(), reader.plain
    assert plain is not None

    def one(raw: bytes) -> None:
        try:
            with bounded(5 * SECONDS, 600.0):
                outcome = plain(raw)
        except (Exception, TooLongError) as e:  # noqa: BLE001 - whatever breaks is what is looked for
            outcome, where = "BROKEN", place_of(e)
            if where not in FOUND:
                FOUND[where] = repr(e)[:300]
                print(f"  BROKEN {where}: {e!r:.300} by {raw[:300]!r}", flush=True)
        COUNTS[outcome] = COUNTS.get(outcome, 0) + 1
        if sum(COUNTS.values()) % max(args.cases // 4, 1) == 0:  # libFuzzer leaves no time at the end
            print(
                f"{args.reader}: {sum(COUNTS.values())} cases led by coverage, seed {args.seed}: {COUNTS}",
                flush=True,
            )

    def change(raw: bytes, most: int, seed: int) -> bytes:
        rng = random.Random(seed)  # noqa: S311 - repeatable is what is wanted
        if rng.random() < 0.5:
            return bytes(atheris.Mutate(raw, most))
        return nasty.mutated(raw or rng.choice(good), reader.kind, rng, rng.choice(good))[:most]

    with tempfile.TemporaryDirectory() as folder, guarded():
        for i, raw in enumerate(good):
            (Path(folder) / f"{i}").write_bytes(raw)
        atheris.Setup([sys.argv[0], folder, f"-runs={args.cases}", f"-seed={args.seed}", f"-max_total_time={round(60 * args.minutes)}", "-max_len=20000", "-verbosity=0", "-rss_limit_mb=2000"],
                      one, custom_mutator=change)  # fmt: skip
        atheris.Fuzz()


if __name__ == "__main__":
    main()
