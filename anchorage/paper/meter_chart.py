"""The last hour of a meter at a glance: a strip of gust, mean and levels, in characters for a terminal and as a drawing for paper."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import UTC, datetime, tzinfo

from anchorage.core.say import say
from anchorage.core.units import System, convert, show, shown
from anchorage.core.words import LEVELS
from anchorage.deployment.policy import ORDER
from anchorage.meter.store import Minute
from anchorage.paper.drawings import Drawing
from anchorage.paper.svg import Canvas

HOUR = 3600
EIGHTHS = " ▁▂▃▄▅▆▇█"
LEAST = 5.0
"""m/s: the strip is never made for less, or a calm would look like a storm."""
LETTERS = {"secure": "S", "people-out": "O", "keep-away": "K"}
UNIT: dict[System, str] = {"us": "mph", "si": "m/s"}


def _columns(minutes: Sequence[Minute], now: int, wide: int) -> list[tuple[float | None, float | None]]:
    """Highest gust and mean of each column of the last hour, the newest last; None where nothing was heard."""
    out = list[tuple[float | None, float | None]]()
    for i in range(wide):
        start, end = now - HOUR + HOUR * i // wide, now - HOUR + HOUR * (i + 1) // wide
        inside = [m for m in minutes if start < m.at <= end]
        gusts, means = (
            [m.gust for m in inside if m.gust is not None],
            [m.mean for m in inside if m.mean is not None],
        )
        out.append((max(gusts, default=None), sum(means) / len(means) if means else None))
    return out


def _top(minutes: Sequence[Minute], marks: Sequence[float]) -> float:
    """Speed at the upper edge: everything that blew and the next level over it."""
    blown = max((m.gust for m in minutes if m.gust is not None), default=0.0)
    over = next((m for m in marks if m > blown and m != float("inf")), blown)
    return max(1.08 * blown, 1.05 * over, LEAST)


def strip_lines(
    minutes: Sequence[Minute],
    marks: Sequence[float],
    system: System,
    now: int,
    wide: int,
    high: int = 7,
    *,
    plain: bool = False,
) -> list[str]:
    """The strip for a terminal: full up to the mean, light up to the gust, a line for each level. marks: speeds at which the levels begin."""
    label = 15
    wide = max(min(60, wide - label), 12)
    columns, top = _columns(minutes, now, wide), _top(minutes, marks)
    lines = {min(int(high * m / top), high - 1): k for k, m in zip(ORDER[1:], marks, strict=True) if m <= top}
    full, light, rule = ("#", ":", "-") if plain else ("█", "░", "╌")
    out = []
    for row in reversed(range(high)):
        cells = []
        level = None if row not in lines else marks[ORDER.index(lines[row]) - 1]
        for gust, mean in columns:
            g, m = ((0.0 if x is None else high * x / top) - row for x in (gust, mean))
            if level is not None:  # in the row of a level a column reaches it, or it does not
                over = (mean or 0.0) >= level, (gust or 0.0) >= level
                cells.append(full if over[0] else light if over[1] else rule)
            elif m >= 1.0:
                cells.append(full)
            elif m > 0.125 and not plain and g < 1.0:
                cells.append(EIGHTHS[min(int(m * 8), 8)])
            else:
                cells.append(light if g > 0.25 else " ")
        name = lines.get(row)
        mark = (
            ""
            if name is None
            else f" {LETTERS[name]} {show('speed', marks[ORDER.index(name) - 1], system, rounding='down')}"
        )
        out.append("".join(cells) + mark)
    heard = "".join("?" if g is None else "_" if plain else "─" for g, _ in columns)
    axis = say("60 min ago").ljust(max(wide - 3, 0))[: max(wide - 3, 0)] + say("now")
    return [*out, heard, axis]


def strip_words(minutes: Sequence[Minute], system: System) -> str:
    """What the strip shows, for those who do not see it."""
    known = [m for m in minutes if m.gust is not None]
    if not known:
        return say("Nothing was heard in the last hour.")
    top = max(known, key=lambda m: m.gust or 0.0)
    return say(
        "Last hour, a column a minute: full up to the mean, light up to the gust, ? nothing heard. Highest {gust}.",
        gust=show("speed", top.gust or 0.0, system, rounding="up"),
    )


def strip_drawing(
    minutes: Sequence[Minute],
    marks: Sequence[float],
    system: System,
    now: int,
    zone: tzinfo,
    width: float,
    height: float = 34.0,
) -> Drawing:
    """The same on paper."""
    c = Canvas(width, height)
    left, right, top, low = 11.0, 24.0, 3.0, 7.0
    wide, high = width - left - right, height - top - low
    most, unit = _top(minutes, marks), UNIT[system]

    def y_of(v: float) -> float:
        return top + high * (1.0 - v / most)

    n = 60
    step = wide / n
    for i, (gust, mean) in enumerate(_columns(minutes, now, n)):
        x = left + i * step
        if gust is None:
            c.text(x + step / 2, top + high - 0.6, "?", 2.0)
            continue
        c.box(x, y_of(gust), step, top + high - y_of(gust), "light")
        if mean is not None:
            c.box(x, y_of(mean), step, top + high - y_of(mean), "dark")
    for level, m in zip(ORDER[1:], marks, strict=True):
        if m <= most:
            c.line(left, y_of(m), left + wide, y_of(m), "dash")
            c.text(left + wide + 1.0, y_of(m) + 0.9, f"{LEVELS[level]} {shown('speed', m, system, rounding='down').number}", 2.4, anchor="start", bold=True)  # fmt: skip
    c.line(left, top, left, top + high, "line")
    c.line(left, top + high, left + wide, top + high, "line")
    for share in (0.0, 0.5, 1.0):
        at = datetime.fromtimestamp(now - HOUR * (1.0 - share), UTC).astimezone(zone)
        c.text(left + wide * share, top + high + 3.2, f"{at:%H:%M}", 2.4)
        c.text(
            left - 1.0,
            y_of(most * share) + 0.9,
            f"{convert('speed', most * share, unit):.0f}",
            2.2,
            anchor="end",
        )
    c.text(2.4, top + high / 2, unit, 2.4, turn=-90.0)
    words = strip_words(minutes, system)
    return Drawing(c.svg(say("Wind at the meter")), width, height, words, say("The meter, last hour ({unit} as it read): dark the mean, light the gust, ? nothing heard", unit=unit))  # fmt: skip
