"""The factors of the units, drawn anew from pint: ``python tests/unit_factors.py``, after every change of ``core/unit_table.py``."""

from __future__ import annotations

import json
from fractions import Fraction
from pathlib import Path

import pint

from anchorage.core import units
from anchorage.core.unit_table import SPELLINGS

FILE = Path(units.__file__).with_name("unit_factors.json")


def by_pint() -> units.Factors:
    """The factors as pint has them."""
    registry = pint.UnitRegistry(str(Path(__file__).with_name("units.txt")), non_int_type=Fraction)

    def factor(unit: str, inside: str) -> tuple[Fraction, Fraction]:
        many, _, unit = unit.rpartition(" * ") if unit[0].isdigit() else ("1", "", unit)
        zero, one = (Fraction(registry.Quantity(Fraction(n), unit).m_as(inside)) for n in (0, int(many)))
        return one - zero, zero

    return {
        name: {unit: factor(unit, inside) for _, unit, _, _ in rows}
        for name, (inside, *_, rows) in SPELLINGS.items()
    }


def drawn() -> str:
    """The text of the file: of each unit the scale and the offset, as fractions."""
    found = {
        kind: {unit: [f"{part}" for part in pair] for unit, pair in of.items()}
        for kind, of in by_pint().items()
    }
    return json.dumps(found, indent=1) + "\n"


if __name__ == "__main__":
    FILE.write_text(drawn(), encoding="utf-8")
