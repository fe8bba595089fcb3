"""What holds for any input whatever. A breach is ``Broken``."""

from __future__ import annotations

from collections.abc import Sequence

from anchorage.core.errors import AnchorageError, InputFaults
from anchorage.core.plain import inert
from anchorage.outlook.judge import Judged

MOST_SAID = 20_000
"""Characters of a refusal."""


class Broken(AssertionError):  # noqa: N818 - named for what it says
    """Something that must never happen, happened."""


def hold(true: object, what: str) -> None:
    """Raise ``Broken`` where something is not so."""
    if not true:
        raise Broken(what)


def named(error: AnchorageError, file: str) -> str:
    """A refusal names the file and a line or key in each of its lines, and is short."""
    lines = (
        [inert(str(f)) for f in error.faults] if isinstance(error, InputFaults) else str(error).splitlines()
    )
    hold(lines and all(lines), "a refusal without words")
    hold(sum(map(len, lines)) <= MOST_SAID, f"a refusal of {sum(map(len, lines))} characters")
    for line in lines:
        hold(
            line.startswith((f"{file}: ", f"{file}, ")) and line.count(": ") > 1,
            f"a refusal that names no file and key: {line[:200]}",
        )
    return "refused"


def never_go(judged: Sequence[Judged], start: int, end: int, why: str) -> None:
    """No hour of a time that is damaged is go."""
    for j in judged:
        if j.hour.start < end and j.hour.end > start:
            hold("go" not in j.uses.values(), f"go at {j.hour.start} although {why}")


def sound(judged: Sequence[Judged]) -> str:
    """An hour that is go has a whole forecast of gusts, all of them finite and under the limit, and nothing against it."""
    said = "read"
    for j in judged:
        if "go" in j.uses.values():
            said = "go"
            hold(
                j.hour.complete and j.hour.winds and j.wind is not None,
                "go without a whole forecast of gusts",
            )
            hold(all(0.0 <= w.gust < j.limit for w in j.hour.winds if w.bearing is None), "go over the limit")
            hold(j.share is not None and 0.0 <= j.share < 1.0, "go at a share that is none")
            hold(not j.hour.thunder and not j.hour.unmeasured, "go in thunder, or in snow of no amount")
            hold(
                not j.hour.doubts and not j.hour.owed,
                "go where something is lost, not understood or not said",
            )
            hold(j.hour.hazard is None or j.hour.hazard.level == "secure", "go under a warning")
            hold(
                j.acts in ("normal", "secure") or "go" not in (j.uses["people-in"], j.uses["set-up"]),
                "go at a level that empties it",
            )
    return said
