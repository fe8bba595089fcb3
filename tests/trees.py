"""The sources of the program as trees, each parsed once in a process and not before a test asks for it."""

from __future__ import annotations

import ast
import functools
from pathlib import Path


@functools.cache
def tree(path: Path) -> ast.Module:
    """The tree of one file; nobody changes it."""
    return ast.parse(path.read_text(encoding="utf-8"))
