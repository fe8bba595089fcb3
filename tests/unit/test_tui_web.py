"""In a browser on the same machine: the page, the first screen, a key, and nobody else's page."""

import asyncio
import os
import re
import socket
import subprocess
import sys
import time
from pathlib import Path

import pytest
from tui_kit import demo_file

pytest.importorskip("textual_serve")
aiohttp = pytest.importorskip("aiohttp")
ROOT = Path(__file__).parents[2]


@pytest.fixture
def served(tmp_path):
    """The address of a server of its own."""
    with socket.socket() as s:
        s.bind(("127.0.0.1", 0))
        port = s.getsockname()[1]
    env = {**os.environ, "ANCHORAGE_STATE": str(tmp_path / "state"), "PYTHONPATH": str(ROOT)}
    words = [sys.executable, "-m", "anchorage", "tui", "--web", "--port", str(port), str(demo_file(tmp_path))]
    with subprocess.Popen(
        words, cwd=tmp_path, env=env, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL
    ) as process:
        end = time.monotonic() + 60
        while time.monotonic() < end:
            with socket.socket() as s:
                if s.connect_ex(("127.0.0.1", port)) == 0:
                    break
            time.sleep(0.05)
        yield f"http://127.0.0.1:{port}"
        process.terminate()


async def _screen(session, url, wanted, *keys):
    """Everything that is drawn until the words are there. keys: sent once the first screen is there."""
    seen, to_send = "", list(keys)
    async with session.ws_connect(f"{url}/ws?width=100&height=30", headers={"Origin": url}) as ws:
        end = time.monotonic() + 60
        while time.monotonic() < end:
            try:
                message = await ws.receive(timeout=5)
            except TimeoutError:
                continue
            if message.type in (aiohttp.WSMsgType.CLOSE, aiohttp.WSMsgType.CLOSED):
                break
            if message.type == aiohttp.WSMsgType.BINARY:
                seen += re.sub(r"\x1b\[[0-9;?]*[A-Za-z]", "", message.data.decode("utf-8", "replace"))
            if to_send and "sandbags" in seen:
                await ws.send_json(["stdin", to_send.pop(0)])
            if all(w in seen for w in wanted):
                return seen
    raise AssertionError(f"not drawn: {wanted} in {seen[-500:]}")


def test_the_page_the_first_screen_and_a_key(served):
    async def main():
        async with aiohttp.ClientSession() as session:
            async with session.get(served) as page:
                text = await page.text()
                assert page.status == 200
            assert "https://" not in text, "nothing on the page comes from elsewhere"
            assert "anchorage" in text
            seen = await _screen(
                session, served, [" GO ", "Ground", "FRONT", "LOAD ON EACH CHECK"], "\x1bOS"
            )  # F4
            assert "NO VERDICT" in seen or "WAIT" in seen
            for headers in ({"Origin": "http://elsewhere.example"}, {"Host": "elsewhere.example"}):
                async with session.get(served, headers=headers) as refused:
                    assert refused.status == 403
            with pytest.raises(aiohttp.WSServerHandshakeError):
                await session.ws_connect(f"{served}/ws", headers={"Origin": "http://elsewhere.example"})

    asyncio.run(main())
