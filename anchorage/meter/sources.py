"""Where sentences come from: a serial port, a TCP or UDP address of the site's network, or a file that grows.

Each is opened, read in pieces and closed; one that is lost is opened again, after a wait that grows to half a minute. A thread
reads and puts lines with the time at which they came into a queue that is bounded: nothing of it slows who looks at them.
"""

from __future__ import annotations

import contextlib
import os
import queue
import re
import select
import socket
import threading
import time
from abc import ABC, abstractmethod
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from anchorage.core import tables
from anchorage.core.say import later, say
from anchorage.meter.sentences import MeterError

PIECE = 65536
LINES = 20000
"""That wait to be looked at; then the meter waits, and a packet that comes meanwhile is lost."""
FIRST_WAIT, LONGEST_WAIT = 0.5, 30.0
"""Seconds until a source that was lost is opened again; each time twice as long."""
TICK = 0.2
CONNECT = 5.0
SPEEDS = (4800, 9600, 38400, 19200, 115200)
"""Of a serial line: the standard's, the usual one, and others that are met; tried in turn where none is said."""
PATIENCE = 6.0
"""Seconds for each of them."""
OPEN = "open"
FRESH = 10.0
"""Seconds: a file written so recently ends with a line of now."""
BACK = 1 << 20
"""Bytes at the end of a file that was there: more than a meter sends in the time that a gust counts for."""
HOW = later("tcp://HOST:PORT, udp://HOST:PORT, serial:PATH, serial:PATH@9600 or file:PATH")
_NET = re.compile(r"(tcp|udp)://(\[[0-9A-Fa-f:.]+\]|[A-Za-z0-9._-]*):([0-9]{1,5})")


@dataclass(frozen=True)
class Address:
    """What was typed after ``--from``."""

    kind: str
    """tcp, udp, serial or file."""
    text: str
    host: str = ""
    port: int = 0
    path: str = ""
    baud: int = 0
    """0 where none was said."""


def address_of(text: str) -> Address:
    """``tcp://192.0.2.7:10110`` and the like. Raises ``MeterError``."""
    if m := _NET.fullmatch(text):
        port = int(m[3])
        if not 1 <= port <= 65535 or (m[1] == "tcp" and not m[2]):
            raise MeterError(
                say("--from {text}: a host and a port from 1 to 65535 are needed; {how}", text=text, how=HOW)
            )
        return Address(m[1], text, host=m[2].strip("[]"), port=port)
    kind, colon, path = text.partition(":")
    if not colon or kind not in ("serial", "file") or not path or "\0" in path:
        raise MeterError(say("--from {text}: {how}", text=text, how=HOW))
    baud = 0
    if kind == "serial" and (m := re.fullmatch(r"(.+)@([0-9]{3,7})", path)):
        path, baud = m[1], int(m[2])
    return Address(kind, text, path=path, baud=baud)


class LostError(Exception):
    """The source cannot be read now; str() says why."""


class Source(ABC):
    """A source that is open."""

    @abstractmethod
    def read(self) -> bytes:
        """What came within a fifth of a second; nothing where nothing did. Raises ``LostError``."""

    @abstractmethod
    def close(self) -> None:
        """Let go of it; never raises."""

    whole = False
    """Whether each piece is lines of its own: packets."""
    before: tuple[bytes, ...] = ()
    """Lines that were there already when it was opened, and may be of the last minutes: nobody knows when they came."""


class _Net(Source):
    def __init__(self, s: socket.socket, *, stream: bool) -> None:
        self.s, self.stream, self.whole = s, stream, not stream
        s.settimeout(TICK)

    def read(self) -> bytes:
        try:
            raw = self.s.recv(PIECE)
        except TimeoutError:
            return b""
        except OSError as e:
            raise LostError(e.strerror or say("the connection broke")) from None
        if self.stream and not raw:
            raise LostError(say("the other side closed the connection"))
        return raw

    def close(self) -> None:
        with contextlib.suppress(OSError):
            self.s.close()


def _tcp(a: Address) -> Source:
    try:
        s = socket.create_connection((a.host, a.port), timeout=CONNECT)
    except OSError as e:
        raise LostError(e.strerror or str(e) or say("no connection")) from None
    with contextlib.suppress(OSError):  # a cable that was pulled out says nothing: the system asks
        s.setsockopt(socket.SOL_SOCKET, socket.SO_KEEPALIVE, 1)
    return _Net(s, stream=True)


def _udp(a: Address) -> Source:
    family = socket.AF_INET6 if ":" in a.host else socket.AF_INET
    s = socket.socket(family, socket.SOCK_DGRAM)
    try:
        s.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        s.bind((a.host, a.port))
    except OSError as e:
        s.close()
        raise LostError(
            say(
                "{strerror}: give the address of this machine, or udp://:{port} for any",
                strerror=e.strerror or e,
                port=a.port,
            )
        ) from None
    return _Net(s, stream=False)


class _Serial(Source):
    def __init__(self, port: Any, error: type[Exception]) -> None:
        self.port, self.error = port, error

    def read(self) -> bytes:
        try:
            return bytes(self.port.read(max(1, min(self.port.in_waiting, PIECE))))
        except (OSError, self.error, TypeError, ValueError) as e:
            raise LostError(str(e)[:120] or say("the port is gone")) from None

    def close(self) -> None:
        with contextlib.suppress(Exception):
            self.port.close()


def _serial(a: Address, guess: int) -> Source:
    try:
        import serial  # noqa: PLC0415 - an extra
    except ImportError:
        raise MeterError(
            say("meter: pyserial is not installed; install the extra: pip install 'shelter-anchorage[meter]'")
        ) from None
    baud = a.baud or SPEEDS[guess % len(SPEEDS)]
    try:
        return _Serial(serial.Serial(a.path, baud, timeout=TICK), serial.SerialException)
    except (OSError, serial.SerialException, ValueError) as e:
        raise LostError(str(e)[:120] or say("the port cannot be opened")) from None


class _File(Source):
    """A file that grows. Its last line is of now where it was written just now; what stands before may be of the last minutes."""

    def __init__(self, a: Address, *, again: bool) -> None:
        self.path, self.fd = Path(a.path), -1
        try:
            self.fd = os.open(
                self.path, os.O_RDONLY | getattr(os, "O_NONBLOCK", 0) | getattr(os, "O_CLOEXEC", 0)
            )
            here = os.fstat(self.fd)
            self.regular = (here.st_mode & 0o170000) == 0o100000
        except OSError as e:
            self.close()
            raise LostError(e.strerror or str(e)) from None
        self.first = b""
        if self.regular and not again:
            back = min(here.st_size, BACK)
            os.lseek(self.fd, here.st_size - back, os.SEEK_SET)
            tail = b""
            while len(tail) < back and (more := os.read(self.fd, back - len(tail))):
                tail += more
            lines = tail.splitlines(keepends=True)
            rest = lines.pop() if lines and not lines[-1].endswith(b"\n") else b""
            self.first = rest
            age = time.time() - here.st_mtime  # a clock of files, and used for nothing else
            if age < tables.row("meter-means", "looks-back").value:
                self.before = tuple(lines)
            if lines and age < FRESH:
                self.first = lines[-1] + rest
        self.inode = here.st_ino

    def read(self) -> bytes:
        if self.first:
            raw, self.first = self.first, b""
            return raw
        try:
            raw = self._some()
            if not raw and self.regular:
                self._replaced()
        except BlockingIOError:
            raw = b""
        except OSError as e:
            raise LostError(e.strerror or str(e)) from None
        if not raw:
            time.sleep(TICK / 2)
        return raw

    def _some(self) -> bytes:
        if not self.regular and not select.select([self.fd], [], [], TICK)[0]:
            return b""
        return os.read(self.fd, PIECE)

    def _replaced(self) -> None:
        """Shortened: from its beginning again. Another one of the same name: it is opened anew."""
        here = self.path.stat()
        if here.st_ino != self.inode:
            raise LostError(say("the file was replaced"))
        if here.st_size < os.lseek(self.fd, 0, os.SEEK_CUR):
            os.lseek(self.fd, 0, os.SEEK_SET)

    def close(self) -> None:
        if self.fd >= 0:
            with contextlib.suppress(OSError):
                os.close(self.fd)
            self.fd = -1


def open_source(a: Address, *, again: bool = False, guess: int = 0) -> Source:
    """Open it. again: it was open before; guess: which speed of a line to try. Raises ``LostError``."""
    match a.kind:
        case "tcp":
            return _tcp(a)
        case "udp":
            return _udp(a)
        case "serial":
            return _serial(a, guess)
        case _:
            return _File(a, again=again)


@dataclass(frozen=True)
class Came:
    """A line and when it came (s of a clock that only goes forward); or, without a line, what became of the source."""

    at: float
    line: bytes = b""
    state: str = ""
    """Empty; ``OPEN``; or why it is not."""
    before: tuple[bytes, ...] = ()
    """With ``OPEN``: lines that were there already, in their order."""


class Lines:
    """Bytes into lines, in bounded memory."""

    def __init__(self, most: int = 4096) -> None:
        self.rest, self.most = b"", most

    def take(self, raw: bytes, *, whole: bool = False) -> list[bytes]:
        """The lines that are complete. whole: what is left is a line too."""
        *lines, rest = (self.rest + raw).replace(b"\r", b"\n").split(b"\n")
        if whole:
            lines, rest = [*lines, rest], b""
        elif len(rest) > self.most:  # no meter: it is told, and forgotten
            lines, rest = [*lines, rest[: self.most]], b""
        self.rest = rest
        return [x for x in lines if x.strip()]


class Reader(threading.Thread):
    """Reads a source until it is told to stop. clock: seconds that only go forward."""

    def __init__(self, a: Address, clock: Callable[[], float] = time.monotonic) -> None:
        super().__init__(name=say("meter {text}", text=a.text), daemon=True)
        self.address, self.clock = a, clock
        self.queue: queue.Queue[Came] = queue.Queue(LINES)
        self.ended = threading.Event()
        self.heard = threading.Event()
        """Set by who looks at the lines, once one was a sentence: the speed of the line is right."""
        self.fault: MeterError | None = None

    def run(self) -> None:
        opened, guess, wait = 0, 0, FIRST_WAIT
        while not self.ended.is_set():
            source = None
            try:
                source = open_source(self.address, again=opened > 0, guess=guess)
                opened += 1
                self._put(Came(self.clock(), state=OPEN, before=source.before))
                self._read(source)
                guess += 1  # nothing was a sentence at this speed of the line
                continue
            except LostError as e:
                self._put(Came(self.clock(), state=str(e)))
            except MeterError as e:
                self.fault = e
                self._put(Came(self.clock(), state=str(e)))
                return
            finally:
                if source is not None:
                    source.close()
            if self.heard.is_set():
                wait = FIRST_WAIT
                self.heard.clear()
            self.ended.wait(wait)
            wait = min(2.0 * wait, LONGEST_WAIT)

    def _read(self, source: Source) -> None:
        """Until it is lost, or told to stop, or another speed of the line is to be tried."""
        lines, since = Lines(), self.clock()
        guesses = self.address.kind == "serial" and not self.address.baud
        while not self.ended.is_set():
            raw = source.read()
            at = self.clock()
            for line in lines.take(raw, whole=source.whole) if raw else ():
                self._put(Came(at, line))
            if guesses and not self.heard.is_set() and at - since > PATIENCE:
                return

    def _put(self, came: Came) -> None:
        while not self.ended.is_set():
            try:
                self.queue.put(came, timeout=TICK)
            except queue.Full:
                continue
            return

    def take(self, timeout: float) -> list[Came]:
        """Everything that waits; waits for the first until the timeout (s)."""
        try:
            out = [self.queue.get(timeout=timeout)] if timeout > 0 else [self.queue.get_nowait()]
        except queue.Empty:
            return []
        while len(out) < LINES:
            try:
                out.append(self.queue.get_nowait())
            except queue.Empty:
                break
        return out

    def stop(self) -> None:
        """Tell it to stop; it does within a second, and the process does not wait for it."""
        self.ended.set()
