"""How far the counts stand from a careful engineer's: python -m tests.benchmarks.trade FOLDER

FOLDER holds spec.csv (file, what, pounds, units) and for each of its rows NN-min.toml and NN-full.toml. The count is the least that
holds the gust with its margin, without the share that operating keeps back. It is judgement against judgement: a yardstick, no test.
"""

from __future__ import annotations

import csv
import json
import statistics
import subprocess
import sys
import tomllib
from pathlib import Path
from typing import Any

POUND = 0.45359237


def checked(path: Path) -> dict[str, Any] | str:
    """The Plan of a file as JSON, or the first line of what is wrong with it."""
    found = subprocess.run(
        [sys.executable, "-m", "anchorage", "check", str(path), "--json"],
        capture_output=True, text=True, check=False,
    )  # fmt: skip
    return json.loads(found.stdout) if found.stdout else found.stderr.splitlines()[0]


def pounds(plan: dict[str, Any]) -> tuple[float | None, float | None]:
    """Mass (lb) of the count that holds the gust empty; and of the low end of the range, where one is given."""
    mass = plan["anchorage"]["unit_mass_kg"] / POUND
    total = next(
        (
            a["total"]
            for a in plan["alternatives"]
            if a.get("use", a["subject"]) in ("empty", "stay up empty")
        ),
        None,
    )
    least = (plan.get("range") or {}).get("least_units")
    return None if total is None else total * mass, None if least is None else least * mass


SMALL = 4.0
"""lb: a unit so small that no point gets more of it than it needs."""


def in_small_units(path: Path) -> float | None:
    """The same (lb) in units of 4 lb of the same stuff: what is more than that comes of the size of the unit and of one at each foot."""
    from anchorage.core import tables
    from anchorage.deployment.reader import read_data
    from anchorage.judging.plan import make_plan

    data = tomllib.loads(path.read_text(encoding="utf-8"))
    listed = tables.table("ballast-mass").by_key.get(data["anchorage"].get("unit", ""))
    if listed is None:
        return None
    data["anchorage"] |= {"unit": "small", "unit_mass": f"{SMALL} lb", "unit_material": listed.material}
    total = next(
        (a.total for a in make_plan(read_data(data, path.name)).alternatives if a.use == "empty"), None
    )
    return None if total is None else SMALL * total


def main(folder: Path) -> int:
    """A line a file, then median and range of the ratios, min and full apart."""
    with (folder / "spec.csv").open(encoding="utf-8") as f:
        rows = list(csv.DictReader(f))
    ratios: dict[str, list[float]] = {"full": [], "full, in small units": [], "min": [], "min, low end": []}
    for row in rows:
        for kind in ("full", "min"):
            path = folder / f"{row['file']}-{kind}.toml"
            plan = checked(path)
            if isinstance(plan, str):
                print(f"{path.name:14} {plan}")
                continue
            mine, least = pounds(plan)
            words = [f"{path.name:14} {row['what']:42} engineer {float(row['pounds']):6.0f} lb"]
            more = (
                ("min, low end", least) if kind == "min" else ("full, in small units", in_small_units(path))
            )
            for name, value in ((kind, mine), more):
                if value is not None:
                    ratio = value / float(row["pounds"])
                    ratios[name].append(ratio)
                    words.append(f"{name} {value:6.0f} lb = {ratio:.2f}" + (" UNDER 1" if ratio < 1 else ""))
            ask = next((x["text"] for x in plan.get("to_find_out", [])), "")
            print("  ".join(words), f" first: {ask[:60]}" if ask else "")
    for kind, found in ratios.items():
        if found:
            print(
                f"{kind}: n = {len(found)}, median {statistics.median(found):.2f}, {min(found):.2f} to {max(found):.2f}"
            )
    return 0


if __name__ == "__main__":
    sys.exit(main(Path(sys.argv[1])))
