"""The factors of the units, drawn anew from pint: ``python tests/unit_factors.py``, after every change of ``core/unit_table.py``."""

from __future__ import annotations

import json
from pathlib import Path

from anchorage.core import units

FILE = Path(units.__file__).with_name("unit_factors.json")


def drawn() -> str:
    """The text of the file: of each unit the scale and the offset, as fractions."""
    found = {
        kind: {unit: [f"{part}" for part in pair] for unit, pair in of.items()}
        for kind, of in units.by_pint().items()
    }
    return json.dumps(found, indent=1) + "\n"


if __name__ == "__main__":
    FILE.write_text(drawn(), encoding="utf-8")
