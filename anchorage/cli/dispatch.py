"""One function a command: arguments in, exit code and text out. Only the module of the command typed is imported."""

from __future__ import annotations

import argparse
import importlib
from collections.abc import Callable

from anchorage.cli.common import Outcome

COMMANDS = {
    "demo": "anchorage.cli.judge",
    "check": "anchorage.cli.judge",
    "limit": "anchorage.cli.judge",
    "outlook": "anchorage.cli.outlook",
    "chance": "anchorage.cli.chance",
    "sheet": "anchorage.cli.paper",
    "pack": "anchorage.cli.paper",
    "log": "anchorage.cli.record",
    "now": "anchorage.cli.record",
    "fleet": "anchorage.cli.fleet",
    "region": "anchorage.cli.region",
    "new": "anchorage.cli.newfile",
    "tui": "tui.command",
    "formula": "anchorage.cli.formula",
    "sources": "anchorage.cli.register",
    "defaults": "anchorage.cli.register",
    "glossary": "anchorage.cli.register",
    "schema": "anchorage.cli.register",
}
"""Command -> module; the function there has the name of the command."""


def run(args: argparse.Namespace) -> Outcome:
    """Run the command that was typed. Raises ``AnchorageError`` for what it refuses."""
    act: Callable[[argparse.Namespace], Outcome] = getattr(
        importlib.import_module(COMMANDS[args.command]), args.command
    )
    return act(args)
