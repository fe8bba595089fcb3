"""``anchorage tui [FILE] [--web]``: in the terminal, or for a browser on the same machine."""

from __future__ import annotations

import argparse
import importlib
import shlex
import sys
from pathlib import Path

from anchorage.errors import AnchorageError

LOCAL = ("127.0.0.1", "localhost", "::1")


class TuiError(AnchorageError):
    """The interface cannot be started."""


def add_arguments(p: argparse.ArgumentParser) -> None:
    """What can be typed after ``tui``."""
    p.add_argument(
        "file", metavar="FILE", nargs="?", help="deployment file; one that is not there yet is begun"
    )
    p.add_argument("--web", action="store_true", help="serve it to a browser instead (needs the extra: web)")
    p.add_argument(
        "--host", default="127.0.0.1", help="address to serve on; anything but this machine has no password"
    )
    p.add_argument("--port", type=int, default=8000, help="port to serve on")


def tui(args: argparse.Namespace) -> tuple[int, str]:
    """Run the interface; the exit code is 0 when it was left."""
    path = None if args.file is None else Path(args.file)
    if path is not None and path.is_dir():
        raise TuiError(f"{args.file}: it is a folder; give the path of a deployment file")
    if args.web:
        return _serve(args)
    if not (sys.stdin.isatty() and sys.stderr.isatty()):  # Textual draws on standard error
        raise TuiError("tui: it needs a terminal; in a pipe use  anchorage check FILE")
    from tui.app import AnchorageApp  # noqa: PLC0415 - textual comes with it

    app = AnchorageApp(path)
    app.run()
    return (app.return_code or 0), ""


def _serve(args: argparse.Namespace) -> tuple[int, str]:
    try:
        server = importlib.import_module("textual_serve.server")
    except ImportError:
        raise TuiError("tui --web: install the extra first:  pip install 'shelter-anchorage[web]'") from None
    if args.host not in LOCAL:
        print(
            f"WARNING: served on {args.host} without a password or encryption: anybody who reaches this address can read and change files as you.",
            file=sys.stderr,
        )
    words = [sys.executable, "-m", "anchorage", "tui", *(["--", args.file] if args.file else [])]
    server.Server(shlex.join(words), host=args.host, port=args.port, title="anchorage").serve()
    return 0, ""
