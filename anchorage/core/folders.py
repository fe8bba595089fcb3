"""Folders that the program writes to, each where this system keeps such things: nothing goes into a folder of the user's unasked."""

from __future__ import annotations

import os
from pathlib import Path

NAME = "anchorage"


def state() -> Path:
    """What belongs to no file: work that has no name yet, files opened lately. ``ANCHORAGE_STATE`` names another folder."""
    return _folder("ANCHORAGE_STATE", "user_state_path")


def cache() -> Path:
    """What can be fetched again. ``ANCHORAGE_CACHE`` names another folder."""
    return _folder("ANCHORAGE_CACHE", "user_cache_path")


def _folder(variable: str, kind: str) -> Path:
    if base := os.environ.get(variable):
        return Path(base) / NAME
    from platformdirs import PlatformDirs  # noqa: PLC0415 - most commands write nothing of their own

    folder: Path = getattr(PlatformDirs(NAME, appauthor=False), kind)
    return folder
