"""A command of the user's at each alarm: an option that was typed, never a line of a file. One after the other, beside the meter."""

from __future__ import annotations

import contextlib
import os
import queue
import shlex
import subprocess
import threading

from anchorage.core.say import say
from anchorage.meter.sentences import MeterError

LONGEST = 60.0
"""Seconds that a command may take; then it is ended, for the next alarm."""
WAITING = 20


class Command(threading.Thread):
    """Runs a command for each alarm. What the alarm is stands in its environment, and the line of it on its standard input."""

    def __init__(self, typed: str) -> None:
        """typed: program and arguments, as in a shell, and no shell. Raises ``MeterError``."""
        super().__init__(name="on-alarm", daemon=True)
        try:
            self.words = shlex.split(typed)
        except ValueError as e:
            raise MeterError(say("--on-alarm {typed}: {why}", typed=typed, why=str(e))) from None
        if not self.words:
            raise MeterError(say("--on-alarm: give a program, as in 'notify-send anchorage'"))
        self.queue: queue.Queue[tuple[dict[str, str], str] | None] = queue.Queue(WAITING)
        self.fault = ""
        self.ran = 0

    def alarm(self, event: str, level: str, text: str, line: str) -> None:
        """Run it for an alarm, after those before it. line: the alarm as JSON."""
        told = {"ANCHORAGE_EVENT": event, "ANCHORAGE_LEVEL": level, "ANCHORAGE_TEXT": text[:1000]}
        try:
            self.queue.put_nowait((told, line))
        except queue.Full:
            self.fault = say("The command of the alarm is too slow: {n} alarms wait for it.", n=WAITING)

    def run(self) -> None:
        while (found := self.queue.get()) is not None:
            self._once(*found)

    def _once(self, told: dict[str, str], line: str) -> None:
        try:
            with subprocess.Popen(  # noqa: S603 - what was typed after --on-alarm, and no shell
                self.words, stdin=subprocess.PIPE, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL, env={**os.environ, **told},
            ) as p:  # fmt: skip
                try:
                    with contextlib.suppress(BrokenPipeError):
                        p.communicate(line.encode("ascii", "replace"), timeout=LONGEST)
                    code = p.wait(LONGEST)
                except subprocess.TimeoutExpired:
                    p.kill()
                    self.fault = say(
                        "The command of the alarm took more than {n} s and was ended.", n=int(LONGEST)
                    )
                    return
        except (OSError, ValueError) as e:
            why = getattr(e, "strerror", None) or str(e)
            self.fault = say("THE COMMAND OF THE ALARM CANNOT BE RUN: {why}", why=why)
            return
        self.ran += 1
        self.fault = "" if code == 0 else say("The command of the alarm failed, exit {code}.", code=code)

    def stop(self) -> None:
        """After what waits; who calls waits no longer than five seconds."""
        with contextlib.suppress(queue.Full):
            self.queue.put_nowait(None)
        self.join(5.0)
