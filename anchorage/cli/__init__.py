"""The command line: a class a command. ``main`` is the way in; nothing heavy is imported before a command is known."""

from __future__ import annotations

from collections.abc import Sequence


def main(argv: Sequence[str] | None = None) -> int:
    """Run one command; the exit code is that of :mod:`anchorage.cli.entry`."""
    from anchorage.cli import entry  # noqa: PLC0415 - the face stays light

    return entry.main(argv)
