"""What comes from the page in a browser, and names and files at a place that is to be written."""

from __future__ import annotations

import asyncio
import json
import tempfile
from pathlib import Path
from typing import Any

from anchorage.core.errors import AnchorageError
from anchorage.core.outputs import Taken, held, put
from tui.serving import LONGEST, WIDEST, Gate, _handled

from .oracle import hold

MESSAGES = [
    b'["stdin", "x"]', b'["stdin", "\\u001b[A"]', b'["resize", {"width": 80, "height": 24}]', b'["ping", "1773165600000"]', b'["focus"]', b'["blur"]',
]  # fmt: skip


class Service:
    """What an interface is told."""

    def __init__(self) -> None:
        self.told: list[Any] = []

    async def send_bytes(self, raw: bytes) -> None:
        self.told.append(raw)
        hold(len(raw) <= 4 * LONGEST, "more than a page may send")

    async def set_terminal_size(self, width: int, height: int) -> None:
        self.told.append((width, height))
        hold(0 < width <= WIDEST and 0 < height <= WIDEST, f"a terminal of {width} by {height}")

    async def blur(self) -> None:
        self.told.append("blur")

    async def focus(self) -> None:
        self.told.append("focus")

    async def send_json(self, said: Any) -> None:
        self.told.append(said)


def message(raw: bytes) -> str:
    """A message of the page, and the same bytes as its token and its cookie: nobody comes in by them."""
    gate, service = Gate(), Service()
    text = raw.decode("utf-8", "replace")
    hold(gate.enter(text) is None, "in without the token")
    hold(gate.session_of(text) is None, "in without a cookie")
    cookie = gate.enter(gate.token) or ""
    hold(gate.session_of(cookie[: len(cookie) // 2] + text) is None, "in with half a cookie")
    try:
        said = json.loads(text)
    except (ValueError, RecursionError):
        return "refused"
    session = gate.session_of(cookie) or ""
    asyncio.run(_handled(said, gate, session, service, service))
    return "used" if service.told else "refused"


def output(raw: bytes) -> str:
    """A file at a place that is to be written, and its bytes as a name: replaced whole, or left as it was and said."""
    with tempfile.TemporaryDirectory() as folder:
        place = Path(folder) / "plan.csv"
        place.write_bytes(raw)
        try:
            put(place, b"a,b\n")
        except AnchorageError as e:
            hold(place.read_bytes() == raw, "refused, and changed")
            hold(str(place) in str(e), "no file is named")
            return "refused"
        finally:
            name = raw[:80].decode("utf-8", "replace").replace("/", "_")
            hold(
                held(Path(folder) / f"{name}.log.db") is Taken.RECORD
                or "\0" in name
                or len(name.encode()) > 200,
                "the name of a record",
            )
        hold(place.read_bytes() == b"a,b\n", "half a file")
        hold([p.name for p in Path(folder).iterdir()] == ["plan.csv"], "something is left behind")
    return "used"
