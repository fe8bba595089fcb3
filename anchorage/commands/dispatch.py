"""One function a command: arguments in, exit code and text out. Only the module of the command typed is imported."""

from __future__ import annotations

import argparse
import importlib
from collections.abc import Callable

from anchorage.commands.common import Outcome

COMMANDS = {
    "demo": "anchorage.commands.judge",
    "check": "anchorage.commands.judge",
    "limit": "anchorage.commands.judge",
    "outlook": "anchorage.commands.outlook",
    "chance": "anchorage.commands.chance",
    "sheet": "anchorage.commands.paper",
    "pack": "anchorage.commands.paper",
    "log": "anchorage.commands.record",
    "now": "anchorage.commands.record",
    "fleet": "anchorage.commands.fleet",
    "region": "anchorage.commands.region",
    "new": "anchorage.newfile",
    "tui": "tui.command",
    "formula": "anchorage.commands.formula",
    "sources": "anchorage.commands.register",
    "defaults": "anchorage.commands.register",
    "glossary": "anchorage.commands.register",
    "schema": "anchorage.commands.register",
}
"""Command -> module; the function there has the name of the command."""


def run(args: argparse.Namespace) -> Outcome:
    """Run the command that was typed. Raises ``AnchorageError`` for what it refuses."""
    act: Callable[[argparse.Namespace], Outcome] = getattr(
        importlib.import_module(COMMANDS[args.command]), args.command
    )
    return act(args)
