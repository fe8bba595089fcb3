"""``python -m tests.fuzz --cases 100000 --seed 1``: the cases shared out among the readers, or all for one."""

from __future__ import annotations

import argparse
import sys
import time
from pathlib import Path

from .readers import READERS
from .run import SECONDS, campaign


def main() -> int:
    """Run; 1 if anything broke."""
    p = argparse.ArgumentParser(prog="python -m tests.fuzz", description=__doc__)
    p.add_argument("--cases", type=int, default=10_000, help="in all, or of each reader that is named")
    p.add_argument("--seed", type=int, default=1)
    p.add_argument("--begin", type=int, default=0, help="number of the first case")
    p.add_argument(
        "--reader", action="append", choices=READERS, help="only this one; may be given several times"
    )
    p.add_argument("--seconds", type=float, default=SECONDS, help="processor time of one case")
    p.add_argument("--minutes", type=float, default=600.0, help="begin no further reader after this")
    p.add_argument(
        "--skip", type=int, default=0, help="so many of the readers, in their order, were run before"
    )
    p.add_argument("--keep", type=Path, help="folder for what breaks a reader")
    args = p.parse_args()
    names, broken, started = args.reader or list(READERS)[args.skip :], 0, time.monotonic()
    total = sum(READERS[n].share for n in READERS)
    for name in names:
        if time.monotonic() - started > 60 * args.minutes:
            print(f"{name}: left out, the time is over")
            continue
        cases = args.cases if args.reader else max(1, round(args.cases * READERS[name].share / total))
        tally = campaign(name, cases, args.seed, seconds=args.seconds, keep=args.keep, begin=args.begin)
        print(tally, flush=True)
        for where, what in tally.found.items():
            print(f"  BROKEN {where}: {what}", flush=True)
        broken += len(tally.found)
    return 1 if broken else 0


if __name__ == "__main__":
    sys.exit(main())
