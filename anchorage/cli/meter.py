"""meter: a wind meter read live, until it is told to stop. The clocks are read here, by the session that it makes, and nowhere below."""

from __future__ import annotations

import argparse
import json
import signal
import sys
from collections.abc import Callable
from datetime import UTC, tzinfo
from pathlib import Path

from anchorage.cli.common import CommandError, Outcome
from anchorage.cli.judge import load
from anchorage.core import console
from anchorage.core.closed import EXITS
from anchorage.core.out import Level
from anchorage.core.plain import inert
from anchorage.core.units import read
from anchorage.meter.run import Report, Session
from anchorage.meter.sentences import MeterError, library
from anchorage.meter.site import Mast
from anchorage.meter.sources import Reader, address_of
from anchorage.outlook.asked import zone_said
from anchorage.paper.meter_page import report_json, screen_lines
from anchorage.record.kinds import HIGHEST

EXIT: dict[Level, str] = {
    "normal": "go",
    "secure": "go",
    "people-out": "no-go",
    "keep-away": "no-go",
    "unknown": "unknown",
}
LINE_EVERY = 1.0
"""Seconds between two lines where nothing begins."""


def _long(text: str | None) -> float | None:
    if text is None:
        return None
    try:
        found = float(read("time", text))
    except ValueError as e:
        raise CommandError(f"--for {text}: {e}") from None
    if not 0.0 < found <= 400 * 86400.0:
        raise CommandError(f"--for {text}: longer than nothing and shorter than a year, as in 30s, 8 h")
    return found


def _mast(args: argparse.Namespace) -> Mast | None:
    """How the meter stands, as it was typed; None where nothing was."""
    if args.height is None:
        if args.mark is not None or args.place is not None:
            raise CommandError(
                "--height: say how high over the ground the meter stands, as in '10 ft', with its place and mark"
            )
        return None
    try:
        height = read("length", args.height)
    except ValueError as e:
        raise CommandError(f"--height {args.height}: {e}") from None
    if not 1.0 <= height <= HIGHEST:
        raise CommandError(f"--height {args.height}: from 1 m to {HIGHEST:g} m over the ground")
    if args.mark is not None and not 0.0 <= args.mark <= 360.0:
        raise CommandError(
            f"--mark {args.mark:g}: degrees from 0 to 360, true, in which the mark of the meter points"
        )
    return Mast(float(height), height.text, inert(args.place or "").strip()[:200], args.mark)


class _Screen:
    """One object a line; at a terminal a screen that is drawn anew, with a bell."""

    def __init__(self, name: str, zone: tzinfo, *, lines: bool) -> None:
        self.name, self.zone, self.lines = name, zone, lines
        self.shown = float("-inf")
        self.rang = float("-inf")

    def show(self, r: Report, at: float, again: float) -> bool:
        """Show a moment where it is time, or something begins; False where nobody reads any more."""
        loud = r.loud
        dead = r.seen.alarm in ("silent", "stuck")
        if dead and at - self.rang >= again:
            loud = True
        if not loud and at - self.shown < LINE_EVERY:
            return True
        self.shown = at
        if loud:
            self.rang = at
        if self.lines:
            return console.write(json.dumps(report_json(r), allow_nan=False) + "\n")
        text = "\n".join(inert(x) for x in screen_lines(r, self.zone, self.name))
        return console.write("\x1b[H\x1b[2J" + text + "\n" + ("\a" if loud else ""))


def meter(args: argparse.Namespace) -> Outcome:
    """Read a meter until its time is over or somebody stops it."""
    if args.file == "-":
        raise CommandError("meter: the record stands beside the deployment file, so that must be a file")
    if args.source is None:
        raise CommandError(
            "meter: say where the meter is: --from tcp://HOST:PORT, udp://HOST:PORT, serial:PATH or file:PATH"
        )
    address, lasts, mast = address_of(args.source), _long(args.lasts), _mast(args)
    library()
    path = Path(args.file)
    d = load(args.file, args.units)
    zone = zone_said(args.zone, d) or UTC
    reader = Reader(address)
    session = Session(path, reader, address.text, mast)
    reader.start()
    screen = _Screen(
        d.deployment.name or path.name, zone, lines=args.json or not console.is_terminal(sys.stdout)
    )
    return _until(session, reader, screen, lasts)


def _stopped_by_signal(stop: list[bool]) -> Callable[[], None]:
    """Ask to be stopped in order by the usual signals; how to undo that."""

    def asked(*_: object) -> None:
        stop.append(True)

    before = {}
    for name in ("SIGINT", "SIGTERM", "SIGHUP"):
        if hasattr(signal, name):
            number = getattr(signal, name)
            try:
                before[number] = signal.signal(number, asked)
            except ValueError:  # in a thread that is not the first
                break

    def undo() -> None:
        for number, handler in before.items():
            signal.signal(number, handler)

    return undo


def _until(session: Session, reader: Reader, screen: _Screen, lasts: float | None) -> Outcome:
    from anchorage.meter.watch import limit  # noqa: PLC0415 - numpy comes with it

    stop = list[bool]()
    undo = _stopped_by_signal(stop)
    began, again = session.clock.steady(), limit("again")
    try:
        while not stop:
            r = session.turn()
            at = session.clock.steady()
            if r.seen.heard is not None:
                reader.heard.set()
            if not screen.show(r, at, again):
                break
            if reader.fault is not None:
                raise reader.fault
            if lasts is not None and at - began >= lasts:
                break
    finally:
        level = session.stop()
        undo()
    if session.keeper.fault:
        raise MeterError(f"NOT WRITTEN DOWN, {len(session.keeper.waiting)} entries: {session.keeper.fault}")
    return EXITS[EXIT[level]], ""
