"""Every path that a command is given, looked at before any work: what is read is never written, and an ending says what is written."""

from __future__ import annotations

import argparse
import os
from pathlib import Path

from anchorage.cli.commands import DEPLOYMENTS, Command
from anchorage.cli.common import CommandError
from anchorage.core.outputs import check
from anchorage.core.say import say
from anchorage.core.textfile import exists, is_folder


def inputs(command: Command, args: argparse.Namespace) -> list[str]:
    """The files and folders that a run of a command reads, as they were typed; standard input is none."""
    found: list[str] = []
    for dest in command.reads:
        said = getattr(args, dest, None)
        found += said if isinstance(said, list) else [] if said is None else [said]
    return [p for p in found if p != "-"]


def settle(command: Command, args: argparse.Namespace) -> None:
    """Refuse the paths that may not be written to. Raises ``AnchorageError``."""
    many = getattr(args, "folder", None)
    read = [
        p for p in inputs(command, args) if not _same_folder(p, many)
    ]  # a table may stand beside what it is of
    force = bool(getattr(args, "force", False))
    for dest, endings in command.writes.items():
        path = getattr(args, dest, None)
        if path is None or path == "-":
            continue
        if Path(path).suffix.lower() not in endings:
            flag = {"output": "-o ", "file": ""}.get(dest, f"--{dest} ")
            raise CommandError(
                say(
                    "{flag}{path}: the end of the name says what to write; one of {endings}",
                    flag=flag,
                    path=path,
                    endings=", ".join(endings),
                )
            )
        if many is not None and _weather_of(path, many, inputs(command, args)):
            raise CommandError(
                say(
                    "{path}: that is where the forecast for one of the files stands; give another name",
                    path=path,
                )
            )
        if endings == DEPLOYMENTS and not force and exists(path):
            continue  # a new file is never put in the place of another: that is said when it is written
        check(path, read, over=force)


def _same_folder(path: str, folder: str | None) -> bool:
    return folder is not None and os.path.realpath(path) == os.path.realpath(folder)


def _weather_of(path: str, folder: str, forecasts: list[str]) -> bool:
    """Whether an output has the name of the forecast for a deployment of a folder."""
    out = Path(path)
    there = any(is_folder(f) and f != folder and _same_folder(str(out.parent), f) for f in forecasts)
    return there and exists(Path(folder) / f"{out.stem}.toml")
