"""What the tests of the meter share: sentences with their checksum, a clock that is set by hand, lines that come from a list."""

from pathlib import Path

from anchorage.demo import demo_text
from anchorage.meter.run import Clock, Session
from anchorage.meter.site import Scale
from anchorage.meter.sources import OPEN, Came
from anchorage.record.stand import watched

START = 1_800_000_000
"""Seconds since 1970 at which every story begins."""


def sentence(body):
    """``WIMWV,214.8,R,0.1,K,A`` with its dollar and its checksum, which is the exclusive or of all between them."""
    total = 0
    for c in body.encode("ascii"):
        total ^= c
    return f"${body}*{total:02X}\r\n".encode("ascii")


def mwv(speed, angle=250.0, reference="T", unit="M", status="A"):
    return sentence(f"WIMWV,{angle:.1f},{reference},{speed:.3f},{unit},{status}")


class Told:
    """Lines that come when the test says so."""

    def __init__(self):
        self.waiting, self.stopped = [], False

    def take(self, timeout):
        out, self.waiting = self.waiting, []
        return out

    def stop(self):
        self.stopped = True


class Story:
    """A meter in a time of its own: ``say`` sentences, ``wait`` for seconds, and look at what was reported."""

    def __init__(
        self, folder, *, demo="asphalt", text=None, mast=None, path=None, begin=0.0, step=0.5, **more
    ):
        self.at, self.off, self.step = float(begin), 0, step
        self.path = Path(folder) / "site.toml" if path is None else path
        if path is None:
            self.path.write_text(demo_text(demo) if text is None else text, encoding="utf-8")
        self.lines = Told()
        clock = Clock(lambda: self.at, lambda: START + self.at + self.off)
        self.session = Session(self.path, self.lines, "tcp://192.0.2.7:10110", mast, clock=clock, **more)
        self.reports = []
        self.lines.waiting.append(Came(self.at, state=OPEN))

    def say(self, *lines):
        self.lines.waiting += [Came(self.at, x) for x in lines]

    def turn(self):
        self.reports.append(self.session.turn(0.0))
        return self.reports[-1]

    def blow(self, speed, seconds, every=1.0, **more):
        """A meter that sends one speed, or what a function of the time says; a look at it every half second."""
        end, due, look = self.at + seconds, self.at, self.at
        while self.at < end - 1e-9:
            if self.at >= due - 1e-9:
                v = speed(self.at) if callable(speed) else speed + 0.001 * (round(due / every) % 7)
                self.say(mwv(v, **{k: x(self.at) if callable(x) else x for k, x in more.items()}))
                due += every
            if self.at >= look - 1e-9:
                self.turn()
                look += self.step
            self.at = min(due, look, end)
        return self.turn()

    def wait(self, seconds):
        """Nothing comes."""
        for _ in range(round(seconds / self.step)):
            self.at += self.step
            self.turn()
        return self.reports[-1]

    def events(self):
        """(seconds, event) of everything that began."""
        return [(r.wall - START - self.off, e) for r in self.reports for e in r.seen.events]


def scale_of(d, path, now, mast):
    """The levels of a meter by the record as it is now."""
    return Scale(watched(d, path, now), mast)
