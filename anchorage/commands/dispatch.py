"""One function a command: arguments in, exit code and text out. The only place that imports the rest at once."""

from __future__ import annotations

import argparse
from collections.abc import Callable

from anchorage.commands import formula, judge, register
from anchorage.commands.common import Outcome
from anchorage.commands.outlook import outlook
from anchorage.newfile import new

COMMANDS: dict[str, Callable[[argparse.Namespace], Outcome]] = {
    "demo": judge.demo,
    "check": judge.check,
    "limit": judge.limit,
    "outlook": outlook,
    "new": new,
    "formula": formula.formula,
    "sources": register.sources,
    "schema": register.schema,
}


def run(args: argparse.Namespace) -> Outcome:
    """Run the command that was typed. Raises ``AnchorageError`` for what it refuses."""
    return COMMANDS[args.command](args)
