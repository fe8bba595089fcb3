"""``anchorage tui [FILE] [--web]``: in the terminal, or for a browser on the same machine."""

from __future__ import annotations

import argparse
import importlib
import os
import shlex
import sys
from pathlib import Path
from typing import Any

from anchorage.core.console import is_terminal
from anchorage.core.errors import AnchorageError
from anchorage.core.plain import inert
from anchorage.core.textfile import is_folder

TEMPLATES = Path(__file__).parent / "web"
"""The page that the browser is given: nothing on it comes from elsewhere."""
LOCAL = ("127.0.0.1", "localhost", "::1")


class TuiError(AnchorageError):
    """The interface cannot be started."""


def tui(args: argparse.Namespace) -> tuple[int, str]:
    """Run the interface; the exit code is 0 when it was left."""
    path = None if args.file is None else Path(args.file)
    if path is not None and is_folder(path):
        raise TuiError(f"{args.file}: it is a folder; give the path of a deployment file")
    if args.web:
        return _serve(args)
    served = bool(os.environ.get("TEXTUAL_DRIVER"))  # drawn for a browser: there is no terminal
    if not served and not (
        is_terminal(sys.stdin) and is_terminal(sys.stderr)
    ):  # Textual draws on standard error
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
            f"WARNING: served on {inert(args.host)} without a password or encryption: anybody who reaches this address can read and change files as you.",
            file=sys.stderr,
        )
    words = [sys.executable, "-m", "anchorage", "tui", *(["--", args.file] if args.file else [])]
    made = server.Server(
        shlex.join(words), host=args.host, port=args.port, title="anchorage", templates_path=str(TEMPLATES)
    )
    _only_from_its_own_page(made, args.host)
    made.serve()
    return 0, ""


def _only_from_its_own_page(made: Any, host: str) -> None:
    """Refuse what another page in the same browser asks of this server: it has no password to keep that out."""
    web: Any = importlib.import_module("aiohttp.web")  # comes with the extra
    make = made._make_app  # noqa: SLF001 - there is no other way in

    async def own(request: Any, handler: Any) -> Any:
        named = (request.host or "").rsplit(":", 1)[0].strip("[]")
        origin = request.headers.get("Origin")
        other = origin is not None and origin.split("//", 1)[-1] != request.host
        if other or (host in LOCAL and named not in LOCAL):
            raise web.HTTPForbidden(text="Only from the page of this server.")
        return await handler(request)

    async def guarded() -> Any:
        app = await make()
        app.middlewares.append(web.middleware(own))
        return app

    made._make_app = guarded  # noqa: SLF001 - as above
