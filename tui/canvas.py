"""Shapes in metres onto the cells of a terminal: dots of two by four in a cell, or plain characters where a font has no dots.

A cell is about twice as high as it is wide, so a dot is about square and one scale serves both ways.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass

from anchorage.core.plain import columns, inert
from anchorage.paper.drawing import Circle, Dimension, Line, Polygon, Shape, Text

BITS = ((0x01, 0x08), (0x02, 0x10), (0x04, 0x20), (0x40, 0x80))
MARKS: dict[str, tuple[str, str]] = {"point": ("■", "o"), "weak": ("◆", "W"), "unused": ("○", "x")}
"""Of a point: with a full font, and in plain characters. Each is a shape of its own, so that no colour is needed."""
NORTH_ASIDE = (0, 1, -1, 2, -2, 3, -3)
"""Columns by which the letter of the north arrow makes way for other words."""
POINTERS = "↑↗→↘↓↙←↖"
"""Beside the letter of north where there is no room for its arrow."""
FIRST = ("weak-label", "front", "wind", "axis", "label", "scale", "door")
"""Which words get their place first where there is not room for all."""
MOST = 400.0
"""Dots to a metre at most."""


@dataclass(frozen=True)
class Picture:
    """Rows of cells: a character and the style it is drawn in."""

    rows: tuple[tuple[tuple[str, str], ...], ...]
    scale: float
    """Dots to a metre; 0 where nothing fits."""
    origin: tuple[float, float]
    """Dots from the left and from the top of the place (0, 0)."""
    left_out: int
    """Words that had no room."""

    def dot(self, x: float, y: float) -> tuple[int, int]:
        """The dot of a place in metres."""
        return _at(self.scale, self.origin, x, y)

    def lines(self) -> list[str]:
        """As plain text."""
        return ["".join(c for c, _ in row).rstrip() for row in self.rows]


def _at(scale: float, origin: tuple[float, float], x: float, y: float) -> tuple[int, int]:
    return round(origin[0] + x * scale), round(origin[1] - y * scale)


Span = tuple[float, float]
"""So much with the scale, so much whatever the scale is: dots from the origin."""


def _spans(shapes: Sequence[Shape]) -> tuple[list[Span], list[Span], list[Span], list[Span]]:
    """Left, right, bottom and top of everything; words are as wide as their cells."""
    left, right, low, high = list[Span](), list[Span](), list[Span](), list[Span]()
    for s in shapes:
        if isinstance(s, Line | Polygon):
            points = s.points if isinstance(s, Polygon) else ((s.x1, s.y1), (s.x2, s.y2))
            xs, ys = [x for x, _ in points], [y for _, y in points]
            x0, x1, y0, y1, wide = min(xs), max(xs), min(ys), max(ys), (0.0, 0.0, 0.0)
        elif isinstance(s, Circle):
            x0 = x1 = s.x
            y0 = y1 = s.y
            wide = (-1.0, 1.0, 2.0)
        elif isinstance(s, Dimension):
            continue
        else:
            x0 = x1 = s.x
            y0 = y1 = s.y
            n = columns(s.text) * 2.0
            begin = {"left": -n - 3, "right": 3.0}.get(s.side, -n / 2)
            wide = (begin, begin + n, 2.0)
        left.append((x0, wide[0]))
        right.append((x1, wide[1]))
        low.append((y0, -wide[2]))
        high.append((y1, wide[2]))
    return tuple(_outer(v, sign) for v, sign in ((left, -1), (right, 1), (low, -1), (high, 1)))  # type: ignore[return-value]


def _outer(spans: list[Span], sign: int) -> list[Span]:
    """Those that can be the outermost at some scale: of equal places the farthest, and none that another always covers."""
    best: dict[float, float] = {}
    for a, b in spans:
        best[a * sign] = max(b * sign, best.get(a * sign, -math.inf))
    out, most = list[Span](), -math.inf
    for a in sorted(best, reverse=True):
        if best[a] > most:
            most = best[a]
            out.append((a * sign, best[a] * sign))
    return out


Spans = tuple[list[Span], list[Span], list[Span], list[Span]]


def _bounds(spans: Spans, scale: float) -> tuple[float, float, float, float]:
    left, right, low, high = spans
    return (
        min([a * scale + b for a, b in left]),
        max([a * scale + b for a, b in right]),
        min([a * scale + b for a, b in low]),
        max([a * scale + b for a, b in high]),
    )


def _fit(shapes: Sequence[Shape], wide: int, high: int) -> tuple[float, tuple[float, float]]:
    """The largest scale at which everything fits, and where the origin then is."""
    spans = _spans(shapes)

    def fits(scale: float) -> bool:
        x0, x1, y0, y1 = _bounds(spans, scale)
        return x1 - x0 <= wide - 2 and y1 - y0 <= high - 2

    low, top = 0.0, MOST
    for _ in range(24):
        middle = (low + top) / 2
        low, top = (middle, top) if fits(middle) else (low, middle)
    best = min(
        (low * (1 - i / 200) for i in range(25)),
        key=lambda k: _skew(shapes, k, _middle(spans, k, wide, high)),
    )
    return best, _middle(spans, best, wide, high)


def _middle(spans: Spans, scale: float, wide: int, high: int) -> tuple[float, float]:
    """Where the origin is when everything stands in the middle."""
    x0, x1, y0, y1 = _bounds(spans, scale)
    return (wide - (x1 - x0)) / 2 - x0, (high - (y1 - y0)) / 2 + y1


def _skew(shapes: Sequence[Shape], scale: float, origin: tuple[float, float]) -> float:
    """How far the first outline is out of proportion once it stands on whole dots; a hundredth is as good as none."""
    outline = next((s.points for s in shapes if isinstance(s, Polygon)), ())
    if not outline:
        return 0.0
    dots = [_at(scale, origin, x, y) for x, y in outline]
    wide, high = (max(p[i] for p in outline) - min(p[i] for p in outline) for i in (0, 1))
    drawn = [max(d[i] for d in dots) - min(d[i] for d in dots) for i in (0, 1)]
    if not (drawn[1] and high and wide):
        return 1.0
    return max(abs(drawn[0] / drawn[1] / (wide / high) - 1), 0.01)


class _Cells:
    def __init__(self, width: int, height: int, *, plain: bool) -> None:
        self.width, self.height, self.plain = width, height, plain
        self.bits = [[0] * width for _ in range(height)]
        self.chars: list[list[str]] = [[""] * width for _ in range(height)]
        self.styles: list[list[str]] = [[""] * width for _ in range(height)]
        self.taken = [[False] * width for _ in range(height)]

    def dot(self, x: int, y: int, style: str, char: str) -> None:
        if not (0 <= x < self.width * 2 and 0 <= y < self.height * 4):
            return
        cx, cy = x // 2, y // 4
        self.bits[cy][cx] |= BITS[y % 4][x % 2]
        self.styles[cy][cx] = self.styles[cy][cx] or style
        if self.plain and self.chars[cy][cx] != "+":
            old = self.chars[cy][cx]
            self.chars[cy][cx] = "+" if old and old != char and {old, char} == {"-", "|"} else char

    def line(self, a: tuple[int, int], b: tuple[int, int], style: str, *, dashed: bool = False) -> None:
        dx, dy = b[0] - a[0], b[1] - a[1]
        n = max(abs(dx), abs(dy), 1)
        steep = abs(dy) > 2 * abs(dx)
        char = "|" if steep else "-" if abs(dx) > 2 * abs(dy) else "\\" if (dx > 0) == (dy > 0) else "/"
        if dashed and self.plain:
            char = ":" if steep else "."
        for i in range(n + 1):
            if not (dashed and i % 4 > 1):
                self.dot(round(a[0] + dx * i / n), round(a[1] + dy * i / n), style, char)

    def arrow(self, a: tuple[int, int], b: tuple[int, int], style: str) -> None:
        self.line(a, b, style)
        dx, dy = b[0] - a[0], b[1] - a[1]
        size = math.hypot(dx, dy)
        if self.plain or size < 3:
            head = (">" if dx > 0 else "<") if abs(dx) > abs(dy) else ("v" if dy > 0 else "^")
            self.put(b[0] // 2, b[1] // 4, head, style)
            return
        for turn in (2.6, -2.6):
            c, s = math.cos(turn), math.sin(turn)
            r = min(size * 0.5, 5.0) / size
            self.line(b, (round(b[0] + (dx * c - dy * s) * r), round(b[1] + (dx * s + dy * c) * r)), style)

    def put(self, cx: int, cy: int, char: str, style: str) -> None:
        if 0 <= cx < self.width and 0 <= cy < self.height:
            self.chars[cy][cx], self.styles[cy][cx], self.taken[cy][cx] = char, style, True
            self.bits[cy][cx] = 0

    def free(self, cx: int, cy: int) -> bool:
        """Whether nothing is there; beyond the edge nothing is."""
        inside = 0 <= cx < self.width and 0 <= cy < self.height
        return not inside or not (self.taken[cy][cx] or self.bits[cy][cx] or self.chars[cy][cx])

    def words(self, x: int, y: int, text: str, side: str, style: str) -> bool:
        """Write words; False where something is in the way."""
        wide = columns(text)
        cx = {"left": x // 2 - wide - 1, "right": x // 2 + 2}.get(side, x // 2 - wide // 2)
        cy = y // 4 + {"up": -1, "down": 1}.get(side, 0)
        cx = max(0, min(cx, self.width - wide))
        if not 0 <= cy < self.height or wide > self.width:
            return False
        clear = int(style == "north")  # one letter: never read as the end of the words beside it
        if any(self.taken[cy][max(cx - clear, 0) : cx + wide + clear]):
            return False
        for char in text:
            self.put(cx, cy, char, style)
            cx += columns(char)
        return True

    def rows(self) -> tuple[tuple[tuple[str, str], ...], ...]:
        def cell(x: int, y: int) -> tuple[str, str]:
            char = self.chars[y][x]
            if not char and self.bits[y][x] and not self.plain:
                char = chr(0x2800 + self.bits[y][x])
            return (char or " "), self.styles[y][x]

        return tuple(tuple(cell(x, y) for x in range(self.width)) for y in range(self.height))


def _plain(text: str) -> str:
    return "".join(c if c.isascii() else {"°": " deg"}.get(c, "?") for c in text)


def _north(
    cells: _Cells, at: Callable[[float, float], tuple[int, int]], shapes: Sequence[Line | Text]
) -> bool:
    """The arrow to north with its letter, where nothing else is; else the letter with a pointer, wherever there is room."""
    arrow = next((s for s in shapes if isinstance(s, Line)), None)
    letter = next((s for s in shapes if isinstance(s, Text)), None)
    if arrow is None or letter is None:
        return False
    a, b, (x, y) = at(arrow.x1, arrow.y1), at(arrow.x2, arrow.y2), at(letter.x, letter.y)
    n = max(abs(b[0] - a[0]), abs(b[1] - a[1]), 1)
    path = {
        ((a[0] + (b[0] - a[0]) * i // n + dx) // 2, (a[1] + (b[1] - a[1]) * i // n + dy) // 4)
        for i in range(n + 1)
        for dx in (-3, 0, 3)
        for dy in (-3, 0, 3)
    }
    if all(cells.free(*c) for c in path) and any(
        cells.words(x + 2 * k, y, letter.text, letter.side, "north") for k in NORTH_ASIDE
    ):
        cells.arrow(a, b, "north")
        return True
    turn = math.atan2(b[0] - a[0], a[1] - b[1]) / (math.pi / 4)
    pointer = POINTERS[round(turn) % 8]
    text = letter.text + (_PLAIN_POINTERS[pointer] if cells.plain else pointer)
    used = [any(not cells.free(c, cy) for c in range(cells.width)) for cy in range(cells.height)]
    for cy in sorted(range(cells.height), key=lambda r: not used[r]):
        for cx in (cells.width - columns(text), 0):
            if all(cells.free(c, cy) for c in range(cx - 1, cx + columns(text) + 1)):
                return cells.words((cx + columns(text) // 2) * 2, cy * 4, text, "middle", "north")
    return False


_PLAIN_POINTERS = dict(zip(POINTERS, ("^", "^>", ">", "v>", "v", "<v", "<", "<^"), strict=True))


def draw(shapes: Sequence[Shape], width: int, height: int, *, plain: bool = False) -> Picture:
    """Everything as large as it fits into so many cells."""
    shapes = [
        Text(s.x, s.y, _plain(inert(s.text)) if plain else inert(s.text), s.style, s.side)
        if isinstance(s, Text)
        else s
        for s in shapes
        if not isinstance(s, Dimension)
    ]
    if width < 4 or height < 3 or not shapes:
        return Picture(tuple(((" ", ""),) * max(width, 0) for _ in range(max(height, 0))), 0.0, (0.0, 0.0), 0)
    scale, origin = _fit(shapes, width * 2, height * 4)
    cells = _Cells(width, height, plain=plain)

    def at(x: float, y: float) -> tuple[int, int]:
        return _at(scale, origin, x, y)

    for s in shapes:
        if isinstance(s, Polygon):
            for (x1, y1), (x2, y2) in zip(s.points, (*s.points[1:], s.points[0]), strict=True):
                cells.line(at(x1, y1), at(x2, y2), s.style)
        elif isinstance(s, Line) and s.style not in (
            "door",
            "north",
        ):  # it lies in the wall: its word says it
            a, b = at(s.x1, s.y1), at(s.x2, s.y2)
            if s.arrow:
                cells.arrow(a, b, s.style)
            else:
                cells.line(a, b, s.style, dashed=s.style == "ridge")
    for s in shapes:
        if isinstance(s, Circle):
            x, y = at(s.x, s.y)
            cells.put(x // 2, y // 4, MARKS[s.style][plain], s.style)
    left_out = 0
    for style in FIRST:
        for s in shapes:
            if isinstance(s, Text) and s.style == style:
                x, y = at(s.x, s.y)
                left_out += not cells.words(x, y, s.text, s.side, s.style)
    north = [s for s in shapes if isinstance(s, Line | Text) and s.style == "north"]
    left_out += not _north(cells, at, north) if north else 0
    return Picture(cells.rows(), scale, origin, left_out)
