"""meter: a wind meter read live, until it is told to stop. The clocks are read here, by the session that it makes, and nowhere below."""

from __future__ import annotations

import argparse
import contextlib
import json
import queue
import signal
import sys
import threading
import time
from collections.abc import Callable
from dataclasses import replace
from datetime import UTC, tzinfo
from pathlib import Path

from anchorage.cli.common import CommandError, Outcome, weather, wrote
from anchorage.cli.judge import load
from anchorage.core import console
from anchorage.core.closed import EXITS
from anchorage.core.out import Level
from anchorage.core.outputs import put
from anchorage.core.plain import inert, wrap
from anchorage.core.say import later, say
from anchorage.core.units import read
from anchorage.deployment.models import Shelter
from anchorage.judging.plan import assess
from anchorage.judging.result import Verdict
from anchorage.judging.verdict import worst_of
from anchorage.meter.alarm import Command
from anchorage.meter.run import Report, Session
from anchorage.meter.sentences import MeterError, library
from anchorage.meter.site import Mast, mast_of
from anchorage.meter.sources import Reader, address_of
from anchorage.meter.weather import Weather
from anchorage.outlook.asked import zone_said
from anchorage.outlook.live import place_of
from anchorage.paper.meter_page import alarm_lines, report_json, screen_lines
from anchorage.record.kinds import HIGHEST
from anchorage.record.over import Recorded, read_record
from anchorage.record.stand import stand

EXIT: dict[Level, Verdict] = {
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
        raise CommandError(say("--for {text}: {e}", text=text, e=e)) from None
    if not 0.0 < found <= 400 * 86400.0:
        raise CommandError(
            say("--for {text}: longer than nothing and shorter than a year, as in 30s, 8 h", text=text)
        )
    return found


def _mast(height: str | None, place: str | None, mark: float | None) -> Mast | None:
    """How the meter stands, as it was typed; None where nothing was."""
    if height is None:
        if mark is not None or place is not None:
            raise CommandError(
                say(
                    "--height: say how high over the ground the meter stands, as in '10 ft', with its place and mark"
                )
            )
        return None
    try:
        found = read("length", height)
    except ValueError as e:
        raise CommandError(say("--height {height}: {e}", height=height, e=e)) from None
    if not 1.0 <= found <= HIGHEST:
        raise CommandError(
            say(
                "--height {height}: from 1 m to {highest} m over the ground",
                height=height,
                highest=f"{HIGHEST:g}",
            )
        )
    if mark is not None and not 0.0 <= mark <= 360.0:
        raise CommandError(
            say(
                "--mark {mark}: degrees from 0 to 360, true, in which the mark of the meter points",
                mark=f"{mark:g}",
            )
        )
    return Mast(float(found), found.text, inert(place or "").strip()[:200], mark)


class _Screen:
    """One object a line; at a terminal a screen that is drawn anew, with a bell."""

    def __init__(self, name: str, zone: tzinfo, *, lines: bool) -> None:
        self.name, self.zone, self.lines = name, zone, lines
        self.shown = self.rang = float("-inf")
        self.heard = False
        """Somebody pressed Enter: a dead meter rings no more until something else begins."""

    def show(self, r: Report, at: float, again: float) -> bool:
        """Show a moment where it is time, or something begins; False where nobody reads any more."""
        loud = r.loud
        if loud:
            self.heard = False
        dead = r.seen.alarm in ("silent", "stuck")
        if dead and not self.heard and at - self.rang >= again:
            loud = True
        if not loud and at - self.shown < LINE_EVERY:
            return True
        self.shown = at
        if loud:
            self.rang = at
        if self.lines:
            return console.write(json.dumps(report_json(r), allow_nan=False) + "\n")
        page = [*screen_lines(r, self.zone, self.name), "", *wrap(KEYS)]
        text = "\n".join(inert(x) for x in page[: max(console.rows() - 1, 12)])
        return console.write("\x1b[H\x1b[2J" + text + "\n" + ("\a" if loud else ""))


KEYS = later("Enter: heard, stop ringing. t Enter: thunder heard. q Enter: stop.")


def _keys() -> queue.SimpleQueue[str]:
    """What is typed at the terminal, a line at a time; nothing ever comes where there is none."""
    typed: queue.SimpleQueue[str] = queue.SimpleQueue()

    def listen() -> None:
        with contextlib.suppress(OSError, ValueError):
            while line := sys.stdin.readline():
                typed.put(line.strip().lower())

    if console.is_terminal(sys.stdin):
        threading.Thread(target=listen, name="keys", daemon=True).start()
    return typed


def _asked(path: Path, shelter: Shelter) -> Mast | None:
    """How high the meter stands, asked once at a terminal; the record keeps it."""
    here = console.is_terminal(sys.stdin) and console.is_terminal(sys.stdout)
    record = read_record(path, shelter) if here else None
    if not here or (record is not None and mast_of(record.entries) is not None):
        return None
    while True:
        try:
            height = input(
                say("How high over the ground does the meter stand, as in 10 ft? (Enter: held by hand) ")
            ).strip()
            if not height:
                return None
            place = input(say("Where, in words? ")).strip()
            mark = input(
                say("If it counts angles from its mark: where does that point, degrees true? (Enter: not) ")
            ).strip()
            return _mast(height, place or None, float(mark.rstrip("°")) if mark else None)
        except EOFError:
            return None
        except (CommandError, ValueError) as e:
            console.write(f"{inert(str(e))}\n")


def _table(args: argparse.Namespace) -> Outcome:
    """The last 48 h as a table."""
    from anchorage.meter.store import minutes_of  # noqa: PLC0415 - SQLite comes with it
    from anchorage.meter.watch import limit  # noqa: PLC0415 - numpy comes with it
    from anchorage.paper.meter_page import minutes_csv  # noqa: PLC0415 - the same

    d = load(args.file, args.units)
    every = minutes_of(args.file, int(time.time() - limit("keep")))
    if not every:
        raise MeterError(say("{path}: no meter was read in the last 48 h", path=Path(args.file).name))
    put(args.csv, minutes_csv(every, d.deployment.show_units).encode("utf-8"))
    return wrote(args.csv, say(": {every} minutes", every=len(every)))


def meter(args: argparse.Namespace) -> Outcome:
    """Read a meter until its time is over or somebody stops it."""
    if args.file == "-":
        raise CommandError(say("meter: the record stands beside the deployment file, so that must be a file"))
    if args.csv is not None:
        return _table(args)
    if args.source is None:
        raise CommandError(
            say(
                "meter: say where the meter is: --from tcp://HOST:PORT, udp://HOST:PORT, serial:PATH or file:PATH"
            )
        )
    address, lasts, mast = (
        address_of(args.source),
        _long(args.lasts),
        _mast(args.height, args.place, args.mark),
    )
    command = None if args.on_alarm is None else Command(args.on_alarm)
    library()
    path = Path(args.file)
    d = load(args.file, args.units)
    said = zone_said(args.zone, d.outlook)
    if args.at is not None:
        place_of(args.at)
    mast = mast or _asked(path, d.shelter)
    asked = weather(args)
    sky = (
        Weather(path, asked, said) if args.forecast or args.at is not None or d.forecast is not None else None
    )
    reader = Reader(address)
    session = Session(path, reader, address.text, mast, weather=sky)
    lines = args.json or not console.is_terminal(sys.stdout)
    screen = _Screen(d.deployment.name or path.name, said or UTC, lines=lines)
    for thread in (reader, sky, command):
        if thread is not None:
            thread.start()
    return _until(session, reader, screen, lasts, command)


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


def _told(command: Command, r: Report, zone: tzinfo) -> None:
    """Every alarm that begins, for the command of the user."""
    line = json.dumps(report_json(r), allow_nan=False)
    text = "\n".join([*alarm_lines(r, zone), *r.warnings])
    for event in r.seen.events:
        if event != "back":
            command.alarm(event, r.seen.level, inert(text), line)


def _typed(keys: queue.SimpleQueue[str], session: Session, screen: _Screen, stop: list[bool]) -> None:
    while not keys.empty():
        word = keys.get()
        if word.startswith("q"):
            stop.append(True)
        elif word.startswith("t"):
            session.thunder()
        screen.heard = True


def _until(
    session: Session, reader: Reader, screen: _Screen, lasts: float | None, command: Command | None
) -> Outcome:
    from anchorage.meter.watch import limit  # noqa: PLC0415 - numpy comes with it

    stop = list[bool]()
    undo = _stopped_by_signal(stop)
    keys = _keys()
    began, again = session.clock.steady(), limit("again")
    try:
        while not stop:
            _typed(keys, session, screen, stop)
            r = session.turn()
            at = session.clock.steady()
            if r.seen.heard is not None:
                reader.heard.set()
            if command is not None:
                _told(command, r, screen.zone)
                r = replace(r, notes=(*r.notes, command.fault)) if command.fault else r
            if not screen.show(r, at, again):
                break
            if reader.fault is not None:
                raise reader.fault
            if lasts is not None and at - began >= lasts:
                break
    finally:
        level = session.stop()
        if command is not None:
            command.stop()
        undo()
    if session.keeper.fault:
        raise MeterError(
            say(
                "NOT WRITTEN DOWN, {waiting} entries: {fault}",
                waiting=len(session.keeper.waiting),
                fault=session.keeper.fault,
            )
        )
    return EXITS[worst_of(EXIT[level], _stands(session))], ""


def _stands(session: Session) -> Verdict:
    """What the record says of people in it at the end, as ``now`` does: what was not counted holds nobody."""
    d = session.d
    record = read_record(session.path, d.shelter) or Recorded((), (), {}, "")
    return stand(assess(d), record, int(session.clock.wall())).verdict
