"""``anchorage tui [FILE] [--web]``: in the terminal, or for a browser on the same machine."""

from __future__ import annotations

import argparse
import os
import sys
from pathlib import Path

from anchorage.core.console import is_terminal
from anchorage.core.errors import AnchorageError
from anchorage.core.say import say
from anchorage.core.textfile import is_folder


class TuiError(AnchorageError):
    """The interface cannot be started."""


def tui(args: argparse.Namespace) -> tuple[int, str]:
    """Run the interface; the exit code is 0 when it was left."""
    path = None if args.file is None else Path(args.file)
    if path is not None and is_folder(path):
        raise TuiError(say("{file}: it is a folder; give the path of a deployment file", file=args.file))
    if args.web:
        from tui.serving import serve  # noqa: PLC0415 - an extra comes with it

        return serve(args.file, args.host, args.port, args.idle)
    served = bool(os.environ.get("TEXTUAL_DRIVER"))  # drawn for a browser: there is no terminal
    if not served and not (
        is_terminal(sys.stdin) and is_terminal(sys.stderr)
    ):  # Textual draws on standard error
        raise TuiError(say("tui: it needs a terminal; in a pipe use  anchorage check FILE"))
    from tui.app import AnchorageApp  # noqa: PLC0415 - textual comes with it

    app = AnchorageApp(path, asked=bool(args.languages))
    app.run()
    return (app.return_code or 0), ""
