"""In a browser: who may drive it, the page, its buttons, the first screen and a key; nobody else's page, and an end."""

import asyncio
import hashlib
import hmac
import io
import re
import socket
import time
from pathlib import Path

import pytest
from textual._xterm_parser import XTermParser
from tui_kit import demo_file
from web_kit import server

from anchorage.cli.entry import main
from tui import keys, mended, serving
from tui.serving import Gate, ServingError, listen, rows, sequence

pytest.importorskip("textual_serve")
aiohttp = pytest.importorskip("aiohttp")
ROOT = Path(__file__).parents[2]


class Clock:
    now = 1000.0

    def __call__(self):
        return self.now


# Who may come in


def test_only_the_token_opens_and_only_its_own_cookies_count():
    gate = Gate()
    assert len(gate.token) >= 40
    assert Gate().token != gate.token
    for said in ("", "x", gate.token[:-1], gate.token + "x", gate.token.swapcase(), "é", "\ud800"):
        assert gate.enter(said) is None
    cookie = gate.enter(gate.token)
    session, _, mark = cookie.partition(".")
    assert gate.session_of(cookie) == session
    assert gate.token not in cookie
    assert gate.enter(gate.token) != cookie
    other = Gate()
    other.sessions[session] = other.clock()
    for said in (
        "",
        ".",
        session,
        f"{session}.",
        f"{session}.{mark[:-1]}",
        f"{mark}.{session}",
        f"x.{gate._mark('x')}",
        f".{gate._mark('')}",
        "é.é",
    ):
        assert gate.session_of(said) is None
    assert other.session_of(cookie) is None, "a cookie is bound to the token that it came of"
    assert mark == hmac.new(gate.token.encode(), session.encode(), hashlib.sha256).hexdigest()


def test_what_is_compared_is_compared_in_constant_time(monkeypatch):
    seen = []
    monkeypatch.setattr(serving.hmac, "compare_digest", lambda a, b: seen.append((a, b)) or a == b)
    gate = Gate()
    cookie = gate.enter(gate.token)
    gate.enter("x")
    gate.session_of(cookie)
    gate.session_of("x.y")
    assert len(seen) == 4
    assert gate.token not in repr(gate)


def test_a_session_that_nobody_touches_ends_and_does_not_come_back():
    clock = Clock()
    gate = Gate(idle=600.0, clock=clock)
    cookie = gate.enter(gate.token)
    clock.now += 599
    assert gate.session_of(cookie), "looking does not keep it"
    gate.touch(gate.session_of(cookie))
    clock.now += 599
    assert gate.session_of(cookie)
    assert not gate.deserted
    clock.now += 1
    assert gate.session_of(cookie) is None
    gate.touch(cookie.partition(".")[0])
    assert gate.session_of(cookie) is None
    assert gate.deserted
    assert Gate(idle=600.0, clock=clock).deserted is False, "it waits as long for the first to come"


# Its address


def test_a_port_that_is_taken_or_out_of_range_is_a_sentence(capsys):
    pytest.importorskip("textual_serve")
    with socket.socket() as s:
        s.bind(("127.0.0.1", 0))
        s.listen()
        port = s.getsockname()[1]
        assert main(["tui", "--web", "--port", str(port)]) == 2
        assert (
            f"--port {port}: somebody uses it already; another port, as in --port {port % 65535 + 1}"
            in capsys.readouterr().err
        )
    for wrong in ("-1", "65536", "99999"):
        assert main(["tui", "--web", "--port", wrong]) == 2
        assert f"--port {wrong}: from 1 to 65535" in capsys.readouterr().err
    for host in ("203.0.113.7", "no such host", "x" * 300, ""):
        code = main(["tui", "--web", "--port", str(port), "--host", host]) if host else 2
        err = capsys.readouterr().err
        assert (code, "fault of the program" in err) == (2, False), err
    assert main(["tui", "--web", "--idle", "0"]) == 2
    assert "--idle 0: from 1 to 1440" in capsys.readouterr().err


def test_a_port_that_is_not_ones_own_is_a_sentence(monkeypatch):
    def never(*_, **__):
        raise PermissionError(13, "Permission denied")

    monkeypatch.setattr(serving.socket, "create_server", never)
    with pytest.raises(ServingError, match=r"--port 80: it is not yours.*8001"):
        listen("127.0.0.1", 80)


# Its buttons


def pressed(sends):
    """The keys that the interface sees of what a button sends."""
    mended.alt_is_alt()
    parser = XTermParser(debug=False)
    return [e.key for data in (sends, "") for e in parser.feed(data) if hasattr(e, "key")]


@pytest.mark.parametrize("action", keys.ACTIONS, ids=lambda a: a.name)
def test_every_key_is_a_button_that_sends_that_key(action):
    sends = [s for row in rows() for s, word, _ in row.buttons if word == action.word]
    assert [pressed(s) for s in sends] == [[action.key or action.bare]]


@pytest.mark.parametrize("name", [k for k, _ in serving.MOVING + serving.MOVING_TOO])
def test_the_keys_that_move_are_buttons(name):
    assert pressed(sequence(name)) == [name]
    assert sequence(name) in [s for row in rows()[:3] for s, _, _ in row.buttons]


# Served


async def entered(session, address):
    """The page behind the token: its address, and what stands on it."""
    async with session.get(address) as page:
        assert page.status == 200
        assert "HttpOnly" in page.headers["Set-Cookie"]
        assert "SameSite=Strict" in page.headers["Set-Cookie"]
        room = re.search(r"url=(/[^/]+/)", await page.text())[1]
        assert f"Path={room}" in page.headers["Set-Cookie"]
        assert page.headers["Cache-Control"] == "no-store"
    at = address.partition("/?token=")[0] + room
    async with session.get(at) as page:
        assert page.status == 200
        return at, await page.text(), page.headers


async def drawn(ws, wanted):
    """Everything that is drawn until the words are there."""
    seen, end = "", time.monotonic() + 60
    while time.monotonic() < end:
        message = await ws.receive(timeout=30)
        if message.type in (aiohttp.WSMsgType.CLOSE, aiohttp.WSMsgType.CLOSED):
            break
        if message.type == aiohttp.WSMsgType.BINARY:
            seen += re.sub(r"\x1b\[[0-9;?]*[A-Za-z]", "", message.data.decode("utf-8", "replace"))
        if all(w in seen for w in wanted):
            return seen
    raise AssertionError(f"not drawn: {wanted} in {seen[-500:]}")


def test_without_the_token_there_is_nothing_and_with_it_the_interface(tmp_path):
    async def inside(address):
        base, _, token = address.partition("/?token=")
        async with aiohttp.ClientSession() as stranger:
            for path in (
                "/",
                "/?token=",
                f"/?token={token[:-1]}",
                "/ws",
                "/static/js/textual.js",
                "/download/x",
                "/x/",
                "/x/ws",
            ):
                async with stranger.get(base + path) as page:
                    assert page.status in (403, 404), path
                    assert "Set-Cookie" not in page.headers
        async with aiohttp.ClientSession(cookie_jar=aiohttp.CookieJar(unsafe=True)) as session:
            at, text, headers = await entered(session, address)
            assert token not in text
            assert "http" not in re.sub(r'"https?:"', "", text), "nothing on the page comes from elsewhere"
            assert text.count("<button") >= len(keys.ACTIONS)
            assert "frame-ancestors 'none'" in headers["Content-Security-Policy"]
            async with session.get(at + "static/js/textual.js") as script:
                assert script.status == 200
            async with aiohttp.ClientSession() as stranger:
                for path in ("", "ws", "static/js/textual.js"):
                    async with stranger.get(at + path, headers={"Cookie": "anchorage=x.y"}) as page:
                        assert page.status == 403, "who knows the room still needs the cookie"
            for wrong in ({"Origin": "http://elsewhere.example"}, {"Host": "elsewhere.example"}):
                async with session.get(at, headers=wrong) as page:
                    assert page.status == 403
            with pytest.raises(aiohttp.WSServerHandshakeError):
                await session.ws_connect(f"{at}ws", headers={"Origin": "http://elsewhere.example"})
            with pytest.raises(aiohttp.WSServerHandshakeError):
                await session.ws_connect(f"{at}ws")
            async with session.ws_connect(f"{at}ws?width=100&height=30", headers={"Origin": base}) as ws:
                for nonsense in (
                    "1",
                    '["stdin"]',
                    '["resize", {"width": -1, "height": 10}]',
                    '["stdin", 5]',
                    "{}",
                ):
                    await ws.send_str(nonsense)
                await drawn(ws, ["GO", "sandbags"])
                await ws.send_json(["stdin", sequence("alt+2")])
                await drawn(ws, ["FRONT"])

    with server(tmp_path) as (address, process):
        assert re.fullmatch(r"http://127\.0\.0\.1:\d+/\?token=[\w-]{40,}", address)
        told = process.stderr.readline()
        assert "show it to nobody" in told
        with Path(f"/proc/{process.pid}/cmdline").open("rb") if Path("/proc").exists() else io.BytesIO() as f:
            assert address.partition("=")[2].encode() not in f.read(), (
                "no other user sees the token among the processes"
            )
        asyncio.run(inside(address))


def test_a_window_that_nobody_touches_is_closed_and_the_server_ends(tmp_path):
    """The same server, with a clock that runs fast."""
    web = __import__("aiohttp.web").web
    library = __import__("textual_serve.server").server
    clock = Clock()
    gate = Gate(idle=600.0, clock=clock)
    made = serving.guarded(library, web, gate, str(demo_file(tmp_path)), "127.0.0.1")

    class Service:
        def __init__(self, *_, **__):
            self.sent = []

        async def start(self, *_):
            pass

        async def stop(self):
            pass

        async def send_bytes(self, data):
            self.sent.append(data)

    async def job(monkeypatch):
        monkeypatch.setattr(library, "AppService", Service)
        monkeypatch.setattr(serving, "LOOK", 0.01)
        ended = asyncio.Event()
        monkeypatch.setattr(made, "request_exit", ended.set)
        runner = web.AppRunner(await made.behind_the_gate())
        await runner.setup()
        site = web.TCPSite(runner, "127.0.0.1", 0)
        await site.start()
        base = f"http://127.0.0.1:{site._server.sockets[0].getsockname()[1]}"
        async with aiohttp.ClientSession(cookie_jar=aiohttp.CookieJar(unsafe=True)) as session:
            at, _, _ = await entered(session, f"{base}/?token={gate.token}")
            async with session.ws_connect(f"{at}ws", headers={"Origin": base}) as ws:
                clock.now += 590
                await ws.send_json(["stdin", "x"])
                await ws.send_json(["ping", "1"])
                assert (await ws.receive_json(timeout=5))[0] == "pong"
                clock.now += 590
                await ws.send_json(["ping", "2"])
                assert (await ws.receive_json(timeout=5))[0] == "pong", "a touch keeps it"
                clock.now += 20
                assert (await ws.receive(timeout=5)).type in (
                    aiohttp.WSMsgType.CLOSE,
                    aiohttp.WSMsgType.CLOSED,
                )
            async with session.get(at) as page:
                assert page.status == 403
                assert "ends when nothing is touched for 10 minutes" in await page.text()
            await asyncio.wait_for(ended.wait(), 5)
        await runner.cleanup()

    with pytest.MonkeyPatch.context() as m:
        asyncio.run(job(m))
