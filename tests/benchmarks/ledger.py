"""What was measured in a run, each beside its anchor: told at the end, side by side.

An anchor is work of the same kind in the same run, so that a slow machine fails nothing: a Python that only imports numpy, pint with its
registry and pydantic; a loop of small array operations (``test_check_benchmark.workload``); a bare app.
"""

from typing import NamedTuple


class Row(NamedTuple):
    what: str
    took: float
    anchor: str
    anchor_took: float
    most: float | None

    @property
    def ratio(self) -> float:
        return self.took / self.anchor_took


ROWS: list[Row] = []


def told(what: str, took: float, anchor: str, anchor_took: float, most: float | None = None) -> float:
    """Put it into the list; the ratio. took, anchor_took (s of processor time); most: the ratio that it may have."""
    ROWS.append(Row(what, took, anchor, anchor_took, most))
    return ROWS[-1].ratio


def lines() -> list[str]:
    """The list as a table."""
    out = [f"{'':44}{'ms':>9}  {'anchor':38}{'ms':>9}{'ratio':>8}{'at most':>9}"]
    for r in ROWS:
        most = "" if r.most is None else f"{r.most:.2f}"
        out.append(f"{r.what[:43]:44}{r.took * 1e3:9.1f}  {r.anchor[:37]:38}{r.anchor_took * 1e3:9.1f}{r.ratio:8.2f}{most:>9}")  # fmt: skip
    return out
