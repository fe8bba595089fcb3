"""The interface for a browser: who may drive it, for how long, and with which buttons.

It runs with the rights of whoever started it, so it is driven only with the token that stands in the address which is printed, on
this machine too: other people may be logged in here. The token is taken out of the address at once and becomes a cookie that no
page can read; both are compared in constant time. What nobody touches ends.
"""

from __future__ import annotations

import asyncio
import contextvars
import hashlib
import hmac
import importlib
import secrets
import shlex
import socket
import sys
import time
from collections.abc import Callable
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from anchorage.core import console
from anchorage.core.errors import AnchorageError
from anchorage.core.plain import inert
from anchorage.core.say import language, later, say
from anchorage.core.textfile import why_not
from tui import keys

TEMPLATES = Path(__file__).parent / "web"
"""The page that the browser is given: nothing on it comes from elsewhere."""
LOCAL = ("127.0.0.1", "localhost", "::1")
PORTS = (1, 65_535)
IDLE = 60
"""Minutes without a key or a touch after which a session ends; and without a session, the server."""
LOOK = 2.0
"""Seconds between two looks at the clock."""
MOST = 9
"""Windows at once: each is a process."""
HEADERS = {
    "Cache-Control": "no-store", "Referrer-Policy": "no-referrer", "X-Content-Type-Options": "nosniff", "X-Frame-Options": "DENY",
    "Cross-Origin-Opener-Policy": "same-origin", "Cross-Origin-Resource-Policy": "same-origin",
}  # fmt: skip
POLICY = "default-src 'self'; img-src 'self' data:; style-src 'self' 'unsafe-inline'; script-src 'self' 'nonce-{nonce}'; connect-src 'self'; frame-ancestors 'none'; base-uri 'none'; form-action 'none'"
CLOSED = later(
    "Not open. Use the address that was printed where anchorage tui --web was started; it ends when nothing is touched for {idle} minutes."
)
ENTER = '<!DOCTYPE html><html lang="en"><head><meta charset="utf-8"><meta http-equiv="refresh" content="0;url=/{room}/"><title>anchorage</title></head><body></body></html>'
"""A page that goes on by itself: a redirect would come without the cookie where the address was clicked on another page."""


class ServingError(AnchorageError):
    """The interface cannot be served."""


@dataclass
class Gate:
    """Who may come in: a token, and the sessions that it opened."""

    token: str = field(default_factory=lambda: secrets.token_urlsafe(32), repr=False)
    idle: float = IDLE * 60.0
    """Seconds."""
    clock: Callable[[], float] = time.monotonic
    room: str = field(default_factory=lambda: secrets.token_urlsafe(12))
    """Where the pages stand: a cookie for this path is sent to no other server of the same machine."""
    sessions: dict[str, float] = field(default_factory=dict, repr=False)
    """When each was last touched."""
    touched: float = 0.0
    """When anybody last did anything."""

    def __post_init__(self) -> None:
        self.touched = self.clock()

    def _mark(self, session: str) -> str:
        return hmac.new(self.token.encode(), session.encode("utf-8", "replace"), hashlib.sha256).hexdigest()

    def enter(self, said: str) -> str | None:
        """A cookie for whoever has the token; None for everybody else."""
        if not hmac.compare_digest(said.encode("utf-8", "replace"), self.token.encode()):
            return None
        session = secrets.token_urlsafe(24)
        self.sessions[session] = self.touched = self.clock()
        return f"{session}.{self._mark(session)}"

    def session_of(self, cookie: str) -> str | None:
        """The session of a cookie, if it is one of this token and somebody is still there."""
        session, _, mark = cookie.partition(".")
        if not hmac.compare_digest(mark.encode("utf-8", "replace"), self._mark(session).encode()):
            return None
        return session if self.alive(session) else None

    def alive(self, session: str) -> bool:
        """Whether a session was touched of late; one that was not is over for good."""
        at = self.sessions.get(session)
        if at is not None and self.clock() - at >= self.idle:
            del self.sessions[session]
            return False
        return at is not None

    def touch(self, session: str) -> None:
        """A key was pressed."""
        if session in self.sessions:
            self.sessions[session] = self.touched = self.clock()

    @property
    def deserted(self) -> bool:
        """Nobody has been there for as long as a session lasts."""
        for session in tuple(self.sessions):
            self.alive(session)
        return not self.sessions and self.clock() - self.touched >= self.idle


SEQUENCES = {
    "enter": "\r", "escape": "\x1b", "tab": "\t", "shift+tab": "\x1b[Z", "space": " ", "backspace": "\x7f", "up": "\x1b[A", "down": "\x1b[B", "right": "\x1b[C", "left": "\x1b[D",
    "home": "\x1b[H", "end": "\x1b[F", "pageup": "\x1b[5~", "pagedown": "\x1b[6~", "delete": "\x1b[3~", "f1": "\x1bOP", "f2": "\x1bOQ", "question_mark": "?",
}  # fmt: skip
MODIFIED = {"shift": "2", "alt": "3"}
MOVING = (
    ("up", "↑"), ("down", "↓"), ("left", "←"), ("right", "→"), ("enter", "Enter"), ("escape", "Esc"), ("tab", "Tab"), ("pageup", "PgUp"), ("pagedown", "PgDn"),
)  # fmt: skip
"""Keys that every place knows, always there, and what stands on their buttons."""
MOVING_TOO = (
    ("shift+tab", later("Tab back")),
    ("space", "Space"),
    ("home", "Home"),
    ("end", "End"),
    ("backspace", "⌫"),
    ("delete", "Del"),
)


@dataclass(frozen=True)
class ButtonRow:
    """Buttons that stand together."""

    group: str
    always: bool
    """On the page at once; the others come with the button for every key."""
    buttons: tuple[tuple[str, str, str], ...]
    """What each sends, what stands on it, what it is for."""


def sequence(key: str) -> str:
    """What a terminal sends for a key, by the name that Textual has for it. ``KeyError`` for one that no terminal sends."""
    if key in SEQUENCES:
        return SEQUENCES[key]
    held, _, bare = key.rpartition("+")
    if not held and len(key) == 1:
        return key
    if held == "ctrl" and len(bare) == 1:
        return chr(ord(bare) & 0x1F)
    if held == "alt" and len(bare) == 1:
        return f"\x1b{bare}"
    return f"\x1b[1;{MODIFIED[held]}{SEQUENCES[bare][-1]}"


def rows() -> list[ButtonRow]:
    """Every key that does something, by what a leader does."""
    moving = [tuple((SEQUENCES[key], word, word) for key, word in some) for some in (MOVING, MOVING_TOO)]
    views = [a for a in keys.ACTIONS if a.name.startswith("view(")]
    out = [
        ButtonRow("", True, moving[0]),
        ButtonRow("", True, _row(views)),
        ButtonRow("move", False, moving[1]),
    ]
    out += [
        ButtonRow(group, False, _row([a for a in keys.ACTIONS if a.group == group and a not in views]))
        for group in keys.GROUPS
    ]
    return out


def _row(actions: list[keys.Action]) -> tuple[tuple[str, str, str], ...]:
    return tuple((sequence(a.key or a.bare), a.word, a.what) for a in actions)


def address_of(host: str, port: int) -> str:
    """The address to type, without its token."""
    name = socket.gethostname() if host in ("0.0.0.0", "::", "") else host  # noqa: S104 - a name is needed there
    return f"http://{f'[{name}]' if ':' in name else name}:{port}/"


def listen(host: str, port: int) -> socket.socket:
    """The socket to serve on. Raises ``ServingError`` for a port that is taken, out of range or not to be had."""
    if port != 0 and not PORTS[0] <= port <= PORTS[1]:
        raise ServingError(
            say("--port {port}: from {ports} to {ports_2}", port=port, ports=PORTS[0], ports_2=PORTS[1])
        )
    try:
        return socket.create_server((host, port), family=socket.AF_INET6 if ":" in host else socket.AF_INET)
    except socket.gaierror:
        raise ServingError(
            say("--host {host}: this machine has no such address; 127.0.0.1 is itself", host=host)
        ) from None
    except PermissionError:
        raise ServingError(
            say("--port {port}: it is not yours to use; one from 1024 on, as in --port 8001", port=port)
        ) from None
    except OSError as e:
        why = (
            say("somebody uses it already")
            if getattr(e, "errno", 0) in TAKEN
            else why_not(e, say("it cannot be had"))
        )
        raise ServingError(
            say(
                "--host {host} --port {port}: {why}; another port, as in --port {port_2}",
                host=host,
                port=port,
                why=why,
                port_2=port % PORTS[1] + 1,
            )
        ) from None
    except (OverflowError, ValueError, UnicodeError):
        raise ServingError(
            say("--host {host}: that is no address; 127.0.0.1 is this machine", host=host)
        ) from None


TAKEN = (48, 98, 10048)
"""EADDRINUSE on macOS, Linux and Windows."""


def serve(file: str | None, host: str, port: int, idle: int = IDLE) -> tuple[int, str]:
    """Serve it until it is stopped or nobody has touched it for ``idle`` minutes."""
    if not 1 <= idle <= 1440:
        raise ServingError(say("--idle {idle}: from 1 to 1440 minutes", idle=idle))
    try:
        library = importlib.import_module("textual_serve.server")
        web: Any = importlib.import_module("aiohttp.web")
    except ImportError:
        raise ServingError(
            say("tui --web: install the extra first:  pip install 'shelter-anchorage[web]'")
        ) from None
    gate = Gate(idle=idle * 60.0)
    with listen(host, port) as s:
        made = guarded(library, web, gate, file, host)
        at = address_of(host, s.getsockname()[1])
        console.write(f"{at}?token={gate.token}\n")
        said = [say("Open that address in a browser on this machine. Whoever has it can read and change files as you: show it to nobody."),
                say("It ends after {idle} minutes without a touch; Ctrl+C ends it at once.", idle=idle)]  # fmt: skip
        if host not in LOCAL:
            said.insert(0, inert(say("WARNING: served on {host} without encryption: whoever listens on this network can read what you see, and take the address.", host=host)))  # fmt: skip
        console.complain(said)
        web.run_app(made.behind_the_gate(), sock=s, print=None, access_log=None)
    return 0, ""


def guarded(library: Any, web: Any, gate: Gate, file: str | None, host: str) -> Any:
    """The server of the library, behind the gate."""
    words = [sys.executable, "-m", "anchorage", "tui", "--lang", language(), *(["--", file] if file else [])]
    whose: contextvars.ContextVar[str] = contextvars.ContextVar("whose")
    jinja: Any = importlib.import_module("aiohttp_jinja2")
    name = "anchorage"

    class Guarded(library.Server):  # type: ignore[misc]
        """Its pages and its windows, for those who may."""

        windows = 0

        async def behind_the_gate(self) -> Any:
            """The address to come in by, and the pages of the library in a room of their own."""

            @web.middleware  # type: ignore[untyped-decorator,unused-ignore]
            async def only_who_may(request: Any, handler: Any) -> Any:
                return await self.only_who_may(request, handler)

            app = web.Application(middlewares=[only_who_may])
            app.router.add_get("/", self.enter)
            app.add_subapp(f"/{gate.room}", await self._make_app())
            return app

        async def enter(self, request: Any) -> Any:
            """A cookie for the token."""
            cookie = gate.enter(request.query.get("token", ""))
            if cookie is None:
                raise web.HTTPForbidden(text=CLOSED.format(idle=f"{gate.idle / 60:.0f}"), headers=HEADERS)
            page = web.Response(text=ENTER.format(room=gate.room), content_type="text/html", headers=HEADERS)
            page.set_cookie(name, cookie, httponly=True, samesite="Strict", path=f"/{gate.room}/")
            return page

        async def on_startup(self, app: Any) -> None:
            del app
            self.watching = asyncio.create_task(self.watch())

        async def on_shutdown(self, app: Any) -> None:
            del app
            self.watching.cancel()

        async def watch(self) -> None:
            """End when nobody has been there for long."""
            while not gate.deserted:  # noqa: ASYNC110 - it is the clock that is waited for
                await asyncio.sleep(LOOK)
            console.complain(
                [say("ended: nothing was touched for {idle} minutes", idle=f"{gate.idle / 60:.0f}")]
            )
            asyncio.get_running_loop().call_soon(self.request_exit)

        async def only_who_may(self, request: Any, handler: Any) -> Any:
            """Refuse what comes from another page, without the token, or after the end."""
            named = (request.host or "").rsplit(":", 1)[0].strip("[]")
            origin = request.headers.get("Origin")
            other = origin is not None and origin.split("//", 1)[-1] != request.host
            if (
                other
                or (host in LOCAL and named not in LOCAL)
                or (request.path.endswith("/ws") and origin is None)
            ):
                raise web.HTTPForbidden(text=say("Only from the page of this server."), headers=HEADERS)
            if request.path == "/":
                return await handler(request)
            session = gate.session_of(request.cookies.get(name, ""))
            if session is None:
                raise web.HTTPForbidden(text=CLOSED.format(idle=f"{gate.idle / 60:.0f}"), headers=HEADERS)
            whose.set(session)
            return await handler(request)

        async def handle_index(self, request: Any) -> Any:
            nonce = secrets.token_urlsafe(16)
            context = {
                "application": {"name": "anchorage"},
                "nonce": nonce,
                "rows": rows(),
                "font_size": 18,
            }
            page = jinja.render_template("app_index.html", request, context)
            page.headers.update({**HEADERS, "Content-Security-Policy": POLICY.format(nonce=nonce)})
            gate.touch(whose.get())
            return page

        async def handle_websocket(self, request: Any) -> Any:
            if self.windows >= MOST:
                raise web.HTTPServiceUnavailable(
                    text=say("{most} windows are open already.", most=MOST), headers=HEADERS
                )
            self.windows += 1
            try:
                return await super().handle_websocket(request)
            finally:
                self.windows -= 1

        async def _process_messages(self, websocket: Any, app_service: Any) -> None:
            session = whose.get()
            watch = asyncio.create_task(_until_deserted(gate, session, websocket))
            try:
                async for message in websocket:
                    if message.type == web.WSMsgType.TEXT:
                        await _handled(message.json(), gate, session, websocket, app_service)
            finally:
                watch.cancel()

    return Guarded(shlex.join(words), host=host, title="anchorage", templates_path=str(TEMPLATES))


async def _until_deserted(gate: Gate, session: str, websocket: Any) -> None:
    while gate.alive(session):  # noqa: ASYNC110 - the same
        await asyncio.sleep(LOOK)
    await websocket.close(message=b"idle")


LONGEST = 100_000
"""Characters of one message: a forecast that is pasted."""
WIDEST = 500


async def _handled(said: Any, gate: Gate, session: str, websocket: Any, service: Any) -> None:
    """One message of the page. What is no message of it is passed over."""
    match said:
        case ["stdin", str(text)] if len(text) <= LONGEST:
            gate.touch(session)
            await service.send_bytes(text.encode("utf-8", "replace"))
        case ["resize", {"width": int(w), "height": int(h)}] if 0 < w <= WIDEST and 0 < h <= WIDEST:
            await service.set_terminal_size(w, h)
        case ["ping", str(text)] if len(text) < 100:
            await websocket.send_json(["pong", text])
        case ["blur", *_]:
            await service.blur()
        case ["focus", *_]:
            await service.focus()
