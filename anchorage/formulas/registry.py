"""Every formula by its name."""

from __future__ import annotations

import importlib
import pkgutil

import anchorage.formulas
from anchorage.formulas.working import REGISTRY, Formula


def formulas() -> dict[str, Formula]:
    """Every formula, by name; all modules of formulas are imported for it."""
    for module in pkgutil.iter_modules(anchorage.formulas.__path__):
        importlib.import_module(f"anchorage.formulas.{module.name}")
    return REGISTRY
