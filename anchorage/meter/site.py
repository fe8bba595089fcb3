"""What a speed of this meter means for this installation: the rule of a typed reading, and nothing beside it."""

from __future__ import annotations

import functools
from dataclasses import dataclass
from pathlib import Path

from anchorage.core.errors import OutOfRangeError
from anchorage.core.out import Level
from anchorage.deployment.models import Deployment
from anchorage.deployment.policy import ORDER
from anchorage.loads.wind_trip import hand_height
from anchorage.record.kinds import FASTEST
from anchorage.record.stand import Reading, Watched, watched
from anchorage.record.store import Entry

NEAR = 0.08
"""Share by which a level may begin beside where it is first looked for."""
FINE = 1e-4
"""m/s: nearer than this a mark need not be known; it is never later than the level."""
USUAL = (3.0, 8.0, 16.0)
"""m/s: speeds of a mean at which what it is worth is compared with a gust."""


@dataclass(frozen=True)
class Mast:
    """How the meter stands. height: over the ground (m); mark: bearing of its mark (degrees true)."""

    height: float
    height_text: str
    place: str = ""
    mark: float | None = None
    said: bool = True
    """False where nobody said at what height: it is taken as held by hand."""


def by_hand() -> Mast:
    """Nothing was said of it: low down, where a reading stands for the most."""
    return Mast(hand_height(), "by hand", said=False)


def mast_of(entries: tuple[Entry, ...]) -> Mast | None:
    """The meter as it was last described in the record; None where it never was."""
    e = next((e for e in reversed(entries) if e.event == "meter"), None)
    if e is None:
        return None
    mark = e.data.get("from")
    return Mast(
        float(e.data["height_m"]), str(e.data.get("height", "")), str(e.data.get("note", "")),
        None if mark is None else float(mark),
    )  # fmt: skip


def entry_of(speed: float, mast: Mast, averaging: str = "3 s") -> Entry:
    """A speed as the entry that a typed reading of it would be."""
    data = {"speed_m_s": speed, "typed": "", "height_m": mast.height, "height": mast.height_text, "averaging": averaging, "from": None}  # fmt: skip
    return Entry(0, 0, 0, "meter", "wind", data, "", "", "")


class Scale:
    """Gusts of a meter against the levels. Wind from every side counts: a vane that is turned wrong must not relax anything."""

    def __init__(self, w: Watched, mast: Mast, before: Scale | None = None) -> None:
        """before: of the same meter; where nothing that stands has changed since, the levels begin where they did."""
        self.w, self.mast = w, mast
        self.of = w.judge.d.model_dump(mode="json")
        same = before is not None and before.mast == mast and before.of == self.of
        self.marks: tuple[float, ...] = (
            before.marks if before is not None and same else tuple(map(self._begins, ORDER[1:]))
        )
        """Speeds (m/s) of this meter from which SECURE, PEOPLE OUT and KEEP AWAY hold."""

    def worth(self, speed: float) -> Reading:
        """What a speed is worth, by the record's own rule."""
        return self.w.judge.reading(entry_of(speed, self.mast))

    @functools.cache  # noqa: B019 - there is one for each change of the record, and they do not outlive the meter
    def raised(self, averaging: str) -> float:
        """A 3 s gust over a mean of another time, for a meter that gives no gusts: what makes both worth the same here."""
        if averaging == "3 s":
            return 1.0
        return max(
            self.w.judge.reading(entry_of(v, self.mast, averaging)).gust / self.worth(v).gust for v in USUAL
        )

    def _begins(self, level: Level) -> float:
        low, high = 0.0, FASTEST
        if not self._reaches(high, level):
            return float("inf")
        share = self.worth(USUAL[1]).share  # it goes nearly with the speed, so the level begins about there
        guess = USUAL[1] * self.w.policy.begins(level) / share if 0.0 < share < float("inf") else 0.0
        if 0.0 < guess < FASTEST * (1.0 - NEAR):
            near, far = guess * (1.0 - NEAR), guess * (1.0 + NEAR)
            low, high = (low, near) if self._reaches(near, level) else (near, high)
            high = min(high, far) if low == near and self._reaches(far, level) else high
        while high - low > FINE:
            middle = 0.5 * (low + high)
            low, high = (low, middle) if self._reaches(middle, level) else (middle, high)
        return low

    def _reaches(self, speed: float, level: Level) -> bool:
        try:
            return ORDER.index(self.worth(speed).level) >= ORDER.index(level)
        except OutOfRangeError:
            return True  # faster than any formula of the wind was published for

    def level(self, speed: float | None) -> Level:
        """Level of a speed; unknown of none."""
        if speed is None:
            return "unknown"
        return ORDER[sum(speed >= m for m in self.marks)]


def marks_of(d: Deployment, path: Path, now: int) -> tuple[float, ...]:
    """Where the levels begin on the meter that is described in the record."""
    w = watched(d, path, now)
    return Scale(w, mast_of(w.entries) or by_hand()).marks
