"""One function a command: arguments in, exit code and text out. The only place that imports the rest at once."""

from __future__ import annotations

import argparse
from collections.abc import Callable

from anchorage.commands import formula, judge, register
from anchorage.commands.common import Outcome
from anchorage.commands.outlook import outlook
from anchorage.commands.paper import pack, sheet
from anchorage.newfile import new


def _log(args: argparse.Namespace) -> Outcome:
    from anchorage.commands.record import log  # noqa: PLC0415 - sqlite only for those who log

    return log(args)


def _now(args: argparse.Namespace) -> Outcome:
    from anchorage.commands.record import now  # noqa: PLC0415 - the same

    return now(args)


def _tui(args: argparse.Namespace) -> Outcome:
    from tui.command import run  # noqa: PLC0415 - textual only for those who want a screen

    return run(args)


COMMANDS: dict[str, Callable[[argparse.Namespace], Outcome]] = {
    "demo": judge.demo,
    "check": judge.check,
    "limit": judge.limit,
    "outlook": outlook,
    "sheet": sheet,
    "pack": pack,
    "log": _log,
    "now": _now,
    "new": new,
    "tui": _tui,
    "formula": formula.formula,
    "sources": register.sources,
    "schema": register.schema,
}


def run(args: argparse.Namespace) -> Outcome:
    """Run the command that was typed. Raises ``AnchorageError`` for what it refuses."""
    return COMMANDS[args.command](args)
