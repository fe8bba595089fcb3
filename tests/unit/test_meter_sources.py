"""A meter by a pseudo-terminal, by TCP, by UDP and as a file that grows: every line once, and the cable out and in again."""

import os
import pty
import socket
import threading
import time
import tty

import pytest

from anchorage.meter.sentences import MeterError, sample_of
from anchorage.meter.sources import OPEN, Lines, Reader, address_of
from tests.meter_kit import mwv, sentence

PUBLIC = [
    b"$IIMWV,344.0,R,005.9,M,A*31\r\n",
    b"$CCMWV,230.0,T,022.1,N,A*3B\r\n",
    b"$IIVWR,148,L,02.4,N,01.2,M,04.4,K*71\r\n",
    b"$WIMWD,211.2,T,205.4,M,3.9,N,2.0,M*51\r\n",
]


def until(reader, want, seconds=4.0):
    """What came until a condition on all of it holds."""
    out, end = [], time.monotonic() + seconds
    while time.monotonic() < end:
        out += reader.take(0.1)
        if want(out):
            break
    return out


def lines(came):
    return [c.line for c in came if c.line]


def states(came):
    return [c.state for c in came if c.state]


@pytest.fixture
def read():
    """Read an address until the test is over."""
    made = []

    def call(text):
        r = Reader(address_of(text))
        made.append(r)
        r.start()
        return r

    yield call
    for r in made:
        r.stop()
    for r in made:
        r.join(3.0)
        assert not r.is_alive()


def stripped(raw):
    return [x.rstrip(b"\r\n") for x in raw]


def test_a_serial_port(read):
    ours, theirs = pty.openpty()
    tty.setraw(theirs)
    r = read(f"serial:{os.ttyname(theirs)}")
    assert OPEN in states(until(r, lambda c: OPEN in states(c)))
    for x in PUBLIC:
        os.write(ours, x[:7])
        os.write(ours, x[7:])
    came = until(r, lambda c: len(lines(c)) == len(PUBLIC))
    assert lines(came) == stripped(PUBLIC)
    assert all(sample_of(x) for x in lines(came))
    os.close(ours)
    os.close(theirs)
    assert OPEN not in states(until(r, lambda c: bool(states(c))))


def test_tcp_and_the_cable_out_and_in_again(read):
    with socket.create_server(("127.0.0.1", 0)) as server:
        r = read(f"tcp://127.0.0.1:{server.getsockname()[1]}")
        first, _ = server.accept()
        first.sendall(b"".join(PUBLIC)[:-3])
        came = until(r, lambda c: len(lines(c)) == 3)
        first.close()
        came = until(r, lambda c: any("closed" in s for s in states(c)))
        again, _ = server.accept()
        again.sendall(PUBLIC[3])
        came = until(r, lambda c: len(lines(c)) == 1)
        assert lines(came)[-1] == PUBLIC[3].rstrip()  # what was cut off before is no part of it
        again.close()


def test_udp_of_any_sender(read):
    with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as s:
        s.bind(("127.0.0.1", 0))
        port = s.getsockname()[1]
    r = read(f"udp://127.0.0.1:{port}")
    until(r, lambda c: OPEN in states(c))
    with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as s:
        s.sendto(PUBLIC[0] + PUBLIC[1], ("127.0.0.1", port))
        s.sendto(PUBLIC[2].rstrip(), ("127.0.0.1", port))  # without its end
        s.sendto(b"", ("127.0.0.1", port))
        s.sendto(PUBLIC[3], ("127.0.0.1", port))
    came = until(r, lambda c: len(lines(c)) == 4)
    assert lines(came) == stripped(PUBLIC)


def test_a_file_that_grows_is_of_now_and_what_was_in_it_is_not(read, tmp_path):
    path = tmp_path / "log.nmea"
    path.write_bytes(b"".join(PUBLIC))
    os.utime(path, (1, 1))
    r = read(f"file:{path}")
    assert lines(until(r, lambda c: OPEN in states(c))) == []
    with path.open("ab") as f:
        f.write(mwv(5.0) + mwv(6.0)[:9])
        f.flush()
        assert lines(until(r, lambda c: bool(lines(c)))) == [mwv(5.0).rstrip()]
        f.write(mwv(6.0)[9:])
        f.flush()
        assert lines(until(r, lambda c: bool(lines(c)))) == [mwv(6.0).rstrip()]
    path.write_bytes(mwv(7.0))  # begun anew
    assert lines(until(r, lambda c: bool(lines(c)))) == [mwv(7.0).rstrip()]
    other = tmp_path / "next"
    other.write_bytes(mwv(8.0))
    other.replace(path)  # turned over to another file
    assert lines(until(r, lambda c: bool(lines(c)))) == [mwv(8.0).rstrip()]


def test_of_a_file_written_just_now_the_last_line_counts(read, tmp_path):
    path = tmp_path / "log.nmea"
    path.write_bytes(mwv(4.0) + mwv(5.0))
    assert lines(until(read(f"file:{path}"), lambda c: bool(lines(c)))) == [mwv(5.0).rstrip()]


@pytest.mark.parametrize("text", ["file:/no/such/file", "serial:/no/such/port", "tcp://127.0.0.1:1"])
def test_what_is_not_there_is_said_and_waited_for(read, text):
    came = until(read(text), lambda c: bool(states(c)))
    assert OPEN not in states(came)
    assert states(came)[0]


@pytest.mark.parametrize(
    "text",
    [
        "", "tcp://host", "tcp://:10110", "tcp://host:0", "tcp://host:99999", "http://host:80", "serial:", "file:", "nothing", "udp://x y:1",
        "file:a\0b",
    ],
)  # fmt: skip
def test_an_address_that_is_none_is_refused(text):
    with pytest.raises(MeterError):
        address_of(text)


def test_addresses():
    assert (address_of("udp://:10110").host, address_of("udp://:10110").port) == ("", 10110)
    assert (address_of("serial:/dev/ttyUSB0@9600").path, address_of("serial:/dev/ttyUSB0@9600").baud) == (
        "/dev/ttyUSB0",
        9600,
    )
    assert address_of("tcp://[::1]:10110").host == "::1"


def test_what_has_no_end_is_not_kept_for_ever():
    cut = Lines(most=100)
    for _ in range(1000):
        out = cut.take(b"x" * 64)
        assert len(cut.rest) <= 100
        assert all(len(x) <= 164 for x in out)
    assert cut.take(b"\n" + sentence("WIMWV,1,R,2,M,A"))[-1] == sentence("WIMWV,1,R,2,M,A").rstrip()


def test_nobody_who_looks_waits_and_a_full_queue_makes_the_reader_wait(monkeypatch, tmp_path):
    """No line is lost in a stream where nobody looks for a while."""
    import anchorage.meter.sources as module

    monkeypatch.setattr(module, "LINES", 50)
    path = tmp_path / "fifo"
    os.mkfifo(path)
    r = Reader(address_of(f"file:{path}"))
    r.queue = module.queue.Queue(50)
    r.start()
    end = os.open(path, os.O_RDWR)
    sent = [mwv(1 + i / 1000) for i in range(400)]
    feeder = threading.Thread(target=lambda: os.write(end, b"".join(sent)), daemon=True)
    feeder.start()
    time.sleep(0.5)
    got = until(r, lambda c: len(lines(c)) == 400)
    r.stop()
    r.join(3.0)
    os.close(end)
    assert lines(got) == stripped(sent)
