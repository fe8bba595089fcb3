"""One family of errors. Each says what it met, what it would take, and the way out; nobody sees a traceback."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Self

from anchorage.core.say import say


class AnchorageError(Exception):
    """Anything this program refuses. ``str()`` of it is fit to show to a user."""


@dataclass(frozen=True)
class Fault:
    """One thing wrong with one key of a file."""

    file: str
    key: str
    got: str
    accepted: str
    listed: bool = False
    """What was given is none of those that a closed list has."""

    def __str__(self) -> str:
        got = f"{self.got}; " if self.got else ""
        return f"{self.file}: {self.key}: {got}{self.accepted}"


class InputFaults(AnchorageError):  # noqa: N818 - a list of faults, named for what it carries
    """Everything wrong with a file, reported at once, one line each."""

    def __init__(self, faults: list[Fault]) -> None:
        self.faults = tuple(faults)
        super().__init__("\n".join(str(f) for f in faults))

    @classmethod
    def of(cls, file: str, key: str, got: str, accepted: str) -> Self:
        """One fault alone."""
        return cls([Fault(file, key, got, accepted)])


class OutOfRangeError(AnchorageError):
    """A value outside the declared range of a formula or a table. Never extrapolated, never repaired."""

    def __init__(
        self, where: str, argument: str, value: float, low: float | None, high: float | None, unit: str
    ) -> None:
        self.where, self.argument, self.value, self.low, self.high, self.unit = (
            where, argument, value, low, high, unit,
        )  # fmt: skip
        u = "" if unit == "1" else f" {unit}"
        if low is not None and high is not None:
            span = say("from {low} to {high}{u}", low=f"{low:g}", high=f"{high:g}", u=u)
        else:
            span = (
                say("at least {low}{u}", low=f"{low:g}", u=u)
                if low is not None
                else say("at most {high}{u}", high=f"{high:g}", u=u)
            )
        super().__init__(
            say(
                "{where}: {argument} = {value}{u} is outside the range it was published for ({span})",
                where=where,
                argument=argument,
                value=f"{value:.6g}",
                u=u,
                span=span,
            )
        )


class NotModelledError(AnchorageError):
    """Refused for want of a model, with the reason and the nearest thing that can be done instead."""


class TableError(AnchorageError):
    """A table of coefficients that may not be used: an unknown source, a double key, a missing clause..."""
